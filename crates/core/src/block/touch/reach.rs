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

/// Height above the tip up to which a tool cuts: its flute length, or for a cutter that is wider at its tip and does
/// not state one, the height of what is ground to shape. `None` when nobody has said.
pub fn flutes_end(tool: &Tool) -> Option<f64> {
    let shaped = || tool.form.is_undercutting().then(|| tool.form.profile().top().y);
    tool.flute_length.or_else(shaped)
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
        let cases = [
            (tool(flat(), Some(1.0), Some(0.5)), vec![(Part::Flutes, 1.0, 0.25)]),
            (tool(flat(), Some(1.0), Some(0.75)), vec![(Part::Flutes, 1.0, 0.25), (Part::Shank, 1.0, 0.375)]),
            (tool(flat(), None, Some(0.75)), vec![]),
            (tool(undercut(), None, None), vec![(Part::Shank, 0.25, 0.25)]),
            (tool(undercut(), Some(0.5), Some(0.75)), vec![(Part::Shank, 0.5, 0.375)]),
            (tool(rounding(), Some(0.25), None), vec![(Part::Flutes, 0.25, 0.25)]),
        ];
        for (tool, mut want) in cases {
            want.push((Part::Holder, 2.0, 0.75));
            let found: Vec<_> = reaches(&tool, 0.0).iter().map(|r| (r.part, r.from, r.radius)).collect();
            assert_eq!(found, want, "{tool:?}");
        }
    }
}
