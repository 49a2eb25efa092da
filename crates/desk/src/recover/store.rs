//! Where unsaved work is kept: one file for each window, with a lock that ends with it, however it ends.

use std::fs::{self, File, OpenOptions};
use std::path::{Path, PathBuf};

use tempfile::{Builder, NamedTempFile};

use super::format::Work;
use crate::files;
use crate::trouble::Trouble;

/// Largest work that is kept, and pieces of it that are offered; older ones go.
const MOST_BYTES: usize = 256 << 20;
const MOST_LEFT: usize = 20;

/// Ends of the file names.
const WORK: &str = "work";
const LOCK: &str = "lock";

/// The place of one window.
#[derive(Debug)]
pub struct Store {
    folder: PathBuf,
    /// Locked while the window is there.
    lock: NamedTempFile,
}

/// Work that a window left which is gone. While this is held, no other window is offered it.
#[derive(Debug)]
pub struct Left {
    /// The work.
    pub work: Work,
    path: PathBuf,
    _lock: Option<File>,
}

impl Left {
    /// Throws it away.
    pub fn discard(self) {
        let _ = fs::remove_file(&self.path);
        let _ = fs::remove_file(self.path.with_extension(LOCK));
    }
}

impl Store {
    /// A place in this folder, which is made.
    ///
    /// # Errors
    /// Why there is none.
    pub fn open(folder: &Path) -> Result<Self, Trouble> {
        files::make_folder(folder)?;
        private(folder);
        let trouble = |error: &std::io::Error| {
            Trouble::with_file(folder, format!("takes no unsaved work ({error})"), "save often")
        };
        let lock = Builder::new().prefix("window-").suffix(".lock").rand_bytes(12).tempfile_in(folder);
        let lock = lock.map_err(|error| trouble(&error))?;
        // Without locks, as on some network drives, another window may offer this one's work.
        let _ = lock.as_file().try_lock();
        Ok(Self { folder: folder.to_path_buf(), lock })
    }

    fn own(&self) -> PathBuf {
        self.lock.path().with_extension(WORK)
    }

    /// Keeps the work, in place of what was kept before.
    ///
    /// # Errors
    /// Why it is not kept.
    pub fn keep(&self, work: &Work) -> Result<(), Trouble> {
        let bytes = work.encode();
        if bytes.len() > MOST_BYTES {
            return Err(Trouble::at("Unsaved work", "is too large to be kept against a crash", "save it"));
        }
        files::write(&self.own(), &bytes, true)
    }

    /// Everything is saved, or given up.
    pub fn clear(&self) {
        let _ = fs::remove_file(self.own());
    }

    /// What windows have left that are gone, the newest first.
    pub fn left(&self) -> Vec<Left> {
        let Ok(entries) = fs::read_dir(&self.folder) else { return Vec::new() };
        let paths: Vec<PathBuf> = entries.flatten().map(|entry| entry.path()).collect();
        for lock in paths.iter().filter(|path| has_end(path, LOCK) && !path.with_extension(WORK).exists()) {
            // A window that is there keeps its lock, with or without work.
            if *lock != self.lock.path() && locked(lock).is_some() {
                let _ = fs::remove_file(lock);
            }
        }
        let mut left: Vec<Left> =
            paths.iter().filter(|path| has_end(path, WORK)).filter_map(|path| self.one(path)).collect();
        left.sort_by_key(|left| std::cmp::Reverse(left.work.at));
        for old in left.drain(MOST_LEFT.min(left.len())..) {
            old.discard();
        }
        left
    }

    fn one(&self, path: &Path) -> Option<Left> {
        let lock = path.with_extension(LOCK);
        if path == self.own() {
            return None;
        }
        let held = if lock.exists() { Some(locked(&lock)?) } else { None };
        let bytes = files::read(path, MOST_BYTES as u64).ok()?;
        let Some(work) = Work::decode(&bytes) else {
            // Written whole or not at all, so it is none of ours.
            return None;
        };
        Some(Left { work, path: path.to_path_buf(), _lock: held })
    }
}

fn has_end(path: &Path, end: &str) -> bool {
    path.extension().is_some_and(|own| own == end)
}

/// The lock of a window that is gone.
fn locked(path: &Path) -> Option<File> {
    let file = OpenOptions::new().write(true).open(path).ok()?;
    file.try_lock().ok().map(|()| file)
}

/// Nobody else reads what is not saved.
fn private(folder: &Path) {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        let _ = fs::set_permissions(folder, fs::Permissions::from_mode(0o700));
    }
    #[cfg(not(unix))]
    let _ = folder;
}

#[cfg(test)]
mod tests {
    use super::super::format::tests::work;
    use super::*;

    #[test]
    fn work_is_left_by_a_window_that_is_gone_and_by_no_other() {
        let folder = tempfile::tempdir().expect("a folder");
        let one = Store::open(folder.path()).expect("a place");
        one.keep(&work()).expect("kept");
        let other = Store::open(folder.path()).expect("a place");
        assert!(other.left().is_empty(), "the first window is still there");
        // As a kill leaves it: the lock's file stays, the lock does not.
        let lock = one.lock.path().to_path_buf();
        drop(one);
        fs::write(&lock, "").expect("written");
        let left = other.left();
        assert_eq!(left.len(), 1);
        assert_eq!(left[0].work, work());
        let third = Store::open(folder.path()).expect("a place");
        assert!(third.left().is_empty(), "offered by one window at a time");
        drop(left);
        let mut again = third.left();
        again.pop().expect("offered again").discard();
        assert!(third.left().is_empty() && !lock.exists());
    }

    #[test]
    fn what_is_saved_is_not_offered() {
        let folder = tempfile::tempdir().expect("a folder");
        let one = Store::open(folder.path()).expect("a place");
        one.keep(&work()).expect("kept");
        one.clear();
        drop(one);
        let other = Store::open(folder.path()).expect("a place");
        assert!(other.left().is_empty());
        let names: Vec<_> = fs::read_dir(folder.path()).expect("a folder").flatten().collect();
        assert_eq!(names.len(), 1, "nothing stays but the lock of the window that is there: {names:?}");
    }

    #[test]
    fn no_more_is_kept_than_anyone_looks_through() {
        let folder = tempfile::tempdir().expect("a folder");
        for at in 0..30 {
            let bytes = Work { at, ..work() }.encode();
            fs::write(folder.path().join(format!("window-{at}.work")), bytes).expect("written");
        }
        fs::write(folder.path().join("window-x.work"), "something else").expect("written");
        let store = Store::open(folder.path()).expect("a place");
        let left: Vec<i64> = store.left().iter().map(|left| left.work.at).collect();
        assert_eq!(left, (10..30).rev().collect::<Vec<_>>());
        assert_eq!(store.left().len(), 20, "the older ones are gone");
    }
}
