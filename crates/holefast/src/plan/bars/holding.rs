//! How bars and block are held, and the order of the openings that makes it possible.
//!
//! Pins locate, clamps hold: a big bit's torque on two small pins wrecks the pilots. An edge clamp
//! where it reaches, else a hold-down in a finished dog hole beside, else a batten across from edge
//! to edge, else tape. Within a pass any order opens the same holes on the same locators, so the
//! holes that edge clamps reach come first, and each that is opened may carry the hold-down for
//! the next. Which holes locate the block is `opening`'s choice and stays as it is.

use super::dimensions::tops;
use super::ground::Footprint;
use crate::job::Job;
use crate::kit::Kit;
use crate::kit::reach::{ASSUMED_HOLD_DOWN, BATTEN_HIGH, BESIDE_A_BIT, BESIDE_A_PIN, JAW, LONGEST_BATTEN, PAD};
use crate::math::hypot;
use crate::plan::{Bit, Hold, HoldBy, Place, Plan, Setup, Stage, TemplateKind, With};
use crate::top::{KeepOut, Point, Top};

/// Places for a pad are tried in steps of this, mm: finer than any hand sets a clamp.
const STEP: f64 = 5.0;

/// Two spots are equally good within this, mm.
const ALIKE: f64 = 0.5;

/// Puts the openings of each pass in an order in which they can be held, and writes into every
/// set-up how. Without a clamps' reach in the kit nothing is said and the order stays.
pub(super) fn arrange(job: &Job, kit: &Kit, plan: &mut Plan) {
    let Some(reach) = kit.clamp_reach else { return };
    let hold_down = kit.hold_down.unwrap_or(ASSUMED_HOLD_DOWN);
    let bench = Bench { top: &job.top, outline: &job.top.outline, keep_outs: &job.keep_outs, kit, reach, hold_down };
    let there = plan.exists.iter().filter(|e| e.dog).filter_map(|e| plan.hole(&e.hole));
    let mut open: Vec<DogHole> =
        there.map(|h| DogHole { name: h.name.clone(), at: Point::new(h.x_mm, h.y_mm) }).collect();
    let mut rest: Vec<Setup> = std::mem::take(&mut plan.setups);
    let mut done: Vec<Setup> = Vec::with_capacity(rest.len());
    while let Some(first) = rest.first() {
        let sort = |s: &Setup| (s.done, s.stage == Stage::Open && !s.check, s.pass);
        let of_first = sort(first);
        let opening = of_first.1;
        let same = |s: &Setup| sort(s) == of_first;
        let later = rest.split_off(rest.iter().position(|s| !same(s)).unwrap_or(rest.len()));
        let mut run = std::mem::replace(&mut rest, later);
        if opening {
            bench.openings(plan, &mut run, &mut open, &mut done);
        } else {
            for setup in &mut run {
                setup.hold = bench.bars(plan, setup, &open);
            }
            done.append(&mut run);
        }
    }
    for (number, setup) in (1..).zip(&mut done) {
        setup.number = number;
    }
    plan.setups = done;
}

/// What the maker must know of what was taken for granted; `None` if nothing was.
pub(super) fn assumed(job: &Job, kit: &Kit, plan: &Plan) -> Option<String> {
    let used = plan.setups.iter().flat_map(|s| &s.hold).any(|h| matches!(h.by, HoldBy::HoldDown(_)));
    (used && kit.hold_down.is_none()).then(|| {
        format!(
            "Assumed: a hold-down that stands in a finished dog hole and reaches {} from it; the kit names none (hold_down = 0 if you have none).",
            crate::words::about_length(job.units, ASSUMED_HOLD_DOWN)
        )
    })
}

/// A finished dog hole.
struct DogHole {
    name: String,
    at: Point,
}

/// The sheet and what can be clamped to it.
struct Bench<'a> {
    top: &'a Top,
    outline: &'a [Point],
    keep_outs: &'a [KeepOut],
    kit: &'a Kit,
    reach: f64,
    hold_down: f64,
}

/// A template of a set-up, and where a pad may stand on it.
struct Spots {
    id: String,
    footprint: Footprint,
    /// Possible middles of the pad: along and across from the template's middle, and on the top.
    spots: Vec<([f64; 2], Point)>,
    /// What is bored through it and stands in it.
    uses: Vec<Use>,
    /// The middle of what is used of it, along.
    middle: f64,
    /// How high above the sheet it is pressed, mm, where that is known.
    high: Option<f64>,
}

/// A locator or bit in a template.
struct Use {
    /// Along the template's middle line.
    along: f64,
    at: Point,
    /// From its middle to a pad's.
    room: f64,
    bored: bool,
    /// Of a dog that stands out above the template, its radius: nothing lies over it.
    proud: Option<f64>,
}

/// How good a spot is for holding.
#[derive(Clone, Copy)]
struct Worth {
    /// Along the template from the middle of what is used of it, mm; less is better.
    off: f64,
    /// To what carries the clamp, mm.
    distance: f64,
}

impl Worth {
    fn new(along: f64, distance: f64, far_out: bool) -> Worth {
        Worth { off: if far_out { -along.abs() } else { along.abs() }, distance }
    }

    fn is_better_than(self, other: Worth) -> bool {
        self.off < other.off - ALIKE || (self.off < other.off + ALIKE && self.distance < other.distance - ALIKE)
    }
}

impl Bench<'_> {
    /// One pass: takes from `run` and puts into `done` in an order that can be held.
    fn openings(&self, plan: &Plan, run: &mut Vec<Setup>, open: &mut Vec<DogHole>, done: &mut Vec<Setup>) {
        let mut waiting: Vec<(Setup, Option<Spots>)> = Vec::new();
        let mut finish = |mut setup: Setup, hold: Vec<Hold>, open: &mut Vec<DogHole>| {
            setup.hold = hold;
            for bore in setup.bores.iter().filter(|bore| bore.bit == Bit::Opening) {
                if let Some(hole) = plan.hole(&bore.hole) {
                    open.push(DogHole { name: hole.name.clone(), at: Point::new(hole.x_mm, hole.y_mm) });
                }
            }
            done.push(setup);
        };
        // From the edges inwards.
        for setup in run.drain(..) {
            let spots = self.spots(plan, &setup).into_iter().next();
            match spots.as_ref().and_then(|s| self.edge_clamp(s, &|_| true, false)) {
                Some(hold) => finish(setup, vec![hold], open),
                None => waiting.push((setup, spots)),
            }
        }
        while !waiting.is_empty() {
            let mut still = Vec::new();
            let before = waiting.len();
            for (setup, spots) in waiting {
                match spots.as_ref().and_then(|s| self.hold_down(s, &setup, open, &|_| true, false)) {
                    Some(hold) => finish(setup, vec![hold], open),
                    None => still.push((setup, spots)),
                }
            }
            waiting = still;
            if waiting.len() == before {
                // None has a finished hole beside it; when one is opened, others may have.
                let batten = |(_, spots): &(Setup, Option<Spots>)| self.batten(spots.as_ref()?, &|_| true, false);
                let (n, hold) = waiting
                    .iter()
                    .enumerate()
                    .find_map(|(n, one)| Some((n, batten(one)?)))
                    .map_or((0, None), |(n, hold)| (n, Some(hold)));
                let (setup, spots) = waiting.remove(n);
                let hold = hold.or_else(|| spots.map(|s| self.tape(&s, None)));
                finish(setup, hold.into_iter().collect(), open);
            }
        }
    }

    /// Every bar at both ends of what is used of it.
    fn bars(&self, plan: &Plan, setup: &Setup, open: &[DogHole]) -> Vec<Hold> {
        let mut all = Vec::new();
        for spots in self.spots(plan, setup) {
            for side in [-1.0, 1.0] {
                let here = |a: f64| side * (a - spots.middle) > 0.0;
                let hold = self
                    .edge_clamp(&spots, &here, true)
                    .or_else(|| self.hold_down(&spots, setup, open, &here, true))
                    .or_else(|| self.batten(&spots, &here, true))
                    .unwrap_or_else(|| self.tape(&spots, Some(side)));
                all.push(hold);
            }
        }
        all
    }

    /// True if a whole pad at `at` has the sheet under it.
    fn stands_on_the_sheet(&self, at: Point) -> bool {
        inside(self.outline, at)
            && self.outline.iter().enumerate().all(|(n, &p)| {
                let near = nearest_on(p, self.outline[(n + 1) % self.outline.len()], at);
                hypot(near.x - at.x, near.y - at.y) >= 0.5 * PAD
            })
    }

    fn spots(&self, plan: &Plan, setup: &Setup) -> Vec<Spots> {
        let lying: Vec<(&str, TemplateKind, Footprint)> = setup
            .templates
            .iter()
            .filter_map(|placed| {
                let template = plan.template(&placed.id)?;
                Some((placed.id.as_str(), template.kind, Footprint::of_placed(self.kit, template, placed)))
            })
            .collect();
        let highs = tops(self.kit, plan, setup);
        lying
            .iter()
            .enumerate()
            .map(|(n, &(id, kind, footprint))| {
                let high = highs.get(n).copied().flatten();
                let [half_length, half_width] = footprint.half();
                let [a, b] = [half_length, half_width].map(|half| (half - 0.5 * PAD).max(0.0));
                let uses = self.uses(plan, setup, id, &footprint, high);
                let steps = (a / STEP).floor() as i32;
                let alongs = (-steps..=steps).map(|i| f64::from(i) * STEP).chain([-a, a]);
                // A bar's pad stands on its middle line between two holes; the block is wider.
                let across = if kind == TemplateKind::Block && b > 0.0 { vec![0.0, -b, b] } else { vec![0.0] };
                let clear = |along: f64, off: f64, at: Point| {
                    uses.iter().all(|u| hypot(along - u.along, off) >= u.room)
                        && self.stands_on_the_sheet(at)
                        && lying.iter().enumerate().all(|(m, other)| m == n || other.2.distance(at) >= 0.5 * PAD)
                };
                let spots = alongs
                    .flat_map(|along| across.iter().map(move |&off| [along, off]))
                    .map(|[along, off]| ([along, off], footprint.at(along, off)))
                    .filter(|&([along, off], at)| clear(along, off, at))
                    .collect();
                let least = uses.iter().map(|u| u.along).fold(f64::INFINITY, f64::min);
                let most = uses.iter().map(|u| u.along).fold(f64::NEG_INFINITY, f64::max);
                let middle = if uses.is_empty() { 0.0 } else { 0.5 * (least + most) };
                Spots { id: id.to_owned(), footprint, spots, uses, middle, high }
            })
            .collect()
    }

    /// What stands in a template and is bored through it.
    fn uses(&self, plan: &Plan, setup: &Setup, id: &str, lies: &Footprint, high: Option<f64>) -> Vec<Use> {
        let feature_at = |place: &Place| {
            let Place::Feature { template, feature } = place else { return None };
            if template != id {
                return None;
            }
            let placed = setup.templates.iter().find(|t| t.id == id)?;
            let feature = plan.template(id)?.features.iter().find(|f| f.name == *feature)?;
            let (sin, cos) = crate::math::sin_cos(placed.turn_deg.to_radians());
            Some(Point::new(placed.x_mm + cos * feature.x_mm, placed.y_mm + sin * feature.x_mm))
        };
        let mut uses = Vec::new();
        let mut add = |at: Point, room: f64, bored: bool, proud: Option<f64>| {
            uses.push(Use { along: lies.local(at)[0], at, room, bored, proud });
        };
        let stands_out = matches!((self.kit.dog.height, high), (Some(dog), Some(high)) if dog > high);
        for pin in &setup.pins {
            let radius = 0.5
                * match pin.with {
                    With::Pin | With::Point => self.kit.pin.diameter.max,
                    With::Dog => self.kit.dog.diameter.max,
                    With::Gauge(limits) => limits.max,
                };
            for at in [&pin.a, &pin.b].into_iter().filter_map(feature_at) {
                add(at, BESIDE_A_PIN + radius, false, (stands_out && pin.with == With::Dog).then_some(radius));
            }
        }
        for bore in &setup.bores {
            let radius = 0.5
                * match bore.bit {
                    Bit::Pilot => self.kit.pilot_bit.diameter.max,
                    Bit::Opening => self.kit.opening_bit.diameter.max,
                };
            if let Some(at) = feature_at(&bore.feature) {
                add(at, BESIDE_A_BIT + radius, true, None);
            }
        }
        uses
    }

    /// A clamp on the edge nearest to its pad (the card names that one), where it is in reach and the
    /// way to it free: far out on a bar, near the bit on the block, where it holds best; among such
    /// spots the nearest to an edge.
    fn edge_clamp(&self, on: &Spots, here: &dyn Fn(f64) -> bool, far_out: bool) -> Option<Hold> {
        if !self.clamps_go_on(on.high, 0.0) {
            return None;
        }
        let mut best: Option<(Worth, Point)> = None;
        for &([along, _], at) in on.spots.iter().filter(|s| here(s.0[0])) {
            let sides = self.outline.iter().enumerate();
            let feet = sides.map(|(n, &p)| nearest_on(p, self.outline[(n + 1) % self.outline.len()], at));
            let far = |foot: &Point| hypot(foot.x - at.x, foot.y - at.y);
            let Some(foot) = feet.min_by(|a, b| far(a).total_cmp(&far(b))) else { continue };
            let distance = far(&foot);
            let worth = Worth::new(along - on.middle, distance, far_out);
            if distance > self.reach || best.is_some_and(|b| !worth.is_better_than(b.0)) {
                continue;
            }
            let jaw = Footprint::strip(at, foot, JAW);
            if is_off_the_bits(&jaw, &on.uses)
                && jaw.is_clear(self.keep_outs)
                && jaw.is_clear_below(self.keep_outs)
                && passes_over_none(&jaw, &on.uses)
            {
                best = Some((worth, at));
            }
        }
        best.map(|(_, at)| hold(on, HoldBy::EdgeClamp, at))
    }

    /// A hold-down in a finished hole within its reach that nothing stands in or lies over.
    fn hold_down(
        &self,
        on: &Spots,
        setup: &Setup,
        open: &[DogHole],
        here: &dyn Fn(f64) -> bool,
        far_out: bool,
    ) -> Option<Hold> {
        if matches!((self.kit.hold_down_high, on.high), (Some(most), Some(high)) if high > most) {
            return None;
        }
        let radius = 0.5 * self.kit.opening_bit.diameter.max;
        let used = |name: &str| {
            setup.pins.iter().any(|p| [&p.a, &p.b].iter().any(|e| matches!(e, Place::Hole(h) if h == name)))
        };
        let mut best: Option<(Worth, &DogHole, Point)> = None;
        for hole in open {
            let gap = on.footprint.distance(hole.at);
            if gap > self.hold_down || gap < radius || used(&hole.name) {
                continue;
            }
            for &([along, _], at) in on.spots.iter().filter(|s| here(s.0[0])) {
                let (dx, dy) = (hole.at.x - at.x, hole.at.y - at.y);
                if dx * dx + dy * dy > self.hold_down * self.hold_down {
                    continue;
                }
                let worth = Worth::new(along - on.middle, (dx * dx + dy * dy).sqrt(), far_out);
                if best.is_some_and(|b| !worth.is_better_than(b.0)) {
                    continue;
                }
                let arm = Footprint::strip(at, hole.at, JAW);
                if is_off_the_bits(&arm, &on.uses) && arm.is_clear(self.keep_outs) && passes_over_none(&arm, &on.uses) {
                    best = Some((worth, hole, at));
                }
            }
        }
        best.map(|(_, hole, at)| hold(on, HoldBy::HoldDown(hole.name.clone()), at))
    }

    /// True unless clamps are known not to open over sheet, template and what lies on it `more` high,
    /// or to have no room below the sheet.
    fn clamps_go_on(&self, high: Option<f64>, more: f64) -> bool {
        let too_wide = matches!((self.kit.clamp_opens, high), (Some(opens), Some(high)) if self.top.thickness + high + more > opens);
        let no_room = matches!((self.kit.clamp_below, self.top.free_below), (Some(below), Some(free)) if below > free);
        !too_wide && !no_room
    }

    /// A batten across the template, over a spot where nothing stands or is bored beneath it.
    fn batten(&self, on: &Spots, here: &dyn Fn(f64) -> bool, far_out: bool) -> Option<Hold> {
        if !self.clamps_go_on(on.high, BATTEN_HIGH) {
            return None;
        }
        let mut best: Option<(Worth, Point)> = None;
        for &([along, _], at) in on.spots.iter().filter(|s| here(s.0[0]) && s.0[1] == 0.0) {
            if on.uses.iter().any(|u| (along - u.along).abs() < u.room) {
                continue;
            }
            let worth = Worth::new(along - on.middle, 0.0, far_out);
            if best.is_some_and(|b| !worth.is_better_than(b.0)) {
                continue;
            }
            let side = on.footprint.at(along, 1.0);
            let across = (side.x - at.x, side.y - at.y);
            let ends = [1.0, -1.0].map(|sign| first_edge(self.outline, at, (sign * across.0, sign * across.1)));
            let [Some(a), Some(b)] = ends else { continue };
            if a + b > LONGEST_BATTEN {
                continue;
            }
            let [a, b] = [(a, 1.0), (-b, -1.0)].map(|(t, sign)| {
                let point = |t: f64| Point::new(at.x + t * across.0, at.y + t * across.1);
                (point(t), point(t - sign * JAW))
            });
            let clamped =
                [a, b].iter().all(|&(end, inward)| Footprint::strip(end, inward, JAW).is_clear_below(self.keep_outs));
            if clamped && Footprint::strip(a.0, b.0, JAW).is_clear(self.keep_outs) {
                best = Some((worth, at));
            }
        }
        best.map(|(_, at)| hold(on, HoldBy::Batten, at))
    }

    fn tape(&self, on: &Spots, side: Option<f64>) -> Hold {
        let half = on.footprint.half()[0];
        // Half-way between the middle of what is used and the end on that side.
        let along = side.map_or(0.0, |side| 0.5 * (on.middle + side * half));
        hold(on, HoldBy::Tape, on.footprint.at(along, 0.0))
    }
}

/// True if a jaw or arm lies over no dog that stands out above the template.
/// True if a clamp's or hold-down's arm leaves room for the drill everywhere.
fn is_off_the_bits(arm: &Footprint, uses: &[Use]) -> bool {
    uses.iter().filter(|u| u.bored).all(|u| arm.distance(u.at) >= u.room - 0.5 * JAW)
}

fn passes_over_none(arm: &Footprint, uses: &[Use]) -> bool {
    uses.iter().all(|u| u.proud.is_none_or(|radius| arm.distance(u.at) >= radius))
}

fn hold(on: &Spots, by: HoldBy, at: Point) -> Hold {
    // A tenth of a millimetre is finer than a clamp is set; noughts beyond it only fill the data.
    let rounded = |v: f64| (10.0 * v).round() / 10.0;
    Hold { template: on.id.clone(), by, x_mm: rounded(at.x), y_mm: rounded(at.y) }
}

/// The point of a line from `p` to `q` that is nearest to `at`.
fn nearest_on(p: Point, q: Point, at: Point) -> Point {
    let (dx, dy) = (q.x - p.x, q.y - p.y);
    let length2 = dx * dx + dy * dy;
    let t = if length2 > 0.0 { (((at.x - p.x) * dx + (at.y - p.y) * dy) / length2).clamp(0.0, 1.0) } else { 0.0 };
    Point::new(p.x + t * dx, p.y + t * dy)
}

/// True if a point lies within an outline.
fn inside(outline: &[Point], at: Point) -> bool {
    outline.iter().enumerate().fold(false, |inside, (n, p)| {
        let q = outline[(n + 1) % outline.len()];
        let crosses = (p.y > at.y) != (q.y > at.y) && at.x < p.x + (at.y - p.y) / (q.y - p.y) * (q.x - p.x);
        inside != crosses
    })
}

/// How far from a point within an outline its edge is first met in a direction of unit length, mm.
fn first_edge(outline: &[Point], from: Point, (dx, dy): (f64, f64)) -> Option<f64> {
    let mut first: Option<f64> = None;
    for (n, p) in outline.iter().enumerate() {
        let q = outline[(n + 1) % outline.len()];
        let (sx, sy) = (q.x - p.x, q.y - p.y);
        let across = dx * sy - dy * sx;
        if across == 0.0 {
            continue;
        }
        let t = ((p.x - from.x) * sy - (p.y - from.y) * sx) / across;
        let s = ((p.x - from.x) * dy - (p.y - from.y) * dx) / across;
        if t >= 0.0 && (0.0..=1.0).contains(&s) && first.is_none_or(|f| t < f) {
            first = Some(t);
        }
    }
    first
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::super::{PlanOptions, make_plan};
    use super::*;
    use crate::testing::{rail, trailer_top};
    use crate::top::lay_out;

    fn planned(change: impl FnOnce(&mut Job)) -> (Job, Plan) {
        let mut job = trailer_top();
        job.kit.as_mut().unwrap().block.size = Some([270.0, 60.0, 40.0]);
        change(&mut job);
        let plan = make_plan(&job, &lay_out(&job).unwrap(), &PlanOptions::default()).unwrap();
        (job, plan)
    }

    fn kit(job: &mut Job) -> &mut Kit {
        job.kit.as_mut().unwrap()
    }

    /// How many openings are held in each way: edge clamp, hold-down, batten, tape.
    fn count(plan: &Plan) -> [usize; 4] {
        let mut all = [0; 4];
        for hold in plan.setups.iter().filter(|s| s.stage == Stage::Open).flat_map(|s| &s.hold) {
            all[match hold.by {
                HoldBy::EdgeClamp => 0,
                HoldBy::HoldDown(_) => 1,
                HoldBy::Batten => 2,
                HoldBy::Tape => 3,
            }] += 1;
        }
        all
    }

    #[test]
    fn every_opening_of_the_trailer_top_is_held_from_the_edges_inwards() {
        let (job, plan) = planned(|_| {});
        let [clamps, hold_downs, battens, tapes] = count(&plan);
        assert_eq!((clamps + hold_downs, battens, tapes), (98, 0, 0));
        // Each hold-down stands in a hole opened before.
        let mut open = BTreeSet::new();
        for setup in plan.setups.iter().filter(|s| s.stage == Stage::Open) {
            for hold in &setup.hold {
                if let HoldBy::HoldDown(hole) = &hold.by {
                    assert!(open.contains(hole), "set-up {}: {hole}", setup.number);
                }
            }
            open.insert(setup.bores[0].hole.clone());
        }
        crate::replay::replay(&job, &plan).unwrap();
    }

    #[test]
    fn the_edge_that_a_card_names_leads_no_clamp_over_the_drill() {
        use kurbo::{Line, ParamCurveNearest};
        for text in [
            include_str!("../../../../../examples/trailer-top.toml"),
            include_str!("../../../../../examples/press-bench.toml"),
            include_str!("../../../../../examples/first-top.toml"),
        ] {
            let job = crate::job::parse(text).job.unwrap();
            let plan = make_plan(&job, &lay_out(&job).unwrap(), &PlanOptions::default()).unwrap();
            let outline = &job.top.outline;
            let mut seen = 0;
            for setup in plan.setups.iter().filter(|s| !s.check) {
                for hold in setup.hold.iter().filter(|h| h.by == HoldBy::EdgeClamp) {
                    let pad = Point::new(hold.x_mm, hold.y_mm);
                    let sides = (0..outline.len()).map(|n| Line::new(outline[n], outline[(n + 1) % outline.len()]));
                    let feet = sides.map(|side| (side.nearest(pad, 1e-9), side));
                    let (near, side) = feet.min_by(|a, b| a.0.distance_sq.total_cmp(&b.0.distance_sq)).unwrap();
                    let clamp = Line::new(pad, kurbo::ParamCurve::eval(&side, near.t));
                    for bore in setup
                        .bores
                        .iter()
                        .filter(|b| matches!(&b.feature, Place::Feature { template, .. } if *template == hold.template))
                    {
                        let hole = plan.hole(&bore.hole).unwrap();
                        let gap = clamp.nearest(Point::new(hole.x_mm, hole.y_mm), 1e-9).distance_sq.sqrt();
                        // Room for the chuck's half beside a bit of 3 mm at least; pads are told to a tenth.
                        assert!(gap >= BESIDE_A_BIT + 1.5 - 0.1, "{}: {gap:.1} mm at {hold:?}", bore.hole);
                        seen += 1;
                    }
                }
            }
            assert!(seen > 20, "{seen}");
        }
    }

    #[test]
    fn order_alone_changes_so_the_prediction_does_not() {
        let (_, held) = planned(|_| {});
        let (job, plain) = planned(|job| kit(job).clamp_reach = None);
        assert!(plain.setups.iter().all(|s| s.hold.is_empty()));
        let locators = |plan: &Plan| -> BTreeSet<String> {
            plan.setups.iter().map(|s| format!("{:?} {:?} {:?} {:?}", s.templates, s.pins, s.bores, s.pass)).collect()
        };
        assert!(locators(&held) == locators(&plain));
        let sd = |plan: &Plan| {
            crate::predict::Model::new(job.kit.as_ref().unwrap(), plan).unwrap().quick().square_sd.unwrap()
        };
        assert!((sd(&held) - sd(&plain)).abs() < 1e-9 * sd(&plain));
        assert!(plain.reasons.iter().any(|r| r.contains("the clamps' reach (how bars and block are held)")));
    }

    #[test]
    fn without_hold_downs_the_middle_takes_battens_and_what_they_do_not_reach_takes_tape() {
        let (job, plan) = planned(|job| kit(job).hold_down = Some(0.0));
        let [clamps, hold_downs, battens, tapes] = count(&plan);
        assert!(hold_downs == 0 && tapes == 0 && battens > 20 && clamps + battens == 98, "{:?}", count(&plan));
        crate::replay::replay(&job, &plan).unwrap();
        // A rail along both long edges below keeps battens' clamps off.
        let (job, plan) = planned(|job| {
            kit(job).hold_down = Some(0.0);
            job.keep_outs.push(rail("front apron", 0.0, 0.0, 1450.0, 20.0, 0.0));
        });
        let [_, _, battens, tapes] = count(&plan);
        assert!(battens < 20 && tapes > 0, "{:?}", count(&plan));
        crate::replay::replay(&job, &plan).unwrap();
    }

    #[test]
    fn clamps_that_open_too_little_or_have_no_room_below_are_not_planned() {
        // Sheet 21 and block 40: bars they hold, the block they do not.
        let (job, plan) = planned(|job| kit(job).clamp_opens = Some(60.0));
        let [clamps, hold_downs, battens, tapes] = count(&plan);
        assert!(clamps == 0 && battens == 0 && hold_downs > 50 && tapes > 0, "{:?}", count(&plan));
        assert!(plan.setups[0].hold.iter().all(|h| h.by == HoldBy::EdgeClamp));
        crate::replay::replay(&job, &plan).unwrap();
        let (job, plan) = planned(|job| (kit(job).clamp_below, job.top.free_below) = (Some(70.0), Some(45.0)));
        let by_clamps = |h: &Hold| matches!(h.by, HoldBy::EdgeClamp | HoldBy::Batten);
        assert!(!plan.setups.iter().flat_map(|s| &s.hold).any(by_clamps));
        crate::replay::replay(&job, &plan).unwrap();
    }

    #[test]
    fn hold_downs_press_no_higher_than_they_stand_and_lie_over_no_dog_that_stands_out() {
        let (job, low) = planned(|job| kit(job).hold_down_high = Some(39.0));
        assert_eq!(count(&low)[1], 0);
        crate::replay::replay(&job, &low).unwrap();
        let (job, proud) = planned(|job| kit(job).dog.height = Some(60.0));
        crate::replay::replay(&job, &proud).unwrap();
        let (_, flush) = planned(|job| kit(job).dog.height = Some(40.0));
        let says = crate::replay::replay(&job, &flush).unwrap_err().message;
        assert!(says.contains("would lie over a dog, which stands 20.0 mm out above it"), "{says}");
    }

    #[test]
    fn the_assumed_hold_down_is_said_and_a_stated_one_is_not() {
        let (_, plan) = planned(|_| {});
        assert!(plan.reasons.iter().any(|r| r.starts_with("Assumed: a hold-down") && r.contains("150\u{a0}mm")));
        let (_, plan) = planned(|job| kit(job).hold_down = Some(180.0));
        assert!(!plan.reasons.iter().any(|r| r.starts_with("Assumed: a hold-down")));
    }

    #[test]
    fn bars_are_held_on_both_sides_of_what_is_bored() {
        let (_, plan) = planned(|_| {});
        for setup in plan.setups.iter().filter(|s| s.stage != Stage::Open) {
            for placed in &setup.templates {
                assert_eq!(setup.hold.iter().filter(|h| h.template == placed.id).count(), 2, "set-up {}", setup.number);
            }
        }
        // The datum bar lies 90 mm from the reference edge: clamps reach it at both ends.
        assert!(plan.setups[0].hold.iter().all(|h| h.by == HoldBy::EdgeClamp));
    }
}
