//! Judges a breakdown from its geometry alone: parts of the right size and way round, in the sheet,
//! not over one another, and to be had by through cuts with the saw's kerf, in as many stages as are
//! allowed.
//!
//! It looks at where the parts lie, never at the tree of cuts: whether they can be sawn apart is
//! found out anew by looking for cuts that go through. It shares no code with what makes breakdowns.

use super::{Breakdown, Made, PartGrain, Piece, Problem, Rect, Size};
use crate::breakdown::Axis;

/// The first thing wrong with a breakdown, in words.
pub fn faults_of(problem: &Problem, breakdown: &Breakdown) -> Option<String> {
    let mut cut = vec![0u64; problem.parts.len()];
    let mut used = vec![0u64; problem.stock.len()];
    let mut area = 0.0;
    for (number, sheet) in breakdown.sheets.iter().enumerate() {
        let stock = match problem.stock.get(sheet.stock) {
            Some(stock) => stock,
            None => return Some(format!("sheet {number} is of no stock there is")),
        };
        used[sheet.stock] += 1;
        area += stock.size[0] as f64 * stock.size[1] as f64;
        let mut rects = Vec::new();
        for piece in finished(&sheet.whole) {
            let Made::Part { part, turned } = piece.made else { continue };
            let Some(wanted) = problem.parts.get(part) else { return Some(format!("no part {part}")) };
            let right = if turned { [wanted.size[1], wanted.size[0]] } else { wanted.size };
            if piece.rect.size != right {
                return Some(format!("part {part} is {:?}, it should be {right:?}", piece.rect.size));
            }
            let with_grain = match (wanted.grain, stock.grain) {
                (PartGrain::Any, _) => true,
                (_, None) => false,
                (PartGrain::Length, Some(axis)) => (axis == Axis::Y) == turned,
                (PartGrain::Width, Some(axis)) => (axis == Axis::X) == turned,
            };
            if !with_grain {
                return Some(format!("part {part} lies across its grain on sheet {number}"));
            }
            cut[part] += 1;
            rects.push(piece.rect);
        }
        let inside = [stock.trim, stock.trim, stock.size[0] - stock.trim, stock.size[1] - stock.trim];
        if let Some(rect) = rects.iter().find(|r| !lies_in(r, inside)) {
            return Some(format!("a part at {:?} lies outside sheet {number}", rect.at));
        }
        match stages(&rects, inside, stock.kerf) {
            None => return Some(format!("the parts of sheet {number} cannot be had by through cuts")),
            Some(need) if problem.stages.is_some_and(|most| need > most) => {
                return Some(format!("sheet {number} needs {need} stages, {:?} are allowed", problem.stages));
            }
            Some(_) => {}
        }
    }
    for (i, part) in problem.parts.iter().enumerate() {
        let left = u64::from(breakdown.left.get(i).copied().unwrap_or(0));
        if cut[i] + left != u64::from(part.quantity) {
            return Some(format!("{} of part {i} cut and {left} left, {} wanted", cut[i], part.quantity));
        }
    }
    if let Some(i) = (0..used.len()).find(|&i| used[i] > u64::from(problem.stock[i].quantity)) {
        return Some(format!("{} of stock {i} taken, there are {}", used[i], problem.stock[i].quantity));
    }
    if (area - breakdown.stock_area).abs() > 1e-9 * area {
        return Some(format!("the stock is {area}, said to be {}", breakdown.stock_area));
    }
    None
}

fn lies_in(rect: &Rect, [x0, y0, x1, y1]: [Size; 4]) -> bool {
    rect.at[0] >= x0 && rect.at[1] >= y0 && rect.at[0] + rect.size[0] <= x1 && rect.at[1] + rect.size[1] <= y1
}

/// The pieces that are not cut any further.
fn finished(piece: &Piece) -> Vec<&Piece> {
    match &piece.made {
        Made::Cut { pieces, .. } => pieces.iter().flat_map(finished).collect(),
        _ => vec![piece],
    }
}

/// Fewest changes of direction, counted with the first, in which these rectangles are sawn out of a
/// region; none if no through cuts can do it.
///
/// All cuts that go through in one direction are made at once: they never stand in each other's way,
/// and what parts a set of rectangles also parts any of its subsets.
fn stages(rects: &[Rect], region: [Size; 4], kerf: Size) -> Option<u32> {
    let [along, across] = [0, 1].map(|axis| last_stage(rects, region, kerf, axis, false));
    match (along, across) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    }
}

/// Which stage is the last in which something is cut, if the first parts the region along `axis`,
/// the second across it, and so on; a stage may be empty. `whole`: the stage before parted nothing.
fn last_stage(rects: &[Rect], region: [Size; 4], kerf: Size, axis: usize, whole: bool) -> Option<u32> {
    let mut order = rects.to_vec();
    order.sort_by_key(|r| r.at[axis]);
    let mut groups: Vec<Vec<Rect>> = Vec::new();
    let mut reach = Size::MIN / 2;
    for rect in order {
        if rect.at[axis] >= reach + kerf {
            groups.push(Vec::new());
        }
        reach = reach.max(rect.at[axis] + rect.size[axis]);
        groups.last_mut()?.push(rect);
    }
    if groups.len() == 1 && rects.len() > 1 && whole {
        return None;
    }
    let mut cut_here = groups.len() > 1;
    let mut last = 0;
    for group in &groups {
        let mut strip = region;
        strip[axis] = group.iter().map(|r| r.at[axis]).min()?;
        strip[axis + 2] = group.iter().map(|r| r.at[axis] + r.size[axis]).max()?;
        cut_here |= strip != region;
        let done = matches!(group.as_slice(), [rect] if lies_in(rect, strip)
            && rect.size == [strip[2] - strip[0], strip[3] - strip[1]]);
        if !done {
            last = last.max(last_stage(group, strip, kerf, 1 - axis, groups.len() == 1)?);
        }
    }
    Some(if last > 0 { last + 1 } else { u32::from(cut_here) })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rects(list: &[[Size; 4]]) -> Vec<Rect> {
        list.iter().map(|&[x, y, w, h]| Rect { at: [x, y], size: [w, h] }).collect()
    }

    #[test]
    fn five_rectangles_in_a_whirl_cannot_be_sawn_apart() {
        // the smallest pattern without a through cut
        let whirl = rects(&[[0, 0, 2, 1], [2, 0, 1, 2], [1, 2, 2, 1], [0, 1, 1, 2], [1, 1, 1, 1]]);
        assert_eq!(stages(&whirl, [0, 0, 3, 3], 0), None);
        assert_eq!(stages(&whirl[..4], [0, 0, 3, 3], 0), None);
        assert!(stages(&whirl[1..], [0, 0, 3, 3], 0).is_some());
    }

    #[test]
    fn stages_are_counted_as_the_saw_is_turned() {
        let sheet = [0, 0, 10, 10];
        assert_eq!(stages(&rects(&[[0, 0, 10, 10]]), sheet, 0), Some(0));
        assert_eq!(stages(&rects(&[[0, 0, 10, 5], [0, 5, 10, 5]]), sheet, 0), Some(1));
        assert_eq!(stages(&rects(&[[0, 0, 10, 5], [0, 5, 10, 4]]), sheet, 0), Some(1));
        assert_eq!(stages(&rects(&[[0, 0, 10, 5], [0, 5, 9, 5]]), sheet, 0), Some(2));
        assert_eq!(stages(&rects(&[[3, 3, 2, 2]]), sheet, 0), Some(2));
        // strips, pieces, one of them ripped again
        assert_eq!(stages(&rects(&[[0, 0, 10, 5], [0, 5, 6, 5], [6, 5, 4, 3]]), sheet, 0), Some(3));
    }

    #[test]
    fn parts_nearer_than_the_kerf_cannot_be_sawn_apart() {
        let pair = rects(&[[0, 0, 4, 10], [6, 0, 4, 10]]);
        assert_eq!(stages(&pair, [0, 0, 10, 10], 2), Some(1));
        assert_eq!(stages(&pair, [0, 0, 10, 10], 3), None);
        assert_eq!(stages(&rects(&[[0, 0, 4, 4], [3, 3, 4, 4]]), [0, 0, 10, 10], 0), None, "one over the other");
    }
}
