//! Motions that are unusual as such: rapids that come down aslant, a spindle that turns backwards or at no speed.

use super::{Look, words};
use crate::finding::{Code, Finding, Severity};
use crate::program::{Kind, Motion};

/// A rapid may come down by this much on its way (rounding of a post-processor).
const LEVEL: f64 = 0.001;

pub(super) fn findings(look: &Look<'_>) -> Vec<Finding> {
    [slanting(look), backwards(look), no_speed(look)].into_iter().flatten().collect()
}

/// `, and N more like it` for all but the first.
fn and_more(count: usize) -> String {
    if count > 1 { format!(" ({} more like this.)", count - 1) } else { String::new() }
}

/// The first motion that fits, and how many do.
fn first_of(look: &Look<'_>, fits: impl Fn(&Motion) -> bool) -> Option<(Motion, usize)> {
    let mut all = look.program.motions.iter().filter(|motion| fits(motion));
    let first = *all.next()?;
    Some((first, 1 + all.count()))
}

fn slanting(look: &Look<'_>) -> Option<Finding> {
    let level = look.inches(LEVEL);
    let (first, count) = first_of(look, |motion| {
        let slants = motion.start.plan() != motion.end.plan() && motion.end.z < motion.start.z - level;
        motion.kind == Kind::Rapid && motion.start_known.is_place() && slants
    })?;
    let message = format!(
        "This rapid comes down from Z {} to {} while it crosses in X and Y, and many controls do not keep \
         it on a straight line. Normally it crosses at a safe height first, then comes down.{}",
        look.length(first.start.z),
        look.length(first.end.z),
        and_more(count)
    );
    Some(look.find(Code::SlantingRapid, Severity::Look, (first.line, 'Z'), message))
}

/// Cutting with the spindle turning backwards; a tap that is backed out goes up alone.
fn backwards(look: &Look<'_>) -> Option<Finding> {
    let (first, count) = first_of(look, |motion| {
        let cuts = motion.start.plan() != motion.end.plan() || motion.end.z < motion.start.z;
        motion.kind == Kind::Feed && motion.spindle < 0.0 && cuts
    })?;
    let message = format!(
        "The tool feeds with the spindle running backward (M4). Ordinary cutters cut only clockwise; write \
         M3 unless this is a left-hand tool.{}",
        and_more(count)
    );
    Some(look.find(Code::SpindleBackwards, Severity::Look, (first.line, 'M'), message))
}

/// M3 or M4 before the first feed motion, which still runs at no speed.
fn no_speed(look: &Look<'_>) -> Option<Finding> {
    let first = look.program.motions.iter().find(|motion| motion.kind == Kind::Feed)?;
    if first.spindle != 0.0 {
        return None;
    }
    let mut started = None;
    for line in 1..=first.line {
        for word in words::of(&look.text.line(line as usize)) {
            match (word.letter, word.value) {
                ('M', Some(3.0 | 4.0)) => started = Some((line, word)),
                ('M', Some(5.0 | 6.0)) => started = None,
                ('S', Some(speed)) if speed > 0.0 => return None,
                _ => {}
            }
        }
    }
    let (line, word) = started?;
    let message = format!(
        "{} starts the spindle, but the program gives no speed before it cuts: the spindle stays stopped or \
         runs at the speed of the program before. Write S on this line.",
        word.text
    );
    Some(Finding::new(Code::NoSpeed, Severity::Look, message).on_line(line).in_column(word.column))
}
