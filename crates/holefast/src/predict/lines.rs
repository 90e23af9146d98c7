//! Fence line against rail line: two holes each, the angle between them less its nominal, at the
//! height where the dogs are touched (docs/design/prediction.md 5).

use super::model::Model;
use super::square::finished;
use crate::fault::Fault;
use crate::job::Job;

/// A fence line and a rail line to be predicted, each by two holes, in their direction.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LineAsk {
    /// The fence's holes.
    pub fence: [String; 2],
    /// The rail's holes.
    pub rail: [String; 2],
}

/// Its holes by index, fence then rail, and the nominal vectors, mm.
#[derive(Clone, Debug)]
pub(super) struct Line {
    pub(super) ask: LineAsk,
    pub(super) holes: [[usize; 2]; 2],
    pub(super) nominal: [[f64; 2]; 2],
}

/// The lines of a job: every cut with a fixed arrangement; empty if there are none, which leaves
/// the first row against the middle column.
pub fn lines_of(job: &Job) -> Vec<LineAsk> {
    job.cuts
        .iter()
        .filter_map(|cut| {
            let (fence, rail) = (cut.fence.as_ref()?, cut.rail.as_ref()?);
            Some(LineAsk { fence: fence.holes.clone(), rail: rail.holes.clone() })
        })
        .collect()
}

/// Resolves lines; none asked for means the first row against the middle column.
///
/// Errors: a hole that is not a finished dog hole of the plan, or a line of one hole.
pub(super) fn resolve(model: &Model, asked: &[LineAsk]) -> Result<Vec<Line>, Vec<Fault>> {
    let usual;
    let asked = if asked.is_empty() {
        usual = first_row_against_middle_column(model);
        usual.as_slice()
    } else {
        asked
    };
    let mut faults = Vec::new();
    let mut lines = Vec::new();
    for ask in asked {
        let ends = [("fence", &ask.fence), ("rail", &ask.rail)].map(|(what, names)| {
            names.each_ref().map(|name| {
                let found = model.holes.iter().position(|h| h.name == *name && h.opened);
                if found.is_none() {
                    let fault = Fault::input(format!("the {what} stands on {name}, which no set-up opens"));
                    faults.push(fault.hint("choose two finished dog holes of this plan"));
                }
                found.unwrap_or(0)
            })
        });
        let nominal = ends.map(|[a, b]| {
            let (a, b) = (&model.holes[a], &model.holes[b]);
            [b.x - a.x, b.y - a.y]
        });
        if faults.is_empty() && nominal.iter().any(|v| v[0] == 0.0 && v[1] == 0.0) {
            faults.push(Fault::input(format!(
                "the line {} to {} or {} to {} has no length",
                ask.fence[0], ask.fence[1], ask.rail[0], ask.rail[1]
            )));
        }
        lines.push(Line { ask: ask.clone(), holes: ends, nominal });
    }
    if faults.is_empty() { Ok(lines) } else { Err(faults) }
}

/// Empty where no row or no column has two finished holes.
fn first_row_against_middle_column(model: &Model) -> Vec<LineAsk> {
    let mut places: Vec<(i32, i32, usize)> =
        finished(model).into_iter().filter_map(|i| Some((model.holes[i].row?, model.holes[i].column?, i))).collect();
    places.sort_unstable();
    let ends = |holes: Vec<usize>| match holes[..] {
        [first, .., last] => Some([first, last].map(|i| model.holes[i].name.clone())),
        _ => None,
    };
    let row = |r: i32| ends(places.iter().filter(|p| p.0 == r).map(|p| p.2).collect());
    let column = |c: i32| ends(places.iter().filter(|p| p.1 == c).map(|p| p.2).collect());
    let fence = places.iter().find_map(|p| row(p.0));
    let least = places.iter().map(|p| p.1).min().unwrap_or(0);
    let most = places.iter().map(|p| p.1).max().unwrap_or(0);
    let mut columns: Vec<i32> = places.iter().map(|p| p.1).collect();
    columns.sort_unstable();
    columns.dedup();
    columns.sort_by_key(|c| (2 * c - least - most).abs());
    let rail = columns.into_iter().find_map(column);
    match (fence, rail) {
        (Some(fence), Some(rail)) => vec![LineAsk { fence, rail }],
        _ => Vec::new(),
    }
}
