//! Where bars and block may lie: what stands above the top is in their way.
//!
//! Footprints are rectangles of the kit's outside dimensions; where the kit does not say how wide
//! a bar or the block is, the line of its holes. Hanging over the sheet's edge is allowed.

use crate::kit::{Bar, Kit};
use crate::math::{hypot, sin_cos};
use crate::plan::{Placed, Template, TemplateKind};
use crate::top::{KeepOut, KeepOutShape, Point, Side};

/// A rectangle lying at an angle: middle, unit vector along, half length, half width; mm.
#[derive(Clone, Copy, Debug)]
pub(super) struct Footprint {
    middle: Point,
    along: (f64, f64),
    half: [f64; 2],
}

impl Footprint {
    /// What a bar covers whose hole 0 is at `hole_0`, with its last hole `length` further `towards`
    /// (any length but nil). `beyond`: from its end holes to its ends.
    pub(super) fn of_bar(hole_0: Point, towards: (f64, f64), length: f64, beyond: f64, width: f64) -> Footprint {
        let norm = (towards.0 * towards.0 + towards.1 * towards.1).sqrt();
        let along = (towards.0 / norm, towards.1 / norm);
        Footprint {
            middle: Point::new(hole_0.x + 0.5 * length * along.0, hole_0.y + 0.5 * length * along.1),
            along,
            half: [0.5 * length + beyond, 0.5 * width],
        }
    }

    /// What the block covers over a hole, along the row or along the column.
    pub(super) fn of_block(kit: &Kit, hole: Point, along_row: bool) -> Footprint {
        let reach = kit.block.reach[usize::from(!along_row)];
        let [length, width, _] = kit.block.size.unwrap_or([2.0 * reach, 0.0, 0.0]);
        let along = if along_row { (1.0, 0.0) } else { (0.0, 1.0) };
        Footprint { middle: hole, along, half: [0.5 * length, 0.5 * width] }
    }

    /// True if the rectangle stays off every keep-out that stands above.
    pub(super) fn is_clear(&self, keep_outs: &[KeepOut]) -> bool {
        keep_outs.iter().filter(|k| k.side != Side::Below).all(|k| self.stays_off(k.shape))
    }

    /// True if it stays off every keep-out that stands below.
    pub(super) fn is_clear_below(&self, keep_outs: &[KeepOut]) -> bool {
        keep_outs.iter().filter(|k| k.side != Side::Above).all(|k| self.stays_off(k.shape))
    }

    fn stays_off(&self, shape: KeepOutShape) -> bool {
        match shape {
            KeepOutShape::Circle { centre, diameter } => {
                let [a, b] = self.local(centre);
                let outside = |x: f64, half: f64| (x.abs() - half).max(0.0);
                let (dx, dy) = (outside(a, self.half[0]), outside(b, self.half[1]));
                dx * dx + dy * dy >= 0.25 * diameter * diameter
            }
            KeepOutShape::Rect { x, y, length, width } => {
                let middle = Point::new(x + 0.5 * length, y + 0.5 * width);
                let half = [0.5 * length, 0.5 * width];
                let (c, s) = (self.along.0.abs(), self.along.1.abs());
                let apart = self.local(middle);
                // Two rectangles stay apart if they do along one of their four sides.
                apart[0].abs() >= self.half[0] + half[0] * c + half[1] * s
                    || apart[1].abs() >= self.half[1] + half[0] * s + half[1] * c
                    || (middle.x - self.middle.x).abs() >= half[0] + self.half[0] * c + self.half[1] * s
                    || (middle.y - self.middle.y).abs() >= half[1] + self.half[0] * s + self.half[1] * c
            }
        }
    }

    /// What a placed template covers, where the kit knows it.
    pub(super) fn of_placed(kit: &Kit, template: &Template, placed: &Placed) -> Footprint {
        let (sin, cos) = sin_cos(placed.turn_deg.to_radians());
        let first = Point::new(placed.x_mm, placed.y_mm);
        match template.kind {
            TemplateKind::Block => {
                let along_row = cos.abs() > sin.abs();
                Footprint::of_block(kit, first, along_row)
            }
            TemplateKind::Bar => {
                let length = template.features.last().map_or(0.0, |f| f.x_mm);
                let (beyond, width) = bar_named(kit, &template.id)
                    .map_or((0.0, 0.0), |bar| (bar.beyond.unwrap_or(0.0), bar.width.unwrap_or(0.0)));
                Footprint::of_bar(first, (cos, sin), length, beyond, width)
            }
        }
    }

    /// How far two templates lie into each other, mm; less than nil if they lie apart. Exact where
    /// they do, a lower bound of their distance where not.
    pub(super) fn overlap(&self, other: &Footprint) -> f64 {
        let apart = (other.middle.x - self.middle.x, other.middle.y - self.middle.y);
        let across = |a: (f64, f64)| (-a.1, a.0);
        [self.along, across(self.along), other.along, across(other.along)]
            .into_iter()
            .map(|axis| self.shadow(axis) + other.shadow(axis) - (apart.0 * axis.0 + apart.1 * axis.1).abs())
            .fold(f64::INFINITY, f64::min)
    }

    /// Half the rectangle's extent along an axis.
    fn shadow(&self, axis: (f64, f64)) -> f64 {
        let along = (self.along.0 * axis.0 + self.along.1 * axis.1).abs();
        let across = (self.along.0 * axis.1 - self.along.1 * axis.0).abs();
        self.half[0] * along + self.half[1] * across
    }

    /// Distance from a point to the rectangle, mm; nil inside.
    pub(super) fn distance(&self, p: Point) -> f64 {
        let [a, b] = self.local(p);
        let outside = |x: f64, half: f64| (x.abs() - half).max(0.0);
        hypot(outside(a, self.half[0]), outside(b, self.half[1]))
    }

    /// A straight strip from one point to another, `width` wide.
    pub(super) fn strip(from: Point, to: Point, width: f64) -> Footprint {
        let length = hypot(to.x - from.x, to.y - from.y);
        let towards = if length > 0.0 { (to.x - from.x, to.y - from.y) } else { (1.0, 0.0) };
        Footprint::of_bar(from, towards, length, 0.0, width)
    }

    /// Its two ends on its own middle line, the lower one first.
    pub(super) fn ends(&self) -> [Point; 2] {
        [-self.half[0], self.half[0]].map(|a| self.at(a, 0.0))
    }

    /// The point `a` along and `b` across from the middle.
    pub(super) fn at(&self, a: f64, b: f64) -> Point {
        Point::new(
            self.middle.x + a * self.along.0 - b * self.along.1,
            self.middle.y + a * self.along.1 + b * self.along.0,
        )
    }

    /// Half its length and half its width, mm.
    pub(super) fn half(&self) -> [f64; 2] {
        self.half
    }

    /// A point along and across, from the middle.
    pub(super) fn local(&self, p: Point) -> [f64; 2] {
        let (dx, dy) = (p.x - self.middle.x, p.y - self.middle.y);
        [dx * self.along.0 + dy * self.along.1, dy * self.along.0 - dx * self.along.1]
    }
}

/// The kit's bar behind a template's id, `L2`.
pub(super) fn bar_named<'a>(kit: &'a Kit, id: &str) -> Option<&'a Bar> {
    kit.bars.iter().find(|bar| (1..=bar.count).any(|n| format!("{}{n}", bar.name) == id))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_bars_lie_into_each_other_where_they_cross_and_not_beside() {
        let bar =
            |x: f64, y: f64, towards: (f64, f64)| Footprint::of_bar(Point::new(x, y), towards, 1000.0, 20.0, 40.0);
        let along = bar(0.0, 0.0, (1.0, 0.0));
        assert!((along.overlap(&bar(0.0, 39.0, (1.0, 0.0))) - 1.0).abs() < 1e-9);
        assert!((along.overlap(&bar(0.0, 41.0, (1.0, 0.0))) + 1.0).abs() < 1e-9);
        assert!(along.overlap(&bar(500.0, -500.0, (0.0, 1.0))) > 39.0);
        // An oblique one from (500, 50) up: its lower corner, 20 mm beyond and 20 mm beside its
        // first hole, lies at y = 50 - 20 * 0.8 - 20 * 0.6 = 22, two above the other's side.
        assert!((along.overlap(&bar(500.0, 50.0, (3.0, 4.0))) + 2.0).abs() < 1e-9);
        assert!((along.distance(Point::new(1050.0, 60.0)) - 50.0).abs() < 1e-9);
    }

    fn above(shape: KeepOutShape) -> Vec<KeepOut> {
        vec![KeepOut { name: "vice".into(), shape, clearance: 0.0, side: Side::Above }]
    }

    #[test]
    fn an_oblique_bar_passes_a_corner_that_its_bounding_box_would_hit() {
        // From (0, 0) to (600, 800), 40 wide: the line 4 x = 3 y. A square near (100, 700) is
        // 340 mm off the line, well inside the bounding box.
        let bar = Footprint::of_bar(Point::new(0.0, 0.0), (3.0, 4.0), 1000.0, 20.0, 40.0);
        let square = |x: f64, y: f64| above(KeepOutShape::Rect { x, y, length: 50.0, width: 50.0 });
        assert!(bar.is_clear(&square(75.0, 675.0)));
        assert!(!bar.is_clear(&square(275.0, 375.0)));
        // Distance from (100, 300) to the line: |4·100 − 3·300| / 5 = 100; half the width is 20.
        let round = |d: f64| above(KeepOutShape::Circle { centre: Point::new(100.0, 300.0), diameter: d });
        assert!(bar.is_clear(&round(159.9)) && !bar.is_clear(&round(160.1)));
    }

    #[test]
    fn what_stands_below_is_in_nobodys_way() {
        let bar = Footprint::of_bar(Point::new(0.0, 0.0), (1.0, 0.0), 1000.0, 20.0, 40.0);
        let mut rail = above(KeepOutShape::Rect { x: 100.0, y: -50.0, length: 45.0, width: 100.0 });
        assert!(!bar.is_clear(&rail));
        rail[0].side = Side::Below;
        assert!(bar.is_clear(&rail));
    }
}
