//! The drawing sheet, by its messages alone.

use blockwright_core::job::{PathSource, Vertex};

use super::*;
use crate::app::room::Effects;
use crate::app::testing::{Shop, edited, question, same, stays_open};

const SAMPLE: &str = "latch-plate-die";
const QUIT: Action = Action::Do(Command::Quit);

/// A shop with a sheet open on the outline.
fn sheet() -> (Shop, Draw) {
    let (shop, mut draw) = (Shop::open(SAMPLE), Draw::default());
    draw.update(Message::Open(Target::Outline), shop.world());
    (shop, draw)
}

/// The same with another path on it.
fn changed() -> (Shop, Draw) {
    let (shop, mut draw) = sheet();
    draw.update(Message::Ask(Ask::Traced(square())), shop.world());
    (shop, draw)
}

fn square() -> Chain {
    let corner = |x: f64, y: f64| Vertex { at: blockwright_core::geometry::pt(x, y), bulge: 0.0 };
    Chain::new(vec![corner(0.0, 0.0), corner(3.0, 0.0), corner(3.0, 2.0), corner(0.0, 2.0)], true)
}

/// What the last answer of the question does.
fn go_on(effects: &Effects) -> Action {
    question(effects).expect("a question").answers.last().expect("an answer").1.clone()
}

#[test]
fn a_sheet_shows_the_path_of_the_job_and_closes_without_a_question() {
    let (shop, mut draw) = sheet();
    let Some(PathSource::Vertices(stated)) = &shop.desk.job().outline else { panic!("vertices") };
    assert_eq!(draw.chain().map(|chain| chain.vertices().to_vec()), Some(stated.clone()));
    assert_eq!((draw.unsaved(), draw.guards(&QUIT)), (None, false));
    assert!(draw.update(Message::Ask(Ask::Leave), shop.world()).is_empty());
    assert!(!draw.is_open());
}

#[test]
fn what_is_drawn_is_asked_for_before_it_is_thrown_away() {
    let (shop, mut draw) = changed();
    assert_eq!(draw.unsaved(), Some("outline"));
    for action in [
        QUIT,
        Action::Do(Command::OpenDemo),
        Action::Do(Command::DrawEdge),
        Action::Do(Command::DrawOutline),
        Action::OpenPaths(vec![shop.path("other.json")]),
        Action::Use(Purpose::Open, shop.path("other.json")),
    ] {
        assert!(draw.guards(&action), "{action:?}");
        let effects = draw.ask_first(action.clone());
        assert_eq!(stays_open(&effects), same(&action, &QUIT), "{action:?}");
        let then = Action::Draw(Ask::LeaveFor(Some(Box::new(action.clone()))));
        assert!(same(&go_on(&effects), &then), "{action:?}");
    }
    let effects = draw.update(Message::Ask(Ask::Leave), shop.world());
    assert!(question(&effects).is_some_and(|asked| matches!(asked.answers[0].1, Action::Close)));
    assert_eq!(draw.chain(), Some(&square()), "it is still there while the question is open");
    let from_pass = Ask::Use(Target::Edge, PathSource::FromPass("Finish profile".to_owned()), None);
    let effects = draw.update(Message::Ask(from_pass), shop.world());
    assert!(question(&effects).is_some() && edited(&effects).is_none(), "another path than the one drawn");
    assert_eq!(draw.chain(), Some(&square()));
}

#[test]
fn a_sheet_that_is_left_changes_nothing_of_the_job_and_goes_on_as_asked() {
    let (shop, mut draw) = changed();
    let effects = draw.update(Message::Ask(Ask::LeaveFor(Some(Box::new(QUIT)))), shop.world());
    assert!(matches!(&effects[..], [crate::app::room::Effect::Act(then)] if same(then, &QUIT)));
    assert!(!draw.is_open() && draw.unsaved().is_none());
    draw.update(Message::Open(Target::Outline), shop.world());
    assert_ne!(draw.chain(), Some(&square()), "the next sheet shows the job's own path");
}

#[test]
fn a_path_that_is_taken_back_on_the_sheet_is_no_longer_unsaved() {
    let (shop, mut draw) = changed();
    draw.update(Message::Run(OnSheet::Undo), shop.world());
    assert_eq!(draw.unsaved(), None);
    draw.update(Message::Run(OnSheet::Redo), shop.world());
    assert_eq!((draw.unsaved(), draw.chain()), (Some("outline"), Some(&square())));
}

#[test]
fn a_path_that_is_used_goes_into_the_job_alone() {
    let (shop, mut draw) = changed();
    let vertices = PathSource::Vertices(square().vertices().to_vec());
    let effects = draw.update(Message::Ask(Ask::Use(Target::Outline, vertices.clone(), None)), shop.world());
    let job = edited(&effects).expect("the job is checked anew").clone();
    assert_eq!(job.outline, Some(vertices));
    let outline = shop.desk.job().outline.clone();
    assert_eq!(blockwright_core::job::Job { outline, ..job }, *shop.desk.job(), "nothing else");
    assert!(!draw.is_open());
}

#[test]
fn an_edge_that_is_drawn_keeps_the_top_and_thickness_that_the_job_states() {
    let (shop, mut draw) = (Shop::open(SAMPLE), Draw::default());
    let vertices = PathSource::Vertices(square().vertices().to_vec());
    let ask = Ask::Use(Target::Edge, vertices.clone(), Some([5.0, 5.0]));
    let effects = draw.update(Message::Ask(ask), shop.world());
    let (before, after) = (shop.desk.job(), edited(&effects).expect("the job is checked anew"));
    let blanks = [before, after].map(|job| job.blank.as_ref().expect("a blank"));
    assert_eq!(blanks.map(|blank| (blank.top, blank.thickness))[0], (blanks[1].top, blanks[1].thickness));
    assert_eq!((&blanks[1].edge, blanks[1].at), (&vertices, None));
}
