//! What would be lost: asked before the window closes or something else is opened.

use super::act::Action;
use super::command::Command;
use super::dialog::{Dialog, Question};
use super::panel::words::sentence_start;
use super::room::{Effect, Effects, ToWindow};
use crate::open::Opened;

/// What of the other rooms is in no file.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Loss {
    /// The job.
    pub(super) job: bool,
    /// A path that is being drawn, by its word.
    pub(super) sheet: Option<&'static str>,
    /// Programs, by their names.
    pub(super) programs: Vec<String>,
    /// The program of the selected pass is among them, and is called this.
    pub(super) picked: Option<String>,
    /// What is not ticked as done at the machine.
    pub(super) to_do: Vec<String>,
}

impl Loss {
    /// Everything that is in no file, each as it is named in a sentence.
    pub(super) fn unsaved(&self) -> Vec<String> {
        let job = self.job.then(|| "the job".to_owned());
        let sheet = self.sheet.map(|word| format!("the {word} on the sheet"));
        job.into_iter().chain(sheet).chain(self.programs.iter().cloned()).collect()
    }

    fn is_none(&self) -> bool {
        self.unsaved().is_empty() && self.to_do.is_empty()
    }
}

/// What a person has said about it.
#[derive(Debug, Default)]
pub(super) struct Guard {
    /// The window is being closed, whatever is lost by it.
    leaving: bool,
    /// What is not saved may be lost by what is being opened.
    agreed: bool,
}

impl Guard {
    /// Whether the window is being closed, whatever is lost by it.
    pub(super) const fn is_leaving(&self) -> bool {
        self.leaving
    }

    /// The window is closed.
    pub(super) fn leave(&mut self) {
        self.leaving = true;
    }

    /// What is not saved may be lost by what is asked for next.
    pub(super) fn agree(&mut self) {
        self.agreed = true;
    }

    /// What has to be asked before this is done; `None` where nothing is lost by it.
    pub(super) fn ask(&mut self, action: &Action, loss: &Loss) -> Option<Effects> {
        self.agreed = false;
        let reload = matches!(action, Action::Do(Command::Reload));
        let lost = if reload { loss.picked.iter().cloned().collect() } else { loss.unsaved() };
        let to_do = if reload { &[][..] } else { &loss.to_do };
        if lost.is_empty() && to_do.is_empty() {
            return None;
        }
        let quits = matches!(action, Action::Do(Command::Quit));
        let job = loss.job && !reload;
        let question = question((&lost, to_do), job, quits, action.clone());
        let stay = quits.then_some(Effect::Window(ToWindow::StayOpen));
        Some(stay.into_iter().chain([Effect::show(Dialog::Question(question))]).collect())
    }

    /// What was opened takes the place of what is on the desk. Reading it took a while, in which that may have been
    /// changed.
    pub(super) fn arrived(&mut self, opened: Box<Opened>, loss: &Loss) -> Effects {
        if std::mem::take(&mut self.agreed) || loss.is_none() {
            return vec![Effect::Open(opened)];
        }
        self.ask(&Action::Opened(opened), loss).unwrap_or_default()
    }
}

fn question((lost, to_do): (&[String], &[String]), job: bool, quits: bool, action: Action) -> Question {
    let names = match lost {
        [one] => one.clone(),
        [some @ .., last] => format!("{} and {last}", some.join(", ")),
        [] => String::new(),
    };
    let have = if lost.len() == 1 { "has been changed and is" } else { "have been changed and are" };
    let mut words = Vec::new();
    if !lost.is_empty() {
        words.push(sentence_start(&format!("{names} {have} not saved.")));
    }
    if !to_do.is_empty() {
        words.push(format!("Not ticked as done at the machine: {}.", to_do.join("; then ")));
    }
    let (words, title) =
        (words.join(" "), if lost.is_empty() { "Not done yet" } else { "Changes that are not saved" });
    let go_on = match (lost.is_empty(), quits) {
        (true, true) => "Quit",
        (true, false) => "Continue",
        (false, true) => "Quit without saving",
        (false, false) => "Continue without saving",
    };
    let mut answers = vec![("Cancel".to_owned(), Action::Close)];
    if job {
        answers.push(("Save the job…".to_owned(), Action::Do(Command::SaveJob)));
    }
    answers.push((go_on.to_owned(), Action::Anyway(Box::new(action))));
    Question { title: title.to_owned(), words, answers }
}

#[cfg(test)]
mod tests {
    use std::path::PathBuf;

    use super::super::testing::{question as asked, same, stays_open};
    use super::*;
    use crate::open::demo_job;

    const QUIT: Action = Action::Do(Command::Quit);

    fn leaving() -> [Action; 4] {
        let elsewhere = vec![PathBuf::from("other.json")];
        [QUIT, Action::Do(Command::OpenDemo), Action::OpenPaths(elsewhere), Action::Restore(0)]
    }

    fn job() -> Loss {
        Loss { job: true, ..Loss::default() }
    }

    fn programs(names: &[&str]) -> Loss {
        Loss { programs: names.iter().map(|name| (*name).to_owned()).collect(), ..Loss::default() }
    }

    fn words(effects: &Effects) -> &str {
        asked(effects).map_or("", |question| question.words.as_str())
    }

    #[test]
    fn whatever_would_be_lost_is_named_and_staying_is_the_first_answer() {
        let sheet = Loss { sheet: Some("outline"), ..Loss::default() };
        let to_do = Loss { to_do: vec!["move the work zero".to_owned()], ..Loss::default() };
        let both = Loss { job: true, ..programs(&["1001.nc", "1002.nc"]) };
        for (loss, told) in [
            (job(), "The job has been changed and is not saved."),
            (sheet, "The outline on the sheet has been changed and is not saved."),
            (programs(&["1001.nc"]), "1001.nc has been changed and is not saved."),
            (both, "The job, 1001.nc and 1002.nc have been changed and are not saved."),
            (to_do, "Not ticked as done at the machine: move the work zero."),
        ] {
            for action in leaving() {
                let effects = Guard::default().ask(&action, &loss).expect("it is asked");
                let question = asked(&effects).expect("a question");
                assert_eq!(question.words, told, "{action:?}");
                assert!(matches!(question.answers[0].1, Action::Close), "{action:?}");
                let last = &question.answers.last().expect("an answer").1;
                assert!(same(last, &Action::Anyway(Box::new(action.clone()))), "{action:?}: {last:?}");
                assert_eq!(stays_open(&effects), same(&action, &QUIT), "{action:?}");
                let saves =
                    question.answers.iter().any(|answer| same(&answer.1, &Action::Do(Command::SaveJob)));
                assert_eq!(saves, loss.job, "{action:?}: the job can be saved from here");
            }
        }
    }

    #[test]
    fn where_nothing_is_lost_nothing_is_asked() {
        for action in leaving() {
            assert!(Guard::default().ask(&action, &Loss::default()).is_none(), "{action:?}");
        }
    }

    #[test]
    fn reading_a_program_again_asks_of_that_program_alone() {
        let reload = Action::Do(Command::Reload);
        let others = Loss { job: true, to_do: vec!["turn it".to_owned()], ..programs(&["1002.nc"]) };
        assert!(Guard::default().ask(&reload, &others).is_none(), "none of it is read again");
        let own = Loss { picked: Some("1002.nc".to_owned()), ..others };
        let effects = Guard::default().ask(&reload, &own).expect("it is asked");
        assert_eq!(words(&effects), "1002.nc has been changed and is not saved.");
    }

    #[test]
    fn what_was_changed_while_a_file_was_read_is_asked_for_when_it_has_come() {
        let opened = || Box::new(demo_job().expect("the demo"));
        let opens = |effects: &Effects| matches!(effects[..], [Effect::Open(_)]);
        let mut guard = Guard::default();
        assert!(opens(&guard.arrived(opened(), &Loss::default())), "nothing is lost by it");
        assert_eq!(words(&guard.arrived(opened(), &job())), "The job has been changed and is not saved.");
        guard.agree();
        assert!(opens(&guard.arrived(opened(), &job())), "agreed before");
        assert!(!opens(&guard.arrived(opened(), &job())), "what was agreed holds once");
        guard.agree();
        assert!(guard.ask(&QUIT, &job()).is_some());
        assert!(!opens(&guard.arrived(opened(), &job())), "another question has been put since");
    }
}
