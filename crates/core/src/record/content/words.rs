//! What a program asks of the control besides its motions, as it stands in its text.

use crate::program::Program;

/// The words of one program that are set up for, or waited for.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Asked {
    /// Work offsets that it calls, in order, each once.
    offsets: Vec<String>,
    /// Tool lengths that it calls.
    lengths: Vec<String>,
    /// Coolant turned on and off, by line.
    coolant: Vec<String>,
    /// Where it stops and waits to be started again.
    stops: Vec<String>,
}

impl Asked {
    /// What a program asks for.
    pub(super) fn of(program: &Program) -> Self {
        let mut asked = Self::default();
        for (line, words) in &program.besides {
            let on_line = || format!("{words} at line {line}");
            let (list, text) = if is_offset(words) {
                (&mut asked.offsets, words.clone())
            } else if words.starts_with("G43") {
                (&mut asked.lengths, words.clone())
            } else if let Some(state) = words.strip_prefix("coolant ") {
                (&mut asked.coolant, format!("{state} at line {line}"))
            } else if matches!(words.as_str(), "M0" | "M1" | "M60") {
                (&mut asked.stops, on_line())
            } else {
                continue;
            };
            if !list.contains(&text) {
                list.push(text);
            }
        }
        asked
    }

    /// The work offsets by their words.
    pub(super) fn offset(&self) -> String {
        let none = "no offset called: the one in force counts";
        if self.offsets.is_empty() { none.to_owned() } else { self.offsets.join(", ") }
    }

    /// The tool lengths by their words.
    pub(super) fn length(&self) -> String {
        let none = "none called";
        if self.lengths.is_empty() { none.to_owned() } else { self.lengths.join(", ") }
    }

    /// Whether it calls a tool length at all.
    pub(super) fn has_length(&self) -> bool {
        !self.lengths.is_empty()
    }

    /// When coolant runs, and where the program waits.
    pub(super) fn coolant(&self) -> String {
        if self.coolant.is_empty() { "not called".to_owned() } else { self.coolant.join(", ") }
    }

    /// Where it waits to be started again; `None` when it runs through.
    pub(super) fn stops(&self) -> Option<String> {
        (!self.stops.is_empty()).then(|| self.stops.join(", "))
    }
}

/// G54 to G59, G59.1 to G59.3, G54.1 P1 and so on (RS274/NGC, 3.5.13).
fn is_offset(words: &str) -> bool {
    ["G54", "G55", "G56", "G57", "G58", "G59"].iter().any(|word| words.starts_with(word))
}
