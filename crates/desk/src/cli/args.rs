//! The command line's words.

use std::path::PathBuf;

use blockwright_core::units::Units;
use clap::{Args as Group, Parser, Subcommand, ValueEnum};

/// The largest number taken, as in a job file; in any unit far past every machine.
const LARGEST: f64 = 1e9;

/// Checks the programs of a form block before they meet metal.
#[derive(Debug, Parser)]
#[command(
    name = "blockwright",
    version,
    about = "Checks the programs of a form block before they meet metal",
    long_about = "Checks the programs of a form block before they meet metal.\n\n\
        Without a command it opens the desk on a job or on one or more programs, and on the built-in demo job \
        when nothing is named. Without a display it checks the job in text instead.\n\n\
        Exit status: 0 no findings (notes alone are none), 1 findings, 2 the input cannot be used, 3 a fault of \
        the tool's own.",
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
    /// Checks every pass of a job in order: a table to read, or JSON for other software.
    #[command(name = "check", visible_alias = "prove")]
    Prove(Prove),
    /// Makes a job from what programs say of themselves, each suggestion with its source.
    Job(super::job::MakeJob),
    /// Draws one picture; needs no display.
    Picture(Picture),
    /// Writes the record of a job into a folder.
    Sheet(super::sheet::Sheet),
    /// Writes the air pass of a program: the same motions, lifted so that they walk around above the block.
    Air(Air),
    /// Prepares a program for the control: number, line ends, longest line, characters, sequence numbers.
    #[command(name = "prepare", visible_alias = "ready")]
    Ready(Ready),
    /// Says what moves differently between two programs, and what is only text.
    Diff(Diff),
    /// For each undercut pass: the top of its undercut, and what would leave a wanted land below the edge rounding.
    Undercut(Undercut),
    /// Says what a drawing holds that a job could take as its outline or edge, layer by layer.
    Drawing(Drawing),
    /// Finds the best position of the outline on the blank, and lists the metal to add before and after.
    Fit(super::fit::Fit),
    /// Writes the demo job and its programs into a folder, overwriting nothing.
    Demo(Demo),
    /// Prints the JSON Schema of the job file, for editors and other software.
    Schema,
    /// Prints what a shell needs to complete commands and options.
    Shell(super::shell::Completions),
    /// Prints the manual page of Blockwright, or of one of its commands, for `man`.
    Manual(super::shell::Manual),
}

/// What `check` takes.
#[derive(Debug, Group)]
#[command(
    long_about = "Checks every pass of a job in order: a table to read, or JSON for other software.\n\n\
        Of several jobs it prints one line each, in their order; with --json one line of JSON each (schema \
        blockwright-check/1), with the whole result in it.\n\n\
        Exit status: 0 no findings (notes alone are none), 1 findings, 2 a job cannot be used, 3 a fault of the tool's own; \
        of several jobs the worst.",
    after_help = crate::CAUTION
)]
pub(super) struct Prove {
    /// Job files; or a program alone.
    #[arg(value_name = "JOB", required = true)]
    pub(super) jobs: Vec<PathBuf>,
    /// Print the result as JSON (schema blockwright-proof/1).
    #[arg(long)]
    pub(super) json: bool,
    /// Side of a cell of the block's model, in the job's unit; smaller is finer and slower.
    #[arg(long, value_name = "LENGTH", allow_negative_numbers = true, value_parser = above_zero)]
    pub(super) cell: Option<f64>,
    /// Unit of a program that has no job.
    #[arg(long, value_name = "UNIT")]
    pub(super) units: Option<Unit>,
}

/// What `picture` takes.
#[derive(Debug, Group)]
#[command(after_help = crate::CAUTION)]
pub(super) struct Picture {
    /// A job file; or a program alone.
    #[arg(value_name = "JOB")]
    pub(super) job: PathBuf,
    /// What to draw.
    #[arg(long, value_enum)]
    pub(super) view: View,
    /// Name or number of the pass; the first when none is named.
    #[arg(long, value_name = "NAME")]
    pub(super) pass: Option<String>,
    /// Distance along the pass at which the block is drawn; after the pass when none is given.
    #[arg(long, value_name = "DISTANCE", allow_negative_numbers = true, value_parser = finite)]
    pub(super) at: Option<f64>,
    /// For the wall: distance along the outline from its first vertex; 0 when none is given.
    #[arg(long, value_name = "DISTANCE", allow_negative_numbers = true, value_parser = finite)]
    pub(super) station: Option<f64>,
    /// For the block: degrees by which to rotate the view, counter-clockwise seen from above.
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true, value_parser = finite)]
    pub(super) turn: Option<f64>,
    /// For the block: degrees from which to look down on it; 90 is straight from above.
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true, value_parser = finite)]
    pub(super) tilt: Option<f64>,
    /// Light lines on a dark ground.
    #[arg(long)]
    pub(super) dark: bool,
    /// The picture to write.
    #[arg(short, long, value_name = "FILE.png")]
    pub(super) output: PathBuf,
    /// Replace FILE if it is an older picture.
    #[arg(long)]
    pub(super) replace: bool,
    /// Side of a cell of the block's model, in the job's unit.
    #[arg(long, value_name = "LENGTH", allow_negative_numbers = true, value_parser = above_zero)]
    pub(super) cell: Option<f64>,
    /// Unit of a program that has no job.
    #[arg(long, value_name = "UNIT")]
    pub(super) units: Option<Unit>,
}

/// What `undercut` takes.
#[derive(Debug, Group)]
#[command(after_help = crate::CAUTION)]
pub(super) struct Undercut {
    /// A job file.
    pub(super) job: PathBuf,
    /// The land wanted between the top of undercut and the edge rounding, in the job's unit.
    #[arg(long, value_name = "W", allow_negative_numbers = true, value_parser = finite)]
    pub(super) land: f64,
}

/// What `air` takes.
#[derive(Debug, Group)]
#[command(
    long_about = "Writes the air pass of a program: the same motions, lifted so that they walk around above the \
        block.\n\n\
        Only heights change. The result is read back and compared with the program, motion by motion, before it is \
        written; what cannot be lifted with certainty is refused, with its line and the reason. Comments at its head \
        say that it is an air pass, and of which program (name, length in bytes, checksum).\n\n\
        With the job it stays above the block and above every clamp area that the tool comes to on its way, and is \
        checked against them again when it has been read back. Without a job clamps are not considered. Where the \
        program moves in X and Y before it states Z, the tool must stand above the wanted height at the start.\n\n\
        Before the real run, `blockwright diff PROGRAM FILE` checks that FILE is the real program again, at full \
        depth.\n\n\
        Exit status: 0 written, 2 refused or not written.",
    after_help = crate::CAUTION
)]
pub(super) struct Air {
    /// The program to lift; it is left as it is.
    pub(super) program: PathBuf,
    /// Height of the lowest point of the air pass above what it must stay above; more than 0.
    #[arg(long, value_name = "H", allow_negative_numbers = true, value_parser = finite)]
    pub(super) above: f64,
    /// Z of the top of what it must stay above, in the program's own coordinates; the job tells it where one is given,
    /// and then the higher of the two counts.
    #[arg(long, value_name = "Z", allow_negative_numbers = true, required_unless_present = "job", value_parser = finite)]
    pub(super) top: Option<f64>,
    /// The file to write.
    #[arg(short, long, value_name = "FILE")]
    pub(super) output: PathBuf,
    /// The job that runs the program: its block, clamp areas and tool, and the language and limits of its control.
    #[arg(long, value_name = "JOB")]
    pub(super) job: Option<PathBuf>,
    /// Program number of the air pass; one that no program of the job or beside it has, unless given.
    #[arg(long, value_name = "N")]
    pub(super) number: Option<u32>,
    /// Taken for the sake of older scripts: programs that move in X and Y before the first Z are always lifted.
    #[arg(long, hide = true)]
    pub(super) starts_above: bool,
    /// Replace FILE if it is an older air pass.
    #[arg(long)]
    pub(super) replace: bool,
    /// Unit of H and Z, and of a program that does not say; the program's first G20 or G21, else inch, unless given.
    #[arg(long, value_name = "UNIT", conflicts_with = "job")]
    pub(super) units: Option<Unit>,
}

/// What `prepare` takes.
#[derive(Debug, Group)]
#[command(
    long_about = "Prepares a program for the control of a job: program number, line ends, longest line, allowed \
        characters and sequence numbers, as far as the job's \"control\" gives them.\n\n\
        The words that move the machine stay as they are, and the result is read back to check that the motion is \
        the same. Comments that are too long or have characters the control does not take are shortened or \
        changed, and it says so. What cannot be made to fit is refused.\n\n\
        Exit status: 0 written, 2 refused or not written.",
    after_help = crate::CAUTION
)]
pub(super) struct Ready {
    /// The program to prepare; it is left as it is.
    pub(super) program: PathBuf,
    /// Its new program number.
    #[arg(long, value_name = "N")]
    pub(super) number: u32,
    /// The job whose control it is for.
    #[arg(long, value_name = "JOB")]
    pub(super) job: PathBuf,
    /// The file to write.
    #[arg(short, long, value_name = "FILE")]
    pub(super) output: PathBuf,
    /// Replace FILE if it is a program that the job does not run.
    #[arg(long)]
    pub(super) replace: bool,
}

/// What `diff` takes.
#[derive(Debug, Group)]
#[command(
    long_about = "Says what moves differently between two programs, and what is only text.\n\n\
        The verdict is one of: same motion; same but for Z, when B is A lifted or lowered evenly; differs, with the \
        stretches that do; not certain, when one of them cannot be followed to its end.\n\n\
        Exit status: 0 same motion, 1 anything else, 2 the input cannot be used.",
    after_help = crate::CAUTION
)]
pub(super) struct Diff {
    /// The one program.
    #[arg(value_name = "A")]
    pub(super) a: PathBuf,
    /// The other.
    #[arg(value_name = "B")]
    pub(super) b: PathBuf,
    /// Print the difference as JSON (schema blockwright-diff/1).
    #[arg(long)]
    pub(super) json: bool,
    /// A job, for the language of its control.
    #[arg(long, value_name = "JOB")]
    pub(super) job: Option<PathBuf>,
    /// Unit of the result, and of a program that does not say; the first G20 or G21 of A, else inch, unless given.
    #[arg(long, value_name = "UNIT", conflicts_with = "job")]
    pub(super) units: Option<Unit>,
}

/// What `drawing` takes.
#[derive(Debug, Group)]
#[command(
    long_about = "Says what a drawing holds that a job could take as its outline or edge, layer by layer.\n\n\
        FILE is DXF (text or binary), SVG, or a list of points (CSV: x and y on each line, and bulge where the first \
        line names it). For every layer it tells how many closed paths there are, and of the one that a job takes \
        (the one that encloses most) the length and the place, and what is wrong: gaps that were closed, ends that go \
        nowhere, lines drawn twice, crossings, and what is no curve in plan.\n\n\
        In the job the drawing is then named as \"outline\": { \"file\": \"FILE\", \"layer\": \"NAME\" }, with \
        \"units\" where the file has none.\n\n\
        Exit status: 0 some layer can be taken as it is, 1 check the drawing first, 2 the file cannot be used."
)]
pub(super) struct Drawing {
    /// The drawing, or the list of points.
    pub(super) file: PathBuf,
    /// Read this layer alone.
    #[arg(long, value_name = "NAME")]
    pub(super) layer: Option<String>,
    /// Unit of a file that does not give its own.
    #[arg(long, value_name = "UNIT")]
    pub(super) units: Option<Unit>,
    /// Print it as JSON (schema blockwright-drawing/1), with the vertices of every closed path.
    #[arg(long)]
    pub(super) json: bool,
}

/// What `demo` takes.
#[derive(Debug, Group)]
pub(super) struct Demo {
    /// The folder; made when it is not there.
    pub(super) folder: PathBuf,
}

/// A number as typed: one that lies somewhere.
pub(super) fn finite(text: &str) -> Result<f64, String> {
    let number: f64 = text.trim().parse().map_err(|_| "it must be a number, such as 0.5".to_owned())?;
    if number.abs() <= LARGEST {
        Ok(number)
    } else {
        Err(format!("it must be a number of at most {LARGEST}"))
    }
}

/// A length as typed that must be some length.
pub(super) fn above_zero(text: &str) -> Result<f64, String> {
    finite(text)
        .and_then(|number| if number > 0.0 { Ok(number) } else { Err("it must be more than 0".to_owned()) })
}

/// A unit as typed.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum Unit {
    /// Inches.
    Inch,
    /// Millimeters.
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
    /// Graph of the stock taken along the pass and along the outline.
    Strip,
    /// The section of the wall at a station.
    Wall,
    /// The block in 3D.
    Block,
    /// Where metal has to be added to the blank as it lies, numbered, with a list.
    BuildUp,
}
