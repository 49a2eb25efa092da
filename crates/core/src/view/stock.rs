//! The stock round the outline: a band as thick as what stands outside the line, so many times enlarged.

use super::drawing::{Anchor, Dash, Drawing, Ink, Weight, circle};
use super::enlarge::{enlarged, usual};
use super::keep_clear;
use super::label::{Taken, Words, about, haloed, middle};
use super::plan::{closed_line, stretch};
use super::plan_marks::scale_bar;
use super::rounding::{multiples, round_number, round_up};
use super::text::text_width;
use super::theme::Theme;
use super::viewport::Viewport;
use super::zero_mark::{PlanZero, mark, zeros};
use crate::geometry::{Path, Place, Point3};
use crate::measure::StationRow;
use crate::proof::Proof;
use crate::units::Told;

/// What is shown.
#[derive(Debug, Clone, Copy)]
pub struct StockState<'a> {
    /// The checked job.
    pub proof: &'a Proof,
    /// Stations of walls that are lettered on the plan.
    pub walls: &'a [f64],
}

/// The band is never drawn thicker than this, and what three quarters of the blank has is drawn this thick, view points.
const MOST: f64 = 46.0;
const USUAL: f64 = 34.0;
/// Room outside the band for numbers and letters.
const ROOM: f32 = 86.0;
/// Height kept for the key.
const KEY: f32 = 22.0;
const SMALL: f32 = 7.5;
const TEXT: f32 = 8.5;
/// Radius of the discs with the numbers of findings.
const DISC: f32 = 7.0;
/// Most bands: the blank's, and those of the passes that leave the most.
const MOST_BANDS: usize = 5;
/// Most findings that are numbered on the plan.
const MOST_NUMBERS: usize = 40;

/// A state of the metal round the outline.
struct Band {
    /// What it is called.
    title: String,
    /// Thickness at each row.
    thick: Vec<f64>,
}

/// The plan with the stock before the first pass and after each that leaves some, and how many times it is enlarged;
/// `None` without an outline.
pub fn stock(state: &StockState<'_>, [width, height]: [f32; 2], theme: &Theme) -> Option<(Drawing, f64)> {
    let proof = state.proof;
    let outline = proof.outline.as_deref()?;
    let zeros = zeros(&proof.job, outline.bounds());
    let bounds = zeros.iter().fold(outline.bounds(), |all, zero| all.with(zero.at()));
    let viewport = Viewport::fit(bounds, width, height - KEY, ROOM);
    let mut drawing = Drawing::new(width, height);
    drawing.panel([0.0, 0.0, width, height], theme.paper);
    let rows = first_rows(proof);
    let bands = bands(proof);
    let times = times(&bands, viewport.scale);
    let shades = theme.stock_shades();
    for (band, shade) in bands.iter().zip(shades) {
        let line = offset(rows, &band.thick, times, &viewport, |thick| thick.max(0.0));
        drawing.fill(line.clone(), shade);
        drawing.ring(line, theme.quiet, 0.5);
    }
    drawing.fill(closed_line(outline, &viewport), theme.paper);
    if let Some(blank) = bands.first() {
        short(&mut drawing, rows, &blank.thick, times, &viewport, theme);
    }
    drawing.ring(closed_line(outline, &viewport), theme.ink, 1.3);
    keep_clear::draw(&mut drawing, &proof.job, &viewport, theme);
    let mut taken = Taken::default();
    for zero in &zeros {
        mark(&mut drawing, zero, &viewport, theme);
        named(&mut drawing, zero, &viewport, theme, &mut taken);
    }
    numbers(&mut drawing, proof, outline, &viewport, theme, &mut taken);
    letters(&mut drawing, state.walls, outline, &viewport, theme, &mut taken);
    if let Some(blank) = &proof.blank {
        let word = if blank.least_margin < 0.0 { "short" } else { "least" };
        let text = format!("{word} {}", proof.told.fine(blank.least_margin.abs()));
        inside(&mut drawing, outline, blank.least_margin_at, &text, &viewport, theme, &mut taken);
    }
    stations(&mut drawing, outline, proof.told, &viewport, theme, &mut taken);
    let end = key(&mut drawing, &bands, shades, height - KEY / 2.0, theme);
    scale_bar(&mut drawing, proof.told, [end.min(0.0), 0.0], &viewport, theme);
    Some((drawing, times))
}

/// The rows of the first pass that was measured: what stood before it is the blank.
fn first_rows(proof: &Proof) -> &[StationRow] {
    let along = proof.passes.iter().find_map(|pass| pass.along_outline.as_deref());
    along.map_or(&[], |along| &along.rows)
}

/// The blank, and every pass that leaves a state of its own with stock in it.
fn bands(proof: &Proof) -> Vec<Band> {
    let Some(first) = proof.passes.iter().position(|pass| pass.along_outline.is_some()) else {
        return Vec::new();
    };
    let blank = first_rows(proof).iter().map(|row| row.before).collect();
    let mut bands = vec![Band { title: "blank as sawn".to_owned(), thick: blank }];
    let least = proof.told.of().pick(0.0005, 0.0125);
    for (index, pass) in proof.passes.iter().enumerate().skip(first) {
        let Some(along) = pass.along_outline.as_deref() else { continue };
        let thick: Vec<f64> = along.rows.iter().map(|row| row.after).collect();
        let changes = bands.last().is_some_and(|band| {
            band.thick.len() == thick.len()
                && band.thick.iter().zip(&thick).any(|(before, after)| (before - after).abs() > least)
        });
        if changes && thick.iter().any(|thick| *thick > least) && bands.len() < MOST_BANDS {
            bands.push(Band { title: format!("after pass {}", index + 1), thick });
        }
    }
    bands
}

/// By how much thicknesses are enlarged: a round number.
fn times(bands: &[Band], scale: f64) -> f64 {
    let Some(blank) = bands.first() else { return 1.0 };
    enlarged(usual(blank.thick.iter().map(|thick| thick.abs()), 0.75), USUAL, scale)
}

/// The line at these thicknesses from the outline, enlarged, and no farther out than the band may be thick.
fn offset(
    rows: &[StationRow],
    thick: &[f64],
    times: f64,
    viewport: &Viewport,
    of: impl Fn(f64) -> f64,
) -> Vec<[f32; 2]> {
    let most = MOST / viewport.scale;
    let at =
        |(row, thick): (&StationRow, &f64)| row.at + row.outward * (of(*thick) * times).clamp(-most, most);
    rows.iter().zip(thick).map(at).map(|p| viewport.to_view(p)).collect()
}

/// Where the blank ends inside the outline: hatched black from the line in.
fn short(
    drawing: &mut Drawing,
    rows: &[StationRow],
    thick: &[f64],
    times: f64,
    viewport: &Viewport,
    theme: &Theme,
) {
    let all: Vec<(&StationRow, f64)> = rows.iter().zip(thick.iter().copied()).collect();
    for run in all.chunk_by(|a, b| (a.1 < 0.0) == (b.1 < 0.0)).filter(|run| run[0].1 < 0.0) {
        let most = MOST / viewport.scale;
        let inner = run.iter().rev().map(|(row, thick)| row.at + row.outward * (thick * times).max(-most));
        let line: Vec<[f32; 2]> =
            run.iter().map(|(row, _)| row.at).chain(inner).map(|p| viewport.to_view(p)).collect();
        drawing.fill(line.clone(), theme.none);
        drawing.ring(line, theme.ink, 0.8);
    }
}

/// The way from a place outward (or inward) in view points, a little to either side as well.
fn around(place: &Place, first: f64, step: f64, viewport: &Viewport) -> impl Iterator<Item = [f32; 2]> {
    let (at, out, scale) = (place.at, place.outward, viewport.scale);
    let viewport = *viewport;
    (0..6_u8).flat_map(move |away| {
        [0.0, 1.0, -1.0, 2.0, -2.0].into_iter().map(move |aside| {
            let off = out * (first + f64::from(away) * step) + out.left() * (aside * 17.0);
            viewport.to_view(at + off * (1.0 / scale))
        })
    })
}

/// The findings' numbers in discs outside the band, each with a line to its place.
fn numbers(
    drawing: &mut Drawing,
    proof: &Proof,
    outline: &Path,
    viewport: &Viewport,
    theme: &Theme,
    taken: &mut Taken,
) {
    for (index, finding) in proof.findings.iter().enumerate().take(MOST_NUMBERS) {
        let at = finding.at.map(Point3::plan);
        let Some(at) = at.or_else(|| Some(outline.place(finding.station?).at)) else { continue };
        let near = outline.place(finding.station.unwrap_or_else(|| outline.nearest(at)));
        let place = Place { at, outward: near.outward };
        let places = around(&place, MOST + 10.0, 16.0, viewport);
        let side = 2.0 * DISC + 3.0;
        let Some(rect) = taken.take(places.map(|at| about(at, side, side)), viewport) else { continue };
        let (disc, from) = (middle(rect), viewport.to_view(at));
        drawing.line(from, disc, theme.ink, 0.7, Dash::Solid);
        drawing.fill(circle(from, 1.6), theme.ink);
        drawing.fill(circle(disc, DISC), theme.paper);
        drawing.ring(circle(disc, DISC), theme.ink, 1.0);
        drawing.bold(disc, Anchor::Centre, TEXT, theme.ink, (index + 1).to_string());
    }
}

/// The name of a zero near its mark, where nothing else is.
fn named(drawing: &mut Drawing, zero: &PlanZero, viewport: &Viewport, theme: &Theme, taken: &mut Taken) {
    let at = viewport.to_view(zero.at());
    taken.add(about(at, 12.0, 12.0));
    let wide = text_width(&zero.name, TEXT, Weight::Bold) + 4.0;
    let aside = wide / 2.0 + 9.0;
    let offs = [[-aside, 9.0], [aside, 9.0], [-aside, -9.0], [aside, -9.0], [0.0, 16.0], [0.0, -16.0]];
    let places = offs.into_iter().map(|off| about([at[0] + off[0], at[1] + off[1]], wide, TEXT + 4.0));
    let Some(rect) = taken.take(places, viewport) else { return };
    let words =
        Words { at: middle(rect), anchor: Anchor::Centre, size: TEXT, weight: Weight::Bold, ink: theme.ink };
    haloed(drawing, words, theme.paper, &zero.name);
}

/// A stroke across the band where a wall is shown, with its letter.
fn letters(
    drawing: &mut Drawing,
    walls: &[f64],
    outline: &Path,
    viewport: &Viewport,
    theme: &Theme,
    taken: &mut Taken,
) {
    for (index, station) in walls.iter().enumerate() {
        let place = outline.place(*station);
        let places = around(&place, MOST + 6.0, 9.0, viewport).map(|at| about(at, 13.0, 13.0));
        let Some(rect) = taken.take(places, viewport) else { continue };
        let from = viewport.to_view(place.at - place.outward * (8.0 / viewport.scale));
        drawing.line(from, middle(rect), theme.ink, 0.7, Dash::Dashed);
        drawing.panel(rect, theme.paper);
        drawing.ring(super::drawing::corners(rect), theme.ink, 0.9);
        let letter = char::from(b'A' + (index % 26) as u8);
        drawing.bold(middle(rect), Anchor::Centre, TEXT, theme.ink, letter.to_string());
    }
}

/// A text inside the outline, near a station.
fn inside(
    drawing: &mut Drawing,
    outline: &Path,
    station: f64,
    text: &str,
    viewport: &Viewport,
    theme: &Theme,
    taken: &mut Taken,
) {
    let (size, weight, place) = (TEXT, Weight::Bold, outline.place(station));
    let wide = text_width(text, size, weight) + 4.0;
    let turned = Place { at: place.at, outward: place.outward * -1.0 };
    let first = 12.0 + f64::from(wide) / 2.0 * place.outward.x.abs();
    let places = || around(&turned, first, 11.0, viewport).map(|at| about(at, wide, size + 4.0));
    // Off the line itself, which turns away next to a corner.
    let off = |r: &[f32; 4]| {
        let edge = [[r[0], r[1]], [r[2], r[1]], [r[2], r[3]], [r[0], r[3]], middle(*r)];
        edge.iter().all(|p| outline.distance(viewport.to_block(*p)) * viewport.scale > 3.0)
    };
    let Some(rect) = taken.take(places().filter(off).chain(places()), viewport) else { return };
    let from = viewport.to_view(place.at);
    drawing.line(
        from,
        [from[0].clamp(rect[0], rect[2]), from[1].clamp(rect[1], rect[3])],
        theme.ink,
        0.6,
        Dash::Solid,
    );
    let words = Words { at: middle(rect), anchor: Anchor::Centre, size, weight, ink: theme.ink };
    haloed(drawing, words, theme.paper, text);
}

/// Strokes at round stations with their numbers, and the way that stations are counted.
fn stations(
    drawing: &mut Drawing,
    outline: &Path,
    units: Told,
    viewport: &Viewport,
    theme: &Theme,
    taken: &mut Taken,
) {
    let step = round_up(46.0 / viewport.scale);
    let inward = |place: &Place, by: f64| viewport.to_view(place.at - place.outward * (by / viewport.scale));
    for station in multiples(0.0, outline.length() - step * 0.4, step) {
        let place = outline.place(station);
        drawing.line(viewport.to_view(place.at), inward(&place, 5.0), theme.ink, 0.8, Dash::Solid);
        let text = round_number(units, station, step);
        let wide = text_width(&text, SMALL, Weight::Plain) + 3.0;
        let at = inward(&place, 9.0 + f64::from(wide) / 2.0 * place.outward.x.abs() + 2.0);
        if taken.take(std::iter::once(about(at, wide, SMALL + 2.0)), viewport).is_some() {
            drawing.text(at, Anchor::Centre, SMALL, theme.ink, text);
        }
    }
    way(drawing, outline, viewport, theme);
}

/// An arrow along the inside of the first stretch.
fn way(drawing: &mut Drawing, outline: &Path, viewport: &Viewport, theme: &Theme) {
    let long = (26.0 / viewport.scale).min(outline.length() / 8.0);
    let shaft = stretch(outline, 0.0, long, viewport);
    let place = outline.place(0.0);
    let shift = place.outward * -5.0;
    let moved: Vec<[f32; 2]> = shaft.iter().map(|p| [p[0] + shift.x as f32, p[1] - shift.y as f32]).collect();
    let (Some(&tip), Some(&before)) = (moved.last(), moved.iter().rev().nth(1)) else { return };
    let (dx, dy) = (tip[0] - before[0], tip[1] - before[1]);
    let length = dx.hypot(dy).max(1e-3);
    let (ux, uy) = (dx / length, dy / length);
    let barb = |side: f32| [tip[0] - 6.0 * ux - 3.0 * side * uy, tip[1] - 6.0 * uy + 3.0 * side * ux];
    drawing.stroke(vec![moved], theme.ink, 0.9, Dash::Solid);
    drawing.fill(vec![tip, barb(1.0), barb(-1.0)], theme.ink);
}

/// What the shades mean, along the bottom. Returns where it ends.
fn key(drawing: &mut Drawing, bands: &[Band], shades: [Ink; MOST_BANDS], y: f32, theme: &Theme) -> f32 {
    let mut x = 6.0;
    let mut word = |drawing: &mut Drawing, ink: Ink, text: &str| {
        drawing.panel([x, y - 5.0, x + 18.0, y + 5.0], ink);
        drawing.ring(super::drawing::corners([x, y - 5.0, x + 18.0, y + 5.0]), theme.quiet, 0.5);
        drawing.text([x + 22.0, y], Anchor::Left, TEXT, theme.ink, text);
        x += 22.0 + text_width(text, TEXT, Weight::Plain) + 14.0;
    };
    for (band, shade) in bands.iter().zip(shades) {
        word(drawing, shade, &band.title);
    }
    if bands.first().is_some_and(|blank| blank.thick.iter().any(|thick| *thick < 0.0)) {
        word(drawing, theme.none, "blank ends inside the line");
    }
    x
}
