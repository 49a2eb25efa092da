//! The slow plain reference: the cutter set down at close places along its path, the metal looked at point by point.

use blockwright_core::geometry::{Interval, Place, Point};

use super::shop::{BOTTOM, Shop, TOP};

/// Places of the cutter lie this close: between them a circle of .1 in is missed by less than 2e-6 in.
const APART: f64 = 0.001;
/// Steps of the walk along the line; a piece of metal thinner than this may be missed.
const STEP: f64 = 0.001;

/// The metal on the line square to the outline at one place.
pub(crate) struct Plain<'a> {
    shop: &'a Shop,
    place: Place,
    reach: Interval,
    /// For each pass, where the tip was: in plan and in height.
    tips: Vec<Vec<(Point, f64)>>,
}

impl<'a> Plain<'a> {
    pub(crate) fn new(shop: &'a Shop, place: &Place, reach: Interval) -> Self {
        let tips = shop.passes.iter().map(|pass| {
            let track = pass.track(&shop.outline);
            let steps = (track.length() / APART).ceil() as usize;
            let at = |step: usize| track.at(track.length() * step as f64 / steps as f64);
            let near = |tip: &blockwright_core::geometry::Point3| {
                // Only what can reach the line at all.
                let off = place.outward.cross(tip.plan() - place.at).abs();
                off <= pass.form.radius()
            };
            let joints = track.placed().iter().flat_map(|placed| [placed.motion.start, placed.motion.end]);
            let all = (0..=steps).filter_map(at).map(|position| position.tip).chain(joints);
            all.filter(near).map(|tip| (tip.plan(), tip.z)).collect()
        });
        Self { tips: tips.collect(), shop, place: *place, reach }
    }

    /// Where the metal ends at a height after so many passes, seen from the outline.
    pub(crate) fn leave(&self, passes: usize, height: f64) -> Option<f64> {
        if !(BOTTOM..=TOP).contains(&height) {
            return None;
        }
        let circles: Vec<(Point, f64)> = self.tips[..passes]
            .iter()
            .zip(&self.shop.passes)
            .flat_map(|(tips, pass)| {
                let profile = pass.form.profile();
                tips.iter().filter_map(move |(at, tip)| Some((*at, profile.radius_at(height - tip)?)))
            })
            .collect();
        // Where each circle covers the line, by Pythagoras.
        let covered: Vec<Interval> =
            circles.iter().filter_map(|(at, radius)| self.chord(*at, *radius)).collect();
        let metal = |q: f64| self.in_blank(q) && !covered.iter().any(|(from, to)| q >= *from && q <= *to);
        let mut q = if metal(0.0) { 0.0 } else { -1e-9 };
        if metal(q) {
            while metal(q + STEP) && q + STEP < self.reach.1 {
                q += STEP;
            }
            return Some(border(q, q + STEP, &metal));
        }
        while q > self.reach.0 {
            if metal(q - STEP) {
                return (q - STEP > self.reach.0).then(|| border(q - STEP, q, &metal));
            }
            q -= STEP;
        }
        None
    }

    fn chord(&self, at: Point, radius: f64) -> Option<Interval> {
        let offset = at - self.place.at;
        let (along, off) = (offset.dot(self.place.outward), self.place.outward.cross(offset));
        let square = radius * radius - off * off;
        (square >= 0.0).then(|| (along - square.sqrt(), along + square.sqrt()))
    }

    fn in_blank(&self, q: f64) -> bool {
        let at = self.place.at + self.place.outward * q;
        let bounds = self.shop.edge.bounds();
        at.x > bounds.low.x && at.x < bounds.high.x && at.y > bounds.low.y && at.y < bounds.high.y
    }
}

/// Where the metal ends between two places, the first in metal.
fn border(inside: f64, outside: f64, metal: &impl Fn(f64) -> bool) -> f64 {
    let (mut inside, mut outside) = (inside, outside);
    for _ in 0..30 {
        let middle = f64::midpoint(inside, outside);
        if metal(middle) { inside = middle } else { outside = middle }
    }
    inside
}

/// Where the metal of these polygons ends at a height, seen from the outline.
pub(crate) fn leave_of(polygons: &[Vec<[f64; 2]>], height: f64) -> Option<f64> {
    let mut pieces: Vec<(f64, f64)> = Vec::new();
    for polygon in polygons {
        let mut crossings = Vec::new();
        for (index, a) in polygon.iter().enumerate() {
            let b = polygon[(index + 1) % polygon.len()];
            if (a[1] > height) != (b[1] > height) {
                crossings.push(a[0] + (b[0] - a[0]) * (height - a[1]) / (b[1] - a[1]));
            }
        }
        crossings.sort_by(f64::total_cmp);
        pieces.extend(crossings.chunks_exact(2).map(|pair| (pair[0], pair[1])));
    }
    pieces.sort_by(|a, b| a.0.total_cmp(&b.0));
    // The walk starts a hair inside the outline.
    let here = pieces.iter().find(|(from, to)| *from <= 0.0 && *to > 0.0);
    here.or_else(|| pieces.iter().rev().find(|(_, to)| *to <= 0.0)).map(|(_, to)| *to)
}

/// Area of polygons, counter-clockwise.
pub(crate) fn area(polygons: &[Vec<[f64; 2]>]) -> f64 {
    let doubled = |polygon: &Vec<[f64; 2]>| -> f64 {
        let next = polygon.iter().cycle().skip(1);
        polygon.iter().zip(next).map(|(a, b)| a[0] * b[1] - b[0] * a[1]).sum()
    };
    polygons.iter().map(doubled).sum::<f64>() / 2.0
}
