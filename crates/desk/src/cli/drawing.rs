//! What a drawing holds, before a job names it.

use std::io::Write;

use blockwright_core::bring_in::{self, Fault, LayerSurvey, MOST_BYTES};
use blockwright_core::units::Units;

use super::args::Drawing;
use super::say;
use crate::files;
use crate::trouble::Trouble;

/// Says what a drawing holds.
pub(super) fn drawing(args: &Drawing, out: &mut dyn Write) -> Result<u8, Trouble> {
    let name = args.file.display().to_string();
    let bytes = files::read(&args.file, MOST_BYTES as u64)?;
    let trouble = |fault: Fault| {
        let place = fault.spot.map_or_else(|| name.clone(), |spot| format!("{name}, {spot}"));
        let what = Fault { spot: None, ..fault };
        Trouble::at(place, what.to_string(), "correct the drawing, or choose another")
    };
    let drawing = bring_in::open(&name, &bytes).map_err(trouble)?;
    let units = drawing.units.or(args.units.map(Units::from)).ok_or_else(|| {
        Trouble::at(name.clone(), "does not give its unit", "add --units inch or --units mm")
    })?;
    let survey = bring_in::survey(&drawing, args.layer.as_deref(), units).map_err(trouble)?;
    let text = if args.json { survey.json(&name) } else { survey.text(&name) };
    say(out, &text);
    Ok(u8::from(!survey.layers.iter().any(LayerSurvey::is_sound)))
}
