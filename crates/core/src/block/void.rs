//! What lies below the tops: the voids that an undercut leaves under metal, kept for the few columns that have any.

use super::field::TILE;

/// A height range without metal, under metal of the same column.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Void {
    column: u8,
    low: f32,
    high: f32,
}

/// The voids of one tile, row by row, each row by column and then by height. No two of a column touch, and none
/// touches the column's top.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Voids {
    rows: Vec<Vec<Void>>,
}

impl Voids {
    /// Whether no column has any.
    pub(super) fn is_empty(&self) -> bool {
        self.rows.iter().all(Vec::is_empty)
    }

    /// Whether no column of the row has any.
    #[inline]
    pub(super) fn is_clear(&self, row: usize) -> bool {
        self.rows.get(row).is_none_or(Vec::is_empty)
    }

    /// The voids of one column from below, as low and high.
    pub(super) fn of(&self, column: usize, row: usize) -> impl Iterator<Item = (f32, f32)> + '_ {
        let row = self.rows.get(row).map_or(&[][..], Vec::as_slice);
        let first = row.partition_point(|void| usize::from(void.column) < column);
        let own = row[first..].iter().take_while(move |void| usize::from(void.column) == column);
        own.map(|void| (void.low, void.high))
    }

    /// The heights of all voids, summed.
    pub(super) fn height(&self) -> f64 {
        self.rows.iter().flatten().map(|void| f64::from(void.high - void.low)).sum()
    }

    /// How many there are.
    pub(super) fn count(&self) -> usize {
        self.rows.iter().map(Vec::len).sum()
    }

    /// Bytes held.
    pub(super) fn bytes(&self) -> usize {
        let of_row = |row: &Vec<Void>| row.capacity() * size_of::<Void>() + size_of::<Vec<Void>>();
        self.rows.iter().map(of_row).sum()
    }

    /// Takes the metal between `low` and `high` from a column that ends at `top`. Leftovers thinner than `least`
    /// go with it. Returns how much went and the new top.
    pub(super) fn take(&mut self, at: (usize, usize), top: f32, range: (f32, f32), least: f32) -> (f32, f32) {
        let (column, row) = at;
        let (mut low, mut high) = (range.0, range.1.min(top));
        if high - low <= least {
            return (0.0, top);
        }
        if self.rows.is_empty() {
            self.rows.resize(TILE, Vec::new());
        }
        let Some(row) = self.rows.get_mut(row) else { return (0.0, top) };
        let mut gone = high - low;
        let own = |void: &Void| usize::from(void.column) == column;
        row.retain(|void| {
            let touches = own(void) && void.high >= low - least && void.low <= high + least;
            if touches {
                gone -= (void.high.min(range.1) - void.low.max(range.0)).max(0.0);
                (low, high) = (low.min(void.low), high.max(void.high));
            }
            !touches
        });
        let gone = gone.max(0.0);
        if high >= top - least {
            return (gone, low);
        }
        let place =
            row.partition_point(|void| usize::from(void.column) < column || (own(void) && void.low < low));
        row.insert(place, Void { column: column as u8, low, high });
        (gone, top)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    type Ranges<'a> = &'a [(f32, f32)];

    fn taken(cuts: &[(f32, f32)]) -> (f32, f32, Vec<(f32, f32)>) {
        let (mut voids, mut top, mut gone) = (Voids::default(), 1.0, 0.0);
        for cut in cuts {
            let (more, left) = voids.take((5, 3), top, *cut, 1e-6);
            (gone, top) = (gone + more, left);
        }
        (gone, top, voids.of(5, 3).collect())
    }

    #[test]
    fn cuts_of_one_column_leave_the_spans_they_should() {
        let above = f32::INFINITY;
        let cases: [(Ranges<'_>, f32, f32, Ranges<'_>); 7] = [
            (&[(0.25, 0.5)], 0.25, 1.0, &[(0.25, 0.5)]),
            (&[(0.25, 0.5), (0.25, 0.5)], 0.25, 1.0, &[(0.25, 0.5)]),
            (&[(0.25, 0.5), (0.625, 0.75)], 0.375, 1.0, &[(0.25, 0.5), (0.625, 0.75)]),
            (&[(0.25, 0.5), (0.625, 0.75), (0.375, 0.6875)], 0.5, 1.0, &[(0.25, 0.75)]),
            // From above down to the void, through it, and below it.
            (&[(0.25, 0.5), (0.75, above)], 0.5, 0.75, &[(0.25, 0.5)]),
            (&[(0.25, 0.5), (0.375, above)], 0.75, 0.25, &[]),
            (&[(0.25, 0.5), (0.125, above)], 0.875, 0.125, &[]),
        ];
        for (cuts, gone, top, voids) in cases {
            assert_eq!(taken(cuts), (gone, top, voids.to_vec()), "{cuts:?}");
        }
    }
}
