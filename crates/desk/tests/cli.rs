//! The command line as a program calls it.

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

use std::path::{Path, PathBuf};

use blockwright_core::demo;
use tempfile::TempDir;

/// One run: exit status, standard output, standard error.
fn run(args: &[&str]) -> (u8, String, String) {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let all = std::iter::once("blockwright").chain(args.iter().copied());
    let status = blockwright::cli::run(all, &mut out, &mut err);
    let text = |bytes| String::from_utf8(bytes).expect("text");
    (status, text(out), text(err))
}

/// A folder with the demo job in it, and the job file's path.
fn demo_folder() -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let (status, out, err) = run(&["demo", path(folder.path())]);
    assert_eq!((status, err.as_str()), (0, ""), "{out}");
    let job = folder.path().join(demo::JOB);
    (folder, job)
}

fn path(path: &Path) -> &str {
    path.to_str().expect("a path in text")
}

#[test]
fn demo_writes_every_file_and_overwrites_none() {
    let (folder, job) = demo_folder();
    for (name, bytes) in demo::files() {
        assert_eq!(std::fs::read(folder.path().join(name)).expect("written"), *bytes, "{name}");
    }
    std::fs::write(&job, "mine").expect("changed");
    let (status, _, err) = run(&["demo", path(folder.path())]);
    assert_eq!(status, 2);
    assert!(err.contains("already there"), "{err}");
    assert_eq!(std::fs::read(&job).expect("still there"), b"mine");
}

#[test]
fn the_demo_has_something_to_look_at() {
    let (_folder, job) = demo_folder();
    let (status, out, err) = run(&["prove", path(&job)]);
    assert_eq!(status, 1, "{out}{err}");
    assert_eq!(err, "");
    let (status, json, _) = run(&["prove", path(&job), "--json"]);
    assert_eq!(status, 1);
    let proof: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(proof["schema"], "blockwright-proof/1");
    assert!(!proof["passes"].as_array().expect("passes").is_empty());
}

#[test]
fn without_a_display_the_proof_comes_as_text() {
    // The check is made by asking the environment, which a test cannot change safely for its own process.
    let output = std::process::Command::new(env!("CARGO_BIN_EXE_blockwright"))
        .env_remove("DISPLAY")
        .env_remove("WAYLAND_DISPLAY")
        .output()
        .expect("the program runs");
    if cfg!(all(unix, not(target_os = "macos"))) {
        assert_eq!(output.status.code(), Some(1));
        assert!(String::from_utf8_lossy(&output.stderr).contains("no display"));
        assert!(!output.stdout.is_empty());
    }
}

#[test]
fn what_cannot_be_used_is_named_with_a_remedy() {
    let folder = tempfile::tempdir().expect("a folder");
    let (status, out, err) = run(&["prove", path(&folder.path().join("none.json"))]);
    assert_eq!((status, out.as_str()), (2, ""));
    assert!(err.contains("none.json") && err.contains("no such file") && err.lines().count() == 1, "{err}");
    let (status, _, err) = run(&["prove", path(folder.path())]);
    assert_eq!(status, 2);
    assert!(err.contains("folder"), "{err}");
    let broken = folder.path().join("broken.json");
    std::fs::write(&broken, "{\n  \"schema\": \"blockwright-job/1\",\n  \"units\": \"foot\"\n}")
        .expect("written");
    let (status, _, err) = run(&["prove", path(&broken)]);
    assert_eq!(status, 2);
    assert!(err.contains("broken.json") && err.contains("line 3"), "{err}");
    std::fs::write(&broken, "").expect("written");
    let (status, _, err) = run(&["prove", path(&broken)]);
    assert_eq!(status, 2);
    assert!(err.contains("nothing in it"), "{err}");
    let (status, _, err) = run(&["proof"]);
    assert_eq!(status, 2, "{err}");
    let (status, _, err) = run(&["prove", path(&broken), "--cell", "-1"]);
    assert_eq!(status, 2, "{err}");
}

#[test]
fn a_program_without_a_job_is_proven_with_what_is_said() {
    let folder = tempfile::tempdir().expect("a folder");
    let program = folder.path().join("1.nc");
    std::fs::write(&program, "G20 G90 G17\nM3 S1000\nG0 X-1 Y0 Z.1\nG1 Z-.2 F10\nG1 X1\nG0 Z.1\nM30\n")
        .expect("written");
    let (status, out, err) = run(&["prove", path(&program)]);
    assert!(status <= 1, "{err}");
    assert!(err.contains("assumed") && err.contains("flat end mill"), "{err}");
    assert!(!out.is_empty());
}

#[test]
fn a_picture_is_written_and_may_be_written_again() {
    let (folder, job) = demo_folder();
    let picture = folder.path().join("plan.png");
    for extra in [&[][..], &["--dark", "--at", "1"]] {
        let mut args = vec!["picture", path(&job), "--view", "plan", "-o", path(&picture)];
        args.extend(extra);
        let (status, out, err) = run(&args);
        assert_eq!((status, err.as_str()), (0, ""), "{out}");
        let bytes = std::fs::read(&picture).expect("written");
        assert!(bytes.starts_with(b"\x89PNG") && bytes.len() > 1000);
    }
    let strip = folder.path().join("strip.png");
    assert_eq!(run(&["picture", path(&job), "--view", "strip", "-o", path(&strip)]).0, 0);
    assert!(strip.exists());
    let (status, _, err) =
        run(&["picture", path(&job), "--view", "plan", "--pass", "nine", "-o", path(&strip)]);
    assert_eq!(status, 2);
    assert!(err.contains("its passes are"), "{err}");
}

#[test]
fn help_ends_with_the_caution() {
    let (status, out, _) = run(&["--help"]);
    assert_eq!(status, 0);
    assert!(out.trim_end().ends_with("no promise that the cut is safe."), "{out}");
}
