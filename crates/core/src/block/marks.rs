//! Which of the motions that a span stands for is at a place along it.

use super::rows::{Local, nearest};
use super::span::{Motions, Span};

/// So many motions of a span are added up one after the other.
const FEW: usize = 4;

/// The motions of a span by place.
#[derive(Debug, Clone, Copy)]
pub(super) struct MotionAt<'a> {
    motions: Motions,
    /// Where the motions begin and end along the span, in cells; empty for a single motion.
    marks: &'a [f32],
    /// Motions a cell, if all were as long.
    even: f32,
}

impl<'a> MotionAt<'a> {
    /// `marks` are those of all spans.
    pub(super) fn new(span: &Span, local: &Local, marks: &'a [f32]) -> Self {
        let (motions, count) = (span.motions, span.motions.count as usize);
        let from = motions.marks as usize;
        let marks = if count > 1 { marks.get(from..=from + count).unwrap_or_default() } else { &[] };
        Self { motions, marks, even: count as f32 / local.length as f32 }
    }

    /// The motion, when there is but one.
    pub(super) fn only(&self) -> Option<u32> {
        self.marks.is_empty().then_some(self.motions.first)
    }

    /// When there are but a few: each with the places above and up to which it is.
    pub(super) fn few(&self) -> Option<impl Iterator<Item = (u32, f32, f32)> + '_> {
        let windows = (0..).zip(self.marks.windows(2));
        (self.marks.len() <= FEW + 1)
            .then(|| windows.map(|(index, ends)| (self.number(index), ends[0], ends[1])))
    }

    /// The motion at a place given in cells from the span's lower end. Most planners' steps are even, so the
    /// place itself nearly says it.
    #[inline]
    pub(super) fn at(&self, place: f32) -> u32 {
        let last = self.marks.len().saturating_sub(2);
        let guess = (nearest(f64::from(place * self.even) - 0.5) as usize).min(last);
        let hit = self.marks.get(guess..guess + 2).is_some_and(|ends| place > ends[0] && place <= ends[1]);
        let found = if hit { guess } else { self.search(place) };
        self.number(found as u32)
    }

    #[cold]
    fn search(&self, place: f32) -> usize {
        let last = self.marks.len().saturating_sub(2);
        self.marks.partition_point(|mark| *mark < place).saturating_sub(1).min(last)
    }

    /// The motion by its place in the order along the span.
    #[inline]
    fn number(&self, index: u32) -> u32 {
        let Motions { first, count, backwards, .. } = self.motions;
        if backwards { first + (count - 1 - index) } else { first + index }
    }
}
