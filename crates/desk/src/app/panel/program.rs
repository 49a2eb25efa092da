//! The program text of the picked pass.

use std::collections::BTreeMap;
use std::sync::Arc;

use blockwright_core::finding::{Finding, Severity};
use blockwright_core::proof::{PassProof, Proof};
use blockwright_core::view::Theme;
use eframe::egui::{Align2, Frame, Margin, Role, ScrollArea, Sense, Ui, WidgetInfo, pos2, vec2};

use super::words::{changed, heading, severity};
use crate::app::act::{Action, theme};
use crate::app::look::Look;
use crate::theme::{colour, mono};

/// Height of a line of text.
const ROW: f32 = 18.0;
/// From the left edge to the line numbers' right end, and to the text.
const NUMBERS: f32 = 40.0;
/// Longest piece of a line that is laid out; the rest of a longer one would be off the panel anyway.
const LONGEST: usize = 160;

pub(super) fn show(ui: &mut Ui, proof: &Arc<Proof>, look: &Look, actions: &mut Vec<Action>) {
    let (Some(pass), Some(stated)) = (proof.passes.get(look.pass), proof.job.passes.get(look.pass)) else {
        return;
    };
    let colours = theme(ui.ctx());
    Frame::new().inner_margin(Margin { left: 16, right: 16, top: 10, bottom: 6 }).show(ui, |ui| {
        heading(ui, &colours, &format!("Program {}", stated.program));
    });
    let current = pass.track.at(look.distance(Some(proof))).map(|position| position.line);
    let marks = marks(&proof.findings, look.pass);
    let mut area = ScrollArea::vertical().id_salt("program").auto_shrink(false);
    if let Some(line) = current
        && changed(ui, "line", (look.pass, line))
    {
        // A third from the top: what comes next is worth more than what has been.
        let above = (line as f32 - 1.0) * ROW - ui.available_height() / 3.0;
        area = area.vertical_scroll_offset(above.max(0.0));
    }
    area.show_rows(ui, ROW, pass.text.len(), |ui, rows| {
        for index in rows {
            row(ui, pass, index, current, &marks, &colours, actions);
        }
    });
}

/// The heaviest finding of each line.
fn marks(findings: &[Finding], pass: usize) -> BTreeMap<u32, Severity> {
    let mut marks = BTreeMap::new();
    for finding in findings.iter().filter(|finding| finding.pass == Some(pass)) {
        if let Some(line) = finding.line {
            let mark = marks.entry(line).or_insert(finding.severity);
            *mark = (*mark).max(finding.severity);
        }
    }
    marks
}

fn row(
    ui: &mut Ui,
    pass: &PassProof,
    index: usize,
    current: Option<u32>,
    marks: &BTreeMap<u32, Severity>,
    theme: &Theme,
    actions: &mut Vec<Action>,
) {
    let line = index as u32 + 1;
    let text: String = shown(&pass.text.line(line as usize));
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), ROW), Sense::click());
    let is_current = current == Some(line);
    let mark = marks.get(&line).map(|weight| severity(*weight, theme));
    response.widget_info(|| {
        let found = mark.map(|(_, word)| format!(", finding: {word}")).unwrap_or_default();
        WidgetInfo::selected(Role::Button, true, is_current, format!("Line {line}: {text}{found}"))
    });
    if response.clicked() {
        actions.push(Action::Line(line));
    }
    let painter = ui.painter();
    if is_current || response.hovered() {
        painter.rect_filled(rect, 0.0, colour(theme.accent_soft));
    }
    let y = rect.center().y;
    if let Some((ink, _)) = mark {
        painter.circle_filled(pos2(rect.left() + 12.0, y), 4.0, colour(ink));
    }
    let number = line.to_string();
    painter.text(
        pos2(rect.left() + NUMBERS, y),
        Align2::RIGHT_CENTER,
        number,
        mono(11.0),
        colour(theme.quiet),
    );
    painter.text(
        pos2(rect.left() + NUMBERS + 8.0, y),
        Align2::LEFT_CENTER,
        text,
        mono(11.0),
        colour(theme.ink),
    );
}

/// The line as it can be shown: no control characters, not endless.
fn shown(text: &str) -> String {
    text.chars().take(LONGEST).map(|c| if c.is_control() { ' ' } else { c }).collect()
}
