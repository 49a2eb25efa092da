//! The file that something is written into.

use std::path::PathBuf;
use std::sync::Arc;

use eframe::egui::{Button, RichText, TextEdit, Ui};

use super::super::act::Action;
use super::super::dialog::Purpose;
use super::work::{Failed, Work};
use crate::files::{self, Blocked, Existing, Product, Reads, Ways};
use crate::theme::{TYPE, bold};

/// What to do about a name that is taken.
const WAYS: Ways = Ways { other_name: "give another name", replace: "press Replace it" };

/// A path being typed, and what has come of writing to it.
#[derive(Debug)]
pub(super) struct Target {
    product: Product,
    pub(super) text: String,
    work: Work<Result<PathBuf, (PathBuf, Blocked)>>,
    written: Option<Written>,
}

#[derive(Debug)]
enum Written {
    To(PathBuf),
    Blocked(PathBuf, Blocked),
    Failed(Failed),
}

impl Target {
    pub(super) fn new(product: Product, suggested: &std::path::Path) -> Self {
        Self { product, text: suggested.display().to_string(), work: Work::default(), written: None }
    }

    /// What was written before is not what would be written now.
    pub(super) fn forget(&mut self) {
        self.written = None;
    }

    /// The field, the buttons, and what has come of them. `text` is what there is to write, if there is.
    pub(super) fn show(
        &mut self,
        ui: &mut Ui,
        text: Option<&Arc<[u8]>>,
        reads: &Reads,
        actions: &mut Vec<Action>,
    ) {
        if let Some(done) = self.work.take() {
            self.written = Some(match done {
                Ok(Ok(path)) => Written::To(path),
                Ok(Err((path, blocked))) => Written::Blocked(path, blocked),
                Err(failed) => Written::Failed(failed),
            });
        }
        let label = ui.label("Path of the file");
        let field = ui.add(TextEdit::singleline(&mut self.text).desired_width(f32::INFINITY));
        if field.labelled_by(label.id).changed() {
            self.forget();
        }
        let replace = self.outcome(ui);
        ui.horizontal(|ui| {
            let path = PathBuf::from(self.text.trim().trim_matches('"'));
            let there = !path.as_os_str().is_empty() && !self.work.is_running();
            let text = text.filter(|_| there);
            let button = if replace { Button::new("Replace it") } else { Button::new("Write") };
            let done = matches!(&self.written, Some(Written::To(to)) if *to == path);
            if ui.add_enabled(text.is_some() && !done, button).clicked()
                && let Some(text) = text
            {
                let existing = if replace { Existing::Asked } else { Existing::Keep };
                self.write(ui, path, Arc::clone(text), reads.clone(), existing);
            }
            let browse = ui.button("Browse…");
            if browse.on_hover_text("Choose in the system's file dialog").clicked() {
                actions.push(Action::Browse(Purpose::SaveProgram));
            }
            if ui.button(if done { "Done" } else { "Cancel" }).clicked() {
                actions.push(Action::Close);
            }
        });
    }

    /// Says what has come of writing; true when the file could be replaced.
    fn outcome(&self, ui: &mut Ui) -> bool {
        let ink = ui.visuals().error_fg_color;
        match &self.written {
            None => {}
            Some(Written::To(path)) => {
                ui.label(RichText::new(format!("Written: {}", path.display())).font(bold(TYPE)));
            }
            Some(Written::Blocked(path, blocked)) => {
                let words = blocked.clone().trouble(path, &WAYS).to_string();
                ui.label(RichText::new(words).color(ink));
            }
            Some(Written::Failed(Failed::Trouble(trouble))) => {
                ui.label(RichText::new(trouble.to_string()).color(ink));
            }
            Some(Written::Failed(_)) => {
                ui.label(RichText::new("Not written.").color(ink));
            }
        }
        matches!(self.written, Some(Written::Blocked(_, Blocked::There(_))))
    }

    /// Writing to a slow drive takes longer than a frame.
    fn write(&mut self, ui: &Ui, path: PathBuf, text: Arc<[u8]>, reads: Reads, existing: Existing) {
        self.written = None;
        let product = self.product;
        self.work.start(ui.ctx(), move |_| {
            Ok(match files::save(&path, &text, &reads, product, existing) {
                Ok(()) => Ok(path),
                Err(blocked) => Err((path, blocked)),
            })
        });
    }
}
