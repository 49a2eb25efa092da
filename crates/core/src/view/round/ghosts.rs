//! What stands about the block without being metal: the cutter, and the outline where the blank ends short of it. Both are
//! drawn over the block, so that neither hides behind it.

use super::camera::Sight;
use crate::geometry::{Point, Point3};
use crate::proof::Proof;
use crate::tool::Tool;
use crate::tool::drawing::PartKind;
use crate::view::drawing::{Dash, Drawing, Ink};
use crate::view::silhouette::silhouettes;
use crate::view::theme::Theme;

/// Steps of half a ring of the cutter.
const STEPS: u32 = 24;
/// Length of a step along a line that is short, in parts of the outline.
const ALONG: f64 = 1.0 / 400.0;

/// What stands about the block.
#[derive(Debug, Clone, Default)]
pub struct Ghosts<'a> {
    cutter: Option<(&'a Tool, Point3)>,
    /// The outline where the blank is short, at the height of its top.
    short: Vec<Vec<[f64; 3]>>,
}

impl<'a> Ghosts<'a> {
    /// Of a job, with the tool of a pass at this distance along it; without a tool where it has come to its end.
    pub fn of(proof: &'a Proof, pass: usize, distance: f64) -> Self {
        let stated = proof.job.passes.get(pass);
        let tool = stated.and_then(|stated| proof.job.tool(stated.tool));
        let track = proof.passes.get(pass).map(|pass| &pass.track);
        let under_way = track.filter(|track| distance < track.length());
        let at = under_way.and_then(|track| track.at(distance)).map(|position| position.tip);
        Self { cutter: tool.zip(at), short: short(proof) }
    }

    /// Draws them over the block, seen like this.
    pub(super) fn draw(&self, drawing: &mut Drawing, sight: &Sight, theme: &Theme) {
        let lines: Vec<Vec<[f32; 2]>> = self.short.iter().map(|line| placed(line, sight)).collect();
        drawing.stroke(lines.clone(), theme.paper, 4.6, Dash::Solid);
        drawing.stroke(lines, theme.none, 2.2, Dash::Dashed);
        if let Some((tool, tip)) = self.cutter {
            cutter(drawing, tool, tip, sight, theme);
        }
    }
}

fn placed(line: &[[f64; 3]], sight: &Sight) -> Vec<[f32; 2]> {
    line.iter().map(|place| sight.place(*place)).collect()
}

/// The outline along every stretch where the blank is short.
fn short(proof: &Proof) -> Vec<Vec<[f64; 3]>> {
    let (Some(outline), Some(blank)) = (&proof.outline, &proof.blank) else { return Vec::new() };
    let top = proof.job.blank.as_ref().map_or(0.0, |blank| blank.top);
    let line = |from: f64, to: f64| {
        let steps = ((to - from) / (outline.length() * ALONG)).ceil().clamp(1.0, 400.0) as u32;
        let station = |step: u32| from + (to - from) * f64::from(step) / f64::from(steps);
        let place = |step: u32| outline.place(station(step)).at;
        (0..=steps).map(place).map(|at| [at.x, at.y, top]).collect()
    };
    blank.short.iter().map(|short| line(short.from, short.to)).collect()
}

/// One side of a silhouette from the tip up, without the level lines to the axis that close it at its ends.
fn side(points: &[Point]) -> Vec<[f64; 2]> {
    let mut side: Vec<[f64; 2]> = points.iter().filter(|p| p.x >= 0.0).map(|p| [p.x, p.y]).collect();
    let level = |a: [f64; 2], b: [f64; 2]| (a[1] - b[1]).abs() < 1e-9;
    if side.len() > 2 && level(side[0], side[1]) {
        side.remove(0);
    }
    if let [.., before, last] = side[..]
        && side.len() > 2
        && level(before, last)
    {
        side.pop();
    }
    side
}

/// Cutter, shank and holder with the tip at a place: their sides as they are seen, rounded at both ends.
fn cutter(drawing: &mut Drawing, tool: &Tool, tip: Point3, sight: &Sight, theme: &Theme) {
    let faint = |[r, g, b, _]: Ink, alpha: u8| [r, g, b, alpha];
    for part in silhouettes(tool).iter().rev() {
        let side = side(&part.points);
        let (Some(low), Some(high)) = (side.first(), side.last()) else { continue };
        let [right, _, toward] = *sight.axes();
        let level = toward[0].hypot(toward[1]);
        // Seen from straight above, any direction will do for the front.
        let front = if level > 1e-9 { [toward[0] / level, toward[1] / level] } else { [right[1], -right[0]] };
        let at = |[radius, z]: [f64; 2], angle: f64| {
            let (sin, cos) = angle.sin_cos();
            let out = |axis: usize| radius * (right[axis] * cos + front[axis] * sin);
            sight.place([tip.x + out(0), tip.y + out(1), tip.z + z])
        };
        let half = |ring: [f64; 2], from: f64, turn: f64| -> Vec<[f32; 2]> {
            (0..=STEPS).map(|step| at(ring, from + turn * f64::from(step) / f64::from(STEPS))).collect()
        };
        let pi = std::f64::consts::PI;
        // From the left round the front to the right, up the right side, round the back, and down the left side.
        let mut rim: Vec<[f32; 2]> = half(*low, pi, -pi);
        rim.extend(side.iter().map(|ring| at(*ring, 0.0)));
        rim.extend(half(*high, 0.0, -pi));
        rim.extend(side.iter().rev().map(|ring| at(*ring, pi)));
        let (fill, line) = match part.kind {
            PartKind::Cutter => (faint(theme.accent, 84), theme.accent),
            PartKind::Shank => (faint(theme.quiet, 56), theme.quiet),
            PartKind::Holder => (faint(theme.quiet, 84), theme.quiet),
        };
        drawing.fill(rim.clone(), fill);
        drawing.ring(rim, line, 1.3);
        drawing.stroke(vec![half(*high, 0.0, 2.0 * pi)], line, 1.0, Dash::Solid);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::pt;

    #[test]
    fn a_cutter_ends_at_its_rings_and_a_ball_at_its_tip() {
        let flat = [pt(0.0, 0.0), pt(0.25, 0.0), pt(0.25, 1.0), pt(0.0, 1.0)];
        assert_eq!(side(&flat), [[0.25, 0.0], [0.25, 1.0]]);
        let ball = [pt(0.0, 0.0), pt(0.2, 0.1), pt(0.25, 0.25), pt(0.25, 1.0), pt(0.0, 1.0)];
        assert_eq!(side(&ball), [[0.0, 0.0], [0.2, 0.1], [0.25, 0.25], [0.25, 1.0]]);
    }
}
