//! What stands on the table where a program runs, and how high its air pass must go for it.

use super::{AirOptions, ROUNDING};
use crate::geometry::{Span, apart_from_area};
use crate::job::{Job, KeepClear, Pass};
use crate::measure::keep_clear;
use crate::program::{Curve, Known, Motion, Program, Zero};
use crate::rewrite::Refusal;
use crate::tolerance::Tolerances;
use crate::tool::Tool;
use crate::track::{Track, plan_span};
use crate::units::Units;

/// A pass of a job that runs the program: from where, with what, and what stands there. In block coordinates.
#[derive(Debug, Clone, PartialEq)]
pub struct Standing {
    /// Where the program's origin lies.
    pub zero: Zero,
    /// The tool that runs it.
    pub tool: Tool,
    /// Z of the highest of the blank and what is under it; `None` when the job states no blank.
    pub block: Option<f64>,
    /// Clamps, screws and stops.
    pub areas: Vec<KeepClear>,
}

impl Standing {
    /// What a job says of one of its passes; `None` when it has not the pass's tool.
    pub fn of(job: &Job, pass: &Pass) -> Option<Self> {
        let bed = job.bed_top.unwrap_or(f64::NEG_INFINITY);
        let block = job.blank.as_ref().map(|blank| blank.top.max(bed));
        Some(Self {
            zero: pass.zero,
            tool: job.tool(pass.tool)?.clone(),
            block,
            areas: job.keep_clear.clone(),
        })
    }

    /// The tool at its widest: cutter, shank and holder, as far as they are known.
    fn widest(&self) -> f64 {
        let others = [self.tool.shank_diameter, self.tool.holder_diameter];
        let radii = others.into_iter().flatten().map(|diameter| diameter / 2.0);
        radii.fold(self.tool.form.profile().widest(), f64::max)
    }
}

/// What an air pass must stay above.
#[derive(Debug, Clone, PartialEq)]
pub struct Over {
    /// Its name: the block, a clamp.
    pub what: String,
    /// Its top, in program coordinates.
    pub top: f64,
    /// Clamps that the tool does not come to on its way, by name.
    pub out_of_reach: Vec<String>,
}

/// The highest of what stands where the program runs. `stated` is the line from which on it has stated X and Y.
pub(super) fn highest(
    options: &AirOptions,
    program: &Program,
    stated: u32,
    units: Units,
) -> Result<Over, Refusal> {
    let mut over = options.top.map(|top| ("the height given as top".to_owned(), top));
    let mut raise = |what: &str, top: f64| {
        if over.as_ref().is_none_or(|(_, highest)| top > *highest) {
            over = Some((what.to_owned(), top));
        }
    };
    let (mut near, mut far) = (Vec::new(), Vec::new());
    for standing in &options.standing {
        let zero = standing.zero.origin[2];
        match standing.block {
            Some(top) => raise("the block", top - zero),
            None if options.top.is_some() => {}
            None => {
                return Err(Refusal::new(
                    "The job states no blank, so how high the block stands is not known. State the blank in the job, \
                     or give the Z of its top as well.",
                ));
            }
        }
        let way = Way::of(program, stated, standing, units);
        for area in &standing.areas {
            if way.comes_to(area) {
                raise(&area.name, area.top - zero);
                near.push(area.name.clone());
            } else {
                far.push(area.name.clone());
            }
        }
    }
    let (what, top) = over.ok_or_else(|| {
        Refusal::new(
            "Give the Z of the top of what the air pass must stay above, or the job that the program is of.",
        )
    })?;
    far.retain(|name| !near.contains(name));
    far.dedup();
    Ok(Over { what, top, out_of_reach: far })
}

/// The way of a tool in plan, as wide as the tool.
struct Way {
    /// `None` when the program never states X and Y both: then it may be anywhere.
    spans: Option<Vec<Span>>,
    radius: f64,
}

impl Way {
    /// Where the tool stands before the program has stated X and Y is nobody's knowledge: it counts from where it is
    /// sent. Rapids at an unknown height count, since the operator sets that height by what this pass needs.
    fn of(program: &Program, stated: u32, standing: &Standing, units: Units) -> Self {
        let counted = |motion: &Motion| {
            if motion.start_known.is_place() || motion.line > stated || motion.curve != Curve::Straight {
                Some(Motion { start_known: Known::ALL, ..*motion })
            } else {
                let arrives = motion.line == stated;
                arrives.then_some(Motion { start: motion.end, start_known: Known::ALL, ..*motion })
            }
        };
        let motions: Vec<Motion> = program.motions.iter().filter_map(counted).collect();
        let tolerances = Tolerances::for_units(units);
        let track = Track::new(&motions, &standing.zero, None, tolerances.follow);
        let spans = || track.placed().iter().map(|placed| plan_span(&placed.motion)).collect();
        // Out of plan, arcs are followed by chords within the tolerance, which counts as reach.
        Self { spans: (stated != u32::MAX).then(spans), radius: standing.widest() + tolerances.follow }
    }

    /// Whether the tool comes to an area, be it only to its border.
    fn comes_to(&self, area: &KeepClear) -> bool {
        let Some(path) = area.path() else { return true };
        let bounds = path.bounds().grown(self.radius);
        let Some(spans) = &self.spans else { return true };
        let near = spans.iter().filter(|span| span.bounds().meets(&bounds));
        near.map(|span| apart_from_area(span, &path).0).any(|distance| distance <= self.radius)
    }
}

/// Holds the program that was written against everything kept clear, as a check of a job does.
pub(super) fn stays_clear(options: &AirOptions, after: &Program, units: Units) -> Result<(), Refusal> {
    let tolerances = Tolerances::for_units(units);
    for standing in &options.standing {
        let above = standing.areas.iter().map(|area| area.top).reduce(f64::max);
        let track = Track::of_program(after, &standing.zero, None, tolerances.follow, above);
        let touched = standing.areas.iter().find_map(|area| {
            let entry = keep_clear::touched(&track, &standing.tool, area, tolerances.sliver)?;
            Some((area, entry))
        });
        if let Some((area, (line, by))) = touched {
            return Err(Refusal::new(format!(
                "Read back, the lifted program comes {} into clamp area {} on its line {line}, so it was not \
                 written. Give a greater height above the top.",
                units.fine_with_unit(by.max(ROUNDING)),
                area.name
            )));
        }
    }
    Ok(())
}
