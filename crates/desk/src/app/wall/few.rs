//! Walls in little beside the large one: at the stations that are marked for the record, then at the worst, lettered as
//! there. A click takes the large one to a station.

use std::sync::Arc;

use blockwright_core::proof::Proof;
use blockwright_core::record::wall_stations;
use blockwright_core::task::Cancel;
use blockwright_core::tool::Tool;
use blockwright_core::view::{Theme, WallState, wall_small};
use blockwright_core::wall::Section;
use eframe::egui::{
    Align, Align2, Layout, Rect, Role, ScrollArea, Sense, StrokeKind, Ui, UiBuilder, Vec2, WidgetInfo, pos2,
    vec2,
};

use crate::app::act::{Action, theme};
use crate::app::canvas::Of;
use crate::app::centre::{Ask, focus_ring};
use crate::app::desk::Desk;
use crate::app::later::Later;
use crate::app::look::Look;
use crate::app::mark;
use crate::paint::Canvas;
use crate::theme::{bold, colour, plain};

/// Size of a small wall, of its drawing, and what is free between two.
const SIZE: Vec2 = vec2(132.0, 100.0);
const DRAWING: Vec2 = vec2(132.0, 66.0);
const APART: f32 = 6.0;
/// Room for them beside the large wall, and under it.
const BESIDE: f32 = SIZE.x + 20.0;
const UNDER: f32 = SIZE.y + 20.0;
/// The large wall keeps this much; where it can't, there are no small ones.
const LARGE: Vec2 = vec2(320.0, 190.0);
const TYPE: f32 = 10.5;
/// A station no farther from that of the large wall, parts of the outline's length, counts as the one looked at.
const SAME: f64 = 0.001;

/// Of what the sections were made.
#[derive(Debug, Clone, PartialEq)]
struct Key {
    of: Of,
    stations: Vec<f64>,
}

/// The small walls.
#[derive(Debug, Default)]
pub(in crate::app) struct Few {
    sections: Later<Key, Vec<Section>>,
    drawn: Option<(Key, usize, Theme)>,
    canvases: Vec<Canvas>,
}

/// Where the large wall lies, and where the small ones; beside it where the window is wide.
fn places(rect: Rect) -> Option<(Rect, Rect)> {
    let (beside, under) = (rect.width() - BESIDE, rect.height() - UNDER);
    let right = Rect::from_min_max(pos2(rect.right() - BESIDE, rect.top()), rect.max);
    let low = Rect::from_min_max(pos2(rect.left(), rect.bottom() - UNDER), rect.max);
    let is_wide = beside >= LARGE.x && rect.height() >= LARGE.y;
    let is_high = under >= LARGE.y && rect.width() >= LARGE.x;
    if is_wide && (rect.width() >= rect.height() || !is_high) {
        Some((Rect::from_min_max(rect.min, right.left_bottom()), right))
    } else if is_high {
        Some((Rect::from_min_max(rect.min, low.right_top()), low))
    } else {
        None
    }
}

impl Few {
    /// Draws the small walls where there is room for them, and the large one in what is left.
    pub(in crate::app) fn show(
        &mut self,
        ui: &mut Ui,
        (desk, look): (&Desk, &Look),
        actions: &mut Vec<Action>,
        large: impl FnOnce(&mut Ui, &mut Vec<Action>),
    ) {
        let whole = ui.available_rect_before_wrap();
        let proof = desk.proof().filter(|proof| proof.wall().is_some());
        let stations = proof.map(|proof| wall_stations(proof, &[])).unwrap_or_default();
        let places = places(whole).filter(|_| stations.len() > 1);
        let (Some(proof), Some((left, few))) = (proof, places) else { return large(ui, actions) };
        ui.scope_builder(UiBuilder::new().max_rect(left), |ui| large(ui, actions));
        let key = Key { of: Of(Arc::clone(proof)), stations };
        self.make(ui, &key);
        let area = few.shrink(APART);
        ui.scope_builder(UiBuilder::new().max_rect(few), |ui| {
            ui.painter().rect_filled(few, 0.0, colour(theme(ui.ctx()).panel));
            ui.scope_builder(UiBuilder::new().max_rect(area), |ui| self.list(ui, desk, look, actions));
        });
    }

    fn make(&mut self, ui: &Ui, key: &Key) {
        self.sections.take();
        let of = key.clone();
        let work = move |cancel: &Cancel| {
            let Some(wall) = of.of.0.wall() else { return Vec::new() };
            of.stations
                .iter()
                .take_while(|_| !cancel.is_raised())
                .map(|station| wall.section(*station))
                .collect()
        };
        self.sections.want(ui.ctx(), "small walls", key.clone(), work);
    }

    fn list(&mut self, ui: &mut Ui, desk: &Desk, look: &Look, actions: &mut Vec<Action>) {
        let theme = theme(ui.ctx());
        let Some((key, sections)) = self.sections.made() else { return };
        let pass = look.pass.min(key.of.0.passes.len().saturating_sub(1));
        let drawn = (key.clone(), pass, theme);
        if self.drawn.as_ref() != Some(&drawn) {
            self.canvases = sections.iter().map(|section| canvas(&key.of.0, section, pass, &theme)).collect();
            self.drawn = Some(drawn);
        }
        let high = ui.available_height() > ui.available_width();
        let area = if high { ScrollArea::vertical() } else { ScrollArea::horizontal() };
        let layout = if high { Layout::top_down(Align::Min) } else { Layout::left_to_right(Align::Min) };
        area.id_salt("small walls").auto_shrink(false).show(ui, |ui| {
            ui.spacing_mut().item_spacing = Vec2::splat(APART);
            ui.with_layout(layout, |ui| {
                for (index, (station, canvas)) in key.stations.iter().zip(&mut self.canvases).enumerate() {
                    one(ui, (index, *station, canvas), (&key.of.0, desk, look, pass), actions);
                }
            });
        });
    }
}

fn canvas(proof: &Proof, section: &Section, pass: usize, theme: &Theme) -> Canvas {
    let tools: Vec<Option<&Tool>> = proof.job.passes.iter().map(|pass| proof.job.tool(pass.tool)).collect();
    let state = WallState {
        section,
        pass: pass.min(section.passes.len().saturating_sub(1)),
        tools: &tools,
        every_tool: false,
        bed: proof.job.bed_top,
        gauge: None,
        units: proof.told,
    };
    let mut canvas = Canvas::default();
    canvas.set(&wall_small(&state, DRAWING.x, DRAWING.y, theme));
    canvas
}

/// One of them: its drawing, its letter and station, and what is left there after the pass.
fn one(
    ui: &mut Ui,
    (index, station, canvas): (usize, f64, &mut Canvas),
    (proof, desk, look, pass): (&Arc<Proof>, &Desk, &Look, usize),
    actions: &mut Vec<Action>,
) {
    let (theme, units) = (theme(ui.ctx()), proof.told);
    let (rect, response) = ui.allocate_exact_size(SIZE, Sense::click());
    let letter = char::from(b'A' + (index % 26) as u8);
    let along = proof.passes.get(pass).and_then(|pass| pass.along_outline.as_ref());
    let left = along.and_then(|along| along.between(station)).map(|(_, left, _)| units.fine(left));
    let (station_told, is_marked) = (units.plain(station), mark::marked(desk.job(), station).is_some());
    let left = left.map_or_else(|| "not followed".to_owned(), |left| format!("left {left}"));
    let name = format!("Wall {letter} at station {station_told}, {left}: look at it");
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name.as_str()));
    let tip = if is_marked { "Marked for the record" } else { "Among the worst places" };
    let response = response.on_hover_text(format!("Station {station_told}. {tip}. Click to look at it."));
    if !ui.is_rect_visible(rect) {
        return;
    }
    let painter = ui.painter().with_clip_rect(rect.expand(1.0).intersect(ui.clip_rect()));
    painter.rect_filled(rect, 2.0, colour(theme.paper));
    canvas.paint(&painter, rect.min);
    let write = |y: f32, words: String, strong: bool| {
        let font = if strong { bold(TYPE) } else { plain(TYPE) };
        let ink = colour(if strong { theme.ink } else { theme.quiet });
        painter.text(pos2(rect.left() + 6.0, rect.top() + y), Align2::LEFT_CENTER, words, font, ink);
    };
    write(DRAWING.y + 9.0, format!("{letter}  station {station_told}"), true);
    write(DRAWING.y + 24.0, left, false);
    let length = proof.outline.as_ref().map_or(0.0, |outline| outline.length());
    let shown = (look.centre.station_on(proof) - station).abs() <= length * SAME;
    let (wide, ink) = if shown || response.hovered() { (2.0, theme.ink) } else { (1.0, theme.border) };
    painter.rect_stroke(rect, 2.0, (wide, colour(ink)), StrokeKind::Inside);
    focus_ring(ui, &response, &theme);
    if response.clicked() {
        actions.push(Ask::Station(station).into());
    }
}
