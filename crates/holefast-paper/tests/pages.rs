//! Pages of books of random jobs, by the boxes that the pages themselves have: no text crosses another, a
//! frame, a rule or a drawing; none leaves its page; every word that was handed over stands, and once.
//!
//! Names, notes and cuts are invented, to be long, short or in letters that the type does not have.

use std::path::Path;

use holefast::Job;
use holefast::drawing::{Anchor, Role, Scene, Shape, Style, text_width};
use holefast::words;
use holefast_paper::book::Making;
use holefast_paper::page::{BROKEN, DESCENT, Kind, Page};
use holefast_paper::{Book, BookOptions, Expectation, MorePages, Paper, book_with_more, digest};
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

/// Height of capitals in units of the size: of Lato's 1433 and 1446 of 2000 the larger.
const CAP: f64 = 0.723;

/// Boxes that touch do not cross; less than a tenth of the thinnest line is nothing, mm.
const TOUCH: f64 = 0.02;

#[derive(Clone, Debug)]
struct TextBox {
    text: String,
    /// Left, upper, right, lower; mm.
    at: [f64; 4],
}

impl TextBox {
    fn crosses(&self, [x0, y0, x1, y1]: [f64; 4]) -> bool {
        let [a0, b0, a1, b1] = self.at;
        // a text of nothing but spaces crosses nothing
        !self.text.trim().is_empty() && a0 < x1 - TOUCH && x0 < a1 - TOUCH && b0 < y1 - TOUCH && y0 < b1 - TOUCH
    }

    fn is_within(&self, [x0, y0, x1, y1]: [f64; 4]) -> bool {
        let [a0, b0, a1, b1] = self.at;
        a0 > x0 - TOUCH && a1 < x1 + TOUCH && b0 > y0 - TOUCH && b1 < y1 + TOUCH
    }
}

/// What stands on a page, by boxes.
#[derive(Default)]
struct Found {
    texts: Vec<TextBox>,
    drawings: Vec<[f64; 4]>,
    frames: Vec<[f64; 4]>,
    rules: Vec<[f64; 4]>,
    /// Labels of each drawing.
    labels: Vec<Vec<TextBox>>,
}

fn found(page: &Page) -> Found {
    let view = &page.scene.view;
    let mut found = Found::default();
    for item in &page.scene.items {
        match &item.shape {
            Shape::Measured { at, text, size_paper_mm, width_paper_mm } => {
                let [x, y] = view.to_paper(*at);
                let at = [x, y - CAP * size_paper_mm, x + width_paper_mm, y + DESCENT * size_paper_mm];
                found.texts.push(TextBox { text: text.clone(), at });
            }
            Shape::Inset { at, scene } => {
                let [x, y] = view.to_paper(*at);
                found.drawings.push([x, y, x + scene.view.width(), y + scene.view.height()]);
                found.labels.push(labels(scene, [x, y]));
            }
            Shape::Path { points, .. } => {
                let all = points.iter().map(|at| view.to_paper(*at));
                let extent = all.fold([f64::MAX, f64::MAX, f64::MIN, f64::MIN], |[a, b, c, d], [x, y]| {
                    [a.min(x), b.min(y), c.max(x), d.max(y)]
                });
                match item.role {
                    Role::TickBox | Role::CautionFrame | Role::WriteRule | Role::CautionBar | Role::NoteBar
                        if points.len() == 4 =>
                    {
                        found.frames.push(extent);
                    }
                    _ if points.len() == 2 => found.rules.push(extent),
                    _ => {}
                }
            }
            _ => {}
        }
    }
    found
}

/// Labels of a drawing that stand upright, as far as their widths are known.
fn labels(scene: &Scene, [left, above]: [f64; 2]) -> Vec<TextBox> {
    let mut all = Vec::new();
    for item in &scene.items {
        let Shape::Text { at, text, size_paper_mm, anchor, turn_deg } = &item.shape else { continue };
        if turn_deg.abs() > 1e-9 {
            continue;
        }
        let width = text_width(text, Style::of(item.role).bold) * size_paper_mm;
        let [x, y] = scene.view.to_paper(*at);
        let x = left + x
            - match anchor {
                Anchor::Start => 0.0,
                Anchor::Middle => 0.5 * width,
                Anchor::End => width,
            };
        let y = above + y;
        all.push(TextBox { text: text.clone(), at: [x, y - CAP * size_paper_mm, x + width, y] });
    }
    all
}

/// Everything that is wrong with a page, in words.
fn wrong(page: &Page) -> Vec<String> {
    let found = found(page);
    let whole = [0.0, 0.0, page.scene.view.width(), page.scene.view.height()];
    let mut wrong = Vec::new();
    for (i, text) in found.texts.iter().enumerate() {
        if !text.is_within(whole) {
            wrong.push(format!("off the page: {text:?}"));
        }
        for other in &found.texts[i + 1..] {
            if text.crosses(other.at) {
                wrong.push(format!("{text:?} crosses {other:?}"));
            }
        }
        for drawing in &found.drawings {
            if text.crosses(*drawing) {
                wrong.push(format!("{text:?} crosses a drawing {drawing:?}"));
            }
        }
        for frame in &found.frames {
            if text.crosses(*frame) && !text.is_within(*frame) {
                wrong.push(format!("{text:?} crosses a frame {frame:?}"));
            }
        }
        for rule in &found.rules {
            if text.crosses(thick(*rule)) {
                wrong.push(format!("{text:?} crosses a rule at {rule:?}"));
            }
        }
    }
    for (i, drawing) in found.drawings.iter().enumerate() {
        let drawing = TextBox { text: "a drawing".to_owned(), at: *drawing };
        if !drawing.is_within(whole) {
            wrong.push(format!("off the page: {drawing:?}"));
        }
        let others = found.drawings[i + 1..].iter().chain(&found.frames).copied();
        for other in others.chain(found.rules.iter().map(|rule| thick(*rule))) {
            if drawing.crosses(other) {
                wrong.push(format!("{drawing:?} crosses {other:?}"));
            }
        }
    }
    wrong
}

/// A rule has no height of its own, or no width.
fn thick([x0, y0, x1, y1]: [f64; 4]) -> [f64; 4] {
    [x0 - 2.0 * TOUCH, y0 - 2.0 * TOUCH, x1 + 2.0 * TOUCH, y1 + 2.0 * TOUCH]
}

/// Letters of a book's passages of one kind in order of reading, without spaces, breaks and the marks of broken
/// words. What is parted by the end of a page is whole in it.
fn letters(book: &Book, kind: Kind) -> String {
    let mut all = String::new();
    for page in &book.pages {
        for passage in page.reading.iter().filter(|passage| passage.kind == kind) {
            for item in &page.scene.items[passage.items.clone()] {
                if let Shape::Measured { text, .. } = &item.shape {
                    all.extend(text.chars().filter(|c| !c.is_whitespace() && *c != BROKEN));
                }
            }
        }
    }
    all
}

fn squeezed(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace() && !c.is_control()).collect()
}

fn made(text: &str, paper: Paper) -> (Job, holefast::Plan, Book) {
    let parsed = holefast::job::parse(text);
    let job = parsed.job.unwrap_or_else(|| panic!("{:?}\n{text}", parsed.faults));
    let layout = holefast::top::lay_out(&job).expect("laid out");
    let plan = holefast::plan::make_plan(&job, &layout, &holefast::plan::PlanOptions::default()).expect("planned");
    let places = holefast::cut::Places::planned(&layout);
    let settled = holefast::cut::settle(&job, &places).unwrap_or_else(|faults| panic!("{faults:?}"));
    let more = MorePages { places, settled, proof: None, list: None };
    let options = BookOptions { paper, digest: digest(text), site: None };
    let expected = Expectation { square_within: Some(0.094), confidence: 0.95, ..Expectation::default() };
    let book = book_with_more(&job, &layout, &plan, &expected, &options, &more);
    (job, plan, book)
}

fn example(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name);
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// Upright labels within drawings, by the widths that `drawing` reckons with.
#[test]
fn labels_within_the_examples_drawings_cross_none() {
    let mut looked_at = 0;
    for name in ["first-top.toml", "press-bench.toml", "trailer-top.toml"] {
        let (_, _, book) = made(&example(name), Paper::A4);
        for (number, page) in book.pages.iter().enumerate() {
            for labels in found(page).labels {
                looked_at += labels.len();
                for (i, label) in labels.iter().enumerate() {
                    let crossed = labels[i + 1..].iter().find(|other| label.crosses(other.at));
                    assert!(crossed.is_none(), "{name}, page {}: {label:?} {crossed:?}", number + 1);
                }
            }
        }
    }
    assert!(looked_at > 1000, "only {looked_at} labels were found");
}

#[test]
fn on_the_examples_pages_nothing_crosses_anything() {
    for name in ["first-top.toml", "press-bench.toml", "trailer-top.toml"] {
        for paper in [Paper::A4, Paper::Letter] {
            let (_, _, book) = made(&example(name), paper);
            assert!(book.remarks.is_empty(), "{name}: {:?}", book.remarks);
            for (number, page) in book.pages.iter().enumerate() {
                assert_eq!(wrong(page), Vec::<String>::new(), "{name}, {paper:?}, page {}", number + 1);
            }
        }
    }
}

/// Words of a length, in one of a few alphabets; two of them the type does not have.
fn word() -> impl Strategy<Value = String> {
    prop_oneof![
        6 => "[a-zA-Z]{1,12}",
        2 => "[a-z]{30,90}",
        1 => "[0-9]{1,4},[0-9] mm",
        1 => "[\u{5d0}-\u{5ea}]{2,12}",
        1 => "[\u{3b1}-\u{3c9}\u{430}-\u{44f}]{2,12}",
        1 => "[\u{4e00}-\u{4e40}]{1,60}",
        // before none of these does Unicode let a line end after a hyphen
        1 => "[-.,:;!?/)}\\]]{20,60}",
        1 => "[a-z]{3,9}(-[a-z]{3,9}){3,9}",
        1 => "https://[a-z]{5,12}\\.org/([a-z]{2,9}/){4,9}[a-z]{1,9}\\?[a-z]=[0-9]{9}",
    ]
}

fn text(words: std::ops::Range<usize>) -> impl Strategy<Value = String> {
    vec(word(), words).prop_map(|words| words.join(" "))
}

#[derive(Clone, Debug)]
struct Invented {
    name: String,
    note: String,
    bench: Vec<String>,
    cuts: Vec<(String, f64)>,
    letter: bool,
}

fn invented() -> impl Strategy<Value = Invented> {
    let long = prop_oneof![4 => text(0..30), 1 => text(400..2000)];
    let bench = vec(prop_oneof![3 => text(1..40), 1 => text(100..400)], 0..3);
    let cuts = vec((text(1..8), prop::sample::select(vec![90.0, 45.0, 67.5, 60.0])), 0..12);
    let cuts = prop_oneof![9 => cuts, 1 => vec((text(1..3), Just(90.0)), 50)];
    (text(1..14), long, bench, cuts, any::<bool>()).prop_map(|(name, note, bench, cuts, letter)| Invented {
        name,
        note,
        bench,
        cuts,
        letter,
    })
}

impl Invented {
    fn job(&self) -> String {
        // the trailer top has what cutting takes
        let mut job = example(if self.cuts.is_empty() { "first-top.toml" } else { "trailer-top.toml" });
        let name = job.lines().find(|line| line.starts_with("name")).expect("a name").to_owned();
        job = job.replacen(&name, &format!("name = {:?}", self.name), 1);
        let note = job.lines().find(|line| line.starts_with("note")).expect("a note").to_owned();
        job = job.replacen(&note, &format!("note = {:?}", self.note), 1);
        job = job.split("\n[[bench_note]]").next().unwrap_or_default().to_owned();
        for (i, note) in self.bench.iter().enumerate() {
            job += &format!("\n[[bench_note]]\ncard = {}\ntext = {note:?}\n", i + 1);
        }
        for (name, angle) in &self.cuts {
            job += &format!(
                "\n[[cut]]\nname = {name:?}\nangle = {angle}\nlength = 300\nat = \"far\"\nwidth = 85\nkerf = 2.2\n"
            );
        }
        job
    }
}

/// What is wrong with a book of such a job, in words.
fn wrong_with(invented: &Invented) -> Vec<String> {
    let paper = if invented.letter { Paper::Letter } else { Paper::A4 };
    let (job, plan, book) = made(&invented.job(), paper);
    let mut all = Vec::new();
    for (number, page) in book.pages.iter().enumerate() {
        all.extend(wrong(page).into_iter().map(|what| format!("page {}: {what}", number + 1)));
    }
    all.extend(book.remarks.iter().filter(|r| r.message.contains("taller than its page")).map(|r| r.message.clone()));
    let (said, listed, titles) =
        (letters(&book, Kind::Paragraph), letters(&book, Kind::Entry), letters(&book, Kind::Title));
    let times = |all: &str, text: &str| all.matches(&squeezed(text)).count();
    // on the cover, in the head or under it; what has no letters has nothing to stand
    let name = squeezed(&invented.name);
    let cover = &book.pages[0].scene.items;
    let cover: String = cover
        .iter()
        .filter_map(|item| match &item.shape {
            Shape::Measured { text, .. } => Some(squeezed(&text.replace(BROKEN, ""))),
            _ => None,
        })
        .collect();
    if !cover.contains(&name) {
        all.push(format!("the name is not on the cover: {}", invented.name));
    }
    let mut stands = |what: String, found: usize, wanted: std::ops::RangeInclusive<usize>| {
        if !wanted.contains(&found) {
            all.push(format!("{what} stands {found} times, not {wanted:?}"));
        }
    };
    if !squeezed(&invented.note).is_empty() {
        stands("the job's note".to_owned(), times(&said, &invented.note), 1..=usize::MAX);
    }
    for note in invented.bench.iter().filter(|note| squeezed(note).chars().count() > 20) {
        stands(format!("on its card {note}"), times(&said, note), 1..=1);
        stands(format!("in the summary {note}"), times(&listed, note), 1..=1);
    }
    for (name, _) in &invented.cuts {
        // in the head of its card, or under it where it has no room there
        stands(format!("a cut {name}"), times(&titles, name) + times(&said, name), 1..=usize::MAX);
    }
    // the cards' own words: each step and caution as often as there is one, and in their order
    let (mut steps, mut cautions) = (Vec::new(), Vec::new());
    for line in words::cards(&job, &plan).into_iter().flat_map(|card| card.lines) {
        match line {
            words::CardLine::Step(text) => steps.push(squeezed(&text.plain())),
            words::CardLine::Caution(text) => cautions.push(squeezed(&text.plain())),
        }
    }
    for (name, lines, text) in [("step", &steps, &listed), ("caution", &cautions, &said)] {
        let mut rest = text.as_str();
        for line in lines {
            match rest.find(line.as_str()) {
                Some(at) => rest = &rest[at + line.len()..],
                None => {
                    all.push(format!("{name} is missing, or out of its order: {line}"));
                    break;
                }
            }
        }
    }
    all
}

#[test]
fn on_pages_of_random_jobs_nothing_crosses_and_nothing_is_lost() {
    const CASES: u32 = 24;
    // the same jobs every time: a failure is looked into, not run again
    let rng = TestRng::deterministic_rng(RngAlgorithm::ChaCha);
    let config = Config { cases: CASES, failure_persistence: None, max_shrink_iters: 40, ..Config::default() };
    let run = TestRunner::new_with_rng(config, rng).run(&invented(), |invented| {
        prop_assert_eq!(wrong_with(&invented), Vec::<String>::new());
        Ok(())
    });
    run.unwrap_or_else(|error| panic!("{error}"));
}

/// What random jobs seldom have, each by itself.
#[test]
fn on_pages_of_jobs_at_the_limit_nothing_crosses_and_nothing_is_lost() {
    let plain = || Invented {
        name: "A bench".to_owned(),
        note: "A note.".to_owned(),
        bench: Vec::new(),
        cuts: Vec::new(),
        letter: false,
    };
    let numbered = |count: usize| (1..=count).map(|n| format!("{count}word{n}")).collect::<Vec<_>>().join(" ");
    let cases = [
        ("a name of 90 letters", Invented { name: "abcdefghij".repeat(9), ..plain() }),
        ("a name of 90 words", Invented { name: numbered(90), letter: true, ..plain() }),
        ("a name of 80 lines", Invented { name: (1..=80).map(|n| format!("line {n}\n")).collect(), ..plain() }),
        ("a note of 2,000 words", Invented { note: numbered(2000), ..plain() }),
        ("a note of 400 lines", Invented { note: (1..=400).map(|n| format!("line {n}\n")).collect(), ..plain() }),
        ("bench notes of 130 words and of 2,000", Invented { bench: vec![numbered(130), numbered(2000)], ..plain() }),
        (
            "a name from the right to the left",
            Invented { name: "\u{5e9}\u{5dc}\u{5d5}\u{5dd} 96 \u{5e9}\u{5dc}\u{5d5}\u{5dd}".to_owned(), ..plain() },
        ),
        ("fifty cuts", Invented { cuts: (1..=50).map(|n| (format!("cut number {n}"), 90.0)).collect(), ..plain() }),
    ];
    for (what, invented) in cases {
        assert_eq!(wrong_with(&invented), Vec::<String>::new(), "{what}");
    }
}

/// A list of parts, cuts and readings of invented values, for the trailer top.
const MORE: &str = r#"
[[cut]]
name = "octagon side"
angle = 67.5
length = 412
at = "far"
width = 85
kerf = 2.2

[[part]]
name = "cabinet side"
length = 720
width = 560
quantity = 8
grain = "length"

[[part]]
name = "a shelf with a name that takes more room than its column of the table has, and goes on"
length = 560
width = 340
quantity = 6
ends = [90, 67.5]

[[stock]]
name = "birch plywood 18"
length = 2440
width = 1220
quantity = 4
kerf = 2.2

[[instrument]]
name = "long caliper"
reads = ["distance"]
u = 0.05
minutes = 1.5

[[reading]]
kind = "distance"
between = ["A1", "G14"]
with = "long caliper"
value = 1431.9

[[reading]]
kind = "distance"
between = ["G1", "A14"]
with = "long caliper"
value = 1431.8
"#;

/// The whole book: cuts, the list of parts, what is proved.
fn whole(paper: Paper) -> Book {
    let text = format!("{}\n{MORE}", example("trailer-top.toml"));
    let parsed = holefast::job::parse(&text);
    let job = parsed.job.unwrap_or_else(|| panic!("{:?}", parsed.faults));
    let making = Making { paper, boards: 0, site: None, run: &holefast::predict::one_after_another, tell: &|_| () };
    let alone = holefast_paper::book::make(&text, &job, &making);
    alone.unwrap_or_else(|faults| panic!("{faults:?}")).book
}

#[test]
fn pages_of_cuts_parts_and_proof_have_room_for_all_of_it() {
    for paper in [Paper::A4, Paper::Letter] {
        let book = whole(paper);
        let titles: Vec<&str> =
            book.pages.iter().flat_map(|page| page.places.iter().map(|place| place.title.as_str())).collect();
        for title in ["octagon side", "List of parts", "List of parts: the cuts in order", "What is proved"] {
            let is = |found: &&str| *found == title || found.ends_with(&format!("  {title}"));
            assert!(titles.iter().any(is), "{title}: {titles:?}");
        }
        for (number, page) in book.pages.iter().enumerate() {
            assert_eq!(wrong(page), Vec::<String>::new(), "{paper:?}, page {}", number + 1);
        }
        let cells: String = book.pages.iter().map(cells).collect();
        for name in
            ["cabinet side", "a shelf with a name that takes more room than its column of the table has, and goes on"]
        {
            assert!(cells.contains(&squeezed(name)), "{name}: {cells}");
        }
    }
}

/// Letters of a page's cells, in order.
fn cells(page: &Page) -> String {
    let cells = page.reading.iter().filter(|passage| matches!(passage.kind, Kind::Cell { .. }));
    let items = cells.flat_map(|passage| &page.scene.items[passage.items.clone()]);
    let texts = items.filter_map(|item| match &item.shape {
        Shape::Measured { text, .. } => Some(squeezed(&text.replace(BROKEN, ""))),
        _ => None,
    });
    texts.collect()
}

#[test]
fn what_the_type_lacks_is_named_and_shown_as_something() {
    let job = example("first-top.toml").replacen(
        "First top, a board for",
        "First top, a board for \u{5e9}\u{5dc}\u{5d5}\u{5dd}",
        1,
    );
    let (_, _, mut book) = made(&job, Paper::A4);
    let said: Vec<&str> = book.remarks.iter().map(|remark| remark.message.as_str()).collect();
    assert_eq!(
        said,
        [
            "the book's font has no Hebrew \u{201c}\u{5d5}\u{201d} (U+05D5), Hebrew \u{201c}\u{5dc}\u{201d} (U+05DC), Hebrew \
          \u{201c}\u{5dd}\u{201d} (U+05DD), Hebrew \u{201c}\u{5e9}\u{201d} (U+05E9); a square is printed instead"
        ]
    );
    // the letters are in the PDF, whatever stands for them
    let pdf = book.pdf().expect("written");
    let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join("lacking.pdf");
    std::fs::write(&file, pdf).expect("written");
    let Ok(read) = std::process::Command::new("pdftotext").args(["-l", "1"]).arg(&file).arg("-").output() else {
        return;
    };
    let words = String::from_utf8_lossy(&read.stdout).into_owned();
    for letter in "\u{5e9}\u{5dc}\u{5d5}\u{5dd}".chars() {
        assert!(words.contains(letter), "{letter}: {words}");
    }
}

#[test]
fn a_book_holds_to_what_a_program_can_tell_of_pdf_for_universal_access() {
    for name in ["first-top.toml", "press-bench.toml", "trailer-top.toml"] {
        let (_, _, mut book) = made(&example(name), Paper::A4);
        book.accessible_pdf().unwrap_or_else(|fault| panic!("{name}: {}", fault.message));
    }
    whole(Paper::A4).accessible_pdf().unwrap_or_else(|fault| panic!("the whole: {}", fault.message));
}
