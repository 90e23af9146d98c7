//! The kit's bars as the planner sees them: kinds, the single bars by id, how far each reaches.

use crate::kit::Kit;

/// Bars alike.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct BarKind {
    pub(super) name: String,
    pub(super) count: u32,
    pub(super) holes: u32,
    /// mm.
    pub(super) pitch: f64,
    pub(super) turn_over: bool,
    /// From an end hole to the bar's end, mm; nil where the kit does not say.
    pub(super) beyond: f64,
    /// mm; nil where the kit does not say.
    pub(super) width: f64,
}

/// All bars.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct BarSet {
    pub(super) kinds: Vec<BarKind>,
    /// Single bars: id and index of its kind.
    pub(super) bars: Vec<(String, usize)>,
}

impl BarSet {
    /// The bars of a kit.
    pub(super) fn new(kit: &Kit) -> BarSet {
        BarSet::of_kinds(
            kit.bars
                .iter()
                .map(|b| BarKind {
                    name: b.name.clone(),
                    count: b.count,
                    holes: b.holes,
                    pitch: b.pitch,
                    turn_over: b.turn_over,
                    beyond: b.beyond.unwrap_or(0.0),
                    width: b.width.unwrap_or(0.0),
                })
                .collect(),
        )
    }

    /// The set of these kinds.
    pub(super) fn of_kinds(kinds: Vec<BarKind>) -> BarSet {
        let bars = kinds
            .iter()
            .enumerate()
            .flat_map(|(i, k)| (1..=k.count).map(move |n| (format!("{}{n}", k.name), i)))
            .collect();
        BarSet { kinds, bars }
    }

    /// The kind of a single bar.
    pub(super) fn kind(&self, bar: usize) -> &BarKind {
        &self.kinds[self.bars[bar].1]
    }

    /// The first single bar of a kind, other than `but`.
    pub(super) fn first_of(&self, kind: usize, but: Option<usize>) -> Option<usize> {
        (0..self.bars.len()).find(|&b| self.bars[b].1 == kind && Some(b) != but)
    }

    /// Steps of the grid from a bar's first hole to its last one on a place of the grid.
    pub(super) fn reach(&self, bar: usize, pitch: f64) -> i32 {
        let kind = self.kind(bar);
        let length = f64::from(kind.holes.saturating_sub(1)) * kind.pitch;
        // The millionth of a step forgives rounding of inch pitches.
        (length / pitch + 1e-6).floor() as i32
    }

    /// Bar holes from one place of the grid to the next.
    pub(super) fn holes_per_step(&self, bar: usize, pitch: f64) -> u32 {
        (pitch / self.kind(bar).pitch).round() as u32
    }

    /// The single bars that reach furthest along a line of this pitch, in order.
    pub(super) fn longest(&self, pitch: f64) -> Vec<usize> {
        let best = (0..self.bars.len()).map(|b| self.reach(b, pitch)).max().unwrap_or(0);
        (0..self.bars.len()).filter(|&b| self.reach(b, pitch) == best).collect()
    }
}
