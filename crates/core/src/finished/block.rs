//! The finished block of a job: what must stand when all passes are done.

use super::area::Area;
use super::purpose::{PassFacts, Purpose, face_level, lowest_feed};
use super::solid::{EdgeShape, Solid};
use super::width::{Circles, widest_below};
use crate::job::Does;
use crate::program::Kind;
use crate::tolerance::Tolerances;
use crate::tool::Form;
use crate::track::Placed;

/// Places on each motion at which an edge cutter's way along the outline is looked at.
const PLACES: usize = 8;

/// The blank, the outline and what is meant with both.
#[derive(Debug, Clone, Copy)]
pub struct Meant<'a> {
    /// The outline's area.
    pub outline: &'a Area,
    /// No place inside the outline is deeper than this.
    pub widest: f64,
    /// Z of the blank's upper face.
    pub top: f64,
    /// Z of its lower face.
    pub bottom: f64,
    /// The land wanted on the wall.
    pub land: f64,
    /// Tolerances.
    pub tolerances: &'a Tolerances,
}

/// What must stand when all passes are done.
#[derive(Debug)]
pub struct Finished {
    /// Its section square to the outline.
    pub solid: Solid,
    /// Up to this height an undercut may go.
    pub limit: f64,
    /// For each pass the motions that make a pocket, a groove or a hole: what their feed takes is no part of the block.
    pub insides: Vec<Vec<bool>>,
}

impl Finished {
    /// The finished block that follows from what each pass is for.
    pub fn new(meant: &Meant<'_>, passes: &[PassFacts<'_>], purposes: &[Purpose]) -> Self {
        let of = |does: Does| {
            passes.iter().zip(purposes).filter(move |(_, purpose)| purpose.does == does).map(|(pass, _)| pass)
        };
        let top = of(Does::Face).filter_map(face_level).fold(meant.top, f64::min);
        let edges = of(Does::Edge).filter_map(|pass| meant.edge(pass, top)).collect();
        let solid = Solid { top, bottom: meant.bottom, edges, inset: 0.0 };
        let limit = solid.wall_top() - meant.land;
        let insides = passes.iter().zip(purposes);
        let insides = insides.map(|(pass, purpose)| meant.insides(pass, purpose, top)).collect();
        Self { solid, limit, insides }
    }

    /// The same for a pass that is meant to cut inside the outline by the allowance below 0 it has.
    pub fn for_allowance(&self, allowance: Option<f64>) -> Solid {
        Solid { inset: allowance.map_or(0.0, |allowance| (-allowance).max(0.0)), ..self.solid.clone() }
    }
}

impl Meant<'_> {
    /// Which motions of a pass make a pocket, a groove or a hole.
    fn insides(&self, pass: &PassFacts<'_>, purpose: &Purpose, top: f64) -> Vec<bool> {
        let is_inside = |placed: &Placed| {
            let motion = &placed.motion;
            let low = motion.start.z.min(motion.end.z);
            // The cutter above the finished top may be as wide as it likes.
            let radius = widest_below(pass.sweep.profile(), (top - low).max(0.0));
            motion.kind == Kind::Feed && Circles::of(motion, radius).stay_inside(self.outline, 0.0)
        };
        match purpose.does {
            Does::Inside => pass.sweep.placed().iter().map(is_inside).collect(),
            _ => Vec::new(),
        }
    }

    /// What an edge pass leaves: a rounding cutter with its pilot at the outline and its quarter under the finished top;
    /// any other with its tip where it is meant to be lowest, as far out as it runs longest.
    fn edge(&self, pass: &PassFacts<'_>, top: f64) -> Option<EdgeShape> {
        let profile = pass.form.profile();
        if let Form::EdgeRound { pilot_diameter, radius, pilot_length } = *pass.form {
            return Some(EdgeShape::new(profile, top - radius - pilot_length, pilot_diameter / 2.0));
        }
        let lowest = lowest_feed(pass.sweep)?;
        let tip = pass.bottom.unwrap_or(lowest);
        let flat = profile.radius_at(0.0)?;
        let off = self.usual_way(pass, lowest, profile.widest())?.max(flat);
        (tip < top).then(|| EdgeShape::new(profile, tip, off))
    }

    /// How far outside the outline the axis runs at the lowest level: the distance that it keeps longest. Ways in and out
    /// keep none.
    fn usual_way(&self, pass: &PassFacts<'_>, lowest: f64, reach: f64) -> Option<f64> {
        let (level, same) = (lowest + self.tolerances.depth, self.tolerances.past_outline);
        let mut ways: Vec<(f64, f64)> = Vec::new();
        for placed in pass.sweep.placed() {
            let motion = &placed.motion;
            if motion.kind == Kind::Rapid || motion.start.z > level || motion.end.z > level {
                continue;
            }
            let off = |place: usize| {
                let part = place as f64 / PLACES as f64;
                -self.outline.depth(motion.at(part).plan())
            };
            let mut before = off(0);
            for place in 1..=PLACES {
                let here = off(place);
                // Of a part that comes nearer or goes away only so much keeps about the same distance.
                let kept = (same / (here - before).abs()).min(1.0);
                let middle = f64::midpoint(before, here);
                if middle.abs() <= reach {
                    ways.push((middle, placed.length / PLACES as f64 * kept));
                }
                before = here;
            }
        }
        longest_kept(ways, same)
    }
}

/// The distance that is kept longest: of those within `same`, half of the length nearer and half farther. `ways` are
/// distances, each with a length.
fn longest_kept(mut ways: Vec<(f64, f64)>, same: f64) -> Option<f64> {
    ways.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut from, mut length, mut longest) = (0, 0.0, (0.0, 0..0));
    for (to, way) in ways.iter().enumerate() {
        length += way.1;
        while ways[from].0 < way.0 - same {
            length -= ways[from].1;
            from += 1;
        }
        if length > longest.0 {
            longest = (length, from..to + 1);
        }
    }
    let mut so_far = 0.0;
    let middle = ways.get(longest.1)?.iter().find(|way| {
        so_far += way.1;
        so_far >= longest.0 / 2.0
    });
    middle.map(|way| way.0)
}
