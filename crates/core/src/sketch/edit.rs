//! One thing done to a path being drawn.

use super::arc::bulge_of_radius;
use super::fillet::fillet;
use super::{Chain, Refused};
use crate::geometry::{Arc, Point, Span};
use crate::job::Vertex;

/// Nearer than this part of a span to one of its ends, a vertex put in would lie on that end.
const AT_END: f64 = 1e-9;

/// One thing done to a path being drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Edit {
    /// Adds a span from the end to a point; the first vertex when there is none. On the first vertex it closes.
    Add {
        /// Where it ends.
        to: Point,
        /// Its bulge.
        bulge: f64,
    },
    /// Closes with a span from the last vertex to the first.
    Close {
        /// Its bulge.
        bulge: f64,
    },
    /// Puts a vertex into a span, which keeps its form.
    Insert {
        /// The span.
        span: usize,
        /// How far along it, from 0 to 1.
        part: f64,
    },
    /// Moves a vertex; arcs that meet there keep their included angle.
    MoveVertex {
        /// The vertex.
        vertex: usize,
        /// Where to.
        to: Point,
    },
    /// Takes a vertex out. Two arcs of one circle become one; otherwise a line closes the gap.
    Delete(usize),
    /// Moves a span with both its ends.
    MoveSpan {
        /// The span.
        span: usize,
        /// By how much.
        by: Point,
    },
    /// Rounds a corner.
    Fillet {
        /// The vertex.
        vertex: usize,
        /// The radius.
        radius: f64,
    },
    /// Gives a span another length and direction from its start; of an arc, its chord.
    Reach {
        /// The span.
        span: usize,
        /// Length of its chord.
        length: f64,
        /// Direction of its chord in degrees from X, counter-clockwise.
        angle: f64,
    },
    /// Gives a span another bulge.
    Bulge {
        /// The span.
        span: usize,
        /// The bulge; 0 for a line.
        bulge: f64,
    },
    /// Gives an arc another radius over the same chord.
    Radius {
        /// The span.
        span: usize,
        /// The radius.
        radius: f64,
    },
    /// Takes a span out of a closed path, which is open there afterwards.
    OpenAt(usize),
    /// Makes a vertex of a closed path the first, where stations begin.
    BeginAt(usize),
    /// Puts another path in its place.
    Replace(Chain),
    /// Takes everything away.
    Clear,
}

impl Edit {
    /// What it does, to stand behind "Undo".
    pub const fn words(&self) -> &'static str {
        match self {
            Self::Add { .. } => "add a vertex",
            Self::Close { .. } => "close",
            Self::Insert { .. } => "add a vertex to a span",
            Self::MoveVertex { .. } => "move a vertex",
            Self::Delete(_) => "delete a vertex",
            Self::MoveSpan { .. } => "move a span",
            Self::Fillet { .. } => "round a corner",
            Self::Reach { .. } => "length and angle",
            Self::Bulge { .. } | Self::Radius { .. } => "change a span to an arc or a line",
            Self::OpenAt(_) => "open the path",
            Self::BeginAt(_) => "first vertex",
            Self::Replace(_) => "import a path",
            Self::Clear => "clear the sheet",
        }
    }
}

impl Chain {
    /// The chain after an edit.
    ///
    /// # Errors
    /// Why it cannot be done.
    pub fn edited(&self, edit: &Edit) -> Result<Self, Refused> {
        let mut chain = self.clone();
        match *edit {
            Edit::Add { to, bulge } => chain.add(to, bulge)?,
            Edit::Close { bulge } => chain.close(bulge)?,
            Edit::Insert { span, part } => chain.insert(span, part)?,
            Edit::MoveVertex { vertex, to } => chain.vertex(vertex)?.at = to,
            Edit::Delete(vertex) => chain.delete(vertex)?,
            Edit::MoveSpan { span, by } => chain.move_span(span, by)?,
            Edit::Fillet { vertex, radius } => chain = fillet(self, vertex, radius)?,
            Edit::Reach { span, length, angle } => chain.reach(span, length, angle)?,
            Edit::Bulge { span, bulge } => {
                chain.span(span).ok_or(Refused::NoSuch)?;
                chain.vertex(span)?.bulge = bulge;
            }
            Edit::Radius { span, radius } => chain.bend(span, radius)?,
            Edit::OpenAt(span) => chain.open_at(span)?,
            Edit::BeginAt(vertex) => chain.begin_at(vertex)?,
            Edit::Replace(ref other) => chain = other.clone(),
            Edit::Clear => chain = Self::default(),
        }
        chain.checked()
    }

    fn vertex(&mut self, index: usize) -> Result<&mut Vertex, Refused> {
        self.vertices.get_mut(index).ok_or(Refused::NoSuch)
    }

    fn add(&mut self, to: Point, bulge: f64) -> Result<(), Refused> {
        if self.closed {
            return Err(Refused::Closed);
        }
        if self.vertices.first().is_some_and(|first| first.at == to) {
            return self.close(bulge);
        }
        if let Some(last) = self.vertices.last_mut() {
            last.bulge = bulge;
        }
        self.vertices.push(Vertex { at: to, bulge: 0.0 });
        Ok(())
    }

    fn close(&mut self, bulge: f64) -> Result<(), Refused> {
        if self.closed {
            return Err(Refused::Closed);
        }
        // The last vertex may have been put on the first.
        if self.vertices.len() > 2 && self.gap() == Some(0.0) {
            self.vertices.pop();
        } else if let Some(last) = self.vertices.last_mut() {
            last.bulge = bulge;
        }
        self.closed = true;
        if self.path().is_none() { Err(Refused::Flat) } else { Ok(()) }
    }

    fn insert(&mut self, span: usize, part: f64) -> Result<(), Refused> {
        let whole = self.span(span).ok_or(Refused::NoSuch)?;
        if !(AT_END..=1.0 - AT_END).contains(&part) {
            return Err(Refused::NoLength);
        }
        self.vertex(span)?.bulge = bulge_of_part(&whole, part);
        self.vertices
            .insert(span + 1, Vertex { at: whole.at(part), bulge: bulge_of_part(&whole, 1.0 - part) });
        Ok(())
    }

    fn delete(&mut self, index: usize) -> Result<(), Refused> {
        let merged = self.round(index).map(|(before, after)| (before, self.one_arc(before, after)));
        if index >= self.vertices.len() {
            return Err(Refused::NoSuch);
        }
        if let Some((before, bulge)) = merged {
            self.vertex(before)?.bulge = bulge.unwrap_or(0.0);
        }
        self.vertices.remove(index);
        if self.closed && self.path().is_none() {
            self.closed = false;
        }
        if !self.closed
            && let Some(last) = self.vertices.last_mut()
        {
            last.bulge = 0.0;
        }
        Ok(())
    }

    /// The bulge of two arcs of one circle run as one.
    fn one_arc(&self, before: usize, after: usize) -> Option<f64> {
        let (Span::Arc(a), Span::Arc(b)) = (self.span(before)?, self.span(after)?) else { return None };
        let near = (a.radius + b.radius) * AT_END;
        let one = a.centre.distance(b.centre) <= near && (a.radius - b.radius).abs() <= near;
        let sweep = a.sweep + b.sweep;
        let on = a.sweep.signum() == b.sweep.signum() && sweep.abs() < std::f64::consts::TAU - AT_END;
        (one && on).then(|| (sweep / 4.0).tan())
    }

    fn move_span(&mut self, span: usize, by: Point) -> Result<(), Refused> {
        self.span(span).ok_or(Refused::NoSuch)?;
        let end = self.end_of(span);
        for index in [span, end] {
            let vertex = self.vertex(index)?;
            vertex.at = vertex.at + by;
        }
        Ok(())
    }

    fn reach(&mut self, span: usize, length: f64, angle: f64) -> Result<(), Refused> {
        let start = self.span(span).ok_or(Refused::NoSuch)?.at(0.0);
        if length.is_nan() || length <= 0.0 {
            return Err(Refused::NoLength);
        }
        let end = self.end_of(span);
        self.vertex(end)?.at = start + super::direction(angle) * length;
        Ok(())
    }

    fn bend(&mut self, span: usize, radius: f64) -> Result<(), Refused> {
        let whole = self.span(span).ok_or(Refused::NoSuch)?;
        let chord = whole.at(0.0).distance(whole.at(1.0));
        let vertex = self.vertex(span)?;
        vertex.bulge =
            bulge_of_radius(chord, radius, vertex.bulge).map_err(|least| Refused::TooSmall { least })?;
        Ok(())
    }

    fn open_at(&mut self, span: usize) -> Result<(), Refused> {
        if !self.closed || span >= self.vertices.len() {
            return Err(Refused::NoSuch);
        }
        let first = self.end_of(span);
        self.vertices.rotate_left(first);
        *self = Self::new(std::mem::take(&mut self.vertices), false);
        Ok(())
    }

    fn begin_at(&mut self, vertex: usize) -> Result<(), Refused> {
        if vertex >= self.vertices.len() {
            return Err(Refused::NoSuch);
        }
        if !self.closed {
            return Err(Refused::Open { gap: self.gap().unwrap_or_default() });
        }
        self.vertices.rotate_left(vertex);
        Ok(())
    }
}

/// The bulge of a part of a span.
pub(super) fn bulge_of_part(span: &Span, part: f64) -> f64 {
    match span {
        Span::Line { .. } => 0.0,
        Span::Arc(Arc { sweep, .. }) => (sweep * part / 4.0).tan(),
    }
}
