//! Hatching at 45°: the lines that fill a keep-out, as plain segments, so that every writer and
//! every viewer shows the same ones.

use kurbo::Rect;

use crate::math;
use crate::top::{KeepOutShape, Point};

/// Corners of a keep-out's shape; a circle as a polygon that departs less than 0.3 % of its radius.
pub fn corners(shape: &KeepOutShape) -> Vec<Point> {
    match *shape {
        KeepOutShape::Rect { x, y, length, width } => vec![
            Point::new(x, y),
            Point::new(x + length, y),
            Point::new(x + length, y + width),
            Point::new(x, y + width),
        ],
        KeepOutShape::Circle { centre, diameter } => (0..48)
            .map(|i| {
                let (s, c) = math::sin_cos(f64::from(i) * std::f64::consts::TAU / 48.0);
                Point::new(centre.x + 0.5 * diameter * c, centre.y + 0.5 * diameter * s)
            })
            .collect(),
    }
}

/// Lines x − y = constant inside a polygon and the clip, `step` mm apart (measured across them).
pub fn lines(polygon: &[Point], clip: Rect, step: f64) -> Vec<[Point; 2]> {
    let mut all = Vec::new();
    // Not a distance anyone draws; keeps a mistaken scale from making millions of lines.
    if polygon.len() < 3 || step < 1e-6 {
        return all;
    }
    let along = step * std::f64::consts::SQRT_2;
    let c = |p: &Point| p.x - p.y;
    let least = polygon.iter().map(c).fold(f64::INFINITY, f64::min);
    let most = polygon.iter().map(c).fold(f64::NEG_INFINITY, f64::max);
    let first = (least / along).ceil() as i64;
    let last = (most / along).floor() as i64;
    if last - first > 4000 {
        return all;
    }
    for k in first..=last {
        let value = k as f64 * along;
        // x where the line crosses each side; inside between the first and second, and so on.
        let mut crossings: Vec<f64> = (0..polygon.len())
            .filter_map(|i| {
                let (p, q) = (polygon[i], polygon[(i + 1) % polygon.len()]);
                let (cp, cq) = (c(&p) - value, c(&q) - value);
                ((cp < 0.0) != (cq < 0.0)).then(|| p.x + (q.x - p.x) * cp / (cp - cq))
            })
            .collect();
        crossings.sort_by(f64::total_cmp);
        for pair in crossings.chunks_exact(2) {
            let x0 = pair[0].max(clip.x0).max(clip.y0 + value);
            let x1 = pair[1].min(clip.x1).min(clip.y1 + value);
            if x1 > x0 {
                all.push([Point::new(x0, x0 - value), Point::new(x1, x1 - value)]);
            }
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hatching_covers_the_area_at_the_given_density() {
        // Length of all lines times their distance is the area, nearly.
        let shape = KeepOutShape::Circle { centre: Point::new(100.0, 80.0), diameter: 60.0 };
        let lines = lines(&corners(&shape), Rect::new(0.0, 0.0, 500.0, 500.0), 0.5);
        let length: f64 = lines.iter().map(|[a, b]| a.distance(*b)).sum();
        let area = std::f64::consts::PI * 900.0;
        assert!((length * 0.5 / area - 1.0).abs() < 0.01, "{} of {area}", length * 0.5);
        assert!(lines.iter().flatten().all(|p| p.distance(Point::new(100.0, 80.0)) < 30.01));
    }

    #[test]
    fn nothing_is_hatched_outside_the_clip() {
        let shape = KeepOutShape::Rect { x: 0.0, y: 0.0, length: 50.0, width: 50.0 };
        let clip = Rect::new(10.0, 20.0, 30.0, 90.0);
        let lines = lines(&corners(&shape), clip, 2.0);
        assert!(!lines.is_empty());
        for p in lines.iter().flatten() {
            assert!(p.x > 9.999 && p.x < 30.001 && p.y > 19.999 && p.y < 50.001, "{p:?}");
        }
    }
}
