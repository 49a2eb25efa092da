//! A whole picture for the job folder: a view with its title block.

use super::build_up::{BuildUpState, build_up};
use super::drawing::{Anchor, Dash, Drawing, Weight};
use super::label::{Words, haloed};
use super::plan::{PlanState, extent, plan};
use super::round::{Camera, RoundState, Scene, Tint, round};
use super::strip::{Along, StripState, strip};
use super::text::{shortened, text_width};
use super::theme::Theme;
use super::viewport::Viewport;
use super::wall::{WallState, wall, wall_viewport};
use crate::block::Field;
use crate::fit::Fitting;
use crate::measure::Contact;
use crate::proof::{NO_PROMISE, Proof, Verdict, verdict_words};
use crate::task::Cancel;
use crate::units::{Told, clock};
use crate::wall::Section;

/// What a picture shows.
#[derive(Debug, Clone, Copy)]
pub enum PictureKind<'a> {
    /// The block in plan, as it stands in this field, or without it.
    Plan(Option<&'a Field>),
    /// The thickness of cut along the path and along the outline.
    Strip,
    /// The section at a station, after the pass.
    Wall(&'a Section),
    /// The block in the round.
    Block(&'a Scene, Camera),
    /// Where metal has to be built up as the blank lies, numbered, with a list; empty without outline and edge.
    BuildUp,
}

const MARGIN: f32 = 24.0;
const HEAD: f32 = 72.0;
const FOOT: f32 = 76.0;

/// A picture of one pass with its title block: job, pass, date, scale bar, key, figures and the verdict in words.
pub fn picture(
    proof: &Proof,
    pass: usize,
    kind: &PictureKind<'_>,
    date: &str,
    theme: &Theme,
    [width, height]: [f32; 2],
) -> Drawing {
    let mut page = Drawing::new(width, height);
    page.panel([0.0, 0.0, width, height], theme.paper);
    let (wide, high) = ((width - 2.0 * MARGIN).max(1.0), (height - HEAD - FOOT).max(1.0));
    match kind {
        PictureKind::Plan(field) => {
            let viewport = Viewport::fit(extent(proof), wide, high, 46.0);
            let field = *field;
            let state = PlanState {
                pass,
                distance: None,
                field,
                pixels_per_point: 2.0,
                hover: None,
                finding: None,
                stock: true,
            };
            page.place(plan(proof, &state, &viewport, theme), MARGIN, HEAD);
        }
        PictureKind::Strip => strips(&mut page, proof, pass, [wide, high], theme),
        PictureKind::Wall(section) => walls(&mut page, proof, pass, section, [wide, high], theme),
        PictureKind::Block(scene, camera) => {
            let names: Vec<&str> = proof.job.passes.iter().map(|pass| pass.name.as_str()).collect();
            let state = RoundState {
                camera: *camera,
                tint: Tint::Passes,
                names: &names,
                ghosts: None,
                units: proof.told,
                pixels_per_point: 2.0,
                coarse: 1,
            };
            // Nobody stops a picture for the job folder.
            if let Ok(drawing) = round(scene, &state, theme, [wide, high], &Cancel::new()) {
                page.place(drawing, MARGIN, HEAD);
            }
        }
        PictureKind::BuildUp => {
            if let Some(state) = build_up_state(proof) {
                page.place(build_up(&state, theme, [wide, high]), MARGIN, HEAD);
            }
        }
    }
    // Whatever reaches past the view is covered by the page round it.
    for rect in [
        [0.0, 0.0, width, HEAD],
        [0.0, height - FOOT, width, height],
        [0.0, HEAD, MARGIN, height - FOOT],
        [width - MARGIN, HEAD, width, height - FOOT],
    ] {
        page.panel(rect, theme.paper);
    }
    if !matches!(kind, PictureKind::Strip) {
        let frame = super::drawing::corners([MARGIN, HEAD, width - MARGIN, height - FOOT]);
        page.ring(frame, theme.line, 1.0);
    }
    head(&mut page, proof, &subtitle(proof, pass, kind), date, theme);
    foot(&mut page, figures(proof, pass, kind), theme);
    if proof.verdict == Verdict::Clear {
        page.text([MARGIN, height - 10.0], Anchor::Left, 10.5, theme.quiet, NO_PROMISE);
    }
    page
}

fn strips(page: &mut Drawing, proof: &Proof, pass: usize, [wide, high]: [f32; 2], theme: &Theme) {
    let half = high / 2.0;
    let titles = [(Along::Path, "along the path"), (Along::Outline, "along the outline")];
    for (index, (along, words)) in titles.into_iter().enumerate() {
        let top = HEAD + half * index as f32;
        let state = StripState { pass, along };
        let (drawing, _) = strip(proof, &state, wide, (half - 24.0).max(1.0), theme);
        page.place(drawing, MARGIN, top + 24.0);
        let title = format!("Stock taken, square to the line, {words}");
        page.bold([MARGIN, top + 12.0], Anchor::Left, 12.0, theme.quiet, title);
    }
}

fn walls(
    page: &mut Drawing,
    proof: &Proof,
    pass: usize,
    section: &Section,
    [wide, high]: [f32; 2],
    theme: &Theme,
) {
    let tools: Vec<_> = proof.job.passes.iter().map(|pass| proof.job.tool(pass.tool)).collect();
    let state = WallState {
        section,
        pass,
        tools: &tools,
        every_tool: false,
        bed: proof.job.bed_top,
        gauge: proof.gauge.map(|gauge| gauge.z),
        units: proof.told,
    };
    let viewport = wall_viewport(&state, wide, high);
    page.place(wall(&state, &viewport, theme), MARGIN, HEAD);
    let words = Words {
        at: [MARGIN + 8.0, HEAD + 12.0],
        anchor: Anchor::Left,
        size: 12.0,
        weight: Weight::Bold,
        ink: theme.ink,
    };
    let title = format!("Wall at station {}", proof.told.plain(section.station));
    haloed(page, words, theme.paper, &title);
}

fn head(page: &mut Drawing, proof: &Proof, words: &str, date: &str, theme: &Theme) {
    let right = page.width - MARGIN;
    let verdict = verdict_words(proof);
    let (mark, ink) = match proof.verdict {
        Verdict::Clear => (theme.full, theme.ink),
        Verdict::Look => (theme.light, theme.ink),
        Verdict::Stop | Verdict::Unproven => (theme.none, theme.ink),
    };
    page.bold([right, 28.0], Anchor::Right, 13.0, ink, &*verdict);
    let verdict_wide = text_width(&verdict, 13.0, Weight::Bold);
    page.fill(super::drawing::circle([right - verdict_wide - 12.0, 28.0], 4.5), mark);
    page.text([right, 52.0], Anchor::Right, 12.0, theme.quiet, date);
    let room = ((right - verdict_wide - 40.0 - MARGIN) / 10.5).max(8.0) as usize;
    let name = proof.job.name.as_deref().unwrap_or("Job without a name");
    page.bold([MARGIN, 28.0], Anchor::Left, 17.0, theme.ink, shortened(name, room));
    page.text([MARGIN, 52.0], Anchor::Left, 12.0, theme.quiet, shortened(words, room.saturating_mul(3) / 2));
}

/// What the picture is of, under the job's name.
fn subtitle(proof: &Proof, pass: usize, kind: &PictureKind<'_>) -> String {
    if matches!(kind, PictureKind::BuildUp) {
        return "Metal to add to the blank before the first pass, as it lies".to_owned();
    }
    let Some(stated) = proof.job.passes.get(pass) else { return "no such pass".to_owned() };
    let tool = proof.job.tool(stated.tool).map_or_else(String::new, |tool| format!(" · {}", tool.title()));
    format!("Pass {}: {}{tool} · {}", pass + 1, stated.name, stated.program)
}

fn build_up_state(proof: &Proof) -> Option<BuildUpState<'_>> {
    let fitting = proof.fit.as_ref()?;
    Some(BuildUpState {
        outline: proof.outline.as_deref()?,
        edge: proof.edge.as_deref()?,
        stretches: &fitting.before,
        better: Some(&fitting.fit).filter(|fit| fit.gains(proof.told.of())),
        units: proof.told,
    })
}

fn foot(page: &mut Drawing, figures: Vec<(String, String)>, theme: &Theme) {
    let top = page.height - FOOT;
    let step = (page.width - 2.0 * MARGIN) / figures.len().max(1) as f32;
    for (index, (label, value)) in figures.into_iter().enumerate() {
        let x = MARGIN + step * index as f32;
        if index > 0 {
            page.line([x - 12.0, top + 22.0], [x - 12.0, top + 58.0], theme.line, 1.0, Dash::Solid);
        }
        page.text([x, top + 28.0], Anchor::Left, 11.0, theme.quiet, label);
        page.bold([x, top + 50.0], Anchor::Left, 13.0, theme.ink, value);
    }
}

/// How the outline lies on the blank, and how it would at best.
fn fit_figures(fitting: &Fitting, units: Told) -> Vec<(String, String)> {
    let length: f64 = fitting.before.iter().map(|stretch| stretch.length).sum();
    vec![
        (format!("least margin, {}", units.short()), units.fine(fitting.fit.present)),
        ("short, total length".to_owned(), units.plain_with_unit(length)),
        ("least margin in the best position".to_owned(), units.fine(fitting.fit.least_margin)),
        ("metal to add there, up to".to_owned(), units.fine(fitting.least_build_up())),
    ]
}

/// The figures of a pass; what was not measured is left out.
fn figures(proof: &Proof, pass: usize, kind: &PictureKind<'_>) -> Vec<(String, String)> {
    let units = proof.told;
    if matches!(kind, PictureKind::BuildUp) {
        return proof.fit.as_ref().map_or_else(Vec::new, |fitting| fit_figures(fitting, units));
    }
    let Some(done) = proof.passes.get(pass) else { return Vec::new() };
    let mut all = Vec::new();
    if let Some(along) = &done.along_outline {
        let range = |range: &crate::geometry::Range| {
            format!("{} to {}", units.fine(range.least), units.fine(range.most))
        };
        all.push((format!("stock left, {}", units.short()), range(&along.leave)));
        all.push((format!("cut, {}", units.short()), range(&along.cut)));
        all.extend(along.cut_z[1].map(|z| ("thickest at Z".to_owned(), units.fine(z))));
    }
    if let Some(length) = done.contact_length(Contact::None) {
        all.push(("no contact".to_owned(), units.plain_with_unit(length)));
    }
    if let Some(lowest) = done.lowest {
        all.push(("lowest Z".to_owned(), units.fine(lowest)));
    }
    let time = done.seconds.map_or_else(|| "not known".to_owned(), clock);
    all.push(("time, h:mm:ss".to_owned(), time));
    all
}
