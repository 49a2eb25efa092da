//! Stretches of the face, each of one kind, and the heights between them.

use crate::geometry::Interval;

/// A face that goes sideways by less than this for each unit of height is upright: far below a tenth of a thousandth
/// of a degree, far above the rounding of the arithmetic.
const UPRIGHT: f64 = 1e-6;

/// The heights on the wall at one station after one pass.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Heights {
    /// The top of the metal.
    pub top: Option<f64>,
    /// Where the rounding of the edge begins; `None` for an edge that is not rounded.
    pub rounding_lower: Option<f64>,
    /// Where the undercut ends; `None` without an undercut.
    pub undercut_line: Option<f64>,
    /// Height of the straight band above the undercut line, up to the rounding, or to the top of an edge that is
    /// not rounded; 0 where rounding and undercut meet. `None` without an undercut.
    pub land: Option<f64>,
    /// The leave of the land; without an undercut, of the face under the rounding or under the top.
    pub face: Option<f64>,
    /// Lower and upper end of the straight band that `face` speaks of; `None` where it is nowhere straight.
    pub straight: Option<Interval>,
}

/// What the face does on the way up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// There is no metal.
    Air,
    /// It goes straight up.
    Upright,
    /// It comes outward: the metal hangs over.
    Over,
    /// It goes inward: a rounding, a chamfer, or the fillet of a rounded tip.
    Back,
}

/// A stretch of the face of one kind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Run {
    pub(super) kind: Kind,
    pub(super) low: Sample,
    pub(super) high: Sample,
}

impl Run {
    /// Whether it hangs over, and is not taken for straight: a shelf no wider than `flush.step` is two passes that are
    /// meant to be flush, but what tapers out to nothing was taken by an undercut cutter, however thin it is below.
    fn is_undercut(&self, flush: Flush) -> bool {
        let least = if self.high.height > self.low.height { flush.noise } else { flush.step };
        self.kind == Kind::Over && self.outward() > least
    }

    /// How far the run steps outward on its way up; without end above air.
    fn outward(&self) -> f64 {
        if self.kind == Kind::Over && self.low.leave.is_none() {
            return f64::INFINITY;
        }
        self.low.outward_to(&self.high)
    }
}

/// The leave at a height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sample {
    pub(super) height: f64,
    pub(super) leave: Option<f64>,
}

impl Sample {
    /// How far the face steps outward from here to there; 0 where either is in air.
    fn outward_to(&self, other: &Self) -> f64 {
        self.leave.zip(other.leave).map_or(0.0, |(from, to)| to - from)
    }
}

/// The kind between two samples; `None` when the metal begins or ends between them.
pub(super) fn kind(low: &Sample, high: &Sample) -> Option<Kind> {
    match (low.leave, high.leave) {
        (None, None) => Some(Kind::Air),
        (Some(from), Some(to)) if (to - from).abs() <= UPRIGHT * (high.height - low.height) => {
            Some(Kind::Upright)
        }
        (Some(from), Some(to)) => Some(if to > from { Kind::Over } else { Kind::Back }),
        _ => None,
    }
}

/// How far a face may go sideways and still count as straight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Flush {
    /// At once, between two passes that are meant to be flush.
    pub(super) step: f64,
    /// Evenly on its way up: the chords by which a sloping motion is followed.
    pub(super) noise: f64,
}

/// Runs in the making.
pub(super) struct Runs {
    list: Vec<Run>,
    step: f64,
}

impl Runs {
    /// No stretch yet; `step` is how far the face may step sideways within one.
    pub(super) const fn new(step: f64) -> Self {
        Self { list: Vec::new(), step }
    }

    /// Puts the next stretch on top.
    pub(super) fn push(&mut self, next: Run) {
        if let Some(last) = self.list.last_mut() {
            let outward = last.high.outward_to(&next.low);
            if last.kind == next.kind && outward.abs() <= self.step {
                last.high = next.high;
                return;
            }
            // A shelf that hangs over, such as a cutter for slots leaves; or next to a sharp corner nothing below.
            let shelf = outward > self.step || last.kind == Kind::Air;
            if shelf && next.kind != Kind::Air {
                let shelf = Run { kind: Kind::Over, low: last.high, high: next.low };
                self.list.push(shelf);
                if next.kind == Kind::Over {
                    return self.push(next);
                }
            }
        }
        self.list.push(next);
    }

    /// The stretches from the bottom up. What goes sideways by no more than `noise` under an upright one is taken for
    /// upright as well: the chords by which a sloping motion is followed.
    pub(super) fn smoothed(mut self, noise: f64) -> Vec<Run> {
        let upright: Vec<bool> = self.list.iter().map(|run| run.kind == Kind::Upright).collect();
        for (run, above) in self.list.iter_mut().zip(upright.into_iter().skip(1)) {
            if above && run.kind != Kind::Air && run.outward().abs() <= noise {
                run.kind = Kind::Upright;
            }
        }
        self.list
    }
}

/// The heights between the stretches of a face; `flush` is how far it may go sideways within the land.
pub(super) fn heights_of(runs: &[Run], flush: Flush) -> Heights {
    let step = flush.step;
    let top = runs.iter().rposition(|run| run.kind != Kind::Air);
    let over = runs.iter().rposition(|run| run.is_undercut(flush));
    let mut heights = Heights { top: top.map(|top| runs[top].high.height), ..Heights::default() };
    if let Some(over) = over {
        let line = runs[over].high;
        let (end, next) = straight_above(runs, over, step);
        heights.undercut_line = Some(line.height);
        heights.land = Some(end.height - line.height);
        heights.face = end.leave;
        heights.straight = (end.height > line.height).then_some((line.height, end.height));
        heights.rounding_lower = next.filter(|next| is_rounding(next, step)).map(|_| end.height);
        return heights;
    }
    let rounding = (1..runs.len()).rev().find(|&index| {
        let (below, run) = (&runs[index - 1], &runs[index]);
        let flush = below.high.outward_to(&run.low).abs() <= step;
        is_rounding(run, step) && below.kind == Kind::Upright && flush
    });
    heights.rounding_lower = rounding.map(|index| runs[index].low.height);
    let face = rounding.map(|index| runs[index - 1]).or_else(|| top.map(|top| runs[top]));
    heights.face = face.and_then(|run| run.high.leave);
    heights.straight =
        face.filter(|run| run.kind == Kind::Upright).map(|run| (run.low.height, run.high.height));
    heights
}

fn is_rounding(run: &Run, step: f64) -> bool {
    run.kind == Kind::Back && -run.outward() > step
}

/// The upper end of the straight band above a run, and the run that it is flush with there.
fn straight_above(runs: &[Run], from: usize, step: f64) -> (Sample, Option<&Run>) {
    let mut end = runs[from].high;
    for run in &runs[from + 1..] {
        if run.kind == Kind::Air || end.outward_to(&run.low).abs() > step {
            return (end, None);
        }
        if run.kind != Kind::Upright {
            return (end, Some(run));
        }
        end = run.high;
    }
    (end, None)
}
