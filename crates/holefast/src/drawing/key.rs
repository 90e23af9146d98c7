//! The key: each sign alone, small, as it looks in the drawing.

use kurbo::Rect;

use super::marks;
use super::scene::{At, Margin, Role, Scene, Shape, View};
use super::style::size;
use crate::top::Point;

/// Roles that a key explains, in its order.
const EXPLAINED: [Role; 24] = [
    Role::HoleWanted,
    Role::Pilot,
    Role::Opened,
    Role::Helper,
    Role::BoreNow,
    Role::Pin,
    Role::Gauge,
    Role::Dog,
    Role::Sleeve,
    Role::Held,
    Role::Block,
    Role::Fence,
    Role::GuideRail,
    Role::CutLine,
    Role::Piece,
    Role::Waste,
    Role::Plugged,
    Role::Deviation,
    Role::Ellipse,
    Role::Reading,
    Role::Conflict,
    Role::KeepOutBelow,
    Role::KeepOutAbove,
    Role::ReferenceCorner,
];

/// The signs in use in a scene that need explaining.
pub fn key_of(scene: &Scene) -> Vec<Role> {
    let used = scene.roles();
    EXPLAINED.into_iter().filter(|r| used.contains(r)).collect()
}

/// One sign alone, 5 × 4 mm of paper.
pub fn key_sign(role: Role) -> Scene {
    let view = View { clip: Rect::new(0.0, 0.0, 5.0, 4.0), ratio: 1.0, margin: Margin::default() };
    let mut scene = Scene::new(view);
    let middle = Point::new(2.5, 2.0);
    let circle = |least: f64| Shape::Circle { centre: At::on(middle), radius_mm: 0.0, least_paper_mm: least };
    match role {
        Role::Pilot => scene.put(role, circle(0.5 * size::PILOT)),
        Role::Helper => marks::helper(&mut scene, At::on(middle)),
        Role::BoreNow => {
            scene.put(Role::BoreDot, circle(0.5 * size::PILOT));
            scene.put(role, circle(1.5));
        }
        Role::Pin | Role::Gauge => marks::pin(&mut scene, middle, role),
        Role::Dog => marks::dog(&mut scene, middle),
        Role::Sleeve => marks::sleeve(&mut scene, middle),
        Role::Held => marks::pad(&mut scene, At::on(middle), None),
        Role::Plugged => marks::plugged(&mut scene, middle, 0.0),
        Role::Conflict => {
            scene.put(role, circle(1.0));
            scene.line(role, Point::new(1.0, 0.5), Point::new(4.0, 3.5));
        }
        Role::KeepOutBelow | Role::KeepOutAbove => {
            let corners = [(0.4, 0.5), (4.6, 0.5), (4.6, 3.5), (0.4, 3.5)].map(Point::from);
            for [a, b] in super::hatch::lines(&corners, view.clip, 0.6 * size::HATCH) {
                scene.line(Role::Hatching, a, b);
            }
            scene.polygon(role, &corners);
        }
        Role::Deviation => {
            scene.line(role, Point::new(0.8, 0.8), Point::new(4.2, 3.2));
            let barbs = [(3.1, 3.2), (4.2, 3.2), (3.9, 2.1)].map(|(x, y)| At::on(Point::new(x, y)));
            scene.put(role, Shape::Path { points: barbs.to_vec(), closed: false });
        }
        Role::Ellipse => {
            let corners = (0..24).map(|k| {
                let (sin, cos) = crate::math::sin_cos(std::f64::consts::TAU * f64::from(k) / 24.0);
                Point::new(2.5 + 2.1 * cos, 2.0 + 1.3 * sin)
            });
            scene.polygon(role, &corners.collect::<Vec<Point>>());
        }
        Role::Reading => scene.line(role, Point::new(0.3, 0.5), Point::new(4.7, 3.5)),
        Role::Fence | Role::CutLine => scene.line(role, Point::new(0.2, 2.0), Point::new(4.8, 2.0)),
        Role::GuideRail | Role::Piece => {
            scene.polygon(role, &[(0.3, 0.9), (4.7, 0.9), (4.7, 3.1), (0.3, 3.1)].map(Point::from));
        }
        Role::Waste => {
            let corners = [(0.4, 0.5), (4.6, 0.5), (4.6, 3.5), (0.4, 3.5)].map(Point::from);
            for [a, b] in super::hatch::lines(&corners, view.clip, 0.6 * size::HATCH) {
                scene.line(Role::Hatching, a, b);
            }
            scene.polygon(role, &corners);
        }
        Role::ReferenceCorner => scene.polygon(role, &[(1.0, 0.6), (3.8, 0.6), (1.0, 3.4)].map(Point::from)),
        Role::Block => {
            let corners =
                [(0.8, 0.7), (4.2, 0.7), (4.7, 1.2), (4.7, 2.8), (4.2, 3.3), (0.8, 3.3), (0.3, 2.8), (0.3, 1.2)];
            scene.polygon(role, &corners.map(Point::from));
            scene.put(Role::Bush, circle(0.5));
            scene.put(Role::Bush, circle(0.9));
        }
        _ => scene.put(role, circle(0.5 * size::HOLE + 0.2)),
    }
    scene
}
