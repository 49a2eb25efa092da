//! The command line.

mod args;
mod check;
mod commands;
mod drawing;
mod fit;
mod job;
mod rewrite;
mod sheet;

use std::error::Error as _;
use std::ffi::OsString;
use std::io::Write;
use std::panic::{AssertUnwindSafe, catch_unwind};

use blockwright_core::names;
use clap::Parser;
use clap::error::{ContextKind, ContextValue, ErrorKind};

use crate::trouble::{Trouble, panic_words};
use args::{Args, Command};

/// Exit status: the input cannot be used.
const UNUSABLE: u8 = 2;

/// Exit status: a fault of the tool's own.
const OWN_FAULT: u8 = 3;

/// Runs one command and gives its exit status: 0 no findings, 1 findings, 2 the input cannot be used,
/// 3 a fault of the tool's own. `args` starts with the name of the program.
pub fn run<A>(args: impl IntoIterator<Item = A>, out: &mut dyn Write, err: &mut dyn Write) -> u8
where
    A: Into<OsString> + Clone,
{
    let parsed = match Args::try_parse_from(args) {
        Ok(parsed) => parsed,
        Err(error) => {
            if let Some(trouble) = unfit(&error) {
                return finish(&say(err, &format!("blockwright: {trouble}\n")), UNUSABLE);
            }
            let asked = !error.use_stderr();
            let text = error.render().to_string();
            return if asked { finish(&say(out, &text), 0) } else { finish(&say(err, &text), UNUSABLE) };
        }
    };
    let result = catch_unwind(AssertUnwindSafe(|| match &parsed.command {
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
    }));
    let trouble = match result {
        Ok(Ok(status)) => return status,
        Ok(Err(trouble)) => trouble,
        Err(payload) => Trouble::own(format!("something broke ({})", panic_words(payload.as_ref()))),
    };
    let status = if trouble.own_fault { OWN_FAULT } else { UNUSABLE };
    finish(&say(err, &format!("blockwright: {trouble}\n")), status)
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

/// The status, unless the text could not be written.
fn finish(written: &Result<(), Trouble>, status: u8) -> u8 {
    if written.is_ok() { status } else { OWN_FAULT }
}

/// Writes text, and nothing that a terminal obeys instead of showing it. A reader that has gone away has seen enough.
fn say(to: &mut dyn Write, text: &str) -> Result<(), Trouble> {
    match to.write_all(names::shown_lines(text).as_bytes()).and_then(|()| to.flush()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => Err(Trouble::at(
            "output",
            format!("could not be written ({error})"),
            "check where the output goes, and the free space on the disk",
        )),
        _ => Ok(()),
    }
}
