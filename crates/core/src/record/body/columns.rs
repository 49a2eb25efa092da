//! The columns of a body, made fit to be bounded by a closed surface.

use std::collections::VecDeque;

use crate::block::Field;
use crate::units::Units;

/// Spans of metal from below, in whole steps of height.
pub(super) type Spans = Vec<(i32, i32)>;

/// Heights go by whole steps, a power of two of the unit, so that they are exact in single precision and no two corners
/// lie nearer than that: 2^-15 in (.00003), 2^-11 mm.
const fn steps(units: Units) -> f64 {
    match units {
        Units::Inch => 32_768.0,
        Units::Mm => 2048.0,
    }
}

/// Free columns all round, so that filling in finds room and the outermost stay free.
pub(super) const RIM: usize = 2;

/// All columns of a field, with a free rim around them.
pub(super) struct Columns {
    /// Columns in a row, the rim's among them.
    pub(super) across: usize,
    /// Rows, the rim's among them.
    pub(super) up: usize,
    step: f64,
    spans: Vec<Spans>,
}

impl Columns {
    pub(super) fn of(field: &Field, units: Units) -> Self {
        let (across, up) = (field.grid().columns + 2 * RIM, field.grid().rows + 2 * RIM);
        let step = steps(units);
        let whole = |height: f32| (f64::from(height) * step).round() as i32;
        let mut spans = vec![Spans::new(); across * up];
        for row in 0..field.grid().rows {
            for column in 0..field.grid().columns {
                let metal = field.column(column, row).map(|(low, high)| (whole(low), whole(high)));
                let own = &mut spans[(row + RIM) * across + column + RIM];
                own.extend(metal.filter(|(low, high)| low < high));
                join(own);
            }
        }
        let mut columns = Self { across, up, step, spans };
        columns.part();
        columns
    }

    /// The spans of a column of the grid with its rim.
    pub(super) fn at(&self, column: usize, row: usize) -> &Spans {
        &self.spans[row * self.across + column]
    }

    /// A height in the field's unit.
    pub(super) fn height(&self, steps: i32) -> f32 {
        (f64::from(steps) / self.step) as f32
    }

    /// Fills in a little metal wherever two parts of it would touch along no more than an edge: four faces would meet
    /// there, and no surface is closed that does. A change may make another one beside it, so that is looked at again.
    fn part(&mut self) {
        let (up, across) = (self.up - 1, self.across - 1);
        let mut waiting: VecDeque<(usize, usize)> =
            (0..up).flat_map(|row| (0..across).map(move |column| (column, row))).collect();
        while let Some((column, row)) = waiting.pop_front() {
            if self.part_about(column, row) {
                let (left, low) = (column.saturating_sub(1), row.saturating_sub(1));
                for row in low..=(row + 1).min(self.up - 2) {
                    for column in left..=(column + 1).min(self.across - 2) {
                        waiting.push_back((column, row));
                    }
                }
            }
        }
    }

    /// The four columns about a corner, by their places counter-clockwise from the lower left.
    fn about(&self, column: usize, row: usize) -> [usize; 4] {
        let first = row * self.across + column;
        [first, first + 1, first + self.across + 1, first + self.across]
    }

    /// Looks at the four columns about a corner; says whether any was changed.
    fn part_about(&mut self, column: usize, row: usize) -> bool {
        let four = self.about(column, row);
        let is_rim = |index: usize| self.spans[four[index]].is_empty();
        if (0..4).all(is_rim) {
            return false;
        }
        let same = four.iter().all(|index| self.spans[*index] == self.spans[four[0]]);
        if same {
            return false;
        }
        for (a, b, other) in [(0, 2, 1), (1, 3, 0)] {
            let (one, two) = (four[other], four[(other + 2) % 4]);
            if let Some(span) = self.diagonal(four[a], four[b], one, two) {
                // On top of the metal that ends there, so that no gap is left under what is filled in.
                let ends = self.spans[two].iter().any(|own| own.1 == span.0);
                self.fill(if ends { two } else { one }, span);
                return true;
            }
        }
        for side in 0..4 {
            let (a, b) = (four[side], four[(side + 1) % 4]);
            if let Some(at) = self.stacked(a, b).or_else(|| self.stacked(b, a)) {
                self.fill(a, (at - 1, at + 1));
                return true;
            }
        }
        false
    }

    /// A height range in which two columns across a corner are metal and the two others are air.
    fn diagonal(&self, a: usize, b: usize, c: usize, d: usize) -> Option<(i32, i32)> {
        for first in &self.spans[a] {
            for second in &self.spans[b] {
                let both = (first.0.max(second.0), first.1.min(second.1));
                if both.0 < both.1 {
                    let free =
                        [c, d].iter().fold(vec![both], |free, column| without(&free, &self.spans[*column]));
                    if let Some(range) = free.first() {
                        return Some(*range);
                    }
                }
            }
        }
        None
    }

    /// A height at which the metal of one column ends and that of its neighbor begins.
    fn stacked(&self, below: usize, above: usize) -> Option<i32> {
        let touches = |at: i32| self.spans[above].iter().any(|span| span.0 == at);
        self.spans[below].iter().map(|span| span.1).find(|at| touches(*at))
    }

    fn fill(&mut self, column: usize, span: (i32, i32)) {
        let spans = &mut self.spans[column];
        spans.push(span);
        join(spans);
    }
}

/// Spans in order, those that touch joined.
fn join(spans: &mut Spans) {
    spans.sort_unstable();
    let mut joined = Spans::with_capacity(spans.len());
    for span in spans.iter() {
        match joined.last_mut() {
            Some(last) if span.0 <= last.1 => last.1 = last.1.max(span.1),
            _ => joined.push(*span),
        }
    }
    *spans = joined;
}

/// What is left of some ranges without these spans.
pub(super) fn without(ranges: &[(i32, i32)], spans: &[(i32, i32)]) -> Vec<(i32, i32)> {
    let mut left = Vec::new();
    for &(start, high) in ranges {
        let mut low = start;
        for span in spans {
            if span.0 >= high || span.1 <= low {
                continue;
            }
            if span.0 > low {
                left.push((low, span.0));
            }
            low = span.1;
        }
        if low < high {
            left.push((low, high));
        }
    }
    left
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spans_are_joined_and_taken_away() {
        let mut spans = vec![(5, 7), (0, 2), (2, 3), (6, 9)];
        join(&mut spans);
        assert_eq!(spans, [(0, 3), (5, 9)]);
        assert_eq!(without(&[(0, 10)], &spans), [(3, 5), (9, 10)]);
        assert_eq!(without(&[(1, 2), (4, 6)], &spans), [(4, 5)]);
        assert!(without(&[(5, 9)], &spans).is_empty());
    }

    #[test]
    fn metal_that_touches_along_an_edge_alone_is_filled_in() {
        let columns = |spans: [&[(i32, i32)]; 4]| {
            let mut all = vec![Spans::new(); 16];
            for (index, own) in [5, 6, 10, 9].into_iter().zip(spans) {
                all[index] = own.to_vec();
            }
            let mut columns = Columns { across: 4, up: 4, step: 1.0, spans: all };
            columns.part();
            columns
        };
        let crossed = columns([&[(0, 5)], &[(0, 1)], &[(0, 4)], &[(0, 2)]]);
        assert_eq!(crossed.at(1, 2), &[(0, 4)], "the higher of the lower two is filled up");
        assert_eq!(crossed.at(2, 1), &[(0, 1)]);
        let stacked = columns([&[(0, 5)], &[(5, 9)], &[], &[(0, 5)]]);
        assert!(stacked.at(1, 1) != &[(0, 5)] || stacked.at(2, 1) != &[(5, 9)], "they overlap now");
        let plain = columns([&[(0, 5)], &[(0, 5)], &[(0, 4)], &[(0, 4)]]);
        assert_eq!(plain.at(1, 1), &[(0, 5)], "nothing to mend");
    }
}
