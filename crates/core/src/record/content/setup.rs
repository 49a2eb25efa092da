//! How the work is set on the machine: whether it is cut as it lies, where the work zeros are, what holds it and what it
//! stands on.

use super::metal::amount;
use super::say::{Say, name};
use super::words::Asked;
use super::{Figure, Part, Section, Table, WIDTH, number, words};
use crate::fit::{Fitting, instruction};
use crate::geometry::{Point3, pt3};
use crate::job::{Does, KeepClear};
use crate::program::Zero;
use crate::proof::PassProof;
use crate::record::Record;
use crate::tolerance::Tolerances;
use crate::units::fixed;
use crate::view::{CornerCut, Theme, bench, corner_cuts};

/// Height of the block as it lies, on paper.
const HIGH: f32 = 250.0;

/// Before any program meets metal (common practice, no source).
const FIRST: &str = "Each program is first walked around above the work, with a hand on feed hold and the rapids \
                     turned down. Chips are cleared and the spindle is stopped before anything is measured or touched.";

pub(super) fn section(record: &Record<'_>) -> Section {
    let mut parts = vec![Part::Instruction(position(record)), Part::Words(FIRST.to_owned())];
    parts.extend(lies(record));
    parts.extend(corners(record));
    parts.push(Part::Heading("Work zero".to_owned()));
    parts.extend(zeros(record));
    parts.push(Part::Heading("Holding, and what the block stands on".to_owned()));
    parts.extend(holding(record));
    Section::new("Setting up", parts)
}

/// The block as it lies, at scale.
fn lies(record: &Record<'_>) -> Option<Part> {
    let (drawing, left) = bench(record.proof, [WIDTH, HIGH], &Theme::print())?;
    let inside = |done: &PassProof| done.purpose.as_ref().is_some_and(|purpose| purpose.does == Does::Inside);
    let inside =
        if record.proof.passes.iter().any(inside) { " Darker is what passes cut into the top." } else { "" };
    let caption = format!(
        "From above, at scale: the blank as sawn (gray) and the outline (heavy line). The sizes are those of the outline, and how \
         far the sawn edge lies outside its ends{}.{inside}{}",
        if record.proof.edge.as_deref().is_some_and(|edge| !corner_cuts(edge).is_empty()) {
            ", and of sawn off corners"
        } else {
            ""
        },
        corners_left(&Say::of(record), &left)
    );
    Some(Part::Figures(vec![Figure { drawing, scale: 1.0, caption }]))
}

/// Where the sawn corners are on the readout, as many as can be gone to one by one.
fn corners(record: &Record<'_>) -> Vec<Part> {
    const MOST: usize = 12;
    let (proof, say) = (record.proof, Say::of(record));
    let edge = proof.edge.as_deref().filter(|edge| (3..=MOST).contains(&edge.spans().len()));
    let (Some(edge), Some(pass)) = (edge, proof.job.passes.first()) else { return Vec::new() };
    let corners: Vec<Point3> =
        edge.vertices().iter().map(|at| pass.zero.of_program(pt3(at.x, at.y, 0.0))).collect();
    let from_zero = |index: &usize| corners[*index].x.hypot(corners[*index].y);
    let first = (0..corners.len()).min_by(|a, b| from_zero(a).total_cmp(&from_zero(b))).unwrap_or(0);
    let mut table =
        Table::new(vec![number("Sawn corner", 1.0), number("Readout X", 1.6), number("Readout Y", 1.6)]);
    for step in 0..corners.len() {
        let at = corners[(first + step) % corners.len()];
        table.rows.push(vec![(step + 1).to_string(), say.plain(at.x), say.plain(at.y)]);
    }
    let turns_left = edge.place_on(0, 0.0).outward.cross(edge.spans()[0].tangent(0.0)) > 0.0;
    let way = if turns_left { "counter-clockwise" } else { "clockwise" };
    let words = format!(
        "The sawn corners on the readout, with the work zero of pass 1: from the one nearest to it {way} as seen from above. \
         Sides that slope have their size in the drawing at the farther corner."
    );
    vec![Part::Heading("Sawn corners".to_owned()), Part::Words(words), Part::Table(table)]
}

/// The sawn off corners that have no sizes in the drawing, in words.
fn corners_left(say: &Say<'_>, left: &[CornerCut]) -> String {
    let one = |cut: &CornerCut| {
        let [[x0, y0], [x1, y1]] = cut.ends.map(|end| [say.plain(end.x), say.plain(end.y)]);
        let [x, y] = cut.legs().map(|leg| say.plain(leg));
        format!(" Corner sawn off from X {x0}, Y {y0} to X {x1}, Y {y1}: {x} along X, {y} along Y.")
    };
    left.iter().map(one).collect()
}

/// Whether it is cut as it lies, and what is done first where it is not: one instruction.
fn position(record: &Record<'_>) -> String {
    const AFTER: &str = "The line that is scribed does not hold there: remove it, and scribe the outline again from \
                         the new work zero. Put the new position into the job, check it again and print this record again: \
                         the pages here are those of the job as it lies now.";
    let (proof, say) = (record.proof, Say::of(record));
    let Some(fitting) = proof.fit.as_deref() else {
        return "Set the work zero as below. All pages show the job as it lies.".to_owned();
    };
    let Fitting { fit, after, .. } = fitting;
    let (present, best) = (say.fine(fit.present), say.fine(fit.least_margin));
    let short = fit.present < 0.0 && !fitting.before.is_empty();
    match (short, fit.gains(say.units)) {
        (true, true) => {
            let (by, how) = (say.fine(-fit.present), instruction(&proof.job, fit, proof.told));
            if after.is_empty() {
                format!(
                    "Do not cut it as it lies: the blank is short by up to {by}. First {how}. It then cleans up all \
                     around, with a least margin of {best}. {AFTER}"
                )
            } else {
                format!(
                    "Do not cut it as it lies: the blank is short by up to {by}, and metal has to be added in any position. \
                     Decide first: leave it as it lies and add {}; or {how}, and add {}. Both are drawn under \"Metal to \
                     add\". In another position the line that is scribed does not hold: scribe the outline again from \
                     the new work zero. Put the new edge, and the new position if there is one, into the job, check it \
                     again and print this record again: the pages here are those of the job as it lies now.",
                    amount(&say, &fitting.before),
                    amount(&say, after)
                )
            }
        }
        (true, false) => format!(
            "Do not cut it as it lies: the blank is short by up to {}, and no other position is better. Metal has to be \
             added first: see \"Metal to add\". All pages show the job as it lies.",
            say.fine(-fit.present)
        ),
        (false, true) => format!(
            "Set the work zero as below and leave the blank as it lies: the least margin is {present}, and all pages show \
             it so. Only if you want more stock all around, {}; the least margin is then {best}. {AFTER}",
            instruction(&proof.job, fit, proof.told)
        ),
        (false, false) => format!(
            "Set the work zero as below and leave the blank as it lies: its least margin is {present}, and no other \
             position has more. All pages show it so."
        ),
    }
}

/// The work zeros, each with its passes, the word that calls it, and where it is found on the block.
fn zeros(record: &Record<'_>) -> Vec<Part> {
    let (proof, say) = (record.proof, Say::of(record));
    let mut table = Table::new(vec![
        words("Passes", 1.7),
        words("Offset called", 2.2),
        number("X0 at block X", 1.5),
        number("Y0 at block Y", 1.5),
        number("Z0 at block Z", 1.5),
        words("How it is found", 6.0),
    ]);
    for Start { passes, zero, offset } in starts(record) {
        let [x, y, z] = zero.origin.map(|value| say.fine(value));
        let list: Vec<String> = passes.iter().map(|index| (index + 1).to_string()).collect();
        let found = [in_plan(record, &zero), Some(height(record, &passes, zero.origin[2]))];
        let found: Vec<String> = found.into_iter().flatten().collect();
        table.rows.push(vec![list.join(", "), offset, x, y, z, found.join(" ")]);
    }
    if table.rows.is_empty() {
        return vec![Part::Words("The job has no passes, so no work zero either.".to_owned())];
    }
    let note = format!(
        "Block X, Y and Z are those of the job, in which the outline lies as under \"Job\" and the sawn top at Z {}. Program X, \
         Y and Z are what the readout shows. X0 Y0 is marked in the plan.",
        proof.job.blank.as_ref().map_or_else(|| "-".to_owned(), |blank| say.fine(blank.top))
    );
    let mut parts = vec![Part::Table(table), Part::Words(note)];
    parts.extend(touch_off_again(record).map(Part::Instruction));
    parts.extend(no_length(record).map(Part::Instruction));
    parts
}

/// Before which passes the same word stands for another zero than before.
fn touch_off_again(record: &Record<'_>) -> Option<String> {
    let passes = &record.proof.job.passes;
    let words: Vec<String> =
        record.proof.passes.iter().map(|done| Asked::of(&done.program).offset()).collect();
    let before = |index: usize| {
        let before = (0..index).rev().find(|before| words.get(*before) == words.get(index))?;
        Some(&passes[before].zero)
    };
    let moves = |index: &usize| before(*index).is_some_and(|before| *before != passes[*index].zero);
    let all: Vec<usize> = (0..passes.len().min(words.len())).filter(moves).collect();
    let again: Vec<String> = all.iter().map(|index| format!("pass {}", index + 1)).collect();
    let word = words.get(*all.first()?)?;
    let level = |zero: &Zero| ([zero.origin[0], zero.origin[1]], zero.turn);
    let in_plan =
        |index: &usize| before(*index).is_some_and(|before| level(before) != level(&passes[*index].zero));
    if !all.iter().any(in_plan) {
        return Some(format!(
            "Touch off Z0 again before {}, and leave X0 and Y0 as they are: {word} stands for another height there than before. \
             Run with the old one, the cutter goes to the wrong depth.",
            again.join(", ")
        ));
    }
    Some(format!(
        "Touch off again before {}: {word} stands for another zero there than before. Run with the old one, the cutter goes to \
         the wrong place.",
        again.join(", ")
    ))
}

/// Passes that call no tool length, where tools are changed: what that means for Z0.
fn no_length(record: &Record<'_>) -> Option<String> {
    let passes = record.proof.job.passes.iter().zip(&record.proof.passes).enumerate();
    let none = passes.filter(|(_, (_, done))| !Asked::of(&done.program).has_length());
    let all: Vec<(usize, u32)> = none.map(|(index, (pass, _))| (index + 1, pass.tool)).collect();
    let (_, first) = all.first()?;
    if record.proof.job.passes.iter().all(|pass| pass.tool == *first) {
        return None;
    }
    let list: Vec<String> = all.iter().map(|(number, _)| number.to_string()).collect();
    let (word, call) = if all.len() == 1 { ("Pass", "calls") } else { ("Passes", "call") };
    Some(format!(
        "{word} {} {call} no tool length: touch off Z0 with the tool itself, each time another tool goes in.",
        list.join(", ")
    ))
}

/// Passes that start from one zero and call it by one word.
struct Start {
    passes: Vec<usize>,
    zero: Zero,
    offset: String,
}

fn starts(record: &Record<'_>) -> Vec<Start> {
    let mut found: Vec<Start> = Vec::new();
    for (index, (pass, done)) in record.proof.job.passes.iter().zip(&record.proof.passes).enumerate() {
        let offset = Asked::of(&done.program).offset();
        match found.iter_mut().find(|start| start.zero == pass.zero && start.offset == offset) {
            Some(start) => start.passes.push(index),
            None => found.push(Start { passes: vec![index], zero: pass.zero, offset }),
        }
    }
    found
}

/// Where X0 Y0 lies against the outline; `None` without one.
fn in_plan(record: &Record<'_>, zero: &Zero) -> Option<String> {
    let say = Say::of(record);
    let low = record.proof.outline.as_deref()?.bounds().low;
    let [x, y, _] = zero.origin;
    let off = |by: f64, more: &str, less: &str| match say.plain(by.abs()) {
        text if text == say.plain(0.0) => None,
        text => Some(format!("{text} {}", if by > 0.0 { more } else { less })),
    };
    let left = off(x - low.x, "to the right of", "to the left of");
    let front = off(y - low.y, "behind", "in front of");
    let [left, front] = [left, front].map(|side| side.unwrap_or_else(|| "at".to_owned()));
    let turn = if zero.turn == 0.0 {
        String::new()
    } else {
        format!(" Its axes are rotated {}° counter-clockwise.", fixed(zero.turn, 3))
    };
    Some(format!("X0 {left} the left end of the outline, Y0 {front} its front end.{turn}"))
}

/// What Z0 is.
fn height(record: &Record<'_>, passes: &[usize], z: f64) -> String {
    let (proof, say) = (record.proof, Say::of(record));
    let Some(blank) = &proof.job.blank else { return format!("Z0 at Z {} of the block.", say.fine(z)) };
    let same = |a: f64, b: f64| say.fine(a) == say.fine(b);
    if same(z, blank.top) {
        return "Z0 on the sawn top.".to_owned();
    }
    if same(z, blank.bottom()) {
        return "Z0 on the bottom face.".to_owned();
    }
    let first = passes.first().copied().unwrap_or(0);
    let faced = (0..first).rev().find(|index| is_faced_to(record, *index, z));
    let below = say.fine((blank.top - z).abs());
    let way = if z < blank.top { "below" } else { "above" };
    match faced {
        Some(pass) => format!("Z0 on the top that pass {} leaves, {below} below the sawn top.", pass + 1),
        None => format!("Z0 {below} {way} the sawn top."),
    }
}

/// Whether a pass faces the block down to this height.
fn is_faced_to(record: &Record<'_>, pass: usize, z: f64) -> bool {
    let say = Say::of(record);
    let Some(done) = record.proof.passes.get(pass) else { return false };
    let faces = done.purpose.as_ref().is_some_and(|purpose| purpose.does == Does::Face);
    faces && done.track.lowest().is_some_and(|lowest| say.fine(lowest) == say.fine(z))
}

/// Clamps, spacer and bed, and what comes out below the block.
fn holding(record: &Record<'_>) -> Vec<Part> {
    let (job, say) = (&record.proof.job, Say::of(record));
    let mut parts = Vec::new();
    if job.keep_clear.is_empty() {
        parts.push(Part::Instruction(
            "The job names no clamps, screws or stops, so none were checked: keep them clear of every path, and below the \
             height at which each pass crosses."
                .to_owned(),
        ));
    } else {
        parts.push(Part::Table(clamps(record, &job.keep_clear)));
        parts.push(Part::Words("Hold it only at these places: nothing else was checked.".to_owned()));
    }
    let stands = match (job.bed_top, &job.blank) {
        (Some(bed), Some(blank)) => format!(
            "Bottom face at block Z {}, bed at block Z {}: the gap between them is {}.",
            say.fine(blank.bottom()),
            say.fine(bed),
            say.fine(blank.bottom() - bed)
        ),
        (None, Some(blank)) => format!(
            "Bottom face at block Z {}. The job gives no bed: how near a tip comes to it is not checked.",
            say.fine(blank.bottom())
        ),
        _ => "The job gives no blank: what comes out below it is not checked.".to_owned(),
    };
    parts.push(Part::Words(stands));
    parts.extend(under(record));
    parts
}

fn clamps(record: &Record<'_>, areas: &[KeepClear]) -> Table {
    let say = Say::of(record);
    let mut table = Table::new(vec![
        words("Clamp area", 4.0),
        number("Block X", 2.6),
        number("Block Y", 2.6),
        number("Top, block Z", 1.6),
        words("Nearest tool", 4.0),
    ]);
    for area in areas {
        let bounds = area.path().map(|path| path.bounds());
        let range = |ends: Option<(f64, f64)>| {
            ends.map_or_else(
                || "-".to_owned(),
                |(low, high)| format!("{} to {}", say.plain(low), say.plain(high)),
            )
        };
        let near = record.proof.nearest_to(area).map_or_else(
            || "no pass is lower than its top".to_owned(),
            |near| match near.room {
                room if room < 0.0 => format!("pass {} comes {} into it", near.pass + 1, say.fine(-room)),
                room => format!("pass {}, {} away", near.pass + 1, say.fine(room)),
            },
        );
        table.rows.push(vec![
            name(&area.name),
            range(bounds.map(|bounds| (bounds.low.x, bounds.high.x))),
            range(bounds.map(|bounds| (bounds.low.y, bounds.high.y))),
            say.fine(area.top),
            near,
        ]);
    }
    table
}

/// The passes whose tip comes out below the block, with how near it comes to what is there.
fn under(record: &Record<'_>) -> Vec<Part> {
    let (proof, say) = (record.proof, Say::of(record));
    let mut table = Table::new(vec![
        number("", 0.5),
        words("Pass", 5.0),
        number("Lowest tip, block Z", 1.7),
        number("Below the bottom face", 1.9),
        number("Above the bed", 1.6),
        number("Reaches under it by", 1.7),
    ]);
    let (mut deepest, least) = (0.0_f64, Tolerances::for_units(say.units).under_block);
    for (index, pass) in proof.job.passes.iter().enumerate() {
        let Some(under) = proof.under_block(index) else { continue };
        let reach = match under.reach {
            Some(_) if under.through => "comes out below".to_owned(),
            Some(reach) if reach >= least => {
                deepest = deepest.max(reach);
                say.fine(reach)
            }
            _ => "-".to_owned(),
        };
        table.rows.push(vec![
            (index + 1).to_string(),
            name(&pass.name),
            say.fine(under.tip),
            say.fine(under.below),
            say.or_dash(under.above_bed),
            reach,
        ]);
    }
    if table.rows.is_empty() {
        return Vec::new();
    }
    let mut parts = vec![Part::Table(table)];
    if deepest > 0.0 {
        parts.push(Part::Instruction(format!(
            "The spacer under the block must end more than {} inside the outline all around: a cutter comes in under \
             the block so far.",
            say.fine(deepest)
        )));
    }
    parts
}
