//! What may be written over. Every command that writes and every save in the window asks here.
//!
//! Nothing that the job reads is ever a target of anything but its own save. Any other file that is there is replaced
//! only when a person was asked for it by name, or said `--replace` and it is of the same kind.

use std::path::{Path, PathBuf};

use blockwright_core::job::Job;
use blockwright_core::proof::Beside;

use super::kind::Kind;
use super::replace;
use crate::open::{Opened, Origin};
use crate::trouble::Trouble;

/// Whether a file that is already there may be overwritten.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Existing {
    /// It is left alone.
    Keep,
    /// It is replaced where it is of the same kind.
    Replace,
    /// A person was asked for it by name: it is replaced whatever it is, but never by an air pass unless it is one.
    Asked,
}

/// What is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Product {
    /// An air pass; it takes the place of an older air pass alone.
    AirPass,
    /// A program.
    Program,
    /// A job file.
    Job,
    /// A crib.
    Crib,
    /// A picture.
    Picture,
    /// A drawing or a list of values.
    Drawing,
    /// The result of a check.
    Result,
    /// A page for a browser.
    Page,
    /// A PDF document.
    Pdf,
    /// A body as triangles.
    Solid,
}

impl Product {
    /// Whether a file of this kind may give it its place without being asked for by name.
    const fn is_like(self, there: Kind) -> bool {
        matches!(
            (self, there),
            (_, Kind::Empty)
                | (Self::AirPass, Kind::AirPass)
                | (Self::Program, Kind::Program | Kind::AirPass)
                | (Self::Job, Kind::Job)
                | (Self::Crib, Kind::Crib)
                | (Self::Picture, Kind::Picture)
                | (Self::Drawing, Kind::Drawing)
                | (Self::Result, Kind::Result)
                | (Self::Page, Kind::Page)
                | (Self::Pdf, Kind::Pdf)
                | (Self::Solid, Kind::Solid)
        )
    }

    const fn words(self) -> &'static str {
        match self {
            Self::AirPass => "an air pass",
            Self::Program => "a program",
            Self::Job => "a job",
            Self::Crib => "a crib",
            Self::Picture => "a picture",
            Self::Drawing => "a drawing or list",
            Self::Result => "the result of a check",
            Self::Page => "a page for a browser",
            Self::Pdf => "a PDF document",
            Self::Solid => "a body as triangles",
        }
    }
}

/// Files that a job is read from: they are never written over by anything but their own save.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Reads(Vec<PathBuf>);

impl Reads {
    /// These files.
    pub fn files(files: impl IntoIterator<Item = PathBuf>) -> Self {
        Self(files.into_iter().collect())
    }

    /// All that a job in this file reads: itself, its programs and those they call, its drawings and its crib.
    pub fn of_job(file: &Path, job: &Job, beside: &Beside) -> Self {
        let folder = super::folder_of(file);
        let programs = job.passes.iter().map(|pass| pass.program.as_str());
        let called = beside.subprograms.iter().map(|called| called.file.as_str());
        let drawings = job.drawings().map(|(_, name)| name);
        let crib = job.crib.iter().map(|crib| crib.file.as_str());
        let names = programs.chain(called).chain(drawings).chain(crib).map(|name| folder.join(name));
        Self(std::iter::once(file.to_path_buf()).chain(names).collect())
    }

    /// All that what was opened was read from.
    pub fn of(opened: &Opened) -> Self {
        Self::of_source(&opened.origin, &opened.source.job, &opened.source.beside)
    }

    /// All that this job reads, from where it came.
    pub fn of_source(origin: &Origin, job: &Job, beside: &Beside) -> Self {
        match origin {
            Origin::Demo => Self::default(),
            Origin::Job(file) => Self::of_job(file, job, beside),
            Origin::Programs(files) => Self(files.clone()),
        }
    }

    /// These and other files.
    #[must_use]
    pub fn and(mut self, more: impl IntoIterator<Item = PathBuf>) -> Self {
        self.0.extend(more);
        self
    }

    /// These but for the file whose own save it is.
    #[must_use]
    pub fn but(mut self, own: &Path) -> Self {
        self.0.retain(|file| !super::same(file, own));
        self
    }

    /// All that a job in this file names, without the file itself.
    pub fn named_by(file: &Path, job: &Job, beside: &Beside) -> Self {
        let mut all = Self::of_job(file, job, beside);
        all.0.remove(0);
        all
    }

    /// The files.
    pub fn paths(&self) -> &[PathBuf] {
        &self.0
    }

    /// Whether a file is one of them.
    pub fn has(&self, target: &Path) -> bool {
        self.0.iter().any(|file| super::same(target, file))
    }
}

/// Why a file is not written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Blocked {
    /// The job that is open reads it, or it is what the product is made from.
    Source,
    /// It is there, and nobody said that it may be replaced.
    There(Kind),
    /// It is there and of another kind.
    OtherKind(Kind, Product),
    /// It is there and no air pass.
    NotAnAirPass,
    /// It could not be looked at, or not be written.
    Trouble(Trouble),
}

/// What to do about a name that is taken; it depends on where one is asked.
#[derive(Debug, Clone, Copy)]
pub struct Ways {
    /// How another name is given.
    pub other_name: &'static str,
    /// How it is said that a file may be replaced.
    pub replace: &'static str,
}

impl From<Trouble> for Blocked {
    fn from(trouble: Trouble) -> Self {
        Self::Trouble(trouble)
    }
}

impl Blocked {
    /// The message for a person.
    pub fn trouble(self, target: &Path, ways: &Ways) -> Trouble {
        let Ways { other_name, replace } = ways;
        let (what, remedy) = match self {
            Self::Source => (
                "is a file this is made from or that the job reads, and was not overwritten".to_owned(),
                (*other_name).to_owned(),
            ),
            Self::There(_) => {
                ("is already there and was not overwritten".to_owned(), format!("{other_name}, or {replace}"))
            }
            Self::OtherKind(there, product) => (
                format!("is {}, so it was not replaced by {}", there.words(), product.words()),
                format!("{other_name}, or move it away first"),
            ),
            Self::NotAnAirPass => (
                "is not an air pass, so it was not replaced by one".to_owned(),
                format!("{other_name}, or move it away first"),
            ),
            Self::Trouble(trouble) => return trouble,
        };
        Trouble::with_file(target, what, remedy)
    }
}

/// Looks before anything is made.
///
/// # Errors
/// What stands in the way.
pub fn may_write(target: &Path, reads: &Reads, product: Product, existing: Existing) -> Result<(), Blocked> {
    if reads.has(target) {
        return Err(Blocked::Source);
    }
    if !replace::is_there(target).map_err(Blocked::Trouble)? {
        return Ok(());
    }
    let there = Kind::of(target).map_err(Blocked::Trouble)?;
    match (existing, product) {
        (Existing::Keep, _) => Err(Blocked::There(there)),
        (_, Product::AirPass) if !product.is_like(there) => Err(Blocked::NotAnAirPass),
        (Existing::Replace, _) if !product.is_like(there) => Err(Blocked::OtherKind(there, product)),
        _ => Ok(()),
    }
}

/// Writes the product whole or not at all, after another look.
///
/// # Errors
/// What stands in the way.
pub fn save(
    target: &Path,
    bytes: &[u8],
    reads: &Reads,
    product: Product,
    existing: Existing,
) -> Result<(), Blocked> {
    may_write(target, reads, product, existing)?;
    replace::write(target, bytes, existing != Existing::Keep).map_err(Blocked::Trouble)
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;

    const PROGRAM: &[u8] = b"O7\nG20 G90\nG0 Z1.\nG1 Z-.5 F10.\nM30\n";

    /// Who may take whose place, by a name that was not asked for, with `--replace`, and asked for by name.
    #[test]
    fn like_takes_the_place_of_like() {
        use Product::{AirPass, Crib, Drawing, Job, Page, Pdf, Picture, Program, Result, Solid};
        let folder = tempfile::tempdir().expect("a folder");
        let at = |name: &str| folder.path().join(name);
        let job = b"{ \"schema\": \"blockwright-job/1\" }";
        let files: [(&str, &[u8]); 10] = [
            ("8.nc", PROGRAM),
            ("job.json", job),
            ("crib.json", b"{ \"schema\": \"blockwright-crib/1\" }"),
            ("a.png", b"\x89PNG\r\n\x1a\n"),
            ("a.dxf", b"0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n"),
            ("notes.txt", b"Call about the clamps.\n"),
            ("checked.json", b"{ \"schema\": \"blockwright-proof/1\" }"),
            ("a.html", b"<!doctype html>\n"),
            ("a.pdf", b"%PDF-1.7\n"),
            ("a.stl", b"Blockwright body, inch"),
        ];
        for (name, bytes) in files {
            fs::write(at(name), bytes).expect("written");
        }
        let like = [
            ("8.nc", Program),
            ("job.json", Job),
            ("crib.json", Crib),
            ("a.png", Picture),
            ("a.dxf", Drawing),
            ("checked.json", Result),
            ("a.html", Page),
            ("a.pdf", Pdf),
            ("a.stl", Solid),
        ];
        for (name, _) in files {
            for product in [AirPass, Program, Job, Crib, Picture, Drawing, Result, Page, Pdf, Solid] {
                let look = |existing| may_write(&at(name), &Reads::default(), product, existing).is_ok();
                let what = format!("{product:?} over {name}");
                assert!(!look(Existing::Keep), "{what}");
                assert_eq!(look(Existing::Replace), like.contains(&(name, product)), "{what}");
                assert_eq!(look(Existing::Asked), product != AirPass, "{what}");
                let read = Reads::files([at("./").join(name)]);
                let refused = may_write(&at(name), &read, product, Existing::Asked);
                assert_eq!(refused, Err(Blocked::Source), "{what}");
                let own = read.but(&at(name));
                assert_eq!(may_write(&at(name), &own, product, Existing::Asked).is_ok(), product != AirPass);
            }
        }
        assert_eq!(may_write(&at("new.nc"), &Reads::default(), Program, Existing::Keep), Ok(()));
        let gone = Reads::files([at("gone.nc")]);
        let refused = may_write(&at("./gone.nc"), &gone, Job, Existing::Asked);
        assert_eq!(refused, Err(Blocked::Source), "the job's own, though it is not there");
    }

    #[test]
    fn a_refusal_leaves_the_file_as_it_was() {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("8.nc");
        fs::write(&file, PROGRAM).expect("written");
        let write = |product, existing| save(&file, b"new", &Reads::default(), product, existing);
        assert_eq!(write(Product::Program, Existing::Keep), Err(Blocked::There(Kind::Program)));
        assert_eq!(write(Product::AirPass, Existing::Replace), Err(Blocked::NotAnAirPass));
        let other = Err(Blocked::OtherKind(Kind::Program, Product::Picture));
        assert_eq!(write(Product::Picture, Existing::Replace), other);
        assert_eq!(fs::read(&file).expect("read"), PROGRAM, "left as it was");
        write(Product::Program, Existing::Replace).expect("replaced");
        assert_eq!(fs::read(&file).expect("read"), b"new");
    }
}
