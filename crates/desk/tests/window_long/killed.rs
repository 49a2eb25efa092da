//! The window killed while it saves, at any moment: the job's file is whole and holds all that was told as saved, unsaved work
//! is offered or not there, and the next save leaves nothing over.

use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

use blockwright::app::{Action, App, Purpose};
use blockwright::recover::Store;
use blockwright_core::job::Job;
use egui_kittest::Harness;

use crate::inside::Inside;
use crate::left_over::left_over;
use crate::seeded::{Seeded, number};
use crate::support::{act, just_started};

/// Each save lowers the gauge height by this much: the file tells how many there were.
const LOWER: f64 = 1e-6;
/// The first gauge height, which no sample has.
const FIRST: f64 = -0.3;
/// Most of a run is spent saving: once in so many saves the hand rests before it, and what is unsaved is kept.
const REST_EVERY: u64 = 10;
/// Frames of a rest, a quarter of a second each.
const REST: usize = 6;
/// Milliseconds within which a window is killed.
const WITHIN: u64 = 400;

fn saved(count: u64) -> f64 {
    FIRST - LOWER * count as f64
}

/// How many saves a job has seen.
fn count(job: &Job) -> u64 {
    ((FIRST - job.gauge_height.expect("given")) / LOWER).round() as u64
}

fn lower(app: &App, count: u64) -> Action {
    let mut job = app.job().clone();
    job.gauge_height = Some(saved(count));
    Action::Edit(Box::new(job))
}

/// The job that is opened, in its folder.
fn file(jobs: &Path) -> PathBuf {
    jobs.join(blockwright_core::demo::JOB)
}

fn read(file: &Path) -> Job {
    let bytes = std::fs::read(file).expect("the file is there");
    blockwright_core::job::read(&bytes).expect("the file is whole")
}

#[test]
fn a_window_killed_while_it_saves_loses_nothing() {
    let inside = Inside::made();
    let mut harness = just_started(&inside.jobs(), &inside.state().join("parent"));
    let file = file(&inside.jobs());
    let (kills, seed) = (number("KILLS", 6), number("SEED", 1));
    let mut seeded = Seeded::new(seed);
    let (mut between, mut offered) = (0, 0);
    for kill in 0..kills {
        save_first(&mut harness, &file);
        assert_eq!(
            left_over(&inside.jobs()),
            [""; 0].map(PathBuf::from),
            "after the save that follows kill {kill}"
        );
        let told = killed(&inside, seeded.next(WITHIN));
        let there = count(&read(&file));
        // The one under way may be there as well, though nobody was told.
        assert!(there == told || there == told + 1, "kill {kill} of seed {seed}: {told} told, {there} there");
        between += u64::from(there == told);
        let left = Store::open(&inside.state()).expect("a place").left();
        for left in left {
            let job = blockwright_core::job::read(left.work.job.as_bytes()).expect("unsaved work is whole");
            assert!(count(&job) <= told + 2, "work that nobody has done");
            offered += 1;
            left.discard();
        }
    }
    println!("{kills} kills, seed {seed}: {between} between saves, {offered} times unsaved work");
}

/// Saves the first state of the job over what a killed window has left, as somebody does who was asked.
fn save_first(harness: &mut Harness<'static, App>, file: &Path) {
    let change = lower(harness.state(), 0);
    act(harness, change);
    act(harness, Action::Replace(Purpose::SaveJob, file.to_path_buf()));
    assert_eq!(count(&read(file)), 0, "saved");
}

/// Lets a window save on and on and kills it so many milliseconds after its first save; how many it has told of.
fn killed(inside: &Inside, after: u64) -> u64 {
    let mut child = inside
        .command("killed::saves_on_and_on")
        .stdout(std::process::Stdio::piped())
        .spawn()
        .expect("it runs");
    let mut lines = BufReader::new(child.stdout.take().expect("piped")).lines();
    let number = |line: std::io::Result<String>| line.ok()?.strip_prefix("saved ")?.parse::<u64>().ok();
    let first = lines.by_ref().find_map(number).expect("it saves");
    std::thread::sleep(Duration::from_millis(after));
    child.kill().expect("killed");
    child.wait().expect("gone");
    lines.filter_map(number).last().unwrap_or(first)
}

#[test]
#[ignore = "the one above starts and kills it"]
fn saves_on_and_on() {
    let inside = Inside::here();
    let mut harness = just_started(&inside.jobs(), &inside.state());
    let (file, ctx) = (file(&inside.jobs()), harness.ctx.clone());
    for count in 1.. {
        let change = lower(harness.state(), count);
        harness.state_mut().apply(&ctx, change);
        if count % REST_EVERY == 0 {
            harness.run_steps(REST);
        }
        harness.state_mut().apply(&ctx, Action::Use(Purpose::SaveJob, file.clone()));
        assert_eq!(harness.state().unsaved(), [""; 0], "save {count}");
        println!("saved {count}");
        std::io::stdout().flush().expect("somebody listens");
    }
}
