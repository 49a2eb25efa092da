//! What the core drew, on the screen.

use std::sync::Arc;

use blockwright_core::pixels::Pixels;
use blockwright_core::view::{Anchor, Dash, Drawing, Item, Weight, hatch_lines};
use eframe::egui::{
    Align2, Color32, ColorImage, Mesh, Painter, Pos2, Rect, Shape, Stroke, TextureHandle, TextureOptions,
    epaint::Vertex, pos2,
};
use lyon::math::point;
use lyon::path::{LineCap, LineJoin, Path};
use lyon::tessellation::{
    BuffersBuilder, FillOptions, FillTessellator, FillVertex, StrokeOptions, StrokeTessellator, StrokeVertex,
    VertexBuffers,
};

use crate::theme::{bold, colour, mono, plain};

/// Strokes wider than this have round joins and ends that show, so they are tessellated whole.
const WIDE: f32 = 8.0;

/// What the round ends of a usual dash add to its length; the screen's dashes end square.
const ENDS: f32 = 2.5;

/// How far a tessellated edge may lie from the true curve, points.
const TOLERANCE: f32 = 0.1;

/// One part of a drawing, ready to be painted; text is laid out each time, since fonts may move in their atlas.
#[derive(Debug, Clone)]
enum Piece {
    Shape(Shape),
    Image(Rect, Arc<Pixels>),
    Text { at: Pos2, anchor: Align2, font: eframe::egui::FontId, ink: Color32, text: String },
}

/// A drawing made ready, kept between frames.
#[derive(Default)]
pub struct Canvas {
    pieces: Vec<Piece>,
    textures: Vec<(Arc<Pixels>, TextureHandle)>,
}

impl std::fmt::Debug for Canvas {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Canvas").field("pieces", &self.pieces.len()).finish_non_exhaustive()
    }
}

impl Canvas {
    /// Makes a drawing ready.
    pub fn set(&mut self, drawing: &Drawing) {
        self.pieces.clear();
        for item in &drawing.items {
            prepare(item, &mut self.pieces);
        }
    }

    /// Paints it with its upper left corner at `origin`.
    pub fn paint(&mut self, painter: &Painter, origin: Pos2) {
        let shift = origin.to_vec2();
        let mut used = Vec::new();
        for piece in &self.pieces {
            match piece {
                Piece::Shape(shape) => {
                    let mut shape = shape.clone();
                    shape.translate(shift);
                    painter.add(shape);
                }
                Piece::Text { at, anchor, font, ink, text } => {
                    painter.text(*at + shift, *anchor, text, font.clone(), *ink);
                }
                Piece::Image(rect, pixels) => {
                    let texture = texture(&mut self.textures, painter, pixels, used.len());
                    used.push(Arc::clone(pixels));
                    let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
                    painter.image(texture, rect.translate(shift), whole, Color32::WHITE);
                }
            }
        }
        self.textures.truncate(used.len());
    }
}

/// The texture in this slot, filled anew when it holds other pixels.
fn texture(
    textures: &mut Vec<(Arc<Pixels>, TextureHandle)>,
    painter: &Painter,
    pixels: &Arc<Pixels>,
    slot: usize,
) -> eframe::egui::TextureId {
    let image = || ColorImage::from_rgba_unmultiplied([pixels.width, pixels.height], &pixels.rgba);
    if let Some((held, handle)) = textures.get_mut(slot) {
        if !Arc::ptr_eq(held, pixels) {
            handle.set(image(), TextureOptions::NEAREST);
            *held = Arc::clone(pixels);
        }
        return handle.id();
    }
    let handle = painter.ctx().load_texture("drawing", image(), TextureOptions::NEAREST);
    let id = handle.id();
    textures.push((Arc::clone(pixels), handle));
    id
}

fn prepare(item: &Item, pieces: &mut Vec<Piece>) {
    match item {
        Item::Fill { outlines, ink } => fill(outlines, colour(*ink), pieces),
        Item::Stroke { lines, ink, width, dash, closed } => {
            stroke(lines, colour(*ink), *width, *dash, *closed, pieces);
        }
        Item::Image { rect, pixels } => {
            let [left, top, right, bottom] = *rect;
            let rect = Rect::from_min_max(pos2(left, top), pos2(right, bottom));
            let full = pixels.width * pixels.height * 4 == pixels.rgba.len();
            if full && !pixels.rgba.is_empty() {
                pieces.push(Piece::Image(rect, Arc::clone(pixels)));
            }
        }
        Item::Text { at, anchor, size, weight, ink, text } => {
            let anchor = match anchor {
                Anchor::Left => Align2::LEFT_CENTER,
                Anchor::Centre => Align2::CENTER_CENTER,
                Anchor::Right => Align2::RIGHT_CENTER,
            };
            let font = match weight {
                Weight::Plain => plain(*size),
                Weight::Bold => bold(*size),
                Weight::Mono => mono(*size),
            };
            let (at, ink, text) = (pos2(at[0], at[1]), colour(*ink), text.clone());
            pieces.push(Piece::Text { at, anchor, font, ink, text });
        }
        Item::Hatch { rect, ink, spacing } => {
            let stroke = Stroke::new(1.0, colour(*ink));
            let lines = hatch_lines(*rect, *spacing).into_iter();
            let lines = lines.map(|ends| Shape::line_segment(ends.map(|[x, y]| pos2(x, y)), stroke));
            pieces.extend(lines.map(Piece::Shape));
        }
    }
}

fn fill(outlines: &[Vec<[f32; 2]>], ink: Color32, pieces: &mut Vec<Piece>) {
    let path = path(outlines, true);
    let mut buffers: VertexBuffers<Vertex, u32> = VertexBuffers::new();
    let options = FillOptions::non_zero().with_tolerance(TOLERANCE);
    let done = FillTessellator::new().tessellate_path(
        &path,
        &options,
        &mut BuffersBuilder::new(&mut buffers, |vertex: FillVertex<'_>| {
            let at = vertex.position();
            Vertex::untextured(pos2(at.x, at.y), ink)
        }),
    );
    if done.is_err() {
        return;
    }
    pieces.push(mesh(buffers));
    // The triangles have hard edges; a thin line in the same colour softens them. See-through fills would show it.
    if ink.is_opaque() {
        let points = outlines.iter().map(|outline| points(outline));
        pieces.extend(points.map(|points| Piece::Shape(Shape::closed_line(points, Stroke::new(0.5, ink)))));
    }
}

fn stroke(
    lines: &[Vec<[f32; 2]>],
    ink: Color32,
    width: f32,
    dash: Dash,
    closed: bool,
    pieces: &mut Vec<Piece>,
) {
    if width > WIDE {
        swath(lines, ink, width, closed, pieces);
        return;
    }
    for line in lines {
        let mut points = points(line);
        match dash {
            Dash::Solid if closed => {
                pieces.push(Piece::Shape(Shape::closed_line(points, Stroke::new(width, ink))));
            }
            Dash::Solid => pieces.push(Piece::Shape(Shape::line(points, Stroke::new(width, ink)))),
            Dash::Dashed | Dash::Dotted => {
                if closed && let Some(first) = points.first() {
                    points.push(*first);
                }
                let [on, off] = dash.pattern().unwrap_or([1.0, 0.0]);
                let shapes = match dash {
                    Dash::Dotted => Shape::dotted_line(&points, ink, on + off, width / 2.0),
                    _ => Shape::dashed_line(&points, Stroke::new(width, ink), on + ENDS, off - ENDS),
                };
                pieces.extend(shapes.into_iter().map(Piece::Shape));
            }
        }
    }
}

fn swath(lines: &[Vec<[f32; 2]>], ink: Color32, width: f32, closed: bool, pieces: &mut Vec<Piece>) {
    let path = path(lines, closed);
    let mut buffers: VertexBuffers<Vertex, u32> = VertexBuffers::new();
    let options = StrokeOptions::tolerance(TOLERANCE)
        .with_line_width(width)
        .with_line_cap(LineCap::Round)
        .with_line_join(LineJoin::Round);
    let done = StrokeTessellator::new().tessellate_path(
        &path,
        &options,
        &mut BuffersBuilder::new(&mut buffers, |vertex: StrokeVertex<'_, '_>| {
            let at = vertex.position();
            Vertex::untextured(pos2(at.x, at.y), ink)
        }),
    );
    if done.is_ok() {
        pieces.push(mesh(buffers));
    }
}

fn mesh(buffers: VertexBuffers<Vertex, u32>) -> Piece {
    let mesh = Mesh { vertices: buffers.vertices, indices: buffers.indices, ..Mesh::default() };
    Piece::Shape(Shape::mesh(mesh))
}

fn points(line: &[[f32; 2]]) -> Vec<Pos2> {
    line.iter().map(|[x, y]| pos2(*x, *y)).collect()
}

fn path(lines: &[Vec<[f32; 2]>], closed: bool) -> Path {
    let mut builder = Path::builder();
    for line in lines {
        let mut points = line.iter().filter(|p| p[0].is_finite() && p[1].is_finite());
        let Some([x, y]) = points.next() else { continue };
        builder.begin(point(*x, *y));
        for [x, y] in points {
            builder.line_to(point(*x, *y));
        }
        builder.end(closed);
    }
    builder.build()
}
