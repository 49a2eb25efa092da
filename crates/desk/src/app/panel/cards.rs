//! What to look at, the worst first: a card for every finding that wants a decision, and quiet ones for notes.

use std::sync::Arc;

use blockwright_core::finding::{Asks, Finding, Severity};
use blockwright_core::job::Job;
use blockwright_core::proof::{Proof, Steps, has_seen, steps};
use blockwright_core::units::Told;
use blockwright_core::view::Theme;
use eframe::egui::{
    Align, Align2, Button, Galley, Layout, Painter, Pos2, Rect, Role, ScrollArea, Sense, StrokeKind, Ui,
    WidgetInfo, pos2,
    text::{LayoutJob, TextFormat},
    vec2,
};

use super::passes::inset;
use super::walls;
use super::words::{changed, heading, quiet, sentence_start, severity, shortened, sign};
use crate::app::act::{Action, theme};
use crate::app::desk::Desk;
use crate::app::look::Look;
use crate::theme::{bold, colour, plain};

/// From the sides of the panel to a card, and from its left side to its words.
const SIDE: f32 = 10.0;
const INDENT: f32 = 30.0;
/// Height of a card without its sentence.
const HEAD: f32 = 42.0;
/// Lines of the sentence while the card is not selected.
const LINES: usize = 2;
/// Part of the panel's height that the cards may take before they scroll.
const PART: f32 = 0.54;
/// Height of the button for what a finding asks for.
const ASK: f32 = 24.0;
/// Side of the tick.
const TICK: f32 = 24.0;

/// The findings that have a card, in the order of the cards.
pub(in crate::app) fn order(proof: &Proof, notes: bool) -> Vec<usize> {
    let told = |index: &usize| notes || proof.findings[*index].severity > Severity::Note;
    let mut cards: Vec<usize> = (0..proof.findings.len()).filter(told).collect();
    cards.sort_by_key(|index| std::cmp::Reverse(proof.findings[*index].severity));
    cards
}

pub(in crate::app) fn show(ui: &mut Ui, desk: &Desk, look: &Look, actions: &mut Vec<Action>) {
    let Some(proof) = desk.whole_proof() else { return };
    let colours = theme(ui.ctx());
    let cards = order(proof, look.notes);
    ui.add_space(10.0);
    inset(ui, |ui| head(ui, desk.job(), proof, &colours));
    ui.add_space(6.0);
    let most = ui.available_height() * PART;
    ScrollArea::vertical().id_salt("cards").max_height(most).auto_shrink([false, true]).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 6.0;
        for index in cards {
            card(ui, (desk.job(), proof), index, look, &colours, actions);
        }
        ui.add_space(2.0);
    });
    // Under the cards, however far they are scrolled.
    inset(ui, |ui| notes(ui, proof, look, actions));
    ui.add_space(4.0);
    let line = ui.available_rect_before_wrap();
    ui.painter().hline(line.x_range(), line.top(), (1.0, colour(colours.line)));
}

/// The title, and how many have been seen.
fn head(ui: &mut Ui, job: &Job, proof: &Proof, theme: &Theme) {
    let wanted = order(proof, false);
    let seen = wanted.iter().filter(|index| has_seen(job, &proof.findings[**index])).count();
    ui.horizontal(|ui| {
        heading(ui, theme, if wanted.is_empty() { "No findings" } else { "What to look at" });
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            if !wanted.is_empty() {
                ui.label(quiet(format!("{seen} of {} seen", wanted.len()), theme));
            }
        });
    });
}

/// Shows and hides the cards of notes.
fn notes(ui: &mut Ui, proof: &Proof, look: &Look, actions: &mut Vec<Action>) {
    let notes = proof.findings.iter().filter(|finding| finding.severity == Severity::Note).count();
    if notes == 0 {
        return;
    }
    let words = if notes == 1 { "1 note".to_owned() } else { format!("{notes} notes") };
    let words = if look.notes { format!("Hide {words}") } else { words };
    if ui
        .link(words)
        .on_hover_text("Show or hide what is only worth knowing, with what it asks for")
        .clicked()
    {
        actions.push(Action::Notes(!look.notes));
    }
}

/// What a card holds under its head, and how high each part is.
struct Body {
    sentence: Arc<Galley>,
    steps: Option<Steps>,
    ask: Option<(String, Action)>,
}

impl Body {
    fn of(ui: &Ui, proof: &Proof, finding: &Finding, wide: f32, whole: bool, theme: &Theme) -> Self {
        let (words, font, ink) = (sentence_start(sentence(finding)), plain(12.0), colour(theme.ink));
        let sentence = if whole {
            let mut text = LayoutJob::simple(words, font, ink, wide);
            let usual = format!("\n{}", finding.code.usual().done);
            text.append(&usual, 0.0, TextFormat::simple(plain(12.0), colour(theme.quiet)));
            ui.painter().layout_job(text)
        } else {
            shortened(ui.painter(), &words, &font, ink, (wide, LINES))
        };
        Self { sentence, steps: steps(proof, finding), ask: asked(finding) }
    }

    fn height(&self) -> f32 {
        let walls = if self.steps.is_some() { walls::HEIGHT + 2.0 } else { 0.0 };
        let ask = if self.ask.is_some() { ASK + 6.0 } else { 0.0 };
        HEAD + self.sentence.size().y + walls + ask + 8.0
    }
}

fn card(
    ui: &mut Ui,
    (job, proof): (&Job, &Proof),
    index: usize,
    look: &Look,
    theme: &Theme,
    actions: &mut Vec<Action>,
) {
    let (finding, picked) = (&proof.findings[index], look.finding == Some(index));
    let note = finding.severity == Severity::Note;
    let words = ui.available_width() - 2.0 * SIDE - INDENT - 10.0;
    let body = Body::of(ui, proof, finding, words, picked, theme);
    let (outer, response) = ui.allocate_exact_size(vec2(ui.available_width(), body.height()), Sense::click());
    let rect = outer.shrink2(vec2(SIDE, 0.0));
    let (_, word) = severity(finding.severity, theme);
    let (title, place) = (finding.code.title(), place(finding, proof.told));
    response.widget_info(|| {
        let text = format!("Card: {word}, {title}, {place}. {}", finding.message);
        WidgetInfo::selected(Role::Button, true, picked, text)
    });
    let response = if picked { response } else { response.on_hover_text(finding.message.as_str()) };
    if response.clicked() {
        actions.push(Action::Follow(index));
    }
    if picked && changed(ui, "card", index) {
        response.scroll_to_me(None);
    }
    let painter = ui.painter().with_clip_rect(outer.intersect(ui.clip_rect()));
    let lit = picked || response.hovered() || response.has_focus();
    let back = if lit {
        theme.accent_soft
    } else if note {
        theme.paper
    } else {
        theme.panel
    };
    painter.rect(rect, 4.0, colour(back), (1.0, colour(theme.line)), StrokeKind::Inside);
    if picked {
        let mark = Rect::from_min_size(rect.min, vec2(4.0, rect.height()));
        painter.rect_filled(mark, 2.0, colour(theme.accent));
    }
    sign(&painter, pos2(rect.left() + 17.0, rect.top() + 15.0), finding.severity, theme);
    let amount = finding.amount.map(|amount| proof.told.plain(amount)).unwrap_or_default();
    let amount = if finding.amount.is_some_and(f64::is_finite) { amount } else { String::new() };
    top(&painter, rect, [title, &amount, &place], note, theme);
    let mut y = rect.top() + HEAD;
    painter.galley(pos2(rect.left() + INDENT, y), Arc::clone(&body.sentence), colour(theme.ink));
    y += body.sentence.size().y + 7.0;
    if let Some(steps) = &body.steps {
        let place = Rect::from_min_size(pos2(rect.left() + INDENT, y), vec2(words, walls::HEIGHT));
        walls::draw(&painter, place, steps, proof.told, theme);
        y += walls::HEIGHT + 2.0;
    }
    if let Some((words, action)) = body.ask {
        let wide = rect.width() - INDENT - 10.0;
        let place = Rect::from_min_size(pos2(rect.left() + INDENT, y), vec2(wide, ASK));
        let button = Button::new(words.as_str()).truncate();
        if ui.place(place, button).on_hover_text(words).clicked() {
            actions.push(action);
        }
    }
    if !note {
        tick(ui, rect, (index, finding), has_seen(job, finding), actions);
    }
}

/// The tick of a card that has been seen.
fn tick(ui: &mut Ui, rect: Rect, (index, finding): (usize, &Finding), seen: bool, actions: &mut Vec<Action>) {
    let place = Rect::from_min_size(pos2(rect.right() - TICK - 4.0, rect.top() + 24.0), vec2(TICK, TICK));
    if !ui.is_rect_visible(place) {
        return;
    }
    let response = ui.interact(place, ui.scope_id().with(("seen", index)), Sense::click());
    let name = format!("Seen: {}, card {}", finding.code.title(), index + 1);
    response.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, seen, name.as_str()));
    let colours = theme(ui.ctx());
    let painter = ui.painter();
    let square = Rect::from_center_size(place.center(), vec2(13.0, 13.0));
    let focused = response.hovered() || response.has_focus();
    let ink = colour(if focused || seen { colours.ink } else { colours.quiet });
    painter.rect(square, 2.0, colour(colours.panel), (1.2, ink), StrokeKind::Inside);
    if seen {
        let at = |x: f32, y: f32| square.min + vec2(x, y);
        painter.line(vec![at(2.8, 6.6), at(5.4, 9.4), at(10.2, 3.4)], (1.8, ink));
    }
    if response.on_hover_text("Seen: tick what you have looked at").clicked() {
        actions.push(Action::Seen(index, !seen));
    }
}

/// What a finding asks for, as a button, and what that opens.
fn asked(finding: &Finding) -> Option<(String, Action)> {
    let first = *finding.asks.first()?;
    Some(if first == Asks::Confirm {
        ("Look and confirm…".to_owned(), Action::ToConfirm)
    } else {
        (format!("Enter {}…", first.words()), Action::Answer)
    })
}

/// Title, amount and place.
fn top(painter: &Painter, rect: Rect, [title, amount, place]: [&str; 3], note: bool, theme: &Theme) {
    let at = |x: f32, y: f32| -> Pos2 { pos2(x, rect.top() + y) };
    let right = rect.right() - 10.0;
    let number = painter.text(at(right, 15.0), Align2::RIGHT_CENTER, amount, bold(15.0), colour(theme.ink));
    let write = |y: f32, end: f32, text: &str, font, ink| {
        let mut job = LayoutJob::simple_singleline(text.to_owned(), font, colour(ink));
        job.wrap.max_width = (end - rect.left() - INDENT).max(0.0);
        job.wrap.max_rows = 1;
        job.wrap.break_anywhere = true;
        let galley = painter.layout_job(job);
        let corner = at(rect.left() + INDENT, y) - vec2(0.0, galley.size().y / 2.0);
        painter.galley(corner, galley, colour(ink));
    };
    let (font, ink) = if note { (plain(13.0), theme.quiet) } else { (bold(13.0), theme.ink) };
    write(15.0, number.left() - 6.0, title, font, ink);
    write(32.0, right - TICK, place, plain(11.0), theme.quiet);
}

/// Where it is, in a few words.
fn place(finding: &Finding, units: Told) -> String {
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
