//! Whether a program is what a case expects.

use blockwright_core::finding::Severity;
use blockwright_core::program::{Curve, End, Motion, Program};

use crate::expect::{Detail, Expect, Near};

/// What of a program is not as expected.
pub(crate) fn faults(all: &[Expect], program: &Program) -> Vec<String> {
    let mut faults = motion_faults(all, program);
    faults.extend(finding_faults(all, program));
    faults.extend(dwell_faults(all, program));
    for expect in all {
        match expect {
            Expect::Motions(count) if *count != program.motions.len() => {
                faults.push(format!("motions {count}: there are {}", program.motions.len()));
            }
            Expect::Unproven => {
                let stop = program.findings.iter().any(|finding| finding.severity == Severity::Stop);
                if !(program.unproven && stop) {
                    faults.push(format!("unproven: {} {:?}", program.unproven, program.findings));
                }
            }
            Expect::Is { what, text } if *text != told(what, program) => {
                faults.push(format!("{what} {text}: is {}", told(what, program)));
            }
            _ => {}
        }
    }
    faults
}

fn shown(motion: &Motion) -> String {
    let (end, kind) = (motion.end, motion.kind);
    format!(
        "{kind:?} {:?} to {} {} {} F{} S{} T{} @{} {}",
        motion.curve,
        end.x,
        end.y,
        end.z,
        motion.feed,
        motion.spindle,
        motion.tool,
        motion.line,
        if motion.proven { "proven" } else { "unproven" }
    )
}

fn motion_faults(all: &[Expect], program: &Program) -> Vec<String> {
    let wanted: Vec<&Expect> = all.iter().filter(|expect| matches!(expect, Expect::Motion { .. })).collect();
    if wanted.is_empty() {
        return Vec::new();
    }
    let mut faults = Vec::new();
    if wanted.len() != program.motions.len() {
        let all: Vec<String> = program.motions.iter().map(shown).collect();
        faults.push(format!(
            "{} motions expected, there are\n        {}",
            wanted.len(),
            all.join("\n        ")
        ));
        return faults;
    }
    for (expect, motion) in wanted.iter().zip(&program.motions) {
        let Expect::Motion { text, kind, arc, end, details } = expect else { continue };
        let [x, y, z] = [motion.end.x, motion.end.y, motion.end.z];
        let ends = end.iter().zip([x, y, z]).all(|(want, got)| want.is_none_or(|want| want.fits(got)));
        let curve = match (motion.curve, arc) {
            (Curve::Straight, None) => true,
            (Curve::Arc { plane, centre, sweep }, Some((ccw, wanted, [a, b]))) => {
                plane == *wanted && *ccw == (sweep > 0.0) && a.fits(centre.x) && b.fits(centre.y)
            }
            _ => false,
        };
        let details = details.iter().all(|detail| meets(motion, detail));
        if !(ends && curve && details && motion.kind == *kind) {
            faults.push(format!("{text}: is {}", shown(motion)));
        }
    }
    faults
}

fn meets(motion: &Motion, detail: &Detail) -> bool {
    match detail {
        Detail::Feed(want) => want.fits(motion.feed),
        Detail::Spindle(want) => want.fits(f64::from(motion.spindle)),
        Detail::Tool(want) => want.fits(f64::from(motion.tool)),
        Detail::Line(want) => want.fits(f64::from(motion.line)),
        Detail::Length(want) => want.fits(motion.length()),
        Detail::Proven(want) => motion.proven == *want,
        Detail::Up => motion.end_known.is_up(),
        Detail::StartKnown(want) => motion.start_known.is_place() == *want,
        Detail::Sweep(want) => match motion.curve {
            Curve::Arc { sweep, .. } => want.fits(sweep.to_degrees()),
            Curve::Straight => false,
        },
    }
}

fn finding_faults(all: &[Expect], program: &Program) -> Option<String> {
    let mut wanted: Vec<&str> = Vec::new();
    let mut asked = false;
    for expect in all {
        match expect {
            Expect::Finding { text, .. } => wanted.push(text),
            Expect::NoFinding => asked = true,
            _ => {}
        }
    }
    if wanted.is_empty() && !asked {
        return None;
    }
    let mut found: Vec<String> = program
        .findings
        .iter()
        .map(|f| {
            let severity = format!("{:?}", f.severity).to_lowercase();
            let (line, column) = (f.line.unwrap_or(0), f.column.unwrap_or(0));
            format!("{severity} {} {line}:{column}", f.code.text())
        })
        .collect();
    wanted.sort_unstable();
    found.sort_unstable();
    let proven = !program.unproven && program.motions.iter().all(|motion| motion.proven);
    if wanted != found || (wanted.is_empty() && !proven) {
        let messages: Vec<&str> = program.findings.iter().map(|f| f.message.as_str()).collect();
        return Some(format!("findings {wanted:?}: are {found:?} {messages:#?}"));
    }
    None
}

fn dwell_faults(all: &[Expect], program: &Program) -> Vec<String> {
    let wanted: Vec<(&String, Near, usize)> = all
        .iter()
        .filter_map(|expect| match expect {
            Expect::Dwell { text, seconds, before } => Some((text, *seconds, *before)),
            _ => None,
        })
        .collect();
    if wanted.is_empty() {
        return Vec::new();
    }
    if wanted.len() != program.dwells.len() {
        return vec![format!("{} dwells expected, there are {:?}", wanted.len(), program.dwells)];
    }
    let differs = wanted.into_iter().zip(&program.dwells);
    differs
        .filter(|((_, seconds, before), dwell)| !seconds.fits(dwell.seconds) || *before != dwell.before)
        .map(|((text, ..), dwell)| format!("{text}: is {dwell:?}"))
        .collect()
}

/// What a program says of itself, written as a case writes it.
fn told(what: &str, program: &Program) -> String {
    let number = |number: Option<u32>| number.map_or_else(|| "none".to_owned(), |number| number.to_string());
    match what {
        "number" => number(program.number),
        "coolant" => number(program.coolant_left_on),
        "tools" => list(program.tools.iter().map(|call| format!("{}@{}", call.number, call.line))),
        "missing" => list(program.missing.iter().map(u32::to_string)),
        "marks" => {
            let ending = program.ending;
            let mark = |there: bool, word: &'static str| there.then(|| word.to_owned());
            list(
                mark(ending.opened_by_mark, "opened")
                    .into_iter()
                    .chain(mark(ending.closed_by_mark, "closed")),
            )
        }
        "end" => {
            let end = match program.ending.end {
                End::Text => "text",
                End::Word => "word",
                End::Mark => "mark",
                End::Return => "return",
            };
            format!("{end} {}", program.ending.line)
        }
        _ => {
            let start = program.start;
            let parts = [
                ("units", start.units),
                ("plane", start.plane),
                ("distance", start.distance),
                ("system", start.system),
                ("feed_mode", start.feed_mode),
                ("retract", start.retract),
            ];
            list(parts.into_iter().filter_map(|(what, line)| line.map(|line| format!("{what}@{line}"))))
        }
    }
}

fn list(parts: impl Iterator<Item = String>) -> String {
    let parts: Vec<String> = parts.collect();
    if parts.is_empty() { "none".to_owned() } else { parts.join(" ") }
}
