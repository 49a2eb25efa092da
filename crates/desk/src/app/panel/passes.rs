//! The list of passes, and how the outline lies on the blank.

use blockwright_core::finding::Severity;
use blockwright_core::fit::instruction;
use blockwright_core::job::Pass;
use blockwright_core::measure::BlankProof;
use blockwright_core::proof::{PassProof, Proof};
use blockwright_core::tool::Tool;
use blockwright_core::units::Told;
use blockwright_core::view::Theme;
use eframe::egui::{
    Align, Align2, Color32, FontId, Layout, Painter, Pos2, Rect, Role, ScrollArea, Sense, Ui, WidgetInfo,
    pos2, vec2,
};

use super::words::{changed, contact, heading, quiet, sentence_start, severity, shortened, sign};
use crate::app::act::{Action, theme};
use crate::app::command::Command;
use crate::app::desk::Desk;
use crate::app::look::Look;
use crate::app::order;
use crate::theme::{QUIET, bold, colour, plain};

/// Height of a card.
const CARD: f32 = 41.0;
/// From the left edge of a card to its text.
const INDENT: f32 = 36.0;
/// Free at both sides.
const SIDE: f32 = 16.0;

/// A desk with what is edited on it, by pass.
type Edited<'a> = (&'a Desk, &'a dyn Fn(usize) -> bool);

pub(in crate::app) fn show(ui: &mut Ui, (desk, edited): Edited<'_>, look: &Look, actions: &mut Vec<Action>) {
    let colours = theme(ui.ctx());
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        ui.add_space(10.0);
        inset(ui, |ui| {
            ui.horizontal(|ui| {
                heading(ui, &colours, "Passes");
                ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                    ui.label(quiet("stock left, or depth", &colours));
                });
            });
        });
        ui.add_space(6.0);
        for index in 0..desk.job().passes.len() {
            card(ui, (desk, edited(index)), look, index, &colours, actions);
        }
        ui.add_space(10.0);
        ui.spacing_mut().item_spacing.y = 3.0;
        inset(ui, |ui| blank(ui, desk, &colours, actions));
        ui.add_space(10.0);
    });
}

pub(super) fn inset(ui: &mut Ui, add: impl FnOnce(&mut Ui)) {
    eframe::egui::Frame::new()
        .inner_margin(eframe::egui::Margin::symmetric(SIDE as i8, 0))
        .show(ui, |ui| ui.vertical(add));
}

fn card(
    ui: &mut Ui,
    (desk, edited): (&Desk, bool),
    look: &Look,
    index: usize,
    theme: &Theme,
    actions: &mut Vec<Action>,
) {
    let Some(pass) = desk.job().passes.get(index) else { return };
    let proof = desk.proof().and_then(|proof| proof.passes.get(index));
    let picked = look.pass == index;
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), CARD), Sense::click_and_drag());
    let tool = desk.job().tool(pass.tool).map_or_else(|| "no such tool".to_owned(), Tool::title);
    let result = proof.map(|proof| result_words(pass, proof, desk.told())).unwrap_or_default();
    let worst = desk.whole_proof().and_then(|proof| worst(proof, index));
    response.widget_info(|| {
        let edits = if edited { ", edited" } else { "" };
        let text = format!("Pass {}: {}, {tool}, {result}{edits}", index + 1, pass.name);
        let worst = worst.map(|worst| format!(", worst finding: {}", severity(worst, theme).1));
        WidgetInfo::selected(Role::Button, true, picked, text + &worst.unwrap_or_default())
    });
    let response = response.on_hover_text(format!("{}\n{tool}", pass.name));
    if response.clicked() {
        actions.push(Action::Pick(index));
    }
    order::drag::card(ui, &response, index, actions);
    if picked && changed(ui, "picked", index) {
        response.scroll_to_me(None);
    }
    if !ui.is_rect_visible(rect) {
        return;
    }
    let painter = ui.painter();
    if picked || response.hovered() || response.has_focus() {
        painter.rect_filled(rect, 0.0, colour(theme.accent_soft));
    }
    if picked {
        painter.rect_filled(Rect::from_min_size(rect.min, vec2(4.0, CARD)), 0.0, colour(theme.accent));
    }
    let (left, right) = (rect.left() + INDENT, rect.right() - SIDE);
    let number = (index + 1).to_string();
    painter.text(
        pos2(rect.left() + SIDE, rect.top() + 14.0),
        Align2::LEFT_CENTER,
        number,
        // The name stays as it is: in bold its end, which tells the allowance, would not fit.
        if picked { bold(13.0) } else { plain(13.0) },
        colour(theme.quiet),
    );
    if let Some(worst) = worst {
        sign(painter, pos2(rect.left() + SIDE + 5.0, rect.top() + 31.0), worst, theme);
    }
    let name_right = if edited {
        let at = pos2(right, rect.top() + 14.0);
        let word = painter.text(at, Align2::RIGHT_CENTER, "edited", bold(11.0), colour(theme.accent));
        painter.circle_filled(pos2(word.left() - 7.0, at.y), 3.0, colour(theme.accent));
        word.left() - 16.0
    } else {
        let at = pos2(right, rect.top() + 14.0);
        let said = painter.text(at, Align2::RIGHT_CENTER, result, plain(12.0), colour(theme.ink));
        said.left() - 8.0
    };
    let name_at = pos2(left, rect.top() + 14.0);
    clipped(painter, name_at, name_right - left, &pass.name, &plain(13.0), colour(theme.ink));
    bar(
        painter,
        Rect::from_min_max(pos2(left, rect.top() + 28.0), pos2(right, rect.top() + 34.0)),
        proof,
        theme,
    );
    painter.hline(rect.left() + SIDE..=right, rect.bottom() - 0.5, (1.0, colour(theme.line)));
}

/// The heaviest finding of a pass.
fn worst(proof: &Proof, index: usize) -> Option<Severity> {
    proof.findings.iter().filter(|finding| finding.pass == Some(index)).map(|finding| finding.severity).max()
}

/// One line of text, ended with dots where it is too long.
fn clipped(painter: &Painter, at: Pos2, width: f32, text: &str, font: &FontId, ink: Color32) {
    let galley = shortened(painter, text, font, ink, (width, 1));
    painter.galley(at - vec2(0.0, galley.size().y / 2.0), galley, ink);
}

/// Contact along the outline, one stretch beside the other.
fn bar(painter: &Painter, rect: Rect, proof: Option<&PassProof>, theme: &Theme) {
    painter.rect_filled(rect, 2.0, colour(theme.line));
    let Some(along) = proof.and_then(|proof| proof.along_outline.as_ref()) else { return };
    let Some(length) = along.contact.last().map(|last| last.to).filter(|length| *length > 0.0) else {
        return;
    };
    for stretch in &along.contact {
        let x = |station: f64| rect.left() + (station / length) as f32 * rect.width();
        let (from, to) = (x(stretch.from), x(stretch.to));
        // A short stretch must still be seen; lesser contact is also drawn higher, so colour is not alone.
        let (to, grown) = match stretch.state {
            blockwright_core::measure::Contact::Full => (to, 0.0),
            _ => (to.max(from + 2.0), 2.0),
        };
        let part = Rect::from_min_max(pos2(from, rect.top() - grown), pos2(to, rect.bottom() + grown));
        let ink = colour(contact(stretch.state, theme));
        let ink = if grown > 0.0 { ink } else { ink.gamma_multiply(0.35) };
        painter.rect_filled(part, 1.0, ink);
    }
}

/// What a pass comes to, in two words.
fn result_words(pass: &Pass, proof: &PassProof, units: Told) -> String {
    match (pass.allowance, &proof.along_outline, proof.lowest) {
        (Some(_), Some(along), _) => {
            let (least, most) = (units.plain(along.leave.least), units.plain(along.leave.most));
            if least == most { most } else { format!("{least} to {most}") }
        }
        (Some(allowance), None, _) => format!("to leave {}", units.plain(allowance)),
        (None, _, Some(lowest)) => format!("to {}", units.plain(lowest)),
        (None, _, None) => String::new(),
    }
}

fn blank(ui: &mut Ui, desk: &Desk, theme: &Theme, actions: &mut Vec<Action>) {
    heading(ui, theme, "Blank");
    let units = desk.told();
    let Some(proof) = desk.proof() else { return };
    match &proof.blank {
        None if desk.is_sketch() || desk.is_rough() => {
            ui.label(quiet("Not measured yet.", theme));
        }
        Some(blank) => {
            margins(ui, blank, units, theme);
            best(ui, proof, theme, actions);
        }
        None if desk.job().blank.is_none() => {
            ui.label(quiet("None given: only the paths are shown.", theme));
        }
        None => {
            ui.label(quiet("No outline given, so no margin.", theme));
        }
    }
}

fn margins(ui: &mut Ui, blank: &BlankProof, units: Told, theme: &Theme) {
    let least = units.plain(blank.least_margin);
    let at = units.plain(blank.least_margin_at);
    ui.label(eframe::egui::RichText::new(format!("Least margin {least} at station {at}")).size(QUIET));
    for short in &blank.short {
        let (from, to) = (units.plain(short.from), units.plain(short.to));
        let text = format!("Short by {} from station {from} to {to}", units.plain(short.most));
        ui.label(eframe::egui::RichText::new(text).size(QUIET).color(colour(theme.none)));
    }
}

/// How the outline would lie best, where that gains anything, and the way to it.
fn best(ui: &mut Ui, proof: &Proof, theme: &Theme, actions: &mut Vec<Action>) {
    let Some(fitting) = &proof.fit else { return };
    let (fit, units) = (&fitting.fit, proof.told);
    if !fit.gains(units.of()) {
        ui.label(quiet("No other position on the blank has more.", theme));
        return;
    }
    let words = format!("Best position: least margin {}", units.plain(fit.least_margin));
    ui.label(quiet(words, theme)).on_hover_text(sentence_start(&instruction(&proof.job, fit, proof.told)));
    if ui.link("Try the best position").on_hover_text(Command::BlankFit.tooltip()).clicked() {
        actions.push(Action::Do(Command::BlankFit));
    }
}
