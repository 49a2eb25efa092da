//! An area being drawn on the plan.

use blockwright_core::geometry::{Point, pt};
use blockwright_core::job::Vertex;
use blockwright_core::view::{Theme, Viewport};
use eframe::egui::{Button, CursorIcon, Key, Label, Painter, Pos2, Rect, Response, Shape as Drawn, Ui, pos2};

use crate::app::act::{Action, theme};
use crate::app::centre::Ask;
use crate::app::panel::words::quiet;
use crate::theme::colour;

/// A drag shorter than this, in points, was meant as a click.
const LEAST: f64 = 4.0;

/// How an area is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Shape {
    /// Dragged from corner to corner.
    #[default]
    Rectangle,
    /// Dragged from the middle to the rim.
    Circle,
    /// Clicked corner by corner.
    Corners,
}

impl Shape {
    const ALL: [(Self, &'static str, &'static str); 3] = [
        (Self::Rectangle, "rectangle", "Drag from corner to corner."),
        (Self::Circle, "circle", "Drag from the center out."),
        (Self::Corners, "corners", "Click the corners; press Enter to finish."),
    ];

    const fn hint(self) -> &'static str {
        match self {
            Self::Rectangle => Self::ALL[0].2,
            Self::Circle => Self::ALL[1].2,
            Self::Corners => Self::ALL[2].2,
        }
    }
}

/// The area as far as it is drawn.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sketch {
    /// How it is drawn.
    pub shape: Shape,
    /// Where the drag began, or the corners clicked so far.
    pub points: Vec<Point>,
}

impl Sketch {
    /// The area with this last point; `None` while it encloses nothing.
    fn area(&self, last: Option<Point>) -> Option<Vec<Vertex>> {
        let corner = |at: Point| Vertex { at, bulge: 0.0 };
        match (self.shape, self.points.first(), last) {
            (Shape::Rectangle, Some(from), Some(to)) => {
                let corners = [*from, pt(to.x, from.y), to, pt(from.x, to.y)];
                (from.x != to.x && from.y != to.y).then(|| corners.map(corner).to_vec())
            }
            (Shape::Circle, Some(middle), Some(rim)) => {
                let radius = middle.distance(rim);
                let end = |side: f64| Vertex { at: pt(middle.x + radius * side, middle.y), bulge: 1.0 };
                (radius > 0.0).then(|| vec![end(-1.0), end(1.0)])
            }
            (Shape::Corners, ..) if self.points.len() >= 3 => {
                Some(self.points.iter().copied().map(corner).collect())
            }
            (Shape::Rectangle | Shape::Circle | Shape::Corners, ..) => None,
        }
    }
}

/// The shapes to choose from, and what the hand has to do.
pub(in crate::app) fn controls(ui: &mut Ui, sketch: &Sketch, actions: &mut Vec<Action>) {
    for (shape, word, _) in Shape::ALL {
        let button = ui.add(Button::selectable(sketch.shape == shape, word));
        if button.accessible_name(format!("Draw a {word} clamp area")).clicked() {
            actions.push(Ask::Sketch(Some(Sketch { shape, points: Vec::new() })).into());
        }
    }
    if ui.button("Cancel").clicked() {
        actions.push(Ask::Sketch(None).into());
    }
    if let Some(area) = sketch.area(None)
        && ui.button("Done").clicked()
    {
        actions.push(Ask::Area(area).into());
    }
    ui.add(Label::new(quiet(sketch.shape.hint(), &theme(ui.ctx()))).truncate());
}

/// What the hand draws on the plan.
pub(in crate::app) fn hand(
    ui: &Ui,
    (painter, rect, response): (&Painter, Rect, &Response),
    sketch: &Sketch,
    viewport: &Viewport,
    actions: &mut Vec<Action>,
) {
    ui.set_cursor_icon(CursorIcon::Crosshair);
    let place = |at: Pos2| viewport.to_block([at.x - rect.min.x, at.y - rect.min.y]);
    let pointer = response.interact_pointer_pos().or_else(|| response.hover_pos()).map(place);
    let next = match sketch.shape {
        Shape::Corners => clicked(response, sketch, pointer),
        Shape::Rectangle | Shape::Circle => {
            let origin = ui.input(|input| input.pointer.press_origin()).map(place);
            dragged(response, (sketch, viewport), (origin, pointer))
        }
    };
    actions.extend(next.map(Action::from));
    let (escape, enter) = ui.input(|input| (input.key_pressed(Key::Escape), input.key_pressed(Key::Enter)));
    if escape {
        actions.push(Ask::Sketch(None).into());
    } else if enter && let Some(area) = sketch.area(None) {
        actions.push(Ask::Area(area).into());
    }
    draw(painter, rect, (sketch, pointer), viewport, &theme(ui.ctx()));
}

fn clicked(response: &Response, sketch: &Sketch, pointer: Option<Point>) -> Option<Ask> {
    let at = pointer.filter(|_| response.clicked())?;
    let mut points = sketch.points.clone();
    points.push(at);
    Some(Ask::Sketch(Some(Sketch { points, ..*sketch })))
}

fn dragged(
    response: &Response,
    (sketch, viewport): (&Sketch, &Viewport),
    (origin, pointer): (Option<Point>, Option<Point>),
) -> Option<Ask> {
    if response.drag_started() {
        return Some(Ask::Sketch(Some(Sketch { points: origin.into_iter().collect(), ..*sketch })));
    }
    let (from, to) = (sketch.points.first()?, pointer.filter(|_| response.drag_stopped())?);
    let meant = from.distance(to) * viewport.scale >= LEAST;
    let area = sketch.area(Some(to)).filter(|_| meant);
    Some(area.map_or_else(|| Ask::Sketch(Some(Sketch { points: Vec::new(), ..*sketch })), Ask::Area))
}

fn draw(
    painter: &Painter,
    rect: Rect,
    (sketch, pointer): (&Sketch, Option<Point>),
    viewport: &Viewport,
    theme: &Theme,
) {
    let seen = |p: Point| {
        let [x, y] = viewport.to_view(p);
        pos2(rect.left() + x, rect.top() + y)
    };
    let ink = colour(theme.none);
    match (sketch.shape, sketch.points.first(), pointer) {
        (Shape::Rectangle, Some(from), Some(to)) => {
            let drawn = Rect::from_two_pos(seen(*from), seen(to));
            painter.rect(drawn, 0.0, ink.gamma_multiply(0.15), (1.6, ink), eframe::egui::StrokeKind::Middle);
        }
        (Shape::Circle, Some(middle), Some(rim)) => {
            let radius = seen(*middle).distance(seen(rim));
            painter.circle(seen(*middle), radius, ink.gamma_multiply(0.15), (1.6, ink));
        }
        (Shape::Corners, Some(_), _) => {
            let corners = sketch.points.iter().copied().chain(pointer).map(seen);
            painter.add(Drawn::line(corners.collect(), (1.6, ink)));
            for corner in &sketch.points {
                painter.circle_filled(seen(*corner), 3.0, ink);
            }
        }
        // Nothing is drawn yet.
        (Shape::Rectangle | Shape::Circle | Shape::Corners, ..) => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use blockwright_core::geometry::Path;

    #[test]
    fn what_is_drawn_encloses_what_the_hand_went_round() {
        let sketch = |shape, points: &[Point]| Sketch { shape, points: points.to_vec() };
        let path = |area: Vec<Vertex>| {
            let points: Vec<_> = area.iter().map(|vertex| (vertex.at, vertex.bulge)).collect();
            Path::closed(&points).expect("it encloses something")
        };
        let rectangle = sketch(Shape::Rectangle, &[pt(3.0, 2.0)]);
        assert!(
            (path(rectangle.area(Some(pt(1.0, 5.0))).expect("an area")).area().abs() - 6.0).abs() < 1e-12
        );
        assert_eq!(rectangle.area(Some(pt(3.0, 5.0))), None, "a line is no area");
        let circle = sketch(Shape::Circle, &[pt(1.0, 1.0)]).area(Some(pt(1.0, 3.0))).expect("an area");
        assert!((path(circle).area().abs() - 4.0 * std::f64::consts::PI).abs() < 1e-9);
        let corners = [pt(0.0, 0.0), pt(2.0, 0.0), pt(0.0, 2.0)];
        assert_eq!(sketch(Shape::Corners, &corners[..2]).area(None), None);
        assert_eq!(sketch(Shape::Corners, &corners).area(None).expect("an area").len(), 3);
    }
}
