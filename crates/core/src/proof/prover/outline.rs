//! Measuring along the outline.

use std::sync::Arc;

use rayon::prelude::*;

use super::memory::{Same, kept};
use super::prepare::Prepared;
use super::{ProveError, Run, Stage};
use crate::geometry::Path;
use crate::measure::{Contact, OutlineMeasure, Row, Swath, Values, margin, range_of, stretches};
use crate::proof::{AlongOutline, BlankProof, PassProof, StationRow};
use crate::task::Cancelled;
use crate::tool::Form;
use crate::track::Track;

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
        passes: &mut [PassProof],
    ) -> Result<(Option<BlankProof>, usize), ProveError> {
        let mut swaths = Vec::with_capacity(prepared.len());
        for (index, pass) in prepared.iter().enumerate() {
            swaths.push((self.swath(index, pass, gauge)?, pass.held));
        }
        let key = (
            Same(Arc::clone(outline)),
            Same(Arc::clone(edge)),
            swaths.iter().map(|(swath, held)| (Same(Arc::clone(swath)), *held)).collect::<Vec<_>>(),
        );
        let none =
            swaths.is_empty().then(|| Swath::new(&Track::default(), &Form::Flat { diameter: 1.0 }, 0.0, 1.0));
        let measure = OutlineMeasure {
            outline,
            edge,
            // A job without passes still has a margin: measure it with a pass that sweeps nothing.
            passes: swaths
                .iter()
                .map(|(swath, held)| (swath.as_ref(), *held))
                .chain(none.iter().map(|swath| (swath, false)))
                .collect(),
            tolerances: self.tolerances,
        };
        let task = self.task;
        let (rows, fresh) = kept(&self.old.outlines, &mut self.new.outlines, key, || measure.rows(task))?;
        self.note(fresh, Stage::Outline);
        let this = &*self;
        passes.par_iter_mut().enumerate().try_for_each(|(index, pass)| {
            this.task.cancel.check()?;
            pass.along_outline = this.of_pass(&measure, &rows, index).map(Arc::new);
            Ok::<_, Cancelled>(())
        })?;
        Ok((margin(&measure, &rows), rows.len()))
    }

    /// The measures of one pass; `None` for a pass without an allowance that never comes near the outline.
    fn of_pass(&self, measure: &OutlineMeasure<'_>, rows: &[Row], pass: usize) -> Option<AlongOutline> {
        let none = self.tolerances.none_below;
        let near = rows.iter().any(|row| row.values[pass].cut() >= none);
        if !near && !measure.passes[pass].1 {
            return None;
        }
        let limits = self.job.contact.as_ref();
        let past = range_of(measure, rows, pass, |values| values.past)?;
        let station_row = |row: &Row| {
            let values = &row.values[pass];
            StationRow {
                station: row.station,
                at: row.place.at,
                outward: row.place.outward,
                before: values.before,
                after: values.after,
                past: values.past,
                by: values.by,
            }
        };
        Some(AlongOutline {
            rows: rows.iter().map(station_row).collect(),
            contact: stretches(measure, rows, pass, |values| Contact::of(values.cut(), limits, none)),
            leave: range_of(measure, rows, pass, |values| values.after)?,
            cut: range_of(measure, rows, pass, Values::cut)?,
            past: (past.most > none).then_some((past.most, past.most_at)),
        })
    }
}
