//! What is told along the outline: next to sharp corners and in a notch, where a pass is not cut to depth, and where it is
//! on its way. Each case with its like at the border.
#![allow(
    clippy::expect_used,
    clippy::allow_attributes,
    reason = "tests say what they stand on and show what they measured"
)]

use std::fmt::Write as _;

use approx::assert_abs_diff_eq;
use blockwright_core::finding::{Code, Finding};
use blockwright_core::measure::Contact;
use blockwright_core::proof::Proof;
use blockwright_tests::prove;

/// The outline 2 x 1 in, the blank .1 larger all round and .5 thick; everything times `scale`.
fn job(units: &str, scale: f64, passes: &str) -> String {
    let v = |x: f64, y: f64| format!("[{}, {}]", x * scale, y * scale);
    let square = |l: f64, r: f64, t: f64| [v(l, l), v(r, l), v(r, t), v(l, t)].join(", ");
    format!(
        r#"{{ "schema": "blockwright-job/1", "units": "{units}",
        "outline": {{ "vertices": [{}] }}, "blank": {{ "edge": {{ "vertices": [{}] }}, "top": 0, "thickness": {} }},
        "tools": [ {{ "number": 1, "form": {{ "kind": "flat", "diameter": {} }} }},
        {{ "number": 2, "form": {{ "kind": "bull", "diameter": {}, "corner_radius": {} }} }} ],
        "passes": [ {passes} ] }}"#,
        square(0.0, 2.0, 1.0),
        square(-0.1, 2.1, 1.1),
        0.5 * scale,
        0.5 * scale,
        0.5 * scale,
        0.1 * scale
    )
}

fn pass(number: u32, tool: u32, more: &str) -> String {
    format!(r#"{{ "name": "{number}", "program": "{number}.nc", "tool": {tool}{more} }}"#)
}

/// Round the outline with the axis `off` from it: the left side's upper half, then the others, each to a depth of its own,
/// then the left side's lower half to the last.
fn round(off: f64, depths: [f64; 5], scale: f64) -> String {
    let [z, top, right, bottom, last] = depths.map(|z| z * scale);
    let o = off * scale;
    let (w, h) = (2.0 * scale, scale);
    let mut text = format!("G90\nS1000 M3\nG0 Z{}\nG0 X{} Y{}\n", 1.0 * scale, -0.8 * scale, 0.5 * scale);
    let _ = write!(
        text,
        "G1 Z{z} F10.\nG1 X{}\nG1 Y{h}\nG1 Z{top}\nG2 X0 Y{} I{o} J0\nG1 X{w}\nG1 Z{right}\nG2 X{} Y{h} I0 J{}\nG1 Y0\n\
         G1 Z{bottom}\nG2 X{w} Y{} I{} J0\nG1 X0\nG1 Z{last}\nG2 X{} Y0 I0 J{o}\nG1 Y{}\nG1 X{}\nG0 Z{scale}\nM5\nM30\n",
        -o,
        h + o,
        w + o,
        -o,
        -o,
        -o,
        -o,
        0.5 * scale,
        -0.8 * scale
    );
    text
}

fn found(proof: &Proof, code: Code) -> Vec<&Finding> {
    proof.findings.iter().filter(|finding| finding.code == code).collect()
}

/// Off by .02 all round: at a sharp corner the line runs along the other side's cut for its whole length, but the nearest
/// metal is at (.02, .02), .0283 away (plane geometry).
#[test]
fn off_by_a_little_at_a_sharp_corner_is_off_by_a_little() {
    for (units, scale) in [("inch", 1.0), ("mm", 25.4)] {
        let program = round(0.23, [-0.5; 5], scale);
        for (allowance, told) in [(0.0, true), (-0.02, false)] {
            let held = pass(1, 1, &format!(", \"allowance\": {}", allowance * scale));
            let proof = prove(&job(units, scale, &held), &[&program], Some(0.02 * scale));
            let along = proof.passes[0].along_outline.as_deref().expect("measured");
            assert_abs_diff_eq!(along.leave.least / scale, -0.02 * 2.0_f64.sqrt(), epsilon = 1e-5);
            assert_abs_diff_eq!(along.leave.most / scale, -0.02, epsilon = 1e-5);
            let station = along.leave.least_at / scale;
            let corner = [0.0, 2.0, 3.0, 5.0, 6.0].map(|corner: f64| (corner - station).abs()).into_iter();
            assert!(corner.fold(9.0, f64::min) < 1e-4, "{station}");
            // The cut is .12, at the corners from (.02, .02) to the nearest edge at .1.
            assert_abs_diff_eq!(along.cut.most / scale, 0.1 + 0.02 * 2.0_f64.sqrt(), epsilon = 1e-4);
            assert_abs_diff_eq!(along.cut.least / scale, 0.12, epsilon = 1e-4);
            assert_eq!(!found(&proof, Code::LeaveOffAllowance).is_empty(), told, "{:?}", proof.findings);
        }
    }
}

/// A notch of 60 degrees in an outline, the blank .3 larger all round: its notch begins .3 / sin 30 = .6 farther out. The
/// margin is .3, also where the line from one flank runs out through the other (plane geometry).
#[test]
fn a_notch_has_the_margin_that_it_has() {
    let tan = 30_f64.to_radians().tan();
    for (units, scale) in [("inch", 1.0), ("mm", 25.4)] {
        let path = |points: &[[f64; 2]]| {
            let texts: Vec<String> =
                points.iter().map(|p| format!("[{}, {}]", p[0] * scale, p[1] * scale)).collect();
            texts.join(", ")
        };
        let outline = path(&[
            [0.0, 0.0],
            [4.0, 0.0],
            [4.0, 3.0],
            [2.0 + tan, 3.0],
            [2.0, 2.0],
            [2.0 - tan, 3.0],
            [0.0, 3.0],
        ]);
        let across = 0.7 * tan;
        let edge = path(&[
            [-0.3, -0.3],
            [4.3, -0.3],
            [4.3, 3.3],
            [2.0 + across, 3.3],
            [2.0, 2.6],
            [2.0 - across, 3.3],
            [-0.3, 3.3],
        ]);
        let text = format!(
            r#"{{ "schema": "blockwright-job/1", "units": "{units}", "outline": {{ "vertices": [{outline}] }},
            "blank": {{ "edge": {{ "vertices": [{edge}] }}, "top": 0, "thickness": {scale} }}, "tools": [], "passes": [] }}"#
        );
        let blank = prove(&text, &[], Some(0.05 * scale)).blank.expect("measured");
        assert_abs_diff_eq!(blank.least_margin / scale, 0.3, epsilon = 1e-4);
        assert!(blank.short.is_empty(), "{:?}", blank.short);
    }
}

/// A notch of 60 degrees. From its right flank the line runs out through the left one, through the block and out at its
/// upper left corner, where a feed takes metal: the flank has no contact of that, as nothing is taken between it and the
/// other flank (plane geometry).
#[test]
fn what_is_taken_past_the_other_flank_of_a_notch_is_no_contact_of_this_one() {
    let tan = 30_f64.to_radians().tan();
    let text = format!(
        r#"{{ "schema": "blockwright-job/1", "units": "inch",
        "outline": {{ "vertices": [[0, 0], [4, 0], [4, 3], [{}, 3], [2, 2], [{}, 3], [0, 3]] }},
        "blank": {{ "edge": {{ "vertices": [[-0.3, -0.3], [4.3, -0.3], [4.3, 5], [-0.3, 5]] }}, "top": 0,
        "thickness": 0.5 }},
        "tools": [ {{ "number": 1, "form": {{ "kind": "flat", "diameter": 0.5 }} }} ], "passes": [ {} ] }}"#,
        2.0 + tan,
        2.0 - tan,
        pass(1, 1, HELD)
    );
    let program = "S1000 M3\nG0 Z1.\nG0 X-0.5 Y2.4\nG1 Z-0.5 F5.\nG1 X1.6 Y3.6\nG0 Z1.\nM5\nM30\n";
    let proof = prove(&text, &[program], Some(0.05));
    let along = proof.passes[0].along_outline.as_deref().expect("measured");
    let flank = 1.0_f64.hypot(tan);
    // From its upper half the line passes over the other flank, and what is taken is this one's.
    let (middle, lower) = (4.0 + 3.0 + (2.0 - tan) + flank / 2.0, 4.0 + 3.0 + (2.0 - tan) + flank);
    let on_flank = along.contact.iter().filter(|s| s.from < lower - 1e-3 && s.to > middle + 1e-3);
    let states: Vec<_> = on_flank.map(|stretch| stretch.state).collect();
    assert!(
        !states.is_empty() && states.iter().all(|state| matches!(state, Contact::None | Contact::Approach)),
        "{states:?}"
    );
    assert!(along.cut.most > 0.2, "the feed takes the corner: {:?}", along.cut);
}

const HELD: &str = r#", "allowance": 0, "bottom": -0.5"#;

#[test]
fn sides_that_are_not_cut_to_depth_are_told() {
    let of = |depths: [f64; 5]| {
        prove(&job("inch", 1.0, &pass(1, 1, HELD)), &[&round(0.25, depths, 1.0)], Some(0.02))
    };
    let not_to_depth = |depths| found(&of(depths), Code::NotToDepth).into_iter().cloned().collect::<Vec<_>>();
    assert_eq!(not_to_depth([-0.5; 5]), []);
    // Three sides at -.3, and the lower half of the fourth: told once over the first vertex, 5.5 in all but the tool's
    // own radius at the ends.
    let three = not_to_depth([-0.5, -0.3, -0.3, -0.3, -0.3]);
    assert_eq!(three.len(), 1, "{three:?}");
    assert!(three[0].message.contains("up to .2000 in above the lowest Z meant"), "{}", three[0].message);
    let station = three[0].station.expect("a station");
    assert!((station - 2.5).abs() < 0.6, "the middle of 5.5 in that begin at 1.0 from the end: {station}");
    assert!(three[0].line.is_some());
    // It is told where it stays highest.
    let highest = not_to_depth([-0.5, -0.2, -0.3, -0.3, -0.3]);
    assert_eq!(highest.len(), 1, "{highest:?}");
    assert!(highest[0].message.contains("up to .3000 in above the lowest Z meant"), "{}", highest[0].message);
    let other = highest[0].station.expect("a station");
    assert!((other - station).abs() > 1.0, "on the first side, not in the middle of all: {other}");
    // One side, just inside and just outside the tolerance of depth.
    assert_eq!(not_to_depth([-0.5, -0.5, -0.4996, -0.5, -0.5]), []);
    let one = not_to_depth([-0.5, -0.5, -0.4994, -0.5, -0.5]);
    assert_eq!(one.len(), 1, "{one:?}");
    assert!((one[0].station.expect("a station") - 2.5).abs() < 0.1, "{:?}", one[0]);
    // A whole pass that stays above is told once, as before.
    assert_eq!(not_to_depth([-0.3; 5]).len(), 1);
}

#[test]
fn metal_that_an_earlier_pass_took_is_not_missing_and_a_round_corner_is_not_metal_left() {
    let both = [pass(1, 1, HELD), pass(2, 1, HELD)].join(", ");
    let (whole, part) = (round(0.25, [-0.5; 5], 1.0), round(0.25, [-0.5, -0.3, -0.3, -0.3, -0.3], 1.0));
    let proof = prove(&job("inch", 1.0, &both), &[&whole, &part], Some(0.02));
    assert_eq!(found(&proof, Code::NotToDepth).len(), 0, "{:?}", proof.findings);
    // The bull nose leaves its fillet, and a level above the last is no fault.
    let bull = pass(1, 2, HELD);
    let levels = round(0.25, [-0.2; 5], 1.0).replace("M5\nM30\n", "") + &round(0.25, [-0.5; 5], 1.0);
    let proof = prove(&job("inch", 1.0, &bull), &[&levels], Some(0.02));
    assert_eq!(found(&proof, Code::NotToDepth).len(), 0, "{:?}", proof.findings);
}

/// The feed goes .54 in from X-.8 to the wall, in air up to X-.35 where the tool touches the blank: .45; the plunge before
/// it is 1.5 long. Back out it goes .54 through its own cut. The rest is cut.
#[test]
fn lead_in_and_lead_out_are_approach_and_not_missing_contact() {
    let proof = prove(&job("inch", 1.0, &pass(1, 1, HELD)), &[&round(0.26, [-0.5; 5], 1.0)], Some(0.02));
    let along = proof.passes[0].along_path.as_deref().expect("measured");
    assert_eq!(along.none, []);
    let length: f64 = along.approach.iter().map(|(from, to)| to - from).sum();
    assert!((length - (1.5 + 0.45 + 0.54)).abs() < 0.3, "{:?}", along.approach);
    assert!(along.approach.iter().any(|(from, to)| *from < 3.0 && to - from > 1.9), "{:?}", along.approach);
}

/// The second pass goes along the upper side alone, where the first has left nothing: none there, approach elsewhere.
#[test]
fn along_the_outline_none_is_only_where_the_pass_was_meant_to_cut() {
    let both = [pass(1, 1, HELD), pass(2, 1, HELD)].join(", ");
    let top = "G90\nS1000 M3\nG0 Z1\nG0 X-.8 Y1.25\nG1 Z-.5 F10.\nG1 X2.8\nG0 Z1\nM5\nM30\n";
    let proof = prove(&job("inch", 1.0, &both), &[&round(0.25, [-0.5; 5], 1.0), top], Some(0.02));
    let along = proof.passes[1].along_outline.as_deref().expect("measured");
    let length = |state| proof.passes[1].contact_length(state).expect("measured");
    assert_abs_diff_eq!(length(Contact::None), 2.0, epsilon = 0.3);
    assert_abs_diff_eq!(length(Contact::Approach), 4.0, epsilon = 0.3);
    let none = along.contact.iter().find(|stretch| stretch.state == Contact::None).expect("none");
    assert!(none.from > 2.8 && none.to < 5.2, "{:?}", along.contact);
}
