//! What each command does: the one list that names them all, so that none is forgotten.

use blockwright_core::view::Camera;
use eframe::egui::{Context, Theme as Side, ViewportCommand};

use super::App;
use super::act::{ask_picture, pick};
use super::centre::{self, Ask as CentreAsk, Shown};
use super::command::Command;
use super::dialog::{Dialog, Purpose, SearchDialog};
use super::draw::{self, OnSheet, Target};
use super::follow::walk;
use super::keep::Sketch;
use super::look::Tab;
use super::panes::Side as Pane;
use super::rewrite::{self, Rewriting};
use super::{copy, mark, measured, order, program, record, tools};
use crate::files;
use crate::open;

/// Does it.
pub(super) fn run(app: &mut App, ctx: &Context, command: Command) {
    match command {
        Command::Open => app.dialog = Some(Dialog::path(Purpose::Open, &app.desk.origin().folder())),
        Command::OpenDemo => app.outbox.open(Vec::new()),
        Command::SaveJob => ask_save(app),
        Command::Record => record::ask(app),
        Command::Measured => measured::ask(app),
        Command::MarkWall => mark::toggle(app),
        Command::EditJob => app.dialog = Some(Dialog::edit(app.desk.job().clone())),
        Command::TakeBack => order::step(app, false),
        Command::DoAgain => order::step(app, true),
        Command::Tools => tools::open(app),
        Command::ToolsFromCrib => tools::ask_crib(app, Purpose::Crib),
        Command::SaveCrib => tools::ask_crib(app, Purpose::SaveCrib),
        Command::Quit => {
            app.leaving = true;
            app.recovery.give_up();
            ctx.send_viewport_cmd(ViewportCommand::Close);
        }
        Command::DrawOutline => draw::open(app, Target::Outline),
        Command::DrawEdge => draw::open(app, Target::Edge),
        Command::BringIn => app.dialog = Some(Dialog::path(Purpose::BringIn, &app.desk.origin().folder())),
        Command::BlankFit => {
            app.look.tab = Tab::Fit;
            app.panes.show_below();
        }
        Command::KeepClear => {
            app.look.centre.shown = Shown::Plan;
            centre::apply(app, ctx, CentreAsk::Sketch(Some(Sketch::default())));
        }
        Command::AddPass => app.dialog = Some(Dialog::path(Purpose::AddPass, &app.desk.origin().folder())),
        Command::PassOrder => app.dialog = Some(Dialog::Order(Box::default())),
        Command::PassUp => order::up(app),
        Command::PassDown => order::down(app),
        Command::LeaveOut => order::leave_out(app),
        Command::EditLine => program::edit_here(app),
        Command::InsertLine => program::insert_line(app, ctx),
        Command::DeleteLine => program::delete_line(app, ctx),
        Command::Undo => step(app, ctx, OnSheet::Undo),
        Command::Redo => step(app, ctx, OnSheet::Redo),
        Command::Find => program::ask_find(app),
        Command::FindNext => program::find_step(app, true),
        Command::FindBefore => program::find_step(app, false),
        Command::LineBefore => program::by_line(app, -1),
        Command::LineAfter => program::by_line(app, 1),
        Command::SaveProgram => program::ask_save(app),
        Command::Reload => program::reload(app),
        Command::AirPass => rewrite::open(app, Rewriting::Air),
        Command::MakeReady => rewrite::open(app, Rewriting::Ready),
        Command::CompareWith => rewrite::open(app, Rewriting::Compare),
        Command::PictureOfWindow => ask_picture(app, Purpose::Window, "window"),
        Command::PictureOfPlan => ask_picture(app, Purpose::Plan, "plan"),
        Command::PictureOfStrip => ask_picture(app, Purpose::Strip, "strip"),
        Command::PictureOfWall => ask_picture(app, Purpose::Wall, "wall"),
        Command::PictureOfBlock => ask_picture(app, Purpose::Block, "block"),
        Command::PictureOfBuildUp => ask_picture(app, Purpose::BuildUp, "build-up"),
        Command::CopyWindow => copy::window(ctx),
        Command::CopyPicture => copy::shown(app, ctx),
        Command::CopyGraph => copy::picture(app, ctx, Purpose::Strip),
        Command::ShowPlan => app.look.centre.shown = Shown::Plan,
        Command::ShowWall => app.look.centre.shown = Shown::Wall,
        Command::ShowBlock => app.look.centre.shown = Shown::Block,
        Command::Fit => show_all(app),
        // While a finding is looked at, the arrows walk the cards.
        Command::PassBefore if app.look.finding.is_some() => walk(app, false),
        Command::PassAfter if app.look.finding.is_some() => walk(app, true),
        Command::PassBefore => pick(app, app.look.pass.saturating_sub(1)),
        Command::PassAfter => pick(app, app.look.pass + 1),
        Command::FindingAfter => walk(app, true),
        Command::FindingBefore => walk(app, false),
        Command::CloseMagnifier => app.look.magnified = false,
        Command::PaneLeft => app.panes.turn(Pane::Left),
        Command::PaneRight => app.panes.turn(Pane::Right),
        Command::PaneBelow => app.panes.turn(Pane::Below),
        Command::PictureAlone => app.panes.turn_alone(),
        Command::FromAbove => see_block(app, 0.0, 90.0),
        Command::FromFront => see_block(app, 0.0, 0.0),
        Command::FromSide => see_block(app, 90.0, 0.0),
        Command::FromCorner => {
            let corner = Camera::default();
            see_block(app, corner.turn, corner.tilt);
        }
        Command::OtherUnit => app.desk.tell_in_other(),
        Command::EnlargeStock => app.look.centre.stock = !app.look.centre.stock,
        Command::FinerHere => centre::finer_here(app),
        Command::Finer => app.desk.scale_cells(0.5),
        Command::Coarser => app.desk.scale_cells(2.0),
        Command::Dark => ctx.set_theme(if ctx.theme() == Side::Dark { Side::Light } else { Side::Dark }),
        Command::Search => app.dialog = Some(Dialog::Search(SearchDialog::default())),
        Command::Keys => app.dialog = Some(Dialog::Keys),
        Command::Meanings => app.dialog = Some(Dialog::Meanings),
        Command::Cautions => app.dialog = Some(Dialog::Cautions),
        Command::Back => app.look.step(app.desk.proof(), -0.005),
        Command::On => app.look.step(app.desk.proof(), 0.005),
        Command::FarBack => app.look.step(app.desk.proof(), -0.05),
        Command::FarOn => app.look.step(app.desk.proof(), 0.05),
        Command::Start => app.look.step(app.desk.proof(), -1.0),
        Command::End => app.look.step(app.desk.proof(), 1.0),
        Command::Play => app.look.toggle_play(app.desk.proof()),
        Command::Stop => app.desk.stop(),
    }
}

/// Asks where the job is to be saved.
fn ask_save(app: &mut App) {
    let name = app.desk.job().name.as_deref().unwrap_or("job");
    let path = match app.desk.origin() {
        open::Origin::Job(file) => file.clone(),
        _ => app.desk.origin().folder().join(format!("{}.json", files::slug(name))),
    };
    app.dialog = Some(Dialog::path(Purpose::SaveJob, &path));
}

/// Undo and redo are the sheet's while one is open, else the program's.
fn step(app: &mut App, ctx: &Context, asked: OnSheet) {
    if app.draw.is_open() {
        app.draw.on_sheet(asked);
    } else {
        program::step(app, ctx, asked == OnSheet::Redo);
    }
}

/// Shows all of what is in the middle of the window.
fn show_all(app: &mut App) {
    if app.draw.is_open() {
        return app.draw.on_sheet(OnSheet::ShowAll);
    }
    let centre = &mut app.look.centre;
    match centre.shown {
        Shown::Plan => app.look.viewport = None,
        Shown::Wall => centre.wall_view = None,
        Shown::Block => centre.camera = Camera { zoom: 1.0, pan: [0.0; 2], ..centre.camera },
    }
}

/// Shows the block, seen from where it is turned and tilted like this, degrees.
fn see_block(app: &mut App, turn: f64, tilt: f64) {
    app.look.centre.shown = Shown::Block;
    app.look.centre.camera = Camera { turn, tilt, ..Camera::default() };
}
