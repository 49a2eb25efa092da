//! How fast the margin at one place can change as the outline is moved.

use super::bound::Slope;
use super::field::{Field, Near};
use super::margin::Room;
use super::witness::{Held, Witness};

/// A slope, and how much of it is there because of the room's turns and shifts.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sloped {
    pub(super) slope: Slope,
    pub(super) witness: Witness,
    pub(super) turns: f64,
    pub(super) shifts: f64,
}

/// The slope that follows from one border near a witness; `None` where it says less than the moves do.
///
/// While a place stays in the metal, no border point is nearer than the border itself: the distance to the line
/// through the foot bounds it, or the distance to the side's end where the foot could leave the side. And wherever all
/// of the border within reach lies on one side of a line, so does the metal, and the distance to that line bounds it.
pub(super) fn sloped(held: &Held, near: &Near, field: &Field, room: &Room) -> Option<Sloped> {
    let (moves, turns) = (held.moves, held.spoke.length() * room.half[2]);
    // What a turn of a spoke strays from its tangent; seen from the outline, a shift turns with it.
    let turned_shift = if held.witness.is_edge() { (moves - turns) * room.half[2] } else { 0.0 };
    let bend = turns * room.half[2] / 2.0 + turned_shift;
    let distance = near.depth.abs();
    let away = (held.here - near.foot).unit()?;
    // Toward more margin: from the border into the metal, or out of the outline.
    let normal = if held.depth >= 0.0 { away } else { -away };
    let inner = !held.witness.is_edge();
    let mut slack = f64::INFINITY;
    if held.depth > moves {
        let off_the_end = (moves - near.clear).max(0.0);
        slack = off_the_end * off_the_end / (2.0 * (distance - moves));
    }
    if slack > moves * 1e-3 {
        slack = slack.min(field.beyond(held.here, distance + 4.0 * moves, (near.foot, normal), moves, inner));
    }
    let radius = held.depth - held.value;
    let value = distance.copysign(held.depth) - radius + slack + bend;
    if slack + bend >= moves {
        return None;
    }
    let (world, sense) = if inner { (normal, 1.0) } else { (normal.turned(room.middle.turn), -1.0) };
    let gain = [
        sense * world.x * room.half[0],
        sense * world.y * room.half[1],
        sense * world.dot(held.spoke.left()) * room.half[2],
    ];
    let by_turn = if moves > 0.0 { turns / moves } else { 0.0 };
    Some(Sloped {
        slope: Slope { value, gain },
        witness: held.witness,
        turns: bend + slack * by_turn,
        shifts: slack * (1.0 - by_turn),
    })
}
