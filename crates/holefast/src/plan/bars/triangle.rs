//! Whole-number right triangles that a kit's bars can form: k along the row, m on the column bar,
//! l on the third side.

use super::kit_bars::BarSet;

/// One right triangle: corner and foot on the datum row, the joint on the column bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Triangle {
    /// Steps of the grid from corner to foot, along the datum row.
    pub(super) steps: i32,
    /// Hole of the column bar that carries the joint; its hole 0 is at the corner.
    pub(super) column_hole: u32,
    /// Hole of the third bar that carries the joint; its hole 0 is at the foot.
    pub(super) third_hole: u32,
    /// Kind of bar used for the column (index in the kit).
    pub(super) column_kind: usize,
    /// Kind of bar used for the third side.
    pub(super) third_kind: usize,
}

/// Sides agree within this, mm: far below any bar's own tolerance, far above rounding of a metre.
const CLOSES_WITHIN: f64 = 1e-6;

/// All triangles with corner and foot at most `most_steps` apart, longest third side first.
///
/// `pitch`: of the grid along the datum row, mm. The column bar and the third side are two
/// different bars. The joint may lie beyond the sheet: bars may overhang.
pub(super) fn triangles(bars: &BarSet, pitch: f64, most_steps: i32) -> Vec<Triangle> {
    let mut all = Vec::new();
    for (column_kind, column) in bars.kinds.iter().enumerate() {
        for (third_kind, third) in bars.kinds.iter().enumerate() {
            if column_kind == third_kind && column.count < 2 {
                continue;
            }
            for steps in 1..=most_steps {
                for column_hole in 1..column.holes {
                    let base = f64::from(steps) * pitch;
                    let rise = f64::from(column_hole) * column.pitch;
                    let third_side = (base * base + rise * rise).sqrt();
                    let third_hole = (third_side / third.pitch).round();
                    if third_hole < f64::from(third.holes)
                        && (third_hole * third.pitch - third_side).abs() < CLOSES_WITHIN
                    {
                        let third_hole = third_hole as u32;
                        all.push(Triangle { steps, column_hole, third_hole, column_kind, third_kind });
                    }
                }
            }
        }
    }
    let length = |t: &Triangle| f64::from(t.third_hole) * bars.kinds[t.third_kind].pitch;
    all.sort_by(|a, b| length(b).total_cmp(&length(a)).then(b.steps.cmp(&a.steps)));
    all
}

#[cfg(test)]
mod tests {
    use super::super::kit_bars::BarKind;
    use super::*;

    fn set(holes: u32, count: u32, pitch: f64) -> BarSet {
        BarSet::of_kinds(vec![BarKind {
            name: "L".into(),
            count,
            holes,
            pitch,
            turn_over: true,
            beyond: 20.0,
            width: 40.0,
        }])
    }

    #[test]
    fn eleven_holes_reach_three_four_five_and_six_eight_ten_both_ways_round() {
        let found: Vec<(i32, u32, u32)> =
            triangles(&set(11, 2, 96.0), 96.0, 13).iter().map(|t| (t.steps, t.column_hole, t.third_hole)).collect();
        // Primitive triples with l <= 10 and their multiples: 3-4-5, 6-8-10 ([HARDY] 13.2).
        assert_eq!(found, [(8, 6, 10), (6, 8, 10), (4, 3, 5), (3, 4, 5)]);
    }

    #[test]
    fn a_finer_bar_finds_more() {
        // Bar pitch 32, grid 96: the base is a multiple of three bar pitches.
        let found = triangles(&set(34, 2, 32.0), 96.0, 8);
        assert!(found.iter().any(|t| (t.steps, t.column_hole, t.third_hole) == (4, 5, 13)), "5-12-13");
        for t in &found {
            let (k, m, l) = (i64::from(t.steps) * 3, i64::from(t.column_hole), i64::from(t.third_hole));
            assert_eq!(k * k + m * m, l * l);
        }
    }

    #[test]
    fn one_bar_makes_no_triangle() {
        assert!(triangles(&set(12, 1, 100.0), 100.0, 13).is_empty());
        assert!(triangles(&set(5, 2, 100.0), 100.0, 13).is_empty());
    }
}
