//! The whole top as it is laid out: holes wanted, holes that exist or are spoiled, keep-outs, conflicts
//! with their amounts, margins and overall dimensions.

use kurbo::Rect;

use super::labels::{CAP, Label, Taken, Try};
use super::marks;
use super::scene::{Anchor, At, Margin, Role, Scene, Shape, View};
use super::state::found;
use super::style::{size, text_width};
use crate::job::Job;
use crate::top::{Layout, Point};
use crate::words;

/// Room round the sheet for names and dimensions, mm of paper.
const MARGIN: Margin = Margin { left: 6.5, right: 16.0, below: 19.0, above: 8.5 };

/// The layout within `room` (width and height on the paper, mm), at the largest whole scale.
pub fn top_view(job: &Job, layout: &Layout, room: [f64; 2]) -> Scene {
    let view = View::fit(marks::sheet(job), room, margin(job, layout), 1.0);
    let mut scene = drawn(job, layout, view);
    dimensions(&mut scene, job, layout);
    scene
}

/// Room round a part of the top for its names, mm of paper.
const PART_MARGIN: Margin = Margin { left: 6.5, right: 2.0, below: 6.0, above: 2.0 };

/// The view of a part of the top, `window` in mm of it, as wide on the paper as `width`, mm, at
/// whatever scale that gives.
pub fn part_view(window: Rect, width: f64) -> View {
    let room = (width - PART_MARGIN.left - PART_MARGIN.right).max(1.0);
    View { clip: window, ratio: window.width() / room, margin: PART_MARGIN }
}

/// The view of a whole top at the same scale and place on the paper, with the room of its dimensions
/// given to the picture: what grows beyond the sheet still shows.
pub fn wider_view(whole: &View) -> View {
    let (clip, margin) = (whole.clip, whole.margin);
    View {
        clip: Rect::new(
            clip.x0 - (margin.left - PART_MARGIN.left) * whole.ratio,
            clip.y0 - (margin.below - PART_MARGIN.below) * whole.ratio,
            clip.x1 + (margin.right - PART_MARGIN.right) * whole.ratio,
            clip.y1 + (margin.above - PART_MARGIN.above) * whole.ratio,
        ),
        ratio: whole.ratio,
        margin: PART_MARGIN,
    }
}

/// What such a view shows: names of rows and columns stand at its own sides, dimensions and names of
/// keep-outs are left to the whole drawing.
pub fn top_part(job: &Job, layout: &Layout, view: View) -> Scene {
    drawn(job, layout, view)
}

/// Everything but dimensions.
fn drawn(job: &Job, layout: &Layout, view: View) -> Scene {
    let mut scene = Scene::new(view);
    let mut taken = Taken::default();
    marks::surface(&mut scene, job);
    marks::keep_outs(&mut scene, &job.keep_outs);
    marks::outline(&mut scene, job);
    let found = found(job, layout);
    for hole in layout.holes.iter().filter(|h| near(&view, h.centre, h.diameter)) {
        match found.get(&hole.name) {
            Some(existing) => marks::existing(&mut scene, existing),
            None => marks::wanted(&mut scene, hole.centre, hole.diameter),
        }
        if job.spoiled.iter().any(|s| s.hole == hole.name) {
            marks::plugged(&mut scene, hole.centre, hole.diameter);
        }
        let r = (0.5 * view.paper(hole.diameter)).max(0.5 * size::HOLE);
        taken.mark(&view, At::on(hole.centre), [r, r]);
    }
    conflicts(&mut scene, &mut taken, job, layout);
    for hole in layout.holes.iter().filter(|h| h.cell.is_none() && view.shows(h.centre)) {
        extra_name(&mut scene, &mut taken, &hole.name, hole.centre, hole.diameter);
    }
    if view.clip == marks::sheet(job) {
        marks::row_names(&mut scene, &mut taken, job, layout);
        marks::keep_out_names(&mut scene, &mut taken, job);
    } else {
        marks::names_at_the_sides(&mut scene, &mut taken, layout);
    }
    scene.about = words::about_top(job, layout);
    scene
}

/// True if a hole shows in this view, be it by half.
fn near(view: &View, centre: Point, diameter: f64) -> bool {
    let r = (0.5 * diameter).max(0.5 * size::HOLE * view.ratio);
    view.clip.inflate(r, r).contains(centre)
}

/// The inner dimensions' distance from the sheet, mm of paper.
const INNER_OFF: f64 = 2.6;
/// Where a figure of a dimension at the right begins beside its line, and what is kept free behind it,
/// mm of paper.
const BESIDE_FIGURE: [f64; 2] = [1.2, 1.7];
/// The overall dimension stands at least as far off as beside a figure of two digits, mm of paper.
const LEAST_FIGURE: f64 = 4.0;

/// From the sheet's near and far side to the outermost holes of the grid, mm.
fn margins_across(job: &Job, layout: &Layout) -> [f64; 2] {
    let sheet = marks::sheet(job);
    let rows = || layout.holes.iter().filter(|h| h.cell.is_some()).map(|h| h.centre.y);
    [rows().fold(f64::INFINITY, f64::min) - sheet.y0, sheet.y1 - rows().fold(f64::NEG_INFINITY, f64::max)]
}

/// How far off the sheet's right side the overall width stands: past the margins' figures, which may
/// be fractions. mm of paper.
fn overall_off(job: &Job, layout: &Layout) -> f64 {
    let figures = margins_across(job, layout).into_iter().filter(|mm| *mm > 0.0 && mm.is_finite());
    let widest = figures.map(|mm| figure_width(job, mm)).fold(LEAST_FIGURE, f64::max);
    INNER_OFF + BESIDE_FIGURE[0] + widest + BESIDE_FIGURE[1]
}

/// Width of a dimension's figure, mm of paper.
fn figure_width(job: &Job, mm: f64) -> f64 {
    size::NOTE * text_width(&words::bare_length(job.units, mm), false)
}

fn margin(job: &Job, layout: &Layout) -> Margin {
    let overall = figure_width(job, marks::sheet(job).height());
    let right = overall_off(job, layout) + BESIDE_FIGURE[0] + overall + 1.0;
    Margin { right: right.max(MARGIN.right), ..MARGIN }
}

fn conflicts(scene: &mut Scene, taken: &mut Taken, job: &Job, layout: &Layout) {
    let view = scene.view;
    for conflict in layout.conflicts.iter().filter(|c| view.shows(c.hole.centre)) {
        let centre = At::on(conflict.hole.centre);
        let least = 0.5 * size::CONFLICT;
        let r = view.paper(0.5 * conflict.hole.diameter).max(least);
        scene.put(
            Role::Conflict,
            Shape::Circle { centre, radius_mm: 0.5 * conflict.hole.diameter, least_paper_mm: least },
        );
        let d = 0.71 * r + 0.9;
        scene.put(
            Role::Conflict,
            Shape::Path { points: vec![centre.shifted(-d, -d), centre.shifted(d, d)], closed: false },
        );
        taken.mark(&view, centre, [d, d]);
        let text = words::conflict_label(job, conflict);
        let away = r + 5.0;
        let tries: Vec<Try> = [2.0, -2.0, 5.0, -5.0]
            .into_iter()
            .flat_map(|y| {
                [(away, Anchor::Start), (-away, Anchor::End)].map(|(x, anchor)| Try { shift: [x, y], anchor })
            })
            .collect();
        let before = scene.items.len();
        taken.place(scene, Label { role: Role::ConflictText, text: &text, size: size::NOTE }, centre, &tries, false);
        if let Some(Shape::Text { at, anchor, .. }) = scene.items.get(before).map(|i| i.shape.clone()) {
            let out = if anchor == Anchor::Start { 1.0 } else { -1.0 };
            let end = at.shifted(-0.7 * out, 0.5 * CAP * size::NOTE);
            scene.put_free(
                Role::Conflict,
                Shape::Path { points: vec![centre.shifted(out * (r + 0.5), 0.0), end], closed: false },
            );
        }
    }
}

fn extra_name(scene: &mut Scene, taken: &mut Taken, name: &str, centre: Point, diameter: f64) {
    let r = scene.view.paper(0.5 * diameter).max(0.5 * size::HOLE);
    let label = Label { role: Role::Name, text: name, size: size::NOTE };
    taken.place(scene, label, At::on(centre), &super::labels::around(r, size::NOTE), false);
}

fn dimensions(scene: &mut Scene, job: &Job, layout: &Layout) {
    let sheet = marks::sheet(job);
    let length = |mm: f64| words::bare_length(job.units, mm);
    let low = |x: f64| Point::new(x, sheet.y0);
    let right = |y: f64| Point::new(sheet.x1, y);
    marks::dimension(scene, low(sheet.x0), low(sheet.x1), -14.5, &length(sheet.width()));
    marks::dimension(scene, right(sheet.y0), right(sheet.y1), overall_off(job, layout), &length(sheet.height()));
    let grid = || layout.holes.iter().filter(|h| h.cell.is_some());
    let most = |f: fn(&Point) -> f64| grid().map(|h| f(&h.centre)).fold(f64::NEG_INFINITY, f64::max);
    let least = |f: fn(&Point) -> f64| grid().map(|h| f(&h.centre)).fold(f64::INFINITY, f64::min);
    if grid().next().is_none() {
        return;
    }
    let (x0, x1, y0, y1) = (least(|p| p.x), most(|p| p.x), least(|p| p.y), most(|p| p.y));
    for (from, to) in [(sheet.x0, x0), (x1, sheet.x1)] {
        if to - from > 0.0 {
            marks::dimension(scene, low(from), low(to), -8.8, &length(to - from));
        }
    }
    for (from, to) in [(sheet.y0, y0), (y1, sheet.y1)] {
        if to - from > 0.0 {
            marks::dimension(scene, right(from), right(to), INNER_OFF, &length(to - from));
        }
    }
}
