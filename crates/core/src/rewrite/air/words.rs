//! The words of one line, and what is said about one that no lift can be made of.

use crate::program::words::{Token, TokenKind};
use crate::rewrite::Refusal;
use crate::rewrite::text::{Line, Word, bytes, column, quoted};

/// What is usually done about a word that no lift can be made of.
pub(super) const TAKE_OUT: &str = "Take it out of a copy of the program, and lift that.";

/// The words of one line.
pub(super) struct Words<'a> {
    pub line: Line<'a>,
    pub words: Vec<Word>,
}

impl Words<'_> {
    pub(super) fn find(&self, letter: u8) -> Option<&Word> {
        self.words.iter().find(|word| word.letter == letter)
    }

    pub(super) fn value(&self, letter: u8) -> Option<f64> {
        self.find(letter).and_then(|word| word.number)
    }

    pub(super) fn number_of(&self, letter: u8, numbers: &[f64]) -> Option<&Word> {
        let is_one =
            |word: &&Word| word.letter == letter && word.number.is_some_and(|n| numbers.contains(&n));
        self.words.iter().find(is_one)
    }

    /// The number begins with its point.
    pub(super) fn has_bare_point(&self, word: &Word) -> bool {
        let text = self.line.text.get(word.span.start + 1..word.span.end).unwrap_or_default();
        word.point && text.iter().find(|byte| !b" \t+-".contains(byte)) == Some(&b'.')
    }

    pub(super) fn refuse(&self, word: &Word, why: &str, remedy: &str) -> Refusal {
        Refusal::at(
            self.line.number,
            column(self.line.text, word.span.start),
            format!(
                "{} {why}, so an air pass cannot be made of this program with certainty. {remedy}",
                quoted(self.line.text, &word.span)
            ),
        )
    }

    pub(super) fn refuse_what_is_computed(&self, tokens: &[Token]) -> Result<(), Refusal> {
        if let Some(word) = self.words.iter().find(|word| word.number.is_none()) {
            let remedy = "Write the number itself.";
            return Err(self.refuse(word, "is computed by the control from parameters", remedy));
        }
        let Some(token) = tokens.iter().find(|token| token.kind == TokenKind::Setting) else { return Ok(()) };
        let shown = String::from_utf8_lossy(bytes(self.line.text, token)).trim().to_owned();
        Err(Refusal::at(
            self.line.number,
            column(self.line.text, token.span.from),
            format!(
                "{shown} sets a parameter, from which heights may be computed, so an air pass cannot be made of this \
                 program with certainty. Write the numbers themselves."
            ),
        ))
    }

    pub(super) fn refuse_calls(&self) -> Result<(), Refusal> {
        let call = self.number_of(b'M', &[97.0, 98.0]).or_else(|| self.number_of(b'G', &[65.0, 66.0]));
        match call {
            None => Ok(()),
            Some(word) => Err(self.refuse(
                word,
                "calls another program, whose Z moves would stay where they are",
                "Put the lines of the called program in the place of the call.",
            )),
        }
    }

    pub(super) fn refuse_z(&self, word: &Word, why: &str) -> Result<(), Refusal> {
        if self.find(b'Z').is_none() { Ok(()) } else { Err(self.refuse(word, why, TAKE_OUT)) }
    }

    /// G28 and G30 with Z, and without any axis, where controls may send all axes home.
    pub(super) fn refuse_home(&self, word: &Word) -> Result<(), Refusal> {
        self.refuse_z(word, "sends Z to the machine's own position, which a lift does not move")?;
        if self.find(b'X').is_some() || self.find(b'Y').is_some() {
            return Ok(());
        }
        Err(self.refuse(
            word,
            "may send Z to the machine's own position, which a lift does not move",
            TAKE_OUT,
        ))
    }

    pub(super) fn refuse_unknown_height(&self) -> Refusal {
        Refusal::on_line(
            self.line.number,
            "The tool moves here before the program has said at which Z (G90 and Z, after any change of tool length): \
             how high it would be in an air pass is not known. State Z on a line before, or confirm that the tool \
             stands above the wanted height when the program starts.",
        )
    }
}
