//! The order of the passes: moved and left out in the list, or laid out beside the present order and compared.

mod add;
mod card;
mod dialog;
pub(super) mod drag;

use blockwright_core::job::PathSource;

pub(super) use add::add;
pub(super) use dialog::OrderDialog;

use super::desk;
use super::room::{Effect, Effects, World};
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
pub(super) fn update(ask: Ask, world: World<'_>) -> Effects {
    let count = world.desk.job().passes.len();
    match ask {
        Ask::Move(from, before) if from < count => arrange(moved(count, from, before), world),
        Ask::Move(..) => Vec::new(),
        Ask::Arrange(passes) => arrange(passes, world),
    }
}

/// The selected pass runs one place earlier.
pub(super) fn up(world: World<'_>) -> Effects {
    let pass = world.look.pass;
    pass.checked_sub(1).map(|before| update(Ask::Move(pass, before), world)).unwrap_or_default()
}

/// The selected pass runs one place later.
pub(super) fn down(world: World<'_>) -> Effects {
    update(Ask::Move(world.look.pass, world.look.pass + 2), world)
}

/// The job goes on without the selected pass.
pub(super) fn leave_out(world: World<'_>) -> Effects {
    let (pass, count) = (world.look.pass, world.desk.job().passes.len());
    arrange((0..count).filter(|other| *other != pass).collect(), world)
}

/// The slot of the selected pass.
pub(super) fn slot(world: World<'_>) -> Option<usize> {
    world.desk.order().get(world.look.pass).copied()
}

fn arrange(passes: Vec<usize>, world: World<'_>) -> Effects {
    if let Some(why) = refused(world, &passes) {
        return vec![Effect::tell(why)];
    }
    vec![Effect::Desk(desk::Message::Rearrange(passes)), Effect::Arranged(slot(world))]
}

/// Why the job can't do with these passes alone.
fn refused(world: World<'_>, passes: &[usize]) -> Option<Trouble> {
    let job = world.desk.job();
    if passes.is_empty() {
        return Some(Trouble::at("", "The job needs at least one pass", "keep at least one of them"));
    }
    let Some(PathSource::FromPass(name)) = &job.outline else { return None };
    let kept = passes.iter().filter_map(|pass| job.passes.get(*pass)).any(|pass| pass.name == *name);
    let why = format!("The outline is taken from the pass \"{name}\"");
    (!kept).then(|| Trouble::at("", why, "keep that pass, or give the outline's vertices in the job"))
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
    use super::super::look;
    use super::super::testing::{Shop, trouble};
    use super::*;

    /// Names of the passes after something was asked of their order.
    fn after(shop: &mut Shop, ask: impl Fn(World<'_>) -> Effects) -> Vec<String> {
        let effects = ask(shop.world());
        assert!(shop.carry(effects).iter().all(|rest| matches!(rest, Effect::OnTop(_))));
        shop.desk.job().passes.iter().map(|pass| pass.name.clone()).collect()
    }

    #[test]
    fn a_pass_moves_by_one_place_and_stops_at_the_ends_and_the_look_goes_with_it() {
        let mut shop = Shop::open("latch-plate-die");
        let [rough, finish] = ["Rough, leave .030", "Finish profile"];
        assert_eq!(after(&mut shop, up), [rough, finish], "the first has nowhere to go");
        assert_eq!(after(&mut shop, down), [finish, rough]);
        assert_eq!(shop.look.pass, 1);
        assert_eq!(after(&mut shop, down), [finish, rough], "nor has the last");
        assert_eq!(after(&mut shop, up), [rough, finish]);
        assert_eq!(shop.look.pass, 0);
        assert!(!shop.desk.on_disk().is_changed(), "as it was opened");
    }

    #[test]
    fn the_last_pass_and_the_one_that_the_outline_is_taken_from_stay() {
        let mut shop = Shop::open("latch-plate-die");
        let mut job = shop.desk.job().clone();
        job.outline = Some(PathSource::FromPass("Finish profile".to_owned()));
        shop.desk.update(desk::Message::Edit(Box::new(job)));
        shop.look(look::Message::Pick(1));
        let refused = leave_out(shop.world());
        assert!(trouble(&refused).is_some_and(|why| why.contains("Finish profile")), "{refused:?}");
        assert_eq!(after(&mut shop, leave_out), ["Rough, leave .030", "Finish profile"]);
        shop.look(look::Message::Pick(0));
        assert_eq!(after(&mut shop, leave_out), ["Finish profile"], "the other can go");
        assert_eq!(after(&mut shop, leave_out), ["Finish profile"], "and then no more");
        let refused = leave_out(shop.world());
        assert!(trouble(&refused).is_some_and(|why| why.contains("at least one pass")), "{refused:?}");
    }

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
