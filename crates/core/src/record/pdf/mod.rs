//! The record as a PDF document, without a browser: the same content, laid out on sheets here.
//!
//! A sheet is drawing lists like every other picture; `write` turns them into a page.

mod layout;
mod table;
mod wrap;
mod write;

use super::content::{Content, Figure, Part, Section, WIDTH};
use crate::units::Units;
use crate::view::Weight;
use layout::{Sheet, Sheets};

/// Why no document could be made.
pub(super) type Fault = String;

/// Size of the paper in points: Letter where lengths are in inches, else A4.
const fn paper(units: Units) -> [f32; 2] {
    match units {
        Units::Inch => [612.0, 792.0],
        Units::Mm => [595.28, 841.89],
    }
}

/// The whole document.
pub(super) fn document(content: &Content, units: Units) -> Result<Vec<u8>, Fault> {
    let sheets = sheets(content, units);
    write::document(&sheets, &content.name)
}

/// Every sheet, with its head and foot.
fn sheets(content: &Content, units: Units) -> Vec<Sheet> {
    let mut sheets = Sheets::new(paper(units));
    sheets.heading(&content.name, 15.0, 0.0);
    let mut alone = false;
    for section in &content.sections {
        if alone || section.own_sheet {
            sheets.new_sheet();
        }
        lay(&mut sheets, section);
        alone = section.own_sheet;
    }
    sheets.finish(content)
}

fn lay(sheets: &mut Sheets, section: &Section) {
    sheets.gap(7.0);
    sheets.heading(&section.title, 12.0, ahead(sheets, &section.parts));
    for (index, part) in section.parts.iter().enumerate() {
        match part {
            Part::Heading(words) => {
                sheets.gap(4.0);
                sheets.heading(words, 9.5, ahead(sheets, &section.parts[index + 1..]));
            }
            Part::Words(words) => sheets.words(words, Weight::Plain),
            Part::Instruction(words) => sheets.instruction(words),
            Part::Facts(facts) => sheets.facts(facts),
            Part::Table(rows) => table::lay(sheets, rows),
            Part::Figures(figures) => lay_figures(sheets, figures),
            Part::Checks(checks) => checks.iter().for_each(|words| sheets.check(words)),
            Part::Lines(lines) => lines.iter().for_each(|words| sheets.line_to_write_on(words)),
        }
    }
}

/// Height of what belongs to a heading: all up to its figures, or to the rows that a table begins with.
fn ahead(sheets: &Sheets, parts: &[Part]) -> f32 {
    let mut high = 0.0;
    for part in parts {
        match part {
            Part::Facts(facts) => high += Sheets::height_of_facts(facts),
            Part::Figures(figures) => return high + Sheets::height_of_figures(figures),
            Part::Words(_) | Part::Instruction(_) | Part::Heading(_) => high += 24.0,
            Part::Table(rows) => return high + table::begins(sheets, rows),
            Part::Checks(_) | Part::Lines(_) => return high,
        }
    }
    high
}

/// Figures beside each other as long as they fit.
fn lay_figures(sheets: &mut Sheets, figures: &[Figure]) {
    /// Between figures beside each other.
    const BETWEEN: f32 = 9.0;
    let wide = |figure: &Figure| figure.drawing.width * figure.scale;
    let mut rest = figures;
    while !rest.is_empty() {
        let (mut count, mut used) = (0, 0.0);
        for figure in rest {
            let next = used + wide(figure) + if count > 0 { BETWEEN } else { 0.0 };
            if count > 0 && next > WIDTH + 0.5 {
                break;
            }
            (count, used) = (count + 1, next);
        }
        let (row, more) = rest.split_at(count);
        sheets.figures(row, BETWEEN);
        rest = more;
    }
}
