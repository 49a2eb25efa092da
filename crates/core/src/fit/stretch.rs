//! Where a fit is short of a wanted allowance, and by how much.

use rayon::prelude::*;

use super::follow;
use super::margin::{Lie, Pair};
use crate::geometry::{Path, Point, pt};
use crate::measure::{OutlineMeasure, Row, Swath};
use crate::task::{Cancelled, Task};
use crate::tolerance::Tolerances;
use crate::tool::Form;
use crate::track::Track;
use crate::units::Units;
use crate::wall::{Wall, WallTolerances};

/// A stretch of the outline along which metal has to be built up on the blank.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BuildUp {
    /// Station at which it starts.
    pub from: f64,
    /// Station at which it ends; less than `from` where it goes on past the first vertex.
    pub to: f64,
    /// How long it is along the outline.
    pub length: f64,
    /// The thickness needed at its thickest.
    pub most: f64,
    /// Station at which that is.
    pub most_at: f64,
    /// The place on the outline there.
    pub at: Point,
}

/// The least margin of the outline on the blank as they lie.
pub fn margin_at(outline: &Path, edge: &Path, units: Units) -> f64 {
    Pair::new(outline, edge, follow(units)).margin_at(Lie { shift: pt(0.0, 0.0), turn: 0.0 })
}

/// The stretches of the outline along which the blank leaves less than `allowance`, and the thickness that would
/// have to be built up there at the most: from the nearest metal where the outline lies off the blank. One that goes on
/// past the first vertex is one, and the last.
///
/// # Errors
/// [`Cancelled`] when the task was asked to stop.
pub fn build_up(
    outline: &Path,
    edge: &Path,
    allowance: f64,
    units: Units,
    task: Task<'_>,
) -> Result<Vec<BuildUp>, Cancelled> {
    let nothing = Swath::new(&Track::default(), &Form::Flat { diameter: 1.0 }, 0.0, 1.0);
    let tolerances = Tolerances::for_units(units);
    let measure = OutlineMeasure {
        wall: bare(outline, edge, units),
        gauge: 0.5,
        passes: vec![(&nothing, false)],
        tolerances,
    };
    let rows = measure.stations(task)?.rows;
    // Beside a corner that lies off the blank the ray may pass the metal by, or run along the next side; what is off the
    // blank is built up from the nearest metal.
    let missing = |row: &Row| {
        let leave = row.values.first().map_or(0.0, |values| values.before);
        allowance - if leave <= 0.0 { -edge.distance(row.place.at) } else { leave }
    };
    let short = |row: &Row| missing(row) > tolerances.none_below;
    let needed: Vec<f64> = rows.par_iter().map(missing).collect();
    let is_short = |index: usize| needed[index] > tolerances.none_below;
    let mut found: Vec<BuildUp> = Vec::new();
    let mut open: Option<BuildUp> = None;
    for (index, row) in rows.iter().enumerate() {
        let before = index.checked_sub(1).map(|before| &rows[before]);
        let border = before.filter(|_| is_short(index - 1) != is_short(index)).map(|before| {
            if before.span == row.span { end_between(&measure, before, row, &short) } else { row.station }
        });
        if is_short(index) {
            let from = border.unwrap_or(row.station);
            let here = BuildUp {
                from,
                to: row.station,
                length: 0.0,
                most: needed[index],
                most_at: row.station,
                at: row.place.at,
            };
            let stretch = open.get_or_insert(here);
            let thicker = if here.most > stretch.most { here } else { *stretch };
            *stretch = BuildUp { from: stretch.from, to: row.station, ..thicker };
        } else if let Some(mut stretch) = open.take() {
            stretch.to = border.unwrap_or(row.station);
            found.push(stretch);
        }
    }
    found.extend(open);
    joined(&mut found, outline.length());
    for stretch in &mut found {
        stretch.length = outline.way(stretch.from, stretch.to);
    }
    Ok(found)
}

/// Makes one of what ends at the last station and what begins at the first.
fn joined(found: &mut Vec<BuildUp>, length: f64) {
    let [first, .., last] = found[..] else { return };
    if first.from > 0.0 || last.to < length {
        return;
    }
    let thicker = if first.most > last.most { first } else { last };
    found.remove(0);
    if let Some(one) = found.last_mut() {
        *one = BuildUp { from: last.from, to: first.to, ..thicker };
    }
}

/// The blank alone: its margin is the same at all heights.
fn bare<'a>(outline: &'a Path, edge: &'a Path, units: Units) -> Wall<'a> {
    let tolerances = WallTolerances::for_units(units);
    Wall::new((outline, edge), (0.0, 1.0), Vec::new(), tolerances)
}

fn end_between(
    measure: &OutlineMeasure<'_>,
    before: &Row,
    after: &Row,
    short: &impl Fn(&Row) -> bool,
) -> f64 {
    let start = measure.wall.outline.span_starts()[before.span];
    let (mut low, mut high) = (before.station - start, after.station - start);
    while high - low > measure.tolerances.stretch_end {
        let middle = f64::midpoint(low, high);
        if short(&measure.row(before.span, middle)) == short(before) { low = middle } else { high = middle }
    }
    start + f64::midpoint(low, high)
}
