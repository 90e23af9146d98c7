//! Figures of a layout: margins, least wood, weight.
//!
//! Millimetres and kilograms. How stiff the top is and how it moves is not said here.

use kurbo::Rect;

use super::outline::{area, depth_in_outline, distance};
use super::{LaidHole, Point, Top};

/// From the outermost holes' centres to the sides of the upright rectangle around the sheet, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Margins {
    /// At least x.
    pub left: f64,
    /// At greatest x.
    pub right: f64,
    /// At the reference edge.
    pub near: f64,
    /// At greatest y.
    pub far: f64,
}

/// The thinnest wood that is left, mm, and where.
#[derive(Clone, Debug, PartialEq)]
pub struct LeastWood {
    /// Between two holes, with their names; `None` for a single hole.
    pub between: Option<(f64, [String; 2])>,
    /// Between a hole and the top's edge, with its name; `None` without holes.
    pub to_edge: Option<(f64, String)>,
}

/// Weight of the top, kg.
#[derive(Clone, Debug, PartialEq)]
pub struct Weight {
    /// Without holes.
    pub whole: f64,
    /// With the layout's holes bored through.
    pub bored: f64,
    /// Where the density comes from.
    pub source: String,
}

pub(super) fn margins(sheet: Rect, holes: &[LaidHole]) -> Margins {
    let mut margins = Margins { left: f64::INFINITY, right: f64::INFINITY, near: f64::INFINITY, far: f64::INFINITY };
    for hole in holes {
        margins.left = margins.left.min(hole.centre.x - sheet.x0);
        margins.right = margins.right.min(sheet.x1 - hole.centre.x);
        margins.near = margins.near.min(hole.centre.y - sheet.y0);
        margins.far = margins.far.min(sheet.y1 - hole.centre.y);
    }
    margins
}

pub(super) fn least_wood(outline: &[Point], holes: &[LaidHole]) -> LeastWood {
    let mut between: Option<(f64, [usize; 2])> = None;
    let mut order: Vec<usize> = (0..holes.len()).collect();
    order.sort_by(|&a, &b| holes[a].centre.x.total_cmp(&holes[b].centre.x));
    let greatest = holes.iter().map(|hole| hole.diameter).fold(0.0, f64::max);
    for (n, &a) in order.iter().enumerate() {
        for &b in &order[n + 1..] {
            // Farther along x than the least found, no later one can be nearer.
            let apart_x = holes[b].centre.x - holes[a].centre.x;
            if between.is_some_and(|(least, _)| apart_x - greatest > least) {
                break;
            }
            let wood = distance(holes[a].centre, holes[b].centre) - 0.5 * (holes[a].diameter + holes[b].diameter);
            let pair = [a.min(b), a.max(b)];
            if between.is_none_or(|(least, at)| wood < least || (wood == least && pair < at)) {
                between = Some((wood, pair));
            }
        }
    }
    let mut to_edge: Option<(f64, usize)> = None;
    for (idx, hole) in holes.iter().enumerate() {
        let wood = depth_in_outline(outline, hole.centre) - 0.5 * hole.diameter;
        if to_edge.is_none_or(|(least, _)| wood < least) {
            to_edge = Some((wood, idx));
        }
    }
    let name = |idx: usize| holes[idx].name.clone();
    LeastWood {
        between: between.map(|(wood, [a, b])| (wood, [name(a), name(b)])),
        to_edge: to_edge.map(|(wood, idx)| (wood, name(idx))),
    }
}

pub(super) fn weight(top: &Top, holes: &[LaidHole]) -> Option<Weight> {
    /// mm³ in a m³.
    const MM3_PER_M3: f64 = 1e9;
    let per_area = top.material.density? * top.thickness / MM3_PER_M3;
    let sheet = area(&top.outline);
    let bored: f64 = holes.iter().map(|hole| 0.25 * std::f64::consts::PI * hole.diameter * hole.diameter).sum();
    Some(Weight { whole: per_area * sheet, bored: per_area * (sheet - bored), source: top.material.source.clone() })
}

#[cfg(test)]
mod tests {
    use crate::testing;
    use crate::top::{CellRange, ExtraHole, Point, lay_out};

    #[test]
    fn the_reference_masses() {
        // `tests/data/materials.json`, "weights", to the digits given there.
        let data: serde_json::Value = serde_json::from_str(include_str!("../../tests/data/materials.json")).unwrap();
        let rows = data["weights"]["sheets"].as_array().unwrap();
        let number = |row: &serde_json::Value, key: &str| row[key].as_f64().unwrap();
        let mut compared = 0;
        for row in rows {
            let mut job = testing::job(number(row, "L_mm"), number(row, "W_mm"), 96.0);
            job.top.thickness = number(row, "t_mm");
            job.top.material.density = Some(number(row, "rho"));
            let layout = lay_out(&job).unwrap();
            let weight = layout.weight.unwrap();
            assert!((weight.whole - number(row, "mass_kg")).abs() < 5e-5, "{weight:?}, {row}");
            // 20 mm holes go through other thicknesses and densities alike.
            let each = 1e6 * (weight.whole - weight.bored) / layout.holes.len() as f64;
            let expected = 25.0 * std::f64::consts::PI * 4.0 * number(row, "t_mm") * number(row, "rho") * 1e-3;
            assert!((each - expected).abs() < 1e-6 * expected, "{each} mg, {expected}");
            compared += 1;
        }
        assert_eq!(compared, 2);
        let hole = &data["weights"]["hole"];
        let (per_hole, diameter) = (number(hole, "mass_g"), number(hole, "diameter_mm"));
        let mut job = testing::job(400.0, 400.0, 96.0);
        job.top.thickness = number(hole, "t_mm");
        job.top.material.density = Some(number(hole, "rho"));
        job.grid.only = Some(vec![CellRange::parse("A1").unwrap()]);
        let bored = |job: &crate::job::Job| {
            let weight = lay_out(job).unwrap().weight.unwrap();
            1000.0 * (weight.whole - weight.bored)
        };
        assert!((bored(&job) - per_hole).abs() < 5e-6, "{} g, expected {per_hole}", bored(&job));
        job.grid.extra.push(ExtraHole { name: "V1x".to_owned(), centre: Point::new(200.0, 300.0), diameter });
        assert!((bored(&job) - 2.0 * per_hole).abs() < 1e-5);
    }
}
