//! Programs written from programs, and what differs between two.

use std::io::Write;
use std::path::{Path, PathBuf};

use blockwright_core::job::{Job, Pass};
use blockwright_core::program::{self, Program, Settings};
use blockwright_core::rewrite::air::{self, AirOptions, Numbering};
use blockwright_core::rewrite::diff::{self, Side, Verdict};
use blockwright_core::rewrite::ready::{self, ReadyOptions};
use blockwright_core::rewrite::{self as core_rewrite, NotWritten, stated_units};
use blockwright_core::units::Units;

use super::args::{Air, Diff, Ready};
use super::{progress, say};
use crate::files::{self, Blocked, Existing, Product, Reads, Ways};
use crate::numbers;
use crate::open::{self, Opened, Origin};
use crate::rewrite::{self, program_text};
use crate::trouble::Trouble;

/// What to do about a name that is taken.
pub(super) const WAYS: Ways = Ways { other_name: "give another name after -o", replace: "add --replace" };

/// Writes an air pass.
pub(super) fn air(args: &Air, out: &mut dyn Write) -> Result<u8, Trouble> {
    let text = program_text(&args.program)?;
    let job = args.job.as_deref().map(open_job).transpose()?;
    let units = units(args.units.map(Units::from), job.as_ref(), &text);
    let settings = settings(units, job.as_ref());
    let (settings, options) = match &job {
        None => (settings, AirOptions { above: args.above, ..AirOptions::default() }),
        Some(opened) => within_job(args, opened, settings)?,
    };
    let mut taken = options.taken;
    let others: Vec<PathBuf> = args.job.iter().cloned().collect();
    taken.extend(numbers::beside(&args.program, &others, &args.output, &settings));
    let number = args.number.map_or(Numbering::Free, Numbering::As);
    let options = AirOptions { top: args.top, number, taken, ..options };
    let reads = job.as_ref().map(Reads::of).unwrap_or_default().and([args.program.clone()]);
    let existing = existing(args.replace);
    let blocked = |blocked: Blocked| blocked.trouble(&args.output, &WAYS);
    files::may_write(&args.output, &reads, Product::AirPass, existing).map_err(blocked)?;
    let name = file_name(&args.program);
    let lifted = progress::shown(|task| air::lift(&text, &name, &options, &settings, task))
        .map_err(|error| not_written(&args.program, error))?;
    files::save(&args.output, &lifted.text, &reads, Product::AirPass, existing).map_err(blocked)?;
    let number = lifted.number.map_or("no program number".to_owned(), |number| format!("O{number}"));
    say(
        out,
        &format!(
            "{}: air pass of {name}, {number}, lifted by {}, lowest Z {}, above {} at Z {}. Read back: same motion, only \
             Z is higher.\n",
            args.output.display(),
            units.fine_with_unit(lifted.by),
            units.fine_with_unit(lifted.lowest),
            lifted.over.what,
            units.fine_with_unit(lifted.over.top),
        ),
    );
    say_notes(&lifted.cautions, out);
    say_notes(&lifted.notes, out);
    Ok(0)
}

/// How the passes of a job that run the program run it.
fn within_job(args: &Air, opened: &Opened, settings: Settings) -> Result<(Settings, AirOptions), Trouble> {
    let job = &opened.source.job;
    let folder = opened.origin.folder();
    let own = |pass: &&Pass| files::same(&folder.join(&pass.program), &args.program);
    let passes: Vec<&Pass> = job.passes.iter().filter(own).collect();
    if passes.is_empty() && args.top.is_none() {
        return Err(Trouble::with_file(
            &args.program,
            "is the program of no pass of the job, so which tool runs it, from which zero, is not known",
            "add it to the job as a pass, or give --top and mind the clamps yourself",
        ));
    }
    let taken = numbers(opened, &args.program, &settings);
    let settings = match passes.first() {
        Some(pass) => settings.with_tool(pass.tool),
        None => settings,
    };
    Ok((settings, AirOptions { taken, ..AirOptions::for_job(args.above, job, passes) }))
}

/// Makes a program ready.
pub(super) fn ready(args: &Ready, out: &mut dyn Write) -> Result<u8, Trouble> {
    let text = program_text(&args.program)?;
    let opened = open_job(&args.job)?;
    let job = &opened.source.job;
    let settings = settings(job.units, Some(&opened));
    let reads = Reads::of(&opened).and([args.program.clone()]);
    let existing = existing(args.replace);
    let blocked = |blocked: Blocked| blocked.trouble(&args.output, &WAYS);
    files::may_write(&args.output, &reads, Product::Program, existing).map_err(blocked)?;
    let options = ReadyOptions::for_control(Some(args.number), job.control.as_ref());
    let made = progress::shown(|task| ready::make(&text, &options, &settings, task))
        .map_err(|error| not_written(&args.program, error))?;
    files::save(&args.output, &made.text, &reads, Product::Program, existing).map_err(blocked)?;
    let line = format!(
        "{}: {} as O{}. Read back: same motion.\n",
        args.output.display(),
        file_name(&args.program),
        args.number
    );
    say(out, &line);
    say_notes(&made.notes, out);
    Ok(0)
}

/// Says what differs.
pub(super) fn diff(args: &Diff, out: &mut dyn Write, err: &mut dyn Write) -> Result<u8, Trouble> {
    let (a, b) = (program_text(&args.a)?, program_text(&args.b)?);
    let job = args.job.as_deref().map(open_job).transpose()?;
    let units = units(args.units.map(Units::from), job.as_ref(), &a);
    let settings = settings(units, job.as_ref());
    let (p, q) = (read(&a, &settings)?, read(&b, &settings)?);
    for (path, program) in [(&args.a, &p), (&args.b, &q)] {
        if let Some(line) = program.start.units {
            let taken = if units == Units::Inch { "inches" } else { "millimeters" };
            let text = format!(
                "blockwright: {} does not say G20 or G21 before line {line}; {taken} were taken.\n",
                path.display()
            );
            say(err, &text);
        }
    }
    let side = |text, program| Side { text, program };
    let told = progress::shown(|task| diff::compare(side(&a, &p), side(&b, &q), units, task))
        .map_err(|stopped| Trouble::own(stopped.to_string()))?;
    let (name_a, name_b) = (args.a.display().to_string(), args.b.display().to_string());
    let text =
        if args.json { diff::json(&told, &name_a, &name_b) } else { diff::table(&told, &name_a, &name_b) };
    say(out, &text);
    Ok(u8::from(!matches!(told.verdict, Verdict::Same { .. })))
}

fn open_job(path: &Path) -> Result<Opened, Trouble> {
    let opened = open::paths(&[path.to_path_buf()], None)?;
    match opened.origin {
        Origin::Job(_) => Ok(opened),
        _ => Err(Trouble::with_file(path, "is not a job file", "give the job's JSON file after --job")),
    }
}

fn job_of(opened: Option<&Opened>) -> Option<&Job> {
    opened.map(|opened| opened.source.job.as_ref())
}

fn units(given: Option<Units>, job: Option<&Opened>, text: &[u8]) -> Units {
    given.or(job_of(job).map(|job| job.units)).or_else(|| stated_units(text)).unwrap_or(Units::Inch)
}

fn settings(units: Units, job: Option<&Opened>) -> Settings {
    let control = job_of(job).and_then(|job| job.control.as_ref());
    let beside = job.map(|opened| opened.source.beside.clone()).unwrap_or_default();
    rewrite::settings(units, control, &beside)
}

fn read(text: &[u8], settings: &Settings) -> Result<Program, Trouble> {
    progress::shown(|task| program::read(text, settings, task))
        .map_err(|stopped| Trouble::own(stopped.to_string()))
}

/// Numbers of the other programs of a job, and of those they hold or call.
fn numbers(opened: &Opened, program: &Path, settings: &Settings) -> Vec<u32> {
    let folder = opened.origin.folder();
    let passes = opened.source.job.passes.iter().zip(&opened.source.programs);
    let others = passes.filter(|(pass, _)| !files::same(&folder.join(&pass.program), program));
    let said = others.flat_map(|(_, text)| core_rewrite::numbers(text, settings));
    said.chain(settings.beside.iter().map(|called| called.number)).collect()
}

fn file_name(path: &Path) -> String {
    path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
}

pub(super) const fn existing(replace: bool) -> Existing {
    if replace { Existing::Replace } else { Existing::Keep }
}

fn say_notes(notes: &[String], out: &mut dyn Write) {
    for note in notes {
        say(out, &format!("  {note}\n"));
    }
}

fn not_written(program: &Path, error: NotWritten) -> Trouble {
    match error {
        NotWritten::Cancelled(stopped) => Trouble::own(stopped.to_string()),
        NotWritten::Refused(refusal) => {
            let place = match (refusal.line, refusal.column) {
                (Some(line), Some(column)) => format!("{}, line {line}, column {column}", program.display()),
                (Some(line), None) => format!("{}, line {line}", program.display()),
                _ => program.display().to_string(),
            };
            Trouble::at(place, refusal.message, "")
        }
    }
}
