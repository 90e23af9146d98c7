//! Simulated cuts on simulated tops: the interval that is told for an angle holds what comes out.

use super::*;
use crate::math;
use crate::plan::{PlanOptions, make_plan};
use crate::predict::{LineAsk, Model, lines_of_boards};
use crate::testing::made::Dice;
use crate::top::lay_out;

/// Boards from the nonlinear virtual boards; on each the dogs fall anywhere within their play and
/// have a thickness of their own within their limits.
#[test]
fn cuts_on_virtual_boards_fall_inside_the_stated_interval() {
    let job = crate::testing::trailer_top_with_rail();
    let layout = lay_out(&job).unwrap();
    let plan = make_plan(&job, &layout, &PlanOptions::default()).unwrap();
    let kit = job.kit.as_ref().unwrap();
    let model = Model::new(kit, &plan).unwrap();
    let places = Places::predicted(&layout, &model);
    let dogs = Dogs::of(&job);
    let boards = 4000;
    for (degrees, seed) in [(90.0, 1), (67.5, 2), (45.0, 3)] {
        let wanted = f64::to_radians(degrees);
        let ask = Search { wanted, tolerance: 0.003, best: 3, width: None, kerf: None, kept: None };
        let found = search(&job, &places, &dogs, &ask);
        for a in &found.arrangements {
            let names = |line: &Line| line.holes.map(|h| places.holes()[h].name.clone());
            let line = LineAsk { fence: names(&a.pair.fence), rail: names(&a.pair.rail) };
            let lines = &lines_of_boards(&model, &[line], boards, seed)[0];
            let mut dice = Dice::new(seed + 100);
            let bit = &kit.opening_bit;
            let mut held = 0;
            for &holes_turn in lines {
                let mut turn = a.pair.fence.sign() * holes_turn / 1000.0;
                for (hole, g) in a.pair.gradient() {
                    let bore = bit.diameter.min
                        + bit.oversize.min
                        + (bit.diameter.width() + bit.oversize.width()) * dice.unit();
                    let dog = kit.dog.diameter.min + kit.dog.diameter.width() * dice.unit();
                    let far = 0.5 * (bore - dog).max(0.0) * dice.unit().sqrt();
                    let (sin, cos) = math::sin_cos(std::f64::consts::TAU * dice.unit());
                    turn += far * (g[0] * cos + g[1] * sin);
                    // thickness: along the normal, half of what it is over the mean
                    let thicker = 0.5 * (dog - kit.dog.diameter.mean());
                    let side =
                        if a.pair.fence.holes.contains(&hole) { a.pair.fence.sign() } else { a.pair.rail.sign() };
                    let face = if a.pair.fence.holes.contains(&hole) { a.pair.fence_face } else { a.pair.rail_face };
                    let n = face.normal();
                    turn += thicker * side * (g[0] * n[0] + g[1] * n[1]);
                }
                held += usize::from(turn.abs() <= 1.959_964 * a.u.unwrap());
            }
            let share = held as f64 / boards as f64;
            assert!((0.93..=0.97).contains(&share), "{degrees}°: {share} of boards within 1.96 u");
        }
    }
}
