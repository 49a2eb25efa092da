//! What each pass is for: as the job says it, or else taken from tool, path and name.

use std::fmt;

use super::area::Area;
use super::search::Question;
use super::width::{Circles, widest_below};
use crate::geometry::Bounds;
use crate::job::Does;
use crate::measure::Sweep;
use crate::program::Kind;
use crate::tolerance::Tolerances;
use crate::tool::Form;
use crate::track::Placed;
use crate::wall::{Slice, Within, slice};

/// More feed motions than this at one level are not looked at for facing.
const MOST_FACING: usize = 20_000;

/// What is known of one pass.
#[derive(Debug, Clone, Copy)]
pub struct PassFacts<'a> {
    /// What the job says.
    pub does: Option<Does>,
    /// Its name.
    pub name: &'a str,
    /// The leave it is meant to give.
    pub allowance: Option<f64>,
    /// The lowest Z it is meant to reach, in block coordinates.
    pub bottom: Option<f64>,
    /// Its cutter.
    pub form: &'a Form,
    /// Its path.
    pub sweep: &'a Sweep,
}

/// What a pass is for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Purpose {
    /// What it does.
    pub does: Does,
    /// Why it is taken for that, when the job does not say.
    pub why: Option<String>,
}

impl fmt::Display for Purpose {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.does.word())?;
        if self.why.is_some() { f.write_str(" (suggested)") } else { Ok(()) }
    }
}

/// The block that the passes are cut from.
#[derive(Debug, Clone, Copy)]
pub struct Stock<'a> {
    /// The outline's area; without it nothing is known to be inside or over it.
    pub outline: Option<&'a Area>,
    /// The box round the outline.
    pub bounds: Bounds,
    /// Z of the blank's upper face.
    pub top: f64,
    /// Tolerances.
    pub tolerances: &'a Tolerances,
}

/// What each pass is for. A suggestion never makes a wrong move legal: a pass is only taken for a face cut when it
/// covers the whole block at its lowest level, and for a pocket when no feed below the finished top comes near the
/// outline; a name that says otherwise, or an allowance, is believed before that.
pub fn purposes(stock: &Stock<'_>, passes: &[PassFacts<'_>]) -> Vec<Purpose> {
    let mut found: Vec<Option<Purpose>> =
        passes.iter().map(|pass| plain(pass).or_else(|| stock.face(pass))).collect();
    let faces = passes.iter().zip(&found).filter(|(_, purpose)| is(purpose.as_ref(), Does::Face));
    let top = faces.filter_map(|(pass, _)| face_level(pass)).fold(stock.top, f64::min);
    for (pass, purpose) in passes.iter().zip(&mut found) {
        *purpose = purpose.take().or_else(|| stock.inside(pass, top));
    }
    let rest = || Purpose {
        does: Does::Profile,
        why: Some("nothing says otherwise, and so it may take nothing inside the outline".to_owned()),
    };
    found.into_iter().map(|purpose| purpose.unwrap_or_else(rest)).collect()
}

fn is(purpose: Option<&Purpose>, does: Does) -> bool {
    purpose.is_some_and(|purpose| purpose.does == does)
}

/// The level that a face cut is meant to leave: its bottom, or else the lowest place of its feed.
pub(super) fn face_level(pass: &PassFacts<'_>) -> Option<f64> {
    pass.bottom.or_else(|| lowest_feed(pass.sweep))
}

/// The lowest place of the feed motions.
pub(super) fn lowest_feed(sweep: &Sweep) -> Option<f64> {
    feeds(sweep).map(|placed| placed.motion.start.z.min(placed.motion.end.z)).reduce(f64::min)
}

fn feeds(sweep: &Sweep) -> impl Iterator<Item = &Placed> {
    sweep.placed().iter().filter(|placed| placed.motion.kind == Kind::Feed)
}

/// What the job, the cutter and the allowance say.
fn plain(pass: &PassFacts<'_>) -> Option<Purpose> {
    if let Some(does) = pass.does {
        return Some(Purpose { does, why: None });
    }
    let (does, why) = match pass.form {
        Form::Undercut { .. } => (Does::Undercut, "its cutter is a dovetail (undercut) cutter"),
        Form::EdgeRound { .. } => (Does::Edge, "its cutter rounds an edge"),
        Form::Chamfer { .. } => (Does::Edge, "its cutter makes a chamfer"),
        _ if pass.allowance.is_some() => (Does::Profile, "it has an allowance"),
        form if form.is_undercutting() && names_undercut(pass.name) => {
            (Does::Undercut, "its cutter can cut an undercut, and its name says so")
        }
        _ => return None,
    };
    Some(Purpose { does, why: Some(why.to_owned()) })
}

/// Whether the name is that of an undercut pass. A cutter drawn as a silhouette does not say so by its kind.
fn names_undercut(name: &str) -> bool {
    let name = name.to_lowercase();
    ["undercut", "dovetail"].iter().any(|word| name.contains(word))
}

/// Whether the name says that the pass is something else than `does`.
fn name_denies(name: &str, does: Does) -> bool {
    const WORDS: [(&str, Does); 13] = [
        ("profile", Does::Profile),
        ("rough", Does::Profile),
        ("finish", Does::Profile),
        ("contour", Does::Profile),
        ("outline", Does::Profile),
        ("undercut", Does::Undercut),
        ("face", Does::Face),
        ("facing", Does::Face),
        ("pocket", Does::Inside),
        ("groove", Does::Inside),
        ("slot", Does::Inside),
        ("hole", Does::Inside),
        ("drill", Does::Inside),
    ];
    let name = name.to_lowercase();
    let mut said = WORDS.iter().filter(|(word, _)| name.contains(word)).map(|(_, does)| *does).peekable();
    // 'Finish pocket' says pocket; 'finish' alone says profile.
    said.peek().is_some() && said.all(|other| other != does)
}

impl Stock<'_> {
    /// A pass without an allowance that covers the whole block at its lowest level is a face cut.
    fn face(&self, pass: &PassFacts<'_>) -> Option<Purpose> {
        let (outline, tolerances) = (self.outline?, self.tolerances);
        let level = lowest_feed(pass.sweep).filter(|level| *level < self.top)?;
        let meant = pass.bottom.is_none_or(|bottom| (bottom - level).abs() <= tolerances.depth);
        if !meant || pass.form.is_undercutting() || name_denies(pass.name, Does::Face) {
            return None;
        }
        let at_level = |z: f64| z <= level + tolerances.depth;
        let height = level + tolerances.depth;
        let level_feeds = feeds(pass.sweep)
            .filter(|placed| at_level(placed.motion.start.z) && at_level(placed.motion.end.z));
        let mut taken = Vec::new();
        for placed in level_feeds {
            let profile = pass.sweep.profile();
            slice(&placed.motion, profile, height, tolerances.follow, Within::Anywhere, |slice, _| {
                taken.push(slice);
            });
            if taken.len() > MOST_FACING {
                return None;
            }
        }
        let centre = self.bounds.centre();
        let all = Slice::Capsule {
            from: centre,
            start: self.bounds.low.distance(self.bounds.high),
            to: centre,
            end: self.bounds.low.distance(self.bounds.high),
        };
        let left = Question {
            swept: &[all],
            gone: &taken,
            area: outline,
            blank: outline,
            need: tolerances.past_outline,
            enough: tolerances.past_outline * 2.0,
            thick: tolerances.past_outline,
            tolerance: tolerances.past_outline,
            standing: false,
        };
        left.deepest().is_none().then(|| Purpose {
            does: Does::Face,
            why: Some("at its lowest level it covers the whole block".to_owned()),
        })
    }

    /// A pass without an allowance none of whose feed below the finished top comes near the outline is a pocket.
    fn inside(&self, pass: &PassFacts<'_>, top: f64) -> Option<Purpose> {
        let (outline, tolerances) = (self.outline?, self.tolerances);
        if name_denies(pass.name, Does::Inside) {
            return None;
        }
        let mut any = false;
        for placed in feeds(pass.sweep) {
            let low = placed.motion.start.z.min(placed.motion.end.z);
            if low >= top - tolerances.past_outline {
                continue;
            }
            any = true;
            let circles = Circles::of(&placed.motion, widest_below(pass.sweep.profile(), top - low));
            if !circles.stay_inside(outline, tolerances.well_inside) {
                return None;
            }
        }
        any.then(|| Purpose {
            does: Does::Inside,
            why: Some("all it feeds below the finished top stays inside the outline".to_owned()),
        })
    }
}
