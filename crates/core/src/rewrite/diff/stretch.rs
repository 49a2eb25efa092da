//! From pairs of motions to stretches that a person reads.

use super::align::{Run, alike};
use super::steps::{Shift, Step, Steps};
use super::{Change, MOST_STRETCHES, Stretch, is_path, lines_of, pair};
use crate::geometry::Point3;

/// Runs shorter than this come again by chance, a retract for one.
const LEAST_MOVED: usize = 2;

/// Runs looked at for having changed their place.
const MOST_MOVED: usize = 200;

/// The stretches in order, and how many more there are.
pub(super) fn stretches(a: &Steps<'_>, b: &Steps<'_>, runs: &[Run], tolerance: f64) -> (Vec<Stretch>, usize) {
    let moved = moved(a, b, runs, tolerance);
    let mut out = Collector { a, b, tolerance, found: Vec::new(), untold: 0, open: None };
    let mut ends_met = true;
    for (index, run) in runs.iter().enumerate() {
        if run.paired {
            for (i, j) in (run.a.0..run.a.1).zip(run.b.0..run.b.1) {
                ends_met = out.pair(i, j, ends_met);
            }
        } else if run.a.0 < run.a.1 || run.b.0 < run.b.1 {
            out.run(run, moved.contains(&index));
            ends_met = false;
        }
    }
    out.last_dwell();
    (out.found, out.untold)
}

/// Indices of the runs that only one program has there, and that the other has elsewhere.
fn moved(a: &Steps<'_>, b: &Steps<'_>, runs: &[Run], tolerance: f64) -> Vec<usize> {
    let loose = |run: &&(usize, &Run)| {
        let (in_a, in_b) = (run.1.a.1 - run.1.a.0, run.1.b.1 - run.1.b.0);
        !run.1.paired && !is_path(run.1) && in_a.max(in_b) >= LEAST_MOVED
    };
    let all: Vec<(usize, &Run)> = runs.iter().enumerate().collect();
    let loose: Vec<(usize, &Run)> = all.iter().filter(loose).take(MOST_MOVED).copied().collect();
    let mut found = Vec::new();
    for (i, p) in loose.iter().filter(|(_, run)| run.a.0 < run.a.1) {
        let steps = a.list.get(p.a.0..p.a.1).unwrap_or_default();
        let again = loose.iter().filter(|(_, run)| run.b.0 < run.b.1).find(|(j, q)| {
            let others = b.list.get(q.b.0..q.b.1).unwrap_or_default();
            !found.contains(j)
                && steps.len() == others.len()
                && steps.iter().zip(others).all(|(a, b)| alike(a, b, tolerance))
        });
        if let Some((j, _)) = again {
            found.extend([*i, *j]);
        }
    }
    found
}

struct Collector<'a> {
    a: &'a Steps<'a>,
    b: &'a Steps<'a>,
    tolerance: f64,
    found: Vec<Stretch>,
    untold: usize,
    /// The pair behind the last stretch, if that may still grow.
    open: Option<(usize, usize)>,
}

impl Collector<'_> {
    /// Holds one pair against each other; tells whether the two end at the same place.
    fn pair(&mut self, i: usize, j: usize, ends_met: bool) -> bool {
        let (Some(a), Some(b)) = (self.a.list.get(i), self.b.list.get(j)) else { return ends_met };
        let changes = pair::changes(a, b, Shift::default(), ends_met, self.tolerance);
        let meets = a.motion.end.distance(b.motion.end) <= 2.0 * self.tolerance;
        if changes.is_empty() {
            return meets;
        }
        let grows = self.open == Some((i, j))
            && self.found.last_mut().is_some_and(|last| grow(last, a, b, &changes, self.tolerance));
        if !grows {
            let at = a.motion.end;
            let (from, to) = (lines_of(self.a, i, i + 1), lines_of(self.b, j, j + 1));
            self.tell(Stretch { a: from, b: to, motions: 1, at, changes });
        }
        self.open = Some((i + 1, j + 1));
        meets
    }

    fn run(&mut self, run: &Run, moved: bool) {
        let (in_a, in_b) = (run.a.1 - run.a.0, run.b.1 - run.b.0);
        let change = match (in_a, in_b) {
            _ if moved => Change::Order,
            (_, 0) => Change::Missing,
            (0, _) => Change::Added,
            _ => Change::Path { from: in_a, to: in_b },
        };
        let first = self.a.list.get(run.a.0).filter(|_| in_a > 0).or_else(|| self.b.list.get(run.b.0));
        let at = first.map_or(Point3::default(), |step| step.motion.start);
        let a = lines_of(self.a, run.a.0, run.a.1);
        let b = lines_of(self.b, run.b.0, run.b.1);
        self.open = None;
        self.tell(Stretch { a, b, motions: in_a.max(in_b), at, changes: vec![change] });
    }

    fn last_dwell(&mut self) {
        if pair::same_rate(self.a.last_dwell, self.b.last_dwell) {
            return;
        }
        let last = |steps: &Steps<'_>| lines_of(steps, steps.list.len().saturating_sub(1), steps.list.len());
        let at = self.a.list.last().map_or(Point3::default(), |step| step.motion.end);
        let changes = vec![Change::Dwell { from: self.a.last_dwell, to: self.b.last_dwell }];
        let (a, b) = (last(self.a), last(self.b));
        self.tell(Stretch { a, b, motions: 0, at, changes });
    }

    fn tell(&mut self, stretch: Stretch) {
        if self.found.len() < MOST_STRETCHES {
            self.found.push(stretch);
        } else {
            self.untold += 1;
        }
    }
}

/// Takes a pair into the stretch before it if it differs in the same way.
fn grow(last: &mut Stretch, a: &Step<'_>, b: &Step<'_>, changes: &[Change], tolerance: f64) -> bool {
    let same = last.changes.len() == changes.len()
        && last.changes.iter().zip(changes).all(|(old, new)| joins(old, new, tolerance));
    if !same {
        return false;
    }
    for (old, new) in last.changes.iter_mut().zip(changes) {
        match (old, new) {
            (Change::Depth { least, most }, Change::Depth { most: by, .. }) => {
                if by.abs() < least.abs() {
                    *least = *by;
                }
                if by.abs() > most.abs() {
                    *most = *by;
                }
            }
            (Change::Position { most, at }, Change::Position { most: by, at: there }) if by > most => {
                (*most, *at) = (*by, *there);
            }
            _ => {}
        }
    }
    last.motions += 1;
    for (lines, line) in [(&mut last.a, a.motion.line), (&mut last.b, b.motion.line)] {
        if let Some(lines) = lines {
            (lines.from, lines.to) = (lines.from.min(line), lines.to.max(line));
        }
    }
    true
}

fn joins(old: &Change, new: &Change, tolerance: f64) -> bool {
    match (old, new) {
        // a ramp is one stretch, deeper and less deep are two
        (Change::Depth { most, .. }, Change::Depth { most: by, .. }) => {
            (most > &0.0) == (by > &0.0) || (most - by).abs() <= tolerance
        }
        (Change::Position { .. }, Change::Position { .. }) => true,
        // the tool stands still at one place
        (Change::Dwell { .. }, Change::Dwell { .. }) => false,
        _ => old == new,
    }
}
