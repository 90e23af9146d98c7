//! Reads and checks the outline of the sheet: a simple polygon within length × width.

use super::read::{Reader, Table};
use super::tree::Value;
use super::values::Range;
use crate::fault::Fault;
use crate::top::Point;

/// Most corners: enough for a curve drawn in 1 mm steps around a bench's end, and few enough that
/// comparing every side with every other takes no time.
const MOST_CORNERS: usize = 500;

/// A corner may lie this far outside the sheet, mm: rounding of typed inches, nothing more.
const OUTSIDE_TOLERANCE: f64 = 1e-6;

/// A sheet narrower than this is not one, mm: twice the wood that must stay beside a hole.
const LEAST_BREADTH: f64 = 6.0;

/// Reads `top.outline`; the result runs counter-clockwise whichever way it was written.
pub(super) fn read(reader: &mut Reader, top: &Table<'_>, length: f64, width: f64) -> Option<Vec<Point>> {
    let span = top.place("outline");
    let items = reader.list(top, "outline", "a list of corners")?;
    if items.len() > MOST_CORNERS {
        let message = format!("the outline has {} corners, at most {MOST_CORNERS} are read", items.len());
        reader.fault(span, Fault::input(message));
        return None;
    }
    let mut corners = Vec::new();
    let mut sound = true;
    for item in items {
        let Value::List(pair) = &item.value else {
            let message = format!("a corner of top.outline must be [x, y], this is {}", item.value.shown());
            reader.fault(item.span, Fault::input(message));
            sound = false;
            continue;
        };
        let Some([x, y]) = reader.lengths_of(pair, item.span, "a corner of top.outline", Range::PLACE) else {
            sound = false;
            continue;
        };
        let out = (-x).max(x - length).max(-y).max(y - width);
        if out > OUTSIDE_TOLERANCE {
            let message = format!("this corner of the outline lies {} outside length × width", reader.say(out));
            reader.fault(item.span, Fault::input(message).hint("correct the corner, or top.length and top.width"));
            sound = false;
        }
        corners.push((Point::new(x, y), item.span));
    }
    if !sound {
        return None;
    }
    // Some close the polygon by writing the first corner again.
    if corners.len() > 1 && corners[0].0 == corners[corners.len() - 1].0 {
        corners.pop();
    }
    if corners.len() < 3 {
        let message = format!("the outline has {} different corners, it needs at least 3", corners.len());
        reader.fault(span, Fault::input(message).hint("take the outline out for a plain rectangle"));
        return None;
    }
    let points: Vec<Point> = corners.iter().map(|c| c.0).collect();
    if let Some((i, j)) = meeting_sides(&points) {
        let message = format!(
            "the outline crosses or touches itself: its side from corner {} meets its side from corner {}",
            i + 1,
            j + 1
        );
        reader.fault(corners[j].1, Fault::input(message).hint("write the corners in order around the sheet"));
        return None;
    }
    let around: f64 = (0..points.len()).map(|i| (points[(i + 1) % points.len()] - points[i]).hypot2().sqrt()).sum();
    // Of a long strip this is its breadth, of any other shape about half its inner circle's diameter.
    let breadth = doubled_area(&points).abs() / around;
    if breadth < LEAST_BREADTH {
        let message = format!("the outline encloses a strip only {} wide", reader.say(breadth));
        let hint = format!("a sheet is at least {} wide: are all corners in the same unit?", reader.say(LEAST_BREADTH));
        reader.fault(span, Fault::input(message).hint(hint));
        return None;
    }
    let mut points = points;
    if doubled_area(&points) < 0.0 {
        points.reverse();
    }
    Some(points)
}

/// Twice the area, positive counter-clockwise, mm².
fn doubled_area(points: &[Point]) -> f64 {
    (0..points.len())
        .map(|i| {
            let (a, b) = (points[i], points[(i + 1) % points.len()]);
            a.x * b.y - b.x * a.y
        })
        .sum()
}

/// The first two sides that have a point in common which they should not.
fn meeting_sides(points: &[Point]) -> Option<(usize, usize)> {
    let n = points.len();
    let side = |i: usize| (points[i], points[(i + 1) % n]);
    for i in 0..n {
        let (a, b) = side(i);
        if a == b {
            return Some((i, (i + 1) % n));
        }
        for j in i + 1..n {
            let (c, d) = side(j);
            let meet = if j == i + 1 {
                // Neighbours share b = c; they must not fold back on each other.
                folds_back(a, b, d)
            } else if (j + 1) % n == i {
                folds_back(c, d, b)
            } else {
                segments_meet(a, b, c, d)
            };
            if meet {
                return Some((i, j));
            }
        }
    }
    None
}

/// True if a line from one point to another has a point in common with the sheet.
pub(super) fn touches(outline: &[Point], from: Point, to: Point) -> bool {
    let n = outline.len();
    let side = |i: usize| (outline[i], outline[(i + 1) % n]);
    // Either it crosses a side, or it lies wholly within: then a ray from it crosses an odd number.
    (0..n).any(|i| segments_meet(from, to, side(i).0, side(i).1))
        || (0..n)
            .filter(|&i| {
                let (a, b) = side(i);
                (a.y > from.y) != (b.y > from.y) && from.x < a.x + (from.y - a.y) / (b.y - a.y) * (b.x - a.x)
            })
            .count()
            % 2
            == 1
}

fn turn(a: Point, b: Point, c: Point) -> f64 {
    (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)
}

/// True if b → d runs straight back over a → b.
fn folds_back(a: Point, b: Point, d: Point) -> bool {
    turn(a, b, d) == 0.0 && (a.x - b.x) * (d.x - b.x) + (a.y - b.y) * (d.y - b.y) > 0.0
}

fn segments_meet(a: Point, b: Point, c: Point, d: Point) -> bool {
    let within = |p: Point, q: Point, r: Point| {
        r.x >= p.x.min(q.x) && r.x <= p.x.max(q.x) && r.y >= p.y.min(q.y) && r.y <= p.y.max(q.y)
    };
    let (t1, t2, t3, t4) = (turn(a, b, c), turn(a, b, d), turn(c, d, a), turn(c, d, b));
    // Signs, not products: two tiny turns multiplied may round to nought.
    let apart = |s: f64, t: f64| (s > 0.0 && t < 0.0) || (s < 0.0 && t > 0.0);
    (apart(t1, t2) && apart(t3, t4))
        || (t1 == 0.0 && within(a, b, c))
        || (t2 == 0.0 && within(a, b, d))
        || (t3 == 0.0 && within(c, d, a))
        || (t4 == 0.0 && within(c, d, b))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(list: &[(f64, f64)]) -> Vec<Point> {
        list.iter().map(|&(x, y)| Point::new(x, y)).collect()
    }

    #[test]
    fn lines_on_and_beside_a_notched_sheet() {
        let outline = points(&[
            (0.0, 0.0),
            (70.0, 0.0),
            (70.0, 50.0),
            (40.0, 50.0),
            (40.0, 20.0),
            (20.0, 20.0),
            (20.0, 50.0),
            (0.0, 50.0),
        ]);
        let on = |from: (f64, f64), to: (f64, f64)| touches(&outline, from.into(), to.into());
        assert!(on((10.0, 10.0), (11.0, 12.0)), "wholly within");
        assert!(on((-5.0, 0.0), (80.0, 0.0)), "along a side");
        assert!(on((30.0, -5.0), (30.0, 45.0)) && on((70.0, 50.0), (90.0, 90.0)));
        assert!(!on((30.0, 25.0), (30.0, 45.0)), "in the notch");
        assert!(!on((71.0, 0.0), (71.0, 50.0)));
    }

    #[test]
    fn simple_polygons_are_told_from_others() {
        let square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)];
        assert_eq!(meeting_sides(&points(&square)), None);
        assert_eq!(doubled_area(&points(&square)), 200.0);
        let bow_tie = [(0.0, 0.0), (10.0, 10.0), (10.0, 0.0), (0.0, 10.0)];
        assert_eq!(meeting_sides(&points(&bow_tie)), Some((0, 2)));
        let spike = [(0.0, 0.0), (10.0, 0.0), (5.0, 0.0), (5.0, 10.0)];
        assert!(meeting_sides(&points(&spike)).is_some());
        let pinched = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (5.0, 0.0), (0.0, 10.0)];
        assert!(meeting_sides(&points(&pinched)).is_some());
        let straight_corner = [(0.0, 0.0), (5.0, 0.0), (10.0, 0.0), (10.0, 10.0)];
        assert_eq!(meeting_sides(&points(&straight_corner)), None);
        let flat = [(0.0, 0.0), (5.0, 0.0), (10.0, 0.0)];
        assert!(meeting_sides(&points(&flat)).is_some());
    }
}
