//! The top of the window: it alone knows all rooms, hands each what is meant for it, and carries out what they ask for.

mod act;
mod carry;
mod commands;
mod frame;
mod told;
mod view;

use std::fmt;
use std::path::PathBuf;
use std::sync::{Arc, OnceLock};

use eframe::egui::{Context, Theme, ViewportBuilder};

use super::act::Action;
use super::broken::Broken;
use super::centre::Centre;
use super::desk::Desk;
use super::dialog::{Dialog, Message as OfDialog, OnTop};
use super::draw::Draw;
use super::fit::FitPanel;
use super::guard::{Guard, Loss};
use super::look::{self, Look};
use super::outbox::Outbox;
use super::panes::Panes;
use super::places::Places;
use super::program::{self, Programs};
use super::recovery::Recovery;
use super::room::World;
use super::strips::Strips;
use crate::arrangement::Arrangement;
use crate::open::{Opened, Origin};
use crate::recover::{self, Store};
use crate::theme;
use crate::worker::Wake;

/// The window's whole state.
pub struct App {
    desk: Desk,
    look: Look,
    on_top: OnTop,
    draw: Draw,
    strips: Strips,
    panes: Panes,
    places: Places,
    centre: Centre,
    programs: Programs,
    fit: FitPanel,
    guard: Guard,
    recovery: Recovery,
    broken: Broken,
    outbox: Outbox,
    wake: Wake,
    /// Where the arrangement is kept, and the window's size.
    kept_at: Option<PathBuf>,
    size: Option<[f32; 2]>,
    /// What the window is called.
    title: String,
    /// The context to be woken; known from the first frame on.
    context: Arc<OnceLock<Context>>,
}

impl fmt::Debug for App {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("App")
            .field("desk", &self.desk)
            .field("look", &self.look)
            .field("on_top", &self.on_top)
            .field("programs", &self.programs)
            .finish_non_exhaustive()
    }
}

impl App {
    /// A window on what was opened; proving starts at once.
    pub fn new(opened: Opened) -> Self {
        let context: Arc<OnceLock<Context>> = Arc::default();
        let sleeper = Arc::clone(&context);
        let wake: Wake = Arc::new(move || {
            if let Some(context) = sleeper.get() {
                context.request_repaint();
            }
        });
        let outbox = Outbox::new(Arc::clone(&wake));
        let mut app = Self {
            desk: Desk::new(opened.clone(), Arc::clone(&wake)),
            look: Look::default(),
            on_top: OnTop::default(),
            draw: Draw::default(),
            strips: Strips::default(),
            panes: Panes::default(),
            places: Places::default(),
            centre: Centre::default(),
            programs: Programs::new(outbox.watch()),
            fit: FitPanel::default(),
            guard: Guard::default(),
            recovery: Recovery::default(),
            broken: Broken::default(),
            outbox,
            wake,
            kept_at: None,
            size: None,
            title: String::new(),
            context,
        };
        app.show_opened(&Context::default(), opened);
        app
    }

    /// The same, keeping unsaved work in this place and offering what windows that are gone have left there.
    pub fn keeping(opened: Opened, store: Store) -> Self {
        Self { recovery: Recovery::new(store), ..Self::new(opened) }
    }

    /// The same with its panes as they were left, and keeping how they are left now in this place.
    #[must_use]
    pub fn arranged(self, arrangement: &Arrangement, place: PathBuf) -> Self {
        let places = place.parent().map(Places::kept_in).unwrap_or_default();
        Self { panes: Panes::of(arrangement), places, kept_at: Some(place), ..self }
    }

    /// Does one thing, as if it had been asked for in the window.
    pub fn apply(&mut self, ctx: &Context, action: Action) {
        let effects = self.guarded(ctx, action);
        self.carry_all(ctx, effects);
    }

    /// What the rooms may read.
    fn world<'a>(&'a self, ctx: &'a Context) -> World<'a> {
        World {
            desk: &self.desk,
            look: &self.look,
            seen: self.seen(),
            block_width: self.centre.round.width(),
            ctx,
        }
    }

    /// What would be lost if the window closed now.
    fn loss(&self) -> Loss {
        Loss {
            job: self.desk.on_disk().is_changed(),
            sheet: self.draw.unsaved(),
            programs: self.programs.unsaved().into_iter().map(str::to_owned).collect(),
            picked: self.programs.texts().edited_name(self.look.pass),
            to_do: self.desk.to_do(),
        }
    }

    /// Every room shows what is on the desk now.
    fn show_opened(&mut self, ctx: &Context, opened: Opened) {
        let bare = match opened.origin {
            Origin::Programs(_) => opened.bare,
            Origin::Demo | Origin::Job(_) => None,
        };
        self.tell_programs(ctx, program::Message::Open);
        self.tell_look(look::Message::Reset);
        self.centre.forget();
        self.draw = Draw::default();
        self.fit.forget();
        let shown = bare.map(|bare| Dialog::set_up(&bare));
        self.on_top.update(shown.map_or(OfDialog::Close, |dialog| OfDialog::Show(Box::new(dialog))));
    }

    /// Leaves aside what may have broken the drawing.
    fn plainest(&mut self) {
        self.on_top.update(OfDialog::Close);
        self.draw = Draw::default();
        self.centre.forget();
        self.tell_look(look::Message::Reset);
    }
}

/// Opens the window and stays until it is closed.
///
/// # Errors
/// Why no window could be had.
pub fn run(opened: Opened) -> Result<(), String> {
    let folder = recover::folder();
    let place = folder.as_deref().map(Arrangement::place);
    let left = place.as_deref().map(Arrangement::read).unwrap_or_default();
    let options = eframe::NativeOptions {
        viewport: ViewportBuilder::default()
            .with_title("Blockwright")
            .with_app_id("blockwright")
            .with_inner_size(left.window.unwrap_or([1280.0, 800.0]))
            .with_min_inner_size([900.0, 560.0]),
        system_font_fallback: false,
        ..Default::default()
    };
    eframe::run_native(
        "Blockwright",
        options,
        Box::new(move |creation| {
            theme::install(&creation.egui_ctx);
            creation.egui_ctx.set_theme(if left.dark { Theme::Dark } else { Theme::Light });
            // Without a place for it, unsaved work is not kept against a crash; nothing else changes.
            let store = folder.and_then(|folder| Store::open(&folder).ok());
            let app = match store {
                Some(store) => App::keeping(opened, store),
                None => App::new(opened),
            };
            Ok(Box::new(match place {
                Some(place) => app.arranged(&left, place),
                None => app,
            }))
        }),
    )
    .map_err(|error| error.to_string())
}
