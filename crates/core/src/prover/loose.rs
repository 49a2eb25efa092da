//! Metal that a pass cuts loose.

use std::sync::Arc;

use super::memory::{Same, kept};
use super::prepare::Prepared;
use super::{ProveError, Run};
use crate::block::{Field, Lumps, Removal};
use crate::geometry::Path;
use crate::job::KeepClear;
use crate::proof::Loose;

impl Run<'_> {
    /// What each pass cuts loose that hung together with the block before it, and that no clamp reaches. A pass that does not
    /// go through the block cuts nothing loose.
    pub(super) fn loose(
        &mut self,
        start: Option<&Arc<Field>>,
        outline: Option<&Path>,
        prepared: &[Prepared],
        removals: &[Option<Arc<Removal>>],
    ) -> Result<Vec<Vec<Loose>>, ProveError> {
        let mut found = vec![Vec::new(); prepared.len()];
        let Some(start) = start else { return Ok(found) };
        let clamps: Vec<Path> = self.job.keep_clear.iter().filter_map(KeepClear::path).collect();
        let clamped = |lumps: &Lumps, lump: usize| clamps.iter().any(|clamp| lumps.reaches(lump, clamp));
        let least = self.tolerances.loose / start.grid().cell;
        let mut before: Option<(Arc<Lumps>, Option<usize>)> = None;
        for ((pass, removal), found) in prepared.iter().zip(removals).zip(&mut found) {
            let Some(removal) = removal else { break };
            if pass.track.lowest().is_none_or(|low| low > f64::from(start.bottom())) {
                continue;
            }
            let (key, task) = (Same(Arc::clone(removal)), self.task);
            let (lumps, _) =
                kept(&self.old.lumps, &mut self.new.lumps, key, || Lumps::of(removal.end(), task))?;
            let block = block(&lumps, outline);
            for (index, lump) in lumps.lumps.iter().enumerate() {
                let hung = before.as_ref().is_none_or(|(lumps, block)| lumps.at(lump.place) == *block);
                let counts = lump.squares as f64 >= least;
                if Some(index) != block && hung && counts && !clamped(&lumps, index) {
                    let bounds = lump.bounds.grown(start.grid().cell / 2.0);
                    found.push(Loose { across: [bounds.width(), bounds.height()], place: lump.place });
                }
            }
            before = Some((lumps, block));
        }
        Ok(found)
    }
}

/// The lump that the block is: the largest that lies inside the outline, or of all.
fn block(lumps: &Lumps, outline: Option<&Path>) -> Option<usize> {
    let largest = |inside: bool| {
        let all = lumps.lumps.iter().enumerate();
        let asked =
            all.filter(|(_, lump)| !inside || outline.is_some_and(|outline| outline.holds(lump.place)));
        asked.max_by_key(|(_, lump)| lump.columns).map(|(index, _)| index)
    };
    largest(true).or_else(|| largest(false))
}
