//! Findings about contact along the outline: none, light, heavy, and a pass that is light all round.
//!
//! Where the cut runs out it thins on both sides first: a stretch without contact and the thin ones beside it are one
//! event, and are told as one.

use super::PassCheck;
use super::outline::{row_at, with_line};
use crate::finding::{Code, Finding, Severity};
use crate::job::Does;
use crate::measure::{AlongOutline, Contact, StationRow, Stretch};

pub(super) fn findings(check: &PassCheck<'_>, along: &AlongOutline) -> Vec<Finding> {
    let mut found = Vec::new();
    let all = events(along, check.tolerances.stretch_least).into_iter();
    for event in all.filter(|event| !is_as_thick_as_limit(check, along, event)) {
        let (code, message) = match event.state {
            Contact::Full | Contact::Approach => continue,
            Contact::None => (Code::NoContact, no_contact(check, along, &event)),
            Contact::Light => (Code::LightCut, limit_words(check, along, &event, "light")),
            Contact::Heavy => (Code::HeavyCut, limit_words(check, along, &event, "heavy")),
        };
        let middle = along_outline(along, f64::midpoint(event.from, event.to));
        let worst = worst(check, along, &event);
        let at = worst.map_or(middle, |row| row.station);
        let finding = Finding::new(code, Severity::Look, message).about(event.to - event.from);
        let finding = with_line(check, along, finding, at);
        // What is cut thickest may be cut by another motion than the one that makes the face.
        let line = worst.and_then(|row| row.cut_line).filter(|_| event.state == Contact::Heavy);
        found.push(match line {
            Some(line) => finding.on_line(line),
            None => finding,
        });
    }
    found.extend(not_needed(check, along));
    found
}

/// Whether a light or heavy cut differs from the limit by no more than the last digit that is told, and by what programs
/// round to.
fn is_as_thick_as_limit(check: &PassCheck<'_>, along: &AlongOutline, event: &Event) -> bool {
    let Some(limits) = check.job.contact else { return false };
    let same = check.tolerances.same_cut();
    let mut cuts = rows(along, event).map(|row| row.cut);
    match event.state {
        Contact::Light => limits.light_below.is_some_and(|light| cuts.all(|cut| cut >= light - same)),
        Contact::Heavy => limits.heavy_above.is_some_and(|heavy| cuts.all(|cut| cut <= heavy + same)),
        Contact::None | Contact::Full | Contact::Approach => false,
    }
}

/// A pass that undercuts or takes the edge off, and goes by a part of the outline without cutting, is most often cut short
/// or led astray there; one that cuts but a small part is meant to.
const CUTS_MOST: f64 = 0.25;

/// A gap is told from this part of the cutter's radius on: on both sides of it the cut runs out.
const GAP_LEAST: f64 = 0.2;

fn length(stretch: &Stretch) -> f64 {
    stretch.to - stretch.from
}

fn cuts(stretch: &Stretch) -> bool {
    !matches!(stretch.state, Contact::None | Contact::Approach)
}

/// How much of the outline is cut, and how long it is.
fn cut_of(all: &[Stretch]) -> (f64, f64) {
    let sum = |of: &dyn Fn(&Stretch) -> bool| all.iter().filter(|stretch| of(stretch)).map(length).sum();
    (sum(&cuts), sum(&|_| true))
}

/// Whether a pass undercuts, or takes the edge off, along a part of the outline only, as it is meant to or not.
pub(super) fn is_partial(check: &PassCheck<'_>) -> bool {
    let does = check.proof.purpose.as_ref().map(|purpose| purpose.does);
    let along =
        check.proof.along_outline.as_ref().filter(|_| matches!(does, Some(Does::Undercut | Does::Edge)));
    along.is_some_and(|along| {
        let (cut, whole) = cut_of(&along.contact);
        cut < whole * CUTS_MOST || !left_out(check, along).is_empty()
    })
}

/// Where an undercut or a rounding is left out, though the pass cuts most of the outline.
pub(super) fn left_out(check: &PassCheck<'_>, along: &AlongOutline) -> Vec<Finding> {
    let does = check.proof.purpose.as_ref().map(|purpose| purpose.does);
    let what = match does {
        Some(Does::Undercut) => "undercuts",
        Some(Does::Edge) => "takes the edge off",
        _ => return Vec::new(),
    };
    let all = joined(along);
    let (cut, whole) = cut_of(&all);
    if cut < whole * CUTS_MOST {
        return Vec::new();
    }
    let middle = |stretch: &Stretch| along_outline(along, f64::midpoint(stretch.from, stretch.to));
    // Where the pass is held to an allowance, what it does not reach is told as such.
    let told = |stretch: &Stretch| stretch.state == Contact::None && check.pass.allowance.is_some();
    let is_gap = |stretch: &&Stretch| {
        let row = row_at(along, middle(stretch));
        let metal = row.is_some_and(|row| row.before > -check.tolerances.allowance);
        metal && length(stretch) > check.tool.form.radius() * GAP_LEAST
    };
    let gaps = gaps(all.iter().filter(|stretch| !cuts(stretch) && !told(stretch)));
    let finding = |stretch: &Stretch| {
        let (from, to) = (stretch.from, along_outline(along, stretch.to));
        let message = format!(
            "{}: {what} along {} of the outline, and not for {} from station {} to {}. If that is not meant, check where its \
             path goes there.",
            check.title(),
            check.told.plain_with_unit(cut),
            check.told.plain_with_unit(length(stretch)),
            check.told.plain(from),
            check.told.plain(to),
        );
        let finding = Finding::new(Code::NoContact, Severity::Look, message).about(length(stretch));
        with_line(check, along, finding, middle(stretch))
    };
    gaps.iter().filter(is_gap).map(finding).collect()
}

/// Gaps of stretches without a cut, which may be way beside and no contact by turns. Where the cutter goes by all along and
/// takes nothing, others have taken it before.
fn gaps<'a>(stretches: impl Iterator<Item = &'a Stretch>) -> Vec<Stretch> {
    let mut gaps: Vec<Stretch> = Vec::new();
    for stretch in stretches {
        match gaps.last_mut() {
            Some(last) if last.to == stretch.from => {
                last.to = stretch.to;
                if stretch.state == Contact::Approach {
                    last.state = Contact::Approach;
                }
            }
            _ => gaps.push(*stretch),
        }
    }
    gaps.retain(|gap| gap.state == Contact::Approach);
    gaps
}

/// A stretch worth telling, with the light ones that lie against it when it is one without contact. Stations go on
/// past the length of the outline where it runs over the first vertex.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Event {
    state: Contact,
    from: f64,
    to: f64,
    /// From where to where it is thin, itself included.
    thin: (f64, f64),
}

/// The rows as they follow each other round the outline: a stretch that the first vertex splits is one again.
fn joined(along: &AlongOutline) -> Vec<Stretch> {
    let mut all = along.contact.clone();
    if let [first, .., last] = all[..]
        && first.state == last.state
    {
        let length = last.to;
        all.remove(0);
        if let Some(last) = all.last_mut() {
            last.to = length + first.to;
        }
    }
    all
}

fn events(along: &AlongOutline, least: f64) -> Vec<Event> {
    let all = joined(along);
    let count = all.len();
    let length = along.contact.last().map_or(0.0, |last| last.to);
    let beside = |index: usize| (count > 1).then(|| all[index % count]);
    let is = |stretch: Option<Stretch>, state| stretch.filter(|stretch| stretch.state == state);
    let worth = |stretch: &Stretch| stretch.to - stretch.from > least;
    let event = |(index, stretch): (usize, &Stretch)| {
        let (before, after) = (beside(index + count - 1), beside(index + 1));
        let mut thin = (stretch.from, stretch.to);
        if stretch.state == Contact::None {
            let light = |beside| is(beside, Contact::Light).map_or(0.0, |light| light.to - light.from);
            thin = (stretch.from - light(before), stretch.to + light(after));
            if thin.0 < 0.0 {
                thin.0 += length;
            }
        }
        let told = |beside| is(beside, Contact::None).is_some_and(|none| worth(&none));
        let told_already = stretch.state == Contact::Light && (told(before) || told(after));
        (worth(stretch) && !told_already).then_some(Event {
            state: stretch.state,
            from: stretch.from,
            to: stretch.to,
            thin,
        })
    };
    all.iter().enumerate().filter_map(event).collect()
}

/// A station that may have gone past the first vertex, as one of the outline.
fn along_outline(along: &AlongOutline, station: f64) -> f64 {
    let length = along.contact.last().map_or(0.0, |last| last.to);
    if station > length { station - length } else { station }
}

/// The rows from one station on to another, over the first vertex if need be.
fn rows<'a>(along: &'a AlongOutline, event: &Event) -> impl Iterator<Item = &'a StationRow> + use<'a> {
    let (from, to, wrapped) = (event.from, event.to, along_outline(along, event.to));
    along.rows.iter().filter(move |row| {
        let station = row.station;
        (station >= from && station <= to) || (wrapped < to && station <= wrapped)
    })
}

/// What stands in the middle of a stretch, where that is more than the pass is meant to leave.
fn standing(check: &PassCheck<'_>, along: &AlongOutline, event: &Event) -> Option<f64> {
    let middle = along_outline(along, f64::midpoint(event.from, event.to));
    let most = check.pass.allowance.unwrap_or(0.0) + check.tolerances.allowance;
    row_at(along, middle).map(|row| row.after).filter(|after| *after > most)
}

/// Where a stretch is worst, so that list, plan, walls and walk speak of one place: without contact where the metal ends
/// farthest from the cutter, or else where it leaves the most; light where it is thinnest, heavy where it is thickest.
fn worst<'a>(check: &PassCheck<'_>, along: &'a AlongOutline, event: &Event) -> Option<&'a StationRow> {
    let stands = event.state == Contact::None && standing(check, along, event).is_some();
    let by = |row: &StationRow| match event.state {
        Contact::None if stands => -row.after,
        Contact::None => row.before,
        Contact::Heavy => -row.cut,
        Contact::Light | Contact::Full | Contact::Approach => row.cut,
    };
    along.least_row((event.from, event.to), check.tolerances.rounding(), by)
}

fn no_contact(check: &PassCheck<'_>, along: &AlongOutline, event: &Event) -> String {
    let units = check.told;
    let why = if let Some(standing) = standing(check, along, event) {
        format!(
            "metal stands there {} outside the outline, and the tool does not reach it",
            check.length(standing)
        )
    } else {
        // What an earlier pass took may be why as well.
        let what = if check.index == 0 { "blank" } else { "metal" };
        format!("the {what} ends short of the cutter")
    };
    let place = |station: f64| units.plain(along_outline(along, station));
    let thin = match (event.thin.0 == event.from, event.thin.1 == event.to) {
        (true, true) => String::new(),
        (thick_before, thick_after) => {
            let sides = match (thick_before, thick_after) {
                (false, false) => "on both sides",
                (false, true) => "before it",
                _ => "after it",
            };
            format!(
                " The cut is light {sides}, from station {} to {}.",
                place(event.thin.0),
                place(event.thin.1)
            )
        }
    };
    format!(
        "{}: no contact for {} from station {} to {}: {why}.{thin}{}",
        check.title(),
        units.plain_with_unit(event.to - event.from),
        place(event.from),
        place(event.to),
        regained(check, along, event),
    )
}

/// Length of a stretch along which a later pass has no contact either.
fn missed(check: &PassCheck<'_>, along: &AlongOutline, later: &AlongOutline, event: &Event) -> f64 {
    let length = along.contact.last().map_or(0.0, |last| last.to);
    let least = check.tolerances.stretch_least;
    let shared = |other: &Stretch, shift: f64| {
        (other.to.min(event.to - shift) - other.from.max(event.from - shift)).max(0.0)
    };
    let none = later.contact.iter().filter(|other| other.state == Contact::None);
    let total = none.map(|other| shared(other, 0.0) + shared(other, length)).sum();
    if total > least { total } else { 0.0 }
}

/// Which later pass, if any, takes metal along a stretch, all of it or part.
fn regained(check: &PassCheck<'_>, along: &AlongOutline, event: &Event) -> String {
    let later = || {
        let measured = |(offset, pass): (usize, &'_ crate::proof::PassProof)| {
            let later = pass.along_outline.clone()?;
            Some((check.index + offset + 2, missed(check, along, &later, event)))
        };
        check.later.iter().enumerate().filter_map(measured)
    };
    if later().next().is_none() {
        return String::new();
    }
    let some = event.to - event.from - check.tolerances.stretch_least;
    let Some((number, left)) = later().find(|(_, left)| *left < some) else {
        return " No later pass cuts there.".to_owned();
    };
    if left == 0.0 {
        return format!(" Pass {number} then cuts there all along.");
    }
    let rest = check.told.plain_with_unit(left);
    match later().find(|(other, left)| *other > number && *left == 0.0) {
        Some((fully, _)) => {
            format!(
                " Pass {number} then cuts there, except for {rest}. Pass {fully} then takes metal all along."
            )
        }
        None => format!(" Pass {number} then cuts there, except for {rest}. No later pass takes the rest."),
    }
}

fn limit_words(check: &PassCheck<'_>, along: &AlongOutline, event: &Event, state: &str) -> String {
    let units = check.told;
    let (least, most) = rows(along, event)
        .map(|row| row.cut)
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), cut| (least.min(cut), most.max(cut)));
    let amount = if state == "light" {
        format!("down to {} or less: it may rub and not cut", check.length(least))
    } else {
        format!("up to {}: watch the load, or take it in two", check.length(most))
    };
    format!(
        "{}: {state} cut for {} from station {} to {}, {amount}.",
        check.title(),
        units.plain_with_unit(event.to - event.from),
        units.plain(event.from),
        units.plain(along_outline(along, event.to)),
    )
}

/// A pass that has contact, and nowhere more than a light one.
fn not_needed(check: &PassCheck<'_>, along: &AlongOutline) -> Option<Finding> {
    let has = |state| along.contact.iter().any(|stretch| stretch.state == state);
    let same = check.tolerances.same_cut();
    let light = check.job.contact.and_then(|limits| limits.light_below);
    let below = light.is_some_and(|light| along.cut.most < light - same);
    let all_light = below && has(Contact::Light) && !has(Contact::Full) && !has(Contact::Heavy);
    all_light.then(|| {
        let message = format!(
            "{}: all of its cut along the outline is light, {} at the most. The pass may not be needed, or the pass \
             before it takes too much.",
            check.title(),
            check.length(along.cut.most),
        );
        Finding::new(Code::NotNeeded, Severity::Note, message)
    })
}
