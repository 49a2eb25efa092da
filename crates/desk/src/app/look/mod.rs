//! What of the proof is looked at, and how.

mod follow;
#[cfg(test)]
mod tests;
mod update;

use std::sync::Arc;

use blockwright_core::geometry::Point;
use blockwright_core::proof::{Moment, PassProof, Proof, tool_at};
use blockwright_core::view::{Along, Viewport};

use super::centre::CentreLook;
pub(in crate::app) use update::{Around, Message};

/// What stands under the picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Tab {
    /// The cut of every pass along the outline, or of one along its path.
    #[default]
    Strips,
    /// One line for every pass.
    Passes,
    /// The tools of the job, to scale.
    Tools,
    /// The undercut passes and what would leave a wanted land.
    Undercut,
    /// How the outline lies on the blank, and how it would lie best.
    Fit,
}

/// From where X, Y and Z are counted under the picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum CountedFrom {
    /// From the zero of the job.
    #[default]
    Block,
    /// From the zero of the pass, as its program has them.
    Program,
}

impl CountedFrom {
    /// The other one.
    pub(in crate::app) const fn other(self) -> Self {
        match self {
            Self::Block => Self::Program,
            Self::Program => Self::Block,
        }
    }

    /// Whose coordinates they are.
    pub(in crate::app) const fn word(self) -> &'static str {
        match self {
            Self::Block => "block",
            Self::Program => "program",
        }
    }

    /// What they are called beside the other ones.
    pub(in crate::app) const fn names(self) -> [&'static str; 3] {
        match self {
            Self::Block => ["block X", "Y", "Z"],
            Self::Program => ["program X", "Y", "Z"],
        }
    }

    /// What they are, and what a click does.
    pub(in crate::app) const fn tip(self) -> &'static str {
        match self {
            Self::Block => {
                "X, Y, Z from the block's zero. Click for those of the program, from the zero of its pass."
            }
            Self::Program => {
                "X, Y, Z as the program has them, from the zero of its pass. Click for those of the block."
            }
        }
    }
}

/// How many times as fast as the machine the tool runs in the window.
pub(in crate::app) const SPEEDS: [f64; 4] = [1.0, 5.0, 20.0, 100.0];

/// Where the pointer is that lights a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum From {
    /// On a strip.
    Strip,
    /// On the plan.
    Plan,
}

/// The place that the pointer lights, on a strip and in the plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hover {
    /// In the strip's own measure: distance along the path, or station.
    pub value: f64,
    /// The place in the plan.
    pub at: Point,
    /// What the pointer is on.
    pub from: From,
}

/// What is looked at.
#[derive(Debug)]
pub(in crate::app) struct Look {
    /// Index of the pass.
    pub(in crate::app) pass: usize,
    /// Distance along it; `None` at its end.
    at: Option<f64>,
    /// The station that the tool was brought to, while it stays there: in an inner corner that it does not reach, other
    /// stations are nearer to it.
    station: Option<f64>,
    /// Program line picked by hand, which may have no motion of its own.
    line: Option<u32>,
    /// Program line to be at again when an edited program has been proven.
    stay: Option<u32>,
    pub(in crate::app) along: Along,
    pub(in crate::app) origin: CountedFrom,
    pub(in crate::app) hover: Option<Hover>,
    pub(in crate::app) finding: Option<usize>,
    /// The worst place of the finding is shown enlarged.
    pub(in crate::app) magnified: bool,
    /// Notes have cards as well.
    pub(in crate::app) notes: bool,
    pub(in crate::app) tab: Tab,
    /// What part of the plan is seen; `None` for all of it.
    pub(in crate::app) viewport: Option<Viewport>,
    /// What is looked at in the middle of the window besides the plan.
    pub(in crate::app) centre: CentreLook,
    pub(in crate::app) playing: bool,
    pub(in crate::app) speed: f64,
}

impl Default for Look {
    fn default() -> Self {
        Self {
            pass: 0,
            at: None,
            station: None,
            line: None,
            stay: None,
            along: Along::Outline,
            origin: CountedFrom::Block,
            hover: None,
            finding: None,
            magnified: false,
            notes: false,
            tab: Tab::Strips,
            viewport: None,
            centre: CentreLook::default(),
            playing: false,
            speed: SPEEDS[1],
        }
    }
}

impl Look {
    /// Back to the beginning, for another job.
    fn reset(&mut self) {
        let centre = self.centre.for_another_job();
        *self = Self {
            along: self.along,
            origin: self.origin,
            tab: self.tab,
            speed: self.speed,
            centre,
            ..Self::default()
        };
    }

    /// What the strips run along: without an outline there are stations of none.
    pub(in crate::app) fn along_of(&self, proof: &Proof) -> Along {
        if proof.outline.is_some() { self.along } else { Along::Path }
    }

    /// After a new proof: nothing that is no longer there is looked at.
    fn clamp_to(&mut self, proof: Option<&Arc<Proof>>) {
        let Some(proof) = proof else { return };
        if self.pass >= proof.passes.len() {
            self.pass = proof.passes.len().saturating_sub(1);
            self.at = None;
        }
        self.station = None;
        let pass = proof.passes.get(self.pass);
        let length = pass.map_or(0.0, |pass| pass.track.length());
        if let (Some(line), Some(pass)) = (self.stay.take(), pass) {
            self.at = Some(pass.track.distance_of_line(line));
        }
        self.at = self.at.map(|at| at.min(length));
        self.finding = self.finding.filter(|finding| *finding < proof.findings.len());
        self.hover = None;
    }

    /// How far along the pass the tool is.
    pub(in crate::app) fn distance(&self, proof: Option<&Arc<Proof>>) -> f64 {
        self.at.unwrap_or_else(|| self.length(proof))
    }

    fn length(&self, proof: Option<&Arc<Proof>>) -> f64 {
        self.picked(proof).map_or(0.0, |pass| pass.track.length())
    }

    /// The proof of the pass that is picked.
    pub(in crate::app) fn picked<'a>(&self, proof: Option<&'a Arc<Proof>>) -> Option<&'a PassProof> {
        proof?.passes.get(self.pass)
    }

    /// Picks a pass; the tool goes to its end.
    fn pick(&mut self, pass: usize) {
        self.pass = pass;
        self.at = None;
        self.station = None;
        self.line = None;
        self.stay = None;
        self.hover = None;
        self.playing = false;
        self.finding = None;
    }

    /// The pass that is looked at has another place now.
    fn follow_pass(&mut self, pass: usize) {
        self.pass = pass;
        self.station = None;
        self.hover = None;
        self.finding = None;
    }

    /// Moves the tool.
    fn scrub(&mut self, proof: Option<&Arc<Proof>>, to: f64) {
        let length = self.length(proof);
        if to.is_finite() {
            self.at = Some(to.clamp(0.0, length));
            self.station = None;
            self.line = None;
            self.stay = None;
        }
    }

    /// Brings the tool to where it comes nearest to a station; whether it comes by there at all.
    fn bring_to(&mut self, proof: Option<&Arc<Proof>>, station: f64) -> bool {
        let to = proof.and_then(|proof| tool_at(proof, self.pass, station));
        if let Some(to) = to {
            self.scrub(proof, to);
            self.station = Some(station);
        }
        to.is_some()
    }

    /// What is known where the tool is.
    pub(in crate::app) fn moment(&self, proof: &Arc<Proof>) -> Option<Moment> {
        let there = self.station.and_then(|station| Moment::at_station(proof, self.pass, station));
        let moment = there.or_else(|| Moment::on_path(proof, self.pass, self.distance(Some(proof))))?;
        Some(Moment { line: self.tool_line(Some(proof)).unwrap_or(moment.line), ..moment })
    }

    /// The station at which the tool is, as far as one is nearest to it.
    pub(in crate::app) fn station(&self, proof: &Arc<Proof>) -> Option<f64> {
        self.station.or_else(|| {
            let tip = self.picked(Some(proof))?.track.at(self.distance(Some(proof)))?.tip;
            Some(proof.outline.as_ref()?.nearest(tip.plan()))
        })
    }

    /// The program line that the tool is on.
    pub(in crate::app) fn tool_line(&self, proof: Option<&Arc<Proof>>) -> Option<u32> {
        let track = &self.picked(proof)?.track;
        let distance = self.distance(proof);
        // The end of a picked line is the start of the next as well.
        let end = self.line.filter(|line| track.distance_of_line(*line) == distance);
        let last = end.and_then(|line| {
            let after = track.placed().partition_point(|placed| placed.motion.line <= line);
            track.placed().get(after.checked_sub(1)?)
        });
        last.map(|placed| placed.motion.line).or_else(|| track.at(distance).map(|position| position.line))
    }

    /// The program line that was picked by hand, or else the tool's.
    pub(in crate::app) fn line(&self, proof: Option<&Arc<Proof>>) -> Option<u32> {
        self.line.or_else(|| self.tool_line(proof))
    }

    /// Picks a program line; the tool stays where it is.
    fn pick_line(&mut self, line: Option<u32>) {
        self.line = line;
    }

    /// Picks a program line and moves the tool to its end.
    fn go_to_line(&mut self, proof: Option<&Arc<Proof>>, line: u32) {
        self.playing = false;
        if let Some(to) = self.picked(proof).map(|pass| pass.track.distance_of_line(line)) {
            self.scrub(proof, to);
        }
        self.line = Some(line);
    }

    /// With the next proof the tool comes back to the line it is on now, however far along that will be.
    fn stay(&mut self, proof: Option<&Arc<Proof>>) {
        if self.at.is_some() && self.stay.is_none() {
            self.stay = self.line(proof);
        }
    }

    /// Moves the tool by a part of the pass's length.
    fn step(&mut self, proof: Option<&Arc<Proof>>, part: f64) {
        self.playing = false;
        self.scrub(proof, self.distance(proof) + part * self.length(proof));
    }

    /// Starts the tool running, or holds it. At the end it starts over.
    fn toggle_play(&mut self, proof: Option<&Arc<Proof>>) {
        self.playing = !self.playing && self.length(proof) > 0.0;
        if self.playing && self.distance(proof) >= self.length(proof) {
            self.at = Some(0.0);
        }
    }

    /// Lets the tool run for `seconds` of the clock on the wall.
    fn run(&mut self, proof: Option<&Arc<Proof>>, seconds: f64) {
        let Some(pass) = self.picked(proof) else {
            self.playing = false;
            return;
        };
        let track = &pass.track;
        let now = self.distance(proof);
        let Some(position) = track.at(now) else {
            self.playing = false;
            return;
        };
        let wanted = track.distance_at(position.seconds + seconds * self.speed);
        // A motion whose speed is not known takes no time; the tool still has to get past it.
        let least = now + track.length() / 5000.0;
        let unknown = track.placed().get(position.index).is_some_and(|placed| placed.seconds <= 0.0);
        let next = if unknown { wanted.max(least) } else { wanted };
        self.scrub(proof, next);
        if self.distance(proof) >= track.length() {
            self.playing = false;
        }
    }
}
