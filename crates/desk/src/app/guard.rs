//! What would be lost: asked before the window closes or something else is opened.

use eframe::egui::{Context, ViewportCommand};

use super::App;
use super::act::{self, Action};
use super::command::Command;
use super::dialog::{Dialog, Question};

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
    let lost = if matches!(action, Action::Do(Command::Reload)) {
        let picked = app.programs.sheet(app.look.pass).filter(|sheet| sheet.is_edited());
        picked.map(|sheet| sheet.name.clone()).into_iter().collect()
    } else {
        unsaved(app)
    };
    if lost.is_empty() {
        return act::anyway(app, ctx, action);
    }
    let quits = matches!(action, Action::Do(Command::Quit));
    if quits {
        ctx.send_viewport_cmd(ViewportCommand::CancelClose);
    }
    let job = lost.iter().any(|name| name == "the job");
    app.dialog = Some(Dialog::Question(question(&lost, job, quits, action)));
}

/// What was opened takes the place of what is on the desk. Reading it took a while, in which that may have been changed.
pub(super) fn arrived(app: &mut App, ctx: &Context, opened: Box<crate::open::Opened>) {
    if app.agreed || unsaved(app).is_empty() {
        app.agreed = false;
        return app.put_on_desk(*opened);
    }
    close_or_ask(app, ctx, Action::Opened(opened));
}

fn question(lost: &[String], job: bool, quits: bool, action: Action) -> Question {
    let names = match lost {
        [one] => one.clone(),
        [some @ .., last] => format!("{} and {last}", some.join(", ")),
        [] => String::new(),
    };
    let have = if lost.len() == 1 { "has been changed and is" } else { "have been changed and are" };
    let words = super::panel::words::sentence_start(&format!("{names} {have} not saved."));
    let go_on = if quits { "Quit without saving" } else { "Go on without saving" };
    let mut answers = vec![("Go back".to_owned(), Action::Close)];
    if job {
        answers.push(("Save the job…".to_owned(), Action::Do(Command::SaveJob)));
    }
    answers.push((go_on.to_owned(), Action::Anyway(Box::new(action))));
    Question { title: "Changes that are not saved".to_owned(), words, answers }
}
