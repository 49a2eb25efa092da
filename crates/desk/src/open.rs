//! From a path to something that can be proven: a job with its programs, or programs without a job.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use blockwright_core::demo;
use blockwright_core::job::{self, Job, Part};
use blockwright_core::names;
use blockwright_core::proof::{Beside, Source};
use blockwright_core::rewrite::stated_units;
use blockwright_core::suggest::{self, Given, Suggested};
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

/// Programs without a job, with the job that they suggest.
#[derive(Debug, Clone)]
pub struct Bare {
    /// The job, and what it rests on.
    pub suggested: Suggested,
    /// Text of the programs, in the order of its passes.
    pub programs: Vec<Arc<[u8]>>,
}

impl Bare {
    /// Reads what the programs say of themselves; long ones take a while.
    ///
    /// # Errors
    /// A fault of the tool's own.
    pub fn read(names: &[String], programs: &[Arc<[u8]>], units: Option<Units>) -> Result<Self, Trouble> {
        let cancel = Cancel::new();
        let suggested = suggest::read(&given(names, programs), units, Task::quiet(&cancel))
            .map_err(|stopped| Trouble::own(stopped.to_string()))?;
        let programs = suggested.order.iter().filter_map(|index| programs.get(*index).cloned()).collect();
        Ok(Self { suggested, programs })
    }

    /// The suggested job with its programs.
    pub fn source(&self) -> Source {
        Source {
            job: Arc::new(self.suggested.job.clone()),
            programs: self.programs.clone(),
            beside: Beside::default(),
        }
    }

    /// The same with the paths alone: no blank, no outline and no allowance, so nothing is assumed of them.
    pub fn path_only(&self) -> Source {
        let source = self.source();
        let mut job = Job { blank: None, outline: None, ..(*source.job).clone() };
        for pass in &mut job.passes {
            pass.allowance = None;
        }
        job.confirm(|part| matches!(part, Part::Pass(_, "allowance")));
        Source { job: Arc::new(job), ..source }
    }
}

fn given<'a>(names: &'a [String], programs: &'a [Arc<[u8]>]) -> Vec<Given<'a>> {
    names.iter().zip(programs).map(|(file, text)| Given { file, text }).collect()
}

/// What was opened.
#[derive(Debug, Clone)]
pub struct Opened {
    /// The job and its programs.
    pub source: Source,
    /// Where they came from.
    pub origin: Origin,
    /// What the programs suggest, when there was no job and they have been read.
    pub bare: Option<Bare>,
    /// The unit of programs without a job, where the person said it.
    pub units: Option<Units>,
    /// What the job's file held when it was read.
    pub print: Option<files::Print>,
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
        units: None,
        print: None,
    })
}

/// Opens one job, or one or more programs.
///
/// # Errors
/// Which file cannot be used, why, and what to do.
pub fn paths(paths: &[PathBuf], units: Option<Units>) -> Result<Opened, Trouble> {
    let mut opened = at_once(paths, units)?;
    if matches!(opened.origin, Origin::Programs(_)) {
        let names: Vec<String> = opened.source.job.passes.iter().map(|pass| pass.program.clone()).collect();
        let bare = Bare::read(&names, &opened.source.programs, units)?;
        opened.source = bare.source();
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
    if let Some(trouble) = files::no_program(first, &bytes) {
        return Err(trouble);
    }
    if looks_like_job(first, &bytes) {
        if let Some(other) = rest.first() {
            return Err(Trouble::with_file(
                other,
                "cannot be opened together with a job",
                "open one job, or one or more programs",
            ));
        }
        let opened = job_file(first, &bytes)?;
        let own = opened.source.job.units;
        if units.is_some_and(|units| units != own) {
            let what = format!("says itself that it is in {}", own.plural());
            return Err(Trouble::with_file(
                first,
                what,
                "leave --units out: it is for programs without a job",
            ));
        }
        return Ok(opened);
    }
    let mut texts: Vec<Arc<[u8]>> = vec![bytes.into()];
    for path in rest {
        texts.push(files::program(path)?.into());
    }
    let names: Vec<String> = paths.iter().map(|path| file_name(path)).collect();
    let order = suggest::order_of(&given(&names, &texts));
    let sorted = |index: &usize| {
        Some((paths.get(*index)?.clone(), names.get(*index)?.clone(), texts.get(*index)?.clone()))
    };
    let mut files = Vec::new();
    let mut programs = Vec::new();
    let mut in_order: Vec<String> = Vec::new();
    for (file, name, text) in order.iter().filter_map(sorted) {
        files.push(file);
        in_order.push(name);
        programs.push(text);
    }
    let stated = || programs.iter().find_map(|text| stated_units(text));
    let source = paths_of(&in_order, &programs, units.or_else(stated).unwrap_or(Units::Inch));
    Ok(Opened { source, origin: Origin::Programs(files), bare: None, units, print: None })
}

/// Programs as a job of paths alone: no blank, no outline, and a tool that is only a guess.
pub fn paths_of(names: &[String], programs: &[Arc<[u8]>], units: Units) -> Source {
    let files: Vec<&str> = names.iter().map(String::as_str).collect();
    let job = Arc::new(suggest::paths_of(&files, units));
    Source { job, programs: programs.to_vec(), beside: Beside::default() }
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
        // What the file is not, or not yet, nobody corrects in it.
        let remedy = if error.key == "schema" { "choose another file" } else { "correct it there" };
        Trouble::at(format!("{}, {error}", path.display()), "the job cannot be used", remedy)
    })?;
    let folder = files::folder_of(path);
    let job = beside::with_crib(job, path)?;
    let programs = job
        .passes
        .iter()
        .map(|pass| {
            beside::inside(path, "passes", "program", &pass.program)
                .and_then(|()| files::program(&folder.join(&pass.program)))
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
        units: None,
        print: Some(files::Print::of(bytes)),
    })
}

/// A job file is JSON, so it starts with a brace; a program never does.
fn looks_like_job(path: &Path, bytes: &[u8]) -> bool {
    let text = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("json"))
        || text.iter().find(|byte| !byte.is_ascii_whitespace()) == Some(&b'{')
}

fn file_name(path: &Path) -> String {
    path.file_name().map(|name| names::shown(&name.to_string_lossy()).into_owned()).unwrap_or_default()
}

/// What was made of programs without a job, in one line.
pub fn assumed(bare: &Bare) -> String {
    let waiting = bare.suggested.job.unconfirmed().count();
    format!(
        "no job was given, so one is suggested by what the programs say of themselves; {waiting} suggestions are not \
         confirmed. `blockwright job` writes it, to be corrected and confirmed"
    )
}
