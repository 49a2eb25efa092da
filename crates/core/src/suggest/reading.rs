//! What a comment says of a tool, an allowance and a depth: each number by the words beside it.

use super::cutter::{self, Cutter};
use super::phrase::{self, Item, Number, Style};
use super::role::{Role, role};
use crate::units::Units;

/// What a comment says. Lengths in the unit that the comment is read into.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Reading {
    /// The cutter it names.
    pub(super) cutter: Option<Cutter>,
    /// It speaks of a tool, by a cutter's name or a size.
    pub(super) of_tool: bool,
    /// The number of the tool it speaks of.
    pub(super) tool: Option<u32>,
    pub(super) diameter: Option<f64>,
    pub(super) radius: Option<f64>,
    /// Degrees, and whether the comment says that both sides are meant.
    pub(super) angle: Option<(f64, bool)>,
    pub(super) flutes: Option<u32>,
    pub(super) flute_length: Option<f64>,
    pub(super) stickout: Option<f64>,
    pub(super) pilot: Option<f64>,
    pub(super) allowance: Option<f64>,
    /// The lowest Z it states.
    pub(super) depth: Option<f64>,
    /// It says that the pass finishes.
    pub(super) finishes: bool,
    /// What of the tool is not understood, as a sentence.
    pub(super) unclear: Option<String>,
    /// What of the allowance is not, or why it is none.
    pub(super) no_allowance: Option<String>,
}

/// Reads a comment into `units`; `own` is the unit that the program has in force there. `at_tool` says that it stands
/// where a tool is called, so that a size alone is that of the tool.
pub(super) fn read(comment: &str, own: Units, units: Units, at_tool: bool) -> Reading {
    let items = phrase::items(comment);
    let cutter = cutter::named(&items);
    let mut reading = Reading { cutter, ..Reading::default() };
    let mut bare = Vec::new();
    for (at, number) in items.iter().enumerate().filter_map(|(at, item)| Some((at, item.number()?))) {
        match role(&items, at, number) {
            Some(role) => take(&mut reading, &items, (at, role, number), (own, units)),
            None => bare.push((at, number)),
        }
    }
    let spoken_of = cutter::is_spoken_of(&items);
    let of_tool = reading.tool.is_some() || at_tool;
    // Words such as UNDERCUT name the work as often as the cutter; a plain end mill is always a cutter.
    let named = of_tool || matches!(cutter, Some(Cutter::Flat | Cutter::Ball | Cutter::Bull));
    // Of a comment that speaks of no cutter a lone number may be anything.
    if let Some(unclear) = by_number(&items) {
        reading.unclear = Some(unclear);
    } else if spoken_of || of_tool {
        // `UNDERCUT, STEP IN .075` is no cutter of that size: the number stands beside the cutter's name or is none.
        bare.retain(|(at, _)| named || cutter::is_beside_one(&items, *at));
        lone_numbers(&mut reading, &bare, (own, units), named);
    }
    if let Some(Cutter::Other(what)) = cutter.filter(|_| of_tool || reading.diameter.is_some()) {
        reading.unclear = Some(format!(
            "It names {what}, whose form a job gives only as a silhouette: state it among the tools."
        ));
    }
    reading.of_tool = reading.diameter.is_some()
        || (reading.radius.is_some() && matches!(cutter, Some(Cutter::EdgeRound)))
        || (reading.angle.is_some() && (spoken_of || reading.tool.is_some() || at_tool))
        || (cutter.is_some() && (reading.tool.is_some() || at_tool))
        || reading.unclear.is_some();
    reading.finishes = finishes(&items);
    reading
}

/// Puts a number where it belongs. What is said first holds.
fn take(
    reading: &mut Reading,
    items: &[Item],
    (at, role, number): (usize, Role, Number),
    (own, units): (Units, Units),
) {
    let length = length(number, own, units);
    let put = |place: &mut Option<f64>, value: f64| {
        place.get_or_insert(value);
    };
    match role {
        Role::Diameter if length > 0.0 => put(&mut reading.diameter, length),
        Role::Radius if length > 0.0 => put(&mut reading.radius, length),
        Role::FluteLength if length > 0.0 => put(&mut reading.flute_length, length),
        Role::Stickout if length > 0.0 => put(&mut reading.stickout, length),
        Role::Pilot if length > 0.0 => put(&mut reading.pilot, length),
        Role::Angle if number.value > 0.0 && number.value <= 180.0 => {
            let said =
                |words: &[&str]| items[at..].iter().filter_map(Item::word).any(|word| words.contains(&word));
            reading.angle.get_or_insert((number.value, said(&["INCL", "INCLUDED", "INC"])));
        }
        Role::Flutes if number.value >= 1.0 && number.value <= 99.0 => {
            reading.flutes.get_or_insert(number.value as u32);
        }
        Role::Tool if number.value >= 1.0 && number.value <= 9999.0 => {
            reading.tool.get_or_insert(number.value as u32);
        }
        Role::Allowance => allowance(reading, items, number, (own, units)),
        Role::Depth => put(&mut reading.depth, -length.abs()),
        _ => {}
    }
}

fn allowance(reading: &mut Reading, items: &[Item], number: Number, (own, units): (Units, Units)) {
    /// More is a size of the blank, or a number without its point.
    const MOST_INCH: f64 = 0.75;
    let thousandths = items.iter().filter_map(Item::word).any(|word| matches!(word, "THOU" | "THOUS"));
    let length =
        if thousandths { number.value / 1000.0 * Units::Inch.to(units) } else { length(number, own, units) };
    let level = ["FLOOR", "FLOORS", "BOTTOM", "FACE", "TOP", "Z", "DEPTH"];
    let of_floor = items.iter().filter_map(Item::word).any(|word| level.contains(&word));
    let wall =
        items.iter().filter_map(Item::word).any(|word| matches!(word, "WALL" | "WALLS" | "SIDE" | "SIDES"));
    if of_floor && !wall {
        reading.no_allowance = Some("What it leaves lies on a floor or a face, not on the wall.".to_owned());
    } else if length.abs() > MOST_INCH * Units::Inch.to(units) {
        reading.no_allowance =
            Some(format!("It leaves {}: a decimal point may be missing.", units.plain_with_unit(length)));
    } else {
        reading.allowance.get_or_insert(length);
    }
}

/// Numbers that no word explains: in a comment on a cutter the first is its diameter, as far as it can be one.
fn lone_numbers(reading: &mut Reading, bare: &[(usize, Number)], (own, units): (Units, Units), named: bool) {
    for (_, number) in bare {
        let is_point = reading.cutter == Some(Cutter::Drill)
            && number.style == Style::Whole
            && number.units.is_none()
            && (60.0..=150.0).contains(&number.value);
        if is_point {
            reading.angle.get_or_insert((number.value, true));
            continue;
        }
        // A whole number of inches is as often a number of the tool's, so its unit must be said.
        let plain = number.style == Style::Whole && number.units.is_none() && own == Units::Inch;
        if reading.diameter.is_none() && number.value > 0.0 && reading.radius_is_all() {
            if plain {
                reading.unclear =
                    named.then(|| format!("What {} stands for is not said: state the size.", number.value));
            } else if reading.cutter == Some(Cutter::EdgeRound) {
                reading.radius = Some(length(*number, own, units));
            } else {
                reading.diameter = Some(length(*number, own, units));
                reading.unclear = None;
            }
        }
    }
}

impl Reading {
    /// Whether a lone number may still be the size: that of an edge rounding cutter is its radius.
    fn radius_is_all(&self) -> bool {
        self.cutter != Some(Cutter::EdgeRound) || self.radius.is_none()
    }
}

/// A drill by number or letter.
fn by_number(items: &[Item]) -> Option<String> {
    let drill = items.iter().position(|item| item.word() == Some("DRILL"))?;
    let before = drill.checked_sub(1).and_then(|at| items.get(at))?;
    let numbered = before.number().filter(|number| number.style == Style::Whole && number.units.is_none());
    let marked = drill
        .checked_sub(2)
        .is_some_and(|at| items[at].is_mark("#.") || matches!(items[at].word(), Some("NO" | "NUMBER")));
    let name = match (numbered, before.word()) {
        (Some(number), _) if marked => format!("#{}", number.value),
        (_, Some(letter)) if letter.len() == 1 => letter.to_owned(),
        _ => return None,
    };
    Some(format!(
        "It names a drill by its number or letter ({name}), which says no diameter here: state that."
    ))
}

/// Whether the words say that the pass finishes, not that its cutter is one for finishing or that stock is left for it.
fn finishes(items: &[Item]) -> bool {
    let word = |at: usize| items.get(at).and_then(Item::word);
    let before = |at: usize| {
        let back = at.checked_sub(1).filter(|back| items[*back].is_mark("-")).or(Some(at)).unwrap_or(at);
        back.checked_sub(1).and_then(word)
    };
    items.iter().enumerate().any(|(at, item)| {
        matches!(item.word(), Some("FINISH" | "FIN" | "FINISHING"))
            && !matches!(before(at), Some("SEMI" | "PRE" | "FOR" | "BEFORE"))
            && !matches!(word(at + 1), Some("ALLOWANCE" | "STOCK" | "ED"))
            && !cutter::goes_before_one(items, at)
    })
}

/// A number as a length in `units`: by the unit behind it; a fraction in inches; else as the program's own.
fn length(number: Number, own: Units, units: Units) -> f64 {
    let stated = number.units.unwrap_or(if number.style == Style::Fraction { Units::Inch } else { own });
    let value = number.value * stated.to(units);
    // Far below what a shop can measure, so that 12 mm do not show as .47244094488188976.
    if stated == units { value } else { (value * 1e6).round() / 1e6 }
}
