//! The findings of a program's lines, for its margin.

use std::collections::BTreeMap;
use std::sync::Arc;

use blockwright_core::finding::Finding;
use blockwright_core::proof::Proof;

/// Indices of findings by program line; made anew for another proof or pass only.
#[derive(Debug, Default)]
pub(super) struct Margin {
    of: Option<(Arc<Proof>, usize)>,
    lines: BTreeMap<u32, Vec<usize>>,
}

impl Margin {
    /// Takes the findings of a pass.
    pub(super) fn follow(&mut self, proof: Option<&Arc<Proof>>, pass: usize) {
        let same = match (&self.of, proof) {
            (Some((of, at)), Some(proof)) => Arc::ptr_eq(of, proof) && *at == pass,
            (None, None) => true,
            _ => false,
        };
        if same {
            return;
        }
        self.of = proof.map(|proof| (Arc::clone(proof), pass));
        self.lines.clear();
        let Some(proof) = proof else { return };
        for (index, finding) in proof.findings.iter().enumerate() {
            if let (Some(line), true) = (finding.line, finding.pass == Some(pass)) {
                self.lines.entry(line).or_default().push(index);
            }
        }
        for found in self.lines.values_mut() {
            found.sort_by_key(|index| {
                proof.findings.get(*index).map(|finding| std::cmp::Reverse(finding.severity))
            });
        }
    }

    /// The findings of a line with their places in the proof's list, the heaviest first.
    pub(super) fn at(&self, line: u32) -> Vec<(usize, &Finding)> {
        let (Some((proof, _)), Some(found)) = (&self.of, self.lines.get(&line)) else { return Vec::new() };
        found.iter().filter_map(|index| Some((*index, proof.findings.get(*index)?))).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use blockwright_core::prover::{Options, Prover};
    use blockwright_core::task::{Cancel, Task};

    #[test]
    fn the_margin_has_the_findings_of_its_pass_alone() {
        let opened = crate::open::demo_job().expect("the demo holds together");
        let cancel = Cancel::new();
        let proof = Prover::new().prove(&opened.source, &Options::default(), Task::quiet(&cancel));
        let proof = Arc::new(proof.expect("proven"));
        let mut margin = Margin::default();
        for pass in 0..proof.passes.len() {
            margin.follow(Some(&proof), pass);
            let lines = |finding: &&Finding| finding.pass == Some(pass) && finding.line.is_some();
            let shown: usize = margin.lines.keys().map(|line| margin.at(*line).len()).sum();
            assert_eq!(shown, proof.findings.iter().filter(lines).count());
            for found in margin.lines.keys().map(|line| margin.at(*line)) {
                assert!(found.is_sorted_by_key(|(_, finding)| std::cmp::Reverse(finding.severity)));
            }
        }
        margin.follow(None, 0);
        assert!(margin.lines.is_empty());
    }
}
