//! Programs as files: every case in the folder `cases` is read and held against what the file expects.

#![expect(clippy::expect_used, reason = "the helpers of a test may fail it")]

#[path = "cases/compare.rs"]
mod compare;
#[path = "cases/expect.rs"]
mod expect;
#[path = "cases/format.rs"]
mod format;

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use format::Case;

/// Cases there must be at least; fewer mean that the folder was not found whole.
const LEAST: usize = 120;

/// Every case file below the folder, in the order of its path.
fn files() -> Vec<PathBuf> {
    let mut folders = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases")];
    let mut files = Vec::new();
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(&folder).expect("the folder can be read") {
            let path = entry.expect("its entries can be read").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "txt") {
                files.push(path);
            }
        }
    }
    files.sort();
    files
}

#[expect(clippy::disallowed_methods, reason = "the cases are files; the core itself is given bytes")]
fn text(path: &Path) -> String {
    std::fs::read_to_string(path).expect("a case is text")
}

fn name(path: &Path) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases");
    path.strip_prefix(&folder).unwrap_or(path).display().to_string()
}

#[test]
fn every_case_comes_out_as_its_file_says() {
    let mut report = String::new();
    let (mut failed, files) = (0, files());
    for path in &files {
        let faults = Case::parse(&text(path)).and_then(|case| case.run()).unwrap_or_else(|fault| vec![fault]);
        if !faults.is_empty() {
            failed += 1;
            let _ = writeln!(report, "{}\n    {}", name(path), faults.join("\n    "));
        }
    }
    assert!(failed == 0, "{failed} of {} cases differ:\n{report}", files.len());
}

#[test]
fn at_least_half_of_the_cases_are_bad_programs() {
    let cases: Vec<Case> = files()
        .iter()
        .map(|path| Case::parse(&text(path)).unwrap_or_else(|e| panic!("{}: {e}", name(path))))
        .collect();
    let bad = cases.iter().filter(|case| case.is_bad()).count();
    assert!(cases.len() >= LEAST, "{} cases", cases.len());
    assert!(bad * 2 >= cases.len(), "{bad} bad ones of {}", cases.len());
    assert!((cases.len() - bad) * 3 >= cases.len(), "{} sound ones of {}", cases.len() - bad, cases.len());
}

#[test]
fn a_case_that_expects_nothing_or_says_no_source_is_refused() {
    for (text, why) in [
        ("source: x\n--- program\nG0 X1\n--- expect\n", "expects nothing"),
        ("--- program\nG0 X1\n--- expect\nmotions 1\n", "source"),
        ("source: x\nunit: mm\n--- program\n--- expect\nmotions 0\n", "unit"),
        ("source: x\n--- program\n--- expect\nrapids 1\n", "rapids"),
        ("source: x\n--- program\n--- expect\nrapid 1 2\n", "rapid 1 2"),
    ] {
        let fault = Case::parse(text).err().unwrap_or_default();
        assert!(fault.contains(why), "{text}: {fault}");
    }
}

#[test]
fn a_case_that_differs_is_told() {
    let faults = |expect: &str| {
        let text = format!("source: x\n--- program\nG0 X1 Y2\nG2 X3 I1 F5\nA1\n--- expect\n{expect}\n");
        Case::parse(&text).and_then(|case| case.run()).expect("the case is sound").len()
    };
    let right =
        "rapid 1 2 0\narc cw centre 2 2 to 3 2 0 F5 sweep -180\nfinding stop unproven-word 3:1\nmotions 2";
    assert_eq!(faults(right), 0);
    for (from, to) in [
        ("rapid 1 2 0", "rapid 1 2.001 0"),
        ("rapid 1 2 0", "feed 1 2 0"),
        ("rapid 1 2 0\n", ""),
        ("arc cw", "arc ccw"),
        ("centre 2 2", "centre 2 2.0001"),
        ("F5", "F6"),
        ("sweep -180", "sweep 180"),
        ("3:1", "3:2"),
        ("stop", "look"),
        ("unproven-word", "unproven-state"),
        ("motions 2", "motions 3"),
        ("motions 2", "number 1"),
        ("motions 2", "end word 3"),
        ("finding stop unproven-word 3:1", "no finding"),
    ] {
        assert_eq!(faults(&right.replacen(from, to, 1)), 1, "{from} -> {to}");
    }
}
