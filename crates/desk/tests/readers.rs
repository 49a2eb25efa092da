//! Damaged files through every reader: no panic, no message that is long, has hundreds of digits or speaks to a terminal,
//! and what is read can be written and read again.
//!
//! The test run tries a fixed number of inputs. A longer run is a command, and starts anywhere:
//!
//! ```text
//! BLOCKWRIGHT_INPUTS=200000 BLOCKWRIGHT_SEED=7 cargo test --workspace --test readers -- --nocapture
//! ```
//!
//! An input that finds something is printed; it becomes a test of its reader. Programs that are rewritten have their own
//! run, `mutations`.

#![allow(
    clippy::expect_used,
    clippy::print_stdout,
    clippy::allow_attributes,
    reason = "the helpers of a test may fail it"
)]

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

use blockwright::files;
use blockwright::open::Origin;
use blockwright::recover::{Program, Work};
use blockwright::trouble::Trouble;
use blockwright_core::bring_in;
use blockwright_core::program::{Settings, TextLines, read};
use blockwright_core::suggest::{self, Given};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::units::Units;
use blockwright_core::{demo, job, sketch, typed};

/// Inputs of the plain test run.
const INPUTS: usize = 6000;

/// Bytes of a seed that are kept at the most; damage far behind them is like damage before.
const LONGEST: usize = 6000;

/// Longest message that anybody reads.
const MESSAGE: usize = 1500;

/// A fixed-seed generator, so that a failure comes again.
struct Random(u64);

impl Random {
    fn below(&mut self, count: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % count.max(1)
    }

    fn of<'a, T>(&mut self, list: &'a [T]) -> &'a T {
        &list[self.below(list.len())]
    }
}

/// Who reads it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Reader {
    Program,
    Job,
    Crib,
    Dxf,
    Svg,
    Points,
    Typed,
    Unsaved,
    Picture,
    Any,
}

const READERS: [Reader; 10] = [
    Reader::Program,
    Reader::Job,
    Reader::Crib,
    Reader::Dxf,
    Reader::Svg,
    Reader::Points,
    Reader::Typed,
    Reader::Unsaved,
    Reader::Picture,
    Reader::Any,
];

/// What damage is made of, for all readers.
const PIECES: &[&str] = &[
    "0",
    "-1",
    "1e300",
    "1e-300",
    "-1e9",
    "999999999",
    "1e999",
    "NaN",
    ".5",
    "1/0",
    "3/8",
    " mm",
    " in",
    ",",
    ";",
    ":",
    "\"",
    "'",
    "\\",
    "{",
    "}",
    "[",
    "]",
    "<",
    ">",
    "/>",
    "</g>",
    "<g>",
    "<!--",
    "<![CDATA[",
    "<?",
    "&lt;",
    "&a;",
    "<!ENTITY a \"b\">",
    "=\"1\"",
    "null",
    "true",
    "{}",
    "[]",
    "[[0,0],[1,0,1e9]]",
    "\"file\":\"../x\"",
    "\n",
    "\r",
    "\r\n",
    "\0",
    "\t",
    " ",
    "\u{1b}[2J",
    "\u{202e}",
    "\u{feff}",
    "Ø",
    "0\nSPLINE\n",
    "0\nINSERT\n2\nA\n",
    "0\nENDSEC\n",
    "0\nEOF\n",
    "10\n1e300\n",
    "20\n-5\n",
    "42\n1\n",
    "11\n1\n",
    "70\n1\n",
    "90\n999999999\n",
    "M98 P1 L9999",
    "O1",
    "G83 Q.0001 Z-9 R1 L99",
    "G2 X1 I1e9",
    "#1=[1/0]",
    "x,y,bulge\n",
    "1,2\n",
    "A 1 1 0 1 1 5 5",
    "c 1e9 0 1e-9",
    "Z",
    "M",
    "scale(0)",
    "matrix(1 0 0 1e300 0 0)",
    "rotate(1e300)",
    "use href=\"#a\"",
    "id=\"a\"",
    "part: 18446744073709551615\n",
    "end: 0\n",
    "job: 3\n",
    "°",
    "+",
    "--",
    "(",
    ")",
];

const SVG: &str = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"4in\" height=\"3in\" viewBox=\"0 0 400 300\">\n\
    <g id=\"a\" transform=\"translate(10 10) scale(1,-1)\"><path d=\"M0 0 L100 0 A50 50 0 0 1 100 100 C1 2 3 4 5 6 Q 1 1 2 2 Z\"/>\n\
    <rect x=\"1\" y=\"2\" width=\"30\" height=\"20\" rx=\"4\"/><circle cx=\"5\" cy=\"5\" r=\"4\"/><polygon points=\"0,0 4,0 4,3\"/></g>\n\
    <use href=\"#a\" x=\"5\" y=\"5\"/></svg>\n";

const DXF: &str = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n1\n0\nENDSEC\n0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n8\n0\n2\nA\n10\n0\n20\n0\n\
    0\nLINE\n8\nS\n10\n0\n20\n0\n11\n4\n21\n0\n0\nENDBLK\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nINSERT\n8\nS\n2\nA\n10\n1\n20\n1\n70\n2\n71\n2\n\
    0\nARC\n8\nS\n10\n0\n20\n0\n40\n2\n50\n0\n51\n90\n0\nLWPOLYLINE\n8\nS\n90\n3\n70\n1\n10\n0\n20\n0\n10\n4\n20\n0\n42\n0.4\n10\n4\n20\n3\n\
    0\nSPLINE\n8\nS\n71\n3\n40\n0\n40\n0\n40\n0\n40\n0\n40\n1\n40\n1\n40\n1\n40\n1\n10\n0\n20\n0\n10\n1\n20\n1\n10\n2\n20\n-1\n10\n3\n20\n0\n\
    0\nELLIPSE\n8\nS\n10\n0\n20\n0\n11\n2\n21\n0\n40\n.5\n41\n0\n42\n3\n0\nENDSEC\n0\nEOF\n";

const CRIB: &str = "{\"schema\":\"blockwright-crib/1\",\"units\":\"inch\",\"tools\":[{\"number\":1,\"name\":\"a\",\"form\":\
    {\"kind\":\"undercut\",\"diameter\":0.75,\"angle\":10,\"height\":0.5},\"flutes\":4},{\"number\":2,\"form\":{\"kind\":\"silhouette\",\
    \"points\":[[0.1,0],[0.25,0.2]]}}],\"materials\":[{\"name\":\"x\",\"unit_power\":0.3,\"source\":\"y\"}]}";

const TYPED: &[&str] =
    &["1.25", "3/8", "1 1/2", "1.25-.062", "12.7mm", "1/2 in + 3 mm", "-.5", "90°", "1,25", "1-3/8"];

/// Whole files that are damaged, for each reader.
struct Seeds(Vec<(Reader, Vec<Vec<u8>>)>);

impl Seeds {
    fn new() -> Self {
        let samples = |wanted: fn(&str) -> bool| -> Vec<Vec<u8>> {
            let files = demo::files().iter().filter(|(name, _)| wanted(name));
            files.map(|(_, bytes)| bytes[..bytes.len().min(LONGEST)].to_vec()).collect()
        };
        let programs = samples(|name| Path::new(name).extension().is_some_and(|own| own == "nc"));
        let jobs = samples(|name| Path::new(name).extension().is_some_and(|own| own == "json"));
        let points = samples(|name| Path::new(name).extension().is_some_and(|own| own == "csv"));
        let mut drawings = samples(|name| Path::new(name).extension().is_some_and(|own| own == "dxf"));
        drawings.push(DXF.replace("\n    ", "\n").into_bytes());
        let svg = vec![SVG.as_bytes().to_vec()];
        let job = String::from_utf8_lossy(jobs.first().expect("a sample")).into_owned();
        let work = Work {
            at: 5,
            what: vec!["the job".to_owned()],
            origin: Origin::Job("a/job.json".into()),
            job,
            crib: Some(CRIB.to_owned()),
            programs: vec![Program { file: Some("1.nc".into()), text: Some(programs[0].clone().into()) }],
            drawings: vec![("a.dxf".to_owned(), drawings[0].clone().into())],
            to_do: vec!["turn it".to_owned()],
        };
        let flat = blockwright_core::pixels::Pixels { width: 9, height: 7, rgba: vec![200; 9 * 7 * 4] };
        let picture = blockwright_core::pixels::png(&flat).expect("a picture");
        let all = [&programs[..], &jobs, &points, &drawings, &svg, std::slice::from_ref(&picture)].concat();
        Self(vec![
            (Reader::Program, programs),
            (Reader::Job, jobs),
            (Reader::Crib, vec![CRIB.as_bytes().to_vec()]),
            (Reader::Dxf, drawings),
            (Reader::Svg, svg),
            (Reader::Points, points),
            (Reader::Typed, TYPED.iter().map(|text| text.as_bytes().to_vec()).collect()),
            (Reader::Unsaved, vec![work.encode()]),
            (Reader::Picture, vec![picture]),
            (Reader::Any, all),
        ])
    }

    fn of(&self, reader: Reader) -> &[Vec<u8>] {
        self.0.iter().find(|(own, _)| *own == reader).map_or(&[], |(_, seeds)| seeds)
    }
}

/// A seed with some damage done to it.
fn damaged(random: &mut Random, seeds: &[Vec<u8>]) -> Vec<u8> {
    let mut bytes = random.of(seeds).clone();
    if random.below(8) == 0 {
        bytes.truncate(random.below(bytes.len() + 1));
    }
    for _ in 0..=random.below(8) {
        let at = random.below(bytes.len() + 1);
        match random.below(7) {
            0 if at < bytes.len() => bytes[at] = random.below(256) as u8,
            1 if at < bytes.len() => drop(bytes.drain(at..(at + 1 + random.below(20)).min(bytes.len()))),
            2 => {
                let piece = random.of(PIECES).repeat(1 + random.below(80));
                drop(bytes.splice(at..at, piece.bytes()));
            }
            3 if !bytes.is_empty() => {
                let from = random.below(bytes.len());
                let again = bytes[from..(from + random.below(200)).min(bytes.len())].to_vec();
                drop(bytes.splice(at..at, again));
            }
            _ => drop(bytes.splice(at..at, random.of(PIECES).bytes())),
        }
    }
    bytes
}

/// A message as a person is to read it: every one goes through `Trouble` or a finding.
fn told(message: &str) {
    let message = &Trouble::at("a file", message, "").to_string();
    assert!(message.len() <= MESSAGE, "{} bytes of message: {message}", message.len());
    assert!(!message.chars().any(|c| c.is_control() && c != '\n'), "{message:?}");
    let mut digits = 0;
    for c in message.chars() {
        digits = if c.is_ascii_digit() { digits + 1 } else { 0 };
        // So many may have been quoted from the file.
        assert!(digits <= 100, "hundreds of digits: {message}");
    }
}

fn drive(reader: Reader, bytes: &[u8]) {
    let cancel = Cancel::new();
    let task = Task::quiet(&cancel);
    match reader {
        Reader::Program => {
            let program = read(bytes, &Settings::for_job(Units::Inch, None), task).expect("nobody cancels");
            program.findings.iter().for_each(|finding| told(&finding.message));
            assert_eq!(TextLines::new(bytes.into()).len(), program.lines, "both count the same lines");
            let given = [Given { file: "a.nc", text: bytes }];
            let suggested = suggest::read(&given, None, task).expect("nobody cancels");
            again(&suggested.job);
            let _ = suggest::table(&suggested);
        }
        Reader::Job => match job::read(bytes) {
            Ok(job) => again(&job),
            Err(error) => told(&error.to_string()),
        },
        Reader::Crib => match job::read_crib(bytes) {
            Ok(crib) => {
                let text = job::write_crib(&crib);
                assert_eq!(job::read_crib(text.as_bytes()).as_ref(), Ok(&crib), "{text}");
            }
            Err(error) => told(&error.to_string()),
        },
        Reader::Dxf => drawing("a.dxf", bytes),
        Reader::Svg => drawing("a.svg", bytes),
        Reader::Points => drawing("a.csv", bytes),
        Reader::Typed => {
            let text = String::from_utf8_lossy(bytes);
            for units in [Units::Inch, Units::Mm] {
                let read = typed::length(&text, units).map_err(|fault| fault.to_string());
                assert!(read.as_ref().map_or(true, |value| value.is_finite()), "{read:?}");
            }
            assert!(typed::number(&text).map_or(true, f64::is_finite));
        }
        Reader::Unsaved => {
            if let Some(work) = Work::decode(bytes) {
                assert_eq!(Work::decode(&work.encode()).as_ref(), Some(&work));
                let _ = work.title();
            }
        }
        Reader::Picture => {
            if let Err(message) = sketch::picture(bytes) {
                told(&message);
            }
        }
        Reader::Any => {
            if let Some(trouble) = files::no_program(Path::new("1001.nc"), bytes) {
                told(&trouble.to_string());
            }
            for name in ["a.dxf", "a.svg", "a.csv", "a.txt", "a"] {
                drawing(name, bytes);
            }
        }
    }
}

/// A job that was read is written and read as itself.
fn again(job: &job::Job) {
    let text = job::write(job);
    match job::read(text.as_bytes()) {
        Ok(read) => assert_eq!(&read, job, "{text}"),
        Err(error) => unreachable!("{error}: {text}"),
    }
}

fn drawing(name: &str, bytes: &[u8]) {
    match bring_in::open(name, bytes) {
        Ok(drawing) => match bring_in::survey(&drawing, None, Units::Inch) {
            Ok(survey) => {
                for layer in &survey.layers {
                    layer.troubles.iter().for_each(|trouble| told(&trouble.message(Units::Inch)));
                }
            }
            Err(fault) => told(&fault.to_string()),
        },
        Err(fault) => told(&fault.to_string()),
    }
}

fn number(name: &str, otherwise: usize) -> usize {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(otherwise)
}

#[test]
fn damaged_files_are_read_without_a_panic() {
    let (count, seed) = (number("BLOCKWRIGHT_INPUTS", INPUTS), number("BLOCKWRIGHT_SEED", 1));
    let (seeds, mut random) = (Seeds::new(), Random(seed as u64));
    let mut slowest = vec![(std::time::Duration::ZERO, 0); READERS.len()];
    for done in 0..count {
        let which = done % READERS.len();
        let reader = READERS[which];
        let bytes = damaged(&mut random, seeds.of(reader));
        let start = std::time::Instant::now();
        let sound = catch_unwind(AssertUnwindSafe(|| drive(reader, &bytes))).is_ok();
        assert!(sound, "input {done} of seed {seed}, {reader:?}:\n{}", bytes.escape_ascii());
        slowest[which] = slowest[which].max((start.elapsed(), done));
    }
    for (reader, (time, done)) in READERS.iter().zip(slowest) {
        println!(
            "{reader:?}: {} inputs, the slowest {} ms (input {done})",
            count / READERS.len(),
            time.as_millis()
        );
    }
    println!("{count} inputs from seed {seed}");
}
