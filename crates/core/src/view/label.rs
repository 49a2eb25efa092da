//! Words that stay readable on whatever lies under them, and that keep clear of each other.

use super::drawing::{Anchor, Dash, Drawing, Ink, Item, Weight};

/// How far the paper's colour reaches round letters, view points.
const HALO: f32 = 1.2;
/// Where the copies of a text lie that make its halo, in parts of its reach.
const ROUND: [[f32; 2]; 8] =
    [[1.0, 0.0], [0.7, 0.7], [0.0, 1.0], [-0.7, 0.7], [-1.0, 0.0], [-0.7, -0.7], [0.0, -1.0], [0.7, -0.7]];
/// A dash, a gap, a dot, a gap: a centre line as drawings have it.
const CENTRE_LINE: [f32; 4] = [11.0, 3.5, 1.5, 3.5];

/// Opacity of a rim.
const RIM: u8 = 190;

/// Whether a text in this ink is one of the copies that make a rim: no other text lets anything through.
pub(crate) const fn is_rim(ink: Ink) -> bool {
    ink[3] == RIM
}

/// One line of text as a view writes it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Words {
    pub(super) at: [f32; 2],
    pub(super) anchor: Anchor,
    pub(super) size: f32,
    pub(super) weight: Weight,
    pub(super) ink: Ink,
}

/// Writes a text with a thin rim of the paper's colour, so that lines under it are cut no more than they must be.
pub(super) fn haloed(drawing: &mut Drawing, words: Words, paper: Ink, text: &str) {
    let Words { at, anchor, size, weight, ink } = words;
    let mut put = |at: [f32; 2], ink: Ink| {
        drawing.items.push(Item::Text { at, anchor, size, weight, ink, text: text.to_owned() });
    };
    let rim = [paper[0], paper[1], paper[2], RIM];
    for [dx, dy] in ROUND {
        put([at[0] + dx * HALO, at[1] + dy * HALO], rim);
    }
    put(at, ink);
}

/// A straight centre line: dash, dot, dash.
pub(super) fn centre_line(drawing: &mut Drawing, from: [f32; 2], to: [f32; 2], ink: Ink, width: f32) {
    let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
    let length = dx.hypot(dy);
    if !(length > 0.0 && length < 1e5) {
        return;
    }
    let at = |along: f32| [from[0] + dx * along / length, from[1] + dy * along / length];
    let (mut along, mut lines) = (0.0, Vec::new());
    for (index, part) in CENTRE_LINE.iter().cycle().enumerate() {
        if along >= length {
            break;
        }
        let end = (along + part).min(length);
        if index % 2 == 0 {
            lines.push(vec![at(along), at(end)]);
        }
        along = end;
    }
    drawing.stroke(lines, ink, width, Dash::Solid);
}

/// Places for labels in a column: each as near as can be to where it is wanted, in the same order, `gap` apart and
/// within `range` as long as there is room. The wanted places must not fall.
pub(super) fn spread(wanted: &[f32], gap: f32, range: (f32, f32)) -> Vec<f32> {
    let mut groups: Vec<Group> = Vec::new();
    for &place in wanted {
        let mut last = Group { first: place, count: 1 };
        last.keep_in(gap, range);
        while let Some(before) = groups.pop_if(|before| before.end(gap) > last.first) {
            // Both ask for their middle; the group they make asks for the mean, weighted by how many each holds.
            let own = |group: &Group, ahead: f32| (group.first - ahead * gap) * group.count as f32;
            let count = before.count + last.count;
            let sum = own(&before, 0.0) + own(&last, before.count as f32);
            last = Group { first: sum / count as f32, count };
            last.keep_in(gap, range);
        }
        groups.push(last);
    }
    let places = |group: &Group| {
        let first = group.first;
        (0..group.count).map(move |index| first + index as f32 * gap)
    };
    groups.iter().flat_map(places).collect()
}

/// Labels that touch each other.
struct Group {
    first: f32,
    count: usize,
}

impl Group {
    /// Where the next label may lie at the earliest.
    fn end(&self, gap: f32) -> f32 {
        self.first + self.count as f32 * gap
    }

    fn keep_in(&mut self, gap: f32, (low, high): (f32, f32)) {
        let last = (self.count - 1) as f32 * gap;
        self.first = self.first.min(high - last).max(low);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn apart(places: &[f32], gap: f32) -> bool {
        places.windows(2).all(|pair| pair[1] - pair[0] >= gap - 1e-3)
    }

    #[test]
    fn labels_with_room_stay_where_they_are_wanted() {
        assert_eq!(spread(&[10.0, 50.0, 90.0], 16.0, (0.0, 100.0)), [10.0, 50.0, 90.0]);
    }

    #[test]
    fn labels_on_one_place_share_it_evenly() {
        assert_eq!(spread(&[50.0, 50.0, 50.0], 10.0, (0.0, 100.0)), [40.0, 50.0, 60.0]);
    }

    #[test]
    fn labels_keep_apart_and_within_the_column() {
        for wanted in [vec![0.0, 1.0, 2.0, 99.0, 99.5], vec![98.0; 5], vec![-40.0, 3.0, 200.0]] {
            let places = spread(&wanted, 16.0, (8.0, 92.0));
            assert!(apart(&places, 16.0) && places.len() == wanted.len(), "{places:?}");
            assert!(places.iter().all(|place| (8.0..=92.0).contains(place)), "{places:?}");
        }
    }

    #[test]
    fn a_centre_line_has_gaps_and_ends_in_time() {
        let mut drawing = Drawing::new(100.0, 100.0);
        centre_line(&mut drawing, [0.0, 0.0], [0.0, 50.0], [0, 0, 0, 255], 1.0);
        let Some(Item::Stroke { lines, .. }) = drawing.items.first() else { panic!("no line") };
        assert!(lines.len() > 3 && lines.iter().flatten().all(|p| (0.0..=50.0).contains(&p[1])));
    }
}
