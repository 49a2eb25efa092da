//! Walls that the record shows: the station looked at is marked in the job, or no longer.

use blockwright_core::job::Job;
use blockwright_core::limits::WALLS;
use blockwright_core::proof::Proof;

use super::App;
use super::act;
use super::dialog::Dialog;
use crate::trouble::Trouble;

/// The mark of a job at a station, where it has one: a station that is written the same is the same.
pub(super) fn marked(job: &Job, station: f64) -> Option<usize> {
    let written = job.units.plain(station);
    job.walls.iter().position(|wall| job.units.plain(*wall) == written)
}

/// Marks the station of the wall that is looked at, or takes its mark back; either can be undone.
pub(super) fn toggle(app: &mut App) {
    let station = |proof: &Proof| proof.outline.as_ref().map(|_| app.look.centre.station_on(proof));
    let Some(station) = app.desk.whole_proof().and_then(|proof| station(proof)) else {
        app.dialog = Some(Dialog::Trouble(act::nothing_proven()));
        return;
    };
    let mut job = app.desk.job().clone();
    match marked(&job, station) {
        Some(index) => {
            job.walls.remove(index);
        }
        None if job.walls.len() < WALLS => job.walls.push(station),
        None => {
            let what = format!("The job has {WALLS} walls marked already, as many as a record can letter");
            app.dialog =
                Some(Dialog::Trouble(Trouble::at("", what, "take the mark of another one back first")));
            return;
        }
    }
    app.desk.edit(job);
}
