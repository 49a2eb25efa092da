//! M98 and M99: programs called by programs.

use super::line::{REMEDY, Run, whole};
use super::modal::MWord;
use super::orders::Orders;
use super::source::NoCall;
use crate::control::CallCount;
use crate::finding::{Asks, Code, Severity};
use crate::program::result::End;

/// Digits of a program number, above which P counts where the control counts in P.
const NUMBERS: u32 = 10_000;

/// Most missing programs that are listed.
const MOST_MISSING: usize = 256;

/// The program that `P` calls and how often, when `times` is what L says.
pub(crate) const fn number_and_times(p: u32, times: u32, count: CallCount) -> (u32, u32) {
    match count {
        CallCount::InL => (p, times),
        CallCount::InP if p < NUMBERS => (p, times),
        CallCount::InP => (p % NUMBERS, p / NUMBERS),
    }
}

impl Run<'_, '_> {
    pub(super) fn call(&mut self, orders: &Orders) {
        match orders.call {
            Some((MWord::Call, at)) => self.call_program(at),
            Some((_, at)) => self.come_back(at),
            None => {}
        }
    }

    fn call_program(&mut self, at: usize) {
        let which = self.take(b'P');
        let times = self.take(b'L');
        let Some(count) = self.reader.settings.subprograms else {
            self.asking(Asks::Subprograms).unproven(Code::UnprovenWord, at, |word| {
                format!(
                    "{word} calls another program, and controls differ in how they count; the call is left \
                     out and what follows is not checked. Say how in the job, control, \"subprograms\": \
                     \"count_in_l\" or \"count_in_p\"."
                )
            });
            return;
        };
        let number = which.and_then(|word| whole(word.value));
        let counts_in_l = times.is_some();
        let times = times.map_or(Some(1), |word| whole(word.value));
        let (Some(number), Some(times)) = (number, times) else {
            self.unproven(Code::UnprovenWord, at, |word| {
                format!("{word} needs P with a program number, and L, if it is there, with a whole number: {REMEDY}.")
            });
            return;
        };
        if count == CallCount::InP && counts_in_l {
            self.unproven(Code::UnprovenWord, at, |word| {
                format!(
                    "{word} has an L, and the job says that the control counts calls in P: how often it is called is \
                     not checked. Delete L."
                )
            });
        }
        let (number, times) = number_and_times(number, times, count);
        if self.reader.number == Some(number) {
            self.tell_no_call(NoCall::Itself, number, at);
            return;
        }
        if let Err(fault) = self.reader.source.call(number, times) {
            self.tell_no_call(fault, number, at);
        }
    }

    fn tell_no_call(&mut self, fault: NoCall, number: u32, at: usize) {
        let why = match fault {
            NoCall::Missing => format!(
                "program {number} is neither in this text nor beside it as a file named for its number"
            ),
            NoCall::Twice => format!("program {number} is there more than once"),
            NoCall::Itself => format!("program {number} is the one that calls, so it would never end"),
            NoCall::Deep => "the calls are nested too deep, as when a program calls itself".to_owned(),
        };
        let missing = &self.reader.out.missing;
        if fault == NoCall::Missing && missing.len() < MOST_MISSING && !missing.contains(&number) {
            self.reader.out.missing.push(number);
        }
        self.unproven(Code::UnprovenState, at, |word| {
            format!("{word} calls a program, but {why}. The call is left out: {REMEDY}.")
        });
    }

    /// M99: back to the caller; in the main program controls start over.
    fn come_back(&mut self, at: usize) {
        if self.take(b'P').is_some() {
            self.take_all();
            self.unproven(Code::UnprovenWord, at, |word| {
                format!("{word} with P jumps to a line it names, which is not followed: {REMEDY}.")
            });
        }
        if self.reader.source.come_back() {
            return;
        }
        self.find(Code::UnprovenState, Severity::Look, at, |word| {
            format!(
                "{word} ends the main program, and most controls start it over at once. It is followed once. Write M30 \
                 unless that is meant."
            )
        });
        self.end(End::Return);
    }
}
