//! Points measured round a blank, typed in from an edge finder and a readout.

use blockwright_core::bring_in::{Probe, Trouble, from_points, listed};
use blockwright_core::geometry::{Bounds, Point, Span, pt};
use blockwright_core::sketch::Chain;
use blockwright_core::units::Told;
use eframe::egui::{Align, Align2, Button, Event, Id, Key, Layout, RichText, ScrollArea, TextEdit, Ui};

use super::field::{self, Digits};
use super::hand::Side;
use super::sheet::Sheet;
use crate::app::act::theme;
use crate::app::panel::words::{quiet, sentence_start};
use crate::theme::colour;

/// Most points of a table: more than anyone measures by hand, and few enough to be offset within a frame.
const MOST: usize = 1_000;
const ROW: f32 = 24.0;

/// The table, and the path it makes.
#[derive(Debug, Default)]
pub(super) struct Measured {
    points: Vec<Point>,
    /// Across the edge finder's tip; 0 for points on the edge itself.
    diameter: f64,
    /// The point being typed.
    next: [String; 2],
    /// Why what was typed or pasted was not taken.
    refused: Option<String>,
    made: Option<Result<(Chain, Vec<Trouble>), String>>,
}

impl Measured {
    pub(super) fn points(&self) -> Vec<Point> {
        self.points.clone()
    }

    pub(super) fn radius(&self) -> f64 {
        self.diameter / 2.0
    }

    pub(super) fn bounds(&self) -> Bounds {
        Bounds::of(self.points.iter().copied())
    }

    /// The path that the points make.
    pub(super) fn spans(&self) -> Vec<Span> {
        let made = self.made.as_ref().and_then(|made| made.as_ref().ok());
        made.map(|(chain, _)| chain.spans().collect()).unwrap_or_default()
    }

    fn renew(&mut self, units: Told) {
        let probe = Probe { radius: self.radius() };
        self.made = (self.points.len() > 2).then(|| {
            from_points(&self.points, probe, units.of())
                .map(|(path, troubles)| (Chain::of_path(&path), troubles))
        });
    }

    fn add(&mut self, points: &[Point], units: Told) {
        if self.points.len() + points.len() > MOST {
            self.refused = Some(format!("More than {MOST} points: import them as a CSV file."));
            return;
        }
        self.refused = None;
        self.points.extend(points);
        self.renew(units);
    }

    /// Takes lines that were pasted.
    fn paste(&mut self, text: &str, units: Told) {
        match listed(text.as_bytes()) {
            Ok(vertices) if !vertices.is_empty() => {
                let points: Vec<Point> = vertices.iter().map(|vertex| vertex.at).collect();
                self.add(&points, units);
            }
            Ok(_) => {}
            Err(fault) => {
                let words = fault.to_string();
                self.refused = Some(format!("What you pasted is not a list of points: {words}."));
            }
        }
    }

    /// Takes the point that has been typed.
    fn enter(&mut self, units: Told) {
        let [x, y] = [0, 1].map(|axis| field::parse(&self.next[axis], units));
        let (Some(x), Some(y)) = (x, y) else {
            self.refused = Some("X and Y must both be numbers.".to_owned());
            return;
        };
        self.next = Default::default();
        self.add(&[pt(x, y)], units);
    }
}

pub(super) fn show(sheet: &mut Sheet, ui: &mut Ui) {
    let units = sheet.units;
    let table = &mut sheet.measured;
    let colours = theme(ui.ctx());
    ui.label(quiet("In order around the blank, either way. You can paste many lines.", &colours));
    if let Some(text) = pasted(ui) {
        table.paste(&text, units);
    }
    ui.horizontal(|ui| {
        ui.label("Diameter of the edge finder");
        if let Some(diameter) =
            field::number(ui, "Diameter of the edge finder", table.diameter, Digits::of(units))
        {
            table.diameter = diameter.abs();
            table.renew(units);
        }
    })
    .response
    .on_hover_text("0 when the points lie on the edge itself; else half of it is taken off all around");
    next_point(table, ui, units);
    if let Some(why) = &table.refused {
        ui.label(RichText::new(why).color(colour(colours.none)));
    }
    let made = outcome(table, ui, units);
    points(table, ui, units);
    if let Some(chain) = made {
        sheet.replace(chain);
        sheet.side = Side::Path;
    }
}

/// Pasted text with more than one number in it; a single one goes into its field.
fn pasted(ui: &Ui) -> Option<String> {
    let many =
        |text: &str| text.split_whitespace().count() > 1 || text.contains([',', ';']) && text.contains('\n');
    ui.input_mut(|input| {
        let place =
            input.events.iter().position(|event| matches!(event, Event::Paste(text) if many(text)))?;
        match input.events.remove(place) {
            Event::Paste(text) => Some(text),
            _ => None,
        }
    })
}

fn next_point(table: &mut Measured, ui: &mut Ui, units: Told) {
    let first = Id::unique("X measured");
    ui.horizontal(|ui| {
        let label = ui.label("X");
        let [next_x, next_y] = &mut table.next;
        let x = ui
            .add(TextEdit::singleline(next_x).id(first).align(Align2::LEFT_CENTER).desired_width(72.0))
            .labelled_by(label.id);
        let label = ui.label("Y");
        let y = ui
            .add(TextEdit::singleline(next_y).align(Align2::LEFT_CENTER).desired_width(72.0))
            .labelled_by(label.id);
        let enter = ui.input(|input| input.key_pressed(Key::Enter));
        if x.lost_focus() && enter {
            y.request_focus();
        }
        if ui.button("Add point").clicked() || (y.lost_focus() && enter) {
            table.enter(units);
            ui.ctx().memory_mut(|memory| memory.request_focus(first));
        }
    });
}

/// What the points make; the path when it is to be put on the sheet.
fn outcome(table: &Measured, ui: &mut Ui, units: Told) -> Option<Chain> {
    let colours = theme(ui.ctx());
    let mut wanted = None;
    match &table.made {
        None => {
            ui.label(quiet("A path takes at least three points.", &colours));
        }
        Some(Err(why)) => {
            ui.label(RichText::new(sentence_start(why)).color(colour(colours.none)));
        }
        Some(Ok((chain, troubles))) => {
            let (length, bounds) = (units.fine_with_unit(chain.length()), chain.bounds());
            let size = format!("{} x {}", units.fine(bounds.width()), units.fine(bounds.height()));
            ui.label(quiet(format!("{length} round, {size}"), &colours));
            for trouble in troubles.iter().take(3) {
                ui.label(RichText::new(sentence_start(&trouble.message(units))).color(colour(colours.none)));
            }
            let put = ui.button("Put on the sheet");
            if put.on_hover_text("Replaces the path that is there; you can undo it").clicked() {
                wanted = Some(chain.clone());
            }
        }
    }
    wanted
}

fn points(table: &mut Measured, ui: &mut Ui, units: Told) {
    let digits = Digits::of(units);
    let (mut moved, mut gone) = (None, None);
    let all = &table.points;
    ui.separator();
    ScrollArea::vertical().id_salt("measured").auto_shrink(false).show_rows(
        ui,
        ROW,
        all.len(),
        |ui, rows| {
            for index in rows {
                let Some(at) = all.get(index).copied() else { continue };
                ui.horizontal(|ui| {
                    ui.set_min_height(ROW);
                    ui.add_sized([26.0, ROW], eframe::egui::Label::new(format!("{}", index + 1)));
                    let name = |axis: &str| format!("{axis} of point {}", index + 1);
                    if let Some(x) = field::number(ui, &name("X"), at.x, digits) {
                        moved = Some((index, pt(x, at.y)));
                    }
                    if let Some(y) = field::number(ui, &name("Y"), at.y, digits) {
                        moved = Some((index, pt(at.x, y)));
                    }
                    ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                        let remove = ui.add(Button::new("Remove").small());
                        if remove.accessible_name(format!("Remove point {}", index + 1)).clicked() {
                            gone = Some(index);
                        }
                    });
                });
            }
        },
    );
    if let Some((index, to)) = moved
        && let Some(point) = table.points.get_mut(index)
    {
        *point = to;
    }
    if let Some(index) = gone {
        table.points.remove(index);
    }
    if moved.is_some() || gone.is_some() {
        table.refused = None;
        table.renew(units);
    }
}
