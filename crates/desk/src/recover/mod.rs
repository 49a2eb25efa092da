//! Unsaved work: kept beside nothing that the user owns, and offered again after a crash or a kill.

mod format;
mod restore;
mod store;

use std::path::PathBuf;

pub use format::{Program, Work};
pub use restore::{Restored, restore};
pub use store::{Left, Store};

/// The folder in which this computer keeps the state of programs.
pub fn folder() -> Option<PathBuf> {
    let named = |name: &str| std::env::var_os(name).map(PathBuf::from).filter(|path| path.is_absolute());
    if cfg!(windows) {
        return Some(named("LOCALAPPDATA")?.join("Blockwright"));
    }
    if cfg!(target_os = "macos") {
        return Some(named("HOME")?.join("Library/Application Support/Blockwright"));
    }
    let state = named("XDG_STATE_HOME").or_else(|| Some(named("HOME")?.join(".local/state")));
    Some(state?.join("blockwright"))
}
