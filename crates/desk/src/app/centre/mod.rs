//! The middle of the window: the plan, the wall or the block in the round, and what is asked of them.

mod bar;

use blockwright_core::geometry::Bounds;
use blockwright_core::job::{KeepClear, Vertex};
use blockwright_core::proof::Proof;
use blockwright_core::view::{Camera, Quantity, Theme, Viewport};
use eframe::egui::{Id, Rect, Response, StrokeKind, Ui};

use super::act::Action;
use super::canvas::PlanCanvas;
use super::command::Command;
use super::desk::Desk;
use super::dialog::Dialog;
use super::finer::FinerDialog;
use super::inset::Inset;
use super::keep::Sketch;
use super::look::Look;
use super::panel::undercut::Table;
use super::panes::Shown as ShownPanes;
use super::room::{Effect, Effects, World};
use super::round::RoundCanvas;
use super::wall::{Few, WallCanvas};
use crate::theme::colour;
use crate::trouble::Trouble;

/// What the middle of the window shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Shown {
    /// The block from above.
    #[default]
    Plan,
    /// The section at a station.
    Wall,
    /// The block in the round.
    Block,
}

/// What a view asks of the middle of the window, and of what is measured at its station.
#[derive(Debug, Clone)]
pub enum Ask {
    /// Show this.
    Show(Shown),
    /// Look at the wall at this station; past the end it goes on from the start.
    Station(f64),
    /// What of the wall is seen; all of it when `None`.
    WallView(Option<Viewport>),
    /// Show the cutters of all passes in the section.
    EveryTool(bool),
    /// Look at the block from here.
    Turn(Camera),
    /// Colour the block by leave instead of by pass.
    ByLeave(bool),
    /// What the strip shows.
    Quantity(Quantity),
    /// The land that is wanted.
    Land(f64),
    /// Diameter of the pins, and the width at the root when it is not the one at the station.
    Pins(f64, Option<f64>),
    /// An area is being drawn; `None` leaves it.
    Sketch(Option<Sketch>),
    /// An area was drawn.
    Area(Vec<Vertex>),
    /// Keep this clear.
    Keep(KeepClear),
    /// Make cells this wide in this part of the plan.
    Finer(Bounds, f64),
}

/// Something that happens to the pictures.
#[derive(Debug, Clone, Copy)]
pub(super) enum Message {
    /// Make cells this wide in this part of the plan.
    Finer(Bounds, f64),
}

impl From<Ask> for Action {
    fn from(ask: Ask) -> Self {
        Self::Centre(ask)
    }
}

/// What is looked at in the middle of the window.
#[derive(Debug)]
pub(super) struct CentreLook {
    pub(super) shown: Shown,
    /// Station of the wall.
    pub(super) station: f64,
    /// What of the wall is seen; `None` for all of it.
    pub(super) wall_view: Option<Viewport>,
    pub(super) every_tool: bool,
    pub(super) camera: Camera,
    pub(super) by_leave: bool,
    /// Whether the plan draws the stock along the outline thicker than it is.
    pub(super) stock: bool,
    pub(super) quantity: Quantity,
    /// The land that is wanted, once it was typed.
    pub(super) land: Option<f64>,
    /// Diameter of the pins, once it was typed.
    pub(super) pin: Option<f64>,
    /// Width at the root, once it was typed.
    pub(super) root: Option<f64>,
    /// The area that is being drawn.
    pub(super) sketch: Option<Sketch>,
}

impl Default for CentreLook {
    fn default() -> Self {
        Self {
            shown: Shown::Plan,
            station: 0.0,
            wall_view: None,
            every_tool: false,
            camera: Camera::default(),
            by_leave: false,
            stock: true,
            quantity: Quantity::Thickness,
            land: None,
            pin: None,
            root: None,
            sketch: None,
        }
    }
}

impl CentreLook {
    /// For another job: what was chosen to be shown stays.
    pub(super) fn for_another_job(&self) -> Self {
        Self {
            shown: self.shown,
            every_tool: self.every_tool,
            by_leave: self.by_leave,
            stock: self.stock,
            quantity: self.quantity,
            ..Self::default()
        }
    }

    /// The station on this proof's outline.
    pub(super) fn station_on(&self, proof: &Proof) -> f64 {
        let length = proof.outline.as_ref().map_or(0.0, |outline| outline.length());
        if length > 0.0 { self.station.rem_euclid(length) } else { 0.0 }
    }
}

/// The pictures in the middle of the window, and what is measured for them.
#[derive(Debug, Default)]
pub(super) struct Centre {
    pub(super) plan: PlanCanvas,
    inset: Inset,
    pub(super) wall: WallCanvas,
    few: Few,
    pub(super) round: RoundCanvas,
    pub(super) table: Table,
    /// The slider of the station.
    slider: Option<Id>,
}

impl Centre {
    /// Forgets what was drawn, for another job.
    pub(super) fn forget(&mut self) {
        let (mut plan, inset) = (std::mem::take(&mut self.plan), std::mem::take(&mut self.inset));
        plan.forget();
        *self = Self { plan, inset, ..Self::default() };
    }

    /// What is made for it.
    pub(super) fn update(&mut self, message: Message, world: World<'_>) -> Effects {
        match message {
            Message::Finer(window, cell) => {
                if let Some(proof) = world.desk.whole_proof() {
                    self.plan.finer.make(world.ctx, proof, window, cell);
                }
            }
        }
        Vec::new()
    }

    /// Whether the worst place of the finding is shown enlarged.
    pub(super) const fn is_magnified(&self) -> bool {
        self.inset.is_shown()
    }

    /// Whether the key of a command belongs to the picture that has the keyboard.
    pub(super) fn takes(&self, focused: Option<Id>, command: Command) -> bool {
        if focused.is_none() {
            return false;
        }
        let sideways = matches!(
            command,
            Command::Back | Command::On | Command::FarBack | Command::FarOn | Command::Start | Command::End
        );
        let upright = matches!(command, Command::PassBefore | Command::PassAfter);
        let block = focused == self.round.id;
        (sideways && (block || focused == self.wall.id || focused == self.slider)) || (upright && block)
    }
}

/// What is laid over the plan, in its place, of which this is seen.
pub(super) type OverPlan<'a> = &'a mut dyn FnMut(&mut Ui, Rect, Option<Viewport>);

/// Asks how much finer the part of the plan in view is to be.
pub(super) fn finer_here(world: World<'_>) -> Effects {
    let seen = || FinerDialog::new(world.desk.whole_proof()?, &world.seen?.seen());
    vec![match seen() {
        Some(dialog) => Effect::show(Dialog::Finer(Box::new(dialog))),
        None => Effect::tell(Trouble::at(
            "",
            "There is no block in this part of the plan",
            "move the plan until you see the block, and wait until the job has been checked",
        )),
    }]
}

/// The whole middle.
pub(super) fn show(
    ui: &mut Ui,
    (desk, look): (&Desk, &Look),
    (centre, fit): (&mut Centre, OverPlan<'_>),
    panes: ShownPanes,
    actions: &mut Vec<Action>,
) {
    ui.spacing_mut().item_spacing.y = 0.0;
    if look.centre.shown == Shown::Wall {
        centre.wall.look_at(ui, desk, look);
    }
    bar::show(ui, (desk, look, panes), centre, actions);
    match look.centre.shown {
        Shown::Plan => {
            let rect = ui.available_rect_before_wrap();
            centre.plan.show(ui, desk, look, actions);
            let seen = desk.proof().and_then(|proof| centre.plan.viewport(look, proof));
            fit(ui, rect, seen);
            centre.inset.show(ui, rect, seen, (desk, look), actions);
        }
        Shown::Wall => {
            let Centre { wall, few, .. } = centre;
            few.show(ui, (desk, look), actions, |ui, actions| wall.show(ui, desk, look, actions));
        }
        Shown::Block => centre.round.show(ui, desk, look, actions),
    }
}

/// A line round a picture that has the keyboard.
pub(super) fn focus_ring(ui: &Ui, response: &Response, theme: &Theme) {
    if response.has_focus() {
        let stroke = (1.5, colour(theme.accent));
        ui.painter().rect_stroke(response.rect.shrink(1.0), 0.0, stroke, StrokeKind::Inside);
    }
}
