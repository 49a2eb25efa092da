//! How things are said in the record: lengths, ranges, names.

use crate::geometry::Range;
use crate::names;
use crate::record::Record;
use crate::units::{Units, fixed};

/// Letters of a name that are shown; names are told apart by fewer.
const LONGEST: usize = 120;

/// How lengths and names of a job are said.
#[derive(Debug, Clone, Copy)]
pub(super) struct Say<'a> {
    pub(super) units: Units,
    record: &'a Record<'a>,
}

impl<'a> Say<'a> {
    pub(super) fn of(record: &'a Record<'a>) -> Self {
        Self { units: record.proof.job.units, record }
    }

    pub(super) fn job_name(&self) -> String {
        self.record.proof.job.name.as_deref().map_or_else(|| "Job without a name".to_owned(), name)
    }

    /// `Pass 1: Rough, leave .062`.
    pub(super) fn pass(&self, index: usize) -> String {
        let own = self.record.proof.job.passes.get(index).map_or_else(String::new, |pass| name(&pass.name));
        format!("Pass {}: {own}", index + 1)
    }

    /// A length to the full exactness.
    pub(super) fn fine(&self, length: f64) -> String {
        self.units.fine(length)
    }

    /// A length as on a drawing.
    pub(super) fn plain(&self, length: f64) -> String {
        self.units.plain(length)
    }

    /// Least to most, or the one value where both are written the same.
    pub(super) fn between(&self, least: f64, most: f64) -> String {
        let (least, most) = (self.fine(least), self.fine(most));
        if least == most { least } else { format!("{least} to {most}") }
    }

    pub(super) fn range(&self, range: &Range) -> String {
        self.between(range.least, range.most)
    }

    /// A length where there is one.
    pub(super) fn or_dash(&self, length: Option<f64>) -> String {
        length.map_or_else(|| "-".to_owned(), |length| self.fine(length))
    }

    /// A length; one below 0 as a word and how much.
    pub(super) fn or_under(&self, length: f64, word: &str) -> String {
        let (text, none) = (self.fine(-length), self.fine(0.0));
        if length < 0.0 && text != none { format!("{word} {text}") } else { self.fine(length.max(0.0)) }
    }

    /// The job's limits of the thickness of cut: `light below .0100, heavy above .2500`.
    pub(super) fn contact_limits(&self) -> Option<String> {
        let limits = self.record.proof.job.contact.as_ref()?;
        let light = limits.light_below.map(|light| format!("light below {}", self.fine(light)));
        let heavy = limits.heavy_above.map(|heavy| format!("heavy above {}", self.fine(heavy)));
        let both: Vec<String> = light.into_iter().chain(heavy).collect();
        (!both.is_empty()).then(|| both.join(", "))
    }

    /// A speed or feed: no more decimals than it needs.
    pub(super) fn rate(value: f64) -> String {
        let text = fixed(value, 1);
        text.strip_suffix(".0").map_or_else(|| text.clone(), str::to_owned)
    }
}

/// A name that somebody else gave, safe to show and not longer than it must be.
pub(super) fn name(text: &str) -> String {
    let shown = names::shown(text);
    if shown.chars().count() <= LONGEST {
        return shown.into_owned();
    }
    let kept: String = shown.chars().take(LONGEST - 1).collect();
    format!("{kept}…")
}
