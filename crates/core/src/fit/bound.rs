//! The most that the least of several slopes can come to in a box.
//!
//! Any weights that add up to 1 give a bound: the weighted mean of the slopes, at the best corner of the box, is
//! never under their least. So the bound holds whatever the rounding; the simplex method only looks for the weights
//! that make it tight (the dual of the linear programme of Boyd and Vandenberghe, *Convex Optimization*, 4.3.1).
//! A library would have to be trusted with that bound, and those at hand hand no weights back.

/// value + gain . (x, y, turn), each from -1 to 1.
#[derive(Debug, Clone, Copy)]
pub(super) struct Slope {
    pub(super) value: f64,
    pub(super) gain: [f64; 3],
}

/// A bound, the place in the box (each from -1 to 1) at which it may be reached, and the weights it comes from.
#[derive(Debug, Clone)]
pub(super) struct Most {
    pub(super) value: f64,
    pub(super) at: [f64; 3],
    pub(super) weights: Vec<(usize, f64)>,
}

/// Exchanges after which the weights are good enough; ordinary boxes take a dozen.
const MOST_EXCHANGES: usize = 60;
const ENOUGH: f64 = 1e-12;

type Column = [f64; 4];

/// The bound over the box; `None` without slopes.
pub(super) fn most(slopes: &[Slope]) -> Option<Most> {
    let lowest = (0..slopes.len()).min_by(|a, b| slopes[*a].value.total_cmp(&slopes[*b].value))?;
    let count = slopes.len();
    // Columns: a weight for each slope, then what the mean's gain along each axis costs, one for either sign.
    let column = |index: usize| -> (Column, f64) {
        if index < count {
            let [x, y, z] = slopes[index].gain;
            return ([x, y, z, 1.0], slopes[index].value);
        }
        let (axis, sign) = ((index - count) / 2, if (index - count).is_multiple_of(2) { -1.0 } else { 1.0 });
        let mut column = [0.0; 4];
        column[axis] = sign;
        (column, 1.0)
    };
    let sign = |axis: usize| usize::from(slopes[lowest].gain[axis] < 0.0);
    let mut basis = [lowest, count + sign(0), count + 2 + sign(1), count + 4 + sign(2)];
    let mut prices = [0.0; 4];
    for _ in 0..MOST_EXCHANGES {
        let columns = basis.map(column);
        let Some(found) = solve(transposed(columns.map(|c| c.0)), columns.map(|c| c.1)) else { break };
        prices = found;
        let saving = |index: usize| {
            let (column, cost) = column(index);
            cost - (0..4).map(|row| prices[row] * column[row]).sum::<f64>()
        };
        let Some(enter) = (0..count + 6).min_by(|a, b| saving(*a).total_cmp(&saving(*b))) else { break };
        if saving(enter) >= -ENOUGH {
            break;
        }
        let held = columns.map(|c| c.0);
        let (Some(amounts), Some(change)) = (solve(held, [0.0, 0.0, 0.0, 1.0]), solve(held, column(enter).0))
        else {
            break;
        };
        let ratio = |slot: usize| {
            if change[slot] > ENOUGH { amounts[slot].max(0.0) / change[slot] } else { f64::INFINITY }
        };
        let Some(leave) = (0..4).min_by(|a, b| ratio(*a).total_cmp(&ratio(*b))) else { break };
        if !ratio(leave).is_finite() {
            break;
        }
        basis[leave] = enter;
    }
    let amounts = solve(basis.map(|index| column(index).0), [0.0, 0.0, 0.0, 1.0]);
    let weights = weights_of(&basis, amounts, count, lowest);
    Some(Most {
        value: value_of(slopes, &weights),
        at: [0, 1, 2].map(|i| (-prices[i]).clamp(-1.0, 1.0)),
        weights,
    })
}

fn weights_of(basis: &[usize; 4], amounts: Option<Column>, count: usize, lowest: usize) -> Vec<(usize, f64)> {
    let amounts = amounts.unwrap_or_default();
    let mut weights: Vec<(usize, f64)> = basis
        .iter()
        .zip(amounts)
        .filter(|(index, amount)| **index < count && *amount > 0.0)
        .map(|(index, amount)| (*index, amount))
        .collect();
    let total: f64 = weights.iter().map(|(_, weight)| weight).sum();
    if !(total > 0.5 && total.is_finite()) {
        return vec![(lowest, 1.0)];
    }
    for (_, weight) in &mut weights {
        *weight /= total;
    }
    weights
}

/// The weighted mean at the corner of the box that is best for it.
fn value_of(slopes: &[Slope], weights: &[(usize, f64)]) -> f64 {
    let mean: f64 = weights.iter().map(|(index, weight)| weight * slopes[*index].value).sum();
    let gain =
        |axis: usize| weights.iter().map(|(index, w)| w * slopes[*index].gain[axis]).sum::<f64>().abs();
    mean + gain(0) + gain(1) + gain(2)
}

fn transposed(columns: [Column; 4]) -> [Column; 4] {
    let mut rows = [[0.0; 4]; 4];
    for (column, values) in columns.iter().enumerate() {
        for (row, value) in values.iter().enumerate() {
            rows[row][column] = *value;
        }
    }
    rows
}

/// Amounts of the columns that add up to `right`; `None` when they do not span it.
fn solve(columns: [Column; 4], mut right: Column) -> Option<Column> {
    let mut rows = transposed(columns);
    for step in 0..4 {
        let pivot = (step..4).max_by(|a, b| rows[*a][step].abs().total_cmp(&rows[*b][step].abs()))?;
        if rows[pivot][step].abs() < 1e-14 {
            return None;
        }
        rows.swap(step, pivot);
        right.swap(step, pivot);
        for row in step + 1..4 {
            let factor = rows[row][step] / rows[step][step];
            let above = rows[step];
            for (value, above) in rows[row].iter_mut().zip(above) {
                *value -= factor * above;
            }
            right[row] -= factor * right[step];
        }
    }
    for step in (0..4).rev() {
        let known: f64 = (step + 1..4).map(|column| rows[step][column] * right[column]).sum();
        right[step] = (right[step] - known) / rows[step][step];
    }
    Some(right)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The Chebyshev centre of Boyd and Vandenberghe, 4.3.1 (published): 1 / sqrt 5 for b = 1, in a box of 1.
    #[test]
    fn the_chebyshev_centre_is_found() {
        let slopes = [(2.0, 1.0), (2.0, -1.0), (-1.0, 2.0), (-1.0, -2.0)].map(|(x, y): (f64, f64)| {
            let length = x.hypot(y);
            Slope { value: 1.0 / length, gain: [-x / length, -y / length, 0.0] }
        });
        let found = most(&slopes).expect("slopes");
        assert!((found.value - 0.447_213_595_5).abs() < 1e-9, "{found:?}");
        assert!(found.at[0].abs() < 1e-9 && found.at[1].abs() < 1e-9, "{found:?}");
    }

    /// The same in space: 2x - y + 2z <= 2, -x + 2y + 4z <= 16, x + 2y - 2z <= 8, nothing under 0; a largest ball lies
    /// at (0.75, 3.25, 0.75) with radius 0.75 (statement published; derived: twice the first and the third give
    /// 5x + 2z + 9r <= 12, and neither x nor z is under r).
    #[test]
    fn the_largest_ball_in_a_corner_is_found() {
        let planes = [([2.0, -1.0, 2.0], 2.0), ([-1.0, 2.0, 4.0], 16.0), ([1.0, 2.0, -2.0], 8.0)];
        let walls = [[-1.0, 0.0, 0.0], [0.0, -1.0, 0.0], [0.0, 0.0, -1.0]].map(|wall| (wall, 0.0));
        let slopes: Vec<Slope> = planes
            .into_iter()
            .chain(walls)
            .map(|(a, b): ([f64; 3], f64)| {
                let length = a.iter().map(|part| part * part).sum::<f64>().sqrt();
                // The box from 0 to 8 along every axis.
                Slope {
                    value: (b - 4.0 * a.iter().sum::<f64>()) / length,
                    gain: a.map(|part| -4.0 * part / length),
                }
            })
            .collect();
        let found = most(&slopes).expect("slopes");
        assert!((found.value - 0.75).abs() < 1e-9, "{found:?}");
        let [x, _, z] = found.at.map(|part| 4.0 + 4.0 * part);
        assert!((x - 0.75).abs() < 1e-9 && (z - 0.75).abs() < 1e-9, "{found:?}");
    }

    /// Held against every place of a fine grid: never under the best of them, and met by the place it names.
    #[test]
    fn the_bound_is_the_most_of_the_least() {
        let mut state = 3_u64;
        let mut next = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 11) as f64 / (1_u64 << 53) as f64 * 2.0 - 1.0
        };
        for case in 0..300 {
            let slopes: Vec<Slope> =
                (0..=case % 12).map(|_| Slope { value: next(), gain: [next(), next(), next()] }).collect();
            let found = most(&slopes).expect("slopes");
            let least = |at: [f64; 3]| {
                let value = |s: &Slope| s.value + (0..3).map(|axis| s.gain[axis] * at[axis]).sum::<f64>();
                slopes.iter().map(value).fold(f64::INFINITY, f64::min)
            };
            for _ in 0..500 {
                assert!(least([next(), next(), next()]) <= found.value + 1e-12, "case {case}");
            }
            assert!((least(found.at) - found.value).abs() < 1e-9, "case {case}: {found:?}");
        }
    }
}
