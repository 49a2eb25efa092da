//! Boxes round runs of a path's spans, in levels, so that a place or a line is held against the spans nearby alone.

use super::{Bounds, Point, Ray};

/// Spans in a box, and boxes in a box of the next level.
const RUN: usize = 8;
/// A path of fewer spans is gone through as it is.
const FEWEST: usize = 24;
/// Boxes are wider than what they hold by this part of the whole, so that rounding leaves nothing out.
const WIDER: f64 = 1e-12;

/// Boxes round runs of spans.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Boxes {
    spans: usize,
    /// Round runs of spans, then round runs of those, and so on; none for a short path.
    levels: Vec<Vec<Bounds>>,
}

impl Boxes {
    /// Round spans with these boxes.
    pub(super) fn of(spans: &[Bounds], whole: &Bounds) -> Self {
        let mut boxes = Self { spans: spans.len(), levels: Vec::new() };
        if spans.len() < FEWEST {
            return boxes;
        }
        let size = whole.width() + whole.height() + whole.low.length().max(whole.high.length());
        let round = |run: &[Bounds]| run.iter().fold(Bounds::EMPTY, |all, one| all.join(*one));
        let mut level: Vec<Bounds> = spans.chunks(RUN).map(|run| round(run).grown(size * WIDER)).collect();
        while level.len() > RUN {
            let next = level.chunks(RUN).map(round).collect();
            boxes.levels.push(std::mem::replace(&mut level, next));
        }
        boxes.levels.push(level);
        boxes
    }

    /// Goes through the spans in order, without those in boxes that are not `wanted`.
    pub(super) fn each(&self, wanted: impl Fn(&Bounds) -> bool, mut span: impl FnMut(usize)) {
        match self.levels.last() {
            Some(top) => self.within(self.levels.len() - 1, 0..top.len(), &wanted, &mut span),
            None => (0..self.spans).for_each(span),
        }
    }

    fn within(
        &self,
        level: usize,
        run: std::ops::Range<usize>,
        wanted: &impl Fn(&Bounds) -> bool,
        span: &mut impl FnMut(usize),
    ) {
        for index in run.filter(|index| wanted(&self.levels[level][*index])) {
            let first = index * RUN;
            match level.checked_sub(1) {
                Some(below) => {
                    self.within(below, first..(first + RUN).min(self.levels[below].len()), wanted, span);
                }
                None => (first..(first + RUN).min(self.spans)).for_each(&mut *span),
            }
        }
    }

    /// The least of `distance` over all spans, given how far from `p` each lies.
    pub(super) fn least(&self, p: Point, distance: impl Fn(usize) -> f64) -> f64 {
        let mut best = f64::INFINITY;
        // A first bound from the run whose box is the nearest, level by level.
        let mut run = self.levels.last().map(|top| 0..top.len());
        for level in (0..self.levels.len()).rev() {
            let boxes = &self.levels[level];
            let nearest = run
                .take()
                .into_iter()
                .flatten()
                .min_by(|a, b| square(&boxes[*a], p).total_cmp(&square(&boxes[*b], p)));
            let below = level.checked_sub(1).map_or(self.spans, |below| self.levels[below].len());
            run = nearest.map(|index| index * RUN..(index * RUN + RUN).min(below));
        }
        for index in run.into_iter().flatten() {
            best = best.min(distance(index));
        }
        let best = std::cell::Cell::new(best);
        self.each(
            |bounds| square(bounds, p) <= best.get() * best.get() * (1.0 + WIDER),
            |index| best.set(best.get().min(distance(index))),
        );
        best.get()
    }
}

/// The square of the distance from a place to a box; 0 inside.
pub(super) fn square(bounds: &Bounds, p: Point) -> f64 {
    let x = (bounds.low.x - p.x).max(p.x - bounds.high.x).max(0.0);
    let y = (bounds.low.y - p.y).max(p.y - bounds.high.y).max(0.0);
    x * x + y * y
}

/// Whether a box comes within `within` of the endless line of a ray.
pub(super) fn is_on_line(bounds: &Bounds, ray: &Ray, within: f64) -> bool {
    let (middle, half) = (bounds.centre(), (bounds.width() / 2.0, bounds.height() / 2.0));
    let off = ray.along.cross(middle - ray.origin).abs();
    let reach = half.0 * ray.along.y.abs() + half.1 * ray.along.x.abs();
    off <= reach + within
}
