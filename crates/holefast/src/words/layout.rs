//! The layout in words: what `holefast show` prints, and the pieces its messages are made of.
//!
//! Numbers come ready from [`crate::top`]; nothing is worked out here but their rounding for print.

use super::sheet;
use crate::job::{Job, Units};
use crate::measure::{MM_PER_INCH, format};
use crate::top::{GridOrigin, Layout};

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
    for conflict in layout.conflicts.iter().take(MOST_PRINTED) {
        let hint = conflict.fault.hint.as_ref().map_or(String::new(), |hint| format!("; {hint}"));
        lines.push(format!("left out: {}{hint}", conflict.fault.message));
    }
    if layout.conflicts.len() > MOST_PRINTED {
        lines.push(format!("and {} conflicts more, all in `show --json`", layout.conflicts.len() - MOST_PRINTED));
    }
    for remark in &layout.remarks {
        let hint = remark.hint.as_ref().map_or(String::new(), |hint| format!("; {hint}"));
        lines.push(format!("remark: {}{hint}", remark.message));
    }
    lines
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
        job.top.thickness = 30.0;
        job.keep_outs.push(rail("vice", 0.0, 0.0, 60.0, 100.0, 10.0));
        let layout = lay_out(&job).unwrap();
        let lines = lines(&job, &layout);
        assert_eq!(lines[0], "97 of 98 wanted holes, 7 rows x 14 columns at 100 mm");
        assert_eq!(lines[5], "weight 23.8 kg, 23.1 kg when bored; two people lift it");
        assert!(lines[8].starts_with("left out: A1 stands too near the vice: its edge is 5 mm away, 10 wanted;"));
    }
}
