//! How a small window is drawn.

use eframe::egui::{Align2, Context, Id, Key, Rect, Ui, Window, vec2};

use super::{Around, Dialog, text};
use crate::app::act::Action;
use crate::app::recovery;

/// A window finds its size over its first frames: draw again until it stays, for nothing else may ask for it.
fn settle(ctx: &Context, rect: Option<Rect>) {
    let id = Id::unique("dialog size");
    let before: Option<Rect> = ctx.data_mut(|data| data.get_temp(id));
    if let Some(rect) = rect
        && before != Some(rect)
    {
        ctx.data_mut(|data| data.insert_temp(id, rect));
        ctx.request_repaint();
    }
}

impl Dialog {
    pub(super) fn show(&mut self, ctx: &Context, around: Around<'_>, actions: &mut Vec<Action>) {
        let (title, width) = match self {
            Self::Trouble(trouble) if trouble.own_fault => ("Fault in Blockwright", 420.0),
            Self::Trouble(_) => ("This could not be done", 420.0),
            Self::Path(dialog) => (dialog.purpose.title(), 620.0),
            Self::SetUp(_) => ("What the programs suggest", 1160.0),
            Self::Answer(_) => ("What the findings ask for", 600.0),
            Self::Edit(_) => ("Edit job", 640.0),
            Self::Air(_) => ("Air pass", 520.0),
            Self::Ready(_) => ("Prepare for the control", 520.0),
            Self::Compare(_) => ("Compare with another program", 560.0),
            Self::Keep(_) => ("Clamp area", 420.0),
            Self::Finer(_) => ("Refine this area", 460.0),
            Self::Order(_) => ("Order of passes", 760.0),
            Self::Tools(_) => ("Tools", 660.0),
            Self::Bring(_) => ("Tools from a crib", 560.0),
            Self::Record(_) => ("Record", 460.0),
            Self::Measured(_) => ("Measurements", 820.0),
            Self::Search(_) => ("Search commands", 940.0),
            Self::Meanings => ("What findings mean", 760.0),
            Self::Cautions => ("Cautions", 440.0),
            Self::Question(question) => (question.title.as_str(), 440.0),
            Self::Left => ("Unsaved work", 560.0),
            Self::Keys => ("Keys", 560.0),
        };
        let mut open = true;
        let title = title.to_owned();
        let shown = Window::new(title)
            .open(&mut open)
            .collapsible(false)
            .resizable(false)
            .default_width(width)
            .max_width(width)
            .pivot(Align2::CENTER_CENTER)
            .default_pos(ctx.content_rect().center())
            .show(ctx, |ui| {
                ui.spacing_mut().item_spacing = vec2(8.0, 8.0);
                self.contents(ui, around, actions);
            });
        // The keyboard and the hand stay in the window that is open.
        if let Some(shown) = &shown {
            ctx.memory_mut(|memory| memory.set_modal_layer(shown.response.layer_id));
        }
        settle(ctx, shown.map(|shown| shown.response.rect));
        if !open || ctx.input(|input| input.key_pressed(Key::Escape)) {
            actions.push(Action::Close);
        }
    }

    fn contents(
        &mut self,
        ui: &mut Ui,
        Around { desk, programs, left, places }: Around<'_>,
        actions: &mut Vec<Action>,
    ) {
        match self {
            Self::Trouble(trouble) => text::trouble(ui, trouble, actions),
            Self::Path(dialog) => dialog.show(ui, places, actions),
            Self::SetUp(dialog) => dialog.show(ui, actions),
            Self::Answer(dialog) => dialog.show(ui, desk, actions),
            Self::Edit(dialog) => dialog.show(ui, desk, actions),
            Self::Air(dialog) => dialog.contents(ui, programs, actions),
            Self::Ready(dialog) => dialog.contents(ui, programs, actions),
            Self::Compare(dialog) => dialog.contents(ui, programs, actions),
            Self::Keep(dialog) => dialog.show(ui, actions),
            Self::Finer(dialog) => dialog.show(ui, actions),
            Self::Order(dialog) => dialog.contents(ui, desk, actions),
            Self::Tools(dialog) => dialog.contents(ui, desk, actions),
            Self::Bring(dialog) => dialog.contents(ui, desk, actions),
            Self::Record(dialog) => dialog.show(ui, actions),
            Self::Measured(dialog) => dialog.show(ui, desk, actions),
            Self::Search(dialog) => dialog.show(ui, actions),
            Self::Meanings => text::meanings(ui, actions),
            Self::Cautions => text::cautions(ui, actions),
            Self::Question(question) => text::question(ui, question, actions),
            Self::Left => recovery::show(ui, left, actions),
            Self::Keys => text::keys(ui, actions),
        }
    }
}
