//! What of each tool comes to metal above its cutting edges.

use std::sync::Arc;

use super::memory::{Same, kept};
use super::prepare::Prepared;
use super::{ProveError, Run};
use crate::block::{Field, Removal, Touch, touches};

impl Run<'_> {
    /// Pass after pass, each on the block as it finds it. Ends before the first pass whose removal is not followed.
    pub(super) fn touches(
        &mut self,
        start: Option<&Arc<Field>>,
        prepared: &[Prepared],
        removals: &[Option<Arc<Removal>>],
    ) -> Result<Vec<Arc<Vec<Touch>>>, ProveError> {
        let mut found = Vec::with_capacity(prepared.len());
        let mut before = start.map(AsRef::as_ref);
        for ((pass, prepared), removal) in self.job.passes.iter().zip(prepared).zip(removals) {
            let (Some(field), Some(removal), Some(tool)) = (before, removal, self.job.tool(pass.tool)) else {
                break;
            };
            let (least, task) = (self.tolerances.touch, self.task);
            let key = (Same(Arc::clone(removal)), tool.clone());
            let (touched, _) = kept(&self.old.touches, &mut self.new.touches, key, || {
                touches(field, &prepared.track, tool, least, task)
            })?;
            found.push(touched);
            before = Some(removal.end());
        }
        Ok(found)
    }
}
