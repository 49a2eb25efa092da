//! A drawing list as SVG text, to stand in a page: no scripts, nothing fetched, texts as texts.

use std::fmt::Write as _;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

use super::drawing::{Anchor, Drawing, Ink, Item, Weight, hatch_lines};
use super::label::is_rim;
use super::raster::BASELINE;
use crate::names;
use crate::pixels::{Pixels, png};

/// The project's face, and faces as wide or narrower that systems have, so that no text outgrows its room.
const SANS: &str = "'DejaVu Sans',Verdana,Arial,sans-serif";
const MONO: &str = "'DejaVu Sans Mono',Menlo,Consolas,monospace";

/// Width of the rim round letters, in view points.
const RIM: f32 = 2.4;

/// The drawing as one `svg` element without a size of its own; `label` says what it shows to those who do not see it.
pub fn svg(drawing: &Drawing, label: &str) -> String {
    let mut out = String::new();
    let _ = write!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {} {}\" role=\"img\" aria-label=\"{}\">",
        number(drawing.width),
        number(drawing.height),
        names::markup(label)
    );
    let mut rimmed = false;
    for item in &drawing.items {
        match item {
            Item::Text { ink, .. } if is_rim(*ink) => rimmed = true,
            item => {
                write_item(&mut out, item, rimmed);
                rimmed = false;
            }
        }
    }
    out.push_str("</svg>");
    out
}

fn write_item(out: &mut String, item: &Item, rimmed: bool) {
    // Writing into a string cannot fail.
    let _ = match item {
        Item::Fill { outlines, ink } => {
            write!(out, "<path d=\"{}\" {}/>", lines(outlines, true), paint("fill", *ink))
        }
        Item::Stroke { lines: all, ink, width, dash, closed } => {
            let dashes = dash.pattern().map_or_else(String::new, |[on, off]| {
                format!(" stroke-dasharray=\"{} {}\"", number(on), number(off))
            });
            write!(
                out,
                "<path d=\"{}\" fill=\"none\" {} stroke-width=\"{}\" stroke-linecap=\"round\" \
                 stroke-linejoin=\"round\"{dashes}/>",
                lines(all, *closed),
                paint("stroke", *ink),
                number(*width)
            )
        }
        Item::Hatch { rect, ink, spacing } => {
            let all: Vec<Vec<[f32; 2]>> =
                hatch_lines(*rect, *spacing).into_iter().map(|line| line.to_vec()).collect();
            write!(
                out,
                "<path d=\"{}\" fill=\"none\" {} stroke-width=\"0.8\"/>",
                lines(&all, false),
                paint("stroke", *ink)
            )
        }
        Item::Image { rect, pixels } => write_image(out, *rect, pixels),
        Item::Text { at, anchor, size, weight, ink, text } => {
            let rim = if rimmed {
                format!(" paint-order=\"stroke\" stroke=\"#fff\" stroke-width=\"{}\"", number(RIM))
            } else {
                String::new()
            };
            write!(
                out,
                "<text x=\"{}\" y=\"{}\" font-family=\"{}\" font-size=\"{}\"{}{} {}{rim}>{}</text>",
                number(at[0]),
                number(at[1] + size * BASELINE),
                if *weight == Weight::Mono { MONO } else { SANS },
                number(*size),
                if *weight == Weight::Bold { " font-weight=\"700\"" } else { "" },
                match anchor {
                    Anchor::Left => "",
                    Anchor::Centre => " text-anchor=\"middle\"",
                    Anchor::Right => " text-anchor=\"end\"",
                },
                paint("fill", *ink),
                names::markup(text)
            )
        }
    };
}

fn write_image(out: &mut String, [x0, y0, x1, y1]: [f32; 4], pixels: &Pixels) -> std::fmt::Result {
    // Pixels that do not fill their sides are a fault elsewhere; the rest of the drawing is still shown.
    let Ok(bytes) = png(pixels) else { return Ok(()) };
    write!(
        out,
        "<image x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" preserveAspectRatio=\"none\" \
         image-rendering=\"pixelated\" href=\"data:image/png;base64,{}\"/>",
        number(x0),
        number(y0),
        number(x1 - x0),
        number(y1 - y0),
        STANDARD.encode(bytes)
    )
}

/// Lines as the data of a path.
fn lines(all: &[Vec<[f32; 2]>], closed: bool) -> String {
    let mut data = String::new();
    for line in all {
        for (index, [x, y]) in line.iter().enumerate() {
            let _ = write!(data, "{}{} {}", if index == 0 { "M" } else { "L" }, number(*x), number(*y));
        }
        // A line of one point is drawn as a dot.
        if line.len() == 1 || closed {
            data.push('Z');
        }
    }
    data
}

fn paint(what: &str, [r, g, b, a]: Ink) -> String {
    let color = format!("{what}=\"#{r:02x}{g:02x}{b:02x}\"");
    if a == 255 { color } else { format!("{color} {what}-opacity=\"{:.2}\"", f32::from(a) / 255.0) }
}

/// A hundredth of a view point is finer than a printer's dot.
fn number(value: f32) -> String {
    let text = format!("{value:.2}");
    let short = text.trim_end_matches('0').trim_end_matches('.');
    if short == "-0" { "0".to_owned() } else { short.to_owned() }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::super::label::{Words, haloed};
    use super::*;

    #[test]
    fn everything_is_written_and_markup_stays_text() {
        let mut drawing = Drawing::new(100.0, 50.0);
        drawing.panel([0.0, 0.0, 100.0, 50.0], [255; 4]);
        drawing.line([0.0, 0.0], [10.5, 20.0], [0, 0, 0, 128], 1.0, super::super::drawing::Dash::Dashed);
        drawing.items.push(Item::Hatch { rect: [0.0, 0.0, 20.0, 20.0], ink: [0, 0, 0, 255], spacing: 5.0 });
        let pixels = Arc::new(Pixels { width: 1, height: 1, rgba: vec![1, 2, 3, 255] });
        drawing.items.push(Item::Image { rect: [0.0, 0.0, 5.0, 5.0], pixels });
        let words = Words {
            at: [50.0, 20.0],
            anchor: Anchor::Centre,
            size: 10.0,
            weight: Weight::Bold,
            ink: [0, 0, 0, 255],
        };
        haloed(&mut drawing, words, [255; 4], "<script>&\u{202e}");
        let text = svg(&drawing, "a \"plan\"");
        let read = roxmltree::Document::parse(&text).expect("well-formed");
        let named = |name: &str| read.descendants().filter(|node| node.has_tag_name(name)).count();
        let svg_name = |name: &'static str| ("http://www.w3.org/2000/svg", name);
        assert_eq!(read.descendants().filter(|node| node.has_tag_name(svg_name("path"))).count(), 3);
        assert_eq!(read.descendants().filter(|node| node.has_tag_name(svg_name("image"))).count(), 1);
        let texts: Vec<_> = read.descendants().filter(|node| node.has_tag_name(svg_name("text"))).collect();
        assert_eq!(texts.len(), 1, "a rim is no text of its own");
        assert_eq!(texts[0].text(), Some("<script>&\u{fffd}"));
        assert_eq!(named("script"), 0);
        assert_eq!(read.root_element().attribute("aria-label"), Some("a \"plan\""));
    }

    #[test]
    fn numbers_are_short() {
        for (value, written) in [(0.0, "0"), (-0.001, "0"), (10.0, "10"), (2.5, "2.5"), (-3.456, "-3.46")] {
            assert_eq!(number(value), written);
        }
    }
}
