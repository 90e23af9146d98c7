//! The top as the page draws it: the scene that papers draw too, with colours of the page's style
//! sheet, targets over what can be touched, and a ring round the chosen hole.

use std::fmt::Write as _;

use holefast::drawing::{At, Scene, View};
use holefast::top::{Cell, KeepOutShape, Point};

use holefast_web_planner::theme::PAGE;

use crate::bench::{Bench, Laid};
use crate::grip::Touch;
use crate::look::Look;
use crate::words;

/// Radius of a target, as a part of the pitch on the paper: neighbours do not overlap.
const REACH: f64 = 0.48;

/// Half the side of a handle, mm of paper.
const HANDLE: f64 = 1.5;

/// Every place of the grid, rows then columns, wanted or not.
pub fn places(laid: &Laid) -> impl Iterator<Item = Cell> + '_ {
    (0..laid.layout.rows).flat_map(|row| (0..laid.layout.columns).map(move |column| Cell::new(row, column)))
}

/// The drawing alone, nothing to touch.
pub fn plain(bench: &Bench, width: f64) -> String {
    bench.laid().map_or_else(String::new, |laid| holefast_paper::svg(&Look::Whole.scene(laid, width), &PAGE))
}

/// The view of what is drawn for this look, to find the top's places under a finger.
pub fn view(bench: &Bench, look: Look, width: f64) -> Option<View> {
    Some(look.scene(bench.laid()?, width).view)
}

/// The drawing as SVG, the chosen place ringed, with what can be touched; laid out for this width,
/// mm, so that its text has its own size on a screen that is so wide.
pub fn svg(bench: &Bench, look: Look, touch: Touch, chosen: Option<Cell>, width: f64) -> String {
    let Some(laid) = bench.laid() else { return String::new() };
    let scene = look.scene(laid, width);
    let mut over = String::new();
    match touch {
        Touch::Holes => targets(&mut over, &scene, laid),
        Touch::KeepOuts => keep_out_handles(&mut over, &scene, laid),
        Touch::Sheet => sheet_handles(&mut over, &scene, laid),
    }
    if let Some(cell) = chosen {
        let centre = laid.layout.place(cell.row as i32, cell.column as i32);
        if scene.view.shows(centre) {
            let [x, y] = scene.view.to_paper(At::on(centre));
            // Writing to a string cannot fail, here and below.
            let _ = write!(
                over,
                "<circle class=\"chosen\" cx=\"{x:.3}\" cy=\"{y:.3}\" r=\"{:.3}\"/>",
                (0.3 * paper_pitch(&scene, laid)).max(2.4)
            );
        }
    }
    holefast_paper::svg(&scene, &PAGE).replace("</svg>", &format!("{over}</svg>"))
}

fn paper_pitch(scene: &Scene, laid: &Laid) -> f64 {
    scene.view.paper(laid.layout.pitch[0].min(laid.layout.pitch[1]))
}

fn targets(over: &mut String, scene: &Scene, laid: &Laid) {
    let radius = REACH * paper_pitch(scene, laid);
    for cell in places(laid) {
        let centre = laid.layout.place(cell.row as i32, cell.column as i32);
        if scene.view.shows(centre) {
            let [x, y] = scene.view.to_paper(At::on(centre));
            let _ = write!(
                over,
                "<circle class=\"target\" data-place=\"{cell}\" cx=\"{x:.3}\" cy=\"{y:.3}\" r=\"{radius:.3}\"/>"
            );
        }
    }
}

fn handle(over: &mut String, scene: &Scene, at: Point) {
    if scene.view.shows(at) {
        let [x, y] = scene.view.to_paper(At::on(at));
        let _ = write!(
            over,
            "<rect class=\"handle\" x=\"{:.3}\" y=\"{:.3}\" width=\"{side}\" height=\"{side}\"/>",
            x - HANDLE,
            y - HANDLE,
            side = 2.0 * HANDLE
        );
    }
}

fn keep_out_handles(over: &mut String, scene: &Scene, laid: &Laid) {
    for keep_out in &laid.job.keep_outs {
        match keep_out.shape {
            KeepOutShape::Rect { x, y, length, width } => {
                for (dx, dy) in [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)] {
                    handle(over, scene, Point::new(x + dx * length, y + dy * width));
                }
            }
            KeepOutShape::Circle { centre, diameter } => {
                handle(over, scene, Point::new(centre.x + 0.5 * diameter, centre.y));
            }
        }
    }
}

fn sheet_handles(over: &mut String, scene: &Scene, laid: &Laid) {
    let top = &laid.job.top;
    let outlined = laid.job.places.contains_key("top.outline");
    let sides = [Point::new(top.length, 0.5 * top.width), Point::new(0.5 * top.length, top.width)];
    let corner = Point::new(top.length, top.width);
    let corners = if outlined { top.outline.clone() } else { vec![corner] };
    for at in sides.into_iter().chain(corners) {
        handle(over, scene, at);
    }
    let a1 = laid.layout.place(0, 0);
    if scene.view.shows(a1) {
        let [x, y] = scene.view.to_paper(At::on(a1));
        let arm = 2.6 * HANDLE;
        let _ = write!(
            over,
            "<path class=\"handle-cross\" d=\"M{:.3} {y:.3}h{d}M{x:.3} {:.3}v{d}\"/>",
            x - arm,
            y - arm,
            d = 2.0 * arm
        );
    }
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
