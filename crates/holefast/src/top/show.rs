//! The layout as data: what `holefast show --json` prints.
//!
//! Only turns a [`Layout`] into keys with units; works nothing out.

use serde::Serialize;

use super::{Layout, Obstacle};
use crate::job::Job;

/// What `holefast show --json` prints. Lengths in mm in the top's frame, weights in kg.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Show {
    /// The job's name.
    pub name: String,
    /// Rows of the grid.
    pub rows: u32,
    /// Columns of the grid.
    pub columns: u32,
    /// Along x and along y.
    pub pitch_mm: [f64; 2],
    /// Centre of `A1`.
    pub origin_mm: [f64; 2],
    /// Holes wanted, extras included.
    pub holes_wanted: usize,
    /// Of these, possible.
    pub holes_possible: usize,
    /// The possible ones, rows then columns, extras last.
    pub holes: Vec<ShowHole>,
    /// From the outermost holes' centres to the sheet's sides.
    pub margins_mm: ShowMargins,
    /// Least wood.
    pub least_wood_mm: ShowLeastWood,
    /// One for each thing that a wanted hole comes too near to.
    pub conflicts: Vec<ShowConflict>,
    /// Absent where the density is not known.
    pub weight_kg: Option<ShowWeight>,
    /// Slips that do no harm.
    pub remarks: Vec<String>,
}

/// A hole.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ShowHole {
    /// Its name.
    pub name: String,
    /// From 0 at the reference edge; absent for an extra hole.
    pub row: Option<u32>,
    /// From 0 at the reference corner; absent for an extra hole.
    pub column: Option<u32>,
    /// Centre.
    pub x_mm: f64,
    /// Centre.
    pub y_mm: f64,
    /// Nominal diameter.
    pub diameter_mm: f64,
}

/// Margins on the four sides.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ShowMargins {
    /// At least x.
    pub left: f64,
    /// At greatest x.
    pub right: f64,
    /// At the reference edge.
    pub near: f64,
    /// At greatest y.
    pub far: f64,
}

/// The thinnest wood and where it is.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ShowLeastWood {
    /// Between two holes; absent for a single hole.
    pub between_holes: Option<f64>,
    /// Which two.
    pub between: Option<[String; 2]>,
    /// Between a hole and the top's edge.
    pub to_edge: Option<f64>,
    /// Which hole.
    pub nearest_edge: Option<String>,
}

/// A conflict.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ShowConflict {
    /// The hole that is not possible.
    pub hole: String,
    /// Its centre.
    pub x_mm: f64,
    /// Its centre.
    pub y_mm: f64,
    /// `edge`, `keep-out` or `hole`.
    pub what: String,
    /// The keep-out's or hole's name; absent for the edge.
    pub with: Option<String>,
    /// From the hole's edge, negative where they overlap.
    pub clearance_mm: f64,
    /// Wanted.
    pub wanted_mm: f64,
    /// By how much it falls short.
    pub missing_mm: f64,
    /// In words.
    pub message: String,
    /// The way out.
    pub hint: Option<String>,
}

/// Weight without and with holes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ShowWeight {
    /// Without holes.
    pub without_holes: f64,
    /// With the possible holes bored.
    pub with_holes: f64,
    /// Where the density comes from.
    pub source: String,
}

/// Returns the layout as data.
pub fn show(job: &Job, layout: &Layout) -> Show {
    let conflicts = layout.conflicts.iter().map(|conflict| {
        let (what, with) = match &conflict.with {
            Obstacle::Edge => ("edge", None),
            Obstacle::KeepOut(idx) => ("keep-out", job.keep_outs.get(*idx).map(|k| k.name.clone())),
            Obstacle::Hole(name) => ("hole", Some(name.clone())),
        };
        ShowConflict {
            hole: conflict.hole.name.clone(),
            x_mm: conflict.hole.centre.x,
            y_mm: conflict.hole.centre.y,
            what: what.to_owned(),
            with,
            clearance_mm: conflict.clearance,
            wanted_mm: conflict.wanted,
            missing_mm: conflict.wanted - conflict.clearance,
            message: conflict.fault.message.clone(),
            hint: conflict.fault.hint.clone(),
        }
    });
    let holes = layout.holes.iter().map(|hole| ShowHole {
        name: hole.name.clone(),
        row: hole.cell.map(|cell| cell.row),
        column: hole.cell.map(|cell| cell.column),
        x_mm: hole.centre.x,
        y_mm: hole.centre.y,
        diameter_mm: hole.diameter,
    });
    let margins = layout.margins;
    let between = layout.least_wood.between.as_ref();
    let to_edge = layout.least_wood.to_edge.as_ref();
    Show {
        name: job.name.clone(),
        rows: layout.rows,
        columns: layout.columns,
        pitch_mm: layout.pitch,
        origin_mm: [layout.origin.x, layout.origin.y],
        holes_wanted: layout.wanted,
        holes_possible: layout.holes.len(),
        holes: holes.collect(),
        margins_mm: ShowMargins { left: margins.left, right: margins.right, near: margins.near, far: margins.far },
        least_wood_mm: ShowLeastWood {
            between_holes: between.map(|(wood, _)| *wood),
            between: between.map(|(_, names)| names.clone()),
            to_edge: to_edge.map(|(wood, _)| *wood),
            nearest_edge: to_edge.map(|(_, name)| name.clone()),
        },
        conflicts: conflicts.collect(),
        weight_kg: layout.weight.as_ref().map(|weight| ShowWeight {
            without_holes: weight.whole,
            with_holes: weight.bored,
            source: weight.source.clone(),
        }),
        remarks: layout.remarks.iter().map(|remark| remark.message.clone()).collect(),
    }
}

/// Returns the layout as indented JSON, ending in a newline.
pub fn to_json(job: &Job, layout: &Layout) -> String {
    // Serializing plain structs of strings and finite numbers cannot fail.
    let mut text = serde_json::to_string_pretty(&show(job, layout)).unwrap_or_default();
    text.push('\n');
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{rail, trailer_top};
    use crate::top::lay_out;

    #[test]
    fn another_reader_finds_the_figures() {
        let mut job = trailer_top();
        job.keep_outs.push(rail("vice", 0.0, 0.0, 60.0, 100.0, 10.0));
        let layout = lay_out(&job).unwrap();
        let json: serde_json::Value = serde_json::from_str(&to_json(&job, &layout)).unwrap();
        assert_eq!((json["holes_wanted"].as_u64(), json["holes_possible"].as_u64()), (Some(98), Some(97)));
        assert_eq!(json["holes"][0]["name"], "A2");
        assert_eq!(json["origin_mm"], serde_json::json!([75.0, 90.0]));
        assert_eq!(json["margins_mm"], serde_json::json!({"left": 75.0, "right": 75.0, "near": 90.0, "far": 90.0}));
        let conflict = &json["conflicts"][0];
        assert_eq!((&conflict["hole"], &conflict["with"]), (&"A1".into(), &"vice".into()));
        // A1 at [75, 90] stands 15 mm beside the vice's 60 mm, less its radius of 10.
        assert_eq!((conflict["clearance_mm"].as_f64(), conflict["missing_mm"].as_f64()), (Some(5.0), Some(5.0)));
    }
}
