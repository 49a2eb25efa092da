//! A path is asked for: typed, chosen from what lies in the folder, or in the system's own dialog where there is one.

use std::path::{Path, PathBuf};

use eframe::egui::{
    Align, Button, Checkbox, Key, Label, Layout, ScrollArea, TextEdit, TextWrapMode, Ui, UiBuilder, vec2,
};

use super::Purpose;
use crate::app::act::{Action, theme};
use crate::app::later::Later;
use crate::app::panel::words::quiet;
use crate::files::{self, Listing, MOST_LISTED};
use crate::trouble::Trouble;

/// Size of what lies in the folder, width of the places beside it, and height of a row: they stay while folders change.
const LIST: [f32; 2] = [424.0, 250.0];
const PLACES: f32 = 150.0;
const ROW: f32 = 24.0;

/// What is listed: of which path, and whether all files are.
type Asked = (String, bool);

/// A path being asked for.
#[derive(Debug)]
pub(in crate::app) struct PathDialog {
    pub(super) purpose: Purpose,
    text: String,
    /// Whether the field has been given the keyboard.
    focused: bool,
    /// Files of every kind are listed.
    all: bool,
    listing: Later<Asked, Result<Listing, Trouble>>,
}

impl PathDialog {
    pub(super) fn new(purpose: Purpose, start: &Path) -> Self {
        let start = std::path::absolute(start).unwrap_or_else(|_| start.to_path_buf());
        let text = if start.is_dir() { of_folder(&start) } else { start.display().to_string() };
        Self { purpose, text, focused: false, all: false, listing: Later::default() }
    }

    /// Takes a path that was chosen elsewhere.
    pub(super) fn take(&mut self, path: &Path) {
        self.text = path.display().to_string();
    }

    fn typed(&self) -> &str {
        self.text.trim().trim_matches('"')
    }

    pub(super) fn show(&mut self, ui: &mut Ui, places: &[PathBuf], actions: &mut Vec<Action>) {
        let label = ui.label(if self.purpose == Purpose::Record { "Folder" } else { "Path of the file" });
        let field = ui.add(TextEdit::singleline(&mut self.text).desired_width(f32::INFINITY));
        let field = field.labelled_by(label.id);
        if !std::mem::replace(&mut self.focused, true) {
            field.request_focus();
            // The window is sized in its first frame and drawn right in its second.
            ui.request_repaint();
        }
        let entered = field.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
        self.follow(ui);
        let mut chosen = None;
        ui.horizontal_top(|ui| {
            ui.allocate_ui_with_layout(vec2(PLACES, LIST[1]), Layout::top_down(Align::Min), |ui| {
                ui.set_min_size(vec2(PLACES, LIST[1]));
                chosen = self.places(ui, places);
            });
            ui.allocate_ui_with_layout(LIST.into(), Layout::top_down(Align::Min), |ui| {
                ui.set_min_size(LIST.into());
                chosen = self.list(ui).or(chosen.take());
            });
        });
        let taken = chosen.as_ref().is_some_and(|chosen| chosen.taken);
        if let Some(chosen) = chosen {
            self.text = chosen.text;
        }
        ui.horizontal(|ui| {
            let path = self.typed().to_owned();
            let go = ui.add_enabled(!path.is_empty(), Button::new(self.purpose.verb()));
            if go.clicked() || ((entered || taken) && !path.is_empty()) {
                actions.push(Action::Use(self.purpose, PathBuf::from(path)));
            }
            let browse = ui.button("Browse…");
            if browse.on_hover_text("Choose in the system's file dialog, where there is one").clicked() {
                actions.push(Action::Browse(self.purpose));
            }
            if ui.button("Cancel").clicked() {
                actions.push(Action::Close);
            }
            if self.purpose != Purpose::Record {
                ui.add_space(16.0);
                ui.add(Checkbox::new(&mut self.all, "all files")).on_hover_text("List files of every kind");
            }
        });
    }

    /// Has the folder read that the path is in. A slow drive must not hold the window.
    fn follow(&mut self, ui: &Ui) {
        self.listing.take();
        let asked: Asked = (self.typed().to_owned(), self.all);
        let ((text, all), purpose) = (asked.clone(), self.purpose);
        self.listing.want(ui.ctx(), "folder", asked, move |_| {
            files::list(Path::new(&text), |name| all || purpose.wants(name))
        });
    }

    /// Folders to go to.
    fn places(&self, ui: &mut Ui, places: &[PathBuf]) -> Option<Chosen> {
        ui.label(quiet("Places", &theme(ui.ctx())));
        let mut chosen = None;
        for place in places {
            let name = place.file_name().map_or_else(|| place.display().to_string(), shown);
            let button = Button::selectable(false, name).wrap_mode(TextWrapMode::Truncate);
            let button = ui.add(button.min_size(vec2(0.0, ROW)));
            let button = button.on_hover_text(place.display().to_string());
            if button.accessible_name(format!("Go to {}", place.display())).clicked() {
                chosen = Some(self.toward(place));
            }
        }
        chosen
    }

    /// Goes to a folder; what is to be written keeps its name.
    fn toward(&self, folder: &Path) -> Chosen {
        let is_folder = match self.listing.made() {
            Some((_, Ok(listing))) => listing.is_folder,
            Some((_, Err(_))) | None => false,
        };
        let named = self.purpose.writes() && !is_folder;
        let name = Path::new(self.typed()).file_name().filter(|_| named).map(ToOwned::to_owned);
        let text = name.map_or_else(|| of_folder(folder), |name| folder.join(name).display().to_string());
        Chosen { text, taken: false }
    }

    /// What lies in the folder, and what of it was chosen.
    fn list(&self, ui: &mut Ui) -> Option<Chosen> {
        let colours = theme(ui.ctx());
        let listing = match self.listing.made() {
            None => {
                ui.label(quiet("Reading the folder…", &colours));
                return None;
            }
            Some((_, Err(trouble))) => {
                ui.add(Label::new(quiet(trouble.to_string(), &colours)).wrap());
                return None;
            }
            Some((_, Ok(listing))) => listing,
        };
        let head = listing.at.display().to_string();
        ui.add(Label::new(quiet(head.as_str(), &colours)).truncate()).on_hover_text(head.as_str());
        let up = listing.at.parent().map(Path::to_path_buf);
        let rows = rows(listing, up.is_some());
        let named = Path::new(self.typed()).file_name().filter(|_| !listing.is_folder).map(shown);
        let mut chosen = None;
        let area = ScrollArea::vertical().id_salt("folder").auto_shrink(false);
        ui.spacing_mut().item_spacing.y = 0.0;
        area.show_rows(ui, ROW, rows.len(), |ui, range| {
            for row in &rows[range] {
                let is_chosen = matches!(row, Row::File(name) if named.as_deref() == Some(*name));
                let (words, name) = row.words();
                let place = ui.available_rect_before_wrap();
                let place = place.with_max_y(place.top() + ROW);
                let button = Button::selectable(is_chosen, words).wrap_mode(TextWrapMode::Truncate);
                let layout = UiBuilder::new().max_rect(place).layout(Layout::left_to_right(Align::Center));
                let button = ui.scope_builder(layout, |ui| ui.add(button.min_size(vec2(0.0, ROW)))).inner;
                let button = button.accessible_name(name);
                // The second click of two may meet what has come in place of the folder that was clicked.
                if button.clicked() && (is_chosen || !button.double_clicked()) {
                    chosen = self.choose(row, listing, is_chosen).or(chosen.take());
                }
            }
        });
        chosen
    }

    /// What a click on a row chooses: its folder, or its file, which is taken when it was chosen before.
    fn choose(&self, row: &Row<'_>, listing: &Listing, again: bool) -> Option<Chosen> {
        match row {
            Row::Up => listing.at.parent().map(|up| self.toward(up)),
            Row::Folder(name) => Some(self.toward(&listing.at.join(name))),
            Row::File(name) => {
                Some(Chosen { text: listing.at.join(name).display().to_string(), taken: again })
            }
            Row::More => None,
        }
    }
}

/// A folder as it is typed, ready for a name behind it.
fn of_folder(folder: &Path) -> String {
    let text = folder.display().to_string();
    if text.ends_with(std::path::MAIN_SEPARATOR) {
        text
    } else {
        format!("{text}{}", std::path::MAIN_SEPARATOR)
    }
}

fn shown(name: &std::ffi::OsStr) -> String {
    name.to_string_lossy().into_owned()
}

/// A path that was chosen by a click, and whether it is to be used at once.
struct Chosen {
    text: String,
    taken: bool,
}

/// A row of the list.
#[derive(Clone, Copy)]
enum Row<'a> {
    Up,
    Folder(&'a str),
    File(&'a str),
    More,
}

impl Row<'_> {
    /// What it shows, and what it is called.
    fn words(self) -> (String, String) {
        match self {
            Self::Up => ("..  (up one folder)".to_owned(), "Up one folder".to_owned()),
            Self::Folder(name) => (format!("{name}/"), format!("Folder {name}")),
            Self::File(name) => (name.to_owned(), format!("File {name}")),
            Self::More => {
                let words = format!("and more than {MOST_LISTED}: type the name");
                (words.clone(), words)
            }
        }
    }
}

fn rows(listing: &Listing, up: bool) -> Vec<Row<'_>> {
    let up = up.then_some(Row::Up).into_iter();
    let folders = listing.folders.iter().map(|name| Row::Folder(name));
    let files = listing.files.iter().map(|name| Row::File(name));
    up.chain(folders).chain(files).chain(listing.more.then_some(Row::More)).collect()
}
