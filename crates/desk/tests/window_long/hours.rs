//! A long day at the window: jobs opened, looked at, run, edited, saved and left, over and over, and the memory of the process
//! stays what it was after the first of them. A job takes five minutes of the window's clock.

use std::path::Path;

use blockwright::app::{Action, App, Command, Purpose};
use egui_kittest::Harness;

use crate::inside::Inside;
use crate::seeded::{Seeded, number};
use crate::support::{act, as_started, wait};

/// Jobs that take turns.
const SAMPLES: [&str; 2] = ["round-puck", "latch-plate-die"];
/// Jobs until all that is made once has been made.
const WARM: u64 = 2;
/// Memory that may come and go, MiB: a block of cells and its states.
const MAY_VARY: f64 = 96.0;

/// Memory of this process that is in use, MiB; `None` where that is not told.
fn memory() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:"))?;
    Some(line.trim().strip_suffix(" kB")?.trim().parse::<f64>().ok()? / 1024.0)
}

#[test]
fn memory_stays_flat_from_job_to_job() {
    Inside::made().run("hours::a_day");
}

#[test]
#[ignore = "the one above starts it, in a process with a home of its own"]
fn a_day() {
    let inside = Inside::here();
    let (jobs, mut seeded) = (number("JOBS", 3).max(WARM + 1), Seeded::new(number("SEED", 5)));
    let mut harness = as_started(&inside.jobs(), &inside.state());
    let mut held = Vec::new();
    for job in 0..jobs {
        five_minutes(&mut harness, &inside.jobs(), SAMPLES[job as usize % SAMPLES.len()], &mut seeded);
        held.extend(memory());
        if (job + 1) % 12 == 0 {
            println!("{} of {jobs} jobs, {:.0} MiB", job + 1, held.last().copied().unwrap_or_default());
        }
    }
    // Where the system does not tell, that nothing breaks is all that is held.
    let Some(warm) = held.get(..WARM as usize) else { return };
    let most = |held: &[f64]| held.iter().copied().fold(0.0, f64::max);
    let (first, later) = (most(warm), most(&held[WARM as usize..]));
    println!("{jobs} jobs: at most {first:.0} MiB in the first {WARM}, {later:.0} MiB after them");
    assert!(later <= first + MAY_VARY, "{first:.0} MiB have become {later:.0}: {held:.0?}");
}

/// Opens a job, looks at it from all sides, runs its passes, changes it, takes that back, changes and saves it.
fn five_minutes(harness: &mut Harness<'static, App>, jobs: &Path, name: &str, seeded: &mut Seeded) {
    let file = jobs.join(name).join("job.json");
    act(harness, Action::OpenPaths(vec![file.clone()]));
    checked(harness, name);
    for view in [Command::ShowBlock, Command::ShowWall, Command::ShowPlan] {
        act(harness, Action::Do(view));
        harness.run_steps(5);
    }
    for pass in 0..harness.state().job().passes.len() {
        act(harness, Action::Pick(pass));
        let way = harness.state().proof().map_or(0.0, |proof| proof.passes[pass].track.length());
        for _ in 0..10 {
            act(harness, Action::Scrub(way * seeded.next(1000) as f64 / 1000.0));
        }
    }
    for finding in 0..harness.state().proof().map_or(0, |proof| proof.findings.len()).min(5) {
        act(harness, Action::Follow(finding));
        harness.run_steps(4);
    }
    act(harness, Action::Do(Command::Play));
    harness.run_steps(200);
    act(harness, Action::Do(Command::Play));
    change(harness, -0.01);
    checked(harness, "the change");
    act(harness, Action::Do(Command::TakeBack));
    checked(harness, "the change taken back");
    let other = if seeded.next(2) == 0 { -0.001 } else { 0.001 };
    change(harness, other);
    act(harness, Action::Use(Purpose::SaveJob, file));
    checked(harness, "what is saved");
    assert_eq!(harness.state().unsaved(), [""; 0], "{name}");
}

fn change(harness: &mut Harness<'static, App>, by: f64) {
    let mut job = harness.state().job().clone();
    job.gauge_height = job.gauge_height.map(|height| height + by);
    act(harness, Action::Edit(Box::new(job)));
}

/// Waits until what is on the desk has been checked.
fn checked(harness: &mut Harness<'static, App>, what: &str) {
    wait(harness, what, |app| app.proof().is_some_and(|proof| *proof.job == *app.job()));
}
