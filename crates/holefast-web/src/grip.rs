//! What a finger or mouse takes hold of on the drawing, and what the job becomes when that is pulled.
//! Pure: places are mm of the top, the outcome is the job's text.

use holefast::Fault;
use holefast::job::{
    add_keep_out, bring_back, leave_out, put_corner, put_keep_out, put_origin, put_size, snapped, step,
};
use holefast::top::{Cell, KeepOutShape, Point};
use kurbo::{Rect, Vec2};

use crate::bench::{Bench, Laid};

/// What touching the drawing changes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Touch {
    /// Holes: left out and brought back.
    #[default]
    Holes,
    /// Keep-outs: drawn, moved, sized.
    KeepOuts,
    /// The sheet's sides and the place of A1.
    Sheet,
}

/// Which sides of a rectangle a pull moves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sides {
    left: bool,
    right: bool,
    near: bool,
    far: bool,
}

/// What is held.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Grip {
    /// A place of the grid; all that the finger passes become as the first does.
    Places(Cell),
    /// A keep-out, and which of its sides move.
    KeepOut(usize, Sides),
    /// Wood where a keep-out is begun.
    Blank,
    /// The side at the far end of the length, and the side away from the reference edge.
    Side {
        /// The length changes.
        length: bool,
        /// The width changes.
        width: bool,
    },
    /// A corner of the outline.
    Corner(usize),
    /// A1, and the grid with it.
    Origin,
}

/// A keep-out narrower than this many steps is a slip of the finger.
const LEAST_STEPS: f64 = 5.0;

/// What lies under the finger: the nearest thing within `reach`, mm of the top.
pub fn taken(laid: &Laid, touch: Touch, at: Point, reach: f64) -> Option<Grip> {
    match touch {
        Touch::Holes => place_at(laid, at).map(Grip::Places),
        Touch::KeepOuts => {
            let all = laid.job.keep_outs.iter().enumerate();
            let found = all.rev().find_map(|(i, k)| sides_at(k.shape, at, reach).map(|sides| Grip::KeepOut(i, sides)));
            Some(found.unwrap_or(Grip::Blank))
        }
        Touch::Sheet => sheet_at(laid, at, reach),
    }
}

/// The place of the grid that a point belongs to, if it is near enough to one.
pub fn place_at(laid: &Laid, at: Point) -> Option<Cell> {
    /// Of the pitch: neighbours do not overlap.
    const REACH: f64 = 0.48;
    let layout = &laid.layout;
    let from = at - layout.place(0, 0);
    let (column, row) = ((from.x / layout.pitch[0]).round(), (from.y / layout.pitch[1]).round());
    if column < 0.0 || row < 0.0 || column >= f64::from(layout.columns) || row >= f64::from(layout.rows) {
        return None;
    }
    let cell = Cell::new(row as u32, column as u32);
    let off = at - layout.place(row as i32, column as i32);
    (off.hypot() <= REACH * layout.pitch[0].min(layout.pitch[1])).then_some(cell)
}

fn bounds(shape: KeepOutShape) -> Rect {
    match shape {
        KeepOutShape::Rect { x, y, length, width } => Rect::new(x, y, x + length, y + width),
        KeepOutShape::Circle { centre, diameter } => Rect::from_center_size(centre, (diameter, diameter)),
    }
}

fn sides_at(shape: KeepOutShape, at: Point, reach: f64) -> Option<Sides> {
    let area = bounds(shape);
    if !area.inflate(reach, reach).contains(at) {
        return None;
    }
    // Of a narrow one the sides lie nearer to each other than a finger is broad: its middle third moves it.
    let (rx, ry) = (reach.min(area.width() / 3.0), reach.min(area.height() / 3.0));
    let (left, right) = (at.x < area.x0 + rx, at.x > area.x1 - rx);
    let (near, far) = (at.y < area.y0 + ry, at.y > area.y1 - ry);
    if !(left || right || near || far) {
        return Some(Sides { left: true, right: true, near: true, far: true });
    }
    Some(Sides { left, right, near, far })
}

fn sheet_at(laid: &Laid, at: Point, reach: f64) -> Option<Grip> {
    let (job, layout) = (&laid.job, &laid.layout);
    let off = |p: Point| (at - p).hypot();
    let mut near: Vec<(f64, Grip)> = vec![(off(layout.place(0, 0)), Grip::Origin)];
    if job.places.contains_key("top.outline") {
        near.extend(job.top.outline.iter().enumerate().map(|(i, &p)| (off(p), Grip::Corner(i))));
    }
    let beside = |along: f64, most: f64| (-reach..=most + reach).contains(&along);
    if beside(at.y, job.top.width) {
        near.push(((at.x - job.top.length).abs(), Grip::Side { length: true, width: false }));
    }
    if beside(at.x, job.top.length) {
        near.push(((at.y - job.top.width).abs(), Grip::Side { length: false, width: true }));
    }
    let corner = Point::new(job.top.length, job.top.width);
    if !job.places.contains_key("top.outline") && off(corner) <= reach {
        return Some(Grip::Side { length: true, width: true });
    }
    let nearest = near.into_iter().filter(|(far, _)| *far <= reach).min_by(|a, b| a.0.total_cmp(&b.0));
    nearest.map(|(_, grip)| grip)
}

/// A pull that is going on: what is held, where it began, what the job was then.
#[derive(Clone, Debug)]
pub struct Pull {
    grip: Grip,
    from: Point,
    text: String,
    laid: Laid,
    passed: Vec<Cell>,
    leaves_out: bool,
    moved: bool,
}

impl Pull {
    /// Begins one.
    pub fn new(bench: &Bench, touch: Touch, at: Point, reach: f64) -> Option<Pull> {
        let laid = bench.laid()?.clone();
        let grip = taken(&laid, touch, at, reach)?;
        let passed = if let Grip::Places(cell) = grip { vec![cell] } else { Vec::new() };
        let leaves_out = passed.first().is_some_and(|&cell| bench.is_wanted(cell));
        Some(Pull { grip, from: at, text: bench.text().to_owned(), laid, passed, leaves_out, moved: false })
    }

    /// What is held.
    pub fn grip(&self) -> Grip {
        self.grip
    }

    /// The places that were passed, the first one first.
    pub fn passed(&self) -> &[Cell] {
        &self.passed
    }

    /// True once it was told to go anywhere: before that it is a tap.
    pub fn has_moved(&self) -> bool {
        self.moved
    }

    /// True if a point lies further than `mm` from where it began.
    pub fn is_away(&self, at: Point, mm: f64) -> bool {
        (at - self.from).hypot() > mm
    }

    /// The job with the finger here, having come straight from where it was told last.
    ///
    /// Errors: what the edit of the text cannot do.
    pub fn to(&mut self, at: Point) -> Result<String, Fault> {
        self.moved = true;
        let job = &self.laid.job;
        let snap = |mm: f64| snapped(job.units, mm);
        let by = at - self.from;
        match self.grip {
            Grip::Places(_) => {
                if let Some(cell) = place_at(&self.laid, at)
                    && let Some(&last) = self.passed.last()
                {
                    self.passed.extend(between(last, cell));
                    let mut seen = std::collections::BTreeSet::new();
                    self.passed.retain(|&c| seen.insert(c));
                    // The way goes on from the cell that was reached, seen before or not.
                    if let Some(i) = self.passed.iter().position(|&c| c == cell) {
                        let reached = self.passed.remove(i);
                        self.passed.push(reached);
                    }
                }
                if self.leaves_out { leave_out(&self.text, &self.passed) } else { bring_back(&self.text, &self.passed) }
            }
            Grip::KeepOut(index, sides) => match job.keep_outs.get(index) {
                Some(keep_out) => {
                    let shape = shaped(keep_out.shape, sides, by, &snap, LEAST_STEPS * step(job.units));
                    put_keep_out(&self.text, job.units, index, shape)
                }
                None => Ok(self.text.clone()),
            },
            Grip::Blank => {
                let area = Rect::from_points(self.from, at);
                let (x0, y0, x1, y1) = (snap(area.x0), snap(area.y0), snap(area.x1), snap(area.y1));
                if (x1 - x0).min(y1 - y0) < LEAST_STEPS * step(job.units) {
                    return Ok(self.text.clone());
                }
                let shape = KeepOutShape::Rect { x: x0, y: y0, length: x1 - x0, width: y1 - y0 };
                add_keep_out(&self.text, job, shape)
            }
            Grip::Side { length, width } => {
                let pulled =
                    |moves: bool, was: f64, by: f64| if moves { snap(was + by).max(step(job.units)) } else { was };
                put_size(&self.text, job, [pulled(length, job.top.length, by.x), pulled(width, job.top.width, by.y)])
            }
            Grip::Corner(index) => match job.top.outline.get(index) {
                Some(&corner) => {
                    let to = corner + by;
                    let within =
                        Point::new(snap(to.x).clamp(0.0, job.top.length), snap(to.y).clamp(0.0, job.top.width));
                    put_corner(&self.text, job, index, within)
                }
                None => Ok(self.text.clone()),
            },
            Grip::Origin if by.hypot() < step(job.units) => Ok(self.text.clone()),
            Grip::Origin => {
                let to = self.laid.layout.place(0, 0) + by;
                put_origin(&self.text, job.units, Point::new(snap(to.x), snap(to.y)))
            }
        }
    }
}

/// The places on the straight way from one to another, the first left out.
fn between(from: Cell, to: Cell) -> Vec<Cell> {
    let (rows, columns) = (f64::from(to.row) - f64::from(from.row), f64::from(to.column) - f64::from(from.column));
    let steps = rows.abs().max(columns.abs());
    let mut way = Vec::new();
    let mut i = 1.0;
    while i <= steps {
        let on = |from: u32, by: f64| (f64::from(from) + by * i / steps).round() as u32;
        way.push(Cell::new(on(from.row, rows), on(from.column, columns)));
        i += 1.0;
    }
    way
}

/// A shape with some of its sides moved; all four move it as a whole. A circle keeps its middle and
/// grows with any side.
fn shaped(shape: KeepOutShape, sides: Sides, by: Vec2, snap: &impl Fn(f64) -> f64, least: f64) -> KeepOutShape {
    let whole = sides.left && sides.right && sides.near && sides.far;
    match shape {
        KeepOutShape::Rect { x, y, length, width } if whole => {
            KeepOutShape::Rect { x: snap(x + by.x), y: snap(y + by.y), length, width }
        }
        KeepOutShape::Circle { centre, diameter } if whole => {
            KeepOutShape::Circle { centre: Point::new(snap(centre.x + by.x), snap(centre.y + by.y)), diameter }
        }
        KeepOutShape::Rect { x, y, length, width } => {
            let side = |moves: bool, was: f64, by: f64| if moves { snap(was + by) } else { was };
            let x0 = side(sides.left, x, by.x).min(x + length - least);
            let x1 = side(sides.right, x + length, by.x).max(x0 + least);
            let y0 = side(sides.near, y, by.y).min(y + width - least);
            let y1 = side(sides.far, y + width, by.y).max(y0 + least);
            KeepOutShape::Rect { x: x0, y: y0, length: x1 - x0, width: y1 - y0 }
        }
        KeepOutShape::Circle { centre, diameter } => {
            let out = |low: bool, high: bool, by: f64| f64::from(u8::from(high)) * by - f64::from(u8::from(low)) * by;
            let grown = out(sides.left, sides.right, by.x) + out(sides.near, sides.far, by.y);
            KeepOutShape::Circle { centre, diameter: snap(diameter + 2.0 * grown).max(least) }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bench() -> Bench {
        Bench::new(crate::EXAMPLE)
    }

    fn pulled(bench: &Bench, touch: Touch, way: &[[f64; 2]]) -> Bench {
        let mut pull = Pull::new(bench, touch, Point::new(way[0][0], way[0][1]), 15.0).unwrap();
        let mut text = bench.text().to_owned();
        for &[x, y] in &way[1..] {
            text = pull.to(Point::new(x, y)).unwrap();
        }
        let mut after = bench.clone();
        after.change(text);
        after
    }

    #[test]
    fn a_sweep_leaves_out_what_it_passes_and_the_same_sweep_brings_it_back() {
        let out = pulled(&bench(), Touch::Holes, &[[75.0, 90.0], [375.0, 90.0], [375.0, 290.0]]);
        assert_eq!(out.laid().unwrap().layout.holes.len(), 98 - 6);
        assert!(!out.is_wanted(Cell::new(0, 2)) && !out.is_wanted(Cell::new(2, 3)) && out.is_wanted(Cell::new(1, 0)));
        let back = pulled(&out, Touch::Holes, &[[75.0, 90.0], [375.0, 90.0], [375.0, 290.0]]);
        assert_eq!(back.text(), bench().text());
    }

    #[test]
    fn a_keep_out_is_drawn_moved_and_sized() {
        let drawn = pulled(&bench(), Touch::KeepOuts, &[[600.0, 300.0], [700.4, 420.2]]);
        let shape = |b: &Bench| b.laid().unwrap().job.keep_outs.last().map(|k| bounds(k.shape));
        assert_eq!(shape(&drawn), Some(Rect::new(600.0, 300.0, 700.0, 420.0)));
        assert!(drawn.laid().unwrap().layout.conflicts.len() >= 2, "holes in it are in conflict");
        let moved = pulled(&drawn, Touch::KeepOuts, &[[650.0, 360.0], [660.0, 340.0]]);
        assert_eq!(shape(&moved), Some(Rect::new(610.0, 280.0, 710.0, 400.0)));
        let sized = pulled(&moved, Touch::KeepOuts, &[[709.0, 399.0], [759.0, 409.0]]);
        assert_eq!(shape(&sized), Some(Rect::new(610.0, 280.0, 760.0, 410.0)));
        let tap = pulled(&bench(), Touch::KeepOuts, &[[600.0, 300.0], [601.0, 301.0]]);
        assert_eq!(tap.text(), bench().text(), "a tap draws nothing");
    }

    #[test]
    fn sides_and_a1_are_pulled() {
        let longer = pulled(&bench(), Touch::Sheet, &[[1452.0, 400.0], [1552.0, 700.0]]);
        let top = |b: &Bench| [b.laid().unwrap().job.top.length, b.laid().unwrap().job.top.width];
        assert_eq!(top(&longer), [1550.0, 780.0]);
        assert_eq!(longer.laid().unwrap().layout.columns, 15);
        let both = pulled(&bench(), Touch::Sheet, &[[1450.0, 780.0], [1400.0, 700.0]]);
        assert_eq!(top(&both), [1400.0, 700.0]);
        let shifted = pulled(&bench(), Touch::Sheet, &[[75.0, 90.0], [85.0, 85.0]]);
        assert_eq!(shifted.laid().unwrap().layout.place(0, 0), Point::new(85.0, 85.0));
        assert!(Pull::new(&bench(), Touch::Sheet, Point::new(700.0, 400.0), 15.0).is_none());
    }

    #[test]
    fn a_finger_far_too_broad_still_finds_one_thing() {
        let laid = bench().laid().unwrap().clone();
        assert_eq!(place_at(&laid, Point::new(120.0, 90.0)), Some(Cell::new(0, 0)));
        assert_eq!(place_at(&laid, Point::new(125.0, 140.0)), None);
        assert_eq!(place_at(&laid, Point::new(-500.0, 90.0)), None);
    }
}
