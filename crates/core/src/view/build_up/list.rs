//! The list that goes with the numbers on the plan.

use super::super::drawing::{Anchor, Drawing};
use super::super::theme::Theme;
use super::{BuildUpState, ROW};

/// Right ends of the columns, from the left of the list.
const COLUMNS: [(&str, f32); 5] =
    [("", 26.0), ("from station", 92.0), ("to", 158.0), ("length", 218.0), ("thickness", 284.0)];
const SIZE: f32 = 11.5;

pub(super) fn list(
    page: &mut Drawing,
    state: &BuildUpState<'_>,
    [left, top, _, bottom]: [f32; 4],
    theme: &Theme,
) {
    let units = state.units;
    let mut y = top + 22.0;
    if state.stretches.is_empty() {
        page.bold([left + 16.0, y], Anchor::Left, 13.0, theme.ink, "No metal to add");
        return;
    }
    let title = format!("Metal to add, {}", units.short());
    page.bold([left + 16.0, y], Anchor::Left, 13.0, theme.ink, title);
    y += ROW + 4.0;
    for (head, right) in COLUMNS {
        page.text([left + right, y], Anchor::Right, 10.5, theme.quiet, head);
    }
    let room = (((bottom - y) / ROW) as usize).saturating_sub(1);
    let shown = if state.stretches.len() > room { room.saturating_sub(1) } else { state.stretches.len() };
    for (index, stretch) in state.stretches.iter().take(shown).enumerate() {
        y += ROW;
        let cells = [
            (index + 1).to_string(),
            units.plain(stretch.from),
            units.plain(stretch.to),
            units.plain(stretch.length),
            units.fine(stretch.most),
        ];
        for ((_, right), cell) in COLUMNS.into_iter().zip(cells) {
            page.text([left + right, y], Anchor::Right, SIZE, theme.ink, cell);
        }
    }
    if shown < state.stretches.len() {
        let more = format!("and {} more in the table", state.stretches.len() - shown);
        page.text([left + 16.0, y + ROW], Anchor::Left, SIZE, theme.quiet, more);
    }
}
