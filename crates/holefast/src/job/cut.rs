//! A cut as the job states it: what is wanted, and fence, rail and stop where they are settled.

/// On which side of its two holes, seen along them, a fence or rail touches the dogs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LineSide {
    /// At the left of the way from the first hole to the second.
    Left,
    /// At the right.
    Right,
}

/// Where along the cut the length is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CutAt {
    /// At the edge that lies against the fence.
    Fence,
    /// In the middle of the width.
    Middle,
    /// At the edge away from the fence.
    Far,
}

/// Which piece is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kept {
    /// The one that the rail lies on: the cut is its edge.
    UnderRail,
    /// The one beyond the kerf.
    Beyond,
}

/// A fixed line of an arrangement: two holes, named from the cut into the work (fence) or away
/// from the fence (rail).
#[derive(Clone, Debug, PartialEq)]
pub struct HoleLine {
    /// The two holes.
    pub holes: [String; 2],
    /// Which side touches the dogs.
    pub side: LineSide,
    /// Diameters of the dogs where they are touched, mm; the kit's where not stated.
    pub dogs: Option<[f64; 2]>,
    /// Of a rail: from the dogs' faces to the cut, away from the dogs, mm; the kit's where not stated.
    pub cut: Option<f64>,
}

/// A fixed stop.
#[derive(Clone, Debug, PartialEq)]
pub struct StopHole {
    /// The hole its dog stands in.
    pub hole: String,
    /// The dog's diameter where it is touched, mm; the kit's where not stated.
    pub dog: Option<f64>,
}

/// One `[[cut]]`.
#[derive(Clone, Debug, PartialEq)]
pub struct Cut {
    /// Its name.
    pub name: String,
    /// Angle between fence and cut on the work's side, rad; a right angle is a square cut.
    pub angle: f64,
    /// How far from it a direction may be, rad, for it to be considered.
    pub tolerance: Option<f64>,
    /// Length of the piece, mm.
    pub length: Option<f64>,
    /// Where that length is taken.
    pub at: CutAt,
    /// Width of the work from the fence to its far edge, mm.
    pub width: Option<f64>,
    /// What the blade takes out, mm.
    pub kerf: Option<f64>,
    /// Which piece is kept, where said.
    pub kept: Option<Kept>,
    /// Angle of the end at the stop, rad; a right angle unless said.
    pub end: f64,
    /// Pieces.
    pub quantity: u32,
    /// Fixed fence line.
    pub fence: Option<HoleLine>,
    /// Fixed rail line.
    pub rail: Option<HoleLine>,
    /// Fixed stop.
    pub stop: Option<StopHole>,
}
