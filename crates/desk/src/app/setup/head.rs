//! What holds for the whole job: unit, order, blank, material, outline.

use blockwright_core::job::{Blank, Job, Part, PathSource};
use blockwright_core::units::Units;
use eframe::egui::{ComboBox, Grid, TextEdit, Ui};

use super::{BlankBy, OutlineBy, SetUpDialog, Tick, basis};
use crate::app::act::Action;
use crate::app::dialog::field;

/// Width of the column that says what a row rests on.
const FROM: f32 = 330.0;

impl SetUpDialog {
    pub(super) fn head(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        Grid::new("set-up head").num_columns(4).spacing([10.0, 6.0]).show(ui, |ui| {
            self.units_row(ui, actions);
            self.order_row(ui);
            self.blank_row(ui);
            self.material_row(ui);
            self.outline_row(ui);
            self.spare_tools(ui);
        });
    }

    /// Tick, name, what `show` puts there, and what it rests on.
    fn part_row(
        &mut self,
        ui: &mut Ui,
        (tick, name): (Tick, &str),
        of: impl Fn(&Part) -> bool,
        show: impl FnOnce(&mut Self, &mut Ui),
    ) {
        let before = self.job.clone();
        let entries = basis::entries(&before, of);
        self.tick(ui, tick, &format!("Looked at: {name}"), !entries.is_empty());
        ui.label(name);
        ui.horizontal(|ui| show(self, ui));
        basis::column(ui, &entries, FROM);
        ui.end_row();
    }

    fn units_row(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        let from = self.units_from.clone();
        self.part_row(
            ui,
            (Tick::Job("units"), "Unit"),
            |part| *part == Part::Job("units"),
            |this, ui| {
                let Some(from) = from else {
                    ui.label(this.job.units.name());
                    return;
                };
                for units in [Units::Inch, Units::Mm] {
                    let chosen = ui.radio(this.job.units == units, units.name());
                    if chosen.on_hover_text(format!("From {from}")).clicked() && this.job.units != units {
                        actions.push(Action::SetUpUnits(units));
                    }
                }
            },
        );
    }

    fn order_row(&mut self, ui: &mut Ui) {
        let is_order = |part: &Part| *part == Part::Job("passes");
        if basis::entries(&self.job, is_order).is_empty() {
            return;
        }
        self.part_row(ui, (Tick::Job("passes"), "Order"), is_order, |_, ui| {
            ui.label("as listed below");
        });
    }

    fn blank_row(&mut self, ui: &mut Ui) {
        let is_blank = |part: &Part| *part == Part::Job("blank");
        if self.is_new() {
            self.part_row(ui, (Tick::Job("blank"), "Blank"), is_blank, Self::blank_kind);
            if self.job.blank.is_some() {
                ui.label("");
                ui.label("");
                ui.horizontal(|ui| self.blank_sizes(ui));
                ui.end_row();
            }
        } else if self.job.blank.is_some() {
            self.part_row(ui, (Tick::Job("blank"), "Blank"), is_blank, Self::blank_sizes);
        }
    }

    fn blank_kind(&mut self, ui: &mut Ui) {
        let units = self.units();
        let known = self.job.blank.is_some();
        let margin = matches!(self.blank, BlankBy::Margin(_)) && known;
        let corners = matches!(self.blank, BlankBy::Corners(..)) && known;
        if ui.radio(margin, "larger than the paths").clicked() && !margin {
            self.blank = BlankBy::Margin(units.pick(0.1, 2.5));
            some_blank(&mut self.job);
        }
        if ui.radio(corners, "between corners").clicked() && !corners {
            self.blank = BlankBy::Corners([0.0, 0.0], [units.pick(4.0, 100.0); 2]);
            some_blank(&mut self.job);
        }
        if ui.radio(!known, "none").clicked() {
            self.job.blank = None;
        }
    }

    fn blank_sizes(&mut self, ui: &mut Ui) {
        let units = self.units();
        let number = |ui: &mut Ui, word: &str, name: &str, value: &mut f64| {
            ui.label(word);
            field(ui, value, units).accessible_name(name);
        };
        match &mut self.blank {
            BlankBy::AsItIs => {}
            BlankBy::Margin(margin) => number(ui, "by", "Larger all around by", margin),
            BlankBy::Corners([x0, y0], [x1, y1]) => {
                number(ui, "from X", "Lower X", x0);
                number(ui, "Y", "Lower Y", y0);
                number(ui, "to X", "Upper X", x1);
                number(ui, "Y", "Upper Y", y1);
            }
        }
        if let Some(blank) = &mut self.job.blank {
            number(ui, "top", "Top of the blank", &mut blank.top);
            number(ui, "thick", "Thickness", &mut blank.thickness);
        }
    }

    fn material_row(&mut self, ui: &mut Ui) {
        if self.job.blank.is_none() {
            return;
        }
        let is_material = |part: &Part| *part == Part::Job("material");
        self.part_row(ui, (Tick::Job("material"), "Material"), is_material, |this, ui| {
            let Some(blank) = &mut this.job.blank else { return };
            let mut name = blank.material.clone().unwrap_or_default();
            let field = TextEdit::singleline(&mut name).desired_width(180.0).hint_text("not given");
            if ui.add(field).accessible_name("Material of the blank").changed() {
                blank.material = (!name.trim().is_empty()).then_some(name);
            }
        });
    }

    fn outline_row(&mut self, ui: &mut Ui) {
        let is_outline = |part: &Part| *part == Part::Job("outline");
        self.part_row(ui, (Tick::Job("outline"), "Outline"), is_outline, |this, ui| {
            let along = |name: &str| format!("along \"{name}\"");
            let now = match this.outline {
                OutlineBy::AsItIs => "as the job has it".to_owned(),
                OutlineBy::None => "none".to_owned(),
                OutlineBy::Pass(index) => this.names.get(index).map(|name| along(name)).unwrap_or_default(),
                OutlineBy::Typed => "typed".to_owned(),
            };
            let choice = ComboBox::from_id_salt("outline").width(240.0).selected_text(now).truncate();
            let shown = choice.show_ui(ui, |ui| {
                let mut choose = |by: OutlineBy, words: &str| {
                    if ui.selectable_label(this.outline == by, words).clicked() {
                        this.outline = by;
                    }
                };
                choose(OutlineBy::None, "none");
                for (index, name) in this.names.iter().enumerate() {
                    choose(OutlineBy::Pass(index), &along(name));
                }
                choose(OutlineBy::Typed, "typed, vertex by vertex");
            });
            shown.response.accessible_name("Outline");
            // What the choice comes to at once, so that its entry shows and goes with it.
            this.job.outline = match this.outline {
                OutlineBy::None => None,
                OutlineBy::Pass(index) => {
                    this.job.passes.get(index).map(|pass| PathSource::FromPass(pass.name.clone()))
                }
                OutlineBy::AsItIs | OutlineBy::Typed => this.job.outline.take(),
            };
        });
        if self.outline == OutlineBy::Typed {
            ui.label("");
            ui.label("");
            let field = TextEdit::multiline(&mut self.typed).desired_rows(3).desired_width(240.0);
            ui.add(field.hint_text("a line for each vertex: x y, and maybe a bulge"))
                .accessible_name("Vertices of the outline");
            ui.end_row();
        }
    }

    /// Tools that programs call and no pass runs.
    fn spare_tools(&mut self, ui: &mut Ui) {
        let spare: Vec<(u32, String)> = self
            .job
            .tools
            .iter()
            .filter(|tool| self.job.passes.iter().all(|pass| pass.tool != tool.number))
            .map(|tool| (tool.number, tool.title()))
            .collect();
        for (number, title) in spare {
            let of_tool = |part: &Part| matches!(part, Part::Tool(of, _) if *of == number);
            let name = format!("Tool {number}");
            self.part_row(ui, (Tick::Tool(number), &name), of_tool, |_, ui| {
                ui.label(format!("{title}, which no pass runs"));
            });
        }
    }
}

fn some_blank(job: &mut Job) {
    let thickness = job.units.pick(1.0, 25.0);
    job.blank.get_or_insert_with(|| Blank {
        edge: PathSource::Vertices(Vec::new()),
        top: 0.0,
        thickness,
        material: None,
        at: None,
    });
}
