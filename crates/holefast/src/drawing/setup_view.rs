//! One set-up: what exists already, the bars with their hole numbers, the pins, and what is bored
//! now; cropped to what matters. Made so that it can be followed without the text beside it.

use kurbo::Rect;

use super::bars::{self, Pose};
use super::labels::{Label, Taken, Try, around, below_or_above};
use super::marks;
use super::scene::{Anchor, At, Margin, Role, Scene, View};
use super::state::holes_before;
use super::style::size;
use crate::job::Job;
use crate::plan::{Place, Plan, Setup, Template, TemplateKind, With};
use crate::top::{Layout, Point};
use crate::words;

/// Room round the clip for names, mm of paper.
const MARGIN: Margin = Margin { left: 6.0, right: 5.0, below: 6.5, above: 6.5 };

/// No card is drawn larger than this, 1 : n; a first top would otherwise fill the page with nothing.
const LARGEST: f64 = 2.0;

/// A locator or a bore, resolved to its place on the top.
struct Spot {
    centre: Point,
    name: String,
    bored: bool,
    with: Option<With>,
    /// "hole 10 on hole 6", where two templates are pinned together.
    joint: Option<String>,
    /// Half the width, mm, of a bar along a row or column that lies over it: names stand beside the bar.
    beside: f64,
}

/// The set-up with this index in the plan, within `room` (width and height on the paper, mm).
pub fn setup_view(job: &Job, layout: &Layout, plan: &Plan, index: usize, room: [f64; 2]) -> Scene {
    let Some(setup) = plan.setups.get(index) else {
        return Scene::new(View { clip: Rect::new(0.0, 0.0, 1.0, 1.0), ratio: 1.0, margin: MARGIN });
    };
    let spots = spots(job, plan, setup);
    let view = view_of(job, plan, setup, &spots, room);
    let mut scene = Scene::new(view);
    let mut taken = Taken::default();

    marks::surface(&mut scene, job);
    marks::keep_outs(&mut scene, &job.keep_outs);
    marks::outline(&mut scene, job);
    // The triangle's corners but its tips: names may stand close to its long side.
    let third = size::CORNER / 3.0;
    taken.mark(&view, At::on(Point::new(0.0, 0.0)).shifted(third, third), [third, third]);
    let existing = holes_before(job, layout, plan, index);
    for hole in existing.values().filter(|h| view.shows(h.centre)) {
        marks::existing(&mut scene, hole);
        let r = (0.5 * view.paper(hole.diameter)).max(0.5 * size::PILOT);
        taken.mark(&view, At::on(hole.centre), [r, r]);
    }
    leg(&mut scene, &mut taken, job, layout, setup, &spots);

    let placed: Vec<(&Template, &crate::plan::Placed)> =
        setup.templates.iter().filter_map(|p| Some((plan.template(&p.id)?, p))).collect();
    let mut breaks: Vec<(String, Vec<Point>)> = Vec::new();
    for (template, placed) in &placed {
        match template.kind {
            TemplateKind::Bar => {
                let drawn = bars::bar(&mut scene, &mut taken, job, template, placed);
                breaks.push((template.id.clone(), drawn.breaks));
            }
            TemplateKind::Block => bars::block(&mut scene, job, template, placed),
        }
    }

    signs(&mut scene, &mut taken, &spots, job);
    // A check is offered up, not clamped.
    for hold in setup.hold.iter().filter(|_| !setup.check) {
        let pad = Point::new(hold.x_mm, hold.y_mm);
        let nearest = spots.iter().min_by(|a, b| a.centre.distance(pad).total_cmp(&b.centre.distance(pad)));
        let ring = marks::ring_diameter(&scene, job.grid.pitch);
        let beside = nearest.map(|s| (s.centre, if s.bored { 0.5 * ring } else { 0.5 * size::PIN }));
        let at = marks::pad_beside(&scene, pad, beside);
        marks::pad(&mut scene, at, None);
        taken.mark(&view, at, [0.5 * size::PAD, 0.5 * size::PAD]);
    }
    for (template, placed) in &placed {
        if template.kind == TemplateKind::Bar {
            let bored = setup
                .bores
                .iter()
                .any(|b| matches!(&b.feature, Place::Feature { template: t, .. } if *t == template.id));
            let clear = if bored { 0.5 * marks::ring_diameter(&scene, job.grid.pitch) } else { 0.5 * size::PIN };
            let used = |feature: &str| uses(setup, &template.id, feature);
            bars::numbers(&mut scene, &mut taken, job, template, placed, &used, clear);
        }
    }
    names(&mut scene, &mut taken, &spots, layout, job);
    overhang_notes(&mut scene, &mut taken, job, &placed, &breaks);
    marks::row_names(&mut scene, &mut taken, job, layout);
    marks::keep_out_names(&mut scene, &mut taken, job);
    scene.about = words::about_setup(plan, setup);
    scene
}

/// True if a pin stands in this feature or something is bored through it.
fn uses(setup: &Setup, template: &str, feature: &str) -> bool {
    let place = Place::feature(template, feature);
    setup.pins.iter().any(|p| p.a == place || p.b == place) || setup.bores.iter().any(|b| b.feature == place)
}

/// Centre of a feature of a placed template.
fn feature_centre(plan: &Plan, setup: &Setup, place: &Place) -> Option<Point> {
    match place {
        Place::Hole(name) => plan.hole(name).map(|h| Point::new(h.x_mm, h.y_mm)),
        Place::Feature { template, feature } => {
            let placed = setup.templates.iter().find(|p| &p.id == template)?;
            let feature = plan.template(template)?.features.iter().find(|f| &f.name == feature)?;
            Some(Pose::of(placed).feature(feature))
        }
    }
}

/// Everything that is pinned or bored, one entry per place of the top.
fn spots(job: &Job, plan: &Plan, setup: &Setup) -> Vec<Spot> {
    let mut spots: Vec<Spot> = Vec::new();
    for pin in &setup.pins {
        let Some(centre) = feature_centre(plan, setup, &pin.b).or_else(|| feature_centre(plan, setup, &pin.a)) else {
            continue;
        };
        let (name, joint) = match (&pin.a, &pin.b) {
            (Place::Feature { feature: a, .. }, Place::Feature { feature: b, .. }) => {
                (String::new(), Some(words::joint_label(a, b)))
            }
            (_, Place::Hole(name)) | (Place::Hole(name), _) => (name.clone(), None),
        };
        spots.push(Spot { centre, name, bored: false, with: Some(pin.with), joint, beside: 0.0 });
    }
    for bore in &setup.bores {
        let Some(hole) = plan.hole(&bore.hole) else { continue };
        let centre = Point::new(hole.x_mm, hole.y_mm);
        // A tenth of a millimetre: the same place, however its coordinates were reckoned.
        if let Some(spot) = spots.iter_mut().find(|s| s.centre.distance(centre) < 0.1) {
            spot.bored = true;
            spot.name.clone_from(&bore.hole);
        } else {
            spots.push(Spot { centre, name: bore.hole.clone(), bored: true, with: None, joint: None, beside: 0.0 });
        }
    }
    for placed in &setup.templates {
        let Some(template) = plan.template(&placed.id) else { continue };
        let turn = placed.turn_deg.rem_euclid(90.0);
        // A hundredth of a degree: written angles are round figures.
        if turn.min(90.0 - turn) > 0.01 {
            continue;
        }
        let pose = Pose::of(placed);
        let half = bars::body(job.kit.as_ref(), template).half_width;
        for spot in &mut spots {
            if template.features.iter().any(|f| pose.feature(f).distance(spot.centre) < 0.1) {
                spot.beside = spot.beside.max(half);
            }
        }
    }
    spots
}

/// What the picture must show, and the scale for it.
fn view_of(job: &Job, plan: &Plan, setup: &Setup, spots: &[Spot], room: [f64; 2]) -> View {
    let sheet = marks::sheet(job);
    let mut matter: Option<Rect> = None;
    let mut add = |p: Point| {
        let r = Rect::new(p.x, p.y, p.x, p.y);
        matter = Some(matter.map_or(r, |m| m.union(r)));
    };
    for spot in spots {
        add(spot.centre);
    }
    // The bodies as far as they lie on the sheet or just beyond it.
    let near = sheet.inset(0.06 * sheet.width().max(sheet.height()));
    for placed in &setup.templates {
        let Some(template) = plan.template(&placed.id) else { continue };
        let body = bars::body(job.kit.as_ref(), template);
        for corner in bars::corners(&Pose::of(placed), &body) {
            add(Point::new(corner.x.clamp(near.x0, near.x1), corner.y.clamp(near.y0, near.y1)));
        }
    }
    let mut matter = matter.unwrap_or(sheet);
    // One row up tells little: show a pitch of the surroundings.
    let around = 0.45 * job.grid.pitch[0].max(job.grid.pitch[1]);
    matter = matter.inset(around).intersect(near.union(matter));
    // The reference edge or corner, if near, is what people count from.
    let close = 1.6 * job.grid.pitch[0].max(job.grid.pitch[1]);
    if matter.x0 - sheet.x0 < close {
        matter.x0 = matter.x0.min(sheet.x0);
    }
    if matter.y0 - sheet.y0 < close {
        matter.y0 = matter.y0.min(sheet.y0);
    }
    let view = View::fit(matter, room, MARGIN, LARGEST);
    let beyond =
        Rect::new(sheet.x0.min(matter.x0), sheet.y0.min(matter.y0), sheet.x1.max(matter.x1), sheet.y1.max(matter.y1));
    view.filled(room, beyond)
}

/// Signs of pins and of what is bored now, over the bars.
fn signs(scene: &mut Scene, taken: &mut Taken, spots: &[Spot], job: &Job) {
    let view = scene.view;
    let ring = marks::ring_diameter(scene, job.grid.pitch);
    for spot in spots {
        let mut clear = 0.5 * size::PIN;
        if spot.bored {
            clear = 0.5 * ring;
            if spot.with.is_none() || spot.with == Some(With::Point) {
                marks::bore_now(scene, spot.centre, ring);
            } else {
                let ring = (ring * 1.2).min(6.2);
                clear = 0.5 * ring;
                marks::ring_only(scene, spot.centre, ring);
            }
        }
        match spot.with {
            Some(With::Pin) => marks::pin(scene, spot.centre, Role::Pin),
            Some(With::Gauge(_)) => marks::pin(scene, spot.centre, Role::Gauge),
            Some(With::Dog) => marks::dog(scene, spot.centre),
            Some(With::Point) | None => {}
        }
        taken.mark(&view, At::on(spot.centre), [clear, clear]);
    }
}

/// Names of pins' and bored holes: the bored ones first, they matter most.
fn names(scene: &mut Scene, taken: &mut Taken, spots: &[Spot], layout: &Layout, job: &Job) {
    let ring = marks::ring_diameter(scene, job.grid.pitch);
    let row_pitch = scene.view.paper(layout.pitch[0]);
    for bored in [false, true] {
        for spot in spots.iter().filter(|s| s.bored == bored) {
            let clear = clear_of(scene, spot, ring);
            let role = if spot.bored { Role::BoreName } else { Role::Name };
            let mut tries = name_tries(spots, spot, clear, row_pitch);
            tries.extend(around(clear, size::NAME));
            let at = At::on(spot.centre);
            if !spot.name.is_empty() {
                taken.place(scene, Label { role, text: &spot.name, size: size::NAME }, at, &tries, false);
            }
        }
    }
    for spot in spots {
        if let Some(joint) = &spot.joint {
            let clear = clear_of(scene, spot, ring);
            let tries: Vec<Try> =
                around(clear + 0.6, size::NUMBER).into_iter().chain(around(clear + 6.0, size::NUMBER)).collect();
            let label = Label { role: Role::Note, text: joint, size: size::NUMBER };
            taken.place(scene, label, At::on(spot.centre), &tries, false);
        }
    }
}

/// How far a label stands off, mm of paper: clear of the sign and of the bar over it.
fn clear_of(scene: &Scene, spot: &Spot, ring: f64) -> f64 {
    let sign = if spot.bored { 0.5 * ring } else { 0.5 * size::PIN };
    sign.max(scene.view.paper(spot.beside))
}

/// Along a row names stand below their holes, along a column at the right of them.
fn name_tries(spots: &[Spot], spot: &Spot, clear: f64, row_pitch: f64) -> Vec<Try> {
    let in_row = spots.iter().filter(|s| (s.centre.y - spot.centre.y).abs() < 0.1).count();
    if in_row > 2 && row_pitch > 0.0 { below_or_above(clear + 0.4, size::NAME) } else { Vec::new() }
}

/// "8 pitches" between two pins on one row: the triangle's foot can be counted.
fn leg(scene: &mut Scene, taken: &mut Taken, job: &Job, layout: &Layout, setup: &Setup, spots: &[Spot]) {
    if setup.templates.len() < 2 {
        return;
    }
    let pinned: Vec<&Spot> = spots.iter().filter(|s| s.with.is_some() && s.joint.is_none()).collect();
    let [a, b] = pinned.as_slice() else { return };
    if (a.centre.y - b.centre.y).abs() > 0.1 || layout.pitch[0] <= 0.0 {
        return;
    }
    let n = ((a.centre.x - b.centre.x).abs() / layout.pitch[0]).round();
    scene.line(Role::Dimension, a.centre, b.centre);
    let text = words::pitches(n as u32);
    let at = At::on(a.centre.midpoint(b.centre));
    let tries = [-3.2, 3.2].map(|y| Try { shift: [0.0, y], anchor: Anchor::Middle });
    taken.place(scene, Label { role: Role::Name, text: &text, size: size::NOTE }, at, &tries, false);
    let _ = job;
}

/// "L1, 430 mm beyond the far edge, at hip height", where it leaves the sheet.
fn overhang_notes(
    scene: &mut Scene,
    taken: &mut Taken,
    job: &Job,
    placed: &[(&Template, &crate::plan::Placed)],
    breaks: &[(String, Vec<Point>)],
) {
    let view = scene.view;
    for (template, placed) in placed {
        if template.kind != TemplateKind::Bar {
            continue;
        }
        let pose = Pose::of(placed);
        let body = bars::body(job.kit.as_ref(), template);
        for overhang in bars::overhangs(job, template, placed) {
            let text = words::overhang_label(job, &overhang);
            let ends = [pose.point(body.from, 0.0), pose.point(body.to, 0.0)];
            let outward = |p: &Point| match overhang.edge {
                bars::Edge::Reference => -p.y,
                bars::Edge::Far => p.y,
                bars::Edge::Left => -p.x,
                bars::Edge::Right => p.x,
            };
            let cut = breaks.iter().find(|(id, _)| *id == template.id).map(|(_, b)| b.as_slice()).unwrap_or_default();
            let end = if outward(&ends[0]) > outward(&ends[1]) { ends[0] } else { ends[1] };
            let end = cut.iter().copied().min_by(|a, b| a.distance(end).total_cmp(&b.distance(end))).unwrap_or(end);
            let end = Point::new(end.x.clamp(view.clip.x0, view.clip.x1), end.y.clamp(view.clip.y0, view.clip.y1));
            let w = view.paper(body.half_width);
            let mut tries = Vec::new();
            for y in [-2.0, 1.0, 4.0, -5.0, -8.0] {
                tries.push(Try { shift: [w + 1.6, y], anchor: Anchor::Start });
                tries.push(Try { shift: [-w - 1.6, y], anchor: Anchor::End });
            }
            for y in [w + 3.0, -w - 3.0, w + 6.0, -w - 6.0] {
                tries.push(Try { shift: [0.0, y], anchor: Anchor::End });
                tries.push(Try { shift: [0.0, y], anchor: Anchor::Start });
                tries.push(Try { shift: [0.0, y], anchor: Anchor::Middle });
            }
            let label = Label { role: Role::Caution, text: &text, size: size::NOTE };
            if !taken.place(scene, label, At::on(end), &tries, true) {
                let text = words::overhang_short(job, &overhang);
                taken.place(scene, Label { text: &text, ..label }, At::on(end), &tries, false);
            }
        }
    }
}
