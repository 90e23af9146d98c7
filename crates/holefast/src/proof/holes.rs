//! The holes as proved, for whoever works on: where they are, what is known of them, what is left free.

use super::adjusted::{Adjusted, with_system};
use super::chance::chi_square_limit;
use super::plausible::looked_at;
use super::report::{GLOBAL_LEVEL, ProofAsk};
use super::solve::Outcome;
use super::statistics::{Limits, Tests, of_readings};
use crate::fault::Fault;
use crate::job::Job;
use crate::reading::{Prior, Reading};
use crate::top::{Layout, Point};

/// Holes with places as proved.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ProvedHoles {
    /// Their names: all of the grid with a prior, those read without one.
    pub names: Vec<String>,
    /// Their centres, mm.
    pub centres: Vec<Point>,
    /// Covariance of the centres, mm², row by row, x0 y0 x1 y1 …
    pub covariance: Vec<f64>,
    /// Directions in the same order that the readings leave free: what hangs on them is not known.
    pub free: Vec<Vec<f64>>,
    /// A suspect stands, or the readings contradict each other: check first.
    pub doubted: bool,
}

/// Adjusts a job's readings, and hands the holes on.
///
/// Errors: as [`prove`](super::prove); an adjustment that does not settle.
pub fn proved_holes(job: &Job, layout: &Layout, ask: &ProofAsk<'_>) -> Result<ProvedHoles, Vec<Fault>> {
    looked_at(job, layout)?;
    let readings: Vec<(usize, &Reading)> = job.proof.readings.iter().enumerate().map(|(i, r)| (i + 1, r)).collect();
    let prior = job.proof.prior.unwrap_or(Prior::Scatter);
    let adjusted = Adjusted::of(job, layout, prior, ask.prediction, &readings)?;
    if adjusted.fit.outcome == Outcome::NotConverged {
        let fault = Fault::impossible("the readings are far from any top like this one, and prove no places");
        return Err(vec![fault.hint("holefast prove tells which to look at first; --by-plan goes by the plan")]);
    }
    let size = 2 * adjusted.model.holes.len();
    let covariance = &adjusted.fit.covariance;
    Ok(ProvedHoles {
        names: adjusted.model.holes.iter().map(|hole| hole.name.clone()).collect(),
        centres: adjusted.places().iter().map(|p| Point::new(p[0], p[1])).collect(),
        covariance: (0..size).flat_map(|i| (0..size).map(move |j| covariance.at(i, j))).collect(),
        free: adjusted.fit.free.iter().map(|z| z[..size].to_vec()).collect(),
        doubted: is_doubted(&adjusted),
    })
}

/// True if a suspect stands or the readings as a whole fit no such top.
fn is_doubted(adjusted: &Adjusted) -> bool {
    let Adjusted { model, fit, .. } = adjusted;
    let limits = Limits::of(model.points.len());
    with_system(model, |system| {
        let of = of_readings(system, fit, &limits, &[]);
        let suspects = Tests::new(system, fit).suspects(&of, &limits, adjusted.over_all);
        let freedom = (model.points.len() + model.finite + fit.free.len()).saturating_sub(fit.x.len());
        let contradict = model.gauges.is_empty()
            && freedom > 0
            && system.misfit(&fit.rows, &fit.x) > chi_square_limit(GLOBAL_LEVEL, freedom);
        contradict || !suspects.is_empty()
    })
}
