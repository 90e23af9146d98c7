//! The layout in words: what `holefast show` prints, and the pieces its messages are made of.
//!
//! Numbers come ready from [`crate::top`]; nothing is worked out here but their rounding for print.

use super::sheet;
use crate::job::{Job, Units};
use crate::measure::{MM_PER_INCH, format};
use crate::top::{Conflict, GridOrigin, LaidHole, Layout, Obstacle, row_letters};

/// Conflicts printed one by one; what is beyond is only counted, the data has them all.
const MOST_PRINTED: usize = 12;

/// A length with its unit, as fine as a rule or caliper shows: a hundredth of a mm, a thousandth of
/// an inch, without idle noughts: `9.5 mm`, `0.374 in`.
pub(crate) fn length(mm: f64, units: Units) -> String {
    format!("{} {}", bare(mm, units), format::unit_name(units))
}

/// The same without its unit.
pub(crate) fn bare(mm: f64, units: Units) -> String {
    match units {
        Units::Mm => format::number(mm, 2),
        Units::Inch => format::number(mm / MM_PER_INCH, 3),
    }
}

/// Returns the lines that `holefast show` prints.
pub fn lines(job: &Job, layout: &Layout) -> Vec<String> {
    let mm = |value: f64| length(value, job.units);
    let mut lines = Vec::new();
    let pitch = match layout.pitch {
        [x, y] if x == y => mm(x),
        [x, y] => format!("{} along and {} across", mm(x), mm(y)),
    };
    let possible = layout.holes.len();
    let of = if possible == layout.wanted { String::new() } else { format!(" of {} wanted", layout.wanted) };
    let extras = match layout.holes.iter().filter(|hole| hole.cell.is_none()).count() {
        0 => String::new(),
        1 => ", 1 of them beside the grid".to_owned(),
        n => format!(", {n} of them beside the grid"),
    };
    lines.push(format!(
        "{possible}{of} {}, {} {} x {} {} at {pitch}{extras}",
        plural(possible, "hole"),
        layout.rows,
        plural(layout.rows as usize, "row"),
        layout.columns,
        plural(layout.columns as usize, "column"),
    ));
    let how = match job.grid.origin {
        GridOrigin::Centred => ", the grid in the middle of the top",
        GridOrigin::Fit => ", where most holes are possible",
        GridOrigin::At(_) => "",
    };
    lines.push(format!(
        "A1 stands {} along and {} in from the reference corner{how}",
        mm(layout.origin.x),
        mm(layout.origin.y)
    ));
    let margins = layout.margins;
    lines.push(format!(
        "margins to the outermost centres: left {}, right {}, near {}, far {}",
        mm(margins.left),
        mm(margins.right),
        mm(margins.near),
        mm(margins.far)
    ));
    let mut wood = Vec::new();
    if let Some((least, [a, b])) = &layout.least_wood.between {
        wood.push(format!("{} between holes ({a} and {b})", mm(*least)));
    }
    if let Some((least, hole)) = &layout.least_wood.to_edge {
        wood.push(format!("{} to the edge ({hole})", mm(*least)));
    }
    if !wood.is_empty() {
        lines.push(format!("least wood: {}", wood.join(", ")));
    }
    lines.extend(sheet::lines(job, layout));
    let (whole, others) = whole_lines(job.units, layout);
    lines.extend(whole.into_iter().map(|said| format!("left out: {said}")));
    for conflict in others.iter().take(MOST_PRINTED) {
        let hint = conflict.fault.hint.as_ref().map_or(String::new(), |hint| format!("; {hint}"));
        lines.push(format!("left out: {}{hint}", conflict.fault.message));
    }
    if others.len() > MOST_PRINTED {
        lines.push(format!("and {} conflicts more, all in `show --json`", others.len() - MOST_PRINTED));
    }
    for remark in &layout.remarks {
        let hint = remark.hint.as_ref().map_or(String::new(), |hint| format!("; {hint}"));
        lines.push(format!("remark: {}{hint}", remark.message));
    }
    lines
}

/// Rows and columns of which no hole keeps clear of the edge, a sentence each; and the conflicts that
/// are not told by these.
fn whole_lines(units: Units, layout: &Layout) -> (Vec<String>, Vec<&Conflict>) {
    let mut told = Vec::new();
    let mut left: Vec<&Conflict> = layout.conflicts.iter().collect();
    for (word, count) in [("row", layout.rows), ("column", layout.columns)] {
        let of = |hole: &LaidHole| hole.cell.map(|cell| if word == "row" { cell.row } else { cell.column });
        let fits = |n: u32| layout.holes.iter().any(|hole| of(hole) == Some(n));
        // Where a whole line at the far side is out, a number less is the way out.
        let kept = (0..count).rev().find(|&n| fits(n)).map_or(0, |n| n + 1);
        for n in 0..count {
            let here = |c: &&Conflict| of(&c.hole) == Some(n) && c.with == Obstacle::Edge;
            let out: Vec<&Conflict> = left.iter().copied().filter(here).collect();
            let others_out = left.iter().any(|c| of(&c.hole) == Some(n) && c.with != Obstacle::Edge);
            if fits(n) || others_out || out.len() < 2 {
                continue;
            }
            let missing = out.iter().map(|c| c.wanted - c.clearance).fold(0.0, f64::max);
            let name = if word == "row" { row_letters(n) } else { (n + 1).to_string() };
            let way = if n >= kept && kept > 0 {
                format!("set {word}s = {kept}")
            } else {
                "move the origin, or take a smaller pitch".to_owned()
            };
            told.push(format!(
                "{word} {name}, all its {} holes: too near the top's edge by up to {}; {way}",
                out.len(),
                length(missing, units)
            ));
            left.retain(|c| !here(c));
        }
    }
    (told, left)
}

fn plural(n: usize, word: &str) -> String {
    if n == 1 { word.to_owned() } else { format!("{word}s") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{rail, trailer_top};
    use crate::top::lay_out;

    #[test]
    fn trailer_top_in_words() {
        let mut job = trailer_top();
        let text = lines(&job, &lay_out(&job).unwrap()).join("\n");
        assert_eq!(
            text,
            "98 holes, 7 rows x 14 columns at 100 mm\n\
             A1 stands 75 mm along and 90 mm in from the reference corner, the grid in the middle of the top\n\
             margins to the outermost centres: left 75 mm, right 75 mm, near 90 mm, far 90 mm\n\
             least wood: 80 mm between holes (A1 and A2), 65 mm to the edge (A1)\n\
             material birch plywood: 700 kg/m³ (test value)\n\
             weight 16.6 kg, 16.2 kg when bored\n\
             sag not told: the job states no [[support]], the lines the top rests on\n\
             movement not told: the job states no [climate] of boring and use"
        );
        // A row more than there is room for is told in one line, with the number that fits.
        let mut wide = job.clone();
        wide.grid.rows = crate::top::Count::Number(8);
        wide.grid.origin = GridOrigin::At(crate::top::Point::new(75.0, 90.0));
        let text = lines(&wide, &lay_out(&wide).unwrap());
        let left_out: Vec<&String> = text.iter().filter(|l| l.starts_with("left out")).collect();
        assert_eq!(left_out.len(), 1, "{left_out:?}");
        assert!(
            left_out[0].starts_with("left out: row H, all its 14 holes:") && left_out[0].ends_with("set rows = 7"),
            "{left_out:?}"
        );
        job.top.thickness = 30.0;
        job.keep_outs.push(rail("vice", 0.0, 0.0, 60.0, 100.0, 10.0));
        let layout = lay_out(&job).unwrap();
        let lines = lines(&job, &layout);
        assert_eq!(lines[0], "97 of 98 wanted holes, 7 rows x 14 columns at 100 mm");
        assert_eq!(lines[5], "weight 23.8 kg, 23.1 kg when bored; two people lift it");
        assert!(lines[8].starts_with("left out: A1 stands too near the vice: its edge is 5 mm away, 10 wanted;"));
    }
}
