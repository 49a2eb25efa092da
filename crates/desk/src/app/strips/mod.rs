//! The cut of every pass along the outline, one strip over the other on one axis of stations; or a quantity of the chosen
//! pass along its own path.

mod row;

use std::sync::Arc;

use blockwright_core::measure::Contact;
use blockwright_core::proof::Proof;
use blockwright_core::view::{Along, Quantity, StripCurve, StripRange, Theme, ticks};
use eframe::egui::{Align2, Id, Rect, ScrollArea, Sense, Ui, pos2, scroll_area::ScrollSource, vec2};

use super::act::{Action, theme};
use super::canvas::Of;
use super::desk::Desk;
use super::look::{From, Hover, Look};
use super::panel::words::quiet;
use crate::theme::{colour, plain};
use row::{Axis, Row};

/// Width of the names and of the numbers of the scale before a strip, and what is free after it.
const GUTTER: f32 = 78.0;
const RIGHT: f32 = 12.0;
/// Heights of the chosen strip at the least, of another, and of the axis under them.
const LARGE: f32 = 64.0;
const SMALL: f32 = 24.0;
const AXIS: f32 = 18.0;
/// The chosen strip is no higher, however much room there is.
const MOST: f32 = 220.0;
/// Between strips.
const GAP: f32 = 3.0;

/// Of what a curve was made: a proof's pass, along what, and which quantity.
type Key = (Of, usize, Along, Quantity);

/// A curve with its scale.
#[derive(Debug)]
struct Kept {
    key: Key,
    curve: StripCurve,
    range: StripRange,
}

/// The strips, with the curves they were drawn of.
#[derive(Debug, Default)]
pub(super) struct Strips {
    kept: Vec<Kept>,
    /// The pointer was on the chosen strip: the wheel belongs to it.
    wheel: bool,
}

impl Strips {
    pub(super) fn show(&mut self, ui: &mut Ui, desk: &Desk, look: &Look, actions: &mut Vec<Action>) {
        let colours = theme(ui.ctx());
        let Some(proof) = desk.whole_proof() else {
            let (rect, response) = ui.allocate_exact_size(ui.available_size(), Sense::hover());
            super::canvas::name(&response, "Graph");
            ui.painter().rect_filled(rect, 3.0, colour(colours.paper));
            return;
        };
        let along = look.along_of(proof);
        let passes = shown(proof, look.pass, along);
        let quantity = look.centre.quantity;
        let keys: Vec<Key> =
            passes.iter().map(|pass| (Of(Arc::clone(proof)), *pass, along, quantity)).collect();
        self.keep(proof, &keys);
        ui.spacing_mut().item_spacing.y = GAP;
        let length = match along {
            Along::Path => proof.passes.get(look.pass).map_or(0.0, |pass| pass.track.length()),
            Along::Outline => proof.outline.as_ref().map_or(0.0, |outline| outline.length()),
        };
        let room = ui.available_height() - AXIS - GAP;
        let others = passes.len().saturating_sub(1) as f32 * (SMALL + GAP);
        let large = (room - others - 2.0).clamp(LARGE, MOST);
        let axis = Axis { along, length, group: group(look.pass, along, length) };
        let lanes = ScrollArea::vertical().id_salt("strips").max_height(room).auto_shrink([false, true]);
        let source = ScrollSource { mouse_wheel: !self.wheel, ..ScrollSource::default() };
        let (mut seen, mut pointed) = (None, false);
        self.wheel = false;
        lanes.scroll_source(source).show(ui, |ui| {
            for kept in &self.kept {
                let chosen = kept.key.1 == look.pass;
                let row = Row {
                    proof,
                    look,
                    curve: &kept.curve,
                    range: kept.range,
                    pass: kept.key.1,
                    chosen,
                    axis,
                };
                let across = row.show(ui, if chosen { large } else { SMALL }, &colours, actions);
                if chosen {
                    self.wheel = across.pointed;
                }
                pointed |= across.pointed;
                seen = Some((across.rect, across.from, across.to));
            }
            if !passes.contains(&look.pass) {
                let words =
                    format!("Pass {} does not cut along the outline: see it along the path.", look.pass + 1);
                ui.label(quiet(words, &colours));
            }
        });
        if !pointed && look.hover.is_some_and(|hover| hover.from == From::Strip) {
            actions.push(Action::Hover(None));
        }
        if let Some((rect, from, to)) = seen {
            numbers(ui, rect, (from, to), (proof, along), &colours);
        }
    }

    /// Makes the curves that are not there yet, and forgets those that are shown no more.
    fn keep(&mut self, proof: &Arc<Proof>, keys: &[Key]) {
        if self.kept.iter().map(|kept| &kept.key).eq(keys) {
            return;
        }
        let mut before = std::mem::take(&mut self.kept);
        for key in keys {
            let known = before.iter().position(|kept| kept.key == *key);
            let made = || {
                let curve = curve(proof, key);
                let range = curve.range(proof.told);
                Kept { key: key.clone(), curve, range }
            };
            self.kept.push(known.map_or_else(made, |index| before.swap_remove(index)));
        }
    }
}

/// The passes that have a strip, in their order.
fn shown(proof: &Proof, pass: usize, along: Along) -> Vec<usize> {
    match along {
        Along::Path => vec![pass],
        Along::Outline => {
            (0..proof.passes.len()).filter(|pass| proof.passes[*pass].along_outline.is_some()).collect()
        }
    }
}

/// Strips of one group move together; another job, or another length, starts afresh.
fn group(pass: usize, along: Along, length: f64) -> Id {
    Id::unique(("strips", (along == Along::Path).then_some(pass), length.to_bits()))
}

/// The curve of a quantity; the thickness has measures of its own, along the path and along the outline.
fn curve(proof: &Proof, (_, pass, along, quantity): &Key) -> StripCurve {
    let thickness = || StripCurve::thickness(proof, *pass, *along);
    if *quantity == Quantity::Thickness {
        return thickness();
    }
    let nothing = || StripCurve {
        quantity: *quantity,
        runs: Vec::new(),
        heights: Vec::new(),
        limits: Vec::new(),
        ..thickness()
    };
    let pass = proof.passes.get(*pass);
    pass.and_then(|pass| StripCurve::of_load(*quantity, pass)).unwrap_or_else(nothing)
}

/// The numbers of the axis that all strips share.
fn numbers(ui: &mut Ui, strip: Rect, (from, to): (f64, f64), (proof, along): (&Proof, Along), theme: &Theme) {
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), AXIS), Sense::hover());
    let painter = ui.painter();
    let x = |value: f64| strip.left() + ((value - from) / (to - from)) as f32 * strip.width();
    let most = (strip.width() / 76.0).max(2.0) as usize;
    for (value, words) in ticks(proof.told, from, to, most) {
        let at = pos2(x(value), rect.top());
        painter.vline(at.x, at.y..=at.y + 3.0, (1.0, colour(theme.quiet)));
        let text = painter.layout_no_wrap(words, plain(10.5), colour(theme.quiet));
        let left = (at.x - text.size().x / 2.0).min(strip.right() - text.size().x + RIGHT - 2.0);
        painter.galley(pos2(left, at.y + 4.0), text, colour(theme.quiet));
    }
    let name = pos2(rect.left(), rect.top() + 9.0);
    let word = if along == Along::Outline { "station" } else { "distance" };
    painter.text(name, Align2::LEFT_CENTER, word, plain(10.5), colour(theme.quiet));
}

/// The place in the plan for a value on a strip.
fn lit(along: Along, proof: &Proof, pass: usize, value: f64) -> Option<Hover> {
    let at = match along {
        Along::Path => proof.passes.get(pass)?.track.at(value)?.tip.plan(),
        Along::Outline => proof.outline.as_ref()?.place(value).at,
    };
    Some(Hover { value, at, from: From::Strip })
}

/// What a strip is called, for those who cannot see it.
fn spoken(proof: &Proof, pass: usize) -> String {
    let Some(along) = proof.passes.get(pass).and_then(|pass| pass.along_outline.as_ref()) else {
        return format!("Graph of pass {}", pass + 1);
    };
    let units = proof.told;
    let none: f64 =
        along.contact.iter().filter(|part| part.state == Contact::None).map(|part| part.to - part.from).sum();
    let none = if none > 0.0 { format!(", none for {}", units.plain(none)) } else { String::new() };
    let (least, most) = (units.fine(along.cut.least), units.fine(along.cut.most));
    format!("Graph of pass {}: cut {least} to {most}{none}", pass + 1)
}

/// Where a text of this size stands with its middle at `x`, no farther out than the strip.
fn within(x: f32, size: f32, rect: Rect) -> f32 {
    (x - size / 2.0).clamp(rect.left() + 2.0, (rect.right() - size - 2.0).max(rect.left() + 2.0))
}
