//! A plan: every set-up from the bare sheet to the last dog hole, as data.
//!
//! This file is the plan itself, in the shape of the data contract (`holefast plan --json`,
//! `predict --plan`): who bores what through which template, located on which pins. Making one is
//! `bars`' work, checking one is [`crate::replay`]'s, saying how square it comes out is
//! [`crate::predict`]'s.
//!
//! Frame and units as everywhere: mm in the top's frame; `turn_deg` counter-clockwise from +x,
//! degrees. A template turned over has its own y axis mirrored.

mod bars;
mod contract;

pub use bars::{PlanOptions, make_plan};
pub use contract::{from_json, to_json};

use crate::kit::{Kit, Limits};

/// Drilling out a spoiled hole, gluing a plug in and cleaning it flush, minutes; the glue's drying not
/// counted. Common practice, no source.
pub const PLUGGING: f64 = 15.0;

/// What a hole is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum HoleKind {
    /// A dog hole of the grid: pilot first, then opened.
    Dog,
    /// A pilot that stays a pilot.
    Pilot,
    /// A pilot that locates a template and is never opened.
    Helper,
    /// A dog hole beside the grid (`[[grid.extra]]`).
    Extra,
}

/// One hole of a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanHole {
    /// `A1` style for places of the grid; unique in the plan.
    pub name: String,
    /// Row, 0 at the reference edge; absent for extra holes. Helpers beside the grid may be negative.
    pub row: Option<i32>,
    /// Column, 0 at the reference corner; absent for extra holes.
    pub column: Option<i32>,
    /// Nominal centre, mm in the top's frame.
    pub x_mm: f64,
    /// Nominal centre, mm in the top's frame.
    pub y_mm: f64,
    /// What it is for.
    pub kind: HoleKind,
}

/// Bar or block.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum TemplateKind {
    /// A line of accurately spaced holes.
    Bar,
    /// The guide block: a bush and two (or four) locating places.
    Block,
}

/// One hole, bush or place of a template, in the template's own frame.
#[derive(Clone, Debug, PartialEq)]
pub struct Feature {
    /// `0`, `1`, … on a bar; `bush`, `minus`, `plus` (and `minus_c`, `plus_c` for a second reach) on a block.
    pub name: String,
    /// Nominal place, mm.
    pub x_mm: f64,
    /// Nominal place, mm.
    pub y_mm: f64,
    /// Bore for a pin, limits; absent for a bush.
    pub bore_mm: Option<Limits>,
    /// Bore for a dog, limits; block places only.
    pub bore_dog_mm: Option<Limits>,
    /// The centre lies within ± this of nominal, per axis.
    pub position_mm: f64,
}

/// One bar or the block.
#[derive(Clone, Debug, PartialEq)]
pub struct Template {
    /// `L1`, `L2`, …; `K1` for the block.
    pub id: String,
    /// Bar or block.
    pub kind: TemplateKind,
    /// Its features.
    pub features: Vec<Feature>,
}

/// The stages of the work, in their order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// Pilots of the first row.
    DatumRow,
    /// Columns set square to it by a right triangle of bars.
    SquareColumns,
    /// The far ends joined and checked.
    Closing,
    /// Every row or column between.
    Fill,
    /// Beyond the bars' reach.
    Extend,
    /// Pilots enlarged to dog holes.
    Open,
}

/// Where a template lies in a set-up: its own origin in the top's frame.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed {
    /// The template's id.
    pub id: String,
    /// Its origin, mm in the top's frame.
    pub x_mm: f64,
    /// Its origin, mm in the top's frame.
    pub y_mm: f64,
    /// Direction of its own +x axis, degrees counter-clockwise from the top's +x.
    pub turn_deg: f64,
    /// Other face up: its own y axis mirrored.
    pub turned_over: bool,
}

/// One end of a pin, or where something is bored.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// `TEMPLATE:FEATURE`.
    Feature {
        /// The template's id.
        template: String,
        /// The feature's name.
        feature: String,
    },
    /// A hole of the top, by name.
    Hole(String),
}

/// What joins two places.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum With {
    /// A close pin of the kit.
    Pin,
    /// A dog of the kit.
    Dog,
    /// A gauge (thinner pin) of these limits, mm.
    Gauge(Limits),
    /// The block's bush on the hole's own pilot, by the pilot bit's diameter.
    Point,
}

/// A locator in use: `with` stands in both `a` and `b`.
#[derive(Clone, Debug, PartialEq)]
pub struct PinUse {
    /// A feature of a template of this set-up.
    pub a: Place,
    /// A hole, or a feature of another template of this set-up.
    pub b: Place,
    /// What stands there.
    pub with: With,
}

/// Which bit bores.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Bit {
    /// The pilot bit.
    Pilot,
    /// The opening bit.
    Opening,
}

/// One hole bored through one feature.
#[derive(Clone, Debug, PartialEq)]
pub struct Bore {
    /// The feature it is bored through.
    pub feature: Place,
    /// The hole's name.
    pub hole: String,
    /// Which bit.
    pub bit: Bit,
}

/// What a check lets through.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CheckLimit {
    /// Greatest misfit that goes, mm: the sum of the radial clearances at mean diameters.
    pub misfit_mm: f64,
    /// The departure from square that gives this misfit, mm per m.
    pub tests_square: f64,
    /// Share of the boards within the wanted accuracy that it stops; absent where no accuracy is wanted.
    pub good_stopped: Option<f64>,
}

/// How a template is held down.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum HoldBy {
    /// A clamp on the sheet's edge.
    EdgeClamp,
    /// A hold-down in a finished dog hole, by name.
    HoldDown(String),
    /// A batten across the template, clamped at both edges of the sheet.
    Batten,
    /// Double-sided tape under the template: the last resort.
    Tape,
}

/// What presses a template down, and where.
#[derive(Clone, Debug, PartialEq)]
pub struct Hold {
    /// The template's id.
    pub template: String,
    /// With what.
    pub by: HoldBy,
    /// Middle of the pad on the template (of the taped end, for tape), mm in the top's frame.
    pub x_mm: f64,
    /// Middle of the pad on the template, mm in the top's frame.
    pub y_mm: f64,
}

/// What a bar's free end needs under it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Beneath {
    /// Packing so thick, mm: the other end lies on a bar.
    Packing(f64),
    /// A prop outside the sheet, as high as the bar lies: it stands out so far, mm, that it would tip.
    Prop(f64),
}

/// A bar that does not lie on the sheet with all its length.
#[derive(Clone, Debug, PartialEq)]
pub struct Under {
    /// The bar's id.
    pub template: String,
    /// What its free end needs.
    pub what: Beneath,
}

/// One clamping of one or more templates, and what is bored or checked in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Setup {
    /// Counted from 1.
    pub number: u32,
    /// Which part of the work it belongs to.
    pub stage: Stage,
    /// Placed by rule and eye, without locators.
    pub by_hand: bool,
    /// A check: bores nothing.
    pub check: bool,
    /// Time it takes, minutes.
    pub minutes: f64,
    /// Checks only.
    pub limit: Option<CheckLimit>,
    /// Opening pass, 1 or 2; opening only.
    pub pass: Option<u8>,
    /// What lies where; where two overlap, the later one lies on the earlier.
    pub templates: Vec<Placed>,
    /// What locates it.
    pub pins: Vec<PinUse>,
    /// What is bored.
    pub bores: Vec<Bore>,
    /// How the templates are held down; empty where nobody said.
    pub hold: Vec<Hold>,
    /// What bars need under their free ends.
    pub under: Vec<Under>,
    /// True if it is done already: the plan goes on after it, and the prediction knows of it.
    pub done: bool,
}

/// A hole that was there before the plan's first set-up, nobody knows how.
#[derive(Clone, Debug, PartialEq)]
pub struct Exists {
    /// Its name.
    pub hole: String,
    /// True if it is a dog hole, false if a pilot.
    pub dog: bool,
    /// Standard deviation of its centre about its place, per axis, mm: an assumption.
    pub scatter_mm: f64,
}

/// The whole plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Every hole that the plan bores, pilots and helpers included, in order of rows then columns, extras last.
    pub holes: Vec<PlanHole>,
    /// The bars and the block.
    pub templates: Vec<Template>,
    /// In order of work.
    pub setups: Vec<Setup>,
    /// Why this plan: sentences for people, the choice and its figures first.
    pub reasons: Vec<String>,
    /// Holes that exist though no set-up of the plan bores them.
    pub exists: Vec<Exists>,
    /// Holes bored in set-ups that are done, spoiled and plugged since: wood again.
    pub plugged: Vec<String>,
}

impl Stage {
    /// The stage's name, as in the contract and on cards.
    pub fn name(self) -> &'static str {
        match self {
            Stage::DatumRow => "datum row",
            Stage::SquareColumns => "square columns",
            Stage::Closing => "closing",
            Stage::Fill => "fill",
            Stage::Extend => "extend",
            Stage::Open => "open",
        }
    }

    /// All stages in the order of the work.
    pub const ALL: [Stage; 6] =
        [Stage::DatumRow, Stage::SquareColumns, Stage::Closing, Stage::Fill, Stage::Extend, Stage::Open];
}

impl Plan {
    /// The hole of that name.
    pub fn hole(&self, name: &str) -> Option<&PlanHole> {
        self.holes.iter().find(|h| h.name == name)
    }

    /// The template of that id.
    pub fn template(&self, id: &str) -> Option<&Template> {
        self.templates.iter().find(|t| t.id == id)
    }

    /// All minutes together of what is left to do, plugging included.
    pub fn minutes(&self) -> f64 {
        self.setups.iter().filter(|s| !s.done).map(|s| s.minutes).sum::<f64>() + self.plugging_minutes()
    }

    /// Minutes of plugging the spoiled holes.
    pub fn plugging_minutes(&self) -> f64 {
        PLUGGING * self.plugged.len() as f64
    }
}

impl Place {
    /// A template's feature.
    pub fn feature(template: &str, feature: &str) -> Place {
        Place::Feature { template: template.to_owned(), feature: feature.to_owned() }
    }

    /// A hole of the top.
    pub fn hole(name: &str) -> Place {
        Place::Hole(name.to_owned())
    }
}

/// The templates of a kit: every bar by its own name, then the block as `K1`.
///
/// A bar named once alone is still numbered (`L1`). The block's places lie at `minus` and `plus`
/// on its own x axis; where its reach along columns differs, `minus_c` and `plus_c` lie at that
/// reach on the same axis, and the block is turned a quarter to use them.
pub fn templates(kit: &Kit) -> Vec<Template> {
    let mut all = Vec::new();
    for bar in &kit.bars {
        for n in 1..=bar.count {
            let features = (0..bar.holes)
                .map(|i| Feature {
                    name: i.to_string(),
                    x_mm: f64::from(i) * bar.pitch,
                    y_mm: 0.0,
                    bore_mm: Some(bar.bore),
                    bore_dog_mm: None,
                    position_mm: bar.position,
                })
                .collect();
            all.push(Template { id: format!("{}{n}", bar.name), kind: TemplateKind::Bar, features });
        }
    }
    let block = &kit.block;
    let place = |name: &str, x_mm: f64| Feature {
        name: name.to_owned(),
        x_mm,
        y_mm: 0.0,
        bore_mm: Some(block.bore_pin),
        bore_dog_mm: Some(block.bore_dog),
        position_mm: block.position,
    };
    let mut features = vec![
        Feature {
            name: "bush".to_owned(),
            x_mm: 0.0,
            y_mm: 0.0,
            bore_mm: None,
            bore_dog_mm: None,
            position_mm: block.position,
        },
        place("minus", -block.reach[0]),
        place("plus", block.reach[0]),
    ];
    if block.reach[0] != block.reach[1] {
        features.push(place("minus_c", -block.reach[1]));
        features.push(place("plus_c", block.reach[1]));
    }
    all.push(Template { id: "K1".to_owned(), kind: TemplateKind::Block, features });
    all
}
