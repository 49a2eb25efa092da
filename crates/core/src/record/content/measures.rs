//! What can be measured after each pass: what is expected, what was found, and room for what was not measured yet.

use super::say::Say;
use super::{Part, Section, Table, number, words, write_in};
use crate::job::{Job, Quantity};
use crate::proof::{Measure, measures};
use crate::record::Record;
use crate::tolerance::Tolerances;
use crate::units::Units;

/// All measures; `None` where nothing is expected.
pub(super) fn section(record: &Record<'_>) -> Option<Section> {
    let say = Say::of(record);
    let mut table = Table::new(vec![
        number("After pass", 1.0),
        words("What", 4.6),
        words("Where", 4.0),
        number("Expected", 1.6),
        number("Limit", 2.6),
        write_in("Measured", 2.0),
        write_in("Off by", 1.6),
    ]);
    for measure in measures(record.proof) {
        table.rows.push(vec![
            if measure.what == Quantity::OverPins {
                "last".to_owned()
            } else {
                (measure.pass + 1).to_string()
            },
            measure.what_words(say.units),
            measure.where_words(say.units),
            expected(&say, &record.proof.job, &measure),
            measure.limit_words(&record.proof.job),
            measure.found.map_or_else(String::new, |found| say.fine(found)),
            measure.off_words(say.units),
        ]);
    }
    if table.rows.is_empty() {
        return None;
    }
    let height = record.proof.gauge.map_or_else(String::new, |gauge| format!(" {}", gauge.words(say.units)));
    let elsewhere = record.proof.job.passes.iter().any(|pass| pass.zero.origin[..2] != [0.0, 0.0]);
    let places = if elsewhere {
        " X and Y are block X and Y: \"Work zero\" says where the readout counts from."
    } else {
        ""
    };
    let words = format!(
        "Stock left and sizes are{height}.{places} Spindle stopped, chips cleared. A limit is what the pass is meant to leave, and by how \
         much it may be off before the check tells it; a drawing's own tolerances come first."
    );
    let mut parts = vec![Part::Words(words), Part::Table(table)];
    if measures(record.proof).iter().any(|measure| is_short(say.units, measure)) {
        parts.push(Part::Instruction(
            "Where it says \"short\", the metal ends so far inside the line: no pass can bring it within its limit, and sizes over \
             such a place come out small. See the findings."
                .to_owned(),
        ));
    }
    if measures(record.proof).iter().any(|measure| beyond(&record.proof.job, measure).is_some()) {
        parts.push(Part::Instruction(
            "Where it says \"low\" or \"high\", the figure lies outside its limit as the programs are: see the findings before \
             anything is cut."
                .to_owned(),
        ));
    }
    Some(Section::new("Measurements", parts))
}

/// Whether stock that is left, though not short, is expected outside its limit, and on which side.
fn beyond(job: &Job, measure: &Measure) -> Option<&'static str> {
    let limit = Tolerances::for_units(job.units).allowance;
    let meant = job.passes.get(measure.pass)?.allowance.filter(|_| measure.what == Quantity::StockLeft)?;
    let (least, most) = measure.expected.filter(|_| !is_short(job.units, measure))?;
    if least < meant - limit {
        return Some("low");
    }
    (most > meant + limit).then_some("high")
}

/// Whether metal is missing where stock should be left, by more than it may be off.
fn is_short(units: Units, measure: &Measure) -> bool {
    let limit = Tolerances::for_units(units).allowance;
    measure.what == Quantity::StockLeft && measure.expected.is_some_and(|(least, _)| least < -limit)
}

/// A size as it is expected; what is missing as that, and what lies outside its limit with a word.
fn expected(say: &Say<'_>, job: &Job, measure: &Measure) -> String {
    match measure.expected {
        Some((least, _)) if is_short(say.units, measure) => say.or_under(least, "short"),
        _ => match beyond(job, measure) {
            Some(word) => format!("{word} {}", measure.expected_words(say.units)),
            None => measure.expected_words(say.units),
        },
    }
}
