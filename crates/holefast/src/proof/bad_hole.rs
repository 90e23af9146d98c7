//! The set of readings that finds a bad hole and names it: a straightedge along every row and column
//! with a feeler at every hole between, or, without one, short distances along rows and columns.
//!
//! Readings chosen for square visit each hole once and cannot name it. What the set would find is worked
//! out as for any proof, with every reading at its nominal value: the shift of a hole, in the direction
//! that is seen worst, that its test would find with the power of all tests here.

use super::adjusted::{Adjusted, with_system};
use super::chance::shift_found;
use super::plausible::looked_at;
use super::statistics::{Limits, POWER, Tests};
use crate::fault::Fault;
use crate::job::Job;
use crate::predict::HoleCovariance;
use crate::reading::{Instrument, Prior, Reading, ReadingKind, Taken, What};
use crate::top::{Cell, LaidHole, Layout};

/// Distances of the set without a straightedge span so many pitches.
const SPAN: u32 = 3;

/// One line of the set.
#[derive(Clone, Debug, PartialEq)]
pub struct SetLine {
    /// First and last hole of the row or column.
    pub line: [String; 2],
    /// Holes whose offset is read, or pairs whose distance is.
    pub read: Vec<Vec<String>>,
}

/// The set.
#[derive(Clone, Debug, PartialEq)]
pub struct BadHoleSet {
    /// Offsets or distances.
    pub kind: ReadingKind,
    /// The instrument.
    pub with: String,
    /// Line by line, rows first.
    pub lines: Vec<SetLine>,
    /// Number of readings.
    pub readings: usize,
    /// Minutes, where the instrument says.
    pub minutes: Option<f64>,
    /// How far out a hole must be to be found 8 times in 10, mm: the middle hole, and the worst.
    pub found: Option<[f64; 2]>,
    /// Holes that the set does not see both ways.
    pub not_seen: Vec<String>,
}

impl BadHoleSet {
    /// Its readings, each at its nominal value.
    pub fn readings_at_nominal(&self, layout: &Layout) -> Vec<Reading> {
        let of =
            |line: &SetLine| line.read.iter().map(|holes| reading(layout, &self.with, line, holes)).collect::<Vec<_>>();
        self.lines.iter().flat_map(of).collect()
    }
}

/// The set for this top and these instruments; readings in the job count too.
///
/// Errors: as [`super::next`]; no instrument that reads offsets or short distances.
pub fn bad_hole(job: &Job, layout: &Layout, prediction: Option<&HoleCovariance>) -> Result<BadHoleSet, Vec<Fault>> {
    looked_at(job, layout)?;
    let Some((instrument, kind)) = chosen(job, layout) else {
        let fault = Fault::input("no instrument reads offsets, nor distances of three pitches");
        return Err(vec![
            fault.hint("a straightedge and a feeler will do: [[instrument]] with reads = [\"offset\"] and u = 0.03"),
        ]);
    };
    let lines = lines(layout, kind);
    let added: Vec<Reading> = lines
        .iter()
        .flat_map(|line| line.read.iter().map(|holes| reading(layout, &instrument.name, line, holes)))
        .collect();
    if added.is_empty() {
        let fault = Fault::impossible("no row or column of this top is long enough to look along");
        return Err(vec![fault.hint("measure the sides and both diagonals instead")]);
    }
    let prior = match job.proof.prior {
        None | Some(Prior::None) => Prior::Scatter,
        Some(prior) => prior,
    };
    let all: Vec<(usize, &Reading)> =
        job.proof.readings.iter().chain(&added).enumerate().map(|(i, r)| (i + 1, r)).collect();
    let adjusted = Adjusted::of(job, layout, prior, prediction, &all)?;
    let limits = Limits::of(adjusted.model.points.len());
    let (mut found, mut not_seen) = (Vec::new(), Vec::new());
    with_system(&adjusted.model, |system| {
        let tests = Tests::new(system, &adjusted.fit);
        for (hole, known) in adjusted.model.holes.iter().enumerate() {
            match tests.seen(hole) {
                Some((worst, 2)) => found.push((shift_found(limits.level, 2, POWER) / worst).sqrt()),
                _ => not_seen.push(known.name.clone()),
            }
        }
    });
    found.sort_by(f64::total_cmp);
    Ok(BadHoleSet {
        kind,
        with: instrument.name.clone(),
        readings: added.len(),
        minutes: instrument.minutes.map(|m| m * added.len() as f64),
        found: found.last().map(|worst| [found[found.len() / 2], *worst]),
        lines,
        not_seen,
    })
}

/// The instrument for it: one that reads offsets, else the best for short distances.
fn chosen<'j>(job: &'j Job, layout: &Layout) -> Option<(&'j Instrument, ReadingKind)> {
    let finest = |kind: ReadingKind, fits: &dyn Fn(&Instrument) -> bool| {
        let able = job.proof.instruments.iter().filter(|i| i.reads.contains(&kind) && fits(i));
        able.min_by(|a, b| a.u.total_cmp(&b.u)).map(|i| (i, kind))
    };
    let short = layout.pitch.map(|p| p * f64::from(SPAN));
    let takes = |i: &Instrument| i.range.is_none_or(|[least, most]| short.iter().all(|s| (least..=most).contains(s)));
    finest(ReadingKind::Offset, &|_| true).or_else(|| finest(ReadingKind::Distance, &takes))
}

/// Rows, then columns, with what is read along each.
fn lines(layout: &Layout, kind: ReadingKind) -> Vec<SetLine> {
    let along = |key: &dyn Fn(Cell) -> (u32, u32)| {
        let mut cells: Vec<((u32, u32), &LaidHole)> =
            layout.holes.iter().filter_map(|h| Some((key(h.cell?), h))).collect();
        cells.sort_by_key(|(key, _)| *key);
        let lines: Vec<SetLine> = cells.chunk_by(|a, b| a.0.0 == b.0.0).filter_map(|l| line(l, kind)).collect();
        lines
    };
    let mut all = along(&|c| (c.row, c.column));
    all.extend(along(&|c| (c.column, c.row)));
    all
}

fn line(cells: &[((u32, u32), &LaidHole)], kind: ReadingKind) -> Option<SetLine> {
    let (first, last) = (cells.first()?, cells.last()?);
    let read: Vec<Vec<String>> = if kind == ReadingKind::Offset {
        cells[1..cells.len() - 1].iter().map(|(_, h)| vec![h.name.clone()]).collect()
    } else {
        cells
            .iter()
            .filter_map(|(key, h)| {
                let (_, other) = cells.iter().find(|(k, _)| k.1 == key.1 + SPAN)?;
                Some(vec![h.name.clone(), other.name.clone()])
            })
            .collect()
    };
    (!read.is_empty()).then(|| SetLine { line: [first.1.name.clone(), last.1.name.clone()], read })
}

/// A reading of the set at its nominal value.
fn reading(layout: &Layout, with: &str, line: &SetLine, holes: &[String]) -> Reading {
    let at = |name: &str| layout.holes.iter().find(|h| h.name == name).map_or([0.0; 2], |h| [h.centre.x, h.centre.y]);
    let what = match holes {
        [a, b] => What::Distance {
            between: [a.clone(), b.clone()],
            value: super::geometry::distance(at(a), at(b)).0,
            taken: Taken::CENTRES,
        },
        _ => What::Offset { of: holes[0].clone(), from: line.line.clone(), value: 0.0 },
    };
    Reading {
        what,
        with: Some(with.to_owned()),
        with_span: None,
        u: None,
        date: None,
        sure: false,
        span: None,
        value_span: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::proof::{ProofAsk, Who, prove};
    use crate::top::lay_out;

    fn job(more: &str) -> Job {
        let text = format!(
            "holefast = 1\nname = \"Bench\"\nunits = \"mm\"\n[top]\nlength = 700\nwidth = 500\nthickness = 18\n\
             material = \"birch plywood\"\n[grid]\npitch = 96\nhole = 20\npilot = 4\nrows = 4\ncolumns = 6\nedge = 40\n\
             origin = \"centred\"\n[accuracy]\nsquare = 0.25\n[proof]\nprior = {{ hole = 0.05, square = 0.1, pitch = 0.05 }}\n{more}"
        );
        let parsed = crate::job::parse(&text);
        parsed.job.unwrap_or_else(|| panic!("{:?}", parsed.faults))
    }

    const STRAIGHTEDGE: &str =
        "[[instrument]]\nname = \"straightedge\"\nreads = [\"offset\"]\nu = 0.03\nminutes = 0.5\n";

    #[test]
    fn a_hole_farther_out_than_promised_is_named() {
        let job = job(STRAIGHTEDGE);
        let layout = lay_out(&job).unwrap();
        let set = bad_hole(&job, &layout, None).unwrap();
        // 4 rows with 4 holes between their ends, 6 columns with 2.
        assert_eq!((set.readings, set.lines.len(), set.minutes), (28, 10, Some(14.0)));
        let [_, worst] = set.found.unwrap();
        assert!(set.not_seen.is_empty() && (0.1..1.0).contains(&worst), "{set:?}");
        // C3 out by 1.5 times the worst, along y: every offset as it would be read, without noise.
        let out = 1.5 * worst;
        let mut bored = job.clone();
        for line in &set.lines {
            for holes in &line.read {
                let mut one = reading(&layout, "straightedge", line, holes);
                if let What::Offset { of, from, value } = &mut one.what {
                    let along_row = from[0].chars().next() == from[1].chars().next();
                    // Left of a row is +y; C3 is no end of a line.
                    *value = if of == "C3" && along_row { out } else { 0.0 };
                }
                bored.proof.readings.push(one);
            }
        }
        let proof = prove(&bored, &layout, &ProofAsk::default()).unwrap();
        let first = &proof.suspects[0];
        let named = match &first.who {
            Who::Hole { name, .. } => name == "C3",
            Who::Reading { words, .. } => words.starts_with("C3 ") && first.alike.contains(&"hole C3".to_owned()),
        };
        assert!(proof.check_first && named, "{:?}", proof.suspects);
    }

    #[test]
    fn without_a_straightedge_short_distances_serve_and_without_either_it_is_refused() {
        let caliper = "[[instrument]]\nname = \"caliper\"\nreads = [\"distance\"]\nu = 0.025\nrange = [50, 300]\n";
        let job_of = job(caliper);
        let set = bad_hole(&job_of, &lay_out(&job_of).unwrap(), None).unwrap();
        assert_eq!((set.kind, set.readings), (ReadingKind::Distance, 4 * 3 + 6));
        let tape = job("[[instrument]]\nname = \"rod\"\nreads = [\"distance\"]\nu = 0.05\nrange = [500, 3000]\n");
        let faults = bad_hole(&tape, &lay_out(&tape).unwrap(), None).unwrap_err();
        assert_eq!(faults[0].message, "no instrument reads offsets, nor distances of three pitches");
    }
}
