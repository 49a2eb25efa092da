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
        (true, false) => "Go on",
        (false, true) => "Quit without saving",
        (false, false) => "Go on without saving",
    };
    let mut answers = vec![("Go back".to_owned(), Action::Close)];
    if job {
        answers.push(("Save the job…".to_owned(), Action::Do(Command::SaveJob)));
    }
    answers.push((go_on.to_owned(), Action::Anyway(Box::new(action))));
    Question { title: title.to_owned(), words, answers }
}
