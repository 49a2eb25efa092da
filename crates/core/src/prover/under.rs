//! What of each pass comes out below the block.

use std::sync::Arc;

use super::memory::{Same, kept};
use super::prepare::Prepared;
use super::{ProveError, Run};
use crate::geometry::Path;
use crate::measure::under;
use crate::proof::PassProof;

impl Run<'_> {
    /// Every motion is gone through for it, so it is worked out once, for findings, result and record alike.
    pub(super) fn under_block(
        &mut self,
        outline: Option<&Arc<Path>>,
        prepared: &[Prepared],
        passes: &mut [PassProof],
    ) -> Result<(), ProveError> {
        let Some(bottom) = self.job.blank.as_ref().map(crate::job::Blank::bottom) else { return Ok(()) };
        let faces = (bottom, self.job.bed_top);
        for ((pass, prepared), proof) in self.job.passes.iter().zip(prepared).zip(passes) {
            let Some(tool) = self.job.tool(pass.tool) else { continue };
            self.task.cancel.check()?;
            let key = (Same(Arc::clone(&prepared.track)), tool.clone(), outline.cloned().map(Same), faces);
            let make =
                || Ok::<_, ProveError>(under(faces, tool, &prepared.track, outline.map(AsRef::as_ref)));
            proof.under = *kept(&self.old.unders, &mut self.new.unders, key, make)?.0;
        }
        Ok(())
    }
}
