//! The finished block, and where the passes come into it.

use std::sync::Arc;

use super::memory::{Same, kept};
use super::prepare::Prepared;
use super::{ProveError, Run};
use crate::finished::{
    Area, Block, Finished, Gone, Held, Meant, PassFacts, Purpose, Solid, Stock, purposes, standing,
};
use crate::geometry::{Bounds, Path};
use crate::job::Does;
use crate::measure::Sweep;
use crate::program::{Kind, Motion, Program};
use crate::proof::PassProof;
use crate::track::{Placed, Track};

/// All that decides what one pass comes into.
#[derive(Debug, PartialEq)]
pub(super) struct EnteredKey {
    paths: [Option<Same<Path>>; 2],
    faces: (f64, f64),
    /// Section and limit of the finished block, and what the pass is for.
    block: Option<(Solid, f64, Does)>,
    /// The passes whose sweeps are looked at, with what they are for and which of their motions make a pocket.
    sweeps: Vec<(usize, Same<Sweep>, Does, Vec<bool>)>,
    arrivals: Vec<(usize, Motion)>,
}

impl Run<'_> {
    /// What each pass is for, and where it comes into metal that it must leave. Nothing without a blank.
    pub(super) fn finished(
        &mut self,
        prepared: &[Prepared],
        (outline, edge): (Option<&Arc<Path>>, Option<&Arc<Path>>),
        passes: &mut [PassProof],
    ) -> Result<(), ProveError> {
        let job = Arc::clone(self.job);
        let (Some(edge), Some(blank)) = (edge, &job.blank) else { return Ok(()) };
        let (sweeps, task, tolerances) = (self.sweeps(prepared), self.task, self.tolerances);
        task.tell("Comparing the passes with the finished block", 0.0);
        let facts: Vec<PassFacts<'_>> = job
            .passes
            .iter()
            .zip(prepared)
            .zip(&sweeps)
            .map(|((pass, prepared), sweep)| PassFacts {
                does: pass.does,
                name: &pass.name,
                allowance: pass.allowance,
                bottom: pass.bottom.map(|bottom| bottom + pass.zero.origin[2]),
                form: &prepared.form,
                sweep,
            })
            .collect();
        let (area, edge_area) = (outline.map(|outline| Area::new(outline)), Area::new(edge));
        let bounds = outline.map_or(Bounds::EMPTY, |outline| outline.bounds());
        let stock = Stock { outline: area.as_ref(), bounds, top: blank.top, tolerances: &tolerances };
        let purposes = purposes(&stock, &facts);
        let widest = edge.bounds().join(bounds);
        let widest = widest.width() + widest.height();
        let meant = area.as_ref().map(|outline| Meant {
            outline,
            widest,
            top: blank.top,
            bottom: blank.bottom(),
            land: job.land.unwrap_or(0.0),
            tolerances: &tolerances,
        });
        let finished = meant.as_ref().map(|meant| Finished::new(meant, &facts, &purposes));
        let all: Vec<&Sweep> = sweeps.iter().map(AsRef::as_ref).collect();
        for (index, proof) in passes.iter_mut().enumerate() {
            let gone = Gone { sweeps: &all, pass: index, finished: None, follow: tolerances.follow };
            let block = meant.as_ref().zip(finished.as_ref()).map(|(meant, finished)| Block {
                meant,
                finished,
                solid: finished.for_allowance(facts[index].allowance),
                purpose: &purposes[index],
                gone: Gone { finished: Some((finished, &purposes)), ..gone },
            });
            let arrivals = arrivals(&prepared[index].program, &prepared[index].track);
            let key = EnteredKey {
                paths: [outline.cloned().map(Same), Some(Same(Arc::clone(edge)))],
                faces: (blank.top, blank.bottom()),
                block: block
                    .as_ref()
                    .map(|block| (block.solid.clone(), block.finished.limit, block.purpose.does)),
                sweeps: looked_at(index, &sweeps, &purposes, finished.as_ref()),
                arrivals: arrivals.clone(),
            };
            let held = Held {
                facts: facts[index],
                edge: &edge_area,
                widest,
                faces: (blank.top, blank.bottom()),
                taken: gone,
                block,
                arrivals,
                tolerances: &tolerances,
            };
            let (entered, _) = kept(&self.old.entered, &mut self.new.entered, key, || held.entered(task))?;
            proof.entered = entered;
            proof.purpose = outline.map(|_| purposes[index].clone());
        }
        Ok(())
    }
}

/// The sweeps that decide what a pass comes into: its own, those before it, and later ones that take metal which is
/// no part of the finished block.
fn looked_at(
    pass: usize,
    sweeps: &[Arc<Sweep>],
    purposes: &[Purpose],
    finished: Option<&Finished>,
) -> Vec<(usize, Same<Sweep>, Does, Vec<bool>)> {
    let counts = |(index, (_, purpose)): &(usize, (&Arc<Sweep>, &Purpose))| {
        *index <= pass || matches!(purpose.does, Does::Inside | Does::Undercut)
    };
    let insides = |index: usize| finished.and_then(|finished| finished.insides.get(index)).cloned();
    let listed = |(index, (sweep, purpose)): (usize, (&Arc<Sweep>, &Purpose))| {
        (index, Same(Arc::clone(sweep)), purpose.does, insides(index).unwrap_or_default())
    };
    sweeps.iter().zip(purposes).enumerate().filter(counts).map(listed).collect()
}

/// The tool where each rapid ends that comes from where nobody knows, before the motion that goes on from there.
fn arrivals(program: &Program, track: &Track) -> Vec<(usize, Motion)> {
    let placed = track.placed();
    let ends = std::iter::once(None).chain(placed.iter().map(|placed| Some(placed.motion.end)));
    let jumps = placed.iter().zip(ends).enumerate().filter(|(_, (placed, end))| {
        placed.motion.start_known.is_place() && end.is_none_or(|end| end != placed.motion.start)
    });
    let unknown = |motion: &&Motion| motion.kind == Kind::Rapid && !motion.start_known.is_place();
    let arrival = |(index, (placed, _)): (usize, (&Placed, _))| {
        let next = program
            .motions
            .iter()
            .position(|motion| motion.line == placed.motion.line && motion.start_known.is_place())?;
        let rapid = program.motions[..next].iter().rev().find(unknown)?;
        let there = Motion { end: placed.motion.start, ..*rapid };
        let known = rapid.end_known.plan() && rapid.end_known.axis(2);
        known.then(|| (index, standing(&there)))
    };
    jumps.filter_map(arrival).collect()
}
