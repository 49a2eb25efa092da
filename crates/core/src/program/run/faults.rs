//! What is said about text that is no word.

use super::line::{REMEDY, Run};
use super::quote::shown;
use crate::finding::{Asks, Code};
use crate::program::words::{ExpressionFault, Fault, Problem};

impl Run<'_, '_> {
    pub(super) fn tell_problem(&mut self, problem: &Problem) {
        let code = match problem.fault {
            Fault::Number | Fault::NoNumber | Fault::NoLetter | Fault::LetterO | Fault::Expression(_) => {
                Code::BadNumber
            }
            _ => Code::UnprovenWord,
        };
        let (text, problem) = (self.text, *problem);
        if problem.fault == Fault::Stray && text.get(problem.span.from) == Some(&b';') {
            self.asking(Asks::SemicolonComments);
        }
        self.unproven(code, problem.span.from, |_| message(text, &problem));
    }

    /// A parameter that the program reads but never sets: what the control holds there is not known.
    pub(super) fn tell_unset(&mut self) {
        let Some(unset) = self.words.unset else { return };
        self.unproven(Code::UnprovenState, unset.span.from, |_| {
            format!(
                "Parameter #{} is read before the program sets it, so it is whatever the control holds. It \
                 is taken as 0 here, and what follows is not checked. Set it at the top of the program.",
                unset.index
            )
        });
    }
}

const fn why(fault: ExpressionFault) -> &'static str {
    match fault {
        ExpressionFault::Outside => "a calculation after a letter must be in [ ]",
        ExpressionFault::NoValue => "a value is missing",
        ExpressionFault::Number => "a number in it cannot be read",
        ExpressionFault::Sign => "a sign is not followed by a number",
        ExpressionFault::NoOperator => "an operator such as + or * is missing",
        ExpressionFault::UnknownFunction => "it names a function that does not exist",
        ExpressionFault::NoBracket => "a function needs its value in [ ]",
        ExpressionFault::HalfAtan => "ATAN is written ATAN[y]/[x]",
        ExpressionFault::OpenBracket => "a [ is not closed",
        ExpressionFault::TooDeep => "brackets or # are nested too deep",
        ExpressionFault::Index => "parameters are numbered from 1 to 5399, in whole numbers",
        ExpressionFault::NoEquals => "a parameter by itself does nothing; an = is missing",
        ExpressionFault::DivisionByZero => "it divides by zero",
        ExpressionFault::Root => "it takes the root of a negative number",
        ExpressionFault::NotASine => "ASIN and ACOS take numbers from -1 to 1",
        ExpressionFault::RightAngle => "a right angle has no tangent",
        ExpressionFault::NoDirection => "ATAN[0]/[0] has no angle",
        ExpressionFault::Logarithm => "LN takes numbers above 0",
        ExpressionFault::Power => "a negative number has no such power",
        ExpressionFault::TooLarge => "the result is too large for any number",
    }
}

fn message(text: &[u8], problem: &Problem) -> String {
    let shown = shown(text, problem.span);
    let semicolon = text.get(problem.span.from) == Some(&b';');
    match problem.fault {
        Fault::Number => format!("{shown} is not a number that can be read: {REMEDY}."),
        Fault::NoNumber => format!("{shown} has no number: {REMEDY}."),
        Fault::NoLetter => format!("{shown} has no letter before it: {REMEDY}."),
        Fault::LetterO => format!(
            "{shown} has the letter O in place of a zero, so it is left out and what follows is not \
                     checked. Write the digit 0."
        ),
        Fault::Expression(fault) => {
            format!("{shown} cannot be worked out: {}. For now {REMEDY}.", why(fault))
        }
        Fault::Stray if semicolon => "A ; opens a comment on some controls only, and the line is not \
                                          read further: what follows is not checked. Write the comment in ( \
                                          ), or say so in the job, control, \"semicolon_comments\": \"on\"."
            .to_owned(),
        Fault::Stray if text.get(problem.span.from) == Some(&b',') => format!(
            "{shown} begins with a comma, and the line is not read further: what follows is not checked. \
             Write the decimal point."
        ),
        Fault::Stray => {
            format!("{shown} belongs to no word, and the line is not read further: {REMEDY}.")
        }
        Fault::NotText => format!(
            "This line has characters that no control reads: {REMEDY}. Check \
                                       whether the file is damaged."
        ),
        Fault::OpenComment => "This comment does not end on its line, so the rest of the line is not \
                                   read and what follows is not checked. Close it with )."
            .to_owned(),
        Fault::NestedComment => "This comment starts within another, and controls differ in where the \
                                     outer one ends: what follows is not checked. Delete the inner brackets."
            .to_owned(),
        Fault::LongLine => "This line has more than 4096 characters and is not read, so what follows is \
                                not checked. Check whether the file is damaged."
            .to_owned(),
    }
}
