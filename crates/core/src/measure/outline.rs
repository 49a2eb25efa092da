//! Leave and thickness of cut at stations of the outline, pass by pass.

use rayon::prelude::*;

use super::swath::Swath;
use crate::geometry::{Interval, Path, Place, Point, Ray, merge, without};
use crate::task::{Cancelled, Task};
use crate::tolerance::Tolerances;

/// Most stations of one outline; a longer outline gets them farther apart.
const MOST_STATIONS: f64 = 60_000.0;
/// The outline itself is met this near to a station, as a part of the outline's length.
const OWN_CROSSING: f64 = 1e-7;

/// Places looked at to tell whether a ray runs along the outline.
const HUG_STEPS: u32 = 8;

/// What one pass does at one station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Values {
    /// Leave before the pass.
    pub before: f64,
    /// Leave after it.
    pub after: f64,
    /// How far inside the outline it took metal.
    pub past: f64,
    /// The motion that made the face left here, when this pass made it.
    pub by: Option<u32>,
}

impl Values {
    /// Thickness of cut.
    pub fn cut(&self) -> f64 {
        self.before - self.after
    }
}

/// One station with what every pass does there.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Distance along the outline.
    pub station: f64,
    /// Index of the span it lies on.
    pub span: usize,
    /// The place.
    pub place: Place,
    /// One for each pass.
    pub values: Vec<Values>,
}

/// Everything that leave and cut depend on.
#[derive(Debug)]
pub struct OutlineMeasure<'a> {
    /// The outline.
    pub outline: &'a Path,
    /// The blank's sawn edge.
    pub edge: &'a Path,
    /// What each pass sweeps at the gauge height, and whether it is held against the outline.
    pub passes: Vec<(&'a Swath, bool)>,
    /// Tolerances.
    pub tolerances: Tolerances,
}

impl OutlineMeasure<'_> {
    /// Measures stations all along the outline, both ends of every span among them.
    ///
    /// # Errors
    /// [`Cancelled`] when the task was asked to stop.
    pub fn rows(&self, task: Task<'_>) -> Result<Vec<Row>, Cancelled> {
        let spacing = self.tolerances.station_spacing.max(self.outline.length() / MOST_STATIONS);
        let mut places = Vec::new();
        for (span, length) in self.outline.spans().iter().map(crate::geometry::Span::length).enumerate() {
            let steps = (length / spacing).ceil().max(1.0) as usize;
            places.extend((0..=steps).map(|step| (span, length * step as f64 / steps as f64)));
        }
        task.tell("Measuring along the outline", 0.0);
        let measured = places.into_par_iter().map(|(span, along)| {
            task.cancel.check()?;
            Ok(self.row(span, along))
        });
        measured.collect()
    }

    /// Measures one station: `along` the span from its start.
    pub fn row(&self, span: usize, along: f64) -> Row {
        self.row_through(span, along, self.passes.len())
    }

    /// The same for the first passes alone.
    pub(super) fn row_through(&self, span: usize, along: f64, passes: usize) -> Row {
        let place = self.outline.place_on(span, along);
        let station = (self.outline.span_starts()[span] + along).min(self.outline.length());
        Row { station, span, place, values: self.values(&place, passes) }
    }

    fn values(&self, place: &Place, passes: usize) -> Vec<Values> {
        let ray = Ray { origin: place.at, along: place.outward };
        let reach = self.reach(&ray);
        let mut metal = self.blank_along(&ray);
        let mut before = self.leave(&ray, &metal, reach);
        let beside = self.beside(&ray, &metal, reach) - before;
        let mut found = Vec::new();
        let mut values = Vec::with_capacity(passes);
        for (swath, held) in self.passes.iter().take(passes) {
            found.clear();
            swath.along(&ray, reach, &mut found);
            merge(&mut found, self.tolerances.sliver);
            let rest = without(&metal, &found, self.tolerances.sliver);
            let after = self.leave(&ray, &rest, reach);
            let touched = before - after > self.tolerances.sliver;
            values.push(Values {
                before: before + beside,
                after: after + beside,
                past: if *held {
                    self.deepest_inside(&ray, &metal, &found, reach.0)
                } else if touched {
                    (-after).max(0.0)
                } else {
                    0.0
                },
                by: touched.then(|| swath.maker_of(&ray, after, self.tolerances.none_below)).flatten(),
            });
            metal = rest;
            before = after;
        }
        values
    }

    /// How far the ray belongs to this station: to the next crossing of the outline on either side, and outward
    /// not beyond the blank.
    fn reach(&self, ray: &Ray) -> Interval {
        let mut crossings = Vec::new();
        ray.crossings(self.outline, &mut crossings);
        let own = self.outline.length() * OWN_CROSSING;
        // At the tip of an acute corner the line square to either side leaves the outline at once.
        let enters = crossings.iter().filter(|t| **t < -own).count() % 2 == 1;
        // At a sharp corner the ray may run along the next span: its far end bounds the reach as well.
        let along = |vertex: &Point| (*vertex - ray.origin).dot(ray.along);
        let on_ray = |vertex: &&Point| ray.at(along(vertex)).distance(**vertex) < own;
        crossings.extend(self.outline.vertices().iter().filter(on_ray).map(along));
        let bounds = self.outline.bounds().join(self.edge.bounds());
        let all = bounds.width() + bounds.height();
        let inner = crossings.iter().copied().filter(|t| *t < -own).fold(-all, f64::max);
        let inner = if enters { inner } else { 0.0 };
        let outer = crossings.iter().copied().filter(|t| *t > own).fold(all, f64::min);
        (inner, outer)
    }

    /// The leave of the blank. Where the blank ends short of the outline crosswise, a ray from beyond its end runs past
    /// it, or meets it far down; what is missing there is the way to the nearest metal. All that the passes leave at the
    /// station is told from there, so that their cuts stay what the ray says.
    fn beside(&self, ray: &Ray, blank: &[Interval], reach: Interval) -> f64 {
        let end = metal_end(blank, reach);
        if blank.iter().any(|(start, end)| *start <= 0.0 && *end > 0.0) {
            return end;
        }
        let nearest = -self.edge.distance(ray.origin);
        if reach.0 < 0.0 { end.max(nearest) } else { nearest }
    }

    /// Where the metal ends, seen from the station: outward when the station lies in metal, else inward.
    fn leave(&self, ray: &Ray, metal: &[Interval], reach: Interval) -> f64 {
        let end = metal_end(metal, reach);
        if end < -self.tolerances.past_outline { -self.inward(ray, -end) } else { end }
    }

    /// The distance inward along the ray, unless the ray hugs the outline all that way: next to a sharp corner it
    /// runs along the other side, and there the distance from that side counts.
    fn inward(&self, ray: &Ray, distance: f64) -> f64 {
        let off =
            |step: u32| self.outline.distance(ray.at(-distance * f64::from(step) / f64::from(HUG_STEPS)));
        let most = (1..HUG_STEPS).map(off).fold(0.0, f64::max);
        if most <= self.tolerances.past_outline { most } else { distance }
    }

    /// How far inside the outline a place on the ray lies: from its nearest side, so that a cut on the far side is
    /// not told as one right through the block.
    fn depth_at(&self, ray: &Ray, at: f64) -> f64 {
        self.outline.distance(ray.at(at)).min(-at)
    }

    /// How far inside the outline `taken` reaches into `metal`.
    fn deepest_inside(&self, ray: &Ray, metal: &[Interval], taken: &[Interval], inner: f64) -> f64 {
        let mut deepest = 0.0_f64;
        for (from, to) in taken {
            for (start, end) in metal {
                let (low, high) = (from.max(*start).max(inner), to.min(*end).min(0.0));
                if low < high {
                    let middle = self.depth_at(ray, f64::midpoint(low, high));
                    deepest = deepest.max(self.depth_at(ray, low)).max(middle);
                }
            }
        }
        deepest
    }

    fn blank_along(&self, ray: &Ray) -> Vec<Interval> {
        ray.inside(self.edge)
    }
}

/// Where the metal ends along a ray, seen from its origin: ahead when that lies in metal, else behind.
fn metal_end(metal: &[Interval], reach: Interval) -> f64 {
    let here = metal.iter().find(|(start, end)| *start <= 0.0 && *end > 0.0).map(|(_, end)| *end);
    let inside = || metal.iter().rev().map(|(_, end)| *end).find(|end| *end <= 0.0);
    here.or_else(inside).unwrap_or(reach.0).clamp(reach.0, reach.1)
}
