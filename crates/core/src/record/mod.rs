//! The record of a job for its folder, as bytes: so that the next block comes out the same, and another pair of hands
//! can run it.
//!
//! Stands above `proof` and `view` and measures nothing itself: every number is one of the check's own. `content` says
//! what the record holds, `html` and `pdf` lay the same content out. The date comes from the caller, and the same job
//! gives the same bytes.

mod body;
mod content;
mod csv;
mod dxf;
mod html;
mod inside;
mod pdf;
mod scale;
mod stations;
mod walk;

use crate::proof::{self, Proof, Source};
use crate::prover::ProveError;
use crate::task::{Cancelled, Task};

pub use body::stl;
pub use inside::{InsideStop, inside_stops};
pub use stations::shown as wall_stations;
pub use walk::{Mark, WalkStop, line_gone_with, walk};

/// A checked job, and what else its record needs.
#[derive(Debug, Clone, Copy)]
pub struct Record<'a> {
    /// The checked job.
    pub proof: &'a Proof,
    /// What it was checked from: the texts of its programs.
    pub source: &'a Source,
    /// The date, as it is shown.
    pub date: &'a str,
    /// Stations at which walls are asked for, besides the worst ones.
    pub walls: &'a [f64],
    /// Whether the body of the block is wanted after every pass, and not only after the last.
    pub every_body: bool,
}

/// One file of the record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordFile {
    /// Its name in the folder.
    pub name: String,
    /// What it is.
    pub kind: FileKind,
    /// What is in it.
    pub bytes: Vec<u8>,
}

/// What a file of the record is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileKind {
    /// A page for a browser, HTML.
    Page,
    /// A list of values, CSV.
    List,
    /// The result of the check, JSON.
    Result,
    /// A drawing at true scale, SVG or DXF.
    Drawing,
    /// The page as a document, PDF.
    Document,
    /// The block as a closed body of triangles, STL.
    Body,
}

impl RecordFile {
    fn new(name: impl Into<String>, kind: FileKind, bytes: impl Into<Vec<u8>>) -> Self {
        Self { name: name.into(), kind, bytes: bytes.into() }
    }
}

/// Files that every record has, to be asked for before anything is worked out.
pub const ALWAYS: [(&str, FileKind); 5] = [
    ("record.html", FileKind::Page),
    ("record.pdf", FileKind::Document),
    ("record-walk.csv", FileKind::List),
    ("record-stations.csv", FileKind::List),
    ("record-checked.json", FileKind::Result),
];

impl Record<'_> {
    /// All files of the record, in the order in which a person would look at them.
    ///
    /// # Errors
    /// [`ProveError::Cancelled`] when the task was asked to stop; [`ProveError::Unusable`] when a file could not be made.
    pub fn files(&self, task: Task<'_>) -> Result<Vec<RecordFile>, ProveError> {
        let content = content::content(self).map_err(|Cancelled| ProveError::Cancelled)?;
        let document = pdf::document(&content, self.proof.job.units).map_err(ProveError::Unusable)?;
        let mut files = vec![
            RecordFile::new("record.html", FileKind::Page, html::page(&content)),
            RecordFile::new("record.pdf", FileKind::Document, document),
            RecordFile::new("record-walk.csv", FileKind::List, walk::list(self.proof)),
            RecordFile::new("record-stations.csv", FileKind::List, stations(self.proof)),
            RecordFile::new("record-checked.json", FileKind::Result, proof::json(self.proof)),
        ];
        let plan = scale::plan(self.proof).into_iter();
        files.extend(plan.map(|text| RecordFile::new("record-plan.svg", FileKind::Drawing, text)));
        files.extend(self.wall_drawings());
        let drawing = dxf::drawing(self.proof, &self.wall_stations()).into_iter();
        files.extend(drawing.map(|text| RecordFile::new("record.dxf", FileKind::Drawing, text)));
        self.bodies(&mut files, task)?;
        Ok(files)
    }

    /// The stations at which a wall is shown, in the order of their letters.
    pub fn wall_stations(&self) -> Vec<f64> {
        stations::shown(self.proof, self.walls)
    }

    fn bodies(&self, files: &mut Vec<RecordFile>, task: Task<'_>) -> Result<(), ProveError> {
        let Some(last) = self.proof.passes.len().checked_sub(1) else { return Ok(()) };
        for pass in if self.every_body { 0 } else { last }..=last {
            if let Some(bytes) = body::of(self.proof, pass, task)? {
                let name = format!("record-block-{}.stl", pass + 1);
                files.push(RecordFile::new(name, FileKind::Body, bytes));
            }
        }
        Ok(())
    }

    fn wall_drawings(&self) -> Vec<RecordFile> {
        let Some(wall) = self.proof.wall() else { return Vec::new() };
        let of = |(index, station): (usize, f64)| {
            let text = scale::wall(self.proof, &wall.section(station))?;
            let letter = char::from(b'a' + (index % 26) as u8);
            Some(RecordFile::new(format!("record-wall-{letter}.svg"), FileKind::Drawing, text))
        };
        self.wall_stations().into_iter().enumerate().filter_map(of).collect()
    }
}

/// All passes along the outline, station by station, as CSV text.
pub fn stations(proof: &Proof) -> String {
    csv::stations(proof)
}
