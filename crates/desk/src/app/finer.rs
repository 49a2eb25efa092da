//! Finer cells in the part of the plan that is seen, made beside the window and shown while the view stays there.

use std::sync::Arc;

use super::number;
use blockwright_core::block::MOST_CELLS;
use blockwright_core::geometry::Bounds;
use blockwright_core::proof::Proof;
use blockwright_core::prover::Finer;
use blockwright_core::task::Task;
use blockwright_core::units::Told;
use blockwright_core::view::Viewport;
use eframe::egui::{Button, Context, RichText, Ui};

use super::act::Action;
use super::canvas::Of;
use super::centre::Ask;
use super::later::Later;

/// How much more than what is seen is made, as a part of its larger side: a small move of the hand must not undo it.
const ROOM: f64 = 0.08;

/// What the finer cells are of.
#[derive(Debug, Clone, PartialEq)]
struct PatchKey {
    of: Of,
    window: Bounds,
    cell: f64,
}

/// Finer cells that are there, compared by identity.
#[derive(Debug, Clone)]
pub(super) struct Fine(pub(super) Arc<Finer>);

impl PartialEq for Fine {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

/// The part of the plan with finer cells, if there is one.
#[derive(Debug, Default)]
pub(super) struct Patch {
    later: Later<PatchKey, Option<Arc<Finer>>>,
    /// Whether what is there is shown now.
    shown: bool,
}

impl Patch {
    /// Has finer cells made.
    pub(super) fn make(&mut self, ctx: &Context, proof: &Arc<Proof>, window: Bounds, cell: f64) {
        let key = PatchKey { of: Of(Arc::clone(proof)), window, cell };
        let of = Arc::clone(proof);
        self.later = Later::default();
        self.later.want(ctx, "finer", key, move |cancel| {
            let last = of.passes.len().saturating_sub(1);
            of.finer(&window, cell, last, Task::quiet(cancel)).ok().map(Arc::new)
        });
    }

    /// The finer cells for a view of this proof. A view that leaves them gives them up.
    pub(super) fn of(&mut self, proof: &Arc<Proof>, viewport: &Viewport) -> Option<Fine> {
        self.later.take();
        let stays = |key: &PatchKey| Arc::ptr_eq(&key.of.0, proof);
        if self.later.making().is_some_and(|key| !stays(key)) {
            self.later.stop();
        }
        let (key, Some(finer)) = self.later.made()? else { return None };
        if stays(key) && finer.covers(proof, &viewport.seen()) {
            let fine = Fine(Arc::clone(finer));
            self.shown = true;
            return Some(fine);
        }
        self.shown = false;
        if self.later.making().is_none() {
            self.later = Later::default();
        }
        None
    }

    /// What is to be said of it.
    pub(super) fn words(&self, units: Told) -> Option<String> {
        if let Some(making) = self.later.making() {
            return Some(format!("making the area finer, cells of {}…", units.fine_with_unit(making.cell)));
        }
        let (key, finer) = self.later.made()?;
        (self.shown && finer.is_some()).then(|| format!("cells of {} here", units.fine_with_unit(key.cell)))
    }
}

/// How fine, and what it takes.
#[derive(Debug)]
pub(super) struct FinerDialog {
    proof: Arc<Proof>,
    window: Bounds,
    cell: f64,
}

impl FinerDialog {
    /// For what is seen of a proof's block; `None` when nothing of it is.
    pub(super) fn new(proof: &Arc<Proof>, seen: &Bounds) -> Option<Self> {
        let room = ROOM * seen.width().max(seen.height());
        let window = proof.window_on_blank(&seen.grown(room))?;
        let cell = Proof::finer_cell(&window);
        Some(Self { proof: Arc::clone(proof), window, cell })
    }

    pub(super) fn show(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        let units = self.proof.told;
        ui.label(
            "This part of the plan is cut again with smaller cells. It is shown while the view stays here.",
        );
        let now = self.proof.start.as_ref().map_or(self.cell, |field| field.grid().cell);
        ui.horizontal(|ui| {
            let label = ui.label("Cells of");
            let style = number::Style::length(units).speed(now / 100.0).within(now / 1e3..=now);
            number::field(ui, &mut self.cell, style).labelled_by(label.id);
            ui.label(format!("instead of {}", units.fine_with_unit(now)));
        });
        let last = self.proof.passes.len().saturating_sub(1);
        let cost = self.proof.finer_cost(&self.window, self.cell, last);
        let takes = format!(
            "{:.1} million cells for {} passes, about {:.1} GB of memory.",
            cost.cells / 1e6,
            self.proof.passes.len(),
            cost.bytes / 1e9
        );
        ui.label(takes);
        let (fits, helps) = (cost.cells <= MOST_CELLS, self.cell < now);
        if !fits {
            let most = MOST_CELLS / 1e6;
            let words =
                format!("More than {most:.0} million cells are too many: make them larger, or zoom in.");
            ui.label(RichText::new(words).color(ui.visuals().error_fg_color));
        } else if !helps {
            ui.label("This area is already that fine: zoom in first.");
        }
        ui.horizontal(|ui| {
            if ui.add_enabled(fits && helps, Button::new("Refine")).clicked() {
                actions.push(Ask::Finer(self.window, self.cell).into());
            }
            if ui.button("Cancel").clicked() {
                actions.push(Action::Close);
            }
        });
    }
}
