//! The words of one line, and what is said about one that no lift can be made of.

use crate::rewrite::Refusal;
use crate::rewrite::text::{Line, Word, column, quoted};

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

    /// Places may be computed; which words there are must stand in the text.
    pub(super) fn refuse_computed_orders(&self) -> Result<(), Refusal> {
        let orders = |word: &&Word| word.number.is_none() && matches!(word.letter, b'G' | b'M' | b'O');
        match self.words.iter().find(orders) {
            None => Ok(()),
            Some(word) => {
                let remedy = "Write the number itself.";
                Err(self.refuse(word, "is computed by the control from parameters", remedy))
            }
        }
    }

    pub(super) fn refuse_macros(&self) -> Result<(), Refusal> {
        match self.number_of(b'G', &[65.0, 66.0]) {
            None => Ok(()),
            Some(word) => Err(self.refuse(
                word,
                "calls a macro, whose Z moves would stay where they are",
                "Put the lines of the called program in the place of the call.",
            )),
        }
    }

    pub(super) fn refuse_call(&self) -> Refusal {
        Refusal::on_line(
            self.line.number,
            "The program called here was not found, so an air pass cannot be made of it with certainty. Put the lines of \
             the called program in the place of the call.",
        )
    }

    pub(super) fn refuse_z(&self, word: &Word, why: &str) -> Result<(), Refusal> {
        if self.find(b'Z').is_none() { Ok(()) } else { Err(self.refuse(word, why, TAKE_OUT)) }
    }
}
