//! What is asked of the middle of the window is done here.

use blockwright_core::view::{Along, Camera, Quantity};
use eframe::egui::Context;

use super::Ask;
use crate::app::App;
use crate::app::dialog::{Dialog, Purpose};
use crate::app::finer;
use crate::app::keep::KeepDialog;
use crate::app::look::Look;
use crate::record::{PICTURE_WIDTH, Picture};
use crate::trouble::Trouble;

/// Does it.
pub(in crate::app) fn apply(app: &mut App, ctx: &Context, ask: Ask) {
    let look = &mut app.look.centre;
    match ask {
        Ask::Show(shown) => look.shown = shown,
        Ask::Station(station) => {
            look.station = station;
            if let Some(proof) = app.desk.proof() {
                look.station = look.station_on(proof);
            }
        }
        Ask::WallView(seen) => look.wall_view = seen,
        Ask::EveryTool(every) => look.every_tool = every,
        Ask::Turn(camera) => look.camera = camera,
        Ask::ByLeave(by_leave) => look.by_leave = by_leave,
        Ask::Quantity(quantity) => {
            look.quantity = quantity;
            if quantity != Quantity::Thickness {
                app.look.along = Along::Path;
            }
        }
        Ask::Land(land) => look.land = Some(land),
        Ask::Pins(pin, root) => (look.pin, look.root) = (Some(pin), root),
        Ask::Sketch(sketch) => look.sketch = sketch,
        Ask::Area(area) => {
            look.sketch = None;
            app.dialog = Some(Dialog::Keep(Box::new(KeepDialog::new(area, app.desk.job()))));
        }
        Ask::Keep(area) => {
            let mut job = app.desk.job().clone();
            job.keep_clear.push(area);
            app.dialog = None;
            app.desk.edit(job);
        }
        Ask::Finer(window, cell) => {
            app.dialog = None;
            if let Some(proof) = app.desk.whole_proof() {
                app.plan.finer.make(ctx, proof, window, cell);
            }
        }
    }
}

/// Asks how much finer the part of the plan in view is to be.
pub(in crate::app) fn finer_here(app: &mut App) {
    let seen = app.desk.whole_proof().and_then(|proof| {
        let seen = app.plan.viewport(&app.look, proof)?.seen();
        finer::FinerDialog::new(proof, &seen)
    });
    app.dialog = Some(match seen {
        Some(dialog) => Dialog::Finer(Box::new(dialog)),
        None => Dialog::Trouble(Trouble::at(
            "",
            "There is no block in this part of the plan",
            "move the plan until you see the block, and wait until the job has been checked",
        )),
    });
}

/// The picture that is wanted, as the window shows it.
pub(in crate::app) fn picture(app: &App, purpose: Purpose) -> Option<Picture> {
    let look: &Look = &app.look;
    match purpose {
        Purpose::Wall => Some(Picture::Wall(look.centre.station_on(app.desk.whole_proof()?))),
        Purpose::Block => {
            let camera = look.centre.camera;
            // What was moved aside in the window is moved by as much of the picture.
            let wider = app.centre.round.width().map_or(1.0, |width| PICTURE_WIDTH / width);
            let camera = Camera { pan: camera.pan.map(|by| by * wider), ..camera };
            Some(Picture::Block(Some(app.place().1), camera))
        }
        _ => None,
    }
}
