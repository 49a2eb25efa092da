//! Half a cutter's silhouette as exact lines and arcs, and what it says of radii and heights.

use crate::geometry::{Arc, Interval, Point, Span, pt};

/// How far a cone spreads sideways over `height`, its side at `angle` degrees from vertical.
pub(super) fn cone_spread(height: f64, angle: f64) -> f64 {
    height * angle.to_radians().tan()
}

/// Height over which a cone spreads by `spread`, its side at `angle` degrees from vertical; 0 at 90 degrees.
pub(super) fn cone_height(spread: f64, angle: f64) -> f64 {
    if angle >= 90.0 { 0.0 } else { spread / angle.to_radians().tan() }
}

/// One line or arc of a profile, from its lower to its upper end; x is the radius, y the height above the tip.
/// Along a piece the radius only grows or only shrinks, and the height never falls.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Piece {
    /// Lower end.
    pub from: Point,
    /// Upper end.
    pub to: Point,
    /// Centre of an arc of at most a quarter turn; `None` for a straight line.
    pub centre: Option<Point>,
}

impl Piece {
    const fn line(from: Point, to: Point) -> Self {
        Self { from, to, centre: None }
    }

    /// The piece as a line or arc in the plane of radius and height.
    pub fn span(&self) -> Span {
        let Some(centre) = self.centre else { return Span::Line { from: self.from, to: self.to } };
        let (from, to) = (self.from - centre, self.to - centre);
        let sweep = from.cross(to).atan2(from.dot(to));
        Span::Arc(Arc::new(centre, from.length(), from.angle(), sweep))
    }

    /// Whether the piece is level: a step or a flat bottom.
    pub fn is_level(&self) -> bool {
        self.from.y == self.to.y
    }

    /// The radius at a height within the piece; of a level piece the wider end.
    pub fn radius_at(&self, height: f64) -> f64 {
        if self.is_level() {
            return self.from.x.max(self.to.x);
        }
        if height == self.from.y {
            return self.from.x;
        }
        if height == self.to.y {
            return self.to.x;
        }
        match self.centre {
            None => self.from.toward(self.to, (height - self.from.y) / (self.to.y - self.from.y)).x,
            Some(centre) => {
                let side = if self.from.x + self.to.x >= 2.0 * centre.x { 1.0 } else { -1.0 };
                centre.x + side * self.leg(height - centre.y, centre)
            }
        }
    }

    /// The height at a radius between those of the ends, which must differ.
    fn height_at(&self, radius: f64) -> f64 {
        if radius == self.from.x {
            return self.from.y;
        }
        if radius == self.to.x {
            return self.to.y;
        }
        match self.centre {
            None => self.from.toward(self.to, (radius - self.from.x) / (self.to.x - self.from.x)).y,
            Some(centre) => {
                let side = if self.from.y + self.to.y >= 2.0 * centre.y { 1.0 } else { -1.0 };
                centre.y + side * self.leg(radius - centre.x, centre)
            }
        }
    }

    /// The other leg of the right triangle over the arc's radius.
    fn leg(&self, leg: f64, centre: Point) -> f64 {
        let radius = self.from.distance(centre);
        ((radius - leg) * (radius + leg)).max(0.0).sqrt()
    }

    /// The heights of the piece at which it is at least `radius` wide.
    fn as_wide_as(&self, radius: f64) -> Option<Interval> {
        match (self.from.x >= radius, self.to.x >= radius) {
            (true, true) => Some((self.from.y, self.to.y)),
            (true, false) => Some((self.from.y, self.height_at(radius))),
            (false, true) => Some((self.height_at(radius), self.to.y)),
            (false, false) => None,
        }
    }
}

/// Half a cutter's silhouette, from the axis at the tip up. Above its last piece the cutter goes on at that
/// radius without end.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    pieces: Vec<Piece>,
    top: Point,
}

impl Profile {
    /// Whether nothing is narrower than what lies below it.
    pub fn only_widens(&self) -> bool {
        self.pieces.iter().all(|piece| piece.to.x >= piece.from.x) && self.top.x >= self.widest()
    }

    /// From the axis straight through these points.
    pub(super) fn from_axis(points: &[Point]) -> Self {
        let mut profile = Self { pieces: Vec::with_capacity(points.len() + 1), top: pt(0.0, 0.0) };
        for point in points {
            profile.push(Piece::line(profile.top, *point));
        }
        profile
    }

    /// A flat end of this radius whose corner is rounded: a ball when the corner is the whole radius.
    pub(super) fn nosed(radius: f64, corner: f64) -> Self {
        let centre = pt(radius - corner, corner);
        let mut profile = Self::from_axis(&[pt(centre.x, 0.0)]);
        profile.push(Piece { from: profile.top, to: pt(radius, corner), centre: Some(centre) });
        profile
    }

    /// With a concave quarter on top that starts upright and ends level, `radius` wider and higher.
    pub(super) fn with_concave_quarter(mut self, radius: f64) -> Self {
        let centre = pt(self.top.x + radius, self.top.y);
        let to = pt(centre.x, centre.y + radius);
        self.push(Piece { from: self.top, to, centre: Some(centre) });
        self
    }

    fn push(&mut self, piece: Piece) {
        if piece.from != piece.to {
            self.pieces.push(piece);
        }
        self.top = piece.to;
    }

    /// The pieces from the tip up. The first starts on the axis at height 0, each where the one before it ended.
    pub fn pieces(&self) -> &[Piece] {
        &self.pieces
    }

    /// Radius and height of the upper end, above which the radius stays.
    pub const fn top(&self) -> Point {
        self.top
    }

    /// The largest radius.
    pub fn widest(&self) -> f64 {
        self.pieces.iter().map(|piece| piece.from.x.max(piece.to.x)).fold(self.top.x, f64::max)
    }

    /// Where the edges of a form end that narrows on its way up: a cone that narrows cuts under the metal, but past a
    /// step inwards, and from where the form goes straight up or widens again, it is a neck or a shank (common practice,
    /// no source). `None` for a form that never narrows.
    pub fn edges_end(&self) -> Option<f64> {
        let mut narrowed = false;
        for piece in &self.pieces {
            let narrows = piece.to.x < piece.from.x;
            if narrows && piece.is_level() {
                return Some(piece.from.y);
            }
            if narrowed && !narrows {
                return Some(piece.from.y);
            }
            narrowed |= narrows;
        }
        narrowed.then_some(self.top.y)
    }

    /// The heights at which one piece ends and the next begins, rising, tip and upper end among them.
    pub fn joints(&self) -> impl Iterator<Item = f64> + '_ {
        std::iter::once(0.0)
            .chain(self.pieces.iter().filter(|piece| !piece.is_level()).map(|piece| piece.to.y))
    }

    /// The radius at `height` above the tip; `None` below the tip. Where the silhouette steps, the wider side
    /// counts.
    ///
    /// A bull nose of radius R and corner c has R - c + sqrt(c^2 - (c - h)^2) up to h = c; a ball is c = R. A
    /// concave quarter r on a pilot p has p + r - sqrt(r^2 - (h - l)^2) above the pilot's length l (exact
    /// geometry).
    pub fn radius_at(&self, height: f64) -> Option<f64> {
        let above = (height >= self.top.y).then_some(self.top.x);
        let radii = self.pieces_between(height, height).map(|piece| piece.radius_at(height));
        radii.chain(above).reduce(f64::max)
    }

    /// The pieces that reach into a stretch of height above the tip: they lie one above the other.
    pub(crate) fn pieces_between(&self, low: f64, high: f64) -> impl Iterator<Item = &Piece> {
        let first = self.pieces.partition_point(|piece| piece.to.y < low);
        self.pieces[first..].iter().take_while(move |piece| piece.from.y <= high)
    }

    /// The heights at which the form is at least `radius` wide, rising and apart; where it goes on without end
    /// the last ends at infinity. Empty outside the cutter.
    pub fn heights_at(&self, radius: f64) -> Vec<Interval> {
        let mut found: Vec<Interval> = Vec::new();
        let above = (self.top.x >= radius).then_some((self.top.y, f64::INFINITY));
        for next in self.pieces.iter().filter_map(|piece| piece.as_wide_as(radius)).chain(above) {
            match found.last_mut() {
                Some(last) if next.0 <= last.1 => last.1 = next.1,
                _ => found.push(next),
            }
        }
        found
    }

    /// Height of the lowest point of the form at `radius` from the axis, the underside; `None` outside the
    /// cutter.
    ///
    /// Of a bull nose: 0 up to R - c, then c - sqrt(c^2 - (r - (R - c))^2).
    pub fn height_at(&self, radius: f64) -> Option<f64> {
        let lowest = self.pieces.iter().find_map(|piece| piece.as_wide_as(radius)).map(|(low, _)| low);
        lowest.or_else(|| (self.top.x >= radius).then_some(self.top.y))
    }

    /// Height at which the form that begins at [`Profile::height_at`] ends again at this radius; `None` where it
    /// goes on without end, and outside the cutter.
    pub fn roof_at(&self, radius: f64) -> Option<f64> {
        self.heights_at(radius).first().map(|(_, high)| *high).filter(|high| high.is_finite())
    }
}
