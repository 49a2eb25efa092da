//! Going to a finding, and from card to card.

use blockwright_core::finding::Severity;
use blockwright_core::geometry::{Point, Point3};
use blockwright_core::proof::{Proof, steps};
use blockwright_core::view::{Camera, Viewport};

use super::{Around, Look};
use crate::app::inset;
use crate::app::panel::cards;

/// Part of the picture that a finding takes when it is looked at.
const NEAR: f64 = 1.0 / 3.0;

/// A wall that is looked at in 3D is turned so far from straight ahead, degrees: its neighbors show as well.
const ASKEW: f64 = 18.0;

/// No farther than this from the middle lies a place that is shown enlarged beside it, parts of the width.
const ASIDE: f32 = 0.3;

impl Look {
    /// Goes to a finding: its pass, its place, and the tool there.
    pub(super) fn follow(&mut self, index: usize, around: Around<'_>) {
        let Some(proof) = around.desk.proof() else { return };
        let Some(finding) = proof.findings.get(index) else { return };
        if let Some(pass) = finding.pass {
            self.pick_of(pass, around);
        }
        self.finding = Some(index);
        self.magnified = true;
        if finding.severity == Severity::Note {
            self.notes = true;
        }
        if let Some(station) = finding.station {
            self.centre.station = station;
            self.face(proof, station);
        }
        let end_of = |line: u32| Some(self.picked(Some(proof))?.track.distance_of_line(line));
        let target = finding.line.filter(|_| finding.pass.is_some()).and_then(end_of);
        let is_there = finding.station.is_some_and(|station| self.bring_to(Some(proof), station));
        if let Some(to) = target.filter(|_| !is_there) {
            self.scrub(Some(proof), to);
        }
        if target == self.at {
            // where two lines meet, the tool is on the one that the finding tells
            self.line = finding.line;
        }
        let at =
            finding.at.map(Point3::plan).or_else(|| Some(proof.outline.as_ref()?.place(finding.station?).at));
        if let Some(at) = at {
            self.bring_near(at, finding.amount.unwrap_or(0.0), around);
            if steps(proof, finding).is_some() {
                self.move_aside();
            }
        }
    }

    /// Turns the block so that the wall at a station is seen from the front, from a little above.
    fn face(&mut self, proof: &Proof, station: f64) {
        let Some(outline) = &proof.outline else { return };
        let outward = outline.place(station).outward;
        let turn = outward.x.atan2(-outward.y).to_degrees() + ASKEW;
        self.centre.camera = Camera { turn: turn.rem_euclid(360.0), ..Camera::default() };
    }

    /// Moves the plan so that what is in its middle lies left of it: the right side is for the place enlarged.
    fn move_aside(&mut self) {
        if let Some(seen) = self.viewport {
            let aside = (inset::WIDTH / 2.0).min(seen.width * ASIDE);
            self.viewport = Some(seen.panned(-aside, 0.0));
        }
    }

    /// Brings a place near: what is found there, this long, and the cutter take a good part of the picture. What is
    /// seen nearer already stays as near.
    fn bring_near(&mut self, at: Point, length: f64, around: Around<'_>) {
        let Some(seen) = around.seen else { return };
        let tool = self.picked(around.desk.proof()).map_or(0.0, |pass| pass.tool_radius);
        let size = length.max(tool);
        let room = f64::from(seen.width.min(seen.height)) * NEAR;
        let scale = if size > 0.0 { seen.scale.max(room / size) } else { seen.scale };
        self.viewport = Some(Viewport { centre: at, scale, ..seen });
    }

    /// Goes to the finding of the next card, or of the one before.
    pub(super) fn walk(&mut self, on: bool, around: Around<'_>) {
        let Some(proof) = around.desk.whole_proof() else { return };
        let cards = cards::order(proof, self.notes);
        let now = self.finding.and_then(|finding| cards.iter().position(|card| *card == finding));
        let next = match now {
            None => 0,
            Some(now) if on => now + 1,
            Some(now) => now.saturating_sub(1),
        };
        if let Some(finding) = cards.get(next).copied() {
            self.follow(finding, around);
        }
    }

    /// Brings a station into the middle of the plan.
    pub(super) fn centre_on(&mut self, station: f64, around: Around<'_>) {
        let outline = around.desk.proof().and_then(|proof| proof.outline.as_ref());
        if let (Some(outline), Some(seen)) = (outline, around.seen) {
            self.viewport = Some(Viewport { centre: outline.place(station).at, ..seen });
        }
    }
}
