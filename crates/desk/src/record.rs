//! What is written for the job folder: the job file with its programs, and pictures.

use std::path::{Path, PathBuf};

use blockwright_core::job::{self, Crib, Job};
use blockwright_core::proof::{Proof, Source};
use blockwright_core::view::{self, Camera, PictureKind, Scene, Theme};

use crate::beside;
use crate::files::{self, Existing, PROGRAM_LIMIT};
use crate::trouble::Trouble;

/// Width of a picture in points.
pub const PICTURE_WIDTH: f32 = 1200.0;

/// Writes the job file, and beside it those of its programs and drawings that are not there yet.
///
/// # Errors
/// When a file cannot be written, or another program or drawing of the same name is in the way.
pub fn save_job(source: &Source, path: &Path) -> Result<(), Trouble> {
    let folder = files::folder_of(path);
    let programs = source.job.passes.iter().zip(&source.programs);
    let programs = programs.map(|(pass, text)| ("program", pass.program.as_str(), text));
    let drawings = source.job.drawings().filter_map(|(_, name)| {
        let bytes = source.beside.drawings.get(name)?;
        Some(("drawing", name, bytes))
    });
    let crib = missing_crib(&source.job, path)?;
    let mut missing = Vec::new();
    for (kind, name, bytes) in programs.chain(drawings) {
        let target = folder.join(name);
        if !target.exists() {
            missing.push((target, bytes));
        } else if files::read(&target, PROGRAM_LIMIT)?[..] != bytes[..] {
            return Err(Trouble::with_file(
                &target,
                format!("is another {kind} than the one open here"),
                format!(
                    "save the job into another folder, or move that {kind} away; to take it over instead, open the job \
                     again"
                ),
            ));
        }
    }
    for (target, bytes) in missing {
        // Two passes may share a program, and outline and edge a drawing: the second finds it written.
        if !target.exists() {
            files::make_folder(&files::folder_of(&target))?;
            files::write(&target, bytes, Existing::Keep)?;
        }
    }
    if let Some((target, crib)) = crib {
        files::write(&target, job::write_crib(&crib).as_bytes(), Existing::Keep)?;
    }
    files::write(path, job::write(&source.job).as_bytes(), Existing::Replace)
}

/// The crib that has to be written beside the job, where it is not there yet.
fn missing_crib(job: &Job, path: &Path) -> Result<Option<(PathBuf, Crib)>, Trouble> {
    let Some(named) = &job.crib else { return Ok(None) };
    let target = files::folder_of(path).join(&named.file);
    if !target.exists() {
        return Ok(Some((
            target,
            Crib { units: job.units, tools: named.tools.clone(), materials: named.materials.clone() },
        )));
    }
    let there = job.clone().with_crib(&beside::crib(&target)?);
    let same =
        there.is_ok_and(|there| job.passes.iter().all(|pass| there.tool(pass.tool) == job.tool(pass.tool)));
    let other = || {
        Trouble::with_file(
            &target,
            "has other tools than the ones open here",
            "save the job into another folder, or open it again with that crib",
        )
    };
    if same { Ok(None) } else { Err(other()) }
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
    /// Where metal has to be built up on the blank as it lies.
    BuildUp,
}

/// One picture as a PNG file.
///
/// # Errors
/// When the picture cannot be drawn, or the job lacks what it shows.
pub fn picture(proof: &Proof, pass: usize, picture: Picture, theme: &Theme) -> Result<Vec<u8>, Trouble> {
    let length = proof.passes.get(pass).map_or(0.0, |pass| pass.track.length());
    let block = |at: Option<f64>| proof.block_at(pass, at.unwrap_or(length).min(length));
    let lacking = |what: &str| Trouble::at("picture", what, "add it to the job, or choose another view");
    match picture {
        Picture::Plan(at) => png(proof, pass, &PictureKind::Plan(block(at).as_ref()), 0.75, theme),
        Picture::Strip => png(proof, pass, &PictureKind::Strip, 0.35, theme),
        Picture::BuildUp if proof.fit.is_none() => {
            Err(lacking("A picture of the metal to add needs an outline and a blank"))
        }
        Picture::BuildUp => png(proof, pass, &PictureKind::BuildUp, 0.65, theme),
        Picture::Wall(station) => {
            let wall = proof.wall().ok_or_else(|| lacking("A wall needs an outline and a blank"))?;
            png(proof, pass, &PictureKind::Wall(&wall.section(station)), 0.75, theme)
        }
        Picture::Block(at, camera) => {
            let scene = block(at).and_then(|field| Scene::of_proof(proof, pass, field));
            let scene = scene.ok_or_else(|| lacking("The block in 3D needs a blank"))?;
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
