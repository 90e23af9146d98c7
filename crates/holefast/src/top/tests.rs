//! Layouts by hand: counts, conflicts with their ways out, refusals.

use super::*;
use crate::job::Job;
use crate::testing::{rail, trailer_top};
use crate::top::{CellRange, ExtraHole};

fn ranges(texts: &[&str]) -> Vec<CellRange> {
    texts.iter().map(|text| CellRange::parse(text).unwrap()).collect()
}

/// Message and hint of every conflict, one a line.
fn says(layout: &Layout) -> Vec<String> {
    let say = |c: &Conflict| format!("{}; {}", c.fault.message, c.fault.hint.as_deref().unwrap_or(""));
    layout.conflicts.iter().map(say).collect()
}

/// The only fault of a job that cannot be laid out.
fn refusal(job: &Job) -> String {
    let faults = lay_out(job).unwrap_err();
    let fault = &faults[0];
    format!("{}; {}", fault.message, fault.hint.as_deref().unwrap_or(""))
}

#[test]
fn trailer_top_as_in_the_design() {
    let layout = lay_out(&trailer_top()).unwrap();
    assert_eq!((layout.rows, layout.columns, layout.origin), (7, 14, Point::new(75.0, 90.0)));
    assert_eq!((layout.wanted, layout.holes.len(), layout.conflicts.len()), (98, 98, 0));
    assert_eq!(layout.holes[97].name, "G14");
    assert_eq!(layout.place(6, 13), Point::new(1375.0, 690.0));
    assert_eq!(layout.margins, Margins { left: 75.0, right: 75.0, near: 90.0, far: 90.0 });
    assert_eq!(layout.least_wood.between, Some((80.0, ["A1".to_owned(), "A2".to_owned()])));
    assert_eq!(layout.least_wood.to_edge, Some((65.0, "A1".to_owned())));
    // 1.45 m × 0.78 m × 21 mm at 700 kg/m³, less 98 discs of 20 mm, by hand.
    let weight = layout.weight.unwrap();
    assert!((weight.whole - 16.6257).abs() < 1e-9, "{weight:?}");
    assert!((weight.whole - weight.bored - 98.0 * 0.01 * 0.01 * std::f64::consts::PI * 0.021 * 700.0).abs() < 1e-9);
}

#[test]
fn a_cut_corner_takes_its_hole() {
    let mut job = trailer_top();
    job.top.outline =
        [(0.0, 0.0), (1450.0, 0.0), (1450.0, 620.0), (1290.0, 780.0), (0.0, 780.0)].map(Point::from).to_vec();
    let layout = lay_out(&job).unwrap();
    assert_eq!(layout.holes.len(), 97);
    assert_eq!(
        says(&layout),
        ["G14 stands too near the top's edge: its centre is 3.54 mm away, 45 wanted; leave it out: skip = [\"G14\"]"]
    );
}

#[test]
fn an_extra_hole_too_near_a_rail_is_shown_the_way_out() {
    let mut job = trailer_top();
    job.grid.skip = ranges(&["A1:G14"]);
    job.grid.skip[0].to.column = 7;
    let at = |x: f64| vec![ExtraHole { name: "V1".to_owned(), centre: Point::new(x, 400.0), diameter: 20.0 }];
    job.grid.extra = at(460.0);
    let layout = lay_out(&job).unwrap();
    assert_eq!(
        says(&layout),
        ["V1 stands too near the left trestle rail: its edge is 2.5 mm away, 12 wanted; \
          moved 9.5 mm to the right it is clear"]
    );
    job.grid.extra = at(469.5);
    assert_eq!(says(&lay_out(&job).unwrap()), [""; 0]);
    job.grid.extra = at(410.0);
    assert!(says(&lay_out(&job).unwrap())[0].starts_with(
        "V1 stands 17.5 mm into the left trestle rail, 12 mm clear of it wanted; moved 29.5 mm to the left"
    ));
}

#[test]
fn an_extra_hole_gives_way_to_the_grid() {
    let mut job = trailer_top();
    job.grid.extra = vec![ExtraHole { name: "V1".to_owned(), centre: Point::new(75.0, 111.0), diameter: 20.0 }];
    let layout = lay_out(&job).unwrap();
    assert_eq!(layout.conflicts[0].with, Obstacle::Hole("A1".to_owned()));
    assert_eq!(
        says(&layout),
        ["V1 stands too near A1: its edge is 1 mm away, 3 wanted; moved 2 mm away from the reference edge it is clear"]
    );
}

#[test]
fn grid_holes_in_a_rail_are_left_out_and_the_better_place_named() {
    let mut job = trailer_top();
    for keep_out in &mut job.keep_outs {
        if let KeepOutShape::Rect { x, .. } = &mut keep_out.shape {
            *x += 25.0;
        }
    }
    let layout = lay_out(&job).unwrap();
    assert_eq!((layout.wanted, layout.holes.len(), layout.conflicts.len()), (98, 84, 14));
    assert_eq!(
        says(&layout)[0],
        "A5 stands 7.5 mm into the left trestle rail, 12 mm clear of it wanted; with the grid moved \
         19.5 mm to the right 98 of 98 are possible; or leave it out: skip = [\"A5\"]"
    );
    job.grid.origin = GridOrigin::Fit;
    let layout = lay_out(&job).unwrap();
    assert_eq!((layout.holes.len(), layout.origin), (98, Point::new(94.5, 90.0)));
}

#[test]
fn only_and_skip() {
    let mut job = trailer_top();
    job.grid.only = Some(ranges(&["G1:G14", "A1:A16", "A3"]));
    job.grid.skip = ranges(&["A2", "Z1:Z4"]);
    let layout = lay_out(&job).unwrap();
    assert_eq!((layout.wanted, layout.holes.len()), (29, 27));
    assert_eq!(layout.holes[1].name, "A3");
    // A15 stands at 1475, 25 mm beyond a sheet of 1450.
    assert!(says(&layout)[0].starts_with("A15 stands 25 mm outside the top's edge"), "{:?}", says(&layout));
    assert_eq!(layout.remarks[0].message, "skip names Z1:Z4, which is not on the grid");
    job.grid.columns = Count::Number(14);
    assert_eq!(refusal(&job), "only names A1:A16, but the grid has 14 columns; the last place is G14");
}

#[test]
fn too_many_columns_by_number() {
    let mut job = trailer_top();
    job.grid.columns = Count::Number(15);
    let layout = lay_out(&job).unwrap();
    // Columns at 25, 125, … 1425 mm: the outer two too near the edge, those at 425 and 1025 on the rails.
    assert_eq!(layout.holes.iter().filter(|hole| hole.name.starts_with('A')).count(), 11);
    assert!(says(&layout)[0].contains("at most 14 columns fit between the edges"), "{:?}", says(&layout));
}

#[test]
fn impossible_tops_are_refused_with_what_would_do() {
    type Change = fn(&mut Job);
    let cases: &[(&str, Change)] = &[
        (
            "no column fits: the top is 80 mm long, and 45 mm is to be kept at both sides; \
             a top at least 90 mm long, or an edge of at most 40 mm",
            |job| *job = crate::testing::job(80.0, 780.0, 100.0),
        ),
        (
            "the origin [1500, 90] lies outside the sheet, which reaches from [0, 0] to [1450, 780] mm; \
             the nearest that works is [1405, 90]",
            |job| job.grid.origin = GridOrigin::At(Point::new(1500.0, 90.0)),
        ),
        ("no row fits: the origin lies 30 mm from the far side, 45 wanted; at most 735 mm from the near side", |job| {
            job.grid.origin = GridOrigin::At(Point::new(75.0, 750.0))
        }),
        (
            "holes of 120 mm at a pitch of 100 mm overlap by 20 mm; \
             a pitch of at least 123 mm, or holes of at most 97 mm",
            |job| {
                job.grid.hole = 120.0;
                job.grid.edge = 70.0;
            },
        ),
        (
            "holes of 98 mm at a pitch of 100 mm leave 2 mm of wood between them, 3 wanted; \
             a pitch of at least 101 mm, or holes of at most 97 mm",
            |job| {
                job.grid.hole = 98.0;
                job.grid.edge = 70.0;
            },
        ),
        ("edge = 12 mm leaves 2 mm of wood beside a hole of 20 mm, 3 wanted; an edge of at least 13 mm", |job| {
            job.grid.edge = 12.0;
        }),
        ("the grid has 10500 places, at most 10000 are laid out; with 100 rows, at most 100 columns", |job| {
            job.grid.rows = Count::Number(100);
            job.grid.columns = Count::Number(105);
        }),
        ("rows = 0 leaves no grid; at least 1, or \"fit\"", |job| job.grid.rows = Count::Number(0)),
        ("the pitch along rows is NaN mm; it must be more than nil", |job| job.grid.pitch[0] = f64::NAN),
        ("the top's outline encloses nothing; at least three corners that are not on one line", |job| {
            job.top.outline.truncate(2)
        }),
        (
            "no hole is wanted: skip and only leave none of the grid; shorten skip, or name at least one place in only",
            |job| job.grid.skip = ranges(&["A1:Z99"]),
        ),
        ("none of the 98 wanted holes is possible; what stands in the way of the first one follows", |job| {
            job.keep_outs = vec![rail("bench", 0.0, 0.0, 1450.0, 780.0, 0.0)]
        }),
    ];
    for (expected, change) in cases {
        let mut job = trailer_top();
        change(&mut job);
        assert_eq!(refusal(&job), *expected);
    }
}

#[test]
fn pilots_keep_off_the_edge_rails_and_other_holes() {
    let job = trailer_top();
    let layout = lay_out(&job).unwrap();
    let allowed = |x: f64, y: f64| layout.allows_pilot(&job, Point::new(x, y));
    assert!(allowed(75.0, 90.0), "a hole's own pilot");
    assert!(allowed(6.0, 90.0) && !allowed(5.9, 90.0), "4 mm of wood beside a radius of 2 mm");
    assert!(allowed(400.5, 40.0) && !allowed(401.0, 40.0), "the rail begins at 402.5");
    assert!(!allowed(425.0, 40.0) && !allowed(-25.0, 90.0));
    assert!(allowed(90.0, 90.0) && !allowed(89.9, 90.0), "3 mm of wood to A1: 10 + 2 + 3");
}

#[test]
fn inch_jobs_are_told_in_inches() {
    let mut job = trailer_top();
    job.units = crate::job::Units::Inch;
    job.grid.extra = vec![ExtraHole { name: "V1".to_owned(), centre: Point::new(460.0, 240.0), diameter: 20.0 }];
    // 2.5 mm is 0.0984 in, 12 mm 0.4724 in; 9.5 mm is 0.374 in, rounded up to 0.375.
    assert_eq!(
        says(&lay_out(&job).unwrap()),
        ["V1 stands too near the left trestle rail: its edge is 0.098 in away, 0.472 wanted; \
          moved 0.375 in to the right it is clear"]
    );
}
