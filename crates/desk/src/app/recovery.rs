//! Unsaved work, kept while the hand rests and offered again after a crash or a kill.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::{Sender, channel};
use std::thread::JoinHandle;

use blockwright_core::job::{self, Crib, Job};
use eframe::egui::{RichText, Ui};

use super::act::Action;
use super::desk::Desk;
use super::dialog::Dialog;
use super::program::{Snapshot, Texts};
use super::room::{Effect, Effects, ToWindow};
use crate::background;
use crate::open::Origin;
use crate::recover::{self, Left, Program, Store, Work};
use crate::theme::bold;

/// How long after a change it is kept, seconds.
const PAUSE: f64 = 1.0;

/// What the thread is told that writes.
enum Order {
    Keep(Box<dyn FnOnce() -> Work + Send>),
    Clear,
    /// What was offered is on the desk now, and is kept from there.
    Discard(Vec<Left>),
}

/// What of the desk is kept, to see when it changes.
#[derive(Clone)]
struct Seen {
    job: Arc<Job>,
    states: Vec<(usize, u64)>,
    to_do: Vec<String>,
}

impl PartialEq for Seen {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.job, &other.job) && self.states == other.states && self.to_do == other.to_do
    }
}

/// The keeping of unsaved work, and what was left by windows that are gone.
#[derive(Default)]
pub(super) struct Recovery {
    orders: Option<Sender<Order>>,
    writer: Option<JoinHandle<()>>,
    left: Vec<Left>,
    /// Restored, to be discarded once it is kept from the desk.
    restored: Vec<Left>,
    kept: Option<Seen>,
    due: Option<f64>,
    offered: bool,
}

/// What of the other rooms is kept.
#[derive(Debug, Clone, Copy)]
pub(super) struct Present<'a> {
    /// What is open.
    pub(super) desk: &'a Desk,
    /// Its programs as they are typed.
    pub(super) programs: Texts<'a>,
    /// What is in no file, in words.
    pub(super) unsaved: &'a [String],
    /// Something is being asked already.
    pub(super) asked: bool,
    /// The window's clock, seconds.
    pub(super) now: f64,
}

/// What was answered to the offer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Offered {
    /// Put what was left of this number on the desk.
    Restore(usize),
    /// Throw it away.
    Discard(usize),
}

impl std::fmt::Debug for Recovery {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Recovery").field("left", &self.left.len()).finish_non_exhaustive()
    }
}

impl Recovery {
    /// Keeps work in the place of this window.
    pub(super) fn new(store: Store) -> Self {
        let left = store.left();
        let (orders, incoming) = channel();
        let work = move || {
            for order in incoming {
                // What cannot be kept is lost only by a crash; the work itself goes on, and the next is kept again.
                let _ = background::caught(|| match order {
                    Order::Keep(work) => drop(store.keep(&work())),
                    Order::Clear => store.clear(),
                    Order::Discard(left) => left.into_iter().for_each(Left::discard),
                });
            }
        };
        let writer = background::start("keep", "the saving of unsaved work", work, |_| {});
        let mut recovery = Self::default();
        recovery.orders = writer.is_some().then_some(orders);
        (recovery.writer, recovery.left) = (writer, left);
        recovery
    }

    fn send(&self, order: Order) {
        if let Some(orders) = &self.orders {
            // Without the thread nothing is kept; everything else goes on.
            let _ = orders.send(order);
        }
    }

    /// What is offered, in words.
    pub(super) fn offers(&self) -> Vec<String> {
        self.left.iter().map(|left| words(&left.work)).collect()
    }

    /// The window is closed by its person: what is not saved is given up.
    pub(super) fn give_up(&mut self) {
        self.kept = None;
        self.send(Order::Clear);
    }

    /// Keeps what has changed once the hand rests, and offers what was left.
    pub(super) fn tick(&mut self, present: Present<'_>) -> Effects {
        let mut effects = Vec::new();
        if self.orders.is_none() {
            return effects;
        }
        if !self.offered && !self.left.is_empty() && !present.asked {
            self.offered = true;
            effects.push(Effect::show(Dialog::Left));
        }
        let to_do = present.desk.to_do();
        let seen = (!present.unsaved.is_empty() || !to_do.is_empty()).then(|| Seen {
            job: Arc::clone(&present.desk.source().job),
            states: present.programs.states(),
            to_do,
        });
        if seen == self.kept {
            self.due = None;
            return effects;
        }
        let due = *self.due.get_or_insert(present.now + if seen.is_some() { PAUSE } else { 0.0 });
        if present.now < due {
            effects.push(Effect::Window(ToWindow::WakeIn(due - present.now)));
            return effects;
        }
        self.due = None;
        self.send(if seen.is_some() { Order::Keep(work(present)) } else { Order::Clear });
        let restored = std::mem::take(&mut self.restored);
        if !restored.is_empty() {
            self.send(Order::Discard(restored));
        }
        self.kept = seen;
        effects
    }

    /// Does what was answered to the offer.
    pub(super) fn update(&mut self, answer: Offered) -> Effects {
        match answer {
            Offered::Restore(index) => self.restore(index),
            Offered::Discard(index) => {
                if index < self.left.len() {
                    let left = self.left.remove(index);
                    self.send(Order::Discard(vec![left]));
                }
                self.left.is_empty().then(Effect::close).into_iter().collect()
            }
        }
    }

    /// Puts one of them on the desk.
    fn restore(&mut self, index: usize) -> Effects {
        let Some(left) = self.left.get(index) else { return Vec::new() };
        match recover::restore(&left.work) {
            Ok(restored) => {
                let left = self.left.remove(index);
                self.restored.push(left);
                vec![Effect::Restored(Box::new(restored))]
            }
            Err(trouble) => vec![Effect::tell(trouble)],
        }
    }
}

impl Drop for Recovery {
    fn drop(&mut self) {
        self.orders = None;
        if let Some(writer) = self.writer.take() {
            let _ = writer.join();
        }
    }
}

/// What there is to be kept. Putting long texts together and writing the job takes longer than a frame.
fn work(present: Present<'_>) -> Box<dyn FnOnce() -> Work + Send> {
    let Present { desk, programs: texts, .. } = present;
    let what = present.unsaved.to_vec();
    let source = desk.source();
    let (job, drawings) = (Arc::clone(&source.job), source.beside.drawings.clone());
    let origin = desk.origin().clone();
    let programs: Vec<Option<Snapshot>> = (0..job.passes.len()).map(|pass| texts.snapshot(pass)).collect();
    let files: Vec<Option<(Option<PathBuf>, bool)>> =
        (0..job.passes.len()).map(|pass| texts.file_and_unsaved(pass)).collect();
    let (to_do, at) = (desk.to_do(), jiff::Timestamp::now().as_second());
    Box::new(move || {
        let crib = job.crib.as_ref().map(|crib| {
            let crib =
                Crib { units: job.units, tools: crib.tools.clone(), materials: crib.materials.clone() };
            job::write_crib(&crib)
        });
        let program = |(snapshot, file): (Option<Snapshot>, Option<(Option<PathBuf>, bool)>)| {
            let (file, edited) = file.unwrap_or_default();
            let text = snapshot.filter(|_| edited || file.is_none()).map(|snapshot| snapshot.text());
            Program { file, text }
        };
        let programs = programs.into_iter().zip(files).map(program).collect();
        let named: Vec<&str> = job.drawings().map(|(_, name)| name).collect();
        let drawings = drawings.into_iter().filter(|(name, _)| named.contains(&name.as_str())).collect();
        Work { at, what, origin, job: job::write(&job), crib, programs, drawings, to_do }
    })
}

/// Which work it is, in a sentence.
fn words(work: &Work) -> String {
    let at = jiff::Timestamp::from_second(work.at).unwrap_or_default();
    let at = at.to_zoned(jiff::tz::TimeZone::system()).strftime("%Y-%m-%d %H:%M");
    let file = match &work.origin {
        Origin::Demo => "from the demo job".to_owned(),
        Origin::Job(file) => format!("from {}", file.display()),
        Origin::Programs(files) => {
            files.first().map(|file| format!("from {}", file.display())).unwrap_or_default()
        }
    };
    let what = if work.what.is_empty() {
        "what is to be done at the machine".to_owned()
    } else {
        work.what.join(", ")
    };
    format!("{}, {at}: {what} ({file})", work.title())
}

/// The window that offers it.
pub(super) fn show(ui: &mut Ui, offers: &[String], actions: &mut Vec<Action>) {
    ui.label("Blockwright ended before this was saved:");
    for (index, words) in offers.iter().enumerate() {
        ui.add(eframe::egui::Label::new(RichText::new(words).font(bold(13.0))).wrap());
        ui.horizontal(|ui| {
            let name = |word: &str| format!("{word} unsaved work {}", index + 1);
            if ui.button("Open it").accessible_name(name("Open")).clicked() {
                actions.push(Action::Restore(index));
            }
            if ui.button("Discard").accessible_name(name("Discard")).clicked() {
                actions.push(Action::DiscardLeft(index));
            }
        });
    }
    if ui.button("Ask again at the next start").clicked() {
        actions.push(Action::Close);
    }
}
