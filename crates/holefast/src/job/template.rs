//! A new job as text: commented, and such that it runs as it stands.
//!
//! The kit in it is common practice, no source: bars of twelve holes, close pins, a guide block.
//! Whoever fills it in replaces these numbers by what lies on the bench.

use toml_edit::Value;

use super::Units;
use crate::measure::format;

/// What a new job starts from; lengths in mm whatever its units.
#[derive(Clone, Debug, PartialEq)]
pub struct NewJob {
    /// Its name.
    pub name: String,
    /// What bare numbers in it will be.
    pub units: Units,
    /// Of the sheet, along the reference edge, mm.
    pub length: f64,
    /// Of the sheet, away from it, mm.
    pub width: f64,
    /// Of the sheet, mm.
    pub thickness: f64,
    /// A known material.
    pub material: String,
}

impl NewJob {
    /// A sheet that lies on two trestles and passes through a door: 1200 × 700 mm in mm jobs, 48
    /// by 28 in in inch jobs.
    pub fn new(name: &str, units: Units) -> NewJob {
        let (length, width, thickness) = match units {
            Units::Mm => (1200.0, 700.0, 18.0),
            Units::Inch => (1219.2, 711.2, 19.05),
        };
        NewJob { name: name.to_owned(), units, length, width, thickness, material: "birch plywood".to_owned() }
    }
}

/// The sizes that differ between mm and inch jobs, as TOML.
struct Sizes {
    units: &'static str,
    say: &'static str,
    pitch: &'static str,
    hole: &'static str,
    pilot: &'static str,
    edge: &'static str,
    bar: [&'static str; 5],
    pin: [&'static str; 2],
    gauge: &'static str,
    pilot_bit: [&'static str; 4],
    block: [&'static str; 4],
    opening_bit: [&'static str; 4],
    dog: &'static str,
    clamp: &'static str,
    /// Shown as comments: gauge's length, block's size and step, dog's height, clamps' opening, hold-down.
    heights: [&'static str; 6],
    support: &'static str,
}

const MM: Sizes = Sizes {
    units: "mm",
    say: "millimetres",
    pitch: "100",
    hole: "20",
    pilot: "4",
    edge: "45",
    bar: ["\"4 H7\"", "0.02", "40", "8", "20"],
    pin: ["\"4 h6\"", "40"],
    gauge: "[3.882, 3.900]",
    pilot_bit: ["4", "[0.005, 0.02]", "0.015", "[0.02, 0.06]"],
    block: ["100", "\"4 H7\"", "\"20 H7\"", "0.015"],
    opening_bit: ["20", "[0.01, 0.03]", "0.01", "[0.0, 0.05]"],
    dog: "\"20 g6\"",
    clamp: "120",
    heights: ["30", "[270, 60, 40]", "20", "25", "160", "150"],
    support: "[200, 0, 200, 700]",
};

const INCH: Sizes = Sizes {
    units: "in",
    say: "inches",
    pitch: "4",
    hole: "\"3/4 in\"",
    pilot: "\"1/8 in\"",
    edge: "1.75",
    bar: ["\"0.125 in H7\"", "0.0008", "1.5", "\"5/16 in\"", "\"3/4 in\""],
    pin: ["\"0.125 in h6\"", "1.5"],
    gauge: "[\"2.986 mm\", \"3 mm\"]",
    pilot_bit: ["\"1/8 in\"", "[0.0002, 0.0008]", "0.0006", "[0.0008, 0.0024]"],
    block: ["4", "\"0.125 in H7\"", "\"0.75 in H7\"", "0.0006"],
    opening_bit: ["\"3/4 in\"", "[0.0004, 0.0012]", "0.0004", "[0, 0.002]"],
    dog: "\"0.75 in g6\"",
    clamp: "5",
    heights: ["1.25", "[11, 2.5, 1.5]", "0.75", "1", "6", "6"],
    support: "[8, 0, 8, 28]",
};

/// Writes the job. It is read without a fault or remark wherever the sheet's sizes are sizes at
/// all (more than 0, at most 10 m; thickness at most 300 mm) and the material is known.
pub fn new_job(new: &NewJob) -> String {
    let s = match new.units {
        Units::Mm => &MM,
        Units::Inch => &INCH,
    };
    let length = |mm: f64| format::length_bare(mm, new.units);
    let text = |text: &str| Value::from(text).to_string();
    let [bore, bar_position, bar_width, bar_thickness, beyond] = s.bar;
    let [pin, pin_length] = s.pin;
    let [pilot_bit, pilot_clearance, pilot_wander, pilot_oversize] = s.pilot_bit;
    let [reach, bore_pin, bore_dog, block_position] = s.block;
    let [opening_bit, opening_clearance, opening_wander, opening_oversize] = s.opening_bit;
    format!(
        "\
# A job for holefast: one worktop, the kit it is bored with, and what is wanted of it.
# It runs as it stands. Change first: [top] to your sheet, then [kit] to what lies on your bench.
# Bare numbers are {say}; a text carries its own unit: \"3/4 in\", \"19.05 mm\".
# ISO 286 codes such as \"4 H7\" are in mm unless they say in: \"0.125 in H7\".

holefast = 1                          # format of this file
name  = {name}
units = \"{units}\"
note  = \"\"

[top]
length = {top_length}                 # along the reference edge: x
width  = {top_width}                  # away from it: y
thickness = {top_thickness}
material = {material}                 # a known name, or {{ name = \"ash\", density = 680 }}
# grain = \"length\"                    # or \"width\": matters for solid wood
# load = 20                           # kg it is to bear, besides its own weight, for its sag

# [[support]]                         # two or more lines it rests on, for its sag: [x0, y0, x1, y1]
# line = {support}

[grid]
pitch = {pitch}                       # a bar bores its own pitch
hole  = {hole}                        # dog hole
pilot = {pilot}                       # bored first, on the same centre
rows = \"fit\"                          # a number, or as many as fit
columns = \"fit\"
edge = {edge}                         # least distance from a hole's centre to the edge
origin = \"centred\"                    # or [x, y] of A1, or \"fit\": where most holes go
# skip = [\"C4\", \"D4:D9\"]              # places to leave out; or only = [\"A1:A9\"]

# [[done]]                            # bored already: the plan goes on from there
# holes = [\"A1:A6\"]
# as = \"pilot\"                        # or \"dog\"

# [[spoiled]]                         # gone wrong: plugged and bored again, or gone round with skip
# hole = \"C5\"
# why = \"bit wandered\"

# [[keep_out]]                        # what stands in the way
# name = \"trestle\"
# rect = [0, 0, 0, 0]                 # x, y, length, width; or circle = [x, y, diameter]
# clearance = 0                       # a hole is out if its edge comes nearer than this
# side = \"below\"                      # \"above\" keeps bars and block off too; \"both\"

[kit]
method = \"bars\"

[[kit.bar]]
name = \"L\"
count = 2                             # L1 and L2: two make a square corner
holes = 12
pitch = {pitch}
bore = {bore}
position = {bar_position}             # each hole's centre lies within this, either way, per axis
turn_over = true                      # may be used either face up
width = {bar_width}
thickness = {bar_thickness}
beyond = {beyond}                     # from the last hole to the bar's end

[kit.pin]                             # close pins, for pilots
diameter = {pin}
count = 3
length = {pin_length}

[[kit.gauge]]                         # thinner pins for checks: the shanks of two drills
diameter = {gauge}
count = 2
# length = {gauge_length}                         # as far as it may stand in bar and pilot

[kit.pilot_bit]
diameter = {pilot_bit}
clearance = {pilot_clearance}         # in the bar's hole, on the diameter
wander = {pilot_wander}               # standard deviation per axis
oversize = {pilot_oversize}           # bore less bit; better: measure a trial bore

[kit.block]                           # steers the big bit
reach = {reach}                       # from the bush to the locating place on each side
bore_pin = {bore_pin}
bore_dog = {bore_dog}
position = {block_position}
# size = {block_size}                # footprint and height
# step = {step}                         # its places hold a dog so far up from the sheet, a pin above

[kit.opening_bit]
diameter = {opening_bit}
clearance = {opening_clearance}       # in the bush, on the diameter
wander = {opening_wander}
lean = 0.04                           # how far from upright, standard deviation, degrees
oversize = {opening_oversize}

[kit.dog]
diameter = {dog}
count = 2
# height = {dog_height}                        # stands out of the top

[kit.clamp]
reach = {clamp}                       # from an edge
# opens = {opens}                         # below and top.free_below: what it takes and has under the sheet
# hold_down = {hold_down}                     # reach of one that stands in a dog hole; hold_down_high: of its pad

# [trial]                              # measured in an offcut of this sheet: replaces both oversizes
# pilot = [{pilot_bit}]               # each hole's diameter, more than one if you can
# dog = [{opening_bit}]

[accuracy]
square = 0.25                         # mm per m, wanted; the same in inch jobs
confidence = 0.95                     # 95 times in 100

# [[bench_note]]                      # to be printed on a card: by its number, its stage or a hole
# hole = \"A1\"                        # or stage = \"open\", or card = 3; card 0 is the trial bore
# text = \"knot here: bore slowly\"
",
        say = s.say,
        name = text(&new.name),
        units = s.units,
        top_length = length(new.length),
        top_width = length(new.width),
        top_thickness = length(new.thickness),
        material = text(&new.material),
        pitch = s.pitch,
        hole = s.hole,
        pilot = s.pilot,
        edge = s.edge,
        gauge = s.gauge,
        dog = s.dog,
        clamp = s.clamp,
        gauge_length = s.heights[0],
        block_size = s.heights[1],
        step = s.heights[2],
        dog_height = s.heights[3],
        opens = s.heights[4],
        hold_down = s.heights[5],
        support = s.support,
    )
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::parse;
    use super::*;
    use crate::top::lay_out;

    #[test]
    fn a_new_job_runs_as_it_stands() {
        for units in [Units::Mm, Units::Inch] {
            let parsed = parse(&new_job(&NewJob::new("Bench", units)));
            assert_eq!(parsed.faults, [], "{units:?}");
            let job = parsed.job.unwrap();
            assert_eq!(job.units, units);
            let layout = lay_out(&job).unwrap();
            assert_eq!(
                (layout.rows, layout.columns, layout.conflicts.len()),
                match units {
                    Units::Mm => (7, 12, 0),
                    Units::Inch => (7, 12, 0),
                }
            );
        }
    }

    /// Every figure of a job, in the order of its fields.
    fn figures(job: &crate::job::Job) -> Vec<f64> {
        let text = format!("{:?} {:?} {:?}", job.kit, job.grid, job.top);
        let words = text.split(|c: char| !(c.is_ascii_alphanumeric() || "._-".contains(c)));
        words.filter_map(|word| word.parse().ok()).collect()
    }

    /// An inch job's kit is made of the nearest sizes that shops have: a figure left in another unit is 25 times as
    /// large or as small. What stands in comments counts too.
    #[test]
    fn the_inch_job_is_the_millimetre_job_in_nearby_sizes() {
        let read = |units| {
            let commented = ["length =", "size =", "step =", "height =", "opens =", "hold_down ="];
            let line = |line: &str| match line.strip_prefix("# ") {
                Some(rest) if commented.iter().any(|key| rest.starts_with(key)) => format!("{rest}\n"),
                _ => format!("{line}\n"),
            };
            let text: String = new_job(&NewJob::new("Bench", units)).lines().map(line).collect();
            let parsed = parse(&text);
            figures(&parsed.job.unwrap_or_else(|| panic!("{:?}\n{text}", parsed.faults)))
        };
        let (mm, inch) = (read(Units::Mm), read(Units::Inch));
        assert_eq!(mm.len(), inch.len());
        assert!(mm.len() > 60, "only {} figures", mm.len());
        for (i, (a, b)) in mm.iter().zip(&inch).enumerate() {
            let alike = a == b || (a * b > 0.0 && (0.6..1.7).contains(&(a / b)));
            assert!(alike, "figure {i}: {a} in the millimetre job, {b} in the inch job");
        }
    }

    proptest! {
        #[test]
        fn any_name_and_size_is_read_back(
            name in ".*",
            inch in any::<bool>(),
            length in 1.0f64..10_000.0,
            width in 1.0f64..10_000.0,
            thickness in 1.0f64..300.0,
        ) {
            let units = if inch { Units::Inch } else { Units::Mm };
            let new = NewJob { name: name.clone(), length, width, thickness, ..NewJob::new("", units) };
            let parsed = parse(&new_job(&new));
            prop_assert!(parsed.faults.is_empty(), "{:?}", parsed.faults);
            let job = parsed.job.unwrap();
            prop_assert_eq!(job.name, name);
            // A length is written to a micrometre, or a ten-thousandth of an inch.
            prop_assert!((job.top.length - length).abs() < 0.0013);
            prop_assert!((job.top.thickness - thickness).abs() < 0.0013);
        }
    }
}
