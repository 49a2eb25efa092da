//! A path is asked for: typed, or chosen in the system's own dialog where there is one.

use std::path::PathBuf;

use eframe::egui::{Key, TextEdit, Ui};

use super::Action;

/// What a path is wanted for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Purpose {
    /// Open a job or a program.
    Open,
    /// Write the job file.
    SaveJob,
    /// Write an edited program.
    SaveProgram,
    /// Let the job run this program in another pass.
    AddPass,
    /// Choose tools from this crib.
    Crib,
    /// Write a crib.
    SaveCrib,
    /// Compare the program that is shown with this one.
    Compare,
    /// Bring in a drawing or a list of points.
    BringIn,
    /// Lay a picture under the drawing sheet.
    Under,
    /// Write the record into this folder.
    Record,
    /// Write a picture of the window.
    Window,
    /// Write a picture of the plan.
    Plan,
    /// Write a picture of the strip.
    Strip,
    /// Write a picture of what has to be built up.
    BuildUp,
    /// Write a picture of the wall.
    Wall,
    /// Write a picture of the block in the round.
    Block,
}

impl Purpose {
    /// What the window is called.
    pub(in crate::app) const fn title(self) -> &'static str {
        match self {
            Self::Open => "Open a job or a program",
            Self::SaveJob => "Save job as",
            Self::AddPass => "Program of the new pass",
            Self::Crib => "Choose tools from a crib",
            Self::SaveCrib => "Save tools as a crib",
            Self::SaveProgram => "Save a copy of the edited program",
            Self::Compare => "Compare with this program",
            Self::BringIn => "Import a drawing (DXF, SVG) or points (CSV)",
            Self::Under => "Picture under the sheet (PNG, JPEG)",
            Self::Record => "Write the record into a folder",
            Self::Window => "Save a picture of the window",
            Self::Plan => "Save a picture of the plan",
            Self::Strip => "Save a picture of the graph",
            Self::BuildUp => "Save a picture of the metal to add",
            Self::Wall => "Save a picture of the wall",
            Self::Block => "Save a picture of the block",
        }
    }

    const fn verb(self) -> &'static str {
        match self {
            Self::Open | Self::Crib => "Open",
            Self::Compare => "Compare",
            Self::AddPass => "Add",
            Self::BringIn => "Import",
            Self::Under => "Load",
            Self::Record => "Write",
            _ => "Save",
        }
    }
}

/// A path being typed.
#[derive(Debug)]
pub(in crate::app) struct PathDialog {
    pub(in crate::app) purpose: Purpose,
    pub(in crate::app) text: String,
    /// Whether the field has been given the keyboard.
    pub(in crate::app) focused: bool,
}

impl PathDialog {
    pub(super) fn show(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        let label = ui.label(if self.purpose == Purpose::Record { "Folder" } else { "Path of the file" });
        let field = ui.add(TextEdit::singleline(&mut self.text).desired_width(f32::INFINITY));
        let field = field.labelled_by(label.id);
        if !std::mem::replace(&mut self.focused, true) {
            field.request_focus();
            // The window is sized in its first frame and drawn right in its second.
            ui.request_repaint();
        }
        let entered = field.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
        ui.horizontal(|ui| {
            let path = self.text.trim().trim_matches('"');
            let go = ui.add_enabled(!path.is_empty(), eframe::egui::Button::new(self.purpose.verb()));
            if go.clicked() || (entered && !path.is_empty()) {
                actions.push(Action::Use(self.purpose, PathBuf::from(path)));
            }
            if ui.button("Browse…").on_hover_text("Choose in the system's file dialog").clicked() {
                actions.push(Action::Browse(self.purpose));
            }
            if ui.button("Cancel").clicked() {
                actions.push(Action::Close);
            }
        });
    }
}
