//! Tests of the programs by their messages alone.

use std::sync::mpsc::channel;

use super::*;
use crate::app::command::Command;
use crate::app::desk;
use crate::app::dialog::Purpose;
use crate::app::look;
use crate::app::room::{Effect, Effects};
use crate::app::testing::{Shop, question, same};

const SAMPLE: &str = "latch-plate-die";
const FIRST: &str = "latch-plate-die/8001.nc";

/// A shop with its programs.
fn programs() -> (Shop, Programs) {
    let shop = Shop::open(SAMPLE);
    let mut programs = Programs::new(Watch::start(channel().0, Arc::new(|| {})));
    programs.update(Message::Open, shop.world());
    (shop, programs)
}

/// The same with another first line in the first program.
fn edited() -> (Shop, Programs) {
    let (shop, mut programs) = programs();
    programs.update(Message::Ask(Ask::Edit(1)), shop.world());
    programs.update(Message::Ask(Ask::Type("(typed)".to_owned())), shop.world());
    (shop, programs)
}

fn first_line(programs: &Programs) -> String {
    let text = programs.text(0).expect("a program");
    String::from_utf8_lossy(&text).lines().next().unwrap_or_default().to_owned()
}

fn is_retyped(effects: &Effects) -> bool {
    effects.iter().any(|effect| matches!(effect, Effect::Desk(desk::Message::Retype(..))))
}

#[test]
fn a_typed_line_is_unsaved_until_it_is_taken_back_or_written() {
    let (shop, mut programs) = edited();
    assert_eq!((first_line(&programs).as_str(), programs.unsaved()), ("(typed)", vec!["8001.nc"]));
    programs.update(Message::Undo, shop.world());
    assert_eq!(programs.unsaved(), Vec::<&str>::new());
    programs.update(Message::Redo, shop.world());
    assert_eq!(programs.unsaved(), ["8001.nc"]);
    let (key, state) = (programs.key(0).expect("a key"), programs.sheets[0].state());
    programs.update(Message::Answered(Answer::Saved(key, state, shop.path("copy.nc"))), shop.world());
    assert_eq!(programs.unsaved(), Vec::<&str>::new());
}

#[test]
fn what_was_typed_after_a_save_began_stays_unsaved() {
    let (shop, mut programs) = edited();
    let (key, state) = (programs.key(0).expect("a key"), programs.sheets[0].state());
    programs.update(Message::Ask(Ask::Type("(typed on)".to_owned())), shop.world());
    programs.update(Message::Answered(Answer::Saved(key, state, shop.path("copy.nc"))), shop.world());
    assert_eq!(programs.unsaved(), ["8001.nc"]);
}

#[test]
fn a_program_is_not_written_over_its_own_file_without_a_question() {
    let (shop, mut programs) = edited();
    let save = |programs: &mut Programs| programs.update(Message::Save(shop.path(FIRST)), shop.world());
    let words =
        |effects: &Effects| question(effects).map(|question| question.words.clone()).unwrap_or_default();
    assert!(words(&save(&mut programs)).contains("the program as posted is gone"));
    std::fs::write(shop.path(FIRST), "(posted again)\r\n").expect("written");
    let effects = save(&mut programs);
    assert!(words(&effects).contains("changed by another application"));
    let compare = Action::Use(Purpose::Compare, shop.path(FIRST));
    let answers = &question(&effects).expect("a question").answers;
    assert!(answers.iter().any(|answer| same(&answer.1, &compare)), "the two can be held against each other");
    let copy = programs.update(Message::Save(shop.path("copy.nc")), shop.world());
    assert!(matches!(copy[..], [Effect::Save(Purpose::SaveProgram, _, Existing::Keep)]), "a copy needs none");
}

#[test]
fn a_program_that_was_posted_again_is_read_only_when_that_is_asked_for() {
    let (shop, mut programs) = programs();
    let before = programs.text(0);
    let stamp = Stamp::of(&shop.path(FIRST)).expect("a file");
    programs.update(Message::Noticed(shop.path(FIRST), Notice::Posted(stamp)), shop.world());
    assert!(programs.texts().is_posted_again(0) && !programs.texts().is_posted_again(1));
    assert_eq!(programs.text(0), before);
    std::fs::write(shop.path(FIRST), "(posted again)\r\n").expect("written");
    programs.update(Message::Ask(Ask::Keep), shop.world());
    assert!(!programs.texts().is_posted_again(0));
    assert_eq!(programs.unsaved(), ["8001.nc"], "what is shown is in no file now");
    let (key, state) = (programs.key(0).expect("a key"), programs.sheets[0].state());
    let read = Answer::Read(key, state, Arc::from(&b"(posted again)\r\n"[..]));
    let effects = programs.update(Message::Answered(read), shop.world());
    assert!(is_retyped(&effects), "it is checked anew");
    assert_eq!((first_line(&programs).as_str(), programs.unsaved()), ("(posted again)", vec![]));
}

#[test]
fn what_is_typed_while_a_file_is_read_again_is_asked_for_before_it_is_lost() {
    let (mut shop, mut programs) = programs();
    let (key, state) = (programs.key(0).expect("a key"), programs.sheets[0].state());
    let read = || Message::Answered(Answer::Read(key, state, Arc::from(&b"(posted again)\r\n"[..])));
    programs.update(Message::Ask(Ask::Edit(1)), shop.world());
    programs.update(Message::Ask(Ask::Type("(typed)".to_owned())), shop.world());
    let effects = programs.update(read(), shop.world());
    assert_eq!(first_line(&programs), "(typed)");
    assert!(matches!(effects[..], [Effect::Act(Action::Do(Command::Reload))]), "{effects:?}");
    // The question is of the program that is picked, so there is none while that is another.
    shop.look(look::Message::Pick(1));
    assert!(programs.update(read(), shop.world()).is_empty());
    assert_eq!(first_line(&programs), "(typed)");
}

#[test]
fn a_file_that_is_gone_makes_its_text_unsaved() {
    let (shop, mut programs) = programs();
    programs.update(Message::Noticed(shop.path(FIRST), Notice::Gone), shop.world());
    assert_eq!(programs.unsaved(), ["8001.nc"]);
}

#[test]
fn an_answer_for_programs_that_were_open_before_changes_nothing() {
    let (shop, mut programs) = programs();
    let (key, state) = (programs.key(0).expect("a key"), programs.sheets[0].state());
    programs.update(Message::Open, shop.world());
    let before = programs.text(0);
    let read = Answer::Read(key, state, Arc::from(&b"(of the other job)\r\n"[..]));
    assert!(programs.update(Message::Answered(read), shop.world()).is_empty());
    assert_eq!(programs.text(0), before);
}
