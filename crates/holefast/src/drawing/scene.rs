//! The scene itself: items in drawing order, each a shape with a role, and the view it was made for.
//!
//! A place is a point of the top (mm, y away from the reference edge) plus a shift on the paper
//! (mm, y upwards too). Only [`View::to_paper`] turns the picture round to paper's y downwards.

use kurbo::Rect;

use super::style::size;
use crate::top::Point;

/// A place in the picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct At {
    /// Point of the top, mm.
    pub top: Point,
    /// Shift on the paper, mm, x to the right and y upwards.
    pub shift: [f64; 2],
}

impl At {
    /// A point of the top.
    pub const fn on(top: Point) -> At {
        At { top, shift: [0.0, 0.0] }
    }

    /// The same place, shifted on the paper by mm, y upwards.
    pub fn shifted(self, x: f64, y: f64) -> At {
        At { top: self.top, shift: [self.shift[0] + x, self.shift[1] + y] }
    }
}

/// Which end of a text stands at its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// Its beginning.
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// What a thing in the picture is. Looks follow from it ([`super::Style`]); so do layers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// The work's surface.
    Work,
    /// Hatching of a keep-out.
    Hatching,
    /// Edge of a keep-out below the top.
    KeepOutBelow,
    /// Edge of a keep-out above the top.
    KeepOutAbove,
    /// The top's outline.
    Outline,
    /// The reference edge.
    ReferenceEdge,
    /// The triangle at the reference corner.
    ReferenceCorner,
    /// A dog hole that is wanted.
    HoleWanted,
    /// A pilot that exists.
    Pilot,
    /// A dog hole that exists.
    Opened,
    /// A helper pilot.
    Helper,
    /// A wanted hole that is in conflict.
    Conflict,
    /// What a conflict is.
    ConflictText,
    /// A bar.
    Bar,
    /// A bar's hole.
    BarHole,
    /// Where a bar leaves the picture.
    Break,
    /// The guide block.
    Block,
    /// The guide block's bush.
    Bush,
    /// Ground that keeps a sign clear of what lies under it.
    Clearing,
    /// Ring round what is bored now.
    BoreNow,
    /// The dot in such a ring.
    BoreDot,
    /// A pin in use.
    Pin,
    /// A gauge in use: a pin's sign, open.
    Gauge,
    /// A dog in use.
    Dog,
    /// The pilot bit in its sleeve, where it locates the block.
    Sleeve,
    /// Where a clamp or hold-down presses, and its arm.
    Held,
    /// A spoiled hole that is plugged.
    Plugged,
    /// The kept piece of the work.
    Piece,
    /// What is cut off.
    Waste,
    /// The guide rail.
    GuideRail,
    /// The face that the work lies against.
    Fence,
    /// The cut.
    CutLine,
    /// A dimension's line.
    Dimension,
    /// A dimension's figure.
    DimensionText,
    /// A leader.
    Leader,
    /// A hole's name at the place.
    Name,
    /// The name of a hole that is bored now.
    BoreName,
    /// A row's or column's name at the side.
    RowName,
    /// A bar hole's number.
    BarNumber,
    /// A template's name.
    BarName,
    /// A keep-out's name.
    KeepOutName,
    /// Order of work at a hole.
    Order,
    /// A caution in the picture.
    Caution,
    /// A reading, from hole to hole.
    Reading,
    /// How far a hole lies from its place, exaggerated.
    Deviation,
    /// Where a hole that was read may lie.
    Ellipse,
    /// Where a hole that no reading touches may lie.
    EllipseUnread,
    /// Anything else said in the picture.
    Note,
    /// A paper's text.
    PaperText,
    /// The same, bold.
    PaperBold,
    /// A paper's second text.
    PaperSoft,
    /// The same, bold.
    PaperSoftBold,
    /// The rule under the head of a page or card.
    HeadRule,
    /// The rule over its foot, and over a table.
    FootRule,
    /// The rule under a table's head.
    TableRule,
    /// The rule between steps and between a table's rows.
    RowRule,
    /// The frame of figures, and the lines of a table to write into.
    WriteRule,
    /// A box to tick or to write into.
    TickBox,
    /// The frame of a warning.
    CautionFrame,
    /// The bar at a warning's left.
    CautionBar,
    /// The bar at the left of the maker's own note.
    NoteBar,
    /// The dark part of a bar of figures: of the bar to hold a rule to, and of a share.
    Measured,
    /// A module of a code.
    Module,
    /// Where a page is cut apart.
    CutApart,
}

/// One shape.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// Through all points; closed back to the first if said.
    Path {
        /// Its corners.
        points: Vec<At>,
        /// Back to the first.
        closed: bool,
    },
    /// True size, but never smaller than the least.
    Circle {
        /// Centre.
        centre: At,
        /// Radius on the top, mm.
        radius_mm: f64,
        /// Least radius on the paper, mm.
        least_paper_mm: f64,
    },
    /// A square sign.
    Square {
        /// Centre.
        centre: At,
        /// Side on the paper, mm.
        side_paper_mm: f64,
    },
    /// One line of text.
    Text {
        /// Where the anchor stands on the baseline.
        at: At,
        /// What it says.
        text: String,
        /// Size on the paper, mm.
        size_paper_mm: f64,
        /// Which end stands there.
        anchor: Anchor,
        /// Turned counter-clockwise about its place, degrees.
        turn_deg: f64,
    },
    /// One line of text whose width was measured in the papers' font.
    Measured {
        /// Where it begins on the baseline.
        at: At,
        /// What it says; a space at its end is not counted in the width.
        text: String,
        /// Size on the paper, mm.
        size_paper_mm: f64,
        /// Width on the paper, mm.
        width_paper_mm: f64,
    },
    /// Another scene, set in at its own scale.
    Inset {
        /// Its upper left corner.
        at: At,
        /// What is set in.
        scene: Box<Scene>,
    },
}

/// A shape with its role.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// What it is.
    pub role: Role,
    /// Its shape.
    pub shape: Shape,
    /// Cut off at the view's clip; names and signs beside it are not.
    pub clipped: bool,
}

/// White room round the clip, on the paper, mm.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Margin {
    /// At the left.
    pub left: f64,
    /// At the right.
    pub right: f64,
    /// Below.
    pub below: f64,
    /// Above.
    pub above: f64,
}

/// Which part of the top is shown, and how large.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// The part shown, mm of the top.
    pub clip: Rect,
    /// Drawn 1 : this.
    pub ratio: f64,
    /// Room round it.
    pub margin: Margin,
}

/// Scales drawings are made in, 1 : n. Whole numbers, so that a rule can be held to the paper.
const RATIOS: [f64; 34] = [
    1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 14.0, 15.0, 16.0, 17.0, 18.0, 19.0, 20.0,
    22.0, 24.0, 26.0, 28.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 75.0, 100.0, 150.0, 200.0,
];

impl View {
    /// Largest drawing of `what` (mm of the top) within `room` (width and height on the paper, mm,
    /// margin included), not larger than 1 : `largest`. The clip is `what` itself.
    pub fn fit(what: Rect, room: [f64; 2], margin: Margin, largest: f64) -> View {
        let w = (room[0] - margin.left - margin.right).max(1.0);
        let h = (room[1] - margin.below - margin.above).max(1.0);
        let need = (what.width() / w).max(what.height() / h).max(largest);
        let ratio = RATIOS.into_iter().find(|&r| r >= need - 1e-9).unwrap_or(need);
        View { clip: what, ratio, margin }
    }

    /// The same scale with the clip grown to fill `room`, but not beyond `limit`; kept on `what`.
    pub fn filled(self, room: [f64; 2], limit: Rect) -> View {
        let w = (room[0] - self.margin.left - self.margin.right).max(1.0) * self.ratio;
        let h = (room[1] - self.margin.below - self.margin.above).max(1.0) * self.ratio;
        let (x0, x1) = grow(self.clip.x0, self.clip.x1, w, limit.x0, limit.x1);
        let (y0, y1) = grow(self.clip.y0, self.clip.y1, h, limit.y0, limit.y1);
        View { clip: Rect::new(x0, y0, x1, y1), ..self }
    }

    /// Paper mm for a length of the top, mm.
    pub fn paper(&self, mm: f64) -> f64 {
        mm / self.ratio
    }

    /// Place on the paper, mm from its upper left corner, y downwards.
    pub fn to_paper(&self, at: At) -> [f64; 2] {
        [
            self.margin.left + (at.top.x - self.clip.x0) / self.ratio + at.shift[0],
            self.margin.above + (self.clip.y1 - at.top.y) / self.ratio - at.shift[1],
        ]
    }

    /// The point of the top at a place on the paper; [`View::to_paper`] turned round.
    pub fn to_top(&self, [x, y]: [f64; 2]) -> Point {
        Point::new(
            self.clip.x0 + (x - self.margin.left) * self.ratio,
            self.clip.y1 - (y - self.margin.above) * self.ratio,
        )
    }

    /// Width of the whole picture, mm of paper.
    pub fn width(&self) -> f64 {
        self.clip.width() / self.ratio + self.margin.left + self.margin.right
    }

    /// Height of the whole picture, mm of paper.
    pub fn height(&self) -> f64 {
        self.clip.height() / self.ratio + self.margin.below + self.margin.above
    }

    /// True if a point of the top lies in the clip.
    pub fn shows(&self, point: Point) -> bool {
        point.x >= self.clip.x0 && point.x <= self.clip.x1 && point.y >= self.clip.y0 && point.y <= self.clip.y1
    }
}

/// Grows `from..to` to `want`, both ways alike, within `least..most`; never shrinks it.
fn grow(from: f64, to: f64, want: f64, least: f64, most: f64) -> (f64, f64) {
    let extra = (want - (to - from)).max(0.0);
    let room_before = (from - least).max(0.0);
    let room_after = (most - to).max(0.0);
    let before = (0.5 * extra).max(extra - room_after).min(room_before);
    let after = (extra - before).min(room_after);
    (from - before, to + after)
}

/// The clip is cut this much wider on the paper, mm, so that it does not halve the line of an edge
/// that lies on it (half the heaviest line).
pub const CLIP_BLEED: f64 = 0.35;

/// A finished drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Scene {
    /// What it shows, in a sentence, for people who cannot see it.
    pub about: String,
    /// Which part, how large.
    pub view: View,
    /// What is drawn, in order.
    pub items: Vec<Item>,
}

impl Scene {
    /// An empty scene.
    pub fn new(view: View) -> Scene {
        Scene { about: String::new(), view, items: Vec::new() }
    }

    /// Adds a shape that is cut off at the clip.
    pub fn put(&mut self, role: Role, shape: Shape) {
        self.items.push(Item { role, shape, clipped: true });
    }

    /// Adds a shape that may stand beside the clip.
    pub fn put_free(&mut self, role: Role, shape: Shape) {
        self.items.push(Item { role, shape, clipped: false });
    }

    /// Adds words as large as notes are, also beside the clip.
    pub fn note(&mut self, role: Role, at: At, anchor: Anchor, text: &str) {
        self.put_free(
            role,
            Shape::Text { at, text: text.to_owned(), size_paper_mm: size::NOTE, anchor, turn_deg: 0.0 },
        );
    }

    /// Adds a straight line between two points of the top.
    pub fn line(&mut self, role: Role, from: Point, to: Point) {
        self.put(role, Shape::Path { points: vec![At::on(from), At::on(to)], closed: false });
    }

    /// Adds a polygon of the top.
    pub fn polygon(&mut self, role: Role, points: &[Point]) {
        self.put(role, Shape::Path { points: points.iter().map(|&p| At::on(p)).collect(), closed: true });
    }

    /// All text of the scene, in drawing order; not that of scenes set into it.
    pub fn texts(&self) -> impl Iterator<Item = (Role, &str)> {
        self.items.iter().filter_map(|i| match &i.shape {
            Shape::Text { text, .. } | Shape::Measured { text, .. } => Some((i.role, text.as_str())),
            _ => None,
        })
    }

    /// Which roles occur: the key of signs in use.
    pub fn roles(&self) -> std::collections::BTreeSet<Role> {
        self.items.iter().map(|i| i.role).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_scale_is_the_largest_whole_one_that_fits() {
        let margin = Margin { left: 5.0, right: 5.0, below: 4.0, above: 4.0 };
        let view = View::fit(Rect::new(0.0, 0.0, 1450.0, 780.0), [192.0, 120.0], margin, 1.0);
        assert_eq!(view.ratio, 8.0);
        assert!(view.width() <= 192.0 && view.height() <= 120.0);
        let larger = View { ratio: 7.0, ..view };
        assert!(larger.width() > 192.0, "1 : 7 would have fitted too");
    }

    #[test]
    fn a_place_keeps_its_paper_shift_at_any_scale() {
        for ratio in [1.0, 9.0, 30.0] {
            let view = View { clip: Rect::new(10.0, 20.0, 110.0, 220.0), ratio, margin: Margin::default() };
            let a = view.to_paper(At::on(Point::new(30.0, 40.0)));
            let b = view.to_paper(At::on(Point::new(30.0, 40.0)).shifted(2.0, 3.0));
            assert!((b[0] - a[0] - 2.0).abs() < 1e-12 && (a[1] - b[1] - 3.0).abs() < 1e-12);
            assert!((a[0] - 20.0 / ratio).abs() < 1e-12 && (a[1] - 180.0 / ratio).abs() < 1e-12);
            assert!((view.to_top(a) - Point::new(30.0, 40.0)).hypot() < 1e-9);
        }
    }

    #[test]
    fn the_clip_grows_into_the_room_but_not_off_the_limit() {
        let view = View { clip: Rect::new(0.0, 0.0, 100.0, 100.0), ratio: 10.0, margin: Margin::default() };
        let grown = view.filled([30.0, 20.0], Rect::new(-20.0, -500.0, 900.0, 500.0));
        assert_eq!(grown.clip, Rect::new(-20.0, -50.0, 280.0, 150.0));
    }
}
