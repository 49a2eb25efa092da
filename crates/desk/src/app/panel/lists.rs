//! The findings, and one line for every pass.

use blockwright_core::finding::{Asks, Finding};
use blockwright_core::measure::Contact;
use blockwright_core::proof::{PassProof, Proof, count_words};
use blockwright_core::tool::Tool;
use blockwright_core::units::clock;
use blockwright_core::view::Theme;
use eframe::egui::{Align2, Button, Rect, Role, ScrollArea, Sense, Ui, WidgetInfo, pos2, vec2};

use super::words::{changed, finding_words, quiet, severity, sign};
use super::{tools, undercut};
use crate::app::act::{Action, theme};
use crate::app::desk::Desk;
use crate::app::fit::FitPanel;
use crate::app::look::{Look, Tab};
use crate::theme::{TYPE, bold, colour, plain};

/// Height of a row.
const ROW: f32 = 22.0;
/// Where the words of a finding begin, from the left.
const MESSAGE: f32 = 68.0;

pub(in crate::app) fn show(
    ui: &mut Ui,
    (desk, look): (&Desk, &Look),
    (undercuts, fit): (&mut undercut::Table, &mut FitPanel),
    actions: &mut Vec<Action>,
) {
    let colours = theme(ui.ctx());
    let found = desk.whole_proof().map_or_else(|| "0".to_owned(), |proof| count_words(proof));
    let row = ScrollArea::horizontal().id_salt("tabs").auto_shrink([false, true]);
    row.show(ui, |ui| {
        ui.horizontal(|ui| tabs(ui, look, &found, actions));
    });
    if look.tab == Tab::Fit {
        fit.show(ui, desk, actions);
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
        Tab::Findings if desk.is_sketch() => {
            ui.label(quiet("Only the paths so far, not checked yet.", &colours));
        }
        Tab::Findings if desk.is_rough() => {
            ui.label(quiet("Quick preview, not checked yet.", &colours));
        }
        Tab::Findings if proof.findings.is_empty() => {
            ui.label(quiet("No findings.", &colours));
        }
        Tab::Findings => {
            ScrollArea::vertical().id_salt("findings").auto_shrink(false).show(ui, |ui| {
                for (index, of) in proof.findings.iter().enumerate() {
                    finding(ui, index, of, look.finding == Some(index), &colours, actions);
                }
            });
        }
        // Shown above.
        Tab::Fit => {}
        Tab::Passes => {
            ScrollArea::both()
                .id_salt("table")
                .auto_shrink(false)
                .show(ui, |ui| table(ui, proof, look, &colours, actions));
        }
    }
}

fn tabs(ui: &mut Ui, look: &Look, found: &str, actions: &mut Vec<Action>) {
    let findings = format!("Findings ({found})");
    for (tab, name) in [
        (Tab::Findings, findings.as_str()),
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

fn finding(
    ui: &mut Ui,
    index: usize,
    finding: &Finding,
    picked: bool,
    theme: &Theme,
    actions: &mut Vec<Action>,
) {
    let (_, word) = severity(finding.severity, theme);
    let text = finding_words(finding);
    let width = ui.available_width();
    let asks = asked(finding);
    let room = if asks.is_some() { ASK + 8.0 } else { 0.0 };
    let galley =
        ui.painter().layout(text.clone(), plain(TYPE), colour(theme.ink), (width - MESSAGE - room).max(ROW));
    let height = ROW.max(galley.size().y + 6.0);
    let (rect, response) = ui.allocate_exact_size(vec2(width, height), Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, picked, format!("{word}. {text}")));
    if response.clicked() {
        actions.push(Action::Follow(index));
    }
    let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
    if picked || response.hovered() || response.has_focus() {
        painter.rect_filled(rect, 3.0, colour(theme.accent_soft));
    }
    let first = rect.top() + ROW / 2.0;
    sign(&painter, pos2(rect.left() + 9.0, first), finding.severity, theme);
    painter.text(pos2(rect.left() + 20.0, first), Align2::LEFT_CENTER, word, bold(TYPE), colour(theme.ink));
    painter.galley(pos2(rect.left() + MESSAGE, rect.top() + 3.0), galley, colour(theme.ink));
    if let Some((words, action)) = asks {
        let place =
            Rect::from_min_size(pos2(rect.right() - ASK, rect.top() + 2.0), vec2(ASK - 4.0, ROW - 4.0));
        let button = Button::new(words.as_str()).small().truncate();
        if ui.place(place, button).on_hover_text(words).clicked() {
            actions.push(action);
        }
    }
}

/// What a finding asks for, as a button, and what that opens.
fn asked(finding: &Finding) -> Option<(String, Action)> {
    let first = *finding.asks.first()?;
    Some(if first == Asks::Confirm {
        ("Look and confirm…".to_owned(), Action::ToConfirm)
    } else {
        (format!("Say {}…", first.words()), Action::Answer)
    })
}

/// Width of what a finding asks for.
const ASK: f32 = 200.0;

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
