//! The record of a job, written into a folder.

use std::io::Write;
use std::path::{Path, PathBuf};

use blockwright_core::proof::{self, Proof, ProveError};
use blockwright_core::record::{self as core_record, FileKind, Record, RecordFile};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::units::Units;
use blockwright_core::view::{Camera, Theme};
use clap::Args as Group;

use super::args::{Unit, above_zero, finite};
use super::commands::prove_opened;
use super::rewrite::existing;
use super::say;
use crate::files::{self, Blocked, Existing, Product, Reads, Ways};
use crate::open;
use crate::record;
use crate::trouble::Trouble;

/// What to do about a name that is taken.
const WAYS: Ways = Ways { other_name: "give another folder after -o", replace: "add --replace" };

/// What `sheet` takes.
#[derive(Debug, Group)]
#[command(
    long_about = "Writes the record of a job into a folder, so that the next block comes out the same.\n\n\
        record.html is the record itself, to be printed on Letter or A4: title block, plan, findings, passes, walls, metal \
        to add, tools, feeds, measurements, the walk round of the air pass, and a check list to sign; record.pdf is the \
        same. Beside them, all named record-something: plan and walls at true scale (SVG), outline, edge, swept areas \
        and sections in layers (DXF), the block as a closed body in the job's unit (STL), lists of every pass along \
        the outline and of the walk round (CSV), the result of the check (JSON), and pictures (PNG). The same job on the same date gives the same files, byte for byte.\n\n\
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
    let target = Target { args, reads: Reads::of(&opened), existing: existing(args.replace) };
    for (name, kind) in core_record::ALWAYS {
        target.look(name, product(kind))?;
    }
    let date = args.date.clone().unwrap_or_else(record::today);
    let proof = prove_opened(&opened, args.cell, err)?;
    let made = Record {
        proof: &proof,
        source: &opened.source,
        date: &date,
        walls: &args.wall,
        every_body: args.every_pass,
    };
    let cancel = Cancel::new();
    let made = made.files(Task::quiet(&cancel)).map_err(|error| not_made(&args.job, error))?;
    let mut files: Vec<Ready> = made.into_iter().map(Ready::from).collect();
    if !args.no_pictures {
        files.extend(pictures(&proof, &date)?);
    }
    for file in &files {
        target.look(&file.name, file.product)?;
    }
    files::make_folder(&args.output)?;
    for file in &files {
        target.save(file)?;
        say(out, &format!("{}\n", args.output.join(&file.name).display()));
    }
    Ok(proof::status(&proof))
}

fn not_made(job: &Path, error: ProveError) -> Trouble {
    match error {
        ProveError::Cancelled => Trouble::own("the record was stopped before it was done"),
        ProveError::Unusable(what) => Trouble::with_file(job, what, ""),
    }
}

/// A file that is ready to be written.
struct Ready {
    name: String,
    product: Product,
    bytes: Vec<u8>,
}

impl From<RecordFile> for Ready {
    fn from(file: RecordFile) -> Self {
        Self { name: file.name, product: product(file.kind), bytes: file.bytes }
    }
}

const fn product(kind: FileKind) -> Product {
    match kind {
        FileKind::Page => Product::Page,
        FileKind::List | FileKind::Drawing => Product::Drawing,
        FileKind::Result => Product::Result,
        FileKind::Document => Product::Pdf,
        FileKind::Body => Product::Solid,
    }
}

/// Where the record goes, and what must stay as it is.
struct Target<'a> {
    args: &'a Sheet,
    reads: Reads,
    existing: Existing,
}

impl Target<'_> {
    fn look(&self, name: &str, product: Product) -> Result<(), Trouble> {
        let file = self.args.output.join(name);
        let blocked = |blocked: Blocked| blocked.trouble(&file, &WAYS);
        files::may_write(&file, &self.reads, product, self.existing).map_err(blocked)
    }

    fn save(&self, file: &Ready) -> Result<(), Trouble> {
        let path = self.args.output.join(&file.name);
        let blocked = |blocked: Blocked| blocked.trouble(&path, &WAYS);
        files::save(&path, &file.bytes, &self.reads, file.product, self.existing).map_err(blocked)
    }
}

/// The plan and the graph of every pass, and the block in 3D when all are done.
fn pictures(proof: &Proof, date: &str) -> Result<Vec<Ready>, Trouble> {
    let theme = Theme::light();
    let mut made = Vec::new();
    let mut add = |name: String, pass: usize, shown: record::Picture| {
        let bytes = record::picture(proof, pass, shown, date, &theme)?;
        made.push(Ready { name, product: Product::Picture, bytes });
        Ok(())
    };
    for pass in 0..proof.passes.len() {
        add(format!("record-pass-{}-plan.png", pass + 1), pass, record::Picture::Plan(None))?;
        add(format!("record-pass-{}-graph.png", pass + 1), pass, record::Picture::Strip)?;
    }
    if let Some(last) = proof.passes.len().checked_sub(1).filter(|_| proof.start.is_some()) {
        add("record-block.png".to_owned(), last, record::Picture::Block(None, Camera::default()))?;
    }
    Ok(made)
}
