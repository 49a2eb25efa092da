//! Lists for a spreadsheet: RFC 4180, one head line, lengths in the job's unit.

use crate::measure::{Contact, StationRow, Stretch};
use crate::names;
use crate::proof::Proof;
use crate::units::{Units, fixed};

/// What stands in each column of the list of stations.
const STATIONS: [&str; 12] = [
    "pass",
    "name",
    "station",
    "x",
    "y",
    "stock_before",
    "stock_left",
    "cut",
    "cut_z",
    "contact",
    "cuts_inside",
    "units",
];

/// Decimals that lose nothing of what the check is exact to.
const fn decimals(units: Units) -> usize {
    match units {
        Units::Inch => 6,
        Units::Mm => 5,
    }
}

/// One row for each station of each pass that was measured along the outline.
pub(super) fn stations(proof: &Proof) -> String {
    let mut text = row(&STATIONS.map(str::to_owned));
    for (index, (pass, done)) in proof.job.passes.iter().zip(&proof.passes).enumerate() {
        let Some(along) = &done.along_outline else { continue };
        let mut states = States { stretches: &along.contact };
        for station in &along.rows {
            let state = states.at(station.station);
            text.push_str(&row(&of_station(proof.job.units, index, &pass.name, station, state)));
        }
    }
    text
}

fn of_station(
    units: Units,
    pass: usize,
    name: &str,
    row: &StationRow,
    state: Option<Contact>,
) -> [String; 12] {
    let number = |value: f64| fixed(value, decimals(units));
    [
        (pass + 1).to_string(),
        cell(name),
        number(row.station),
        number(row.at.x),
        number(row.at.y),
        number(row.before),
        number(row.after),
        number(row.cut),
        row.cut_z.map(number).unwrap_or_default(),
        state.map_or("", Contact::word).to_owned(),
        number(row.past),
        units.name().to_owned(),
    ]
}

/// The stretches of contact, walked through with rising stations.
struct States<'a> {
    stretches: &'a [Stretch],
}

impl States<'_> {
    fn at(&mut self, station: f64) -> Option<Contact> {
        while let [first, _, ..] = self.stretches
            && first.to < station
        {
            self.stretches = &self.stretches[1..];
        }
        self.stretches.first().map(|stretch| stretch.state)
    }
}

/// A text that somebody else gave as a cell: in quotes where it must be, and never a formula, which spreadsheets make of
/// what begins with one of four signs (an apostrophe before it is the usual remedy; common practice, no source).
pub(super) fn cell(text: &str) -> String {
    let shown = names::shown(text);
    let formula = shown.starts_with(['=', '+', '-', '@']);
    let plain = if formula { format!("'{shown}") } else { shown.into_owned() };
    if plain.contains(['"', ',', '\n', '\r']) { format!("\"{}\"", plain.replace('"', "\"\"")) } else { plain }
}

/// One line of cells that are ready to be written.
pub(super) fn row(cells: &[String]) -> String {
    format!("{}\r\n", cells.join(","))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_stay_text() {
        for (name, written) in [
            ("Finish profile", "Finish profile"),
            ("Rough, leave .062", "\"Rough, leave .062\""),
            ("a \"b\"", "\"a \"\"b\"\"\""),
            ("=1+1", "'=1+1"),
            ("-2", "'-2"),
            ("a\r\nb", "a\u{fffd}\u{fffd}b"),
        ] {
            assert_eq!(cell(name), written);
        }
    }
}
