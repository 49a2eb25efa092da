//! Cutting a batch of motions, tile beside tile.
//!
//! A tile is cut by all strokes of the batch that reach it, one after the other, while its columns are at hand; the
//! tiles know nothing of each other, so they are shared out among the cores, and the outcome is the same however
//! many there are.

use std::sync::Arc;

use rayon::prelude::*;

use super::carve::{Plot, Room};
use super::cutter::Lobe;
use super::field::{Field, Grid, TILE, Tile, rows_highest};
use super::lay::{Stroke, Strokes, strokes};
use super::tally::{Entry, Tally};
use super::void::Voids;
use crate::geometry::{Point, pt};
use crate::tool::Form;
use crate::track::Placed;

/// A rapid's tool is taken smaller by this part of its radius, so that backing off from a face it has just cut
/// does not count as going through metal.
const RAPID_CLEARANCE: f64 = 1e-5;

/// A form ready to cut: its lobes, each also as a rapid has it.
#[derive(Debug, Clone)]
pub(super) struct Cutter {
    lobes: Vec<(Lobe, Lobe)>,
}

impl Cutter {
    pub(super) fn of(form: &Form) -> Self {
        let less = form.radius() * RAPID_CLEARANCE;
        let both = |lobe: Lobe| (lobe.clone(), lobe.narrower(less));
        Self { lobes: Lobe::of(form).into_iter().map(both).collect() }
    }

    /// Largest radius.
    pub(super) fn radius(&self) -> f64 {
        self.lobes.iter().map(|(lobe, _)| lobe.radius()).fold(0.0, f64::max)
    }
}

/// What a batch did to one tile.
#[derive(Debug)]
pub(super) struct TileCut {
    /// Index of the tile.
    pub(super) tile: usize,
    /// What each motion took, by its number in the batch.
    pub(super) taken: Vec<(u32, Entry)>,
    /// Columns looked at.
    pub(super) visits: u64,
}

/// Cuts motions into the field. With `only`, no other tile than those marked there.
pub(super) fn cut(
    field: &mut Field,
    cutter: &Cutter,
    placed: &[Placed],
    only: Option<&[bool]>,
) -> Vec<TileCut> {
    let grid = *field.grid();
    let laid: Vec<Laid<'_>> =
        cutter.lobes.iter().map(|(lobe, narrow)| Laid::new(field, lobe, narrow, placed, only)).collect();
    let (bottom, least) = (field.bottom(), field.least());
    let tiles = field.tiles.par_iter_mut().zip(&mut field.voids).zip(&mut field.highest).enumerate();
    tiles
        .filter(|(index, _)| laid.iter().any(|laid| !laid.lists[*index].is_empty()))
        .map_init(<(Work, Room)>::default, |(work, room), (index, ((tile, voids), most))| {
            work.tally.fit(placed.len());
            let mut plot = work.borrow(tile, voids.as_deref(), &grid, index, bottom, least);
            for laid in &laid {
                laid.cut(index, &mut plot, room);
            }
            let (taken, visits) = work.give_back(tile, voids);
            if !taken.is_empty() {
                *most = rows_highest(tile).into_iter().fold(f32::NEG_INFINITY, f32::max);
            }
            TileCut { tile: index, taken, visits }
        })
        .collect()
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
        lobe: &'a Lobe,
        narrow: &'a Lobe,
        placed: &[Placed],
        only: Option<&[bool]>,
    ) -> Self {
        let strokes = strokes(placed, lobe, narrow, field.grid().cell);
        let lists = by_tile(field, &strokes.list, only);
        Self { lobe, narrow, strokes, lists }
    }

    fn cut(&self, tile: usize, plot: &mut Plot<'_>, room: &mut Room) {
        for stroke in self.lists[tile].iter().filter_map(|stroke| self.strokes.list.get(*stroke as usize)) {
            match stroke {
                Stroke::Span(span) => {
                    let lobe = if span.rapid { self.narrow } else { self.lobe };
                    plot.carve(span, lobe, &self.strokes.marks, room);
                }
                Stroke::Sweep(sweep, motion) => {
                    let lobe = if sweep.rapid { self.narrow } else { self.lobe };
                    plot.scrape(sweep, lobe, *motion);
                }
            }
        }
    }
}

/// What a core keeps from tile to tile.
#[derive(Debug, Default)]
struct Work {
    tally: Tally,
    /// Copy of a tile that a stored state shares; it becomes the tile only when something was taken.
    copy: Option<Arc<Tile>>,
    voids: Voids,
    shared: bool,
}

impl Work {
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

    fn give_back(
        &mut self,
        tile: &mut Arc<Tile>,
        voids: &mut Option<Arc<Voids>>,
    ) -> (Vec<(u32, Entry)>, u64) {
        let (taken, visits) = self.tally.wipe();
        if !taken.is_empty() {
            if let Some(copy) = self.copy.take_if(|_| self.shared) {
                *tile = copy;
            }
            let left = std::mem::take(&mut self.voids);
            *voids = (!left.is_empty()).then(|| Arc::new(left));
        }
        (taken, visits)
    }
}

/// Lower left corner of a tile.
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
        let lowest = stroke.lowest();
        if lowest >= f64::from(field.top()) {
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
                if wanted && lowest < f64::from(field.highest[tile]) && stroke.may_reach(middle, half) {
                    lists[tile].push(number as u32);
                }
            }
        }
    }
    lists
}
