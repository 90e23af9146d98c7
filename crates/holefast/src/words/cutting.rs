//! Cutting in words: what `holefast angle` and `holefast cut` print, and the cards of arrangements.

use super::figures::{bare_length, fine, per_metre, shares_of_hundred};
use crate::cut::{
    Arrangement, Basis, Blocked, DirectionPair, Found, Line, Pair, Places, Room, Search, Settled, Shim, Shims, Tested,
    from_stock, kept_of, mitre,
};
use crate::job::{CutAt, Job, Kept, LineSide, Units};
use crate::math;
use crate::measure::format;

/// Directions told one by one; the data has them all.
const MOST_PAIRS: usize = 6;
/// Half of the interval that holds 95 of 100, in standard uncertainties.
const NINETY_FIVE: f64 = 1.96;
/// A shim thinner than this is not worth laying, mm: two sheets of thin paper.
const LEAST_SHIM: f64 = 0.02;
/// Pieces shorter or narrower than this are held by a clamp, mm: common practice, no source.
const SMALL_PIECE: f64 = 150.0;
/// Strips narrower than this too, mm: common practice, no source.
const NARROW_STRIP: f64 = 40.0;
/// A tip sharper than this slips on a round stop, rad: common practice, no source.
const SHARP: f64 = 60.0 * std::f64::consts::PI / 180.0;

/// What the drawing calls its parts: kept piece, waste, rail, fence, cut.
pub const SKETCH_NAMES: [&str; 5] = ["kept", "waste", "rail", "fence", "cut"];

/// "stop B12".
pub fn stop_label(hole: &str) -> String {
    format!("stop {hole}")
}

/// The arrangement in a sentence, for people who cannot see the drawing.
pub fn about_cut(job: &Job, places: &Places, settled: &Settled) -> String {
    let cut = &job.cuts[settled.cut];
    let [fence, rail] = [&settled.pair.fence, &settled.pair.rail].map(|line| {
        let [a, b] = line.holes.map(|hole| name(places, hole));
        format!("{a} and {b}")
    });
    let stop = settled.stop.map_or_else(String::new, |stop| format!(", the stop in {}", name(places, stop.hole)));
    format!("{}: dogs for the fence in {fence}, for the guide rail in {rail}{stop}.", cut.name)
}

/// A card of an arrangement.
#[derive(Clone, Debug, PartialEq)]
pub struct CutCard {
    /// The cut's name.
    pub title: String,
    /// Its angle, and how many pieces.
    pub aside: Vec<String>,
    /// What a line is about, and what is said of that.
    pub lines: Vec<(&'static str, String)>,
    /// What can hurt.
    pub cautions: Vec<String>,
}

/// What is offered before any figure.
pub(super) const PROVE_THE_ARRANGEMENT: &str =
    "For a cut that matters prove the arrangement, not the whole grid: five cuts on these very holes, then a shim.";

/// What was asked, and which directions of the grid come near it.
pub fn direction_lines(ask: &Search, found: &Found) -> Vec<String> {
    let mut lines = vec![format!(
        "{} between fence and cut, on the work's side; {} on a mitre scale",
        format::angle(ask.wanted),
        format::angle(mitre(ask.wanted))
    )];
    let tolerance = format::angle(ask.tolerance);
    if found.pairs.is_empty() && !found.arrangements.is_empty() {
        lines.push(format!(
            "no two directions of the grid stand within {tolerance} of it; lines through holes beside it, or dogs of \
             several sizes, do"
        ));
        return lines;
    }
    if found.pairs.is_empty() {
        lines.push(format!("no two lines of holes stand within {tolerance} of it"));
    } else {
        let count = found.pairs.len();
        let some = if count == 1 {
            "1 pair of directions stands".to_owned()
        } else {
            format!("{count} pairs of directions stand")
        };
        lines.push(format!("{some} within {tolerance} of it:"));
        lines.extend(found.pairs.iter().take(MOST_PAIRS).map(|pair| format!("  {}", directions(found, pair))));
        if count > MOST_PAIRS {
            lines.push(format!("  and {} more", count - MOST_PAIRS));
        }
    }
    if found.pairs.is_empty() {
        for (word, near) in [("below", &found.nearest.below), ("above", &found.nearest.above)] {
            match near {
                Some(pair) => lines.push(format!("nearest {word}: {}", directions(found, pair))),
                None => lines.push(format!("nothing {word} it on this grid")),
            }
        }
    }
    lines
}

/// Returns the lines that `holefast angle` prints.
pub fn angle_lines(job: &Job, places: &Places, ask: &Search, found: &Found) -> Vec<String> {
    let mut lines = direction_lines(ask, found);
    if found.pairs.is_empty() && found.arrangements.is_empty() {
        lines.push("--tolerance takes in the nearest; a step block at one dog closes the rest".to_owned());
        return lines;
    }
    if !found.arrangements.is_empty() {
        lines.push(PROVE_THE_ARRANGEMENT.to_owned());
        lines.push(basis(job, places));
    } else {
        lines.push(
            "no lines of holes in these directions leave room for rail, blade and work; try a wider --tolerance"
                .to_owned(),
        );
    }
    for (number, arrangement) in found.arrangements.iter().enumerate() {
        lines.extend(arrangement_lines(job, places, ask, number + 1, arrangement));
    }
    if job.kit.as_ref().is_none_or(|kit| kit.rail.is_none()) {
        lines.push("The kit has no [kit.rail]: room for rail and blade was not looked at.".to_owned());
    }
    lines
}

fn directions(found: &Found, pair: &DirectionPair) -> String {
    let of = |index: usize| {
        let d = found.directions[index];
        let along = match d.p {
            0 => String::new(),
            p => format!("{} {}", p.abs(), if p < 0 { "left" } else { "right" }),
        };
        let up = if d.q == 0 { String::new() } else { format!("{} up", d.q) };
        [along, up].into_iter().filter(|s| !s.is_empty()).collect::<Vec<_>>().join(" and ")
    };
    let off = pair.error.to_degrees();
    let exact = if off.abs() < 5e-7 {
        "exact".to_owned()
    } else {
        format!("{}°, {}° off", format::number(pair.angle.to_degrees(), 3), format::signed(off, 3))
    };
    format!("fence {}, rail {}: {exact}", of(pair.fence), of(pair.rail))
}

fn arrangement_lines(job: &Job, places: &Places, ask: &Search, number: usize, a: &Arrangement) -> Vec<String> {
    let shims = Shims::of(places, &a.pair, ask.wanted);
    let shim = shim_words(job, places, &shims);
    let mut lines = vec![
        format!("{number}  fence {}; rail {}", touching(places, &a.pair.fence), touching(places, &a.pair.rail)),
        format!(
            "   {}; bases {} and {}",
            comes_out(job, places.basis(), a.pair.error_mm_per_m(ask.wanted), a.u.map(|u| u * 1000.0), shim.is_some()),
            bare_length(job.units, a.pair.fence_face.base),
            length(job.units, a.pair.rail_face.base)
        ),
    ];
    if let Some(room) = &a.room {
        lines.push(format!("   {}", room_words(job, places, room)));
    }
    let tested = Tested::of(job, places, &a.pair, ask.wanted);
    lines.extend(tested.as_ref().map(|tested| format!("   test cut {}", tested_words(job, tested, ask.wanted))));
    let shim = tested.map_or(shim, |tested| shim_words(job, places, &tested.shims));
    lines.extend(shim.map(|text| format!("   {text}")));
    lines
}

fn name(places: &Places, hole: usize) -> &str {
    &places.holes()[hole].name
}

/// "A1 to A10 (dogs 20 and 19.5 mm), touching at the left".
fn touching(places: &Places, line: &Line) -> String {
    let [a, b] = line.holes.map(|hole| name(places, hole));
    let side = match line.side {
        LineSide::Left => "left",
        LineSide::Right => "right",
    };
    format!("{a} to {b}, on their {side}")
}

/// "0.26 mm per metre over, give or take 0.34, 95 times in 100".
fn comes_out(job: &Job, basis: Basis, error: f64, u: Option<f64>, shimmed: bool) -> String {
    let off = if error.abs() < 5e-4 {
        "on the angle".to_owned()
    } else {
        format!("{} {} the angle", per_metre(error.abs()), if error > 0.0 { "over" } else { "under" })
    };
    let Some(u) = u else {
        let why = match basis {
            Basis::Proved => "the readings leave open how far the holes are out",
            _ => "how far the holes are out is not known",
        };
        return format!("{off}, {why}");
    };
    let within = format!("{off}, give or take {}, 95\u{a0}times in\u{a0}100", per_metre(NINETY_FIVE * u));
    match job.accuracy.cut {
        Some(wanted) => {
            let with = if shimmed {
                format!(", with the shim {}", shares_of_hundred(within_share(0.0, u, wanted)))
            } else {
                String::new()
            };
            let share = shares_of_hundred(within_share(error, u, wanted));
            format!("{within}; the {} that is wanted is kept {share}{with}", per_metre(wanted))
        }
        None => within,
    }
}

/// Probability that a deviation of this mean and spread stays within ± a limit.
fn within_share(mean: f64, sd: f64, limit: f64) -> f64 {
    if sd <= 0.0 {
        return f64::from(u8::from(mean.abs() <= limit));
    }
    let below = |x: f64| 0.5 * math::erfc(-(x - mean) / (sd * std::f64::consts::SQRT_2));
    below(limit) - below(-limit)
}

fn length(units: Units, mm: f64) -> String {
    super::figures::length(units, mm)
}

pub(super) fn room_words(job: &Job, places: &Places, room: &Room) -> String {
    let kept = match room.kept {
        Kept::UnderRail => "keeps the piece under the rail",
        Kept::Beyond => "keeps the piece beyond the kerf",
    };
    let mut text = format!(
        "cuts up to {} long, {kept}; the blade passes {} from the nearest dog",
        super::figures::about_length(job.units, room.capacity),
        super::figures::about_length(job.units, room.from_dogs)
    );
    if room.nicked.is_empty() {
        text.push_str(&format!(
            " and {} from the nearest hole",
            super::figures::about_length(job.units, room.from_holes)
        ));
    } else {
        text.push_str(&format!("; it nicks {}", list(room.nicked.iter().map(|&hole| name(places, hole)))));
    }
    text
}

fn list<'a>(names: impl Iterator<Item = &'a str>) -> String {
    let names: Vec<&str> = names.collect();
    match names.as_slice() {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [all @ .., last] => format!("{} and {last}", all.join(", ")),
    }
}

/// The thinner of two shims, and what of the stock comes nearest; none where nothing is missing.
fn shim_words(job: &Job, places: &Places, shims: &Shims) -> Option<String> {
    let on_fence = shims.thinner_on_fence();
    let shim = if on_fence { shims.fence } else { shims.rail };
    (shim.thickness >= LEAST_SHIM).then(|| {
        let line = if on_fence { "fence" } else { "rail" };
        format!(
            "{} between the {line} and the dog in {}{}",
            thick(job, &shim),
            name(places, shim.hole),
            stock(job, &shim)
        )
    })
}

/// Thicker than this it is a block and no shim, mm.
const THICKEST_SHIM: f64 = 2.0;

fn thick(job: &Job, shim: &Shim) -> String {
    let what = if shim.thickness > THICKEST_SHIM { "a step block" } else { "a shim" };
    format!("{what} of {}", fine(job.units, shim.thickness))
}

fn stock(job: &Job, shim: &Shim) -> String {
    let Some(kit) = job.kit.as_ref().filter(|kit| !kit.shims.is_empty()) else { return String::new() };
    if shim.thickness > THICKEST_SHIM {
        return String::new();
    }
    match from_stock(&kit.shims, shim.thickness).as_slice() {
        [] => ", thinner than any in stock".to_owned(),
        [one] => format!(", of your stock {}", fine(job.units, *one)),
        some => format!(", of your stock {}", some.iter().map(|s| fine(job.units, *s)).collect::<Vec<_>>().join(" + ")),
    }
}

/// What the holes' places rest on.
pub(super) fn basis(job: &Job, places: &Places) -> String {
    let read = !job.proof.readings.is_empty();
    let text = match places.basis() {
        Basis::Planned if read => {
            "Taken as planned, the job's readings left aside: how far the holes are out is not said"
        }
        Basis::Planned => "Taken as planned: without a kit or a proof nobody knows how far the holes are out",
        Basis::Predicted if read => {
            "Taken by the plan, the job's readings left aside: what it is foretold to leave, the dogs' fit and the \
             bit's lean"
        }
        Basis::Predicted => "Taken by the plan: what it is foretold to leave, the dogs' fit and the bit's lean",
        Basis::Proved if places.is_doubted() => {
            "Taken as proved, and a reading is suspect or they contradict each other: holefast prove says what to \
             check first"
        }
        Basis::Proved => "Taken as proved: what the readings leave open, the dogs' fit and the bit's lean",
    };
    format!("{text}.")
}

/// Returns the lines that `holefast cut` prints: every card, one after another.
pub fn cut_lines(job: &Job, places: &Places, settled: &[Settled]) -> Vec<String> {
    let mut lines = Vec::new();
    for cut in settled {
        let card = cut_card(job, places, cut);
        lines.push(format!("{}: {}", card.title, card.aside.join(", ")));
        lines.extend(card.lines.iter().map(|(what, text)| format!("  {what:<9}{text}")));
        lines.extend(card.cautions.iter().map(|text| format!("  {:<9}{text}", "Mind")));
    }
    lines
}

/// What proves an arrangement.
fn prove_first(wanted: f64) -> &'static str {
    if (wanted - std::f64::consts::FRAC_PI_2).abs() < 1e-9 {
        "first this arrangement, not the whole grid: five cuts on these holes tell its angle to 0.02 or 0.03 mm per \
         metre; entered as a reading they give the shim"
    } else {
        "first this arrangement, not the whole grid: pieces cut on it that close a right angle or a frame show its \
         error as many times as there are cuts"
    }
}

/// Lines of an arrangement that say the same of all square ones.
pub(super) const FOR_ALL: [&str; 2] = ["Holes", "Prove"];

/// An arrangement to be told.
pub(super) struct Shown<'a> {
    /// Fence and rail.
    pub(super) pair: &'a Pair,
    /// The angle that is wanted, rad.
    pub(super) wanted: f64,
    /// Standard uncertainty of the angle, rad.
    pub(super) u: Option<f64>,
    /// What test cuts say.
    pub(super) tested: Option<&'a Tested>,
    /// The shims by the holes' places.
    pub(super) shims: &'a Shims,
    /// From the rail's dogs to the cut, mm.
    pub(super) away: Option<f64>,
    /// The dogs' sizes were named.
    pub(super) sizes_stated: bool,
}

/// Where fence and rail stand, what the angle rests on, how it comes out, what mends it.
pub(super) fn arrangement_words(job: &Job, places: &Places, shown: &Shown<'_>) -> Vec<(&'static str, String)> {
    let pair = shown.pair;
    let mut lines = Vec::new();
    let measured = job.kit.as_ref().is_some_and(|kit| !kit.dog.heads.is_empty());
    let stated = shown.sizes_stated;
    let dogs = |line: &Line| {
        let [a, b] = line.holes.map(|hole| name(places, hole));
        if !measured && !stated {
            return format!("dogs in {a} and {b}");
        }
        let [x, y] = line.dogs.map(|dog| dog_size(job.units, dog));
        if x == y { format!("dogs of {x} in {a} and {b}") } else { format!("a dog of {x} in {a}, one of {y} in {b}") }
    };
    let along = |line: &Line| match line.side {
        LineSide::Left => "left",
        LineSide::Right => "right",
    };
    let [f0, f1] = pair.fence.holes.map(|hole| name(places, hole));
    lines.push((
        "Fence",
        format!(
            "{}; looking from {f0} to {f1} the fence lies on their {}, and the work against it",
            dogs(&pair.fence),
            along(&pair.fence)
        ),
    ));
    let [r0, r1] = pair.rail.holes.map(|hole| name(places, hole));
    let away =
        shown.away.map_or_else(String::new, |away| format!(", the cut {} from the dogs", length(job.units, away)));
    lines.push((
        "Rail",
        format!("{}; looking from {r0} to {r1} the rail lies on their {}{away}", dogs(&pair.rail), along(&pair.rail)),
    ));
    lines.push(("Holes", basis(job, places).trim_end_matches('.').to_owned()));
    let shims = shown.tested.map_or(shown.shims, |tested| &tested.shims);
    let shim = shim_words(job, places, shims);
    let u = shown.u.map(|u| u * 1000.0);
    match shown.tested {
        Some(tested) => lines.push(("Test cut", tested_words(job, tested, shown.wanted))),
        None => lines.push(("Prove", prove_first(shown.wanted).to_owned())),
    }
    lines.push(("Angle", comes_out(job, places.basis(), pair.error_mm_per_m(shown.wanted), u, shim.is_some())));
    if let Some(text) = shim {
        let from = if shown.tested.is_some() { ", by the test cut" } else { "" };
        lines.push(("Shim", format!("{text}{from}; measure the first piece again after it")));
    }
    lines
}

/// The card of one arrangement.
pub fn cut_card(job: &Job, places: &Places, settled: &Settled) -> CutCard {
    let cut = &job.cuts[settled.cut];
    let pair = &settled.pair;
    let square = (cut.angle - std::f64::consts::FRAC_PI_2).abs() < 1e-9;
    let mut aside = if square {
        vec!["square".to_owned()]
    } else {
        vec![
            format!("{} from the fence", format::angle(cut.angle)),
            format!("{} on a mitre scale", format::angle(mitre(cut.angle))),
        ]
    };
    if cut.quantity > 1 {
        aside.push(format!("{} pieces", cut.quantity));
    }
    let stated = [&cut.fence, &cut.rail].iter().any(|line| line.as_ref().is_some_and(|l| l.dogs.is_some()));
    let shown = Shown {
        pair,
        wanted: cut.angle,
        u: settled.u,
        tested: settled.tested.as_ref(),
        shims: &settled.shims,
        away: settled.offsets.map(|o| o.cut),
        sizes_stated: stated,
    };
    let mut lines = arrangement_words(job, places, &shown);
    stop_words(job, places, settled, &mut lines);
    let kept = settled.piece.map_or(kept_of(pair), |piece| piece.kept);
    let (work, waste) = match kept {
        Kept::UnderRail => ("under the rail", "beyond the kerf"),
        Kept::Beyond => ("beyond the kerf", "under the rail"),
    };
    let end = if settled.stop.is_some() { ", then its end against the stop" } else { "" };
    lines.push(("Work", format!("what is kept lies {work}; its edge against the fence{end}")));
    lines.push((
        "Waste",
        format!("{waste}: held up so that it neither drops nor binds, and never between stop and blade"),
    ));
    if let Some(room) = &settled.room {
        lines.push(("Room", room_words(job, places, room)));
    }
    CutCard { title: cut.name.clone(), aside, lines, cautions: cautions(job, settled) }
}

/// What test cuts on these lines say.
fn tested_words(job: &Job, tested: &Tested, wanted: f64) -> String {
    let numbers: Vec<String> = tested.readings.iter().map(usize::to_string).collect();
    let which = if numbers.len() == 1 { "reading" } else { "readings" };
    format!(
        "on these very lines ({which} {}): {}, the dogs left as they stood",
        list(numbers.iter().map(String::as_str)),
        comes_out(job, Basis::Proved, tested.error_mm_per_m(wanted), Some(1000.0 * tested.u), false)
    )
}

fn dog_size(units: Units, mm: f64) -> String {
    super::figures::limits(units, crate::kit::Limits::exact(mm))
}

fn stop_words(job: &Job, places: &Places, settled: &Settled, lines: &mut Vec<(&'static str, String)>) {
    let Some(piece) = &settled.piece else { return };
    let taken = match piece.at {
        CutAt::Fence => "at the fence",
        CutAt::Middle => "in the middle",
        CutAt::Far => "at the far edge",
    };
    let wanted = format!("{} long {taken}", length(job.units, piece.length));
    match &settled.stop {
        Some(stop) => {
            let spacer = format!("a spacer of {}", fine(job.units, stop.spacer));
            let u = stop.u_length.map_or_else(String::new, |u| {
                format!("; the length comes out within {} 95\u{a0}times in\u{a0}100", fine(job.units, NINETY_FIVE * u))
            });
            let stated = job.cuts[settled.cut].stop.as_ref().is_some_and(|s| s.dog.is_some());
            let measured = job.kit.as_ref().is_some_and(|kit| !kit.dog.heads.is_empty());
            let dog = if stated || measured {
                format!("a dog of {}", dog_size(job.units, stop.dog))
            } else {
                "a dog".to_owned()
            };
            lines.push(("Stop", format!("{wanted}: {dog} in {}, then {spacer}{u}", name(places, stop.hole))));
        }
        None => lines.push(("Stop", format!("{wanted}: no hole serves, clamp a stop to the fence and measure"))),
    }
    if let Some([from, to]) = settled.lengths {
        let about = |mm| super::figures::about_length(job.units, mm);
        lines.push(("Lengths", format!("with other stops from {} to {} on these lines", about(from), about(to))));
    }
}

/// What holds for every cut; the first two and the fourth stand on every card.
pub const CUTTING: [&str; 5] = [
    "Clamp the rail: dogs place it and do not hold it. Set the depth so that the blade only grazes the top.",
    "No steel dog, pin or clamp in the blade's way, run-in, run-out and plunge counted in. Push the saw through by hand \
     first, its plug or battery out.",
    "Never trap the offcut between stop and blade. Hold it up so that it neither drops nor binds.",
    "A plunge kicks back: both hands on the saw, beside its line and not behind it. The saw maker's instructions and \
     local rules come first; learners under supervision.",
    "Small parts and narrow strips are held by a clamp, never by hand. A sharp tip slips on a round stop.",
];

/// What can hurt at this cut.
fn cautions(job: &Job, settled: &Settled) -> Vec<String> {
    let mut all = Vec::new();
    if let Some(room) = &settled.room {
        all.extend(room.blocked.iter().map(|why| blocked(*why).to_owned()));
        all.extend(passes_over(job, room));
    }
    all.extend(CUTTING[..2].iter().map(|&text| text.to_owned()));
    if let Some(piece) = &settled.piece {
        if piece.length < SMALL_PIECE || (piece.width > 0.0 && piece.width < NARROW_STRIP) {
            all.push("A small piece: hold it by a clamp, never by hand.".to_owned());
        }
        let tip = piece.end.min(std::f64::consts::PI - piece.end);
        if tip < SHARP {
            all.push("The sharp tip slips on a round stop: put a flat block between them.".to_owned());
        }
    }
    all.push(CUTTING[3].to_owned());
    all
}

/// The keep-outs that a cut passes over.
pub(super) fn passes_over(job: &Job, room: &Room) -> Vec<String> {
    let name = |&over: &usize| &job.keep_outs[over].name;
    let said = |name| format!("The cut passes over {name}: look how deep the blade comes before you begin.");
    room.over.iter().map(name).map(said).collect()
}

fn blocked(why: Blocked) -> &'static str {
    match why {
        Blocked::OffTheTop => "The cut meets the fence off the top: do not cut so.",
        Blocked::RailTooShort => "The rail is too short for its two dogs: do not cut so.",
        Blocked::DogInTheWork => "A dog of the rail stands where the work lies: the work does not reach the fence.",
        Blocked::NothingToLieAgainst => "The kept piece has no dog of the fence beyond the cut to lie against.",
        Blocked::BladeMeetsDog => "The blade would meet a dog or pass within 5 mm of one: do not cut so.",
        Blocked::DogUnderRail => "A dog of the fence stands under the rail: it must be lower than the work.",
        Blocked::TooNarrow => "Rail and top do not allow a cut as long as the work is wide.",
    }
}
