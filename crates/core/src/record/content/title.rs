//! The title block.

use super::say::{Say, name};
use super::{Part, Section, Table, number, words};
use crate::proof::{NO_PROMISE, Verdict, verdict_words};
use crate::record::Record;
use crate::rewrite::checksum;
use crate::units::clock;

/// What is made of what, by which programs, and what the check comes to.
pub(super) fn section(record: &Record<'_>) -> Section {
    let (proof, say) = (record.proof, Say::of(record));
    let mut facts = Vec::new();
    let mut fact = |what: &str, is: String| facts.push((what.to_owned(), is));
    fact("Job", say.job_name());
    fact("Date", record.date.to_owned());
    fact("Made with", format!("Blockwright {}", env!("CARGO_PKG_VERSION")));
    fact("Lengths", format!("in {}", say.units.plural()));
    if let Some(blank) = &proof.job.blank {
        let material = blank.material.as_deref().map_or_else(|| "not given".to_owned(), name);
        fact("Material", material);
        let size = proof.edge.as_ref().map_or_else(String::new, |edge| {
            let bounds = edge.bounds();
            format!("{} by {} over the sawn edge, ", say.plain(bounds.width()), say.plain(bounds.height()))
        });
        let faces = format!("top at Z {}, bottom at Z {}", say.plain(blank.top), say.plain(blank.bottom()));
        fact("Blank", format!("{size}{} thick; {faces}", say.plain(blank.thickness)));
    }
    if let Some(bed) = proof.job.bed_top {
        fact("Bed under it", format!("top at Z {}", say.plain(bed)));
    }
    if let Some(outline) = &proof.outline {
        let bounds = outline.bounds();
        fact(
            "Outline",
            format!(
                "{} long, {} by {}, X {} to {}, Y {} to {}",
                say.plain(outline.length()),
                say.plain(bounds.width()),
                say.plain(bounds.height()),
                say.plain(bounds.low.x),
                say.plain(bounds.high.x),
                say.plain(bounds.low.y),
                say.plain(bounds.high.y)
            ),
        );
    }
    if let Some(gauge) = proof.gauge.filter(|_| proof.outline.is_some()) {
        fact("Gauge height", format!("stock left is {}", gauge.words(say.units)));
    }
    if let Some(blank) = &proof.blank {
        let margin = say.fine(blank.least_margin);
        fact("Least margin", format!("{margin} at station {}", say.plain(blank.least_margin_at)));
    }
    let time: f64 = proof.passes.iter().filter_map(|pass| pass.seconds).sum();
    fact("Running time", format!("{} (h:mm:ss), as far as speeds are known", clock(time)));
    let mut parts = vec![Part::Instruction(format!("{}.", verdict_words(proof))), Part::Facts(facts)];
    if proof.verdict == Verdict::Clear {
        parts.push(Part::Words(NO_PROMISE.to_owned()));
    }
    parts.push(Part::Heading("Programs".to_owned()));
    parts.push(Part::Table(programs(record)));
    Section::new("Job", parts)
}

/// The programs with what tells them from others of the same name.
fn programs(record: &Record<'_>) -> Table {
    let mut table = Table::new(vec![
        number("", 0.5),
        words("Pass", 5.0),
        words("Program", 3.0),
        words("Number", 1.3),
        number("Bytes", 1.3),
        words("CRC-32", 1.8),
        words("Tool", 4.0),
    ]);
    let passes = record.proof.job.passes.iter().zip(&record.proof.passes);
    for (index, (pass, done)) in passes.enumerate() {
        let text = record.source.programs.get(index);
        let tool = record.proof.job.tool(pass.tool).map_or_else(String::new, |tool| name(&tool.title()));
        table.rows.push(vec![
            (index + 1).to_string(),
            name(&pass.name),
            name(&pass.program),
            done.program.number.map_or_else(|| "none".to_owned(), |number| format!("O{number}")),
            text.map_or_else(|| "-".to_owned(), |text| text.len().to_string()),
            text.map_or_else(|| "-".to_owned(), |text| format!("{:08X}", checksum(text))),
            format!("{}: {tool}", pass.tool),
        ]);
    }
    for called in &record.source.beside.subprograms {
        let mut row = vec![String::new(), "called by these".to_owned(), name(&called.file)];
        row.push(format!("O{}", called.number));
        row.push(called.text.len().to_string());
        row.push(format!("{:08X}", checksum(&called.text)));
        row.push(String::new());
        table.rows.push(row);
    }
    table
}
