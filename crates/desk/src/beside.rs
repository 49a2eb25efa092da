//! Files beside a job that it or its programs refer to: its drawings, its crib, and the programs that are called.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use blockwright_core::bring_in::MOST_BYTES;
use blockwright_core::job::{self, Crib, Job};
use blockwright_core::program::{Settings, Subprogram, called};
use blockwright_core::proof::Beside;

use crate::files::{self, JOB_LIMIT, PROGRAM_LIMIT};
use crate::trouble::Trouble;

/// Called programs that are fetched; a job that calls more calls without end.
const MOST: usize = 256;

/// Files looked at in the folder.
const MOST_FILES: usize = 100_000;

/// Fetches all that the job in `file` and its programs refer to.
///
/// # Errors
/// Which drawing cannot be used, where the job names it, and what to do.
pub fn load(file: &Path, job: &Job, programs: &[Arc<[u8]>]) -> Result<Beside, Trouble> {
    let subprograms = called_by(&files::folder_of(file), job, programs);
    let drawings = job
        .drawings()
        .map(|(key, name)| Ok((name.to_owned(), drawing(file, key, name)?.into())))
        .collect::<Result<BTreeMap<String, Arc<[u8]>>, Trouble>>()?;
    Ok(Beside { subprograms, drawings })
}

/// The bytes of a drawing that the job in `file` names under `key`. Only the job's own folder and what lies in it is
/// looked at.
fn drawing(file: &Path, key: &str, name: &str) -> Result<Vec<u8>, Trouble> {
    let trouble =
        |what: String, remedy: &str| Trouble::at(format!("{}, \"{key}\"", file.display()), what, remedy);
    inside(file, key, "drawing", name)?;
    let path = files::folder_of(file).join(name);
    if !path.exists() {
        return Err(trouble(
            format!("there is no drawing {name} in the job's folder"),
            "put it there, correct its name, or write the path's vertices into the job",
        ));
    }
    files::read(&path, MOST_BYTES as u64)
        .map_err(|other| trouble(format!("the drawing {name} {}", other.what), &other.remedy))
}

/// What the job in `file` names under `key` lies in its folder: a job from elsewhere reads nothing but what came with
/// it.
///
/// # Errors
/// Where the job names it, and what to do.
pub fn inside(file: &Path, key: &str, kind: &str, name: &str) -> Result<(), Trouble> {
    if files::stays_inside(name) {
        return Ok(());
    }
    Err(Trouble::at(
        format!("{}, \"{key}\"", file.display()),
        format!("the {kind} {name} lies outside the job's folder"),
        "copy it into that folder, and name the copy",
    ))
}

/// Reads a crib.
///
/// # Errors
/// Why it cannot be used, and where in it.
pub fn crib(path: &Path) -> Result<Crib, Trouble> {
    let bytes = files::read(path, JOB_LIMIT)?;
    job::read_crib(&bytes).map_err(|error| {
        Trouble::at(format!("{}, {error}", path.display()), "the crib cannot be used", "correct it there")
    })
}

/// Completes the job of a file with the tools of the crib that it names, if it names one.
///
/// # Errors
/// Why the crib cannot be used, or which tool neither it nor the job has.
pub fn with_crib(job: Job, file: &Path) -> Result<Job, Trouble> {
    let Some(named) = &job.crib else { return Ok(job) };
    inside(file, "crib", "crib", &named.file)?;
    let path = files::folder_of(file).join(&named.file);
    let crib = crib(&path)
        .map_err(|trouble| Trouble { what: format!("{} (the crib of the job)", trouble.what), ..trouble })?;
    job.with_crib(&crib).map_err(|what| {
        Trouble::with_file(file, what, "put the tool in the job or in the crib, or correct the pass")
    })
}

/// Fetches what the programs of a job call and what those call in turn, from `folder`.
///
/// A program that cannot be found or read is left out: the reader then says at the call that it is missing.
fn called_by(folder: &Path, job: &Job, programs: &[Arc<[u8]>]) -> Vec<Subprogram> {
    let settings = Settings::for_job(job.units, job.control.as_ref());
    if settings.subprograms.is_none() {
        return Vec::new();
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
    subprograms
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
pub fn number_of(path: &Path) -> Option<u32> {
    let stem = path.file_stem()?.to_str()?;
    let digits = stem.strip_prefix(['O', 'o']).unwrap_or(stem);
    let plain = !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit());
    if plain { digits.parse().ok() } else { None }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::expect_used, reason = "a test may fail")]

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
            let beside = load(&folder.path().join("job.json"), &job, &programs).expect("no drawing is named");
            beside.subprograms.iter().map(|own| own.number).collect::<Vec<_>>()
        };
        assert_eq!(numbers(r#""control":{"subprograms":"count_in_l"},"#), [2, 3]);
        assert_eq!(numbers(""), [0; 0], "a control that does not follow M98 needs none");
    }

    #[test]
    fn drawings_are_fetched_from_the_job_s_folder_alone() {
        let folder = tempfile::tempdir().expect("a folder");
        let (inner, job_file) = (folder.path().join("job"), folder.path().join("job/job.json"));
        fs::create_dir_all(inner.join("drawings")).expect("made");
        fs::write(inner.join("drawings/a.dxf"), "drawn").expect("written");
        fs::write(folder.path().join("b.dxf"), "not to be read").expect("written");
        let fetch = |name: &str| {
            let text = format!(
                r#"{{"schema":"blockwright-job/1","units":"inch","outline":{{"file":"{name}"}},"tools":[],"passes":[]}}"#
            );
            load(&job_file, &job::read(text.as_bytes()).expect("a job"), &[])
        };
        let beside = fetch("drawings/a.dxf").expect("fetched");
        assert_eq!(beside.drawings.get("drawings/a.dxf").map(|bytes| &bytes[..]), Some(&b"drawn"[..]));
        let outside = folder.path().join("b.dxf");
        for (name, said) in [
            ("../b.dxf", "outside the job's folder"),
            ("drawings/../../b.dxf", "outside the job's folder"),
            (outside.to_str().expect("text"), "outside the job's folder"),
            ("b.dxf", "there is no drawing b.dxf in the job's folder; put it there"),
            ("drawings", "the drawing drawings is a folder"),
        ] {
            let told = fetch(name).expect_err(said).to_string();
            assert!(told.contains(said) && told.contains("job.json, \"outline\""), "{told}");
        }
        let large = fs::File::create(inner.join("large.dxf")).expect("made");
        large.set_len(MOST_BYTES as u64 + 1).expect("a file with a hole");
        let told = fetch("large.dxf").expect_err("too large").to_string();
        assert!(told.contains("large.dxf is larger than 64 MiB"), "{told}");
    }
}
