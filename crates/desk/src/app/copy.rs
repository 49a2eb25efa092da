//! Pictures for the clipboard: of the whole window, of what its middle shows, and of the graph; and what a picture in the
//! job's folder is called after.

use std::path::{Path, PathBuf};

use blockwright_core::pixels::Pixels;
use blockwright_core::view::Camera;
use eframe::egui::ColorImage;

use super::act::{Action, theme};
use super::centre::Shown;
use super::dialog::Purpose;
use super::outbox::Errand;
use super::room::{Effect, Effects, ToWindow, World, nothing_proven};
use super::save;
use crate::files::{self, Existing, Product, Reads};
use crate::record::{self, PICTURE_WIDTH, Picture};

/// Lays a picture of the window on the clipboard.
pub(super) fn window() -> Effects {
    vec![Effect::Window(ToWindow::CopyWindow)]
}

/// Lays the picture in the middle of the window on the clipboard.
pub(super) fn shown(world: World<'_>) -> Effects {
    let purpose = match world.look.centre.shown {
        Shown::Plan => Purpose::Plan,
        Shown::Wall => Purpose::Wall,
        Shown::Block => Purpose::Block,
    };
    picture(purpose, world)
}

/// Draws a picture beside the window, as it is saved, and lays it on the clipboard.
pub(super) fn picture(purpose: Purpose, world: World<'_>) -> Effects {
    let (Some(kind), Some(proof)) = (kind(purpose, world), world.desk.whole_proof().cloned()) else {
        return vec![Effect::tell(nothing_proven())];
    };
    let (pass, theme) = (world.look.pass, theme(world.ctx));
    vec![Effect::Run(Errand::copy(move || {
        let pixels = record::as_pixels(&proof, pass, kind, &record::today(), &theme)?;
        Ok(Action::Copy(Box::new(image(&pixels))))
    }))]
}

/// Draws a picture and writes it beside the window: drawing a large one takes longer than a frame.
pub(super) fn picture_file(
    (purpose, path): (Purpose, PathBuf),
    (reads, existing): (Reads, Existing),
    world: World<'_>,
) -> Effects {
    let (Some(kind), Some(proof)) = (kind(purpose, world), world.desk.whole_proof().cloned()) else {
        return vec![Effect::tell(nothing_proven())];
    };
    let (pass, theme) = (world.look.pass, theme(world.ctx));
    let draw = move |path: &Path| {
        let png = record::picture(&proof, pass, kind, &record::today(), &theme)?;
        files::save(path, &png, &reads, Product::Picture, existing)
            .map_err(|blocked| blocked.trouble(path, &save::WAYS))
    };
    vec![Effect::close(), Effect::Run(Errand::write("picture", path, draw))]
}

/// Asks where a picture of this is to be saved.
pub(super) fn ask(purpose: Purpose, view: &str, world: World<'_>) -> Effects {
    let Some(proof) = world.desk.whole_proof() else { return vec![Effect::tell(nothing_proven())] };
    let view = view_and_place(purpose, view, world);
    let path = record::picture_path(&world.desk.origin().folder(), proof, world.look.pass, &view);
    vec![Effect::ask_path(purpose, &path)]
}

/// The picture that is wanted, as the window shows it; `None` where there is none.
fn kind(purpose: Purpose, world: World<'_>) -> Option<Picture> {
    let World { desk, look, .. } = world;
    let at = || look.distance(desk.proof());
    match purpose {
        Purpose::Plan => Some(Picture::Plan(Some(at()))),
        Purpose::Strip => Some(Picture::Strip),
        Purpose::BuildUp => Some(Picture::BuildUp),
        Purpose::Wall => Some(Picture::Wall(look.centre.station_on(desk.whole_proof()?))),
        Purpose::Block => {
            let camera = look.centre.camera;
            // What was moved aside in the window is moved by as much of the picture.
            let wider = world.block_width.map_or(1.0, |width| PICTURE_WIDTH / width);
            let camera = Camera { pan: camera.pan.map(|by| by * wider), ..camera };
            Some(Picture::Block(Some(at()), camera))
        }
        Purpose::Open
        | Purpose::SaveJob
        | Purpose::SaveProgram
        | Purpose::AddPass
        | Purpose::Crib
        | Purpose::SaveCrib
        | Purpose::Compare
        | Purpose::BringIn
        | Purpose::Under
        | Purpose::Record
        | Purpose::Window => None,
    }
}

fn image(pixels: &Pixels) -> ColorImage {
    ColorImage::from_rgba_unmultiplied([pixels.width, pixels.height], &pixels.rgba)
}

/// What a picture is called after besides its job and pass: what it shows, and where.
fn view_and_place(purpose: Purpose, view: &str, world: World<'_>) -> String {
    let World { desk, look, .. } = world;
    let line =
        || look.line(desk.proof()).map_or_else(|| view.to_owned(), |line| format!("{view} line {line}"));
    match (purpose, desk.whole_proof()) {
        (Purpose::Wall, Some(proof)) => {
            let station = look.centre.station_on(proof);
            format!("{view} station {}", proof.job.units.plain(station))
        }
        (Purpose::Window | Purpose::Plan | Purpose::Block, _) => line(),
        (_, _) => view.to_owned(),
    }
}
