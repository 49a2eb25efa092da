//! What is read or worked out away from the window's thread.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use blockwright_core::bring_in::{self, Fault, MOST_BYTES, Offer};
use blockwright_core::sketch::{self, Chain};
use blockwright_core::task::Cancel;

use super::Ask;
use super::choose::Chooser;
use crate::app::desk::Desk;
use crate::app::outbox::Errand;
use crate::app::room::Effect;
use crate::files;
use crate::trouble::Trouble;

/// Reads a drawing or a list of points.
pub(super) fn drawing(path: PathBuf) -> Errand {
    Errand::draw("bring in", move || {
        let bytes = files::read(&path, MOST_BYTES as u64)?;
        let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        let drawing = bring_in::open(&name, &bytes).map_err(|fault| trouble(&path, &fault))?;
        if drawing.pieces() == 0 {
            return Err(trouble(&path, &Fault::whole("nothing is drawn in it: no line, arc or curve")));
        }
        Ok(Ask::Arrived(path, Arc::new(drawing), bytes.into()))
    })
}

fn trouble(path: &Path, fault: &Fault) -> Trouble {
    let remedy = "check that place, or save the drawing again as DXF with lines and arcs";
    Trouble::with_file(path, fault.to_string(), remedy)
}

/// Reads a picture to trace over.
pub(super) fn picture(path: PathBuf) -> Errand {
    Errand::draw("picture", move || {
        let bytes = files::read(&path, sketch::MOST_PICTURE_BYTES)?;
        let pixels = sketch::picture(&bytes)
            .map_err(|what| Trouble::with_file(&path, what, "choose another picture, PNG or JPEG"))?;
        Ok(Ask::Picture(path, Arc::new(pixels)))
    })
}

/// Looks for the closed paths of a drawing as it is wanted now.
pub(super) fn survey(chooser: &mut Chooser) -> Option<Errand> {
    let (drawing, wish, job) = chooser.start()?;
    Some(Errand::draw("survey", move || {
        let offer = Offer::of(&drawing, wish.units, wish.layer, wish.gap, job);
        Ok(Ask::Surveyed(drawing, Box::new(offer)))
    }))
}

/// Makes the path of a pass, moved in by its tool's radius.
pub(super) fn from_pass(index: usize, desk: &Desk) -> Effect {
    let units = desk.job().units;
    let Some(pass) = desk.proof().and_then(|proof| proof.passes.get(index)) else {
        let reason = Trouble::at("", "That pass has not been read yet", "wait a moment and try again");
        return Effect::tell(reason);
    };
    let (track, radius) = (Arc::clone(&pass.track), pass.tool_radius);
    Effect::Run(Errand::draw("from pass", move || {
        let path = bring_in::from_track(&track, radius, units, &Cancel::new()).map_err(|what| {
            let remedy = "choose a pass that goes all around at one height, such as the finish profile";
            Trouble::at(format!("Pass {}", index + 1), what, remedy)
        })?;
        Ok(Ask::Traced(Chain::of_path(&path)))
    }))
}
