//! Folders that a person goes to: the job's, one's own, and those used last, which are kept in the state folder.

use std::path::{Path, PathBuf};

use crate::files;

/// What the file is called, and the most of it that is read.
const NAME: &str = "folders.txt";
const MOST_BYTES: u64 = 65_536;
/// The first line: what it is, and its form.
const FIRST: &str = "blockwright-folders/1";
/// Folders that are remembered.
const MOST: usize = 6;

/// The folders used last, the latest first.
#[derive(Debug, Default)]
pub(super) struct Places {
    last: Vec<PathBuf>,
    /// Where they are kept.
    at: Option<PathBuf>,
}

impl Places {
    /// Those that were kept in this state folder; what is damaged there counts for nothing.
    pub(super) fn kept_in(state: &Path) -> Self {
        let at = state.join(NAME);
        let text = files::read(&at, MOST_BYTES).ok().and_then(|bytes| String::from_utf8(bytes).ok());
        Self { last: text.as_deref().map(decode).unwrap_or_default(), at: Some(at) }
    }

    /// Something was read from here, or written here.
    pub(super) fn used(&mut self, path: &Path) {
        let whole = std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf());
        let folder = if whole.is_dir() { Some(whole) } else { whole.parent().map(Path::to_path_buf) };
        if let Some(folder) = folder.filter(|folder| folder.is_dir()) {
            self.last.retain(|other| *other != folder);
            self.last.insert(0, folder);
            self.last.truncate(MOST);
        }
    }

    /// Keeps them. Where that fails they are gone at the next start, and nobody is told.
    pub(super) fn keep(&self) {
        if let Some(at) = self.at.as_ref().filter(|_| !self.last.is_empty()) {
            let _ = files::write(at, encode(&self.last).as_bytes(), true);
        }
    }

    /// All that is offered, each once: this folder first.
    pub(super) fn offered(&self, own: &Path) -> Vec<PathBuf> {
        let own = std::path::absolute(own).unwrap_or_else(|_| own.to_path_buf());
        let mut all: Vec<PathBuf> = Vec::new();
        for folder in [own].into_iter().chain(std::env::home_dir()).chain(self.last.iter().cloned()) {
            if !all.contains(&folder) {
                all.push(folder);
            }
        }
        all
    }
}

fn encode(folders: &[PathBuf]) -> String {
    let lines = folders.iter().filter_map(|folder| folder.to_str()).filter(|line| !line.contains('\n'));
    let mut text: Vec<&str> = std::iter::once(FIRST).chain(lines).collect();
    text.push("");
    text.join("\n")
}

fn decode(text: &str) -> Vec<PathBuf> {
    let mut lines = text.lines();
    if lines.next() != Some(FIRST) {
        return Vec::new();
    }
    lines.map(PathBuf::from).filter(|folder| folder.is_absolute()).take(MOST).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn folders_used_last_come_back_the_latest_first() {
        let state = tempfile::tempdir().expect("a folder");
        let (one, two) = (state.path().join("one"), state.path().join("two"));
        for folder in [&one, &two] {
            std::fs::create_dir(folder).expect("made");
        }
        let mut places = Places::kept_in(state.path());
        for path in [one.join("a.nc"), two.join("b.nc"), one.join("c.nc"), state.path().join("none/d.nc")] {
            places.used(&path);
        }
        places.keep();
        let again = Places::kept_in(state.path());
        assert_eq!(again.last, [one.clone(), two.clone()]);
        let offered = again.offered(&two);
        assert_eq!(offered.iter().filter(|folder| **folder == two).count(), 1, "each once");
        assert_eq!(offered.first(), Some(&two));
    }

    #[test]
    fn a_damaged_list_counts_for_nothing() {
        assert_eq!(decode("something else\n/tmp\n"), Vec::<PathBuf>::new());
        assert_eq!(decode("blockwright-folders/1\nnot from the root\n/tmp\n"), [PathBuf::from("/tmp")]);
        assert_eq!(decode(""), Vec::<PathBuf>::new());
    }
}
