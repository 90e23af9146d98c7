//! The sheet in words: what it is made of, its weight, sag and movement, each with its limits.
//!
//! Figures come ready from [`crate::top`]; what is not known is said in a plain sentence instead.

use super::figures::fine;
use super::layout::length;
use crate::job::Job;
use crate::measure::format::number;
use crate::top::{
    InPlane, Layout, Lowest, Material, Movement, MovementLimit, MovementUnknown, Sag, SagLimit, SagUnknown, Sorption,
    movement, sag,
};

/// Above this two people lift, kg (docs/design/layout.md 4; common practice, no source).
pub const TWO_PEOPLE: f64 = 20.0;

/// Strains below this are as good as nil, mm per m: a hundredth of what a tape shows.
const STILL: f64 = 0.005;

/// What the sheet is made of, with each figure and where it comes from.
pub fn material(job: &Job) -> String {
    let material = &job.top.material;
    let mut figures: Vec<String> = Vec::new();
    figures.extend(material.density.map(|density| format!("{} kg/m³", number(density, 1))));
    figures.extend(in_plane(material.modulus, "MPa", 0));
    figures.extend(in_plane(material.movement, "mm per m for each percent of moisture", 3));
    let figures = if figures.is_empty() { "no figure is stated".to_owned() } else { figures.join(", ") };
    format!("material {}: {figures} ({})", material.name, material.source)
}

fn in_plane(value: InPlane, unit: &str, places: usize) -> Option<String> {
    let number = |value: f64| number(value, places);
    match (value.along, value.across) {
        (Some(along), Some(across)) if along == across => Some(format!("{} {unit}", number(along))),
        (Some(along), Some(across)) => {
            Some(format!("{} {unit} along the grain and {} across it", number(along), number(across)))
        }
        (Some(along), None) => Some(format!("{} {unit} along the grain", number(along))),
        (None, Some(across)) => Some(format!("{} {unit} across the grain", number(across))),
        (None, None) => None,
    }
}

/// The weight with and without holes, and who lifts it.
pub fn weight(job: &Job, layout: &Layout) -> String {
    match &layout.weight {
        Some(weight) => {
            let two = if weight.whole > TWO_PEOPLE { "; two people lift it" } else { "" };
            format!("weight {:.1} kg, {:.1} kg when bored{two}", weight.whole, weight.bored)
        }
        None => format!(
            "weight not known: no density is stated for {}; weigh it, above {TWO_PEOPLE:.0} kg two people lift",
            job.top.material.name
        ),
    }
}

/// The sag between supports, one sentence a line, or why none is told.
pub fn sag_lines(job: &Job, layout: &Layout) -> Vec<String> {
    match sag(job, layout) {
        Ok(sag) => known_sag(job, &sag),
        Err(why) => vec![format!("sag not told: {}", no_sag(&job.top.material, why))],
    }
}

fn known_sag(job: &Job, sag: &Sag) -> Vec<String> {
    let fine = |value: f64| fine(job.units, value).replace('\u{a0}', " ");
    let at = |lowest: Lowest| {
        if sag.along.y == 0.0 {
            format!("x = {}", length(lowest.at, job.units))
        } else if sag.along.x == 0.0 {
            format!("y = {}", length(lowest.at, job.units))
        } else {
            format!("{} square to the supports", length(lowest.at, job.units))
        }
    };
    let mut first = format!(
        "sag {} under its own weight, {} when bored, most at {}",
        fine(sag.whole.down),
        fine(sag.bored.down),
        at(sag.bored)
    );
    if sag.stiffness_left < 1.0 {
        first += &format!("; holes leave {:.0} % of the stiffness", 100.0 * sag.stiffness_left);
    }
    let mut lines = vec![first];
    if let (Some(load), Some(loaded)) = (job.top.load, sag.loaded) {
        lines.push(format!(
            "sag {} with {} kg across its width where that bends it most, at {}",
            fine(loaded.down),
            number(load, 1),
            at(loaded)
        ));
    }
    if let Some(least) = sag.tips_at {
        lines.push(format!("it tips when more than {least:.0} kg rest on an overhanging end"));
    }
    lines.extend(sag.limits.iter().map(|limit| format!("of its sag: {}", sag_limit(*limit))));
    lines
}

pub(crate) fn sag_limit(limit: SagLimit) -> &'static str {
    match limit {
        SagLimit::ShortSupport => {
            "a support is shorter than the sheet is wide; beside it the sheet sags more than is told"
        }
        SagLimit::OthersLeftOut => {
            "supports in another direction are left out, as if it rested on the others alone: it sags less than is told"
        }
        SagLimit::LiftsOff => "it lifts off a support under its own weight",
        SagLimit::OblongGrid => "pitches differ; the stiffness that holes leave is taken by their area alone",
        SagLimit::LoadTips => "on an overhanging end the load tips it; the load is taken where it does not",
    }
}

pub(crate) fn no_sag(material: &Material, why: SagUnknown) -> String {
    let name = &material.name;
    match why {
        SagUnknown::NoSupports => "the job states no [[support]], the lines the top rests on".to_owned(),
        SagUnknown::OneSupport => "all supports lie on one line; it takes two or more".to_owned(),
        SagUnknown::NotParallel => {
            "the supports run in different directions; it takes two side by side that carry it".to_owned()
        }
        SagUnknown::NoDensity => format!("no density is stated for {name}"),
        SagUnknown::NoModulus => format!("no modulus is stated for {name} across the supports"),
        SagUnknown::Askew => format!("the supports run askew to the grain of {name}"),
        SagUnknown::TooOpen => {
            "holes wider than half the pitch; what stiffness they leave is not known here".to_owned()
        }
        SagUnknown::Tips => "its weight lies beyond the supports: it tips".to_owned(),
    }
}

/// The movement between boring and use, one sentence a line, or why none is told.
pub fn movement_lines(job: &Job) -> Vec<String> {
    match movement(&job.top, job.climate.as_ref()) {
        Ok(moved) => known_movement(job, &moved),
        Err(why) => vec![format!("movement not told: {}", no_movement(&job.top.material, why))],
    }
}

fn known_movement(job: &Job, moved: &Movement) -> Vec<String> {
    let [boring, used] = moved.moisture;
    let mut lines = vec![format!(
        "moisture {boring:.1} % when bored, {used:.1} % in use, once at rest with the air: the sheet {} along and {} across",
        way(job, moved.strain[0], moved.over_top[0]),
        way(job, moved.strain[1], moved.over_top[1]),
    )];
    lines.extend(moved.limits.iter().map(|limit| format!("of its movement: {}", movement_limit(job, *limit))));
    lines
}

/// `shrinks 0.65 mm per m, 0.94 mm in all,`.
fn way(job: &Job, strain: f64, over: f64) -> String {
    let word = if strain > 0.0 { "grows" } else { "shrinks" };
    if strain.abs() < STILL {
        return "stays as it is".to_owned();
    }
    let all = fine(job.units, over.abs()).replace('\u{a0}', " ");
    format!("{word} {} mm per m ({all} in all)", number(strain.abs(), 2))
}

pub(crate) fn movement_limit(job: &Job, limit: MovementLimit) -> String {
    match limit {
        MovementLimit::WithoutHeat => {
            format!(
                "heat's part is left out, it is not known for {} (state it: heat, mm per m for each K, in the material's table)",
                job.top.material.name
            )
        }
        MovementLimit::BeyondCoefficients => {
            "moisture lies outside 6 to 14 %, where coefficients were measured".to_owned()
        }
        MovementLimit::BeyondFormula => {
            "frost or air wetter than 95 %, where the formula for moisture was not fitted".to_owned()
        }
        MovementLimit::MoistureOfWood => "moisture is that of solid wood; glued boards take somewhat less".to_owned(),
    }
}

pub(crate) fn no_movement(material: &Material, why: MovementUnknown) -> String {
    match why {
        MovementUnknown::NoClimate => "the job states no [climate] of boring and use".to_owned(),
        MovementUnknown::NoMovement => {
            format!(
                "no movement by moisture is known for {0}; state it along and across: material = {{ name = \"{0}\", movement = [0.2, 0.3] }}, mm per m for each percent",
                material.name
            )
        }
        MovementUnknown::TooWet => {
            let kind = match material.sorption {
                Sorption::Fibreboard => "fibreboard",
                Sorption::Wood => "wood",
            };
            format!("the moisture that {kind} takes from air above 90 % is not known here")
        }
    }
}

/// All of it: material, weight, sag, movement, one sentence a line.
pub fn lines(job: &Job, layout: &Layout) -> Vec<String> {
    let mut lines = vec![material(job), weight(job, layout)];
    lines.extend(sag_lines(job, layout));
    lines.extend(movement_lines(job));
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Air, Climate};
    use crate::testing::trailer_top;
    use crate::top::{Grain, Point, Support, lay_out};

    fn job(material: &str) -> Job {
        let mut job = trailer_top();
        job.top.material = Material::known(material).unwrap();
        job.supports = [425.0, 1025.0].map(|x| Support { from: Point::new(x, 0.0), to: Point::new(x, 780.0) }).to_vec();
        job.climate = Some(Climate {
            boring: Air { temperature: 12.0, humidity: 70.0 },
            use_: Air { temperature: 20.0, humidity: 50.0 },
        });
        job
    }

    fn said(job: &Job) -> String {
        lines(job, &lay_out(job).unwrap()).join("\n")
    }

    #[test]
    fn oak_is_told_along_and_across() {
        let text = said(&job("white oak"));
        for part in [
            "12270 MPa along the grain",
            "0.05 mm per m for each percent of moisture along the grain and 3.65 across it",
            "of the stiffness",
            "it tips when more than",
            "along and shrinks 14",
        ] {
            assert!(text.contains(part), "{part}:\n{text}");
        }
    }

    #[test]
    fn every_sentence_is_reached() {
        // What is left out of each figure, and why a figure is not told.
        type Change = fn(&mut Job);
        let cases: &[(&str, &str, Change)] = &[
            ("OSB", "no movement by moisture is known for OSB", |_| {}),
            ("beech", "no modulus is stated for beech", |_| {}),
            ("white oak", "no modulus is stated for white oak across the supports", |job| job.top.grain = Grain::Width),
            ("white oak", "run askew to the grain of white oak", |job| {
                job.supports = vec![
                    Support { from: Point::new(0.0, 400.0), to: Point::new(400.0, 0.0) },
                    Support { from: Point::new(1050.0, 780.0), to: Point::new(1450.0, 380.0) },
                ]
            }),
            ("MDF", "no density is stated for MDF; weigh it, above 20 kg two people lift", |job| {
                job.top.material.density = None
            }),
            ("MDF", "sag not told: no density is stated", |job| job.top.material.density = None),
            ("MDF", "fibreboard takes from air above 90 %", |job| job.climate.as_mut().unwrap().boring.humidity = 95.0),
            ("MDF", "all supports lie on one line", |job| job.supports.truncate(1)),
            ("MDF", "run in different directions", |job| job.supports[0].to.x = 600.0),
            ("MDF", "supports in another direction are left out", |job| {
                job.supports.push(Support { from: Point::new(0.0, 0.0), to: Point::new(1450.0, 0.0) });
            }),
            ("MDF", "it tips", |job| {
                job.supports[1] = Support { from: Point::new(500.0, 0.0), to: Point::new(500.0, 780.0) }
            }),
            ("MDF", "lifts off a support", |job| {
                job.supports.insert(0, Support { from: Point::new(0.0, 0.0), to: Point::new(0.0, 780.0) });
                job.supports[1] = Support { from: Point::new(100.0, 0.0), to: Point::new(100.0, 780.0) };
                job.supports[2] = Support { from: Point::new(800.0, 0.0), to: Point::new(800.0, 780.0) };
            }),
            ("MDF", "a support is shorter than the sheet is wide", |job| job.supports[0].to.y = 500.0),
            ("MDF", "pitches differ", |job| job.grid.pitch = [100.0, 96.0]),
            ("MDF", "holes wider than half the pitch", |job| job.grid.hole = 51.0),
            ("MDF", "with 40 kg across its width where that bends it most", |job| job.top.load = Some(40.0)),
            ("MDF", "the load tips it", |job| job.top.load = Some(40.0)),
            ("MDF", "y = 390 mm", |job| {
                job.supports =
                    [0.0, 780.0].map(|y| Support { from: Point::new(0.0, y), to: Point::new(1450.0, y) }).to_vec()
            }),
            ("birch plywood", "heat's part is left out, it is not known for birch plywood", |job| {
                job.top.material.heat = InPlane::NONE
            }),
            ("birch plywood", "moisture is that of solid wood", |_| {}),
            ("birch plywood", "outside 6 to 14 %", |job| job.climate.as_mut().unwrap().use_.humidity = 20.0),
            ("birch plywood", "frost or air wetter than 95 %", |job| {
                job.climate.as_mut().unwrap().boring.temperature = -10.0
            }),
            ("birch plywood", "stays as it is", |job| job.climate.as_mut().unwrap().use_ = job.climate.unwrap().boring),
            ("birch plywood", "no figure is stated", |job| {
                job.top.material.density = None;
                job.top.material.modulus = InPlane::NONE;
                job.top.material.movement = InPlane::NONE;
            }),
            ("birch plywood", "two people lift it", |job| job.top.thickness = 30.0),
            ("birch plywood", "in all", |job| job.units = crate::job::Units::Inch),
        ];
        for (material, expected, change) in cases {
            let mut job = job(material);
            change(&mut job);
            let text = said(&job);
            assert!(text.contains(expected), "{expected}:\n{text}");
        }
    }
}
