//! Walls that the record shows: the station looked at is marked in the job, or no longer.

use blockwright_core::job::Job;
use blockwright_core::limits::WALLS;
use blockwright_core::proof::Proof;

use super::room::{Effect, Effects, World, nothing_proven};
use crate::trouble::Trouble;

/// The mark of a job at a station, where it has one: a station that is written the same is the same.
pub(super) fn marked(job: &Job, station: f64) -> Option<usize> {
    let written = job.units.plain(station);
    job.walls.iter().position(|wall| job.units.plain(*wall) == written)
}

/// Marks the station of the wall that is looked at, or takes its mark back; either can be undone.
pub(super) fn toggle(world: World<'_>) -> Effects {
    let station = |proof: &Proof| proof.outline.as_ref().map(|_| world.look.centre.station_on(proof));
    let Some(station) = world.desk.whole_proof().and_then(|proof| station(proof)) else {
        return vec![Effect::tell(nothing_proven())];
    };
    let mut job = world.desk.job().clone();
    match marked(&job, station) {
        Some(index) => {
            job.walls.remove(index);
        }
        None if job.walls.len() < WALLS => job.walls.push(station),
        None => {
            let what = format!("The job already has {WALLS} marked walls, the most a record can show");
            return vec![Effect::tell(Trouble::at("", what, "unmark one first"))];
        }
    }
    vec![Effect::edit(job)]
}
