//! Where the programs' X0 Y0 lies, on a plan.

use super::drawing::{Anchor, Dash, Drawing, Weight, circle};
use super::label::{Words, haloed};
use super::theme::Theme;
use super::viewport::Viewport;
use crate::geometry::{Bounds, Point, pt};
use crate::job::Job;
use crate::program::Zero;

/// Length of the axes, and of their points, view points.
const AXIS: f32 = 26.0;
const POINT: f32 = 6.0;
const LETTER: f32 = 8.5;
/// A zero farther off than this part of the plan's larger side is not drawn: it would leave no room for the block.
const NEAR: f64 = 0.6;

/// A place from which passes start, in plan.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct PlanZero {
    /// The zero of the first of them.
    pub(super) zero: Zero,
    /// What it is called.
    pub(super) name: String,
}

impl PlanZero {
    /// Where it lies.
    pub(super) const fn at(&self) -> Point {
        pt(self.zero.origin[0], self.zero.origin[1])
    }
}

/// The zeros of a job that differ in plan, as far as they lie near these bounds.
pub(super) fn zeros(job: &Job, bounds: Bounds) -> Vec<PlanZero> {
    let near = bounds.grown(NEAR * bounds.width().max(bounds.height()));
    let mut found: Vec<(Zero, Vec<String>)> = Vec::new();
    for (pass, number) in job.passes.iter().zip(1..) {
        let same = |other: &Zero| other.origin[..2] == pass.zero.origin[..2] && other.turn == pass.zero.turn;
        match found.iter_mut().find(|(zero, _)| same(zero)) {
            Some((_, passes)) => passes.push(number.to_string()),
            None => found.push((pass.zero, vec![number.to_string()])),
        }
    }
    let one = found.len() == 1;
    let named = found.into_iter().map(|(zero, passes)| {
        let of = if passes.len() == 1 { "pass" } else { "passes" };
        let name = if one { "X0 Y0".to_owned() } else { format!("X0 Y0, {of} {}", passes.join(", ")) };
        PlanZero { zero, name }
    });
    named.filter(|zero| near.meets(&Bounds::of([zero.at()]))).collect()
}

/// A zero with its two axes.
pub(super) fn mark(drawing: &mut Drawing, zero: &PlanZero, viewport: &Viewport, theme: &Theme) {
    let at = viewport.to_view(zero.at());
    let angle = zero.zero.turn.to_radians();
    for (axis, letter) in [(angle, "X"), (angle + std::f64::consts::FRAC_PI_2, "Y")] {
        let way = Point::at_angle(axis);
        let (x, y) = (way.x as f32, -way.y as f32);
        let on = |along: f32, aside: f32| [at[0] + x * along - y * aside, at[1] + y * along + x * aside];
        let words = Words {
            at: on(AXIS + POINT + 6.0, 0.0),
            anchor: Anchor::Centre,
            size: LETTER,
            weight: Weight::Bold,
            ink: theme.ink,
        };
        haloed(drawing, words, theme.paper, letter);
        drawing.line(at, on(AXIS, 0.0), theme.ink, 1.6, Dash::Solid);
        drawing.fill(vec![on(AXIS + POINT, 0.0), on(AXIS, POINT * 0.45), on(AXIS, -POINT * 0.45)], theme.ink);
    }
    drawing.fill(circle(at, 3.4), theme.paper);
    drawing.ring(circle(at, 3.4), theme.ink, 1.6);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Units;

    #[test]
    fn zeros_that_differ_in_height_alone_are_one_in_plan() {
        let mut job = crate::job::read(
            br#"{ "schema": "blockwright-job/1", "units": "inch",
            "tools": [{ "number": 1, "name": "a", "form": { "kind": "flat", "diameter": 0.5 } }],
            "passes": [{ "name": "a", "program": "1.nc", "tool": 1 },
                       { "name": "b", "program": "2.nc", "tool": 1, "zero": [0, 0, -0.03] }] }"#,
        )
        .expect("a job");
        assert_eq!(job.units, Units::Inch);
        let bounds = Bounds { low: pt(0.0, 0.0), high: pt(4.0, 3.0) };
        let names = |job: &Job| zeros(job, bounds).into_iter().map(|zero| zero.name).collect::<Vec<_>>();
        assert_eq!(names(&job), ["X0 Y0"]);
        job.passes[1].zero.origin = [1.0, 0.0, 0.0];
        assert_eq!(names(&job), ["X0 Y0, pass 1", "X0 Y0, pass 2"]);
        job.passes[1].zero.origin = [90.0, 0.0, 0.0];
        assert_eq!(names(&job), ["X0 Y0, pass 1"], "one far off is left out");
    }
}
