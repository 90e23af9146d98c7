//! The questions of a list answered, angle by angle: the longest cut first, for it the arrangement that
//! serves most of the others too, then the same for those left over.
//!
//! Few searches: what one says of some cuts holds for others too (`lines`). The answers are those that
//! searches for every cut by itself give (`tests_one_by_one`).

use std::collections::BTreeMap;

use super::asks::{All, Ask};
use super::lines::{Lines, Stopped};
use super::{How, Progress, SetUp, Watch, WhyNot};
use crate::cut::{Arrangement, Dogs, Pair, Places, StopSet, Tested, has_kit_stop, is_free, kit_stop, room_for};
use crate::job::Job;

/// Of so many of the best arrangements the one that serves most cuts is taken: those further down gain
/// little, and each is tried with every cut that is open.
pub(super) const SERVED_AMONG: usize = 16;

/// The answers.
#[derive(Default)]
pub(super) struct Answers {
    /// The set-ups, in the order in which they were found.
    pub(super) set_ups: Vec<SetUp>,
    /// What is answered; where the work was stopped some are missing.
    pub(super) all: BTreeMap<Ask, Result<How, WhyNot>>,
}

/// Answers all that is asked, until the watch says no.
pub(super) fn find(job: &Job, places: &Places, asked: &All, watch: Watch<'_>) -> Answers {
    let dogs = Dogs::of(job);
    let mut answers = Answers::default();
    let of = asked.questions();
    for angle in asked.angles() {
        let before = answers.all.len();
        let mut open = Open { job, places, dogs: &dogs, asks: asked.at(angle) };
        let all = before + open.asks.len();
        let mut told = |open: usize| watch(Progress { answered: all - open, of });
        let mut lines = Lines::new(job, places, &dogs, angle, &mut told);
        if open.answer(&mut lines, &mut answers).is_err() {
            return answers;
        }
    }
    watch(Progress { answered: answers.all.len(), of });
    answers
}

/// What is asked at one angle and not answered yet.
struct Open<'a> {
    job: &'a Job,
    places: &'a Places,
    dogs: &'a Dogs,
    /// The shortest cut first, with how many cuts ask it.
    asks: Vec<(Ask, usize)>,
}

impl Open<'_> {
    fn answer(&mut self, lines: &mut Lines<'_>, answers: &mut Answers) -> Result<(), Stopped> {
        // so many of the longest are looked at together: whether none of them has an arrangement
        let mut together = 1;
        // the longest cut first, of those the one set to most
        while let Some(&(hardest, _)) = self.asks.last() {
            let alike = self.alike(together);
            let none = if lines.is_too_long(&hardest) || lines.is_out_of_reach(&hardest) {
                Some(vec![hardest])
            } else if alike.len() > 1 && lines.none_has_a_stop(&alike, self.asks.len())? {
                together *= 2;
                Some(alike)
            } else {
                let found = lines.stopped(&hardest, self.asks.len())?;
                match self.most_served(&found) {
                    Some(chosen) => {
                        self.set_up(chosen, lines.angle(), answers);
                        together = 1;
                        None
                    }
                    None => {
                        together = if alike.len() > 1 { 1 } else { 2 };
                        Some(vec![hardest])
                    }
                }
            };
            for ask in none.into_iter().flatten().rev() {
                let why = lines.why_not(&ask, &self.asks)?;
                answers.all.insert(ask, Err(why));
                self.asks.pop();
            }
        }
        Ok(())
    }

    /// So many of the longest, as far as they are of one kind, the shortest of them first.
    fn alike(&self, most: usize) -> Vec<Ask> {
        let kind = self.asks.last().and_then(|(ask, _)| ask.kind());
        let same = |(ask, _): &&(Ask, usize)| kind.is_some() && ask.kind() == kind;
        let mut alike: Vec<Ask> = self.asks.iter().rev().take(most).take_while(same).map(|(ask, _)| *ask).collect();
        alike.reverse();
        alike
    }

    /// The arrangement that serves most cuts; of those that serve as many the best in angle.
    fn most_served(&self, found: &[Arrangement]) -> Option<Arrangement> {
        let all: usize = self.asks.iter().map(|(_, times)| times).sum();
        let mut best: Option<(&Arrangement, usize)> = None;
        for arrangement in found.iter().take(SERVED_AMONG) {
            let most = best.map(|(_, most)| most);
            if most == Some(all) {
                break;
            }
            if let Some(served) = self.served(&arrangement.pair, all, most) {
                best = Some((arrangement, served));
            }
        }
        best.map(|(arrangement, _)| arrangement.clone())
    }

    /// How many cuts an arrangement serves; `None` as soon as that cannot be more than another does.
    fn served(&self, pair: &Pair, all: usize, most: Option<usize>) -> Option<usize> {
        let mut left = all;
        let mut room: Option<(f64, f64, bool)> = None;
        for (ask, times) in self.asks.iter().rev() {
            let (width, kerf) = (ask.width(), ask.kerf());
            let free = match room {
                Some((w, k, free)) if w == width && k == kerf => free,
                _ => is_free(self.job, self.places, pair, Some(width), Some(kerf)) == Some(true),
            };
            room = Some((width, kerf, free));
            let stop = |ask: &Ask| {
                ask.piece().is_none_or(|piece| has_kit_stop(self.job, self.places, self.dogs, pair, &piece))
            };
            if !(free && stop(ask)) {
                left -= times;
                if most.is_some_and(|most| left <= most) {
                    return None;
                }
            }
        }
        Some(left)
    }

    /// Takes an arrangement for all cuts that it serves.
    fn set_up(&mut self, chosen: Arrangement, angle: f64, answers: &mut Answers) {
        let Some(room) = chosen.room else { return };
        let tested = Tested::of(self.job, self.places, &chosen.pair, angle);
        answers.set_ups.push(SetUp { wanted: angle, pair: chosen.pair, u: chosen.u, room, tested, cuts: 0 });
        let set_up = answers.set_ups.len() - 1;
        let (job, places, dogs) = (self.job, self.places, self.dogs);
        self.asks.retain(|(ask, _)| match stop_for(job, places, dogs, &chosen.pair, ask) {
            Some(stop) => {
                answers.all.insert(*ask, Ok(How { set_up, stop }));
                false
            }
            None => true,
        });
    }
}

/// The stop for what is asked on these lines, none needed where an end is only trimmed; `None` where
/// there is no room for the cut or no hole for the stop.
pub(super) fn stop_for(job: &Job, places: &Places, dogs: &Dogs, pair: &Pair, ask: &Ask) -> Option<Option<StopSet>> {
    let room = room_for(job, places, pair, Some(ask.width()), Some(ask.kerf()))?;
    if !room.blocked.is_empty() {
        return None;
    }
    match ask.piece() {
        None => Some(None),
        Some(piece) => Some(Some(kit_stop(job, places, dogs, pair, &piece)?)),
    }
}
