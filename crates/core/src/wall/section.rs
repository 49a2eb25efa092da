//! The section of the metal at one station, to be drawn.

use super::face;
use super::pass::Carried;
use super::polygon::{Layer, polygons};
use super::runs::Heights;
use super::station::Station;
use super::{Wall, WallPass};
use crate::geometry::{Interval, Place, Ray, Span};
use crate::program::Kind;

/// How much finer a section may be divided than the heights on the wall are looked at.
const FINER: f64 = 10.0;

/// Pieces at the lower and at the upper end of a layer, in each state of the metal.
type Ends = Vec<Vec<Interval>>;

/// The section at one station. A point is `[q, z]`: distance outward from the outline, and height.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// Distance along the outline.
    pub station: f64,
    /// The place, and the direction of q.
    pub place: Place,
    /// How far inward (negative) and outward the section reaches: to the next side of the outline, and inward no
    /// farther than the wall is looked at.
    pub reach: Interval,
    /// The metal before the first pass.
    pub blank: Vec<Vec<[f64; 2]>>,
    /// One for each pass.
    pub passes: Vec<SectionPass>,
}

/// The section after one pass.
#[derive(Debug, Clone, PartialEq)]
pub struct SectionPass {
    /// The metal, as closed polygons.
    pub metal: Vec<Vec<[f64; 2]>>,
    /// The heights on the wall.
    pub heights: Heights,
    /// Where the cutter is as it goes by; `None` for a pass whose path does not cross the section.
    pub tool: Option<ToolAt>,
}

/// Where a cutter's axis crosses the section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ToolAt {
    /// Distance of the axis outward from the outline.
    pub q: f64,
    /// Height of the tip.
    pub tip: f64,
}

impl Wall<'_> {
    /// The section at a station of the outline.
    pub fn section(&self, station: f64) -> Section {
        let station = station.rem_euclid(self.outline.length());
        let place = self.place_at(station);
        let at = Station::new(self, &place);
        let heights = face::after_each_pass(&at);
        let layers = layers(&at, &heights);
        let state = |index: usize| -> Vec<Vec<[f64; 2]>> {
            let of = |(heights, low, high): &(Interval, Ends, Ends)| Layer {
                heights: *heights,
                low: low[index].clone(),
                high: high[index].clone(),
            };
            polygons(&layers.iter().map(of).collect::<Vec<_>>())
        };
        let pass = |(index, heights): (usize, Heights)| SectionPass {
            metal: state(index + 1),
            heights,
            tool: tool_at(&at, self.passes[index]),
        };
        Section {
            station,
            place,
            reach: at.reach,
            blank: state(0),
            passes: heights.into_iter().enumerate().map(pass).collect(),
        }
    }
}

/// The metal in layers so thin that straight sides follow it. The heights on the wall are corners of their own.
fn layers(station: &Station<'_>, heights: &[Heights]) -> Vec<(Interval, Ends, Ends)> {
    let tolerances = &station.wall.tolerances;
    // No more layers than the work there is time for: enough to part what the eye can part.
    let finest = (station.faces.1 - station.faces.0) / (FINER * station.most_heights() as f64);
    let least = tolerances.height.max(finest);
    let mut layers = Layers { station, least, list: Vec::new() };
    let corners = heights.iter().flat_map(|found| [found.undercut_line, found.rounding_lower]);
    for pair in station.joints_with(corners.flatten()).windows(2) {
        let margin = (tolerances.height / 2.0).min((pair[1] - pair[0]) / 8.0);
        let (low, high) = (pair[0] + margin, pair[1] - margin);
        let first = layers.list.len();
        layers.divide((low, &station.metal_at(low)), (high, &station.metal_at(high)));
        // The layers reach to the joints themselves.
        if let Some(layer) = layers.list.get_mut(first) {
            layer.0.0 = pair[0];
        }
        if let Some(layer) = layers.list.last_mut() {
            layer.0.1 = pair[1];
        }
    }
    layers.list
}

/// Layers in the making.
struct Layers<'a> {
    station: &'a Station<'a>,
    /// No layer is divided that is lower than this.
    least: f64,
    list: Vec<(Interval, Ends, Ends)>,
}

impl Layers<'_> {
    fn divide(&mut self, (low, at_low): (f64, &Ends), (high, at_high): (f64, &Ends)) {
        let flatness = self.station.wall.tolerances.flatness;
        let middle = f64::midpoint(low, high);
        let at_middle = self.station.metal_at(middle);
        let quarter = |from: f64, to: f64| self.station.metal_at(f64::midpoint(from, to));
        let fits = is_straight(at_low, &at_middle, at_high, flatness)
            && is_straight(at_low, &quarter(low, middle), &at_middle, flatness)
            && is_straight(&at_middle, &quarter(middle, high), at_high, flatness);
        if fits {
            self.list.push(((low, high), at_low.clone(), at_high.clone()));
        } else if high - low > self.least {
            self.divide((low, at_low), (middle, &at_middle));
            self.divide((middle, &at_middle), (high, at_high));
        } else {
            // A piece begins or ends in here, lower than can be seen.
            self.list.push(((low, high), at_low.clone(), at_low.clone()));
        }
    }
}

/// Whether straight sides from the lower to the upper pieces meet the middle ones.
fn is_straight(low: &Ends, middle: &Ends, high: &Ends, flatness: f64) -> bool {
    let near = |a: f64, m: f64, b: f64| (f64::midpoint(a, b) - m).abs() <= flatness;
    let states = low.iter().zip(middle).zip(high);
    states.map(|((low, middle), high)| (low, middle, high)).all(|(low, middle, high)| {
        let mut pieces = low.iter().zip(middle).zip(high);
        low.len() == middle.len()
            && low.len() == high.len()
            && pieces.all(|((a, m), b)| near(a.0, m.0, b.0) && near(a.1, m.1, b.1))
    })
}

/// Where the pass's path crosses the section at feed: the lowest such place, and of those the nearest to the
/// outline.
fn tool_at(station: &Station<'_>, pass: &WallPass) -> Option<ToolAt> {
    let level = station.wall.tolerances.step;
    let near = pass.near(&station.ray, station.reach, f64::INFINITY);
    let feeds = near.into_iter().filter(|carried| carried.motion.kind == Kind::Feed);
    let places = feeds.flat_map(|carried| crossings(&station.ray, carried));
    places.filter(|place| place.q >= station.reach.0 && place.q <= station.reach.1).reduce(|best, next| {
        let higher = next.tip - best.tip;
        let better = higher < -level || (higher <= level && next.q.abs() < best.q.abs());
        if better { next } else { best }
    })
}

/// Where the axis crosses the ray's line on one motion.
fn crossings(ray: &Ray, Carried { motion, plan }: &Carried) -> Vec<ToolAt> {
    let at = |part: f64| {
        let tip = motion.at(part);
        ToolAt { q: (tip.plan() - ray.origin).dot(ray.along), tip: tip.z }
    };
    match *plan {
        Span::Line { from, to } => {
            let side = |p| ray.along.cross(p - ray.origin);
            let (a, b): (f64, f64) = (side(from), side(to));
            let crosses = a * b <= 0.0 && a != b;
            crosses.then(|| at(a / (a - b))).into_iter().collect()
        }
        Span::Arc(arc) => {
            let Some((enter, leave)) = ray.in_circle(arc.centre, arc.radius) else { return Vec::new() };
            let parts = [enter, leave].map(|along| arc.part_at((ray.at(along) - arc.centre).angle()));
            parts.into_iter().flatten().map(at).collect()
        }
    }
}
