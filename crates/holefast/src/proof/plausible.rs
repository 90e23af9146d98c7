//! Each reading held against what the top can be, before anything is adjusted: a hole that does not
//! exist, digits that changed places, a face forgotten. What was expected is told, and what else the
//! number may be.

use super::geometry::{self, P};
use super::model::is_covariance;
use crate::fault::Fault;
use crate::job::Job;
use crate::math;
use crate::measure::format;
use crate::reading::{Instrument, Known, Over, Prior, Reading, ReadingKind, Taken, What, between_words, holes_of};
use crate::top::Layout;

/// A hole bored by hand lies nearer to its place than this, mm; farther out it is seen.
const FAR_OUT: f64 = 1.0;
/// A grid is squarer and its pitch truer than this, mm per m; beyond it the bars were the wrong ones.
const FAR_OFF: f64 = 1.5;
/// Of an angle or test cut, mm per m: half a degree is seen.
const ANGLE_FAR_OFF: f64 = 10.0;
/// The grid as a whole may lie so far from its place on the sheet, mm.
const SHEET_FAR_OUT: f64 = 10.0;
/// Standard uncertainties that are allowed on top.
const MANY_U: f64 = 6.0;
/// What a scale that is not known at all may be, mm per m: beyond it the stick is no measure.
const WILD_SCALE: f64 = 20.0;

/// Looks at all readings. Returns what is worth a remark.
///
/// Errors: everything that stands in the way of adjusting them, all at once.
pub fn looked_at(job: &Job, layout: &Layout) -> Result<Vec<Fault>, Vec<Fault>> {
    let mut faults = Vec::new();
    let mut remarks = Vec::new();
    for instrument in &job.proof.instruments {
        instrument_is_sound(instrument, &mut faults);
    }
    let mut sound = Vec::new();
    for (i, reading) in job.proof.readings.iter().enumerate() {
        let before = faults.len();
        let path = |key: &str| job.span(&format!("reading[{i}].{key}")).or(reading.span);
        instrument_fits(job, reading, &mut faults, &mut remarks);
        for name in holes_of(&reading.what) {
            if !layout.holes.iter().any(|hole| hole.name == name) {
                faults.push(no_such_hole(layout, name).at(path("between")));
            }
        }
        if let What::Place { covariance: Some(rows), .. } = &reading.what
            && !is_covariance(rows)
        {
            let fault = Fault::input("reading.covariance is none: some combination of its places would have no spread");
            faults.push(fault.at(path("covariance")).hint("give u instead, the uncertainty of one coordinate"));
        }
        if job.proof.prior == Some(Prior::Prediction) {
            remarks.extend(super::riding::remark(job, reading).map(|remark| remark.at(reading.span)));
        }
        if faults.len() == before {
            sound.push((i, reading));
        }
    }
    if faults.is_empty() {
        let top = Ground { job, layout };
        for &(i, reading) in &sound {
            if !reading.sure
                && let Some(fault) = top.far_from_expected(i, reading)
            {
                faults.push(fault.at(reading.value_span.or(reading.span)));
            }
        }
    }
    if faults.is_empty() { Ok(remarks) } else { Err(faults) }
}

fn instrument_is_sound(instrument: &Instrument, faults: &mut Vec<Fault>) {
    let name = &instrument.name;
    if instrument.class.is_some() && (instrument.scale.is_some() || instrument.zero.is_some()) {
        let fault = Fault::input(format!("{name} has a class, and a scale or zero besides"));
        faults.push(fault.at(instrument.span).hint("keep one: the class says both scale and zero"));
    }
    let only_gauges = instrument.reads.iter().all(|kind| *kind == ReadingKind::Went);
    let stated = instrument.class.is_some() || instrument.scale.is_some() || instrument.zero.is_some();
    if only_gauges && stated {
        let fault = Fault::input(format!("{name} is tried in holes, and has a scale, zero or class"));
        faults.push(fault.at(instrument.span).hint("u is how well its length is known; take the others out"));
    }
}

fn instrument_fits(job: &Job, reading: &Reading, faults: &mut Vec<Fault>, remarks: &mut Vec<Fault>) {
    let words = between_words(reading);
    let own_covariance = matches!(&reading.what, What::Place { covariance: Some(_), .. });
    let Some(with) = &reading.with else {
        if reading.u.is_none() && !own_covariance {
            let fault = Fault::input(format!("how well {words} is read is not said"));
            faults.push(
                fault.at(reading.span).hint("name an instrument with `with`, or add u, its standard uncertainty"),
            );
        }
        return;
    };
    let Some(instrument) = job.proof.instruments.iter().find(|i| i.name == *with) else {
        let known: Vec<&str> = job.proof.instruments.iter().map(|i| i.name.as_str()).collect();
        let hint = if known.is_empty() {
            format!("add [[instrument]] with name = \"{with}\", reads and u")
        } else {
            format!("the job has {}", known.join(", "))
        };
        faults.push(Fault::input(format!("there is no instrument \"{with}\"")).at(reading.with_span).hint(hint));
        return;
    };
    let kind = reading.what.kind();
    if !instrument.reads.contains(&kind.as_read()) {
        let fault = Fault::input(format!("{with} does not read \"{}\"", kind.name()));
        faults.push(fault.at(reading.with_span).hint(format!("add \"{}\" to what it reads", kind.as_read().name())));
    }
    if let (Some([least, most]), What::Distance { value, .. }) = (instrument.range, &reading.what)
        && !(least..=most).contains(value)
    {
        let say = |mm: f64| format::length(mm, job.units);
        let message = format!("{words} is {}, and {with} takes {} to {}", say(*value), say(least), say(most));
        remarks.push(
            Fault::remark(message).at(reading.value_span).hint("is it the right instrument? it is taken as it stands"),
        );
    }
}

fn no_such_hole(layout: &Layout, name: &str) -> Fault {
    let fault = Fault::input(format!("this top has no hole {name}"));
    let (last_row, last_column) = (layout.rows, layout.columns);
    let conflict = layout.conflicts.iter().find(|c| c.hole.name == name);
    fault.hint(match conflict {
        Some(_) => "it was wanted, and something stands in its way: holefast show says what".to_owned(),
        None => {
            let row = crate::top::row_letters(last_row.saturating_sub(1));
            format!("its holes are A1 to {row}{last_column}, less those skipped")
        }
    })
}

struct Ground<'a> {
    job: &'a Job,
    layout: &'a Layout,
}

impl Ground<'_> {
    fn place(&self, name: &str) -> P {
        let centre =
            self.layout.holes.iter().find(|h| h.name == *name).map_or((0.0, 0.0), |h| (h.centre.x, h.centre.y));
        centre.into()
    }

    fn say(&self, mm: f64) -> String {
        format::length(mm, self.job.units)
    }

    fn between(&self, [a, b]: &[String; 2]) -> f64 {
        geometry::distance(self.place(a), self.place(b)).0
    }

    fn instrument(&self, reading: &Reading) -> Option<&Instrument> {
        self.job.proof.instruments.iter().find(|i| reading.with.as_deref() == Some(&i.name))
    }

    fn u(&self, reading: &Reading, length: f64) -> f64 {
        reading.u.or_else(|| self.instrument(reading).map(|i| i.u_at(length))).unwrap_or(0.0)
    }

    fn far_from_expected(&self, at: usize, reading: &Reading) -> Option<Fault> {
        let words = between_words(reading);
        match &reading.what {
            What::Distance { between, value, taken } => self.distance(at, reading, between, *value, taken),
            What::Offset { of, from, value } => {
                let nominal = geometry::offset(self.place(of), self.place(&from[0]), self.place(&from[1])).0;
                let zero = self.zero_allowed(reading)?;
                let limit = FAR_OUT + MANY_U * self.u(reading, self.between(from)) + zero;
                let off = value - nominal;
                let message = format!("{words} is read as {}; expected is {}", self.say(*value), self.say(nominal));
                (off.abs() > limit).then(|| self.doubt(message, self.sign_or_look(*value, nominal, limit)))
            }
            What::Angle { lines: [a, b], gap, length, against } => {
                let nominal = self.angle(a, b);
                let zero = self.zero_allowed(reading)?;
                let read = against + math::atan2(*gap, *length);
                let limit = ANGLE_FAR_OFF + (MANY_U * self.u(reading, *length)) / length * 1000.0 + zero;
                self.angle_doubt(&words, read, nominal, limit)
            }
            What::FiveCut { fence, rail, strip, length } => {
                let read = std::f64::consts::FRAC_PI_2 + (strip[0] - strip[1]) / (4.0 * length);
                self.angle_doubt(&words, read, self.angle(fence, rail), ANGLE_FAR_OFF)
            }
            What::TurnOver { fence, rail, gap, at_fence, length } => {
                let sign = if *at_fence { 1.0 } else { -1.0 };
                let read = std::f64::consts::FRAC_PI_2 + sign * gap / (2.0 * length);
                self.angle_doubt(&words, read, self.angle(fence, rail), ANGLE_FAR_OFF)
            }
            What::Gauge { between, length, .. } => {
                let nominal = self.between(between);
                let limit = FAR_OUT + FAR_OFF * nominal / 1000.0;
                let message = format!(
                    "a bar of {} was tried from {words}, and these holes lie {} apart",
                    self.say(*length),
                    self.say(nominal)
                );
                ((nominal - length).abs() > limit).then(|| {
                    let hint = self
                        .other_hole(between, *length, limit)
                        .unwrap_or_else(|| "look at holes and length".to_owned());
                    self.doubt(message, hint)
                })
            }
            What::Place { holes, x, y, own_frame, .. } => self.places(reading, holes, x, y, *own_frame),
        }
    }

    fn doubt(&self, message: String, hint: String) -> Fault {
        Fault::input(message).hint(format!("{hint}; if it was looked at twice and is so, add sure = true"))
    }

    /// What an instrument's own zero may add; `None` where it is not known at all, and nothing is
    /// expected.
    fn zero_allowed(&self, reading: &Reading) -> Option<f64> {
        match self.instrument(reading).map_or(Known::Within(0.0), |i| i.common()[1]) {
            Known::Within(sd) => Some(3.0 * sd),
            Known::Unknown => None,
        }
    }

    fn sign_or_look(&self, value: f64, nominal: f64, limit: f64) -> String {
        if (value + nominal).abs() <= limit {
            "is the sign turned? positive is left of the line, seen from its first hole".to_owned()
        } else {
            "look at holes and number".to_owned()
        }
    }

    fn angle(&self, a: &[String; 2], b: &[String; 2]) -> f64 {
        geometry::angle([self.place(&a[0]), self.place(&a[1])], [self.place(&b[0]), self.place(&b[1])]).0
    }

    fn angle_doubt(&self, words: &str, read: f64, nominal: f64, limit: f64) -> Option<Fault> {
        let off = (read - nominal) * 1000.0;
        let message = format!("{words} is read as {}; expected is {}", format::angle(read), format::angle(nominal));
        (off.abs() > limit).then(|| self.doubt(message, "look at holes, their order, and the number".to_owned()))
    }

    fn distance(
        &self,
        at: usize,
        reading: &Reading,
        between: &[String; 2],
        value: f64,
        taken: &Taken,
    ) -> Option<Fault> {
        let nominal = self.between(between);
        let expected = nominal + taken.more();
        let [scale, zero] = self.instrument(reading).map_or([Known::Within(0.0); 2], Instrument::common);
        let by_scale = match scale {
            Known::Within(sd) => 3.0 * sd * nominal / 1000.0,
            Known::Unknown => WILD_SCALE * nominal / 1000.0,
        };
        let own = FAR_OUT + FAR_OFF * nominal / 1000.0 + MANY_U * self.u(reading, nominal) + by_scale;
        let (limit, expected) = match zero {
            Known::Within(sd) => (own + 3.0 * sd, expected),
            // Only differences count: against the middle of what else this stick read.
            Known::Unknown => (own, expected + self.middle_zero(at, reading)?),
        };
        if (value - expected).abs() <= limit {
            return None;
        }
        let words = between_words(reading);
        let message = format!("{words} is read as {}; expected is {}", self.say(value), self.say(expected));
        let fits = |read: f64| (read - expected).abs() <= limit;
        let hint = swapped(value, self.job.units, &fits)
            .map(|v| format!("are two digits swapped? {} would fit", self.say(v)))
            .or_else(|| self.other_faces(between, value, taken, limit))
            .or_else(|| self.other_hole(between, value - taken.more(), limit))
            .or_else(|| unit_slip(value, &fits))
            .unwrap_or_else(|| "look at holes and number".to_owned());
        Some(self.doubt(message, hint))
    }

    /// Middle of what the other distances of an instrument have more than expected; `None` for the
    /// first one alone.
    fn middle_zero(&self, at: usize, reading: &Reading) -> Option<f64> {
        let mut zeros: Vec<f64> = self
            .job
            .proof
            .readings
            .iter()
            .enumerate()
            .filter(|(i, other)| *i != at && other.with == reading.with)
            .filter_map(|(_, other)| match &other.what {
                What::Distance { between, value, taken } => Some(value - self.between(between) - taken.more()),
                _ => None,
            })
            .collect();
        zeros.sort_by(f64::total_cmp);
        zeros.get(zeros.len() / 2).copied()
    }

    /// The other way to hold jaws that would fit.
    fn other_faces(&self, between: &[String; 2], value: f64, taken: &Taken, limit: f64) -> Option<String> {
        let nominal = self.between(between);
        let near = |read: f64| (value - read).abs() <= limit;
        if taken.over == Over::Centres {
            let hole = self.job.grid.hole;
            for (read, faces) in [(nominal + hole, "outer"), (nominal - hole, "inner")] {
                if near(read) {
                    let hole = self.say(hole);
                    return Some(format!(
                        "was it read over the {faces} faces of dogs or edges of {hole}? add over, faces = \"{faces}\" and diameters"
                    ));
                }
            }
            return None;
        }
        let turned = Taken { outer: !taken.outer, ..*taken };
        if near(nominal + turned.more()) {
            let faces = if taken.outer { "inner" } else { "outer" };
            return Some(format!("was it read over the {faces} faces?"));
        }
        near(nominal).then(|| "is it already the distance between centres? then leave over and faces out".to_owned())
    }

    /// Another hole, in the first's place or the second's, that would fit.
    fn other_hole(&self, [a, b]: &[String; 2], distance: f64, limit: f64) -> Option<String> {
        let mut best: Option<(f64, String)> = None;
        for (kept, moved) in [(a, b), (b, a)] {
            let (from, was) = (self.place(kept), self.place(moved));
            for hole in self.layout.holes.iter().filter(|h| h.cell.is_some() && h.name != *kept && h.name != *moved) {
                let at = [hole.centre.x, hole.centre.y];
                let off = (geometry::distance(from, at).0 - distance).abs();
                // The nearest to what was written is the likeliest slip of the pen.
                let apart = geometry::distance(was, at).0;
                if off <= limit && best.as_ref().is_none_or(|(d, _)| apart < *d) {
                    best = Some((apart, format!("is {} meant in the place of {moved}?", hole.name)));
                }
            }
        }
        best.map(|(_, hint)| hint)
    }

    fn places(&self, reading: &Reading, holes: &[String], x: &[f64], y: &[f64], own: bool) -> Option<Fault> {
        let nominal: Vec<P> = holes.iter().map(|name| self.place(name)).collect();
        let read: Vec<P> = x.iter().zip(y).map(|(x, y)| [*x, *y]).collect();
        let spread = reading.u.or_else(|| self.instrument(reading).map(|i| i.u)).unwrap_or(0.0);
        let scale = match self.instrument(reading).map_or(Known::Within(0.0), |i| i.common()[0]) {
            Known::Within(sd) => 3.0 * sd,
            Known::Unknown => WILD_SCALE,
        };
        let reach = nominal.iter().map(|p| geometry::distance(nominal[0], *p).0).fold(0.0, f64::max);
        let limit = FAR_OUT + (FAR_OFF + scale) * reach / 1000.0 + MANY_U * spread;
        let (fitted, limit) =
            if own { (moved_onto(&nominal, &read), limit) } else { (read.clone(), limit + SHEET_FAR_OUT) };
        let off = |at: &[P]| at.iter().zip(&nominal).map(|(a, b)| geometry::distance(*a, *b).0).collect::<Vec<f64>>();
        let far = off(&fitted);
        let (worst, by) = far.iter().enumerate().fold((0, 0.0), |w, (i, d)| if *d > w.1 { (i, *d) } else { w });
        if by <= limit || by.is_nan() {
            return None;
        }
        let mirrored: Vec<P> = read.iter().map(|[x, y]| [*x, -*y]).collect();
        let hint = if own && off(&moved_onto(&nominal, &mirrored)).into_iter().fold(0.0, f64::max) <= limit {
            "are they seen from below? x and y are right-handed, seen from the top face"
        } else {
            "look at the order of holes, x and y"
        };
        let message = format!("the place of {} lies {} from where the others expect it", holes[worst], self.say(by));
        Some(self.doubt(message, hint.to_owned()))
    }
}

/// Places shifted and turned onto nominal ones by least squares.
fn moved_onto(nominal: &[P], read: &[P]) -> Vec<P> {
    let n = nominal.len() as f64;
    let mean = |places: &[P]| [0, 1].map(|k| places.iter().map(|p| p[k]).sum::<f64>() / n);
    let (to, from) = (mean(nominal), mean(read));
    let (mut along, mut across) = (0.0, 0.0);
    for (p, q) in nominal.iter().zip(read) {
        let (a, b, c, d) = (q[0] - from[0], q[1] - from[1], p[0] - to[0], p[1] - to[1]);
        along += a * c + b * d;
        across += a * d - b * c;
    }
    let (sin, cos) = math::sin_cos(if along == 0.0 && across == 0.0 { 0.0 } else { math::atan2(across, along) });
    read.iter()
        .map(|q| {
            let (a, b) = (q[0] - from[0], q[1] - from[1]);
            [to[0] + cos * a - sin * b, to[1] + sin * a + cos * b]
        })
        .collect()
}

/// The value with two neighbouring digits swapped that would fit.
fn swapped(value: f64, units: crate::job::Units, fits: &impl Fn(f64) -> bool) -> Option<f64> {
    let text = format::length_bare(value, units);
    let scale = if units == crate::job::Units::Inch { crate::measure::mm_from_inch(1.0) } else { 1.0 };
    let digits: Vec<char> = text.chars().collect();
    let places: Vec<usize> = (0..digits.len()).filter(|&i| digits[i].is_ascii_digit()).collect();
    places.windows(2).find_map(|pair| {
        let mut other = digits.clone();
        other.swap(pair[0], pair[1]);
        let read: f64 = other.into_iter().collect::<String>().parse().ok()?;
        fits(read * scale).then_some(read * scale)
    })
}

/// A slip of the unit or of the decimal sign that would fit.
fn unit_slip(value: f64, fits: &impl Fn(f64) -> bool) -> Option<String> {
    let slips = [
        (25.4, "is it in inches?"),
        (1.0 / 25.4, "is it in mm?"),
        (10.0, "is it in cm?"),
        (0.1, "is the decimal sign misplaced?"),
    ];
    slips.into_iter().find(|(by, _)| fits(value * by)).map(|(_, hint)| hint.to_owned())
}
