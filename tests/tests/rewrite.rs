//! Programs written from programs, held against what they were written from: random programs by the thousand, every
//! refusal with its place, and the borders of what a control takes.
#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

use std::fmt::Write as _;

use blockwright_core::control::{LineEnd, PlainNumbers};
use blockwright_core::program::{self, Curve, Motion, Plane, Program, Settings};
use blockwright_core::rewrite::air::{self, AirOptions, Lifted, Numbering, is_air_pass_of};
use blockwright_core::rewrite::diff::{self, Change, Difference, Side, Verdict};
use blockwright_core::rewrite::ready::{self, Ready, ReadyOptions};
use blockwright_core::rewrite::{NotWritten, Refusal, checksum};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::units::Units;
use blockwright_tests::{Random, sample};

fn read(text: &[u8], settings: &Settings) -> Program {
    program::read(text, settings, Task::quiet(&Cancel::new())).expect("nobody cancels")
}

fn refused(error: NotWritten) -> Refusal {
    match error {
        NotWritten::Refused(refusal) => refusal,
        NotWritten::Cancelled(_) => unreachable!("nobody cancels"),
    }
}

fn lift(text: &str, options: &AirOptions, settings: &Settings) -> Result<Lifted, Refusal> {
    air::lift(text.as_bytes(), "1001.nc", options, settings, Task::quiet(&Cancel::new())).map_err(refused)
}

fn over(top: f64, above: f64) -> AirOptions {
    AirOptions { top: Some(top), above, ..AirOptions::default() }
}

fn ready(text: &str, options: &ReadyOptions, settings: &Settings) -> Result<Ready, Refusal> {
    ready::make(text.as_bytes(), options, settings, Task::quiet(&Cancel::new())).map_err(refused)
}

fn compare(a: &[u8], b: &[u8], settings: &Settings) -> Difference {
    let (p, q) = (read(a, settings), read(b, settings));
    let side = |text, program| Side { text, program };
    diff::compare(side(a, &p), side(b, &q), settings.units, Task::quiet(&Cancel::new()))
        .expect("nobody cancels")
}

fn inch() -> Settings {
    Settings::new(Units::Inch)
}

/// A program without a word that no lift could be made of.
struct Made {
    text: String,
    /// The unit it begins in.
    units: Units,
}

/// Writes random programs as careless hands would: odd blanks, small letters, comments anywhere, every kind of line
/// end, absolute and incremental, both units, arcs in all planes, helices.
struct Maker {
    random: Random,
    text: String,
    end: &'static str,
    at: [f64; 3],
    units: Units,
    absolute: bool,
    plane: Plane,
}

impl Maker {
    fn program(seed: u64, both_units: bool) -> Made {
        let mut random = Random(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1);
        let end = ["\n", "\r\n", "\r"][pick(&mut random, 3)];
        let units = [Units::Inch, Units::Mm][pick(&mut random, 2)];
        let mut maker =
            Self { random, text: String::new(), end, at: [0.0; 3], units, absolute: true, plane: Plane::Xy };
        maker.opening();
        for _ in 0..8 + pick(&mut maker.random, 30) {
            maker.line(both_units);
        }
        maker.put("M30");
        let mut text = maker.text;
        if pick(&mut maker.random, 2) == 0 {
            let _ = write!(text, "%{end}");
        }
        Made { text, units }
    }

    fn opening(&mut self) {
        if pick(&mut self.random, 2) == 0 {
            self.put("%");
        }
        if pick(&mut self.random, 3) > 0 {
            let number = pick(&mut self.random, 9999) + 1;
            self.put(&format!("O{number:04}"));
        }
        let unit = if self.units == Units::Inch { "G20" } else { "G21" };
        self.put(&format!("{unit} G90 G17 (opening)"));
        self.put("S1200 M3");
        let z = self.length(0.5, 2.0);
        let height = self.shown(z);
        self.put(&format!("G0 Z{height}"));
        self.at[2] = z;
        self.put("G1 X0 Y0 F10");
    }

    fn line(&mut self, both_units: bool) {
        match pick(&mut self.random, 12) {
            0 => {
                self.absolute = !self.absolute;
                self.put(if self.absolute { "G90" } else { "G91" });
            }
            1 if both_units => {
                self.units = if self.units == Units::Inch { Units::Mm } else { Units::Inch };
                let factor = if self.units == Units::Mm { 25.4 } else { 1.0 / 25.4 };
                self.at = self.at.map(|place| place * factor);
                self.put(if self.units == Units::Inch { "G20" } else { "G21" });
                // state all axes anew, so that conversion does not pile up
                self.absolute = true;
                self.straight("G90 G0", [true; 3]);
            }
            2 => {
                self.plane = [Plane::Xy, Plane::Zx, Plane::Yz][pick(&mut self.random, 3)];
                self.put(match self.plane {
                    Plane::Xy => "G17",
                    Plane::Zx => "G18",
                    Plane::Yz => "G19",
                });
            }
            3 => {
                let feed = pick(&mut self.random, 40) + 1;
                self.put(&format!("F{feed}."));
            }
            4 => self.put("(a comment; with Z-9. in it)"),
            5 => self.put(""),
            6..=8 => self.arc(),
            _ => {
                let words = [0, 1, 2].map(|_| pick(&mut self.random, 2) == 0);
                let g = ["G0", "G1", "/G1", "G1 M8"][pick(&mut self.random, 4)];
                // a line that may be left out must leave everything where it was
                if g == "/G1" { self.put("/M8") } else { self.straight(g, words) }
            }
        }
    }

    fn straight(&mut self, g: &str, words: [bool; 3]) {
        let mut line = g.to_owned();
        for (axis, letter) in ['X', 'Y', 'Z'].into_iter().enumerate() {
            if words[axis] || (axis == 0 && words == [false; 3]) {
                let to = self.length(-1.5, 1.5);
                line += &self.word(letter, axis, to);
            }
        }
        self.put(&line);
    }

    /// Half a turn, or a part of a helix, in the plane in force.
    fn arc(&mut self) {
        let (first, second, along) = match self.plane {
            Plane::Xy => (0, 1, 2),
            Plane::Zx => (2, 0, 1),
            Plane::Yz => (1, 2, 0),
        };
        let to =
            |maker: &mut Self, axis: usize| rounded(maker.at[axis] + maker.length(-0.4, 0.4), maker.units);
        let mut end = self.at;
        end[first] = to(self, first) + self.length(0.1, 0.2);
        end[first] = rounded(end[first], self.units);
        end[second] = to(self, second);
        if pick(&mut self.random, 2) == 0 {
            end[along] = to(self, along);
        }
        let chord = (end[first] - self.at[first]).hypot(end[second] - self.at[second]);
        let radius = rounded(chord * 0.8, self.units) + self.units.pick(0.01, 0.2);
        let mut line = ["G2", "G3"][pick(&mut self.random, 2)].to_owned();
        for (axis, letter) in ['X', 'Y', 'Z'].into_iter().enumerate() {
            if axis != along || end[along] != self.at[along] {
                line += &self.word(letter, axis, end[axis]);
            }
        }
        let _ = write!(line, " R{}", self.shown(radius));
        self.put(&line);
    }

    /// An axis word that brings the axis to `to`.
    fn word(&mut self, letter: char, axis: usize, to: f64) -> String {
        let value = if self.absolute { to } else { rounded(to - self.at[axis], self.units) };
        self.at[axis] = if self.absolute { to } else { self.at[axis] + value };
        let letter = if pick(&mut self.random, 4) == 0 { letter.to_ascii_lowercase() } else { letter };
        let gap = [" ", "", "  "][pick(&mut self.random, 3)];
        let inner = ["", "", " "][pick(&mut self.random, 3)];
        format!("{gap}{letter}{inner}{}", self.shown(value))
    }

    /// A number as hands write it.
    fn shown(&mut self, value: f64) -> String {
        let places = self.units.pick(4.0, 3.0) as usize;
        let text = format!("{value:.places$}");
        match pick(&mut self.random, 4) {
            0 => text,
            1 => text.trim_end_matches('0').to_owned(),
            2 if value > 0.0 => format!("+{text}"),
            _ => {
                let short = text.trim_end_matches('0');
                let bare = short.replacen("0.", ".", usize::from(value.abs() < 1.0));
                if bare.contains(|c: char| c.is_ascii_digit()) { bare } else { "0.".to_owned() }
            }
        }
    }

    fn length(&mut self, low: f64, high: f64) -> f64 {
        let scale = self.units.pick(1.0, 25.4);
        let value = self.random.between(low * scale, high * scale);
        rounded(value, self.units)
    }

    fn put(&mut self, line: &str) {
        self.text += line;
        self.text += self.end;
    }
}

fn rounded(value: f64, units: Units) -> f64 {
    let scale = units.pick(1e4, 1e3);
    (value * scale).round() / scale
}

fn pick(random: &mut Random, count: usize) -> usize {
    (random.between(0.0, count as f64) as usize).min(count - 1)
}

/// Lowest Z of all motions behind the first, by many small steps: slow, plain, and knowing nothing of extremes.
fn lowest_by_steps(motions: &[Motion]) -> f64 {
    let known = motions.iter().position(|motion| motion.end.z != motion.start.z).expect("a motion in Z");
    let mut lowest = motions[known].end.z;
    for motion in &motions[known + 1..] {
        let steps = if motion.curve == Curve::Straight { 1 } else { 2000 };
        lowest =
            (0..=steps).map(|step| motion.at(f64::from(step) / f64::from(steps)).z).fold(lowest, f64::min);
    }
    lowest
}

#[test]
fn random_programs_are_lifted_evenly_and_reach_the_height() {
    let (mut arcs, mut out_of_plan, mut lifted_count) = (0, 0, 0);
    for seed in 0..3000 {
        let both = seed % 4 == 0;
        let made = Maker::program(seed, both);
        let settings = Settings::new(made.units);
        let before = read(made.text.as_bytes(), &settings);
        assert!(!before.unproven, "{seed}: {:?}\n{}", before.findings, made.text);
        let above = made.units.pick(0.02, 0.5);
        let top = rounded(lowest_by_steps(&before.motions) + made.units.pick(1.0, 25.0), made.units);
        let lifted = match lift(&made.text, &over(top, above), &settings) {
            Ok(lifted) => lifted,
            Err(refusal) => {
                // an arc whose ends were rounded in two units may not be provable; nothing else may fail
                assert!(both && refusal.message.starts_with("Read back"), "{seed}: {refusal}\n{}", made.text);
                continue;
            }
        };
        lifted_count += 1;
        let after = read(&lifted.text, &settings);
        assert_eq!(before.motions.len(), after.motions.len(), "{seed}");
        let tolerance = if both { 0.00005 * Units::Inch.to(made.units) } else { 1e-9 } + 1e-9;
        let first = before.motions.iter().position(|motion| motion.end.z != motion.start.z).expect("a Z");
        for (a, b) in before.motions.iter().zip(&after.motions).skip(first) {
            assert_eq!((a.end.plan(), a.feed, a.spindle, a.kind), (b.end.plan(), b.feed, b.spindle, b.kind));
            assert!((a.end.z + lifted.by - b.end.z).abs() <= tolerance, "{seed}: line {}", a.line);
            if let Curve::Arc { plane, .. } = a.curve {
                arcs += 1;
                out_of_plan += usize::from(plane != Plane::Xy);
            }
        }
        let lowest = lowest_by_steps(&after.motions);
        let increment =
            made.units.pick(0.0001, 0.001).max(if both { 0.0001 * Units::Inch.to(made.units) } else { 0.0 });
        let chord = made.units.pick(1e-5, 2.5e-4);
        assert!(lowest >= top + above - 1e-7, "{seed}: {lowest}");
        assert!(lowest <= top + above + 2.0 * increment + chord, "{seed}: {lowest}");
        assert!((lifted.lowest - lowest).abs() <= chord, "{seed}");
        let mark = air::mark(&lifted.text).expect("it says what it is");
        assert!(is_air_pass_of(&mark, made.text.as_bytes()) && !is_air_pass_of(&mark, &lifted.text));
        let by = diff::lifted_by(&before, &after, made.units);
        assert!(both || by.is_some_and(|by| (by - lifted.by).abs() < 1e-9), "{seed}: {by:?}");
        if !both {
            let told = compare(made.text.as_bytes(), &lifted.text, &settings).verdict;
            assert!(matches!(told, Verdict::Lifted { by } if by > 0.0), "{seed}: {told:?}");
        }
        assert!(
            lift(&String::from_utf8_lossy(&lifted.text), &over(top + above, above), &settings).is_err(),
            "twice"
        );
    }
    assert!(
        lifted_count > 2900 && arcs > 10_000 && out_of_plan > 5000,
        "{lifted_count} {arcs} {out_of_plan}"
    );
}

/// Everything of a text but header, O word and Z numbers.
#[test]
fn only_heights_change_in_the_text() {
    let text = "%\r\nO1001 (KEEP ME)\r\n N10  g90 G20 G17\r\nG0 Z2.\r\n(Z9)\tX1 z.1\r\nG1 Z-1.0200 F12.\r\nM30\r\n%\r\n";
    let options = AirOptions { range: Some(1..=9999), ..over(0.0, 0.02) };
    let lifted = lift(text, &options, &inch()).expect("it can be lifted");
    assert_eq!((lifted.by, lifted.number), (1.04, Some(1002)));
    let told = lifted.cautions.join(" ");
    assert!(told.contains("feed hold") && told.contains("already hold a program O1002"), "{told}");
    assert!(!told.contains("stand above"), "{told}");
    let expected = format!(
        "%\r\nO1002 (KEEP ME)\r\n(AIR PASS - NOT THE REAL PROGRAM)\r\n(DELETE FROM CONTROL, LOAD THE REAL PROGRAM \
         BEFORE CUTTING)\r\n(SPINDLE AND COOLANT RUN AS IN THE PROGRAM)\r\n(HAND ON FEED HOLD)\r\n(CLAMPS WERE NOT \
         CONSIDERED)\r\n(AIR OF 1001.NC)\r\n(AIR BYTES {})\r\n(AIR SUM {:08X})\r\n(AIR LIFT 1.0400 IN)\r\n(AIR LOWEST \
         0.0200 IN)\r\n N10  g90 G20 G17\r\nG0 Z3.04\r\n(Z9)\tX1 z1.14\r\nG1 Z.0200 F12.\r\nM30\r\n%\r\n",
        text.len(),
        checksum(text.as_bytes())
    );
    assert_eq!(String::from_utf8_lossy(&lifted.text), expected);
}

/// A program, the line that the refusal must name, and a piece of its reason.
const REFUSED: &[(&str, u32, &str)] = &[
    ("G91\nG0 Z-1.\n", 2, "not stated"),
    ("G0 Z1.\nG10 L2 P1 Z1.\n", 2, ""),
    ("G0 Z1.\nG91 G10 L2 P2 Z1.\nG90\n", 2, ""),
    ("G0 Z1.\nM98 P1002\n", 2, ""),
    ("G0 Z1.\nG65 P1002\n", 2, ""),
    ("G0 Z#1\n", 1, ""),
    ("#1=1\nG#1 Z1. F5\n", 2, "computed"),
    ("G0 Z1.\nG1 Z-1. Q(\n", 2, ""),
    ("G0 Z0.1234567890123456\n", 1, "digits"),
];

#[test]
fn what_cannot_be_lifted_is_refused_with_its_place() {
    for (text, line, reason) in REFUSED {
        let refusal = lift(&format!("{text}G1 Z-1. F5\nM30\n"), &over(0.0, 0.1), &inch())
            .expect_err(&format!("{text} must be refused"));
        assert_eq!(refusal.line, Some(*line), "{text}: {refusal}");
        assert!(refusal.message.contains(reason), "{text}: {refusal}");
    }
    for (text, reason) in [
        ("", "nothing to lift"),
        ("(only words)\nM30\n", "nothing to lift"),
        ("G0 Z1.\nG1 X1. F5\nM30\n", "already stays"),
    ] {
        let refusal = lift(text, &over(0.0, 0.1), &inch()).expect_err("refused");
        assert!(refusal.message.contains(reason), "{refusal}");
    }
    for options in
        [over(0.0, 0.0), over(0.0, -1.0), over(0.0, f64::NAN), over(f64::INFINITY, 1.0), over(1e300, 1.0)]
    {
        assert!(lift("G0 Z1.\nG1 Z-1. F5\nM30\n", &options, &inch()).is_err(), "{options:?}");
    }
}

#[test]
fn a_start_at_unknown_height_is_lifted_with_a_caution() {
    let text = "G90 G20\nG0 X1. Y1.\nZ.1\nG1 Z-1. F5\nM30\n";
    let lifted = lift(text, &over(0.5, 0.1), &inch()).expect("lifted");
    let told = lifted.cautions.join(" ");
    assert!(told.contains("must already stand above Z .6000 in"), "{told}");
    let written = String::from_utf8_lossy(&lifted.text).into_owned();
    assert!(written.contains("(AT START TOOL MUST STAND ABOVE Z 0.6000 IN)\n"), "{written}");
    assert!(matches!(compare(text.as_bytes(), &lifted.text, &inch()).verdict, Verdict::Lifted { .. }));
    // X, Y and Z on one line come from an unknown height as well; Z alone first does not.
    for (first, open) in [("G0 X1. Y1. Z.1\n", true), ("G0 Z.1\nX1. Y1.\n", false)] {
        let lifted = lift(&format!("G90 G20\n{first}G1 Z-1. F5\nM30\n"), &over(0.5, 0.1), &inch());
        let told = lifted.expect("lifted").cautions.join(" ");
        assert_eq!(told.contains("must already stand above"), open, "{first}: {told}");
    }
}

#[test]
fn plain_numbers_count_increments_where_the_control_counts_them() {
    let settings = Settings { plain_numbers: PlainNumbers::Increments, ..inch() };
    let lifted =
        lift("G90 G20\nG0 Z20000\nG1 Z-10200 F5\nZ1.\nM30\n", &over(0.0, 0.02), &settings).expect("lifted");
    let text = String::from_utf8_lossy(&lifted.text).into_owned();
    assert!(text.contains("G0 Z30400\nG1 Z200 F5\nZ2.04\n"), "{text}");
    let lifted = lift("G90 G20\nG0 Z2\nG1 Z-1 F5\nM30\n", &over(0.0, 0.02), &inch()).expect("lifted");
    let text = String::from_utf8_lossy(&lifted.text).into_owned();
    assert!(text.contains("G0 Z3.02\nG1 Z0.02 F5\n"), "{text}");
}

#[test]
fn absolute_centres_in_the_upright_planes_are_lifted() {
    let settings = Settings { arc_centers: blockwright_core::control::ArcCenters::Absolute, ..inch() };
    let text = "G90 G20 G18\nG0 X0. Y0. Z0.\nG1 Z-.5 F5\nG2 X1. Z-.5 I.5 K-.5\nG17 G2 X2. I1.5 J0.\nM30\n";
    let lifted = lift(text, &over(0.0, 0.1), &settings).expect("lifted");
    let program = read(&lifted.text, &settings);
    assert!(lowest_by_steps(&program.motions) > 0.0999, "{}", String::from_utf8_lossy(&lifted.text));
}

#[test]
fn the_number_of_an_air_pass_is_never_that_of_the_real_one() {
    let text = "O5\nG90 G20\nG0 Z1.\nG1 Z-1. F5\nM30\n";
    let with = |options: AirOptions| lift(text, &options, &inch());
    let range = |range| AirOptions { range: Some(range), ..over(0.0, 0.1) };
    assert_eq!(with(range(1..=5)).expect("lifted").number, Some(1));
    let none = with(range(5..=5)).expect("lifted");
    assert_eq!(none.number, None);
    assert!(read(&none.text, &inch()).number.is_none() && none.notes.iter().any(|n| n.contains("left out")));
    for (number, fits) in [(4, true), (5, false), (9, true), (3, false), (10, false)] {
        let asked = with(AirOptions { number: Numbering::As(number), ..range(4..=9) });
        assert_eq!(asked.is_ok(), fits, "{number}: {asked:?}");
    }
    let without = lift(&text[3..], &over(0.0, 0.1), &inch()).expect("lifted");
    assert!(without.number.is_none() && without.notes.iter().any(|note| note.contains("no O word")));
    let given = AirOptions { number: Numbering::As(77), ..over(0.0, 0.1) };
    let given = lift(&text[3..], &given, &inch()).expect("lifted");
    assert_eq!(read(&given.text, &inch()).number, Some(77));
}

#[test]
fn random_programs_made_ready_move_as_before() {
    let mut random = Random(11);
    for seed in 10_000..12_000 {
        let made = Maker::program(seed, seed % 3 == 0);
        let settings = Settings::new(made.units);
        let options = ReadyOptions {
            number: Some(7000),
            range: Some(7000..=7000),
            line_end: [None, Some(LineEnd::CrLf), Some(LineEnd::Lf), Some(LineEnd::Cr)][pick(&mut random, 4)],
            longest_line: [None, Some(60), Some(44)][pick(&mut random, 3)],
            characters: [None, Some("()/".to_owned()), Some("()/;,:".to_owned())][pick(&mut random, 3)]
                .clone(),
            sequence: [None, Some([10, 10]), Some([0, 1])][pick(&mut random, 3)],
        };
        let done = ready(&made.text, &options, &settings)
            .unwrap_or_else(|r| unreachable!("{seed}: {r}\n{}", made.text));
        let told = compare(made.text.as_bytes(), &done.text, &settings);
        assert!(matches!(told.verdict, Verdict::Same { .. }), "{seed}: {told:?}");
        assert_eq!(read(&done.text, &settings).number, Some(7000), "{seed}");
        let text = String::from_utf8(done.text).expect("text");
        if let Some(longest) = options.longest_line {
            assert!(text.split(['\r', '\n']).all(|line| line.len() <= longest as usize), "{seed}: {text}");
        }
        if let Some(taken) = &options.characters {
            let fits = |c: char| c.is_ascii_alphanumeric() || "+-. %\r\n".contains(c) || taken.contains(c);
            assert!(text.chars().all(fits), "{seed}: {text}");
        }
    }
}

#[test]
fn ready_rewrites_what_the_control_needs_and_says_so() {
    let text = "%\nO12 (Étui; n° 5)\nG90 G20\t(a long comment that will not fit)\n/N7 G0 X1. Z1.\nG1Z-1.F5;end\nM30\n%\n\0\0";
    let settings = Settings { semicolon_comments: true, ..inch() };
    let options = ReadyOptions {
        number: Some(7),
        line_end: Some(LineEnd::CrLf),
        longest_line: Some(24),
        characters: Some("()/".to_owned()),
        sequence: Some([10, 5]),
        ..ReadyOptions::default()
    };
    let done = ready(text, &options, &settings).expect("it can be made ready");
    assert_eq!(
        String::from_utf8_lossy(&done.text),
        "%\r\nO7 (-tui- n- 5)\r\nN10 G90 G20 (a long comm)\r\n/N15 G0 X1. Z1.\r\nN20G1Z-1.F5(end)\r\nN25M30\r\n%\r\n"
            .replace("N10 G90 G20 (a long comm)", "N10 G90 G20 (a long com)")
    );
    assert_eq!(done.number, Some(7));
    assert!(
        done.notes.iter().any(|note| note.contains("shortened") && note.contains("line 3")),
        "{:?}",
        done.notes
    );
    assert!(done.notes.iter().any(|note| note.contains("replaced")), "{:?}", done.notes);
}

#[test]
fn borders_of_what_a_control_takes() {
    let longest = |longest| ReadyOptions { longest_line: Some(longest), ..ReadyOptions::default() };
    let text = "G90 G20\nG0 X1.25 Y2.5 Z1. (AB)\nM30\n";
    let line = |options: &ReadyOptions| {
        let done = ready(text, options, &inch())?;
        Ok::<_, Refusal>(String::from_utf8_lossy(&done.text).lines().nth(1).unwrap_or_default().to_owned())
    };
    for (characters, is) in [
        (22, "G0 X1.25 Y2.5 Z1. (AB)"),
        (21, "G0 X1.25 Y2.5 Z1. (A)"),
        (20, "G0 X1.25 Y2.5 Z1."),
        (17, "G0 X1.25 Y2.5 Z1."),
        (16, "G0X1.25Y2.5Z1."),
        (14, "G0X1.25Y2.5Z1."),
    ] {
        assert_eq!(line(&longest(characters)).expect("it fits"), is, "{characters}");
    }
    let refusal = line(&longest(13)).expect_err("too long");
    assert_eq!((refusal.line, refusal.message.contains("14 characters")), (Some(2), true), "{refusal}");
    for (number, fits) in [(99, false), (100, true), (200, true), (201, false)] {
        let options =
            ReadyOptions { number: Some(number), range: Some(100..=200), ..ReadyOptions::default() };
        assert_eq!(ready(text, &options, &inch()).is_ok(), fits, "{number}");
    }
    let many = "G90\n".repeat(100);
    for (sequence, fits) in [([1, 1010], false), ([0, 1010], true), ([9, 1010], true), ([10, 1010], false)] {
        let options = ReadyOptions { sequence: Some(sequence), ..ReadyOptions::default() };
        // 99 steps of 1010 are 99990
        let fits = fits || sequence[0] + 99 * sequence[1] <= 99_999;
        assert_eq!(ready(&many, &options, &inch()).is_ok(), fits, "{sequence:?}");
    }
    let options = ReadyOptions { characters: Some(String::new()), ..ReadyOptions::default() };
    assert_eq!(ready("/G90\n", &options, &inch()).expect_err("no /").line, Some(1));
    let done = ready("G90 (x)\n", &options, &inch()).expect("the comment goes");
    assert_eq!(done.text, b"G90\n");
    assert_eq!(done.notes.len(), 2, "{:?}", done.notes);
}

const PROFILE: &str = "O1\nG20 G90 G17\nM3 S1000\nG0 Z1.\nX0. Y0.\nZ.1\nG1 Z-.5 F5.\nX1. F10.\nG2 X2. Y1. I0. J1.\nG1 \
                       Y3.\nX-1.\nY-1.\nX0.\nY0.\nG0 Z1.\nM30\n";

/// What is put in the place of what, the line in A of the first stretch, and what it must say.
const MUTATED: &[(&str, &str, u32, &str)] = &[
    ("Z-.5", "Z-.51", 7, "B .0100 in deeper"),
    ("Z-.5", "Z-.49", 7, "B .0100 in higher"),
    ("Z.1\n", "Z.2\n", 6, "B .1000 in higher"),
    ("X1. F10.", "X1. F12.", 8, "feed: A 10, B 12"),
    ("S1000", "S1200", 4, "spindle: A M3 1000 rev/min, B M3 1200 rev/min"),
    ("M3", "M4", 4, "spindle"),
    ("Y3.\n", "Y3.001\n", 10, "position differs by .0010 in"),
    ("G2 X2. Y1. I0. J1.", "G3 X2. Y1. I0. J1.", 9, "another path: straight in one"),
    ("G2 X2. Y1. I0. J1.", "G1 X2. Y1.", 9, "another path: straight in one"),
    ("Z.1\nG1", "G1", 6, "missing in B"),
    ("X-1.\n", "X-1.\nX-1.5\nX-1.\n", 12, "added in B"),
    ("Y3.\nX-1.\n", "X-1.\nY3.\n", 10, "position differs"),
    ("Z.1\nG1 Z-.5", "Z.1\nG0 Z-.5", 7, "A feed, B rapid"),
    ("X0.\nY0.\nG0 Z1.", "X0.\nY0.\nG1 Z1.", 15, "A rapid, B feed"),
];

#[test]
fn one_changed_word_is_found_at_its_line() {
    for (old, new, line, says) in MUTATED {
        let changed = PROFILE.replacen(old, new, 1);
        assert_ne!(changed, PROFILE, "{old}");
        let told = compare(PROFILE.as_bytes(), changed.as_bytes(), &inch());
        assert_eq!(told.verdict, Verdict::Differs, "{new}: {told:?}");
        let first = told.stretches.first().expect("a stretch");
        let words = first.words(Units::Inch);
        assert!(words.contains(says), "{new}: {words}");
        let at = first.a.or(first.b).map(|lines| lines.from);
        assert_eq!(at, Some(*line), "{new}: {words}");
    }
}

#[test]
fn text_alone_moves_nothing() {
    for (old, new) in [
        ("O1\n", "O2\n"),
        ("\n", "\r\n"),
        ("X1. F10.", "F10. X1.0000 (HERE)"),
        ("G1 Y3.", "N5 G1 Y3."),
        ("Y3.\n", "Y3.\nY3.\n"),
        ("Z1.\nM30", "Z1.\nG0 Z1.\nM30"),
    ] {
        let changed = PROFILE.replacen(old, new, 1);
        let told = compare(PROFILE.as_bytes(), changed.as_bytes(), &inch());
        assert_eq!(told.verdict, Verdict::Same { text_equal: false }, "{new}: {told:?}");
        assert!(told.stretches.is_empty() && !told.only_text.is_empty(), "{told:?}");
    }
    let told = compare(PROFILE.as_bytes(), PROFILE.as_bytes(), &inch());
    assert_eq!(told.verdict, Verdict::Same { text_equal: true });
}

#[test]
fn another_order_is_told_as_such() {
    let row = |y: u32| format!("G1 X0. Y{y}.\nX1. Y{y}.5\nX2. Y{y}.\n");
    let program = |rows: &[u32]| {
        let rows: String = rows.iter().map(|y| row(*y)).collect();
        format!("G20 G90\nG0 Z1.\nX0. Y0.\nG1 Z0. F5.\n{rows}G0 Z1.\nM30\n")
    };
    let (a, b) = (program(&[1, 2, 3, 4, 5, 6, 7]), program(&[1, 6, 2, 3, 4, 5, 7]));
    let told = compare(a.as_bytes(), b.as_bytes(), &inch());
    assert!(told.stretches.iter().all(|stretch| stretch.changes == [Change::Order]), "{told:?}");
    assert_eq!(told.stretches.len(), 2);
}

#[test]
fn only_an_even_lift_of_everything_is_a_lift() {
    let settings = inch();
    let lifted = PROFILE.replace("Z1.", "Z2.").replace("Z.1", "Z1.1").replace("Z-.5", "Z.5");
    let told = compare(PROFILE.as_bytes(), lifted.as_bytes(), &settings);
    assert_eq!(told.verdict, Verdict::Lifted { by: 1.0 });
    let told = compare(lifted.as_bytes(), PROFILE.as_bytes(), &settings);
    assert_eq!(told.verdict, Verdict::Lifted { by: -1.0 });
    assert!(told.sentence().contains("deeper"), "{}", told.sentence());
    for uneven in
        [lifted.replace("Z.5", "Z.6"), lifted.replacen("Z2.", "Z1.", 1), lifted.replace("F10.", "F11.")]
    {
        assert_eq!(compare(PROFILE.as_bytes(), uneven.as_bytes(), &settings).verdict, Verdict::Differs);
    }
    let unfollowed = lifted.replace("M30", "M77\nM30");
    assert_eq!(compare(PROFILE.as_bytes(), unfollowed.as_bytes(), &settings).verdict, Verdict::Unproven);
}

/// Whether two motions differ, by holding them against each other at many points; where neither goes anywhere they
/// do not.
fn moves_differently(a: &Motion, b: &Motion, tolerance: f64) -> bool {
    let stays = |motion: &Motion| {
        motion.start_known.is_place() && motion.curve == Curve::Straight && motion.length() < 1e-9
    };
    let apart = (0..=64).any(|step| {
        let part = f64::from(step) / 64.0;
        let (p, q) = (a.at(part), b.at(part));
        p.plan().distance(q.plan()) > tolerance || (p.z - q.z).abs() > tolerance
    });
    let rest = (a.kind, a.feed, a.spindle, a.tool) != (b.kind, b.feed, b.spindle, b.tool);
    !(stays(a) && stays(b)) && (apart || rest)
}

#[test]
fn one_changed_digit_is_found_where_it_first_moves_something() {
    let mut random = Random(3);
    let (mut differing, mut same) = (0, 0);
    for seed in 20_000..24_000 {
        let made = Maker::program(seed, false);
        let settings = Settings::new(made.units);
        let mut changed = made.text.clone().into_bytes();
        let digits: Vec<usize> = (0..changed.len()).filter(|&at| changed[at].is_ascii_digit()).collect();
        let at = digits[pick(&mut random, digits.len())];
        changed[at] = b'0' + (changed[at] - b'0' + 1 + pick(&mut random, 9) as u8) % 10;
        let (a, b) = (read(made.text.as_bytes(), &settings), read(&changed, &settings));
        if b.unproven || a.motions.len() != b.motions.len() {
            continue;
        }
        let tolerance = diff::tolerance(made.units);
        let pairs = || a.motions.iter().zip(&b.motions);
        let first = pairs().find(|(a, b)| moves_differently(a, b, tolerance)).map(|(a, _)| a.line);
        let told = compare(made.text.as_bytes(), &changed, &settings);
        let told_first =
            told.stretches.first().and_then(|stretch| stretch.a.or(stretch.b)).map(|lines| lines.from);
        assert_eq!(
            told_first,
            first,
            "{seed}: {told:?}\n{}\n{}",
            made.text,
            String::from_utf8_lossy(&changed)
        );
        let words =
            |program: &Program| program.besides.iter().map(|(_, words)| words.clone()).collect::<Vec<_>>();
        let as_before = first.is_none() && words(&a) == words(&b);
        assert_eq!(matches!(told.verdict, Verdict::Same { .. }), as_before, "{seed}");
        if first.is_some() { differing += 1 } else { same += 1 }
    }
    assert!(differing > 2000 && same > 200, "{differing} {same}");
}

#[test]
fn samples_are_lifted_and_proven_the_same_again() {
    for folder in ["signal-lamp-bezel", "vent-cover-die", "round-puck"] {
        let source = sample(folder);
        for (pass, text) in source.job.passes.iter().zip(&source.programs) {
            let settings = Settings::for_job(source.job.units, source.job.control.as_ref());
            let above = source.job.units.pick(0.1, 2.5);
            let options = AirOptions::for_job(above, &source.job, [pass]);
            let text_of = String::from_utf8_lossy(text).into_owned();
            let lifted =
                lift(&text_of, &options, &settings).unwrap_or_else(|r| unreachable!("{}: {r}", pass.name));
            let top = source.job.blank.as_ref().map_or(0.0, |blank| blank.top) - pass.zero.origin[2];
            assert!((lifted.lowest - top - above).abs() < 1e-7, "{}: {}", pass.name, lifted.lowest);
            assert!(
                matches!(compare(text, &lifted.text, &settings).verdict, Verdict::Lifted { by } if by > 0.0)
            );
            let made = ReadyOptions::for_control(Some(9001), source.job.control.as_ref());
            let done =
                ready(&text_of, &made, &settings).unwrap_or_else(|r| unreachable!("{}: {r}", pass.name));
            assert!(matches!(compare(text, &done.text, &settings).verdict, Verdict::Same { .. }));
        }
    }
}

#[test]
fn damaged_texts_are_refused_and_never_break() {
    let mut random = Random(5);
    for seed in 0..3000 {
        let mut bytes = Maker::program(seed, true).text.into_bytes();
        for _ in 0..=pick(&mut random, 6) {
            let at = pick(&mut random, bytes.len());
            bytes[at] = [b'(', b')', b'#', b'[', b';', b'Z', b'%', b'O', b'M', b'9', b'-', 0xff, 0]
                [pick(&mut random, 13)];
        }
        let cancel = Cancel::new();
        let task = Task::quiet(&cancel);
        let settings = Settings { semicolon_comments: seed % 2 == 0, ..inch() };
        let options = AirOptions { longest_line: Some(80), ..over(0.3, 0.1) };
        if let Ok(lifted) = air::lift(&bytes, "x", &options, &settings, task) {
            let (p, q) = (read(&bytes, &settings), read(&lifted.text, &settings));
            assert_eq!(p.motions.len(), q.motions.len());
        }
        let options = ReadyOptions {
            number: Some(1),
            longest_line: Some(30),
            characters: Some("()".to_owned()),
            sequence: Some([1, 1]),
            ..ReadyOptions::default()
        };
        if let Ok(done) = ready::make(&bytes, &options, &settings, task) {
            assert!(matches!(compare(&bytes, &done.text, &settings).verdict, Verdict::Same { .. }), "{seed}");
        }
    }
}

#[test]
fn work_that_is_stopped_writes_nothing() {
    let cancel = Cancel::new();
    cancel.raise();
    let task = Task::quiet(&cancel);
    let text = PROFILE.as_bytes();
    assert!(matches!(air::lift(text, "x", &over(0.0, 0.1), &inch(), task), Err(NotWritten::Cancelled(_))));
    assert!(matches!(
        ready::make(text, &ReadyOptions::default(), &inch(), task),
        Err(NotWritten::Cancelled(_))
    ));
}

/// What may stand in a program that can be lifted, beyond lines and arcs in plan.
const LIFTABLE: &[&str] = &[
    // levels and depths of cycles, with both returns, kept from line to line
    "G98 G81 X1. Y1. Z-.5 R.1 F5.\nX2.\nG99 X3. R.2\nY2. Z-.6\nG80\n",
    "G83 X1. Y1. Z-.5 R.1 Q.1 F5.\nX2. Y2.\nG80\nG1 Z-.7\n",
    "G82 X1. Y1. Z-.5 R.1 P.5 F5.\nG80\nG4 P1.5\n",
    // counted from the level before
    "G91 G81 X1. Y1. Z-.6 R-.8 L3 F5.\nG90 G80\n",
    // along another axis: R is no height there
    "G18 G81 X1. Y-1. Z-.5 R.1 F5.\nG17 G80\n",
    // a helix, and one counted in increments
    "G1 X0. Y0. F5.\nG2 X0. Y0. Z-.5 I.5 J0.\nG91 G3 X.5 Y.5 Z-.1 R.6\nG90\n",
    // an arc that dips below its ends
    "G18 G1 X0. Z0. F5.\nG2 X-1. Z0. R.6\nG17\n",
    "G19 G1 Y0. Z0. F5.\nG3 Y-1. Z0. R.6\nG17\n",
    // a height stated anew behind another length
    "G49\nG54 G1 Z-.3 F5.\n",
];

#[test]
fn cycles_helices_and_upright_arcs_are_lifted() {
    for body in LIFTABLE {
        let text = format!("O1\nG20 G90 G17 G54\nS1000 M3\nG0 Z1.\nX0. Y0.\n{body}G0 Z1.\nM30\n");
        let before = read(text.as_bytes(), &inch());
        assert!(!before.unproven, "{body}: {:?}", before.findings);
        let lifted = lift(&text, &over(0.0, 0.1), &inch()).unwrap_or_else(|r| unreachable!("{body}: {r}"));
        let after = read(&lifted.text, &inch());
        let lowest = lowest_by_steps(&after.motions);
        assert!((0.1 - 1e-9..0.1002).contains(&lowest), "{body}: {lowest}");
        let verdict = compare(text.as_bytes(), &lifted.text, &inch()).verdict;
        assert!(matches!(verdict, Verdict::Lifted { by } if by > 0.0), "{body}: {verdict:?}");
    }
}
