//! What is asked of an air pass, and what comes back.

use std::ops::RangeInclusive;

use super::standing::{Over, Standing};
use crate::job::{Job, Pass};
use crate::rewrite::Refusal;
use crate::rewrite::text::lines;
use crate::units::Units;

/// The program numbers tried where nothing is known of the control (common practice, no source).
const USUAL_NUMBERS: RangeInclusive<u32> = 1..=9999;

/// Which program number the air pass gets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Numbering {
    /// The first free number behind the original's.
    #[default]
    Free,
    /// This one.
    As(u32),
}

/// What is asked of an air pass. Lengths in the unit of the settings it is made with, heights in program coordinates.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct AirOptions {
    /// Z of the top of what it must stay above, given by hand. Without anything in `standing` it must be there.
    pub top: Option<f64>,
    /// How the passes of a job that run the program stand to block and clamps; empty where there is no job, and then
    /// clamps are not considered.
    pub standing: Vec<Standing>,
    /// How far above the top its lowest point shall be; above 0.
    pub above: f64,
    /// Its program number.
    pub number: Numbering,
    /// Lowest and highest number that the control takes; 1 to 9999 when that is not known.
    pub range: Option<RangeInclusive<u32>>,
    /// Numbers of other programs, which it must not take.
    pub taken: Vec<u32>,
    /// Longest line that the control takes, in characters.
    pub longest_line: Option<u32>,
    /// Characters that the control takes besides letters, digits, `+ - .` and the space, when that is known.
    pub characters: Option<String>,
    /// How far the machine goes in Z from end to end.
    pub travel_z: Option<f64>,
}

impl AirOptions {
    /// What a job says about it: its control, its travel, and what stands where these of its passes run the program.
    pub fn for_job<'a>(above: f64, job: &Job, passes: impl IntoIterator<Item = &'a Pass>) -> Self {
        let control = job.control.as_ref();
        let travel = job.machine.as_ref().and_then(|machine| machine.travel).and_then(|travel| travel.z);
        Self {
            above,
            standing: passes.into_iter().filter_map(|pass| Standing::of(job, pass)).collect(),
            range: control.and_then(|control| control.program_numbers.clone()),
            longest_line: control.and_then(|control| control.longest_line),
            characters: control.and_then(|control| control.characters.clone()),
            travel_z: travel.map(|[low, high]| high - low),
            ..Self::default()
        }
    }

    pub(super) fn check(&self, units: Units) -> Result<(), Refusal> {
        if !(self.above.is_finite() && self.above > 0.0) {
            return Err(Refusal::new(format!(
                "The height above the top must be more than 0; normally {}.",
                units.plain_with_unit(units.pick(0.1, 2.5))
            )));
        }
        if self.top.is_some_and(|top| !top.is_finite()) {
            return Err(Refusal::new("The top must be a height. Give the Z of the highest metal or clamp."));
        }
        Ok(())
    }

    fn numbers(&self) -> RangeInclusive<u32> {
        self.range.clone().unwrap_or(USUAL_NUMBERS)
    }

    /// The number that the air pass of program `original` gets.
    pub(super) fn choose(&self, original: Option<u32>) -> Result<Chosen, Refusal> {
        match (self.number, original) {
            (Numbering::As(number), _)
                if self.range.as_ref().is_some_and(|range| !range.contains(&number)) =>
            {
                let range = self.numbers();
                Err(Refusal::new(format!(
                    "The control does not take the program number {number}. Give one from {} to {}.",
                    range.start(),
                    range.end()
                )))
            }
            (Numbering::As(number), Some(original)) if number == original => Err(Refusal::new(format!(
                "{number} is the number of the real program, which the air pass would replace in the control. Give \
                 another."
            ))),
            (Numbering::As(number), _) if self.taken.contains(&number) => Err(Refusal::new(format!(
                "{number} is the number of another program of this job, or of one beside it. Give another."
            ))),
            (Numbering::As(number), _) => Ok(Chosen::As(number)),
            (Numbering::Free, None) => Ok(Chosen::LeftOut),
            (Numbering::Free, Some(original)) => Ok(self.free(original).map_or(Chosen::LeftOut, Chosen::As)),
        }
    }

    /// The first number behind `original` that nobody has, or else the first at all.
    pub fn free(&self, original: u32) -> Option<u32> {
        let range = self.numbers();
        let (low, high) = (*range.start(), *range.end());
        let free = |number: &u32| *number != original && !self.taken.contains(number);
        let mut behind = original.saturating_add(1).max(low)..=high;
        let mut before = low..=high.min(original);
        behind.find(free).or_else(|| before.find(free))
    }

    pub(super) fn number_note(&self, original: Option<u32>, number: Option<u32>) -> Option<String> {
        let range = self.numbers();
        match (original, number) {
            (Some(_), None) => Some(format!(
                "No program number from {} to {} is free, so the O word was left out. Give the air pass a number of \
                 its own at the control, not that of the real program.",
                range.start(),
                range.end()
            )),
            (None, None) => Some(
                "The program has no O word, so the air pass has none. Give it a number of its own at the control."
                    .to_owned(),
            ),
            (Some(_), Some(_)) if self.range.is_none() && self.number == Numbering::Free => Some(format!(
                "Which numbers the control takes is not known; one from {} to {} was chosen.",
                range.start(),
                range.end()
            )),
            _ => None,
        }
    }

    /// No line may have grown past what the control takes.
    pub(super) fn check_lines(&self, before: &[u8], after: &[u8]) -> Result<(), Refusal> {
        let Some(longest) = self.longest_line.map(|longest| longest as usize) else { return Ok(()) };
        let long =
            |text: &[u8]| lines(text).find(|line| characters(line.text) > longest).map(|line| line.number);
        if let Some(line) = long(before) {
            return Err(Refusal::on_line(
                line,
                format!(
                    "This line is longer than the {longest} characters the control takes. Prepare it for the control \
                     first."
                ),
            ));
        }
        match long(after) {
            None => Ok(()),
            Some(line) => Err(Refusal::new(format!(
                "Line {line} of the air pass would be longer than the {longest} characters the control takes. \
                 Delete spaces or a comment from that line of the program."
            ))),
        }
    }
}

/// How many characters a line has.
fn characters(line: &[u8]) -> usize {
    String::from_utf8_lossy(line).chars().count()
}

/// The number an air pass gets.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Chosen {
    As(u32),
    LeftOut,
}

/// An air pass, proven.
#[derive(Debug, Clone, PartialEq)]
pub struct Lifted {
    /// Its text.
    pub text: Vec<u8>,
    /// By how much every height was lifted, in the unit of the settings.
    pub by: f64,
    /// Its lowest Z, in the unit of the settings.
    pub lowest: f64,
    /// Its program number, when it has one.
    pub number: Option<u32>,
    /// What it stays above.
    pub over: Over,
    /// What the operator has to see to, as sentences.
    pub cautions: Vec<String>,
    /// What else the operator should know, as sentences.
    pub notes: Vec<String>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_free_number_lies_behind_the_original_and_in_the_range() {
        let free = |range: RangeInclusive<u32>, taken: &[u32], original| {
            AirOptions { range: Some(range), taken: taken.to_vec(), ..AirOptions::default() }.free(original)
        };
        assert_eq!(free(1..=9999, &[], 1001), Some(1002));
        assert_eq!(free(1..=9999, &[1002, 1003], 1001), Some(1004));
        assert_eq!(free(1..=9999, &[], 9999), Some(1));
        assert_eq!(free(1..=9999, &[1, 2], 9999), Some(3));
        assert_eq!(free(5..=6, &[], 6), Some(5));
        assert_eq!(free(5..=5, &[], 5), None);
        assert_eq!(free(5..=6, &[6], 5), None);
        assert_eq!(free(100..=200, &[], 5), Some(100));
        assert_eq!(free(100..=200, &[], 500), Some(100));
        assert_eq!(free(0..=u32::MAX, &[], u32::MAX), Some(0));
    }
}
