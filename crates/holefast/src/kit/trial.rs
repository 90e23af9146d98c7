//! What a trial bore says: from measured diameters of a few holes to how much a hole is over its bit.
//!
//! The kit's `oversize` is a guess until an offcut of the same sheet has been bored and measured;
//! then this replaces it. Millimetres.

use super::{Kit, Limits};

/// Standard uncertainty of one reading of a hole in wood with a caliper, mm, unless the job says:
/// common practice, no source. The jaws press into the rim, and a hole in plywood is not quite round.
pub const DEFAULT_READING_U: f64 = 0.02;

/// `[trial]`: what was measured in an offcut of the same sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Trial {
    /// Measured diameters of pilots, mm; may be empty.
    pub pilot: Vec<f64>,
    /// Measured diameters of dog holes, mm; may be empty.
    pub dog: Vec<f64>,
    /// Standard uncertainty of one reading, mm.
    pub u: f64,
    /// Whether a pin went into the pilots under a finger, where tried.
    pub pin_goes: Option<bool>,
    /// Whether a dog went into the dog hole under a hand, where tried.
    pub dog_goes: Option<bool>,
}

/// Limits of what the holes of this bit will measure, from readings of some of them; `None` without
/// a reading.
///
/// The model bores rectangularly between limits. Of n readings from `least` to `greatest` the
/// unbiased estimate of such limits goes (greatest − least) / (n − 1) beyond them on either side
/// (order statistics of the rectangular distribution: its expected least lies 1/(n + 1) of the
/// width inside). However alike the readings, the limits stay √3 u apart from their middle on
/// either side: a rectangular spread of the readings' own standard uncertainty u.
pub fn limits_from(readings: &[f64], u: f64) -> Option<Limits> {
    let least = readings.iter().copied().reduce(f64::min)?;
    let greatest = readings.iter().copied().reduce(f64::max)?;
    let beyond = if readings.len() > 1 { (greatest - least) / (readings.len() - 1) as f64 } else { 0.0 };
    let middle = 0.5 * (least + greatest);
    let half = (0.5 * (greatest - least) + beyond).max(3f64.sqrt() * u);
    Some(Limits::new(middle - half, middle + half))
}

impl Kit {
    /// The kit with what a trial bore measured in the place of the oversize that was stated.
    ///
    /// Oversize is counted from the middle of the bit's own limits, as the model adds it to the bit.
    pub fn after_trial(mut self, trial: &Trial) -> Kit {
        if let Some(pilot) = limits_from(&trial.pilot, trial.u) {
            self.pilot_bit.oversize = pilot.shifted(-self.pilot_bit.diameter.mean());
        }
        if let Some(dog) = limits_from(&trial.dog, trial.u) {
            self.opening_bit.oversize = dog.shifted(-self.opening_bit.diameter.mean());
        }
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::made::Dice;

    #[test]
    fn one_reading_is_as_sure_as_its_caliper() {
        // A rectangular distribution of half-width √3 u has the standard deviation u.
        let limits = limits_from(&[4.05], 0.02).unwrap();
        assert!((limits.mean() - 4.05).abs() < 1e-12);
        assert!((limits.width() / 12f64.sqrt() - 0.02).abs() < 1e-12, "{limits:?}");
        assert_eq!(limits_from(&[], 0.02), None);
    }

    #[test]
    fn readings_far_apart_widen_the_limits_by_their_number() {
        // Three readings over 0.2 mm: 0.1 mm beyond on either side.
        let limits = limits_from(&[20.0, 20.2, 20.1], 0.02).unwrap();
        assert!((limits.min - 19.9).abs() < 1e-12 && (limits.max - 20.3).abs() < 1e-12, "{limits:?}");
    }

    #[test]
    fn the_limits_are_right_on_average_over_many_trials() {
        let mut dice = Dice::new(5);
        for n in [2, 3, 5, 12] {
            let trials = 40_000;
            let (mut low, mut high) = (0.0, 0.0);
            for _ in 0..trials {
                let readings: Vec<f64> = (0..n).map(|_| 4.02 + 0.3 * dice.unit()).collect();
                let limits = limits_from(&readings, 0.0).unwrap();
                low += limits.min / f64::from(trials);
                high += limits.max / f64::from(trials);
            }
            // The estimate's own spread is below the width; over 40 000 trials its mean is good to 0.0015.
            assert!((low - 4.02).abs() < 0.004 && (high - 4.32).abs() < 0.004, "{n}: {low} to {high}");
        }
    }

    #[test]
    fn what_was_measured_takes_the_place_of_what_was_guessed() {
        let kit = crate::testing::kit(2, 12, 100.0);
        let trial = Trial { pilot: vec![4.02, 4.04], dog: Vec::new(), u: 0.001, pin_goes: None, dog_goes: None };
        let after = kit.clone().after_trial(&trial);
        assert!(
            (after.pilot_bit.oversize.min - 0.0).abs() < 1e-12 && (after.pilot_bit.oversize.max - 0.06).abs() < 1e-12
        );
        assert_eq!(after.opening_bit, kit.opening_bit);
    }
}
