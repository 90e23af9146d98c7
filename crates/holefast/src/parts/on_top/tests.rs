//! Lists on a top: every cut has its place or its reason, few settings, errors by hand.

use super::*;
use crate::breakdown::Effort;
use crate::cut::kept_of;
use crate::job::parse;
use crate::parts::{break_down, in_mm};
use crate::top::lay_out;

pub(super) const SHEET: &str =
    "[[stock]]\nname = \"half sheet\"\nlength = 1200\nwidth = 500\nquantity = 4\ntrim = 5\nkerf = 2.2\n";

/// The trailer top of the examples with a list at its end.
fn set_up(list: &str) -> (Job, CutList, Places) {
    set_up_with(list, 1500)
}

pub(super) fn set_up_with(list: &str, rounds: u64) -> (Job, CutList, Places) {
    let text = format!("{}\n{list}", include_str!("../../../../../examples/trailer-top.toml"));
    let parsed = parse(&text);
    let job = parsed.job.unwrap_or_else(|| panic!("{:?}", parsed.faults));
    let list = break_down(&job, Effort { rounds, seed: 1 }, &mut |_| true).unwrap();
    let layout = lay_out(&job).unwrap();
    let places = spread(&layout);
    (job, list, places)
}

/// Without being watched.
fn all_on_top(job: &Job, places: &Places, list: &CutList) -> Option<OnTop> {
    on_top(job, places, list, &mut |_| true)
}

/// Every hole out by 0.05 mm, each by itself.
pub(super) fn spread(layout: &crate::top::Layout) -> Places {
    let names: Vec<String> = layout.holes.iter().map(|h| h.name.clone()).collect();
    let centres = layout.holes.iter().map(|h| h.centre).collect();
    let size = 2 * names.len();
    let covariance = (0..size * size).map(|i| if i % (size + 1) == 0 { 0.0025 } else { 0.0 }).collect();
    Places::proved(layout, &crate::proof::ProvedHoles { names, centres, covariance, ..Default::default() })
}

pub(super) const SHELVES: &str = "[[part]]\nname = \"shelf\"\nlength = 500\nwidth = 240\nquantity = 6\ntolerance = 1.5\n\
                       [[part]]\nname = \"side\"\nlength = 400\nwidth = 240\nquantity = 4\ntolerance = 0.05\n";

#[test]
fn every_cut_has_its_place_or_its_reason() {
    let (job, list, places) = set_up(&format!("{SHEET}{SHELVES}"));
    let top = all_on_top(&job, &places, &list).unwrap();
    let steps = &list.batches[0].steps;
    assert_eq!(top.cuts.len(), steps.len());
    let longest = top.set_ups.iter().map(|s| s.room.capacity).fold(0.0, f64::max);
    let (mut here, mut too_long) = (0, 0);
    for (cut, step) in top.cuts.iter().zip(steps) {
        assert_eq!(cut.runs, in_mm(step.runs[1] - step.runs[0]));
        match &cut.how {
            Ok(how) => {
                here += 1;
                let set_up = &top.set_ups[how.set_up];
                assert!(cut.runs <= set_up.room.capacity + 1e-6);
                assert!((set_up.pair.angle.to_degrees() - 90.0).abs() <= 0.1);
                // Stop, spacer and kerf make the length that is set, along the fence.
                if let Some(stop) = how.stop {
                    let kerf = if kept_of(&set_up.pair) == crate::job::Kept::Beyond { 2.2 } else { 0.0 };
                    let sin = crate::math::sin(set_up.pair.angle);
                    let length = stop.along - 0.5 * stop.dog - stop.spacer - kerf / sin;
                    assert!((length - in_mm(step.set)).abs() < 0.01, "{length} for {}", in_mm(step.set));
                    assert!(stop.spacer >= 0.0 && stop.u_length.unwrap() > 0.0);
                }
            }
            Err(WhyNot::NoEdge) => assert_eq!(step.why, crate::parts::Why::ReferenceEdge),
            Err(WhyNot::TooLong(most)) => {
                too_long += 1;
                assert!(cut.runs > most.unwrap(), "{} {most:?}", cut.runs);
                assert!(cut.runs > longest);
            }
            Err(WhyNot::NoStop(Some([_, to]))) => assert!(in_mm(step.set) > *to, "{step:?}: {to}"),
            Err(other) => panic!("{step:?}: {other:?}"),
        }
    }
    assert!(2 * here >= steps.len() && too_long >= 1, "{here} here, {too_long} too long of {}", steps.len());
    assert!(top.set_ups.len() <= 2, "{} settings", top.set_ups.len());
    assert_eq!(top.set_ups.iter().map(|s| s.cuts).sum::<usize>(), here);
    let text = crate::words::on_top::lines(&job, &places, &list, &top).join("\n");
    for words in ["setting A: square", "not here: the cut is", "rail and top allow", "spacer", "its tolerance of"] {
        assert!(text.contains(words), "{words:?} is not in\n{text}");
    }
}

/// A sheet that is one strip: its parts come of square cuts alone, so that the errors are one stop's.
#[test]
fn errors_are_those_of_the_cuts_that_made_the_part() {
    let strip = "[[stock]]\nname = \"strip\"\nlength = 1300\nwidth = 240\nkerf = 2.2\n";
    let part = "[[part]]\nname = \"rung\"\nlength = 400\nwidth = 240\nquantity = 3\ntolerance = 5\n";
    let (job, list, places) = set_up(&format!("{strip}{part}"));
    let top = all_on_top(&job, &places, &list).unwrap();
    assert!(top.cuts.iter().all(|cut| cut.how.is_ok()), "{:?}", top.cuts);
    let u = top.cuts.iter().filter_map(|c| c.how.as_ref().ok()?.stop?.u_length).fold(0.0, f64::max);
    let error = top.errors[0];
    assert!((error.length.unwrap() - 1.96 * u).abs() < 1e-9, "{error:?}");
    // Its width is as the strip comes, and nobody cut its long edges.
    assert_eq!((error.width, error.square, error.keeps), (None, None, Some(Keeps::NotKnown)));
}

#[test]
fn what_no_stop_reaches_and_what_no_angle_meets_is_told() {
    // Longer than any stop is from the blade, and a mitre on its end.
    let strip = "[[stock]]\nname = \"strip\"\nlength = 2400\nwidth = 100\nkerf = 2.2\n";
    let part = "[[part]]\nname = \"rail\"\nlength = 1900\nwidth = 100\nends = [90, 45]\n";
    let (job, list, places) = set_up(&format!("{strip}{part}"));
    let top = all_on_top(&job, &places, &list).unwrap();
    let [square, mitre] = top.cuts.as_slice() else { panic!("{:?}", top.cuts) };
    assert!(matches!(square.how, Err(WhyNot::NoStop(Some([from, to]))) if from < to && to < 1900.0), "{square:?}");
    assert_eq!(mitre.which, Which::End(0, 1));
    assert!((mitre.runs - 100.0 * 2f64.sqrt()).abs() < 1e-9);
    let text = crate::words::on_top::lines(&job, &places, &list, &top).join("\n");
    assert!(text.contains("end 2 at 45°") && text.contains("clamp a stop to the fence"), "{text}");
    // Of nine holes only a few angles are made.
    let (job, list, _) = set_up(&format!("{strip}{}", part.replace("45", "31").replace("1900", "400")));
    let mut few = lay_out(&job).unwrap();
    few.holes.retain(|hole| hole.cell.is_some_and(|cell| cell.row < 3 && cell.column < 3));
    let top = all_on_top(&job, &spread(&few), &list).unwrap();
    assert!(matches!(top.cuts[1].how, Err(WhyNot::NoAngle([Some(a), Some(b)])) if a < b), "{:?}", top.cuts[1]);
}

/// The length of a mitred part at the fence, by its corners.
#[test]
fn ends_start_where_the_blank_allows() {
    let strip = "[[stock]]\nname = \"strip\"\nlength = 2400\nwidth = 100\nkerf = 2.2\n";
    let of = |ends: &str| {
        let part = format!("[[part]]\nname = \"rail\"\nlength = 600\nwidth = 100\nends = {ends}\n");
        let (job, list, _) = set_up(&format!("{strip}{part}"));
        ends::of(&job, &list.batches[0]).iter().map(|e| (e.which, e.ask.length().unwrap())).collect::<Vec<_>>()
    };
    assert_eq!(of("[45, 45]"), [(0, 600.0), (1, 600.0)]);
    assert_eq!(of("[90, 90]"), []);
    assert_eq!(of("[135, 90]"), [(0, 500.0)]);
    assert_eq!(of("[135, 45]"), [(0, 500.0), (1, 500.0)]);
}

#[test]
fn thousands_of_cuts_are_a_few_questions() {
    let sheet = "[[stock]]\nname = \"sheet\"\nlength = 2440\nwidth = 1220\nquantity = 60\ntrim = 5\nkerf = 2.2\n";
    let parts = "[[part]]\nname = \"a\"\nlength = 200\nwidth = 90\nquantity = 700\n\
                 [[part]]\nname = \"b\"\nlength = 300\nwidth = 120\nquantity = 500\n";
    let (job, list, places) = set_up_with(&format!("{sheet}{parts}"), 50);
    let top = all_on_top(&job, &places, &list).unwrap();
    assert!(top.cuts.len() > 1_000, "{}", top.cuts.len());
    assert_eq!(top.errors.len(), 2);
}

#[test]
fn it_is_told_how_far_the_work_is_and_it_can_be_stopped() {
    let (job, list, places) = set_up(&format!("{SHEET}{SHELVES}"));
    let mut told = Vec::new();
    let whole = on_top(&job, &places, &list, &mut |now| {
        told.push(now);
        true
    })
    .unwrap();
    assert!(told.len() > 5, "{told:?}");
    assert!(told.is_sorted_by_key(|now| now.answered) && told.iter().all(|now| now.of == told[0].of), "{told:?}");
    assert_eq!((told[0].answered, told.last().unwrap().answered), (0, told[0].of));
    // Stopped at each of the moments at which it is asked: what is answered stands as it is, the rest says so.
    for stop in 1..told.len() {
        let mut calls = 0;
        let part = on_top(&job, &places, &list, &mut |_| {
            calls += 1;
            calls < stop
        })
        .unwrap();
        assert_eq!(calls, stop);
        let mut stopped = 0;
        for (cut, of_whole) in part.cuts.iter().zip(&whole.cuts) {
            match (&cut.how, &of_whole.how) {
                (Err(WhyNot::Stopped), _) => stopped += 1,
                (Ok(how), Ok(other)) => {
                    assert_eq!(part.set_ups[how.set_up].pair, whole.set_ups[other.set_up].pair);
                    assert_eq!(how.stop, other.stop);
                }
                (how, other) => assert_eq!(how, other),
            }
        }
        assert!(stopped > 0, "stopped at {stop} of {}", told.len());
        let text = crate::words::on_top::lines(&job, &places, &list, &part).join("\n");
        assert!(text.contains("not looked at: it was stopped before"), "{text}");
    }
}
