//! A job made from a bare program: what the program itself cannot say is asked for, or assumed and shown.

use std::f64::consts::{FRAC_PI_2, TAU};

use crate::geometry::{Point3, pt, pt3};
use crate::job::check_closed;
use crate::job::{Blank, Job, Pass, PathSource, Vertex, Zero};
use crate::program::{Curve, Kind, Motion};
use crate::tool::{Form, Tool};
use crate::units::Units;

/// How the blank is stated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BlankSetup {
    /// The upright box round all that the tool sweeps while feeding, larger by this on every side.
    Margin(f64),
    /// The box between two opposite corners.
    Corners([f64; 2], [f64; 2]),
}

/// What has to be known besides a program to prove it. Lengths in `units`, the motions' as well.
#[derive(Debug, Clone, PartialEq)]
pub struct Setup {
    /// The job's unit, which the program has been read into.
    pub units: Units,
    /// The cutter.
    pub form: Form,
    /// The blank in plan.
    pub blank: BlankSetup,
    /// The outline, where there is one.
    pub outline: Option<Vec<Vertex>>,
    /// Z of the blank's upper face.
    pub top: f64,
    /// Thickness of the blank.
    pub thickness: f64,
    /// What the job and its pass are called.
    pub name: String,
}

impl Setup {
    /// A likely setup: a 1/2 in or 12 mm flat end mill, the blank's top at 0, its lower face where the program
    /// feeds lowest, and a little metal all round what the tool sweeps. 1 in or 25 mm thick when the program
    /// never feeds below 0.
    pub fn suggest(units: Units, program_file_name: &str, motions: &[Motion]) -> Self {
        let lowest = Extent::of(motions.iter().filter(|motion| motion.kind == Kind::Feed)).map(|e| e.low.z);
        // To the tool's full exactness, so that sums of decimals do not show their tails.
        let exactness = units.pick(1e4, 1e3);
        let depth = lowest.map_or(0.0, |z| (-z * exactness).round() / exactness);
        let thickness = if depth > 0.0 && depth.is_finite() { depth } else { units.pick(1.0, 25.0) };
        Self {
            units,
            form: Form::Flat { diameter: units.pick(0.5, 12.0) },
            blank: BlankSetup::Margin(units.pick(0.1, 2.5)),
            outline: None,
            top: 0.0,
            thickness: thickness.max(units.pick(0.1, 2.5)),
            name: stem(program_file_name).to_owned(),
        }
    }

    /// The job: one pass with the one tool, from the zero of the program.
    ///
    /// The tool has the number the program calls first, or 1. Whether the pass is meant to leave an allowance or
    /// to stop at a depth is not known, and left out.
    ///
    /// # Errors
    /// What of the setup makes no job, in plain words.
    pub fn job(&self, program: &str, motions: &[Motion]) -> Result<Job, String> {
        self.form.check().map_err(|(key, why)| format!("the cutter's {}: {why}", key.replace('_', " ")))?;
        if !self.top.is_finite() {
            return Err("the top of the blank must be a number".to_owned());
        }
        if !(self.thickness.is_finite() && self.thickness > 0.0) {
            return Err(format!("the thickness must be above 0, not {}", self.thickness));
        }
        if program.trim().is_empty() {
            return Err("the program has no file name".to_owned());
        }
        let edge = self.edge(motions)?;
        check_closed(&edge).map_err(|_| "the blank has no area: its corners lie on one line".to_owned())?;
        if let Some(outline) = &self.outline {
            check_closed(outline).map_err(|(index, message)| match index {
                Some(index) => format!("the outline's vertex {}: {message}", index + 1),
                None => format!("the outline: {message}"),
            })?;
        }
        let given = self.name.trim();
        let name = if given.is_empty() { stem(program) } else { given }.to_owned();
        let number = motions.iter().map(|motion| u32::from(motion.tool)).find(|&tool| tool > 0).unwrap_or(1);
        let tool = Tool {
            number,
            name: None,
            form: self.form.clone(),
            flutes: None,
            flute_length: None,
            shank_diameter: None,
            stickout: None,
            holder_diameter: None,
        };
        let pass = Pass {
            name: name.clone(),
            program: program.to_owned(),
            tool: number,
            does: None,
            allowance: None,
            bottom: None,
            zero: Zero::default(),
        };
        Ok(Job {
            name: Some(name),
            units: self.units,
            outline: self.outline.clone().map(PathSource::Vertices),
            blank: Some(Blank {
                edge: PathSource::Vertices(edge),
                top: self.top,
                thickness: self.thickness,
                material: None,
                at: None,
            }),
            bed_top: None,
            keep_clear: Vec::new(),
            gauge_height: None,
            land: None,
            contact: None,
            machine: None,
            control: None,
            tools: vec![tool],
            materials: Vec::new(),
            crib: None,
            passes: vec![pass],
            to_confirm: Vec::new(),
        })
    }

    fn edge(&self, motions: &[Motion]) -> Result<Vec<Vertex>, String> {
        let (low, high) = match self.blank {
            BlankSetup::Corners(a, b) => ([a[0].min(b[0]), a[1].min(b[1])], [a[0].max(b[0]), a[1].max(b[1])]),
            BlankSetup::Margin(margin) => {
                let feeds = || motions.iter().filter(|motion| motion.kind == Kind::Feed);
                let cuts = feeds().filter(|motion| motion.start.z.min(motion.end.z) < self.top);
                // Leads above the block say nothing of its size; a program that stays above it is all leads.
                let swept = Extent::of(cuts).or_else(|| Extent::of(feeds()));
                let swept = swept.ok_or("the program has no feed move: give the blank by its corners")?;
                let by = self.form.radius() + margin;
                ([swept.low.x - by, swept.low.y - by], [swept.high.x + by, swept.high.y + by])
            }
        };
        if [low, high].as_flattened().iter().any(|value| !value.is_finite()) {
            return Err("the size of the blank is not a number".to_owned());
        }
        // Far below what can be sawn, but sums of decimals then look as they would on paper.
        let tidy = |value: f64| (value * 1e6).round() / 1e6;
        let (low, high) = (low.map(tidy), high.map(tidy));
        if low[0] >= high[0] || low[1] >= high[1] {
            return Err("the blank has no area: its corners lie on one line".to_owned());
        }
        let corners = [(low[0], low[1]), (high[0], low[1]), (high[0], high[1]), (low[0], high[1])];
        Ok(corners.map(|(x, y)| Vertex { at: pt(x, y), bulge: 0.0 }).to_vec())
    }
}

/// The file name without folders and without its ending.
fn stem(file: &str) -> &str {
    let name = file.trim().rsplit(['/', '\\']).next().unwrap_or_default();
    match name.rsplit_once('.') {
        Some((stem, _)) if !stem.is_empty() => stem,
        _ => name,
    }
}

/// The smallest upright box round a path.
struct Extent {
    low: Point3,
    high: Point3,
}

impl Extent {
    fn of<'a>(motions: impl Iterator<Item = &'a Motion>) -> Option<Self> {
        let mut extent: Option<Self> = None;
        for motion in motions {
            let mut grow = |p: Point3| {
                let e = extent.get_or_insert(Self { low: p, high: p });
                e.low = pt3(e.low.x.min(p.x), e.low.y.min(p.y), e.low.z.min(p.z));
                e.high = pt3(e.high.x.max(p.x), e.high.y.max(p.y), e.high.z.max(p.z));
            };
            grow(motion.start);
            grow(motion.end);
            for t in quarters(motion) {
                grow(motion.at(t));
            }
        }
        extent
    }
}

/// Where along an arc it runs square to an axis, which is where it reaches farthest.
fn quarters(motion: &Motion) -> Vec<f64> {
    let Curve::Arc { plane, centre, sweep } = motion.curve else { return Vec::new() };
    if sweep == 0.0 || !sweep.is_finite() {
        return Vec::new();
    }
    let (from, _) = plane.split(motion.start);
    let start = (from - centre).angle();
    // Further turns of a helix reach no farther than the first.
    (0..4)
        .map(|quarter| (f64::from(quarter) * FRAC_PI_2 - start) * sweep.signum())
        .map(|ahead| ahead.rem_euclid(TAU) / sweep.abs())
        .filter(|&t| t < 1.0)
        .collect()
}
