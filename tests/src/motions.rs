//! Motions of a plain program, all of each known.

use blockwright_core::geometry::{Point, Point3, pt3};
use blockwright_core::program::{Curve, Kind, Known, Motion, Plane, Zero};
use blockwright_core::track::Track;

/// The feed of every motion here, a minute.
pub const FEED: f64 = 10.0;

/// A feed motion along a curve.
pub const fn feed(start: Point3, end: Point3, curve: Curve) -> Motion {
    Motion {
        start,
        end,
        curve,
        feed: FEED,
        spindle: 1000.0,
        line: 1,
        tool: 1,
        kind: Kind::Feed,
        proven: true,
        start_known: Known::ALL,
        end_known: Known::ALL,
    }
}

/// A straight one.
pub fn line(from: [f64; 3], to: [f64; 3]) -> Motion {
    feed(place(from), place(to), Curve::Straight)
}

/// One along an arc or a helix about an upright axis.
pub fn arc(from: [f64; 3], to: [f64; 3], centre: Point, sweep: f64) -> Motion {
    feed(place(from), place(to), Curve::Arc { plane: Plane::Xy, centre, sweep })
}

const fn place([x, y, z]: [f64; 3]) -> Point3 {
    pt3(x, y, z)
}

/// Where they go, with the zero of the program on that of the block.
pub fn track(motions: &[Motion]) -> Track {
    Track::new(motions, &Zero::default(), None, 1e-5)
}
