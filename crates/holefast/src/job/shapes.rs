//! Writing into a job's text what was pulled on its drawing: keep-outs, the sheet's far sides and
//! corners, the place of A1. Lengths are written as bare numbers of the job's own units; whether the
//! result makes sense is told by reading it.

use super::edit::{Setting, set};
use super::{Job, Units};
use crate::fault::Fault;
use crate::measure::length::MM_PER_INCH;
use crate::top::{KeepOutShape, Point};

/// Drawn lengths come in whole steps: 1 mm, or 1/16 in.
pub fn step(units: Units) -> f64 {
    match units {
        Units::Mm => 1.0,
        Units::Inch => MM_PER_INCH / 16.0,
    }
}

/// The nearest whole step, mm.
pub fn snapped(units: Units, mm: f64) -> f64 {
    let step = step(units);
    (mm / step).round() * step
}

/// A length as a bare number of the job. Whole sixteenths of an inch have at most four decimals, so
/// that rounding to six takes off what doubles add and nothing else.
fn bare(units: Units, mm: f64) -> Setting {
    let number = match units {
        Units::Mm => mm,
        Units::Inch => mm / MM_PER_INCH,
    };
    Setting::Number((number * 1e6).round() / 1e6)
}

fn list(units: Units, all: &[f64]) -> Setting {
    Setting::List(all.iter().map(|&mm| bare(units, mm)).collect())
}

/// The text with the shape of one keep-out changed, a rectangle kept one and a circle too.
///
/// Errors: as [`set`].
pub fn put_keep_out(text: &str, units: Units, index: usize, shape: KeepOutShape) -> Result<String, Fault> {
    match shape {
        KeepOutShape::Rect { x, y, length, width } => {
            set(text, &format!("keep_out[{index}].rect"), &list(units, &[x, y, length, width]))
        }
        KeepOutShape::Circle { centre, diameter } => {
            set(text, &format!("keep_out[{index}].circle"), &list(units, &[centre.x, centre.y, diameter]))
        }
    }
}

/// What a keep-out that was drawn keeps clear round it unless the maker says else, mm (1/2 in).
/// Common practice, no source: a saw's or bit's width of wood.
const DRAWN_CLEARANCE: f64 = 12.7;

/// The text with one more keep-out, below the top, under a name that no other has.
///
/// Errors: as [`set`].
pub fn add_keep_out(text: &str, job: &Job, shape: KeepOutShape) -> Result<String, Fault> {
    let index = job.keep_outs.len();
    let named = |n: usize| format!("keep-out {n}");
    let free = (index + 1..).find(|&n| job.keep_outs.iter().all(|k| k.name != named(n))).unwrap_or(index + 1);
    let path = |key: &str| format!("keep_out[{index}].{key}");
    let text = set(text, &path("name"), &Setting::Text(named(free)))?;
    let text = put_keep_out(&text, job.units, index, shape)?;
    let clearance = bare(job.units, snapped(job.units, DRAWN_CLEARANCE));
    let text = set(&text, &path("clearance"), &clearance)?;
    set(&text, &path("side"), &Setting::Text("below".to_owned()))
}

/// The text with the sheet of this length and width, mm; of its outline, the corners on a side that
/// moves go with it.
///
/// Errors: as [`set`].
pub fn put_size(text: &str, job: &Job, [length, width]: [f64; 2]) -> Result<String, Fault> {
    let mut text = text.to_owned();
    if (length, width) != (job.top.length, job.top.width) && job.places.contains_key("top.outline") {
        let moved = |at: f64, side: f64, to: f64| if at == side { to } else { at };
        let corner =
            |p: &Point| list(job.units, &[moved(p.x, job.top.length, length), moved(p.y, job.top.width, width)]);
        let corners = Setting::List(job.top.outline.iter().map(corner).collect());
        text = set(&text, "top.outline", &corners)?;
    }
    for (key, was, to) in [("top.length", job.top.length, length), ("top.width", job.top.width, width)] {
        if was != to {
            text = set(&text, key, &bare(job.units, to))?;
        }
    }
    Ok(text)
}

/// The text with one corner of the outline elsewhere, within length and width.
///
/// Errors: as [`set`]; the job has no outline of its own.
pub fn put_corner(text: &str, job: &Job, index: usize, to: Point) -> Result<String, Fault> {
    if !job.places.contains_key("top.outline") {
        return Err(Fault::input("this sheet is a plain rectangle").hint("pull its sides, or write top.outline"));
    }
    let corners: Vec<Setting> = job
        .top
        .outline
        .iter()
        .enumerate()
        .map(|(i, p)| if i == index { list(job.units, &[to.x, to.y]) } else { list(job.units, &[p.x, p.y]) })
        .collect();
    set(text, "top.outline", &Setting::List(corners))
}

/// The text with A1 at this place, mm.
///
/// Errors: as [`set`].
pub fn put_origin(text: &str, units: Units, place: Point) -> Result<String, Fault> {
    set(text, "grid.origin", &list(units, &[place.x, place.y]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::parse;
    use crate::testing::made::Dice;
    use crate::top::lay_out;

    const TRAILER_TOP: &str = include_str!("../../../../examples/trailer-top.toml");
    const PRESS_BENCH: &str = include_str!("../../../../examples/press-bench.toml");

    fn job(text: &str) -> Job {
        let parsed = parse(text);
        parsed.job.unwrap_or_else(|| panic!("{:?}\n{text}", parsed.faults))
    }

    #[test]
    fn what_is_drawn_reads_back_to_the_step_in_either_unit() {
        for (seed, from) in [(3, TRAILER_TOP), (4, PRESS_BENCH)] {
            let mut dice = Dice::new(seed);
            let mut text = from.to_owned();
            for _ in 0..200 {
                let before = job(&text);
                let units = before.units;
                let mut pick = |most: f64| snapped(units, 40.0 + dice.unit() * most);
                let shape =
                    KeepOutShape::Rect { x: pick(300.0), y: pick(200.0), length: pick(60.0), width: pick(60.0) };
                let place = Point::new(pick(60.0), pick(60.0));
                text = match before.keep_outs.len() {
                    0..4 => add_keep_out(&text, &before, shape).unwrap(),
                    n => put_keep_out(&text, units, n - 1, shape).unwrap(),
                };
                text = put_origin(&text, units, place).unwrap();
                let after = job(&text);
                let Some(KeepOutShape::Rect { x, y, length, width }) = after.keep_outs.last().map(|k| k.shape) else {
                    panic!("no rectangle in {text}")
                };
                let KeepOutShape::Rect { x: wx, y: wy, length: wl, width: ww } = shape else { unreachable!() };
                for (read, drawn) in [(x, wx), (y, wy), (length, wl), (width, ww)] {
                    assert!((read - drawn).abs() < 1e-4, "{read} for {drawn} in {text}");
                }
                if let Ok(layout) = lay_out(&after) {
                    assert!(
                        (layout.place(0, 0) - place).hypot() < 1e-4,
                        "A1 at {:?}, {place:?} drawn",
                        layout.place(0, 0)
                    );
                }
            }
        }
    }

    #[test]
    fn pulled_sides_take_the_corners_on_them_along_and_leave_comments() {
        let with_corner = TRAILER_TOP.replacen("# outline = ", "outline = ", 1);
        let before = job(&with_corner);
        let text = put_size(&with_corner, &before, [1500.0, 780.0]).unwrap();
        assert!(text.contains("length = 1500                         # along x, the reference edge"), "{text}");
        let after = job(&text);
        let most_x = after.top.outline.iter().map(|p| p.x).fold(0.0, f64::max);
        assert_eq!((after.top.length, most_x), (1500.0, 1500.0));
        assert!(after.top.outline.contains(&Point::new(1290.0, 780.0)), "{:?}", after.top.outline);
        let index = after.top.outline.iter().position(|p| *p == Point::new(1290.0, 780.0)).unwrap();
        let text = put_corner(&text, &after, index, Point::new(1200.0, 780.0)).unwrap();
        assert!(job(&text).top.outline.contains(&Point::new(1200.0, 780.0)));
        assert!(put_corner(TRAILER_TOP, &job(TRAILER_TOP), 0, Point::new(1.0, 1.0)).is_err());
        assert_eq!(put_size(TRAILER_TOP, &job(TRAILER_TOP), [1450.0, 780.0]).unwrap(), TRAILER_TOP);
    }

    #[test]
    fn a_drawn_keep_out_has_a_name_of_its_own_and_is_below() {
        let shape = KeepOutShape::Rect { x: 100.0, y: 100.0, length: 50.0, width: 30.0 };
        let one = add_keep_out(TRAILER_TOP, &job(TRAILER_TOP), shape).unwrap();
        let two = add_keep_out(&one, &job(&one), shape).unwrap();
        let names: Vec<String> = job(&two).keep_outs.into_iter().map(|k| k.name).collect();
        assert_eq!(names[2..], ["keep-out 3", "keep-out 4"]);
        assert!(one.contains("clearance = 13"), "{one}");
    }
}
