//! A drawing that is brought in: its picture, and which of its closed paths is meant.

use std::path::PathBuf;
use std::sync::Arc;

use blockwright_core::bring_in::{Drawing, Offer, join_gap};
use blockwright_core::job::PathSource;
use blockwright_core::sketch::Chain;
use blockwright_core::units::{Told, Units};
use blockwright_core::view::Viewport;
use eframe::egui::{
    Align, Button, CentralPanel, Frame, Key, Label, Layout, Margin, Panel, RichText, Ui, Vec2,
};

use super::OnSheet;
use super::choose_picture::Drawn;
use super::{Ask, FileSource, Target, choose_list, take};
use crate::app::act::{Action, theme};
use crate::app::desk::Desk;
use crate::paint::Canvas;
use crate::theme::{bold, colour};

/// Width of the panel beside the picture.
const SIDE: f32 = 320.0;

/// How the drawing is to be looked at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Wish {
    /// The unit of its numbers.
    pub(super) units: Units,
    pub(super) layer: Option<usize>,
    /// Ends this near to each other are joined, in the job's unit.
    pub(super) gap: f64,
}

/// The drawing and what is chosen of it.
#[derive(Debug)]
pub(super) struct Chooser {
    pub(super) path: PathBuf,
    pub(super) drawing: Arc<Drawing>,
    /// What it was read from.
    bytes: Arc<[u8]>,
    pub(super) job: Told,
    /// The drawing's own unit, or the one that was picked for it.
    pub(super) units: Option<Units>,
    pub(super) layer: Option<usize>,
    pub(super) gap: f64,
    pub(super) offer: Option<Offer>,
    /// How often the paths have been looked for.
    pub(super) made: u64,
    shown: Option<Wish>,
    running: Option<Wish>,
    pub(super) chosen: Option<usize>,
    pub(super) trouble: Option<usize>,
    /// The job names the file; its path follows when the file is written again.
    pub(super) keep: bool,
    pub(super) seen: Option<Viewport>,
    pub(super) size: Vec2,
    /// The size of the picture for which all of it was fitted in; `None` once it was moved by hand.
    pub(super) fitted: Option<Vec2>,
    pub(super) canvas: Canvas,
    pub(super) drawn: Option<Drawn>,
}

impl Chooser {
    pub(super) fn new(path: PathBuf, drawing: Arc<Drawing>, bytes: Arc<[u8]>, desk: &Desk) -> Self {
        let job = desk.told();
        Self {
            path,
            units: drawing.units,
            drawing,
            bytes,
            job,
            layer: None,
            gap: join_gap(job.of()),
            offer: None,
            made: 0,
            shown: None,
            running: None,
            chosen: None,
            trouble: None,
            keep: false,
            seen: None,
            size: Vec2::ZERO,
            fitted: None,
            canvas: Canvas::default(),
            drawn: None,
        }
    }

    fn wish(&self) -> Wish {
        Wish { units: self.units.unwrap_or(self.job.of()), layer: self.layer, gap: self.gap }
    }

    /// What to look at next, when that is not under way or done.
    pub(super) fn start(&mut self) -> Option<(Arc<Drawing>, Wish, Units)> {
        let wish = self.wish();
        if self.running.is_some() || self.shown == Some(wish) {
            return None;
        }
        self.running = Some(wish);
        Some((Arc::clone(&self.drawing), wish, self.job.of()))
    }

    pub(super) const fn is_looking(&self) -> bool {
        self.running.is_some()
    }

    /// Takes the paths that were found.
    pub(super) fn take(&mut self, offer: Offer) {
        let before = self.shown;
        self.shown = self.running.take();
        let alike = self.offer.as_ref().is_some_and(|old| old.paths.len() == offer.paths.len());
        let same_layer = before.map(|wish| wish.layer) == self.shown.map(|wish| wish.layer);
        if !(alike && same_layer) {
            self.chosen = offer.largest();
        }
        if before.map(|wish| wish.units) != self.shown.map(|wish| wish.units) {
            self.seen = None;
        }
        self.trouble = None;
        self.made += 1;
        self.offer = Some(offer);
    }

    pub(super) fn viewport(&self) -> Option<Viewport> {
        let Vec2 { x: width, y: height } = self.size;
        let seen = self.seen.filter(|_| width >= 1.0 && height >= 1.0)?;
        Some(Viewport { width, height, ..seen })
    }

    pub(super) fn run(&mut self, asked: OnSheet) {
        match asked {
            OnSheet::Undo | OnSheet::Redo => {}
            OnSheet::ShowAll => self.seen = None,
        }
    }

    /// Shows the place of a trouble.
    pub(super) fn go_to(&mut self, trouble: usize) {
        self.trouble = Some(trouble);
        let at = self.offer.as_ref().and_then(|offer| offer.troubles.get(trouble)?.at());
        if let (Some(at), Some(seen)) = (at, self.viewport()) {
            self.seen = Some(Viewport { centre: at, ..seen });
            self.fitted = None;
        }
    }

    /// Whether the job can name the file and mean the chosen path by it.
    ///
    /// # Errors
    /// Why it cannot, in plain words.
    pub(super) fn file_source(&self, desk: &Desk) -> Result<FileSource, &'static str> {
        let file = take::name_beside(desk, &self.path, &self.bytes)?;
        let offer = self.offer.as_ref().ok_or("The drawing is still being checked.")?;
        if self.chosen.is_none() || self.chosen != offer.largest() {
            return Err(
                "A job that names a drawing file uses the largest path of the layer. This is another path, \
                so its vertices go into the job, unless it is the largest of a layer that you pick above.",
            );
        }
        if (offer.gap - join_gap(self.job.of())).abs() > 0.0 {
            return Err(
                "A job reads its drawing file with the normal gap. With another gap, the vertices go into \
                the job.",
            );
        }
        let layer = self.layer.and_then(|layer| self.drawing.layers.get(layer));
        let units = if self.drawing.units.is_some() { None } else { self.units };
        Ok(FileSource { file, layer: layer.map(|layer| layer.name.clone()), units })
    }

    /// What puts the chosen path into the job.
    fn using(&self, desk: &Desk, target: Target) -> Option<Ask> {
        if self.keep
            && let Ok(source) = self.file_source(desk)
        {
            return Some(Ask::UseFile(target, source, Arc::clone(&self.bytes)));
        }
        let offer = self.offer.as_ref()?;
        let vertices = offer.paths.get(self.chosen?)?.closed.vertices.clone();
        Some(Ask::Use(target, PathSource::Vertices(vertices), None))
    }

    pub(super) fn show(
        &mut self,
        ui: &mut Ui,
        desk: &Desk,
        (busy, sheet): (bool, Option<Target>),
        actions: &mut Vec<Action>,
    ) {
        if !self.is_looking() && self.shown != Some(self.wish()) {
            actions.push(Action::Draw(Ask::Survey));
        }
        let colours = theme(ui.ctx());
        let plain = Frame::new().fill(colour(colours.panel));
        Panel::top("drawing tools")
            .resizable(false)
            .frame(plain.inner_margin(Margin::symmetric(16, 8)))
            .show(ui, |ui| self.bar(ui, desk, sheet, actions));
        Panel::right("drawing side")
            .exact_size(SIDE)
            .resizable(false)
            .frame(plain.inner_margin(Margin::symmetric(12, 8)))
            .show(ui, |ui| choose_list::show(self, ui, desk, sheet.is_some()));
        CentralPanel::no_frame().show(ui, |ui| self.picture(ui, colours));
        let focused = ui.ctx().memory(|memory| memory.focused().is_some());
        let free = !busy && !focused;
        if free && ui.input(|input| input.key_pressed(Key::Escape)) {
            actions.push(Action::Draw(Ask::Leave));
        }
    }

    /// Why nothing can be used yet.
    fn wanting(&self) -> Option<&'static str> {
        if self.units.is_none() {
            return Some("The file does not give its unit: choose it.");
        }
        let offer = self.offer.as_ref()?;
        let chosen = self.chosen.and_then(|chosen| offer.paths.get(chosen));
        match chosen {
            None => Some("No closed path is selected."),
            Some(path) if !path.crossings.is_empty() => {
                Some("The path crosses itself: put it on the sheet and correct it there.")
            }
            Some(_) => None,
        }
    }

    fn bar(&self, ui: &mut Ui, desk: &Desk, sheet: Option<Target>, actions: &mut Vec<Action>) {
        let name = self.path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        ui.horizontal(|ui| {
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                if ui.button("Cancel").on_hover_text("Use nothing from this drawing").clicked() {
                    actions.push(Action::Draw(Ask::Leave));
                }
                match sheet {
                    Some(target) => self.put_on_sheet(ui, target, "Put on the sheet", actions),
                    None => self.uses(ui, desk, actions),
                }
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                    ui.label(RichText::new("Import drawing").font(bold(14.0)));
                    ui.add(Label::new(RichText::new(name).font(bold(14.0))).truncate());
                });
            });
        });
    }

    fn put_on_sheet(&self, ui: &mut Ui, target: Target, words: &str, actions: &mut Vec<Action>) {
        let offer = self.offer.as_ref().filter(|_| self.units.is_some());
        let chosen = offer.zip(self.chosen).and_then(|(offer, chosen)| offer.paths.get(chosen));
        let button = ui.add_enabled(chosen.is_some(), Button::new(words));
        if button.clicked()
            && let Some(offered) = chosen
        {
            let chain = Chain::new(offered.closed.vertices.clone(), true);
            actions.push(Action::Draw(Ask::Sheet(target, chain)));
        }
    }

    fn uses(&self, ui: &mut Ui, desk: &Desk, actions: &mut Vec<Action>) {
        let no_blank = desk.job().blank.is_none();
        for (target, words) in [(Target::Edge, "Use as edge"), (Target::Outline, "Use as outline")] {
            let why = self.wanting().or((no_blank && target == Target::Edge).then_some(
                "The job has no blank yet: put the path on the sheet, where its top and thickness are asked \
                for.",
            ));
            let possible = self.offer.is_some() && why.is_none();
            let button = ui.add_enabled(possible, Button::new(RichText::new(words).font(bold(13.0))));
            if button.clicked() {
                actions.extend(self.using(desk, target).map(Action::Draw));
            }
            button.on_disabled_hover_text(why.unwrap_or("The drawing is still being checked."));
        }
        ui.menu_button("Put it on the sheet to edit", |ui| {
            for (target, words) in [(Target::Outline, "as the outline"), (Target::Edge, "as the edge")] {
                self.put_on_sheet(ui, target, words, actions);
            }
        });
    }
}
