//! Files beside a job that its programs refer to: the programs they call.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use blockwright_core::job::Job;
use blockwright_core::program::{Settings, Subprogram, called};
use blockwright_core::proof::Beside;

use crate::files::{self, PROGRAM_LIMIT};

/// Called programs that are fetched; a job that calls more calls without end.
const MOST: usize = 256;

/// Files looked at in the folder.
const MOST_FILES: usize = 100_000;

/// Fetches what the programs of a job call and what those call in turn, from `folder`.
///
/// A program that cannot be found or read is left out: the reader then says at the call that it is missing.
pub fn load(folder: &Path, job: &Job, programs: &[Arc<[u8]>]) -> Beside {
    let settings = Settings::for_job(job.units, job.control.as_ref());
    if settings.subprograms.is_none() {
        return Beside::default();
    }
    let mut open: Vec<u32> = programs.iter().flat_map(|text| called(text, &settings)).collect();
    let named = if open.is_empty() { BTreeMap::new() } else { by_number(folder, &extensions(job)) };
    let (mut seen, mut subprograms) = (Vec::new(), Vec::new());
    while let Some(number) = open.pop() {
        if seen.contains(&number) || subprograms.len() >= MOST {
            continue;
        }
        seen.push(number);
        for path in named.get(&number).into_iter().flatten() {
            let Ok(bytes) = files::read(path, PROGRAM_LIMIT) else { continue };
            open.extend(called(&bytes, &settings));
            let file = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
            subprograms.push(Subprogram { number, file, text: bytes.into() });
        }
    }
    Beside { subprograms }
}

/// How the file names of a job's programs end, in lower case. A called program ends as they do, or not at all.
fn extensions(job: &Job) -> Vec<String> {
    job.passes.iter().map(|pass| extension(Path::new(&pass.program))).collect()
}

fn extension(path: &Path) -> String {
    path.extension().map(|own| own.to_string_lossy().to_lowercase()).unwrap_or_default()
}

/// The files of a folder that are named for a program number: `1002`, `1002.nc`, `O1002.nc`.
fn by_number(folder: &Path, extensions: &[String]) -> BTreeMap<u32, Vec<PathBuf>> {
    let mut named: BTreeMap<u32, Vec<PathBuf>> = BTreeMap::new();
    let Ok(entries) = fs::read_dir(folder) else { return named };
    for path in entries.take(MOST_FILES).flatten().map(|entry| entry.path()) {
        let own = extension(&path);
        let alike = own.is_empty() || extensions.contains(&own);
        if let Some(number) = number_of(&path).filter(|_| alike && path.is_file()) {
            named.entry(number).or_default().push(path);
        }
    }
    for paths in named.values_mut() {
        paths.sort();
    }
    named
}

/// The program number that a file is named for.
fn number_of(path: &Path) -> Option<u32> {
    let stem = path.file_stem()?.to_str()?;
    let digits = stem.strip_prefix(['O', 'o']).unwrap_or(stem);
    let plain = !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit());
    if plain { digits.parse().ok() } else { None }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::expect_used, reason = "a test may fail")]

    use blockwright_core::job;

    use super::*;

    #[test]
    fn files_are_known_by_their_number() {
        for (name, number) in [
            ("1002.nc", Some(1002)),
            ("O1002.TXT", Some(1002)),
            ("o0007", Some(7)),
            ("1002-edited.nc", None),
            ("O.nc", None),
        ] {
            assert_eq!(number_of(Path::new(name)), number, "{name}");
        }
    }

    #[test]
    fn called_programs_are_fetched_with_those_they_call() {
        let folder = tempfile::tempdir().expect("a folder");
        fs::write(folder.path().join("O0002.nc"), "O2\nM98 P3\nM99\n").expect("written");
        fs::write(folder.path().join("3.nc"), "O3\nG1 X1\nM99\n").expect("written");
        fs::write(folder.path().join("4.nc"), "O4\nM99\n").expect("written");
        fs::write(folder.path().join("2.png"), "no program").expect("written");
        let text = |control: &str| {
            format!(
                r#"{{"schema":"blockwright-job/1","units":"inch",{control}"tools":[{{"number":1,"form":{{"kind":"flat","diameter":0.5}}}}],
                "passes":[{{"name":"a","program":"1.NC","tool":1,"zero":[0,0,0]}}]}}"#
            )
        };
        let programs = [Arc::from(&b"O1\nM98 P2\nM98 P9\nM30\n"[..])];
        let numbers = |control: &str| {
            let job = job::read(text(control).as_bytes()).expect("a job");
            let beside = load(folder.path(), &job, &programs);
            beside.subprograms.iter().map(|own| own.number).collect::<Vec<_>>()
        };
        assert_eq!(numbers(r#""control":{"subprograms":"count_in_l"},"#), [2, 3]);
        assert_eq!(numbers(""), [0; 0], "a control that does not follow M98 needs none");
    }
}
