//! The sides of the metal in a section: where it meets air.

use super::section::Section;
use crate::geometry::Interval;

/// Points nearer to each other than this part of the section's height are the same.
const SAME: f64 = 1e-5;

impl Section {
    /// Z of the lower and the upper face of the blank at the station; `None` where there never was metal.
    pub fn faces(&self) -> Option<Interval> {
        let heights = self.blank.iter().flatten().map(|p| p[1]);
        let ends = |(a, b): Interval, z: f64| (a.min(z), b.max(z));
        let (low, high) = heights.fold((f64::INFINITY, f64::NEG_INFINITY), ends);
        (high > low).then_some((low, high))
    }

    /// The sides of some metal of this section as open lines: without those where the section was only cut off, and
    /// without those where one polygon goes on in the next.
    pub fn sides(&self, metal: &[Vec<[f64; 2]>]) -> Vec<Vec<[f64; 2]>> {
        let near = self.faces().map_or(1.0, |(low, high)| high - low) * SAME;
        let cut_off = |a: &[f64; 2], b: &[f64; 2]| {
            let at = |end: f64| (a[0] - end).abs() < near && (b[0] - end).abs() < near;
            at(self.reach.0) || at(self.reach.1)
        };
        let mut lines: Vec<Vec<[f64; 2]>> = Vec::new();
        let mut level: Vec<Level> = Vec::new();
        for polygon in metal {
            let mut open = false;
            for (a, b) in polygon.iter().zip(polygon.iter().cycle().skip(1)) {
                let is_level = (a[1] - b[1]).abs() < near;
                if is_level {
                    level.push(Level { z: a[1], from: a[0].min(b[0]), to: a[0].max(b[0]) });
                }
                if is_level || cut_off(a, b) {
                    open = false;
                    continue;
                }
                match lines.last_mut().filter(|_| open) {
                    Some(line) => line.push(*b),
                    None => lines.push(vec![*a, *b]),
                }
                open = true;
            }
        }
        lines.extend(alone(level, near).into_iter().map(|Level { z, from, to }| vec![[from, z], [to, z]]));
        lines
    }
}

/// A level side of a polygon.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Level {
    z: f64,
    from: f64,
    to: f64,
}

/// The parts of level sides that lie on no other one: there metal meets air.
fn alone(mut all: Vec<Level>, near: f64) -> Vec<Level> {
    all.sort_by(|a, b| a.z.total_cmp(&b.z));
    let mut kept: Vec<Level> = Vec::new();
    for group in all.chunk_by(|a, b| b.z - a.z < near) {
        let mut ends: Vec<f64> = group.iter().flat_map(|level| [level.from, level.to]).collect();
        ends.sort_by(f64::total_cmp);
        for pair in ends.windows(2).filter(|pair| pair[1] - pair[0] > near) {
            let middle = f64::midpoint(pair[0], pair[1]);
            let over = group.iter().filter(|level| level.from < middle && middle < level.to).count();
            if over == 1 {
                kept.push(Level { z: group[0].z, from: pair[0], to: pair[1] });
            }
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_side_between_two_polygons_is_no_side_of_the_metal() {
        let side = |z: f64, from: f64, to: f64| Level { z, from, to };
        let stacked =
            vec![side(0.0, -1.0, 1.0), side(0.0, -1.0, 0.5), side(1.0, -1.0, 0.5), side(-1.0, -1.0, 1.0)];
        let kept = alone(stacked, 1e-9);
        assert_eq!(kept, [side(-1.0, -1.0, 1.0), side(0.0, 0.5, 1.0), side(1.0, -1.0, 0.5)]);
    }
}
