//! Outlines, blanks and passes to try the wall on.

#![expect(clippy::expect_used, reason = "a test fails by panicking")]

use std::f64::consts::{FRAC_PI_2, TAU};

use blockwright_core::geometry::{Path, Point, Span, pt, pt3};
use blockwright_core::program::{Curve, Kind, Known, Motion, Plane, Zero};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::tool::Form;
use blockwright_core::track::Track;
use blockwright_core::units::Units;
use blockwright_core::wall::{Along, Heights, UndercutTable, Wall, WallPass, WallTolerances};

/// Faces of the blank.
pub(crate) const TOP: f64 = 0.0;
pub(crate) const BOTTOM: f64 = -1.0;

/// Knuth's MMIX generator: the same cases on every run.
pub(crate) struct Lcg(pub(crate) u64);

impl Lcg {
    pub(crate) fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    pub(crate) fn below(&mut self, limit: u32) -> u32 {
        (self.unit() * f64::from(limit)) as u32
    }
}

fn closed(vertices: &[(f64, f64, f64)]) -> Path {
    let vertices: Vec<_> = vertices.iter().map(|(x, y, bulge)| (pt(*x, *y), *bulge)).collect();
    Path::closed(&vertices).expect("encloses an area")
}

/// 4 in square with sharp corners.
pub(crate) fn square() -> Path {
    closed(&[(0.0, 0.0, 0.0), (4.0, 0.0, 0.0), (4.0, 4.0, 0.0), (0.0, 4.0, 0.0)])
}

/// The same with two corners rounded by .75.
pub(crate) fn rounded() -> Path {
    let quarter = (FRAC_PI_2 / 4.0).tan();
    closed(&[
        (0.0, 0.0, 0.0),
        (3.25, 0.0, quarter),
        (4.0, 0.75, 0.0),
        (4.0, 3.25, quarter),
        (3.25, 4.0, 0.0),
        (0.0, 4.0, 0.0),
    ])
}

/// An L with a concave corner at (2, 2).
pub(crate) fn concave() -> Path {
    closed(&[
        (0.0, 0.0, 0.0),
        (4.0, 0.0, 0.0),
        (4.0, 2.0, 0.0),
        (2.0, 2.0, 0.0),
        (2.0, 4.0, 0.0),
        (0.0, 4.0, 0.0),
    ])
}

/// A station on the first side of [`square`], far from its corners.
pub(crate) const fn straight_station() -> f64 {
    1.7
}

/// Where a pass goes.
#[derive(Debug, Clone)]
pub(crate) enum Way {
    /// Round the outline, the axis this far outside it.
    Round(f64),
    /// To and fro over the whole block.
    Over,
    /// Straight down here, and up again.
    Down(Point),
    /// Round the outline at this distance, falling evenly from this much above the tip's height to it.
    Ramp(f64, f64),
}

/// One pass.
#[derive(Debug, Clone)]
pub(crate) struct Pass {
    pub(crate) form: Form,
    way: Way,
    tip: f64,
}

impl Pass {
    pub(crate) const fn round(form: Form, offset: f64, tip: f64) -> Self {
        Self { form, way: Way::Round(offset), tip }
    }

    pub(crate) const fn over(diameter: f64, tip: f64) -> Self {
        Self { form: Form::Flat { diameter }, way: Way::Over, tip }
    }

    pub(crate) fn track(&self, outline: &Path) -> Track {
        let motions = match &self.way {
            Way::Round(offset) => ring(outline, *offset, |_| self.tip),
            Way::Ramp(offset, above) => ring(outline, *offset, |part| self.tip + above * (1.0 - part)),
            Way::Over => (0..12).map(|row| across(row, self.tip)).collect(),
            Way::Down(at) => vec![straight(pt3(at.x, at.y, 1.0), pt3(at.x, at.y, self.tip))],
        };
        Track::new(&motions, &Zero::default(), None, 1e-5)
    }
}

fn motion(
    start: blockwright_core::geometry::Point3,
    end: blockwright_core::geometry::Point3,
    curve: Curve,
) -> Motion {
    Motion {
        start,
        end,
        curve,
        feed: 5.0,
        spindle: 1000.0,
        line: 1,
        tool: 0,
        kind: Kind::Feed,
        proven: true,
        start_known: Known::ALL,
        end_known: Known::ALL,
    }
}

fn straight(start: blockwright_core::geometry::Point3, end: blockwright_core::geometry::Point3) -> Motion {
    motion(start, end, Curve::Straight)
}

fn across(row: u32, tip: f64) -> Motion {
    let y = f64::from(row) * 0.5 - 0.75;
    straight(pt3(-1.0, y, tip), pt3(5.0, y, tip))
}

/// From, to, and for an arc its centre and sweep.
type Leg = (Point, Point, Option<(Point, f64)>);

/// The spans of the outline moved outward, joined by arcs about convex corners and cut where they cross at concave
/// ones; right angles only. `height` gives the tip by the part of the way round.
fn ring(outline: &Path, offset: f64, height: impl Fn(f64) -> f64) -> Vec<Motion> {
    let spans = outline.spans();
    let count = spans.len();
    let mut pieces: Vec<Leg> = Vec::new();
    for (index, span) in spans.iter().enumerate() {
        let (before, after) = (&spans[(index + count - 1) % count], &spans[(index + 1) % count]);
        let turn = |a: &Span, b: &Span| a.tangent(1.0).cross(b.tangent(0.0));
        let out = |t: f64| span.tangent(t).right() * offset;
        let (mut from, mut to) = (span.at(0.0) + out(0.0), span.at(1.0) + out(1.0));
        if turn(before, span) < -0.5 {
            from = from + span.tangent(0.0) * offset;
        }
        if turn(span, after) < -0.5 {
            to = to - span.tangent(1.0) * offset;
        }
        match span {
            Span::Line { .. } => pieces.push((from, to, None)),
            Span::Arc(arc) => pieces.push((from, to, Some((arc.centre, arc.sweep)))),
        }
        if turn(span, after) > 0.5 {
            let corner = span.at(1.0);
            let next = corner + after.tangent(0.0).right() * offset;
            pieces.push((to, next, Some((corner, FRAC_PI_2))));
        }
    }
    let lengths: Vec<f64> = pieces
        .iter()
        .map(|(from, to, arc)| match arc {
            Some((centre, sweep)) => from.distance(*centre) * sweep,
            None => from.distance(*to),
        })
        .collect();
    let all: f64 = lengths.iter().sum();
    let mut gone = 0.0;
    let mut motions = Vec::new();
    for ((from, to, arc), length) in pieces.into_iter().zip(lengths) {
        if length > 0.0 {
            let (low, high) = (height(gone / all), height((gone + length) / all));
            let curve =
                arc.map_or(Curve::Straight, |(centre, sweep)| Curve::Arc { plane: Plane::Xy, centre, sweep });
            motions.push(motion(pt3(from.x, from.y, low), pt3(to.x, to.y, high), curve));
        }
        gone += length;
    }
    motions
}

/// An outline in a blank .3 larger all round, and the passes on it.
pub(crate) struct Shop {
    pub(crate) outline: Path,
    pub(crate) edge: Path,
    pub(crate) passes: Vec<Pass>,
    made: Vec<WallPass>,
}

impl Shop {
    pub(crate) fn new(outline: Path) -> Self {
        let edge = closed(&[(-0.3, -0.3, 0.0), (4.3, -0.3, 0.0), (4.3, 4.3, 0.0), (-0.3, 4.3, 0.0)]);
        Self { outline, edge, passes: Vec::new(), made: Vec::new() }
    }

    /// With a first pass that finishes it to the outline all the way down.
    pub(crate) fn finished(outline: Path) -> Self {
        let mut shop = Self::new(outline);
        shop.push(Pass::round(Form::Flat { diameter: 0.5 }, 0.25, -1.02));
        shop
    }

    pub(crate) fn push(&mut self, pass: Pass) {
        self.made.push(WallPass::new(&pass.track(&self.outline), &pass.form));
        self.passes.push(pass);
    }

    pub(crate) fn replace_last(&mut self, pass: Pass) {
        self.made.pop();
        self.passes.pop();
        self.push(pass);
    }

    pub(crate) fn wall(&self) -> Wall<'_> {
        let tolerances = WallTolerances::for_units(Units::Inch);
        Wall::new((&self.outline, &self.edge), (BOTTOM, TOP), self.made.iter().collect(), tolerances)
    }

    pub(crate) fn heights(&self, span: usize, along: f64) -> Vec<Heights> {
        self.wall().heights_on(span, along)
    }

    pub(crate) fn on_straight(&self) -> Vec<Heights> {
        self.heights(0, straight_station())
    }

    pub(crate) fn along(&self) -> Along {
        self.wall().along(Task::quiet(&Cancel::new())).expect("nobody stops it")
    }

    pub(crate) fn table(&self, land: f64) -> UndercutTable {
        self.wall().undercut_table(&self.along(), land, Task::quiet(&Cancel::new())).expect("nobody stops it")
    }

    pub(crate) fn station_near(&self, at: Point) -> f64 {
        self.outline.nearest(at)
    }

    /// A rough pass, then two to four of anything.
    pub(crate) fn random_passes(&mut self, rng: &mut Lcg) {
        let radius = rng.between(0.15, 0.4);
        let rough = Form::Flat { diameter: radius * 2.0 };
        self.push(Pass::round(rough, radius + rng.between(0.0, 0.06), -1.02));
        for _ in 0..2 + rng.below(3) {
            let form = any_form(rng);
            let tip = rng.between(-1.05, -0.1);
            let offset = form.radius() - rng.between(-0.02, 0.12);
            let way = match rng.below(6) {
                0 => Way::Ramp(offset, rng.between(0.05, 0.5)),
                1 => Way::Down(self.near_outline(rng)),
                _ => Way::Round(offset),
            };
            self.push(Pass { form, way, tip });
        }
        if rng.below(2) == 0 {
            let tip = rng.between(-0.1, -0.01);
            self.push(Pass::over(rng.between(0.8, 2.0), tip));
        }
    }

    fn near_outline(&self, rng: &mut Lcg) -> Point {
        let place = self.outline.place(rng.between(0.0, self.outline.length()));
        place.at + Point::at_angle(rng.between(0.0, TAU)) * 0.2
    }
}

fn any_form(rng: &mut Lcg) -> Form {
    let diameter = rng.between(0.4, 1.2);
    match rng.below(7) {
        0 => Form::Flat { diameter },
        1 => Form::Ball { diameter },
        2 => Form::Bull { diameter, corner_radius: diameter * rng.between(0.05, 0.5) },
        3 => Form::EdgeRound {
            pilot_diameter: 0.25,
            radius: rng.between(0.05, 0.2),
            pilot_length: rng.between(0.0, 0.2),
        },
        4 => Form::Chamfer { tip_diameter: 0.1, angle: rng.between(20.0, 60.0), height: 0.3 },
        5 => {
            Form::Silhouette { points: vec![[0.3, 0.0], [0.3, 0.15], [0.15, 0.2], [0.15, 0.5], [0.35, 0.5]] }
        }
        _ => Form::Undercut { diameter, angle: rng.between(4.0, 15.0), height: rng.between(0.2, 0.7) },
    }
}
