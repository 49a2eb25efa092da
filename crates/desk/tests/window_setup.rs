//! What programs suggest, looked at in the window, and answers given at a finding.

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

mod support;

use std::path::PathBuf;

use blockwright::app::{Action, App};
use blockwright_core::finding::{Asks, Code};
use blockwright_core::job::{Job, Part};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use support::{act, desk, wait};

const ROUGH: &str = "O1001 (ROUGH LEAVE .062)\n(1/2 END MILL 4FL)\nG20 G90\nT1 M6\nG54\nM3 S2000\nG0 X-1. Y0 Z1.\n\
                     G1 Z-.5 F10.\nX4.\nY3.\nX-1.\nY0\nG0 Z1.\nM30\n";

/// Two programs, opened without a job; what they suggest is on the screen.
fn opened() -> (tempfile::TempDir, Harness<'static, App>) {
    let folder = tempfile::tempdir().expect("a folder");
    let finish =
        ROUGH.replace("O1001 (ROUGH LEAVE .062)", "O1002 (FINISH)").replace("T1", "T2").replace("1/2", "3/8");
    let write = |name: &str, text: &str| -> PathBuf {
        let file = folder.path().join(name);
        std::fs::write(&file, text).expect("written");
        file
    };
    let files = vec![write("1002.nc", &finish), write("1001.nc", ROUGH)];
    let mut harness = desk();
    act(&mut harness, Action::OpenPaths(files));
    wait(&mut harness, "what they suggest", App::is_set_up);
    harness.run_steps(4);
    (folder, harness)
}

fn click(harness: &mut Harness<'static, App>, label: &str) {
    harness.get_by_label(label).click();
    harness.run_steps(3);
}

/// What waits of a job: passes and tools by number, parts of the job by key.
fn waiting(job: &Job) -> Vec<String> {
    let mut waiting: Vec<String> = job
        .unconfirmed()
        .map(|entry| match &entry.part {
            Part::Pass(name, _) => name.clone(),
            Part::Tool(number, _) => format!("tool {number}"),
            Part::Job(key) => (*key).to_owned(),
        })
        .collect();
    waiting.dedup();
    waiting
}

#[test]
fn programs_without_a_job_are_one_table_and_only_what_is_ticked_counts_as_confirmed() {
    let (_folder, mut harness) = opened();
    // In their order, with a row each, and each field by its name.
    for label in [
        "Stock left, pass 1",
        "Lowest Z, pass 2",
        "Zero Z, pass 2",
        "dia, pass 1",
        "Form, pass 2",
        "Top of the blank",
    ] {
        harness.get_by_label(label);
    }
    harness.get_by_label("1001.nc");
    assert_eq!(harness.get_all_by_label_contains("comments on 1, 2").count(), 2);
    // Closed without an answer it comes back whole, from its finding.
    click(&mut harness, "Only look at the path");
    wait(&mut harness, "the paths", |app| app.proof().is_some());
    harness.run_steps(3);
    click(&mut harness, "Look and confirm…");
    harness.get_by_label("Larger all around by");
    assert!(harness.state().job().blank.is_none(), "nothing is taken unasked");
    click(&mut harness, "Looked at pass 1");
    click(&mut harness, "Looked at: Blank");
    click(&mut harness, "Confirm all I have looked at");
    assert_eq!(waiting(harness.state().job()), ["passes", "tool 2", "FINISH", "outline"]);
    assert_eq!(harness.state().job().passes[0].allowance, Some(0.062));
    wait(&mut harness, "the check", |app| {
        app.proof()
            .is_some_and(|proof| proof.findings.iter().any(|finding| finding.code == Code::Unconfirmed))
    });
    // The rest is confirmed from the finding.
    harness.run_steps(3);
    click(&mut harness, "Look and confirm…");
    for label in
        ["Looked at pass 2", "Looked at: Order", "Looked at: Outline", "Confirm all I have looked at"]
    {
        click(&mut harness, label);
    }
    assert!(waiting(harness.state().job()).is_empty());
    wait(&mut harness, "the check", |app| {
        app.proof()
            .is_some_and(|proof| proof.findings.iter().all(|finding| finding.code != Code::Unconfirmed))
    });
}

#[test]
fn what_findings_ask_for_is_given_all_at_once() {
    let (_folder, mut harness) = opened();
    click(&mut harness, "Check with this, confirm later");
    wait(&mut harness, "the check", |app| app.proof().is_some_and(|proof| proof.job.blank.is_some()));
    harness.run_steps(3);
    let asked = |app: &App, asks: Asks| {
        app.proof().is_some_and(|proof| proof.findings.iter().any(|finding| finding.asks.contains(&asks)))
    };
    assert!(asked(harness.state(), Asks::Rapid) && asked(harness.state(), Asks::Bed));
    // What only waits to be said stands behind the notes.
    harness.get_by_label_contains(" notes").click();
    harness.run_steps(3);
    harness.get_by_label("Enter where the bed is…").scroll_to_me();
    harness.run_steps(4);
    click(&mut harness, "Enter where the bed is…");
    // All that is asked anywhere stands in the one window.
    for label in ["Top of the bed", "Rapid speed", "Light cut below", "Tool 1: stickout", "Tool 2: stickout"]
    {
        harness.get_by_label(label);
    }
    for label in ["Top of the bed", "Rapid speed", "Tool 1: stickout", "Check with this"] {
        click(&mut harness, label);
    }
    let job = harness.state().job();
    assert!(job.bed_top.is_some() && job.tools[0].stickout.is_some() && job.tools[1].stickout.is_none());
    assert!(job.machine.as_ref().is_some_and(|machine| machine.rapid.is_some()));
    wait(&mut harness, "the check", move |app| !asked(app, Asks::Rapid) && !asked(app, Asks::Bed));
}
