//! The wall against closed forms, and against a slow plain walk of the cutter along its path.
//!
//! The closed forms are exact geometry worked out for this project (its design, "Undercut geometry"), derived, unless
//! a check names another source.

#[path = "wall/plain.rs"]
mod plain;
#[path = "wall/shop.rs"]
mod shop;

use approx::assert_abs_diff_eq;
use blockwright_core::geometry::{Path, pt};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::tool::Form;
use blockwright_core::units::Units;
use blockwright_core::wall::pins::Pins;
use blockwright_core::wall::{Heights, Wall, WallPass, WallTolerances};
use plain::Plain;
use shop::{BOTTOM, Lcg, Pass, Shop, TOP, concave, rounded, square, straight_station};

/// Heights are asked for within this (0.0005 in); closed forms are held much closer.
const CLOSE: f64 = 0.000_01;

fn cutter(diameter: f64, angle: f64) -> Form {
    Form::Undercut { diameter, angle, height: 0.8 }
}

fn tangent(angle: f64) -> f64 {
    angle.to_radians().tan()
}

/// The heights after the last pass on a straight stretch.
#[expect(clippy::expect_used, reason = "a test fails by panicking")]
fn heights(shop: &Shop) -> Heights {
    *shop.on_straight().last().expect("a pass")
}

/// A finish profile to the outline, then one undercut pass: the line lies at z + d / tan a, whatever the cutter's
/// diameter.
#[test]
fn the_line_lies_at_the_tip_plus_the_step_over_the_tangent() {
    for (diameter, angle, tip, step) in
        [(1.0, 10.0, -0.9, 0.1), (0.75, 10.0, -1.02, 0.1234), (1.5, 5.0, -0.95, 0.05), (1.0, 15.0, -0.5, 0.1)]
    {
        let mut shop = Shop::finished(square());
        shop.push(Pass::round(cutter(diameter, angle), diameter / 2.0 - step, tip));
        let found = heights(&shop);
        let line = tip + step / tangent(angle);
        let what = format!("{diameter} at {angle} degrees, {step} in at {tip}: {found:?}");
        assert_abs_diff_eq!(found.undercut_line.expect(&what), line, epsilon = CLOSE);
        assert_abs_diff_eq!(found.land.expect(&what), TOP - line, epsilon = CLOSE);
        assert_abs_diff_eq!(found.face.expect(&what), 0.0, epsilon = 1e-9);
        assert_eq!((found.top, found.rounding_lower), (Some(TOP), None), "{what}");
    }
}

/// After a 20 degree cutter with its line at -.450, a 10 degree one takes a sliver above it: its line counts, however
/// thin what it takes is below (the first case), or all along (the last two, of .0004 and .0001).
#[test]
fn the_line_of_a_sliver_counts_however_thin() {
    let d = |angle: f64, line: f64, tip: f64| (line - tip) * tangent(angle);
    let cases = [
        (-0.40, -0.95),
        (-0.347, -0.95),
        (-0.449, -0.95),
        (-0.4495, -0.95),
        (-0.40, -0.4023),
        (-0.40, -0.4006),
    ];
    for (line, tip) in cases {
        let mut shop = Shop::finished(square());
        shop.push(Pass::round(cutter(1.0, 20.0), 0.5 - d(20.0, -0.45, -0.95), -0.95));
        shop.push(Pass::round(cutter(1.0, 10.0), 0.5 - d(10.0, line, tip), tip));
        for rounding in [None, Some(0.3445)] {
            if let Some(radius) = rounding {
                let form = Form::EdgeRound { pilot_diameter: 0.25, radius, pilot_length: 0.0 };
                shop.push(Pass::round(form, 0.125, TOP - radius));
            }
            let lower = TOP - rounding.unwrap_or(0.0);
            for found in [heights(&shop), shop.on_straight()[2]] {
                let what = format!("a line at {line} from {tip}, rounded by {rounding:?}: {found:?}");
                assert_abs_diff_eq!(found.undercut_line.expect(&what), line, epsilon = CLOSE);
            }
            assert_abs_diff_eq!(heights(&shop).land.expect("a land"), lower - line, epsilon = CLOSE);
        }
    }
}

/// The whole stack: rough to .050, undercut it, finish, face .030 off, round the edge by .125, undercut once more.
#[test]
fn every_pass_of_a_stack_has_its_heights() {
    let (angle, r) = (10.0, 0.125);
    let tan = tangent(angle);
    let mut shop = Shop::new(square());
    shop.push(Pass::round(Form::Flat { diameter: 0.5 }, 0.25 + 0.05, -1.02));
    shop.push(Pass::round(cutter(1.0, angle), 0.5 - 0.04, -1.02));
    shop.push(Pass::round(Form::Flat { diameter: 0.5 }, 0.25, -1.02));
    shop.push(Pass::over(2.0, TOP - 0.03));
    let round = Form::EdgeRound { pilot_diameter: 0.25, radius: r, pilot_length: 0.0625 };
    shop.push(Pass::round(round, 0.125, TOP - 0.03 - r - 0.0625));
    shop.push(Pass::round(cutter(1.0, angle), 0.5 - 0.12, -1.02));
    let top = TOP - 0.03;
    let lower = top - r;
    let (first, last) = (-1.02 + 0.04 / tan, -1.02 + 0.12 / tan);
    let wanted = [
        (TOP, None, None, None, 0.05),
        // Rough wall at .050: the step counts from there.
        (TOP, None, Some(-1.02 + 0.09 / tan), Some(TOP + 1.02 - 0.09 / tan), 0.05),
        (TOP, None, Some(first), Some(TOP - first), 0.0),
        (top, None, Some(first), Some(top - first), 0.0),
        (top, Some(lower), Some(first), Some(lower - first), 0.0),
        (top, Some(lower), Some(last), Some(lower - last), 0.0),
    ];
    let table = shop.table(0.05);
    let alone = |row: usize| table.rows[row].finished_line.expect("a line").most;
    assert_abs_diff_eq!(alone(0), first, epsilon = CLOSE);
    assert_abs_diff_eq!(alone(1), last, epsilon = CLOSE);
    assert_abs_diff_eq!(table.upper.expect("a wall"), lower, epsilon = CLOSE);
    for (index, (found, (top, lower, line, land, face))) in shop.on_straight().iter().zip(wanted).enumerate()
    {
        let what = format!("pass {}: {found:?}", index + 1);
        let pairs = [
            (found.top, Some(top)),
            (found.rounding_lower, lower),
            (found.undercut_line, line),
            (found.land, land),
            (found.face, Some(face)),
        ];
        for (found, wanted) in pairs {
            assert_eq!(found.is_some(), wanted.is_some(), "{what}");
            assert_abs_diff_eq!(found.unwrap_or(0.0), wanted.unwrap_or(0.0), epsilon = CLOSE);
        }
    }
}

/// A touch-off error moves the line one to one, the step by 1 / tan a, the diameter by half of that.
#[test]
fn errors_move_the_line_as_the_table_says() {
    let (angle, tip, step) = (10.0, -0.95, 0.1);
    let line = |diameter: f64, step: f64, tip: f64| {
        let mut shop = Shop::finished(square());
        // The path is made for a cutter of 1 in, whatever is in the spindle.
        shop.push(Pass::round(cutter(diameter, angle), 0.5 - step, tip));
        heights(&shop).undercut_line.expect("a line")
    };
    let mut shop = Shop::finished(square());
    shop.push(Pass::round(cutter(1.0, angle), 0.5 - step, tip));
    let effect = shop.table(0.05).rows[0].effect;
    let (start, error) = (line(1.0, step, tip), 0.001);
    assert_abs_diff_eq!(line(1.0, step, tip + error) - start, effect.touch_off * error, epsilon = CLOSE);
    assert_abs_diff_eq!(line(1.0, step + error, tip) - start, effect.step * error, epsilon = CLOSE);
    assert_abs_diff_eq!(line(1.0 + error, step, tip) - start, effect.diameter * error, epsilon = CLOSE);
    assert_abs_diff_eq!(effect.step * error, 0.001 / tangent(angle), epsilon = 1e-12);
}

/// d = (t - r - w - z) tan a; a path made from a diameter stated smaller by 2 d then leaves the land w.
#[test]
fn the_step_of_the_table_leaves_the_wanted_land() {
    for (angle, tip, r, land) in
        [(10.0, -1.02, 0.125, 0.05), (7.0, -0.7, 0.0625, 0.2), (12.0, -1.0, 0.25, 0.0)]
    {
        let round = Form::EdgeRound { pilot_diameter: 0.25, radius: r, pilot_length: 0.0 };
        let mut shop = Shop::finished(square());
        shop.push(Pass::round(round, 0.125, TOP - r));
        let undercut =
            |offset| Pass::round(Form::Undercut { diameter: 1.0, angle, height: 1.0 }, offset, tip);
        shop.push(undercut(0.5 - 0.03));
        let table = shop.table(land);
        let row = &table.rows[0];
        assert_eq!((row.pass, table.rows.len()), (2, 1));
        assert_abs_diff_eq!(row.step.expect("a step").least, 0.03, epsilon = CLOSE);
        let line = row.finished_line.expect("a line");
        assert_abs_diff_eq!(line.most, tip + 0.03 / tangent(angle), epsilon = CLOSE);
        let wanted = row.wanted.expect("can be had");
        assert_abs_diff_eq!(wanted.step, (TOP - r - land - tip) * tangent(angle), epsilon = CLOSE);
        assert_abs_diff_eq!(wanted.stated_diameter, 1.0 - 2.0 * wanted.step, epsilon = 1e-12);
        assert!(!wanted.past_cone);
        shop.replace_last(undercut(wanted.stated_diameter / 2.0));
        let found = heights(&shop);
        assert_abs_diff_eq!(found.land.expect("a land"), land, epsilon = CLOSE);
        assert_abs_diff_eq!(found.rounding_lower.expect("a rounding"), TOP - r, epsilon = CLOSE);
    }
}

#[test]
fn a_line_that_cannot_be_had_is_said_so() {
    let mut shop = Shop::finished(square());
    shop.push(Pass::round(Form::Undercut { diameter: 1.0, angle: 10.0, height: 0.3 }, 0.48, -1.02));
    let wanted = |land: f64| shop.table(land).rows[0].wanted;
    assert!(
        wanted(0.1).expect("a step").past_cone,
        "the cone is .3 high, the line would lie .92 above the tip"
    );
    assert!(!wanted(0.75).expect("a step").past_cone);
    assert_eq!(wanted(1.021), None, "the tip runs higher than the line should be");
}

/// Where rounding and undercut meet there is no land; where they would overlap they meet in an edge.
#[test]
fn rounding_and_undercut_that_meet_leave_no_land() {
    let (r, angle) = (0.125, 10.0);
    for past in [0.0, 0.05] {
        let mut shop = Shop::finished(square());
        shop.push(Pass::round(
            Form::EdgeRound { pilot_diameter: 0.25, radius: r, pilot_length: 0.0 },
            0.125,
            TOP - r,
        ));
        let step = (TOP - r + past + 0.7) * tangent(angle);
        shop.push(Pass::round(cutter(1.0, angle), 0.5 - step, -0.7));
        let found = heights(&shop);
        assert_abs_diff_eq!(found.land.expect("an undercut"), 0.0, epsilon = CLOSE);
        assert_eq!(found.rounding_lower, found.undercut_line, "{found:?}");
        // The edge: the cone's line q = (z - line) tan a meets the circle about (-r, t - r).
        let on = |z: f64| (z - (TOP - r + past)) * tangent(angle);
        let off = |z: f64| (on(z) + r).hypot(z - (TOP - r)) - r;
        let edge = halved(TOP - r - 1e-9, TOP - r + past, off);
        assert_abs_diff_eq!(found.undercut_line.expect("an undercut"), edge, epsilon = CLOSE);
    }
}

/// The root between two heights of a function that changes its sign once.
fn halved(low: f64, high: f64, value: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (low, high);
    let below = value(low) < 0.0;
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if (value(middle) < 0.0) == below { low = middle } else { high = middle }
    }
    high
}

/// What has no undercut, and what is not one.
#[test]
fn walls_without_an_undercut_say_so() {
    let line = |shop: &Shop| heights(shop).undercut_line;
    let mut shop = Shop::finished(square());
    assert_eq!(line(&shop), None);
    assert_eq!(heights(&shop).face.map(|face| face.abs() < 1e-9), Some(true));
    shop.push(Pass::round(cutter(1.0, 10.0), 0.5, -0.9));
    assert_eq!(line(&shop), None, "it only touches");
    shop.push(Pass::round(cutter(1.0, 10.0), 0.4998, -0.9));
    assert_abs_diff_eq!(line(&shop).expect("thin"), -0.9 + 0.0002 / tangent(10.0), epsilon = CLOSE);
    shop.push(Pass::round(cutter(1.0, 10.0), 0.498, -0.9));
    assert_abs_diff_eq!(line(&shop).expect("a line"), -0.9 + 0.002 / tangent(10.0), epsilon = CLOSE);
    // A foot that a rounded corner leaves is no rounded edge.
    let mut shop = Shop::new(square());
    shop.push(Pass::round(Form::Bull { diameter: 0.5, corner_radius: 0.125 }, 0.25, -0.6));
    assert_eq!((heights(&shop).rounding_lower, line(&shop)), (None, None));
}

/// Two passes meant to be flush differ by the rounding of their programs: the land goes on over a step of less than
/// 0.0005 in, whichever way, and ends at one of more.
#[test]
fn a_land_goes_on_over_a_small_step_only() {
    const AT: f64 = -0.2;
    let tan = tangent(10.0);
    let points = vec![[0.3, 0.0], [0.3, 0.82], [0.2, 0.82], [0.2, 1.2]];
    for step in [0.0004, 0.0006] {
        let small = step < 0.0005;
        // Above the step the wall is cut deeper.
        let mut inward = Shop::finished(square());
        inward.push(Pass::round(Form::Flat { diameter: 0.5 }, 0.25 - step, AT));
        // Below it, by a disc: the step hangs over.
        let mut outward = Shop::finished(square());
        outward.push(Pass::round(Form::Silhouette { points: points.clone() }, 0.3 - step, AT - 0.82));
        let under = -0.9 + (0.1 - step) / tan;
        let cases = [
            (inward, -0.9 + 0.1 / tan, if small { TOP } else { AT }),
            (outward, if small { under } else { AT }, TOP),
        ];
        for (mut shop, line, end) in cases {
            shop.push(Pass::round(cutter(1.0, 10.0), 0.4, -0.9));
            let found = heights(&shop);
            assert_abs_diff_eq!(found.undercut_line.expect("a line"), line, epsilon = CLOSE);
            assert_abs_diff_eq!(found.land.expect("a land"), end - line, epsilon = CLOSE);
        }
    }
}

/// A neck wider than the line needs cuts the wall above the cone as well: what is left is the neck's own face.
#[test]
fn a_neck_that_rubs_moves_the_whole_face() {
    let (angle, height, step) = (10.0, 0.2, 0.1);
    let mut shop = Shop::finished(square());
    shop.push(Pass::round(Form::Undercut { diameter: 1.0, angle, height }, 0.5 - step, -0.9));
    let found = heights(&shop);
    assert_abs_diff_eq!(found.undercut_line.expect("a line"), -0.9 + height, epsilon = CLOSE);
    assert_abs_diff_eq!(found.face.expect("a face"), height * tangent(angle) - step, epsilon = 1e-9);
}

/// A cutter for slots leaves a shelf that hangs over, level with the upper side of its disc.
#[test]
fn a_shelf_that_hangs_over_is_an_undercut() {
    let points = vec![[0.5, 0.0], [0.5, 0.25], [0.2, 0.25], [0.2, 1.0]];
    let mut shop = Shop::finished(square());
    shop.push(Pass::round(Form::Silhouette { points }, 0.5 - 0.1, -0.9));
    let found = heights(&shop);
    assert_abs_diff_eq!(found.undercut_line.expect("a line"), -0.65, epsilon = CLOSE);
    assert_abs_diff_eq!(found.land.expect("a land"), 0.65, epsilon = CLOSE);
}

/// On an arc of the outline nothing changes: the circle about the same centre is the wall's own.
#[test]
fn arcs_of_the_outline_have_the_line_of_a_straight_stretch() {
    let (angle, tip, step) = (10.0, -1.0, 0.08);
    let mut shop = Shop::finished(rounded());
    shop.push(Pass::round(cutter(1.0, angle), 0.5 - step, tip));
    let along = shop.along();
    let line = along.passes[1].undercut_line.expect("a line");
    assert_abs_diff_eq!(line.least, tip + step / tangent(angle), epsilon = CLOSE);
    assert_abs_diff_eq!(line.most, tip + step / tangent(angle), epsilon = CLOSE);
    let land = along.passes[1].land.expect("a land");
    assert_abs_diff_eq!(land.least, TOP - line.most, epsilon = CLOSE);
    assert!(along.passes[1].without_undercut.is_empty());
    assert_eq!(along.passes[0].undercut_line, None);
}

/// A concave corner of the outline: neither cutter reaches into it, the larger less. There the undercut ends, at the
/// stations the plain walk says.
#[test]
fn in_a_concave_corner_the_undercut_ends() {
    let mut shop = Shop::new(concave());
    shop.push(Pass::round(Form::Flat { diameter: 0.5 }, 0.25, -1.02));
    shop.push(Pass::round(cutter(1.0, 10.0), 0.5 - 0.05, -1.02));
    let along = shop.along();
    let wall = &along.passes[1];
    let corner = shop.station_near(pt(2.0, 2.0));
    // In the corner itself the line square to one side sees the other side's undercut.
    let [(from, before), (after, to)] = wall.without_undercut[..] else {
        panic!("{:?}", wall.without_undercut)
    };
    assert!(corner - before < 0.005 && after - corner < 0.005, "{before} {corner} {after}");
    // On a leg of the corner, s away from it: the finish leaves the circle of radius .25 about (.25, .25), the cone
    // at the bottom of the block nearly the circle of .5 about (.45, .45).
    let finish = |s: f64| if s >= 0.25 { 0.0 } else { 0.25 - (0.0625 - (0.25 - s).powi(2)).sqrt() };
    let bottom = 0.5 - (BOTTOM + 1.02) * tangent(10.0);
    let edge = |s: f64| 0.45 - (bottom.powi(2) - (0.45 - s).max(0.0).powi(2)).sqrt();
    let border = halved(0.02, 0.45, |s| finish(s) - 0.0005 - edge(s));
    assert_abs_diff_eq!(to - corner, border, epsilon = 0.005);
    assert_abs_diff_eq!(corner - from, border, epsilon = 0.005);
    let line = wall.undercut_line.expect("a line");
    assert_abs_diff_eq!(line.most, -1.02 + 0.05 / tangent(10.0), epsilon = CLOSE);
}

/// Next to a sharp corner the section runs through what the other side's undercut took; the line stays.
#[test]
fn next_to_a_sharp_corner_the_line_stays() {
    let mut shop = Shop::finished(square());
    shop.push(Pass::round(cutter(1.0, 10.0), 0.5 - 0.1, -1.02));
    let line = -1.02 + 0.1 / tangent(10.0);
    for along in [0.0, 0.001, 0.03, 0.099, 0.11, 3.999] {
        let found = shop.heights(0, along)[1];
        assert_abs_diff_eq!(found.undercut_line.expect("a line"), line, epsilon = CLOSE);
    }
    let found = shop.wall().section(0.0);
    assert_abs_diff_eq!(found.passes[1].heights.undercut_line.expect("a line"), line, epsilon = CLOSE);
    let range = shop.along().passes[1].undercut_line.expect("a line");
    assert_abs_diff_eq!(range.least, line, epsilon = CLOSE);
    assert_abs_diff_eq!(range.most, line, epsilon = CLOSE);
}

/// A blank sawn short keeps its sawn face: the step counts from there.
#[test]
fn on_a_short_blank_the_step_counts_from_the_sawn_face() {
    let (angle, tip, step) = (10.0, -0.9, 0.1);
    for short in [0.03, 0.0999, 0.12] {
        let mut shop = Shop::new(square());
        shop.edge = shop.edge.placed(pt(0.0, 0.3 + short), 0.0);
        shop.push(Pass::round(Form::Flat { diameter: 0.5 }, 0.25, -1.02));
        shop.push(Pass::round(cutter(1.0, angle), 0.5 - step, tip));
        let found = heights(&shop);
        assert_abs_diff_eq!(found.face.expect("a face"), -short, epsilon = 1e-9);
        let line = (step > short).then(|| tip + (step - short) / tangent(angle));
        assert_eq!(found.undercut_line.is_some(), line.is_some(), "{short} short: {found:?}");
        assert_abs_diff_eq!(found.undercut_line.unwrap_or(0.0), line.unwrap_or(0.0), epsilon = CLOSE);
    }
}

/// Seeded stations, many next to corners, where the finish and the undercut leave what they can: the line against a
/// plain walk down the face.
#[test]
fn lines_at_corners_agree_with_a_plain_walk() {
    /// The plain walk is surer than this of where the face is.
    const SURE: f64 = 0.000_02;
    let mut rng = Lcg(97);
    for outline in [rounded(), concave()] {
        let mut shop = Shop::new(outline);
        shop.push(Pass::round(Form::Flat { diameter: 0.5 }, 0.25 + 0.01, -1.02));
        shop.push(Pass::round(cutter(0.9, 12.0), 0.45 - 0.09, -1.02));
        let wall = shop.wall();
        let corners = wall.outline.span_starts();
        for case in 0..40 {
            let corner = corners[case % corners.len()];
            let station = (corner + rng.between(-0.4, 0.4)).rem_euclid(wall.outline.length());
            let section = wall.section(station);
            let plain = Plain::new(&shop, &section.place, section.reach);
            let face = plain.leave(2, TOP - 0.01).expect("metal at the top");
            let land = |height: f64| plain.leave(2, height).is_some_and(|leave| leave > face - SURE);
            let steps = (1..100).map(|step| TOP - 0.01 * f64::from(step));
            let below = steps.clone().find(|height| !land(*height));
            let found = section.passes[1].heights.undercut_line;
            let walked = below.map(|low| halved(low, low + 0.01, |at| if land(at) { 1.0 } else { -1.0 }));
            assert_eq!(found.is_some(), walked.is_some(), "station {station}: {found:?} {walked:?}");
            assert_abs_diff_eq!(found.unwrap_or(0.0), walked.unwrap_or(0.0), epsilon = 0.0005);
        }
    }
}

/// Seeded outlines, passes and stations; the face at many heights, from the polygons, against the plain walk.
#[test]
fn sections_agree_with_a_plain_walk() {
    let mut rng = Lcg(41);
    let (mut looked, mut excused) = (0, 0);
    for case in 0..15 {
        let mut shop = Shop::new([square(), rounded(), concave()][case % 3].clone());
        shop.random_passes(&mut rng);
        let wall = shop.wall();
        for _ in 0..2 {
            let station = rng.between(0.0, wall.outline.length());
            let section = wall.section(station);
            let plain = Plain::new(&shop, &section.place, section.reach);
            for _ in 0..12 {
                let height = rng.between(BOTTOM, TOP);
                for (pass, after) in section.passes.iter().enumerate() {
                    let (found, walked) =
                        (plain::leave_of(&after.metal, height), plain.leave(pass + 1, height));
                    looked += 1;
                    if far(found, walked) {
                        // Next to a ledge the walk may see the other side of it.
                        let beside = [-1e-4, 1e-4].map(|by| plain.leave(pass + 1, height + by));
                        let what = format!("case {case}, station {station}, pass {pass}, height {height}");
                        assert!(
                            beside.iter().any(|other| far(*other, walked)),
                            "{what}: {found:?} {walked:?}"
                        );
                        excused += 1;
                    }
                }
            }
        }
    }
    assert!(excused * 50 < looked, "{excused} of {looked} lie on a ledge");
}

/// Farther apart than the polygons may lie from the metal, 0.0001 in, and the walk may err.
fn far(a: Option<f64>, b: Option<f64>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() > 0.000_15,
        (a, b) => a.is_some() != b.is_some(),
    }
}

/// The area of a section on a straight stretch: the face at the outline down to the line, then the cone.
#[test]
fn a_section_has_the_area_of_its_shape() {
    let (angle, tip, step) = (10.0, -1.02, 0.1);
    let mut shop = Shop::finished(square());
    shop.push(Pass::round(cutter(1.0, angle), 0.5 - step, tip));
    let wall = shop.wall();
    let section = wall.section(straight_station());
    let line = tip + step / tangent(angle);
    let depth = -section.reach.0;
    let rise = line - BOTTOM;
    let wanted = depth * (TOP - BOTTOM) - rise * rise * tangent(angle) / 2.0;
    assert_abs_diff_eq!(plain::area(&section.passes[1].metal), wanted, epsilon = 1e-5);
    let corners: usize = section.passes[1].metal.iter().map(Vec::len).sum();
    assert!(corners <= 6, "straight sides need no more corners: {corners}");
    let tool = section.passes[1].tool.expect("it goes by");
    assert_abs_diff_eq!(tool.q, 0.5 - step, epsilon = 1e-9);
    assert_abs_diff_eq!(tool.tip, tip, epsilon = 1e-12);
}

/// Millimetres give what inches give.
#[test]
fn millimetres_give_what_inches_give() {
    let (angle, tip, step) = (10.0, -1.0, 0.1);
    let side = 4.0 * 25.4;
    let vertices = [(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)].map(|(x, y)| (pt(x, y), 0.0));
    let outline = Path::closed(&vertices).expect("a square");
    let edge = Path::closed(&vertices.map(|(at, _)| (at * 1.2 - pt(10.0, 10.0), 0.0))).expect("a square");
    let passes = [
        Pass::round(Form::Flat { diameter: 12.7 }, 6.35, -25.9),
        Pass::round(Form::Undercut { diameter: 25.4, angle, height: 20.0 }, 25.4 * (0.5 - step), 25.4 * tip),
    ];
    let made = passes.map(|pass| WallPass::new(&pass.track(&outline), &pass.form));
    let tolerances = WallTolerances::for_units(Units::Mm);
    let wall = Wall::new((&outline, &edge), (-25.4, 0.0), made.iter().collect(), tolerances);
    let found = wall.heights_on(0, side / 3.0)[1];
    assert_abs_diff_eq!(
        found.undercut_line.expect("a line"),
        25.4 * (tip + step / tangent(angle)),
        epsilon = 0.0003
    );
}

#[test]
fn long_work_stops_when_asked() {
    let shop = Shop::finished(square());
    let cancel = Cancel::new();
    cancel.raise();
    let wall = shop.wall();
    assert!(wall.along(Task::quiet(&cancel)).is_err());
    let along = shop.along();
    let mut undercut = Shop::finished(square());
    undercut.push(Pass::round(cutter(1.0, 10.0), 0.45, -1.02));
    assert!(undercut.wall().undercut_table(&undercut.along(), 0.05, Task::quiet(&cancel)).is_err());
    assert!(!wall.is_undercut() && undercut.wall().is_undercut());
    assert_eq!(along.passes.len(), 1);
}

/// Over pins: references section 4. Constant and examples published or derived as marked there.
#[test]
fn pins_measure_as_published() {
    let over = |root: f64, diameter: f64, angle: f64| Pins { diameter, undercut: 90.0 - angle }.over(root);
    // x = D (1 + cot(alpha / 2)) + a, Machinery's Handbook, 27th ed. p. 713, and its 60 degree constant 2.7320508; published.
    // The values with a root are worked out from it; derived.
    assert_abs_diff_eq!(over(1.0, 0.25, 60.0), 1.683_012_7, epsilon = 5e-8);
    assert_abs_diff_eq!(over(40.0, 10.0, 60.0), 67.320_508_1, epsilon = 5e-8);
    assert_abs_diff_eq!(over(0.0, 1.0, 60.0), 2.732_050_8, epsilon = 5e-8);
    // Derived.
    assert_abs_diff_eq!(over(1.0, 0.25, 55.0), 1.730_245_5, epsilon = 5e-8);
    assert_abs_diff_eq!(over(0.0, 1.0, 85.0), 2.091_308_5, epsilon = 5e-8);
    assert_abs_diff_eq!(over(1.0, 0.25, 85.0), 1.522_827_1, epsilon = 5e-8);
    assert_abs_diff_eq!(over(1.0, 0.25, 87.0), 1.513_445_0, epsilon = 5e-8);
    let pins = Pins { diameter: 0.25, undercut: 10.0 };
    assert_abs_diff_eq!(pins.root_of_block(pins.over(3.8)), 3.8, epsilon = 1e-12);
    assert_abs_diff_eq!(pins.root_of_opening(pins.between(3.8)), 3.8, epsilon = 1e-12);
    assert_abs_diff_eq!(pins.between(3.8), 3.8 - (pins.over(3.8) - 3.8), epsilon = 1e-12);
}

/// The width that pins lie beside: the outline's, less the step on both sides; exact geometry, derived.
#[test]
fn the_root_goes_straight_across_from_wall_to_wall() {
    let step = 0.12;
    for (outline, station, width) in [
        (square(), straight_station(), Some(4.0)),
        (square(), 4.0 + 1.0, Some(4.0)),
        // From the inner side of the L to its back; from its foot to the side under the step.
        (concave(), 4.0 + 2.0 + 2.0 + 1.0, Some(2.0)),
        (concave(), 3.0, Some(2.0)),
        // Opposite a rounded corner no wall is parallel.
        (rounded(), 12.6 + 0.75 * std::f64::consts::PI, None),
        (rounded(), 0.2, Some(4.0)),
    ] {
        let mut shop = Shop::finished(outline);
        shop.push(Pass::round(cutter(0.5, 10.0), 0.25 - step, BOTTOM));
        let found = shop.wall().root_across(station);
        match (found, width) {
            (Some(found), Some(width)) => {
                assert_abs_diff_eq!(found, width - 2.0 * step, epsilon = CLOSE * 20.0);
            }
            (found, width) => assert_eq!(found, width, "at {station}"),
        }
    }
}

/// Over the pins of a block with the section of a real undercut, the pin found by trying: it moves in until it
/// touches the wall.
#[test]
fn pins_on_a_section_measure_its_root() {
    let (angle, step) = (10.0, 0.12);
    let mut shop = Shop::finished(square());
    shop.push(Pass::round(cutter(1.0, angle), 0.5 - step, BOTTOM));
    let wall = shop.wall();
    let metal = &wall.section(straight_station()).passes[1].metal;
    let pins = Pins { diameter: 0.25, undercut: angle };
    let line = heights(&shop).undercut_line.expect("a line") - BOTTOM;
    assert!(pins.touch_below(line) && !pins.touch_below(pins.contact_height()));
    let radius = pins.diameter / 2.0;
    // The wall's points, from the bottom up, keep the pin's middle this far out.
    let rows = (1..20_000).map(|i| f64::from(i) * 0.5 / 20_000.0);
    let held = rows.filter_map(|above| {
        let leave = plain::leave_of(metal, BOTTOM + above)?;
        let square = radius * radius - (above - radius).powi(2);
        (square >= 0.0).then(|| (leave + square.sqrt(), above))
    });
    let (middle, touch) = held.max_by(|a, b| a.0.total_cmp(&b.0)).expect("it touches");
    let root = 4.0 - 2.0 * step;
    assert_abs_diff_eq!(4.0 + 2.0 * (middle + radius), pins.over(root), epsilon = 1e-5);
    assert_abs_diff_eq!(touch, pins.contact_height(), epsilon = 1e-3);
}
