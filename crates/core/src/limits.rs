//! How much is taken of what other people's files hold. What goes beyond is refused with a message, or the rest is left
//! out and said to be, before memory is asked for. All limits that a person can meet stand here; the reference's table of
//! limits is held against them by a test.

/// Largest job file or crib, in bytes; the largest sensible job is a few thousand times smaller.
pub const JOB_BYTES: usize = 16 << 20;
/// Deepest nesting of lists and objects in a job file.
pub const JOB_DEPTH: usize = 64;
/// Most passes of a job.
pub const PASSES: usize = 1000;
/// Most tools of a job or a crib.
pub const TOOLS: usize = 1000;
/// Most points of a silhouette.
pub const SILHOUETTE_POINTS: usize = 10_000;
/// Most vertices of an outline, an edge or a clamp area.
pub const VERTICES: usize = 100_000;
/// Most clamp areas of a job.
pub const CLAMP_AREAS: usize = 1000;
/// Most stations of a job whose wall the record shows: a letter for each, and some left for the worst places.
pub const WALLS: usize = 20;
/// Most values measured after a pass.
pub const MEASURED: usize = 1000;
/// Most findings of a job that were ticked as seen.
pub const SEEN: usize = 10_000;
/// Most things of a job that wait to be confirmed.
pub const TO_CONFIRM: usize = 10_000;

/// Largest program, in bytes; larger ones are not written by hand, and would fill the memory of a shop machine.
pub const PROGRAM_BYTES: u64 = 256 << 20;
/// Most lines of a program's text.
pub const PROGRAM_LINES: usize = 5_000_000;
/// Longest line of a program that is looked at word by word.
pub const PROGRAM_LINE: usize = 4096;
/// Most motions and dwells of a program, its calls and cycles counted one by one.
pub const MOTIONS: usize = 2_000_000;
/// Most motions of all passes of a job.
pub const JOB_MOTIONS: usize = 3_000_000;
/// Most lines that calls may make of a program; more is a loop or no program of one block.
pub const CALLED_LINES: usize = 20_000_000;
/// Calls within calls (NISTIR 6556 has none; common practice on controls is four to eight).
pub const CALL_DEPTH: usize = 8;

/// Largest drawing or list of points, in bytes.
pub const DRAWING_BYTES: usize = 64 << 20;
/// Most lines and arcs a drawing may come to once its blocks are placed and its curves are followed; most points of a
/// list.
pub const DRAWING_PIECES: usize = 400_000;
/// Deepest nesting of blocks in blocks, groups in groups or elements in elements.
pub const DRAWING_DEPTH: usize = 48;
/// Most placings of blocks in one drawing, those in rows and columns counted one by one.
pub const DRAWING_PLACINGS: usize = 100_000;
/// Longest line of a list of points, in bytes.
pub const POINT_LINE: usize = 4096;
/// Most attributes of one element of an SVG drawing.
pub const SVG_ATTRIBUTES: usize = 256;

/// The most cells a heightfield may have.
pub const CELLS: f64 = 120e6;
