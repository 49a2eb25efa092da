//! The best position of the outline on the blank.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use blockwright_core::fit::{self, Fitting, Limits};
use blockwright_core::job::{self, Job};
use clap::Args as Group;

use super::args::finite;
use super::commands::prove_opened;
use super::rewrite::{WAYS, existing};
use super::{progress, say};
use crate::files::{self, Product, Reads};
use crate::open::{self, Opened};
use crate::trouble::Trouble;

/// What `fit` takes.
#[derive(Debug, Group)]
#[command(
    long_about = "Finds the position of the outline on the blank that makes the least margin greatest, and shows \
        that no other within the limits is better by more than it says. Prints the margin before and after, what the \
        operator does to get there, and the metal to add before and after.\n\n\
        With -o it writes the job with that position: where the blank lies changes, and nothing else. The \
        job that was read is never overwritten.\n\n\
        Exit status: 0 it cleans up in the best position, 1 metal has to be added even there, 2 the input cannot be \
        used.",
    after_help = crate::CAUTION
)]
pub(super) struct Fit {
    /// A job file with an outline and a blank.
    pub(super) job: PathBuf,
    /// What may be moved.
    #[command(flatten)]
    pub(super) moves: Moves,
    /// The margin wanted all around, in the job's unit; the least allowance of its passes, at least 0, unless given.
    #[arg(long, value_name = "LENGTH", allow_negative_numbers = true, value_parser = finite)]
    pub(super) margin: Option<f64>,
    /// Print JSON (schema blockwright-fit/1).
    #[arg(long)]
    pub(super) json: bool,
    /// Write the job with the best position to this file.
    #[arg(short, long, value_name = "FILE")]
    pub(super) output: Option<PathBuf>,
    /// Replace FILE if it is another job.
    #[arg(long, requires = "output")]
    pub(super) replace: bool,
}

/// What may be moved; everything unless said otherwise.
#[derive(Debug, Group)]
pub(super) struct Moves {
    /// The blank may not be rotated.
    #[arg(long, conflicts_with = "most_turn")]
    pub(super) no_turn: bool,
    /// It may be moved along X alone.
    #[arg(long, conflicts_with = "only_y")]
    pub(super) only_x: bool,
    /// It may be moved along Y alone.
    #[arg(long)]
    pub(super) only_y: bool,
    /// It may be rotated by this many degrees either way, and no more.
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true, value_parser = finite)]
    pub(super) most_turn: Option<f64>,
    /// The middle of the outline may be moved this far, and no farther; in the job's unit.
    #[arg(long, value_name = "LENGTH", allow_negative_numbers = true, value_parser = finite)]
    pub(super) most_shift: Option<f64>,
}

/// Looks for the best position, prints it, and takes it over where asked to.
pub(super) fn fit(args: &Fit, out: &mut dyn Write, err: &mut dyn Write) -> Result<u8, Trouble> {
    let limits = limits(&args.moves)?;
    let opened = open::paths(std::slice::from_ref(&args.job), None)?;
    if let Some(target) = &args.output {
        may_write(args, &opened, target)?;
    }
    let job = Arc::clone(&opened.source.job);
    let wanted = not_under_zero("--margin", args.margin)?.unwrap_or_else(|| least_allowance(&job));
    let proof = prove_opened(&opened, None, err)?;
    let (Some(outline), Some(edge)) = (&proof.outline, &proof.edge) else {
        return Err(Trouble::with_file(
            &args.job,
            "has no outline on a blank to fit",
            "put an outline and a blank in the job",
        ));
    };
    let found = progress::shown(|task| fit::fitting(outline, edge, &limits, wanted, job.units, task))
        .map_err(|stopped| Trouble::own(stopped.to_string()))?;
    say(out, &if args.json { fit::json(&job, &found) } else { fit::table(&job, &found) });
    if let Some(target) = &args.output {
        write(args, &opened, target, &found)?;
        if !args.json {
            say(out, &format!("{}\n", target.display()));
        }
    }
    Ok(u8::from(!found.cleans_up()))
}

fn limits(moves: &Moves) -> Result<Limits, Trouble> {
    let turn = not_under_zero("--most-turn", moves.most_turn)?.unwrap_or(Limits::default().turn);
    Ok(Limits {
        x: !moves.only_y,
        y: !moves.only_x,
        turn: if moves.no_turn { 0.0 } else { turn },
        shift: not_under_zero("--most-shift", moves.most_shift)?,
    })
}

fn not_under_zero(name: &str, value: Option<f64>) -> Result<Option<f64>, Trouble> {
    match value {
        Some(value) if value < 0.0 => {
            let unit = if name == "--most-turn" { "degrees" } else { "the job's unit" };
            Err(Trouble::at(name, format!("{value} is below 0"), format!("give 0 or more, in {unit}")))
        }
        other => Ok(other),
    }
}

/// The least that a pass of the job is meant to leave: with so much metal all round, every pass cuts.
fn least_allowance(job: &Job) -> f64 {
    let least = job.passes.iter().filter_map(|pass| pass.allowance).fold(f64::INFINITY, f64::min);
    if least.is_finite() { least.max(0.0) } else { 0.0 }
}

/// Where the job is written: beside the programs that it names, and over none of them.
fn may_write(args: &Fit, opened: &Opened, target: &Path) -> Result<(), Trouble> {
    let folder = opened.origin.folder();
    if !files::same(&files::folder_of(target), &folder) {
        return Err(Trouble::with_file(
            target,
            "lies in another folder than the programs of the job",
            format!("give a name in {}", folder.display()),
        ));
    }
    files::may_write(target, &Reads::of(opened), Product::Job, existing(args.replace))
        .map_err(|blocked| blocked.trouble(target, &WAYS))
}

fn write(args: &Fit, opened: &Opened, target: &Path, found: &Fitting) -> Result<(), Trouble> {
    let text = job::write(&fit::taken_over(&opened.source.job, &found.fit));
    files::save(target, text.as_bytes(), &Reads::of(opened), Product::Job, existing(args.replace))
        .map_err(|blocked| blocked.trouble(target, &WAYS))
}
