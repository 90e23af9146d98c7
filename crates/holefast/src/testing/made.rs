//! Made tops: random jobs as text, such as people write them, from a seed.
//!
//! Every seed gives a job that reads without a fault. Few have no hole left by their rails; whether
//! bars can bore the others is for [`super::reach`] to say. Tops from 3 × 4 to 12 × 24 holes, lone holes and corners left out,
//! rails and posts below, short bars, few pins, inch pitches, bars finer than the grid. Nothing
//! stands above the top, and nothing is part-bored.

use std::fmt::Write;

/// A small generator of well-mixed numbers (splitmix64, Steele, Lea and Flood 2014, from memory):
/// the same on every machine, and any seed will do.
#[derive(Clone, Debug)]
pub struct Dice {
    state: u64,
}

impl Dice {
    /// Starts a stream of its own for each seed.
    pub fn new(seed: u64) -> Dice {
        Dice { state: seed }
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A whole number from `least` to `greatest`, both included.
    pub fn whole(&mut self, least: u32, greatest: u32) -> u32 {
        let span = u64::from(greatest.saturating_sub(least)) + 1;
        // The bias of the remainder is below 1e-9 for spans of a few dozen.
        least + (self.bits() % span) as u32
    }

    /// A number from nil to below one.
    pub fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// True `percent` times in a hundred.
    pub fn chance(&mut self, percent: u32) -> bool {
        self.whole(1, 100) <= percent
    }

    /// One of several.
    pub fn one_of<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.whole(0, of.len() as u32 - 1) as usize]
    }
}

/// Returns the text of a made job.
pub fn made_top(seed: u64) -> String {
    let mut dice = Dice::new(seed);
    let inch = dice.chance(20);
    // Numbers below are in the job's own units.
    let base: f64 = if inch { dice.one_of(&[2.0, 3.0, 4.0]) } else { dice.one_of(&[64.0, 80.0, 96.0, 100.0, 120.0]) };
    let finer = if dice.chance(25) { dice.whole(2, 3) } else { 1 };
    let mut pitch = [base, base];
    if finer > 1 && dice.chance(40) {
        // Along columns another whole multiple of the bars' pitch.
        pitch[1] = base * f64::from(finer + 1) / f64::from(finer);
    }
    let bar_pitch = base / f64::from(finer);
    let long = dice.chance(20);
    let rows = dice.whole(3, 12);
    let columns = if long { dice.whole(14, 24) } else { dice.whole(4, 14) };
    let (hole, pilot, edge, post) = if inch { (0.75, 0.125, 1.75, 1.5) } else { (20.0, 4.0, 45.0, 40.0) };
    let margin = |dice: &mut Dice| {
        let spare = if dice.chance(30) { 1.6 * base } else { 0.4 * base };
        let fine = if inch { 8.0 } else { 1.0 };
        ((edge + dice.unit() * spare) * fine).ceil() / fine
    };
    let around = [margin(&mut dice), margin(&mut dice), margin(&mut dice), margin(&mut dice)];
    let length = around[0] + f64::from(columns - 1) * pitch[0] + around[1];
    let width = around[2] + f64::from(rows - 1) * pitch[1] + around[3];
    let place = |row: f64, column: f64| [around[0] + column * pitch[0], around[2] + row * pitch[1]];

    let mut skip = Vec::new();
    let name = |row: u32, column: u32| crate::top::Cell::new(row, column).to_string();
    if dice.chance(50) {
        for _ in 0..dice.whole(1, 4) {
            skip.push(name(dice.whole(0, rows - 1), dice.whole(0, columns - 1)));
        }
    }
    if dice.chance(25) && rows >= 5 && columns >= 6 {
        // An L: the far corner left out, on one side or the other.
        let (row, column) = (dice.whole(rows / 2, rows - 1), dice.whole(columns / 2, columns - 1));
        let (from, to) = if dice.chance(50) { (column, columns - 1) } else { (0, columns - 1 - column) };
        skip.push(format!("{}:{}", name(row, from), name(rows - 1, to)));
    }
    if dice.chance(10) && rows >= 5 && columns >= 6 {
        // A hole in the middle of the pattern.
        let (row, column) = (dice.whole(1, rows - 3), dice.whole(1, columns - 3));
        skip.push(format!("{}:{}", name(row, column), name(row + 1, column + 1)));
    }
    let mut keep_outs = String::new();
    if dice.chance(45) {
        for n in 1..=dice.whole(1, 3) {
            // Most rails pass between two columns or rows, some take one away or several.
            let between = if dice.chance(65) { 0.5 } else { 0.0 };
            let thick = if dice.chance(12) { base * f64::from(dice.whole(1, 3)) } else { 0.3 * base };
            let rect = if dice.chance(65) {
                let [x, _] = place(0.0, f64::from(dice.whole(0, columns - 2)) + between);
                format!("{}, 0, {thick}, {width}", x - 0.5 * thick)
            } else {
                let [_, y] = place(f64::from(dice.whole(0, rows - 2)) + between, 0.0);
                format!("0, {}, {length}, {thick}", y - 0.5 * thick)
            };
            let clearance = 0.05 * base;
            let _ = write!(
                keep_outs,
                "[[keep_out]]\nname = \"rail {n}\"\nrect = [{rect}]\nclearance = {clearance}\nside = \"below\"\n",
            );
        }
    }
    if dice.chance(25) {
        let [x, y] =
            place(f64::from(dice.whole(0, 2 * rows - 2)) / 2.0, f64::from(dice.whole(0, 2 * columns - 2)) / 2.0);
        let _ = write!(
            keep_outs,
            "[[keep_out]]\nname = \"post\"\ncircle = [{x}, {y}, {post}]\nclearance = {}\nside = \"below\"\n",
            0.02 * base
        );
    }

    let mut text = format!(
        "holefast = 1\nname = \"made top {seed}\"\nunits = \"{}\"\n\n[top]\nlength = {length}\nwidth = {width}\n\
         thickness = {}\nmaterial = \"birch plywood\"\n\n[grid]\npitch = [{}, {}]\nhole = {hole}\npilot = {pilot}\n\
         rows = {rows}\ncolumns = {columns}\nedge = {edge}\norigin = [{}, {}]\n",
        if inch { "in" } else { "mm" },
        if inch { 0.75 } else { 21.0 },
        pitch[0],
        pitch[1],
        around[0],
        around[2],
    );
    if !skip.is_empty() {
        let _ = writeln!(text, "skip = {skip:?}");
    }
    let _ = write!(text, "\n{keep_outs}\n[kit]\nmethod = \"bars\"\n");
    let turn_over = dice.chance(80);
    let bar = |name: &str, count: u32, holes: u32| {
        let (bore, position) = if inch { ("0.125 in H7", 0.0008) } else { ("4 H7", 0.02) };
        format!(
            "[[kit.bar]]\nname = \"{name}\"\ncount = {count}\nholes = {holes}\npitch = {bar_pitch}\nbore = \"{bore}\"\n\
             position = {position}\nturn_over = {turn_over}\n"
        )
    };
    let holes = |dice: &mut Dice| {
        // Few have bars too short for any triangle.
        let least = if dice.chance(3) { 4 } else { 6 };
        (dice.whole(least, 16) - 1) * finer + 1
    };
    if dice.chance(30) {
        let (first, second) = (holes(&mut dice), holes(&mut dice));
        text += &bar("L", 1, first);
        text += &bar("S", dice.whole(1, 2), second);
    } else {
        let (count, holes) = (dice.whole(2, 3), holes(&mut dice));
        text += &bar("L", count, holes);
    }
    let pins = if dice.chance(15) { 2 } else { dice.whole(3, 4) };
    let (pin, gauge) = if inch { ("0.125 in h6", "[\"3.05 mm\", \"3.07 mm\"]") } else { ("4 h6", "[3.882, 3.9]") };
    let _ = write!(text, "[kit.pin]\ndiameter = \"{pin}\"\ncount = {pins}\n");
    if pins == 2 || dice.chance(70) {
        let _ = write!(text, "[[kit.gauge]]\ndiameter = {gauge}\ncount = 2\n");
    }
    let scale = if inch { 1.0 / 25.4 } else { 1.0 };
    let of = |mm: f64| format!("{:.6}", mm * scale);
    let _ = write!(
        text,
        "[kit.pilot_bit]\ndiameter = {pilot}\nclearance = [{}, {}]\nwander = {}\noversize = [{}, {}]\n\
         [kit.block]\nreach = [{}, {}]\nbore_pin = \"{}\"\nbore_dog = \"{}\"\nposition = {}\n\
         [kit.opening_bit]\ndiameter = {hole}\nclearance = [{}, {}]\nwander = {}\noversize = [0.0, {}]\n\
         [kit.dog]\ndiameter = \"{}\"\ncount = 2\n\n[accuracy]\nsquare = 0.25\n",
        of(0.005),
        of(0.02),
        of(0.015),
        of(0.02),
        of(0.06),
        pitch[0],
        pitch[1],
        if inch { "0.125 in H7" } else { "4 H7" },
        if inch { "0.75 in H7" } else { "20 H7" },
        of(0.015),
        of(0.01),
        of(0.03),
        of(0.01),
        of(0.05),
        if inch { "0.75 in g6" } else { "20 g6" },
    );
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::top::lay_out;

    #[test]
    fn the_generator_gives_the_published_numbers() {
        // splitmix64 from seed 1234567, first values; from memory, widely printed.
        let mut dice = Dice::new(1_234_567);
        assert_eq!(dice.bits(), 6_457_827_717_110_365_317);
        assert_eq!(dice.bits(), 3_203_168_211_198_807_973);
    }

    #[test]
    fn made_tops_read_without_a_fault_and_differ() {
        let (mut inches, mut long, mut partial, mut two_pins, mut finer, mut bare) = (0, 0, 0, 0, 0, 0);
        for seed in 0..400 {
            let text = made_top(seed);
            let parsed = crate::job::parse(&text);
            let job = parsed.job.unwrap_or_else(|| panic!("seed {seed}: {:?}\n{text}", parsed.faults));
            let Ok(layout) = lay_out(&job) else {
                bare += 1;
                continue;
            };
            let kit = job.kit.as_ref().unwrap();
            inches += u32::from(text.contains("units = \"in\""));
            long += u32::from(layout.columns > kit.bars.iter().map(|bar| bar.holes).max().unwrap());
            partial += u32::from(layout.holes.len() < (layout.rows * layout.columns) as usize);
            two_pins += u32::from(kit.pin.count == 2);
            finer += u32::from(kit.bars[0].pitch < 0.9 * job.grid.pitch[0]);
        }
        for (what, n) in
            [("inch", inches), ("long", long), ("partial", partial), ("two pins", two_pins), ("finer bars", finer)]
        {
            assert!((20..=350).contains(&n), "{n} of 400 are {what}");
        }
        assert!(bare <= 8, "{bare} of 400 have no hole left");
    }
}
