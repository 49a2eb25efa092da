//! Cutter radius compensation: from the programmed path to the path of the tool's centre (NISTIR 6556, appendix B).
//!
//! Plan only. A move ends square beside its programmed end, and the arc round a convex corner is made at the start of the
//! move that follows. The report refuses corners that turn towards the tool; [`inside`] says how most controls cut them.

mod fault;
mod inside;
#[cfg(test)]
mod tests;

pub(in crate::program) use fault::{CompensationFault, why};
pub(in crate::program) use inside::end_at;
use inside::{Last, span, sweep_to};

use std::f64::consts::{PI, TAU};

use crate::geometry::{Arc, Point, Point3, Span, pt3};
use crate::program::{Curve, Plane};

/// Two directions closer than this, in radians, are one: no arc goes in between, and a corner that is concave by less
/// is none. Rounded coordinates make tangent moves meet at such angles. From memory of the report's own program, as
/// the report's text names no figure. It moves the path aside by half the radius times its square: 0.000025 in with a
/// tool of 1 in.
const TANGENT: f64 = 0.01;

/// Lengths under this are none: far below the least increment of any control, above rounding.
const SAME: f64 = 1e-9;

/// By how much the centre may be off its place beside the programmed point when a move begins, as a part of the
/// radius and the coordinates: room for rounding only.
const OFF_PLACE: f64 = 1e-6;

/// Side of the programmed path on which the tool runs, looking along it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::program) enum Side {
    /// G41.
    Left,
    /// G42.
    Right,
}

impl Side {
    /// The side that this one is in a mirror.
    pub(in crate::program) const fn other(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }
}

/// Compensation in force, from its G41 or G42 to its G40. G40 makes no move: drop this, and the tool stands where it
/// stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::program) struct Compensation {
    /// Distance from path to centre, positive to the left.
    offset: f64,
    /// The tool has come beside the path.
    beside: bool,
    /// Corners that turn towards the tool are cut and not refused.
    looks_ahead: bool,
    /// What the tool did last along the path.
    last: Option<Last>,
}

/// The programmed line of one move in plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::program) enum Programmed {
    /// Straight.
    Line,
    /// A circular arc in the XY plane.
    Arc {
        /// Centre, equally far from both ends.
        centre: Point,
        /// Angle swept in radians, positive counter-clockwise.
        sweep: f64,
    },
}

/// One move of the tool's axis, from where it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::program) struct Piece {
    /// Where it ends.
    pub end: Point3,
    /// The line it follows.
    pub curve: Curve,
}

/// Turns compensation on. A negative radius, as a table of differences from a nominal tool has, puts the tool on the
/// other side.
pub(in crate::program) const fn on(side: Side, radius: f64) -> Compensation {
    let offset = match side {
        Side::Left => radius,
        Side::Right => -radius,
    };
    Compensation { offset, beside: false, looks_ahead: false, last: None }
}

impl Compensation {
    /// The same on a control that looks at the move ahead.
    #[must_use]
    pub(in crate::program) const fn looking_ahead(self) -> Self {
        Self { looks_ahead: true, ..self }
    }

    /// Adds to `pieces` what the tool's axis does, from `actual`, for one programmed move.
    ///
    /// Z follows the programmed Z over the main move; the arc round a corner keeps the level of its start. A move of
    /// no length in plan only changes Z. With radius 0 the programmed path is the tool's.
    ///
    /// Gives the place where the last move that was not upright is to end instead, when the path turned towards the tool.
    ///
    /// # Errors
    /// What a control would refuse. `pieces` is then as it was, and the next move counts as the first again, from
    /// wherever the caller leaves the tool.
    pub(in crate::program) fn advance(
        &mut self,
        actual: Point3,
        programmed_from: Point3,
        programmed_to: Point3,
        shape: Programmed,
        pieces: &mut Vec<Piece>,
    ) -> Result<Option<Point>, CompensationFault> {
        let (from, to) = (programmed_from.plan(), programmed_to.plan());
        if shape == Programmed::Line && from.distance(to) <= SAME {
            straight(actual, actual.plan(), programmed_to.z, pieces);
            return Ok(None);
        }
        let before = pieces.len();
        let last = self.last.take().filter(|_| self.looks_ahead);
        let mut tool = Tool { at: actual, offset: self.offset, last, instead: None, pieces };
        let done = match shape {
            _ if self.offset.abs() <= SAME => {
                tool.as_programmed(programmed_to, shape);
                Ok(())
            }
            Programmed::Line if !self.beside => tool.approach(to, programmed_to.z),
            Programmed::Arc { .. } if !self.beside => Err(CompensationFault::ArcFirst),
            Programmed::Line => tool.line(from, to, programmed_to.z),
            Programmed::Arc { centre, sweep } => {
                tool.arc(from, to, programmed_to.z, &Round { centre, sweep })
            }
        };
        let instead = tool.instead;
        let sound = done.and_then(|()| {
            let finite = pieces.iter().skip(before).all(|piece| is_finite(piece.end));
            if finite { Ok(instead) } else { Err(CompensationFault::Lost) }
        });
        if sound.is_ok() {
            self.last = if self.beside {
                let starts = pieces.len().checked_sub(2).filter(|index| *index >= before);
                let start = starts.map_or(instead.unwrap_or(actual.plan()), |index| pieces[index].end.plan());
                pieces.last().filter(|_| pieces.len() > before).map(|piece| Last::Side(span(start, piece)))
            } else {
                Some(Last::Approach)
            };
        } else {
            pieces.truncate(before);
        }
        self.beside = sound.is_ok();
        sound
    }
}

/// A programmed arc.
struct Round {
    centre: Point,
    sweep: f64,
}

/// The tool's axis under way.
struct Tool<'a> {
    at: Point3,
    offset: f64,
    /// What it did last, where corners are looked at ahead.
    last: Option<Last>,
    /// Where that ends instead.
    instead: Option<Point>,
    pieces: &'a mut Vec<Piece>,
}

impl Tool<'_> {
    fn as_programmed(&mut self, to: Point3, shape: Programmed) {
        match shape {
            Programmed::Line => self.straight(to.plan(), to.z),
            Programmed::Arc { centre, sweep } => self.round(centre, sweep, to),
        }
    }

    /// The first move: to the point D one radius from the programmed point P, such that the way from C to D touches
    /// the tool's circle about P: |D - P| = r and the angle C-D-P is square. Hence |D - C|^2 = |P - C|^2 - r^2, and
    /// the way lies at asin(r / |P - C|) from the line to P.
    fn approach(&mut self, to: Point, z: f64) -> Result<(), CompensationFault> {
        let way = to - self.at.plan();
        let (length, radius) = (way.length(), self.offset.abs());
        if length <= radius {
            return Err(CompensationFault::Gouging);
        }
        let along = way.unit().ok_or(CompensationFault::Lost)?;
        let tangent = ((length - radius) * (length + radius)).sqrt();
        let beside = self.at.plan() + along.turned((self.offset / length).asin()) * tangent;
        self.straight(beside, z);
        Ok(())
    }

    fn line(&mut self, from: Point, to: Point, z: f64) -> Result<(), CompensationFault> {
        let across = (to - from).unit().ok_or(CompensationFault::Lost)?.left() * self.offset;
        self.turn_corner(from, across, &Span::Line { from: from + across, to: to + across })?;
        self.straight(to + across, z);
        Ok(())
    }

    fn arc(&mut self, from: Point, to: Point, z: f64, round: &Round) -> Result<(), CompensationFault> {
        let (out_from, out_to) = (from - round.centre, to - round.centre);
        // left of a counter-clockwise arc is its inside
        let inside = (self.offset > 0.0) == (round.sweep > 0.0);
        let reach = if inside { -self.offset.abs() } else { self.offset.abs() };
        if inside && self.offset.abs() >= out_from.length().min(out_to.length()) - SAME {
            return Err(CompensationFault::ConcaveArc);
        }
        let across_from = out_from.unit().ok_or(CompensationFault::Lost)? * reach;
        let across_to = out_to.unit().ok_or(CompensationFault::Lost)? * reach;
        let whole = Arc::new(round.centre, out_from.length() + reach, out_from.angle(), round.sweep);
        self.turn_corner(from, across_from, &Span::Arc(whole))?;
        let end = to + across_to;
        if let Some(start) = self.instead {
            let left = round.sweep - sweep_to(from + across_from, round.centre, round.sweep, start);
            self.round(round.centre, left, pt3(end.x, end.y, z));
            return Ok(());
        }
        // what is left of a corner that counts as tangent, so that both ends lie on the arc
        if self.at.plan().distance(from + across_from) > SAME {
            self.straight(from + across_from, self.at.z);
        }
        self.round(round.centre, round.sweep, pt3(end.x, end.y, z));
        Ok(())
    }

    /// Goes round the programmed `corner` until the tool is `across` from it, if the path turns away from the tool; `next`
    /// is where its centre goes then.
    fn turn_corner(&mut self, corner: Point, across: Point, next: &Span) -> Result<(), CompensationFault> {
        let now = self.at.plan() - corner;
        let radius = self.offset.abs();
        let room = OFF_PLACE * (radius + corner.x.abs().max(corner.y.abs()));
        if (now.length() - radius).abs() > room {
            return Err(CompensationFault::Lost);
        }
        // to the left of the path the tool goes round clockwise
        let side = self.offset.signum();
        let turn = now.cross(across).atan2(now.dot(across)) * -side;
        // straight back the way it came is half a turn round the end, whichever side rounding puts it on
        let turn = if turn < TANGENT - PI { turn + TAU } else { turn };
        if turn < -TANGENT {
            let meets = self.last.and_then(|last| last.ends_at(next, corner));
            let place = meets.ok_or(CompensationFault::ConcaveCorner)?;
            self.at = pt3(place.x, place.y, self.at.z);
            self.instead = Some(place);
            return Ok(());
        }
        if turn > TANGENT {
            let start = corner + across;
            self.round(corner, turn * -side, pt3(start.x, start.y, self.at.z));
        }
        Ok(())
    }

    fn straight(&mut self, to: Point, z: f64) {
        self.at = straight(self.at, to, z, self.pieces);
    }

    fn round(&mut self, centre: Point, sweep: f64, end: Point3) {
        self.at = end;
        self.pieces.push(Piece { end, curve: Curve::Arc { plane: Plane::Xy, centre, sweep } });
    }
}

/// Adds a straight piece unless it has no length.
fn straight(at: Point3, to: Point, z: f64, pieces: &mut Vec<Piece>) -> Point3 {
    let end = pt3(to.x, to.y, z);
    if end != at {
        pieces.push(Piece { end, curve: Curve::Straight });
    }
    end
}

fn is_finite(p: Point3) -> bool {
    p.x.is_finite() && p.y.is_finite() && p.z.is_finite()
}
