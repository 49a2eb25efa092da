//! The walk round of the air pass, pass by pass.

use super::say::Say;
use super::{Part, Section, Table, number, words, write_in};
use crate::record::{Record, walk};

/// The lists of all passes that were measured along the outline; `None` without any.
pub(super) fn section(record: &Record<'_>) -> Option<Section> {
    let say = Say::of(record);
    let mut parts = Vec::new();
    for index in 0..record.proof.passes.len() {
        let stops = walk(record.proof, index);
        if stops.is_empty() {
            continue;
        }
        let mut table = Table::new(vec![
            words("", 0.7),
            number("Readout X", 1.3),
            number("Y", 1.3),
            number("Station", 1.2),
            number("Between cutter and line", 2.2),
            number("Stock outside the line", 2.2),
            number("Takes", 1.2),
            words("Contact", 1.3),
            write_in("Seen", 1.4),
        ]);
        for stop in stops {
            let (gap, stock) = (say.or_under(stop.gap, "over the line"), say.or_under(stop.stock, "short"));
            table.rows.push(vec![
                if stop.thin { "thin".to_owned() } else { String::new() },
                say.fine(stop.readout.x),
                say.fine(stop.readout.y),
                say.plain(stop.station),
                gap,
                stock,
                say.fine(stop.cut),
                stop.contact.word().to_owned(),
                String::new(),
            ]);
        }
        parts.push(Part::Heading(say.pass(index)));
        parts.push(Part::Table(table));
    }
    if parts.is_empty() {
        return None;
    }
    let intro = "For the air pass, with the cutter above the block and a hand on feed hold: stop where the readout shows \
                 these values and look straight down. The rim of the cutter, where it is widest, must stand so far outside \
                 the scribed line. Stock outside the line is what was there before the pass. Thin places come first.";
    parts.insert(0, Part::Words(intro.to_owned()));
    Some(Section::new("Walk round", parts).on_own_sheet())
}
