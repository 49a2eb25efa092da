//! The worst place of a finding enlarged, in the plan's own directions: outline, metal, what is meant and the cutter, with
//! the figures under it.

use super::clip::clipped;
use super::drawing::{Anchor, Dash, Drawing, Ink, Weight, circle};
use super::plan::closed_line;
use super::theme::Theme;
use super::viewport::Viewport;
use crate::geometry::{Place, Point};
use crate::measure::{AlongOutline, StationRow};
use crate::proof::{Proof, Steps, nearest, steps};
use crate::units::{Told as ToldIn, fixed};

/// Height of the head, and of a row of the figures.
const HEAD: f32 = 24.0;
const ROW: f32 = 17.0;
/// Room under the figures.
const FOOT: f32 = 6.0;
/// Kept free at the right of the head, where the window has its way to close.
const CORNER: f32 = 24.0;
const SIDE: f32 = 10.0;
/// Length of a sample of a line beside its figure.
const SAMPLE: f32 = 20.0;
/// What is to be seen takes this part of the picture.
const PART: f64 = 0.5;
const TEXT: f32 = 12.0;
/// Enlarged less than this it is seen as large in the plan.
const HARDLY: f64 = 1.2;
/// Half a tick at the end of a dimension.
const TICK: f32 = 4.0;

/// What is measured at the place, all square to the outline and from it outward.
struct Figures<'a> {
    proof: &'a Proof,
    along: &'a AlongOutline,
    row: &'a StationRow,
    place: Place,
    /// What the pass is meant to leave.
    meant: Option<f64>,
    /// How far out the cutter's circle comes, and the circle.
    cutter: Option<(f64, Point, f64)>,
}

/// One figure with the line it is drawn by.
struct Told {
    ink: Ink,
    dash: Dash,
    width: f32,
    weight: Weight,
    words: String,
}

/// The worst place of a finding enlarged. `plan` is the scale of the plan it lies over, view points a unit. `None` for a
/// finding that is not about stock along the outline.
pub fn magnifier(
    proof: &Proof,
    finding: usize,
    [width, height]: [f32; 2],
    plan: f64,
    theme: &Theme,
) -> Option<Drawing> {
    let steps = steps(proof, proof.findings.get(finding)?)?;
    let figures = Figures::of(proof, &steps)?;
    let told = figures.told(theme);
    let low = height - FOOT - ROW * told.len() as f32;
    let mut drawing = Drawing::new(width, height);
    drawing.panel([0.0, 0.0, width, height], theme.paper);
    let viewport = figures.viewport(width, low - HEAD);
    figures.draw(&mut drawing, &viewport, theme);
    drawing.panel([0.0, 0.0, width, HEAD], theme.panel);
    drawing.panel([0.0, low, width, height], theme.panel);
    let line = |y: f32| vec![[0.0, y], [width, y]];
    drawing.stroke(vec![line(HEAD), line(low)], theme.line, 1.0, Dash::Solid);
    let units = proof.told;
    let station = format!("station {}", units.plain(figures.row.station));
    drawing.bold([SIDE, HEAD / 2.0], Anchor::Left, TEXT, theme.ink, station);
    let times = magnified(viewport.scale / plan);
    drawing.text([width - CORNER - 4.0, HEAD / 2.0], Anchor::Right, 11.0, theme.quiet, times);
    for (index, told) in told.iter().enumerate() {
        let y = low + ROW * (index as f32 + 0.5) + 2.0;
        drawing.line([SIDE, y], [SIDE + SAMPLE, y], told.ink, told.width, told.dash);
        let at = [SIDE + SAMPLE + 8.0, y];
        if told.weight == Weight::Bold {
            drawing.bold(at, Anchor::Left, TEXT, theme.ink, told.words.as_str());
        } else {
            drawing.text(at, Anchor::Left, TEXT, theme.ink, told.words.as_str());
        }
    }
    Some(drawing)
}

/// What the enlarged place tells, for a screen reader; `None` where there is none.
pub fn magnifier_name(proof: &Proof, finding: usize) -> Option<String> {
    let steps = steps(proof, proof.findings.get(finding)?)?;
    let figures = Figures::of(proof, &steps)?;
    let told = figures.told(&Theme::light());
    let words: Vec<&str> = told.iter().map(|told| told.words.as_str()).collect();
    Some(format!("Station {} enlarged: {}", proof.told.plain(figures.row.station), words.join(", ")))
}

/// How many times larger than in the plan, in words; nothing where it is hardly larger.
fn magnified(times: f64) -> String {
    if times < HARDLY {
        return String::new();
    }
    format!("x{} of the plan", fixed(times, usize::from(times < 10.0)))
}

impl<'a> Figures<'a> {
    fn of(proof: &'a Proof, steps: &Steps) -> Option<Self> {
        let pass = proof.passes.get(steps.pass)?;
        let along = pass.along_outline.as_deref()?;
        let row = nearest(along, steps.station)?;
        let place = Place { at: row.at, outward: row.outward };
        let radius = pass.cutter_radius();
        let tip = pass.track.nearest(place.at + place.outward * radius).and_then(|at| pass.track.at(at));
        let cutter = pass.cutter_off(&place).zip(tip).map(|(off, tip)| (off, tip.tip.plan(), radius));
        let meant = proof.job.passes.get(steps.pass).and_then(|pass| pass.allowance);
        Some(Self { proof, along, row, place, meant, cutter })
    }

    fn units(&self) -> ToldIn {
        self.proof.told
    }

    /// By how much the cutter passes beside the metal; `None` where it meets it.
    fn gap(&self) -> Option<f64> {
        let gap = self.cutter?.0 - self.row.after;
        (gap > self.units().of().pick(0.0001, 0.0025)).then_some(gap)
    }

    fn told(&self, theme: &Theme) -> Vec<Told> {
        let units = self.units();
        let left = self.row.after;
        let words = if left < 0.0 {
            format!("{} short", units.fine(-left))
        } else {
            format!("{} left", units.fine(left))
        };
        let mut told =
            vec![Told { ink: theme.ink, dash: Dash::Solid, width: 3.0, weight: Weight::Bold, words }];
        told.extend(self.meant.map(|meant| Told {
            ink: theme.stock_edge,
            dash: Dash::Dashed,
            width: 1.2,
            weight: Weight::Plain,
            words: format!("{} meant", units.fine(meant)),
        }));
        let cutter =
            |words| Told { ink: theme.none, dash: Dash::Solid, width: 2.0, weight: Weight::Plain, words };
        told.extend(match self.gap() {
            Some(gap) => Some(cutter(format!("cutter misses the metal by {}", units.fine(gap)))),
            None if self.cutter.is_some() => {
                Some(Told { ink: theme.full, ..cutter(format!("cutter takes {}", units.fine(self.row.cut))) })
            }
            None => None,
        });
        told
    }

    /// What is to be seen lies in the middle of the picture, under the head.
    fn viewport(&self, width: f32, height: f32) -> Viewport {
        let off =
            [0.0, self.row.after, self.meant.unwrap_or(0.0), self.cutter.map_or(0.0, |cutter| cutter.0)];
        let low = off.into_iter().fold(f64::INFINITY, f64::min);
        let high = off.into_iter().fold(f64::NEG_INFINITY, f64::max);
        let span = (high - low).max(self.units().of().pick(0.004, 0.1));
        let (across, up) = (self.place.outward.x.abs(), self.place.outward.y.abs());
        let room = (f64::from(width) / across.max(1e-6)).min(f64::from(height) / up.max(1e-6));
        let scale = room.min(f64::from(height) * 1.6) * PART / span;
        let centre = self.place.at + self.place.outward * f64::midpoint(low, high);
        // The head takes its height off the top alone.
        Viewport { centre, scale, width, height: height + 2.0 * HEAD }
    }

    fn draw(&self, drawing: &mut Drawing, viewport: &Viewport, theme: &Theme) {
        let box_ = [-8.0, -8.0, viewport.width + 8.0, viewport.height + 8.0];
        if let Some(outline) = &self.proof.outline {
            drawing.fill(closed_line(outline, viewport), theme.metal);
        }
        let near: Vec<&StationRow> = self.near(viewport);
        for part in near.chunk_by(|a, b| (a.after < 0.0) == (b.after < 0.0)) {
            let air = part.first().is_some_and(|row| row.after < 0.0);
            let ink = if air { theme.paper } else { theme.stock };
            let on = part.iter().map(|row| row.at);
            let off = part.iter().rev().map(|row| row.at + row.outward * finite(row.after));
            drawing.fill(on.chain(off).map(|p| viewport.to_view(p)).collect(), ink);
        }
        let line = |of: &dyn Fn(&StationRow) -> f64| -> Vec<Vec<[f32; 2]>> {
            let all = near.iter().map(|row| viewport.to_view(row.at + row.outward * of(row)));
            clipped(&[all.collect()], box_)
        };
        drawing.stroke(line(&|row| finite(row.after)), theme.stock_edge, 1.4, Dash::Solid);
        if let Some(meant) = self.meant.filter(|meant| *meant != 0.0) {
            drawing.stroke(line(&|_| meant), theme.stock_edge, 1.2, Dash::Dashed);
        }
        if let Some(outline) = &self.proof.outline {
            let closed = closed_line(outline, viewport);
            drawing.stroke(clipped(&[closed], box_), theme.ink, 1.8, Dash::Solid);
        }
        if let Some((_, centre, radius)) = self.cutter {
            let mut ring = circle(viewport.to_view(centre), (radius * viewport.scale) as f32);
            ring.extend(ring.first().copied());
            drawing.stroke(clipped(&[ring], box_), theme.ink, 1.2, Dash::Solid);
        }
        self.dimensions(drawing, viewport, theme);
    }

    /// The stock left and the gap, as strokes with ticks on the line square to the outline.
    fn dimensions(&self, drawing: &mut Drawing, viewport: &Viewport, theme: &Theme) {
        let at = |off: f64| viewport.to_view(self.place.at + self.place.outward * off);
        let aside = [self.place.outward.y as f32 * TICK, self.place.outward.x as f32 * TICK];
        let mut stroke = |from: f64, to: f64, ink: Ink, width: f32| {
            let (from, to) = (at(from), at(to));
            let tick =
                |p: [f32; 2]| vec![[p[0] - aside[0], p[1] - aside[1]], [p[0] + aside[0], p[1] + aside[1]]];
            drawing.stroke(vec![vec![from, to], tick(from), tick(to)], ink, width, Dash::Solid);
        };
        stroke(0.0, finite(self.row.after), theme.ink, 3.0);
        if let (Some(_), Some((off, ..))) = (self.gap(), self.cutter) {
            stroke(finite(self.row.after), off, theme.none, 2.0);
        }
    }

    /// The rows that are seen, and some to either side.
    fn near(&self, viewport: &Viewport) -> Vec<&'a StationRow> {
        let reach = f64::from(viewport.width.hypot(viewport.height)) / viewport.scale;
        self.along.rows.iter().filter(|row| row.at.distance(viewport.centre) < reach).collect()
    }
}

fn finite(value: f64) -> f64 {
    if value.is_finite() { value } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn how_much_it_is_enlarged_is_told_in_round_numbers() {
        assert_eq!(magnified(6.04), "x6.0 of the plan");
        assert_eq!(magnified(37.3), "x37 of the plan");
        assert_eq!(magnified(1.26), "x1.3 of the plan");
        assert_eq!(magnified(1.04), "");
    }
}
