//! One strip.

use std::sync::Arc;

use blockwright_core::measure::Contact;
use blockwright_core::proof::Proof;
use blockwright_core::view::{Along, LimitKind, StripCurve, StripRange, Theme};
use eframe::egui::{
    Align2, Color32, CursorIcon, FontId, Id, Painter, Rect, Response, Role, Sense, Shape, Stroke, Ui,
    UiBuilder, WidgetInfo, pos2, vec2,
};
use egui_plot::{
    Axis as Plane, HLine, Line, LineStyle, Plot, PlotPoints, PlotTransform, PlotUi, Span, VLine,
};

use super::{GUTTER, RIGHT, lit, spoken, within};
use crate::app::act::Action;
use crate::app::canvas;
use crate::app::look::Look;
use crate::theme::{bold, colour, plain};

/// The nearest that a strip is looked at: this part of its length.
const NEAREST: f64 = 1e-4;
/// A stretch is at least this wide on the screen.
const LEAST: f32 = 2.0;
const TEXT: f32 = 10.5;

/// The axis that all strips share.
#[derive(Debug, Clone, Copy)]
pub(super) struct Axis {
    pub(super) along: Along,
    /// Where it ends; it starts at 0.
    pub(super) length: f64,
    /// What moves together.
    pub(super) group: Id,
}

/// A strip to be shown.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row<'a> {
    pub(super) proof: &'a Arc<Proof>,
    pub(super) look: &'a Look,
    pub(super) curve: &'a StripCurve,
    pub(super) range: StripRange,
    pub(super) pass: usize,
    pub(super) chosen: bool,
    pub(super) axis: Axis,
}

/// Where a strip was drawn, and from where to where it is seen.
#[derive(Debug, Clone, Copy)]
pub(super) struct Across {
    pub(super) rect: Rect,
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) pointed: bool,
}

impl Row<'_> {
    pub(super) fn show(&self, ui: &mut Ui, height: f32, theme: &Theme, actions: &mut Vec<Action>) -> Across {
        let (whole, _) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
        let rect = Rect::from_min_max(pos2(whole.left() + GUTTER, whole.top()), whole.max - vec2(RIGHT, 0.0));
        ui.painter().rect_filled(rect, 0.0, colour(theme.paper));
        self.gutter(ui.painter(), whole, rect, theme);
        let mut inner = ui.new_child(UiBuilder::new().max_rect(rect).id_salt(("strip", self.pass)));
        let shown = self.plot(rect).show(&mut inner, |plot| self.fill(plot, theme));
        let (transform, response) = (shown.transform, shown.response);
        self.marks(
            &ui.painter().with_clip_rect(rect.expand(1.0).intersect(ui.clip_rect())),
            &transform,
            theme,
        );
        let edge = if self.chosen { theme.quiet } else { theme.line };
        ui.painter().rect_stroke(rect, 0.0, (1.0, colour(edge)), eframe::egui::StrokeKind::Inside);
        self.worked(ui, &response, &transform, actions);
        let seen = transform.bounds();
        Across { rect, from: seen.min()[0], to: seen.max()[0], pointed: response.contains_pointer() }
    }

    fn plot<'b>(&self, rect: Rect) -> Plot<'b> {
        Plot::new((self.axis.group, self.pass))
            .width(rect.width())
            .height(rect.height())
            .show_axes(false)
            .show_grid(false)
            .show_background(false)
            .show_x(false)
            .show_y(false)
            .show_crosshair(false)
            .set_margin_fraction(vec2(0.0, 0.0))
            .allow_boxed_zoom(false)
            .allow_double_click_reset(false)
            .allow_axis_zoom_drag(false)
            .allow_scroll(false)
            .allow_zoom([true, false])
            .allow_drag([self.chosen, false])
            .default_x_bounds(0.0, self.axis.length.max(f64::MIN_POSITIVE))
            .default_y_bounds(0.0, self.range.top)
            .link_axis(self.axis.group, [true, false])
    }

    /// What is drawn in the plot, and from where to where it is seen.
    fn fill(&self, plot: &mut PlotUi<'_>, theme: &Theme) {
        let wheel = plot.ctx().input(|input| input.smooth_scroll_delta().y);
        if self.chosen && plot.response().hovered() && wheel != 0.0 {
            plot.zoom_bounds_around_hovered(vec2((wheel / 300.0).exp(), 1.0));
        }
        let (from, to) = self.held(plot);
        plot.set_plot_bounds_y(0.0..=self.range.top);
        self.stretches(plot, (from, to), theme);
        self.limits(plot, theme);
        let columns = plot.response().rect.width().max(1.0) as usize;
        for run in self.curve.seen(from, to, columns) {
            let top = self.range.top;
            let points: Vec<[f64; 2]> = run.into_iter().map(|(at, value)| [at, value.min(top)]).collect();
            let width = if self.chosen { 1.8 } else { 1.2 };
            plot.line(
                Line::new("cut", PlotPoints::from(points))
                    .color(colour(theme.full))
                    .width(width)
                    .allow_hover(false),
            );
        }
    }

    /// Keeps what is seen within the axis; all of it after a double click.
    fn held(&self, plot: &mut PlotUi<'_>) -> (f64, f64) {
        let (length, seen) = (self.axis.length, plot.plot_bounds());
        let (from, to) = (seen.min()[0], seen.max()[0]);
        if plot.response().double_clicked() {
            plot.set_plot_bounds_x(0.0..=length);
            return (0.0, length);
        }
        let wide = (to - from).clamp(length * NEAREST, length);
        let start = from.clamp(0.0, length - wide);
        if (start - from).abs() > length * 1e-9 || (start + wide - to).abs() > length * 1e-9 {
            plot.set_plot_bounds_x(start..=start + wide);
        }
        (start, start + wide)
    }

    /// Where it has no contact, or little, or too much; the approach is told by a quiet line on the foot.
    fn stretches(&self, plot: &mut PlotUi<'_>, (from, to): (f64, f64), theme: &Theme) {
        let wide = plot.response().rect.width().max(1.0);
        let least = (to - from) / f64::from(wide) * f64::from(LEAST);
        for (all, fill, edge) in [
            (&self.curve.heavy, theme.heavy, theme.fine_line(Contact::Heavy)),
            (&self.curve.light, theme.stock_light, theme.fine_line(Contact::Light)),
            (&self.curve.none, theme.stock_none, theme.fine_line(Contact::None)),
        ] {
            let fill = if fill == theme.heavy { colour(fill).gamma_multiply(0.3) } else { colour(fill) };
            for &(first, last) in all.iter().filter(|part| part.1 >= from && part.0 <= to) {
                let last = last.max(first + least);
                let span = Span::new("", first..=last).axis(Plane::X).fill(fill);
                plot.span(span.border(Stroke::new(1.0, colour(edge))));
            }
        }
    }

    /// The zones of the limits.
    fn limits(&self, plot: &mut PlotUi<'_>, theme: &Theme) {
        for limit in self.curve.limits.iter().filter(|limit| limit.value <= self.range.top) {
            let (ink, fill, zone) = match limit.kind {
                LimitKind::Expected => (theme.quiet, theme.quiet, None),
                LimitKind::Light => (theme.fine_line(Contact::Light), theme.light, Some(0.0..=limit.value)),
                LimitKind::Heavy => {
                    (theme.fine_line(Contact::Heavy), theme.heavy, Some(limit.value..=self.range.top))
                }
            };
            // A small row has no room for a scale: there a zone that the curve keeps clear of would look like a fault.
            if let Some(zone) = zone.filter(|_| self.chosen) {
                let fill = colour(fill).gamma_multiply(0.16);
                plot.span(Span::new("", zone).axis(Plane::Y).fill(fill).border_width(0.0));
            }
            if self.chosen {
                let style = LineStyle::dashed_loose();
                plot.hline(HLine::new("", limit.value).stroke((1.0, colour(ink))).style(style));
            }
        }
        let tool = match self.axis.along {
            Along::Path => Some(self.look.distance(Some(self.proof))),
            Along::Outline => self.look.station(self.proof),
        };
        if let Some(tool) = tool {
            plot.vline(VLine::new("", tool).stroke((1.6, colour(theme.ink))));
        }
        if let Some(hover) = self.look.hover {
            plot.vline(VLine::new("", hover.value).stroke((1.0, colour(theme.accent))));
        }
    }

    /// The name of the pass and the numbers of its scale.
    fn gutter(&self, painter: &Painter, whole: Rect, rect: Rect, theme: &Theme) {
        let name = format!("pass {}", self.pass + 1);
        let (font, ink) = if self.chosen { (bold(12.0), theme.ink) } else { (plain(11.0), theme.quiet) };
        let y = if self.chosen { rect.top() + 9.0 } else { rect.center().y };
        painter.text(pos2(whole.left(), y), Align2::LEFT_CENTER, name, font, colour(ink));
        if !self.chosen {
            return;
        }
        let y = |value: f64| rect.bottom() - (value / self.range.top) as f32 * rect.height();
        let most = (rect.height() / 26.0).clamp(1.0, 6.0) as usize;
        for (value, words) in self.curve.quantity.ticks(self.proof.told, self.range.top, most) {
            let at = y(value).clamp(rect.top() + 5.0, rect.bottom() - 5.0);
            painter.text(
                pos2(rect.left() - 6.0, at),
                Align2::RIGHT_CENTER,
                words,
                plain(TEXT),
                colour(theme.quiet),
            );
            painter.hline(rect.x_range(), y(value), (1.0, colour(theme.line)));
        }
    }

    /// What is written on the strip, each word on a free place.
    fn marks(&self, painter: &Painter, transform: &PlotTransform, theme: &Theme) {
        let rect = *transform.frame();
        let x = |value: f64| transform.position_from_point_x(value);
        let ways = self
            .curve
            .approach
            .iter()
            .map(|&(from, to)| [pos2(x(from), rect.bottom() - 2.0), pos2(x(to), rect.bottom() - 2.0)]);
        for ends in ways {
            painter.extend(Shape::dotted_line(&ends, colour(theme.quiet), 4.0, 1.0));
        }
        let rapids = self.curve.rapids.iter();
        for &(from, to) in rapids {
            painter.hline(x(from)..=x(to), rect.bottom() - 2.0, (2.0, colour(theme.quiet)));
        }
        if !self.chosen {
            return;
        }
        let mut taken: Vec<Rect> = Vec::new();
        let mut put = |at: f32, y: f32, words: String, font: FontId, ink: Color32| {
            let text = painter.layout_no_wrap(words, font, ink);
            let place = Rect::from_min_size(pos2(within(at, text.size().x, rect), y), text.size());
            if taken.iter().any(|other| other.intersects(place)) {
                return;
            }
            painter.rect_filled(place.expand(1.0), 2.0, colour(theme.paper).gamma_multiply(0.85));
            painter.galley(place.min, text, ink);
            taken.push(place.expand(2.0));
        };
        let (units, ink) = (self.proof.told, colour(theme.ink));
        if let Some(hover) = self.look.hover {
            let value = self.curve.at(hover.value);
            let words =
                value.map_or_else(|| "-".to_owned(), |value| self.curve.quantity.written(units, value));
            let height = self.curve.height_at(hover.value).filter(|_| value.is_some_and(|value| value > 0.0));
            let height = height.map(|z| format!(", Z {}", units.plain(z))).unwrap_or_default();
            let words = format!("{words} at {}{height}", units.plain(hover.value));
            put(x(hover.value), rect.top() + 3.0, words, bold(11.0), ink);
        }
        if let Some(more) = self.range.more {
            let words = format!("more above: to {}", self.curve.quantity.written(units, more));
            put(rect.left(), rect.top() + 3.0, words, plain(TEXT), ink);
        }
        for &(from, to) in &self.curve.none {
            let words = format!("none {}", units.plain(to - from));
            if x(to) > rect.left() && x(from) < rect.right() {
                put(f32::midpoint(x(from), x(to)), rect.top() + 18.0, words, bold(11.0), ink);
            }
        }
        for limit in &self.curve.limits {
            let words = format!("{} {}", limit.kind.words(), units.plain(limit.value));
            if limit.value > self.range.top {
                put(
                    rect.right(),
                    rect.top() + 3.0,
                    format!("{words}, off this scale"),
                    plain(TEXT),
                    colour(theme.quiet),
                );
            } else {
                let y = transform.position_from_point_y(limit.value);
                put(rect.right(), (y - 15.0).max(rect.top() + 1.0), words, plain(TEXT), colour(theme.quiet));
            }
        }
        if self.curve.runs.is_empty() {
            put(
                rect.center().x,
                rect.center().y - 7.0,
                "No cut was measured along this path".to_owned(),
                plain(12.0),
                colour(theme.quiet),
            );
        }
    }

    /// Pointing lights the place, a click puts the tool there, and picks the pass of another strip.
    fn worked(&self, ui: &Ui, response: &Response, transform: &PlotTransform, actions: &mut Vec<Action>) {
        let (along, pass) = (self.axis.along, self.pass);
        if self.chosen {
            canvas::name(response, "Graph");
        } else {
            let name = spoken(self.proof, pass);
            response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name.as_str()));
        }
        let value = |x: f32| {
            let value = transform.value_from_position(pos2(x, transform.frame().center().y)).x;
            value.clamp(0.0, self.axis.length)
        };
        if response.clicked()
            && let Some(at) = response.interact_pointer_pos()
        {
            if !self.chosen {
                actions.push(Action::Pick(pass));
            }
            actions.push(match along {
                Along::Path => Action::Scrub(value(at.x)),
                Along::Outline => Action::ToStation(value(at.x)),
            });
        }
        let pointed = response.hover_pos().filter(|_| response.contains_pointer());
        let hover = pointed.and_then(|at| lit(along, self.proof, pass, value(at.x)));
        if hover.is_some() {
            if !response.dragged() {
                ui.set_cursor_icon(CursorIcon::Crosshair);
            }
            if hover != self.look.hover {
                actions.push(Action::Hover(hover));
            }
        }
    }
}
