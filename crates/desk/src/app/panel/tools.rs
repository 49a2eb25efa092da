//! The tools of the job, side by side at one scale.

use blockwright_core::finding::Severity;
use blockwright_core::job::Job;
use blockwright_core::tool::Tool;
use blockwright_core::view::{self, Theme};
use eframe::egui::{Align, Label, Layout, RichText, ScrollArea, Sense, Ui, vec2};

use super::words::{quiet, sign};
use crate::app::canvas::name;
use crate::paint::Canvas;
use crate::theme::{QUIET, bold, colour};

/// Height of the words over a tool.
const HEAD: f32 = 34.0;
/// A tool is drawn at least so high, however low the panel is.
const LEAST: f32 = 110.0;
/// Width of the column of doubts.
const DOUBTS: f32 = 190.0;

pub(in crate::app) fn show(ui: &mut Ui, job: &Job, theme: &Theme) {
    let height = (ui.available_height() - HEAD - 10.0).max(LEAST);
    let tools: Vec<&Tool> = shown(job).collect();
    let scale = view::tools_scale(tools.iter().copied(), height);
    ScrollArea::both().id_salt("tools").auto_shrink(false).show(ui, |ui| {
        ui.with_layout(Layout::left_to_right(Align::Min), |ui| {
            ui.spacing_mut().item_spacing = vec2(22.0, 2.0);
            for tool in tools {
                one(ui, job, tool, (scale, height), theme);
            }
        });
    });
}

/// The job's own tools, and those of its crib that it runs.
fn shown(job: &Job) -> impl Iterator<Item = &Tool> {
    let wanted =
        |tool: &Tool| job.tools.contains(tool) || job.passes.iter().any(|pass| pass.tool == tool.number);
    job.all_tools().filter(move |tool| wanted(tool))
}

fn one(ui: &mut Ui, job: &Job, tool: &Tool, (scale, height): (f64, f32), theme: &Theme) {
    let [width, own] = view::tool_size(tool, scale);
    ui.vertical(|ui| {
        ui.spacing_mut().item_spacing.y = 1.0;
        let title = RichText::new(format!("{}  {}", tool.number, tool.title())).font(bold(QUIET));
        ui.add(Label::new(title).extend());
        ui.add(Label::new(quiet(facts(job, tool), theme)).extend());
        ui.horizontal_top(|ui| {
            let (rect, response) = ui.allocate_exact_size(vec2(width, height), Sense::hover());
            name(&response, &format!("Tool {}", tool.number));
            if ui.is_rect_visible(rect) {
                ui.painter().rect_filled(rect, 0.0, colour(theme.paper));
                let mut canvas = Canvas::default();
                canvas.set(&view::tool(tool, job.units, theme, width, own));
                // All stand on one line.
                let at = rect.min + vec2(0.0, height - own);
                canvas.paint(&ui.painter().with_clip_rect(rect.intersect(ui.clip_rect())), at);
            }
            doubts(ui, tool, theme);
        });
    });
}

/// Flutes, and the passes that run the tool.
fn facts(job: &Job, tool: &Tool) -> String {
    let passes = job.passes.iter().enumerate().filter(|(_, pass)| pass.tool == tool.number);
    let passes: Vec<String> = passes.map(|(index, _)| (index + 1).to_string()).collect();
    let used = match passes.len() {
        0 => "no pass".to_owned(),
        1 => format!("pass {}", passes.concat()),
        _ => format!("passes {}", passes.join(", ")),
    };
    tool.flutes.map_or_else(|| used.clone(), |flutes| format!("{flutes} flutes · {used}"))
}

fn doubts(ui: &mut Ui, tool: &Tool, theme: &Theme) {
    let doubts = tool.doubts();
    if doubts.is_empty() {
        return;
    }
    ui.vertical(|ui| {
        ui.set_width(DOUBTS);
        for doubt in doubts {
            ui.horizontal_top(|ui| {
                let (rect, _) = ui.allocate_exact_size(vec2(14.0, 16.0), Sense::hover());
                sign(ui.painter(), rect.center(), Severity::Look, theme);
                let words = format!("{}: {}.", doubt.key.replace('_', " "), doubt.why);
                ui.label(RichText::new(words).size(QUIET));
            });
        }
    });
}
