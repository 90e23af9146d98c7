//! The proof of a top: what the readings say of it, with and without the plan's prior.

use super::adjusted::{Adjusted, Estimate, NoSquare, with_system};
use super::chance::{chi_square_beyond, chi_square_limit};
use super::lines::{Bend, RightAngle};
use super::over_time::{OverTime, over_time};
use super::plausible::looked_at;
use super::solve::Outcome;
use super::statistics::{Limits, OfReading, Suspect, Tests, of_readings};
use crate::fault::Fault;
use crate::job::Job;
use crate::math;
use crate::predict::{ClimateShift, HoleCovariance};
use crate::reading::{Prior, Reading, ReadingKind, between_words, holes_of};
use crate::top::Layout;

/// What a proof is asked with.
#[derive(Clone, Copy, Debug, Default)]
pub struct ProofAsk<'a> {
    /// What the plan predicts of the holes, where the job has a kit.
    pub prediction: Option<&'a HoleCovariance>,
    /// Seed of the draws that a bar that did not go needs.
    pub seed: u64,
}

/// The word of a verdict.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum VerdictWord {
    /// Within what is wanted, at the confidence wanted.
    Square,
    /// Beyond it, at that confidence.
    NotSquare,
    /// Neither.
    Undecided,
}

/// Verdict on what is wanted of square.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Verdict {
    /// Wanted, mm per m.
    pub limit: f64,
    /// Confidence wanted.
    pub confidence: f64,
    /// Chance that square is within the limit.
    pub within: f64,
    /// In a word.
    pub word: VerdictWord,
}

impl Verdict {
    /// From the chance that square is within the limit.
    pub fn of(limit: f64, confidence: f64, within: f64) -> Verdict {
        let word = if within >= confidence {
            VerdictWord::Square
        } else if 1.0 - within >= confidence {
            VerdictWord::NotSquare
        } else {
            VerdictWord::Undecided
        };
        Verdict { limit, confidence, within, word }
    }
}

/// A hole as proved, after the best shift and turn.
#[derive(Clone, Debug, PartialEq)]
pub struct HoleProof {
    /// Its name.
    pub name: String,
    /// A reading touches it.
    pub read: bool,
    /// Nominal place, mm.
    pub nominal: [f64; 2],
    /// Deviation, mm.
    pub d: [f64; 2],
    /// Standard uncertainty along x and y, mm.
    pub u: [f64; 2],
    /// Covariance, mm².
    pub covariance: f64,
    /// Half axes of the ellipse, k = 1, mm: greater, lesser.
    pub axes: [f64; 2],
    /// Direction of the greater from +x, 0 to π.
    pub direction: f64,
}

/// A reading as proved.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadingProof {
    /// Number in the job, from 1.
    pub number: usize,
    /// Kind.
    pub kind: ReadingKind,
    /// Which, in words.
    pub words: String,
    /// Of places: whose coordinate, and 0 for x or 1 for y.
    pub coordinate: Option<(String, usize)>,
    /// The adjusted value, mm (mm per m for angles and test cuts).
    pub adjusted: f64,
    /// Its standard uncertainty.
    pub u_adjusted: f64,
    /// Of what is no go / no-go.
    pub point: Option<PointProof>,
    /// Of a bar: the chance, from all other readings, of what it did.
    pub chance: Option<f64>,
}

/// What is told of a reading that is a number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PointProof {
    /// As read.
    pub reading: f64,
    /// Reading less adjusted.
    pub residual: f64,
    /// Standard uncertainty of the reading.
    pub u: f64,
    /// Share of a slip that shows in the residual.
    pub redundancy: f64,
    /// Residual in its own standard deviations; `None` where no other reading controls it.
    pub standardised: Option<f64>,
    /// Smallest slip that would be found.
    pub smallest_blunder: Option<f64>,
    /// What such a slip would do to square, mm per m.
    pub on_square: Option<f64>,
}

/// All readings together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GlobalTest {
    /// Sum of squared misfits; `None` where a bar is among the readings.
    pub statistic: Option<f64>,
    /// Degrees of freedom.
    pub freedom: usize,
    /// Its limit.
    pub limit: Option<f64>,
    /// Chance of so large a statistic.
    pub p: Option<f64>,
    /// Level of the test.
    pub level: f64,
    /// Below the limit.
    pub passed: Option<bool>,
}

/// Level of the test of all readings together.
pub const GLOBAL_LEVEL: f64 = 0.05;

/// Who is suspect.
#[derive(Clone, Debug, PartialEq)]
pub enum Who {
    /// A reading.
    Reading {
        /// Its number.
        number: usize,
        /// Its kind.
        kind: ReadingKind,
        /// Which, in words.
        words: String,
        /// Its residual in standard deviations.
        standardised: f64,
        /// The slip that would explain it, by the reading's sign.
        blunder: f64,
    },
    /// A hole.
    Hole {
        /// Its name.
        name: String,
        /// χ².
        statistic: f64,
        /// Its degrees of freedom.
        freedom: usize,
        /// The shift that would explain it, mm, along what is seen of it.
        shift: [f64; 2],
    },
}

/// A suspect.
#[derive(Clone, Debug, PartialEq)]
pub struct SuspectProof {
    /// Who.
    pub who: Who,
    /// Chance of so large a misfit by accident.
    pub p: f64,
    /// Those that cannot be told from it.
    pub alike: Vec<String>,
}

/// What would be said without the first suspect.
#[derive(Clone, Debug, PartialEq)]
pub struct Without {
    /// Readings left out, by number.
    pub readings: Vec<usize>,
    /// Square then, if it is told.
    pub square: Option<Estimate>,
    /// Verdict then.
    pub verdict: Option<Verdict>,
}

/// The datum: what holds the grid in its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Datum {
    /// The prior.
    pub prior: Prior,
    /// What the readings leave free, by name.
    pub free: Vec<String>,
    /// Free directions without a name.
    pub undetermined: usize,
    /// The holes that those move most.
    pub moves_most: Vec<String>,
}

/// An instrument's own error, as the readings tell it.
#[derive(Clone, Debug, PartialEq)]
pub struct InstrumentProof {
    /// Name.
    pub name: String,
    /// Scale, mm per m.
    pub scale: Option<Estimate>,
    /// Zero, mm; mm per m for angles.
    pub zero: Option<Estimate>,
}

/// The proof.
#[derive(Clone, Debug, PartialEq)]
pub struct Proof {
    /// It settled.
    pub converged: bool,
    /// Steps taken.
    pub iterations: usize,
    /// What holds it.
    pub datum: Datum,
    /// Square, or why it is not told.
    pub square: Result<Estimate, NoSquare>,
    /// Square is of all holes of the grid; else of those read.
    pub over_all: bool,
    /// Of how many holes.
    pub holes_in_square: usize,
    /// Pitch deviation along x and y.
    pub pitch: [Option<Estimate>; 2],
    /// Verdict, where the job wants a square.
    pub verdict: Option<Verdict>,
    /// A suspect stands or the readings contradict each other.
    pub check_first: bool,
    /// What would follow without the first suspect.
    pub without: Option<Without>,
    /// Holes.
    pub holes: Vec<HoleProof>,
    /// Instruments with errors of their own.
    pub instruments: Vec<InstrumentProof>,
    /// Readings.
    pub readings: Vec<ReadingProof>,
    /// All together.
    pub test: GlobalTest,
    /// Suspects, the likeliest first.
    pub suspects: Vec<SuspectProof>,
    /// The best right angles of a row with a column, best first.
    pub right_angles: Vec<RightAngle>,
    /// The row and the column that bend most, of those read.
    pub bends: [Option<Bend>; 2],
    /// The same readings without the plan's prior, where there is one.
    pub without_prior: Option<(Result<Estimate, NoSquare>, Option<Verdict>)>,
    /// Dates held against each other, where the readings have two or more.
    pub over_time: Option<OverTime>,
    /// What the stated climate does to distances; square it leaves alone.
    pub climate: Option<ClimateShift>,
    /// What is not refused and worth a line.
    pub remarks: Vec<Fault>,
}

/// Proves a top from its readings.
///
/// Errors: no reading; readings of holes that do not exist, without uncertainty, or far from what the
/// top can be; the prediction as prior where there is none.
pub fn prove(job: &Job, layout: &Layout, ask: &ProofAsk<'_>) -> Result<Proof, Vec<Fault>> {
    let remarks = looked_at(job, layout)?;
    let readings: Vec<(usize, &Reading)> = job.proof.readings.iter().enumerate().map(|(i, r)| (i + 1, r)).collect();
    if readings.is_empty() {
        let fault = Fault::input("the job has no reading, so nothing is proved");
        return Err(vec![fault.hint("add [[reading]]; holefast next says which are worth taking first")]);
    }
    let prior = job.proof.prior.unwrap_or(Prior::Scatter);
    let adjusted = Adjusted::of(job, layout, prior, ask.prediction, &readings)?;
    let mut proof = told(job, &adjusted, ask.seed);
    proof.remarks = remarks;
    proof.over_time = over_time(job, layout);
    if matches!(prior, Prior::Prediction | Prior::Stated(_)) {
        let second = Adjusted::of(job, layout, Prior::Scatter, None, &readings)?;
        proof.without_prior =
            Some((second.square.as_ref().map(|(s, _)| *s).map_err(|e| *e), verdict(job, &second, ask.seed)));
    }
    if let Some(numbers) = readings_of_first_suspect(&proof, &job.proof.readings) {
        let left: Vec<(usize, &Reading)> = readings.iter().copied().filter(|(n, _)| !numbers.contains(n)).collect();
        if !left.is_empty() {
            let rest = Adjusted::of(job, layout, prior, ask.prediction, &left)?;
            proof.without = Some(Without {
                readings: numbers,
                square: rest.square.as_ref().ok().map(|(square, _)| *square),
                verdict: verdict(job, &rest, ask.seed),
            });
        }
    }
    Ok(proof)
}

/// Numbers of the readings that go with the first suspect: itself, or those that touch the hole.
fn readings_of_first_suspect(proof: &Proof, readings: &[Reading]) -> Option<Vec<usize>> {
    match &proof.suspects.first()?.who {
        Who::Reading { number, .. } => Some(vec![*number]),
        Who::Hole { name, .. } => {
            let touches = |r: &Reading| holes_of(&r.what).contains(&name.as_str());
            Some(readings.iter().enumerate().filter(|(_, r)| touches(r)).map(|(i, _)| i + 1).collect())
        }
    }
}

pub(super) fn verdict(job: &Job, adjusted: &Adjusted, seed: u64) -> Option<Verdict> {
    let limit = job.accuracy.square?;
    Some(Verdict::of(limit, job.accuracy.confidence, adjusted.within(limit, seed)?))
}

/// Everything one adjustment says.
fn told(job: &Job, adjusted: &Adjusted, seed: u64) -> Proof {
    let Adjusted { model, fit, .. } = adjusted;
    let limits = Limits::of(model.points.len());
    let gradient: Vec<(usize, f64)> = match &adjusted.square {
        Ok((_, figure)) => figure.gradient.clone(),
        Err(_) => Vec::new(),
    };
    let has_square = adjusted.square.is_ok();
    let by_prior = adjusted.over_all;
    let (of, suspects, misfit) = with_system(model, |system| {
        let of = of_readings(system, fit, &limits, &gradient);
        let suspects = Tests::new(system, fit).suspects(&of, &limits, by_prior);
        (of, suspects, system.misfit(&fit.rows, &fit.x))
    });
    let freedom = (model.points.len() + model.finite + fit.free.len()).saturating_sub(fit.x.len());
    let statistic = model.gauges.is_empty().then_some(misfit);
    let limit = (freedom > 0).then(|| chi_square_limit(GLOBAL_LEVEL, freedom));
    let test = GlobalTest {
        statistic,
        freedom,
        limit,
        p: statistic.filter(|_| freedom > 0).map(|s| chi_square_beyond(s, freedom)),
        level: GLOBAL_LEVEL,
        passed: statistic.and_then(|s| limit.map(|limit| s <= limit)),
    };
    let suspects = suspects_told(job, adjusted, &suspects);
    let check_first = !suspects.is_empty() || test.passed == Some(false);
    let (free, undetermined, moves_most) = adjusted.free();
    Proof {
        converged: fit.outcome == Outcome::Converged,
        iterations: fit.iterations,
        datum: Datum { prior: adjusted.prior, free, undetermined, moves_most },
        square: adjusted.square.as_ref().map(|(square, _)| *square).map_err(|e| *e),
        over_all: adjusted.over_all,
        holes_in_square: adjusted.lattice.as_ref().map_or(0, |l| l.holes.len()),
        pitch: [0, 1].map(|which| adjusted.pitch(which)),
        verdict: verdict(job, adjusted, seed),
        check_first,
        without: None,
        holes: holes_told(adjusted),
        instruments: instruments_told(job, adjusted),
        readings: readings_told(job, adjusted, &of, has_square),
        test,
        suspects,
        right_angles: adjusted.right_angles(),
        bends: adjusted.bends(),
        without_prior: None,
        over_time: None,
        climate: job.climate.as_ref().map(|climate| ClimateShift::of(&job.top, climate)),
        remarks: Vec::new(),
    }
}

fn name_of(adjusted: &Adjusted, suspect: &Suspect) -> String {
    match suspect {
        Suspect::Reading { at, .. } => format!("reading {}", adjusted.model.points[*at].number),
        Suspect::Hole(hole) => format!("hole {}", adjusted.model.holes[hole.hole].name),
    }
}

fn suspects_told(job: &Job, adjusted: &Adjusted, suspects: &[(Suspect, Vec<usize>)]) -> Vec<SuspectProof> {
    suspects
        .iter()
        .map(|(suspect, alike)| SuspectProof {
            who: match suspect {
                Suspect::Reading { at, standardised, blunder, .. } => {
                    let point = &adjusted.model.points[*at];
                    Who::Reading {
                        number: point.number,
                        words: between_words(&job.proof.readings[point.number - 1]),
                        standardised: *standardised,
                        blunder: *blunder,
                        kind: point.kind,
                    }
                }
                Suspect::Hole(hole) => Who::Hole {
                    name: adjusted.model.holes[hole.hole].name.clone(),
                    statistic: hole.statistic,
                    freedom: hole.freedom,
                    shift: hole.shift,
                },
            },
            p: suspect.p(),
            alike: alike.iter().map(|&k| name_of(adjusted, &suspects[k].0)).collect(),
        })
        .collect()
}

fn instruments_told(job: &Job, adjusted: &Adjusted) -> Vec<InstrumentProof> {
    let of = |k: Option<usize>| {
        k.map(|k| Estimate { value: adjusted.fit.x[k], u: adjusted.fit.covariance.at(k, k).max(0.0).sqrt() })
    };
    let all = job.proof.instruments.iter().zip(&adjusted.model.common);
    all.filter(|(_, common)| common.scale.is_some() || common.zero.is_some())
        .map(|(i, common)| InstrumentProof { name: i.name.clone(), scale: of(common.scale), zero: of(common.zero) })
        .collect()
}

fn readings_told(job: &Job, adjusted: &Adjusted, of: &[OfReading], has_square: bool) -> Vec<ReadingProof> {
    let Adjusted { model, fit, .. } = adjusted;
    let words = |number: usize| between_words(&job.proof.readings[number - 1]);
    let points = model.points.iter().enumerate().map(|(i, point)| {
        let one = &of[i];
        ReadingProof {
            number: point.number,
            kind: point.kind,
            words: words(point.number),
            coordinate: match point.measures {
                super::model::Measures::Place { hole, axis, .. } => Some((model.holes[hole].name.clone(), axis)),
                _ => None,
            },
            adjusted: fit.rows[i].computed,
            u_adjusted: one.u_adjusted,
            point: Some(PointProof {
                reading: point.value,
                residual: fit.residuals[i],
                u: one.u,
                redundancy: one.redundancy,
                standardised: one.standardised,
                smallest_blunder: one.smallest_blunder,
                on_square: one.on_figure.filter(|_| has_square),
            }),
            chance: None,
        }
    });
    let gauges = model.gauges.iter().enumerate().map(|(k, (_, row))| {
        let at = &fit.rows[model.points.len() + k];
        ReadingProof {
            number: row.number,
            kind: row.kind,
            words: words(row.number),
            coordinate: None,
            adjusted: at.computed,
            u_adjusted: fit.covariance.between(&at.terms, &at.terms).max(0.0).sqrt(),
            point: None,
            chance: Some(fit.chances[k]).filter(|c| c.is_finite()),
        }
    });
    let mut all: Vec<ReadingProof> = points.chain(gauges).collect();
    all.sort_by_key(|r| r.number);
    all
}

/// Deviations after the best shift and turn, with their covariance: r = d − B M s, s = Bᵀd, so
/// cov r = C − D M Bᵀ − B M Dᵀ + B M E M Bᵀ with D = cov(d, s), E = cov s.
fn holes_told(adjusted: &Adjusted) -> Vec<HoleProof> {
    let Adjusted { model, fit, rigid, .. } = adjusted;
    let nominal: Vec<[f64; 2]> = model.holes.iter().map(|h| h.nominal).collect();
    let sums = rigid.sums(&nominal);
    let with = sums.each_ref().map(|terms| fit.covariance.times_sparse(terms));
    let total = sums.each_ref().map(|terms| terms.iter().map(|&(i, v)| v * fit.x[i]).sum::<f64>());
    let between = [0, 1, 2].map(|k| [0, 1, 2].map(|l| sums[l].iter().map(|&(i, v)| v * with[k][i]).sum::<f64>()));
    (0..model.holes.len())
        .map(|hole| {
            let takes = rigid.takes(nominal[hole]);
            let d = [0, 1].map(|a| fit.x[2 * hole + a] - (0..3).map(|m| takes[a][m] * total[m]).sum::<f64>());
            let covariance = |a: usize, b: usize| {
                let mut sum = fit.covariance.at(2 * hole + a, 2 * hole + b);
                for k in 0..3 {
                    sum -= takes[b][k] * with[k][2 * hole + a] + takes[a][k] * with[k][2 * hole + b];
                    for l in 0..3 {
                        sum += takes[a][k] * between[k][l] * takes[b][l];
                    }
                }
                sum
            };
            let (xx, xy, yy) = (covariance(0, 0).max(0.0), covariance(0, 1), covariance(1, 1).max(0.0));
            let (half, off) = (0.5 * (xx + yy), 0.5 * (xx - yy));
            let root = (off * off + xy * xy).sqrt();
            let mut direction = 0.5 * math::atan2(xy, off);
            if direction < 0.0 {
                direction += std::f64::consts::PI;
            }
            HoleProof {
                name: model.holes[hole].name.clone(),
                read: model.holes[hole].read,
                nominal: nominal[hole],
                d,
                u: [xx.sqrt(), yy.sqrt()],
                covariance: xy,
                axes: [(half + root).sqrt(), (half - root).max(0.0).sqrt()],
                direction,
            }
        })
        .collect()
}
