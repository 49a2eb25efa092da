//! What each command does.

use std::io::Write;
use std::path::{Path, PathBuf};

use blockwright_core::demo;
use blockwright_core::job::Pass;
use blockwright_core::proof::{self, Proof};
use blockwright_core::prover::{Options, ProveError, Prover};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::units::Units;
use blockwright_core::view::{Camera, Theme};
use clap::CommandFactory as _;

use super::args::{Args, Picture, Prove, Undercut, Unit, View};
use super::display;
use super::progress;
use super::rewrite::{WAYS, existing};
use super::say;
use crate::files::{self, Product, Reads};
use crate::open::{self, Opened};
use crate::record;
use crate::trouble::Trouble;

/// Words more alike than this are taken for mistyped ones.
const ALIKE: f64 = 0.8;

/// Something typed like a command that is none and no file either, with the command that it may be.
fn mistyped(paths: &[PathBuf]) -> Option<Trouble> {
    let typed = paths.first().filter(|path| path.extension().is_none() && !path.exists())?.to_str()?;
    let commands = Args::command();
    let names = commands.get_subcommands().map(clap::Command::get_name);
    let nearest = names.max_by(|a, b| strsim::jaro(typed, a).total_cmp(&strsim::jaro(typed, b)))?;
    (strsim::jaro(typed, nearest) > ALIKE).then(|| {
        Trouble::at(typed, "is neither a file nor a command", format!("is \"blockwright {nearest}\" meant?"))
    })
}

/// Opens the desk, or proves in text where there is no display.
pub(super) fn desk(
    paths: &[PathBuf],
    units: Option<Unit>,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> Result<u8, Trouble> {
    if let Some(trouble) = mistyped(paths) {
        return Err(trouble);
    }
    let units = units.map(Units::from);
    if has_display() {
        if let Some(trouble) = display::bad_scale() {
            return Err(trouble);
        }
        let opened = open::at_once(paths, units)?;
        return crate::app::run(opened).map(|()| 0).map_err(|reason| display::no_window(&reason));
    }
    say(err, "blockwright: there is no display to open a window on; ");
    say(err, "the result follows as text.\n");
    let opened = open::paths(paths, units)?;
    let proof = prove_opened(&opened, None, err)?;
    say(out, &proof::table(&proof));
    Ok(proof::status(&proof))
}

/// Proves a job and prints the proof; of several jobs a line each.
pub(super) fn prove(args: &Prove, out: &mut dyn Write, err: &mut dyn Write) -> Result<u8, Trouble> {
    let [job] = args.jobs.as_slice() else { return super::check::many(args, out) };
    let opened = open::paths(std::slice::from_ref(job), args.units.map(Units::from))?;
    let proof = prove_opened(&opened, args.cell, err)?;
    let text = if args.json { proof::json(&proof) } else { proof::table(&proof) };
    say(out, &text);
    if !text.ends_with('\n') {
        say(out, "\n");
    }
    Ok(proof::status(&proof))
}

/// Draws one picture.
pub(super) fn picture(args: &Picture, out: &mut dyn Write, err: &mut dyn Write) -> Result<u8, Trouble> {
    let opened = open::paths(std::slice::from_ref(&args.job), args.units.map(Units::from))?;
    let pass = args.pass.as_ref().map_or(Ok(0), |name| pass_named(args, name, &opened.source.job.passes))?;
    goes_with_view(args)?;
    let (reads, existing) = (Reads::of(&opened), existing(args.replace));
    let blocked = |blocked: files::Blocked| blocked.trouble(&args.output, &WAYS);
    files::may_write(&args.output, &reads, Product::Picture, existing).map_err(blocked)?;
    is_named_png(&args.output)?;
    let proof = prove_opened(&opened, args.cell, err)?;
    let length = proof.passes.get(pass).map_or(0.0, |pass| pass.track.length());
    if let Some(at) = args.at.filter(|at| !(0.0..=length).contains(at)) {
        let end = if at < 0.0 { "before the start" } else { "past the end" };
        let remedy = format!("give a distance from 0 to {}", proof.job.units.fine_with_unit(length));
        return Err(Trouble::at("--at", format!("{at} is {end} of this pass"), remedy));
    }
    let shown = match args.view {
        View::Plan => record::Picture::Plan(args.at),
        View::Strip => record::Picture::Strip,
        View::BuildUp => record::Picture::BuildUp,
        View::Wall => record::Picture::Wall(on_outline("--station", args.station.unwrap_or(0.0), &proof)?),
        View::Block => {
            let seen = Camera::default();
            let camera =
                Camera { turn: args.turn.unwrap_or(seen.turn), tilt: args.tilt.unwrap_or(seen.tilt), ..seen };
            record::Picture::Block(args.at, camera)
        }
    };
    let theme = if args.dark { Theme::dark() } else { Theme::light() };
    let png = record::picture(&proof, pass, shown, &record::today(), &theme)?;
    files::save(&args.output, &png, &reads, Product::Picture, existing).map_err(blocked)?;
    say(out, &format!("{}\n", args.output.display()));
    Ok(0)
}

/// The pass of a name, or of a number from 1.
fn pass_named(args: &Picture, name: &str, passes: &[Pass]) -> Result<usize, Trouble> {
    let numbered = || {
        let index = name.parse::<usize>().ok()?.checked_sub(1)?;
        (index < passes.len()).then_some(index)
    };
    passes.iter().position(|pass| pass.name == *name).or_else(numbered).ok_or_else(|| {
        let names: Vec<String> = passes.iter().map(|pass| format!("\"{}\"", pass.name)).collect();
        Trouble::with_file(
            &args.job,
            format!("has no pass \"{name}\""),
            format!("its passes are {}", names.join(", ")),
        )
    })
}

/// Whether the view takes every option that was given.
fn goes_with_view(args: &Picture) -> Result<(), Trouble> {
    let is_block = matches!(args.view, View::Block);
    let given = [
        ("--station", args.station.is_some(), matches!(args.view, View::Wall), "wall"),
        ("--at", args.at.is_some(), is_block || matches!(args.view, View::Plan), "plan or block"),
        ("--turn", args.turn.is_some(), is_block, "block"),
        ("--tilt", args.tilt.is_some(), is_block, "block"),
    ];
    if let Some((option, _, _, views)) = given.into_iter().find(|(_, given, goes, _)| *given && !goes) {
        return Err(Trouble::at(
            option,
            format!("goes with --view {views} alone"),
            "leave it out, or take that view",
        ));
    }
    Ok(())
}

/// Whether the file has a name for a picture, or none of another kind.
fn is_named_png(output: &Path) -> Result<(), Trouble> {
    let named = output.extension();
    if named.is_some_and(|named| !named.eq_ignore_ascii_case("png")) {
        return Err(Trouble::with_file(output, "is not named as a PNG picture", "end its name with .png"));
    }
    Ok(())
}

/// A station that the outline has.
pub(super) fn on_outline(option: &'static str, station: f64, proof: &Proof) -> Result<f64, Trouble> {
    let length = proof.outline.as_ref().map_or(0.0, |outline| outline.length());
    if (0.0..=length).contains(&station) {
        return Ok(station);
    }
    let units = proof.job.units;
    Err(Trouble::at(
        option,
        format!("{station} is not on the outline"),
        format!("give a distance along it, from 0 to {}", units.fine_with_unit(length)),
    ))
}

/// The lines of the undercut passes and what would leave a wanted land.
pub(super) fn undercut(args: &Undercut, out: &mut dyn Write, err: &mut dyn Write) -> Result<u8, Trouble> {
    if args.land < 0.0 {
        let what = format!("{} is not a land width", args.land);
        return Err(Trouble::at("--land", what, "give a length of 0 or more"));
    }
    let opened = open::paths(std::slice::from_ref(&args.job), None)?;
    let proof = prove_opened(&opened, None, err)?;
    let lacking = |what: &str, remedy: &str| Trouble::with_file(&args.job, what, remedy.to_owned());
    let wall = proof
        .wall()
        .ok_or_else(|| lacking("has no wall to measure", "put an outline and a blank in the job"))?;
    let along = proof.wall.as_ref().filter(|_| wall.is_undercut()).ok_or_else(|| {
        lacking("has no pass with a dovetail (undercut) cutter", "give its tool the form \"undercut\"")
    })?;
    let table = progress::shown(|task| wall.undercut_table(along, args.land, task))
        .map_err(|stopped| Trouble::own(stopped.to_string()))?;
    let names: Vec<&str> = proof.job.passes.iter().map(|pass| pass.name.as_str()).collect();
    say(out, &table.text(&names, proof.job.units));
    Ok(0)
}

/// Writes the demo files; looks first, so that a refusal leaves nothing half done. What is there already as it should
/// be, from a run that was broken off, stays.
pub(super) fn demo(folder: &Path, out: &mut dyn Write) -> Result<u8, Trouble> {
    let mut missing: Vec<(PathBuf, &[u8])> = Vec::new();
    for (name, bytes) in demo::files() {
        let target = folder.join(name);
        if !target.exists() {
            missing.push((target, *bytes));
        } else if files::read(&target, files::PROGRAM_LIMIT)?[..] != **bytes {
            return Err(files::already_there(&target));
        }
    }
    let there = demo::files().len() - missing.len();
    for (name, _) in demo::files() {
        files::clear(&files::folder_of(&folder.join(name)));
    }
    for (target, bytes) in &missing {
        files::make_folder(&files::folder_of(target))?;
        files::write(target, bytes, false)?;
        say(out, &format!("{}\n", target.display()));
    }
    if there > 0 {
        say(out, &format!("{there} files were there already, as they should be\n"));
    }
    Ok(0)
}

pub(super) fn prove_opened(
    opened: &Opened,
    cell: Option<f64>,
    err: &mut dyn Write,
) -> Result<Proof, Trouble> {
    if let Some(bare) = &opened.bare {
        say(err, &format!("blockwright: {}.\n", open::assumed(bare)));
    }
    progress::shown(|task| proved(opened, cell, task))
}

/// The same without a word and without progress.
pub(super) fn prove_quietly(opened: &Opened, cell: Option<f64>) -> Result<Proof, Trouble> {
    proved(opened, cell, Task::quiet(&Cancel::new()))
}

fn proved(opened: &Opened, cell: Option<f64>, task: Task<'_>) -> Result<Proof, Trouble> {
    let options = Options { cell, ..Options::default() };
    Prover::new().prove(&opened.source, &options, task).map_err(|error| match error {
        ProveError::Cancelled => Trouble::own("the check was stopped before it was done"),
        ProveError::Unusable(what) => unusable(opened, what),
    })
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
