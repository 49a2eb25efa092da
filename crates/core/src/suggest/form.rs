//! From what comments say of a tool to its form: what nobody says is taken as usual, and told as such.

use super::claim::{Claim, hear};
use super::cutter::Cutter;
use super::reading::Reading;
use crate::job::{Basis, Part, ToConfirm};
use crate::tool::{Form, Tool};
use crate::units::Units;

/// All that is said of one tool.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Sayings {
    cutter: Option<Claim<Cutter>>,
    diameter: Option<Claim<f64>>,
    radius: Option<Claim<f64>>,
    angle: Option<Claim<(f64, bool)>>,
    flutes: Option<Claim<u32>>,
    flute_length: Option<Claim<f64>>,
    stickout: Option<Claim<f64>>,
    pilot: Option<Claim<f64>>,
    unclear: Option<Claim<String>>,
    /// The comment that says most, as a name for the tool.
    name: Option<String>,
}

/// Sizes that are meant alike; well below any difference between two cutters.
const ALIKE_INCH: f64 = 0.0005;

impl Sayings {
    /// Takes in what a comment says.
    pub(super) fn hear(&mut self, reading: &Reading, text: &str, from: &Basis, units: Units) {
        let near = ALIKE_INCH * Units::Inch.to(units);
        let alike = |a: &f64, b: &f64| (a - b).abs() <= near;
        for (held, said) in [
            (&mut self.diameter, reading.diameter),
            (&mut self.radius, reading.radius),
            (&mut self.flute_length, reading.flute_length),
            (&mut self.stickout, reading.stickout),
            (&mut self.pilot, reading.pilot),
        ] {
            if let Some(value) = said {
                hear(held, value, from, alike);
            }
        }
        if let Some(cutter) = reading.cutter.filter(|cutter| !matches!(cutter, Cutter::Other(_))) {
            hear(&mut self.cutter, cutter, from, |a, b| a == b);
        }
        if let Some(angle) = reading.angle {
            hear(&mut self.angle, angle, from, |a, b| alike(&a.0, &b.0));
        }
        if let Some(flutes) = reading.flutes {
            hear(&mut self.flutes, flutes, from, |a, b| a == b);
        }
        if let Some(unclear) = &reading.unclear {
            hear(&mut self.unclear, unclear.clone(), from, |a, b| a == b);
        }
        if self.name.is_none() && (reading.cutter.is_some() || reading.diameter.is_some()) {
            self.name = Some(named(text)).filter(|name| !name.is_empty());
        }
    }

    /// Takes in a kind of cutter that a comment only hints at.
    pub(super) fn hint(&mut self, cutter: Cutter, from: &Basis) {
        if self.cutter.is_none() {
            // The comment that gives the angle shows the same.
            let shown = self.angle.as_ref().filter(|_| cutter == Cutter::Undercut);
            let from = shown.map_or_else(|| from.clone(), |claim| claim.from.clone());
            self.cutter = Some(Claim::new(cutter, from));
        }
    }

    /// Whether they speak of one tool, as far as both say something.
    pub(super) fn is_like(&self, other: &Self) -> bool {
        fn same<T: PartialEq>(a: Option<&Claim<T>>, b: Option<&Claim<T>>) -> bool {
            a.map(|claim| &claim.value) == b.map(|claim| &claim.value)
        }
        same(self.cutter.as_ref(), other.cutter.as_ref())
            && same(self.diameter.as_ref(), other.diameter.as_ref())
            && same(self.radius.as_ref(), other.radius.as_ref())
            && same(self.angle.as_ref(), other.angle.as_ref())
    }

    /// Takes in all that is said of the same tool elsewhere.
    pub(super) fn join(&mut self, other: Self, units: Units) {
        let near = ALIKE_INCH * Units::Inch.to(units);
        let alike = |a: &f64, b: &f64| (a - b).abs() <= near;
        both(&mut self.cutter, other.cutter, |a, b| a == b);
        both(&mut self.diameter, other.diameter, alike);
        both(&mut self.radius, other.radius, alike);
        both(&mut self.angle, other.angle, |a, b| a == b);
        both(&mut self.flutes, other.flutes, |a, b| a == b);
        both(&mut self.flute_length, other.flute_length, alike);
        both(&mut self.stickout, other.stickout, alike);
        both(&mut self.pilot, other.pilot, alike);
        both(&mut self.unclear, other.unclear, |_, _| true);
        self.name = self.name.take().or(other.name);
    }

    /// The tool of this number, and what of it waits to be confirmed.
    pub(super) fn tool(self, number: u32, units: Units) -> (Tool, Vec<ToConfirm>) {
        let made = Making { said: &self, units, rests: Vec::new(), note: None };
        let (form, kind, rests, note) = made.form();
        // A size from elsewhere than the kind is asked for by itself.
        let mut against = self.cutter.as_ref().map(|claim| claim.against.clone()).unwrap_or_default();
        let mut entries = Vec::new();
        for (key, from, other) in rests {
            if from == kind {
                against.extend(other);
            } else {
                entries.push(ToConfirm { against: other, ..ToConfirm::new(Part::Tool(number, key), from) });
            }
        }
        against.dedup();
        let unclear =
            self.unclear.as_ref().map(|claim| format!("{}: {}", sentence(&claim.from), claim.value));
        let notes: Vec<String> = note.into_iter().chain(unclear).collect();
        let note = (!notes.is_empty()).then(|| notes.join(" "));
        entries.insert(0, ToConfirm { part: Part::Tool(number, "form"), from: kind, against, note });
        let mut more = |key, from: &Basis, against: &[Basis]| {
            entries.push(ToConfirm {
                against: against.to_vec(),
                ..ToConfirm::new(Part::Tool(number, key), from.clone())
            });
        };
        if let Some(claim) = &self.flutes {
            more("flutes", &claim.from, &claim.against);
        }
        if let Some(claim) = &self.flute_length {
            more("flute_length", &claim.from, &claim.against);
        }
        if let Some(claim) = &self.stickout {
            more("stickout", &claim.from, &claim.against);
        }
        let tool = Tool {
            number,
            name: self.name,
            form,
            flutes: self.flutes.map(|claim| claim.value),
            flute_length: self.flute_length.map(|claim| claim.value),
            shank_diameter: None,
            stickout: self.stickout.map(|claim| claim.value),
            holder_diameter: None,
        };
        (tool, entries)
    }
}

fn both<T>(held: &mut Option<Claim<T>>, other: Option<Claim<T>>, alike: impl Fn(&T, &T) -> bool) {
    if let Some(other) = other {
        let Claim { value, from, against } = other;
        hear(held, value, &from, alike);
        if let Some(held) = held {
            for basis in against {
                if held.from != basis && !held.against.contains(&basis) {
                    held.against.push(basis);
                }
            }
        }
    }
}

/// A comment as the name of a tool: without the tool's number.
fn named(text: &str) -> String {
    let upper = text.to_uppercase();
    let mut rest = text;
    for head in ["TOOL", "T"] {
        if upper.starts_with(head) {
            let behind = text[head.len()..].trim_start_matches([' ', '#', ':', '-']);
            let digits = behind.chars().take_while(char::is_ascii_digit).count();
            if digits > 0 {
                rest = behind[digits..].trim_start_matches([' ', ':', '-', '=', ',', ')']);
                break;
            }
        }
    }
    rest.trim().to_owned()
}

/// A basis as the beginning of a sentence.
fn sentence(basis: &Basis) -> String {
    let text = basis.to_string();
    let mut chars = text.chars();
    chars.next().map(|first| first.to_uppercase().chain(chars).collect()).unwrap_or_default()
}

/// A size of the form: its key, what it rests on, and what says otherwise.
type Rest = (&'static str, Basis, Vec<Basis>);

struct Making<'a> {
    said: &'a Sayings,
    units: Units,
    rests: Vec<Rest>,
    note: Option<String>,
}

impl Making<'_> {
    /// The form, what its kind rests on, what its sizes rest on, and what to say besides.
    fn form(mut self) -> (Form, Basis, Vec<Rest>, Option<String>) {
        let (cutter, kind) = self.cutter();
        let form = self.of(cutter);
        let (form, kind) = match form.check() {
            Ok(()) => (form, kind),
            Err((key, why)) => {
                self.note =
                    Some(format!("What is said makes no such cutter: its {} {why}.", key.replace('_', " ")));
                self.rests.clear();
                (Form::Flat { diameter: self.usual_diameter() }, Basis::Usual)
            }
        };
        (form, kind, self.rests, self.note)
    }

    /// The kind that is said, or that the sizes show.
    fn cutter(&self) -> (Cutter, Basis) {
        let said = self.said;
        let round = said.radius.as_ref();
        if let Some(claim) = &said.cutter {
            let bull = matches!((claim.value, round), (Cutter::Flat, Some(_)));
            return (if bull { Cutter::Bull } else { claim.value }, claim.from.clone());
        }
        match (&said.angle, round) {
            // An angle of a few degrees is the side of a cutter that undercuts (common practice, no source).
            (Some(claim), _) if claim.value.0 < 45.0 => (Cutter::Undercut, claim.from.clone()),
            (_, Some(claim)) => (Cutter::Bull, claim.from.clone()),
            _ => (Cutter::Flat, Basis::Usual),
        }
    }

    fn of(&mut self, cutter: Cutter) -> Form {
        match cutter {
            Cutter::Flat | Cutter::Other(_) => Form::Flat { diameter: self.diameter() },
            Cutter::Ball => Form::Ball { diameter: self.diameter() },
            Cutter::Bull => {
                let diameter = self.diameter();
                let corner_radius = self.size("corner_radius", self.said.radius.clone(), diameter / 8.0);
                Form::Bull { diameter, corner_radius }
            }
            Cutter::Undercut => self.undercut(),
            Cutter::EdgeRound => {
                let radius = self.said.radius.clone().or_else(|| self.said.diameter.clone());
                Form::EdgeRound {
                    radius: self.size("radius", radius, self.units.pick(0.125, 3.0)),
                    pilot_diameter: self.size(
                        "pilot_diameter",
                        self.said.pilot.clone(),
                        self.units.pick(0.25, 6.0),
                    ),
                    pilot_length: 0.0,
                }
            }
            Cutter::Chamfer => self.chamfer(),
            Cutter::Drill => {
                let diameter = self.diameter();
                let angle =
                    self.said.angle.clone().map(|claim| Claim { value: claim.value.0, ..with(&claim) });
                Form::Drill { diameter, point_angle: self.size("point_angle", angle, 118.0) }
            }
        }
    }

    fn undercut(&mut self) -> Form {
        let diameter = self.diameter();
        let said = self.said.angle.clone();
        let side = said.as_ref().map(|claim| match claim.value {
            (angle, true) => angle / 2.0,
            // Of dovetails the angle between side and floor is told (common practice, no source).
            (angle, false) if angle > 45.0 && angle < 90.0 => 90.0 - angle,
            (angle, false) => angle,
        });
        if let (Some(side), Some(claim)) = (side, &said)
            && (side - claim.value.0).abs() > f64::EPSILON
        {
            self.note =
                Some(format!("{} degrees are taken as {side} from vertical on each side.", claim.value.0));
        }
        let angle = said.zip(side).map(|(claim, side)| Claim { value: side, ..with(&claim) });
        let angle = self.size("angle", angle, 10.0);
        // As high as half the cutter is wide, as far as something is left to hold it.
        let neck = 0.8 * diameter / 2.0 / angle.to_radians().tan();
        let height = self.size("height", None, (diameter / 2.0).min(neck));
        Form::Undercut { diameter, angle, height: (height * 1e4).round() / 1e4 }
    }

    fn chamfer(&mut self) -> Form {
        let said = self.said.angle.clone();
        // A chamfer cutter goes by the angle between its sides, but a 45 degree one by the chamfer it leaves (common
        // practice, no source).
        let side = said.as_ref().map(|claim| match claim.value {
            (angle, true) => angle / 2.0,
            (angle, false) if angle > 45.0 => angle / 2.0,
            (angle, false) => angle,
        });
        if let (Some(side), Some(claim)) = (side, &said)
            && (side - claim.value.0).abs() > f64::EPSILON
        {
            self.note = Some(format!("{} degrees are taken as {side} on each side.", claim.value.0));
        }
        let angle = said.zip(side).map(|(claim, side)| Claim { value: side, ..with(&claim) });
        let angle = self.size("angle", angle, 45.0);
        let diameter = self.said.diameter.clone();
        let usual = self.usual_diameter();
        let height = |diameter: f64| {
            let height = diameter / 2.0 / angle.to_radians().tan();
            (height * 1e5).round() / 1e5
        };
        let of_diameter = diameter.map(|claim| Claim { value: height(claim.value), ..with(&claim) });
        let height = self.size("height", of_diameter, height(usual));
        let tip_diameter = self.size("tip_diameter", None, 0.0);
        Form::Chamfer { tip_diameter, angle, height }
    }

    fn usual_diameter(&self) -> f64 {
        self.units.pick(0.5, 12.0)
    }

    fn diameter(&mut self) -> f64 {
        self.size("diameter", self.said.diameter.clone(), self.usual_diameter())
    }

    /// A size that is said, or else the usual one.
    fn size(&mut self, key: &'static str, said: Option<Claim<f64>>, usual: f64) -> f64 {
        let claim = said.unwrap_or(Claim::new(usual, Basis::Usual));
        self.rests.push((key, claim.from, claim.against));
        claim.value
    }
}

/// What a claim rests on, for another value.
fn with<T>(claim: &Claim<T>) -> Claim<f64> {
    Claim { value: 0.0, from: claim.from.clone(), against: claim.against.clone() }
}
