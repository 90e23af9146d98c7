//! Random numbers without a state: each virtual board has its own stream, and every draw is
//! numbered, so that a board comes out the same whoever works it out, in whatever order.
//!
//! Philox4x32 with 10 rounds [PHILOX: Salmon, Moraes, Dror, Shaw, "Parallel random numbers: as
//! easy as 1, 2, 3", SC 2011; constants and test vectors from memory]. Counter: draw, retry, board
//! (two words); key: the seed.
//!
//! Whole-number work and one exact conversion: every machine gives the same bits.

use super::lanes::{Lanes, normals};

/// Multipliers and key increments of [SALMON11], table 2.
const M0: u64 = 0xD251_1F53;
const M1: u64 = 0xCD9E_8D57;
const W0: u32 = 0x9E37_79B9;
const W1: u32 = 0xBB67_AE85;
const ROUNDS: usize = 10;
const LOW: u64 = 0xFFFF_FFFF;

/// Streams of `W` boards that follow one another.
#[derive(Clone, Copy, Debug)]
pub(super) struct Streams<const W: usize> {
    board: [u64; W],
    seed: u64,
}

/// Stream of one board.
pub(super) type Stream = Streams<1>;

impl Stream {
    /// One board's stream.
    pub(super) fn new(seed: u64, board: u64) -> Stream {
        Streams::from_first(seed, board)
    }

    /// Four numbers, uniform in 0 to 1 without the ends.
    pub(super) fn uniform4(&self, draw: u32, retry: u32) -> [f64; 4] {
        self.uniforms(draw, retry).map(|u| u.0[0])
    }
}

impl<const W: usize> Streams<W> {
    /// Streams of the boards `first`, `first` + 1, …
    #[inline(always)]
    pub(super) fn from_first(seed: u64, first: u64) -> Streams<W> {
        let mut board = [first; W];
        for (lane, b) in board.iter_mut().enumerate() {
            *b = first.wrapping_add(lane as u64);
        }
        Streams { board, seed }
    }

    /// One lane's stream alone.
    pub(super) fn lane(&self, lane: usize) -> Stream {
        Streams { board: [self.board[lane]], seed: self.seed }
    }

    /// Four numbers for each board, uniform in 0 to 1 without the ends, on a lattice of 2⁻³².
    #[inline(always)]
    pub(super) fn uniforms(&self, draw: u32, retry: u32) -> [Lanes<W>; 4] {
        let mut c0 = [u64::from(draw); W];
        let mut c1 = [u64::from(retry); W];
        let mut c2 = self.board;
        let mut c3 = self.board;
        for lane in 0..W {
            c2[lane] &= LOW;
            c3[lane] >>= 32;
        }
        let (mut k0, mut k1) = (self.seed as u32, (self.seed >> 32) as u32);
        for _ in 0..ROUNDS {
            for lane in 0..W {
                // All words are below 2³², so these products are exact in 64 bits.
                let p0 = M0 * (c0[lane] & LOW);
                let p1 = M1 * (c2[lane] & LOW);
                c0[lane] = (p1 >> 32) ^ c1[lane] ^ u64::from(k0);
                c1[lane] = p1 & LOW;
                c2[lane] = (p0 >> 32) ^ c3[lane] ^ u64::from(k1);
                c3[lane] = p0 & LOW;
            }
            k0 = k0.wrapping_add(W0);
            k1 = k1.wrapping_add(W1);
        }
        [to_unit(c0), to_unit(c1), to_unit(c2), to_unit(c3)]
    }
}

/// Words below 2³² to the middles of 2³² equal steps from 0 to 1.
#[inline(always)]
fn to_unit<const W: usize>(words: [u64; W]) -> Lanes<W> {
    /// 2⁵² as bits: a word put below it is that many units of its last place.
    const TWO_52: u64 = 0x4330_0000_0000_0000;
    const STEP: f64 = 1.0 / 4_294_967_296.0;
    let mut unit = [0.0; W];
    for lane in 0..W {
        let whole = f64::from_bits(words[lane] | TWO_52) - 4_503_599_627_370_496.0;
        unit[lane] = (whole + 0.5) * STEP;
    }
    Lanes(unit)
}

/// Four numbers, uniform in 0 to 1 without the ends, of one board's stream.
pub(crate) fn uniforms(seed: u64, board: u64, draw: u32) -> [f64; 4] {
    Stream::new(seed, board).uniform4(draw, 0)
}

/// Two standard normal numbers from two uniform ones.
pub(super) fn normal_pair(u: f64, v: f64) -> [f64; 2] {
    normals(Lanes([u]), Lanes([v])).map(|z| z.0[0])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(counter: [u32; 4], key: [u32; 2]) -> [u32; 4] {
        let seed = u64::from(key[0]) | u64::from(key[1]) << 32;
        let board = u64::from(counter[2]) | u64::from(counter[3]) << 32;
        Stream::new(seed, board).uniform4(counter[0], counter[1]).map(|u| (u * 4_294_967_296.0 - 0.5) as u32)
    }

    #[test]
    fn known_answers_of_philox() {
        // Source: known-answer vectors published with [SALMON11] (philox4x32-10), from memory.
        assert_eq!(words([0; 4], [0; 2]), [0x6627_e8d5, 0xe169_c58d, 0xbc57_ac4c, 0x9b00_dbd8]);
        assert_eq!(words([0xffff_ffff; 4], [0xffff_ffff; 2]), [0x408f_276d, 0x41c8_3b0e, 0xa20b_c7c6, 0x6d54_51fd]);
        assert_eq!(
            words([0x243f_6a88, 0x85a3_08d3, 0x1319_8a2e, 0x0370_7344], [0xa409_3822, 0x299f_31d0]),
            [0xd16c_fe09, 0x94fd_cceb, 0x5001_e420, 0x2412_6ea1]
        );
    }

    #[test]
    fn lanes_and_single_boards_draw_the_same() {
        let eight = Streams::<8>::from_first(7, 4_294_967_290);
        for lane in 0..8 {
            let alone = Stream::new(7, 4_294_967_290 + lane as u64);
            let (together, single) = (eight.uniforms(3, 1), alone.uniform4(3, 1));
            for k in 0..4 {
                assert_eq!(together[k].0[lane].to_bits(), single[k].to_bits());
            }
        }
    }

    #[test]
    fn normals_have_the_moments_of_the_normal() {
        let (mut n, mut sums) = (0.0, [0.0; 4]);
        for board in 0..20_000 {
            let u = Stream::new(1, board).uniform4(0, 0);
            for pair in [normal_pair(u[0], u[1]), normal_pair(u[2], u[3])] {
                for z in pair {
                    n += 1.0;
                    sums[0] += z;
                    sums[1] += z * z;
                    sums[2] += z * z * z * z;
                    sums[3] += pair[0] * pair[1];
                }
            }
        }
        let mean = sums.map(|s| s / n);
        // Standard errors at 80,000 numbers: 0.0035, 0.005, 0.035, 0.005.
        assert!(mean[0].abs() < 0.015 && (mean[1] - 1.0).abs() < 0.02, "{mean:?}");
        assert!((mean[2] - 3.0).abs() < 0.14 && mean[3].abs() < 0.02, "{mean:?}");
    }
}
