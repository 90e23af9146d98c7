//! A straight face lying against the dogs in two holes: its direction, and how that hangs on the
//! holes' places.
//!
//! Signed offsets s₁, s₂ of the face from the two centres, positive left of the way from the first
//! to the second, centres d apart in direction φ: the face runs in ψ = φ + asin((s₂ − s₁)/d), and
//! passes the first centre at s₁. Exact for any two circles and either side of each.

use super::places::Places;
use crate::job::LineSide;
use crate::math;
use crate::top::Point;

/// A face against two dogs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// The two holes, by index in the places, in the line's direction.
    pub holes: [usize; 2],
    /// Which side of them touches.
    pub side: LineSide,
    /// Diameters of the dogs where touched, mm.
    pub dogs: [f64; 2],
}

/// Direction of the face that passes two centres at these signed offsets, rad, −π to π; `None` where
/// the offsets differ by more than the centres are apart.
///
/// * `offsets`: positive left of the way from `first` to `second`, mm.
pub fn direction_of(first: Point, second: Point, offsets: [f64; 2]) -> Option<f64> {
    Between::of(first, second).direction(offsets)
}

/// The way from one centre to another, worked out once for faces against dogs of many sizes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Between {
    /// How far, mm.
    length: f64,
    /// Which way, rad.
    angle: f64,
}

impl Between {
    pub(super) fn of(first: Point, second: Point) -> Between {
        let (dx, dy) = (second.x - first.x, second.y - first.y);
        Between { length: math::hypot(dx, dy), angle: math::atan2(dy, dx) }
    }

    /// As [`direction_of`].
    pub(super) fn direction(&self, offsets: [f64; 2]) -> Option<f64> {
        let turn = (offsets[1] - offsets[0]) / self.length;
        // also false for two centres in one place
        if turn.abs() >= 1.0 || turn.is_nan() {
            return None;
        }
        Some(self.angle + math::asin(turn))
    }
}

/// A line worked out: where its face runs, and its gradient.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Face {
    /// Its direction ψ, rad.
    pub direction: f64,
    /// The unit vector along it.
    pub along: [f64; 2],
    /// Its distance from the origin along the normal at its left, mm.
    pub offset: f64,
    /// Centres apart, mm.
    pub base: f64,
    /// Change of ψ per shift of the second centre, rad per mm, the first centre's the negative.
    pub turn: [f64; 2],
}

impl Face {
    /// The unit vector a quarter turn left of it.
    pub fn normal(&self) -> [f64; 2] {
        [-self.along[1], self.along[0]]
    }

    /// How far along the line a point lies, from the origin's foot, mm.
    pub fn along_of(&self, p: Point) -> f64 {
        self.along[0] * p.x + self.along[1] * p.y
    }

    /// How far left of the line a point lies, mm.
    pub fn left_of(&self, p: Point) -> f64 {
        let n = self.normal();
        n[0] * p.x + n[1] * p.y - self.offset
    }

    /// The same line shifted to the left, mm.
    pub fn shifted(&self, left: f64) -> Face {
        Face { offset: self.offset + left, ..*self }
    }
}

impl Line {
    /// +1 where the face touches at the left, −1 at the right.
    pub fn sign(&self) -> f64 {
        match self.side {
            LineSide::Left => 1.0,
            LineSide::Right => -1.0,
        }
    }

    /// Signed offsets of the face from the two centres, mm.
    pub fn offsets(&self) -> [f64; 2] {
        self.dogs.map(|dog| 0.5 * dog * self.sign())
    }

    /// Works the line out on these places; `None` where the dogs are too thick for their distance.
    pub fn face(&self, places: &Places) -> Option<Face> {
        let [a, b] = self.holes.map(|hole| places.holes()[hole].centre);
        self.face_at(a, b)
    }

    /// As [`Line::face`], with the two centres given.
    pub fn face_at(&self, first: Point, second: Point) -> Option<Face> {
        let offsets = self.offsets();
        let between = Between::of(first, second);
        let direction = between.direction(offsets)?;
        let (sin, cos) = math::sin_cos(direction);
        let base = between.length;
        let turn = (offsets[1] - offsets[0]) / base;
        let per_mm = 1.0 / (base * (1.0 - turn * turn).sqrt());
        Some(Face {
            direction,
            along: [cos, sin],
            offset: -sin * first.x + cos * first.y + offsets[0],
            base,
            turn: [-sin * per_mm, cos * per_mm],
        })
    }
}
