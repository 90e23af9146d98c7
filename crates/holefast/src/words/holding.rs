//! How bars and block are held, in words: from the plan's data alone.

use super::labels::edge_name;
use super::rich::bold;
use super::sentence::and;
use crate::drawing::{Edge, overhangs};
use crate::job::{Job, Units};
use crate::kit::{Limits, Trial};
use crate::math;
use crate::measure::format;
use crate::plan::{Beneath, Hold, HoldBy, Placed, Plan, Setup, Stage, Template, With};
use crate::top::Point;
use crate::top::outline::{foot_on, sides};

/// "Hold L1: clamp at the left end between holes 0 and 1, batten across between 9 and 10."
/// `None` where the plan does not say how.
pub fn of_bar(job: &Job, plan: &Plan, setup: &Setup, id: &str) -> Option<String> {
    let template = plan.template(id)?;
    let placed = setup.templates.iter().find(|t| t.id == id)?;
    let mut told: Vec<String> = Vec::new();
    for (n, h) in setup.hold.iter().filter(|h| h.template == id).enumerate() {
        let place = between(template, placed, h);
        // The word stands once: "between holes 0 and 1, between 9 and 10".
        let place = if n > 0 { place.replacen("holes ", "", 1) } else { place };
        let edge = edge_of(job, h).map_or("the nearest edge", edge_name);
        told.push(match &h.by {
            HoldBy::EdgeClamp => format!("clamp at {edge} {place}"),
            HoldBy::HoldDown(hole) => format!("hold-down in {hole} {place}"),
            HoldBy::Batten => format!("batten across {place}"),
            HoldBy::Tape => format!("double-sided tape under it {place}"),
        });
    }
    (!told.is_empty()).then(|| format!("Hold {}: {}.", bold(id), told.join(", ")))
}

/// Between which holes of a bar a pad stands.
fn between(template: &Template, placed: &Placed, hold: &Hold) -> String {
    let (s, c) = math::sin_cos(placed.turn_deg.to_radians());
    let along = (hold.x_mm - placed.x_mm) * c + (hold.y_mm - placed.y_mm) * s;
    let below = template.features.iter().rfind(|f| f.x_mm <= along);
    let above = template.features.iter().find(|f| f.x_mm > along);
    match (below, above) {
        (Some(a), Some(b)) => format!("between holes {} and {}", a.name, b.name),
        (Some(f), None) | (None, Some(f)) => format!("beyond hole {}", f.name),
        (None, None) => String::new(),
    }
}

/// The sheet's side to which an edge clamp's pad is nearest; `None` where that is a notch's.
fn edge_of(job: &Job, hold: &Hold) -> Option<Edge> {
    // A foot on a side of the sheet is on it to within rounding, mm.
    const ON: f64 = 1e-6;
    let pad = Point::new(hold.x_mm, hold.y_mm);
    let foot = sides(&job.top.outline)
        .map(|(a, b)| foot_on(pad, a, b))
        .min_by(|a, b| (*a - pad).hypot2().total_cmp(&(*b - pad).hypot2()))?;
    let off = sides_off(job, foot);
    off.into_iter().find(|(_, off)| off.abs() < ON).map(|(edge, _)| edge)
}

/// How far a place is from each side of the sheet, mm.
fn sides_off(job: &Job, p: Point) -> [(Edge, f64); 4] {
    [(Edge::Reference, p.y), (Edge::Far, job.top.width - p.y), (Edge::Left, p.x), (Edge::Right, job.top.length - p.x)]
}

/// Which edge a clamp takes, for those openings where that is not plainly the nearest: two are as
/// near to the eye, or another is free. "; at A1 and B14 from the left end".
fn edges_to_be_told(job: &Job, plan: &Plan, setups: &[&Setup]) -> String {
    // Two edges nearer alike than this are not told apart by eye, mm.
    const ALIKE: f64 = 25.0;
    let mut told: Vec<(Edge, Vec<String>)> = Vec::new();
    for setup in setups {
        let (Some(hold), Some(bore)) = (setup.hold.first(), setup.bores.first()) else { continue };
        let (Some(edge), Some(hole)) = (edge_of(job, hold), plan.hole(&bore.hole)) else { continue };
        let mut off = sides_off(job, Point::new(hole.x_mm, hole.y_mm));
        off.sort_by(|a, b| a.1.total_cmp(&b.1));
        if off[0].0 == edge && off[1].1 - off[0].1 >= ALIKE {
            continue;
        }
        match told.iter_mut().find(|(e, _)| *e == edge) {
            Some((_, holes)) => holes.push(bold(&bore.hole)),
            None => told.push((edge, vec![bold(&bore.hole)])),
        }
    }
    told.iter().map(|(edge, holes)| format!("; at {} from {}", and(holes), edge_name(*edge))).collect()
}

/// What must stand under the free ends of a set-up's bars outside the sheet, a sentence for each.
pub fn props(job: &Job, plan: &Plan, setup: &Setup) -> Vec<String> {
    setup
        .under
        .iter()
        .filter_map(|u| match u.what {
            Beneath::Prop(out) => {
                let placed = setup.templates.iter().find(|t| t.id == u.template);
                let over = placed.zip(plan.template(&u.template)).and_then(|(p, t)| overhangs(job, t, p).pop());
                let beyond =
                    over.map_or_else(String::new, |o| format!(" beyond {}, where people walk,", edge_name(o.edge)));
                Some(format!(
                    "{} level before you let go of it: it stands out {}{beyond} and would tip.",
                    bold(&format!("Prop the free end of {}", u.template)),
                    super::about_length(job.units, out)
                ))
            }
            Beneath::Packing(_) => None,
        })
        .collect()
}

/// True if a bar's free end is propped in this set-up.
pub fn is_propped(setup: &Setup, id: &str) -> bool {
    setup.under.iter().any(|u| u.template == id && matches!(u.what, Beneath::Prop(_)))
}

/// What is alike in how openings are held, for telling them in one card.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Held {
    /// By a clamp on the edge.
    EdgeClamp,
    /// By a hold-down in a finished hole.
    HoldDown,
    /// By a batten across.
    Batten,
    /// By tape.
    Tape,
    /// The plan does not say.
    NotSaid,
}

/// How an opening's block is held.
pub fn held(setup: &Setup) -> Held {
    setup.hold.first().map_or(Held::NotSaid, |hold| match hold.by {
        HoldBy::EdgeClamp => Held::EdgeClamp,
        HoldBy::HoldDown(_) => Held::HoldDown,
        HoldBy::Batten => Held::Batten,
        HoldBy::Tape => Held::Tape,
    })
}

/// The finished hole in which a hold-down stands for an opening.
pub fn hold_down_of(setup: &Setup) -> Option<&str> {
    match &setup.hold.first()?.by {
        HoldBy::HoldDown(hole) => Some(hole),
        HoldBy::EdgeClamp | HoldBy::Batten | HoldBy::Tape => None,
    }
}

/// The step that holds the block, for openings all held alike. `None` where the plan does not say.
pub fn of_block(job: &Job, plan: &Plan, id: &str, setups: &[&Setup]) -> Option<String> {
    let id = bold(id);
    Some(match setups.first().map_or(Held::NotSaid, |s| held(s)) {
        Held::EdgeClamp => {
            let edges = edges_to_be_told(job, plan, setups);
            format!(
                "Hold {id} with a clamp from the edge nearest to the hole, its pad as near the bush as it reaches{edges}."
            )
        }
        Held::HoldDown => format!(
            "Hold {id} with a hold-down, its pad beside the bush, in the finished dog hole that the list names."
        ),
        Held::Batten => format!(
            "Hold {id} with a batten across it beside the bush, clamped at both edges of the sheet, packed so that it \
             presses."
        ),
        Held::Tape => format!(
            "Nothing else reaches here: hold {id} with double-sided tape over its whole underside, the last resort. \
             Sheet and block clean and dry; lowest speed; stop if it creeps."
        ),
        Held::NotSaid => return None,
    })
}

/// "24 with an edge clamp, 25 with a hold-down"; `None` where nothing is said of these set-ups.
pub fn counts(setups: &[&Setup]) -> Option<String> {
    let opened = setups.iter().filter(|s| s.stage == Stage::Open && !s.check);
    let mut all = [0_usize; 4];
    for setup in opened {
        match held(setup) {
            Held::NotSaid => {}
            other => all[other as usize] += 1,
        }
    }
    let words = ["with an edge clamp", "with a hold-down", "under a batten", "on tape"];
    let parts: Vec<String> =
        all.iter().zip(words).filter(|(n, _)| **n > 0).map(|(n, word)| format!("{n} {word}")).collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}

/// Clamps that one set-up takes at most for its bars or block: a batten takes one at either edge.
pub fn clamps_at_once(plan: &Plan) -> usize {
    let of = |setup: &Setup| {
        let each = setup.hold.iter().map(|h| match h.by {
            HoldBy::EdgeClamp => 1,
            HoldBy::Batten => 2,
            HoldBy::HoldDown(_) | HoldBy::Tape => 0,
        });
        each.sum::<usize>()
    };
    plan.setups.iter().filter(|s| !s.done && !s.check).map(of).max().unwrap_or(0)
}

/// True if the block is anywhere located by the pilot bit in a sleeve.
pub fn needs_sleeve(plan: &Plan) -> bool {
    plan.setups.iter().filter(|s| !s.done).flat_map(|s| &s.pins).any(|p| p.with == With::Point)
}

/// By how much holes are reckoned wider than their bits, and whether that was measured.
pub fn oversize_in_use(job: &Job) -> Option<String> {
    let kit = job.kit.as_ref()?;
    let one = |hole: &str, over: Limits, readings: fn(&Trial) -> &[f64]| {
        let from = match job.trial.as_ref().map(readings).unwrap_or_default().len() {
            0 => "as the kit states".to_owned(),
            1 => "as a trial hole measured".to_owned(),
            n => format!("as {n} trial holes measured"),
        };
        format!("{hole} {} ({from})", limits(job.units, over))
    };
    Some(format!(
        "Reckoned over their bits: {}, {}.",
        one("pilots", kit.pilot_bit.oversize, |t| &t.pilot),
        one("dog holes", kit.opening_bit.oversize, |t| &t.dog)
    ))
}

/// Limits of an oversize, to a thousandth of a mm or a ten-thousandth of an inch.
fn limits(units: Units, over: Limits) -> String {
    format::limits(over, units)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{PlanOptions, make_plan};
    use crate::testing::trailer_top;
    use crate::top::lay_out;

    fn planned(change: impl FnOnce(&mut Job)) -> (Job, Plan) {
        let mut job = trailer_top();
        job.kit.as_mut().unwrap().block.size = Some([270.0, 60.0, 40.0]);
        change(&mut job);
        let plan = make_plan(&job, &lay_out(&job).unwrap(), &PlanOptions::default()).unwrap();
        (job, plan)
    }

    #[test]
    fn a_bar_s_holds_are_told_by_its_holes() {
        let (job, plan) = planned(|_| {});
        // Clamps in the gaps next to its ends, since a hole is bored through each.
        assert_eq!(
            of_bar(&job, &plan, &plan.setups[0], "L1").unwrap(),
            format!(
                "Hold {}: clamp at the reference edge between holes 0 and 1, clamp at the reference edge between 10 and 11.",
                bold("L1")
            )
        );
        assert_eq!(of_bar(&job, &plan, &plan.setups[0], "L2"), None);
    }

    #[test]
    fn every_part_of_the_openings_is_held_alike_and_its_hold_downs_are_finished() {
        let (job, plan) = planned(|_| {});
        let mut open: Vec<String> = Vec::new();
        for part in super::super::parts(&plan) {
            let setups: Vec<&Setup> = part.setups.iter().map(|&i| &plan.setups[i]).collect();
            assert!(setups.iter().all(|s| held(s) == held(setups[0])));
            let said = of_block(&job, &plan, "K1", &setups).unwrap();
            for setup in &setups {
                if let HoldBy::HoldDown(hole) = &setup.hold[0].by {
                    assert!(open.contains(hole), "{hole} is not finished when {} is opened", setup.bores[0].hole);
                    assert_eq!(hold_down_of(setup), Some(hole.as_str()));
                    assert!(said.contains("hold-down") && said.contains("the list names"), "{said}");
                }
                open.push(setup.bores[0].hole.clone());
            }
        }
        assert_eq!(open.len(), 98);
    }

    #[test]
    fn which_edge_is_told_where_the_eye_cannot_tell() {
        let (job, plan) = planned(|_| {});
        let edge_clamped: Vec<&Setup> =
            plan.setups.iter().filter(|s| s.stage == Stage::Open && held(s) == Held::EdgeClamp).collect();
        let said = edges_to_be_told(&job, &plan, &edge_clamped);
        // A1 stands 75 mm from the left end and 90 mm from the reference edge; A7 is plainly nearest to that.
        assert!(said.contains(&bold("A1")) && !said.contains(&bold("A7")), "{said}");
        let a1: Vec<&Setup> = edge_clamped.iter().copied().filter(|s| s.bores[0].hole == "A1").collect();
        assert_eq!(
            edges_to_be_told(&job, &plan, &a1),
            format!("; at {} from {}", bold("A1"), edge_name(edge_of(&job, &a1[0].hold[0]).unwrap()))
        );
    }

    #[test]
    fn battens_and_tape_are_told_and_counted() {
        let (job, plan) = planned(|job| job.kit.as_mut().unwrap().hold_down = Some(0.0));
        let openings: Vec<&Setup> = plan.setups.iter().filter(|s| s.stage == Stage::Open).collect();
        let counted = counts(&openings).unwrap();
        assert!(counted.contains("with an edge clamp") && counted.contains("under a batten"), "{counted}");
        let battened: Vec<&Setup> = openings.iter().copied().filter(|s| held(s) == Held::Batten).collect();
        assert!(of_block(&job, &plan, "K1", &battened).unwrap().contains("a batten across it beside the bush"));
        let mut taped = battened[0].clone();
        taped.hold[0].by = HoldBy::Tape;
        assert!(of_block(&job, &plan, "K1", &[&taped]).unwrap().contains("the last resort"));
        taped.hold.clear();
        assert_eq!((of_block(&job, &plan, "K1", &[&taped]), counts(&[&taped])), (None, None));
    }

    #[test]
    fn clamps_are_counted_where_most_are_needed() {
        let (_, plan) = planned(|_| {});
        // A triangle: two bars of two clamps each (common practice: one at either end).
        let triangle = plan.setups.iter().find(|s| s.stage == Stage::SquareColumns).unwrap();
        assert_eq!(triangle.hold.iter().filter(|h| h.by == HoldBy::EdgeClamp).count(), clamps_at_once(&plan));
        assert!(clamps_at_once(&plan) >= 3, "{triangle:?}");
        // No pair of neighbours at the corners of a full grid: there the sleeve is needed.
        assert!(needs_sleeve(&plan));
    }

    #[test]
    fn a_prop_is_told_where_a_bar_would_tip() {
        let (job, plan) = planned(|_| {});
        let triangle = plan.setups.iter().find(|s| s.stage == Stage::SquareColumns).unwrap();
        let said = props(&job, &plan, triangle);
        assert_eq!(said.len(), triangle.under.iter().filter(|u| matches!(u.what, Beneath::Prop(_))).count());
        assert!(said[0].contains("430"), "{said:?}");
    }

    #[test]
    fn which_oversize_is_in_use_is_said() {
        let mut job = trailer_top();
        assert_eq!(
            oversize_in_use(&job).unwrap(),
            "Reckoned over their bits: pilots 0.02 to 0.06 mm (as the kit states), dog holes 0 to 0.05 mm (as the kit states)."
        );
        let trial = Trial { pilot: vec![4.02, 4.04], dog: vec![20.03], u: 0.001, pin_goes: None, dog_goes: None };
        job.kit = job.kit.map(|kit| kit.after_trial(&trial));
        job.trial = Some(trial);
        assert_eq!(
            oversize_in_use(&job).unwrap(),
            "Reckoned over their bits: pilots 0 to 0.06 mm (as 2 trial holes measured), dog holes 0.028 to 0.032 mm (as a trial hole measured)."
        );
    }

    /// All that a card says in its steps and cautions, as plain text.
    fn text(card: &super::super::Card) -> String {
        let lines = card.lines.iter().map(|line| match line {
            super::super::CardLine::Step(rich) | super::super::CardLine::Caution(rich) => rich,
        });
        lines.flat_map(|rich| rich.runs.iter().map(|run| run.text.as_str()).chain(["\n"])).collect()
    }

    #[test]
    fn cards_say_how_everything_is_held_packed_and_propped() {
        let (job, plan) = planned(|_| {});
        let cards = super::super::cards(&job, &plan);
        for card in &cards {
            let text = text(card);
            let setups: Vec<&Setup> = card.setups.iter().map(|&i| &plan.setups[i]).collect();
            match held(setups[0]) {
                Held::HoldDown if setups[0].stage == Stage::Open => {
                    assert!(card.title.ends_with(", hold-down"), "{}", card.title);
                    for setup in &setups {
                        let HoldBy::HoldDown(hole) = &setup.hold[0].by else { panic!("{setup:?}") };
                        let line = card.openings.iter().find(|o| o.hole == setup.bores[0].hole).unwrap();
                        assert_eq!(line.hold_down.as_ref(), Some(hole));
                    }
                }
                _ if setups[0].stage == Stage::Open => {
                    assert!(card.title.ends_with(", edge clamp") && text.contains("from the edge nearest"), "{text}");
                }
                _ if setups[0].check => {}
                _ => {
                    for placed in &setups[0].templates {
                        assert!(text.contains(&format!("Hold {}: ", placed.id)), "{text}");
                    }
                }
            }
            for under in &setups[0].under {
                let said = match under.what {
                    Beneath::Packing(_) if setups[0].check => continue,
                    Beneath::Packing(_) => "up at ".to_owned(),
                    Beneath::Prop(_) => format!("Prop the free end of {} level", under.template),
                };
                assert!(text.contains(&said), "{said}: {text}");
            }
        }
        let lines = super::super::outline::lines(&job, &plan);
        assert!(lines.iter().any(|l| l.contains(" dog holes, ") && l.contains("with a hold-down")), "{lines:#?}");
    }
}
