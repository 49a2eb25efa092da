//! The air pass of the program that is shown.

use std::path::PathBuf;

use crate::app::number;
use blockwright_core::job::Job;
use blockwright_core::program::Settings;
use blockwright_core::rewrite::air::{self, AirOptions, Numbering};
use blockwright_core::task::Task;
use eframe::egui::{Grid, Ui};

use super::super::act::{Action, theme};
use super::super::dialog::length_row;
use super::super::panel::words::quiet;
use super::super::program::Texts;
use super::made::Made;
use super::maker::Maker;
use super::subject::Subject;
use super::subject_words;
use super::target::Target;
use super::work::Failed;
use crate::files::Product;
use crate::numbers;

/// The height above the top that is offered: 0.020 in, 0.5 mm (common practice, no source).
const USUAL: [f64; 2] = [0.020, 0.5];

/// What is asked.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::app) struct Asked {
    options: AirOptions,
    settings: Settings,
    name: String,
    /// Where the program lies, and the files beside it that its number must not be that of.
    place: PathBuf,
    sources: Vec<PathBuf>,
    target: PathBuf,
}

/// An air pass being made.
pub(in crate::app) type AirDialog = Maker<Asked>;

/// An air pass above the blank and the clamps, as the passes have them that run the program.
pub(super) fn new(subject: Subject, job: &Job) -> AirDialog {
    let [inch, mm] = USUAL;
    let above = subject.units().pick(inch, mm);
    let passes = subject.runs.iter().filter_map(|pass| job.passes.get(*pass));
    let options = AirOptions::for_job(above, job, passes);
    let top = options.standing.iter().any(|standing| standing.block.is_none()).then_some(0.0);
    let options = AirOptions { top, taken: subject.taken.clone(), ..options };
    let target = subject.beside("air");
    let asked = Asked {
        options,
        settings: subject.settings.clone(),
        name: subject.name().to_owned(),
        place: subject.place(),
        sources: subject.reads().paths().to_vec(),
        target: target.clone(),
    };
    Maker::new(subject, asked, make, Target::new(Product::AirPass, &target))
}

fn make(asked: &Asked, text: &[u8], task: Task<'_>) -> Result<Made, Failed> {
    let mut options = asked.options.clone();
    options.taken.extend(numbers::beside(&asked.place, &asked.sources, &asked.target, &asked.settings));
    let lifted = air::lift(text, &asked.name, &options, &asked.settings, task)?;
    let number = lifted.number.map_or("no program number".to_owned(), |number| format!("O{number}"));
    let fine = |length| asked.settings.units.fine_with_unit(length);
    let mut notes = lifted.cautions;
    notes.extend(lifted.notes);
    Ok(Made {
        words: format!(
            "Lowest Z {}, above {} at Z {}; lifted by {}, {number}. Read back: same motion, only Z is higher.",
            fine(lifted.lowest),
            lifted.over.what,
            fine(lifted.over.top),
            fine(lifted.by)
        ),
        number: lifted.number,
        text: lifted.text.into(),
        notes,
    })
}

impl AirDialog {
    /// The window's contents.
    pub(in crate::app) fn contents(&mut self, ui: &mut Ui, programs: Texts<'_>, actions: &mut Vec<Action>) {
        self.follow(ui, programs);
        subject_words(ui, &self.subject);
        ui.label(quiet(
            "The same motions, lifted so that the tool walks around above the block and above every clamp area that it \
             comes to. Only heights change.",
            &theme(ui.ctx()),
        ));
        let units = self.subject.units();
        let (made, own) = (self.number, self.subject.number);
        let options = &mut self.asked.options;
        let free = made.or_else(|| own.and_then(|number| options.free(number)));
        Grid::new("air pass").num_columns(2).spacing([16.0, 6.0]).show(ui, |ui| {
            length_row(ui, "Height above block and clamps", &mut options.above, units);
            if let Some(top) = &mut options.top {
                length_row(ui, "Top of the block, in the program's own Z", top, units);
            }
            number_row(ui, &mut options.number, free);
        });
        ui.separator();
        self.show(ui, actions);
        ui.label(quiet(
            "\"Compare with…\" tells afterwards whether a file is the real program again.",
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
            if ui.button("Give it a number").clicked() {
                *numbering = Numbering::As(1);
            }
        });
        ui.end_row();
        return;
    };
    let label = ui.label("Program number");
    let style = number::Style::whole(0..=99_999_999).after("O");
    let field = number::field(ui, &mut number, style).labelled_by(label.id);
    if field.changed() {
        *numbering = if free == Some(number) { Numbering::Free } else { Numbering::As(number) };
    }
    ui.end_row();
}
