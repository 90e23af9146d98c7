//! The answers against those that searches for every cut by itself give.

use std::collections::BTreeMap;

use super::answers::{SERVED_AMONG, stop_for};
use super::asks::{self, Ask};
use super::lines::LONGEST_TO;
use super::tests::{SHEET, SHELVES, set_up_with, spread};
use super::*;
use crate::cut::{Arrangement, Dogs, Found, MOST_ARRANGEMENTS, Search, USUAL_TOLERANCE, kit_lengths, search_for};
use crate::top::lay_out;

/// Every cut looked for by itself, the longest first, and why one is not made looked for anew each time.
fn one_by_one(job: &Job, places: &Places, list: &CutList) -> OnTop {
    let dogs = Dogs::of(job);
    let asked = asks::all(job, list);
    let (mut set_ups, mut all) = (Vec::new(), BTreeMap::new());
    for angle in asked.angles() {
        let found_for = |ask: &Ask, width: Option<f64>, stopped: bool| {
            let (tolerance, kerf) = (USUAL_TOLERANCE, Some(ask.kerf()));
            let look = Search { wanted: angle, tolerance, best: MOST_ARRANGEMENTS, width, kerf, kept: None };
            search_for(job, places, &dogs, &look, ask.piece().as_ref().filter(|_| stopped))
        };
        let mut longest: Option<Option<f64>> = None;
        let mut open = asked.at(angle);
        while let Some(&(hardest, _)) = open.last() {
            let found = found_for(&hardest, Some(hardest.width()), true);
            let served = |a: &Arrangement| -> usize {
                let served = open.iter().filter(|(ask, _)| stop_for(job, places, &dogs, &a.pair, ask).is_some());
                served.map(|(_, times)| times).sum()
            };
            let mut best: Option<(&Arrangement, usize)> = None;
            for a in found.arrangements.iter().take(SERVED_AMONG) {
                if best.is_none_or(|(_, most)| served(a) > most) {
                    best = Some((a, served(a)));
                }
            }
            let Some((chosen, _)) = best else {
                open.pop();
                all.insert(hardest, Err(why_not(job, places, &dogs, &hardest, &found, &found_for, &mut longest)));
                continue;
            };
            let tested = Tested::of(job, places, &chosen.pair, angle);
            let room = chosen.room.clone().unwrap();
            set_ups.push(SetUp { wanted: angle, pair: chosen.pair, u: chosen.u, room, tested, cuts: 0 });
            open.retain(|(ask, _)| match stop_for(job, places, &dogs, &chosen.pair, ask) {
                Some(stop) => all.insert(*ask, Ok(How { set_up: set_ups.len() - 1, stop })).is_some(),
                None => true,
            });
        }
    }
    let mut cuts: Vec<TopCut> = Vec::new();
    for (batch, which, ask) in asked.cuts {
        let how = ask.map_or(Err(WhyNot::NoEdge), |ask| all[&ask].clone());
        cuts.push(TopCut { batch, which, runs: asked.runs[cuts.len()], how });
    }
    let set_ups = in_order_of_use(set_ups, &mut cuts);
    let errors = errors::of(job, list, &set_ups, &cuts);
    OnTop { set_ups, cuts, errors }
}

fn why_not(
    job: &Job,
    places: &Places,
    dogs: &Dogs,
    ask: &Ask,
    found: &Found,
    found_for: &impl Fn(&Ask, Option<f64>, bool) -> Found,
    longest: &mut Option<Option<f64>>,
) -> WhyNot {
    if found.pairs.is_empty() {
        return WhyNot::NoAngle([&found.nearest.below, &found.nearest.above].map(|p| p.map(|p| p.angle)));
    }
    let wide = found_for(ask, Some(ask.width()), false).arrangements;
    if !wide.is_empty() {
        let ranges = wide.iter().filter_map(|a| kit_lengths(job, places, dogs, &a.pair, ask.piece().as_ref()?));
        return WhyNot::NoStop(ranges.reduce(|a, b| [a[0].min(b[0]), a[1].max(b[1])]));
    }
    WhyNot::TooLong(*longest.get_or_insert_with(|| {
        let capacity = |found: Found| {
            found.arrangements.iter().filter_map(|a| Some(a.room.as_ref()?.capacity)).max_by(f64::total_cmp)
        };
        let mut most = capacity(found_for(ask, None, false))?;
        let mut beyond = ask.width();
        while beyond - most > LONGEST_TO {
            let middle = 0.5 * (most + beyond);
            match capacity(found_for(ask, Some(middle), false)) {
                Some(more) => most = more.max(middle),
                None => beyond = middle,
            }
        }
        Some(most)
    }))
}

/// How often each reason is given.
fn reasons(top: &OnTop) -> [usize; 4] {
    let mut out = [0; 4];
    for cut in &top.cuts {
        match cut.how {
            Ok(_) => out[0] += 1,
            Err(WhyNot::TooLong(_)) => out[1] += 1,
            Err(WhyNot::NoStop(_)) => out[2] += 1,
            Err(WhyNot::NoAngle(_)) => out[3] += 1,
            Err(_) => {}
        }
    }
    out
}

#[test]
fn the_whole_top_with_shelves_is_the_same() {
    let (job, list, places) = set_up_with(&format!("{SHEET}{SHELVES}"), 1500);
    let one_by_one = one_by_one(&job, &places, &list);
    assert_eq!(on_top(&job, &places, &list, &mut |_| true).unwrap(), one_by_one);
    assert!(reasons(&one_by_one)[..3].iter().all(|&n| n > 0), "{:?}", reasons(&one_by_one));
}

/// Parts of very many sizes, ends that are not square and an angle that is not met, two kerfs, on a part
/// of the top's holes, so that every reason is given and lengths lie close to what the holes reach.
#[test]
fn many_sizes_and_angles_on_few_holes_are_the_same() {
    let mut parts = String::new();
    for i in 0..24_usize {
        // spread over what the holes reach and beyond, no two alike
        let (length, width) = (130 + i * 389 % 900, 60 + i * 151 % 420);
        let ends = ["", "ends = [90, 45]\n", "", "ends = [60, 31]\n"][i % 4];
        parts += &format!(
            "[[part]]\nname = \"p{i}\"\nlength = {length}\nwidth = {width}\nthickness = {}\nquantity = {}\n{ends}",
            [18, 12][i % 2],
            1 + i % 3
        );
    }
    let stock = |name: &str, thickness: u32, kerf: f64| {
        format!(
            "[[stock]]\nname = \"{name}\"\nlength = 1800\nwidth = 900\nthickness = {thickness}\nquantity = 20\n\
             trim = 5\nkerf = {kerf}\n"
        )
    };
    let text = format!("{}{}{parts}", stock("thick", 18, 2.2), stock("thin", 12, 1.6));
    let (job, list, _) = set_up_with(&text, 200);
    for (rows, columns) in [(4, 7), (3, 10)] {
        let mut layout = lay_out(&job).unwrap();
        layout.holes.retain(|hole| hole.cell.is_some_and(|cell| cell.row < rows && cell.column < columns));
        let places = spread(&layout);
        let one_by_one = one_by_one(&job, &places, &list);
        let all = on_top(&job, &places, &list, &mut |_| true);
        assert_eq!(all.unwrap(), one_by_one, "{rows} {columns}");
        let reasons = reasons(&one_by_one);
        assert!(reasons[..3].iter().all(|&n| n > 0), "{reasons:?}");
    }
}
