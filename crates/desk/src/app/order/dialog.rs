//! Another order of the passes laid beside the present one.

use std::sync::{Arc, Mutex, PoisonError};

use blockwright_core::job::Job;
use blockwright_core::order::{Figure, LeftOut, left_out, pass_figures, totals};
use blockwright_core::proof::{Proof, Source};
use blockwright_core::prover::{Options, ProveError, Prover};
use blockwright_core::task::Task;
use blockwright_core::view::Theme;
use eframe::egui::{Button, Checkbox, Label, RichText, ScrollArea, Sense, Ui};

use super::{Ask, card, drag};
use crate::app::act::{Action, theme};
use crate::app::desk::Desk;
use crate::app::panel::words::{heading, quiet};
use crate::app::rewrite::{Failed, Work};
use crate::theme::{TYPE, bold, colour};
use crate::trouble::Trouble;

/// Of both columns together.
const WIDTH: f32 = 720.0;
/// Left for the rest of the window above and below the columns.
const AROUND: f32 = 320.0;
/// Height of what is said about passes that could be left out.
const SENTENCES: f32 = 110.0;
const LEAST_HEIGHT: f32 = 130.0;

/// One pass of the other order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Row {
    /// Index in the job.
    pass: usize,
    runs: bool,
}

/// The job with the text of its programs.
#[derive(Debug)]
struct Of {
    job: Arc<Job>,
    programs: Vec<Arc<[u8]>>,
}

/// What all passes come to in both orders. Adding up what is left of a block takes a while, so it is kept.
#[derive(Debug)]
struct Totals {
    now: Arc<Proof>,
    other: Option<Arc<Proof>>,
    figures: [Vec<Figure>; 2],
}

impl Totals {
    fn of(now: &Arc<Proof>, other: Option<&Arc<Proof>>) -> Self {
        let right = other.map(|other| totals(other, Some(now))).unwrap_or_default();
        Self { now: Arc::clone(now), other: other.cloned(), figures: [totals(now, None), right] }
    }

    fn are_of(&self, now: &Arc<Proof>, other: Option<&Arc<Proof>>) -> bool {
        let same = match (&self.other, other) {
            (Some(one), Some(other)) => Arc::ptr_eq(one, other),
            (one, other) => one.is_none() && other.is_none(),
        };
        same && Arc::ptr_eq(&self.now, now)
    }
}

/// The window.
#[derive(Debug, Default)]
pub(in crate::app) struct OrderDialog {
    /// What the other order is an order of.
    of: Option<Of>,
    rows: Vec<Row>,
    /// The order that is proven or being proven.
    asked: Option<Vec<usize>>,
    prover: Arc<Mutex<Prover>>,
    work: Work<Arc<Proof>>,
    other: Option<Result<Arc<Proof>, Failed>>,
    totals: Option<Totals>,
    /// Which could be left out is asked, and has not been begun yet.
    wanted: bool,
    search: Work<Vec<LeftOut>>,
    found: Option<Result<Vec<LeftOut>, Failed>>,
}

impl OrderDialog {
    pub(in crate::app) fn contents(&mut self, ui: &mut Ui, desk: &Desk, actions: &mut Vec<Action>) {
        let colours = theme(ui.ctx());
        self.follow(ui, desk);
        ui.add(
            Label::new(
                "Drag a pass on the right to another place, or untick it to leave it out. The job changes \
                only when you press \"Use this order\".",
            )
            .wrap(),
        );
        let now = desk.whole_proof().filter(|proof| Arc::ptr_eq(&proof.job, &desk.source().job)).cloned();
        let said = if self.found.is_some() { SENTENCES } else { 0.0 };
        let height = (ui.ctx().content_rect().height() - AROUND - said).max(LEAST_HEIGHT);
        ScrollArea::vertical().max_height(height).auto_shrink([false, true]).show(ui, |ui| {
            ui.set_width(WIDTH.min(ui.available_width()));
            ui.columns(2, |columns| {
                if let [left, right] = columns {
                    heading(left, &colours, "As it runs now");
                    present(left, desk, now.as_ref(), &colours);
                    heading(right, &colours, "Another order");
                    self.another(right, desk, now.as_ref(), &colours);
                }
            });
        });
        self.all(ui, now.as_ref(), &colours);
        self.buttons(ui, actions);
        self.sentences(ui, &colours);
    }

    /// Takes up what is on the desk, and has the other order proven.
    fn follow(&mut self, ui: &Ui, desk: &Desk) {
        let source = desk.source();
        let same = |of: &Of| {
            Arc::ptr_eq(&of.job, &source.job)
                && of.programs.iter().zip(&source.programs).all(|(one, other)| Arc::ptr_eq(one, other))
        };
        if !self.of.as_ref().is_some_and(same) {
            let names = |job: &Job| job.passes.iter().map(|pass| pass.name.clone()).collect::<Vec<_>>();
            let kept = self.of.as_ref().is_some_and(|of| names(&of.job) == names(&source.job));
            if !kept {
                self.reset(source.job.passes.len());
            }
            self.of = Some(Of { job: Arc::clone(&source.job), programs: source.programs.clone() });
            self.asked = None;
            self.found = None;
            self.search = Work::default();
        }
        let order = self.order();
        if self.asked.as_ref() != Some(&order) {
            self.asked = Some(order.clone());
            self.other = None;
            let (source, options, prover) = (source.clone(), *desk.options(), Arc::clone(&self.prover));
            self.work.start(ui.ctx(), move |task| {
                let mut prover = prover.lock().unwrap_or_else(PoisonError::into_inner);
                prove(&mut prover, &source, &order, &options, task).map(Arc::new).map_err(failed)
            });
        }
        if let Some(outcome) = self.work.take() {
            self.other = Some(outcome);
        }
        if let Some(found) = self.search.take() {
            self.found = Some(found);
        }
        if std::mem::take(&mut self.wanted) {
            self.found = None;
            let (source, options) = (source.clone(), *desk.options());
            self.search.start(ui.ctx(), move |task| {
                left_out(&source, &options, &mut Prover::new(), task).map_err(failed)
            });
        }
    }

    fn reset(&mut self, count: usize) {
        self.rows = (0..count).map(|pass| Row { pass, runs: true }).collect();
    }

    /// The passes that run, in their order.
    fn order(&self) -> Vec<usize> {
        self.rows.iter().filter(|row| row.runs).map(|row| row.pass).collect()
    }

    fn is_another(&self) -> bool {
        self.rows.iter().enumerate().any(|(index, row)| row.pass != index || !row.runs)
    }

    fn another(&mut self, ui: &mut Ui, desk: &Desk, now: Option<&Arc<Proof>>, theme: &Theme) {
        let other = self.other.as_ref().and_then(|other| other.as_ref().ok()).cloned();
        let mut change = None;
        let mut place = 0;
        for index in 0..self.rows.len() {
            let Some(row) = self.rows.get(index).copied() else { continue };
            let Some(pass) = desk.job().passes.get(row.pass) else { continue };
            let framed = card::framed(ui, theme, |ui| {
                let toggled = self.head(ui, index, row, &pass.name, theme);
                match (&other, row.runs) {
                    (_, false) => drop(ui.label(quiet("left out", theme))),
                    (None, true) => drop(ui.label(quiet("being checked…", theme))),
                    (Some(proof), true) => {
                        let was = now.map(|now| (now.as_ref(), row.pass));
                        card::figures(ui, &pass_figures(proof, place, was), theme);
                    }
                }
                toggled
            });
            change = change.or(framed.inner);
            let over = ui.interact(framed.response.rect, ui.scope_id().with(("drop", index)), Sense::hover());
            if let Some((from, before)) = drag::dropped(ui, &over, framed.response.rect, ("other", index)) {
                change = Some(Change::Move(from, before));
            }
            place += usize::from(row.runs);
        }
        match change {
            Some(Change::Move(from, before)) => {
                let order = super::moved(self.rows.len(), from, before);
                self.rows = order.iter().filter_map(|index| self.rows.get(*index).copied()).collect();
            }
            Some(Change::Runs(index, runs)) => {
                if let Some(row) = self.rows.get_mut(index) {
                    row.runs = runs;
                }
            }
            None => {}
        }
    }

    /// The first line of a card of the other order: whether it runs, what it is, and where it can go.
    fn head(&self, ui: &mut Ui, index: usize, row: Row, name: &str, theme: &Theme) -> Option<Change> {
        let mut change = None;
        ui.horizontal(|ui| {
            ui.set_min_height(22.0);
            let mut runs = row.runs;
            let check = ui.add(Checkbox::without_text(&mut runs));
            let check = check.accessible_name(format!("Run {name} in the other order"));
            if check.on_hover_text("Untick to leave the pass out").changed() {
                change = Some(Change::Runs(index, runs));
            }
            ui.with_layout(eframe::egui::Layout::right_to_left(eframe::egui::Align::Center), |ui| {
                let down = ui.add_enabled(index + 1 < self.rows.len(), Button::new("Later").small());
                if down.accessible_name(format!("Run {name} later")).clicked() {
                    change = Some(Change::Move(index, index + 2));
                }
                let up = ui.add_enabled(index > 0, Button::new("Earlier").small());
                if up.accessible_name(format!("Run {name} earlier")).clicked() {
                    change = Some(Change::Move(index, index - 1));
                }
                ui.with_layout(eframe::egui::Layout::left_to_right(eframe::egui::Align::Center), |ui| {
                    let mut text = title(row.pass, name);
                    if !row.runs {
                        text = text.strikethrough().color(colour(theme.quiet));
                    }
                    let label = Label::new(text).truncate().selectable(false).sense(Sense::drag());
                    let label = ui.add(label).on_hover_cursor(eframe::egui::CursorIcon::Grab);
                    drag::take(&label, "other", index);
                });
            });
        });
        change
    }

    /// What all passes come to, in both orders.
    fn all(&mut self, ui: &mut Ui, now: Option<&Arc<Proof>>, theme: &Theme) {
        ui.separator();
        if self.work.show(ui) {
            self.other = Some(Err(Failed::Stopped));
        }
        if let Some(Err(failed)) = &self.other {
            ui.label(RichText::new(failed.words()).color(ui.visuals().error_fg_color));
        }
        let Some(now) = now else { return };
        let other = self.other.as_ref().and_then(|other| other.as_ref().ok());
        let totals = self.totals.take().filter(|totals| totals.are_of(now, other));
        let totals = self.totals.insert(totals.unwrap_or_else(|| Totals::of(now, other)));
        ui.columns(2, |columns| {
            for (column, figures) in columns.iter_mut().zip(&totals.figures) {
                column.spacing_mut().item_spacing.y = 2.0;
                card::figures(column, figures, theme);
            }
        });
    }

    fn buttons(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        ui.horizontal_wrapped(|ui| {
            let (another, order) = (self.is_another(), self.order());
            let use_it = ui.add_enabled(another && !order.is_empty(), Button::new("Use this order"));
            if use_it.on_hover_text("The job runs in this order from now on; you can undo it").clicked() {
                actions.push(Action::OfOrder(Ask::Arrange(order)));
            }
            if ui.add_enabled(another, Button::new("Back to the present order")).clicked() {
                self.reset(self.rows.len());
            }
            let search = ui.add_enabled(!self.search.is_running(), Button::new("Which could be left out?"));
            if search
                .on_hover_text(
                    "Check the job without each pass in turn, one at a time; for two at \
                                    once, untick both",
                )
                .clicked()
            {
                self.wanted = true;
                ui.request_repaint();
            }
            if ui.button("Close").clicked() {
                actions.push(Action::Close);
            }
        });
    }

    fn sentences(&mut self, ui: &mut Ui, theme: &Theme) {
        if self.search.show(ui) {
            self.found = Some(Err(Failed::Stopped));
        }
        match &self.found {
            None => {}
            Some(Err(failed)) => {
                ui.label(RichText::new(failed.words()).color(ui.visuals().error_fg_color));
            }
            Some(Ok(all)) => {
                ScrollArea::vertical().id_salt("left out").max_height(SENTENCES - 8.0).show(ui, |ui| {
                    for left_out in all {
                        let words = RichText::new(&left_out.words);
                        let words = if left_out.could {
                            words.font(bold(TYPE))
                        } else {
                            words.color(colour(theme.quiet))
                        };
                        ui.add(Label::new(words).wrap());
                    }
                });
            }
        }
    }
}

/// The passes as they run now.
fn present(ui: &mut Ui, desk: &Desk, now: Option<&Arc<Proof>>, theme: &Theme) {
    for (index, pass) in desk.job().passes.iter().enumerate() {
        card::framed(ui, theme, |ui| {
            ui.horizontal(|ui| {
                ui.set_min_height(22.0);
                ui.add(Label::new(title(index, &pass.name)).truncate());
            });
            match now {
                Some(proof) => card::figures(ui, &pass_figures(proof, index, None), theme),
                None => drop(ui.label(quiet("being checked…", theme))),
            }
        });
    }
}

/// What is done to the other order.
#[derive(Debug, Clone, Copy)]
enum Change {
    Move(usize, usize),
    Runs(usize, bool),
}

fn title(pass: usize, name: &str) -> RichText {
    RichText::new(format!("{}  {name}", pass + 1)).font(bold(TYPE))
}

/// Proves the job and then the other order of it, which is cheap as far as both run the same.
fn prove(
    prover: &mut Prover,
    source: &Source,
    order: &[usize],
    options: &Options,
    task: Task<'_>,
) -> Result<Proof, ProveError> {
    let present = prover.prove(source, options, task)?;
    if order.iter().copied().eq(0..source.job.passes.len()) {
        return Ok(present);
    }
    let mut job = Job::clone(&source.job);
    job.passes = order.iter().filter_map(|pass| source.job.passes.get(*pass).cloned()).collect();
    let programs = order.iter().map(|pass| source.programs.get(*pass).cloned().unwrap_or_default()).collect();
    prover.prove_aside(&Source { job: Arc::new(job), programs, beside: source.beside.clone() }, options, task)
}

fn failed(error: ProveError) -> Failed {
    match error {
        ProveError::Cancelled => Failed::Stopped,
        ProveError::Unusable(what) => Trouble::at("The job", what, "correct it and try again").into(),
    }
}
