//! What a job holds that nobody has confirmed yet: suggestions, each with what it rests on.

use std::fmt;

use serde_json::Value;

use super::Job;
use super::json::{Fault, Fields, Node};
use super::keys;
use super::model::{Blank, PathSource};
use super::write::Record;
use crate::limits::TO_CONFIRM;

/// The keys of a tool that can wait to be confirmed: its own, and those of its form.
pub(super) const TOOL_KEYS: [&str; 15] = [
    "number",
    "form",
    "diameter",
    "corner_radius",
    "angle",
    "height",
    "pilot_diameter",
    "radius",
    "pilot_length",
    "tip_diameter",
    "point_angle",
    "flutes",
    "flute_length",
    "shank_diameter",
    "stickout",
];
/// The keys of a pass.
pub(super) const PASS_KEYS: [&str; 4] = ["tool", "allowance", "bottom", "zero"];
/// Those of the job itself; `passes` is their order.
pub(super) const JOB_KEYS: [&str; 5] = ["units", "outline", "blank", "material", "passes"];

/// A part of a job that waits to be confirmed. The words are keys of the job file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Part {
    /// Of the tool with this number: a key of its own or of its form.
    Tool(u32, &'static str),
    /// Of the pass with this name: one of its keys.
    Pass(String, &'static str),
    /// Of the job itself: `units`, `outline`, `blank`, `material` of the blank, or `passes` for their order.
    Job(&'static str),
}

/// What a suggestion rests on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Basis {
    /// A comment.
    Comment {
        /// File of the program.
        program: String,
        /// Its line, from 1.
        line: u32,
    },
    /// A word.
    Word {
        /// As it stands there, such as `T1`.
        word: String,
        /// File of the program.
        program: String,
        /// Its line, from 1.
        line: u32,
    },
    /// The lowest feed motion.
    Motion {
        /// File of the program.
        program: String,
        /// Its line, from 1.
        line: u32,
    },
    /// All that the tools sweep in all programs.
    Paths,
    /// The names of the files.
    FileNames,
    /// What a person said.
    Person,
    /// Nothing: it is what is usual.
    Usual,
}

impl fmt::Display for Basis {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Comment { program, line } => write!(f, "the comment on line {line} of {program}"),
            Self::Word { word, program, line } => write!(f, "the {word} on line {line} of {program}"),
            Self::Motion { program, line } => {
                write!(f, "the lowest feed motion, on line {line} of {program}")
            }
            Self::Paths => f.write_str("what the tools sweep in all programs"),
            Self::FileNames => f.write_str("the names of the files"),
            Self::Person => f.write_str("as you said"),
            Self::Usual => f.write_str("assumed: nothing says otherwise"),
        }
    }
}

/// One suggestion that nobody has confirmed yet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ToConfirm {
    /// What was suggested.
    pub part: Part,
    /// What it rests on.
    pub from: Basis,
    /// What says otherwise.
    pub against: Vec<Basis>,
    /// What a person should know besides, as a sentence.
    pub note: Option<String>,
}

impl ToConfirm {
    /// A suggestion that nothing speaks against.
    pub const fn new(part: Part, from: Basis) -> Self {
        Self { part, from, against: Vec::new(), note: None }
    }
}

impl fmt::Display for ToConfirm {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (Part::Tool(_, key) | Part::Pass(_, key) | Part::Job(key)) = &self.part;
        let key = match *key {
            "passes" => "order of the passes",
            "bottom" => "lowest Z",
            other => other,
        };
        write!(f, "{} ({}", key.replace('_', " "), self.from)?;
        for other in &self.against {
            write!(f, "; but {other} says otherwise")?;
        }
        f.write_str(")")?;
        self.note.as_ref().map_or(Ok(()), |note| write!(f, " [{note}]"))
    }
}

impl Job {
    /// What waits to be confirmed and is still there.
    pub fn unconfirmed(&self) -> impl Iterator<Item = &ToConfirm> {
        self.to_confirm.iter().filter(|entry| self.has(&entry.part))
    }

    /// Takes these parts as confirmed.
    pub fn confirm(&mut self, which: impl Fn(&Part) -> bool) {
        self.to_confirm.retain(|entry| !which(&entry.part));
    }

    /// What a person has changed since `before` has been looked at, and waits no more.
    pub fn confirm_changes(&mut self, before: &Self) {
        let entries = std::mem::take(&mut self.to_confirm);
        let stays = |entry: &ToConfirm| !before.has(&entry.part) || self.is_alike(before, &entry.part);
        self.to_confirm = entries.into_iter().filter(stays).collect();
    }

    /// Gives a pass another name, everywhere that it is named.
    pub fn rename_pass(&mut self, pass: usize, name: &str) {
        let Some(pass) = self.passes.get_mut(pass) else { return };
        let old = std::mem::replace(&mut pass.name, name.to_owned());
        for entry in &mut self.to_confirm {
            match &mut entry.part {
                Part::Pass(named, _) if *named == old => name.clone_into(named),
                _ => {}
            }
        }
        match &mut self.outline {
            Some(PathSource::FromPass(named)) if *named == old => name.clone_into(named),
            _ => {}
        }
    }

    fn has(&self, part: &Part) -> bool {
        match part {
            Part::Tool(number, _) => self.tool(*number).is_some(),
            Part::Pass(name, _) => self.passes.iter().any(|pass| pass.name == *name),
            Part::Job("outline") => self.outline.is_some(),
            Part::Job("blank" | "material") => self.blank.is_some(),
            Part::Job(_) => true,
        }
    }

    fn is_alike(&self, other: &Self, part: &Part) -> bool {
        match part {
            Part::Tool(number, key) => {
                let of = |job: &Self| job.tool(*number).cloned();
                match *key {
                    "flutes" => of(self).map(|tool| tool.flutes) == of(other).map(|tool| tool.flutes),
                    "flute_length" => {
                        of(self).map(|tool| tool.flute_length) == of(other).map(|tool| tool.flute_length)
                    }
                    "shank_diameter" => {
                        of(self).map(|tool| tool.shank_diameter) == of(other).map(|tool| tool.shank_diameter)
                    }
                    "stickout" => of(self).map(|tool| tool.stickout) == of(other).map(|tool| tool.stickout),
                    _ => of(self).map(|tool| tool.form) == of(other).map(|tool| tool.form),
                }
            }
            Part::Pass(name, key) => {
                let of = |job: &Self| job.passes.iter().find(|pass| pass.name == *name).cloned();
                match *key {
                    "tool" => of(self).map(|pass| pass.tool) == of(other).map(|pass| pass.tool),
                    "allowance" => {
                        of(self).map(|pass| pass.allowance) == of(other).map(|pass| pass.allowance)
                    }
                    "bottom" => of(self).map(|pass| pass.bottom) == of(other).map(|pass| pass.bottom),
                    _ => of(self).map(|pass| pass.zero) == of(other).map(|pass| pass.zero),
                }
            }
            Part::Job("units") => self.units == other.units,
            Part::Job("outline") => match (&self.outline, &other.outline) {
                // The pass may have got another name.
                (Some(PathSource::FromPass(a)), Some(PathSource::FromPass(b))) => {
                    a == b || program(self, a) == program(other, b)
                }
                (a, b) => a == b,
            },
            Part::Job("material") => material(self) == material(other),
            Part::Job("blank") => {
                let stated = |blank: &Blank| (blank.edge.clone(), blank.top, blank.thickness);
                self.blank.as_ref().map(stated) == other.blank.as_ref().map(stated)
            }
            Part::Job(_) => {
                let names =
                    |job: &Self| job.passes.iter().map(|pass| pass.program.clone()).collect::<Vec<_>>();
                names(self) == names(other)
            }
        }
    }
}

fn program<'a>(job: &'a Job, pass: &str) -> Option<&'a str> {
    job.passes.iter().find(|other| other.name == pass).map(|pass| pass.program.as_str())
}

fn material(job: &Job) -> Option<&str> {
    job.blank.as_ref()?.material.as_deref()
}

/// The entries of a job whose other parts have been read.
pub(super) fn read(node: Node<'_>, job: &Job) -> Result<Vec<ToConfirm>, Fault> {
    node.list(TO_CONFIRM, "things to confirm")?.into_iter().map(|node| entry(node, job)).collect()
}

fn entry(node: Node<'_>, job: &Job) -> Result<ToConfirm, Fault> {
    let fields = node.fields()?;
    fields.only(&keys::names_of_shapes(keys::CONFIRM))?;
    let part = part(&fields)?;
    // What the crib holds is not known yet.
    let known = job.has(&part) || (matches!(part, Part::Tool(..)) && job.crib.is_some());
    if !known {
        let (key, what) = match &part {
            Part::Tool(number, _) => ("tool", format!("tool {number}")),
            Part::Pass(name, _) => ("pass", format!("pass \"{name}\"")),
            Part::Job(key) => ("key", format!("\"{key}\"")),
        };
        let message = format!("this job has no {what}: take the entry out, or name what is to be confirmed");
        return Err(fields.get(key).unwrap_or(node).fault(message));
    }
    let against = fields.maybe("against", |node| {
        node.list(TO_CONFIRM, "what says otherwise")?.into_iter().map(basis).collect::<Result<Vec<_>, _>>()
    })?;
    Ok(ToConfirm {
        part,
        from: basis(fields.need("from")?)?,
        against: against.unwrap_or_default(),
        note: fields.maybe("note", Node::text)?,
    })
}

fn part(fields: &Fields<'_>) -> Result<Part, Fault> {
    let key = fields.need("key")?;
    match (fields.get("tool"), fields.get("pass")) {
        (Some(_), Some(_)) => {
            Err(fields.key_fault("pass", "\"tool\" and \"pass\" exclude each other: keep one"))
        }
        (Some(tool), None) => Ok(Part::Tool(tool.whole(1)?, one_of(key, &TOOL_KEYS)?)),
        (None, Some(pass)) => Ok(Part::Pass(pass.words()?, one_of(key, &PASS_KEYS)?)),
        (None, None) => Ok(Part::Job(one_of(key, &JOB_KEYS)?)),
    }
}

fn one_of<const N: usize>(node: Node<'_>, keys: &[&'static str; N]) -> Result<&'static str, Fault> {
    node.choice(&keys.map(|key| (key, key)))
}

fn basis(node: Node<'_>) -> Result<Basis, Fault> {
    let fields = node.fields()?;
    let kind = fields.of_kind("kind", keys::BASES)?;
    let program = || fields.need("program")?.words();
    let line = || fields.need("line")?.whole(1);
    Ok(match kind {
        "comment" => Basis::Comment { program: program()?, line: line()? },
        "word" => Basis::Word { word: fields.need("word")?.words()?, program: program()?, line: line()? },
        "motion" => Basis::Motion { program: program()?, line: line()? },
        "paths" => Basis::Paths,
        "file_names" => Basis::FileNames,
        "person" => Basis::Person,
        // `of_kind` has let nothing else through.
        _ => Basis::Usual,
    })
}

/// The entries that still speak of something in the job; `None` when there are none.
pub(super) fn write(job: &Job) -> Option<Value> {
    let entries: Vec<Value> = job.unconfirmed().map(entry_value).collect();
    (!entries.is_empty()).then(|| entries.into())
}

fn entry_value(entry: &ToConfirm) -> Value {
    let record = match &entry.part {
        Part::Tool(number, key) => Record::default().with("tool", *number).with("key", *key),
        Part::Pass(name, key) => Record::default().with("pass", name.as_str()).with("key", *key),
        Part::Job(key) => Record::default().with("key", *key),
    };
    let against: Vec<Value> = entry.against.iter().map(basis_value).collect();
    record
        .with("from", basis_value(&entry.from))
        .maybe("against", (!against.is_empty()).then_some(against))
        .maybe("note", entry.note.clone())
        .into()
}

fn basis_value(basis: &Basis) -> Value {
    let kind = |kind: &str| Record::default().with("kind", kind);
    let at = |record: Record, program: &str, line: u32| record.with("program", program).with("line", line);
    match basis {
        Basis::Comment { program, line } => at(kind("comment"), program, *line),
        Basis::Word { word, program, line } => at(kind("word").with("word", word.as_str()), program, *line),
        Basis::Motion { program, line } => at(kind("motion"), program, *line),
        Basis::Paths => kind("paths"),
        Basis::FileNames => kind("file_names"),
        Basis::Person => kind("person"),
        Basis::Usual => kind("usual"),
    }
    .into()
}
