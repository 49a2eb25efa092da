//! Feeds that look like those of the other unit, or like a decimal point misplaced.

use super::Look;
use crate::finding::{Code, Finding, Severity};
use crate::program::{Kind, Motion};
use crate::units::fixed;

/// Faster than most machines feed, in inches a minute; counts when the machine's rapid is not known.
const FAST: f64 = 300.0;
/// The same for a program written in millimetres: 7500 mm/min, which is a round figure there.
const FAST_MM: f64 = 7500.0;
/// Nothing is milled slower, in inches a minute (5 mm/min).
const CRAWL: f64 = 5.0 / 25.4;
/// Feeds below this (60 mm/min) are held against the spindle.
const SLOW: f64 = 60.0 / 25.4;
/// Below this a revolution (0.01 mm) the tool rubs.
const RUB: f64 = 0.01 / 25.4;
/// Slow moves shorter than this in all are let be.
const SLOW_LENGTH: f64 = 2.0;
/// A feed this many times the nearest other one, or this part of it, is out of line.
const OUT_OF_LINE: f64 = 100.0;
/// More different feeds are a program that sets its feed line by line.
const MOST_FEEDS: usize = 32;

pub(super) fn findings(look: &Look<'_>, rapid: Option<f64>) -> Vec<Finding> {
    let survey = Survey::of(look, rapid);
    let mut found: Vec<Finding> = survey.too_fast(look, rapid).into_iter().collect();
    found.extend(survey.too_slow(look));
    if found.is_empty() {
        found.extend(survey.out_of_line(look));
    }
    found
}

/// One feed of the program and the first line that moves at it.
#[derive(Debug, Clone, Copy)]
struct Used {
    feed: f64,
    line: u32,
}

#[derive(Debug)]
struct Survey {
    feeds: Vec<Used>,
    many: bool,
    /// First one too fast, and on how many motions.
    fast: Option<(Used, usize)>,
    /// First one too slow, and the length in plan of all of them.
    slow: Option<(Used, f64)>,
}

impl Survey {
    fn of(look: &Look<'_>, rapid: Option<f64>) -> Self {
        let border = fast(look, rapid);
        let mut survey = Self { feeds: Vec::new(), many: false, fast: None, slow: None };
        for motion in look.program.motions.iter().filter(|m| m.kind == Kind::Feed && m.feed > 0.0) {
            let used = Used { feed: motion.feed, line: motion.line };
            survey.note(used);
            if motion.feed > border {
                survey.fast.get_or_insert((used, 0)).1 += 1;
            }
            if is_slow(look, motion) {
                survey.slow.get_or_insert((used, 0.0)).1 += motion.start.plan().distance(motion.end.plan());
            }
        }
        survey
    }

    fn note(&mut self, used: Used) {
        if self.many || self.feeds.iter().rev().any(|other| other.feed == used.feed) {
            return;
        }
        self.many = self.feeds.len() == MOST_FEEDS;
        self.feeds.push(used);
    }

    fn too_fast(&self, look: &Look<'_>, rapid: Option<f64>) -> Option<Finding> {
        let (used, count) = self.fast?;
        let border = match rapid {
            Some(rapid) => format!("faster than the machine's rapid of {}", look.feed(rapid)),
            None => format!("more than {}, which few machines cut at", look.feed(fast(look, None))),
        };
        let message = format!(
            "The feed here is {}, {border}{}. Check whether F is meant in the other unit, or G20 or G21 is \
             missing.",
            look.feed(used.feed),
            if count > 1 { format!(" ({count} motions run so)") } else { String::new() },
        );
        Some(look.find(Code::OddFeed, Severity::Look, (used.line, 'F'), message))
    }

    fn too_slow(&self, look: &Look<'_>) -> Option<Finding> {
        let (used, length) = self.slow?;
        if length <= look.inches(SLOW_LENGTH) {
            return None;
        }
        let message = format!(
            "The feed here is {} and {} are cut that slowly: the tool rubs rather than cuts. Check whether \
             F is meant in the other unit, or G20 or G21 is missing.",
            look.feed(used.feed),
            look.length(length)
        );
        Some(look.find(Code::OddFeed, Severity::Look, (used.line, 'F'), message))
    }

    /// The feed that is farthest from its nearest neighbour, if that is out of all proportion.
    fn out_of_line(&self, look: &Look<'_>) -> Option<Finding> {
        if self.many {
            return None;
        }
        let ratio = |a: f64, b: f64| (a / b).max(b / a);
        let lonely = |used: &Used| {
            let others = self.feeds.iter().filter(|other| other.feed != used.feed);
            others.map(|other| ratio(used.feed, other.feed)).reduce(f64::min).map(|least| (*used, least))
        };
        // of two feeds alone either may be the odd one
        let (used, least) = self.feeds.iter().filter_map(lonely).max_by(|a, b| a.1.total_cmp(&b.1))?;
        if least < OUT_OF_LINE {
            return None;
        }
        let message = format!(
            "The feed here is {}, {} times as much or as little as any other of the program. Check \
             whether a decimal point is missing or misplaced in F.",
            look.feed(used.feed),
            fixed(least, 0)
        );
        Some(look.find(Code::OddNumber, Severity::Look, (used.line, 'F'), message))
    }
}

/// Feeds above this are too fast.
fn fast(look: &Look<'_>, rapid: Option<f64>) -> f64 {
    rapid.unwrap_or(look.settings.units.pick(FAST, FAST_MM))
}

/// Whether a motion in plan goes so slowly that it can only rub.
fn is_slow(look: &Look<'_>, motion: &Motion) -> bool {
    let each_turn = motion.feed / f64::from(motion.spindle.abs()).max(1.0);
    let rubs = motion.spindle != 0.0 && motion.feed < look.inches(SLOW) && each_turn < look.inches(RUB);
    (rubs || motion.feed < look.inches(CRAWL)) && motion.start.plan() != motion.end.plan()
}
