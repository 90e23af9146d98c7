//! Random numbers for the search, from a seed that the caller gives.
//!
//! SplitMix64 (Steele, Lea, Flood 2014; constants from memory): whole-number work, the same on
//! every machine. Nothing statistical hangs on it, only which move is tried next.

/// A stream of random numbers.
#[derive(Clone, Debug)]
pub(super) struct Draws(u64);

impl Draws {
    pub(super) fn new(seed: u64) -> Draws {
        Draws(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A whole number below `n`; nought for an `n` of nought.
    pub(super) fn below(&mut self, n: usize) -> usize {
        ((u128::from(self.next()) * n as u128) >> 64) as usize
    }

    /// A number from 0 up to, not including, 1.
    pub(super) fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// True so many times of one.
    pub(super) fn chance(&mut self, share: f64) -> bool {
        self.unit() < share
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_stay_in_their_range_and_spread_over_it() {
        let mut draws = Draws::new(7);
        let mut counts = [0u32; 10];
        for _ in 0..10_000 {
            counts[draws.below(10)] += 1;
            let unit = draws.unit();
            assert!((0.0..1.0).contains(&unit));
        }
        // 1000 ± 5 standard deviations of a binomial count (30)
        assert!(counts.iter().all(|c| (850..=1150).contains(c)), "{counts:?}");
        assert_eq!(draws.below(0), 0);
        assert_ne!(Draws::new(1).next(), Draws::new(2).next());
    }
}
