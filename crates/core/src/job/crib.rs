//! The tool crib: a file of tools that jobs share.

use super::Job;
use super::json::{Fault, JobError, Node, decode};
use super::material::{self, MaterialFigure};
use super::read::{UNITS, schema, tools};
use super::write::{Record, laid_out, tool};
use crate::tool::Tool;
use crate::units::Units;

/// The schema that is read and written.
const SCHEMA: &str = "blockwright-crib/1";
/// Tool numbers named in a message.
const MOST_NAMED: usize = 20;

/// Tools that jobs share, as they stand in a job's own list.
#[derive(Debug, Clone, PartialEq)]
pub struct Crib {
    /// The unit of every length in the crib.
    pub units: Units,
    /// Tools by number.
    pub tools: Vec<Tool>,
    /// The shop's own figures for materials.
    pub materials: Vec<MaterialFigure>,
}

/// The crib that a job takes tools from.
#[derive(Debug, Clone, PartialEq)]
pub struct CribFile {
    /// File name, relative to the job file.
    pub file: String,
    /// Its tools in the job's unit; empty until [`Job::with_crib`].
    pub tools: Vec<Tool>,
    /// Its figures for materials, likewise.
    pub materials: Vec<MaterialFigure>,
}

impl CribFile {
    /// A crib of which only the file's name is known.
    pub fn named(file: String) -> Self {
        Self { file, tools: Vec::new(), materials: Vec::new() }
    }
}

/// Reads the text of a crib file (schema `blockwright-crib/1`: `schema`, `units` and `tools`, all three needed, and
/// `materials`).
///
/// # Errors
/// The first thing in the file that cannot be used, with its line, column and key path.
pub fn read_crib(text: &[u8]) -> Result<Crib, JobError> {
    let text = decode(text)?;
    let root = Node::root(text, "crib")?;
    crib(root).map_err(|fault| fault.placed(text, root))
}

fn crib(root: Node<'_>) -> Result<Crib, Fault> {
    let fields = root.fields()?;
    schema(&fields, SCHEMA, "crib")?;
    fields.only(&["schema", "units", "tools", "materials"])?;
    Ok(Crib {
        units: fields.need("units")?.choice(&UNITS)?,
        tools: tools(fields.need("tools")?)?,
        materials: fields.maybe("materials", material::read)?.unwrap_or_default(),
    })
}

/// The text of a crib file that [`read_crib`] turns back into the same crib.
pub fn write_crib(crib: &Crib) -> String {
    let tools = crib.tools.iter().map(tool).collect::<Vec<_>>();
    let record = Record::default()
        .with("schema", SCHEMA)
        .with("units", crib.units.name())
        .with("tools", tools)
        .maybe("materials", material::write(&crib.materials));
    laid_out(&record.into())
}

impl Crib {
    /// Its tools with their lengths in this unit.
    pub fn tools_in(&self, units: Units) -> Vec<Tool> {
        self.tools.iter().map(|tool| tool.converted(self.units, units)).collect()
    }

    /// Its figures for materials in this unit.
    pub fn materials_in(&self, units: Units) -> Vec<MaterialFigure> {
        self.materials.iter().map(|figure| figure.converted(self.units, units)).collect()
    }
}

/// What becomes of a tool that is brought into a job which has another of its number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Clash {
    /// It takes the place of the job's tool, in every pass that runs with that number.
    Replace,
    /// It gets the lowest number that is free.
    Renumber,
}

impl Job {
    /// The job with the tools of its crib, those of its own list first: where both have a number, the job's counts.
    /// A job without a crib stays as it is.
    ///
    /// # Errors
    /// The first pass whose tool neither has, in words.
    pub fn with_crib(mut self, crib: &Crib) -> Result<Self, String> {
        let units = self.units;
        let Some(own) = &mut self.crib else { return Ok(self) };
        own.tools = crib.tools_in(units);
        own.materials = crib.materials_in(units);
        let file = own.file.clone();
        let missing = self.passes.iter().find(|pass| self.tool(pass.tool).is_none());
        let Some(pass) = missing else { return Ok(self) };
        let known: Vec<String> =
            self.all_tools().map(|tool| tool.number.to_string()).take(MOST_NAMED).collect();
        let known = if known.is_empty() { "none".to_owned() } else { known.join(", ") };
        Err(format!(
            "pass \"{}\" names tool {}, which is neither in the job's \"tools\" nor in {file}; those given: {known}",
            pass.name, pass.tool
        ))
    }

    /// The job's own tools, then those of its crib that it has no tool of that number for.
    pub fn all_tools(&self) -> impl Iterator<Item = &Tool> {
        let own = |number: u32| self.tools.iter().any(|tool| tool.number == number);
        let shared = self.crib.iter().flat_map(|crib| &crib.tools).filter(move |tool| !own(tool.number));
        self.tools.iter().chain(shared)
    }

    /// Brings a tool in this job's unit into its own list; the number it has there.
    pub fn bring_in(&mut self, tool: Tool, clash: Clash) -> u32 {
        let free = self.free_tool_number();
        match (self.tools.iter_mut().find(|own| own.number == tool.number), clash) {
            (Some(own), Clash::Replace) => {
                *own = tool;
                own.number
            }
            (Some(_), Clash::Renumber) => {
                self.tools.push(Tool { number: free, ..tool });
                free
            }
            (None, _) => {
                let number = tool.number;
                self.tools.push(tool);
                number
            }
        }
    }

    /// The lowest number that no tool of the job or of its crib has.
    pub fn free_tool_number(&self) -> u32 {
        (1..u32::MAX).find(|number| self.tool(*number).is_none()).unwrap_or(u32::MAX)
    }
}
