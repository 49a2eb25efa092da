//! What stands in the record, in order, before it is laid out: the page for a browser and the PDF show the same.

mod checks;
mod feeds;
mod findings;
mod measures;
mod metal;
mod passes;
mod plan;
mod say;
mod setup;
mod title;
mod tools;
mod undercut;
mod walk;
mod walls;
mod way;
mod words;

use super::Record;
use crate::task::Cancelled;
use crate::view::Drawing;

/// A whole record.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Content {
    /// What the job is called.
    pub(super) name: String,
    /// What the check comes to, in words.
    pub(super) verdict: String,
    /// Date, version and what else stands at the head of every page.
    pub(super) about: String,
    /// Its sections.
    pub(super) sections: Vec<Section>,
}

/// One section.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Section {
    /// Its heading.
    pub(super) title: String,
    /// What stands under it.
    pub(super) parts: Vec<Part>,
    /// Whether it begins a sheet of its own, to be handed to somebody.
    pub(super) own_sheet: bool,
}

/// What a section is made of.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Part {
    /// A heading within the section.
    Heading(String),
    /// A paragraph.
    Words(String),
    /// What is to be done, so that nobody reads past it.
    Instruction(String),
    /// Short facts, each with its name.
    Facts(Vec<(String, String)>),
    /// Rows and columns.
    Table(Table),
    /// Drawings, beside each other where there is room.
    Figures(Vec<Figure>),
    /// What is ticked, with a box before each.
    Checks(Vec<String>),
    /// Lines to write on, each with what belongs there.
    Lines(Vec<String>),
}

/// Rows and columns.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Table {
    /// Its columns.
    pub(super) columns: Vec<Column>,
    /// The cells, as many in each row as there are columns.
    pub(super) rows: Vec<Vec<String>>,
}

/// One column.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Column {
    /// What stands over it.
    pub(super) head: &'static str,
    /// How its cells are set.
    pub(super) set: Set,
    /// Its part of the table's width.
    pub(super) part: f32,
}

/// How the cells of a column are set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Set {
    /// Words, from the left.
    Words,
    /// Numbers, to the right.
    Number,
    /// With a box round it, left free to be written in where nothing is known yet.
    Box,
}

/// A drawing with what it shows.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Figure {
    /// The drawing.
    pub(super) drawing: Drawing,
    /// Points of paper for one of its view points.
    pub(super) scale: f32,
    /// What it shows.
    pub(super) caption: String,
}

impl Table {
    const fn new(columns: Vec<Column>) -> Self {
        Self { columns, rows: Vec::new() }
    }
}

const fn words(head: &'static str, part: f32) -> Column {
    Column { head, set: Set::Words, part }
}

const fn number(head: &'static str, part: f32) -> Column {
    Column { head, set: Set::Number, part }
}

const fn write_in(head: &'static str, part: f32) -> Column {
    Column { head, set: Set::Box, part }
}

impl Section {
    fn new(title: impl Into<String>, parts: Vec<Part>) -> Self {
        Self { title: title.into(), parts, own_sheet: false }
    }

    fn on_own_sheet(mut self) -> Self {
        self.own_sheet = true;
        self
    }
}

/// Width of what is printed on: that of A4 less 12 mm on either side. Letter is wider.
pub(super) const WIDTH: f32 = 527.0;

/// What the record of a job says.
///
/// # Errors
/// [`Cancelled`] when the task was asked to stop.
pub(super) fn content(record: &Record<'_>) -> Result<Content, Cancelled> {
    let sections = [
        Some(title::section(record)),
        Some(setup::section(record)),
        Some(plan::section(record)),
        findings::section(record),
        Some(passes::section(record)),
        walls::section(record),
        undercut::section(record)?,
        Some(tools::section(record)),
        feeds::section(record),
        measures::section(record),
        metal::section(record),
        walk::section(record),
        Some(checks::section(record)),
    ];
    let say = say::Say::of(record);
    Ok(Content {
        name: say.job_name(),
        verdict: crate::proof::verdict_words(record.proof),
        about: format!("{}, Blockwright {}", record.date, env!("CARGO_PKG_VERSION")),
        sections: sections.into_iter().flatten().collect(),
    })
}
