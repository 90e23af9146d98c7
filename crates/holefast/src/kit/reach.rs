//! What counts as long enough, clear enough and held: the limits that planner and replay checker
//! agree on. How each finds out is its own affair. Lengths in mm.

/// A pin stands at least so many of its own diameters deep in the sheet (or through it, if the sheet
/// is thinner). Common practice, no source: with less, a pin leans in its pilot when the bar is
/// pushed, and the pilot's rim gives way.
pub const PIN_IN_SHEET: f64 = 2.0;

/// A pin that joins two bars stands at least so many of its own diameters deep in the lower one (or
/// through it). Steel does not give as wood does: a diameter is as much as holds it upright.
pub const PIN_IN_BAR: f64 = 1.0;

/// A pin is held over at least so many of its own diameters in the block's bore for it, above the
/// step (or over all of it): as in a bar.
pub const PIN_IN_BLOCK: f64 = 1.0;

/// A chuck holds a bit by at least this much of its shank (common practice, no source).
pub const CHUCK_HOLDS: f64 = 20.0;

/// A bit's point stands out by so much of its diameter: half of it over tan 59°, for the usual
/// point of 118° (from memory). Only when the point has passed is the hole full width.
pub const POINT: f64 = 0.300_430_3;

/// A helper pilot that exists is named by where it is, read with a rule from the edges: it is the place
/// of the grid's pitch within this, mm. Further off no bar's pins meet it.
pub const HELPER_WITHIN: f64 = 2.0;

/// A bar that stands out over the sheet by more than this part of its length needs a prop
/// (common practice, no source): beyond a half it tips by itself, beyond a third by a knock,
/// before it is clamped.
pub const PROP_BEYOND: f64 = 1.0 / 3.0;

/// Templates that lie into each other by no more than this touch: they are laid to a tenth of a
/// millimetre at best.
pub const TOUCHES: f64 = 0.1;

/// Diameter of the pad with which a clamp, hold-down or batten presses: less bites into the
/// template and tilts it (common practice, no source).
pub const PAD: f64 = 20.0;

/// From the rim of what is bored to the middle of a pad: room for the chuck's half and the pad's own
/// half (common practice, no source).
pub const BESIDE_A_BIT: f64 = 25.0;

/// From the rim of a pin or dog to the middle of a pad: the pad's half and a finger to draw the pin.
pub const BESIDE_A_PIN: f64 = 15.0;

/// Width of the strip that a clamp's jaw, a hold-down's arm or a batten needs free, and how far in
/// from the edge a batten's clamps need it free below (common practice, no source).
pub const JAW: f64 = 30.0;

/// How far a hold-down's pad reaches from the hole it stands in, where the kit does not say
/// (common practice, no source); printed where it is used.
pub const ASSUMED_HOLD_DOWN: f64 = 150.0;

/// The longest batten that still presses in its middle, mm (common practice, no source): a 45 by
/// 70 mm spruce batten on edge bends about 3 mm over this length under 500 N
/// (F l³ / 48 E I, E = 10 kN/mm² from memory), which a packing under it takes up.
pub const LONGEST_BATTEN: f64 = 1500.0;

/// How high such a batten stands on what it presses: its clamps must open so much wider, mm.
pub const BATTEN_HIGH: f64 = 70.0;
