//! What a proof holds.

use std::collections::BTreeMap;
use std::sync::Arc;

use serde::Serialize;

use super::Gauge;
use crate::block::{Field, Removal, Touch};
use crate::bring_in::OffsetError;
use crate::cutting::{Material, unit_power};
use crate::finding::Finding;
use crate::finished::{Entered, How, Purpose};
use crate::fit::{Fitting, Reach};
use crate::geometry::{Path, Point};
use crate::job::{Does, Job};
use crate::measure::{AlongLoad, Contact, Stretch};
use crate::program::{Program, Subprogram, TextLines};
use crate::tolerance::Tolerances;
use crate::track::Track;
use crate::wall::{Along, PassWall, Wall, WallPass, WallTolerances};

/// A job with the text of its programs, one for each pass, as the caller read them.
#[derive(Debug, Clone)]
pub struct Source {
    /// The job.
    pub job: Arc<Job>,
    /// Program text of each pass in the job's order.
    pub programs: Vec<Arc<[u8]>>,
    /// What the job or its programs refer to besides.
    pub beside: Beside,
}

/// Files beside the job that it or its programs refer to, read by whoever can read files.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Beside {
    /// Programs that others may call.
    pub subprograms: Vec<Subprogram>,
    /// The bytes of the drawings and lists of points that the job names, by the name it gives them.
    pub drawings: BTreeMap<String, Arc<[u8]>>,
}

/// What the whole proof comes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    /// Nothing to look at.
    Clear,
    /// Places to look at.
    Look,
    /// Not to be run as it is.
    Stop,
    /// Something could not be followed, so nothing is proven.
    Unproven,
}

/// Least and most of a measure along the outline, with their stations.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Least value.
    pub least: f64,
    /// Most.
    pub most: f64,
    /// Station of the least.
    pub least_at: f64,
    /// Station of the most.
    pub most_at: f64,
}

/// One station of the outline as one pass leaves it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StationRow {
    /// Distance along the outline.
    pub station: f64,
    /// The point on the outline.
    pub at: Point,
    /// Unit vector square to the outline, away from the block.
    pub outward: Point,
    /// Leave before the pass.
    pub before: f64,
    /// Leave after the pass.
    pub after: f64,
    /// How far outside the outline the place lies that `after` tells of: the same but next to a corner, where a place
    /// of another side may be the nearest.
    pub face: f64,
    /// The thickest cut over all heights.
    pub cut: f64,
    /// The height at which it is that; `None` where nothing is taken.
    pub cut_z: Option<f64>,
    /// How far inside the outline the pass itself took metal; 0 when it did not.
    pub past: f64,
    /// Index in the track of the motion that made the face left here, when this pass made it.
    pub by: Option<u32>,
}

/// What one pass does along the outline: what it leaves at the gauge height, and what it takes over all heights.
#[derive(Debug, Clone)]
pub struct AlongOutline {
    /// Stations in order.
    pub rows: Vec<StationRow>,
    /// Contact along the whole outline without gap or overlap.
    pub contact: Vec<Stretch>,
    /// Leave after the pass.
    pub leave: Range,
    /// The thickest cut over all heights.
    pub cut: Range,
    /// The heights of the least and of the most of it; `None` where nothing is taken.
    pub cut_z: [Option<f64>; 2],
    /// Deepest cut inside the outline and its station, when there is any.
    pub past: Option<(f64, f64)>,
    /// The stations at which something was measured after the pass, in the job's order.
    pub measured: Vec<StationRow>,
    /// Where it stays above its bottom and leaves metal.
    pub shallow: Vec<Shallow>,
}

/// A stretch of the outline along which a pass stays above its bottom and leaves metal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shallow {
    /// Station at which it starts.
    pub from: f64,
    /// Station at which it ends.
    pub to: f64,
    /// By how much at the most.
    pub by: f64,
}

/// One sample of the thickness of cut along the tool's own path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PathRow {
    /// Distance along the whole path, rapids included.
    pub distance: f64,
    /// Metal taken on the line through the tool's axis square to its travel.
    pub cut: f64,
}

/// Thickness of cut along the tool's own path; samples lie on feed motions only.
#[derive(Debug, Clone)]
pub struct AlongPath {
    /// Height at which it was measured, block coordinates; where nothing is taken there, the other levels were looked at.
    pub height: f64,
    /// Samples in order of distance.
    pub rows: Vec<PathRow>,
    /// Stretches of feed motion without contact where metal was expected, as distances along the path.
    pub none: Vec<(f64, f64)>,
    /// Stretches of feed motion without contact where none was expected: lead-in, lead-out, ways beside the block.
    pub approach: Vec<(f64, f64)>,
}

/// What became of one pass.
#[derive(Debug, Clone)]
pub struct PassProof {
    /// The program as read.
    pub program: Arc<Program>,
    /// Its text by lines.
    pub text: Arc<TextLines>,
    /// The tool's path in block coordinates.
    pub track: Arc<Track>,
    /// Largest radius of the pass's tool.
    pub tool_radius: f64,
    /// Lowest program Z.
    pub lowest: Option<f64>,
    /// Time in seconds as far as the speeds are known; `None` when none is.
    pub seconds: Option<f64>,
    /// The metal removed, when the job has a blank.
    pub removal: Option<Arc<Removal>>,
    /// What of the tool above its cutting edges comes to metal, as far as the job gives blank and tool.
    pub touches: Arc<Vec<Touch>>,
    /// Measures along the outline, when the job has one and the blank, and the pass an allowance or a cut there.
    pub along_outline: Option<Arc<AlongOutline>>,
    /// Thickness of cut along the path, when the job has a blank.
    pub along_path: Option<Arc<AlongPath>>,
    /// What the cutter meets along the path, when the job has a blank.
    pub load: Option<Arc<AlongLoad>>,
    /// Least and greatest chip load over the motions that cut, in the job's unit; `None` when flutes, feed or speed
    /// are not known.
    pub chip_load: Option<(f64, f64)>,
    /// The greatest removal rate, in³/min or cm³/min; `None` when nothing is cut at a known feed.
    pub rate_most: Option<f64>,
    /// The most power at the cutter, hp in an inch job and kW in a millimetre job; `None` when the material is not
    /// known, or the removal rate.
    pub power_most: Option<f64>,
    /// Where its tool can't touch the outline, when the pass has an allowance and cuts at the gauge height.
    pub reach: Option<ToolReach>,
    /// The heights on the wall after this pass, when the job's passes undercut it or round its edge.
    pub wall: Option<Arc<PassWall>>,
    /// What the pass is for, when the job has blank and outline.
    pub purpose: Option<Purpose>,
    /// Where it comes into metal that it must leave, when the job has a blank: its feed into the finished block, its
    /// rapids into any metal.
    pub entered: Arc<Vec<Entered>>,
}

impl PassProof {
    /// Length of outline in this state; `None` when there are no measures along the outline.
    pub fn contact_length(&self, state: Contact) -> Option<f64> {
        let along = self.along_outline.as_ref()?;
        Some(along.contact.iter().filter(|s| s.state == state).map(|s| s.to - s.from).sum())
    }
}

/// Where a pass's tool, rolling round the outline at the pass's allowance, can't touch it.
#[derive(Debug, Clone, PartialEq)]
pub struct ToolReach {
    /// Radius of the tool at the gauge height.
    pub radius: f64,
    /// What it can't touch, and how much it leaves there beyond the allowance; why that can't be said.
    pub left: Arc<Result<Vec<Reach>, OffsetError>>,
}

/// A stretch of the outline where the blank is short.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Short {
    /// Station at which it starts.
    pub from: f64,
    /// Station at which it ends.
    pub to: f64,
    /// How far the blank ends inside the outline at the most.
    pub most: f64,
}

/// How the outline lies on the blank as sawn.
#[derive(Debug, Clone, PartialEq)]
pub struct BlankProof {
    /// Least distance, square to the outline, to the sawn edge; negative where short.
    pub least_margin: f64,
    /// Station of the least margin.
    pub least_margin_at: f64,
    /// Stretches where the blank is short.
    pub short: Vec<Short>,
}

/// The result of running every pass of a job through the checks.
#[derive(Debug, Clone)]
pub struct Proof {
    /// The job proven.
    pub job: Arc<Job>,
    /// The outline in block coordinates.
    pub outline: Option<Arc<Path>>,
    /// The sawn edge in block coordinates.
    pub edge: Option<Arc<Path>>,
    /// How many stations were measured.
    pub stations: usize,
    /// The height at which stock left is measured, as far as there is one.
    pub gauge: Option<Gauge>,
    /// How the outline lies on the blank.
    pub blank: Option<BlankProof>,
    /// How the outline would lie on the blank at best, when the job has both.
    pub fit: Option<Arc<Fitting>>,
    /// The block before the first pass.
    pub start: Option<Field>,
    /// One for each pass of the job, in its order.
    pub passes: Vec<PassProof>,
    /// The wall all along the outline, when the job's passes undercut it or round its edge.
    pub wall: Option<Arc<Along>>,
    /// The passes as [`Proof::wall`] needs them.
    pub wall_passes: Vec<Arc<WallPass>>,
    /// What must be looked at, by pass and line.
    pub findings: Vec<Finding>,
    /// What it all comes to.
    pub verdict: Verdict,
}

impl Proof {
    /// The material that power is worked out for, with its power for each removal rate (hp for each in³/min, kW for each
    /// cm³/min); `None` when no pass has any.
    pub fn power_source(&self) -> Option<(Material, f64)> {
        self.passes.iter().find_map(|pass| pass.power_most)?;
        let material = self.job.material()?;
        let unit_power = unit_power(self.job.units, material.specific_force)?;
        Some((material, unit_power))
    }

    /// How far a pass cuts inside the line of the wall at the most, and the station; `None` when it does not. Judged on
    /// the finished block at every height, and down to the least contact at the gauge height.
    pub fn past_outline(&self, pass: usize) -> Option<(f64, f64)> {
        let (proof, outline) = (self.passes.get(pass)?, self.outline.as_ref()?);
        let walls = proof.entered.iter().filter(|entered| entered.how == How::Wall);
        let worst = walls.max_by(|a, b| a.inside.total_cmp(&b.inside));
        let slight = || {
            let least = Tolerances::for_units(self.job.units).past_outline;
            let held = proof.purpose.as_ref().is_some_and(|purpose| purpose.does == Does::Profile);
            proof.along_outline.as_ref()?.past.filter(|(most, _)| held && *most <= least)
        };
        worst.map(|worst| (worst.inside, outline.nearest(worst.at.plan()))).or_else(slight)
    }

    /// The wall, to be looked at anywhere; `None` without an outline or a blank.
    pub fn wall(&self) -> Option<Wall<'_>> {
        let blank = self.job.blank.as_ref()?;
        Some(Wall {
            outline: self.outline.as_ref()?,
            edge: self.edge.as_ref()?,
            bottom: blank.bottom(),
            top: blank.top,
            passes: self.wall_passes.iter().map(AsRef::as_ref).collect(),
            tolerances: WallTolerances::for_units(self.job.units),
        })
    }

    /// The block after `distance` along a pass; `None` without a blank. Starts from the nearest stored state.
    pub fn block_at(&self, pass: usize, distance: f64) -> Option<Field> {
        let proof = self.passes.get(pass)?;
        Some(proof.removal.as_ref()?.field_at(&proof.track, distance))
    }
}
