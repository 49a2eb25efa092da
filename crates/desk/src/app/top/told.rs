//! What tests and benches may ask of the window.

use std::path::PathBuf;
use std::sync::Arc;

use blockwright_core::fit::Fit;
use blockwright_core::geometry::Point;
use blockwright_core::job::Job;
use blockwright_core::proof::Proof;
use blockwright_core::sketch::Chain;
use blockwright_core::view::Viewport;

use super::App;
use crate::app::centre::Shown;
use crate::app::dialog::Dialog;
use crate::arrangement::Arrangement;
use crate::trouble::Trouble;

impl App {
    /// What is offered of the work that windows which are gone have left, in words.
    pub fn left(&self) -> Vec<String> {
        self.recovery.offers()
    }

    /// What is to be done at the machine.
    pub fn to_do(&self) -> Vec<String> {
        self.desk.to_do()
    }

    /// The proof on the screen, once there is one.
    pub fn proof(&self) -> Option<&Proof> {
        self.desk.whole_proof().map(AsRef::as_ref)
    }

    /// The program of the picked pass as it would be saved now.
    pub fn program_text(&self) -> Option<Arc<[u8]>> {
        self.programs.text(self.look.pass)
    }

    /// The program line that is picked.
    pub fn line(&self) -> Option<u32> {
        self.look.line(self.desk.proof())
    }

    /// Index of the pass that is picked, and how far along it the tool is.
    pub fn place(&self) -> (usize, f64) {
        (self.look.pass, self.look.distance(self.desk.proof()))
    }

    /// The job as it stands, proven or not.
    pub fn job(&self) -> &Job {
        self.desk.job()
    }

    /// The best fit on the blank, once the panel has found it.
    pub fn best_fit(&self) -> Option<&Fit> {
        self.fit.fit()
    }

    /// The folder of what is open.
    pub fn folder(&self) -> PathBuf {
        self.desk.origin().folder()
    }

    /// Lines of the program that the search has found so far.
    pub fn found(&self) -> &[u32] {
        self.programs.found()
    }

    /// Whether the picked pass's program was posted again and nothing has been decided yet.
    pub fn is_posted_again(&self) -> bool {
        self.programs.texts().is_posted_again(self.look.pass)
    }

    /// What part of the plan is seen.
    pub fn seen(&self) -> Option<Viewport> {
        self.centre.plan.viewport(&self.look, self.desk.proof()?)
    }

    /// What the window is called: the job, its file, and whether anything is not saved.
    pub fn title(&self) -> String {
        let name = self.desk.job().name.as_deref().unwrap_or("Job without a name");
        let file = self.desk.file_name().map(|file| format!(", {file}")).unwrap_or_default();
        let mark = if self.loss().unsaved().is_empty() { "" } else { "* " };
        format!("{mark}{name}{file} - Blockwright")
    }

    /// What is in no file yet, in words.
    pub fn unsaved(&self) -> Vec<String> {
        self.loss().unsaved()
    }

    /// What is being asked, if anything is.
    pub fn question(&self) -> Option<&str> {
        let Some(Dialog::Question(question)) = self.on_top.open() else { return None };
        Some(&question.words)
    }

    /// Whether what programs suggest is being looked at.
    pub fn is_set_up(&self) -> bool {
        matches!(self.on_top.open(), Some(Dialog::SetUp(_)))
    }

    /// The path on the drawing sheet, while one is open.
    pub fn drawn(&self) -> Option<&Chain> {
        self.draw.chain()
    }

    /// What part of the plan the drawing sheet, or the drawing being brought in, shows.
    pub fn sheet_seen(&self) -> Option<Viewport> {
        self.draw.viewport()
    }

    /// The place in the plan that the pointer lights.
    pub fn lit(&self) -> Option<Point> {
        self.look.hover.map(|hover| hover.at)
    }

    /// What the open message window says, if one is open.
    pub fn message(&self) -> Option<&Trouble> {
        let Some(Dialog::Trouble(trouble)) = self.on_top.open() else { return None };
        Some(trouble)
    }

    /// The station at which the wall is looked at.
    pub fn station(&self) -> f64 {
        self.desk.proof().map_or(self.look.centre.station, |proof| self.look.centre.station_on(proof))
    }

    /// The picture in the middle of the window.
    pub fn shown(&self) -> Shown {
        self.look.centre.shown
    }

    /// Whether the block in the round has been drawn as fine as the screen is.
    pub fn is_block_drawn(&self) -> bool {
        self.centre.round.is_fine()
    }

    /// How the window is arranged.
    pub fn arrangement(&self, dark: bool) -> Arrangement {
        Arrangement { window: self.size, dark, ..self.panes.arrangement() }
    }

    /// The finding that is looked at.
    pub fn finding(&self) -> Option<usize> {
        self.look.finding
    }

    /// Whether the worst place of that finding is shown enlarged.
    pub fn is_magnified(&self) -> bool {
        self.centre.is_magnified()
    }

    /// Which of the panes left, right and below are shown.
    pub fn panes(&self) -> [bool; 3] {
        self.panes.shown()
    }
}
