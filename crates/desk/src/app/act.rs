//! The one place where the window's state is changed.

use std::path::PathBuf;
use std::sync::Arc;

use blockwright_core::job::Job;
use blockwright_core::units::Units;
use blockwright_core::view::{Along, Theme, Viewport};
use eframe::egui::{ColorImage, Context, Id, Theme as Side};

use super::App;
use super::centre;
use super::command::Command;
use super::dialog::{Dialog, Purpose};
use super::draw;
use super::follow::{follow, mark};
use super::look::{Hover, Tab};
use super::program::{self, Answer, Ask, Notice};
use super::record::Ask as RecordAsk;
use super::run::run;
use super::{fit, guard, order, recovery, save, tools};
use crate::files::{self, Existing, Product, Reads};
use crate::open::{self, Bare, Opened};
use crate::record::{self, Picture};
use crate::trouble::Trouble;

/// What a view asks for.
#[derive(Debug, Clone)]
pub enum Action {
    /// A command.
    Do(Command),
    /// Pick a pass.
    Pick(usize),
    /// Move the tool to this distance along the pass.
    Scrub(f64),
    /// Move the tool to the end of this program line.
    Line(u32),
    /// Go to a finding.
    Follow(usize),
    /// What of the plan is seen.
    See(Viewport),
    /// The place that the pointer lights.
    Hover(Option<Hover>),
    /// Notes have cards as well, or no longer.
    Notes(bool),
    /// A finding has been seen, or not yet after all.
    Seen(usize, bool),
    /// Whether the worst place of the finding is shown enlarged.
    Magnify(bool),
    /// What the strip runs along.
    Along(Along),
    /// How fast the tool runs.
    Speed(f64),
    /// Which list is under the strip.
    Tab(Tab),
    /// Something of the picture in the middle, or of what is measured at its station.
    Centre(centre::Ask),
    /// Something on the drawing sheet, or brought in.
    Draw(draw::Ask),
    /// Something in the pane of programs.
    Program(Ask),
    /// Work done beside the window.
    Answered(Answer),
    /// Something has become of a file that is open.
    Noticed(PathBuf, Notice),
    /// Tell what differs between the job on the desk and its file.
    CompareJob(PathBuf),
    /// This has been done at the machine.
    DoneAtMachine(String),
    /// Put what was left of this number on the desk.
    Restore(usize),
    /// Throw it away.
    DiscardLeft(usize),
    /// Let the job run this program in another pass.
    AddPass(PathBuf, Arc<[u8]>),
    /// Do it, whatever is lost by it.
    Anyway(Box<Action>),
    /// Open these files.
    OpenPaths(Vec<PathBuf>),
    /// What was opened.
    Opened(Box<Opened>),
    /// Use a path for something.
    Use(Purpose, PathBuf),
    /// Use a path for something and replace the file that is there: a person was asked for it by name.
    Replace(Purpose, PathBuf),
    /// A path chosen in the system's dialog.
    Chosen(PathBuf),
    /// Ask for a path in the system's dialog.
    Browse(Purpose),
    /// Prove this job.
    Edit(Box<Job>),
    /// Prove this job, from a field that is being typed into or dragged.
    TypeIn(Box<Job>, Id),
    /// Something in the panel of the fit.
    OfFit(fit::Ask),
    /// Something about the order of the passes.
    OfOrder(order::Ask),
    /// Something about the tools.
    OfTools(tools::Ask),
    /// What has become of the record.
    OfRecord(RecordAsk),
    /// Lay a picture on the clipboard.
    Copy(Box<ColorImage>),
    /// What programs without a job suggest.
    Suggested(Box<Bare>),
    /// Take the suggested job as a person has left it.
    SetUp(Box<Job>),
    /// Suggest it afresh in another unit.
    SetUpUnits(Units),
    /// This file has been written.
    Saved(PathBuf),
    /// Look at what waits to be confirmed.
    ToConfirm,
    /// Give what the findings ask for.
    Answer,
    /// Something went wrong elsewhere.
    Tell(Trouble),
    /// Close the window on top.
    Close,
}

/// Does it.
pub(super) fn apply(app: &mut App, ctx: &Context, action: Action) {
    match action {
        action if app.draw.guards(&action) => draw::ask_first(app, ctx, action),
        Action::OpenPaths(_)
        | Action::Use(Purpose::Open, _)
        | Action::Restore(_)
        | Action::Do(Command::Quit | Command::OpenDemo | Command::Reload) => {
            guard::close_or_ask(app, ctx, action);
        }
        other => anyway(app, ctx, other),
    }
}

/// Does it without asking what would be lost.
pub(super) fn anyway(app: &mut App, ctx: &Context, action: Action) {
    match action {
        Action::Do(command) => run(app, ctx, command),
        Action::Draw(ask) => draw::apply(app, ctx, ask),
        Action::Pick(pass) => pick(app, pass),
        Action::Scrub(to) => {
            app.look.playing = false;
            app.look.scrub(app.desk.proof(), to);
        }
        Action::Line(line) => app.look.go_to_line(app.desk.proof(), line),
        Action::Program(ask) => program::apply(app, ctx, ask),
        Action::Centre(ask) => centre::apply(app, ctx, ask),
        Action::Answered(answer) => program::answered(app, answer),
        Action::Noticed(file, notice) => {
            app.programs.noticed(&file, notice);
            if *app.desk.origin() == open::Origin::Job(file) {
                app.desk.look_elsewhere();
            }
        }
        Action::CompareJob(path) => save::elsewhere(app, path, true),
        Action::DoneAtMachine(words) => app.desk.done(&words),
        Action::Restore(index) => recovery::restore(app, index),
        Action::DiscardLeft(index) => recovery::discard(app, index),
        Action::AddPass(path, text) => order::add(app, &path, &text),
        Action::Anyway(action) => {
            app.agreed = true;
            anyway(app, ctx, *action);
        }
        Action::Follow(finding) => follow(app, finding),
        Action::See(viewport) => app.look.viewport = Some(viewport),
        Action::Hover(hover) => app.look.hover = hover,
        Action::Notes(notes) => app.look.notes = notes,
        Action::Magnify(magnified) => app.look.magnified = magnified,
        Action::Seen(finding, seen) => mark(app, finding, seen),
        Action::Along(along) => {
            app.look.along = along;
            app.look.hover = None;
        }
        Action::Speed(speed) => app.look.speed = speed,
        Action::Tab(tab) => app.look.tab = tab,
        Action::OpenPaths(paths) => app.outbox.open(paths),
        Action::Opened(opened) => guard::arrived(app, ctx, opened),
        Action::Use(purpose, path) => use_path(app, ctx, purpose, path),
        Action::Replace(Purpose::Record, path) => super::record::write(app, ctx, path, Existing::Replace),
        Action::Replace(purpose, path) => save::save(app, ctx, (purpose, path), Existing::Asked),
        Action::Chosen(path) => {
            if let Some(dialog) = &mut app.dialog {
                dialog.take_path(&path);
            }
        }
        Action::Browse(purpose) => app.outbox.browse(purpose, &app.desk.origin().folder()),
        Action::Edit(job) => app.desk.edit(*job),
        Action::TypeIn(job, grip) => app.desk.type_in(*job, grip),
        Action::OfFit(ask) => fit::apply(app, &ask),
        Action::OfOrder(ask) => order::apply(app, ask),
        Action::OfTools(ask) => tools::apply(app, ask),
        Action::OfRecord(ask) => super::record::apply(app, ask),
        Action::Copy(image) => ctx.copy_image(*image),
        Action::Suggested(bare) => {
            if app.desk.suggested(&bare) {
                app.dialog = Some(Dialog::set_up(&bare));
            }
        }
        Action::Saved(path) => app.desk.note_saved(&path),
        Action::SetUp(job) => {
            app.desk.set_up(*job);
            app.dialog = None;
        }
        Action::SetUpUnits(units) => app.desk.set_up_in(units),
        Action::ToConfirm => {
            // Closed without an answer, the whole table is asked again.
            let untaken = app.desk.untaken().map(Dialog::set_up);
            app.dialog = Some(untaken.unwrap_or_else(|| Dialog::to_confirm(&app.desk)));
        }
        Action::Answer => app.dialog = Some(Dialog::answer(&app.desk)),
        Action::Tell(trouble) => app.dialog = Some(Dialog::Trouble(trouble)),
        Action::Close => {
            app.dialog = None;
            app.desk.rest();
        }
    }
}

pub(super) fn pick(app: &mut App, pass: usize) {
    if pass < app.desk.job().passes.len() {
        app.look.pick(pass);
    }
}

pub(super) fn ask_picture(app: &mut App, purpose: Purpose, view: &str) {
    let view = super::copy::view_and_place(app, purpose, view);
    let path = app
        .desk
        .whole_proof()
        .map(|proof| record::picture_path(&app.desk.origin().folder(), proof, app.look.pass, &view));
    app.dialog = Some(match path {
        Some(path) => Dialog::path(purpose, &path),
        None => Dialog::Trouble(nothing_proven()),
    });
}

pub(super) fn nothing_proven() -> Trouble {
    Trouble::at("", "There is no result to draw yet", "wait until the job has been checked")
}

fn use_path(app: &mut App, ctx: &Context, purpose: Purpose, path: PathBuf) {
    match purpose {
        Purpose::Open => {
            app.dialog = None;
            app.outbox.open(vec![path]);
        }
        Purpose::BringIn | Purpose::Under => draw::apply(app, ctx, draw::Ask::File(path)),
        Purpose::Crib => app.outbox.read_crib(path),
        Purpose::AddPass => {
            app.dialog = None;
            app.outbox.read_pass(path);
        }
        Purpose::Compare => {
            if !matches!(app.dialog, Some(Dialog::Compare(_))) {
                run(app, ctx, Command::CompareWith);
            }
            if let Some(dialog) = &mut app.dialog {
                dialog.take_path(&path);
            }
        }
        Purpose::SaveProgram => program::save(app, ctx, path),
        Purpose::Record => super::record::write(app, ctx, path, Existing::Keep),
        _ => save::save(app, ctx, (purpose, path), Existing::Keep),
    }
}

/// Draws a picture and writes it beside the window: drawing a large one takes longer than a frame.
pub(super) fn picture(
    app: &mut App,
    ctx: &Context,
    (purpose, path): (Purpose, PathBuf),
    (reads, existing): (Reads, Existing),
) {
    let kind = picture_kind(app, purpose);
    let (pass, _) = app.place();
    let (Some(kind), Some(proof)) = (kind, app.desk.whole_proof().cloned()) else {
        app.dialog = Some(Dialog::Trouble(nothing_proven()));
        return;
    };
    app.dialog = None;
    let theme = theme(ctx);
    app.outbox.write("picture", path, move |path| {
        let png = record::picture(&proof, pass, kind, &record::today(), &theme)?;
        files::save(path, &png, &reads, Product::Picture, existing)
            .map_err(|blocked| blocked.trouble(path, &save::WAYS))
    });
}

/// What a picture is to show.
pub(super) fn picture_kind(app: &App, purpose: Purpose) -> Option<Picture> {
    match purpose {
        Purpose::Plan => Some(Picture::Plan(Some(app.place().1))),
        Purpose::Strip => Some(Picture::Strip),
        Purpose::BuildUp => Some(Picture::BuildUp),
        _ => centre::picture(app, purpose),
    }
}

/// The colours in use.
pub(super) fn theme(ctx: &Context) -> Theme {
    if ctx.theme() == Side::Dark { Theme::dark() } else { Theme::light() }
}
