//! A list of things to draw, in view points with y down.

use std::sync::Arc;

use crate::pixels::Pixels;

/// A colour as straight red, green, blue and opacity.
pub type Ink = [u8; 4];

/// Things to draw, from the back to the front.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// Width in view points.
    pub width: f32,
    /// Height in view points.
    pub height: f32,
    /// What to draw, the furthest back first.
    pub items: Vec<Item>,
}

/// One thing to draw.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// The inside of closed polygons, by the non-zero rule.
    Fill {
        /// Corners of each polygon.
        outlines: Vec<Vec<[f32; 2]>>,
        /// Colour.
        ink: Ink,
    },
    /// Lines with round ends and corners.
    Stroke {
        /// Points of each line.
        lines: Vec<Vec<[f32; 2]>>,
        /// Colour.
        ink: Ink,
        /// Width in view points.
        width: f32,
        /// Line style.
        dash: Dash,
        /// Whether each line returns to its first point.
        closed: bool,
    },
    /// Pixels stretched over a box, each shown as a plain square.
    Image {
        /// Left, top, right and bottom.
        rect: [f32; 4],
        /// The pixels.
        pixels: Arc<Pixels>,
    },
    /// One line of text.
    Text {
        /// Where the anchor lies, at half the height of the line.
        at: [f32; 2],
        /// Which part of the line lies there.
        anchor: Anchor,
        /// Size of the type in view points.
        size: f32,
        /// Face.
        weight: Weight,
        /// Colour.
        ink: Ink,
        /// The text.
        text: String,
    },
    /// Thin lines at 45 degrees, cut off at a box; see [`hatch_lines`].
    Hatch {
        /// Left, top, right and bottom.
        rect: [f32; 4],
        /// Colour.
        ink: Ink,
        /// Distance between lines in view points.
        spacing: f32,
    },
}

/// Line style.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dash {
    /// Without gaps.
    Solid,
    /// Dashes.
    Dashed,
    /// Dots.
    Dotted,
}

impl Dash {
    /// Length drawn and length left out in view points, before the round ends are added. It does not follow the
    /// width, so that a casing and the line on it stay in step.
    pub const fn pattern(self) -> Option<[f32; 2]> {
        match self {
            Self::Solid => None,
            Self::Dashed => Some([5.0, 6.5]),
            Self::Dotted => Some([0.01, 5.0]),
        }
    }
}

/// Which part of a text its place is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// The left end.
    Left,
    /// The middle.
    Centre,
    /// The right end.
    Right,
}

/// Face of a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weight {
    /// Plain.
    Plain,
    /// Bold.
    Bold,
    /// Every letter equally wide.
    Mono,
}

impl Drawing {
    /// An empty drawing.
    pub const fn new(width: f32, height: f32) -> Self {
        Self { width, height, items: Vec::new() }
    }

    /// The items moved by `dx` and `dy` and put on top of this drawing.
    pub fn place(&mut self, other: Self, dx: f32, dy: f32) {
        self.items.extend(other.items.into_iter().map(|item| moved(item, dx, dy)));
    }

    pub(crate) fn stroke(&mut self, lines: Vec<Vec<[f32; 2]>>, ink: Ink, width: f32, dash: Dash) {
        if !lines.is_empty() {
            self.items.push(Item::Stroke { lines, ink, width, dash, closed: false });
        }
    }

    pub(crate) fn ring(&mut self, points: Vec<[f32; 2]>, ink: Ink, width: f32) {
        self.items.push(Item::Stroke { lines: vec![points], ink, width, dash: Dash::Solid, closed: true });
    }

    pub(crate) fn line(&mut self, from: [f32; 2], to: [f32; 2], ink: Ink, width: f32, dash: Dash) {
        self.stroke(vec![vec![from, to]], ink, width, dash);
    }

    pub(crate) fn fill(&mut self, outline: Vec<[f32; 2]>, ink: Ink) {
        self.items.push(Item::Fill { outlines: vec![outline], ink });
    }

    pub(crate) fn panel(&mut self, rect: [f32; 4], ink: Ink) {
        self.fill(corners(rect), ink);
    }

    pub(crate) fn text(
        &mut self,
        at: [f32; 2],
        anchor: Anchor,
        size: f32,
        ink: Ink,
        text: impl Into<String>,
    ) {
        self.items.push(Item::Text { at, anchor, size, weight: Weight::Plain, ink, text: text.into() });
    }

    pub(crate) fn bold(
        &mut self,
        at: [f32; 2],
        anchor: Anchor,
        size: f32,
        ink: Ink,
        text: impl Into<String>,
    ) {
        self.items.push(Item::Text { at, anchor, size, weight: Weight::Bold, ink, text: text.into() });
    }
}

/// The corners of a box.
pub(crate) fn corners([x0, y0, x1, y1]: [f32; 4]) -> Vec<[f32; 2]> {
    vec![[x0, y0], [x1, y0], [x1, y1], [x0, y1]]
}

/// A circle as a polygon fine enough for its size.
pub(super) fn circle(centre: [f32; 2], radius: f32) -> Vec<[f32; 2]> {
    let steps = (radius.sqrt() * 8.0).clamp(16.0, 360.0) as usize;
    (0..steps)
        .map(|step| {
            let (sin, cos) = (step as f32 / steps as f32 * std::f32::consts::TAU).sin_cos();
            [centre[0] + radius * cos, centre[1] + radius * sin]
        })
        .collect()
}

/// The lines of a hatch, rising to the right, in step with every other hatch of the same spacing.
pub fn hatch_lines(rect: [f32; 4], spacing: f32) -> Vec<[[f32; 2]; 2]> {
    let [x0, y0, x1, y1] = rect;
    let step = spacing.max(1.0) * std::f32::consts::SQRT_2;
    if x1 <= x0 || y1 <= y0 {
        return Vec::new();
    }
    let first = ((x0 + y0) / step).ceil() as i64;
    let last = ((x1 + y1) / step).floor() as i64;
    (first..=last)
        .map(|index| {
            let sum = index as f32 * step;
            let left = (sum - y1).max(x0);
            let right = (sum - y0).min(x1);
            [[left, sum - left], [right, sum - right]]
        })
        .collect()
}

fn moved(item: Item, dx: f32, dy: f32) -> Item {
    let shift = |lines: Vec<Vec<[f32; 2]>>| -> Vec<Vec<[f32; 2]>> {
        let line = |line: Vec<[f32; 2]>| line.into_iter().map(|p| [p[0] + dx, p[1] + dy]).collect();
        lines.into_iter().map(line).collect()
    };
    let shift_rect = |r: [f32; 4]| [r[0] + dx, r[1] + dy, r[2] + dx, r[3] + dy];
    match item {
        Item::Fill { outlines, ink } => Item::Fill { outlines: shift(outlines), ink },
        Item::Stroke { lines, ink, width, dash, closed } => {
            Item::Stroke { lines: shift(lines), ink, width, dash, closed }
        }
        Item::Image { rect, pixels } => Item::Image { rect: shift_rect(rect), pixels },
        Item::Text { at, anchor, size, weight, ink, text } => {
            Item::Text { at: [at[0] + dx, at[1] + dy], anchor, size, weight, ink, text }
        }
        Item::Hatch { rect, ink, spacing } => Item::Hatch { rect: shift_rect(rect), ink, spacing },
    }
}
