//! Findings on the drawings that the outline and the blank's edge come from.

use std::sync::Arc;

use super::capped;
use crate::bring_in::{Brought, Trouble, join_gap};
use crate::finding::{Code, Finding, Severity};
use crate::geometry::{pt, pt3};
use crate::tolerance::Tolerances;
use crate::units::Told;

/// A path of the job that was read from a file.
#[derive(Debug, Clone)]
pub(crate) struct FromFile {
    /// What it is, as people call it.
    pub(crate) what: &'static str,
    /// Its file.
    pub(crate) file: String,
    /// Where it lies: x, y, and turn in degrees.
    pub(crate) lie: [f64; 3],
    /// What was read.
    pub(crate) brought: Arc<Brought>,
}

pub(super) fn findings(
    (told, gauge): (Told, Option<f64>),
    drawing: &FromFile,
    tolerances: &Tolerances,
) -> Vec<Finding> {
    let brought = &drawing.brought;
    // Ends written to so many decimals never meet to the last digit.
    let worth =
        |trouble: &&Trouble| !matches!(trouble, Trouble::Gap { size, .. } if *size < tolerances.none_below);
    let told =
        brought.troubles.iter().filter(worth).map(|trouble| of_trouble((told, gauge), drawing, trouble));
    let several = (brought.closed > 1).then(|| {
        let message = format!(
            "{} from {}: of {} closed paths there, the one that encloses most was taken. If another is meant, put it \
             on a layer of its own and name that in the job.",
            drawing.what, drawing.file, brought.closed
        );
        Finding::new(Code::DrawingSeveral, Severity::Note, message)
    });
    capped(told.chain(several).collect())
}

fn of_trouble((told, gauge): (Told, Option<f64>), drawing: &FromFile, trouble: &Trouble) -> Finding {
    let severity = trouble.severity(Some(&drawing.brought.path));
    let message = format!(
        "{} from {}: {}. {}",
        drawing.what,
        drawing.file,
        trouble.message(told),
        advice(told, trouble, severity)
    );
    let finding = Finding::new(trouble.code(), severity, message);
    let [x, y, turn] = drawing.lie;
    match trouble.at() {
        Some(at) => {
            let at = at.turned(turn.to_radians()) + pt(x, y);
            finding.at(pt3(at.x, at.y, gauge.unwrap_or(0.0)))
        }
        None => finding,
    }
}

/// Why it matters, and what would be usual.
fn advice(told: Told, trouble: &Trouble, severity: Severity) -> String {
    let text = match trouble {
        Trouble::Gap { .. } => {
            return format!(
                "Ends that lie within {} of each other are taken for one corner; correct the drawing if there is a \
                 step there.",
                told.fine_with_unit(join_gap(told.of()))
            );
        }
        Trouble::OpenEnd { .. } if severity == Severity::Note => {
            "It closes nothing, so it was left out. That is normal for center lines and marks."
        }
        Trouble::OpenEnd { .. } => {
            "It closes nothing, so it was left out; but it lies outside the path that was taken. Make sure \
             that this path is the one that is meant, or name its layer."
        }
        Trouble::Branch { .. } => {
            "The straightest way on was taken. Check whether the path follows the scribed line there, or \
             draw it on a layer of its own."
        }
        Trouble::Overlap { .. } => "It counts once.",
        Trouble::RunsBack { .. } | Trouble::SelfCrossing { .. } => {
            "What is inside can't be told there, so stock left and cut cannot be relied on. Correct the drawing."
        }
        Trouble::NotFollowed { .. } => "Make sure that the path that was taken is whole without it.",
        Trouble::LeftOut { .. } => "That is normal for writing, dimensions and hatching.",
        Trouble::UnitsDiffer { .. } => "Correct whichever is wrong: the block would be 25.4 times off.",
    };
    text.to_owned()
}
