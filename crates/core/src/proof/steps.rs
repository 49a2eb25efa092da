//! The place a finding is about, pass by pass: what stood there before, what its pass takes, and what the next one does.

use super::model::Proof;
use crate::finding::{Code, Finding};
use crate::measure::{AlongOutline, Contact, StationRow};
use crate::units::Told;

/// Most passes that are told.
const MOST: usize = 2;

/// The worst place of a finding along the outline.
#[derive(Debug, Clone, PartialEq)]
pub struct Steps {
    /// Its station, one that was measured.
    pub station: f64,
    /// Index of the pass that the figures of the place are of.
    pub pass: usize,
    /// What stood before, then what each pass does.
    pub steps: Vec<Step>,
}

/// One state of the metal at a station.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// What it is called: as sawn, before, or after which pass.
    pub name: String,
    /// Stock left then, at the gauge height; negative where the blank is short.
    pub left: f64,
    /// What the pass takes, and its state of contact; `None` before the first.
    pub taken: Option<(f64, Contact)>,
}

impl Step {
    /// Its figure in a word or two: what stands before, or what the pass takes.
    pub fn words(&self, units: impl Into<Told>) -> String {
        let units = units.into();
        match self.taken {
            None if self.left < 0.0 => format!("short {}", units.plain(-self.left)),
            None => format!("{} {}", self.name, units.plain(self.left)),
            Some((_, Contact::None)) => format!("{} none", self.name),
            Some((_, Contact::Approach)) => format!("{} not here", self.name),
            Some((cut, _)) => format!("{} {}", self.name, units.plain(cut)),
        }
    }
}

/// The worst place of a finding and what becomes of it; `None` for a finding that is not about stock along the outline.
pub fn steps(proof: &Proof, finding: &Finding) -> Option<Steps> {
    let about = [
        Code::NoContact,
        Code::LightCut,
        Code::HeavyCut,
        Code::LeaveOffAllowance,
        Code::PastOutline,
        Code::BlankShort,
    ];
    if !about.contains(&finding.code) {
        return None;
    }
    let station = finding.station?;
    let measured = |pass: usize| Some((pass, proof.passes.get(pass)?.along_outline.as_deref()?));
    let all: Vec<(usize, &AlongOutline)> = (0..proof.passes.len()).filter_map(measured).collect();
    let first = match finding.pass {
        Some(pass) => all.iter().position(|(index, _)| *index == pass)?,
        None => 0,
    };
    let (pass, along) = *all.get(first)?;
    // Findings along the outline are told where they are worst.
    let row = nearest(along, station)?;
    let name = if first == 0 { "sawn".to_owned() } else { "before".to_owned() };
    let mut steps = vec![Step { name, left: row.before, taken: None }];
    for (pass, along) in all.iter().skip(first).take(MOST) {
        let Some(row) = nearest(along, row.station) else { continue };
        let state = state_at(along, row.station);
        let name = format!("pass {}", pass + 1);
        steps.push(Step { name, left: row.after, taken: Some((row.cut, state)) });
    }
    Some(Steps { station: row.station, pass, steps })
}

/// The row nearest to a station.
pub(crate) fn nearest(along: &AlongOutline, station: f64) -> Option<&StationRow> {
    let after = along.rows.partition_point(|row| row.station < station);
    let beside = [after.checked_sub(1), Some(after)].into_iter().flatten();
    let rows = beside.filter_map(|index| along.rows.get(index));
    rows.min_by(|a, b| (a.station - station).abs().total_cmp(&(b.station - station).abs()))
}

fn state_at(along: &AlongOutline, station: f64) -> Contact {
    let stretch = along.contact.get(along.contact.partition_point(|stretch| stretch.to < station));
    stretch.map_or(Contact::Approach, |stretch| stretch.state)
}
