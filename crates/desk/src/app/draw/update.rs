//! What is done on the sheet, and with what is brought in.

use std::sync::Arc;

use blockwright_core::job::PathSource;

use super::choose::Chooser;
use super::sheet::Sheet;
use super::{Ask, Draw, OnSheet, Target, arrive, is_picture, take};
use crate::app::act::Action;
use crate::app::command::Command;
use crate::app::desk;
use crate::app::dialog::{Dialog, Question};
use crate::app::look;
use crate::app::room::{Effect, Effects, ToWindow, World};

/// Something that happens to the sheet.
#[derive(Debug)]
pub(in crate::app) enum Message {
    /// Open it with this path of the job.
    Open(Target),
    /// A command while it is open.
    Run(OnSheet),
    /// Something asked for on it, or its answer.
    Ask(Ask),
}

impl Draw {
    /// Does it.
    pub(in crate::app) fn update(&mut self, message: Message, world: World<'_>) -> Effects {
        match message {
            Message::Open(target) => self.open(target, world),
            Message::Run(asked) => {
                self.on_sheet(asked);
                Effects::new()
            }
            Message::Ask(ask) => self.ask(ask, world),
        }
    }

    /// Opens a sheet with the path that the job has.
    fn open(&mut self, target: Target, world: World<'_>) -> Effects {
        *self = Self { sheet: Some(Sheet::open(target, world.desk)), ..Self::default() };
        vec![Effect::Look(look::Message::Hold)]
    }

    /// Asks before something drawn is thrown away.
    pub(in crate::app) fn ask_first(&self, action: Action) -> Effects {
        let quits = matches!(action, Action::Do(Command::Quit));
        let stay = quits.then_some(Effect::Window(ToWindow::StayOpen));
        stay.into_iter().chain([self.ask_leave(Some(Box::new(action)))]).collect()
    }

    fn ask_leave(&self, then: Option<Box<Action>>) -> Effect {
        let word = self.sheet.as_ref().map_or("path", |sheet| sheet.target().word());
        Effect::show(Dialog::Question(Question {
            title: "The drawing is not in the job yet".to_owned(),
            words: format!("The {word} on the sheet has changed and is not in the job yet."),
            answers: vec![
                ("Cancel".to_owned(), Action::Close),
                ("Close the sheet without saving it".to_owned(), Action::Draw(Ask::LeaveFor(then))),
            ],
        }))
    }

    /// Does what was asked for.
    fn ask(&mut self, ask: Ask, world: World<'_>) -> Effects {
        let desk = world.desk;
        match ask {
            Ask::Path(purpose) => return vec![Effect::ask_path(purpose, &desk.origin().folder())],
            Ask::File(path) if self.sheet.is_some() && is_picture(&path) => {
                return vec![Effect::close(), Effect::Run(arrive::picture(path))];
            }
            Ask::File(path) => return vec![Effect::close(), Effect::Run(arrive::drawing(path))],
            Ask::Arrived(path, drawing, bytes) => {
                self.chooser = Some(Chooser::new(path, drawing, bytes, desk));
            }
            Ask::Survey => {
                let survey = self.chooser.as_mut().and_then(arrive::survey);
                return survey.map(Effect::Run).into_iter().collect();
            }
            Ask::Surveyed(drawing, offer) => {
                let chooser = self.chooser.as_mut();
                if let Some(chooser) = chooser.filter(|chooser| Arc::ptr_eq(&chooser.drawing, &drawing)) {
                    chooser.take(*offer);
                }
            }
            Ask::FromPass(pass) => return vec![arrive::from_pass(pass, desk)],
            Ask::Traced(chain) => {
                if let Some(sheet) = &mut self.sheet {
                    sheet.replace(chain);
                }
            }
            Ask::Sheet(target, chain) => {
                self.chooser = None;
                self.sheet.get_or_insert_with(|| Sheet::open(target, desk)).replace(chain);
            }
            Ask::Picture(path, pixels) => {
                if let Some(sheet) = &mut self.sheet {
                    sheet.lay_under(&path, pixels);
                }
            }
            // Another path than the one on the sheet.
            ask @ Ask::Use(_, PathSource::FromPass(_), _) if self.would_lose() => {
                return vec![self.ask_leave(Some(Box::new(Action::Draw(ask))))];
            }
            Ask::Use(target, source, blank) => {
                *self = Self::default();
                return vec![Effect::edit(take::job_with(desk.job(), target, source, blank))];
            }
            Ask::UseFile(target, named, bytes) => {
                *self = Self::default();
                let job = Box::new(take::job_with(desk.job(), target, named.source(), None));
                return vec![Effect::Desk(desk::Message::EditWithDrawing(job, named.file, bytes))];
            }
            Ask::Leave if self.chooser.is_some() => self.chooser = None,
            Ask::Leave if self.would_lose() => return vec![self.ask_leave(None)],
            Ask::Leave => *self = Self::default(),
            Ask::LeaveFor(then) => {
                *self = Self::default();
                return then.map(|action| Effect::Act(*action)).into_iter().collect();
            }
        }
        Vec::new()
    }
}
