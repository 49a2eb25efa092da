//! How the outline lies on the blank, how it would lie best, and what stays short even so.

mod overlay;
mod show;

use std::sync::Arc;

use blockwright_core::fit::{self, Fit, Fitting, Limits};
use blockwright_core::geometry::Path;
use blockwright_core::proof::Proof;
use blockwright_core::task::Task;
use blockwright_core::units::Units;
use blockwright_core::view::Viewport;
use eframe::egui::{Context, Rect, Ui};

use super::act::Action;
use super::desk::{self, Desk};
use super::look::{self, Look, Tab};
use super::rewrite::{Failed, Work};
use super::room::{Effect, Effects, World};
use overlay::{Laid, Overlay};

/// What the panel asks for.
#[derive(Debug, Clone)]
pub enum Ask {
    /// Centre the plan on this station.
    Centre(f64),
    /// Let the blank lie as this fit says.
    TakeOver(Box<Fit>),
}

/// Does what the panel asks for.
pub(super) fn update(ask: Ask, world: World<'_>) -> Effects {
    match ask {
        Ask::Centre(station) => vec![Effect::Look(look::Message::CentreOn(station))],
        Ask::TakeOver(fit) => {
            let job = world.desk.job();
            let words = fit::instruction(job, &fit, world.desk.told());
            let job = Box::new(fit::taken_over(job, &fit));
            vec![Effect::Desk(desk::Message::TakeOver(job, words))]
        }
    }
}

/// What the outline may do, as the fields say.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Asked {
    units: Units,
    x: bool,
    y: bool,
    /// Greatest turn, degrees; not at all where it is off.
    turn: Most,
    /// Greatest shift; any where it is off.
    shift: Most,
}

/// A bound that can be off.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Most {
    on: bool,
    value: f64,
}

impl Asked {
    /// A few degrees: more than that and the work is clamped anew.
    const TURN: f64 = 3.0;

    const fn new(units: Units) -> Self {
        Self {
            units,
            x: true,
            y: true,
            turn: Most { on: true, value: Self::TURN },
            shift: Most { on: false, value: units.pick(0.1, 2.5) },
        }
    }

    fn limits(&self) -> Limits {
        Limits {
            x: self.x,
            y: self.y,
            turn: if self.turn.on { self.turn.value } else { 0.0 },
            shift: self.shift.on.then_some(self.shift.value),
        }
    }
}

/// Outline and edge as they lie.
#[derive(Debug, Clone)]
struct Lie {
    outline: Arc<Path>,
    edge: Arc<Path>,
    units: Units,
}

impl PartialEq for Lie {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.outline, &other.outline) && Arc::ptr_eq(&self.edge, &other.edge)
    }
}

impl Lie {
    fn of(proof: &Proof) -> Option<Self> {
        Some(Self { outline: proof.outline.clone()?, edge: proof.edge.clone()?, units: proof.job.units })
    }

    fn best(&self, asked: &Asked, task: Task<'_>) -> Result<Arc<Fit>, Failed> {
        Ok(Arc::new(fit::best(&self.outline, &self.edge, &asked.limits(), self.units, task)?))
    }

    /// What has to be built up for a margin of `wanted`: as it lies, and at the best fit.
    fn fitting(
        &self,
        best: &Fit,
        asked: &Asked,
        wanted: f64,
        task: Task<'_>,
    ) -> Result<Arc<Fitting>, Failed> {
        let paths = (&*self.outline, &*self.edge);
        let fitting = fit::fitting_of(best.clone(), paths, &asked.limits(), wanted, self.units, task)?;
        Ok(Arc::new(fitting))
    }
}

/// A result with what it was worked out from.
#[derive(Debug)]
struct Worked<K, V> {
    of: Option<K>,
    work: Work<V>,
    outcome: Option<Result<V, Failed>>,
}

impl<K, V> Default for Worked<K, V> {
    fn default() -> Self {
        Self { of: None, work: Work::default(), outcome: None }
    }
}

impl<K: PartialEq, V: Send + 'static> Worked<K, V> {
    /// Works it out anew when it is wanted of something else, and takes what has come of it.
    fn follow(
        &mut self,
        ctx: &Context,
        of: K,
        make: impl FnOnce(Task<'_>) -> Result<V, Failed> + Send + 'static,
    ) {
        if self.of.as_ref() != Some(&of) {
            self.of = Some(of);
            self.outcome = None;
            self.work.start(ctx, make);
        }
        if let Some(outcome) = self.work.take() {
            self.outcome = Some(outcome);
        }
    }

    fn value(&self) -> Option<&V> {
        self.outcome.as_ref()?.as_ref().ok()
    }
}

/// A result, known again by where it is kept.
#[derive(Debug, Clone)]
struct Same<T>(Arc<T>);

impl<T> PartialEq for Same<T> {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

/// The panel.
#[derive(Debug)]
pub(super) struct FitPanel {
    asked: Asked,
    /// The margin that is wanted all round.
    wanted: f64,
    /// Found once for all margins that may be wanted.
    best: Worked<(Lie, Asked), Arc<Fit>>,
    fitting: Worked<(Same<Fit>, f64), Arc<Fitting>>,
    overlay: Overlay,
}

impl Default for FitPanel {
    fn default() -> Self {
        Self {
            asked: Asked::new(Units::Inch),
            wanted: 0.0,
            best: Worked::default(),
            fitting: Worked::default(),
            overlay: Overlay::default(),
        }
    }
}

impl FitPanel {
    /// The best fit that is shown, once it has been found.
    pub(super) fn fit(&self) -> Option<&Fit> {
        self.best.value().map(AsRef::as_ref)
    }

    /// Begins anew, for another job.
    pub(super) fn forget(&mut self) {
        *self = Self::default();
    }

    /// Has found what there is to find of the job on the screen.
    fn follow(&mut self, ctx: &Context, proof: &Proof) -> Option<Lie> {
        let lie = Lie::of(proof)?;
        if self.asked.units != lie.units {
            self.asked = Asked::new(lie.units);
            self.wanted = 0.0;
        }
        let (of, asked) = (lie.clone(), self.asked);
        self.best.follow(ctx, (lie.clone(), asked), move |task| of.best(&asked, task));
        match self.best.value().cloned() {
            Some(best) => {
                let (of, wanted) = (lie.clone(), self.wanted);
                let key = (Same(Arc::clone(&best)), wanted);
                self.fitting.follow(ctx, key, move |task| of.fitting(&best, &asked, wanted, task));
            }
            None => self.fitting = Worked::default(),
        }
        Some(lie)
    }

    /// Draws over the plan, while the panel is open, where the blank would lie at the best fit and what is short as
    /// it lies.
    pub(super) fn over_plan(
        &mut self,
        ui: &Ui,
        rect: Rect,
        seen: Option<Viewport>,
        desk: &Desk,
        look: &Look,
    ) {
        let (Some(seen), Some(proof)) = (seen, desk.proof()) else { return };
        let (Some(fit), Some(lie)) = (self.best.value(), Lie::of(proof)) else { return };
        let current = self.best.of.as_ref().is_some_and(|(of, _)| *of == lie);
        if look.tab == Tab::Fit && current {
            let laid =
                Laid { lie, fit: Same(Arc::clone(fit)), fitting: self.fitting.value().cloned().map(Same) };
            self.overlay.show(ui, rect, laid, seen);
        }
    }

    /// The panel's contents.
    pub(super) fn show(&mut self, ui: &mut Ui, desk: &Desk, actions: &mut Vec<Action>) {
        show::show(self, ui, desk, actions);
    }
}
