//! Which motions of two programs answer each other.

use super::reach::{Move, Reach};
use super::steps::{Step, Steps};
use crate::program::Curve;
use crate::task::{Cancelled, Task};

/// Differences that one search looks for before it takes the best it has found and goes on from there.
const MOST_EDITS: usize = 1000;

/// Once this much work has been done on one pair of programs, searches are kept short: they have little in common.
const MOST_WORK: usize = 200_000_000;

/// Differences that such a short search looks for.
const FEW_EDITS: usize = 64;

/// A place in A and one in B.
type Place = (usize, usize);

/// Motions `a.0..a.1` of the one and `b.0..b.1` of the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Run {
    pub a: (usize, usize),
    pub b: (usize, usize),
    /// They answer each other one to one.
    pub paired: bool,
}

impl Run {
    const fn len(&self) -> (usize, usize) {
        (self.a.1 - self.a.0, self.b.1 - self.b.0)
    }
}

/// Runs from first to last that together hold every motion of both.
pub(super) fn align(
    a: &Steps<'_>,
    b: &Steps<'_>,
    tolerance: f64,
    task: Task<'_>,
) -> Result<Vec<Run>, Cancelled> {
    let aligner = Aligner { a: &a.list, b: &b.list, tolerance, task };
    let whole = Run { a: (0, a.list.len()), b: (0, b.list.len()), paired: false };
    let (head, middle, tail) = aligner.without_ends(whole);
    let mut runs = vec![head];
    let pieces = aligner.pieces(middle)?;
    for run in pieces {
        if run.paired {
            runs.push(run);
        } else if aligner.answers_as_it_stands(run) {
            runs.push(Run { paired: true, ..run });
        } else {
            let pieces = aligner.split(run, Likeness::Plan)?;
            runs.extend(pieces.into_iter().map(|piece| {
                let (in_a, in_b) = piece.len();
                Run { paired: piece.paired || in_a == in_b, ..piece }
            }));
        }
    }
    runs.push(tail);
    Ok(runs)
}

/// How much alike two motions must be to answer each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Likeness {
    /// The same kind of motion to the same point.
    All,
    /// To the same point in plan.
    Plan,
}

/// Whether two motions are of one kind and go to the same point.
pub(super) fn alike(a: &Step<'_>, b: &Step<'_>, tolerance: f64) -> bool {
    let (m, n) = (a.motion, b.motion);
    let same_form = matches!(m.curve, Curve::Straight) == matches!(n.curve, Curve::Straight);
    m.kind == n.kind && same_form && (m.end.z - n.end.z).abs() <= tolerance && near_in_plan(a, b, tolerance)
}

fn near_in_plan(a: &Step<'_>, b: &Step<'_>, tolerance: f64) -> bool {
    let (p, q) = (a.motion.end, b.motion.end);
    (p.x - q.x).abs() <= tolerance && (p.y - q.y).abs() <= tolerance
}

/// Equally many motions, and `holds` for most of their pairs.
fn most(run: Run, holds: impl Fn(usize, usize) -> bool) -> bool {
    let (in_a, in_b) = run.len();
    let pairs = (run.a.0..run.a.1).zip(run.b.0..run.b.1);
    in_a == in_b && pairs.filter(|(i, j)| holds(*i, *j)).count() * 2 > in_a
}

struct Aligner<'a> {
    a: &'a [Step<'a>],
    b: &'a [Step<'a>],
    tolerance: f64,
    task: Task<'a>,
}

impl Aligner<'_> {
    fn like(&self, i: usize, j: usize, likeness: Likeness) -> bool {
        match (self.a.get(i), self.b.get(j)) {
            (Some(a), Some(b)) if likeness == Likeness::All => alike(a, b, self.tolerance),
            (Some(a), Some(b)) => near_in_plan(a, b, self.tolerance),
            _ => false,
        }
    }

    /// The run without what is exactly the same at its two ends, and those ends.
    fn without_ends(&self, run: Run) -> (Run, Run, Run) {
        let (in_a, in_b) = run.len();
        let shorter = in_a.min(in_b);
        let head = (0..shorter).take_while(|n| self.like(run.a.0 + n, run.b.0 + n, Likeness::All)).count();
        let same_tail = |n: &usize| self.like(run.a.1 - 1 - n, run.b.1 - 1 - n, Likeness::All);
        let tail = (0..shorter - head).take_while(same_tail).count();
        let (from, to) = ((run.a.0 + head, run.b.0 + head), (run.a.1 - tail, run.b.1 - tail));
        (
            Run { a: (run.a.0, from.0), b: (run.b.0, from.1), paired: true },
            Run { a: (from.0, to.0), b: (from.1, to.1), paired: false },
            Run { a: (to.0, run.a.1), b: (to.1, run.b.1), paired: true },
        )
    }

    /// The run cut by what is exactly the same; left whole where the two go side by side.
    fn pieces(&self, run: Run) -> Result<Vec<Run>, Cancelled> {
        let whole = vec![Run { paired: true, ..run }];
        if self.answers_as_it_stands(run) {
            return Ok(whole);
        }
        let pieces = self.split(run, Likeness::All)?;
        let same: usize = pieces.iter().filter(|piece| piece.paired).map(|piece| piece.len().0).sum();
        let aside = most(run, |i, j| self.same_step(i, j));
        Ok(if aside && same * 4 < run.len().0 { whole } else { pieces })
    }

    /// Equally many motions, most of which go to the same place in plan.
    fn answers_as_it_stands(&self, run: Run) -> bool {
        most(run, |i, j| self.like(i, j, Likeness::Plan))
    }

    /// As far the same way, wherever from.
    fn same_step(&self, i: usize, j: usize) -> bool {
        let (Some(a), Some(b)) = (self.a.get(i), self.b.get(j)) else { return false };
        let (p, q) =
            (a.motion.end.plan() - a.motion.start.plan(), b.motion.end.plan() - b.motion.start.plan());
        p.distance(q) <= 2.0 * self.tolerance
    }

    /// Cuts a run into pairs that are alike and what lies between.
    fn split(&self, run: Run, likeness: Likeness) -> Result<Vec<Run>, Cancelled> {
        let mut script = Script { at: (run.a.0, run.b.0), runs: Vec::new() };
        let mut work = 0;
        while script.at.0 < run.a.1 && script.at.1 < run.b.1 {
            self.task.cancel.check()?;
            let edits = if work < MOST_WORK { MOST_EDITS } else { FEW_EDITS };
            let (path, cost) = self.search(script.at, (run.a.1, run.b.1), likeness, edits);
            work += cost;
            for (length, step) in path {
                script.take(length, step);
            }
        }
        script.take_rest(run.a.1, run.b.1);
        Ok(script.runs)
    }

    /// The shortest way from one pair of places to another, by the greedy method of E. W. Myers, "An O(ND)
    /// Difference Algorithm and Its Variations" (1986); cut short at `edits` differences, where the place farthest on
    /// is taken. Gives the moves and the work done.
    fn search(
        &self,
        from: Place,
        to: Place,
        likeness: Likeness,
        edits: usize,
    ) -> (Vec<(usize, Move)>, usize) {
        let (n, m) = ((to.0 - from.0) as isize, (to.1 - from.1) as isize);
        let mut reach = Reach::new(edits.min((n + m) as usize));
        let (mut best, mut farthest, mut work) = ((0, 0), -1, 0);
        for round in 0..=reach.most {
            for diagonal in (-round..=round).step_by(2) {
                let mut x = reach.start(round, diagonal).0;
                let mut y = x - diagonal;
                while x < n && y < m && self.like(from.0 + x as usize, from.1 + y as usize, likeness) {
                    x += 1;
                    y += 1;
                }
                work += 1;
                reach.set(diagonal, x);
                if x <= n && y <= m && x + y > farthest {
                    farthest = x + y;
                    best = (round, diagonal);
                }
                if x == n && y == m {
                    reach.keep(round);
                    return (reach.trace(round, diagonal), work);
                }
            }
            reach.keep(round);
        }
        (reach.trace(best.0, best.1), work)
    }
}

/// Runs as they come together.
struct Script {
    at: (usize, usize),
    runs: Vec<Run>,
}

impl Script {
    fn take(&mut self, length: usize, step: Move) {
        if length == 0 {
            return;
        }
        let (a, b) = self.at;
        let (to_a, to_b) = match step {
            Move::Both => (a + length, b + length),
            Move::OnlyA => (a + length, b),
            Move::OnlyB => (a, b + length),
        };
        let paired = step == Move::Both;
        self.at = (to_a, to_b);
        match self.runs.last_mut().filter(|last| last.paired == paired) {
            Some(last) => (last.a.1, last.b.1) = self.at,
            None => self.runs.push(Run { a: (a, to_a), b: (b, to_b), paired }),
        }
    }

    fn take_rest(&mut self, end_a: usize, end_b: usize) {
        self.take(end_a.saturating_sub(self.at.0), Move::OnlyA);
        self.take(end_b.saturating_sub(self.at.1), Move::OnlyB);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::program::{self, Settings};
    use crate::task::Cancel;
    use crate::units::Units;

    /// Letters as places along X; runs as `same`, `-only A`, `+only B`, all in their letters.
    fn aligned(a: &str, b: &str) -> String {
        let text = |letters: &str| -> String {
            let line = |c: char| format!("G1 X{} Y{}\n", c as u32, (c as u32).pow(2));
            std::iter::once("G0 X0 Y0 Z0\n".to_owned()).chain(letters.chars().map(line)).collect()
        };
        let cancel = Cancel::new();
        let task = Task::quiet(&cancel);
        let read = |letters: &str| {
            program::read(text(letters).as_bytes(), &Settings::new(Units::Mm), task).expect("nobody cancels")
        };
        let (p, q) = (read(a), read(b));
        let runs = align(&Steps::of(&p), &Steps::of(&q), 0.001, task).expect("nobody cancels");
        let (mut out, mut at) = (Vec::new(), (0, 0));
        let letters = |text: &str, (from, to): (usize, usize)| -> String {
            (from.max(1)..to).filter_map(|index| text.chars().nth(index - 1)).collect()
        };
        for run in runs {
            assert_eq!((run.a.0, run.b.0), at, "no gap and no overlap");
            at = (run.a.1, run.b.1);
            let (in_a, in_b) = (letters(a, run.a), letters(b, run.b));
            if in_a == in_b {
                out.push(in_a);
            } else {
                out.extend(
                    [("-", in_a), ("+", in_b)]
                        .map(|(sign, text)| if text.is_empty() { text } else { format!("{sign}{text}") }),
                );
            }
        }
        assert_eq!(at, (a.len() + 1, b.len() + 1));
        out.retain(|run| !run.is_empty());
        out.join(" ")
    }

    #[test]
    fn runs_are_found_by_what_stays() {
        for (a, b, is) in [
            ("abcdef", "abcdef", "abcdef"),
            ("abcdef", "abdef", "ab -c def"),
            ("abcdef", "abcxyzdef", "abc +xyz def"),
            ("abcdef", "abxdef", "ab -c +x def"),
            ("", "abc", "+abc"),
            ("abc", "", "-abc"),
            ("abcdefgh", "efghabcd", "-abcd efgh +abcd"),
            ("abcxdefyghi", "abcdefghi", "abc -x def -y ghi"),
        ] {
            assert_eq!(aligned(a, b), is, "{a} {b}");
        }
    }
}
