//! Holes over which the block seldom goes in at once get another seat, if that costs no square.
//!
//! Pilots at the end of rows that slid on by themselves lie unevenly along their column, and a
//! block pinned on two of them jams; seated along the row, on one neighbour of the same bar and the
//! hole's own pilot, it does not. Each doubtful hole takes the seat that goes in most often; if
//! that spoils square, only the worst half of them do, and so on down.

use std::collections::BTreeMap;

use super::lattice::RowColumn;
use crate::fault::Fault;

/// Seats that fail on fewer boards than this are let be: another seat is a card of its own.
const DOUBTFUL_ABOVE: f64 = 0.03;

/// Another seat must go in on so many boards more to be worth it.
const GAINS_AT_LEAST: f64 = 0.02;

/// Shares nearer than this are alike.
const ALIKE: f64 = 0.005;

/// A hole has at most so many seats worth trying: a pair and two single neighbours each way.
const MOST_SEATS: usize = 6;

/// Holes between two that took another seat may come to be doubtful by that: so many rounds.
const ROUNDS: usize = 3;

/// Which seat each hole takes, where not its best-ranked one.
pub(super) type OtherSeats = BTreeMap<RowColumn, usize>;

/// What a choice of seats comes to.
pub(super) struct Outcome {
    /// Standard deviation of square, rad.
    pub(super) spread: f64,
    /// Set-ups a board that do not seat.
    pub(super) not_seating: f64,
    /// Of each opening with a misfit, the share of boards it does not seat on.
    pub(super) shares: BTreeMap<RowColumn, f64>,
}

/// The seats to take instead; empty where the best-ranked ones serve.
///
/// `weigh` predicts a choice; `most_spread`: square may not come out worse, rad. Asks for some
/// [`MOST_SEATS`] predictions a round.
pub(super) fn mend(
    plain: Outcome,
    most_spread: f64,
    mut weigh: impl FnMut(&OtherSeats) -> Result<Outcome, Vec<Fault>>,
) -> Result<OtherSeats, Vec<Fault>> {
    let (mut taken, mut now) = (OtherSeats::new(), plain);
    for _ in 0..ROUNDS {
        let Some((more, outcome)) = round(&taken, &now, most_spread, &mut weigh)? else { break };
        (taken, now) = (more, outcome);
    }
    Ok(taken)
}

/// One round: what is taken already and more, with its outcome; `None` if nothing is gained.
fn round(
    taken: &OtherSeats,
    now: &Outcome,
    most_spread: f64,
    weigh: &mut impl FnMut(&OtherSeats) -> Result<Outcome, Vec<Fault>>,
) -> Result<Option<(OtherSeats, Outcome)>, Vec<Fault>> {
    // Share now, seat, share there.
    let mut doubtful: BTreeMap<RowColumn, (f64, usize, f64)> = now
        .shares
        .iter()
        .filter(|(hole, share)| **share > DOUBTFUL_ABOVE && !taken.contains_key(hole))
        .map(|(&hole, &share)| (hole, (share, 0, share)))
        .collect();
    if doubtful.is_empty() {
        return Ok(None);
    }
    let with = |more: &mut dyn Iterator<Item = (RowColumn, usize)>| {
        let mut all = taken.clone();
        all.extend(more);
        all
    };
    for which in 1..MOST_SEATS {
        let shares = weigh(&with(&mut doubtful.keys().map(|&hole| (hole, which))))?.shares;
        for (hole, best) in &mut doubtful {
            // A seat without a misfit cannot fail.
            let share = shares.get(hole).copied().unwrap_or(0.0);
            // Of seats that fail alike the first.
            if share < best.2 - ALIKE && share < best.0 - GAINS_AT_LEAST {
                *best = (best.0, which, share);
            }
        }
    }
    let mut order: Vec<(RowColumn, usize, f64)> =
        doubtful.into_iter().filter(|(_, b)| b.1 > 0).map(|(hole, b)| (hole, b.1, b.0 - b.2)).collect();
    // Stable: holes that gain alike stay in their order.
    order.sort_by(|a, b| b.2.total_cmp(&a.2));
    while !order.is_empty() {
        let more = with(&mut order.iter().map(|&(hole, which, _)| (hole, which)));
        let outcome = weigh(&more)?;
        if outcome.spread <= most_spread && outcome.not_seating < now.not_seating {
            return Ok(Some((more, outcome)));
        }
        order.truncate(order.len() / 2);
    }
    Ok(None)
}
