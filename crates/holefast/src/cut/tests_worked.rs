//! The worked cases of cutting in `tests/data/worked`, and the directions of a grid as others found them.

use std::collections::BTreeSet;

use super::directions::{directions, pairs_within};
use super::*;
use crate::job::Job;
use crate::math;
use crate::proof::{ProofAsk, proved_holes};
use crate::top::{Layout, Point, lay_out};

fn read(text: &str) -> (Job, Layout) {
    let parsed = crate::job::parse(text);
    let job = parsed.job.unwrap_or_else(|| panic!("{:?}", parsed.faults));
    let layout = lay_out(&job).unwrap();
    (job, layout)
}

fn json(text: &str) -> serde_json::Value {
    serde_json::from_str(text).unwrap()
}

/// The pairs of directions in a list, each read as told.
fn pairs(list: &serde_json::Value, of: fn(&serde_json::Value) -> [String; 2]) -> BTreeSet<[String; 2]> {
    list.as_array().unwrap().iter().map(of).collect()
}

#[test]
fn directions_of_the_reference_angles() {
    let (job, layout) = read(include_str!("../../tests/data/worked/p04-angles.toml"));
    let places = Places::planned(&layout);
    let all = json(include_str!("../../tests/data/worked/p04-angles.json"));
    for angle in ["22.5", "30.0", "54.0"] {
        let expected = &all["angles"][angle];
        let wanted = wanted_angle(angle, job.units).unwrap();
        let ask = Search { wanted, tolerance: 0.2f64.to_radians(), best: 5, width: None, kerf: None, kept: None };
        let found = search(&job, &places, &Dogs::of(&job), &ask);
        let got = json(&angle_to_json(&job, &places, &ask, &found));
        let found_set = pairs(&got["directions"], |d| [d["fence"].to_string(), d["rail"].to_string()]);
        let wanted_set = pairs(&expected["directions"], |d| [d[0].to_string(), d[1].to_string()]);
        assert_eq!(found_set, wanted_set, "{angle}");
        assert_eq!(got["directions"].as_array().unwrap().len(), wanted_set.len());
        let most = expected["at_most_deg"].as_f64().unwrap();
        assert!(got["directions"][0]["error_deg"].as_f64().unwrap().abs() <= most);
        assert_eq!(got["arrangements"].as_array().unwrap().len(), 5);
        assert!(got["arrangements"][0]["u_mm_per_m"].is_null(), "nothing is known of the holes");
    }
}

#[test]
fn reference_cuts_on_proved_holes() {
    let (job, layout) = read(include_str!("../../tests/data/worked/p05-cuts.toml"));
    let expected = json(include_str!("../../tests/data/worked/p05-cuts.json"));
    let proof = proved_holes(&job, &layout, &ProofAsk::default()).unwrap();
    let places = Places::proved(&layout, &proof);
    let settled = settle(&job, &places).unwrap();
    let got = json(&cuts_to_json(&job, &places, &settled, None::<&()>));
    let mut looked_at = 0;
    for check in expected["checks"].as_array().unwrap() {
        let path = check["path"].as_str().unwrap();
        let (cut, key) = path.strip_prefix("cuts[name=").unwrap().split_once("].").unwrap();
        let cut = got["cuts"].as_array().unwrap().iter().find(|c| c["name"] == cut).unwrap();
        let value = key.split('.').fold(cut, |at, part| &at[part]);
        if let Some(wanted) = check["value"].as_f64() {
            let value = value.as_f64().unwrap_or_else(|| panic!("{path} is {value}"));
            assert!((value - wanted).abs() <= check["tol"].as_f64().unwrap(), "{path}: {value}, wanted {wanted}");
        } else {
            assert_eq!(*value, check["equals"], "{path}");
        }
        looked_at += 1;
    }
    assert_eq!(looked_at, 22);
    // The first cut says that the piece lies under the rail, and it does not: that is told.
    assert!(settled[0].remarks.iter().any(|r| r.message.contains("beyond the kerf")), "{:?}", settled[0].remarks);
}

/// A grid of so many rows and columns at 96 mm, all of it bored.
fn grid(rows: u32, columns: u32) -> Layout {
    let mut layout = lay_out(&crate::testing::trailer_top()).unwrap();
    layout.holes = (0..rows)
        .flat_map(|row| (0..columns).map(move |column| crate::top::Cell::new(row, column)))
        .map(|cell| crate::top::LaidHole {
            name: cell.to_string(),
            cell: Some(cell),
            centre: Point::new(96.0 * f64::from(cell.column), 96.0 * f64::from(cell.row)),
            diameter: 20.0,
        })
        .collect();
    layout
}

/// The rows of a table, without its sources and its head.
fn rows(table: &str) -> impl Iterator<Item = &str> {
    table.lines().filter(|line| !line.starts_with('#')).skip(1)
}

#[test]
fn directions_are_the_fractions_of_the_reference_table() {
    let all = directions(&Places::planned(&grid(13, 13)), [96.0, 96.0]);
    let mut looked_at = 0;
    for line in rows(include_str!("../../tests/data/grid-angles.csv")) {
        let mut columns = line.split(',');
        let mut next = || columns.next().unwrap();
        let (q, p): (i64, i64) = (next().parse().unwrap(), next().parse().unwrap());
        let degrees: f64 = next().parse().unwrap();
        let ours = all.iter().find(|d| d.p == p && d.q == q).unwrap_or_else(|| panic!("{p}, {q} is missing"));
        assert!((ours.angle.to_degrees() - degrees).abs() < 5e-9, "{line}");
        looked_at += 1;
    }
    assert_eq!(looked_at, 47);
    // Up to 45° a 13 × 13 grid has those and no others: |F12| = 47.
    assert_eq!(all.iter().filter(|d| d.q >= 0 && d.q <= d.p).count(), 47);
}

#[test]
fn best_vectors_are_those_of_the_reference_search() {
    let mut looked_at = 0;
    for line in rows(include_str!("../../tests/data/grid-vectors.csv")) {
        let fields: Vec<&str> = line.split(',').collect();
        let [wanted, most, error] = fields[..] else { panic!("{line}") };
        let (wanted, most, error): (f64, u32, f64) =
            (wanted.parse().unwrap(), most.parse().unwrap(), error.parse().unwrap());
        let all = directions(&Places::planned(&grid(most + 1, most + 1)), [96.0, 96.0]);
        let off = |d: &Direction| (d.angle.to_degrees() - wanted).abs();
        let ours = all.iter().min_by(|a, b| off(a).total_cmp(&off(b))).unwrap();
        assert!((off(ours) - error.abs()).abs() < 1e-8, "{line}: {ours:?}");
        looked_at += 1;
    }
    assert_eq!(looked_at, 100);
}

/// Source: the design's notes on proof and cutting, section 5. 7 × 14 holes, any two lines with a fence
/// of 500 mm and a rail of 300 mm at least.
#[test]
fn usual_mitres_come_as_near_as_in_the_reference() {
    let places = Places::planned(&grid(7, 14));
    let all = directions(&places, [96.0, 96.0]);
    let longest = |d: &Direction| {
        let steps = (13 / d.p.abs().max(1)).min(6 / d.q.max(1));
        let steps = if d.p == 0 {
            6
        } else if d.q == 0 {
            13
        } else {
            steps
        };
        96.0 * steps as f64 * math::hypot(d.p as f64, d.q as f64)
    };
    for (degrees, within) in [
        (15.0, 0.018),
        (30.0, 0.018),
        (60.0, 0.018),
        (75.0, 0.018),
        (22.5, 0.043),
        (67.5, 0.043),
        (36.0, 0.027),
        (54.0, 0.027),
        (18.0, 0.004),
        (72.0, 0.004),
        (82.5, 0.14),
        (45.0, 0.0),
        (90.0, 0.0),
    ] {
        let pairs = pairs_within(&all, f64::to_radians(degrees), 0.01);
        let best = pairs
            .iter()
            .find(|p| longest(&all[p.fence]) >= 500.0 && longest(&all[p.rail]) >= 300.0)
            .unwrap_or_else(|| panic!("{degrees}"));
        let off = best.error.abs().to_degrees();
        assert!((off - within).abs() < 0.0006 + 0.005 * f64::from(u8::from(within > 0.1)), "{degrees}: {off}");
    }
}
