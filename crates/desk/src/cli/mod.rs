//! The command line.

mod args;
mod check;
mod commands;
mod display;
mod drawing;
mod fit;
mod job;
mod output;
mod progress;
mod rewrite;
mod sheet;
mod shell;

use std::error::Error as _;
use std::ffi::OsString;
use std::io::Write;

use blockwright_core::names;
use clap::Parser;
use clap::error::{ContextKind, ContextValue, ErrorKind};

use crate::background::caught;
use crate::trouble::Trouble;
use args::{Args, Command};
use output::Output;

/// Exit status: the input cannot be used.
const UNUSABLE: u8 = 2;

/// Exit status: a fault of the tool's own.
const OWN_FAULT: u8 = 3;

/// Runs one command and gives its exit status: 0 no findings, 1 findings, 2 the input cannot be used,
/// 3 a fault of the tool's own. `args` starts with the name of the program. Text that cannot be written does not change
/// the status; one line on `err` says so.
pub fn run<A>(args: impl IntoIterator<Item = A>, out: &mut dyn Write, err: &mut dyn Write) -> u8
where
    A: Into<OsString> + Clone,
{
    let (mut out, mut err) = (Output::new(out), Output::new(err));
    let status = match Args::try_parse_from(args) {
        Ok(parsed) => command(&parsed, &mut out, &mut err),
        Err(error) => said_by_parser(&error, &mut out, &mut err),
    };
    if let Some(lost) = out.lost() {
        let what = format!(
            "blockwright: standard output: could not be written ({lost}), so what it shows is not whole; check where \
             it goes, and the free space on the disk\n"
        );
        say(&mut err, &what);
    }
    status
}

/// What the parser of the command line has to say: help that was asked for, or what is wrong.
fn said_by_parser(error: &clap::Error, out: &mut dyn Write, err: &mut dyn Write) -> u8 {
    if let Some(trouble) = unfit(error) {
        say(err, &format!("blockwright: {trouble}\n"));
        return UNUSABLE;
    }
    let text = error.render().to_string();
    if error.use_stderr() {
        say(err, &text);
        return UNUSABLE;
    }
    say(out, &text);
    0
}

fn command(parsed: &Args, out: &mut dyn Write, err: &mut dyn Write) -> u8 {
    let result = caught(|| match &parsed.command {
        None => commands::desk(&parsed.paths, parsed.units, out, err),
        Some(Command::Prove(prove)) => commands::prove(prove, out, err),
        Some(Command::Job(args)) => job::make(args, out),
        Some(Command::Picture(picture)) => commands::picture(picture, out, err),
        Some(Command::Air(air)) => rewrite::air(air, out),
        Some(Command::Ready(ready)) => rewrite::ready(ready, out),
        Some(Command::Diff(diff)) => rewrite::diff(diff, out, err),
        Some(Command::Undercut(undercut)) => commands::undercut(undercut, out, err),
        Some(Command::Drawing(args)) => drawing::drawing(args, out),
        Some(Command::Fit(args)) => fit::fit(args, out, err),
        Some(Command::Sheet(args)) => sheet::sheet(args, out, err),
        Some(Command::Demo(demo)) => commands::demo(&demo.folder, out),
        Some(Command::Schema) => Ok(shell::schema(out)),
        Some(Command::Shell(args)) => Ok(shell::completions(args, out)),
        Some(Command::Manual(args)) => shell::manual(args, out),
    });
    let trouble = match result {
        Ok(Ok(status)) => return status,
        Ok(Err(trouble)) => trouble,
        Err(words) => Trouble::own(format!("something broke ({words})")),
    };
    say(err, &format!("blockwright: {trouble}\n"));
    if trouble.own_fault { OWN_FAULT } else { UNUSABLE }
}

/// A value that an option cannot take, in one line.
fn unfit(error: &clap::Error) -> Option<Trouble> {
    let words = |kind| match error.get(kind) {
        Some(ContextValue::String(words)) => Some(words.clone()),
        _ => None,
    };
    let why = error.source().filter(|_| error.kind() == ErrorKind::ValueValidation)?;
    let option = words(ContextKind::InvalidArg)?;
    let value = words(ContextKind::InvalidValue).unwrap_or_default();
    Some(Trouble::at(option, format!("\"{value}\" cannot be used"), why.to_string()))
}

/// Writes text, and nothing that a terminal obeys instead of showing it.
fn say(to: &mut dyn Write, text: &str) {
    // An `Output` keeps what goes wrong, and it is told once at the end.
    let _ = to.write_all(names::shown_lines(text).as_bytes()).and_then(|()| to.flush());
}
