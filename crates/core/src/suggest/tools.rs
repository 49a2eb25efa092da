//! The tools of a job from those of its programs: one number, one tool.

use super::Making;
use super::claim::Claim;
use super::form::Sayings;
use super::program::Told;
use crate::job::Basis;
use crate::tool::Tool;

/// A tool in the making.
struct Entry {
    number: u32,
    said: Sayings,
}

impl Making {
    /// The tools, and the number of each program's own with what it rests on.
    pub(super) fn tools(&mut self, told: &[&Told<'_>]) -> (Vec<Tool>, Vec<Claim<u32>>) {
        let mut entries: Vec<Entry> = Vec::new();
        let mut numbers: Vec<Option<Claim<u32>>> = Vec::new();
        let mut without: Vec<(usize, Sayings)> = Vec::new();
        for (index, told) in told.iter().enumerate() {
            let cutting = told.cutting();
            let mut own = None;
            for (at, tool) in told.tools().into_iter().enumerate() {
                match tool.number {
                    Some(number) => {
                        self.put(&mut entries, number.value, tool.said);
                        if at == cutting {
                            own = Some(number);
                        }
                    }
                    None => without.push((index, tool.said)),
                }
            }
            numbers.push(own);
        }
        for (index, said) in without {
            let number = self.number_for(&mut entries, said);
            numbers[index] = Some(Claim::new(number, Basis::Usual));
        }
        entries.sort_by_key(|entry| entry.number);
        let mut tools = Vec::new();
        let mut asked = Vec::new();
        for entry in entries {
            let (tool, entries) = entry.said.tool(entry.number, self.units);
            tools.push(tool);
            asked.extend(entries);
        }
        self.to_confirm.extend(asked);
        let numbers =
            numbers.into_iter().map(|number| number.unwrap_or(Claim::new(1, Basis::Usual))).collect();
        (tools, numbers)
    }

    fn put(&self, entries: &mut Vec<Entry>, number: u32, said: Sayings) {
        match entries.iter_mut().find(|entry| entry.number == number) {
            Some(entry) => entry.said.join(said, self.units),
            None => entries.push(Entry { number, said }),
        }
    }

    /// A number for the tool of a program that calls none: that of one that is described alike, or the next free one.
    fn number_for(&self, entries: &mut Vec<Entry>, said: Sayings) -> u32 {
        let alike = entries.iter().find(|entry| entry.said.is_like(&said)).map(|entry| entry.number);
        if let Some(number) = alike {
            self.put(entries, number, said);
            return number;
        }
        let taken = |number: u32| entries.iter().any(|entry| entry.number == number);
        let mut number = 1;
        while taken(number) {
            number += 1;
        }
        entries.push(Entry { number, said });
        number
    }
}
