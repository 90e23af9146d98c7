//! Dated proofs held against each other: what square did from one date to the next, from the readings
//! alone.
//!
//! All dates are adjusted together with nothing known before: a hole read on two dates is two holes, an
//! instrument is the same one throughout. So what its common error does to both sides falls out of the
//! difference by itself, as far as it does: u² = u₁² + u₂² less what both have in common. Compared is
//! over the holes read on both dates.

use super::adjusted::{Adjusted, Estimate};
use super::geometry::P;
use super::lattice::{Figure, Lattice};
use super::model::Model;
use super::prior::HolePrior;
use super::solve::Outcome;
use crate::job::Job;
use crate::reading::{Prior, Reading, holes_of, holes_of_mut};
use crate::top::{LaidHole, Layout};

/// What the readings of one date say.
#[derive(Clone, Debug, PartialEq)]
pub struct OnDate {
    /// As written.
    pub date: String,
    /// Its readings, by number.
    pub readings: Vec<usize>,
    /// Square of the holes read, mm per m; `None` where these readings leave it free.
    pub square: Option<Estimate>,
}

/// From one date to another.
#[derive(Clone, Debug, PartialEq)]
pub struct Drift {
    /// Date.
    pub from: String,
    /// Date.
    pub to: String,
    /// Holes read on both.
    pub holes: usize,
    /// By how much square went, mm per m; `None` where the readings leave it free.
    pub square: Option<Estimate>,
    /// By how much pitch along x and y went, mm per m; likewise.
    pub pitch: [Option<Estimate>; 2],
}

/// Two dates or more.
#[derive(Clone, Debug, PartialEq)]
pub struct OverTime {
    /// In their order.
    pub dates: Vec<OnDate>,
    /// From each to the next, and from the first to the last where that is another.
    pub drifts: Vec<Drift>,
    /// Readings without a date, by number: they are not compared.
    pub undated: Vec<usize>,
}

/// Compares the dates of a job's readings; `None` where there are not two. Readings must have been
/// looked at ([`super::looked_at`]).
pub fn over_time(job: &Job, layout: &Layout) -> Option<OverTime> {
    let date_of = |r: &Reading| r.date.clone().or_else(|| job.proof.date.clone());
    let mut dates: Vec<String> = Vec::new();
    for date in job.proof.readings.iter().filter_map(date_of) {
        if !dates.contains(&date) {
            dates.push(date);
        }
    }
    if dates.len() < 2 {
        return None;
    }
    // Dates as the job format has them are in the order of their letters; others as they were entered.
    if dates.iter().all(|d| is_date(d)) {
        dates.sort();
    }
    let own_name = |hole: &str, date: usize| format!("{hole} {date}");
    let mut undated = Vec::new();
    let mut renamed: Vec<(usize, Reading)> = Vec::new();
    let mut read: Vec<Vec<&str>> = vec![Vec::new(); dates.len()];
    let mut on: Vec<Vec<usize>> = vec![Vec::new(); dates.len()];
    for (i, reading) in job.proof.readings.iter().enumerate() {
        let Some(date) = date_of(reading).and_then(|d| dates.iter().position(|other| *other == d)) else {
            undated.push(i + 1);
            continue;
        };
        on[date].push(i + 1);
        read[date].extend(holes_of(&reading.what));
        let mut reading = reading.clone();
        for name in holes_of_mut(&mut reading.what) {
            *name = own_name(name, date);
        }
        renamed.push((i + 1, reading));
    }
    let holes: Vec<(usize, LaidHole)> = (0..dates.len())
        .flat_map(|date| {
            let of_date = layout.holes.iter().filter(|h| read[date].contains(&h.name.as_str())).cloned();
            of_date.map(|h| (date, LaidHole { name: own_name(&h.name, date), ..h })).collect::<Vec<_>>()
        })
        .collect();
    let laid: Vec<&LaidHole> = holes.iter().map(|(_, h)| h).collect();
    let readings: Vec<(usize, &Reading)> = renamed.iter().map(|(n, r)| (*n, r)).collect();
    let model = Model::new(&laid, HolePrior::none(2 * laid.len()), &job.proof.instruments, &readings, false);
    let together =
        Together { adjusted: Adjusted::fitted(Prior::None, model, job.grid.pitch), holes, pitch: job.grid.pitch };
    let mut spans: Vec<[usize; 2]> = (1..dates.len()).map(|to| [to - 1, to]).collect();
    if dates.len() > 2 {
        spans.push([0, dates.len() - 1]);
    }
    let drifts = spans.into_iter().map(|span| together.drift(span, &dates)).collect();
    let of_date = |(date, readings): (usize, Vec<usize>)| OnDate {
        date: dates[date].clone(),
        readings,
        square: together.square_on(date),
    };
    Some(OverTime { dates: on.into_iter().enumerate().map(of_date).collect(), drifts, undated })
}

/// 2026-05-16.
fn is_date(text: &str) -> bool {
    let form = |(i, b): (usize, u8)| if i == 4 || i == 7 { b == b'-' } else { b.is_ascii_digit() };
    text.len() == 10 && text.bytes().enumerate().all(form)
}

/// All dates in one adjustment.
struct Together {
    adjusted: Adjusted,
    /// Holes with their dates, in the model's order.
    holes: Vec<(usize, LaidHole)>,
    pitch: [f64; 2],
}

impl Together {
    /// The lattice of some holes of a date; `None` if they lie on one line.
    fn lattice(&self, date: usize, takes: impl Fn(&LaidHole) -> bool) -> Option<Lattice> {
        let cells: Vec<(usize, [f64; 2])> = self
            .holes
            .iter()
            .enumerate()
            .filter(|(_, (of, hole))| *of == date && takes(hole))
            .filter_map(|(i, (_, hole))| hole.cell.map(|c| (i, [f64::from(c.column), f64::from(c.row)])))
            .collect();
        Lattice::of(&cells, self.pitch)
    }

    fn square_on(&self, date: usize) -> Option<Estimate> {
        let lattice = self.lattice(date, |_| true)?;
        self.told(&|places| lattice.square(places))
    }

    fn drift(&self, [from, to]: [usize; 2], dates: &[String]) -> Drift {
        let on = |date: usize, hole: &LaidHole| self.holes.iter().any(|(of, h)| *of == date && h.cell == hole.cell);
        let lattices = [(from, to), (to, from)].map(|(date, other)| self.lattice(date, |h| on(other, h)));
        let holes = self.holes.iter().filter(|(date, h)| *date == from && h.cell.is_some() && on(to, h)).count();
        let mut drift =
            Drift { from: dates[from].clone(), to: dates[to].clone(), holes, square: None, pitch: [None; 2] };
        if let [Some(before), Some(after)] = lattices {
            drift.square = self.told(&|places| difference(before.square(places), after.square(places)));
            drift.pitch =
                [0, 1].map(|k| self.told(&|places| difference(before.pitch(places, k), after.pitch(places, k))));
        }
        drift
    }

    /// A figure where the readings fix it.
    fn told(&self, figure: &dyn Fn(&[P]) -> Figure) -> Option<Estimate> {
        let nominal: Vec<P> = self.adjusted.model.holes.iter().map(|h| h.nominal).collect();
        let settled = self.adjusted.fit.outcome == Outcome::Converged;
        (settled && self.adjusted.is_fixed(&figure(&nominal)))
            .then(|| self.adjusted.estimate(&figure(&self.adjusted.places())))
    }
}

fn difference(before: Figure, after: Figure) -> Figure {
    let gradient = before.gradient.into_iter().map(|(i, v)| (i, -v)).chain(after.gradient).collect();
    Figure { value: after.value - before.value, gradient }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::top::lay_out;

    const TOP: &str = "holefast = 1\nname = \"Bench\"\nunits = \"mm\"\n[top]\nlength = 700\nwidth = 500\nthickness = 18\n\
        material = \"birch plywood\"\n[grid]\npitch = 96\nhole = 20\npilot = 4\nrows = 4\ncolumns = 6\nedge = 40\n\
        origin = \"centred\"\n[accuracy]\nsquare = 0.25\n\
        [[instrument]]\nname = \"caliper\"\nreads = [\"distance\"]\nu = 0.05\n\
        [[instrument]]\nname = \"tape\"\nreads = [\"distance\"]\nu = 0.05\nscale = 0.5\n";

    /// Both long diagonals, two sides, of a top that leans and is strained so, mm per m.
    fn read(date: &str, with: &str, square: f64, strain: [f64; 2], sides: bool) -> String {
        let mut out = String::new();
        let lean =
            |x: f64, y: f64| [x * (1.0 + strain[0] / 1000.0) - square / 1000.0 * y, y * (1.0 + strain[1] / 1000.0)];
        let mut pairs = vec![("A1", "D6", 480.0, 288.0), ("A6", "D1", -480.0, 288.0)];
        if sides {
            pairs.extend([
                ("A1", "A6", 480.0, 0.0),
                ("D1", "D6", 480.0, 0.0),
                ("A1", "D1", 0.0, 288.0),
                ("A6", "D6", 0.0, 288.0),
            ]);
        }
        for (a, b, x, y) in pairs {
            let [x, y] = lean(x, y);
            let value = (x * x + y * y).sqrt();
            out += &format!(
                "[[reading]]\nkind = \"distance\"\nbetween = [\"{a}\", \"{b}\"]\nwith = \"{with}\"\nvalue = {value}\n"
            );
            if !date.is_empty() {
                out += &format!("date = {date}\n");
            }
        }
        out
    }

    fn told(readings: &str) -> Option<OverTime> {
        let parsed = crate::job::parse(&format!("{TOP}{readings}"));
        let job = parsed.job.unwrap_or_else(|| panic!("{:?}", parsed.faults));
        over_time(&job, &lay_out(&job).unwrap())
    }

    #[test]
    fn what_square_did_between_two_dates() {
        let later = read("2026-11-20", "caliper", -0.1, [0.0; 2], false);
        let sooner = read("2026-05-16", "caliper", 0.2, [0.0; 2], false);
        let all = told(&format!("{later}{sooner}")).unwrap();
        assert_eq!(all.dates.iter().map(|d| d.date.as_str()).collect::<Vec<_>>(), ["2026-05-16", "2026-11-20"]);
        let [drift] = &all.drifts[..] else { panic!("{all:?}") };
        let square = drift.square.unwrap();
        assert_eq!((drift.from.as_str(), drift.holes), ("2026-05-16", 4));
        assert!((square.value + 0.3).abs() < 1e-3, "{square:?}");
        // Two proofs that have nothing in common.
        let [a, b] = [0, 1].map(|k| all.dates[k].square.unwrap().u);
        assert!((square.u / (a * a + b * b).sqrt() - 1.0).abs() < 1e-3, "{square:?} {a} {b}");
        // Sides are not read, so pitch is free.
        assert_eq!(drift.pitch, [None, None]);
    }

    #[test]
    fn warmth_and_damp_change_scale_and_leave_square_alone() {
        let all = told(&format!(
            "{}{}",
            read("2026-05-16", "caliper", 0.2, [0.0; 2], true),
            read("2026-08-01", "caliper", 0.2, [0.4, 0.1], true)
        ))
        .unwrap();
        let drift = &all.drifts[0];
        assert!(drift.square.unwrap().value.abs() < 1e-3, "{drift:?}");
        for (pitch, wanted) in drift.pitch.iter().zip([0.4, 0.1]) {
            assert!((pitch.unwrap().value - wanted).abs() < 1e-3, "{drift:?}");
        }
    }

    #[test]
    fn the_same_tape_s_scale_falls_out_of_the_difference() {
        let all = told(&format!(
            "{}{}{}",
            read("2026-05-16", "tape", 0.0, [0.0; 2], true),
            read("2026-08-01", "tape", 0.0, [0.3, 0.3], true),
            read("", "tape", 0.0, [0.0; 2], false)
        ))
        .unwrap();
        let x = all.drifts[0].pitch[0].unwrap();
        // Either pitch alone is off by the tape's scale, 0.5; their difference is not.
        assert!((x.value - 0.3).abs() < 2e-3 && x.u < 0.2, "{x:?}");
        assert_eq!(all.undated, [13, 14]);
    }

    #[test]
    fn one_date_is_not_compared_and_three_are_from_the_first_too() {
        assert_eq!(told(&read("2026-05-16", "caliper", 0.2, [0.0; 2], false)), None);
        let three: String =
            ["2026-05-16", "2026-06-16", "2026-07-16"].map(|d| read(d, "caliper", 0.1, [0.0; 2], false)).concat();
        let spans: Vec<[String; 2]> = told(&three).unwrap().drifts.into_iter().map(|d| [d.from, d.to]).collect();
        assert_eq!(spans, [["2026-05-16", "2026-06-16"], ["2026-06-16", "2026-07-16"], ["2026-05-16", "2026-07-16"]]);
    }
}
