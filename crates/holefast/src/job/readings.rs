//! Writing into a job's text what was measured: a reading by the holes it was taken on, an instrument by
//! what kind of thing it is. What a reading says is told by reading the text again.

use super::edit::{Setting, set};
use super::{Job, Units};
use crate::fault::Fault;
use crate::kit::Bar;
use crate::measure::length::MM_PER_INCH;
use crate::reading::ReadingKind;

/// Holes that a kind of reading is taken on, by what each is in it; none for places of many holes,
/// which a camera gives and nobody types one by one.
pub fn holes_wanted(kind: ReadingKind) -> &'static [&'static str] {
    match kind {
        ReadingKind::Distance | ReadingKind::Went | ReadingKind::DidNotGo => &["From", "To"],
        ReadingKind::Offset => &["Line from", "Line to", "Hole beside it"],
        ReadingKind::Angle => &["Corner", "Along to", "Corner again", "Away to"],
        ReadingKind::FiveCut | ReadingKind::TurnOver => {
            &["Fence, at the cut", "Fence, into the work", "Rail, at the fence", "Rail, away from it"]
        }
        ReadingKind::Place => &[],
    }
}

/// A new reading: its holes in the order of [`holes_wanted`], its other keys with their values.
#[derive(Clone, Debug, PartialEq)]
pub struct NewReading {
    /// Kind.
    pub kind: ReadingKind,
    /// The instrument.
    pub with: Option<String>,
    /// Names of holes.
    pub holes: Vec<String>,
    /// `value`, `gap`, `length`, `over` and the like.
    pub rest: Vec<(String, Setting)>,
}

/// The text with one more reading.
///
/// Errors: not as many holes as the kind wants; as [`set`].
pub fn add_reading(text: &str, job: &Job, new: &NewReading) -> Result<String, Fault> {
    let wanted = holes_wanted(new.kind);
    if wanted.is_empty() {
        return Err(Fault::input("places of many holes are written in the job's text").hint("kind = \"place\""));
    }
    let pairs: Vec<Setting> = match new.holes.as_slice() {
        holes if holes.len() == wanted.len() => holes.chunks(2).map(listed).collect(),
        holes => {
            let message = format!("this reading is taken on {} holes, and {} are chosen", wanted.len(), holes.len());
            return Err(Fault::input(message).hint(format!("choose {}", wanted.join(", ").to_lowercase())));
        }
    };
    let mut keys: Vec<(&str, Setting)> = vec![("kind", Setting::Text(new.kind.name().to_owned()))];
    let [first, second] = [pairs.first().cloned(), pairs.get(1).cloned()].map(Option::into_iter);
    match new.kind {
        ReadingKind::Distance | ReadingKind::Went | ReadingKind::DidNotGo => {
            keys.extend(first.map(|pair| ("between", pair)));
        }
        ReadingKind::Offset => {
            keys.extend(new.holes.get(2).map(|hole| ("of", Setting::Text(hole.clone()))));
            keys.extend(first.map(|pair| ("from", pair)));
        }
        ReadingKind::Angle => keys.push(("lines", Setting::List(pairs))),
        ReadingKind::FiveCut | ReadingKind::TurnOver => {
            keys.extend(first.map(|pair| ("fence", pair)));
            keys.extend(second.map(|pair| ("rail", pair)));
        }
        ReadingKind::Place => {}
    }
    keys.extend(new.with.iter().map(|name| ("with", Setting::Text(name.clone()))));
    keys.extend(new.rest.iter().map(|(key, value)| (key.as_str(), value.clone())));
    put_all(text, &format!("reading[{}]", job.proof.readings.len()), keys)
}

fn listed(names: &[String]) -> Setting {
    Setting::List(names.iter().cloned().map(Setting::Text).collect())
}

fn put_all(text: &str, at: &str, keys: Vec<(&str, Setting)>) -> Result<String, Fault> {
    keys.into_iter().try_fold(text.to_owned(), |text, (key, value)| set(&text, &format!("{at}.{key}"), &value))
}

/// Things that tops are measured with, each with figures to begin from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MeasuringTool {
    /// A tape of accuracy class II.
    Tape,
    /// A caliper longer than the sides of the rectangle read.
    LongCaliper,
    /// Any stick that is set on one diagonal and tried on the other.
    PinchRod,
    /// A template bar pinned across.
    Bar,
    /// A straightedge with feelers.
    Straightedge,
    /// A try square with feelers.
    TrySquare,
}

impl MeasuringTool {
    /// All of them, the most useful first.
    pub const ALL: [MeasuringTool; 6] = [
        MeasuringTool::Bar,
        MeasuringTool::LongCaliper,
        MeasuringTool::PinchRod,
        MeasuringTool::Tape,
        MeasuringTool::Straightedge,
        MeasuringTool::TrySquare,
    ];

    /// The name it begins with.
    pub fn name(self) -> &'static str {
        match self {
            MeasuringTool::Tape => "tape",
            MeasuringTool::LongCaliper => "long caliper",
            MeasuringTool::PinchRod => "pinch rod",
            MeasuringTool::Bar => "bar",
            MeasuringTool::Straightedge => "straightedge and feeler",
            MeasuringTool::TrySquare => "try square",
        }
    }

    /// What it reads.
    pub fn reads(self) -> ReadingKind {
        match self {
            MeasuringTool::Tape | MeasuringTool::LongCaliper | MeasuringTool::PinchRod => ReadingKind::Distance,
            MeasuringTool::Bar => ReadingKind::Went,
            MeasuringTool::Straightedge => ReadingKind::Offset,
            MeasuringTool::TrySquare => ReadingKind::Angle,
        }
    }

    /// Standard uncertainty of one reading to begin from, mm. Common practice, no source, as all figures
    /// here; the maker's own repeated readings are better.
    fn u(self) -> f64 {
        match self {
            MeasuringTool::Tape => 0.3,
            MeasuringTool::LongCaliper | MeasuringTool::PinchRod => 0.05,
            MeasuringTool::Bar => 0.02,
            MeasuringTool::Straightedge | MeasuringTool::TrySquare => 0.03,
        }
    }

    /// Minutes for one reading, pins set. Common practice, no source.
    fn minutes(self) -> f64 {
        match self {
            MeasuringTool::PinchRod => 2.0,
            _ => 1.5,
        }
    }
}

/// Length of a try square's blade to begin from, mm (12 in). Common practice, no source.
const BLADE: f64 = 12.0 * MM_PER_INCH;

/// The text with one more instrument, under a name that no other has. A pinch rod's length is not known,
/// nor a try square's own error.
///
/// Errors: as [`set`].
pub fn add_instrument(text: &str, job: &Job, tool: MeasuringTool) -> Result<String, Fault> {
    let taken = |name: &str| job.proof.instruments.iter().any(|i| i.name == name);
    let plain = tool.name().to_owned();
    let numbered = |n: usize| format!("{} {n}", tool.name());
    // A bar is one of the kit's, as the cards call it, while there is one that is not there yet: what the
    // prediction knows of its holes then counts once.
    let bars = job.kit.iter().filter(|_| tool == MeasuringTool::Bar).flat_map(|kit| &kit.bars);
    let called = |bar: &Bar, n: u32| match bar.count {
        1 => format!("bar {}", bar.name),
        _ => format!("bar {}{n}", bar.name),
    };
    let of_kit = bars.flat_map(|bar| (1..=bar.count).map(move |n| called(bar, n)));
    // One more than there are instruments is always free.
    let free =
        of_kit.chain(std::iter::once(plain)).chain((2..).map(numbered)).find(|name| !taken(name)).unwrap_or_default();
    let length = |mm: f64| match job.units {
        Units::Mm => Setting::Number(mm),
        // Six decimals of an inch are finer than any figure here.
        Units::Inch => Setting::Number((mm / MM_PER_INCH * 1e6).round() / 1e6),
    };
    let mut keys = vec![
        ("name", Setting::Text(free)),
        ("reads", Setting::List(vec![Setting::Text(tool.reads().name().to_owned())])),
        ("u", length(tool.u())),
    ];
    match tool {
        MeasuringTool::Tape => keys.push(("class", Setting::Text("II".to_owned()))),
        MeasuringTool::PinchRod => keys.push(("zero", Setting::Text("unknown".to_owned()))),
        MeasuringTool::TrySquare => {
            keys.push(("zero", Setting::Text("unknown".to_owned())));
            keys.push(("blade", length(BLADE)));
        }
        MeasuringTool::LongCaliper | MeasuringTool::Bar | MeasuringTool::Straightedge => {}
    }
    keys.push(("minutes", Setting::Number(tool.minutes())));
    put_all(text, &format!("instrument[{}]", job.proof.instruments.len()), keys)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::parse;
    use crate::reading::What;

    const TOP: &str = include_str!("../../../../examples/trailer-top.toml");
    fn job(text: &str) -> Job {
        let parsed = parse(text);
        parsed.job.unwrap_or_else(|| panic!("{text}: {:?}", parsed.faults))
    }

    fn new(kind: ReadingKind, holes: &[&str], rest: &[(&str, Setting)]) -> NewReading {
        NewReading {
            kind,
            with: None,
            holes: holes.iter().map(|&h| h.to_owned()).collect(),
            rest: rest.iter().map(|(key, value)| ((*key).to_owned(), value.clone())).collect(),
        }
    }

    #[test]
    fn every_kind_is_written_as_it_is_read() {
        let number = Setting::Number;
        let strip = Setting::List(vec![number(11.42), number(11.37)]);
        let all = [
            new(ReadingKind::Distance, &["A1", "G9"], &[("value", number(962.5))]),
            new(ReadingKind::Offset, &["C1", "C14", "C6"], &[("value", number(0.06))]),
            new(ReadingKind::Went, &["A1", "G9"], &[("length", number(960.0)), ("play", number(0.06))]),
            new(ReadingKind::DidNotGo, &["A9", "G1"], &[("length", number(960.0)), ("play", number(0.06))]),
            new(ReadingKind::Angle, &["A1", "A14", "A1", "G1"], &[("gap", number(0.1)), ("length", number(300.0))]),
            new(ReadingKind::FiveCut, &["A12", "A1", "A12", "F12"], &[("strip", strip), ("length", number(400.0))]),
            new(
                ReadingKind::TurnOver,
                &["A12", "A1", "A12", "F12"],
                &[("gap", number(0.2)), ("gap_at", Setting::Text("fence".to_owned())), ("length", number(400.0))],
            ),
        ];
        let before = job(TOP).proof.readings.len();
        let mut text = TOP.to_owned();
        for one in &all {
            text = add_reading(&text, &job(&text), one).unwrap();
        }
        let readings = job(&text).proof.readings;
        assert_eq!(readings.len(), before + all.len());
        for (reading, one) in readings[before..].iter().zip(&all) {
            assert_eq!(reading.what.kind(), one.kind);
        }
        let What::Offset { of, from, value } = &readings[before + 1].what else { panic!("{readings:?}") };
        assert_eq!((of.as_str(), from[0].as_str(), from[1].as_str(), *value), ("C6", "C1", "C14", 0.06));
        let mut lines = text.lines();
        assert!(TOP.lines().all(|line| lines.any(|l| l == line)), "what the maker wrote stays: {text}");
    }

    #[test]
    fn too_few_holes_and_places_are_refused() {
        let fault = add_reading(TOP, &job(TOP), &new(ReadingKind::Offset, &["A1", "A9"], &[])).unwrap_err();
        assert!(fault.message.contains("3 holes, and 2"), "{fault:?}");
        assert!(add_reading(TOP, &job(TOP), &new(ReadingKind::Place, &["A1"], &[])).is_err());
    }

    #[test]
    fn every_instrument_can_be_read_back_in_both_units_under_a_name_of_its_own() {
        for begin in [TOP.to_owned(), crate::job::in_units(TOP, Units::Inch).unwrap()] {
            let mut text = begin;
            let before = job(&text).proof.instruments.len();
            for tool in MeasuringTool::ALL.into_iter().chain(MeasuringTool::ALL) {
                text = add_instrument(&text, &job(&text), tool).unwrap();
                let last = job(&text).proof.instruments.pop().unwrap();
                assert_eq!(last.reads, [tool.reads()]);
                assert!((last.u - tool.u()).abs() < 1e-4, "{} mm", last.u);
            }
            let names: std::collections::BTreeSet<String> =
                job(&text).proof.instruments.into_iter().map(|i| i.name).collect();
            assert_eq!(names.len(), before + 12);
            // Two bars were added, and the kit has two.
            for bar in ["bar L1", "bar L2"] {
                assert!(names.contains(bar), "{names:?}");
            }
        }
    }
}
