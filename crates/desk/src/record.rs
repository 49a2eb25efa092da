//! What is written for the job folder: the job file with its programs, and pictures.

use std::path::{Path, PathBuf};

use blockwright_core::block::Field;
use blockwright_core::job;
use blockwright_core::proof::{Proof, Source};
use blockwright_core::view::{self, PictureKind, Theme};

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

/// What a picture shows.
#[derive(Debug, Clone, Copy)]
pub struct Shown<'a> {
    /// Plan or strip.
    pub kind: PictureKind,
    /// Index of the pass.
    pub pass: usize,
    /// The block as it stands, for the plan.
    pub field: Option<&'a Field>,
}

/// One picture as a PNG file.
///
/// # Errors
/// When the picture cannot be drawn.
pub fn picture(proof: &Proof, shown: Shown<'_>, theme: &Theme) -> Result<Vec<u8>, Trouble> {
    let height = match shown.kind {
        PictureKind::Plan => PICTURE_WIDTH * 0.75,
        PictureKind::Strip => PICTURE_WIDTH * 0.35,
    };
    let date = today();
    let drawing =
        view::picture(proof, shown.kind, shown.pass, shown.field, &date, theme, PICTURE_WIDTH, height);
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
