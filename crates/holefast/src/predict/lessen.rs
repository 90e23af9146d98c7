//! What would lessen the spread of square: each group of sources tried again with one thing of the
//! kit improved, the same plan predicted to first order with the kit so changed.
//!
//! Nothing here is a rule of thumb: what is returned is what the prediction says of this plan.

use super::{Group, Model};
use crate::fault::Fault;
use crate::kit::{Kit, Limits};
use crate::plan::{Plan, TemplateKind};

/// One thing of the kit that could be better.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Improvement {
    /// Bars' holes placed to half the tolerance.
    BarsPlacedCloser,
    /// Half the play of the pilot bit in the bars.
    PilotBitPlay,
    /// A pilot bit that wanders half as much.
    PilotBitWander,
    /// Pins with half the clearance in the bars and the block.
    ThickerPins,
    /// Pilots bored half as much over size.
    CloserPilots,
    /// Dogs with half the clearance in the block.
    ThickerDogs,
    /// Dog holes bored half as much over size.
    CloserDogHoles,
    /// The block's bush and places placed to half the tolerance.
    BlockPlacedCloser,
    /// Half the play of the big bit in the bush.
    BushPlay,
    /// A big bit that wanders half as much.
    OpeningWander,
}

/// What an improvement would do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lessening {
    /// The group it works on.
    pub group: Group,
    /// What is improved.
    pub improvement: Improvement,
    /// The changed value before, mm (equal limits where it has one value).
    pub from: Limits,
    /// The changed value after, mm.
    pub to: Limits,
    /// Standard deviation of square before, mm per m.
    pub sd_before: f64,
    /// Standard deviation of square after, mm per m.
    pub sd_after: f64,
}

impl Improvement {
    /// All improvements, with the group each works on.
    pub const ALL: [(Improvement, Group); 10] = [
        (Improvement::BarsPlacedCloser, Group::BarSpacing),
        (Improvement::PilotBitPlay, Group::BitPlay),
        (Improvement::PilotBitWander, Group::Wander),
        (Improvement::ThickerPins, Group::Seat),
        (Improvement::CloserPilots, Group::Seat),
        (Improvement::ThickerDogs, Group::Seat),
        (Improvement::CloserDogHoles, Group::Seat),
        (Improvement::BlockPlacedCloser, Group::BlockSpacing),
        (Improvement::BushPlay, Group::BushPlay),
        (Improvement::OpeningWander, Group::OpeningWander),
    ];

    /// Improves kit and plan (whose templates state their own bores and tolerances) and returns the
    /// value before and after.
    fn apply(self, kit: &mut Kit, plan: &mut Plan) -> (Limits, Limits) {
        match self {
            Improvement::BarsPlacedCloser => place_closer(plan, TemplateKind::Bar),
            Improvement::BlockPlacedCloser => place_closer(plan, TemplateKind::Block),
            Improvement::PilotBitPlay => halve(&mut kit.pilot_bit.clearance),
            Improvement::CloserPilots => halve(&mut kit.pilot_bit.oversize),
            Improvement::BushPlay => halve(&mut kit.opening_bit.clearance),
            Improvement::CloserDogHoles => halve(&mut kit.opening_bit.oversize),
            Improvement::PilotBitWander => halve_value(&mut kit.pilot_bit.wander),
            Improvement::OpeningWander => halve_value(&mut kit.opening_bit.wander),
            Improvement::ThickerPins => {
                let bore = plan.templates.iter().flat_map(|t| &t.features).find_map(|f| f.bore_mm);
                thicken(&mut kit.pin.diameter, bore)
            }
            Improvement::ThickerDogs => {
                let bore = plan.templates.iter().flat_map(|t| &t.features).find_map(|f| f.bore_dog_mm);
                thicken(&mut kit.dog.diameter, bore)
            }
        }
    }
}

fn halve(limits: &mut Limits) -> (Limits, Limits) {
    let before = *limits;
    *limits = Limits { min: 0.5 * before.min, max: 0.5 * before.max };
    (before, *limits)
}

fn halve_value(value: &mut f64) -> (Limits, Limits) {
    let before = *value;
    *value = 0.5 * before;
    (Limits::exact(before), Limits::exact(*value))
}

fn place_closer(plan: &mut Plan, kind: TemplateKind) -> (Limits, Limits) {
    let mut widest = 0.0f64;
    for feature in plan.templates.iter_mut().filter(|t| t.kind == kind).flat_map(|t| &mut t.features) {
        widest = widest.max(feature.position_mm);
        feature.position_mm *= 0.5;
    }
    (Limits::exact(widest), Limits::exact(0.5 * widest))
}

/// Shifts a peg's limits by half its mean diametral clearance in the bore.
fn thicken(peg: &mut Limits, bore: Option<Limits>) -> (Limits, Limits) {
    let before = *peg;
    let clearance = bore.map_or(0.0, |b| b.mean() - before.mean()).max(0.0);
    *peg = before.shifted(0.5 * clearance);
    (before, *peg)
}

/// Returns what each improvement of a group that has a share would do, the greatest gain first;
/// those that gain nothing are left out. Empty where square is not defined.
///
/// Errors: as [`Model::new`].
pub fn lessen(kit: &Kit, plan: &Plan) -> Result<Vec<Lessening>, Vec<Fault>> {
    let first_order = Model::new(kit, plan)?.first_order(&[])?;
    let Some(sd_before) = first_order.square_sd else { return Ok(Vec::new()) };
    let mut found = Vec::new();
    for (improvement, group) in Improvement::ALL {
        if !first_order.budget.iter().any(|(g, _)| *g == group) {
            continue;
        }
        let (mut better_kit, mut better_plan) = (kit.clone(), plan.clone());
        let (from, to) = improvement.apply(&mut better_kit, &mut better_plan);
        let Some(sd_after) = Model::new(&better_kit, &better_plan)?.square_sd_mm_per_m() else { continue };
        if sd_after < sd_before {
            found.push(Lessening { group, improvement, from, to, sd_before, sd_after });
        }
    }
    found.sort_by(|a, b| a.sd_after.total_cmp(&b.sd_after));
    Ok(found)
}
