//! A fit with what has to be built up before it and after it.

use super::position::{Fit, Limits};
use super::search::best;
use super::stretch::{BuildUp, build_up};
use crate::geometry::Path;
use crate::task::{Cancelled, Task};
use crate::units::Units;

/// The best fit, and where the blank is short of a wanted margin, as it lies and once the fit is taken over.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitting {
    /// The margin that is wanted all round.
    pub wanted: f64,
    /// What was allowed.
    pub limits: Limits,
    /// Where the blank is short as it lies.
    pub before: Vec<BuildUp>,
    /// The best fit.
    pub fit: Fit,
    /// Where it is short once the fit is taken over.
    pub after: Vec<BuildUp>,
}

impl Fitting {
    /// Whether the fit leaves the wanted margin all round.
    pub fn cleans_up(&self) -> bool {
        self.after.is_empty()
    }

    /// The thickness that has to be built up at the most in the best position; 0 where it cleans up.
    pub fn least_build_up(&self) -> f64 {
        self.after.iter().map(|stretch| stretch.most).fold(0.0, f64::max)
    }
}

/// The best fit with what has to be built up for a wanted margin.
///
/// # Errors
/// [`Cancelled`] when the task was asked to stop.
pub fn fitting(
    outline: &Path,
    edge: &Path,
    limits: &Limits,
    wanted: f64,
    units: Units,
    task: Task<'_>,
) -> Result<Fitting, Cancelled> {
    let fit = best(outline, edge, limits, units, task)?;
    fitting_of(fit, (outline, edge), limits, wanted, units, task)
}

/// The same with the best fit found already: it does not depend on the margin that is wanted.
///
/// # Errors
/// [`Cancelled`] when the task was asked to stop.
pub fn fitting_of(
    fit: Fit,
    (outline, edge): (&Path, &Path),
    limits: &Limits,
    wanted: f64,
    units: Units,
    task: Task<'_>,
) -> Result<Fitting, Cancelled> {
    // The margin along a ray is never less than that of a fit: what has enough of the latter need not be measured.
    let short = |edge: &Path, margin: f64| {
        if margin < wanted { build_up(outline, edge, wanted, units, task) } else { Ok(Vec::new()) }
    };
    Ok(Fitting {
        wanted,
        limits: *limits,
        before: short(edge, fit.present)?,
        after: short(&fit.edge_moved(edge), fit.least_margin)?,
        fit,
    })
}
