//! How square is foretold to be spread: a row of columns over mm per m, from virtual boards or, to first
//! order, from the normal distribution; between which two the wanted part lies, and what is wanted.
//!
//! The scene is in mm of paper, 1 : 1; it is a picture of figures, not of the top.

use kurbo::Rect;

use super::scene::{Anchor, At, Margin, Role, Scene, View};
use super::style::size;
use crate::math;
use crate::predict::Prediction;
use crate::top::Point;
use crate::words;
use crate::words::expected::{shares_within, square_within};

/// Room for figures below and words above, mm.
const MARGIN: Margin = Margin { left: 1.0, right: 1.0, below: 8.0, above: 9.0 };

/// Columns where there are no boards to count: enough to show a curve.
const COLUMNS: usize = 41;

/// Without boards the picture reaches so many standard deviations either way.
const REACH: f64 = 3.5;

/// The picture shows what is wanted where that is not farther out than so many times its own reach:
/// beyond that the spread would be a needle.
const FARTHEST_WANTED: f64 = 2.0;

/// The spread within `room` (width and height on the paper, mm); `None` where square is not defined.
pub fn spread_view(prediction: &Prediction, confidence: f64, room: [f64; 2]) -> Option<Scene> {
    let within = square_within(prediction, confidence)?;
    let (reach, heights) = columns(prediction)?;
    let wanted = prediction.within.map(|(limit, _)| limit).filter(|l| *l <= FARTHEST_WANTED * reach);
    let shown = [reach, 1.15 * within, 1.15 * wanted.unwrap_or(0.0)].into_iter().fold(0.0, f64::max);
    let size_of = |axis: usize, taken: f64| (room[axis] - taken).max(10.0);
    let (width, height) = (size_of(0, MARGIN.left + MARGIN.right), size_of(1, MARGIN.below + MARGIN.above));
    let mut scene = Scene::new(View { clip: Rect::new(0.0, 0.0, width, height), ratio: 1.0, margin: MARGIN });
    let x = |value: f64| 0.5 * width * (1.0 + value / shown);

    let highest = heights.iter().copied().fold(0.0, f64::max);
    let mut outline = vec![Point::new(x(-reach), 0.0)];
    let step = 2.0 * reach / heights.len() as f64;
    for (i, part) in heights.iter().enumerate() {
        let y = 0.94 * height * part / highest;
        let left = -reach + step * i as f64;
        outline.extend([Point::new(x(left), y), Point::new(x(left + step), y)]);
    }
    outline.push(Point::new(x(reach), 0.0));
    scene.polygon(Role::Bar, &outline);
    scene.line(Role::Outline, Point::new(0.0, 0.0), Point::new(width, 0.0));
    scene.line(Role::Dimension, Point::new(x(0.0), 0.0), Point::new(x(0.0), height));

    let below = -1.2 - size::NOTE;
    scene.note(Role::Note, on(x(0.0), below), Anchor::Middle, "0");
    for side in [-1.0, 1.0] {
        let at = x(side * within);
        scene.line(Role::BoreNow, Point::new(at, 0.0), Point::new(at, height));
    }
    let figure = words::per_metre(within);
    scene.note(Role::BoreName, on(x(within), below), Anchor::Middle, &format!("±\u{a0}{figure}"));
    let said = shares_within(confidence);
    scene.note(Role::BoreName, on(x(0.0), height + 1.6), Anchor::Middle, &said);
    if let Some(limit) = wanted {
        for side in [-1.0, 1.0] {
            let at = x(side * limit);
            scene.line(Role::Leader, Point::new(at, 0.0), Point::new(at, height));
        }
        // Beside the figure of what is foretold there is no room for a second one on the same line.
        scene.note(Role::Note, on(x(-limit), height + 5.2), Anchor::Start, words::expected::WANTED);
    }
    scene.about = words::expected::about_spread(prediction, confidence);
    Some(scene)
}

/// How far the columns reach either way, mm per m, and how high they are.
fn columns(prediction: &Prediction) -> Option<(f64, Vec<f64>)> {
    if let Some(counted) = &prediction.square_spread {
        return Some((counted.reach, counted.counts.iter().map(|&n| n as f64).collect()));
    }
    let sd = prediction.square.first_order_sd.filter(|sd| *sd > 0.0)?;
    let middle = |i: usize| REACH * ((2 * i + 1) as f64 / COLUMNS as f64 - 1.0);
    Some((REACH * sd, (0..COLUMNS).map(|i| math::exp(-0.5 * middle(i) * middle(i))).collect()))
}

fn on(x: f64, y: f64) -> At {
    At::on(Point::new(x, y))
}

#[cfg(test)]
mod tests {
    use super::super::scene::Shape;
    use super::*;
    use crate::plan::{PlanOptions, make_plan};
    use crate::predict::{Ask, Model, one_after_another, predict};
    use crate::testing::trailer_top;
    use crate::top::lay_out;

    #[test]
    fn the_columns_are_the_boards_and_the_lines_stand_where_the_sentence_says() {
        let job = trailer_top();
        let plan = make_plan(&job, &lay_out(&job).unwrap(), &PlanOptions::default()).unwrap();
        let model = Model::new(job.kit.as_ref().unwrap(), &plan).unwrap();
        for boards in [0, 2048] {
            let ask = Ask { boards, seed: 1, checks: true, lines: Vec::new(), square_limit: Some(0.25) };
            let prediction = predict(&model, &ask, &one_after_another).unwrap();
            let scene = spread_view(&prediction, 0.95, [90.0, 50.0]).unwrap();
            assert!(scene.view.width() <= 90.0 + 1e-9 && scene.view.height() <= 50.0 + 1e-9);
            let within = square_within(&prediction, 0.95).unwrap();
            let figure = words::per_metre(within);
            assert!(scene.texts().any(|(_, t)| t.contains(&figure)), "{figure}");
            let lines: Vec<f64> = scene
                .items
                .iter()
                .filter(|i| i.role == Role::BoreNow)
                .map(|i| match &i.shape {
                    Shape::Path { points, .. } => points[0].top.x - 0.5 * scene.view.clip.width(),
                    _ => f64::NAN,
                })
                .collect();
            let outline = scene.items.iter().find_map(|i| match &i.shape {
                Shape::Path { points, .. } if i.role == Role::Bar => Some(points[0].top.x),
                _ => None,
            });
            // Of the picture's own scale: the row begins at minus its reach.
            let (reach, _) = columns(&prediction).unwrap();
            let per = (0.5 * scene.view.clip.width() - outline.unwrap()) / reach;
            assert!((lines[1] - within * per).abs() < 1e-9 && (lines[0] + lines[1]).abs() < 1e-9, "{lines:?}");
        }
    }
}
