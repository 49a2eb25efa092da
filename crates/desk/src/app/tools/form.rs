//! The form of a cutter as fields.

use crate::app::number;
use blockwright_core::tool::Form;
use blockwright_core::units::Units;
use eframe::egui::{ComboBox, TextEdit, Ui};

use crate::app::dialog::length_row;

/// The kinds a cutter can be of, by the name in job files and by the trade's.
pub(in crate::app) const KINDS: [(&str, &str); 8] = [
    ("flat", "flat end mill"),
    ("ball", "ball end mill"),
    ("bull", "bull-nose end mill, with a corner radius"),
    ("undercut", "dovetail (undercut) cutter"),
    ("edge_round", "corner-rounding cutter"),
    ("chamfer", "chamfer"),
    ("drill", "drill"),
    ("silhouette", "silhouette, point by point"),
];

/// The rows of a form in a grid of two columns. `points` is what is being typed of a silhouette.
pub(super) fn rows(ui: &mut Ui, form: &mut Form, points: &mut String, units: Units) {
    ui.label("Form");
    let kind = form.kind();
    let name = |kind: &str| KINDS.iter().find(|(own, _)| *own == kind).map_or("", |(_, name)| name);
    let choice = ComboBox::from_id_salt("kind").width(220.0).selected_text(name(kind)).show_ui(ui, |ui| {
        for (other, name) in KINDS {
            if ui.selectable_label(other == kind, name).clicked() && other != kind {
                *form = usual_form(other, form.radius() * 2.0);
                *points = text_of(form);
            }
        }
    });
    choice.response.accessible_name("Form");
    ui.end_row();
    match form {
        Form::Flat { diameter } | Form::Ball { diameter } => length_row(ui, "Diameter", diameter, units),
        Form::Bull { diameter, corner_radius } => {
            length_row(ui, "Diameter", diameter, units);
            length_row(ui, "Corner radius", corner_radius, units);
        }
        Form::Undercut { diameter, angle, height } => {
            length_row(ui, "Diameter at the tip", diameter, units);
            angle_row(ui, "Angle of the side, from vertical", angle);
            length_row(ui, "Height of the cone", height, units);
        }
        Form::EdgeRound { pilot_diameter, radius, pilot_length } => {
            length_row(ui, "Pilot diameter", pilot_diameter, units);
            length_row(ui, "Corner radius cut", radius, units);
            length_row(ui, "Pilot length", pilot_length, units);
        }
        Form::Chamfer { tip_diameter, angle, height } => {
            length_row(ui, "Diameter at the tip", tip_diameter, units);
            angle_row(ui, "Angle of the side, from vertical", angle);
            length_row(ui, "Height of the cone", height, units);
        }
        Form::Drill { diameter, point_angle } => {
            length_row(ui, "Diameter", diameter, units);
            angle_row(ui, "Point angle", point_angle);
        }
        Form::Silhouette { points: own } => {
            let label = ui.label("Radius and height, a line for each, from the tip up");
            let field = TextEdit::multiline(points).desired_rows(4).desired_width(200.0);
            if ui.add(field).labelled_by(label.id).changed() {
                *own = points_of(points);
            }
            ui.end_row();
        }
    }
}

fn angle_row(ui: &mut Ui, name: &str, value: &mut f64) {
    let label = ui.label(name);
    number::field(ui, value, number::Style::degrees()).labelled_by(label.id);
    ui.end_row();
}

/// A form of another kind, as wide, with dimensions that can be.
pub(in crate::app) fn usual_form(kind: &str, width: f64) -> Form {
    let diameter = if width > 0.0 && width.is_finite() { width } else { 1.0 };
    match kind {
        "ball" => Form::Ball { diameter },
        "bull" => Form::Bull { diameter, corner_radius: diameter / 8.0 },
        "undercut" => Form::Undercut { diameter, angle: 10.0, height: diameter / 2.0 },
        "edge_round" => {
            Form::EdgeRound { pilot_diameter: diameter / 2.0, radius: diameter / 4.0, pilot_length: 0.0 }
        }
        "chamfer" => Form::Chamfer { tip_diameter: 0.0, angle: 45.0, height: diameter / 2.0 },
        "drill" => Form::Drill { diameter, point_angle: 118.0 },
        "silhouette" => Form::Silhouette { points: vec![[diameter / 2.0, 0.0], [diameter / 2.0, diameter]] },
        _ => Form::Flat { diameter },
    }
}

/// A silhouette as lines of text; empty for any other form.
pub(super) fn text_of(form: &Form) -> String {
    let Form::Silhouette { points } = form else { return String::new() };
    let lines: Vec<String> = points.iter().map(|[radius, height]| format!("{radius} {height}")).collect();
    lines.join("\n")
}

/// Points from lines of `radius height`. A line that is none gives a point that no cutter has, so that it is refused.
fn points_of(text: &str) -> Vec<[f64; 2]> {
    let point = |line: &str| {
        let mut numbers =
            line.split([' ', ',', ';', '\t']).filter(|word| !word.is_empty()).map(str::parse::<f64>);
        match (numbers.next(), numbers.next(), numbers.next()) {
            (Some(Ok(radius)), Some(Ok(height)), None) => [radius, height],
            _ => [f64::NAN; 2],
        }
    };
    text.lines().filter(|line| !line.trim().is_empty()).map(point).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_begins_as_a_cutter_that_can_be_made() {
        for (kind, name) in KINDS {
            for width in [0.5, 12.0, 0.0, f64::NAN] {
                let form = usual_form(kind, width);
                assert_eq!((form.kind(), form.check()), (kind, Ok(())), "{name} {width}");
                if width == 12.0 {
                    assert!((form.radius() - 6.0).abs() < 1e-9, "{name} is as wide");
                }
            }
        }
    }

    #[test]
    fn a_silhouette_is_typed_line_by_line() {
        let form = usual_form("silhouette", 0.5);
        assert_eq!(Form::Silhouette { points: points_of(&text_of(&form)) }, form);
        assert_eq!(points_of(".1 0\n\n.25, 0.5"), [[0.1, 0.0], [0.25, 0.5]]);
        let refused = Form::Silhouette { points: points_of("0.1 0\n0.2") };
        assert!(refused.check().is_err_and(|(_, why)| why.contains("must be a number")));
    }
}
