//! The program that is shown, made ready for the job's control.

use crate::app::number;
use blockwright_core::job::Job;
use blockwright_core::program::Settings;
use blockwright_core::rewrite::ready::{self, ReadyOptions};
use blockwright_core::task::Task;
use eframe::egui::{Grid, Ui};

use super::super::act::{Action, theme};
use super::super::panel::words::quiet;
use super::super::program::Texts;
use super::made::Made;
use super::maker::Maker;
use super::subject::Subject;
use super::subject_words;
use super::target::Target;
use super::work::Failed;
use crate::files::Product;

/// What is asked.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::app) struct Asked {
    options: ReadyOptions,
    settings: Settings,
}

/// A program being made ready.
pub(in crate::app) type ReadyDialog = Maker<Asked>;

/// Ready with the program's own number, or the first the control takes.
pub(super) fn new(subject: Subject, job: &Job) -> ReadyDialog {
    let control = job.control.as_ref();
    let range = control.and_then(|control| control.program_numbers.clone());
    let number = subject.number.or_else(|| Some(range.map_or(1, |range| *range.start())));
    let options = ReadyOptions::for_control(number, control);
    let settings = subject.settings.clone();
    let target = Target::new(Product::Program, &subject.beside("ready"));
    Maker::new(subject, Asked { options, settings }, make, target)
}

fn make(asked: &Asked, text: &[u8], task: Task<'_>) -> Result<Made, Failed> {
    let made = ready::make(text, &asked.options, &asked.settings, task)?;
    let number = made.number.map_or("without a program number".to_owned(), |number| format!("as O{number}"));
    let mut notes = made.notes;
    if made.text == text {
        notes.push("It fits as it is: nothing was changed.".to_owned());
    }
    Ok(Made {
        words: format!("Read back: same motion, {number}."),
        number: made.number,
        text: made.text.into(),
        notes,
    })
}

impl ReadyDialog {
    /// The window's contents.
    pub(in crate::app) fn contents(&mut self, ui: &mut Ui, programs: Texts<'_>, actions: &mut Vec<Action>) {
        self.follow(ui, programs);
        subject_words(ui, &self.subject);
        ui.label(quiet(stated(&self.asked.options), &theme(ui.ctx())));
        Grid::new("ready").num_columns(2).spacing([16.0, 6.0]).show(ui, |ui| {
            let label = ui.label("Program number");
            let number = self.asked.options.number.get_or_insert(1);
            let style = number::Style::whole(0..=99_999_999).after("O");
            number::field(ui, number, style).labelled_by(label.id);
            ui.end_row();
        });
        ui.separator();
        self.show(ui, actions);
    }
}

/// What the job states of its control, in a sentence.
fn stated(options: &ReadyOptions) -> String {
    let parts: Vec<String> = [
        options.range.as_ref().map(|range| format!("numbers {} to {}", range.start(), range.end())),
        options.line_end.map(|_| "line ends".to_owned()),
        options.longest_line.map(|longest| format!("lines of at most {longest} characters")),
        options.characters.as_ref().map(|_| "allowed characters".to_owned()),
        options.sequence.map(|[first, step]| format!("N words from {first} by {step}")),
    ]
    .into_iter()
    .flatten()
    .collect();
    if parts.is_empty() {
        "The job says nothing about its control, so only the number can be changed.".to_owned()
    } else {
        format!(
            "For the control as the job gives it: {}. The words that move the machine stay.",
            parts.join(", ")
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_job_states_is_told() {
        assert!(stated(&ReadyOptions::default()).contains("says nothing"));
        let options = ReadyOptions {
            range: Some(1..=9999),
            longest_line: Some(60),
            sequence: Some([10, 5]),
            ..ReadyOptions::default()
        };
        let words = stated(&options);
        assert!(words.contains("numbers 1 to 9999, lines of at most 60 characters, N words from 10 by 5."));
    }
}
