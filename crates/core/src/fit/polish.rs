//! The best fit brought to its very top.
//!
//! The search ends as soon as nothing better than a hair can be left. From there the margin is climbed to where it is
//! held from all sides, so that limits that do not hold it give the same position as any others: within a small box
//! every margin is taken for straight, the top of these is asked, and the box made smaller wherever that is no better.

use super::bound::{Slope, most};
use super::margin::{Lie, Pair, Room};
use super::position::Limits;
use super::slope::Sloped;
use super::witness::Held;
use crate::geometry::pt;
use crate::task::{Cancelled, Task};

/// The last box reaches this part of the block.
const LAST: f64 = 1e-10;
/// Boxes looked at, at the most; ordinary fits take some twenty.
const MOST: usize = 100;

/// The top near a fit, its margin and the lie, looked for within `reach` at first.
///
/// # Errors
/// [`Cancelled`] when the task was asked to stop.
pub(super) fn polished(
    pair: &Pair,
    limits: &Limits,
    mut reach: f64,
    (mut value, mut lie): (f64, Lie),
    task: Task<'_>,
) -> Result<(f64, Lie), Cancelled> {
    for _ in 0..MOST {
        task.cancel.check()?;
        if reach < LAST * pair.size {
            break;
        }
        let free = |free: bool| if free { reach } else { 0.0 };
        let turn = if limits.turn > 0.0 { reach / pair.size } else { 0.0 };
        let room = Room { middle: lie, half: [free(limits.x), free(limits.y), turn] };
        let Some(next) = top_of(pair, &room) else { break };
        let next = within(limits, next);
        let margin = pair.margin_at(next);
        if margin > value {
            (value, lie) = (margin, next);
        } else {
            reach /= 4.0;
        }
    }
    Ok((value, lie))
}

/// The lie in a room that has the most of what is straight there.
fn top_of(pair: &Pair, room: &Room) -> Option<Lie> {
    let held: Vec<Held> = pair.hold(&pair.all(), room, 0.0);
    let flat = held.iter().map(Held::flat).fold(f64::INFINITY, f64::min);
    let mut sloped: Vec<Sloped> = Vec::new();
    for held in held.iter().filter(|held| held.value - held.moves <= flat) {
        pair.slopes(held, room, &mut sloped);
    }
    let slopes: Vec<Slope> = sloped.iter().map(|sloped| sloped.slope).collect();
    let at = most(&slopes)?.at;
    let [x, y, turn] = [0, 1, 2].map(|axis| at[axis] * room.half[axis]);
    Some(Lie { shift: room.middle.shift + pt(x, y), turn: room.middle.turn + turn })
}

/// The same lie, brought inside the limits.
fn within(limits: &Limits, lie: Lie) -> Lie {
    let most = limits.turn.to_radians();
    let far = limits.shift.map_or(0.0, |most| lie.shift.length() / most);
    let shift = if far > 1.0 { lie.shift * (1.0 / far) } else { lie.shift };
    Lie { shift, turn: lie.turn.clamp(-most, most) }
}
