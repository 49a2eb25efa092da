//! The drawings of the demo job, drawn without a display.

#![allow(
    clippy::expect_used,
    clippy::print_stdout,
    clippy::allow_attributes,
    reason = "tests say what they stand on and show what they measured"
)]

use blockwright_core::block::{Field, Removal, blank_field};
use blockwright_core::geometry::{Path, Place, pt};
use blockwright_core::pixels::{Pixels, png};
use blockwright_core::proof::Proof;
use blockwright_core::prover::{Options, Prover};
use blockwright_core::task::{Cancel, Cancelled, Task};
use blockwright_core::tool::Form;
use blockwright_core::units::Units;
use blockwright_core::view::{
    Along, Anchor, Camera, Drawing, Ink, Item, PictureKind, PlanState, RoundState, Scene, StripState, Theme,
    Tint, Viewport, WallState, block_image, extent, picture, plan, rasterise, round, strip, text_width, wall,
    wall_viewport,
};
use blockwright_core::wall::{Heights, Section, SectionPass, ToolAt};
use blockwright_tests::motions::{line, track};
use blockwright_tests::{Random, sample};

fn demo() -> Proof {
    let cancel = Cancel::new();
    let options = Options { cell: Some(0.01), ..Options::default() };
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
        stock: false,
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

/// The band is as thick as the stock times what the key says, and shows where contact is lost and where the tool has
/// not been yet.
#[test]
fn the_stock_along_the_outline_is_drawn_as_much_thicker_as_the_key_says() {
    let proof = demo();
    let outline = proof.outline.as_ref().expect("given");
    let viewport = Viewport::fit(extent(&proof), 760.0, 520.0, 36.0);
    let track = &proof.passes[0].track;
    let along = proof.passes[0].along_outline.as_ref().expect("measured");
    let drawing = |distance: f64, theme: &Theme| {
        let state = PlanState {
            pass: 0,
            distance: Some(distance),
            field: None,
            pixels_per_point: 1.0,
            hover: None,
            finding: None,
            stock: true,
        };
        plan(&proof, &state, &viewport, theme)
    };
    for theme in [Theme::light(), Theme::dark()] {
        let after = drawing(track.length(), &theme);
        let told = after.items.iter().find_map(|item| match item {
            Item::Text { text, .. } => text.strip_prefix("stock left, drawn x").map(str::to_owned),
            _ => None,
        });
        let times: f64 = told.expect("the key says it").parse().expect("a number");
        assert!(times >= 3.0, "{times}");
        let pixels = rasterise(&after, 1.0, theme.paper).expect("a fair size");
        let at = |station: f64, thick: f64| {
            let place = outline.place(station);
            viewport.to_view(place.at + place.outward * (thick * times))
        };
        let (straight, thin) = (2.5, along.leave.least_at);
        assert!(count_near(&pixels, at(straight, 0.031), 1.5, theme.stock) >= 8, "half way out");
        assert_eq!(count_near(&pixels, at(straight, 0.062 * 1.4), 1.0, theme.stock), 0, "beyond");
        assert!(count_near(&pixels, at(thin, along.leave.least * 0.6), 1.5, theme.stock_none) >= 2, "thin");
        assert_eq!(count_near(&pixels, at(thin, 0.062 * 0.8), 1.0, theme.stock), 0, "where it is thin");
        let start = rasterise(&drawing(0.0, &theme), 1.0, theme.paper).expect("a fair size");
        assert!(count_near(&start, at(straight, 0.031), 3.5, theme.stock_before) >= 12, "before the tool");
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
        let state = StripState { pass: 0, along };
        let (drawing, scale) = strip(&proof, &state, 900.0, 140.0, &Theme::light());
        let hatched = drawing.items.iter().any(|item| matches!(item, Item::Hatch { .. }));
        assert!(hatched, "the stretch without contact is shaded");
        assert!((scale.to_value(scale.to_x(2.5)) - 2.5).abs() < 1e-3);
    }
}

#[test]
fn a_picture_has_its_title_block() {
    let proof = demo();
    let field = proof.block_at(0, f64::INFINITY).expect("a blank");
    let scene = Scene::of_proof(&proof, 0, field.clone()).expect("a block");
    let section = section(Heights { top: Some(0.0), face: Some(0.062), ..Heights::default() });
    let key: [&[&str]; 4] = [&["none", "full", "light", "heavy"], &[], &["outline", "bed"], &["as sawn"]];
    let kinds = [
        PictureKind::Plan(Some(&field)),
        PictureKind::Strip,
        PictureKind::Wall(&section),
        PictureKind::Block(&scene, Camera::default()),
    ];
    for (kind, key) in kinds.iter().zip(key) {
        let drawing = picture(&proof, 0, kind, "2026-01-31", &Theme::light(), [1200.0, 800.0]);
        let words: Vec<&str> = drawing
            .items
            .iter()
            .filter_map(|item| match item {
                Item::Text { text, .. } => Some(text.as_str()),
                _ => None,
            })
            .collect();
        let all = words.join("\n");
        for part in ["Signal-lamp bezel", "Rough, leave .062", "2026-01-31"].iter().chain(key) {
            assert!(all.contains(part), "{part} is missing in\n{all}");
        }
        let bytes =
            png(&rasterise(&drawing, 1.0, Theme::light().paper).expect("a fair size")).expect("encodes");
        assert_eq!(&bytes[..8], b"\x89PNG\r\n\x1a\n");
    }
    assert!(rasterise(&Drawing::new(1e6, 1e6), 1.0, [0; 4]).is_err(), "an absurd size");
    assert!(proof.block_at(99, 0.0).is_none(), "no such pass");
}

/// 4 by 3 by 1 in, cells of .01.
fn slab() -> (Path, Field) {
    let corners = [(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0)].map(|(x, y)| (pt(x, y), 0.0));
    let edge = Path::closed(&corners).expect("encloses an area");
    let field = blank_field(&edge, 0.0, -1.0, 0.01, Units::Inch).expect("fits");
    (edge, field)
}

/// The block after a cutter has run along the front, its axis at `y` and its tip at `z`.
fn run_along_front(field: &Field, form: &Form, y: f64, z: f64) -> Field {
    let cut = line([-1.0, y, z], [5.0, y, z]);
    let cancel = Cancel::new();
    Removal::run(field, &track(&[cut]), form, Task::quiet(&cancel)).expect("nobody stops it").end().clone()
}

/// A cutter wider at its tip that steps in .1 at the front, so that the line lies .567 above the tip.
fn undercut(field: &Field) -> Field {
    let form = Form::Undercut { diameter: 1.0, angle: 10.0, height: 1.5 };
    run_along_front(field, &form, -0.4, -1.1)
}

fn looked_at(scene: &Scene, turn: f64, tilt: f64) -> (Pixels, f64) {
    tinted(scene, turn, tilt, Tint::Passes)
}

fn tinted(scene: &Scene, turn: f64, tilt: f64, tint: Tint<'_>) -> (Pixels, f64) {
    let camera = Camera { turn, tilt, ..Camera::default() };
    let state = RoundState {
        camera,
        tint,
        names: &["first"],
        ghosts: None,
        units: Units::Inch.into(),
        pixels_per_point: 1.0,
        coarse: 1,
    };
    let cancel = Cancel::new();
    let drawing = round(scene, &state, &Theme::light(), [500.0, 400.0], &cancel).expect("nobody stops it");
    cancel.raise();
    assert_eq!(round(scene, &state, &Theme::light(), [500.0, 400.0], &cancel).err(), Some(Cancelled));
    let image = drawing.items.iter().find_map(|item| match item {
        Item::Image { pixels, .. } => Some(pixels.as_ref().clone()),
        _ => None,
    });
    (image.expect("the block is drawn"), camera.scale(scene, 500.0, 400.0))
}

fn inks(pixels: &Pixels) -> impl Iterator<Item = Ink> + '_ {
    pixels.rgba.chunks_exact(4).map(|ink| [ink[0], ink[1], ink[2], ink[3]])
}

/// Whether a pixel is the sky blue of the first pass and not bare metal, however it is lit.
fn is_first_pass(ink: Ink) -> bool {
    ink[3] == 255 && i32::from(ink[2]) > i32::from(ink[0]) * 5 / 4
}

/// A box seen from anywhere covers the area of its three visible faces, each by the cosine it is seen at (derived).
#[test]
fn the_block_in_the_round_covers_the_area_it_should() {
    let scene = Scene::new(Vec::new(), slab().1).expect("a block");
    for (turn, tilt) in
        [(0.0_f64, 90.0_f64), (0.0, 0.0), (0.0, 30.0), (35.0, 30.0), (200.0, -20.0), (90.0, 5.0)]
    {
        let (pixels, scale) = looked_at(&scene, turn, tilt);
        let covered: f64 = inks(&pixels).map(|ink| f64::from(ink[3]) / 255.0).sum();
        let (turned, level) = (turn.to_radians(), tilt.to_radians());
        let front = 4.0 * turned.cos().abs() + 3.0 * turned.sin().abs();
        let area = (12.0 * level.sin().abs() + front * level.cos()) * scale * scale;
        // Cells along an edge stand out by half a cell at most, on either side.
        let jags = 0.01 * level.cos() * scale * scale;
        assert!(
            (covered - area).abs() < 0.005 * area + jags,
            "turn {turn} tilt {tilt}: {covered} for {area}"
        );
    }
}

/// Walls are stairs of cells; their steps must not be seen as stripes.
#[test]
fn a_flat_wall_has_one_colour_from_end_to_end() {
    let (edge, blank) = slab();
    let scene = Scene::new(Vec::new(), blank).expect("a block");
    let leave = Tint::Leave { outline: &edge, range: [-0.02, 0.02] };
    for (turn, tint) in
        [(0.0, Tint::Passes), (25.0, Tint::Passes), (-40.0, Tint::Passes), (0.0, leave), (25.0, leave)]
    {
        let (pixels, scale) = tinted(&scene, turn, 20.0, tint);
        // The middle half of the front wall, on the row of pixels through the middle of the front.
        let (x, y) = (turn.to_radians().sin() * 1.5, turn.to_radians().cos() * 1.5);
        let half = turn.to_radians().cos();
        let row = 200 + (y * 20_f64.to_radians().sin() * scale) as usize;
        let column = |along: f64| (250.0 - (x + along * half) * scale) as usize;
        let (from, to) = (column(1.0).min(column(-1.0)), column(1.0).max(column(-1.0)));
        let greens: Vec<u8> = (from..=to).map(|x| pixels.at(x, row).expect("inside")[1]).collect();
        let (least, most) = (greens.iter().min().copied(), greens.iter().max().copied());
        assert!(
            most.zip(least).is_some_and(|(most, least)| most - least <= 6),
            "turn {turn} {tint:?}: {greens:?}"
        );
    }
}

#[test]
fn faces_have_the_colour_of_what_made_them() {
    let (_, blank) = slab();
    // A wide cutter takes .1 off the whole top.
    let faced = run_along_front(&blank, &Form::Flat { diameter: 8.0 }, 1.5, -0.1);
    let scene = Scene::new(vec![blank.clone()], faced).expect("a block");
    let (above, _) = looked_at(&scene, 0.0, 90.0);
    assert!(is_first_pass(above.at(250, 200).expect("inside")), "{:?}", above.at(250, 200));
    let (front, _) = looked_at(&scene, 0.0, 0.0);
    assert!(!is_first_pass(front.at(250, 200).expect("inside")), "{:?}", front.at(250, 200));
    let untouched = Scene::new(vec![blank.clone()], blank).expect("a block");
    let (above, _) = looked_at(&untouched, 0.0, 60.0);
    assert!(!inks(&above).any(is_first_pass), "nothing was cut");
}

#[test]
fn an_undercut_shows_from_the_side_and_from_below_but_not_from_straight_above() {
    let (_, blank) = slab();
    let cut = undercut(&blank);
    assert!(cut.voids() > 0);
    let scene = Scene::new(vec![blank], cut).expect("a block");
    let count = |tilt: f64| {
        let (pixels, scale) = looked_at(&scene, 0.0, tilt);
        inks(&pixels).filter(|ink| is_first_pass(*ink)).count() as f64 / (scale * scale)
    };
    // From the side the whole height under the line shows, over 4 in. The front columns' middles lie .005 inside the
    // front, where the undercut reaches up to -1.1 + (.1 - .005) / tan 10 degrees (derived).
    let line = (0.1 - 0.005) / 10.0_f64.to_radians().tan() - 0.1;
    assert!((count(0.0) / (4.0 * line) - 1.0).abs() < 0.03, "{} for {}", count(0.0), 4.0 * line);
    assert!(count(-15.0) > 3.5 * line);
    // The wall leans in by 10 degrees: steeper than 80 nothing of it is seen (derived).
    assert!(count(85.0) < 0.02, "the lip hides it");
    assert_eq!(looked_at(&scene, 20.0, -15.0).0, looked_at(&scene, 20.0, -15.0).0, "the same every time");
}

#[test]
fn the_plan_hatches_what_hangs_over_an_undercut() {
    let (edge, blank) = slab();
    let viewport = Viewport::fit(edge.bounds(), 420.0, 320.0, 10.0);
    let theme = Theme::light();
    // The lip reaches from the front to the lower end of the undercut's wall, .0824 in.
    let marked = |field: &Field| {
        let pixels = block_image(field, &viewport, 1.0, &theme);
        let front = viewport.to_view(pt(2.0, 0.0))[1] as usize;
        let dark = |y: usize| {
            let row = (100..300).filter_map(|x| pixels.at(x, y));
            row.filter(|ink| ink[3] == 255 && ink[0] < theme.metal_low[0]).count()
        };
        (dark(front - 4), dark(front - 40))
    };
    assert_eq!(marked(&blank), (0, 0));
    let (lip, inside) = marked(&undercut(&blank));
    assert!((20..120).contains(&lip) && inside == 0, "{lip} and {inside}");
}

/// A section of a plain wall with these heights.
fn section(heights: Heights) -> Section {
    let rect = |q: f64, low: f64, high: f64| vec![vec![[-1.5, low], [q, low], [q, high], [-1.5, high]]];
    let top = heights.top.unwrap_or(0.0);
    let pass = SectionPass {
        metal: rect(heights.face.unwrap_or(0.0), -1.0, top),
        heights,
        tool: Some(ToolAt { q: 0.25, tip: -1.02 }),
    };
    Section {
        station: 3.92,
        place: Place { at: pt(0.0, 0.0), outward: pt(1.0, 0.0) },
        reach: (-1.5, 1.5),
        blank: rect(0.3, -1.0, 0.0),
        passes: vec![pass],
    }
}

/// The box of every text, without the rims that make it readable.
fn boxes(drawing: &Drawing) -> Vec<(String, [f32; 4])> {
    let texts = drawing.items.iter().filter_map(|item| match item {
        Item::Text { at, anchor, size, weight, ink, text } if ink[3] == 255 => {
            let wide = text_width(text, *size, *weight);
            let left = at[0]
                - match anchor {
                    Anchor::Left => 0.0,
                    Anchor::Centre => wide / 2.0,
                    Anchor::Right => wide,
                };
            Some((text.clone(), [left, at[1] - size * 0.5, left + wide, at[1] + size * 0.5]))
        }
        _ => None,
    });
    texts.collect()
}

#[test]
fn words_on_the_wall_never_lie_on_each_other() {
    let mut random = Random(0x57a1);
    for case in 0..300 {
        let top = random.between(-0.1, 0.0);
        let upper = random.between(-0.3, top);
        let line = random.between(-1.0, upper);
        let maybe = |value: f64, chance: f64| (chance < 0.7).then_some(value);
        let heights = Heights {
            top: Some(top),
            rounding_lower: maybe(upper, random.between(0.0, 1.0)),
            undercut_line: maybe(line, random.between(0.0, 1.0)),
            land: Some(upper - line),
            face: Some(random.between(-0.05, 0.1)),
            straight: None,
        };
        let section = section(heights);
        let state = WallState {
            section: &section,
            pass: 0,
            tools: &[None],
            every_tool: false,
            bed: maybe(random.between(-1.2, -1.0), random.between(0.0, 1.0)),
            gauge: maybe(random.between(-1.0, top), 0.5),
            units: if case % 2 == 0 { Units::Inch } else { Units::Mm }.into(),
        };
        for (wide, high) in [(294.0, 220.0), (760.0, 520.0), (200.0, 140.0), (420.0, 300.0), (326.0, 500.0)] {
            let drawing = wall(&state, &wall_viewport(&state, wide, high), &Theme::light());
            let all = boxes(&drawing);
            for (index, (text, a)) in all.iter().enumerate() {
                let inside = a[0] >= 0.0 && a[1] >= 0.0 && a[2] <= wide && a[3] <= high;
                assert!(inside, "case {case}, {wide} x {high}: {text} at {a:?} is cut off");
                for (other, b) in &all[index + 1..] {
                    let apart = a[2] <= b[0] || b[2] <= a[0] || a[3] <= b[1] || b[3] <= a[1];
                    assert!(apart, "case {case}, {wide} x {high}: {text} {a:?} lies on {other} {b:?}");
                }
            }
        }
    }
}
