//! What a drawing offers to be chosen from.

#![expect(clippy::expect_used, reason = "the helpers of a test may fail it")]

use blockwright_core::bring_in::{Offer, Trouble, listed, open};
use blockwright_core::geometry::pt;
use blockwright_core::units::Units;

/// A 4 x 3 rectangle with a gap of 0.01 at one corner, a bow tie, and a circle of radius 1 in the rectangle.
const DRAWING: &str = "<svg xmlns='http://www.w3.org/2000/svg' width='10mm' height='10mm' viewBox='0 0 10 10'>\
    <g id='scribe'><path d='M0 10 L4 10 L4 7 L0 7 L0 9.99'/></g>\
    <g id='other'><circle cx='2' cy='8.5' r='1'/><path d='M6 6 L8 8 L8 6 L6 9 Z'/></g></svg>";

fn offer(gap: f64, job: Units) -> Offer {
    let drawing = open("plate.svg", DRAWING.as_bytes()).expect("a drawing");
    Offer::of(&drawing, Units::Mm, None, gap, job)
}

#[test]
fn closed_paths_are_listed_and_the_gap_can_be_widened() {
    let narrow = offer(0.001, Units::Mm);
    let areas = |offer: &Offer| -> Vec<f64> {
        offer.paths.iter().map(|offered| (offered.closed.path.area() * 100.0).round() / 100.0).collect()
    };
    assert_eq!(narrow.paths.len(), 2, "{:?}", areas(&narrow));
    assert!(narrow.troubles.iter().any(|trouble| matches!(trouble, Trouble::OpenEnd { .. })));
    let wide = offer(0.02, Units::Mm);
    assert_eq!(wide.paths.len(), 3);
    assert!((areas(&wide)[0] - 12.0).abs() < 0.03);
    assert!(wide.troubles.iter().any(|trouble| matches!(trouble, Trouble::Gap { .. })));
    assert_eq!(wide.largest(), Some(0));
    let crossed = |offer: &Offer| offer.paths.iter().filter(|offered| !offered.crossings.is_empty()).count();
    assert_eq!(crossed(&wide), 1, "the bow tie");
    let inches = offer(0.02, Units::Inch);
    assert!((inches.paths[0].closed.path.bounds().width() - 4.0 / 25.4).abs() < 1e-9);
}

/// SVG has Y down from the upper edge: the rectangle lies from (0, 0) to (4, 3), the circle about (2, 1.5).
#[test]
fn a_click_means_the_nearest_path_or_the_innermost_round_it() {
    let offer = offer(0.02, Units::Mm);
    let centre = offer.paths[1].closed.path.bounds().centre();
    let outer = offer.paths[0].closed.path.bounds();
    assert_eq!(offer.at(centre, 0.1), Some(1), "inside the circle");
    assert_eq!(
        offer.at(pt(outer.low.x + 0.3, outer.low.y + 0.3), 0.1),
        Some(0),
        "inside the rectangle alone"
    );
    assert_eq!(offer.at(pt(outer.low.x - 0.05, centre.y), 0.1), Some(0), "near its side");
    assert_eq!(offer.at(pt(outer.low.x - 5.0, centre.y), 0.1), None);
}

#[test]
fn pasted_lines_are_points() {
    let points = listed(b"1, 2\n3;4\n# a remark\n5\t6\n").expect("points");
    assert_eq!(
        points.iter().map(|vertex| vertex.at).collect::<Vec<_>>(),
        [pt(1.0, 2.0), pt(3.0, 4.0), pt(5.0, 6.0)]
    );
    assert_eq!(listed(b"1 2").expect("one").len(), 1);
    assert!(listed(b"1 2\n3 b").expect_err("no number").to_string().contains("line 2"));
}
