//! The undercut passes: the line each leaves, the step that would leave a wanted land, and the wall over pins.

use std::sync::Arc;

use crate::app::number::{self, Style};
use blockwright_core::geometry::Range;
use blockwright_core::proof::Proof;
use blockwright_core::task::Task;
use blockwright_core::units::Told;
use blockwright_core::view::Theme;
use blockwright_core::wall::pins::Pins;
use blockwright_core::wall::{UndercutRow, UndercutTable, error_of};
use eframe::egui::{Grid, Label, RichText, ScrollArea, Ui, vec2};

use super::words::quiet;
use crate::app::act::Action;
use crate::app::canvas::Of;
use crate::app::centre::Ask;
use crate::app::desk::Desk;
use crate::app::later::Later;
use crate::app::look::Look;
use crate::theme::{QUIET, bold, colour};

/// Heads of the table's columns; the last two say what an error moves the line by.
const HEADS: [&str; 8] = [
    "\nPass",
    "top of\nundercut Z",
    "steps\nin by",
    "top\nwanted",
    "step\nwanted",
    "diameter\nto enter",
    "step",
    "diameter",
];
/// The name of a pass is cut off when it is longer than this, points.
const NAME: f32 = 132.0;

/// Of what a table was made.
#[derive(Debug, Clone, PartialEq)]
struct TableKey {
    of: Of,
    land: f64,
    station: f64,
}

/// The table, and the width that pins are laid beside.
#[derive(Debug)]
struct Measured {
    table: UndercutTable,
    root: Option<f64>,
}

/// The table of the undercut passes, made beside the window.
#[derive(Debug, Default)]
pub(in crate::app) struct Table {
    later: Later<TableKey, Option<Measured>>,
}

impl Table {
    pub(in crate::app) fn show(
        &mut self,
        ui: &mut Ui,
        (desk, look): (&Desk, &Look),
        theme: &Theme,
        actions: &mut Vec<Action>,
    ) {
        let Some(proof) = desk.whole_proof() else {
            ui.label(quiet("The undercut passes are measured with the check.", theme));
            return;
        };
        let undercut = proof.wall().is_some_and(|wall| wall.is_undercut());
        if !undercut || proof.wall.is_none() {
            let words = "No pass undercuts the wall. It takes a tool with the dovetail (undercut) form, and \
                        an outline and a blank in the job.";
            ui.label(quiet(words, theme));
            return;
        }
        let units = proof.told;
        let land = look.centre.land.unwrap_or_else(|| units.of().pick(0.03, 0.75));
        let key = TableKey { of: Of(Arc::clone(proof)), land, station: look.centre.station_on(proof) };
        let of = key.clone();
        self.later.take();
        self.later.want(ui.ctx(), "undercut", key, move |cancel| measure(&of, Task::quiet(cancel)));
        ScrollArea::both().id_salt("undercut").auto_shrink(false).show(ui, |ui| {
            ui.spacing_mut().item_spacing = vec2(8.0, 4.0);
            let measured = self.later.made().and_then(|(_, measured)| measured.as_ref());
            land_row(ui, land, measured, units, theme, actions);
            let Some(Measured { table, root }) = measured else { return };
            rows(ui, proof, table, theme);
            ui.separator();
            pins(ui, (proof, look), (table, *root), theme, actions);
        });
    }
}

fn measure(key: &TableKey, task: Task<'_>) -> Option<Measured> {
    let proof = &key.of.0;
    let wall = proof.wall()?;
    let table = wall.undercut_table(proof.wall.as_ref()?, key.land, task).ok()?;
    Some(Measured { table, root: wall.root_across(key.station) })
}

fn land_row(
    ui: &mut Ui,
    mut land: f64,
    measured: Option<&Measured>,
    units: Told,
    theme: &Theme,
    actions: &mut Vec<Action>,
) {
    ui.horizontal(|ui| {
        let label = ui.label("Land wanted");
        let style = Style::length(units).within(0.0..=units.pick(100.0, 2500.0));
        if number::field(ui, &mut land, style).labelled_by(label.id).changed() {
            actions.push(Ask::Land(land).into());
        }
        let Some(Measured { table, .. }) = measured else { return };
        let from = match (&table.rounding_lower, table.upper) {
            (Some(lower), _) => {
                format!("below the edge rounding, which starts at Z {}", range(units, lower))
            }
            (None, Some(top)) => format!("below the top, Z {}: no pass rounds the edge", units.fine(top)),
            (None, None) => "no wall is left to measure a land from".to_owned(),
        };
        ui.label(quiet(from, theme));
    });
}

/// Least to most, or the one value where both are written the same.
fn range(units: Told, range: &Range) -> String {
    let (least, most) = (units.fine(range.least), units.fine(range.most));
    if least == most { least } else { format!("{least} to {most}") }
}

fn rows(ui: &mut Ui, proof: &Proof, table: &UndercutTable, theme: &Theme) {
    let units = proof.told;
    let small = units.fine(error_of(units.of()));
    Grid::new("undercut rows").num_columns(HEADS.len()).min_row_height(17.0).spacing([11.0, 3.0]).show(
        ui,
        |ui| {
            ui.spacing_mut().interact_size.y = 15.0;
            for (index, head) in HEADS.iter().enumerate() {
                let head = if index < 6 { (*head).to_owned() } else { format!("{small} of\n{head}") };
                ui.label(quiet(head, theme));
            }
            ui.end_row();
            for row in &table.rows {
                let name = proof.job.passes.get(row.pass).map_or("", |pass| pass.name.as_str());
                let name = RichText::new(format!("{}  {name}", row.pass + 1)).size(QUIET);
                ui.scope(|ui| {
                    ui.set_max_width(NAME);
                    ui.add(Label::new(name).truncate());
                });
                for value in values(row, units) {
                    ui.label(RichText::new(value).size(QUIET));
                }
                ui.end_row();
            }
        },
    );
    if let Some(row) = table.rows.first() {
        let moved = units.fine(row.effect.touch_off * error_of(units.of()));
        let words = format!(
            "A touch-off error of {small} moves the top of undercut by {moved}; for errors of step and \
            diameter see the table."
        );
        ui.label(quiet(words, theme));
    }
    for row in &table.rows {
        if let Some(words) = trouble(row) {
            let words = format!("Pass {}: {words}", row.pass + 1);
            ui.label(RichText::new(words).size(QUIET).color(colour(theme.none)));
        }
    }
}

fn values(row: &UndercutRow, units: Told) -> [String; 7] {
    let length = |value: Option<f64>| value.map(|value| units.fine(value)).unwrap_or_default();
    let over = |value: &Option<Range>| value.as_ref().map(|value| range(units, value)).unwrap_or_default();
    let wanted = row.wanted.as_ref();
    let moved = |effect: f64| units.fine(effect * error_of(units.of()));
    [
        over(&row.finished_line),
        over(&row.step),
        length(wanted.map(|wanted| wanted.line)),
        length(wanted.map(|wanted| wanted.step)),
        length(wanted.map(|wanted| wanted.stated_diameter)),
        moved(row.effect.step),
        moved(row.effect.diameter),
    ]
}

/// What stands in the way of the wanted land.
fn trouble(row: &UndercutRow) -> Option<&'static str> {
    match &row.wanted {
        None => Some("its tip runs no lower than the top of undercut wanted, so no step gives it."),
        Some(wanted) if wanted.past_cone => {
            Some("the top of undercut wanted is above the cutter's cone: its neck would run into the wall.")
        }
        Some(_) => None,
    }
}

/// What is read over two pins that lie against the wall.
fn pins(
    ui: &mut Ui,
    (proof, look): (&Proof, &Look),
    (table, across): (&UndercutTable, Option<f64>),
    theme: &Theme,
    actions: &mut Vec<Action>,
) {
    let units = proof.told;
    let Some(row) = table.rows.last() else { return };
    let mut diameter = look.centre.pin.unwrap_or_else(|| units.of().pick(0.25, 6.0));
    let typed = look.centre.root;
    let mut root = typed.or(across).unwrap_or_default();
    ui.horizontal(|ui| {
        let label = ui.label("Over pins of");
        let style = Style::length(units).within(0.0..=units.pick(100.0, 2500.0));
        let pin = number::field(ui, &mut diameter, style.clone()).labelled_by(label.id);
        let label = ui.label("width at the bottom edge");
        let width = number::field(ui, &mut root, style.decimals(4)).labelled_by(label.id);
        if pin.changed() || width.changed() {
            let root = if width.changed() { Some(root) } else { typed };
            actions.push(Ask::Pins(diameter, root).into());
        }
        if typed.is_some() && across.is_some() && ui.button("as cut at the station").clicked() {
            actions.push(Ask::Pins(diameter, None).into());
        }
    });
    if root <= 0.0 || diameter <= 0.0 {
        let words = "Type the width at the bottom edge: the wall across from the station is not parallel.";
        ui.label(quiet(words, theme));
        return;
    }
    let pins = Pins { diameter, undercut: row.angle };
    ui.horizontal(|ui| {
        let reading = format!("reads {}", units.fine_with_unit(pins.over(root)));
        ui.label(RichText::new(reading).font(bold(QUIET)));
        let station = units.plain(look.centre.station_on(proof));
        let from = if typed.is_some() {
            "the width as typed".to_owned()
        } else {
            format!("the width at the bottom edge straight across from station {station}")
        };
        ui.label(quiet(format!("at {} degrees a side, {from}", row.angle), theme));
    });
    if let Some(words) = out_of_reach(proof, row, pins, units) {
        ui.label(RichText::new(words).size(QUIET).color(colour(theme.none)));
    }
    for trap in TRAPS {
        ui.label(quiet(trap, theme));
    }
}

/// Why a pin would not lie against the undercut.
fn out_of_reach(proof: &Proof, row: &UndercutRow, pins: Pins, units: Told) -> Option<String> {
    let (line, blank) = (row.finished_line.as_ref()?, proof.job.blank.as_ref()?);
    let least = line.least - blank.bottom();
    (!pins.touch_below(least)).then(|| {
        format!(
            "A pin this large touches the wall {} above its bottom edge, over the top of undercut at {}: \
            use a smaller one.",
            units.fine(pins.contact_height()),
            units.fine(least),
        )
    })
}

/// What goes wrong with pins.
const TRAPS: [&str; 2] = [
    "The width is that at the bottom edge of the wall, where the pins lie: the narrow one, whatever a table \
    calls it.",
    "The pins must touch both the wall and the face that the block stands on: the corner at the bottom must \
    be sharp.",
];
