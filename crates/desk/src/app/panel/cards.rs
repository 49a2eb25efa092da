//! What to look at, the worst first: a card for every finding that wants a decision.

use blockwright_core::finding::{Finding, Severity};
use blockwright_core::proof::Proof;
use blockwright_core::units::Units;
use blockwright_core::view::Theme;
use eframe::egui::{
    Align2, Painter, Pos2, Rect, Role, ScrollArea, Sense, Ui, WidgetInfo, pos2, text::LayoutJob, vec2,
};

use super::passes::inset;
use super::words::{changed, heading, sentence_start, severity, sign};
use crate::app::act::{Action, theme};
use crate::app::desk::Desk;
use crate::app::look::{Look, Tab};
use crate::theme::{bold, colour, plain};

/// From the sides of the panel to a card, and from its left side to its words.
const SIDE: f32 = 10.0;
const INDENT: f32 = 30.0;
/// Height of a card without its sentence.
const HEAD: f32 = 42.0;
/// Lines of the sentence.
const LINES: usize = 3;
/// Part of the panel's height that the cards may take before they scroll.
const PART: f32 = 0.42;

pub(in crate::app) fn show(ui: &mut Ui, desk: &Desk, look: &Look, actions: &mut Vec<Action>) {
    let Some(proof) = desk.whole_proof() else { return };
    let colours = theme(ui.ctx());
    let mut cards: Vec<(usize, &Finding)> =
        proof.findings.iter().enumerate().filter(|(_, finding)| finding.severity > Severity::Note).collect();
    cards.sort_by_key(|(_, finding)| std::cmp::Reverse(finding.severity));
    let notes = proof.findings.len() - cards.len();
    ui.add_space(10.0);
    inset(ui, |ui| {
        ui.horizontal(|ui| {
            heading(ui, &colours, if cards.is_empty() { "Nothing to look at" } else { "What to look at" });
            notes_link(ui, notes, actions);
        });
    });
    ui.add_space(6.0);
    let most = ui.available_height() * PART;
    ScrollArea::vertical().id_salt("cards").max_height(most).auto_shrink([false, true]).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 6.0;
        for (index, finding) in cards {
            card(ui, proof, (index, finding), look.finding == Some(index), &colours, actions);
        }
        ui.add_space(2.0);
    });
    let line = ui.available_rect_before_wrap();
    ui.painter().hline(line.x_range(), line.top(), (1.0, colour(colours.line)));
}

fn notes_link(ui: &mut Ui, notes: usize, actions: &mut Vec<Action>) {
    if notes == 0 {
        return;
    }
    let words = if notes == 1 { "1 note".to_owned() } else { format!("{notes} notes") };
    if ui.link(words).on_hover_text("Show all findings and notes, with what they ask for").clicked() {
        actions.push(Action::Tab(Tab::Findings));
    }
}

fn card(
    ui: &mut Ui,
    proof: &Proof,
    (index, finding): (usize, &Finding),
    picked: bool,
    theme: &Theme,
    actions: &mut Vec<Action>,
) {
    let wide = ui.available_width() - 2.0 * SIDE;
    let mut sentence = LayoutJob::simple(
        sentence_start(sentence(finding)),
        plain(12.0),
        colour(theme.ink),
        wide - INDENT - 12.0,
    );
    sentence.wrap.max_rows = LINES;
    let sentence = ui.painter().layout_job(sentence);
    let high = HEAD + sentence.size().y + 8.0;
    let (outer, response) = ui.allocate_exact_size(vec2(ui.available_width(), high), Sense::click());
    let rect = outer.shrink2(vec2(SIDE, 0.0));
    let (_, word) = severity(finding.severity, theme);
    let (title, place) = (finding.code.title(), place(finding, proof.job.units));
    response.widget_info(|| {
        WidgetInfo::selected(Role::Button, true, picked, format!("Card: {word}, {title}, {place}"))
    });
    let response = response.on_hover_text(finding.message.as_str());
    if response.clicked() {
        actions.push(Action::Follow(index));
    }
    if picked && changed(ui, "card", index) {
        response.scroll_to_me(None);
    }
    let painter = ui.painter().with_clip_rect(outer.intersect(ui.clip_rect()));
    let lit = picked || response.hovered() || response.has_focus();
    painter.rect(
        rect,
        4.0,
        colour(if lit { theme.accent_soft } else { theme.panel }),
        (1.0, colour(theme.line)),
        eframe::egui::StrokeKind::Inside,
    );
    if picked {
        painter.rect_filled(
            Rect::from_min_size(rect.min, vec2(4.0, rect.height())),
            2.0,
            colour(theme.accent),
        );
    }
    sign(&painter, pos2(rect.left() + 17.0, rect.top() + 15.0), finding.severity, theme);
    let amount = finding.amount.map(|amount| proof.job.units.plain(amount)).unwrap_or_default();
    head(&painter, rect, [title, &amount, &place], theme);
    painter.galley(pos2(rect.left() + INDENT, rect.top() + HEAD), sentence, colour(theme.ink));
}

/// Title, amount and place.
fn head(painter: &Painter, rect: Rect, [title, amount, place]: [&str; 3], theme: &Theme) {
    let at = |x: f32, y: f32| -> Pos2 { pos2(x, rect.top() + y) };
    let right = rect.right() - 10.0;
    let number = painter.text(at(right, 15.0), Align2::RIGHT_CENTER, amount, bold(15.0), colour(theme.ink));
    let room = Rect::from_min_max(rect.min, pos2(number.left() - 6.0, rect.bottom()));
    painter.with_clip_rect(room.intersect(painter.clip_rect())).text(
        at(rect.left() + INDENT, 15.0),
        Align2::LEFT_CENTER,
        title,
        bold(13.0),
        colour(theme.ink),
    );
    painter.text(
        at(rect.left() + INDENT, 32.0),
        Align2::LEFT_CENTER,
        place,
        plain(11.0),
        colour(theme.quiet),
    );
}

/// Where it is, in a few words.
fn place(finding: &Finding, units: Units) -> String {
    let pass = finding.pass.map(|pass| format!("pass {}", pass + 1));
    let line = finding.line.map(|line| format!("line {line}"));
    let station = finding.station.map(|station| format!("station {}", units.plain(station)));
    let parts: Vec<String> = [pass, line, station].into_iter().flatten().collect();
    if parts.is_empty() { "the job".to_owned() } else { parts.join(", ") }
}

/// The message without the pass that the place names already.
fn sentence(finding: &Finding) -> &str {
    let pass = finding.pass.map(|pass| format!("Pass {}: ", pass + 1));
    pass.and_then(|pass| finding.message.strip_prefix(pass.as_str())).unwrap_or(&finding.message)
}
