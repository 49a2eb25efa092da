//! The air pass of the program that is shown.

use blockwright_core::job::Job;
use blockwright_core::program::Settings;
use blockwright_core::rewrite::air::{self, AirOptions, Numbering};
use blockwright_core::task::Task;
use eframe::egui::{DragValue, Grid, Ui};

use super::super::act::{Action, theme};
use super::super::dialog::length_row;
use super::super::panel::words::quiet;
use super::super::program::Programs;
use super::made::Made;
use super::maker::Maker;
use super::subject::Subject;
use super::subject_words;
use super::target::Target;
use super::work::Failed;
use crate::rewrite::Product;

/// The height above the top that is offered: 0.020 in, 0.5 mm (common practice, no source).
const USUAL: [f64; 2] = [0.020, 0.5];

/// What is asked.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::app) struct Asked {
    options: AirOptions,
    settings: Settings,
    name: String,
    /// The number that is free; offered as long as no other is typed.
    free: Option<u32>,
}

/// An air pass being made.
pub(in crate::app) type AirDialog = Maker<Asked>;

/// An air pass above the blank's top, as the zero of the pass has it.
pub(super) fn new(subject: Subject, job: &Job) -> AirDialog {
    let zero = job.passes.get(subject.pass).map_or(0.0, |pass| pass.zero.origin[2]);
    let top = job.blank.as_ref().map_or(0.0, |blank| blank.top - zero);
    let [inch, mm] = USUAL;
    let above = subject.units().pick(inch, mm);
    let options = AirOptions { taken: subject.taken.clone(), ..AirOptions::for_job(top, above, job, zero) };
    let free = subject.number.and_then(|number| options.free(number));
    let (settings, name) = (subject.settings.clone(), subject.name().to_owned());
    let target = Target::new(Product::AirPass, &subject.beside("air"));
    Maker::new(subject, Asked { options, settings, name, free }, make, target)
}

fn make(asked: &Asked, text: &[u8], task: Task<'_>) -> Result<Made, Failed> {
    let lifted = air::lift(text, &asked.name, &asked.options, &asked.settings, task)?;
    let number = lifted.number.map_or("no program number".to_owned(), |number| format!("O{number}"));
    let fine = |length| asked.settings.units.fine_with_unit(length);
    Ok(Made {
        words: format!(
            "Lowest Z {}, lifted by {}, {number}. Read back and proven.",
            fine(lifted.lowest),
            fine(lifted.by)
        ),
        text: lifted.text.into(),
        notes: lifted.notes,
    })
}

impl AirDialog {
    /// The window's contents.
    pub(in crate::app) fn contents(&mut self, ui: &mut Ui, programs: &Programs, actions: &mut Vec<Action>) {
        self.follow(ui, programs);
        subject_words(ui, &self.subject);
        ui.label(quiet(
            "The same motions, lifted so that the tool walks round above the block. Only heights change.",
            &theme(ui.ctx()),
        ));
        let units = self.subject.units();
        let Asked { options, free, .. } = &mut self.asked;
        Grid::new("air pass").num_columns(2).spacing([16.0, 6.0]).show(ui, |ui| {
            length_row(ui, "Height above the top", &mut options.above, units);
            length_row(ui, "Top, in the program's own Z", &mut options.top, units);
            number_row(ui, &mut options.number, *free);
        });
        ui.checkbox(&mut options.starts_above, "The tool stands above that height when the program starts")
            .on_hover_text(
                "Moves in X and Y before the first Z are then left as they are instead of refused",
            );
        ui.separator();
        self.show(ui, actions);
        ui.label(quiet(
            "Take it out of the control before the real run. \"Compare with…\" proves that a file is the real program \
             again.",
            &theme(ui.ctx()),
        ));
    }
}

fn number_row(ui: &mut Ui, numbering: &mut Numbering, free: Option<u32>) {
    let now = match (*numbering, free) {
        (Numbering::As(number), _) => Some(number),
        (Numbering::Free, free) => free,
    };
    let Some(mut number) = now else {
        ui.label("Program number");
        ui.horizontal(|ui| {
            ui.label("none, as in the program");
            if ui.button("Give it one").clicked() {
                *numbering = Numbering::As(1);
            }
        });
        ui.end_row();
        return;
    };
    let label = ui.label("Program number");
    let field = ui.add(DragValue::new(&mut number).speed(0.1).prefix("O")).labelled_by(label.id);
    if field.changed() {
        *numbering = if free == Some(number) { Numbering::Free } else { Numbering::As(number) };
    }
    ui.end_row();
}
