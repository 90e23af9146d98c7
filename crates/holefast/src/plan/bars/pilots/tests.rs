//! Set-ups of the pilots told as text, for patterns drawn in letters.

use super::*;
use crate::plan::Stage;
use crate::plan::bars::kit_bars::BarKind;
use crate::plan::bars::lattice::Frame;
use crate::plan::bars::triangle::triangles;

fn bars(holes: u32) -> BarSet {
    BarSet::of_kinds(vec![BarKind {
        name: "L".into(),
        count: 2,
        holes,
        pitch: 100.0,
        turn_over: true,
        beyond: 20.0,
        width: 40.0,
    }])
}

fn way(lattice: &Lattice, bars: &BarSet, second_column: i32, second_foot: i32) -> Way {
    let triangle = triangles(bars, lattice.pitch[0], 13)[0];
    Way {
        frame: Frame { corner: (0, 0), along: (0, 1), away: (1, 0) },
        triangle,
        second_column,
        second_foot,
        one_column_will_do: false,
        turn_column_bar: true,
        take_turns: true,
        columns_beyond: false,
        square_every: None,
        gauge_at: None,
        first_colour: 0,
    }
}

/// Each set-up as text: stage, bars, pins > bored.
fn told(pilots: &Pilots) -> Vec<String> {
    pilots
        .steps
        .iter()
        .map(|s| {
            let lays: Vec<String> =
                s.lays.iter().map(|l| format!("{}{}", l.bar + 1, if l.over { "over" } else { "" })).collect();
            let pins: Vec<String> = s
                .locators
                .iter()
                .map(|l| match l {
                    Locator::Hole { lay, hole, place } => format!("{lay}:{hole}@{},{}", place.0, place.1),
                    Locator::Joint { a, a_hole, b, b_hole } => format!("{a}:{a_hole}={b}:{b_hole}"),
                })
                .collect();
            let bores: Vec<String> = s.bores.iter().map(|b| format!("{},{}", b.0.0, b.0.1)).collect();
            let check = if s.check { " check" } else { "" };
            format!(
                "{}{check} bar {} pins {} bores {}",
                s.stage.name(),
                lays.join("+"),
                pins.join(" "),
                bores.join(" ")
            )
        })
        .collect()
}

fn planned(picture: &str, holes: u32, second: (i32, i32)) -> Pilots {
    let lattice = Lattice::drawn(picture);
    let bars = bars(holes);
    let way = way(&lattice, &bars, second.0, second.1);
    let needed = lattice.wanted().iter().map(|&p| way.frame.place(p)).collect();
    pilots(&lattice, &bars, &way, &needed)
}

#[test]
fn seven_rows_of_fourteen_from_a_common_foot() {
    let made = planned(&"oooooooooooooo ".repeat(7), 12, (8, 0));
    assert!(made.unreached.is_empty());
    let told = told(&made);
    assert_eq!(told.len(), 19, "{told:#?}");
    assert_eq!(told[0], "datum row bar 1 pins  bores 0,0 1,0 2,0 3,0 4,0 5,0 6,0 7,0 8,0 9,0 10,0 11,0");
    // One slide of two, on the two bored holes furthest apart in reach.
    assert_eq!(told[1], "datum row bar 1 pins 0:0@2,0 0:9@11,0 bores 12,0 13,0");
    assert_eq!(told[2], "square columns bar 1+2 pins 0:0@0,0 1:0@8,0 1:10=0:6 bores 0,1 0,2 0,3 0,4 0,5 0,6");
    assert_eq!(told[3], "square columns bar 1over+2 pins 0:0@8,0 1:0@0,0 1:10=0:6 bores 8,1 8,2 8,3 8,4 8,5 8,6");
    assert_eq!(told[4], "closing check bar 2 pins 0:0@0,6 0:8@8,6 bores ");
    assert_eq!(told[5], "fill bar 1 pins 0:0@0,6 0:8@8,6 bores 1,6 2,6 3,6 4,6 5,6 6,6 7,6 9,6 10,6 11,6");
    assert_eq!(told[6], "closing check bar 2 pins 0:0@8,6 0:10@0,0 bores ");
    assert_eq!(told[18], "extend bar 2over pins 0:0@2,6 0:9@11,6 bores 12,6 13,6");
}

#[test]
fn beyond_the_reach_bars_along_the_columns_take_fewer_set_ups() {
    let lattice = Lattice::drawn(&"oooooooooooooo ".repeat(7));
    let bars = bars(12);
    let way = Way { columns_beyond: true, ..way(&lattice, &bars, 8, 0) };
    let needed = lattice.wanted().iter().map(|&p| way.frame.place(p)).collect();
    let told = told(&pilots(&lattice, &bars, &way, &needed));
    // One slide of the far row and two columns, where every row by itself takes six slides.
    assert_eq!(
        told[13..],
        [
            "extend bar 1over pins 0:0@2,6 0:9@11,6 bores 12,6 13,6",
            "extend bar 2over pins 0:0@12,0 0:6@12,6 bores 12,1 12,2 12,3 12,4 12,5",
            "extend bar 1 pins 0:0@13,0 0:6@13,6 bores 13,1 13,2 13,3 13,4 13,5",
        ],
        "{told:#?}"
    );
}

#[test]
fn slides_differ_by_at_most_one_and_the_longer_go_first() {
    // 31 columns, bars of 11: 20 more at most 5 a slide: four slides of 5. 29: 18 more: 5, 5, 4, 4.
    for (columns, expected) in [(31, vec![5, 5, 5, 5]), (29, vec![5, 5, 4, 4]), (17, vec![3, 3])] {
        let made = planned(&format!("{} ", "o".repeat(columns)).repeat(7), 11, (8, 0));
        let slides: Vec<usize> =
            made.steps.iter().filter(|s| s.stage == Stage::DatumRow && !s.by_hand).map(|s| s.bores.len()).collect();
        assert_eq!(slides, expected, "{columns} columns");
    }
}

#[test]
fn a_row_already_barred_goes_on_by_slides_with_pins_far_apart() {
    let made = planned(&format!("{} ", "o".repeat(26)).repeat(20), 11, (8, 0));
    assert!(made.unreached.is_empty());
    for step in made.steps.iter().filter(|s| !s.by_hand && !s.check) {
        if let [Locator::Hole { hole: a, .. }, Locator::Hole { hole: b, .. }] = step.locators[..] {
            assert!(b - a >= 5, "{step:?}");
        }
    }
}

#[test]
fn helpers_appear_only_where_something_needs_them() {
    // A lone hole at the top right; the frame columns carry a pin in its row though no dog
    // hole is wanted there.
    let made = planned("............o ............. ooooooooooooo ooooooooooooo ooooooooooooo", 11, (8, 0));
    assert!(made.unreached.is_empty());
    let bored: BTreeSet<Place> = made.steps.iter().flat_map(|s| &s.bores).map(|b| b.0).collect();
    let helpers: Vec<Place> = bored.iter().copied().filter(|&(u, v)| v > 2 && (u, v) != (12, 4)).collect();
    assert!(helpers.contains(&(0, 4)) && helpers.contains(&(8, 4)), "{helpers:?}");
    assert!(helpers.iter().all(|p| p.1 == 4) && helpers.len() <= 4, "{helpers:?}");
}

#[test]
fn a_wall_of_forbidden_places_is_crossed_and_what_lies_behind_too_wide_a_one_is_named() {
    let wall = |width: usize| format!("ooooooooooo{}ooooo ", "x".repeat(width)).repeat(7);
    assert!(planned(&wall(4), 11, (8, 0)).unreached.is_empty());
    // 11 holes span 10 pitches: a bar held at its end by a triangle reaches ten steps on, no more.
    assert!(planned(&wall(9), 11, (8, 0)).unreached.is_empty());
    let made = planned(&wall(10), 11, (8, 0));
    assert_eq!(made.unreached.len(), 7 * 5);
    assert!(made.unreached.iter().all(|p| p.0 > 10));
}

#[test]
fn rows_beyond_the_column_bar_stand_on_columns_set_square_again() {
    let lattice = Lattice::drawn(&"oooooooooooooo ".repeat(20));
    let bars = bars(12);
    let way = Way { square_every: Some(10), ..way(&lattice, &bars, 8, 0) };
    let needed = lattice.wanted().iter().map(|&p| way.frame.place(p)).collect();
    let made = pilots(&lattice, &bars, &way, &needed);
    assert!(made.unreached.is_empty());
    let told = told(&made);
    let again = told.iter().rposition(|s| s.starts_with("square columns")).unwrap();
    // Columns 0 and 8 carry rows up to 10. In row 10 their holes are the column bar's, those of 1 and 9 the
    // row bar's: the next two columns stand there.
    let rows = |u: i32| (11..=19).map(|v| format!("{u},{v}")).collect::<Vec<_>>().join(" ");
    assert_eq!(
        told[again - 1..=again + 2],
        [
            format!("square columns bar 1+2 pins 0:0@1,10 1:0@9,10 1:10=0:6 bores {}", rows(1)),
            format!("square columns bar 1over+2 pins 0:0@9,10 1:0@1,10 1:10=0:6 bores {}", rows(9)),
            "closing check bar 2 pins 0:0@1,19 0:8@9,19 bores ".to_owned(),
            "fill bar 1over pins 0:1@1,19 0:9@9,19 bores 0,19 2,19 3,19 4,19 5,19 6,19 7,19 8,19 10,19 11,19"
                .to_owned(),
        ],
        "{told:#?}"
    );
    let first = |text: &str| told.iter().position(|s| s.contains(text)).unwrap();
    assert!(first("bores 1,10 ") < again && told[..again - 1].iter().all(|s| !s.contains("bores 1,11 ")));
    // No column slides, every row beyond the bars' reach does.
    assert_eq!(told.iter().filter(|s| s.starts_with("extend")).count(), 19);
}
