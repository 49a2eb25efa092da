//! Lines cut off outside what is seen, and thinned to what can be told apart.

/// The parts of open lines inside a box.
pub(super) fn clipped(lines: &[Vec<[f32; 2]>], rect: [f32; 4]) -> Vec<Vec<[f32; 2]>> {
    let mut kept: Vec<Vec<[f32; 2]>> = Vec::new();
    for line in lines {
        let mut open: Vec<[f32; 2]> = Vec::new();
        for pair in line.windows(2) {
            let Some((from, to)) = inside(pair[0], pair[1], rect) else {
                close(&mut open, &mut kept);
                continue;
            };
            if open.last() != Some(&from) {
                close(&mut open, &mut kept);
                open.push(from);
            }
            open.push(to);
        }
        close(&mut open, &mut kept);
    }
    kept
}

fn close(open: &mut Vec<[f32; 2]>, kept: &mut Vec<Vec<[f32; 2]>>) {
    let line = std::mem::take(open);
    if line.len() > 1 {
        kept.push(line);
    }
}

/// The part of a segment inside a box, by cutting the range of its parameter at each side in turn.
fn inside(from: [f32; 2], to: [f32; 2], rect: [f32; 4]) -> Option<([f32; 2], [f32; 2])> {
    let (mut first, mut last) = (0.0_f32, 1.0_f32);
    for axis in 0..2 {
        let (start, run) = (from[axis], to[axis] - from[axis]);
        let (low, high) = (rect[axis], rect[axis + 2]);
        if run == 0.0 {
            if start < low || start > high {
                return None;
            }
            continue;
        }
        let (a, b) = ((low - start) / run, (high - start) / run);
        first = first.max(a.min(b));
        last = last.min(a.max(b));
    }
    if first.is_nan() || last.is_nan() || first > last {
        return None;
    }
    let at = |t: f32| [from[0] + (to[0] - from[0]) * t, from[1] + (to[1] - from[1]) * t];
    Some((if first > 0.0 { at(first) } else { from }, if last < 1.0 { at(last) } else { to }))
}

/// The line without points nearer than `least` to the one kept before; its ends stay.
pub(super) fn thinned(line: &[[f32; 2]], least: f32) -> Vec<[f32; 2]> {
    let mut kept: Vec<[f32; 2]> = Vec::with_capacity(line.len());
    for (index, &p) in line.iter().enumerate() {
        let near = kept.last().is_some_and(|q| (p[0] - q[0]).hypot(p[1] - q[1]) < least);
        if !near || index + 1 == line.len() {
            kept.push(p);
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_lies_outside_is_cut_off() {
        let line = vec![[-5.0, 5.0], [15.0, 5.0], [15.0, 8.0], [5.0, 8.0]];
        let kept = clipped(&[line], [0.0, 0.0, 10.0, 10.0]);
        assert_eq!(kept, vec![vec![[0.0, 5.0], [10.0, 5.0]], vec![[10.0, 8.0], [5.0, 8.0]]]);
        assert!(clipped(&[vec![[-5.0, 0.0], [0.0, -5.0]]], [0.0, 0.0, 10.0, 10.0]).is_empty());
    }

    #[test]
    fn thinning_keeps_the_ends() {
        let line: Vec<[f32; 2]> = (0..101).map(|x| [x as f32 * 0.1, 0.0]).collect();
        let kept = thinned(&line, 0.95);
        assert!(kept.len() < 14);
        assert_eq!(kept.last(), line.last());
    }
}
