//! Looks now and then whether a program's file has been posted again.
//!
//! It asks for the time and length of each file once a second, on a thread of its own: that works on a network drive,
//! where notices of change do not.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::time::{Duration, SystemTime};

use super::super::act::Action;
use crate::background;
use crate::worker::Wake;

/// How long between two looks.
const PAUSE: Duration = Duration::from_secs(1);

/// A file at one moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stamp {
    /// When it was last written.
    pub written: SystemTime,
    /// Its length in bytes.
    pub length: u64,
}

impl Stamp {
    /// The file as it is; `None` when it cannot be seen at the moment.
    pub fn of(path: &Path) -> Option<Self> {
        let about = fs::metadata(path).ok()?;
        Some(Self { written: about.modified().ok()?, length: about.len() })
    }

    /// The time it was written, by the shop's clock.
    pub(super) fn clock(&self) -> String {
        let at = jiff::Timestamp::try_from(self.written).ok();
        at.map(|at| at.to_zoned(jiff::tz::TimeZone::system()).strftime("%H:%M").to_string())
            .unwrap_or_default()
    }
}

/// Looks that a file is away before it is told: whoever writes it may take it away for a moment.
const AWAY: u32 = 3;

/// What has become of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Notice {
    /// It was written anew.
    Posted(Stamp),
    /// It is gone.
    Gone,
    /// It is there again, as it was.
    Back,
}

/// One file that is looked at.
#[derive(Debug)]
struct Watched {
    path: PathBuf,
    /// How many bytes were read of it.
    bytes: u64,
    /// As it was read, or as the last notice told it.
    known: Option<Stamp>,
    /// As it was at the last look.
    last: Option<Stamp>,
    /// Looks since it was there.
    away: u32,
}

impl Watched {
    /// A file just read with this many bytes.
    fn new(path: PathBuf, bytes: u64) -> Self {
        let now = Stamp::of(&path);
        // One that is already another was posted again while it was read: that must be told.
        let known = now.filter(|stamp| stamp.length == bytes);
        Self { path, bytes, known, last: now, away: 0 }
    }

    /// What it has become, once it has come to rest.
    fn look(&mut self, now: Option<Stamp>) -> Option<Notice> {
        let before = std::mem::replace(&mut self.last, now);
        let Some(now) = now else {
            self.away = self.away.saturating_add(1);
            return (self.away == AWAY).then_some(Notice::Gone);
        };
        // Still being written.
        if before != Some(now) {
            return None;
        }
        let was_gone = std::mem::take(&mut self.away) >= AWAY;
        if self.known == Some(now) {
            return was_gone.then_some(Notice::Back);
        }
        self.known = Some(now);
        Some(Notice::Posted(now))
    }
}

/// The window's end of the thread that looks.
#[derive(Debug)]
pub(in crate::app) struct Watch(Option<Sender<Vec<(PathBuf, u64)>>>);

impl Watch {
    /// Starts the thread; notices go to `answer`.
    pub(in crate::app) fn start(answer: Sender<Action>, wake: Wake) -> Self {
        let (files, incoming) = channel();
        let (tell, woken) = (answer.clone(), Arc::clone(&wake));
        let done = move |served: Result<(), _>| {
            if let Err(trouble) = served {
                let _ = tell.send(Action::Tell(trouble));
                woken();
            }
        };
        let work = move || serve(&incoming, &answer, &wake);
        let started = background::start("watch", "the watch for reposted programs", work, done).is_some();
        Self(started.then_some(files))
    }

    /// From now on these files, each just read with so many bytes, and no others.
    pub(in crate::app) fn only(&self, files: Vec<(PathBuf, u64)>) {
        if let Some(sender) = &self.0 {
            // Without the thread nothing is told; everything else goes on.
            let _ = sender.send(files);
        }
    }
}

fn serve(incoming: &Receiver<Vec<(PathBuf, u64)>>, answer: &Sender<Action>, wake: &Wake) {
    let mut watched: Vec<Watched> = Vec::new();
    loop {
        match incoming.recv_timeout(PAUSE) {
            Ok(files) => {
                let mut before = std::mem::take(&mut watched);
                let watch = |(path, bytes)| {
                    let at = before.iter().position(|old| old.path == path && old.bytes == bytes);
                    at.map_or_else(|| Watched::new(path, bytes), |at| before.swap_remove(at))
                };
                watched = files.into_iter().map(watch).collect();
            }
            Err(RecvTimeoutError::Timeout) => {}
            Err(RecvTimeoutError::Disconnected) => return,
        }
        for file in &mut watched {
            if let Some(notice) = file.look(Stamp::of(&file.path)) {
                if answer.send(Action::Noticed(file.path.clone(), notice)).is_err() {
                    return;
                }
                wake();
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stamp(seconds: u64, length: u64) -> Stamp {
        Stamp { written: SystemTime::UNIX_EPOCH + Duration::from_secs(seconds), length }
    }

    #[test]
    fn a_change_is_told_once_it_has_come_to_rest() {
        let first = stamp(1, 10);
        let mut file =
            Watched { path: "1.nc".into(), bytes: 10, known: Some(first), last: Some(first), away: 0 };
        assert_eq!(file.look(Some(first)), None);
        assert_eq!(file.look(Some(stamp(2, 4))), None, "being written");
        assert_eq!(file.look(None), None, "away for a moment");
        assert_eq!(file.look(Some(stamp(3, 12))), None);
        assert_eq!(file.look(Some(stamp(3, 12))), Some(Notice::Posted(stamp(3, 12))));
        assert_eq!(file.look(Some(stamp(3, 12))), None, "told once");
    }

    #[test]
    fn a_file_that_is_gone_is_told_once_and_so_is_its_return() {
        let first = stamp(1, 10);
        let mut file =
            Watched { path: "1.nc".into(), bytes: 10, known: Some(first), last: Some(first), away: 0 };
        let looks = [None, None, None, None, None, Some(first), Some(first), Some(first)];
        let told = looks.map(|now| file.look(now));
        let nothing = None;
        assert_eq!(
            told,
            [nothing, nothing, Some(Notice::Gone), nothing, nothing, nothing, Some(Notice::Back), nothing]
        );
    }

    #[test]
    fn one_posted_while_it_was_read_is_told() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("1.nc");
        fs::write(&path, "G0\n").expect("written");
        let mut other = Watched::new(path.clone(), 2);
        assert!(other.look(Stamp::of(&path)).is_some());
        let mut same = Watched::new(path.clone(), 3);
        assert_eq!(same.look(Stamp::of(&path)), None);
    }
}
