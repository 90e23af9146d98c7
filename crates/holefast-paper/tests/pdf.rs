//! The PDFs of the examples' books as other programs read them: poppler and qpdf open them without a word,
//! every hole stands in its place, the title, the list of places and the links are there.
//!
//! Where a reader is absent this is said, and a failure with CI=true.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use holefast::drawing::{Role, Scene, Shape};
use holefast::{Job, Layout};
use holefast_paper::{Book, BookOptions, Expectation, Paper, Site, book, digest};

const EXAMPLES: [&str; 3] = ["first-top.toml", "press-bench.toml", "trailer-top.toml"];

/// So far a hole's centre may stand from where the job has it, mm of paper.
const MOST_OFF: f64 = 0.02;

/// A printer's point, mm.
const PT: f64 = 25.4 / 72.0;

struct Made {
    job: Job,
    layout: Layout,
    book: Book,
    pdf: PathBuf,
}

fn made(name: &str, paper: Paper, of: &str) -> Made {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name);
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let job = holefast::job::parse(&text).job.expect("the example is a job");
    let layout = holefast::top::lay_out(&job).expect("laid out");
    let plan = holefast::plan::make_plan(&job, &layout, &holefast::plan::PlanOptions::default()).expect("planned");
    let site = Site { page: "https://bench.example/".to_owned(), job_text: text.clone() };
    let options = BookOptions { paper, digest: digest(&text), site: Some(site) };
    let expected = Expectation { square_within: Some(0.094), confidence: 0.95, ..Expectation::default() };
    let mut book = book(&job, &layout, &plan, &expected, &options);
    let pdf = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{of}-{name}-{paper:?}.pdf"));
    std::fs::write(&pdf, book.pdf().expect("written")).expect("kept");
    Made { job, layout, book, pdf }
}

/// What a program says of a file; `None` (after saying so) where there is no such program.
fn read(program: &str, args: &[&str], pdf: &Path, after: &[&str]) -> Option<Output> {
    let Ok(output) = Command::new(program).args(args).arg(pdf).args(after).output() else {
        let required = std::env::var("CI").is_ok_and(|v| v == "true");
        assert!(!required, "{program} is not installed, and with CI=true reading back may not be skipped");
        println!("skipped: {program} is not installed");
        return None;
    };
    Some(output)
}

#[test]
fn two_readers_open_every_book_without_a_word() {
    for name in EXAMPLES {
        for paper in [Paper::A4, Paper::Letter] {
            let made = made(name, paper, "read");
            let Some(poppler) = read("pdftotext", &[], &made.pdf, &["-"]) else { return };
            assert!(poppler.status.success() && poppler.stderr.is_empty(), "{name}: {poppler:?}");
            let pages = String::from_utf8_lossy(&poppler.stdout).matches('\u{c}').count();
            assert_eq!(pages, made.book.pages.len(), "{name}, {paper:?}");
            let Some(qpdf) = read("qpdf", &["--check"], &made.pdf, &[]) else { return };
            let said = String::from_utf8_lossy(&qpdf.stdout);
            assert!(qpdf.status.success() && qpdf.stderr.is_empty(), "{name}: {qpdf:?}");
            assert!(said.contains("No syntax or stream encoding errors found"), "{name}: {said}");
        }
    }
}

#[test]
fn title_places_and_links_are_there() {
    let made = made("trailer-top.toml", Paper::A4, "about");
    let Some(info) = read("pdfinfo", &[], &made.pdf, &[]) else { return };
    let info = String::from_utf8_lossy(&info.stdout).into_owned();
    assert!(info.contains(&format!("Title:           Shop book: {}", made.job.name)), "{info}");
    assert!(info.contains("Tagged:          yes"), "{info}");
    // every page of running matter and every card once
    let places: Vec<&String> = made.book.pages.iter().flat_map(|page| page.places.iter().map(|p| &p.title)).collect();
    for title in ["Kit and material", "Before you start: safety", "1  Datum row: A1 to A12", "Readings"] {
        assert_eq!(places.iter().filter(|place| **place == title).count(), 1, "{title}: {places:?}");
    }
    let Some(json) = read("qpdf", &["--json", "--json-key=outlines"], &made.pdf, &[]) else { return };
    let json = String::from_utf8_lossy(&json.stdout).into_owned();
    assert_eq!(json.matches("\"title\"").count(), places.len(), "{json}");
    // the summary's rows lead to their cards, the code on the cover to the page
    let Some(plain) = read("qpdf", &["--qdf", "--object-streams=disable"], &made.pdf, &["-"]) else { return };
    let plain = String::from_utf8_lossy(&plain.stdout).into_owned();
    assert!(plain.matches("/Subtype /Link").count() > 10, "links");
    assert!(plain.contains("(https://bench.example/)") && plain.contains("/Lang (en-GB)"));
}

/// Centres of all circles of a page's SVG as poppler writes it, mm from the upper left corner.
fn circles(svg: &str) -> Vec<[f64; 2]> {
    let mut all = Vec::new();
    for tag in svg.split("<path").skip(1) {
        let tag = tag.split('>').next().unwrap_or_default();
        let value = |key: &str| tag.split(&format!("{key}=\"")).nth(1).and_then(|t| t.split('"').next());
        let Some(d) = value(" d") else { continue };
        let m: Vec<f64> = value("transform")
            .and_then(|t| t.strip_prefix("matrix("))
            .map(|t| t.trim_end_matches(')').split([',', ' ']).filter_map(|n| n.trim().parse().ok()).collect())
            .unwrap_or_else(|| vec![1.0, 0.0, 0.0, 1.0, 0.0, 0.0]);
        for part in d.split('M').filter(|part| part.matches('C').count() == 4 && !part.contains('L')) {
            let numbers: Vec<f64> = part.split([' ', ',', 'C', 'Z']).filter_map(|n| n.parse().ok()).collect();
            // ends of the four quarters: the start and every third point
            let ends: Vec<[f64; 2]> = numbers.chunks_exact(2).step_by(3).take(4).map(|p| [p[0], p[1]]).collect();
            let [x, y] = [0, 1].map(|k| ends.iter().map(|end| end[k]).sum::<f64>() / 4.0);
            all.push([(m[0] * x + m[2] * y + m[4]) * PT, (m[1] * x + m[3] * y + m[5]) * PT]);
        }
    }
    all
}

/// Signs of holes that stand on their centres.
fn is_hole(role: Role) -> bool {
    matches!(role, Role::HoleWanted | Role::Pilot | Role::Opened | Role::BoreNow)
}

/// The holes of a drawing of the top that are signed by circles, as the job has them.
fn holes<'a>(scene: &'a Scene, layout: &'a Layout) -> impl Iterator<Item = [f64; 2]> + 'a {
    scene.items.iter().filter(|item| is_hole(item.role)).filter_map(|item| {
        let Shape::Circle { centre, .. } = &item.shape else { return None };
        let nearest = layout
            .holes
            .iter()
            .map(|hole| hole.centre)
            .min_by(|a, b| a.distance(centre.top).total_cmp(&b.distance(centre.top)))?;
        // the trial bore's drawing shows another board
        (nearest.distance(centre.top) < 1e-6 && scene.view.shows(nearest)).then_some([nearest.x, nearest.y])
    })
}

#[test]
fn every_hole_of_every_drawing_stands_where_the_job_has_it() {
    for (name, paper) in
        [("first-top.toml", Paper::A4), ("press-bench.toml", Paper::Letter), ("trailer-top.toml", Paper::A4)]
    {
        let made = made(name, paper, "holes");
        let (mut looked_at, mut farthest) = (0, 0.0_f64);
        for (number, page) in made.book.pages.iter().enumerate() {
            let insets: Vec<([f64; 2], &Scene)> = page
                .scene
                .items
                .iter()
                .filter_map(|item| match &item.shape {
                    Shape::Inset { at, scene } => Some((page.scene.view.to_paper(*at), &**scene)),
                    _ => None,
                })
                .collect();
            if !insets.iter().any(|(_, scene)| holes(scene, &made.layout).next().is_some()) {
                continue;
            }
            let page = (number + 1).to_string();
            let args = ["-svg", "-noshrink", "-nocenter", "-f", &page, "-l", &page];
            let Some(svg) = read("pdftocairo", &args, &made.pdf, &["-"]) else { return };
            let circles = circles(&String::from_utf8_lossy(&svg.stdout));
            for ([left, above], scene) in insets {
                let view = &scene.view;
                for [x, y] in holes(scene, &made.layout) {
                    // by the drawing's own scale and margins, from the job's own figures
                    let x = left + view.margin.left + (x - view.clip.x0) / view.ratio;
                    let y = above + view.margin.above + (view.clip.y1 - y) / view.ratio;
                    let off =
                        circles.iter().map(|c| holefast::math::hypot(c[0] - x, c[1] - y)).fold(f64::MAX, f64::min);
                    assert!(off <= MOST_OFF, "{name}, page {page}: a hole at {x:.3}, {y:.3} is {off:.3} mm off");
                    (looked_at, farthest) = (looked_at + 1, farthest.max(off));
                }
            }
        }
        println!("{name}: {looked_at} holes in drawings, the farthest {farthest:.4} mm off");
        assert!(looked_at > made.layout.holes.len() * 5, "{name}: only {looked_at} holes were found");
    }
}
