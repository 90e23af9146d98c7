//! A prediction: first order and virtual boards together, as data (docs/design/prediction.md 5,
//! docs/design/job-file-and-data.md 4).
//!
//! [`Prediction::to_json`] is the data contract of `holefast predict --json`; text for people is
//! made elsewhere from the same figures.

use serde::Serialize;

use super::checks::{CheckWorth, passing, worth};
use super::climate::ClimateShift;
use super::first_order::HoleSpread;
use super::lines::{LineAsk, resolve};
use super::model::Model;
use super::simulate::{Program, Run, simulate};
use super::square::ON_ONE_LINE;
use super::statistics::{Counts, Sample};
use super::{FirstOrder, Group};
use crate::fault::Fault;
use crate::top::MovementUnknown;

/// Set-ups named as seating worst.
const WORST: usize = 5;

/// What is asked of a prediction.
#[derive(Clone, Debug, PartialEq)]
pub struct Ask {
    /// Virtual boards.
    pub boards: u64,
    /// Seed of their streams.
    pub seed: u64,
    /// False leaves the checks out.
    pub checks: bool,
    /// Lines; none for the first row against the middle column.
    pub lines: Vec<LineAsk>,
    /// Square wanted, mm per m.
    pub square_limit: Option<f64>,
}

/// One predicted quantity. Boards' figures are over passing boards, `None` where there are fewer
/// than two.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// Standard uncertainty to first order; `None` where there is no first-order figure.
    pub first_order_sd: Option<f64>,
    /// Over passing boards.
    pub sample: Option<Sample>,
    /// Standard deviation over all boards.
    pub all_boards_sd: Option<f64>,
    /// Of all figures here.
    pub unit: &'static str,
    /// Why it is not defined, where it is not.
    pub reason: Option<&'static str>,
}

/// Boards that did not seat, boring set-ups only.
#[derive(Clone, Debug, PartialEq)]
pub struct DoesNotSeat {
    /// Share of boards with any such set-up.
    pub boards: f64,
    /// Mean number of such set-ups on a board.
    pub setups_per_board: f64,
    /// Number of the set-up in the plan and share of boards, worst first.
    pub worst: Vec<(u32, f64)>,
}

/// A predicted line.
#[derive(Clone, Debug, PartialEq)]
pub struct LineFigure {
    /// The holes.
    pub line: LineAsk,
    /// The angle between rail and fence less its nominal.
    pub figure: Figure,
}

/// A whole prediction.
#[derive(Clone, Debug, PartialEq)]
pub struct Prediction {
    /// Boards that were made (fewer than asked for if it was stopped).
    pub boards: u64,
    /// Their seed.
    pub seed: u64,
    /// Share of boards that pass every check that counts; `None` without boards.
    pub passed: Option<f64>,
    /// What did not seat; `None` without boards.
    pub does_not_seat: Option<DoesNotSeat>,
    /// Square, mm per m.
    pub square: Figure,
    /// How square is spread over the passing boards, for a picture; `None` without boards.
    pub square_spread: Option<Counts>,
    /// First-order standard deviation of square, mm per m, were every bar of the fill pressed home at
    /// one end ([`Model::square_sd_pressed_home_mm_per_m`]).
    pub square_sd_pressed_home: Option<f64>,
    /// Square wanted, mm per m, and the share of passing boards within it.
    pub within: Option<(f64, Option<f64>)>,
    /// Pitch deviation along x and along y, mm per m.
    pub pitch: [Figure; 2],
    /// Root mean square of the holes' distances from their places, mm. Its first-order figure is
    /// its own size, not a spread.
    pub position_rms: Figure,
    /// Greatest of these distances, mm.
    pub position_max: Figure,
    /// What the climate does between boring and use, where one is stated: all figures but the checks'
    /// and the seats' are of the day of use.
    pub climate: Option<ClimateShift>,
    /// Lines.
    pub lines: Vec<LineFigure>,
    /// Shares of the groups in the first-order variance of square, greatest first.
    pub budget: Vec<(Group, f64)>,
    /// What each check is worth.
    pub checks: Vec<CheckWorth>,
    /// Every opened hole.
    pub holes: Vec<HoleSpread>,
}

/// Predicts a plan. `run` works the blocks of boards out (see [`super::one_after_another`]).
///
/// Errors: a line on a hole that is not opened.
pub fn predict(model: &Model, ask: &Ask, run: &Run<'_>) -> Result<Prediction, Vec<Fault>> {
    let lines = resolve(model, &ask.lines)?;
    let FirstOrder { square_sd, pitch_sd, position_rms, lines_sd, budget, holes } = model.first_order_of(&lines);
    let program = Program::new(model, lines.clone(), ask.seed, ask.checks);
    let block = simulate(&program, ask.boards, run);
    let boards = block.unseated.len();
    let share = |count: usize| count as f64 / boards as f64;

    let passes = passing(model, &block);
    let over_passing =
        |values: &[f64]| -> Vec<f64> { values.iter().zip(&passes).filter(|(_, p)| **p).map(|(v, _)| *v).collect() };
    let figure = |first_order_sd, values: &[f64], unit, reason| Figure {
        first_order_sd,
        sample: Sample::of(&over_passing(values)),
        all_boards_sd: Sample::of(values).map(|s| s.sd),
        unit,
        reason,
    };
    let on_one_line = square_sd.is_none().then_some(ON_ONE_LINE);
    let no_hole = position_rms.is_none().then_some("no hole of the grid is finished");
    let square_of_passing = over_passing(&block.square);
    let within = ask.square_limit.map(|limit| {
        let count = square_of_passing.iter().filter(|s| s.abs() <= limit).count();
        (limit, (!square_of_passing.is_empty()).then(|| count as f64 / square_of_passing.len() as f64))
    });
    let mut worst: Vec<(u32, f64)> = block
        .unseated_in
        .iter()
        .zip(&model.setup_numbers)
        .filter(|(count, _)| **count > 0)
        .map(|(&count, &number)| (number, share(count as usize)))
        .collect();
    worst.sort_by(|a, b| b.1.total_cmp(&a.1));
    worst.truncate(WORST);
    let does_not_seat = (boards > 0).then(|| DoesNotSeat {
        boards: share(block.unseated.iter().filter(|u| **u > 0.0).count()),
        setups_per_board: block.unseated.iter().sum::<f64>() / boards as f64,
        worst,
    });
    Ok(Prediction {
        boards: boards as u64,
        seed: ask.seed,
        passed: (boards > 0).then(|| share(passes.iter().filter(|p| **p).count())),
        does_not_seat,
        square: figure(square_sd, &block.square, "mm/m", on_one_line),
        square_spread: Counts::of(&square_of_passing),
        square_sd_pressed_home: model.square_sd_pressed_home_mm_per_m(),
        within,
        pitch: [0, 1].map(|w| figure(pitch_sd[w], &block.pitch[w], "mm/m", on_one_line)),
        position_rms: figure(position_rms, &block.position_rms, "mm", no_hole),
        position_max: figure(None, &block.position_max, "mm", no_hole),
        climate: model.climate,
        lines: lines
            .into_iter()
            .zip(&lines_sd)
            .enumerate()
            .map(|(i, (line, &sd))| LineFigure {
                line: line.ask,
                figure: figure(Some(sd), block.lines.get(i).map_or(&[][..], |l| l), "mm/m", None),
            })
            .collect(),
        budget,
        checks: worth(model, &block),
        holes,
    })
}

#[derive(Serialize)]
struct PredictionJson<'a> {
    boards: u64,
    seed: u64,
    passed: Option<f64>,
    does_not_seat: Option<DoesNotSeatJson>,
    square: FigureJson,
    pitch_x: FigureJson,
    pitch_y: FigureJson,
    position_rms: FigureJson,
    position_max: FigureJson,
    #[serde(skip_serializing_if = "Option::is_none")]
    climate: Option<ClimateJson>,
    lines: Vec<LineJson<'a>>,
    budget: Vec<BudgetJson>,
    checks: Vec<CheckJson>,
    holes: Vec<HoleJson<'a>>,
}

#[derive(Serialize)]
struct DoesNotSeatJson {
    boards: f64,
    setups_per_board: f64,
    worst: Vec<WorstJson>,
}

#[derive(Serialize)]
struct WorstJson {
    setup: u32,
    share: f64,
}

#[derive(Serialize)]
struct FigureJson {
    first_order_sd: Option<f64>,
    mean: Option<f64>,
    sd: Option<f64>,
    sd_noise: Option<f64>,
    q025: Option<f64>,
    q975: Option<f64>,
    unit: &'static str,
    all_boards_sd: Option<f64>,
    /// Square only: `Some(None)` where no accuracy is wanted.
    #[serde(skip_serializing_if = "Option::is_none")]
    within: Option<Option<WithinJson>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    reason: Option<&'static str>,
}

#[derive(Serialize)]
struct WithinJson {
    limit: f64,
    share: Option<f64>,
}

#[derive(Serialize)]
struct LineJson<'a> {
    fence: &'a [String; 2],
    rail: &'a [String; 2],
    first_order_sd: Option<f64>,
    sd: Option<f64>,
    q025: Option<f64>,
    q975: Option<f64>,
    unit: &'static str,
}

#[derive(Serialize)]
struct ClimateJson {
    boring: AirJson,
    #[serde(rename = "use")]
    use_: AirJson,
    /// Along x and y, positive where holes come to lie farther apart.
    strain_mm_per_m: [f64; 2],
    strain_u_mm_per_m: [f64; 2],
    /// What a line at 45° to the edges turns by.
    greatest_turn_mm_per_m: f64,
    /// Why the sheet's own movement is not in it, where it is not.
    #[serde(skip_serializing_if = "Option::is_none")]
    without_sheet: Option<&'static str>,
}

#[derive(Serialize)]
struct AirJson {
    temperature_c: f64,
    humidity_percent: f64,
}

impl ClimateJson {
    fn of(shift: &ClimateShift) -> ClimateJson {
        let [boring, use_] =
            shift.airs().map(|air| AirJson { temperature_c: air.temperature, humidity_percent: air.humidity });
        ClimateJson {
            boring,
            use_,
            strain_mm_per_m: shift.known,
            strain_u_mm_per_m: shift.uncertainty(),
            greatest_turn_mm_per_m: shift.greatest_turn(),
            without_sheet: shift.without_sheet.map(|why| match why {
                MovementUnknown::TooWet => "how the sheet moves in air so wet is not known",
                MovementUnknown::NoClimate | MovementUnknown::NoMovement => "how the sheet moves is not stated",
            }),
        }
    }
}

#[derive(Serialize)]
struct BudgetJson {
    group: &'static str,
    share: f64,
}

#[derive(Serialize)]
struct CheckJson {
    setup: u32,
    goes: f64,
    square_sd_without: Option<f64>,
    stops: StopsJson,
}

#[derive(Serialize)]
struct StopsJson {
    hole_mm: Option<f64>,
    lean_mm_per_m: Option<f64>,
}

#[derive(Serialize)]
struct HoleJson<'a> {
    name: &'a str,
    sd_x_mm: f64,
    sd_y_mm: f64,
    cov_xy_mm2: f64,
}

impl Figure {
    fn json(&self) -> FigureJson {
        let of = |get: fn(&Sample) -> f64| self.sample.as_ref().map(get);
        FigureJson {
            first_order_sd: self.first_order_sd,
            mean: of(|s| s.mean),
            sd: of(|s| s.sd),
            sd_noise: of(|s| s.sd_noise),
            q025: of(|s| s.q025),
            q975: of(|s| s.q975),
            unit: self.unit,
            all_boards_sd: self.all_boards_sd,
            within: None,
            reason: self.reason,
        }
    }
}

impl Prediction {
    /// Returns the prediction as indented JSON, ending in a newline.
    pub fn to_json(&self) -> String {
        let mut square = self.square.json();
        square.within = Some(self.within.map(|(limit, share)| WithinJson { limit, share }));
        let json = PredictionJson {
            boards: self.boards,
            seed: self.seed,
            passed: self.passed,
            does_not_seat: self.does_not_seat.as_ref().map(|d| DoesNotSeatJson {
                boards: d.boards,
                setups_per_board: d.setups_per_board,
                worst: d.worst.iter().map(|&(setup, share)| WorstJson { setup, share }).collect(),
            }),
            square,
            pitch_x: self.pitch[0].json(),
            pitch_y: self.pitch[1].json(),
            position_rms: self.position_rms.json(),
            position_max: self.position_max.json(),
            climate: self.climate.as_ref().map(ClimateJson::of),
            lines: self
                .lines
                .iter()
                .map(|l| {
                    let FigureJson { first_order_sd, sd, q025, q975, unit, .. } = l.figure.json();
                    LineJson { fence: &l.line.fence, rail: &l.line.rail, first_order_sd, sd, q025, q975, unit }
                })
                .collect(),
            budget: self.budget.iter().map(|&(group, share)| BudgetJson { group: group.name(), share }).collect(),
            checks: self
                .checks
                .iter()
                .map(|c| CheckJson {
                    setup: c.setup,
                    goes: c.goes,
                    square_sd_without: c.square_sd_without,
                    stops: StopsJson { hole_mm: c.stops_hole_mm, lean_mm_per_m: c.stops_lean_mm_per_m },
                })
                .collect(),
            holes: self
                .holes
                .iter()
                .map(|h| HoleJson { name: &h.name, sd_x_mm: h.sd_x_mm, sd_y_mm: h.sd_y_mm, cov_xy_mm2: h.cov_xy_mm2 })
                .collect(),
        };
        // Serializing plain structs of strings and finite numbers cannot fail.
        let mut text = serde_json::to_string_pretty(&json).unwrap_or_default();
        text.push('\n');
        text
    }
}
