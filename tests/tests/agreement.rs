//! The exact measures and the heightfield, which share no arithmetic, held against each other on every sample.
//!
//! A column of the heightfield stands for its centre, and is cut as the cutter's form cuts there. So it must be metal
//! at the gauge height exactly where it lies nearer to the outline than the leave measured along the ray through it,
//! and its spans must end where the section of the wall ends. What is left between the two is the tolerance by which
//! each of them follows arcs and slopes, far less than a cell.
#![allow(
    clippy::expect_used,
    clippy::print_stdout,
    clippy::allow_attributes,
    reason = "tests say what they stand on and show what they measured"
)]

use blockwright_core::block::Field;
use blockwright_core::demo;
use blockwright_core::geometry::{Path, Place, Point};
use blockwright_core::measure::{OutlineMeasure, Swath};
use blockwright_core::proof::Proof;
use blockwright_core::prover::{Options, Prover};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::tolerance::Tolerances;
use blockwright_core::wall::SectionPass;
use blockwright_tests::{Random, sample};

/// Columns looked at after each pass.
const COLUMNS: usize = 1000;
/// Columns held against the section through them.
const SECTIONS: usize = 300;
/// Columns lie no farther from the wall than this many cells.
const NEAR: f64 = 4.0;
/// By this part of a cell the two may differ.
const OF_A_CELL: f64 = 0.05;
/// The same for a section, whose sides follow the wall by chords.
const OF_A_CELL_IN_SECTION: f64 = 0.25;

fn samples() -> Vec<String> {
    let jobs = demo::files().iter().filter_map(|(name, _)| name.strip_suffix("/job.json"));
    jobs.map(str::to_owned).collect()
}

fn proof_of(folder: &str) -> Proof {
    let cancel = Cancel::new();
    Prover::new()
        .prove(&sample(folder), &Options::default(), Task::quiet(&cancel))
        .expect("a sample can be proven")
}

/// The block after a pass.
fn block_after(proof: &Proof, pass: usize) -> Field {
    proof.block_at(pass, proof.passes[pass].track.length()).expect("a block")
}

/// Whether a column is metal at a height.
fn is_metal(field: &Field, (column, row): (usize, usize), z: f64) -> bool {
    field.column(column, row).any(|(low, high)| f64::from(low) < z && z < f64::from(high))
}

/// The station whose ray goes through a point, and how far outside the outline the point lies; `None` off a corner,
/// where no ray goes.
fn station_of(outline: &Path, at: Point) -> Option<(f64, Place, f64)> {
    let station = outline.nearest(at);
    let place = outline.place(station);
    let off = at - place.at;
    let (out, aside) = (off.dot(place.outward), off.cross(place.outward));
    (aside.abs() < 1e-9).then_some((station, place, out))
}

/// The span of a station, and how far along it.
fn on_span(outline: &Path, station: f64) -> (usize, f64) {
    let starts = outline.span_starts();
    let span = starts.partition_point(|&start| start <= station).saturating_sub(1);
    (span, station - starts[span])
}

/// The worst distance of a column from the leave that says it ought to be otherwise, over all passes, in cells.
fn worst_leave(proof: &Proof) -> (f64, usize) {
    let outline = proof.outline.as_deref().expect("an outline");
    let gauge = proof.gauge.expect("a gauge height").z;
    let tolerances = Tolerances::for_units(proof.job.units);
    let form = |pass: usize| &proof.job.tool(proof.job.passes[pass].tool).expect("a tool").form;
    let swaths: Vec<Swath> = (0..proof.passes.len())
        .map(|pass| Swath::new(&proof.passes[pass].track, form(pass), gauge, tolerances.follow))
        .collect();
    let passes = swaths.iter().map(|swath| (swath, false)).collect();
    let measure = OutlineMeasure { wall: proof.wall().expect("a wall"), gauge, passes, tolerances };
    let mut random = Random(41);
    let (mut worst, mut seen) = (0.0_f64, 0);
    for pass in 0..proof.passes.len() {
        let field = block_after(proof, pass);
        let cell = field.grid().cell;
        for _ in 0..COLUMNS {
            let (span, along) = on_span(outline, random.between(0.0, outline.length()));
            let row = measure.row(span, along);
            let near = row.values[pass].after + random.between(-NEAR, NEAR) * cell;
            let Some(column) = field.grid().cell_at(row.place.at + row.place.outward * near) else {
                continue;
            };
            let Some((station, _, out)) = station_of(outline, field.grid().centre(column.0, column.1)) else {
                continue;
            };
            let (span, along) = on_span(outline, station);
            let values = measure.row(span, along).values;
            let leave = values[pass].after;
            // Off the blank the leave is told to the nearest metal, which need not lie on the ray.
            if (out - leave).abs() > NEAR * cell || values[0].before < 0.0 {
                continue;
            }
            seen += 1;
            if is_metal(&field, column, gauge) != (out < leave) {
                worst = worst.max((out - leave).abs() / cell);
            }
        }
    }
    (worst, seen)
}

/// Distance of a point of a section from the nearest side of its metal.
fn from_side(metal: &[Vec<[f64; 2]>], at: Point) -> f64 {
    let sides = metal.iter().flat_map(|polygon| polygon.iter().zip(polygon.iter().cycle().skip(1)));
    let distance = |(from, to): (&[f64; 2], &[f64; 2])| {
        let (from, to) = (Point { x: from[0], y: from[1] }, Point { x: to[0], y: to[1] });
        let along = to - from;
        let square = along.dot(along);
        let part = if square > 0.0 { ((at - from).dot(along) / square).clamp(0.0, 1.0) } else { 0.0 };
        at.distance(from.toward(to, part))
    };
    sides.map(distance).fold(f64::INFINITY, f64::min)
}

/// Whether a point of a section lies in metal: an odd number of sides ahead of it.
fn in_section(metal: &[Vec<[f64; 2]>], at: Point) -> bool {
    let sides = metal.iter().flat_map(|polygon| polygon.iter().zip(polygon.iter().cycle().skip(1)));
    let ahead = |(from, to): &(&[f64; 2], &[f64; 2])| {
        (from[1] > at.y) != (to[1] > at.y)
            && at.x < from[0] + (at.y - from[1]) / (to[1] - from[1]) * (to[0] - from[0])
    };
    sides.filter(ahead).count() % 2 == 1
}

/// How far a column's spans end from where the section ends, and how far inside the other kind the middle of any of its
/// spans or voids lies, in the block's unit.
fn off_section(section: &SectionPass, spans: &[(f64, f64)], out: f64) -> f64 {
    let at = |z: f64| Point { x: out, y: z };
    let mut worst = 0.0_f64;
    for (low, high) in spans {
        worst = worst.max(from_side(&section.metal, at(*low))).max(from_side(&section.metal, at(*high)));
    }
    let voids = spans.windows(2).map(|pair| (pair[0].1, pair[1].0, false));
    for (low, high, metal) in spans.iter().map(|span| (span.0, span.1, true)).chain(voids) {
        let middle = at(f64::midpoint(low, high));
        if in_section(&section.metal, middle) != metal {
            worst = worst.max(from_side(&section.metal, middle));
        }
    }
    worst
}

/// The worst difference between columns and sections, in cells, how many were compared, and how many of those stand
/// over a void.
fn worst_section(proof: &Proof) -> (f64, usize, usize) {
    let (outline, wall) = (proof.outline.as_deref().expect("an outline"), proof.wall().expect("a wall"));
    let mut random = Random(42);
    let (mut worst, mut seen, mut over_void) = (0.0_f64, 0, 0);
    let blocks: Vec<Field> = (0..proof.passes.len()).map(|pass| block_after(proof, pass)).collect();
    let grid = blocks[0].grid();
    let widest = proof.passes.iter().map(|pass| pass.tool_radius).fold(0.0, f64::max);
    for _ in 0..SECTIONS {
        let place = outline.place(random.between(0.0, outline.length()));
        let aimed = place.at + place.outward * random.between(-widest, widest);
        let Some((column, row)) = grid.cell_at(aimed) else { continue };
        let Some((station, _, out)) = station_of(outline, grid.centre(column, row)) else { continue };
        let section = wall.section(station);
        // Beyond its reach a section belongs to another side of the outline.
        let edge = NEAR * grid.cell;
        if out < section.reach.0 + edge || out > section.reach.1 - edge {
            continue;
        }
        for (block, section) in blocks.iter().zip(&section.passes) {
            let spans: Vec<(f64, f64)> =
                block.column(column, row).map(|(low, high)| (f64::from(low), f64::from(high))).collect();
            seen += 1;
            over_void += usize::from(spans.iter().any(|(low, _)| *low > f64::from(block.bottom())));
            worst = worst.max(off_section(section, &spans, out) / grid.cell);
        }
    }
    (worst, seen, over_void)
}

#[test]
fn columns_are_metal_where_the_leave_says_so() {
    println!("{:<24}{:>12}{:>16}", "sample", "columns", "worst, cells");
    for folder in samples() {
        let (worst, seen) = worst_leave(&proof_of(&folder));
        println!("{folder:<24}{seen:>12}{worst:>16.6}");
        assert!(seen > COLUMNS, "{folder}: only {seen} columns lie on a ray");
        assert!(worst <= OF_A_CELL, "{folder}: a column is {worst} cells on the wrong side of the leave");
    }
}

#[test]
fn spans_of_columns_end_where_the_section_ends() {
    let mut voids = 0;
    println!("{:<24}{:>12}{:>12}{:>16}", "sample", "columns", "over a void", "worst, cells");
    for folder in samples() {
        let (worst, seen, over_void) = worst_section(&proof_of(&folder));
        println!("{folder:<24}{seen:>12}{over_void:>12}{worst:>16.6}");
        assert!(seen > SECTIONS, "{folder}: only {seen} columns lie on a section");
        assert!(worst <= OF_A_CELL_IN_SECTION, "{folder}: a column ends {worst} cells off the section");
        voids += over_void;
    }
    assert!(voids > 0, "no sample has metal over a void");
}
