//! Words that several panels use.

use blockwright_core::finding::{Finding, Severity};
use blockwright_core::measure::Contact;
use blockwright_core::view::{Ink, Theme};
use eframe::egui::{Color32, Painter, Pos2, Response, RichText, Sense, Shape, Stroke, Ui, pos2, vec2};

use crate::theme::{QUIET, bold, colour};

/// A heading.
pub(in crate::app) fn heading(ui: &mut Ui, theme: &Theme, text: &str) {
    ui.label(RichText::new(text).font(bold(13.0)).color(colour(theme.quiet)));
}

/// Quiet text.
pub(in crate::app) fn quiet(text: impl Into<String>, theme: &Theme) -> RichText {
    RichText::new(text).size(QUIET).color(colour(theme.quiet))
}

/// Colour and word of a weight.
pub(in crate::app) fn severity(severity: Severity, theme: &Theme) -> (Ink, &'static str) {
    match severity {
        Severity::Stop => (theme.none, "Stop"),
        Severity::Look => (theme.light, "Check"),
        Severity::Note => (theme.quiet, "Note"),
    }
}

/// The sign of a weight: the heavier, the more corners and the more ink.
pub(in crate::app) fn sign(painter: &Painter, at: Pos2, weight: Severity, theme: &Theme) {
    let ink = colour(severity(weight, theme).0);
    let corners = |count: u8, radius: f32, turn: f32| -> Vec<Pos2> {
        let corner = |index: u8| {
            let angle = (f32::from(index) / f32::from(count) + turn) * std::f32::consts::TAU;
            pos2(at.x + radius * angle.sin(), at.y - radius * angle.cos())
        };
        (0..count).map(corner).collect()
    };
    match weight {
        Severity::Stop => {
            painter.add(Shape::convex_polygon(corners(8, 6.0, 1.0 / 16.0), ink, Stroke::NONE));
            painter.hline(at.x - 2.75..=at.x + 2.75, at.y, (1.8, Color32::WHITE));
        }
        Severity::Look => {
            let triangle = corners(3, 6.0, 0.0).into_iter().map(|p| p + vec2(0.0, 1.5)).collect();
            painter.add(Shape::convex_polygon(triangle, ink, Stroke::NONE));
        }
        Severity::Note => {
            painter.circle_stroke(at, 3.5, (1.6, ink));
        }
    }
}

/// The mark of a program with edits that are in no file.
pub(in crate::app) fn edited(ui: &mut Ui, theme: &Theme) -> Response {
    let font = bold(11.0);
    let galley = ui.painter().layout_no_wrap("edited".to_owned(), font, colour(theme.accent));
    let (rect, response) = ui.allocate_exact_size(galley.size() + vec2(10.0, 0.0), Sense::hover());
    response.widget_info(|| {
        eframe::egui::WidgetInfo::labeled(eframe::egui::Role::Label, true, "edited, not saved")
    });
    ui.painter().circle_filled(pos2(rect.left() + 3.0, rect.center().y), 3.0, colour(theme.accent));
    ui.painter().galley(pos2(rect.left() + 10.0, rect.top()), galley, colour(theme.accent));
    response
}

/// Colour of a state of contact.
pub(super) fn contact(state: Contact, theme: &Theme) -> Ink {
    match state {
        Contact::None => theme.none,
        Contact::Light => theme.light,
        Contact::Full => theme.full,
        Contact::Heavy => theme.heavy,
        Contact::Approach => theme.quiet,
    }
}

/// With a capital.
pub(in crate::app) fn sentence_start(words: &str) -> String {
    let mut letters = words.chars();
    let first: String = letters.next().map(|c| c.to_uppercase().collect()).unwrap_or_default();
    format!("{first}{}", letters.as_str())
}

/// A finding in one line: its message with pass and line, where the message does not say them itself.
pub(in crate::app) fn finding_words(finding: &Finding) -> String {
    let message = &finding.message;
    let pass = finding.pass.map(|pass| format!("Pass {}", pass + 1));
    let pass = pass.filter(|pass| !message.starts_with(pass.as_str()));
    let line =
        finding.line.map(|line| format!("line {line}")).filter(|line| !message.contains(line.as_str()));
    match (pass, line) {
        (Some(pass), Some(line)) => format!("{pass}, {line}: {message}"),
        (Some(pass), None) => format!("{pass}: {message}"),
        (None, Some(line)) => format!("{message} ({line})"),
        (None, None) => message.clone(),
    }
}

/// Whether a value differs from the one seen under this name in the frame before.
pub(super) fn changed<T: Clone + PartialEq + Send + Sync + 'static>(ui: &Ui, name: &str, value: T) -> bool {
    let id = eframe::egui::Id::unique(("last", name));
    ui.data_mut(|data| {
        let same = data.get_temp::<T>(id).is_some_and(|last| last == value);
        data.insert_temp(id, value);
        !same
    })
}
