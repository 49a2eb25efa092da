//! The walk round of the air pass, pass by pass.

use super::say::Say;
use super::{Part, Section, Table, number, words, write_in};
use crate::record::{Mark, Record, WalkStop, line_gone_with, walk};

/// The lists of all passes that were measured along the outline; `None` without any.
pub(super) fn section(record: &Record<'_>) -> Option<Section> {
    let say = Say::of(record);
    let mut parts = Vec::new();
    for index in 0..record.proof.passes.len() {
        let stops = walk(record.proof, index);
        let Some(first) = stops.first() else { continue };
        parts.push(Part::Heading(say.pass(index)));
        let mark = first.mark;
        parts.extend(gone(mark));
        parts.push(Part::Table(table(&say, mark, &stops)));
    }
    if parts.is_empty() {
        return None;
    }
    let gone = line_gone_with(record.proof).map_or_else(String::new, |pass| {
        format!(
            " The scribed line goes with pass {}: after it, the side of the block as it stands is looked at instead.",
            pass + 1
        )
    });
    let intro = format!(
        "For the air pass, with the cutter above the block and a hand on feed hold: stop where the readout shows these values \
         and look straight down. The rim of the cutter, where it is widest, must stand so far outside the scribed line. Stock \
         outside the line is what was there before the pass. Thin places come first.{gone}"
    );
    parts.insert(0, Part::Words(intro));
    Some(Section::new("Walk round", parts).on_own_sheet())
}

/// What to look at where the line is gone.
fn gone(mark: Mark) -> Option<Part> {
    let Mark::Side { gone_with } = mark else { return None };
    Some(Part::Words(format!(
        "The scribed line is gone since pass {}. Hold the rim of the cutter against the side of the block as it stands, at its \
         widest: \"over it\" is how far the rim must hang over.",
        gone_with + 1
    )))
}

fn table(say: &Say<'_>, mark: Mark, stops: &[WalkStop]) -> Table {
    let (between, over) = match mark {
        Mark::Line => ("Between cutter and line", "over the line"),
        Mark::Side { .. } => ("Between cutter and side", "over it"),
    };
    let mut table = Table::new(vec![
        words("", 0.7),
        number("Readout X", 1.3),
        number("Y", 1.3),
        number("Station", 1.2),
        number(between, 2.2),
        number("Stock outside the line", 2.2),
        number("Takes", 1.2),
        words("Contact", 1.3),
        write_in("Seen", 1.4),
    ]);
    for stop in stops {
        table.rows.push(vec![
            if stop.thin { "thin".to_owned() } else { String::new() },
            say.fine(stop.readout.x),
            say.fine(stop.readout.y),
            say.plain(stop.station),
            say.or_under(stop.seen(), over),
            say.or_under(stop.stock, "short"),
            say.fine(stop.cut),
            stop.contact.word().to_owned(),
            String::new(),
        ]);
    }
    table
}
