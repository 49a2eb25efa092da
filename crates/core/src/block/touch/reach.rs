//! What of a tool lies above its cutting edges: which part, how wide, from what height.

use crate::tool::{Profile, Tool};

/// What lies above the cutting edges.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// The cutter where it has no flutes any more.
    Flutes,
    /// The shank, or the neck of a cutter that is wider at its tip.
    Shank,
    /// The holder.
    Holder,
}

/// A part as it is asked for, counted from the tool's tip and axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Reach {
    pub(super) part: Part,
    /// Its lower end.
    pub(super) from: f64,
    pub(super) radius: f64,
    /// Nearer to the axis it does not count: what is there has met the cutter first.
    pub(super) inner: f64,
}

/// Height above the tip up to which a tool cuts: its flute length, or for a cutter that is wider lower down and does
/// not state one, where it stops narrowing. `None` when nobody has said.
pub fn flutes_end(tool: &Tool) -> Option<f64> {
    tool.flute_length.or_else(|| tool.form.profile().edges_end())
}

/// Height above the tip from which a tool is as thick as its shank: above its flutes and all that its form draws.
pub fn shank_from(tool: &Tool) -> Option<f64> {
    flutes_end(tool).map(|end| end.max(tool.form.profile().top().y))
}

/// The largest radius between two heights above the tip; `None` when both lie below it.
pub fn widest_between(profile: &Profile, low: f64, high: f64) -> Option<f64> {
    let low = low.max(0.0);
    let within = profile.pieces().iter().filter(|piece| piece.from.y <= high && piece.to.y >= low);
    let ends = within.map(|piece| {
        let at = |height: f64| piece.radius_at(height.clamp(piece.from.y, piece.to.y));
        at(low).max(at(high))
    });
    let above = (high >= profile.top().y).then_some(profile.top().x);
    if high < 0.0 { None } else { ends.chain(above).reduce(f64::max) }
}

/// What a form draws above the end of its flutes, piece by piece: from what height, and how thick.
fn drawn_above(profile: &Profile, end: f64) -> Vec<(f64, f64)> {
    let above = profile.pieces().iter().filter(|piece| !piece.is_level() && piece.to.y > end);
    above
        .map(|piece| {
            let from = piece.from.y.max(end);
            (from, piece.radius_at(from).max(piece.to.x))
        })
        .collect()
}

/// All that can come to metal, each `less` narrower than it is.
pub(super) fn reaches(tool: &Tool, less: f64) -> Vec<Reach> {
    let profile = tool.form.profile();
    let undercutting = tool.form.is_undercutting();
    let shank = tool.shank_diameter.map(|diameter| diameter / 2.0);
    let mut found = Vec::new();
    let mut put = |part, from, radius: f64, inner| {
        if radius - less > inner {
            found.push(Reach { part, from, radius: radius - less, inner });
        }
    };
    if let Some(end) = flutes_end(tool) {
        if undercutting {
            // Above a cone that shrinks upwards nothing cuts, so what the neck meets it only rubs.
            for (from, radius) in drawn_above(&profile, end) {
                put(Part::Shank, from, radius, 0.0);
            }
            put(Part::Shank, end.max(profile.top().y), shank.unwrap_or(profile.top().x), 0.0);
        } else {
            let body = widest_between(&profile, end, f64::INFINITY).unwrap_or(0.0);
            put(Part::Flutes, end, body, 0.0);
            put(Part::Shank, end, shank.unwrap_or(0.0), body + less);
        }
    }
    if let (Some(diameter), Some(from)) = (tool.holder_diameter, tool.stickout) {
        put(Part::Holder, from, diameter / 2.0, 0.0);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tool::Form;

    fn tool(form: Form, flutes: Option<f64>, shank: Option<f64>) -> Tool {
        Tool {
            number: 1,
            name: None,
            form,
            flutes: None,
            flute_length: flutes,
            shank_diameter: shank,
            stickout: Some(2.0),
            holder_diameter: Some(1.5),
        }
    }

    #[test]
    fn what_lies_above_the_edges_is_known_for_every_kind_of_cutter() {
        let flat = || Form::Flat { diameter: 0.5 };
        let undercut = || Form::Undercut { diameter: 1.0, angle: 45.0, height: 0.25 };
        let rounding = || Form::EdgeRound { pilot_diameter: 0.25, radius: 0.125, pilot_length: 0.0 };
        let necked = || Form::Silhouette {
            points: vec![[0.25, 0.0], [0.25, 0.5], [0.15, 0.5], [0.15, 1.0], [0.25, 1.0], [0.25, 1.5]],
        };
        let dovetail = || Form::Silhouette { points: vec![[0.5, 0.0], [0.25, 0.25], [0.25, 1.0]] };
        let cases = [
            (tool(flat(), Some(1.0), Some(0.5)), vec![(Part::Flutes, 1.0, 0.25)]),
            (tool(flat(), Some(1.0), Some(0.75)), vec![(Part::Flutes, 1.0, 0.25), (Part::Shank, 1.0, 0.375)]),
            (tool(flat(), None, Some(0.75)), vec![]),
            (tool(undercut(), None, None), vec![(Part::Shank, 0.25, 0.25)]),
            (tool(undercut(), Some(0.5), Some(0.75)), vec![(Part::Shank, 0.5, 0.375)]),
            (tool(rounding(), Some(0.25), None), vec![(Part::Flutes, 0.25, 0.25)]),
            // a relieved neck, and a shank drawn above it
            (
                tool(necked(), None, None),
                vec![(Part::Shank, 0.5, 0.15), (Part::Shank, 1.0, 0.25), (Part::Shank, 1.5, 0.25)],
            ),
            // the same with its flutes stated shorter than they are drawn
            (
                tool(necked(), Some(0.25), Some(0.75)),
                vec![
                    (Part::Shank, 0.25, 0.25),
                    (Part::Shank, 0.5, 0.15),
                    (Part::Shank, 1.0, 0.25),
                    (Part::Shank, 1.5, 0.375),
                ],
            ),
            // a dovetail drawn as a silhouette is one to the end of its cone
            (tool(dovetail(), None, None), vec![(Part::Shank, 0.25, 0.25), (Part::Shank, 1.0, 0.25)]),
        ];
        for (tool, mut want) in cases {
            want.push((Part::Holder, 2.0, 0.75));
            let found: Vec<_> = reaches(&tool, 0.0).iter().map(|r| (r.part, r.from, r.radius)).collect();
            assert_eq!(found, want, "{tool:?}");
        }
    }
}
