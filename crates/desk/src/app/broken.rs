//! A window that cannot be drawn says so, and stays alive.

use eframe::egui::{CentralPanel, Ui};

use crate::background::caught;

/// What broke while the window was drawn, if anything did.
#[derive(Debug, Default)]
pub(super) struct Broken(Option<String>);

/// What is to be done about it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Then {
    /// Nothing, or nothing yet.
    Stay,
    /// Show the window again, from its plainest view on.
    GoOn,
    /// Close the window, keeping what is not saved for the next start.
    Close,
}

impl Broken {
    /// Draws; a panic in it is kept and told from the next frame on, in place of the drawing.
    pub(super) fn draw(&mut self, ui: &mut Ui, draw: impl FnOnce(&mut Ui)) -> Then {
        let Some(words) = &self.0 else {
            self.0 = caught(|| draw(ui)).err();
            if self.0.is_some() {
                ui.ctx().request_repaint();
            }
            return Then::Stay;
        };
        let mut then = Then::Stay;
        CentralPanel::default().show(ui, |ui| {
            ui.heading("Something broke in Blockwright");
            ui.label(format!("The window could not be drawn ({words})."));
            ui.label(
                "This is a fault of Blockwright, not of the job. What is not saved is kept and offered at the next \
                 start. Please keep the job and its programs so that the fault can be found.",
            );
            if ui.button("Continue").clicked() {
                then = Then::GoOn;
            }
            if ui.button("Close the window").clicked() {
                then = Then::Close;
            }
        });
        if then == Then::GoOn {
            self.0 = None;
        }
        then
    }

    /// Does what belongs to a frame beside its drawing.
    pub(super) fn tick(&mut self, tick: impl FnOnce()) {
        if self.0.is_none() {
            self.0 = caught(tick).err();
        }
    }
}

#[cfg(test)]
mod tests {
    use egui_kittest::Harness;
    use egui_kittest::kittest::Queryable as _;

    use super::*;

    #[test]
    fn a_window_that_breaks_says_so_and_can_go_on() {
        let (mut broken, mut drawn) = (Broken::default(), 0);
        let show = move |ui: &mut Ui| {
            drawn += 1;
            let frame = drawn;
            broken.draw(ui, |ui| {
                assert!(frame != 2, "a line of no length");
                ui.label("The plan");
            });
        };
        let mut harness = Harness::builder().with_context_setup(crate::theme::install).build_ui(show);
        harness.run();
        harness.get_by_label("Something broke in Blockwright");
        assert!(harness.query_by_label("The plan").is_none());
        harness.get_by_label_contains("a line of no length");
        harness.get_by_label("Continue").click();
        harness.run();
        harness.get_by_label("The plan");
    }
}
