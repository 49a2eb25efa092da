//! What would be lost: asked before the window closes or something else is opened.

use eframe::egui::{Context, ViewportCommand};

use super::App;
use super::act::{self, Action};
use super::command::Command;
use super::dialog::{Dialog, Question};
use super::panel::words::sentence_start;

/// Everything that is in no file, each as it is named in a sentence.
pub(super) fn unsaved(app: &App) -> Vec<String> {
    let job = app.desk.on_disk().is_changed().then(|| "the job".to_owned());
    let sheet = app.draw.unsaved().map(|word| format!("the {word} on the sheet"));
    let programs = app.programs.unsaved().into_iter().map(str::to_owned);
    job.into_iter().chain(sheet).chain(programs).collect()
}

/// Does something that would lose what is not saved, or asks first.
pub(super) fn close_or_ask(app: &mut App, ctx: &Context, action: Action) {
    app.agreed = false;
    let reload = matches!(action, Action::Do(Command::Reload));
    let to_do = if reload { Vec::new() } else { app.desk.to_do() };
    let lost = if reload {
        let picked = app.programs.sheet(app.look.pass).filter(|sheet| sheet.is_edited());
        picked.map(|sheet| sheet.name.clone()).into_iter().collect()
    } else {
        unsaved(app)
    };
    if lost.is_empty() && to_do.is_empty() {
        return act::anyway(app, ctx, action);
    }
    let quits = matches!(action, Action::Do(Command::Quit));
    if quits {
        ctx.send_viewport_cmd(ViewportCommand::CancelClose);
    }
    let job = lost.iter().any(|name| name == "the job");
    app.dialog = Some(Dialog::Question(question((&lost, &to_do), job, quits, action)));
}

/// What was opened takes the place of what is on the desk. Reading it took a while, in which that may have been changed.
pub(super) fn arrived(app: &mut App, ctx: &Context, opened: Box<crate::open::Opened>) {
    if app.agreed || (unsaved(app).is_empty() && app.desk.to_do().is_empty()) {
        app.agreed = false;
        return app.put_on_desk(*opened);
    }
    close_or_ask(app, ctx, Action::Opened(opened));
}

fn question((lost, to_do): (&[String], &[String]), job: bool, quits: bool, action: Action) -> Question {
    let names = match lost {
        [one] => one.clone(),
        [some @ .., last] => format!("{} and {last}", some.join(", ")),
        [] => String::new(),
    };
    let have = if lost.len() == 1 { "has been changed and is" } else { "have been changed and are" };
    let mut words = Vec::new();
    if !lost.is_empty() {
        words.push(sentence_start(&format!("{names} {have} not saved.")));
    }
    if !to_do.is_empty() {
        words.push(format!("Not ticked as done at the machine: {}.", to_do.join("; then ")));
    }
    let (words, title) =
        (words.join(" "), if lost.is_empty() { "Not done yet" } else { "Changes that are not saved" });
    let go_on = match (lost.is_empty(), quits) {
        (true, true) => "Quit",
        (true, false) => "Go on",
        (false, true) => "Quit without saving",
        (false, false) => "Go on without saving",
    };
    let mut answers = vec![("Go back".to_owned(), Action::Close)];
    if job {
        answers.push(("Save the job…".to_owned(), Action::Do(Command::SaveJob)));
    }
    answers.push((go_on.to_owned(), Action::Anyway(Box::new(action))));
    Question { title: title.to_owned(), words, answers }
}
