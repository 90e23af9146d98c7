//! One way planned whole and predicted to first order, and its block seats mended.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use super::assemble::{Kitted, assemble};
use super::dimensions;
use super::lattice::{Lattice, Place, RowColumn};
use super::mend::{OtherSeats, Outcome, mend};
use super::opening::{BlockUse, Opening, openings};
use super::pilots::{Step, Way, pilots};
use crate::fault::Fault;
use crate::job::Job;
use crate::plan::{Plan, Stage};
use crate::predict::{Model, Quick};
use crate::top::Layout;

/// A way weighed; the plan itself is not kept, since many ways of a big top fill the memory.
pub(super) struct Weighed {
    pub(super) way: Way,
    /// Holes whose block takes another than its best-ranked seat.
    pub(super) seats: OtherSeats,
    /// Standard deviation of square, rad; a pattern that defines no square is weighed as nil: any
    /// way will do.
    pub(super) spread: f64,
    /// Set-ups a board that do not seat, to first order.
    pub(super) not_seating: f64,
    /// Of these, the bars' own.
    pub(super) bars_not_seating: f64,
    /// What mending the seats took off `not_seating`.
    pub(super) mended_by: f64,
    pub(super) minutes: f64,
    /// True if a triangle is still to be set.
    pub(super) squares: bool,
    /// True if it goes on beyond the bars' reach.
    pub(super) extends: bool,
}

/// What every way of one job has in common.
pub(super) struct Round<'a> {
    pub(super) job: &'a Job,
    pub(super) layout: &'a Layout,
    pub(super) lattice: &'a Lattice,
    pub(super) kitted: Kitted<'a>,
    /// Pins or bits that were too short for a way, of the last such way.
    pub(super) too_short: RefCell<Vec<Fault>>,
    pub(super) needed: &'a BTreeSet<RowColumn>,
    pub(super) block: &'a BlockUse<'a>,
}

/// A way's set-ups.
struct Made {
    way: Way,
    steps: Vec<Step>,
    bored: BTreeSet<RowColumn>,
}

/// A way's plan and its figures.
struct Drawn {
    plan: Plan,
    quick: Quick,
    openings: Vec<Opening>,
}

impl Round<'_> {
    /// Plans and predicts a way; `None` (with what it leaves out in `unreached`) if it does not
    /// reach every needed place.
    pub(super) fn weigh(&self, way: &Way, unreached: &mut BTreeSet<RowColumn>) -> Result<Option<Weighed>, Vec<Fault>> {
        let made = match self.make(way) {
            Ok(made) => made,
            Err(left) => {
                *unreached = left;
                return Ok(None);
            }
        };
        let seats = OtherSeats::new();
        let drawn = self.draw_made(&made, &seats)?;
        let short = dimensions::faults(self.job, self.kitted.kit, &drawn.plan);
        if !short.is_empty() {
            // With bars of one thickness every way takes the same; else another may take thinner ones.
            if dimensions::same_for_all_ways(self.kitted.kit) {
                return Err(short);
            }
            *self.too_short.borrow_mut() = short;
            return Ok(None);
        }
        let outcome = drawn.outcome();
        Ok(Some(Weighed {
            way: *way,
            seats,
            spread: outcome.spread,
            not_seating: outcome.not_seating,
            bars_not_seating: outcome.not_seating - outcome.shares.values().sum::<f64>(),
            mended_by: 0.0,
            minutes: drawn.plan.minutes(),
            squares: drawn
                .plan
                .setups
                .iter()
                .any(|s| s.stage == Stage::SquareColumns && s.templates.len() > 1 && !s.done),
            extends: drawn.plan.setups.iter().any(|s| s.stage == Stage::Extend),
        }))
    }

    /// Gives doubtful holes another seat; square may come out at most `most_spread`, rad.
    pub(super) fn mend(&self, weighed: &mut Weighed, most_spread: f64) -> Result<(), Vec<Fault>> {
        let Ok(made) = self.make(&weighed.way) else { return Ok(()) };
        let weigh = |seats: &OtherSeats| self.draw_made(&made, seats).map(|drawn| drawn.outcome());
        let plain = weigh(&weighed.seats)?;
        weighed.seats = mend(plain, most_spread, weigh)?;
        if !weighed.seats.is_empty() {
            let outcome = weigh(&weighed.seats)?;
            weighed.spread = outcome.spread;
            weighed.mended_by = weighed.not_seating - outcome.not_seating;
            weighed.not_seating = outcome.not_seating;
        }
        Ok(())
    }

    /// The plan of a way weighed, and its figures.
    pub(super) fn draw(&self, weighed: &Weighed) -> Result<(Plan, Quick), Vec<Fault>> {
        // A way that has been weighed reaches everything.
        let Ok(made) = self.make(&weighed.way) else { return Err(Vec::new()) };
        let drawn = self.draw_made(&made, &weighed.seats)?;
        Ok((drawn.plan, drawn.quick))
    }

    /// Errors: the needed places that are not reached.
    fn make(&self, way: &Way) -> Result<Made, BTreeSet<RowColumn>> {
        let places: BTreeSet<Place> = self.needed.iter().map(|&p| way.frame.place(p)).collect();
        let made = pilots(self.lattice, self.kitted.bars, way, &places);
        let part = &self.lattice.part;
        // Over a plug, and between two dog holes that exist, the block may bore in one go, if it seats on
        // a pair there.
        let unreached: BTreeSet<RowColumn> = made.unreached.iter().map(|&p| way.frame.row_column(p)).collect();
        let in_one_go = |p: &RowColumn| part.plugged.contains(p) || self.block.stands_on_dogs(self.lattice, *p);
        if !unreached.iter().all(in_one_go) {
            return Err(unreached);
        }
        let mut bored: BTreeSet<RowColumn> =
            made.steps.iter().flat_map(|s| &s.bores).map(|b| way.frame.row_column(b.0)).collect();
        bored.extend(part.pilots.iter().copied());
        if !unreached.is_empty() {
            let opened = openings(self.lattice, &bored, self.block, way.first_colour, &OtherSeats::new());
            if unreached.iter().any(|&p| opened.iter().all(|o| o.hole != p)) {
                return Err(unreached);
            }
        }
        Ok(Made { way: *way, steps: made.steps, bored })
    }

    fn draw_made(&self, made: &Made, seats: &OtherSeats) -> Result<Drawn, Vec<Fault>> {
        let openings = openings(self.lattice, &made.bored, self.block, made.way.first_colour, seats);
        let plan = assemble(self.lattice, self.layout, &self.kitted, &made.way, &made.steps, &openings);
        let quick = Model::new(self.kitted.kit, &plan)?.quick();
        Ok(Drawn { plan, quick, openings })
    }
}

impl Drawn {
    fn outcome(&self) -> Outcome {
        // Openings follow the pilots, extra holes follow the openings.
        let first =
            self.plan.setups.iter().position(|s| s.stage == Stage::Open && !s.done).unwrap_or(self.plan.setups.len());
        let shares: BTreeMap<RowColumn, f64> = self
            .quick
            .does_not_seat
            .iter()
            .filter_map(|&(setup, share)| Some((self.openings.get(setup.checked_sub(first)?)?.hole, share)))
            .collect();
        Outcome {
            spread: self.quick.square_sd.unwrap_or(0.0),
            not_seating: self.quick.does_not_seat.iter().map(|s| s.1).sum(),
            shares,
        }
    }
}
