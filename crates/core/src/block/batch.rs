//! Cutting a batch of motions, tile beside tile.
//!
//! A tile is cut by all strokes of the batch that reach it, one after the other, while its columns are at hand; the
//! tiles know nothing of each other, so they are shared out among the cores, and the outcome is the same however
//! many there are.

use std::sync::{Arc, Mutex, PoisonError};

use rayon::prelude::*;

use super::carve::{Plot, Room};
use super::cutter::Lobe;
use super::field::{self, Field, TILE, Tile, rows_highest};
use super::grid::Grid;
use super::lay::{LAID_WITHIN, Stroke, Strokes, strokes};
use super::tally::{Outcome, Tally};
use super::void::Voids;
use crate::geometry::{Point, pt};
use crate::tool::Form;
use crate::track::Placed;

/// A rapid's tool is taken smaller by this part of its radius and by what two paths, the feed's and its own, are followed
/// within, so that going along a face it has just cut does not count as going through metal.
const RAPID_CLEARANCE: f64 = 1e-5;

/// A form ready to cut: its lobes, each also as a rapid has it.
#[derive(Debug, Clone)]
pub(super) struct Cutter {
    lobes: Vec<(Lobe, Lobe)>,
}

impl Cutter {
    /// For cells with this side.
    pub(super) fn of(form: &Form, cell: f64) -> Self {
        let less = form.radius() * RAPID_CLEARANCE + 2.0 * LAID_WITHIN * cell;
        let both = |lobe: Lobe| (lobe.clone(), lobe.narrower(less));
        Self { lobes: Lobe::of(form).into_iter().map(both).collect() }
    }

    /// Whether it is cut with one lobe after another.
    pub(super) fn has_lobes(&self) -> bool {
        self.lobes.len() > 1
    }

    /// Largest radius.
    pub(super) fn radius(&self) -> f64 {
        self.lobes.iter().map(|(lobe, _)| lobe.radius()).fold(0.0, f64::max)
    }
}

/// Motions laid out over the tiles.
pub(super) struct Batch<'a> {
    laid: Vec<Laid<'a>>,
    /// The first motion of each group that is counted, counted itself from the batch's first.
    pub(super) groups: Vec<u32>,
}

impl<'a> Batch<'a> {
    /// Lays out motions over a block. With `only`, over no other tile than those marked there.
    pub(super) fn new(field: &Field, cutter: &'a Cutter, placed: &[Placed], only: Option<&[bool]>) -> Self {
        let mut batch = Self { laid: Vec::with_capacity(cutter.lobes.len()), groups: Vec::new() };
        for (lobe, narrow) in &cutter.lobes {
            let mut laid = Laid::new(field, (lobe, narrow), placed, batch.groups.len() as u32, only);
            batch.groups.append(&mut laid.strokes.groups);
            batch.laid.push(laid);
        }
        batch
    }
}

/// What a batch did to one tile.
#[derive(Debug)]
pub(super) struct TileCut {
    /// Index of the tile.
    pub(super) tile: usize,
    pub(super) outcome: Outcome,
}

/// What each core works with, kept from batch to batch.
#[derive(Debug)]
pub(super) struct Shop {
    benches: Vec<Mutex<Bench>>,
    counts: bool,
}

#[derive(Debug, Default)]
struct Bench {
    sheet: Sheet,
    room: Room,
}

impl Shop {
    /// A shop that counts what each motion takes.
    pub(super) fn counting() -> Self {
        Self { counts: true, ..Self::silent() }
    }

    /// A shop that only cuts.
    pub(super) fn silent() -> Self {
        let benches = (0..rayon::current_num_threads()).map(|_| Mutex::default()).collect();
        Self { benches, counts: false }
    }

    /// Cuts motions that were laid out over this field, as it is or as it was before other motions cut it.
    pub(super) fn cut(&self, field: &mut Field, batch: &Batch<'_>) -> Vec<TileCut> {
        let grid = *field.grid();
        let (bottom, least) = (field.bottom(), field.least());
        let tiles = field.tiles.iter_mut().zip(&mut field.voids).zip(&mut field.highest).enumerate();
        // Gathered first: the tiles with work lie close together, and are to be shared out evenly.
        let busy: Vec<_> = tiles
            .filter(|(_, (_, highest))| **highest > bottom)
            .filter(|(index, (_, highest))| batch.laid.iter().any(|laid| laid.reaches(*index, **highest)))
            .collect();
        let counted = if self.counts { batch.groups.len() } else { 0 };
        busy.into_par_iter()
            .with_max_len(1)
            .map(|(index, ((tile, voids), highest))| {
                let mut bench = self.bench().lock().unwrap_or_else(PoisonError::into_inner);
                let Bench { sheet, room } = &mut *bench;
                sheet.tally.fit(counted);
                let mut plot = sheet.borrow(tile, voids.as_deref(), &grid, index, bottom, least);
                for laid in &batch.laid {
                    laid.cut(index, *highest, &mut plot, room);
                }
                let outcome = sheet.give_back(tile, voids);
                if outcome.changed {
                    *highest = field::highest(tile);
                }
                TileCut { tile: index, outcome }
            })
            .collect()
    }

    /// Where the core that asks works.
    fn bench(&self) -> &Mutex<Bench> {
        let core = rayon::current_thread_index().unwrap_or(0);
        &self.benches[core % self.benches.len()]
    }
}

/// The strokes of one lobe, and for each tile those that may reach it, in order.
struct Laid<'a> {
    lobe: &'a Lobe,
    narrow: &'a Lobe,
    strokes: Strokes,
    lists: Vec<Vec<u32>>,
}

impl<'a> Laid<'a> {
    fn new(
        field: &Field,
        (lobe, narrow): (&'a Lobe, &'a Lobe),
        placed: &[Placed],
        counted: u32,
        only: Option<&[bool]>,
    ) -> Self {
        let strokes = strokes(placed, lobe, narrow, field.grid().cell, counted);
        let lists = by_tile(field, &strokes.list, only);
        Self { lobe, narrow, strokes, lists }
    }

    /// The strokes that may reach a tile and come lower than its highest column.
    fn reaching(&self, tile: usize, highest: f32) -> impl Iterator<Item = &Stroke> {
        let list = self.lists[tile].iter().filter_map(|stroke| self.strokes.list.get(*stroke as usize));
        list.filter(move |stroke| stroke.lowest() < f64::from(highest))
    }

    fn reaches(&self, tile: usize, highest: f32) -> bool {
        self.reaching(tile, highest).next().is_some()
    }

    fn cut(&self, tile: usize, highest: f32, plot: &mut Plot<'_>, room: &mut Room) {
        for stroke in self.reaching(tile, highest) {
            match stroke {
                Stroke::Span(span) => {
                    let lobe = if span.rapid { self.narrow } else { self.lobe };
                    plot.carve(span, lobe, &self.strokes.marks, room);
                }
                Stroke::Sweep(sweep, group) => {
                    let lobe = if sweep.rapid { self.narrow } else { self.lobe };
                    plot.scrape(sweep, lobe, *group);
                }
            }
        }
    }
}

/// One core's sheet and the tile it is at.
#[derive(Debug, Default)]
struct Sheet {
    tally: Tally,
    /// Copy of a tile that a stored state shares; it becomes the tile only when something was taken.
    copy: Option<Arc<Tile>>,
    voids: Voids,
    shared: bool,
}

impl Sheet {
    fn borrow<'a>(
        &'a mut self,
        tile: &'a mut Arc<Tile>,
        voids: Option<&Voids>,
        grid: &Grid,
        index: usize,
        bottom: f32,
        least: f32,
    ) -> Plot<'a> {
        self.voids = voids.cloned().unwrap_or_default();
        self.shared = Arc::get_mut(tile).is_none();
        let tops = if self.shared {
            if let Some(copy) = self.copy.as_mut().and_then(Arc::get_mut) {
                copy.copy_from_slice(&tile[..]);
            }
            Arc::make_mut(self.copy.get_or_insert_with(|| Arc::clone(tile)))
        } else {
            Arc::make_mut(tile)
        };
        let origin = corner(grid, index);
        let most = rows_highest(tops);
        Plot {
            tops,
            voids: &mut self.voids,
            tally: &mut self.tally,
            origin: origin + pt(grid.cell, grid.cell) * 0.5,
            cell: grid.cell,
            bottom,
            least,
            most,
        }
    }

    fn give_back(&mut self, tile: &mut Arc<Tile>, voids: &mut Option<Arc<Voids>>) -> Outcome {
        let outcome = self.tally.wipe();
        if outcome.changed {
            if let Some(copy) = self.copy.take_if(|_| self.shared) {
                *tile = copy;
            }
            let left = std::mem::take(&mut self.voids);
            *voids = (!left.is_empty()).then(|| Arc::new(left));
        }
        outcome
    }
}

/// Lower left corner of a tile, on the lattice's own axes.
fn corner(grid: &Grid, tile: usize) -> Point {
    let (across, _) = grid.tiles();
    let side = TILE as f64 * grid.cell;
    grid.origin + pt((tile % across) as f64, (tile / across) as f64) * side
}

/// For each tile, the strokes that may reach it, in order.
fn by_tile(field: &Field, strokes: &[Stroke], only: Option<&[bool]>) -> Vec<Vec<u32>> {
    let grid = field.grid();
    let (across, up) = grid.tiles();
    let side = TILE as f64 * grid.cell;
    let mut lists = vec![Vec::new(); across * up];
    let half = side / 2.0;
    for (number, stroke) in strokes.iter().enumerate() {
        if stroke.lowest() >= f64::from(field.top()) {
            continue;
        }
        let bounds = stroke.bounds();
        let range = |low: f64, high: f64, origin: f64, count: usize| {
            let low = ((low - origin) / side).floor().clamp(0.0, count as f64);
            let high = ((high - origin) / side).floor().clamp(-1.0, count as f64 - 1.0);
            low as usize..(high + 1.0) as usize
        };
        for row in range(bounds.low.y, bounds.high.y, grid.origin.y, up) {
            for column in range(bounds.low.x, bounds.high.x, grid.origin.x, across) {
                let tile = row * across + column;
                let wanted = only.is_none_or(|only| only.get(tile) == Some(&true));
                let middle = corner(grid, tile) + pt(half, half);
                if wanted && stroke.may_reach(middle, half) {
                    lists[tile].push(number as u32);
                }
            }
        }
    }
    lists
}
