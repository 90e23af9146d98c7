//! The covariance of all opened dog holes to first order, as later work takes it: proving starts
//! from it, cutting reads lines off it.

use super::linear::Linear;
use super::model::Model;

/// Where the dog holes of a plan may lie, to first order.
#[derive(Clone, Debug, PartialEq)]
pub struct DogCovariance {
    /// The opened holes by name, in the model's order.
    pub names: Vec<String>,
    /// Row by row, mm², in the order x0 y0 x1 y1 …; of the centres at the top's face, as the plan
    /// places them on the sheet (a shift and turn of the whole grid included).
    pub mm2: Vec<f64>,
}

impl Model {
    /// The covariance of every opened dog hole with every other: two sweeps for each coordinate.
    pub fn dog_covariance(&self) -> DogCovariance {
        let linear = Linear::of(self);
        let opened: Vec<_> = (0..self.holes.len()).filter_map(|i| Some((i, linear.dogs[i]?))).collect();
        let nodes: Vec<_> = opened.iter().flat_map(|&(_, pair)| pair).collect();
        let size = nodes.len();
        let mut mm2 = vec![0.0; size * size];
        for (row, &node) in nodes.iter().enumerate() {
            let with = linear.tape.covariances_with(&linear.tape.sensitivity(&[(node, 1.0)]));
            for (column, other) in nodes.iter().enumerate().take(row + 1) {
                let value = with[other.index()];
                mm2[row * size + column] = value;
                mm2[column * size + row] = value;
            }
        }
        DogCovariance { names: opened.iter().map(|&(i, _)| self.holes[i].name.clone()).collect(), mm2 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{PlanOptions, make_plan};
    use crate::testing::trailer_top;
    use crate::top::lay_out;

    /// The spread of a long line's turn, worked out of the whole covariance, is that of the lines'
    /// own sweep: two ways through the same tape, upright holes.
    #[test]
    fn lines_read_off_the_covariance_are_those_of_the_model() {
        let mut job = trailer_top();
        job.kit.as_mut().unwrap().opening_bit.lean = 0.0;
        let plan = make_plan(&job, &lay_out(&job).unwrap(), &PlanOptions::default()).unwrap();
        let model = Model::new(job.kit.as_ref().unwrap(), &plan).unwrap();
        let ask =
            crate::predict::LineAsk { fence: ["B2", "B13"].map(str::to_owned), rail: ["C4", "G7"].map(str::to_owned) };
        let sd = model.first_order(std::slice::from_ref(&ask)).unwrap().lines_sd[0];
        let all = model.dog_covariance();
        let n = 2 * all.names.len();
        let mut g = vec![0.0; n];
        for (names, sign) in [(&ask.rail, 1.0), (&ask.fence, -1.0)] {
            let at = names.each_ref().map(|name| all.names.iter().position(|n| n == name).unwrap());
            let place = names.each_ref().map(|name| {
                let hole = model.holes.iter().find(|h| h.name == *name).unwrap();
                [hole.x, hole.y]
            });
            let v = [place[1][0] - place[0][0], place[1][1] - place[0][1]];
            let d2 = v[0] * v[0] + v[1] * v[1];
            for (end, way) in [(0, -1.0), (1, 1.0)] {
                g[2 * at[end]] += sign * way * -v[1] / d2;
                g[2 * at[end] + 1] += sign * way * v[0] / d2;
            }
        }
        let variance: f64 =
            (0..n).flat_map(|i| (0..n).map(move |j| (i, j))).map(|(i, j)| g[i] * g[j] * all.mm2[i * n + j]).sum();
        assert!((variance.sqrt() * 1000.0 / sd - 1.0).abs() < 1e-6, "{} {sd}", variance.sqrt() * 1000.0);
    }
}
