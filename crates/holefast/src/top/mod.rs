//! The top and what is laid out on it: outline, grid, keep-outs, and the holes that fit.
//!
//! Data of the sheet as the job states it, the naming of holes, and [`lay_out`], which decides
//! where the holes go and says what stands in their way. Millimetres in the top's frame.

mod beam;
mod cell;
mod clear;
mod conflict;
mod figures;
mod ground;
mod layout;
mod material;
mod movement;
mod origin;
pub(crate) mod outline;
mod perforated;
#[cfg(test)]
mod properties;
mod sag;
pub mod show;
#[cfg(test)]
mod tests;

pub use cell::{Cell, CellRange, MOST_ROWS_OR_COLUMNS, row_letters};
pub use clear::LEAST_WOOD;
pub use conflict::Conflict;
pub use figures::{LeastWood, Margins, Weight};
pub use kurbo::Point;
pub use layout::{LaidHole, Layout, MOST_HOLES, Obstacle, lay_out};
pub use material::{Grain, InPlane, Material, Sorption};
pub use movement::{
    Movement, MovementLimit, MovementUnknown, REFERENCE_TEMPERATURE, STEEL_PER_K, moisture_of_wood, moisture_taken,
    movement, steel_strain,
};
pub use sag::{Lowest, Sag, SagLimit, SagUnknown, sag};

/// The sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Top {
    /// Along x, mm.
    pub length: f64,
    /// Along y, mm.
    pub width: f64,
    /// Thickness, mm.
    pub thickness: f64,
    /// What it is made of.
    pub material: Material,
    /// Which way its grain runs.
    pub grain: Grain,
    /// A load it is to bear besides its own weight, kg; laid across its width where it bends it most.
    pub load: Option<f64>,
    /// How much room is free below it, mm, where its edges are.
    pub free_below: Option<f64>,
    /// Corners of the outline, counter-clockwise; the rectangle unless the job gives another.
    pub outline: Vec<Point>,
}

/// A number of rows or columns: given, or as many as fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Count {
    /// As many as fit.
    Fit,
    /// So many.
    Number(u32),
}

/// Where `A1` goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum GridOrigin {
    /// The grid in the middle of the sheet.
    Centred,
    /// Of the origins with most holes, the one nearest to centred.
    Fit,
    /// Here, mm.
    At(Point),
}

/// `[grid]`.
#[derive(Clone, Debug, PartialEq)]
pub struct Grid {
    /// Along x and along y, mm.
    pub pitch: [f64; 2],
    /// Dog hole, nominal diameter, mm.
    pub hole: f64,
    /// Pilot, nominal diameter, mm.
    pub pilot: f64,
    /// Rows.
    pub rows: Count,
    /// Columns.
    pub columns: Count,
    /// Least distance from a hole's centre to the top's edge, mm.
    pub edge: f64,
    /// Where `A1` goes.
    pub origin: GridOrigin,
    /// Places left out.
    pub skip: Vec<CellRange>,
    /// If given, only these places are wanted.
    pub only: Option<Vec<CellRange>>,
    /// Holes beside the grid.
    pub extra: Vec<ExtraHole>,
}

/// One `[[grid.extra]]`.
#[derive(Clone, Debug, PartialEq)]
pub struct ExtraHole {
    /// Its name; not a name of the grid.
    pub name: String,
    /// Centre, mm.
    pub centre: Point,
    /// Diameter, mm.
    pub diameter: f64,
}

/// The shape of a keep-out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum KeepOutShape {
    /// From its lower left corner: x, y, length along x, width along y, mm.
    Rect {
        /// Left, mm.
        x: f64,
        /// Lower, mm.
        y: f64,
        /// Along x, mm.
        length: f64,
        /// Along y, mm.
        width: f64,
    },
    /// Centre and diameter, mm.
    Circle {
        /// Centre.
        centre: Point,
        /// Diameter, mm.
        diameter: f64,
    },
}

/// On which face a keep-out stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Above: bars and block must keep off it too.
    Above,
    /// Below: only holes must.
    Below,
    /// Both.
    Both,
}

/// One `[[keep_out]]`.
#[derive(Clone, Debug, PartialEq)]
pub struct KeepOut {
    /// What it is.
    pub name: String,
    /// Where it is.
    pub shape: KeepOutShape,
    /// A hole is out if its edge comes nearer than this, mm.
    pub clearance: f64,
    /// On which face.
    pub side: Side,
}

/// One `[[support]]`: a line the top rests on, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Support {
    /// One end.
    pub from: Point,
    /// The other end.
    pub to: Point,
}
