//! The path being drawn with all that was done to it.

use super::{Chain, Edit, Refused};

/// Most steps that can be taken back.
const MOST_STEPS: usize = 500;
/// Most vertices kept in all steps together; the oldest steps are given up first.
const MOST_KEPT: usize = 2_000_000;

/// A step: the chain on its other side, and what was done.
type Step = (Chain, &'static str);

/// A path being drawn, and its history.
#[derive(Debug, Clone, Default)]
pub struct Sketch {
    chain: Chain,
    begun: Chain,
    done: Vec<Step>,
    undone: Vec<Step>,
}

impl Sketch {
    /// A sheet with this path on it and nothing done yet.
    pub fn new(chain: Chain) -> Self {
        Self { begun: chain.clone(), chain, ..Self::default() }
    }

    /// The path as it stands.
    pub const fn chain(&self) -> &Chain {
        &self.chain
    }

    /// Whether it differs from what the sheet began with.
    pub fn is_changed(&self) -> bool {
        self.chain != self.begun
    }

    /// Makes an edit.
    ///
    /// # Errors
    /// Why it cannot be made; nothing is changed then.
    pub fn apply(&mut self, edit: &Edit) -> Result<(), Refused> {
        let next = self.chain.edited(edit)?;
        if next == self.chain {
            return Ok(());
        }
        self.undone.clear();
        self.done.push((std::mem::replace(&mut self.chain, next), edit.words()));
        self.forget_oldest();
        Ok(())
    }

    /// Takes back the last edit; false when there is none.
    pub fn undo(&mut self) -> bool {
        let Some((before, words)) = self.done.pop() else { return false };
        self.undone.push((std::mem::replace(&mut self.chain, before), words));
        true
    }

    /// Does again what was taken back; false when there is nothing.
    pub fn redo(&mut self) -> bool {
        let Some((after, words)) = self.undone.pop() else { return false };
        self.done.push((std::mem::replace(&mut self.chain, after), words));
        true
    }

    /// What would be taken back.
    pub fn undo_words(&self) -> Option<&'static str> {
        self.done.last().map(|(_, words)| *words)
    }

    /// What would be done again.
    pub fn redo_words(&self) -> Option<&'static str> {
        self.undone.last().map(|(_, words)| *words)
    }

    fn forget_oldest(&mut self) {
        let kept: usize = self.done.iter().map(|(chain, _)| chain.vertices().len()).sum();
        let mut over = kept.saturating_sub(MOST_KEPT);
        let mut drop = self.done.len().saturating_sub(MOST_STEPS);
        for (chain, _) in self.done.iter().skip(drop) {
            if over == 0 {
                break;
            }
            over = over.saturating_sub(chain.vertices().len());
            drop += 1;
        }
        self.done.drain(..drop);
    }
}
