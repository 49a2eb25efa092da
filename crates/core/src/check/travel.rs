//! Motions against the machine's travel.
//!
//! The travel is in machine coordinates. Where the job's control table gives the origin of the system that the
//! program is run in, every place is compared; where it does not, only the length of the way along each axis.

use super::PassCheck;
use crate::control::Control;
use crate::finding::{Code, Finding, Severity};
use crate::geometry::{Arc, Bounds, Point3, pt3};
use crate::job::Job;
use crate::program::{Curve, Motion};

const AXES: [&str; 3] = ["X", "Y", "Z"];

/// Parts of an arc among which the place of a finding is looked for.
const ARC_PARTS: u32 = 64;

pub(super) fn findings(check: &PassCheck<'_>) -> Vec<Finding> {
    let Some(travel) = check.job.machine.as_ref().and_then(|machine| machine.travel) else {
        return Vec::new();
    };
    let origin = check.proof.program.origin;
    let limits = [travel.x, travel.y, travel.z];
    let mut found = Vec::new();
    for (axis, limits) in limits.into_iter().enumerate() {
        let (Some(limits), Some(reach)) = (limits, Reach::of(check, axis)) else { continue };
        match origin[axis] {
            Some(origin) => {
                found.extend(off_ends(check, axis, &reach, limits.map(|limit| limit - origin), limits));
            }
            None => found.extend(too_long(check, axis, &reach, limits)),
        }
    }
    found
}

/// What is said once for a job whose travel can be compared by its length alone.
pub(super) fn left_out(job: &Job) -> Option<&'static str> {
    let travel = job.machine.as_ref().and_then(|machine| machine.travel)?;
    let placed = job.control.as_ref().is_some_and(Control::has_work_offsets);
    (travel != crate::job::Travel::default() && !placed).then_some(
        "The job gives the machine's travel, but no work offsets of its control: where on the table the \
         block lies is not known, so only the length of each program's path is compared with the travel.",
    )
}

/// The lowest and the highest that a program goes along one axis, with the motions that go there.
struct Reach<'a> {
    low: (f64, &'a Motion),
    high: (f64, &'a Motion),
}

impl<'a> Reach<'a> {
    /// From a place that the program has not stated, only where a motion ends counts. How high the tool's home is the
    /// machine knows.
    fn of(check: &PassCheck<'a>, axis: usize) -> Option<Self> {
        let mut known = check.proof.program.motions.iter().filter_map(|motion| {
            let [low, high] = match (motion.start_known.axis(axis), motion.end_known.axis(axis)) {
                (true, true) => ends(motion).map(|end| along(end, axis)),
                (true, false) => [along(motion.start, axis); 2],
                (false, true) => [along(motion.end, axis); 2],
                (false, false) => return None,
            };
            Some(Self { low: (low, motion), high: (high, motion) })
        });
        let first = known.next()?;
        Some(known.fold(first, |all, next| Self {
            low: if next.low.0 < all.low.0 { next.low } else { all.low },
            high: if next.high.0 > all.high.0 { next.high } else { all.high },
        }))
    }
}

const fn along(p: Point3, axis: usize) -> f64 {
    match axis {
        0 => p.x,
        1 => p.y,
        _ => p.z,
    }
}

/// The lower and the upper corner of the box round a motion.
fn ends(motion: &Motion) -> [Point3; 2] {
    let (start, end) = (motion.start, motion.end);
    let [low, high] = match motion.curve {
        Curve::Straight => [start, end],
        Curve::Arc { plane, centre, sweep } => {
            let ((from, low), (_, high)) = (plane.split(start), plane.split(end));
            let spoke = from - centre;
            let arc = Arc::new(centre, spoke.length(), spoke.angle(), sweep);
            let bounds: Bounds = arc.bounds().with(from).with(plane.split(end).0);
            [plane.join(bounds.low, low), plane.join(bounds.high, high)]
        }
    };
    [
        pt3(low.x.min(high.x), low.y.min(high.y), low.z.min(high.z)),
        pt3(low.x.max(high.x), low.y.max(high.y), low.z.max(high.z)),
    ]
}

fn off_ends(
    check: &PassCheck<'_>,
    axis: usize,
    reach: &Reach<'_>,
    [low, high]: [f64; 2],
    limits: [f64; 2],
) -> Vec<Finding> {
    let least = check.tolerances.sliver;
    let units = check.told;
    let off = |(value, motion): (f64, &Motion), by: f64, limit: f64, end: &str| {
        (by > least).then(|| {
            let message = format!(
                "{}: {} goes {} past the {end} end of its travel (machine {} {}). The control stops there with an \
                 overtravel, in the middle of the cut if need be. Move work and work zero by that much at the least, \
                 or clamp the block elsewhere on the table.",
                check.title(),
                AXES[axis],
                check.length(by),
                AXES[axis],
                units.fine(limit),
            );
            placed(check, Finding::new(Code::OffTravel, Severity::Stop, message), motion, axis, value)
        })
    };
    let below = off(reach.low, low - reach.low.0, limits[0], "lower");
    let above = off(reach.high, reach.high.0 - high, limits[1], "upper");
    below.into_iter().chain(above).collect()
}

fn too_long(check: &PassCheck<'_>, axis: usize, reach: &Reach<'_>, [low, high]: [f64; 2]) -> Option<Finding> {
    let (needed, there) = (reach.high.0 - reach.low.0, high - low);
    (needed - there > check.tolerances.sliver).then(|| {
        let message = format!(
            "{}: the program needs {} of travel in {}, and the machine has {}, {} too little: wherever the \
             block lies, the control stops with an overtravel. Rotate the block, or cut it in two set-ups.",
            check.title(),
            check.length(needed),
            AXES[axis],
            check.length(there),
            check.length(needed - there),
        );
        let finding = Finding::new(Code::OffTravel, Severity::Stop, message);
        placed(check, finding, reach.high.1, axis, reach.high.0)
    })
}

/// The finding on its line, at the place in block coordinates where the motion comes to `value` along an axis.
fn placed(check: &PassCheck<'_>, finding: Finding, motion: &Motion, axis: usize, value: f64) -> Finding {
    let off = |p: &Point3| (along(*p, axis) - value).abs();
    let places = (0..=ARC_PARTS).map(|part| motion.at(f64::from(part) / f64::from(ARC_PARTS)));
    let place = places.min_by(|a, b| off(a).total_cmp(&off(b))).unwrap_or(motion.end);
    let zero = &check.pass.zero;
    let turned = place.plan().turned(zero.turn.to_radians());
    let [x, y, z] = zero.origin;
    finding.on_line(motion.line).at(pt3(turned.x + x, turned.y + y, place.z + z))
}
