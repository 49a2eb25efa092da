//! Which room answers to a command: the one list that names them all, so that none is forgotten.

use eframe::egui::Context;

use super::App;
use crate::app::centre::{self, Ask as CentreAsk, Shown};
use crate::app::command::Command;
use crate::app::desk;
use crate::app::dialog::{Dialog, Purpose, SearchDialog};
use crate::app::draw::{Message as OfDraw, OnSheet, Target};
use crate::app::look::{Message as OfLook, Tab};
use crate::app::outbox::Errand;
use crate::app::panes::{Message as OfPanes, Side as Pane};
use crate::app::program::{Ask, Message as OfPrograms};
use crate::app::rewrite::Rewriting;
use crate::app::room::{Effect, Effects, ToWindow};
use crate::app::{copy, mark, measured, order, record, save, tools};

impl App {
    /// Does it.
    pub(super) fn command(&self, ctx: &Context, command: Command) -> Effects {
        let (world, desk) = (self.world(ctx), &self.desk);
        let ask = |purpose| vec![Effect::ask_path(purpose, &desk.origin().folder())];
        let sheet = |asked| vec![Effect::Draw(OfDraw::Run(asked))];
        let look = |message| vec![Effect::Look(message)];
        let to_desk = |message| vec![Effect::Desk(message)];
        let programs = |message| vec![Effect::Programs(message)];
        let panes = |message| vec![Effect::Panes(message)];
        let show = |dialog| vec![Effect::show(dialog)];
        match command {
            Command::Open => ask(Purpose::Open),
            Command::OpenDemo => vec![Effect::Run(Errand::open(Vec::new()))],
            Command::SaveJob => save::ask_job(desk),
            Command::Record => record::ask(desk),
            Command::Measured => measured::ask(world),
            Command::MarkWall => mark::toggle(world),
            Command::EditJob => show(Dialog::edit(desk.job().clone())),
            Command::TakeBack => vec![Effect::Desk(desk::Message::TakeBack(order::slot(world)))],
            Command::DoAgain => vec![Effect::Desk(desk::Message::DoAgain(order::slot(world)))],
            Command::Tools => tools::open(world),
            Command::ToolsFromCrib => tools::ask_crib(Purpose::Crib, world),
            Command::SaveCrib => tools::ask_crib(Purpose::SaveCrib, world),
            Command::Quit => vec![Effect::Leave],
            Command::DrawOutline => vec![Effect::Draw(OfDraw::Open(Target::Outline))],
            Command::DrawEdge => vec![Effect::Draw(OfDraw::Open(Target::Edge))],
            Command::BringIn => ask(Purpose::BringIn),
            Command::BlankFit => {
                vec![Effect::Look(OfLook::Tab(Tab::Fit)), Effect::Panes(OfPanes::ShowBelow)]
            }
            Command::KeepClear => look(OfLook::DrawArea),
            Command::AddPass => ask(Purpose::AddPass),
            Command::PassOrder => show(Dialog::Order(Box::default())),
            Command::PassUp => order::up(world),
            Command::PassDown => order::down(world),
            Command::LeaveOut => order::leave_out(world),
            Command::EditLine => programs(OfPrograms::EditHere),
            Command::InsertLine => programs(OfPrograms::InsertLine),
            Command::DeleteLine => programs(OfPrograms::DeleteLine),
            // While the sheet is open, these are the sheet's.
            Command::Undo if self.draw.is_open() => sheet(OnSheet::Undo),
            Command::Redo if self.draw.is_open() => sheet(OnSheet::Redo),
            Command::Fit if self.draw.is_open() => sheet(OnSheet::ShowAll),
            Command::Undo => programs(OfPrograms::Undo),
            Command::Redo => programs(OfPrograms::Redo),
            Command::Find => programs(OfPrograms::AskFind),
            Command::FindNext => programs(OfPrograms::FindStep(true)),
            Command::FindBefore => programs(OfPrograms::FindStep(false)),
            Command::LineBefore => programs(OfPrograms::ByLine(-1)),
            Command::LineAfter => programs(OfPrograms::ByLine(1)),
            Command::SaveProgram => programs(OfPrograms::AskSave),
            Command::Reload => programs(OfPrograms::Reload),
            Command::AirPass => rewrite(Rewriting::Air),
            Command::MakeReady => rewrite(Rewriting::Ready),
            Command::CompareWith => rewrite(Rewriting::Compare),
            Command::PictureOfWindow => copy::ask(Purpose::Window, "window", world),
            Command::PictureOfPlan => copy::ask(Purpose::Plan, "plan", world),
            Command::PictureOfStrip => copy::ask(Purpose::Strip, "strip", world),
            Command::PictureOfWall => copy::ask(Purpose::Wall, "wall", world),
            Command::PictureOfBlock => copy::ask(Purpose::Block, "block", world),
            Command::PictureOfBuildUp => copy::ask(Purpose::BuildUp, "build-up", world),
            Command::CopyWindow => copy::window(),
            Command::CopyPicture => copy::shown(world),
            Command::CopyGraph => copy::picture(Purpose::Strip, world),
            Command::ShowPlan => look(OfLook::Centre(CentreAsk::Show(Shown::Plan))),
            Command::ShowWall => look(OfLook::Centre(CentreAsk::Show(Shown::Wall))),
            Command::ShowBlock => look(OfLook::Centre(CentreAsk::Show(Shown::Block))),
            Command::Fit => look(OfLook::ShowAll),
            Command::PassBefore => look(OfLook::Before),
            Command::PassAfter => look(OfLook::After),
            Command::FindingAfter => look(OfLook::Walk(true)),
            Command::FindingBefore => look(OfLook::Walk(false)),
            Command::CloseMagnifier => look(OfLook::Magnify(false)),
            Command::PaneLeft => panes(OfPanes::Turn(Pane::Left)),
            Command::PaneRight => panes(OfPanes::Turn(Pane::Right)),
            Command::PaneBelow => panes(OfPanes::Turn(Pane::Below)),
            Command::PictureAlone => panes(OfPanes::TurnAlone),
            Command::FromAbove => look(OfLook::SeeBlock(0.0, 90.0)),
            Command::FromFront => look(OfLook::SeeBlock(0.0, 0.0)),
            Command::FromSide => look(OfLook::SeeBlock(90.0, 0.0)),
            Command::FromCorner => look(OfLook::SeeCorner),
            Command::OtherUnit => to_desk(desk::Message::OtherUnit),
            Command::EnlargeStock => look(OfLook::EnlargeStock),
            Command::FinerHere => centre::finer_here(world),
            Command::Finer => to_desk(desk::Message::ScaleCells(0.5)),
            Command::Coarser => to_desk(desk::Message::ScaleCells(2.0)),
            Command::Dark => vec![Effect::Window(ToWindow::OtherTheme)],
            Command::Search => show(Dialog::Search(SearchDialog::default())),
            Command::Keys => show(Dialog::Keys),
            Command::Meanings => show(Dialog::Meanings),
            Command::Cautions => show(Dialog::Cautions),
            Command::Back => look(OfLook::Step(-0.005)),
            Command::On => look(OfLook::Step(0.005)),
            Command::FarBack => look(OfLook::Step(-0.05)),
            Command::FarOn => look(OfLook::Step(0.05)),
            Command::Start => look(OfLook::Step(-1.0)),
            Command::End => look(OfLook::Step(1.0)),
            Command::Play => look(OfLook::Play),
            Command::Stop => to_desk(desk::Message::Stop),
        }
    }
}

/// Makes a program of the one that is shown, as it stands once the line being typed is left.
fn rewrite(what: Rewriting) -> Effects {
    vec![Effect::Programs(OfPrograms::Ask(Ask::Leave)), Effect::Rewrite(what)]
}
