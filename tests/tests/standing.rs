//! Metal that stands out from the wall at another height than that at which stock left is measured, tops that are not
//! faced all over, and rapids that go down before X and Y are said.
#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

use std::sync::Arc;

use blockwright_core::finding::{Code, Severity};
use blockwright_core::proof::Source;
use blockwright_core::tool::Form;
use blockwright_tests::changed::{found, of_job, of_program};
use blockwright_tests::sample;

/// Two roughing passes that leave .062 and .015, and a finish profile, each to Z -.77 of a block .75 thick.
const PUCK: &str = "round-puck";

#[test]
fn a_foot_below_a_finish_that_does_not_go_down_all_the_way_is_told() {
    let source = sample(PUCK);
    assert!(found(&source, Code::MetalLeft).is_empty());
    // The tip of the finish comes to Z -.77 + .02 and .1: .02 still goes to the bottom face.
    for (up, foot) in [(0.02, None), (0.1, Some(0.015)), (0.3, Some(0.015))] {
        let raised = of_job(&source, |job| job.passes[2].zero.origin[2] += up);
        let left = found(&raised, Code::MetalLeft);
        assert_eq!(left.len(), usize::from(foot.is_some()), "{up}: {left:?}");
        for (finding, foot) in left.iter().zip(foot) {
            assert!((finding.amount.expect("an amount") - foot).abs() < 1e-4, "{up}: {finding:?}");
            let z = finding.at.expect("a place").z;
            assert!(z < -0.77 + up && z > -0.751, "{up}: at Z {z}");
        }
    }
}

/// A roughing pass by itself is held to what it is meant to leave.
#[test]
fn what_the_last_pass_is_meant_to_leave_is_no_foot() {
    let rough = of_job(&sample(PUCK), |job| job.passes.truncate(1));
    let rough = Source { programs: rough.programs[..1].to_vec(), ..rough };
    assert!(found(&rough, Code::MetalLeft).is_empty());
}

/// A cutter with draft leaves the wall farther out lower down, and is meant to.
#[test]
fn draft_is_no_foot() {
    let source = of_job(&sample(PUCK), |job| {
        let tool = job.passes[2].tool;
        let form =
            job.tools.iter_mut().find(|own| own.number == tool).map(|own| &mut own.form).expect("the tool");
        // half of .5 at the gauge height, .395 above the tip
        let lean = 2.0_f64.to_radians().tan();
        let radius = |above: f64| 0.25 + (above - 0.395) * lean;
        *form = Form::Silhouette { points: vec![[radius(0.0), 0.0], [radius(1.2), 1.2]] };
    });
    assert!(found(&source, Code::MetalLeft).is_empty());
    let raised = of_job(&source, |job| job.passes[2].zero.origin[2] += 0.3);
    assert!(found(&raised, Code::MetalLeft).is_empty(), "not judged");
}

#[test]
fn a_rapid_down_before_x_and_y_are_said_stops() {
    let source = sample(PUCK);
    let stops = |source: &Source| {
        let all = found(source, Code::UnprovenState);
        all.into_iter().filter(|finding| finding.severity == Severity::Stop).collect::<Vec<_>>()
    };
    for (first, low) in [("G0 Z2.", false), ("G0 Z.05", false), ("G0 Z-.01", true), ("G0 Z-.77", true)] {
        let changed = of_program(&source, 2, "N40 G0 Z2.", &format!("N40 {first}"));
        let stops = stops(&changed);
        assert_eq!(stops.len(), usize::from(low), "{first}: {stops:?}");
        assert!(stops.iter().all(|stop| stop.pass == Some(2) && stop.line == Some(10)), "{first}: {stops:?}");
    }
}

/// The program of a pass ends after a block number: the tool goes up from there.
fn ends_after(source: &Source, pass: usize, number: &str) -> Source {
    let text = String::from_utf8(source.programs[pass].to_vec()).expect("text");
    let at = text.find(number).expect("the block");
    let end = at + text[at..].find('\n').expect("an end");
    let mut programs = source.programs.clone();
    programs[pass] = Arc::from(format!("{}\nG0 Z2.\nM5\nM30\n%\n", &text[..end].trim_end()).into_bytes());
    Source { programs, ..source.clone() }
}

/// The bracket shoe's passes 4 and 5 take its edge off and undercut it all round.
#[test]
fn an_edge_or_an_undercut_left_out_on_a_part_of_the_outline_is_told() {
    let source = sample("bracket-shoe");
    assert!(found(&source, Code::NoContact).is_empty());
    for pass in [3, 4] {
        let short = ends_after(&source, pass, "N160");
        let told = found(&short, Code::NoContact);
        assert_eq!(told.len(), 1, "{told:?}");
        assert_eq!(told[0].pass, Some(pass));
        assert!(told[0].amount.is_some_and(|length| length > 3.0 && length < 4.0), "{told:?}");
    }
    // Stepped out over .6 on the lower side: the rounding, .34375 wide where it is widest and .25 from the line, is left out
    // along .6 - 2 sqrt(.34375^2 - .25^2) = .128 (derived), and nearly so a little farther.
    let out = of_program(&source, 3, "N190 ", "G1 X2.\r\nY-.45\r\nX1.4\r\nY-.25\r\nN190 ");
    let told = found(&out, Code::NoContact);
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told[0].amount.is_some_and(|length| length > 0.128 && length < 0.15), "{told:?}");
    // One side alone is most often meant.
    assert!(found(&ends_after(&source, 3, "N110"), Code::NoContact).is_empty());
}

/// The bezel is faced in rows; its top stands .030 above.
#[test]
fn a_top_that_is_not_faced_all_over_is_told() {
    let source = sample("signal-lamp-bezel");
    let left = |source: &Source| found(source, Code::MetalLeft);
    assert!(left(&source).is_empty());
    let told = left(&ends_after(&source, 3, "N100"));
    assert_eq!(told.len(), 1, "{told:?}");
    assert_eq!(told[0].pass, Some(3));
    assert!((told[0].amount.expect("an amount") - 0.03).abs() < 1e-4, "{told:?}");
}

/// The bracket shoe's last undercut leaves a land of .1005 to .1015 under its rounding; up to .010 more than is wanted may
/// be.
#[test]
fn a_land_that_comes_out_too_wide_is_told() {
    let source = sample("bracket-shoe");
    for (wanted, over) in [(0.1, None), (0.092, None), (0.091, Some(0.010_53)), (0.03, Some(0.071_53))] {
        let wide = found(&of_job(&source, |job| job.land = Some(wanted)), Code::MetalLeft);
        assert_eq!(wide.len(), usize::from(over.is_some()), "{wanted}: {wide:?}");
        for (finding, over) in wide.iter().zip(over) {
            assert!((finding.amount.expect("an amount") - over).abs() < 2e-5, "{wanted}: {finding:?}");
            assert_eq!((finding.pass, finding.severity), (Some(4), Severity::Look));
        }
    }
}

/// A way over the top that takes .0009 of it, after the profile has gone to depth: the profile is to depth all the same, and
/// what is thick of it is told on its own line.
#[test]
fn a_heavy_cut_is_told_on_the_line_that_takes_it() {
    let drag = "G0 Z.1\r\nX-.8 Y1.\r\nG1 Z-.0009 F10.\r\nX3.8\r\nG0 Z2.\r\nN220 ";
    let source = of_program(&sample(PUCK), 2, "N220 ", drag);
    let text = String::from_utf8_lossy(&source.programs[2]).into_owned();
    let line = text.lines().position(|line| line == "X3.8").expect("the drag") as u32 + 1;
    let heavy = found(&source, Code::HeavyCut);
    assert!(!heavy.is_empty() && heavy.iter().all(|finding| finding.line == Some(line)), "{line}: {heavy:?}");
    assert!(found(&source, Code::NotToDepth).is_empty());
}

/// Lifted by .17 and back over .16 on a straight side: half way the cutter is off the wall's foot along g, and leaves a cusp
/// of .25 - sqrt(.25^2 - (g / 2)^2) there (derived), wherever along the outline that is.
#[test]
fn a_short_foot_is_found_wherever_it_is_and_told_at_its_most() {
    // The ramp is below -.75 for the first and the last .02 / .17 of the way.
    let half = 0.08 * (1.0 - 0.02 / 0.17);
    let want = 0.25 - (0.25_f64.powi(2) - half * half).sqrt();
    for x in [0.9, 1.0, 1.13, 1.3, 1.47, 1.71] {
        let lift = format!("X{:.4}\r\nX{:.4} Z-.6\r\nX{:.4} Z-.77\r\nX2.5", x - 0.08, x, x + 0.08);
        let source = of_program(&sample(PUCK), 2, "X2.5\r\n", &format!("{lift}\r\n"));
        let left = found(&source, Code::MetalLeft);
        assert_eq!(left.len(), 1, "{x}: {left:?}");
        let most = left[0].amount.expect("an amount");
        assert!((most - want).abs() < 3e-4, "{x}: {most} for {want}");
    }
}

/// The finish takes .0150 all round; limits of the same figure are kept.
#[test]
fn a_cut_as_thick_as_its_limit_is_within_it() {
    let source = sample(PUCK);
    let codes = [Code::LightCut, Code::HeavyCut, Code::NotNeeded];
    let told = |light: f64, heavy: f64| {
        let limited = of_job(&source, |job| {
            let limits = job.contact.as_mut().expect("limits");
            (limits.light_below, limits.heavy_above) = (Some(light), Some(heavy));
        });
        codes.map(|code| found(&limited, code).len())
    };
    assert_eq!(told(0.015, 0.063), [0, 0, 0]);
    assert!(told(0.0151, 0.063)[0] > 0 && told(0.0151, 0.063)[2] > 0);
    assert!(told(0.015, 0.0629)[1] > 0);
}

/// The right side of the bezel, between two corners, with its pass so much higher there: pass 6 rounds the top edge, pass 7
/// is the last undercut, and the job gives no land.
fn right_side(pass: usize, x: &str, depth: f64, up: f64) -> Source {
    let (from, to) = (format!("N190 G1 X{x}"), format!("N190 G1 Z{:.4}\r\nX{x}", depth + up));
    let higher = of_program(&sample("signal-lamp-bezel"), pass, &from, &to);
    of_program(&higher, pass, "N210 G1 ", &format!("N210 G1 Z{depth:.4}\r\n"))
}

#[test]
fn an_edge_or_a_land_that_is_not_even_is_told_once() {
    let edge = |up: f64| right_side(5, "5.057", -0.185, up);
    let undercut = |up: f64| right_side(6, "5.0385", -0.99, up);
    // The lower end of the rounding rises with its cutter; the line of the undercut sinks with it, and the land is wider.
    for (source, pass, uneven) in [(edge(0.04), 5, 0.04), (undercut(-0.04), 6, 0.04)] {
        let told = found(&source, Code::MetalLeft);
        assert_eq!(told.iter().map(|told| told.pass).collect::<Vec<_>>(), [Some(pass)], "{told:?}");
        let amount = told[0].amount.expect("by how much");
        // By the sound job's own unevenness, .0003, from the rounding of its programs.
        assert!((amount - uneven).abs() < 5e-4, "{told:?}");
    }
    for (what, source) in [("edge", edge(0.008)), ("undercut", undercut(-0.008))] {
        assert!(found(&source, Code::MetalLeft).is_empty(), "{what}");
    }
    // Where a land is wanted, it is held to that.
    let wanted = of_job(&undercut(-0.04), |job| job.land = Some(0.03));
    let told = found(&wanted, Code::MetalLeft);
    assert_eq!(told.len(), 1);
    assert!(told[0].message.contains("wanted"), "{told:?}");
}
