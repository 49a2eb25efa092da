//! What a file is, told by what is in it: only like may take the place of like.

use std::fs::{self, File};
use std::io::Read;
use std::path::Path;

use blockwright_core::bring_in;
use blockwright_core::rewrite::air;

use crate::trouble::Trouble;

/// How much of a file is looked at.
const HEAD: u64 = 64 << 10;

/// How a body of a record begins. Other bodies have no sign to be told by.
const SOLID: &[u8] = b"Blockwright body";

/// Lines of a program that are looked at.
const LINES: usize = 60;

/// What a file is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Nothing is in it.
    Empty,
    /// A job file.
    Job,
    /// A crib.
    Crib,
    /// A program that is no air pass.
    Program,
    /// An air pass.
    AirPass,
    /// A PNG picture.
    Picture,
    /// A drawing or a list of values.
    Drawing,
    /// The result of a check.
    Result,
    /// A page for a browser.
    Page,
    /// A PDF document.
    Pdf,
    /// A body as triangles, written by a record.
    Solid,
    /// Anything else.
    Other,
}

impl Kind {
    /// What an ordinary file is.
    ///
    /// # Errors
    /// Why it cannot be looked at.
    pub fn of(path: &Path) -> Result<Self, Trouble> {
        let mut head = Vec::new();
        let read = File::open(path).and_then(|file| file.take(HEAD).read_to_end(&mut head));
        read.map_err(|error| super::unreadable(path, &error))?;
        let length = fs::metadata(path).map_or(0, |about| about.len());
        Ok(Self::told_by(&path.to_string_lossy(), &head, length <= HEAD))
    }

    /// What it is by its name and its first bytes, which are `all` of it or not.
    fn told_by(name: &str, head: &[u8], all: bool) -> Self {
        let text = head.strip_prefix(b"\xef\xbb\xbf").unwrap_or(head);
        let first = text.iter().find(|byte| !byte.is_ascii_whitespace());
        let has = |word: &[u8]| text.windows(word.len()).any(|part| part == word);
        match first {
            None if all => Self::Empty,
            _ if head.starts_with(b"\x89PNG\r\n\x1a\n") => Self::Picture,
            Some(b'{') if has(b"\"blockwright-job/") => Self::Job,
            Some(b'{') if has(b"\"blockwright-crib/") => Self::Crib,
            Some(b'{') if has(b"\"blockwright-proof/") => Self::Result,
            Some(b'{') => Self::Other,
            _ if head.starts_with(b"%PDF-") => Self::Pdf,
            _ if head.starts_with(SOLID) => Self::Solid,
            _ if is_page(text) => Self::Page,
            _ if is_drawing(name, head) => Self::Drawing,
            _ if air::mark(head).is_some() => Self::AirPass,
            _ if is_program(text) => Self::Program,
            _ => Self::Other,
        }
    }

    /// What a file is that was named as a program, by its name and its first bytes, which are `all` of it or not.
    pub(super) fn of_program(path: &Path, head: &[u8], all: bool) -> Self {
        Self::told_by(&path.to_string_lossy(), head, all)
    }

    /// With its article, in a sentence.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Empty => "an empty file",
            Self::Job => "a job",
            Self::Crib => "a crib",
            Self::Program => "a program",
            Self::AirPass => "an air pass",
            Self::Picture => "a picture",
            Self::Drawing => "a drawing or list",
            Self::Result => "the result of a check",
            Self::Page => "a page for a browser",
            Self::Pdf => "a PDF document",
            Self::Solid => "a body as triangles",
            Self::Other => "a file of another kind",
        }
    }
}

fn is_page(text: &[u8]) -> bool {
    let text = text.trim_ascii_start();
    let begins = |word: &[u8]| text.get(..word.len()).is_some_and(|start| start.eq_ignore_ascii_case(word));
    begins(b"<!doctype html") || begins(b"<html")
}

/// A bare list of numbers ending in `.txt` or `.nc` is a program or nothing; a drawing has its own ending or words.
fn is_drawing(name: &str, head: &[u8]) -> bool {
    let plain = Path::new(name).extension().is_none_or(|ending| {
        ["nc", "txt", "tap", "cnc", "gcode", "ngc", "mpf", "prg"]
            .iter()
            .any(|own| ending.eq_ignore_ascii_case(own))
    });
    let svg = || head.windows(4).any(|part| part.eq_ignore_ascii_case(b"<svg"));
    match bring_in::Kind::of(if plain { "" } else { name }, head) {
        Some(bring_in::Kind::Svg) => svg(),
        told => told.is_some(),
    }
}

/// Most of its lines are empty, a comment, or begin as a line of a program does: with a letter and a number.
fn is_program(text: &[u8]) -> bool {
    if text.contains(&0) {
        return false;
    }
    let (mut words, mut others) = (0_usize, 0_usize);
    for line in text.split(|byte| matches!(byte, b'\n' | b'\r')).take(LINES) {
        let line = line.trim_ascii();
        let line = line.strip_prefix(b"/").unwrap_or(line);
        match line {
            [] | [b'%' | b'(' | b';', ..] => {}
            [letter, rest @ ..] if letter.is_ascii_alphabetic() || *letter == b'#' => {
                let next = rest.iter().find(|byte| **byte != b' ');
                let number = |byte: &u8| byte.is_ascii_digit() || b"+-.#[".contains(byte);
                if next.is_some_and(number) { words += 1 } else { others += 1 }
            }
            _ => others += 1,
        }
    }
    words > others
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_are_told_by_what_is_in_them() {
        let cases: [(&str, &[u8], Kind); 18] = [
            ("a.nc", b"", Kind::Empty),
            ("a.nc", b" \r\n", Kind::Empty),
            ("a.json", b"{ \"schema\": \"blockwright-job/1\" }", Kind::Job),
            ("a.nc", b"\xef\xbb\xbf{ \"schema\": \"blockwright-job/1\" }", Kind::Job),
            ("a.json", b"{ \"schema\": \"blockwright-crib/1\" }", Kind::Crib),
            ("a.json", b"{}", Kind::Other),
            ("a.png", b"\x89PNG\r\n\x1a\nrest", Kind::Picture),
            ("1001", b"%\nO1001\n(ROUGH)\nG20 G90\n#1=3\nX[#1] Y1.\n/M8\nM30\n%\n", Kind::Program),
            ("letter.txt", b"Dear all,\nthe block is done.\nX 3 was out.\n", Kind::Other),
            ("a.exe", b"MZ\x90\x00\x03G1\n", Kind::Other),
            ("a.dxf", b"0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n", Kind::Drawing),
            ("a.csv", b"0,0\n4,0\n4,3\n", Kind::Drawing),
            ("a.svg", b"<svg xmlns=\"http://www.w3.org/2000/svg\"/>", Kind::Drawing),
            ("page.html", b"<!DOCTYPE html>\n<p>G1 X1\n", Kind::Page),
            ("a.pdf", b"%PDF-1.7\n", Kind::Pdf),
            ("a.json", b"{ \"schema\": \"blockwright-proof/1\" }", Kind::Result),
            ("a.stl", b"Blockwright body, inch", Kind::Solid),
            ("b.csv", b"pass,name,station\r\n1,a,0.5\r\n", Kind::Drawing),
        ];
        for (name, bytes, kind) in cases {
            assert_eq!(Kind::told_by(name, bytes, true), kind, "{name}");
        }
    }
}
