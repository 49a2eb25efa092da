//! Coordinates and radii that look like a decimal point forgotten or misplaced.

use std::fmt::Write as _;

use super::{Look, words};
use crate::control::PlainNumbers;
use crate::finding::{Code, Finding, Severity};
use crate::geometry::Point3;
use crate::program::{Curve, Kind, Motion};

/// A feed motion may end this many times the width of all the others beyond them.
const FEED_SPANS: f64 = 8.0;
/// The same for a number without a point among numbers that have one.
const FEED_SPANS_PLAIN: f64 = 2.0;
/// A rapid may end this far beyond all other motions: tool-change places lie off the work.
const RAPID_REACH: f64 = 100.0;
/// The same for a number without a point among numbers that have one.
const RAPID_REACH_PLAIN: f64 = 50.0;
/// The others are taken to be at least this wide.
const LEAST_SPAN: f64 = 1.0;
/// This many other lines must move an axis before one of them can stand out.
const LEAST_OTHERS: u32 = 4;
/// Radii may be this many times the size of the whole path: long flat arcs are common.
const RADIUS_SIZES: f64 = 10_000.0;
/// The same for a radius without a point among numbers that have one.
const RADIUS_SIZES_PLAIN: f64 = 50.0;
/// Where `X1` is one increment, a plain number below this is a point forgotten rather than a length.
const INCREMENTS_BELOW: f64 = 0.1;
/// Lines looked at to tell how a program writes its numbers.
const SAMPLES: usize = 64;
/// The part of its numbers that have a point in a program that writes them with points.
const POINTED_PART: f64 = 0.8;
/// Suspects of one kind that are kept.
const MOST_SUSPECTS: usize = 32;

const AXES: [char; 3] = ['X', 'Y', 'Z'];

pub(super) fn findings(look: &Look<'_>) -> Vec<Finding> {
    let survey = Survey::of(look);
    let suspects = survey.far(look);
    let tiny = &survey.tiny;
    if suspects.is_empty() && tiny.is_empty() && survey.radius.is_none() {
        return Vec::new();
    }
    let pointed = writes_points(look);
    let mut found: Vec<Finding> =
        suspects.iter().filter_map(|suspect| suspect.finding(look, pointed)).collect();
    found.extend(survey.odd_radius(look, pointed));
    if pointed {
        found.extend(increments(look, tiny));
    }
    found
}

/// Whether most coordinates of the program are written with a decimal point.
fn writes_points(look: &Look<'_>) -> bool {
    let motions = &look.program.motions;
    let (mut pointed, mut all) = (0_u32, 0_u32);
    for motion in motions.iter().step_by(motions.len() / SAMPLES + 1) {
        for word in words::of(&look.text.line(motion.line as usize)) {
            if matches!(word.letter, 'X' | 'Y' | 'Z' | 'I' | 'J' | 'K' | 'R') && word.value.is_some() {
                all += 1;
                pointed += u32::from(!word.is_plain());
            }
        }
    }
    all > 0 && f64::from(pointed) >= f64::from(all) * POINTED_PART
}

/// The farthest arrival toward one side, and the farthest of all other lines.
#[derive(Debug, Clone, Copy)]
struct Farthest {
    most: f64,
    line: u32,
    next: f64,
}

impl Farthest {
    const NONE: Self = Self { most: f64::NEG_INFINITY, line: 0, next: f64::NEG_INFINITY };

    fn take(&mut self, value: f64, line: u32) {
        if line == self.line {
            self.most = self.most.max(value);
        } else if value > self.most {
            *self = Self { most: value, line, next: self.most };
        } else {
            self.next = self.next.max(value);
        }
    }

    /// The farthest of all lines but this one.
    fn without(&self, line: u32) -> f64 {
        if line == self.line { self.next } else { self.most }
    }
}

/// Where one axis is sent by motions of one kind; the low side is kept with its sign turned.
#[derive(Debug, Clone, Copy)]
struct Arrivals {
    high: Farthest,
    low: Farthest,
    count: u32,
}

impl Arrivals {
    const NONE: Self = Self { high: Farthest::NONE, low: Farthest::NONE, count: 0 };

    fn take(&mut self, value: f64, line: u32) {
        self.high.take(value, line);
        self.low.take(-value, line);
        self.count = self.count.saturating_add(1);
    }
}

/// A coordinate far from all the others.
#[derive(Debug)]
struct Suspect {
    letter: char,
    line: u32,
    value: f64,
    /// How far beyond the others.
    beyond: f64,
    /// From where to where the others go.
    others: (f64, f64),
    /// Allowed with a point, and without one.
    allowed: f64,
}

impl Suspect {
    fn finding(&self, look: &Look<'_>, pointed: bool) -> Option<Finding> {
        let word = look.word(self.line, self.letter);
        let plain = pointed && word.as_ref().is_some_and(words::Word::is_plain);
        if !plain && self.beyond <= self.allowed {
            return None;
        }
        let written =
            word.map_or_else(|| format!("{} {}", self.letter, look.length(self.value)), |word| word.text);
        let message = format!(
            "{written} lies {} beyond every other {} of the program, which go from {} to {}. Check whether \
             a decimal point is missing or misplaced{}.",
            look.length(self.beyond),
            self.letter,
            look.length(self.others.0),
            look.length(self.others.1),
            if plain { "; the other numbers are written with one" } else { "" },
        );
        Some(look.find(Code::OddNumber, Severity::Look, (self.line, self.letter), message))
    }
}

/// What one pass over the motions gathers.
#[derive(Debug)]
struct Survey {
    /// By axis; rapids, then feed motions.
    axes: [[Arrivals; 2]; 3],
    /// The greatest radius and its line.
    radius: Option<(f64, u32)>,
    /// Axis and line of numbers that would be tiny where plain numbers are increments.
    tiny: Vec<(char, u32)>,
}

impl Survey {
    fn of(look: &Look<'_>) -> Self {
        let mut survey = Self { axes: [[Arrivals::NONE; 2]; 3], radius: None, tiny: Vec::new() };
        let increments = look.settings.plain_numbers == PlainNumbers::Increments;
        let tiny_below = look.inches(INCREMENTS_BELOW);
        for motion in &look.program.motions {
            let kind = usize::from(motion.kind == Kind::Feed);
            let (from, to) = (coordinates(motion.start), coordinates(motion.end));
            for (axis, (from, to)) in from.into_iter().zip(to).enumerate() {
                if from == to {
                    continue;
                }
                if let Some(arrivals) = survey.axes.get_mut(axis).and_then(|kinds| kinds.get_mut(kind)) {
                    arrivals.take(to, motion.line);
                }
                if increments && to != 0.0 && to.abs() < tiny_below && survey.tiny.len() < MOST_SUSPECTS {
                    survey.tiny.extend(AXES.get(axis).map(|letter| (*letter, motion.line)));
                }
            }
            if let Some(radius) = radius(motion)
                && survey.radius.is_none_or(|(most, _)| radius > most)
            {
                survey.radius = Some((radius, motion.line));
            }
        }
        survey
    }

    fn far(&self, look: &Look<'_>) -> Vec<Suspect> {
        let mut suspects = Vec::new();
        for (letter, [rapids, feeds]) in AXES.into_iter().zip(&self.axes) {
            if rapids.count.saturating_add(feeds.count) <= LEAST_OTHERS {
                continue;
            }
            suspects.extend(far(look, letter, Kind::Rapid, rapids, feeds));
            suspects.extend(far(look, letter, Kind::Feed, feeds, rapids));
        }
        suspects
    }

    /// The size of the path without one line: the diagonal of the box round all other arrivals.
    fn size_without(&self, line: u32) -> f64 {
        let span = |[rapids, feeds]: &[Arrivals; 2]| {
            let high = rapids.high.without(line).max(feeds.high.without(line));
            let low = -rapids.low.without(line).max(feeds.low.without(line));
            if high >= low { high - low } else { 0.0 }
        };
        let [x, y, z] = &self.axes;
        span(x).hypot(span(y)).hypot(span(z))
    }

    fn odd_radius(&self, look: &Look<'_>, pointed: bool) -> Option<Finding> {
        let (radius, line) = self.radius?;
        let size = self.size_without(line).max(look.inches(LEAST_SPAN));
        let plain = |letter: &char| {
            look.word(line, *letter).is_some_and(|word| word.is_plain() && word.value != Some(0.0))
        };
        let plain = ['R', 'I', 'J', 'K'].into_iter().find(plain).filter(|_| pointed);
        let allowed = if plain.is_some() { RADIUS_SIZES_PLAIN } else { RADIUS_SIZES };
        if radius <= size * allowed {
            return None;
        }
        let message = format!(
            "The radius of this arc is {}, but the whole path is only {} across: it is all but a straight \
             line. Check whether a decimal point is missing or misplaced.",
            look.length(radius),
            look.length(size)
        );
        Some(look.find(Code::OddNumber, Severity::Look, (line, plain.unwrap_or('R')), message))
    }
}

const fn coordinates(p: Point3) -> [f64; 3] {
    [p.x, p.y, p.z]
}

fn radius(motion: &Motion) -> Option<f64> {
    match motion.curve {
        Curve::Straight => None,
        Curve::Arc { plane, centre, .. } => Some(plane.split(motion.start).0.distance(centre)),
    }
}

/// The farthest arrivals of `these`, either side, that lie out of proportion beyond the rest.
fn far(look: &Look<'_>, letter: char, kind: Kind, these: &Arrivals, others: &Arrivals) -> Vec<Suspect> {
    let sides = [
        (1.0, these.high, these.low, others.high, others.low),
        (-1.0, these.low, these.high, others.low, others.high),
    ];
    let suspect = |(sign, this, back, other, other_back): (f64, Farthest, Farthest, Farthest, Farthest)| {
        let high = this.next.max(other.most);
        let low = -back.without(this.line).max(other_back.most);
        let (beyond, span) = (this.most - high, (high - low).max(look.inches(LEAST_SPAN)));
        let (allowed, allowed_plain) = match kind {
            Kind::Feed => (span * FEED_SPANS, span * FEED_SPANS_PLAIN),
            Kind::Rapid => (look.inches(RAPID_REACH), look.inches(RAPID_REACH_PLAIN)),
        };
        let others = if sign > 0.0 { (low, high) } else { (-high, -low) };
        (beyond.is_finite() && low.is_finite() && beyond > allowed_plain).then_some(Suspect {
            letter,
            line: this.line,
            value: sign * this.most,
            beyond,
            others,
            allowed,
        })
    };
    sides.into_iter().filter_map(suspect).collect()
}

/// Plain numbers in a program written with points, where the control takes them for increments.
fn increments(look: &Look<'_>, tiny: &[(char, u32)]) -> Option<Finding> {
    let plain = |(letter, line): &(char, u32)| {
        let word = look.word(*line, *letter).filter(words::Word::is_plain)?;
        Some((word.text, *letter, *line))
    };
    let mut plain = tiny.iter().filter_map(plain);
    let (written, letter, line) = plain.next()?;
    let more = plain.count();
    let least = look.length(look.settings.units.pick(0.0001, 0.001));
    let mut message = format!(
        "{written} has no decimal point, so this control counts it in steps of {least}; the other numbers have one. \
         Write {written}. if whole units are meant."
    );
    if more > 0 {
        let _ = write!(message, " ({more} more like this.)"); // writing into a string cannot fail
    }
    Some(look.find(Code::OddNumber, Severity::Look, (line, letter), message))
}
