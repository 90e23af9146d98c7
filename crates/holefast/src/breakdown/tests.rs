//! Breakdowns as a whole: every one is judged by `legal`, small ones are compared with all there is.

use super::draws::Draws;
use super::legal::faults_of;
use super::*;

fn part(length: Size, width: Size, quantity: u32, value: Option<u64>) -> Part {
    Part { size: [length, width], quantity, grain: PartGrain::Length, value }
}

fn sheet(length: Size, width: Size, quantity: u32) -> Stock {
    Stock { size: [length, width], quantity, grain: Some(Axis::X), trim: 0, kerf: 0 }
}

fn effort(rounds: u64) -> Effort {
    Effort { rounds, seed: 1 }
}

/// A list of made parts in job units: sides 60 to 700 mm, some with grain.
fn made_list(seed: u64, kinds: usize, most_each: usize) -> Vec<Part> {
    let mut draws = Draws::new(seed);
    let mm = |n: usize| n as Size * 8000;
    let mut side = |least: usize, most: usize| mm(least + draws.below(most - least));
    let sizes: Vec<[Size; 2]> = (0..kinds).map(|_| [side(150, 700), side(60, 400)]).collect();
    let grain = [PartGrain::Any, PartGrain::Length, PartGrain::Any, PartGrain::Width];
    let mut n = || 1 + draws.below(most_each) as u32;
    sizes
        .into_iter()
        .enumerate()
        .map(|(i, size)| Part { size, quantity: n(), grain: grain[i % 4], value: None })
        .collect()
}

fn mm(length: f64) -> Size {
    (length * UNITS_PER_MM) as Size
}

fn workshop_stock() -> Vec<Stock> {
    let stock = |length, width, quantity| Stock {
        size: [mm(length), mm(width)],
        quantity,
        grain: Some(Axis::X),
        trim: mm(5.0),
        kerf: mm(2.2),
    };
    // the 2440 × 1220 of a full sheet, and two sorts of offcuts
    vec![stock(2440.0, 1220.0, 8), stock(1200.0, 600.0, 2), stock(900.0, 400.0, 3)]
}

fn offcuts(found: &Breakdown) -> Vec<[Size; 2]> {
    let pieces = found.sheets.iter().flat_map(|s| s.whole.all());
    pieces.filter(|p| p.made == Made::Offcut).map(|p| p.rect.size).collect()
}

#[test]
fn made_lists_come_out_legal_whatever_is_allowed() {
    for seed in 0..12 {
        for stages in [None, Some(2), Some(3), Some(4)] {
            let mut stock = workshop_stock();
            if seed % 3 == 0 {
                stock[1].grain = Some(Axis::Y);
            }
            if seed % 4 == 0 {
                stock.iter_mut().for_each(|s| (s.kerf, s.trim) = (mm(25.4 / 8.0), 0));
            }
            let problem = Problem { parts: made_list(seed, 12, 6), stock, stages, useful: [mm(300.0), mm(100.0)] };
            let found = solve(&problem, effort(600), &mut |_| true);
            assert_eq!(faults_of(&problem, &found), None, "seed {seed}, stages {stages:?}");
            assert_eq!(found.left.iter().sum::<u32>(), 0, "the stock is more than enough");
        }
    }
}

#[test]
fn no_bound_is_above_what_is_found() {
    for seed in 0..16 {
        let parts = made_list(100 + seed, 3 + seed as usize % 25, 1 + seed as usize % 12);
        let mut stock = workshop_stock();
        stock[0].quantity = 200;
        stock.truncate(1 + seed as usize % 3);
        let problem = Problem { parts, stock, stages: None, useful: [mm(300.0), mm(100.0)] };
        let found = solve(&problem, effort(400), &mut |_| true);
        assert_eq!(faults_of(&problem, &found), None, "seed {seed}");
        let bound = bound::least_stock(&problem);
        assert!(bound <= found.stock_area * (1.0 + 1e-9), "seed {seed}: {bound} above {}", found.stock_area);
        let area: f64 = problem.parts.iter().map(|p| p.worth() as f64 * f64::from(p.quantity)).sum();
        assert!(bound >= area, "seed {seed}: the parts alone are {area}, the bound is {bound}");
    }
}

#[test]
fn more_rounds_need_no_more_stock_and_the_same_rounds_the_same() {
    let problem =
        Problem { parts: made_list(3, 15, 7), stock: workshop_stock(), stages: None, useful: [mm(300.0), mm(100.0)] };
    let few = solve(&problem, effort(50), &mut |_| true);
    let many = solve(&problem, effort(6000), &mut |_| true);
    assert_eq!(many, solve(&problem, effort(6000), &mut |_| true));
    assert!(many.stock_area < few.stock_area, "{} {}", many.stock_area, few.stock_area);
    assert_eq!(faults_of(&problem, &many), None);
}

#[test]
fn a_stop_is_heeded_and_what_was_best_is_the_answer() {
    let problem = Problem { parts: made_list(5, 15, 7), stock: workshop_stock(), stages: None, useful: [1, 1] };
    let mut calls = 0;
    let found = solve(&problem, effort(1_000_000), &mut |progress| {
        calls += 1;
        assert!(progress.rounds <= 1_000_000);
        calls < 3
    });
    assert_eq!(calls, 3);
    assert!(found.rounds < 2000);
    assert_eq!(faults_of(&problem, &found), None);
}

/// The most value from a rectangle by trying every through cut at every whole place; kerf `k`.
fn by_all_cuts(parts: &[Part], left: &[u32], w: Size, h: Size, k: Size) -> u64 {
    type Known = std::collections::BTreeMap<(Size, Size, Vec<u32>), u64>;
    fn look(parts: &[Part], left: &[u32], w: Size, h: Size, k: Size, known: &mut Known) -> u64 {
        if w <= 0 || h <= 0 {
            return 0;
        }
        let key = (w, h, left.to_vec());
        if let Some(&value) = known.get(&key) {
            return value;
        }
        let mut best = 0;
        for (i, p) in parts.iter().enumerate() {
            let fits = |a: Size, b: Size| a <= w && b <= h;
            let turned = p.grain == PartGrain::Any && fits(p.size[1], p.size[0]);
            if left[i] > 0 && (fits(p.size[0], p.size[1]) || turned) {
                best = best.max(p.worth());
            }
        }
        // which parts go to the first piece: every share of what is left
        let mut shares = vec![vec![]];
        for &n in left {
            shares = shares.into_iter().flat_map(|s: Vec<u32>| (0..=n).map(move |m| [&s[..], &[m]].concat())).collect();
        }
        for share in shares.iter().filter(|s| s.iter().any(|&n| n > 0)) {
            let rest: Vec<u32> = left.iter().zip(share).map(|(a, b)| a - b).collect();
            if rest.iter().all(|&n| n == 0) {
                continue;
            }
            for x in 1..w {
                let two = look(parts, share, x, h, k, known) + look(parts, &rest, w - x - k, h, k, known);
                best = best.max(two);
            }
            for y in 1..h {
                let two = look(parts, share, w, y, k, known) + look(parts, &rest, w, h - y - k, k, known);
                best = best.max(two);
            }
        }
        known.insert(key, best);
        best
    }
    look(parts, left, w, h, k, &mut Known::new())
}

#[test]
fn small_sheets_are_cut_as_well_as_by_trying_all() {
    let mut draws = Draws::new(11);
    let mut proved = 0;
    for case in 0..40 {
        let (w, h) = (7 + draws.below(4) as Size, 5 + draws.below(4) as Size);
        let kerf = draws.below(2) as Size;
        let parts: Vec<Part> = (0..3)
            .map(|_| {
                let size = [2 + draws.below(5) as Size, 1 + draws.below(5) as Size];
                let grain = if draws.chance(0.5) { PartGrain::Any } else { PartGrain::Length };
                let value = draws.chance(0.5).then(|| 1 + draws.below(30) as u64);
                Part { size, quantity: 1 + draws.below(2) as u32, grain, value }
            })
            .collect();
        let expected = by_all_cuts(&parts, &parts.iter().map(|p| p.quantity).collect::<Vec<_>>(), w, h, kerf);
        let stock = vec![Stock { kerf, ..sheet(w, h, 1) }];
        let problem = Problem { parts, stock, stages: None, useful: [1, 1] };
        let found = most_value(&problem, effort(2000), &mut |_| true);
        assert_eq!(faults_of(&problem, &found), None, "case {case}");
        assert_eq!(found.value, expected, "case {case}: {problem:?}");
        proved += u32::from(found.proof == Proof::Best);
        // the search alone, without the exact look, may not beat it either
        let searched = solve(&problem, effort(300), &mut |_| true);
        assert_eq!(faults_of(&problem, &searched), None, "case {case}");
    }
    assert_eq!(proved, 40, "all of them are small enough to be proved");
}

#[test]
fn what_cannot_share_a_sheet_is_proved_to_need_one_each() {
    // 60 by 60 on 100 by 100: by area two and a half sheets would do for seven
    let problem =
        Problem { parts: vec![part(60, 60, 7, None)], stock: vec![sheet(100, 100, 9)], stages: None, useful: [1, 1] };
    let found = solve(&problem, effort(500), &mut |_| true);
    assert_eq!((found.sheets.len(), found.proof), (7, Proof::Best));
    // halves by the kerf: 50 and 50 do not go on 100 with a saw that takes 1
    let kerfed = Problem { stock: vec![Stock { kerf: 1, ..sheet(100, 100, 9) }], ..problem.clone() };
    let halves = Problem { parts: vec![part(100, 50, 4, None)], ..kerfed };
    let found = solve(&halves, effort(500), &mut |_| true);
    assert_eq!((found.sheets.len(), found.proof), (4, Proof::Best));
    let narrower = Problem { parts: vec![Part { size: [100, 49], ..halves.parts[0].clone() }], ..halves };
    let found = solve(&narrower, effort(500), &mut |_| true);
    assert_eq!((found.sheets.len(), found.proof), (2, Proof::Best));
}

#[test]
fn the_offcut_that_suffices_is_taken_before_the_sheet() {
    let stock = vec![sheet(1000, 500, 3), sheet(320, 210, 1)];
    let problem = Problem { parts: vec![part(300, 200, 1, None)], stock, stages: None, useful: [50, 50] };
    let found = solve(&problem, effort(500), &mut |_| true);
    assert_eq!(found.sheets.iter().map(|s| s.stock).collect::<Vec<_>>(), [1]);
    assert_eq!(found.proof, Proof::Best);
}

#[test]
fn what_is_left_over_is_one_piece_where_it_can_be() {
    let parts = vec![part(40, 30, 3, None), part(30, 30, 2, None)];
    let problem = Problem { parts, stock: vec![sheet(180, 100, 1)], stages: None, useful: [20, 20] };
    let found = solve(&problem, effort(3000), &mut |_| true);
    assert_eq!(offcuts(&found), [[180, 70]], "the parts fill a strip of 30 by themselves");
}

#[test]
fn grain_is_kept_and_what_has_none_cannot_keep_it() {
    let along = Part { grain: PartGrain::Length, ..part(60, 20, 1, None) };
    let across = Part { grain: PartGrain::Width, ..along.clone() };
    let any = Part { grain: PartGrain::Any, ..along.clone() };
    let lying = |part: &Part, stock: &Stock| part.ways(stock).map(|w| w.0).collect::<Vec<_>>();
    let [x, y] = [Axis::X, Axis::Y].map(|axis| Stock { grain: Some(axis), ..sheet(100, 100, 1) });
    let none = Stock { grain: None, ..x.clone() };
    assert_eq!((lying(&along, &x), lying(&along, &y)), (vec![false], vec![true]));
    assert_eq!((lying(&across, &x), lying(&across, &y)), (vec![true], vec![false]));
    assert_eq!((lying(&any, &x), lying(&any, &none)), (vec![false, true], vec![false, true]));
    assert_eq!(lying(&along, &none), Vec::<bool>::new());
}

#[test]
fn too_little_stock_leaves_parts_and_says_so() {
    let problem = Problem {
        parts: vec![part(60, 60, 3, None), part(200, 10, 1, None)],
        stock: vec![sheet(100, 100, 2)],
        stages: None,
        useful: [1, 1],
    };
    let found = solve(&problem, effort(300), &mut |_| true);
    assert_eq!(found.left, [1, 1]);
    assert_eq!(faults_of(&problem, &found), None);
    let nothing = Problem { parts: Vec::new(), ..problem.clone() };
    assert_eq!(solve(&nothing, effort(10), &mut |_| true).sheets, []);
    let no_stock = Problem { stock: Vec::new(), ..problem };
    assert_eq!(solve(&no_stock, effort(10), &mut |_| true).left, [3, 1]);
    assert_eq!(most_value(&no_stock, effort(10), &mut |_| true).value, 0);
}

#[test]
fn ten_thousand_parts_are_handled() {
    let parts = made_list(9, 100, 199);
    let wanted: u32 = parts.iter().map(|p| p.quantity).sum();
    assert!((8_000..12_000).contains(&wanted), "{wanted}");
    let mut stock = workshop_stock();
    stock[0].quantity = 2000;
    let problem = Problem { parts, stock, stages: None, useful: [mm(300.0), mm(100.0)] };
    let found = solve(&problem, effort(40), &mut |_| true);
    assert_eq!(faults_of(&problem, &found), None);
    assert_eq!(found.left.iter().sum::<u32>(), 0);
}
