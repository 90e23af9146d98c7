//! The top as proved: every hole's deviation as an arrow with its ellipse, exaggerated by a factor
//! that stands on the drawing, and the readings as lines between the holes they were taken on.

use super::labels::Taken;
use super::marks;
use super::scene::{Anchor, At, Margin, Role, Scene, Shape, View};
use super::style::{size, text_width};
use crate::job::Job;
use crate::math;
use crate::proof::{HoleProof, Proof, Who};
use crate::reading::{What, holes_of};
use crate::top::{Layout, Point};
use crate::words;

/// Room round the sheet, mm of paper: row names at the left, the factor and what it means below.
const MARGIN: Margin = Margin { left: 6.5, right: 3.0, below: 12.0, above: 8.5 };
/// The longest arrow or ellipse reaches over this share of a pitch.
const REACH: f64 = 0.45;
/// Corners of a drawn ellipse.
const CORNERS: usize = 24;
/// Length of an arrow's barbs, mm of paper; shorter arrows have none.
const BARB: f64 = 0.9;

/// The proof within `room` (width and height on the paper, mm).
pub fn proof_view(job: &Job, layout: &Layout, proof: &Proof, room: [f64; 2]) -> Scene {
    let view = View::fit(marks::sheet(job), room, MARGIN, 1.0);
    let mut scene = Scene::new(view);
    marks::surface(&mut scene, job);
    marks::outline(&mut scene, job);
    readings(&mut scene, job, layout);
    let mut taken = Taken::default();
    for hole in &layout.holes {
        marks::wanted(&mut scene, hole.centre, hole.diameter);
        let r = (0.5 * view.paper(hole.diameter)).max(0.5 * size::HOLE);
        taken.mark(&view, At::on(hole.centre), [r, r]);
    }
    let pitch = layout.pitch[0].min(layout.pitch[1]);
    let factor = factor(proof, pitch);
    for hole in &proof.holes {
        deviation(&mut scene, hole, factor, view.ratio);
    }
    for suspect in &proof.suspects {
        if let Who::Hole { name, .. } = &suspect.who
            && let Some(hole) = layout.holes.iter().find(|h| h.name == *name)
        {
            let circle = Shape::Circle { centre: At::on(hole.centre), radius_mm: 0.4 * pitch, least_paper_mm: 2.0 };
            scene.put_free(Role::Conflict, circle);
        }
    }
    marks::row_names(&mut scene, &mut taken, job, layout);
    let below = At::on(Point::new(view.clip.x0, view.clip.y0));
    // In one line where it has room, else in two.
    let note = words::proof::factor_note(factor);
    let fits = size::NOTE * text_width(&note, false) <= view.width() - MARGIN.left;
    let parts: Vec<&str> = if fits { vec![&note] } else { note.split_inclusive("; ").map(str::trim_end).collect() };
    for (line, text) in parts.into_iter().enumerate() {
        let at = below.shifted(0.0, -8.0 - 1.3 * size::NOTE * line as f64);
        scene.note(Role::Note, at, Anchor::Start, text);
    }
    scene.about = words::proof::about(proof, factor);
    scene
}

/// A round factor at which the longest arrow reaches over its share of a pitch.
fn factor(proof: &Proof, pitch: f64) -> f64 {
    let reach = |h: &HoleProof| math::hypot(h.d[0], h.d[1]).max(h.axes[0]);
    let longest = proof.holes.iter().map(reach).filter(|r| r.is_finite()).fold(0.0, f64::max);
    if longest <= 0.0 {
        return 1.0;
    }
    let most = REACH * pitch / longest;
    let mut factor = 1.0;
    'steps: loop {
        for step in [2.0, 2.5, 2.0] {
            if factor * step > most || factor > 1e6 {
                break 'steps;
            }
            factor *= step;
        }
    }
    factor
}

fn deviation(scene: &mut Scene, hole: &HoleProof, factor: f64, ratio: f64) {
    if !hole.d.iter().chain(&hole.axes).all(|v| v.is_finite()) {
        return;
    }
    let from = Point::new(hole.nominal[0], hole.nominal[1]);
    let tip = Point::new(from.x + factor * hole.d[0], from.y + factor * hole.d[1]);
    let (sin, cos) = math::sin_cos(hole.direction);
    let corners: Vec<Point> = (0..CORNERS)
        .map(|k| {
            let (s, c) = math::sin_cos(std::f64::consts::TAU * k as f64 / CORNERS as f64);
            let (a, b) = (factor * hole.axes[0] * c, factor * hole.axes[1] * s);
            Point::new(tip.x + a * cos - b * sin, tip.y + a * sin + b * cos)
        })
        .collect();
    scene.polygon(if hole.read { Role::Ellipse } else { Role::EllipseUnread }, &corners);
    scene.line(Role::Deviation, from, tip);
    let along = math::hypot(tip.x - from.x, tip.y - from.y) / ratio;
    if along > 2.0 * BARB {
        let unit = [(tip.x - from.x) / (along * ratio), (tip.y - from.y) / (along * ratio)];
        let barb = |side: f64| {
            At::on(tip).shifted(-BARB * (unit[0] + side * 0.5 * unit[1]), -BARB * (unit[1] - side * 0.5 * unit[0]))
        };
        scene.put(Role::Deviation, Shape::Path { points: vec![barb(1.0), At::on(tip), barb(-1.0)], closed: false });
    }
}

/// Lines between the holes of every reading; places of single holes have none.
fn readings(scene: &mut Scene, job: &Job, layout: &Layout) {
    let place = |name: &str| layout.holes.iter().find(|h| h.name == name).map(|h| h.centre);
    for reading in &job.proof.readings {
        let lines: Vec<[&str; 2]> = match &reading.what {
            What::Place { .. } => Vec::new(),
            What::Angle { lines, .. } => lines.iter().map(|[a, b]| [a.as_str(), b.as_str()]).collect(),
            What::FiveCut { fence, rail, .. } | What::TurnOver { fence, rail, .. } => {
                [fence, rail].iter().map(|[a, b]| [a.as_str(), b.as_str()]).collect()
            }
            What::Offset { from, .. } => vec![[from[0].as_str(), from[1].as_str()]],
            what => match holes_of(what)[..] {
                [a, b] => vec![[a, b]],
                _ => Vec::new(),
            },
        };
        for [a, b] in lines {
            if let (Some(a), Some(b)) = (place(a), place(b)) {
                scene.line(Role::Reading, a, b);
            }
        }
    }
}
