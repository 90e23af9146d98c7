//! The kit: bars, pins, bits, block, dogs, as the job names them. All lengths in mm, all
//! diameters as limits; a plain number has equal limits, that is, no spread.

pub mod reach;
mod trial;

pub use trial::{DEFAULT_READING_U, Trial, limits_from};

/// Least and greatest value of a diameter or clearance, mm; `min <= max`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Least, mm.
    pub min: f64,
    /// Greatest, mm.
    pub max: f64,
}

impl Limits {
    /// Both limits the same: no spread.
    pub const fn exact(value: f64) -> Limits {
        Limits { min: value, max: value }
    }

    /// Limits from least to greatest.
    pub const fn new(min: f64, max: f64) -> Limits {
        Limits { min, max }
    }

    /// Middle of the limits, mm; the mean of a rectangular distribution between them.
    pub fn mean(self) -> f64 {
        0.5 * (self.min + self.max)
    }

    /// Width between the limits, mm.
    pub fn width(self) -> f64 {
        self.max - self.min
    }

    /// Mean of the square of a value rectangular between the limits, mm².
    pub fn mean_square(self) -> f64 {
        (self.min * self.min + self.min * self.max + self.max * self.max) / 3.0
    }

    /// The limits shifted by `by`, mm.
    pub fn shifted(self, by: f64) -> Limits {
        Limits { min: self.min + by, max: self.max + by }
    }
}

/// One `[[kit.bar]]`: `count` bars alike, named `name` followed by 1, 2, …
#[derive(Clone, Debug, PartialEq)]
pub struct Bar {
    /// Letter or word the bars are called by.
    pub name: String,
    /// How many there are.
    pub count: u32,
    /// Number of holes.
    pub holes: u32,
    /// Distance between neighbouring holes, mm.
    pub pitch: f64,
    /// Diameter of its holes, mm.
    pub bore: Limits,
    /// Each hole's centre lies within ± this of nominal, per axis, mm.
    pub position: f64,
    /// May be used either face up.
    pub turn_over: bool,
    /// Outside width, mm.
    pub width: Option<f64>,
    /// Thickness, mm.
    pub thickness: Option<f64>,
    /// From the last hole's centre to the bar's end, mm.
    pub beyond: Option<f64>,
}

/// `[kit.pin]`: the close pins for pilots.
#[derive(Clone, Debug, PartialEq)]
pub struct Pin {
    /// Diameter, mm.
    pub diameter: Limits,
    /// How many there are (3 unless said).
    pub count: u32,
    /// Length, mm.
    pub length: Option<f64>,
}

/// One `[[kit.gauge]]`: thinner pins for checks.
#[derive(Clone, Debug, PartialEq)]
pub struct Gauge {
    /// Diameter, mm.
    pub diameter: Limits,
    /// How many there are.
    pub count: u32,
    /// Length, mm; of a drill's shank, what may stand in bar and pilot.
    pub length: Option<f64>,
    /// True when the kit names none and this is the assumed pair of drill shanks.
    pub assumed: bool,
}

/// `[kit.pilot_bit]`.
#[derive(Clone, Debug, PartialEq)]
pub struct PilotBit {
    /// Diameter, mm (limits equal unless the job gives two).
    pub diameter: Limits,
    /// Diametral clearance of the bit in a bar's hole, mm.
    pub clearance: Limits,
    /// Standard deviation per axis of the bored centre from the bit's, mm.
    pub wander: f64,
    /// Pilot bore minus bit diameter, mm.
    pub oversize: Limits,
    /// Length, mm.
    pub length: Option<f64>,
}

/// `[kit.block]`: the guide block of the big bit.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    /// Bush centre to locating place, mm: along rows, along columns.
    pub reach: [f64; 2],
    /// Bore of each place for a pin, mm.
    pub bore_pin: Limits,
    /// Bore of each place for a dog, mm.
    pub bore_dog: Limits,
    /// Bush and places lie within ± this of nominal, per axis, mm.
    pub position: f64,
    /// How far above the sheet the bores for pins begin, mm: below that a place is as wide as a dog.
    pub step: Option<f64>,
    /// Footprint and height, mm.
    pub size: Option<[f64; 3]>,
}

/// `[kit.opening_bit]`.
#[derive(Clone, Debug, PartialEq)]
pub struct OpeningBit {
    /// Diameter, mm.
    pub diameter: Limits,
    /// Diametral clearance of the bit in the bush, mm.
    pub clearance: Limits,
    /// Standard deviation per axis of the bored centre from the bit's, mm.
    pub wander: f64,
    /// Standard deviation per axis of the hole's slope, rad (the job states degrees).
    pub lean: f64,
    /// Dog hole minus bit diameter, mm.
    pub oversize: Limits,
    /// Length, mm.
    pub length: Option<f64>,
}

/// `[kit.dog]`.
#[derive(Clone, Debug, PartialEq)]
pub struct Dog {
    /// Diameter, mm.
    pub diameter: Limits,
    /// How many there are (2 unless said).
    pub count: u32,
    /// How far it stands out of the top, mm.
    pub height: Option<f64>,
    /// What each dog at hand measures where fence and rail touch it, mm; empty where all are as thick
    /// there as `diameter`.
    pub heads: Vec<f64>,
}

/// `[kit.rail]`: the guide rail, for cutting.
#[derive(Clone, Debug, PartialEq)]
pub struct Rail {
    /// Length, mm.
    pub length: f64,
    /// From the dogs' faces to the cut, mm.
    pub cut: f64,
    /// Run-in and run-out, mm.
    pub run: [f64; 2],
}

/// `[kit.fence]`.
#[derive(Clone, Debug, PartialEq)]
pub struct Fence {
    /// Length, mm.
    pub length: f64,
    /// Height above the top at which fence and rail touch the dogs, mm.
    pub height: f64,
    /// From its face at the dogs to its face at the work, mm; none where the work lies against the dogs.
    pub thickness: Option<f64>,
}

/// `[kit.minutes]`: what a step of the work takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Minutes {
    /// To place, pin and clamp one set-up, minutes.
    pub setup: f64,
    /// To bore one pilot, minutes.
    pub pilot: f64,
    /// To open one hole, the block's seating included, minutes.
    pub opening: f64,
    /// True where the job did not say and these are the defaults.
    pub assumed: bool,
}

/// Common practice, no source: an unhurried hobby pace, printed wherever it is used.
pub const DEFAULT_MINUTES: Minutes = Minutes { setup: 4.0, pilot: 0.3, opening: 1.0, assumed: true };

/// How far a pin may be forced in a wooden hole when seating, mm, unless the job says.
pub const DEFAULT_GIVE: f64 = 0.03;

/// A kit that names no gauges is given the shanks of a drill this much thinner than the pin, mm:
/// drills are sold in steps of 0.1 mm.
pub const ASSUMED_GAUGE_STEP: f64 = 0.1;

impl Kit {
    /// How far a distance may be off and a bar still enter with two pins, or two gauges, in pilots: the
    /// radial clearances at mean diameters of both ends, mm; no give (docs/design/prediction.md 2,
    /// docs/design/plan.md 6).
    pub fn play(&self, bar: &Bar, gauges: bool) -> f64 {
        let gauge = self.gauges.first().filter(|_| gauges).map(|gauge| gauge.diameter);
        let peg = gauge.unwrap_or(self.pin.diameter).mean();
        let pilot = self.pilot_bit.diameter.mean() + self.pilot_bit.oversize.mean();
        // Two ends, each with half of either diametral clearance.
        (bar.bore.mean() - peg).max(0.0) + (pilot - peg).max(0.0)
    }

    /// The bar that a name means: its letter, or its letter and number, with or without the word before.
    pub fn bar_called(&self, name: &str) -> Option<&Bar> {
        let name = name.strip_prefix("bar ").unwrap_or(name);
        self.bars.iter().find(|bar| {
            name.strip_prefix(bar.name.as_str())
                .is_some_and(|n| n.is_empty() || n.parse().is_ok_and(|n: u32| (1..=bar.count).contains(&n)))
        })
    }
}

/// The whole kit of a job.
#[derive(Clone, Debug, PartialEq)]
pub struct Kit {
    /// The bars, at least one entry.
    pub bars: Vec<Bar>,
    /// The close pins.
    pub pin: Pin,
    /// Gauges for checks; never empty (see [`Gauge::assumed`]).
    pub gauges: Vec<Gauge>,
    /// The pilot bit.
    pub pilot_bit: PilotBit,
    /// The guide block.
    pub block: Block,
    /// The big bit.
    pub opening_bit: OpeningBit,
    /// The dogs.
    pub dog: Dog,
    /// How far clamps reach from an edge, mm.
    pub clamp_reach: Option<f64>,
    /// How far clamps open, mm.
    pub clamp_opens: Option<f64>,
    /// What an edge clamp takes below the sheet, mm: jaw, screw and handle.
    pub clamp_below: Option<f64>,
    /// How far a hold-down's pad reaches from the dog hole it stands in, mm; nought if the maker has none.
    pub hold_down: Option<f64>,
    /// How high above the sheet what a hold-down presses may be, mm.
    pub hold_down_high: Option<f64>,
    /// Guide rail.
    pub rail: Option<Rail>,
    /// Fence.
    pub fence: Option<Fence>,
    /// Shim thicknesses in stock, mm.
    pub shims: Vec<f64>,
    /// How far a pin may be forced in a wooden hole when seating, mm.
    pub give: f64,
    /// Times of the steps.
    pub minutes: Minutes,
}
