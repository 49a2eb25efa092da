//! What differs between two motions that answer each other.

use super::Change;
use super::steps::{Shift, Step};
use crate::geometry::Point3;
use crate::program::{Curve, Motion};

/// Parts at which two arcs are held against each other.
const PARTS: [f64; 4] = [0.25, 0.5, 0.75, 1.0];

/// Sweeps that differ by less go the same way round, radians.
const SAME_TURN: f64 = 1.0;

/// Feeds, speeds and times that differ by a smaller part are the same: rounding between the units.
const SAME_RATE: f64 = 1e-6;

/// What differs. `shift` is taken off B first; `starts` tells whether the starts are looked at, which say nothing of
/// their own when the motions before ended apart.
pub(super) fn changes(a: &Step<'_>, b: &Step<'_>, shift: Shift, starts: bool, tolerance: f64) -> Vec<Change> {
    let mut changes = Vec::new();
    let (m, n) = (a.motion, b.motion);
    let gaps = gaps(m, n, shift, starts);
    if let Some(depth) = farthest(gaps.iter().map(|gap| gap.rise)).filter(|rise| rise.abs() > tolerance) {
        changes.push(Change::Depth { least: depth, most: depth });
    }
    let plan = gaps.iter().max_by(|p, q| p.plan.total_cmp(&q.plan)).filter(|gap| gap.plan > tolerance);
    if let Some(gap) = plan {
        changes.push(Change::Position { most: gap.plan, at: gap.at });
    }
    if !same_form(m, n) {
        changes.push(Change::Form);
    }
    if m.kind != n.kind {
        changes.push(Change::Kind { from: m.kind, to: n.kind });
    } else if !same_rate(m.feed, n.feed) {
        changes.push(Change::Feed { from: m.feed, to: n.feed });
    }
    if !same_rate(f64::from(m.spindle), f64::from(n.spindle)) {
        changes.push(Change::Spindle { from: f64::from(m.spindle), to: f64::from(n.spindle) });
    }
    if m.tool != n.tool {
        changes.push(Change::Tool { from: m.tool, to: n.tool });
    }
    if !same_rate(a.dwell, b.dwell) {
        changes.push(Change::Dwell { from: a.dwell, to: b.dwell });
    }
    changes
}

/// How far two motions are apart at one part of the way.
struct Gap {
    at: Point3,
    plan: f64,
    rise: f64,
}

fn gaps(a: &Motion, b: &Motion, shift: Shift, starts: bool) -> Vec<Gap> {
    let gap = |part: f64| {
        let (p, q) = (a.at(part), b.at(part));
        let by = shift.start + (shift.end - shift.start) * part;
        Gap { at: p, plan: p.plan().distance(q.plan()), rise: q.z - by - p.z }
    };
    let straight = a.curve == Curve::Straight || b.curve == Curve::Straight;
    let parts = if straight { PARTS.get(3..) } else { PARTS.get(..) };
    let start = (starts && a.start_known.is_place() && b.start_known.is_place()).then_some(0.0);
    start.into_iter().chain(parts.unwrap_or_default().iter().copied()).map(gap).collect()
}

fn farthest(values: impl Iterator<Item = f64>) -> Option<f64> {
    values.max_by(|p, q| p.abs().total_cmp(&q.abs()))
}

fn same_form(a: &Motion, b: &Motion) -> bool {
    match (a.curve, b.curve) {
        (Curve::Straight, Curve::Straight) => true,
        (Curve::Arc { plane: p, sweep: s, .. }, Curve::Arc { plane: q, sweep: t, .. }) => {
            p == q && (s - t).abs() < SAME_TURN
        }
        _ => false,
    }
}

pub(super) fn same_rate(a: f64, b: f64) -> bool {
    (a - b).abs() <= SAME_RATE * a.abs().max(b.abs())
}
