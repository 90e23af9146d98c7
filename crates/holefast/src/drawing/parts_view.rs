//! The sheets of a broken-down list, one above the other: parts with names and sizes, what is left
//! over hatched, cuts with their numbers.

use kurbo::Rect;

use super::hatch;
use super::scene::{Anchor, At, Margin, Role, Scene, Shape, View};
use super::style::{size, text_width};
use crate::breakdown::{Axis, Made};
use crate::job::Job;
use crate::measure::format;
use crate::parts::{CutList, Step, in_mm};
use crate::top::Point;
use crate::words;

/// Room round the sheets, mm of paper.
const MARGIN: Margin = Margin { left: 6.0, right: 4.0, below: 4.0, above: 7.0 };

/// Between two sheets, a share of the widest.
const GAP: f64 = 0.12;

/// Between two sheets at least, mm of paper: the lower one's name, and the numbers on the upper one's edge.
const LEAST_GAP: f64 = 1.6 + size::NAME + 0.5 * size::NUMBER + 1.0;

/// Fits of the drawing: the gap makes it smaller, and that the gap wider.
const FITS: usize = 4;

/// Hatching, mm of paper.
const HATCH: f64 = 2.4;

/// A cut's number stands so far inside its end, mm of paper.
const IN: f64 = 2.6;

/// Places along a cut that are tried for its number.
const PLACES: usize = 5;

/// All sheets of a list, to fit in `room` (mm of paper).
pub fn parts_view(job: &Job, list: &CutList, room: [f64; 2]) -> Scene {
    let about = words::parts::about(list);
    Scene { about, ..sheets_view(job, list, 0..usize::MAX, room) }
}

/// Some sheets of a list, counted over all its batches from nought, to fit in `room` (mm of paper).
pub fn sheets_view(job: &Job, list: &CutList, some: std::ops::Range<usize>, room: [f64; 2]) -> Scene {
    let all = &job.part_list;
    let first = some.start;
    let sheets: Vec<_> = list
        .batches
        .iter()
        .flat_map(|batch| batch.breakdown.sheets.iter().enumerate().map(move |(i, sheet)| (batch, i, sheet)))
        .skip(first)
        .take(some.len())
        .collect();
    let stock = |i: usize| {
        let (batch, _, sheet) = sheets[i];
        &all.stock[batch.stock[sheet.stock]]
    };
    let length = (0..sheets.len()).map(|i| stock(i).length).fold(0.0, f64::max);
    let widest = (0..sheets.len()).map(|i| stock(i).width).fold(0.0, f64::max);
    let widths: f64 = (0..sheets.len()).map(|i| stock(i).width).sum();
    let fit = |gap: f64| {
        let height = widths + gap * sheets.len().saturating_sub(1) as f64;
        (View::fit(Rect::new(0.0, 0.0, length.max(1.0), height.max(1.0)), room, MARGIN, 1.0), height)
    };
    let mut gap = GAP * widest;
    for _ in 0..FITS {
        gap = gap.max(LEAST_GAP * fit(gap).0.ratio);
    }
    let (view, height) = fit(gap);
    let mut scene = Scene::new(view);
    let mut top = height;
    let mut taken = Vec::new();
    for (i, &(batch, number, sheet)) in sheets.iter().enumerate() {
        let kind = stock(i);
        let base = top - kind.width;
        let at = |x: f64, y: f64| Point::new(x, base + y);
        let corners = |[x, y]: [f64; 2], [w, h]: [f64; 2]| [at(x, y), at(x + w, y), at(x + w, y + h), at(x, y + h)];
        let outline = corners([0.0, 0.0], [kind.length, kind.width]);
        scene.polygon(Role::Work, &outline);
        for piece in sheet.whole.all() {
            let sides = piece.rect.size.map(in_mm);
            let corners = corners(piece.rect.at.map(in_mm), sides);
            match piece.made {
                Made::Part { part, .. } => {
                    scene.polygon(Role::Bar, &corners);
                    let name = &all.parts[batch.parts[part]].name;
                    let of = format!("{} x {}", say(job, sides[0]), say(job, sides[1]));
                    inscribe(&mut scene, corners[0], sides, name, &of);
                }
                Made::Offcut => {
                    let clip = scene.view.clip;
                    for [a, b] in hatch::lines(&corners, clip, HATCH * scene.view.ratio) {
                        scene.line(Role::Hatching, a, b);
                    }
                    scene.polygon(Role::KeepOutBelow, &corners);
                }
                Made::Cut { .. } => {}
            }
        }
        scene.polygon(Role::Outline, &outline);
        scene.line(Role::ReferenceEdge, outline[0], outline[1]);
        for step in batch.steps.iter().filter(|s| s.sheet == number) {
            cut(&mut scene, step, base, &mut taken);
        }
        let said = format!("{}: {}, {}", number + 1, kind.name, words::parts::size(kind.length, kind.width, job.units));
        let text = Shape::Text {
            at: At::on(at(0.0, kind.width)).shifted(0.0, 1.6),
            text: said,
            size_paper_mm: size::NAME,
            anchor: Anchor::Start,
            turn_deg: 0.0,
        };
        scene.put_free(Role::Note, text);
        top = base - gap;
    }
    scene.about = words::parts::about_some(list, first + 1, first + sheets.len());
    scene
}

fn say(job: &Job, mm: f64) -> String {
    format::length_bare(mm, job.units)
}

/// A part's name and size in its middle, upright or on its side: the name whole or word by word, the
/// size only where there is room for it too.
fn inscribe(scene: &mut Scene, corner: Point, sides: [f64; 2], name: &str, of: &str) {
    let paper = sides.map(|s| scene.view.paper(s));
    let middle = At::on(Point::new(corner.x + 0.5 * sides[0], corner.y + 0.5 * sides[1]));
    let wide = |text: &str| text_width(text, true) * size::NAME + 1.5;
    let line = 1.25 * size::NAME;
    let whole = vec![(Role::Name, name)];
    let words: Vec<(Role, &str)> = name.split_whitespace().map(|word| (Role::Name, word)).collect();
    let sized = [(Role::DimensionText, of)];
    for lines in [[&whole[..], &sized].concat(), [&words[..], &sized].concat(), whole, words] {
        let need = [lines.iter().map(|l| wide(l.1)).fold(0.0, f64::max), line * lines.len() as f64 + 0.5];
        let turn = if need[0] <= paper[0] && need[1] <= paper[1] {
            0.0
        } else if need[0] <= paper[1] && need[1] <= paper[0] {
            90.0
        } else {
            continue;
        };
        for (i, (role, text)) in lines.iter().enumerate() {
            let down = line * (i as f64 - 0.5 * (lines.len() as f64 - 1.0)) + 0.35 * size::NAME;
            let at = if turn == 0.0 { middle.shifted(0.0, -down) } else { middle.shifted(down, 0.0) };
            let text = (*text).to_owned();
            let shape = Shape::Text { at, text, size_paper_mm: size::NAME, anchor: Anchor::Middle, turn_deg: turn };
            scene.put(*role, shape);
        }
        return;
    }
}

/// A cut: its line, and its number near the end it begins at, further in where another number stands.
fn cut(scene: &mut Scene, step: &Step, base: f64, taken: &mut Vec<[f64; 4]>) {
    let near = in_mm(step.at[1]);
    let [from, to] = step.runs.map(in_mm);
    let (a, b, way) = match step.along {
        Axis::X => (Point::new(near, base + from), Point::new(near, base + to), [0.0, 1.0]),
        Axis::Y => (Point::new(from, base + near), Point::new(to, base + near), [1.0, 0.0]),
    };
    scene.line(Role::Dimension, a, b);
    let text = step.number.to_string();
    let half = [0.5 * text_width(&text, false) * size::NUMBER + 0.3, 0.5 * size::NUMBER];
    let at = |n: usize| {
        let inside = IN + n as f64 * 2.0 * (way[0] * half[0] + way[1] * half[1]);
        At::on(a).shifted(way[0] * inside, way[1] * inside)
    };
    let room = |at: At| {
        let [x, y] = scene.view.to_paper(at);
        [x - half[0], y - half[1], x + half[0], y + half[1]]
    };
    let free = |b: &[f64; 4]| !taken.iter().any(|t| t[0] < b[2] && b[0] < t[2] && t[1] < b[3] && b[1] < t[3]);
    let at = (0..PLACES).map(at).find(|&at| free(&room(at))).unwrap_or(at(0));
    taken.push(room(at));
    let corners = [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]];
    let points = corners.map(|[x, y]| at.shifted(x * half[0], y * half[1])).to_vec();
    scene.put_free(Role::Clearing, Shape::Path { points, closed: true });
    let at = at.shifted(0.0, -0.36 * size::NUMBER);
    scene.put_free(
        Role::Order,
        Shape::Text { at, text, size_paper_mm: size::NUMBER, anchor: Anchor::Middle, turn_deg: 0.0 },
    );
}
