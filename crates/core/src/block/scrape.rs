//! Taking metal from the columns of one tile under one motion that has no closed form.

use super::carve::Plot;
use super::cutter::Lobe;
use super::field::TILE;
use super::rows::cells;
use super::sweep::Sweep;
use crate::geometry::pt;

impl Plot<'_> {
    /// Takes what the lobe covers on the motion. Columns that even the nearest place on the path, at the lowest
    /// height, would not reach down to are passed over.
    pub(super) fn scrape(&mut self, sweep: &Sweep, lobe: &Lobe, group: u32) {
        let bounds = sweep.bounds();
        let range = |low: f64, high: f64| cells((low / self.cell, high / self.cell));
        let rows = range(bounds.low.y - self.origin.y, bounds.high.y - self.origin.y);
        let columns = range(bounds.low.x - self.origin.x, bounds.high.x - self.origin.x);
        for row in rows {
            for column in columns.clone() {
                let at = self.origin + pt(column as f64, row as f64) * self.cell;
                let away = sweep.distance(at);
                self.tally.visit(1);
                if away > lobe.radius() {
                    continue;
                }
                let lowest = sweep.lowest() + lobe.underside(away);
                if f64::from(self.tops[row * TILE + column]) <= lowest {
                    continue;
                }
                sweep.ranges(lobe, at, |low, high| {
                    self.take(row * TILE + column, low as f32, high as f32, group);
                });
            }
        }
    }
}
