//! Words that several panels use.

use std::sync::Arc;

use blockwright_core::finding::{Finding, Severity};
use blockwright_core::measure::Contact;
use blockwright_core::view::{Ink, Theme};
use eframe::egui::text::LayoutJob;
use eframe::egui::{
    Color32, FontId, Galley, Painter, Pos2, Response, RichText, Sense, Shape, Stroke, Ui, pos2, vec2,
};

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

/// A text in at most so many lines of this width. One that is longer ends after a whole word: half a number is another
/// number.
pub(super) fn shortened(
    painter: &Painter,
    text: &str,
    font: &FontId,
    ink: Color32,
    (wide, rows): (f32, usize),
) -> Arc<Galley> {
    let laid = |text: String| {
        let mut job = LayoutJob::simple(text, font.clone(), ink, wide.max(0.0));
        job.wrap.max_rows = rows;
        job.wrap.break_anywhere = rows == 1;
        painter.layout_job(job)
    };
    let mut galley = laid(text.to_owned());
    let mut shown: usize = galley.rows.iter().map(|row| row.glyphs.len()).sum();
    while galley.elided {
        let head: String = text.chars().take(shown).collect();
        // A single word that is too long is cut all the same.
        let Some((head, _)) = head.rsplit_once(' ') else { break };
        shown = head.chars().count();
        galley = laid(format!("{} …", head.trim_end()));
    }
    galley
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

#[cfg(test)]
mod tests {
    use std::cell::RefCell;

    use egui_kittest::Harness;

    use super::*;
    use crate::theme::plain;

    /// What is shown of a text in so many lines of this width.
    fn shown(text: &str, wide: f32, rows: usize) -> String {
        let words = RefCell::new(String::new());
        let show = |ui: &mut Ui| {
            let galley = shortened(ui.painter(), text, &plain(12.0), Color32::BLACK, (wide, rows));
            assert!(!galley.elided, "{}", galley.text());
            galley.text().clone_into(&mut words.borrow_mut());
        };
        drop(Harness::builder().with_context_setup(crate::theme::install).build_ui(show));
        words.into_inner()
    }

    #[test]
    fn what_is_too_long_ends_after_a_whole_word() {
        let text = "Light cut for .132 in from station 11.153 to 11.285, down to .0049 or less";
        for wide in (60..400).step_by(7) {
            for rows in [1, 2] {
                let words = shown(text, wide as f32, rows);
                let head = words.strip_suffix(" …").unwrap_or(&words);
                let whole =
                    text.strip_prefix(head).is_some_and(|rest| rest.is_empty() || rest.starts_with(' '));
                assert!(whole, "{wide}, {rows}: {words}");
            }
        }
        assert_eq!(shown(text, 2_000.0, 1), text, "there is room for all of it");
    }
}
