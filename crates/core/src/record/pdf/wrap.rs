//! Text broken into lines of a width.

use crate::view::{Weight, text_width};

/// The text in lines no wider than `width`; a word that is wider is broken where it must be. At most `most` lines: what
/// does not fit ends in an ellipsis.
pub(super) fn wrapped(text: &str, size: f32, weight: Weight, width: f32, most: usize) -> Vec<String> {
    let fits = |line: &str| text_width(line, size, weight) <= width;
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if fits(&longer) {
            line = longer;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for letter in word.chars() {
            line.push(letter);
            if !fits(&line) && line.chars().count() > 1 {
                line.pop();
                lines.push(std::mem::replace(&mut line, letter.to_string()));
            }
        }
        if lines.len() > most {
            break;
        }
    }
    if !line.is_empty() || lines.is_empty() {
        lines.push(line);
    }
    if lines.len() > most {
        lines.truncate(most);
        if let Some(last) = lines.last_mut() {
            last.push('…');
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_line_is_wider_than_its_room() {
        let long = format!("A few words, then {}", "x".repeat(400));
        for text in [long.as_str(), "one two three four five six seven", "", "\u{fffd}\u{fffd}"] {
            let lines = wrapped(text, 8.0, Weight::Plain, 60.0, 100);
            let wide =
                |line: &String| text_width(line, 8.0, Weight::Plain) <= 60.0 || line.chars().count() == 1;
            assert!(lines.iter().all(wide), "{lines:?}");
            let kept: String = lines.concat().split_whitespace().collect();
            assert_eq!(kept, text.split_whitespace().collect::<String>(), "nothing is lost");
        }
        let cut = wrapped(&long, 8.0, Weight::Plain, 60.0, 3);
        assert!(cut.len() == 3 && cut[2].ends_with('…'), "{cut:?}");
    }
}
