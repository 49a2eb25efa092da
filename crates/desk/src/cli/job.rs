//! A job made from programs.

use std::io::Write;
use std::path::{Path, PathBuf};

use blockwright_core::job;
use blockwright_core::suggest::{self, Given};
use blockwright_core::units::Units;
use clap::Args as Group;

use super::args::Unit;
use super::rewrite::{WAYS, existing};
use super::{progress, say};
use crate::files::{self, Blocked, Product, Reads};
use crate::rewrite::program_text;
use crate::trouble::Trouble;

/// What `job` takes.
#[derive(Debug, Group)]
#[command(
    long_about = "Makes a job from what programs say of themselves: their titles, tool comments, T words, work offsets, \
        allowances such as LEAVE .062, and their motion.\n\n\
        Prints a table of what was suggested and from where, and writes the job file. Everything that metal depends on \
        stands in the job under \"to_confirm\" until you have confirmed it: in the window, or by taking the entry out. \
        Until then the check of the job says so.\n\n\
        The job file goes into the folder of the programs or one above it. Nothing is overwritten without --replace.\n\n\
        Exit status: 0 written, 2 refused or not written.",
    after_help = crate::CAUTION
)]
pub(super) struct MakeJob {
    /// The programs of the block; they are left as they are.
    #[arg(value_name = "PROGRAM", required = true)]
    pub(super) programs: Vec<PathBuf>,
    /// The job file to write.
    #[arg(short, long, value_name = "FILE")]
    pub(super) output: PathBuf,
    /// Unit of the job, and of a program that does not say; that of the first G20 or G21, else inch, unless given.
    #[arg(long, value_name = "UNIT")]
    pub(super) units: Option<Unit>,
    /// Replace FILE if it is an older job.
    #[arg(long)]
    pub(super) replace: bool,
}

/// Suggests a job, prints what was suggested, and writes it.
pub(super) fn make(args: &MakeJob, out: &mut dyn Write) -> Result<u8, Trouble> {
    let target = &args.output;
    let blocked = |blocked: Blocked| blocked.trouble(target, &WAYS);
    let existing = existing(args.replace);
    let reads = Reads::files(args.programs.iter().cloned());
    files::may_write(target, &reads, Product::Job, existing).map_err(blocked)?;
    let texts = args.programs.iter().map(|program| program_text(program)).collect::<Result<Vec<_>, _>>()?;
    let names =
        args.programs.iter().map(|program| named_from(program, target)).collect::<Result<Vec<_>, _>>()?;
    if let Some(twice) = args
        .programs
        .iter()
        .zip(1..)
        .find(|(program, next)| args.programs[*next..].iter().any(|other| files::same(program, other)))
    {
        return Err(Trouble::with_file(twice.0, "is named twice", "name each program once"));
    }
    let given: Vec<Given<'_>> = names.iter().zip(&texts).map(|(file, text)| Given { file, text }).collect();
    let suggested = progress::shown(|task| suggest::read(&given, args.units.map(Units::from), task))
        .map_err(|stopped| Trouble::own(stopped.to_string()))?;
    if let Some(still) = suggested.programs.iter().position(|program| program.motions.is_empty()) {
        let file = suggested.order.get(still).and_then(|index| args.programs.get(*index)).unwrap_or(target);
        return Err(Trouble::with_file(file, "moves nothing, so no pass can be made of it", "leave it out"));
    }
    let text = job::write(&suggested.job);
    files::save(target, text.as_bytes(), &reads, Product::Job, existing).map_err(blocked)?;
    say(out, &suggest::table(&suggested));
    let waiting = suggested.job.unconfirmed().count();
    say(
        out,
        &format!(
            "{}: written, {waiting} suggestions to confirm. Compare each with the drawing and the tools, and confirm them \
             in the window or take them out of \"to_confirm\".\n",
            target.display()
        ),
    );
    Ok(0)
}

/// How the job names a program: by its way down from the job's folder.
fn named_from(program: &Path, target: &Path) -> Result<String, Trouble> {
    let whole = |path: &Path| std::fs::canonicalize(path).ok();
    let (folder, own) = (whole(&files::folder_of(target)), whole(&files::folder_of(program)));
    let file = program.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let below = match (&folder, &own) {
        (Some(folder), Some(own)) => own.strip_prefix(folder).ok(),
        // Whichever is missing is told when it is read or written.
        _ => return Ok(file),
    };
    let below = below.ok_or_else(|| {
        Trouble::with_file(
            program,
            "lies outside the folder of the job file",
            "write the job file beside its programs",
        )
    })?;
    let mut parts: Vec<String> =
        below.components().map(|part| part.as_os_str().to_string_lossy().into_owned()).collect();
    parts.push(file);
    Ok(parts.join("/"))
}
