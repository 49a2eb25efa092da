//! One line of a program in its pane.

use std::ops::Range;
use std::sync::Arc;

use blockwright_core::finding::Finding;
use blockwright_core::program::explain::explain;
use blockwright_core::program::words::{Dialect, Token, TokenKind, tokens};
use blockwright_core::view::Theme;
use eframe::egui::{
    Align2, Galley, Rect, Response, RichText, Role, Sense, TextFormat, Ui, WidgetInfo, pos2, text::LayoutJob,
    vec2,
};

use super::super::act::Action;
use super::super::panel::words::{finding_words, severity, sign};
use super::Ask;
use super::buffer::shown;
use crate::theme::{bold, colour, mono};

/// Height of a row.
pub(super) const ROW: f32 = 18.0;
/// Size of its type.
pub(super) const SIZE: f32 = 11.0;
/// Width of the margin that findings stand in.
const MARGIN: f32 = 22.0;
/// Between the line numbers and the text.
const GAP: f32 = 10.0;
/// Longest piece of a line that is laid out, letters.
const LONGEST: usize = 1000;

/// Where the parts of every row lie across.
#[derive(Debug, Clone, Copy)]
pub(super) struct Columns {
    numbers: f32,
    text: f32,
    /// How far the text is moved to the left.
    side: f32,
}

impl Columns {
    /// For a text of so many lines in a pane that starts at `left`.
    pub(super) fn new(ui: &Ui, left: f32, lines: usize, side: f32) -> Self {
        let digit = ui.fonts_mut(|fonts| fonts.glyph_width(&mono(SIZE), '0'));
        let digits = lines.max(99).ilog10() + 1;
        let numbers = left + MARGIN + digits as f32 * digit;
        Self { numbers, text: numbers + GAP, side }
    }

    /// The place of the text in a row.
    pub(super) fn text_in(&self, row: Rect) -> Rect {
        Rect::from_min_max(pos2(self.text, row.top()), row.max)
    }
}

/// What is shown of one line.
#[expect(clippy::struct_excessive_bools, reason = "each is a mark of its own, and any may go with any")]
pub(super) struct Row<'a> {
    pub(super) line: u32,
    pub(super) bytes: &'a [u8],
    pub(super) dialect: Dialect,
    /// The tool is on this line.
    pub(super) current: bool,
    /// The line was picked by hand.
    pub(super) picked: bool,
    /// It is being edited: only number and margin are shown.
    pub(super) typing: bool,
    /// Found by the search, and which bytes of it.
    pub(super) found: bool,
    pub(super) parts: Vec<Range<usize>>,
    pub(super) findings: Vec<(usize, &'a Finding)>,
}

/// A token with the letters it takes up.
type Placed = (Token, Range<usize>);

impl Row<'_> {
    /// Draws it; the width of its text.
    pub(super) fn show(
        &self,
        ui: &mut Ui,
        rect: Rect,
        columns: Columns,
        theme: &Theme,
        actions: &mut Vec<Action>,
    ) -> f32 {
        let visible = &self.bytes[..self.bytes.len().min(LONGEST)];
        let words = tokens(visible, self.dialect);
        let (galley, placed) = laid(ui, visible, &words, theme);
        let response = ui.interact(rect, ui.scope_id().with(("line", self.line)), Sense::click());
        let active = response.hovered() || response.has_focus();
        self.tell(&response, &galley);
        self.back(ui, rect, active, theme);
        if response.double_clicked() {
            actions.push(Action::Program(Ask::Edit(self.line)));
        } else if response.clicked() {
            actions.push(Action::Line(self.line));
        }
        let middle = rect.center().y;
        let number_ink = if self.current { theme.ink } else { theme.quiet };
        let number = self.line.to_string();
        ui.painter().text(
            pos2(columns.numbers, middle),
            Align2::RIGHT_CENTER,
            number,
            mono(SIZE),
            colour(number_ink),
        );
        if !self.typing {
            let left = columns.text - columns.side;
            let letter = galley.size().x / galley.text().chars().count().max(1) as f32;
            let inside = columns.text_in(rect).intersect(ui.clip_rect());
            let painter = ui.painter().with_clip_rect(inside);
            for (_, letters) in
                placed.iter().filter(|(token, _)| self.parts.contains(&(token.span.from..token.span.to)))
            {
                let from = left + letters.start as f32 * letter;
                let to = left + letters.end as f32 * letter;
                painter.hline(from..=to, rect.bottom() - 2.0, (2.0, colour(theme.accent)));
            }
            painter.galley(
                pos2(left, middle - galley.size().y / 2.0),
                Arc::clone(&galley),
                colour(theme.ink),
            );
            self.hover(&response, left, letter, (&words, &placed));
        }
        self.margin(ui, rect, theme, actions);
        galley.size().x
    }

    fn tell(&self, response: &Response, galley: &Galley) {
        response.widget_info(|| {
            let found = self.findings.first().map(|(_, finding)| severity_word(finding)).unwrap_or_default();
            let text = format!("Line {}: {}{found}", self.line, galley.text());
            WidgetInfo::selected(Role::Button, true, self.current, text)
        });
    }

    fn back(&self, ui: &Ui, rect: Rect, active: bool, theme: &Theme) {
        let painter = ui.painter();
        if self.current || active {
            painter.rect_filled(rect, 0.0, colour(theme.accent_soft));
        }
        if self.current {
            painter.rect_filled(Rect::from_min_size(rect.min, vec2(4.0, ROW)), 0.0, colour(theme.accent));
        }
        if self.picked && !self.current && !self.typing {
            let edge = rect.shrink2(vec2(1.0, 0.5));
            let stroke = (1.0, colour(theme.accent));
            painter.rect_stroke(edge, 2.0, stroke, eframe::egui::StrokeKind::Inside);
        }
        if self.found {
            let dot = pos2(rect.right() - super::scroll::BAR - 6.0, rect.center().y);
            painter.circle_filled(dot, 2.5, colour(theme.accent));
        }
    }

    /// What the word under the pointer means, and what was found about it.
    fn hover(&self, response: &Response, left: f32, letter: f32, (words, placed): (&[Token], &[Placed])) {
        let Some(at) = response.hover_pos().filter(|at| at.x >= left && letter > 0.0) else { return };
        let column = ((at.x - left) / letter) as usize;
        let Some((token, letters)) = placed.iter().find(|(_, letters)| letters.contains(&column)) else {
            return;
        };
        let Some(meaning) = meaning(token, words) else { return };
        let name = shown(self.bytes.get(token.span.from..token.span.to).unwrap_or_default(), 40);
        let here = |finding: &Finding| {
            finding.column.is_some_and(|column| letters.contains(&(column as usize).saturating_sub(1)))
        };
        let found = self.findings.iter().filter(|(_, finding)| here(finding));
        let found: Vec<&str> = found.map(|(_, finding)| finding.message.as_str()).collect();
        response.clone().on_hover_ui_at_pointer(|ui| {
            ui.set_max_width(320.0);
            ui.label(RichText::new(name.trim()).font(bold(13.0)));
            ui.label(meaning);
            for message in found {
                ui.label(message);
            }
        });
    }

    /// The heaviest finding's sign; the pointer on it reads all of them.
    fn margin(&self, ui: &Ui, rect: Rect, theme: &Theme, actions: &mut Vec<Action>) {
        let Some((first, heaviest)) = self.findings.first() else { return };
        let slot = Rect::from_min_size(pos2(rect.left() + 4.0, rect.top()), vec2(MARGIN - 4.0, ROW));
        let response = ui.interact(slot, ui.scope_id().with(("finding", self.line)), Sense::click());
        response.widget_info(|| {
            let (_, word) = severity(heaviest.severity, theme);
            WidgetInfo::labeled(Role::Button, true, format!("Finding, {word}: {}", heaviest.message))
        });
        if response.clicked() {
            actions.push(Action::Follow(*first));
        }
        sign(ui.painter(), slot.center(), heaviest.severity, theme);
        response.on_hover_ui_at_pointer(|ui| {
            ui.set_max_width(360.0);
            for (_, finding) in self.findings.iter().take(4) {
                ui.label(finding_words(finding));
            }
            if self.findings.len() > 4 {
                ui.label(format!("and {} more on this line", self.findings.len() - 4));
            }
        });
    }
}

fn severity_word(finding: &Finding) -> &'static str {
    use blockwright_core::finding::Severity;
    match finding.severity {
        Severity::Stop => ", finding: Stop",
        Severity::Look => ", finding: Check",
        Severity::Note => ", finding: Note",
    }
}

/// What a token means; blanks mean nothing.
fn meaning(token: &Token, line: &[Token]) -> Option<String> {
    Some(match token.kind {
        TokenKind::Blank => return None,
        TokenKind::Word { letter, number, .. } => explain(letter, number, line),
        TokenKind::Comment => "A comment: the control does not act on it.".to_owned(),
        TokenKind::Mark => "Marks where the program begins and where it ends.".to_owned(),
        TokenKind::Slash => "The control skips this line while block delete is on.".to_owned(),
        TokenKind::Setting => "Sets a parameter.".to_owned(),
        TokenKind::Stray => "This is not part of any word.".to_owned(),
    })
}

/// The line laid out, what the control does not act on in quiet ink, and where each token stands in it.
fn laid(ui: &Ui, bytes: &[u8], words: &[Token], theme: &Theme) -> (Arc<Galley>, Vec<Placed>) {
    let mut job = LayoutJob::default();
    job.wrap.max_width = f32::INFINITY;
    let mut placed = Vec::with_capacity(words.len());
    let mut letters = 0;
    for token in words {
        let text = shown(bytes.get(token.span.from..token.span.to).unwrap_or_default(), LONGEST);
        let ink = match token.kind {
            TokenKind::Comment
            | TokenKind::Mark
            | TokenKind::Word { letter: b'N' | b'n' | b'O' | b'o', .. } => theme.quiet,
            TokenKind::Stray => theme.none,
            _ => theme.ink,
        };
        let count = text.chars().count();
        placed.push((*token, letters..letters + count));
        letters += count;
        job.append(&text, 0.0, TextFormat::simple(mono(SIZE), colour(ink)));
    }
    (ui.fonts_mut(|fonts| fonts.layout_job(job)), placed)
}
