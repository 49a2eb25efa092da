//! What lies in a folder, for a person to choose from.

use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use super::unreadable;
use crate::trouble::Trouble;

/// Most entries that are told; nobody looks through more.
pub const MOST_LISTED: usize = 2_000;

/// What lies in a folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Listing {
    /// The folder, from the root on.
    pub at: PathBuf,
    /// The folder itself was asked for, not a file in it.
    pub is_folder: bool,
    /// Names of the folders in it, in order.
    pub folders: Vec<String>,
    /// Names of the files in it that are wanted, in order.
    pub files: Vec<String>,
    /// There is more than is told.
    pub more: bool,
}

/// Lists the folder that a path names, or the one in which its file would lie. What is hidden and what has a name that
/// is no text is left out.
///
/// # Errors
/// Why the folder cannot be read.
pub fn list(path: &Path, wanted: impl Fn(&str) -> bool) -> Result<Listing, Trouble> {
    let whole = std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf());
    let is_folder = whole.is_dir();
    let parent = || whole.parent().map(Path::to_path_buf);
    let at = if is_folder { whole.clone() } else { parent().unwrap_or_else(|| whole.clone()) };
    let entries = fs::read_dir(&at).map_err(|error| match error.kind() {
        ErrorKind::NotFound => Trouble::with_file(&at, "there is no such folder", "check the spelling"),
        _ => unreadable(&at, &error),
    })?;
    let mut listing = Listing { at, is_folder, folders: Vec::new(), files: Vec::new(), more: false };
    for entry in entries.filter_map(Result::ok) {
        let Ok(name) = entry.file_name().into_string() else { continue };
        if name.starts_with('.') {
            continue;
        }
        if listing.folders.len() + listing.files.len() >= MOST_LISTED {
            listing.more = true;
            break;
        }
        // A link counts as what it leads to.
        if entry.path().is_dir() {
            listing.folders.push(name);
        } else if wanted(&name) {
            listing.files.push(name);
        }
    }
    let order = |name: &String| (name.to_lowercase(), name.clone());
    listing.folders.sort_by_cached_key(order);
    listing.files.sort_by_cached_key(order);
    Ok(listing)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_is_told_in_order_and_without_what_is_hidden() {
        let folder = tempfile::tempdir().expect("a folder");
        for name in ["b.nc", "A.nc", ".hidden.nc", "picture.png"] {
            fs::write(folder.path().join(name), "").expect("written");
        }
        fs::create_dir(folder.path().join("jobs")).expect("made");
        let wanted = |name: &str| !name.contains("picture");
        let listing = list(folder.path(), wanted).expect("read");
        assert_eq!(
            (&listing.folders[..], &listing.files[..]),
            (&["jobs".to_owned()][..], &["A.nc".to_owned(), "b.nc".to_owned()][..])
        );
        assert!(listing.is_folder && !listing.more);
        // A file that is not there yet lies in the same folder.
        let beside = list(&folder.path().join("new.json"), wanted).expect("read");
        assert!(!beside.is_folder);
        assert_eq!(beside.files, listing.files);
    }

    #[test]
    fn a_folder_that_is_not_there_is_told() {
        let folder = tempfile::tempdir().expect("a folder");
        assert!(list(&folder.path().join("none/at all"), |_| true).is_err());
    }
}
