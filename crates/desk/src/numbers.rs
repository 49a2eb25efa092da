//! Program numbers that are taken: what lies beside a program has them already.

use std::fs::{self, File};
use std::io::Read as _;
use std::path::{Path, PathBuf};

use blockwright_core::program::Settings;
use blockwright_core::rewrite;

use crate::beside::number_of;
use crate::files;

/// Files looked at in a folder.
const MOST_FILES: usize = 10_000;

/// How much of each is looked at: a program says its number at its head, and those it holds soon after.
const LOOKED_AT: u64 = 256 << 10;

/// How files end that are no programs.
const NO_PROGRAMS: [&str; 11] =
    ["json", "png", "jpg", "jpeg", "svg", "dxf", "html", "csv", "pdf", "zip", "md"];

/// The numbers of the programs in the folder of `program` and in those of `others`, by what they say and by what their
/// files are called. The program itself and what will be written are left out.
pub fn beside(program: &Path, others: &[PathBuf], written: &Path, settings: &Settings) -> Vec<u32> {
    let mut folders: Vec<PathBuf> =
        std::iter::once(program).chain(others.iter().map(PathBuf::as_path)).map(files::folder_of).collect();
    folders.dedup();
    let entries = folders.iter().filter_map(|folder| fs::read_dir(folder).ok());
    let paths = entries.flat_map(|entries| entries.take(MOST_FILES).flatten().map(|entry| entry.path()));
    let mut numbers: Vec<u32> = number_of(program).into_iter().collect();
    for path in paths.filter(|path| may_be_program(path)) {
        if files::same(&path, program) || files::same(&path, written) {
            continue;
        }
        let Some(text) = opening(&path) else { continue };
        numbers.extend(number_of(&path));
        numbers.extend(rewrite::numbers(&text, settings));
    }
    numbers
}

fn may_be_program(path: &Path) -> bool {
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase()).unwrap_or_default();
    // What a killed write has left is no program yet.
    let ours = path.file_name().and_then(|name| name.to_str()).is_some_and(files::is_temporary);
    path.is_file() && !ours && !NO_PROGRAMS.contains(&ending.as_str())
}

fn opening(path: &Path) -> Option<Vec<u8>> {
    let mut bytes = Vec::new();
    File::open(path).ok()?.take(LOOKED_AT).read_to_end(&mut bytes).ok()?;
    Some(bytes)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::expect_used, clippy::allow_attributes, reason = "a test may fail")]

    use blockwright_core::units::Units;

    use super::*;

    #[test]
    fn programs_beside_are_known_by_what_they_say_and_by_their_names() {
        let folder = tempfile::tempdir().expect("a folder");
        let at = |name: &str| folder.path().join(name);
        for (name, text) in [
            ("1001.nc", "O1001\nM30\n"),
            ("other.nc", "%\nO0007 (TEXT)\nM98 P8\nM30\nO8\nM99\n"),
            ("O1003.txt", "G0 X1\n"),
            ("old-air.nc", "O1002\n(AIR PASS)\n"),
            ("record.json", "O5\n"),
            (".blockwright-abcdef123456.tmp", "O6\n"),
        ] {
            fs::write(at(name), text).expect("written");
        }
        fs::create_dir(at("2000.nc")).expect("a folder of that name");
        let settings = Settings::new(Units::Inch);
        let mut taken = beside(&at("1001.nc"), &[at("job.json")], &at("old-air.nc"), &settings);
        taken.sort_unstable();
        assert_eq!(taken, [7, 8, 1001, 1003]);
        let none = beside(Path::new("no/such/7.nc"), &[], Path::new("x"), &settings);
        assert_eq!(none, [7], "its own name alone");
    }
}
