//! The record of a job, written into a folder.

use std::io::Write;
use std::path::PathBuf;

use blockwright_core::proof;
use blockwright_core::units::Units;
use clap::Args as Group;

use super::args::{Unit, above_zero, finite};
use super::commands::{on_outline, prove_opened};
use super::rewrite::existing;
use super::{progress, say};
use crate::files::{Reads, Ways};
use crate::open;
use crate::record::{
    self,
    folder::{Contents, Folder, InTheWay},
};
use crate::trouble::Trouble;

/// What to do about a name that is taken.
const WAYS: Ways = Ways { other_name: "give another folder after -o", replace: "add --replace" };

/// What `sheet` takes.
#[derive(Debug, Group)]
#[command(
    long_about = "Writes the record of a job into a folder, so that the next block comes out the same.\n\n\
        record.html is the record itself, to be printed on Letter or A4: title block, plan, findings, passes, walls, metal \
        to add, tools, feeds, measurements, the walk around of the air pass, and a check list to sign; record.pdf is \
        the same. Beside them, all named record-something: plan and walls at true scale (SVG), outline, edge, swept \
        areas and sections in layers (DXF), the block as a closed body in the job's unit (STL), lists of every pass along \
        the outline and of the walk around (CSV), the result of the check (JSON), and pictures (PNG). The same job on the same date gives the same files, byte for byte.\n\n\
        Nothing that the job reads is ever written over, and an older record only with --replace.\n\n\
        Exit status: 0 written, no findings; 1 written, findings; 2 the input cannot be used, or nothing was written.",
    after_help = crate::CAUTION
)]
pub(super) struct Sheet {
    /// A job file; or a program alone.
    #[arg(value_name = "JOB")]
    job: PathBuf,
    /// The folder to write into; made when it is not there.
    #[arg(short, long, value_name = "FOLDER")]
    output: PathBuf,
    /// The date on the record; today unless given.
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = record::date)]
    date: Option<String>,
    /// Show the wall at this station too, besides the worst ones; may be given several times.
    #[arg(long, value_name = "STATION", allow_negative_numbers = true, value_parser = finite)]
    wall: Vec<f64>,
    /// Write the block as a body (STL) after every pass, and not only after the last.
    #[arg(long)]
    every_pass: bool,
    /// Leave out the pictures (PNG), which take most of the time.
    #[arg(long)]
    no_pictures: bool,
    /// Replace an older record.
    #[arg(long)]
    replace: bool,
    /// Side of a cell of the block's model, in the job's unit; smaller is finer and slower.
    #[arg(long, value_name = "LENGTH", allow_negative_numbers = true, value_parser = above_zero)]
    cell: Option<f64>,
    /// Unit of a program that has no job.
    #[arg(long, value_name = "UNIT")]
    units: Option<Unit>,
}

/// Writes the record. Looks at all targets before the first is written, so that a refusal leaves nothing half done.
pub(super) fn sheet(args: &Sheet, out: &mut dyn Write, err: &mut dyn Write) -> Result<u8, Trouble> {
    let opened = open::paths(std::slice::from_ref(&args.job), args.units.map(Units::from))?;
    let folder =
        Folder { path: args.output.clone(), reads: Reads::of(&opened), existing: existing(args.replace) };
    let told = |(file, blocked): InTheWay| blocked.trouble(&file, &WAYS);
    folder.look().map_err(told)?;
    let date = args.date.clone().unwrap_or_else(record::today);
    let proof = prove_opened(&opened, args.cell, err)?;
    for wall in &args.wall {
        on_outline("--wall", *wall, &proof)?;
    }
    let contents =
        Contents { date: &date, walls: &args.wall, every_body: args.every_pass, pictures: !args.no_pictures };
    let written = progress::shown(|task| folder.write((&proof, &opened.source), &contents, task));
    for file in written.map_err(told)? {
        say(out, &format!("{}\n", file.display()));
    }
    Ok(proof::status(&proof))
}
