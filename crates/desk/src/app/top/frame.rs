//! What happens in a frame: replies, keys and dropped files, then the drawing and what is asked for in it.

use eframe::egui::{Context, Memory, Popup, Theme, Ui, ViewportCommand};

use super::{App, view};
use crate::app::act::Action;
use crate::app::broken::Then;
use crate::app::command::Command;
use crate::app::dialog::{Around, Dialog};
use crate::app::draw::Ask as DrawAsk;
use crate::app::recovery::Present;
use crate::app::room::Effect;
use crate::app::{keyboard, look, number, program};
use crate::background;

impl App {
    /// What happens between frames: replies of the worker, keys, dropped files, the running tool.
    pub fn tick(&mut self, ctx: &Context) {
        self.context.get_or_init(|| {
            ctx.add_plugin(keyboard::InTurn::default());
            ctx.clone()
        });
        let replies = self.desk.tick();
        self.carry_all(ctx, replies);
        if let Some(trouble) = background::told(ctx) {
            self.carry(ctx, Effect::tell(trouble));
        }
        for action in self.outbox.take() {
            self.apply(ctx, action);
        }
        self.take_dropped(ctx);
        for command in self.keys(ctx) {
            self.apply(ctx, Action::Do(command));
        }
        self.carry(ctx, Effect::Programs(program::Message::Tick));
        if ctx.input(|input| input.viewport().close_requested()) && !self.guard.is_leaving() {
            self.apply(ctx, Action::Do(Command::Quit));
        }
        self.play(ctx);
        self.keep(ctx);
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
        let left = self.recovery.offers();
        // They are asked for in one kind of small window alone.
        let asks = matches!(self.on_top.open(), Some(Dialog::Path(_)));
        let places = if asks { self.places.offered(&self.desk.origin().folder()) } else { Vec::new() };
        let around =
            Around { desk: &self.desk, programs: self.programs.texts(), left: &left, places: &places };
        self.on_top.show(&ctx, around, &mut actions);
        for action in actions {
            self.apply(&ctx, action);
        }
    }

    fn take_dropped(&mut self, ctx: &Context) {
        let dropped: Vec<_> =
            ctx.input(|input| input.raw.dropped_files.iter().map(|file| file.path().to_path_buf()).collect());
        let (brought, opened): (Vec<_>, Vec<_>) =
            dropped.into_iter().partition(|path| self.draw.takes_file(path));
        for path in brought {
            self.apply(ctx, Action::Draw(DrawAsk::File(path)));
        }
        if !opened.is_empty() {
            self.apply(ctx, Action::OpenPaths(opened));
        }
    }

    fn keys(&self, ctx: &Context) -> Vec<Command> {
        if self.on_top.open().is_some() || Popup::is_any_open(ctx) {
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
        self.carry(ctx, Effect::Look(look::Message::Run(step)));
        if self.look.playing {
            ctx.request_repaint();
        }
    }

    /// Unsaved work is kept against a crash, and offered.
    fn keep(&mut self, ctx: &Context) {
        if self.guard.is_leaving() {
            return;
        }
        let unsaved = self.loss().unsaved();
        let effects = self.recovery.tick(Present {
            desk: &self.desk,
            programs: self.programs.texts(),
            unsaved: &unsaved,
            asked: self.on_top.open().is_some(),
            now: ctx.input(|input| input.time),
        });
        self.carry_all(ctx, effects);
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
                self.guard.leave();
                ui.ctx().send_viewport_cmd(ViewportCommand::Close);
            }
        }
        self.broken = broken;
    }

    fn on_exit(&mut self, _gl: Option<&eframe::glow::Context>) {
        if let Some(place) = &self.kept_at {
            let dark = self.context.get().is_some_and(|ctx| ctx.theme() == Theme::Dark);
            self.arrangement(dark).keep(place);
            self.places.keep();
        }
    }
}
