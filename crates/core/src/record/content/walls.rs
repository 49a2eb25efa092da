//! Sections of the wall at the stations that matter.

use super::say::Say;
use super::{Figure, Part, Section};
use crate::record::Record;
use crate::record::stations::MOST_ASKED;
use crate::view::{Theme, WallState, wall, wall_viewport};

/// Size of a wall in view points; two of them stand beside each other.
const SIZE: [f32; 2] = [400.0, 320.0];
const SCALE: f32 = 0.645;

/// The walls, lettered as in the plan; `None` without an outline, a blank or a pass.
pub(super) fn section(record: &Record<'_>) -> Option<Section> {
    let (proof, say) = (record.proof, Say::of(record));
    let whole = proof.wall()?;
    let last = proof.passes.len().checked_sub(1)?;
    let tools: Vec<_> = proof.job.passes.iter().map(|pass| proof.job.tool(pass.tool)).collect();
    let figures = record.wall_stations().into_iter().enumerate().map(|(index, station)| {
        let section = whole.section(station);
        let state = WallState {
            section: &section,
            pass: last,
            tools: &tools,
            every_tool: false,
            bed: proof.job.bed_top,
            gauge: proof.gauge.map(|gauge| gauge.z),
            units: say.units.into(),
        };
        let drawing = wall(&state, &wall_viewport(&state, SIZE[0], SIZE[1]), &Theme::print());
        let at = section.place.at;
        let caption = format!(
            "Wall {} at station {}, block X {}, Y {}, after the last pass. Metal gray, its cutter hatched.",
            letter(index),
            say.plain(station),
            say.plain(at.x),
            say.plain(at.y)
        );
        Figure { drawing, scale: SCALE, caption }
    });
    let figures: Vec<Figure> = figures.collect();
    if figures.is_empty() {
        return None;
    }
    let mut parts = vec![Part::Figures(figures)];
    let asked = proof.job.walls.len() + record.walls.len();
    if asked > MOST_ASKED {
        parts.insert(
            0,
            Part::Words(format!("Of the {asked} stations marked, the first {MOST_ASKED} are shown.")),
        );
    }
    Some(Section::new("Walls", parts))
}

/// `A`, `B` and so on; the stations are fewer than the letters.
fn letter(index: usize) -> char {
    char::from(b'A' + (index % 26) as u8)
}
