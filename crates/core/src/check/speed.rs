//! Spindle, feed, chip load and power against what machine and cutter can do.

use super::PassCheck;
use crate::cutting::{chip_load, usual_chip_load};
use crate::finding::{Code, Finding, Severity};
use crate::program::{Curve, Kind, Motion};
use crate::units::{digits, fixed};

/// The motor gives this part of its power to the cutter, as a rule (a published worked example).
const EFFICIENCY: f64 = 0.8;

pub(super) fn findings(check: &PassCheck<'_>) -> Vec<Finding> {
    let mut found: Vec<Finding> = spindle_too_fast(check).into_iter().chain(feed_too_fast(check)).collect();
    found.extend(chip_loads(check));
    found.extend(over_power(check));
    found
}

fn spindle_too_fast(check: &PassCheck<'_>) -> Option<Finding> {
    let most = check.job.machine.as_ref().and_then(|machine| machine.spindle_max)?;
    let motions = || check.proof.track.placed().iter().map(|placed| &placed.motion);
    // motions carry their speed in single precision
    let too_fast = |motion: &&Motion| motion.spindle.abs() > most as f32;
    let first = motions().find(too_fast)?;
    let fastest = motions().map(|motion| motion.spindle.abs()).fold(0.0, f32::max);
    let message = format!(
        "{}: S{fastest} is more than the {most} rev/min that the spindle goes. The control refuses it, or \
         runs slower and each tooth then takes more than meant. Set S to {most} or less, and F to match.",
        check.title()
    );
    Some(Finding::new(Code::TooFast, Severity::Look, message).on_line(first.line).at(first.start))
}

/// The first feed motion faster than the machine's rapid.
pub(super) fn faster_than_rapid<'a>(check: &PassCheck<'a>) -> Option<&'a Motion> {
    let rapid = check.job.machine.as_ref().and_then(|machine| machine.rapid)?;
    check.proof.program.motions.iter().find(|motion| motion.kind == Kind::Feed && motion.feed > rapid)
}

fn feed_too_fast(check: &PassCheck<'_>) -> Option<Finding> {
    let first = faster_than_rapid(check)?;
    let rapid = check.job.machine.as_ref().and_then(|machine| machine.rapid)?;
    let motions = check.proof.program.motions.iter();
    let count = motions.filter(|motion| motion.kind == Kind::Feed && motion.feed > rapid).count();
    let (unit, told) = (check.told.short(), check.told.factor());
    let message = format!(
        "{}: the feed of {} {unit}/min is faster than the machine's rapid of {}{}. It can't be \
         held; check whether F is meant in the other unit, or G20 or G21 is missing.",
        check.title(),
        fixed(first.feed * told, 1),
        fixed(rapid * told, 1),
        if count > 1 { format!(", on {count} motions") } else { String::new() },
    );
    Some(Finding::new(Code::TooFast, Severity::Look, message).on_line(first.line))
}

/// The motions that take metal at a feed. Straight down a cutter works otherwise.
fn cuts<'a>(check: &PassCheck<'a>) -> impl Iterator<Item = &'a Motion> + use<'a> {
    let least = check.tolerances.touch;
    let placed = check.proof.track.placed();
    let taken = check.proof.removal.iter().flat_map(|removal| removal.taken());
    taken
        .filter(move |taken| taken.deepest > least)
        .filter_map(move |taken| placed.get(taken.motion))
        .filter_map(|own| {
            let motion = &own.motion;
            let straight_down = motion.curve == Curve::Straight && motion.start.plan() == motion.end.plan();
            (motion.kind == Kind::Feed && !straight_down).then_some(motion)
        })
}

/// The lightest and the heaviest chip load of the pass, where they are far from the usual.
fn chip_loads(check: &PassCheck<'_>) -> Vec<Finding> {
    let diameter = 2.0 * check.tool.form.radius();
    let (Some(flutes), Some(usual)) = (check.tool.flutes, usual_chip_load(check.job.units, diameter)) else {
        return Vec::new();
    };
    let loads = cuts(check).filter_map(|motion| {
        let load = chip_load(motion.feed, flutes, f64::from(motion.spindle.abs()))?;
        (load > 0.0).then_some((load, motion))
    });
    let (mut least, mut most) = (None::<(f64, &Motion)>, None::<(f64, &Motion)>);
    for next in loads {
        if least.is_none_or(|least| next.0 < least.0) {
            least = Some(next);
        }
        if most.is_none_or(|most| next.0 > most.0) {
            most = Some(next);
        }
    }
    let finding = |(load, motion): (f64, &Motion), severity, what: &str| {
        let (unit, told) = (check.told.short(), check.told.factor());
        let decimals = check.told.shown().pick(5.0, 4.0) as usize;
        let message = format!(
            "{}: the chip load is {} {unit} per tooth here (F{}, {flutes} flutes, S{}); \
             normal for this diameter in aluminum is about {} {unit} (a published table for \
             solid carbide). {what}",
            check.title(),
            fixed(load * told, decimals),
            fixed(motion.feed * told, 1),
            digits(f64::from(motion.spindle.abs())),
            fixed(usual * told, decimals),
        );
        Finding::new(Code::ChipLoad, severity, message).on_line(motion.line).at(motion.start)
    };
    let heavy = most.filter(|most| most.0 > usual * check.tolerances.chip_load_most);
    let light = least.filter(|least| least.0 < usual * check.tolerances.chip_load_least);
    let heavy = heavy.map(|heavy| {
        finding(
            heavy,
            Severity::Look,
            "A tooth may break: lower F, raise S, or make sure of the cutter and the cut.",
        )
    });
    let light = light.map(|light| {
        finding(
            light,
            Severity::Note,
            "So thin a chip rubs and heats the edge: raise F or lower S if the cut allows.",
        )
    });
    heavy.into_iter().chain(light).collect()
}

/// Where the cut takes the most power, when that is more than the spindle has.
fn over_power(check: &PassCheck<'_>) -> Option<Finding> {
    let there = check.job.machine.as_ref().and_then(|machine| machine.power)?;
    let most = check.proof.power_most.filter(|most| *most > there)?;
    let rows = check.proof.load.iter().flat_map(|load| &load.rows);
    let (row, rate) =
        rows.filter_map(|row| Some((row, row.rate?))).max_by(|(_, a), (_, b)| a.total_cmp(b))?;
    let place = check.proof.track.on(row.motion, row.distance)?;
    let power = |power: f64| fixed(power * check.told.factor_of_power(), 2);
    let message = format!(
        "{}: the cut takes up to about {} {} at the cutter ({} {}), and the spindle has \
         {}; a motor would have to give about {}. It may stall in the cut: lower F here, or take it in more \
         passes.",
        check.title(),
        power(most),
        check.told.unit_of_power(),
        fixed(rate * check.told.factor_of_rate(), 2),
        check.told.unit_of_rate(),
        power(there),
        power(most / EFFICIENCY),
    );
    Some(Finding::new(Code::OverPower, Severity::Look, message).on_line(place.line).at(place.tip))
}
