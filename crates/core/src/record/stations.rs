//! The stations at which a wall is shown: those a person asked for, then the worst.

use crate::measure::Contact;
use crate::proof::Proof;

/// Most walls of one record: each has a letter.
const MOST: usize = 26;
/// Worst places that are shown besides.
const WORST: usize = 4;
/// Most walls that are asked for.
pub(super) const MOST_ASKED: usize = MOST - WORST;
/// Stations nearer to each other than this part of the outline show the same wall.
const NEAR: f64 = 0.02;

/// The stations, each once. Without an outline there are none.
///
/// Asked for are those marked in the job, and after them those of the caller.
pub fn shown(proof: &Proof, asked: &[f64]) -> Vec<f64> {
    let Some(outline) = proof.outline.as_deref() else { return Vec::new() };
    let length = outline.length();
    let mut shown: Vec<f64> = Vec::new();
    let apart = |a: f64, b: f64| {
        let way = (a - b).rem_euclid(length);
        way.min(length - way)
    };
    // What is written the same is the same.
    let same = |a: f64, b: f64| proof.job.units.plain(a) == proof.job.units.plain(b);
    let marked = proof.job.walls.iter().chain(asked).map(|station| station.rem_euclid(length));
    for station in marked {
        if shown.len() < MOST_ASKED && !shown.iter().any(|other| same(*other, station)) {
            shown.push(station);
        }
    }
    let room = MOST.min(shown.len() + WORST);
    for station in worst(proof) {
        if shown.len() < room && shown.iter().all(|other| apart(*other, station) > length * NEAR) {
            shown.push(station);
        }
    }
    shown
}

/// Stations at which something is at its worst, the worst first.
fn worst(proof: &Proof) -> Vec<f64> {
    let mut worst = Vec::new();
    let past = (0..proof.passes.len()).filter_map(|pass| proof.past_outline(pass));
    worst.extend(past.max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, at)| at));
    worst.extend(proof.blank.as_ref().map(|blank| blank.least_margin_at));
    if let Some(wall) = proof.wall.as_ref().and_then(|along| along.passes.last()) {
        worst.extend(wall.land.as_ref().map(|land| land.least_at));
    }
    for along in proof.passes.iter().rev().filter_map(|pass| pass.along_outline.as_deref()) {
        let thin = |state: Contact| matches!(state, Contact::None | Contact::Light);
        if along.contact.iter().any(|stretch| thin(stretch.state)) {
            worst.push(along.cut.least_at);
        }
    }
    if let Some(wall) = proof.wall.as_ref().and_then(|along| along.passes.last()) {
        worst.extend(wall.land.as_ref().map(|land| land.most_at));
    }
    worst
}
