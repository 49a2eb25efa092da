//! The stock along the outline as a band, drawn thicker than it is: what a roughing pass leaves would be a hair on the
//! screen, and what it leaves too little of less than that.

use super::clip::thinned;
use super::drawing::{Anchor, Dash, Drawing, Ink, Weight, circle};
use super::enlarge::{enlarged, usual};
use super::label::{Words, haloed};
use super::plan::seen;
use super::plan_marks::HEAD;
use super::text::text_width;
use super::theme::Theme;
use super::viewport::Viewport;
use crate::geometry::{Place, Point};
use crate::measure::{AlongOutline, Contact, StationRow};
use crate::proof::PassProof;
use crate::track::plan_span;
use crate::units::Told;

/// What a pass is meant to leave, or leaves at half of the stations, is drawn about this thick, view points.
const USUAL: f64 = 22.0;
/// The band is never drawn thicker, view points.
const MOST: f64 = 54.0;
/// Corners of the band nearer than this in view points are one.
const NEAR: f32 = 0.3;
/// A corner of the outline is rounded in steps of this turn, radians.
const TURN: f64 = 0.2;
/// Lines across what is not cut yet are so far apart, view points.
const RUNGS: f32 = 7.0;
const SMALL: f32 = 10.5;
const BIG: f32 = 12.5;

/// The stock that one pass leaves along the outline.
pub(super) struct Ribbon<'a> {
    along: &'a AlongOutline,
    pass: &'a PassProof,
    meant: Option<f64>,
    /// Where the tool is along the pass; `None` behind its end.
    distance: Option<f64>,
    /// How many times thicker than it is the stock is drawn.
    pub(super) times: f64,
    units: Told,
}

/// The two lines that a part of the band lies between, from the outline outward, and its color.
struct Part {
    on: Vec<Point>,
    off: Vec<Point>,
    state: Stock,
}

/// What there is to say of a part of the band.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stock {
    /// The tool has not been there.
    Before,
    /// The cut was light.
    Light,
    /// There was none, or the blank is short.
    None,
    /// As it is meant.
    Left,
}

impl<'a> Ribbon<'a> {
    /// `meant` is what the pass is to leave. `None` where stock left was not measured.
    pub(super) fn of(
        pass: &'a PassProof,
        meant: Option<f64>,
        distance: Option<f64>,
        units: Told,
        viewport: &Viewport,
    ) -> Option<Self> {
        let along = pass.along_outline.as_deref().filter(|along| along.rows.len() > 1)?;
        let times = times(along, meant, viewport.scale);
        let distance = distance.filter(|distance| *distance < pass.track.length());
        Some(Self { along, pass, meant, distance, times, units })
    }

    /// The band itself.
    pub(super) fn draw(&self, drawing: &mut Drawing, viewport: &Viewport, theme: &Theme) {
        for part in self.parts(viewport) {
            let to_view = |line: &[Point]| -> Vec<[f32; 2]> {
                thinned(&line.iter().map(|p| viewport.to_view(*p)).collect::<Vec<_>>(), NEAR)
            };
            let (on, off) = (to_view(&part.on), to_view(&part.off));
            let edge = seen(std::slice::from_ref(&off), viewport, 4.0);
            let (ink, line, width, dash) = part.state.look(theme);
            drawing.fill(on.into_iter().chain(off.into_iter().rev()).collect(), ink);
            drawing.stroke(edge, line, width, dash);
            if part.state == Stock::Before {
                drawing.stroke(seen(&part.rungs(viewport), viewport, 4.0), line, 0.9, Dash::Solid);
            }
        }
        if let Some(meant) = self.meant.filter(|meant| *meant > 0.0) {
            let rows = self.along.rows.iter();
            let line: Vec<_> = rows.map(|row| viewport.to_view(self.out(row, meant, viewport))).collect();
            drawing.stroke(seen(&[thinned(&line, NEAR)], viewport, 4.0), theme.stock_edge, 0.9, Dash::Dashed);
        }
    }

    /// The thinnest place in figures, where it is thinner than meant. Once the pass is through.
    pub(super) fn name_worst(&self, drawing: &mut Drawing, viewport: &Viewport, theme: &Theme) {
        let least = &self.along.leave;
        let short = self.meant.map(|meant| meant - least.least);
        if self.distance.is_some() || short.is_none_or(|short| short < self.units.of().pick(0.001, 0.025)) {
            return;
        }
        let row = self.along.rows.partition_point(|row| row.station < least.least_at);
        let Some(row) = self.along.rows.get(row).or(self.along.rows.last()) else { return };
        let words = if least.least < 0.0 {
            format!("{} short", self.units.fine(-least.least))
        } else {
            format!("{} left", self.units.fine(least.least))
        };
        let meant = format!("{} meant", self.units.fine(self.meant.unwrap_or(0.0)));
        let wide = text_width(&words, BIG, Weight::Bold).max(text_width(&meant, SMALL, Weight::Plain));
        let place = Place { at: row.at, outward: row.outward };
        // Where the blank is short, the band lies inside.
        let inside = 12.0 + if least.least < 0.0 { MOST } else { 0.0 };
        let Some(rect) = free(&place, inside, [wide + 8.0, 32.0], viewport) else { return };
        let from = viewport.to_view(row.at);
        let to = [from[0].clamp(rect[0], rect[2]), from[1].clamp(rect[1], rect[3])];
        drawing.line(from, to, theme.ink, 1.0, Dash::Solid);
        drawing.fill(circle(from, 2.6), theme.ink);
        let x = rect[0] + 4.0;
        for (text, y, size, weight, ink) in [
            (&words, rect[1] + 9.0, BIG, Weight::Bold, theme.ink),
            (&meant, rect[1] + 24.0, SMALL, Weight::Plain, theme.quiet),
        ] {
            let words = Words { at: [x, y], anchor: Anchor::Left, size, weight, ink };
            haloed(drawing, words, theme.paper, text);
        }
    }

    fn parts(&self, viewport: &Viewport) -> Vec<Part> {
        let mut parts: Vec<Part> = Vec::new();
        let mut before: Option<&StationRow> = None;
        for row in &self.along.rows {
            let off = self.out(row, self.thick(row), viewport);
            let state = self.state(row);
            if let Some(part) = parts.last_mut() {
                let round = before.map_or_else(Vec::new, |before| self.round(before, row, viewport));
                part.on.extend(std::iter::repeat_n(row.at, round.len() + 1));
                part.off.extend(round.into_iter().chain([off]));
            }
            if parts.last().is_none_or(|part| part.state != state) {
                parts.push(Part { on: vec![row.at], off: vec![off], state });
            }
            before = Some(row);
        }
        parts
    }

    /// Places between the ends of the band on either side of a corner.
    fn round(&self, before: &StationRow, row: &StationRow, viewport: &Viewport) -> Vec<Point> {
        let turn = before.outward.cross(row.outward).atan2(before.outward.dot(row.outward));
        if before.at.distance(row.at) > f64::EPSILON || turn.abs() < TURN {
            return Vec::new();
        }
        let steps = (turn.abs() / TURN).ceil() as u32;
        let (from, to) = (self.thick(before), self.thick(row));
        (1..steps)
            .map(|step| {
                let part = f64::from(step) / f64::from(steps);
                let outward = Point::at_angle(before.outward.angle() + turn * part);
                self.out(&StationRow { outward, ..*row }, from + (to - from) * part, viewport)
            })
            .collect()
    }

    fn out(&self, row: &StationRow, thick: f64, viewport: &Viewport) -> Point {
        let most = MOST / viewport.scale;
        let thick = if thick.is_nan() { 0.0 } else { (thick * self.times).clamp(-most, most) };
        row.at + row.outward * thick
    }

    /// The stock at a station, with the tool where it is.
    fn thick(&self, row: &StationRow) -> f64 {
        if self.is_passed(row) { row.after } else { row.before }
    }

    /// Whether the motion that makes the face at a station has come by.
    fn is_passed(&self, row: &StationRow) -> bool {
        let Some(distance) = self.distance else { return true };
        let placed = row.by.and_then(|by| self.pass.track.placed().get(by as usize));
        let Some(placed) = placed else { return true };
        let part = plan_span(&placed.motion).nearest(row.at).0;
        distance >= placed.from + part * placed.length
    }

    fn state(&self, row: &StationRow) -> Stock {
        if self.thick(row) < 0.0 {
            return Stock::None;
        }
        if !self.is_passed(row) {
            return Stock::Before;
        }
        let contact = &self.along.contact;
        let stretch = contact.get(contact.partition_point(|stretch| stretch.to < row.station));
        match stretch.map(|stretch| stretch.state) {
            Some(Contact::None) => Stock::None,
            Some(Contact::Light) => Stock::Light,
            Some(Contact::Full | Contact::Heavy | Contact::Approach) | None => Stock::Left,
        }
    }
}

impl Stock {
    /// Its color, and the line that it ends at: color, width and style. The line alone tells them apart in greys.
    fn look(self, theme: &Theme) -> (Ink, Ink, f32, Dash) {
        match self {
            Self::Before => (theme.stock_before, theme.quiet, 1.0, Dash::Dashed),
            Self::Light => (theme.stock_light, theme.fine_line(Contact::Light), 1.6, Dash::Dashed),
            Self::None => (theme.stock_none, theme.fine_line(Contact::None), 1.6, Dash::Dotted),
            Self::Left => (theme.stock, theme.stock_edge, 1.0, Dash::Solid),
        }
    }
}

impl Part {
    /// Lines across the band, as far apart as can be told.
    fn rungs(&self, viewport: &Viewport) -> Vec<Vec<[f32; 2]>> {
        let mut rungs: Vec<Vec<[f32; 2]>> = Vec::new();
        for (on, off) in self.on.iter().zip(&self.off) {
            let (on, off) = (viewport.to_view(*on), viewport.to_view(*off));
            let far = |rung: &Vec<[f32; 2]>| (rung[0][0] - on[0]).hypot(rung[0][1] - on[1]) >= RUNGS;
            if rungs.last().is_none_or(far) {
                rungs.push(vec![on, off]);
            }
        }
        rungs
    }
}

/// By how much to draw the stock thicker than it is: as much as what is meant, or usual, has room for.
fn times(along: &AlongOutline, meant: Option<f64>, scale: f64) -> f64 {
    let half = |of: fn(&StationRow) -> f64| usual(along.rows.iter().map(of), 0.5);
    let thick = [meant.unwrap_or(0.0), half(|row| row.after), half(|row| row.before)];
    let thick = thick.into_iter().find(|thick| thick * scale > 1e-3);
    thick.map_or(1.0, |thick| enlarged(thick, USUAL, scale))
}

/// A box of this size clear of the band: outside the place, or else so far inside.
fn free(place: &Place, inside: f64, [wide, high]: [f32; 2], viewport: &Viewport) -> Option<[f32; 4]> {
    let [x, y] = viewport.to_view(place.at);
    let half = f64::from(wide) / 2.0 * place.outward.x.abs() + f64::from(high) / 2.0 * place.outward.y.abs();
    [1.0, -1.0].into_iter().find_map(|side| {
        let room = if side > 0.0 { MOST + 8.0 } else { inside };
        let away = place.outward * (side * (room + half));
        let (left, top) = (x + away.x as f32 - wide / 2.0, y - away.y as f32 - high / 2.0);
        let seen = left > 30.0
            && top > HEAD + 4.0
            && left + wide < viewport.width - 8.0
            && top + high < viewport.height - 18.0;
        seen.then_some([left, top, left + wide, top + high])
    })
}
