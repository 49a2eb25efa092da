//! A photograph or a scan under the sheet, to be traced over.

use std::sync::Arc;

use blockwright_core::geometry::{Bounds, Point, pt};
use blockwright_core::pixels::Pixels;
use blockwright_core::sketch::Similar;
use blockwright_core::units::Told;
use blockwright_core::view::{Theme, Viewport};
use eframe::egui::{
    Align2, Button, Color32, ColorImage, Mesh, Painter, Pos2, Rect, RichText, Shape, Slider, TextureHandle,
    TextureOptions, Ui, epaint::Vertex, pos2, vec2,
};

use super::Ask;
use super::field::{self, Digits};
use super::sheet::Sheet;
use crate::app::act::{Action, theme};
use crate::app::dialog::Purpose;
use crate::app::panel::words::quiet;
use crate::theme::{TYPE, bold, colour, show_rails};

/// What is typed of the two marks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum By {
    Distance,
    Places,
}

/// The picture, where it lies, and two points of it by which it is scaled.
pub(super) struct Under {
    name: String,
    pixels: Arc<Pixels>,
    texture: Option<TextureHandle>,
    lies: Similar,
    opacity: f32,
    /// In the picture's own pixels, Y up.
    marks: Vec<Point>,
    marking: bool,
    by: By,
    distance: f64,
    places: [Point; 2],
    refused: Option<&'static str>,
}

impl std::fmt::Debug for Under {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Under").field("name", &self.name).field("lies", &self.lies).finish_non_exhaustive()
    }
}

impl Under {
    pub(super) fn new(name: String, pixels: Arc<Pixels>, centre: Point, width: f64) -> Self {
        let size = [pixels.width as f64, pixels.height as f64];
        Self {
            name,
            lies: Similar::centred(size, centre, width),
            pixels,
            texture: None,
            opacity: 0.6,
            marks: Vec::new(),
            marking: false,
            by: By::Distance,
            distance: 0.0,
            places: [Point::default(); 2],
            refused: None,
        }
    }

    fn size(&self) -> Point {
        pt(self.pixels.width as f64, self.pixels.height as f64)
    }

    pub(super) fn bounds(&self) -> Bounds {
        let size = self.size();
        Bounds::of([pt(0.0, 0.0), pt(size.x, 0.0), size, pt(0.0, size.y)].map(|p| self.lies.point(p)))
    }

    pub(super) const fn is_marking(&self) -> bool {
        self.marking
    }

    pub(super) fn stop_marking(&mut self) {
        self.marking = false;
    }

    /// What is to be clicked next.
    pub(super) fn hint(&self) -> Option<&'static str> {
        let next = if self.marks.is_empty() { "first" } else { "second" };
        self.marking.then_some(match next {
            "first" => "Click the first known point in the picture",
            _ => "Click the second known point in the picture",
        })
    }

    /// Takes a known point that was clicked.
    pub(super) fn mark(&mut self, at: Point) {
        self.marks.push(self.lies.back(at));
        if let [first, second] = *self.marks {
            self.marking = false;
            self.places = [first, second].map(|p| self.lies.point(p));
            self.distance = self.places[0].distance(self.places[1]);
        }
    }

    /// Lays the picture so that the marks lie as typed.
    fn scale(&mut self) {
        let [first, second] = *self.marks else { return };
        let marks = [first, second];
        let lies = match self.by {
            By::Distance => self.lies.with_distance(marks, self.distance),
            By::Places => Similar::through(marks, self.places),
        };
        self.refused = lies.is_none().then_some("The two points must not be the same.");
        self.lies = lies.unwrap_or(self.lies);
        self.places = marks.map(|p| self.lies.point(p));
        self.distance = self.places[0].distance(self.places[1]);
    }

    fn turn_to(&mut self, degrees: f64) {
        self.lies = self.lies.turned_to(degrees, self.size() * 0.5);
        if let [first, second] = *self.marks {
            self.places = [first, second].map(|p| self.lies.point(p));
        }
    }

    /// Paints the picture.
    pub(super) fn paint(&mut self, painter: &Painter, rect: Rect, viewport: &Viewport) {
        let texture = self.texture.get_or_insert_with(|| {
            let Pixels { width, height, rgba } = &*self.pixels;
            let image = ColorImage::from_rgba_unmultiplied([*width, *height], rgba);
            painter.ctx().load_texture("picture under the sheet", image, TextureOptions::LINEAR)
        });
        let ink = Color32::WHITE.gamma_multiply(self.opacity);
        let mut mesh = Mesh::with_texture(texture.id());
        let (width, height) = (self.pixels.width as f64, self.pixels.height as f64);
        for (at, uv) in [
            (pt(0.0, height), pos2(0.0, 0.0)),
            (pt(width, height), pos2(1.0, 0.0)),
            (pt(width, 0.0), pos2(1.0, 1.0)),
            (pt(0.0, 0.0), pos2(0.0, 1.0)),
        ] {
            mesh.vertices.push(Vertex { pos: seen(rect, viewport, self.lies.point(at)), uv, color: ink });
        }
        mesh.add_triangle(0, 1, 2);
        mesh.add_triangle(0, 2, 3);
        painter.add(Shape::mesh(mesh));
    }

    /// Paints the known points over everything.
    pub(super) fn paint_marks(&self, painter: &Painter, rect: Rect, viewport: &Viewport, colours: &Theme) {
        for (mark, name) in self.marks.iter().zip(["A", "B"]) {
            let at = seen(rect, viewport, self.lies.point(*mark));
            for (width, ink) in [(4.0, colours.panel), (1.8, colours.none)] {
                painter.circle_stroke(at, 8.0, (width, colour(ink)));
                painter.hline(at.x - 3.0..=at.x + 3.0, at.y, (width * 0.7, colour(ink)));
                painter.vline(at.x, at.y - 3.0..=at.y + 3.0, (width * 0.7, colour(ink)));
            }
            let room = Align2::LEFT_BOTTOM.anchor_size(at + vec2(9.0, -6.0), vec2(16.0, 17.0));
            painter.rect_filled(room, 3.0, colour(colours.panel));
            painter.text(room.center(), Align2::CENTER_CENTER, name, bold(TYPE), colour(colours.ink));
        }
    }
}

fn seen(rect: Rect, viewport: &Viewport, p: Point) -> Pos2 {
    let [x, y] = viewport.to_view(p);
    pos2(rect.left() + x, rect.top() + y)
}

pub(super) fn show(sheet: &mut Sheet, ui: &mut Ui, actions: &mut Vec<Action>) {
    let colours = theme(ui.ctx());
    let units = sheet.units;
    if ui.button("Load a picture…").on_hover_text("PNG or JPEG; it can also be dropped here").clicked() {
        actions.push(Action::Draw(Ask::Path(Purpose::Under)));
    }
    let Some(under) = &mut sheet.under else {
        ui.label(quiet("A scan, or a photo taken square to the block, is best for tracing.", &colours));
        return;
    };
    ui.label(quiet(under.name.clone(), &colours));
    lie(under, ui);
    ui.separator();
    known(under, ui, units);
    ui.separator();
    if ui.button("Remove the picture").clicked() {
        sheet.under = None;
    }
}

fn lie(under: &mut Under, ui: &mut Ui) {
    ui.horizontal(|ui| {
        let label = ui.label("Opacity");
        show_rails(ui);
        ui.spacing_mut().slider_width = 110.0;
        ui.add(Slider::new(&mut under.opacity, 0.05..=1.0).fixed_decimals(2)).labelled_by(label.id);
    });
    ui.horizontal(|ui| {
        let label = ui.label("Rotate");
        show_rails(ui);
        ui.spacing_mut().slider_width = 110.0;
        let mut turn = under.lies.turn();
        let slider = Slider::new(&mut turn, -180.0..=180.0).fixed_decimals(2).suffix("°");
        if ui.add(slider).labelled_by(label.id).changed() {
            under.turn_to(turn);
        }
    });
    ui.horizontal(|ui| {
        for (name, by) in [("Rotate 90° left", 90.0), ("Rotate 90° right", -90.0)] {
            if ui.button(name).clicked() {
                under.turn_to(under.lies.turn() + by);
            }
        }
    });
}

/// Two points whose distance or places are known.
fn known(under: &mut Under, ui: &mut Ui, units: Told) {
    let colours = theme(ui.ctx());
    let (digits, marked) = (Digits::of(units), under.marks.len() == 2);
    let button = ui.add(Button::new("Mark two known points").selected(under.marking));
    if button.on_hover_text("Click two points whose distance or coordinates you know").clicked() {
        under.marks.clear();
        under.marking = true;
    }
    if let Some(hint) = under.hint() {
        ui.label(quiet(hint, &colours));
    }
    if !marked {
        return;
    }
    ui.radio_value(&mut under.by, By::Distance, "by their distance");
    ui.radio_value(&mut under.by, By::Places, "by their coordinates");
    let mut typed = false;
    match under.by {
        By::Distance => {
            ui.horizontal(|ui| {
                ui.label("From A to B");
                if let Some(distance) = field::number(ui, "From A to B", under.distance, digits) {
                    under.distance = distance;
                    typed = true;
                }
            });
        }
        By::Places => {
            for (place, name) in under.places.iter_mut().zip(["A", "B"]) {
                ui.horizontal(|ui| {
                    ui.label(name);
                    if let Some(x) = field::number(ui, &format!("X of {name}"), place.x, digits) {
                        place.x = x;
                    }
                    if let Some(y) = field::number(ui, &format!("Y of {name}"), place.y, digits) {
                        place.y = y;
                    }
                });
            }
            typed = ui.button("Set scale and position").clicked();
        }
    }
    if typed {
        under.scale();
    }
    if let Some(why) = under.refused {
        ui.label(RichText::new(why).color(colour(colours.none)));
    }
    let pixel = units.fine_with_unit(under.lies.scale());
    ui.label(quiet(format!("one pixel is {pixel} wide"), &colours));
}
