//! A field for a number: what is typed is read by the core, and what can't be read is said at the field.
//!
//! A field takes what it can read as it is typed. While it can't, the value is the one from before, and so it stays when
//! the field is left.

use std::cell::RefCell;
use std::ops::RangeInclusive;
use std::rc::Rc;

use blockwright_core::typed::{self, Fault};
use blockwright_core::units::{Told, Units};
use eframe::egui::emath::Numeric;
use eframe::egui::{Context, DragValue, Id, Memory, Response, RichText, Ui};

/// How a number is read, written and dragged.
#[derive(Debug, Clone)]
pub(super) struct Style {
    units: Option<Units>,
    /// Written behind it; the unit that is told when `None`.
    suffix: Option<String>,
    prefix: &'static str,
    speed: f64,
    decimals: usize,
    range: RangeInclusive<f64>,
    /// It is taken when it is entered, not while it is typed.
    entered: bool,
}

/// Any number may be typed.
const ANY: RangeInclusive<f64> = f64::NEG_INFINITY..=f64::INFINITY;

impl Style {
    /// A length.
    pub(super) fn length(units: impl Into<Told>) -> Self {
        let units = units.into().of();
        Self {
            units: Some(units),
            suffix: None,
            prefix: "",
            speed: units.pick(0.001, 0.02),
            decimals: 5,
            range: ANY,
            entered: false,
        }
    }

    /// An angle in degrees.
    pub(super) fn degrees() -> Self {
        Self { units: None, suffix: Some("°".to_owned()), speed: 0.1, decimals: 4, ..Self::plain() }
    }

    /// A number without a unit.
    pub(super) fn plain() -> Self {
        Self {
            units: None,
            suffix: Some(String::new()),
            prefix: "",
            speed: 0.1,
            decimals: 5,
            range: ANY,
            entered: false,
        }
    }

    /// A whole number.
    pub(super) fn whole(range: RangeInclusive<u32>) -> Self {
        let range = f64::from(*range.start())..=f64::from(*range.end());
        Self { decimals: 0, range, ..Self::plain() }
    }

    /// No less and no more than these.
    pub(super) fn within(self, range: RangeInclusive<f64>) -> Self {
        Self { range, ..self }
    }

    /// With this written before it.
    pub(super) fn after(self, prefix: &'static str) -> Self {
        Self { prefix, ..self }
    }

    /// With this written behind it in place of the unit.
    pub(super) fn before(self, suffix: impl Into<String>) -> Self {
        Self { suffix: Some(suffix.into()), ..self }
    }

    /// With so many decimals at most.
    pub(super) fn decimals(self, decimals: usize) -> Self {
        Self { decimals, ..self }
    }

    /// Changing so much for each point that it is dragged.
    pub(super) fn speed(self, speed: f64) -> Self {
        Self { speed, ..self }
    }

    /// Taken when it is entered, not while it is typed.
    pub(super) fn when_entered(self) -> Self {
        Self { entered: true, ..self }
    }
}

/// A length as it is told, or a number without a unit.
fn read(text: &str, told: Option<Told>) -> Result<f64, Fault> {
    match told {
        Some(told) => typed::length(text, told.shown()),
        None => typed::number(text),
    }
}

/// Lets all fields for lengths be told in this unit; in the job's own when `None`. Once a frame, by the top alone.
pub(super) fn tell_in(ctx: &Context, units: Option<Units>) {
    ctx.data_mut(|data| data.insert_temp(told_in(), units));
}

/// How a field tells the lengths of a job in this unit.
pub(super) fn told(ctx: &Context, of: Units) -> Told {
    let shown = ctx.data(|data| data.get_temp::<Option<Units>>(told_in())).flatten();
    Told::new(of, shown.unwrap_or(of))
}

fn told_in() -> Id {
    Id::unique("unit of lengths")
}

/// The field, and what is wrong with what was typed into it.
pub(super) fn field<N: Numeric>(ui: &mut Ui, value: &mut N, style: Style) -> Response {
    drawn(ui, value, style, |field| field)
}

/// The same, written otherwise.
pub(super) fn drawn<N: Numeric>(
    ui: &mut Ui,
    value: &mut N,
    style: Style,
    more: impl for<'v> FnOnce(DragValue<'v>) -> DragValue<'v>,
) -> Response {
    let told = style.units.map(|units| told(ui.ctx(), units));
    let factor = told.map_or(1.0, Told::factor);
    let before = value.to_f64() * factor;
    let mut shown = before;
    let response = typed_field(ui, &mut shown, style, told, more);
    if shown != before {
        *value = N::from_f64(told.map_or(shown, |told| told.kept(shown)));
    }
    response
}

/// The field itself, of a value as it is told.
fn typed_field(
    ui: &mut Ui,
    value: &mut f64,
    style: Style,
    told: Option<Told>,
    more: impl for<'v> FnOnce(DragValue<'v>) -> DragValue<'v>,
) -> Response {
    let factor = told.map_or(1.0, Told::factor);
    ui.horizontal(|ui| {
        // The id that the field gives itself.
        let id = ui.next_auto_id();
        let focused = ui.memory(|memory| memory.has_focus(id));
        ui.data_mut(|data| data.insert_temp(mark(id), true));
        if !focused {
            ui.data_mut(|data| data.insert_temp(mark(id).with("before"), *value));
        }
        let before = ui.data(|data| data.get_temp(mark(id).with("before"))).unwrap_or(*value);
        // What the last text came to; `None` when no text was looked at.
        let came_to: Rc<RefCell<Option<Result<f64, Fault>>>> = Rc::default();
        let looked = Rc::clone(&came_to);
        let parser = move |text: &str| {
            let read = read(text, told);
            *looked.borrow_mut() = Some(read.clone());
            Some(read.unwrap_or(before))
        };
        let mut drag = DragValue::new(value)
            .speed(style.speed * factor)
            .max_decimals(style.decimals)
            .range(style.range.start() * factor..=style.range.end() * factor)
            .custom_parser(parser)
            .update_while_editing(!style.entered);
        let unit = || told.map(|told| format!(" {}", told.short())).unwrap_or_default();
        let suffix = style.suffix.unwrap_or_else(unit);
        if !suffix.is_empty() {
            drag = drag.suffix(suffix);
        }
        if !style.prefix.is_empty() {
            drag = drag.prefix(style.prefix);
        }
        let response = ui.add(more(drag));
        let read = came_to.borrow_mut().take();
        say(ui, id, read);
        response
    })
    .inner
}

/// Says what is wrong until something that can be read is entered.
fn say(ui: &mut Ui, id: Id, read: Option<Result<f64, Fault>>) {
    let key = mark(id).with("fault");
    if let Some(read) = read {
        ui.data_mut(|data| data.insert_temp(key, read.err().map(|fault| fault.to_string())));
    }
    let words: Option<String> = ui.data(|data| data.get_temp(key)).flatten();
    if let Some(words) = words {
        ui.label(RichText::new(words).color(ui.visuals().error_fg_color));
    }
}

fn mark(id: Id) -> Id {
    id.with("number field")
}

/// Whether a field for a number has the keyboard, in the very frame in which it gets it as well.
pub(super) fn has_keyboard(ctx: &Context) -> bool {
    let focused = ctx.memory(Memory::focused);
    focused.is_some_and(|id| ctx.data(|data| data.get_temp::<bool>(mark(id))).is_some())
}
