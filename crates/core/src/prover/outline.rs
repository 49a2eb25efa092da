//! Measuring along the outline.

use std::sync::Arc;

use rayon::prelude::*;

use super::memory::{Same, kept};
use super::prepare::Prepared;
use super::{ProveError, Run, Stage};
use crate::geometry::Path;
use crate::measure::{
    AlongOutline, BlankProof, FOLLOWS, Meant, OutlineMeasure, Row, Shallow, StationRow, Swath, height_of_cut,
    range_of, range_of_cut, shallow, stretches,
};
use crate::proof::PassProof;
use crate::task::Cancelled;
use crate::tool::Form;
use crate::track::Track;
use crate::wall::WallPass;

impl Run<'_> {
    fn swath(&mut self, index: usize, pass: &Prepared, height: f64) -> Result<Arc<Swath>, ProveError> {
        let follow = self.tolerances.follow;
        let key = (Same(Arc::clone(&pass.track)), pass.form.clone(), height);
        let (swath, fresh) = kept(&self.old.swaths, &mut self.new.swaths, key, || {
            Ok::<_, Cancelled>(Swath::new(&pass.track, &pass.form, height, follow))
        })?;
        self.note(fresh, Stage::Swath(index));
        Ok(swath)
    }

    pub(super) fn along_outline(
        &mut self,
        prepared: &[Prepared],
        (outline, edge, gauge): (&Arc<Path>, &Arc<Path>, f64),
        wall_passes: &[Arc<WallPass>],
        passes: &mut [PassProof],
    ) -> Result<(Option<BlankProof>, usize), ProveError> {
        let Some(wall) = self.wall_of(outline, edge, wall_passes) else { return Ok((None, 0)) };
        let mut swaths = Vec::with_capacity(prepared.len());
        for (index, pass) in prepared.iter().enumerate() {
            swaths.push((self.swath(index, pass, gauge)?, pass.held));
        }
        let key = (
            Same(Arc::clone(outline)),
            Same(Arc::clone(edge)),
            swaths.iter().map(|(swath, held)| (Same(Arc::clone(swath)), *held)).collect::<Vec<_>>(),
            (wall.bottom, wall.top),
        );
        let none =
            swaths.is_empty().then(|| Swath::new(&Track::default(), &Form::Flat { diameter: 1.0 }, 0.0, 1.0));
        let measure = OutlineMeasure {
            wall,
            gauge,
            // A job without passes still has a margin: measure it with a pass that sweeps nothing.
            passes: swaths
                .iter()
                .map(|(swath, held)| (swath.as_ref(), *held))
                .chain(none.iter().map(|swath| (swath, false)))
                .collect(),
            tolerances: self.tolerances,
        };
        let task = self.task;
        let (found, fresh) =
            kept(&self.old.outlines, &mut self.new.outlines, key, || measure.stations(task))?;
        self.note(fresh, Stage::Outline);
        let this = &*self;
        passes.par_iter_mut().enumerate().try_for_each(|(index, pass)| {
            this.task.cancel.check()?;
            pass.along_outline = this.of_pass(&measure, &found.rows, index).map(Arc::new);
            Ok::<_, Cancelled>(())
        })?;
        Ok((found.blank.clone(), found.rows.len()))
    }

    /// Where a pass with a bottom stays above it. Looked for only in a pass that goes along anywhere between its bottom and
    /// the top.
    fn shallow(&self, measure: &OutlineMeasure<'_>, rows: &[Row], index: usize, slack: f64) -> Vec<Shallow> {
        let Some(pass) = self.job.passes.get(index) else { return Vec::new() };
        let Some(bottom) = pass.bottom.map(|bottom| bottom + pass.zero.origin[2]) else { return Vec::new() };
        let (low, high) = (bottom + self.tolerances.depth, measure.wall.top);
        let between = |z: f64| z > low && z < high;
        let goes_high = measure.wall.passes.get(index).is_some_and(|pass| pass.feeds_along_at(between));
        if goes_high { shallow(measure, rows, index, (bottom, slack)) } else { Vec::new() }
    }

    /// What a pass is meant to do along the outline.
    fn meant(&self, pass: usize) -> Meant {
        let pass = self.job.passes.get(pass);
        let tool = pass.and_then(|pass| self.job.tool(pass.tool));
        Meant {
            allowance: pass.and_then(|pass| pass.allowance),
            radius: tool.map_or(0.0, |tool| tool.form.radius()),
            limits: self.job.contact,
        }
    }

    /// The measures of one pass; `None` for a pass without an allowance that never comes near the outline.
    fn of_pass(&self, measure: &OutlineMeasure<'_>, rows: &[Row], pass: usize) -> Option<AlongOutline> {
        let none = self.tolerances.none_below;
        let near = rows.iter().any(|row| row.cuts[pass].most >= none);
        if !near && !measure.passes[pass].1 {
            return None;
        }
        let meant = self.meant(pass);
        let past = range_of(measure, rows, pass, |values| values.past)?;
        let cut = range_of_cut(measure, rows, pass)?;
        let heavy = meant.limits.and_then(|limits| limits.heavy_above).unwrap_or(f64::INFINITY);
        let station_row = |row: &Row| {
            let (values, cut) = (&row.values[pass], row.cuts[pass]);
            let height = cut.z.filter(|_| cut.most > heavy);
            StationRow {
                station: row.station,
                at: row.place.at,
                outward: row.place.outward,
                before: values.before,
                after: values.after,
                face: values.face,
                cut: cut.most,
                cut_z: cut.z,
                cut_line: height.and_then(|height| measure.cut_line(row, pass, height)),
                past: values.past,
                by: values.by,
            }
        };
        let stated = self.job.passes.get(pass).map_or(&[][..], |pass| &pass.measured);
        let measured = stated.iter().filter_map(|found| found.station);
        Some(AlongOutline {
            measured: measured.map(|station| row_at(measure, station, &station_row)).collect(),
            rows: rows.iter().map(station_row).collect(),
            contact: stretches(measure, rows, pass, &meant),
            leave: range_of(measure, rows, pass, |values| values.after)?,
            cut_z: [cut.least_at, cut.most_at].map(|station| height_of_cut(measure, pass, station)),
            cut,
            past: (past.most > none).then_some((past.most, past.most_at)),
            shallow: self.shallow(measure, rows, pass, meant.radius * FOLLOWS),
        })
    }
}

/// The very station at which somebody has measured.
fn row_at(measure: &OutlineMeasure<'_>, station: f64, row: &impl Fn(&Row) -> StationRow) -> StationRow {
    let outline = measure.wall.outline;
    let round = station.rem_euclid(outline.length());
    let span = outline.span_starts().partition_point(|&start| start <= round).saturating_sub(1);
    let along = round - outline.span_starts()[span];
    StationRow { station, ..row(&measure.row(span, along)) }
}
