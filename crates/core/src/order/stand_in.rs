//! A proof whose passes have been moved, to be looked at until the new order is proven.

use std::sync::Arc;

use crate::job::Job;
use crate::proof::{PassProof, Proof};

impl Proof {
    /// The same with other passes in their places, as each was measured last: `passes` are those of `job`, and
    /// `places` says where each pass of this proof has gone, `None` for one that is left out. Nothing is measured
    /// anew, so it stands only until the job is proven.
    #[must_use]
    pub fn rearranged(&self, job: Arc<Job>, passes: Vec<PassProof>, places: &[Option<usize>]) -> Self {
        let findings = self.findings.iter().filter_map(|finding| {
            let pass = match finding.pass {
                Some(pass) => Some((*places.get(pass)?)?),
                None => None,
            };
            Some(crate::finding::Finding { pass, ..finding.clone() })
        });
        let mut wall_passes: Vec<_> = vec![None; passes.len()];
        for (pass, place) in self.wall_passes.iter().zip(places) {
            if let Some(slot) = place.and_then(|place| wall_passes.get_mut(place)) {
                *slot = Some(Arc::clone(pass));
            }
        }
        Self {
            job,
            told: self.told,
            findings: findings.collect(),
            passes,
            wall: None,
            wall_passes: wall_passes.into_iter().collect::<Option<_>>().unwrap_or_default(),
            outline: self.outline.clone(),
            edge: self.edge.clone(),
            stations: self.stations,
            gauge: self.gauge,
            blank: self.blank.clone(),
            fit: self.fit.clone(),
            start: self.start.clone(),
            verdict: self.verdict,
        }
    }
}
