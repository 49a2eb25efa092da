//! Programs written from programs: how they are read.

use std::path::Path;

use blockwright_core::control::Control;
use blockwright_core::program::Settings;
use blockwright_core::proof::Beside;
use blockwright_core::units::Units;

use crate::files::{self, PROGRAM_LIMIT};
use crate::trouble::Trouble;

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
        Some(_) => files::no_program(path, &text).map_or(Ok(text), Err),
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

    use super::*;

    const PROGRAM: &[u8] = b"O7\nG20 G90\nG0 Z1.\nG1 Z-.5 F10.\nM30\n";

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
