//! How square a plan comes out: the model of a build (named sources, seats, opening), its
//! first-order propagation, and virtual boards that take the clearances as they are.
//!
//! Frame and units as everywhere: mm and rad, top's frame. Square is positive when the angle from
//! rows to columns is more than 90°.

mod board;
mod checks;
mod climate;
mod covariance;
mod dense;
mod draws;
mod first_order;
mod lanes;
mod lessen;
mod linear;
mod lines;
mod linkage;
mod model;
mod one_board;
mod result;
mod seat;
mod simulate;
mod square;
mod statistics;
mod stream;
pub mod tape;
mod walk;

#[cfg(test)]
#[path = "../../tests/by_hand/mod.rs"]
mod by_hand;
#[cfg(test)]
mod dense_cases;
#[cfg(test)]
mod hand_cases;
#[cfg(test)]
mod reference_cases;

pub use checks::CheckWorth;
pub use climate::{BARS_TEMPERATURE, ClimateShift, MOVEMENT_SPREAD, STEEL_SPREAD};
pub use covariance::{BarSpacing, HoleCovariance};
pub use first_order::{FirstOrder, HoleSpread};
pub use lessen::{Improvement, Lessening, lessen};
pub use lines::{LineAsk, lines_of};
pub use model::Model;
pub use result::{Ask, DoesNotSeat, Figure, LineFigure, Prediction, predict};
#[cfg(test)]
pub(crate) use simulate::lines_of_boards;
pub use simulate::{BLOCK, Block, Run, one_after_another};
pub use statistics::{Counts, Sample};
pub(crate) use stream::uniforms;

/// A group of sources, as the budget reports them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Group {
    /// Places of the bars' holes.
    BarSpacing,
    /// The pilot bit in the bar's hole.
    BitPlay,
    /// The pilot bit's wander.
    Wander,
    /// Where templates come to rest within their clearances.
    Seat,
    /// Places of the block's bush and locators.
    BlockSpacing,
    /// The opening bit in the bush.
    BushPlay,
    /// The opening bit's wander.
    OpeningWander,
    /// Slope of the dog holes.
    BitLean,
    /// Set-ups placed without locators.
    ByHand,
    /// Scale between boring and use.
    Climate,
    /// Holes that were there before the plan, nobody knows how made.
    Existing,
}

/// Least radial clearance of a locator, mm: nothing made of steel and wood seats closer (docs/design/prediction.md 2).
pub const LEAST_CLEARANCE: f64 = 0.001;

/// What a check will meet, to first order.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CheckMoments {
    /// Index of the set-up in the plan.
    pub setup: usize,
    /// Standard deviation of the misfit along the bar, mm.
    pub misfit_sd: f64,
    /// Covariance of misfit and square, mm · rad.
    pub misfit_square_cov: f64,
}

/// The first-order figures that the planner weighs plans by; cheap, one sweep back through the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Quick {
    /// Standard deviation of square, rad; `None` where the finished holes lie on one line.
    pub square_sd: Option<f64>,
    /// For every check of one bar on two holes.
    pub checks: Vec<CheckMoments>,
    /// For every boring set-up with a misfit: its index in the plan and the share of boards that
    /// do not seat in it, to first order.
    pub does_not_seat: Vec<(usize, f64)>,
}

impl Group {
    /// All groups, in the order of the work.
    pub const ALL: [Group; 11] = [
        Group::BarSpacing,
        Group::BitPlay,
        Group::Wander,
        Group::Seat,
        Group::BlockSpacing,
        Group::BushPlay,
        Group::OpeningWander,
        Group::BitLean,
        Group::ByHand,
        Group::Climate,
        Group::Existing,
    ];

    /// The group's name, as in data.
    pub fn name(self) -> &'static str {
        match self {
            Group::BarSpacing => "bar spacing",
            Group::BitPlay => "bit play",
            Group::Wander => "wander",
            Group::Seat => "seat",
            Group::BlockSpacing => "block spacing",
            Group::BushPlay => "bush play",
            Group::OpeningWander => "opening wander",
            Group::BitLean => "bit lean",
            Group::ByHand => "by hand",
            Group::Climate => "climate",
            Group::Existing => "existing holes",
        }
    }
}
