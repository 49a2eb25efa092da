//! From the text of a case file to what it asks for.

use std::sync::Arc;

use blockwright_core::finding::Severity;
use blockwright_core::job;
use blockwright_core::program::{Program, Settings, Subprogram, read};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::units::Units;

use crate::compare::faults;
use crate::expect::Expect;

/// One case file.
#[derive(Debug)]
pub(crate) struct Case {
    units: Units,
    tool: Option<u32>,
    control: String,
    program: Vec<u8>,
    beside: Vec<(u32, Vec<u8>)>,
    expect: Vec<Expect>,
}

impl Case {
    /// Reads a case file; the fault names what cannot be understood.
    pub(crate) fn parse(text: &str) -> Result<Self, String> {
        let text = format!("\n{text}");
        let mut sections = text.split("\n--- ");
        let head = sections.next().unwrap_or_default();
        let mut case = Self {
            units: Units::Inch,
            tool: None,
            control: "{}".to_owned(),
            program: Vec::new(),
            beside: Vec::new(),
            expect: Vec::new(),
        };
        let mut source = false;
        for line in head.lines().filter(|line| !line.trim().is_empty()) {
            let (key, value) = line.split_once(':').ok_or_else(|| format!("no 'key: value': {line}"))?;
            let value = value.trim();
            match key {
                "source" => source = !value.is_empty(),
                "units" => case.units = if value == "mm" { Units::Mm } else { Units::Inch },
                "tool" => case.tool = Some(value.parse().map_err(|e| format!("{line}: {e}"))?),
                "control" => value.clone_into(&mut case.control),
                _ => return Err(format!("no such key: {key}")),
            }
        }
        if !source {
            return Err("the case names no source".to_owned());
        }
        for section in sections {
            case.section(section)?;
        }
        if case.expect.is_empty() {
            return Err("the case expects nothing".to_owned());
        }
        Ok(case)
    }

    fn section(&mut self, section: &str) -> Result<(), String> {
        let (title, body) = section.split_once('\n').unwrap_or((section, ""));
        match title.split_whitespace().collect::<Vec<_>>()[..] {
            ["program"] => self.program = bytes(body)?,
            ["beside", number] => {
                let number = number.parse().map_err(|e| format!("{title}: {e}"))?;
                self.beside.push((number, bytes(body)?));
            }
            ["expect"] => {
                let lines = body.lines().map(str::trim).filter(|line| !line.is_empty());
                self.expect = lines.map(Expect::parse).collect::<Result<_, _>>()?;
            }
            _ => return Err(format!("no such section: {title}")),
        }
        Ok(())
    }

    /// Whether the program is one with a fault.
    pub(crate) fn is_bad(&self) -> bool {
        let fault = |expect: &Expect| match expect {
            Expect::Finding { severity, .. } => *severity > Severity::Note,
            expect => matches!(expect, Expect::Unproven),
        };
        self.expect.iter().any(fault)
    }

    /// Reads the program and says what is not as expected.
    pub(crate) fn run(&self) -> Result<Vec<String>, String> {
        Ok(faults(&self.expect, &self.program()?))
    }

    fn program(&self) -> Result<Program, String> {
        let job = format!(
            r#"{{"schema": "blockwright-job/1", "units": "{}", "control": {}, "tools": [], "passes": []}}"#,
            self.units.name(),
            self.control
        );
        let job = job::read(job.as_bytes()).map_err(|fault| format!("{fault:?}"))?;
        let mut settings = Settings::for_job(self.units, job.control.as_ref());
        settings.tool = self.tool;
        settings.beside = self.beside.iter().map(|(number, text)| subprogram(*number, text)).collect();
        read(&self.program, &settings, Task::quiet(&Cancel::new())).map_err(|fault| format!("{fault:?}"))
    }
}

fn subprogram(number: u32, text: &[u8]) -> Subprogram {
    Subprogram { number, file: format!("{number}.nc"), text: Arc::from(text) }
}

/// Program text: `\r`, `\t`, `\0`, `\xNN` and `\\` stand for bytes, and a `\` at the end of a line for no line end.
fn bytes(body: &str) -> Result<Vec<u8>, String> {
    let mut bytes = Vec::new();
    for line in body.lines() {
        let mut chars = line.chars();
        let mut ended = true;
        while let Some(c) = chars.next() {
            if c != '\\' {
                bytes.extend(c.encode_utf8(&mut [0; 4]).as_bytes());
                continue;
            }
            match chars.next() {
                Some('r') => bytes.push(b'\r'),
                Some('t') => bytes.push(b'\t'),
                Some('0') => bytes.push(0),
                Some('\\') => bytes.push(b'\\'),
                Some('x') => {
                    let digits: String = chars.by_ref().take(2).collect();
                    bytes.push(u8::from_str_radix(&digits, 16).map_err(|e| format!("{line}: {e}"))?);
                }
                None => ended = false,
                Some(other) => return Err(format!("no such escape: \\{other}")),
            }
        }
        if ended {
            bytes.push(b'\n');
        }
    }
    Ok(bytes)
}
