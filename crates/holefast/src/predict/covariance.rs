//! The covariance of opened holes to first order, before any check, as later work takes it: a proof
//! starts from it where the plan was followed, cutting reads lines off it.

use super::linear::Linear;
use super::model::{BarSpec, Model};
use super::tape::Node;

/// Where opened holes may lie, of their centres at the top's face, as the plan places them on the sheet
/// (a shift and turn of the whole grid included).
#[derive(Clone, Debug, PartialEq)]
pub struct HoleCovariance {
    /// Names, in the order of the plan.
    pub names: Vec<String>,
    /// mm², row after row, order x0 y0 x1 y1.
    pub covariance: Vec<f64>,
    /// Bars of the plan: what their own spacing has in common with these places.
    pub bars: Vec<BarSpacing>,
}

/// How far a bar's holes may lie off along it, and what of that is in the places of the holes bored
/// through it. Holes of a bar vary by themselves, one by one.
#[derive(Clone, Debug, PartialEq)]
pub struct BarSpacing {
    /// As cards call it: L1.
    pub name: String,
    /// Nominal places along the bar, mm.
    pub at: Vec<f64>,
    /// Variance of each, mm².
    pub variance: Vec<f64>,
    /// Covariance of each with all the coordinates, mm²: a row for each hole of the bar.
    pub with_holes: Vec<Vec<f64>>,
}

impl Model {
    /// The covariance of all opened holes of the grid: two sweeps through the tape for each hole.
    pub fn hole_covariance(&self) -> HoleCovariance {
        self.covariance_of(super::square::finished(self))
    }

    /// The same of every opened hole, those beside the grid too.
    pub fn dog_covariance(&self) -> HoleCovariance {
        self.covariance_of((0..self.holes.len()).collect())
    }

    /// Of those of these holes that are opened.
    fn covariance_of(&self, holes: Vec<usize>) -> HoleCovariance {
        let linear = Linear::of(self);
        let opened: Vec<_> = holes.into_iter().filter_map(|hole| Some((hole, linear.dogs[hole]?))).collect();
        let nodes: Vec<_> = opened.iter().flat_map(|&(_, pair)| pair).collect();
        let size = nodes.len();
        let mut covariance = vec![0.0; size * size];
        for (row, &node) in nodes.iter().enumerate() {
            let with = linear.tape.covariances_with(&linear.tape.sensitivity(&[(node, 1.0)]));
            for (column, other) in nodes.iter().enumerate().take(row + 1) {
                let value = with[other.index()];
                covariance[row * size + column] = value;
                covariance[column * size + row] = value;
            }
        }
        let bars = self.bars.iter().map(|bar| self.spacing_of(bar, &linear, &nodes)).collect();
        let names = opened.iter().map(|&(hole, _)| self.holes[hole].name.clone()).collect();
        HoleCovariance { names, covariance, bars }
    }

    fn spacing_of(&self, bar: &BarSpec, linear: &Linear, nodes: &[Node]) -> BarSpacing {
        let mut spacing = BarSpacing {
            name: bar.name.clone(),
            at: bar.at.clone(),
            variance: Vec::with_capacity(bar.at.len()),
            with_holes: Vec::with_capacity(bar.at.len()),
        };
        for feature in bar.features.clone() {
            // Rectangular of half-width a: variance a²/3.
            let position = self.features[feature].position;
            spacing.variance.push(position * position / 3.0);
            spacing.with_holes.push(match linear.offsets[feature] {
                Some([along, _]) => {
                    let with = linear.tape.covariances_with(&linear.tape.sensitivity(&[(along, 1.0)]));
                    nodes.iter().map(|node| with[node.index()]).collect()
                }
                None => vec![0.0; nodes.len()],
            });
        }
        spacing
    }
}

#[cfg(test)]
mod tests {
    use crate::plan::{PlanOptions, make_plan};
    use crate::predict::Model;
    use crate::testing::trailer_top;
    use crate::top::lay_out;

    #[test]
    fn its_diagonal_is_the_spread_that_is_printed() {
        let job = crate::job::parse(include_str!("../../../../examples/first-top.toml")).job.unwrap();
        let plan = make_plan(&job, &lay_out(&job).unwrap(), &PlanOptions::default()).unwrap();
        let model = Model::new(job.kit.as_ref().unwrap(), &plan).unwrap();
        let whole = model.hole_covariance();
        let n = 2 * whole.names.len();
        assert_eq!(n, 48);
        // After the best shift and turn, by the projection written out.
        let printed = model.first_order(&[]).unwrap().holes;
        let nominal: Vec<[f64; 2]> = whole
            .names
            .iter()
            .map(|name| model.holes.iter().find(|h| h.name == *name).map(|h| [h.x, h.y]).unwrap())
            .collect();
        let m = [0, 1].map(|k| nominal.iter().map(|p| p[k]).sum::<f64>() / 24.0);
        let inertia: f64 = nominal.iter().map(|p| (p[0] - m[0]) * (p[0] - m[0]) + (p[1] - m[1]) * (p[1] - m[1])).sum();
        let project = |i: usize, j: usize| {
            let b = |k: usize| {
                let [x, y] = [nominal[k / 2][0] - m[0], nominal[k / 2][1] - m[1]];
                [[1.0, 0.0, -y], [0.0, 1.0, x]][k % 2]
            };
            let (a, c) = (b(i), b(j));
            f64::from(u8::from(i == j)) - (a[0] * c[0] + a[1] * c[1]) / 24.0 - a[2] * c[2] / inertia
        };
        assert_eq!(printed.len(), 24);
        for (hole, spread) in printed.iter().enumerate() {
            for (axis, sd) in [spread.sd_x_mm, spread.sd_y_mm].into_iter().enumerate() {
                let row: Vec<f64> = (0..n).map(|j| project(2 * hole + axis, j)).collect();
                let variance: f64 =
                    (0..n).map(|i| row[i] * (0..n).map(|j| whole.covariance[i * n + j] * row[j]).sum::<f64>()).sum();
                assert!((variance.sqrt() / sd - 1.0).abs() < 1e-6, "{} {axis}", whole.names[hole]);
            }
        }
    }

    /// What a bar and the holes have in common, the other way round: the spread of a distance less the
    /// bar's own is that of the tape's one sweep over both.
    #[test]
    fn a_bar_tried_on_the_holes_it_made_spreads_as_the_tape_says() {
        use super::{Linear, Node};
        let job = crate::job::parse(include_str!("../../../../examples/first-top.toml")).job.unwrap();
        let plan = make_plan(&job, &lay_out(&job).unwrap(), &PlanOptions::default()).unwrap();
        let model = Model::new(job.kit.as_ref().unwrap(), &plan).unwrap();
        let whole = model.hole_covariance();
        let linear = Linear::of(&model);
        let names: Vec<&str> = whole.bars.iter().map(|b| b.name.as_str()).collect();
        assert_eq!(names, ["S1", "S2"]);
        // D5 less A1 along 4 and 3 pitches of 5.
        let terms = [("A1", -1.0), ("D5", 1.0)]
            .into_iter()
            .flat_map(|(name, sign)| {
                let hole = model.holes.iter().position(|h| h.name == name).unwrap();
                let [x, y] = linear.dogs[hole].unwrap();
                [(x, 0.8 * sign), (y, 0.6 * sign)]
            })
            .collect::<Vec<(Node, f64)>>();
        for (bar, spec) in whole.bars.iter().zip(&model.bars) {
            let [first, last] = [0, 5].map(|k| linear.offsets[spec.features.start + k]);
            let mut both = terms.clone();
            both.extend(first.map(|pair| (pair[0], 1.0)));
            both.extend(last.map(|pair| (pair[0], -1.0)));
            let mut wanted = linear.tape.variance(&linear.tape.sensitivity(&both));
            wanted += [first, last].iter().filter(|p| p.is_none()).count() as f64 * bar.variance[0];
            let n = 2 * whole.names.len();
            let mut g = vec![0.0; n];
            for (name, sign) in [("A1", -1.0), ("D5", 1.0)] {
                let at = whole.names.iter().position(|n| n == name).unwrap();
                (g[2 * at], g[2 * at + 1]) = (0.8 * sign, 0.6 * sign);
            }
            let holes: f64 =
                (0..n).map(|i| (0..n).map(|j| g[i] * g[j] * whole.covariance[i * n + j]).sum::<f64>()).sum();
            let with = |k: usize| bar.with_holes[k].iter().zip(&g).map(|(c, g)| c * g).sum::<f64>();
            let found = holes + bar.variance[0] + bar.variance[5] - 2.0 * (with(5) - with(0));
            assert!((found / wanted - 1.0).abs() < 1e-9, "{} {found} {wanted}", bar.name);
            assert!((with(5) - with(0)).abs() > 1e-6, "{} made none of it", bar.name);
        }
    }

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
        let variance: f64 = (0..n)
            .flat_map(|i| (0..n).map(move |j| (i, j)))
            .map(|(i, j)| g[i] * g[j] * all.covariance[i * n + j])
            .sum();
        assert!((variance.sqrt() * 1000.0 / sd - 1.0).abs() < 1e-6, "{} {sd}", variance.sqrt() * 1000.0);
    }
}
