//! A span being drawn whose length or angle has been typed.

use crate::geometry::{Point, pt};

/// The direction at an angle in degrees from X, counter-clockwise; exact on the axes.
pub fn direction(degrees: f64) -> Point {
    let quarters = degrees / 90.0;
    if quarters.fract() == 0.0 {
        return match (quarters as i64).rem_euclid(4) {
            0 => pt(1.0, 0.0),
            1 => pt(0.0, 1.0),
            2 => pt(-1.0, 0.0),
            _ => pt(0.0, -1.0),
        };
    }
    Point::at_angle(degrees.to_radians())
}

/// What of a span being drawn has been typed and stays whatever the pointer does.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Held {
    /// Its length; of an arc, its chord.
    pub length: Option<f64>,
    /// Its direction in degrees from X, counter-clockwise; of an arc, its chord's.
    pub angle: Option<f64>,
}

impl Held {
    /// Whether anything is held.
    pub const fn any(&self) -> bool {
        self.length.is_some() || self.angle.is_some()
    }

    /// Where the span from `from` ends when the pointer is at `p`. With the angle alone held the pointer still says
    /// how far, never backwards; a negative length runs the other way.
    pub fn end(&self, from: Point, p: Point) -> Point {
        let toward = p - from;
        let along = match self.angle {
            Some(angle) => direction(angle),
            None => toward.unit().unwrap_or(pt(1.0, 0.0)),
        };
        match (self.length, self.angle) {
            (Some(length), _) => from + along * length,
            (None, Some(_)) => from + along * toward.dot(along).max(0.0),
            (None, None) => p,
        }
    }
}
