//! The few readings that matter before any is taken, for the reading sheet: the best pair of each means
//! at hand, and where none is stated of what every shop has, a stick to compare with and the kit's bars.

use super::candidates::{LEAST_BAR_PITCHES, ON_PITCH, USUAL_PLAY};
use super::next::{Next, Suggestion, next};
use crate::fault::Fault;
use crate::job::Job;
use crate::predict::HoleCovariance;
use crate::reading::{DEFAULT_SCATTER, Instrument, Known, Prior, ReadingKind, Stated};
use crate::top::Layout;

/// A stick and two sharp points compare to this, mm (common practice, no source).
const STICK: f64 = 0.1;
/// And take so long, minutes (common practice, no source).
const STICK_MINUTES: f64 = 2.0;
/// A bar offered up across a diagonal, minutes (common practice, no source).
const BAR_MINUTES: f64 = 1.5;
/// A top bored with care and no plan to tell how well: standard deviations (docs/design/proof.md 3,
/// with the scatter of a hole that jobs have where nothing is said).
pub const CARE: Stated = Stated {
    hole: Known::Within(DEFAULT_SCATTER),
    square: Known::Within(0.3),
    pitch: [Known::Within(0.1), Known::Within(0.1)],
};
/// Means that are told.
const MOST: usize = 3;

/// What is asked for first.
#[derive(Clone, Debug, PartialEq)]
pub struct FewReadings {
    /// The best of each means, best first; nearly all are pairs.
    pub best: Vec<Suggestion>,
    /// The job states no instrument: a stick and the kit's bars are taken.
    pub assumed: bool,
    /// Nothing is stated of what is known before, and [`CARE`] is taken.
    pub care: bool,
    /// What of square's uncertainty is known before, mm per m; `None` while it is free.
    pub before: Option<f64>,
    /// What it would have to fall below to prove a top that is dead square, mm per m.
    pub needed: Option<f64>,
}

/// The few readings that matter on this top; readings that the job has already are left aside. Where no
/// spreads are stated and the plan's promise is not at hand, what is known is that it was bored with care
/// ([`CARE`]): with nothing known a bar would hardly be expected to go in anywhere.
///
/// Errors: as [`next`].
pub fn few_readings(
    job: &Job,
    layout: &Layout,
    prediction: Option<&HoleCovariance>,
) -> Result<FewReadings, Vec<Fault>> {
    let mut fresh = job.clone();
    fresh.proof.readings.clear();
    let assumed = fresh.proof.instruments.is_empty();
    if assumed {
        fresh.proof.instruments = usual(job);
    }
    let mut bars = Vec::new();
    fresh.proof.instruments.retain_mut(|instrument| {
        if instrument.reads[..] != [ReadingKind::Went] {
            return true;
        }
        let there = as_if_it_went(job, layout, instrument);
        if there {
            bars.push(instrument.name.clone());
        }
        there
    });
    let stated = match fresh.proof.prior {
        Some(Prior::Prediction) => prediction.is_some(),
        Some(Prior::Stated(_)) => true,
        Some(Prior::Scatter | Prior::None) | None => false,
    };
    if !stated {
        fresh.proof.prior = Some(Prior::Stated(CARE));
    }
    let Next { square, suggestions, u_needed, .. } = next(&fresh, layout, prediction)?;
    let mut best: Vec<Suggestion> = Vec::new();
    for mut one in suggestions {
        if bars.contains(&one.with) {
            one.kind = ReadingKind::Went;
        }
        let known = best.iter().any(|other| other.with == one.with);
        // A test cut tells by itself; of all else two are read and compared.
        let by_itself = matches!(one.kind, ReadingKind::FiveCut | ReadingKind::TurnOver);
        if !known && one.is_pair() != by_itself && best.len() < MOST {
            best.push(one);
        }
    }
    Ok(FewReadings { best, assumed, care: !stated, before: square.map(|s| s.u), needed: u_needed })
}

/// What every shop has: a stick whose length nobody needs to know, and the bars that bored the top.
fn usual(job: &Job) -> Vec<Instrument> {
    let make = |name: String, reads: ReadingKind, u: f64, minutes: f64| Instrument {
        name,
        reads: vec![reads],
        u,
        u_per_m: 0.0,
        scale: None,
        zero: (reads == ReadingKind::Distance).then_some(Known::Unknown),
        class: None,
        range: None,
        minutes: Some(minutes),
        blade: None,
        strip: None,
        span: None,
    };
    let mut all = vec![make("stick".to_owned(), ReadingKind::Distance, STICK, STICK_MINUTES)];
    for bar in job.kit.iter().flat_map(|kit| &kit.bars) {
        // Two holes, each within ± position, rectangular.
        let u = bar.position * (2.0f64 / 3.0).sqrt();
        let name = format!("bar {}{}", bar.name, if bar.count > 1 { "1" } else { "" });
        all.push(make(name, ReadingKind::Went, u, BAR_MINUTES));
    }
    all
}

/// A bar as what it is once it went in: a reading of its length, good to its play. Left alone it would be
/// weighed both ways it may go, and a bar that may miss either way promises nothing of where square lies.
/// It is tried across, at its greatest length that any two holes have; false where none have.
fn as_if_it_went(job: &Job, layout: &Layout, instrument: &mut Instrument) -> bool {
    let pitch = job.grid.pitch[0];
    let bar = job.kit.as_ref().and_then(|kit| Some((kit, kit.bar_called(&instrument.name)?)));
    let most = match (bar, instrument.range) {
        (_, Some([_, most])) => most,
        (Some((_, bar)), None) => bar.pitch * f64::from(bar.holes.saturating_sub(1)),
        (None, None) => f64::INFINITY,
    };
    let cells = || layout.holes.iter().filter_map(|h| Some((h.cell?, h.centre)));
    let mut longest = 0.0f64;
    for (a, p) in cells() {
        for (b, q) in cells().filter(|(b, _)| b.row != a.row && b.column != a.column) {
            let (length, pitches) = (p.distance(q), p.distance(q) / pitch);
            let whole = (pitches - pitches.round()).abs() * pitch < ON_PITCH && pitches >= LEAST_BAR_PITCHES;
            if whole && b.row > a.row && length < most + HALF_A_STEP {
                longest = longest.max(length);
            }
        }
    }
    if longest <= 0.0 {
        return false;
    }
    let play = bar.map(|(kit, bar)| kit.play(bar, false)).filter(|play| *play > 0.0).unwrap_or(USUAL_PLAY);
    instrument.reads = vec![ReadingKind::Distance];
    instrument.u = (instrument.u_at(longest) * instrument.u_at(longest) + play * play / 3.0).sqrt();
    instrument.u_per_m = 0.0;
    instrument.range = Some([longest - HALF_A_STEP, longest + HALF_A_STEP]);
    true
}

/// Lengths of a grid differ by more than this, or not at all, mm.
const HALF_A_STEP: f64 = 0.01;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::top::lay_out;

    #[test]
    fn a_job_without_instruments_is_asked_for_crossed_diagonals_by_stick_and_bar() {
        let job = crate::job::parse(include_str!("../../../../examples/first-top.toml")).job.unwrap();
        let few = few_readings(&job, &lay_out(&job).unwrap(), None).unwrap();
        assert!(few.assumed && few.care && few.before.is_some_and(|u| u > 0.25), "{few:?}");
        let stick = few.best.iter().find(|s| s.with == "stick").unwrap();
        let mut holes: Vec<&str> = stick.readings.iter().flatten().flatten().map(String::as_str).collect();
        holes.sort_unstable();
        assert_eq!(holes, ["A1", "A6", "D1", "D6"]);
        // Bars of six holes at 80 mm reach the 3-4-5 diagonals.
        let bar = few.best.iter().find(|s| s.with == "bar S1").unwrap();
        let rises = |[a, b]: &[String; 2]| (a[..1] < b[..1]) == (a[1..] < b[1..]);
        let ways: Vec<bool> = bar.readings.iter().flatten().map(rises).collect();
        assert_ne!(ways[0], ways[1], "they cross: {bar:?}");
        assert!(few.best.iter().all(|s| s.u_after < few.before.unwrap_or(0.0)), "{few:?}");
    }
}
