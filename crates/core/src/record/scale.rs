//! Drawings at true scale: printed at 100 %, they lie on the blank.
//!
//! Lengths are written in the job's unit with y turned down, and the page's size in that unit beside them, so that one
//! unit of the drawing is one unit on paper. Lines and arcs are exact (SVG 1.1, 8.3.8 for arcs).

use std::f64::consts::PI;
use std::fmt::Write as _;

use crate::geometry::{Bounds, Path, Point, Span, pt};
use crate::names;
use crate::proof::Proof;
use crate::units::{Units, fixed};
use crate::view::rounding::{multiples, round_number};
use crate::wall::Section;

/// A sheet at true scale in the making.
struct Sheet {
    units: Units,
    body: String,
}

/// Free room round what is drawn, and sizes of lines and letters, in inches.
const ROOM: f64 = 0.4;
const THIN: f64 = 0.004;
const THICK: f64 = 0.008;
const LETTERS: f64 = 0.09;

impl Sheet {
    const fn new(units: Units) -> Self {
        Self { units, body: String::new() }
    }

    /// A size in inches in the sheet's unit.
    fn size(&self, inches: f64) -> f64 {
        inches * self.units.per_inch()
    }

    fn number(&self, value: f64) -> String {
        fixed(value, if self.units == Units::Inch { 6 } else { 5 })
    }

    fn point(&self, p: Point) -> String {
        format!("{} {}", self.number(p.x), self.number(-p.y))
    }

    fn group(&mut self, id: &str, more: &str, inside: impl FnOnce(&mut Self)) {
        let _ = writeln!(self.body, "<g id=\"{id}\" {more}>");
        inside(self);
        self.body.push_str("</g>\n");
    }

    /// A path of lines and arcs, as a job has it.
    fn path(&mut self, path: &Path) {
        let mut data = String::new();
        for (index, span) in path.spans().iter().enumerate() {
            if index == 0 {
                let _ = write!(data, "M{}", self.point(span.at(0.0)));
            }
            match span {
                Span::Line { to, .. } => {
                    let _ = write!(data, " L{}", self.point(*to));
                }
                Span::Arc(arc) => {
                    // More than half a turn at a time would have two meanings.
                    let parts = if arc.sweep.abs() > PI { 2 } else { 1 };
                    let radius = self.number(arc.radius);
                    let turn = u8::from(arc.sweep < 0.0);
                    for part in 1..=parts {
                        let to = self.point(arc.at(f64::from(part) / f64::from(parts)));
                        let _ = write!(data, " A{radius} {radius} 0 0 {turn} {to}");
                    }
                }
            }
        }
        let _ = writeln!(self.body, "<path d=\"{data} Z\"/>");
    }

    fn line(&mut self, points: &[Point], closed: bool) {
        let data: Vec<String> = points.iter().map(|p| self.point(*p)).collect();
        let end = if closed { " Z" } else { "" };
        let _ = writeln!(self.body, "<path d=\"M{}{end}\"/>", data.join(" L"));
    }

    /// A text whose baseline begins, or whose middle lies, at a place.
    fn text(&mut self, at: Point, middle: bool, text: &str) {
        let anchor = if middle { " text-anchor=\"middle\"" } else { "" };
        let (x, y) = (self.number(at.x), self.number(-at.y));
        let _ = writeln!(self.body, "<text x=\"{x}\" y=\"{y}\"{anchor}>{}</text>", names::markup(text));
    }

    /// Lines of this width, nothing filled.
    fn drawn(&self, inches: f64, dash: &str) -> String {
        let width = self.number(self.size(inches));
        let dashes = match dash {
            "" => String::new(),
            parts => {
                let sizes = parts.split(' ').filter_map(|part| part.parse::<f64>().ok());
                let sizes: Vec<String> = sizes.map(|part| self.number(self.size(part))).collect();
                format!(" stroke-dasharray=\"{}\"", sizes.join(" "))
            }
        };
        format!("fill=\"none\" stroke=\"#000\" stroke-width=\"{width}\"{dashes}")
    }

    fn lettered(&self) -> String {
        let size = self.number(self.size(LETTERS));
        format!("font-family=\"'DejaVu Sans',Verdana,Arial,sans-serif\" font-size=\"{size}\" fill=\"#000\"")
    }

    /// What a ruler is laid on before the print is trusted.
    fn control_bar(&mut self, low: Point) {
        let length = self.units.pick(2.0, 50.0);
        let tick = self.size(0.06);
        let high = low + pt(length, 0.0);
        let up = pt(0.0, tick);
        self.group("control-length", &self.drawn(THICK, ""), |sheet| {
            sheet.line(&[low + up, low - up], false);
            sheet.line(&[low, high], false);
            sheet.line(&[high + up, high - up], false);
        });
        let words = format!("Print at 100 %. This line must measure {}.", self.units.plain_with_unit(length));
        let at = low - pt(0.0, self.size(0.18));
        self.group("words", &self.lettered(), |sheet| sheet.text(at, false, &words));
    }

    /// The whole file, as large as what it shows with room round it.
    fn finish(self, bounds: Bounds, title: &str) -> String {
        let bounds = bounds.grown(self.size(ROOM));
        let (width, height) = (bounds.width(), bounds.height());
        let unit = self.units.short();
        format!(
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" \
             width=\"{w}{unit}\" height=\"{h}{unit}\" viewBox=\"{x} {y} {w} {h}\">\n<title>{title}</title>\n{body}</svg>\n",
            w = self.number(width),
            h = self.number(height),
            x = self.number(bounds.low.x),
            y = self.number(-bounds.high.y),
            title = names::markup(title),
            body = self.body
        )
    }
}

/// The scribed outline with its stations, the sawn edge, the zeros and areas kept clear, at true scale; `None` for a job
/// that has neither outline nor edge.
pub(super) fn plan(proof: &Proof) -> Option<String> {
    let units = proof.job.units;
    let paths = [&proof.outline, &proof.edge].into_iter().flatten();
    let bounds = paths.fold(Bounds::EMPTY, |all, path| all.join(path.bounds()));
    if bounds.is_empty() {
        return None;
    }
    let mut sheet = Sheet::new(units);
    if let Some(edge) = &proof.edge {
        sheet.group("edge", &sheet.drawn(THIN, "0.12 0.06"), |sheet| sheet.path(edge));
    }
    if let Some(outline) = &proof.outline {
        sheet.group("outline", &sheet.drawn(THICK, ""), |sheet| sheet.path(outline));
        stations(&mut sheet, outline);
    }
    zeros(&mut sheet, proof);
    let foot = bounds.low - pt(0.0, sheet.size(0.35));
    sheet.control_bar(foot);
    // The words under the control length need room of their own.
    let all = bounds.with(foot + pt(units.pick(4.0, 100.0), -sheet.size(0.15)));
    let name = proof.job.name.as_deref().unwrap_or("Job without a name");
    Some(sheet.finish(all, &format!("{name}: plan at true scale, lengths in {}", units.plural())))
}

/// A tick inward at every round station, with its number.
fn stations(sheet: &mut Sheet, outline: &Path) {
    let step = sheet.units.pick(0.5, 10.0);
    let step = if outline.length() / step > 200.0 { step * 10.0 } else { step };
    let stations = multiples(0.0, outline.length() - step / 4.0, step);
    let (tick, away) = (sheet.size(0.07), sheet.size(0.16));
    let lower = pt(0.0, sheet.size(LETTERS) * 0.35);
    sheet.group("stations", &sheet.drawn(THIN, ""), |sheet| {
        for station in &stations {
            let place = outline.place(*station);
            sheet.line(&[place.at, place.at - place.outward * tick], false);
        }
    });
    let units = sheet.units;
    sheet.group("station-numbers", &sheet.lettered(), |sheet| {
        for station in &stations {
            let place = outline.place(*station);
            let text = round_number(units, *station, step);
            sheet.text(place.at - place.outward * away - lower, true, &text);
        }
    });
}

/// A cross where the programs' origins lie.
fn zeros(sheet: &mut Sheet, proof: &Proof) {
    let mut places: Vec<Point> = Vec::new();
    for pass in &proof.job.passes {
        let at = pt(pass.zero.origin[0], pass.zero.origin[1]);
        if !places.contains(&at) {
            places.push(at);
        }
    }
    let arm = sheet.size(0.12);
    sheet.group("zeros", &sheet.drawn(THIN, ""), |sheet| {
        for at in places {
            sheet.line(&[at - pt(arm, 0.0), at + pt(arm, 0.0)], false);
            sheet.line(&[at - pt(0.0, arm), at + pt(0.0, arm)], false);
        }
    });
}

/// The wall at a station after the last pass, at true scale: outward to the right, Z up.
pub(super) fn wall(proof: &Proof, section: &Section) -> Option<String> {
    let units = proof.job.units;
    let last = section.passes.last()?;
    let (low, high) = section.faces()?;
    let mut sheet = Sheet::new(units);
    let flat = |line: &[[f64; 2]]| -> Vec<Point> { line.iter().map(|p| pt(p[0], p[1])).collect() };
    sheet.group("metal", "fill=\"#ddd\" stroke=\"none\"", |sheet| {
        for polygon in &last.metal {
            sheet.line(&flat(polygon), true);
        }
    });
    sheet.group("blank", &sheet.drawn(THIN, "0.12 0.06"), |sheet| {
        for line in section.sides(&section.blank) {
            sheet.line(&flat(&line), false);
        }
    });
    sheet.group("sides", &sheet.drawn(THICK, ""), |sheet| {
        for line in section.sides(&last.metal) {
            sheet.line(&flat(&line), false);
        }
    });
    sheet.group("outline", &sheet.drawn(THIN, "0.2 0.04 0.04 0.04"), |sheet| {
        let over = sheet.size(0.2);
        sheet.line(&[pt(0.0, low - over), pt(0.0, high + over)], false);
    });
    let corners = section.blank.iter().chain(&last.metal).flatten().map(|p| pt(p[0], p[1]));
    let bounds = Bounds::of(corners).with(pt(0.0, low)).with(pt(0.0, high));
    let foot = bounds.low - pt(0.0, sheet.size(0.45));
    sheet.control_bar(foot);
    let all = bounds.with(foot + pt(units.pick(4.0, 100.0), -sheet.size(0.15)));
    let title = format!(
        "Wall at station {} after the last pass, at true scale, lengths in {}",
        units.plain(section.station),
        units.plural()
    );
    Some(sheet.finish(all, &title))
}
