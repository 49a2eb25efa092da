//! What is open, by its messages alone.

use super::*;
use crate::app::room::Effect;
use crate::app::testing::Shop;
use eframe::egui::Id;

const SAMPLE: &str = "latch-plate-die";

/// The job under another name.
fn named(desk: &Desk, name: &str) -> Box<Job> {
    Box::new(Job { name: Some(name.to_owned()), ..desk.job().clone() })
}

fn name(desk: &Desk) -> &str {
    desk.job().name.as_deref().unwrap_or_default()
}

/// How many steps can be taken back.
fn steps(desk: &mut Desk) -> usize {
    std::iter::from_fn(|| (!desk.update(Message::TakeBack(None)).is_empty()).then_some(())).count()
}

#[test]
fn a_change_is_unsaved_until_it_is_taken_back_or_saved() {
    let mut shop = Shop::open(SAMPLE);
    let file = shop.path("latch-plate-die/job.json");
    let desk = &mut shop.desk;
    let unsaved = |desk: &Desk| desk.on_disk().is_changed();
    assert!(!unsaved(desk));
    desk.update(Message::Edit(named(desk, "one")));
    assert!(unsaved(desk));
    desk.update(Message::TakeBack(None));
    assert!(!unsaved(desk), "it is as in its file again");
    desk.update(Message::DoAgain(None));
    desk.update(Message::SavedAs(file));
    assert!(!unsaved(desk));
    desk.update(Message::TakeBack(None));
    assert!(unsaved(desk), "the file holds the change, the desk no longer");
    desk.update(Message::DoAgain(None));
    assert!(!unsaved(desk));
}

#[test]
fn nothing_to_take_back_is_no_change_and_asks_nothing_of_the_house() {
    let mut shop = Shop::open(SAMPLE);
    let desk = &mut shop.desk;
    let before = desk.job().clone();
    for message in
        [Message::TakeBack(Some(0)), Message::DoAgain(Some(0)), Message::Edit(Box::new(before.clone()))]
    {
        let words = format!("{message:?}");
        assert!(desk.update(message).is_empty(), "{words}");
        assert_eq!(*desk.job(), before, "{words}");
    }
    assert!(!desk.can(Command::TakeBack) && !desk.can(Command::DoAgain) && !desk.on_disk().is_changed());
}

#[test]
fn what_is_typed_in_one_field_is_one_step_until_the_hand_rests() {
    let mut shop = Shop::open(SAMPLE);
    let desk = &mut shop.desk;
    let (one, other) = (Id::unique("one"), Id::unique("other"));
    for (typed, grip) in [("a", one), ("ab", one), ("abc", one), ("abcd", other)] {
        desk.update(Message::TypeIn(named(desk, typed), grip));
    }
    desk.update(Message::Rest);
    desk.update(Message::TypeIn(named(desk, "abcde"), other));
    for before in ["abcd", "abc", "Latch plate die"] {
        desk.update(Message::TakeBack(None));
        assert_eq!(name(desk), before);
    }
    assert_eq!(steps(desk), 0);
}

#[test]
fn a_pass_that_was_left_out_comes_back_with_its_program_as_it_is_by_then() {
    let mut shop = Shop::open(SAMPLE);
    let desk = &mut shop.desk;
    let text: Arc<[u8]> = Arc::from(&b"(edited)\r\n"[..]);
    desk.update(Message::Rearrange(vec![1]));
    assert_eq!((desk.order(), desk.job().passes.len()), (&[1][..], 1));
    desk.update(Message::Retype(vec![0], Arc::clone(&text)));
    let effects = desk.update(Message::TakeBack(Some(1)));
    assert!(matches!(effects[..], [Effect::Arranged(Some(1))]), "the pass looked at is told of: {effects:?}");
    assert_eq!(desk.order(), [0, 1]);
    assert_eq!(desk.source().programs[0], text);
}

#[test]
fn a_pass_that_is_added_runs_last_and_can_be_taken_back() {
    let mut shop = Shop::open(SAMPLE);
    let desk = &mut shop.desk;
    let pass = desk.job().passes[0].clone();
    let effects = desk.update(Message::AddPass(Box::new(pass), Arc::from(&b"G0 Z1.\r\n"[..])));
    assert!(matches!(effects[..], [Effect::Arranged(Some(2))]), "{effects:?}");
    assert_eq!((desk.order(), desk.source().programs.len()), (&[0, 1, 2][..], 3));
    desk.update(Message::TakeBack(None));
    assert_eq!((desk.order(), desk.source().programs.len()), (&[0, 1][..], 2));
}

#[test]
fn a_new_position_is_to_be_done_at_the_machine_until_it_is_ticked_or_taken_back() {
    let mut shop = Shop::open(SAMPLE);
    let desk = &mut shop.desk;
    let moved = |desk: &Desk| {
        let mut job = desk.job().clone();
        job.blank.as_mut().expect("a blank").at = Some([0.1, 0.1, 0.0]);
        Box::new(job)
    };
    desk.update(Message::TakeOver(moved(desk), "move the work zero".to_owned()));
    assert_eq!(desk.to_do(), ["move the work zero"]);
    desk.update(Message::TakeBack(None));
    assert_eq!(desk.to_do(), [""; 0], "nothing is to be moved any more");
    desk.update(Message::DoAgain(None));
    assert_eq!(desk.to_do(), ["move the work zero"]);
    desk.update(Message::Done("move the work zero".to_owned()));
    assert_eq!(desk.to_do(), [""; 0]);
}

#[test]
fn a_tick_on_a_finding_is_kept_in_the_job_and_has_nothing_checked_anew() {
    let mut shop = Shop::checked(SAMPLE);
    let desk = &mut shop.desk;
    desk.update(Message::Seen(0, true));
    assert!(desk.on_disk().is_changed(), "it is saved with the job");
    assert!(!desk.is_old(), "and changes nothing of the result");
    desk.update(Message::Seen(0, false));
    assert!(!desk.on_disk().is_changed());
    desk.update(Message::Seen(99, true));
    assert!(!desk.on_disk().is_changed(), "there is no such finding");
}
