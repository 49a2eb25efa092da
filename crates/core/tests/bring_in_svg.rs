//! Outlines brought in from SVG: shapes, paths, transforms, units, and files that are no such thing.

use std::f64::consts::PI;

use blockwright_core::bring_in::{MOST_NESTING, Trouble, curve_tolerance, open, read};
use blockwright_core::geometry::pt;
use blockwright_core::units::Units;

fn page(head: &str, body: &str) -> Vec<u8> {
    format!("<svg xmlns=\"http://www.w3.org/2000/svg\" {head}>{body}</svg>").into_bytes()
}

const MM: &str = "width=\"100mm\" height=\"80mm\" viewBox=\"0 0 100 80\"";

/// Lengths and areas by formula (derived); SVG 2 says what the elements mean (published).
#[test]
fn shapes_have_their_size() {
    let half_round = "<path d=\"M10 10 A5 5 0 0 1 20 10 Z\"/>";
    let relative = "<path d=\"m1 1h4v3h-4z\"/>";
    let quarter = "<path d=\"M0 0h3a1 1 0 0 1 1 1v2H0z\"/>";
    // y = x (1 - x) as a quadratic and as the cubic that is the same curve.
    let quadratic = "<path d=\"M0 0Q.5 .5 1 0Z\"/>";
    let cubic =
        "<path d=\"M0 0C.3333333333333333 .3333333333333333 .6666666666666667 .3333333333333333 1 0Z\"/>";
    let parabola = f64::midpoint(2.0_f64.sqrt(), 1.0_f64.asinh()) + 1.0;
    let rounded = "<rect x=\"1\" y=\"2\" width=\"4\" height=\"3\" rx=\"0.5\"/>";
    let turned = "<g transform=\"translate(20 5) rotate(30)\"><rect width=\"4\" height=\"3\" transform=\"scale(2 -2)\"/></g>";
    let skewed = "<rect width=\"4\" height=\"3\" transform=\"skewX(45)\"/>";
    let used = "<defs><circle id=\"c\" r=\"1.5\"/></defs><use href=\"#c\" x=\"5\" y=\"5\"/>";
    for (name, body, length, area) in [
        ("rect", "<rect x=\"1\" y=\"1\" width=\"4\" height=\"3\"/>", 14.0, 12.0),
        ("relative path", relative, 14.0, 12.0),
        ("rounded rect", rounded, 10.0 + PI, 12.0 - 0.25 * (4.0 - PI)),
        ("circle", "<circle cx=\"9\" cy=\"9\" r=\"2\"/>", 4.0 * PI, 4.0 * PI),
        ("polygon", "<polygon points=\"0,0 4,0 4,3\"/>", 12.0, 6.0),
        ("half round", half_round, 5.0 * PI + 10.0, 12.5 * PI),
        ("quarter round", quarter, 12.0 + PI / 2.0, 12.0 - (1.0 - PI / 4.0)),
        ("quadratic", quadratic, parabola, 1.0 / 6.0),
        ("cubic", cubic, parabola, 1.0 / 6.0),
        ("turned and scaled", turned, 28.0, 48.0),
        ("skewed", skewed, 8.0 + 6.0 * 2.0_f64.sqrt(), 12.0),
        ("used", used, 3.0 * PI, 2.25 * PI),
        ("loose lines", "<line x2=\"4\"/><polyline points=\"4 0 4 3 0 0\"/>", 12.0, 6.0),
    ] {
        let brought =
            read("a.svg", &page(MM, body), None, None, Units::Mm).unwrap_or_else(|f| panic!("{name}: {f}"));
        assert!((brought.path.length() - length).abs() < 2e-4, "{name}: {} {length}", brought.path.length());
        assert!((brought.path.area() - area).abs() < 1e-3, "{name}: {} {area}", brought.path.area());
    }
}

/// Circles under turns, even scales and mirrors stay arcs; under others they are followed.
#[test]
fn rounds_stay_arcs_where_they_can() {
    let circle = |map: &str| page(MM, &format!("<circle r=\"3\" transform=\"{map}\"/>"));
    for map in ["rotate(20)", "scale(-2 2)", "matrix(0 1 1 0 3 4)"] {
        let brought = read("a.svg", &circle(map), None, None, Units::Mm).expect("a circle");
        assert_eq!(brought.vertices.len(), 2, "{map}");
    }
    let brought = read("a.svg", &circle("scale(2 1)"), None, None, Units::Mm).expect("an ellipse");
    for step in 0..2000 {
        let t = f64::from(step) / 2000.0 * 2.0 * PI;
        let off = brought.path.distance(pt(6.0 * t.cos(), 80.0 - 3.0 * t.sin()));
        assert!(off <= curve_tolerance(Units::Mm), "{off}");
    }
}

/// Y runs up, and the page's lower left corner is the origin.
#[test]
fn the_page_gives_origin_and_unit() {
    let square = "<rect x=\"10\" y=\"10\" width=\"20\" height=\"5\"/>";
    for (head, units, low, high) in [
        (MM, Some(Units::Mm), pt(10.0, 65.0), pt(30.0, 70.0)),
        (
            "width=\"2in\" height=\"1in\" viewBox=\"0 0 200 100\"",
            Some(Units::Inch),
            pt(0.1, 0.85),
            pt(0.3, 0.9),
        ),
        (
            "width=\"10cm\" height=\"5cm\" viewBox=\"-10 0 100 50\"",
            Some(Units::Mm),
            pt(20.0, 35.0),
            pt(40.0, 40.0),
        ),
        ("width=\"96\" height=\"96\"", None, pt(10.0, 81.0), pt(30.0, 86.0)),
        ("viewBox=\"0 0 100 50\"", None, pt(10.0, 35.0), pt(30.0, 40.0)),
    ] {
        let bytes = page(head, square);
        assert_eq!(open("a.svg", &bytes).expect("a page").units, units, "{head}");
        let own = units.unwrap_or(Units::Mm);
        let brought = read("a.svg", &bytes, None, Some(own), own).expect("a square");
        let bounds = brought.path.bounds();
        assert!(bounds.low.distance(low) < 1e-9 && bounds.high.distance(high) < 1e-9, "{head}: {bounds:?}");
    }
    let fault = read("a.svg", &page("", square), None, None, Units::Inch).expect_err("no unit");
    assert!(fault.message.contains("does not give its unit"));
}

#[test]
fn groups_are_layers_and_what_is_hidden_stays_out() {
    let body = "<g id=\"SCRIBE\"><rect width=\"4\" height=\"3\"/></g><g id=\"g2\" label=\"Edge\"><circle r=\"9\"/></g>\
        <g style=\"stroke:red; display: none\"><circle r=\"20\"/></g><text>no</text>";
    let bytes = page(MM, body);
    let area =
        |layer: Option<&str>| read("a.svg", &bytes, layer, None, Units::Mm).expect("a path").path.area();
    assert!((area(Some("scribe")) - 12.0).abs() < 1e-9);
    assert!((area(Some("Edge")) - 81.0 * PI).abs() < 1e-9);
    assert!((area(None) - 81.0 * PI).abs() < 1e-9);
    let brought = read("a.svg", &bytes, None, None, Units::Mm).expect("a path");
    assert!(brought.troubles.contains(&Trouble::LeftOut { kind: "text".to_owned(), count: 1 }));
}

#[test]
fn files_that_cannot_be_used_say_why_and_where() {
    let deep = format!(
        "{}<rect width=\"1\" height=\"1\"/>{}",
        "<g>".repeat(MOST_NESTING + 2),
        "</g>".repeat(MOST_NESTING + 2)
    );
    let bomb = b"<!DOCTYPE svg [<!ENTITY a \"ha\"><!ENTITY b \"&a;&a;&a;&a;\">]><svg><text>&b;</text></svg>"
        .to_vec();
    for (bytes, said) in [
        (b"<svg><g></svg>".to_vec(), "line 1, column"),
        (b"<html></html>".to_vec(), "this is `html`"),
        (page(MM, "<path d=\"M0 0L1 x\"/>"), "path: its data cannot be read"),
        (
            page(MM, "\n\n<rect width=\"1em\" height=\"1\"/>"),
            "line 3: rect: `width` must be a length, not `1em`",
        ),
        (
            page(MM, "<rect transform=\"spin(3)\" width=\"1\" height=\"1\"/>"),
            "rect: its transform cannot be read",
        ),
        (page(MM, "<g id=\"a\"><use href=\"#a\"/></g>"), "or use themselves"),
        (page(MM, "<use href=\"#b\"/>"), "what it uses is not in the file"),
        (page(MM, &deep), "nested more than"),
        (bomb, "entities are not followed"),
        (vec![b'<', 0xff, b'>'], "byte 1: the file is not UTF-8"),
        (page(MM, "<path d=\"M0 0L4 0L4 3\"/>"), "no closed path"),
    ] {
        let fault = read("a.svg", &bytes, None, Some(Units::Mm), Units::Mm).expect_err(said).to_string();
        assert!(fault.contains(said), "`{fault}` should say `{said}`");
    }
}

/// Very deep nesting and damage of every kind: an answer or one message, never a panic, never a hang.
#[test]
fn damaged_files_never_panic() {
    let tower = page(MM, &format!("{}{}", "<g>".repeat(200_000), "</g>".repeat(200_000)));
    assert!(read("a.svg", &tower, None, None, Units::Mm).is_err());
    let whole = page(
        MM,
        "<defs><path id=\"p\" d=\"M0 0c1 2 3 4 5 0s2 2 4 0q1 1 2 0t3 3a2 3 20 1 0 4 4z\"/></defs>\
         <g transform=\"matrix(1 .2 -.3 2 4 5)\"><use href=\"#p\" x=\"3\"/><rect width=\"4\" height=\"3\" rx=\"1\"/></g>\
         <polygon points=\"0,0 4,0 4,3\"/><ellipse rx=\"3\" ry=\"2\"/>",
    );
    let mut state = 4_u64;
    let mut below = |count: usize| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((state >> 33) as usize) % count
    };
    let mut used = 0;
    for _ in 0..4000 {
        let mut bytes = whole.clone();
        for _ in 0..=below(3) {
            let at = below(bytes.len());
            match below(4) {
                0 => bytes[at] = below(256) as u8,
                1 => bytes[at] = b"0123456789-.e zZMcA"[below(19)],
                2 => {
                    let piece =
                        bytes[at..(at + below(30)).min(whole.len()).max(at).min(bytes.len())].to_vec();
                    let to = below(bytes.len());
                    bytes.splice(to..to, piece);
                }
                _ => drop(bytes.drain(at..(at + below(6)).min(bytes.len()))),
            }
            if bytes.is_empty() {
                bytes.push(b' ');
            }
        }
        used += usize::from(read("a.svg", &bytes, None, None, Units::Mm).is_ok());
    }
    assert!(used > 300, "only {used} could still be read: the damage is too crude to reach anything");
}
