//! Words that are known but cannot be followed: what they usually ask for.

use super::modal::Stranger;

/// A row of [`G_WORDS`]: the numbers from and to in tenths, what they do to the axis words, what they usually ask for.
type Row = (u32, u32, Stranger, &'static str);

/// G words that cannot be followed, by their usual meaning on mills (common practice, no source; G38.2 is of
/// NISTIR 6556, 3.5.9).
const G_WORDS: &[Row] = &[
    (50, 69, Stranger::Cycle, "smooths the path or follows a curve of the control's own"),
    (120, 120, Stranger::TakesAxes, "mills a round pocket clockwise by a cycle of the control"),
    (121, 121, Stranger::TakesAxes, "begins polar interpolation with a rotary axis"),
    (130, 130, Stranger::TakesAxes, "mills a round pocket counter-clockwise by a cycle of the control"),
    (131, 131, Stranger::Bystander, "ends polar interpolation"),
    (150, 150, Stranger::Bystander, "ends the reading of axis words as polar coordinates"),
    (160, 160, Stranger::TakesAxes, "reads the axis words as polar coordinates, until G15"),
    (70, 73, Stranger::TakesAxes, "is a function of one maker's controls"),
    (310, 319, Stranger::Cycle, "moves until a signal comes, as from a probe"),
    (330, 339, Stranger::Cycle, "cuts a thread in step with the spindle"),
    (380, 389, Stranger::Cycle, "moves until a probe touches, and where that is cannot be known beforehand"),
    (431, 432, Stranger::Bystander, "sets a tool length in a way of its own"),
    (440, 489, Stranger::Bystander, "changes an offset by a value that is not in the program"),
    (270, 270, Stranger::TakesAxes, "checks that the machine stands at its home position"),
    (290, 290, Stranger::TakesAxes, "comes back from the home position"),
    (
        500,
        500,
        Stranger::TakesAxes,
        "ends scaling, or sets a speed limit or a zero with other words beside it",
    ),
    (501, 501, Stranger::TakesAxes, "ends mirroring"),
    (510, 510, Stranger::TakesAxes, "scales the path, until G50"),
    (511, 511, Stranger::TakesAxes, "mirrors the path, until G50.1"),
    (520, 520, Stranger::TakesAxes, "shifts the zero within the work offset"),
    (531, 531, Stranger::TakesAxes, "swings the tool square to a tilted plane"),
    (541, 541, Stranger::Bystander, "calls a coordinate system that is not in the program"),
    (600, 600, Stranger::TakesAxes, "comes to each place from one side"),
    (620, 620, Stranger::Bystander, "slows the feed down in inner corners"),
    (630, 630, Stranger::Bystander, "holds feed overrides and feed hold back while tapping"),
    (650, 650, Stranger::TakesAxes, "calls a macro program once"),
    (660, 669, Stranger::Cycle, "calls a macro program after every move, until G67"),
    (670, 670, Stranger::Bystander, "ends the calling of a macro program"),
    (680, 680, Stranger::TakesAxes, "rotates the coordinates in the plane, until G69"),
    (681, 689, Stranger::TakesAxes, "tilts the plane that the program is cut in"),
    (690, 690, Stranger::Bystander, "ends a rotation of the coordinates"),
    (
        700,
        719,
        Stranger::Bystander,
        "chooses inch or millimeter on some controls; say so in the job's control, \"unit_words\": \
         \"g70_g71\". With other words beside it, it is a cycle",
    ),
    (731, 799, Stranger::Cycle, "is a cycle of one maker's controls"),
    (840, 899, Stranger::Cycle, "is a cycle of one maker's controls"),
    (901, 901, Stranger::Bystander, "gives arc centers from the program zero"),
    (911, 911, Stranger::Bystander, "gives arc centers from the start of the arc"),
    (960, 960, Stranger::Bystander, "holds the cutting speed, and S gives it"),
    (970, 970, Stranger::Bystander, "takes S as revolutions a minute"),
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

/// Whether the M word of this number calls or jumps: what runs then is metal cut.
pub(super) const fn m_calls(number: Option<u32>) -> bool {
    matches!(number, Some(96 | 97 | 198))
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
