//! The air pass: a program lifted so that it walks round above the block.
//!
//! Only Z changes: Z words, the level R of cycles in G17, and K where arc centres are measured from the program zero.
//! What a lift cannot be made of with certainty is refused. The text that comes out is read back and held against the
//! original, motion by motion.

mod calls;
mod header;
mod heights;
mod notes;
mod options;
mod proof;
mod scan;
mod site;
mod standing;
mod words;

pub use header::{AirMark, is_air_pass_of, mark};
pub use options::{AirOptions, Lifted, Numbering};
pub use standing::{Over, Standing};

pub(super) use heights::heights;

use proof::Heights;
use scan::Scanned;

use std::collections::BTreeMap;

use super::number::{Decimal, Style};
use super::origin::{self, Origin};
use super::text::Edits;
use super::{NotWritten, Refusal, followed};
use crate::program::{self, Motion, Program, Settings};
use crate::task::Task;
use crate::units::Units;

/// Rounding that may lie between a height and what it must reach, far below any least increment.
const ROUNDING: f64 = 1e-7;

/// Lifts that are tried until the lowest point comes to the height wanted.
const MOST_TRIES: usize = 12;

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
    let whole = calls::bundled(text, settings);
    let before = program::read(&whole, settings, task)?;
    followed(&before)?;
    if whole.len() != text.len() {
        moves_the_same(&program::read(text, settings, task)?, &before)?;
    }
    let scanned = scan::scan(&whole, settings, task)?;
    let mut plan = Plan::new(&whole, text, name, options, settings, &before, &scanned)?;
    let mut by = plan.least_lift()?;
    for attempt in 0..MOST_TRIES {
        let (out, header_lines, number) = plan.write(by)?;
        let after = program::read(&out, settings, task)?;
        let lift = by.value() * plan.unit().to(settings.units);
        let shift = proof::Shift {
            by: lift,
            tolerance: plan.tolerance(),
            behind: plan.origin.behind,
            inserted: header_lines,
            machine_lines: &scanned.machine_lines,
        };
        let heights = proof::lifted(&before, &after, &shift)?;
        let next = plan.corrected(by, heights.lowest, attempt == 0)?;
        if next != by {
            // two units in one program round differently, and what was thought the lowest may not rise
            plan.lowest = heights.lowest - lift;
            by = next;
            continue;
        }
        plan.stays_above(&heights)?;
        proof::with_lines_left_out(&whole, &out, settings, &shift, &scanned, plan.target() - ROUNDING, task)?;
        standing::stays_clear(options, &after, settings.units)?;
        let (cautions, notes) = (plan.cautions(number), plan.notes(number, &heights));
        return Ok(Lifted {
            text: out,
            by: lift,
            lowest: heights.lowest,
            number,
            over: plan.over,
            cautions,
            notes,
        });
    }
    Err(Refusal::new("No lift brings the program to the height wanted. Look at the heights given.").into())
}

/// The programs that are called were put behind the caller, which must not change what moves.
fn moves_the_same(alone: &Program, whole: &Program) -> Result<(), Refusal> {
    let moves = |motion: &Motion| Motion { line: 0, ..*motion };
    let same = alone.motions.iter().map(moves).eq(whole.motions.iter().map(moves));
    if same && !alone.unproven {
        return Ok(());
    }
    Err(Refusal::new(
        "With a copy of the programs that it calls put after it, the program would not move as before, so no air pass \
         was made. Put the lines of the called programs in the place of the calls.",
    ))
}

/// What is known before anything is written.
#[derive(Debug)]
struct Plan<'a> {
    /// The program, with copies of those that it calls.
    text: &'a [u8],
    /// The program as it is.
    original: &'a [u8],
    name: &'a str,
    options: &'a AirOptions,
    settings: &'a Settings,
    before: &'a Program,
    scanned: &'a Scanned,
    origin: Origin,
    lowest: f64,
    /// What it must stay above.
    over: Over,
    numbering: options::Chosen,
    /// The numbers that the copies of the programs it calls get, by their own.
    copies: BTreeMap<u32, u32>,
}

impl<'a> Plan<'a> {
    fn new(
        text: &'a [u8],
        original: &'a [u8],
        name: &'a str,
        options: &'a AirOptions,
        settings: &'a Settings,
        before: &'a Program,
        scanned: &'a Scanned,
    ) -> Result<Self, Refusal> {
        let nothing = || Refusal::new("The program moves to no stated Z, so there is nothing to lift.");
        if scanned.sites.is_empty() {
            return Err(nothing());
        }
        let rising =
            |motion: &&Motion| motion.end_known.axis(2) && !scanned.machine_lines.contains(&motion.line);
        let ends = before.motions.iter().filter(rising).map(|motion| motion.end.z);
        let lowest = ends.reduce(f64::min).ok_or_else(nothing)?;
        let origin = Origin::of(text, settings);
        // another program in the same text keeps its number
        let mut own = options.clone();
        own.taken.extend(origin::numbers(text, settings));
        let number = origin.number.as_ref().map(|(_, number)| *number);
        let numbering = own.choose(number)?;
        let copies = copies(&mut own, number, numbering, scanned)?;
        let over = standing::highest(options, before, scanned.plan_line, settings.units)?;
        Ok(Self {
            text,
            original,
            name,
            options,
            settings,
            before,
            scanned,
            origin,
            lowest,
            over,
            numbering,
            copies,
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

    /// The lift in whole increments that brings everything to the height wanted, as far as the motions tell.
    fn least_lift(&self) -> Result<Decimal, Refusal> {
        let needed = (self.target() - self.lowest) * self.settings.units.to(self.unit());
        self.lift_of((needed / increment(self.unit()) - ROUNDING / increment(self.unit())).ceil())
    }

    /// The lift that is wanted after all, when one has brought the lowest to this height. It is made less once at the
    /// most, since two units in one program round to and fro.
    fn corrected(&self, by: Decimal, lowest: f64, may_lower: bool) -> Result<Decimal, Refusal> {
        let missing = (self.target() - lowest) * self.settings.units.to(self.unit()) / increment(self.unit());
        let more = (missing - ROUNDING / increment(self.unit())).ceil();
        if !more.is_finite() {
            return Err(Refusal::new("Nothing in the program rises with a lift of its heights."));
        }
        if more > 0.0 || (more < 0.0 && may_lower) { self.lift_of(by.digits as f64 + more) } else { Ok(by) }
    }

    fn lift_of(&self, increments: f64) -> Result<Decimal, Refusal> {
        if increments < 1.0 {
            let fine = |length| self.settings.units.fine_with_unit(length);
            return Err(Refusal::new(format!(
                "The program already stays at {} and above, so lifting it to {} would bring it down. Give a greater \
                 height.",
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

    /// Places that do not rise must lie high enough as they are.
    fn stays_above(&self, heights: &Heights) -> Result<(), Refusal> {
        let Some((z, line)) = heights.same.filter(|(z, _)| *z < self.target() - ROUNDING) else {
            return Ok(());
        };
        let fine = |length| self.settings.units.fine_with_unit(length);
        Err(Refusal::on_line(
            line,
            format!(
                "Here the tool is at Z {} by the machine or by G92, which a lift does not move, and the air pass must \
                 stay at Z {} and above. State a Z with G90 before it moves, or take the line out of a copy of the \
                 program.",
                fine(z),
                fine(self.target())
            ),
        ))
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
            text: self.original,
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
        for call in &self.scanned.calls {
            if let Some(number) = self.copies.get(&call.number) {
                call.renumber(self.text, *number, &mut edits)?;
            }
        }
        if !self.copies.is_empty() {
            calls::renumber_held(self.text, self.settings, &self.copies, &mut edits);
        }
        let out = edits.apply(self.text);
        self.options.check_lines(self.text, &out)?;
        Ok((out, new.len() as u32, number))
    }
}

/// The numbers for copies of the programs that are called.
fn copies(
    options: &mut AirOptions,
    number: Option<u32>,
    numbering: options::Chosen,
    scanned: &Scanned,
) -> Result<BTreeMap<u32, u32>, Refusal> {
    let mut copies = BTreeMap::new();
    options.taken.extend(number);
    if let options::Chosen::As(number) = numbering {
        options.taken.push(number);
    }
    for call in &scanned.calls {
        if copies.contains_key(&call.number) {
            continue;
        }
        let free = options.free(call.number).ok_or_else(|| {
            Refusal::new("No program number is free for the copies of the programs it calls. Free some in the control.")
        })?;
        options.taken.push(free);
        copies.insert(call.number, free);
    }
    Ok(copies)
}
