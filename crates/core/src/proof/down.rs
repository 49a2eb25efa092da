//! How a pass goes into the metal: at which heights it cuts level, and how it comes down to them.

use super::Proof;
use crate::geometry::{Bounds, Path, Point};
use crate::program::{Curve, Kind, Motion};
use crate::track::{Placed, plan_bounds, plan_span};

/// A fall that goes across by less than this, times its depth, is straight down.
const UPRIGHT: f64 = 1e-3;

/// One way of coming down below the top of the blank.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Descent {
    /// Where it begins in plan, block coordinates.
    pub at: Point,
    /// Line of the program.
    pub line: u32,
    /// How it goes.
    pub how: Fall,
}

/// How a cutter comes down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fall {
    /// Straight down beside the blank, with so much between its rim and the sawn edge.
    Beside(f64),
    /// Straight down where the blank is, or was before it was cut.
    Over,
    /// Sloping, at so many degrees to the level.
    Slope(f64),
    /// Along a helix, at so many degrees to the level.
    Helix(f64),
}

impl Proof {
    /// The box that the rim of a pass's cutter keeps to in plan while it feeds, block coordinates; `None` when it never
    /// does.
    pub fn reach(&self, pass: usize) -> Option<Bounds> {
        let done = self.passes.get(pass)?;
        let path = feeds(done.track.placed())
            .fold(Bounds::EMPTY, |all, placed| all.join(plan_bounds(&placed.motion)));
        (!path.is_empty()).then(|| path.grown(done.tool_radius))
    }

    /// The heights of the tip, in the program's own Z, at which a pass feeds level below the top of the blank: the highest
    /// first, each once.
    pub fn levels(&self, pass: usize) -> Vec<f64> {
        let Some((done, stated)) = self.passes.get(pass).zip(self.job.passes.get(pass)) else {
            return Vec::new();
        };
        let top = self.top();
        let same = |a: f64, b: f64| self.job.units.fine(a) == self.job.units.fine(b);
        let level = |motion: &Motion| same(motion.start.z, motion.end.z) && plan_span(motion).length() > 0.0;
        let own = feeds(done.track.placed()).map(|placed| &placed.motion).filter(|motion| level(motion));
        let below = own.map(|motion| motion.end.z).filter(|z| *z < top);
        let mut all: Vec<f64> = below.map(|z| z - stated.zero.origin[2]).collect();
        all.sort_by(|a, b| b.total_cmp(a));
        all.dedup_by(|b, a| same(*a, *b));
        all
    }

    /// How a pass comes down below the top of the blank, in the order of its path.
    pub fn descents(&self, pass: usize) -> Vec<Descent> {
        let Some(done) = self.passes.get(pass) else { return Vec::new() };
        let top = self.top();
        let falls = |motion: &&Motion| motion.end.z < motion.start.z && motion.end.z < top;
        let of = |motion: &Motion| Descent {
            at: motion.start.plan(),
            line: motion.line,
            how: self.fall(motion, done.tool_radius),
        };
        feeds(done.track.placed()).map(|placed| &placed.motion).filter(falls).map(of).collect()
    }

    fn top(&self) -> f64 {
        self.job.blank.as_ref().map_or(f64::INFINITY, |blank| blank.top)
    }

    fn fall(&self, motion: &Motion, radius: f64) -> Fall {
        let (down, across) = (motion.start.z - motion.end.z, plan_span(motion).length());
        let slope = down.atan2(across).to_degrees();
        if across > down * UPRIGHT {
            return if motion.curve == Curve::Straight { Fall::Slope(slope) } else { Fall::Helix(slope) };
        }
        let clear = |edge: &Path| {
            let at = motion.start.plan();
            (!edge.holds(at)).then(|| edge.distance(at) - radius)
        };
        let clear = self.edge.as_deref().and_then(clear);
        clear.filter(|clear| *clear > 0.0).map_or(Fall::Over, Fall::Beside)
    }
}

fn feeds(placed: &[Placed]) -> impl Iterator<Item = &Placed> {
    placed.iter().filter(|placed| placed.motion.kind == Kind::Feed)
}
