//! Names that somebody else gave reach no terminal raw: control characters, escape sequences, direction marks.

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

#[path = "support/command.rs"]
mod command;

use command::path;

/// One run: exit status, and what it said on both ways out.
fn run(args: &[&str]) -> (u8, String) {
    let (status, out, err) = command::run(args);
    (status, out + &err)
}

/// Names that do something, each as it is written in JSON, with the part that a line must not begin with.
const NAMES: [&str; 5] = [
    r"p\r\nFAKE: nothing to look at",
    r"p\u001b[2J\u001b]0;owned\u0007",
    r"p\u009b2Jx",
    r"\u202ecn.1001\u2066p",
    r"p\u2028FAKE: nothing to look at",
];

fn is_safe(said: &str) -> bool {
    let marks = ['\u{202e}', '\u{2066}', '\u{2028}', '\u{9b}'];
    !said.chars().any(|c| (c.is_control() && !matches!(c, '\n' | '\t')) || marks.contains(&c))
        && !said.lines().any(|line| line.trim_start().starts_with("FAKE"))
}

#[test]
fn names_of_a_job_do_nothing_but_be_read() {
    let folder = tempfile::tempdir().expect("a folder");
    let program = folder.path().join("1.nc");
    std::fs::write(
        &program,
        "G20 G90 G17\nM3 S1000\nG0 X-1 Y0 Z.1\nG1 Z-.2 F10 (\u{1b}[2J)\nG1 X1 Q\u{202e}\nM30\n",
    )
    .expect("written");
    let job = folder.path().join("job.json");
    for name in NAMES {
        let words = format!(
            r#"{{ "schema": "blockwright-job/1", "name": "{name}", "units": "inch",
              "blank": {{ "edge": {{ "vertices": [[-2,-2],[2,-2],[2,2],[-2,2]] }}, "top": 0, "thickness": 1, "material": "{name}" }},
              "keep_clear": [{{ "name": "{name}", "area": {{ "vertices": [[-1,-1],[1,-1],[1,1],[-1,1]] }}, "top": 1 }}],
              "tools": [{{ "number": 1, "name": "{name}", "form": {{ "kind": "flat", "diameter": 0.5 }} }}],
              "passes": [{{ "name": "{name}", "program": "1.nc", "tool": 1 }}] }}"#
        );
        std::fs::write(&job, words).expect("written");
        for args in [&["check"][..], &["check", "--json"]] {
            let (status, said) = run(&[&args[..1], &[path(&job)], &args[1..]].concat());
            assert!(status < 2, "{said}");
            assert!(said.contains('\u{fffd}') && is_safe(&said), "{name}: {said}");
        }
        let picture = folder.path().join("plan.png");
        let raw: String = serde_json::from_str(&format!("\"{name}\"")).expect("text");
        let args =
            ["picture", path(&job), "--view", "plan", "-o", path(&picture), "--replace", "--pass", &raw];
        let (status, said) = run(&args);
        assert!(status == 2 && is_safe(&said), "{name}: {said}");
        let (status, said) = run(&args[..7]);
        assert!(status == 0 && is_safe(&said), "{name}: {said}");
        // A file that the job names like this is not there, and that is said as safely.
        let words = std::fs::read_to_string(&job).expect("read").replace("1.nc", name);
        std::fs::write(&job, words).expect("written");
        let (status, said) = run(&["check", path(&job)]);
        assert!(status == 2 && is_safe(&said) && said.lines().count() == 1, "{name}: {said}");
    }
}

#[test]
fn layers_of_a_drawing_do_nothing_but_be_read() {
    let folder = tempfile::tempdir().expect("a folder");
    let drawing = folder.path().join("a.dxf");
    let layer = "S\u{1b}[2J\u{202e}X";
    let line = |x0: i32, y0: i32, x1: i32, y1: i32| {
        format!("0\nLINE\n8\n{layer}\n10\n{x0}\n20\n{y0}\n11\n{x1}\n21\n{y1}\n")
    };
    let lines = [line(0, 0, 4, 0), line(4, 0, 4, 3), line(4, 3, 0, 0)].concat();
    let words = format!("0\nSECTION\n2\nENTITIES\n{lines}0\nENDSEC\n0\nEOF\n");
    std::fs::write(&drawing, words).expect("written");
    for more in [&[][..], &["--json"], &["--layer", layer], &["--layer", "\u{1b}[2J"]] {
        let (_, said) = run(&[&["drawing", path(&drawing), "--units", "mm"], more].concat());
        assert!(said.contains('\u{fffd}') && is_safe(&said), "{more:?}: {said}");
    }
    assert_eq!(run(&["drawing", path(&drawing), "--units", "mm", "--layer", layer]).0, 0);
}
