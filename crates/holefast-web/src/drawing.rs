//! The top as the page draws it: the scene that papers draw too, with colours of the page's style
//! sheet and a target over every place that can be touched.

use std::fmt::Write as _;

use holefast::drawing::{At, Theme, top_view};
use holefast::top::Cell;

use crate::bench::{Bench, Laid};
use crate::words;

/// Colours by name: the style sheet says which, light and dark.
const PAGE: Theme = Theme {
    ground: "var(--page)",
    work: "var(--sheet)",
    ink: "var(--ink)",
    soft: "var(--soft)",
    rule: "var(--rule)",
    hair: "var(--hair)",
    accent: "var(--accent)",
    attention: "var(--attention)",
};

/// Height of the room that the drawing is laid out for, as a part of its width.
const ROOM_HEIGHT: f64 = 0.72;

/// Radius of a target, as a part of the pitch on the paper: neighbours do not overlap.
const REACH: f64 = 0.48;

/// Every place of the grid, rows then columns, wanted or not.
pub fn places(laid: &Laid) -> impl Iterator<Item = Cell> + '_ {
    (0..laid.layout.rows).flat_map(|row| (0..laid.layout.columns).map(move |column| Cell::new(row, column)))
}

fn seen(laid: &Laid, width: f64) -> holefast::drawing::Scene {
    top_view(&laid.job, &laid.layout, [width, ROOM_HEIGHT * width])
}

/// The drawing alone, nothing to touch.
pub fn plain(bench: &Bench, width: f64) -> String {
    bench.laid().map_or_else(String::new, |laid| holefast_paper::svg(&seen(laid, width), &PAGE))
}

/// The drawing as SVG, the chosen place ringed; laid out for this width, mm, so that its text has its
/// own size on a screen that is so wide.
pub fn svg(bench: &Bench, chosen: Option<Cell>, width: f64) -> String {
    let Some(laid) = bench.laid() else { return String::new() };
    let scene = seen(laid, width);
    let drawn = holefast_paper::svg(&scene, &PAGE);
    let mut over = String::new();
    let pitch = laid.layout.pitch[0].min(laid.layout.pitch[1]) / scene.view.ratio;
    for cell in places(laid) {
        let centre = laid.layout.place(cell.row as i32, cell.column as i32);
        let [x, y] = scene.view.to_paper(At::on(centre));
        // Writing to a string cannot fail.
        let _ = write!(
            over,
            "<circle class=\"target\" data-place=\"{cell}\" cx=\"{x:.3}\" cy=\"{y:.3}\" r=\"{:.3}\"/>",
            REACH * pitch
        );
        if chosen == Some(cell) {
            let _ = write!(
                over,
                "<circle class=\"chosen\" cx=\"{x:.3}\" cy=\"{y:.3}\" r=\"{:.3}\"/>",
                (0.3 * pitch).max(2.4)
            );
        }
    }
    drawn.replace("</svg>", &format!("{over}</svg>"))
}

/// A place in words: "D4, 375 mm along and 390 mm in, wanted".
pub fn told(bench: &Bench, cell: Cell) -> String {
    let Some(laid) = bench.laid() else { return cell.to_string() };
    let centre = laid.layout.place(cell.row as i32, cell.column as i32);
    let length = |mm| holefast::words::length(laid.job.units, mm);
    let state = words::state(bench.is_wanted(cell), is_possible(laid, cell));
    format!("{cell}, {} along and {} in, {state}", length(centre.x), length(centre.y))
}

/// True if a hole is possible and wanted here.
pub fn is_possible(laid: &Laid, cell: Cell) -> bool {
    laid.layout.holes.iter().any(|hole| hole.cell == Some(cell))
}
