//! Places as proved, and test cuts on an arrangement's own lines.

use super::*;
use crate::FaultKind;
use crate::job::Job;
use crate::proof::{ProofAsk, proved_holes};
use crate::top::{Layout, lay_out};

const CUT: &str = "[[cut]]\nname = \"ends\"\nangle = 90\n\
                   fence = { holes = [\"B2\", \"B11\"], side = \"left\", dogs = 20 }\n\
                   rail = { holes = [\"A3\", \"G3\"], side = \"right\", dogs = 20, cut = 180 }\n";
const CALIPER: &str =
    "[[instrument]]\nname = \"caliper\"\nreads = [\"five_cut\", \"turn_over\", \"distance\"]\nu = 0.02\n";

/// The trailer top of the examples, 100 mm apart, with more at its end.
fn job(more: &str) -> (Job, Layout) {
    let text = format!("{}\n{more}", include_str!("../../../../examples/trailer-top.toml"));
    let parsed = crate::job::parse(&text);
    let job = parsed.job.unwrap_or_else(|| panic!("{:?}", parsed.faults));
    let layout = lay_out(&job).unwrap();
    (job, layout)
}

fn proved(job: &Job, layout: &Layout) -> Places {
    Places::proved(layout, &proved_holes(job, layout, &ProofAsk::default()).unwrap())
}

fn five_cuts(fence: &str, rail: &str, strip: [f64; 2]) -> String {
    format!(
        "[[reading]]\nkind = \"five_cut\"\nwith = \"caliper\"\nfence = {fence}\nrail = {rail}\nstrip = {strip:?}\nlength = 400\n"
    )
}

/// A strip 0.16 mm thicker at the fence over 400 mm: 0.1 mm per m over. By hand: the fence's dogs are 900
/// mm apart, the rail's 600.
#[test]
fn a_test_cut_gives_the_shim() {
    let lines = (r#"["B2", "B11"]"#, r#"["A3", "G3"]"#);
    let (job, layout) = job(&format!("{CUT}{CALIPER}{}", five_cuts(lines.0, lines.1, [11.46, 11.3])));
    let one = settle(&job, &Places::planned(&layout)).unwrap().remove(0);
    let tested = one.tested.unwrap();
    assert_eq!(tested.readings, [1]);
    assert!((tested.error_mm_per_m(job.cuts[0].angle) - 0.1).abs() < 1e-9);
    assert!((tested.u * 1000.0 - 0.02 * 2f64.sqrt() / 1.6).abs() < 1e-9);
    let name = |hole: usize| layout.holes[hole].name.as_str();
    // Over the angle on the work's side: the rail leans away from the work, so it is brought over at its
    // far dog; or the fence is brought over at the far one.
    assert_eq!((name(tested.shims.fence.hole), name(tested.shims.rail.hole)), ("B11", "G3"));
    assert!((tested.shims.fence.thickness - 0.09).abs() < 1e-6, "{:?}", tested.shims);
    assert!((tested.shims.rail.thickness - 0.06).abs() < 1e-6, "{:?}", tested.shims);
    // laid in, the shim closes what was measured
    let mut fence = one.pair.fence;
    fence.dogs[1] += 2.0 * tested.shims.fence.thickness;
    let mended = Pair::of(&Places::planned(&layout), fence, one.pair.rail).unwrap();
    assert!(((mended.angle - one.pair.angle) + 1e-4).abs() < 1e-9);
}

#[test]
fn a_test_cut_is_taken_either_way_round_and_for_its_own_lines_only() {
    let error = |fence: &str, rail: &str, more: &str| {
        let (job, layout) = job(&format!("{CUT}{CALIPER}{}{more}", five_cuts(fence, rail, [11.46, 11.3])));
        let one = settle(&job, &Places::planned(&layout)).unwrap().remove(0);
        one.tested.map(|tested| (tested.error_mm_per_m(job.cuts[0].angle), tested.u * 1000.0))
    };
    let near = |value: Option<(f64, f64)>, wanted: f64| (value.unwrap().0 - wanted).abs() < 1e-9;
    assert!(near(error(r#"["B11", "B2"]"#, r#"["G3", "A3"]"#, ""), 0.1));
    assert!(near(error(r#"["B11", "B2"]"#, r#"["A3", "G3"]"#, ""), -0.1));
    assert_eq!(error(r#"["B2", "B12"]"#, r#"["A3", "G3"]"#, ""), None);
    // Two of the same uncertainty: their mean, and less of it by the root of two. The gap at the far edge
    // of a board turned over is under the angle, twice over 400 mm.
    let turned = "[[reading]]\nkind = \"turn_over\"\nfence = [\"B2\", \"B11\"]\nrail = [\"A3\", \"G3\"]\n\
                  gap = 0.24\ngap_at = \"far\"\nlength = 400\nu = 0.0141421356237\n";
    let (mean, u) = error(r#"["B2", "B11"]"#, r#"["A3", "G3"]"#, turned).unwrap();
    assert!((mean - 0.5 * (0.1 - 0.3)).abs() < 1e-9, "{mean}");
    assert!((u - 0.0125).abs() < 1e-9, "{u}");
    // dogs of two sizes turn the line, which the test as entered does not know
    let (job, layout) = job(&format!(
        "{}{CALIPER}{}",
        CUT.replacen("dogs = 20", "dogs = [20, 19]", 1),
        five_cuts(r#"["B2", "B11"]"#, r#"["A3", "G3"]"#, [11.46, 11.3])
    ));
    assert_eq!(settle(&job, &Places::planned(&layout)).unwrap().remove(0).tested, None);
}

/// Five cuts fix square and leave pitch free: lines along rows and columns are known, oblique ones not.
#[test]
fn what_the_readings_leave_free_is_told_as_not_known() {
    let oblique = "[[cut]]\nname = \"slope\"\nangle = 45\ntolerance = 1\n\
                   fence = { holes = [\"B2\", \"B11\"], side = \"left\", dogs = 20 }\n\
                   rail = { holes = [\"A4\", \"F9\"], side = \"right\", dogs = 20, cut = 180 }\n";
    let reading = five_cuts(r#"["B2", "B11"]"#, r#"["A3", "G3"]"#, [11.46, 11.3]);
    let (job, layout) = job(&format!("{CUT}{oblique}{CALIPER}{reading}"));
    let places = proved(&job, &layout);
    assert_eq!(places.basis(), Basis::Proved);
    let settled = settle(&job, &places).unwrap();
    let u = settled[0].u.unwrap() * 1000.0;
    let [dogs, holes] = [Dogs::of(&job), Dogs { stands_sd: 0.0, radius_sd: 0.0, ..Dogs::of(&job) }];
    // The holes as well as the test cut has them, and the dogs' stand on top.
    let alone = settled[0].pair.u(&places, &holes).unwrap() * 1000.0;
    assert!((alone - 0.02 * 2f64.sqrt() / 1.6).abs() < 2e-4 && u > alone, "{alone} {u} {dogs:?}");
    assert!((settled[0].pair.error_mm_per_m(job.cuts[0].angle) - 0.1).abs() < 2e-3);
    assert_eq!(settled[1].u, None);
    let lines = crate::words::cutting::cut_lines(&job, &places, &settled).join("\n");
    assert!(
        lines.contains("Taken as proved") && lines.contains("the readings leave open how far the holes are out"),
        "{lines}"
    );
    // Looked for, those that are known come before those that are not.
    let ask = |wanted: f64| Search { wanted, tolerance: 0.02, best: 5, width: None, kerf: None, kept: None };
    let right = search(&job, &places, &dogs, &ask(std::f64::consts::FRAC_PI_2));
    assert!(right.arrangements.iter().all(|a| a.u.is_some()), "{:?}", right.arrangements);
    let slope = search(&job, &places, &dogs, &ask(std::f64::consts::FRAC_PI_4));
    assert!(!slope.arrangements.is_empty() && slope.arrangements.iter().all(|a| a.u.is_none()));
}

/// Without a prior the holes read are known and no others, which stay on the top all the same.
#[test]
fn holes_without_a_reading_stay() {
    let sides = [("B2", "B11", 900.1), ("B2", "G3", 510.0), ("B11", "G3", 943.3), ("A3", "G3", 600.0)];
    let readings: String = sides
        .iter()
        .map(|(a, b, value)| {
            format!(
                "[[reading]]\nkind = \"distance\"\nwith = \"caliper\"\nbetween = [\"{a}\", \"{b}\"]\nvalue = {value}\n"
            )
        })
        .collect();
    let (job, layout) = job(&format!("{CUT}{CALIPER}{readings}[proof]\nprior = \"none\"\n"));
    let places = proved(&job, &layout);
    assert_eq!(places.holes().len(), layout.holes.len());
    assert_eq!(places.holes().iter().filter(|hole| hole.is_known()).count(), 4);
    // A3 hangs on one distance: the rail may turn
    assert_eq!(settle(&job, &places).unwrap()[0].u, None);
}

#[test]
fn readings_that_prove_nothing_are_told_and_the_plan_is_gone_by() {
    let reading = "[[reading]]\nkind = \"distance\"\nwith = \"caliper\"\nbetween = [\"B2\", \"B11\"]\nvalue = 690\n";
    let (job, _) = job(&format!("{CUT}{CALIPER}{reading}"));
    let (places, remarks) = crate::desk::Desk::new(&job).places_if_proved().unwrap();
    assert_eq!(places.basis(), Basis::Predicted);
    assert!(remarks.iter().all(|r| r.kind == FaultKind::Remark) && !remarks.is_empty());
    assert!(remarks[0].message.starts_with("cuts go by the plan, not by the readings: "), "{remarks:?}");
    let text = crate::words::cutting::cut_lines(&job, &places, &settle(&job, &places).unwrap()).join("\n");
    assert!(text.contains("the job's readings left aside"), "{text}");
}

#[test]
fn a_suspect_reading_is_told_before_any_cut() {
    let one = |a: &str, b: &str, value: f64| {
        format!("[[reading]]\nkind = \"distance\"\nwith = \"caliper\"\nbetween = [\"{a}\", \"{b}\"]\nvalue = {value}\n")
    };
    let fine = format!("{}{}", one("A1", "G1", 600.0), one("A1", "A9", 800.0));
    let (good, layout) = job(&format!("{CUT}{CALIPER}{fine}"));
    assert!(!proved(&good, &layout).is_doubted());
    let twice = format!("{}{}", one("A1", "G9", 1000.0), one("A1", "G9", 1000.9));
    let (bad, layout) = job(&format!("{CUT}{CALIPER}{fine}{twice}"));
    let places = proved(&bad, &layout);
    assert!(places.is_doubted());
    let settled = settle(&bad, &places).unwrap();
    let text = crate::words::cutting::cut_lines(&bad, &places, &settled).join("\n");
    assert!(text.contains("holefast prove says what to check first"), "{text}");
    assert!(cuts_to_json(&bad, &places, &settled, None::<&()>).contains("\"check_first\": true"));
}
