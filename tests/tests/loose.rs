//! Metal that a pass cuts loose beside the block. That loose metal is a danger is common practice, no source.
#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

use approx::assert_abs_diff_eq;
use blockwright_core::finding::{Code, Finding, Severity};
use blockwright_core::geometry::pt;
use blockwright_core::job::{Job, KeepClear, PathSource, Vertex};
use blockwright_core::proof::Source;
use blockwright_tests::changed::{found, of_job};
use blockwright_tests::sample;

fn corners(low: f64, right: f64, up: f64) -> Vec<Vertex> {
    let corners = [(low, low), (right, low), (right, up), (low, up)];
    corners.map(|(x, y)| Vertex { at: pt(x, y), bulge: 0.0 }).to_vec()
}

/// The puck, 3 by 2, in a blank that stands out by so much all around. The first pass, with a cutter of .5, leaves .062 and
/// goes through.
fn in_a_blank(beyond: f64) -> Source {
    of_job(&sample("round-puck"), |job| {
        let blank = job.blank.as_mut().expect("a blank");
        blank.edge = PathSource::Vertices(corners(-beyond, 3.0 + beyond, 2.0 + beyond));
    })
}

/// Told of the frame. The ways in and out cut a small piece off it, which is told as well.
fn frames(source: &Source) -> Vec<Finding> {
    let told = found(source, Code::LooseMetal);
    told.into_iter().filter(|finding| finding.amount.is_some_and(|length| length > 4.0)).collect()
}

fn clamped(job: &mut Job, low: f64) {
    let area = corners(low, low + 0.2, low + 0.2);
    job.keep_clear.push(KeepClear { name: "clamp".to_owned(), area, top: 0.5 });
}

#[test]
fn a_frame_cut_off_all_around_comes_loose() {
    let told = frames(&in_a_blank(1.0));
    assert_eq!(told.len(), 1, "{told:?}");
    assert_eq!((told[0].severity, told[0].pass), (Severity::Look, Some(0)));
    // As long as the blank, 5 by 4, to the coarse cell of .05.
    assert_abs_diff_eq!(told[0].amount.expect("how long"), 5.0, epsilon = 0.1);
    assert!(told[0].message.contains("about 5.0"), "{told:?}");
}

#[test]
fn what_hangs_on_or_is_clamped_or_becomes_chips_does_not() {
    let sound = [
        ("a rim no wider than the cutter", in_a_blank(0.3)),
        ("a clamp on the frame", of_job(&in_a_blank(1.0), |job| clamped(job, -0.9))),
    ];
    for (what, source) in sound {
        assert!(frames(&source).is_empty(), "{what}");
    }
    assert!(found(&in_a_blank(0.3), Code::LooseMetal).is_empty());
    let elsewhere = of_job(&in_a_blank(1.0), |job| clamped(job, 5.0));
    assert_eq!(frames(&elsewhere).len(), 1, "a clamp that does not reach it");
}

/// Passes that end .01 above the lower face leave the frame on.
#[test]
fn a_skin_at_the_bottom_holds_a_frame() {
    let wide = in_a_blank(1.0);
    let raised = |source: Source, pass: usize| of_job(&source, |job| job.passes[pass].zero.origin[2] += 0.03);
    let all = (0..3).fold(wide.clone(), raised);
    assert!(found(&all, Code::LooseMetal).is_empty(), "{:?}", found(&all, Code::LooseMetal));
    // Then it is the second pass that cuts it loose.
    let first = raised(wide, 0);
    let told = frames(&first);
    assert_eq!(told.iter().map(|finding| finding.pass).collect::<Vec<_>>(), [Some(1)], "{told:?}");
}
