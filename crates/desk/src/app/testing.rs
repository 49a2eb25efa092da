//! What the unit tests of several rooms share: a desk with something on it, what is lent of it, and what an answer asks for.

use std::sync::Arc;
use std::time::{Duration, Instant};

use blockwright_core::demo;
use blockwright_core::job::Job;
use eframe::egui::Context;

use super::desk::{self, Desk};
use super::dialog::{self, Dialog, Question};
use super::look::{self, Look};
use super::room::{Effect, Effects, ToWindow, World};
use crate::open;

/// A desk and what of it is looked at.
pub(super) struct Shop {
    pub(super) desk: Desk,
    pub(super) look: Look,
    ctx: Context,
    folder: tempfile::TempDir,
}

impl Shop {
    /// One of the samples, in a folder of its own; not checked yet.
    pub(super) fn open(sample: &str) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        for (name, bytes) in demo::files().iter().filter(|(name, _)| name.starts_with(sample)) {
            let target = folder.path().join(name);
            std::fs::create_dir_all(target.parent().expect("in a folder")).expect("made");
            std::fs::write(target, bytes).expect("written");
        }
        let opened = open::at_once(&[folder.path().join(sample).join("job.json")], None).expect("a job");
        let desk = Desk::new(opened, Arc::new(|| {}));
        Self { desk, look: Look::default(), ctx: Context::default(), folder }
    }

    /// The same, checked: at most four minutes, for a computer with other work to do.
    pub(super) fn checked(sample: &str) -> Self {
        let (mut shop, start) = (Self::open(sample), Instant::now());
        while shop.desk.whole_proof().is_none() {
            assert!(start.elapsed() < Duration::from_mins(4), "{sample} was not checked");
            std::thread::sleep(Duration::from_millis(2));
            let effects = shop.desk.tick();
            shop.look_all(effects);
        }
        shop
    }

    /// A path in its folder.
    pub(super) fn path(&self, name: &str) -> std::path::PathBuf {
        self.folder.path().join(name)
    }

    /// What the rooms may read.
    pub(super) fn world(&self) -> World<'_> {
        World { desk: &self.desk, look: &self.look, seen: None, block_width: None, ctx: &self.ctx }
    }

    /// Looks at something else.
    pub(super) fn look(&mut self, message: look::Message) -> Effects {
        self.look.update(message, look::Around { desk: &self.desk, seen: None })
    }

    /// Does what is asked of the desk, and what that asks of it and of the look; the rest is given back.
    pub(super) fn carry(&mut self, effects: Effects) -> Effects {
        let mut rest = Effects::new();
        for effect in effects {
            match effect {
                Effect::Desk(message) => {
                    let next = self.desk.update(message);
                    rest.extend(self.carry(next));
                }
                Effect::Look(message) => {
                    let next = self.look(message);
                    rest.extend(self.carry(next));
                }
                Effect::Arranged(slot) => {
                    let now = slot.and_then(|slot| self.desk.order().iter().position(|other| *other == slot));
                    self.look(look::Message::Arranged(now));
                }
                other => rest.push(other),
            }
        }
        rest
    }

    fn look_all(&mut self, effects: Effects) {
        assert!(self.carry(effects).is_empty(), "nothing else is asked for");
    }
}

/// The small window that is to be opened.
fn shown(effects: &Effects) -> Option<&Dialog> {
    effects.iter().find_map(|effect| match effect {
        Effect::OnTop(dialog::Message::Show(dialog)) => Some(&**dialog),
        _ => None,
    })
}

/// The question that is asked.
pub(super) fn question(effects: &Effects) -> Option<&Question> {
    match shown(effects)? {
        Dialog::Question(question) => Some(question),
        _ => None,
    }
}

/// What is said to have gone wrong.
pub(super) fn trouble(effects: &Effects) -> Option<String> {
    match shown(effects)? {
        Dialog::Trouble(trouble) => Some(trouble.to_string()),
        _ => None,
    }
}

/// The job that is to be checked.
pub(super) fn edited(effects: &Effects) -> Option<&Job> {
    effects.iter().find_map(|effect| match effect {
        Effect::Desk(desk::Message::Edit(job)) => Some(&**job),
        _ => None,
    })
}

/// Whether the window is told to stay open.
pub(super) fn stays_open(effects: &Effects) -> bool {
    effects.iter().any(|effect| matches!(effect, Effect::Window(ToWindow::StayOpen)))
}

/// Things of which only the words can be held against each other.
pub(super) fn same(one: &impl std::fmt::Debug, other: &impl std::fmt::Debug) -> bool {
    format!("{one:?}") == format!("{other:?}")
}
