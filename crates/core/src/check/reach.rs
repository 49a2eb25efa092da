//! Findings about what lies above a tool's cutting edges: flutes too short, shank or holder against metal.

use super::PassCheck;
use crate::block::{MOST_COUNTED, Part, Touch, flutes_end};
use crate::finding::{Code, Finding, Severity};

pub(super) fn findings(check: &PassCheck<'_>) -> Vec<Finding> {
    check.proof.touches.iter().map(|touch| finding(check, touch)).collect()
}

fn finding(check: &PassCheck<'_>, touch: &Touch) -> Finding {
    let tool = check.tool;
    let most = check.length(touch.most);
    let flutes = check.length(flutes_end(tool).unwrap_or(0.0));
    let (code, what) = match touch.part {
        Part::Flutes => (
            Code::PastFlutes,
            format!(
                "metal stands in the cut up to {most} above the end of the flutes, which are {flutes} long. The part \
                 above them does not cut: it rubs, and the tool heats or breaks. Take the cut in steps no deeper than \
                 the flutes, or use a longer cutter"
            ),
        ),
        Part::Shank if tool.form.is_undercutting() => (
            Code::ShankContact,
            format!(
                "the neck above the cutting edges runs into metal, which stands up to {most} above their end ({flutes} \
                 over the tip). It does not cut: step in less, or use a cutter with a thinner neck"
            ),
        ),
        Part::Shank => (
            Code::ShankContact,
            format!(
                "the shank, {} thick, runs into metal that stands up to {most} above the end of the flutes ({flutes} \
                 over the tip). Use a cutter with longer flutes or a thinner shank, or take the metal beside it first",
                check.length(tool.shank_diameter.unwrap_or(0.0)),
            ),
        ),
        Part::Holder => (
            Code::HolderContact,
            format!(
                "the holder runs into metal that stands up to {most} above its nose, {} over the tip. Let the tool stand \
                 out at least that much farther, or use a slimmer holder",
                check.length(tool.stickout.unwrap_or(0.0)),
            ),
        ),
    };
    let count = match touch.motions {
        1 => String::new(),
        MOST_COUNTED.. => format!(" (On {MOST_COUNTED} motions or more.)"),
        count => format!(" (On {count} motions.)"),
    };
    let message = format!("{}: {what}.{count}", check.title());
    let line = check.proof.track.placed().get(touch.motion).map_or(0, |placed| placed.motion.line);
    Finding::new(code, Severity::Stop, message).about(touch.most).on_line(line).at(touch.at)
}
