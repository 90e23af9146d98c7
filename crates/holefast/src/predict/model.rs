//! A plan made ready for prediction: names resolved to indices, geometry worked out, and every
//! set-up split into the steps that seat together.
//!
//! Checks only what the prediction needs to be defined: that names exist, that what locates is
//! there and of the right sort, and that the locators fix the template. Whether hands can do it is
//! [`crate::replay`]'s matter.
//!
//! Frame: top's, mm and rad. A feature's lever is its nominal place relative to its template's
//! origin, turned into the top's frame.

use std::collections::BTreeMap;
use std::ops::Range;

use super::LEAST_CLEARANCE;
use super::climate::ClimateShift;
use super::linkage::Linkage;
use crate::fault::Fault;
use crate::kit::{Kit, Limits};
use crate::math;
use crate::plan::{Bit, HoleKind, Place, Plan, Setup, Stage, TemplateKind, With};

/// Standard deviation of the shift of a set-up placed by hand, per axis, mm, and of its turn, mm
/// over the template's length (docs/design/prediction.md 1).
pub(super) const BY_HAND: f64 = 0.5;

/// A plan made ready for prediction: names resolved, geometry worked out.
#[derive(Clone, Debug)]
pub struct Model {
    pub(super) holes: Vec<HoleSpec>,
    pub(super) features: Vec<FeatureSpec>,
    /// Bars, with their features.
    pub(super) bars: Vec<BarSpec>,
    pub(super) steps: Vec<Step>,
    pub(super) lays: Vec<Lay>,
    pub(super) locators: Vec<Locator>,
    pub(super) bores: Vec<BoreSpec>,
    /// Of each set-up: its number in the plan.
    pub(super) setup_numbers: Vec<u32>,
    pub(super) bits: Bits,
    /// What the air does between boring and use, where a climate is stated.
    pub(super) climate: Option<ClimateShift>,
}

/// What the kit says of the two bits.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bits {
    pub(super) pilot: BitSpec,
    pub(super) opening: BitSpec,
    /// Standard deviation of a dog hole's slope per axis, rad.
    pub(super) lean: f64,
    /// Height above the top at which lines are judged, mm.
    pub(super) height: f64,
}

#[derive(Clone, Copy, Debug)]
pub(super) struct BitSpec {
    pub(super) diameter: Limits,
    pub(super) clearance: Limits,
    pub(super) wander: f64,
    pub(super) oversize: Limits,
}

#[derive(Clone, Debug)]
pub(super) struct HoleSpec {
    pub(super) name: String,
    pub(super) x: f64,
    pub(super) y: f64,
    pub(super) row: Option<i32>,
    pub(super) column: Option<i32>,
    /// Step in which its pilot was bored, and the stage of that.
    pub(super) pilot_in: Option<(usize, Stage)>,
    /// True once it has been opened.
    pub(super) opened: bool,
    /// There before the first set-up, and how it got there is not known.
    pub(super) exists: Option<ExistsSpec>,
}

/// What is assumed of a hole that nobody knows the making of.
#[derive(Clone, Copy, Debug)]
pub(super) struct ExistsSpec {
    /// A dog hole, else a pilot.
    pub(super) dog: bool,
    /// Standard deviation of its centre per axis, mm.
    pub(super) scatter: f64,
}

/// A bar, its holes among the features.
#[derive(Clone, Debug)]
pub(super) struct BarSpec {
    /// As cards call it: L1.
    pub(super) name: String,
    pub(super) features: Range<usize>,
    /// Nominal place of each hole along the bar, mm.
    pub(super) at: Vec<f64>,
}

#[derive(Clone, Copy, Debug)]
pub(super) struct FeatureSpec {
    /// Half-width of the place's tolerance, mm.
    pub(super) position: f64,
    /// True on a block.
    pub(super) of_block: bool,
    pub(super) bore: Option<Limits>,
    pub(super) bore_dog: Option<Limits>,
}

/// One template as it lies in a step.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lay {
    /// Top's frame from the template's own, turned over included: [[xx, xy], [yx, yy]].
    pub(super) top_from_template: [[f64; 2]; 2],
    /// Distance between its outermost features, mm.
    pub(super) length: f64,
}

/// The far end of a locator.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum End {
    Pilot(usize),
    Dog(usize),
    /// A feature of another template of the step: which of the step's lays, feature, lever.
    Feature {
        lay: usize,
        feature: usize,
        lever: [f64; 2],
    },
}

/// What stands in a locator's two bores.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Stands {
    /// Pin, dog or gauge of these limits.
    Peg { diameter: Limits },
    /// The pilot bit through the bush: radial clearance is half the pilot's oversize plus the play
    /// in the bush of this bore (index into `bores`).
    Point { bore: usize },
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Locator {
    /// Which of the step's lays.
    pub(super) lay: usize,
    pub(super) feature: usize,
    pub(super) lever: [f64; 2],
    /// True where the dog's bore of the feature is used.
    pub(super) in_dog_bore: bool,
    pub(super) end: End,
    pub(super) stands: Stands,
    pub(super) gauge: bool,
    /// Radial clearance at mean diameters, mm.
    pub(super) mean_clearance: f64,
    /// Variance of the radial clearance, mm².
    pub(super) clearance_variance: f64,
    /// How far it may be forced when seating, mm.
    pub(super) give: f64,
}

#[derive(Clone, Copy, Debug)]
pub(super) struct BoreSpec {
    pub(super) lay: usize,
    pub(super) feature: usize,
    pub(super) lever: [f64; 2],
    pub(super) hole: usize,
    pub(super) bit: Bit,
}

/// How the templates of a step are held.
#[derive(Clone, Debug)]
pub(super) enum Hold {
    /// Rule and eye.
    ByHand,
    /// One template on two locators.
    TwoPins(TwoPins),
    /// Anything else that is fixed by its locators.
    Linkage(Box<Linkage>),
}

/// One template on two locators: the line of the two.
#[derive(Clone, Copy, Debug)]
pub(super) struct TwoPins {
    /// Unit vector from the first locator to the second.
    pub(super) along: [f64; 2],
    /// Their distance, mm.
    pub(super) span: f64,
}

/// Templates of one set-up that are linked with each other, seated together.
#[derive(Clone, Debug)]
pub(super) struct Step {
    /// Index of the set-up in the plan.
    pub(super) setup: usize,
    pub(super) check: bool,
    /// Done already: what did not seat in it is no longer of interest.
    pub(super) done: bool,
    /// A row or column between or beyond the frame's: where a bar may float or be pressed home.
    pub(super) fills: bool,
    pub(super) lays: Range<usize>,
    pub(super) locators: Range<usize>,
    pub(super) bores: Range<usize>,
    pub(super) hold: Hold,
}

impl Step {
    /// True if something can be off in it: it has more locators than fix it.
    pub(super) fn has_misfit(&self) -> bool {
        match &self.hold {
            Hold::ByHand => false,
            Hold::TwoPins(_) => true,
            Hold::Linkage(linkage) => linkage.is_over_determined(),
        }
    }
}

/// A quarter turn counter-clockwise.
pub(super) fn turned(v: [f64; 2]) -> [f64; 2] {
    [-v[1], v[0]]
}

pub(super) fn dot(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

pub(super) fn apply(m: &[[f64; 2]; 2], v: [f64; 2]) -> [f64; 2] {
    [dot(m[0], v), dot(m[1], v)]
}

/// Matrix from the template's frame to the top's; quarter turns are exact, so that what does not
/// depend on a bar's other axis has no trace of it.
fn top_from_template(turn_deg: f64, turned_over: bool) -> [[f64; 2]; 2] {
    let (sin, cos) = match turn_deg.rem_euclid(360.0) {
        0.0 => (0.0, 1.0),
        90.0 => (1.0, 0.0),
        180.0 => (0.0, -1.0),
        270.0 => (-1.0, 0.0),
        turn => math::sin_cos(turn.to_radians()),
    };
    let flip = if turned_over { -1.0 } else { 1.0 };
    [[cos, -sin * flip], [sin, cos * flip]]
}

/// Mean and variance of the part of a radial clearance that one bore leaves round a peg.
fn bore_clearance(bore: Limits, peg: Limits) -> f64 {
    (0.5 * (bore.mean() - peg.mean())).max(0.0)
}

/// Variance of a value rectangular between limits.
pub(super) fn rectangular_variance(limits: Limits) -> f64 {
    limits.width() * limits.width() / 12.0
}

struct TemplateSpec<'p> {
    first_feature: usize,
    features: &'p [crate::plan::Feature],
    length: f64,
}

impl TemplateSpec<'_> {
    fn find(&self, name: &str) -> Option<usize> {
        // A bar's holes stand in order under their own numbers.
        if let Some(i) = name.parse::<usize>().ok()
            && self.features.get(i).is_some_and(|f| f.name == name)
        {
            return Some(i);
        }
        self.features.iter().position(|f| f.name == name)
    }
}

struct Builder<'p> {
    model: Model,
    kit: &'p Kit,
    templates: BTreeMap<&'p str, TemplateSpec<'p>>,
    hole_names: BTreeMap<&'p str, usize>,
    faults: Vec<Fault>,
}

/// A feature found in a set-up: which of its templates, which feature of all, its lever.
#[derive(Clone, Copy)]
struct Found {
    placed: usize,
    feature: usize,
    lever: [f64; 2],
}

impl Model {
    /// Resolves a plan. Errors: faults naming a template, feature or hole that does not exist, a
    /// hole located on before it is bored, a locator that does not fit the sort of its bore, or a
    /// template that its locators leave loose.
    pub fn new(kit: &Kit, plan: &Plan) -> Result<Model, Vec<Fault>> {
        let mut builder = Builder::new(kit, plan);
        let first_left = plan.setups.iter().position(|s| !s.done).unwrap_or(plan.setups.len());
        for (index, setup) in plan.setups.iter().enumerate() {
            if index == first_left {
                builder.plug(&plan.plugged);
            }
            builder.setup(index, setup);
        }
        if builder.faults.is_empty() { Ok(builder.model) } else { Err(builder.faults) }
    }
}

impl<'p> Builder<'p> {
    fn new(kit: &'p Kit, plan: &'p Plan) -> Builder<'p> {
        let mut faults = Vec::new();
        let mut features = Vec::new();
        let mut bars = Vec::new();
        let mut templates = BTreeMap::new();
        for template in &plan.templates {
            let first_feature = features.len();
            features.extend(template.features.iter().map(|f| FeatureSpec {
                position: f.position_mm,
                of_block: template.kind == TemplateKind::Block,
                bore: f.bore_mm,
                bore_dog: f.bore_dog_mm,
            }));
            if template.kind == TemplateKind::Bar {
                bars.push(BarSpec {
                    name: template.id.clone(),
                    features: first_feature..features.len(),
                    at: template.features.iter().map(|f| f.x_mm).collect(),
                });
            }
            let length = match (template.features.first(), template.features.last()) {
                (Some(a), Some(b)) => math::hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm),
                _ => 0.0,
            };
            let spec = TemplateSpec { first_feature, features: &template.features, length };
            if templates.insert(template.id.as_str(), spec).is_some() {
                faults.push(Fault::input(format!("template {} stands in the plan twice", template.id)));
            }
        }
        let mut hole_names = BTreeMap::new();
        let mut holes = Vec::with_capacity(plan.holes.len());
        for (index, hole) in plan.holes.iter().enumerate() {
            if hole_names.insert(hole.name.as_str(), index).is_some() {
                faults.push(Fault::input(format!("hole {} stands in the plan twice", hole.name)));
            }
            let on_grid = matches!(hole.kind, HoleKind::Dog);
            holes.push(HoleSpec {
                name: hole.name.clone(),
                x: hole.x_mm,
                y: hole.y_mm,
                row: if on_grid { hole.row } else { None },
                column: if on_grid { hole.column } else { None },
                pilot_in: None,
                opened: false,
                exists: None,
            });
        }
        for exists in &plan.exists {
            match hole_names.get(exists.hole.as_str()) {
                Some(&hole) => {
                    holes[hole].opened = exists.dog;
                    holes[hole].exists = Some(ExistsSpec { dog: exists.dog, scatter: exists.scatter_mm });
                }
                None => {
                    faults.push(Fault::input(format!("{} exists and is not among the plan's holes", exists.hole)));
                }
            }
        }
        let bit = |diameter, clearance, wander, oversize| BitSpec { diameter, clearance, wander, oversize };
        let (p, o) = (&kit.pilot_bit, &kit.opening_bit);
        let model = Model {
            holes,
            features,
            bars,
            steps: Vec::with_capacity(plan.setups.len()),
            lays: Vec::with_capacity(plan.setups.len()),
            locators: Vec::with_capacity(2 * plan.setups.len()),
            bores: Vec::with_capacity(2 * plan.holes.len()),
            setup_numbers: plan.setups.iter().map(|s| s.number).collect(),
            bits: Bits {
                pilot: bit(p.diameter, p.clearance, p.wander, p.oversize),
                opening: bit(o.diameter, o.clearance, o.wander, o.oversize),
                lean: o.lean,
                height: kit.fence.as_ref().map_or(0.0, |f| f.height),
            },
            climate: None,
        };
        Builder { model, kit, templates, hole_names, faults }
    }

    fn fault(&mut self, setup: &Setup, what: std::fmt::Arguments<'_>) {
        self.faults.push(Fault::impossible(format!("set-up {}: {what}", setup.number)));
    }

    /// Holes that were bored and are wood again.
    fn plug(&mut self, plugged: &[String]) {
        for name in plugged {
            match self.hole_names.get(name.as_str()) {
                Some(&hole) => {
                    let spec = &mut self.model.holes[hole];
                    (spec.pilot_in, spec.opened, spec.exists) = (None, false, None);
                }
                None => self.faults.push(Fault::input(format!("{name} is plugged and not among the plan's holes"))),
            }
        }
    }

    fn setup(&mut self, index: usize, setup: &'p Setup) {
        let placed: Option<Vec<(&'p str, Lay)>> = setup
            .templates
            .iter()
            .map(|p| {
                let Some(spec) = self.templates.get(p.id.as_str()) else {
                    self.fault(setup, format_args!("template {} is not among the plan's templates", p.id));
                    return None;
                };
                let lay = Lay { top_from_template: top_from_template(p.turn_deg, p.turned_over), length: spec.length };
                Some((p.id.as_str(), lay))
            })
            .collect();
        let Some(placed) = placed else { return };

        // Templates joined by a pin seat together; `leader` names each group by its first.
        let mut leader: Vec<usize> = (0..placed.len()).collect();
        if placed.len() > 1 {
            for pin in &setup.pins {
                if let (Place::Feature { template: a, .. }, Place::Feature { template: b, .. }) = (&pin.a, &pin.b) {
                    let find = |id: &str| placed.iter().position(|(other, _)| *other == id);
                    if let (Some(a), Some(b)) = (find(a), find(b)) {
                        let (from, to) = (leader[a].max(leader[b]), leader[a].min(leader[b]));
                        leader.iter_mut().filter(|l| **l == from).for_each(|l| *l = to);
                    }
                }
            }
        }
        for first in 0..placed.len() {
            if leader[first] == first {
                self.step(index, setup, &placed, &leader, first);
            }
        }
        // What a set-up bores exists for the set-ups after it, not for its own locators: so the
        // bores are entered once all of its steps are seated.
        for step in self.model.steps.iter().enumerate().rev().take_while(|(_, s)| s.setup == index) {
            for bore in &self.model.bores[step.1.bores.clone()] {
                let hole = &mut self.model.holes[bore.hole];
                match bore.bit {
                    Bit::Pilot => hole.pilot_in = Some((step.0, setup.stage)),
                    Bit::Opening => hole.opened = true,
                }
            }
        }
    }

    /// Resolves `TEMPLATE:FEATURE` among the templates placed.
    fn feature(&mut self, setup: &Setup, placed: &[(&'p str, Lay)], template: &str, feature: &str) -> Option<Found> {
        let Some(which) = placed.iter().position(|(id, _)| *id == template) else {
            self.fault(setup, format_args!("{template}:{feature} is used, but {template} does not lie in this set-up"));
            return None;
        };
        let spec = &self.templates[template];
        let Some(found) = spec.find(feature) else {
            self.fault(setup, format_args!("{template} has no feature {feature}"));
            return None;
        };
        let nominal = [spec.features[found].x_mm, spec.features[found].y_mm];
        let lever = apply(&placed[which].1.top_from_template, nominal);
        Some(Found { placed: which, feature: spec.first_feature + found, lever })
    }

    fn hole(&mut self, setup: &Setup, name: &str) -> Option<usize> {
        let found = self.hole_names.get(name).copied();
        if found.is_none() {
            self.fault(setup, format_args!("hole {name} is not among the plan's holes"));
        }
        found
    }

    fn step(&mut self, index: usize, setup: &'p Setup, placed: &[(&'p str, Lay)], leader: &[usize], first: usize) {
        let faults_before = self.faults.len();
        let (first_lay, first_locator, first_bore) =
            (self.model.lays.len(), self.model.locators.len(), self.model.bores.len());
        // Position among the step's own lays, by position among the placed.
        let own = |which: usize| leader[..which].iter().filter(|&&l| l == first).count();
        self.model.lays.extend((0..placed.len()).filter(|&i| leader[i] == first).map(|i| placed[i].1));

        for bore in &setup.bores {
            let Place::Feature { template, feature } = &bore.feature else {
                if first == 0 {
                    self.fault(setup, format_args!("{} is bored through no template", bore.hole));
                }
                continue;
            };
            // Another step's bores, unless nobody's: those are named once.
            match placed.iter().position(|(id, _)| *id == template.as_str()) {
                Some(which) if leader[which] != first => continue,
                None if first != 0 => continue,
                _ => {}
            }
            let (Some(at), Some(hole)) = (self.feature(setup, placed, template, feature), self.hole(setup, &bore.hole))
            else {
                continue;
            };
            let spec = &self.model.holes[hole];
            let twice = self.model.bores[first_bore..].iter().any(|b| b.hole == hole && b.bit == bore.bit);
            match bore.bit {
                Bit::Pilot if spec.pilot_in.is_some() || spec.exists.is_some() || twice => {
                    self.fault(setup, format_args!("the pilot of {} is bored already", bore.hole));
                }
                Bit::Opening if spec.opened || twice => {
                    self.fault(setup, format_args!("{} is opened already", bore.hole));
                }
                _ => {}
            }
            let lay = own(at.placed);
            self.model.bores.push(BoreSpec { lay, feature: at.feature, lever: at.lever, hole, bit: bore.bit });
        }

        for pin in &setup.pins {
            // The template's end first, whichever way round it was written.
            let (a, b) = if matches!(pin.a, Place::Hole(_)) { (&pin.b, &pin.a) } else { (&pin.a, &pin.b) };
            let Place::Feature { template, feature } = a else {
                if first == 0 {
                    self.fault(
                        setup,
                        format_args!("a pin joins {} and {}: no template is located by it", pin.a, pin.b),
                    );
                }
                continue;
            };
            match placed.iter().position(|(id, _)| *id == template.as_str()) {
                Some(which) if leader[which] != first => continue,
                None if first != 0 => continue,
                _ => {}
            }
            let Some(at) = self.feature(setup, placed, template, feature) else { continue };
            let locator = match b {
                Place::Hole(name) => self.on_hole(setup, at, own(at.placed), name, pin.with, first_bore),
                Place::Feature { template, feature } => {
                    self.feature(setup, placed, template, feature).and_then(|far| {
                        let end = End::Feature { lay: own(far.placed), feature: far.feature, lever: far.lever };
                        self.on_template(setup, at, own(at.placed), end, far.feature, pin.with)
                    })
                }
            };
            self.model.locators.extend(locator);
        }
        if self.faults.len() > faults_before {
            return;
        }

        let lays = first_lay..self.model.lays.len();
        let locators = first_locator..self.model.locators.len();
        let bores = first_bore..self.model.bores.len();
        let held = &self.model.locators[locators.clone()];
        let hold = if held.is_empty() {
            if !setup.by_hand {
                self.fault(setup, format_args!("nothing locates {}", placed[first].0));
                return;
            }
            Some(Hold::ByHand)
        } else if lays.len() == 1 && held.len() == 2 {
            let [dx, dy] = [held[1].lever[0] - held[0].lever[0], held[1].lever[1] - held[0].lever[1]];
            let span = math::hypot(dx, dy);
            (span > 0.0).then(|| Hold::TwoPins(TwoPins { along: [dx / span, dy / span], span }))
        } else {
            Linkage::new(lays.len(), held).map(|l| Hold::Linkage(Box::new(l)))
        };
        match hold {
            Some(hold) => {
                let fills = matches!(setup.stage, Stage::Closing | Stage::Fill | Stage::Extend);
                self.model.steps.push(Step {
                    setup: index,
                    check: setup.check,
                    done: setup.done,
                    fills,
                    lays,
                    locators,
                    bores,
                    hold,
                });
            }
            None => {
                self.fault(setup, format_args!("the locators leave {} loose", placed[first].0));
                if let Some(fault) = self.faults.last_mut() {
                    fault.hint = Some("two pins, apart, hold a bar; three hold two bars linked".to_owned());
                }
            }
        }
    }

    fn on_hole(
        &mut self,
        setup: &Setup,
        at: Found,
        lay: usize,
        name: &str,
        with: With,
        first_bore: usize,
    ) -> Option<Locator> {
        let hole = self.hole(setup, name)?;
        let spec = &self.model.holes[hole];
        if spec.pilot_in.is_none() && !spec.opened && spec.exists.is_none() {
            self.fault(setup, format_args!("{name} is located on before it is bored"));
            return None;
        }
        let opened = spec.opened;
        let (pilot, opening) = (self.model.bits.pilot, self.model.bits.opening);
        if let With::Point = with {
            if opened {
                self.fault(setup, format_args!("the bit's point has no pilot in {name}: it is opened already"));
                return None;
            }
            let bore = (first_bore..self.model.bores.len())
                .find(|&b| self.model.bores[b].feature == at.feature && self.model.bores[b].bit == Bit::Opening);
            let Some(bore) = bore else {
                self.fault(setup, format_args!("the bit's point locates on {name}, but nothing is opened through it"));
                return None;
            };
            let clearance = opening.clearance;
            let mean = 0.5 * pilot.oversize.mean() + 0.5 * clearance.mean();
            return Some(Locator {
                lay,
                feature: at.feature,
                lever: at.lever,
                in_dog_bore: false,
                end: End::Pilot(hole),
                stands: Stands::Point { bore },
                gauge: false,
                mean_clearance: mean.max(LEAST_CLEARANCE),
                clearance_variance: 0.25 * (rectangular_variance(pilot.oversize) + rectangular_variance(clearance)),
                give: self.kit.give,
            });
        }
        let dog = matches!(with, With::Dog);
        if dog != opened {
            if opened {
                self.fault(setup, format_args!("a pin cannot stand in {name}: it is opened already"));
            } else {
                self.fault(setup, format_args!("a dog cannot stand in {name}: it is a pilot still"));
            }
            return None;
        }
        let bit = if opened { opening } else { pilot };
        let wood = Limits::new(bit.diameter.min + bit.oversize.min, bit.diameter.max + bit.oversize.max);
        let wood_variance = rectangular_variance(bit.diameter) + rectangular_variance(bit.oversize);
        let end = if opened { End::Dog(hole) } else { End::Pilot(hole) };
        self.pegged(setup, at, lay, end, with, (wood, wood_variance), self.kit.give)
    }

    fn on_template(
        &mut self,
        setup: &Setup,
        at: Found,
        lay: usize,
        end: End,
        far: usize,
        with: With,
    ) -> Option<Locator> {
        let far_bore = self.bore_for(setup, far, with)?;
        self.pegged(setup, at, lay, end, with, (far_bore, rectangular_variance(far_bore)), 0.0)
    }

    /// Bore of a feature for this sort of peg.
    fn bore_for(&mut self, setup: &Setup, feature: usize, with: With) -> Option<Limits> {
        let spec = &self.model.features[feature];
        let bore = if matches!(with, With::Dog) { spec.bore_dog } else { spec.bore };
        if bore.is_none() || matches!(with, With::Point) {
            self.fault(setup, format_args!("a pin or dog stands in a feature that has no bore for it"));
            return None;
        }
        bore
    }

    #[expect(clippy::too_many_arguments, reason = "all of a locator's parts, gathered by its two callers")]
    fn pegged(
        &mut self,
        setup: &Setup,
        at: Found,
        lay: usize,
        end: End,
        with: With,
        (far, far_variance): (Limits, f64),
        give: f64,
    ) -> Option<Locator> {
        let bore = self.bore_for(setup, at.feature, with)?;
        let diameter = match with {
            With::Dog => self.kit.dog.diameter,
            With::Gauge(limits) => limits,
            With::Pin | With::Point => self.kit.pin.diameter,
        };
        let mean = bore_clearance(bore, diameter) + bore_clearance(far, diameter);
        Some(Locator {
            lay,
            feature: at.feature,
            lever: at.lever,
            in_dog_bore: matches!(with, With::Dog),
            end,
            stands: Stands::Peg { diameter },
            gauge: matches!(with, With::Gauge(_)),
            mean_clearance: mean.max(LEAST_CLEARANCE),
            clearance_variance: 0.25 * (rectangular_variance(bore) + far_variance) + rectangular_variance(diameter),
            give,
        })
    }
}
