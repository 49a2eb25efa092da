//! From words to motions: what a control would do with a program, line by line.

mod arcs;
mod axis_words;
mod calls;
mod compensation;
mod cycle;
mod faults;
mod frame;
mod line;
mod log;
mod modal;
mod modes;
mod motions;
mod orders;
mod quote;
mod reader;
mod retreat;
mod settings;
mod source;
mod speeds;
mod strangers;
mod systems;
mod turned;
mod turning;

pub(crate) use calls::number_and_times;
pub(crate) use frame::system_name;
pub use settings::{Settings, Subprogram};
pub use source::called;
pub(crate) use source::held;

use self::line::Run;
use self::reader::{Reader, Stage};
use super::lines::Lines;
use super::result::{End, Program};
use super::words::{Words, is_heading};
use crate::finding::{Code, Finding, Severity};
use crate::limits::MOTIONS;
use crate::task::{Cancelled, Task};

/// Lines, and steps of cycles, between two looks at the cancel flag.
const WORK_A_LOOK: u64 = 4096;

/// Lines that may stand before the first `%`.
const LONGEST_HEADING: usize = 60;

/// Bytes of a usual line, to begin with about the right amount of memory.
const BYTES_A_LINE: usize = 24;

/// Reads a program. It never fails for its text: what cannot be followed becomes a finding, and reading goes on.
///
/// Followed is the language of NISTIR 6556 for three axes, in its order of execution (table 8), and beyond it G73, G95
/// and what the settings say of the control. M2, M30, M99 and the second `%` end the program; nothing stays in force
/// after that. Motions are in the coordinates of the first coordinate system the program moves in.
///
/// # Errors
/// [`Cancelled`] when the task was asked to stop.
pub fn read(text: &[u8], settings: &Settings, task: Task<'_>) -> Result<Program, Cancelled> {
    let mut reader = Reader::new(text, settings);
    reader.out.motions.reserve((text.len() / BYTES_A_LINE).min(MOTIONS));
    let mut words = Words::default();
    let mut next_look = 0;
    let heading = heading(text);
    while reader.stage != Stage::Ended {
        reader.work += 1;
        if reader.work >= next_look {
            next_look = reader.work + WORK_A_LOOK;
            task.cancel.check()?;
            task.tell("Reading the program", reader.source.part());
        }
        let Some(line) = reader.source.next() else {
            // The text of a called program ran out: its caller goes on.
            if reader.source.called().is_some() {
                Run::new(&mut reader, b"", &Words::default()).tell_unreturned();
                continue;
            }
            break;
        };
        if reader.source.line() <= heading && reader.source.called().is_none() {
            continue;
        }
        words.read(line, &reader.parameters, settings.dialect());
        let mut run = Run::new(&mut reader, line, &words);
        run.line();
        if run.reader.source.is_endless() {
            run.tell_endless();
        }
    }
    let lines = after_the_end(text, &mut reader, &mut words, task)?;
    task.cancel.check()?;
    let mut program = reader.finish(lines);
    program.motions.shrink_to_fit();
    Ok(program)
}

/// Lines of text that a listing has before its first `%`: controls begin at that (common practice, no source).
pub(crate) fn heading(text: &[u8]) -> u32 {
    for (index, line) in Lines::new(text).take(LONGEST_HEADING).enumerate() {
        if line.trim_ascii_start().starts_with(b"%") {
            return index as u32;
        }
        if !is_heading(line) {
            break;
        }
    }
    0
}

/// Counts the lines of the whole text, and tells of what stands behind the end of the program.
fn after_the_end(
    text: &[u8],
    reader: &mut Reader<'_>,
    words: &mut Words,
    task: Task<'_>,
) -> Result<usize, Cancelled> {
    let end = reader.ending.line as usize;
    let ended = reader.ending.end != End::Text;
    let (mut count, mut quiet) = (0_usize, !ended);
    for line in Lines::new(text) {
        count += 1;
        if (count as u64).is_multiple_of(WORK_A_LOOK) {
            task.cancel.check()?;
        }
        if count <= end {
            continue;
        }
        if quiet {
            // Subprograms lie behind the end; the mark comes behind them.
            let mark = line.trim_ascii_start().starts_with(b"%");
            reader.ending.closed_by_mark |= ended && reader.ending.opened_by_mark && mark;
            continue;
        }
        words.read(line, &reader.parameters, reader.settings.dialect());
        if words.mark {
            reader.ending.closed_by_mark |= reader.ending.opened_by_mark;
        } else if !(words.found.is_empty() && words.problems.is_empty() && words.settings.is_empty()) {
            quiet = true;
            let another = words.found.first().is_some_and(|word| word.letter == b'O');
            if !(another && reader.settings.subprograms.is_some()) {
                let column = words.found.first().map_or(0, |word| word.span.from);
                tell_more(reader, count as u32, quote::column(line, column));
            }
        }
    }
    Ok(count)
}

/// Tells of text behind the end. When that end is a `%` with words before it, controls differ in which part they run.
fn tell_more(reader: &mut Reader<'_>, line: u32, column: u32) {
    let doubtful = reader.ending.end == End::Mark && !reader.ending.opened_by_mark;
    let (severity, message) = if doubtful {
        (
            Severity::Stop,
            "There are words before the % above and words after it: some controls begin at the %, others \
             end there, so nothing is checked. Delete one of the two parts.",
        )
    } else {
        (
            Severity::Note,
            "The program has ended before this line; what stands from here on is not run and was not looked at.",
        )
    };
    reader.unproven |= doubtful;
    reader.log.add(Code::UnprovenState, severity, || {
        Finding::new(Code::UnprovenState, severity, message).on_line(line).in_column(column)
    });
}
