//! The command line's words.

use std::path::PathBuf;

use blockwright_core::units::Units;
use blockwright_core::view::PictureKind;
use clap::{Args as Group, Parser, Subcommand, ValueEnum};

/// Proves the programs of a form block before they meet metal.
#[derive(Debug, Parser)]
#[command(
    name = "blockwright",
    version,
    about = "Proves the programs of a form block before they meet metal",
    long_about = "Proves the programs of a form block before they meet metal.\n\n\
        Without a command it opens the desk on a job or on one or more programs, and on the built-in demo job \
        when nothing is named. Without a display it proves the job in text instead.\n\n\
        Exit status: 0 nothing to look at, 1 findings, 2 the input cannot be used, 3 a fault of the tool's own.",
    after_help = crate::CAUTION,
    args_conflicts_with_subcommands = true
)]
pub(super) struct Args {
    /// What to do.
    #[command(subcommand)]
    pub(super) command: Option<Command>,
    /// A job file, or one or more programs.
    #[arg(value_name = "JOB or PROGRAM")]
    pub(super) paths: Vec<PathBuf>,
    /// Unit of a program that has no job.
    #[arg(long, value_name = "UNIT")]
    pub(super) units: Option<Unit>,
}

/// One command.
#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// Proves every pass of a job in order: a table for people, or JSON for programs.
    Prove(Prove),
    /// Draws one picture without a display.
    Picture(Picture),
    /// Writes the demo job and its programs into a folder, overwriting nothing.
    Demo(Demo),
}

/// What `prove` takes.
#[derive(Debug, Group)]
#[command(after_help = crate::CAUTION)]
pub(super) struct Prove {
    /// A job file, or a program without one.
    pub(super) job: PathBuf,
    /// Print the proof as JSON (schema blockwright-proof/1).
    #[arg(long)]
    pub(super) json: bool,
    /// Side of a cell of the heightfield, in the job's unit; smaller is finer and slower.
    #[arg(long, value_name = "LENGTH")]
    pub(super) cell: Option<f64>,
    /// Unit of a program that has no job.
    #[arg(long, value_name = "UNIT")]
    pub(super) units: Option<Unit>,
}

/// What `picture` takes.
#[derive(Debug, Group)]
#[command(after_help = crate::CAUTION)]
pub(super) struct Picture {
    /// A job file, or a program without one.
    pub(super) job: PathBuf,
    /// What to draw.
    #[arg(long, value_enum)]
    pub(super) view: View,
    /// Name of the pass; the first when none is named.
    #[arg(long, value_name = "NAME")]
    pub(super) pass: Option<String>,
    /// Distance along the pass at which the block is drawn; after the pass when none is given.
    #[arg(long, value_name = "DISTANCE", allow_negative_numbers = true)]
    pub(super) at: Option<f64>,
    /// Light lines on a dark ground.
    #[arg(long)]
    pub(super) dark: bool,
    /// The picture to write; one that is there is replaced.
    #[arg(short, long, value_name = "FILE.png")]
    pub(super) output: PathBuf,
    /// Side of a cell of the heightfield, in the job's unit.
    #[arg(long, value_name = "LENGTH")]
    pub(super) cell: Option<f64>,
    /// Unit of a program that has no job.
    #[arg(long, value_name = "UNIT")]
    pub(super) units: Option<Unit>,
}

/// What `demo` takes.
#[derive(Debug, Group)]
pub(super) struct Demo {
    /// The folder; made when it is not there.
    pub(super) folder: PathBuf,
}

/// A unit as typed.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum Unit {
    /// Inches.
    Inch,
    /// Millimetres.
    Mm,
}

impl From<Unit> for Units {
    fn from(unit: Unit) -> Self {
        match unit {
            Unit::Inch => Self::Inch,
            Unit::Mm => Self::Mm,
        }
    }
}

/// A view as typed.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum View {
    /// The block from above.
    Plan,
    /// Thickness of cut along the pass.
    Strip,
}

impl From<View> for PictureKind {
    fn from(view: View) -> Self {
        match view {
            View::Plan => Self::Plan,
            View::Strip => Self::Strip,
        }
    }
}
