//! The candidates that may yet be among the best: kept by their rank, without ordering all that come.

use std::cmp::Ordering;

/// Step of the rank, mm per m: finer differences say nothing about the cut.
pub(super) const STEP: f64 = 0.05;

/// The step of the rank that a bound, mm per m, not below nought, lies in.
pub(super) fn step_of(bound: f64) -> i64 {
    // cut off is rounded down, for there is no sign
    (bound / STEP + 1e-9) as i64
}

/// Two lines, before their way round is chosen.
#[derive(Clone, Copy, Debug)]
pub(super) struct Candidate {
    /// Nothing is known of the angle's spread where of others it is: those come last.
    pub open: bool,
    /// Step of |deviation| + 2 u.
    pub step: i64,
    /// The shorter of both bases, µm.
    pub base_um: i64,
    /// The fence's holes.
    pub fence: [usize; 2],
    /// The rail's.
    pub rail: [usize; 2],
}

impl Candidate {
    /// Known ones first, then by bound, then longer shorter base.
    pub(super) fn rank(&self, other: &Candidate) -> Ordering {
        let key = |c: &Candidate| (c.open, c.step, -c.base_um);
        key(self).cmp(&key(other))
    }
}

/// The best of all candidates that came, by rank and then in the order in which they came.
///
/// Whenever there are twice as many as are to be kept, the best half stays. A candidate that ranks no
/// better than the last of that half has so many before it for good: it is laid aside unsorted, and
/// counts only should the search end before the next halving.
pub(super) struct Shortlist {
    keep: usize,
    kept: Vec<(Candidate, usize)>,
    aside: Vec<(Candidate, usize)>,
    /// The last of the half that stayed.
    last: Option<Candidate>,
    came: usize,
    /// The greatest step of all that are here, and whether one of them is open.
    worst: i64,
    open: bool,
}

impl Shortlist {
    /// One that keeps so many, at least one.
    pub(super) fn new(keep: usize) -> Shortlist {
        Shortlist { keep, kept: Vec::new(), aside: Vec::new(), last: None, came: 0, worst: 0, open: false }
    }

    /// Takes one in.
    pub(super) fn push(&mut self, candidate: Candidate) {
        self.worst = self.worst.max(candidate.step);
        self.open |= candidate.open;
        let behind = self.last.is_some_and(|last| candidate.rank(&last).is_ge());
        let list = if behind { &mut self.aside } else { &mut self.kept };
        list.push((candidate, self.came));
        self.came += 1;
    }

    /// Drops what will not be among the best, once there are too many.
    pub(super) fn halve(&mut self) {
        if self.kept.len() + self.aside.len() <= 2 * self.keep {
            return;
        }
        self.aside.clear();
        if self.kept.len() > self.keep {
            let (_, last, _) = self.kept.select_nth_unstable_by(self.keep - 1, in_order);
            self.last = Some(last.0);
            self.kept.truncate(self.keep);
        }
        self.worst = self.kept.iter().map(|(c, _)| c.step).max().unwrap_or(0);
        self.open = self.kept.iter().any(|(c, _)| c.open);
    }

    /// The greatest step of those that are here, once there are as many as are to be kept and none is
    /// open.
    pub(super) fn worst(&self) -> Option<i64> {
        let enough = self.kept.len() + self.aside.len() >= self.keep;
        (enough && !self.open).then_some(self.worst)
    }

    /// All that are here, best first.
    pub(super) fn best_first(mut self) -> impl Iterator<Item = Candidate> {
        self.kept.append(&mut self.aside);
        self.kept.sort_unstable_by(in_order);
        self.kept.into_iter().map(|(candidate, _)| candidate)
    }
}

fn in_order(a: &(Candidate, usize), b: &(Candidate, usize)) -> Ordering {
    a.0.rank(&b.0).then(a.1.cmp(&b.1))
}
