//! What a number of a comment is, by the words beside it.

use super::phrase::{Item, Number, Style};

/// What a number of a comment is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
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

/// What the words beside a number make of it; `None` where they say nothing.
pub(super) fn role(items: &[Item], at: usize, number: Number) -> Option<Role> {
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
