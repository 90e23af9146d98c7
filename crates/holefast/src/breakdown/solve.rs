//! From a problem to its answer: bounds, search, exact looks where the size allows, and what is then
//! known of better answers.

use super::bound::{least_stock, most_on};
use super::limited::{Limited, look};
use super::search::{Aim, Ground, Search, State};
use super::tree::{Id, Plan, Tree};
use super::unlimited::{Table, Valued};
use super::{Breakdown, Effort, Problem, Progress, Proof, Watch, build};

/// Rounds between two looks at whether to go on.
const PULSE: u64 = 256;

/// Share of the rounds kept for what is left over, once all parts are cut.
const FOR_OFFCUTS: f64 = 0.4;

/// Rounds before the exact look.
const BEFORE_EXACT: u64 = 10_000;

/// Values up to this sum are whole in the exact tables.
const MOST_VALUE: u64 = 1 << 30;

/// Breaks stock down so that all parts are cut from as little of it as is found, and what is left
/// over is in few large pieces. Where the stock does not suffice, as much area as possible is cut.
pub fn solve(problem: &Problem, effort: Effort, watch: Watch<'_>) -> Breakdown {
    let ground = Ground::new(problem, false);
    let all_stock: f64 = problem.stock.iter().map(|s| f64::from(s.quantity) * s.area()).sum();
    let bound = least_stock(problem);
    let mut search = Search::new(&ground, effort.seed, Aim::Cut { most_stock: all_stock }, ground.nothing());
    let mut whole: Option<State> = None;
    let mut rounds = 0;
    let mut going = true;
    let for_offcuts = (effort.rounds as f64 * FOR_OFFCUTS) as u64;
    while going && rounds < effort.rounds - for_offcuts {
        if search.best_cost <= 0.0 {
            let area = search.best.stock_area;
            whole = Some(search.best.clone());
            if area <= bound * (1.0 + 1e-9) {
                break;
            }
            search.aim_at(Aim::Cut { most_stock: area * (1.0 - 1e-9) });
            continue;
        }
        search.round();
        rounds += 1;
        if rounds.is_multiple_of(PULSE) {
            going = watch(progress(&ground, whole.as_ref().unwrap_or(&search.best), rounds));
        }
    }
    if search.best_cost <= 0.0 {
        whole = Some(search.best.clone());
    }
    let proof = match &whole {
        Some(state) if state.stock_area <= bound * (1.0 + 1e-9) || state.stock_area == 0.0 => Proof::Best,
        Some(state) => Proof::Within(state.stock_area / bound - 1.0),
        None => {
            let missing = ground.missing(&search.best);
            let cut = ground.missing(&ground.nothing()) - missing;
            Proof::Within(if cut > 0.0 { missing / cut } else { f64::INFINITY })
        }
    };
    let mut best = match whole {
        Some(state) => state,
        None => return answer(problem, search.best, proof, rounds),
    };
    let aim = Aim::Offcuts { most_stock: best.stock_area * (1.0 + 1e-9) };
    let mut search = Search::new(&ground, effort.seed ^ 1, aim, best.clone());
    let until = effort.rounds.min(rounds + for_offcuts);
    while going && rounds < until {
        search.round();
        rounds += 1;
        if rounds.is_multiple_of(PULSE) {
            going = watch(progress(&ground, &search.best, rounds));
        }
    }
    if ground.missing(&search.best) <= 0.0 {
        best = search.best;
    }
    answer(problem, best, proof, rounds)
}

/// Cuts as much value as is found from all the stock there is; parts may be left.
pub fn most_value(problem: &Problem, effort: Effort, watch: Watch<'_>) -> Breakdown {
    let ground = Ground::new(problem, true);
    let all: u64 =
        problem.parts.iter().map(|p| u64::from(p.quantity).saturating_mul(p.worth())).fold(0, u64::saturating_add);
    let one_sheet = problem.stock.iter().map(|s| u64::from(s.quantity)).sum::<u64>() == 1;
    let mut most = all;
    if let (true, Some(sheet)) = (one_sheet && problem.stages.is_none(), OneSheet::new(problem)) {
        most = most.min(u64::from(sheet.table.best(sheet.room)));
        if let Some(state) = sheet.unlimited(&ground) {
            return answer(problem, state, Proof::Best, 0);
        }
    } else if let Some(value) = most_of_all(problem) {
        most = most.min(value);
    }
    let aim = Aim::Cut { most_stock: f64::INFINITY };
    let mut search = Search::new(&ground, effort.seed, aim, ground.nothing());
    let mut rounds = 0;
    let mut going = true;
    let value = |state: &State| value_of(problem, state);
    let mut run = |search: &mut Search<'_, '_>, until: u64, most: u64, going: &mut bool, watch: Watch<'_>| {
        while *going && rounds < until && value(&search.best) < most {
            search.round();
            rounds += 1;
            if rounds.is_multiple_of(PULSE) {
                *going = watch(progress(&ground, &search.best, rounds));
            }
        }
        rounds
    };
    // a good answer makes the exact look quick; where it does not come to an end the search goes on
    let mut done = run(&mut search, effort.rounds.min(BEFORE_EXACT), most, &mut going, watch);
    let mut exact = None;
    if going
        && one_sheet
        && value(&search.best) < most
        && let Some(sheet) = OneSheet::new(problem)
    {
        let known = value(&search.best);
        let told = progress(&ground, &search.best, done);
        if let Some(found) = sheet.limited(known, &mut || watch(told)) {
            let better = found.better.as_ref().map_or(known, |(value, _)| *value);
            if found.proved {
                most = better;
            }
            // in as many stages as it takes: only where that is free
            if let (Some((_, plan)), None) = (found.better, problem.stages) {
                exact = Some(sheet.state(&ground, &plan));
            }
        }
    }
    if exact.as_ref().is_none_or(|state| value(state) < most) {
        done = run(&mut search, effort.rounds, most, &mut going, watch);
    }
    let best = match exact {
        Some(state) if value(&state) > value(&search.best) => state,
        _ => search.best,
    };
    let rounds = done;
    let reached = value(&best);
    let proof = if reached >= most { Proof::Best } else { Proof::Within(most as f64 / reached.max(1) as f64 - 1.0) };
    answer(problem, best, proof, rounds)
}

fn value_of(problem: &Problem, state: &State) -> u64 {
    let cut = problem.parts.iter().zip(&state.left).map(|(p, &left)| u64::from(p.quantity - left) * p.worth());
    cut.fold(0, u64::saturating_add)
}

fn progress(ground: &Ground<'_>, state: &State, rounds: u64) -> Progress {
    let all = state.left.iter().all(|&n| n == 0);
    Progress { rounds, stock_area: all.then_some(state.stock_area), value: value_of(ground.problem, state) }
}

fn answer(problem: &Problem, state: State, proof: Proof, rounds: u64) -> Breakdown {
    let mut sheets: Vec<_> =
        state.slots.iter().filter(|s| s.open).map(|s| build::sheet(problem, s.stock, &s.tree)).collect();
    sheets.sort_by_key(|sheet| sheet.stock);
    let value = value_of(problem, &state);
    Breakdown { sheets, left: state.left, stock_area: state.stock_area, value, proof, rounds }
}

/// The most value that all stock together can carry.
fn most_of_all(problem: &Problem) -> Option<u64> {
    let values = whole_values(problem)?;
    let mut most = 0u64;
    for stock in &problem.stock {
        most = most.saturating_add(u64::from(stock.quantity) * u64::from(most_on(problem, stock, &values)?));
    }
    Some(most)
}

fn whole_values(problem: &Problem) -> Option<Vec<u32>> {
    let values: Option<Vec<u32>> = problem.parts.iter().map(|p| u32::try_from(p.worth()).ok()).collect();
    values.filter(|v| v.iter().all(|&value| u64::from(value) <= MOST_VALUE))
}

/// The only sheet, for the exact methods.
struct OneSheet<'p> {
    problem: &'p Problem,
    stock: usize,
    room: [super::Size; 2],
    /// Tags are places in these lists.
    ways: Vec<Valued>,
    lies: Vec<(u32, bool)>,
    table: Table,
}

impl<'p> OneSheet<'p> {
    fn new(problem: &'p Problem) -> Option<OneSheet<'p>> {
        let values = whole_values(problem)?;
        let stock = problem.stock.iter().position(|s| s.quantity == 1)?;
        let kind = &problem.stock[stock];
        let room = kind.room().map(|side| side + kind.kerf);
        let (mut ways, mut lies) = (Vec::new(), Vec::new());
        for (i, part) in problem.parts.iter().enumerate().filter(|(_, p)| p.quantity > 0) {
            for (turned, size) in part.ways(kind) {
                let tag = ways.len() as u32;
                ways.push(Valued { size: size.map(|s| s + kind.kerf), value: values[i], tag });
                lies.push((i as u32, turned));
            }
        }
        let table = Table::new(&ways, room)?;
        Some(OneSheet { problem, stock, room, ways, lies, table })
    }

    fn state(&self, ground: &Ground<'_>, plan: &Plan) -> State {
        let mut tree = Tree::new(self.room, true);
        let root: Id = tree.root;
        tree.lay(root, plan, &self.lies);
        ground.one_sheet(self.stock, tree)
    }

    /// The best pattern without limits, if it keeps the limits.
    fn unlimited(&self, ground: &Ground<'_>) -> Option<State> {
        let plan = self.table.plan(self.room)?;
        let mut count = vec![0u32; self.problem.parts.len()];
        self.count(&plan, &mut count);
        let kept = count.iter().zip(&self.problem.parts).all(|(&n, p)| n <= p.quantity);
        kept.then(|| self.state(ground, &plan))
    }

    fn count(&self, plan: &Plan, count: &mut [u32]) {
        match &plan.what {
            super::tree::Planned::Part(tag) => count[self.lies[*tag as usize].0 as usize] += 1,
            super::tree::Planned::Beside(_, both) => both.iter().for_each(|plan| self.count(plan, count)),
        }
    }

    fn limited(&self, known: u64, pulse: &mut dyn FnMut() -> bool) -> Option<super::limited::Found> {
        let part_of: Vec<u32> = self.lies.iter().map(|l| l.0).collect();
        let quantity: Vec<u32> = self.problem.parts.iter().map(|p| p.quantity).collect();
        look(&Limited { ways: &self.ways, part_of: &part_of, quantity: &quantity, room: self.room }, known, pulse)
    }
}
