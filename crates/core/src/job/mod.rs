//! The job: what is cut, with what, from where.

mod confirm;
mod control;
mod crib;
mod differ;
mod does;
mod json;
mod material;
mod model;
mod read;
mod write;

pub use confirm::{Basis, Part, ToConfirm};
pub use control::{
    ArcCenters, CallCount, Control, DwellUnit, HomeAxes, LineEnd, Offset, PassedWord, PlainNumbers, SYSTEMS,
    ToolChange, UnitWords,
};
pub use crib::{Clash, Crib, CribFile, read_crib, write_crib};
pub use differ::differences;
pub use does::Does;
pub use json::JobError;
pub use material::MaterialFigure;
pub use model::*;
pub(crate) use read::check_closed;
pub use read::read;
pub use write::write;
