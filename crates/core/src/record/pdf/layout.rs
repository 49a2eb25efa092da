//! Sheets that are filled from the top down.

use super::super::content::{Content, Figure, WIDTH};
use super::wrap::wrapped;
use crate::proof::CAUTION;
use crate::view::drawing::corners;
use crate::view::{Anchor, Dash, Drawing, Ink, Item, Weight, text_width};

pub(super) const BLACK: Ink = [0, 0, 0, 255];
pub(super) const GREY: Ink = [0x55, 0x55, 0x55, 255];

/// Least margin of the paper, points: 12 mm.
const MARGIN: f32 = 34.0;
/// Height of the head, and of the foot with the cautions.
const HEAD: f32 = 22.0;
const FOOT: f32 = 34.0;
/// Where a sheet begins below its head.
const TOP: f32 = MARGIN + HEAD;
/// Sizes of type, and the height of a line as a part of it.
const TEXT: f32 = 8.4;
const SMALL: f32 = 6.2;
const CAPTION: f32 = 7.2;
const LEADING: f32 = 1.3;
/// A heading is not the last thing on a sheet: so much must follow it.
const FOLLOWS: f32 = 70.0;
/// Gaps below a row of facts, below all of them, and below figures with their captions.
const BETWEEN_FACTS: f32 = 1.0;
const AFTER_FACTS: f32 = 4.0;
const AFTER_FIGURES: f32 = 7.0;
/// Most lines of one text.
const MOST_LINES: usize = 40;

/// One sheet: what is set on it, and figures that are cut off at their own sides.
#[derive(Debug)]
pub(super) struct Sheet {
    pub(super) set: Drawing,
    pub(super) figures: Vec<Shown>,
}

/// A figure on a sheet.
#[derive(Debug)]
pub(super) struct Shown {
    pub(super) drawing: Drawing,
    /// Its upper left corner.
    pub(super) at: [f32; 2],
    /// Points for one of its view points.
    pub(super) scale: f32,
}

/// Sheets in the making.
#[derive(Debug)]
pub(super) struct Sheets {
    paper: [f32; 2],
    done: Vec<Sheet>,
    now: Drawing,
    figures: Vec<Shown>,
    y: f32,
}

impl Sheets {
    pub(super) fn new(paper: [f32; 2]) -> Self {
        let now = Drawing::new(paper[0], paper[1]);
        Self { paper, done: Vec::new(), now, figures: Vec::new(), y: TOP }
    }

    /// Left end of what is written on.
    pub(super) fn left(&self) -> f32 {
        (self.paper[0] - WIDTH) / 2.0
    }

    fn bottom(&self) -> f32 {
        self.paper[1] - MARGIN - FOOT
    }

    /// The sheet that is being filled.
    pub(super) const fn sheet(&mut self) -> &mut Drawing {
        &mut self.now
    }

    /// How far down it is filled.
    pub(super) const fn y(&self) -> f32 {
        self.y
    }

    /// Height of an empty sheet.
    pub(super) fn height(&self) -> f32 {
        self.bottom() - TOP
    }

    pub(super) fn new_sheet(&mut self) {
        if !self.now.items.is_empty() || !self.figures.is_empty() {
            let next = Drawing::new(self.paper[0], self.paper[1]);
            let set = std::mem::replace(&mut self.now, next);
            self.done.push(Sheet { set, figures: std::mem::take(&mut self.figures) });
        }
        self.y = TOP;
    }

    /// Whether so much still goes on this sheet.
    pub(super) fn has_room(&self, height: f32) -> bool {
        self.y + height <= self.bottom()
    }

    /// Makes room for so much, on the next sheet if it must be.
    pub(super) fn make_room(&mut self, height: f32) {
        if !self.has_room(height) {
            self.new_sheet();
        }
    }

    /// Goes down by so much.
    pub(super) fn advance(&mut self, height: f32) {
        self.y += height;
    }

    /// A gap, but not at the top of a sheet.
    pub(super) fn gap(&mut self, height: f32) {
        if self.y > TOP {
            self.y += height;
        }
    }

    /// A heading, on one sheet with so much of what follows it.
    pub(super) fn heading(&mut self, words: &str, size: f32, follows: f32) {
        let lines = wrapped(words, size, Weight::Bold, WIDTH, 4);
        let high = size * LEADING;
        self.make_room(lines.len() as f32 * high + follows.max(FOLLOWS));
        for line in lines {
            let at = [self.left(), self.y + high / 2.0];
            self.now.bold(at, Anchor::Left, size, BLACK, line);
            self.y += high;
        }
        if size > TEXT * 1.3 {
            let (left, y) = (self.left(), self.y + 1.0);
            self.now.line([left, y], [left + WIDTH, y], GREY, 0.5, Dash::Solid);
        }
        self.y += 4.0;
    }

    /// Lines of text at a place, each under the one before; returns how high they are.
    fn lines(&mut self, lines: &[String], at: [f32; 2], size: f32, weight: Weight, ink: Ink) -> f32 {
        let high = size * LEADING;
        for (index, line) in lines.iter().enumerate() {
            let at = [at[0], at[1] + high * (index as f32 + 0.5)];
            let text = line.clone();
            self.now.items.push(Item::Text { at, anchor: Anchor::Left, size, weight, ink, text });
        }
        lines.len() as f32 * high
    }

    pub(super) fn words(&mut self, words: &str, weight: Weight) {
        let lines = wrapped(words, TEXT, weight, WIDTH, MOST_LINES);
        self.make_room(lines.len() as f32 * TEXT * LEADING);
        let at = [self.left(), self.y];
        self.y += self.lines(&lines, at, TEXT, weight, BLACK) + 4.0;
    }

    /// Words in a frame.
    pub(super) fn instruction(&mut self, words: &str) {
        const ROOM: f32 = 6.0;
        let lines = wrapped(words, TEXT, Weight::Bold, WIDTH - 2.0 * ROOM, MOST_LINES);
        let high = lines.len() as f32 * TEXT * LEADING + ROOM;
        self.make_room(high + 6.0);
        let (left, top) = (self.left(), self.y);
        self.now.ring(corners([left, top, left + WIDTH, top + high]), BLACK, 1.4);
        self.lines(&lines, [left + ROOM, top + ROOM / 2.0], TEXT, Weight::Bold, BLACK);
        self.y += high + 5.0;
    }

    /// Facts in two columns, or in one where any is long.
    pub(super) fn facts(&mut self, facts: &[(String, String)]) {
        let FactRows { rows, room, name } = FactRows::of(facts);
        for row in rows {
            let high = row.height();
            self.make_room(high);
            for (column, (what, lines)) in row.0.iter().enumerate() {
                let at = [self.left() + room * column as f32, self.y];
                self.lines(std::slice::from_ref(what), at, TEXT, Weight::Plain, GREY);
                self.lines(lines, [at[0] + name, at[1]], TEXT, Weight::Bold, BLACK);
            }
            self.y += high + BETWEEN_FACTS;
        }
        self.y += AFTER_FACTS;
    }

    /// How high facts are.
    pub(super) fn height_of_facts(facts: &[(String, String)]) -> f32 {
        let rows = FactRows::of(facts).rows;
        rows.iter().map(|row| row.height() + BETWEEN_FACTS).sum::<f32>() + AFTER_FACTS
    }

    /// How high a row of figures is with its captions.
    pub(super) fn height_of_figures(figures: &[Figure]) -> f32 {
        let captions = captions(figures);
        let under = captions.iter().map(Vec::len).max().unwrap_or(0) as f32 * CAPTION * LEADING;
        figures.iter().map(|figure| size(figure)[1]).fold(0.0, f32::max) + under + AFTER_FIGURES
    }

    /// A row of figures with their captions.
    pub(super) fn figures(&mut self, figures: &[Figure], between: f32) {
        let high = Self::height_of_figures(figures);
        self.make_room(high);
        let mut x = self.left();
        for (figure, caption) in figures.iter().zip(&captions(figures)) {
            let [wide, tall] = size(figure);
            let (drawing, at) = (figure.drawing.clone(), [x, self.y]);
            self.figures.push(Shown { drawing, at, scale: figure.scale });
            self.lines(caption, [x, self.y + tall + 2.0], CAPTION, Weight::Plain, BLACK);
            x += wide + between;
        }
        self.y += high;
    }

    /// A line with a box before it.
    pub(super) fn check(&mut self, words: &str) {
        const BOX: f32 = 9.0;
        let lines = wrapped(words, TEXT, Weight::Plain, WIDTH - 2.0 * BOX, MOST_LINES);
        let high = (lines.len() as f32 * TEXT * LEADING).max(BOX);
        self.make_room(high);
        let (left, top) = (self.left(), self.y + 0.8);
        self.now.ring(corners([left + 1.0, top, left + 1.0 + BOX, top + BOX]), BLACK, 1.0);
        let at = [left + 2.0 * BOX, self.y];
        self.lines(&lines, at, TEXT, Weight::Plain, BLACK);
        self.y += high + 4.0;
    }

    /// Words with a line after them to write on.
    pub(super) fn line_to_write_on(&mut self, words: &str) {
        const HIGH: f32 = 27.0;
        self.make_room(HIGH);
        let (left, low) = (self.left(), self.y + HIGH);
        let from = left + text_width(words, TEXT, Weight::Plain) + if words.is_empty() { 0.0 } else { 8.0 };
        self.lines(&[words.to_owned()], [left, low - TEXT * LEADING], TEXT, Weight::Plain, BLACK);
        self.now.line([from, low], [left + WIDTH, low], BLACK, 0.8, Dash::Solid);
        self.y += HIGH;
    }

    /// All sheets, each with head and foot.
    pub(super) fn finish(mut self, content: &Content) -> Vec<Sheet> {
        self.new_sheet();
        let mut sheets = std::mem::take(&mut self.done);
        let count = sheets.len();
        for (index, sheet) in sheets.iter_mut().enumerate() {
            self.now = std::mem::replace(&mut sheet.set, Drawing::new(0.0, 0.0));
            self.head_and_foot(content, index + 1, count);
            sheet.set = std::mem::replace(&mut self.now, Drawing::new(0.0, 0.0));
        }
        sheets
    }

    fn head_and_foot(&mut self, content: &Content, number: usize, count: usize) {
        let (left, right) = (self.left(), self.left() + WIDTH);
        let words = format!("{} · {} · {number} of {count}", content.verdict, content.about);
        let words = wrapped(&words, CAPTION, Weight::Plain, WIDTH * 0.7, 1).concat();
        let y = MARGIN + 6.0;
        self.now.text([right, y], Anchor::Right, CAPTION, BLACK, words.clone());
        let room = WIDTH - text_width(&words, CAPTION, Weight::Plain) - 12.0;
        let name = wrapped(&content.name, CAPTION, Weight::Bold, room.max(60.0), 1).concat();
        self.now.bold([left, y], Anchor::Left, CAPTION, BLACK, name);
        self.now.line([left, y + 8.0], [right, y + 8.0], BLACK, 0.8, Dash::Solid);
        let top = self.bottom() + 6.0;
        self.now.line([left, top], [right, top], BLACK, 0.5, Dash::Solid);
        let lines = wrapped(CAUTION, SMALL, Weight::Plain, WIDTH, 4);
        self.lines(&lines, [left, top + 2.0], SMALL, Weight::Plain, BLACK);
    }
}

/// Facts as they are laid out.
struct FactRows {
    rows: Vec<FactRow>,
    /// Width of a column, and of the names in it.
    room: f32,
    name: f32,
}

/// Facts beside each other: the name of each, and the lines of what it is.
struct FactRow(Vec<(String, Vec<String>)>);

impl FactRows {
    fn of(facts: &[(String, String)]) -> Self {
        let wide = facts.iter().any(|(_, is)| is.chars().count() > 60);
        let columns = if wide { 1 } else { 2 };
        let room = WIDTH / columns as f32;
        let names = facts.iter().map(|(what, _)| text_width(what, TEXT, Weight::Plain));
        let name = names.fold(0.0, f32::max).min(room / 2.0) + 8.0;
        let lines = |is: &str| wrapped(is, TEXT, Weight::Bold, room - name - 6.0, MOST_LINES);
        let row = |row: &[(String, String)]| {
            FactRow(row.iter().map(|(what, is)| (what.clone(), lines(is))).collect())
        };
        Self { rows: facts.chunks(columns).map(row).collect(), room, name }
    }
}

impl FactRow {
    fn height(&self) -> f32 {
        self.0.iter().map(|(_, lines)| lines.len()).max().unwrap_or(0) as f32 * TEXT * LEADING
    }
}

/// Width and height of a figure on paper.
fn size(figure: &Figure) -> [f32; 2] {
    [figure.drawing.width * figure.scale, figure.drawing.height * figure.scale]
}

/// The captions of figures, each in lines under its own.
fn captions(figures: &[Figure]) -> Vec<Vec<String>> {
    let lines = |figure: &Figure| wrapped(&figure.caption, CAPTION, Weight::Plain, size(figure)[0], 8);
    figures.iter().map(lines).collect()
}
