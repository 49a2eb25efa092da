//! The walk round of the air pass, pass by pass.

use super::say::Say;
use super::{Part, Section, Table, number, words, write_in};
use crate::measure::Contact;
use crate::record::{Mark, Record, WalkStop, inside_stops, line_gone_with, walk};

/// The lists of all passes that were measured along the outline; `None` without any.
pub(super) fn section(record: &Record<'_>) -> Option<Section> {
    let say = Say::of(record);
    let mut parts = Vec::new();
    for index in 0..record.proof.passes.len() {
        parts.extend(inside(record, index));
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
            " Pass {} cuts the scribed line away: after it, look at the side of the block instead.",
            pass + 1
        )
    });
    let intro = format!(
        "For the air pass, with the cutter above the block and a hand on feed hold: stop where the readout shows these values \
         and look straight down. The rim of the cutter, where it is widest, must stand so far outside the scribed line. Stock \
         outside the line is what was there before the pass. The thinnest place of every stretch that is short, without metal \
         or thin comes first, then all once around in the order of the path.{gone}"
    );
    parts.insert(0, Part::Words(intro));
    Some(Section::new("Walk around", parts).on_own_sheet())
}

/// The ends of what a pass cuts inside.
fn inside(record: &Record<'_>, index: usize) -> Vec<Part> {
    let (say, stops) = (Say::of(record), inside_stops(record.proof, index));
    if stops.is_empty() {
        return Vec::new();
    }
    let mut table = Table::new(vec![
        words("End, from above", 1.6),
        number("Readout X", 1.6),
        number("Y", 1.6),
        number("Rim inside by", 2.0),
        write_in("Seen", 1.6),
    ]);
    for stop in stops {
        table.rows.push(vec![
            stop.end.to_owned(),
            say.fine(stop.readout.x),
            say.fine(stop.readout.y),
            say.or_under(stop.inside, "over it"),
            String::new(),
        ]);
    }
    let gone = line_gone_with(record.proof).is_some_and(|gone| gone < index);
    let line = if gone { "the side of the block" } else { "the scribed line" };
    let words = format!(
        "It cuts into the top: stop at the ends of its path. The rim of the cutter, where it is widest, must stand so far inside \
         {line}, straight out to that side."
    );
    vec![Part::Heading(say.pass(index)), Part::Words(words), Part::Table(table)]
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

/// Why a stop is worth a longer look.
fn note(say: &Say<'_>, stop: &WalkStop) -> &'static str {
    let short = stop.stock < 0.0 && say.fine(stop.stock) != say.fine(-0.0);
    match stop.contact {
        Contact::None if short && stop.mark == Mark::Line => "short",
        Contact::None => "no metal",
        Contact::Light => "thin",
        _ if stop.leaves_more => "leaves more",
        _ if stop.heaviest => "heaviest",
        _ => "",
    }
}

fn table(say: &Say<'_>, mark: Mark, stops: &[WalkStop]) -> Table {
    let (between, over) = match mark {
        Mark::Line => ("Between cutter and line", "over the line"),
        Mark::Side { .. } => ("Between cutter and side", "over it"),
    };
    let mut table = Table::new(vec![
        words("", 1.0),
        number("Readout X", 1.3),
        number("Y", 1.3),
        number("Station", 1.2),
        number(between, 2.2),
        number("Stock outside the line", 2.2),
        number("Stock taken", 1.3),
        words("Contact", 1.3),
        write_in("Seen", 1.4),
    ]);
    for stop in stops {
        table.rows.push(vec![
            note(say, stop).to_owned(),
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
