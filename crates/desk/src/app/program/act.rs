//! What is done with the programs.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use eframe::egui::Context;

use super::super::App;
use super::super::act::Action;
use super::super::command::Command;
use super::super::dialog::{Dialog, Purpose, Question};
use super::super::save;
use super::buffer::Buffer;
use super::find::Finder;
use super::typing::Typing;
use super::{Answer, Ask, Key, PAUSE, beside};
use crate::files::{self, Existing, PROGRAM_LIMIT, Print, Product, Reads};
use crate::open::Origin;

/// Does what the pane asks for.
pub(in crate::app) fn apply(app: &mut App, ctx: &Context, ask: Ask) {
    match ask {
        Ask::Edit(line) => edit(app, line),
        Ask::Type(text) => type_text(app, ctx, &text),
        Ask::Leave => leave(app),
        Ask::Find(text) => find(app, text),
        Ask::CloseFind => app.programs.pane.finder = None,
        Ask::Reload => reload(app),
        Ask::Keep => {
            if let Some(sheet) = picked_sheet(app) {
                sheet.posted_again = None;
            }
        }
        Ask::Replace(path) => replace_own(app, path),
        Ask::Adopt(key, name) => adopt(app, key, &name),
    }
}

/// Edits the selected line where it stands.
pub(in crate::app) fn edit_here(app: &mut App) {
    edit(app, app.look.line(app.desk.proof()).unwrap_or(1));
}

/// Opens the row for finding.
pub(in crate::app) fn ask_find(app: &mut App) {
    leave(app);
    let pane = &mut app.programs.pane;
    pane.finder.get_or_insert_with(|| Finder::new(String::new()));
    pane.ask_find = true;
}

/// Takes in what was done beside the window.
pub(in crate::app) fn answered(app: &mut App, answer: Answer) {
    match answer {
        Answer::Text(key, state, text) => {
            // A later state is on its way already.
            if app.programs.by_key(key).is_some_and(|sheet| sheet.state() == state) {
                hand_over(app, key, &text);
            }
        }
        Answer::Read(key, text) => {
            let Some(sheet) = app.programs.by_key(key) else { return };
            sheet.reload(Buffer::new(Arc::clone(&text)));
            app.programs.pane.typing = None;
            app.programs.due = None;
            app.programs.watch_all();
            hand_over(app, key, &text);
        }
        Answer::Saved(key, state, path) => saved(app, key, state, &path),
    }
}

/// Proves a text in all the passes that run it; the tool stays on its line.
fn hand_over(app: &mut App, key: Key, text: &Arc<[u8]>) {
    app.look.stay(app.desk.proof());
    app.desk.retype(&app.programs.slots_of(key.sheet), text);
}

fn picked_sheet(app: &mut App) -> Option<&mut super::Sheet> {
    let key = app.programs.key(app.look.pass)?;
    app.programs.by_key(key)
}

/// Opens a line for editing; the tool goes there.
fn edit(app: &mut App, line: u32) {
    leave(app);
    let Some(key) = app.programs.key(app.look.pass) else { return };
    let Some(index) = (line as usize).checked_sub(1) else { return };
    let Some(sheet) = app.programs.by_key(key).filter(|sheet| index < sheet.buffer().len()) else { return };
    let text = sheet.buffer().text(index);
    app.look.go_to_line(app.desk.proof(), line);
    app.programs.pane.typing = Some(Typing::new(key.sheet, index, text));
}

fn type_text(app: &mut App, ctx: &Context, text: &str) {
    let Some(typing) = &app.programs.pane.typing else { return };
    let (sheet, index) = (typing.sheet, typing.index);
    let typed = app.programs.sheets.get_mut(sheet).is_some_and(|sheet| sheet.type_line(index, text));
    if typed {
        touched(app, ctx, sheet);
    }
}

pub(in crate::app) fn leave(app: &mut App) {
    if let Some(typing) = app.programs.pane.typing.take()
        && let Some(sheet) = app.programs.sheets.get_mut(typing.sheet)
    {
        sheet.rest();
    }
}

/// A text has changed: it is proven once the hand rests.
fn touched(app: &mut App, ctx: &Context, sheet: usize) {
    if app.programs.due.is_some_and(|(other, _)| other != sheet) {
        prove_due(app, true, 0.0);
    }
    app.programs.due = Some((sheet, ctx.input(|input| input.time) + PAUSE));
    ctx.request_repaint_after(std::time::Duration::from_secs_f64(PAUSE));
}

/// Sends an edited text on its way to the proof when its time has come.
pub(in crate::app) fn tick(app: &mut App, ctx: &Context) {
    let now = ctx.input(|input| input.time);
    if !prove_due(app, false, now)
        && let Some((_, due)) = app.programs.due
    {
        ctx.request_repaint_after(std::time::Duration::from_secs_f64((due - now).max(0.01)));
    }
}

fn prove_due(app: &mut App, at_once: bool, now: f64) -> bool {
    let Some((sheet, _)) = app.programs.due.filter(|(_, due)| at_once || now >= *due) else { return false };
    app.programs.due = None;
    let key = Key { opened: app.programs.opened, sheet };
    let Some(sheet) = app.programs.by_key(key) else { return true };
    // Putting a long text together takes longer than a frame.
    let (buffer, state) = (sheet.buffer().clone(), sheet.state());
    app.outbox.answer("text", move || Ok(Answer::Text(key, state, buffer.whole())));
    true
}

pub(in crate::app) fn insert_line(app: &mut App, ctx: &Context) {
    leave(app);
    let line = app.look.line(app.desk.proof()).unwrap_or(0);
    let Some(key) = app.programs.key(app.look.pass) else { return };
    let put = |sheet: &mut super::Sheet| {
        let at = (line as usize).min(sheet.buffer().len());
        sheet.insert(at, &[String::new()]).then_some(at)
    };
    if let Some(at) = app.programs.by_key(key).and_then(put) {
        touched(app, ctx, key.sheet);
        app.look.pick_line(Some(at as u32 + 1));
        app.programs.pane.typing = Some(Typing::new(key.sheet, at, String::new()));
    }
}

pub(in crate::app) fn delete_line(app: &mut App, ctx: &Context) {
    leave(app);
    let Some(line) = app.look.line(app.desk.proof()) else { return };
    let Some(key) = app.programs.key(app.look.pass) else { return };
    let Some(sheet) = app.programs.by_key(key) else { return };
    if sheet.remove((line as usize).saturating_sub(1)) {
        let left = sheet.buffer().len() as u32;
        app.look.pick_line((left > 0).then(|| line.min(left)));
        touched(app, ctx, key.sheet);
    }
}

pub(in crate::app) fn step(app: &mut App, ctx: &Context, again: bool) {
    leave(app);
    let Some(key) = app.programs.key(app.look.pass) else { return };
    let Some(sheet) = app.programs.by_key(key) else { return };
    let at = if again { sheet.redo() } else { sheet.undo() };
    if let Some(at) = at {
        let last = sheet.buffer().len() as u32;
        app.look.pick_line((last > 0).then(|| (at as u32 + 1).min(last)));
        touched(app, ctx, key.sheet);
    }
}

pub(in crate::app) fn by_line(app: &mut App, by: i64) {
    let Some(sheet) = app.programs.sheet(app.look.pass) else { return };
    let lines = sheet.buffer().len() as i64;
    let to = i64::from(app.look.line(app.desk.proof()).unwrap_or(1)) + by;
    if lines > 0 {
        app.look.go_to_line(app.desk.proof(), to.clamp(1, lines) as u32);
    }
}

/// Takes another thing to look for.
fn find(app: &mut App, text: String) {
    match &mut app.programs.pane.finder {
        Some(finder) => finder.text = text,
        none => *none = Some(Finder::new(text)),
    }
}

pub(in crate::app) fn find_step(app: &mut App, on: bool) {
    let from = app.look.line(app.desk.proof()).unwrap_or(0);
    let Some(finder) = &app.programs.pane.finder else {
        app.programs.pane.finder = Some(Finder::new(String::new()));
        app.programs.pane.ask_find = true;
        return;
    };
    if let Some(line) = finder.step(from, on) {
        app.look.go_to_line(app.desk.proof(), line);
    }
}

pub(in crate::app) fn reload(app: &mut App) {
    let Some(key) = app.programs.key(app.look.pass) else { return };
    let Some(file) = app.programs.by_key(key).and_then(|sheet| sheet.file.clone()) else { return };
    app.outbox.answer("reload", move || Ok(Answer::Read(key, files::read(&file, PROGRAM_LIMIT)?.into())));
}

pub(in crate::app) fn ask_save(app: &mut App) {
    leave(app);
    let folder = app.desk.origin().folder();
    let Some(sheet) = app.programs.sheet(app.look.pass) else { return };
    let file = sheet.file.clone().unwrap_or_else(|| folder.join(&sheet.name));
    app.dialog = Some(Dialog::path(Purpose::SaveProgram, &beside(&file)));
}

/// Writes the edited program into a new file; one that is there is replaced only after a question.
pub(in crate::app) fn save(app: &mut App, ctx: &Context, path: PathBuf) {
    let Some(sheet) = app.programs.sheet(app.look.pass) else { return };
    let own = sheet.file.as_ref().is_some_and(|file| same_file(file, &path));
    if !own {
        return save::save(app, ctx, (Purpose::SaveProgram, path), Existing::Keep);
    }
    let (name, now) = (sheet.name.clone(), Print::at(&path));
    let changed = now.is_some_and(|now| now != sheet.read());
    let words = if changed {
        format!("{name} was changed by another program since it was read. If you replace it, that is gone.")
    } else {
        format!(
            "{name} is the program that was opened. If you replace it, the program as posted is gone from the job \
             folder."
        )
    };
    let mut answers = vec![
        (format!("Replace {name}"), Action::Program(Ask::Replace(path.clone()))),
        ("Choose another name".to_owned(), Action::Do(Command::SaveProgram)),
    ];
    if changed {
        answers.push(("Compare with it".to_owned(), Action::Use(Purpose::Compare, path)));
    }
    let title = "Replace the program?".to_owned();
    app.dialog = Some(Dialog::Question(Question { title, words, answers }));
}

fn same_file(one: &Path, other: &Path) -> bool {
    let real = |path: &Path| std::fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    one == other || real(one) == real(other)
}

/// Replaces the program's own file.
fn replace_own(app: &mut App, path: PathBuf) {
    let reads = save::reads(app).but(&path);
    write(app, path, reads, Existing::Asked);
}

/// Writes the edited program.
pub(in crate::app) fn write(app: &mut App, path: PathBuf, reads: Reads, existing: Existing) {
    app.dialog = None;
    let Some(key) = app.programs.key(app.look.pass) else { return };
    let Some(sheet) = app.programs.by_key(key) else { return };
    let (buffer, state) = (sheet.buffer().clone(), sheet.state());
    app.outbox.answer("save", move || {
        files::save(&path, &buffer.whole(), &reads, Product::Program, existing)
            .map_err(|blocked| blocked.trouble(&path, &save::WAYS))?;
        Ok(Answer::Saved(key, state, path))
    });
}

fn saved(app: &mut App, key: Key, state: u64, path: &Path) {
    let folder = app.desk.origin().folder();
    let built_in = *app.desk.origin() == Origin::Demo;
    app.desk.note_saved(path);
    let Some(sheet) = app.programs.by_key(key) else { return };
    let own = sheet.file.as_ref().is_some_and(|file| same_file(file, path));
    sheet.saved(state, path.to_path_buf());
    let old = sheet.name.clone();
    if own {
        sheet.saved_as = None;
        let bytes = sheet.buffer().whole();
        sheet.reload(Buffer::new(bytes));
        app.programs.watch_all();
        return;
    }
    let name = path.file_name().map(|name| name.to_string_lossy().into_owned());
    let beside = same_file(&files::folder_of(path), &folder);
    if let Some(name) = name.filter(|_| beside && !built_in) {
        app.dialog = Some(Dialog::Question(Question {
            title: "Use the new file in the job?".to_owned(),
            words: format!(
                "{name} is saved; {old} is unchanged. The job can run {name} in its place from now on. The \
                job file changes only when you save the job."
            ),
            answers: vec![
                (format!("Run {name}"), Action::Program(Ask::Adopt(key, name))),
                (format!("Keep {old}; go on showing the edits"), Action::Close),
            ],
        }));
    }
}

/// The passes of a program run the file it was saved in.
fn adopt(app: &mut App, key: Key, name: &str) {
    let Some(sheet) = app.programs.by_key(key) else { return };
    sheet.adopt(name);
    app.programs.watch_all();
    app.desk.rename(&app.programs.slots_of(key.sheet), name);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_file_under_two_names_is_one_file() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("1.nc");
        std::fs::write(&path, "").expect("written");
        assert!(same_file(&path, &folder.path().join("./1.nc")));
        assert!(!same_file(&path, &folder.path().join("2.nc")));
    }
}
