//! How a pass goes, as facts: where it starts and comes down, how high it crosses, which way it cuts, where it ends.

use super::say::Say;
use super::words::Asked;
use crate::proof::{Descent, Fall, PassProof, Turns};
use crate::record::Record;
use crate::units::fixed;

/// What an operator sets and watches at a pass, each with its name. All places are those of the readout.
pub(super) fn facts(record: &Record<'_>, index: usize, done: &PassProof) -> Vec<(String, String)> {
    let (proof, say) = (record.proof, Say::of(record));
    let mut facts = Vec::new();
    let mut fact = |what: &str, is: String| facts.push((what.to_owned(), is));
    let asked = Asked::of(&done.program);
    let Some((way, stated)) = proof.way(index).zip(proof.job.passes.get(index)) else { return facts };
    fact("Work offset", asked.offset());
    fact("Tool length", asked.length());
    if let Some((plan, z)) = way.start {
        let z = z.map_or_else(|| "at Z home".to_owned(), |z| format!("Z {}", say.fine(z)));
        fact("Starts at", format!("X {}, Y {}, {z}", say.fine(plan.x), say.fine(plan.y)));
    }
    if let Some(across) = way.across {
        let over = proof.job.highest().map(|top| across + stated.zero.origin[2] - top);
        let over = match over {
            Some(over) if over < 0.0 => {
                format!(", {} too low to clear", say.fine(-over))
            }
            Some(over) => format!(", clears by {}", say.fine(over)),
            None => String::new(),
        };
        fact("Rapids cross at", format!("Z {}{over}", say.fine(across)));
    }
    if let Some(from) = way.feeds_from {
        let (x, y, z) = (say.fine(from.x), say.fine(from.y), say.fine(from.z));
        fact("Feeds from", format!("X {x}, Y {y}, Z {z}"));
    }
    facts_of_depth(record, index, &mut fact);
    if let Some(turns) = way.turns {
        fact("Cuts", cuts(&say, turns));
    }
    if let Some(to) = way.feeds_to {
        let up = way.ends_at.map_or_else(|| "home".to_owned(), |z| format!("Z {}", say.fine(z)));
        fact("Feeds end at", format!("X {}, Y {}, up to {up}", say.fine(to.x), say.fine(to.y)));
    }
    fact("Coolant", asked.coolant());
    if let Some(stops) = asked.stops() {
        fact("Stops and waits", stops);
    }
    facts
}

/// Heights that are told one by one; of more the first and the last, with their number.
const MOST_LEVELS: usize = 5;

/// How far out the cutter comes, how it goes down, and in how many depths it cuts.
fn facts_of_depth(record: &Record<'_>, index: usize, fact: &mut impl FnMut(&str, String)) {
    let (proof, say) = (record.proof, Say::of(record));
    if let Some(reach) = proof.reach(index) {
        let of = |low: f64, high: f64| format!("{} to {}", say.plain(low), say.plain(high));
        let (x, y) = (of(reach.low.x, reach.high.x), of(reach.low.y, reach.high.y));
        fact("Rim keeps to", format!("block X {x}, Y {y}"));
    }
    let ways = ways_down(&say, &proof.descents(index));
    if !ways.is_empty() {
        fact("Goes down", ways.join("; "));
    }
    let levels = proof.levels(index);
    let list = |levels: &[f64]| levels.iter().map(|z| say.fine(*z)).collect::<Vec<_>>().join(", ");
    match levels[..] {
        [] => {}
        [only] => fact("Depths", format!("one, Z {}", say.fine(only))),
        [first, .., last] if levels.len() > MOST_LEVELS => {
            fact("Depths", format!("{}, Z {} to {}", levels.len(), say.fine(first), say.fine(last)));
        }
        _ => fact("Depths", format!("{}, Z {}", levels.len(), list(&levels))),
    }
}

/// The ways down, of each kind the one that asks the most: the least room, the steepest.
fn ways_down(say: &Say<'_>, all: &[Descent]) -> Vec<String> {
    let most =
        |of: fn(Fall) -> Option<f64>| all.iter().filter_map(|descent| of(descent.how)).reduce(f64::max);
    let beside = most(|how| if let Fall::Beside(clear) = how { Some(-clear) } else { None });
    let slope = most(|how| if let Fall::Slope(angle) = how { Some(angle) } else { None });
    let helix = most(|how| if let Fall::Helix(angle) = how { Some(angle) } else { None });
    let over = all.iter().find(|descent| descent.how == Fall::Over);
    let up_to = |angle: f64| format!("at up to {}° to the level", fixed(angle, 1));
    let ways = [
        beside.map(|clear| format!("straight, {} clear of the blank", say.plain(-clear))),
        over.map(|over| format!("straight down over the blank, line {}", over.line)),
        slope.map(|angle| format!("sloping {}", up_to(angle))),
        helix.map(|angle| format!("in a helix {}", up_to(angle))),
    ];
    ways.into_iter().flatten().collect()
}

fn cuts(say: &Say<'_>, turns: Turns) -> String {
    let Turns { climb, conventional } = turns;
    let none = say.plain(0.0);
    match (say.plain(climb), say.plain(conventional)) {
        (_, length) if length == none => "climb".to_owned(),
        (length, _) if length == none => "conventional".to_owned(),
        (climb, conventional) => format!("climb for {climb}, conventional for {conventional}"),
    }
}
