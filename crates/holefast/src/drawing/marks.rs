//! The signs that all views share: sheet, keep-outs, holes in every state, pins and dogs, names at
//! the sides, dimensions.

use kurbo::Rect;

use super::hatch;
use super::labels::{CAP, Label, Taken, Try};
use super::scene::{Anchor, At, Item, Role, Scene, Shape};
use super::state::{Existing, HoleState};
use super::style::size;
use crate::job::Job;
use crate::top::{KeepOut, Layout, Point, Side, row_letters};
use crate::words;

/// Bounding box of the top, mm.
pub fn sheet(job: &Job) -> Rect {
    let mut all = Rect::new(0.0, 0.0, job.top.length, job.top.width);
    for p in &job.top.outline {
        all = all.union_pt(*p);
    }
    all
}

/// The work's surface, under everything else.
pub fn surface(scene: &mut Scene, job: &Job) {
    scene.polygon(Role::Work, &job.top.outline);
}

/// Outline, reference edge, reference corner.
pub fn outline(scene: &mut Scene, job: &Job) {
    scene.polygon(Role::Outline, &job.top.outline);
    let on_edge: Vec<f64> = job.top.outline.iter().filter(|p| p.y.abs() < 1e-6).map(|p| p.x).collect();
    let from = on_edge.iter().copied().fold(f64::INFINITY, f64::min);
    let to = on_edge.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if from < to {
        scene.line(Role::ReferenceEdge, Point::new(from, 0.0), Point::new(to, 0.0));
    }
    let corner = At::on(Point::new(0.0, 0.0));
    scene.put(
        Role::ReferenceCorner,
        Shape::Path {
            points: vec![corner, corner.shifted(size::CORNER, 0.0), corner.shifted(0.0, size::CORNER)],
            closed: true,
        },
    );
}

/// Hatching and edges of all keep-outs.
pub fn keep_outs(scene: &mut Scene, keep_outs: &[KeepOut]) {
    let view = scene.view;
    for keep_out in keep_outs {
        let corners = hatch::corners(&keep_out.shape);
        for [a, b] in hatch::lines(&corners, view.clip, size::HATCH * view.ratio) {
            scene.line(Role::Hatching, a, b);
        }
        let role = if keep_out.side == Side::Below { Role::KeepOutBelow } else { Role::KeepOutAbove };
        scene.polygon(role, &corners);
    }
}

/// One hole that exists.
pub fn existing(scene: &mut Scene, hole: &Existing) {
    let centre = At::on(hole.centre);
    match hole.state {
        HoleState::Pilot => scene.put(
            Role::Pilot,
            Shape::Circle { centre, radius_mm: 0.5 * hole.diameter, least_paper_mm: 0.5 * size::PILOT },
        ),
        HoleState::Opened => scene.put(
            Role::Opened,
            Shape::Circle { centre, radius_mm: 0.5 * hole.diameter, least_paper_mm: 0.5 * size::HOLE },
        ),
        HoleState::Helper => helper(scene, centre),
    }
}

/// The cross of a helper pilot.
pub fn helper(scene: &mut Scene, centre: At) {
    let h = 0.5 * size::HELPER;
    for (dx, dy) in [(h, 0.0), (0.0, h)] {
        scene.put(
            Role::Helper,
            Shape::Path { points: vec![centre.shifted(-dx, -dy), centre.shifted(dx, dy)], closed: false },
        );
    }
}

/// A wanted hole.
pub fn wanted(scene: &mut Scene, centre: Point, diameter: f64) {
    scene.put(
        Role::HoleWanted,
        Shape::Circle { centre: At::on(centre), radius_mm: 0.5 * diameter, least_paper_mm: 0.5 * size::HOLE },
    );
}

/// Diameter of the ring round what is bored now, mm of paper: as large as the pitch allows.
pub fn ring_diameter(scene: &Scene, pitch: [f64; 2]) -> f64 {
    (0.62 * scene.view.paper(pitch[0].min(pitch[1]))).clamp(size::RING[0], size::RING[1])
}

/// Ring and dot of a hole that is bored now; the sign lies on cleared ground.
pub fn bore_now(scene: &mut Scene, centre: Point, ring: f64) {
    let centre = At::on(centre);
    let circle = |d: f64| Shape::Circle { centre, radius_mm: 0.0, least_paper_mm: 0.5 * d };
    scene.put_free(Role::Clearing, circle(2.0 * size::PILOT));
    scene.put_free(Role::BoreDot, circle(1.1 * size::PILOT));
    scene.put_free(Role::BoreNow, circle(ring));
}

/// Only the ring, where another sign stands in it.
pub fn ring_only(scene: &mut Scene, centre: Point, ring: f64) {
    scene.put_free(Role::BoreNow, Shape::Circle { centre: At::on(centre), radius_mm: 0.0, least_paper_mm: 0.5 * ring });
}

/// A pin (or gauge) in use.
pub fn pin(scene: &mut Scene, centre: Point, role: Role) {
    scene.put_free(role, Shape::Square { centre: At::on(centre), side_paper_mm: size::PIN });
}

/// A dog in use.
pub fn dog(scene: &mut Scene, centre: Point) {
    scene
        .put_free(Role::Dog, Shape::Circle { centre: At::on(centre), radius_mm: 0.0, least_paper_mm: 0.5 * size::DOG });
}

/// The pilot bit in its sleeve: a ring with the bit's point in it.
pub fn sleeve(scene: &mut Scene, centre: Point) {
    let circle = |d: f64| Shape::Circle { centre: At::on(centre), radius_mm: 0.0, least_paper_mm: 0.5 * d };
    scene.put_free(Role::Sleeve, circle(size::SLEEVE));
    scene.put_free(Role::BoreDot, circle(0.6 * size::PILOT));
}

/// A pad that presses, crossed; with its arm, if it is known from where it reaches.
pub fn pad(scene: &mut Scene, at: At, from: Option<Point>) {
    if let Some(from) = from {
        scene.put(Role::Held, Shape::Path { points: vec![At::on(from), at], closed: false });
    }
    let least = 0.5 * size::PAD;
    scene.put(Role::Held, Shape::Circle { centre: at, radius_mm: 0.0, least_paper_mm: least });
    let d = least * std::f64::consts::FRAC_1_SQRT_2;
    for (dx, dy) in [(d, d), (d, -d)] {
        scene.put(Role::Held, Shape::Path { points: vec![at.shifted(-dx, -dy), at.shifted(dx, dy)], closed: false });
    }
}

/// Where a pad is drawn: at its place, but so far from a sign of this radius (mm of paper) at
/// `beside` that neither hides the other.
pub fn pad_beside(scene: &Scene, pad: Point, beside: Option<(Point, f64)>) -> At {
    let at = At::on(pad);
    let Some((sign, radius)) = beside else { return at };
    let away = pad - sign;
    let there = scene.view.paper(away.hypot2().sqrt());
    let wanted = radius + 0.5 * size::PAD + size::HALO;
    if there >= wanted || there == 0.0 {
        return at;
    }
    let more = (wanted - there) / there;
    at.shifted(more * scene.view.paper(away.x), more * scene.view.paper(away.y))
}

/// A spoiled hole that is plugged: struck out.
pub fn plugged(scene: &mut Scene, centre: Point, diameter: f64) {
    let at = At::on(centre);
    let least = 0.5 * size::CONFLICT;
    scene.put(Role::Plugged, Shape::Circle { centre: at, radius_mm: 0.5 * diameter, least_paper_mm: least });
    let d = 0.71 * scene.view.paper(0.5 * diameter).max(least) + 0.5;
    scene.put(Role::Plugged, Shape::Path { points: vec![at.shifted(-d, 0.0), at.shifted(d, 0.0)], closed: false });
}

/// Row letters at the left of the sheet, column numbers below it, where the view shows those sides
/// and the place is free.
pub fn row_names(scene: &mut Scene, taken: &mut Taken, job: &Job, layout: &Layout) {
    let view = scene.view;
    let sheet = sheet(job);
    let left = (view.clip.x0 <= sheet.x0 + 1e-6).then_some(view.clip.x0.min(sheet.x0));
    let below = (view.clip.y0 <= sheet.y0 + 1e-6).then_some(view.clip.y0.min(sheet.y0));
    names_at(scene, taken, layout, left, below);
}

/// The same at the view's own left and lower side, wherever that is.
pub fn names_at_the_sides(scene: &mut Scene, taken: &mut Taken, layout: &Layout) {
    let clip = scene.view.clip;
    names_at(scene, taken, layout, Some(clip.x0), Some(clip.y0));
}

/// Row letters at this x, column numbers at this y, mm of the top, as far as the view shows them.
fn names_at(scene: &mut Scene, taken: &mut Taken, layout: &Layout, left: Option<f64>, below: Option<f64>) {
    let used_row = |r: u32| layout.holes.iter().any(|h| h.cell.is_some_and(|c| c.row == r));
    let used_column = |c: u32| layout.holes.iter().any(|h| h.cell.is_some_and(|k| k.column == c));
    let below_it = [0.0, -1.5 - 0.5 * CAP * size::NOTE];
    let mut put = |at: Point, name: &str, shift: [f64; 2], anchor: Anchor| {
        if scene.view.shows(at) {
            let label = Label { role: Role::RowName, text: name, size: size::NOTE };
            taken.place(scene, label, At::on(at), &[Try { shift, anchor }], true);
        }
    };
    if let Some(x) = left {
        for row in (0..layout.rows).filter(|&r| used_row(r)) {
            put(Point::new(x, layout.place(row as i32, 0).y), &row_letters(row), [-1.6, 0.0], Anchor::End);
        }
    }
    if let Some(y) = below {
        for column in (0..layout.columns).filter(|&c| used_column(c)) {
            let at = Point::new(layout.place(0, column as i32).x, y);
            put(at, &(column + 1).to_string(), below_it, Anchor::Middle);
        }
    }
}

/// Names of keep-outs on leaders above the sheet (below it for those that only reach the lower half).
pub fn keep_out_names(scene: &mut Scene, taken: &mut Taken, job: &Job) {
    let view = scene.view;
    let sheet = sheet(job);
    for keep_out in &job.keep_outs {
        let corners = hatch::corners(&keep_out.shape);
        let top_y = corners.iter().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
        let mid_x = corners.iter().map(|p| p.x).sum::<f64>() / corners.len() as f64;
        let from = Point::new(mid_x, top_y.min(sheet.y1));
        if !view.shows(from) {
            continue;
        }
        let name = words::keep_out_name(keep_out);
        let rise = view.paper((sheet.y1 - from.y).max(0.0));
        let start = At::on(from);
        let tries: Vec<Try> = [0.0, 3.8, 7.6]
            .into_iter()
            .flat_map(|up| {
                let y = rise + 2.8 + 0.5 * CAP * size::NOTE + up;
                [(0.0, Anchor::Middle), (-1.0, Anchor::Start), (1.0, Anchor::End)]
                    .map(|(x, anchor)| Try { shift: [x, y], anchor })
            })
            .collect();
        if taken.place(scene, Label { role: Role::KeepOutName, text: &name, size: size::NOTE }, start, &tries, true) {
            // Up to just under the name, wherever it found its place.
            if let Some(Shape::Text { at, .. }) = scene.items.last().map(|i| i.shape.clone()) {
                let end = start.shifted(0.0, at.shift[1] - 0.7);
                let leader = Item {
                    role: Role::Leader,
                    shape: Shape::Path { points: vec![start, end], closed: false },
                    clipped: false,
                };
                // Under all names, so that it cuts none.
                let under = scene.items.iter().position(|i| matches!(i.shape, Shape::Text { .. })).unwrap_or(0);
                scene.items.insert(under, leader);
            }
        }
    }
}

/// A dimension between two points, its line `away` mm of paper off them (upwards or to the right
/// if positive), along x or along y, with ticks and its figure.
pub fn dimension(scene: &mut Scene, from: Point, to: Point, away: f64, text: &str) {
    let flat = (to.y - from.y).abs() < 1e-9;
    let (dx, dy) = if flat { (0.0, away) } else { (away, 0.0) };
    let (a, b) = (At::on(from).shifted(dx, dy), At::on(to).shifted(dx, dy));
    scene.put_free(Role::Dimension, Shape::Path { points: vec![a, b], closed: false });
    for end in [a, b] {
        let (tx, ty) = if flat { (0.0, 0.9) } else { (0.9, 0.0) };
        scene.put_free(
            Role::Dimension,
            Shape::Path { points: vec![end.shifted(-tx, -ty), end.shifted(tx, ty)], closed: false },
        );
    }
    let middle = At::on(from.midpoint(to)).shifted(dx, dy);
    let (at, anchor) = if flat {
        (middle.shifted(0.0, 0.7), Anchor::Middle)
    } else {
        (middle.shifted(1.2, -0.5 * CAP * size::NOTE), Anchor::Start)
    };
    scene.put_free(
        Role::DimensionText,
        Shape::Text { at, text: text.to_owned(), size_paper_mm: size::NOTE, anchor, turn_deg: 0.0 },
    );
}
