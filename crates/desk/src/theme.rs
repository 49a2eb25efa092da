//! The core's colours and type in the window.

use std::sync::Arc;

use blockwright_core::view::{self, Ink, Theme};
use eframe::egui::{
    Color32, Context, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Margin, Shadow, Stroke,
    Style, TextStyle, Theme as Side, Ui, Visuals, vec2,
};

/// Size of type.
pub const TYPE: f32 = 13.0;

/// Size of quiet type.
pub const QUIET: f32 = 12.0;

/// The family of bold type.
pub const BOLD: &str = "bold";

/// A colour of the core's as the window's.
pub fn colour(ink: Ink) -> Color32 {
    let [r, g, b, a] = ink;
    Color32::from_rgba_unmultiplied(r, g, b, a)
}

/// Bold type.
pub fn bold(size: f32) -> FontId {
    FontId::new(size, FontFamily::Name(BOLD.into()))
}

/// Plain type.
pub fn plain(size: f32) -> FontId {
    FontId::new(size, FontFamily::Proportional)
}

/// Type of even width.
pub fn mono(size: f32) -> FontId {
    FontId::new(size, FontFamily::Monospace)
}

/// Gives a window its type and both its sets of colours; to be called before the first frame.
pub fn install(ctx: &Context) {
    let mut fonts = FontDefinitions::empty();
    for (name, bytes, family) in [
        ("sans", view::SANS, FontFamily::Proportional),
        ("sans bold", view::SANS_BOLD, FontFamily::Name(BOLD.into())),
        ("mono", view::MONO, FontFamily::Monospace),
    ] {
        fonts.font_data.insert(name.to_owned(), Arc::new(FontData::from_static(bytes)));
        fonts.families.insert(family, vec![name.to_owned(), "sans".to_owned()]);
    }
    ctx.set_fonts(fonts);
    for (side, theme) in [(Side::Light, Theme::light()), (Side::Dark, Theme::dark())] {
        ctx.set_style_of(side, style(&theme, side == Side::Dark));
    }
}

fn style(theme: &Theme, dark: bool) -> Style {
    let mut style = Style { visuals: visuals(theme, dark), ..Style::default() };
    style.text_styles = [
        (TextStyle::Small, plain(QUIET)),
        (TextStyle::Body, plain(TYPE)),
        (TextStyle::Button, plain(TYPE)),
        (TextStyle::Monospace, mono(QUIET)),
        (TextStyle::Heading, bold(TYPE)),
    ]
    .into();
    style.spacing.item_spacing = vec2(8.0, 6.0);
    style.spacing.button_padding = vec2(8.0, 3.0);
    style.spacing.window_margin = Margin::same(16);
    style.spacing.interact_size.y = 24.0;
    style.spacing.scroll.floating = true;
    style.animation_time = 0.0;
    style
}

/// The rail of the sliders put here stands out from the panel as borders do. Not so everywhere: boxes are filled with the
/// same color, and a tick must be seen on it.
pub fn show_rails(ui: &mut Ui) {
    let widget = &mut ui.visuals_mut().widgets.inactive;
    widget.bg_fill = widget.bg_stroke.color;
}

fn visuals(theme: &Theme, dark: bool) -> Visuals {
    let mut visuals = if dark { Visuals::dark() } else { Visuals::light() };
    let (ink, quiet, line) = (colour(theme.ink), colour(theme.quiet), colour(theme.line));
    let border = colour(theme.border);
    let (panel, accent, soft) = (colour(theme.panel), colour(theme.accent), colour(theme.accent_soft));
    visuals.panel_fill = panel;
    visuals.window_fill = panel;
    visuals.window_stroke = Stroke::new(1.0, line);
    visuals.window_shadow =
        Shadow { offset: [0, 4], blur: 16, spread: 0, color: Color32::from_black_alpha(40) };
    visuals.popup_shadow = visuals.window_shadow;
    visuals.extreme_bg_color = colour(theme.paper);
    visuals.faint_bg_color = soft;
    visuals.weak_text_color = Some(quiet);
    visuals.hyperlink_color = accent;
    visuals.warn_fg_color = colour(theme.none);
    visuals.error_fg_color = colour(theme.none);
    visuals.selection.bg_fill = soft;
    visuals.selection.stroke = Stroke::new(1.0, ink);
    visuals.slider_trailing_fill = true;
    let corner = CornerRadius::same(4);
    visuals.window_corner_radius = CornerRadius::same(6);
    visuals.menu_corner_radius = corner;
    let widgets = &mut visuals.widgets;
    for (widget, fill, edge) in [
        (&mut widgets.noninteractive, panel, line),
        (&mut widgets.inactive, panel, border),
        (&mut widgets.hovered, soft, accent),
        (&mut widgets.active, soft, accent),
        (&mut widgets.open, soft, border),
    ] {
        widget.bg_fill = fill;
        widget.weak_bg_fill = fill;
        widget.bg_stroke = Stroke::new(1.0, edge);
        widget.fg_stroke = Stroke::new(1.0, ink);
        widget.corner_radius = corner;
        widget.expansion = 0.0;
    }
    // A rail or a tick must be seen on the panel.
    widgets.inactive.bg_fill = line;
    visuals
}
