//! Programs with faults: every fault is told with its place, reading goes on, and nothing panics.

#![expect(clippy::expect_used, reason = "the helpers of a test may fail it")]

use blockwright_core::finding::{Code, Severity};
use blockwright_core::program::{Program, Settings, read};
use blockwright_core::task::{Cancel, Cancelled, Task};
use blockwright_core::units::Units;

fn run(text: &[u8]) -> Program {
    let settings = Settings { strict: true, semicolon_comments: false, ..Settings::new(Units::Inch) };
    read(text, &settings, Task::quiet(&Cancel::new())).expect("nobody cancels")
}

/// As the second line each shall give this one finding, at this column.
const BAD: &[(&[u8], Code, u32)] = &[
    (b"X1.2.3", Code::BadNumber, 1),
    (b"X--1", Code::BadNumber, 1),
    (b"X+-1", Code::BadNumber, 1),
    (b"X1-", Code::BadNumber, 1),
    (b"Y2 X", Code::BadNumber, 4),
    (b"Y2 X.", Code::BadNumber, 4),
    (b"Y2 X-", Code::BadNumber, 4),
    (b"12", Code::BadNumber, 1),
    (b" -.5 X1", Code::BadNumber, 2),
    (b"X99999999999999999999999999999999", Code::BadNumber, 1),
    (b"F-1", Code::BadNumber, 1),
    (b"S-1", Code::BadNumber, 1),
    (b"T1.5", Code::BadNumber, 1),
    (b"T-1", Code::BadNumber, 1),
    (b"T65536", Code::BadNumber, 1),
    (b"N-1", Code::BadNumber, 1),
    (b"N1.5 X1", Code::BadNumber, 1),
    (b"G1.05 X1", Code::UnprovenWord, 1),
    (b"G-1 X1", Code::UnprovenWord, 1),
    (b"G1000 X1", Code::UnprovenWord, 1),
    (b"G41 X1", Code::UnprovenState, 1),
    (b"G41 D3 X1", Code::UnprovenState, 5),
    (b"G18 G41 D0", Code::UnprovenState, 5),
    (b"G55", Code::UnprovenState, 1),
    (b"G28 Z0", Code::UnprovenState, 1),
    (b"G30", Code::UnprovenState, 1),
    (b"G53 X0", Code::UnprovenState, 1),
    (b"G92", Code::UnprovenWord, 1),
    (b"G10 L3 P1 X0", Code::UnprovenWord, 1),
    (b"G10 L2 P10 X0", Code::UnprovenWord, 1),
    (b"G10 L2 P1 X0", Code::UnprovenState, 1),
    (b"G4", Code::UnprovenWord, 1),
    (b"G4 P-1", Code::BadNumber, 4),
    (b"G4 X2", Code::UnprovenWord, 1),
    (b"G81 X1 Y1 Z-1", Code::UnprovenState, 1),
    (b"G81 X1 Y1 R.1", Code::UnprovenState, 1),
    (b"G81 X1 Z-1 R.1 L0", Code::UnprovenState, 16),
    (b"G83 X1 Z-1 R.1 Q0", Code::UnprovenState, 16),
    (b"G87 X1 Z-1 R.1", Code::UnprovenState, 1),
    (b"G1 G92 X1", Code::UnprovenWord, 1),
    (b"G38.2 X1", Code::UnprovenWord, 1),
    (b"G1 X1 P2", Code::UnprovenWord, 7),
    (b"XO.5", Code::BadNumber, 1),
    (b"X1O5", Code::BadNumber, 1),
    (b"M10", Code::UnprovenWord, 1),
    (b"M98", Code::UnprovenWord, 1),
    (b"M1.5", Code::UnprovenWord, 1),
    (b"A90", Code::UnprovenWord, 1),
    (b"X1 H1", Code::UnprovenWord, 4),
    (b"X1E3", Code::UnprovenWord, 3),
    (b"X1 R1", Code::UnprovenWord, 4),
    (b"I1", Code::UnprovenWord, 1),
    (b"G2 X1 Y1", Code::UnprovenState, 1),
    (b"G2 X1 Y1 I1 R1", Code::UnprovenWord, 10),
    (b"G2 X.5 Y0 I1 K1", Code::UnprovenWord, 14),
    (b"G18 G2 X.5 Z0 I1 J1", Code::UnprovenWord, 18),
    (b"O2", Code::UnprovenWord, 1),
    (b"#0=3", Code::BadNumber, 1),
    (b"X#1", Code::UnprovenState, 2),
    (b"X[1+", Code::BadNumber, 5),
    (b"X[1/0]", Code::BadNumber, 4),
    (b"X1 ; note", Code::UnprovenWord, 4),
    (b"X1 % Y2", Code::UnprovenWord, 4),
    (b"X1 )", Code::UnprovenWord, 4),
    (b"X1 / Y1", Code::UnprovenWord, 4),
    (b"X1 \"", Code::UnprovenWord, 4),
    (b"X1 \xc3\xa9\xc3\xa9", Code::UnprovenWord, 4),
    (b"X1 \xff", Code::UnprovenWord, 4),
    (b"X1 \x01 Y1", Code::UnprovenWord, 4),
    (b"X1 (open", Code::UnprovenWord, 4),
    (b"X1 (a (b))", Code::UnprovenWord, 7),
    (b"M3 M6 M7 M8 M0", Code::UnprovenWord, 13),
];

/// As the second line each shall give no finding at all.
const GOOD: &[&[u8]] = &[
    b"X1.23",
    b"X-1",
    b"X+1",
    b"X1.",
    b"Y2 X0",
    b"Y2 X.0",
    b"X-0.",
    b"N12",
    b" N5 X1",
    b"X999999999",
    b"F0",
    b"S0",
    b"T0",
    b"T65535",
    b"N0",
    b"N00000123456 X1",
    b"G01 X1",
    b"G1.0 X1",
    b"G 0 0 X1",
    b"G40 X1",
    b"G49",
    b"G80",
    b"G80\nG1 X1",
    b"G94",
    b"M0",
    b"M1",
    b"M3",
    b"M05",
    b"M6",
    b"M7 M8",
    b"M9",
    b"x1y2z3",
    b"G2 X1 Y1 R1",
    b"G2 X1 Y.5 I.5",
    b"G2 X1 Y.5 I.5 J0 K0",
    b"G18 G2 X1.5 Z0 I.5",
    b"G19 G3 Y2 Z0 R1",
    b"G91 X1",
    b"G20",
    b"G21",
    b"(X1)",
    b"X1 (note; % / #)",
    b"X1()",
    b"/ X1",
    b"\tX1\t",
    b"",
    b" ",
    b"%",
    b"M30",
    b"M2",
    b"(\xff\xfe)",
    b"G17",
    b"M3 M6 M8 M0",
    b"G54 X1",
    b"G61 X1",
    b"G64",
    b"G95 F.01 X1",
    b"G92 X0",
    b"G92.1",
    b"G81 X1 Y1 Z-1 R.1",
    b"G99 G82 X1 Z-1 R.1 P.5",
    b"G4 P1.5",
    b"G4 P1 X1",
    b"G41 D0 X1",
    b"M48",
    b"M60",
    b"#1=3",
    b"#1=3\nX#1",
    b"X[1+2]",
];

#[test]
fn each_fault_is_told_once_with_its_place() {
    for (line, code, column) in BAD {
        let text = [b"G1 X0.5 Y0 Z0 F1\n", *line, b"\nG1 Y5\n"].concat();
        let program = run(&text);
        let shown = String::from_utf8_lossy(line);
        let found: Vec<_> = program
            .findings
            .iter()
            .filter(|f| f.severity == Severity::Stop)
            .map(|f| (f.code, f.line, f.column))
            .collect();
        assert_eq!(found, [(*code, Some(2), Some(*column))], "{shown}: {:#?}", program.findings);
        assert!(program.unproven, "{shown}");
        assert!(program.motions[0].proven, "{shown}: what came before stands");
        assert!(program.motions[1..].iter().all(|motion| !motion.proven), "{shown}: nothing after it does");
        assert!(program.motions.last().is_some_and(|m| m.line == 3), "{shown}: reading goes on");
        assert!(
            program.findings[0].message.len() > 40 && program.findings[0].message.ends_with('.'),
            "{shown}"
        );
    }
}

#[test]
fn what_is_sound_gives_no_finding() {
    for line in GOOD {
        let text = [b"G1 X0.5 Y0 Z0 F1\n", *line, b"\n"].concat();
        let program = run(&text);
        let shown = String::from_utf8_lossy(line);
        assert_eq!(program.findings, [], "{shown}");
        assert!(!program.unproven && program.motions.iter().all(|motion| motion.proven), "{shown}");
    }
}

#[test]
fn words_that_take_the_axes_leave_the_motion_in_force_alone() {
    // the axis words of G28, G92 and of a cycle are not its motions
    for line in ["G28 Z0", "G92 X7", "G65 X1 Z-1 R1", "G4 X2"] {
        let program = run(format!("G1 X1\n{line}\n").as_bytes());
        assert_eq!(program.motions.len(), 1, "{line}");
    }
    // the ones that leave them alone do not
    assert_eq!(run(b"G1 X1\nG54 X2\n").motions.len(), 2);
}

#[test]
fn forty_findings_of_one_code_are_kept_and_the_rest_are_counted() {
    let text = format!("G1 X1\n{}X1.2.3\n", "A1\n".repeat(100));
    let program = run(text.as_bytes());
    let words: Vec<_> = program.findings.iter().filter(|f| f.code == Code::UnprovenWord).collect();
    assert_eq!((words.len(), program.findings.len()), (40, 41));
    assert!(words[39].message.contains("60 more"), "{}", words[39].message);
    assert_eq!(words[39].line, Some(41));
    assert!(!run("G1 X1\n".to_owned().as_bytes()).unproven);
    let forty = run("A1\n".repeat(40).as_bytes());
    assert!(!forty.findings[39].message.contains("more of this kind"));
}

#[test]
fn a_line_without_end_is_one_finding() {
    let program = run(&[b"G1 X1\n".as_slice(), &b"X1 ".repeat(100_000), b"\nX3\n"].concat());
    assert_eq!(program.findings.len(), 1);
    assert_eq!((program.lines, program.motions.len(), program.unproven), (3, 2, true));
    // one of the longest that are read, full of repeats, is kept short by the count
    assert_eq!(run(&b"X1".repeat(2048)).findings.len(), 41);
}

#[test]
fn a_raised_flag_stops_the_reading() {
    let cancel = Cancel::new();
    cancel.raise();
    assert_eq!(read(b"G0 X1", &Settings::new(Units::Mm), Task::quiet(&cancel)), Err(Cancelled));
}

#[test]
fn progress_is_told_and_grows() {
    let told = std::sync::Mutex::new(Vec::new());
    let cancel = Cancel::new();
    let report = |progress: blockwright_core::task::Progress| {
        told.lock().expect("nobody panicked").push(progress.done);
    };
    let text = "G1 X1\n".repeat(20_000);
    let task = Task { cancel: &cancel, report: &report };
    let program = read(text.as_bytes(), &Settings::new(Units::Mm), task).expect("nobody cancels");
    assert_eq!(program.motions.len(), 20_000);
    let told = told.into_inner().expect("nobody panicked");
    assert!(told.len() >= 4 && told.is_sorted(), "{told:?}");
}

/// A seeded sequence that is the same on every machine (Knuth's MMIX constants).
struct Seeded(u64);

impl Seeded {
    fn below(&mut self, limit: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % limit.max(1)
    }
}

const SOUND: &str = "%\nO1001 (OUTLINE)\nN10 G90 G20 G17 G40 G49 G80\nT1 M6\nS800 M3\nG0 X-1. Y-1. Z.1\n\
    G1 Z-.5 F2.\nX5. Y0\nG2 X6. Y1. I0 J1.\nG3 X5. Y2. R1. F5.\nG91 G1 X-.25\nG18 G2 X1. Z0 I.5 K0\nG90 G17\n\
    /G1 X0 Y0\nG21\nG1 X25.4 F100\nG2 I10. J0\nG0 Z10.\nM5 M9\nM30\n%\n";

#[test]
fn damaged_programs_are_read_without_a_panic() {
    let mut seeded = Seeded(20_000_817);
    let pieces: [&[u8]; 14] = [
        b"G2",
        b"R",
        b"-",
        b".",
        b"9999999999",
        b"%",
        b"(",
        b")",
        b"\r",
        b"\n",
        b"\0",
        b"\xc3\xa9",
        b"#[",
        b"/",
    ];
    assert!(run(SOUND.as_bytes()).findings.is_empty());
    for round in 0..2000 {
        let mut text = SOUND.as_bytes().to_vec();
        for _ in 0..=seeded.below(12) {
            let at = seeded.below(text.len());
            match seeded.below(4) {
                0 => text[at] = seeded.below(256) as u8,
                1 => drop(text.remove(at)),
                2 => drop(text.splice(at..at, pieces[seeded.below(pieces.len())].iter().copied())),
                _ => {
                    let to = (at + seeded.below(40)).min(text.len());
                    text.extend_from_within(at..to);
                }
            }
        }
        let program = run(&text);
        for motion in &program.motions {
            assert!(
                motion.length().is_finite() && motion.end.distance(motion.start).is_finite(),
                "round {round}"
            );
        }
        for finding in &program.findings {
            assert!(finding.line.is_some_and(|line| line as usize <= program.lines), "round {round}");
            assert!(finding.column.is_some_and(|column| column >= 1), "round {round}");
        }
    }
}
