//! Which room answers to what a view asks for.

use std::path::PathBuf;

use eframe::egui::Context;

use super::App;
use crate::app::act::Action;
use crate::app::command::Command;
use crate::app::desk;
use crate::app::dialog::{self, Dialog, Purpose};
use crate::app::draw;
use crate::app::look;
use crate::app::outbox::Errand;
use crate::app::program;
use crate::app::recovery::Offered;
use crate::app::room::{Effect, Effects, ToWindow};
use crate::app::{fit, order, record, save, tools};
use crate::files::Existing;
use crate::open::Origin;

impl App {
    /// Does it, or asks first what would be lost by it.
    pub(super) fn guarded(&mut self, ctx: &Context, action: Action) -> Effects {
        if self.draw.guards(&action) {
            return self.draw.ask_first(action);
        }
        let leaves = matches!(
            action,
            Action::OpenPaths(_)
                | Action::Use(Purpose::Open, _)
                | Action::Restore(_)
                | Action::Do(Command::Quit | Command::OpenDemo | Command::Reload)
        );
        let loss = leaves.then(|| self.loss());
        let asked = loss.and_then(|loss| self.guard.ask(&action, &loss));
        asked.unwrap_or_else(|| self.anyway(ctx, action))
    }

    /// Does it without asking what would be lost.
    fn anyway(&mut self, ctx: &Context, action: Action) -> Effects {
        let look = |message| vec![Effect::Look(message)];
        let desk = |message| vec![Effect::Desk(message)];
        let programs = |message| vec![Effect::Programs(message)];
        match action {
            Action::Do(command) => self.command(ctx, command),
            Action::Anyway(action) => {
                self.guard.agree();
                self.anyway(ctx, *action)
            }
            Action::Pick(pass) => look(look::Message::Pick(pass)),
            Action::Scrub(to) => look(look::Message::Scrub(to)),
            Action::ToStation(station) => look(look::Message::ToStation(station)),
            Action::Line(line) => look(look::Message::Line(line)),
            Action::Follow(finding) => look(look::Message::Follow(finding)),
            Action::See(viewport) => look(look::Message::See(viewport)),
            Action::Hover(hover) => look(look::Message::Hover(hover)),
            Action::Notes(notes) => look(look::Message::Notes(notes)),
            Action::Magnify(magnified) => look(look::Message::Magnify(magnified)),
            Action::Along(along) => look(look::Message::Along(along)),
            Action::CountFrom(origin) => look(look::Message::CountFrom(origin)),
            Action::Speed(speed) => look(look::Message::Speed(speed)),
            Action::Tab(tab) => look(look::Message::Tab(tab)),
            Action::Centre(ask) => look(look::Message::Centre(ask)),
            Action::Seen(finding, seen) => desk(desk::Message::Seen(finding, seen)),
            Action::Edit(job) => desk(desk::Message::Edit(job)),
            Action::TypeIn(job, grip) => desk(desk::Message::TypeIn(job, grip)),
            Action::DoneAtMachine(words) => desk(desk::Message::Done(words)),
            Action::Suggested(bare) => desk(desk::Message::Suggested(bare)),
            Action::SetUp(job) => desk(desk::Message::SetUp(job)),
            Action::SetUpUnits(units) => desk(desk::Message::SetUpIn(units)),
            Action::Saved(path) => desk(desk::Message::NoteSaved(path)),
            Action::Program(ask) => programs(program::Message::Ask(ask)),
            Action::Answered(answer) => programs(program::Message::Answered(answer)),
            Action::Noticed(file, notice) => {
                let job = *self.desk.origin() == Origin::Job(file.clone());
                let look = job.then_some(Effect::Desk(desk::Message::LookElsewhere));
                let noticed = Effect::Programs(program::Message::Noticed(file, notice));
                std::iter::once(noticed).chain(look).collect()
            }
            Action::Draw(ask) => vec![Effect::Draw(draw::Message::Ask(ask))],
            Action::OfFit(ask) => fit::update(ask, self.world(ctx)),
            Action::OfOrder(ask) => order::update(ask, self.world(ctx)),
            Action::AddPass(path, text) => order::add(path, &text, self.world(ctx)),
            Action::OfTools(ask) => tools::update(ask, self.world(ctx)),
            Action::OfRecord(ask) => record::update(ask),
            Action::CompareJob(path) => save::elsewhere(&self.desk, path, true),
            Action::Restore(index) => self.recovery.update(Offered::Restore(index)),
            Action::DiscardLeft(index) => self.recovery.update(Offered::Discard(index)),
            Action::OpenPaths(paths) => vec![Effect::Run(Errand::open(paths))],
            Action::Opened(opened) => {
                let loss = self.loss();
                self.guard.arrived(opened, &loss)
            }
            Action::Use(purpose, path) => {
                self.places.used(&path);
                self.use_path(ctx, purpose, path)
            }
            Action::Replace(Purpose::Record, path) => self.record(ctx, path, Existing::Replace),
            Action::Replace(purpose, path) => vec![Effect::Save(purpose, path, Existing::Asked)],
            Action::Chosen(path) => vec![Effect::OnTop(dialog::Message::Chosen(path))],
            Action::Browse(purpose) => {
                vec![Effect::Run(Errand::browse(purpose, &self.desk.origin().folder()))]
            }
            Action::Copy(image) => vec![Effect::Window(ToWindow::Copy(image))],
            Action::ToConfirm => {
                // Closed without an answer, the whole table is asked again.
                let untaken = self.desk.untaken().map(Dialog::set_up);
                vec![Effect::show(untaken.unwrap_or_else(|| Dialog::to_confirm(&self.desk)))]
            }
            Action::Answer => vec![Effect::show(Dialog::answer(&self.desk))],
            Action::Tell(trouble) => vec![Effect::tell(trouble)],
            Action::Close => vec![Effect::close(), Effect::Desk(desk::Message::Rest)],
        }
    }

    fn record(&self, ctx: &Context, path: PathBuf, existing: Existing) -> Effects {
        record::write(path, existing, self.world(ctx), self.programs.texts())
    }

    /// Which room wants a path of this purpose.
    fn use_path(&self, ctx: &Context, purpose: Purpose, path: PathBuf) -> Effects {
        match purpose {
            Purpose::Open => vec![Effect::close(), Effect::Run(Errand::open(vec![path]))],
            Purpose::BringIn | Purpose::Under => {
                vec![Effect::Draw(draw::Message::Ask(draw::Ask::File(path)))]
            }
            Purpose::Crib => vec![Effect::Run(Errand::read_crib(path))],
            Purpose::AddPass => vec![Effect::close(), Effect::Run(Errand::read_pass(path))],
            Purpose::Compare => {
                let open = matches!(self.on_top.open(), Some(Dialog::Compare(_)));
                let compare = (!open).then_some(Effect::Act(Action::Do(Command::CompareWith)));
                compare.into_iter().chain([Effect::OnTop(dialog::Message::Chosen(path))]).collect()
            }
            Purpose::SaveProgram => vec![Effect::Programs(program::Message::Save(path))],
            Purpose::Record => self.record(ctx, path, Existing::Keep),
            Purpose::SaveJob
            | Purpose::SaveCrib
            | Purpose::Window
            | Purpose::Plan
            | Purpose::Strip
            | Purpose::BuildUp
            | Purpose::Wall
            | Purpose::Block => vec![Effect::Save(purpose, path, Existing::Keep)],
        }
    }
}
