//! Arcs: from the words of G2 and G3 to centre and sweep (NISTIR 6556, 3.5.3).

use super::line::{REMEDY, Run};
use super::quote::exact;
use crate::control::ArcCenters;
use crate::finding::{Code, Severity};
use crate::geometry::{Point, Point3};
use crate::program::arc::{Fitted, about_centre, with_radius};
use crate::program::motion::{Curve, Kind, Plane};
use crate::program::words::Word;

/// Rounding that may lie between a mismatch and its tolerance.
const ROUNDING: f64 = 1e-9;

impl Run<'_, '_> {
    pub(super) fn arc(&mut self, ccw: bool) {
        let at = self.words.found.first().map_or(0, |word| word.span.from);
        if !self.need_unrotated(at) {
            return;
        }
        let end = self.target();
        let ccw = ccw != self.reader.frame.turned().flips(self.reader.modal.plane);
        let curve = match self.fitted(end, ccw) {
            Some(arc) => {
                let plane = self.reader.modal.plane;
                Curve::Arc { plane, centre: arc.centre, sweep: arc.sweep }
            }
            None => Curve::Straight,
        };
        self.go(Kind::Feed, end, curve);
    }

    /// The arc that the words ask for. `None`, with its finding, when they ask for none.
    fn fitted(&mut self, end: Point3, ccw: bool) -> Option<Fitted> {
        let plane = self.reader.modal.plane;
        let reader = &self.reader;
        let from = reader.compensated.as_ref().map_or(reader.position, |compensated| compensated.programmed);
        let (from, _) = plane.split(from);
        let (to, _) = plane.split(end);
        let offsets = self.offsets();
        let Some(word) = self.take(b'R') else {
            let (centre, at) = self.centre(from, offsets)?;
            let arc = about_centre(from, to, centre, ccw);
            if arc.is_none() {
                self.no_arc(
                    at,
                    "puts the center on both ends of the arc, so there is no arc. Correct I, J or K",
                );
            }
            return arc.inspect(|arc| self.check_radii(arc, at));
        };
        if let Some(offset) = offsets.into_iter().flatten().next() {
            self.unproven(Code::UnprovenWord, offset.span.from, |word| {
                format!(
                    "{word} gives the center of an arc that has an R as well: which one counts is not \
                         checked. Delete one of them."
                )
            });
        }
        let radius = self.length(word);
        let arc = with_radius(from, to, radius, ccw);
        if arc.is_none() {
            self.no_arc(
                word.span.from,
                "is the radius of an arc that ends where it starts, so its center is open. Write a full \
                 circle with I, J or K",
            );
        }
        arc.inspect(|arc| self.check_radius(arc, word, radius))
    }

    /// The two words that give the centre in the plane in force; a finding for one that lies outside it.
    fn offsets(&mut self) -> [Option<Word>; 2] {
        let [first, second, outside] = match self.reader.modal.plane {
            Plane::Xy => [b'I', b'J', b'K'],
            Plane::Zx => [b'K', b'I', b'J'],
            Plane::Yz => [b'J', b'K', b'I'],
        };
        if let Some(word) = self.take(outside).filter(|word| word.value != 0.0) {
            self.unproven(Code::UnprovenWord, word.span.from, |word| {
                format!(
                    "{word} lies outside the plane of the arc: {REMEDY}. Check whether G17, G18 or G19 \
                         is meant."
                )
            });
        }
        [self.take(first), self.take(second)]
    }

    /// The centre, and the column to name if it does not fit.
    fn centre(&mut self, from: Point, offsets: [Option<Word>; 2]) -> Option<(Point, usize)> {
        let given = offsets.into_iter().flatten().next();
        let Some(given) = given else {
            let at = self.words.found.first().map_or(0, |word| word.span.from);
            self.unproven(Code::UnprovenState, at, |_| {
                "This arc has neither a center nor an R, so it is shown as a straight line and what follows \
                 is not checked. Write I, J, K or R, or G1 for a line."
                    .to_owned()
            });
            return None;
        };
        let [first, second] = offsets.map(|word| word.map(|word| self.length(word)));
        match (self.reader.centers, first, second) {
            (ArcCenters::Incremental, _, _) => {
                let offset = Point { x: first.unwrap_or(0.0), y: second.unwrap_or(0.0) };
                let offset = self.reader.frame.offset(self.reader.modal.plane, offset);
                Some((from + offset, given.span.from))
            }
            (ArcCenters::Absolute, Some(x), Some(y)) => {
                let plane = self.reader.modal.plane;
                let placed = self.reader.frame.placed(plane.join(Point { x, y }, 0.0));
                Some((plane.split(placed).0, given.span.from))
            }
            (ArcCenters::Absolute, _, _) => {
                self.unproven(Code::UnprovenState, given.span.from, |word| {
                    format!(
                        "{word} alone does not give a center measured from the program zero, so the arc is \
                         shown as a straight line and what follows is not checked. Write both center words."
                    )
                });
                None
            }
        }
    }

    fn no_arc(&mut self, at: usize, why: &str) {
        self.unproven(Code::ArcMismatch, at, |word| format!("{word} {why}; what follows is not checked."));
    }

    fn tolerance(&self) -> f64 {
        let units = self.reader.modal.units;
        self.reader
            .settings
            .arc_tolerance
            .unwrap_or_else(|| units.pick(0.0002, 0.002) * units.to(self.reader.settings.units))
    }

    fn check_radii(&mut self, arc: &Fitted, at: usize) {
        let tolerance = self.tolerance();
        if arc.mismatch <= tolerance + ROUNDING {
            return;
        }
        let units = self.reader.settings.units;
        self.find(Code::ArcMismatch, Severity::Stop, at, |_| {
            format!(
                "The radius at the end of this arc differs from the one at its start by {}; {} is allowed. \
                 Correct the end point or the center.",
                exact(units, arc.mismatch),
                exact(units, tolerance)
            )
        });
    }

    fn check_radius(&mut self, arc: &Fitted, word: Word, radius: f64) {
        let tolerance = self.tolerance();
        if arc.mismatch <= tolerance + ROUNDING {
            return;
        }
        let units = self.reader.settings.units;
        self.find(Code::ArcMismatch, Severity::Stop, word.span.from, |word| {
            format!(
                "{word} is too small to reach from start to end of this arc: {} is short by {}; \
                 {} is allowed. Correct the radius or the end point.",
                exact(units, radius.abs()),
                exact(units, arc.mismatch),
                exact(units, tolerance)
            )
        });
    }
}
