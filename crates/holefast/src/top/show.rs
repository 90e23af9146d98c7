//! The layout as data: what `holefast show --json` prints.
//!
//! Only turns a [`Layout`], sag and movement into keys with units; works nothing out.

use serde::Serialize;

use super::{Layout, Obstacle, movement, sag};
use crate::job::Job;
use crate::words::sheet::{self, TWO_PEOPLE};

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
    /// What the sheet is made of, in words, with the source of each figure.
    pub material: String,
    /// Absent where `sag_unknown` says why.
    pub sag: Option<ShowSag>,
    /// Why no sag is told.
    pub sag_unknown: Option<String>,
    /// Absent where `movement_unknown` says why.
    pub movement: Option<ShowMovement>,
    /// Why no movement is told.
    pub movement_unknown: Option<String>,
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
    /// True if two people should lift it.
    pub two_people: bool,
    /// Where the density comes from.
    pub source: String,
}

/// Sag between supports, as a beam across them.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ShowSag {
    /// Direction of the beam, square to the supports.
    pub along: [f64; 2],
    /// Supports along it, from the reference corner.
    pub supports_mm: Vec<f64>,
    /// Under its own weight, without holes.
    pub without_holes_mm: f64,
    /// Under its own weight, bored.
    pub with_holes_mm: f64,
    /// Where along the beam that is most.
    pub at_mm: f64,
    /// The part of the stiffness that holes leave, where they leave least.
    pub stiffness_left: f64,
    /// The job's load.
    pub load_kg: Option<f64>,
    /// Bored, with the load where it bends most; absent without a load.
    pub with_load_mm: Option<f64>,
    /// The least load on an overhanging end that tips the bored top; absent if none overhangs.
    pub tips_at_kg: Option<f64>,
    /// Where the modulus comes from.
    pub source: String,
    /// Where the figures are worth less than they look.
    pub limits: Vec<String>,
}

/// Movement from boring to use; positive where the sheet grows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ShowMovement {
    /// Moisture content at boring and in use, percent.
    pub moisture_percent: [f64; 2],
    /// Along x and y.
    pub strain_mm_per_m: [f64; 2],
    /// Of that, by moisture.
    pub by_moisture_mm_per_m: [f64; 2],
    /// Of that, by heat; absent where it is not known and left out.
    pub by_heat_mm_per_m: Option<[f64; 2]>,
    /// Over length and width.
    pub over_top_mm: [f64; 2],
    /// Where the material's figures come from.
    pub source: String,
    /// Where the figures are worth less than they look.
    pub limits: Vec<String>,
}

fn show_sag(job: &Job, layout: &Layout) -> Result<ShowSag, String> {
    let sag = sag(job, layout).map_err(|why| sheet::no_sag(&job.top.material, why))?;
    Ok(ShowSag {
        along: [sag.along.x, sag.along.y],
        without_holes_mm: sag.whole.down,
        with_holes_mm: sag.bored.down,
        at_mm: sag.bored.at,
        stiffness_left: sag.stiffness_left,
        load_kg: job.top.load,
        with_load_mm: sag.loaded.map(|lowest| lowest.down),
        tips_at_kg: sag.tips_at,
        limits: sag.limits.iter().map(|&limit| sheet::sag_limit(limit).to_owned()).collect(),
        supports_mm: sag.supports,
        source: sag.source,
    })
}

fn show_movement(job: &Job) -> Result<ShowMovement, String> {
    let moved = movement(&job.top, job.climate.as_ref()).map_err(|why| sheet::no_movement(&job.top.material, why))?;
    Ok(ShowMovement {
        moisture_percent: moved.moisture,
        strain_mm_per_m: moved.strain,
        by_moisture_mm_per_m: moved.by_moisture,
        by_heat_mm_per_m: moved.by_heat,
        over_top_mm: moved.over_top,
        limits: moved.limits.iter().map(|&limit| sheet::movement_limit(job, limit)).collect(),
        source: moved.source,
    })
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
    let (sag, sag_unknown) = parted(show_sag(job, layout));
    let (movement, movement_unknown) = parted(show_movement(job));
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
            two_people: weight.whole > TWO_PEOPLE,
            source: weight.source.clone(),
        }),
        material: sheet::material(job),
        sag,
        sag_unknown,
        movement,
        movement_unknown,
        remarks: layout.remarks.iter().map(|remark| remark.message.clone()).collect(),
    }
}

fn parted<T>(known: Result<T, String>) -> (Option<T>, Option<String>) {
    match known {
        Ok(value) => (Some(value), None),
        Err(why) => (None, Some(why)),
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
        assert_eq!(json["sag"], serde_json::Value::Null);
        assert_eq!(json["sag_unknown"], "the job states no [[support]], the lines the top rests on");
        assert_eq!(json["weight_kg"]["two_people"], false);
        // A1 at [75, 90] stands 15 mm beside the vice's 60 mm, less its radius of 10.
        assert_eq!((conflict["clearance_mm"].as_f64(), conflict["missing_mm"].as_f64()), (Some(5.0), Some(5.0)));
    }

    #[test]
    fn sag_and_movement_of_an_example() {
        let text = include_str!("../../../../examples/trailer-top.toml");
        let mut job = crate::job::parse(text).job.unwrap();
        job.top.load = Some(5.0);
        job.climate = Some(crate::job::Climate {
            boring: crate::job::Air { temperature: 12.0, humidity: 70.0 },
            use_: crate::job::Air { temperature: 20.0, humidity: 50.0 },
        });
        let json: serde_json::Value = serde_json::from_str(&to_json(&job, &lay_out(&job).unwrap())).unwrap();
        let number = |value: &serde_json::Value| value.as_f64().unwrap();
        assert_eq!(json["sag"]["supports_mm"], serde_json::json!([425.0, 1025.0]));
        assert!(number(&json["sag"]["with_load_mm"]) > number(&json["sag"]["with_holes_mm"]));
        let (moved, length) = (number(&json["movement"]["over_top_mm"][0]), 1.45);
        assert!((moved - length * number(&json["movement"]["strain_mm_per_m"][0])).abs() < 1e-12 && moved < 0.0);
        assert_eq!(
            (&json["sag_unknown"], &json["movement_unknown"]),
            (&serde_json::Value::Null, &serde_json::Value::Null)
        );
    }
}
