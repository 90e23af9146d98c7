//! What a check is worth: how many boards go, what it does for square, and what slip it stops
//! (docs/design/prediction.md 6).
//!
//! A slip is a hole displaced along the line of the check, or a frame column turned about its
//! corner; it is stopped at the least amount, of either sign, at which 95 % of boards fail.

use super::linkage::Linkage;
use super::model::{End, Hold, Locator, Model, Step, dot, turned};
use super::simulate::{Block, CheckBoards, PER_METRE};
use super::statistics::Sample;
use super::walk;
use crate::plan::Stage;

/// Share of boards that a stopped slip fails.
const STOPPED: f64 = 0.95;

/// Slips of linked bars are looked for up to this, mm at the hole: a whole pin's thickness is no
/// slip but a wrong hole.
const GREATEST_SLIP: f64 = 4.0;

/// Halvings of that in the search: to a thousandth of a mm.
const HALVINGS: usize = 12;

/// What one check is worth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CheckWorth {
    /// Number of its set-up in the plan.
    pub setup: u32,
    /// True if it has a gauge and so counts in `passed`.
    pub counts: bool,
    /// Share of all boards that go.
    pub goes: f64,
    /// Standard deviation of square over boards that pass all other checks, mm per m; `None` where
    /// square is not defined or no such board is left.
    pub square_sd_without: Option<f64>,
    /// Least displacement of one of its holes along the line of the check that is stopped, mm.
    pub stops_hole_mm: Option<f64>,
    /// Least turn of one frame column about its corner that is stopped, mm per m; `None` where
    /// turning a column does not move the check.
    pub stops_lean_mm_per_m: Option<f64>,
}

/// Boards that pass all checks that count.
pub(super) fn passing(model: &Model, block: &Block) -> Vec<bool> {
    passing_but(model, block, None)
}

/// Boards that pass all checks that count but those of one set-up.
fn passing_but(model: &Model, block: &Block, but: Option<usize>) -> Vec<bool> {
    let mut passes = vec![true; block.unseated.len()];
    for check in &block.checks {
        let setup = model.steps[check.step].setup;
        if Some(setup) != but && counts(model, setup) {
            passes.iter_mut().zip(&check.goes).for_each(|(p, g)| *p &= g);
        }
    }
    passes
}

/// True if the check has at least one gauge.
fn counts(model: &Model, setup: usize) -> bool {
    model.steps.iter().filter(|s| s.setup == setup).any(|s| model.locators[s.locators.clone()].iter().any(|l| l.gauge))
}

/// The worth of every check, in the order of the plan.
pub(super) fn worth(model: &Model, block: &Block) -> Vec<CheckWorth> {
    let mut worth = Vec::new();
    let mut setups: Vec<usize> = block.checks.iter().map(|c| model.steps[c.step].setup).collect();
    setups.dedup();
    for setup in setups {
        let own: Vec<&CheckBoards> = block.checks.iter().filter(|c| model.steps[c.step].setup == setup).collect();
        let n = block.unseated.len();
        let goes = (0..n).filter(|&i| own.iter().all(|c| c.goes[i])).count();
        let others = passing_but(model, block, Some(setup));
        let square: Vec<f64> = block.square.iter().zip(&others).filter(|(_, p)| **p).map(|(s, _)| *s).collect();
        let least = |slips: Vec<Option<f64>>| slips.into_iter().flatten().min_by(f64::total_cmp);
        let slips: Vec<[Option<f64>; 2]> = own.iter().map(|c| stops(model, c)).collect();
        worth.push(CheckWorth {
            setup: model.setup_numbers[setup],
            counts: counts(model, setup),
            goes: goes as f64 / n.max(1) as f64,
            square_sd_without: Sample::of(&square).map(|s| s.sd),
            stops_hole_mm: least(slips.iter().map(|s| s[0]).collect()),
            stops_lean_mm_per_m: least(slips.iter().map(|s| s[1]).collect()).map(|l| l * PER_METRE),
        });
    }
    worth
}

/// Least displacement of a hole, mm, and least turn of a frame column, rad, that a step stops.
fn stops(model: &Model, check: &CheckBoards) -> [Option<f64>; 2] {
    let step = &model.steps[check.step];
    let locators = &model.locators[step.locators.clone()];
    match &step.hold {
        Hold::ByHand => [None, None],
        Hold::TwoPins(two) => {
            let Some(slip) = least_shift(&check.misfits) else { return [None, None] };
            // A column's turn shifts the misfit by so many mm per rad.
            let lean = frame_columns(model, locators)
                .into_iter()
                .map(|turned_by| dot(two.along, turned_by[1]) - dot(two.along, turned_by[0]))
                .map(f64::abs)
                .fold(0.0, f64::max);
            [Some(slip), (lean > 1.0).then(|| slip / lean)]
        }
        Hold::Linkage(linkage) => {
            if !linkage.is_over_determined() || check.linked.is_empty() {
                return [None, None];
            }
            let reach = |moves: &[[f64; 2]]| moves.iter().map(|m| dot(*m, *m).sqrt()).fold(0.0, f64::max);
            let least = |slips: Vec<Vec<[f64; 2]>>| {
                slips.iter().filter_map(|moves| least_linked(linkage, check, moves)).min_by(f64::total_cmp)
            };
            let holes = (0..locators.len()).filter(|&k| !matches!(locators[k].end, End::Feature { .. }));
            let hole = least(
                holes
                    .map(|k| {
                        let mut moves = vec![[0.0; 2]; locators.len()];
                        moves[k] = line_of(model, step, &locators[k]);
                        moves
                    })
                    .collect(),
            );
            let columns = frame_columns(model, locators);
            let lean = columns
                .into_iter()
                .filter_map(|moves| {
                    let reach = reach(&moves);
                    // Sought in mm at the hole furthest from the corner.
                    let unit: Vec<[f64; 2]> = moves.iter().map(|m| [m[0] / reach, m[1] / reach]).collect();
                    if reach > 1.0 { least_linked(linkage, check, &unit).map(|slip| slip / reach) } else { None }
                })
                .min_by(f64::total_cmp);
            [hole, lean]
        }
    }
}

/// Direction of the template's own line in the top's frame.
fn line_of(model: &Model, step: &Step, locator: &Locator) -> [f64; 2] {
    let m = &model.lays[step.lays.start + locator.lay].top_from_template;
    [m[0][0], m[1][0]]
}

/// For every column that a check's holes stand in: how each of them moves, mm per rad, when the
/// column turns about its corner, the hole of it that the datum row has (or that was bored first).
fn frame_columns(model: &Model, locators: &[Locator]) -> Vec<Vec<[f64; 2]>> {
    let hole_of = |l: &Locator| match l.end {
        End::Pilot(hole) | End::Dog(hole) => Some(hole),
        End::Feature { .. } => None,
    };
    let column_of = |hole: usize| model.holes[hole].column;
    let mut columns: Vec<i32> = locators.iter().filter_map(|l| column_of(hole_of(l)?)).collect();
    columns.sort_unstable();
    columns.dedup();
    columns
        .into_iter()
        .filter_map(|column| {
            let corner = model
                .holes
                .iter()
                .filter(|h| h.column == Some(column))
                .filter_map(|h| h.pilot_in.map(|(step, stage)| ((stage != Stage::DatumRow, step), h)))
                .min_by_key(|(when, _)| *when)
                .map(|(_, h)| h)?;
            let moves = locators.iter().map(|l| match hole_of(l) {
                Some(hole) if column_of(hole) == Some(column) => {
                    turned([model.holes[hole].x - corner.x, model.holes[hole].y - corner.y])
                }
                _ => [0.0; 2],
            });
            Some(moves.collect())
        })
        .collect()
}

/// Least |d| at which the boards with |misfit + d| beyond their limit are the stopped share;
/// `None` without boards.
fn least_shift(misfits: &[[f64; 2]]) -> Option<f64> {
    if misfits.is_empty() {
        return None;
    }
    let n = misfits.len();
    let allowed = n - (STOPPED * n as f64).ceil() as usize;
    [1.0, -1.0]
        .into_iter()
        .map(|sign| {
            // A board goes while −limit − g ≤ d ≤ limit − g: it comes in at one end and leaves at
            // the other, and we want the first d from nil on with few enough inside.
            let mut ends: Vec<(f64, bool)> = Vec::with_capacity(2 * n);
            let mut inside = 0;
            for &[g, limit] in misfits {
                let g = sign * g;
                let (enters, leaves) = (-limit - g, limit - g);
                if enters <= 0.0 && leaves >= 0.0 {
                    inside += 1;
                }
                if enters > 0.0 {
                    ends.push((enters, true));
                }
                if leaves >= 0.0 {
                    ends.push((leaves, false));
                }
            }
            ends.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
            if inside <= allowed {
                return 0.0;
            }
            for (d, enters) in ends {
                if enters {
                    inside += 1;
                } else {
                    inside -= 1;
                }
                if inside <= allowed {
                    return d;
                }
            }
            f64::INFINITY
        })
        .min_by(f64::total_cmp)
}

/// Least |d| at which `d` times these moves of the located holes fail the stopped share of boards;
/// `None` if `GREATEST_SLIP` does not.
fn least_linked(linkage: &Linkage, check: &CheckBoards, moves: &[[f64; 2]]) -> Option<f64> {
    let fails = |d: f64| {
        let failing = check.linked.iter().filter(|(misfit, clearances)| {
            // A hole moved on is a misfit moved back.
            let moved: Vec<f64> = misfit.iter().zip(moves.iter().flatten()).map(|(off, m)| off - d * m).collect();
            !walk::seats(linkage, &moved, clearances)
        });
        failing.count() as f64 >= STOPPED * check.linked.len() as f64
    };
    [1.0, -1.0]
        .into_iter()
        .filter_map(|sign| {
            if !fails(sign * GREATEST_SLIP) {
                return None;
            }
            let (mut goes, mut stopped) = (0.0, GREATEST_SLIP);
            for _ in 0..HALVINGS {
                let middle = 0.5 * (goes + stopped);
                if fails(sign * middle) { stopped = middle } else { goes = middle }
            }
            Some(stopped)
        })
        .min_by(f64::total_cmp)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_check_of_known_spread_stops_what_it_must() {
        // By hand: misfits even over ±0.1, limit 0.2. Shifted by d, a board goes while g ≤ 0.2 − d:
        // 5 % are left at g ≤ −0.09, so d = 0.29.
        let boards: Vec<[f64; 2]> = (0..10_000).map(|i| [f64::from(i) / 5e4 - 0.1, 0.2]).collect();
        let d = least_shift(&boards).unwrap();
        assert!((d - 0.29).abs() < 1e-3, "{d}");
        // What nearly all fail already needs no slip.
        let hopeless: Vec<[f64; 2]> = boards.iter().map(|b| [b[0] + 5.0, b[1]]).collect();
        assert_eq!(least_shift(&hopeless), Some(0.0));
    }
}
