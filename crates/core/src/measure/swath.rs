//! The area a pass sweeps at one height, as circles carried along lines and arcs.

use rstar::{AABB, RTree, RTreeObject, SelectionFunction};

use crate::geometry::{Arc, Bounds, Interval, Point, Ray};
use crate::program::{Curve, Plane};
use crate::tool::Form;
use crate::track::{Placed, Track};

#[derive(Debug, Clone, Copy, PartialEq)]
enum Shape {
    /// A circle whose radius runs evenly from `start` to `end` along a line.
    Capsule { from: Point, start: f64, to: Point, end: f64 },
    /// A circle of one radius along an arc.
    Band { arc: Arc, radius: f64 },
}

/// A piece of the swept area, made between two distances along the track.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Piece {
    shape: Shape,
    from: f64,
    to: f64,
    motion: u32,
}

impl Piece {
    fn bounds(&self) -> Bounds {
        match self.shape {
            Shape::Capsule { from, start, to, end } => {
                Bounds::of([from]).grown(start).join(Bounds::of([to]).grown(end))
            }
            Shape::Band { arc, radius } => arc.bounds().grown(radius),
        }
    }

    /// The piece as far as it was made at `distance` along the track.
    fn until(&self, distance: f64) -> Option<Self> {
        if self.to <= distance {
            return Some(*self);
        }
        if self.from >= distance {
            return None;
        }
        let part = (distance - self.from) / (self.to - self.from);
        let shape = match self.shape {
            Shape::Capsule { from, start, to, end } => {
                Shape::Capsule { from, start, to: from.toward(to, part), end: start + (end - start) * part }
            }
            Shape::Band { arc, radius } => {
                Shape::Band { arc: Arc { sweep: arc.sweep * part, ..arc }, radius }
            }
        };
        Some(Self { shape, ..*self })
    }

    fn along(&self, ray: &Ray, found: &mut Vec<Interval>) {
        match self.shape {
            Shape::Capsule { from, start, to, end } => found.extend(ray.in_capsule(from, start, to, end)),
            Shape::Band { arc, radius } => ray.in_arc_band(&arc, radius, found),
        }
    }
}

impl RTreeObject for Piece {
    type Envelope = AABB<[f64; 2]>;

    fn envelope(&self) -> Self::Envelope {
        let bounds = self.bounds();
        AABB::from_corners([bounds.low.x, bounds.low.y], [bounds.high.x, bounds.high.y])
    }
}

/// Selects the pieces whose boxes a ray meets.
struct OnRay<'a> {
    ray: &'a Ray,
    reach: Interval,
}

impl OnRay<'_> {
    fn meets(&self, envelope: &AABB<[f64; 2]>) -> bool {
        let (low, high) = (envelope.lower(), envelope.upper());
        let bounds = Bounds { low: Point { x: low[0], y: low[1] }, high: Point { x: high[0], y: high[1] } };
        self.ray.meets(&bounds, self.reach)
    }
}

impl SelectionFunction<Piece> for OnRay<'_> {
    fn should_unpack_parent(&self, envelope: &AABB<[f64; 2]>) -> bool {
        self.meets(envelope)
    }

    fn should_unpack_leaf(&self, leaf: &Piece) -> bool {
        self.meets(&leaf.envelope())
    }
}

/// The area one pass sweeps at one height, in block coordinates.
#[derive(Debug, Clone)]
pub struct Swath {
    tree: RTree<Piece>,
}

impl Swath {
    /// The area swept at `height` by `form` on the whole track. `follow` is how closely a changing radius is
    /// followed.
    pub fn new(track: &Track, form: &Form, height: f64, follow: f64) -> Self {
        let mut pieces = Vec::new();
        for (index, placed) in track.placed().iter().enumerate() {
            Maker { placed, motion: index as u32, form, height, follow, pieces: &mut pieces }.make();
        }
        Self { tree: RTree::bulk_load(pieces) }
    }

    /// Whether nothing is swept at this height.
    pub fn is_empty(&self) -> bool {
        self.tree.size() == 0
    }

    /// Adds the intervals of the ray inside the area, not merged.
    pub fn along(&self, ray: &Ray, reach: Interval, found: &mut Vec<Interval>) {
        for piece in self.tree.locate_with_selection_function(OnRay { ray, reach }) {
            piece.along(ray, found);
        }
    }

    /// The same, for what was swept up to `distance` along the track.
    pub fn along_until(&self, ray: &Ray, reach: Interval, distance: f64, found: &mut Vec<Interval>) {
        for piece in self.tree.locate_with_selection_function(OnRay { ray, reach }) {
            if let Some(made) = piece.until(distance) {
                made.along(ray, found);
            }
        }
    }

    /// The motion that made the border of the area at distance `at` along the ray, within `within`; the earliest
    /// when several did.
    pub fn maker_of(&self, ray: &Ray, at: f64, within: f64) -> Option<u32> {
        let mut found = Vec::new();
        let mut maker: Option<u32> = None;
        for piece in
            self.tree.locate_with_selection_function(OnRay { ray, reach: (at - within, at + within) })
        {
            found.clear();
            piece.along(ray, &mut found);
            if found.iter().any(|(start, _)| (start - at).abs() <= within) {
                maker = Some(maker.map_or(piece.motion, |earliest| earliest.min(piece.motion)));
            }
        }
        maker
    }
}

/// Turns one motion into pieces.
struct Maker<'a> {
    placed: &'a Placed,
    motion: u32,
    form: &'a Form,
    height: f64,
    follow: f64,
    pieces: &'a mut Vec<Piece>,
}

impl Maker<'_> {
    fn make(&mut self) {
        let (start, end) = (self.placed.motion.start.z, self.placed.motion.end.z);
        let corner = self.form.corner();
        // Parts of the motion on which the tip lies a corner or more below the height: the full radius cuts.
        if let Some((from, to)) = part_below(start, end, self.height - corner) {
            self.push_whole(from, to);
        }
        if corner > 0.0 {
            self.push_corner(start, end, corner);
        }
    }

    fn push_whole(&mut self, from: f64, to: f64) {
        let motion = &self.placed.motion;
        let radius = self.form.radius();
        let shape = match motion.curve {
            Curve::Arc { plane: Plane::Xy, centre, sweep } if motion.start.plan().distance(centre) > 0.0 => {
                let spoke = motion.start.plan() - centre;
                let arc = Arc {
                    centre,
                    radius: spoke.length(),
                    from: spoke.angle() + sweep * from,
                    sweep: sweep * (to - from),
                };
                Shape::Band { arc, radius }
            }
            _ => Shape::Capsule {
                from: motion.at(from).plan(),
                start: radius,
                to: motion.at(to).plan(),
                end: radius,
            },
        };
        self.push(shape, from, to);
    }

    /// The parts on which the height lies within the rounded part of the tip.
    fn push_corner(&mut self, start: f64, end: f64, corner: f64) {
        let Some(whole) = part_below(start, end, self.height) else { return };
        let full = part_below(start, end, self.height - corner);
        let parts = match full {
            None => [Some(whole), None],
            Some(full) => [
                (full.0 > whole.0).then_some((whole.0, full.0)),
                (full.1 < whole.1).then_some((full.1, whole.1)),
            ],
        };
        for (from, to) in parts.into_iter().flatten() {
            if start == end {
                self.push_level(from, to);
            } else {
                self.push_tapers(from, to, corner);
            }
        }
    }

    fn radius(&self, part: f64) -> f64 {
        let tip = self.placed.motion.at(part).z;
        self.form.radius_at((self.height - tip).max(0.0)).unwrap_or(0.0)
    }

    fn push_level(&mut self, from: f64, to: f64) {
        let radius = self.radius(0.0);
        let motion = &self.placed.motion;
        if let Curve::Arc { plane: Plane::Xy, centre, sweep } = motion.curve {
            let spoke = motion.start.plan() - centre;
            if spoke.length() > 0.0 {
                let arc = Arc { centre, radius: spoke.length(), from: spoke.angle(), sweep };
                self.push(Shape::Band { arc, radius }, from, to);
                return;
            }
        }
        let shape =
            Shape::Capsule { from: motion.start.plan(), start: radius, to: motion.end.plan(), end: radius };
        self.push(shape, from, to);
    }

    /// Steps even in the angle on the corner, so that the chord stays within `follow` of the silhouette.
    fn push_tapers(&mut self, from: f64, to: f64, corner: f64) {
        let motion = self.placed.motion;
        let level = self.height;
        let angle = |part: f64| {
            let height = (level - motion.at(part).z).clamp(0.0, corner);
            (1.0 - height / corner).clamp(-1.0, 1.0).acos()
        };
        let part_of = |angle: f64| {
            let height = corner * (1.0 - angle.cos());
            ((level - height - motion.start.z) / (motion.end.z - motion.start.z)).clamp(0.0, 1.0)
        };
        let (first, last) = (angle(from), angle(to));
        let step = 2.0 * (1.0 - (self.follow / corner).min(1.0)).acos();
        let plan = crate::track::plan_span(&motion);
        let arc_steps = match plan {
            crate::geometry::Span::Arc(arc) => arc.steps(self.follow),
            crate::geometry::Span::Line { .. } => 1,
        };
        let steps = (((last - first).abs() / step).ceil() as usize).max(arc_steps).clamp(1, 100_000);
        let place = |index: usize| part_of(first + (last - first) * index as f64 / steps as f64);
        for index in 0..steps {
            let (a, b) = (place(index), place(index + 1));
            let shape = Shape::Capsule {
                from: motion.at(a).plan(),
                start: self.radius(a),
                to: motion.at(b).plan(),
                end: self.radius(b),
            };
            self.push(shape, a, b);
        }
    }

    fn push(&mut self, shape: Shape, from: f64, to: f64) {
        let along = |part: f64| self.placed.from + self.placed.length * part;
        self.pieces.push(Piece { shape, from: along(from), to: along(to), motion: self.motion });
    }
}

/// The part of a motion from `start` to `end` (heights) on which it lies at or below `limit`.
fn part_below(start: f64, end: f64, limit: f64) -> Option<(f64, f64)> {
    match (start <= limit, end <= limit) {
        (true, true) => Some((0.0, 1.0)),
        (false, false) => None,
        (true, false) => Some((0.0, (limit - start) / (end - start))),
        (false, true) => Some(((limit - start) / (end - start), 1.0)),
    }
}
