//! Where metal has to be added: a sheet to be handed to a welder.

use super::say::Say;
use super::{Figure, Part, Section, Table, WIDTH, number};
use crate::fit::{BuildUp, Fitting};
use crate::geometry::Path;
use crate::record::Record;
use crate::view::{BuildUpState, Theme, build_up_plan};

/// Height of the plan on paper, and points for one of its view points.
const HIGH: f32 = 164.0;
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
    let plan = |edge: &Path, stretches: &[BuildUp], better, caption: &str| {
        let state = BuildUpState { outline, edge, stretches, better, units: say.units.into() };
        let drawing = build_up_plan(&state, &Theme::print(), [WIDTH / SCALE, HIGH / SCALE]);
        Part::Figures(vec![Figure { drawing, scale: SCALE, caption: caption.to_owned() }])
    };
    let extra = for_the_last_pass(record);
    let mut parts = vec![
        Part::Instruction(what_to_do(&say, better.is_some(), fitting)),
        Part::Words(how_much(record, extra)),
        Part::Instruction(AFTER_WELDING.to_owned()),
        Part::Heading("As the blank lies".to_owned()),
        plan(
            edge,
            &fitting.before,
            better,
            "From above, as the blank lies. The outline is the scribed line.",
        ),
        Part::Table(table(&say, outline, &fitting.before, extra)),
    ];
    if let Some(fit) = better {
        parts.push(Part::Heading("In the best position instead".to_owned()));
        if fitting.after.is_empty() {
            parts.push(Part::Words("Nothing has to be added: it cleans up all around.".to_owned()));
        } else {
            let caption =
                "From above, in the best position. The outline is the line as it is scribed again for it.";
            parts.push(plan(&fit.edge_moved(edge), &fitting.after, None, caption));
            parts.push(Part::Table(table(&say, outline, &fitting.after, extra)));
        }
    }
    Some(Section::new("Metal to add", parts).on_own_sheet())
}

/// What belongs to every weld on a block (common practice, no source).
const AFTER_WELDING: &str = "After welding: dress the weld flush with the top and the bottom face, measure the edge \
                             again, put it into the job and check again before anything is cut.";

/// How thick and how high metal is put on.
fn how_much(record: &Record<'_>, extra: f64) -> String {
    let (job, say) = (&record.proof.job, Say::of(record));
    let block = job.blank.as_ref().map_or_else(String::new, |blank| {
        let material = blank.material.as_deref().map(super::say::name);
        let material = material.map_or_else(String::new, |name| format!("Material of the block: {name}. "));
        format!(
            "{material}Weld over the whole height of the edge: the block is dressed to {} thick, block Z {} to {}. ",
            say.fine(blank.thickness),
            say.fine(blank.bottom()),
            say.fine(blank.top)
        )
    });
    let more = if say.fine(extra) == say.fine(0.0) {
        "\"Weld to\" is the same: put on more, so that the cutter finds metal all along.".to_owned()
    } else {
        format!(
            "\"Weld to\" is {} more, so that the last pass along the line finds its cut; put on no less.",
            say.fine(extra)
        )
    };
    format!(
        "{block}\"Missing\" is the thickness up to the scribed line, square to it, at the thickest place. {more} Lengths in {}, X and \
         Y as in the plan.",
        say.units.plural()
    )
}

/// What the last pass that is held against the outline should find outside it: what the one before is meant to leave, and
/// no less than a cut that is not light.
fn for_the_last_pass(record: &Record<'_>) -> f64 {
    let job = &record.proof.job;
    let held: Vec<f64> = job.passes.iter().filter_map(|pass| pass.allowance).collect();
    let light = job.contact.as_ref().and_then(|limits| limits.light_below).unwrap_or(0.0);
    match held[..] {
        [] => 0.0,
        [only] => only.max(0.0) + light,
        [.., before, last] => before.max(last.max(0.0) + light),
    }
}

/// Whether and where metal is added.
fn what_to_do(say: &Say<'_>, better: bool, fitting: &Fitting) -> String {
    match (better, fitting.after.is_empty()) {
        (true, true) => {
            "No metal has to be added once the blank is in the best position, see \"Setting up\". Only where it stays as it \
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
pub(super) fn amount(say: &Say<'_>, stretches: &[BuildUp]) -> String {
    let most = stretches.iter().map(|stretch| stretch.most).fold(0.0, f64::max);
    let length: f64 = stretches.iter().map(|stretch| stretch.length).sum();
    let places =
        if stretches.len() == 1 { "1 place".to_owned() } else { format!("{} places", stretches.len()) };
    format!("up to {} thick in {places}, {} long all told", say.fine(most), say.plain(length))
}

fn table(say: &Say<'_>, outline: &Path, stretches: &[BuildUp], extra: f64) -> Table {
    let mut table = Table::new(vec![
        number("", 0.5),
        number("From station", 1.3),
        number("X", 1.2),
        number("Y", 1.2),
        number("To station", 1.3),
        number("X", 1.2),
        number("Y", 1.2),
        number("Length", 1.2),
        number("Missing", 1.2),
        number("Weld to", 1.2),
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
            say.plain(stretch.length),
            say.fine(stretch.most),
            say.fine(stretch.most + extra),
            say.plain(stretch.at.x),
            say.plain(stretch.at.y),
        ]);
    }
    table
}
