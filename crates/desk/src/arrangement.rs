//! How the window was left: its size, which panes were shown and how large, dark or light. Kept in the state folder of the
//! platform; what is damaged there counts for nothing.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use crate::files;

/// What the file is called, and the most of it that is read.
const NAME: &str = "arrangement.txt";
const MOST: u64 = 4_096;
/// The first line: what it is, and its form.
const FIRST: &str = "blockwright-arrangement/1";
/// Sizes that a window or a pane can have, points.
const SIZES: std::ops::RangeInclusive<f32> = 100.0..=16_000.0;

/// How the window was left.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Arrangement {
    /// Width and height of the window's inside, points.
    pub window: Option<[f32; 2]>,
    /// Widths of the left and the right pane and height of the lower one, points.
    pub panes: [Option<f32>; 3],
    /// Which of them are hidden.
    pub hidden: [bool; 3],
    /// Light ink on dark paper.
    pub dark: bool,
}

impl Arrangement {
    /// Where it is kept in the state folder.
    pub fn place(folder: &Path) -> PathBuf {
        folder.join(NAME)
    }

    /// As it was left there; the usual one where nothing can be read.
    pub fn read(place: &Path) -> Self {
        files::read(place, MOST).ok().and_then(|bytes| Self::decode(&bytes)).unwrap_or_default()
    }

    /// Keeps it. Where that fails the next start is as usual, and nobody is told.
    pub fn keep(&self, place: &Path) {
        let _ = files::write(place, self.encode().as_bytes(), true);
    }

    /// As text: a line for each thing that is known.
    pub fn encode(&self) -> String {
        let mut text = format!("{FIRST}\n");
        if let Some([width, height]) = self.window {
            let _ = writeln!(text, "window {width} {height}");
        }
        for ((name, size), hidden) in NAMES.into_iter().zip(self.panes).zip(self.hidden) {
            if let Some(size) = size {
                let _ = writeln!(text, "{name} {size}");
            }
            if hidden {
                let _ = writeln!(text, "hidden {name}");
            }
        }
        if self.dark {
            text.push_str("dark\n");
        }
        text
    }

    /// From text; `None` for a line that is not of this form, or a size that no window has.
    pub fn decode(bytes: &[u8]) -> Option<Self> {
        let mut lines = std::str::from_utf8(bytes).ok()?.lines();
        let mut all = Self::default();
        if lines.next()? != FIRST {
            return None;
        }
        let size = |text: &str| text.parse::<f32>().ok().filter(|size| SIZES.contains(size));
        for line in lines {
            match line.split(' ').collect::<Vec<_>>()[..] {
                ["window", width, height] => all.window = Some([size(width)?, size(height)?]),
                ["hidden", name] => all.hidden[pane(name)?] = true,
                ["dark"] => all.dark = true,
                [name, length] => all.panes[pane(name)?] = Some(size(length)?),
                _ => return None,
            }
        }
        Some(all)
    }
}

/// What the panes are called in the file.
const NAMES: [&str; 3] = ["left", "right", "below"];

fn pane(name: &str) -> Option<usize> {
    NAMES.iter().position(|known| *known == name)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn some() -> Arrangement {
        Arrangement {
            window: Some([1440.0, 900.5]),
            panes: [Some(276.0), None, Some(312.25)],
            hidden: [false, true, false],
            dark: true,
        }
    }

    #[test]
    fn it_comes_back_as_it_was_kept() {
        let folder = tempfile::tempdir().expect("a folder");
        let place = Arrangement::place(folder.path());
        assert_eq!(Arrangement::read(&place), Arrangement::default(), "nothing is there yet");
        some().keep(&place);
        assert_eq!(Arrangement::read(&place), some());
        Arrangement::default().keep(&place);
        assert_eq!(Arrangement::read(&place), Arrangement::default(), "replaced");
    }

    #[test]
    fn a_damaged_file_counts_for_nothing() {
        let good = some().encode();
        assert_eq!(Arrangement::decode(good.as_bytes()), Some(some()));
        for bad in [
            "",
            "something else\n",
            "blockwright-arrangement/1\nwindow 1440\n",
            "blockwright-arrangement/1\nwindow NaN 900\n",
            "blockwright-arrangement/1\nleft 1e30\n",
            "blockwright-arrangement/1\nhidden above\n",
            "blockwright-arrangement/1\nleft -5\n",
        ] {
            assert_eq!(Arrangement::decode(bad.as_bytes()), None, "{bad:?}");
        }
        for cut in 1..good.len() {
            let _ = Arrangement::decode(&good.as_bytes()[..cut]);
        }
        assert_eq!(Arrangement::decode(&[0xff, 0xfe]), None);
    }
}
