//! What the air does to the grid between boring and use, as a prediction takes it: strains known
//! from the stated climate, and how far they may be off.
//!
//! Strains are in mm per m along x and y, positive where holes lie farther apart than their places
//! say. The bars put the holes as far apart as they themselves are long on the day of boring; from
//! then on the holes go with the sheet:
//!
//! strain = steel(t at boring) + movement of the sheet from boring to use.
//!
//! That is a known shift: it moves pitch and position in the mean. What is not known of it is a
//! source of the group *climate*, drawn once a board, rectangular:
//! - the bars' common scale: their temperature, stated to [`BARS_TEMPERATURE`], and their steel's
//!   expansion, known to [`STEEL_SPREAD`];
//! - the sheet's movement by moisture, along x and y together: [`MOVEMENT_SPREAD`] of it.
//!
//! Strains along the axes leave square as it is. Where they differ they turn lines that run aslant:
//! a line at the angle φ by (y − x) · sin φ cos φ; and the axes of a grid that lies turned on the sheet,
//! towards one another, by twice its turn times x − y. The movement itself is `top`'s matter.
//!
//! Bars are taken as of steel and as warm as one another. One warmer than the others is not counted:
//! by the law of cosines a third side l that is 1 K warmer turns the column of its triangle k, m, l by
//! 0.0115 · l²/(k m) mm per m, 0.024 for 6, 8, 10; two mirrored triangles take most of it back.

use super::model::Model;
use crate::job::{Air, Climate};
use crate::top::{MovementUnknown, REFERENCE_TEMPERATURE, STEEL_PER_K, Top, movement, steel_strain};

/// A bar is as warm as the air that the job states within so much, K (half-width): it has lain in
/// the shop for an hour and in the hand for a minute. No source.
pub const BARS_TEMPERATURE: f64 = 2.0;

/// Half-width of what plain steels grow by, mm per m for each K: 10.8 to 12.5e-6 (from memory).
pub const STEEL_SPREAD: f64 = 0.5 * (0.0125 - 0.0108);

/// Half-width of a sheet's movement by moisture, as a share of it. Published figures for one and the
/// same material, fibreboard, run from 0.025 to 0.05 % for each percent of moisture
/// (0.05 by mdf-info.eu, 0.033 and 0.025 by EWPAA; docs/bibliography.md): a third either side of their
/// middle. Taken for every material, for want of better.
pub const MOVEMENT_SPREAD: f64 = 1.0 / 3.0;

/// What a stated climate does to the holes' distances.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClimateShift {
    /// The climate stated.
    pub climate: Climate,
    /// Strain along x and y in the mean, mm per m.
    pub known: [f64; 2],
    /// Half-width of the bars' common scale, mm per m.
    pub bars: f64,
    /// Half-widths of the sheet's movement along x and y, mm per m, off together.
    pub moisture: [f64; 2],
    /// Why the sheet's movement is not in it, where it is not.
    pub without_sheet: Option<MovementUnknown>,
}

impl ClimateShift {
    /// Works it out for a top.
    pub fn of(top: &Top, climate: &Climate) -> ClimateShift {
        let at_boring = climate.boring.temperature;
        let bars = steel_strain(at_boring);
        let off = STEEL_PER_K * BARS_TEMPERATURE + STEEL_SPREAD * (at_boring - REFERENCE_TEMPERATURE).abs();
        let (known, moisture, without_sheet) = match movement(top, Some(climate)) {
            Ok(sheet) => (sheet.strain.map(|s| bars + s), sheet.by_moisture.map(|m| MOVEMENT_SPREAD * m.abs()), None),
            Err(unknown) => ([bars; 2], [0.0; 2], Some(unknown)),
        };
        ClimateShift { climate: *climate, known, bars: off, moisture, without_sheet }
    }

    /// Standard uncertainty of the strain along x and y, mm per m: both parts rectangular.
    pub fn uncertainty(&self) -> [f64; 2] {
        self.moisture.map(|m| ((self.bars * self.bars + m * m) / 3.0).sqrt())
    }

    /// Turn of a line at 45° to the edges, mm per m: what strains that differ do at the most.
    pub fn greatest_turn(&self) -> f64 {
        0.5 * (self.known[1] - self.known[0]).abs()
    }

    /// The air on the day of boring and in use.
    pub fn airs(&self) -> [Air; 2] {
        [self.climate.boring, self.climate.use_]
    }
}

impl Model {
    /// The same build, bored in the air of one climate and asked about in that of another; as it is
    /// without a climate. Checks and seats are of the day of boring.
    pub fn in_climate(mut self, top: &Top, climate: Option<&Climate>) -> Model {
        self.climate = climate.map(|c| ClimateShift::of(top, c));
        self
    }

    /// What the climate does, where one was stated.
    pub fn climate(&self) -> Option<&ClimateShift> {
        self.climate.as_ref()
    }
}

#[cfg(test)]
mod tests {
    use super::super::by_hand::{Arrangement, plan, trailer_kit};
    use super::super::{Ask, Group, LineAsk, Prediction, one_after_another, predict};
    use super::*;
    use crate::testing;
    use crate::top::{Material, movement};

    fn air(temperature: f64, humidity: f64) -> Air {
        Air { temperature, humidity }
    }

    fn top(material: &str) -> Top {
        Top { material: Material::known(material).unwrap(), ..testing::job(1450.0, 780.0, 100.0).top }
    }

    const DAMP_TO_DRY: Climate =
        Climate { boring: Air { temperature: 12.0, humidity: 70.0 }, use_: Air { temperature: 20.0, humidity: 50.0 } };

    /// Fence along row A, rail along the diagonal at 45° from A1.
    fn predicted(shift: Option<(&Top, &Climate)>) -> Prediction {
        let kit = trailer_kit();
        let mut model = Model::new(&kit, &plan(&kit, Arrangement::best(7, 14, [8, 6, 10]))).unwrap();
        if let Some((top, climate)) = shift {
            model = model.in_climate(top, Some(climate));
        }
        let name = |n: &str| n.to_owned();
        let lines = vec![LineAsk { fence: [name("A1"), name("A14")], rail: [name("A1"), name("G7")] }];
        let ask = Ask { boards: 4096, seed: 1, checks: true, lines, square_limit: None };
        predict(&model, &ask, &one_after_another).unwrap()
    }

    #[test]
    fn the_data_tells_what_the_climate_does() {
        let oak = top("white oak");
        let read = |p: &Prediction| serde_json::from_str::<serde_json::Value>(&p.to_json()).unwrap();
        assert_eq!(read(&predicted(None)).get("climate"), None);
        let shift = ClimateShift::of(&oak, &DAMP_TO_DRY);
        let told = &read(&predicted(Some((&oak, &DAMP_TO_DRY))))["climate"];
        assert_eq!(told["strain_mm_per_m"], serde_json::json!(shift.known));
        assert_eq!(told["strain_u_mm_per_m"], serde_json::json!(shift.uncertainty()));
        assert_eq!(told["use"], serde_json::json!({"temperature_c": 20.0, "humidity_percent": 50.0}));
        assert_eq!(told.get("without_sheet"), None);
        let mut unknown = oak.clone();
        unknown.material.movement = crate::top::InPlane::NONE;
        let told = &read(&predicted(Some((&unknown, &DAMP_TO_DRY))))["climate"];
        assert_eq!(told["without_sheet"], "how the sheet moves is not stated");
    }

    #[test]
    fn bars_alone_by_hand() {
        // Bored at 30 °C, a metre of steel is 0.115 mm too long (11.5e-6 per K: [JCGM100], H.1);
        // plywood's movement is stated by nobody or left as it is by the same air.
        let same = Climate { boring: air(30.0, 50.0), use_: air(30.0, 50.0) };
        let shift = ClimateShift::of(&top("MDF"), &same);
        assert!((shift.known[0] - 0.115).abs() < 1e-12 && shift.known[1] == shift.known[0], "{shift:?}");
        assert_eq!(shift.moisture, [0.0; 2]);
        // By hand: 2 K of 0.0115, and 10 K of half of 0.0017.
        assert!((shift.bars - (0.023 + 0.0085)).abs() < 1e-12, "{shift:?}");
        let mut unknown = top("MDF");
        unknown.material.movement = crate::top::InPlane::NONE;
        let shift = ClimateShift::of(&unknown, &DAMP_TO_DRY);
        assert_eq!(shift.without_sheet, Some(MovementUnknown::NoMovement));
        assert!((shift.known[0] + 8.0 * 0.0115).abs() < 1e-12, "colder bars are shorter: {shift:?}");
    }

    #[test]
    fn a_board_without_grain_changes_pitch_and_leaves_square_and_slant_lines() {
        let mdf = top("MDF");
        let (without, with) = (predicted(None), predicted(Some((&mdf, &DAMP_TO_DRY))));
        let shift = ClimateShift::of(&mdf, &DAMP_TO_DRY);
        assert!(shift.known[0] < -0.3, "{shift:?}");
        for which in 0..2 {
            let [before, after] = [&without, &with].map(|p| p.pitch[which].sample.unwrap());
            let off = after.mean - before.mean - shift.known[which];
            let noise = 4.0 * shift.uncertainty()[which] / 4096f64.sqrt();
            assert!(off.abs() < noise, "{which}: {off}");
            // The spreads add as squares, on boards as to first order.
            let own = shift.uncertainty()[which];
            let added = (before.sd * before.sd + own * own).sqrt();
            assert!((after.sd / added - 1.0).abs() < 0.03, "{which}: {} against {added}", after.sd);
            let [before, after] = [&without, &with].map(|p| p.pitch[which].first_order_sd.unwrap());
            assert!((after * after - before * before - own * own).abs() < 1e-9, "{which}");
        }
        // Square and the line at 45° to the last part in a thousand of themselves, which is the
        // product of two small strains.
        let [before, after] = [&without, &with].map(|p| (p.square.sample.unwrap(), p.lines[0].figure.sample.unwrap()));
        assert!((after.0.sd / before.0.sd - 1.0).abs() < 1e-3 && (after.0.mean - before.0.mean).abs() < 1e-4);
        assert!((after.1.sd / before.1.sd - 1.0).abs() < 1e-3 && (after.1.mean - before.1.mean).abs() < 1e-3);
        let [before, after] = [&without, &with].map(|p| p.square.first_order_sd.unwrap());
        assert!((after / before - 1.0).abs() < 1e-12, "{before} {after}");
        assert!(with.budget.iter().all(|(group, _)| *group != Group::Climate), "{:?}", with.budget);
        assert_eq!(with.passed, without.passed, "checks are made on the day of boring");
        // Places go with the pitch: first order counts the known shift in, so both ways agree.
        let rms = with.position_rms.sample.unwrap().mean / with.position_rms.first_order_sd.unwrap();
        assert!((0.9..1.05).contains(&rms), "{rms}");
        assert!(with.position_rms.sample.unwrap().mean > 1.5 * without.position_rms.sample.unwrap().mean);
    }

    #[test]
    fn solid_wood_turns_lines_that_run_aslant() {
        let oak = top("white oak");
        let shift = ClimateShift::of(&oak, &DAMP_TO_DRY);
        let sheet = movement(&oak, Some(&DAMP_TO_DRY)).unwrap();
        assert!((shift.greatest_turn() - 0.5 * (sheet.strain[1] - sheet.strain[0]).abs()).abs() < 1e-12);
        let (without, with) = (predicted(None), predicted(Some((&oak, &DAMP_TO_DRY))));
        // By geometry: the rail from (0, 0) to (600, 600) ends at (600(1 + x), 600(1 + y)).
        let [x, y] = shift.known.map(|s| s / 1000.0);
        let exact = 1000.0 * (crate::math::atan2(1.0 + y, 1.0 + x) - std::f64::consts::FRAC_PI_4);
        let [before, after] = [&without, &with].map(|p| p.lines[0].figure.sample.unwrap());
        let own = 0.5 * (shift.moisture[1] - shift.moisture[0]).abs() / 3f64.sqrt();
        let noise = 4.0 * own / 4096f64.sqrt();
        assert!((after.mean - before.mean - exact).abs() < noise, "{} {} {exact}", before.mean, after.mean);
        assert!(exact.abs() > 3.0, "{exact}");
        let added = (before.sd * before.sd + own * own).sqrt();
        assert!((after.sd / added - 1.0).abs() < 0.03, "{} against {added}", after.sd);
        let [before, after] = [&without, &with].map(|p| p.lines[0].figure.first_order_sd.unwrap());
        assert!((after * after - before * before - own * own).abs() < 1e-6, "{before} {after} {own}");
        // Square stays, but for the turn with which the first bar is laid by hand: 0.5 mm over the
        // 1100 mm between its outer holes, times twice the difference of the strains.
        let turned = 2.0 * (y - x) * 1000.0 * 0.5 / 1100.0;
        let first = [&without, &with].map(|p| p.square.first_order_sd.unwrap());
        let boards = [&without, &with].map(|p| p.square.sample.unwrap());
        let added = (boards[0].sd * boards[0].sd + turned * turned).sqrt();
        assert!((boards[1].sd / added - 1.0).abs() < 0.03 && added > 1.03 * boards[0].sd, "{boards:?} {added}");
        // To first order alike: how far askew the grid lies goes with its square a little.
        let grown = [first, boards.map(|b| b.sd)].map(|[before, after]| (after * after - before * before).sqrt());
        assert!((first[1] / boards[1].sd - first[0] / boards[0].sd).abs() < 0.01, "{first:?} {boards:?}");
        assert!((grown[0] / turned.abs() - 1.0).abs() < 0.2, "{grown:?} {turned}");
    }
}
