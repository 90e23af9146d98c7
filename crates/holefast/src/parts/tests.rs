//! Lists as a job states them: every fault at its place, every order of cuts such as hands can follow.

use std::collections::{BTreeMap, BTreeSet};

use super::*;
use crate::FaultKind;
use crate::breakdown::legal::faults_of;
use crate::breakdown::{Axis, Made};
use crate::job::parse;

const HEAD: &str = "holefast = 1\nname = \"x\"\nunits = \"mm\"\n[top]\nlength = 1450\nwidth = 780\nthickness = 21\n\
                    material = \"birch plywood\"\n[grid]\npitch = 100\nhole = 20\npilot = 4\nrows = \"fit\"\n\
                    columns = \"fit\"\nedge = 45\norigin = \"centred\"\n";

const SHEET: &str =
    "[[stock]]\nname = \"full sheet\"\nlength = 2440\nwidth = 1220\nquantity = 2\ntrim = 5\nkerf = 2.2\n";

const QUICK: Effort = Effort { rounds: 1500, seed: 1 };

fn job(list: &str) -> Job {
    let parsed = parse(&format!("{HEAD}{list}"));
    parsed.job.unwrap_or_else(|| panic!("{:?}", parsed.faults))
}

fn cut(list: &str) -> Result<CutList, Vec<Fault>> {
    break_down(&job(list), QUICK, &mut |_| true)
}

/// The first fault's message and the line of the list that it points to.
fn told(list: &str) -> (String, String) {
    let text = format!("{HEAD}{list}");
    let faults = cut(list).expect_err("it cannot be done");
    let fault = faults.iter().find(|f| f.kind == FaultKind::Impossible).expect("an impossibility");
    assert!(fault.hint.as_ref().is_some_and(|h| !h.is_empty()), "{fault:?}");
    let line = fault.span.map_or(0, |s| s.line_and_column(&text).0);
    (fault.message.clone(), text.lines().nth(line.wrapping_sub(1)).unwrap_or("").to_owned())
}

#[test]
fn what_cannot_be_had_is_told_at_its_line() {
    let part = |keys: &str| format!("{SHEET}[[part]]\nname = \"shelf\"\n{keys}");
    let cases = [
        (
            part("length = 2500\nwidth = 300\n"),
            "part \"shelf\" is 2500 x 300 mm, the sheet nearest to that has 2430 x 1210 mm after trimming: 70 mm too large",
            "length = 2500",
        ),
        (
            part("length = 1500\nwidth = 300\ngrain = \"width\"\n"),
            "part \"shelf\" fits on the stock only across the grain it asks for",
            "grain = \"width\"",
        ),
        (
            format!(
                "{}grain = \"none\"\n[[part]]\nname = \"door\"\nlength = 600\nwidth = 400\ngrain = \"length\"\n",
                SHEET
            ),
            "part \"door\" asks for a grain, and the stock it fits on has none",
            "grain = \"length\"",
        ),
        (
            format!("{SHEET}[breakdown]\nnarrowest = 60\n[[part]]\nname = \"lath\"\nlength = 600\nwidth = 40\n"),
            "part \"lath\" is 40 mm wide, the job allows nothing narrower than 60 mm",
            "width = 40",
        ),
        (
            part("length = 1000\nwidth = 600\nquantity = 9\n"),
            "1 of 9 parts find no place in this stock: 1 of shelf",
            "[[part]]",
        ),
        (
            part("length = 600\nwidth = 300\nthickness = 18\n"),
            "\"full sheet\" states no thickness, others do",
            "[[stock]]",
        ),
        ("[[part]]\nname = \"a\"\nlength = 9\nwidth = 9\n".to_owned(), words_no_stock(), "[[part]]"),
    ];
    for (list, message, line) in cases {
        assert_eq!(told(&list), (message.to_owned(), line.to_owned()));
    }
    let faults = cut("").expect_err("nothing is wanted");
    assert_eq!(faults[0].message, crate::words::parts::NO_PARTS);
    let more = cut(&part("length = 1000\nwidth = 600\nquantity = 9\n")).expect_err("too little");
    assert_eq!(more[0].hint.as_deref(), Some("with 1 more of \"full sheet\" all of them are cut"));
}

fn words_no_stock() -> &'static str {
    crate::words::parts::NO_STOCK
}

#[test]
fn long_lists_get_fewer_rounds() {
    let rounds = |n: u32| {
        usual_rounds(&job(&format!("{SHEET}[[part]]\nname = \"a\"\nlength = 90\nwidth = 90\nquantity = {n}\n")))
    };
    assert_eq!([1, 100, 200, 10_000, 20_000].map(rounds), [300_000, 300_000, 150_000, 3_000, 1_500]);
}

#[test]
fn a_narrow_part_is_told_where_nothing_is_refused() {
    let list = cut(&format!("{SHEET}[[part]]\nname = \"lath\"\nlength = 600\nwidth = 40\n")).expect("it is cut");
    assert_eq!(list.remarks.len(), 1);
    assert_eq!(list.remarks[0].message, "part \"lath\" is only 40 mm wide");
}

const MIXED: &str = "[[part]]\nname = \"side\"\nlength = 760\nwidth = 380\nquantity = 6\ngrain = \"length\"\n\
                     [[part]]\nname = \"shelf\"\nlength = 564\nwidth = 360\nquantity = 9\n\
                     [[part]]\nname = \"plinth\"\nlength = 564\nwidth = 90\nquantity = 3\n";

#[test]
fn each_thickness_is_a_batch_of_its_own() {
    let thick = |text: &str, t: f64| text.replace("[[part]]\n", &format!("[[part]]\nthickness = {t}\n"));
    let sheets = format!("{}thickness = 18\n{}thickness = 6\n", SHEET, SHEET.replace("full sheet", "thin sheet"));
    let back = thick("[[part]]\nname = \"back\"\nlength = 700\nwidth = 500\nquantity = 3\n", 6.0);
    let list = cut(&format!("{sheets}{}{back}", thick(MIXED, 18.0))).expect("it is cut");
    assert_eq!(
        list.batches.iter().map(|b| (b.parts.len(), b.stock.clone())).collect::<Vec<_>>(),
        [(3, vec![0]), (1, vec![1])]
    );
}

/// Goes through the cuts as hands would: each piece must be there, each cut measured from an edge that
/// is sawn, and at the end every part must lie there with its size.
fn follow(job: &Job, batch: &Batch) {
    let problem = problem(&job.part_list, &batch.parts, &batch.stock);
    assert_eq!(faults_of(&problem, &batch.breakdown), None);
    // edges that are sawn, by sheet and axis: where they lie
    let mut sawn: BTreeSet<(usize, Axis, Size)> = BTreeSet::new();
    let mut there: BTreeSet<String> = BTreeSet::new();
    let mut made: BTreeMap<usize, u32> = BTreeMap::new();
    for (i, sheet) in batch.breakdown.sheets.iter().enumerate() {
        there.insert((i + 1).to_string());
        if problem.stock[sheet.stock].trim == 0 {
            sawn.extend([(i, Axis::X, 0), (i, Axis::Y, 0)]);
        }
        if let Made::Part { part, .. } = sheet.whole.made {
            *made.entry(part).or_default() += 1;
        }
    }
    for (i, step) in batch.steps.iter().enumerate() {
        assert_eq!(step.number, i + 1);
        assert!(there.contains(&step.from), "cut {} is made in {}, which is not there", step.number, step.from);
        let kerf = problem.stock[batch.breakdown.sheets[step.sheet].stock].kerf;
        if matches!(step.why, Why::Piece | Why::FarEdge) {
            let edge = (step.sheet, step.along, step.at[0]);
            assert!(sawn.contains(&edge), "cut {} is measured from an edge that is not sawn", step.number);
        }
        sawn.insert((step.sheet, step.along, step.at[1] + kerf));
        assert_eq!(step.at[1] - step.at[0], step.set);
        for makes in std::iter::once(&step.makes).chain(&step.leaves) {
            match makes {
                Makes::Part(part) => *made.entry(*part).or_default() += 1,
                Makes::Marked(mark) => assert!(there.insert(mark.clone()), "{mark} twice"),
                _ => {}
            }
        }
    }
    for (i, part) in problem.parts.iter().enumerate() {
        assert_eq!(made.get(&i).copied().unwrap_or(0), part.quantity, "part {i}");
    }
}

#[test]
fn the_cuts_can_be_followed_by_hand() {
    for (extra, kerf) in [("", 2.2), ("[breakdown]\nstages = 3\n", 3.0), ("[breakdown]\nstages = 2\n", 2.2)] {
        for trim in ["5", "1", "0"] {
            let sheet = SHEET.replace("trim = 5", &format!("trim = {trim}")).replace("2.2", &kerf.to_string());
            let text = format!("{sheet}{MIXED}{extra}");
            let list = cut(&text).expect("it is cut");
            follow(&job(&text), &list.batches[0]);
            let trims = list.batches[0].steps.iter().filter(|s| s.why == Why::ReferenceEdge).count();
            assert_eq!(trims, if trim == "0" { 0 } else { list.batches[0].breakdown.sheets.len() });
        }
    }
    // one part that is the whole sheet
    let whole = "[[stock]]\nname = \"s\"\nlength = 500\nwidth = 300\nkerf = 2\n[[part]]\nname = \"p\"\nlength = 500\nwidth = 300\n";
    follow(&job(whole), &cut(whole).expect("it is cut").batches[0]);
}

#[test]
fn alike_parts_of_a_sheet_take_one_setting() {
    let text =
        format!("{SHEET}[[part]]\nname = \"shelf\"\nlength = 600\nwidth = 300\nquantity = 12\ngrain = \"length\"\n");
    let list = cut(&text).expect("it is cut");
    let steps = &list.batches[0].steps;
    follow(&job(&text), &list.batches[0]);
    let settings: Vec<f64> =
        steps.iter().filter(|s| s.why == Why::Piece && s.new_setting).map(|s| in_mm(s.set)).collect();
    let mut each = settings.clone();
    each.sort_by(f64::total_cmp);
    each.dedup();
    assert_eq!(each.len(), settings.len(), "a setting is made twice: {settings:?}");
}

#[test]
fn words_and_data_name_every_part() {
    let text = format!("{SHEET}{MIXED}");
    let job = job(&text);
    let list = cut(&text).expect("it is cut");
    let lines = crate::words::parts::lines(&job, &list);
    for name in ["side", "shelf", "plinth", "full sheet", "reference edge", "never by hand"] {
        assert!(lines.iter().any(|l| l.contains(name)), "{name} is not in {lines:#?}");
    }
    let data = show::show(&job, &list);
    assert_eq!(data.batches[0].sheets.iter().map(|s| s.parts.len()).sum::<usize>(), 18);
    assert_eq!(data.batches[0].cuts.len(), list.batches[0].steps.len());
    let scene = crate::drawing::parts_view(&job, &list, [277.0, 190.0]);
    let numbers = scene.texts().filter(|(role, _)| *role == crate::drawing::Role::Order).count();
    assert_eq!(numbers, list.batches[0].steps.len());
    assert!(scene.texts().any(|(_, text)| text == "760 x 380"));
}

#[test]
fn on_a_small_screen_a_sheets_name_keeps_clear_of_the_sheet_above() {
    use crate::drawing::{Role, Shape};
    let text = format!("{SHEET}[[part]]\nname = \"side\"\nlength = 720\nwidth = 560\nquantity = 8\n");
    let list = cut(&text).expect("it is cut");
    let job = job(&text);
    for room in [[90.0, 72.0], [120.0, 80.0], [277.0, 190.0]] {
        let scene = crate::drawing::parts_view(&job, &list, room);
        let paper = |points: &[crate::drawing::At]| -> Vec<f64> {
            points.iter().map(|&at| scene.view.to_paper(at)[1]).collect()
        };
        let (mut edges, mut names) = (Vec::new(), Vec::new());
        for item in &scene.items {
            match &item.shape {
                Shape::Path { points, .. } if item.role == Role::Outline => edges.push(paper(points)),
                Shape::Text { at, size_paper_mm, .. } if item.role == Role::Note => {
                    names.push((paper(&[*at])[0], *size_paper_mm));
                }
                _ => {}
            }
        }
        assert!(edges.len() > 1 && edges.len() == names.len(), "{} sheets", edges.len());
        for (above, (at, size)) in edges.iter().zip(&names[1..]) {
            // Down the paper or up, whichever way it counts: the letters' box and the sheet do not meet.
            let [low, high] = [f64::min, f64::max].map(|f| above.iter().copied().reduce(f).unwrap());
            let clear = f64::max(low - at, at - high);
            assert!(clear > *size, "{room:?}: {clear} mm between a sheet and the name below it");
        }
    }
}
