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

const PROGRAM: &str =
    "%\nO1001\nG20 G90 G17 (ROUGH)\nM3 S1000\nG0 Z1.\nX-1. Y0.\nG1 Z-.5 F5.\nX1. F10.\nG0 Z1.\nM30\n%\n";

/// A folder with a program in it, and the program's path.
fn program_folder() -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let program = folder.path().join("1001.nc");
    std::fs::write(&program, PROGRAM).expect("written");
    (folder, program)
}

/// Lifts `program` to .1 in above 0, with more words behind.
fn air(program: &Path, target: &Path, more: &[&str]) -> (u8, String, String) {
    let mut args = vec!["air", path(program), "--above", ".1", "--top", "0", "-o", path(target)];
    args.extend(more);
    run(&args)
}

#[test]
fn an_air_pass_is_written_and_told_from_the_real_program() {
    let (folder, program) = program_folder();
    let target = folder.path().join("1001-air.nc");
    let (status, out, err) = air(&program, &target, &[]);
    assert_eq!((status, err.as_str()), (0, ""), "{out}");
    assert!(out.contains("lifted by .6000 in, lowest Z .1000 in") && out.contains("O1002"), "{out}");
    let text = std::fs::read_to_string(&target).expect("written");
    assert!(text.starts_with("%\nO1002\n(AIR PASS - NOT THE REAL PROGRAM)\n"), "{text}");
    assert!(text.contains("G1 Z.1 F5.\n"), "{text}");
    assert_eq!(std::fs::read_to_string(&program).expect("still there"), PROGRAM);

    let (status, out, err) = run(&["diff", path(&program), path(&target)]);
    assert_eq!((status, err.as_str()), (1, ""));
    assert!(out.contains("B is A lifted by .6000 in"), "{out}");
    let (status, out, _) = run(&["diff", path(&program), path(&program)]);
    assert_eq!(status, 0);
    assert!(out.contains("Same motion"), "{out}");
    let (status, json, _) = run(&["diff", path(&target), path(&program), "--json"]);
    assert_eq!(status, 1);
    let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!((&json["schema"], &json["verdict"]), (&"blockwright-diff/1".into(), &"lifted".into()));
    assert!(json["lifted_by"].as_f64().is_some_and(|by| (by + 0.6).abs() < 1e-9), "{json}");

    let (status, _, err) = air(&target, &folder.path().join("twice.nc"), &[]);
    assert_eq!(status, 2);
    assert!(err.contains("already an air pass") && err.lines().count() == 1, "{err}");
}

#[test]
fn a_result_never_takes_the_place_of_its_source() {
    let (folder, program) = program_folder();
    let refused = |target: &Path, more: &[&str], says: &str| {
        let (status, out, err) = air(&program, target, more);
        assert_eq!((status, out.as_str()), (2, ""), "{err}");
        assert!(err.contains(says) && err.lines().count() == 1, "{err}");
        assert_eq!(std::fs::read_to_string(&program).expect("still there"), PROGRAM);
    };
    refused(&program, &["--replace"], "made from");
    refused(&folder.path().join("./1001.nc"), &["--replace"], "made from");
    #[cfg(unix)]
    for link in ["symbolic.nc", "hard.nc"] {
        let name = folder.path().join(link);
        let made = match link {
            "hard.nc" => std::fs::hard_link(&program, &name),
            _ => std::os::unix::fs::symlink(&program, &name),
        };
        made.expect("a link");
        refused(&name, &["--replace"], "made from");
    }
    let other = folder.path().join("other.nc");
    std::fs::write(&other, "G0 Z9.").expect("written");
    refused(&other, &[], "--replace");
    refused(&other, &["--replace"], "not an air pass");
    assert_eq!(std::fs::read(&other).expect("still there"), b"G0 Z9.");
    refused(&folder.path().join("no/such/a.nc"), &[], "folder that does not exist");
    refused(folder.path(), &["--replace"], "is a folder");

    let target = folder.path().join("air.nc");
    assert_eq!(air(&program, &target, &[]).0, 0);
    refused(&target, &[], "--replace");
    assert_eq!(air(&program, &target, &["--number", "7", "--replace"]).0, 0);
    assert!(std::fs::read_to_string(&target).expect("written").starts_with("%\nO7\n"));
    let left: Vec<_> = std::fs::read_dir(folder.path()).expect("a folder").flatten().collect();
    assert!(left.iter().all(|entry| entry.path().extension().is_some_and(|end| end == "nc")), "{left:?}");
}

#[test]
fn a_program_that_cannot_be_lifted_is_refused_with_its_place() {
    let (folder, program) = program_folder();
    let target = folder.path().join("air.nc");
    std::fs::write(&program, "G20 G90\nG0 Z1.\n G28 Z0.\nM30\n").expect("written");
    let (status, out, err) = air(&program, &target, &[]);
    assert_eq!((status, out.as_str()), (2, ""));
    assert!(err.contains("1001.nc, line 3, column 2"), "{err}");
    assert!(!target.exists());
    for (above, top) in [("0", "0"), ("-1", "0"), ("nan", "0"), ("1", "inf")] {
        let args = ["air", path(&program), "--above", above, "--top", top, "-o", path(&target)];
        assert_eq!(run(&args).0, 2, "{above} {top}");
    }
}

#[test]
fn a_program_is_made_ready_for_the_control_of_a_job() {
    let (folder, job) = demo_folder();
    let (_kept, program) = program_folder();
    let target = folder.path().join("ready.nc");
    let args =
        |number| ["ready", path(&program), "--number", number, "--job", path(&job), "-o", path(&target)];
    let (status, out, err) = run(&args("2002"));
    assert_eq!((status, err.as_str()), (0, ""), "{out}");
    assert!(std::fs::read_to_string(&target).expect("written").contains("O2002"));
    let (status, out, _) = run(&["diff", path(&program), path(&target)]);
    assert_eq!(status, 0, "{out}");
    assert!(out.contains("only the text differs") && out.contains("A is O1001, B is O2002"), "{out}");
    let (status, _, err) = run(&args("2003"));
    assert_eq!(status, 2);
    assert!(err.contains("--replace"), "{err}");
    let far = folder.path().join("far.nc");
    let (status, _, err) =
        run(&["ready", path(&program), "--number", "100000", "--job", path(&job), "-o", path(&far)]);
    assert_eq!(status, 2);
    assert!(err.contains("100000") && !far.exists(), "{err}");
    let (status, _, err) =
        run(&["ready", path(&program), "--number", "5", "--job", path(&program), "-o", path(&far)]);
    assert_eq!(status, 2);
    assert!(err.contains("not a job file"), "{err}");
    let (status, _, err) = run(&["diff", path(&job), path(&program)]);
    assert_eq!(status, 2);
    assert!(err.contains("is a job file"), "{err}");
}

#[test]
fn an_air_pass_within_a_job_takes_no_number_of_its_programs() {
    let (folder, job) = demo_folder();
    let beside = job.parent().expect("a folder");
    let text = std::fs::read_to_string(beside.join("1001.nc")).expect("the demo's first program");
    assert!(text.contains("O1001"));
    let target = folder.path().join("air.nc");
    let (status, out, err) = run(&[
        "air",
        path(&beside.join("1001.nc")),
        "--above",
        "0.1",
        "--top",
        "0",
        "--job",
        path(&job),
        "-o",
        path(&target),
    ]);
    assert_eq!((status, err.as_str()), (0, ""), "{out}");
    assert!(out.contains("O1008"), "{out}");
}

#[test]
fn help_ends_with_the_caution() {
    let (status, out, _) = run(&["--help"]);
    assert_eq!(status, 0);
    assert!(out.trim_end().ends_with("no promise that the cut is safe."), "{out}");
}
