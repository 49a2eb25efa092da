//! What is taken of other people's files: each limit with its message just beyond it, and the reference's table of limits.

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "the helpers of a test may fail it")]

use blockwright_core::bring_in;
use blockwright_core::job;
use blockwright_core::limits::{
    CALL_DEPTH, CALLED_LINES, CELLS, CLAMP_AREAS, DRAWING_BYTES, DRAWING_DEPTH, DRAWING_PIECES,
    DRAWING_PLACINGS, JOB_BYTES, JOB_DEPTH, JOB_MOTIONS, MEASURED, MOTIONS, PASSES, POINT_LINE,
    PROGRAM_BYTES, PROGRAM_LINE, PROGRAM_LINES, SEEN, SILHOUETTE_POINTS, SVG_ATTRIBUTES, TOOLS, VERTICES,
    WALLS,
};
use blockwright_core::program::{Settings, read};
use blockwright_core::prover::ProveError;
use blockwright_core::task::{Cancel, Task};
use blockwright_core::units::Units;
use blockwright_tests::try_prove;

/// The programs that call each other so many times: 100 million lines from a dozen.
const NESTED: &str =
    "%\nO1\nG20 G90\nG0 X0 Y0 Z1.\nM98 P2 L9999\nM30\nO2\nM98 P3 L9999\nM99\nO3\nG1 X1. F10.\nX0\nM99\n%\n";

const JOB: &str = r#"{ "schema": "blockwright-job/1", "units": "inch", "control": { "subprograms": "count_in_l" },
    "tools": [{ "number": 1, "form": { "kind": "flat", "diameter": 0.5 } }],
    "passes": [{ "name": "a", "program": "1.nc", "tool": 1, "zero": [0, 0, 0] },
               { "name": "b", "program": "2.nc", "tool": 1, "zero": [0, 0, 0] }] }"#;

fn drawing(name: &str, bytes: &[u8]) -> String {
    bring_in::open(name, bytes).map_or_else(|fault| fault.to_string(), |_| String::new())
}

#[test]
fn repeats_without_end_are_cut_off_and_said_to_be() {
    let job = job::read(JOB.as_bytes()).expect("a job");
    let settings = Settings::for_job(Units::Inch, job.control.as_ref());
    let program = read(NESTED.as_bytes(), &settings, Task::quiet(&Cancel::new())).expect("nobody cancels");
    assert_eq!(program.motions.len(), MOTIONS);
    let told = program
        .findings
        .iter()
        .any(|finding| finding.message.contains(&format!("has made {MOTIONS} motions")));
    assert!(told && program.unproven);
    let Err(ProveError::Unusable(message)) = try_prove(JOB, &[NESTED, NESTED], None) else {
        unreachable!("{JOB_MOTIONS} motions are the most of a job")
    };
    assert!(message.contains(&format!("more than {JOB_MOTIONS} motions by pass 2")), "{message}");
}

#[test]
fn a_line_of_points_without_end_is_no_list() {
    let line = |length: usize| format!("x,y,z\n0,0,{0}\n4,0,{0}\n4,3,{0}\n", "1".repeat(length - 4));
    assert_eq!(drawing("a.csv", line(POINT_LINE).as_bytes()), "");
    let told = drawing("a.csv", line(POINT_LINE + 1).as_bytes());
    assert!(told.contains("line 2") && told.contains(&POINT_LINE.to_string()), "{told}");
}

#[test]
fn an_element_has_only_so_many_attributes() {
    let page = |count: usize, before: &str| {
        let attributes = (1..count).fold(String::new(), |text, index| text + &format!(" a{index}='>'"));
        format!("<svg xmlns=\"http://www.w3.org/2000/svg\">{before}<path d=\"M0 0h4v3z\"{attributes}/></svg>")
    };
    assert_eq!(drawing("a.svg", page(SVG_ATTRIBUTES, "").as_bytes()), "");
    // What is no element counts for nothing.
    let beside = format!("<!--{0}-->\n<style><![CDATA[{0}]]></style>", "'".repeat(4 * SVG_ATTRIBUTES + 1));
    assert_eq!(drawing("a.svg", page(SVG_ATTRIBUTES, &beside).as_bytes()), "");
    let told = drawing("a.svg", page(SVG_ATTRIBUTES + 1, &beside).as_bytes());
    assert!(
        told.contains(&format!("more than {SVG_ATTRIBUTES} attributes")) && told.contains("line 2"),
        "{told}"
    );
    let endless = "<svg a=\"".repeat(3);
    assert!(!drawing("a.svg", endless.as_bytes()).is_empty());
}

#[test]
fn nesting_ends_somewhere() {
    let nested = |depth: usize| "[".repeat(depth) + &"]".repeat(depth);
    let text = |depth: usize| JOB.replacen("\"inch\"", &format!("\"inch\", \"blank\": {}", nested(depth)), 1);
    let told = |depth: usize| job::read(text(depth).as_bytes()).expect_err("no blank").to_string();
    assert!(told(JOB_DEPTH + 1).contains(&format!("more than {JOB_DEPTH} deep")), "{}", told(JOB_DEPTH + 1));
    assert!(!told(JOB_DEPTH - 1).contains("deep"));
    let groups = |depth: usize| {
        let (open, close) = ("<g>".repeat(depth), "</g>".repeat(depth));
        format!("<svg xmlns=\"http://www.w3.org/2000/svg\">{open}<path d=\"M0 0h4v3z\"/>{close}</svg>")
    };
    assert_eq!(drawing("a.svg", groups(DRAWING_DEPTH - 1).as_bytes()), "");
    let told = drawing("a.svg", groups(DRAWING_DEPTH + 2).as_bytes());
    assert!(told.contains(&format!("more than {DRAWING_DEPTH} deep")), "{told}");
}

/// The reference states every limit with its number.
#[test]
fn the_reference_states_the_limits() {
    let reference = include_str!("../../assets/reference.md");
    let rows = [
        ("job file or crib", format!("{} MiB", JOB_BYTES >> 20)),
        ("lists within lists in a job file", JOB_DEPTH.to_string()),
        ("passes, tools, clamp areas of a job", grouped(PASSES)),
        ("stations marked for the record", WALLS.to_string()),
        ("values measured after a pass", grouped(MEASURED)),
        ("findings of a job ticked as seen", grouped(SEEN)),
        ("points of a silhouette", grouped(SILHOUETTE_POINTS)),
        ("vertices of an outline or edge", grouped(VERTICES)),
        ("program file", format!("{} MiB", PROGRAM_BYTES >> 20)),
        ("lines of a program", grouped(PROGRAM_LINES)),
        ("characters of a program line", grouped(PROGRAM_LINE)),
        ("motions and dwells of a program", grouped(MOTIONS)),
        ("motions of a job", grouped(JOB_MOTIONS)),
        ("lines run by calls", grouped(CALLED_LINES)),
        ("calls within calls", CALL_DEPTH.to_string()),
        ("drawing or list of points", format!("{} MiB", DRAWING_BYTES >> 20)),
        ("lines and arcs of a drawing", grouped(DRAWING_PIECES)),
        ("blocks or groups within each other", DRAWING_DEPTH.to_string()),
        ("placings of blocks", grouped(DRAWING_PLACINGS)),
        ("characters of a line of points", grouped(POINT_LINE)),
        ("attributes of an SVG element", SVG_ATTRIBUTES.to_string()),
        ("cells of the block's model", grouped(CELLS as usize)),
    ];
    const { assert!(PASSES == TOOLS && PASSES == CLAMP_AREAS, "one row for the three") }
    for (what, most) in rows {
        let row = format!("| {what} | {most} |");
        assert!(reference.contains(&row), "the reference lacks: {row}");
    }
}

/// A whole number as the reference writes it, in groups of three digits.
fn grouped(number: usize) -> String {
    let digits = number.to_string();
    let mut text = String::new();
    for (index, digit) in digits.chars().enumerate() {
        if index > 0 && (digits.len() - index).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}
