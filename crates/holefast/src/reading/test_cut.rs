//! What a test cut reads: how far the cut is from square.

use super::{Instrument, Reading, What};

/// mm per m in a rad.
const PER_METRE: f64 = 1000.0;

/// A test cut as read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TestCut<'a> {
    /// Ray from the cut into the work.
    pub fence: &'a [String; 2],
    /// Ray away from the fence.
    pub rail: &'a [String; 2],
    /// Angle on the work's side less a right angle, mm per m.
    pub over: f64,
    /// Its standard uncertainty, mm per m.
    pub u: f64,
}

impl Reading {
    /// Standard uncertainty of this reading at a length, mm: its own, else its instrument's.
    pub fn u_at(&self, instruments: &[Instrument], length: f64) -> f64 {
        let with = instruments.iter().find(|i| self.with.as_deref() == Some(&i.name));
        self.u.unwrap_or_else(|| with.map_or(0.0, |i| i.u_at(length)))
    }

    /// This reading as a test cut; `None` where it is none.
    ///
    /// Five cuts leave the strip thicker at the end that lay against the fence by four times the
    /// departure over its length; the gap of a board turned over is twice it, and open at the fence
    /// where the angle is more than 90°.
    pub fn test_cut(&self, instruments: &[Instrument]) -> Option<TestCut<'_>> {
        match &self.what {
            What::FiveCut { fence, rail, strip: [a, b], length } => {
                let share = PER_METRE / (4.0 * length);
                let u = std::f64::consts::SQRT_2 * self.u_at(instruments, 0.5 * (a + b)) * share;
                Some(TestCut { fence, rail, over: (a - b) * share, u })
            }
            What::TurnOver { fence, rail, gap, at_fence, length } => {
                let share = PER_METRE / (2.0 * length);
                let sign = if *at_fence { 1.0 } else { -1.0 };
                Some(TestCut { fence, rail, over: sign * gap * share, u: self.u_at(instruments, *gap) * share })
            }
            _ => None,
        }
    }
}
