//! An undercut wall measured over pins.
//!
//! A pin lies in the sharp corner between the wall, which hangs over it, and the face that the block stands on; a
//! second one in the corner opposite. From the distance over or between them follows the width at the root.
//! Source: the dovetail formulas of *Machinery's Handbook*, 27th edition p. 713, published; quoted, not looked up.
//! The width meant is that at the root, where the pins lie: the narrow end of
//! a male form, the wide bottom of a female one. Elsewhere the male one is called "wide base" though the
//! arithmetic is the same, and a form with csc(a/2) - 1 found elsewhere is for another set-up.

/// Two equal pins in the corners of an undercut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pins {
    /// Diameter of a pin.
    pub diameter: f64,
    /// Angle of the wall from vertical, degrees, from 0 up to 90 but for 90 itself.
    pub undercut: f64,
}

impl Pins {
    /// From the root to the far side of the pin along the base: D (1 + cot(alpha / 2)), halved, with alpha = 90
    /// degrees - undercut the sharp angle between wall and base.
    ///
    /// The full constant 1 + cot(alpha / 2) is 2.7320508 at 60 degrees.
    fn reach(&self) -> f64 {
        let half = (90.0 - self.undercut) / 2.0;
        self.diameter * (1.0 + 1.0 / half.to_radians().tan()) / 2.0
    }

    /// Distance over the pins of a block that is `root` wide where it stands: x = a + D (1 + cot(alpha / 2)).
    pub fn over(&self, root: f64) -> f64 {
        root + 2.0 * self.reach()
    }

    /// Width at the root of a block that measures `over` across the pins.
    pub fn root_of_block(&self, over: f64) -> f64 {
        over - 2.0 * self.reach()
    }

    /// Distance between the pins in an opening that is `root` wide at its bottom: y = b - D (1 + cot(alpha / 2)).
    pub fn between(&self, root: f64) -> f64 {
        root - 2.0 * self.reach()
    }

    /// Width at the bottom of an opening that measures `between` inside the pins.
    pub fn root_of_opening(&self, between: f64) -> f64 {
        between + 2.0 * self.reach()
    }

    /// Height above the base at which the pin touches the wall: D (1 + sin u) / 2 with u the undercut (exact
    /// geometry). Above the undercut line the pin touches the land instead, and nothing here holds.
    pub fn contact_height(&self) -> f64 {
        self.diameter * (1.0 + self.undercut.to_radians().sin()) / 2.0
    }

    /// Whether the pins touch the undercut itself, which ends `line` above the base.
    pub fn touch_below(&self, line: f64) -> bool {
        self.contact_height() < line
    }
}
