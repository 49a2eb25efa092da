//! Leave and thickness of cut at stations of the outline, pass by pass.

use std::cell::Cell;

use rayon::prelude::*;

use super::BlankProof;
use super::ranges::margin;
use super::swath::Swath;
use crate::geometry::{Bounds, Interval, Place, Point, Ray, merge, without};
use crate::task::{Cancelled, Task};
use crate::tolerance::Tolerances;
use crate::wall::{Cut, Round, Site, Slice, Told, Wall};

/// Most stations of one outline; a longer outline gets them farther apart.
const MOST_STATIONS: f64 = 60_000.0;
/// An edge of more corners is a rounded one: none of them is looked at for itself.
const MOST_CORNERS: usize = 500;
/// The outline itself is met this near to a station, as a part of the outline's length.
const OWN_CROSSING: f64 = 1e-7;

/// What one pass leaves at one station, at the gauge height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Values {
    /// Leave before the pass.
    pub before: f64,
    /// Leave after it.
    pub after: f64,
    /// How far outside the outline the place lies that `after` tells of: the same but next to a corner, where a place
    /// of another side may be the nearest.
    pub face: f64,
    /// How far inside the outline it took metal.
    pub past: f64,
    /// The motion that made the face left here, when this pass made it.
    pub by: Option<u32>,
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
    /// One for each pass: at the gauge height.
    pub values: Vec<Values>,
    /// One for each pass: over all heights.
    pub cuts: Vec<Cut>,
}

/// Stations all along an outline, and what is told of the blank by them.
#[derive(Debug, Clone)]
pub struct Stations {
    /// The stations, the place of least margin among them.
    pub rows: Vec<Row>,
    /// `None` without a station.
    pub blank: Option<BlankProof>,
}

/// Everything that leave and cut depend on.
#[derive(Debug)]
pub struct OutlineMeasure<'a> {
    /// The block with all passes, at every height.
    pub wall: Wall<'a>,
    /// The height at which leave is measured.
    pub gauge: f64,
    /// What each pass sweeps at the gauge height, and whether it is held against the outline.
    pub passes: Vec<(&'a Swath, bool)>,
    /// Tolerances.
    pub tolerances: Tolerances,
}

impl OutlineMeasure<'_> {
    /// Measures stations all along the outline, and where the blank has its least margin, which lies between two of them as a
    /// rule: as a station of its own it is one place for whoever looks for the worst.
    ///
    /// # Errors
    /// [`Cancelled`] when the task was asked to stop.
    pub fn stations(&self, task: Task<'_>) -> Result<Stations, Cancelled> {
        let mut rows = self.rows(task)?;
        let blank = margin(self, &rows);
        if let Some(blank) = &blank {
            self.put_in(&mut rows, blank.least_margin_at);
        }
        Ok(Stations { rows, blank })
    }

    /// Measures this station as well, unless it is among those that are there.
    fn put_in(&self, rows: &mut Vec<Row>, station: f64) {
        let after = rows.partition_point(|row| row.station < station);
        let near =
            [after.checked_sub(1), Some(after)].into_iter().flatten().filter_map(|index| rows.get(index));
        let same = self.wall.outline.length() * OWN_CROSSING;
        if near.into_iter().all(|row| (row.station - station).abs() > same) {
            let starts = self.wall.outline.span_starts();
            let span = starts.partition_point(|&start| start <= station).saturating_sub(1);
            rows.insert(after, self.row(span, station - starts[span]));
        }
    }

    /// Measures stations all along the outline, both ends of every span among them.
    ///
    /// # Errors
    /// [`Cancelled`] when the task was asked to stop.
    pub fn rows(&self, task: Task<'_>) -> Result<Vec<Row>, Cancelled> {
        let spacing = self.tolerances.station_spacing.max(self.wall.outline.length() / MOST_STATIONS);
        let mut places = Vec::new();
        let corners = self.beside_edge_corners();
        for (span, length) in self.wall.outline.spans().iter().map(crate::geometry::Span::length).enumerate()
        {
            let steps = (length / spacing).ceil().max(1.0) as usize;
            let first = places.len();
            places.extend((0..=steps).map(|step| (span, length * step as f64 / steps as f64)));
            let inside = |along: &f64| *along > 0.0 && *along < length;
            let here = corners.iter().filter(|(of, _)| *of == span).map(|(_, along)| *along).filter(inside);
            places.extend(here.map(|along| (span, along)));
            places[first..].sort_by(|a, b| a.1.total_cmp(&b.1));
        }
        task.tell("Measuring along the outline", 0.0);
        let measured = places.into_par_iter().map(|(span, along)| {
            task.cancel.check()?;
            Ok(self.row(span, along))
        });
        measured.collect()
    }

    /// Span and distance along it of the stations nearest to the corners of the blank's edge, where what is measured
    /// against it bends.
    fn beside_edge_corners(&self) -> Vec<(usize, f64)> {
        let corners = self.wall.edge.vertices();
        if corners.len() > MOST_CORNERS {
            return Vec::new();
        }
        let starts = self.wall.outline.span_starts();
        let place = |corner: &Point| {
            let station = self.wall.outline.nearest(*corner);
            let span = starts.partition_point(|&start| start <= station).saturating_sub(1);
            (span, station - starts[span])
        };
        corners.iter().map(place).collect()
    }

    /// Measures one station: `along` the span from its start; the cuts a hair away from a corner.
    pub fn row(&self, span: usize, along: f64) -> Row {
        let place = self.wall.outline.place_on(span, along);
        let station = (self.wall.outline.span_starts()[span] + along).min(self.wall.outline.length());
        let values = self.values(&self.site(&place), self.passes.len());
        let site = self.site(&self.wall.place_on(span, along));
        let cuts = self.wall.cuts(&site, self.wall.passes.len(), self.gauge);
        Row { station, span, place, values, cuts }
    }

    /// What the first `passes` leave at one station.
    pub(super) fn values_on(&self, span: usize, along: f64, passes: usize) -> Vec<Values> {
        self.values(&self.site(&self.wall.outline.place_on(span, along)), passes)
    }

    /// What a pass takes at one station, a hair away from a corner: at a sharp one itself the ray runs on the
    /// face of the other side.
    pub(super) fn cut_on(&self, span: usize, along: f64, pass: usize) -> Cut {
        self.wall.cut_of(&self.site(&self.wall.place_on(span, along)), pass, self.gauge)
    }

    /// The program line that takes the most of a pass's cut at the station of a row, at a height.
    pub(crate) fn cut_line(&self, row: &Row, pass: usize, height: f64) -> Option<u32> {
        let along = row.station - self.wall.outline.span_starts()[row.span];
        self.wall.line_of_cut(&self.site(&self.wall.place_on(row.span, along)), pass, height)
    }

    /// By how much a pass stays above its `bottom` at a station, leaving metal there.
    pub(super) fn above_bottom(&self, span: usize, along: f64, pass: usize, meant: (f64, f64)) -> f64 {
        self.wall.above_bottom(&self.site(&self.wall.place_on(span, along)), pass, meant)
    }

    fn site(&self, place: &Place) -> Site<'_> {
        let ray = Ray { origin: place.at, along: place.outward };
        let reach = self.reach(&ray);
        Site::new(self.wall.outline, ray, reach, self.tolerances.none_below)
    }

    fn values(&self, site: &Site<'_>, passes: usize) -> Vec<Values> {
        let (ray, reach) = (&site.ray, site.reach);
        let mut metal = ray.inside(self.wall.edge);
        let mut told = self.blank_told(site, &metal);
        let swept = |pass: usize, within: &Bounds, found: &mut Vec<Slice>| {
            if let Some((swath, _)) = self.passes.get(pass) {
                swath.within(within, found);
            }
        };
        let last = Cell::new(None);
        let mut round = Round::new(*ray, self.wall.edge, (self.all(), self.tolerances.sliver), &swept, &last);
        let mut found = Vec::new();
        let mut values = Vec::with_capacity(passes);
        for (index, (swath, held)) in self.passes.iter().take(passes).enumerate() {
            let before = told;
            found.clear();
            swath.along(ray, reach, &mut found);
            merge(&mut found, self.tolerances.sliver);
            let rest = without(&metal, &found, self.tolerances.sliver);
            told = site.told(&rest, |in_metal| round.nearest(index + 1, in_metal));
            let touched = before.leave - told.leave > self.tolerances.sliver;
            values.push(Values {
                before: before.leave,
                after: told.leave,
                face: told.face,
                past: if *held {
                    self.deepest_inside(ray, &metal, &found, reach.0)
                } else if touched {
                    (-told.face).max(0.0)
                } else {
                    0.0
                },
                by: touched.then(|| swath.maker_of(ray, told.leave, self.tolerances.none_below)).flatten(),
            });
            metal = rest;
        }
        values
    }

    /// What is told of the blank: its nearest edge where the ray runs along another side of the outline.
    fn blank_told(&self, site: &Site<'_>, metal: &[Interval]) -> Told {
        let edge = self.wall.edge;
        site.told(metal, |_| {
            let place = edge.place(edge.nearest(site.ray.origin)).at;
            Some((site.ray.origin.distance(place), place))
        })
    }

    /// A length beyond all there is.
    fn all(&self) -> f64 {
        let bounds = self.wall.outline.bounds().join(self.wall.edge.bounds());
        bounds.width() + bounds.height()
    }

    /// How far the ray belongs to this station: to the next crossing of the outline on either side, and outward
    /// not beyond the blank.
    fn reach(&self, ray: &Ray) -> Interval {
        let mut crossings = Vec::new();
        ray.crossings(self.wall.outline, &mut crossings);
        let own = self.wall.outline.length() * OWN_CROSSING;
        // At the tip of an acute corner the line square to either side leaves the outline at once.
        let enters = crossings.iter().filter(|t| **t < -own).count() % 2 == 1;
        // At a sharp corner the ray may run along the next span: its far end bounds the reach as well.
        let along = |vertex: &Point| (*vertex - ray.origin).dot(ray.along);
        let on_ray = |vertex: &&Point| ray.at(along(vertex)).distance(**vertex) < own;
        let vertices = self.wall.outline.vertices();
        self.wall.outline.each_on_line(ray, own, |index| {
            crossings.extend(vertices.get(index).filter(on_ray).map(along));
        });
        let all = self.all();
        let inner = crossings.iter().copied().filter(|t| *t < -own).fold(-all, f64::max);
        let inner = if enters { inner } else { 0.0 };
        let outer = crossings.iter().copied().filter(|t| *t > own).fold(all, f64::min);
        (inner, outer)
    }

    /// How far inside the outline a place on the ray lies: from its nearest side, so that a cut on the far side is
    /// not told as one right through the block.
    fn depth_at(&self, ray: &Ray, at: f64) -> f64 {
        self.wall.outline.distance(ray.at(at)).min(-at)
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
}
