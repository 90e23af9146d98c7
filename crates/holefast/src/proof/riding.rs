//! Bars of the kit that made the top and are tried in it again: where their holes lie is in the
//! prediction already, so they ride along as unknowns, and nothing is counted twice.
//!
//! Only with the prediction as prior; whatever else is known of the holes does not hang on a bar. What
//! the instrument says of the bar's length then gives way to what the kit says of its holes.

use super::prior::HolePrior;
use crate::fault::Fault;
use crate::job::{BAR_APART, Job};
use crate::predict::{BarSpacing, HoleCovariance};
use crate::reading::{Instrument, Reading, ReadingKind, What};
use crate::top::LaidHole;

/// A bar that rides along.
#[derive(Clone, Debug)]
pub(super) struct Ride {
    /// The instrument that is this bar.
    instrument: usize,
    name: String,
    /// Nominal places of its holes, mm.
    at: Vec<f64>,
    /// Its first unknown.
    first: usize,
}

impl Ride {
    /// Names of its unknowns.
    pub(super) fn names(&self) -> impl Iterator<Item = String> + '_ {
        (1..=self.at.len()).map(|hole| format!("hole {hole} of bar {}", self.name))
    }

    /// The unknowns of the two holes that are pinned for a length, the one nearer the bar's first hole
    /// before the other: those that were said, or the bar's first and the one that lies so far from it.
    pub(super) fn pinned(
        rides: &[Ride],
        instrument: Option<usize>,
        length: f64,
        said: Option<[u32; 2]>,
    ) -> Option<[usize; 2]> {
        let ride = rides.iter().find(|ride| Some(ride.instrument) == instrument)?;
        let [first, last] = match said {
            Some([a, b]) => [a.min(b) as usize - 1, a.max(b) as usize - 1],
            None => [0, hole_at(&ride.at, length)?],
        };
        (last < ride.at.len()).then_some([ride.first + first, ride.first + last])
    }
}

fn hole_at(at: &[f64], length: f64) -> Option<usize> {
    let first = *at.first()?;
    at.iter().position(|x| (x - first - length).abs() < BAR_APART)
}

/// What an instrument is, among the bars of a kit.
enum Is<'k> {
    /// This one.
    Bar(&'k str, usize, f64),
    /// One of several alike.
    OneOf(&'k str, u32),
    No,
}

/// Bars are called by their letter and number, with or without the word before it; one that is alone by
/// its letter too.
fn which<'k>(job: &'k Job, name: &str) -> Is<'k> {
    let name = name.strip_prefix("bar ").unwrap_or(name);
    for bar in job.kit.iter().flat_map(|kit| &kit.bars) {
        let Some(number) = name.strip_prefix(bar.name.as_str()) else { continue };
        match number.parse::<u32>() {
            Ok(n) if n >= 1 && n <= bar.count => return Is::Bar(&bar.name, bar.holes as usize, bar.pitch),
            _ if number.is_empty() && bar.count > 1 => return Is::OneOf(&bar.name, bar.count),
            _ if number.is_empty() => return Is::Bar(&bar.name, bar.holes as usize, bar.pitch),
            _ => {}
        }
    }
    Is::No
}

/// Says of a bar's reading whether its spacing is the prediction's own.
pub(super) fn remark(job: &Job, reading: &Reading) -> Option<Fault> {
    let What::Gauge { length, bar_holes, .. } = &reading.what else { return None };
    let with = reading.with.as_deref()?;
    let words = crate::reading::between_words(reading);
    let independent =
        |why: String| Fault::remark(format!("the bar from {words} counts as one that did not make this top: {why}"));
    match which(job, with) {
        Is::Bar(_, holes, pitch) => {
            let at: Vec<f64> = (0..holes).map(|k| k as f64 * pitch).collect();
            if bar_holes.is_some() || hole_at(&at, *length).is_some() {
                let remark = Fault::remark(format!(
                    "{with} is a bar of the kit: what is known of its holes enters the prediction and the reading from {words} once, in common"
                ));
                let pinned = match bar_holes {
                    Some([a, b]) => format!("the bar is pinned at its holes {a} and {b}"),
                    None => "the bar is taken as pinned at its first hole; bar_holes says another".to_owned(),
                };
                return Some(remark.hint(format!("u of the instrument is not used for it; {pinned}")));
            }
            let why = format!("{with} has no hole so far from its first");
            Some(independent(why).hint("bar_holes says at which of its holes it was pinned"))
        }
        Is::OneOf(name, count) => {
            let why = format!("{with} may be any of {count}");
            Some(independent(why).hint(format!(
                "call it {name}1 if that is the one that was tried: its spacing is in the prediction too"
            )))
        }
        Is::No => Some(
            independent(format!("no bar of the kit is called {with}"))
                .hint("if it did make it, call the instrument as the cards call the bar"),
        ),
    }
}

/// The bars that ride along: those that were tried, or of a search all that could be.
fn riding<'p>(
    job: &Job,
    instruments: &[Instrument],
    readings: &[(usize, &Reading)],
    prediction: &'p HoleCovariance,
    search: bool,
) -> Vec<(usize, &'p BarSpacing)> {
    let mut all = Vec::new();
    for (at, instrument) in instruments.iter().enumerate() {
        let tried = |(_, r): &&(usize, &Reading)| {
            matches!(r.what, What::Gauge { .. }) && r.with.as_deref() == Some(&instrument.name)
        };
        let wanted = search && instrument.reads.contains(&ReadingKind::Went);
        if !wanted && !readings.iter().any(|r| tried(&r)) {
            continue;
        }
        let name = instrument.name.strip_prefix("bar ").unwrap_or(&instrument.name);
        let alone = |bar: &&BarSpacing| match which(job, name) {
            Is::Bar(letter, ..) => bar.name == name || (name == letter && bar.name == format!("{letter}1")),
            Is::OneOf(..) | Is::No => false,
        };
        all.extend(prediction.bars.iter().find(alone).map(|bar| (at, bar)));
    }
    all
}

/// The prediction over these holes, with the bars that ride along.
///
/// Errors: no prediction; holes it says nothing of; places it fixes exactly.
pub(super) fn predicted(
    job: &Job,
    holes: &[&LaidHole],
    readings: &[(usize, &Reading)],
    prediction: Option<&HoleCovariance>,
    search: bool,
) -> Result<HolePrior, Vec<Fault>> {
    let own = "say what is known yourself: prior = \"scatter\" or a table";
    let Some(prediction) = prediction else {
        let fault = Fault::impossible("the prior is the prediction, and there is no plan to predict from");
        return Err(vec![fault.hint("add [kit], or say what is known yourself: prior = \"scatter\" or a table")]);
    };
    let mut at = Vec::with_capacity(holes.len());
    for hole in holes {
        let Some(index) = prediction.names.iter().position(|name| *name == hole.name) else {
            let fault =
                Fault::impossible(format!("the plan opens no hole {}, so nothing is predicted of it", hole.name));
            return Err(vec![fault.hint(own)]);
        };
        at.push(index);
    }
    let places = 2 * holes.len();
    let bars = riding(job, &job.proof.instruments, readings, prediction, search);
    let n = places + bars.iter().map(|(_, bar)| bar.at.len()).sum::<usize>();
    let whole = 2 * prediction.names.len();
    let coordinate = |i: usize| 2 * at[i / 2] + i % 2;
    let mut values = vec![0.0; n * n];
    for i in 0..places {
        for j in 0..places {
            values[i * n + j] = prediction.covariance[coordinate(i) * whole + coordinate(j)];
        }
    }
    let mut rides = Vec::with_capacity(bars.len());
    let mut first = places;
    for (instrument, bar) in bars {
        for (k, (variance, with)) in bar.variance.iter().zip(&bar.with_holes).enumerate() {
            let row = first + k;
            values[row * n + row] = variance.max(LEAST * LEAST);
            for i in 0..places {
                values[row * n + i] = with[coordinate(i)];
                values[i * n + row] = with[coordinate(i)];
            }
        }
        rides.push(Ride { instrument, name: bar.name.clone(), at: bar.at.clone(), first });
        first += bar.at.len();
    }
    let prior = HolePrior::from_covariance(n, &values, places).ok_or_else(|| {
        let fault = Fault::impossible("the prediction fixes some places exactly, and nothing can be adjusted");
        vec![fault.hint(own)]
    })?;
    Ok(HolePrior { rides, ..prior })
}

/// A bar's hole is known no finer than this, mm; a job may state a tolerance of nil.
const LEAST: f64 = 1e-4;
