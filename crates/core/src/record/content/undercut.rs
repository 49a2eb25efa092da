//! The undercut passes, and what would leave the land that is wanted.

use super::say::{Say, name};
use super::{Part, Section, Table, number, words};
use crate::record::Record;
use crate::task::{Cancel, Cancelled, Task};
use crate::wall::error_of;

/// The table of the undercut passes; `None` for a job without any.
pub(super) fn section(record: &Record<'_>) -> Result<Option<Section>, Cancelled> {
    let (proof, say) = (record.proof, Say::of(record));
    let (Some(wall), Some(along)) = (proof.wall(), proof.wall.as_deref()) else { return Ok(None) };
    if !wall.is_undercut() {
        return Ok(None);
    }
    let finished = along.passes.last().and_then(|pass| pass.land).map(|land| land.least.max(0.0));
    let land = proof.job.land.or(finished).unwrap_or(0.0);
    let measured = wall.undercut_table(along, land, Task::quiet(&Cancel::new()))?;
    let wanted = match (proof.job.land, finished) {
        (Some(land), _) => format!("Land wanted: {}.", say.fine(land)),
        (None, Some(land)) => {
            format!(
                "The job does not say what land is wanted; the least that is left, {}, is taken.",
                say.fine(land)
            )
        }
        (None, None) => {
            "No land is left between undercut and edge rounding; 0 is taken as wanted.".to_owned()
        }
    };
    let from = match (&measured.rounding_lower, measured.upper) {
        (Some(lower), _) => format!(" The edge rounding starts at block Z {}.", say.range(lower)),
        (None, Some(top)) => {
            format!(" No pass rounds the edge: the land is measured from the top, block Z {}.", say.fine(top))
        }
        (None, None) => String::new(),
    };
    let mut table = Table::new(vec![
        number("", 0.5),
        words("Pass", 4.0),
        number("Diameter at tip", 1.6),
        number("Angle a side", 1.2),
        number("Tip, block Z", 1.4),
        number("Top of undercut, block Z", 2.4),
        number("Steps in", 2.2),
        number("Step wanted", 1.5),
        number("Diameter to enter", 1.6),
    ]);
    let dash = || "-".to_owned();
    let last = measured.rows.last().map(|row| row.pass);
    for row in &measured.rows {
        // The one before steps in for it; what it would have to do alone is nothing to set up by.
        let wanted = row.wanted.filter(|_| Some(row.pass) == last);
        let pass = proof.job.passes.get(row.pass).map_or_else(String::new, |pass| name(&pass.name));
        table.rows.push(vec![
            (row.pass + 1).to_string(),
            pass,
            say.fine(row.diameter),
            format!("{}°", row.angle),
            say.or_dash(row.tip),
            row.finished_line.as_ref().map_or_else(dash, |line| say.range(line)),
            row.step.as_ref().map_or_else(dash, |step| say.range(step)),
            say.or_dash(wanted.map(|wanted| wanted.step)),
            say.or_dash(wanted.map(|wanted| wanted.stated_diameter)),
        ]);
    }
    let mut parts = vec![Part::Words(format!("{wanted}{from}")), Part::Table(table)];
    let small = error_of(say.units);
    if let Some(row) = measured.rows.first() {
        parts.push(Part::Words(format!(
            "An error of {} in touch-off moves the top of undercut by {}, in the step by {}, in the diameter by {}. The \
             step wanted is that of the last undercut, and the diameter to enter the tool diameter for its path, made from \
             the outline.",
            say.fine(small),
            say.fine(row.effect.touch_off * small),
            say.fine(row.effect.step * small),
            say.fine(row.effect.diameter * small)
        )));
    }
    Ok(Some(Section::new("Undercut", parts)))
}
