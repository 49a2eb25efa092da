//! What each command does.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use blockwright_core::demo;
use blockwright_core::proof::{self, Options, Proof, ProveError, Prover};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::units::Units;
use blockwright_core::view::{PictureKind, Theme};

use super::args::{Picture, Prove, Unit};
use super::say;
use crate::files::{self, Existing};
use crate::open::{self, Opened};
use crate::record::{self, Shown};
use crate::trouble::Trouble;

/// Opens the desk, or proves in text where there is no display.
pub(super) fn desk(
    paths: &[PathBuf],
    units: Option<Unit>,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> Result<u8, Trouble> {
    let units = units.map(Units::from);
    if has_display() {
        match crate::app::run(open::at_once(paths, units)?) {
            Ok(()) => return Ok(0),
            Err(reason) => {
                say(err, &format!("blockwright: the window could not be opened ({reason}); "))?;
            }
        }
    } else {
        say(err, "blockwright: there is no display to open a window on; ")?;
    }
    say(err, "the proof follows as text.\n")?;
    let opened = open::paths(paths, units)?;
    let proof = prove_opened(&opened, None, err)?;
    say(out, &proof::table(&proof))?;
    Ok(proof::status(&proof))
}

/// Proves a job and prints the proof.
pub(super) fn prove(args: &Prove, out: &mut dyn Write, err: &mut dyn Write) -> Result<u8, Trouble> {
    let opened = open::paths(std::slice::from_ref(&args.job), args.units.map(Units::from))?;
    let proof = prove_opened(&opened, args.cell, err)?;
    let text = if args.json { proof::json(&proof) } else { proof::table(&proof) };
    say(out, &text)?;
    if !text.ends_with('\n') {
        say(out, "\n")?;
    }
    Ok(proof::status(&proof))
}

/// Draws one picture.
pub(super) fn picture(args: &Picture, out: &mut dyn Write, err: &mut dyn Write) -> Result<u8, Trouble> {
    let opened = open::paths(std::slice::from_ref(&args.job), args.units.map(Units::from))?;
    let passes = &opened.source.job.passes;
    let pass = match &args.pass {
        None => 0,
        Some(name) => passes.iter().position(|pass| pass.name == *name).ok_or_else(|| {
            let names: Vec<String> = passes.iter().map(|pass| format!("\"{}\"", pass.name)).collect();
            Trouble::with_file(
                &args.job,
                format!("has no pass \"{name}\""),
                format!("its passes are {}", names.join(", ")),
            )
        })?,
    };
    if args.at.is_some_and(|at| !at.is_finite() || at < 0.0) {
        return Err(Trouble::at("--at", "is not a distance along the pass", "give a number from 0 up"));
    }
    let proof = prove_opened(&opened, args.cell, err)?;
    let kind = PictureKind::from(args.view);
    let length = proof.passes.get(pass).map_or(0.0, |pass| pass.track.length());
    let field = match kind {
        PictureKind::Plan => proof.block_at(pass, args.at.unwrap_or(length).min(length)),
        PictureKind::Strip => None,
    };
    let theme = if args.dark { Theme::dark() } else { Theme::light() };
    let png = record::picture(&proof, Shown { kind, pass, field: field.as_ref() }, &theme)?;
    files::write(&args.output, &png, Existing::Replace)?;
    say(out, &format!("{}\n", args.output.display()))?;
    Ok(0)
}

/// Writes the demo files; looks first, so that a refusal leaves nothing half done.
pub(super) fn demo(folder: &Path, out: &mut dyn Write) -> Result<u8, Trouble> {
    let targets: Vec<(PathBuf, &[u8])> =
        demo::files().iter().map(|(name, bytes)| (folder.join(name), *bytes)).collect();
    if let Some((there, _)) = targets.iter().find(|(target, _)| target.exists()) {
        return Err(files::already_there(there));
    }
    for (target, bytes) in &targets {
        let beside = files::folder_of(target);
        fs::create_dir_all(&beside).map_err(|error| {
            Trouble::with_file(
                &beside,
                format!("the folder could not be made ({error})"),
                "choose another folder",
            )
        })?;
        files::write(target, bytes, Existing::Keep)?;
        say(out, &format!("{}\n", target.display()))?;
    }
    Ok(0)
}

fn prove_opened(opened: &Opened, cell: Option<f64>, err: &mut dyn Write) -> Result<Proof, Trouble> {
    if cell.is_some_and(|cell| !cell.is_finite() || cell <= 0.0) {
        return Err(Trouble::at("--cell", "is not a length", "give a number above 0 in the job's unit"));
    }
    if let Some(bare) = &opened.bare {
        say(err, &format!("blockwright: {}.\n", open::assumed(bare)))?;
    }
    let cancel = Cancel::new();
    Prover::new().prove(&opened.source, &Options { cell }, Task::quiet(&cancel)).map_err(
        |error| match error {
            ProveError::Cancelled => Trouble::own("the proof was stopped before it was done"),
            ProveError::Unusable(what) => unusable(opened, what),
        },
    )
}

fn unusable(opened: &Opened, what: String) -> Trouble {
    let place = match &opened.origin {
        open::Origin::Demo => "the demo job".to_owned(),
        open::Origin::Job(file) => file.display().to_string(),
        open::Origin::Programs(programs) => {
            programs.first().map(|file| file.display().to_string()).unwrap_or_default()
        }
    };
    Trouble::at(place, what, "")
}

/// Whether there is a display to open a window on. Only where displays are named by the environment can it be
/// known beforehand.
fn has_display() -> bool {
    let named = |name: &str| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    !cfg!(all(unix, not(target_os = "macos"))) || named("DISPLAY") || named("WAYLAND_DISPLAY")
}
