//! Drawings as the pages of a PDF document, by krilla. Only the letters that are used are embedded.

use krilla::Document;
use krilla::color::rgb;
use krilla::geom::{Path, PathBuilder, Point, Transform};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, LineCap, LineJoin, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{Font, TextDirection};

use super::Fault;
use super::layout::{Sheet, Shown};
use crate::pixels::Pixels;
use crate::view::drawing::corners;
use crate::view::label::is_rim;
use crate::view::raster::BASELINE;
use crate::view::{Anchor, Drawing, Ink, Item, MONO, SANS, SANS_BOLD, Weight, hatch_lines, text_width};

/// The faces, read once.
struct Faces {
    plain: Font,
    bold: Font,
    mono: Font,
}

impl Faces {
    fn read() -> Result<Self, Fault> {
        let face = |bytes: &'static [u8]| {
            Font::new(bytes.into(), 0).ok_or_else(|| "a font built in cannot be read".to_owned())
        };
        Ok(Self { plain: face(SANS)?, bold: face(SANS_BOLD)?, mono: face(MONO)? })
    }

    fn of(&self, weight: Weight) -> Font {
        match weight {
            Weight::Plain => &self.plain,
            Weight::Bold => &self.bold,
            Weight::Mono => &self.mono,
        }
        .clone()
    }
}

/// One page for each sheet. No date is written but what stands on the sheets, so that the same sheets make the same bytes.
pub(super) fn document(sheets: &[Sheet], title: &str) -> Result<Vec<u8>, Fault> {
    let faces = Faces::read()?;
    let mut document = Document::new();
    let creator = format!("Blockwright {}", env!("CARGO_PKG_VERSION"));
    document.set_metadata(Metadata::new().title(title.to_owned()).creator(creator).language("en".to_owned()));
    for sheet in sheets {
        let size = PageSettings::from_wh(sheet.set.width, sheet.set.height);
        let size = size.ok_or_else(|| "a sheet without a size".to_owned())?;
        let mut page = document.start_page_with(size);
        let mut surface = page.surface();
        draw(&mut surface, &sheet.set, &faces);
        for Shown { drawing, at: [x, y], scale } in &sheet.figures {
            let sides = [0.0, 0.0, drawing.width, drawing.height];
            let Some(sides) = path(&[corners(sides)], true) else { continue };
            surface.push_transform(&Transform::from_row(*scale, 0.0, 0.0, *scale, *x, *y));
            surface.push_clip_path(&sides, &FillRule::NonZero);
            draw(&mut surface, drawing, &faces);
            surface.pop();
            surface.pop();
        }
        surface.finish();
        page.finish();
    }
    document.finish().map_err(|error| format!("the PDF could not be made ({error:?})"))
}

fn draw(surface: &mut Surface<'_>, drawing: &Drawing, faces: &Faces) {
    let mut rimmed = false;
    for item in &drawing.items {
        match item {
            Item::Text { ink, .. } if is_rim(*ink) => rimmed = true,
            item => {
                write(surface, item, faces, rimmed);
                rimmed = false;
            }
        }
    }
}

fn write(surface: &mut Surface<'_>, item: &Item, faces: &Faces, rimmed: bool) {
    match item {
        Item::Fill { outlines, ink } => fill(surface, path(outlines, true), *ink),
        Item::Stroke { lines, ink, width, dash, closed } => {
            let dash = dash.pattern().map(|[on, off]| StrokeDash { array: vec![on, off], offset: 0.0 });
            stroke(surface, path(lines, *closed), *ink, *width, dash);
        }
        Item::Hatch { rect, ink, spacing } => {
            let lines: Vec<Vec<[f32; 2]>> =
                hatch_lines(*rect, *spacing).into_iter().map(|line| line.to_vec()).collect();
            stroke(surface, path(&lines, false), *ink, 0.6, None);
        }
        Item::Image { rect, pixels } => image(surface, *rect, pixels),
        Item::Text { at, anchor, size, weight, ink, text } => {
            let wide = text_width(text, *size, *weight);
            let left = match anchor {
                Anchor::Left => at[0],
                Anchor::Centre => at[0] - wide / 2.0,
                Anchor::Right => at[0] - wide,
            };
            if rimmed {
                // A rim round letters would be letters of its own, and found twice.
                let high = size * 0.55;
                let rect = [left - 1.0, at[1] - high, left + wide + 1.0, at[1] + high];
                fill(surface, path(&[corners(rect)], true), [255, 255, 255, 190]);
            }
            surface.set_stroke(None);
            surface.set_fill(Some(Fill {
                paint: color(*ink),
                opacity: opacity(*ink),
                rule: FillRule::NonZero,
            }));
            let start = Point::from_xy(left, at[1] + size * BASELINE);
            surface.draw_text(start, faces.of(*weight), *size, text, false, TextDirection::Auto);
        }
    }
}

fn fill(surface: &mut Surface<'_>, path: Option<Path>, ink: Ink) {
    let Some(path) = path else { return };
    surface.set_stroke(None);
    surface.set_fill(Some(Fill { paint: color(ink), opacity: opacity(ink), rule: FillRule::NonZero }));
    surface.draw_path(&path);
}

fn stroke(surface: &mut Surface<'_>, path: Option<Path>, ink: Ink, width: f32, dash: Option<StrokeDash>) {
    let Some(path) = path else { return };
    surface.set_fill(None);
    surface.set_stroke(Some(Stroke {
        paint: color(ink),
        width,
        opacity: opacity(ink),
        line_cap: LineCap::Round,
        line_join: LineJoin::Round,
        dash,
        ..Stroke::default()
    }));
    surface.draw_path(&path);
}

/// Pixels as plain boxes, those of one color beside each other as one: drawings made for paper have few.
fn image(surface: &mut Surface<'_>, [x0, y0, x1, y1]: [f32; 4], pixels: &Pixels) {
    let (wide, high) = ((x1 - x0) / pixels.width as f32, (y1 - y0) / pixels.height as f32);
    for row in 0..pixels.height {
        let inks: Vec<Ink> = (0..pixels.width).filter_map(|column| pixels.at(column, row)).collect();
        let mut from = 0;
        for run in inks.chunk_by(|a, b| a == b) {
            let to = from + run.len();
            let (left, top) = (x0 + wide * from as f32, y0 + high * row as f32);
            let rect = [left, top, x0 + wide * to as f32, top + high];
            if run[0][3] > 0 {
                fill(surface, path(&[corners(rect)], true), run[0]);
            }
            from = to;
        }
    }
}

/// Lines as a path; `None` where there is nothing to draw.
fn path(lines: &[Vec<[f32; 2]>], closed: bool) -> Option<Path> {
    let mut builder = PathBuilder::new();
    for line in lines {
        let Some(([x, y], rest)) = line.split_first() else { continue };
        builder.move_to(*x, *y);
        for [x, y] in rest {
            builder.line_to(*x, *y);
        }
        if closed {
            builder.close();
        }
    }
    builder.finish()
}

fn color([r, g, b, _]: Ink) -> krilla::paint::Paint {
    rgb::Color::new(r, g, b).into()
}

fn opacity(ink: Ink) -> NormalizedF32 {
    NormalizedF32::new(f32::from(ink[3]) / 255.0).unwrap_or(NormalizedF32::ONE)
}
