//! The air pass: a program lifted so that it walks round above the block.
//!
//! Only Z changes: Z words, the level R of cycles in G17, and K where arc centres are measured from the program zero.
//! What a lift cannot be made of with certainty is refused. The text that comes out is read back and held against the
//! original, motion by motion.

mod header;
mod heights;
mod options;
mod proof;
mod scan;
mod standing;
mod words;

pub use header::{AirMark, is_air_pass_of, mark};
pub use options::{AirOptions, Lifted, Numbering};
pub use standing::{Over, Standing};

pub(super) use heights::heights;

use scan::Scanned;

use super::number::{Decimal, Style};
use super::origin::{self, Origin};
use super::text::Edits;
use super::{NotWritten, Refusal, followed};
use crate::program::{self, Program, Settings};
use crate::task::Task;
use crate::units::Units;

/// Rounding that may lie between a height and what it must reach, far below any least increment.
const ROUNDING: f64 = 1e-7;

/// Decimal places of the least increment: 0.0001 in, 0.001 mm.
const fn places(units: Units) -> u32 {
    match units {
        Units::Inch => 4,
        Units::Mm => 3,
    }
}

/// The least increment that programs are written in, in its own unit.
const fn increment(units: Units) -> f64 {
    units.pick(0.0001, 0.001)
}

/// Makes the air pass of a program. `name` is what the file is called; it goes into the header.
///
/// The lowest Z of the result lies at `options.above` over the highest of what it must stay above (see [`Over`]), or
/// above that by less than one least increment where the program's own numbers allow no nearer.
///
/// # Errors
/// [`NotWritten::Refused`] with the place and the reason when the program cannot be lifted or the lift cannot be
/// proven; [`NotWritten::Cancelled`] when the task was asked to stop.
pub fn lift(
    text: &[u8],
    name: &str,
    options: &AirOptions,
    settings: &Settings,
    task: Task<'_>,
) -> Result<Lifted, NotWritten> {
    options.check(settings.units)?;
    if let Some(mark) = mark(text) {
        return Err(Refusal::new(format!(
            "This is already an air pass, of {}. Take the real program instead.",
            mark.of
        ))
        .into());
    }
    let before = program::read(text, settings, task)?;
    followed(&before)?;
    let scanned = scan::scan(text, settings, task)?;
    let plan = Plan::new(text, name, options, settings, &before, &scanned)?;
    let mut by = plan.least_lift()?;
    loop {
        let (out, header_lines, number) = plan.write(by)?;
        let after = program::read(&out, settings, task)?;
        let lift = by.value() * plan.unit().to(settings.units);
        let shift = proof::Shift {
            by: lift,
            from: plan.known_from,
            tolerance: plan.tolerance(),
            behind: plan.origin.behind,
            inserted: header_lines,
        };
        proof::lifted(&before, &after, &shift)?;
        let (lowest, highest) = heights(&after.motions, plan.known_from)
            .ok_or_else(|| Refusal::new("The lifted program has no motion at a known height."))?;
        if lowest < plan.target() - ROUNDING {
            // two units in one program round differently; one more increment settles it
            by.digits += 1;
            continue;
        }
        proof::with_lines_left_out(text, &out, settings, &shift, &scanned, plan.target() - ROUNDING, task)?;
        standing::stays_clear(options, &after, settings.units)?;
        let (cautions, notes) = (plan.cautions(number), plan.notes(number, [lowest, highest]));
        return Ok(Lifted { text: out, by: lift, lowest, number, over: plan.over, cautions, notes });
    }
}

/// What is known before anything is written.
#[derive(Debug)]
struct Plan<'a> {
    text: &'a [u8],
    name: &'a str,
    options: &'a AirOptions,
    settings: &'a Settings,
    before: &'a Program,
    scanned: &'a Scanned,
    origin: Origin,
    /// Index of the first motion whose end the program has stated in Z.
    known_from: usize,
    lowest: f64,
    /// What it must stay above.
    over: Over,
    numbering: options::Chosen,
}

impl<'a> Plan<'a> {
    fn new(
        text: &'a [u8],
        name: &'a str,
        options: &'a AirOptions,
        settings: &'a Settings,
        before: &'a Program,
        scanned: &'a Scanned,
    ) -> Result<Self, Refusal> {
        let nothing = || Refusal::new("The program moves to no stated Z, so there is nothing to lift.");
        let known_from = scanned
            .first_line
            .and_then(|line| before.motions.iter().position(|motion| motion.line >= line))
            .ok_or_else(nothing)?;
        let (lowest, _) = heights(&before.motions, known_from).ok_or_else(nothing)?;
        let origin = Origin::of(text, settings);
        // another program in the same text keeps its number
        let mut own = options.clone();
        own.taken.extend(origin::numbers(text, settings));
        let numbering = own.choose(origin.number.as_ref().map(|(_, number)| *number))?;
        let over = standing::highest(options, before, scanned.plan_line, settings.units)?;
        Ok(Self {
            text,
            name,
            options,
            settings,
            before,
            scanned,
            origin,
            known_from,
            lowest,
            over,
            numbering,
        })
    }

    /// The unit that the program writes its first height in.
    fn unit(&self) -> Units {
        self.scanned.sites.first().map_or(self.settings.units, |site| site.units)
    }

    /// The height that nothing may come below.
    fn target(&self) -> f64 {
        self.over.top + self.options.above
    }

    /// Half the least increment, in the coarsest unit that a height is written in.
    fn tolerance(&self) -> f64 {
        let half = |units: Units| increment(units) * units.to(self.settings.units) / 2.0;
        self.scanned.sites.iter().map(|site| half(site.units)).fold(0.0, f64::max) + ROUNDING
    }

    /// The least lift in whole increments that brings everything to the height wanted.
    fn least_lift(&self) -> Result<Decimal, Refusal> {
        let needed = (self.target() - self.lowest) * self.settings.units.to(self.unit());
        let increments = (needed / increment(self.unit()) - ROUNDING / increment(self.unit())).ceil();
        if increments < 1.0 {
            let fine = |length| self.settings.units.fine_with_unit(length);
            return Err(Refusal::new(format!(
                "The program already stays at {} and above, so lifting it to {} would bring it down. Give a greater \
                 height, or look whether the top is right.",
                fine(self.lowest),
                fine(self.target())
            )));
        }
        if increments >= 1e12 {
            return Err(Refusal::new(
                "The lift is longer than any machine is high. Look at the heights given.",
            ));
        }
        Ok(Decimal { digits: increments as i64, places: places(self.unit()) })
    }

    /// The lifted text, the number of lines put in, and the program number.
    fn write(&self, by: Decimal) -> Result<(Vec<u8>, u32, Option<u32>), Refusal> {
        let style = Style { bare_point: self.scanned.bare_point };
        let mut edits = Edits::default();
        for site in &self.scanned.sites {
            let by = if site.units == self.unit() {
                Some(by)
            } else {
                Decimal::nearest(by.value() * self.unit().to(site.units), places(site.units))
            };
            let new = by.and_then(|by| site.lifted(by, style)).ok_or_else(|| {
                Refusal::at(
                    site.line,
                    site.column,
                    "This height has more digits than can be written back. Round it.",
                )
            })?;
            edits.put(site.place.clone(), new);
        }
        let header = header::Header {
            of: self.name,
            text: self.text,
            by: by.value(),
            unit: self.unit(),
            lowest: self.lowest * self.settings.units.to(self.unit()) + by.value(),
            start_above: self
                .scanned
                .starts_open
                .then(|| self.target() * self.settings.units.to(self.unit())),
        };
        let mut new = header.lines(self.options)?;
        let number = match self.numbering {
            options::Chosen::As(number) if self.origin.number.is_some() => {
                self.origin.renumber(self.text, number, &mut edits);
                Some(number)
            }
            options::Chosen::As(number) => {
                new.insert(0, origin::number_word(number, 0));
                Some(number)
            }
            options::Chosen::LeftOut => {
                if let Some((place, _)) = &self.origin.number {
                    edits.put(place.clone(), Vec::new());
                }
                None
            }
        };
        self.origin.insert(&new, &mut edits);
        let out = edits.apply(self.text);
        self.options.check_lines(self.text, &out)?;
        Ok((out, new.len() as u32, number))
    }

    fn cautions(&self, number: Option<u32>) -> Vec<String> {
        let mut cautions = Vec::new();
        if self.scanned.starts_open {
            cautions.push(format!(
                "It moves in X and Y before it has come to a stated Z: at the start the tool must already stand above Z {}.",
                self.settings.units.fine_with_unit(self.target())
            ));
        }
        cautions.push("Spindle and coolant run as in the program. Keep a hand on feed hold.".to_owned());
        let own = number.map_or(String::new(), |number| {
            format!(" The control may already hold a program O{number}: check before you send this one.")
        });
        cautions.push(format!("Delete it from the control and load the real program before cutting.{own}"));
        cautions
    }

    fn notes(&self, number: Option<u32>, [lowest, highest]: [f64; 2]) -> Vec<String> {
        let mut notes = Vec::new();
        let fine = |length| self.settings.units.fine_with_unit(length);
        notes.extend(self.options.number_note(self.origin.number.as_ref().map(|(_, n)| *n), number));
        notes.extend(self.clamp_note());
        if let Some(travel) = self.options.travel_z
            && highest - lowest > travel + ROUNDING
        {
            notes.push(format!(
                "It goes over {} in Z, and the machine's travel is {}. Lift it less, or shorten its retracts.",
                fine(highest - lowest),
                fine(travel)
            ));
        }
        if let Some(line) = self.before.start.units {
            notes.push(format!(
                "It does not say G20 or G21 before line {line}; {} were taken.",
                if self.settings.units == Units::Inch { "inches" } else { "millimeters" }
            ));
        }
        if let Some(line) = self.before.start.distance {
            notes.push(format!("It does not say G90 or G91 before line {line}; G90 was taken."));
        }
        if let Some(line) = self.scanned.left_alone {
            notes.push(format!(
                "What stands after its end, from line {line} on, is not run and was left as it is."
            ));
        }
        notes
    }

    /// What was made of clamps.
    fn clamp_note(&self) -> Option<String> {
        if self.options.standing.is_empty() {
            return Some(
                "Clamps were not considered: only the height given as top counts. Give the job to have them considered."
                    .to_owned(),
            );
        }
        if self.options.standing.iter().all(|standing| standing.areas.is_empty()) {
            return Some("The job states no clamp areas: clamps were not considered.".to_owned());
        }
        let far = &self.over.out_of_reach;
        (!far.is_empty())
            .then(|| format!("Out of the tool's reach on this path, and not counted: {}.", far.join(", ")))
    }
}
