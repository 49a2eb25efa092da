//! What is written for the job folder: the job file with its programs, and pictures.

use std::path::{Path, PathBuf};

use blockwright_core::job;
use blockwright_core::proof::{Proof, Source};
use blockwright_core::view::{self, Camera, PictureKind, Scene, Theme};

use crate::files::{self, Existing, PROGRAM_LIMIT};
use crate::trouble::Trouble;

/// Width of a picture in points.
const PICTURE_WIDTH: f32 = 1200.0;

/// Writes the job file, and beside it those of its programs that are not there yet.
///
/// # Errors
/// When a file cannot be written, or another program of the same name is in the way.
pub fn save_job(source: &Source, path: &Path) -> Result<(), Trouble> {
    let folder = files::folder_of(path);
    let mut missing = Vec::new();
    for (pass, text) in source.job.passes.iter().zip(&source.programs) {
        let target = folder.join(&pass.program);
        if !target.exists() {
            missing.push((target, text));
        } else if files::read(&target, PROGRAM_LIMIT)?[..] != text[..] {
            return Err(Trouble::with_file(
                &target,
                "is another program than the one open here",
                "save the job into another folder, or move that program away",
            ));
        }
    }
    for (target, text) in missing {
        // Two passes may share a program: the second finds it written.
        if !target.exists() {
            files::write(&target, text, Existing::Keep)?;
        }
    }
    files::write(path, job::write(&source.job).as_bytes(), Existing::Replace)
}

/// What a picture is to show of a pass.
#[derive(Debug, Clone, Copy)]
pub enum Picture {
    /// The block in plan at this distance along the pass, or after it.
    Plan(Option<f64>),
    /// The strips of the pass.
    Strip,
    /// The wall at this station, after the pass.
    Wall(f64),
    /// The block in the round at this distance along the pass, or after it.
    Block(Option<f64>, Camera),
}

/// One picture as a PNG file.
///
/// # Errors
/// When the picture cannot be drawn, or the job lacks what it shows.
pub fn picture(proof: &Proof, pass: usize, picture: Picture, theme: &Theme) -> Result<Vec<u8>, Trouble> {
    let length = proof.passes.get(pass).map_or(0.0, |pass| pass.track.length());
    let block = |at: Option<f64>| proof.block_at(pass, at.unwrap_or(length).min(length));
    let lacking = |what: &str| Trouble::at("picture", what, "state it in the job, or choose another view");
    match picture {
        Picture::Plan(at) => png(proof, pass, &PictureKind::Plan(block(at).as_ref()), 0.75, theme),
        Picture::Strip => png(proof, pass, &PictureKind::Strip, 0.35, theme),
        Picture::Wall(station) => {
            let wall = proof.wall().ok_or_else(|| lacking("A wall needs an outline and a blank"))?;
            png(proof, pass, &PictureKind::Wall(&wall.section(station)), 0.75, theme)
        }
        Picture::Block(at, camera) => {
            let scene = block(at).and_then(|field| Scene::of_proof(proof, pass, field));
            let scene = scene.ok_or_else(|| lacking("The block in the round needs a blank"))?;
            png(proof, pass, &PictureKind::Block(&scene, camera), 0.75, theme)
        }
    }
}

fn png(
    proof: &Proof,
    pass: usize,
    kind: &PictureKind<'_>,
    height: f32,
    theme: &Theme,
) -> Result<Vec<u8>, Trouble> {
    let size = [PICTURE_WIDTH, PICTURE_WIDTH * height];
    let drawing = view::picture(proof, pass, kind, &today(), theme, size);
    let pixels = view::rasterise(&drawing, 2.0, theme.paper).map_err(Trouble::own)?;
    view::png(&pixels).map_err(Trouble::own)
}

/// Today as on the shop's calendar.
pub fn today() -> String {
    jiff::Zoned::now().date().to_string()
}

/// File name of a picture in the job folder: job, pass, view.
pub fn picture_path(folder: &Path, proof: &Proof, pass: usize, view: &str) -> PathBuf {
    let job = proof.job.name.as_deref().unwrap_or("job");
    let name = proof.job.passes.get(pass).map_or("", |pass| pass.name.as_str());
    let stem = files::slug(&format!("{job} {} {name} {view}", pass + 1));
    folder.join(format!("{stem}.png"))
}
