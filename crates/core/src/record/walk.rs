//! The walk round: where the operator stops an air pass and looks, and what must be seen there.
//!
//! The cutter stands above the block. Seen straight from above, its rim stays as far from the scribed line as the pass
//! leaves, whatever the height; so the gap is exact plane geometry between the tool's axis and the outline.

use super::csv::{cell, row};
use crate::geometry::{Path, Point};
use crate::job::{Does, Pass};
use crate::measure::{AlongOutline, Contact, StationRow, Stretch};
use crate::proof::{PassProof, Proof};
use crate::tolerance::Tolerances;
use crate::units::fixed;

/// Even stops of one round, about.
const ROUND: f64 = 12.0;
/// Thin places nearer to each other than this part of the outline are one.
const SAME: f64 = 0.01;
/// A heaviest place is told where it takes so many times what is taken anywhere else on the walk.
const MORE: f64 = 1.05;
/// Most thin stretches of one pass that are walked to.
const MOST_THIN: usize = 8;

/// A place at which to stop and look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WalkStop {
    /// Station of the outline.
    pub station: f64,
    /// The readout's X and Y there: those of the tool's axis in the program's own coordinates.
    pub readout: Point,
    /// Distance between the cutter's rim, where it is widest, and the line: what is seen from above. Below 0 the rim
    /// stands over the line.
    pub gap: f64,
    /// Stock outside the line before the pass, at the gauge height; below 0 the blank is short.
    pub stock: f64,
    /// What the pass takes there.
    pub cut: f64,
    /// How it meets the metal.
    pub contact: Contact,
    /// Whether it is one of the thin places, which come first.
    pub thin: bool,
    /// Whether it is where the pass takes the most, by far.
    pub heaviest: bool,
    /// Whether it is where the pass leaves more than it may, the most of it.
    pub leaves_more: bool,
    /// How far along the pass's path it lies.
    pub distance: f64,
    /// What is looked at.
    pub mark: Mark,
}

/// What the cutter's rim is held against on the walk round.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    /// The scribed line.
    Line,
    /// The side of the block as it stands: the line went with its top, in the pass of this index.
    Side {
        /// The pass that took it.
        gone_with: usize,
    },
}

impl WalkStop {
    /// What is seen from above between the cutter's rim and what it is held against; below 0 the rim stands over it.
    pub fn seen(&self) -> f64 {
        match self.mark {
            Mark::Line => self.gap,
            Mark::Side { .. } => self.gap - self.stock,
        }
    }
}

/// The first pass that takes the scribed line away: one that faces the top, or takes the edge off.
pub fn line_gone_with(proof: &Proof) -> Option<usize> {
    let takes = |done: &PassProof| {
        done.purpose.as_ref().is_some_and(|purpose| matches!(purpose.does, Does::Face | Does::Edge))
    };
    proof.passes.iter().position(takes)
}

/// The stops of one pass: thin places first, then once round, both in the order of the path. Empty for a pass that was
/// not measured along the outline.
pub fn walk(proof: &Proof, pass: usize) -> Vec<WalkStop> {
    let found = || {
        let (stated, done) = (proof.job.passes.get(pass)?, proof.passes.get(pass)?);
        let along = done.along_outline.as_deref()?;
        let gone = line_gone_with(proof).filter(|gone| *gone < pass);
        let mark = gone.map_or(Mark::Line, |gone_with| Mark::Side { gone_with });
        let tolerances = Tolerances::for_units(proof.job.units);
        let (within, rounding) = (tolerances.allowance, tolerances.rounding());
        Some(Walk { outline: proof.outline.as_deref()?, stated, done, along, mark, within, rounding }.stops())
    };
    found().unwrap_or_default()
}

/// A stretch with little contact or none.
#[derive(Debug, Clone, Copy)]
struct Thin {
    from: f64,
    to: f64,
    /// The pass finds no metal in it, or in a part of it.
    none: bool,
}

struct Walk<'a> {
    outline: &'a Path,
    stated: &'a Pass,
    done: &'a PassProof,
    along: &'a AlongOutline,
    mark: Mark,
    /// By how much stock left may be off.
    within: f64,
    /// What counts as the same.
    rounding: f64,
}

impl Walk<'_> {
    fn stops(&self) -> Vec<WalkStop> {
        let mut thin: Vec<WalkStop> =
            self.thin_rows().into_iter().filter_map(|(row, state)| self.stop(row, state, true)).collect();
        let count = self.along.rows.len();
        let step = (count as f64 / ROUND).max(1.0);
        let even =
            (0..ROUND as usize).map(|index| (index as f64 * step) as usize).filter(|index| *index < count);
        let mut round: Vec<WalkStop> = even
            .filter_map(|index| self.along.rows.get(index))
            .filter_map(|row| self.stop(row, self.state(row.station), false))
            .filter(|stop| stop.contact != Contact::Approach)
            .collect();
        round.extend(self.heaviest(&round));
        round.extend(self.leaves_more());
        thin.dedup_by(|b, a| self.apart(a.station, b.station) < self.outline.length() * SAME);
        if let [first, .., last] = thin[..]
            && self.apart(first.station, last.station) < self.outline.length() * SAME
        {
            thin.pop();
        }
        for stops in [&mut thin, &mut round] {
            stops.sort_by(|a, b| a.distance.total_cmp(&b.distance));
        }
        thin.extend(round);
        thin
    }

    /// Where the pass takes the most, if that is more than at any of these places by a part of it worth seeing.
    fn heaviest(&self, round: &[WalkStop]) -> Option<WalkStop> {
        let row = self.along.rows.iter().max_by(|a, b| a.cut.total_cmp(&b.cut))?;
        let most = round.iter().map(|stop| stop.cut).fold(0.0, f64::max);
        let stop = self.stop(row, self.state(row.station), false).filter(|_| row.cut > most * MORE)?;
        Some(WalkStop { heaviest: true, ..stop })
    }

    /// Where the pass leaves the most, if that is more than it is meant to and may.
    fn leaves_more(&self) -> Option<WalkStop> {
        let meant = self.stated.allowance?;
        let row = self.along.rows.iter().max_by(|a, b| a.after.total_cmp(&b.after))?;
        let stop = self.stop(row, self.state(row.station), false)?;
        let more = row.after > meant + self.within && stop.contact != Contact::Approach;
        more.then_some(WalkStop { leaves_more: true, ..stop })
    }

    /// How far two stations are apart, the shorter way round.
    fn apart(&self, a: f64, b: f64) -> f64 {
        let way = (a - b).rem_euclid(self.outline.length());
        way.min(self.outline.length() - way)
    }

    fn state(&self, station: f64) -> Contact {
        let own = self.along.contact.iter().find(|stretch| stretch.from <= station && station <= stretch.to);
        own.map_or(Contact::Full, |stretch| stretch.state)
    }

    /// The thinnest place of every stretch that is light or without contact, the longest stretches first where there are
    /// too many.
    fn thin_rows(&self) -> Vec<(&StationRow, Contact)> {
        let is_thin = |state: Contact| matches!(state, Contact::None | Contact::Light);
        let groups = self.along.contact.chunk_by(|a, b| is_thin(a.state) == is_thin(b.state));
        let groups = groups.filter(|group| is_thin(group[0].state));
        let thin = |group: &[Stretch]| {
            let none = group.iter().any(|stretch| stretch.state == Contact::None);
            Some(Thin { from: group.first()?.from, to: group.last()?.to, none })
        };
        let mut thin: Vec<Thin> = groups.filter_map(thin).collect();
        // A stretch that goes on past the first vertex is one place.
        if let [first, .., last] = thin[..]
            && first.from <= 0.0
            && last.to >= self.outline.length()
        {
            thin.remove(0);
            if let Some(one) = thin.last_mut() {
                *one = Thin { to: first.to, none: one.none || first.none, ..*one };
            }
        }
        let length = |thin: &Thin| self.outline.way(thin.from, thin.to);
        thin.sort_by(|a, b| length(b).total_cmp(&length(a)));
        thin.truncate(MOST_THIN);
        thin.sort_by(|a, b| a.from.total_cmp(&b.from));
        thin.iter().filter_map(|thin| self.thinnest(thin)).collect()
    }

    /// Where a stretch is thinnest: by the metal that stood there where the pass finds none, by its cut else.
    fn thinnest(&self, thin: &Thin) -> Option<(&StationRow, Contact)> {
        let value = |row: &StationRow| if thin.none { row.before } else { row.cut };
        let row = self.along.least_row((thin.from, thin.to), self.rounding, value)?;
        Some((row, self.state(row.station)))
    }

    fn stop(&self, row: &StationRow, contact: Contact, thin: bool) -> Option<WalkStop> {
        let radius = self.done.tool_radius;
        // Where the path comes nearest to the line: lead-ins stay farther off.
        let distance = self.done.track.nearest(row.at)?;
        let axis = self.done.track.at(distance)?.tip.plan();
        Some(WalkStop {
            station: row.station,
            readout: self.stated.zero.in_plan(axis),
            gap: off_line(self.outline, axis) - radius,
            stock: row.before,
            cut: row.cut,
            contact,
            thin,
            heaviest: false,
            leaves_more: false,
            distance,
            mark: self.mark,
        })
    }
}

/// How far a point lies outside the line, below 0 inside it.
fn off_line(outline: &Path, p: Point) -> f64 {
    let place = outline.place(outline.nearest(p));
    let away = outline.distance(p);
    if place.outward.dot(p - place.at) < 0.0 { -away } else { away }
}

const HEAD: [&str; 15] = [
    "pass",
    "name",
    "thinnest",
    "heaviest",
    "leaves_more",
    "station",
    "readout_x",
    "readout_y",
    "gap",
    "look_at",
    "seen",
    "stock",
    "cut",
    "contact",
    "units",
];

fn yes(is: bool) -> String {
    if is { "yes" } else { "no" }.to_owned()
}

/// The stops of all passes as CSV text.
pub(super) fn list(proof: &Proof) -> String {
    let units = proof.job.units;
    let number = |value: f64| fixed(value, units.pick(4.0, 3.0) as usize);
    let mut text = row(&HEAD.map(str::to_owned));
    for (index, pass) in proof.job.passes.iter().enumerate() {
        for stop in walk(proof, index) {
            text.push_str(&row(&[
                (index + 1).to_string(),
                cell(&pass.name),
                yes(stop.thin),
                yes(stop.heaviest),
                yes(stop.leaves_more),
                number(stop.station),
                number(stop.readout.x),
                number(stop.readout.y),
                number(stop.gap),
                if stop.mark == Mark::Line { "line" } else { "side" }.to_owned(),
                number(stop.seen()),
                number(stop.stock),
                number(stop.cut),
                stop.contact.word().to_owned(),
                units.name().to_owned(),
            ]));
        }
    }
    text
}
