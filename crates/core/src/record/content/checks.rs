//! The operator's check list.

use super::say::{Say, name};
use super::{Part, Section, Table, number, words, write_in};
use crate::proof::{Verdict, to_look_at};
use crate::record::Record;

pub(super) fn section(record: &Record<'_>) -> Section {
    let (proof, say) = (record.proof, Say::of(record));
    let mut checks = Vec::new();
    let mut check = |words: String| checks.push(words);
    if to_look_at(proof) > 0 {
        check("Findings: every Stop and Check above has been looked at and decided.".to_owned());
    }
    check("Programs in the control: the ones listed above, by name, number and size.".to_owned());
    check("Blank: material, thickness and sawn edge are as stated; the outline is scribed on it.".to_owned());
    check("Position: the blank is set as under \"Setting up\", square to the axes and held down.".to_owned());
    if proof.job.keep_clear.is_empty() {
        check(
            "Clamps, screws and stops: clear of every path. The job names none, so none were checked."
                .to_owned(),
        );
    } else {
        let all: Vec<String> = proof
            .job
            .keep_clear
            .iter()
            .map(|area| format!("{} (top Z {})", name(&area.name), say.plain(area.top)))
            .collect();
        check(format!("Clamps, screws and stops: only at {}.", all.join(", ")));
    }
    if let (Some(bed), Some(lowest)) = (proof.job.bed_top, lowest(record)) {
        check(format!(
            "Bed at block Z {}; the lowest tip comes to block Z {}.",
            say.fine(bed),
            say.fine(lowest)
        ));
    }
    let under = |index: usize| proof.under_block(index).filter(|under| !under.through)?.reach;
    let deepest = (0..proof.passes.len()).filter_map(under).fold(0.0, f64::max);
    if say.fine(deepest) != say.fine(0.0) {
        check(format!(
            "Spacer: it ends more than {} inside the outline all around, and holds the block flat.",
            say.fine(deepest)
        ));
    }
    check("Tools: the right one in the spindle for each pass, measured, sharp, set to length.".to_owned());
    check("Work offset: touched off as listed for each pass, and read back on the readout.".to_owned());
    check("Air pass: every program walked around above the work first, hand on feed hold.".to_owned());
    check("Air passes deleted from the control, the real programs loaded.".to_owned());
    check(
        "Guards and interlocks in place and working. Eye protection on. Chips cleared before measuring."
            .to_owned(),
    );
    let mut table = Table::new(vec![
        number("", 0.5),
        words("Pass", 5.0),
        write_in("Tool in", 1.6),
        write_in("Offset read", 1.6),
        write_in("Walked around", 1.8),
        write_in("Run", 1.4),
        write_in("Measured", 1.6),
        write_in("Initials", 1.6),
    ]);
    for (index, pass) in proof.job.passes.iter().enumerate() {
        let mut row = vec![(index + 1).to_string(), name(&pass.name)];
        row.extend(std::iter::repeat_n(String::new(), 6));
        table.rows.push(row);
    }
    let mut parts = Vec::new();
    if proof.verdict == Verdict::Stop {
        parts.push(Part::Instruction(
            "This record has a STOP. Correct it, check again and print the record again before you tick or sign \
             anything below."
                .to_owned(),
        ));
    }
    let lines = ["Set up by, date", "Run by, date", "Measured by, date", "Remarks", ""];
    parts.extend([Part::Checks(checks), Part::Table(table), Part::Lines(lines.map(str::to_owned).to_vec())]);
    Section::new("Check list", parts).on_own_sheet()
}

/// Lowest tip of all passes in block coordinates.
fn lowest(record: &Record<'_>) -> Option<f64> {
    record.proof.passes.iter().filter_map(|pass| pass.track.lowest()).reduce(f64::min)
}
