//! What windows share that make a program from the one that is shown: it is made anew with every change of what is
//! asked, and what is on the screen is what will be written.

use blockwright_core::task::Task;
use eframe::egui::Ui;

use super::super::act::Action;
use super::super::program::Texts;
use super::made::Made;
use super::subject::Subject;
use super::target::Target;
use super::work::{Failed, Work};

/// Makes a program as asked from a text.
type Make<A> = fn(&A, &[u8], Task<'_>) -> Result<Made, Failed>;

/// A program being made.
#[derive(Debug)]
pub(in crate::app) struct Maker<A> {
    pub(super) subject: Subject,
    /// What the fields say.
    pub(super) asked: A,
    make: Make<A>,
    /// What is being made or has been.
    made_for: Option<A>,
    work: Work<Made>,
    outcome: Option<Result<Made, Failed>>,
    /// The number of what was made last.
    pub(super) number: Option<u32>,
    pub(super) target: Target,
}

impl<A: Clone + PartialEq + Send + 'static> Maker<A> {
    pub(super) fn new(subject: Subject, asked: A, make: Make<A>, target: Target) -> Self {
        Self {
            subject,
            asked,
            make,
            made_for: None,
            work: Work::default(),
            outcome: None,
            number: None,
            target,
        }
    }

    /// A path chosen in the system's dialog.
    pub(in crate::app) fn take_path(&mut self, path: &std::path::Path) {
        self.target.text = path.display().to_string();
        self.target.forget();
    }

    /// Has it made anew if anything has changed, and takes what has been made.
    pub(super) fn follow(&mut self, ui: &Ui, programs: Texts<'_>) {
        if self.subject.follow(programs) {
            self.made_for = None;
        }
        if self.made_for.as_ref() != Some(&self.asked) {
            self.made_for = Some(self.asked.clone());
            self.outcome = None;
            self.target.forget();
            let (snapshot, asked, make) = (self.subject.snapshot.clone(), self.asked.clone(), self.make);
            self.work.start(ui.ctx(), move |task| make(&asked, &snapshot.text(), task));
        }
        if let Some(outcome) = self.work.take() {
            if let Ok(made) = &outcome {
                self.number = made.number;
            }
            self.outcome = Some(outcome);
        }
    }

    /// What came of it, and where it goes.
    pub(super) fn show(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        if self.work.show(ui) {
            self.outcome = Some(Err(Failed::Stopped));
        }
        match &self.outcome {
            Some(Ok(made)) => made.show(ui),
            Some(Err(failed)) => {
                super::failed(ui, failed, self.subject.pass, actions);
                if *failed == Failed::Stopped && ui.button("Continue").clicked() {
                    self.made_for = None;
                }
            }
            None => {}
        }
        ui.separator();
        let text = match &self.outcome {
            Some(Ok(made)) => Some(&made.text),
            _ => None,
        };
        self.target.show(ui, text, &self.subject.reads(), actions);
    }
}
