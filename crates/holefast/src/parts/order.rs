//! The order of cuts: every sheet gets a reference edge and a square end first, every later cut is
//! measured from an edge that is sawn already, and cuts of the same setting follow one another.

use crate::breakdown::{Axis, Breakdown, Made, Piece, Problem, Size};

/// What a cut is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// Trims the reference edge of a sheet.
    ReferenceEdge,
    /// Trims the end that is square to it.
    SquareEnd,
    /// Trims an edge across from one of these, where a part reaches it.
    FarEdge,
    /// Cuts a piece off.
    Piece,
}

/// One cut.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Its place in the order, from 1.
    pub number: usize,
    /// Which sheet of the breakdown.
    pub sheet: usize,
    /// What it is for.
    pub why: Why,
    /// The piece that is cut, by its mark: sheet, then letters and numbers in turn.
    pub from: String,
    /// The direction in which it is measured; the cut runs across.
    pub along: Axis,
    /// From the edge that it is measured from to the near side of the kerf: what fence or stop is set to.
    pub set: Size,
    /// Place of that edge, and of the cut's near side.
    pub at: [Size; 2],
    /// From where to where the cut runs, along the other axis.
    pub runs: [Size; 2],
    /// What comes off: a part of the list, or a marked piece.
    pub makes: Makes,
    /// What is left then; none while more is cut off it.
    pub leaves: Option<Makes>,
    /// The setting differs from that of the cut before.
    pub new_setting: bool,
}

/// What comes off at a cut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Makes {
    /// Waste.
    Nothing,
    /// A part, by its place in the problem.
    Part(usize),
    /// A piece that is cut again, by its mark.
    Marked(String),
    /// An offcut.
    Offcut,
}

/// Cuts that wait for their turn: those of one piece follow one another.
struct Row<'b> {
    sheet: usize,
    mark: String,
    piece: &'b Piece,
    along: Axis,
    pieces: &'b [Piece],
    next: usize,
}

/// All cuts of a breakdown in order.
pub(super) fn steps(problem: &Problem, breakdown: &Breakdown) -> Vec<Step> {
    let mut out: Vec<Step> = Vec::new();
    let mut last = None;
    for (number, sheet) in breakdown.sheets.iter().enumerate() {
        let mark = (number + 1).to_string();
        trims(problem, number, &mark, sheet.stock, &sheet.whole, &mut out);
        if let Some(step) = out.last().filter(|s| s.sheet == number) {
            last = Some((step.along, step.set));
        }
        let mut rows = Vec::new();
        open(number, mark, &sheet.whole, &mut rows);
        // what comes next: the setting that stands, else the one that most cuts wait for
        while let Some(row) = choose(&rows, last) {
            let cut = &mut rows[row];
            let piece = &cut.pieces[cut.next];
            let a = cut.along.index();
            let from = piece.rect.at[a];
            let set = piece.rect.size[a];
            last = Some((cut.along, set));
            let mark = mark_of(&cut.mark, cut.next);
            let makes = made(piece, &mark);
            let (pieces, place) = (cut.pieces, cut.next + 1);
            let (whole, parent) = (cut.piece, cut.mark.clone());
            let across = cut.along.other().index();
            let runs = [cut.piece.rect.at[across], cut.piece.rect.at[across] + cut.piece.rect.size[across]];
            out.push(Step {
                number: 0,
                sheet: cut.sheet,
                why: Why::Piece,
                from: cut.mark.clone(),
                along: cut.along,
                set,
                at: [from, from + set],
                runs,
                makes,
                leaves: None,
                new_setting: false,
            });
            cut.next = place;
            let (sheet, remaining) = (cut.sheet, cuts_left(cut));
            open(sheet, mark, piece, &mut rows);
            if remaining == 0 {
                // the last piece is what remains; it needs no cut of its own
                let mark = mark_of(&parent, place);
                if let Some(step) = out.last_mut() {
                    step.leaves = Some(pieces.get(place).map_or(Makes::Nothing, |piece| made(piece, &mark)));
                }
                if let Some(piece) = pieces.get(place) {
                    open(sheet, mark, piece, &mut rows);
                }
                rows.retain(|r| !std::ptr::eq(r.piece, whole));
            }
        }
    }
    let mut before = None;
    for (i, step) in out.iter_mut().enumerate() {
        step.number = i + 1;
        step.new_setting = before != Some(step.set);
        before = Some(step.set);
    }
    out
}

/// Cuts still to make in a row: after every piece but one that ends where the whole ends.
fn cuts_left(row: &Row<'_>) -> usize {
    let a = row.along.index();
    let end = row.piece.rect.at[a] + row.piece.rect.size[a];
    row.pieces[row.next.min(row.pieces.len())..].iter().filter(|p| p.rect.at[a] + p.rect.size[a] < end).count()
}

/// Puts the cuts of a piece among those that wait, if it is cut at all.
fn open<'b>(sheet: usize, mark: String, piece: &'b Piece, rows: &mut Vec<Row<'b>>) {
    if let Made::Cut { along, pieces } = &piece.made {
        let row = Row { sheet, mark, piece, along: *along, pieces, next: 0 };
        if cuts_left(&row) > 0 {
            rows.push(row);
        } else {
            // one piece that fills the whole: nothing to cut here
            pieces.iter().enumerate().for_each(|(i, p)| open(sheet, mark_of(&row.mark, i), p, rows));
        }
    }
}

fn choose(rows: &[Row<'_>], last: Option<(Axis, Size)>) -> Option<usize> {
    let setting = |row: &Row<'_>| row.pieces[row.next].rect.size[row.along.index()];
    if let Some((_, set)) = last
        && let Some(same) = rows.iter().position(|row| setting(row) == set)
    {
        return Some(same);
    }
    // a setting that a cut made later will want too is kept for then: fewest wait behind the others
    let waiting = |set: Size| rows.iter().flat_map(|r| &r.pieces[r.next..]).map(|p| wanting(p, set)).sum::<usize>();
    let here = |set: Size| rows.iter().filter(|r| setting(r) == set).count();
    (0..rows.len()).max_by_key(|&i| {
        let set = setting(&rows[i]);
        let inside = waiting(set);
        (std::cmp::Reverse(inside), here(set), set, std::cmp::Reverse(i))
    })
}

/// How many cuts inside a piece, none of which can be made yet, want a setting.
fn wanting(piece: &Piece, set: Size) -> usize {
    let Made::Cut { along, pieces } = &piece.made else { return 0 };
    let own = pieces.iter().filter(|p| p.rect.size[along.index()] == set && p.made != Made::Offcut).count();
    own + pieces.iter().map(|p| wanting(p, set)).sum::<usize>()
}

/// The mark of a piece's n-th piece: numbers after letters, letters after numbers.
fn mark_of(whole: &str, n: usize) -> String {
    if whole.ends_with(|c: char| c.is_ascii_digit()) {
        let mut letters = String::new();
        let mut n = n + 1;
        while n > 0 {
            letters.insert(0, char::from(b'a' + ((n - 1) % 26) as u8));
            n = (n - 1) / 26;
        }
        format!("{whole}{letters}")
    } else {
        format!("{whole}{}", n + 1)
    }
}

fn made(piece: &Piece, mark: &str) -> Makes {
    match &piece.made {
        Made::Part { part, .. } => Makes::Part(*part),
        Made::Offcut => Makes::Offcut,
        Made::Cut { .. } => Makes::Marked(mark.to_owned()),
    }
}

/// The trimming cuts of a sheet: the reference edge, the end square to it, and the edges across from
/// them where a part reaches that far.
fn trims(problem: &Problem, sheet: usize, mark: &str, stock: usize, whole: &Piece, out: &mut Vec<Step>) {
    let kind = &problem.stock[stock];
    if kind.trim == 0 {
        return;
    }
    let ends = [0, 1].map(|i| whole.rect.at[i] + whole.rect.size[i]);
    let reached = |i: usize| {
        let parts = whole.all().into_iter().filter(|p| matches!(p.made, Made::Part { .. }));
        parts.into_iter().any(|p| p.rect.at[i] + p.rect.size[i] == ends[i])
    };
    let mut add = |why: Why, along: Axis, at: [Size; 2]| {
        let across = along.other().index();
        // a trimming cut's far side is the edge that is wanted
        let set = at[1] - at[0];
        let runs = [0, kind.size[across]];
        let (from, number, new_setting) = (mark.to_owned(), 0, false);
        let (makes, leaves) = (Makes::Nothing, None);
        out.push(Step { number, sheet, why, from, along, set, at, runs, makes, leaves, new_setting });
    };
    // where the trim is less than the kerf the blade hangs over the edge
    add(Why::ReferenceEdge, Axis::Y, [kind.trim - kind.kerf; 2]);
    add(Why::SquareEnd, Axis::X, [kind.trim - kind.kerf; 2]);
    for (axis, i) in [(Axis::Y, 1), (Axis::X, 0)] {
        if reached(i) {
            add(Why::FarEdge, axis, [kind.trim, ends[i]]);
        }
    }
}
