//! What there is to try: where work may start, which triangle, where the second column stands, and
//! what costs nothing to vary in each.

use super::PlanOptions;
use super::dimensions::joints_for_a_gauge;
use super::kit_bars::BarSet;
use super::lattice::{Frame, HELPER_MARGIN, Lattice, RowColumn};
use super::pilots::Way;
use super::triangle::{Triangle, triangles};
use crate::kit::Kit;

/// All shapes worth trying, best guesses first: longest triangles, full use of the bars. Each
/// stands for its variations by the first of them.
///
/// `last_resort`: any one column will do, its triangle's own foot standing for the second.
pub(super) fn shapes(
    lattice: &Lattice,
    bars: &BarSet,
    kit: &Kit,
    options: &PlanOptions,
    frames: &[Frame],
    last_resort: bool,
) -> Vec<Way> {
    let mut all = Vec::new();
    for &frame in frames {
        let pitch = frame.pitches(lattice.pitch);
        let furthest =
            lattice.wanted().iter().map(|&p| frame.place(p)).filter(|p| p.1 == 0).map(|p| p.0).fold(0, i32::max);
        // A foot may stand a few helper places beyond the pattern, as far as the sheet goes.
        let most_steps = furthest + HELPER_MARGIN;
        for triangle in triangles(bars, pitch[0], most_steps) {
            let sides = (triangle.steps as u32, triangle.column_hole, triangle.third_hole);
            if options.triangle.is_some_and(|t| t != sides) {
                continue;
            }
            let seconds = if last_resort {
                vec![(triangle.steps, 0)]
            } else {
                second_columns(bars, &triangle, pitch, most_steps)
            };
            for (second_column, second_foot) in seconds {
                let shape = Way {
                    frame,
                    triangle,
                    second_column,
                    second_foot,
                    one_column_will_do: last_resort,
                    turn_column_bar: false,
                    take_turns: false,
                    columns_beyond: false,
                    square_every: None,
                    gauge_at: None,
                    first_colour: 0,
                };
                if options.common_foot.is_none_or(|c| c == shape.common_foot()) {
                    all.extend(variations(lattice, bars, kit, options, shape).into_iter().next());
                }
            }
        }
    }
    all
}

/// A shape with all that may be varied in it, best guess first.
pub(super) fn variations(lattice: &Lattice, bars: &BarSet, kit: &Kit, options: &PlanOptions, shape: Way) -> Vec<Way> {
    let mut all = Vec::new();
    let gauges: Vec<Option<usize>> = if kit.pin.count >= 3 {
        vec![None]
    } else {
        joints_for_a_gauge(kit, lattice.sheet).into_iter().map(Some).collect()
    };
    let bands = bands(lattice, bars, options, &shape);
    for turn_column_bar in choice(options.turn_column_bar) {
        if turn_column_bar && !bars.kinds[shape.triangle.column_kind].turn_over {
            continue;
        }
        for take_turns in choice(options.take_turns) {
            for columns_beyond in choice(options.columns_beyond) {
                for &gauge_at in &gauges {
                    for first_colour in options.first_colour.map_or(vec![0, 1], |c| vec![c]) {
                        let way = Way { turn_column_bar, take_turns, columns_beyond, gauge_at, first_colour, ..shape };
                        all.extend(bands.iter().map(|&square_every| Way { square_every, ..way }));
                    }
                }
            }
        }
    }
    all
}

/// More bands than the column bar's reach makes needful: each further one is two columns' work, and
/// the lower the bands, the surer its pins go in (40 x 60 holes, bars of 12: 8 set-ups a board that do
/// not seat with four bands, 4 with seven, 3 with ten).
const MORE_BANDS: i32 = 3;

/// After how many rows the triangle may be set again, best guess first; only where the rows stand
/// further out than the column bar reaches. (Within its reach it costs more square than it is worth:
/// 7 x 14 holes 0.052 for 0.044 mm per m.)
fn bands(lattice: &Lattice, bars: &BarSet, options: &PlanOptions, shape: &Way) -> Vec<Option<i32>> {
    let furthest = lattice.wanted().iter().map(|&p| shape.frame.place(p).1).fold(0, i32::max);
    let column = bars.first_of(shape.triangle.column_kind, None).unwrap_or(0);
    let reach = bars.reach(column, shape.frame.pitches(lattice.pitch)[1]).max(1);
    if furthest <= reach || !lattice.part.is_bare() || options.square_again == Some(false) {
        return vec![None];
    }
    let parted = |bands: i32| (furthest + bands - 1) / bands;
    let least = parted(reach);
    let mut all: Vec<Option<i32>> =
        [1, 0].into_iter().chain(2..=MORE_BANDS).map(|more| Some(parted(least + more))).collect();
    all.dedup();
    if options.square_again.is_none() {
        all.push(None);
    }
    all
}

fn choice(asked: Option<bool>) -> Vec<bool> {
    asked.map_or(vec![true, false], |b| vec![b])
}

/// Where the second column may stand: at the foot of the first triangle, or at the end of a bar's
/// reach with its own triangle leaning inwards or outwards; nearer columns after the far one, for
/// patterns whose far column is not all there.
fn second_columns(bars: &BarSet, triangle: &Triangle, pitch: [f64; 2], furthest: i32) -> Vec<(i32, i32)> {
    let reach = bars.longest(pitch[0]).first().map_or(0, |&b| bars.reach(b, pitch[0]));
    let mut all = vec![(triangle.steps, 0)];
    for column in (1..=reach.min(furthest)).rev() {
        for foot in [column - triangle.steps, column + triangle.steps] {
            if (0..=reach).contains(&foot) && (column, foot) != (triangle.steps, 0) {
                all.push((column, foot));
            }
        }
    }
    all
}

/// The last lot of [`frames`].
pub(super) const LAST_RESORT: usize = 2;

/// Where work may start, in three lots, each looked at only if those before have no way: along
/// the longer side, along the shorter, from any place at all.
///
/// The datum row lies along the longer side of the pattern. (Along the shorter one a full 7 x 14
/// grid comes out 6 % squarer, 0.040 for 0.043 mm per m, but in more set-ups and away from the
/// reference edge: not worth the surprise.) A full grid starts at its reference corner, since all
/// corners are alike; a ragged one at both ends of its lines, fullest first.
pub(super) fn frames(lattice: &Lattice) -> [Vec<Frame>; 3] {
    let ((row_lo, row_hi), (column_lo, column_hi)) = lattice.extent();
    let rows_first = column_hi - column_lo >= row_hi - row_lo;
    let [longer, shorter] = [rows_first, !rows_first].map(|rows| {
        if !lattice.is_full() {
            return ragged_frames(lattice, rows);
        }
        let corner = (row_lo, column_lo);
        let (along, away) = if rows { ((0, 1), (1, 0)) } else { ((1, 0), (0, 1)) };
        vec![Frame { corner, along, away }]
    });
    [longer, shorter, all_frames(lattice)]
}

/// Every allowed place as corner, every way round.
fn all_frames(lattice: &Lattice) -> Vec<Frame> {
    let ways = [((0, 1), (1, 0)), ((0, 1), (-1, 0)), ((0, -1), (1, 0)), ((0, -1), (-1, 0))]
        .into_iter()
        .flat_map(|(along, away)| [(along, away), (away, along)]);
    let places: Vec<RowColumn> = lattice.allowed().collect();
    ways.flat_map(|(along, away)| places.iter().map(move |&corner| Frame { corner, along, away })).collect()
}

/// Both ends of every row (or column) that has holes, the work going both ways from it.
fn ragged_frames(lattice: &Lattice, rows: bool) -> Vec<Frame> {
    let (row_extent, column_extent) = lattice.extent();
    let (lo, hi) = if rows { row_extent } else { column_extent };
    let line = |at: i32| -> Vec<i32> {
        lattice
            .wanted()
            .iter()
            .filter(|p| (if rows { p.0 } else { p.1 }) == at)
            .map(|p| if rows { p.1 } else { p.0 })
            .collect()
    };
    let mut lines: Vec<i32> = (lo..=hi).filter(|&at| !line(at).is_empty()).collect();
    // Fullest first; of equals those at the edges, where columns have most room.
    lines.sort_by_key(|&at| (std::cmp::Reverse(line(at).len()), (at - lo).min(hi - at), at));
    let mut all = Vec::new();
    for at in lines {
        let on = line(at);
        let (Some(&first), Some(&last)) = (on.first(), on.last()) else { continue };
        for (start, step) in [(first, 1), (last, -1)] {
            for away in if at - lo < hi - at { [1, -1] } else { [-1, 1] } {
                all.push(if rows {
                    Frame { corner: (at, start), along: (0, step), away: (away, 0) }
                } else {
                    Frame { corner: (start, at), along: (step, 0), away: (0, away) }
                });
            }
        }
    }
    all
}
