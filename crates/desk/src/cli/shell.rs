//! What a system is told of the command line: completions for a shell, pages for `man`, the schema of the job file. All
//! of it is made from the definitions that the commands themselves go by.

use std::io::Write;

use blockwright_core::job;
use clap::{Args as Group, Command, CommandFactory};
use clap_complete::Shell;
use clap_mangen::Man;

use super::args::Args;
use crate::trouble::Trouble;

/// What the program is called on the command line.
const NAME: &str = "blockwright";

/// What `shell` takes.
#[derive(Debug, Group)]
#[command(long_about = "Prints what a shell needs to complete the commands and options of Blockwright.\n\n\
    For bash: blockwright shell bash > ~/.local/share/bash-completion/completions/blockwright; for zsh write it as \
    _blockwright into a folder of $fpath, for fish as blockwright.fish into ~/.config/fish/completions. An installed \
    package has done so already.")]
pub(super) struct Completions {
    /// The shell.
    #[arg(value_enum)]
    shell: Shell,
}

/// What `manual` takes.
#[derive(Debug, Group)]
#[command(
    long_about = "Prints the manual page of Blockwright, or of one of its commands, as `man` takes it.\n\n\
    To read one at once: blockwright manual check | man -l -. An installed package has them all: man blockwright, \
    man blockwright-check."
)]
pub(super) struct Manual {
    /// The command; Blockwright as a whole when none is named.
    command: Option<String>,
    /// Print the names of all commands instead, one on each line.
    #[arg(long, conflicts_with = "command")]
    list: bool,
}

/// Prints the schema of the job file.
pub(super) fn schema(out: &mut dyn Write) -> u8 {
    print(out, job::schema().as_bytes());
    0
}

/// Prints the completions for a shell.
pub(super) fn completions(args: &Completions, out: &mut dyn Write) -> u8 {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut Args::command(), NAME, &mut script);
    print(out, &script);
    0
}

/// Prints a manual page, or what pages there are.
pub(super) fn manual(args: &Manual, out: &mut dyn Write) -> Result<u8, Trouble> {
    let mut whole = Args::command();
    whole.build();
    // What `help` says stands in the pages.
    let commands = || whole.get_subcommands().filter(|command| command.get_name() != "help");
    if args.list {
        let names: Vec<String> = commands().map(|command| format!("{}\n", command.get_name())).collect();
        print(out, names.concat().as_bytes());
        return Ok(0);
    }
    let page = match &args.command {
        None => whole.clone(),
        Some(name) => commands()
            .find(|command| {
                command.get_name() == name || command.get_visible_aliases().any(|alias| alias == name)
            })
            .cloned()
            .ok_or_else(|| {
                Trouble::at(name, "is no command", "`blockwright manual --list` names them all")
            })?,
    };
    let text = rendered(page)
        .map_err(|error| Trouble::own(format!("the manual page could not be made ({error})")))?;
    print(out, &text);
    Ok(0)
}

/// A manual page, with the cautions under a heading of their own.
fn rendered(mut page: Command) -> std::io::Result<Vec<u8>> {
    let usage = page.render_usage().to_string();
    let usage = usage.trim_start_matches("Usage:").lines().map(str::trim).collect::<Vec<_>>().join("\n");
    let has_commands = page.has_subcommands();
    let man = Man::new(page).manual("Blockwright").source(concat!("Blockwright ", env!("CARGO_PKG_VERSION")));
    let mut text = Vec::new();
    man.render_title(&mut text)?;
    man.render_name_section(&mut text)?;
    // The one that `--help` prints tells more: what an option takes, and what can be given many times.
    section(&mut text, "SYNOPSIS", &format!(".nf\n{}\n.fi", plain(&usage)))?;
    man.render_description_section(&mut text)?;
    man.render_options_section(&mut text)?;
    if has_commands {
        man.render_subcommands_section(&mut text)?;
    }
    section(&mut text, "CAUTION", &plain(crate::CAUTION))?;
    Ok(text)
}

fn section(text: &mut Vec<u8>, title: &str, words: &str) -> std::io::Result<()> {
    writeln!(text, ".SH {title}\n{words}")
}

/// Words in which `man` finds nothing to obey.
fn plain(words: &str) -> String {
    words.replace('\\', "\\e").replace('-', "\\-").replace("\n.", "\n\\&.")
}

/// Writes text that is the program's own, byte by byte: a shell or `man` reads it.
fn print(out: &mut dyn Write, text: &[u8]) {
    // An `Output` keeps what goes wrong, and it is told once at the end.
    let _ = out.write_all(text).and_then(|()| out.flush());
}
