//! The sheet: a path, its tools, and what lies around it.

use std::path::Path as FilePath;
use std::sync::Arc;

use blockwright_core::bring_in::Trouble;
use blockwright_core::geometry::{Bounds, Path, Point, pt};
use blockwright_core::job::PathSource;
use blockwright_core::pixels::Pixels;
use blockwright_core::sketch::{Chain, Edit, Hit, Sketch, Snapping};
use blockwright_core::units::Told;
use blockwright_core::view::Viewport;
use eframe::egui::{CentralPanel, Frame, Id, Margin, Panel, Ui, Vec2};

use super::OnSheet;
use super::hand::{Drag, Side, Tool, Typed};
use super::measured::Measured;
use super::under::Under;
use super::{Target, path_list, pointer, take, tools};
use crate::app::act::{Action, theme};
use crate::app::desk::Desk;
use crate::paint::Canvas;
use crate::theme::colour;

/// Room left round everything when all of it is shown, points.
const ROOM: f32 = 56.0;
/// Width of the panel beside the canvas.
const SIDE: f32 = 296.0;

/// The sheet.
#[derive(Debug)]
pub(super) struct Sheet {
    target: Target,
    pub(super) units: Told,
    sketch: Sketch,
    /// What is wrong with the path as it stands.
    troubles: Vec<Trouble>,
    pub(super) tool: Tool,
    /// The point on an arc whose end comes next.
    pub(super) via: Option<Point>,
    pub(super) bulge: f64,
    pub(super) typed: Typed,
    pub(super) picked: Option<Hit>,
    pub(super) drag: Option<Drag>,
    pub(super) snapping: Snapping,
    /// Step of the grid, kept while the grid is off.
    pub(super) step: f64,
    pub(super) fillet: f64,
    /// Where the pointer was last, caught or not.
    pub(super) pointer: Option<Point>,
    pub(super) seen: Option<Viewport>,
    /// The size of the canvas for which everything was fitted in; `None` once it was moved by hand.
    pub(super) fitted: Option<Vec2>,
    pub(super) size: Vec2,
    pub(super) canvas: Canvas,
    pub(super) side: Side,
    pub(super) measured: Measured,
    pub(super) under: Option<Under>,
    /// Why the last thing asked for was not done.
    pub(super) refused: Option<String>,
    /// Top and thickness, where the job has no blank to be given an edge.
    pub(super) blank: [f64; 2],
    /// The edge was stated in coordinates of the blank's own.
    pub(super) folded: bool,
}

impl Sheet {
    /// A sheet with the path that the job has.
    pub(super) fn open(target: Target, desk: &Desk) -> Self {
        let units = desk.told();
        let (chain, folded) = chain_of(target, desk);
        let tool = if chain.is_empty() { Tool::Line } else { Tool::Pick };
        let sketch = Sketch::new(chain);
        let step = units.pick(0.1, 2.0);
        Self {
            target,
            units,
            troubles: sketch.chain().troubles(),
            sketch,
            tool,
            via: None,
            bulge: 1.0,
            typed: Typed::default(),
            picked: None,
            drag: None,
            snapping: Snapping {
                ends: true,
                middles: true,
                centres: true,
                square: true,
                other: true,
                grid: Some(step),
            },
            step,
            fillet: units.pick(0.25, 6.0),
            pointer: None,
            seen: None,
            fitted: None,
            size: Vec2::ZERO,
            canvas: Canvas::default(),
            side: Side::Path,
            measured: Measured::default(),
            under: None,
            refused: None,
            blank: take::usual_blank(units.of()),
            folded,
        }
    }

    pub(super) const fn target(&self) -> Target {
        self.target
    }

    pub(super) const fn chain(&self) -> &Chain {
        self.sketch.chain()
    }

    pub(super) const fn sketch(&self) -> &Sketch {
        &self.sketch
    }

    pub(super) fn troubles(&self) -> &[Trouble] {
        &self.troubles
    }

    pub(super) fn is_changed(&self) -> bool {
        self.sketch.is_changed()
    }

    /// What part of the plan is seen; `None` before it has been drawn.
    pub(super) fn viewport(&self) -> Option<Viewport> {
        let Vec2 { x: width, y: height } = self.size;
        let seen = self.seen.filter(|_| width >= 1.0 && height >= 1.0)?;
        Some(Viewport { width, height, ..seen })
    }

    /// Shows everything there is.
    pub(super) fn fit(&mut self, other: Option<&Path>) {
        let mut all = self.chain().bounds().join(self.measured.bounds());
        if let Some(path) = other {
            all = all.join(path.bounds());
        }
        if let Some(under) = &self.under {
            all = all.join(under.bounds());
        }
        if all.is_empty() || all.width().max(all.height()) <= 0.0 {
            let far = self.units.pick(4.0, 100.0);
            all = all.join(Bounds::of([pt(0.0, 0.0), pt(far, far * 0.75)]));
        }
        self.seen = Some(Viewport::fit(all, self.size.x, self.size.y, ROOM));
        self.fitted = Some(self.size);
    }

    /// Shows another part of the plan.
    pub(super) fn see(&mut self, seen: Viewport) {
        self.seen = Some(seen);
        self.fitted = None;
    }

    /// Makes an edit, or says why not; true when it was made.
    pub(super) fn edit(&mut self, edit: &Edit) -> bool {
        let done = self.sketch.apply(edit);
        self.refused = done.err().map(|refused| refused.message(self.units));
        self.renew();
        self.refused.is_none()
    }

    fn renew(&mut self) {
        self.troubles = self.chain().troubles();
        let (vertices, spans) = (self.chain().vertices().len(), self.chain().span_count());
        self.picked = self.picked.filter(|hit| match hit {
            Hit::Vertex(index) => *index < vertices,
            Hit::Span { span, .. } => *span < spans,
        });
    }

    /// Puts another path on the sheet, in place of what is there.
    pub(super) fn replace(&mut self, chain: Chain) {
        self.leave_started();
        self.picked = None;
        self.tool = Tool::Pick;
        self.edit(&Edit::Replace(chain));
        self.seen = None;
    }

    pub(super) fn run(&mut self, asked: OnSheet) {
        self.refused = None;
        match asked {
            OnSheet::Undo => {
                self.leave_started();
                self.sketch.undo();
            }
            OnSheet::Redo => {
                self.sketch.redo();
            }
            // Fitted in the next frame, when the other path is at hand.
            OnSheet::ShowAll => self.seen = None,
        }
        self.renew();
    }

    /// Takes another tool.
    pub(super) fn take_tool(&mut self, tool: Tool) {
        self.leave_started();
        self.tool = tool;
        self.picked = None;
        self.refused = None;
    }

    /// Forgets what has been begun of a span.
    pub(super) fn leave_started(&mut self) {
        self.via = None;
        self.drag = None;
        self.typed = Typed::default();
    }

    /// Lays a picture under the sheet.
    pub(super) fn lay_under(&mut self, path: &FilePath, pixels: Arc<Pixels>) {
        let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        let (centre, width) = self.viewport().map_or((pt(0.0, 0.0), self.units.pick(4.0, 100.0)), |seen| {
            (seen.centre, seen.seen().width() * 0.8)
        });
        self.under = Some(Under::new(name, pixels, centre, width));
        self.side = Side::Picture;
        // What is traced lies where it lies, not on round places.
        self.snapping.grid = None;
    }

    /// The path as the job states it.
    pub(super) fn finished(&self) -> Result<PathSource, String> {
        let vertices = self.chain().finished().map_err(|refused| refused.message(self.units))?;
        Ok(PathSource::Vertices(vertices))
    }

    pub(super) fn show(&mut self, ui: &mut Ui, desk: &Desk, busy: bool, actions: &mut Vec<Action>) {
        let colours = theme(ui.ctx());
        let plain = Frame::new().fill(colour(colours.panel));
        let other = self.other(desk);
        Panel::top("sheet tools")
            .resizable(false)
            .frame(plain.inner_margin(Margin::symmetric(16, 6)))
            .show(ui, |ui| tools::show(self, ui, desk, actions));
        Panel::bottom("sheet state")
            .resizable(false)
            .frame(plain.inner_margin(Margin::symmetric(16, 5)))
            .show(ui, |ui| tools::state(self, ui));
        Panel::right("sheet side")
            .exact_size(SIDE)
            .resizable(false)
            .frame(plain.inner_margin(Margin::symmetric(12, 8)))
            .show(ui, |ui| path_list::show(self, ui, desk, actions));
        CentralPanel::no_frame().show(ui, |ui| {
            pointer::canvas(self, ui, other.as_deref(), busy, actions);
        });
    }

    /// The other path, where the job has one.
    fn other(&self, desk: &Desk) -> Option<Arc<Path>> {
        let (proven, other) = match self.target {
            Target::Outline => (desk.proof().and_then(|proof| proof.edge.clone()), Target::Edge),
            Target::Edge => (desk.proof().and_then(|proof| proof.outline.clone()), Target::Outline),
        };
        // The job may state it before anything is proven.
        proven.or_else(|| chain_of(other, desk).0.path().map(Arc::new))
    }

    /// What the other path is called.
    pub(super) const fn other_name(&self) -> &'static str {
        match self.target {
            Target::Outline => Target::Edge.word(),
            Target::Edge => Target::Outline.word(),
        }
    }

    /// The identity of the canvas.
    pub(super) fn canvas_id() -> Id {
        Id::unique("drawing sheet")
    }
}

/// The path that the job has, in block coordinates, and whether that is another place than it is stated at.
fn chain_of(target: Target, desk: &Desk) -> (Chain, bool) {
    let job = desk.job();
    let (source, lie) = match target {
        Target::Outline => (job.outline.as_ref(), None),
        Target::Edge => {
            (job.blank.as_ref().map(|blank| &blank.edge), job.blank.as_ref().and_then(|blank| blank.at))
        }
    };
    let proven = || {
        let proof = desk.proof()?;
        let path = if target == Target::Outline { proof.outline.as_ref() } else { proof.edge.as_ref() };
        path.map(|path| Chain::of_path(path))
    };
    match source {
        Some(PathSource::Vertices(vertices)) => {
            let chain = Chain::new(vertices.clone(), true);
            let [x, y, turn] = lie.unwrap_or_default();
            (chain.placed(pt(x, y), turn.to_radians()), lie.is_some())
        }
        Some(_) => (proven().unwrap_or_default(), lie.is_some()),
        None => (Chain::default(), false),
    }
}
