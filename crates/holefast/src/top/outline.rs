//! Plain geometry of the sheet: signed distances to its outline and to keep-outs, area, extent.
//!
//! Knows nothing of rows and columns; what a distance means for a hole is `clear`'s matter.
//! Millimetres. Distances are taken by square root, not by `hypot`, whose last bit differs from
//! machine to machine.

use kurbo::{Point, Rect};

use super::{KeepOut, KeepOutShape};

/// Distance between two points, mm.
pub(crate) fn distance(a: Point, b: Point) -> f64 {
    (b - a).hypot2().sqrt()
}

/// The place of the segment from `a` to `b` that is nearest to a point.
pub(crate) fn foot_on(point: Point, a: Point, b: Point) -> Point {
    let along = b - a;
    let length2 = along.hypot2();
    let t = if length2 > 0.0 { ((point - a).dot(along) / length2).clamp(0.0, 1.0) } else { 0.0 };
    a + along * t
}

/// Distance from a point to the segment from `a` to `b`, mm.
pub(crate) fn distance_to_segment(point: Point, a: Point, b: Point) -> f64 {
    distance(point, foot_on(point, a, b))
}

/// The sides of a closed outline, each as its two corners.
pub(crate) fn sides(outline: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    outline.iter().copied().zip(outline.iter().copied().cycle().skip(1))
}

/// Distance from a point to the outline, mm; negative off the sheet, nil on its edge.
pub(crate) fn depth_in_outline(outline: &[Point], point: Point) -> f64 {
    let mut nearest = f64::INFINITY;
    let mut inside = false;
    for (a, b) in sides(outline) {
        nearest = nearest.min(distance_to_segment(point, a, b));
        // A ray towards +x crosses the side; half-open in y, so that a corner counts once.
        if (a.y > point.y) != (b.y > point.y) && point.x < a.x + (point.y - a.y) / (b.y - a.y) * (b.x - a.x) {
            inside = !inside;
        }
    }
    if inside { nearest } else { -nearest }
}

/// Distance from a point to a keep-out's shape, mm; negative inside it.
pub(crate) fn distance_to_keep_out(keep_out: &KeepOut, point: Point) -> f64 {
    match keep_out.shape {
        KeepOutShape::Rect { x, y, length, width } => {
            let beside = (x - point.x).max(point.x - (x + length));
            let over = (y - point.y).max(point.y - (y + width));
            if beside > 0.0 && over > 0.0 { (beside * beside + over * over).sqrt() } else { beside.max(over) }
        }
        KeepOutShape::Circle { centre, diameter } => distance(centre, point) - 0.5 * diameter,
    }
}

/// Area inside an outline, mm²; nil for fewer than three corners.
pub(crate) fn area(outline: &[Point]) -> f64 {
    0.5 * sides(outline).map(|(a, b)| a.x * b.y - b.x * a.y).sum::<f64>().abs()
}

/// The upright rectangle around an outline, mm; `None` without corners or with one not finite.
pub(crate) fn extent(outline: &[Point]) -> Option<Rect> {
    let first = *outline.first()?;
    let rect = outline.iter().fold(Rect::from_points(first, first), |rect, &corner| rect.union_pt(corner));
    outline.iter().all(|corner| corner.is_finite()).then_some(rect)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::top::Side;

    fn cut_corner() -> Vec<Point> {
        [(0.0, 0.0), (1450.0, 0.0), (1450.0, 620.0), (1290.0, 780.0), (0.0, 780.0)].map(Point::from).to_vec()
    }

    #[test]
    fn depth_is_the_distance_to_the_nearest_side() {
        let outline = cut_corner();
        assert!((depth_in_outline(&outline, Point::new(75.0, 90.0)) - 75.0).abs() < 1e-12);
        // The cut corner is the line x + y = 2070.
        let slanted = (2070.0 - 1375.0 - 690.0) / 2f64.sqrt();
        assert!((depth_in_outline(&outline, Point::new(1375.0, 690.0)) - slanted).abs() < 1e-9);
        assert!((depth_in_outline(&outline, Point::new(1450.0, 780.0)) + 160.0 / 2f64.sqrt()).abs() < 1e-9);
        assert!((depth_in_outline(&outline, Point::new(-3.0, -4.0)) + 5.0).abs() < 1e-12);
    }

    #[test]
    fn area_and_extent_of_a_cut_corner() {
        assert_eq!(area(&cut_corner()), 1450.0 * 780.0 - 0.5 * 160.0 * 160.0);
        assert_eq!(extent(&cut_corner()), Some(Rect::new(0.0, 0.0, 1450.0, 780.0)));
        assert_eq!(extent(&[]), None);
    }

    #[test]
    fn keep_outs_by_side_corner_and_inside() {
        let rail = KeepOut {
            name: "rail".to_owned(),
            shape: KeepOutShape::Rect { x: 10.0, y: 0.0, length: 20.0, width: 100.0 },
            clearance: 0.0,
            side: Side::Below,
        };
        assert_eq!(distance_to_keep_out(&rail, Point::new(4.0, 50.0)), 6.0);
        assert_eq!(distance_to_keep_out(&rail, Point::new(33.0, 104.0)), 5.0);
        assert_eq!(distance_to_keep_out(&rail, Point::new(26.0, 50.0)), -4.0);
        let leg = KeepOut { shape: KeepOutShape::Circle { centre: Point::new(0.0, 0.0), diameter: 4.0 }, ..rail };
        assert_eq!(distance_to_keep_out(&leg, Point::new(3.0, 4.0)), 3.0);
    }
}
