//! The face of the wall from the bottom of the block to its top, looked at as closely as it needs.

use std::cell::RefCell;
use std::collections::HashMap;
use std::rc::Rc;

use super::runs::{Flush, Heights, Run, Runs, Sample, heights_of, kind};
use super::station::Station;

/// Samples of the stretch between two joints, before it is halved further.
const SAMPLES: usize = 4;

/// The heights on the wall after each pass.
pub(super) fn after_each_pass(station: &Station<'_>) -> Vec<Heights> {
    let faces = Faces::new(station);
    let samples = faces.samples();
    let mut found: Vec<Heights> = Vec::with_capacity(station.passes.len());
    let mut runs: Vec<Run> = Vec::new();
    for pass in 1..=station.passes.len() {
        let heights = match found.last() {
            Some(heights) if !faces.differ(&samples, &runs, pass) => *heights,
            _ => {
                runs = faces.runs(pass);
                heights_of(&runs, faces.flush())
            }
        };
        found.push(heights);
    }
    found
}

/// The heights on the wall after the last pass.
pub(super) fn after_all(station: &Station<'_>) -> Heights {
    let faces = Faces::new(station);
    heights_of(&faces.runs(station.passes.len()), faces.flush())
}

/// The faces of one station, before the first pass and after each, each height looked at once.
struct Faces<'a> {
    station: &'a Station<'a>,
    joints: Vec<f64>,
    known: RefCell<HashMap<u64, Rc<[Option<f64>]>>>,
    /// Beyond so many heights no stretch is divided further.
    most: usize,
}

impl<'a> Faces<'a> {
    fn new(station: &'a Station<'a>) -> Self {
        Self { station, joints: station.joints(), known: RefCell::default(), most: station.most_heights() }
    }

    fn leaves(&self, height: f64) -> Rc<[Option<f64>]> {
        let mut known = self.known.borrow_mut();
        let leaves = known.entry(height.to_bits()).or_insert_with(|| self.station.leaves_at(height).into());
        Rc::clone(leaves)
    }

    fn sample(&self, pass: usize, height: f64) -> Sample {
        Sample { height, leave: self.leaves(height).get(pass).copied().flatten() }
    }

    /// Whether a pass moved the face at the height of these leaves.
    fn moved(&self, leaves: &[Option<f64>], pass: usize) -> bool {
        match (leaves[pass - 1], leaves[pass]) {
            (Some(before), Some(after)) => (before - after).abs() > self.station.wall.tolerances.untouched,
            (before, after) => before.is_some() != after.is_some(),
        }
    }

    fn flush(&self) -> Flush {
        let tolerances = &self.station.wall.tolerances;
        Flush { step: tolerances.step, noise: tolerances.follow * 2.0 }
    }

    /// The first heights looked at between each two joints, the outer ones drawn in from the joints themselves.
    fn samples(&self) -> Vec<[f64; SAMPLES + 1]> {
        let within = |pair: &[f64]| {
            let margin = (self.station.wall.tolerances.height / 2.0).min((pair[1] - pair[0]) / 8.0);
            let (low, high) = (pair[0] + margin, pair[1] - margin);
            std::array::from_fn(|index| low + (high - low) * index as f64 / SAMPLES as f64)
        };
        self.joints.windows(2).map(within).collect()
    }

    /// Whether a pass changed the face, of which the stretches are known. What it takes may be a sliver next to their
    /// ends: between two joints both faces run straight, or nearly so, and differ most where one of them bends.
    fn differ(&self, samples: &[[f64; SAMPLES + 1]], runs: &[Run], pass: usize) -> bool {
        let ends = |run: &Run| {
            let (low, high) = (run.low.height, run.high.height);
            let beside = (self.station.wall.tolerances.height * 4.0).min((high - low) / 4.0);
            [low + beside, high - beside]
        };
        let heights = samples.iter().flatten().copied().chain(runs.iter().flat_map(ends));
        heights.into_iter().any(|height| self.moved(&self.leaves(height), pass))
    }

    /// The stretches of the face after a pass, from the bottom up.
    fn runs(&self, pass: usize) -> Vec<Run> {
        let mut runs = Runs::new(self.flush().step);
        for (heights, joints) in self.samples().iter().zip(self.joints.windows(2)) {
            let mut parts = Vec::new();
            for pair in heights.windows(2) {
                self.divide(pass, self.sample(pass, pair[0]), self.sample(pass, pair[1]), &mut parts);
            }
            if let Some(first) = parts.first_mut().filter(|part| part.low.height == heights[0]) {
                first.low.height = joints[0];
            }
            if let Some(last) = parts.last_mut().filter(|part| part.high.height == heights[SAMPLES]) {
                last.high.height = joints[1];
            }
            for part in parts {
                runs.push(part);
            }
        }
        runs.smoothed(self.flush().noise)
    }

    /// Divides a stretch into parts of one kind each, at their ends as in their middle; what is too low to matter is
    /// left out.
    fn divide(&self, pass: usize, low: Sample, high: Sample, parts: &mut Vec<Run>) {
        let tolerance = self.station.wall.tolerances.height;
        let middle = self.sample(pass, f64::midpoint(low.height, high.height));
        let beside = (tolerance * 4.0).min((high.height - low.height) / 4.0);
        let after_low = self.sample(pass, low.height + beside);
        let before_high = self.sample(pass, high.height - beside);
        let (first, last) = (kind(&low, &after_low), kind(&before_high, &high));
        let same =
            first == last && [(&low, &middle), (&middle, &high)].iter().all(|(a, b)| kind(a, b) == first);
        if let Some(kind) = first.filter(|_| same || self.known.borrow().len() > self.most) {
            parts.push(Run { kind, low, high });
        } else if let Some(knee) = self.knee(pass, (&low, &after_low), (&before_high, &high)) {
            parts.extend(first.map(|kind| Run { kind, low, high: knee }));
            parts.extend(last.map(|kind| Run { kind, low: knee, high }));
        } else if high.height - low.height > tolerance {
            self.divide(pass, low, middle, parts);
            self.divide(pass, middle, high, parts);
        }
    }

    /// Where a straight face bends into another straight one: where the lines of both ends meet, if the face lies on
    /// the one up to there and on the other from there.
    fn knee(&self, pass: usize, low: (&Sample, &Sample), high: (&Sample, &Sample)) -> Option<Sample> {
        let straight = self.station.wall.tolerances.untouched;
        let (below, above) = (Line::through(low)?, Line::through(high)?);
        let height = (above.leave - below.leave) / (below.slope - above.slope);
        let inside = height > low.1.height && height < high.0.height;
        let on = |line: &Line, height: f64| {
            self.sample(pass, height).leave.is_some_and(|leave| (leave - line.at(height)).abs() <= straight)
        };
        let lies = |line: &Line, end: f64| {
            on(line, f64::midpoint(end, height)) && on(line, end + (height - end) * 0.9)
        };
        let is = inside && lies(&below, low.0.height) && lies(&above, high.1.height) && on(&below, height);
        is.then(|| self.sample(pass, height))
    }
}

/// A straight face: its leave at height 0, and how far it goes outward for each unit of height.
struct Line {
    leave: f64,
    slope: f64,
}

impl Line {
    fn through((low, high): (&Sample, &Sample)) -> Option<Self> {
        let (from, to) = low.leave.zip(high.leave)?;
        let slope = (to - from) / (high.height - low.height);
        Some(Self { leave: from - slope * low.height, slope })
    }

    fn at(&self, height: f64) -> f64 {
        self.leave + self.slope * height
    }
}
