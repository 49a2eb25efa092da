//! What a word of a program means, in plain words.
//!
//! The meanings are those of the NIST RS274/NGC report, sections 3.3 to 3.8 (references.md 1.1 to 1.7); words that
//! the report does not have but most mill controls do are told as that. The sentences are our own.

use super::words::{Token, TokenKind};

/// A code in tenths, so that G59.1 is 591, and what it does.
type Row = (u32, &'static str);

/// G words.
const G: &[Row] = &[
    (0, "Rapid: moves as fast as the machine can. Not for cutting."),
    (10, "Straight cut at the current feed."),
    (20, "Arc clockwise at the current feed."),
    (30, "Arc counter-clockwise at the current feed."),
    (40, "Dwells for the time that its P word gives (X or U on some controls)."),
    (100, "Sets a work offset (L2) from its P, X, Y and Z words; the tool does not move."),
    (131, "Ends polar interpolation; nothing moves."),
    (150, "Ends polar coordinates; nothing moves."),
    (160, "Reads axis words as radius and angle, until G15. Blockwright does not follow polar coordinates."),
    (170, "Arcs lie in the XY plane, seen from above."),
    (180, "Arcs lie in the ZX plane, seen from the positive end of Y."),
    (190, "Arcs lie in the YZ plane, seen from the positive end of X."),
    (200, "Lengths are in inches."),
    (210, "Lengths are in millimeters."),
    (280, "Goes to the machine's home position, with the axes named, by way of the point that they give."),
    (
        300,
        "Goes to the machine's second home position, with the axes named, by way of the point that they give.",
    ),
    (382, "Probes in a straight line until the probe touches. Blockwright does not follow probing."),
    (400, "Cancels cutter compensation: the tool's center follows the path as written."),
    (410, "Keeps the tool to the left of the path by the radius in its D word."),
    (420, "Keeps the tool to the right of the path by the radius in its D word."),
    (430, "Turns the tool length offset in its H word on."),
    (490, "Cancels the tool length offset."),
    (500, "Ends scaling; nothing moves. With X, Y, Z or S on its line it is another word on every control."),
    (501, "Ends mirroring, for the axes named or for all."),
    (510, "Scales the path, until G50. Blockwright does not follow scaling."),
    (511, "Mirrors the program about the X and Y that it names, until G50.1: left hand becomes right hand."),
    (520, "Shifts the zero by X, Y and Z within the work offset; with 0 the shift is taken back."),
    (530, "X, Y and Z of this line are in machine coordinates, whatever the work offset."),
    (540, "Uses work offset G54."),
    (541, "Uses one of the further work offsets, the one that P names."),
    (550, "Uses work offset G55."),
    (560, "Uses work offset G56."),
    (570, "Uses work offset G57."),
    (580, "Uses work offset G58."),
    (590, "Uses work offset G59."),
    (591, "Uses work offset G59.1."),
    (592, "Uses work offset G59.2."),
    (593, "Uses work offset G59.3."),
    (610, "Follows the path exactly, corners included."),
    (611, "Comes to a full stop at the end of every move."),
    (640, "Keeps moving through corners, which may round them a little."),
    (650, "Calls a macro program once. Blockwright does not follow macros."),
    (660, "Calls a macro program after every move, until G67. Blockwright does not follow macros."),
    (670, "Ends the calling of a macro program; nothing moves."),
    (680, "Rotates the program by R degrees about the X and Y that it names, until G69."),
    (690, "Ends the rotation that G68 began."),
    (700, "Lengths are in inches, on controls that do not say so by G20."),
    (710, "Lengths are in millimeters, on controls that do not say so by G21."),
    (730, "Drills in pecks of Q, backing up a little each time to break the chip."),
    (800, "Cancels the canned cycle."),
    (810, "Drills: feeds down to Z, then straight out at rapid, at each place that X and Y name."),
    (820, "Drills, and dwells P seconds at the bottom before it comes out."),
    (830, "Drills in pecks of Q, coming out to clear the chips each time."),
    (840, "Taps a right-hand thread: feeds in, reverses the spindle, feeds out."),
    (850, "Bores: feeds in and feeds out."),
    (860, "Bores: feeds in, dwells, stops the spindle, comes out at rapid."),
    (870, "Bores from the far side of the work."),
    (880, "Bores: feeds in, dwells, stops the spindle; the operator brings the tool out by hand."),
    (890, "Bores: feeds in, dwells, feeds out."),
    (900, "Absolute: X, Y and Z are positions."),
    (901, "I, J and K give arc centers from the program zero."),
    (910, "Incremental: X, Y and Z are distances from where the tool is."),
    (911, "I, J and K give arc centers from the start of the arc."),
    (920, "Shifts the zero: the place where the tool is gets these coordinates; the tool does not move."),
    (921, "Cancels the G92 shift, and forgets it."),
    (922, "Cancels the G92 shift, and keeps it for G92.3."),
    (923, "Turns the G92 shift on again."),
    (
        930,
        "Inverse time feed: F is 1 divided by the minutes a move takes, and must be on every line that \
           feeds.",
    ),
    (940, "F is in lengths per minute."),
    (
        950,
        "F is in lengths per revolution of the spindle. Common on controls, though not in the NIST report.",
    ),
    (970, "S gives revolutions a minute."),
    (980, "After a hole the tool goes back up to where it was before the cycle."),
    (990, "After a hole the tool goes back up to the R level."),
];

/// M words.
const M: &[Row] = &[
    (0, "Program stop: stops until the operator starts it again."),
    (10, "Optional stop: stops if the control's optional stop is on."),
    (20, "Ends the program."),
    (30, "Starts the spindle clockwise, as for a right-hand cutter."),
    (40, "Starts the spindle counter-clockwise."),
    (50, "Stops the spindle."),
    (60, "Changes to the tool that T names."),
    (70, "Turns mist coolant on."),
    (80, "Turns flood coolant on."),
    (90, "Turns all coolant off."),
    (300, "Ends the program and rewinds it to its start."),
    (480, "Turns the operator's feed and speed override knobs on again."),
    (
        490,
        "Takes the feed and speed override knobs out of the operator's hand: they do nothing until M48. Keep a \
          hand on feed hold.",
    ),
    (600, "Changes pallets and stops."),
    (
        980,
        "Runs the program that P names, then comes back. Common on controls, though not in the NIST report.",
    ),
    (
        990,
        "Goes back to the program that called this one. Common on controls, though not in the NIST report.",
    ),
];

/// What axis words are for, by the G words of their line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Use {
    Move,
    Cycle,
    Arc,
    Dwell,
    SetZero,
    Home,
    Rename,
    Rotate,
    Mirror,
    Unmirror,
    Shift,
    Call,
}

/// What a word means, in plain words.
///
/// `letter` is its letter, upper or lower case; `number` its number as far as it is one; `line` the tokens of its
/// line, whose other words say what an axis word is for. Codes as in tables 4 to 7 of the NIST RS274/NGC report.
pub fn explain(letter: u8, number: Option<f64>, line: &[Token]) -> String {
    let letter = letter.to_ascii_uppercase();
    let name = char::from(letter);
    let Some(number) = number else {
        return format!(
            "{name} without a plain number: its value is worked out when the line runs, or is missing."
        );
    };
    match letter {
        b'G' => code(name, number, G),
        b'M' => code(name, number, M),
        _ => {
            let meaning = other(letter, number, used_for(line), in_line(line, 91.0), in_line(line, 90.0));
            meaning.unwrap_or_else(|| format!("{name} is not a word that Blockwright follows."))
        }
    }
}

fn code(name: char, number: f64, rows: &[Row]) -> String {
    let tenths = (number * 10.0).round();
    let close = (number * 10.0 - tenths).abs() < 0.001 && (0.0..10_000.0).contains(&tenths);
    let row = rows.iter().find(|(code, _)| close && *code == tenths as u32);
    row.map_or_else(
        || {
            format!(
                "{name}{number} is not a code that Blockwright follows. Look it up in the control's manual."
            )
        },
        |(_, words)| (*words).to_owned(),
    )
}

/// Whether a G word with this number stands in the line.
fn in_line(line: &[Token], wanted: f64) -> bool {
    codes(line, b'G').any(|code| code == wanted)
}

fn codes(line: &[Token], of: u8) -> impl Iterator<Item = f64> + '_ {
    line.iter().filter_map(move |token| match token.kind {
        TokenKind::Word { letter, number, .. } if letter.eq_ignore_ascii_case(&of) => number,
        _ => None,
    })
}

fn used_for(line: &[Token]) -> Use {
    if codes(line, b'M').any(|code| code == 98.0) {
        return Use::Call;
    }
    let uses = codes(line, b'G').filter_map(|code| match (code * 10.0).round() as i64 {
        20 | 30 => Some(Use::Arc),
        40 => Some(Use::Dwell),
        100 => Some(Use::SetZero),
        280 | 300 => Some(Use::Home),
        730 | 810..=890 => Some(Use::Cycle),
        501 => Some(Use::Unmirror),
        511 => Some(Use::Mirror),
        520 => Some(Use::Shift),
        680 => Some(Use::Rotate),
        920 => Some(Use::Rename),
        _ => None,
    });
    // A group 0 word takes the axis words of its line from a motion word (Table 4).
    let first = |one: Use| !matches!(one, Use::Arc | Use::Cycle);
    let all: Vec<Use> = uses.collect();
    all.iter().copied().find(|one| first(*one)).or(all.first().copied()).unwrap_or(Use::Move)
}

fn other(letter: u8, n: f64, of: Use, by: bool, to: bool) -> Option<String> {
    let name = char::from(letter);
    Some(match letter {
        b'X' | b'Y' | b'Z' => axis(name, n, of, by, to),
        b'I' | b'J' | b'K' => offset(name, n, of),
        b'R' => match of {
            Use::Cycle => format!("The R level: the tool comes down to Z {n} at rapid and feeds from there."),
            Use::Rotate => format!("Rotates by {n} degrees, counter-clockwise."),
            Use::Arc if n < 0.0 => format!("Radius {} of the arc, the long way around.", -n),
            Use::Arc => format!("Radius {n} of the arc, the short way around."),
            _ => format!("Radius {n} of an arc, or the R level of a canned cycle, by the G word in force."),
        },
        b'P' => match of {
            Use::Dwell => format!("Dwells for {n} s. Some controls count P in thousandths of a second."),
            Use::SetZero => format!("Work offset {n} is the one that is set."),
            Use::Call => format!("Runs program {n}."),
            _ => format!(
                "Dwells {n} s at the bottom of the hole, or is a number that the line's G or M word asks \
                 for."
            ),
        },
        b'L' => match of {
            Use::SetZero => "L2: sets a work offset.".to_owned(),
            _ => format!("Repeats it {n} times."),
        },
        b'Q' => format!("Each peck goes {n} deeper."),
        b'F' => format!("Feed {n}: lengths per minute, unless G93 or G95 is on."),
        b'S' => format!("Spindle speed {n} rev/min, once M3 or M4 turns the spindle on."),
        b'T' => format!("Tool {n} is next; M6 changes to it."),
        b'N' => format!("Line number {n}. The control does not act on it."),
        b'O' => format!("Program number {n}. Common on controls, though not in the NIST report."),
        b'D' => format!("Cutter radius from offset {n} of the tool table."),
        b'H' => format!("Tool length from offset {n} of the tool table."),
        b'A' | b'B' | b'C' => {
            format!("Rotates axis {name} to {n} degrees. Blockwright does not follow rotary axes.")
        }
        _ => return None,
    })
}

fn axis(name: char, n: f64, of: Use, by: bool, to: bool) -> String {
    match of {
        Use::SetZero => format!("{name} of the work offset becomes {n}, in machine coordinates."),
        Use::Rename => format!("From here on the tool's present {name} reads {n}."),
        Use::Rotate => format!("The place that is rotated about has {name} {n}."),
        Use::Mirror => format!("What follows is mirrored along {name} at {name} {n}."),
        Use::Unmirror => format!("{name} is no longer mirrored."),
        Use::Shift => format!("The zero lies {n} farther along {name} than the work offset says."),
        Use::Dwell => format!("Dwells for {n} s. Some controls count {name} in thousandths of a second."),
        Use::Home if by && n == 0.0 => format!("{name} goes home from where it is."),
        Use::Home => format!("Passes {name} {n} on the way home."),
        Use::Cycle if name == 'Z' => {
            format!("The bottom of the hole is at Z {n} (with G91: that far from R).")
        }
        Use::Cycle => format!("The hole is at {name} {n} (with G91: that far from the last)."),
        _ if by => format!("Moves {name} by {n}."),
        _ if to => format!("Moves to {name} {n}."),
        _ => format!("Moves to {name} {n}, or by {n} while G91 is on."),
    }
}

fn offset(name: char, n: f64, of: Use) -> String {
    let axis = match name {
        'I' => 'X',
        'J' => 'Y',
        _ => 'Z',
    };
    match of {
        Use::Cycle => format!("How far the tool shifts along {axis} when it bores from the far side: {n}."),
        _ => format!("The center of the arc is {n} along {axis} from where the arc starts."),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::program::words::{Dialect, tokens};

    /// NIST RS274/NGC Table 4 (references.md 1.2), published.
    const GROUPS: [&[f64]; 10] = [
        &[0.0, 1.0, 2.0, 3.0, 38.2, 80.0, 81.0, 82.0, 83.0, 84.0, 85.0, 86.0, 87.0, 88.0, 89.0],
        &[17.0, 18.0, 19.0],
        &[90.0, 91.0],
        &[93.0, 94.0],
        &[20.0, 21.0],
        &[40.0, 41.0, 42.0, 43.0, 49.0],
        &[98.0, 99.0],
        &[54.0, 55.0, 56.0, 57.0, 58.0, 59.0, 59.1, 59.2, 59.3],
        &[61.0, 61.1, 64.0],
        &[4.0, 10.0, 28.0, 30.0, 53.0, 92.0, 92.1, 92.2, 92.3],
    ];
    const MISCELLANEOUS: [f64; 13] = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 30.0, 48.0, 49.0];

    fn told(letter: u8, number: f64, line: &str) -> String {
        explain(letter, Some(number), &tokens(line.as_bytes(), Dialect { semicolon_comments: false }))
    }

    fn unknown(words: &str) -> bool {
        words.contains("is not a")
    }

    #[test]
    fn every_code_of_the_published_groups_is_explained() {
        for code in GROUPS.iter().copied().flatten() {
            assert!(!unknown(&told(b'G', *code, "")), "G{code}");
        }
        for code in MISCELLANEOUS.iter().chain(&[60.0]) {
            assert!(!unknown(&told(b'M', *code, "")), "M{code}");
        }
        // NIST RS274/NGC 3.3.2 and Appendix E.3 (references.md 1.1), published: letters in use, and letters not.
        for letter in *b"ABCDFHIJKLNPQRSTXYZ" {
            assert!(!unknown(&told(letter, 1.0, "")), "{}", char::from(letter));
        }
        for letter in *b"EUVW" {
            assert!(unknown(&told(letter, 1.0, "")), "{}", char::from(letter));
        }
        assert!(
            unknown(&told(b'G', 77.0, ""))
                && unknown(&told(b'G', 1.05, ""))
                && unknown(&told(b'M', -1.0, ""))
        );
    }

    #[test]
    fn an_axis_word_is_told_by_the_g_words_of_its_line() {
        for (line, letter, number, part) in [
            ("G91 G1 X1.5", b'X', 1.5, "by 1.5"),
            ("G90 G1 X1.5", b'X', 1.5, "to X 1.5"),
            ("X1.5", b'x', 1.5, "while G91"),
            ("G81 X1 Z-1 R.1", b'Z', -1.0, "bottom of the hole"),
            ("G81 X1 Z-1 R.1", b'R', 0.1, "R level"),
            ("G73 X1 Z-1 R.1 Q.1", b'R', 0.1, "R level"),
            ("G2 X1 R-2", b'R', -2.0, "long way"),
            ("G2 X1 I.5", b'I', 0.5, "center of the arc"),
            ("G92 X7", b'X', 7.0, "reads 7"),
            ("G1 G92 X7", b'X', 7.0, "reads 7"),
            ("G10 L2 P1 X3.5", b'X', 3.5, "work offset"),
            ("G4 P2", b'P', 2.0, "2 s"),
            ("G4 X2.", b'X', 2.0, "Dwells for 2 s"),
            ("G68 X1 Y2 R30", b'R', 30.0, "30 degrees"),
            ("G68 X1 Y2 R30", b'X', 1.0, "rotated about"),
            ("G51.1 X0", b'X', 0.0, "mirrored along X"),
            ("G52 X1", b'X', 1.0, "farther along X"),
            ("G91 G28 Z0", b'Z', 0.0, "goes home from"),
            ("M98 P1001", b'P', 1001.0, "Runs program 1001"),
        ] {
            let words = told(letter, number, line);
            assert!(words.contains(part), "{line}: {words}");
        }
    }

    #[test]
    fn rows_stand_in_order_and_end_as_sentences() {
        for rows in [G, M] {
            assert!(rows.is_sorted_by(|a, b| a.0 < b.0));
            assert!(rows.iter().all(|(_, words)| words.ends_with('.')));
        }
        assert!(explain(b'X', None, &[]).contains("without a plain number"));
    }
}
