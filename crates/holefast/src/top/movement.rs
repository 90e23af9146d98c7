//! How the top moves between the day of boring and its use: moisture from the air, then strain.
//!
//! Strains are in mm per m along x and y, positive where the sheet grows from boring to use. A
//! strain alike in x and y, or along the axes, changes pitch and lines' lengths; it leaves square as
//! it is. What a bar of steel does by heat is told here too. Nothing is known here of readings or
//! predictions.
//!
//! Moisture of wood at rest with air, percent of its dry weight ([GTR190], chapter 4, the model
//! of Hailwood and Horrobin with one hydrate more; coefficients for °C from memory, checked at eight
//! points worked out independently and at one published): with h the relative humidity as a fraction and t in °C,
//!
//! M = 1800/W · (K h/(1 − K h) + (K₁ K h + 2 K₁ K₂ K² h²)/(1 + K₁ K h + K₁ K₂ K² h²))

use super::Top;
use super::material::Sorption;
use crate::job::{Air, Climate};

/// Bars and gauges have their size at this temperature, °C.
// [ISO1], from memory
pub const REFERENCE_TEMPERATURE: f64 = 20.0;

/// Steel grows by so much, mm per m for each K; plain steels lie between 10.8 and 12.5e-6.
// 11.5e-6 as used for a gauge in [JCGM100] H.1; the range from memory
pub const STEEL_PER_K: f64 = 0.0115;

/// The coefficients of movement hold between these moisture contents, percent ([GTR190], table 13-5).
const COEFFICIENTS_HOLD: [f64; 2] = [6.0, 14.0];

/// Below freezing the formula for moisture is carried on beyond what it was fitted to, °C ([GTR190]
/// table 4-2 begins at -1.1 °C, from memory).
const LEAST_TEMPERATURE: f64 = -1.1;

/// Wetter air than this leaves dew on what stands in it, and moisture follows no table, percent.
/// [GTR190] table 4-2 ends here (from memory).
const MOST_HUMIDITY: f64 = 95.0;

/// Moisture of fibreboard, percent, by relative humidity, percent: the middles of the ranges in a
/// paper of an association of board makers ([EWPAA]); dry in dry air.
const FIBREBOARD: [(f64, f64); 6] = [(0.0, 0.0), (30.0, 7.0), (45.0, 8.0), (65.0, 10.0), (75.0, 11.0), (90.0, 15.5)];

/// How the top moves from the air it is bored in to the air it is used in, once it has come to rest
/// with each: a sheet takes days to weeks for that, and one sealed on one face alone bows instead.
#[derive(Clone, Debug, PartialEq)]
pub struct Movement {
    /// Moisture content at boring and in use, percent.
    pub moisture: [f64; 2],
    /// Strain by moisture along x and y, mm per m.
    pub by_moisture: [f64; 2],
    /// Strain by heat along x and y, mm per m; `None` where the material's is not known, then it is
    /// left out of `strain`.
    pub by_heat: Option<[f64; 2]>,
    /// Strain along x and y, mm per m.
    pub strain: [f64; 2],
    /// The same over the top's length and width, mm.
    pub over_top: [f64; 2],
    /// Where the material's values come from.
    pub source: String,
    /// Where the figure is worth less than it looks.
    pub limits: Vec<MovementLimit>,
}

/// A limit of a [`Movement`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MovementLimit {
    /// Heat's part is not known for the material and left out.
    WithoutHeat,
    /// The moisture lies outside 6 to 14 %, where coefficients were measured.
    BeyondCoefficients,
    /// The air is below freezing or wetter than 95 %, where the formula was not fitted.
    BeyondFormula,
    /// The moisture is that of wood; boards pressed from fibres or chips take less.
    MoistureOfWood,
}

/// Why no movement is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MovementUnknown {
    /// The job states no climate.
    NoClimate,
    /// The material's movement is not stated in one direction or both.
    NoMovement,
    /// The material's moisture is not known in air as wet as this: above 90 %.
    TooWet,
}

/// Moisture content of wood that is at rest with the air, percent of its dry weight.
///
/// Good to 0.1 percent between -1 and 130 °C and up to 95 % of humidity beside the handbook's table;
/// a single board differs by one percent or two, and takes more when drying than when wetting.
pub fn moisture_of_wood(air: Air) -> f64 {
    let t = air.temperature;
    let h = air.humidity / 100.0;
    let w = 349.0 + t * (1.29 + t * 0.0135);
    let k = 0.805 + t * (0.000736 - t * 0.00000273);
    let k1 = 6.27 - t * (0.00938 + t * 0.000303);
    let k2 = 1.91 + t * (0.0407 - t * 0.000293);
    let kh = k * h;
    let (one, two) = (k1 * kh, k1 * k2 * kh * kh);
    1800.0 / w * (kh / (1.0 - kh) + (one + 2.0 * two) / (1.0 + one + two))
}

/// Moisture content of a material at rest with the air, percent; `None` for fibreboard above 90 %
/// of humidity, where nobody states it.
pub fn moisture_taken(sorption: Sorption, air: Air) -> Option<f64> {
    match sorption {
        Sorption::Wood => Some(moisture_of_wood(air)),
        Sorption::Fibreboard => FIBREBOARD.windows(2).find_map(|pair| {
            let ((h0, m0), (h1, m1)) = (pair[0], pair[1]);
            (h0..=h1).contains(&air.humidity).then(|| m0 + (air.humidity - h0) / (h1 - h0) * (m1 - m0))
        }),
    }
}

/// Strain of a steel bar, mm per m, at a temperature in °C; nil at [`REFERENCE_TEMPERATURE`].
pub fn steel_strain(temperature: f64) -> f64 {
    STEEL_PER_K * (temperature - REFERENCE_TEMPERATURE)
}

/// Returns how the top moves between boring and use.
pub fn movement(top: &Top, climate: Option<&Climate>) -> Result<Movement, MovementUnknown> {
    let climate = climate.ok_or(MovementUnknown::NoClimate)?;
    let material = &top.material;
    let [Some(x), Some(y)] = material.movement.of_axes(top.grain) else { return Err(MovementUnknown::NoMovement) };
    let airs = [climate.boring, climate.use_];
    let [Some(boring), Some(used)] = airs.map(|air| moisture_taken(material.sorption, air)) else {
        return Err(MovementUnknown::TooWet);
    };
    let by_moisture = [x, y].map(|each| by_moisture(each, boring, used));
    let warmer = climate.use_.temperature - climate.boring.temperature;
    let by_heat = match material.heat.of_axes(top.grain) {
        [Some(x), Some(y)] => Some([x * warmer, y * warmer]),
        _ => None,
    };
    let heat = by_heat.unwrap_or([0.0, 0.0]);
    let strain = [by_moisture[0] + heat[0], by_moisture[1] + heat[1]];
    Ok(Movement {
        moisture: [boring, used],
        by_moisture,
        by_heat,
        strain,
        over_top: [strain[0] * top.length / 1000.0, strain[1] * top.width / 1000.0],
        source: material.source.clone(),
        limits: limits(top, airs, [boring, used], by_heat.is_none()),
    })
}

/// Movement of wood, mm per m, between two moisture contents, percent; `each` is mm per m for each
/// percent.
fn by_moisture(each: f64, from: f64, to: f64) -> f64 {
    each * (to - from)
}

fn limits(top: &Top, airs: [Air; 2], moisture: [f64; 2], without_heat: bool) -> Vec<MovementLimit> {
    let wood = top.material.sorption == Sorption::Wood;
    let beyond_formula = |air: &Air| air.temperature < LEAST_TEMPERATURE || air.humidity > MOST_HUMIDITY;
    let [least, most] = COEFFICIENTS_HOLD;
    [
        (without_heat, MovementLimit::WithoutHeat),
        (moisture.iter().any(|m| !(least..=most).contains(m)), MovementLimit::BeyondCoefficients),
        (wood && airs.iter().any(beyond_formula), MovementLimit::BeyondFormula),
        (wood && !top.material.is_solid_wood(), MovementLimit::MoistureOfWood),
    ]
    .into_iter()
    .filter_map(|(applies, limit)| applies.then_some(limit))
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing;
    use crate::top::{Grain, InPlane, Material};

    fn air(temperature: f64, humidity: f64) -> Air {
        Air { temperature, humidity }
    }

    fn top(material: &str) -> Top {
        Top { material: Material::known(material).unwrap(), ..testing::job(1450.0, 780.0, 100.0).top }
    }

    #[test]
    fn moisture_of_wood_as_in_the_reference() {
        // Source: [GTR190], chapter 4, worked out independently from the equation, its coefficients from
        // memory; the figure at 140 °F read in a published text. To 0.1 percent.
        for (t, humidity, expected) in [
            (21.1, 30.0, 6.17),
            (21.1, 50.0, 9.24),
            (21.1, 65.0, 11.96),
            (21.1, 80.0, 15.99),
            (21.1, 90.0, 20.48),
            (60.0, 55.0, 8.37),
            (60.0, 55.0, 8.4), // 140 °F, the published text
            (21.1, 20.0, 4.49),
            (21.1, 70.0, 13.09),
        ] {
            let found = moisture_of_wood(air(t, humidity));
            assert!((found - expected).abs() < 0.1, "{t} °C {humidity} %: {found}, published {expected}");
        }
        assert_eq!(moisture_of_wood(air(20.0, 0.0)), 0.0);
    }

    #[test]
    fn moisture_rises_with_humidity_and_falls_with_heat_over_all_a_job_may_state() {
        for t in -40..=60 {
            for h in 0..100 {
                let (t, h) = (f64::from(t), f64::from(h));
                let here = moisture_of_wood(air(t, h));
                assert!(here < moisture_of_wood(air(t, h + 1.0)), "{t} °C {h} %");
                // From 20 °C on; in the cold the table is flat in dry air.
                assert!(t < 20.0 || h == 0.0 || here > moisture_of_wood(air(t + 1.0, h)), "{t} °C {h} %");
                assert!((0.0..40.0).contains(&here));
            }
        }
    }

    #[test]
    fn published_examples() {
        // Beech, tangential, 600 mm, 8 to 12 %: 10.344 mm ([GTR190], table 13-5).
        let beech = Material::known("beech").unwrap().movement.across.unwrap();
        assert!((0.6 * by_moisture(beech, 8.0, 12.0) - 10.344).abs() < 1e-9);
        // MDF, 9 to 12 %: 1 mm per m in one paper, 0.05 % for each percent, 1.5 mm per m, in another.
        let mdf = Material::known("MDF").unwrap().movement.along.unwrap();
        assert!((1.0..=1.5).contains(&by_moisture(mdf, 9.0, 12.0)));
        // Steel, 1000 mm, 10 K: 0.115 mm.
        assert!((steel_strain(30.0) - 0.115).abs() < 1e-12);
        assert_eq!(steel_strain(REFERENCE_TEMPERATURE), 0.0);
    }

    #[test]
    fn fibreboard_takes_what_its_makers_state() {
        let at = |humidity| moisture_taken(Sorption::Fibreboard, air(20.0, humidity));
        // The ranges of the paper: 6 to 8 at 30 %, 7 to 9 at 45, 9 to 11 at 65, 10 to 12 at 75, 15 to 16 at 90.
        for (humidity, least, most) in
            [(30.0, 6.0, 8.0), (45.0, 7.0, 9.0), (65.0, 9.0, 11.0), (75.0, 10.0, 12.0), (90.0, 15.0, 16.0)]
        {
            assert!((least..=most).contains(&at(humidity).unwrap()), "{humidity} %");
        }
        assert_eq!(at(55.0), Some(9.0));
        assert_eq!(at(90.1), None);
    }

    #[test]
    fn a_top_of_oak_moves_across_its_grain() {
        let climate = Climate { boring: air(12.0, 70.0), use_: air(20.0, 50.0) };
        let mut oak = top("white oak");
        let found = movement(&oak, Some(&climate)).unwrap();
        let dried = moisture_of_wood(climate.boring) - moisture_of_wood(climate.use_);
        assert!((3.5..4.5).contains(&dried), "{dried}");
        // Across: 3.65 mm per m for each percent; heat (32.4 · 0.68 + 18.4)e-6 = 40.432e-6 for each of 8 K.
        let across = -3.65 * dried + 8.0 * 0.040432;
        assert!((found.strain[1] - across).abs() < 1e-9, "{found:?}");
        assert!((found.over_top[1] - 0.78 * across).abs() < 1e-9);
        assert!(found.strain[0].abs() < found.strain[1].abs() / 50.0, "along it hardly moves: {found:?}");
        assert_eq!(found.limits, []);
        oak.grain = Grain::Width;
        let turned = movement(&oak, Some(&climate)).unwrap();
        assert_eq!(turned.strain, [found.strain[1], found.strain[0]]);
        assert!((turned.over_top[0] - 1.45 * across).abs() < 1e-9);
    }

    #[test]
    fn what_is_not_known_is_said() {
        let climate = Climate { boring: air(-5.0, 80.0), use_: air(20.0, 50.0) };
        let ply = top("birch plywood");
        assert_eq!(movement(&ply, None), Err(MovementUnknown::NoClimate));
        assert_eq!(movement(&top("OSB"), Some(&climate)), Err(MovementUnknown::NoMovement));
        let found = movement(&ply, Some(&climate)).unwrap();
        use MovementLimit::{BeyondCoefficients, BeyondFormula, MoistureOfWood, WithoutHeat};
        assert_eq!(found.limits, [BeyondCoefficients, BeyondFormula, MoistureOfWood]);
        let mut typed = ply.clone();
        typed.material.heat = InPlane::NONE;
        let without = movement(&typed, Some(&climate)).unwrap();
        assert_eq!((without.strain, without.by_heat), (without.by_moisture, None));
        assert_eq!(without.limits[0], WithoutHeat);
        let wet = Climate { boring: air(12.0, 95.0), ..climate };
        assert_eq!(movement(&top("MDF"), Some(&wet)), Err(MovementUnknown::TooWet));
        typed.material.movement.across = None;
        assert_eq!(movement(&typed, Some(&climate)), Err(MovementUnknown::NoMovement));
    }
}
