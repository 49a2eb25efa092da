//! Unsaved work, kept while the hand rests and offered again after a crash or a kill.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::{Sender, channel};
use std::thread::JoinHandle;
use std::time::Duration;

use blockwright_core::job::{self, Crib, Job};
use eframe::egui::{Context, RichText, Ui};

use super::App;
use super::act::Action;
use super::dialog::Dialog;
use super::guard;
use super::program::Snapshot;
use crate::background;
use crate::open::Origin;
use crate::recover::{self, Left, Program, Restored, Store, Work};
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
        let writer = background::start("keep", "the keeping of unsaved work", work, |_| {});
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
}

impl Drop for Recovery {
    fn drop(&mut self) {
        self.orders = None;
        if let Some(writer) = self.writer.take() {
            let _ = writer.join();
        }
    }
}

/// Keeps what has changed once the hand rests, and offers what was left.
pub(super) fn tick(app: &mut App, ctx: &Context) {
    if app.recovery.orders.is_none() || app.leaving {
        return;
    }
    if !app.recovery.offered && !app.recovery.left.is_empty() && app.dialog.is_none() {
        app.recovery.offered = true;
        app.dialog = Some(Dialog::Left);
    }
    let what = guard::unsaved(app);
    let seen = (!what.is_empty() || !app.desk.to_do().is_empty()).then(|| Seen {
        job: Arc::clone(&app.desk.source().job),
        states: app.programs.states(),
        to_do: app.desk.to_do(),
    });
    if seen == app.recovery.kept {
        app.recovery.due = None;
        return;
    }
    let now = ctx.input(|input| input.time);
    let due = *app.recovery.due.get_or_insert(now + if seen.is_some() { PAUSE } else { 0.0 });
    if now < due {
        ctx.request_repaint_after(Duration::from_secs_f64((due - now).max(0.01)));
        return;
    }
    app.recovery.due = None;
    app.recovery.send(if seen.is_some() { Order::Keep(work(app, what)) } else { Order::Clear });
    let restored = std::mem::take(&mut app.recovery.restored);
    if !restored.is_empty() {
        app.recovery.send(Order::Discard(restored));
    }
    app.recovery.kept = seen;
}

/// What there is to be kept. Putting long texts together and writing the job takes longer than a frame.
fn work(app: &App, what: Vec<String>) -> Box<dyn FnOnce() -> Work + Send> {
    let source = app.desk.source();
    let (job, drawings) = (Arc::clone(&source.job), source.beside.drawings.clone());
    let origin = app.desk.origin().clone();
    let programs: Vec<Option<Snapshot>> =
        (0..job.passes.len()).map(|pass| app.programs.snapshot(pass)).collect();
    let files: Vec<Option<(Option<PathBuf>, bool)>> = (0..job.passes.len())
        .map(|pass| {
            app.programs.sheet(pass).map(|sheet| (sheet.file.clone(), sheet.is_edited() || sheet.gone))
        })
        .collect();
    let (to_do, at) = (app.desk.to_do(), jiff::Timestamp::now().as_second());
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
pub(super) fn show(ui: &mut Ui, recovery: &Recovery, actions: &mut Vec<Action>) {
    ui.label("Blockwright ended before this was saved:");
    for (index, words) in recovery.offers().into_iter().enumerate() {
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

/// Throws one of them away.
pub(super) fn discard(app: &mut App, index: usize) {
    if index < app.recovery.left.len() {
        let left = app.recovery.left.remove(index);
        app.recovery.send(Order::Discard(vec![left]));
    }
    if app.recovery.left.is_empty() {
        app.dialog = None;
    }
}

/// Puts one of them on the desk.
pub(super) fn restore(app: &mut App, index: usize) {
    let Some(left) = app.recovery.left.get(index) else { return };
    match recover::restore(&left.work) {
        Ok(restored) => {
            let left = app.recovery.left.remove(index);
            app.recovery.restored.push(left);
            put(app, restored);
        }
        Err(trouble) => app.dialog = Some(Dialog::Trouble(trouble)),
    }
}

fn put(app: &mut App, restored: Restored) {
    let Restored { opened, saved, edits, to_do } = restored;
    let source = opened.source.clone();
    app.put_on_desk(opened);
    app.desk.restored(saved, to_do);
    for (pass, text) in edits.into_iter().enumerate() {
        let Some(text) = text.filter(|text| source.programs.get(pass).is_none_or(|there| there != text))
        else {
            continue;
        };
        app.programs.restore(pass, &text);
        let slots = app.programs.slots_with(pass);
        app.desk.retype(&slots, &text);
    }
}
