//! The wall: the exact section of the metal at a station after every pass.
//!
//! In the upright plane square to the outline a point has a distance q along the outward normal from the outline,
//! and a height z. At one height a pass sweeps the area that the cutter's circle at that height sweeps; the metal is
//! the blank without what the passes swept. Heights at which the face changes its kind are found from the joints
//! of the silhouettes and by halving, never from a grid.

mod across;
mod along;
mod bare;
mod cut;
mod depth;
mod face;
mod gauge;
mod near;
mod pass;
pub mod pins;
mod polygon;
mod proud;
mod round;
mod runs;
mod section;
mod sides;
mod slice;
mod station;
mod table;
mod thickest;
mod told;
mod tolerance;
mod train;
mod words;

pub use along::{Along, PassWall, WallRow};
pub use cut::Cut;
pub use gauge::Straight;
pub(crate) use gauge::off_levels;
pub use pass::WallPass;
pub use proud::Proud;
pub(crate) use round::Round;
pub use runs::Heights;
pub use section::{Section, SectionPass, ToolAt};
pub use slice::{Slice, Within, slice};
pub use table::{Effect, UndercutRow, UndercutTable, Wanted};
pub(crate) use told::Site;
pub use told::Told;
pub use tolerance::WallTolerances;
pub use words::error_of;

use crate::geometry::{Path, Place};
use bare::Bare;
use station::Station;

/// Everything that the wall depends on, in block coordinates.
#[derive(Debug, Clone)]
pub struct Wall<'a> {
    /// The outline.
    pub outline: &'a Path,
    /// The blank's sawn edge.
    pub edge: &'a Path,
    /// Z of the blank's lower face.
    pub bottom: f64,
    /// Z of the blank's upper face.
    pub top: f64,
    /// The passes in the order they are run.
    pub passes: Vec<&'a WallPass>,
    /// Tolerances.
    pub tolerances: WallTolerances,
    /// The heights at which nothing is left.
    bare: Bare,
}

impl<'a> Wall<'a> {
    /// The block inside `edge` between two heights, its lower and its upper face, with passes in the order they are run.
    pub fn new(
        (outline, edge): (&'a Path, &'a Path),
        (bottom, top): (f64, f64),
        passes: Vec<&'a WallPass>,
        tolerances: WallTolerances,
    ) -> Self {
        Self { outline, edge, bottom, top, passes, tolerances, bare: Bare::default() }
    }

    /// Whether any pass leaves metal above a void: only then is there an undercut line.
    pub fn is_undercut(&self) -> bool {
        self.passes.iter().any(|pass| pass.form().is_undercutting())
    }

    /// The heights on the wall after each pass, at the place `along` a span of the outline from its start.
    pub fn heights_on(&self, span: usize, along: f64) -> Vec<Heights> {
        face::after_each_pass(&Station::new(self, &self.place_on(span, along)))
    }

    /// The heights on the wall after one pass, at such a place.
    fn heights_after(&self, span: usize, along: f64, pass: usize) -> Option<Heights> {
        let passes = self.passes.get(..=pass)?.to_vec();
        let until = Self { passes, ..self.clone() };
        Some(face::after_all(&Station::new(&until, &until.place_on(span, along))))
    }

    /// The place at a station, a hair away from a corner.
    fn place_at(&self, station: f64) -> Place {
        let station = station.rem_euclid(self.outline.length());
        let starts = self.outline.span_starts();
        let span = starts.partition_point(|&start| start <= station).saturating_sub(1);
        self.place_on(span, station - starts[span])
    }

    /// The place `along` a span, a hair away from its ends: at a sharp corner itself the line square to one side
    /// runs along the other, and belongs to neither.
    pub(crate) fn place_on(&self, span: usize, along: f64) -> Place {
        let length = self.outline.spans()[span].length();
        let hair = self.tolerances.hair.min(length / 4.0);
        self.outline.place_on(span, along.clamp(hair, length - hair))
    }
}
