//! The virtual board as plainly as it can be said: one board at a time, its own random numbers, its
//! own algebra, seats by trial in the clearances, straight from docs/design/prediction.md 1 to 6.
//! Shares nothing with the core but the plan and the kit.

#![allow(dead_code, reason = "each test uses its own part")]
#![allow(clippy::needless_range_loop, reason = "elimination as the books write it")]

use std::collections::BTreeMap;

use holefast::kit::{Kit, Limits};
use holefast::math;
use holefast::plan::{Bit, Place, Plan, Setup, Stage, With};

/// A small generator of another family (splitmix64, from memory) for the plain board.
#[derive(Clone)]
pub struct Dice(u64);

impl Dice {
    pub fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / 9_007_199_254_740_992.0
    }

    fn within(&mut self, limits: Limits) -> f64 {
        limits.min + self.uniform() * (limits.max - limits.min)
    }

    /// Polar method.
    fn normal(&mut self) -> f64 {
        loop {
            let (x, y) = (2.0 * self.uniform() - 1.0, 2.0 * self.uniform() - 1.0);
            let s = x * x + y * y;
            if s > 0.0 && s < 1.0 {
                return x * (-2.0 * math::ln(s) / s).sqrt();
            }
        }
    }

    /// Uniform in a disc, by trial in the square round it.
    fn disc(&mut self, radius: f64) -> [f64; 2] {
        loop {
            let (x, y) = (2.0 * self.uniform() - 1.0, 2.0 * self.uniform() - 1.0);
            if x * x + y * y <= 1.0 {
                return [radius * x, radius * y];
            }
        }
    }
}

#[derive(Clone, Copy, Default)]
pub struct Hole {
    pub pilot: [f64; 2],
    pilot_bore: f64,
    dog: [f64; 2],
    dog_bore: f64,
    opened: bool,
}

/// One board's own bars and block, and its holes so far.
pub struct Board<'p> {
    kit: &'p Kit,
    plan: &'p Plan,
    dice: Dice,
    /// By template and feature: offset, bore, bore for a dog.
    features: BTreeMap<(&'p str, &'p str), ([f64; 2], f64, f64)>,
    pub holes: BTreeMap<&'p str, Hole>,
    pub unseated: u32,
    pub checks: Vec<bool>,
    pub press: Press,
    /// Slips to try at the checks.
    pub slips: &'p [Slip],
    /// Whether the check goes, for every slip in order.
    pub slipped: Vec<bool>,
}

/// Holes out of place when a check is made.
pub struct Slip {
    /// Number of the check.
    pub setup: u32,
    pub moves: Vec<(String, [f64; 2])>,
}

/// What the hand does with a bar of the fill once both its pins are in.
#[derive(Clone, Copy, PartialEq)]
pub enum Press {
    /// Lets it float.
    Nothing,
    /// Presses it home on this pin of the two: that one's slip is anywhere in its clearance, the
    /// other's whatever follows along the bar.
    Home(usize),
    /// Pushes it along, always the same way, until a pin stops it.
    Along,
}

/// A locator as a line of the linear system: which template, where, what it is off by.
pub struct Peg {
    a: usize,
    pub lever_a: [f64; 2],
    b: Option<(usize, [f64; 2])>,
    pub off: [f64; 2],
    pub r: f64,
    give: f64,
}

fn rotate(setup: &Setup, which: usize, v: [f64; 2]) -> [f64; 2] {
    let placed = &setup.templates[which];
    let (s, c) = math::sin_cos(placed.turn_deg.to_radians());
    let y = if placed.turned_over { -v[1] } else { v[1] };
    [c * v[0] - s * y, s * v[0] + c * y]
}

impl<'p> Board<'p> {
    pub fn new(kit: &'p Kit, plan: &'p Plan, seed: u64) -> Board<'p> {
        let mut dice = Dice(seed.wrapping_mul(0xD134_2543_DE82_EF95));
        let mut features = BTreeMap::new();
        for t in &plan.templates {
            for f in &t.features {
                let spread = Limits::new(-f.position_mm, f.position_mm);
                let offset = [dice.within(spread), dice.within(spread)];
                let bore = f.bore_mm.map_or(0.0, |l| dice.within(l));
                let bore_dog = f.bore_dog_mm.map_or(0.0, |l| dice.within(l));
                features.insert((t.id.as_str(), f.name.as_str()), (offset, bore, bore_dog));
            }
        }
        Board {
            kit,
            plan,
            dice,
            features,
            holes: BTreeMap::new(),
            unseated: 0,
            checks: Vec::new(),
            press: Press::Nothing,
            slips: &[],
            slipped: Vec::new(),
        }
    }

    /// Template's place in the set-up, lever and offset of a feature, its two bores.
    fn look(&self, setup: &Setup, place: &Place) -> (usize, [f64; 2], [f64; 2], f64, f64) {
        let Place::Feature { template, feature } = place else { panic!("not a feature") };
        let which = setup.templates.iter().position(|t| t.id == *template).unwrap();
        let nominal = self.plan.template(template).unwrap().features.iter().find(|f| f.name == *feature).unwrap();
        let (offset, bore, bore_dog) = self.features[&(template.as_str(), feature.as_str())];
        (which, rotate(setup, which, [nominal.x_mm, nominal.y_mm]), rotate(setup, which, offset), bore, bore_dog)
    }

    pub fn build(&mut self) {
        for setup in &self.plan.setups {
            let bush_clearance = self.dice.within(self.kit.opening_bit.clearance);
            let before = self.dice.clone();
            let pegs: Vec<Peg> = setup.pins.iter().map(|pin| self.peg(setup, pin, bush_clearance)).collect();
            if setup.check {
                self.checks.push(goes(&pegs));
                self.try_slips(setup, &before, bush_clearance);
                continue;
            }
            let fills = matches!(setup.stage, Stage::Closing | Stage::Fill | Stage::Extend);
            let poses = match pegs.len() {
                0 => vec![[0.5 * self.dice.normal(), 0.5 * self.dice.normal(), 0.0005 * self.dice.normal()]],
                2 if fills && self.press != Press::Nothing => vec![self.press_home(&pegs)],
                2 => vec![self.seat_on_two(&pegs)],
                3 => self.seat_linked(&pegs),
                other => panic!("{other} pins"),
            };
            for bore in &setup.bores {
                let (which, lever, offset, _, _) = self.look(setup, &bore.feature);
                let [x, y, turn] = poses[which];
                let (play, wander, oversize) = match bore.bit {
                    Bit::Pilot => {
                        let bit = &self.kit.pilot_bit;
                        let c = self.dice.within(bit.clearance);
                        (c, bit.wander, bit.oversize)
                    }
                    Bit::Opening => (bush_clearance, self.kit.opening_bit.wander, self.kit.opening_bit.oversize),
                };
                let d = self.dice.disc(0.5 * play);
                let centre = [
                    x - turn * lever[1] + offset[0] + d[0] + wander * self.dice.normal(),
                    y + turn * lever[0] + offset[1] + d[1] + wander * self.dice.normal(),
                ];
                let over = self.dice.within(oversize);
                let hole = self.holes.entry(bore.hole.as_str()).or_default();
                match bore.bit {
                    Bit::Pilot => (hole.pilot, hole.pilot_bore) = (centre, self.kit.pilot_bit.diameter.min + over),
                    Bit::Opening => {
                        (hole.dog, hole.opened) = (centre, true);
                        hole.dog_bore = self.kit.opening_bit.diameter.min + over;
                    }
                }
            }
        }
    }

    /// The check of this set-up again for every slip in store, its holes really displaced, all else
    /// as it was.
    fn try_slips(&mut self, setup: &Setup, before: &Dice, bush_clearance: f64) {
        let after = std::mem::replace(&mut self.dice, before.clone());
        for slip in self.slips.iter().filter(|s| s.setup == setup.number) {
            let sound = self.holes.clone();
            for (name, by) in &slip.moves {
                let hole = self.holes.get_mut(name.as_str()).unwrap();
                hole.pilot = [hole.pilot[0] + by[0], hole.pilot[1] + by[1]];
            }
            self.dice = before.clone();
            let pegs: Vec<Peg> = setup.pins.iter().map(|pin| self.peg(setup, pin, bush_clearance)).collect();
            self.slipped.push(goes(&pegs));
            self.holes = sound;
        }
        self.dice = after;
    }

    pub fn peg(&mut self, setup: &Setup, pin: &holefast::plan::PinUse, bush_clearance: f64) -> Peg {
        let (a, lever_a, offset, bore, bore_dog) = self.look(setup, &pin.a);
        let (d, near) = match pin.with {
            With::Pin => (self.dice.within(self.kit.pin.diameter), bore),
            With::Gauge(limits) => (self.dice.within(limits), bore),
            With::Dog => (self.dice.within(self.kit.dog.diameter), bore_dog),
            With::Point => (0.0, 0.0),
        };
        let half = |bore: f64| (0.5 * (bore - d)).max(0.0);
        let (far_offset, far, b, give) = match &pin.b {
            Place::Hole(name) => {
                let hole = self.holes[name.as_str()];
                let (centre, bore) =
                    if hole.opened { (hole.dog, hole.dog_bore) } else { (hole.pilot, hole.pilot_bore) };
                (centre, bore, None, self.kit.give)
            }
            place => {
                let (which, lever, offset, bore, _) = self.look(setup, place);
                (offset, bore, Some((which, lever)), 0.0)
            }
        };
        let r = if pin.with == With::Point {
            0.5 * (far - self.kit.pilot_bit.diameter.min) + 0.5 * bush_clearance
        } else {
            half(near) + half(far)
        };
        let off = [offset[0] - far_offset[0], offset[1] - far_offset[1]];
        Peg { a, lever_a, b, off, r: r.max(0.001), give }
    }

    /// A bar that does not float: seats as `Press` has it, whether or not the other pin minds.
    fn press_home(&mut self, pegs: &[Peg]) -> [f64; 3] {
        let (g, _, _) = two_pins(pegs);
        let (r1, r2) = (pegs[0].r, pegs[1].r);
        let chord = |r: f64, slip: f64| (r * r - slip * slip).max(0.0).sqrt();
        let (u, v1, v2) = match self.press {
            Press::Home(end) => {
                let (own, other) = (self.dice.disc([r1, r2][end]), self.dice.disc([r2, r1][end]));
                if end == 0 { (own[0], own[1], other[1]) } else { (own[0] - g, other[1], own[1]) }
            }
            _ => {
                let u = r1.min(r2 - g);
                let (a, b) = (2.0 * self.dice.uniform() - 1.0, 2.0 * self.dice.uniform() - 1.0);
                (u, a * chord(r1, u), b * chord(r2, u + g))
            }
        };
        pose_of(pegs, u, v1, v2)
    }

    fn seat_on_two(&mut self, pegs: &[Peg]) -> [f64; 3] {
        let (g, _, _) = two_pins(pegs);
        let (r1, r2) = (pegs[0].r, pegs[1].r);
        let (u, v1, v2) = if g.abs() > r1 + r2 {
            if g.abs() > r1 + r2 + pegs[0].give + pegs[1].give {
                self.unseated += 1;
            }
            (-g.signum() * (r1 + 0.5 * (g.abs() - r1 - r2)), 0.0, 0.0)
        } else {
            // Plain trial: the along-slip where both discs can have it, both across-slips anywhere.
            let (lo, hi) = ((-r1).max(-r2 - g), r1.min(r2 - g));
            loop {
                let u = lo + (hi - lo) * self.dice.uniform();
                let (v1, v2) = (r1 * (2.0 * self.dice.uniform() - 1.0), r2 * (2.0 * self.dice.uniform() - 1.0));
                if u * u + v1 * v1 <= r1 * r1 && (u + g) * (u + g) + v2 * v2 <= r2 * r2 {
                    break (u, v1, v2);
                }
            }
        };
        pose_of(pegs, u, v1, v2)
    }

    fn seat_linked(&mut self, pegs: &[Peg]) -> Vec<[f64; 3]> {
        let n = 6;
        let mut m = vec![vec![0.0; n + 1]; n];
        for (k, peg) in pegs.iter().enumerate() {
            let slip = self.dice.disc(peg.r);
            for axis in 0..2 {
                let row = &mut m[2 * k + axis];
                let turn = |lever: [f64; 2]| if axis == 0 { -lever[1] } else { lever[0] };
                row[3 * peg.a + axis] += 1.0;
                row[3 * peg.a + 2] += turn(peg.lever_a);
                if let Some((b, lever)) = peg.b {
                    row[3 * b + axis] -= 1.0;
                    row[3 * b + 2] -= turn(lever);
                }
                row[n] = slip[axis] - peg.off[axis];
            }
        }
        for i in 0..n {
            let p = (i..n).max_by(|&x, &y| m[x][i].abs().total_cmp(&m[y][i].abs())).unwrap();
            m.swap(i, p);
            for j in i + 1..n {
                let f = m[j][i] / m[i][i];
                for k in i..=n {
                    m[j][k] -= f * m[i][k];
                }
            }
        }
        let mut q = vec![0.0; n];
        for i in (0..n).rev() {
            q[i] = (m[i][n] - (i + 1..n).map(|k| m[i][k] * q[k]).sum::<f64>()) / m[i][i];
        }
        vec![[q[0], q[1], q[2]], [q[3], q[4], q[5]]]
    }

    /// Square, mm per m: means of the columns' and rows' turns weighted as a least-squares lattice
    /// through a full grid has them.
    pub fn square(&self) -> f64 {
        let n = self.plan.holes.len() as f64;
        let of = |f: &dyn Fn(f64, f64, f64, f64) -> f64| -> f64 {
            let each = self.plan.holes.iter().map(|h| {
                let d = self.holes[h.name.as_str()].dog;
                f(f64::from(h.column.unwrap()), f64::from(h.row.unwrap()), h.x_mm + d[0], h.y_mm + d[1])
            });
            each.sum()
        };
        let (mc, mr) = (of(&|c, _, _, _| c) / n, of(&|_, r, _, _| r) / n);
        let (cc, rr) = (of(&|c, _, _, _| (c - mc) * (c - mc)), of(&|_, r, _, _| (r - mr) * (r - mr)));
        let a = [of(&|c, _, x, _| (c - mc) * x) / cc, of(&|c, _, _, y| (c - mc) * y) / cc];
        let b = [of(&|_, r, x, _| (r - mr) * x) / rr, of(&|_, r, _, y| (r - mr) * y) / rr];
        1000.0 * (math::atan2(b[1], b[0]) - math::atan2(a[1], a[0]) - std::f64::consts::FRAC_PI_2)
    }
}

/// Pose from the first pin's slip along the line of the two and both slips across it: slips in the
/// top's frame, then shift and turn from the two equations.
fn pose_of(pegs: &[Peg], u: f64, v1: f64, v2: f64) -> [f64; 3] {
    let (g, e, span) = two_pins(pegs);
    let s1 = [u * e[0] - v1 * e[1], u * e[1] + v1 * e[0]];
    let s2 = [(u + g) * e[0] - v2 * e[1], (u + g) * e[1] + v2 * e[0]];
    let w1 = [s1[0] - pegs[0].off[0], s1[1] - pegs[0].off[1]];
    let w2 = [s2[0] - pegs[1].off[0], s2[1] - pegs[1].off[1]];
    let turn = ((w2[1] - w1[1]) * e[0] - (w2[0] - w1[0]) * e[1]) / span;
    [w1[0] + turn * pegs[0].lever_a[1], w1[1] - turn * pegs[0].lever_a[0], turn]
}

/// True if all pins of one bar enter unforced.
fn goes(pegs: &[Peg]) -> bool {
    /// Places tried along the bar between the greatest slips of the first pin.
    const TRIED: i32 = 200;
    let (g, _, _) = two_pins(pegs);
    let [first, middle, last] = pegs else { return g.abs() <= pegs[0].r + pegs[1].r };
    let d = [last.lever_a[0] - first.lever_a[0], last.lever_a[1] - first.lever_a[1]];
    let span = math::hypot(d[0], d[1]);
    let e = [d[0] / span, d[1] / span];
    let of = |p: &Peg| {
        let l = [p.lever_a[0] - first.lever_a[0], p.lever_a[1] - first.lever_a[1]];
        let o = [p.off[0] - first.off[0], p.off[1] - first.off[1]];
        ((l[0] * e[0] + l[1] * e[1]) / span, o[0] * e[0] + o[1] * e[1], o[1] * e[0] - o[0] * e[1])
    };
    // With the along-slip u, the bar's line may pass each pin within half its chord: the first and
    // last leave a range at the middle one, which must meet the middle's own.
    let [(_, g1, w1), (place, g2, w2), (_, g3, w3)] = [of(first), of(middle), of(last)];
    (-TRIED..=TRIED).any(|i| {
        let u = first.r * f64::from(i) / f64::from(TRIED);
        let chord = |r: f64, slip: f64| (slip.abs() <= r).then(|| (r * r - slip * slip).sqrt());
        match (chord(first.r, u + g1), chord(middle.r, u + g2), chord(last.r, u + g3)) {
            (Some(c1), Some(c2), Some(c3)) => {
                let room = (1.0 - place) * c1 + place * c3 + c2;
                (w2 - (1.0 - place) * w1 - place * w3).abs() <= room
            }
            _ => false,
        }
    })
}

/// Misfit along the line of two pins, that line, their distance.
pub fn two_pins(pegs: &[Peg]) -> (f64, [f64; 2], f64) {
    let d = [pegs[1].lever_a[0] - pegs[0].lever_a[0], pegs[1].lever_a[1] - pegs[0].lever_a[1]];
    let span = math::hypot(d[0], d[1]);
    let e = [d[0] / span, d[1] / span];
    let c = [pegs[1].off[0] - pegs[0].off[0], pegs[1].off[1] - pegs[0].off[1]];
    (c[0] * e[0] + c[1] * e[1], e, span)
}
