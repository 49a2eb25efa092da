//! The record of a job, written into a folder: the same for the command line and the window.

use std::path::{Path, PathBuf};

use blockwright_core::proof::{Proof, Source};
use blockwright_core::prover::ProveError;
use blockwright_core::record::{self as core_record, FileKind, Record, RecordFile};
use blockwright_core::task::Task;
use blockwright_core::view::{Camera, Theme};

use super::{Picture, picture};
use crate::files::{self, Blocked, Existing, Product, Reads};
use crate::trouble::Trouble;

/// Part of the work that the record itself takes; the rest are the pictures.
const WITHOUT_PICTURES: f64 = 0.4;

/// Where a record goes, and what must stay as it is.
#[derive(Debug, Clone)]
pub struct Folder {
    /// The folder; made when it is not there.
    pub path: PathBuf,
    /// All that the job reads: never written over.
    pub reads: Reads,
    /// What becomes of an older record there.
    pub existing: Existing,
}

/// What goes into a record besides what every one has.
#[derive(Debug, Clone, Copy)]
pub struct Contents<'a> {
    /// The date, as it is shown.
    pub date: &'a str,
    /// Stations at which walls are asked for, besides the worst ones.
    pub walls: &'a [f64],
    /// Whether the body of the block is wanted after every pass.
    pub every_body: bool,
    /// Whether pictures are wanted; they take most of the time.
    pub pictures: bool,
}

/// A file that stands in the way, and how.
pub type InTheWay = (PathBuf, Blocked);

/// A file that is ready to be written.
struct Ready {
    name: String,
    product: Product,
    bytes: Vec<u8>,
}

impl From<RecordFile> for Ready {
    fn from(file: RecordFile) -> Self {
        Self { name: file.name, product: product(file.kind), bytes: file.bytes }
    }
}

const fn product(kind: FileKind) -> Product {
    match kind {
        FileKind::Page => Product::Page,
        FileKind::List | FileKind::Drawing => Product::Drawing,
        FileKind::Result => Product::Result,
        FileKind::Document => Product::Pdf,
        FileKind::Body => Product::Solid,
    }
}

impl Folder {
    /// Whether the files that every record has may be written, before anything is worked out.
    ///
    /// # Errors
    /// The first that may not.
    pub fn look(&self) -> Result<(), InTheWay> {
        core_record::ALWAYS.iter().try_for_each(|(name, kind)| self.may(name, product(*kind)))
    }

    /// Works the record out and writes it; gives its files in the order in which a person would look at them. Nothing is
    /// written before all files are known to be free, so that a refusal leaves nothing half done.
    ///
    /// # Errors
    /// What stands in the way, or why the record could not be made.
    pub fn write(
        &self,
        (proof, source): (&Proof, &Source),
        contents: &Contents<'_>,
        task: Task<'_>,
    ) -> Result<Vec<PathBuf>, InTheWay> {
        let whole = |trouble: Trouble| (self.path.clone(), Blocked::Trouble(trouble));
        let files = made((proof, source), contents, task).map_err(whole)?;
        for file in &files {
            self.may(&file.name, file.product)?;
        }
        files::make_folder(&self.path).map_err(whole)?;
        let mut written = Vec::new();
        for file in &files {
            let path = self.path.join(&file.name);
            files::save(&path, &file.bytes, &self.reads, file.product, self.existing)
                .map_err(|blocked| (path.clone(), blocked))?;
            written.push(path);
        }
        Ok(written)
    }

    fn may(&self, name: &str, product: Product) -> Result<(), InTheWay> {
        let path = self.path.join(name);
        files::may_write(&path, &self.reads, product, self.existing).map_err(|blocked| (path, blocked))
    }
}

/// The folder of a record that is named after its job, beside the job.
pub fn suggested(beside: &Path, job: Option<&str>) -> PathBuf {
    beside.join(files::slug(&format!("{} record", job.unwrap_or("job"))))
}

fn made(
    (proof, source): (&Proof, &Source),
    contents: &Contents<'_>,
    task: Task<'_>,
) -> Result<Vec<Ready>, Trouble> {
    let record =
        Record { proof, source, date: contents.date, walls: contents.walls, every_body: contents.every_body };
    task.tell("Making the record", 0.0);
    let mut files: Vec<Ready> = record.files(task).map_err(not_made)?.into_iter().map(Ready::from).collect();
    if contents.pictures {
        files.extend(pictures(proof, contents.date, task)?);
    }
    Ok(files)
}

fn not_made(error: ProveError) -> Trouble {
    match error {
        ProveError::Cancelled => stopped(),
        ProveError::Unusable(what) => Trouble::at("record", what, "look at the findings of the check first"),
    }
}

fn stopped() -> Trouble {
    Trouble::own("the record was stopped before it was done")
}

/// The plan and the graph of every pass, and the block in 3D when all are done.
fn pictures(proof: &Proof, date: &str, task: Task<'_>) -> Result<Vec<Ready>, Trouble> {
    let theme = Theme::light();
    let mut made = Vec::new();
    let passes = proof.passes.len();
    let mut add = |name: String, pass: usize, shown: Picture| {
        task.cancel.check().map_err(|_| stopped())?;
        let done = made.len() as f64 / (2 * passes + 1) as f64;
        task.tell("Drawing the pictures of the record", WITHOUT_PICTURES + (1.0 - WITHOUT_PICTURES) * done);
        let bytes = picture(proof, pass, shown, date, &theme)?;
        made.push(Ready { name, product: Product::Picture, bytes });
        Ok::<_, Trouble>(())
    };
    for pass in 0..passes {
        add(format!("record-pass-{}-plan.png", pass + 1), pass, Picture::Plan(None))?;
        add(format!("record-pass-{}-graph.png", pass + 1), pass, Picture::Strip)?;
    }
    if let Some(last) = passes.checked_sub(1).filter(|_| proof.start.is_some()) {
        add("record-block.png".to_owned(), last, Picture::Block(None, Camera::default()))?;
    }
    Ok(made)
}
