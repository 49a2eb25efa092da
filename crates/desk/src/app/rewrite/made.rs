//! What has been made of a program.

use std::sync::Arc;

use eframe::egui::{RichText, Ui};

use crate::theme::{TYPE, bold};

/// A program, proven, that is in no file yet.
#[derive(Debug, Clone)]
pub(super) struct Made {
    pub(super) text: Arc<[u8]>,
    /// What it is, in a sentence.
    pub(super) words: String,
    /// Its program number, when it has one.
    pub(super) number: Option<u32>,
    /// What the operator should know, as sentences.
    pub(super) notes: Vec<String>,
}

impl Made {
    pub(super) fn show(&self, ui: &mut Ui) {
        ui.label(RichText::new(&self.words).font(bold(TYPE)));
        for note in &self.notes {
            ui.label(note);
        }
    }
}
