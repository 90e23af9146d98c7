//! Works blocks of virtual boards out on all cores: the one place where threads enter.
//!
//! Each board has its own stream of random numbers and the blocks are put back in their order, so
//! the answer does not hang on the number of threads.

use holefast::predict::Block;
use rayon::prelude::*;

use crate::progress::Progress;
use crate::words;

/// Works blocks out on all cores and shows progress; the way in which the core asks for it.
pub fn on_all_cores(blocks: usize, work: &(dyn Fn(usize) -> Block + Sync)) -> Vec<Block> {
    let progress = Progress::of(blocks as u64, words::BUILDING);
    (0..blocks)
        .into_par_iter()
        .map(|index| {
            let block = work(index);
            progress.step(1);
            block
        })
        .collect()
}
