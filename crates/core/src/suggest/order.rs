//! In which order the programs run, and what they are called.

use super::claim::Claim;
use super::program::Told;
use super::text::Text;
use super::{Making, stem};
use crate::job::{Basis, Part, ToConfirm};

impl Making {
    /// The order of the programs: by the numbers in their names, or else by their own numbers, or else as they came.
    pub(super) fn order(&mut self, told: &[Told<'_>]) -> Vec<usize> {
        let all: Vec<(&str, &Text)> = told.iter().map(|told| (told.file, &told.text)).collect();
        let (order, from, against) = order(&all);
        if told.len() > 1 {
            self.to_confirm.push(ToConfirm { against, ..ToConfirm::new(Part::Job("passes"), from) });
        }
        order
    }
}

/// The order of files with their texts, what it rests on, and what says otherwise.
pub(super) fn order(all: &[(&str, &Text)]) -> (Vec<usize>, Basis, Vec<Basis>) {
    let as_given: Vec<usize> = (0..all.len()).collect();
    let sorted = |key: &dyn Fn(usize) -> Vec<Piece>| {
        let mut order = as_given.clone();
        order.sort_by_key(|index| key(*index));
        order
    };
    let numbered = |(file, _): &(&str, &Text)| stem(file).bytes().any(|byte| byte.is_ascii_digit());
    let by_name = all.iter().all(numbered).then(|| sorted(&|index| pieces(stem(all[index].0))));
    let number = |(_, text): &(&str, &Text)| text.number.as_ref().map(|called| u64::from(called.number));
    let mut numbers: Vec<u64> = all.iter().filter_map(number).collect();
    numbers.sort_unstable();
    numbers.dedup();
    let by_number = (numbers.len() == all.len())
        .then(|| sorted(&|index| vec![Piece::Number(number(&all[index]).unwrap_or_default())]));
    let first_number = |order: &[usize]| {
        let (file, text) = order.first().and_then(|index| all.get(*index))?;
        Some(text.number.as_ref()?.basis(file))
    };
    match (by_name, by_number) {
        (Some(names), Some(numbers)) if names != numbers => {
            let against = first_number(&numbers).into_iter().collect();
            (names, Basis::FileNames, against)
        }
        (Some(names), _) => (names, Basis::FileNames, Vec::new()),
        (None, Some(numbers)) => {
            let from = first_number(&numbers).unwrap_or(Basis::Usual);
            (numbers, from, Vec::new())
        }
        (None, None) => (as_given, Basis::Usual, Vec::new()),
    }
}

/// A part of a name, for sorting: `9` comes before `10`.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Piece {
    Number(u64),
    Text(String),
}

fn pieces(name: &str) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let mut rest = name;
    while let Some(first) = rest.chars().next() {
        let digits = first.is_ascii_digit();
        let end = rest.find(|c: char| c.is_ascii_digit() != digits).unwrap_or(rest.len());
        let (part, tail) = rest.split_at(end);
        pieces.push(match part.parse() {
            Ok(number) if digits => Piece::Number(number),
            _ => Piece::Text(part.to_lowercase()),
        });
        rest = tail;
    }
    pieces
}

/// The name of the job, where its programs share one, and that of each pass.
pub(super) fn names(told: &[&Told<'_>]) -> (Option<String>, Vec<Claim<String>>) {
    let mut titles: Vec<Vec<Claim<String>>> = told
        .iter()
        .map(|told| {
            let claim =
                |remark: &super::text::Remark| Claim::new(tidy(&remark.text), told.comment(remark.line));
            let mut titles: Vec<Claim<String>> = told.titles().into_iter().map(claim).collect();
            titles.retain(|title| !title.value.is_empty());
            titles
        })
        .collect();
    let mut job = None;
    if told.len() > 1
        && let Some(shared) = titles.first().and_then(|first| {
            first
                .iter()
                .map(|title| title.value.clone())
                .find(|title| titles.iter().all(|titles| titles.iter().any(|other| other.value == *title)))
        })
    {
        for titles in &mut titles {
            titles.retain(|title| title.value != shared);
        }
        job = Some(shared);
    }
    let names: Vec<Claim<String>> = told
        .iter()
        .zip(titles)
        .map(|(told, titles)| {
            let file = || Claim::new(stem(told.file).to_owned(), Basis::FileNames);
            titles.into_iter().next().unwrap_or_else(file)
        })
        .collect();
    if let [only] = &names[..] {
        job = Some(only.value.clone());
    }
    (job, names)
}

/// A title without what only says that it is one.
fn tidy(text: &str) -> String {
    const HEADS: [&str; 10] =
        ["PROGRAM NAME", "PROG NAME", "PROGRAM", "PROG", "PGM", "PART NAME", "PART", "JOB", "NAME", "TITLE"];
    let trim = |text: &str| text.trim_matches(|c: char| c.is_whitespace() || "-*=:_#".contains(c)).to_owned();
    let mut text = trim(text);
    let upper = text.to_uppercase();
    if let Some(head) = HEADS.iter().find(|head| upper.starts_with(**head)) {
        let rest = text.get(head.len()..).unwrap_or_default();
        if rest.trim_start().starts_with([':', '-', '=']) {
            text = trim(rest);
        }
    }
    text
}
