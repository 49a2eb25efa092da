//! What can happen to what is looked at.

use blockwright_core::view::{Along, Camera, Quantity, Viewport};

use super::{CountedFrom, Hover, Look, Tab};
use crate::app::centre::{Ask, Shown};
use crate::app::desk::Desk;
use crate::app::dialog::Dialog;
use crate::app::keep::{KeepDialog, Sketch};
use crate::app::room::{Effect, Effects};

/// What is read for it.
#[derive(Debug, Clone, Copy)]
pub(in crate::app) struct Around<'a> {
    /// What is open.
    pub(in crate::app) desk: &'a Desk,
    /// What of the plan is seen, once it has been drawn.
    pub(in crate::app) seen: Option<Viewport>,
}

/// Something that happens to what is looked at.
#[derive(Debug)]
pub(in crate::app) enum Message {
    /// Another job is on the desk.
    Reset,
    /// There is a new proof.
    Clamp,
    /// Pick a pass.
    Pick(usize),
    /// The pass before, or the card before while a finding is looked at.
    Before,
    /// The pass after, or the card after.
    After,
    /// The passes stand otherwise: where the one looked at stands now, if it is there at all.
    Arranged(Option<usize>),
    /// Move the tool to this distance along the pass, and hold it.
    Scrub(f64),
    /// Bring the tool to where it comes nearest to this station, and hold it.
    ToStation(f64),
    /// Move the tool by a part of the pass's length, and hold it.
    Step(f64),
    /// Move the tool to the end of this program line.
    Line(u32),
    /// Pick a program line; the tool stays where it is.
    PickLine(Option<u32>),
    /// With the next proof the tool comes back to its line.
    Stay,
    /// Let the tool run, or hold it.
    Play,
    /// Hold it.
    Hold,
    /// The tool runs for this many seconds of the clock.
    Run(f64),
    /// How fast it runs.
    Speed(f64),
    /// Go to a finding.
    Follow(usize),
    /// Go to the next card, or to the one before.
    Walk(bool),
    /// Whether the worst place of the finding is shown enlarged.
    Magnify(bool),
    /// Notes have cards as well, or no longer.
    Notes(bool),
    /// The place that the pointer lights.
    Hover(Option<Hover>),
    /// What of the plan is seen.
    See(Viewport),
    /// Bring this station into the middle of the plan.
    CentreOn(f64),
    /// Show all of what is in the middle of the window.
    ShowAll,
    /// Show the block, seen from where it is turned and tilted like this, degrees.
    SeeBlock(f64, f64),
    /// Show it from the corner.
    SeeCorner,
    /// An area is to be drawn on the plan.
    DrawArea,
    /// Draw the stock along the outline thicker than it is, or no longer.
    EnlargeStock,
    /// What the strip runs along.
    Along(Along),
    /// From where X, Y and Z are counted under the picture.
    CountFrom(CountedFrom),
    /// What stands under the picture.
    Tab(Tab),
    /// Something of the middle of the window.
    Centre(Ask),
}

impl Look {
    /// Does it.
    pub(in crate::app) fn update(&mut self, message: Message, around: Around<'_>) -> Effects {
        let proof = around.desk.proof();
        match message {
            Message::Reset => self.reset(),
            Message::Clamp => self.clamp_to(proof),
            Message::Pick(pass) => self.pick_of(pass, around),
            Message::Before if self.finding.is_some() => self.walk(false, around),
            Message::After if self.finding.is_some() => self.walk(true, around),
            Message::Before => self.pick_of(self.pass.saturating_sub(1), around),
            Message::After => self.pick_of(self.pass + 1, around),
            Message::Arranged(Some(pass)) => self.follow_pass(pass),
            Message::Arranged(None) => {
                self.pick(self.pass.min(around.desk.order().len().saturating_sub(1)));
            }
            Message::Scrub(to) => {
                self.playing = false;
                self.scrub(proof, to);
            }
            Message::ToStation(station) => {
                self.playing = false;
                self.bring_to(proof, station);
            }
            Message::Step(part) => self.step(proof, part),
            Message::Line(line) => self.go_to_line(proof, line),
            Message::PickLine(line) => self.pick_line(line),
            Message::Stay => self.stay(proof),
            Message::Play => self.toggle_play(proof),
            Message::Hold => self.playing = false,
            Message::Run(seconds) => self.run(proof, seconds),
            Message::Speed(speed) => self.speed = speed,
            Message::Follow(finding) => self.follow(finding, around),
            Message::Walk(on) => self.walk(on, around),
            Message::Magnify(magnified) => self.magnified = magnified,
            Message::Notes(notes) => self.notes = notes,
            Message::Hover(hover) => self.hover = hover,
            Message::See(viewport) => self.viewport = Some(viewport),
            Message::CentreOn(station) => self.centre_on(station, around),
            Message::ShowAll => self.show_all(),
            Message::SeeBlock(turn, tilt) => {
                self.centre.shown = Shown::Block;
                self.centre.camera = Camera { turn, tilt, ..Camera::default() };
            }
            Message::SeeCorner => {
                self.centre.shown = Shown::Block;
                self.centre.camera = Camera::default();
            }
            Message::DrawArea => {
                self.centre.shown = Shown::Plan;
                self.centre.sketch = Some(Sketch::default());
            }
            Message::EnlargeStock => self.centre.stock = !self.centre.stock,
            Message::Along(along) => {
                self.along = along;
                self.hover = None;
            }
            Message::CountFrom(origin) => self.origin = origin,
            Message::Tab(tab) => self.tab = tab,
            Message::Centre(ask) => return self.middle(ask, around),
        }
        Vec::new()
    }

    /// Picks a pass that there is.
    pub(super) fn pick_of(&mut self, pass: usize, around: Around<'_>) {
        if pass < around.desk.job().passes.len() {
            self.pick(pass);
        }
    }

    fn show_all(&mut self) {
        let centre = &mut self.centre;
        match centre.shown {
            Shown::Plan => self.viewport = None,
            Shown::Wall => centre.wall_view = None,
            Shown::Block => centre.camera = Camera { zoom: 1.0, pan: [0.0; 2], ..centre.camera },
        }
    }

    /// What is asked of the middle of the window.
    fn middle(&mut self, ask: Ask, around: Around<'_>) -> Effects {
        let look = &mut self.centre;
        match ask {
            Ask::Show(shown) => look.shown = shown,
            Ask::Station(station) => {
                look.station = station;
                if let Some(proof) = around.desk.proof() {
                    look.station = look.station_on(proof);
                }
            }
            Ask::WallView(seen) => look.wall_view = seen,
            Ask::EveryTool(every) => look.every_tool = every,
            Ask::Turn(camera) => look.camera = camera,
            Ask::ByLeave(by_leave) => look.by_leave = by_leave,
            Ask::Quantity(quantity) => {
                look.quantity = quantity;
                if quantity != Quantity::Thickness {
                    self.along = Along::Path;
                }
            }
            Ask::Land(land) => look.land = Some(land),
            Ask::Pins(pin, root) => (look.pin, look.root) = (Some(pin), root),
            Ask::Sketch(sketch) => look.sketch = sketch,
            Ask::Area(area) => {
                look.sketch = None;
                let dialog = KeepDialog::new(area, around.desk.job());
                return vec![Effect::show(Dialog::Keep(Box::new(dialog)))];
            }
            Ask::Keep(area) => {
                let mut job = around.desk.job().clone();
                job.keep_clear.push(area);
                return vec![Effect::close(), Effect::edit(job)];
            }
            Ask::Finer(window, cell) => return vec![Effect::close(), Effect::Finer(window, cell)],
        }
        Vec::new()
    }
}
