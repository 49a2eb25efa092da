//! A place on a line, from which blanks count for nothing and small letters for capitals.

use super::super::number::past_blanks;

#[derive(Debug, Clone)]
pub(super) struct Cursor<'a> {
    pub line: &'a [u8],
    /// Behind the last character taken.
    pub at: usize,
}

impl<'a> Cursor<'a> {
    pub(super) const fn new(line: &'a [u8], at: usize) -> Self {
        Self { line, at }
    }

    /// Where the next character is that is no blank.
    pub(super) fn ahead(&self) -> usize {
        past_blanks(self.line, self.at)
    }

    /// The next character that is no blank, in upper case.
    pub(super) fn peek(&self) -> Option<u8> {
        self.line.get(self.ahead()).map(u8::to_ascii_uppercase)
    }

    /// Takes the next character if it is this one.
    pub(super) fn take(&mut self, byte: u8) -> bool {
        let found = self.peek() == Some(byte);
        if found {
            self.at = self.ahead() + 1;
        }
        found
    }

    /// Takes the characters of `name`, all or none.
    pub(super) fn take_name(&mut self, name: &str) -> bool {
        let before = self.at;
        let found = name.bytes().all(|byte| self.take(byte));
        if !found {
            self.at = before;
        }
        found
    }

    /// Takes the letters that come next, as far as `most`, and counts them.
    pub(super) fn take_letters(&mut self, most: usize) -> usize {
        let mut count = 0;
        while count < most && self.peek().is_some_and(|byte| byte.is_ascii_uppercase()) {
            self.at = self.ahead() + 1;
            count += 1;
        }
        count
    }
}
