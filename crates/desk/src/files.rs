//! Reading and writing files, with limits and with messages a person can act on.

use std::fs::{self, File};
use std::io::{ErrorKind, Read, Write};
use std::path::{Path, PathBuf};

use crate::trouble::Trouble;

/// Largest job file read; the largest sensible job is a few thousand times smaller.
pub const JOB_LIMIT: u64 = 16 << 20;

/// Largest program read; larger ones are not written by hand, and would fill the memory of a shop machine.
pub const PROGRAM_LIMIT: u64 = 256 << 20;

/// Reads a whole file of at most `limit` bytes.
///
/// # Errors
/// What is wrong with the file and what to do about it.
pub fn read(path: &Path, limit: u64) -> Result<Vec<u8>, Trouble> {
    let trouble = |what: &str, remedy: &str| Trouble::with_file(path, what, remedy);
    let about = fs::metadata(path).map_err(|error| unreadable(path, &error))?;
    if about.is_dir() {
        return Err(trouble("is a folder", "name the file in it that is meant"));
    }
    if !about.is_file() {
        return Err(trouble("is not an ordinary file", "copy it to a file first"));
    }
    let too_big = || {
        trouble(
            &format!("is larger than {} MiB", limit >> 20),
            "check whether it is the file you mean, or split it",
        )
    };
    if about.len() > limit {
        return Err(too_big());
    }
    let mut bytes = Vec::with_capacity(about.len() as usize);
    // The length is checked again: the file may grow while it is read.
    File::open(path)
        .and_then(|file| file.take(limit + 1).read_to_end(&mut bytes))
        .map_err(|error| unreadable(path, &error))?;
    if bytes.len() as u64 > limit { Err(too_big()) } else { Ok(bytes) }
}

fn unreadable(path: &Path, error: &std::io::Error) -> Trouble {
    match error.kind() {
        ErrorKind::NotFound => {
            Trouble::with_file(path, "there is no such file", "check the spelling and the folder")
        }
        ErrorKind::PermissionDenied => {
            Trouble::with_file(path, "may not be read", "ask its owner for permission to read it")
        }
        _ => {
            Trouble::with_file(path, format!("cannot be read ({error})"), "check the disk or the connection")
        }
    }
}

/// Whether a file that is already there may be overwritten.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Existing {
    /// It is replaced, whole or not at all.
    Replace,
    /// It is left alone, and that is an error.
    Keep,
}

/// Writes a file whole or not at all: into a temporary file beside it, which then takes its name.
///
/// # Errors
/// What went wrong; a file that was there before is whole.
pub fn write(path: &Path, bytes: &[u8], existing: Existing) -> Result<(), Trouble> {
    let trouble = |error: &std::io::Error| {
        Trouble::with_file(
            path,
            format!("could not be written ({error})"),
            "check the folder and the free space on the disk; a file that was there before is unchanged",
        )
    };
    if path.is_dir() {
        return Err(Trouble::with_file(path, "is a folder", "give a file name in it"));
    }
    let folder = folder_of(path);
    if !folder.is_dir() {
        return Err(Trouble::with_file(
            path,
            "lies in a folder that does not exist",
            "make the folder first, or choose another",
        ));
    }
    let mut beside = temporary().tempfile_in(folder).map_err(|error| trouble(&error))?;
    beside.write_all(bytes).and_then(|()| beside.as_file().sync_all()).map_err(|error| trouble(&error))?;
    let kept = match existing {
        Existing::Replace => beside.persist(path),
        Existing::Keep => beside.persist_noclobber(path),
    };
    kept.map(drop).map_err(|error| match error.error.kind() {
        ErrorKind::AlreadyExists => already_there(path),
        _ => trouble(&error.error),
    })
}

/// A temporary file that others may read, as far as the user's own mask allows: job folders are shared.
fn temporary() -> tempfile::Builder<'static, 'static> {
    let builder = tempfile::Builder::new();
    #[cfg(unix)]
    let builder = {
        use std::os::unix::fs::PermissionsExt as _;
        let mut builder = builder;
        builder.permissions(fs::Permissions::from_mode(0o666));
        builder
    };
    builder
}

/// The message for a file that is in the way.
pub fn already_there(path: &Path) -> Trouble {
    Trouble::with_file(
        path,
        "is already there and was not overwritten",
        "choose another name, or move it away first",
    )
}

/// Whether two paths lead to one file: by another spelling, or through a link.
pub fn same(a: &Path, b: &Path) -> bool {
    let spelled = |path| fs::canonicalize(path).ok();
    spelled(a).is_some_and(|a| Some(a) == spelled(b)) || linked(a, b)
}

#[cfg(unix)]
fn linked(a: &Path, b: &Path) -> bool {
    use std::os::unix::fs::MetadataExt as _;
    let identity = |path| fs::metadata(path).ok().map(|about| (about.dev(), about.ino()));
    identity(a).is_some_and(|a| Some(a) == identity(b))
}

/// A hard link has no identity to be asked for here; writing replaces the name alone, so the other file stays whole.
#[cfg(not(unix))]
fn linked(_a: &Path, _b: &Path) -> bool {
    false
}

/// The folder a file lies in; the current one for a bare name.
pub fn folder_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_path_buf(),
        _ => PathBuf::from("."),
    }
}

/// Makes a folder, and those it lies in, where they are not there yet.
///
/// # Errors
/// Which folder, and why not.
pub fn make_folder(folder: &Path) -> Result<(), Trouble> {
    fs::create_dir_all(folder).map_err(|error| {
        Trouble::with_file(folder, format!("the folder could not be made ({error})"), "choose another folder")
    })
}

/// Words turned into a file name: letters and digits kept, everything else one dash.
pub fn slug(words: &str) -> String {
    let mut name = String::new();
    for c in words.chars() {
        if c.is_alphanumeric() {
            name.extend(c.to_lowercase());
        } else if !name.is_empty() && !name.ends_with('-') {
            name.push('-');
        }
    }
    let name = name.trim_end_matches('-');
    if name.is_empty() { "unnamed".to_owned() } else { name.chars().take(80).collect() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_read_up_to_its_limit() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("a.nc");
        write(&path, b"12345", Existing::Keep).expect("written");
        assert_eq!(read(&path, 5).expect("read"), b"12345");
        assert!(read(&path, 4).expect_err("too big").what.contains("larger"));
        assert!(read(folder.path(), 4).expect_err("a folder").what.contains("folder"));
        assert!(read(&folder.path().join("b.nc"), 4).expect_err("missing").what.contains("no such file"));
    }

    #[test]
    fn what_must_be_kept_is_kept() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("a.json");
        write(&path, b"old", Existing::Keep).expect("written");
        let refused = write(&path, b"new", Existing::Keep).expect_err("kept");
        assert!(refused.to_string().contains("already there"), "{refused}");
        assert_eq!(read(&path, 9).expect("read"), b"old");
        write(&path, b"new", Existing::Replace).expect("replaced");
        assert_eq!(read(&path, 9).expect("read"), b"new");
        assert!(write(&folder.path().join("no/such/a"), b"", Existing::Replace).is_err());
    }

    #[test]
    fn one_file_by_two_names_is_one_file() {
        let folder = tempfile::tempdir().expect("a folder");
        let (path, other) = (folder.path().join("a.nc"), folder.path().join("b.nc"));
        write(&path, b"a", Existing::Keep).expect("written");
        assert!(same(&path, &folder.path().join(".").join("a.nc")));
        assert!(!same(&path, &other), "not there yet");
        write(&other, b"a", Existing::Keep).expect("written");
        assert!(!same(&path, &other));
        #[cfg(unix)]
        for link in ["symbolic", "hard"] {
            let name = folder.path().join(link);
            let made = if link == "hard" {
                fs::hard_link(&path, &name)
            } else {
                std::os::unix::fs::symlink(&path, &name)
            };
            made.expect("a link");
            assert!(same(&path, &name) && !same(&other, &name), "{link}");
        }
    }

    #[test]
    fn names_become_file_names() {
        assert_eq!(slug("Rough, leave .050"), "rough-leave-050");
        assert_eq!(slug("../.."), "unnamed");
    }
}
