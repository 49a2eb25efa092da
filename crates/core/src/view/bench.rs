//! The block as it lies on the machine, everything at scale: the sawn edge, the outline, where the programs' zero is, what
//! is cut inside, and how a pass goes. For paper, beside the plan that draws the stock thicker than it is.

use super::corner_cut::{self, CornerCut, corner_cuts};
use super::drawing::{Anchor, Dash, Drawing, Ink, Weight, circle, corners};
use super::keep_clear;
use super::label::{Taken, Words, about, haloed};
use super::plan::{closed_line, lines_where, seen};
use super::text::text_width;
use super::theme::Theme;
use super::viewport::Viewport;
use super::zero_mark::{mark, zeros};
use crate::geometry::{Bounds, pt};
use crate::job::Does;
use crate::program::Kind;
use crate::proof::{PassProof, Proof};
use crate::track::{Placed, plan_bounds};

/// Room round the block for its sizes, and round a small plan of one pass, view points.
const ROOM: f32 = 58.0;
const NARROW: f32 = 9.0;
/// From the block to a row of sizes, and half of a tick on it.
const OFF: f32 = 17.0;
const TICK: f32 = 3.5;
const TEXT: f32 = 8.5;
/// A way is marked with an arrow about this often, view points.
const ARROWS: f32 = 70.0;
/// A path that goes farther from the block than this part of its larger side is cut off.
const NEAR: f64 = 0.6;

/// The block as it lies, with its sizes, and the sawn off corners whose sizes found no place; `None` without an outline and
/// a sawn edge.
pub fn bench(proof: &Proof, [width, height]: [f32; 2], theme: &Theme) -> Option<(Drawing, Vec<CornerCut>)> {
    let (outline, edge) = (proof.outline.as_deref()?, proof.edge.as_deref()?);
    let block = outline.bounds().join(edge.bounds());
    let zeros = zeros(&proof.job, block);
    let all = zeros.iter().fold(block.join(keep_clear::bounds(&proof.job)), |all, zero| all.with(zero.at()));
    let viewport = Viewport::fit(all, width, height, ROOM);
    let mut drawing = Drawing::new(width, height);
    metal(&mut drawing, proof, &viewport, theme);
    for pass in proof.passes.iter().filter(|pass| is_inside(pass)) {
        swath(&mut drawing, proof, pass, &viewport, theme);
    }
    drawing.ring(closed_line(outline, &viewport), theme.ink, 1.4);
    keep_clear::draw(&mut drawing, &proof.job, &viewport, theme);
    let mut taken = Taken::default();
    let areas = keep_clear::boxes(&proof.job).into_iter();
    areas.map(|area| in_view(area, &viewport)).for_each(|area| taken.add(area));
    for zero in &zeros {
        mark(&mut drawing, zero, &viewport, theme);
        let [x, y] = viewport.to_view(zero.at());
        let wide = text_width(&zero.name, TEXT, Weight::Bold);
        taken.add([x - 6.0, y - 32.0, x + 34.0_f32.max(wide + 8.0), y + 6.0]);
        let words = Words {
            at: [x + 8.0, y - 12.0],
            anchor: Anchor::Left,
            size: TEXT,
            weight: Weight::Bold,
            ink: theme.ink,
        };
        haloed(&mut drawing, words, theme.paper, &zero.name);
    }
    let cuts = corner_cuts(edge);
    // The sizes along Y leave room for those of the corners beside them.
    let beside = cuts.iter().filter(|cut| cut.corner.x < edge.bounds().centre().x);
    let wide = beside.map(|cut| text_width(&proof.told.plain(cut.legs()[1]), TEXT, Weight::Bold) + 8.0);
    let sizes =
        Sizes { line: outline.bounds(), sawn: edge.bounds(), block, beside: wide.fold(0.0, f32::max) };
    sizes.across(&mut drawing, proof, &viewport, theme, &mut taken);
    sizes.up(&mut drawing, proof, &viewport, theme, &mut taken);
    let left = corner_cut::draw(&mut drawing, (edge, &cuts), proof.told, &viewport, theme, &mut taken);
    Some((drawing, left))
}

/// A box of the block as it is seen.
fn in_view(area: Bounds, viewport: &Viewport) -> [f32; 4] {
    let ([left, low], [right, high]) = (viewport.to_view(area.low), viewport.to_view(area.high));
    [left, high, right, low]
}

/// One pass from above: its path with the way it goes, where it comes down and where it goes up again. `None` for a pass
/// that never feeds.
pub fn bench_pass(proof: &Proof, index: usize, [width, height]: [f32; 2], theme: &Theme) -> Option<Drawing> {
    let pass = proof.passes.get(index)?;
    let feeds = || pass.track.placed().iter().filter(|placed| placed.motion.kind == Kind::Feed);
    let (first, last) = (feeds().next()?, feeds().next_back()?);
    let paths = [&proof.outline, &proof.edge].into_iter().flatten();
    let block = paths.fold(keep_clear::bounds(&proof.job), |all, path| all.join(path.bounds()));
    let ways =
        pass.track.placed().iter().fold(Bounds::EMPTY, |all, placed| all.join(plan_bounds(&placed.motion)));
    let swept = ways.grown(pass.tool_radius);
    let all = if block.is_empty() {
        swept
    } else {
        let near = block.grown(NEAR * block.width().max(block.height()));
        let (low, high) = (swept.low, swept.high);
        let low = pt(low.x.max(near.low.x), low.y.max(near.low.y));
        let high = pt(high.x.min(near.high.x), high.y.min(near.high.y));
        Bounds { low, high }.join(block)
    };
    let viewport = Viewport::fit(all, width, height, NARROW);
    let mut drawing = Drawing::new(width, height);
    metal(&mut drawing, proof, &viewport, theme);
    if is_inside(pass) {
        swath(&mut drawing, proof, pass, &viewport, theme);
    }
    if let Some(outline) = &proof.outline {
        drawing.stroke(seen(&[closed_line(outline, &viewport)], &viewport, 2.0), theme.ink, 0.6, Dash::Solid);
    }
    keep_clear::draw(&mut drawing, &proof.job, &viewport, theme);
    let rapids = lines_where(pass, &viewport, |placed| placed.motion.kind == Kind::Rapid);
    drawing.stroke(seen(&rapids, &viewport, 2.0), theme.quiet, 0.8, Dash::Dashed);
    let ways = seen(&lines_where(pass, &viewport, |placed| placed.motion.kind == Kind::Feed), &viewport, 2.0);
    drawing.stroke(ways.clone(), theme.ink, 1.1, Dash::Solid);
    for line in &ways {
        arrows(&mut drawing, line, theme.ink);
    }
    let down = viewport.to_view(first.motion.start.plan());
    let [x, y] = viewport.to_view(last.motion.end.plan());
    drawing.fill(corners([x - 2.6, y - 2.6, x + 2.6, y + 2.6]), theme.ink);
    drawing.fill(circle(down, 3.4), theme.paper);
    drawing.ring(circle(down, 3.4), theme.ink, 1.3);
    Some(drawing)
}

fn is_inside(pass: &PassProof) -> bool {
    pass.purpose.as_ref().is_some_and(|purpose| purpose.does == Does::Inside)
}

/// The blank, or the block that the outline stands for where no edge is known.
fn metal(drawing: &mut Drawing, proof: &Proof, viewport: &Viewport, theme: &Theme) {
    let Some(edge) = proof.edge.as_deref().or(proof.outline.as_deref()) else { return };
    let line = closed_line(edge, viewport);
    drawing.fill(line.clone(), theme.stock_before);
    drawing.ring(line, theme.metal_edge, 0.9);
}

/// What a pass cuts into the top: as wide as its cutter where it goes below the top.
fn swath(drawing: &mut Drawing, proof: &Proof, pass: &PassProof, viewport: &Viewport, theme: &Theme) {
    let Some(top) = proof.job.blank.as_ref().map(|blank| blank.top) else { return };
    let below = |placed: &Placed| {
        let motion = &placed.motion;
        motion.kind == Kind::Feed && motion.start.z.min(motion.end.z) < top
    };
    let width = (2.0 * pass.tool_radius * viewport.scale) as f32;
    let lines = seen(&lines_where(pass, viewport, below), viewport, width);
    drawing.stroke(lines, theme.metal_low, width, Dash::Solid);
}

/// Arrow heads along a line.
fn arrows(drawing: &mut Drawing, line: &[[f32; 2]], ink: Ink) {
    let length: f32 = line.windows(2).map(|pair| apart(pair[0], pair[1])).sum();
    let count = (length / ARROWS).floor().clamp(1.0, 12.0);
    if length < 12.0 {
        return;
    }
    for index in 0..count as u8 {
        let Some((at, way)) = on(line, length * (f32::from(index) + 0.5) / count) else { continue };
        let barb = |side: f32| {
            [at[0] - 5.0 * way[0] - 2.4 * side * way[1], at[1] - 5.0 * way[1] + 2.4 * side * way[0]]
        };
        drawing.fill(vec![[at[0] + way[0], at[1] + way[1]], barb(1.0), barb(-1.0)], ink);
    }
}

fn apart(a: [f32; 2], b: [f32; 2]) -> f32 {
    (b[0] - a[0]).hypot(b[1] - a[1])
}

/// The place so far along a line, and the way it goes there.
fn on(line: &[[f32; 2]], mut along: f32) -> Option<([f32; 2], [f32; 2])> {
    for pair in line.windows(2) {
        let long = apart(pair[0], pair[1]);
        if along <= long && long > 0.0 {
            let way = [(pair[1][0] - pair[0][0]) / long, (pair[1][1] - pair[0][1]) / long];
            return Some(([pair[0][0] + way[0] * along, pair[0][1] + way[1] * along], way));
        }
        along -= long;
    }
    None
}

/// The boxes that sizes are told of.
struct Sizes {
    line: Bounds,
    sawn: Bounds,
    block: Bounds,
    /// Room for other sizes between the block and those along Y, view points.
    beside: f32,
}

impl Sizes {
    /// Along X, under the block: how far the sawn edge lies outside the outline on the left, the outline, and on the right.
    fn across(
        &self,
        drawing: &mut Drawing,
        proof: &Proof,
        viewport: &Viewport,
        theme: &Theme,
        taken: &mut Taken,
    ) {
        let y = viewport.to_view(self.block.low)[1] + OFF;
        let (line, sawn) = ([self.line.low.x, self.line.high.x], [self.sawn.low.x, self.sawn.high.x]);
        let all = [sawn[0], line[0], line[1], sawn[1]].map(|x| viewport.to_view(pt(x, 0.0))[0]);
        let ends = ticked(drawing, all, theme.ink, |x, off| [x, y + off]);
        taken.add([ends.0, y - TICK, ends.1, y + TICK]);
        let mut word = |x: f32, side: f32, text: &str| {
            let wide = text_width(text, TEXT, Weight::Bold);
            let at = [x + side * (wide / 2.0 + 4.0), y];
            written(drawing, at, text, theme, taken);
        };
        word(f32::midpoint(all[1], all[2]), 0.0, &proof.told.plain(line[1] - line[0]));
        word(ends.0, -1.0, &outside(proof, line[0] - sawn[0]));
        word(ends.1, 1.0, &outside(proof, sawn[1] - line[1]));
    }

    /// The same along Y, to the left of the block.
    fn up(
        &self,
        drawing: &mut Drawing,
        proof: &Proof,
        viewport: &Viewport,
        theme: &Theme,
        taken: &mut Taken,
    ) {
        let x = viewport.to_view(self.block.low)[0] - OFF - self.beside;
        let (line, sawn) = ([self.line.low.y, self.line.high.y], [self.sawn.low.y, self.sawn.high.y]);
        let all = [sawn[0], line[0], line[1], sawn[1]].map(|y| viewport.to_view(pt(0.0, y))[1]);
        let ends = ticked(drawing, all, theme.ink, |y, off| [x + off, y]);
        taken.add([x - TICK, ends.0, x + TICK, ends.1]);
        let mut word = |y: f32, text: &str| {
            let wide = text_width(text, TEXT, Weight::Bold);
            written(drawing, [x.max(wide / 2.0 + 1.0), y], text, theme, taken);
        };
        word(f32::midpoint(all[1], all[2]), &proof.told.plain(line[1] - line[0]));
        word(ends.1 + 8.0, &outside(proof, line[0] - sawn[0]));
        word(ends.0 - 8.0, &outside(proof, sawn[1] - line[1]));
    }
}

/// Writes a size with its middle here.
fn written(drawing: &mut Drawing, at: [f32; 2], text: &str, theme: &Theme, taken: &mut Taken) {
    taken.add(about(at, text_width(text, TEXT, Weight::Bold) + 2.0, TEXT));
    let words = Words { at, anchor: Anchor::Centre, size: TEXT, weight: Weight::Bold, ink: theme.ink };
    haloed(drawing, words, theme.paper, text);
}

/// A line of sizes with a tick at each of some places along it; gives back its ends. `at` places what lies so far along
/// and so far beside it.
fn ticked(drawing: &mut Drawing, all: [f32; 4], ink: Ink, at: impl Fn(f32, f32) -> [f32; 2]) -> (f32, f32) {
    let ends = all.iter().fold((f32::MAX, f32::MIN), |(a, b), place| (a.min(*place), b.max(*place)));
    let ticks = all.map(|place| vec![at(place, -TICK), at(place, TICK)]);
    drawing.stroke(ticks.into(), ink, 0.8, Dash::Solid);
    drawing.line(at(ends.0, 0.0), at(ends.1, 0.0), ink, 0.6, Dash::Solid);
    ends
}

/// How far the sawn edge lies outside an end of the outline.
fn outside(proof: &Proof, by: f64) -> String {
    let text = proof.told.plain(by.abs());
    if by < 0.0 && text != proof.told.plain(0.0) { format!("short {text}") } else { text }
}
