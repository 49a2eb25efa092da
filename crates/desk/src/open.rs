//! From a path to something that can be proven: a job with its programs, or programs without a job.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use blockwright_core::demo;
use blockwright_core::job::{self, Job};
use blockwright_core::program::{self, Program, Settings};
use blockwright_core::proof::{Beside, Source};
use blockwright_core::suggest::{self, Setup};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::units::Units;

use crate::beside;
use crate::files::{self, JOB_LIMIT, PROGRAM_LIMIT};
use crate::trouble::Trouble;

/// Where what is open came from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Origin {
    /// Built in.
    Demo,
    /// A job file.
    Job(PathBuf),
    /// Program files without a job.
    Programs(Vec<PathBuf>),
}

impl Origin {
    /// The folder that pictures and the job file go to.
    pub fn folder(&self) -> PathBuf {
        match self {
            Self::Demo => PathBuf::from("."),
            Self::Job(file) => files::folder_of(file),
            Self::Programs(programs) => {
                programs.first().map_or_else(|| ".".into(), |file| files::folder_of(file))
            }
        }
    }
}

/// A program without a job, with what is assumed of its job so far.
#[derive(Debug, Clone)]
pub struct Bare {
    /// What is assumed.
    pub setup: Setup,
    /// File names of the programs.
    pub names: Vec<String>,
    /// The first program as read in the set-up's unit.
    pub program: Arc<Program>,
    /// Text of the programs.
    pub programs: Vec<Arc<[u8]>>,
}

impl Bare {
    /// The set-up that the first program suggests, as read in `units`.
    pub fn new(names: Vec<String>, programs: Vec<Arc<[u8]>>, units: Units, program: Arc<Program>) -> Self {
        let name = names.first().map(|name| title(name)).unwrap_or_default();
        let setup = Setup::suggest(units, &name, &program.motions);
        Self { setup, names, program, programs }
    }

    /// The job the set-up comes to: one pass a program, all with the set-up's tool.
    ///
    /// # Errors
    /// What of the set-up cannot be, in words.
    pub fn source(&self) -> Result<Source, String> {
        let first = self.names.first().ok_or("there is no program")?;
        let mut job = self.setup.job(first, &self.program.motions)?;
        if let Some(pass) = job.passes.first().cloned() {
            for name in &self.names[1..] {
                let more = job::Pass { name: title(name), program: name.clone(), ..pass.clone() };
                job.passes.push(more);
            }
        }
        Ok(Source { job: Arc::new(job), programs: self.programs.clone(), beside: Beside::default() })
    }

    /// The same with the path alone: no blank and no outline, so nothing is assumed of them.
    ///
    /// # Errors
    /// What of the set-up cannot be, in words.
    pub fn path_only(&self) -> Result<Source, String> {
        let source = self.source()?;
        let mut job = Job { blank: None, outline: None, ..(*source.job).clone() };
        for pass in &mut job.passes {
            pass.allowance = None;
        }
        Ok(Source { job: Arc::new(job), programs: source.programs, beside: source.beside })
    }
}

/// What was opened.
#[derive(Debug, Clone)]
pub struct Opened {
    /// The job and its programs.
    pub source: Source,
    /// Where they came from.
    pub origin: Origin,
    /// The set-up, when there was no job and the program has been read.
    pub bare: Option<Bare>,
}

/// Opens the built-in demo job.
///
/// # Errors
/// A fault of the tool's own, when the demo does not hold together.
pub fn demo_job() -> Result<Opened, Trouble> {
    let folder = Path::new(demo::JOB).parent().unwrap_or(Path::new(""));
    let find = |name: &Path| {
        let name = name.to_string_lossy().replace('\\', "/");
        demo::file(&name).ok_or_else(|| Trouble::own(format!("the built-in file {name} is missing")))
    };
    let job = job::read(find(Path::new(demo::JOB))?).map_err(|error| Trouble::own(error.to_string()))?;
    let programs = job
        .passes
        .iter()
        .map(|pass| find(&folder.join(&pass.program)).map(Arc::from))
        .collect::<Result<Vec<Arc<[u8]>>, _>>()?;
    let drawings = job
        .drawings()
        .map(|(_, name)| Ok((name.to_owned(), find(&folder.join(name))?.into())))
        .collect::<Result<_, Trouble>>()?;
    Ok(Opened {
        source: Source { job: Arc::new(job), programs, beside: Beside { drawings, ..Beside::default() } },
        origin: Origin::Demo,
        bare: None,
    })
}

/// Opens one job, or one or more programs.
///
/// # Errors
/// Which file cannot be used, why, and what to do.
pub fn paths(paths: &[PathBuf], units: Option<Units>) -> Result<Opened, Trouble> {
    let mut opened = at_once(paths, units)?;
    if let Origin::Programs(files) = &opened.origin {
        let names = files.iter().map(|file| file_name(file)).collect();
        let bare = bare(names, opened.source.programs, opened.source.job.units)?;
        let first = files.first().map_or(Path::new(""), PathBuf::as_path);
        opened.source = bare.source().map_err(|what| {
            Trouble::with_file(first, what, "write a job file for it, or start from the demo job's")
        })?;
        opened.bare = Some(bare);
    }
    Ok(opened)
}

/// Opens the same without interpreting a program: of programs without a job, the job has paths alone and no set-up
/// is suggested.
///
/// # Errors
/// Which file cannot be used, why, and what to do.
pub fn at_once(paths: &[PathBuf], units: Option<Units>) -> Result<Opened, Trouble> {
    let [first, rest @ ..] = paths else { return demo_job() };
    let bytes = files::read(first, PROGRAM_LIMIT)?;
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return Err(Trouble::with_file(first, "has nothing in it", "open a job file or a program"));
    }
    if looks_like_job(first, &bytes) {
        if let Some(other) = rest.first() {
            return Err(Trouble::with_file(
                other,
                "cannot be opened together with a job",
                "open one job, or one or more programs",
            ));
        }
        return job_file(first, &bytes);
    }
    let mut texts: Vec<Arc<[u8]>> = vec![bytes.into()];
    for path in rest {
        texts.push(files::read(path, PROGRAM_LIMIT)?.into());
    }
    let names: Vec<String> = paths.iter().map(|path| file_name(path)).collect();
    let source = paths_of(&names, texts, units.unwrap_or(Units::Inch))?;
    Ok(Opened { source, origin: Origin::Programs(paths.to_vec()), bare: None })
}

/// Programs as a job of paths alone: no blank, no outline, and a tool that is only a guess.
///
/// # Errors
/// A fault of the tool's own.
pub fn paths_of(names: &[String], programs: Vec<Arc<[u8]>>, units: Units) -> Result<Source, Trouble> {
    let bare = Bare::new(names.to_vec(), programs, units, Arc::default());
    // Nothing is known yet of what the program sweeps; the blank is left out again at once.
    let any = suggest::BlankSetup::Corners([0.0, 0.0], [1.0, 1.0]);
    let bare = Bare { setup: Setup { blank: any, ..bare.setup.clone() }, ..bare };
    bare.path_only().map_err(Trouble::own)
}

fn job_file(path: &Path, bytes: &[u8]) -> Result<Opened, Trouble> {
    if bytes.len() as u64 > JOB_LIMIT {
        return Err(Trouble::with_file(
            path,
            format!("is larger than {} MiB", JOB_LIMIT >> 20),
            "check whether it is the job you mean",
        ));
    }
    let job = job::read(bytes).map_err(|error| {
        Trouble::at(format!("{}, {error}", path.display()), "the job cannot be used", "correct it there")
    })?;
    let folder = files::folder_of(path);
    let job = beside::with_crib(job, path)?;
    let programs = job
        .passes
        .iter()
        .map(|pass| {
            beside::inside(path, "passes", "program", &pass.program)
                .and_then(|()| files::read(&folder.join(&pass.program), PROGRAM_LIMIT))
                .map(Arc::from)
                .map_err(|trouble| Trouble {
                    what: format!("{} (the program of pass \"{}\")", trouble.what, pass.name),
                    ..trouble
                })
        })
        .collect::<Result<Vec<Arc<[u8]>>, _>>()?;
    let beside = beside::load(path, &job, &programs)?;
    Ok(Opened {
        source: Source { job: Arc::new(job), programs, beside },
        origin: Origin::Job(path.to_path_buf()),
        bare: None,
    })
}

fn bare(names: Vec<String>, programs: Vec<Arc<[u8]>>, units: Units) -> Result<Bare, Trouble> {
    let cancel = Cancel::new();
    let first = programs.first().cloned().unwrap_or_default();
    let read = program::read(&first, &Settings::for_job(units, None), Task::quiet(&cancel))
        .map_err(|stopped| Trouble::own(stopped.to_string()))?;
    Ok(Bare::new(names, programs, units, Arc::new(read)))
}

/// A job file is JSON, so it starts with a brace; a program never does.
fn looks_like_job(path: &Path, bytes: &[u8]) -> bool {
    let text = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("json"))
        || text.iter().find(|byte| !byte.is_ascii_whitespace()) == Some(&b'{')
}

fn file_name(path: &Path) -> String {
    path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
}

fn title(name: &str) -> String {
    Path::new(name).file_stem().map_or_else(|| name.to_owned(), |stem| stem.to_string_lossy().into_owned())
}

/// What is assumed of a bare program, in one line.
pub fn assumed(bare: &Bare) -> String {
    let setup = &bare.setup;
    let plain = |length: f64| setup.units.plain_with_unit(length);
    let blank = match &setup.blank {
        suggest::BlankSetup::Margin(margin) => {
            format!("a blank {} larger all round than the path", plain(*margin))
        }
        suggest::BlankSetup::Corners(low, high) => format!(
            "a blank from X {} Y {} to X {} Y {}",
            plain(low[0]),
            plain(low[1]),
            plain(high[0]),
            plain(high[1])
        ),
    };
    format!(
        "no job was given, so this is assumed: {}, {blank}, top at {}, {} thick. Write a job file to state what is",
        setup.form.describe(),
        plain(setup.top),
        plain(setup.thickness),
    )
}
