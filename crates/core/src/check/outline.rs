//! Findings along the outline: contact, leave against the allowance, cuts past the outline, a short blank.

use super::PassCheck;
use crate::finding::{Code, Finding, Severity};
use crate::geometry::{Point3, pt3};
use crate::job::Job;
use crate::measure::{Contact, Stretch};
use crate::proof::{AlongOutline, BlankProof, StationRow};
use crate::tolerance::Tolerances;

pub(super) fn blank_short(job: &Job, blank: &BlankProof, tolerances: &Tolerances) -> Vec<Finding> {
    let worth = blank.short.iter().filter(|short| short.most > tolerances.none_below);
    let finding = |short: &crate::proof::Short| {
        let message = format!(
            "The blank is short for {} from station {}: it ends up to {} inside the outline and will not clean up. \
             Build up at least that much there, or move the work zero if another side has metal to spare.",
            job.units.plain_with_unit(short.to - short.from),
            job.units.plain(short.from),
            job.units.fine_with_unit(short.most),
        );
        Finding::new(Code::BlankShort, Severity::Stop, message)
            .at_station(f64::midpoint(short.from, short.to))
    };
    worth.map(finding).collect()
}

pub(super) fn findings(check: &PassCheck<'_>) -> Vec<Finding> {
    let Some(along) = &check.proof.along_outline else { return Vec::new() };
    let mut found = Vec::new();
    found.extend(past_outline(check, along));
    // What an unread word would have cut is not known: advice on contact would be guesswork. A cut past the outline
    // that was seen stays one.
    if let Some(allowance) = check.pass.allowance.filter(|_| !check.proof.program.unproven) {
        found.extend(contact(check, along));
        found.extend(leave_off(check, along, allowance));
    }
    let place = |mut finding: Finding| {
        if let (None, Some(station)) = (finding.at, finding.station) {
            finding.at = row_at(along, station).map(|row| at_gauge(check, row));
        }
        finding
    };
    found.into_iter().map(place).collect()
}

fn at_gauge(check: &PassCheck<'_>, row: &StationRow) -> Point3 {
    pt3(row.at.x, row.at.y, check.job.gauge().unwrap_or(0.0))
}

fn row_at(along: &AlongOutline, station: f64) -> Option<&StationRow> {
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

fn with_line(check: &PassCheck<'_>, along: &AlongOutline, finding: Finding, station: f64) -> Finding {
    let finding = finding.at_station(station);
    match line_at(check, along, station) {
        Some(line) => finding.on_line(line),
        None => finding,
    }
}

fn past_outline(check: &PassCheck<'_>, along: &AlongOutline) -> Option<Finding> {
    let (most, station) = along.past?;
    (most > check.tolerances.past_outline).then(|| {
        let message = format!(
            "{}: cuts up to {} inside the outline at station {}. That metal can't be put back; check the program, the \
             tool and the zero.",
            check.title(),
            check.length(most),
            check.job.units.plain(station),
        );
        with_line(check, along, Finding::new(Code::PastOutline, Severity::Stop, message), station)
    })
}

fn contact(check: &PassCheck<'_>, along: &AlongOutline) -> Vec<Finding> {
    let worth = |stretch: &&Stretch| stretch.to - stretch.from > check.tolerances.stretch_least;
    let state = |stretch: &Stretch| match stretch.state {
        Contact::Full => None,
        Contact::None => Some((Code::NoContact, no_contact(check, along, stretch))),
        Contact::Light => Some((Code::LightCut, limit_words(check, along, stretch, "light"))),
        Contact::Heavy => Some((Code::HeavyCut, limit_words(check, along, stretch, "heavy"))),
    };
    let finding = |stretch: &Stretch| {
        let (code, message) = state(stretch)?;
        let middle = f64::midpoint(stretch.from, stretch.to);
        Some(with_line(check, along, Finding::new(code, Severity::Look, message), middle))
    };
    along.contact.iter().filter(worth).filter_map(finding).collect()
}

fn no_contact(check: &PassCheck<'_>, along: &AlongOutline, stretch: &Stretch) -> String {
    let units = check.job.units;
    let standing = row_at(along, f64::midpoint(stretch.from, stretch.to)).map_or(0.0, |row| row.after);
    let allowance = check.pass.allowance.unwrap_or(0.0);
    let why = if standing > allowance + check.tolerances.allowance {
        format!(
            "metal stands there {} outside the outline, and the tool does not reach it",
            check.length(standing)
        )
    } else {
        "the metal there ends inside its cut".to_owned()
    };
    let mut message = format!(
        "{}: no contact for {} from station {} to {}: {why}.",
        check.title(),
        units.plain_with_unit(stretch.to - stretch.from),
        units.plain(stretch.from),
        units.plain(stretch.to),
    );
    message.push_str(&regained(check, stretch));
    message
}

/// Which later pass, if any, takes metal along a stretch, all of it or part.
fn regained(check: &PassCheck<'_>, stretch: &Stretch) -> String {
    for (offset, later) in check.later.iter().enumerate() {
        let Some(along) = &later.along_outline else { continue };
        let number = check.index + offset + 2;
        let mut none = 0.0;
        for other in along.contact.iter().filter(|other| other.state == Contact::None) {
            none += (other.to.min(stretch.to) - other.from.max(stretch.from)).max(0.0);
        }
        let length = stretch.to - stretch.from;
        if none <= check.tolerances.stretch_least {
            return format!(" Pass {number} regains it all.");
        }
        if none < length - check.tolerances.stretch_least {
            let rest = check.job.units.plain_with_unit(none);
            let fully = fully_regained_by(check, stretch, offset + 1);
            return format!(" Pass {number} regains it but for {rest}.{fully}");
        }
    }
    if check.later.iter().any(|later| later.along_outline.is_some()) {
        " No later pass regains it.".to_owned()
    } else {
        String::new()
    }
}

fn fully_regained_by(check: &PassCheck<'_>, stretch: &Stretch, from: usize) -> String {
    for (offset, later) in check.later.iter().enumerate().skip(from) {
        let Some(along) = &later.along_outline else { continue };
        let missed = along.contact.iter().any(|other| {
            other.state == Contact::None
                && other.to.min(stretch.to) - other.from.max(stretch.from) > check.tolerances.stretch_least
        });
        if !missed {
            return format!(" Pass {} then takes metal all along.", check.index + offset + 2);
        }
    }
    " No later pass takes the rest.".to_owned()
}

fn limit_words(check: &PassCheck<'_>, along: &AlongOutline, stretch: &Stretch, state: &str) -> String {
    let units = check.job.units;
    let cuts = along.rows.iter().filter(|row| row.station >= stretch.from && row.station <= stretch.to);
    let (least, most) = cuts
        .map(StationRow::cut)
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), cut| (least.min(cut), most.max(cut)));
    let amount = if state == "light" {
        format!("down to {} or less: it may rub and not cut", check.length(least))
    } else {
        format!("up to {}: watch the load, or take it in two", check.length(most))
    };
    format!(
        "{}: {state} cut for {} from station {} to {}, {amount}.",
        check.title(),
        units.plain_with_unit(stretch.to - stretch.from),
        units.plain(stretch.from),
        units.plain(stretch.to),
    )
}

/// Where a pass that had metal to take leaves more or less than its allowance.
fn leave_off(check: &PassCheck<'_>, along: &AlongOutline, allowance: f64) -> Vec<Finding> {
    let tolerance = check.tolerances.allowance;
    let side = |row: &StationRow| {
        if row.after > allowance + tolerance {
            1
        } else if row.after < allowance - tolerance && row.cut() > check.tolerances.none_below {
            -1
        } else {
            0
        }
    };
    let mut found = Vec::new();
    for run in along.rows.chunk_by(|a, b| side(a) == side(b)) {
        let (first, last) = (&run[0], &run[run.len() - 1]);
        let sign = side(first);
        if sign == 0 || last.station - first.station < check.tolerances.stretch_least {
            continue;
        }
        let off = |row: &StationRow| (row.after - allowance).abs();
        let Some(worst) = run.iter().max_by(|a, b| off(a).total_cmp(&off(b))) else { continue };
        let message = format!(
            "{}: leaves {} where {} is meant, {} too {}, for {} from station {}. Check the tool's diameter, the zero \
             and the program.",
            check.title(),
            check.length(worst.after),
            check.length(allowance),
            check.length(off(worst)),
            if sign > 0 { "much" } else { "little" },
            check.job.units.plain_with_unit(last.station - first.station),
            check.job.units.plain(first.station),
        );
        let finding = Finding::new(Code::LeaveOffAllowance, Severity::Look, message);
        found.push(with_line(check, along, finding, worst.station));
    }
    found
}
