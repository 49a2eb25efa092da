//! What is known at one place of a pass: where the tool is, and what it meets there.

use super::model::{PassProof, Proof};
use crate::cutting;
use crate::geometry::{Place, Point, Point3};
use crate::measure::{AlongOutline, PathRow};
use crate::program::Kind;

/// A cutter that goes along the outline is no farther from it than its radius, so many times, and what it leaves.
const BESIDE: f64 = 1.05;

/// What is known at one place of a pass. What is not measured there is absent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moment {
    /// The tool's tip, block coordinates.
    pub tip: Point3,
    /// The same as the program has it, from the zero of its pass.
    pub of_program: Point3,
    /// Distance along the pass.
    pub distance: f64,
    /// Program line.
    pub line: u32,
    /// The station that the cutter reaches.
    pub station: Option<f64>,
    /// Stock left there after the pass, at the gauge height.
    pub left: Option<f64>,
    /// Thickness of cut: at the station, or along the path.
    pub cut: Option<f64>,
    /// Feed in units a minute; absent at rapid and where none is set.
    pub feed: Option<f64>,
    /// Feed a tooth.
    pub chip_load: Option<f64>,
}

impl Moment {
    /// With the tool at a distance along a pass; `None` without such a pass or motion.
    pub fn on_path(proof: &Proof, pass: usize, distance: f64) -> Option<Self> {
        let mut moment = Self::of_motion(proof, pass, distance)?;
        let measured = proof.passes.get(pass)?;
        let tip = moment.tip.plan();
        if let (Some(along), Some(outline)) = (&measured.along_outline, &proof.outline) {
            let station = outline.nearest(tip);
            let before_after = along.between(station);
            let stands = before_after.map_or(0.0, |(before, ..)| before.max(0.0));
            let meant = proof.job.passes.get(pass).and_then(|pass| pass.allowance).unwrap_or(0.0);
            let reach = measured.cutter_radius() * BESIDE + stands.max(meant);
            if outline.place(station).at.distance(tip) <= reach {
                moment.station = Some(station);
                moment.left = before_after.map(|(_, after, _)| after);
            }
        }
        let feeds = measured.track.placed().get(measured.track.index_at(distance));
        if feeds.is_some_and(|placed| placed.motion.kind == Kind::Feed) {
            moment.cut = measured.along_path.as_ref().and_then(|along| between(&along.rows, distance));
        }
        Some(moment)
    }

    /// With the tool where it comes nearest to a station; `None` without such a pass, or an outline.
    pub fn at_station(proof: &Proof, pass: usize, station: f64) -> Option<Self> {
        let distance = tool_at(proof, pass, station)?;
        let mut moment = Self::of_motion(proof, pass, distance)?;
        let along = proof.passes.get(pass)?.along_outline.as_ref()?;
        let (_, after, cut) = along.between(station)?;
        (moment.station, moment.left, moment.cut) = (Some(station), Some(after), Some(cut));
        Some(moment)
    }

    fn of_motion(proof: &Proof, pass: usize, distance: f64) -> Option<Self> {
        let track = &proof.passes.get(pass)?.track;
        let position = track.at(distance)?;
        let motion = &track.placed().get(position.index)?.motion;
        let feed = Some(motion.feed).filter(|feed| motion.kind == Kind::Feed && *feed > 0.0);
        let tool = proof.job.passes.get(pass).and_then(|pass| proof.job.tool(pass.tool));
        let flutes = tool.and_then(|tool| tool.flutes);
        let chip = |feed: f64| cutting::chip_load(feed, flutes?, f64::from(motion.spindle.abs()));
        let zero = proof.job.passes.get(pass).map(|pass| pass.zero).unwrap_or_default();
        Some(Self {
            tip: position.tip,
            of_program: zero.of_program(position.tip),
            distance,
            line: position.line,
            station: None,
            left: None,
            cut: None,
            feed,
            chip_load: feed.and_then(chip),
        })
    }
}

/// Distance along a pass at which its tool touches a station of the outline; `None` without one.
pub fn tool_at(proof: &Proof, pass: usize, station: f64) -> Option<f64> {
    let place = proof.outline.as_ref()?.place(station);
    let pass = proof.passes.get(pass)?;
    pass.track.nearest(place.at + place.outward * pass.cutter_radius())
}

impl PassProof {
    /// Radius of the tool at the gauge height, or its largest where it does not go along the outline.
    pub fn cutter_radius(&self) -> f64 {
        self.reach.as_ref().map_or(self.tool_radius, |reach| reach.radius)
    }

    /// How far out from the outline the cutter's circle comes nearest on the line square to it, with the tool where it
    /// comes nearest to the place; `None` where it does not reach that line.
    pub fn cutter_off(&self, place: &Place) -> Option<f64> {
        let radius = self.cutter_radius();
        let distance = self.track.nearest(place.at + place.outward * radius)?;
        let away = self.track.at(distance)?.tip.plan() - place.at;
        off_circle(away, place.outward, radius)
    }
}

/// From the origin along a unit vector to a circle about `centre`: to the nearer side of it.
fn off_circle(centre: Point, along: Point, radius: f64) -> Option<f64> {
    let aside = along.cross(centre);
    let half = radius.mul_add(radius, -(aside * aside));
    (half >= 0.0).then(|| along.dot(centre) - half.sqrt())
}

impl AlongOutline {
    /// Stock left before and after the pass, and its cut, at a station between two that were measured; `None` beyond them
    /// and where one of them has no value.
    pub fn between(&self, station: f64) -> Option<(f64, f64, f64)> {
        let (last, next, part) = neighbors(&self.rows, station, |row| row.station)?;
        let value = |last: f64, next: f64| part.mul_add(next - last, last);
        let all = (value(last.before, next.before), value(last.after, next.after), value(last.cut, next.cut));
        (all.0.is_finite() && all.1.is_finite() && all.2.is_finite()).then_some(all)
    }
}

/// The cut at a distance between two samples.
fn between(rows: &[PathRow], distance: f64) -> Option<f64> {
    let (last, next, part) = neighbors(rows, distance, |row| row.distance)?;
    Some(part.mul_add(next.cut - last.cut, last.cut))
}

/// The samples on either side of a place, and the part of the way from the one to the other at which it lies; `None`
/// beyond them.
fn neighbors<T>(rows: &[T], place: f64, at: impl Fn(&T) -> f64) -> Option<(&T, &T, f64)> {
    let after = rows.partition_point(|row| at(row) < place);
    let (last, next) = (rows.get(after.saturating_sub(1))?, rows.get(after)?);
    let gap = at(next) - at(last);
    let part = if gap > 0.0 { (place - at(last)) / gap } else { 1.0 };
    (place >= at(last)).then_some((last, next, part))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::pt;

    #[test]
    fn a_circle_is_met_at_its_nearer_side() {
        let off = off_circle(pt(0.0, 5.0), pt(0.0, 1.0), 2.0).expect("met");
        assert!((off - 3.0).abs() < 1e-12);
        // 3-4-5: a circle of radius 5 whose center lies 3 aside is met 4 before the foot of its center.
        let off = off_circle(pt(3.0, 10.0), pt(0.0, 1.0), 5.0).expect("met");
        assert!((off - 6.0).abs() < 1e-12);
        assert_eq!(off_circle(pt(3.0, 0.0), pt(0.0, 1.0), 2.0), None);
    }

    #[test]
    fn a_cut_between_samples_lies_between_them() {
        let rows = [PathRow { distance: 1.0, cut: 0.1 }, PathRow { distance: 2.0, cut: 0.3 }];
        assert!((between(&rows, 1.5).expect("between") - 0.2).abs() < 1e-12);
        assert_eq!((between(&rows, 0.5), between(&rows, 2.5)), (None, None));
    }
}
