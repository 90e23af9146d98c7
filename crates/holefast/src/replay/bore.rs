//! What is bored in a set-up: through which feature, into what, with which bit.

use std::collections::BTreeMap;

use kurbo::Point;

use super::locate::{COINCIDE, feature};
use super::place::Lying;
use super::{Bench, State};
use crate::fault::Fault;
use crate::plan::{Bit, Bore, HoleKind, Place, PlanHole, Setup, Stage, TemplateKind, With};

/// The opening bit makes a hole of its own size; a wanted diameter farther off than this, mm, is
/// another hole: the closest dogs tell a tenth of a millimetre, and rounding an inch size does not
/// reach half of that.
pub(super) const ITS_OWN_SIZE: f64 = 0.05;

/// A set-up bores or checks, not both, and is filed under its stage.
pub(super) fn form(setup: &Setup) -> Result<(), Fault> {
    match (setup.check, setup.bores.first()) {
        (true, Some(bore)) => {
            return Err(Fault::impossible(format!("a check bores {}", bore.hole)).hint("make two set-ups of it"));
        }
        (false, None) => return Err(Fault::impossible("nothing is bored and nothing checked")),
        _ => {}
    }
    match setup.pass {
        Some(_) if setup.stage != Stage::Open => {
            Err(Fault::input(format!("an opening pass is given in the stage {}", setup.stage.name())))
        }
        Some(pass) if !(1..=2).contains(&pass) => Err(Fault::input(format!("opening pass {pass}, there are 1 and 2"))),
        _ => Ok(()),
    }
}

/// True if the job says that this hole was a dog hole before the work that is left.
fn came_with(bench: &Bench, place: &Place) -> bool {
    let Place::Hole(name) = place else { return false };
    let opened = |bore: &Bore| bore.bit == Bit::Opening && bore.hole == *name;
    bench.plan.exists.iter().any(|exists| exists.dog && exists.hole == *name)
        || bench.plan.setups.iter().any(|setup| setup.done && setup.bores.iter().any(opened))
}

/// Whether one hole can be bored; returns it.
pub(super) fn one<'a>(
    bench: &Bench<'a>,
    setup: &Setup,
    lying: &BTreeMap<&str, Lying>,
    bored: &Bore,
) -> Result<&'a PlanHole, Fault> {
    let (lies, through) = feature(lying, &bored.feature)?;
    let Some(hole) = bench.plan.hole(&bored.hole) else {
        return Err(Fault::input(format!("the hole {} is not in the plan's list", bored.hole)));
    };
    let name = &hole.name;
    let kind = lies.template.kind;
    let state = bench.state(name);
    match bored.bit {
        Bit::Pilot => {
            if kind != TemplateKind::Bar || through.bore_mm.is_none() {
                return Err(Fault::impossible(format!("the pilot {name} is bored through {}", bored.feature))
                    .hint("pilots are bored through a bar's holes"));
            }
            if state != State::Wood {
                let what = if state == State::Open { "opened" } else { "bored" };
                return Err(Fault::impossible(format!("the pilot {name} is bored, and was {what} before")));
            }
        }
        Bit::Opening => {
            if kind != TemplateKind::Block || through.bore_mm.is_some() || through.bore_dog_mm.is_some() {
                return Err(Fault::impossible(format!("{name} is opened through {}", bored.feature))
                    .hint("holes are opened through the block's bush"));
            }
            if setup.stage != Stage::Open {
                return Err(Fault::input(format!("{name} is opened in the stage {}", setup.stage.name())));
            }
            if matches!(hole.kind, HoleKind::Helper | HoleKind::Pilot) {
                return Err(Fault::impossible(format!("{name} is opened, and is a pilot that stays one")));
            }
            // Over a plug the block on two neighbours steers the bit where no pilot does.
            let over_plug = bench.job.spoiled.iter().any(|spoiled| spoiled.hole == *name)
                && setup.pins.iter().filter(|pin| pin.with != With::Point).count() >= 2;
            // So does a block on dogs in two holes that the top came with.
            let on_dogs =
                setup.pins.iter().filter(|pin| pin.with == With::Dog && came_with(bench, &pin.b)).count() >= 2;
            let in_one_go = over_plug || on_dogs || (setup.by_hand && hole.kind == HoleKind::Extra);
            if state == State::Open {
                return Err(Fault::impossible(format!("{name} is opened twice")));
            }
            if state == State::Wood && !in_one_go {
                return Err(Fault::impossible(format!("{name} is opened, and has no pilot yet"))
                    .hint("bore the pilot in an earlier set-up"));
            }
            let wanted = match hole.kind {
                HoleKind::Extra => bench.job.grid.extra.iter().find(|extra| extra.name == *name).map(|e| e.diameter),
                _ => Some(bench.job.grid.hole),
            };
            let bit = bench.kit.opening_bit.diameter;
            if let Some(wanted) = wanted
                && (wanted < bit.min - ITS_OWN_SIZE || wanted > bit.max + ITS_OWN_SIZE)
            {
                return Err(Fault::impossible(format!(
                    "{name} is to be {wanted:.2} mm wide, the opening bit is {:.2} mm",
                    bit.mean()
                )));
            }
        }
    }
    let (at, wanted) = (lies.place(through), Point::new(hole.x_mm, hole.y_mm));
    let off = (at - wanted).hypot2().sqrt();
    if off > COINCIDE {
        return Err(Fault::impossible(format!("{} misses {name} by {off:.2} mm", bored.feature)).hint(format!(
            "it lies at [{:.2}, {:.2}], the hole belongs at [{:.2}, {:.2}] mm",
            at.x, at.y, wanted.x, wanted.y
        )));
    }
    Ok(hole)
}
