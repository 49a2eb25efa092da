//! The record's drawing as DXF, release 12 (AC1009), text: it is read by nearly everything, and is small enough to be
//! written by hand from the published DXF reference. Lines and arcs are exact; a layer for each thing.
//!
//! Swept areas are what each motion's circle sweeps at one height, piece by piece, so that their union is the area. The
//! sections stand to the right of the plan, one beside the other, at the same scale.

use std::f64::consts::{PI, TAU};
use std::fmt::Write as _;

use crate::geometry::{Arc, Bounds, Path, Point, Span, pt};
use crate::names;
use crate::proof::{PassProof, Proof};
use crate::tolerance::Tolerances;
use crate::units::Units;
use crate::wall::{Section, Slice, Within, slice};

/// Most motions of one pass whose swept area is drawn: more would make a file that no program opens.
const MOST_MOTIONS: usize = 50_000;
/// Room between plan and sections, in inches, and the height of letters.
const ROOM: f64 = 1.0;
const LETTERS: f64 = 0.12;

/// A drawing in the making.
struct Dxf {
    units: Units,
    entities: String,
    layers: Vec<String>,
}

impl Dxf {
    const fn new(units: Units) -> Self {
        Self { units, entities: String::new(), layers: Vec::new() }
    }

    fn layer(&mut self, name: &str) {
        if !self.layers.iter().any(|layer| layer == name) {
            self.layers.push(name.to_owned());
        }
    }

    /// One group of a code and its value. Writing into a string cannot fail.
    fn group(&mut self, code: u32, value: impl std::fmt::Display) {
        let _ = write!(self.entities, "{code}\r\n{value}\r\n");
    }

    fn number(&mut self, code: u32, value: f64) {
        self.group(code, format_args!("{:.9}", value + 0.0));
    }

    fn point(&mut self, p: Point) {
        self.number(10, p.x);
        self.number(20, p.y);
        self.number(30, 0.0);
    }

    /// A polyline: each vertex with the bulge of the span that starts there.
    fn polyline(&mut self, layer: &str, vertices: &[(Point, f64)], closed: bool) {
        self.layer(layer);
        self.group(0, "POLYLINE");
        self.group(8, layer);
        self.group(66, 1);
        self.point(pt(0.0, 0.0));
        self.group(70, u8::from(closed));
        for (at, bulge) in vertices {
            self.group(0, "VERTEX");
            self.group(8, layer);
            self.point(*at);
            if *bulge != 0.0 {
                self.number(42, *bulge);
            }
        }
        self.group(0, "SEQEND");
        self.group(8, layer);
    }

    fn circle(&mut self, layer: &str, centre: Point, radius: f64) {
        self.layer(layer);
        self.group(0, "CIRCLE");
        self.group(8, layer);
        self.point(centre);
        self.number(40, radius);
    }

    fn text(&mut self, layer: &str, at: Point, text: &str) {
        self.layer(layer);
        self.group(0, "TEXT");
        self.group(8, layer);
        self.point(at);
        self.number(40, LETTERS * self.units.per_inch());
        self.group(1, plain(text));
    }

    fn path(&mut self, layer: &str, path: &Path) {
        let vertex = |span: &Span| (span.at(0.0), bulge(span));
        let vertices: Vec<(Point, f64)> = path.spans().iter().flat_map(halves).map(|s| vertex(&s)).collect();
        self.polyline(layer, &vertices, true);
    }

    /// What a circle sweeps on a piece of a motion.
    fn swept(&mut self, layer: &str, slice: &Slice) {
        if slice.radii() == [0.0; 2] {
            // The point of a cutter takes nothing, and a circle without a radius is no circle.
            return;
        }
        match slice {
            Slice::Capsule { from, start, to, end } => self.capsule(layer, (*from, *start), (*to, *end)),
            Slice::Band { arc, radius } => self.band(layer, arc, *radius),
        }
    }

    fn capsule(&mut self, layer: &str, (from, start): (Point, f64), (to, end): (Point, f64)) {
        let length = from.distance(to);
        if length <= (start - end).abs() {
            // One circle holds the other.
            let (centre, radius) = if start >= end { (from, start) } else { (to, end) };
            if radius > 0.0 {
                self.circle(layer, centre, radius);
            }
            return;
        }
        // The common tangents touch both circles in the direction that leans by the change of radius.
        let axis = (to - from) * (1.0 / length);
        let lean = (start - end) / length;
        let side = (1.0 - lean * lean).sqrt();
        let (left, right) = (axis * lean + axis.left() * side, axis * lean + axis.right() * side);
        // From the right of the end about it to its left: twice the angle between axis and tangent point.
        let about_end = 2.0 * side.atan2(lean);
        let about_start = TAU - about_end;
        let turn = |angle: f64| (angle / 4.0).tan();
        self.polyline(
            layer,
            &[
                (from + right * start, 0.0),
                (to + right * end, turn(about_end)),
                (to + left * end, 0.0),
                (from + left * start, turn(about_start)),
            ],
            true,
        );
    }

    fn band(&mut self, layer: &str, arc: &Arc, radius: f64) {
        let (outer, inner) = (arc.radius + radius, arc.radius - radius);
        for end in [0.0, 1.0] {
            self.circle(layer, arc.at(end), radius);
        }
        // More than half a turn at a time would have no bulge that a reader takes for sure.
        let parts = if arc.sweep.abs() > PI { 2 } else { 1 };
        let sweep = arc.sweep / f64::from(parts);
        let bulge = (sweep / 4.0).tan();
        for part in 0..parts {
            let from = arc.from + sweep * f64::from(part);
            let at = |angle: f64, radius: f64| arc.centre + Point::at_angle(angle) * radius;
            let mut vertices = vec![(at(from, outer), bulge), (at(from + sweep, outer), 0.0)];
            if inner > 0.0 {
                vertices.extend([(at(from + sweep, inner), -bulge), (at(from, inner), 0.0)]);
            } else {
                vertices.push((arc.centre, 0.0));
            }
            self.polyline(layer, &vertices, true);
        }
    }

    /// The whole file.
    fn finish(self, bounds: Bounds) -> String {
        let mut head = String::new();
        let mut group = |code: u32, value: &str| {
            let _ = write!(head, "{code}\r\n{value}\r\n");
        };
        group(999, "Blockwright record");
        for (code, value) in [(0, "SECTION"), (2, "HEADER"), (9, "$ACADVER"), (1, "AC1009")] {
            group(code, value);
        }
        // Not of release 12, but the variable by which later ones, and Blockwright, tell the unit.
        group(9, "$INSUNITS");
        group(70, if self.units == Units::Inch { "1" } else { "4" });
        for (name, at) in [("$EXTMIN", bounds.low), ("$EXTMAX", bounds.high)] {
            group(9, name);
            group(10, &format!("{:.6}", at.x));
            group(20, &format!("{:.6}", at.y));
        }
        for (code, value) in [(0, "ENDSEC"), (0, "SECTION"), (2, "TABLES")] {
            group(code, value);
        }
        for (code, value) in
            [(0, "TABLE"), (2, "LTYPE"), (70, "1"), (0, "LTYPE"), (2, "CONTINUOUS"), (70, "0")]
        {
            group(code, value);
        }
        for (code, value) in [(3, "Solid line"), (72, "65"), (73, "0"), (40, "0.0"), (0, "ENDTAB")] {
            group(code, value);
        }
        for (code, value) in [(0, "TABLE"), (2, "LAYER")] {
            group(code, value);
        }
        group(70, &self.layers.len().to_string());
        for (index, layer) in self.layers.iter().enumerate() {
            group(0, "LAYER");
            group(2, layer);
            group(70, "0");
            // Color numbers 1 to 7 tell layers apart on a screen; 7 is black on white.
            group(62, &(7 - index % 7).to_string());
            group(6, "CONTINUOUS");
        }
        for (code, value) in [(0, "ENDTAB"), (0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES")] {
            group(code, value);
        }
        format!("{head}{}0\r\nENDSEC\r\n0\r\nEOF\r\n", self.entities)
    }
}

/// Text of a release that knows ASCII alone: everything else becomes `?`.
fn plain(text: &str) -> String {
    let letter = |letter: char| if letter.is_ascii() { letter } else { '?' };
    names::shown(text).chars().map(letter).take(200).collect()
}

/// The bulge of a span.
fn bulge(span: &Span) -> f64 {
    match span {
        Span::Line { .. } => 0.0,
        Span::Arc(arc) => (arc.sweep / 4.0).tan(),
    }
}

/// A span, in two where it turns by more than half a turn.
fn halves(span: &Span) -> Vec<Span> {
    match span {
        Span::Arc(arc) if arc.sweep.abs() > PI => {
            vec![Span::Arc(arc.between(0.0, 0.5)), Span::Arc(arc.between(0.5, 1.0))]
        }
        span => vec![*span],
    }
}

/// The whole drawing; `None` for a job with nothing to draw.
pub(super) fn drawing(proof: &Proof, stations: &[f64]) -> Option<String> {
    let units = proof.job.units;
    let mut dxf = Dxf::new(units);
    let mut bounds = Bounds::EMPTY;
    for (layer, path) in [("OUTLINE", &proof.outline), ("EDGE", &proof.edge)] {
        if let Some(path) = path {
            dxf.path(layer, path);
            bounds = bounds.join(path.bounds());
        }
    }
    for (index, pass) in proof.passes.iter().enumerate() {
        bounds = bounds.join(swept(&mut dxf, proof, index, pass));
    }
    if bounds.is_empty() {
        return None;
    }
    if let Some(wall) = proof.wall() {
        for (index, station) in stations.iter().enumerate() {
            let section = wall.section(*station);
            bounds = bounds.join(stood_beside(&mut dxf, &section, index, bounds));
        }
    }
    Some(dxf.finish(bounds))
}

/// The height at which a pass's swept area is drawn: the gauge height where it comes so far down, else its lowest tip,
/// where a cutter that cuts with its end is as wide as it will be.
pub(super) fn height_of(proof: &Proof, pass: &PassProof) -> Option<f64> {
    let lowest = pass.track.lowest()?;
    Some(proof.gauge.map(|gauge| gauge.z).filter(|gauge| *gauge >= lowest).unwrap_or(lowest))
}

/// What a pass sweeps at its height. Returns the box round it.
fn swept(dxf: &mut Dxf, proof: &Proof, index: usize, pass: &PassProof) -> Bounds {
    let mut bounds = Bounds::EMPTY;
    let form = proof.job.passes.get(index).and_then(|pass| proof.job.tool(pass.tool)).map(|tool| &tool.form);
    let (Some(height), Some(form)) = (height_of(proof, pass), form) else { return bounds };
    let profile = form.profile();
    let follow = Tolerances::for_units(proof.job.units).none_below / 4.0;
    let layer = format!("PASS_{}_SWEPT", index + 1);
    if pass.track.placed().len() > MOST_MOTIONS {
        let at = proof.outline.as_ref().map_or_else(|| pt(0.0, 0.0), |outline| outline.bounds().low);
        let words = format!("Pass {}: more than {MOST_MOTIONS} motions, not drawn", index + 1);
        let lower = pt(0.0, (index as f64 + 4.0) * LETTERS * 1.5 * dxf.units.per_inch());
        dxf.text(&layer, at - lower, &words);
        return bounds;
    }
    // Rapids are among them: what comes down through this height sweeps it, however fast.
    for placed in pass.track.placed() {
        slice(&placed.motion, &profile, height, follow, Within::Anywhere, |slice, _| {
            dxf.swept(&layer, &slice);
            bounds = bounds.join(slice.bounds());
        });
    }
    bounds
}

/// A section beside what is drawn already: the metal after the last pass and the blank. Returns the box round it.
fn stood_beside(dxf: &mut Dxf, section: &Section, index: usize, drawn: Bounds) -> Bounds {
    let Some((low, high)) = section.faces() else { return Bounds::EMPTY };
    let letter = char::from(b'A' + (index % 26) as u8);
    let (layer, blank) = (format!("SECTION_{letter}"), format!("SECTION_{letter}_BLANK"));
    let last = section.passes.last().map_or(&[][..], |pass| &pass.metal);
    let inner = section.blank.iter().chain(last).flatten().map(|p| p[0]).fold(0.0, f64::min);
    let room = ROOM * dxf.units.per_inch();
    // Its upper face at the plan's lower edge plus its height: sections stand on one line.
    let shift = pt(drawn.high.x + room - inner, drawn.low.y - low);
    let place = |p: &[f64; 2]| pt(p[0], p[1]) + shift;
    let mut bounds = Bounds::EMPTY;
    for (layer, lines) in [(&blank, section.sides(&section.blank)), (&layer, section.sides(last))] {
        for line in lines {
            let vertices: Vec<(Point, f64)> = line.iter().map(|p| (place(p), 0.0)).collect();
            bounds = vertices.iter().fold(bounds, |all, (p, _)| all.with(*p));
            dxf.polyline(layer, &vertices, false);
        }
    }
    let marked = format!("SECTION_{letter}_OUTLINE");
    dxf.polyline(&marked, &[(place(&[0.0, low]), 0.0), (place(&[0.0, high]), 0.0)], false);
    let words = format!("{letter}: station {}", dxf.units.plain(section.station));
    dxf.text(&marked, place(&[inner, high]) + pt(0.0, room / 4.0), &words);
    bounds
}
