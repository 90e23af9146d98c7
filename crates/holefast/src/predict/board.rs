//! Virtual boards: one simulated build each, `W` of them side by side, exactly by the model of
//! docs/design/prediction.md 1 and 2 and docs/design/plan.md 5: the actual diameters, seats uniform
//! over what the clearances allow, forced poses where they allow none.
//!
//! What a board is made of is drawn by number (`stream`), so a board is the same whichever lane,
//! block or thread works it out, with its checks or without. What is made of many boards is
//! `simulate`'s matter.
//!
//! Deviations in mm and rad in the top's frame, linear in the small poses.

#![allow(clippy::needless_range_loop, reason = "lane by lane across several arrays")]

use super::climate::ClimateShift;
use super::draws::Draws;
use super::lanes::{Lanes, Mask, normals, sin_cos_turns, sin_half_turn};
use super::linkage::Linkage;
use super::model::{BY_HAND, BitSpec, BoreSpec, End, Hold, Locator, Model, Stands, Step, TwoPins, turned};
use super::simulate::PER_METRE;
use super::stream::Streams;
use super::{LEAST_CLEARANCE, walk};
use crate::kit::Limits;
use crate::plan::Bit;

/// Tries of the seat's bounded rejection before the last candidate is taken: each is accepted with
/// 0.64 or better (0.85 when nothing is off), so this is reached once in 10²⁸.
const MOST_TRIES: u32 = 64;

/// State of `W` boards while they are being made.
#[derive(Clone, Debug)]
pub(super) struct Boards<const W: usize> {
    features: Vec<FeatureState<W>>,
    pub(super) holes: Vec<HoleState<W>>,
    bits: [Lanes<W>; 2],
    /// Boring set-ups that did not seat, for each board.
    pub(super) unseated: Lanes<W>,
    /// Which boards did not seat, by set-up in the plan.
    pub(super) unseated_in: Vec<Mask<W>>,
    /// What each check met, in order of the steps.
    pub(super) checks: Vec<CheckState<W>>,
}

#[derive(Clone, Copy, Debug)]
struct FeatureState<const W: usize> {
    /// In its template's frame, mm.
    offset: [Lanes<W>; 2],
    bore: Lanes<W>,
    bore_dog: Lanes<W>,
}

/// One hole of `W` boards.
#[derive(Clone, Copy, Debug)]
pub(super) struct HoleState<const W: usize> {
    /// Deviation of the pilot's centre, mm.
    pub(super) pilot: [Lanes<W>; 2],
    pilot_bore: Lanes<W>,
    /// Deviation of the dog hole's centre, mm.
    pub(super) dog: [Lanes<W>; 2],
    dog_bore: Lanes<W>,
    /// Slope of its axis, rad; drawn only where asked for.
    pub(super) slope: [Lanes<W>; 2],
}

/// What a check met.
#[derive(Clone, Debug)]
pub(super) struct CheckState<const W: usize> {
    /// Index of the step.
    pub(super) step: usize,
    pub(super) goes: Mask<W>,
    /// One bar on two locators: misfit along the bar and what the clearances take up, mm.
    pub(super) misfit: Lanes<W>,
    pub(super) limit: Lanes<W>,
    /// Linked bars: misfits and clearances of the locators, mm.
    pub(super) linked_misfit: Vec<Lanes<W>>,
    pub(super) linked_clearance: Vec<Lanes<W>>,
}

/// A step's templates at rest.
#[derive(Clone, Copy, Debug)]
struct Pose<const W: usize> {
    shift: [Lanes<W>; 2],
    /// Lever of the point that `shift` belongs to.
    at: [f64; 2],
    turn: Lanes<W>,
}

/// A step in the making.
#[derive(Clone, Copy)]
struct Making<'a, const W: usize> {
    model: &'a Model,
    draws: &'a Draws,
    streams: &'a Streams<W>,
    /// Of the model's steps.
    index: usize,
    step: &'a Step,
}

impl<'a, const W: usize> Making<'a, W> {
    #[inline(always)]
    fn locators(&self) -> &'a [Locator] {
        &self.model.locators[self.step.locators.clone()]
    }

    /// First draw of the step.
    #[inline(always)]
    fn first_draw(&self) -> u32 {
        self.draws.steps[self.index]
    }
}

/// Where a uniform number lies between limits.
#[inline(always)]
fn between<const W: usize>(limits: Limits, u: Lanes<W>) -> Lanes<W> {
    u.scaled(limits.width()) + Lanes::all(limits.min)
}

impl<const W: usize> Boards<W> {
    /// Room for the boards of a model.
    pub(super) fn new(model: &Model, setups: usize) -> Boards<W> {
        let nil = [Lanes::NIL; 2];
        let feature = FeatureState { offset: nil, bore: Lanes::NIL, bore_dog: Lanes::NIL };
        let hole = HoleState { pilot: nil, pilot_bore: Lanes::NIL, dog: nil, dog_bore: Lanes::NIL, slope: nil };
        Boards {
            features: vec![feature; model.features.len()],
            holes: vec![hole; model.holes.len()],
            bits: nil,
            unseated: Lanes::NIL,
            unseated_in: vec![Mask::NONE; setups],
            checks: Vec::new(),
        }
    }

    /// Makes the boards of these streams from bare sheets, with or without offering the checks up.
    #[inline(always)]
    pub(super) fn make(&mut self, model: &Model, draws: &Draws, streams: &Streams<W>, checks: bool) {
        self.checks.clear();
        self.unseated = Lanes::NIL;
        self.unseated_in.fill(Mask::NONE);
        let [pilot, opening, bars, moisture] = streams.uniforms(0, 0);
        self.bits = [between(model.bits.pilot.diameter, pilot), between(model.bits.opening.diameter, opening)];
        for (draw, &feature) in (1..).zip(&draws.features) {
            let spec = &model.features[feature];
            let [x, y, bore, bore_dog] = streams.uniforms(draw, 0);
            let place = Limits::new(-spec.position, spec.position);
            let nil = Limits::exact(0.0);
            self.features[feature] = FeatureState {
                offset: [between(place, x), between(place, y)],
                bore: between(spec.bore.unwrap_or(nil), bore),
                bore_dog: between(spec.bore_dog.unwrap_or(nil), bore_dog),
            };
        }
        for &(hole, draw) in &draws.existing {
            self.exists(model, hole, [streams.uniforms(draw, 0), streams.uniforms(draw + 1, 0)]);
        }
        for (index, step) in model.steps.iter().enumerate() {
            let of = Making { model, draws, streams, index, step };
            if step.check {
                if checks {
                    self.check(of);
                }
                continue;
            }
            match &step.hold {
                Hold::TwoPins(two) => {
                    let pose = self.two_pins(of, two);
                    self.bore(of, |_| pose);
                }
                Hold::ByHand => {
                    let first = of.first_draw();
                    let turn = |lay: usize| BY_HAND / model.lays[step.lays.start + lay].length.max(1.0);
                    self.bore(of, |lay| {
                        let [a, b, ..] = streams.uniforms(first + 2 * lay as u32, 0);
                        let [c, d, ..] = streams.uniforms(first + 2 * lay as u32 + 1, 0);
                        let ([x, y], [t, _]) = (normals(a, b), normals(c, d));
                        Pose { shift: [x.scaled(BY_HAND), y.scaled(BY_HAND)], at: [0.0; 2], turn: t.scaled(turn(lay)) }
                    });
                }
                Hold::Linkage(linkage) => {
                    let poses = self.linkage(of, linkage);
                    self.bore(of, |lay| poses[lay]);
                }
            }
        }
        if let Some(climate) = &model.climate {
            self.move_to_use(model, climate, bars, moisture);
        }
    }

    /// Moves every dog hole as the bars' scale and the sheet do between boring and use.
    fn move_to_use(&mut self, model: &Model, climate: &ClimateShift, bars: Lanes<W>, moisture: Lanes<W>) {
        let bars = between(Limits::new(-climate.bars, climate.bars), bars);
        let strain = [0, 1].map(|axis| {
            let off = climate.moisture[axis];
            let sheet = between(Limits::new(-off, off), moisture);
            (bars + sheet + Lanes::all(climate.known[axis])).scaled(1.0 / PER_METRE)
        });
        for (state, hole) in self.holes.iter_mut().zip(&model.holes).filter(|(_, h)| h.opened) {
            for (axis, nominal) in [hole.x, hole.y].into_iter().enumerate() {
                let place = state.dog[axis] + Lanes::all(nominal);
                state.dog[axis] = state.dog[axis] + strain[axis] * place;
            }
        }
    }

    /// A hole that was there before, from its two draws.
    fn exists(&mut self, model: &Model, hole: usize, [first, second]: [[Lanes<W>; 4]; 2]) {
        let Some(spec) = model.holes[hole].exists else { return };
        let centre = normals(first[0], first[1]);
        let slope = normals(second[0], second[1]);
        let scaled = |[x, y]: [Lanes<W>; 2], by: f64| [x.scaled(by), y.scaled(by)];
        let state = &mut self.holes[hole];
        if spec.dog {
            state.dog = scaled(centre, spec.scatter);
            state.dog_bore = self.bits[1] + between(model.bits.opening.oversize, first[2]);
            state.slope = scaled(slope, model.bits.lean);
        } else {
            state.pilot = scaled(centre, spec.scatter);
            state.pilot_bore = self.bits[0] + between(model.bits.pilot.oversize, first[2]);
        }
    }

    /// Offset of a feature's centre in the top's frame, mm.
    #[inline(always)]
    fn offset(&self, of: Making<'_, W>, lay: usize, feature: usize) -> [Lanes<W>; 2] {
        let [x, y] = self.features[feature].offset;
        let m = &of.model.lays[of.step.lays.start + lay].top_from_template;
        [x.scaled(m[0][0]) + y.scaled(m[0][1]), x.scaled(m[1][0]) + y.scaled(m[1][1])]
    }

    /// What a locator is off by, mm.
    #[inline(always)]
    fn misfit(&self, of: Making<'_, W>, locator: &Locator) -> [Lanes<W>; 2] {
        let near = self.offset(of, locator.lay, locator.feature);
        let far = match locator.end {
            End::Pilot(hole) => self.holes[hole].pilot,
            End::Dog(hole) => self.holes[hole].dog,
            End::Feature { lay, feature, .. } => self.offset(of, lay, feature),
        };
        [near[0] - far[0], near[1] - far[1]]
    }

    /// Radial clearance of a locator, mm; `u` draws the peg's diameter.
    #[inline(always)]
    fn clearance(&self, of: Making<'_, W>, locator: &Locator, u: Lanes<W>) -> Lanes<W> {
        let radial = match locator.stands {
            Stands::Peg { diameter } => {
                let peg = between(diameter, u);
                let bore_of = |feature: usize| {
                    let state = &self.features[feature];
                    if locator.in_dog_bore { state.bore_dog } else { state.bore }
                };
                let far = match locator.end {
                    End::Pilot(hole) => self.holes[hole].pilot_bore,
                    End::Dog(hole) => self.holes[hole].dog_bore,
                    End::Feature { feature, .. } => bore_of(feature),
                };
                let half = |bore: Lanes<W>| (bore - peg).scaled(0.5).max(Lanes::NIL);
                half(bore_of(locator.feature)) + half(far)
            }
            Stands::Point { bore } => {
                let End::Pilot(hole) = locator.end else { return Lanes::all(LEAST_CLEARANCE) };
                // The play in the bush that this opening will have: the same draw as in `bore`.
                let [c, ..] = of.streams.uniforms(of.draws.bores[bore], 0);
                let play = between(of.model.bits.opening.clearance, c);
                (self.holes[hole].pilot_bore - self.bits[0] + play).scaled(0.5)
            }
        };
        radial.max(Lanes::all(LEAST_CLEARANCE))
    }

    #[inline(always)]
    fn did_not_seat(&mut self, step: &Step, boards: Mask<W>) {
        if step.done {
            return;
        }
        let known = self.unseated_in[step.setup];
        for lane in 0..W {
            if boards.0[lane] && !known.0[lane] {
                self.unseated.0[lane] += 1.0;
            }
        }
        self.unseated_in[step.setup] = known.or(boards);
    }

    /// Misfit along the line of two locators, its across part, the clearances, and what is left of
    /// the numbers drawn.
    #[inline(always)]
    fn on_two(&self, of: Making<'_, W>, two: &TwoPins) -> ([Lanes<W>; 2], [Lanes<W>; 2], [Lanes<W>; 2], [Lanes<W>; 2]) {
        let [first, second] = [&of.locators()[0], &of.locators()[1]];
        let (e, n) = (two.along, turned(two.along));
        let c1 = self.misfit(of, first);
        let c2 = self.misfit(of, second);
        let apart = [c2[0] - c1[0], c2[1] - c1[1]];
        let along = apart[0].scaled(e[0]) + apart[1].scaled(e[1]);
        let across = apart[0].scaled(n[0]) + apart[1].scaled(n[1]);
        let [p1, p2, rest1, rest2] = of.streams.uniforms(of.first_draw(), 0);
        let r1 = self.clearance(of, first, p1);
        let r2 = self.clearance(of, second, p2);
        (c1, [along, across], [r1, r2], [rest1, rest2])
    }

    #[inline(always)]
    fn two_pins(&mut self, of: Making<'_, W>, two: &TwoPins) -> Pose<W> {
        let (c1, [g, across], [r1, r2], [w1, w2]) = self.on_two(of, two);
        let (e, n) = (two.along, turned(two.along));
        let excess = g.abs() - (r1 + r2);
        let forced = excess.above(Lanes::NIL);
        let mut u = along_slip(g, r1, r2, forced, |retry| of.streams.uniforms(of.first_draw() + 1, retry));
        let chord = |r: Lanes<W>, slip: Lanes<W>, w: Lanes<W>| {
            (r * r - slip * slip).max(Lanes::NIL).sqrt() * (w.scaled(2.0) - Lanes::all(1.0))
        };
        let mut v1 = chord(r1, u, w1);
        let mut v2 = chord(r2, u + g, w2);
        if forced.any() {
            // u = −sgn(g)(r1 + ½(|g| − r1 − r2)), across-slips nil.
            let by = r1 + excess.scaled(0.5);
            u = forced.choose(g.above(Lanes::NIL).choose(-by, by), u);
            v1 = forced.choose(Lanes::NIL, v1);
            v2 = forced.choose(Lanes::NIL, v2);
            let give = of.locators().iter().map(|l| l.give).sum();
            self.did_not_seat(of.step, excess.above(Lanes::all(give)));
        }
        Pose {
            shift: [u.scaled(e[0]) + v1.scaled(n[0]) - c1[0], u.scaled(e[1]) + v1.scaled(n[1]) - c1[1]],
            at: of.locators()[0].lever,
            turn: (v2 - v1 - across).scaled(1.0 / two.span),
        }
    }

    /// Bores what the step bores.
    #[inline(always)]
    fn bore(&mut self, of: Making<'_, W>, pose_of: impl Fn(usize) -> Pose<W>) {
        for index in of.step.bores.clone() {
            let bore = &of.model.bores[index];
            let bit = match bore.bit {
                Bit::Pilot => &of.model.bits.pilot,
                Bit::Opening => &of.model.bits.opening,
            };
            let pose = pose_of(bore.lay);
            let offset = self.offset(of, bore.lay, bore.feature);
            let first = of.streams.uniforms(of.draws.bores[index], 0);
            let second = of.streams.uniforms(of.draws.bores[index] + 1, 0);
            let centre = bored(bore, bit, &pose, offset, &first, &second);
            let hole = &mut self.holes[bore.hole];
            match bore.bit {
                Bit::Pilot => {
                    hole.pilot = centre;
                    hole.pilot_bore = self.bits[0] + between(bit.oversize, first[3]);
                }
                Bit::Opening => {
                    hole.dog = centre;
                    hole.dog_bore = self.bits[1] + between(bit.oversize, first[3]);
                    if of.draws.slopes[index] {
                        let [x, y] = normals(second[2], second[3]);
                        hole.slope = [x.scaled(of.model.bits.lean), y.scaled(of.model.bits.lean)];
                    }
                }
            }
        }
    }

    #[inline(always)]
    fn check(&mut self, of: Making<'_, W>) {
        let mut met = CheckState {
            step: of.index,
            goes: Mask([true; W]),
            misfit: Lanes::NIL,
            limit: Lanes::NIL,
            linked_misfit: Vec::new(),
            linked_clearance: Vec::new(),
        };
        match &of.step.hold {
            Hold::ByHand => {}
            Hold::TwoPins(two) => {
                let (_, [g, _], [r1, r2], _) = self.on_two(of, two);
                (met.misfit, met.limit) = (g, r1 + r2);
                met.goes = Mask((g.abs().above(met.limit)).0.map(|stops| !stops));
            }
            Hold::Linkage(linkage) => {
                let (misfit, clearances) = self.linked_misfits(of);
                for lane in 0..W {
                    met.goes.0[lane] = walk::seats(linkage, &of_lane(&misfit, lane), &of_lane(&clearances, lane));
                }
                (met.linked_misfit, met.linked_clearance) = (misfit, clearances);
            }
        }
        self.checks.push(met);
    }

    /// Misfits and clearances of a linkage's locators.
    fn linked_misfits(&self, of: Making<'_, W>) -> (Vec<Lanes<W>>, Vec<Lanes<W>>) {
        let locators = of.locators();
        let misfit = locators.iter().flat_map(|l| self.misfit(of, l)).collect();
        let clearances = (of.first_draw()..)
            .zip(locators)
            .map(|(draw, l)| {
                let [u, ..] = of.streams.uniforms(draw, 0);
                self.clearance(of, l, u)
            })
            .collect();
        (misfit, clearances)
    }

    fn linkage(&mut self, of: Making<'_, W>, linkage: &Linkage) -> Vec<Pose<W>> {
        let (misfit, clearances) = self.linked_misfits(of);
        let poses: Vec<Lanes<W>> = if linkage.is_over_determined() {
            let first = of.first_draw() + 2 * clearances.len() as u32;
            let locators = of.locators();
            let mut poses = vec![Lanes::NIL; linkage.slip_from_pose.columns];
            let mut unseated = Mask::NONE;
            for lane in 0..W {
                let (misfit, clearances) = (of_lane(&misfit, lane), of_lane(&clearances, lane));
                let give: Vec<f64> = locators.iter().map(|l| l.give).collect();
                let seat = walk::seat(linkage, &misfit, &clearances, &give, (&of.streams.lane(lane), first));
                unseated.0[lane] = !seat.seats;
                poses.iter_mut().zip(&seat.pose).for_each(|(p, &q)| p.0[lane] = q);
            }
            if unseated.any() {
                self.did_not_seat(of.step, unseated);
            }
            poses
        } else {
            // Each slip uniform in its disc, whatever the misfit.
            let first = of.first_draw() + clearances.len() as u32;
            let slips: Vec<Lanes<W>> = (first..)
                .zip(&clearances)
                .flat_map(|(draw, &r)| {
                    let [a, b, ..] = of.streams.uniforms(draw, 0);
                    let radius = r * a.sqrt();
                    let (sin, cos) = sin_cos_turns(b);
                    [radius * cos, radius * sin]
                })
                .zip(&misfit)
                .map(|(slip, &off)| slip - off)
                .collect();
            let inverse = &linkage.pose_from_slip;
            (0..inverse.rows)
                .map(|i| inverse.row(i).iter().zip(&slips).fold(Lanes::NIL, |sum, (&g, &s)| sum + s.scaled(g)))
                .collect()
        };
        poses.chunks_exact(3).map(|q| Pose { shift: [q[0], q[1]], at: [0.0; 2], turn: q[2] }).collect()
    }
}

/// Deviation of a bored centre: the template's rest, the feature's offset, the bit's play uniform
/// in a disc, its wander.
#[inline(always)]
fn bored<const W: usize>(
    bore: &BoreSpec,
    bit: &BitSpec,
    pose: &Pose<W>,
    offset: [Lanes<W>; 2],
    first: &[Lanes<W>; 4],
    second: &[Lanes<W>; 4],
) -> [Lanes<W>; 2] {
    let arm = turned([bore.lever[0] - pose.at[0], bore.lever[1] - pose.at[1]]);
    let radius = between(bit.clearance, first[0]).scaled(0.5) * first[1].sqrt();
    let (sin, cos) = sin_cos_turns(first[2]);
    let [x, y] = normals(second[0], second[1]);
    [
        pose.shift[0] + pose.turn.scaled(arm[0]) + offset[0] + radius * cos + x.scaled(bit.wander),
        pose.shift[1] + pose.turn.scaled(arm[1]) + offset[1] + radius * sin + y.scaled(bit.wander),
    ]
}

/// Draws the along-slip u of the first of two locators, with density in proportion to
/// √(r1² − u²)·√(r2² − (u + g)²) where both are real.
///
/// The two roots are √((u − lo)(hi − u)) · √((u − a)(b − u)) with lo, hi the inner and a, b the
/// outer of the discs' ends. The first is the semicircle's law on lo to hi: the x of a point
/// uniform in a disc. It is accepted by the ratio of the second to its greatest value there.
/// Boards in `skip` have nothing to draw.
#[inline(always)]
fn along_slip<const W: usize>(
    g: Lanes<W>,
    r1: Lanes<W>,
    r2: Lanes<W>,
    skip: Mask<W>,
    uniforms: impl Fn(u32) -> [Lanes<W>; 4],
) -> Lanes<W> {
    let (low1, low2, high1, high2) = (-r1, -r2 - g, r1, r2 - g);
    let (lo, hi) = (low1.max(low2), high1.min(high2));
    let (a, b) = (low1.min(low2), high1.max(high2));
    let (middle, half) = ((lo + hi).scaled(0.5), (hi - lo).scaled(0.5));
    // The outer factor is greatest at the middle of a, b or the end of lo, hi nearest to it.
    let summit = (a + b).scaled(0.5).max(lo).min(hi);
    let greatest = (summit - a) * (b - summit);
    let mut u = middle;
    let mut done = skip;
    for retry in 0..MOST_TRIES {
        let [p, q, w, _] = uniforms(retry);
        let candidate = middle + half * (p.sqrt() * sin_half_turn(q));
        u = done.choose(u, candidate);
        let refused = (w * w * greatest).above((candidate - a) * (b - candidate));
        for lane in 0..W {
            done.0[lane] |= !refused.0[lane];
        }
        if done.every() {
            break;
        }
    }
    u
}

/// One lane's numbers.
pub(super) fn of_lane<const W: usize>(of: &[Lanes<W>], lane: usize) -> Vec<f64> {
    of.iter().map(|l| l.0[lane]).collect()
}
