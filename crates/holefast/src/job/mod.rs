//! The job: one worktop with its kit, plan, readings and cuts, read from one TOML file.
//!
//! This file is the job as validated data, in mm and rad. Reading it from text, with every fault
//! located, is `parse`'s work.

mod cut;
mod edit;
mod fits;
mod nearest;
mod outline;
mod parse;
mod pattern;
mod place_files;
mod progress;
mod read;
mod read_csv;
mod read_cut;
mod read_kit;
mod read_notes;
mod read_parts;
mod read_proof;
mod read_reading;
mod read_rest;
mod read_top;
mod read_trial;
mod readings;
mod schema;
mod shapes;
mod template;
mod tree;
mod units;
mod values;

pub use cut::{Cut, CutAt, HoleLine, Kept, LineSide, StopHole};
pub use edit::{Setting, remove, set};
pub use parse::{FORMAT, Parsed, parse, parse_bytes, parse_with};
pub use pattern::{bring_back, leave_out};
pub use place_files::{PLACES_FORMAT, PlaceFiles, place_files, with_places_inside};
pub use progress::{mark_done, mark_not_done, mend, spoil, tick, untick};
pub use read::MOST_ENTRIES;
pub use read_csv::readings_from_csv;
pub use read_parts::MOST_PARTS;
pub(crate) use read_reading::BAR_APART;
pub use readings::{MeasuringTool, NewReading, add_instrument, add_reading, holes_wanted};
pub use shapes::{add_keep_out, put_corner, put_keep_out, put_origin, put_size, snapped, step};
pub use template::{NewJob, new_job};
pub use tree::MOST_BYTES;
pub use units::in_units;
pub use values::MOST_LENGTH;

use std::collections::BTreeMap;

use crate::breakdown::{Axis, PartGrain};
use crate::fault::Span;
use crate::kit::{Kit, Trial};
use crate::reading::Proving;
use crate::top::{CellRange, Grid, KeepOut, Point, Support, Top};

/// What bare numbers in the job are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Units {
    /// Millimetres.
    Mm,
    /// Inches.
    Inch,
}

/// Air at a time of the work.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// °C.
    pub temperature: f64,
    /// Relative humidity, percent.
    pub humidity: f64,
}

/// `[climate]`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Climate {
    /// On the day of boring.
    pub boring: Air,
    /// In use.
    pub use_: Air,
}

/// `[accuracy]`: what is wanted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Accuracy {
    /// Of square, mm per m.
    pub square: Option<f64>,
    /// Confidence, 0.5 to 1 (0.95 unless said).
    pub confidence: f64,
    /// Of an arrangement, mm per m.
    pub cut: Option<f64>,
}

/// How far holes of `[[done]]` are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DoneAs {
    /// Pilots.
    Pilot,
    /// Dog holes.
    Dog,
}

/// One `[[done]]`.
#[derive(Clone, Debug, PartialEq)]
pub struct Done {
    /// Which.
    pub holes: Vec<CellRange>,
    /// How far.
    pub as_: DoneAs,
    /// How far their centres may lie from their places, standard deviation along x and along y each,
    /// mm, where the maker knows; then they are taken as found, not as the job's own plan bores them.
    pub scatter: Option<f64>,
    /// Pilots beside the grid's holes, by where they are on the sheet, mm.
    pub helpers: Vec<Point>,
}

/// One `[[spoiled]]`.
#[derive(Clone, Debug, PartialEq)]
pub struct Spoiled {
    /// Which hole.
    pub hole: String,
    /// Why, in the maker's words.
    pub why: String,
}

/// Where a bench note belongs.
#[derive(Clone, Debug, PartialEq)]
pub enum NoteAt {
    /// On the card of this number; 0 is the trial bore.
    Card(u32),
    /// On every card of a stage, told by its name.
    Stage(&'static str),
    /// On the cards where this hole is bored or opened.
    Hole(String),
}

/// One `[[bench_note]]`.
#[derive(Clone, Debug, PartialEq)]
pub struct BenchNote {
    /// Where it belongs.
    pub at: NoteAt,
    /// What it says, in the maker's words.
    pub text: String,
    /// Where it stands in the job's text.
    pub span: Option<Span>,
}

/// One `[[part]]`.
#[derive(Clone, Debug, PartialEq)]
pub struct WantedPart {
    /// Its name.
    pub name: String,
    /// Length, mm.
    pub length: f64,
    /// Width, mm.
    pub width: f64,
    /// Thickness, mm, where stated.
    pub thickness: Option<f64>,
    /// How many.
    pub quantity: u32,
    /// Which side runs with the grain.
    pub grain: PartGrain,
    /// Angles of its ends, degrees; 90 is square.
    pub ends: Option<[f64; 2]>,
    /// How far its sizes may be out, mm.
    pub tolerance: Option<f64>,
    /// Its path in [`Job::places`].
    pub place: String,
}

/// One `[[stock]]`: sheets or offcuts alike.
#[derive(Clone, Debug, PartialEq)]
pub struct StockSheet {
    /// Its name.
    pub name: String,
    /// Length, mm.
    pub length: f64,
    /// Width, mm.
    pub width: f64,
    /// Thickness, mm, where stated.
    pub thickness: Option<f64>,
    /// How many.
    pub quantity: u32,
    /// Along which side the grain runs, if it has one.
    pub grain: Option<Axis>,
    /// What comes off each edge first, mm, the trimming cut's kerf included.
    pub trim: f64,
    /// What the saw takes, mm.
    pub kerf: f64,
    /// Its path in [`Job::places`].
    pub place: String,
}

/// `[[part]]`, `[[stock]]` and `[breakdown]`: what is to be cut from what.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PartList {
    /// The parts.
    pub parts: Vec<WantedPart>,
    /// The stock.
    pub stock: Vec<StockSheet>,
    /// How often at most the direction of cutting changes, counted with the first.
    pub stages: Option<u32>,
    /// Parts narrower than this are not cut, mm; none stated: they are told.
    pub narrowest: Option<f64>,
    /// Least sides of an offcut worth keeping, mm, the longer first.
    pub useful: [f64; 2],
}

/// A job, validated: all lengths in mm, angles in rad.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// Name.
    pub name: String,
    /// What bare numbers were, and what people are shown.
    pub units: Units,
    /// The maker's note.
    pub note: String,
    /// The sheet.
    pub top: Top,
    /// The grid.
    pub grid: Grid,
    /// Keep-outs.
    pub keep_outs: Vec<KeepOut>,
    /// Where the top rests.
    pub supports: Vec<Support>,
    /// The kit; absent in jobs that are only laid out or proved. What a trial bore measured stands in
    /// the place of the oversize that was stated.
    pub kit: Option<Kit>,
    /// What a trial bore in an offcut measured.
    pub trial: Option<Trial>,
    /// Climate.
    pub climate: Option<Climate>,
    /// What is wanted.
    pub accuracy: Accuracy,
    /// Part-bored: what exists.
    pub done: Vec<Done>,
    /// Spoiled holes.
    pub spoiled: Vec<Spoiled>,
    /// What the maker wants to read at the bench.
    pub bench_notes: Vec<BenchNote>,
    /// Readings, what they were made with, and what is known before them.
    pub proof: Proving,
    /// What was ticked off at the bench that `[[done]]` has no place for.
    pub ticked: Vec<String>,
    /// Cuts.
    pub cuts: Vec<Cut>,
    /// What is to be cut from what.
    pub part_list: PartList,
    /// Where each key stands in the text, by dotted path: `grid.rows`, `kit.bar[0].bore`,
    /// `keep_out[1]`, `grid.extra[0].x`.
    pub places: BTreeMap<String, Span>,
}

impl Job {
    /// Where a key stands in the job's text, by dotted path; the nearest enclosing table if the
    /// key itself was not written.
    pub fn span(&self, path: &str) -> Option<Span> {
        let mut path = path;
        loop {
            if let Some(&span) = self.places.get(path) {
                return Some(span);
            }
            path = &path[..path.rfind(['.', '['])?];
        }
    }
}
