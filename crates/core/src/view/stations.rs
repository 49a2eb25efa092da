//! Stations along the outline: ticks at round distances, with their numbers, and the way they are counted.

use super::drawing::{Anchor, Dash, Drawing, Weight};
use super::label::{Words, haloed};
use super::plan_marks::HEAD;
use super::rounding::{multiples, round_number, told_up};
use super::text::text_width;
use super::theme::Theme;
use super::viewport::Viewport;
use crate::geometry::Path;
use crate::units::Told;

/// Least distance between two ticks along the outline, view points.
const APART: f64 = 84.0;
/// Length of a tick inward, and from the outline to its number.
const TICK: f64 = 7.0;
const TO_NUMBER: f64 = 11.0;
const SMALL: f32 = 9.5;
/// A number keeps so far from another.
const ROOM: f32 = 3.0;

/// Ticks and numbers on the inside of the outline, as far as they are seen and find room.
pub(super) fn draw(drawing: &mut Drawing, outline: &Path, told: Told, viewport: &Viewport, theme: &Theme) {
    let step = told_up(told, APART / viewport.scale);
    let mut taken: Vec<[f32; 4]> = Vec::new();
    for station in multiples(0.0, outline.length() - step * 0.4, step) {
        let place = outline.place(station);
        let inward = |by: f64| viewport.to_view(place.at - place.outward * (by / viewport.scale));
        let from = inward(0.0);
        if !(0.0..=viewport.width).contains(&from[0]) || !(HEAD..=viewport.height).contains(&from[1]) {
            continue;
        }
        drawing.line(from, inward(TICK), theme.paper, 3.0, Dash::Solid);
        drawing.line(from, inward(TICK), theme.quiet, 1.2, Dash::Solid);
        let text = round_number(told, station, step);
        let half = text_width(&text, SMALL, Weight::Plain) / 2.0;
        let reach = f64::from(half) * place.outward.x.abs() + f64::from(SMALL) / 2.0 * place.outward.y.abs();
        let at = inward(TO_NUMBER + reach);
        let rect = [
            at[0] - half - ROOM,
            at[1] - SMALL / 2.0 - ROOM,
            at[0] + half + ROOM,
            at[1] + SMALL / 2.0 + ROOM,
        ];
        if taken.iter().any(|other| overlap(other, &rect)) {
            continue;
        }
        taken.push(rect);
        let words = Words { at, anchor: Anchor::Centre, size: SMALL, weight: Weight::Plain, ink: theme.ink };
        haloed(drawing, words, theme.metal, &text);
    }
}

fn overlap(a: &[f32; 4], b: &[f32; 4]) -> bool {
    a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Bounds, Point, pt};
    use crate::units::Units;
    use crate::view::Item;

    fn square() -> Path {
        let corners: [Point; 4] = [pt(0.0, 0.0), pt(4.0, 0.0), pt(4.0, 4.0), pt(0.0, 4.0)];
        Path::closed(&corners.map(|corner| (corner, 0.0))).expect("a square")
    }

    fn numbers(told: Told) -> Vec<String> {
        let viewport = Viewport::fit(Bounds::of([pt(-1.0, -1.0), pt(5.0, 5.0)]), 600.0, 600.0, 10.0);
        let mut drawing = Drawing::new(600.0, 600.0);
        draw(&mut drawing, &square(), told, &viewport, &Theme::light());
        let texts = drawing.items.iter().filter_map(|item| match item {
            Item::Text { text, .. } => Some(text.clone()),
            _ => None,
        });
        let mut all: Vec<String> = texts.collect();
        all.dedup();
        all
    }

    #[test]
    fn stations_are_round_as_they_are_told() {
        assert_eq!(numbers(Units::Inch.into())[..3], ["0", "1", "2"]);
        assert_eq!(numbers(Told::new(Units::Inch, Units::Mm))[..3], ["0", "50", "100"]);
    }
}
