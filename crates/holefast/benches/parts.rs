//! A list of sixty parts broken down on the trailer top, with the rounds that `holefast parts` makes
//! unless told otherwise, and its cuts set up there; and what memory that took, where the system tells.

use std::hint::black_box;
use std::time::Duration;

use criterion::Criterion;
use holefast::breakdown::Effort;
use holefast::cut::Places;
use holefast::job::parse;
use holefast::parts::on_top::on_top;
use holefast::parts::{break_down, in_mm, usual_rounds};
use holefast::top::lay_out;

const TEXT: &str =
    concat!(include_str!("../../../examples/trailer-top.toml"), include_str!("../tests/lists/sixty-parts.toml"));

fn sixty_parts(c: &mut Criterion) {
    let job = parse(TEXT).job.expect("the job is read");
    let effort = Effort { rounds: usual_rounds(&job), seed: 1 };
    let list = break_down(&job, effort, &mut |_| true).expect("it is cut");
    let batch = &list.batches[0];
    println!("{} sheets, {:?}, {} cuts", batch.breakdown.sheets.len(), batch.breakdown.proof, batch.steps.len());
    let largest = batch
        .breakdown
        .sheets
        .iter()
        .flat_map(|s| s.whole.all())
        .filter(|p| p.made == holefast::breakdown::Made::Offcut);
    let sides = largest.map(|p| p.rect.size.map(in_mm)).max_by(|a, b| (a[0] * a[1]).total_cmp(&(b[0] * b[1])));
    println!("largest offcut {sides:?} mm");
    let mut group = c.benchmark_group("parts");
    group.sample_size(10).measurement_time(Duration::from_secs(20));
    group.bench_function("sixty parts, as many rounds as the command makes", |b| {
        b.iter(|| break_down(black_box(&job), effort, &mut |_| true));
    });
    let places = Places::planned(&lay_out(&job).expect("it can be laid out"));
    group.bench_function("the same, every cut set up on the top", |b| {
        b.iter(|| {
            let list = break_down(black_box(&job), effort, &mut |_| true).expect("it is cut");
            on_top(&job, &places, &list, &mut |_| true)
        });
    });
    group.finish();
    let top = on_top(&job, &places, &list, &mut |_| true).expect("the kit has a rail");
    let here = top.cuts.iter().filter(|cut| cut.how.is_ok()).count();
    println!("{here} of {} cuts on the top, {} settings", top.cuts.len(), top.set_ups.len());
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    if let Some(peak) = status.lines().find(|line| line.starts_with("VmHWM")) {
        println!("most memory at any time: {}", peak.trim_start_matches("VmHWM:").trim());
    }
}

fn main() {
    let mut criterion = Criterion::default().configure_from_args();
    sixty_parts(&mut criterion);
    criterion.final_summary();
}
