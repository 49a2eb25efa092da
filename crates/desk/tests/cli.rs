//! The command line as a program calls it.

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

#[path = "support/command.rs"]
mod command;

use std::path::{Path, PathBuf};

use blockwright::files::{Existing, Reads, Ways};
use blockwright::record;
use blockwright_core::demo;
use command::{path, run};
use tempfile::TempDir;

/// A folder with the demo job in it, and the job file's path.
fn demo_folder() -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let (status, out, err) = run(&["demo", path(folder.path())]);
    assert_eq!((status, err.as_str()), (0, ""), "{out}");
    let job = folder.path().join(demo::JOB);
    (folder, job)
}

#[test]
fn demo_writes_every_file_and_overwrites_none() {
    let (folder, job) = demo_folder();
    for (name, bytes) in demo::files() {
        assert_eq!(std::fs::read(folder.path().join(name)).expect("written"), *bytes, "{name}");
    }
    let one = folder.path().join("round-puck/3002.nc");
    std::fs::remove_file(&one).expect("as when it was broken off");
    let (status, out, err) = run(&["demo", path(folder.path())]);
    assert_eq!((status, err.as_str()), (0, ""), "it goes on where it was broken off");
    assert!(out.lines().count() == 2 && out.starts_with(path(&one)) && one.exists(), "{out}");
    std::fs::write(&job, "mine").expect("changed");
    let (status, _, err) = run(&["demo", path(folder.path())]);
    assert_eq!(status, 2);
    assert!(err.contains("already there"), "{err}");
    assert_eq!(std::fs::read(&job).expect("still there"), b"mine");
}

#[test]
fn the_demo_has_something_to_look_at() {
    let (_folder, job) = demo_folder();
    let (status, out, err) = run(&["check", path(&job)]);
    assert_eq!(status, 1, "{out}{err}");
    assert_eq!(err, "");
    let (status, json, _) = run(&["check", path(&job), "--json"]);
    assert_eq!(status, 1);
    let proof: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(proof["schema"], "blockwright-proof/1");
    assert!(!proof["passes"].as_array().expect("passes").is_empty());
}

/// The folder of the samples, and the job of one of them.
fn sample_job(name: &str) -> (TempDir, PathBuf) {
    let (folder, _) = demo_folder();
    let job = folder.path().join(name).join("job.json");
    (folder, job)
}

#[test]
fn a_fit_is_told_and_taken_over_into_another_file() {
    let (_folder, job) = sample_job("hinge-pad-die");
    let before = std::fs::read(&job).expect("the job");
    let taken = job.with_file_name("moved.json");
    let (status, out, err) = run(&["fit", path(&job), "-o", path(&taken)]);
    assert_eq!((status, err.as_str()), (0, ""), "{out}");
    for words in ["move the work zero by X ", "in the best position: none", "moved.json"] {
        assert!(out.contains(words), "{words}: {out}");
    }
    assert_eq!(std::fs::read(&job).expect("the job"), before, "the job read stays as it was");
    let (_, json, _) = run(&["fit", path(&taken), "--json"]);
    let again: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    let named = |place: &str| again[place]["least_margin"].as_f64().expect("a margin");
    assert!((named("present") - named("fit")).abs() < 0.003, "nothing is left to gain: {json}");
}

#[test]
fn a_fit_keeps_to_its_limits_and_never_writes_over_what_it_was_made_from() {
    let (folder, job) = sample_job("latch-plate-die");
    for words in [&["--no-turn"][..], &["--only-x", "--no-turn"], &["--only-y"], &["--most-turn", "0.1"]] {
        let (status, json, err) = run(&[&["fit", path(&job), "--json"], words].concat());
        assert_eq!((status, err.as_str()), (1, ""), "{words:?}");
        let told: serde_json::Value = serde_json::from_str(&json).expect("JSON");
        let moved = |key: &str| told["fit"][key].as_f64().expect("a number");
        assert!(moved("turn").abs() <= 0.1 || words == ["--only-y"], "{words:?}: {json}");
        assert!(moved("dy") == 0.0 || words[0] != "--only-x", "{words:?}: {json}");
        assert!(moved("dx") == 0.0 || words[0] != "--only-y", "{words:?}: {json}");
    }
    let program = job.with_file_name("8001.nc");
    let elsewhere = folder.path().join("moved.json");
    for (target, words) in
        [(&job, "is a file this is made from"), (&program, "made from"), (&elsewhere, "another folder")]
    {
        let (status, _, err) = run(&["fit", path(&job), "-o", path(target), "--replace"]);
        assert_eq!(status, 2);
        assert!(err.contains(words), "{err}");
    }
    for bad in [["--most-turn", "x"], ["--most-shift", "-1"], ["--margin", "nan"]] {
        assert_eq!(run(&["fit", path(&job), bad[0], bad[1]]).0, 2, "{bad:?}");
    }
}

#[test]
fn what_to_build_up_is_drawn() {
    let (folder, job) = sample_job("latch-plate-die");
    let png = folder.path().join("build-up.png");
    let (status, _, err) = run(&["picture", path(&job), "--view", "build-up", "-o", path(&png)]);
    assert_eq!((status, err.as_str()), (0, ""));
    assert!(std::fs::read(&png).expect("written").starts_with(b"\x89PNG"));
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
    let (status, out, err) = run(&["check", path(&folder.path().join("none.json"))]);
    assert_eq!((status, out.as_str()), (2, ""));
    assert!(err.contains("none.json") && err.contains("no such file") && err.lines().count() == 1, "{err}");
    let (status, _, err) = run(&["check", path(folder.path())]);
    assert_eq!(status, 2);
    assert!(err.contains("folder"), "{err}");
    let broken = folder.path().join("broken.json");
    std::fs::write(&broken, "{\n  \"schema\": \"blockwright-job/1\",\n  \"units\": \"foot\"\n}")
        .expect("written");
    let (status, _, err) = run(&["check", path(&broken)]);
    assert_eq!(status, 2);
    assert!(err.contains("broken.json") && err.contains("line 3"), "{err}");
    std::fs::write(&broken, "").expect("written");
    let (status, _, err) = run(&["check", path(&broken)]);
    assert_eq!(status, 2);
    assert!(err.contains("nothing in it"), "{err}");
    let (status, _, err) = run(&["proof"]);
    assert_eq!(status, 2, "{err}");
}

#[test]
fn a_number_that_is_none_is_refused_with_one_message() {
    let (folder, job) = demo_folder();
    let job = path(&job);
    let target = folder.path().join("none.png");
    let picture = |option| vec!["picture", job, "--view", "block", "-o", path(&target), option];
    let air = |option| vec!["air", job, "-o", path(&target), option];
    let options = [
        (vec!["check", job, "--cell"], true),
        (picture("--cell"), true),
        (picture("--turn"), false),
        (picture("--tilt"), false),
        (picture("--at"), false),
        (picture("--station"), false),
        (vec!["undercut", job, "--land"], false),
        (air("--above"), false),
        (air("--top"), false),
        (vec!["fit", job, "--margin"], false),
        (vec!["fit", job, "--most-turn"], false),
        (vec!["fit", job, "--most-shift"], false),
    ];
    for (args, above_zero) in options {
        let option = *args.last().expect("an option");
        let never = ["nan", "NaN", "inf", "infinity", "1e300", "-1e300", "one", ""];
        let zero: &[&str] = if above_zero { &["0", "-0.0", "-1"] } else { &[] };
        for value in never.iter().chain(zero) {
            let mut args = args.clone();
            args.push(value);
            let (status, out, err) = run(&args);
            assert_eq!((status, out.as_str()), (2, ""), "{option} {value}: {err}");
            assert!(err.starts_with("blockwright: ") && err.contains(option), "{option} {value}: {err}");
            assert_eq!(err.lines().count(), 1, "{option} {value}: {err}");
        }
    }
    assert!(!target.exists());
    // Cells too coarse to show what the tools cut are refused by the job.
    let (status, _, err) = run(&["check", job, "--cell", "2"]);
    assert!(status == 2 && err.contains("too coarse") && err.lines().count() == 1, "{err}");
}

#[test]
fn a_program_without_a_job_is_proven_with_what_is_said() {
    let folder = tempfile::tempdir().expect("a folder");
    let program = folder.path().join("1.nc");
    std::fs::write(&program, "G20 G90 G17\nM3 S1000\nG0 X-1 Y0 Z.1\nG1 Z-.2 F10\nG1 X1\nG0 Z.1\nM30\n")
        .expect("written");
    let (status, out, err) = run(&["check", path(&program)]);
    assert_eq!(status, 1, "nobody has confirmed what was suggested: {err}");
    assert!(err.contains("suggested") && err.contains("not confirmed"), "{err}");
    assert!(out.contains("flat end mill"), "{out}");
}

#[test]
fn a_picture_is_written_and_may_be_written_again() {
    let (folder, job) = demo_folder();
    let picture = folder.path().join("plan.png");
    for extra in [&[][..], &["--dark", "--at", "1", "--replace"]] {
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

/// What is typed and would do nothing is refused, with what would be right.
#[test]
fn options_that_lead_nowhere_are_refused() {
    let (folder, job) = demo_folder();
    let (job, file) = (path(&job), folder.path().join("a.png"));
    let (png, jpg) = (path(&file), folder.path().join("a.jpg"));
    let picture = |more: &[&'static str], to: &str| {
        let mut args = vec!["picture", job, "-o", to, "--view"];
        args.extend(more);
        run(&args)
    };
    for (more, said) in [
        (&["plan", "--station", "1"][..], "--view wall"),
        (&["wall", "--at", "1"], "--view plan or block"),
        (&["plan", "--turn", "1"], "--view block"),
        (&["wall", "--tilt", "1"], "--view block"),
        (&["plan", "--at", "99999"], "give a distance from 0 to"),
        (&["plan", "--at", "-1"], "give a distance from 0 to"),
        (&["plan", "--pass", "0"], "its passes are"),
        (&["plan", "--pass", "99"], "its passes are"),
    ] {
        let (status, out, err) = picture(more, png);
        assert_eq!((status, out.as_str(), err.lines().count()), (2, "", 1), "{more:?}: {err}");
        assert!(err.contains(said), "{more:?}: {err}");
    }
    assert!(picture(&["plan"], path(&jpg)).2.contains(".png") && !jpg.exists());
    assert_eq!(picture(&["plan", "--pass", "2"], png).0, 0);
    let (status, _, err) = run(&["check", job, "--units", "mm"]);
    assert!(status == 2 && err.contains("in inches"), "{err}");
    assert_ne!(run(&["check", job, "--units", "inch"]).0, 2);
}

#[test]
fn a_mistyped_command_is_guessed_and_a_missing_file_is_not() {
    for (typed, meant) in
        [("chekc", Some("check")), ("pictur", Some("picture")), ("3001", None), ("job.jsn", None)]
    {
        let (status, _, err) = run(&[typed]);
        let guess = meant.map_or("no such file".to_owned(), |meant| format!("\"blockwright {meant}\" meant"));
        assert!(status == 2 && err.contains(&guess), "{typed}: {err}");
    }
}

#[test]
fn a_text_that_moves_nothing_makes_no_job() {
    let folder = tempfile::tempdir().expect("a folder");
    let (text, job) = (folder.path().join("note.txt"), folder.path().join("job.json"));
    std::fs::write(&text, "Dear all,\nthe meeting is at 3.\nRegards\n").expect("written");
    let (status, _, err) = run(&["job", path(&text), "-o", path(&job)]);
    assert!(status == 2 && err.contains("note.txt: moves nothing") && !job.exists(), "{err}");
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
    std::fs::write(&program, "G20 G90\nG0 Z1.\n G65 P9001 Z0.\nM30\n").expect("written");
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
        |number| ["prepare", path(&program), "--number", number, "--job", path(&job), "-o", path(&target)];
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
        run(&["prepare", path(&program), "--number", "100000", "--job", path(&job), "-o", path(&far)]);
    assert_eq!(status, 2);
    assert!(err.contains("100000") && !far.exists(), "{err}");
    let (status, _, err) =
        run(&["prepare", path(&program), "--number", "5", "--job", path(&program), "-o", path(&far)]);
    assert_eq!(status, 2);
    assert!(err.contains("not a job file"), "{err}");
    let (status, _, err) = run(&["diff", path(&job), path(&program)]);
    assert_eq!(status, 2);
    assert!(err.contains("is a job file"), "{err}");
}

/// A job of the program of [`program_folder`], with a clamp where the pass goes.
const CLAMPED: &str = r#"{ "schema": "blockwright-job/1", "units": "inch",
    "blank": { "edge": { "vertices": [[0,0],[4,0],[4,3],[0,3]] }, "top": 0, "thickness": 1 },
    "keep_clear": [{ "name": "clamp 1", "area": { "vertices": [[0,-1],[1,-1],[1,-0.2],[0,-0.2]] }, "top": 0.75 }],
    "tools": [{ "number": 1, "form": { "kind": "flat", "diameter": 0.5 } }],
    "passes": [{ "name": "a", "program": "1001.nc", "tool": 1 }] }"#;

#[test]
fn an_air_pass_within_a_job_goes_above_its_clamps() {
    let (folder, program) = program_folder();
    let (job, target) = (folder.path().join("job.json"), folder.path().join("air.nc"));
    std::fs::write(&job, CLAMPED).expect("written");
    std::fs::write(folder.path().join("next.nc"), "O1002\nM30\n").expect("a program beside it");
    let run_air = |program: &Path, more: &[&str]| {
        let mut args = vec!["air", path(program), "--above", ".1", "--job", path(&job), "-o", path(&target)];
        args.extend(more);
        run(&args)
    };
    let (status, out, err) = run_air(&program, &[]);
    assert_eq!((status, err.as_str()), (0, ""), "{out}");
    for words in [
        "O1003, lifted by 1.3500 in, lowest Z .8500 in, above clamp 1 at Z .7500 in",
        "Read back: same motion, only Z is higher.",
        "Spindle and coolant run as in the program. Keep a hand on feed hold.",
        "load the real program before cutting. The control may already hold a program O1003",
    ] {
        assert!(out.contains(words), "{words}\n{out}");
    }
    let (status, out, _) = run_air(&program, &["--top", "2", "--replace"]);
    assert!(status == 0 && out.contains("above the height given as top at Z 2.0000 in"), "{out}");
    // Of a program that the job does not run it knows neither zero nor tool.
    let other = folder.path().join("other.nc");
    std::fs::write(&other, PROGRAM).expect("written");
    let (status, _, err) = run_air(&other, &["--replace"]);
    assert!(status == 2 && err.contains("the program of no pass"), "{err}");
    let (status, out, _) = run_air(&other, &["--top", "0", "--replace"]);
    assert!(status == 0 && out.contains("Clamps were not considered"), "{out}");
    let (status, _, err) = run(&["air", path(&program), "--above", ".1", "-o", path(&target)]);
    assert!(status == 2 && err.contains("--top"), "{err}");
}

#[test]
fn an_air_pass_within_a_job_takes_no_number_of_its_programs() {
    let (folder, job) = demo_folder();
    let program = job.parent().expect("a folder").join("1001.nc");
    let text = std::fs::read_to_string(&program).expect("the demo's first program");
    assert!(text.contains("O1001"));
    let target = folder.path().join("air.nc");
    let args = ["air", path(&program), "--above", "0.1", "--job", path(&job), "-o", path(&target)];
    let (status, out, err) = run(&args);
    assert_eq!((status, err.as_str()), (0, ""), "{out}");
    assert!(out.contains("O1008"), "{out}");
}

#[test]
fn help_ends_with_the_caution() {
    let (status, out, _) = run(&["--help"]);
    assert_eq!(status, 0);
    assert!(out.contains("no promise that the cut is safe"), "{out}");
    assert!(out.trim_end().ends_with("the shop's licensed practice."), "{out}");
}

/// The commands as they were called before go on working.
#[test]
fn older_names_of_commands_are_taken() {
    let (_folder, job) = sample_job("round-puck");
    let (status, out, _) = run(&["check", path(&job)]);
    assert_eq!((status, out.as_str()), (0, run(&["prove", path(&job)]).1.as_str()));
    let program = job.with_file_name("3001.nc");
    let [new, old] = ["prepare", "ready"].map(|name| {
        let target = job.with_file_name(format!("{name}.nc"));
        let words = [name, path(&program), "--number", "7", "--job", path(&job), "-o", path(&target)];
        assert_eq!(run(&words).0, 0);
        std::fs::read(&target).expect("written")
    });
    assert_eq!(new, old);
}

/// A result without findings carries its caution in the table, as in the window and in pictures.
#[test]
fn no_findings_come_with_the_caution() {
    let (_folder, sound) = sample_job("round-puck");
    let (_, out, _) = run(&["check", path(&sound)]);
    assert!(out.contains("\nChecked: no findings.\n"), "{out}");
    assert!(out.trim_end().ends_with("first, hand on feed hold."), "{out}");
    let (_demo, bezel) = demo_folder();
    let (_, out, _) = run(&["check", path(&bezel)]);
    assert!(out.contains("\nChecked: 2 places to look at before you run it.\n"), "{out}");
    assert!(!out.contains("hand on feed hold"), "{out}");
}

/// A triangle on a layer of its own, and a line that goes nowhere on another.
const TRIANGLE: &str = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n\
    0\nLINE\n8\nSCRIBE\n10\n0\n20\n0\n11\n40\n21\n0\n0\nLINE\n8\nSCRIBE\n10\n40\n20\n0\n11\n40\n21\n30\n\
    0\nLINE\n8\nSCRIBE\n10\n0\n20\n0\n11\n40\n21\n30\n0\nLINE\n8\nCENTRE\n10\n60\n20\n0\n11\n60\n21\n9\n\
    0\nENDSEC\n0\nEOF\n";

#[test]
fn a_drawing_is_looked_through_layer_by_layer() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("a.dxf");
    std::fs::write(&file, TRIANGLE).expect("written");
    let (status, out, err) = run(&["drawing", path(&file)]);
    assert_eq!((status, err.as_str()), (0, ""), "{out}");
    for line in [
        "a.dxf: lengths in mm.",
        "Layer SCRIBE: 3 lines and arcs, 1 closed path. It is 120.000 mm long in 3 lines and arcs, from X0.000 Y0.000 to \
         X40.000 Y30.000.",
        "Layer CENTRE: 1 line or arc, no closed path.",
        "  Check  drawing-open: a line ends at X60.000 Y0.000",
        "All layers together: 4 lines and arcs, 1 closed path.",
    ] {
        assert!(out.contains(line), "{line}\n{out}");
    }
    let (status, out, err) = run(&["drawing", path(&file), "--layer", "scribe", "--json"]);
    assert_eq!((status, err.as_str()), (0, ""), "{out}");
    let found: serde_json::Value = serde_json::from_str(&out).expect("JSON");
    assert_eq!(found["schema"], "blockwright-drawing/1");
    assert_eq!(found["units"], "mm");
    let layer = &found["layers"][0];
    assert_eq!((&layer["layer"], &layer["taken"]), (&"SCRIBE".into(), &0.into()));
    assert_eq!(layer["closed"][0]["area"], 600.0);
    assert_eq!(layer["closed"][0]["vertices"], serde_json::json!([[0.0, 0.0], [40.0, 0.0], [40.0, 30.0]]));
    assert_eq!(layer["troubles"], serde_json::json!([]));
    assert_eq!(run(&["drawing", path(&file), "--layer", "CENTRE"]).0, 1, "nothing closes there");
    let points = folder.path().join("a.csv");
    std::fs::write(&points, "0,0\n4,0\n4,x\n").expect("written");
    for (args, said) in [
        (
            vec!["drawing", path(&file), "--layer", "DYE"],
            "a.dxf: there is no layer `DYE`; drawn on are `SCRIBE`, `CENTRE`",
        ),
        (vec!["drawing", path(&points)], "a.csv, line 3, column 3: y must be a number, not `x`"),
        (vec!["drawing", path(folder.path())], "is a folder"),
    ] {
        let (status, out, err) = run(&args);
        assert_eq!((status, out.as_str(), err.lines().count()), (2, "", 1), "{err}");
        assert!(err.contains(said), "{err}");
    }
    std::fs::write(&points, "0,0\n4,0\n4,3\n").expect("written");
    let (status, _, err) = run(&["drawing", path(&points)]);
    assert_eq!(status, 2);
    assert!(err.contains("does not give its unit; add --units"), "{err}");
    assert_eq!(run(&["drawing", path(&points), "--units", "inch"]).0, 0);
}

#[test]
fn a_job_s_drawings_are_read_and_what_is_wrong_with_them_is_named() {
    let (folder, _) = demo_folder();
    let job = folder.path().join("hinge-leaf-die/job.json");
    let (status, out, err) = run(&["check", path(&job)]);
    assert_eq!((status, err.as_str()), (0, ""), "{out}");
    let drawing = folder.path().join("hinge-leaf-die/hinge-leaf.dxf");
    let text = std::fs::read_to_string(&drawing).expect("written");
    for (changed, said) in [
        (
            text.replacen("LINE", "LIME", 1),
            "outline: hinge-leaf.dxf: no closed path: a line ends at X0.000 Y5.000",
        ),
        (text.replacen("108.0", "1o8.0", 1), "outline: hinge-leaf.dxf, line "),
        (text[..text.len() / 2].to_owned(), "the file ends before"),
    ] {
        std::fs::write(&drawing, changed).expect("written");
        let (status, out, err) = run(&["check", path(&job)]);
        assert_eq!((status, out.as_str(), err.lines().count()), (2, "", 1), "{err}");
        assert!(
            err.contains("job.json") && err.contains(said) && err.contains("Correct the drawing"),
            "{err}"
        );
    }
    std::fs::remove_file(&drawing).expect("removed");
    let (status, _, err) = run(&["check", path(&job)]);
    assert_eq!((status, err.lines().count()), (2, 1), "{err}");
    assert!(
        err.contains("job.json, \"outline\": there is no drawing hinge-leaf.dxf in the job's folder"),
        "{err}"
    );
}

/// A job saved elsewhere takes its drawings with it, and still names them.
#[test]
fn a_job_saved_elsewhere_keeps_its_drawings() {
    let (folder, _) = demo_folder();
    let job = folder.path().join("hinge-leaf-die/job.json");
    let opened = blockwright::open::paths(&[job], None).expect("opened");
    let save = |saved: &Path| {
        let (reads, ways) = (Reads::of(&opened), Ways { other_name: "", replace: "" });
        record::save_job(&opened.source, saved, (&reads, &Reads::default()), Existing::Replace)
            .map_err(|blocked| blocked.trouble(saved, &ways).to_string())
    };
    let other = folder.path().join("next/block");
    std::fs::create_dir_all(&other).expect("made");
    let saved = other.join("job.json");
    for _ in 0..2 {
        save(&saved).expect("saved");
    }
    let text = std::fs::read_to_string(&saved).expect("read");
    assert!(text.contains("\"outline\": { \"file\": \"hinge-leaf.dxf\", \"layer\": \"SCRIBE\" }"), "{text}");
    for name in ["hinge-leaf.dxf", "blank-edge.csv", "6001.nc", "6002.nc"] {
        let original = folder.path().join("hinge-leaf-die").join(name);
        assert_eq!(
            std::fs::read(other.join(name)).expect(name),
            std::fs::read(original).expect(name),
            "{name}"
        );
    }
    assert_eq!(run(&["check", path(&saved)]).0, 0);
    // Another drawing of that name is not written over, nor is the job that would then mean another outline.
    std::fs::write(other.join("blank-edge.csv"), "0,0\n1,0\n1,1\n").expect("written");
    let refused = save(&saved).expect_err("in the way");
    assert!(refused.contains("blank-edge.csv: is another drawing than the one open here"), "{refused}");
}

const ROUGH: &str = "O1001 (ROUGH LEAVE .062)\n(1/2 END MILL 4FL)\nG20 G90\nT1 M6\nG54\nM3 S2000\nG0 X-1. Y0 Z1.\n\
                     G1 Z-.5 F10.\nX4.\nY3.\nX-1.\nY0\nG0 Z1.\nM30\n";

/// A folder with two programs in it.
fn two_programs() -> (TempDir, PathBuf, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str, text: &str| {
        let file = folder.path().join(name);
        std::fs::write(&file, text).expect("written");
        file
    };
    let rough = at("1001.nc", ROUGH);
    let finish =
        ROUGH.replace("O1001 (ROUGH LEAVE .062)", "O1002 (FINISH)").replace("T1", "T2").replace("1/2", "3/8");
    let finish = at("1002.nc", &finish);
    (folder, rough, finish)
}

#[test]
fn a_job_is_made_from_programs_and_waits_to_be_confirmed() {
    let (folder, rough, finish) = two_programs();
    let job = folder.path().join("job.json");
    let (status, out, err) = run(&["job", path(&finish), path(&rough), "-o", path(&job)]);
    assert_eq!((status, err.as_str()), (0, ""), "{out}");
    for words in [
        "the G20 on line 3 of 1002.nc",
        "0.5 flat end mill",
        "the comment on line 2 of 1001.nc",
        "leaves .0620 in",
        "the comment on line 1 of 1001.nc",
        "the lowest feed motion, on line 8 of 1002.nc",
        "along pass \"FINISH\"",
        "to confirm",
    ] {
        assert!(out.contains(words), "{words}: {out}");
    }
    let (status, json, _) = run(&["prove", path(&job), "--json", "--cell", "0.05"]);
    assert_eq!(status, 1);
    let proof: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(proof["passes"][0]["name"], "ROUGH LEAVE .062");
    let found = proof["findings"].as_array().expect("findings");
    let open: Vec<_> = found.iter().filter(|finding| finding["code"] == "unconfirmed").collect();
    assert_eq!(open.len(), 1);
    assert!(
        open[0]["message"]
            .as_str()
            .expect("words")
            .contains("tool 2: form (the comment on line 2 of 1002.nc)")
    );
}

#[test]
fn a_job_made_from_programs_overwrites_nothing_unasked() {
    let (folder, rough, finish) = two_programs();
    let job = folder.path().join("job.json");
    let make = |target: &Path, more: &[&str]| {
        run(&[&["job", path(&rough), path(&finish), "-o", path(target)], more].concat())
    };
    assert_eq!(make(&job, &[]).0, 0);
    let written = std::fs::read(&job).expect("written");
    let (status, _, err) = make(&job, &[]);
    assert!(status == 2 && err.contains("already there"), "{err}");
    assert_eq!(make(&job, &["--replace", "--units", "mm"]).0, 0);
    assert_ne!(std::fs::read(&job).expect("written"), written);
    // Neither a program nor anything else that is no job is replaced.
    let notes = folder.path().join("notes.txt");
    std::fs::write(&notes, "mine").expect("written");
    for (target, words) in [(&rough, "made from"), (&notes, "of another kind")] {
        let (status, _, err) = make(target, &["--replace"]);
        assert!(status == 2 && err.contains(words), "{err}");
    }
    assert_eq!(std::fs::read_to_string(&rough).expect("read"), ROUGH);
    assert_eq!(std::fs::read(&notes).expect("read"), b"mine");
}

#[test]
fn a_job_names_its_programs_from_where_it_lies() {
    let (folder, rough, _) = two_programs();
    let inner = folder.path().join("nc");
    std::fs::create_dir(&inner).expect("made");
    let program = inner.join("1.nc");
    std::fs::copy(&rough, &program).expect("copied");
    let job = folder.path().join("job.json");
    assert_eq!(run(&["job", path(&program), "-o", path(&job)]).0, 0);
    assert!(std::fs::read_to_string(&job).expect("read").contains("\"nc/1.nc\""));
    assert!(run(&["prove", path(&job), "--cell", "0.05"]).0 < 2);
    for (programs, target, words) in [
        (vec![path(&rough)], inner.join("job.json"), "outside the folder"),
        (vec![path(&rough), path(&rough)], folder.path().join("a.json"), "named twice"),
        (vec![path(&job)], folder.path().join("a.json"), "is a job file"),
        (vec![path(folder.path())], folder.path().join("a.json"), "is a folder"),
    ] {
        let (status, _, err) = run(&[&["job"], &programs[..], &["-o", path(&target)]].concat());
        assert!(status == 2 && err.contains(words), "{words}: {err}");
        assert!(!target.exists());
    }
}

/// A standard output that takes nothing.
struct Closed(std::io::ErrorKind);

impl std::io::Write for Closed {
    fn write(&mut self, _: &[u8]) -> std::io::Result<usize> {
        Err(self.0.into())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Err(self.0.into())
    }
}

#[test]
fn a_full_output_is_told_and_changes_no_status() {
    use std::io::ErrorKind::{BrokenPipe, StorageFull};
    let (folder, job) = demo_folder();
    let picture = folder.path().join("plan.png");
    let commands: [&[&str]; 4] = [
        &["check", path(&job)],
        &["undercut", path(&job), "--land", "0.03"],
        &["picture", path(&job), "--view", "plan", "-o", path(&picture), "--replace"],
        &["--help"],
    ];
    for args in commands {
        let (whole, ..) = run(args);
        for (kind, lines) in [(StorageFull, 1), (BrokenPipe, 0)] {
            let mut err = Vec::new();
            let all = std::iter::once("blockwright").chain(args.iter().copied());
            let status = blockwright::cli::run(all, &mut Closed(kind), &mut err);
            let err = String::from_utf8(err).expect("text");
            assert_eq!((status, err.lines().count()), (whole, lines), "{args:?}: {err}");
            assert_eq!(err.contains("standard output: could not be written"), lines == 1, "{err}");
        }
    }
    assert!(picture.exists());
    let (status, ..) = run(&["check", path(&folder.path().join("round-puck/job.json"))]);
    assert_eq!(status, 0, "a status of 0 stays 0 as well");
}

#[test]
fn what_is_no_program_is_said_to_be_what_it_is() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("1001.nc");
    let wide: Vec<u8> =
        "O1\r\nG20 G90\r\nG1 X1. F10.\r\nM30\r\n".encode_utf16().flat_map(u16::to_le_bytes).collect();
    let own = std::fs::read(env!("CARGO_BIN_EXE_blockwright")).expect("the program itself");
    let cases: [(&[u8], &str); 3] = [
        (&wide, "is text in UTF-16"),
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\x01\0", "is a picture (PNG)"),
        (&own[..own.len().min(100_000)], "not for a machine"),
    ];
    let out = folder.path().join("out.nc");
    for (bytes, said) in cases {
        std::fs::write(&file, bytes).expect("written");
        let commands: [&[&str]; 5] = [
            &["check", path(&file)],
            &["diff", path(&file), path(&file)],
            &["air", path(&file), "--above", "1", "--top", "0", "-o", path(&out)],
            &["job", path(&file), "-o", path(&out)],
            &["picture", path(&file), "--view", "plan", "-o", path(&out)],
        ];
        for args in commands {
            let (status, text, err) = run(args);
            assert_eq!((status, text.as_str(), err.lines().count()), (2, "", 1), "{args:?}: {err}");
            assert!(err.contains(said) && err.contains("1001.nc"), "{args:?}: {err}");
        }
    }
    let job = r#"{"schema":"blockwright-job/1","units":"inch","tools":[{"number":1,"form":{"kind":"flat","diameter":0.5}}],
        "passes":[{"name":"a","program":"1001.nc","tool":1,"zero":[0,0,0]}]}"#;
    let named = folder.path().join("job.json");
    std::fs::write(&named, job).expect("written");
    let (status, _, err) = run(&["check", path(&named)]);
    assert!(status == 2 && err.contains("not for a machine") && err.contains("pass \"a\""), "{err}");
}

/// The binary itself: what a library below it says must not reach a person.
#[cfg(all(unix, not(target_os = "macos")))]
#[test]
fn a_bad_display_or_scale_is_one_plain_line() {
    let cases = [
        (&[("DISPLAY", ":98765")][..], "DISPLAY=:98765: no window could be opened"),
        (&[("DISPLAY", "nonsense")], "DISPLAY=nonsense: no window could be opened"),
        (&[("WAYLAND_DISPLAY", "nobody-1")], "WAYLAND_DISPLAY=nobody-1: no window could be opened"),
        (&[("DISPLAY", ":98765"), ("WINIT_X11_SCALE_FACTOR", "abc")], "\"abc\" is no scale for the window"),
        (&[("DISPLAY", ":98765"), ("WINIT_X11_SCALE_FACTOR", "-1")], "\"-1\" is no scale for the window"),
    ];
    for (environment, said) in cases {
        let run = std::process::Command::new(env!("CARGO_BIN_EXE_blockwright"))
            .env_remove("DISPLAY")
            .env_remove("WAYLAND_DISPLAY")
            .env_remove("WAYLAND_SOCKET")
            .env("RUST_BACKTRACE", "1")
            .envs(environment.iter().copied())
            .output()
            .expect("it runs");
        let err = String::from_utf8(run.stderr).expect("text");
        assert_eq!((run.status.code(), run.stdout.len(), err.lines().count()), (Some(2), 0, 1), "{err}");
        assert!(err.contains(said) && !err.contains(".rs") && !err.contains(".cargo"), "{err}");
    }
}
