//! What a pass does near a station, and the heights between which it does it evenly.

use super::WallPass;
use super::pass::Carried;
use super::station::thin;
use super::train::Trains;
use crate::geometry::{Interval, Ray, merge};

/// Most heights at which parts of cutters begin or end that are told apart at one station.
const MOST_JOINTS: usize = 200;
/// Parts of height that slopes are divided into at least.
const SLOPE_PARTS: u32 = 8;

/// What one pass does near a station.
pub(super) struct Near<'a> {
    pub(super) pass: &'a WallPass,
    pub(super) trains: Trains<'a>,
    /// Lowest height that the cutter reaches.
    pub(super) lowest: f64,
    /// Heights between which what it sweeps may change evenly, not at joints alone.
    pub(super) varies: Vec<Interval>,
    /// Heights between which its tip slopes.
    slopes: Vec<Interval>,
}

impl<'a> Near<'a> {
    pub(super) fn new(pass: &'a WallPass, ray: &Ray, reach: Interval, top: f64) -> Self {
        let trains = Trains::new(pass.near(ray, reach, top), ray);
        let lowest = trains.firsts().map(Carried::tip).fold(f64::INFINITY, f64::min);
        let (mut varies, mut slopes) = (Vec::new(), Vec::new());
        for Carried { motion, .. } in trains.firsts() {
            let (low, high) = (motion.start.z.min(motion.end.z), motion.start.z.max(motion.end.z));
            if low < high && motion.start.plan() != motion.end.plan() {
                slopes.push((low, high));
            }
            let leaning = pass.profile().pieces().iter().filter(|p| !p.is_level() && p.from.x != p.to.x);
            varies.extend(leaning.map(|piece| (low + piece.from.y, high + piece.to.y)));
        }
        varies.extend(&slopes);
        merge(&mut varies, 0.0);
        merge(&mut slopes, 0.0);
        Self { pass, trains, lowest, varies, slopes }
    }
}

/// The heights at which a part of a cutter begins or ends near the station, with the faces of the blank, at least
/// `apart`. A slope is divided: what it takes along the line may come and go between its ends.
pub(super) fn joints(passes: &[Near<'_>], (bottom, top): Interval, apart: f64) -> Vec<f64> {
    let mut found = vec![bottom, top];
    for near in passes {
        let ends = |carried: &Carried| [carried.motion.start.z, carried.motion.end.z];
        let mut tips: Vec<f64> = near.trains.firsts().flat_map(ends).filter(|tip| *tip < top).collect();
        tips.sort_by(f64::total_cmp);
        tips.dedup();
        for tip in tips {
            found.extend(near.pass.profile().joints().map(|joint| tip + joint));
        }
        for (low, high) in &near.slopes {
            let part = |part: u32| f64::from(part) / f64::from(SLOPE_PARTS);
            found.extend((1..SLOPE_PARTS).map(|at| low + (high - low) * part(at)));
        }
    }
    found.retain(|height| *height >= bottom && *height <= top);
    found.sort_by(f64::total_cmp);
    thin(&mut found, apart);
    if found.len() > MOST_JOINTS {
        thin(&mut found, (top - bottom) / MOST_JOINTS as f64);
    }
    found
}
