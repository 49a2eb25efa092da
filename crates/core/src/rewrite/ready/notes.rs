//! What was changed, in words.

/// Lines named before the rest are only counted.
const NAMED: usize = 8;

/// Lines on which something was changed.
#[derive(Debug, Default)]
pub(super) struct Changes {
    pub shortened: Vec<u32>,
    pub dropped: Vec<u32>,
    pub replaced: Vec<u32>,
    pub closed_up: Vec<u32>,
}

impl Changes {
    pub(super) fn notes(&self) -> Vec<String> {
        let all = [
            ("Comments were shortened to fit the longest line", &self.shortened),
            ("Comments were deleted", &self.dropped),
            ("Characters that the control does not take were replaced in comments", &self.replaced),
            ("Spaces were deleted to fit the longest line", &self.closed_up),
        ];
        let note = |(what, lines): (&str, &Vec<u32>)| {
            (!lines.is_empty()).then(|| format!("{what}: {}.", line_list(lines)))
        };
        all.into_iter().filter_map(note).collect()
    }
}

fn line_list(lines: &[u32]) -> String {
    let mut lines = lines.to_vec();
    lines.dedup();
    let named: Vec<String> = lines.iter().take(NAMED).map(u32::to_string).collect();
    let noun = if lines.len() == 1 { "line" } else { "lines" };
    let more = match lines.len().saturating_sub(NAMED) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    format!("{noun} {}{more}", named.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_named_once_and_then_counted() {
        assert_eq!(line_list(&[3]), "line 3");
        assert_eq!(line_list(&[3, 3, 5]), "lines 3, 5");
        assert_eq!(line_list(&(1..=10).collect::<Vec<_>>()), "lines 1, 2, 3, 4, 5, 6, 7, 8 and 2 more");
    }
}
