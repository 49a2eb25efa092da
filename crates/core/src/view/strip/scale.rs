//! Curves of the strip: where values lie across it, and how a curve is thinned to what can be seen.

/// Where distances lie across a strip.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StripScale {
    /// View points at the left end.
    pub left: f32,
    /// View points at the right end.
    pub right: f32,
    /// Distance or station at the right end; the left end is 0.
    pub length: f64,
}

impl StripScale {
    /// Where a distance along the strip lies, in view points.
    pub fn to_x(&self, value: f64) -> f32 {
        let part = if self.length > 0.0 { value / self.length } else { 0.0 };
        self.left + (part * f64::from(self.right - self.left)) as f32
    }

    /// The distance that lies at `x` view points, no further than the ends.
    pub fn to_value(&self, x: f32) -> f64 {
        let wide = f64::from(self.right - self.left);
        let part = if wide > 0.0 { f64::from(x - self.left) / wide } else { 0.0 };
        part.clamp(0.0, 1.0) * self.length
    }
}

/// A curve with at most two points for each of the columns that it runs through: the least and the most, in their order.
pub(super) fn decimated<P: Copy + PartialEq>(
    curve: &[P],
    column: impl Fn(P) -> f64,
    value: impl Fn(P) -> f64,
) -> Vec<P> {
    let mut kept = Vec::new();
    for part in curve.chunk_by(|a, b| column(*a) == column(*b)) {
        let least = first_of(part, |a, b| value(a) < value(b));
        let most = first_of(part, |a, b| value(a) > value(b));
        for index in [least.min(most), least.max(most)] {
            if kept.last() != Some(&part[index]) {
                kept.push(part[index]);
            }
        }
    }
    kept
}

fn first_of<P: Copy>(part: &[P], before: impl Fn(P, P) -> bool) -> usize {
    let mut best = 0;
    for (index, p) in part.iter().enumerate() {
        if before(*p, part[best]) {
            best = index;
        }
    }
    best
}

/// Ranges in order joined where they touch or lie nearer than `gap`.
pub(super) fn joined(ranges: impl IntoIterator<Item = (f64, f64)>, gap: f64) -> Vec<(f64, f64)> {
    let mut all: Vec<(f64, f64)> = Vec::new();
    for (from, to) in ranges {
        match all.last_mut() {
            Some(last) if from <= last.1 + gap => last.1 = last.1.max(to),
            _ => all.push((from, to)),
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn across_and_back() {
        let scale = StripScale { left: 50.0, right: 450.0, length: 17.6 };
        assert!((scale.to_value(scale.to_x(7.31)) - 7.31).abs() < 1e-4);
        assert!(scale.to_value(0.0).abs() < 1e-12 && (scale.to_value(1e6) - 17.6).abs() < 1e-12);
    }

    #[test]
    fn thinned_curves_keep_their_peaks() {
        let mut curve: Vec<[f32; 2]> = (0..10_000).map(|i| [i as f32 / 100.0, 5.0]).collect();
        curve[5_050][1] = 0.0;
        curve[5_060][1] = 9.0;
        let kept = decimated(&curve, |p| f64::from(p[0].floor()), |p| f64::from(p[1]));
        assert!(kept.len() <= 200);
        assert!(kept.contains(&curve[5_050]) && kept.contains(&curve[5_060]));
    }

    #[test]
    fn ranges_that_touch_are_one() {
        assert_eq!(joined([(0.0, 1.0), (1.0, 2.0), (3.0, 4.0)], 0.0), [(0.0, 2.0), (3.0, 4.0)]);
    }
}
