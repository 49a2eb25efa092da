//! Reading and writing files, with limits and with messages a person can act on.
//!
//! `rule` is the one place that says what may be written over; `replace` writes whole or not at all.

mod kind;
mod list;
mod replace;
mod rule;
mod stranger;

use std::fs::{self, File};
use std::hash::{Hash as _, Hasher as _};
use std::io::{ErrorKind, Read};
use std::path::{Component, Path, PathBuf};

pub use kind::Kind;
pub use list::{Listing, MOST_LISTED, list};
pub use replace::{clear, is_temporary, write};
pub use rule::{Blocked, Existing, Product, Reads, Ways, may_write, save};
use stranger::stranger;

use blockwright_core::limits;

use crate::trouble::Trouble;

/// Largest job file read; the largest sensible job is a few thousand times smaller.
pub const JOB_LIMIT: u64 = limits::JOB_BYTES as u64;

/// Largest program read; larger ones are not written by hand, and would fill the memory of a shop machine.
pub const PROGRAM_LIMIT: u64 = limits::PROGRAM_BYTES;

/// What a file held when it was read, to tell whether another program has changed it since.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Print {
    /// Its length in bytes.
    pub length: u64,
    hash: u64,
}

impl Print {
    /// Of what was read or written.
    pub fn of(bytes: &[u8]) -> Self {
        let mut hash = std::hash::DefaultHasher::new();
        bytes.hash(&mut hash);
        Self { length: bytes.len() as u64, hash: hash.finish() }
    }

    /// Of the file as it is; `None` when it cannot be read.
    pub fn at(path: &Path) -> Option<Self> {
        read(path, PROGRAM_LIMIT).ok().map(|bytes| Self::of(&bytes))
    }
}

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

/// Reads a program. What holds none is said to be what it is.
///
/// # Errors
/// What is wrong with the file and what to do about it.
pub fn program(path: &Path) -> Result<Vec<u8>, Trouble> {
    let bytes = read(path, PROGRAM_LIMIT)?;
    no_program(path, &bytes).map_or(Ok(bytes), Err)
}

/// Why a file is no program, or none that can be taken.
pub fn no_program(path: &Path, bytes: &[u8]) -> Option<Trouble> {
    stranger(path, bytes).or_else(|| too_many_lines(path, bytes))
}

fn too_many_lines(path: &Path, bytes: &[u8]) -> Option<Trouble> {
    let most = limits::PROGRAM_LINES;
    let (mut feeds, mut returns) = (0_usize, 0_usize);
    for byte in bytes {
        feeds += usize::from(*byte == b'\n');
        returns += usize::from(*byte == b'\r');
    }
    let ends = feeds.max(returns);
    (ends > most).then(|| {
        Trouble::with_file(
            path,
            format!("has more than {} million lines", most / 1_000_000),
            "check whether it is the file you mean, or split it",
        )
    })
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

/// The message for a file that is in the way.
pub fn already_there(path: &Path) -> Trouble {
    Trouble::with_file(
        path,
        "is already there and was not overwritten",
        "choose another name, or move it away first",
    )
}

/// Whether two paths lead to one file: by another spelling, or through a link. A file that is not there is told by its
/// folder and name.
pub fn same(a: &Path, b: &Path) -> bool {
    let spelled = |path: &Path| {
        let there = fs::canonicalize(path);
        there
            .or_else(|_| Ok::<_, std::io::Error>(fs::canonicalize(folder_of(path))?.join(name_of(path))))
            .ok()
    };
    a == b || spelled(a).is_some_and(|a| Some(a) == spelled(b)) || linked(a, b)
}

fn name_of(path: &Path) -> &std::ffi::OsStr {
    path.file_name().unwrap_or_default()
}

/// Whether a name that a job gives to one of its files stays in the job's folder: no way up and none from the root.
pub fn stays_inside(name: &str) -> bool {
    let down = |part| matches!(part, Component::Normal(_) | Component::CurDir);
    Path::new(name).components().all(down)
}

/// Whether a file to be written lies in this folder or below, links followed.
pub fn lies_in(folder: &Path, file: &Path) -> bool {
    let there = file.ancestors().skip(1).find_map(|above| {
        let above = if above.as_os_str().is_empty() { Path::new(".") } else { above };
        fs::canonicalize(above).ok()
    });
    let folder = fs::canonicalize(folder).ok();
    let end = fs::canonicalize(file).ok();
    folder.is_some_and(|folder| {
        there.is_some_and(|there| there.starts_with(&folder))
            && end.is_none_or(|end| end.starts_with(&folder))
    })
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
    if folder.exists() && !folder.is_dir() {
        return Err(Trouble::with_file(folder, "there is a file of that name", "name a folder"));
    }
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
        fs::write(&path, b"12345").expect("written");
        assert_eq!(read(&path, 5).expect("read"), b"12345");
        assert!(read(&path, 4).expect_err("too big").what.contains("larger"));
        assert!(read(folder.path(), 4).expect_err("a folder").what.contains("folder"));
        assert!(read(&folder.path().join("b.nc"), 4).expect_err("missing").what.contains("no such file"));
    }

    #[test]
    fn a_program_has_only_so_many_lines() {
        let path = Path::new("a.nc");
        for end in [&b"\n"[..], b"\r", b"\r\n"] {
            let text = [b"G1 X1".to_vec(), end.repeat(limits::PROGRAM_LINES)].concat();
            assert_eq!(no_program(path, &text), None);
            let trouble = no_program(path, &[text, end.to_vec()].concat()).expect("one line too many");
            assert!(trouble.what.contains("more than 5 million lines"), "{trouble}");
        }
    }

    #[test]
    fn one_file_by_two_names_is_one_file() {
        let folder = tempfile::tempdir().expect("a folder");
        let (path, other) = (folder.path().join("a.nc"), folder.path().join("b.nc"));
        fs::write(&path, b"a").expect("written");
        assert!(same(&path, &folder.path().join(".").join("a.nc")));
        assert!(!same(&path, &other), "not there yet");
        assert!(same(&other, &folder.path().join("./b.nc")), "one name, though nothing is there");
        fs::write(&other, b"a").expect("written");
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
    fn names_of_a_job_stay_in_its_folder() {
        for (name, inside) in [
            ("1001.nc", true),
            ("./programs/1001.nc", true),
            ("../1001.nc", false),
            ("programs/../../1001.nc", false),
            ("/tmp/1001.nc", false),
        ] {
            assert_eq!(stays_inside(name), inside, "{name}");
        }
        #[cfg(unix)]
        {
            let (folder, other) =
                (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("another"));
            std::os::unix::fs::symlink(other.path(), folder.path().join("away")).expect("a link");
            assert!(lies_in(folder.path(), &folder.path().join("new/deep/1.nc")));
            assert!(!lies_in(folder.path(), &folder.path().join("away/1.nc")));
            assert!(!lies_in(folder.path(), &folder.path().join("away/new/1.nc")));
        }
    }

    #[test]
    fn names_become_file_names() {
        assert_eq!(slug("Rough, leave .050"), "rough-leave-050");
        assert_eq!(slug("../.."), "unnamed");
    }
}
