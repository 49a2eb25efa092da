//! How far in each undercut pass must step, so that its line leaves a wanted land under the edge rounding.

use rayon::prelude::*;

use super::along::{Along, Stop, extremes};
use super::face;
use super::pass::Carried;
use super::station::Station;
use super::{Wall, WallRow};
use crate::geometry::Range;
use crate::task::{Cancelled, Task};
use crate::tool::Form;

/// What each undercut pass does to the finished wall, and what it would have to do.
#[derive(Debug, Clone, PartialEq)]
pub struct UndercutTable {
    /// The land that is wanted.
    pub land: f64,
    /// The lower end of the rounding on the finished wall; `None` when no pass rounds the edge.
    pub rounding_lower: Option<Range>,
    /// The height that the land is counted down from: the least lower end of the rounding, or the least top of an
    /// edge that is not rounded. `None` when there is no wall.
    pub upper: Option<f64>,
    /// One for each pass with an `undercut` cutter, in order.
    pub rows: Vec<UndercutRow>,
}

/// One undercut pass.
#[derive(Debug, Clone, PartialEq)]
pub struct UndercutRow {
    /// Index of the pass.
    pub pass: usize,
    /// The cutter's diameter at the tip.
    pub diameter: f64,
    /// Angle of its sides from vertical, degrees.
    pub angle: f64,
    /// Height of the tip where it makes its line; of several heights the lowest. `None` for a pass that makes none.
    pub tip: Option<f64>,
    /// The undercut line right after this pass.
    pub line: Option<Range>,
    /// The line that this pass's cutter leaves on the finished wall, whatever the other passes do.
    pub finished_line: Option<Range>,
    /// How far inside the finished wall the cutter reaches at its tip.
    pub step: Option<Range>,
    /// What would leave the wanted land. `None` when the tip runs no lower than where the line should be.
    pub wanted: Option<Wanted>,
    /// How far an error moves the line.
    pub effect: Effect,
}

/// What leaves a wanted land.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wanted {
    /// The line.
    pub line: f64,
    /// How far inside the finished wall the cutter must reach at its tip: d = (t - r - w - z) tan a, with t - r the
    /// lower end of the rounding, w the land, z the tip and a the angle of the side (design, undercut geometry).
    pub step: f64,
    /// The diameter to state where the path is made from the outline: smaller by 2 d, which moves the path in by d.
    /// Not above 0 for a cutter too small for the step.
    pub stated_diameter: f64,
    /// Whether the line lies above the cutter's cone, so that its neck would run into the wall.
    pub past_cone: bool,
}

/// How far the line moves up for each unit of an error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effect {
    /// Of touch-off, upward: one to one.
    pub touch_off: f64,
    /// Of the step inward: 1 / tan a.
    pub step: f64,
    /// Of the cutter's diameter: half of that, since the radius grows by half as much.
    pub diameter: f64,
}

/// What one cutter alone does to the finished wall at one station.
#[derive(Debug, Clone, Copy)]
struct Reached {
    line: f64,
    step: Option<f64>,
    tip: Option<f64>,
}

impl Wall<'_> {
    /// The table for a wanted land. `along` is this wall's own.
    ///
    /// # Errors
    /// [`Cancelled`] when the task was asked to stop.
    pub fn undercut_table(
        &self,
        along: &Along,
        land: f64,
        task: Task<'_>,
    ) -> Result<UndercutTable, Cancelled> {
        task.tell("Measuring the undercut passes", 0.0);
        let finished = along.passes.last();
        let rounding_lower = finished.and_then(|wall| wall.rounding_lower);
        let upper = rounding_lower.or_else(|| finished.and_then(|wall| wall.top)).map(|range| range.least);
        let mut rows = Vec::new();
        for (pass, near) in self.passes.iter().enumerate() {
            if let Form::Undercut { diameter, angle, height } = *near.form() {
                let cone = Cone { diameter, angle, height };
                rows.push(self.undercut_row(along, pass, cone, upper.map(|upper| upper - land), task)?);
            }
        }
        Ok(UndercutTable { land, rounding_lower, upper, rows })
    }

    fn undercut_row(
        &self,
        along: &Along,
        pass: usize,
        cone: Cone,
        wanted: Option<f64>,
        task: Task<'_>,
    ) -> Result<UndercutRow, Cancelled> {
        let reached = along.rows.par_iter().map(|row| {
            task.cancel.check()?;
            Ok(self.reached_on(row, pass))
        });
        let reached: Vec<Option<Reached>> = reached.collect::<Result<_, Cancelled>>()?;
        let range = |value: fn(&Reached) -> Option<f64>| {
            let stop = |(row, reached): (&WallRow, &Option<Reached>)| Stop {
                span: row.span,
                along: row.along,
                value: reached.as_ref().and_then(value),
            };
            let stops: Vec<Stop> = along.rows.iter().zip(&reached).map(stop).collect();
            let at = |span, along| self.reached(span, along, pass).as_ref().and_then(value);
            extremes(self.outline, &stops, at, self.tolerances.height)
        };
        let tip = reached.iter().flatten().filter_map(|reached| reached.tip).reduce(f64::min);
        Ok(UndercutRow {
            pass,
            diameter: cone.diameter,
            angle: cone.angle,
            tip,
            line: along.passes.get(pass).and_then(|wall| wall.undercut_line),
            finished_line: range(|reached| Some(reached.line)),
            step: range(|reached| reached.step),
            wanted: tip.zip(wanted).and_then(|(tip, line)| cone.wanted(tip, line)),
            effect: cone.effect(),
        })
    }

    fn reached(&self, span: usize, along: f64, pass: usize) -> Option<Reached> {
        let place = self.place_on(span, along);
        let station = Station::new(self, &place);
        self.reached_at(&station, face::after_all(&station).face?, pass)
    }

    fn reached_on(&self, row: &WallRow, pass: usize) -> Option<Reached> {
        let place = self.place_on(row.span, row.along);
        self.reached_at(&Station::new(self, &place), row.heights.last()?.face?, pass)
    }

    fn reached_at(&self, station: &Station<'_>, finished: f64, pass: usize) -> Option<Reached> {
        let alone = station.alone(pass, finished);
        let line = face::after_all(&alone).undercut_line?;
        let leave = |height: f64| alone.leaves_at(height).last().copied().flatten();
        let tip = self.tip_under(&alone, line);
        let edge = tip.and_then(leave);
        Some(Reached { line, step: edge.map(|edge| finished - edge), tip })
    }

    /// The tip's height on the motion that makes the face just under the line.
    fn tip_under(&self, alone: &Station<'_>, line: f64) -> Option<f64> {
        let height = line - self.tolerances.height * 4.0;
        let leave = alone.leaves_at(height).last().copied().flatten()?;
        let near = alone.passes.first()?;
        let mut swept = Vec::new();
        let makes = |carried: &&Carried| {
            swept.clear();
            alone.sweep(carried, near.profile, height, &mut swept);
            swept.iter().any(|(from, _)| (from - leave).abs() <= self.tolerances.follow)
        };
        let tips = near.trains.motions().filter(makes).map(Carried::tip);
        tips.reduce(f64::min)
    }
}

/// The dimensions of an undercut cutter.
#[derive(Debug, Clone, Copy)]
struct Cone {
    diameter: f64,
    angle: f64,
    height: f64,
}

impl Cone {
    fn tangent(&self) -> f64 {
        self.angle.to_radians().tan()
    }

    fn wanted(&self, tip: f64, line: f64) -> Option<Wanted> {
        let step = (line - tip) * self.tangent();
        let past_cone = line - tip > self.height;
        let stated_diameter = self.diameter - 2.0 * step;
        (step > 0.0).then_some(Wanted { line, step, stated_diameter, past_cone })
    }

    fn effect(&self) -> Effect {
        let step = 1.0 / self.tangent();
        Effect { touch_off: 1.0, step, diameter: step / 2.0 }
    }
}
