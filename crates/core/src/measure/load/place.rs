//! The cutter at one place of its path, with all that may have taken metal there.

use std::cell::RefCell;
use std::collections::HashSet;

use super::front::{Front, Met, Open};
use super::{Load, Sweep};
use crate::geometry::{Bounds, Interval, Point, Ray, Span, merge, without};
use crate::measure::pieces::{Piece, pieces};
use crate::program::Curve;
use crate::tool::Profile;
use crate::track::{Placed, plan_bounds};
use crate::wall::{Slice, Within};

/// How far behind the cutter its own swept area ends, as a part of what counts as rounding: there its circle is the
/// front itself.
const BEHIND: f64 = 1000.0;
/// Joints nearer to each other than this part of the cutter's radius are one.
const SAME_JOINT: f64 = 1e-9;
/// Most heights at which one place is divided.
const MOST_JOINTS: usize = 48;
/// About how often a motion nearby may be looked at for one place.
const MOST_LOOKS: usize = 20_000;
/// Heights looked at, between so many and so many, before nothing is divided any more.
const MOST_HEIGHTS: (usize, usize) = (16, 240);

/// So many motions are taken before all others.
const FEW: usize = 8;

/// A motion nearby and the pass that makes it.
struct Nearby<'a> {
    placed: &'a Placed,
    profile: &'a Profile,
    is_own: bool,
    /// A circle in plan that holds all it sweeps.
    middle: Point,
    reach: f64,
}

impl<'a> Nearby<'a> {
    fn new(sweep: &'a Sweep, placed: &'a Placed, is_own: bool) -> Self {
        let motion = &placed.motion;
        let bounds = match motion.curve {
            Curve::Straight => Bounds::of([motion.start.plan(), motion.end.plan()]),
            Curve::Arc { .. } => plan_bounds(motion),
        };
        let middle = bounds.low.toward(bounds.high, 0.5);
        let reach = bounds.low.distance(middle) + sweep.widest();
        Self { placed, profile: sweep.profile(), is_own, middle, reach }
    }

    /// Whether what it sweeps may come into a circle.
    fn may_meet(&self, (middle, radius): (Point, f64)) -> bool {
        let (off, reach) = (self.middle - middle, self.reach + radius);
        off.dot(off) <= reach * reach
    }

    fn is_level(&self) -> bool {
        self.placed.motion.start.z == self.placed.motion.end.z
    }

    fn lowest(&self) -> f64 {
        self.placed.motion.start.z.min(self.placed.motion.end.z)
    }

    fn is_upright(&self) -> bool {
        self.placed.motion.start.plan() == self.placed.motion.end.plan()
    }
}

/// The cutter at one place.
pub(super) struct Place<'a> {
    load: &'a Load<'a>,
    pub(super) axis: Point,
    pub(super) tip: f64,
    pub(super) heading: Point,
    /// The box that the cutter fills.
    bounds: Bounds,
    /// The motions nearby that sweep at one height what they sweep at all above, the lowest first.
    even: Vec<Nearby<'a>>,
    /// The others.
    uneven: Vec<Nearby<'a>>,
    /// What the even ones leave of the front, as it was asked for last.
    after_even: RefCell<Option<AfterEven>>,
    /// Spans of the blank's edge nearby.
    edges: Vec<Span>,
    /// Distance along the path up to which the pass's own swept area counts.
    until: f64,
    /// Whether nothing changes from height to height between the joints, and what was swept at one height was swept
    /// at all above.
    pub(super) is_prismatic: bool,
}

impl<'a> Place<'a> {
    /// The cutter with its tip at a height over `axis` on its way to `heading`, at a distance along its path; `None`
    /// where the blank does not reach.
    pub(super) fn new(
        load: &'a Load<'a>,
        (axis, tip): (Point, f64),
        heading: Point,
        distance: f64,
    ) -> Option<Self> {
        let bounds = Bounds::of([axis]).grown(load.own.widest());
        let edges = load.edge.near(&bounds);
        if tip >= load.top || (edges.is_empty() && !load.edge.contains(axis)) {
            return None;
        }
        let until = distance - load.tolerances.sliver * BEHIND;
        let nearby = |sweep: &'a Sweep, is_own: bool| {
            let reached = sweep.near(&bounds).map(move |placed| Nearby::new(sweep, placed, is_own));
            reached.filter(move |near| near.lowest() < load.top && (!is_own || near.placed.from < until))
        };
        let mut near: Vec<Nearby<'a>> = load.earlier.iter().flat_map(|sweep| nearby(sweep, false)).collect();
        near.extend(nearby(load.own, true));
        // The lowest first, so that those too high are the last.
        near.sort_by(|a, b| a.lowest().total_cmp(&b.lowest()));
        drop_shallower(&mut near, until);
        nearest_first(&mut near, axis);
        let is_even = |near: &Nearby<'_>| is_straight(near.profile) && (near.is_level() || near.is_upright());
        let (even, uneven): (Vec<_>, Vec<_>) = near.into_iter().partition(is_even);
        let is_prismatic = is_straight(load.own.profile()) && uneven.is_empty();
        let after_even = RefCell::new(None);
        Some(Self { load, axis, tip, heading, bounds, even, uneven, after_even, edges, until, is_prismatic })
    }

    /// How many heights may be looked at here.
    pub(super) fn most_heights(&self) -> usize {
        (MOST_LOOKS / (self.even.len() + self.uneven.len() + 1)).clamp(MOST_HEIGHTS.0, MOST_HEIGHTS.1)
    }

    /// The heights between tip and top at which the kind of what is met may change, rising.
    pub(super) fn joints(&self) -> Vec<f64> {
        let (low, high) = (self.tip.max(self.load.bottom), self.load.top);
        let own = self.load.own.profile().joints().map(|joint| self.tip + joint);
        let mut joints: Vec<f64> = own.filter(|height| *height > low && *height < high).collect();
        let same = SAME_JOINT * self.load.own.widest();
        let mut others: Vec<f64> = self
            .nearby()
            .filter(|near| near.is_level() || near.is_upright())
            .flat_map(|near| near.profile.joints().map(|joint| near.lowest() + joint))
            .filter(|height| *height > low && *height < high)
            .collect();
        others.sort_by(f64::total_cmp);
        others.dedup_by(|a, b| *a - *b <= same);
        let every = others.len().div_ceil(MOST_JOINTS).max(1);
        joints.extend(others.into_iter().step_by(every));
        joints.extend([low, high]);
        joints.sort_by(f64::total_cmp);
        joints.dedup_by(|a, b| *a - *b <= same);
        joints
    }

    fn front(&self, height: f64) -> Option<Front> {
        let radius = self.load.own.profile().radius_at(height - self.tip).filter(|radius| *radius > 0.0)?;
        let rounding = self.load.tolerances.sliver;
        Some(Front { axis: self.axis, heading: self.heading, radius, rounding })
    }

    /// The front inside the blank.
    fn in_blank(&self, front: &Front) -> Vec<Open> {
        let mut open = front.whole();
        if !self.edges.is_empty() {
            front.take_air(self.load.edge, &self.edges, &mut open);
        }
        open
    }

    fn nearby(&self) -> impl Iterator<Item = &Nearby<'a>> {
        self.even.iter().chain(&self.uneven)
    }

    /// What the front meets at a height.
    pub(super) fn met(&self, height: f64) -> Met {
        let Some(front) = self.front(height) else { return Met::default() };
        let mut left = self.after_even(&front, height);
        for near in self.uneven.iter().take_while(|near| near.lowest() <= height) {
            self.take(&front, near, height, &mut left);
        }
        front.met(&left.open, front.rounding)
    }

    /// What the even motions leave of the front at a height: the same as at the last one, where neither the front's radius
    /// nor which of them have begun has changed.
    fn after_even(&self, front: &Front, height: f64) -> Left {
        let count = self.even.partition_point(|near| near.lowest() <= height);
        let last = self.after_even.take().filter(|last| last.radius == front.radius && last.count <= count);
        let mut next = last.unwrap_or_else(|| AfterEven {
            radius: front.radius,
            count: 0,
            left: Left::new(front, self.in_blank(front)),
        });
        for near in &self.even[next.count..count] {
            self.take(front, near, height, &mut next.left);
        }
        next.count = count;
        let left = next.left.clone();
        self.after_even.replace(Some(next));
        left
    }

    /// Takes out of what is left of the front what a motion nearby swept at a height.
    fn take(&self, front: &Front, near: &Nearby<'a>, height: f64, left: &mut Left) {
        if left.open.is_empty() || !near.may_meet(left.round) {
            return;
        }
        let mut changed = false;
        self.pieces(near, (height, 0.0), Within::Box(&self.bounds), |slice| {
            changed |= front.take(slice, &mut left.open);
        });
        if changed {
            left.round = front.round(&left.open);
        }
    }

    /// The metal on a line through the axis at a height, as far as the cutter reaches, not in what was taken before; of the pass's own sweep what it made up to `back`
    /// behind the cutter.
    pub(super) fn metal_on(&self, ray: &Ray, blank: &[Interval], height: f64, back: f64) -> Vec<Interval> {
        let mut taken = Vec::new();
        let widest = self.load.own.widest();
        let within = Within::Ray(ray, (-widest, widest));
        for near in self.nearby().filter(|near| near.lowest() <= height) {
            self.pieces(near, (height, back), within, |slice| slice.along(ray, &mut taken));
        }
        let rounding = self.load.tolerances.sliver;
        merge(&mut taken, rounding);
        without(blank, &taken, rounding)
    }

    /// The area swept on a motion nearby at a height, the pass's own up to `back` behind the cutter.
    fn pieces(
        &self,
        near: &Nearby<'_>,
        (height, back): (f64, f64),
        within: Within<'_>,
        mut give: impl FnMut(&Slice),
    ) {
        let until = if near.is_own { self.until - back } else { f64::INFINITY };
        pieces(near.placed, near.profile, height, self.load.tolerances.none_below, within, |piece: Piece| {
            if let Some(made) = piece.until(until) {
                give(&made);
            }
        });
    }
}

/// What is left of the front, and the circle round it.
#[derive(Clone)]
struct Left {
    open: Vec<Open>,
    round: (Point, f64),
}

impl Left {
    fn new(front: &Front, open: Vec<Open>) -> Self {
        let round = front.round(&open);
        Self { open, round }
    }
}

/// What the first `count` of the even motions leave of a front of this radius.
struct AfterEven {
    radius: f64,
    count: usize,
    left: Left,
}

/// Among those equally low brings a few that pass nearest to the axis to the front: they take the most.
fn nearest_first(near: &mut [Nearby<'_>], axis: Point) {
    for level in near.chunk_by_mut(|a, b| a.lowest() == b.lowest()) {
        if level.len() > FEW {
            let off = |near: &Nearby<'_>| near.middle.distance(axis) - near.reach;
            level.select_nth_unstable_by(FEW, |a, b| off(a).total_cmp(&off(b)));
        }
    }
}

/// Of the plunges of one cutter at one place the deepest takes all, as long as nothing above its tip is narrower.
/// One that is still under way takes nothing else's place.
fn drop_shallower(near: &mut Vec<Nearby<'_>>, until: f64) {
    let mut deepest: HashSet<([u64; 2], *const Profile)> = HashSet::new();
    near.retain(|near| {
        let at = near.placed.motion.start.plan();
        let made = !near.is_own || near.placed.from + near.placed.length <= until;
        !(made && near.is_upright() && near.profile.only_widens())
            || deepest.insert(([at.x.to_bits(), at.y.to_bits()], std::ptr::from_ref(near.profile)))
    });
}

/// Whether a cutter has a flat end and upright sides.
fn is_straight(profile: &Profile) -> bool {
    profile.top().y <= 0.0
}
