//! Breaking stock down into rectangular parts by through cuts: which sheets and offcuts are taken,
//! how each is cut, what is left over, and how near that is to the best there can be.
//!
//! Plain data in, plain data out; nothing here knows of holes, jobs or people. Lengths are whole
//! numbers of [`Size`] (in a job 1/8000 mm, see [`UNITS_PER_MM`]), so that parts that just fit are
//! found to fit, in millimetres and in 64ths of an inch alike.
//!
//! A through cut goes from one side of a rectangle to the other and makes two of it. A saw takes its
//! kerf away between them. Cutting parts of sizes `a, b, …` off a sheet of `s` with kerf `k` is the
//! same as cutting `a + k, b + k, …` off `s + k` with a saw that takes nothing; inside, all sizes are
//! such grossed-up ones, and only what leaves this module is true to size.
//!
//! The way through: [`solve`] checks the problem, `bound` says how little stock could do, `search`
//! tears down and builds up trees of cuts (`tree`), `limited` and `unlimited` are exact where
//! the size allows. [`legal`] judges any breakdown from its geometry alone and shares nothing with
//! the rest.

mod bound;
mod build;
mod draws;
pub mod legal;
mod limited;
mod patterns;
mod search;
mod solve;
mod tree;
mod unlimited;

#[cfg(test)]
mod tests;

pub use solve::{most_value, solve};

/// A length, in whole units of the caller's choice, at most [`MOST_SIZE`].
pub type Size = i64;

/// Units of a job's lengths in a millimetre: a micrometre and the 64th of an inch are both whole
/// numbers of 1/8000 mm.
pub const UNITS_PER_MM: f64 = 8000.0;

/// Longest side, units: 20 m in a job; areas of sheets are then below 2⁶³.
pub const MOST_SIZE: Size = 160_000_000;

/// One of the two directions of a sheet: along its length (x) or along its width (y).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Axis {
    /// Along the length.
    X,
    /// Along the width.
    Y,
}

impl Axis {
    /// The other one.
    pub fn other(self) -> Axis {
        match self {
            Axis::X => Axis::Y,
            Axis::Y => Axis::X,
        }
    }

    pub(crate) fn index(self) -> usize {
        match self {
            Axis::X => 0,
            Axis::Y => 1,
        }
    }
}

/// Which side of a part has to run with the grain.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PartGrain {
    /// Its length.
    Length,
    /// Its width.
    Width,
    /// Either.
    Any,
}

/// A part that is wanted.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Length and width.
    pub size: [Size; 2],
    /// How many.
    pub quantity: u32,
    /// Which side runs with the grain.
    pub grain: PartGrain,
    /// What one is worth where not all can be cut; its area unless said.
    pub value: Option<u64>,
}

/// Sheets or offcuts alike.
#[derive(Clone, Debug, PartialEq)]
pub struct Stock {
    /// Length and width as they lie in the rack.
    pub size: [Size; 2],
    /// How many.
    pub quantity: u32,
    /// Along which side the grain runs; none for boards without one.
    pub grain: Option<Axis>,
    /// Taken off each of the four edges before anything else, the trimming cut's kerf included.
    pub trim: Size,
    /// What the saw takes.
    pub kerf: Size,
}

/// What is to be broken down, and how.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// What is wanted.
    pub parts: Vec<Part>,
    /// What there is.
    pub stock: Vec<Stock>,
    /// How often at most the direction of cutting changes on the way to a part, counted with the
    /// first direction: 2 is strips and then pieces of them. None: as often as it helps.
    pub stages: Option<u32>,
    /// Least sides, longer and shorter, that make an offcut worth keeping.
    pub useful: [Size; 2],
}

/// How long to look: so many rounds of tearing down and building up, from this seed. The same
/// effort gives the same answer on every machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Effort {
    /// Rounds.
    pub rounds: u64,
    /// Seed of the random numbers.
    pub seed: u64,
}

/// What is told while looking.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Progress {
    /// Rounds done, of [`Effort::rounds`].
    pub rounds: u64,
    /// Area of the stock of the best breakdown so far in which all parts are cut, if there is one.
    pub stock_area: Option<f64>,
    /// Value of the best so far.
    pub value: u64,
}

/// Told now and then how far the work is; says whether to go on. What is best when it says no is
/// the answer.
pub type Watch<'a> = &'a mut dyn FnMut(Progress) -> bool;

/// A rectangle of a sheet, true to size, counted from the corner of the untrimmed sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rect {
    /// Nearest corner.
    pub at: [Size; 2],
    /// Sides along x and y.
    pub size: [Size; 2],
}

/// A rectangle, and what is made of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// Where it lies.
    pub rect: Rect,
    /// What is made of it.
    pub made: Made,
}

/// What is made of a rectangle.
#[derive(Clone, Debug, PartialEq)]
pub enum Made {
    /// A finished part.
    Part {
        /// Which, by its place in [`Problem::parts`].
        part: usize,
        /// Its length lies along y.
        turned: bool,
    },
    /// Left over.
    Offcut,
    /// Cut into pieces that follow one another along an axis, a kerf between any two.
    Cut {
        /// The direction in which they follow one another; the cuts run across it.
        along: Axis,
        /// The pieces, in order.
        pieces: Vec<Piece>,
    },
}

/// One sheet and how it is cut.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Which, by its place in [`Problem::stock`].
    pub stock: usize,
    /// What is left of it after trimming, and how that is cut.
    pub whole: Piece,
}

/// How sure it is that nothing better exists.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Proof {
    /// There is none: shown by a bound that it meets, or by looking at all there is.
    Best,
    /// Nothing can be better by more than this share.
    Within(f64),
}

/// An answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Breakdown {
    /// The sheets, in the order of [`Problem::stock`].
    pub sheets: Vec<Sheet>,
    /// How many of each part could not be cut.
    pub left: Vec<u32>,
    /// Whole area of the stock that is taken.
    pub stock_area: f64,
    /// Value of the parts that are cut.
    pub value: u64,
    /// What is known of better ones: by stock where all parts are cut, else by value.
    pub proof: Proof,
    /// Rounds that were made.
    pub rounds: u64,
}

impl Part {
    /// What one is worth.
    pub fn worth(&self) -> u64 {
        self.value.unwrap_or((self.size[0] * self.size[1]).unsigned_abs())
    }

    /// The ways it may lie on a sheet: not turned, turned, or both; sides true to size.
    pub(crate) fn ways(&self, stock: &Stock) -> impl Iterator<Item = (bool, [Size; 2])> {
        let [length, width] = self.size;
        let may = match (self.grain, stock.grain) {
            (PartGrain::Any, _) => [true, length != width],
            // a grain that the sheet does not have cannot be followed
            (_, None) => [false, false],
            (PartGrain::Length, Some(axis)) => [axis == Axis::X, axis == Axis::Y],
            (PartGrain::Width, Some(axis)) => [axis == Axis::Y, axis == Axis::X],
        };
        let room = stock.room();
        [(false, [length, width]), (true, [width, length])]
            .into_iter()
            .zip(may)
            .filter(move |((_, size), may)| *may && size[0] <= room[0] && size[1] <= room[1])
            .map(|(way, _)| way)
    }
}

impl Stock {
    /// Sides after trimming; never below nought.
    pub fn room(&self) -> [Size; 2] {
        self.size.map(|side| (side - 2 * self.trim).max(0))
    }

    /// Area of the whole sheet.
    pub fn area(&self) -> f64 {
        self.size[0] as f64 * self.size[1] as f64
    }
}

impl Piece {
    /// This piece and all that are cut from it, each before what is cut from it.
    pub fn all(&self) -> Vec<&Piece> {
        let mut out = vec![self];
        let mut next = 0;
        while next < out.len() {
            if let Made::Cut { pieces, .. } = &out[next].made {
                out.extend(pieces);
            }
            next += 1;
        }
        out
    }
}
