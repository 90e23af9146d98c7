//! Which reading is worth taking next: the best of each instrument, singly and in pairs, per reading
//! and per minute, and how many until a verdict is likely.
//!
//! A reading with row a and variance r takes (gᵀQa)²/(r + aᵀQa) from square's variance, g its gradient,
//! Q the covariance; a pair by the same with two rows; a bar by what it is expected to take, both ways
//! it may go weighed by their chance. Where a prior leaves square free, or an instrument's zero, it is
//! given a spread that no grid and no stick exceeds ([`WIDE`]), so that all of this holds as it stands.
//! Pairs are looked for among the readings that move with square most, either way ([`KEPT`] of each
//! sign); exhaustive search confirms that on small tops (tests).

use super::adjusted::{Adjusted, Estimate};
use super::candidates::{Candidate, for_square};
use super::chance::normal_quantile;
use super::lattice::Figure;
use super::matrix::Symmetric;
use super::plausible::looked_at;
use super::report::{Verdict, VerdictWord};
use super::sampling::inside;
use crate::fault::Fault;
use crate::job::Job;
use crate::predict::HoleCovariance;
use crate::reading::{Known, Prior, Reading, ReadingKind, Stated};
use crate::top::Layout;

/// What is unknown is taken to lie within this, mm per m or mm: more is no grid and no stick.
pub(super) const WIDE: f64 = 30.0;
/// Candidates of each sign among which pairs are looked for.
const KEPT: usize = 300;
/// The same while readings are counted one after another.
const KEPT_WHEN_COUNTING: usize = 60;
/// Readings that are counted at most.
pub const MOST_READINGS: usize = 40;

/// A reading, or a pair, that is worth taking.
#[derive(Clone, Debug, PartialEq)]
pub struct Suggestion {
    /// Kind.
    pub kind: ReadingKind,
    /// Instrument.
    pub with: String,
    /// Holes of each reading: one line of two, or two lines.
    pub readings: Vec<Vec<[String; 2]>>,
    /// Minutes for all of it, where the instrument says.
    pub minutes: Option<f64>,
    /// Standard uncertainty of square afterwards, mm per m; expected, for a bar.
    pub u_after: f64,
    /// Verdict then, if square stays where it is.
    pub word: Option<VerdictWord>,
    /// Readings of this instrument alone until a verdict, if square stays where it is; `None`: not
    /// within 40.
    pub needed: Option<usize>,
    /// Place in the order by minutes, from 1, where all minutes are known.
    pub rank_by_minutes: Option<usize>,
}

impl Suggestion {
    /// Two readings that belong together.
    pub fn is_pair(&self) -> bool {
        self.readings.len() == 2
    }
}

/// What is worth taking.
#[derive(Clone, Debug, PartialEq)]
pub struct Next {
    /// Square now; `None` while it is free.
    pub square: Option<Estimate>,
    /// Verdict now, where a square is wanted.
    pub verdict: Option<Verdict>,
    /// Best first, per reading.
    pub suggestions: Vec<Suggestion>,
    /// Readings until a verdict, the best of any instrument each time, if square stays where it is.
    pub readings_needed: Option<usize>,
    /// What square's uncertainty would have to fall below for a verdict, if it stays where it is.
    pub u_needed: Option<f64>,
    /// What cannot be offered, and why.
    pub remarks: Vec<Fault>,
}

/// Says which readings are worth taking, also before there is any.
///
/// Errors: as [`super::prove`], except that no reading is needed; no instrument; no square on this grid.
pub fn next(job: &Job, layout: &Layout, prediction: Option<&HoleCovariance>) -> Result<Next, Vec<Fault>> {
    let mut remarks = looked_at(job, layout)?;
    if job.proof.instruments.is_empty() {
        let fault = Fault::input("the job names no instrument, so nothing can be suggested");
        return Err(vec![fault.hint("add [[instrument]] with name, reads, u and minutes for each you have at hand")]);
    }
    let readings: Vec<(usize, &Reading)> = job.proof.readings.iter().enumerate().map(|(i, r)| (i + 1, r)).collect();
    let adjusted = Adjusted::searching(job, layout, widened(job.proof.prior), prediction, &readings)?;
    let Ok((now, figure)) = &adjusted.square else {
        let fault =
            Fault::impossible("square is not defined: the holes lie on one line, or the readings contradict it");
        return Err(vec![fault.hint("holefast prove says what is wrong with the readings")]);
    };
    let search = Search::new(job, &adjusted, figure);
    for (at, instrument) in job.proof.instruments.iter().enumerate() {
        if search.candidates[at].is_empty() {
            let missing = match instrument.reads[..] {
                [ReadingKind::Angle] if instrument.blade.is_none() => "it states no blade, where the gap is taken",
                [ReadingKind::FiveCut | ReadingKind::TurnOver] if instrument.strip.is_none() => {
                    "it states no strip, the test cut's length"
                }
                _ => "none of its readings tells of square on this top",
            };
            remarks.push(Fault::remark(format!("{} is left out: {missing}", instrument.name)).at(instrument.span));
        }
    }
    let wanted = Wanted { square: now.value, limit: job.accuracy.square, confidence: job.accuracy.confidence };
    let mut suggestions = search.suggestions(now.u, &wanted);
    rank_by_minutes(&mut suggestions, now.u);
    let free = now.u > 0.1 * WIDE;
    Ok(Next {
        square: (!free).then_some(*now),
        verdict: job
            .accuracy
            .square
            .filter(|_| !free)
            .and_then(|limit| Some(Verdict::of(limit, job.accuracy.confidence, adjusted.within(limit, 1)?))),
        suggestions,
        readings_needed: search.needed(None, now.u, &wanted),
        u_needed: wanted.u_needed(),
        remarks,
    })
}

/// The prior with what is unknown in it made wide; without any, each hole's own scatter.
fn widened(prior: Option<Prior>) -> Prior {
    let wide = |known: Known| if known == Known::Unknown { Known::Within(WIDE) } else { known };
    let stated = match prior {
        Some(Prior::Prediction) => return Prior::Prediction,
        Some(Prior::Stated(stated)) if stated.hole != Known::Unknown => stated,
        _ => Stated::SCATTER,
    };
    Prior::Stated(Stated { hole: stated.hole, square: wide(stated.square), pitch: stated.pitch.map(wide) })
}

/// What a verdict hangs on.
struct Wanted {
    square: f64,
    limit: Option<f64>,
    confidence: f64,
}

impl Wanted {
    fn word(&self, u: f64) -> Option<VerdictWord> {
        Some(Verdict::of(self.limit?, self.confidence, inside(self.square, u, self.limit?)).word)
    }

    /// Where nearly nothing is known, square is hardly within any limit, and "not square" follows from
    /// that alone; to count as decided here its whole interval must lie beyond the limit.
    fn decided(&self, u: f64) -> bool {
        match (self.word(u), self.limit) {
            (Some(VerdictWord::Square), _) => true,
            (Some(VerdictWord::NotSquare), Some(limit)) => {
                self.square.abs() - limit >= -normal_quantile(1.0 - self.confidence) * u
            }
            _ => false,
        }
    }

    /// The verdict that would be told of a suggestion.
    fn told(&self, u: f64) -> VerdictWord {
        if self.decided(u) { self.word(u).unwrap_or(VerdictWord::Undecided) } else { VerdictWord::Undecided }
    }

    /// The uncertainty below which there is a verdict.
    fn u_needed(&self) -> Option<f64> {
        self.limit?;
        let (mut low, mut high) = (0.0, WIDE);
        for _ in 0..100 {
            let middle = 0.5 * (low + high);
            if self.decided(middle) { low = middle } else { high = middle }
        }
        (low > 0.0).then_some(low)
    }
}

/// One reading or two of one instrument, and what they leave of square's variance.
#[derive(Clone, Debug)]
struct Found {
    instrument: usize,
    picked: Vec<usize>,
    variance_after: f64,
}

struct Search<'a> {
    job: &'a Job,
    adjusted: &'a Adjusted,
    figure: &'a Figure,
    /// Of each instrument.
    candidates: Vec<Vec<Candidate>>,
}

/// Covariance as it changes while readings are counted.
struct State {
    covariance: Symmetric,
    variance: f64,
}

impl<'a> Search<'a> {
    fn new(job: &'a Job, adjusted: &'a Adjusted, figure: &'a Figure) -> Search<'a> {
        let candidates = (0..job.proof.instruments.len()).map(|at| for_square(job, adjusted, at)).collect();
        Search { job, adjusted, figure, candidates }
    }

    fn state(&self, u: f64) -> State {
        State { covariance: self.adjusted.fit.covariance.clone(), variance: u * u }
    }

    fn suggestions(&self, u: f64, wanted: &Wanted) -> Vec<Suggestion> {
        let state = self.state(u);
        let mut found: Vec<Found> = Vec::new();
        for at in 0..self.candidates.len() {
            let (one, two) = self.best(&state, at, KEPT);
            found.extend(one);
            found.extend(two);
        }
        // Ties, as on a grid that is symmetric, are broken by name.
        found.sort_by(|a, b| {
            let gain = |f: &Found| per_reading(u * u, f.variance_after, f.picked.len());
            gain(b).total_cmp(&gain(a)).then_with(|| self.name(a).cmp(&self.name(b)))
        });
        let needed: Vec<Option<usize>> =
            (0..self.candidates.len()).map(|at| self.needed(Some(at), u, wanted)).collect();
        found.iter().map(|f| self.told(f, wanted, needed[f.instrument])).collect()
    }

    fn name(&self, found: &Found) -> String {
        self.job.proof.instruments[found.instrument].name.clone()
    }

    fn told(&self, found: &Found, wanted: &Wanted, needed: Option<usize>) -> Suggestion {
        let instrument = &self.job.proof.instruments[found.instrument];
        let candidates = &self.candidates[found.instrument];
        let hole = |h: usize| self.adjusted.model.holes[h].name.clone();
        let u_after = found.variance_after.max(0.0).sqrt();
        Suggestion {
            kind: candidates[found.picked[0]].kind,
            with: instrument.name.clone(),
            readings: found
                .picked
                .iter()
                .map(|&k| candidates[k].lines.iter().map(|line| line.map(hole)).collect())
                .collect(),
            minutes: instrument.minutes.map(|m| m * found.picked.len() as f64),
            u_after,
            word: wanted.limit.map(|_| wanted.told(u_after)),
            needed,
            rank_by_minutes: None,
        }
    }

    /// The best single reading of an instrument and its best pair.
    fn best(&self, state: &State, at: usize, kept: usize) -> (Option<Found>, Option<Found>) {
        let candidates = &self.candidates[at];
        let pull = state.covariance.times_sparse(&self.figure.gradient);
        let h: Vec<f64> = candidates.iter().map(|c| c.terms.iter().map(|&(i, a)| a * pull[i]).sum()).collect();
        let v: Vec<f64> = candidates.iter().map(|c| state.covariance.between(&c.terms, &c.terms)).collect();
        let single = (0..candidates.len())
            .map(|k| (gain_of_one(&candidates[k], h[k], v[k]), k))
            .max_by(|a, b| by_gain(a.0, b.0).then(b.1.cmp(&a.1)))
            .map(|(gain, k)| Found { instrument: at, picked: vec![k], variance_after: state.variance - gain });
        let chosen = most_moved(candidates, &h, kept);
        let mut best: Option<(f64, usize, usize)> = None;
        for (n, &i) in chosen.iter().enumerate() {
            for &j in &chosen[n + 1..] {
                let c = state.covariance.between(&candidates[i].terms, &candidates[j].terms);
                let gain = gain_of_two([&candidates[i], &candidates[j]], [h[i], h[j]], [v[i], c, v[j]]);
                let (a, b) = (i.min(j), i.max(j));
                let better = best.is_none_or(|(most, x, y)| by_gain(gain, most).then((x, y).cmp(&(a, b))).is_gt());
                if better {
                    best = Some((gain, a, b));
                }
            }
        }
        let pair = best.map(|(gain, i, j)| Found {
            instrument: at,
            picked: vec![i, j],
            variance_after: state.variance - gain,
        });
        (single, pair)
    }

    /// Readings until there is a verdict if square stays where it is, the best each time, or the best
    /// pair where it gives more per reading; of one instrument or of any.
    fn needed(&self, only: Option<usize>, u: f64, wanted: &Wanted) -> Option<usize> {
        wanted.limit?;
        let mut state = self.state(u);
        let mut count = 0;
        while !wanted.decided(state.variance.max(0.0).sqrt()) {
            let of: Vec<usize> = only.map_or_else(|| (0..self.candidates.len()).collect(), |at| vec![at]);
            let found = of
                .into_iter()
                .flat_map(|at| {
                    let (one, two) = self.best(&state, at, KEPT_WHEN_COUNTING);
                    one.into_iter().chain(two)
                })
                .max_by(|a, b| {
                    let gain = |f: &Found| per_reading(state.variance, f.variance_after, f.picked.len());
                    gain(a).total_cmp(&gain(b))
                })?;
            count += found.picked.len();
            if count > MOST_READINGS || found.variance_after >= state.variance {
                return None;
            }
            for k in &found.picked {
                self.take(&mut state, &self.candidates[found.instrument][*k]);
            }
        }
        Some(count)
    }

    /// Counts a reading as taken.
    fn take(&self, state: &mut State, candidate: &Candidate) {
        let column = state.covariance.times_sparse(&candidate.terms);
        let v: f64 = candidate.terms.iter().map(|&(i, a)| a * column[i]).sum();
        let share = match &candidate.gauge {
            None => 1.0 / (candidate.variance + v),
            Some((gauge, expected)) => expected_fall(gauge, *expected, v) / (v * v),
        };
        state.covariance.add_outer(&column, -share);
        state.variance = state.covariance.between(&self.figure.gradient, &self.figure.gradient);
    }
}

/// Fall of the variance of a distance that a bar is expected to bring.
fn expected_fall(gauge: &super::gauge::Gauge, expected: f64, v: f64) -> f64 {
    let went = gauge.after(expected, v);
    let not = super::gauge::Gauge { went: false, ..*gauge }.after(expected, v);
    (v - went.chance * went.variance - not.chance * not.variance).max(0.0)
}

/// What a reading takes from square's variance.
fn gain_of_one(candidate: &Candidate, h: f64, v: f64) -> f64 {
    match &candidate.gauge {
        None => h * h / (candidate.variance + v),
        Some((gauge, expected)) if v > 0.0 => h * h / (v * v) * expected_fall(gauge, *expected, v),
        Some(_) => 0.0,
    }
}

/// What two readings take together. Bars: each as a number with the noise that brings the same
/// expected fall.
fn gain_of_two(of: [&Candidate; 2], h: [f64; 2], v: [f64; 3]) -> f64 {
    let noise = |k: usize, v: f64| match &of[k].gauge {
        None => of[k].variance,
        Some((gauge, expected)) => {
            let fall = expected_fall(gauge, *expected, v);
            if fall > 0.0 { (v * v / fall - v).max(0.0) } else { f64::INFINITY }
        }
    };
    let (a, b) = (v[0] + noise(0, v[0]), v[2] + noise(1, v[2]));
    let det = a * b - v[1] * v[1];
    if det.is_nan() || det.is_infinite() || det <= 0.0 {
        return 0.0;
    }
    (h[0] * h[0] * b - 2.0 * h[0] * h[1] * v[1] + h[1] * h[1] * a) / det
}

/// Gains that agree to this share are one: a symmetric grid offers the same reading several times.
const SAME: f64 = 1e-9;

fn by_gain(a: f64, b: f64) -> std::cmp::Ordering {
    if (a - b).abs() <= SAME * a.abs().max(b.abs()) { std::cmp::Ordering::Equal } else { a.total_cmp(&b) }
}

/// Candidates that move with square most for their noise, so many of each sign.
fn most_moved(candidates: &[Candidate], h: &[f64], kept: usize) -> Vec<usize> {
    let scores: Vec<f64> = h.iter().zip(candidates).map(|(h, c)| h.abs() / c.variance.sqrt()).collect();
    let order = |a: &usize, b: &usize| scores[*b].total_cmp(&scores[*a]).then(a.cmp(b));
    let mut chosen = Vec::new();
    for sign in [1.0, -1.0] {
        let mut side: Vec<usize> = (0..h.len()).filter(|&k| h[k] * sign > 0.0).collect();
        if side.len() > kept {
            side.select_nth_unstable_by(kept, order);
            side.truncate(kept);
        }
        side.sort_unstable_by(order);
        chosen.extend(side);
    }
    chosen
}

/// Information of square that a reading brings, in 1/(mm/m)², shared out over the readings it takes.
fn per_reading(before: f64, after: f64, readings: usize) -> f64 {
    (1.0 / after.max(1e-12) - 1.0 / before) / readings as f64
}

fn rank_by_minutes(suggestions: &mut [Suggestion], u: f64) {
    let per_minute = |s: &Suggestion| s.minutes.map(|m| per_reading(u * u, s.u_after * s.u_after, 1) / m);
    if suggestions.iter().any(|s| s.minutes.is_none()) {
        return;
    }
    let mut order: Vec<usize> = (0..suggestions.len()).collect();
    let gains: Vec<f64> = suggestions.iter().map(|s| per_minute(s).unwrap_or(0.0)).collect();
    order.sort_by(|&a, &b| gains[b].total_cmp(&gains[a]).then(a.cmp(&b)));
    for (rank, k) in order.into_iter().enumerate() {
        suggestions[k].rank_by_minutes = Some(rank + 1);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::top::lay_out;

    fn job(more: &str) -> Job {
        let text = format!(
            "holefast = 1\nname = \"Bench\"\nunits = \"mm\"\n[top]\nlength = 700\nwidth = 500\nthickness = 18\n\
             material = \"birch plywood\"\n[grid]\npitch = 96\nhole = 20\npilot = 4\nrows = 4\ncolumns = 6\nedge = 40\n\
             origin = \"centred\"\n[accuracy]\nsquare = 0.25\n{more}"
        );
        let parsed = crate::job::parse(&text);
        parsed.job.unwrap_or_else(|| panic!("{:?}", parsed.faults))
    }

    const CALIPER: &str = "[[instrument]]\nname = \"caliper\"\nreads = [\"distance\"]\nu = 0.05\nminutes = 1.5\n";
    const ROD: &str =
        "[[instrument]]\nname = \"pinch rod\"\nreads = [\"distance\"]\nu = 0.05\nzero = \"unknown\"\nminutes = 2\n";

    #[test]
    fn the_pair_found_is_the_best_of_all_pairs() {
        for (instrument, readings) in [
            (CALIPER, ""),
            (ROD, ""),
            (CALIPER, "[proof]\nprior = { hole = 0.05, square = 0.3, pitch = 0.1 }\n"),
            (
                ROD,
                "[proof]\nprior = { hole = 0.05, square = 0.3, pitch = 0.1 }\n[[reading]]\nkind = \"distance\"\nbetween = [\"A1\", \"D6\"]\nwith = \"pinch rod\"\nvalue = 559.78\n",
            ),
        ] {
            let job = job(&format!("{instrument}{readings}"));
            let layout = lay_out(&job).unwrap();
            let readings: Vec<(usize, &Reading)> = job.proof.readings.iter().map(|r| (1, r)).collect();
            let adjusted = Adjusted::searching(&job, &layout, widened(job.proof.prior), None, &readings).unwrap();
            let (now, figure) = adjusted.square.as_ref().unwrap();
            let search = Search::new(&job, &adjusted, figure);
            let state = search.state(now.u);
            assert_eq!(search.candidates[0].len(), 24 * 23 / 2);
            let pruned = search.best(&state, 0, 60).1.unwrap();
            let all = search.best(&state, 0, usize::MAX).1.unwrap();
            let u = |f: &Found| f.variance_after.sqrt();
            assert!(u(&pruned) <= u(&all) * (1.0 + 1e-9), "{} {}", u(&pruned), u(&all));
        }
    }

    #[test]
    fn before_any_reading_crossed_diagonals_come_first() {
        let job = job(&format!("{CALIPER}{ROD}"));
        let next = next(&job, &lay_out(&job).unwrap(), None).unwrap();
        assert_eq!(next.square, None, "square is free with scatter alone");
        let first = &next.suggestions[0];
        assert!(first.is_pair());
        let mut holes: Vec<&str> = first.readings.iter().flatten().flatten().map(String::as_str).collect();
        holes.sort_unstable();
        assert_eq!(holes, ["A1", "A6", "D1", "D6"], "{first:?}");
        // What is left is the scatter of the four holes, 0.1 mm each, over a rectangle of 480 by 288 mm.
        assert!((0.2..0.5).contains(&first.u_after), "{}", first.u_after);
        // A single reading leaves square as free as it was.
        let single = next.suggestions.iter().find(|s| s.with == "caliper" && !s.is_pair()).unwrap();
        assert!(single.u_after > 5.0, "{}", single.u_after);
        assert!(next.readings_needed.is_none_or(|n| n > 2), "{:?}", next.readings_needed);
        // Of a square of nil, ±0.25 with 1.96 on either side.
        assert!((next.u_needed.unwrap() - 0.25 / 1.959_964).abs() < 1e-3, "{:?}", next.u_needed);
    }

    #[test]
    fn what_is_promised_is_what_the_reading_brings() {
        // The reading taken at the value that changes nothing: square's u is then the one promised.
        let prior = "[proof]\nprior = { hole = 0.05, square = 0.3, pitch = 0.1 }\n";
        let job = job(&format!("{CALIPER}{prior}"));
        let layout = lay_out(&job).unwrap();
        let before = next(&job, &layout, None).unwrap();
        let pair = before.suggestions.iter().find(|s| s.is_pair()).unwrap();
        let mut taken = job.clone();
        for reading in &pair.readings {
            let between = reading[0].clone();
            let at = |name: &str| layout.holes.iter().find(|h| h.name == name).map(|h| h.centre).unwrap();
            let value = at(&between[0]).distance(at(&between[1]));
            taken.proof.readings.push(Reading {
                what: crate::reading::What::Distance { between, value, taken: crate::reading::Taken::CENTRES },
                with: Some("caliper".to_owned()),
                with_span: None,
                u: None,
                date: None,
                sure: false,
                span: None,
                value_span: None,
            });
        }
        let proof = super::super::prove(&taken, &layout, &super::super::ProofAsk::default()).unwrap();
        let u = proof.square.unwrap().u;
        assert!((u / pair.u_after - 1.0).abs() < 1e-6, "{u} {}", pair.u_after);
    }

    #[test]
    fn without_instruments_it_says_so() {
        let job = job("");
        let faults = next(&job, &lay_out(&job).unwrap(), None).unwrap_err();
        assert_eq!(faults[0].message, "the job names no instrument, so nothing can be suggested");
    }
}
