//! The control and the machine of a job as rows of a grid.

use blockwright_core::control::{
    ArcCenters, CallCount, Control, DwellUnit, HomeAxes, Offset, PassedWord, PlainNumbers, SYSTEMS,
    ToolChange, UnitWords,
};
use blockwright_core::job::{Job, Machine, Travel};
use blockwright_core::units::Units;
use eframe::egui::{ComboBox, Ui};

use super::edit::field;
use crate::app::number::{self, Style};

/// What is not given.
const OPEN: &str = "not given";

/// The machine: what it can do.
pub(super) fn machine_rows(ui: &mut Ui, job: &mut Job) {
    let units = job.units;
    let mut machine = job.machine.clone().unwrap_or_default();
    rapid_row(ui, &mut machine, units);
    number_row(
        ui,
        "Highest spindle speed",
        &mut machine.spindle_max,
        4000.0,
        Style::plain().before(" rev/min"),
    );
    number_row(
        ui,
        "Spindle power",
        &mut machine.power,
        units.pick(1.5, 1.1),
        Style::plain().before(if units == Units::Inch { " hp" } else { " kW" }),
    );
    travel_rows(ui, &mut machine, units);
    job.machine = (machine != Machine::default()).then_some(machine);
}

/// How fast a rapid is.
pub(super) fn rapid_row(ui: &mut Ui, machine: &mut Machine, units: Units) {
    number_row(
        ui,
        "Rapid speed",
        &mut machine.rapid,
        units.pick(100.0, 2500.0),
        Style::length(units).before(format!(" {}/min", number::told(ui.ctx(), units).short())),
    );
}

/// Lowest and highest of each axis.
pub(super) fn travel_rows(ui: &mut Ui, machine: &mut Machine, units: Units) {
    let mut travel = machine.travel.unwrap_or_default();
    let reach = units.pick(10.0, 250.0);
    for (axis, range) in [("X", &mut travel.x), ("Y", &mut travel.y), ("Z", &mut travel.z)] {
        let name = format!("Travel in {axis}");
        let mut stated = range.is_some();
        ui.checkbox(&mut stated, name.as_str());
        if stated {
            let [low, high] = range.get_or_insert([-reach, reach]);
            ui.horizontal(|ui| {
                for (end, value) in [("from", &mut *low), ("to", &mut *high)] {
                    ui.label(end);
                    field(ui, value, units).accessible_name(format!("{name}, {end}"));
                }
            });
        } else {
            *range = None;
            ui.label(OPEN);
        }
        ui.end_row();
    }
    machine.travel = (travel != Travel::default()).then_some(travel);
}

/// The control: what it holds in its tables and how it reads.
pub(super) fn control_rows(ui: &mut Ui, job: &mut Job) {
    let units = job.units;
    let mut control = job.control.clone().unwrap_or_default();
    place_row(ui, "Machine home (G28)", &mut control.home, units);
    place_row(ui, "Second machine home (G30)", &mut control.second_home, units);
    choice_row(
        ui,
        "Axes that go home",
        &mut control.home_axes,
        &[("all", HomeAxes::All), ("those named on the line", HomeAxes::Named)],
    );
    for index in 0..SYSTEMS.len() {
        work_offset_row(ui, index, &mut control, units);
    }
    unit_words_row(ui, &mut control);
    choice_row(
        ui,
        "Changes the tool",
        &mut control.tool_change,
        &[("M6", ToolChange::M6), ("the T word itself", ToolChange::T)],
    );
    subprograms_row(ui, &mut control);
    block_delete_row(ui, &mut control);
    semicolon_row(ui, &mut control);
    dwell_row(ui, &mut control);
    for word in control.moves_nothing.clone() {
        passed_row(ui, word, &mut control);
    }
    choice_row(
        ui,
        "A number without a point is",
        &mut control.plain_numbers,
        &[("whole units", PlainNumbers::Units), ("least increments", PlainNumbers::Increments)],
    );
    choice_row(
        ui,
        "I, J, K of an arc are from",
        &mut control.arc_centers,
        &[("its start", ArcCenters::Incremental), ("the program zero", ArcCenters::Absolute)],
    );
    put(job, control);
}

/// Keeps a control only while it says something.
pub(super) fn put(job: &mut Job, control: Control) {
    job.control = (control != Control::default()).then_some(control);
}

pub(super) fn work_offset_row(ui: &mut Ui, index: usize, control: &mut Control, units: Units) {
    let Some(system) = SYSTEMS.get(index) else { return };
    if let Some(offset) = control.work_offsets.get_mut(index) {
        place_row(ui, &format!("Work offset {system}"), offset, units);
    }
}

pub(super) fn unit_words_row(ui: &mut Ui, control: &mut Control) {
    let words = [("G20 and G21", UnitWords::G20G21), ("G70 and G71", UnitWords::G70G71)];
    choice_row(ui, "Words for inch and millimeter", &mut control.unit_words, &words);
}

pub(super) fn subprograms_row(ui: &mut Ui, control: &mut Control) {
    let counts = [("in L: M98 P1002 L3", CallCount::InL), ("in P: M98 P31002", CallCount::InP)];
    choice_row(ui, "Repeats of M98", &mut control.subprograms, &counts);
}

pub(super) fn block_delete_row(ui: &mut Ui, control: &mut Control) {
    let switch = [("on: lines with / are skipped", true), ("off: they are run", false)];
    choice_row(ui, "Block delete switch", &mut control.block_delete, &switch);
}

pub(super) fn dwell_row(ui: &mut Ui, control: &mut Control) {
    let counts = [("seconds", DwellUnit::Seconds), ("milliseconds", DwellUnit::Milliseconds)];
    choice_row(ui, "G4 P is in", &mut control.dwell, &counts);
}

/// A word that the shop knows to leave the path alone.
pub(super) fn passed_row(ui: &mut Ui, word: PassedWord, control: &mut Control) {
    let mut moves_nothing = control.moves_nothing.contains(&word);
    ui.label(format!("{word} on this control"));
    if ui.checkbox(&mut moves_nothing, format!("{word} moves nothing")).changed() {
        control.moves_nothing.retain(|passed| *passed != word);
        if moves_nothing {
            control.moves_nothing.push(word);
        }
    }
    ui.end_row();
}

pub(super) fn semicolon_row(ui: &mut Ui, control: &mut Control) {
    let opens = [("opens a comment", true), ("is not taken", false)];
    choice_row(ui, "A semicolon", &mut control.semicolon_comments, &opens);
}

/// A row of a table of offsets.
pub(super) fn offset_row(ui: &mut Ui, name: &str, table: &mut Vec<Offset>, row: u32, units: Units) {
    let mut value = table.iter().find(|(known, _)| *known == row).map(|(_, value)| *value);
    super::maybe(ui, name, &mut value, 0.0, units);
    table.retain(|(known, _)| *known != row);
    if let Some(value) = value {
        table.push((row, value));
        table.sort_by_key(|(row, _)| *row);
    }
}

/// A place of the machine that may be missing.
pub(super) fn place_row(ui: &mut Ui, name: &str, place: &mut Option<[f64; 3]>, units: Units) {
    let mut stated = place.is_some();
    ui.checkbox(&mut stated, name);
    if stated {
        let place = place.get_or_insert([0.0; 3]);
        ui.horizontal(|ui| {
            for (axis, value) in ["X", "Y", "Z"].into_iter().zip(place) {
                ui.label(axis);
                field(ui, value, units).accessible_name(format!("{name}, {axis}"));
            }
        });
    } else {
        *place = None;
        ui.label(OPEN);
    }
    ui.end_row();
}

fn number_row(ui: &mut Ui, name: &str, value: &mut Option<f64>, usual: f64, style: Style) {
    let mut stated = value.is_some();
    ui.checkbox(&mut stated, name);
    if stated {
        let number = value.get_or_insert(usual);
        let style = style.speed(usual / 100.0).decimals(3).within(1e-3..=1e6);
        number::field(ui, number, style).accessible_name(name);
    } else {
        *value = None;
        ui.label(OPEN);
    }
    ui.end_row();
}

fn choice_row<T: Copy + PartialEq>(ui: &mut Ui, name: &str, value: &mut Option<T>, choices: &[(&str, T)]) {
    ui.label(name);
    let now = choices.iter().find(|(_, choice)| Some(*choice) == *value).map_or(OPEN, |(words, _)| words);
    let shown = ComboBox::from_id_salt(name).width(220.0).selected_text(now).show_ui(ui, |ui| {
        if ui.selectable_label(value.is_none(), OPEN).clicked() {
            *value = None;
        }
        for (words, choice) in choices {
            if ui.selectable_label(*value == Some(*choice), *words).clicked() {
                *value = Some(*choice);
            }
        }
    });
    shown.response.accessible_name(name);
    ui.end_row();
}
