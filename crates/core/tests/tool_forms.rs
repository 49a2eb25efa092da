//! Cutter forms against published dimensions, closed forms and a slow plain walk along the silhouette.

use approx::assert_abs_diff_eq;
use blockwright_core::geometry::{Span, pt};
use blockwright_core::tool::drawing::{PartKind, outline};
use blockwright_core::tool::{Form, Profile, Tool};

/// Knuth's MMIX generator: the same forms on every run.
struct Lcg(u64);

impl Lcg {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }
}

fn undercut() -> Form {
    Form::Undercut { diameter: 1.0, angle: 10.0, height: 0.75 }
}

fn edge_round() -> Form {
    Form::EdgeRound { pilot_diameter: 0.25, radius: 0.125, pilot_length: 0.0625 }
}

fn drill() -> Form {
    Form::Drill { diameter: 0.25, point_angle: 118.0 }
}

/// A cutter for slots wider than its neck, a collar above it.
fn collared() -> Form {
    let points = vec![[0.0, 0.0], [0.3, 0.1], [0.5, 0.1], [0.5, 0.3], [0.2, 0.3], [0.2, 0.6], [0.4, 0.8]];
    Form::Silhouette { points }
}

fn all() -> Vec<Form> {
    vec![
        Form::Flat { diameter: 0.5 },
        Form::Ball { diameter: 0.5 },
        Form::Bull { diameter: 0.5, corner_radius: 0.0625 },
        undercut(),
        edge_round(),
        Form::Chamfer { tip_diameter: 0.1, angle: 45.0, height: 0.25 },
        drill(),
        collared(),
    ]
}

/// Radii at heights above the tip. Taper offset is height x tan(angle): references section 4, derived. Corner and
/// concave quarter: exact geometry of a circle, derived here.
#[test]
fn radii_follow_the_dimensions() {
    let tan10 = 10.0_f64.to_radians().tan();
    let quarter = |h: f64| 0.125 + 0.125 - (0.125_f64.powi(2) - (h - 0.0625_f64).powi(2)).sqrt();
    let cases: &[(Form, f64, f64)] = &[
        (Form::Flat { diameter: 0.5 }, 0.0, 0.25),
        (Form::Flat { diameter: 0.5 }, 9.0, 0.25),
        (Form::Ball { diameter: 0.5 }, 0.0, 0.0),
        (Form::Ball { diameter: 0.5 }, 0.25, 0.25),
        (Form::Ball { diameter: 0.5 }, 3.0, 0.25),
        (undercut(), 0.0, 0.5),
        (undercut(), 0.3, 0.5 - 0.3 * tan10),
        (undercut(), 0.75, 0.5 - 0.75 * tan10),
        (undercut(), 2.0, 0.5 - 0.75 * tan10),
        (edge_round(), 0.0, 0.125),
        (edge_round(), 0.0625, 0.125),
        (edge_round(), 0.1, quarter(0.1)),
        (edge_round(), 0.1875, 0.25),
        (edge_round(), 1.0, 0.25),
        (Form::Chamfer { tip_diameter: 0.1, angle: 45.0, height: 0.25 }, 0.1, 0.15),
        (Form::Chamfer { tip_diameter: 0.1, angle: 45.0, height: 0.25 }, 1.0, 0.3),
        // The point of a 118 degree drill is 0.3004 x D high: tan 31 degrees / 2, derived.
        (drill(), 0.125 * 31.0_f64.to_radians().tan(), 0.125),
        (drill(), 0.01, 0.01 * 59.0_f64.to_radians().tan()),
        (Form::Drill { diameter: 0.25, point_angle: 180.0 }, 0.0, 0.125),
        (collared(), 0.05, 0.15),
        (collared(), 0.1, 0.5),
        (collared(), 0.3, 0.5),
        (collared(), 0.300_001, 0.2),
        (collared(), 0.7, 0.3),
        (collared(), 5.0, 0.4),
    ];
    for (form, height, radius) in cases {
        let found = form.radius_at(*height).unwrap_or(f64::NAN);
        assert_abs_diff_eq!(found, *radius, epsilon = 1e-12);
    }
    for form in all() {
        assert_eq!(form.radius_at(-1e-9), None, "{}", form.kind());
    }
}

/// Taper offsets of one unit of height: references section 4, derived.
#[test]
fn tapers_are_the_tangents_of_their_angles() {
    let table = [(1.0, 0.017_455_06), (2.0, 0.034_920_77), (3.0, 0.052_407_78), (5.0, 0.087_488_66)];
    for (angle, offset) in table.into_iter().chain([(7.0, 0.122_784_56)]) {
        let form = Form::Undercut { diameter: 1.0, angle, height: 1.0 };
        assert_abs_diff_eq!(form.radius_at(1.0).unwrap_or(f64::NAN), 0.5 - offset, epsilon = 5e-9);
        let form = Form::Chamfer { tip_diameter: 1.0, angle, height: 1.0 };
        assert_abs_diff_eq!(form.radius(), 0.5 + offset, epsilon = 5e-9);
    }
}

/// Underside and roof. Exact geometry, derived here.
#[test]
fn undersides_and_roofs_are_where_the_silhouette_is() {
    let tan10 = 10.0_f64.to_radians().tan();
    let cases: &[(Form, f64, Option<f64>, Option<f64>)] = &[
        (Form::Flat { diameter: 0.5 }, 0.25, Some(0.0), None),
        (Form::Flat { diameter: 0.5 }, 0.250_001, None, None),
        (undercut(), 0.1, Some(0.0), None),
        (undercut(), 0.45, Some(0.0), Some(0.05 / tan10)),
        (undercut(), 0.5, Some(0.0), Some(0.0)),
        (undercut(), 0.501, None, None),
        (edge_round(), 0.125, Some(0.0), None),
        (edge_round(), 0.2, Some(0.0625 + (0.125_f64.powi(2) - 0.05_f64.powi(2)).sqrt()), None),
        (edge_round(), 0.25, Some(0.1875), None),
        (Form::Chamfer { tip_diameter: 0.1, angle: 45.0, height: 0.25 }, 0.2, Some(0.15), None),
        (collared(), 0.15, Some(0.05), None),
        (collared(), 0.25, Some(0.083_333_333_333_333_3), Some(0.3)),
        (collared(), 0.45, Some(0.1), Some(0.3)),
        (collared(), 0.55, None, None),
    ];
    for (form, radius, low, roof) in cases {
        let what = format!("{} at {radius}", form.kind());
        for (found, wanted) in [(form.height_at(*radius), *low), (form.roof_at(*radius), *roof)] {
            assert_eq!(found.is_some(), wanted.is_some(), "{what}");
            assert_abs_diff_eq!(found.unwrap_or(0.0), wanted.unwrap_or(0.0), epsilon = 1e-12);
        }
    }
    let heights = collared().profile().heights_at(0.35);
    assert_eq!(heights.len(), 2, "collar, and the part above the neck: {heights:?}");
    assert_abs_diff_eq!(heights[1].0, 0.75, epsilon = 1e-12);
    assert!(heights[1].1.is_infinite());
}

/// A plain walk up the radii in small steps, against the exact answers.
#[test]
fn heights_and_radii_agree_with_a_plain_walk() {
    const STEPS: usize = 40_000;
    let mut rng = Lcg(7);
    for form in all() {
        let profile = form.profile();
        let end = profile.top().y + 0.1;
        let step = end / STEPS as f64;
        let radii: Vec<f64> =
            (0..=STEPS).map(|i| profile.radius_at(i as f64 * step).unwrap_or(f64::NAN)).collect();
        for _ in 0..50 {
            let radius = rng.between(0.0, form.radius());
            let inside =
                |h: f64| profile.heights_at(radius).iter().any(|(low, high)| h >= *low && h <= *high);
            for (i, found) in radii.iter().enumerate() {
                let height = i as f64 * step;
                // Next to a border the walk cannot tell.
                if (found - radius).abs() > 1e-9 {
                    assert_eq!(*found >= radius, inside(height), "{}: {radius} at {height}", form.kind());
                }
            }
            let first = radii.iter().position(|found| *found >= radius).map(|i| i as f64 * step);
            let (exact, walked) = (form.height_at(radius).unwrap_or(f64::NAN), first.unwrap_or(f64::NAN));
            assert!(exact <= walked + 1e-12 && walked - exact <= step * 1.001, "{}: {radius}", form.kind());
        }
    }
}

/// Each piece starts where the last one ended, the first on the axis at the tip, and its arcs lie where their ends
/// say.
#[test]
fn profiles_run_from_the_axis_without_a_gap() {
    for form in all() {
        let profile: Profile = form.profile();
        let mut end = pt(0.0, 0.0);
        for piece in profile.pieces() {
            assert_eq!(piece.from, end, "{}", form.kind());
            assert!(piece.to.y >= piece.from.y, "{}", form.kind());
            let span: Span = piece.span();
            assert_abs_diff_eq!(span.at(0.0).distance(piece.from), 0.0, epsilon = 1e-12);
            assert_abs_diff_eq!(span.at(1.0).distance(piece.to), 0.0, epsilon = 1e-12);
            end = piece.to;
        }
        assert_eq!(end, profile.top());
        assert_eq!(profile.widest(), form.radius(), "{}", form.kind());
    }
}

#[test]
fn only_a_form_wider_below_undercuts() {
    let narrowing = vec![[0.3, 0.0], [0.1, 0.2]];
    let cases = [(undercut(), true), (collared(), true), (edge_round(), false), (drill(), false)];
    for (form, undercuts) in cases.into_iter().chain([(Form::Silhouette { points: narrowing }, true)]) {
        assert_eq!(form.is_undercutting(), undercuts, "{}", form.kind());
    }
}

/// Each refused for the dimension at fault, with the border itself where one can be made.
#[test]
fn impossible_dimensions_are_refused_with_their_key_and_reason() {
    let silhouette = |points: &[[f64; 2]]| Form::Silhouette { points: points.to_vec() };
    let edge =
        |pilot_diameter, radius, pilot_length| Form::EdgeRound { pilot_diameter, radius, pilot_length };
    let cone = |diameter, angle, height| Form::Undercut { diameter, angle, height };
    let chamfer = |tip_diameter, angle, height| Form::Chamfer { tip_diameter, angle, height };
    let drill = |diameter, point_angle| Form::Drill { diameter, point_angle };
    let bull = |diameter, corner_radius| Form::Bull { diameter, corner_radius };
    let refused: &[(Form, &str, &str)] = &[
        (Form::Flat { diameter: f64::INFINITY }, "diameter", "above 0"),
        (Form::Ball { diameter: -0.5 }, "diameter", "above 0"),
        (bull(0.5, 0.0), "corner_radius", "above 0"),
        (bull(0.5, 0.250_001), "corner_radius", "more than half the diameter"),
        (cone(0.0, 10.0, 0.5), "diameter", "above 0"),
        (cone(1.0, 0.0, 0.5), "angle", "between 0 and 90"),
        (cone(1.0, 90.0, 0.5), "angle", "between 0 and 90"),
        (cone(1.0, 10.0, 0.0), "height", "above 0"),
        // 0.5 / tan 45 degrees = 0.5: the cone closes just there.
        (cone(1.0, 45.0, 0.500_001), "height", "come to a point"),
        (edge(-0.1, 0.125, 0.0), "pilot_diameter", "below 0"),
        (edge(0.25, 0.0, 0.0), "radius", "above 0"),
        (edge(0.25, 0.125, -0.01), "pilot_length", "below 0"),
        (edge(0.0, 0.125, 0.1), "pilot_length", "without a diameter"),
        (chamfer(-0.1, 45.0, 0.25), "tip_diameter", "below 0"),
        (chamfer(0.1, 95.0, 0.25), "angle", "between 0 and 90"),
        (chamfer(0.1, 45.0, f64::NAN), "height", "above 0"),
        (drill(0.0, 118.0), "diameter", "above 0"),
        (drill(0.25, 0.0), "point_angle", "between 0 and 180"),
        (drill(0.25, 181.0), "point_angle", "between 0 and 180"),
        (silhouette(&[]), "points", "at least two"),
        (silhouette(&[[0.1, 0.0]]), "points", "at least two"),
        (silhouette(&[[0.1, 0.0], [f64::NAN, 0.2]]), "points", "must be a number"),
        (silhouette(&[[0.1, 0.0], [-0.1, 0.2]]), "points", "below 0"),
        (silhouette(&[[0.1, 0.1], [0.1, 0.2]]), "points", "height must be 0"),
        (silhouette(&[[0.1, 0.0], [0.2, 0.2], [0.2, 0.1]]), "points", "must not fall"),
        (silhouette(&[[0.1, 0.0], [0.2, 0.2], [0.0, 0.3]]), "points", "only the tip itself"),
        (silhouette(&[[0.0, 0.0], [0.0, 0.2]]), "points", "only the tip itself"),
    ];
    for (form, key, why) in refused {
        let (found, reason) = form.check().expect_err("cannot be made");
        assert_eq!(found, *key, "{form:?}");
        assert!(reason.contains(why), "{form:?}: {reason}");
    }
    let sound = [
        bull(0.5, 0.25),
        cone(1.0, 45.0, 0.499_999),
        edge(0.0, 0.125, 0.0),
        edge(0.25, 0.125, 0.0),
        chamfer(0.0, 89.0, 0.25),
        drill(0.25, 180.0),
        silhouette(&[[0.0, 0.0], [0.2, 0.0]]),
    ];
    for form in all().into_iter().chain(sound) {
        assert_eq!(form.check(), Ok(()), "{form:?}");
    }
}

fn tool(form: Form) -> Tool {
    Tool {
        number: 1,
        name: None,
        form,
        flutes: Some(4),
        flute_length: None,
        shank_diameter: None,
        stickout: None,
        holder_diameter: None,
    }
}

#[test]
fn facts_that_do_not_fit_together_are_doubted() {
    let flat = || tool(Form::Flat { diameter: 0.5 });
    let cases: [(Tool, &[&str]); 7] = [
        (flat(), &[]),
        (Tool { flute_length: Some(1.25), stickout: Some(1.25), ..flat() }, &[]),
        (Tool { flute_length: Some(1.26), stickout: Some(1.25), ..flat() }, &["flute_length"]),
        (Tool { flute_length: Some(0.5), ..tool(undercut()) }, &["flute_length"]),
        (
            Tool { flute_length: Some(0.75), stickout: Some(0.7), ..tool(undercut()) },
            &["flute_length", "stickout"],
        ),
        (Tool { shank_diameter: Some(0.5), holder_diameter: Some(0.5), ..flat() }, &["holder_diameter"]),
        (Tool { shank_diameter: Some(0.5), holder_diameter: Some(1.5), ..flat() }, &[]),
    ];
    for (tool, keys) in cases {
        let found: Vec<&str> = tool.doubts().iter().map(|doubt| doubt.key).collect();
        assert_eq!(found, keys, "{tool:?}");
    }
}

#[test]
fn a_drawing_is_closed_to_scale_and_says_what_it_guesses() {
    let whole = Tool {
        flute_length: Some(1.0),
        shank_diameter: Some(0.5),
        stickout: Some(1.75),
        holder_diameter: Some(1.5),
        ..tool(undercut())
    };
    let parts = outline(&whole);
    let kinds: Vec<_> = parts.iter().map(|part| (part.kind, part.top, part.known)).collect();
    let wanted =
        [(PartKind::Cutter, 1.0, true), (PartKind::Shank, 1.75, true), (PartKind::Holder, 2.5, true)];
    assert_eq!(kinds, wanted);
    for part in all().into_iter().flat_map(|form| outline(&tool(form))).chain(parts) {
        let ends: Vec<_> = part.pieces.iter().map(|piece| (piece.at(0.0), piece.at(1.0))).collect();
        assert!(ends.windows(2).all(|pair| pair[0].1.distance(pair[1].0) < 1e-12), "{part:?}");
        assert!(ends.first().is_some_and(|(from, _)| from.x.abs() < 1e-12), "{part:?}");
        assert_eq!(ends.last().map(|(_, to)| *to), Some(pt(0.0, part.top)), "{part:?}");
    }
    let guessed = outline(&tool(Form::Flat { diameter: 0.5 }));
    assert_eq!(
        guessed.iter().map(|part| (part.kind, part.known)).collect::<Vec<_>>(),
        [(PartKind::Cutter, false)]
    );
}
