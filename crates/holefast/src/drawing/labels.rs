//! Where labels go: each tries a few places beside its thing and takes the first that is free,
//! else the one that disturbs least. Works on the paper, in mm; the same input gives the same places.

use kurbo::Rect;

use super::scene::{Anchor, At, Role, Scene, Shape, View};
use super::style::{Style, size, text_width};

/// Height of capitals and of figures in Lato, in units of the size.
pub const CAP: f64 = 0.72;

/// What a later place in the list of tries costs, in lines crossed: a name a few millimetres off,
/// nearer to its neighbour, misleads more than one that lies across a line.
const LATER: f64 = 0.2;

/// What is taken already, on the paper.
#[derive(Clone, Debug, Default)]
pub struct Taken {
    boxes: Vec<Rect>,
    lines: Vec<[[f64; 2]; 2]>,
}

/// A label that is to be placed.
#[derive(Clone, Copy, Debug)]
pub struct Label<'a> {
    /// What it is.
    pub role: Role,
    /// What it says.
    pub text: &'a str,
    /// Size on the paper, mm.
    pub size: f64,
}

/// A place to try: shift of the label's nearest point from its thing, and which way it extends.
#[derive(Clone, Copy, Debug)]
pub struct Try {
    /// Where, paper mm from the thing's centre, y upwards.
    pub shift: [f64; 2],
    /// Which end stands there.
    pub anchor: Anchor,
}

impl Taken {
    /// Marks a box round a place as taken, half-sides in paper mm.
    pub fn mark(&mut self, view: &View, at: At, half: [f64; 2]) {
        let [x, y] = view.to_paper(at);
        self.boxes.push(Rect::new(x - half[0], y - half[1], x + half[0], y + half[1]));
    }

    /// Marks a line as taken.
    pub fn mark_line(&mut self, view: &View, from: At, to: At) {
        self.lines.push([view.to_paper(from), view.to_paper(to)]);
    }

    /// True if a box round a place meets nothing and lies in the picture.
    pub fn free(&self, view: &View, at: At, half: [f64; 2]) -> bool {
        let [x, y] = view.to_paper(at);
        self.cost(Rect::new(x - half[0], y - half[1], x + half[0], y + half[1]), view) == 0.0
    }

    /// Puts the label at the first free place; `false` (and nothing put) if `only_free` and none is.
    pub fn place(&mut self, scene: &mut Scene, label: Label<'_>, at: At, tries: &[Try], only_free: bool) -> bool {
        let view = scene.view;
        let width = text_width(label.text, Style::of(label.role).bold) * label.size;
        let mut best: Option<(f64, f64, Try, Rect)> = None;
        for (i, &t) in tries.iter().enumerate() {
            let [x, y] = view.to_paper(at.shifted(t.shift[0], t.shift[1]));
            let x0 = match t.anchor {
                Anchor::Start => x,
                Anchor::Middle => x - 0.5 * width,
                Anchor::End => x - width,
            };
            let halo = size::HALO;
            let half = 0.5 * CAP * label.size;
            let area = Rect::new(x0 - halo, y - half - halo, x0 + width + halo, y + half + halo);
            let cost = self.cost(area, &view);
            let late = LATER * i as f64;
            let weighed = if only_free { cost * 1e3 + late } else { cost + late };
            if best.as_ref().is_none_or(|(w, _, _, _)| weighed < *w) {
                best = Some((weighed, cost, t, area));
            }
        }
        let Some((_, cost, t, area)) = best else { return false };
        if only_free && cost > 0.0 {
            return false;
        }
        self.boxes.push(area);
        scene.put_free(
            label.role,
            Shape::Text {
                at: at.shifted(t.shift[0], t.shift[1] - 0.5 * CAP * label.size),
                text: label.text.to_owned(),
                size_paper_mm: label.size,
                anchor: t.anchor,
                turn_deg: 0.0,
            },
        );
        true
    }

    /// How much a box disturbs: overlap with other boxes in mm², lines crossed, room left.
    fn cost(&self, area: Rect, view: &View) -> f64 {
        let over = |r: &Rect| {
            let w = area.x1.min(r.x1) - area.x0.max(r.x0);
            let h = area.y1.min(r.y1) - area.y0.max(r.y0);
            if w > 0.0 && h > 0.0 { 4.0 + w * h } else { 0.0 }
        };
        let boxes: f64 = self.boxes.iter().map(over).sum();
        let lines = self.lines.iter().filter(|l| crosses(**l, area)).count();
        let out = (-area.x0).max(0.0)
            + (area.x1 - view.width()).max(0.0)
            + (-area.y0).max(0.0)
            + (area.y1 - view.height()).max(0.0);
        boxes + lines as f64 + if out > 0.0 { 100.0 * (1.0 + out) } else { 0.0 }
    }
}

/// The eight places round a sign of half-size `clear`, right first.
pub fn around(clear: f64, size: f64) -> Vec<Try> {
    let d = clear + 1.0;
    let v = clear + 0.7 + 0.5 * CAP * size;
    let q = 0.75 * clear + 0.5;
    [
        ([d, 0.0], Anchor::Start),
        ([q, -v * 0.85], Anchor::Start),
        ([q, v * 0.85], Anchor::Start),
        ([0.0, -v], Anchor::Middle),
        ([0.0, v], Anchor::Middle),
        ([-d, 0.0], Anchor::End),
        ([-q, -v * 0.85], Anchor::End),
        ([-q, v * 0.85], Anchor::End),
        ([d + 2.0, -v - 1.0], Anchor::Start),
        ([d + 2.0, v + 1.0], Anchor::Start),
        ([-d - 2.0, -v - 1.0], Anchor::End),
        ([-d - 2.0, v + 1.0], Anchor::End),
    ]
    .into_iter()
    .map(|(shift, anchor)| Try { shift, anchor })
    .collect()
}

/// The two places above and below, below first; staggered ones after them.
pub fn below_or_above(clear: f64, size: f64) -> Vec<Try> {
    let v = clear + 0.8 + 0.5 * CAP * size;
    [-v, v, -v - size, v + size].into_iter().map(|y| Try { shift: [0.0, y], anchor: Anchor::Middle }).collect()
}

/// True if a line meets a box (clipping the line by the box's sides in turn).
fn crosses([a, b]: [[f64; 2]; 2], area: Rect) -> bool {
    let (mut t0, mut t1) = (0.0_f64, 1.0_f64);
    for (p, d, lo, hi) in [(a[0], b[0] - a[0], area.x0, area.x1), (a[1], b[1] - a[1], area.y0, area.y1)] {
        if d == 0.0 {
            if p < lo || p > hi {
                return false;
            }
        } else {
            let (u, v) = ((lo - p) / d, (hi - p) / d);
            t0 = t0.max(u.min(v));
            t1 = t1.min(u.max(v));
        }
    }
    t0 <= t1
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::scene::Margin;
    use crate::top::Point;

    #[test]
    fn a_line_through_a_box_is_seen_and_one_beside_it_is_not() {
        let area = Rect::new(2.0, 2.0, 4.0, 3.0);
        assert!(crosses([[0.0, 0.0], [6.0, 5.0]], area));
        assert!(crosses([[3.0, 0.0], [3.0, 9.0]], area));
        assert!(!crosses([[0.0, 3.0], [2.0, 6.0]], area));
        assert!(!crosses([[0.0, 0.0], [1.0, 1.0]], area));
    }

    #[test]
    fn labels_of_neighbours_do_not_overlap() {
        let view = View {
            clip: Rect::new(0.0, 0.0, 1000.0, 300.0),
            ratio: 10.0,
            margin: Margin { left: 5.0, right: 5.0, below: 5.0, above: 5.0 },
        };
        let mut scene = Scene::new(view);
        let mut taken = Taken::default();
        for i in 0..12 {
            let at = At::on(Point::new(f64::from(i) * 60.0 + 50.0, 150.0));
            taken.mark(&view, at, [1.2, 1.2]);
        }
        for i in 0..12 {
            let at = At::on(Point::new(f64::from(i) * 60.0 + 50.0, 150.0));
            let name = format!("A{}", i + 9);
            let label = Label { role: Role::Name, text: &name, size: 3.5 };
            assert!(taken.place(&mut scene, label, at, &below_or_above(1.2, 3.5), true), "{name}");
        }
        assert_eq!(scene.texts().count(), 12);
    }
}
