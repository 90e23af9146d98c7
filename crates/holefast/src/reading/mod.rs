//! Readings of a finished or half-finished top, and what they are made with: plain data, as a job
//! states it.
//!
//! How a reading hangs on the places of the holes is `proof`'s work; here stands what it says, and
//! what a caliper over pins or dogs adds to the distance between centres. Lengths in mm, angles in
//! rad; the sign of every kind is that of the conventions: seen from the top face.

mod shown;
mod test_cut;

pub(crate) use shown::holes_of_mut;
pub use shown::{between_words, holes_of};
pub use test_cut::TestCut;

use crate::fault::Span;

/// `[proof]`, `[[instrument]]` and `[[reading]]` of a job.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Proving {
    /// What is known of the holes before a reading; `None` where the job does not say.
    pub prior: Option<Prior>,
    /// When the readings were taken, in the maker's words.
    pub date: Option<String>,
    /// What readings are made with.
    pub instruments: Vec<Instrument>,
    /// The readings, in the order of the job.
    pub readings: Vec<Reading>,
}

impl Proving {
    /// The same without places in the job's text: what is said, not where.
    pub fn without_places(&self) -> Proving {
        let mut all = self.clone();
        all.instruments.iter_mut().for_each(|i| i.span = None);
        for reading in &mut all.readings {
            (reading.span, reading.value_span, reading.with_span) = (None, None, None);
        }
        all
    }
}

/// What is known of the holes before a reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Prior {
    /// What the plan predicts: it was followed.
    Prediction,
    /// Each hole's own scatter is known, square and pitch are not.
    Scatter,
    /// Nothing.
    None,
    /// What the job states.
    Stated(Stated),
}

/// A prior in figures, standard deviations.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stated {
    /// Of each hole along x and along y, mm.
    pub hole: Known,
    /// Of square over all holes, mm per m.
    pub square: Known,
    /// Of pitch along x and along y, mm per m.
    pub pitch: [Known; 2],
}

/// How well something is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Known {
    /// To this standard deviation; nil is exactly.
    Within(f64),
    /// Not at all.
    Unknown,
}

/// Scatter of a hole along x and along y each, mm, where nothing is said (docs/design/proof.md 3).
pub const DEFAULT_SCATTER: f64 = 0.1;

impl Stated {
    /// Scatter alone is known.
    pub const SCATTER: Stated =
        Stated { hole: Known::Within(DEFAULT_SCATTER), square: Known::Unknown, pitch: [Known::Unknown; 2] };
}

/// The kinds of readings, as jobs call them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ReadingKind {
    /// Between two centres.
    Distance,
    /// Of a hole from the line through two others.
    Offset,
    /// Between two lines of holes.
    Angle,
    /// Five cuts, the last strip measured.
    FiveCut,
    /// A board cut and turned over.
    TurnOver,
    /// A bar that went in.
    Went,
    /// A bar that did not.
    DidNotGo,
    /// Places of many centres.
    Place,
}

impl ReadingKind {
    /// All of them.
    pub const ALL: [ReadingKind; 8] = [
        ReadingKind::Distance,
        ReadingKind::Offset,
        ReadingKind::Angle,
        ReadingKind::FiveCut,
        ReadingKind::TurnOver,
        ReadingKind::Went,
        ReadingKind::DidNotGo,
        ReadingKind::Place,
    ];

    /// The kind's name in jobs and data.
    pub fn name(self) -> &'static str {
        match self {
            ReadingKind::Distance => "distance",
            ReadingKind::Offset => "offset",
            ReadingKind::Angle => "angle",
            ReadingKind::FiveCut => "five_cut",
            ReadingKind::TurnOver => "turn_over",
            ReadingKind::Went => "went",
            ReadingKind::DidNotGo => "did_not_go",
            ReadingKind::Place => "place",
        }
    }

    /// What an instrument that takes it says it `reads`: a bar that did not go was tried like one that
    /// went.
    pub fn as_read(self) -> ReadingKind {
        if self == ReadingKind::DidNotGo { ReadingKind::Went } else { self }
    }
}

/// One `[[instrument]]`.
#[derive(Clone, Debug, PartialEq)]
pub struct Instrument {
    /// Its name.
    pub name: String,
    /// What it can take.
    pub reads: Vec<ReadingKind>,
    /// Standard uncertainty of one reading, mm (of feeler or caliper for angles and test cuts).
    pub u: f64,
    /// And this for every metre read, mm per m.
    pub u_per_m: f64,
    /// Error of scale common to all its readings, mm per m.
    pub scale: Option<Known>,
    /// Error of its zero common to all its readings, mm; mm per m for angles.
    pub zero: Option<Known>,
    /// Its class, instead of scale and zero.
    pub class: Option<TapeClass>,
    /// Nominal lengths it can take, mm.
    pub range: Option<[f64; 2]>,
    /// Minutes for one reading, setting pins included.
    pub minutes: Option<f64>,
    /// Where a try square's gap is taken, mm from the corner.
    pub blade: Option<f64>,
    /// Length of the strip of a test cut, mm.
    pub strip: Option<f64>,
    /// Where it stands in the job.
    pub span: Option<Span>,
}

/// Accuracy classes of tapes [OIML R 35-1, from memory].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TapeClass {
    /// ±(0.1 + 0.1 L) mm, L in m.
    I,
    /// ±(0.3 + 0.2 L) mm.
    II,
    /// ±(0.6 + 0.4 L) mm.
    III,
}

impl TapeClass {
    /// The class limit's two parts: mm, and mm per m.
    pub fn limit(self) -> [f64; 2] {
        match self {
            TapeClass::I => [0.1, 0.1],
            TapeClass::II => [0.3, 0.2],
            TapeClass::III => [0.6, 0.4],
        }
    }
}

impl Instrument {
    /// What is known of its scale, mm per m, and of its zero, mm: a class says both, each rectangular
    /// within its part of the limit.
    pub fn common(&self) -> [Known; 2] {
        let of_class = self.class.map(|class| class.limit().map(|part| Known::Within(part / 3.0f64.sqrt())));
        let [zero, scale] = of_class.unwrap_or([Known::Within(0.0); 2]);
        [self.scale.unwrap_or(scale), self.zero.unwrap_or(zero)]
    }

    /// Standard uncertainty of a reading of this length, mm.
    pub fn u_at(&self, length: f64) -> f64 {
        let per_length = self.u_per_m * length / 1000.0;
        (self.u * self.u + per_length * per_length).sqrt()
    }
}

/// One `[[reading]]`.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// What was read.
    pub what: What,
    /// The instrument's name, where one is named.
    pub with: Option<String>,
    /// Where that stands.
    pub with_span: Option<Span>,
    /// Standard uncertainty of its own, in the place of the instrument's.
    pub u: Option<f64>,
    /// When it was taken.
    pub date: Option<String>,
    /// The maker looked twice: it is kept however far it lies from what the top can be.
    pub sure: bool,
    /// Where it stands in the job.
    pub span: Option<Span>,
    /// Where its value stands.
    pub value_span: Option<Span>,
}

/// What was read, by kind.
#[derive(Clone, Debug, PartialEq)]
pub enum What {
    /// Distance between two centres, or over what stands in the holes.
    Distance {
        /// The holes.
        between: [String; 2],
        /// What was read, mm.
        value: f64,
        /// Over what.
        taken: Taken,
    },
    /// Offset of a hole from the line through two others, positive to the left of first → second.
    Offset {
        /// The hole.
        of: String,
        /// The line.
        from: [String; 2],
        /// mm.
        value: f64,
    },
    /// Angle between two rays of holes, each from the corner outwards, by a gap at the square's blade.
    Angle {
        /// The rays.
        lines: [[String; 2]; 2],
        /// mm, positive where the angle is more than `against`.
        gap: f64,
        /// Where the gap is taken, mm.
        length: f64,
        /// The square's own angle, rad.
        against: f64,
    },
    /// Five cuts: the strip's width at the end that lay against the fence and at the other.
    FiveCut {
        /// Ray from the cut into the work.
        fence: [String; 2],
        /// Ray away from the fence.
        rail: [String; 2],
        /// Widths, mm.
        strip: [f64; 2],
        /// Length of the strip, mm.
        length: f64,
    },
    /// A board cut, one half turned over, the cut edges brought together.
    TurnOver {
        /// Ray from the cut into the work.
        fence: [String; 2],
        /// Ray away from the fence.
        rail: [String; 2],
        /// mm, not negative.
        gap: f64,
        /// True where the gap shows at the fence, false at the far edge.
        at_fence: bool,
        /// Length of the cut, mm.
        length: f64,
    },
    /// A pinned bar that entered or not.
    Gauge {
        /// The holes.
        between: [String; 2],
        /// The bar's distance, mm.
        length: f64,
        /// Greatest difference that lets it in, mm.
        play: f64,
        /// The bar's own holes that were pinned, counted from its first as 1; the first and the one so far
        /// from it where nothing is said.
        bar_holes: Option<[u32; 2]>,
        /// It went.
        went: bool,
    },
    /// Places of centres.
    Place {
        /// Which.
        holes: Vec<String>,
        /// mm.
        x: Vec<f64>,
        /// mm.
        y: Vec<f64>,
        /// Covariance, mm², order x0 y0 x1 y1; `None` where `u` is of each.
        covariance: Option<Vec<Vec<f64>>>,
        /// The frame is their own: shift and turn unknown.
        own_frame: bool,
    },
}

impl What {
    /// Its kind.
    pub fn kind(&self) -> ReadingKind {
        match self {
            What::Distance { .. } => ReadingKind::Distance,
            What::Offset { .. } => ReadingKind::Offset,
            What::Angle { .. } => ReadingKind::Angle,
            What::FiveCut { .. } => ReadingKind::FiveCut,
            What::TurnOver { .. } => ReadingKind::TurnOver,
            What::Gauge { went: true, .. } => ReadingKind::Went,
            What::Gauge { went: false, .. } => ReadingKind::DidNotGo,
            What::Place { .. } => ReadingKind::Place,
        }
    }
}

/// What jaws or hook touch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Over {
    /// Centres themselves: a rule, or a reading already reduced.
    Centres,
    /// Pins in the holes.
    Pins,
    /// Dogs in the holes.
    Dogs,
    /// The holes' own edges.
    Edges,
}

/// How a distance was taken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Taken {
    /// Over what.
    pub over: Over,
    /// Far faces (`true`: value is distance plus mean diameter) or near ones.
    pub outer: bool,
    /// Diameters of pins or dogs, of the holes for edges, mm.
    pub diameters: [f64; 2],
    /// Hole less pin, diametral, mm.
    pub clearance: Option<[f64; 2]>,
    /// The jaws press the pins together (outer) or apart (inner).
    pub pressed: bool,
}

impl Taken {
    /// Between centres.
    pub const CENTRES: Taken =
        Taken { over: Over::Centres, outer: true, diameters: [0.0; 2], clearance: None, pressed: false };

    /// What the reading has more than the distance between centres, mm.
    pub fn more(&self) -> f64 {
        let mean = |pair: [f64; 2]| 0.5 * (pair[0] + pair[1]);
        let pressed = if self.pressed { self.clearance.map_or(0.0, mean) } else { 0.0 };
        let outer = mean(self.diameters) - pressed;
        match self.over {
            Over::Centres => 0.0,
            _ if self.outer => outer,
            _ => -outer,
        }
    }

    /// What loose pins or dogs add to the variance, mm²: each lies anywhere in its clearance.
    pub fn loose_variance(&self) -> f64 {
        match self.clearance {
            Some([a, b]) if !self.pressed && self.over != Over::Centres => (a * a + b * b) / 16.0,
            _ => 0.0,
        }
    }
}
