//! A quantity along the path or the outline, as the strip shows it.

use super::Along;
use super::scale::joined;
use crate::measure::{AlongPath, Contact, LoadRow};
use crate::program::Kind;
use crate::proof::{PassProof, Proof};
use crate::units::{Told, Units};
use crate::view::rounding::round_number;

/// What a strip shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quantity {
    /// Thickness of cut.
    Thickness,
    /// Width of cut.
    Width,
    /// Depth of cut.
    Depth,
    /// Area of the cut's cross section.
    Area,
    /// Angle over which the cutter is in the metal, degrees.
    Engagement,
    /// Volume removed in a minute: in³/min or cm³/min.
    Rate,
}

impl Quantity {
    /// All of them.
    pub const ALL: [Self; 6] =
        [Self::Thickness, Self::Width, Self::Depth, Self::Area, Self::Engagement, Self::Rate];

    /// What it is called.
    pub const fn title(self) -> &'static str {
        match self {
            Self::Thickness => "Stock taken, square to the line",
            Self::Width => "Width of cut",
            Self::Depth => "Depth of cut",
            Self::Area => "Area of cut",
            Self::Engagement => "Engagement",
            Self::Rate => "Removal rate",
        }
    }

    /// Its unit, as written behind a number.
    pub fn unit(self, told: impl Into<Told>) -> &'static str {
        let shown = told.into().shown();
        match (self, shown) {
            (Self::Engagement, _) => "°",
            (Self::Area, Units::Inch) => "in²",
            (Self::Area, Units::Mm) => "mm²",
            (Self::Rate, Units::Inch) => "in³/min",
            (Self::Rate, Units::Mm) => "cm³/min",
            _ => shown.short(),
        }
    }

    /// A value with its unit.
    pub fn written(self, told: impl Into<Told>, value: f64) -> String {
        let told = told.into();
        let shown = told.shown();
        match self {
            Self::Thickness | Self::Width | Self::Depth => told.fine_with_unit(value),
            Self::Engagement => format!("{value:.0}°"),
            Self::Area | Self::Rate => {
                let (value, step) = (value * self.factor(told), shown.pick(0.001, 0.1));
                format!("{} {}", round_number(shown, value, step), self.unit(told))
            }
        }
    }

    /// Round values up to `top` for a scale with room for `most` of them, as they are kept, and how each is told.
    pub fn ticks(self, told: impl Into<Told>, top: f64, most: usize) -> Vec<(f64, String)> {
        let told = told.into();
        let factor = self.factor(told);
        let ticks = crate::view::rounding::ticks(told.shown(), 0.0, top * factor, most);
        ticks.into_iter().map(|(value, words)| (value / factor, words)).collect()
    }

    /// The factor that turns a value as it is kept into one as it is told.
    pub fn factor(self, told: impl Into<Told>) -> f64 {
        let told = told.into();
        match self {
            Self::Thickness | Self::Width | Self::Depth => told.factor(),
            Self::Area => told.factor().powi(2),
            Self::Engagement => 1.0,
            Self::Rate => told.factor_of_rate(),
        }
    }

    /// The least that its scale shows when there is nothing, as it is kept.
    pub(super) fn usual(self, told: Told) -> f64 {
        let pick = |inch, mm| told.shown().pick(inch, mm) / self.factor(told);
        match self {
            Self::Thickness | Self::Width | Self::Depth => pick(0.05, 1.0),
            Self::Area => pick(0.05, 30.0),
            Self::Engagement => 180.0,
            Self::Rate => pick(1.0, 16.0),
        }
    }
}

/// A line that values are held against.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StripLimit {
    /// Where it lies.
    pub value: f64,
    /// What it says.
    pub kind: LimitKind,
}

/// What a limit says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LimitKind {
    /// What is expected.
    Expected,
    /// Less is too light.
    Light,
    /// More is too heavy.
    Heavy,
}

impl LimitKind {
    /// What it says, in words before the value.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Expected => "expected",
            Self::Light => "light below",
            Self::Heavy => "heavy above",
        }
    }
}

/// A quantity along the path or the outline.
#[derive(Debug, Clone, PartialEq)]
pub struct StripCurve {
    /// What it is.
    pub quantity: Quantity,
    /// Unbroken runs of distance or station, and value.
    pub runs: Vec<Vec<(f64, f64)>>,
    /// Stretches without contact.
    pub none: Vec<(f64, f64)>,
    /// Stretches of light contact, where it was measured along the outline.
    pub light: Vec<(f64, f64)>,
    /// Stretches of heavy contact, where it was measured along the outline.
    pub heavy: Vec<(f64, f64)>,
    /// Stretches of approach, where no contact was expected.
    pub approach: Vec<(f64, f64)>,
    /// Heights at which the values were found, by distance or station; empty where all are of one height.
    pub heights: Vec<(f64, f64)>,
    /// Stretches at rapid.
    pub rapids: Vec<(f64, f64)>,
    /// Lines that the values are held against.
    pub limits: Vec<StripLimit>,
}

impl StripCurve {
    /// The thickness of cut of a pass. Without measures it has no runs.
    pub fn thickness(proof: &Proof, pass: usize, along: Along) -> Self {
        let limits = limits(proof, pass);
        let empty = Self {
            quantity: Quantity::Thickness,
            runs: Vec::new(),
            none: Vec::new(),
            light: Vec::new(),
            heavy: Vec::new(),
            approach: Vec::new(),
            heights: Vec::new(),
            rapids: Vec::new(),
            limits,
        };
        let Some(pass) = proof.passes.get(pass) else { return empty };
        match along {
            Along::Path => {
                let along = pass.along_path.as_deref();
                let rows = along.map_or(&[][..], |along| &along.rows);
                let of = |stretches: fn(&AlongPath) -> &Vec<(f64, f64)>| {
                    along.map_or_else(Vec::new, |along| stretches(along).clone())
                };
                let (none, approach) = (of(|along| &along.none), of(|along| &along.approach));
                let samples = rows.iter().map(|row| (row.distance, row.cut));
                let curve = Self::along_path(Quantity::Thickness, pass, samples);
                Self { none, approach, limits: empty.limits, ..curve }
            }
            Along::Outline => {
                let Some(along) = &pass.along_outline else { return empty };
                let run: Vec<_> = along.rows.iter().map(|row| (row.station, row.cut)).collect();
                let of = |state: Contact| {
                    let stretches = along.contact.iter().filter(|stretch| stretch.state == state);
                    stretches.map(|stretch| (stretch.from, stretch.to)).collect()
                };
                let heights = along.rows.iter().filter_map(|row| Some((row.station, row.cut_z?)));
                Self {
                    runs: Some(run).filter(|run| !run.is_empty()).into_iter().collect(),
                    none: of(Contact::None),
                    light: of(Contact::Light),
                    heavy: of(Contact::Heavy),
                    approach: of(Contact::Approach),
                    heights: heights.collect(),
                    ..empty
                }
            }
        }
    }

    /// A quantity along a pass's own path, from samples in order of distance; it is broken where the pass runs at rapid.
    pub fn along_path(
        quantity: Quantity,
        pass: &PassProof,
        samples: impl IntoIterator<Item = (f64, f64)>,
    ) -> Self {
        let rapid = pass.track.placed().iter().filter(|p| p.motion.kind == Kind::Rapid && p.length > 0.0);
        let rapids = joined(rapid.map(|p| (p.from, p.from + p.length)), 0.0);
        let mut runs: Vec<Vec<(f64, f64)>> = Vec::new();
        let mut last: Option<f64> = None;
        for (distance, value) in samples {
            let next = rapids.partition_point(|rapid| rapid.1 <= last.unwrap_or(f64::NEG_INFINITY));
            let broken = last.is_none() || rapids.get(next).is_some_and(|rapid| rapid.0 < distance);
            if broken {
                runs.push(Vec::new());
            }
            if let Some(run) = runs.last_mut() {
                run.push((distance, value));
            }
            last = Some(distance);
        }
        let (none, light, heavy, approach, heights, limits) = Default::default();
        Self { quantity, runs, none, light, heavy, approach, heights, rapids, limits }
    }

    /// A quantity of the cut along a pass's own path, as far as it was measured; `None` without a load, and for the
    /// thickness, which has measures of its own.
    pub fn of_load(quantity: Quantity, pass: &PassProof) -> Option<Self> {
        let rows = &pass.load.as_ref()?.rows;
        let value = |row: &LoadRow| match quantity {
            Quantity::Thickness => None,
            Quantity::Width => Some(row.width),
            Quantity::Depth => Some(row.depth),
            Quantity::Area => Some(row.area),
            Quantity::Engagement => Some(row.engagement),
            Quantity::Rate => row.rate,
        };
        let samples = rows.iter().filter_map(|row| Some((row.distance, value(row)?)));
        let curve = Self::along_path(quantity, pass, samples);
        (quantity != Quantity::Thickness).then_some(curve)
    }

    /// The largest value.
    pub fn most(&self) -> f64 {
        let values = self.runs.iter().flatten().map(|&(_, value)| value);
        values.filter(|value| value.is_finite()).fold(0.0, f64::max)
    }

    /// The value at a distance or station, between its neighbours in a run.
    pub fn at(&self, place: f64) -> Option<f64> {
        let run = self.runs.iter().find(|run| {
            run.first().is_some_and(|first| first.0 <= place)
                && run.last().is_some_and(|last| place <= last.0)
        })?;
        let after = run.partition_point(|&(distance, _)| distance < place);
        let (from, to) = (run.get(after.saturating_sub(1))?, run.get(after)?);
        let gap = to.0 - from.0;
        Some(if gap > 0.0 { from.1 + (to.1 - from.1) * (place - from.0) / gap } else { to.1 })
    }

    /// The height at which the value at a distance or station was found, that of the nearest sample.
    pub fn height_at(&self, place: f64) -> Option<f64> {
        let after = self.heights.partition_point(|&(at, _)| at < place);
        let beside = [after.checked_sub(1), Some(after)].into_iter().flatten();
        let near = beside.filter_map(|index| self.heights.get(index));
        near.min_by(|a, b| (a.0 - place).abs().total_cmp(&(b.0 - place).abs())).map(|(_, z)| *z)
    }

    /// A limit of the values, where there is one of this kind.
    pub fn limit(&self, kind: LimitKind) -> Option<f64> {
        self.limits.iter().find(|limit| limit.kind == kind).map(|limit| limit.value)
    }
}

/// Thicknesses the cut of a pass is held against.
fn limits(proof: &Proof, pass: usize) -> Vec<StripLimit> {
    let passes = &proof.job.passes;
    let Some(allowance) = passes.get(pass).and_then(|pass| pass.allowance) else { return Vec::new() };
    let contact = proof.job.contact.as_ref();
    let before = passes[..pass].iter().rev().find_map(|earlier| earlier.allowance);
    let expected = before.map(|before| before - allowance).filter(|&expected| expected > 0.0);
    let all = [
        (LimitKind::Expected, expected),
        (LimitKind::Light, contact.and_then(|contact| contact.light_below)),
        (LimitKind::Heavy, contact.and_then(|contact| contact.heavy_above)),
    ];
    all.into_iter().filter_map(|(kind, value)| Some(StripLimit { value: value?, kind })).collect()
}
