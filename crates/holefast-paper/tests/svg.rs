//! Drawings as SVG, against golden files; and what must hold in any of them.

use std::path::Path;

use holefast::drawing::{OpeningsPart, Role, Scene, Shape, Theme, openings_view, setup_view, top_view};
use holefast::{Job, Layout, Plan};
use holefast_paper::svg;

fn example(name: &str) -> (Job, Layout, Plan) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name);
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let job = holefast::job::parse(&text).job.expect("the example is a job");
    let layout = holefast::top::lay_out(&job).expect("it is laid out");
    let plan = holefast::plan::make_plan(&job, &layout, &holefast::plan::PlanOptions::default()).expect("and planned");
    (job, layout, plan)
}

#[test]
fn the_first_tops_drawings_stay_as_they_were_looked_at() {
    let (job, layout, plan) = example("first-top.toml");
    crate::files::assert_golden("first-top.svg", &svg(&top_view(&job, &layout, [180.0, 130.0]), &Theme::LIGHT));
    let triangle = plan.setups.iter().position(|s| s.templates.len() == 2 && !s.check).expect("a triangle");
    crate::files::assert_golden(
        "first-top-triangle.svg",
        &svg(&setup_view(&job, &layout, &plan, triangle, [116.0, 98.0]), &Theme::PAPER),
    );
    let part = holefast::words::parts(&plan).remove(0);
    crate::files::assert_golden(
        "first-top-openings.svg",
        &svg(&openings_view(&job, &layout, &plan, &part, [190.0, 140.0]), &Theme::PAPER),
    );
}

fn count(scene: &Scene, role: Role) -> usize {
    scene.items.iter().filter(|i| i.role == role).count()
}

fn texts(scene: &Scene, role: Role) -> Vec<&str> {
    scene.texts().filter(|(r, _)| *r == role).map(|(_, t)| t).collect()
}

#[test]
fn the_layout_shows_every_hole_and_every_name_at_the_side() {
    let (job, layout, _) = example("trailer-top.toml");
    let scene = top_view(&job, &layout, [186.0, 130.0]);
    assert_eq!(count(&scene, Role::HoleWanted), layout.holes.len());
    let names = texts(&scene, Role::RowName);
    assert_eq!(names.len() as u32, layout.rows + layout.columns, "{names:?}");
    assert_eq!(texts(&scene, Role::KeepOutName).len(), job.keep_outs.len());
}

/// Each set-up's picture alone tells what the plan tells: names of all holes bored and pinned, a
/// ring for each bored one, a sign for each locator, the name of every bar.
#[test]
fn every_setups_picture_can_be_followed_without_words() {
    for name in ["trailer-top.toml", "first-top.toml", "press-bench.toml"] {
        let (job, layout, plan) = example(name);
        for (index, setup) in plan.setups.iter().enumerate().filter(|(_, s)| s.stage != holefast::plan::Stage::Open) {
            let scene = setup_view(&job, &layout, &plan, index, [116.0, 98.0]);
            let at = format!("{name}, set-up {}", setup.number);
            assert_eq!(count(&scene, Role::BoreNow), setup.bores.len(), "{at}: rings");
            assert_eq!(count(&scene, Role::Pin) + count(&scene, Role::Gauge), setup.pins.len(), "{at}: pins");
            let mut bored = texts(&scene, Role::BoreName);
            let mut wanted: Vec<&str> = setup.bores.iter().map(|b| b.hole.as_str()).collect();
            bored.sort_unstable();
            wanted.sort_unstable();
            assert_eq!(bored, wanted, "{at}");
            let names = texts(&scene, Role::BarName);
            for placed in &setup.templates {
                assert!(names.contains(&placed.id.as_str()), "{at}: {} is not named: {names:?}", placed.id);
            }
            labels_are_apart(&scene, &at);
        }
    }
}

/// Boxes of upright names do not overlap, and lie in the picture.
fn labels_are_apart(scene: &Scene, at: &str) {
    let boxes: Vec<(&str, [f64; 4])> = scene
        .items
        .iter()
        .filter_map(|i| match &i.shape {
            Shape::Text { at, text, size_paper_mm, anchor, turn_deg } if turn_deg.abs() < 1e-9 => {
                let bold = holefast::drawing::Style::of(i.role).bold;
                let w = holefast::drawing::text_width(text, bold) * size_paper_mm;
                let [x, y] = scene.view.to_paper(*at);
                let x = match anchor {
                    holefast::drawing::Anchor::Start => x,
                    holefast::drawing::Anchor::Middle => x - 0.5 * w,
                    holefast::drawing::Anchor::End => x - w,
                };
                Some((text.as_str(), [x, y - 0.72 * size_paper_mm, x + w, y]))
            }
            _ => None,
        })
        .collect();
    for (i, (a, p)) in boxes.iter().enumerate() {
        assert!(
            p[0] > -0.1 && p[1] > -0.1 && p[2] < scene.view.width() + 0.1 && p[3] < scene.view.height() + 0.1,
            "{at}: \"{a}\" leaves the picture: {p:?}"
        );
        for (b, q) in &boxes[i + 1..] {
            let over = p[2].min(q[2]) - p[0].max(q[0]) > 0.05 && p[3].min(q[3]) - p[1].max(q[1]) > 0.05;
            assert!(!over, "{at}: \"{a}\" {p:?} lies on \"{b}\" {q:?}");
        }
    }
}

#[test]
fn an_openings_picture_numbers_every_opening() {
    let (job, layout, plan) = example("trailer-top.toml");
    for part in holefast::words::parts(&plan) {
        let scene = openings_view(&job, &layout, &plan, &part, [192.0, 140.0]);
        let order = texts(&scene, Role::Order);
        let wanted: Vec<String> = (0..part.setups.len()).map(|n| (part.first + n).to_string()).collect();
        assert_eq!(order, wanted.iter().map(String::as_str).collect::<Vec<_>>());
        assert_eq!(count(&scene, Role::BoreNow), part.setups.len());
    }
    let nothing = openings_view(&job, &layout, &plan, &OpeningsPart { setups: Vec::new(), first: 1 }, [192.0, 140.0]);
    assert_eq!(count(&nothing, Role::BoreNow), 0);
}
