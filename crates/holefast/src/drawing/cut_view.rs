//! An arrangement on the whole top: fence, guide rail and cut in three line weights, the cut dashed;
//! dogs by hole name, the stop, the work with what is kept and what is waste.

use kurbo::Rect;

use super::hatch;
use super::labels::{Label, Taken, Try, around};
use super::marks;
use super::scene::{Anchor, At, Margin, Role, Scene, Shape, View};
use super::style::size;
use crate::cut::{Pair, Places, Settled, Sketch};
use crate::job::Job;
use crate::parts::on_top::SetUp;
use crate::top::{Layout, Point};
use crate::words;

/// Room round the sheet for names, mm of paper.
const MARGIN: Margin = Margin { left: 8.0, right: 8.0, below: 7.5, above: 9.0 };

/// How far beyond the sheet what stands out is shown, mm of the top; the rest is cut off.
const SHOWN_BEYOND: f64 = 70.0;

/// Ground kept clear along the cut, mm of paper: wider than the lines that end on it.
const CLEARED: f64 = 0.7;

/// A line as a narrow board, reaching `half` to either side.
fn band(a: Point, b: Point, half: f64) -> [Point; 4] {
    let way = b - a;
    let length = way.hypot2().sqrt();
    let side = kurbo::Vec2::new(-way.y, way.x) * (half / length.max(f64::MIN_POSITIVE));
    [a + side, b + side, b - side, a - side]
}

/// The arrangement of a cut within `room` (width and height on the paper, mm), at the largest whole
/// scale.
pub fn cut_view(job: &Job, layout: &Layout, places: &Places, settled: &Settled, room: [f64; 2]) -> Scene {
    let sketch = Sketch::of(job, places, settled);
    let about = words::cutting::about_cut(job, places, settled);
    let stop = settled.stop.map(|stop| stop.hole);
    Scene { about, ..drawn(job, layout, places, (&settled.pair, stop), &sketch, room) }
}

/// A setting for many cuts, drawn alike: without work or stop, which each cut has of its own.
pub fn setting_view(job: &Job, layout: &Layout, places: &Places, set_up: &SetUp, room: [f64; 2]) -> Scene {
    let sketch = Sketch::of_lines(job, places, &set_up.pair, &set_up.room);
    let about = words::on_top::about_setting(places, set_up);
    Scene { about, ..drawn(job, layout, places, (&set_up.pair, None), &sketch, room) }
}

/// What both have in common; `pair` with the hole of the stop.
fn drawn(
    job: &Job,
    layout: &Layout,
    places: &Places,
    (pair, stop): (&Pair, Option<usize>),
    sketch: &Sketch,
    room: [f64; 2],
) -> Scene {
    let sheet = marks::sheet(job);
    let all = sketch.points().fold(sheet, |r, p| r.union_pt(p));
    let limit = sheet.inflate(SHOWN_BEYOND, SHOWN_BEYOND);
    let view = View::fit(all.intersect(limit), room, MARGIN, 2.0);
    let mut scene = Scene::new(view);
    let mut taken = Taken::default();
    marks::surface(&mut scene, job);
    marks::keep_outs(&mut scene, &job.keep_outs);
    marks::outline(&mut scene, job);

    // Under the holes, so that those under the work are seen through it.
    if let Some(kept) = &sketch.kept {
        scene.polygon(Role::Piece, kept);
    }
    if let Some(waste) = &sketch.waste {
        for [a, b] in hatch::lines(waste, view.clip, size::HATCH * view.ratio) {
            scene.line(Role::Hatching, a, b);
        }
        scene.polygon(Role::Waste, waste);
    }
    if let Some(rail) = &sketch.rail {
        scene.polygon(Role::GuideRail, rail);
        for i in 0..rail.len() {
            taken.mark_line(&view, At::on(rail[i]), At::on(rail[(i + 1) % rail.len()]));
        }
    }
    for hole in places.holes() {
        let centre = At::on(hole.centre);
        let circle = Shape::Circle { centre, radius_mm: 0.5 * hole.diameter, least_paper_mm: 0.5 * size::HOLE };
        scene.put(Role::HoleWanted, circle);
        let r = (0.5 * view.paper(hole.diameter)).max(0.5 * size::HOLE);
        taken.mark(&view, centre, [r, r]);
    }
    for (line, role) in [(&sketch.fence, Role::Fence), (&sketch.cut, Role::CutLine)] {
        let [a, b] = *line;
        if role == Role::CutLine {
            // The rail's edge and the work's end on the cut: no black may stand between its dashes.
            scene.polygon(Role::Clearing, &band(a, b, 0.5 * CLEARED * view.ratio));
        }
        scene.line(role, a, b);
        taken.mark_line(&view, At::on(a), At::on(b));
    }

    let mut dogs: Vec<usize> = [pair.fence.holes, pair.rail.holes].concat();
    dogs.extend(stop);
    dogs.sort_unstable();
    dogs.dedup();
    for &hole in &dogs {
        marks::dog(&mut scene, places.holes()[hole].centre);
        taken.mark(&view, At::on(places.holes()[hole].centre), [0.6 * size::DOG, 0.6 * size::DOG]);
    }
    for &hole in &dogs {
        let place = &places.holes()[hole];
        let text = if stop == Some(hole) { words::cutting::stop_label(&place.name) } else { place.name.clone() };
        let label = Label { role: Role::Name, text: &text, size: size::NAME };
        taken.place(&mut scene, label, At::on(place.centre), &around(0.5 * size::DOG, size::NAME), false);
    }
    names(&mut scene, &mut taken, sketch);
    marks::row_names(&mut scene, &mut taken, job, layout);
    marks::keep_out_names(&mut scene, &mut taken, job);
    scene
}

/// What is what, each beside its thing.
fn names(scene: &mut Scene, taken: &mut Taken, sketch: &Sketch) {
    let middle = |points: &[Point]| {
        let n = points.len() as f64;
        Point::new(points.iter().map(|p| p.x).sum::<f64>() / n, points.iter().map(|p| p.y).sum::<f64>() / n)
    };
    let shown = |scene: &Scene, p: Point| {
        let clip: Rect = scene.view.clip;
        Point::new(p.x.clamp(clip.x0, clip.x1), p.y.clamp(clip.y0, clip.y1))
    };
    let mut put = |scene: &mut Scene, text: &str, at: Point| {
        let at = At::on(shown(scene, at));
        let tries: Vec<Try> = [0.0, 3.4, -3.4, 7.0, -7.0, 10.5, -10.5]
            .into_iter()
            .flat_map(|y| {
                [
                    (0.0, Anchor::Middle),
                    (2.0, Anchor::Start),
                    (-2.0, Anchor::End),
                    (9.0, Anchor::Start),
                    (-9.0, Anchor::End),
                ]
                .map(|(x, anchor)| Try { shift: [x, y], anchor })
            })
            .collect();
        taken.place(scene, Label { role: Role::BarName, text, size: size::NOTE }, at, &tries, false);
    };
    let [kept, waste, rail, fence, cut] = words::cutting::SKETCH_NAMES;
    if let Some(points) = &sketch.kept {
        put(scene, kept, middle(points));
    }
    if let Some(points) = &sketch.waste {
        put(scene, waste, middle(points));
    }
    if let Some(points) = &sketch.rail {
        put(scene, rail, middle(points));
    }
    put(scene, fence, sketch.fence[1]);
    put(scene, cut, sketch.cut[1]);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cut::settle;
    use crate::drawing::Style;
    use crate::job::Cut;
    use crate::top::lay_out;

    fn octagon() -> (Job, Layout, Places, Settled) {
        let mut job = crate::testing::trailer_top_with_rail();
        job.cuts = vec![Cut {
            name: "octagon sides".to_owned(),
            angle: f64::to_radians(67.5),
            tolerance: None,
            length: Some(300.0),
            at: crate::job::CutAt::Far,
            width: Some(85.0),
            kerf: Some(2.2),
            kept: None,
            end: std::f64::consts::FRAC_PI_2,
            quantity: 8,
            fence: None,
            rail: None,
            stop: None,
        }];
        let layout = lay_out(&job).unwrap();
        let places = Places::planned(&layout);
        let settled = settle(&job, &places).unwrap().remove(0);
        (job, layout, places, settled)
    }

    #[test]
    fn fence_rail_and_cut_have_three_weights_and_the_cut_is_dashed() {
        let [fence, rail, cut] = [Role::Fence, Role::GuideRail, Role::CutLine].map(Style::of);
        let weights = [fence, rail, cut].map(|s| s.line.unwrap().1);
        assert!(weights[0] != weights[1] && weights[1] != weights[2] && weights[0] != weights[2], "{weights:?}");
        assert!(cut.dash.is_some() && fence.dash.is_none() && rail.dash.is_none());
        let (job, layout, places, settled) = octagon();
        let scene = cut_view(&job, &layout, &places, &settled, [190.0, 120.0]);
        let count = |role| scene.items.iter().filter(|i| i.role == role).count();
        assert_eq!([count(Role::Fence), count(Role::GuideRail), count(Role::CutLine)], [1, 1, 1]);
        assert!(scene.view.width() <= 190.0 && scene.view.height() <= 120.0);
        // every dog is named, the stop as such
        let names: Vec<&str> = scene.texts().filter(|(role, _)| *role == Role::Name).map(|(_, t)| t).collect();
        for hole in settled.pair.fence.holes.iter().chain(&settled.pair.rail.holes) {
            assert!(names.contains(&places.holes()[*hole].name.as_str()), "{names:?}");
        }
        let stop = &places.holes()[settled.stop.unwrap().hole].name;
        assert!(names.contains(&format!("stop {stop}").as_str()), "{names:?}");
    }

    /// The piece as drawn: its edges make the angles that are wanted, its length is taken where said,
    /// it touches fence and, but for the spacer, the stop.
    #[test]
    fn the_piece_is_drawn_as_it_is_cut() {
        let (job, _, places, settled) = octagon();
        let sketch = Sketch::of(&job, &places, &settled);
        let kept = sketch.kept.unwrap();
        let at = |i: usize| kept[i % kept.len()];
        let angle = |i: usize| {
            let (a, b) = (at(i + kept.len() - 1) - at(i), at(i + 1) - at(i));
            crate::math::atan2(a.cross(b).abs(), a.dot(b)).to_degrees()
        };
        // from the corner at fence and cut round: the cut's angle, the end's, and what they leave
        let wanted = settled.pair.angle.to_degrees();
        for (i, degrees) in [wanted, 90.0, 90.0, 180.0 - wanted].into_iter().enumerate() {
            assert!((angle(i) - degrees).abs() < 1e-9, "{i}: {} {degrees}", angle(i));
        }
        // the far edge is the length
        assert!(((at(2) - at(3)).hypot2().sqrt() - 300.0).abs() < 1e-9);
        let stop = settled.stop.unwrap();
        let (end, centre) = (at(2) - at(1), places.holes()[stop.hole].centre - at(1));
        let gap = end.cross(centre).abs() / end.hypot2().sqrt() - 0.5 * stop.dog;
        assert!((gap - stop.spacer).abs() < 1e-9, "{gap} {}", stop.spacer);
    }
}
