//! Which part of the top the drawing shows: the whole, or a part of it, nearer. Pure.
//!
//! A nearer look is another drawing at a larger scale, so that text and lines keep their size.

use holefast::drawing::{Scene, View, part_view, top_part, top_view, wider_view};
use holefast::top::Point;
use kurbo::{Rect, Vec2};

use crate::bench::Laid;

/// Height of the room that the drawing is laid out for, as a part of its width.
const ROOM_HEIGHT: f64 = 0.72;

/// No look is nearer than this many times life size.
const NEAREST: f64 = 2.0;

/// What is looked at.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Look {
    /// All of it, with its dimensions.
    #[default]
    Whole,
    /// This part, mm of the top.
    Part(Rect),
    /// The whole as it was when a pull began: the sheet may grow and the drawing stays.
    Held(View),
}

impl Look {
    /// The drawing of it, `width` mm wide.
    pub fn scene(self, laid: &Laid, width: f64) -> Scene {
        match self {
            Look::Whole => top_view(&laid.job, &laid.layout, [width, ROOM_HEIGHT * width]),
            Look::Part(window) => top_part(&laid.job, &laid.layout, part_view(window, width)),
            Look::Held(view) => top_part(&laid.job, &laid.layout, view),
        }
    }

    /// Nearer by this factor (further below 1), the point `at` staying where it is on the paper.
    /// `whole` is the view of the whole top.
    pub fn nearer(self, whole: &View, at: Point, factor: f64) -> Look {
        let now = self.window(whole);
        let length = (now.width() / factor).max(whole.width() / NEAREST);
        if !factor.is_finite() || length >= whole.clip.width() {
            return Look::Whole;
        }
        let height = length * shape(whole);
        let from = |at: f64, least: f64, size: f64, new: f64| at - new * (at - least) / size;
        let x = from(at.x, now.x0, now.width(), length);
        let y = from(at.y, now.y0, now.height(), height);
        Look::part(whole, Rect::from_origin_size((x, y), (length, height)))
    }

    /// The sheet pulled along by so many mm of it; the whole stays the whole.
    pub fn pulled(self, whole: &View, by: Vec2) -> Look {
        match self {
            Look::Part(window) => Look::part(whole, window - by),
            as_it_is => as_it_is,
        }
    }

    /// Held as it is while a pull goes on.
    pub fn held(self, whole: &View) -> Look {
        match self {
            Look::Whole => Look::Held(wider_view(whole)),
            as_it_is => as_it_is,
        }
    }

    /// Let go after a pull.
    pub fn let_go(self) -> Look {
        match self {
            Look::Held(_) => Look::Whole,
            as_it_is => as_it_is,
        }
    }

    /// A part that shows this point.
    pub fn showing(self, whole: &View, point: Point) -> Look {
        match self {
            Look::Part(window) if !window.contains(point) => Look::part(whole, window + (point - window.center())),
            as_it_is => as_it_is,
        }
    }

    fn window(self, whole: &View) -> Rect {
        match self {
            Look::Part(window) => window,
            Look::Whole | Look::Held(_) => whole.clip,
        }
    }

    /// A part that keeps to the sheet, a little beyond its sides.
    fn part(whole: &View, window: Rect) -> Look {
        /// Of the part's own size.
        const BEYOND: f64 = 0.06;
        let kept = |from: f64, to: f64, least: f64, most: f64| {
            let size = to - from;
            let (least, most) = (least - BEYOND * size, most + BEYOND * size - size);
            if least < most { from.clamp(least, most) } else { 0.5 * (least + most) }
        };
        let sheet = whole.clip;
        let x = kept(window.x0, window.x1, sheet.x0, sheet.x1);
        let y = kept(window.y0, window.y1, sheet.y0, sheet.y1);
        Look::Part(Rect::from_origin_size((x, y), window.size()))
    }
}

/// Height over width of a part, so that its drawing takes the room of the whole one: nothing below it
/// moves when somebody looks nearer.
fn shape(whole: &View) -> f64 {
    let margin = part_view(whole.clip, whole.width()).margin;
    let height = whole.height() - margin.above - margin.below;
    let width = whole.width() - margin.left - margin.right;
    if height > 0.0 && width > 0.0 { height / width } else { whole.clip.height() / whole.clip.width() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::Bench;

    const WIDTH: f64 = 200.0;

    fn whole() -> (Bench, View) {
        let bench = Bench::new(crate::EXAMPLE);
        let view = Look::Whole.scene(bench.laid().unwrap(), WIDTH).view;
        (bench, view)
    }

    #[test]
    fn what_is_under_the_finger_stays_there() {
        let (bench, whole) = whole();
        let at = Point::new(900.0, 300.0);
        let first = Look::Whole.nearer(&whole, at, 2.0);
        let before = first.scene(bench.laid().unwrap(), WIDTH).view.to_paper(holefast::drawing::At::on(at));
        let second = first.nearer(&whole, at, 1.5);
        let after = second.scene(bench.laid().unwrap(), WIDTH).view.to_paper(holefast::drawing::At::on(at));
        assert!((before[0] - after[0]).abs() < 1e-6 && (before[1] - after[1]).abs() < 1e-6, "{before:?} {after:?}");
        assert_ne!(first, second);
        let part = first.scene(bench.laid().unwrap(), whole.width()).view;
        assert!((part.height() - whole.height()).abs() < 1e-6, "{} mm high, {} before", part.height(), whole.height());
    }

    #[test]
    fn a_pulled_sheet_grows_on_a_drawing_that_stays() {
        let (mut bench, whole) = whole();
        let held = Look::Whole.held(&whole);
        let corner = holefast::drawing::At::on(Point::new(1450.0, 780.0));
        let before = whole.to_paper(corner);
        bench.change(crate::EXAMPLE.replacen("length = 1450 ", "length = 1500 ", 1));
        let after = held.scene(bench.laid().unwrap(), WIDTH);
        let now = after.view.to_paper(corner);
        assert!((before[0] - now[0]).abs() < 1e-9 && (before[1] - now[1]).abs() < 1e-9, "{before:?} {now:?}");
        assert!(
            (after.view.width() - whole.width()).abs() < 1e-9 && (after.view.height() - whole.height()).abs() < 1e-9
        );
        assert!(after.view.shows(Point::new(1500.0, 400.0)), "the new side shows");
        assert_eq!(held.let_go(), Look::Whole);
    }

    #[test]
    fn far_enough_it_is_the_whole_again_and_near_enough_it_stops() {
        let (_, whole) = whole();
        let at = Point::new(100.0, 100.0);
        assert_eq!(Look::Whole.nearer(&whole, at, 3.0).nearer(&whole, at, 0.3), Look::Whole);
        let Look::Part(nearest) = Look::Whole.nearer(&whole, at, 1e9) else { panic!("the whole") };
        assert!((nearest.width() - whole.width() / NEAREST).abs() < 1e-9);
        assert_eq!(Look::Whole.nearer(&whole, at, f64::NAN), Look::Whole);
    }

    #[test]
    fn the_sheet_cannot_be_pulled_out_of_sight() {
        let (_, whole) = whole();
        let near = Look::Whole.nearer(&whole, Point::new(700.0, 400.0), 4.0);
        let Look::Part(window) = near.pulled(&whole, Vec2::new(1e5, -1e5)) else { panic!("the whole") };
        assert!(
            whole.clip.inflate(0.1 * window.width(), 0.1 * window.height()).union(window).area()
                < 1.5 * whole.clip.area()
        );
        assert!(window.x0 < 0.0 && window.y1 > 780.0 && window.x1 > 100.0 && window.y0 < 700.0, "{window:?}");
        let Look::Part(found) = near.showing(&whole, Point::new(75.0, 90.0)) else { panic!("the whole") };
        assert!(found.contains(Point::new(75.0, 90.0)));
    }
}
