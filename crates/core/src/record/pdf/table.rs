//! Rows and columns on sheets; the head stands again on every sheet that a table goes on to.

use super::super::content::{Set, Table, WIDTH};
use super::layout::{BLACK, Sheets};
use super::wrap::wrapped;
use crate::view::drawing::corners;
use crate::view::{Anchor, Ink, Item, Weight};

const SIZE: f32 = 6.9;
const LINE: f32 = SIZE * 1.25;
/// Room on either side of a cell's text, and above and below it.
const ROOM: [f32; 2] = [2.6, 2.0];
/// Least height of a row that is written in.
const WRITE: f32 = 18.0;
const SHADE: Ink = [0xee, 0xee, 0xee, 255];
const LINES: Ink = [0x80, 0x80, 0x80, 255];

/// A table of no more rows stands on one sheet.
const SHORT: usize = 14;

/// A cell's lines.
type Cell = Vec<String>;

/// A table with its texts in lines.
struct Lines {
    widths: Vec<f32>,
    head: Vec<Cell>,
    head_high: f32,
    rows: Vec<(Vec<Cell>, f32)>,
}

impl Lines {
    fn of(sheets: &Sheets, table: &Table) -> Self {
        let all: f32 = table.columns.iter().map(|column| column.part).sum();
        let widths: Vec<f32> = table.columns.iter().map(|column| column.part / all * WIDTH).collect();
        let most = ((sheets.height() * 0.8) / LINE) as usize;
        let cells = |texts: &[&str]| -> Vec<Cell> {
            let wrap = |(text, width): (&&str, &f32)| {
                wrapped(text, SIZE, Weight::Plain, width - 2.0 * ROOM[0], most)
            };
            texts.iter().zip(&widths).map(wrap).collect()
        };
        let heads: Vec<&str> = table.columns.iter().map(|column| column.head).collect();
        let head = cells(&heads);
        let written_in = table.columns.iter().any(|column| column.set == Set::Box);
        let row = |row: &Vec<String>| {
            let texts: Vec<&str> = row.iter().map(String::as_str).collect();
            let row = cells(&texts);
            let high = height(&row).max(if written_in { WRITE } else { 0.0 });
            (row, high)
        };
        let rows = table.rows.iter().map(row).collect();
        Self { head_high: height(&head), head, widths, rows }
    }

    /// Height of what stands on one sheet with a row: a short table whole, else two rows at either end of it, so that
    /// none is alone; never more than a sheet holds.
    fn together(&self, index: usize, sheets: &Sheets) -> f32 {
        let count = self.rows.len();
        let end = match index {
            0 if count <= SHORT => count,
            0 => 2,
            _ if index + 2 == count => count,
            _ => index + 1,
        };
        let high = |rows: &[(Vec<Cell>, f32)]| rows.iter().map(|(_, high)| high).sum::<f32>();
        let all = high(self.rows.get(index..end).unwrap_or_default());
        let own = high(self.rows.get(index..=index).unwrap_or_default());
        if all <= sheets.height() - self.head_high { all } else { own }
    }
}

/// Height of the head and the rows that a table begins with.
pub(super) fn begins(sheets: &Sheets, table: &Table) -> f32 {
    let lines = Lines::of(sheets, table);
    lines.head_high + lines.together(0, sheets)
}

pub(super) fn lay(sheets: &mut Sheets, table: &Table) {
    let lines = Lines::of(sheets, table);
    let mut headed = false;
    for (index, (row, high)) in lines.rows.iter().enumerate() {
        let needs = lines.together(index, sheets) + if headed { 0.0 } else { lines.head_high };
        if !sheets.has_room(needs) {
            sheets.new_sheet();
            headed = false;
        }
        if !headed {
            write_row(sheets, table, &lines.widths, &lines.head, lines.head_high, true);
            headed = true;
        }
        write_row(sheets, table, &lines.widths, row, *high, false);
    }
    sheets.advance(6.0);
}

fn height(cells: &[Cell]) -> f32 {
    cells.iter().map(Vec::len).max().unwrap_or(1) as f32 * LINE + 2.0 * ROOM[1]
}

fn write_row(sheets: &mut Sheets, table: &Table, widths: &[f32], cells: &[Cell], high: f32, head: bool) {
    let (mut x, y) = (sheets.left(), sheets.y());
    for ((column, wide), lines) in table.columns.iter().zip(widths).zip(cells) {
        let rect = [x, y, x + wide, y + high];
        let sheet = sheets.sheet();
        if head {
            sheet.panel(rect, SHADE);
        }
        sheet.ring(corners(rect), LINES, 0.5);
        if column.set == Set::Box && !head {
            sheet.ring(corners([rect[0] + 1.0, rect[1] + 1.0, rect[2] - 1.0, rect[3] - 1.0]), BLACK, 1.0);
        }
        let (at, anchor) = match column.set {
            Set::Number => (x + wide - ROOM[0], Anchor::Right),
            Set::Words | Set::Box => (x + ROOM[0], Anchor::Left),
        };
        for (index, line) in lines.iter().enumerate().filter(|(_, line)| !line.is_empty()) {
            let at = [at, y + ROOM[1] + LINE * (index as f32 + 0.5)];
            let text = line.clone();
            sheet.items.push(Item::Text { at, anchor, size: SIZE, weight: Weight::Plain, ink: BLACK, text });
        }
        x += wide;
    }
    sheets.advance(high);
}
