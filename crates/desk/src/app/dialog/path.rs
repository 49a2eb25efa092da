//! What a path is wanted for.

/// Endings of files that are no programs.
const NO_PROGRAMS: [&str; 13] =
    ["json", "dxf", "svg", "csv", "png", "jpg", "jpeg", "pdf", "html", "stl", "zip", "toml", "lock"];

/// What a path is wanted for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Purpose {
    /// Open a job or a program.
    Open,
    /// Write the job file.
    SaveJob,
    /// Write an edited program.
    SaveProgram,
    /// Let the job run this program in another pass.
    AddPass,
    /// Choose tools from this crib.
    Crib,
    /// Write a crib.
    SaveCrib,
    /// Compare the program that is shown with this one.
    Compare,
    /// Bring in a drawing or a list of points.
    BringIn,
    /// Lay a picture under the drawing sheet.
    Under,
    /// Write the record into this folder.
    Record,
    /// Write a picture of the window.
    Window,
    /// Write a picture of the plan.
    Plan,
    /// Write a picture of the strip.
    Strip,
    /// Write a picture of what has to be built up.
    BuildUp,
    /// Write a picture of the wall.
    Wall,
    /// Write a picture of the block in the round.
    Block,
}

impl Purpose {
    /// What the window is called.
    pub(in crate::app) const fn title(self) -> &'static str {
        match self {
            Self::Open => "Open a job or a program",
            Self::SaveJob => "Save job as",
            Self::AddPass => "Program of the new pass",
            Self::Crib => "Choose tools from a crib",
            Self::SaveCrib => "Save tools as a crib",
            Self::SaveProgram => "Save a copy of the edited program",
            Self::Compare => "Compare with this program",
            Self::BringIn => "Import a drawing (DXF, SVG) or points (CSV)",
            Self::Under => "Picture under the sheet (PNG, JPEG)",
            Self::Record => "Write the record into a folder",
            Self::Window => "Save a picture of the window",
            Self::Plan => "Save a picture of the plan",
            Self::Strip => "Save a picture of the graph",
            Self::BuildUp => "Save a picture of the metal to add",
            Self::Wall => "Save a picture of the wall",
            Self::Block => "Save a picture of the block",
        }
    }

    /// Whether a file of this name may be what is wanted, as far as its ending tells. Programs have any ending.
    pub(in crate::app) fn wants(self, name: &str) -> bool {
        let ending = name.rsplit_once('.').map(|(_, ending)| ending.to_lowercase()).unwrap_or_default();
        let is = |known: &[&str]| known.contains(&ending.as_str());
        match self {
            Self::Open => !is(&NO_PROGRAMS) || ending == "json",
            Self::AddPass | Self::Compare | Self::SaveProgram => !is(&NO_PROGRAMS),
            Self::SaveJob | Self::Crib | Self::SaveCrib => is(&["json"]),
            Self::BringIn => is(&["dxf", "svg", "csv", "txt"]),
            Self::Under => is(&["png", "jpg", "jpeg"]),
            // Of a record the folder alone is wanted.
            Self::Record => false,
            Self::Window | Self::Plan | Self::Strip | Self::BuildUp | Self::Wall | Self::Block => {
                is(&["png"])
            }
        }
    }

    /// Whether a name is given to something that is written.
    pub(in crate::app) const fn writes(self) -> bool {
        match self {
            Self::Open | Self::AddPass | Self::Crib | Self::Compare | Self::BringIn | Self::Under => false,
            Self::SaveJob
            | Self::SaveProgram
            | Self::SaveCrib
            | Self::Record
            | Self::Window
            | Self::Plan
            | Self::Strip
            | Self::BuildUp
            | Self::Wall
            | Self::Block => true,
        }
    }

    /// What is done with the path.
    pub(super) const fn verb(self) -> &'static str {
        match self {
            Self::Open | Self::Crib => "Open",
            Self::Compare => "Compare",
            Self::AddPass => "Add",
            Self::BringIn => "Import",
            Self::Under => "Load",
            Self::Record => "Write",
            Self::SaveJob
            | Self::SaveProgram
            | Self::SaveCrib
            | Self::Window
            | Self::Plan
            | Self::Strip
            | Self::BuildUp
            | Self::Wall
            | Self::Block => "Save",
        }
    }
}
