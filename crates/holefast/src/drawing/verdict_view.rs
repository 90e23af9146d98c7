//! Where square lies by the readings, how well that is known, and between which two it is wanted: one
//! line over mm per m.
//!
//! The scene is in mm of paper, 1 : 1; it is a picture of figures, not of the top.

use kurbo::Rect;

use super::scene::{Anchor, At, Margin, Role, Scene, View};
use super::style::size;
use crate::measure::format;
use crate::proof::{Estimate, chance};
use crate::top::Point;
use crate::words;

/// Room for figures below and the figure of what is found above, mm.
const MARGIN: Margin = Margin { left: 1.0, right: 1.0, below: 6.0, above: 6.0 };

/// Height of the box of what is wanted, mm of paper.
const BOX: f64 = 5.0;

/// Half the height of the ends of what is known, mm of paper.
const END: f64 = 1.2;

/// The verdict's figures within `width`, mm; `limit` is what is wanted of square, mm per m.
pub fn verdict_view(square: Estimate, limit: f64, confidence: f64, width: f64) -> Scene {
    let half = chance::two_sided(1.0 - confidence) * square.u;
    let [low, high] = [square.value - half, square.value + half];
    let shown = 1.15 * [limit, low.abs(), high.abs()].into_iter().fold(0.0, f64::max);
    let width = (width - MARGIN.left - MARGIN.right).max(40.0);
    let mut scene = Scene::new(View { clip: Rect::new(0.0, 0.0, width, BOX), ratio: 1.0, margin: MARGIN });
    let x = |value: f64| 0.5 * width * (1.0 + value / shown);
    let corners = [(-limit, 0.0), (limit, 0.0), (limit, BOX), (-limit, BOX)];
    scene.polygon(Role::Bar, &corners.map(|(value, y)| Point::new(x(value), y)));
    scene.line(Role::Dimension, Point::new(0.0, 0.0), Point::new(width, 0.0));
    scene.line(Role::Dimension, Point::new(x(0.0), 0.0), Point::new(x(0.0), BOX));
    let middle = 0.5 * BOX;
    scene.line(Role::BoreNow, Point::new(x(low), middle), Point::new(x(high), middle));
    for end in [low, high] {
        scene.line(Role::BoreNow, Point::new(x(end), middle - END), Point::new(x(end), middle + END));
    }
    scene.line(Role::Outline, Point::new(x(square.value), 0.4), Point::new(x(square.value), BOX - 0.4));
    let decimals = format::decimals_for(half).unwrap_or(2);
    let below = -1.2 - size::NOTE;
    for value in [-limit, 0.0, limit] {
        scene.note(Role::Note, on(x(value), below), Anchor::Middle, &format::number(value, 3));
    }
    let found = format!("{} \u{b1} {}", format::signed(square.value, decimals), format::fixed(half, decimals));
    // Where the figure would stand out beyond the picture it is pulled in.
    let at = x(square.value).clamp(0.15 * width, 0.85 * width);
    scene.note(Role::BoreName, on(at, BOX + 1.6), Anchor::Middle, &found);
    scene.about = words::proof::about_verdict(square, limit, confidence);
    scene
}

fn on(x: f64, y: f64) -> At {
    At::on(Point::new(x, y))
}

#[cfg(test)]
mod tests {
    use super::super::scene::Shape;
    use super::*;

    #[test]
    fn what_is_known_reaches_as_far_as_it_says_and_all_of_it_is_shown() {
        for (value, u) in [(0.1, 0.05), (-0.9, 0.3), (0.0, 0.001)] {
            let scene = verdict_view(Estimate { value, u }, 0.25, 0.95, 80.0);
            let lines: Vec<[f64; 2]> = scene
                .items
                .iter()
                .filter(|i| i.role == Role::BoreNow)
                .filter_map(|i| match &i.shape {
                    Shape::Path { points, .. } => Some([points[0].top.x, points[1].top.x]),
                    _ => None,
                })
                .collect();
            let wanted = scene.items.iter().find_map(|i| match &i.shape {
                Shape::Path { points, .. } if i.role == Role::Bar => Some([points[0].top.x, points[1].top.x]),
                _ => None,
            });
            let [from, to] = wanted.unwrap();
            // The box is twice the limit wide: that gives the scale.
            let per = (to - from) / 0.5;
            let known = lines[0][1] - lines[0][0];
            assert!((known / per - 2.0 * 1.959_964 * u).abs() < 1e-5, "{known} for {u}");
            assert!(lines[0][0] >= 0.0 && lines[0][1] <= scene.view.clip.width(), "{lines:?}");
            assert!(scene.texts().any(|(_, t)| t == "0.25"));
        }
    }
}
