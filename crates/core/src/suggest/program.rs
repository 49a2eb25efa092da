//! What one program says of itself.

use super::claim::{Claim, hear};
use super::cutter::Cutter;
use super::form::Sayings;
use super::phrase;
use super::reading::{self, Reading};
use super::text::{Called, Remark, Text};
use crate::job::Basis;
use crate::program::Program;
use crate::units::Units;

/// How many lines above its call a tool may be spoken of.
const ABOVE: u32 = 3;

/// A program with what it says of itself; lengths in the job's unit.
#[derive(Debug)]
pub(super) struct Told<'a> {
    pub(super) file: &'a str,
    pub(super) text: Text,
    pub(super) program: Program,
    pub(super) units: Units,
    /// What each remark says.
    pub(super) readings: Vec<(Remark, Reading)>,
}

/// A tool that a program runs.
#[derive(Debug)]
pub(super) struct ToolTold {
    /// Its number, where the program gives one.
    pub(super) number: Option<Claim<u32>>,
    pub(super) said: Sayings,
}

impl<'a> Told<'a> {
    pub(super) fn new(file: &'a str, text: Text, program: Program, units: Units) -> Self {
        let own = own_units(&text).unwrap_or(units);
        let near = |line: u32| text.tools.iter().any(|tool| line == tool.line || line == tool.line + 1);
        let read =
            |remark: &Remark| reading::read(&remark.text, own, units, near(remark.line) && !remark.is_name);
        let readings = text.remarks.iter().map(|remark| (remark.clone(), read(remark))).collect();
        Self { file, text, program, units, readings }
    }

    pub(super) fn comment(&self, line: u32) -> Basis {
        Basis::Comment { program: self.file.to_owned(), line }
    }

    /// The tools that come into the spindle, in order; one without a number where the program calls none.
    pub(super) fn tools(&self) -> Vec<ToolTold> {
        let calls = self.calls();
        let mut tools: Vec<ToolTold> = calls
            .iter()
            .map(|call| ToolTold {
                number: Some(Claim::new(call.number, call.basis(self.file))),
                said: Sayings::default(),
            })
            .collect();
        if tools.is_empty() {
            tools.push(ToolTold { number: self.number_said(), said: Sayings::default() });
        }
        for (remark, reading) in self.readings.iter().filter(|(_, reading)| reading.of_tool) {
            let place = place(&calls, remark.line, reading.tool);
            if let Some(tool) = place.and_then(|place| tools.get_mut(place)) {
                tool.said.hear(reading, &remark.text, &self.comment(remark.line), self.units);
            }
        }
        if let [tool] = &mut tools[..] {
            for (remark, reading) in self.readings.iter().filter(|(_, reading)| !reading.of_tool) {
                // That it is a mill is what is taken anyway.
                if let Some(cutter) =
                    reading.cutter.filter(|cutter| !matches!(cutter, Cutter::Flat | Cutter::Other(_)))
                {
                    tool.said.hint(cutter, &self.comment(remark.line));
                }
            }
        }
        tools
    }

    /// Which of its tools makes the first cut.
    pub(super) fn cutting(&self) -> usize {
        let first = self.program.motions.iter().find(|motion| motion.kind == crate::program::Kind::Feed);
        let number = first.map_or(0, |motion| u32::from(motion.tool));
        self.calls().iter().position(|call| call.number == number).unwrap_or(0)
    }

    /// The calls of tools, each number once: those that come into the spindle, or else those that are named.
    fn calls(&self) -> Vec<Called> {
        let mut calls: Vec<Called> = Vec::new();
        let mut add = |call: Called| {
            if calls.iter().all(|other| other.number != call.number) {
                calls.push(call);
            }
        };
        for call in self.program.tools.iter().filter(|call| call.number > 0) {
            let mut words = self.text.tools.iter();
            let word = words.rfind(|word| word.number == call.number && word.line <= call.line);
            add(word.cloned().unwrap_or_else(|| Called {
                number: call.number,
                line: call.line,
                word: format!("T{}", call.number),
            }));
        }
        if calls.is_empty() {
            for word in &self.text.tools {
                if calls.iter().all(|other| other.number != word.number) {
                    calls.push(word.clone());
                }
            }
        }
        calls
    }

    /// The number that remarks give the tool of a program that calls none.
    fn number_said(&self) -> Option<Claim<u32>> {
        let mut number = None;
        for (remark, reading) in &self.readings {
            if let Some(said) = reading.tool {
                hear(&mut number, said, &self.comment(remark.line), |a, b| a == b);
            }
        }
        number
    }

    /// What the pass is meant to leave. `by_side` says whether its tool goes round an outline by its side.
    pub(super) fn allowance(&self, by_side: bool) -> Option<Claim<f64>> {
        let near = 1e-6;
        let mut said = None;
        for (remark, reading) in &self.readings {
            let from = self.comment(remark.line);
            if let Some(allowance) = reading.allowance {
                hear(&mut said, allowance, &from, |a, b| (a - b).abs() < near);
            } else if by_side && reading.finishes && !other_work(&remark.text) {
                hear(&mut said, 0.0, &from, |a, b| (a - b).abs() < near);
            }
        }
        if said.is_none() && by_side {
            let stem = super::stem(self.file).replace('_', " ");
            let reading = reading::read(&stem, self.units, self.units, false);
            let roughs = self.text.remarks.iter().any(|remark| is_rough(&remark.text));
            if reading.finishes && !roughs && !other_work(&stem) {
                said = Some(Claim::new(0.0, Basis::FileNames));
            }
        }
        said
    }

    /// What remarks say in vain of an allowance.
    pub(super) fn no_allowance(&self) -> impl Iterator<Item = String> {
        self.readings.iter().filter_map(|(remark, reading)| {
            let why = reading.no_allowance.as_ref()?;
            Some(format!(
                "{}, line {}: \"{}\" gives no allowance. {why}",
                self.file, remark.line, remark.text
            ))
        })
    }

    /// The lowest Z the pass is meant to reach: what a remark says, or else what it reaches.
    pub(super) fn bottom(&self) -> Option<Claim<f64>> {
        let near = self.units.pick(0.0005, 0.01);
        let mut bottom = None;
        for (remark, reading) in &self.readings {
            if let Some(depth) = reading.depth {
                hear(&mut bottom, depth, &self.comment(remark.line), |a, b| (a - b).abs() < near);
            }
        }
        if let Some((z, line)) = super::blank::lowest_feed(&self.program.motions) {
            let from = Basis::Motion { program: self.file.to_owned(), line };
            hear(&mut bottom, z, &from, |a, b| (a - b).abs() < near);
        }
        bottom
    }

    /// What a remark says of where the zero lies, for a person to read.
    pub(super) fn zero_said(&self) -> Option<String> {
        const WORDS: [&str; 3] = ["ZERO", "ORIGIN", "DATUM"];
        let of_zero = |remark: &&Remark| {
            let items = phrase::items(&remark.text);
            items.iter().filter_map(phrase::Item::word).any(|word| WORDS.contains(&word))
        };
        let remark = self.text.remarks.iter().find(of_zero)?;
        Some(format!("It says \"{}\" on line {}.", remark.text, remark.line))
    }

    /// The remarks that may name the program, the likeliest first.
    pub(super) fn titles(&self) -> Vec<&Remark> {
        let first_move = self.text.first_move.unwrap_or(u32::MAX);
        let named = self.readings.iter().filter(|(remark, _)| remark.is_name);
        let others = self.readings.iter().filter(|(remark, _)| !remark.is_name && remark.line < first_move);
        named
            .chain(others)
            .filter(|(remark, reading)| is_title(&remark.text, reading))
            .map(|(remark, _)| remark)
            .collect()
    }

    /// What the block is made of.
    pub(super) fn material(&self) -> Option<Claim<String>> {
        let mut material = None;
        for (remark, _) in &self.readings {
            if let Some(said) = material_of(&remark.text) {
                hear(&mut material, said, &self.comment(remark.line), |a, b| a == b);
            }
        }
        material
    }
}

/// Which call a remark speaks of.
fn place(calls: &[Called], line: u32, number: Option<u32>) -> Option<usize> {
    if calls.is_empty() {
        return Some(0);
    }
    if let Some(number) = number {
        return calls.iter().position(|call| call.number == number);
    }
    let ahead = calls.iter().position(|call| call.line >= line && call.line - line <= ABOVE);
    ahead.or_else(|| calls.iter().rposition(|call| call.line <= line)).or(Some(0))
}

/// The unit that a program chooses.
pub(super) fn own_units(text: &Text) -> Option<Units> {
    let word = text.units.as_ref()?;
    Some(if matches!(word.number, 210 | 710) { Units::Mm } else { Units::Inch })
}

fn is_rough(text: &str) -> bool {
    let items = phrase::items(text);
    items.iter().filter_map(phrase::Item::word).any(|word| matches!(word, "ROUGH" | "ROUGHING" | "SEMI"))
}

/// Whether the words are of work that does not follow the outline by the cutter's side.
fn other_work(text: &str) -> bool {
    const WORK: [&str; 15] = [
        "FACE", "FACING", "TOP", "UNDERCUT", "EDGE", "CHAMFER", "DRILL", "HOLE", "HOLES", "POCKET", "GROOVE",
        "SLOT", "ENGRAVE", "ROUNDING", "FLOOR",
    ];
    phrase::items(text).iter().filter_map(phrase::Item::word).any(|word| WORK.contains(&word))
}

/// Whether a remark can be the name of its program: not one about tool, time, unit or zero.
fn is_title(text: &str, reading: &Reading) -> bool {
    const WORK: [&str; 23] = [
        "ROUGH",
        "ROUGHING",
        "FINISH",
        "FINISHING",
        "SEMI",
        "PROFILE",
        "CONTOUR",
        "FACE",
        "LEAVE",
        "PASS",
        "OUTLINE",
        "TRIM",
        "UNDERCUT",
        "EDGE",
        "AROUND",
        "BLOCK",
        "DIE",
        "PAD",
        "SHOE",
        "POCKET",
        "HOLES",
        "OP",
        "WALL",
    ];
    const ABOUT: [&str; 29] = [
        "DATE",
        "TIME",
        "POST",
        "POSTED",
        "MACHINE",
        "CONTROL",
        "UNIT",
        "UNITS",
        "INCHES",
        "METRIC",
        "MATERIAL",
        "MATL",
        "ZERO",
        "ORIGIN",
        "WCS",
        "CAUTION",
        "WARNING",
        "CHECK",
        "REV",
        "BY",
        "PROGRAMMER",
        "COOLANT",
        "TOOLS",
        "STOCK",
        "SPINDLE",
        "CLAMP",
        "CLAMPS",
        "HOME",
        "OFFSET",
    ];
    let items = phrase::items(text);
    let words: Vec<&str> = items.iter().filter_map(phrase::Item::word).collect();
    let works = words.iter().any(|word| WORK.contains(word));
    let about = words.iter().any(|word| ABOUT.contains(word)) && !(works && reading.allowance.is_some());
    let of_tool = (reading.of_tool || reading.tool.is_some() || reading.depth.is_some()) && !works;
    let letters = text.chars().filter(|c| c.is_alphabetic()).count();
    letters >= 3 && !about && !of_tool
}

/// A material that is named: an alloy by its number, or what stands behind the word.
fn material_of(text: &str) -> Option<String> {
    const ALUMINUM: [&str; 5] = ["2024", "5052", "6061", "6082", "7075"];
    let upper = text.to_uppercase();
    if let Some(alloy) = ALUMINUM.iter().find(|alloy| upper.contains(**alloy)) {
        let from = upper.find(alloy)? + alloy.len();
        let behind = upper[from..].trim_start_matches([' ', '-']);
        let temper: String = behind.chars().take_while(char::is_ascii_alphanumeric).collect();
        let is_temper =
            temper.starts_with(['T', 'H', 'O']) && temper[1..].chars().all(|c| c.is_ascii_digit());
        let alone = !upper[..from - alloy.len()].ends_with(|c: char| c.is_ascii_alphanumeric() || c == '.');
        let spoken = ["AL", "MAT", "STOCK", "BLOCK", "PLATE"].iter().any(|word| upper.contains(word));
        if alone && (spoken || is_temper) {
            let temper = if is_temper && temper.len() > 1 { format!("-{temper}") } else { String::new() };
            return Some(format!("aluminum {alloy}{temper}"));
        }
    }
    let behind = ["MATERIAL", "MATL", "MAT'L", "MAT"].iter().find_map(|word| {
        let rest = upper.strip_prefix(word)?;
        rest.starts_with([':', '=', ' ', '-'])
            .then(|| text[word.len()..].trim_start_matches([':', '=', ' ', '-', '.']))
    })?;
    let behind = behind.trim();
    (!behind.is_empty()).then(|| behind.to_lowercase())
}
