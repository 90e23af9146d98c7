//! First order once more, by the table of every place by every source that the tape never fills:
//! each row added up forward from the plan's first set-up on, covariances as products of rows.
//!
//! Tops of two sizes; the same figures must come out as by sweeps back through the tape.

use super::Group;
use super::by_hand::{Arrangement, common_practice_kit, plan, trailer_kit};
use super::dense::Dense;
use super::linear::Linear;
use super::lines::resolve;
use super::model::Model;
use super::simulate::{PER_METRE, line_factors};
use super::square::Lattice;
use crate::kit::Kit;

/// Rows of the table: by node, over the sources, each in units of its standard deviation.
struct Table {
    rows: Vec<Vec<f64>>,
    groups: Vec<Group>,
}

impl Table {
    fn of(linear: &Linear) -> Table {
        let (rows, groups) = linear.tape.table();
        Table { rows, groups }
    }

    fn combined(&self, terms: &[(usize, f64)]) -> Vec<f64> {
        let mut sum = vec![0.0; self.groups.len()];
        for &(row, factor) in terms {
            sum.iter_mut().zip(&self.rows[row]).for_each(|(s, v)| *s += factor * v);
        }
        sum
    }
}

fn product(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

fn agrees(what: &str, tape: f64, table: f64) {
    assert!((tape / table - 1.0).abs() < 1e-9, "{what}: {tape} by the tape, {table} by the table");
}

fn compare(kit: &Kit, a: Arrangement) {
    let model = Model::new(kit, &plan(kit, a)).unwrap();
    let linear = Linear::of(&model);
    let table = Table::of(&linear);
    let first = model.first_order(&[]).unwrap();
    let node = |hole: usize, axis: usize| linear.dogs[hole].unwrap()[axis].index();
    let of_dogs = |factors: Vec<(usize, [f64; 2])>| {
        let terms: Vec<(usize, f64)> =
            factors.iter().flat_map(|&(hole, f)| [(node(hole, 0), f[0]), (node(hole, 1), f[1])]).collect();
        table.combined(&terms)
    };
    let lattice = Lattice::of(&model).unwrap();
    let square = of_dogs(lattice.square_factors().collect());
    agrees("square", first.square_sd.unwrap(), PER_METRE * product(&square, &square).sqrt());
    assert_eq!(model.square_and_budget(), Some((first.square_sd.unwrap(), first.budget.clone())));
    assert!(first.budget.len() >= 5, "{:?}", first.budget);
    for (group, share) in &first.budget {
        let part: f64 = square.iter().zip(&table.groups).filter(|(_, g)| *g == group).map(|(s, _)| s * s).sum();
        agrees(group.name(), *share, part / product(&square, &square));
    }
    for which in [0, 1] {
        let pitch = of_dogs(lattice.pitch_factors(which).collect());
        agrees("pitch", first.pitch_sd[which].unwrap(), PER_METRE * product(&pitch, &pitch).sqrt());
    }
    let line = &resolve(&model, &[]).unwrap()[0];
    let mut terms = Vec::new();
    for (hole, f) in line_factors(line) {
        for (axis, factor) in f.into_iter().enumerate() {
            terms.push((node(hole, axis), factor));
            terms.push((linear.slopes[hole].unwrap()[axis].index(), factor * model.bits.height));
        }
    }
    let line = table.combined(&terms);
    agrees("line", first.lines_sd[0], PER_METRE * product(&line, &line).sqrt());

    // Places after the best shift and turn: r = d − B (Bᵀ B)⁻¹ Bᵀ d, B not even centred.
    let n = model.holes.len();
    let b = Dense::from_fn(2 * n, 3, |row, column| {
        let hole = &model.holes[row / 2];
        [[1.0, 0.0, -hole.y], [0.0, 1.0, hole.x]][row % 2][column]
    });
    let transposed = b.transposed();
    let fit = transposed.times(&b).inverse(0.0).unwrap().times(&transposed);
    let fitted: Vec<Vec<f64>> = (0..3)
        .map(|i| {
            let terms: Vec<(usize, f64)> = (0..2 * n).map(|row| (node(row / 2, row % 2), fit[(i, row)])).collect();
            table.combined(&terms)
        })
        .collect();
    let mut trace = 0.0;
    for (hole, spread) in first.holes.iter().enumerate() {
        let [x, y] = [0, 1].map(|axis| {
            let mut row = table.rows[node(hole, axis)].clone();
            for (i, own) in fitted.iter().enumerate() {
                row.iter_mut().zip(own).for_each(|(r, f)| *r -= b[(2 * hole + axis, i)] * f);
            }
            row
        });
        let sd = [product(&x, &x).sqrt(), product(&y, &y).sqrt()];
        agrees(&spread.name, spread.sd_x_mm, sd[0]);
        agrees(&spread.name, spread.sd_y_mm, sd[1]);
        assert!((spread.cov_xy_mm2 - product(&x, &y)).abs() < 1e-9 * sd[0] * sd[1], "{}", spread.name);
        trace += product(&x, &x) + product(&y, &y);
    }
    agrees("position", first.position_rms.unwrap(), (trace / n as f64).sqrt());
}

#[test]
fn sweeps_and_the_whole_table_agree() {
    compare(&common_practice_kit(), Arrangement::usual(7, 14, [8, 6, 10]));
    // With lean at the fence's height, turned faces, both bars.
    compare(&trailer_kit(), Arrangement::best(5, 9, [6, 8, 10]));
}
