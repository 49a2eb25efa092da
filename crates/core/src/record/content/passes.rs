//! The passes: one row each in a table, then each with its graph, its figures and its findings.

use super::findings::of_pass;
use super::say::{Say, name};
use super::way;
use super::{Figure, Part, Section, Table, WIDTH, number, words};
use crate::measure::Contact;
use crate::proof::{PassProof, Proof};
use crate::record::Record;
use crate::tolerance::Tolerances;
use crate::units::{Units, clock};
use crate::view::{Along, StripState, Theme, bench_pass, strip};

/// Points of paper for a view point of a graph: its letters are then as large as those of a table.
const SCALE: f32 = 0.72;
/// Height of a graph in view points: two passes go on a sheet.
const HIGH: f32 = 120.0;
/// Size of the path from above, and the gap between it and the graph.
const PLAN: [f32; 2] = [164.0, 87.0];
const BESIDE: f32 = 9.0;
const PLAN_SHOWS: &str = "From above: ring, feed begins; square, feed ends; dashes, rapids.";

pub(super) fn section(record: &Record<'_>) -> Section {
    let say = Say::of(record);
    let mut parts = vec![Part::Words(limits(&say, record.proof)), Part::Table(summary(record))];
    for index in 0..record.proof.passes.len() {
        parts.extend(pass(record, index));
    }
    Section::new("Passes", parts)
}

fn summary(record: &Record<'_>) -> Table {
    let say = Say::of(record);
    let mut table = Table::new(vec![
        number("", 0.5),
        words("Pass", 5.0),
        words("Kind", 2.2),
        number("Lowest Z, program", 1.5),
        number("Lowest Z, block", 1.5),
        number("Stock left", 2.6),
        number("Stock taken", 2.6),
        number("No contact", 1.5),
        number("Time", 1.4),
    ]);
    let passes = record.proof.job.passes.iter().zip(&record.proof.passes);
    for (index, (pass, done)) in passes.enumerate() {
        let along = done.along_outline.as_deref();
        let dash = || "-".to_owned();
        table.rows.push(vec![
            (index + 1).to_string(),
            name(&pass.name),
            done.purpose.as_ref().map_or_else(dash, ToString::to_string),
            say.or_dash(done.lowest),
            say.or_dash(done.lowest.map(|lowest| lowest + pass.zero.origin[2])),
            along.map_or_else(dash, |along| say.range(&along.leave)),
            along.map_or_else(dash, |along| say.range(&along.cut)),
            done.contact_length(Contact::None).map_or_else(dash, |length| say.plain(length)),
            done.seconds.map_or_else(dash, clock),
        ]);
    }
    table
}

fn pass(record: &Record<'_>, index: usize) -> Vec<Part> {
    let (proof, say) = (record.proof, Say::of(record));
    let Some(done) = proof.passes.get(index) else { return Vec::new() };
    let mut parts = vec![Part::Heading(say.pass(index)), Part::Facts(facts(record, index, done))];
    let plan = bench_pass(proof, index, PLAN, &Theme::print());
    let plan = plan.map(|drawing| Figure { drawing, scale: 1.0, caption: PLAN_SHOWS.to_owned() });
    let wide = WIDTH - plan.as_ref().map_or(0.0, |_| PLAN[0] + BESIDE);
    parts.push(Part::Figures(plan.into_iter().chain([graph(proof, index, done, wide)]).collect()));
    parts.extend(of_pass(record, index));
    parts
}

fn facts(record: &Record<'_>, index: usize, done: &PassProof) -> Vec<(String, String)> {
    let (job, say) = (&record.proof.job, Say::of(record));
    let mut facts = Vec::new();
    let mut fact = |what: &str, is: String| facts.push((what.to_owned(), is));
    let Some(stated) = job.passes.get(index) else { return facts };
    let tool = job.tool(stated.tool).map_or_else(|| "not in the job".to_owned(), |tool| name(&tool.title()));
    fact("Tool", format!("{}: {tool}", stated.tool));
    let out = job.tool(stated.tool).and_then(|tool| tool.stickout);
    fact("Stickout", out.map_or_else(|| "not given".to_owned(), |out| say.fine(out)));
    facts.extend(way::facts(record, index, done));
    let mut fact = |what: &str, is: String| facts.push((what.to_owned(), is));
    if let Some(allowance) = stated.allowance {
        let within = Tolerances::for_units(say.units).allowance;
        fact("Meant to leave", format!("{} ± {}", say.fine(allowance), say.fine(within)));
    }
    if let Some(along) = done.along_outline.as_deref() {
        let leave = &along.leave;
        fact("Stock left", format!("{}, least at station {}", say.range(leave), say.plain(leave.least_at)));
        let height = along.cut_z[1].map_or_else(String::new, |z| format!(", Z {}", say.plain(z)));
        let most = format!("most at station {}{height}", say.plain(along.cut.most_at));
        fact("Stock taken", format!("{}, {most}", say.range(&along.cut)));
        if let Some(limits) = say.contact_limits() {
            fact("Stock taken limits", limits);
        }
        fact("Contact", contact(&say, done));
    }
    if let Some((most, at)) = record.proof.past_outline(index) {
        fact("Cuts inside the line", format!("{} at station {}", say.fine(most), say.plain(at)));
    }
    let within = Tolerances::for_units(say.units).depth;
    let bottom = stated
        .bottom
        .map_or_else(String::new, |bottom| format!(", meant {} ± {}", say.fine(bottom), say.fine(within)));
    fact("Lowest program Z", format!("{}{bottom}", say.or_dash(done.lowest)));
    let block = done.lowest.map(|lowest| lowest + stated.zero.origin[2]);
    fact("Lowest block Z", format!("{}, Z0 at {}", say.or_dash(block), say.fine(stated.zero.origin[2])));
    if let Some(under) = record.proof.under_block(index) {
        let bed =
            under.above_bed.map_or_else(String::new, |above| format!(", {} over the bed", say.fine(above)));
        fact("Tip below the block", format!("{}{bed}", say.fine(under.below)));
        let least = Tolerances::for_units(say.units).under_block;
        if let Some(reach) = under.reach.filter(|reach| !under.through && *reach >= least) {
            fact("Reaches under it by", say.fine(reach));
        }
    }
    if let Some(wall) = done.wall.as_deref() {
        if let Some(line) = &wall.undercut_line {
            fact("Top of undercut, Z", say.range(line));
        }
        if let Some(land) = &wall.land {
            let wanted = job.land.map_or_else(String::new, |land| format!(", wanted {}", say.fine(land)));
            fact("Land", format!("{}{wanted}", say.range(land)));
        }
    }
    if let Some(removal) = &done.removal {
        let unit = match say.units {
            Units::Inch => "in³",
            Units::Mm => "mm³",
        };
        fact("Metal removed", format!("{:.3} {unit}", removal.volume()));
    }
    let (feed, rapid) = (done.track.feed_length(), done.track.rapid_length());
    fact("Distance", format!("feed {}, rapid {}", say.plain(feed), say.plain(rapid)));
    fact("Time", done.seconds.map_or_else(|| "not known".to_owned(), clock));
    facts
}

/// What the limits that stand beside figures are.
fn limits(say: &Say<'_>, proof: &Proof) -> String {
    let Tolerances { allowance, depth, .. } = Tolerances::for_units(say.units);
    let suggested = |done: &PassProof| done.purpose.as_ref().is_some_and(|purpose| purpose.why.is_some());
    let suggested = if proof.passes.iter().any(suggested) {
        " \"Suggested\" is what a pass does by its tool, path and name; the job does not say it."
    } else {
        ""
    };
    format!(
        "Program Z is what the readout shows, block Z is that of the job. The check makes a finding of stock left that is off by \
         more than {}, depth by more than {}{}. A drawing's own tolerances come first.{suggested}",
        say.fine(allowance),
        say.fine(depth),
        say.contact_limits().map_or_else(String::new, |limits| format!(", a cut {limits}"))
    )
}

/// How much of the outline is in each state.
fn contact(say: &Say<'_>, done: &PassProof) -> String {
    let states = [Contact::Full, Contact::Light, Contact::None, Contact::Heavy, Contact::Approach];
    let length = |state: Contact| done.contact_length(state).filter(|length| *length > 0.0);
    let part = |state: Contact| Some(format!("{} {}", state.word(), say.plain(length(state)?)));
    let parts: Vec<String> = states.into_iter().filter_map(part).collect();
    parts.join(", ")
}

/// The stock taken along the outline; along the path for a pass that was not measured there.
fn graph(proof: &Proof, pass: usize, done: &PassProof, wide: f32) -> Figure {
    let along = if done.along_outline.is_some() { Along::Outline } else { Along::Path };
    let state = StripState { pass, along };
    let (drawing, _) = strip(proof, &state, wide / SCALE, HIGH, &Theme::print());
    let (by, hatched) = match along {
        Along::Outline => ("by station along the outline", "hatched where there is no contact"),
        Along::Path => ("along the path with its rapids", "hatched where there is no contact"),
    };
    let caption =
        format!("Stock taken, square to the line, {by}, in {}; {hatched}.", proof.job.units.plural());
    Figure { drawing, scale: SCALE, caption }
}
