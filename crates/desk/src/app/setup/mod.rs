//! The job that programs suggest, as one table to be looked at and confirmed: a row a program.

mod basis;
mod head;
mod row;
mod tool;

use std::collections::BTreeSet;
use std::sync::Arc;

use blockwright_core::geometry::pt;
use blockwright_core::job::{Basis, Job, Part, PathSource, Vertex};
use blockwright_core::program::Program;
use blockwright_core::suggest::{box_round, closed, rectangle};
use blockwright_core::units::Units;
use eframe::egui::{Button, Grid, RichText, ScrollArea, Ui};

use super::act::Action;
use crate::open::Bare;

/// What a tick says has been looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Tick {
    /// A row of the table: a pass and its tool.
    Pass(usize),
    /// A tool that no pass runs.
    Tool(u32),
    /// A part of the job itself.
    Job(&'static str),
}

/// How the blank is stated.
#[derive(Debug, Clone, Copy, PartialEq)]
enum BlankBy {
    /// It stays as the job has it.
    AsItIs,
    /// So much larger all round than what the tools sweep.
    Margin(f64),
    /// Between two opposite corners.
    Corners([f64; 2], [f64; 2]),
}

/// Where the outline comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
enum OutlineBy {
    /// It stays as the job has it.
    AsItIs,
    None,
    /// The path of a pass.
    Pass(usize),
    /// Vertices that are typed.
    Typed,
}

/// The set-up being made, or what of a job waits to be confirmed.
#[derive(Debug)]
pub(in crate::app) struct SetUpDialog {
    job: Job,
    /// As it was suggested.
    before: Job,
    /// Programs of the passes; none of a job that is there already.
    programs: Vec<Arc<Program>>,
    /// What the names of the passes rest on.
    name_from: Vec<Basis>,
    units_from: Option<Basis>,
    notes: Vec<String>,
    /// The names as they are being typed.
    names: Vec<String>,
    blank: BlankBy,
    outline: OutlineBy,
    typed: String,
    looked: BTreeSet<Tick>,
    refused: Option<String>,
}

impl SetUpDialog {
    /// For programs without a job.
    pub(in crate::app) fn new(bare: &Bare) -> Self {
        let suggested = &bare.suggested;
        let margin = blockwright_core::suggest::usual_margin(suggested.job.units);
        Self {
            programs: suggested.programs.clone(),
            name_from: suggested.names.clone(),
            units_from: Some(suggested.units.clone()),
            notes: suggested.notes.clone(),
            blank: if suggested.job.blank.is_some() { BlankBy::Margin(margin) } else { BlankBy::AsItIs },
            ..Self::of_job(&suggested.job)
        }
    }

    /// For a job of which something waits to be confirmed.
    pub(in crate::app) fn of_job(job: &Job) -> Self {
        let outline = match &job.outline {
            None => OutlineBy::None,
            Some(PathSource::FromPass(name)) => {
                let pass = job.passes.iter().position(|pass| pass.name == *name);
                pass.map_or(OutlineBy::AsItIs, OutlineBy::Pass)
            }
            Some(_) => OutlineBy::AsItIs,
        };
        Self {
            job: job.clone(),
            before: job.clone(),
            programs: Vec::new(),
            name_from: Vec::new(),
            units_from: None,
            notes: Vec::new(),
            names: job.passes.iter().map(|pass| pass.name.clone()).collect(),
            blank: BlankBy::AsItIs,
            outline,
            typed: String::new(),
            looked: BTreeSet::new(),
            refused: None,
        }
    }

    fn is_new(&self) -> bool {
        self.units_from.is_some()
    }

    pub(in crate::app) fn show(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        ui.label(if self.is_new() {
            "There is no job for these programs. This is what they say of themselves: compare each row with the drawing \
             and the tools, correct it, and tick it."
        } else {
            "This was suggested and nobody has confirmed it: compare each row with the drawing and the tools, correct \
             it, and tick it."
        });
        let room = (ui.ctx().content_rect().height() - 260.0).max(160.0);
        ScrollArea::vertical().max_height(room).auto_shrink([false, true]).show(ui, |ui| {
            self.head(ui, actions);
            ui.separator();
            Grid::new("set-up passes").num_columns(7).striped(true).spacing([10.0, 8.0]).show(ui, |ui| {
                row::heads(ui);
                for index in 0..self.job.passes.len() {
                    self.row(ui, index);
                }
            });
            for note in &self.notes {
                ui.label(note);
            }
        });
        if let Some(refused) = &self.refused {
            ui.label(RichText::new(refused).color(ui.visuals().error_fg_color));
        }
        self.buttons(ui, actions);
    }

    fn buttons(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        ui.horizontal(|ui| {
            let any = !self.looked.is_empty();
            let confirm = ui
                .add_enabled(any, Button::new("Confirm all I have looked at"))
                .on_hover_text(
                    "What is ticked counts as confirmed. The rest stays open, and the check says so",
                )
                .on_disabled_hover_text("Tick what you have looked at");
            if confirm.clicked() {
                self.take(true, actions);
            }
            if self.is_new() {
                if ui.button("Check with this, confirm later").clicked() {
                    self.take(false, actions);
                }
                if ui.button("Only look at the path").clicked() {
                    actions.push(Action::Close);
                }
            } else if ui.button("Cancel").clicked() {
                actions.push(Action::Close);
            }
        });
    }

    fn take(&mut self, confirm: bool, actions: &mut Vec<Action>) {
        match self.result(confirm) {
            Ok(job) if self.is_new() => actions.push(Action::SetUp(Box::new(job))),
            Ok(job) => {
                actions.push(Action::Edit(Box::new(job)));
                actions.push(Action::Close);
            }
            Err(what) => self.refused = Some(what),
        }
    }

    /// The job as it stands in the table.
    fn result(&self, confirm: bool) -> Result<Job, String> {
        let mut job = self.job.clone();
        for (index, name) in self.names.iter().enumerate() {
            named(&job, index, name)?;
            job.rename_pass(index, name.trim());
        }
        for tool in &job.tools {
            tool.form.check().map_err(|(key, why)| {
                format!("Tool {}: its {} {why}.", tool.number, key.replace('_', " "))
            })?;
        }
        self.put_blank(&mut job)?;
        self.put_outline(&mut job)?;
        let mut before = self.before.clone();
        for (index, name) in self.names.iter().enumerate() {
            before.rename_pass(index, name.trim());
        }
        if confirm {
            let passes: Vec<(String, u32)> =
                job.passes.iter().map(|pass| (pass.name.clone(), pass.tool)).collect();
            job.confirm(|part| self.is_looked_at(part, &passes));
        }
        job.confirm_changes(&before);
        Ok(job)
    }

    fn is_looked_at(&self, part: &Part, passes: &[(String, u32)]) -> bool {
        let row = |index: usize| self.looked.contains(&Tick::Pass(index));
        match part {
            Part::Pass(name, _) => passes.iter().position(|(own, _)| own == name).is_some_and(row),
            Part::Tool(number, _) => {
                let of_row = passes.iter().enumerate().any(|(index, (_, tool))| tool == number && row(index));
                of_row || self.looked.contains(&Tick::Tool(*number))
            }
            Part::Job(key) => self.looked.contains(&Tick::Job(key)),
        }
    }

    fn put_blank(&self, job: &mut Job) -> Result<(), String> {
        let refused = |what: String| format!("The blank: {what}.");
        let Some(blank) = &mut job.blank else { return Ok(()) };
        if !(blank.thickness.is_finite() && blank.thickness > 0.0 && blank.top.is_finite()) {
            return Err(refused("its thickness must be above 0, and its top a number".to_owned()));
        }
        let top = blank.top;
        let edge = match self.blank {
            BlankBy::AsItIs => return Ok(()),
            BlankBy::Margin(margin) => {
                let programs: Vec<&Program> = self.programs.iter().map(AsRef::as_ref).collect();
                box_round(job, &programs, (top, margin)).map_err(refused)?
            }
            BlankBy::Corners(low, high) => rectangle(low, high).map_err(refused)?,
        };
        if let Some(blank) = &mut job.blank {
            blank.edge = PathSource::Vertices(edge);
        }
        Ok(())
    }

    fn put_outline(&self, job: &mut Job) -> Result<(), String> {
        match self.outline {
            OutlineBy::AsItIs => {}
            OutlineBy::None => job.outline = None,
            OutlineBy::Pass(index) => {
                job.outline = job.passes.get(index).map(|pass| PathSource::FromPass(pass.name.clone()));
            }
            OutlineBy::Typed => {
                let vertices = outline(&self.typed)?;
                let closed = vertices.map(closed).transpose();
                job.outline = closed.map_err(|why| format!("The outline: {why}."))?;
            }
        }
        Ok(())
    }

    fn units(&self) -> Units {
        self.job.units
    }
}

/// Why a pass cannot be called so.
fn named(job: &Job, pass: usize, name: &str) -> Result<(), String> {
    let name = name.trim();
    let taken = job.passes.iter().enumerate().any(|(index, other)| index != pass && other.name == name);
    if name.is_empty() {
        Err(format!("Pass {} needs a name.", pass + 1))
    } else if taken {
        Err(format!("Two passes are called \"{name}\": findings go by the name."))
    } else {
        Ok(())
    }
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
    use blockwright_core::job::read;

    use super::*;

    const JOB: &str = r#"{"schema":"blockwright-job/1","units":"inch","outline":{"from_pass":"A"},
        "tools":[{"number":1,"form":{"kind":"flat","diameter":0.5}},{"number":2,"form":{"kind":"ball","diameter":0.25}}],
        "passes":[{"name":"A","program":"1001.nc","tool":1,"zero":[0,0,0],"bottom":-0.5},
                  {"name":"B","program":"1002.nc","tool":1,"zero":[0,0,0]}],
        "to_confirm":[
          {"tool":1,"key":"form","from":{"kind":"usual"}},
          {"tool":2,"key":"form","from":{"kind":"usual"}},
          {"pass":"A","key":"bottom","from":{"kind":"usual"}},
          {"pass":"B","key":"zero","from":{"kind":"usual"}},
          {"key":"outline","from":{"kind":"usual"}}]}"#;

    fn dialog() -> SetUpDialog {
        SetUpDialog::of_job(&read(JOB.as_bytes()).expect("a job"))
    }

    #[test]
    fn what_is_ticked_or_changed_is_confirmed_and_nothing_else() {
        let left = |change: &dyn Fn(&mut SetUpDialog)| {
            let mut dialog = dialog();
            change(&mut dialog);
            dialog.result(true).expect("a job").unconfirmed().count()
        };
        assert_eq!(left(&|_| {}), 5);
        assert_eq!(left(&|dialog| assert!(dialog.looked.insert(Tick::Pass(0)))), 3, "the pass and its tool");
        assert_eq!(left(&|dialog| assert!(dialog.looked.insert(Tick::Job("outline")))), 4);
        assert_eq!(left(&|dialog| assert!(dialog.looked.insert(Tick::Tool(2)))), 4);
        assert_eq!(left(&|dialog| dialog.job.passes[0].bottom = Some(-0.6)), 4);
        assert_eq!(left(&|dialog| dialog.names[1] = "C".to_owned()), 5, "a name is no size");
        let untouched = dialog().result(false).expect("a job");
        assert_eq!(untouched.unconfirmed().count(), 5);
    }

    #[test]
    fn what_cannot_be_a_job_is_told() {
        for (change, words) in [
            ((|dialog| dialog.names[0] = " ".to_owned()) as fn(&mut SetUpDialog), "needs a name"),
            (|dialog| dialog.names[0] = "B".to_owned(), "Two passes"),
            (
                |dialog| dialog.job.tools[0].form = blockwright_core::tool::Form::Flat { diameter: 0.0 },
                "Tool 1: its diameter must be above 0",
            ),
            (
                |dialog| {
                    dialog.outline = OutlineBy::Typed;
                    dialog.typed = "0 0\n1".to_owned();
                },
                "Line 2 of the outline",
            ),
            (
                |dialog| {
                    dialog.outline = OutlineBy::Typed;
                    dialog.typed = "0 0\n1 0".to_owned();
                },
                "The outline: two vertices",
            ),
        ] {
            let mut dialog = dialog();
            change(&mut dialog);
            let refused = dialog.result(true).expect_err(words);
            assert!(refused.contains(words), "{refused}");
        }
    }

    #[test]
    fn an_outline_is_read_line_by_line() {
        let vertices = outline("0 0\n4, 0, .5\n\n4\t3").expect("an outline").expect("three vertices");
        assert_eq!(vertices.len(), 3);
        assert_eq!((vertices[1].at, vertices[1].bulge), (pt(4.0, 0.0), 0.5));
        assert_eq!(outline(" \n").expect("empty"), None);
        assert!(outline("0 0\n1").expect_err("one number").contains("Line 2"));
    }
}
