//! The keys of the job file: the one place that knows them.
//!
//! The reader takes no other key than these, and the published schema is written from the same tables.

use super::confirm::{JOB_KEYS, PASS_KEYS, TOOL_KEYS};
use super::control::{self, MOST_OFFSETS, MOST_PASSED};
use super::does::Does;
use super::material::MOST_MATERIALS;
use super::measured::Quantity;
use super::read::{SCHEMA, UNITS};
use crate::limits::{
    CLAMP_AREAS, MEASURED, PASSES, SEEN as MOST_SEEN, SILHOUETTE_POINTS, TO_CONFIRM, TOOLS, VERTICES, WALLS,
};

/// A key of an object.
#[derive(Debug, Clone, Copy)]
pub(super) struct Key {
    /// As it stands in the file.
    pub(super) name: &'static str,
    /// Whether it must be there.
    pub(super) needed: bool,
    /// What its value is.
    pub(super) holds: Holds,
    /// What it means, for a person.
    pub(super) says: &'static str,
}

/// What a value is.
#[derive(Debug, Clone, Copy)]
pub(super) enum Holds {
    /// A number.
    Number,
    /// A number above 0.
    AboveZero,
    /// A number not below 0.
    NotNegative,
    /// A whole number, not below this.
    Whole(u32),
    /// Text.
    Text,
    /// Text that is not blank.
    Words,
    /// This text and no other.
    Exactly(&'static str),
    /// A word such as `M31`, of which the pattern tells the form.
    Word(&'static str),
    /// One of these words.
    OneOf(fn() -> Vec<&'static str>),
    /// So many values, each of its own kind.
    Row(&'static [Self]),
    /// A vertex of a path.
    Vertex,
    /// A list of at most so many.
    List(&'static Self, usize),
    /// An object with these keys.
    Object(&'static [Key]),
    /// An object with the keys of one of these shapes.
    Shapes(&'static [&'static [Key]]),
    /// An object whose keys hang by the word under the first name.
    ByWord(&'static str, Kinds),
    /// A place `[x, y, z]` for each work offset.
    WorkOffsets,
}

/// The keys of an object, besides the one that says its kind, by kind.
pub(super) type Kinds = &'static [(&'static str, &'static [Key])];

const fn may(name: &'static str, holds: Holds, says: &'static str) -> Key {
    Key { name, needed: false, holds, says }
}

const fn must(name: &'static str, holds: Holds, says: &'static str) -> Key {
    Key { name, needed: true, holds, says }
}

const PLACE: Holds = Holds::Row(&[Holds::Number; 3]);
const RANGE: Holds = Holds::Row(&[Holds::Number; 2]);
const UNIT: Holds = Holds::OneOf(|| words(&UNITS));
const SWITCH: Holds = Holds::OneOf(|| words(&control::SWITCH));
const PATH: Holds = Holds::List(&Holds::Vertex, VERTICES);

/// The words of a list of choices.
pub(super) fn words<T>(choices: &[(&'static str, T)]) -> Vec<&'static str> {
    choices.iter().map(|(word, _)| *word).collect()
}

/// The names of keys.
pub(super) fn names(keys: &[Key]) -> Vec<&'static str> {
    keys.iter().map(|key| key.name).collect()
}

/// The names of the keys of all shapes, each once.
pub(super) fn names_of_shapes(shapes: &[&[Key]]) -> Vec<&'static str> {
    let mut all = Vec::new();
    for name in shapes.iter().flat_map(|keys| names(keys)) {
        if !all.contains(&name) {
            all.push(name);
        }
    }
    all
}

pub(super) const JOB: &[Key] = &[
    must("schema", Holds::Exactly(SCHEMA), "The kind of file, and the edition of its keys."),
    may("name", Holds::Text, "What the job is called."),
    must("units", UNIT, "The unit of every length in the job."),
    may("outline", Holds::Shapes(OUTLINE), "The scribed line in plan, a closed path."),
    may("blank", Holds::Object(BLANK), "The block before the first cut, as sawn."),
    may("bed", Holds::Object(BED), "What is under the block, not to be cut."),
    may("keep_clear", Holds::List(&Holds::Object(CLAMP), CLAMP_AREAS), "What no tool may come into."),
    may(
        "gauge_height",
        Holds::Number,
        "Z at which stock left is measured; chosen and shown where it is missing.",
    ),
    may("land", Holds::NotNegative, "The land wanted between top of undercut and edge rounding."),
    may("contact", Holds::Object(CONTACT), "Limits of the stock taken."),
    may(
        "walls",
        Holds::List(&Holds::NotNegative, WALLS),
        "Stations, counted along the outline, whose wall the record shows.",
    ),
    may("machine", Holds::Object(MACHINE), "What the machine can do."),
    may("control", Holds::Object(CONTROL), "What the control accepts, and how it reads a program."),
    must("tools", Holds::List(&Holds::Object(TOOL), TOOLS), "The tools, each with a number of its own."),
    may(
        "materials",
        Holds::List(&Holds::Object(MATERIAL), MOST_MATERIALS),
        "The shop's own figures for the power that a cut takes.",
    ),
    may("crib", Holds::Words, "A file of tools that jobs share, beside the job file."),
    must("passes", Holds::List(&Holds::Object(PASS), PASSES), "The passes in the order they are run."),
    may(
        "to_confirm",
        Holds::List(&Holds::Shapes(CONFIRM), TO_CONFIRM),
        "What was suggested and nobody has confirmed yet.",
    ),
    may(
        "seen",
        Holds::List(&Holds::Object(SEEN), MOST_SEEN),
        "Findings that were looked at and ticked as seen.",
    ),
];

const VERTICES_KEY: Key = must("vertices", PATH, "Its vertices; the last is joined to the first.");

const IN_FILE: &[Key] = &[
    must("file", Holds::Words, "A DXF, SVG or CSV file in the job's folder."),
    may("layer", Holds::Text, "The layer of the file that holds the path."),
    may("units", UNIT, "The unit of a file that does not give its own."),
];

/// The shapes of an outline.
pub(super) const OUTLINE: &[&[Key]] = &[
    &[VERTICES_KEY],
    IN_FILE,
    &[must("from_pass", Holds::Words, "The pass whose path it is, moved in by its tool's radius.")],
];

/// The shapes of a blank's edge.
pub(super) const EDGE: &[&[Key]] = &[&[VERTICES_KEY], IN_FILE];

pub(super) const BLANK: &[Key] = &[
    must("edge", Holds::Shapes(EDGE), "Its sawn outline in plan."),
    must("top", Holds::Number, "Z of its upper face."),
    must("thickness", Holds::AboveZero, "From its upper to its lower face."),
    may("material", Holds::Text, "What it is made of."),
    may("at", PLACE, "Where it lies: x, y, and degrees counter-clockwise."),
];

pub(super) const BED: &[Key] = &[must("top", Holds::Number, "Z of its top.")];

pub(super) const CLAMP: &[Key] = &[
    must("name", Holds::Words, "What it is called; no two alike."),
    must("area", Holds::Object(AREA), "What it takes up in plan."),
    must("top", Holds::Number, "Z up to which it stands."),
];

pub(super) const AREA: &[Key] = &[VERTICES_KEY];

pub(super) const CONTACT: &[Key] = &[
    may("light_below", Holds::NotNegative, "Thinner cuts are light."),
    may("heavy_above", Holds::NotNegative, "Thicker cuts are heavy."),
];

pub(super) const MACHINE: &[Key] = &[
    may("rapid", Holds::AboveZero, "Rapid speed, lengths a minute."),
    may("spindle_max", Holds::AboveZero, "Highest spindle speed, rev/min."),
    may("power", Holds::AboveZero, "Spindle power: hp in an inch job, kW in a millimeter job."),
    may("travel", Holds::Object(TRAVEL), "Lowest and highest machine coordinates."),
];

pub(super) const TRAVEL: &[Key] = &[
    may("x", RANGE, "Lowest and highest X."),
    may("y", RANGE, "Lowest and highest Y."),
    may("z", RANGE, "Lowest and highest Z."),
];

pub(super) const TOOL: &[Key] = &[
    must("number", Holds::Whole(1), "Its number; no two alike."),
    may("name", Holds::Text, "What it is called."),
    must("form", Holds::ByWord("kind", FORMS), "Its form."),
    may("flutes", Holds::Whole(1), "How many flutes it has."),
    may("flute_length", Holds::AboveZero, "How far up from the tip its flutes reach."),
    may("shank_diameter", Holds::AboveZero, "Diameter of its shank."),
    may("stickout", Holds::AboveZero, "From the tip to the holder."),
    may("holder_diameter", Holds::AboveZero, "Diameter of its holder."),
];

const DIAMETER: Key = must("diameter", Holds::AboveZero, "Diameter.");
const CONE_ANGLE: Key = must("angle", Holds::AboveZero, "Degrees of each side from vertical.");
const CONE_HEIGHT: Key = must("height", Holds::AboveZero, "Height of the cutting cone.");

/// The keys of a tool's form by its `kind`.
pub(super) const FORMS: Kinds = &[
    ("flat", &[DIAMETER]),
    ("ball", &[DIAMETER]),
    ("bull", &[DIAMETER, must("corner_radius", Holds::AboveZero, "Radius of its corner.")]),
    (
        "undercut",
        &[
            must("diameter", Holds::AboveZero, "Diameter at the tip, where it is widest."),
            CONE_ANGLE,
            CONE_HEIGHT,
        ],
    ),
    (
        "edge_round",
        &[
            must("pilot_diameter", Holds::AboveZero, "Diameter of the pilot below the rounding."),
            must("radius", Holds::AboveZero, "Radius of the concave quarter."),
            may("pilot_length", Holds::NotNegative, "Length of the pilot; 0 where it is missing."),
        ],
    ),
    ("chamfer", &[must("tip_diameter", Holds::NotNegative, "Diameter at the tip."), CONE_ANGLE, CONE_HEIGHT]),
    ("drill", &[DIAMETER, must("point_angle", Holds::AboveZero, "Degrees of its whole point.")]),
    (
        "silhouette",
        &[must(
            "points",
            Holds::List(&Holds::Row(&[Holds::NotNegative; 2]), SILHOUETTE_POINTS),
            "Radius and height, from the tip up.",
        )],
    ),
];

pub(super) const MATERIAL: &[Key] = &[
    must("name", Holds::Words, "Name, as the blank's material is written, or begins."),
    must(
        "unit_power",
        Holds::AboveZero,
        "hp for each in³/min in an inch job, kW for each cm³/min in a millimeter job.",
    ),
    may("source", Holds::Words, "Where the figure is from."),
];

pub(super) const PASS: &[Key] = &[
    must("name", Holds::Words, "What it is called; no two alike."),
    must("program", Holds::Words, "Its program, in the job's folder or below."),
    must("tool", Holds::Whole(1), "Number of its tool."),
    may("does", Holds::OneOf(|| words(&Does::ALL)), "What it is for; suggested where it is missing."),
    may("allowance", Holds::Number, "The stock it is meant to leave."),
    may("bottom", Holds::Number, "The lowest program Z it is meant to reach."),
    may("zero", PLACE, "Where its program's origin lies in block coordinates."),
    may("turn", Holds::Number, "Degrees by which its program is rotated about that origin."),
    may(
        "measured",
        Holds::List(&Holds::ByWord("what", MEASURES), MEASURED),
        "What was measured after it, to stand beside what was expected.",
    ),
];

/// The keys of a finding that was seen.
pub(super) const SEEN: &[Key] = &[
    must("code", Holds::Words, "What kind of finding."),
    may("pass", Holds::Words, "The name of its pass."),
    may("line", Holds::Whole(1), "The line of the pass's program."),
    may("station", Holds::NotNegative, "Where: distance along the outline from its first vertex."),
    may("amount", Holds::Number, "How bad it was then; once it has changed, it has not been seen."),
];

const VALUE: Key = must("value", Holds::Number, "What was measured.");
const STATION: Key =
    must("station", Holds::NotNegative, "Where: distance along the outline from its first vertex.");

/// The keys of a measured value by `what` was measured.
pub(super) const MEASURES: Kinds = &[
    (Quantity::OverX.word(), &[VALUE]),
    (Quantity::OverY.word(), &[VALUE]),
    (Quantity::StockLeft.word(), &[STATION, VALUE]),
    (Quantity::Undercut.word(), &[VALUE]),
    (Quantity::Land.word(), &[VALUE]),
    (Quantity::Height.word(), &[VALUE]),
    (Quantity::Depth.word(), &[VALUE]),
    (
        Quantity::OverPins.word(),
        &[STATION, must("pins", Holds::AboveZero, "Diameter of the two pins."), VALUE],
    ),
];

pub(super) const CONTROL: &[Key] = &[
    may("program_numbers", Holds::Row(&[Holds::Whole(0); 2]), "Lowest and highest program number."),
    may("line_end", Holds::OneOf(|| words(&control::LINE_ENDS)), "How program lines end."),
    may("longest_line", Holds::Whole(1), "Longest line, in characters."),
    may("characters", Holds::Text, "Characters it takes besides letters, digits, + - . and the space."),
    may(
        "sequence",
        Holds::Row(&[Holds::Whole(0), Holds::Whole(1)]),
        "First sequence number and step, when programs are prepared.",
    ),
    may(
        "plain_numbers",
        Holds::OneOf(|| words(&control::PLAIN_NUMBERS)),
        "What a number without a decimal point counts.",
    ),
    may("arc_centers", Holds::OneOf(|| words(&control::ARC_CENTERS)), "What I, J and K are measured from."),
    may("arc_tolerance", Holds::NotNegative, "By how much the two radii of an arc may differ."),
    may("block_delete", SWITCH, "Whether lines that begin with / are left out."),
    may("semicolon_comments", SWITCH, "Whether ; opens a comment."),
    may("unit_words", Holds::OneOf(|| words(&control::UNIT_WORDS)), "The words for inch and millimeter."),
    may("tool_change", Holds::OneOf(|| words(&control::TOOL_CHANGES)), "The word that changes the tool."),
    may("subprograms", Holds::OneOf(|| words(&control::CALL_COUNTS)), "How M98 counts."),
    may("work_offsets", Holds::WorkOffsets, "Machine coordinates of the origins of the work offsets."),
    may("home", PLACE, "Machine coordinates that G28 goes to."),
    may("second_home", PLACE, "Machine coordinates that G30 goes to."),
    may("home_axes", Holds::OneOf(|| words(&control::HOME_AXES)), "The axes that go there."),
    may("length_offsets", OFFSETS, "Tool lengths by H number."),
    may("diameter_offsets", OFFSETS, "Cutter diameters by D number."),
    may("peck_clearance", Holds::NotNegative, "How far G73 and G83 back off."),
    may("dwell", Holds::OneOf(|| words(&control::DWELLS)), "What a dwell without a decimal point counts."),
    may("moves_nothing", Holds::List(&Holds::Word(PASSED), MOST_PASSED), "Words that leave the path alone."),
    may("strict", SWITCH, "Whether the published rules (NISTIR 6556) alone hold."),
];

const OFFSETS: Holds = Holds::List(&Holds::Row(&[Holds::Whole(0), Holds::Number]), MOST_OFFSETS);
/// A G or M word.
const PASSED: &str = r"^\s*[GgMm]([0-9]+\.?[0-9]*|\.[0-9]+)\s*$";

const FROM: Key = must("from", Holds::ByWord("kind", BASES), "What it rests on.");
const AGAINST: Key =
    may("against", Holds::List(&Holds::ByWord("kind", BASES), TO_CONFIRM), "What says otherwise.");
const NOTE: Key = may("note", Holds::Text, "What a person should know besides.");

/// The shapes of what waits to be confirmed: of a tool, of a pass, of the job.
pub(super) const CONFIRM: &[&[Key]] = &[
    &[
        must("tool", Holds::Whole(1), "Number of the tool."),
        must("key", Holds::OneOf(|| TOOL_KEYS.to_vec()), "Which of its keys, or of those of its form."),
        FROM,
        AGAINST,
        NOTE,
    ],
    &[
        must("pass", Holds::Words, "Name of the pass."),
        must("key", Holds::OneOf(|| PASS_KEYS.to_vec()), "Which of its keys."),
        FROM,
        AGAINST,
        NOTE,
    ],
    &[
        must("key", Holds::OneOf(|| JOB_KEYS.to_vec()), "Which part of the job; passes is their order."),
        FROM,
        AGAINST,
        NOTE,
    ],
];

const PROGRAM: Key = must("program", Holds::Words, "File of the program.");
const LINE: Key = must("line", Holds::Whole(1), "Its line, from 1.");

/// What a suggestion rests on, by `kind`.
pub(super) const BASES: Kinds = &[
    ("comment", &[PROGRAM, LINE]),
    ("word", &[must("word", Holds::Words, "As it stands there, such as T1."), PROGRAM, LINE]),
    ("motion", &[PROGRAM, LINE]),
    ("paths", &[]),
    ("file_names", &[]),
    ("person", &[]),
    ("usual", &[]),
];
