//! The order of the passes: moved and left out in the list, or laid out beside the present order and compared.

mod add;
mod card;
mod dialog;
pub(super) mod drag;

use blockwright_core::job::PathSource;

pub(super) use add::add;
pub(super) use dialog::OrderDialog;

use super::App;
use super::dialog::Dialog;
use crate::trouble::Trouble;

/// What is asked of the order.
#[derive(Debug, Clone)]
pub enum Ask {
    /// Let a pass run just before the one that stands here now; behind the last when there is none.
    Move(usize, usize),
    /// Run these passes of the job in this order, and no others.
    Arrange(Vec<usize>),
}

/// Does it.
pub(super) fn apply(app: &mut App, ask: Ask) {
    let count = app.desk.job().passes.len();
    match ask {
        Ask::Move(from, before) if from < count => arrange(app, &moved(count, from, before)),
        Ask::Move(..) => {}
        Ask::Arrange(passes) => arrange(app, &passes),
    }
}

/// The selected pass runs one place earlier.
pub(super) fn up(app: &mut App) {
    if let Some(before) = app.look.pass.checked_sub(1) {
        apply(app, Ask::Move(app.look.pass, before));
    }
}

/// The selected pass runs one place later.
pub(super) fn down(app: &mut App) {
    apply(app, Ask::Move(app.look.pass, app.look.pass + 2));
}

/// The job goes on without the selected pass.
pub(super) fn leave_out(app: &mut App) {
    let (pass, count) = (app.look.pass, app.desk.job().passes.len());
    arrange(app, &(0..count).filter(|other| *other != pass).collect::<Vec<_>>());
}

/// Takes back the last change of the job, or does it again.
pub(super) fn step(app: &mut App, again: bool) {
    let slot = app.desk.order().get(app.look.pass).copied();
    let changed = if again { app.desk.do_again() } else { app.desk.take_back() };
    if changed {
        follow(app, slot);
    }
}

fn arrange(app: &mut App, passes: &[usize]) {
    if let Some(why) = refused(app, passes) {
        app.dialog = Some(Dialog::Trouble(why));
        return;
    }
    let slot = app.desk.order().get(app.look.pass).copied();
    app.desk.rearrange(passes);
    follow(app, slot);
}

/// Why the job can't do with these passes alone.
fn refused(app: &App, passes: &[usize]) -> Option<Trouble> {
    let job = app.desk.job();
    if passes.is_empty() {
        return Some(Trouble::at("", "The job needs at least one pass", "keep at least one of them"));
    }
    let Some(PathSource::FromPass(name)) = &job.outline else { return None };
    let kept = passes.iter().filter_map(|pass| job.passes.get(*pass)).any(|pass| pass.name == *name);
    let why = format!("The outline is taken from the pass \"{name}\"");
    (!kept).then(|| Trouble::at("", why, "keep that pass, or give the outline's vertices in the job"))
}

/// After the passes have moved: the programs go with them, and so does what is looked at.
fn follow(app: &mut App, slot: Option<usize>) {
    app.programs.arrange(app.desk.order());
    let now = slot.and_then(|slot| app.desk.order().iter().position(|other| *other == slot));
    match now {
        Some(pass) => app.look.follow_pass(pass),
        None => app.look.pick(app.look.pass.min(app.desk.order().len().saturating_sub(1))),
    }
}

/// Passes 0 to `count` with one moved just before the place where `before` stands.
fn moved(count: usize, from: usize, before: usize) -> Vec<usize> {
    let mut order: Vec<usize> = (0..count).collect();
    let to = before.min(count);
    if from < count {
        let pass = order.remove(from);
        order.insert(if to > from { to - 1 } else { to }, pass);
    }
    order
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pass_goes_before_the_one_that_stands_there() {
        for (from, before, order) in [
            (0, 0, [0, 1, 2, 3]),
            (0, 1, [0, 1, 2, 3]),
            (0, 2, [1, 0, 2, 3]),
            (0, 4, [1, 2, 3, 0]),
            (0, 9, [1, 2, 3, 0]),
            (3, 0, [3, 0, 1, 2]),
            (2, 1, [0, 2, 1, 3]),
            (7, 1, [0, 1, 2, 3]),
        ] {
            assert_eq!(moved(4, from, before), order, "{from} before {before}");
        }
    }
}
