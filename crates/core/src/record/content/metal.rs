//! Where metal has to be added: a sheet to be handed to a welder.

use super::say::Say;
use super::{Figure, Part, Section, Table, WIDTH, number};
use crate::fit::{BuildUp, Fitting};
use crate::geometry::Path;
use crate::record::Record;
use crate::view::{BuildUpState, Theme, build_up_plan};

/// Height of the plan on paper, and points for one of its view points.
const HIGH: f32 = 280.0;
const SCALE: f32 = 0.78;

/// The sheet; `None` where no metal has to be added.
pub(super) fn section(record: &Record<'_>) -> Option<Section> {
    let (proof, say) = (record.proof, Say::of(record));
    let fitting = proof.fit.as_ref()?;
    if fitting.before.is_empty() {
        return None;
    }
    let (outline, edge) = (proof.outline.as_deref()?, proof.edge.as_deref()?);
    let better = Some(&fitting.fit).filter(|fit| fit.gains(say.units));
    let state = BuildUpState { outline, edge, stretches: &fitting.before, better, units: say.units.into() };
    let drawing = build_up_plan(&state, &Theme::print(), [WIDTH / SCALE, HIGH / SCALE]);
    let thickness = proof.job.blank.as_ref().map_or_else(String::new, |blank| {
        let material = blank
            .material
            .as_deref()
            .map_or_else(String::new, |name| format!("Material of the block: {}. ", super::say::name(name)));
        format!(
            "{material}The block is {} thick and is cut over its whole height. ",
            say.plain(blank.thickness)
        )
    });
    let mut parts = vec![
        Part::Instruction(what_to_do(&say, better.is_some(), fitting)),
        Part::Words(format!(
            "{thickness}The thickness is what is missing up to the scribed line, square to it, at the thickest place: put \
             on more, so that the cutter finds metal all along. Lengths in {}.",
            say.units.plural()
        )),
        Part::Figures(vec![Figure {
            drawing,
            scale: SCALE,
            caption: "From above, as the blank lies. The outline is the scribed line.".to_owned(),
        }]),
        Part::Heading("As the blank lies".to_owned()),
        Part::Table(table(&say, outline, &fitting.before)),
    ];
    if better.is_some() {
        parts.push(Part::Heading("In the best position instead".to_owned()));
        if fitting.after.is_empty() {
            parts.push(Part::Words("Nothing has to be added: it cleans up all round.".to_owned()));
        } else {
            parts.push(Part::Table(table(&say, outline, &fitting.after)));
        }
    }
    Some(Section::new("Metal to add", parts).on_own_sheet())
}

/// Whether and where metal is added.
fn what_to_do(say: &Say<'_>, better: bool, fitting: &Fitting) -> String {
    match (better, fitting.after.is_empty()) {
        (true, true) => {
            "No metal has to be added once the blank is in the best position, see \"Position to use\". Only where it stays as it \
             lies: add metal on the numbered stretches of the edge."
                .to_owned()
        }
        (true, false) => format!(
            "Decide on the position first. As the blank lies, {} has to be added, on the numbered stretches of the edge; in \
             the best position {}, on those of the second table.",
            amount(say, &fitting.before),
            amount(say, &fitting.after)
        ),
        (false, _) => "Add metal on the numbered stretches of the edge.".to_owned(),
    }
}

/// How much has to be added all told, in words.
fn amount(say: &Say<'_>, stretches: &[BuildUp]) -> String {
    let most = stretches.iter().map(|stretch| stretch.most).fold(0.0, f64::max);
    let length: f64 = stretches.iter().map(BuildUp::length).sum();
    format!("up to {} over a length of {}", say.plain(most), say.plain(length))
}

fn table(say: &Say<'_>, outline: &Path, stretches: &[BuildUp]) -> Table {
    let mut table = Table::new(vec![
        number("", 0.5),
        number("From station", 1.3),
        number("X", 1.2),
        number("Y", 1.2),
        number("To station", 1.3),
        number("X", 1.2),
        number("Y", 1.2),
        number("Length", 1.2),
        number("Thickness", 1.3),
        number("thickest at X", 1.3),
        number("Y", 1.2),
    ]);
    for (index, stretch) in stretches.iter().enumerate() {
        let [from, to] = [stretch.from, stretch.to].map(|station| outline.place(station).at);
        table.rows.push(vec![
            (index + 1).to_string(),
            say.plain(stretch.from),
            say.plain(from.x),
            say.plain(from.y),
            say.plain(stretch.to),
            say.plain(to.x),
            say.plain(to.y),
            say.plain(stretch.length()),
            say.fine(stretch.most),
            say.plain(stretch.at.x),
            say.plain(stretch.at.y),
        ]);
    }
    table
}
