//! What a system is told of the command line: completions, manual pages, the schema of the job file.

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

#[path = "support/command.rs"]
mod command;

use command::run;

/// The commands, as the manual lists them.
fn commands() -> Vec<String> {
    let (status, out, err) = run(&["manual", "--list"]);
    assert_eq!((status, err.as_str()), (0, ""));
    out.lines().map(str::to_owned).collect()
}

#[test]
fn every_command_has_its_page() {
    let names = commands();
    for name in ["check", "sheet", "air", "schema", "shell", "manual"] {
        assert!(names.iter().any(|known| known == name), "{name}: {names:?}");
    }
    let (_, whole, _) = run(&["manual"]);
    assert!(whole.contains(".TH blockwright 1"), "{whole}");
    for name in names {
        let (status, page, err) = run(&["manual", &name]);
        assert_eq!((status, err.as_str()), (0, ""), "{name}");
        assert!(page.contains(&format!(".TH blockwright-{name} 1")), "{name}: {page}");
        // What can be given many times is told, and the cautions stand in every page.
        assert!(page.contains(".SH SYNOPSIS\n.nf\nblockwright "), "{name}: {page}");
        assert!(page.contains(".SH CAUTION\nBlockwright reads programs"), "{name}: {page}");
        assert!(whole.contains(&format!("blockwright\\-{name}(1)")), "the whole names {name}");
    }
    assert!(run(&["manual", "check"]).1.contains("<JOB>..."), "several jobs");
    assert_eq!(run(&["manual", "prove"]).1, run(&["manual", "check"]).1, "by its other name too");
}

#[test]
fn a_command_that_is_none_has_no_page() {
    let (status, out, err) = run(&["manual", "chekc"]);
    assert_eq!((status, out.as_str()), (2, ""));
    assert!(err.contains("chekc") && err.contains("--list"), "{err}");
}

/// Every shell's completions name every command and an option of one.
#[test]
fn every_shell_learns_every_command() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let (status, script, err) = run(&["shell", shell]);
        assert_eq!((status, err.as_str()), (0, ""), "{shell}");
        for name in commands() {
            assert!(script.contains(&name), "{shell}: {name}");
        }
        assert!(script.contains("every-pass"), "{shell}");
    }
    assert_eq!(run(&["shell", "ash"]).0, 2);
}

#[test]
fn the_schema_is_the_published_one() {
    let (status, out, _) = run(&["schema"]);
    assert_eq!((status, out.as_str()), (0, include_str!("../../../assets/job.schema.json")));
}
