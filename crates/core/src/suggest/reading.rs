//! What a comment says of a tool, an allowance and a depth: each number by the words beside it.

use super::cutter::{self, Cutter};
use super::phrase::{self, Item, Number, Style};
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

/// What a number of a comment is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Role {
    Diameter,
    Radius,
    Angle,
    Flutes,
    FluteLength,
    Stickout,
    Pilot,
    Allowance,
    Depth,
    Tool,
    Other,
}

/// Words before a number, and what they make it.
const BEFORE: [(&str, Role); 50] = [
    ("D", Role::Diameter),
    ("DIA", Role::Diameter),
    ("DIAM", Role::Diameter),
    ("DIAMETER", Role::Diameter),
    ("R", Role::Radius),
    ("RAD", Role::Radius),
    ("RADIUS", Role::Radius),
    ("CR", Role::Radius),
    ("CORNER", Role::Radius),
    ("ANGLE", Role::Angle),
    ("ANG", Role::Angle),
    ("FL", Role::Flutes),
    ("FLUTES", Role::Flutes),
    ("FLUTE", Role::Flutes),
    ("LOC", Role::FluteLength),
    ("STICKOUT", Role::Stickout),
    ("PROJECTION", Role::Stickout),
    ("PILOT", Role::Pilot),
    ("LEAVE", Role::Allowance),
    ("LEAVES", Role::Allowance),
    ("LEAVING", Role::Allowance),
    ("STOCK", Role::Allowance),
    ("ALLOWANCE", Role::Allowance),
    ("ALLOW", Role::Allowance),
    ("DEPTH", Role::Depth),
    ("BOTTOM", Role::Depth),
    ("ZMIN", Role::Depth),
    ("T", Role::Tool),
    ("TL", Role::Tool),
    ("TOOL", Role::Tool),
    ("S", Role::Other),
    ("F", Role::Other),
    ("X", Role::Other),
    ("Y", Role::Other),
    ("Z", Role::Other),
    ("H", Role::Other),
    ("O", Role::Other),
    ("N", Role::Other),
    ("G", Role::Other),
    ("M", Role::Other),
    ("P", Role::Other),
    ("OP", Role::Other),
    ("REV", Role::Other),
    ("PART", Role::Other),
    ("PASS", Role::Other),
    ("STEP", Role::Other),
    ("SIDE", Role::Other),
    ("SETUP", Role::Other),
    ("BLOCK", Role::Other),
    ("ROUGH", Role::Other),
];

/// Words behind a number, and what they make it.
const BEHIND: [(&str, Role); 45] = [
    ("DEG", Role::Angle),
    ("DEGREE", Role::Angle),
    ("DEGREES", Role::Angle),
    ("FL", Role::Flutes),
    ("FLT", Role::Flutes),
    ("FLTS", Role::Flutes),
    ("FLUTE", Role::Flutes),
    ("FLUTES", Role::Flutes),
    ("F", Role::Flutes),
    ("R", Role::Radius),
    ("RAD", Role::Radius),
    ("RADIUS", Role::Radius),
    ("CORNER", Role::Radius),
    ("DIA", Role::Diameter),
    ("DIAM", Role::Diameter),
    ("DIAMETER", Role::Diameter),
    ("D", Role::Diameter),
    ("LOC", Role::FluteLength),
    ("STICKOUT", Role::Stickout),
    ("PILOT", Role::Pilot),
    ("STOCK", Role::Allowance),
    ("LEAVE", Role::Allowance),
    ("LEFT", Role::Allowance),
    ("ALLOWANCE", Role::Allowance),
    ("DEEP", Role::Depth),
    ("OAL", Role::Other),
    ("LG", Role::Other),
    ("LONG", Role::Other),
    ("LENGTH", Role::Other),
    ("SHANK", Role::Other),
    ("SHK", Role::Other),
    ("THK", Role::Other),
    ("THICK", Role::Other),
    ("RPM", Role::Other),
    ("IPM", Role::Other),
    ("IPT", Role::Other),
    ("SFM", Role::Other),
    ("TPI", Role::Other),
    ("PLCS", Role::Other),
    ("PLACES", Role::Other),
    ("HOLES", Role::Other),
    ("MIN", Role::Other),
    ("SEC", Role::Other),
    ("OF", Role::Other),
    ("X", Role::Other),
];

/// Words that may stand between a number and what it is.
const LITTLE: [&str; 6] = ["OF", "IS", "TO", "THE", "STOCK", "Z"];

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

fn role(items: &[Item], at: usize, number: Number) -> Option<Role> {
    behind(items, at, number).or_else(|| before(items, at, number))
}

/// What the word behind a number makes of it.
fn behind(items: &[Item], at: usize, number: Number) -> Option<Role> {
    let mut next = at + 1;
    if items.get(next).is_some_and(|item| item.is_mark("°")) {
        return Some(Role::Angle);
    }
    if items.get(next).is_some_and(|item| item.is_mark("-")) {
        next += 1;
    }
    if items.get(next).is_some_and(|item| item.is_mark("/:")) {
        // Of a date or a time.
        let joined = items.get(next + 1).filter(|after| after.glued && after.number().is_some());
        return joined.map(|_| Role::Other);
    }
    let item = items.get(next)?;
    let word = item.word()?;
    // `R.06` and `FL=4` speak of what follows.
    let follows = items.get(next + 1);
    let speaks_on = follows
        .is_some_and(|after| after.is_mark("=:") || (after.number().is_some() && after.glued))
        && !(item.glued && follows.is_some_and(|after| !after.glued));
    if speaks_on {
        return None;
    }
    if matches!(word, "CUT" | "FLUTE") && follows.and_then(Item::word) == Some("LENGTH") {
        return Some(Role::FluteLength);
    }
    let role = BEHIND.iter().find(|(known, _)| *known == word).map(|(_, role)| *role)?;
    let fits = match role {
        Role::Flutes => number.style == Style::Whole,
        // The word of a number behind it, unless that has one of its own: `STOCK .015` ends with one.
        Role::Allowance => follows.and_then(Item::number).is_none(),
        Role::Other if word == "X" => return None,
        _ => true,
    };
    fits.then_some(role)
}

/// What the word before a number makes of it.
fn before(items: &[Item], at: usize, number: Number) -> Option<Role> {
    let mut from = at.checked_sub(1)?;
    if items[from].is_mark("#") {
        // `TOOL #1`; alone it is told apart below.
        return items
            .get(from.wrapping_sub(1))
            .and_then(Item::word)
            .filter(|word| *word == "TOOL")
            .map(|_| Role::Tool);
    }
    if items[from].is_mark("Ø") {
        return Some(Role::Diameter);
    }
    let follows_number = |at: usize| at.checked_sub(1).is_some_and(|back| items[back].number().is_some());
    if items[from].is_mark("/:") && items[at].glued && follows_number(from) {
        return Some(Role::Other);
    }
    while items[from].is_mark("=:-") {
        from = from.checked_sub(1)?;
    }
    let word = items[from].word()?;
    let earlier = |back: usize| from.checked_sub(back).and_then(|index| items[index].word());
    match (word, earlier(1)) {
        ("LENGTH", Some("FLUTE" | "CUT")) => return Some(Role::FluteLength),
        ("OUT", Some("STICK")) => return Some(Role::Stickout),
        ("Z" | "TO" | "MIN", Some("DEPTH" | "BOTTOM" | "TO" | "Z")) => return Some(Role::Depth),
        // `.5 X .06R`: what comes second has its own word, or is a length.
        ("X", _) if follows_number(from) => return Some(Role::Other),
        // The temper of `6061-T6`.
        ("T", _)
            if from.checked_sub(1).is_some_and(|dash| items[dash].is_mark("-") && follows_number(dash)) =>
        {
            return Some(Role::Other);
        }
        _ => {}
    }
    let mut named = word;
    let mut back = 1;
    while LITTLE.contains(&named) && named != "Z" && !BEFORE.iter().any(|(known, _)| *known == named) {
        named = earlier(back)?;
        back += 1;
    }
    let role = BEFORE.iter().find(|(known, _)| *known == named).map(|(_, role)| *role)?;
    // A word that already belongs to the number before it says nothing of this one.
    let taken = from.checked_sub(1).and_then(|before| Some((before, items[before].number()?)));
    if taken.is_some_and(|(before, other)| behind(items, before, other).is_some()) {
        return None;
    }
    let fits = match role {
        Role::Flutes | Role::Tool => number.style == Style::Whole && number.value >= 1.0,
        _ => true,
    };
    fits.then_some(role)
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
            Some(format!("It leaves {}: a point may be missing.", units.plain_with_unit(length)));
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
