//! The model of a build written on a tape: every pilot, every dog hole and every misfit as a
//! linear combination of the sources (docs/design/prediction.md 3).
//!
//! The mean seat moves with what it is located on by the weighted least-squares pose, the seat's
//! own spread has the second moments of the uniform seat at nominal geometry and mean diameters.
//! What is asked of the tape is `first_order`'s matter.

use super::Group;
use super::climate::ClimateShift;
use super::model::{BY_HAND, BitSpec, End, ExistsSpec, Hold, Lay, Locator, Model, Step, TwoPins, dot, turned};
use super::seat::{TwoPinMoments, two_pin_moments};
use super::simulate::PER_METRE;
use super::tape::{Node, Tape};
use crate::plan::Bit;

/// x and y of something.
pub(super) type Pair = [Node; 2];

/// How the bars of the fill come to rest on their two pins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Rest {
    /// Anywhere within both clearances.
    Afloat,
    /// Pressed home on the pin at one end, in all set-ups the same (0: nearer to the reference corner,
    /// 1: further): the bar follows that pin alone, anywhere within its own clearance, and the other
    /// only holds its turn.
    Home(usize),
}

/// A model on its tape.
#[derive(Clone, Debug)]
pub(super) struct Linear {
    pub(super) tape: Tape<Group>,
    /// Deviation of each hole's pilot, mm.
    pub(super) pilots: Vec<Option<Pair>>,
    /// Deviation of each dog hole, mm.
    pub(super) dogs: Vec<Option<Pair>>,
    /// Slope of each dog hole's axis, rad.
    pub(super) slopes: Vec<Option<Pair>>,
    /// Offset of each feature in its template's frame, mm; `None` where the plan uses none of it.
    pub(super) offsets: Vec<Option<Pair>>,
    /// Of each step: what no pose takes up, by the locators' components: one misfit a row.
    pub(super) misfits: Vec<Vec<Misfit>>,
}

/// A misfit of a step, to first order.
#[derive(Clone, Debug)]
pub(super) struct Misfit {
    /// As a combination of nodes, mm.
    pub(super) terms: Vec<(Node, f64)>,
    /// The greatest that the mean clearances take up, mm.
    pub(super) limit: f64,
    /// What `give` adds to it, mm.
    pub(super) give: f64,
    /// Variance of the limit, mm².
    pub(super) limit_variance: f64,
}

/// Where a step's templates come to rest: a point of the template and its turn.
struct Pose {
    /// Deviation of the point, mm.
    shift: Pair,
    /// Lever of the point.
    at: [f64; 2],
    /// Turn, rad.
    turn: Node,
}

struct Writer<'m> {
    model: &'m Model,
    rest: Rest,
    linear: Linear,
    /// Second moments already worked out, by pair of clearances: a plan has few.
    moments: Vec<([f64; 2], TwoPinMoments)>,
    bit_play: [f64; 2],
}

/// Standard deviation per axis of a bit's centre in its guide: uniform in a disc of half the
/// clearance, the clearance rectangular within its limits.
fn play(bit: &BitSpec) -> f64 {
    (bit.clearance.mean_square() / 16.0).sqrt()
}

impl Linear {
    /// Writes the tape of a model, every bar afloat.
    pub(super) fn of(model: &Model) -> Linear {
        Linear::at_rest(model, Rest::Afloat)
    }

    /// Writes the tape of a model whose bars come to rest so in the fill.
    pub(super) fn at_rest(model: &Model, rest: Rest) -> Linear {
        let holes = model.holes.len();
        let bits = &model.bits;
        let mut writer = Writer {
            model,
            rest,
            linear: Linear {
                tape: Tape::with_capacity(12 * model.steps.len() + 8 * model.bores.len()),
                pilots: vec![None; holes],
                dogs: vec![None; holes],
                slopes: vec![None; holes],
                offsets: vec![None; model.features.len()],
                misfits: Vec::with_capacity(model.steps.len()),
            },
            moments: Vec::new(),
            bit_play: [play(&bits.pilot), play(&bits.opening)],
        };
        for (hole, spec) in model.holes.iter().enumerate() {
            if let Some(exists) = spec.exists {
                writer.exists(hole, exists);
            }
        }
        for step in &model.steps {
            writer.step(step);
        }
        if let Some(climate) = &model.climate {
            writer.move_to_use(climate);
        }
        writer.linear
    }
}

impl Writer<'_> {
    fn source(&mut self, group: Group, sd: f64) -> Node {
        self.linear.tape.source(group, sd)
    }

    fn exists(&mut self, hole: usize, spec: ExistsSpec) {
        let centre = [0, 1].map(|_| self.source(Group::Existing, spec.scatter));
        if spec.dog {
            self.linear.dogs[hole] = Some(centre);
            let lean = self.model.bits.lean;
            self.linear.slopes[hole] = Some([0, 1].map(|_| self.source(Group::BitLean, lean)));
        } else {
            self.linear.pilots[hole] = Some(centre);
        }
    }

    /// Offset of a feature's centre from nominal, in its template's frame.
    fn offset(&mut self, feature: usize) -> Pair {
        if let Some(pair) = self.linear.offsets[feature] {
            return pair;
        }
        let spec = &self.model.features[feature];
        let group = if spec.of_block { Group::BlockSpacing } else { Group::BarSpacing };
        // Rectangular of half-width a: variance a²/3.
        let sd = spec.position / 3f64.sqrt();
        let pair = [self.source(group, sd), self.source(group, sd)];
        self.linear.offsets[feature] = Some(pair);
        pair
    }

    /// Offset of a feature's centre along one axis of the top.
    fn offset_terms(&mut self, lay: &Lay, feature: usize, axis: usize) -> [(Node, f64); 2] {
        let [x, y] = self.offset(feature);
        let row = lay.top_from_template[axis];
        [(x, row[0]), (y, row[1])]
    }

    /// What a locator is off by: offsets of the template's end less those of the far end.
    fn misfit(&mut self, lays: &[Lay], locator: &Locator) -> Pair {
        [0, 1].map(|axis| {
            let near = self.offset_terms(&lays[locator.lay], locator.feature, axis);
            let far = match locator.end {
                // Located on before it is bored is refused when the model is made.
                End::Pilot(hole) => self.linear.pilots[hole].map(|p| [(p[axis], -1.0), (p[axis], 0.0)]),
                End::Dog(hole) => self.linear.dogs[hole].map(|p| [(p[axis], -1.0), (p[axis], 0.0)]),
                End::Feature { lay, feature, .. } => {
                    Some(self.offset_terms(&lays[lay], feature, axis).map(|(node, factor)| (node, -factor)))
                }
            };
            match far {
                Some(far) => self.linear.tape.linear(&[near[0], near[1], far[0], far[1]]),
                None => self.linear.tape.linear(&near),
            }
        })
    }

    fn moments(&mut self, r1: f64, r2: f64) -> TwoPinMoments {
        if let Some(&(_, known)) = self.moments.iter().find(|(key, _)| *key == [r1, r2]) {
            return known;
        }
        let moments = two_pin_moments(r1, r2);
        self.moments.push(([r1, r2], moments));
        moments
    }

    fn step(&mut self, step: &Step) {
        let model = self.model;
        let lays = &model.lays[step.lays.clone()];
        let locators = &model.locators[step.locators.clone()];
        let (poses, misfits) = match &step.hold {
            Hold::ByHand => (self.by_hand(lays), Vec::new()),
            Hold::TwoPins(two) => self.two_pins(step, two, lays, locators),
            Hold::Linkage(_) => self.linkage(step, lays, locators),
        };
        self.linear.misfits.push(misfits);
        for bore in &model.bores[step.bores.clone()] {
            let pose = &poses[bore.lay];
            let arm = turned([bore.lever[0] - pose.at[0], bore.lever[1] - pose.at[1]]);
            let (bit, bit_play, groups) = match bore.bit {
                Bit::Pilot => (&model.bits.pilot, self.bit_play[0], [Group::BitPlay, Group::Wander]),
                Bit::Opening => (&model.bits.opening, self.bit_play[1], [Group::BushPlay, Group::OpeningWander]),
            };
            let centre = [0, 1].map(|axis| {
                let offset = self.offset_terms(&lays[bore.lay], bore.feature, axis);
                let play = self.source(groups[0], bit_play);
                let wander = self.source(groups[1], bit.wander);
                self.linear.tape.linear(&[
                    (pose.shift[axis], 1.0),
                    (pose.turn, arm[axis]),
                    offset[0],
                    offset[1],
                    (play, 1.0),
                    (wander, 1.0),
                ])
            });
            match bore.bit {
                Bit::Pilot => self.linear.pilots[bore.hole] = Some(centre),
                Bit::Opening => {
                    self.linear.dogs[bore.hole] = Some(centre);
                    let lean = model.bits.lean;
                    let slope = [self.source(Group::BitLean, lean), self.source(Group::BitLean, lean)];
                    self.linear.slopes[bore.hole] = Some(slope);
                }
            }
        }
    }

    /// Moves every dog hole as what the climate leaves open does; what is known of it has no spread.
    fn move_to_use(&mut self, climate: &ClimateShift) {
        // Rectangular of half-width a: variance a²/3. The sheet's two strains are off together.
        let per_mm = 1.0 / (PER_METRE * 3f64.sqrt());
        let bars = self.source(Group::Climate, climate.bars * per_mm);
        let moisture = self.source(Group::Climate, per_mm);
        for (hole, spec) in self.model.holes.iter().enumerate() {
            let Some(dog) = self.linear.dogs[hole] else { continue };
            let moved = [(dog[0], spec.x, climate.moisture[0]), (dog[1], spec.y, climate.moisture[1])]
                .map(|(dog, at, off)| self.linear.tape.linear(&[(dog, 1.0), (bars, at), (moisture, at * off)]));
            self.linear.dogs[hole] = Some(moved);
        }
    }

    fn by_hand(&mut self, lays: &[Lay]) -> Vec<Pose> {
        lays.iter()
            .map(|lay| Pose {
                shift: [self.source(Group::ByHand, BY_HAND), self.source(Group::ByHand, BY_HAND)],
                at: [0.0; 2],
                turn: self.source(Group::ByHand, BY_HAND / lay.length.max(1.0)),
            })
            .collect()
    }

    /// One template on two locators: u and v are slips along and across their line.
    fn two_pins(&mut self, step: &Step, two: &TwoPins, lays: &[Lay], locators: &[Locator]) -> (Vec<Pose>, Vec<Misfit>) {
        let (e, n) = (two.along, turned(two.along));
        let c1 = self.misfit(lays, &locators[0]);
        let c2 = self.misfit(lays, &locators[1]);
        let misfit = Misfit {
            terms: vec![(c2[0], e[0]), (c1[0], -e[0]), (c2[1], e[1]), (c1[1], -e[1])],
            limit: locators[0].mean_clearance + locators[1].mean_clearance,
            give: locators[0].give + locators[1].give,
            limit_variance: locators[0].clearance_variance + locators[1].clearance_variance,
        };
        if step.check {
            return (Vec::new(), vec![misfit]);
        }
        let (r1, r2) = (locators[0].mean_clearance, locators[1].mean_clearance);
        let (moments, share) = match self.rest {
            // Uniform in the disc of the pin that holds it: variance r²/4 per axis.
            Rest::Home(end) if step.fills => {
                let end = if e[0] + e[1] < 0.0 { 1 - end } else { end };
                let quarter = [r1 * r1 / 4.0, r2 * r2 / 4.0];
                (TwoPinMoments { along: quarter[end], across: quarter }, end as f64)
            }
            // Least squares shares the misfit g between the pins: u = −g r1²/(r1² + r2²).
            _ => (self.moments(r1, r2), r1 * r1 / (r1 * r1 + r2 * r2)),
        };
        let u = self.source(Group::Seat, moments.along.sqrt());
        let v = moments.across.map(|variance| self.source(Group::Seat, variance.sqrt()));
        let shift = [0, 1].map(|axis| {
            let s = e[axis] * share;
            let mine = |other: usize| if other == axis { -1.0 } else { 0.0 };
            self.linear.tape.linear(&[
                (c1[0], mine(0) + s * e[0]),
                (c1[1], mine(1) + s * e[1]),
                (c2[0], -s * e[0]),
                (c2[1], -s * e[1]),
                (u, e[axis]),
                (v[0], n[axis]),
            ])
        });
        let per = 1.0 / two.span;
        let turn = self.linear.tape.linear(&[
            (v[1], per),
            (v[0], -per),
            (c2[0], -n[0] * per),
            (c2[1], -n[1] * per),
            (c1[0], n[0] * per),
            (c1[1], n[1] * per),
        ]);
        (vec![Pose { shift, at: locators[0].lever, turn }], vec![misfit])
    }

    fn linkage(&mut self, step: &Step, lays: &[Lay], locators: &[Locator]) -> (Vec<Pose>, Vec<Misfit>) {
        let Hold::Linkage(linkage) = &step.hold else { return (Vec::new(), Vec::new()) };
        let offs: Vec<Node> = locators.iter().flat_map(|l| self.misfit(lays, l)).collect();
        let misfits = (0..linkage.misfits.rows)
            .map(|row| {
                let w = linkage.misfits.row(row);
                let mut misfit = Misfit {
                    terms: offs.iter().copied().zip(w.iter().copied()).collect(),
                    limit: 0.0,
                    give: 0.0,
                    limit_variance: 0.0,
                };
                for (k, locator) in locators.iter().enumerate() {
                    // A combination w of slips takes up at most Σ |w of k| r of k.
                    let weight = dot([w[2 * k], w[2 * k + 1]], [w[2 * k], w[2 * k + 1]]).sqrt();
                    misfit.limit += weight * locator.mean_clearance;
                    misfit.give += weight * locator.give;
                    misfit.limit_variance += weight * weight * locator.clearance_variance;
                }
                misfit
            })
            .collect();
        if step.check {
            return (Vec::new(), misfits);
        }
        let own: Vec<Node> = (0..linkage.spread.columns).map(|_| self.source(Group::Seat, 1.0)).collect();
        let pose: Vec<Node> = (0..3 * lays.len())
            .map(|i| {
                let mean = offs.iter().zip(linkage.pose_from_slip.row(i)).map(|(&node, &g)| (node, -g));
                let spread = own.iter().zip(linkage.spread.row(i)).map(|(&node, &s)| (node, s));
                let terms: Vec<(Node, f64)> = mean.chain(spread).collect();
                self.linear.tape.linear(&terms)
            })
            .collect();
        let poses = pose.chunks_exact(3).map(|q| Pose { shift: [q[0], q[1]], at: [0.0; 2], turn: q[2] }).collect();
        (poses, misfits)
    }
}
