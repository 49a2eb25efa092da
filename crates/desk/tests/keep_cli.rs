//! Nothing is lost by the command line: each way of losing something by name.

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

#[path = "support/command.rs"]
mod command;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use command::{path, run};
use tempfile::TempDir;

/// A folder with a job that reads programs, a called program, drawings and a crib, and files it does not read.
fn shop() -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let (status, ..) = run(&["demo", path(folder.path())]);
    assert_eq!(status, 0);
    let shop = folder.path().join("hinge-leaf-die");
    let job = std::fs::read_to_string(shop.join("job.json")).expect("the job");
    let job = job.replacen("\"tools\"", "\"crib\": \"crib.json\",\n  \"tools\"", 1);
    let job = job.replacen("\"control\": {", "\"control\": { \"subprograms\": \"count_in_l\",", 1);
    std::fs::write(shop.join("job.json"), job).expect("written");
    let crib = "{ \"schema\": \"blockwright-crib/1\", \"units\": \"mm\", \"tools\": [] }\n";
    std::fs::write(shop.join("crib.json"), crib).expect("written");
    for (name, bytes) in [
        ("other-job.json", job_text()),
        ("other-crib.json", crib.as_bytes()),
        ("other.nc", b"O77\nG21 G90\nG0 Z5.\nM30\n"),
        ("other.dxf", b"0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n"),
        ("other.png", b"\x89PNG\r\n\x1a\n"),
        ("notes.txt", b"Call about the clamps.\n"),
    ] {
        std::fs::write(shop.join(name), bytes).expect("written");
    }
    (folder, shop)
}

fn job_text() -> &'static [u8] {
    b"{ \"schema\": \"blockwright-job/1\", \"units\": \"mm\", \"tools\": [], \"passes\": [] }\n"
}

/// What is in a folder.
fn held(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let entries = std::fs::read_dir(folder).expect("a folder").flatten();
    entries.map(|entry| (entry.path(), std::fs::read(entry.path()).expect("read"))).collect()
}

/// Every command that writes into a file of the job's folder, up to the name of that file.
fn commands(shop: &Path) -> Vec<(&'static str, Vec<String>)> {
    let (job, program) = (shop.join("job.json"), shop.join("6001.nc"));
    let (job, program) = (path(&job), path(&program));
    let command = |words: &[&str]| words.iter().map(|word| (*word).to_owned()).collect();
    vec![
        ("air", command(&["air", program, "--above", "1", "--top", "0", "--job", job, "-o"])),
        ("ready", command(&["ready", program, "--number", "11", "--job", job, "-o"])),
        ("fit", command(&["fit", job, "-o"])),
        ("picture", command(&["picture", job, "--view", "strip", "-o"])),
    ]
}

fn run_into(command: &[String], target: &Path, replace: bool) -> (u8, String) {
    let mut args: Vec<&str> = command.iter().map(String::as_str).collect();
    args.push(path(target));
    if replace {
        args.push("--replace");
    }
    let (status, _, err) = run(&args);
    (status, err)
}

#[test]
fn no_command_writes_over_a_file_that_the_job_reads() {
    let (_folder, shop) = shop();
    let before = held(&shop);
    for (name, command) in commands(&shop) {
        for read in ["job.json", "6001.nc", "6002.nc", "hinge-leaf.dxf", "blank-edge.csv", "crib.json"] {
            for replace in [false, true] {
                let (status, err) = run_into(&command, &shop.join(read), replace);
                assert_eq!(status, 2, "{name} over {read}");
                assert!(err.contains("that the job reads") && err.lines().count() == 1, "{name}: {err}");
            }
        }
    }
    assert_eq!(held(&shop), before);
}

#[test]
fn a_called_program_is_a_file_that_the_job_reads() {
    let (_folder, shop) = shop();
    let program = std::fs::read_to_string(shop.join("6002.nc")).expect("a program");
    std::fs::write(shop.join("6002.nc"), program.replacen("M30", "M98 P66\nM30", 1)).expect("written");
    std::fs::write(shop.join("O66.nc"), "O66\nM99\n").expect("written");
    let before = held(&shop);
    for (name, command) in commands(&shop) {
        let (status, err) = run_into(&command, &shop.join("O66.nc"), true);
        assert!(status == 2 && err.contains("that the job reads"), "{name}: {err}");
    }
    assert_eq!(held(&shop), before);
}

#[test]
fn any_other_file_is_replaced_when_asked_and_only_like_by_like() {
    let (_folder, shop) = shop();
    let first = shop.join("6001-air.nc");
    assert_eq!(run_into(&commands(&shop)[0].1, &first, false).0, 0);
    for (name, command) in commands(&shop) {
        for other in [
            "other-job.json",
            "other-crib.json",
            "other.nc",
            "6001-air.nc",
            "other.dxf",
            "other.png",
            "notes.txt",
        ] {
            let target = shop.join(other);
            let mut older = std::fs::read(&target).expect("read");
            older.push(b'\n');
            std::fs::write(&target, older).expect("another than the one to be written");
            let before = held(&shop);
            let (status, err) = run_into(&command, &target, false);
            assert!(status == 2 && err.contains("--replace"), "{name} over {other}: {err}");
            assert_eq!(held(&shop), before, "{name} over {other}");
            let like = matches!(
                (name, other),
                ("air", "6001-air.nc")
                    | ("ready", "other.nc" | "6001-air.nc")
                    | ("fit", "other-job.json")
                    | ("picture", "other.png")
            );
            let (status, err) = run_into(&command, &target, true);
            assert_eq!(status < 2, like, "{name} over {other}: {err}");
            let now = held(&shop);
            assert_eq!(now == before, !like, "{name} over {other}");
            assert!(before.keys().eq(now.keys()), "nothing is left beside: {name} over {other}");
            std::fs::write(&target, &before[&target]).expect("put back");
        }
    }
}

#[test]
fn a_job_reads_nothing_outside_its_folder() {
    let (folder, shop) = shop();
    std::fs::write(folder.path().join("1.nc"), "G0 X1\nM30\n").expect("written");
    std::fs::write(folder.path().join("c.json"), std::fs::read(shop.join("crib.json")).expect("read"))
        .expect("written");
    let job = std::fs::read_to_string(shop.join("job.json")).expect("the job");
    let absolute = folder.path().join("1.nc");
    for (from, to, says) in [
        ("\"6001.nc\"", "\"../1.nc\"".to_owned(), "the program ../1.nc lies outside the job's folder"),
        ("\"6001.nc\"", format!("\"{}\"", absolute.display()), "lies outside the job's folder"),
        ("\"crib.json\"", "\"../c.json\"".to_owned(), "the crib ../c.json lies outside the job's folder"),
        ("\"hinge-leaf.dxf\"", "\"../hinge.dxf\"".to_owned(), "the drawing ../hinge.dxf lies outside"),
    ] {
        std::fs::write(shop.join("job.json"), job.replacen(from, &to, 1)).expect("written");
        let (status, out, err) = run(&["prove", path(&shop.join("job.json"))]);
        assert_eq!((status, out.as_str(), err.lines().count()), (2, "", 1), "{err}");
        assert!(err.contains(says), "{err}");
    }
}

#[cfg(unix)]
#[test]
fn saving_elsewhere_never_writes_outside_the_chosen_folder() {
    use blockwright::files::{Existing, Reads};
    let (folder, shop) = shop();
    let opened = blockwright::open::paths(&[shop.join("job.json")], None).expect("opened");
    let reads = Reads::of(&opened);
    let save = |source: &_, target: &Path| {
        blockwright::record::save_job(source, target, (&reads, &Reads::default()), Existing::Keep)
    };
    let away = folder.path().join("away");
    let chosen = folder.path().join("chosen");
    for made in [&away, &chosen] {
        std::fs::create_dir(made).expect("made");
    }
    std::os::unix::fs::symlink(&away, chosen.join("programs")).expect("a link");
    let target = chosen.join("job.json");
    for name in ["../6001.nc", "/tmp/blockwright-6001.nc", "programs/6001.nc"] {
        let mut source = opened.source.clone();
        let mut job = (*source.job).clone();
        job.passes[0].program = name.to_owned();
        source.job = job.into();
        let saved = save(&source, &target);
        assert!(saved.is_err(), "{name}");
        assert!(!target.exists() && held(&away).is_empty(), "{name}");
    }
    let over = save(&opened.source, &chosen.join("6002.nc"));
    assert!(over.is_err() && !chosen.join("6002.nc").exists(), "the job would lie over its own program");
    std::fs::remove_file(chosen.join("programs")).expect("removed");
    save(&opened.source, &target).expect("saved");
}
