//! What stands under the picture: the strips, and tables of passes, tools, undercuts and the fit.

use blockwright_core::measure::Contact;
use blockwright_core::proof::{PassProof, Proof};
use blockwright_core::tool::Tool;
use blockwright_core::units::clock;
use blockwright_core::view::Theme;
use eframe::egui::{Align2, Button, Rect, Role, ScrollArea, Sense, Ui, WidgetInfo, pos2, vec2};

use super::words::{changed, quiet};
use super::{strip, tools, undercut};
use crate::app::act::{Action, theme};
use crate::app::desk::Desk;
use crate::app::fit::FitPanel;
use crate::app::look::{Look, Tab};
use crate::app::strips::Strips;
use crate::theme::{colour, plain};

/// Height of a row.
const ROW: f32 = 22.0;

pub(in crate::app) fn show(
    ui: &mut Ui,
    (desk, look): (&Desk, &Look),
    (strips, undercuts, fit): (&mut Strips, &mut undercut::Table, &mut FitPanel),
    actions: &mut Vec<Action>,
) {
    let colours = theme(ui.ctx());
    let row = ScrollArea::horizontal().id_salt("tabs").auto_shrink([false, true]);
    row.show(ui, |ui| {
        ui.horizontal(|ui| tabs(ui, look, actions));
    });
    if look.tab == Tab::Fit {
        fit.show(ui, desk, actions);
        return;
    }
    if look.tab == Tab::Strips {
        strip::title(ui, look, desk.proof(), actions);
        strips.show(ui, desk, look, actions);
        return;
    }
    let Some(proof) = desk.proof() else {
        ui.label(quiet("Not checked yet.", &colours));
        return;
    };
    ui.spacing_mut().item_spacing.y = 0.0;
    match look.tab {
        Tab::Tools => tools::show(ui, &proof.job, &colours),
        Tab::Undercut => undercuts.show(ui, (desk, look), &colours, actions),
        // Shown above.
        Tab::Strips | Tab::Fit => {}
        Tab::Passes => {
            ScrollArea::both()
                .id_salt("table")
                .auto_shrink(false)
                .show(ui, |ui| table(ui, proof, look, &colours, actions));
        }
    }
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

/// Heads of the table's columns and their widths; the first two hold words, the others numbers.
const COLUMNS: [(&str, f32); 9] = [
    ("Pass", 210.0),
    ("Tool", 150.0),
    ("lowest Z", 76.0),
    ("stock left least", 90.0),
    ("most", 76.0),
    ("cut least", 80.0),
    ("most", 76.0),
    ("no contact", 84.0),
    ("time", 70.0),
];

fn table(ui: &mut Ui, proof: &Proof, look: &Look, theme: &Theme, actions: &mut Vec<Action>) {
    let width: f32 = COLUMNS.iter().map(|(_, width)| width).sum();
    let (head, _) = ui.allocate_exact_size(vec2(width, ROW), Sense::hover());
    cells(ui, head, COLUMNS.iter().map(|(name, _)| (*name).to_owned()), theme.quiet);
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
        cells(ui, rect, values.into_iter(), theme.ink);
    }
}

fn cells(ui: &Ui, rect: Rect, texts: impl Iterator<Item = String>, ink: blockwright_core::view::Ink) {
    let mut left = rect.left();
    for (column, (text, (_, width))) in texts.zip(COLUMNS).enumerate() {
        let cell = Rect::from_min_size(pos2(left, rect.top()), vec2(width, ROW));
        let painter = ui.painter().with_clip_rect(cell.intersect(ui.clip_rect()));
        let (x, anchor) = if column < 2 {
            (cell.left() + 6.0, Align2::LEFT_CENTER)
        } else {
            (cell.right() - 6.0, Align2::RIGHT_CENTER)
        };
        painter.text(pos2(x, cell.center().y), anchor, text, plain(12.0), colour(ink));
        left += width;
    }
}

fn values(proof: &Proof, index: usize, pass: &PassProof) -> Vec<String> {
    let units = proof.job.units;
    let stated = proof.job.passes.get(index);
    let name = stated.map_or("", |stated| stated.name.as_str());
    let tool = stated.and_then(|stated| proof.job.tool(stated.tool)).map(Tool::title).unwrap_or_default();
    let along = pass.along_outline.as_ref();
    let length = |value: Option<f64>| value.map(|value| units.fine(value)).unwrap_or_default();
    vec![
        format!("{}  {name}", index + 1),
        tool,
        length(pass.lowest),
        length(along.map(|along| along.leave.least)),
        length(along.map(|along| along.leave.most)),
        length(along.map(|along| along.cut.least)),
        length(along.map(|along| along.cut.most)),
        length(pass.contact_length(Contact::None)),
        pass.seconds.map(clock).unwrap_or_default(),
    ]
}
