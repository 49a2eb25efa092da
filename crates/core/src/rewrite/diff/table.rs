//! A difference in words.

use std::fmt::Write as _;

use super::{Change, Difference, Lines, Stretch, Summary, Verdict};
use crate::program::Kind;
use crate::units::Units;
use crate::units::fixed;

/// Stretches that a person is shown; the JSON has more.
const SHOWN: usize = 40;

impl Difference {
    /// The plain answer as one or two sentences.
    pub fn sentence(&self) -> String {
        let fine = |length: f64| self.units.fine_with_unit(length);
        match self.verdict {
            Verdict::Same { text_equal: true } => {
                "Same motion: the two texts are equal, byte for byte.".to_owned()
            }
            Verdict::Same { text_equal: false } => "Same motion: only the text differs.".to_owned(),
            Verdict::Lifted { by } if by > 0.0 => format!(
                "Same but for Z: B is A lifted by {0}. B walks {0} above A; it is not the program that cuts.",
                fine(by)
            ),
            Verdict::Lifted { by } => {
                format!("Same but for Z: A is B lifted by {0}. B runs {0} deeper than A.", fine(-by))
            }
            Verdict::Differs if self.stretches.is_empty() => {
                "Differs: the motion is the same, but other words are not (spindle, feed, coolant, stops)."
                    .to_owned()
            }
            Verdict::Differs => {
                let count = self.stretches.len() + self.untold;
                format!("Differs: {count} {}.", if count == 1 { "stretch" } else { "stretches" })
            }
            Verdict::Unproven => {
                let place = |name: &str, summary: &Summary| {
                    summary.unproven_from.map(|(line, _)| format!("{name} from line {line} on"))
                };
                let places: Vec<String> =
                    [place("A", &self.a), place("B", &self.b)].into_iter().flatten().collect();
                format!(
                    "Not certain: {} cannot be followed, so what moves there is not known. Check the \
                    program to see why.",
                    places.join(" and ")
                )
            }
        }
    }
}

impl Change {
    /// What differs, in words.
    pub fn words(&self, units: Units) -> String {
        let fine = |length: f64| units.fine_with_unit(length);
        match *self {
            Self::Depth { least, most } => {
                let way = if most < 0.0 { "deeper" } else { "higher" };
                let (least, most) = (fine(least.abs()), fine(most.abs()));
                if least == most { format!("B {most} {way}") } else { format!("B {least} to {most} {way}") }
            }
            Self::Position { most, at } => format!(
                "position differs by {}, most at X {} Y {}",
                fine(most),
                units.fine(at.x),
                units.fine(at.y)
            ),
            Self::Form => {
                "another path: straight in one and an arc in the other, or an arc the other way".to_owned()
            }
            Self::Feed { from, to } => format!("feed: A {}, B {}", rate(from), rate(to)),
            Self::Spindle { from, to } => format!("spindle: A {}, B {}", turning(from), turning(to)),
            Self::Tool { from, to } => format!("tool: A {from}, B {to}"),
            Self::Kind { from, to } => format!("A {}, B {}", kind(from), kind(to)),
            Self::Dwell { from, to } => {
                format!("dwell: A {} s, B {} s", rate(from), rate(to))
            }
            Self::Missing => "missing in B".to_owned(),
            Self::Added => "added in B".to_owned(),
            Self::Path { from, to } => format!("another path: A {}, B {}", motions(from), motions(to)),
            Self::Order => "in both, but in another order".to_owned(),
        }
    }
}

impl Stretch {
    /// What differs here, in words.
    pub fn words(&self, units: Units) -> String {
        self.changes.iter().map(|change| change.words(units)).collect::<Vec<_>>().join("; ")
    }
}

/// The whole difference as text for people. Writing into a string cannot fail. `a` and `b` are what the programs are called.
pub fn table(difference: &Difference, a: &str, b: &str) -> String {
    let mut out = String::new();
    let width = a.chars().count().max(b.chars().count());
    for (name, file, summary) in [("A", a, &difference.a), ("B", b, &difference.b)] {
        let lowest = summary
            .lowest
            .map_or("no Z stated".to_owned(), |z| format!("lowest Z {}", difference.units.fine_with_unit(z)));
        let _ = writeln!(out, "{name}  {file:width$}  {}, {lowest}", motions(summary.motions));
    }
    let _ = writeln!(out, "\n{}", difference.sentence());
    let told = matches!(difference.verdict, Verdict::Differs | Verdict::Unproven);
    if told && !difference.stretches.is_empty() {
        out.push('\n');
        rows(difference, &mut out);
    }
    if let Some(besides) = &difference.besides {
        let _ = writeln!(out, "\n{besides}");
    }
    if !difference.only_text.is_empty() {
        out += "\nIn the text:\n";
        for note in &difference.only_text {
            let _ = writeln!(out, "  {note}");
        }
    }
    out
}

fn rows(difference: &Difference, out: &mut String) {
    let cells: Vec<[String; 2]> = difference
        .stretches
        .iter()
        .take(SHOWN)
        .map(|stretch| [line_words(stretch.a), line_words(stretch.b)])
        .collect();
    let width =
        |column: usize| cells.iter().map(|row| row[column].len()).max().unwrap_or(0).max("lines in A".len());
    let (first, second) = (width(0), width(1));
    let _ = writeln!(out, "  {:first$}  {:second$}  what", "lines in A", "lines in B");
    for (row, stretch) in cells.iter().zip(&difference.stretches) {
        let _ = writeln!(out, "  {:first$}  {:second$}  {}", row[0], row[1], stretch.words(difference.units));
    }
    let more = difference.stretches.len().saturating_sub(SHOWN) + difference.untold;
    if more > 0 {
        let _ = writeln!(out, "  and {more} more");
    }
}

fn line_words(lines: Option<Lines>) -> String {
    match lines {
        None => "-".to_owned(),
        Some(Lines { from, to }) if from == to => from.to_string(),
        Some(Lines { from, to }) => format!("{from} to {to}"),
    }
}

fn motions(count: usize) -> String {
    format!("{count} {}", if count == 1 { "motion" } else { "motions" })
}

/// A feed or a time without needless places.
fn rate(value: f64) -> String {
    let text = fixed(value, 3);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn turning(speed: f64) -> String {
    match speed {
        0.0 => "stopped".to_owned(),
        speed if speed > 0.0 => format!("M3 {} rev/min", rate(speed)),
        speed => format!("M4 {} rev/min", rate(-speed)),
    }
}

const fn kind(kind: Kind) -> &'static str {
    match kind {
        Kind::Rapid => "rapid",
        Kind::Feed => "feed",
    }
}
