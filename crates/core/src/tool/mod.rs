//! Cutters: their form, and what is known of them beyond it.

mod check;
pub mod drawing;
mod facts;
mod form;
mod profile;
mod scale;

pub use facts::Doubt;
pub use form::Form;
pub use profile::{Piece, Profile};

/// A cutter in the job's list. Lengths in the job's unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Tool {
    /// Number in the job's list, and in programs that call it.
    pub number: u32,
    /// What the operator calls it.
    pub name: Option<String>,
    /// The shape that cuts.
    pub form: Form,
    /// Number of cutting edges.
    pub flutes: Option<u32>,
    /// How far up it cuts.
    pub flute_length: Option<f64>,
    /// Diameter of the shank.
    pub shank_diameter: Option<f64>,
    /// From the tip to the holder.
    pub stickout: Option<f64>,
    /// Diameter of the holder.
    pub holder_diameter: Option<f64>,
}

impl Tool {
    /// The name, or the form's description when it has none.
    pub fn title(&self) -> String {
        self.name.clone().unwrap_or_else(|| self.form.describe())
    }
}
