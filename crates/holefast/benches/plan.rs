//! What a person waits for when a top is planned: the trailer top, one begun and with a hole spoiled,
//! and 40 × 60 holes with bars of 12 and of 31 holes.

use std::hint::black_box;

use criterion::Criterion;
use holefast::job::{Done, DoneAs, Job, Spoiled};
use holefast::plan::{PlanOptions, make_plan};
use holefast::{testing, top};

fn planned(criterion: &mut Criterion, name: &str, job: &Job) {
    let layout = top::lay_out(job).expect("the sheet is plain");
    let holes = layout.holes.len();
    criterion.bench_function(&format!("{name}, {holes} holes"), |b| {
        b.iter(|| black_box(make_plan(job, &layout, &PlanOptions::default()).is_ok()));
    });
}

fn main() {
    let mut criterion = Criterion::default().sample_size(10).configure_from_args();
    let trailer = testing::trailer_top();
    planned(&mut criterion, "bare sheet", &trailer);
    let mut begun = trailer.clone();
    let range = |text: &str| top::CellRange::parse(text).expect("a range");
    begun.done.push(Done {
        holes: vec![range("A1:A14"), range("A1:G1"), range("A9:G9")],
        as_: DoneAs::Pilot,
        scatter: None,
        helpers: Vec::new(),
    });
    begun.spoiled.push(Spoiled { hole: "C9".into(), why: "bit wandered".into() });
    planned(&mut criterion, "begun, a hole spoiled", &begun);
    let mut big = testing::job(6000.0, 4000.0, 100.0);
    planned(&mut criterion, "bars of 12", &big);
    if let Some(kit) = &mut big.kit {
        kit.bars[0].holes = 31;
    }
    planned(&mut criterion, "bars of 31", &big);
    criterion.final_summary();
}
