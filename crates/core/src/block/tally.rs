//! What each group of motions took, gathered column by column.

use std::ops::Range;

/// What one group took from one tile.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Entry {
    /// Sum of the heights taken; times the area of a cell it is the volume.
    pub(super) height: f64,
    /// The most taken from one column.
    pub(super) deepest: f32,
    /// The lower end of that.
    pub(super) left: f32,
    /// Where that was: the cell's index in its tile.
    pub(super) at: u32,
}

impl Entry {
    /// Adds what one column lost, down to `left`; it may be nothing, but not less.
    #[inline]
    pub(super) fn add(&mut self, height: f32, left: f32, at: u32) {
        self.height += f64::from(height);
        if height > self.deepest {
            (self.deepest, self.left, self.at) = (height, left, at);
        }
    }

    /// Adds what several columns lost. Whether the deepest is among these.
    pub(super) fn put(&mut self, more: &Self) -> bool {
        self.height += more.height;
        let deeper = more.deepest > self.deepest;
        if deeper {
            (self.deepest, self.left, self.at) = (more.deepest, more.left, more.at);
        }
        deeper
    }
}

/// A sheet with one line for each group of a batch, used for one tile after another. A sheet without lines only
/// notes whether anything was taken.
#[derive(Debug, Default)]
pub(super) struct Tally {
    lines: Vec<Entry>,
    /// The groups whose lines may have been written on.
    used: Vec<Range<u32>>,
    changed: bool,
    visits: u64,
}

/// What became of a tile, by its sheet.
#[derive(Debug, Default)]
pub(super) struct Outcome {
    /// What each group took.
    pub(super) taken: Vec<(u32, Entry)>,
    /// Whether anything was taken, counted or not.
    pub(super) changed: bool,
    /// Columns looked at.
    pub(super) visits: u64,
}

impl Tally {
    /// Makes room for so many groups; for none when they need not be counted.
    pub(super) fn fit(&mut self, groups: usize) {
        self.lines.resize(groups, Entry::default());
    }

    /// Whether it counts what each group takes.
    #[inline]
    pub(super) fn counts(&self) -> bool {
        !self.lines.is_empty()
    }

    /// Notes that something was taken.
    #[inline]
    pub(super) fn change(&mut self) {
        self.changed = true;
    }

    /// Notes that a group took `height` from a column down to `left`.
    #[inline]
    pub(super) fn add(&mut self, group: u32, height: f32, left: f32, at: usize) {
        self.change();
        if let Some(line) = self.lines_of(group..group + 1).first_mut() {
            line.add(height, left, at as u32);
        }
    }

    /// Notes what a group took from several columns.
    #[inline]
    pub(super) fn put(&mut self, group: u32, more: &Entry) {
        if more.deepest == 0.0 {
            return;
        }
        self.change();
        if let Some(line) = self.lines_of(group..group + 1).first_mut() {
            line.put(more);
        }
    }

    /// The lines of some groups that follow each other, to be written on; none when nothing is counted.
    #[inline]
    pub(super) fn lines_of(&mut self, groups: Range<u32>) -> &mut [Entry] {
        let within = |last: &Range<u32>| last.start <= groups.start && groups.end <= last.end;
        if self.counts() && !self.used.last().is_some_and(within) {
            self.used.push(groups.clone());
        }
        self.lines.get_mut(groups.start as usize..groups.end as usize).unwrap_or_default()
    }

    /// Notes that columns were looked at.
    #[inline]
    pub(super) fn visit(&mut self, columns: usize) {
        self.visits += columns as u64;
    }

    /// Wipes the sheet for the next tile, and tells what it held.
    pub(super) fn wipe(&mut self) -> Outcome {
        let mut taken = Vec::new();
        for group in self.used.drain(..).flatten() {
            let line = self.lines.get_mut(group as usize).map(std::mem::take).unwrap_or_default();
            if line.deepest > 0.0 {
                taken.push((group, line));
            }
        }
        Outcome {
            taken,
            changed: std::mem::take(&mut self.changed),
            visits: std::mem::take(&mut self.visits),
        }
    }
}
