//! Programs written from programs: how they are read, and what must never be overwritten by them.
//!
//! The command line and the window both write through here.

use std::path::{Path, PathBuf};

use blockwright_core::job::Control;
use blockwright_core::program::Settings;
use blockwright_core::proof::Beside;
use blockwright_core::rewrite::air;
use blockwright_core::units::Units;

use crate::files::{self, Existing, PROGRAM_LIMIT};
use crate::trouble::Trouble;

/// What is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Product {
    /// An air pass; it takes the place of an older air pass alone.
    AirPass,
    /// A program made ready for a control.
    Ready,
    /// A job with another position of its blank taken over.
    Job,
}

/// Why a file is not written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Blocked {
    /// It is what the product is made from.
    Source,
    /// It is there, and nobody said that it may be replaced.
    There,
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

impl Blocked {
    /// The message for a person.
    pub fn trouble(self, target: &Path, ways: &Ways) -> Trouble {
        let Ways { other_name, replace } = ways;
        let (what, remedy) = match self {
            Self::Source => {
                ("is the file this is made from, and was not overwritten", (*other_name).to_owned())
            }
            Self::There => {
                ("is already there and was not overwritten", format!("{other_name}, or {replace}"))
            }
            Self::NotAnAirPass => (
                "is not an air pass, so it was not replaced by one",
                format!("{other_name}, or move it away first"),
            ),
            Self::Trouble(trouble) => return trouble,
        };
        Trouble::with_file(target, what, remedy)
    }
}

/// Looks before anything is made: never over what it is made from, over an old file only when told to, and with an air
/// pass over an air pass alone.
///
/// # Errors
/// What stands in the way.
pub fn may_write(
    target: &Path,
    sources: &[PathBuf],
    product: Product,
    existing: Existing,
) -> Result<(), Blocked> {
    if sources.iter().any(|source| files::same(target, source)) {
        return Err(Blocked::Source);
    }
    if !target.exists() {
        return Ok(());
    }
    if existing == Existing::Keep {
        return Err(Blocked::There);
    }
    if product == Product::AirPass && target.is_file() {
        let there = files::read(target, PROGRAM_LIMIT).map_err(Blocked::Trouble)?;
        air::mark(&there).ok_or(Blocked::NotAnAirPass)?;
    }
    Ok(())
}

/// Writes the product whole or not at all, after another look.
///
/// # Errors
/// What stands in the way.
pub fn write(
    target: &Path,
    text: &[u8],
    sources: &[PathBuf],
    product: Product,
    existing: Existing,
) -> Result<(), Blocked> {
    may_write(target, sources, product, existing)?;
    files::write(target, text, existing).map_err(Blocked::Trouble)
}

/// Reads a program; a job file and an empty file are none.
///
/// # Errors
/// What is wrong with the file and what to do about it.
pub fn program_text(path: &Path) -> Result<Vec<u8>, Trouble> {
    let text = files::read(path, PROGRAM_LIMIT)?;
    let first = text.iter().find(|byte| !byte.is_ascii_whitespace());
    match first {
        None => Err(Trouble::with_file(path, "has nothing in it", "name the program that is meant")),
        Some(b'{') => {
            Err(Trouble::with_file(path, "is a job file, not a program", "name one of its programs"))
        }
        Some(_) => Ok(text),
    }
}

/// How a program is read, with the programs beside it that it may call.
pub fn settings(units: Units, control: Option<&Control>, beside: &Beside) -> Settings {
    let mut settings = Settings::for_job(units, control);
    settings.beside.clone_from(&beside.subprograms);
    settings
}

#[cfg(test)]
mod tests {
    use std::fs;

    use blockwright_core::rewrite::air::{AirOptions, lift};
    use blockwright_core::task::{Cancel, Task};

    use super::*;

    const PROGRAM: &[u8] = b"O7\nG20 G90\nG0 Z1.\nG1 Z-.5 F10.\nM30\n";

    fn air_pass() -> Vec<u8> {
        let options = AirOptions { top: Some(0.0), above: 0.1, ..AirOptions::default() };
        let settings = settings(Units::Inch, None, &Beside::default());
        lift(PROGRAM, "7.nc", &options, &settings, Task::quiet(&Cancel::new())).expect("lifted").text
    }

    #[test]
    fn guards() {
        use Existing::{Keep, Replace};
        let folder = tempfile::tempdir().expect("a folder");
        let at = |name: &str| folder.path().join(name);
        fs::write(at("7.nc"), PROGRAM).expect("written");
        fs::write(at("8.nc"), PROGRAM).expect("written");
        fs::write(at("old-air.nc"), air_pass()).expect("written");
        let sources = [at("7.nc")];
        for (name, product, existing, blocked) in [
            ("7.nc", Product::AirPass, Keep, Some(Blocked::Source)),
            ("./7.nc", Product::AirPass, Replace, Some(Blocked::Source)),
            ("7.nc", Product::Ready, Replace, Some(Blocked::Source)),
            ("new.nc", Product::AirPass, Keep, None),
            ("8.nc", Product::AirPass, Keep, Some(Blocked::There)),
            ("8.nc", Product::AirPass, Replace, Some(Blocked::NotAnAirPass)),
            ("8.nc", Product::Ready, Keep, Some(Blocked::There)),
            ("8.nc", Product::Ready, Replace, None),
            ("old-air.nc", Product::AirPass, Keep, Some(Blocked::There)),
            ("old-air.nc", Product::AirPass, Replace, None),
        ] {
            let looked = may_write(&at(name), &sources, product, existing);
            assert_eq!(looked.err(), blocked, "{name} {product:?} {existing:?}");
        }
        let refused = write(&at("8.nc"), b"x", &sources, Product::AirPass, Replace);
        assert_eq!(refused, Err(Blocked::NotAnAirPass));
        assert_eq!(fs::read(at("8.nc")).expect("read"), PROGRAM, "left as it was");
        write(&at("old-air.nc"), &air_pass(), &sources, Product::AirPass, Replace).expect("replaced");
    }

    #[test]
    fn a_job_is_no_program() {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("a");
        for (bytes, words) in [(&b" {}"[..], "is a job file"), (b"\r\n", "has nothing in it")] {
            fs::write(&file, bytes).expect("written");
            assert!(program_text(&file).expect_err("refused").what.contains(words));
        }
        fs::write(&file, PROGRAM).expect("written");
        assert_eq!(program_text(&file).expect("read"), PROGRAM);
    }
}
