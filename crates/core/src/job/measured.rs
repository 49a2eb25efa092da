//! What was measured on the block after a pass.

use serde_json::Value;

use super::json::{Fault, Node};
use super::keys::MEASURES;
use super::write::{Record, number};
use crate::limits::MEASURED;

/// What can be measured on a block.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Quantity {
    /// Over all along X at the gauge height.
    OverX,
    /// Over all along Y at the gauge height.
    OverY,
    /// Stock left outside the outline at a station, at the gauge height.
    StockLeft,
    /// Top of the undercut, above the block's bottom face.
    Undercut,
    /// The land between top of undercut and edge.
    Land,
    /// Height of the block at its edge, above its bottom face.
    Height,
    /// Depth of what a pass cuts into the top, below the top beside it.
    Depth,
    /// Over two pins in the undercut, straight across from a station.
    OverPins,
}

impl Quantity {
    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::OverX,
        Self::OverY,
        Self::StockLeft,
        Self::Undercut,
        Self::Land,
        Self::Height,
        Self::Depth,
        Self::OverPins,
    ];

    /// The word of the job file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::OverX => "over_x",
            Self::OverY => "over_y",
            Self::StockLeft => "stock_left",
            Self::Undercut => "top_of_undercut",
            Self::Land => "land",
            Self::Height => "height",
            Self::Depth => "depth",
            Self::OverPins => "over_pins",
        }
    }
}

/// One value that was measured, in the job's unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    /// What was measured.
    pub what: Quantity,
    /// Where, as a distance along the outline; for stock left and over pins.
    pub station: Option<f64>,
    /// Diameter of the two pins; for over pins.
    pub pins: Option<f64>,
    /// What was found.
    pub value: f64,
}

impl Measured {
    /// Whether both say the same of the same place.
    pub fn is_of(&self, other: &Self) -> bool {
        (self.what, self.station, self.pins) == (other.what, other.station, other.pins)
    }
}

/// What was measured after a pass.
pub(super) fn read(node: Node<'_>) -> Result<Vec<Measured>, Fault> {
    let mut all: Vec<Measured> = Vec::new();
    for node in node.list(MEASURED, "measured values")? {
        let one = value(node)?;
        if all.iter().any(|earlier| earlier.is_of(&one)) {
            return Err(node.fault("this is measured twice: keep one of the two"));
        }
        all.push(one);
    }
    Ok(all)
}

fn value(node: Node<'_>) -> Result<Measured, Fault> {
    let fields = node.fields()?;
    fields.of_kind("what", MEASURES)?;
    let what = fields.need("what")?.choice(&Quantity::ALL.map(|what| (what.word(), what)))?;
    let placed = matches!(what, Quantity::StockLeft | Quantity::OverPins);
    Ok(Measured {
        what,
        station: placed.then(|| fields.need("station")?.not_negative()).transpose()?,
        pins: (what == Quantity::OverPins).then(|| fields.need("pins")?.above_zero()).transpose()?,
        value: fields.need("value")?.number()?,
    })
}

/// The list, when there is anything in it.
pub(super) fn write(all: &[Measured]) -> Option<Value> {
    let one = |measured: &Measured| -> Value {
        Record::default()
            .with("what", measured.what.word())
            .maybe_number("station", measured.station)
            .maybe_number("pins", measured.pins)
            .with("value", number(measured.value))
            .into()
    };
    (!all.is_empty()).then(|| all.iter().map(one).collect())
}
