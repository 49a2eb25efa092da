//! One expectation of a case, from its line.

use blockwright_core::finding::Severity;
use blockwright_core::program::{Kind, Plane};

/// A number as a case writes it, and how far off it may be.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Near {
    value: f64,
    within: f64,
}

/// Numbers of a case are exact unless they are written with this many decimals: then they are rounded.
const ROUNDED: usize = 4;

impl Near {
    fn parse(text: &str) -> Option<Self> {
        let decimals = text.split_once('.').map_or(0, |(_, decimals)| decimals.len());
        let half = 0.5 * 0.1_f64.powi(i32::try_from(decimals).ok()?);
        let within = if decimals >= ROUNDED { half * 1.001 } else { 1e-9 };
        Some(Self { value: text.parse().ok()?, within })
    }

    /// Whether it is this value.
    pub(crate) fn fits(self, value: f64) -> bool {
        (value - self.value).abs() <= self.within
    }
}

/// Something more about a motion.
#[derive(Debug)]
pub(crate) enum Detail {
    Feed(Near),
    Spindle(Near),
    Tool(Near),
    Line(Near),
    Sweep(Near),
    Length(Near),
    Proven(bool),
    StartKnown(bool),
    /// It ends where the tool is only known to be up.
    Up,
}

/// A line of the section `expect`.
#[derive(Debug)]
pub(crate) enum Expect {
    Motion {
        text: String,
        kind: Kind,
        arc: Option<(bool, Plane, [Near; 2])>,
        end: [Option<Near>; 3],
        details: Vec<Detail>,
    },
    Motions(usize),
    Finding {
        severity: Severity,
        text: String,
    },
    NoFinding,
    Dwell {
        text: String,
        seconds: Near,
        before: usize,
    },
    /// A finding of any kind stops the proof.
    Unproven,
    /// Something that is compared as it is written.
    Is {
        what: &'static str,
        text: String,
    },
}

impl Expect {
    /// Reads one line.
    pub(crate) fn parse(line: &str) -> Result<Self, String> {
        Self::of(line).ok_or_else(|| format!("cannot be understood: {line}"))
    }

    fn of(line: &str) -> Option<Self> {
        let words: Vec<&str> = line.split_whitespace().collect();
        let (first, rest) = words.split_first()?;
        Some(match *first {
            "rapid" => motion(line, Kind::Rapid, None, rest)?,
            "feed" => motion(line, Kind::Feed, None, rest)?,
            "arc" => arc(line, rest)?,
            "motions" => Self::Motions(rest.first()?.parse().ok()?),
            "no" if rest == ["finding"] => Self::NoFinding,
            "unproven" if rest.is_empty() => Self::Unproven,
            "finding" => {
                let severity = match *rest.first()? {
                    "stop" => Severity::Stop,
                    "look" => Severity::Look,
                    "note" => Severity::Note,
                    _ => return None,
                };
                Self::Finding { severity, text: rest.join(" ") }
            }
            "dwell" => {
                let [seconds, "before", before] = rest else { return None };
                Self::Dwell {
                    text: line.to_owned(),
                    seconds: Near::parse(seconds)?,
                    before: before.parse().ok()?,
                }
            }
            what => {
                let what = ["number", "tools", "end", "marks", "coolant", "relies", "missing"]
                    .into_iter()
                    .find(|known| *known == what)?;
                Self::Is { what, text: rest.join(" ") }
            }
        })
    }
}

/// `X Y Z`, each a number or `*`, and details.
fn motion(line: &str, kind: Kind, arc: Option<(bool, Plane, [Near; 2])>, words: &[&str]) -> Option<Expect> {
    let [x, y, z, rest @ ..] = words else { return None };
    let mut end = [None; 3];
    for (place, word) in end.iter_mut().zip([x, y, z]) {
        *place = if *word == "*" { None } else { Some(Near::parse(word)?) };
    }
    let mut details = Vec::new();
    let mut rest = rest.iter();
    while let Some(word) = rest.next() {
        details.push(match *word {
            "proven" => Detail::Proven(true),
            "unproven" => Detail::Proven(false),
            "guessed" => Detail::StartKnown(false),
            "known" => Detail::StartKnown(true),
            "up" => Detail::Up,
            "sweep" => Detail::Sweep(Near::parse(rest.next()?)?),
            "length" => Detail::Length(Near::parse(rest.next()?)?),
            word => match word.split_at(1) {
                ("F", number) => Detail::Feed(Near::parse(number)?),
                ("S", number) => Detail::Spindle(Near::parse(number)?),
                ("T", number) => Detail::Tool(Near::parse(number)?),
                ("@", number) => Detail::Line(Near::parse(number)?),
                _ => return None,
            },
        });
    }
    Some(Expect::Motion { text: line.to_owned(), kind, arc, end, details })
}

/// `cw` or `ccw`, the plane unless it is XY, `centre A B to X Y Z`.
fn arc(line: &str, words: &[&str]) -> Option<Expect> {
    let (turn, words) = words.split_first()?;
    let ccw = match *turn {
        "ccw" => true,
        "cw" => false,
        _ => return None,
    };
    let (plane, words) = match *words.first()? {
        "zx" => (Plane::Zx, words.get(1..)?),
        "yz" => (Plane::Yz, words.get(1..)?),
        _ => (Plane::Xy, words),
    };
    let ["centre", a, b, "to", rest @ ..] = words else { return None };
    motion(line, Kind::Feed, Some((ccw, plane, [Near::parse(a)?, Near::parse(b)?])), rest)
}
