//! Drawings painted into pixels, without a window.

use crate::pixels::Pixels;
use ab_glyph::{Font, Glyph, ScaleFont, point};
use tiny_skia::{
    Color, FillRule, LineCap, LineJoin, Paint, Path, PathBuilder, Pixmap, Stroke, StrokeDash, Transform,
};

use super::drawing::{Anchor, Dash, Drawing, Ink, Item, Weight, hatch_lines};
use super::text::{em_scale, face, text_width};

/// Longest side in pixels.
const LONGEST: f32 = 16_384.0;
/// Most pixels altogether.
const MOST: f32 = 120e6;
/// From the middle of a line of text down to its baseline, in parts of the size: half of ascent less descent of
/// the faces.
pub(crate) const BASELINE: f32 = 0.346;

/// Paints a drawing at `scale` pixels a view point.
///
/// # Errors
/// When the picture would have no pixels or far too many, in plain words.
pub fn rasterise(drawing: &Drawing, scale: f32, background: Ink) -> Result<Pixels, String> {
    let (width, height) = ((drawing.width * scale).round(), (drawing.height * scale).round());
    let fits =
        (1.0..=LONGEST).contains(&width) && (1.0..=LONGEST).contains(&height) && width * height <= MOST;
    if !fits {
        return Err(format!(
            "a picture of {width} by {height} pixels cannot be drawn: each side must lie between 1 and {LONGEST}"
        ));
    }
    let mut canvas = Pixmap::new(width as u32, height as u32)
        .ok_or_else(|| format!("no room for a picture of {width} by {height} pixels"))?;
    let [r, g, b, a] = background;
    canvas.fill(Color::from_rgba8(r, g, b, a));
    for item in &drawing.items {
        paint(&mut canvas, item, scale);
    }
    Ok(Pixels { width: width as usize, height: height as usize, rgba: canvas.take_demultiplied() })
}

fn paint(canvas: &mut Pixmap, item: &Item, scale: f32) {
    let view = Transform::from_scale(scale, scale);
    match item {
        Item::Fill { outlines, ink } => {
            if let Some(path) = path_of(outlines, true) {
                canvas.fill_path(&path, &paint_of(*ink), FillRule::Winding, view, None);
            }
        }
        Item::Stroke { lines, ink, width, dash, closed } => {
            if let Some(path) = path_of(lines, *closed) {
                canvas.stroke_path(&path, &paint_of(*ink), &stroke_of(*width, *dash), view, None);
            }
        }
        Item::Hatch { rect, ink, spacing } => {
            let lines: Vec<Vec<[f32; 2]>> =
                hatch_lines(*rect, *spacing).iter().map(|line| line.to_vec()).collect();
            if let Some(path) = path_of(&lines, false) {
                let stroke = Stroke { line_cap: LineCap::Butt, ..stroke_of(1.2, Dash::Solid) };
                canvas.stroke_path(&path, &paint_of(*ink), &stroke, view, None);
            }
        }
        Item::Image { rect, pixels } => paint_image(canvas, rect.map(|side| side * scale), pixels),
        Item::Text { at, anchor, size, weight, ink, text } => {
            let width = text_width(text, *size, *weight) * scale;
            let x = at[0] * scale
                - match anchor {
                    Anchor::Left => 0.0,
                    Anchor::Centre => width / 2.0,
                    Anchor::Right => width,
                };
            paint_text(canvas, [x, (at[1] + size * BASELINE) * scale], size * scale, *weight, *ink, text);
        }
    }
}

fn paint_of(ink: Ink) -> Paint<'static> {
    let mut paint = Paint { anti_alias: true, ..Paint::default() };
    paint.set_color_rgba8(ink[0], ink[1], ink[2], ink[3]);
    paint
}

fn stroke_of(width: f32, dash: Dash) -> Stroke {
    Stroke {
        width,
        line_cap: LineCap::Round,
        line_join: LineJoin::Round,
        dash: dash.pattern().and_then(|pattern| StrokeDash::new(pattern.to_vec(), 0.0)),
        ..Stroke::default()
    }
}

fn path_of(lines: &[Vec<[f32; 2]>], closed: bool) -> Option<Path> {
    let mut path = PathBuilder::new();
    for line in lines {
        let Some((first, rest)) = line.split_first() else { continue };
        path.move_to(first[0], first[1]);
        for p in rest {
            path.line_to(p[0], p[1]);
        }
        if closed {
            path.close();
        }
    }
    path.finish()
}

fn paint_image(canvas: &mut Pixmap, rect: [f32; 4], pixels: &Pixels) {
    let [x0, y0, x1, y1] = rect;
    let (width, height) = (canvas.width() as usize, canvas.height() as usize);
    if x1 <= x0 || y1 <= y0 {
        return;
    }
    let range = |low: f32, high: f32, end: usize| {
        (low.round().max(0.0) as usize).min(end)..(high.round().max(0.0) as usize).min(end)
    };
    let (across, down) = (pixels.width as f32 / (x1 - x0), pixels.height as f32 / (y1 - y0));
    for y in range(y0, y1, height) {
        let row = ((y as f32 + 0.5 - y0) * down).max(0.0) as usize;
        for x in range(x0, x1, width) {
            let column = ((x as f32 + 0.5 - x0) * across).max(0.0) as usize;
            if let Some(ink) = pixels.at(column, row) {
                blend(canvas, y * width + x, ink, 1.0);
            }
        }
    }
}

fn paint_text(canvas: &mut Pixmap, at: [f32; 2], size: f32, weight: Weight, ink: Ink, text: &str) {
    let Some(face) = face(weight) else { return };
    let scale = em_scale(face, size);
    let scaled = face.as_scaled(scale);
    let (width, height) = (i64::from(canvas.width()), i64::from(canvas.height()));
    let (mut x, y) = (at[0], at[1].round());
    let mut before = None;
    for letter in text.chars() {
        let id = face.glyph_id(letter);
        if let Some(before) = before {
            x += scaled.kern(before, id);
        }
        before = Some(id);
        let glyph = Glyph { id, scale, position: point(x, y) };
        x += scaled.h_advance(id);
        let Some(outline) = face.outline_glyph(glyph) else { continue };
        let corner = outline.px_bounds().min;
        outline.draw(|across, down, coverage| {
            let (px, py) = (corner.x as i64 + i64::from(across), corner.y as i64 + i64::from(down));
            if px >= 0 && py >= 0 && px < width && py < height {
                blend(canvas, (py * width + px) as usize, ink, coverage);
            }
        });
    }
}

/// Puts a colour over a pixel: premultiplied source-over.
fn blend(canvas: &mut Pixmap, index: usize, ink: Ink, coverage: f32) {
    let Some(pixel) = canvas.data_mut().get_mut(index * 4..index * 4 + 4) else { return };
    let alpha = f32::from(ink[3]) / 255.0 * coverage.clamp(0.0, 1.0);
    for (part, &colour) in pixel.iter_mut().zip(&[ink[0], ink[1], ink[2], 255]) {
        *part = (f32::from(colour) * alpha + f32::from(*part) * (1.0 - alpha)).round() as u8;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::view::drawing::corners;

    const WHITE: Ink = [255; 4];
    const BLACK: Ink = [0, 0, 0, 255];

    fn dark(drawing: &Drawing, scale: f32) -> usize {
        let pixels = rasterise(drawing, scale, WHITE).expect("small enough");
        pixels.rgba.chunks(4).filter(|pixel| pixel[0] < 128).count()
    }

    #[test]
    fn a_filled_square_has_its_pixels() {
        let mut drawing = Drawing::new(100.0, 80.0);
        drawing.fill(corners([10.0, 10.0, 40.0, 30.0]), BLACK);
        assert_eq!(dark(&drawing, 1.0), 600);
        assert_eq!(dark(&drawing, 2.0), 2400);
    }

    #[test]
    fn text_paints_between_its_ends() {
        for anchor in [Anchor::Left, Anchor::Centre, Anchor::Right] {
            let mut drawing = Drawing::new(200.0, 30.0);
            drawing.bold([100.0, 15.0], anchor, 16.0, BLACK, "full light");
            assert!(dark(&drawing, 1.0) > 100, "{anchor:?}");
        }
    }

    #[test]
    fn line_styles_can_be_told_apart() {
        let counts = [Dash::Solid, Dash::Dashed, Dash::Dotted].map(|dash| {
            let mut drawing = Drawing::new(200.0, 20.0);
            drawing.line([10.0, 10.0], [190.0, 10.0], BLACK, 3.0, dash);
            dark(&drawing, 1.0)
        });
        assert!(counts[0] > counts[1] * 5 / 4 && counts[1] > counts[2] * 5 / 4, "{counts:?}");
        assert!(counts[2] > 50);
    }

    #[test]
    fn a_hatch_stays_in_its_box() {
        let mut drawing = Drawing::new(60.0, 60.0);
        drawing.items.push(Item::Hatch { rect: [20.0, 20.0, 40.0, 40.0], ink: BLACK, spacing: 5.0 });
        let pixels = rasterise(&drawing, 1.0, WHITE).expect("small enough");
        let touched = |x: usize, y: usize| pixels.at(x, y) != Some(WHITE);
        let outside = (0..60).flat_map(|y| (0..60).map(move |x| (x, y)));
        assert!(outside.clone().any(|(x, y)| touched(x, y)));
        assert!(
            !outside
                .filter(|&(x, y)| !(19..41).contains(&x) || !(19..41).contains(&y))
                .any(|(x, y)| touched(x, y))
        );
    }

    #[test]
    fn an_absurd_size_is_refused_and_png_reads_back() {
        assert!(rasterise(&Drawing::new(1e6, 10.0), 1.0, WHITE).is_err());
        assert!(rasterise(&Drawing::new(f32::NAN, 10.0), 1.0, WHITE).is_err());
        let pixels = rasterise(&Drawing::new(3.0, 2.0), 1.0, [10, 20, 30, 255]).expect("small");
        let bytes = crate::pixels::png(&pixels).expect("written");
        let mut reader = png::Decoder::new(std::io::Cursor::new(bytes)).read_info().expect("a PNG");
        let mut read = vec![0; reader.output_buffer_size().expect("known")];
        reader.next_frame(&mut read).expect("a frame");
        assert_eq!(read, pixels.rgba);
    }
}
