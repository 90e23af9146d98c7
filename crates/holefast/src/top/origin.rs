//! The origin by fit: of the origins with most holes, the one nearest to centred.
//!
//! How many holes are possible changes only where the origin crosses a line or circle on which
//! some hole just touches its limit. So the best origin nearest to centred is the centred one
//! itself, or the foot of the perpendicular from it on such a curve, or a point where two such
//! curves cross; all of these are tried. Exact while the curves number at most [`MOST_CURVES`],
//! best effort beyond. Millimetres.

use std::collections::BTreeSet;

use kurbo::{Point, Rect, Vec2};

use super::clear::{self, LEAST_WOOD};
use super::ground::{self, Ground};
use super::layout;
use super::outline::{distance, sides};
use super::{Count, KeepOutShape};
use crate::job::Job;

/// Curves beyond this many are left out, those farthest from the centred origin first: a thousand
/// make half a million crossings, about a second's work.
const MOST_CURVES: usize = 1000;

/// Origins and curves nearer to each other than this are one, mm; as fine as the limits are kept.
const SAME: f64 = clear::ON_THE_LIMIT;

/// Where the origin may be for some number of rows and columns.
struct Window {
    rows: u32,
    columns: u32,
    origins: Rect,
    centred: Point,
}

/// Returns rows, columns and origin with most possible holes, nearest to centred among these.
pub(crate) fn fit(job: &Job, extent: Rect) -> Option<Ground> {
    let mut best: Option<(usize, f64, Ground)> = None;
    for window in windows(job, extent) {
        let wanted = layout::wanted(job, window.rows, window.columns);
        for (origin, away) in candidates(job, &window, &wanted) {
            let here = Ground { rows: window.rows, columns: window.columns, origin };
            let total = wanted.len() + job.grid.extra.len();
            // As many holes nearer to centred, or more holes anywhere.
            let needed = match best {
                Some((most, nearest, _)) if away < nearest - SAME => most,
                Some((most, ..)) => most + 1,
                None => 0,
            };
            if needed > total {
                break;
            }
            if let Some(possible) = layout::count_possible(job, &wanted, origin, needed) {
                best = Some((possible, away, here));
            }
        }
    }
    let (_, _, mut found) = best?;
    let tidy = |value: f64| (value / SAME).round() * SAME;
    found.origin = Point::new(tidy(found.origin.x), tidy(found.origin.y));
    Some(found)
}

/// The numbers of rows and columns worth trying, with the origins that each leaves room for. One
/// row or column fewer than the most may keep more holes: it leaves more room to dodge a rail.
fn windows(job: &Job, extent: Rect) -> Vec<Window> {
    let edge = job.grid.edge;
    let axis = |count: Count, pitch: f64, min: f64, max: f64| -> Vec<(u32, f64, f64)> {
        let first = min + edge;
        let last = |n: u32| max - edge - f64::from(n - 1) * pitch;
        match count {
            Count::Number(n) => vec![(n, first.min(last(n)), first.max(last(n)))],
            Count::Fit => {
                let most = ground::fitting(max - edge - first, pitch);
                let mut all = Vec::new();
                if most >= 1 {
                    all.push((most, first, last(most)));
                }
                if most >= 2 {
                    all.push((most - 1, last(most), (first + pitch).min(last(most - 1))));
                }
                all
            }
        }
    };
    let columns = axis(job.grid.columns, job.grid.pitch[0], extent.x0, extent.x1);
    let rows = axis(job.grid.rows, job.grid.pitch[1], extent.y0, extent.y1);
    let mut all = Vec::new();
    for &(rows, y0, y1) in &rows {
        for &(columns, x0, x1) in &columns {
            let centred = ground::centred(job, extent, rows, columns);
            all.push(Window { rows, columns, origins: Rect::new(x0, y0, x1.max(x0), y1.max(y0)), centred });
        }
    }
    all
}

/// A curve on which the origin lies when some hole just touches its limit.
#[derive(Clone, Copy)]
enum Curve {
    /// All p with n · p = d, n of unit length.
    Line { n: Vec2, d: f64 },
    /// A circle.
    Circle { centre: Point, radius: f64 },
}

impl Curve {
    fn line(through: Point, normal: Vec2) -> Option<Curve> {
        let length = normal.hypot2().sqrt();
        if length <= 0.0 {
            return None;
        }
        let mut n = normal / length;
        if n.x < 0.0 || (n.x == 0.0 && n.y < 0.0) {
            n = -n;
        }
        Some(Curve::Line { n, d: n.dot(through.to_vec2()) })
    }

    fn moved(self, by: Vec2) -> Curve {
        match self {
            Curve::Line { n, d } => Curve::Line { n, d: d + n.dot(by) },
            Curve::Circle { centre, radius } => Curve::Circle { centre: centre + by, radius },
        }
    }

    /// Nearest point of the curve.
    fn foot(self, from: Point) -> Option<Point> {
        match self {
            Curve::Line { n, d } => Some(from + n * (d - n.dot(from.to_vec2()))),
            Curve::Circle { centre, radius } => {
                let out = from - centre;
                let length = out.hypot2().sqrt();
                (length > SAME).then(|| centre + out * (radius / length))
            }
        }
    }

    fn crosses(self, window: Rect) -> bool {
        match self {
            Curve::Line { n, d } => {
                let corners =
                    [(window.x0, window.y0), (window.x1, window.y0), (window.x0, window.y1), (window.x1, window.y1)];
                let along = corners.map(|c| n.dot(Point::from(c).to_vec2()));
                let least = along.iter().copied().fold(f64::INFINITY, f64::min);
                let greatest = along.iter().copied().fold(f64::NEG_INFINITY, f64::max);
                least - SAME <= d && d <= greatest + SAME
            }
            Curve::Circle { centre, radius } => {
                let near = Point::new(centre.x.clamp(window.x0, window.x1), centre.y.clamp(window.y0, window.y1));
                let far = Vec2::new(
                    (centre.x - window.x0).abs().max((centre.x - window.x1).abs()),
                    (centre.y - window.y0).abs().max((centre.y - window.y1).abs()),
                );
                distance(near, centre) <= radius + SAME && radius - SAME <= far.hypot2().sqrt()
            }
        }
    }

    /// To tell equal curves apart from different ones.
    fn key(self) -> [i64; 4] {
        let k = |value: f64| (value / SAME).round() as i64;
        match self {
            Curve::Line { n, d } => [0, k(n.x), k(n.y), k(d)],
            Curve::Circle { centre, radius } => [1, k(centre.x), k(centre.y), k(radius)],
        }
    }

    fn crossings(self, other: Curve) -> Vec<Point> {
        match (self, other) {
            (Curve::Line { n, d }, Curve::Line { n: m, d: e }) => {
                let det = n.cross(m);
                if det.abs() < 1e-12 {
                    return Vec::new();
                }
                vec![Point::new((d * m.y - e * n.y) / det, (n.x * e - m.x * d) / det)]
            }
            (Curve::Line { n, d }, Curve::Circle { centre, radius })
            | (Curve::Circle { centre, radius }, Curve::Line { n, d }) => {
                let short = d - n.dot(centre.to_vec2());
                let half2 = radius * radius - short * short;
                if half2 < 0.0 {
                    return Vec::new();
                }
                let foot = centre + n * short;
                let along = Vec2::new(-n.y, n.x) * half2.sqrt();
                vec![foot + along, foot - along]
            }
            (Curve::Circle { centre: a, radius: r }, Curve::Circle { centre: b, radius: s }) => {
                let between = b - a;
                let length2 = between.hypot2();
                if length2 < SAME * SAME {
                    return Vec::new();
                }
                let t = 0.5 * (1.0 + (r * r - s * s) / length2);
                let half2 = r * r - t * t * length2;
                if half2 < 0.0 {
                    return Vec::new();
                }
                let along = Vec2::new(-between.y, between.x) * (half2 / length2).sqrt();
                vec![a + between * t + along, a + between * t - along]
            }
        }
    }
}

/// The curves on which a grid hole in the top's frame just touches a limit.
fn limits(job: &Job) -> Vec<Curve> {
    let radius = 0.5 * job.grid.hole;
    let mut curves = Vec::new();
    let mut ring = |centre: Point, radius: f64| curves.push(Curve::Circle { centre, radius });
    for (corner, _) in sides(&job.top.outline) {
        ring(corner, job.grid.edge);
    }
    for extra in &job.grid.extra {
        ring(extra.centre, radius + 0.5 * extra.diameter + LEAST_WOOD);
    }
    let mut straight = Vec::new();
    for keep_out in &job.keep_outs {
        let off = radius + keep_out.clearance.max(0.0);
        match keep_out.shape {
            KeepOutShape::Rect { x, y, length, width } => {
                for corner in [(x, y), (x + length, y), (x, y + width), (x + length, y + width)] {
                    ring(corner.into(), off);
                }
                let (x_axis, y_axis) = (Vec2::new(1.0, 0.0), Vec2::new(0.0, 1.0));
                straight.push((Point::new(x - off, y), x_axis));
                straight.push((Point::new(x + length + off, y), x_axis));
                straight.push((Point::new(x, y - off), y_axis));
                straight.push((Point::new(x, y + width + off), y_axis));
            }
            KeepOutShape::Circle { centre, diameter } => ring(centre, off + 0.5 * diameter),
        }
    }
    for (a, b) in sides(&job.top.outline) {
        let normal = Vec2::new(a.y - b.y, b.x - a.x);
        let length = normal.hypot2().sqrt();
        if length > 0.0 {
            // Either side of the edge: which one is inside depends on the way round.
            straight.push((a + normal * (job.grid.edge / length), normal));
            straight.push((a - normal * (job.grid.edge / length), normal));
        }
    }
    curves.extend(straight.into_iter().filter_map(|(through, normal)| Curve::line(through, normal)));
    curves
}

/// Origins worth trying with their distance from centred, nearest first.
fn candidates(job: &Job, window: &Window, wanted: &[super::Cell]) -> Vec<(Point, f64)> {
    let Window { origins, centred, .. } = *window;
    let mut curves = Vec::new();
    let mut known = BTreeSet::new();
    let mut add = |curve: Option<Curve>| {
        if let Some(curve) = curve.filter(|curve| curve.crosses(origins))
            && known.insert(curve.key())
        {
            curves.push(curve);
        }
    };
    for corner in [(origins.x0, origins.y0), (origins.x1, origins.y1)] {
        add(Curve::line(corner.into(), Vec2::new(1.0, 0.0)));
        add(Curve::line(corner.into(), Vec2::new(0.0, 1.0)));
    }
    let limits = limits(job);
    for cell in wanted {
        let back = -ground::offset(job, *cell);
        for limit in &limits {
            add(Some(limit.moved(back)));
        }
    }
    if curves.len() > MOST_CURVES {
        let away = |curve: &Curve| curve.foot(centred).map_or(f64::INFINITY, |foot| distance(foot, centred));
        curves.sort_by(|a, b| away(a).total_cmp(&away(b)));
        curves.truncate(MOST_CURVES);
    }
    let mut points = vec![centred];
    for (idx, curve) in curves.iter().enumerate() {
        points.extend(curve.foot(centred));
        for other in &curves[..idx] {
            points.extend(curve.crossings(*other));
        }
    }
    let mut seen = BTreeSet::new();
    let mut found: Vec<_> = points
        .into_iter()
        .filter(|p| origins.inflate(SAME, SAME).contains(*p))
        .map(|p| Point::new(p.x.clamp(origins.x0, origins.x1), p.y.clamp(origins.y0, origins.y1)))
        .filter(|p| seen.insert(((p.x / SAME).round() as i64, (p.y / SAME).round() as i64)))
        .map(|p| (p, distance(p, centred)))
        .collect();
    found.sort_by(|a, b| a.1.total_cmp(&b.1));
    found
}
