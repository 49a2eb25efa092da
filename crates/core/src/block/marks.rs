//! Which group of the motions that a span stands for is at a place along it.

use std::ops::Range;

use super::span::{Groups, Span};
use super::wide::{Loop, widest};

/// So many groups of a span are added up one after the other.
const FEW: usize = 2;

/// The groups of a span's motions by place.
#[derive(Debug, Clone, Copy)]
pub(super) struct GroupAt<'a> {
    groups: Groups,
    /// Where the groups begin and end along the span, in cells; empty for a single one.
    marks: &'a [f32],
}

impl<'a> GroupAt<'a> {
    /// `marks` are those of all spans.
    pub(super) fn new(span: &Span, marks: &'a [f32]) -> Self {
        let (groups, count) = (span.groups, span.groups.count as usize);
        let from = groups.marks as usize;
        let marks = if count > 1 { marks.get(from..=from + count).unwrap_or_default() } else { &[] };
        Self { groups, marks }
    }

    /// The group, when there is but one.
    pub(super) fn only(&self) -> Option<u32> {
        self.marks.is_empty().then_some(self.groups.first)
    }

    /// When there are but a few: each with the places above and up to which it is.
    pub(super) fn few(&self) -> Option<impl Iterator<Item = (u32, f32, f32)> + '_> {
        let windows = self.marks.windows(2).enumerate();
        (self.marks.len() <= FEW + 1).then(|| {
            windows.map(|(index, ends)| (self.groups.first + self.order(index) as u32, ends[0], ends[1]))
        })
    }

    /// All of them.
    pub(super) fn all(&self) -> Range<u32> {
        self.groups.first..self.groups.first + self.groups.count
    }

    /// The group at a place given in cells from the span's lower end.
    #[inline]
    pub(super) fn at(&self, place: f32) -> u32 {
        self.groups.first + self.order(self.search(place)) as u32
    }

    /// Puts down the group of each place, counted from the first of [`all`](Self::all).
    pub(super) fn number(&self, places: &[f32], numbers: &mut [u32]) {
        if self.groups.even == 0.0 {
            let all = places.iter().zip(numbers);
            all.for_each(|(place, number)| *number = self.order(self.search(*place)) as u32);
            return;
        }
        let last = self.groups.count.saturating_sub(1);
        // Counted down, `last - found` is `last + 1 + !found`.
        let (turn, flip) = if self.groups.backwards { (last + 1, u32::MAX) } else { (0, 0) };
        widest(Numbering { places, numbers, even: self.groups.even, last, turn, flip });
    }

    fn search(&self, place: f32) -> usize {
        let last = self.marks.len().saturating_sub(2);
        self.marks.partition_point(|mark| *mark < place).saturating_sub(1).min(last)
    }

    /// The group by its place in the order along the span.
    #[inline]
    fn order(&self, index: usize) -> usize {
        let last = self.groups.count.saturating_sub(1) as usize;
        if self.groups.backwards { last - index } else { index }
    }
}

/// The loop of [`GroupAt::number`] where the groups are even.
struct Numbering<'a> {
    places: &'a [f32],
    numbers: &'a mut [u32],
    even: f32,
    last: u32,
    turn: u32,
    flip: u32,
}

impl Loop for Numbering<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        for (place, number) in self.places.iter().zip(self.numbers) {
            let found = nearly(place * self.even - 0.5);
            let found = if found < self.last { found } else { self.last };
            *number = self.turn.wrapping_add(found ^ self.flip);
        }
    }
}

/// Adding this leaves a number's nearest whole number in the lowest bits.
const ROUNDING: f32 = 12_582_912.0;

/// The whole number nearest to one that is at most four million, 0 for one below.
#[inline(always)]
fn nearly(x: f32) -> u32 {
    let x = if x > 0.0 { x } else { 0.0 };
    (x + ROUNDING).to_bits() - ROUNDING.to_bits()
}
