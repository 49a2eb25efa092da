//! The cut at one place: what the front meets, summed over the heights.

use super::front::Met;
use super::place::Place;

/// Heights on either side of the middle and their weights by Gauss with three places and Kronrod with those and four
/// more (published in every table of quadrature; from memory, checked by their sums in the tests).
const GAUSS: [(f64, f64); 2] = [(0.0, 8.0 / 9.0), (0.774_596_669_241_483_4, 5.0 / 9.0)];
const KRONROD: [(f64, f64); 4] = [
    (0.0, 0.450_916_538_658_474_14),
    (0.434_243_749_346_802_55, 0.401_397_414_775_962_2),
    (0.774_596_669_241_483_4, 0.268_488_089_868_333_4),
    (0.960_491_268_708_020_3, 0.104_656_226_026_467_26),
];
/// Both must agree this well, or the stretch of heights is halved.
const AGREE: f64 = 0.005;
/// So often at the most.
const MOST_HALVINGS: u32 = 6;
/// Steps of the search for the height at which the cut begins.
const BORDER_STEPS: u32 = 14;
/// Widths that differ by no more than this part are one.
const SAME_WIDTH: f64 = 1e-7;
/// The ends of a stretch are looked at this part of it away from them.
const BESIDE: f64 = 1e-7;

/// The cut at one place over all heights.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Cut {
    /// Area square to the travel in plan.
    pub(super) area: f64,
    /// The widest width.
    pub(super) width: f64,
    /// The widest angle of the edge in metal, radians.
    pub(super) angle: f64,
    /// Lowest and highest height at which metal is met.
    pub(super) heights: Option<(f64, f64)>,
}

/// Sums over the heights of one place.
pub(super) struct Sum<'a> {
    place: &'a Place<'a>,
    /// Thinner is no contact.
    none_below: f64,
    looked: usize,
    most: usize,
    cut: Cut,
}

impl<'a> Sum<'a> {
    /// The cut at a place.
    pub(super) fn of(place: &'a Place<'a>, none_below: f64) -> Cut {
        let mut sum = Self { place, none_below, looked: 0, most: place.most_heights(), cut: Cut::default() };
        let joints = place.joints();
        let pairs = joints.windows(2).map(|pair| (pair[0], pair[1]));
        if place.is_prismatic {
            for (low, high) in pairs {
                let met = place.met(f64::midpoint(low, high));
                sum.add((low, high), &[met], met.width * (high - low));
            }
        } else {
            pairs.for_each(|pair| sum.stretch(pair, 0));
        }
        sum.cut
    }

    fn look(&mut self, height: f64) -> Met {
        self.looked += 1;
        self.place.met(height)
    }

    fn is_cut(&self, met: &Met) -> bool {
        met.width >= self.none_below
    }

    fn stretch(&mut self, (low, high): (f64, f64), halvings: u32) {
        let (middle, half) = (f64::midpoint(low, high), (high - low) / 2.0);
        let centre = self.look(middle);
        let [(_, weight), (off, side)] = GAUSS;
        let below = self.look(middle - half * off);
        let above = self.look(middle + half * off);
        let three = [(middle - half * off, below), (middle, centre), (middle + half * off, above)];
        let may_halve = halvings < MOST_HALVINGS && self.looked < self.most;
        let borders = three.windows(2).find(|pair| self.is_cut(&pair[0].1) != self.is_cut(&pair[1].1));
        if let Some(pair) = borders.filter(|_| may_halve) {
            let border = self.border(pair[0].0, pair[1].0, self.is_cut(&pair[0].1));
            self.stretch((low, border), halvings + 1);
            self.stretch((border, high), halvings + 1);
            return;
        }
        let even = |met: &Met| (met.width - centre.width).abs() <= SAME_WIDTH * centre.width;
        if even(&below) && even(&above) {
            self.add((low, high), &[below, centre, above], centre.width * (high - low));
            return;
        }
        let gauss = half * (weight * centre.width + side * (below.width + above.width));
        let mut kronrod = KRONROD[0].1 * centre.width + KRONROD[2].1 * (below.width + above.width);
        for (off, weight) in [KRONROD[1], KRONROD[3]] {
            kronrod += weight * (self.look(middle - half * off).width + self.look(middle + half * off).width);
        }
        let kronrod = half * kronrod;
        if (kronrod - gauss).abs() > AGREE * kronrod && may_halve {
            self.stretch((low, middle), halvings + 1);
            self.stretch((middle, high), halvings + 1);
            return;
        }
        let beside = (high - low) * BESIDE;
        let ends = [self.look(low + beside), self.look(high - beside)];
        self.add((low, high), &[ends[0], below, centre, above, ends[1]], kronrod);
    }

    /// The height at which the cut begins or ends, between one that is as `first` says and one that is not.
    fn border(&mut self, mut low: f64, mut high: f64, first: bool) -> f64 {
        for _ in 0..BORDER_STEPS {
            let middle = f64::midpoint(low, high);
            let met = self.look(middle);
            if self.is_cut(&met) == first { low = middle } else { high = middle }
        }
        f64::midpoint(low, high)
    }

    fn add(&mut self, (low, high): (f64, f64), met: &[Met], area: f64) {
        self.cut.area += area;
        if !met.iter().any(|met| self.is_cut(met)) {
            return;
        }
        for met in met {
            self.cut.width = self.cut.width.max(met.width);
            self.cut.angle = self.cut.angle.max(met.angle);
        }
        let (lowest, highest) = self.cut.heights.unwrap_or((low, high));
        self.cut.heights = Some((lowest.min(low), highest.max(high)));
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;

    /// A rule of n places by Gauss is exact up to the power 2n - 1, Kronrod's with 2n + 1 up to 3n + 1: the known
    /// integrals of x^2k over -1 to 1 are 2 / (2k + 1).
    #[test]
    fn both_rules_are_exact_for_powers() {
        let sum = |rule: &[(f64, f64)], power: i32| -> f64 {
            let sides = |off: f64| if off == 0.0 { 1.0 } else { 2.0 };
            rule.iter().map(|(off, weight)| sides(*off) * weight * off.powi(power)).sum()
        };
        for (power, whole) in [(0, 2.0), (2, 2.0 / 3.0), (4, 0.4)] {
            assert_abs_diff_eq!(sum(&GAUSS, power), whole, epsilon = 1e-12);
        }
        for (power, whole) in
            [(0, 2.0), (2, 2.0 / 3.0), (4, 0.4), (6, 2.0 / 7.0), (8, 2.0 / 9.0), (10, 2.0 / 11.0)]
        {
            assert_abs_diff_eq!(sum(&KRONROD, power), whole, epsilon = 1e-12);
        }
    }
}
