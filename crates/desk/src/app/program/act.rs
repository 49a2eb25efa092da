//! What is done with the programs.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::buffer::Buffer;
use super::find::Finder;
use super::typing::Typing;
use super::{Answer, Ask, Key, Message, PAUSE, Programs, Sheet, beside};
use crate::app::act::Action;
use crate::app::command::Command;
use crate::app::desk;
use crate::app::dialog::{Dialog, Purpose, Question};
use crate::app::look;
use crate::app::outbox::Errand;
use crate::app::room::{Effect, Effects, ToWindow, World};
use crate::app::save;
use crate::files::{self, Existing, PROGRAM_LIMIT, Print, Product, Reads};
use crate::open::Origin;

impl Programs {
    /// Does it.
    pub(in crate::app) fn update(&mut self, message: Message, world: World<'_>) -> Effects {
        let line = || world.look.line(world.desk.proof());
        match message {
            Message::Ask(ask) => return self.ask(ask, world),
            Message::Answered(answer) => return self.answered(answer, world),
            Message::Open => self.open(world.desk),
            Message::Arrange => self.arrange(world.desk.order()),
            Message::Add(name, file, text) => self.add(&name, file, &text),
            Message::Homed => self.homed(world.desk),
            Message::Restore(edits) => return self.restore_all(edits, world),
            Message::Noticed(file, notice) => self.noticed(&file, notice),
            Message::EditHere => return self.edit(line().unwrap_or(1), world),
            Message::InsertLine => return self.insert_line(line().unwrap_or(0), world),
            Message::DeleteLine => {
                return line().map(|line| self.delete_line(line, world)).unwrap_or_default();
            }
            Message::Undo => return self.step(false, world),
            Message::Redo => return self.step(true, world),
            Message::ByLine(by) => return self.by_line(by, world),
            Message::AskFind => {
                self.leave();
                self.ask_find();
            }
            Message::FindStep(on) => return self.find_step(on, line().unwrap_or(0)),
            Message::Reload => return self.reload(world),
            Message::AskSave => return self.ask_save(world),
            Message::Save(path) => return self.save(path, world),
            Message::Write(path, reads, existing) => return self.write(path, reads, existing, world),
            Message::Tick => return self.tick(world),
        }
        Vec::new()
    }

    /// Does what the pane asks for.
    fn ask(&mut self, ask: Ask, world: World<'_>) -> Effects {
        match ask {
            Ask::Edit(line) => return self.edit(line, world),
            Ask::Type(text) => return self.type_text(&text, world),
            Ask::Leave => self.leave(),
            Ask::Find(text) => self.find(text),
            Ask::CloseFind => self.pane.finder = None,
            Ask::Reload => return self.reload(world),
            Ask::Keep => {
                if let Some(sheet) = self.key(world.look.pass).and_then(|key| self.by_key(key)) {
                    sheet.keep_shown();
                }
            }
            Ask::Replace(path) => {
                let reads = save::reads(world.desk, self.texts()).but(&path);
                return self.write(path, reads, Existing::Asked, world);
            }
            Ask::Adopt(key, name) => return self.adopt(key, name),
        }
        Vec::new()
    }

    /// Takes in what was done beside the window.
    fn answered(&mut self, answer: Answer, world: World<'_>) -> Effects {
        match answer {
            Answer::Text(key, state, text) => {
                // A later state is on its way already.
                let current = self.by_key(key).is_some_and(|sheet| sheet.state() == state);
                if current { self.hand_over(key, text) } else { Vec::new() }
            }
            Answer::Read(key, state, text) => {
                let own = self.key(world.look.pass) == Some(key);
                let Some(sheet) = self.by_key(key) else { return Vec::new() };
                if sheet.state() != state {
                    // It was edited while the file was read: what would be lost by that is asked first.
                    return own.then(|| Effect::Act(Action::Do(Command::Reload))).into_iter().collect();
                }
                sheet.reload(Buffer::new(Arc::clone(&text)));
                self.pane.typing = None;
                self.due = None;
                self.watch_all();
                self.hand_over(key, text)
            }
            Answer::Saved(key, state, path) => self.saved(key, state, &path, world),
        }
    }

    /// Has a text checked in all the passes that run it; the tool stays on its line.
    fn hand_over(&self, key: Key, text: Arc<[u8]>) -> Effects {
        let slots = self.slots_of(key.sheet);
        vec![Effect::Look(look::Message::Stay), Effect::Desk(desk::Message::Retype(slots, text))]
    }

    /// Puts back the texts that were in no file when Blockwright ended, pass by pass.
    fn restore_all(&mut self, edits: Vec<Option<Arc<[u8]>>>, world: World<'_>) -> Effects {
        let there = &world.desk.source().programs;
        let mut effects = Vec::new();
        for (pass, text) in edits.into_iter().enumerate() {
            let differs = |text: &Arc<[u8]>| there.get(pass).is_none_or(|there| there != text);
            let Some(text) = text.filter(differs) else { continue };
            self.restore(pass, &text);
            effects.push(Effect::Desk(desk::Message::Retype(self.slots_with(pass), text)));
        }
        effects
    }

    /// Opens a line for editing; the tool goes there.
    fn edit(&mut self, line: u32, world: World<'_>) -> Effects {
        self.leave();
        let Some(key) = self.key(world.look.pass) else { return Vec::new() };
        let Some(index) = (line as usize).checked_sub(1) else { return Vec::new() };
        let sheet = self.by_key(key).filter(|sheet| index < sheet.buffer().len());
        let Some(text) = sheet.map(|sheet| sheet.buffer().text(index)) else { return Vec::new() };
        self.pane.typing = Some(Typing::new(key.sheet, index, text));
        vec![Effect::Look(look::Message::Line(line))]
    }

    fn type_text(&mut self, text: &str, world: World<'_>) -> Effects {
        let Some(typing) = &self.pane.typing else { return Vec::new() };
        let (sheet, index) = (typing.sheet, typing.index);
        let typed = self.sheets.get_mut(sheet).is_some_and(|sheet| sheet.type_line(index, text));
        if typed { self.touched(sheet, world) } else { Vec::new() }
    }

    fn leave(&mut self) {
        if let Some(typing) = self.pane.typing.take()
            && let Some(sheet) = self.sheets.get_mut(typing.sheet)
        {
            sheet.rest();
        }
    }

    /// A text has changed: it is checked once the hand rests.
    fn touched(&mut self, sheet: usize, world: World<'_>) -> Effects {
        let other = self.due.filter(|(other, _)| *other != sheet);
        let mut effects: Effects = other.and_then(|_| self.take_due()).into_iter().collect();
        self.due = Some((sheet, now(world) + PAUSE));
        effects.push(Effect::Window(ToWindow::WakeIn(PAUSE)));
        effects
    }

    /// Sends an edited text on its way to the check when its time has come.
    fn tick(&mut self, world: World<'_>) -> Effects {
        let now = now(world);
        match self.due {
            Some((_, due)) if now < due => vec![Effect::Window(ToWindow::WakeIn(due - now))],
            Some(_) => self.take_due().into_iter().collect(),
            None => Vec::new(),
        }
    }

    fn take_due(&mut self) -> Option<Effect> {
        let (sheet, _) = self.due.take()?;
        let key = Key { opened: self.opened, sheet };
        let sheet = self.by_key(key)?;
        // Putting a long text together takes longer than a frame.
        let (buffer, state) = (sheet.buffer().clone(), sheet.state());
        Some(Effect::Run(Errand::answer("text", move || Ok(Answer::Text(key, state, buffer.whole())))))
    }

    fn insert_line(&mut self, line: u32, world: World<'_>) -> Effects {
        self.leave();
        let Some(key) = self.key(world.look.pass) else { return Vec::new() };
        let put = |sheet: &mut Sheet| {
            let at = (line as usize).min(sheet.buffer().len());
            sheet.insert(at, &[String::new()]).then_some(at)
        };
        let Some(at) = self.by_key(key).and_then(put) else { return Vec::new() };
        let mut effects = self.touched(key.sheet, world);
        self.pane.typing = Some(Typing::new(key.sheet, at, String::new()));
        effects.push(Effect::Look(look::Message::PickLine(Some(at as u32 + 1))));
        effects
    }

    fn delete_line(&mut self, line: u32, world: World<'_>) -> Effects {
        self.leave();
        let Some(key) = self.key(world.look.pass) else { return Vec::new() };
        let Some(sheet) = self.by_key(key) else { return Vec::new() };
        if !sheet.remove((line as usize).saturating_sub(1)) {
            return Vec::new();
        }
        let left = sheet.buffer().len() as u32;
        let mut effects = self.touched(key.sheet, world);
        effects.push(Effect::Look(look::Message::PickLine((left > 0).then(|| line.min(left)))));
        effects
    }

    fn step(&mut self, again: bool, world: World<'_>) -> Effects {
        self.leave();
        let Some(key) = self.key(world.look.pass) else { return Vec::new() };
        let Some(sheet) = self.by_key(key) else { return Vec::new() };
        let at = if again { sheet.redo() } else { sheet.undo() };
        let Some(at) = at else { return Vec::new() };
        let last = sheet.buffer().len() as u32;
        let mut effects = self.touched(key.sheet, world);
        let line = (last > 0).then(|| (at as u32 + 1).min(last));
        effects.push(Effect::Look(look::Message::PickLine(line)));
        effects
    }

    fn by_line(&self, by: i64, world: World<'_>) -> Effects {
        let lines = self.sheet(world.look.pass).map_or(0, |sheet| sheet.buffer().len() as i64);
        let to = i64::from(world.look.line(world.desk.proof()).unwrap_or(1)) + by;
        let line = (lines > 0).then(|| to.clamp(1, lines) as u32);
        line.map(|line| Effect::Look(look::Message::Line(line))).into_iter().collect()
    }

    /// Opens the row for finding.
    fn ask_find(&mut self) {
        self.pane.finder.get_or_insert_with(|| Finder::new(String::new()));
        self.pane.ask_find = true;
    }

    /// Takes another thing to look for.
    fn find(&mut self, text: String) {
        match &mut self.pane.finder {
            Some(finder) => finder.text = text,
            none => *none = Some(Finder::new(text)),
        }
    }

    fn find_step(&mut self, on: bool, from: u32) -> Effects {
        let Some(finder) = &self.pane.finder else {
            self.ask_find();
            return Vec::new();
        };
        let line = finder.step(from, on);
        line.map(|line| Effect::Look(look::Message::Line(line))).into_iter().collect()
    }

    fn reload(&mut self, world: World<'_>) -> Effects {
        let Some(key) = self.key(world.look.pass) else { return Vec::new() };
        let Some(sheet) = self.by_key(key) else { return Vec::new() };
        let (Some(file), state) = (sheet.file.clone(), sheet.state()) else { return Vec::new() };
        let read = move || Ok(Answer::Read(key, state, files::read(&file, PROGRAM_LIMIT)?.into()));
        vec![Effect::Run(Errand::answer("reload", read))]
    }

    fn ask_save(&mut self, world: World<'_>) -> Effects {
        self.leave();
        let Some(sheet) = self.sheet(world.look.pass) else { return Vec::new() };
        let file = sheet.file.clone().unwrap_or_else(|| world.desk.origin().folder().join(&sheet.name));
        vec![Effect::ask_path(Purpose::SaveProgram, &beside(&file))]
    }

    /// Writes the edited program into a new file; one that is there is replaced only after a question.
    fn save(&self, path: PathBuf, world: World<'_>) -> Effects {
        let Some(sheet) = self.sheet(world.look.pass) else { return Vec::new() };
        let own = sheet.file.as_ref().is_some_and(|file| same_file(file, &path));
        if !own {
            return vec![Effect::Save(Purpose::SaveProgram, path, Existing::Keep)];
        }
        let (name, now) = (sheet.name.clone(), Print::at(&path));
        let changed = now.is_some_and(|now| now != sheet.read());
        let words = if changed {
            format!(
                "{name} was changed by another application since it was read. If you replace it, that is gone."
            )
        } else {
            format!(
                "{name} is the program that was opened. If you replace it, the program as posted is gone from the \
                 job folder."
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
        vec![Effect::show(Dialog::Question(Question { title, words, answers }))]
    }

    /// Writes the edited program.
    fn write(&mut self, path: PathBuf, reads: Reads, existing: Existing, world: World<'_>) -> Effects {
        let mut effects = vec![Effect::close()];
        let sheet = self.key(world.look.pass).and_then(|key| Some((key, self.by_key(key)?)));
        let Some((key, sheet)) = sheet else { return effects };
        let (buffer, state) = (sheet.buffer().clone(), sheet.state());
        effects.push(Effect::Run(Errand::answer("save", move || {
            files::save(&path, &buffer.whole(), &reads, Product::Program, existing)
                .map_err(|blocked| blocked.trouble(&path, &save::WAYS))?;
            Ok(Answer::Saved(key, state, path))
        })));
        effects
    }

    fn saved(&mut self, key: Key, state: u64, path: &Path, world: World<'_>) -> Effects {
        let origin = world.desk.origin();
        let mut effects = vec![Effect::Desk(desk::Message::NoteSaved(path.to_path_buf()))];
        let Some(sheet) = self.by_key(key) else { return effects };
        let own = sheet.file.as_ref().is_some_and(|file| same_file(file, path));
        sheet.saved(state, path.to_path_buf());
        let old = sheet.name.clone();
        if own {
            sheet.saved_as = None;
            let bytes = sheet.buffer().whole();
            sheet.reload(Buffer::new(bytes));
            self.watch_all();
            return effects;
        }
        let name = path.file_name().map(|name| name.to_string_lossy().into_owned());
        let beside = same_file(&files::folder_of(path), &origin.folder());
        if let Some(name) = name.filter(|_| beside && *origin != Origin::Demo) {
            effects.push(Effect::show(Dialog::Question(Question {
                title: "Use the new file in the job?".to_owned(),
                words: format!(
                    "{name} is saved; {old} is unchanged. The job can run {name} in its place from now on. The \
                     job file changes only when you save the job."
                ),
                answers: vec![
                    (format!("Run {name}"), Action::Program(Ask::Adopt(key, name))),
                    (format!("Keep {old}; go on showing the edits"), Action::Close),
                ],
            })));
        }
        effects
    }

    /// The passes of a program run the file it was saved in.
    fn adopt(&mut self, key: Key, name: String) -> Effects {
        let Some(sheet) = self.by_key(key) else { return Vec::new() };
        sheet.adopt(&name);
        self.watch_all();
        vec![Effect::Desk(desk::Message::Rename(self.slots_of(key.sheet), name))]
    }
}

/// The window's clock, seconds.
fn now(world: World<'_>) -> f64 {
    world.ctx.input(|input| input.time)
}

fn same_file(one: &Path, other: &Path) -> bool {
    let real = |path: &Path| std::fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    one == other || real(one) == real(other)
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
