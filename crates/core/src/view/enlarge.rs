//! By how much the stock along the outline is drawn thicker than it is: one rule for every band of it.

/// By how much a thickness may be enlarged: numbers that are easily divided by in the head.
const TIMES: [f64; 16] =
    [50.0, 40.0, 30.0, 25.0, 20.0, 15.0, 12.0, 10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.5, 2.0, 1.5];

/// The largest round enlargement at which `thick` takes no more than `room` view points at `scale` view points a unit;
/// 1 where it takes that much already, and for nothing.
pub(super) fn enlarged(thick: f64, room: f64, scale: f64) -> f64 {
    let seen = thick * scale;
    if seen > 1e-3 { TIMES.into_iter().find(|times| seen * times <= room).unwrap_or(1.0) } else { 1.0 }
}

/// The thickness that this part of all, by size, do not exceed; 0 of none.
pub(super) fn usual(thick: impl IntoIterator<Item = f64>, part: f64) -> f64 {
    let mut all: Vec<f64> = thick.into_iter().filter(|thick| thick.is_finite()).collect();
    all.sort_by(f64::total_cmp);
    let index = (all.len() as f64 * part) as usize;
    all.get(index.min(all.len().saturating_sub(1))).copied().unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thicknesses_are_enlarged_by_a_round_number() {
        assert_eq!(enlarged(0.2, 34.0, 60.0), 2.5);
        assert_eq!(enlarged(2.0, 34.0, 60.0), 1.0);
        assert_eq!(enlarged(0.02, 34.0, 60.0), 25.0);
        assert_eq!(enlarged(0.0, 34.0, 60.0), 1.0);
        assert_eq!(enlarged(f64::NAN, 34.0, 60.0), 1.0);
        assert_eq!(enlarged(1e-4, 34.0, 60.0), 50.0, "no more than that, however thin");
    }

    #[test]
    fn the_usual_thickness_is_one_of_them() {
        assert_eq!(usual([0.3, 0.1, 0.2, f64::NAN], 0.5), 0.2);
        assert_eq!(usual([0.3, 0.1, 0.2], 1.0), 0.3);
        assert_eq!(usual([], 0.5), 0.0);
    }
}
