//! Where templates and their features lie, and distances to the sheet's edge and to keep-outs.
//!
//! Written apart from the layout's own geometry, so that a slip in one shows against the other.

use std::collections::BTreeMap;

use kurbo::{BezPath, Line, ParamCurveNearest, Point, Rect, Shape, Vec2};

use super::Bench;
use crate::fault::Fault;
use crate::kit::{Bar, Kit};
use crate::math;
use crate::plan::{Feature, Placed, Setup, Template, TemplateKind};
use crate::top::{KeepOut, KeepOutShape, Side};

/// A template as it lies in a set-up.
pub(super) struct Lying<'a> {
    pub template: &'a Template,
    /// Its origin in the top's frame.
    origin: Point,
    /// Unit vectors of its own axes; a template turned over has the second one mirrored.
    along: Vec2,
    across: Vec2,
}

impl Lying<'_> {
    /// A point of the template in the top's frame.
    fn at(&self, x: f64, y: f64) -> Point {
        self.origin + self.along * x + self.across * y
    }

    /// A feature's nominal place in the top's frame, mm.
    pub(super) fn place(&self, feature: &Feature) -> Point {
        self.at(feature.x_mm, feature.y_mm)
    }

    /// Where a point of the top lies in the template's own axes, mm.
    pub(super) fn own(&self, at: Point) -> Point {
        let from = at - self.origin;
        Point::new(self.along.dot(from), self.across.dot(from))
    }

    /// Unit vectors along and across it.
    pub(super) fn axes(&self) -> (Vec2, Vec2) {
        (self.along, self.across)
    }

    /// A feature's place counted from the template's origin, in the top's axes, mm.
    pub(super) fn arm(&self, feature: &Feature) -> Vec2 {
        self.place(feature) - self.origin
    }
}

/// Lays a set-up's templates down, by id.
pub(super) fn lay<'a>(bench: &Bench<'a>, setup: &'a Setup) -> Result<BTreeMap<&'a str, Lying<'a>>, Fault> {
    if setup.templates.is_empty() {
        return Err(Fault::impossible("no template is placed"));
    }
    let mut lying = BTreeMap::new();
    for placed in &setup.templates {
        let id = placed.id.as_str();
        let Some(template) = bench.plan.template(id) else {
            return Err(Fault::input(format!("the template {id} is not in the plan's list")));
        };
        let bar = bar_of(bench.kit, id);
        if placed.turned_over && !bar.is_some_and(|bar| bar.turn_over) {
            let hint = if bar.is_some() { "its turn_over is false in the kit" } else { "the block has one face down" };
            return Err(Fault::impossible(format!("{id} lies turned over, and may not")).hint(hint));
        }
        let lies = lies(template, placed);
        for keep_out in bench.job.keep_outs.iter().filter(|keep_out| keep_out.side != Side::Below) {
            let over = footprint(bench.kit, &lies);
            let into = overlap(keep_out, over);
            if into > TOUCHING {
                return Err(Fault::impossible(format!("{id} would lie {into:.1} mm into {}", keep_out.name))
                    .hint("what stands above the top is in the way of bars and block too"));
            }
        }
        if lying.insert(id, lies).is_some() {
            return Err(Fault::impossible(format!("{id} is placed twice, and there is one of it")));
        }
    }
    Ok(lying)
}

/// Overlaps up to this are touching, mm.
const TOUCHING: f64 = 1e-3;

fn lies<'a>(template: &'a Template, placed: &Placed) -> Lying<'a> {
    let (sin, cos) = math::sin_cos(placed.turn_deg.to_radians());
    let flip = if placed.turned_over { -1.0 } else { 1.0 };
    Lying {
        template,
        origin: Point::new(placed.x_mm, placed.y_mm),
        along: Vec2::new(cos, sin),
        across: Vec2::new(-sin, cos) * flip,
    }
}

/// The kit's bar behind a template's id: the name, then the number.
pub(super) fn bar_of<'a>(kit: &'a Kit, id: &str) -> Option<&'a Bar> {
    kit.bars.iter().find(|bar| {
        id.strip_prefix(bar.name.as_str())
            .and_then(|number| number.parse::<u32>().ok())
            .is_some_and(|number| (1..=bar.count).contains(&number))
    })
}

/// The corners of what a template covers, in order around it. Where the kit does not say how wide
/// it is, the line of its holes.
pub(super) fn footprint(kit: &Kit, lies: &Lying) -> [Point; 4] {
    let features = &lies.template.features;
    let least = features.iter().map(|f| f.x_mm).fold(f64::INFINITY, f64::min);
    let greatest = features.iter().map(|f| f.x_mm).fold(f64::NEG_INFINITY, f64::max);
    let (x0, x1, half) = match (lies.template.kind, bar_of(kit, &lies.template.id), kit.block.size) {
        (TemplateKind::Bar, Some(bar), _) => {
            let beyond = bar.beyond.unwrap_or(0.0);
            (least - beyond, greatest + beyond, 0.5 * bar.width.unwrap_or(0.0))
        }
        (TemplateKind::Block, _, Some([length, width, _])) => (-0.5 * length, 0.5 * length, 0.5 * width),
        _ => (least, greatest, 0.0),
    };
    [lies.at(x0, -half), lies.at(x1, -half), lies.at(x1, half), lies.at(x0, half)]
}

/// How far a template's rectangle reaches into a keep-out, mm; nil or less if it stays off.
pub(super) fn overlap(keep_out: &KeepOut, corners: [Point; 4]) -> f64 {
    match keep_out.shape {
        KeepOutShape::Circle { centre, diameter } => {
            let gap = depth(&corners, centre);
            0.5 * diameter + gap
        }
        KeepOutShape::Rect { x, y, length, width } => {
            let other = [(x, y), (x + length, y), (x + length, y + width), (x, y + width)].map(Point::from);
            polygons_overlap(&corners, &other)
        }
    }
}

/// How far two rectangles reach into each other, mm; nil or less if they stay off each other.
///
/// Two convex shapes stay off each other if their shadows on some side's normal do.
pub(super) fn polygons_overlap(a: &[Point; 4], b: &[Point; 4]) -> f64 {
    [a, b]
        .into_iter()
        .flat_map(|corners| {
            // A rectangle without width or length has its other side for a normal, too.
            let [x, y] = [corners[1] - corners[0], corners[3] - corners[0]];
            [x, y, turn(x), turn(y)]
        })
        .filter(|normal| normal.hypot2() > 0.0)
        .map(|normal| {
            let normal = normal / normal.hypot2().sqrt();
            let shadow = |points: &[Point]| {
                points
                    .iter()
                    .map(|p| normal.dot(p.to_vec2()))
                    .fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), along| {
                        (least.min(along), most.max(along))
                    })
            };
            let ((a0, a1), (b0, b1)) = (shadow(a), shadow(b));
            (a1 - b0).min(b1 - a0)
        })
        .fold(f64::INFINITY, f64::min)
}

fn turn(v: Vec2) -> Vec2 {
    Vec2::new(-v.y, v.x)
}

/// Depth of a point inside a closed line of corners, mm; negative outside.
pub(super) fn depth(outline: &[Point], point: Point) -> f64 {
    let mut path = BezPath::new();
    for (n, corner) in outline.iter().enumerate() {
        if n == 0 { path.move_to(*corner) } else { path.line_to(*corner) }
    }
    path.close_path();
    let nearest2 = (0..outline.len())
        .map(|n| Line::new(outline[n], outline[(n + 1) % outline.len()]))
        .filter(|side| side.p0 != side.p1)
        .map(|side| side.nearest(point, 1e-9).distance_sq)
        .fold(f64::INFINITY, f64::min);
    let sign = if path.winding(point) != 0 { 1.0 } else { -1.0 };
    sign * nearest2.sqrt()
}

/// Distance from a point to a keep-out's shape, mm; negative inside.
pub(super) fn keep_out_gap(keep_out: &KeepOut, point: Point) -> f64 {
    match keep_out.shape {
        KeepOutShape::Rect { x, y, length, width } => {
            let rect = Rect::new(x, y, x + length, y + width);
            -depth(
                &[(rect.x0, rect.y0), (rect.x1, rect.y0), (rect.x1, rect.y1), (rect.x0, rect.y1)].map(Point::from),
                point,
            )
        }
        KeepOutShape::Circle { centre, diameter } => (point - centre).hypot2().sqrt() - 0.5 * diameter,
    }
}
