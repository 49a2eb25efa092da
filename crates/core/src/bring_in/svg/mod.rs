//! Drawings in SVG: paths and basic shapes with their transforms, by the published SVG 2 specification.

mod path;
mod shape;

use std::collections::HashMap;

use roxmltree::{Document, Node, ParsingOptions};
use svgtypes::{Length, LengthUnit, ViewBox};

use super::drawing::Sheet;
use super::plan::Affine;
use super::{Drawing, Fault, MOST_NESTING, MOST_PLACINGS, Spot, curve_tolerance};
use crate::geometry::pt;
use crate::limits::SVG_ATTRIBUTES;
use crate::units::Units;

/// Most elements and texts of a file.
const MOST_NODES: u32 = 2_000_000;
/// The layer of what lies in no named group.
const NO_GROUP: &str = "drawing";

/// Reads a drawing. Y runs up in the outcome, and the lower left corner of the page is its origin.
pub(super) fn read(bytes: &[u8]) -> Result<Drawing, Fault> {
    let text = std::str::from_utf8(bytes).map_err(|error| {
        Fault::at(
            Spot::Byte(error.valid_up_to()),
            "the file is not UTF-8 text: save it as plain SVG in UTF-8",
        )
    })?;
    check_entities(text)?;
    check_attributes(text)?;
    let options = ParsingOptions { allow_dtd: true, nodes_limit: MOST_NODES, ..ParsingOptions::default() };
    let document = Document::parse_with_options(text, options).map_err(|error| {
        let at = error.pos();
        Fault::at(Spot::Column(at.row as usize, at.col as usize), format!("not well-formed XML: {error}"))
    })?;
    let root = document.root_element();
    if root.tag_name().name() != "svg" {
        return Err(Fault::whole(format!("this is `{}`, not an SVG drawing", root.tag_name().name())));
    }
    let page = Page::of(root)?;
    let tolerance = page.units.map_or(curve_tolerance(Units::Inch), curve_tolerance);
    let mut reader =
        Reader { document: &document, named: HashMap::new(), sheet: Sheet::default(), tolerance, placed: 0 };
    for child in root.children() {
        reader.element(child, &page.place, None, 0)?;
    }
    Ok(reader.sheet.finish(page.units))
}

/// Entities that could blow a small file up: only a few short ones that name no others are let through.
fn check_entities(text: &str) -> Result<(), Fault> {
    const DECLARATION: &str = "<!ENTITY";
    /// Bytes up to the end of the last declaration.
    const MOST_DECLARED: usize = 8192;
    const MOST_MENTIONED: usize = 5000;
    let Some(last) = text.rfind(DECLARATION) else { return Ok(()) };
    let rest = &text[last..];
    let length = rest.find(['"', '\'']).and_then(|open| {
        let mark = rest[open..].chars().next()?;
        rest[open + 1..].find(mark).map(|close| open + 1 + close)
    });
    let declared = &text[..last + length.unwrap_or(rest.len())];
    let many = || text.bytes().filter(|byte| *byte == b'&').count() > MOST_MENTIONED;
    if declared.len() > MOST_DECLARED || declared.contains('&') || many() {
        let line = 1 + text[..last].bytes().filter(|byte| *byte == b'\n').count();
        return Err(Fault::at(Spot::Line(line), "its entities are not followed: save it as plain SVG"));
    }
    Ok(())
}

/// Attributes of one element are held against each other, so that many of them take long: counted before they are read.
fn check_attributes(text: &str) -> Result<(), Fault> {
    let bytes = text.as_bytes();
    let skipped = |from: usize, open: &str, close: &str| -> Option<usize> {
        text.get(from..)?
            .starts_with(open)
            .then(|| text[from..].find(close).map_or(bytes.len(), |end| from + end + close.len()))
    };
    let find = |from: usize, wanted: &[u8]| {
        bytes[from..].iter().position(|byte| wanted.contains(byte)).map_or(bytes.len(), |at| from + at)
    };
    let mut at = find(0, b"<");
    while at < bytes.len() {
        let beside = skipped(at, "<!--", "-->").or_else(|| skipped(at, "<![CDATA[", "]]>"));
        if let Some(end) = beside.or_else(|| skipped(at, "<?", "?>")) {
            at = find(end, b"<");
            continue;
        }
        let (start, mut count) = (at, 0);
        loop {
            at = find(at, b"\"'>");
            match bytes.get(at) {
                Some(mark @ (b'"' | b'\'')) => {
                    count += 1;
                    at = find(at + 1, &[*mark]) + 1;
                }
                _ => break,
            }
            if count > SVG_ATTRIBUTES {
                let line = text[..start].split('\n').count();
                let message = format!("an element has more than {SVG_ATTRIBUTES} attributes");
                return Err(Fault::at(Spot::Line(line), message));
            }
            if at >= bytes.len() {
                return Ok(());
            }
        }
        at = find(at.min(bytes.len()), b"<");
    }
    Ok(())
}

/// The page: its unit, and how its coordinates lie in it.
struct Page {
    units: Option<Units>,
    place: Affine,
}

impl Page {
    fn of(root: Node<'_, '_>) -> Result<Self, Fault> {
        let fault = |name: &str| Fault::at(spot(root), format!("`{name}` cannot be read")).of("svg");
        let length = |name: &str| -> Result<Option<Length>, Fault> {
            root.attribute(name).map(|text| text.parse().map_err(|_| fault(name))).transpose()
        };
        let (width, height) = (length("width")?, length("height")?);
        let view: Option<ViewBox> =
            root.attribute("viewBox").map(|text| text.parse().map_err(|_| fault("viewBox"))).transpose()?;
        let physical = |length: Option<Length>| length.and_then(millimetres);
        let units = width.or(height).and_then(|length| match length.unit {
            LengthUnit::In => Some(Units::Inch),
            _ => millimetres(length).map(|_| Units::Mm),
        });
        let per_unit = units.map_or(1.0, |units| Units::Mm.to(units));
        let scale = match (&view, physical(width), physical(height)) {
            // The view is fitted into the page as a whole, which is the standard's own way unless told otherwise.
            (Some(view), Some(w), Some(h)) => (w / view.w).min(h / view.h) * per_unit,
            (Some(view), Some(w), None) => w / view.w * per_unit,
            (Some(view), None, Some(h)) => h / view.h * per_unit,
            // 96 to the inch, by the published CSS definition of the user unit.
            (None, Some(_), _) | (None, _, Some(_)) => 25.4 / 96.0 * per_unit,
            _ => 1.0,
        };
        if !(scale.is_finite() && scale > 0.0) {
            return Err(fault("viewBox"));
        }
        let (left, bottom) = match &view {
            Some(view) => (view.x, view.y + view.h),
            None => (0.0, height.map_or(0.0, |h| millimetres(h).map_or(h.number, |mm| mm / (25.4 / 96.0)))),
        };
        let place = Affine::scale(scale, -scale).after(&Affine::shift(pt(-left, -bottom)));
        Ok(Self { units, place })
    }
}

/// A length with a unit that can be laid a ruler on, in millimetres.
fn millimetres(length: Length) -> Option<f64> {
    let each = match length.unit {
        LengthUnit::In => 25.4,
        LengthUnit::Cm => 10.0,
        LengthUnit::Mm => 1.0,
        LengthUnit::Pt => 25.4 / 72.0,
        LengthUnit::Pc => 25.4 / 6.0,
        LengthUnit::None | LengthUnit::Px | LengthUnit::Percent | LengthUnit::Em | LengthUnit::Ex => {
            return None;
        }
    };
    Some(length.number * each).filter(|mm| mm.is_finite() && *mm > 0.0)
}

/// Where an element stands.
fn spot(node: Node<'_, '_>) -> Spot {
    Spot::Line(node.document().text_pos_at(node.range().start).row as usize)
}

struct Reader<'a, 'input> {
    document: &'a Document<'input>,
    /// Elements by id, once one has been asked for.
    named: HashMap<&'a str, Node<'a, 'input>>,
    sheet: Sheet,
    tolerance: f64,
    placed: usize,
}

impl<'a, 'input> Reader<'a, 'input> {
    fn element(
        &mut self,
        node: Node<'a, 'input>,
        place: &Affine,
        layer: Option<usize>,
        depth: usize,
    ) -> Result<(), Fault> {
        if !node.is_element() || is_hidden(node) {
            return Ok(());
        }
        let name = node.tag_name().name();
        let fault = |message: String| Fault::at(spot(node), message).of(name);
        if depth > MOST_NESTING {
            return Err(fault(format!("groups are nested more than {MOST_NESTING} deep, or use themselves")));
        }
        let place = place.after(&transform(node)?);
        match name {
            "g" | "a" | "switch" | "svg" => {
                let layer = group_name(node).map(|name| self.sheet.layer(name)).or(layer);
                for child in node.children() {
                    self.element(child, &place, layer, depth + 1)?;
                }
            }
            "use" => self.used(node, &place, layer, depth)?,
            "path" | "rect" | "circle" | "ellipse" | "line" | "polyline" | "polygon" => {
                let layer = layer.unwrap_or_else(|| self.sheet.layer(NO_GROUP));
                for shape in shape::shapes(node).map_err(|fault| fault.of(name))? {
                    self.sheet.draw(layer, &shape, &place, self.tolerance).map_err(fault)?;
                }
            }
            "text" | "image" | "foreignObject" => {
                let layer = layer.unwrap_or_else(|| self.sheet.layer(NO_GROUP));
                self.sheet.leave_out(layer, name);
            }
            _ => {}
        }
        Ok(())
    }

    fn used(
        &mut self,
        node: Node<'a, 'input>,
        place: &Affine,
        layer: Option<usize>,
        depth: usize,
    ) -> Result<(), Fault> {
        self.placed += 1;
        if self.placed > MOST_PLACINGS {
            return Err(Fault::at(spot(node), format!("more than {MOST_PLACINGS} uses")).of("use"));
        }
        let target = node.attributes().find(|attribute| attribute.name() == "href");
        let id = target.and_then(|attribute| attribute.value().strip_prefix('#'));
        if self.named.is_empty() {
            let all = self.document.descendants();
            self.named = all.filter_map(|node| Some((node.attribute("id")?, node))).collect();
        }
        let Some(found) = id.and_then(|id| self.named.get(id)).copied() else {
            return Err(Fault::at(spot(node), "what it uses is not in the file").of("use"));
        };
        let by = pt(shape::number(node, "x", 0.0)?, shape::number(node, "y", 0.0)?);
        let place = place.after(&Affine::shift(by));
        if found.tag_name().name() == "symbol" {
            for child in found.children() {
                self.element(child, &place, layer, depth + 1)?;
            }
            return Ok(());
        }
        self.element(found, &place, layer, depth + 1)
    }
}

/// Whether the element is not shown.
fn is_hidden(node: Node<'_, '_>) -> bool {
    let style = node.attribute("style").unwrap_or_default();
    let said = style.split(';').any(|rule| {
        rule.split_once(':').is_some_and(|(name, value)| name.trim() == "display" && value.trim() == "none")
    });
    said || node.attribute("display") == Some("none")
}

/// What a group is called: its label, or its id.
fn group_name<'a>(node: Node<'a, '_>) -> Option<&'a str> {
    if node.tag_name().name() != "g" {
        return None;
    }
    let label = node.attributes().find(|attribute| attribute.name() == "label");
    label.map(|attribute| attribute.value()).or_else(|| node.attribute("id")).filter(|name| !name.is_empty())
}

fn transform(node: Node<'_, '_>) -> Result<Affine, Fault> {
    let Some(text) = node.attribute("transform") else { return Ok(Affine::SAME) };
    let map: svgtypes::Transform = text.parse().map_err(|error| {
        Fault::at(spot(node), format!("its transform cannot be read: {error}")).of(node.tag_name().name())
    })?;
    Ok(Affine { x: pt(map.a, map.b), y: pt(map.c, map.d), origin: pt(map.e, map.f) })
}
