//! A place from which nothing that a test does leads out: a home of its own, in a process of its own.
//!
//! `around/home` is the home, with the jobs in it; `around/state` is the state folder; `around/beside` stands for everything
//! else, and must be at the end as it was. A path that would lead out of the home is not used: see [`Inside::holds`].

#![allow(unreachable_pub, dead_code, reason = "shared by the test files, each of which uses a part of it")]

use std::collections::BTreeMap;
use std::path::{Component, Path, PathBuf};
use std::process::Command;

/// What tells the process where it may work.
const AROUND: &str = "WORKS_INSIDE";

/// Without these no dialog of the system comes up, also on a desk where there is one.
const OF_THE_SESSION: [&str; 3] = ["DISPLAY", "WAYLAND_DISPLAY", "DBUS_SESSION_BUS_ADDRESS"];

/// The place.
pub struct Inside {
    around: PathBuf,
    /// Removed with it, in the process that made it.
    _made: Option<tempfile::TempDir>,
}

impl Inside {
    /// A new one.
    pub fn made() -> Self {
        let made = tempfile::tempdir().expect("a folder");
        // As the process that works there is told its own folder: links followed.
        let inside = Self { around: made.path().canonicalize().expect("there"), _made: Some(made) };
        for folder in [inside.jobs(), inside.state(), inside.beside()] {
            std::fs::create_dir_all(folder).expect("made");
        }
        for (name, bytes) in [("job.json", "{}"), ("1001.nc", "G0 Z1.\r\n"), ("job", "")] {
            std::fs::write(inside.beside().join(name), bytes).expect("written");
        }
        inside
    }

    /// The one that this process was started in.
    pub fn here() -> Self {
        let around = std::env::var_os(AROUND).expect("started by another test, with a home of its own");
        Self { around: PathBuf::from(around), _made: None }
    }

    /// Runs another test of this file in it; nothing outside of the home may have changed by that.
    pub fn run(&self, test: &str) {
        let before = all_in(&self.around, &[self.home(), self.state()]);
        let status = self.command(test).status().expect("it runs");
        assert!(status.success(), "{test}: {status}, its words stand above");
        assert_eq!(
            all_in(&self.around, &[self.home(), self.state()]),
            before,
            "something was written outside"
        );
    }

    /// Another test of this file as a process of its own, with this for its home.
    pub fn command(&self, test: &str) -> Command {
        let mut command = Command::new(std::env::current_exe().expect("this file"));
        command.args(["--exact", test, "--ignored", "--nocapture"]).current_dir(self.jobs());
        command.env(AROUND, &self.around).env("HOME", self.home()).env("USERPROFILE", self.home());
        for name in OF_THE_SESSION {
            command.env_remove(name);
        }
        command
    }

    /// The home: what may be written to.
    pub fn home(&self) -> PathBuf {
        self.around.join("home")
    }

    /// Where the jobs are, and the process is.
    pub fn jobs(&self) -> PathBuf {
        self.home().join("jobs")
    }

    /// The state folder.
    pub fn state(&self) -> PathBuf {
        self.around.join("state")
    }

    /// A folder outside, with a job in it.
    pub fn beside(&self) -> PathBuf {
        self.around.join("beside")
    }

    /// Whether a path as it stands in a field stays in the home.
    pub fn holds(&self, typed: &str) -> bool {
        let path = self.jobs().join(typed.trim().trim_matches('"'));
        let mut whole = PathBuf::new();
        for part in path.components() {
            if part == Component::ParentDir {
                whole.pop();
            } else {
                whole.push(part);
            }
        }
        whole.starts_with(self.home())
    }
}

/// All files and folders below, with what is in them, but for some folders.
fn all_in(folder: &Path, but: &[PathBuf]) -> BTreeMap<PathBuf, Option<Vec<u8>>> {
    let mut all = BTreeMap::new();
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if but.contains(&path) {
            continue;
        }
        if path.is_dir() {
            all.extend(all_in(&path, but));
            all.insert(path, None);
        } else {
            let bytes = std::fs::read(&path).expect("a file");
            all.insert(path, Some(bytes));
        }
    }
    all
}
