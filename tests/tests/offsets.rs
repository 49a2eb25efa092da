//! Rounded outlines with known offsets: leave and cut from the geometry alone.
//!
//! The path of a tool of radius r that leaves a is the outline's offset by r + a; the blank is its offset by the
//! margin. Both are exact lines and arcs, so leave is the allowance and cut the difference at every station.
#![allow(
    clippy::expect_used,
    clippy::print_stdout,
    clippy::allow_attributes,
    reason = "tests say what they stand on and show what they measured"
)]

use std::fmt::Write as _;

use approx::assert_abs_diff_eq;
use blockwright_core::measure::Contact;
use blockwright_tests::{prove, rounded};

/// Round the rectangle with the tool's axis at `off` from it, clockwise, at full double precision.
fn program(width: f64, height: f64, radius: f64, off: f64) -> String {
    let (w, h, r, o) = (width, height, radius, off);
    let corner = r + o;
    let mut text = format!("G0 Z1.\nG0 X{:.15} Y{:.15}\nS1000 M3\nG1 Z-.75 F5.\n", -o, h / 2.0);
    let moves = [
        format!("G1 Y{:.15} F10.", h - r),
        format!("G2 X{r:.15} Y{:.15} R{corner:.15}", h + o),
        format!("G1 X{:.15}", w - r),
        format!("G2 X{:.15} Y{:.15} R{corner:.15}", w + o, h - r),
        format!("G1 Y{r:.15}"),
        format!("G2 X{:.15} Y{:.15} R{corner:.15}", w - r, -o),
        format!("G1 X{r:.15}"),
        format!("G2 X{:.15} Y{r:.15} R{corner:.15}", -o),
        format!("G1 Y{:.15}", h / 2.0 + 0.1),
    ];
    for line in moves {
        let _ = writeln!(text, "{line}");
    }
    text.push_str("G0 Z1.\nM5\nM30\n");
    text
}

fn job(edge: &str, passes: &[(f64, f64)]) -> String {
    let of_pass = |(index, (allowance, _)): (usize, &(f64, f64))| {
        format!(
            r#"{{ "name": "{index}", "program": "{index}.nc", "tool": 1, "allowance": {allowance}, "bottom": -0.75 }}"#
        )
    };
    let passes: Vec<String> = passes.iter().enumerate().map(of_pass).collect();
    format!(
        r#"{{ "schema": "blockwright-job/1", "units": "inch", "outline": {},
        "blank": {{ "edge": {edge}, "top": 0, "thickness": 0.7 }},
        "contact": {{ "light_below": 0.01, "heavy_above": 0.2 }},
        "tools": [ {{ "number": 1, "form": {{ "kind": "flat", "diameter": 0.5 }} }} ],
        "passes": [ {} ] }}"#,
        rounded([3.0, 2.0, 0.4], 0.0, [0.0, 0.0]),
        passes.join(", ")
    )
}

#[test]
fn leave_and_cut_are_those_of_the_geometry_at_every_station() {
    let passes = [(0.062, 0.063), (0.015, 0.047), (0.0, 0.015)];
    let programs: Vec<String> = passes.iter().map(|(a, _)| program(3.0, 2.0, 0.4, 0.25 + a)).collect();
    let programs: Vec<&str> = programs.iter().map(String::as_str).collect();
    let proof = prove(&job(&rounded([3.0, 2.0, 0.4], 0.125, [0.0, 0.0]), &passes), &programs, Some(0.01));
    let mut worst = 0.0_f64;
    for (pass, (allowance, cut)) in passes.iter().enumerate() {
        let along = proof.passes[pass].along_outline.as_ref().expect("measured");
        assert!(along.rows.len() > 1500, "stations all along");
        for row in &along.rows {
            worst = worst.max((row.after - allowance).abs()).max((row.cut - cut).abs());
            assert!(row.by.is_some(), "every face has its motion");
        }
        // Along the path the same thickness, away from the lead-in and the overlap at the end.
        let path = proof.passes[pass].along_path.as_ref().expect("measured");
        let track = &proof.passes[pass].track;
        let (from, to) = (track.length() * 0.45, track.length() * 0.75);
        for row in path.rows.iter().filter(|row| row.distance > from && row.distance < to) {
            assert_abs_diff_eq!(row.cut, *cut, epsilon = 0.000_1);
        }
    }
    println!("worst {worst:e} in");
    assert!(worst < 0.000_1, "asked for: 0.0001 in");
}

#[test]
fn a_thick_cut_keeps_its_thickness_round_the_corners() {
    let text = program(3.0, 2.0, 0.4, 0.25 + 0.015);
    let proof =
        prove(&job(&rounded([3.0, 2.0, 0.4], 0.3, [0.0, 0.0]), &[(0.015, 0.285)]), &[&text], Some(0.01));
    let along = proof.passes[0].along_path.as_ref().expect("measured");
    let length = proof.passes[0].track.length();
    for row in along.rows.iter().filter(|row| row.distance > length * 0.45 && row.distance < length * 0.75) {
        assert_abs_diff_eq!(row.cut, 0.285, epsilon = 0.000_1);
    }
}

#[test]
fn a_notch_in_the_blank_ends_contact_where_the_geometry_says() {
    // The blank's edge at the bottom slants from .2 below the outline at x = 0 to .0 at x = 3: the margin is
    // .2 - x/15, so a pass that leaves .05 loses contact where the margin is under .05: from x = 2.25 on.
    let edge = r#"{ "vertices": [[-0.2, -0.213333333333333333], [3.3, 0.02], [3.3, 2.2], [-0.2, 2.2]] }"#;
    let text = program(3.0, 2.0, 0.4, 0.3);
    let proof = prove(&job(edge, &[(0.05, 0.0)]), &[&text], Some(0.01));
    let along = proof.passes[0].along_outline.as_ref().expect("measured");
    let none: Vec<_> = along.contact.iter().filter(|stretch| stretch.state == Contact::None).collect();
    assert_eq!(none.len(), 1, "{:?}", along.contact);
    // The first vertex is (0.4, 0): station = x - 0.4. The state counts as none below 0.0001 in of thickness.
    assert_abs_diff_eq!(none[0].from, 2.25 - 0.4, epsilon = 0.005);
    let light = along.contact.iter().find(|stretch| stretch.state == Contact::Light).expect("thins out");
    assert_abs_diff_eq!(light.from, 2.1 - 0.4, epsilon = 0.005);
    let total: f64 = along.contact.iter().map(|stretch| stretch.to - stretch.from).sum();
    assert_abs_diff_eq!(total, proof.outline.as_ref().expect("given").length(), epsilon = 1e-9);
}

/// A blank sawn short across its end: what is missing beside the end is the way to the metal that is there, not the
/// way across the whole block, which is all that a line square to the outline meets.
///
/// Outline 4 x 3, blank up to X3.9: short by 0.1 from station 3.9, round the right side, to 4 + 3 + 0.1 (derived).
/// A corner sawn off where the outline begins, through X .8 and Y .8: told as one stretch, that ends before it starts.
#[test]
fn a_blank_short_over_the_first_vertex_is_short_once() {
    let job = r#"{ "schema": "blockwright-job/1", "units": "inch",
        "outline": { "vertices": [[0, 0], [5, 0], [5, 3], [0, 3]] },
        "blank": { "edge": { "vertices": [[1, -0.2], [5.2, -0.2], [5.2, 3.2], [-0.2, 3.2], [-0.2, 1]] },
        "top": 0, "thickness": 1 }, "tools": [], "passes": [] }"#;
    let proof = prove(job, &[], Some(0.05));
    let blank = proof.blank.as_ref().expect("measured");
    let [short] = &blank.short[..] else { unreachable!("one stretch: {:?}", blank.short) };
    assert_abs_diff_eq!(short.from, 15.2, epsilon = 1e-3);
    assert_abs_diff_eq!(short.to, 0.8, epsilon = 1e-3);
    let told: Vec<&str> = proof
        .findings
        .iter()
        .filter(|finding| finding.code == blockwright_core::finding::Code::BlankShort)
        .map(|finding| finding.message.as_str())
        .collect();
    assert!(
        matches!(told[..], [one] if one.contains("for 1.600 in from station 15.200 to .800")),
        "{told:?}"
    );
}

#[test]
fn a_blank_sawn_short_across_its_end_is_short_by_what_is_missing() {
    for (right, lean, most) in [(3.9, 0.0, 0.1), (3.9, 0.002, 0.1), (3.0, 0.0, 1.0)] {
        let job = format!(
            r#"{{ "schema": "blockwright-job/1", "units": "inch",
            "outline": {{ "vertices": [[0, 0], [4, 0], [4, 3], [0, 3]] }},
            "blank": {{ "edge": {{ "vertices": [[-0.2, -0.2], [{}, -0.2], [{}, 3.2], [-0.2, 3.2]] }},
            "top": 0, "thickness": 1 }}, "tools": [], "passes": [] }}"#,
            right + 0.2 * lean,
            right - 3.2 * lean
        );
        let blank = prove(&job, &[], Some(0.05)).blank.expect("measured");
        let [short] = &blank.short[..] else { unreachable!("one stretch: {:?}", blank.short) };
        // The end leans by `lean` in a unit of height; the most is missing at the far corner, square to the end.
        let most = (most + 3.0 * lean) / 1.0_f64.hypot(lean);
        assert_abs_diff_eq!(short.most, most, epsilon = 1e-4);
        assert_abs_diff_eq!(blank.least_margin, -most, epsilon = 1e-4);
        assert_abs_diff_eq!(short.from, right, epsilon = 1e-3);
        assert_abs_diff_eq!(short.to, 4.0 + 3.0 + (4.0 - right) + 3.0 * lean, epsilon = 1e-3);
    }
}

/// A triangle whose corners are acute: the line square to either side leaves the outline at the tip of a corner, so what
/// is cut beyond it is not inside. A tool of .5 rounds each corner at its own radius, so the leave is 0 everywhere.
#[test]
fn an_acute_corner_is_not_cut_past() {
    let corners: [[f64; 2]; 3] = [[0.0, 0.0], [4.0, 0.0], [1.0, 3.5]];
    let mut program = "S1000 M3\nG0 Z1.\n".to_owned();
    let mut order = Vec::new();
    for index in 0..3 {
        // Counter-clockwise outside each side, round each corner.
        let ([a, b], [c, d]) = (corners[index], corners[(index + 1) % 3]);
        let length = (c - a).hypot(d - b);
        let out = [(d - b) / length * 0.25, -(c - a) / length * 0.25];
        order.push(([a + out[0], b + out[1]], [c + out[0], d + out[1]]));
    }
    for (index, (from, to)) in order.iter().chain(&order[..1]).enumerate() {
        let start = if index == 0 {
            format!("G0 X{:.15} Y-1.\nG1 Z-.75 F5.\nX{:.15} Y{:.15} F10.", from[0], from[0], from[1])
        } else {
            format!("G3 X{:.15} Y{:.15} R.25", from[0], from[1])
        };
        let _ = writeln!(program, "{start}\nG1 X{:.15} Y{:.15}", to[0], to[1]);
    }
    program.push_str("Y-1.\nG0 Z1.\nM30\n");
    let job = r#"{ "schema": "blockwright-job/1", "units": "inch",
        "outline": { "vertices": [[0, 0], [4, 0], [1, 3.5]] },
        "blank": { "edge": { "vertices": [[-0.6, -0.2], [4.6, -0.2], [1, 4.1]] }, "top": 0, "thickness": 0.7 },
        "tools": [{ "number": 1, "form": { "kind": "flat", "diameter": 0.5 } }],
        "passes": [{ "name": "a", "program": "1.nc", "tool": 1, "allowance": 0, "zero": [0, 0, 0] }] }"#;
    let proof = prove(job, &[&program], Some(0.01));
    let along = proof.passes[0].along_outline.as_ref().expect("held against the outline");
    assert_eq!(along.past, None, "{:?}", proof.findings);
    assert_abs_diff_eq!(along.leave.least, 0.0, epsilon = 0.000_1);
    assert_abs_diff_eq!(along.leave.most, 0.0, epsilon = 0.000_1);
}

/// The outline itself, cut with G41 and D: square onto a side, and into an inner corner, as shops post it. The centre's
/// way is that of a program posted for it, 1/4 in off the sides, and it turns at (1.25, 1.25).
#[test]
fn an_outline_programmed_with_compensation_is_cut_as_one_posted_for_the_centre() {
    let job = r#"{ "schema": "blockwright-job/1", "units": "inch",
      "outline": { "vertices": [[0,0],[3,0],[3,1],[1,1],[1,2],[0,2]] },
      "blank": { "edge": { "vertices": [[-0.05,-0.05],[3.05,-0.05],[3.05,2.05],[-0.05,2.05]] }, "top": 0, "thickness": 0.5 },
      "contact": { "light_below": 0.01, "heavy_above": 2 }, "control": { "diameter_offsets": [[1, 0.5]] },
      "tools": [ { "number": 1, "form": { "kind": "flat", "diameter": 0.5 } } ],
      "passes": [ { "name": "Finish", "program": "1.nc", "tool": 1, "allowance": 0 } ] }"#;
    let wrapped = |moves: &str| {
        format!(
            "%\nO1\nG20 G17 G90 G54 G94\nT1 M6\nS2000 M3\nG0 Z1.\nG0 X-1. Y.5\nG0 Z.1\nG1 Z-.52 F5.\n{moves}\nG0 Z1.\nM5\nM30\n%\n"
        )
    };
    let beside = wrapped("G41 D1 G1 X0. Y.5 F10.\nY2.\nX1.\nY1.\nX3.\nY0.\nX0.\nY.6\nG40 G1 X-1.");
    let posted = wrapped(
        "G1 X-.25 F10.\nY2.\nG2 X0. Y2.25 R.25\nG1 X1.\nG2 X1.25 Y2. R.25\nG1 Y1.25\nX3.\nG2 X3.25 Y1. R.25\nG1 Y0.\n\
         G2 X3. Y-.25 R.25\nG1 X0.\nG2 X-.25 Y0. R.25\nG1 Y.6\nX-1.",
    );
    let [beside, posted] = [beside, posted].map(|program| prove(job, &[&program], Some(0.05)));
    let told = |proof: &blockwright_core::proof::Proof| {
        let codes = proof.findings.iter().filter(|finding| finding.code.text() != "usual-reading");
        codes.map(|finding| (finding.code.text(), finding.severity)).collect::<Vec<_>>()
    };
    assert_eq!(told(&beside), told(&posted), "{:?}", beside.findings);
    let count = beside.findings.iter().filter(|finding| finding.code.text() == "usual-reading").count();
    assert_eq!(count, 1, "the inner corner is said to be followed as most controls do");
    let leave = |proof: &blockwright_core::proof::Proof| {
        let along = proof.passes[0].along_outline.as_ref().expect("measures along the outline").leave;
        [along.least, along.most, along.most_at]
    };
    for (a, b) in leave(&beside).into_iter().zip(leave(&posted)) {
        assert_abs_diff_eq!(a, b, epsilon = 1e-9);
    }
    // Nothing is left but in the corner.
    assert_abs_diff_eq!(leave(&beside)[1], 0.25 * (2.0_f64.sqrt() - 1.0), epsilon = 1e-6);
}
