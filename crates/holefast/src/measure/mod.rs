//! Measures: lengths as people write them, ISO 286 limits, and the printing of numbers with their
//! units and uncertainties. Knows nothing of jobs, kits or tops beyond their limits of size.

pub mod format;
pub mod iso286;
pub mod length;

pub use length::{LengthError, MM_PER_INCH, mm_from_inch, parse_length};
