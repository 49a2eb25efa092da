//! What the rooms ask of the house is done here, each thing before the next.

use eframe::egui::{Context, Theme, ViewportCommand};

use super::App;
use crate::app::centre::Message as OfCentre;
use crate::app::look::Around;
use crate::app::room::{Effect, Effects, ToWindow, World};
use crate::app::{desk, look, program, rewrite, save};
use crate::files::Existing;
use crate::recover::Restored;

impl App {
    /// Does all of it, in turn.
    pub(super) fn carry_all(&mut self, ctx: &Context, effects: Effects) {
        for effect in effects {
            self.carry(ctx, effect);
        }
    }

    /// Does it, and what follows from it.
    pub(super) fn carry(&mut self, ctx: &Context, effect: Effect) {
        let next = match effect {
            Effect::Act(action) => return self.apply(ctx, action),
            Effect::Desk(message) => self.desk.update(message),
            Effect::Look(message) => self.tell_look(message),
            Effect::Draw(message) => {
                let mut draw = std::mem::take(&mut self.draw);
                let effects = draw.update(message, self.world(ctx));
                self.draw = draw;
                effects
            }
            Effect::Rewrite(what) => rewrite::open(what, self.world(ctx), self.programs.texts()),
            Effect::Programs(message) => self.tell_programs(ctx, message),
            Effect::OnTop(message) => self.on_top.update(message),
            Effect::Panes(message) => self.panes.update(message),
            Effect::Finer(window, cell) => {
                let mut centre = std::mem::take(&mut self.centre);
                let effects = centre.update(OfCentre::Finer(window, cell), self.world(ctx));
                self.centre = centre;
                effects
            }
            Effect::Arranged(slot) => self.arranged_now(slot),
            Effect::Open(opened) => {
                let effects = self.desk.update(desk::Message::Open(opened.clone()));
                self.show_opened(ctx, *opened);
                effects
            }
            Effect::Restored(restored) => restored_now(*restored),
            Effect::Save(purpose, path, existing) => {
                if existing == Existing::Keep && save::is_own(&self.desk, purpose, &path) {
                    self.desk.update(desk::Message::LookElsewhere);
                }
                save::save((purpose, path), existing, self.world(ctx), self.programs.texts())
            }
            Effect::Run(errand) => {
                self.outbox.run(errand);
                Effects::new()
            }
            Effect::PictureOfWindow(path, reads, existing) => {
                self.outbox.picture_of_window(ctx, path, reads, existing);
                Effects::new()
            }
            Effect::Leave => {
                self.guard.leave();
                self.recovery.give_up();
                ctx.send_viewport_cmd(ViewportCommand::Close);
                Effects::new()
            }
            Effect::Window(asked) => {
                to_window(ctx, asked);
                Effects::new()
            }
        };
        self.carry_all(ctx, next);
    }

    pub(super) fn tell_look(&mut self, message: look::Message) -> Effects {
        let seen = self.seen();
        self.look.update(message, Around { desk: &self.desk, seen })
    }

    pub(super) fn tell_programs(&mut self, ctx: &Context, message: program::Message) -> Effects {
        let world = World {
            desk: &self.desk,
            look: &self.look,
            seen: self.seen(),
            block_width: self.centre.round.width(),
            ctx,
        };
        self.programs.update(message, world)
    }

    /// After the passes have moved: the programs go with them, and so does what is looked at.
    fn arranged_now(&self, slot: Option<usize>) -> Effects {
        let now = slot.and_then(|slot| self.desk.order().iter().position(|other| *other == slot));
        vec![Effect::Programs(program::Message::Arrange), Effect::Look(look::Message::Arranged(now))]
    }
}

/// Unsaved work that was left comes on the desk.
fn restored_now(restored: Restored) -> Effects {
    let Restored { opened, saved, edits, to_do } = restored;
    vec![
        Effect::Open(Box::new(opened)),
        Effect::Desk(desk::Message::Restored(saved.map(Box::new), to_do)),
        Effect::Programs(program::Message::Restore(edits)),
    ]
}

/// Does what is asked of the system's window.
fn to_window(ctx: &Context, asked: ToWindow) {
    match asked {
        ToWindow::StayOpen => ctx.send_viewport_cmd(ViewportCommand::CancelClose),
        ToWindow::WakeIn(seconds) => {
            ctx.request_repaint_after(std::time::Duration::from_secs_f64(seconds.max(0.01)));
        }
        ToWindow::OtherTheme => {
            ctx.set_theme(if ctx.theme() == Theme::Dark { Theme::Light } else { Theme::Dark });
        }
        ToWindow::Copy(image) => ctx.copy_image(*image),
        ToWindow::CopyWindow => {
            let copy = ctx.clone();
            ctx.request_screenshot(move |image| copy.copy_image(image.as_ref().clone()));
            ctx.request_repaint();
        }
    }
}
