//! The cuts of a job, each with its arrangement: as the maker settled it, or the best that is found.

use super::clear::{CutAsk, Room, USUAL_KERF, kept_of};
use super::directions::DirectionPair;
use super::dogs::Dogs;
use super::line::Line;
use super::pair::Pair;
use super::places::Places;
use super::search::{Found, MOST_ARRANGEMENTS, Search, search, search_for};
use super::shim::Shims;
use super::stop::{Offsets, Piece, StopSet, best_stop, kit_stop, lengths};
use super::tested::Tested;
use crate::fault::Fault;
use crate::job::{Cut, HoleLine, Job, Kept};
use crate::measure::format;

/// How far a direction may be from the wanted angle where the cut does not say, rad: a tenth of a
/// degree, which a step block of a millimetre or less closes.
pub const USUAL_TOLERANCE: f64 = 0.1 * std::f64::consts::PI / 180.0;

/// A cut with everything in its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Settled {
    /// The cut, by its index in the job.
    pub cut: usize,
    /// Fence and rail.
    pub pair: Pair,
    /// Standard uncertainty of the angle, rad; `None` where nothing is known of the places.
    pub u: Option<f64>,
    /// Fence and cut from their dogs; `None` where nobody said how wide the rail is.
    pub offsets: Option<Offsets>,
    /// The room there is; `None` where the kit has no rail.
    pub room: Option<Room>,
    /// The shims that mend the angle.
    pub shims: Shims,
    /// What test cuts on these lines say; `None` where nobody made one.
    pub tested: Option<Tested>,
    /// The piece; `None` for a cut without a length.
    pub piece: Option<Piece>,
    /// Its stop; `None` without a length, or where no hole serves.
    pub stop: Option<StopSet>,
    /// Shortest and longest that this arrangement takes, mm.
    pub lengths: Option<[f64; 2]>,
    /// True where holefast chose the holes.
    pub looked_for: bool,
    /// What is worth a second look.
    pub remarks: Vec<Fault>,
}

/// Settles all cuts of a job on these places.
///
/// Errors: a hole that the top does not have, lines that make no angle, no arrangement near enough.
pub fn settle(job: &Job, places: &Places) -> Result<Vec<Settled>, Vec<Fault>> {
    let mut faults = Vec::new();
    let mut settled = Vec::new();
    for index in 0..job.cuts.len() {
        match settle_one(job, places, index) {
            Ok(cut) => settled.push(cut),
            Err(more) => faults.extend(more),
        }
    }
    if faults.is_empty() { Ok(settled) } else { Err(faults) }
}

/// Settles one cut of a job, by its index.
///
/// Errors: as [`settle`].
pub fn settle_one(job: &Job, places: &Places, index: usize) -> Result<Settled, Vec<Fault>> {
    let dogs = &Dogs::of(job);
    let cut = &job.cuts[index];
    let (pair, looked_for) = match (&cut.fence, &cut.rail) {
        (Some(fence), Some(rail)) => (fixed_pair(job, places, dogs, index, fence, rail)?, false),
        _ => (found_pair(job, places, dogs, index)?, true),
    };
    let u = pair.u(places, dogs);
    let shims = Shims::of(places, &pair, cut.angle);
    let tested = Tested::of(job, places, &pair, cut.angle);
    let kit_rail = job.kit.as_ref().and_then(|kit| kit.rail.as_ref());
    let away = cut.rail.as_ref().and_then(|r| r.cut).or(kit_rail.map(|r| r.cut));
    let fence_thickness = job.kit.as_ref().and_then(|kit| kit.fence.as_ref()?.thickness).unwrap_or(0.0);
    let offsets = away.map(|cut| Offsets { cut, fence_thickness });
    let room = kit_rail.zip(offsets).map(|(rail, offsets)| {
        let kerf = cut.kerf.unwrap_or(USUAL_KERF);
        let ask = CutAsk { job, rail, cut: offsets.cut, fence_thickness, kerf, width: cut.width };
        Room::of(places, &pair, &ask)
    });
    let mut remarks = off_the_angle(job, index, &pair);
    let piece = piece(job, index, &pair, &mut remarks)?;
    let (stop, lengths) = match (&piece, offsets) {
        (None, _) => (None, None),
        (Some(_), None) => {
            let message = format!("cut \"{}\" has a length, and nothing says how wide its rail is", cut.name);
            let hint = "add cut = \"180 mm\" to its rail, from the dogs' faces to the cut, or a [kit.rail]";
            return Err(vec![Fault::input(message).at(span(job, index, "length")).hint(hint)]);
        }
        (Some(piece), Some(offsets)) => stop(job, places, dogs, index, &pair, piece, &offsets, &mut remarks)?,
    };
    Ok(Settled { cut: index, pair, u, offsets, room, shims, tested, piece, stop, lengths, looked_for, remarks })
}

fn span(job: &Job, index: usize, key: &str) -> Option<crate::fault::Span> {
    job.span(&format!("cut[{index}].{key}"))
}

fn fixed_pair(
    job: &Job,
    places: &Places,
    dogs: &Dogs,
    index: usize,
    fence: &HoleLine,
    rail: &HoleLine,
) -> Result<Pair, Vec<Fault>> {
    let mut faults = Vec::new();
    let mut line = |line: &HoleLine, key: &str| {
        let holes = line.holes.each_ref().map(|name| {
            let found = places.find(name);
            if found.is_none() {
                faults.push(no_such_hole(job, index, &format!("{key}.holes"), &format!("the {key} stands"), name));
            }
            found.unwrap_or(0)
        });
        Line { holes, side: line.side, dogs: line.dogs.unwrap_or([dogs.usual(); 2]) }
    };
    let (fence, rail) = (line(fence, "fence"), line(rail, "rail"));
    if !faults.is_empty() {
        return Err(faults);
    }
    for (end, hole) in rail.holes.iter().enumerate() {
        if let Some(at) = fence.holes.iter().position(|f| f == hole)
            && fence.dogs[at] != rail.dogs[end]
        {
            let name = &places.holes()[*hole].name;
            let length = |mm| format::length(mm, job.units);
            let message = format!(
                "the dog in {name} serves fence and rail and is written as {} and as {}",
                length(fence.dogs[at]),
                length(rail.dogs[end])
            );
            let fault = Fault::input(message).at(span(job, index, "rail.dogs"));
            return Err(vec![fault.hint("one hole takes one dog: write the same diameter in both lines")]);
        }
    }
    Pair::of(places, fence, rail).ok_or_else(|| {
        let turned = Line { holes: [rail.holes[1], rail.holes[0]], dogs: [rail.dogs[1], rail.dogs[0]], ..rail };
        let message = "the rail's holes run away from the work, which lies at the side of the fence that touches";
        let works = Pair::of(places, fence, turned).is_some();
        let hint = if works {
            let [a, b] = turned.holes.map(|hole| &places.holes()[hole].name);
            format!("name the rail's holes away from the fence: [\"{a}\", \"{b}\"], and turn its side with them")
        } else {
            "fence and rail lie along one another: choose a rail across the fence".to_owned()
        };
        vec![Fault::input(message).at(span(job, index, "rail.holes")).hint(hint)]
    })
}

fn no_such_hole(job: &Job, index: usize, key: &str, what: &str, name: &str) -> Fault {
    Fault::input(format!("{what} on {name}, which is no dog hole of this top"))
        .at(span(job, index, key))
        .hint("holefast show tells which holes there are")
}

/// The best arrangement for a cut that settles none.
fn found_pair(job: &Job, places: &Places, dogs: &Dogs, index: usize) -> Result<Pair, Vec<Fault>> {
    let cut = &job.cuts[index];
    // Without a kerf only the piece under the rail comes out as long as is wanted.
    let kept = cut.kept.or((cut.length.is_some() && cut.kerf.is_none()).then_some(Kept::UnderRail));
    let ask = Search {
        wanted: cut.angle,
        tolerance: cut.tolerance.unwrap_or(USUAL_TOLERANCE),
        best: if cut.length.is_some() { MOST_ARRANGEMENTS } else { 1 },
        width: cut.width,
        kerf: cut.kerf,
        kept,
    };
    // The best that has a stop for the length, else the best.
    let found = search(job, places, dogs, &ask);
    let piece = piece_of(cut, Kept::UnderRail);
    let stopped = found
        .arrangements
        .iter()
        .find(|a| piece.as_ref().is_some_and(|piece| kit_stop(job, places, dogs, &a.pair, piece).is_some()));
    let further = match (&piece, stopped) {
        (Some(piece), None) => search_for(job, places, dogs, &Search { best: 1, ..ask }, Some(piece)).arrangements,
        _ => Vec::new(),
    };
    let first = stopped.or(further.first()).or(found.arrangements.first());
    match first {
        Some(first) => Ok(first.pair),
        None => Err(vec![nothing_found(job, cut, &found).at(span(job, index, "angle"))]),
    }
}

fn nothing_found(job: &Job, cut: &Cut, found: &Found) -> Fault {
    let wanted = format::angle(cut.angle);
    if found.pairs.is_empty() {
        let say = |pair: &Option<DirectionPair>| pair.map(|p| format::angle(p.angle));
        let near = match (say(&found.nearest.below), say(&found.nearest.above)) {
            (Some(a), Some(b)) => format!("the nearest are {a} and {b}"),
            (Some(a), None) | (None, Some(a)) => format!("the nearest is {a}"),
            (None, None) => "all holes lie on one line".to_owned(),
        };
        return Fault::impossible(format!("no two lines of holes stand at {wanted}: {near}"))
            .hint("a wider tolerance takes the nearest, and a step block at one dog closes the rest");
    }
    let rail = job.kit.as_ref().and_then(|kit| kit.rail.as_ref());
    let hint = match (cut.width, rail) {
        (Some(width), Some(rail)) => format!(
            "the work is {} wide and the rail {} long; a wider tolerance has more lines to choose from",
            format::length(width, job.units),
            format::length(rail.length, job.units)
        ),
        _ => "a wider tolerance has more lines to choose from".to_owned(),
    };
    Fault::impossible(format!("lines of holes stand at {wanted}, and none leaves room for rail, blade and work"))
        .hint(hint)
}

fn off_the_angle(job: &Job, index: usize, pair: &Pair) -> Vec<Fault> {
    let cut = &job.cuts[index];
    let off = (pair.angle - cut.angle).abs();
    if off <= cut.tolerance.unwrap_or(USUAL_TOLERANCE) + 1e-9 {
        return Vec::new();
    }
    let message = format!(
        "cut \"{}\" comes out at {}, {} from the {} that is wanted",
        cut.name,
        format::angle(pair.angle),
        format::angle(off),
        format::angle(cut.angle)
    );
    let fault = Fault::remark(message).at(span(job, index, "angle"));
    vec![fault.hint("a step block at one dog closes it, as told below, or take other holes")]
}

fn piece(job: &Job, index: usize, pair: &Pair, remarks: &mut Vec<Fault>) -> Result<Option<Piece>, Vec<Fault>> {
    let cut = &job.cuts[index];
    if cut.length.is_none() {
        return Ok(None);
    }
    let lies = kept_of(pair);
    let kept = cut.kept.unwrap_or(lies);
    if kept == Kept::Beyond && cut.kerf.is_none() {
        let message = format!("cut \"{}\" keeps the piece beyond the kerf, and has no kerf", cut.name);
        let hint = "add kerf = \"2.2 mm\": cut into an offcut and measure the slot";
        return Err(vec![Fault::input(message).at(span(job, index, "length")).hint(hint)]);
    }
    if kept != lies {
        let (said, is) = match lies {
            Kept::Beyond => ("under rail", "beyond the kerf"),
            Kept::UnderRail => ("beyond", "under the rail"),
        };
        let message = format!(
            "cut \"{}\" keeps the piece \"{said}\", and with these sides the fence runs into the one {is}",
            cut.name
        );
        let hint = "as written the piece is out by the kerf; the rail lies between its dogs and the cut";
        remarks.push(Fault::remark(message).at(span(job, index, "kept")).hint(hint));
    }
    Ok(piece_of(cut, kept))
}

/// The piece of a cut that keeps this one; `None` without a length.
fn piece_of(cut: &Cut, kept: Kept) -> Option<Piece> {
    Some(Piece {
        length: cut.length?,
        at: cut.at,
        width: cut.width.unwrap_or(0.0),
        kerf: cut.kerf.unwrap_or(0.0),
        kept,
        end: cut.end,
    })
}

/// A stop and the shortest and longest pieces.
type Stopped = (Option<StopSet>, Option<[f64; 2]>);

#[allow(clippy::too_many_arguments, reason = "all of one cut, once")]
fn stop(
    job: &Job,
    places: &Places,
    dogs: &Dogs,
    index: usize,
    pair: &Pair,
    piece: &Piece,
    offsets: &Offsets,
    remarks: &mut Vec<Fault>,
) -> Result<Stopped, Vec<Fault>> {
    let cut = &job.cuts[index];
    let taken = |hole: usize| pair.uses(hole);
    let lengths = lengths(places, pair, piece, offsets, dogs, |hole| !taken(hole));
    let length = |mm| format::length(mm, job.units);
    let Some(wanted) = &cut.stop else {
        let found = best_stop(places, pair, piece, offsets, dogs, |hole| !taken(hole));
        if found.is_none() {
            let message = format!("no hole carries a stop for {} of cut \"{}\"", length(piece.length), cut.name);
            let hint = match lengths {
                Some([from, to]) => format!(
                    "with these lines pieces of {} to {} have one; else clamp a stop to the fence",
                    format::length_bare(from, job.units),
                    length(to)
                ),
                None => "clamp a stop to the fence, and set it by a piece that was measured".to_owned(),
            };
            remarks.push(Fault::remark(message).at(span(job, index, "length")).hint(hint));
        }
        return Ok((found, lengths));
    };
    let Some(hole) = places.find(&wanted.hole) else {
        return Err(vec![no_such_hole(job, index, "stop.hole", "the stop stands", &wanted.hole)]);
    };
    if taken(hole) {
        let message = format!("the stop stands on {}, where a dog of fence or rail stands", wanted.hole);
        let fault = Fault::input(message).at(span(job, index, "stop.hole"));
        return Err(vec![fault.hint("choose a free hole beyond the end of the piece")]);
    }
    let dog = wanted.dog.unwrap_or(dogs.usual());
    let stop = StopSet::of(places, pair, piece, offsets, dogs, (hole, dog));
    if stop.spacer < 0.0 {
        let message = format!(
            "the stop on {} stands {} inside the piece of cut \"{}\"",
            wanted.hole,
            length(-stop.spacer),
            cut.name
        );
        let fault = Fault::impossible(message).at(span(job, index, "stop.hole"));
        return Err(vec![fault.hint("choose a hole further from the cut, and a spacer before it")]);
    }
    Ok((Some(stop), lengths))
}
