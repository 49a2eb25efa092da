//! How far a search for the shortest way through two programs has come.

/// One kind of move through both programs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Move {
    Both,
    OnlyA,
    OnlyB,
}

/// How far in A each diagonal (the place in A less the place in B) has come, after every round.
pub(super) struct Reach {
    pub most: isize,
    now: Vec<isize>,
    rounds: Vec<Vec<isize>>,
}

impl Reach {
    pub(super) fn new(most: usize) -> Self {
        Self { most: most as isize, now: vec![0; 2 * most + 3], rounds: Vec::new() }
    }

    fn index(&self, diagonal: isize) -> usize {
        (diagonal + self.most + 1) as usize
    }

    pub(super) fn set(&mut self, diagonal: isize, x: isize) {
        let index = self.index(diagonal);
        if let Some(place) = self.now.get_mut(index) {
            *place = x;
        }
    }

    /// Where a diagonal is entered in a round, and whether by a step in B.
    pub(super) fn start(&self, round: isize, diagonal: isize) -> (isize, bool) {
        let at = |diagonal| self.now.get(self.index(diagonal)).copied().unwrap_or_default();
        entered(round, diagonal, at)
    }

    pub(super) fn keep(&mut self, round: isize) {
        let (from, to) = (self.index(-round), self.index(round));
        self.rounds.push(self.now.get(from..=to).unwrap_or_default().to_vec());
    }

    fn kept(&self, round: isize, diagonal: isize) -> isize {
        let row = usize::try_from(round).ok().and_then(|round| self.rounds.get(round));
        let index = usize::try_from(diagonal + round).ok();
        row.zip(index).and_then(|(row, index)| row.get(index)).copied().unwrap_or_default()
    }

    /// The moves that led to a diagonal in a round, from first to last.
    pub(super) fn trace(&self, round: isize, diagonal: isize) -> Vec<(usize, Move)> {
        let mut moves = Vec::new();
        let (mut round, mut diagonal) = (round, diagonal);
        let mut x = self.kept(round, diagonal);
        while round > 0 {
            let (start, in_b) = entered(round, diagonal, |diagonal| self.kept(round - 1, diagonal));
            moves.push(((x - start) as usize, Move::Both));
            moves.push((1, if in_b { Move::OnlyB } else { Move::OnlyA }));
            (x, diagonal) = if in_b { (start, diagonal + 1) } else { (start - 1, diagonal - 1) };
            round -= 1;
        }
        moves.push((x as usize, Move::Both));
        moves.reverse();
        moves
    }
}

/// Where a diagonal is entered from the round before, whose reach is `at`, and whether by a step in B.
fn entered(round: isize, diagonal: isize, at: impl Fn(isize) -> isize) -> (isize, bool) {
    if round == 0 {
        return (0, false);
    }
    let in_b = diagonal == -round || (diagonal != round && at(diagonal - 1) < at(diagonal + 1));
    if in_b { (at(diagonal + 1), true) } else { (at(diagonal - 1) + 1, false) }
}
