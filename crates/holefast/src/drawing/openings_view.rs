//! Openings: one drawing for a part of a pass (all openings with the same locators and direction of
//! the block), and the map of both passes.

use super::bars;
use super::labels::{Label, Taken, around};
use super::marks;
use super::scene::{At, Margin, Role, Scene, Shape, View};
use super::state::{HoleState, holes_before};
use super::style::size;
use crate::job::Job;
use crate::plan::{Bit, HoldBy, Place, Plan, With};
use crate::top::{Layout, Point};
use crate::words;

/// Room round the sheet for names, mm of paper.
const MARGIN: Margin = Margin { left: 7.0, right: 4.0, below: 6.5, above: 8.0 };

/// A run of set-ups that are opened alike: the same pass, direction of the block and locators.
#[derive(Clone, Debug, PartialEq)]
pub struct OpeningsPart {
    /// Indices of its set-ups in the plan, in order of work.
    pub setups: Vec<usize>,
    /// Place of its first opening in the order of all openings, from 1.
    pub first: usize,
}

/// The whole top with the part's openings ringed and numbered in their order, the block and its
/// locators drawn at the first of them.
pub fn openings_view(job: &Job, layout: &Layout, plan: &Plan, part: &OpeningsPart, room: [f64; 2]) -> Scene {
    let mut shown = marks::sheet(job);
    for placed in part.setups.first().and_then(|&i| plan.setups.get(i)).into_iter().flat_map(|s| &s.templates) {
        if let Some(template) = plan.template(&placed.id) {
            let body = bars::body(job.kit.as_ref(), template);
            shown = bars::corners(&bars::Pose::of(placed), &body).into_iter().fold(shown, |r, p| r.union_pt(p));
        }
    }
    let view = View::fit(shown, room, MARGIN, 2.0);
    let mut scene = Scene::new(view);
    let mut taken = Taken::default();
    marks::surface(&mut scene, job);
    marks::keep_outs(&mut scene, &job.keep_outs);
    marks::outline(&mut scene, job);
    let Some(&first) = part.setups.first() else { return scene };
    for hole in holes_before(job, layout, plan, first).values() {
        marks::existing(&mut scene, hole);
        let r = (0.5 * view.paper(hole.diameter)).max(0.5 * size::PILOT);
        taken.mark(&view, At::on(hole.centre), [r, r]);
    }
    let setup = &plan.setups[first];
    for placed in &setup.templates {
        if let Some(template) = plan.template(&placed.id) {
            bars::block(&mut scene, job, template, placed);
        }
    }
    let ring = marks::ring_diameter(&scene, job.grid.pitch);
    let mut order = Vec::new();
    for (i, &index) in part.setups.iter().enumerate() {
        for bore in &plan.setups[index].bores {
            if let Some(hole) = plan.hole(&bore.hole) {
                order.push((part.first + i, Point::new(hole.x_mm, hole.y_mm)));
            }
        }
    }
    for &(n, centre) in &order {
        if n == part.first {
            marks::ring_only(&mut scene, centre, ring);
        } else {
            marks::bore_now(&mut scene, centre, ring);
        }
        taken.mark(&view, At::on(centre), [0.5 * ring, 0.5 * ring]);
    }
    for pin in &setup.pins {
        let centre = match &pin.b {
            Place::Hole(name) => plan.hole(name).map(|h| Point::new(h.x_mm, h.y_mm)),
            Place::Feature { .. } => None,
        };
        let Some(centre) = centre else { continue };
        match pin.with {
            With::Pin => marks::pin(&mut scene, centre, Role::Pin),
            With::Gauge(_) => marks::pin(&mut scene, centre, Role::Gauge),
            With::Dog => marks::dog(&mut scene, centre),
            With::Point => marks::sleeve(&mut scene, centre),
        }
        taken.mark(&view, At::on(centre), [0.5 * size::PIN, 0.5 * size::PIN]);
    }
    held(&mut scene, &mut taken, plan, part, ring);
    for (n, centre) in order {
        let text = n.to_string();
        let label = Label { role: Role::Order, text: &text, size: size::NUMBER };
        taken.place(&mut scene, label, At::on(centre), &around(0.5 * ring - 0.4, size::NUMBER), false);
    }
    marks::row_names(&mut scene, &mut taken, job, layout);
    marks::keep_out_names(&mut scene, &mut taken, job);
    scene.about = words::about_openings(plan, part);
    scene
}

/// What holds the block: its pad at the first opening, and the arm of every hold-down from the hole
/// that it stands in.
fn held(scene: &mut Scene, taken: &mut Taken, plan: &Plan, part: &OpeningsPart, ring: f64) {
    let view = scene.view;
    for (n, setup) in part.setups.iter().filter_map(|&i| plan.setups.get(i)).enumerate() {
        for hold in &setup.hold {
            let from = match &hold.by {
                HoldBy::HoldDown(hole) => plan.hole(hole).map(|h| Point::new(h.x_mm, h.y_mm)),
                HoldBy::EdgeClamp | HoldBy::Batten | HoldBy::Tape => None,
            };
            if n > 0 && from.is_none() {
                continue;
            }
            let pad = Point::new(hold.x_mm, hold.y_mm);
            let hole = setup.bores.first().and_then(|b| plan.hole(&b.hole)).map(|h| Point::new(h.x_mm, h.y_mm));
            let at = marks::pad_beside(scene, pad, hole.map(|h| (h, 0.5 * ring)));
            marks::pad(scene, at, from);
            taken.mark(&view, at, [0.5 * size::PAD, 0.5 * size::PAD]);
        }
    }
}

/// Which hole is opened in which pass: first pass thick circles, second thin ones, each with its
/// place in the order of opening.
pub fn openings_map(job: &Job, layout: &Layout, plan: &Plan, room: [f64; 2]) -> Scene {
    let view = View::fit(marks::sheet(job), room, MARGIN, 2.0);
    let mut scene = Scene::new(view);
    let mut taken = Taken::default();
    marks::surface(&mut scene, job);
    marks::keep_outs(&mut scene, &job.keep_outs);
    marks::outline(&mut scene, job);
    for (name, hole) in holes_before(job, layout, plan, plan.setups.len()) {
        if hole.state != HoleState::Opened || !plan.setups.iter().any(|s| !s.done && opens(s, &name)) {
            marks::existing(&mut scene, &hole);
        }
    }
    let mut n = 0;
    let mut numbers = Vec::new();
    let order: Vec<usize> = words::parts(plan).into_iter().flat_map(|p| p.setups).collect();
    for setup in order.into_iter().filter_map(|i| plan.setups.get(i)) {
        for bore in setup.bores.iter().filter(|b| b.bit == Bit::Opening) {
            let Some(hole) = plan.hole(&bore.hole) else { continue };
            n += 1;
            let centre = Point::new(hole.x_mm, hole.y_mm);
            let diameter = layout.holes.iter().find(|h| h.name == hole.name).map_or(job.grid.hole, |h| h.diameter);
            let role = if setup.pass == Some(2) { Role::HoleWanted } else { Role::Opened };
            let least = 0.5 * size::HOLE;
            scene.put(role, Shape::Circle { centre: At::on(centre), radius_mm: 0.5 * diameter, least_paper_mm: least });
            let r = view.paper(0.5 * diameter).max(least);
            taken.mark(&view, At::on(centre), [r, r]);
            numbers.push((n, centre, r));
        }
    }
    for (n, centre, r) in numbers {
        let text = n.to_string();
        let label = Label { role: Role::Order, text: &text, size: size::NUMBER };
        taken.place(&mut scene, label, At::on(centre), &around(r, size::NUMBER), false);
    }
    marks::row_names(&mut scene, &mut taken, job, layout);
    marks::keep_out_names(&mut scene, &mut taken, job);
    scene.about = words::about_map(plan);
    scene
}

fn opens(setup: &crate::plan::Setup, hole: &str) -> bool {
    setup.bores.iter().any(|b| b.bit == Bit::Opening && b.hole == hole)
}
