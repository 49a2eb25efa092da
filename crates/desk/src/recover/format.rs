//! How unsaved work lies in its file: named parts, each with its length, so that any bytes can be in them.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::open::Origin;

/// First line of the file; the last part says that it is whole.
const HEAD: &str = "blockwright-unsaved/1\n";

/// Unsaved work as it was at one moment.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Work {
    /// When, in seconds since 1970.
    pub at: i64,
    /// What is not saved, in words.
    pub what: Vec<String>,
    /// Where the job came from.
    pub origin: Origin,
    /// The job as its file would have it.
    pub job: String,
    /// The tools of its crib, as a crib file would have them.
    pub crib: Option<String>,
    /// The program of each pass.
    pub programs: Vec<Program>,
    /// The drawings it names.
    pub drawings: Vec<(String, Arc<[u8]>)>,
    /// What still has to be done at the machine.
    pub to_do: Vec<String>,
}

/// The program of a pass.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Program {
    /// The file it was read from.
    pub file: Option<PathBuf>,
    /// Its text, where that is in no file.
    pub text: Option<Arc<[u8]>>,
}

impl Work {
    /// The job's name or its file's.
    pub fn title(&self) -> String {
        let read = blockwright_core::job::read(self.job.as_bytes());
        read.ok().and_then(|job| job.name).unwrap_or_else(|| "Job without a name".to_owned())
    }

    /// As its file holds it.
    pub fn encode(&self) -> Vec<u8> {
        let mut out = Out(HEAD.as_bytes().to_vec());
        out.part("at", self.at.to_string().as_bytes());
        for words in &self.what {
            out.part("what", words.as_bytes());
        }
        match &self.origin {
            Origin::Demo => out.part("demo", b""),
            Origin::Job(file) => out.part("job file", &bytes_of(file)),
            Origin::Programs(files) => {
                for file in files {
                    out.part("program file", &bytes_of(file));
                }
            }
        }
        out.part("job", self.job.as_bytes());
        if let Some(crib) = &self.crib {
            out.part("crib", crib.as_bytes());
        }
        for program in &self.programs {
            out.part("pass", b"");
            if let Some(file) = &program.file {
                out.part("file", &bytes_of(file));
            }
            if let Some(text) = &program.text {
                out.part("text", text);
            }
        }
        for (name, bytes) in &self.drawings {
            out.part("drawing", name.as_bytes());
            out.part("drawn", bytes);
        }
        for words in &self.to_do {
            out.part("to do", words.as_bytes());
        }
        out.part("end", b"");
        out.0
    }

    /// `None` for what is no unsaved work, or not whole.
    pub fn decode(bytes: &[u8]) -> Option<Self> {
        let mut rest = bytes.strip_prefix(HEAD.as_bytes())?;
        let mut work = Self {
            at: 0,
            what: Vec::new(),
            origin: Origin::Demo,
            job: String::new(),
            crib: None,
            programs: Vec::new(),
            drawings: Vec::new(),
            to_do: Vec::new(),
        };
        let text = |part: &[u8]| String::from_utf8(part.to_vec()).ok();
        loop {
            let (name, part) = next(&mut rest)?;
            match name {
                "at" => work.at = text(part)?.parse().ok()?,
                "what" => work.what.push(text(part)?),
                "demo" => work.origin = Origin::Demo,
                "job file" => work.origin = Origin::Job(path_of(part)),
                "program file" => match &mut work.origin {
                    Origin::Programs(files) => files.push(path_of(part)),
                    origin => *origin = Origin::Programs(vec![path_of(part)]),
                },
                "job" => work.job = text(part)?,
                "crib" => work.crib = Some(text(part)?),
                "pass" => work.programs.push(Program::default()),
                "file" => work.programs.last_mut()?.file = Some(path_of(part)),
                "text" => work.programs.last_mut()?.text = Some(part.into()),
                "drawing" => work.drawings.push((text(part)?, Arc::default())),
                "drawn" => work.drawings.last_mut()?.1 = part.into(),
                "to do" => work.to_do.push(text(part)?),
                "end" => return Some(work),
                _ => return None,
            }
        }
    }
}

struct Out(Vec<u8>);

impl Out {
    fn part(&mut self, name: &str, bytes: &[u8]) {
        self.0.extend_from_slice(format!("{name}: {}\n", bytes.len()).as_bytes());
        self.0.extend_from_slice(bytes);
        self.0.push(b'\n');
    }
}

fn next<'a>(rest: &mut &'a [u8]) -> Option<(&'a str, &'a [u8])> {
    let line = rest.iter().position(|byte| *byte == b'\n')?;
    let (name, length) = std::str::from_utf8(rest.get(..line)?).ok()?.split_once(": ")?;
    let length: usize = length.parse().ok()?;
    let from = line + 1;
    let part = rest.get(from..from.checked_add(length)?)?;
    *rest = rest.get(from + length..)?.strip_prefix(b"\n")?;
    Some((name, part))
}

#[cfg(unix)]
fn bytes_of(path: &Path) -> Vec<u8> {
    use std::os::unix::ffi::OsStrExt as _;
    path.as_os_str().as_bytes().to_vec()
}

#[cfg(unix)]
fn path_of(bytes: &[u8]) -> PathBuf {
    use std::os::unix::ffi::OsStrExt as _;
    PathBuf::from(std::ffi::OsStr::from_bytes(bytes))
}

#[cfg(not(unix))]
fn bytes_of(path: &Path) -> Vec<u8> {
    path.to_string_lossy().into_owned().into_bytes()
}

#[cfg(not(unix))]
fn path_of(bytes: &[u8]) -> PathBuf {
    PathBuf::from(String::from_utf8_lossy(bytes).into_owned())
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    pub(in super::super) fn work() -> Work {
        let program = |file: Option<&str>, text: Option<&[u8]>| Program {
            file: file.map(PathBuf::from),
            text: text.map(Arc::from),
        };
        Work {
            at: 1_700_000_000,
            what: vec!["the job".to_owned(), "1001.nc".to_owned()],
            origin: Origin::Job("/jobs/a b\n/job.json".into()),
            job: "{\n  \"schema\": 1\n}\n".to_owned(),
            crib: Some("{}".to_owned()),
            programs: vec![
                program(Some("/jobs/1001.nc"), Some(b"G0\r\nend: 0\n\n\xff\0")),
                program(Some("/jobs/1002.nc"), None),
                program(None, Some(b"")),
            ],
            drawings: vec![("a.dxf".to_owned(), b"drawn: 3\nabc"[..].into())],
            to_do: vec!["move the work zero by X .1".to_owned()],
        }
    }

    #[test]
    fn work_comes_back_as_it_was() {
        let origins = [Origin::Demo, work().origin, Origin::Programs(vec!["/a.nc".into(), "/b.nc".into()])];
        for origin in origins {
            let work = Work { origin, ..work() };
            assert_eq!(Work::decode(&work.encode()), Some(work));
        }
    }

    #[test]
    fn what_is_not_whole_is_nothing_and_never_a_panic() {
        let whole = work().encode();
        for length in 0..whole.len() {
            assert_eq!(Work::decode(&whole[..length]), None, "cut off at {length}");
        }
        for at in 0..whole.len() {
            for byte in [0, b'9', b'\n', 0xff] {
                let mut spoiled = whole.clone();
                spoiled[at] = byte;
                let _ = Work::decode(&spoiled);
            }
        }
        assert_eq!(Work::decode(b"blockwright-unsaved/1\njob: 18446744073709551615\nx"), None);
    }
}
