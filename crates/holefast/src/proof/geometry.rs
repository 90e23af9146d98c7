//! What a reading measures, as a function of places, with its derivatives.
//!
//! Every function gives the value and, for each place it was handed, in that order, the derivative
//! by its x and y. Places in mm, angles in rad. Degenerate places (two holes on one another) give no
//! panic, only values that are not finite; readings are held against the layout before.

use crate::math;

/// A place, mm.
pub(super) type P = [f64; 2];

fn minus(a: P, b: P) -> P {
    [a[0] - b[0], a[1] - b[1]]
}

/// Distance between two places.
pub(super) fn distance(a: P, b: P) -> (f64, [P; 2]) {
    let [x, y] = minus(b, a);
    let length = math::hypot(x, y);
    let unit = [x / length, y / length];
    (length, [[-unit[0], -unit[1]], unit])
}

/// Offset of `of` from the line `from` → `to`, positive to its left.
pub(super) fn offset(of: P, from: P, to: P) -> (f64, [P; 3]) {
    let d = minus(to, from);
    let r = minus(of, from);
    let length = math::hypot(d[0], d[1]);
    let unit = [d[0] / length, d[1] / length];
    let normal = [-unit[1], unit[0]];
    let value = r[0] * normal[0] + r[1] * normal[1];
    // How far along the line the foot lies, as a share of it: the ends share the offset's turn.
    let along = (r[0] * unit[0] + r[1] * unit[1]) / length;
    let scaled = |by: f64| [normal[0] * by, normal[1] * by];
    (value, [normal, scaled(along - 1.0), scaled(-along)])
}

/// Angle, 0 to π, between the rays `a` and `b`, each from its first place to its second.
pub(super) fn angle(a: [P; 2], b: [P; 2]) -> (f64, [P; 4]) {
    let (p, q) = (minus(a[1], a[0]), minus(b[1], b[0]));
    let cross = p[0] * q[1] - p[1] * q[0];
    let along = p[0] * q[0] + p[1] * q[1];
    let sign = if cross < 0.0 { -1.0 } else { 1.0 };
    // dφ of a ray for a change of its second place; the first place's is its opposite.
    let turn = |r: P, by: f64| {
        let squared = r[0] * r[0] + r[1] * r[1];
        [-by * r[1] / squared, by * r[0] / squared]
    };
    let (ta, tb) = (turn(p, -sign), turn(q, sign));
    let back = |t: P| [-t[0], -t[1]];
    (math::atan2(cross.abs(), along), [back(ta), ta, back(tb), tb])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The derivatives against differences of the value itself.
    fn check<const N: usize>(at: [P; N], of: impl Fn([P; N]) -> (f64, [P; N])) {
        const STEP: f64 = 1e-4;
        let (_, slopes) = of(at);
        for k in 0..N {
            for axis in 0..2 {
                let moved = |by: f64| {
                    let mut at = at;
                    at[k][axis] += by;
                    of(at).0
                };
                let difference = (moved(STEP) - moved(-STEP)) / (2.0 * STEP);
                assert!((difference - slopes[k][axis]).abs() < 1e-8, "{k} {axis}: {difference} {:?}", slopes[k]);
            }
        }
    }

    #[test]
    fn derivatives_are_those_of_the_values() {
        let places = [[3.0, 4.0], [960.0, -7.5], [411.0, 300.0], [-80.0, 612.0]];
        check([places[0], places[1]], |[a, b]| distance(a, b));
        check([places[2], places[0], places[1]], |[c, a, b]| offset(c, a, b));
        check([places[3], places[0], places[1]], |[c, a, b]| offset(c, a, b));
        check(places, |[a, b, c, d]| angle([a, b], [c, d]));
        check([places[0], places[1], places[0], places[3]], |[a, b, c, d]| angle([a, b], [c, d]));
        check([places[0], places[3], places[0], places[1]], |[a, b, c, d]| angle([a, b], [c, d]));
    }

    #[test]
    fn signs_are_those_of_the_conventions() {
        let (o, x, y) = ([0.0, 0.0], [100.0, 0.0], [0.0, 50.0]);
        assert!((offset(y, o, x).0 - 50.0).abs() < 1e-12, "left of the line is positive");
        assert!((offset(x, o, y).0 + 100.0).abs() < 1e-12);
        let right = std::f64::consts::FRAC_PI_2;
        assert!((angle([o, x], [o, y]).0 - right).abs() < 1e-15);
        assert!((angle([o, y], [o, x]).0 - right).abs() < 1e-15, "either ray may come first");
        assert!(angle([o, x], [o, [-1.0, 50.0]]).0 > right);
        assert_eq!(distance(o, y).0, 50.0);
    }
}
