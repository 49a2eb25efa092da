//! Words that several panels use.

use blockwright_core::finding::{Finding, Severity};
use blockwright_core::measure::Contact;
use blockwright_core::proof::{self, Proof, Verdict};
use blockwright_core::view::{Ink, Theme};
use eframe::egui::{RichText, Ui};

use crate::theme::{QUIET, bold, colour};

/// A heading.
pub(super) fn heading(ui: &mut Ui, theme: &Theme, text: &str) {
    ui.label(RichText::new(text).font(bold(13.0)).color(colour(theme.quiet)));
}

/// Quiet text.
pub(super) fn quiet(text: impl Into<String>, theme: &Theme) -> RichText {
    RichText::new(text).size(QUIET).color(colour(theme.quiet))
}

/// Colour and word of a weight.
pub(super) fn severity(severity: Severity, theme: &Theme) -> (Ink, &'static str) {
    match severity {
        Severity::Stop => (theme.none, "Stop"),
        Severity::Look => (theme.light, "Look"),
        Severity::Note => (theme.quiet, "Note"),
    }
}

/// Colour of a state of contact.
pub(super) fn contact(state: Contact, theme: &Theme) -> Ink {
    match state {
        Contact::None => theme.none,
        Contact::Light => theme.light,
        Contact::Full => theme.full,
        Contact::Heavy => theme.heavy,
    }
}

/// The verdict in plain words, standing alone.
pub(super) fn verdict(proof: &Proof) -> String {
    let words = proof::verdict_words(proof);
    match proof.verdict {
        Verdict::Clear | Verdict::Look => format!("Proven: {words}"),
        Verdict::Stop | Verdict::Unproven => sentence_start(&words),
    }
}

/// With a capital.
pub(in crate::app) fn sentence_start(words: &str) -> String {
    let mut letters = words.chars();
    let first: String = letters.next().map(|c| c.to_uppercase().collect()).unwrap_or_default();
    format!("{first}{}", letters.as_str())
}

/// A finding in one line: its message with pass and line, where the message does not say them itself.
pub(super) fn finding_words(finding: &Finding) -> String {
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
