//! The block in the round with what is written on it: the key, the passes' numbers, the directions.

use std::sync::Arc;

use super::camera::{Camera, Sight};
use super::ghosts::Ghosts;
use super::paint::{Picture, paint};
use super::scene::{Maker, Scene};
use super::shade::{Tint, laid, of_amount};
use crate::pixels::Pixels;
use crate::task::{Cancel, Cancelled};
use crate::units::Told;
use crate::view::drawing::{Anchor, Dash, Drawing, Ink, Item, Weight, circle, corners};
use crate::view::label::{Words, haloed};
use crate::view::text::{shortened, text_width};
use crate::view::theme::{Theme, contrast};

/// What the block in the round is seen with.
#[derive(Debug, Clone, Copy)]
pub struct RoundState<'a> {
    /// From where.
    pub camera: Camera,
    /// What the colours tell.
    pub tint: Tint<'a>,
    /// Names of the passes, for the key.
    pub names: &'a [&'a str],
    /// The unit of every length.
    pub units: Told,
    /// What stands about the block.
    pub ghosts: Option<&'a Ghosts<'a>>,
    /// Pixels for one view point on the screen.
    pub pixels_per_point: f32,
    /// Pixels of the screen along one side of a pixel of the picture: 1 is fine, 3 is quick enough to turn.
    pub coarse: u32,
}

/// Longest side of the picture in pixels.
const LONGEST: f32 = 4096.0;
const SMALL: f32 = 10.5;
const TEXT: f32 = 11.5;
const ROW: f32 = 18.0;
/// A face has its pass's number when a disc of this radius fits on it, view points.
const BADGE: f32 = 7.5;

/// The block in the round, `width` by `height` view points.
///
/// # Errors
/// [`Cancelled`] when the flag was raised before it was drawn.
pub fn round(
    scene: &Scene,
    state: &RoundState<'_>,
    theme: &Theme,
    [width, height]: [f32; 2],
    cancel: &Cancel,
) -> Result<Drawing, Cancelled> {
    let mut drawing = Drawing::new(width, height);
    drawing.panel([0.0, 0.0, width, height], theme.paper);
    let coarse = state.coarse.clamp(1, 16);
    let wanted = state.pixels_per_point.clamp(0.05, 8.0) / coarse as f32;
    let density = wanted.min(LONGEST / width.max(height).max(1.0));
    let side = |length: f32| (length * density).ceil().max(1.0) as usize;
    let size = [side(width), side(height)];
    let sight = Sight::new(&state.camera, scene, [width, height], f64::from(density));
    let picture = paint(scene, &sight, &state.tint, size, coarse == 1, theme, cancel)?;
    let badges = badges(&picture, density);
    let rect = [0.0, 0.0, size[0] as f32 / density, size[1] as f32 / density];
    drawing.items.push(Item::Image { rect, pixels: Arc::new(picture.pixels) });
    if let Some(ghosts) = state.ghosts {
        let sight = Sight::new(&state.camera, scene, [width, height], 1.0);
        ghosts.draw(&mut drawing, &sight, theme);
    }
    match state.tint {
        Tint::Passes => {
            for (pass, at) in badges {
                badge(&mut drawing, at, pass, theme);
            }
            pass_key(&mut drawing, scene, state, &picture.makers, theme);
        }
        Tint::Leave { range, .. } => leave_key(&mut drawing, range, state.units, theme),
    }
    directions(&mut drawing, &state.camera, theme);
    Ok(drawing)
}

/// For each pass the place on its faces that is farthest from their rim, where there is room for a number.
fn badges(picture: &Picture, density: f32) -> Vec<(usize, [f32; 2])> {
    let Pixels { width, height, .. } = picture.pixels;
    let rim = from_rim(&picture.makers, width, height);
    let mut best: Vec<Option<(u16, usize)>> = Vec::new();
    for (index, (maker, distance)) in picture.makers.iter().zip(&rim).enumerate() {
        let Some(Maker::Pass(pass)) = *maker else { continue };
        if best.len() <= pass {
            best.resize(pass + 1, None);
        }
        if best[pass].is_none_or(|(most, _)| *distance > most) {
            best[pass] = Some((*distance, index));
        }
    }
    let place = |index: usize| [index % width, index / width].map(|p| (p as f32 + 0.5) / density);
    let roomy = best.into_iter().enumerate().filter_map(|(pass, best)| Some((pass, best?)));
    roomy
        .filter(|(_, (distance, _))| f32::from(*distance) >= (BADGE + 1.5) * density)
        .map(|(pass, (_, index))| (pass, place(index)))
        .collect()
}

/// Steps from each pixel to the nearest one of another face, by two sweeps over the picture.
fn from_rim(makers: &[Option<Maker>], width: usize, height: usize) -> Vec<u16> {
    let mut steps = vec![0_u16; makers.len()];
    let indices = || (0..height).flat_map(|y| (0..width).map(move |x| (x, y)));
    let step = |steps: &[u16], own: usize, beside: Option<usize>| match beside {
        Some(beside) if makers[beside] == makers[own] => steps[beside].saturating_add(1),
        _ => 1,
    };
    for (x, y) in indices() {
        let own = y * width + x;
        let left = step(&steps, own, (x > 0).then(|| own - 1));
        let up = step(&steps, own, (y > 0).then(|| own - width));
        steps[own] = left.min(up);
    }
    for (x, y) in indices().collect::<Vec<_>>().into_iter().rev() {
        let own = y * width + x;
        let right = step(&steps, own, (x + 1 < width).then_some(own + 1));
        let down = step(&steps, own, (y + 1 < height).then_some(own + width));
        steps[own] = steps[own].min(right).min(down);
    }
    steps
}

fn badge(drawing: &mut Drawing, at: [f32; 2], pass: usize, theme: &Theme) {
    drawing.fill(circle(at, BADGE), theme.panel);
    drawing.ring(circle(at, BADGE), theme.ink, 1.0);
    drawing.bold(at, Anchor::Centre, 9.5, theme.ink, (pass + 1).to_string());
}

/// The key at the upper left: what made the faces that are seen.
fn pass_key(
    drawing: &mut Drawing,
    scene: &Scene,
    state: &RoundState<'_>,
    makers: &[Option<Maker>],
    theme: &Theme,
) {
    let shows = |maker: Maker| makers.contains(&Some(maker));
    let name = |pass: usize| {
        let name = state.names.get(pass).copied().unwrap_or("pass");
        format!("{} {}", pass + 1, shortened(name, 26))
    };
    let passes = (0..scene.passes()).filter(|pass| shows(Maker::Pass(*pass)));
    let mut rows: Vec<(Ink, String)> = passes.map(|pass| (laid(theme, pass), name(pass))).collect();
    if shows(Maker::Saw) {
        rows.push((theme.metal_lit, "as sawn".to_owned()));
    }
    let mut y = 16.0;
    for (ink, text) in rows {
        if y > drawing.height - 70.0 {
            break;
        }
        let rect = [12.0, y - 5.5, 26.0, y + 5.5];
        drawing.panel(rect, ink);
        let rim = if contrast(ink, theme.paper) < 3.0 { theme.ink } else { ink };
        drawing.ring(corners(rect), rim, 1.0);
        write(drawing, [33.0, y], Anchor::Left, TEXT, theme.ink, theme.paper, &text);
        y += ROW;
    }
}

/// The scale of leave at the upper left.
fn leave_key(drawing: &mut Drawing, [low, high]: [f64; 2], units: Told, theme: &Theme) {
    const WIDE: u16 = 150;
    let (left, top) = (12.0, 26.0);
    write(
        drawing,
        [left, 13.0],
        Anchor::Left,
        TEXT,
        theme.ink,
        theme.paper,
        &format!("stock left, {}", units.short()),
    );
    for step in 0..WIDE / 2 {
        let x = left + f32::from(step) * 2.0;
        drawing.panel([x, top, x + 2.0, top + 11.0], of_amount(f64::from(step) / f64::from(WIDE / 2 - 1)));
    }
    let right = left + f32::from(WIDE);
    let middle = f32::midpoint(left, right);
    drawing.line([middle, top - 3.0], [middle, top + 11.0], theme.ink, 1.0, Dash::Solid);
    drawing.ring(corners([left, top, right, top + 11.0]), theme.ink, 1.0);
    let y = top + 21.0;
    write(drawing, [left, y], Anchor::Left, SMALL, theme.ink, theme.paper, &units.plain(low));
    write(
        drawing,
        [middle, y],
        Anchor::Centre,
        SMALL,
        theme.ink,
        theme.paper,
        &units.plain(f64::midpoint(low, high)),
    );
    write(drawing, [right, y], Anchor::Right, SMALL, theme.ink, theme.paper, &units.plain(high));
}

/// X, Y and Z as they lie, at the lower left.
fn directions(drawing: &mut Drawing, camera: &Camera, theme: &Theme) {
    const LONG: f32 = 24.0;
    let from = [42.0, drawing.height - 42.0];
    let [right, up, toward] = camera.axes();
    let mut axes = [(0, "X"), (1, "Y"), (2, "Z")];
    axes.sort_by(|(a, _), (b, _)| toward[*a].total_cmp(&toward[*b]));
    let mut named: Vec<[f32; 2]> = Vec::new();
    for (axis, name) in axes {
        let (dx, dy) = (right[axis] as f32, -(up[axis] as f32));
        let to = [from[0] + dx * LONG, from[1] + dy * LONG];
        drawing.line(from, to, theme.paper, 4.0, Dash::Solid);
        drawing.line(from, to, theme.ink, 1.5, Dash::Solid);
        // An axis seen end on has no room for its name.
        if dx.hypot(dy) > 0.25 {
            let long = LONG + 9.0 / dx.hypot(dy).max(0.5);
            let at = [from[0] + dx * long, from[1] + dy * long];
            // Where two names would lie on each other, the one of the axis farther back is enough.
            if named.iter().all(|other| (other[0] - at[0]).hypot(other[1] - at[1]) > SMALL) {
                write(drawing, at, Anchor::Centre, SMALL, theme.ink, theme.paper, name);
                named.push(at);
            }
        }
    }
}

fn write(drawing: &mut Drawing, at: [f32; 2], anchor: Anchor, size: f32, ink: Ink, paper: Ink, text: &str) {
    let wide = text_width(text, size, Weight::Plain);
    if wide > 0.0 {
        haloed(drawing, Words { at, anchor, size, weight: Weight::Plain, ink }, paper, text);
    }
}
