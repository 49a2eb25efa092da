//! What may stand under the picture, and the table of passes among it.

use blockwright_core::measure::Contact;
use blockwright_core::proof::{PassProof, Proof};
use blockwright_core::tool::Tool;
use blockwright_core::units::clock;
use blockwright_core::view::{Ink, Theme};
use eframe::egui::text::{LayoutJob, TextWrapping};
use eframe::egui::{Button, Rect, Role, ScrollArea, Sense, Ui, WidgetInfo, pos2, vec2};

use super::figures::span;
use super::words::{changed, quiet};
use crate::app::act::{Action, theme};
use crate::app::look::{Look, Tab};
use crate::theme::{colour, plain};

/// Height of a row.
const ROW: f32 = 22.0;

/// Which of them is shown.
pub(in crate::app) fn head(ui: &mut Ui, look: &Look, actions: &mut Vec<Action>) {
    let row = ScrollArea::horizontal().id_salt("tabs").auto_shrink([false, true]);
    row.show(ui, |ui| {
        ui.horizontal(|ui| tabs(ui, look, actions));
    });
}

/// Says that there is no table yet.
pub(in crate::app) fn waiting(ui: &mut Ui) {
    ui.label(quiet("Not checked yet.", &theme(ui.ctx())));
}

/// One line for every pass.
pub(in crate::app) fn passes(ui: &mut Ui, proof: &Proof, look: &Look, actions: &mut Vec<Action>) {
    let theme = theme(ui.ctx());
    let area = ScrollArea::both().id_salt("table").auto_shrink(false);
    area.show(ui, |ui| table(ui, proof, look, &theme, actions));
}

fn tabs(ui: &mut Ui, look: &Look, actions: &mut Vec<Action>) {
    for (tab, name) in [
        (Tab::Strips, "Graphs"),
        (Tab::Passes, "All passes"),
        (Tab::Tools, "Tools"),
        (Tab::Undercut, "Undercut"),
        (Tab::Fit, "Best fit"),
    ] {
        let button = ui.add(Button::selectable(look.tab == tab, name));
        if look.tab == tab && changed(ui, "tab", tab as usize) {
            button.scroll_to_me(None);
        }
        if button.clicked() {
            actions.push(Action::Tab(tab));
        }
    }
}

/// Heads of the table's columns. The first two hold words and take what the others leave, in these parts; the others
/// hold figures and have these widths.
const COLUMNS: [(&str, f32); 7] = [
    ("Pass", 0.58),
    ("Tool", 0.42),
    ("lowest Z", 66.0),
    ("stock left", 114.0),
    ("cut", 114.0),
    ("no contact", 74.0),
    ("time", 58.0),
];
/// Columns of words, and the least that they take together.
const WORDS: usize = 2;
const LEAST_WORDS: f32 = 150.0;

/// How wide each column is in a table this wide.
fn widths(wide: f32) -> [f32; COLUMNS.len()] {
    let figures: f32 = COLUMNS[WORDS..].iter().map(|(_, width)| width).sum();
    let words = (wide - figures).max(LEAST_WORDS);
    let mut widths = COLUMNS.map(|(_, width)| width);
    for part in &mut widths[..WORDS] {
        *part *= words;
    }
    widths
}

fn table(ui: &mut Ui, proof: &Proof, look: &Look, theme: &Theme, actions: &mut Vec<Action>) {
    let widths = widths(ui.available_width());
    let width: f32 = widths.iter().sum();
    let (head, _) = ui.allocate_exact_size(vec2(width, ROW), Sense::hover());
    cells(ui, head, &COLUMNS.map(|(name, _)| name.to_owned()), widths, theme.quiet);
    for (index, pass) in proof.passes.iter().enumerate() {
        let (rect, response) = ui.allocate_exact_size(vec2(width, ROW), Sense::click());
        let values = values(proof, index, pass);
        let picked = look.pass == index;
        response.widget_info(|| {
            WidgetInfo::selected(
                Role::Button,
                true,
                picked,
                format!("Row {}: {}", index + 1, values.join(", ")),
            )
        });
        if response.clicked() {
            actions.push(Action::Pick(index));
        }
        if picked || response.hovered() || response.has_focus() {
            ui.painter().rect_filled(rect, 3.0, colour(theme.accent_soft));
        }
        cells(ui, rect, &values, widths, theme.ink);
        // What is cut off in its column is told whole.
        response.on_hover_text(format!("{}\n{}", values[0], values[1]));
    }
}

fn cells(ui: &Ui, rect: Rect, texts: &[String], widths: [f32; COLUMNS.len()], ink: Ink) {
    let mut left = rect.left();
    for (column, (text, width)) in texts.iter().zip(widths).enumerate() {
        let cell = Rect::from_min_size(pos2(left, rect.top()), vec2(width, ROW));
        let mut job = LayoutJob::simple_singleline(text.clone(), plain(12.0), colour(ink));
        job.wrap = TextWrapping::truncate_at_width(width - 10.0);
        let galley = ui.painter().layout_job(job);
        let x = if column < WORDS { cell.left() + 4.0 } else { cell.right() - 6.0 - galley.size().x };
        ui.painter().galley(pos2(x, cell.center().y - galley.size().y / 2.0), galley, colour(ink));
        left += width;
    }
}

fn values(proof: &Proof, index: usize, pass: &PassProof) -> Vec<String> {
    let units = proof.told;
    let stated = proof.job.passes.get(index);
    let name = stated.map_or("", |stated| stated.name.as_str());
    let tool = stated.and_then(|stated| proof.job.tool(stated.tool)).map(Tool::title).unwrap_or_default();
    let along = pass.along_outline.as_ref();
    let length = |value: Option<f64>| value.map(|value| units.fine(value)).unwrap_or_default();
    vec![
        format!("{}  {name}", index + 1),
        tool,
        length(pass.lowest),
        along.map(|along| span(units, &along.leave)).unwrap_or_default(),
        along.map(|along| span(units, &along.cut)).unwrap_or_default(),
        length(pass.contact_length(Contact::None)),
        pass.seconds.map(clock).unwrap_or_default(),
    ]
}
