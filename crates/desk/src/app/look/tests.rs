//! What is looked at, by its messages alone.

use blockwright_core::view::Along;

use super::*;
use crate::app::centre::{Ask, Shown};
use crate::app::desk;
use crate::app::panel::cards;
use crate::app::testing::Shop;

/// Two passes, two places without contact, one short place and a note.
const SAMPLE: &str = "latch-plate-die";

fn length(shop: &Shop) -> f64 {
    shop.look.length(shop.desk.proof())
}

fn distance(shop: &Shop) -> f64 {
    shop.look.distance(shop.desk.proof())
}

#[test]
fn passes_stop_at_the_first_and_at_the_last() {
    let mut shop = Shop::checked(SAMPLE);
    let mut step = |message, pass| {
        shop.look(message);
        assert_eq!(shop.look.pass, pass);
    };
    step(Message::Before, 0);
    step(Message::After, 1);
    step(Message::After, 1);
    step(Message::Pick(7), 1);
    step(Message::Before, 0);
}

#[test]
fn cards_are_walked_from_the_worst_and_stop_at_the_ends() {
    let mut shop = Shop::checked(SAMPLE);
    let order = cards::order(shop.desk.whole_proof().expect("checked"), false);
    assert!(order.len() >= 3, "there is something to walk through: {order:?}");
    for card in order.iter().chain(order.last()) {
        shop.look(Message::Walk(true));
        assert_eq!(shop.look.finding, Some(*card));
        assert!(shop.look.magnified, "its place is shown enlarged");
        let finding = &shop.desk.whole_proof().expect("checked").findings[*card];
        assert_eq!(finding.pass.unwrap_or(shop.look.pass), shop.look.pass, "its pass is picked");
        assert_eq!(
            finding.station.unwrap_or_default(),
            shop.look.centre.station,
            "the wall is that of its place"
        );
    }
    // While a finding is looked at, the keys for the passes walk the cards.
    for card in order.iter().rev().skip(1).chain(order.first()) {
        shop.look(Message::Before);
        assert_eq!(shop.look.finding, Some(*card));
    }
    let other = 1 - shop.look.pass;
    shop.look(Message::Pick(other));
    assert_eq!((shop.look.pass, shop.look.finding), (other, None), "another pass puts the finding down");
    assert_eq!(distance(&shop), length(&shop), "its tool stands at its end");
}

#[test]
fn a_note_that_is_gone_to_has_its_card_from_then_on() {
    let mut shop = Shop::checked(SAMPLE);
    let proof = shop.desk.whole_proof().expect("checked").clone();
    let hidden = |notes| cards::order(&proof, notes);
    let note = hidden(true).into_iter().find(|card| !hidden(false).contains(card)).expect("a note");
    shop.look(Message::Follow(note));
    assert!(shop.look.notes);
    shop.look(Message::Follow(99));
    assert_eq!(shop.look.finding, Some(note), "there is no such finding");
}

#[test]
fn the_tool_stays_on_its_pass_and_is_held_by_a_hand() {
    let mut shop = Shop::checked(SAMPLE);
    shop.look(Message::Play);
    assert!(shop.look.playing);
    assert_eq!(distance(&shop), 0.0, "from the end it starts over");
    shop.look(Message::Run(1.0));
    let on = distance(&shop);
    assert!(on > 0.0 && on < length(&shop));
    shop.look(Message::Scrub(f64::NAN));
    assert_eq!((distance(&shop), shop.look.playing), (on, false), "held, and moved nowhere");
    for (to, at) in [(-5.0, 0.0), (1e9, length(&shop)), (1.0, 1.0)] {
        shop.look(Message::Scrub(to));
        assert_eq!(distance(&shop), at, "to {to}");
    }
    shop.look(Message::Play);
    shop.look(Message::Run(1e6));
    assert_eq!((distance(&shop), shop.look.playing), (length(&shop), false), "it stops at the end");
}

/// In an inner corner tighter than the tool, other stations are nearer to it than the one that is looked at.
#[test]
fn a_station_is_told_as_long_as_the_tool_stays_where_it_was_brought_for_it() {
    let mut shop = Shop::checked("shelf-angle-die");
    let proof = shop.desk.whole_proof().expect("checked").clone();
    let corner = proof.findings.iter().position(|finding| finding.amount.is_some_and(|amount| amount > 1.0));
    let corner = corner.expect("stock left in the corner");
    let told = &proof.findings[corner];
    let (station, line) = (told.station.expect("on the outline"), told.line.expect("by a line"));
    let nearest = |shop: &Shop| {
        let tip = proof.passes[0].track.at(distance(shop)).expect("on the path").tip.plan();
        proof.outline.as_ref().expect("an outline").nearest(tip)
    };
    let moment = |shop: &Shop| shop.look.moment(&proof).expect("on the path");
    let go_there = [Message::Follow(corner), Message::ToStation(station)];
    for (way, message) in go_there.into_iter().enumerate() {
        shop.look(message);
        assert_eq!(shop.look.station(&proof), Some(station), "{way}");
        assert_eq!(moment(&shop).station, Some(station), "{way}");
        assert!(moment(&shop).left.is_some_and(|left| left > 2.0), "{way}: {:?}", moment(&shop));
        assert!((nearest(&shop) - station).abs() > 1.0, "{way}: there is a corner");
        assert!(way > 0 || moment(&shop).line == line, "where two lines meet, that of the finding");
        shop.look(Message::Step(1e-6));
        assert_eq!(shop.look.station(&proof), Some(nearest(&shop)), "{way}: moved on");
        assert!(moment(&shop).left.is_none_or(|left| left < 2.0), "{way}: {:?}", moment(&shop));
    }
}

#[test]
fn another_job_is_looked_at_from_its_beginning_but_in_the_same_way() {
    let mut shop = Shop::checked(SAMPLE);
    for message in [
        Message::Walk(true),
        Message::Along(Along::Path),
        Message::CountFrom(CountedFrom::Program),
        Message::Tab(Tab::Tools),
        Message::Speed(SPEEDS[3]),
        Message::Centre(Ask::Show(Shown::Wall)),
        Message::Centre(Ask::Land(0.05)),
        Message::EnlargeStock,
        Message::Pick(1),
        Message::Scrub(1.0),
        Message::Reset,
    ] {
        shop.look(message);
    }
    let look = &shop.look;
    assert_eq!((look.pass, look.finding, look.at), (0, None, None));
    assert_eq!((look.centre.station, look.centre.land), (0.0, None), "those were of the other job");
    assert_eq!((look.along, look.origin, look.tab), (Along::Path, CountedFrom::Program, Tab::Tools));
    assert_eq!((look.speed, look.centre.shown, look.centre.stock), (SPEEDS[3], Shown::Wall, false));
}

#[test]
fn the_look_goes_with_its_pass_and_leaves_one_that_is_gone() {
    let mut shop = Shop::checked(SAMPLE);
    shop.look(Message::Pick(1));
    shop.look(Message::Scrub(2.0));
    let slot = shop.desk.order()[1];
    shop.desk.update(desk::Message::Rearrange(vec![1, 0]));
    let now = shop.desk.order().iter().position(|other| *other == slot);
    shop.look(Message::Arranged(now));
    assert_eq!((shop.look.pass, distance(&shop)), (0, 2.0), "the same pass, and its tool where it was");
    shop.desk.update(desk::Message::Rearrange(vec![1]));
    shop.look(Message::Arranged(None));
    shop.look(Message::Clamp);
    assert_eq!((shop.look.pass, distance(&shop)), (0, length(&shop)), "the one that is left, at its end");
}
