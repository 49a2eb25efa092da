//! What the thread beside the window draws.

use std::sync::Arc;

use blockwright_core::task::{Cancel, Cancelled};
use blockwright_core::view::{self, Camera, Drawing, Ghosts, RoundState, Scene, Theme, Tint};
use eframe::egui::Vec2;

use crate::app::canvas::Of;

/// The block at a moment.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Moment {
    pub(super) of: Of,
    pub(super) pass: usize,
    pub(super) distance: f64,
}

/// All that a picture depends on, but for how coarse it is.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct RoundKey {
    pub(super) moment: Moment,
    pub(super) camera: Camera,
    pub(super) by_leave: bool,
    pub(super) size: Vec2,
    pub(super) pixels_per_point: f32,
    pub(super) theme: Theme,
}

/// A picture, with the scene it was drawn from; `None` without a blank.
pub(super) struct Made {
    pub(super) scene: Option<Arc<Scene>>,
    pub(super) drawing: Drawing,
}

/// Draws it; a scene of the same moment need not be made again. A picture that nobody waits for any more stays empty.
pub(super) fn draw(key: &RoundKey, coarse: u32, known: Option<Arc<Scene>>, cancel: &Cancel) -> Made {
    let RoundKey { moment: Moment { of, pass, distance }, .. } = key;
    let proof = &of.0;
    let scene = known.or_else(|| {
        let field = proof.block_at(*pass, *distance)?;
        Scene::of_proof(proof, *pass, field).map(Arc::new)
    });
    let drawing = match &scene {
        Some(scene) => picture(key, coarse, scene, cancel).ok(),
        None => None,
    };
    let drawing = drawing.unwrap_or_else(|| Drawing::new(key.size.x, key.size.y));
    Made { scene, drawing }
}

fn picture(key: &RoundKey, coarse: u32, scene: &Scene, cancel: &Cancel) -> Result<Drawing, Cancelled> {
    let proof = &key.moment.of.0;
    let names: Vec<&str> = proof.job.passes.iter().map(|pass| pass.name.as_str()).collect();
    let outline = proof.outline.as_ref().filter(|_| key.by_leave);
    let tint = outline.map_or(Tint::Passes, |outline| Tint::Leave {
        outline,
        range: view::leave_range(proof, key.moment.pass),
    });
    let ghosts = Ghosts::of(proof, key.moment.pass, key.moment.distance);
    let state = RoundState {
        camera: key.camera,
        tint,
        names: &names,
        ghosts: Some(&ghosts),
        units: proof.told,
        pixels_per_point: key.pixels_per_point,
        coarse,
    };
    view::round(scene, &state, &key.theme, key.size.into(), cancel)
}
