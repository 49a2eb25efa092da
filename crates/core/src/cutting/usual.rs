//! Usual speeds and chip loads in aluminium, to hold a program against.

use crate::units::Units;

/// What the teeth are made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CutterMaterial {
    /// High-speed steel.
    HighSpeedSteel,
    /// Solid carbide.
    Carbide,
}

/// Lowest and highest usual surface speed in aluminium, ft/min or m/min.
///
/// High-speed steel 250 to 500 ft/min, milling (docslib.org/doc/5103932, column heads partly lost; published); 100
/// m/min in Carvill, *Mechanical Engineer's Data Handbook* p. 187 (published) lies within. Solid carbide end mills 367
/// to 528 m/min (a published table, up to 6 % Si).
pub fn usual_surface_speed(units: Units, cutter: CutterMaterial) -> (f64, f64) {
    const METRES_IN_FOOT: f64 = 0.3048;
    let (low, high) = match cutter {
        CutterMaterial::HighSpeedSteel => (250.0 * METRES_IN_FOOT, 500.0 * METRES_IN_FOOT),
        CutterMaterial::Carbide => (367.0, 528.0),
    };
    let to = |metres: f64| match units {
        Units::Inch => metres / METRES_IN_FOOT,
        Units::Mm => metres,
    };
    (to(low), to(high))
}

/// Diameter and chip load in mm of solid carbide end mills in aluminum (a published table).
const CHIP_LOADS: [(f64, f64); 7] =
    [(3.0, 0.01), (6.0, 0.04), (8.0, 0.06), (10.0, 0.08), (12.0, 0.10), (16.0, 0.10), (20.0, 0.12)];

/// Usual chip load of an end mill in aluminium, in the unit of the diameter: between the diameters of the source in
/// proportion, outside them as at the nearest. `None` for a diameter that is none.
pub fn usual_chip_load(units: Units, diameter: f64) -> Option<f64> {
    if !(diameter > 0.0 && diameter.is_finite()) {
        return None;
    }
    let mm = diameter * units.to(Units::Mm);
    let first = CHIP_LOADS.first().filter(|(least, _)| mm <= *least);
    let between = CHIP_LOADS.windows(2).find(|pair| mm <= pair[1].0).map(|pair| {
        let ((d0, f0), (d1, f1)) = (pair[0], pair[1]);
        f0 + (f1 - f0) * (mm - d0) / (d1 - d0)
    });
    let found = first.map(|(_, load)| *load).or(between).or(CHIP_LOADS.last().map(|(_, load)| *load))?;
    Some(found * Units::Mm.to(units))
}
