//! Writing a file whole or not at all: into a temporary file beside it, which then takes its name.
//!
//! A file that is replaced keeps its mode, its owner and its links. Temporary files that a killed write has left are
//! cleared at the next write in their folder; a lock tells them from those that are being written.

use std::fs::{self, File, Metadata, OpenOptions, TryLockError};
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

use tempfile::{Builder, NamedTempFile};

use super::folder_of;
use crate::trouble::Trouble;

/// How the name of a temporary file begins and ends.
const PREFIX: &str = ".blockwright-";
const SUFFIX: &str = ".tmp";

/// Letters between them.
const LETTERS: usize = 12;

/// Links that lead from one to the next.
const MOST_LINKS: usize = 40;

/// Files looked at when a folder is cleared.
const MOST_FILES: usize = 20_000;

/// A temporary file older than this is nobody's any more, where files cannot be locked.
const ABANDONED: Duration = Duration::from_hours(24);

/// Whether there is a file of this name that can be written over.
///
/// # Errors
/// When the name leads to something that is no ordinary file, or the file is protected.
pub(super) fn is_there(path: &Path) -> Result<bool, Trouble> {
    Ok(there(&end_of(path)?)?.is_some())
}

/// Writes a file whole or not at all. One that is there is an error unless it may be replaced; then its mode and owner
/// stay, and where the name is a link, what it leads to is replaced.
///
/// This asks nobody: whoever writes for a person goes through [`super::save`].
///
/// # Errors
/// What went wrong; a file that was there before is whole.
pub fn write(path: &Path, bytes: &[u8], replace: bool) -> Result<(), Trouble> {
    let target = end_of(path)?;
    let folder = folder_of(&target);
    if !folder.is_dir() {
        return Err(Trouble::with_file(
            path,
            "lies in a folder that does not exist",
            "make the folder first, or choose another",
        ));
    }
    let old = there(&target)?;
    if old.is_some() && !replace {
        return Err(super::already_there(path));
    }
    clear(&folder);
    let trouble = |error: &std::io::Error| {
        Trouble::with_file(
            path,
            format!("could not be written ({error})"),
            "check the folder and the free space on the disk; a file that was there before is unchanged",
        )
    };
    let mut beside = temporary(&folder).map_err(|error| trouble(&error))?;
    let text = beside.write_all(bytes).and_then(|()| beside.as_file().sync_all());
    text.map_err(|error| trouble(&error))?;
    if let Some(old) = &old {
        keep(beside.as_file(), old).map_err(|error| match error.kind() {
            ErrorKind::PermissionDenied => Trouble::with_file(
                path,
                "belongs to somebody else, and replacing it would make it yours",
                "save under another name",
            ),
            _ => trouble(&error),
        })?;
    }
    let kept = if replace { beside.persist(&target) } else { beside.persist_noclobber(&target) };
    kept.map(drop).map_err(|error| match error.error.kind() {
        ErrorKind::AlreadyExists => super::already_there(path),
        _ => trouble(&error.error),
    })?;
    // The new name is on the disk as well, where folders can be told to be; the file itself is whole either way.
    #[cfg(unix)]
    let _ = File::open(&folder).and_then(|folder| folder.sync_all());
    Ok(())
}

/// Where a name leads in the end, links followed; it need not be there.
fn end_of(path: &Path) -> Result<PathBuf, Trouble> {
    let mut end = path.to_path_buf();
    for _ in 0..MOST_LINKS {
        let Ok(to) = fs::read_link(&end) else { return Ok(end) };
        end = folder_of(&end).join(to);
    }
    Err(Trouble::with_file(path, "is a link that leads around in a circle", "give another name"))
}

/// The ordinary file of this name that may be written to, if there is one.
fn there(path: &Path) -> Result<Option<Metadata>, Trouble> {
    let trouble = |what: &str, remedy: &str| Err(Trouble::with_file(path, what, remedy));
    let Ok(about) = fs::metadata(path) else { return Ok(None) };
    if about.is_dir() {
        return trouble("is a folder", "give a file name in it");
    }
    if !about.is_file() {
        return trouble("is not an ordinary file, and was not written to", "give another name");
    }
    let denied = || {
        let opened = OpenOptions::new().write(true).open(path);
        opened.is_err_and(|error| error.kind() == ErrorKind::PermissionDenied)
    };
    if about.permissions().readonly() || denied() {
        return trouble(
            "is protected against writing, and was not replaced",
            "choose another name, or take off its protection first",
        );
    }
    Ok(Some(about))
}

/// Gives the new file the mode and owner of the old one.
#[cfg(unix)]
fn keep(new: &File, old: &Metadata) -> std::io::Result<()> {
    use std::os::unix::fs::{MetadataExt as _, fchown};
    let now = new.metadata()?;
    let other = |now: u32, old: u32| (now != old).then_some(old);
    let (owner, group) = (other(now.uid(), old.uid()), other(now.gid(), old.gid()));
    if owner.is_some() || group.is_some() {
        fchown(new, owner, group)?;
    }
    new.set_permissions(old.permissions())
}

#[cfg(not(unix))]
fn keep(_new: &File, _old: &Metadata) -> std::io::Result<()> {
    Ok(())
}

/// A locked temporary file that others may read, as far as the user's own mask allows: job folders are shared.
fn temporary(folder: &Path) -> std::io::Result<NamedTempFile> {
    let mut builder = Builder::new();
    builder.prefix(PREFIX).suffix(SUFFIX).rand_bytes(LETTERS);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    // Another write in this folder may take it for abandoned before it is locked, and clear it.
    for _ in 0..100 {
        let file = builder.tempfile_in(folder)?;
        let locked = file.as_file().try_lock();
        if !matches!(locked, Err(TryLockError::WouldBlock)) && file.path().exists() {
            return Ok(file);
        }
    }
    builder.tempfile_in(folder)
}

/// Whether a file name is one of a temporary file of ours.
pub fn is_temporary(name: &str) -> bool {
    let letters = name.strip_prefix(PREFIX).and_then(|name| name.strip_suffix(SUFFIX));
    letters
        .is_some_and(|letters| letters.len() == LETTERS && letters.bytes().all(|b| b.is_ascii_alphanumeric()))
}

/// Clears the temporary files that killed writes have left in a folder. What cannot be cleared is left.
pub fn clear(folder: &Path) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.take(MOST_FILES).flatten() {
        let ours = entry.file_name().to_str().is_some_and(is_temporary);
        let plain = || entry.file_type().is_ok_and(|kind| kind.is_file());
        if ours && plain() && is_abandoned(&entry.path()) {
            let _ = fs::remove_file(entry.path());
        }
    }
}

fn is_abandoned(path: &Path) -> bool {
    let Ok(file) = OpenOptions::new().write(true).open(path) else { return false };
    match file.try_lock() {
        Ok(()) => true,
        Err(TryLockError::WouldBlock) => false,
        // No locks here, as on some network drives: age has to tell.
        Err(TryLockError::Error(_)) => {
            let written = file.metadata().and_then(|about| about.modified());
            let age = written.ok().and_then(|at| SystemTime::now().duration_since(at).ok());
            age.is_some_and(|age| age > ABANDONED)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let entries = fs::read_dir(folder).expect("a folder").flatten();
        let mut names: Vec<String> =
            entries.map(|entry| entry.file_name().to_string_lossy().into_owned()).collect();
        names.sort();
        names
    }

    #[test]
    fn what_must_be_kept_is_kept() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("a.json");
        write(&path, b"old", false).expect("written");
        let refused = write(&path, b"new", false).expect_err("kept");
        assert!(refused.to_string().contains("already there"), "{refused}");
        assert_eq!(fs::read(&path).expect("read"), b"old");
        write(&path, b"new", true).expect("replaced");
        assert_eq!(fs::read(&path).expect("read"), b"new");
        assert!(write(&folder.path().join("no/such/a"), b"", true).is_err());
        assert_eq!(names(folder.path()), ["a.json"]);
    }

    #[cfg(unix)]
    #[test]
    fn replacing_keeps_mode_and_link() {
        use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _, symlink};
        let folder = tempfile::tempdir().expect("a folder");
        let (real, link) = (folder.path().join("real.nc"), folder.path().join("link.nc"));
        fs::create_dir(folder.path().join("there")).expect("made");
        fs::write(&real, "old").expect("written");
        for mode in [0o600, 0o640, 0o664, 0o755] {
            fs::set_permissions(&real, fs::Permissions::from_mode(mode)).expect("set");
            write(&real, b"new", true).expect("replaced");
            assert_eq!(fs::metadata(&real).expect("there").mode() & 0o7777, mode);
        }
        symlink("real.nc", &link).expect("a link");
        write(&link, b"newest", true).expect("replaced");
        assert!(fs::symlink_metadata(&link).expect("there").is_symlink(), "the link stays");
        assert_eq!(fs::read(&real).expect("read"), b"newest");
        let dangling = folder.path().join("dangling.nc");
        symlink("there/new.nc", &dangling).expect("a link");
        write(&dangling, b"1", false).expect("written where it leads");
        assert_eq!(fs::read(folder.path().join("there/new.nc")).expect("read"), b"1");
        symlink("round-b", folder.path().join("round-a")).expect("a link");
        symlink("round-a", folder.path().join("round-b")).expect("a link");
        assert!(write(&folder.path().join("round-a"), b"", true).is_err());
    }

    #[cfg(unix)]
    #[test]
    fn what_is_no_ordinary_file_or_is_protected_is_refused() {
        use std::os::unix::fs::PermissionsExt as _;
        use std::os::unix::net::UnixListener;
        let folder = tempfile::tempdir().expect("a folder");
        let socket = folder.path().join("socket");
        let _open = UnixListener::bind(&socket).expect("a socket");
        let protected = folder.path().join("a.nc");
        fs::write(&protected, "mine").expect("written");
        fs::set_permissions(&protected, fs::Permissions::from_mode(0o444)).expect("set");
        for (path, says) in [
            (Path::new("/dev/null"), "not an ordinary file"),
            (&socket, "not an ordinary file"),
            (folder.path(), "is a folder"),
            (&protected, "protected against writing"),
        ] {
            for replace in [false, true] {
                let refused = write(path, b"x", replace).expect_err("refused").to_string();
                assert!(refused.contains(says), "{refused}");
            }
        }
        assert_eq!(fs::read(&protected).expect("read"), b"mine");
    }

    #[test]
    fn leftovers_of_killed_writes_are_cleared_and_nothing_else() {
        let folder = tempfile::tempdir().expect("a folder");
        let at = |name: &str| folder.path().join(name);
        let kept = [
            ".blockwright-short.tmp",
            ".blockwright-aaaaaaaaaaaa.nc",
            "blockwright-aaaaaaaaaaaa.tmp",
            ".tmp1",
        ];
        for name in kept {
            fs::write(at(name), "somebody's").expect("written");
        }
        fs::write(at(".blockwright-abcdef123456.tmp"), "half a prog").expect("written");
        let busy = temporary(folder.path()).expect("a file being written");
        write(&at("a.nc"), b"1", false).expect("written");
        let mut wanted: Vec<String> = kept.map(str::to_owned).to_vec();
        wanted.push("a.nc".to_owned());
        wanted.push(busy.path().file_name().expect("a name").to_string_lossy().into_owned());
        wanted.sort();
        assert_eq!(names(folder.path()), wanted);
    }
}
