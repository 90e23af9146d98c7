//! The trial bore in an offcut, step by step: three pilots through a bar, the middle one opened
//! through the block, and what is measured. In the signs of the cards, three times the same offcut.

use kurbo::Rect;

use super::bars::{self, Pose};
use super::labels::{CAP, Label, Taken, Try, below_or_above};
use super::marks;
use super::scene::{Anchor, At, Margin, Role, Scene, Shape, View};
use super::state::{Existing, HoleState};
use super::style::size;
use crate::job::Job;
use crate::plan::{Placed, Plan, Template, TemplateKind};
use crate::top::Point;
use crate::words;

/// Room round the three, mm of paper.
const MARGIN: Margin = Margin { left: 2.0, right: 2.0, below: 2.0, above: 6.0 };

/// Not drawn larger than this, 1 : n.
const LARGEST: f64 = 2.0;

/// Length of the offcut drawn, in reaches of the block: three holes, half a reach beyond the first,
/// and room for the bar's name beyond the last.
const LONG: f64 = 3.6;

/// Between two pictures of the offcut, as a part of its height: room for what is said over it.
const GAP: f64 = 0.5;

/// Between a hole and its measures, mm of paper.
const CLEAR: f64 = 0.5;

/// How far a measure's line stands out over its hole, mm of paper.
const BEYOND: f64 = 2.0;

/// The trial bore within `room` (width and height on the paper, mm); `None` without a kit.
pub fn trial_view(job: &Job, plan: &Plan, room: [f64; 2]) -> Option<Scene> {
    let kit = job.kit.as_ref()?;
    let block = plan.templates.iter().find(|t| t.kind == TemplateKind::Block)?;
    let reach = kit.block.reach[0];
    let half_block = bars::body(job.kit.as_ref(), block).half_width;
    let (long, high) = (LONG * reach, (0.8 * reach).max(2.6 * half_block));
    let step = (1.0 + GAP) * high;
    let whole = Rect::new(0.0, 0.0, long, 2.0 * step + high);
    let mut scene = Scene::new(View::fit(whole, room, MARGIN, LARGEST));
    let mut taken = Taken::default();
    // Step by step from above.
    for (i, what) in words::TRIAL_PICTURES.iter().enumerate() {
        let y0 = (2 - i) as f64 * step;
        let offcut = Rect::new(0.0, y0, long, y0 + high);
        let corners = [(0.0, y0), (long, y0), (long, y0 + high), (0.0, y0 + high)].map(Point::from);
        scene.polygon(Role::Work, &corners);
        scene.polygon(Role::Outline, &corners);
        let at = At::on(Point::new(0.0, offcut.y1));
        let tries = [Try { shift: [0.0, 2.0 + 0.5 * CAP * size::NOTE], anchor: Anchor::Start }];
        taken.place(&mut scene, Label { role: Role::Note, text: what, size: size::NOTE }, at, &tries, false);
        let holes = [0.5, 1.5, 2.5].map(|n| Point::new(n * reach, y0 + 0.5 * high));
        match i {
            0 => pilots(&mut scene, &mut taken, job, plan, holes),
            1 => opening(&mut scene, &mut taken, job, block, holes),
            _ => measures(&mut scene, &mut taken, job, holes),
        }
    }
    scene.about = words::about_trial().to_owned();
    Some(scene)
}

/// Three pilots through the bar.
fn pilots(scene: &mut Scene, taken: &mut Taken, job: &Job, plan: &Plan, holes: [Point; 3]) {
    let ring = marks::ring_diameter(scene, [holes[1].x - holes[0].x; 2]);
    let through = words::trial_places(job);
    let bar = through.and_then(|(id, places)| Some((plan.template(&id)?, places)));
    if let Some((template, places)) = bar {
        let first = template.features.get(places[0]).map_or(0.0, |f| f.x_mm);
        let placed = at(template, Point::new(holes[0].x - first, holes[0].y));
        bars::bar(scene, taken, job, template, &placed);
        let view = scene.view;
        for hole in holes {
            marks::bore_now(scene, hole, ring);
            taken.mark(&view, At::on(hole), [0.5 * ring, 0.5 * ring]);
        }
        let used = |feature: &str| places.iter().any(|&p| template.features.get(p).is_some_and(|f| f.name == feature));
        bars::numbers(scene, taken, job, template, &placed, &used, 0.5 * ring);
    } else {
        for hole in holes {
            marks::bore_now(scene, hole, ring);
        }
    }
}

/// The block on pins in the outer two, its bush over the middle one.
fn opening(scene: &mut Scene, taken: &mut Taken, job: &Job, block: &Template, holes: [Point; 3]) {
    let placed = at(block, holes[1]);
    bars::block(scene, job, block, &placed);
    for feature in block.features.iter().filter(|f| f.bore_mm.is_some()) {
        let centre = Pose::of(&placed).feature(feature);
        if (centre.y - holes[1].y).abs() < 0.1 {
            marks::pin(scene, centre, Role::Pin);
        }
    }
    let ring = marks::ring_diameter(scene, [holes[1].x - holes[0].x; 2]);
    marks::bore_now(scene, holes[1], ring);
    let end = Pose::of(&placed).point(bars::body(job.kit.as_ref(), block).to, 0.0);
    let tries = [Try { shift: [1.2, 0.0], anchor: Anchor::Start }];
    taken.place(scene, Label { role: Role::BarName, text: &block.id, size: size::NAME }, At::on(end), &tries, false);
}

/// Two pilots and a dog hole, each with its two measures crosswise.
fn measures(scene: &mut Scene, taken: &mut Taken, job: &Job, holes: [Point; 3]) {
    for (i, &centre) in holes.iter().enumerate() {
        let (state, diameter, name) = match i {
            1 => (HoleState::Opened, job.grid.hole, words::TRIAL_DOG_HOLE),
            _ => (HoleState::Pilot, job.grid.pilot, words::TRIAL_PILOT),
        };
        let r = scene.view.paper(0.5 * diameter).max(0.5 * size::PILOT);
        for (dx, dy) in [(1.0, 0.0), (0.0, 1.0)] {
            for side in [-1.0, 1.0] {
                let end = |out: f64| At::on(centre).shifted(side * dx * (r + out), side * dy * (r + out));
                let line = vec![end(CLEAR), end(CLEAR + BEYOND)];
                scene.put_free(Role::Dimension, Shape::Path { points: line, closed: false });
                let tick = vec![end(CLEAR).shifted(-0.7 * dy, -0.7 * dx), end(CLEAR).shifted(0.7 * dy, 0.7 * dx)];
                scene.put_free(Role::Dimension, Shape::Path { points: tick, closed: false });
            }
        }
        marks::existing(scene, &Existing { centre, diameter, state });
        let tries = below_or_above(r + CLEAR + BEYOND + 0.6, size::NOTE);
        taken.place(scene, Label { role: Role::Note, text: name, size: size::NOTE }, At::on(centre), &tries, false);
    }
}

fn at(template: &Template, origin: Point) -> Placed {
    Placed { id: template.id.clone(), x_mm: origin.x, y_mm: origin.y, turn_deg: 0.0, turned_over: false }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{PlanOptions, make_plan};
    use crate::testing::trailer_top;
    use crate::top::lay_out;

    #[test]
    fn three_pilots_one_opening_two_pins_and_what_is_measured() {
        let mut job = trailer_top();
        let plan = make_plan(&job, &lay_out(&job).unwrap(), &PlanOptions::default()).unwrap();
        let scene = trial_view(&job, &plan, [115.0, 100.0]).unwrap();
        let count = |scene: &Scene, role| scene.items.iter().filter(|i| i.role == role).count();
        assert_eq!(count(&scene, Role::BoreNow), 4, "three pilots, then the one that is opened");
        assert_eq!(count(&scene, Role::Pin), 2);
        assert_eq!([count(&scene, Role::Pilot), count(&scene, Role::Opened)], [2, 1]);
        assert_eq!(count(&scene, Role::Dimension), 3 * 2 * 2 * 2, "two ends with ticks, twice crosswise, three holes");
        assert!(scene.view.width() <= 115.0 && scene.view.height() <= 100.0);
        let numbers: Vec<&str> = scene.texts().filter(|(r, _)| *r == Role::BarNumber).map(|(_, t)| t).collect();
        for number in ["0", "1", "2"] {
            assert!(numbers.contains(&number), "{numbers:?}");
        }
        // the pins of the block stand where the bar bored
        let middles = |role| -> Vec<f64> {
            scene
                .items
                .iter()
                .filter(|i| i.role == role)
                .filter_map(|i| match &i.shape {
                    Shape::Circle { centre, .. } | Shape::Square { centre, .. } => Some(centre.top.x),
                    _ => None,
                })
                .collect()
        };
        let (bored, pins) = (middles(Role::BoreNow), middles(Role::Pin));
        assert_eq!([pins[0], pins[1]], [bored[0], bored[2]]);
        job.kit = None;
        assert!(trial_view(&job, &plan, [115.0, 100.0]).is_none());
    }
}
