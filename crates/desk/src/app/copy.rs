//! Pictures for the clipboard: of the whole window, of what its middle shows, and of the graph; and what a picture in the
//! job's folder is called after.

use blockwright_core::pixels::Pixels;
use eframe::egui::{ColorImage, Context};

use super::App;
use super::act::{self, Action, theme};
use super::centre::Shown;
use super::dialog::{Dialog, Purpose};
use crate::record;

/// Lays a picture of the window on the clipboard.
pub(super) fn window(ctx: &Context) {
    let copy = ctx.clone();
    ctx.request_screenshot(move |image| copy.copy_image(image.as_ref().clone()));
    ctx.request_repaint();
}

/// Lays the picture in the middle of the window on the clipboard.
pub(super) fn shown(app: &mut App, ctx: &Context) {
    let purpose = match app.look.centre.shown {
        Shown::Plan => Purpose::Plan,
        Shown::Wall => Purpose::Wall,
        Shown::Block => Purpose::Block,
    };
    picture(app, ctx, purpose);
}

/// Draws a picture beside the window, as it is saved, and lays it on the clipboard.
pub(super) fn picture(app: &mut App, ctx: &Context, purpose: Purpose) {
    let (pass, _) = app.place();
    let kind = act::picture_kind(app, purpose);
    let (Some(kind), Some(proof)) = (kind, app.desk.whole_proof().cloned()) else {
        app.dialog = Some(Dialog::Trouble(act::nothing_proven()));
        return;
    };
    let theme = theme(ctx);
    app.outbox.copy(move || {
        let pixels = record::as_pixels(&proof, pass, kind, &record::today(), &theme)?;
        Ok(Action::Copy(Box::new(image(&pixels))))
    });
}

fn image(pixels: &Pixels) -> ColorImage {
    ColorImage::from_rgba_unmultiplied([pixels.width, pixels.height], &pixels.rgba)
}

/// What a picture is called after besides its job and pass: what it shows, and where.
pub(super) fn view_and_place(app: &App, purpose: Purpose, view: &str) -> String {
    let line = || app.line().map_or_else(|| view.to_owned(), |line| format!("{view} line {line}"));
    match (purpose, app.desk.whole_proof()) {
        (Purpose::Wall, Some(proof)) => {
            let station = app.look.centre.station_on(proof);
            format!("{view} station {}", proof.job.units.plain(station))
        }
        (Purpose::Window | Purpose::Plan | Purpose::Block, _) => line(),
        _ => view.to_owned(),
    }
}
