//! How a pass goes, as facts: where it starts and comes down, how high it crosses, which way it cuts, where it ends.

use super::say::Say;
use super::words::Asked;
use crate::proof::{PassProof, Turns};
use crate::record::Record;

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

fn cuts(say: &Say<'_>, turns: Turns) -> String {
    let Turns { climb, conventional } = turns;
    let none = say.plain(0.0);
    match (say.plain(climb), say.plain(conventional)) {
        (_, length) if length == none => "climb".to_owned(),
        (length, _) if length == none => "conventional".to_owned(),
        (climb, conventional) => format!("climb for {climb}, conventional for {conventional}"),
    }
}
