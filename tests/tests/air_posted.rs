//! Programs as they are posted, in many styles: all that are followed are lifted, and none that is refused.
#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

use std::path::{Path, PathBuf};

use blockwright_core::job::{Job, read as read_job};
use blockwright_core::program::{self, Motion, Program, Settings};
use blockwright_core::rewrite::air::{self, AirOptions, Lifted};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::units::Units;

/// The way home by a stated height: the one form of it whose text changes.
const BY_A_HEIGHT: &str = "retreat-in-g90.nc";

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../crates/core/tests/posted")
}

fn read(text: &[u8], settings: &Settings) -> Program {
    program::read(text, settings, Task::quiet(&Cancel::new())).expect("nobody cancels")
}

/// How a line of the index says that its file is read.
fn settings(line: &str) -> Settings {
    let units = if line.split(' ').nth(1) == Some("mm") { "mm" } else { "inch" };
    let control = line.split_once(" control ").map_or("{}", |(_, control)| control);
    let job = format!(
        r#"{{"schema": "blockwright-job/1", "units": "{units}", "control": {control}, "tools": [], "passes": []}}"#
    );
    let job: Job = read_job(job.as_bytes()).expect("the control of the index is one");
    Settings::for_job(job.units, job.control.as_ref()).with_tool(1)
}

fn lift(text: &[u8], settings: &Settings) -> Result<Lifted, String> {
    let above = settings.units.pick(0.1, 2.5);
    let options = AirOptions { top: Some(0.0), above, ..AirOptions::default() };
    let cancel = Cancel::new();
    air::lift(text, "posted.nc", &options, settings, Task::quiet(&cancel)).map_err(|why| why.to_string())
}

/// Motion by motion the same in plan, in feed and in kind; every height that is known is higher by the lift, or belongs
/// to the machine and is the same.
fn only_higher(name: &str, before: &Program, after: &Program, lifted: &Lifted, units: Units) {
    let near = |a: f64, b: f64| (a - b).abs() < units.pick(1e-4, 1e-3);
    assert_eq!(before.motions.len(), after.motions.len(), "{name}");
    for (a, b) in before.motions.iter().zip(&after.motions) {
        let same = |a: &Motion| (a.kind, a.feed, a.spindle, a.tool, a.start_known, a.end_known);
        assert_eq!(same(a), same(b), "{name}, line {}", a.line);
        assert!(near(a.end.x, b.end.x) && near(a.end.y, b.end.y), "{name}, line {}", a.line);
        if b.end_known.axis(2) {
            let level = near(a.end.z, b.end.z);
            assert!(level || near(a.end.z + lifted.by, b.end.z), "{name}, line {}", a.line);
            assert!(b.end.z >= units.pick(0.1, 2.5) - 1e-6, "{name}, line {}: {}", a.line, b.end.z);
        }
    }
}

#[test]
fn all_that_is_followed_is_lifted_and_nothing_else() {
    let bytes =
        |name: &str| std::fs::read(folder().join(name)).unwrap_or_else(|why| unreachable!("{name}: {why}"));
    let index = String::from_utf8(bytes("index.txt")).expect("the index is text");
    let (mut lifted_count, mut refused_count, mut wrong) = (0, 0, Vec::new());
    for line in index.lines().filter(|line| !line.starts_with('#') && !line.trim().is_empty()) {
        let name = line.split(' ').next().unwrap_or_default();
        let (text, settings) = (bytes(name), settings(line));
        let done = lift(&text, &settings);
        if line.split(' ').nth(1) == Some("refused") {
            refused_count += 1;
            if done.is_ok() {
                wrong.push(format!("{name} was lifted"));
            }
            continue;
        }
        let lifted = match done {
            Ok(lifted) => lifted,
            Err(why) => {
                wrong.push(format!("{name}: {why}"));
                continue;
            }
        };
        lifted_count += 1;
        let (before, after) = (read(&text, &settings), read(&lifted.text, &settings));
        only_higher(name, &before, &after, &lifted, settings.units);
        assert!(after.number.is_none() || after.number != before.number, "{name}: the real program's number");
        assert!(
            air::mark(&lifted.text).is_some_and(|mark| air::is_air_pass_of(&mark, &text)),
            "{name}: its mark"
        );
        let written = String::from_utf8_lossy(&lifted.text).into_owned();
        let lines = String::from_utf8_lossy(&text).into_owned();
        let home = |line: &&str| ["G28", "G30", "G53"].iter().any(|word| line.to_uppercase().contains(word));
        for line in lines.lines().filter(home) {
            assert!(name == BY_A_HEIGHT || written.contains(line), "{name}: {line}");
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(lifted_count >= 60 && refused_count >= 20, "{lifted_count} {refused_count}");
}
