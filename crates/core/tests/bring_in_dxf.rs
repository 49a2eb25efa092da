//! Outlines brought in from DXF: entities, blocks, units, joining, and files that are no such thing.
//!
//! Group codes, bulges and units are those of the published DXF reference (references, section 10).

#![expect(clippy::expect_used, reason = "the helpers of a test may fail it")]

use std::f64::consts::{PI, TAU};
use std::fmt::Write as _;

use blockwright_core::bring_in::{
    Choice, Curve, Drawing, Fault, MOST_NESTING, Trouble, choose, curve_tolerance, join, open, read,
};
use blockwright_core::finding::Severity;
use blockwright_core::geometry::{Point, pt};
use blockwright_core::job::Vertex;
use blockwright_core::units::Units;

/// A fixed-seed generator, so that a failure comes again.
struct Random(u64);
impl Random {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (self.0 >> 11) as f64 / (1_u64 << 53) as f64 * (high - low)
    }

    fn below(&mut self, count: usize) -> usize {
        (self.between(0.0, count as f64) as usize).min(count - 1)
    }
}

/// Groups written as `code value` on one line each, as a text file writes them on two.
fn text(groups: &str) -> Vec<u8> {
    let mut out = String::new();
    for line in groups.lines().map(str::trim).filter(|line| !line.is_empty()) {
        let (code, value) = line.split_once(' ').expect("code and value");
        let _ = write!(out, "{code}\r\n{value}\r\n");
    }
    out.into_bytes()
}

/// A whole file round these entities.
fn drawing(header: &str, blocks: &str, entities: &str) -> Vec<u8> {
    text(&format!(
        "0 SECTION\n2 HEADER\n{header}\n0 ENDSEC\n0 SECTION\n2 BLOCKS\n{blocks}\n0 ENDSEC\n\
         0 SECTION\n2 ENTITIES\n{entities}\n0 ENDSEC\n0 EOF"
    ))
}

/// The same groups in the binary form, with codes of one byte as up to release 12 or of two.
fn binary(text: &[u8], wide: bool) -> Vec<u8> {
    let text = std::str::from_utf8(text).expect("own text");
    let mut lines = text.lines();
    let mut out = b"\x41\x75\x74\x6f\x43\x41\x44 Binary DXF\r\n\x1a\0".to_vec();
    while let (Some(code), Some(value)) = (lines.next(), lines.next()) {
        let code: i16 = code.trim().parse().expect("a code");
        if wide {
            out.extend(code.to_le_bytes());
        } else if let Ok(byte) = u8::try_from(code) {
            out.push(byte);
        } else {
            out.push(255);
            out.extend(code.to_le_bytes());
        }
        match code {
            10..=59 | 210..=239 => out.extend(value.parse::<f64>().expect("a real").to_le_bytes()),
            60..=79 => out.extend(value.parse::<i16>().expect("a whole").to_le_bytes()),
            90..=99 => out.extend(value.parse::<i32>().expect("a whole").to_le_bytes()),
            _ => {
                out.extend(value.as_bytes());
                out.push(0);
            }
        }
    }
    out
}

const INCH: &str = "9 $INSUNITS\n70 1";
const SQUARE: &str = "0 LWPOLYLINE\n8 S\n90 4\n70 1\n10 0\n20 0\n10 4\n20 0\n10 4\n20 3\n10 0\n20 3";
/// The demo outline's corner: 90 degrees of radius 0.5, bulge tan(22.5 deg) (derived).
const ROUNDED: &str = "0 POLYLINE\n8 S\n66 1\n70 1\n0 VERTEX\n8 S\n10 0\n20 0\n0 VERTEX\n8 S\n10 4\n20 0\n\
    42 0.414213562373095\n0 VERTEX\n8 S\n10 4.5\n20 0.5\n0 VERTEX\n8 S\n10 4.5\n20 3\n0 VERTEX\n8 S\n10 0\n20 3\n0 SEQEND";

fn units_of(bytes: &[u8]) -> Option<Units> {
    open("a.dxf", bytes).expect("a drawing").units
}

/// Length and area of the largest closed path.
fn size(bytes: &[u8]) -> (f64, f64) {
    let brought = read("a.dxf", bytes, None, Some(Units::Inch), Units::Inch).expect("a closed path");
    (brought.path.length(), brought.path.area())
}

fn near(found: f64, right: f64, within: f64, what: &str) {
    assert!((found - right).abs() <= within, "{what}: {found}, should be {right}");
}

/// Lengths and areas of entities that close by themselves, by their formulas (derived).
#[test]
fn entities_have_their_size() {
    let quarter_out = 0.25 * PI * 0.25;
    let half_round = "0 ARC\n8 S\n10 0\n20 0\n40 2\n50 0\n51 180\n0 LINE\n8 S\n10 -2\n20 0\n11 2\n21 0";
    let round_end = "0 ARC\n8 S\n10 1\n20 1\n40 2\n50 315\n51 45\n0 LINE\n8 S\n10 2.414213562373095\n\
        20 2.414213562373095\n11 2.414213562373095\n21 -0.414213562373095";
    let mirrored = "0 ARC\n8 S\n10 -1\n20 0\n40 1\n50 90\n51 270\n210 0\n220 0\n230 -1\n\
        0 LINE\n8 S\n10 1\n20 1\n11 1\n21 -1";
    // A quadratic Bézier as a spline: y = x (1 - x) over 0 to 1; arc length (sqrt 2 + asinh 1) / 2, area 1/6.
    let parabola = "0 SPLINE\n8 S\n70 8\n71 2\n72 6\n73 3\n40 0\n40 0\n40 0\n40 1\n40 1\n40 1\n10 0\n20 0\n\
        10 0.5\n20 0.5\n10 1\n20 0\n0 LINE\n8 S\n10 1\n20 0\n11 0\n21 0";
    let parabola_length = f64::midpoint(2.0_f64.sqrt(), 1.0_f64.asinh()) + 1.0;
    // A quarter circle as a rational spline, weights 1, 1/sqrt 2, 1.
    let rational = "0 SPLINE\n8 S\n70 12\n71 2\n40 0\n40 0\n40 0\n40 1\n40 1\n40 1\n41 1\n41 0.707106781186548\n\
        41 1\n10 1\n20 0\n10 1\n20 1\n10 0\n20 1\n0 LINE\n8 S\n10 0\n20 1\n11 0\n21 0\n0 LINE\n8 S\n10 0\n20 0\n11 1\n21 0";
    let half_ellipse = "0 ELLIPSE\n8 S\n10 0\n20 0\n11 2\n21 0\n40 0.5\n41 0\n42 3.141592653589793\n\
        0 LINE\n8 S\n10 -2\n20 0\n11 2\n21 0";
    let ellipse_half = 4.844_224_110_273_838; // half of 4 a E(3/4), a = 2, from the tables of elliptic integrals
    for (name, entities, length, area) in [
        ("square", SQUARE, 14.0, 12.0),
        ("rounded", ROUNDED, 4.0 + 0.25 * PI + 2.5 + 4.5 + 3.0, 13.5 - 0.25 + quarter_out),
        ("circle", "0 CIRCLE\n8 S\n10 1\n20 2\n40 1.5", 3.0 * PI, 2.25 * PI),
        ("half round", half_round, 2.0 * PI + 4.0, 2.0 * PI),
        ("arc through 0 degrees", round_end, PI + 8.0_f64.sqrt(), PI - 2.0),
        ("normal down", mirrored, PI + 2.0, PI / 2.0),
        (
            "two half arcs",
            "0 LWPOLYLINE\n8 S\n90 2\n70 1\n10 0\n20 0\n42 1\n10 10\n20 0\n42 1",
            10.0 * PI,
            25.0 * PI,
        ),
        ("parabola", parabola, parabola_length, 1.0 / 6.0),
        ("rational quarter", rational, PI / 2.0 + 2.0, PI / 4.0),
        ("half ellipse", half_ellipse, ellipse_half + 4.0, PI),
    ] {
        let file = drawing(INCH, "", entities);
        for bytes in [file.clone(), binary(&file, false), binary(&file, true)] {
            let (found_length, found_area) = size(&bytes);
            near(found_length, length, 1e-6, name);
            near(found_area, area, 1e-5, name);
        }
    }
}

/// Every followed curve lies within the stated tolerance of the true one: an ellipse by its own equation.
#[test]
fn a_followed_ellipse_keeps_its_tolerance() {
    let file =
        drawing(INCH, "", "0 ELLIPSE\n8 S\n10 0\n20 0\n11 3\n21 0\n40 0.2\n41 0\n42 6.283185307179586");
    let brought = read("a.dxf", &file, None, None, Units::Inch).expect("an ellipse");
    let (a, b) = (3.0, 0.6);
    for step in 0..20_000 {
        let t = f64::from(step) / 20_000.0 * TAU;
        let off = brought.path.distance(pt(a * t.cos(), b * t.sin()));
        assert!(off <= curve_tolerance(Units::Inch), "at {t}: {off}");
    }
    assert!(brought.path.spans().len() < 200, "{} spans", brought.path.spans().len());
}

/// `$INSUNITS` by the published list; a metre is a thousand millimetres, a foot is twelve inches.
#[test]
fn units_are_the_files_own() {
    for (value, units, length_in_inches) in [
        (1, Some(Units::Inch), 14.0),
        (2, Some(Units::Inch), 168.0),
        (4, Some(Units::Mm), 14.0 / 25.4),
        (5, Some(Units::Mm), 140.0 / 25.4),
        (6, Some(Units::Mm), 14_000.0 / 25.4),
        (9, Some(Units::Inch), 0.014),
        (0, None, 14.0),
    ] {
        let file = drawing(&format!("9 $INSUNITS\n70 {value}"), "", SQUARE);
        assert_eq!(units_of(&file), units, "$INSUNITS {value}");
        near(size(&file).0, length_in_inches, 1e-9 * length_in_inches, "length");
    }
    let bare = drawing("", "", SQUARE);
    let fault = read("a.dxf", &bare, None, None, Units::Inch).expect_err("no unit");
    assert!(fault.message.contains("does not give its unit"), "{fault}");
    let stated = read("a.dxf", &bare, None, Some(Units::Mm), Units::Inch).expect("stated");
    near(stated.path.length(), 14.0 / 25.4, 1e-12, "stated unit");
    let other =
        read("a.dxf", &drawing(INCH, "", SQUARE), None, Some(Units::Mm), Units::Inch).expect("own unit");
    assert!(other.troubles.contains(&Trouble::UnitsDiffer { file: Units::Inch, stated: Units::Mm }));
    near(other.path.length(), 14.0, 1e-12, "own unit is used");
}

#[test]
fn blocks_are_placed_scaled_turned_and_nested() {
    let inner = "0 BLOCK\n8 0\n2 INNER\n10 1\n20 1\n0 LWPOLYLINE\n8 0\n90 4\n70 1\n10 1\n20 1\n10 3\n20 1\n10 3\n20 2\n\
        10 1\n20 2\n0 ENDBLK\n8 0";
    let outer = "0 BLOCK\n8 0\n2 Outer\n10 0\n20 0\n0 INSERT\n8 0\n2 inner\n10 5\n20 0\n41 2\n42 2\n50 90\n0 ENDBLK\n8 0";
    let file = drawing(
        INCH,
        &format!("{inner}\n{outer}"),
        "0 INSERT\n8 EDGE\n2 OUTER\n10 1\n20 1\n41 -1\n42 1\n0 CIRCLE\n8 OTHER\n10 0\n20 0\n40 9",
    );
    let brought = read("a.dxf", &file, Some("edge"), None, Units::Inch).expect("the block");
    // By hand: (0,0) (2,0) (2,1) (0,1) doubled and turned, at (5,0); then mirrored in X and moved by (1,1).
    let right = [pt(-4.0, 1.0), pt(-4.0, 5.0), pt(-2.0, 5.0), pt(-2.0, 1.0)];
    for corner in right {
        assert!(brought.vertices.iter().any(|vertex| vertex.at.distance(corner) < 1e-9), "{corner:?}");
    }
    // Rows and columns: three by two squares.
    let many = drawing(INCH, inner, "0 INSERT\n8 E\n2 INNER\n10 0\n20 0\n70 3\n71 2\n44 4\n45 3");
    let sheet = open("a.dxf", &many).expect("rows and columns");
    assert_eq!(join(&sheet.curves, 0.001).closed.len(), 6);
}

/// A bulge under unequal scales is a part of an ellipse: its area is exact by the scales' product.
#[test]
fn unequal_scales_make_ellipses_of_rounds() {
    let block = format!("0 BLOCK\n8 0\n2 B\n10 0\n20 0\n{ROUNDED}\n0 ENDBLK\n8 0");
    let file = drawing(INCH, &block, "0 INSERT\n8 E\n2 B\n10 0\n20 0\n41 2\n42 -0.5\n50 20");
    let (_, area) = size(&file);
    near(area, 13.25 + 0.0625 * PI, 1e-5, "area");
}

fn piece(from: Point, to: Point, bulge: f64) -> Curve {
    let vertices = vec![Vertex { at: from, bulge }, Vertex { at: to, bulge: 0.0 }];
    Curve { layer: 0, vertices, closed: false }
}

/// Pieces of a rounded outline in any order, any direction, with ends that miss by less than the gap.
#[test]
fn pieces_join_in_any_order_and_direction() {
    let corners = [
        (pt(0.0, 0.0), 0.0),
        (pt(4.0, 0.0), 0.4),
        (pt(4.5, 0.5), 0.0),
        (pt(4.5, 3.0), -0.3),
        (pt(0.0, 3.0), 0.0),
    ];
    let mut random = Random(5);
    for case in 0..300 {
        let miss = if case % 2 == 0 { 0.0 } else { 0.0003 };
        let mut off = |p: Point| p + pt(random.between(-miss, miss), random.between(-miss, miss));
        let mut pieces: Vec<Curve> = (0..5)
            .map(|index| {
                let ((from, bulge), (to, _)) = (corners[index], corners[(index + 1) % 5]);
                let (from, to) = (off(from), off(to));
                if case % 3 == index % 3 { piece(to, from, -bulge) } else { piece(from, to, bulge) }
            })
            .collect();
        for index in (1..5).rev() {
            pieces.swap(index, random.below(index + 1));
        }
        let joined = join(&pieces, 0.001);
        assert_eq!(joined.closed.len(), 1, "case {case}: {:?}", joined.troubles);
        let whole = blockwright_core::geometry::Path::closed(&corners).expect("closed");
        near(joined.closed[0].path.area(), whole.area(), 1e-9 + 10.0 * miss, "area");
        let gaps = joined.troubles.iter().filter(|t| matches!(t, Trouble::Gap { .. })).count();
        assert_eq!(gaps, if miss == 0.0 { 0 } else { 5 }, "case {case}");
    }
}

#[test]
fn troubles_are_named_and_placed() {
    let side = |from: (f64, f64), to: (f64, f64)| piece(pt(from.0, from.1), pt(to.0, to.1), 0.0);
    let square = [
        side((0., 0.), (4., 0.)),
        side((4., 0.), (4., 3.)),
        side((4., 3.), (0., 3.)),
        side((0., 3.), (0., 0.)),
    ];
    let with = |more: &[Curve]| join(&[&square[..], more].concat(), 0.001);
    let doubled = with(&[side((4., 3.), (4., 0.))]);
    assert_eq!(doubled.troubles, [Trouble::Overlap { at: pt(4.0, 1.5) }]);
    assert_eq!(doubled.closed.len(), 1);
    let branched = with(&[side((4., 3.), (6., 3.))]);
    let told = branched
        .troubles
        .iter()
        .any(|t| matches!(t, Trouble::Branch { at } if at.distance(pt(4.0, 3.0)) < 1e-9));
    assert!(told, "{:?}", branched.troubles);
    assert_eq!(branched.closed.len(), 1, "the straightest way on leads nowhere");
    near(branched.closed[0].path.area(), 12.0, 1e-12, "area");
    let open = join(&square[..3], 0.001);
    assert!(open.closed.is_empty());
    assert!(open.troubles.contains(&Trouble::OpenEnd { at: pt(0.0, 3.0), nearest: Some(3.0) }));
    let bow = "0 LWPOLYLINE\n8 S\n90 4\n70 1\n10 0\n20 0\n10 4\n20 0\n10 0\n20 3\n10 5\n20 6";
    let brought =
        read("a.dxf", &drawing(INCH, "", bow), None, None, Units::Inch).expect("closed, if crossed");
    let [Trouble::SelfCrossing { at }] = &brought.troubles[..] else { panic!("{:?}", brought.troubles) };
    // y = 3 - 3/4 x meets y = 6/5 x.
    near(at.distance(pt(20.0 / 13.0, 24.0 / 13.0)), 0.0, 1e-9, "where the two lines cross");
    let wide = drawing(
        INCH,
        "",
        "0 LINE\n8 S\n10 0\n20 0\n11 1\n21 0\n0 LINE\n8 S\n10 1.03\n20 0\n11 0\n21 1\n0 LINE\n8 S\n10 0\n20 1\n11 0\n21 0",
    );
    let fault = read("a.dxf", &wide, None, None, Units::Inch).expect_err("open");
    assert!(fault.message.contains(".0300 in from the nearest other end"), "{fault}");
}

#[test]
fn a_path_is_chosen_by_layer_by_index_or_by_size() {
    let file = drawing(
        INCH,
        "",
        &format!("{SQUARE}\n0 CIRCLE\n8 Edge\n10 0\n20 0\n40 9\n0 CIRCLE\n8 S\n10 2\n20 1\n40 0.5"),
    );
    let sheet: Drawing = open("a.dxf", &file).expect("a drawing");
    let length = |layer: Option<&str>, choice: Choice| -> Result<f64, Fault> {
        Ok(choose(sheet.clone(), layer, choice, None, Units::Inch)?.path.length())
    };
    near(length(None, Choice::Largest).expect("largest"), 18.0 * PI, 1e-9, "largest");
    near(length(Some("S"), Choice::Largest).expect("of S"), 14.0, 1e-9, "largest of S");
    near(length(Some("s"), Choice::Index(1)).expect("second"), PI, 1e-9, "second of S");
    let missing = length(Some("DYE"), Choice::Largest).expect_err("no such layer");
    assert!(missing.message.contains("`S`, `Edge`"), "{missing}");
    assert!(length(Some("S"), Choice::Index(2)).is_err());
}

/// One message with its place for every way of being no use.
#[test]
fn files_that_cannot_be_used_say_why_and_where() {
    let block_in_itself = "0 BLOCK\n8 0\n2 B\n10 0\n20 0\n0 INSERT\n8 0\n2 B\n10 0\n20 0\n0 ENDBLK\n8 0";
    let cases: Vec<(Vec<u8>, &str)> = vec![
        (b"G1 X1 Y2\nG0 Z1\n".to_vec(), "line 1: a group code must be here"),
        (text("0 SECTION\n2 ENTITIES\n0 LINE\n8 S"), "line 9: the file ends before its EOF"),
        (
            drawing(INCH, "", "0 LINE\n8 S\n10 0\n20 0\n11 x\n21 0"),
            "LINE: group 11 must be a number, not `x`",
        ),
        (drawing(INCH, "", "0 LINE\n8 S\n10 0\n20 0\n11 1"), "LINE: group 21 is missing"),
        (drawing(INCH, "", "0 CIRCLE\n8 S\n10 0\n20 0\n40 -1"), "CIRCLE: a radius must be above 0, not -1"),
        (
            drawing(INCH, "", "0 LWPOLYLINE\n8 S\n90 3\n70 1\n10 0\n20 0\n10 1\n20 0"),
            "3 vertices are announced, 2 come",
        ),
        (
            drawing(INCH, "", "0 SPLINE\n8 S\n71 3\n40 0\n10 0\n20 0"),
            "SPLINE: degree 3 needs 4 control points, not 1",
        ),
        (
            drawing(INCH, "", "0 SPLINE\n8 S\n71 3\n11 0\n21 0\n11 1\n21 1"),
            "SPLINE by fit points: 1 not used",
        ),
        (drawing(INCH, "", "0 INSERT\n8 S\n2 NONE\n10 0\n20 0"), "INSERT: there is no block `none`"),
        (drawing(INCH, block_in_itself, "0 INSERT\n8 S\n2 B\n10 0\n20 0"), "or contain themselves"),
        (drawing(INCH, "", "0 POLYLINE\n8 S\n0 LINE\n8 S"), "a polyline must close with SEQEND"),
        (drawing(INCH, "", "0 TEXT\n8 S\n1 hello"), "nothing is drawn there"),
        (binary(&drawing(INCH, "", SQUARE), true)[..60].to_vec(), "byte "),
    ];
    for (bytes, said) in cases {
        let fault = read("a.dxf", &bytes, None, None, Units::Inch).expect_err(said).to_string();
        assert!(fault.contains(said), "`{fault}` should say `{said}`");
    }
}

/// What cannot be followed on one layer leaves the others alone, and is told where it is wanted.
#[test]
fn a_spline_by_fit_points_refuses_no_other_layer() {
    let spline = |layer: &str| format!("0 SPLINE\n8 {layer}\n71 3\n11 0\n21 0\n11 1\n21 1\n11 2\n21 0\n");
    let of = |layer: &str| {
        let bytes = drawing(INCH, "", &(spline(layer) + SQUARE));
        read("a.dxf", &bytes, Some("S"), None, Units::Inch).expect("the square is whole").troubles
    };
    assert_eq!(of("OTHER"), []);
    let told = of("S");
    assert_eq!(told, [Trouble::NotFollowed { kind: "SPLINE by fit points".to_owned(), count: 1 }]);
    let said = told[0].message(Units::Inch);
    assert!(said.contains("control points") && told[0].severity(None) == Severity::Look, "{said}");
}

/// Blocks that multiply: a small file must not make a large drawing.
#[test]
fn blocks_that_multiply_are_stopped() {
    let mut blocks =
        String::from("0 BLOCK\n8 0\n2 B0\n10 0\n20 0\n0 CIRCLE\n8 0\n10 0\n20 0\n40 1\n0 ENDBLK\n8 0");
    for level in 1..MOST_NESTING {
        let _ = write!(
            blocks,
            "\n0 BLOCK\n8 0\n2 B{level}\n10 0\n20 0\n0 INSERT\n8 0\n2 B{0}\n10 0\n20 0\n70 10\n71 10\n44 1\n45 1\n0 ENDBLK\n8 0",
            level - 1
        );
    }
    let file = drawing(INCH, &blocks, &format!("0 INSERT\n8 0\n2 B{}\n10 0\n20 0", MOST_NESTING - 1));
    let fault = open("a.dxf", &file).expect_err("too many");
    assert!(fault.message.contains("placed more than"), "{fault}");
}

/// Lines that lead nowhere hang on a rectangle, straight on from its sides; the rectangle closes whatever comes first.
#[test]
fn stray_lines_that_go_on_from_a_side_keep_nothing_from_closing() {
    let line = |from: (f64, f64), to: (f64, f64)| piece(pt(from.0, from.1), pt(to.0, to.1), 0.0);
    let mut pieces = vec![
        line((4., 3.), (6., 3.)),
        line((6., 3.), (8., 3.)),
        line((0., 0.), (0., -1.)),
        line((0., 0.), (-1., 0.)),
        line((0., 0.), (4., 0.)),
        line((4., 3.), (4., 0.)),
        line((4., 3.), (0., 3.)),
        line((0., 0.), (0., 3.)),
    ];
    let mut random = Random(11);
    for case in 0..40 {
        for index in (1..pieces.len()).rev() {
            pieces.swap(index, random.below(index + 1));
        }
        let joined = join(&pieces, 0.001);
        assert_eq!(joined.closed.len(), 1, "case {case}: {:?}", joined.troubles);
        near(joined.closed[0].path.area(), 12.0, 1e-12, "area");
        let told = |at: Point| {
            let there = |t: &&Trouble| t.at().is_some_and(|place| place.distance(at) < 1e-9);
            joined.troubles.iter().filter(there).count()
        };
        for at in [pt(4.0, 3.0), pt(8.0, 3.0), pt(0.0, -1.0), pt(-1.0, 0.0), pt(0.0, 0.0)] {
            assert!(told(at) > 0, "case {case}: nothing said of {at:?} in {:?}", joined.troubles);
        }
    }
}

/// A star of lines from one point: each end there has all others next to it.
#[test]
fn ends_that_all_meet_in_one_point_are_told_and_no_more() {
    let star: Vec<Curve> = (0..50_000)
        .map(|index| piece(pt(0.0, 0.0), Point::at_angle(f64::from(index) / 50_000.0 * TAU) * 500.0, 0.0))
        .collect();
    let joined = join(&star, 0.001);
    assert!(joined.closed.is_empty() && !joined.troubles.is_empty() && joined.troubles.len() <= 200);
}

/// Bytes changed, cut, doubled and put elsewhere: an answer or one message, never a panic, never a hang.
#[test]
fn damaged_files_never_panic() {
    let block = format!("0 BLOCK\n8 0\n2 B\n10 0\n20 0\n{ROUNDED}\n0 ENDBLK\n8 0");
    let entities = format!(
        "{SQUARE}\n{ROUNDED}\n0 INSERT\n8 E\n2 B\n10 0\n20 0\n41 2\n50 20\n70 2\n44 3\n\
         0 SPLINE\n8 S\n70 8\n71 2\n40 0\n40 0\n40 0\n40 1\n40 1\n40 1\n41 1\n41 2\n41 1\n10 0\n20 0\n10 1\n20 1\n10 2\n20 0\n\
         0 ELLIPSE\n8 S\n10 0\n20 0\n11 2\n21 0\n40 0.5\n41 0\n42 4\n0 ARC\n8 S\n10 0\n20 0\n40 2\n50 0\n51 180"
    );
    let whole = drawing(INCH, &block, &entities);
    let files = [whole.clone(), binary(&whole, false), binary(&whole, true)];
    let mut random = Random(99);
    let mut used = 0;
    for round in 0..3000 {
        let mut bytes = files[round % 3].clone();
        for _ in 0..=random.below(4) {
            damage(&mut bytes, &mut random);
        }
        used += usize::from(read("a.dxf", &bytes, None, Some(Units::Inch), Units::Inch).is_ok());
    }
    assert!(used > 150, "only {used} could still be read: the damage is too crude to reach anything");
}

fn damage(bytes: &mut Vec<u8>, random: &mut Random) {
    if bytes.is_empty() {
        return;
    }
    let at = random.below(bytes.len());
    match random.below(5) {
        0 => bytes[at] = random.below(256) as u8,
        1 => bytes[at] = b"0123456789-.eE\n"[random.below(15)],
        2 => bytes.truncate(at),
        3 => {
            let end = (at + random.below(40)).min(bytes.len());
            let piece = bytes[at..end].to_vec();
            let to = random.below(bytes.len());
            bytes.splice(to..to, piece);
        }
        _ => {
            let end = (at + random.below(20)).min(bytes.len());
            bytes.drain(at..end);
        }
    }
}

/// A thing of a kind whose name goes on for pages is told by the beginning of it (found by damaging files).
#[test]
fn a_kind_without_end_is_told_by_its_beginning() {
    let square =
        "0 LINE\n10 0\n20 0\n11 4\n21 0\n0 LINE\n10 4\n20 0\n11 4\n21 3\n0 LINE\n10 4\n20 3\n11 0\n21 0";
    let odd = format!("{square}\n0 S{}", "matrix(1 0 0 1e300 0 0)".repeat(70));
    let bytes = drawing("9 $INSUNITS\n70 1", "", &odd);
    let brought = read("odd.dxf", &bytes, None, None, Units::Inch).expect("the triangle is used");
    let told: Vec<String> = brought.troubles.iter().map(|trouble| trouble.message(Units::Inch)).collect();
    assert!(told.iter().any(|message| message.contains("Smatrix") && message.contains('…')), "{told:?}");
    assert!(told.iter().all(|message| message.len() < 200), "{told:?}");
}
