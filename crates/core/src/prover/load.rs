//! Measuring along the paths: thickness of cut, and the load on the cutter.

use std::sync::Arc;

use super::memory::{PathKey, Same, kept};
use super::prepare::Prepared;
use super::{ProveError, Run, Stage};
use crate::cutting;
use crate::geometry::Path;
use crate::measure::load::{Edge, Load};
use crate::measure::{Block, Sweep, along_path, measuring_height};
use crate::program::Kind;
use crate::proof::PassProof;
use crate::track::Placed;

/// The outline and what a pass is to leave there, when it is held against it.
type Held<'a> = Option<(&'a Arc<Path>, f64)>;

impl Run<'_> {
    pub(super) fn along_paths(
        &mut self,
        prepared: &[Prepared],
        (outline, edge, gauge): (Option<&Arc<Path>>, &Arc<Path>, Option<f64>),
        passes: &mut [PassProof],
    ) -> Result<(), ProveError> {
        let sweeps = self.sweeps(prepared);
        let indexed = Edge::new(edge);
        for (index, (pass, proof)) in prepared.iter().zip(passes).enumerate() {
            if let Some(gauge) = gauge {
                let allowance = self.job.passes.get(index).and_then(|pass| pass.allowance);
                let held = outline.zip(allowance);
                self.along_path(pass, &sweeps[..=index], (held, edge, gauge), proof)?;
            }
            self.along_load(pass, &sweeps[..=index], (edge, &indexed), proof)?;
        }
        Ok(())
    }

    pub(super) fn sweeps(&mut self, prepared: &[Prepared]) -> Vec<Arc<Sweep>> {
        let sweep = |pass: &Prepared| {
            let key = (Same(Arc::clone(&pass.track)), pass.form.clone());
            let make = || Ok::<_, std::convert::Infallible>(Sweep::new(&pass.track, &pass.form));
            let Ok((sweep, _)) = kept(&self.old.sweeps, &mut self.new.sweeps, key, make);
            sweep
        };
        prepared.iter().map(sweep).collect()
    }

    /// Thickness of cut along the path of the last of `sweeps`.
    fn along_path(
        &mut self,
        pass: &Prepared,
        sweeps: &[Arc<Sweep>],
        (held, edge, gauge): (Held<'_>, &Arc<Path>, f64),
        proof: &mut PassProof,
    ) -> Result<(), ProveError> {
        let Some(blank) = &self.job.blank else { return Ok(()) };
        let (bottom, top) = (blank.bottom(), blank.top);
        let height = measuring_height(&pass.track, gauge, top);
        let (Some(height), Some((own, earlier))) = (height, sweeps.split_last()) else { return Ok(()) };
        let key = PathKey {
            edge: Same(Arc::clone(edge)),
            sweeps: sweeps.iter().cloned().map(Same).collect(),
            height,
            faces: (bottom, top),
            held: held.map(|(outline, allowance)| (Same(Arc::clone(outline)), allowance)),
        };
        let (task, tolerances) = (self.task, self.tolerances);
        let (along, fresh) = kept(&self.old.along, &mut self.new.along, key, || {
            let earlier: Vec<&Sweep> = earlier.iter().map(AsRef::as_ref).collect();
            let held = held.map(|(outline, allowance)| (outline.as_ref(), allowance));
            let block = Block { edge, faces: (bottom, top), held };
            along_path((&pass.track, own), block, &earlier, height, &tolerances, task)
        })?;
        self.note(fresh, Stage::Path(earlier.len()));
        proof.along_path = Some(along);
        Ok(())
    }

    /// The load along the path of the last of `sweeps`.
    fn along_load(
        &mut self,
        pass: &Prepared,
        sweeps: &[Arc<Sweep>],
        (edge, indexed): (&Arc<Path>, &Edge<'_>),
        proof: &mut PassProof,
    ) -> Result<(), ProveError> {
        let (Some(blank), Some((own, earlier))) = (&self.job.blank, sweeps.split_last()) else {
            return Ok(());
        };
        let (bottom, top) = (blank.bottom(), blank.top);
        let key = (Same(Arc::clone(edge)), bottom, top, sweeps.iter().cloned().map(Same).collect());
        let (task, tolerances, units) = (self.task, self.tolerances, self.job.units);
        let (along, fresh) = kept(&self.old.loads, &mut self.new.loads, key, || {
            let earlier = earlier.iter().map(AsRef::as_ref).collect();
            Load { track: &pass.track, own, earlier, edge: indexed, bottom, top, units, tolerances }
                .along(task)
        })?;
        self.note(fresh, Stage::Load(earlier.len()));
        proof.rate_most = along.rate_most();
        proof.power_most = self.power(proof.rate_most);
        proof.load = Some(along);
        Ok(())
    }

    /// Power at the cutter for a removal rate in the job's material; `None` for a material that is not known.
    fn power(&self, rate: Option<f64>) -> Option<f64> {
        cutting::power(self.job.units, rate?, self.job.material()?.specific_force)
    }
}

/// The least and the greatest chip load of each pass over the motions that cut, or over all feed motions of a job
/// without a blank.
pub(super) fn chip_loads(prepared: &[Prepared], passes: &mut [PassProof]) {
    for (pass, proof) in prepared.iter().zip(passes) {
        let load = proof.load.as_deref();
        let Some(flutes) = pass.flutes else { continue };
        let feeds = pass.track.placed().iter().enumerate().filter(|(_, placed)| is_feed(placed));
        let cuts = feeds.filter(|(motion, _)| load.is_none_or(|load| load.is_cutting(*motion)));
        let chips = cuts.filter_map(|(_, placed)| chip_load(placed, flutes));
        proof.chip_load = chips.fold(None, |range: Option<(f64, f64)>, chip| {
            Some(range.map_or((chip, chip), |(least, most)| (least.min(chip), most.max(chip))))
        });
    }
}

fn is_feed(placed: &Placed) -> bool {
    placed.motion.kind == Kind::Feed && placed.length > 0.0
}

/// The chip load of a motion; `None` where feed or speed are not known, or the spindle stands.
fn chip_load(placed: &Placed, flutes: u32) -> Option<f64> {
    let motion = &placed.motion;
    let speed = f64::from(motion.spindle.abs());
    if motion.feed > 0.0 { cutting::chip_load(motion.feed, flutes, speed) } else { None }
}
