//! Words that stay readable on whatever lies under them, and that keep clear of each other.

use super::drawing::{Anchor, Dash, Drawing, Ink, Item, Weight};
use super::viewport::Viewport;

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

/// Where something is written already.
#[derive(Debug, Clone, Default)]
pub(super) struct Taken(Vec<[f32; 4]>);

impl Taken {
    /// Something is written or drawn here.
    pub(super) fn add(&mut self, rect: [f32; 4]) {
        self.0.push(rect);
    }

    /// Whether nothing is written there.
    pub(super) fn is_free(&self, rect: &[f32; 4]) -> bool {
        self.0.iter().all(|o| rect[2] <= o[0] || o[2] <= rect[0] || rect[3] <= o[1] || o[3] <= rect[1])
    }

    /// Takes the first of these places that is free and in sight, if any is.
    pub(super) fn take(
        &mut self,
        places: impl Iterator<Item = [f32; 4]>,
        viewport: &Viewport,
    ) -> Option<[f32; 4]> {
        let seen = |r: &[f32; 4]| {
            r[0] >= 2.0 && r[1] >= 2.0 && r[2] <= viewport.width - 2.0 && r[3] <= viewport.height - 2.0
        };
        let found = places.into_iter().find(|rect| seen(rect) && self.is_free(rect))?;
        self.0.push(found);
        Some(found)
    }
}

/// A box this large about a place.
pub(super) fn about([x, y]: [f32; 2], wide: f32, high: f32) -> [f32; 4] {
    [x - wide / 2.0, y - high / 2.0, x + wide / 2.0, y + high / 2.0]
}

/// The middle of a box.
pub(super) const fn middle(rect: [f32; 4]) -> [f32; 2] {
    [f32::midpoint(rect[0], rect[2]), f32::midpoint(rect[1], rect[3])]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Bounds, pt};

    #[test]
    fn a_place_is_taken_once() {
        let viewport = Viewport::fit(Bounds::of([pt(0.0, 0.0), pt(1.0, 1.0)]), 100.0, 100.0, 10.0);
        let mut taken = Taken::default();
        let rect = about([50.0, 50.0], 10.0, 10.0);
        assert_eq!(taken.take([rect].into_iter(), &viewport), Some(rect));
        assert_eq!(taken.take([rect].into_iter(), &viewport), None);
        assert_eq!(taken.take([about([2.0, 50.0], 10.0, 10.0)].into_iter(), &viewport), None, "out of sight");
    }

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
