//! Killed while it writes, at any moment: the file is the old one or the new one, whole; none is lost, and nothing is
//! left over after the next run.
//!
//!     cargo test -p blockwright --test kills                            # 50 kills
//!     KILLS=1000 SEED=7 cargo test -p blockwright --test kills

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

#[path = "support/left_over.rs"]
mod left_over;
#[path = "support/seeded.rs"]
mod seeded;

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use left_over::left_over;
use seeded::{Seeded, number};

/// One command that writes, and the files it may write.
struct Writes {
    args: Vec<String>,
    targets: Vec<PathBuf>,
}

fn commands(folder: &Path) -> Vec<Writes> {
    let at = |name: &str| folder.join(name).to_string_lossy().into_owned();
    let (job, program) = (at("round-puck/job.json"), at("round-puck/3001.nc"));
    let command = |words: &[&str], target: &str| Writes {
        args: words
            .iter()
            .map(|word| (*word).to_owned())
            .chain(["-o".to_owned(), at(target), "--replace".to_owned()])
            .collect(),
        targets: vec![folder.join(target)],
    };
    let demo = folder.join("demo");
    let files = blockwright_core::demo::files().iter().map(|(name, _)| demo.join(name));
    vec![
        command(&["air", &program, "--above", ".1", "--job", &job], "round-puck/3001-air.nc"),
        command(&["prepare", &program, "--number", "77", "--job", &job], "round-puck/77.nc"),
        command(&["fit", &job], "round-puck/moved.json"),
        command(&["picture", &job, "--view", "strip"], "round-puck/strip.png"),
        Writes { args: vec!["demo".to_owned(), at("demo")], targets: files.collect() },
    ]
}

fn run(args: &[String]) -> std::process::Child {
    let mut command = Command::new(env!("CARGO_BIN_EXE_blockwright"));
    let quiet = command.args(args).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    quiet.spawn().expect("the program runs")
}

#[test]
fn old_or_new_whole_whenever_it_is_killed() {
    let folder = tempfile::tempdir().expect("a folder");
    for (name, bytes) in
        blockwright_core::demo::files().iter().filter(|(name, _)| name.starts_with("round-puck/"))
    {
        std::fs::create_dir_all(folder.path().join("round-puck")).expect("made");
        std::fs::write(folder.path().join(name), bytes).expect("written");
    }
    let (kills, seed) = (number("KILLS", 50), number("SEED", 1));
    let mut seeded = Seeded::new(seed);
    let (mut under_way, mut killed) = (0, 0);
    for command in commands(folder.path()) {
        // What it writes when nobody stops it, and how long that takes.
        let start = Instant::now();
        let done = run(&command.args).wait().expect("it ends");
        let takes = start.elapsed().as_micros() as u64 + 1;
        assert!(done.code().is_some_and(|code| code < 2), "{:?}", command.args);
        let new: Vec<Vec<u8>> =
            command.targets.iter().map(|target| std::fs::read(target).expect("written")).collect();
        let is_demo = command.targets.len() > 1;
        for _ in 0..kills.div_ceil(5) {
            // An older file of the same kind, as long as can be told from the new one; the demo finds none.
            let old: Vec<Option<Vec<u8>>> =
                new.iter().map(|new| (!is_demo).then(|| [new.as_slice(), b"\n"].concat())).collect();
            for (target, old) in command.targets.iter().zip(&old) {
                match old {
                    Some(old) => std::fs::write(target, old).expect("written"),
                    None => std::fs::remove_file(target).unwrap_or_default(),
                }
            }
            let mut child = run(&command.args);
            // Most of the writing comes at the end.
            let part =
                if seeded.next(3) == 0 { seeded.next(takes) } else { takes - seeded.next(takes / 3 + 1) };
            std::thread::sleep(Duration::from_micros(part));
            under_way += u32::from(child.try_wait().expect("asked").is_none());
            child.kill().expect("killed");
            child.wait().expect("gone");
            killed += 1;
            for ((target, old), new) in command.targets.iter().zip(&old).zip(&new) {
                let there = std::fs::read(target).ok();
                let whole = there == *old || there.as_ref() == Some(new);
                assert!(
                    whole,
                    "{:?}, kill {killed} of seed {seed}: {} is damaged",
                    command.args,
                    target.display()
                );
            }
        }
        let done = run(&command.args).wait().expect("it ends");
        assert!(done.code().is_some_and(|code| code < 2), "goes on after the kills: {:?}", command.args);
        for (target, new) in command.targets.iter().zip(&new) {
            assert_eq!(std::fs::read(target).expect("there"), *new, "{}", target.display());
        }
        assert!(left_over(folder.path()).is_empty(), "{:?}: {:?}", command.args, left_over(folder.path()));
    }
    assert!(under_way > 0, "none of {killed} was killed while it ran");
}
