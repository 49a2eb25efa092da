//! Speeds, feeds and what the cutter bears.

use super::say::{Say, name};
use super::{Part, Section, Table, number, words};
use crate::cutting::unit_power_unit;
use crate::program::Kind;
use crate::proof::PassProof;
use crate::record::Record;
use crate::units::Units;

/// The feeds of every pass; `None` for a job without passes.
pub(super) fn section(record: &Record<'_>) -> Option<Section> {
    let (proof, say) = (record.proof, Say::of(record));
    if proof.passes.is_empty() {
        return None;
    }
    let (rate, power, feed, chip) = match say.units {
        Units::Inch => ("Peak in³/min", "Peak hp", "Feed, in/min", "Chip load, in/tooth"),
        Units::Mm => ("Peak cm³/min", "Peak kW", "Feed, mm/min", "Chip load, mm/tooth"),
    };
    let mut table = Table::new(vec![
        number("", 0.5),
        words("Pass", 5.0),
        number("Spindle, rev/min", 2.0),
        number(feed, 2.0),
        number(chip, 2.4),
        number(rate, 1.6),
        number(power, 1.4),
    ]);
    let dash = || "-".to_owned();
    let two = |value: Option<f64>| value.map_or_else(dash, |value| format!("{value:.2}"));
    for (index, (pass, done)) in proof.job.passes.iter().zip(&proof.passes).enumerate() {
        let spindle = ends(done, |motion| f64::from(motion.spindle.abs()));
        table.rows.push(vec![
            (index + 1).to_string(),
            name(&pass.name),
            spindle.map_or_else(dash, rates),
            ends(done, |motion| motion.feed).map_or_else(dash, rates),
            done.chip_load.map_or_else(dash, |(least, most)| say.between(least, most)),
            two(done.rate_most),
            two(done.power_most),
        ]);
    }
    let mut parts = vec![Part::Table(table)];
    if let Some((material, unit_power)) = proof.power_source() {
        parts.push(Part::Words(format!(
            "Power for {}: {unit_power:.4} {}; {}.",
            name(&material.name),
            unit_power_unit(say.units),
            crate::names::shown(&material.source)
        )));
    }
    Some(Section::new("Speeds and feeds", parts))
}

/// Least and most of a value over the motions at feed, where it is set.
fn ends(done: &PassProof, value: impl Fn(&crate::program::Motion) -> f64) -> Option<(f64, f64)> {
    let feeds = done.track.placed().iter().map(|placed| &placed.motion);
    let values = feeds.filter(|motion| motion.kind == Kind::Feed).map(value).filter(|value| *value > 0.0);
    values.fold(None, |ends: Option<(f64, f64)>, value| {
        let (least, most) = ends.unwrap_or((value, value));
        Some((least.min(value), most.max(value)))
    })
}

fn rates((least, most): (f64, f64)) -> String {
    let (least, most) = (Say::rate(least), Say::rate(most));
    if least == most { least } else { format!("{least} to {most}") }
}
