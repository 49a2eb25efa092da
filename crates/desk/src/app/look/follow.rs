//! Going to a finding, and from card to card.

use blockwright_core::finding::Severity;
use blockwright_core::geometry::{Point, Point3};
use blockwright_core::proof::{Proof, steps, tool_at, with_seen};
use blockwright_core::view::{Camera, Viewport};

use super::act::pick;
use super::panel::cards;
use super::{App, inset};

/// Part of the picture that a finding takes when it is looked at.
const NEAR: f64 = 1.0 / 3.0;

/// A wall that is looked at in 3D is turned so far from straight ahead, degrees: its neighbors show as well.
const ASKEW: f64 = 18.0;

/// No farther than this from the middle lies a place that is shown enlarged beside it, parts of the width.
const ASIDE: f32 = 0.3;

/// Goes to a finding: its pass, its place, and the tool there.
pub(super) fn follow(app: &mut App, index: usize) {
    let Some(proof) = app.desk.proof().cloned() else { return };
    let Some(finding) = proof.findings.get(index) else { return };
    if let Some(pass) = finding.pass {
        pick(app, pass);
    }
    app.look.finding = Some(index);
    app.look.magnified = true;
    if finding.severity == Severity::Note {
        app.look.notes = true;
    }
    if let Some(station) = finding.station {
        app.look.centre.station = station;
        face(app, &proof, station);
    }
    let target = finding
        .line
        .zip(finding.pass)
        .and_then(|(line, pass)| Some(proof.passes.get(pass)?.track.distance_of_line(line)));
    let station = finding.station.and_then(|station| tool_at(&proof, app.look.pass, station));
    if let Some(to) = station.or(target) {
        app.look.scrub(Some(&proof), to);
    }
    let at =
        finding.at.map(Point3::plan).or_else(|| Some(proof.outline.as_ref()?.place(finding.station?).at));
    if let Some(at) = at {
        look_at(app, &proof, at, finding.amount.unwrap_or(0.0));
        if steps(&proof, finding).is_some() {
            move_aside(app);
        }
    }
}

/// Turns the block so that the wall at a station is seen from the front, from a little above.
fn face(app: &mut App, proof: &Proof, station: f64) {
    let Some(outline) = &proof.outline else { return };
    let outward = outline.place(station).outward;
    let turn = outward.x.atan2(-outward.y).to_degrees() + ASKEW;
    app.look.centre.camera = Camera { turn: turn.rem_euclid(360.0), ..Camera::default() };
}

/// Moves the plan so that what is in its middle lies left of it: the right side is for the place enlarged.
fn move_aside(app: &mut App) {
    if let Some(seen) = app.look.viewport {
        let aside = (inset::WIDTH / 2.0).min(seen.width * ASIDE);
        app.look.viewport = Some(seen.panned(-aside, 0.0));
    }
}

/// Brings a place near: what is found there, this long, and the cutter take a good part of the picture. What is seen
/// nearer already stays as near.
fn look_at(app: &mut App, proof: &Proof, at: Point, length: f64) {
    let Some(seen) = app.plan.viewport(&app.look, proof) else { return };
    let tool = app.look.picked(app.desk.proof()).map_or(0.0, |pass| pass.tool_radius);
    let size = length.max(tool);
    let room = f64::from(seen.width.min(seen.height)) * NEAR;
    let scale = if size > 0.0 { seen.scale.max(room / size) } else { seen.scale };
    app.look.viewport = Some(Viewport { centre: at, scale, ..seen });
}

/// Goes to the finding of the next card, or of the one before.
pub(super) fn walk(app: &mut App, on: bool) {
    let Some(proof) = app.desk.whole_proof() else { return };
    let cards = cards::order(proof, app.look.notes);
    let now = app.look.finding.and_then(|finding| cards.iter().position(|card| *card == finding));
    let next = match now {
        None => 0,
        Some(now) if on => now + 1,
        Some(now) => now.saturating_sub(1),
    };
    if let Some(finding) = cards.get(next).copied() {
        follow(app, finding);
    }
}

/// A finding has been seen, or not yet after all: that is kept in the job.
pub(super) fn mark(app: &mut App, finding: usize, seen: bool) {
    let Some(proof) = app.desk.whole_proof() else { return };
    let Some(finding) = proof.findings.get(finding) else { return };
    let job = with_seen(app.desk.job(), finding, seen);
    app.desk.edit(job);
}

/// Brings a place into the middle of the plan.
pub(super) fn centre_on(app: &mut App, proof: &Proof, at: Point) {
    if let Some(seen) = app.plan.viewport(&app.look, proof) {
        app.look.viewport = Some(Viewport { centre: at, ..seen });
    }
}
