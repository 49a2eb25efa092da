//! Findings along the outline: leave against the allowance, metal left standing, cuts past the outline, a short blank.

use super::PassCheck;
use crate::finding::{Code, Finding, Severity};
use crate::fit::{BuildUp, Fitting, instruction};
use crate::geometry::{Path, Point3, pt3};
use crate::job::Job;
use crate::measure::{AlongOutline, BlankProof, StationRow};
use crate::tolerance::Tolerances;
use crate::units::Told;
use crate::wall::Proud;

pub(super) fn blank_short(
    (job, told): (&Job, Told),
    (blank, outline): (&BlankProof, &Path),
    fit: Option<&Fitting>,
    tolerances: &Tolerances,
) -> Vec<Finding> {
    let way_out = fit.map_or_else(String::new, |fit| way_out((job, told), fit));
    let worth = blank.short.iter().filter(|short| short.most > tolerances.none_below);
    let finding = |short: &crate::measure::Short| {
        let length = outline.way(short.from, short.to);
        let message = format!(
            "The blank is short for {} from station {} to {}: it ends as much as {} inside the outline and will not clean up. \
             {way_out}",
            told.plain_with_unit(length),
            told.plain(short.from),
            told.plain(short.to),
            told.fine_with_unit(short.most),
        );
        // Where it is shortest, so that list, plan and walls speak of one place.
        let middle = (short.from + length / 2.0).rem_euclid(outline.length());
        let inside = |station: &f64| outline.way(short.from, *station) <= length;
        let known = fit.and_then(|fit| fit.before.iter().map(|stretch| stretch.most_at).find(inside));
        let least = Some(blank.least_margin_at).filter(inside).or(known);
        Finding::new(Code::BlankShort, Severity::Stop, message)
            .about(short.most)
            .at_station(least.unwrap_or(middle))
    };
    worth.map(finding).collect()
}

/// What to do about a short blank: where it would clean up, or what must be built up at the least.
fn way_out((job, units): (&Job, Told), fitting: &Fitting) -> String {
    let fit = &fitting.fit;
    let take_over = instruction(job, fit, units);
    if fitting.cleans_up() {
        let spare = units.fine_with_unit(fit.least_margin.max(0.0));
        return format!(
            "No metal has to be added: {take_over}; it then cleans up all around with a least margin of {spare}."
        );
    }
    let needs = |all: &[BuildUp]| {
        let places = if all.len() == 1 { "1 place".to_owned() } else { format!("{} places", all.len()) };
        let most = all.iter().map(|stretch| stretch.most).fold(0.0, f64::max);
        let length = all.iter().map(|stretch| stretch.length).sum();
        format!(
            "up to {} thick at {places}, {} long all told",
            units.fine_with_unit(most),
            units.plain_with_unit(length)
        )
    };
    if fit.gains(units.of()) {
        format!(
            "Even the best position is short by {}. As it lies, metal to add: {}; the least to add is {}, once you \
             {take_over}.",
            units.fine_with_unit(-fit.least_margin),
            needs(&fitting.before),
            needs(&fitting.after),
        )
    } else {
        format!("No other position is better. Metal to add: {}.", needs(&fitting.after))
    }
}

pub(super) fn findings(check: &PassCheck<'_>) -> Vec<Finding> {
    let Some(along) = &check.proof.along_outline else { return Vec::new() };
    let mut found = Vec::new();
    if let Some(allowance) = check.pass.allowance {
        found.extend(super::contact::findings(check, along));
        found.extend(leave_off(check, along, allowance));
    }
    found.extend(super::contact::left_out(check, along));
    let place = |mut finding: Finding| {
        if let (None, Some(station)) = (finding.at, finding.station) {
            finding.at = row_at(along, station).map(|row| at_gauge(check, row));
        }
        finding
    };
    found.into_iter().map(place).collect()
}

fn at_gauge(check: &PassCheck<'_>, row: &StationRow) -> Point3 {
    pt3(row.at.x, row.at.y, check.gauge.unwrap_or(0.0))
}

pub(super) fn row_at(along: &AlongOutline, station: f64) -> Option<&StationRow> {
    let after = along.rows.partition_point(|row| row.station < station).min(along.rows.len().checked_sub(1)?);
    let before = after.saturating_sub(1);
    let off = |index: usize| (along.rows[index].station - station).abs();
    along.rows.get(if off(before) <= off(after) { before } else { after })
}

/// Line of the motion that made the face at a station, or of the motion nearest to it.
fn line_at(check: &PassCheck<'_>, along: &AlongOutline, station: f64) -> Option<u32> {
    let row = row_at(along, station)?;
    let track = &check.proof.track;
    let index = match row.by {
        Some(index) => index as usize,
        None => track.index_at(track.nearest(row.at + row.outward * check.tool.form.radius())?),
    };
    track.placed().get(index).map(|placed| placed.motion.line)
}

pub(super) fn with_line(
    check: &PassCheck<'_>,
    along: &AlongOutline,
    finding: Finding,
    station: f64,
) -> Finding {
    let finding = finding.at_station(station);
    match line_at(check, along, station) {
        Some(line) => finding.on_line(line),
        None => finding,
    }
}

/// Where a pass leaves more or less than its allowance of the metal it cut. Where it hardly touches what it leaves,
/// the missing contact is told already. Next to a corner the place that is told of is held against the outline.
fn leave_off(check: &PassCheck<'_>, along: &AlongOutline, allowance: f64) -> Vec<Finding> {
    let tolerance = check.tolerances.allowance;
    let untouched = |row: &&StationRow| row.cut < check.tolerances.none_below;
    let side = |row: &StationRow| {
        if row.face > allowance + tolerance {
            1
        } else if row.face < allowance - tolerance && !untouched(&row) {
            -1
        } else {
            0
        }
    };
    let mostly_untouched = |run: &[StationRow]| run.iter().filter(untouched).count() * 2 > run.len();
    let mut found = Vec::new();
    for (run, length) in runs_round(&along.rows, side, |side| allowance + tolerance * f64::from(side)) {
        let Some(first) = run.first() else { continue };
        let sign = side(first);
        if sign == 0 || length < check.tolerances.stretch_least || mostly_untouched(&run) {
            continue;
        }
        let off = |row: &StationRow| (row.face - allowance).abs();
        let Some(worst) = run.iter().max_by(|a, b| off(a).total_cmp(&off(b))) else { continue };
        let why = if sign > 0 && super::too_wide::explains(check, worst.station) {
            "Its tool is too wide for the corner there."
        } else {
            "Check the tool's diameter, the zero and the program."
        };
        let stretch = format!(
            "for {} from station {}. {why}",
            check.told.plain_with_unit(length),
            check.told.plain(first.station),
        );
        let inside = check.length((-worst.face).max(0.0));
        let message = if inside == check.length(0.0) {
            format!(
                "{}: leaves {} where {} is meant, {} too {}, {stretch}",
                check.title(),
                check.length(worst.face),
                check.length(allowance),
                check.length(off(worst)),
                if sign > 0 { "much" } else { "little" },
            )
        } else {
            format!(
                "{}: ends {inside} inside the line{}, {stretch}",
                check.title(),
                meant_words(check, allowance)
            )
        };
        let finding = Finding::new(Code::LeaveOffAllowance, Severity::Look, message).about(off(worst));
        found.push(with_line(check, along, finding, worst.station));
    }
    found
}

/// What a pass that ends inside the line was meant to leave, for the middle of a sentence; nothing where it is the line
/// itself.
fn meant_words(check: &PassCheck<'_>, allowance: f64) -> String {
    let meant = check.length(allowance.abs());
    if meant == check.length(0.0) {
        String::new()
    } else if allowance < 0.0 {
        format!(", where {meant} inside is meant")
    } else {
        format!(", where {meant} of stock is meant to be left")
    }
}

/// Stretches of rows on one side of what is meant, each with its length; one that goes on past the first vertex is one.
/// A stretch ends where the stock left, straight from one station to the next, passes the border.
fn runs_round(
    rows: &[StationRow],
    side: impl Fn(&StationRow) -> i32,
    border: impl Fn(i32) -> f64,
) -> Vec<(Vec<StationRow>, f64)> {
    let beyond = |inside: &StationRow, outside: Option<&StationRow>| {
        let outside = outside.filter(|outside| side(inside) != 0 && side(outside) == 0)?;
        let part = (inside.face - border(side(inside))) / (inside.face - outside.face);
        (0.0..=1.0).contains(&part).then(|| (outside.station - inside.station).abs() * part)
    };
    let mut runs: Vec<(Vec<StationRow>, f64)> = Vec::new();
    let mut start = 0_usize;
    for run in rows.chunk_by(|a, b| side(a) == side(b)) {
        let (first, last) = (&run[0], &run[run.len() - 1]);
        let before = start.checked_sub(1).and_then(|index| rows.get(index));
        start += run.len();
        let ends = [beyond(first, before), beyond(last, rows.get(start))];
        let length = last.station - first.station + ends.into_iter().flatten().sum::<f64>();
        runs.push((run.to_vec(), length));
    }
    let wraps = runs.len() > 1 && rows.first().map(&side) == rows.last().map(&side);
    if let Some((mut end, length)) = runs.pop_if(|_| wraps) {
        let (start, more) = &mut runs[0];
        end.append(start);
        *start = end;
        *more += length;
    }
    runs
}

/// Where metal still stands after the whole job that the last pass with an allowance was to take and never touched.
/// Metal that it did cut, and left too much of, is told as off its allowance.
pub(super) fn metal_left(check: &PassCheck<'_>) -> Option<Finding> {
    let along = check.proof.along_outline.as_ref()?;
    let allowance = check.pass.allowance?;
    let end = check.later.iter().rev().find_map(|later| later.along_outline.as_ref()).unwrap_or(along);
    let left = |(own, last): (&StationRow, &StationRow)| {
        let untouched = own.cut < check.tolerances.none_below;
        (untouched && last.after > allowance + check.tolerances.allowance)
            .then_some((*own, last.after - allowance))
    };
    let places: Vec<Option<(StationRow, f64)>> = along.rows.iter().zip(&end.rows).map(left).collect();
    let length = stands_for(&places);
    let (worst, by) = places.into_iter().flatten().max_by(|a, b| a.1.total_cmp(&b.1))?;
    (length > check.tolerances.stretch_least).then(|| {
        let message = format!(
            "{}: leaves metal that no later pass takes, {} more than the {} meant, along {} of the outline; the most \
             is at station {}. The block will not be to its line there: lengthen the pass, or add one.",
            check.title(),
            check.length(by),
            check.length(allowance),
            check.told.plain_with_unit(length),
            check.told.plain(worst.station),
        );
        let finding = Finding::new(Code::MetalLeft, Severity::Look, message).about(by);
        with_line(check, along, finding, worst.station).at(at_gauge(check, &worst))
    })
}

/// Where metal stands out from the wall at another height than that at which stock left is measured.
pub(super) fn proud(check: &PassCheck<'_>, proud: &Proud) -> Option<Finding> {
    let outline = check.outline?;
    let (allowance, place) = (check.pass.allowance?, outline.place(proud.station).at);
    let by = proud.most - allowance;
    let message = format!(
        "After the last pass metal stands out from the wall: at Z {} it is {} more than the {} meant, along about {} of the \
         outline. At the same place it is right at Z {}, where stock left is measured. Check depth, zero and path of \
         the passes that cut at that height.",
        check.told.fine(proud.z),
        check.length(by),
        check.length(allowance),
        check.told.plain_with_unit(proud.length),
        check.told.fine(check.gauge.unwrap_or(0.0)),
    );
    let finding = Finding::new(Code::MetalLeft, Severity::Look, message).about(by).at_station(proud.station);
    Some(finding.at(pt3(place.x, place.y, proud.z)))
}

/// Length of outline between neighbouring stations that both have metal left.
fn stands_for(places: &[Option<(StationRow, f64)>]) -> f64 {
    let pairs = places.windows(2).filter_map(|pair| Some(pair[1]?.0.station - pair[0]?.0.station));
    pairs.sum()
}
