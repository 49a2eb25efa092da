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
use crate::measure::{AlongLoad, AlongOutline, AlongPath, BlankProof, Contact, Under};
use crate::program::{Program, Subprogram, TextLines};
use crate::tolerance::Tolerances;
use crate::track::Track;
use crate::units::Told;
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
    /// What of the metal it cuts loose, when the job has a blank.
    pub loose: Vec<Loose>,
    /// What of the pass comes out below the block, when anything does.
    pub under: Option<Under>,
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

/// Metal that a pass cuts through all around, and that no clamp area reaches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Loose {
    /// How far it reaches in X and in Y, to a cell of the heightfield.
    pub across: [f64; 2],
    /// A place in it.
    pub place: Point,
}

/// Where a pass's tool, rolling round the outline at the pass's allowance, can't touch it.
#[derive(Debug, Clone, PartialEq)]
pub struct ToolReach {
    /// Radius of the tool at the gauge height.
    pub radius: f64,
    /// What it can't touch, and how much it leaves there beyond the allowance; why that can't be said.
    pub left: Arc<Result<Vec<Reach>, OffsetError>>,
}

/// The result of running every pass of a job through the checks.
#[derive(Debug, Clone)]
pub struct Proof {
    /// The job proven.
    pub job: Arc<Job>,
    /// How lengths are told: in its messages, and in the views of it.
    pub told: Told,
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
        let paths = (self.outline.as_deref()?, self.edge.as_deref()?);
        let passes = self.wall_passes.iter().map(AsRef::as_ref).collect();
        let tolerances = WallTolerances::for_units(self.job.units);
        Some(Wall::new(paths, (blank.bottom(), blank.top), passes, tolerances))
    }

    /// The block after `distance` along a pass; `None` without a blank. Starts from the nearest stored state.
    pub fn block_at(&self, pass: usize, distance: f64) -> Option<Field> {
        let proof = self.passes.get(pass)?;
        Some(proof.removal.as_ref()?.field_at(&proof.track, distance))
    }
}
