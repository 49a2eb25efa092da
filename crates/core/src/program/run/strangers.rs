//! Words that are known but cannot be followed: what they usually ask for.

use super::modal::Stranger;

/// A row of [`G_WORDS`]: the numbers from and to in tenths, what they do to the axis words, what they usually ask for.
type Row = (u32, u32, Stranger, &'static str);

/// G words that cannot be followed, by their usual meaning on mills (common practice, no source; G38.2 is of
/// NISTIR 6556, 3.5.9).
const G_WORDS: &[Row] = &[
    (50, 69, Stranger::Cycle, "smooths the path or follows a curve of the control's own"),
    (70, 73, Stranger::TakesAxes, "is a function of one maker's controls"),
    (120, 139, Stranger::TakesAxes, "mills a round pocket by a cycle of the control"),
    (150, 169, Stranger::TakesAxes, "reads the axis words as polar coordinates"),
    (310, 319, Stranger::Cycle, "moves until a signal comes, as from a probe"),
    (330, 339, Stranger::Cycle, "cuts a thread in step with the spindle"),
    (380, 389, Stranger::Cycle, "moves until a probe touches, and where that is cannot be known beforehand"),
    (431, 432, Stranger::Bystander, "sets a tool length in a way of its own"),
    (440, 489, Stranger::Bystander, "changes an offset by a value that is not in the program"),
    (500, 519, Stranger::TakesAxes, "scales or mirrors the path, or sets a speed limit"),
    (520, 529, Stranger::TakesAxes, "shifts the zero by a function of one maker's controls"),
    (541, 541, Stranger::Bystander, "calls a coordinate system that is not in the program"),
    (600, 609, Stranger::TakesAxes, "approaches from one side"),
    (650, 679, Stranger::Cycle, "calls a macro program"),
    (680, 699, Stranger::TakesAxes, "turns the coordinate system"),
    (
        700,
        719,
        Stranger::Bystander,
        "chooses inch or millimeter on some controls; say so in the job's control, \"unit_words\": \
         \"g70_g71\"",
    ),
    (731, 799, Stranger::Cycle, "is a cycle of one maker's controls"),
    (840, 899, Stranger::Cycle, "is a cycle of one maker's controls"),
    (960, 979, Stranger::Bystander, "sets how S is meant"),
];

/// What the G word of this number, in tenths, usually asks for and does to the axis words of its line.
pub(super) fn g_stranger(tenths: Option<u32>) -> (Stranger, Option<&'static str>) {
    let row = |tenths: u32| G_WORDS.iter().find(|(from, to, ..)| (*from..=*to).contains(&tenths));
    match tenths.and_then(row) {
        Some((_, _, stranger, why)) => (*stranger, Some(why)),
        None => (Stranger::Bystander, None),
    }
}

/// What the M word of this number usually asks for (common practice, no source).
pub(super) const fn m_stranger(number: Option<u32>) -> Option<&'static str> {
    Some(match number {
        Some(10 | 11) => "clamps or frees something",
        Some(13 | 14) => "starts spindle and coolant together on some controls",
        Some(19) => "stops the spindle at an angle",
        Some(29) => "prepares tapping in step with the spindle",
        Some(96 | 97) => "jumps or calls a subprogram by a rule of the control's own",
        Some(198) => "calls a program from another place of the control",
        _ => return None,
    })
}

/// What a letter that no word of a three-axis mill has usually stands for (NISTIR 6556, table 2; E, U, V and W:
/// ISO 6983-1, from memory).
pub(super) const fn letter_stranger(letter: u8) -> &'static str {
    match letter {
        b'A' | b'B' | b'C' => "moves a rotary axis, which a three-axis mill does not have",
        b'U' | b'V' | b'W' => "moves a second axis beside X, Y or Z",
        b'E' => "has a different meaning from control to control",
        _ => "is not a word of a three-axis mill",
    }
}
