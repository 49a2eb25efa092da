//! What a bare program does not say: units, tool, blank, outline.

use blockwright_core::geometry::pt;
use blockwright_core::job::Vertex;
use blockwright_core::suggest::BlankSetup;
use blockwright_core::tool::Form;
use blockwright_core::units::Units;
use eframe::egui::{ComboBox, DragValue, Grid, RichText, TextEdit, Ui};

use super::Action;
use crate::open::Bare;

/// The set-up being made.
#[derive(Debug)]
pub(in crate::app) struct SetUpDialog {
    bare: Bare,
    outline: String,
    /// Why the last one was refused.
    pub(in crate::app) refused: Option<String>,
}

impl SetUpDialog {
    pub(super) fn new(bare: Bare) -> Self {
        Self { bare, outline: String::new(), refused: None }
    }

    pub(super) fn show(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        ui.label(
            "There is no job for this program, so only its path is shown. To see the cut, fill in the \
                 rest.",
        );
        Grid::new("set-up").num_columns(2).spacing([16.0, 6.0]).show(ui, |ui| {
            self.units(ui, actions);
            self.tool(ui);
            self.blank(ui);
            let setup = &mut self.bare.setup;
            number(ui, "Top of the blank", &mut setup.top);
            number(ui, "Thickness", &mut setup.thickness);
        });
        let label = ui.label(
            "Outline, if there is one: one vertex on each line, x y and, for an arc, its \
                             bulge",
        );
        let field = TextEdit::multiline(&mut self.outline).desired_rows(3).desired_width(f32::INFINITY);
        ui.add(field).labelled_by(label.id);
        if let Some(refused) = &self.refused {
            ui.label(RichText::new(refused).color(ui.visuals().error_fg_color));
        }
        ui.horizontal(|ui| {
            if ui.button("Check with this").clicked() {
                match outline(&self.outline) {
                    Ok(vertices) => {
                        self.bare.setup.outline = vertices;
                        actions.push(Action::SetUp(Box::new(self.bare.clone())));
                    }
                    Err(what) => self.refused = Some(what),
                }
            }
            if ui.button("Only show the path").clicked() {
                actions.push(Action::Close);
            }
        });
    }

    fn units(&self, ui: &mut Ui, actions: &mut Vec<Action>) {
        let setup = &self.bare.setup;
        ui.label("Units");
        ui.horizontal(|ui| {
            for units in [Units::Inch, Units::Mm] {
                if ui.radio(setup.units == units, units.name()).clicked() && setup.units != units {
                    actions.push(Action::SetUpUnits(units));
                }
            }
        });
        ui.end_row();
    }

    fn tool(&mut self, ui: &mut Ui) {
        let form = &mut self.bare.setup.form;
        ui.label("Tool");
        let diameter = form.radius() * 2.0;
        let forms = [
            ("flat end mill", Form::Flat { diameter }),
            ("ball end mill", Form::Ball { diameter }),
            ("rounded corners", Form::Bull { diameter, corner_radius: diameter / 8.0 }),
        ];
        let now =
            forms.iter().find(|(_, other)| other.kind() == form.kind()).map_or("other", |(name, _)| name);
        let choice = ComboBox::from_id_salt("form").selected_text(now).show_ui(ui, |ui| {
            for (name, other) in forms {
                if ui.selectable_label(other.kind() == form.kind(), name).clicked() {
                    *form = other;
                }
            }
        });
        choice.response.accessible_name("Tool");
        ui.end_row();
        match form {
            Form::Flat { diameter } | Form::Ball { diameter } => number(ui, "Diameter", diameter),
            Form::Bull { diameter, corner_radius } => {
                number(ui, "Diameter", diameter);
                number(ui, "Corner radius", corner_radius);
            }
            _ => {}
        }
    }

    fn blank(&mut self, ui: &mut Ui) {
        let units = self.bare.setup.units;
        let blank = &mut self.bare.setup.blank;
        ui.label("Blank");
        ui.horizontal(|ui| {
            let by_margin = matches!(blank, BlankSetup::Margin(_));
            if ui.radio(by_margin, "larger than the path").clicked() && !by_margin {
                *blank = BlankSetup::Margin(units.pick(0.1, 2.5));
            }
            if ui.radio(!by_margin, "between corners").clicked() && by_margin {
                *blank = BlankSetup::Corners([0.0, 0.0], [units.pick(4.0, 100.0), units.pick(4.0, 100.0)]);
            }
        });
        ui.end_row();
        match blank {
            BlankSetup::Margin(margin) => number(ui, "Larger all round by", margin),
            BlankSetup::Corners([x0, y0], [x1, y1]) => {
                number(ui, "Lower X", x0);
                number(ui, "Lower Y", y0);
                number(ui, "Upper X", x1);
                number(ui, "Upper Y", y1);
            }
        }
    }
}

fn number(ui: &mut Ui, name: &str, value: &mut f64) {
    let label = ui.label(name);
    ui.add(DragValue::new(value).speed(0.005).max_decimals(5)).labelled_by(label.id);
    ui.end_row();
}

/// Vertices from lines of `x y` or `x y bulge`; nothing written is no outline.
fn outline(text: &str) -> Result<Option<Vec<Vertex>>, String> {
    let mut vertices = Vec::new();
    for (index, line) in text.lines().enumerate() {
        let numbers: Result<Vec<f64>, _> =
            line.split([' ', ',', ';', '\t']).filter(|word| !word.is_empty()).map(str::parse).collect();
        match numbers.as_deref() {
            Ok([]) => {}
            Ok([x, y]) => vertices.push(Vertex { at: pt(*x, *y), bulge: 0.0 }),
            Ok([x, y, bulge]) => vertices.push(Vertex { at: pt(*x, *y), bulge: *bulge }),
            _ => return Err(format!("Line {} of the outline is not x y, or x y bulge.", index + 1)),
        }
    }
    Ok((!vertices.is_empty()).then_some(vertices))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_outline_is_read_line_by_line() {
        let vertices = outline("0 0\n4, 0, .5\n\n4\t3").expect("an outline").expect("three vertices");
        assert_eq!(vertices.len(), 3);
        assert_eq!((vertices[1].at, vertices[1].bulge), (pt(4.0, 0.0), 0.5));
        assert_eq!(outline(" \n").expect("empty"), None);
        assert!(outline("0 0\n1").expect_err("one number").contains("Line 2"));
    }
}
