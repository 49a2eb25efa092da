//! Programs written from the program that is shown, and what differs between it and another.

mod air;
mod compare;
mod made;
mod maker;
mod ready;
mod subject;
mod target;
mod work;

pub(super) use air::AirDialog;
pub(super) use compare::CompareDialog;
pub(super) use ready::ReadyDialog;
pub(super) use work::{Failed, Work};

use eframe::egui::{RichText, Ui};

use super::act::Action;
use super::dialog::Dialog;
use super::program::Texts;
use super::room::{Effect, Effects, World};
use crate::trouble::Trouble;
use subject::Subject;

/// What is to be made of a program, or what it is held against.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Rewriting {
    /// Its air pass.
    Air,
    /// The same, as the control takes it.
    Ready,
    /// Another program beside it.
    Compare,
}

/// Opens its small window.
pub(super) fn open(what: Rewriting, world: World<'_>, programs: Texts<'_>) -> Effects {
    let Some(subject) = Subject::of(world, programs) else {
        let why = Trouble::at("", "The program has not been read yet", "wait a moment and try again");
        return vec![Effect::tell(why)];
    };
    let job = world.desk.job();
    vec![Effect::show(match what {
        Rewriting::Air => Dialog::Air(Box::new(air::new(subject, job))),
        Rewriting::Ready => Dialog::Ready(Box::new(ready::new(subject, job))),
        Rewriting::Compare => Dialog::Compare(Box::new(CompareDialog::new(subject, programs))),
    })]
}

/// Which text is meant, in words.
fn subject_words(ui: &mut Ui, subject: &Subject) {
    let mut words = format!("Of {}, pass {}.", subject.name(), subject.pass + 1);
    if subject.is_edited() {
        words += " It has the edits made here, although they are not saved yet.";
    }
    ui.label(words);
}

/// Why there is nothing; a line that it names can be gone to.
fn failed(ui: &mut Ui, failed: &Failed, pass: usize, actions: &mut Vec<Action>) {
    let ink = ui.visuals().error_fg_color;
    match failed {
        Failed::Stopped => {
            ui.label("Stopped.");
        }
        Failed::Trouble(trouble) => {
            ui.label(RichText::new(trouble.to_string()).color(ink));
        }
        Failed::Refused(refusal) => {
            if let Some(line) = refusal.line {
                let column = refusal.column.map(|column| format!(", column {column}")).unwrap_or_default();
                let link = ui.link(format!("Line {line}{column}"));
                if link.on_hover_text("Show this line of the program").clicked() {
                    go_to(pass, line, actions);
                }
            }
            ui.label(RichText::new(&refusal.message).color(ink));
        }
    }
}

/// Shows a line of a pass's program.
fn go_to(pass: usize, line: u32, actions: &mut Vec<Action>) {
    actions.push(Action::Pick(pass));
    actions.push(Action::Line(line));
}
