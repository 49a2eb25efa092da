//! Where a tool has gone straight up and down: a hole drilled in pecks goes over the same place again and again, and most
//! of its motions meet only what those before them have taken.

use std::collections::HashMap;

use crate::geometry::Interval;
use crate::program::{Curve, Kind, Motion};

/// The heights of the tip at each place where a tool went straight up or down, motion after motion.
#[derive(Debug, Default)]
pub(crate) struct Plunged(HashMap<[u64; 2], Vec<Interval>>);

impl Plunged {
    /// Takes the next motion of the pass; false when it goes straight up or down where the tool has been before at all
    /// heights, so that it sweeps nothing new.
    pub(crate) fn adds(&mut self, motion: &Motion) -> bool {
        if !is_upright(motion) {
            return true;
        }
        if !self.would_add(motion) {
            return false;
        }
        let (mut low, mut high) = ends(motion);
        let been = self.0.entry(place(motion)).or_default();
        been.retain(|(lowest, highest)| {
            let meets = *lowest <= high && *highest >= low;
            if meets {
                (low, high) = (low.min(*lowest), high.max(*highest));
            }
            !meets
        });
        been.push((low, high));
        true
    }

    /// Whether a motion sweeps something that those taken so far have not.
    pub(crate) fn would_add(&self, motion: &Motion) -> bool {
        let (low, high) = ends(motion);
        let been = self.0.get(&place(motion)).into_iter().flatten();
        !is_upright(motion) || !been.into_iter().any(|(lowest, highest)| *lowest <= low && *highest >= high)
    }
}

/// Whether a motion goes straight up or down, or nowhere.
pub(crate) fn is_upright(motion: &Motion) -> bool {
    motion.curve == Curve::Straight && motion.start.plan() == motion.end.plan()
}

/// The place in plan at which it begins; no zero has a sign.
fn place(motion: &Motion) -> [u64; 2] {
    let at = motion.start.plan();
    [(at.x + 0.0).to_bits(), (at.y + 0.0).to_bits()]
}

fn ends(motion: &Motion) -> Interval {
    (motion.start.z.min(motion.end.z), motion.start.z.max(motion.end.z))
}

/// The motions that sweep what all of them do: those straight up and down at one place, over heights that meet, as one: feeds by themselves, and rapids.
pub(crate) fn without_pecks(motions: impl Iterator<Item = Motion>) -> Vec<Motion> {
    let mut kept: Vec<Motion> = Vec::new();
    let mut first: HashMap<([u64; 2], bool), Vec<usize>> = HashMap::new();
    for motion in motions {
        if !is_upright(&motion) {
            kept.push(motion);
            continue;
        }
        let there = first.entry((place(&motion), motion.kind == Kind::Rapid)).or_default();
        let (low, high) = ends(&motion);
        let meets = |index: &&usize| {
            kept.get(**index).map(ends).is_some_and(|other| other.0 <= high && other.1 >= low)
        };
        let meeting = there.iter().find(meets).copied();
        if let Some(one) = meeting.and_then(|index| kept.get_mut(index)) {
            let (lowest, highest) = ends(one);
            (one.start.z, one.end.z) = (highest.max(high), lowest.min(low));
        } else {
            there.push(kept.len());
            kept.push(motion);
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Point3, pt3};

    fn straight(start: Point3, end: Point3) -> Motion {
        Motion::straight(start, end, Kind::Feed)
    }

    fn pecks() -> Vec<Motion> {
        let at = |z: f64| pt3(1.0, -0.0, z);
        let heights = [0.1, -0.1, 0.1, -0.08, -0.2, 0.1, -0.18, -0.3, 0.1];
        heights.windows(2).map(|pair| straight(at(pair[0]), at(pair[1]))).collect()
    }

    #[test]
    fn only_what_goes_deeper_adds_to_a_hole() {
        let mut plunged = Plunged::default();
        let adds: Vec<bool> = pecks().iter().map(|motion| plunged.adds(motion)).collect();
        assert_eq!(adds, [true, false, false, true, false, false, true, false]);
        assert!(plunged.adds(&straight(pt3(1.0, 0.0, -0.3), pt3(1.1, 0.0, -0.3))), "it goes along");
        assert!(plunged.adds(&straight(pt3(1.0, 0.0, -0.9), pt3(1.0, 0.0, -0.5))), "from below, apart");
        assert!(plunged.adds(&straight(pt3(1.0, 0.0, -0.5), pt3(1.0, 0.0, -0.2))), "what lies between");
        assert!(!plunged.adds(&straight(pt3(1.0, 0.0, 0.1), pt3(1.0, 0.0, -0.9))), "all of it has been");
    }

    #[test]
    fn pecks_are_one_plunge() {
        let aside = straight(pt3(1.0, 0.0, 0.1), pt3(2.0, 0.0, 0.1));
        let kept = without_pecks(pecks().into_iter().chain([aside]));
        let [one, other] = kept.as_slice() else { panic!("{kept:?}") };
        assert_eq!((one.start.z, one.end.z, other), (0.1, -0.3, &aside));
    }
}
