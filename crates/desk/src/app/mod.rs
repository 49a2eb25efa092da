//! The window.

mod act;
mod broken;
mod canvas;
mod centre;
mod command;
mod copy;
mod desk;
mod dialog;
mod draw;
mod finer;
mod fit;
mod follow;
mod guard;
mod history;
mod inset;
mod keep;
mod keyboard;
mod later;
mod look;
mod mark;
mod measured;
mod number;
mod on_disk;
mod order;
mod outbox;
mod panel;
mod panes;
mod program;
mod record;
mod recovery;
mod rewrite;
mod round;
mod run;
mod save;
mod setup;
mod slow;
mod strips;
mod to_do;
mod tools;
mod view;
mod wall;

use std::fmt;
use std::path::PathBuf;
use std::sync::{Arc, OnceLock};

use eframe::egui::{Context, Memory, Popup, Theme, Ui, ViewportBuilder, ViewportCommand};

pub use act::Action;
pub use centre::{Ask as CentreAsk, Shown};
pub use command::Command;
pub use dialog::Purpose;
pub use draw::{Ask as DrawAsk, Target};
pub use fit::Ask as FitAsk;
pub use keep::{Shape, Sketch};
pub use look::{From, Hover, Tab};
pub use order::Ask as OrderAsk;
pub use program::{Answer, Ask, Key, Notice, Stamp};
pub use record::Ask as RecordAsk;
pub use tools::Ask as ToolsAsk;

use crate::arrangement::Arrangement;
use crate::background;
use crate::open::{Opened, Origin};
use crate::recover::{self, Store};
use crate::theme;
use crate::trouble::Trouble;
use crate::worker::Wake;
use broken::Then;
use desk::Desk;
use dialog::Dialog;
use look::Look;
use outbox::Outbox;
use program::Programs;

/// The window's whole state.
pub struct App {
    desk: Desk,
    look: Look,
    dialog: Option<Dialog>,
    draw: draw::Draw,
    plan: canvas::PlanCanvas,
    strips: strips::Strips,
    inset: inset::Inset,
    panes: panes::Panes,
    /// Where the arrangement is kept, and the window's size.
    kept_at: Option<PathBuf>,
    size: Option<[f32; 2]>,
    centre: centre::Centre,
    outbox: Outbox,
    programs: Programs,
    fit: fit::FitPanel,
    wake: Wake,
    /// The window is being closed, whatever is lost by it.
    leaving: bool,
    /// What is not saved may be lost by what is being opened.
    agreed: bool,
    /// What the window is called.
    title: String,
    recovery: recovery::Recovery,
    broken: broken::Broken,
    /// The context to be woken; known from the first frame on.
    context: Arc<OnceLock<Context>>,
}

impl fmt::Debug for App {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("App")
            .field("desk", &self.desk)
            .field("look", &self.look)
            .field("dialog", &self.dialog)
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
            dialog: None,
            draw: draw::Draw::default(),
            plan: canvas::PlanCanvas::default(),
            strips: strips::Strips::default(),
            inset: inset::Inset::default(),
            panes: panes::Panes::default(),
            kept_at: None,
            size: None,
            centre: centre::Centre::default(),
            programs: Programs::new(outbox.watch()),
            fit: fit::FitPanel::default(),
            outbox,
            wake,
            leaving: false,
            agreed: false,
            title: String::new(),
            recovery: recovery::Recovery::default(),
            broken: broken::Broken::default(),
            context,
        };
        app.show_opened(opened);
        app
    }

    /// The same, keeping unsaved work in this place and offering what windows that are gone have left there.
    pub fn keeping(opened: Opened, store: Store) -> Self {
        Self { recovery: recovery::Recovery::new(store), ..Self::new(opened) }
    }

    /// What is offered of the work that windows which are gone have left, in words.
    pub fn left(&self) -> Vec<String> {
        self.recovery.offers()
    }

    /// What is to be done at the machine.
    pub fn to_do(&self) -> Vec<String> {
        self.desk.to_do()
    }

    /// What happens between frames: replies of the worker, keys, dropped files, the running tool.
    pub fn tick(&mut self, ctx: &Context) {
        self.context.get_or_init(|| {
            ctx.add_plugin(keyboard::InTurn::default());
            ctx.clone()
        });
        if self.desk.take() {
            self.look.clamp_to(self.desk.proof());
            if let Some(read) = self.desk.begin_suggesting() {
                self.outbox.suggest(read);
            }
        }
        if let Some(trouble) = self.desk.take_trouble().or_else(|| background::told(ctx)) {
            self.dialog = Some(Dialog::Trouble(trouble));
        }
        for action in self.outbox.take() {
            self.apply(ctx, action);
        }
        let dropped: Vec<_> =
            ctx.input(|input| input.raw.dropped_files.iter().map(|file| file.path().to_path_buf()).collect());
        let (brought, dropped): (Vec<_>, Vec<_>) =
            dropped.into_iter().partition(|path| draw::is_brought_in(&self.draw, path));
        for path in brought {
            self.apply(ctx, Action::Draw(DrawAsk::File(path)));
        }
        if !dropped.is_empty() {
            self.apply(ctx, Action::OpenPaths(dropped));
        }
        for command in self.keys(ctx) {
            self.apply(ctx, Action::Do(command));
        }
        program::tick(self, ctx);
        if ctx.input(|input| input.viewport().close_requested()) && !self.leaving {
            self.apply(ctx, Action::Do(Command::Quit));
        }
        self.play(ctx);
        recovery::tick(self, ctx);
        let title = self.title();
        if title != self.title {
            ctx.send_viewport_cmd(ViewportCommand::Title(title.clone()));
            self.title = title;
        }
    }

    /// Draws the window and does what was asked of it.
    pub fn show(&mut self, ui: &mut Ui) {
        let mut actions = Vec::new();
        // Dark and light may have been changed since the frame began.
        ui.set_style(ui.ctx().style_of(ui.ctx().theme()));
        number::tell_in(ui.ctx(), Some(self.desk.told().shown()));
        self.size = Some(ui.ctx().content_rect().size().into());
        view::window(self, ui, &mut actions);
        let ctx = ui.ctx().clone();
        if let Some(dialog) = &mut self.dialog {
            dialog.show(&ctx, (&self.desk, &self.programs, &self.recovery), &mut actions);
        }
        for action in actions {
            self.apply(&ctx, action);
        }
    }

    /// The proof on the screen, once there is one.
    pub fn proof(&self) -> Option<&blockwright_core::proof::Proof> {
        self.desk.whole_proof().map(AsRef::as_ref)
    }

    /// The program of the picked pass as it would be saved now.
    pub fn program_text(&self) -> Option<Arc<[u8]>> {
        self.programs.sheet(self.look.pass).map(program::Sheet::text)
    }

    /// The program line that is picked.
    pub fn line(&self) -> Option<u32> {
        self.look.line(self.desk.proof())
    }

    /// Index of the pass that is picked, and how far along it the tool is.
    pub fn place(&self) -> (usize, f64) {
        (self.look.pass, self.look.distance(self.desk.proof()))
    }

    /// The job as it stands, proven or not.
    pub fn job(&self) -> &blockwright_core::job::Job {
        self.desk.job()
    }

    /// The best fit on the blank, once the panel has found it.
    pub fn best_fit(&self) -> Option<&blockwright_core::fit::Fit> {
        self.fit.fit()
    }

    /// The folder of what is open.
    pub fn folder(&self) -> PathBuf {
        self.desk.origin().folder()
    }

    /// Lines of the program that the search has found so far.
    pub fn found(&self) -> &[u32] {
        self.programs.found()
    }

    /// Whether the picked pass's program was posted again and nothing has been decided yet.
    pub fn is_posted_again(&self) -> bool {
        self.programs.sheet(self.look.pass).is_some_and(|sheet| sheet.posted_again.is_some())
    }

    /// What part of the plan is seen.
    pub fn seen(&self) -> Option<blockwright_core::view::Viewport> {
        self.plan.viewport(&self.look, self.desk.proof()?)
    }

    /// What the window is called: the job, its file, and whether anything is not saved.
    pub fn title(&self) -> String {
        let name = self.desk.job().name.as_deref().unwrap_or("Job without a name");
        let file = self.desk.file_name().map(|file| format!(", {file}")).unwrap_or_default();
        let mark = if guard::unsaved(self).is_empty() { "" } else { "* " };
        format!("{mark}{name}{file} - Blockwright")
    }

    /// What is in no file yet, in words.
    pub fn unsaved(&self) -> Vec<String> {
        guard::unsaved(self)
    }

    /// What is being asked, if anything is.
    pub fn question(&self) -> Option<&str> {
        match &self.dialog {
            Some(Dialog::Question(question)) => Some(&question.words),
            _ => None,
        }
    }

    /// Whether what programs suggest is being looked at.
    pub fn is_set_up(&self) -> bool {
        matches!(self.dialog, Some(Dialog::SetUp(_)))
    }

    /// The path on the drawing sheet, while one is open.
    pub fn drawn(&self) -> Option<&blockwright_core::sketch::Chain> {
        self.draw.chain()
    }

    /// What part of the plan the drawing sheet, or the drawing being brought in, shows.
    pub fn sheet_seen(&self) -> Option<blockwright_core::view::Viewport> {
        self.draw.viewport()
    }

    /// The place in the plan that the pointer lights.
    pub fn lit(&self) -> Option<blockwright_core::geometry::Point> {
        self.look.hover.map(|hover| hover.at)
    }

    /// What the open message window says, if one is open.
    pub fn message(&self) -> Option<&Trouble> {
        match &self.dialog {
            Some(Dialog::Trouble(trouble)) => Some(trouble),
            _ => None,
        }
    }

    /// Does one thing, as if it had been asked for in the window.
    pub fn apply(&mut self, ctx: &Context, action: Action) {
        act::apply(self, ctx, action);
    }

    fn put_on_desk(&mut self, opened: Opened) {
        self.desk.open(opened.clone());
        self.show_opened(opened);
    }

    fn show_opened(&mut self, opened: Opened) {
        self.programs.open(&opened.source, self.desk.origin(), self.desk.on_disk().bytes());
        self.look.reset();
        self.plan.forget();
        self.centre.forget();
        self.draw = draw::Draw::default();
        self.fit.forget();
        self.dialog = match opened.origin {
            Origin::Programs(_) => opened.bare.map(|bare| Dialog::set_up(&bare)),
            _ => None,
        };
    }

    /// Leaves aside what may have broken the drawing.
    fn plainest(&mut self) {
        self.dialog = None;
        self.draw = draw::Draw::default();
        self.centre.forget();
        self.plan.forget();
        self.look.reset();
    }

    fn keys(&self, ctx: &Context) -> Vec<Command> {
        if self.dialog.is_some() || Popup::is_any_open(ctx) {
            return Vec::new();
        }
        let typing = ctx.text_edit_focused() || number::has_keyboard(ctx);
        // Space and Enter belong to a control that has the keyboard.
        let focused = ctx.memory(Memory::focused);
        let wanted = |command: &Command| {
            let taken =
                (focused.is_some() && *command == Command::Play) || self.centre.takes(focused, *command);
            let idle = *command == Command::CloseMagnifier && !self.look.magnified;
            !taken && !idle && self.draw.lets(*command) && (!typing || command.works_while_typing())
        };
        ctx.input_mut(|input| {
            Command::by_keys()
                .into_iter()
                .filter(|(command, _)| wanted(command))
                // A key pressed twice within a frame counts twice.
                .flat_map(|(command, keys)| {
                    std::iter::repeat_n(
                        command,
                        input.count_and_consume_key(keys.modifiers, keys.logical_key),
                    )
                })
                .collect()
        })
    }

    fn play(&mut self, ctx: &Context) {
        if !self.look.playing {
            return;
        }
        let step = f64::from(ctx.input(|input| input.stable_dt).min(0.1));
        self.look.run(self.desk.proof(), step);
        if self.look.playing {
            ctx.request_repaint();
        }
    }
}

impl eframe::App for App {
    fn logic(&mut self, ctx: &Context, _frame: &mut eframe::Frame) {
        let mut broken = std::mem::take(&mut self.broken);
        broken.tick(|| self.tick(ctx));
        self.broken = broken;
    }

    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        let mut broken = std::mem::take(&mut self.broken);
        match broken.draw(ui, |ui| self.show(ui)) {
            Then::Stay => {}
            Then::GoOn => self.plainest(),
            Then::Close => {
                self.leaving = true;
                ui.ctx().send_viewport_cmd(ViewportCommand::Close);
            }
        }
        self.broken = broken;
    }

    fn on_exit(&mut self, _gl: Option<&eframe::glow::Context>) {
        if let Some(place) = &self.kept_at {
            let dark = self.context.get().is_some_and(|ctx| ctx.theme() == Theme::Dark);
            self.arrangement(dark).keep(place);
        }
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
