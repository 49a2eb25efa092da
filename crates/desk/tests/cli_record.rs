//! The record as the command line writes it.

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

#[path = "support/command.rs"]
mod command;

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use blockwright_core::demo;
use command::{path, run};
use tempfile::TempDir;

/// Cells so coarse that a check takes no time.
const COARSE: [&str; 2] = ["--cell", "0.04"];
const DATE: [&str; 2] = ["--date", "2026-11-30"];

/// A folder with one of the samples in it, and its job file.
fn sample(name: &str) -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    for (file, bytes) in demo::files() {
        if let Some(file) = file.strip_prefix(&format!("{name}/")) {
            fs::write(folder.path().join(file), bytes).expect("written");
        }
    }
    let job = folder.path().join("job.json");
    (folder, job)
}

fn record(job: &Path, target: &Path, more: &[&str]) -> (u8, String, String) {
    run(&[&["sheet", path(job), "-o", path(target)][..], &COARSE, &DATE, more].concat())
}

/// What is in a folder.
fn held(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let entries = fs::read_dir(folder).expect("a folder").map(|entry| entry.expect("an entry").path());
    let name = |path: &Path| path.file_name().expect("a name").to_string_lossy().into_owned();
    entries.map(|path| (name(&path), fs::read(&path).expect("a file"))).collect()
}

#[test]
fn the_record_is_written_whole_and_twice_the_same() {
    let (folder, job) = sample("round-puck");
    let before = held(folder.path());
    let (one, two) = (folder.path().join("new/one"), folder.path().join("two"));
    let (status, out, err) = record(&job, &one, &[]);
    assert_eq!((status, err.as_str()), (0, ""), "{out}");
    assert_eq!(record(&job, &two, &[]).0, 0);
    let written = held(&one);
    assert_eq!(written, held(&two), "the same bytes");
    assert_eq!(out.lines().count(), written.len());
    for name in ["record.html", "record-checked.json", "record-pass-3-plan.png", "record-block.png"] {
        assert!(written.contains_key(name), "{name}: {out}");
    }
    assert!(written.keys().all(|name| name.starts_with("record")), "{out}");
    let there: BTreeMap<_, _> =
        held_files(folder.path()).into_iter().filter(|(name, _)| before.contains_key(name)).collect();
    assert_eq!(there, before, "what was there stays as it was");
}

/// The files of a folder that has folders in it.
fn held_files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let entries = fs::read_dir(folder).expect("a folder").map(|entry| entry.expect("an entry").path());
    let files = entries.filter(|path| path.is_file());
    let name = |path: &Path| path.file_name().expect("a name").to_string_lossy().into_owned();
    files.map(|path| (name(&path), fs::read(&path).expect("a file"))).collect()
}

#[test]
fn the_exit_status_is_that_of_the_check() {
    let (folder, job) = sample("latch-plate-die");
    let checked = run(&["check", path(&job)]).0;
    assert_eq!((record(&job, &folder.path().join("r"), &[]).0, checked), (1, 1));
}

#[test]
fn an_older_record_is_replaced_when_asked_and_nothing_else_ever() {
    let (folder, job) = sample("round-puck");
    assert_eq!(record(&job, folder.path(), &[]).0, 0, "into the job's own folder");
    let (status, _, err) = record(&job, folder.path(), &[]);
    assert!(status == 2 && err.contains("already there") && err.contains("--replace"), "{err}");
    assert_eq!(record(&job, folder.path(), &["--replace"]).0, 0);
    let list = folder.path().join("record-checked.json");
    fs::write(&list, "{ \"schema\": \"blockwright-job/1\" }").expect("somebody's");
    let before = held(folder.path());
    let (status, _, err) = record(&job, folder.path(), &["--replace"]);
    assert!(status == 2 && err.contains("is a job, so it was not replaced"), "{err}");
    assert_eq!(held(folder.path()), before, "nothing was written");
}

#[test]
fn a_file_that_the_job_reads_is_never_a_target() {
    let (folder, job) = sample("round-puck");
    let text = fs::read_to_string(&job).expect("the job").replace("3001.nc", "record.html");
    fs::rename(folder.path().join("3001.nc"), folder.path().join("record.html")).expect("renamed");
    fs::write(&job, text).expect("written");
    let before = held(folder.path());
    let (status, _, err) = record(&job, folder.path(), &["--replace"]);
    assert!(status == 2 && err.contains("that the job reads"), "{err}");
    assert_eq!(held(folder.path()), before);
}

#[test]
fn what_cannot_be_a_date_is_refused() {
    let (folder, job) = sample("round-puck");
    let target = folder.path().join("r");
    let (status, _, err) = run(&["sheet", path(&job), "-o", path(&target), "--date", "yesterday"]);
    assert!(status == 2 && err.contains("2026-11-30") && !target.exists(), "{err}");
}

#[test]
fn many_jobs_have_a_line_each_in_their_order_and_the_worst_status() {
    let (one, sound) = sample("round-puck");
    let (two, thin) = sample("latch-plate-die");
    let missing = one.path().join("no-such.json");
    let (status, out, err) =
        run(&[&["check", path(&sound), path(&thin), path(&sound)][..], &COARSE].concat());
    assert_eq!((status, err.as_str()), (1, ""), "{out}");
    let lines: Vec<&str> = out.lines().collect();
    assert_eq!(lines.len(), 3, "{out}");
    for (line, job) in lines.iter().zip([&sound, &thin, &sound]) {
        assert!(line.starts_with(&format!("{}: ", path(job))), "{line}");
    }
    assert!(lines[0].contains("no findings") && lines[1].contains("Do not run it"), "{out}");
    let all = [&["check", path(&thin), path(&missing), path(&sound), "--json"][..], &COARSE].concat();
    let (status, out, err) = run(&all);
    assert_eq!((status, err.as_str()), (2, ""), "{out}");
    let told: Vec<serde_json::Value> =
        out.lines().map(|line| serde_json::from_str(line).expect("a line of JSON")).collect();
    let statuses: Vec<u64> = told.iter().filter_map(|told| told["status"].as_u64()).collect();
    assert_eq!(statuses, [1, 2, 0]);
    assert_eq!(told[0]["result"]["schema"], "blockwright-proof/1");
    assert!(told[1]["error"].as_str().is_some_and(|why| why.contains("no such file")), "{out}");
    let (_, alone, _) = run(&[&["check", path(&sound), "--json"][..], &COARSE].concat());
    let alone: serde_json::Value = serde_json::from_str(&alone).expect("JSON");
    assert_eq!(told[2]["result"], alone, "the same as checked alone");
    drop(two);
}

#[test]
fn a_wall_that_is_asked_for_and_a_body_after_every_pass_are_among_the_files() {
    let (folder, job) = sample("bracket-shoe");
    let (plain, more) = (folder.path().join("a"), folder.path().join("b"));
    assert_eq!(record(&job, &plain, &[]).0, 0);
    assert_eq!(record(&job, &more, &["--wall", "3.5", "--every-pass", "--no-pictures"]).0, 0);
    let (plain, more) = (held(&plain), held(&more));
    let count = |files: &BTreeMap<String, Vec<u8>>, end: &str| {
        files.keys().filter(|name| name.ends_with(end)).count()
    };
    assert_eq!((count(&plain, ".stl"), count(&more, ".stl")), (1, 5));
    assert_eq!((count(&plain, ".png"), count(&more, ".png")), (11, 0));
    let page = String::from_utf8(more["record.html"].clone()).expect("text");
    assert!(page.contains("Wall A at station 3.500"));
    for name in
        ["record.html", "record.pdf", "record.dxf", "record-plan.svg", "record-wall-a.svg", "record-walk.csv"]
    {
        assert!(plain.contains_key(name), "{name}");
    }
}
