//! What the prediction says, as the book needs it.

use holefast::job::Units;
use holefast::predict::{Group, Lessening, Prediction};
use holefast::words::expected;

/// What a build is expected to come to. Everything optional is left out of the book where absent.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Expectation {
    /// Square lies within ± this, mm per m, `confidence` of the times.
    pub square_within: Option<f64>,
    /// Share of the times that `square_within` holds, 0 to 1.
    pub confidence: f64,
    /// Standard uncertainty of square, mm per m (factor 1).
    pub square_u: Option<f64>,
    /// Wanted square, mm per m, and the share of passing boards within it.
    pub wanted: Option<(f64, f64)>,
    /// How it was found: "first order", "100000 virtual boards, seed 1".
    pub basis: String,
    /// Share of virtual boards that pass all checks.
    pub passed: Option<f64>,
    /// Largest first.
    pub budget: Vec<BudgetRow>,
    /// What each check is worth.
    pub checks: Vec<CheckWorth>,
    /// Set-ups that may not seat: number and share of boards.
    pub does_not_seat: Vec<(u32, f64)>,
    /// Root mean square position of the holes, mm.
    pub position_mm: Option<f64>,
    /// What the air between boring and use does to the holes' distances, a sentence or two.
    pub climate: String,
    /// What none of this counts.
    pub left_out: Vec<String>,
}

impl Expectation {
    /// What the book says of a prediction. `confidence`: share of the times that the figure for
    /// square is to hold, 0.5 to 1.
    pub fn of(prediction: &Prediction, lessenings: &[Lessening], confidence: f64, units: Units) -> Expectation {
        let square = &prediction.square;
        Expectation {
            square_within: expected::square_within(prediction, confidence),
            confidence,
            square_u: square.sample.as_ref().map(|s| s.sd).or(square.first_order_sd),
            wanted: prediction.within.and_then(|(limit, share)| Some((limit, share?))),
            basis: expected::basis(prediction.boards, prediction.seed),
            passed: prediction.passed,
            budget: prediction
                .budget
                .iter()
                .map(|&(group, share)| BudgetRow {
                    group,
                    share,
                    lessen: expected::worth_saying(lessenings, group)
                        .map_or(String::new(), |l| expected::lessening(l, units)),
                })
                .collect(),
            checks: prediction
                .checks
                .iter()
                .map(|check| CheckWorth {
                    setup: check.setup,
                    goes: check.goes,
                    stops_hole_mm: check.stops_hole_mm,
                    stops_lean: check.stops_lean_mm_per_m,
                })
                .collect(),
            does_not_seat: prediction.does_not_seat.as_ref().map_or(Vec::new(), |d| d.worst.clone()),
            position_mm: prediction.position_rms.sample.as_ref().map(|s| s.mean),
            climate: expected::climate(prediction),
            left_out: expected::not_counted(prediction, confidence),
        }
    }
}

/// One line of the budget.
#[derive(Clone, Debug, PartialEq)]
pub struct BudgetRow {
    /// The group of sources.
    pub group: Group,
    /// Its share of the variance of square, 0 to 1.
    pub share: f64,
    /// What would lessen it, with what that would bring; found by predicting again.
    pub lessen: String,
}

/// What a check is worth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CheckWorth {
    /// Its set-up's number.
    pub setup: u32,
    /// Share of all boards that it lets go.
    pub goes: f64,
    /// Least displacement of one of its holes that it stops 95 times in 100, mm.
    pub stops_hole_mm: Option<f64>,
    /// Least lean of a column that it stops 95 times in 100, mm per m.
    pub stops_lean: Option<f64>,
}
