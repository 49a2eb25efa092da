//! What each motion took, gathered column by column.

/// What one motion took from one tile.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Entry {
    /// Sum of the heights taken; times the area of a cell it is the volume.
    pub(super) height: f64,
    /// Columns cut.
    pub(super) cells: u32,
    /// The most taken from one column.
    pub(super) deepest: f32,
    /// The lower end of that.
    pub(super) left: f32,
    /// Where that was: the cell's index in its tile.
    pub(super) at: u32,
}

impl Entry {
    /// What one column lost, down to `left`.
    #[inline]
    pub(super) fn of(height: f32, left: f32, at: usize) -> Self {
        Self { height: f64::from(height), cells: 1, deepest: height, left, at: at as u32 }
    }
}

/// A sheet with one line for each motion of a batch, used for one tile after another.
#[derive(Debug, Default)]
pub(super) struct Tally {
    entries: Vec<Entry>,
    used: Vec<u32>,
    visits: u64,
}

impl Tally {
    /// Makes room for a batch of `motions`.
    pub(super) fn fit(&mut self, motions: usize) {
        if self.entries.len() < motions {
            self.entries.resize(motions, Entry::default());
        }
    }

    /// Notes that a motion took `height` from a column down to `left`.
    #[inline]
    pub(super) fn add(&mut self, motion: u32, height: f32, left: f32, at: usize) {
        self.put(motion, &Entry::of(height, left, at));
    }

    /// Notes what a motion took from several columns.
    #[inline]
    pub(super) fn put(&mut self, motion: u32, more: &Entry) {
        let Some(entry) = self.entries.get_mut(motion as usize).filter(|_| more.cells > 0) else { return };
        if entry.cells == 0 {
            self.used.push(motion);
        }
        entry.height += more.height;
        entry.cells += more.cells;
        if more.deepest > entry.deepest {
            (entry.deepest, entry.left, entry.at) = (more.deepest, more.left, more.at);
        }
    }

    /// The most that a motion took from one column so far.
    #[inline]
    pub(super) fn deepest(&self, motion: u32) -> f32 {
        self.entries.get(motion as usize).map_or(0.0, |entry| entry.deepest)
    }

    /// Notes that columns were looked at.
    #[inline]
    pub(super) fn visit(&mut self, columns: usize) {
        self.visits += columns as u64;
    }

    /// Wipes the sheet for the next tile; what it held, in the order in which it came, and how many columns were looked at.
    pub(super) fn wipe(&mut self) -> (Vec<(u32, Entry)>, u64) {
        let mut used = std::mem::take(&mut self.used);
        let take = |motion: &u32| {
            let entry = self.entries.get_mut(*motion as usize).map(std::mem::take).unwrap_or_default();
            (*motion, entry)
        };
        let found = used.iter().map(take).collect();
        used.clear();
        self.used = used;
        (found, std::mem::take(&mut self.visits))
    }
}
