//! Earlier states of the job on the desk, with the programs that its passes run.
//!
//! The text of a program has a history of its own. Here a pass is known by its *slot*, the place it was opened at,
//! so that a pass that is moved or left out, and comes back, runs its program as it is then.

use std::sync::Arc;

use blockwright_core::job::Job;
use eframe::egui::Id;

/// States that are kept; far more than anyone goes back.
const MOST: usize = 200;

/// One state of the job.
#[derive(Debug, Clone)]
pub(super) struct State {
    pub(super) job: Arc<Job>,
    /// The slot of each of its passes.
    pub(super) order: Vec<usize>,
}

/// What the job was, and what it was before that was taken back.
#[derive(Debug, Default)]
pub(super) struct History {
    /// Text of the program of each slot.
    texts: Vec<Arc<[u8]>>,
    done: Vec<State>,
    undone: Vec<State>,
    /// The field that is being typed into or dragged, while what it changes is one step.
    grip: Option<Id>,
}

impl History {
    /// Of a job just opened, pass by pass.
    pub(super) fn new(programs: &[Arc<[u8]>]) -> Self {
        Self { texts: programs.to_vec(), ..Self::default() }
    }

    /// The programs of the passes in this order.
    pub(super) fn programs(&self, order: &[usize]) -> Vec<Arc<[u8]>> {
        order.iter().map(|slot| self.texts.get(*slot).cloned().unwrap_or_default()).collect()
    }

    /// Takes the program of another pass; its slot.
    pub(super) fn add(&mut self, text: &Arc<[u8]>) -> usize {
        self.texts.push(Arc::clone(text));
        self.texts.len() - 1
    }

    /// Takes another text of a program.
    pub(super) fn retype(&mut self, slot: usize, text: &Arc<[u8]>) {
        if let Some(own) = self.texts.get_mut(slot) {
            *own = Arc::clone(text);
        }
    }

    /// The job is about to be changed from this. What one grip changes in a row is one step.
    pub(super) fn changes(&mut self, from: State, grip: Option<Id>) {
        self.undone.clear();
        let same = grip.is_some() && self.grip == grip;
        self.grip = grip;
        if same {
            return;
        }
        self.done.push(from);
        if self.done.len() > MOST {
            self.done.remove(0);
        }
    }

    /// The next change is a step of its own.
    pub(super) fn rest(&mut self) {
        self.grip = None;
    }

    /// The state before the last change.
    pub(super) fn back(&mut self, now: State) -> Option<State> {
        self.rest();
        let before = self.done.pop()?;
        self.undone.push(now);
        Some(before)
    }

    /// The state that was taken back last.
    pub(super) fn again(&mut self, now: State) -> Option<State> {
        self.rest();
        let after = self.undone.pop()?;
        self.done.push(now);
        Some(after)
    }

    /// Whether there is anything to take back, and to do again.
    pub(super) fn can(&self) -> (bool, bool) {
        (!self.done.is_empty(), !self.undone.is_empty())
    }

    /// Lets the passes of these slots run a program of another name in every state, for its text has moved there.
    pub(super) fn rename(&mut self, slots: &[usize], name: &str) {
        for state in self.done.iter_mut().chain(&mut self.undone) {
            rename(state, slots, name);
        }
    }
}

/// Lets the passes of these slots run a program of another name.
pub(super) fn rename(state: &mut State, slots: &[usize], name: &str) {
    let job = Arc::make_mut(&mut state.job);
    for (pass, slot) in job.passes.iter_mut().zip(&state.order) {
        if slots.contains(slot) {
            name.clone_into(&mut pass.program);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn state(name: &str) -> State {
        let mut job = (*crate::open::demo_job().expect("the demo").source.job).clone();
        job.name = Some(name.to_owned());
        State { order: (0..job.passes.len()).collect(), job: Arc::new(job) }
    }

    fn name(state: Option<State>) -> Option<String> {
        state.and_then(|state| state.job.name.clone())
    }

    #[test]
    fn states_come_back_in_order_and_go_again() {
        let mut history = History::default();
        history.changes(state("a"), None);
        history.changes(state("b"), None);
        assert_eq!(history.can(), (true, false));
        assert_eq!(name(history.back(state("c"))).as_deref(), Some("b"));
        assert_eq!(name(history.back(state("b"))).as_deref(), Some("a"));
        assert!(history.back(state("a")).is_none());
        assert_eq!(name(history.again(state("a"))).as_deref(), Some("b"));
        history.changes(state("b"), None);
        assert!(history.again(state("x")).is_none(), "a new change ends what could be done again");
    }

    #[test]
    fn what_one_grip_changes_in_a_row_is_one_step() {
        let (one, other) = (Id::unique("one"), Id::unique("other"));
        for (grips, steps) in [
            (vec![Some(one), Some(one), Some(one)], 1),
            (vec![Some(one), Some(other), Some(one)], 3),
            (vec![None, None], 2),
            (vec![Some(one), None, Some(one)], 3),
        ] {
            let mut history = History::default();
            for grip in &grips {
                history.changes(state("a"), *grip);
            }
            let count = std::iter::from_fn(|| history.back(state("z"))).count();
            assert_eq!(count, steps, "{grips:?}");
        }
        let mut history = History::default();
        history.changes(state("a"), Some(one));
        history.rest();
        history.changes(state("b"), Some(one));
        assert_eq!(name(history.back(state("c"))).as_deref(), Some("b"), "taken up again is another step");
    }

    #[test]
    fn texts_and_names_go_with_the_slot_in_every_state() {
        let texts: Vec<Arc<[u8]>> = [&b"a"[..], b"b", b"c"].map(Arc::from).to_vec();
        let mut history = History::new(&texts);
        history.retype(1, &Arc::from(&b"edited"[..]));
        let programs = history.programs(&[2, 1]);
        assert_eq!((&programs[0][..], &programs[1][..]), (&b"c"[..], &b"edited"[..]));
        history.changes(state("a"), None);
        history.rename(&[1], "other.nc");
        let before = history.back(state("b")).expect("a state");
        assert_eq!(before.job.passes[1].program, "other.nc");
        assert_ne!(before.job.passes[0].program, "other.nc");
    }
}
