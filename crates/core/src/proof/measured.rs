//! What can be measured on the block after each pass: what is expected there, and what was found.

use super::{PassProof, Proof};
use crate::geometry::{Bounds, Point, Range, Span};
use crate::job::{Does, Job, Measured, Pass, Quantity};
use crate::measure::{AlongOutline, StationRow};
use crate::tolerance::Tolerances;
use crate::tool::Form;
use crate::units::Units;
use crate::wall::PassWall;
use crate::wall::pins::Pins;

/// Places all round at which stock left is measured besides the thinnest.
const PLACES: usize = 3;

/// Something that can be measured after a pass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measure {
    /// Index of the pass.
    pub pass: usize,
    /// What is measured.
    pub what: Quantity,
    /// The station, where it is measured at one.
    pub station: Option<f64>,
    /// The place in plan of that station.
    pub at: Option<Point>,
    /// Diameter of the pins that it is measured over.
    pub pins: Option<f64>,
    /// Least and most that are expected; `None` where nothing of the kind is.
    pub expected: Option<(f64, f64)>,
    /// What was found, as the job has it.
    pub found: Option<f64>,
}

impl Measure {
    /// By how much what was found is off: above what is expected positive, below it negative, 0 within it.
    pub fn off_by(&self) -> Option<f64> {
        let ((least, most), found) = (self.expected?, self.found?);
        Some(found - found.clamp(least.min(most), most.max(least)))
    }

    /// What is measured, in words.
    pub fn what_words(&self, units: Units) -> String {
        match self.what {
            Quantity::OverX => "Over all along X".to_owned(),
            Quantity::OverY => "Over all along Y".to_owned(),
            Quantity::StockLeft => "Stock left outside the line".to_owned(),
            Quantity::Undercut => "Top of undercut".to_owned(),
            Quantity::Land => "Land".to_owned(),
            Quantity::Height => "Height of the block".to_owned(),
            Quantity::Depth => "Depth of what is cut inside".to_owned(),
            Quantity::OverPins => {
                format!("Over two pins of {} in the undercut", units.fine(self.pins.unwrap_or_default()))
            }
        }
    }

    /// Where it is measured, in words.
    pub fn where_words(&self, units: Units) -> String {
        let station = || units.plain(self.station.unwrap_or_default());
        match self.what {
            Quantity::OverX | Quantity::OverY => "at the gauge height".to_owned(),
            Quantity::StockLeft => match self.at {
                Some(at) => {
                    format!("station {}, X {}, Y {}", station(), units.plain(at.x), units.plain(at.y))
                }
                None => format!("station {}", station()),
            },
            Quantity::Undercut => "above the bottom face".to_owned(),
            Quantity::Land => "between undercut and edge rounding".to_owned(),
            Quantity::Height => "at its edge".to_owned(),
            Quantity::Depth => "below the top beside it".to_owned(),
            Quantity::OverPins => {
                format!("straight across from station {}, block and pins on a flat plate", station())
            }
        }
    }

    /// What is expected, in words: the one value where least and most are written the same.
    pub fn expected_words(&self, units: Units) -> String {
        let Some((least, most)) = self.expected else { return "-".to_owned() };
        let (least, most) = (units.fine(least), units.fine(most));
        if least == most { least } else { format!("{least} to {most}") }
    }

    /// By how much it may be off before the check would tell it, or what the job wants of it; empty where there is no
    /// limit.
    pub fn limit_words(&self, job: &Job) -> String {
        let (units, limits) = (job.units, Tolerances::for_units(job.units));
        let within = |limit: f64| format!("± {}", units.fine(limit));
        match self.what {
            // Both sides of the block lie within the limit of the stock left.
            Quantity::OverX | Quantity::OverY => within(2.0 * limits.allowance),
            Quantity::StockLeft => {
                let meant = job.passes.get(self.pass).and_then(|pass| pass.allowance);
                meant.map_or_else(String::new, |meant| {
                    format!("{} {}", units.fine(meant), within(limits.allowance))
                })
            }
            Quantity::Land => {
                job.land.map_or_else(String::new, |land| format!("wanted {}", units.fine(land)))
            }
            Quantity::Height | Quantity::Depth => within(limits.depth),
            Quantity::Undercut | Quantity::OverPins => String::new(),
        }
    }

    /// By how much it is off, with its sign; empty before it is measured.
    pub fn off_words(&self, units: Units) -> String {
        let Some(off) = self.off_by() else { return String::new() };
        let text = units.fine(off);
        if off > 0.0 && text != units.fine(0.0) { format!("+{text}") } else { text }
    }

    /// The value as the job keeps it.
    pub fn with(&self, value: f64) -> Measured {
        Measured { what: self.what, station: self.station, pins: self.pins, value }
    }
}

/// All that is worth measuring after each pass, in order, and all that was measured.
pub fn measures(proof: &Proof) -> Vec<Measure> {
    let mut all = Vec::new();
    for index in 0..proof.passes.len() {
        let found = proof.job.passes.get(index).map_or(&[][..], |pass| &pass.measured);
        let mut of_pass = Vec::new();
        for measure in suggested(proof, index) {
            // What was measured close by stands in its place.
            if !found.iter().any(|found| is_at(&measure, found, proof.job.units)) {
                of_pass.push(measure);
            }
        }
        of_pass.extend(found.iter().map(|found| measured(proof, index, found)));
        let rank = |measure: &Measure| Quantity::ALL.iter().position(|what| *what == measure.what);
        of_pass.sort_by(|a, b| {
            let stations = || a.station.unwrap_or(0.0).total_cmp(&b.station.unwrap_or(0.0));
            rank(a).cmp(&rank(b)).then_with(stations)
        });
        all.extend(of_pass);
    }
    all
}

/// Whether a measured value is what is suggested here: the same, at a place that is written the same.
fn is_at(measure: &Measure, found: &Measured, units: Units) -> bool {
    let near = match (measure.station, found.station) {
        (Some(a), Some(b)) => (a - b).abs() <= units.pick(0.0005, 0.005),
        (a, b) => a == b,
    };
    measure.what == found.what && near && measure.pins == found.pins
}

fn suggested(proof: &Proof, index: usize) -> Vec<Measure> {
    let mut all = Vec::new();
    let Some((done, pass)) = proof.passes.get(index).zip(proof.job.passes.get(index)) else { return all };
    let plain = |what, expected| Measure {
        pass: index,
        what,
        station: None,
        at: None,
        pins: None,
        expected: Some(expected),
        found: None,
    };
    if let Some(along) = done.along_outline.as_deref().filter(|_| pass.allowance.is_some()) {
        for what in [Quantity::OverX, Quantity::OverY] {
            all.extend(over_all(along, what).map(|width| plain(what, (width, width))));
        }
        all.extend(places(along, proof.job.units).into_iter().map(|row| Measure {
            station: Some(row.station),
            at: Some(row.at),
            ..plain(Quantity::StockLeft, (row.after, row.after))
        }));
    }
    let before = index.checked_sub(1).and_then(|before| proof.passes.get(before));
    for what in [Quantity::Undercut, Quantity::Land, Quantity::Height] {
        all.extend(changed(proof, what, done, before).map(|expected| plain(what, expected)));
    }
    all.extend(depth(proof, index).map(|expected| plain(Quantity::Depth, expected)));
    all.extend(pins(proof).filter(|_| index + 1 == proof.passes.len()).map(|(pins, station, over)| {
        Measure {
            station: Some(station),
            pins: Some(pins.diameter),
            ..plain(Quantity::OverPins, (over, over))
        }
    }));
    all
}

/// What was measured, beside what is expected there.
fn measured(proof: &Proof, index: usize, found: &Measured) -> Measure {
    let done = proof.passes.get(index);
    let along = done.and_then(|done| done.along_outline.as_deref());
    let row = along.and_then(|along| {
        along.measured.iter().find(|row| found.station.is_some_and(|station| row.station == station))
    });
    let expected = match found.what {
        Quantity::OverX | Quantity::OverY => {
            along.and_then(|along| over_all(along, found.what)).map(|width| (width, width))
        }
        Quantity::StockLeft => row.map(|row| (row.after, row.after)),
        Quantity::Undercut | Quantity::Land | Quantity::Height => {
            done.and_then(|done| on_wall(proof, found.what, done))
        }
        Quantity::Depth => depth(proof, index),
        Quantity::OverPins => over_pins(proof, index, found).map(|over| (over, over)),
    };
    Measure {
        pass: index,
        what: found.what,
        station: found.station,
        at: row.map(|row| row.at),
        pins: found.pins,
        expected,
        found: Some(found.value),
    }
}

/// The width of what stands at the gauge height.
fn over_all(along: &AlongOutline, what: Quantity) -> Option<f64> {
    let standing = Bounds::of(along.rows.iter().map(|row| row.at + row.outward * row.face));
    let width = if what == Quantity::OverX { standing.width() } else { standing.height() };
    (!along.rows.is_empty()).then_some(width)
}

/// Places all round, and before them the one with the least stock left where that is written otherwise than theirs.
fn places(along: &AlongOutline, units: Units) -> Vec<&StationRow> {
    let even =
        (0..PLACES).filter_map(|place| along.rows.get(along.rows.len() * (2 * place + 1) / (2 * PLACES)));
    let even: Vec<&StationRow> = even.collect();
    let least = along.rows.iter().min_by(|a, b| a.after.total_cmp(&b.after));
    let told = |row: &StationRow| units.fine(row.after);
    let least = least.filter(|least| even.iter().all(|row| told(row) != told(least)));
    let mut all: Vec<&StationRow> = least.into_iter().chain(even).collect();
    all.sort_by(|a, b| a.station.total_cmp(&b.station));
    all.dedup_by(|a, b| a.station == b.station);
    all
}

/// A height on the wall, or the land, as a rule measures it.
fn on_wall(proof: &Proof, what: Quantity, done: &PassProof) -> Option<(f64, f64)> {
    let (wall, bottom) = (done.wall.as_deref()?, proof.job.blank.as_ref()?.bottom());
    let of = |range: &Range, zero: f64| (range.least - zero, range.most - zero);
    let PassWall { undercut_line, land, top, .. } = wall;
    match what {
        Quantity::Undercut => undercut_line.as_ref().map(|line| of(line, bottom)),
        Quantity::Land => land.as_ref().filter(|land| land.most > 0.0).map(|land| of(land, 0.0)),
        _ => top.as_ref().map(|top| of(top, bottom)),
    }
}

/// How deep a pass cuts into the top: from the top as it stands then, down to its lowest tip. Nothing where it goes through.
fn depth(proof: &Proof, index: usize) -> Option<(f64, f64)> {
    let (done, blank) = (proof.passes.get(index)?, proof.job.blank.as_ref()?);
    let inside = done.purpose.as_ref().is_some_and(|purpose| purpose.does == Does::Inside);
    let low = done.track.lowest().filter(|low| inside && *low > blank.bottom() && *low < blank.top)?;
    let top = done.wall.as_deref().and_then(|wall| wall.top.as_ref());
    let (least, most) = top.map_or((blank.top, blank.top), |top| (top.least, top.most));
    Some((least - low, most - low))
}

/// The same, where the pass has changed it: what is written the same has not changed.
fn changed(
    proof: &Proof,
    what: Quantity,
    done: &PassProof,
    before: Option<&PassProof>,
) -> Option<(f64, f64)> {
    let (units, blank) = (proof.job.units, proof.job.blank.as_ref()?);
    let written = |(least, most): (f64, f64)| (units.fine(least), units.fine(most));
    let sawn = (what == Quantity::Height).then_some((blank.thickness, blank.thickness));
    let earlier = before.and_then(|before| on_wall(proof, what, before)).or(sawn);
    let now = on_wall(proof, what, done)?;
    (earlier.map(written) != Some(written(now))).then_some(now)
}

/// What is read over two pins after the last pass, where two straight walls are parallel: pins, station and reading.
fn pins(proof: &Proof) -> Option<(Pins, f64, f64)> {
    let (wall, outline) = (proof.wall()?, proof.outline.as_deref()?);
    let pins = Pins { diameter: proof.job.units.pick(0.25, 6.0), undercut: undercut_angle(proof)? };
    let line = proof.wall.as_ref()?.passes.last()?.undercut_line?;
    if !pins.touch_below(line.least - proof.job.blank.as_ref()?.bottom()) {
        return None;
    }
    // The middles of the straight sides, the longest first: there a pin lies best.
    let mut sides: Vec<(f64, f64)> = outline
        .spans()
        .iter()
        .zip(outline.span_starts())
        .filter(|(span, _)| matches!(span, Span::Line { .. }))
        .map(|(span, start)| (span.length(), start + span.length() / 2.0))
        .collect();
    sides.sort_by(|a, b| b.0.total_cmp(&a.0));
    let (station, root) =
        sides.into_iter().find_map(|(_, station)| Some((station, wall.root_across(station)?)))?;
    Some((pins, station, pins.over(root)))
}

/// What is read over such pins as somebody measured over; they must touch below the top of the undercut.
fn over_pins(proof: &Proof, index: usize, found: &Measured) -> Option<f64> {
    let pins = Pins { diameter: found.pins?, undercut: undercut_angle(proof)? };
    let line = proof.wall.as_ref()?.passes.last()?.undercut_line?;
    let bottom = proof.job.blank.as_ref()?.bottom();
    let last = index + 1 == proof.passes.len() && pins.touch_below(line.least - bottom);
    Some(pins.over(proof.wall()?.root_across(found.station?)?)).filter(|_| last)
}

/// Degrees of the undercut that the last undercut pass leaves.
fn undercut_angle(proof: &Proof) -> Option<f64> {
    let form = |pass: &Pass| proof.job.tool(pass.tool).map(|tool| &tool.form);
    proof.job.passes.iter().rev().find_map(|pass| match form(pass)? {
        Form::Undercut { angle, .. } => Some(*angle),
        _ => None,
    })
}
