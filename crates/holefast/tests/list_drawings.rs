//! Drawings of a list of parts, a few sheets at a time, and of the settings that its cuts are made with.

use holefast::breakdown::Effort;
use holefast::cut::Places;
use holefast::drawing::{Item, Role, Scene, Shape, parts_view, setting_view, sheets_view};
use holefast::parts::{break_down, on_top::on_top};

const TEXT: &str = concat!(include_str!("../../../examples/trailer-top.toml"), include_str!("lists/sixty-parts.toml"));
const ROOM: [f64; 2] = [186.0, 180.0];

/// All texts of a role.
fn texts<'a>(scene: &'a Scene, role: Role) -> Vec<&'a str> {
    let of = |item: &'a Item| match &item.shape {
        Shape::Text { text, .. } if item.role == role => Some(text.as_str()),
        _ => None,
    };
    scene.items.iter().filter_map(of).collect()
}

#[test]
fn sheets_are_drawn_a_few_at_a_time_each_as_among_all() {
    let job = holefast::job::parse(TEXT).job.expect("read");
    let list = break_down(&job, Effort { rounds: 500, seed: 1 }, &mut |_| true).expect("cut");
    let sheets = list.batches[0].breakdown.sheets.len();
    assert!(sheets >= 3, "{sheets}");
    let of_all = parts_view(&job, &list, ROOM);
    let all = texts(&of_all, Role::Note);
    let mut one_by_one = Vec::new();
    let pairs: Vec<Scene> =
        (0..sheets).step_by(2).map(|first| sheets_view(&job, &list, first..first + 2, ROOM)).collect();
    for (number, scene) in pairs.iter().enumerate() {
        let names = texts(scene, Role::Note);
        assert!(names[0].starts_with(&format!("{}: ", 2 * number + 1)), "{names:?}");
        assert!(scene.about.starts_with(&format!("Sheets {} to ", 2 * number + 1)), "{}", scene.about);
        // Fewer sheets to a drawing are drawn larger.
        assert!(scene.view.ratio < of_all.view.ratio);
        one_by_one.extend(names);
    }
    assert_eq!(one_by_one, all);
    assert_eq!(sheets_view(&job, &list, 0..usize::MAX, ROOM).items, of_all.items);
}

#[test]
fn a_setting_is_drawn_with_its_dogs_and_without_work() {
    let job = holefast::job::parse(TEXT).job.expect("read");
    let layout = holefast::top::lay_out(&job).expect("laid out");
    let places = Places::planned(&layout);
    let list = break_down(&job, Effort { rounds: 500, seed: 1 }, &mut |_| true).expect("cut");
    let top = on_top(&job, &places, &list, &mut |_| true).expect("the kit has a rail");
    for set_up in &top.set_ups {
        let scene = setting_view(&job, &layout, &places, set_up, ROOM);
        let has = |role: Role| scene.items.iter().any(|item| item.role == role);
        assert!(has(Role::Fence) && has(Role::GuideRail) && has(Role::CutLine));
        assert!(!has(Role::Piece) && !has(Role::Waste));
        for hole in set_up.pair.fence.holes.iter().chain(&set_up.pair.rail.holes) {
            let name = places.holes()[*hole].name.as_str();
            assert!(texts(&scene, Role::Name).contains(&name) && scene.about.contains(name), "{name}");
        }
    }
}
