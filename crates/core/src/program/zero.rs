//! Where a program's zero lies.

use crate::geometry::{Point, Point3, pt, pt3};

/// Where a program's origin lies in block coordinates, and how it is turned about it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Zero {
    /// Block coordinates of the program's origin.
    pub origin: [f64; 3],
    /// Degrees, counter-clockwise.
    pub turn: f64,
}

impl Zero {
    /// A place of the block as the program has it.
    pub fn of_program(&self, p: Point3) -> Point3 {
        let plan = self.in_plan(p.plan());
        pt3(plan.x, plan.y, p.z - self.origin[2])
    }

    /// The same of a place in plan.
    pub fn in_plan(&self, p: Point) -> Point {
        let [x, y, _] = self.origin;
        (p - pt(x, y)).turned(-self.turn.to_radians())
    }
}
