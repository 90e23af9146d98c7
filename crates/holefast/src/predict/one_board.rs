//! One virtual board by itself, hole by hole: the truth that simulated proofs are held against.

use super::board::Boards;
use super::draws::Draws;
use super::model::Model;
use super::stream::Streams;

impl Model {
    /// Deviations of the opened holes of one virtual board, by name, mm; checks left out. The same board
    /// as among those that a prediction with this seed builds.
    pub fn board(&self, seed: u64, number: u64) -> Vec<(String, [f64; 2])> {
        let mut boards = Boards::<1>::new(self, self.setup_numbers.len());
        boards.make(self, &Draws::of(self, &[]), &Streams::from_first(seed, number), false);
        let opened = self.holes.iter().zip(&boards.holes).filter(|(spec, _)| spec.opened);
        opened.map(|(spec, state)| (spec.name.clone(), state.dog.map(|lane| lane.0[0]))).collect()
    }
}
