//! How much power the blank's material takes to cut: known figures, and the shop's own.

use serde_json::Value;

use super::Job;
use super::json::{Fault, Node};
use super::keys;
use super::write::{Record, number};
use crate::cutting::{self, Material, material_named, specific_force};
use crate::units::Units;

/// Most figures that are read.
pub(super) const MOST_MATERIALS: usize = 1000;
/// A figure that is converted is rounded to so many parts of one, so that it comes back as it was.
const DIGITS: f64 = 1e12;
/// What a figure without a source says.
const OWN: &str = "this shop's own figure";

/// A shop's own figure for a material.
#[derive(Debug, Clone, PartialEq)]
pub struct MaterialFigure {
    /// Name, as a job's `material` writes it, or begins.
    pub name: String,
    /// Power for each removal rate: hp for each in³/min in an inch job, kW for each cm³/min in a millimetre job.
    pub unit_power: f64,
    /// Where the figure is from.
    pub source: Option<String>,
}

impl MaterialFigure {
    /// The figure for a job in another unit.
    #[must_use]
    pub fn converted(&self, from: Units, to: Units) -> Self {
        let there = specific_force(from, self.unit_power).and_then(|force| cutting::unit_power(to, force));
        let unit_power = match there {
            Some(there) if from != to => (there * DIGITS).round() / DIGITS,
            _ => self.unit_power,
        };
        Self { unit_power, ..self.clone() }
    }

    fn material(&self, units: Units) -> Option<Material> {
        Some(Material {
            name: self.name.clone(),
            specific_force: specific_force(units, self.unit_power)?,
            source: self.source.clone().unwrap_or_else(|| OWN.to_owned()),
        })
    }
}

impl Job {
    /// The job's own figures for materials, then those of its crib that it has none of that name for.
    pub fn all_materials(&self) -> impl Iterator<Item = &MaterialFigure> {
        let own = |name: &str| self.materials.iter().any(|figure| figure.name.eq_ignore_ascii_case(name));
        let shared =
            self.crib.iter().flat_map(|crib| &crib.materials).filter(move |figure| !own(&figure.name));
        self.materials.iter().chain(shared)
    }

    /// The blank's material: by the job's own figures, else by its crib's, else by those known from the start.
    pub fn material(&self) -> Option<Material> {
        let own = self.all_materials().filter_map(|figure| figure.material(self.units));
        let list: Vec<Material> = cutting::materials().into_iter().chain(own).collect();
        material_named(&list, self.blank.as_ref()?.material.as_ref()?).cloned()
    }
}

pub(super) fn read(node: Node<'_>) -> Result<Vec<MaterialFigure>, Fault> {
    let mut figures: Vec<MaterialFigure> = Vec::new();
    for node in node.list(MOST_MATERIALS, "materials")? {
        let fields = node.object(keys::MATERIAL)?;
        let (name, power) = (fields.need("name")?, fields.need("unit_power")?);
        let figure = MaterialFigure {
            name: name.words()?,
            unit_power: power.number()?,
            source: fields.maybe("source", Node::words)?,
        };
        if figure.unit_power <= 0.0 {
            return Err(power.fault("must be above 0: the power for each unit of volume per minute"));
        }
        if figures.iter().any(|other| other.name.eq_ignore_ascii_case(&figure.name)) {
            return Err(name.fault(format!("there is already a figure for \"{}\"", figure.name)));
        }
        figures.push(figure);
    }
    Ok(figures)
}

/// The list, when there is anything in it.
pub(super) fn write(figures: &[MaterialFigure]) -> Option<Value> {
    let figure = |figure: &MaterialFigure| -> Value {
        Record::default()
            .with("name", figure.name.as_str())
            .with("unit_power", number(figure.unit_power))
            .maybe("source", figure.source.clone())
            .into()
    };
    (!figures.is_empty()).then(|| figures.iter().map(figure).collect())
}
