//! The faces, and how much room a text takes.

use std::sync::LazyLock;

use ab_glyph::{Font, FontRef, PxScale, ScaleFont};

use super::drawing::Weight;

/// The plain face.
pub const SANS: &[u8] = include_bytes!("../../../../assets/fonts/DejaVuSans.ttf");
/// The bold face.
pub const SANS_BOLD: &[u8] = include_bytes!("../../../../assets/fonts/DejaVuSans-Bold.ttf");
/// The face whose letters are equally wide.
pub const MONO: &[u8] = include_bytes!("../../../../assets/fonts/DejaVuSansMono.ttf");

static FACES: LazyLock<[Option<FontRef<'static>>; 3]> =
    LazyLock::new(|| [SANS, SANS_BOLD, MONO].map(|bytes| FontRef::try_from_slice(bytes).ok()));

/// A face, read once; `None` never happens with the fonts built in.
pub(super) fn face(weight: Weight) -> Option<&'static FontRef<'static>> {
    let index = match weight {
        Weight::Plain => 0,
        Weight::Bold => 1,
        Weight::Mono => 2,
    };
    FACES[index].as_ref()
}

/// The scale at which the face's em is `size` high.
pub(super) fn em_scale(face: &FontRef<'_>, size: f32) -> PxScale {
    PxScale::from(size * face.height_unscaled() / face.units_per_em().unwrap_or(1000.0))
}

/// How wide a text is at a size, in the size's unit.
pub fn text_width(text: &str, size: f32, weight: Weight) -> f32 {
    let Some(face) = face(weight) else { return 0.0 };
    let scaled = face.as_scaled(em_scale(face, size));
    let mut width = 0.0;
    let mut before = None;
    for letter in text.chars() {
        let glyph = face.glyph_id(letter);
        if let Some(before) = before {
            width += scaled.kern(before, glyph);
        }
        width += scaled.h_advance(glyph);
        before = Some(glyph);
    }
    width
}

/// The text in lines of at most `longest` letters, broken between words; what does not fit into `lines` ends in
/// an ellipsis.
pub(super) fn wrapped(text: &str, longest: usize, lines: usize) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match all.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= longest => {
                line.push(' ');
                line.push_str(word);
            }
            _ => all.push(shortened(word, longest)),
        }
    }
    if all.len() > lines {
        all.truncate(lines);
        if let Some(last) = all.last_mut() {
            last.push('…');
            *last = shortened(last, longest);
        }
    }
    all
}

/// The text cut to `longest` letters, the last an ellipsis when anything was cut.
pub(super) fn shortened(text: &str, longest: usize) -> String {
    if text.chars().count() <= longest {
        return text.to_owned();
    }
    let kept: String = text.trim_end_matches('…').chars().take(longest.saturating_sub(1)).collect();
    format!("{}…", kept.trim_end())
}

/// The text up to the end of its first sentence, without the full stop.
pub(super) fn first_sentence(text: &str) -> &str {
    let text = text.trim();
    text.split_once(". ").map_or_else(|| text.trim_end_matches('.'), |(first, _)| first)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sentences_end_and_lines_break() {
        assert_eq!(first_sentence("No contact for .46 in. Pass 2 regains it."), "No contact for .46 in");
        let lines = wrapped("one two three four five six seven", 10, 2);
        assert_eq!(lines, ["one two", "three four…"].map(|l| shortened(l, 10)));
    }

    #[test]
    fn wider_text_takes_more_room() {
        let width = |text| text_width(text, 12.0, Weight::Plain);
        assert!(width("mm") > width("ii") && width("ii") > 0.0);
        assert!(text_width("full", 12.0, Weight::Bold) > width("full"));
    }
}
