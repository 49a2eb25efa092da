//! What is written for the job folder: the job file with its programs, and pictures.

pub mod folder;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use blockwright_core::job::{self, Crib, Job};
use blockwright_core::pixels::{self, Pixels};
use blockwright_core::proof::{Proof, Source};
use blockwright_core::view::{self, Camera, PictureKind, Scene, Theme};

use crate::beside;
use crate::files::{self, Blocked, Existing, PROGRAM_LIMIT, Product, Reads};
use crate::trouble::Trouble;

/// Width of a picture in points.
pub const PICTURE_WIDTH: f32 = 1200.0;

/// Writes the job file, and beside it those of its programs and drawings that are not there yet. Nothing is written
/// outside the folder, and none of `reads` is written over. Programs in `homes` are the very files that the passes
/// were opened from: they stay as they are, edited in the window or posted again.
///
/// # Errors
/// What stands in the way of the job file, when a file cannot be written, or another program or drawing of the same
/// name is in the way.
pub fn save_job(
    source: &Source,
    path: &Path,
    (reads, homes): (&Reads, &Reads),
    existing: Existing,
) -> Result<(), Blocked> {
    let folder = files::folder_of(path);
    let text = job::write(&source.job);
    reads_back(&text, path)?;
    files::may_write(path, reads, Product::Job, existing)?;
    let crib = missing_crib(&source.job, path)?;
    let beside = missing(source, &folder, homes)?;
    // In another folder it would otherwise take the place of what it has just brought there.
    let named = Reads::named_by(path, &source.job, &source.beside);
    files::may_write(path, &named, Product::Job, Existing::Asked)?;
    for (target, bytes) in beside {
        // Two passes may share a program, and outline and edge a drawing: the second finds it written.
        if !target.exists() {
            files::make_folder(&files::folder_of(&target))?;
            files::write(&target, bytes, false)?;
        }
    }
    if let Some((target, crib)) = crib {
        files::write(&target, job::write_crib(&crib).as_bytes(), false)?;
    }
    files::save(path, text.as_bytes(), reads, Product::Job, existing)
}

/// A job that could not be opened again takes no job's place.
fn reads_back(text: &str, path: &Path) -> Result<(), Trouble> {
    let read = job::read(text.as_bytes());
    read.map(drop).map_err(|error| {
        Trouble::with_file(
            path,
            format!("was not written, for it could not be opened again ({}: {})", error.key, error.message),
            "correct that in the job first",
        )
    })
}

/// Files that are not there yet, each with what belongs into it.
type Missing<'a> = Vec<(PathBuf, &'a Arc<[u8]>)>;

/// The programs and drawings of a job that are not in this folder yet, and where each belongs.
fn missing<'a>(source: &'a Source, folder: &Path, homes: &Reads) -> Result<Missing<'a>, Trouble> {
    let programs = source.job.passes.iter().zip(&source.programs);
    let programs = programs.map(|(pass, text)| ("program", pass.program.as_str(), text));
    let drawings = source.job.drawings().filter_map(|(_, name)| {
        let bytes = source.beside.drawings.get(name)?;
        Some(("drawing", name, bytes))
    });
    let mut missing = Vec::new();
    for (kind, name, bytes) in programs.chain(drawings) {
        let target = belongs(folder, kind, name)?;
        if !target.exists() {
            missing.push((target, bytes));
        } else if !(kind == "program" && homes.has(&target))
            && files::read(&target, PROGRAM_LIMIT)?[..] != bytes[..]
        {
            return Err(Trouble::with_file(
                &target,
                format!("is another {kind} than the one open here"),
                format!(
                    "save the job into another folder, or move that {kind} away; to use the one there, open the job \
                     again"
                ),
            ));
        }
    }
    Ok(missing)
}

/// Where a file that a job names belongs: in the job's folder or below, never outside.
fn belongs(folder: &Path, kind: &str, name: &str) -> Result<PathBuf, Trouble> {
    let target = folder.join(name);
    if files::stays_inside(name) && files::lies_in(folder, &target) {
        return Ok(target);
    }
    Err(Trouble::with_file(
        &target,
        format!("is a {kind} that the job names outside its folder; nothing was written"),
        "copy it into the job's folder, and name the copy",
    ))
}

/// The crib that has to be written beside the job, where it is not there yet.
fn missing_crib(job: &Job, path: &Path) -> Result<Option<(PathBuf, Crib)>, Trouble> {
    let Some(named) = &job.crib else { return Ok(None) };
    let target = belongs(&files::folder_of(path), "crib", &named.file)?;
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

/// One picture as a PNG file, with this date on it.
///
/// # Errors
/// When the picture cannot be drawn, or the job lacks what it shows.
pub fn picture(
    proof: &Proof,
    pass: usize,
    picture: Picture,
    date: &str,
    theme: &Theme,
) -> Result<Vec<u8>, Trouble> {
    pixels::png(&as_pixels(proof, pass, picture, date, theme)?).map_err(Trouble::own)
}

/// The same as it is seen, for the clipboard.
///
/// # Errors
/// When the picture cannot be drawn, or the job lacks what it shows.
pub fn as_pixels(
    proof: &Proof,
    pass: usize,
    picture: Picture,
    date: &str,
    theme: &Theme,
) -> Result<Pixels, Trouble> {
    let draw = |kind: &PictureKind<'_>, height| drawn(proof, pass, kind, height, date, theme);
    let length = proof.passes.get(pass).map_or(0.0, |pass| pass.track.length());
    let block = |at: Option<f64>| proof.block_at(pass, at.unwrap_or(length).min(length));
    let lacking = |what: &str| Trouble::at("picture", what, "add it to the job, or choose another view");
    match picture {
        Picture::Plan(at) => draw(&PictureKind::Plan(block(at).as_ref()), 0.75),
        Picture::Strip => draw(&PictureKind::Strip, 0.35),
        Picture::BuildUp if proof.fit.is_none() => {
            Err(lacking("A picture of the metal to add needs an outline and a blank"))
        }
        Picture::BuildUp => draw(&PictureKind::BuildUp, 0.65),
        Picture::Wall(station) => {
            let wall = proof.wall().ok_or_else(|| lacking("A wall needs an outline and a blank"))?;
            draw(&PictureKind::Wall(&wall.section(station)), 0.75)
        }
        Picture::Block(at, camera) => {
            let scene = block(at).and_then(|field| Scene::of_proof(proof, pass, field));
            let scene = scene.ok_or_else(|| lacking("The block in 3D needs a blank"))?;
            draw(&PictureKind::Block(&scene, camera), 0.75)
        }
    }
}

fn drawn(
    proof: &Proof,
    pass: usize,
    kind: &PictureKind<'_>,
    height: f32,
    date: &str,
    theme: &Theme,
) -> Result<Pixels, Trouble> {
    let size = [PICTURE_WIDTH, PICTURE_WIDTH * height];
    let drawing = view::picture(proof, pass, kind, date, theme, size);
    view::rasterise(&drawing, 2.0, theme.paper).map_err(Trouble::own)
}

/// Today as on the shop's calendar.
pub fn today() -> String {
    jiff::Zoned::now().date().to_string()
}

/// A date as typed, such as `2026-11-30`.
///
/// # Errors
/// When it is none.
pub fn date(text: &str) -> Result<String, String> {
    let read: Result<jiff::civil::Date, _> = text.parse();
    read.map(|date| date.to_string()).map_err(|_| "it must be a date, such as 2026-11-30".to_owned())
}

/// File name of a picture in the job folder: job, pass, view and place.
pub fn picture_path(folder: &Path, proof: &Proof, pass: usize, view: &str) -> PathBuf {
    let job = proof.job.name.as_deref().unwrap_or("job");
    let name = proof.job.passes.get(pass).map_or("", |pass| pass.name.as_str());
    let stem = files::slug(&format!("{job} {} {name} {view}", pass + 1));
    folder.join(format!("{stem}.png"))
}
