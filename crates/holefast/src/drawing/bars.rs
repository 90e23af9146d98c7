//! Bars and the guide block as bodies: their outlines where they lie, cut off by a break line where
//! they leave the picture, numbered holes, and how far they stand out over the sheet.

use kurbo::Rect;

use super::labels::{CAP, Taken};
use super::marks;
use super::scene::{Anchor, At, Role, Scene, Shape};
use super::style::{size, text_width};
use crate::job::Job;
use crate::kit::Kit;
use crate::math;
use crate::plan::{Feature, Placed, Template, TemplateKind};
use crate::top::Point;

/// Overhang below this is not worth a word, mm: a thumb's breadth.
const OVERHANG_WORTH_SAYING: f64 = 40.0;

/// The body of a template in its own frame, mm; sizes that the kit does not state are assumed for
/// the drawing only.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Body {
    /// Its lower end along its own x.
    pub from: f64,
    /// Its upper end.
    pub to: f64,
    /// Half its width.
    pub half_width: f64,
    /// Thickness, where stated.
    pub thickness: Option<f64>,
    /// True if the length beyond the last hole is stated, so that overhang can be said in figures.
    pub stated: bool,
}

/// Which way a template stands out over the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Edge {
    /// The reference edge.
    Reference,
    /// The edge opposite.
    Far,
    /// The end at the reference corner.
    Left,
    /// The other end.
    Right,
}

/// A template that stands out over the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Overhang {
    /// Its id.
    pub template: String,
    /// Beyond which edge.
    pub edge: Edge,
    /// How far, mm.
    pub by_mm: f64,
}

/// The body of a template of the kit.
pub fn body(kit: Option<&Kit>, template: &Template) -> Body {
    let xs = || template.features.iter().map(|f| f.x_mm);
    let from = xs().fold(f64::INFINITY, f64::min).min(0.0);
    let to = xs().fold(f64::NEG_INFINITY, f64::max).max(0.0);
    match template.kind {
        TemplateKind::Bar => {
            let bar = kit
                .and_then(|k| k.bars.iter().find(|b| (1..=b.count).any(|n| format!("{}{n}", b.name) == template.id)));
            let pitch =
                if template.features.len() > 1 { (to - from) / (template.features.len() - 1) as f64 } else { 50.0 };
            // Usual proportions of a bar, for the picture only.
            let half_width = 0.5 * bar.and_then(|b| b.width).unwrap_or(0.3 * pitch);
            let beyond = bar.and_then(|b| b.beyond);
            let end = beyond.unwrap_or(half_width);
            Body {
                from: from - end,
                to: to + end,
                half_width,
                thickness: bar.and_then(|b| b.thickness),
                stated: beyond.is_some(),
            }
        }
        TemplateKind::Block => {
            let stated = kit.and_then(|k| k.block.size);
            let half = stated.map_or(0.5 * (to - from) + 0.2 * (to - from), |s| 0.5 * s[0]);
            Body {
                from: -half,
                to: half,
                half_width: stated.map_or(0.15 * (to - from), |s| 0.5 * s[1]),
                thickness: stated.map(|s| s[2]),
                stated: stated.is_some(),
            }
        }
    }
}

/// Turns a template's own places into places of the top.
#[derive(Clone, Copy, Debug)]
pub struct Pose {
    origin: Point,
    along: [f64; 2],
    across: [f64; 2],
}

impl Pose {
    /// Where a placed template lies.
    pub fn of(placed: &Placed) -> Pose {
        let (s, c) = math::sin_cos(placed.turn_deg.to_radians());
        let flip = if placed.turned_over { -1.0 } else { 1.0 };
        Pose { origin: Point::new(placed.x_mm, placed.y_mm), along: [c, s], across: [-s * flip, c * flip] }
    }

    /// A place of the template's own frame, in the top's.
    pub fn point(&self, x: f64, y: f64) -> Point {
        Point::new(
            self.origin.x + x * self.along[0] + y * self.across[0],
            self.origin.y + x * self.along[1] + y * self.across[1],
        )
    }

    /// A feature's centre in the top's frame.
    pub fn feature(&self, feature: &Feature) -> Point {
        self.point(feature.x_mm, feature.y_mm)
    }
}

/// Corners of a placed body.
pub fn corners(pose: &Pose, body: &Body) -> [Point; 4] {
    let w = body.half_width;
    [pose.point(body.from, -w), pose.point(body.to, -w), pose.point(body.to, w), pose.point(body.from, w)]
}

/// How far the placed templates stand out beyond the sheet, greatest first per template and edge.
pub fn overhangs(job: &Job, template: &Template, placed: &Placed) -> Vec<Overhang> {
    let body = body(job.kit.as_ref(), template);
    let sheet = marks::sheet(job);
    let corners = corners(&Pose::of(placed), &body);
    let most = |f: &dyn Fn(&Point) -> f64| corners.iter().map(f).fold(f64::NEG_INFINITY, f64::max);
    [
        (Edge::Reference, most(&|p| sheet.y0 - p.y)),
        (Edge::Far, most(&|p| p.y - sheet.y1)),
        (Edge::Left, most(&|p| sheet.x0 - p.x)),
        (Edge::Right, most(&|p| p.x - sheet.x1)),
    ]
    .into_iter()
    .filter(|&(_, by)| by > OVERHANG_WORTH_SAYING)
    .map(|(edge, by_mm)| Overhang { template: template.id.clone(), edge, by_mm })
    .collect()
}

/// Where a bar was cut off, and where there is room to say so.
pub struct Drawn {
    /// Place of the break on the top, if it leaves the picture.
    pub breaks: Vec<Point>,
}

/// Draws a bar with its holes, and its outline's lines into `taken`.
pub fn bar(scene: &mut Scene, taken: &mut Taken, job: &Job, template: &Template, placed: &Placed) -> Drawn {
    let view = scene.view;
    let pose = Pose::of(placed);
    let body = body(job.kit.as_ref(), template);
    let (from, to) = (pose.point(body.from, 0.0), pose.point(body.to, 0.0));
    // Enough room inside the clip for both sides of the bar and the zigzag.
    let slant = body.half_width * (pose.along[0] * pose.along[1]).abs().min(0.5) * 2.0;
    let inset = slant + 0.6 * view.ratio;
    let (t0, t1) = inside(from, to, view.clip.inset(-inset)).unwrap_or((0.0, 1.0));
    let length = body.to - body.from;
    let (x0, x1) = (body.from + t0 * length, body.from + t1 * length);
    let w = body.half_width;
    let points = [pose.point(x0, -w), pose.point(x1, -w), pose.point(x1, w), pose.point(x0, w)];
    let mut breaks = Vec::new();
    if t0 <= 0.0 && t1 >= 1.0 {
        scene.polygon(Role::Bar, &points);
    } else {
        // Filling without a line first, then the sides that are there, then the break.
        scene.polygon(Role::Clearing, &points);
        let mut side = vec![points[0], points[1]];
        if t1 >= 1.0 {
            side.push(points[2]);
        }
        let mut other = vec![points[2], points[3]];
        if t0 <= 0.0 {
            other.push(points[0]);
        }
        for line in [side, other] {
            scene.put(Role::Break, Shape::Path { points: line.into_iter().map(At::on).collect(), closed: false });
        }
        for (t, x) in [(t0, x0), (t1, x1)] {
            if t > 0.0 && t < 1.0 {
                zigzag(scene, &pose, x, w);
                breaks.push(pose.point(x, 0.0));
            }
        }
    }
    for (a, b) in [(0, 1), (1, 2), (2, 3), (3, 0)] {
        taken.mark_line(&view, At::on(points[a]), At::on(points[b]));
    }
    for feature in &template.features {
        let centre = pose.feature(feature);
        if feature.x_mm > x0 && feature.x_mm < x1 && view.shows(centre) {
            let radius_mm = 0.5 * feature.bore_mm.map_or(0.0, |b| b.mean());
            scene.put(
                Role::BarHole,
                Shape::Circle { centre: At::on(centre), radius_mm, least_paper_mm: 0.5 * size::BAR_HOLE },
            );
        }
    }
    Drawn { breaks }
}

/// The numbers of a bar's holes beside it and its name at its middle; `left` puts them at the left
/// of its own direction, `clear` mm of paper off its middle at least. Numbers that would meet something are left out, but never a used one.
pub fn numbers(
    scene: &mut Scene,
    taken: &mut Taken,
    job: &Job,
    template: &Template,
    placed: &Placed,
    used: &dyn Fn(&str) -> bool,
    clear: f64,
) {
    let view = scene.view;
    let pose = Pose::of(placed);
    let body = body(job.kit.as_ref(), template);
    let (c, s) = (pose.along[0], pose.along[1]);
    // Numbers stand above a bar that lies flat, at the left of one that stands upright.
    let side = if c.abs() > 0.2 { c.signum() } else { s.signum() };
    let (nx, ny) = (-s * side, c * side);
    let oblique = c.abs() > 0.1 && s.abs() > 0.1;
    let mut turn = math::atan2(s, c).to_degrees();
    if turn > 90.0 + 1e-9 || turn <= -90.0 + 1e-9 {
        turn += if turn > 0.0 { -180.0 } else { 180.0 };
    }
    let turn = if oblique { turn } else { 0.0 };
    let edge = view.paper(body.half_width).max(clear);
    let mut put = |scene: &mut Scene, role: Role, text: &str, x_mm: f64, text_size: f64, must: bool, along: f64| {
        let centre = pose.point(x_mm, 0.0);
        if !view.shows(centre) {
            return false;
        }
        let width = text_width(text, role == Role::BarName) * text_size;
        let height = CAP * text_size;
        let off = edge + 0.8 + if oblique { 0.5 * height } else { 0.5 * (width * nx.abs() + height * ny.abs()) };
        let at = At::on(centre).shifted(nx * off + c * along, ny * off + s * along);
        let half =
            if oblique { [0.5 * width.max(height), 0.5 * width.max(height)] } else { [0.5 * width, 0.5 * height] };
        if !must && !taken.free(&view, at, half) {
            return false;
        }
        taken.mark(&view, at, half);
        // The baseline lies half a capital's height below the middle, square to the text's direction.
        let (ts, tc) = math::sin_cos(turn.to_radians());
        let baseline = at.shifted(ts * 0.5 * height, -tc * 0.5 * height);
        scene.put_free(
            role,
            Shape::Text {
                at: baseline,
                text: text.to_owned(),
                size_paper_mm: text_size,
                anchor: Anchor::Middle,
                turn_deg: turn,
            },
        );
        true
    };
    for feature in &template.features {
        put(scene, Role::BarNumber, &feature.name, feature.x_mm, size::NUMBER, used(&feature.name), 0.0);
    }
    let middle = 0.5 * (body.from + body.to);
    let pitch = template.features.get(1).map_or(0.0, |f| f.x_mm - template.features[0].x_mm);
    // Between two holes, from the middle outwards.
    let base = ((middle / pitch.max(1.0)).floor() + 0.5) * pitch;
    for step in 0..template.features.len() {
        let k = step.div_ceil(2) as f64 * if step % 2 == 0 { 1.0 } else { -1.0 };
        let x = base + k * pitch;
        if x > body.from && x < body.to && put(scene, Role::BarName, &template.id, x, size::NAME, false, 0.0) {
            return;
        }
    }
    put(scene, Role::BarName, &template.id, base, size::NAME, true, 0.0);
}

/// Draws the block: outline with cut corners, places, double circle at the bush.
pub fn block(scene: &mut Scene, job: &Job, template: &Template, placed: &Placed) {
    let pose = Pose::of(placed);
    let body = body(job.kit.as_ref(), template);
    let (l, r, w) = (body.from, body.to, body.half_width);
    let cut = 0.3 * w;
    let points = [
        (l + cut, -w),
        (r - cut, -w),
        (r, -w + cut),
        (r, w - cut),
        (r - cut, w),
        (l + cut, w),
        (l, w - cut),
        (l, -w + cut),
    ]
    .map(|(x, y)| pose.point(x, y));
    scene.polygon(Role::Block, &points);
    for feature in &template.features {
        let centre = At::on(pose.feature(feature));
        if feature.bore_mm.is_none() {
            let radius_mm = 0.5 * job.grid.hole;
            let least = 0.5 * size::HOLE;
            scene.put(Role::Bush, Shape::Circle { centre, radius_mm, least_paper_mm: least });
            scene.put(
                Role::Bush,
                Shape::Circle { centre, radius_mm: radius_mm + 0.6 * scene.view.ratio, least_paper_mm: least + 0.6 },
            );
        } else {
            let radius_mm = 0.5 * feature.bore_mm.map_or(0.0, |b| b.mean());
            scene.put(Role::BarHole, Shape::Circle { centre, radius_mm, least_paper_mm: 0.5 * size::BAR_HOLE });
        }
    }
}

/// A break line across a bar.
fn zigzag(scene: &mut Scene, pose: &Pose, x: f64, half_width: f64) {
    let over = 1.1;
    let (ax, ay) = (pose.along[0], pose.along[1]);
    let (nx, ny) = (pose.across[0], pose.across[1]);
    let at =
        |y: f64, along: f64, out: f64| At::on(pose.point(x, y)).shifted(ax * along + nx * out, ay * along + ny * out);
    let points = vec![
        at(-half_width, 0.0, -over),
        at(-0.3 * half_width, 0.0, 0.0),
        at(-0.12 * half_width, 0.9, 0.0),
        at(0.12 * half_width, -0.9, 0.0),
        at(0.3 * half_width, 0.0, 0.0),
        at(half_width, 0.0, over),
    ];
    scene.put_free(Role::Break, Shape::Path { points, closed: false });
}

/// The part of a line within a box, as parameters; `None` if it misses it.
fn inside(a: Point, b: Point, area: Rect) -> Option<(f64, f64)> {
    let (mut t0, mut t1) = (0.0_f64, 1.0_f64);
    for (p, d, lo, hi) in [(a.x, b.x - a.x, area.x0, area.x1), (a.y, b.y - a.y, area.y0, area.y1)] {
        if d.abs() < 1e-9 {
            if p < lo || p > hi {
                return None;
            }
        } else {
            let (u, v) = ((lo - p) / d, (hi - p) / d);
            t0 = t0.max(u.min(v));
            t1 = t1.min(u.max(v));
        }
    }
    (t0 < t1).then_some((t0, t1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_template_turned_over_mirrors_its_own_y_only() {
        let mut placed = Placed { id: "L1".into(), x_mm: 10.0, y_mm: 20.0, turn_deg: 90.0, turned_over: false };
        let p = Pose::of(&placed).point(100.0, 5.0);
        assert!((p.x - 5.0).abs() < 1e-9 && (p.y - 120.0).abs() < 1e-9, "{p:?}");
        placed.turned_over = true;
        let p = Pose::of(&placed).point(100.0, 5.0);
        assert!((p.x - 15.0).abs() < 1e-9 && (p.y - 120.0).abs() < 1e-9, "{p:?}");
    }
}
