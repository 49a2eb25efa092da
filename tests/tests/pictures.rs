//! The drawings of the demo job, drawn without a display.

#![allow(
    clippy::expect_used,
    clippy::print_stdout,
    clippy::allow_attributes,
    reason = "tests say what they stand on and show what they measured"
)]

use blockwright_core::proof::{Options, Proof, Prover};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::view::{
    Along, Ink, Item, PictureKind, Pixels, PlanState, StripState, Theme, Viewport, extent, picture, plan,
    png, rasterise, strip,
};
use blockwright_tests::sample;

fn demo() -> Proof {
    let cancel = Cancel::new();
    let options = Options { cell: Some(0.01) };
    Prover::new()
        .prove(&sample("signal-lamp-bezel"), &options, Task::quiet(&cancel))
        .expect("the demo can be proven")
}

fn drawn(proof: &Proof, pass: usize, theme: &Theme) -> (Pixels, Viewport) {
    let viewport = Viewport::fit(extent(proof), 760.0, 520.0, 36.0);
    let end = proof.passes[pass].track.length();
    let field = proof.block_at(pass, end);
    let state = PlanState {
        pass,
        distance: Some(end),
        field: field.as_ref(),
        pixels_per_point: 1.0,
        hover: None,
        finding: None,
    };
    (rasterise(&plan(proof, &state, &viewport, theme), 1.0, theme.paper).expect("a fair size"), viewport)
}

/// Pixels of nearly this ink within `reach` of a place in the plan.
fn count_near(pixels: &Pixels, at: [f32; 2], reach: f32, ink: Ink) -> usize {
    let near = |p: usize, q: f32| (p as f32 - q).abs() <= reach;
    let mut count = 0;
    for y in (0..pixels.height).filter(|y| near(*y, at[1])) {
        for x in (0..pixels.width).filter(|x| near(*x, at[0])) {
            let start = (y * pixels.width + x) * 4;
            let off = (0..3)
                .map(|i| i32::from(pixels.rgba[start + i]).abs_diff(i32::from(ink[i])).pow(2))
                .sum::<u32>();
            count += usize::from(off < 300);
        }
    }
    count
}

#[test]
fn the_plan_marks_lost_contact_where_it_is_lost() {
    let proof = demo();
    let along = proof.passes[0].along_outline.as_ref().expect("measured");
    let none = along.contact.iter().find(|s| s.state.word() == "none").expect("the demo loses contact");
    let lost = proof.outline.as_ref().expect("given").place(f64::midpoint(none.from, none.to)).at;
    for theme in [Theme::light(), Theme::dark()] {
        let (first, viewport) = drawn(&proof, 0, &theme);
        assert!(count_near(&first, viewport.to_view(lost), 12.0, theme.none) > 10, "no mark in pass 1");
        let (finish, viewport) = drawn(&proof, 2, &theme);
        assert_eq!(
            count_near(&finish, viewport.to_view(lost), 6.0, theme.none),
            0,
            "a mark in the finish pass"
        );
        assert!(
            count_near(&finish, viewport.to_view(lost), 12.0, theme.full) > 5,
            "full contact in the finish pass"
        );
    }
}

#[test]
fn the_block_in_plan_is_cut_only_as_far_as_the_tool_has_come() {
    let proof = demo();
    let track = &proof.passes[0].track;
    let start = proof.block_at(0, 0.0).expect("a blank").volume();
    let mut before = start;
    for part in [0.3, 0.6, 1.0] {
        let now = proof.block_at(0, track.length() * part).expect("a blank").volume();
        assert!(now < before, "metal goes as the tool goes on");
        before = now;
    }
    let removed = proof.passes[0].removal.as_ref().expect("followed").volume();
    assert!((start - before - removed).abs() < 1e-6 * removed);
}

#[test]
fn the_strip_shades_what_has_no_contact_and_follows_its_scale() {
    let proof = demo();
    for along in [Along::Path, Along::Outline] {
        let state = StripState { pass: 0, along, distance: 1.0, hover: None };
        let (drawing, scale) = strip(&proof, &state, 900.0, 140.0, &Theme::light());
        let hatched = drawing.items.iter().any(|item| matches!(item, Item::Hatch { .. }));
        assert!(hatched, "the stretch without contact is shaded");
        assert!((scale.to_value(scale.to_x(2.5)) - 2.5).abs() < 1e-3);
    }
}

#[test]
fn a_picture_has_its_title_block() {
    let proof = demo();
    for kind in [PictureKind::Plan, PictureKind::Strip] {
        let field = proof.block_at(0, f64::INFINITY);
        let drawing = picture(&proof, kind, 0, field.as_ref(), "2026-01-31", &Theme::light(), 1200.0, 800.0);
        let words: Vec<&str> = drawing
            .items
            .iter()
            .filter_map(|item| match item {
                Item::Text { text, .. } => Some(text.as_str()),
                _ => None,
            })
            .collect();
        let all = words.join("\n");
        let key: &[&str] = if kind == PictureKind::Plan { &["none", "full", "light", "heavy"] } else { &[] };
        for part in ["Signal-lamp bezel", "Rough, leave .062", "2026-01-31"].iter().chain(key) {
            assert!(all.contains(part), "{part} is missing in\n{all}");
        }
        let bytes =
            png(&rasterise(&drawing, 1.0, Theme::light().paper).expect("a fair size")).expect("encodes");
        assert_eq!(&bytes[..8], b"\x89PNG\r\n\x1a\n");
    }
    assert!(
        rasterise(&blockwright_core::view::Drawing::new(1e6, 1e6), 1.0, [0; 4]).is_err(),
        "an absurd size"
    );
    assert!(proof.block_at(99, 0.0).is_none(), "no such pass");
}
