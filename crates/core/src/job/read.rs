//! From the text of a job file to the job.

use super::confirm;
use super::control;
use super::crib::CribFile;
use super::does::Does;
use super::json::{Fault, Fields, JobError, Node, decode};
use super::keys;
use super::material;
use super::measured;
use super::model::{Blank, ContactLimits, Job, KeepClear, Machine, Pass, PathSource, Travel, Vertex};
use super::seen;
use crate::geometry::pt;
use crate::limits::{CLAMP_AREAS, PASSES, SILHOUETTE_POINTS, TOOLS, VERTICES, WALLS};
use crate::program::Zero;
use crate::tool::{Form, Tool};
use crate::units::Units;

/// The schema that is read and written.
pub(super) const SCHEMA: &str = "blockwright-job/1";

pub(super) const UNITS: [(&str, Units); 2] = [("inch", Units::Inch), ("mm", Units::Mm)];
/// Reads the text of a job file (schema `blockwright-job/1`).
///
/// # Errors
/// The first thing in the file that cannot be used, with its line, column and key path.
pub fn read(text: &[u8]) -> Result<Job, JobError> {
    let text = decode(text)?;
    let root = Node::root(text, "job")?;
    job(root).map_err(|fault| fault.placed(text, root))
}

fn job(root: Node<'_>) -> Result<Job, Fault> {
    let fields = root.fields()?;
    // Before all else: a later schema may well have keys that are unknown here.
    schema(&fields, SCHEMA, "job")?;
    fields.only(&keys::names(keys::JOB))?;
    let job = Job {
        name: fields.maybe("name", Node::text)?,
        units: fields.need("units")?.choice(&UNITS)?,
        outline: fields.maybe("outline", outline)?,
        blank: fields.maybe("blank", blank)?,
        bed_top: fields.maybe("bed", |node| node.object(keys::BED)?.need("top")?.number())?,
        keep_clear: fields.maybe("keep_clear", keep_clear)?.unwrap_or_default(),
        gauge_height: fields.maybe("gauge_height", Node::number)?,
        land: fields.maybe("land", Node::not_negative)?,
        contact: fields.maybe("contact", contact)?,
        walls: fields.maybe("walls", walls)?.unwrap_or_default(),
        machine: fields.maybe("machine", machine)?,
        control: fields.maybe("control", control::read)?,
        tools: tools(fields.need("tools")?)?,
        materials: fields.maybe("materials", material::read)?.unwrap_or_default(),
        crib: fields.maybe("crib", |node| Ok(CribFile::named(node.words()?)))?,
        passes: Vec::new(),
        to_confirm: Vec::new(),
        seen: fields.maybe("seen", seen::read)?.unwrap_or_default(),
    };
    // What the crib holds is not known yet: its file is read by whoever reads files.
    let passes = passes(fields.need("passes")?, job.crib.is_none().then_some(job.tools.as_slice()))?;
    if let (Some(PathSource::FromPass(name)), Some(node)) = (&job.outline, fields.get("outline"))
        && passes.iter().all(|pass| pass.name != *name)
    {
        let node = node.fields()?.need("from_pass")?;
        return Err(node.fault(format!("no pass of this job is called \"{name}\"")));
    }
    let job = Job { passes, ..job };
    let to_confirm = fields.maybe("to_confirm", |node| confirm::read(node, &job))?.unwrap_or_default();
    Ok(Job { to_confirm, ..job })
}

/// Refuses a file of another schema than `known`; `what` names the kind of file.
pub(super) fn schema(fields: &Fields<'_>, known: &str, what: &str) -> Result<(), Fault> {
    let Some(node) = fields.get("schema") else {
        let message = format!("this key is missing: a {what} file says \"schema\": \"{known}\"");
        return Err(fields.node.lacks("schema", message));
    };
    let text = node.text()?;
    if text == known {
        return Ok(());
    }
    let stem = known.trim_end_matches(|c: char| c.is_ascii_digit());
    let number = text.strip_prefix(stem).filter(|number| {
        !number.is_empty() && !number.starts_with('0') && number.bytes().all(|b| b.is_ascii_digit())
    });
    Err(node.fault(if number.is_some() {
        format!(
            "the {what} says {text}; this Blockwright reads {known} and leaves later ones to a newer Blockwright"
        )
    } else {
        format!("must be \"{known}\"; this is not a {what} file that can be read here")
    }))
}

fn outline(node: Node<'_>) -> Result<PathSource, Fault> {
    path(node, true)
}

fn edge(node: Node<'_>) -> Result<PathSource, Fault> {
    path(node, false)
}

fn path(node: Node<'_>, from_pass: bool) -> Result<PathSource, Fault> {
    let fields = node.fields()?;
    if !from_pass && fields.get("from_pass").is_some() {
        let message =
            "only an outline can be taken from a pass; the blank's edge needs \"vertices\" or a \"file\"";
        return Err(fields.key_fault("from_pass", message));
    }
    fields.only(&keys::names_of_shapes(if from_pass { keys::OUTLINE } else { keys::EDGE }))?;
    let sources = fields.given(&["vertices", "file", "from_pass"]);
    if let [first, second, ..] = sources[..] {
        let message = format!("\"{first}\" and \"{second}\" cannot both be given: keep one");
        return Err(fields.key_fault(second, message));
    }
    if fields.get("file").is_none() {
        for key in ["layer", "units"] {
            if fields.get(key).is_some() {
                return Err(
                    fields.key_fault(key, format!("\"{key}\" belongs to a \"file\", and there is none"))
                );
            }
        }
    }
    if let Some(node) = fields.get("vertices") {
        return Ok(PathSource::Vertices(vertices(node)?));
    }
    if let Some(node) = fields.get("file") {
        return Ok(PathSource::File {
            file: node.words()?,
            layer: fields.maybe("layer", Node::text)?,
            units: fields.maybe("units", |node| node.choice(&UNITS))?,
        });
    }
    if let Some(node) = fields.get("from_pass") {
        return Ok(PathSource::FromPass(node.words()?));
    }
    let choices =
        if from_pass { "\"vertices\", a \"file\" or \"from_pass\"" } else { "\"vertices\" or a \"file\"" };
    Err(node.fault(format!("needs {choices}")))
}

fn vertices(node: Node<'_>) -> Result<Vec<Vertex>, Fault> {
    let items = node.list(VERTICES, "vertices")?;
    let vertices = items.iter().map(|item| vertex(*item)).collect::<Result<Vec<_>, _>>()?;
    check_closed(&vertices).map_err(|(index, message)| {
        index.and_then(|index| items.get(index)).unwrap_or(&node).fault(message)
    })?;
    Ok(vertices)
}

fn vertex(node: Node<'_>) -> Result<Vertex, Fault> {
    let items = node.short_list(&[2, 3], "2 or 3 numbers, [x, y] or [x, y, bulge]")?;
    let numbers = items.into_iter().map(Node::number).collect::<Result<Vec<_>, _>>()?;
    let value = |index: usize| numbers.get(index).copied().unwrap_or(0.0);
    Ok(Vertex { at: pt(value(0), value(1)), bulge: value(2) })
}

/// Why these vertices make no closed path round an area: the vertex at fault, where it is one, and the reason.
pub(crate) fn check_closed(vertices: &[Vertex]) -> Result<(), (Option<usize>, String)> {
    /// Part of the path's length squared, far below anything that can be scribed.
    const FLAT: f64 = 1e-12;
    let Some(last) = vertices.last().filter(|_| vertices.len() >= 2) else {
        let message = format!("a closed path needs at least two vertices, not {}", vertices.len());
        return Err((None, message));
    };
    let origin = last.at;
    let (mut area, mut length) = (0.0, 0.0);
    for (index, vertex) in vertices.iter().enumerate() {
        let next = vertices[(index + 1) % vertices.len()];
        if next.at == vertex.at {
            return Err(if index + 1 == vertices.len() {
                (Some(index), "repeats the first vertex: leave it out, the path closes by itself".to_owned())
            } else {
                (Some(index + 1), "repeats the vertex before it: leave one of them out".to_owned())
            });
        }
        let chord = vertex.at.distance(next.at);
        area += (vertex.at - origin).cross(next.at - origin) / 2.0 + segment_area(chord, vertex.bulge);
        length += chord;
    }
    if area.abs() <= FLAT * length * length {
        let message = if vertices.len() == 2 && vertices.iter().all(|vertex| vertex.bulge == 0.0) {
            "two vertices without a bulge make a line, not a closed path"
        } else {
            "the path encloses no area: it runs back over itself"
        };
        return Err((None, message.to_owned()));
    }
    Ok(())
}

/// Signed area between a chord and its arc: r^2 (a - sin a) / 2 with a = 4 atan b and r = c (1 + b^2) / 4b.
fn segment_area(chord: f64, bulge: f64) -> f64 {
    if bulge.abs() < 1e-3 {
        // There a - sin a loses its digits; the flat segment's own formula, two thirds of chord times rise.
        return chord * chord * bulge / 3.0;
    }
    let angle = 4.0 * bulge.atan();
    let radius = chord * (1.0 + bulge * bulge) / (4.0 * bulge);
    radius * radius * (angle - angle.sin()) / 2.0
}

fn blank(node: Node<'_>) -> Result<Blank, Fault> {
    let fields = node.object(keys::BLANK)?;
    Ok(Blank {
        edge: edge(fields.need("edge")?)?,
        top: fields.need("top")?.number()?,
        thickness: fields.need("thickness")?.above_zero()?,
        material: fields.maybe("material", Node::text)?,
        at: fields.maybe("at", |node| node.numbers("[x, y, turn]"))?,
    })
}

fn walls(node: Node<'_>) -> Result<Vec<f64>, Fault> {
    node.list(WALLS, "marked walls")?.into_iter().map(Node::not_negative).collect()
}

fn keep_clear(node: Node<'_>) -> Result<Vec<KeepClear>, Fault> {
    let mut areas: Vec<KeepClear> = Vec::new();
    for node in node.list(CLAMP_AREAS, "clamp areas")? {
        let fields = node.object(keys::CLAMP)?;
        let name = fields.need("name")?;
        let area = KeepClear {
            name: name.words()?,
            area: vertices(fields.need("area")?.object(keys::AREA)?.need("vertices")?)?,
            top: fields.need("top")?.number()?,
        };
        if areas.iter().any(|other| other.name == area.name) {
            let message = format!("there is already a clamp area \"{}\"; findings go by its name", area.name);
            return Err(name.fault(message));
        }
        areas.push(area);
    }
    Ok(areas)
}

fn contact(node: Node<'_>) -> Result<ContactLimits, Fault> {
    let fields = node.object(keys::CONTACT)?;
    let limits = ContactLimits {
        light_below: fields.maybe("light_below", Node::not_negative)?,
        heavy_above: fields.maybe("heavy_above", Node::not_negative)?,
    };
    if let (Some(light), Some(heavy), Some(node)) =
        (limits.light_below, limits.heavy_above, fields.get("light_below"))
        && light > heavy
    {
        return Err(node.fault(format!("{light} must not be above heavy_above, {heavy}")));
    }
    Ok(limits)
}

fn machine(node: Node<'_>) -> Result<Machine, Fault> {
    let fields = node.object(keys::MACHINE)?;
    Ok(Machine {
        rapid: fields.maybe("rapid", Node::above_zero)?,
        spindle_max: fields.maybe("spindle_max", Node::above_zero)?,
        power: fields.maybe("power", Node::above_zero)?,
        travel: fields.maybe("travel", travel)?,
    })
}

fn travel(node: Node<'_>) -> Result<Travel, Fault> {
    let fields = node.object(keys::TRAVEL)?;
    let range = |node: Node<'_>| {
        let [low, high] = node.numbers("[lowest, highest]")?;
        if low < high {
            Ok([low, high])
        } else {
            Err(node.fault(format!("the lowest, {low}, must be below the highest, {high}")))
        }
    };
    Ok(Travel { x: fields.maybe("x", range)?, y: fields.maybe("y", range)?, z: fields.maybe("z", range)? })
}

/// The list of tools of a job or a crib; no number twice.
pub(super) fn tools(node: Node<'_>) -> Result<Vec<Tool>, Fault> {
    let mut tools: Vec<Tool> = Vec::new();
    for node in node.list(TOOLS, "tools")? {
        let tool = tool(node)?;
        if tools.iter().any(|other| other.number == tool.number) {
            let number = node.fields()?.need("number")?;
            return Err(number.fault(format!("there is already a tool {}", tool.number)));
        }
        tools.push(tool);
    }
    Ok(tools)
}

fn tool(node: Node<'_>) -> Result<Tool, Fault> {
    let fields = node.object(keys::TOOL)?;
    Ok(Tool {
        number: fields.need("number")?.whole(1)?,
        name: fields.maybe("name", Node::text)?,
        form: form(fields.need("form")?)?,
        flutes: fields.maybe("flutes", |node| node.whole(1))?,
        flute_length: fields.maybe("flute_length", Node::above_zero)?,
        shank_diameter: fields.maybe("shank_diameter", Node::above_zero)?,
        stickout: fields.maybe("stickout", Node::above_zero)?,
        holder_diameter: fields.maybe("holder_diameter", Node::above_zero)?,
    })
}

fn form(node: Node<'_>) -> Result<Form, Fault> {
    let fields = node.fields()?;
    let kind = fields.of_kind("kind", keys::FORMS)?;
    let number = |key| fields.need(key)?.number();
    let form = match kind {
        "flat" => Form::Flat { diameter: number("diameter")? },
        "ball" => Form::Ball { diameter: number("diameter")? },
        "bull" => Form::Bull { diameter: number("diameter")?, corner_radius: number("corner_radius")? },
        "undercut" => Form::Undercut {
            diameter: number("diameter")?,
            angle: number("angle")?,
            height: number("height")?,
        },
        "edge_round" => Form::EdgeRound {
            pilot_diameter: number("pilot_diameter")?,
            radius: number("radius")?,
            pilot_length: fields.maybe("pilot_length", Node::number)?.unwrap_or(0.0),
        },
        "chamfer" => Form::Chamfer {
            tip_diameter: number("tip_diameter")?,
            angle: number("angle")?,
            height: number("height")?,
        },
        "drill" => Form::Drill { diameter: number("diameter")?, point_angle: number("point_angle")? },
        // `of_kind` has let nothing else through.
        _ => Form::Silhouette {
            points: fields
                .need("points")?
                .list(SILHOUETTE_POINTS, "points [radius, height]")?
                .into_iter()
                .map(|point| point.numbers("[radius, height]"))
                .collect::<Result<_, _>>()?,
        },
    };
    form.check().map_err(|(key, why)| fields.get(key).unwrap_or(node).fault(why))?;
    Ok(form)
}

fn passes(node: Node<'_>, tools: Option<&[Tool]>) -> Result<Vec<Pass>, Fault> {
    let mut passes: Vec<Pass> = Vec::new();
    for node in node.list(PASSES, "passes")? {
        let pass = pass(node, tools)?;
        if passes.iter().any(|other| other.name == pass.name) {
            let name = node.fields()?.need("name")?;
            return Err(
                name.fault(format!("there is already a pass \"{}\"; findings go by its name", pass.name))
            );
        }
        passes.push(pass);
    }
    Ok(passes)
}

fn pass(node: Node<'_>, tools: Option<&[Tool]>) -> Result<Pass, Fault> {
    let fields = node.object(keys::PASS)?;
    let number = fields.need("tool")?;
    let tool = number.whole(1)?;
    if let Some(tools) = tools
        && tools.iter().all(|other| other.number != tool)
    {
        let known: Vec<String> = tools.iter().map(|tool| tool.number.to_string()).take(20).collect();
        let known = if known.is_empty() { "none".to_owned() } else { known.join(", ") };
        return Err(number.fault(format!("there is no tool {tool} in \"tools\"; those given: {known}")));
    }
    Ok(Pass {
        name: fields.need("name")?.words()?,
        program: fields.need("program")?.words()?,
        tool,
        does: fields.maybe("does", |node| node.choice(&Does::ALL))?,
        allowance: fields.maybe("allowance", Node::number)?,
        bottom: fields.maybe("bottom", Node::number)?,
        zero: Zero {
            origin: fields.maybe("zero", |node| node.numbers("[x, y, z]"))?.unwrap_or_default(),
            turn: fields.maybe("turn", Node::number)?.unwrap_or(0.0),
        },
        measured: fields.maybe("measured", measured::read)?.unwrap_or_default(),
    })
}
