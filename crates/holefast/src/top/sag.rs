//! How far the top sags between what it rests on: as a beam across its supports.
//!
//! The beam lies square to the support lines; at each place it is as wide as the sheet there, and
//! holes lessen its stiffness and weight by their mean opening over the width (`perforated`). Own weight, and a load that the job states,
//! laid across the whole width where it bends the top most. Left out: the width's own stiffness (a
//! beam sags up to a tenth more than a plate that bends to a cylinder), supports shorter than
//! the sheet is wide, supports in another direction (`SagLimit::OthersLeftOut`), a frame or battens below it, and what wood gives over the years. Elementary
//! beam theory: 5 q L⁴/(384 E I) for one span under an even load. Millimetres, newtons.

use kurbo::{Point, Vec2};

use super::Support;
use super::beam::{self, Bent, Piece};
use super::layout::Layout;
use super::outline::{distance_to_segment, sides};
use super::perforated::ratio_left;
use crate::job::Job;

/// Standard gravity, m/s².
const GRAVITY: f64 = 9.806_65;

/// mm³ in a m³.
const MM3_PER_M3: f64 = 1e9;

/// Supports whose directions differ by less count as parallel, rad: half a degree, 7 mm over 800.
const PARALLEL: f64 = 0.009;

/// The beam is cut into pieces of even width and stiffness, at least so many over the sheet; a
/// slanted side is stepped so finely that sag changes by less than 1 part in 1000.
const LEAST_PIECES: f64 = 100.0;

/// A piece narrower than this part of the sheet's width is taken as so wide: the tip of a pointed
/// end bends over itself only.
const LEAST_WIDTH: f64 = 0.01;

/// Holes up to this part of the pitch: as far as stiffness was worked out (`perforated`).
const MOST_OF_PITCH: f64 = 0.5;

/// How the top sags.
#[derive(Clone, Debug, PartialEq)]
pub struct Sag {
    /// Direction of the beam in the top's frame, square to the supports, unit length, x ≥ 0.
    pub along: Vec2,
    /// Supports along that direction from the frame's origin, mm, in order; lines nearer to each other
    /// than the sheet is thick are one.
    pub supports: Vec<f64>,
    /// Under its own weight without holes.
    pub whole: Lowest,
    /// Under its own weight with holes.
    pub bored: Lowest,
    /// Bored, under its own weight and the job's load; `None` without one, or if it tips.
    pub loaded: Option<Lowest>,
    /// The least part of its stiffness that holes leave anywhere; 1 without holes.
    pub stiffness_left: f64,
    /// The least load on either end that tips the bored top, kg; `None` if neither end overhangs.
    pub tips_at: Option<f64>,
    /// Where the material's modulus comes from.
    pub source: String,
    /// Where the figure is worth less than it looks.
    pub limits: Vec<SagLimit>,
}

/// The lowest place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lowest {
    /// Below the supports, mm.
    pub down: f64,
    /// Where, mm along the beam.
    pub at: f64,
}

/// A limit of a [`Sag`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SagLimit {
    /// There are supports in another direction, which are left out: on them, too, it sags less.
    OthersLeftOut,
    /// A support ends short of the sheet's sides; between, the sheet sags more.
    ShortSupport,
    /// The bored top lifts off a support under its own weight.
    LiftsOff,
    /// Pitches differ; stiffness is taken by the holes' area alone.
    OblongGrid,
    /// The job's load on an overhanging end tips the top; it is taken between supports only.
    LoadTips,
}

/// Why no sag is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SagUnknown {
    /// The job states no support.
    NoSupports,
    /// All supports lie on one line.
    OneSupport,
    /// Supports run in different directions, and no two side by side carry it by themselves.
    NotParallel,
    /// The material's density is not stated.
    NoDensity,
    /// The material's modulus is not stated in the direction of the beam.
    NoModulus,
    /// The beam runs askew to a grain that matters.
    Askew,
    /// Holes wider than half the pitch.
    TooOpen,
    /// The top's weight lies beyond its supports.
    Tips,
}

/// Returns how the top sags with the layout's holes bored.
///
/// Accurate to 1 part in 1000 as a beam of the stated modulus; the modulus of a sheet differs by a
/// tenth or more from its name's.
///
/// Where supports run in more than one direction, each set of parallel ones is taken alone and the
/// one told that sags least: what the others carry can only lessen it.
pub fn sag(job: &Job, layout: &Layout) -> Result<Sag, SagUnknown> {
    let mut least: Option<Sag> = None;
    let mut why_not = None;
    for rest in rests(job)? {
        match resting(job, layout, &rest) {
            Ok(sag) if least.as_ref().is_none_or(|least| sag.bored.down < least.bored.down) => least = Some(sag),
            Ok(_) => {}
            // It tips without the others; with them it may not.
            Err(SagUnknown::Tips) if rest.others => why_not = why_not.or(Some(SagUnknown::NotParallel)),
            Err(why) => why_not = why_not.or(Some(why)),
        }
    }
    least.ok_or(why_not.unwrap_or(SagUnknown::NotParallel))
}

fn resting(job: &Job, layout: &Layout, rest: &Rest) -> Result<Sag, SagUnknown> {
    let top = &job.top;
    let (along, supports) = (rest.along, rest.places.as_slice());
    let modulus = modulus(job, along)?;
    let density = top.material.density.ok_or(SagUnknown::NoDensity)?;
    let strip = Strip::of(job, along);
    let per_width = modulus * top.thickness * top.thickness * top.thickness / 12.0;
    let weight = density / MM3_PER_M3 * top.thickness * GRAVITY;
    // Rows side by side leave wood beside the grid, which lowers the mean opening below: the grid
    // itself must lie within what was worked out.
    if layout.holes.len() > 1 && job.grid.hole > MOST_OF_PITCH * layout.pitch[0].min(layout.pitch[1]) {
        return Err(SagUnknown::TooOpen);
    }
    let mut stiffness_left: f64 = 1.0;
    let mut whole = Vec::new();
    let mut bored = Vec::new();
    for (from, to) in strip.cuts(layout) {
        let middle = 0.5 * (from + to);
        let width = strip.width(middle).max(LEAST_WIDTH * strip.widest);
        let open = strip.open(layout, middle) / width;
        let left = ratio_left(open).ok_or(SagUnknown::TooOpen)?;
        stiffness_left = stiffness_left.min(left);
        whole.push(Piece { from, to, stiffness: per_width * width, load: weight * width });
        bored.push(Piece { stiffness: per_width * width * left, load: weight * width * (1.0 - open), from, to });
    }
    let own = |pieces: &[Piece]| beam::bend(pieces, supports, &[]).ok_or(SagUnknown::Tips);
    let (unbored, at_rest) = (own(&whole)?, own(&bored)?);
    let (loaded, load_tips) = loaded(job, &bored, supports);
    // What tips without the others may rest on them.
    let loaded = loaded.filter(|_| !(rest.others && load_tips));
    let limits = [
        (rest.others, SagLimit::OthersLeftOut),
        (strip.is_short(&rest.lines, top.thickness), SagLimit::ShortSupport),
        (at_rest.reactions.iter().any(|&force| force <= 0.0), SagLimit::LiftsOff),
        (layout.holes.len() > 1 && layout.pitch[0] != layout.pitch[1], SagLimit::OblongGrid),
        (load_tips && !rest.others, SagLimit::LoadTips),
    ];
    Ok(Sag {
        along,
        whole: lowest(&unbored),
        bored: lowest(&at_rest),
        loaded,
        stiffness_left,
        tips_at: tips_at(&bored, supports, top.thickness).filter(|_| !rest.others),
        source: top.material.source.clone(),
        limits: limits.into_iter().filter_map(|(applies, limit)| applies.then_some(limit)).collect(),
        supports: supports.to_vec(),
    })
}

fn lowest(bent: &Bent) -> Lowest {
    let station = bent.lowest();
    Lowest { down: station.down.max(0.0), at: station.at }
}

/// A beam the top is taken as: supports side by side, and none of the others.
struct Rest {
    /// Direction of the beam, square to them.
    along: Vec2,
    /// Where they lie along it, in order.
    places: Vec<f64>,
    lines: Vec<Support>,
    /// True if the job has supports in another direction.
    others: bool,
}

/// The beams that the job's supports make, by their directions, that of the longest first.
fn rests(job: &Job) -> Result<Vec<Rest>, SagUnknown> {
    if job.supports.is_empty() {
        return Err(SagUnknown::NoSupports);
    }
    let length = |support: &Support| (support.to - support.from).hypot2();
    let mut longest: Vec<&Support> = job.supports.iter().collect();
    longest.sort_by(|a, b| length(b).total_cmp(&length(a)));
    let mut all: Vec<Rest> = Vec::new();
    for support in longest {
        let side_by_side = |along: Vec2, other: &Support| along.dot(direction(other)).abs() <= PARALLEL;
        if all.iter().any(|rest| side_by_side(rest.along, support)) {
            continue;
        }
        let along = across(support);
        let lines: Vec<Support> = job.supports.iter().copied().filter(|other| side_by_side(along, other)).collect();
        let mut places: Vec<f64> = lines.iter().map(|line| along.dot(line.from.midpoint(line.to).to_vec2())).collect();
        places.sort_by(f64::total_cmp);
        places.dedup_by(|b, a| *b - *a <= job.top.thickness);
        all.push(Rest { along, places, others: lines.len() < job.supports.len(), lines });
    }
    let of_one_direction = all.len() == 1;
    all.retain(|rest| rest.places.len() >= 2);
    match all.is_empty() {
        true if of_one_direction => Err(SagUnknown::OneSupport),
        true => Err(SagUnknown::NotParallel),
        false => Ok(all),
    }
}

/// The direction of a beam that lies on a support, x ≥ 0.
fn across(support: &Support) -> Vec2 {
    let line = direction(support);
    let mut along = Vec2::new(line.y, -line.x);
    if along.x < 0.0 || (along.x == 0.0 && along.y < 0.0) {
        along = -along;
    }
    // A support along the sheet's side is meant so, whatever its last typed digit.
    for axis in [Vec2::new(1.0, 0.0), Vec2::new(0.0, 1.0)] {
        if along.cross(axis).abs() < PARALLEL {
            along = axis;
        }
    }
    along
}

/// Of unit length. By square root: kurbo's own goes through `hypot`, whose last bit differs from
/// machine to machine.
fn direction(support: &Support) -> Vec2 {
    let line = support.to - support.from;
    line / line.hypot2().sqrt()
}

/// Modulus along the beam, MPa.
fn modulus(job: &Job, along: Vec2) -> Result<f64, SagUnknown> {
    let [x, y] = job.top.material.modulus.of_axes(job.top.grain);
    if along.y == 0.0 {
        x.ok_or(SagUnknown::NoModulus)
    } else if along.x == 0.0 {
        y.ok_or(SagUnknown::NoModulus)
    } else if x == y {
        x.ok_or(SagUnknown::NoModulus)
    } else {
        Err(SagUnknown::Askew)
    }
}

/// Under its own weight and the job's load, where that bends the bored top most: in the middle of
/// a span or on a free end. True if it tips on an end.
fn loaded(job: &Job, bored: &[Piece], supports: &[f64]) -> (Option<Lowest>, bool) {
    let (Some(load), Some(first), Some(last)) = (job.top.load, bored.first(), bored.last()) else {
        return (None, false);
    };
    let mut places: Vec<f64> = supports.windows(2).map(|pair| 0.5 * (pair[0] + pair[1])).collect();
    places.extend([first.from, last.to]);
    let mut tips = false;
    let mut worst: Option<Lowest> = None;
    for place in places {
        match beam::bend(bored, supports, &[(place, load * GRAVITY)]) {
            None => tips = true,
            Some(bent) => {
                let here = lowest(&bent);
                if worst.is_none_or(|worst| here.down > worst.down) {
                    worst = Some(here);
                }
            }
        }
    }
    (worst, tips)
}

/// The least load on an end, kg, that turns the top about its outermost support.
fn tips_at(bored: &[Piece], supports: &[f64], thickness: f64) -> Option<f64> {
    let (first, last) = (bored.first()?.from, bored.last()?.to);
    let weight: f64 = bored.iter().map(|piece| piece.load * (piece.to - piece.from)).sum();
    let moment: f64 =
        bored.iter().map(|piece| piece.load * (piece.to - piece.from) * 0.5 * (piece.from + piece.to)).sum();
    let centre = moment / weight;
    let about = |support: f64, arm: f64| {
        // An end nearer to its support than the sheet is thick does not turn about it.
        (arm > thickness).then(|| weight / GRAVITY * (centre - support).abs() / arm)
    };
    let (near, far) = (*supports.first()?, *supports.last()?);
    [about(near, near - first), about(far, last - far)].into_iter().flatten().min_by(f64::total_cmp)
}

/// The sheet seen along the supports.
struct Strip<'j> {
    outline: &'j [Point],
    along: Vec2,
    /// Pitch along the beam, over which a hole's opening is spread, mm.
    pitch: f64,
    from: f64,
    to: f64,
    widest: f64,
}

impl<'j> Strip<'j> {
    fn of(job: &'j Job, along: Vec2) -> Strip<'j> {
        let outline = &job.top.outline;
        let places = outline.iter().map(|corner| along.dot(corner.to_vec2()));
        let from = places.clone().fold(f64::INFINITY, f64::min);
        let to = places.fold(f64::NEG_INFINITY, f64::max);
        let [x, y] = job.grid.pitch;
        // Along an axis that axis's pitch, between them what lies between.
        let pitch = along.x * along.x * x + along.y * along.y * y;
        let mut strip = Strip { outline, along, pitch, from, to, widest: 0.0 };
        strip.widest = (0..LEAST_PIECES as usize)
            .map(|n| strip.width(from + (to - from) * (n as f64 + 0.5) / LEAST_PIECES))
            .fold(0.0, f64::max);
        strip
    }

    /// Where the sheet's sides are met by the line across the beam at a place, mm across, in order.
    fn met(&self, at: f64) -> Vec<f64> {
        let across = Vec2::new(-self.along.y, self.along.x);
        let mut met: Vec<f64> = sides(self.outline)
            .filter_map(|(a, b)| {
                let (from, to) = (self.along.dot(a.to_vec2()), self.along.dot(b.to_vec2()));
                // Half-open, so that a corner counts once.
                ((from > at) != (to > at)).then(|| across.dot((a + (b - a) * ((at - from) / (to - from))).to_vec2()))
            })
            .collect();
        met.sort_by(f64::total_cmp);
        met
    }

    /// Width of the sheet at a place, mm.
    fn width(&self, at: f64) -> f64 {
        self.met(at).chunks_exact(2).map(|pair| pair[1] - pair[0]).sum()
    }

    /// Width that holes take at a place, mm: each hole's area spread over a pitch.
    fn open(&self, layout: &Layout, at: f64) -> f64 {
        let area = |diameter: f64| 0.25 * std::f64::consts::PI * diameter * diameter;
        layout
            .holes
            .iter()
            .filter(|hole| (self.along.dot(hole.centre.to_vec2()) - at).abs() < 0.5 * self.pitch)
            .map(|hole| area(hole.diameter) / self.pitch)
            .sum()
    }

    /// Ends of pieces of even width and opening.
    fn cuts(&self, layout: &Layout) -> Vec<(f64, f64)> {
        let mut ends: Vec<f64> = (0..=LEAST_PIECES as usize)
            .map(|n| self.from + (self.to - self.from) * n as f64 / LEAST_PIECES)
            .chain(self.outline.iter().map(|corner| self.along.dot(corner.to_vec2())))
            .chain(layout.holes.iter().flat_map(|hole| {
                let at = self.along.dot(hole.centre.to_vec2());
                [at - 0.5 * self.pitch, at + 0.5 * self.pitch]
            }))
            .filter(|at| (self.from..=self.to).contains(at))
            .collect();
        ends.sort_by(f64::total_cmp);
        // Nearer than this, two ends are one: the pieces between would be thinner than a saw's cut.
        const SAME: f64 = 0.01;
        ends.dedup_by(|b, a| *b - *a < SAME);
        if let Some(last) = ends.last_mut() {
            *last = self.to;
        }
        ends.windows(2).map(|pair| (pair[0], pair[1])).collect()
    }

    /// True if the sheet reaches beyond the supports on some line by more than it is thick.
    fn is_short(&self, lines: &[Support], thickness: f64) -> bool {
        let across = Vec2::new(-self.along.y, self.along.x);
        lines.iter().any(|support| {
            let at = self.along.dot(support.from.midpoint(support.to).to_vec2());
            let met = self.met(at);
            let (Some(&left), Some(&right)) = (met.first(), met.last()) else { return false };
            let on_line = |point: Point| (self.along.dot(point.to_vec2()) - at).abs() <= thickness;
            let spots = [left, right].map(|to_side| (self.along * at + across * to_side).to_point());
            spots.iter().any(|&spot| {
                lines
                    .iter()
                    .filter(|other| on_line(other.from))
                    .all(|other| distance_to_segment(spot, other.from, other.to) > thickness)
            })
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{job, trailer_top};
    use crate::top::{CellRange, Grain, InPlane, Support, lay_out};

    fn line(x0: f64, y0: f64, x1: f64, y1: f64) -> Support {
        Support { from: Point::new(x0, y0), to: Point::new(x1, y1) }
    }

    /// The published strip: 800 × 300 × 18 mm of 3.5 GPa and 750 kg/m³ on its two ends, one hole.
    fn strip() -> Job {
        let mut job = job(800.0, 300.0, 100.0);
        job.top.thickness = 18.0;
        job.top.material.modulus = InPlane::both(3500.0);
        job.top.material.density = Some(750.0);
        job.supports = vec![line(0.0, 0.0, 0.0, 300.0), line(800.0, 0.0, 800.0, 300.0)];
        job
    }

    fn of(job: &Job) -> Result<Sag, SagUnknown> {
        sag(job, &lay_out(job).unwrap())
    }

    #[test]
    fn the_reference_strip() {
        // Source: elementary theory of beams, worked out independently: own weight 0.4151 mm, and 100 N at
        // the centre 2.0903 mm.
        let mut job = strip();
        job.top.load = Some(100.0 / GRAVITY);
        job.grid.skip = vec![CellRange::parse("A1:C9").unwrap()];
        job.grid.extra =
            vec![crate::top::ExtraHole { name: "V1x".to_owned(), centre: Point::new(50.0, 150.0), diameter: 0.2 }];
        let found = of(&job).unwrap();
        assert!((found.whole.down - 0.4151).abs() < 2e-4, "{found:?}");
        assert!((found.whole.at - 400.0).abs() < 2.5);
        assert!((found.bored.down - 0.4151).abs() < 3e-4, "a hole of 0.2 mm: {found:?}");
        assert!((found.loaded.unwrap().down - 0.4151 - 2.0903).abs() < 2e-3, "{found:?}");
        assert_eq!((found.tips_at, found.limits.as_slice()), (None, &[][..]));
    }

    #[test]
    fn no_more_than_a_tenth_beyond_the_reference_plate() {
        // A plate of b/a = 5 on four sides: 0.012971 q a⁴/D, D = E t³/(12 (1 − ν²)), ν = 0.3; the strip
        // between two sides 0.013021. A beam is that without the width's stiffness, 1 − ν².
        let mut job = job(500.0, 2500.0, 100.0);
        job.top.material.modulus = InPlane::both(3500.0);
        job.supports = vec![line(0.0, 0.0, 0.0, 2500.0), line(500.0, 0.0, 500.0, 2500.0)];
        let (load, t) = (700e-9 * 21.0 * GRAVITY, 21.0f64);
        let plate = |alpha: f64| alpha * load * 500.0 * 500.0 * 500.0 * 500.0 / (3500.0 * t * t * t / (12.0 * 0.91));
        let beam = of(&job).unwrap().whole.down;
        assert!(beam > plate(0.012971) && (beam * 0.91 / plate(0.013021) - 1.0).abs() < 1e-3, "{beam}");
    }

    /// Plates on four sides, E = 3.5 GPa, ν = 0.3, by their ratio of sides.
    #[test]
    fn on_four_sides_no_reference_plate_sags_more_than_is_told() {
        // Source: Navier's series, worked out independently; Roark, table 11.4, case 1a, agrees to 0.5 %:
        // 0.004062 q a⁴/D for b/a = 1 up to 0.010129 for 2.
        for (ratio, alpha) in [(1.0, 0.004062), (1.2, 0.005651), (1.5, 0.007724), (2.0, 0.010129)] {
            let (a, b) = (600.0, 600.0 * ratio);
            let mut job = job(b, a, 100.0);
            job.top.material.modulus = InPlane::both(3500.0);
            job.supports = vec![line(0.0, 0.0, b, 0.0), line(0.0, a, b, a), line(0.0, 0.0, 0.0, a), line(b, 0.0, b, a)];
            let (load, t) = (700e-9 * 21.0 * GRAVITY, 21.0f64);
            let plate = alpha * load * a * a * a * a / (3500.0 * t * t * t / (12.0 * 0.91));
            let found = of(&job).unwrap();
            // The strip over the short way: 0.013021 without the width's stiffness.
            let told = found.whole.down / plate;
            assert!(told > 1.0 && (told / (0.013021 / 0.91 / alpha) - 1.0).abs() < 2e-3, "{ratio}: {told}");
            assert_eq!((found.limits.as_slice(), found.tips_at), (&[SagLimit::OthersLeftOut][..], None));
            job.supports.truncate(2);
            assert_eq!(of(&job).unwrap().whole, found.whole);
        }
    }

    #[test]
    fn holes_take_their_share() {
        // 20 on 100 over the whole strip: φ = π/100; by the thin law 1/(1 + 3 φ) = 0.9139.
        let mut job = strip();
        job.grid.edge = 20.0;
        job.grid.rows = crate::top::Count::Number(3);
        job.grid.columns = crate::top::Count::Number(8);
        let found = of(&job).unwrap();
        let open = 0.0314159;
        let thin = 1.0 / (1.0 + 3.0 * open);
        assert!((found.stiffness_left - thin).abs() < 1e-3, "{found:?}");
        assert!((found.bored.down / found.whole.down - (1.0 - open) / thin).abs() < 2e-3, "{found:?}");
    }

    /// Twice the integral of M/EI by small steps: another way to the same sag, on two supports.
    fn by_steps(job: &Job, from: f64, to: f64) -> f64 {
        let strip = Strip::of(job, Vec2::new(1.0, 0.0));
        let n = 4000;
        let step = (strip.to - strip.from) / n as f64;
        let e =
            job.top.material.modulus.along.unwrap() * job.top.thickness * job.top.thickness * job.top.thickness / 12.0;
        let q = job.top.material.density.unwrap() / MM3_PER_M3 * job.top.thickness * GRAVITY;
        let at = |k: usize| strip.from + (k as f64 + 0.5) * step;
        let loads: Vec<f64> = (0..n).map(|k| q * strip.width(at(k)) * step).collect();
        let total: f64 = loads.iter().sum();
        let far: f64 = (0..n).map(|k| loads[k] * (at(k) - from)).sum::<f64>() / (to - from);
        let moment = |x: f64| {
            let carried = (0..n).filter(|&k| at(k) < x).map(|k| loads[k] * (x - at(k))).sum::<f64>();
            (total - far) * (x - from).max(0.0) + far * (x - to).max(0.0) - carried
        };
        let (mut slope, mut down, mut bent) = (0.0, 0.0, Vec::new());
        for k in 0..n {
            let m = moment(at(k) + 0.5 * step);
            slope -= m / (e * strip.width(at(k))) * step;
            down += slope * step;
            bent.push((at(k) + 0.5 * step, down));
        }
        let near = |x: f64| bent.iter().min_by(|a, b| (a.0 - x).abs().total_cmp(&(b.0 - x).abs())).unwrap().1;
        let (y0, y1) = (near(from), near(to));
        bent.iter().map(|(x, y)| y - y0 - (y1 - y0) * (x - from) / (to - from)).fold(0.0, f64::max)
    }

    #[test]
    fn cut_corners_and_overhangs_by_another_way() {
        let mut job = trailer_top();
        job.top.material.modulus = InPlane::both(8000.0);
        job.supports = vec![line(425.0, 0.0, 425.0, 780.0), line(1025.0, 780.0, 1025.0, 0.0)];
        for outline in [
            vec![(0.0, 0.0), (1450.0, 0.0), (1450.0, 780.0), (0.0, 780.0)],
            vec![(0.0, 0.0), (1450.0, 0.0), (1450.0, 320.0), (1150.0, 780.0), (0.0, 780.0)],
            vec![
                (0.0, 0.0),
                (1450.0, 0.0),
                (1450.0, 780.0),
                (800.0, 780.0),
                (800.0, 500.0),
                (600.0, 500.0),
                (600.0, 780.0),
                (0.0, 780.0),
            ],
        ] {
            job.top.outline = outline.into_iter().map(Point::from).collect();
            let (found, other) = (of(&job).unwrap(), by_steps(&job, 425.0, 1025.0));
            assert!((found.whole.down / other - 1.0).abs() < 0.01, "{found:?}, by steps {other}");
        }
    }

    #[test]
    fn the_trailer_top_tips_under_a_man_on_its_end() {
        let mut job = trailer_top();
        job.top.material.modulus = InPlane::both(8000.0);
        job.supports = vec![line(425.0, 0.0, 425.0, 780.0), line(1025.0, 0.0, 1025.0, 780.0)];
        job.top.load = Some(50.0);
        let layout = lay_out(&job).unwrap();
        let found = sag(&job, &layout).unwrap();
        // About a support: 16.17 kg at 300 mm against the load at 425 mm.
        let weight = layout.weight.as_ref().unwrap().bored;
        assert!((found.tips_at.unwrap() - weight * 300.0 / 425.0).abs() < 0.05, "{found:?}");
        assert_eq!(found.limits, [SagLimit::LoadTips]);
        assert!(found.loaded.unwrap().down > found.bored.down);
        job.supports[0].to.y = 600.0;
        assert_eq!(sag(&job, &layout).unwrap().limits, [SagLimit::ShortSupport, SagLimit::LoadTips]);
        job.supports.push(line(425.0, 590.0, 425.0, 780.0));
        assert_eq!(sag(&job, &layout).unwrap().limits, [SagLimit::LoadTips], "two pieces make one line");
    }

    #[test]
    fn what_cannot_be_told_says_why() {
        let mut job = trailer_top();
        let layout = lay_out(&job).unwrap();
        let none = |job: &Job| sag(job, &layout).unwrap_err();
        assert_eq!(none(&job), SagUnknown::NoSupports);
        job.supports = vec![line(425.0, 0.0, 425.0, 780.0)];
        assert_eq!(none(&job), SagUnknown::OneSupport);
        job.supports.push(line(0.0, 700.0, 1450.0, 700.0));
        assert_eq!(none(&job), SagUnknown::NotParallel);
        // Two side by side that it would tip over, but for the one across its far end.
        job.supports.push(line(0.0, 780.0, 1450.0, 780.0));
        job.supports[1] = line(0.0, 750.0, 1450.0, 750.0);
        job.top.material.modulus = InPlane::both(8000.0);
        assert_eq!(none(&job), SagUnknown::NotParallel);
        job.top.material.modulus = InPlane::NONE;
        job.supports.truncate(2);
        job.supports[1] = line(430.0, 0.0, 430.0, 780.0);
        assert_eq!(none(&job), SagUnknown::OneSupport, "nearer to each other than the sheet is thick");
        job.supports[1] = line(1025.0, 0.0, 1025.0, 780.0);
        assert_eq!(none(&job), SagUnknown::NoModulus);
        job.top.material.modulus = InPlane { along: Some(12_000.0), across: None };
        assert!(sag(&job, &layout).is_ok());
        job.top.grain = Grain::Width;
        assert_eq!(none(&job), SagUnknown::NoModulus);
        job.supports = vec![line(0.0, 400.0, 400.0, 0.0), line(1050.0, 780.0, 1450.0, 380.0)];
        assert_eq!(none(&job), SagUnknown::Askew);
        job.top.material.modulus = InPlane::both(8000.0);
        let askew = sag(&job, &layout).unwrap();
        assert!((askew.along.x - 0.5f64.sqrt()).abs() < 1e-9 && askew.bored.down > 0.0, "{askew:?}");
        job.supports = vec![line(100.0, 0.0, 100.0, 780.0), line(500.0, 0.0, 500.0, 780.0)];
        assert_eq!(none(&job), SagUnknown::Tips);
        job.top.material.density = None;
        assert_eq!(none(&job), SagUnknown::NoDensity);
    }
}
