//! From a tree of grossed-up sizes to a sheet as people cut it: true sizes, places, and pieces in the
//! order in which they come off: alike ones together, the widest first, what is left over last.

use super::tree::{Id, Tree, What};
use super::{Axis, Made, Piece, Problem, Rect, Sheet, Size};

/// The sheet that a tree stands for.
pub(super) fn sheet(problem: &Problem, stock: usize, tree: &Tree) -> Sheet {
    let kind = &problem.stock[stock];
    let whole = piece(tree, tree.root, [kind.trim, kind.trim], kind.kerf);
    let whole = whole.unwrap_or(Piece { rect: Rect { at: [kind.trim; 2], size: kind.room() }, made: Made::Offcut });
    Sheet { stock, whole }
}

/// The piece at `at`; none for a rest that the saw turns to dust.
fn piece(tree: &Tree, id: Id, at: [Size; 2], kerf: Size) -> Option<Piece> {
    let node = tree.node(id);
    let rect = Rect { at, size: node.size.map(|side| side - kerf) };
    let made = match node.what {
        What::Part(part, turned) => Made::Part { part: part as usize, turned },
        What::Rest if rect.size.iter().all(|&side| side > 0) => Made::Offcut,
        What::Rest | What::Free => return None,
        What::Split(along) => {
            let mut order: Vec<Id> = tree.pieces(id).collect();
            order.sort_by_cached_key(|&piece| place_in_order(tree, piece, along));
            let mut at = at;
            let mut pieces = Vec::new();
            for id in order {
                pieces.extend(piece(tree, id, at, kerf));
                at[along.index()] += tree.node(id).size[along.index()];
            }
            Made::Cut { along, pieces }
        }
    };
    Some(Piece { rect, made })
}

/// Rests last, wide pieces first, and pieces cut alike beside one another.
fn place_in_order(tree: &Tree, id: Id, along: Axis) -> (bool, std::cmp::Reverse<Size>, Vec<[Size; 2]>) {
    let node = tree.node(id);
    let mut inner: Vec<[Size; 2]> = match node.what {
        What::Split(_) => tree.pieces(id).map(|p| tree.node(p).size).collect(),
        _ => vec![node.size],
    };
    inner.sort_unstable();
    (node.what == What::Rest, std::cmp::Reverse(node.size[along.index()]), inner)
}
