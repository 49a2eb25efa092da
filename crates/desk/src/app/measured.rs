//! What was measured on the block after each pass, typed in beside what is expected.

use blockwright_core::job::{Job, Quantity};
use blockwright_core::proof::{Measure, measures};
use blockwright_core::units::Units;
use eframe::egui::{Button, ComboBox, Grid, ScrollArea, Ui};

use super::act::Action;
use super::desk::Desk;
use super::dialog::{Dialog, field};
use super::number;
use super::room::{Effect, Effects, World, nothing_proven};

/// Values being typed in.
#[derive(Debug)]
pub(super) struct MeasuredDialog {
    job: Job,
    all: Vec<Measure>,
    pass: usize,
    /// Where stock left is to be measured besides.
    station: f64,
    length: f64,
}

/// Asks for what was measured.
pub(super) fn ask(world: World<'_>) -> Effects {
    let dialog = MeasuredDialog::new(world.desk, world.look.pass);
    vec![dialog.map_or_else(
        || Effect::tell(nothing_proven()),
        |dialog| Effect::show(Dialog::Measured(Box::new(dialog))),
    )]
}

impl MeasuredDialog {
    /// All that can be measured, and what has been; `None` before the job has been checked.
    fn new(desk: &Desk, pass: usize) -> Option<Self> {
        let proof = desk.whole_proof()?;
        Some(Self {
            job: desk.job().clone(),
            all: measures(proof),
            pass,
            station: 0.0,
            length: proof.outline.as_ref().map_or(0.0, |outline| outline.length()),
        })
    }

    pub(super) fn show(&mut self, ui: &mut Ui, desk: &Desk, actions: &mut Vec<Action>) {
        let units = self.job.units;
        ui.label("Spindle stopped, chips cleared. Tick what you have measured and type it in.");
        self.choose_pass(ui);
        ScrollArea::vertical().max_height(380.0).show(ui, |ui| {
            Grid::new("measured").num_columns(5).spacing([14.0, 6.0]).striped(true).show(ui, |ui| {
                for head in ["What", "Where", "Expected", "Measured", "Off by"] {
                    ui.strong(head);
                }
                ui.end_row();
                let stated = self.job.passes.get(self.pass).map_or(&[][..], |pass| &pass.measured);
                for measure in self.all.iter_mut().filter(|measure| measure.pass == self.pass) {
                    // The check tells what is expected at a place that was added, once the job has it.
                    let waits = measure.expected.is_none()
                        && !stated.iter().any(|one| one.is_of(&measure.with(one.value)));
                    row(ui, measure, waits, units);
                }
            });
            if self.all.iter().all(|measure| measure.pass != self.pass) {
                ui.label("This pass has nothing to measure along the outline.");
            }
        });
        self.another_place(ui, units);
        ui.horizontal(|ui| {
            if ui.button("Save in the job").clicked() {
                let job = self.with_values();
                if job != *desk.job() {
                    actions.push(Action::Edit(Box::new(job)));
                }
                actions.push(Action::Close);
            }
            if ui.button("Cancel").clicked() {
                actions.push(Action::Close);
            }
        });
    }

    fn choose_pass(&mut self, ui: &mut Ui) {
        let title = |index: usize, name: &str| format!("Pass {}: {name}", index + 1);
        let now = self.job.passes.get(self.pass).map_or("", |pass| pass.name.as_str());
        let chosen =
            ComboBox::from_id_salt("measured pass").width(360.0).selected_text(title(self.pass, now));
        let chosen = chosen.show_ui(ui, |ui| {
            for (index, pass) in self.job.passes.iter().enumerate() {
                ui.selectable_value(&mut self.pass, index, title(index, &pass.name));
            }
        });
        chosen.response.accessible_name("Measured after");
    }

    /// Stock left at a station of the person's own choice.
    fn another_place(&mut self, ui: &mut Ui, units: Units) {
        let held = self.job.passes.get(self.pass).is_some_and(|pass| pass.allowance.is_some());
        if !held || self.length <= 0.0 {
            return;
        }
        ui.horizontal(|ui| {
            let label = ui.label("Stock left at another station");
            let style = number::Style::length(units).within(0.0..=self.length);
            number::field(ui, &mut self.station, style).labelled_by(label.id);
            let there = self.all.iter().any(|measure| {
                (measure.pass, measure.what, measure.station)
                    == (self.pass, Quantity::StockLeft, Some(self.station))
            });
            if ui.add_enabled(!there, Button::new("Add the station")).clicked() {
                self.all.push(Measure {
                    pass: self.pass,
                    what: Quantity::StockLeft,
                    station: Some(self.station),
                    at: None,
                    pins: None,
                    expected: None,
                    found: Some(0.0),
                });
            }
        });
    }

    /// The job with what is typed in.
    fn with_values(&self) -> Job {
        let mut job = self.job.clone();
        for (index, pass) in job.passes.iter_mut().enumerate() {
            let of_pass = self.all.iter().filter(|measure| measure.pass == index);
            pass.measured = of_pass.filter_map(|measure| Some(measure.with(measure.found?))).collect();
        }
        job
    }
}

fn row(ui: &mut Ui, measure: &mut Measure, waits: bool, units: Units) {
    let (what, place) = (measure.what_words(units), measure.where_words(units));
    let mut is_measured = measure.found.is_some();
    ui.checkbox(&mut is_measured, &what).accessible_name(format!("{what}, {place}: measured"));
    ui.label(&place);
    ui.label(if waits { "after the check".to_owned() } else { measure.expected_words(units) });
    if is_measured {
        let (least, _) = measure.expected.unwrap_or_default();
        let found = measure.found.get_or_insert(least);
        field(ui, found, units).accessible_name(format!("{what}, {place}"));
    } else {
        measure.found = None;
        ui.label("");
    }
    ui.label(measure.off_words(units));
    ui.end_row();
}
