//! Figures of a pass as they are laid beside those of another order.

use crate::finding::{Finding, Severity};
use crate::geometry::Range;
use crate::measure::Contact;
use crate::proof::{Proof, verdict_words};
use crate::units::{Told, Units, clock, fixed};

/// Findings whose kinds are named; of more, only how many there are.
const MOST_NAMED: usize = 3;
/// What is written where there is no such figure.
const NONE: &str = "-";

/// One figure in words, and what it is in the other order where it is written otherwise.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Figure {
    /// What it is of.
    pub name: &'static str,
    /// The figure, with its unit where it is not a length in the job's.
    pub value: String,
    /// The same in the other order, where that is another.
    pub was: Option<String>,
}

/// The figures of one pass, held against the same pass of another proof where there is one.
pub fn pass_figures(proof: &Proof, pass: usize, was: Option<(&Proof, usize)>) -> Vec<Figure> {
    held_against(of_pass(proof, pass), was.map(|(proof, pass)| of_pass(proof, pass)))
}

/// What all passes come to, held against another proof where there is one.
pub fn totals(proof: &Proof, was: Option<&Proof>) -> Vec<Figure> {
    held_against(of_all(proof), was.map(of_all))
}

type Row = (&'static str, String);

fn held_against(rows: Vec<Row>, was: Option<Vec<Row>>) -> Vec<Figure> {
    let was = was.map_or_else(|| vec![None; rows.len()], |was| was.into_iter().map(Some).collect());
    let figure = |((name, value), was): (Row, Option<Row>)| {
        let was = was.map(|(_, was)| was).filter(|was| *was != value);
        Figure { name, value, was }
    };
    rows.into_iter().zip(was).map(figure).collect()
}

fn of_pass(proof: &Proof, index: usize) -> Vec<Row> {
    let units = proof.told;
    let Some(pass) = proof.passes.get(index) else { return Vec::new() };
    let along = pass.along_outline.as_deref();
    let span = |range: Option<&Range>| range.map_or(NONE.to_owned(), |range| span(units, range));
    let of_pass = proof.findings.iter().filter(|finding| finding.pass == Some(index));
    vec![
        ("stock left", span(along.map(|along| &along.leave))),
        ("cut", span(along.map(|along| &along.cut))),
        ("no contact", pass.contact_length(Contact::None).map_or(NONE.to_owned(), |none| units.plain(none))),
        ("peak rate, power", load(units, pass.rate_most, pass.power_most)),
        ("time", pass.seconds.map_or(NONE.to_owned(), clock)),
        ("findings", findings(of_pass)),
    ]
}

fn of_all(proof: &Proof) -> Vec<Row> {
    let units = proof.told;
    let known: Vec<f64> = proof.passes.iter().filter_map(|pass| pass.seconds).collect();
    let seconds = (!known.is_empty()).then(|| known.iter().sum());
    let most =
        |of: fn(&crate::proof::PassProof) -> Option<f64>| proof.passes.iter().filter_map(of).reduce(f64::max);
    let last = proof.passes.iter().rev().find_map(|pass| pass.along_outline.as_deref());
    vec![
        ("result", verdict_words(proof)),
        ("stock left", last.map_or(NONE.to_owned(), |along| span(units, &along.leave))),
        ("metal left", metal_left(proof)),
        ("peak rate, power", load(units, most(|pass| pass.rate_most), most(|pass| pass.power_most))),
        ("time", seconds.map_or(NONE.to_owned(), clock)),
    ]
}

/// Least to most, or the one value where both are written the same.
pub(super) fn span(units: Told, range: &Range) -> String {
    let (least, most) = (units.fine(range.least), units.fine(range.most));
    if least == most { least } else { format!("{least} to {most}") }
}

/// Removal rate and power, as far as they are known.
pub(super) fn load(units: Told, of_rate: Option<f64>, of_power: Option<f64>) -> String {
    let rate = |rate: f64| format!("{} {}", fixed(rate * units.factor_of_rate(), 2), units.unit_of_rate());
    let power =
        |power: f64| format!("{} {}", fixed(power * units.factor_of_power(), 2), units.unit_of_power());
    let parts = [of_rate.map(rate), of_power.map(power)];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    if parts.is_empty() { NONE.to_owned() } else { parts.join(", ") }
}

/// Volume of the block after the last pass.
fn metal_left(proof: &Proof) -> String {
    let end = proof
        .passes
        .last()
        .map_or(proof.start.as_ref(), |last| last.removal.as_deref().map(crate::block::Removal::end));
    end.map_or(NONE.to_owned(), |end| volume(proof.told, end.volume()))
}

/// A volume as people read it: in³, or cm³.
pub(super) fn volume(units: Told, volume: f64) -> String {
    let volume = volume * units.factor().powi(3);
    match units.shown() {
        Units::Inch => format!("{} in³", fixed(volume, 3)),
        Units::Mm => format!("{} cm³", fixed(volume / 1000.0, 2)),
    }
}

/// How many findings there are to look at, and of what kinds.
fn findings<'a>(all: impl Iterator<Item = &'a Finding>) -> String {
    let heavy: Vec<&Finding> = all.filter(|finding| finding.severity != Severity::Note).collect();
    if heavy.is_empty() {
        return "none".to_owned();
    }
    let mut kinds: Vec<&str> = Vec::new();
    for finding in &heavy {
        if !kinds.contains(&finding.code.text()) {
            kinds.push(finding.code.text());
        }
    }
    let more = if kinds.len() > MOST_NAMED { ", …" } else { "" };
    kinds.truncate(MOST_NAMED);
    format!("{}: {}{more}", heavy.len(), kinds.join(", "))
}
