//! What `holefast angle --json` and `holefast cut --json` print. Only turns what was found into keys
//! with units; works nothing out.

use serde::Serialize;

use super::PER_METRE;
use super::directions::{Direction, DirectionPair};
use super::fixed::Settled;
use super::line::{Face, Line};
use super::places::{Basis, Places};
use super::search::{Arrangement, Found, Search};
use super::shim::{Shim, Shims, from_stock};
use super::tested::Tested;
use super::wanted::mitre;
use crate::job::{Job, Kept, LineSide};

#[derive(Serialize)]
struct AngleJson {
    angle_deg: f64,
    mitre_deg: f64,
    tolerance_deg: f64,
    basis: &'static str,
    check_first: bool,
    directions: Vec<DirectionJson>,
    nearest: NearestJson,
    arrangements: Vec<ArrangementJson>,
    looked_at: usize,
}

#[derive(Serialize)]
struct DirectionJson {
    fence: [i64; 2],
    rail: [i64; 2],
    angle_deg: f64,
    error_deg: f64,
}

#[derive(Serialize)]
struct NearestJson {
    below: Option<DirectionJson>,
    above: Option<DirectionJson>,
}

#[derive(Serialize)]
struct LineJson {
    holes: [String; 2],
    side: &'static str,
    dogs_mm: [f64; 2],
    base_mm: f64,
}

/// An arrangement as data.
#[derive(Serialize)]
pub(crate) struct ArrangementJson {
    fence: LineJson,
    rail: LineJson,
    angle_deg: f64,
    error_mm_per_m: f64,
    u_mm_per_m: Option<f64>,
    bound_mm_per_m: f64,
    shim: OneShimJson,
    kept: &'static str,
    capacity_mm: Option<f64>,
    clearance_mm: Option<f64>,
    clearance_of_dogs_mm: Option<f64>,
    nicks: Vec<String>,
}

#[derive(Serialize)]
struct OneShimJson {
    line: &'static str,
    hole: String,
    thickness_mm: f64,
    from_stock_mm: Vec<f64>,
}

#[derive(Serialize)]
struct ShimJson {
    hole: String,
    thickness_mm: f64,
    from_stock_mm: Vec<f64>,
}

#[derive(Serialize)]
struct ShimsJson {
    fence: ShimJson,
    rail: ShimJson,
}

/// What test cuts say, as data.
#[derive(Serialize)]
pub(crate) struct TestJson {
    readings: Vec<usize>,
    angle_deg: f64,
    error_mm_per_m: f64,
    u_mm_per_m: f64,
    shim: ShimsJson,
}

#[derive(Serialize)]
struct StopJson {
    hole: String,
    dog_mm: f64,
    spacer_mm: f64,
    along_mm: f64,
    across_mm: f64,
    u_length_mm: Option<f64>,
}

#[derive(Serialize)]
struct CutsJson<'a, L> {
    basis: &'static str,
    check_first: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    list: Option<&'a L>,
    cuts: Vec<CutJson>,
}

#[derive(Serialize)]
struct CutJson {
    name: String,
    wanted_deg: f64,
    mitre_deg: f64,
    angle_deg: f64,
    error_mm_per_m: f64,
    u_mm_per_m: Option<f64>,
    looked_for: bool,
    fence: LineJson,
    rail: LineJson,
    kept: &'static str,
    shim: ShimsJson,
    test: Option<TestJson>,
    stop: Option<StopJson>,
    shortest_mm: Option<f64>,
    longest_mm: Option<f64>,
    capacity_mm: Option<f64>,
    clearance_mm: Option<f64>,
    clearance_of_dogs_mm: Option<f64>,
    nicks: Vec<String>,
    passes_over: Vec<String>,
    remarks: Vec<String>,
}

/// The data of an angle that was looked for.
pub fn angle_to_json(job: &Job, places: &Places, ask: &Search, found: &Found) -> String {
    let pair = |p: &DirectionPair| direction_pair(&found.directions, p);
    text(&AngleJson {
        angle_deg: ask.wanted.to_degrees(),
        mitre_deg: mitre(ask.wanted).to_degrees(),
        tolerance_deg: ask.tolerance.to_degrees(),
        basis: basis(places.basis()),
        check_first: places.is_doubted(),
        directions: found.pairs.iter().map(pair).collect(),
        nearest: NearestJson {
            below: found.nearest.below.as_ref().map(pair),
            above: found.nearest.above.as_ref().map(pair),
        },
        arrangements: found.arrangements.iter().map(|a| arrangement_json(job, places, ask.wanted, a)).collect(),
        looked_at: found.looked_at,
    })
}

/// The data of the cuts of a job, with that of its list of parts where it has one.
pub fn cuts_to_json<L: Serialize>(job: &Job, places: &Places, settled: &[Settled], list: Option<&L>) -> String {
    text(&CutsJson {
        list,
        basis: basis(places.basis()),
        check_first: places.is_doubted(),
        cuts: settled.iter().map(|s| cut(job, places, s)).collect(),
    })
}

fn text(data: &impl Serialize) -> String {
    let mut text = serde_json::to_string_pretty(data).unwrap_or_else(|e| unreachable!("plain data: {e}"));
    text.push('\n');
    text
}

fn basis(basis: Basis) -> &'static str {
    match basis {
        Basis::Planned => "as planned, spread not known",
        Basis::Predicted => "as predicted",
        Basis::Proved => "as proved",
    }
}

pub(super) fn side(side: LineSide) -> &'static str {
    match side {
        LineSide::Left => "left",
        LineSide::Right => "right",
    }
}

fn kept(kept: Kept) -> &'static str {
    match kept {
        Kept::UnderRail => "under rail",
        Kept::Beyond => "beyond",
    }
}

fn direction_pair(all: &[Direction], pair: &DirectionPair) -> DirectionJson {
    let of = |index: usize| [all[index].p, all[index].q];
    DirectionJson {
        fence: of(pair.fence),
        rail: of(pair.rail),
        angle_deg: pair.angle.to_degrees(),
        error_deg: pair.error.to_degrees(),
    }
}

fn line(places: &Places, line: &Line, face: &Face) -> LineJson {
    LineJson {
        holes: line.holes.map(|hole| places.holes()[hole].name.clone()),
        side: side(line.side),
        dogs_mm: line.dogs,
        base_mm: face.base,
    }
}

fn stock(job: &Job, thickness: f64) -> Vec<f64> {
    job.kit.as_ref().map_or_else(Vec::new, |kit| from_stock(&kit.shims, thickness))
}

fn names(places: &Places, holes: &[usize]) -> Vec<String> {
    holes.iter().map(|&hole| places.holes()[hole].name.clone()).collect()
}

/// An arrangement as data.
pub(crate) fn arrangement_json(job: &Job, places: &Places, wanted: f64, a: &Arrangement) -> ArrangementJson {
    let shims = Shims::of(places, &a.pair, wanted);
    let on_fence = shims.thinner_on_fence();
    let shim = if on_fence { shims.fence } else { shims.rail };
    let room = a.room.as_ref();
    ArrangementJson {
        fence: line(places, &a.pair.fence, &a.pair.fence_face),
        rail: line(places, &a.pair.rail, &a.pair.rail_face),
        angle_deg: a.pair.angle.to_degrees(),
        error_mm_per_m: a.pair.error_mm_per_m(wanted),
        u_mm_per_m: a.u.map(|u| u * PER_METRE),
        bound_mm_per_m: a.bound_mm_per_m,
        shim: OneShimJson {
            line: if on_fence { "fence" } else { "rail" },
            hole: places.holes()[shim.hole].name.clone(),
            thickness_mm: shim.thickness,
            from_stock_mm: stock(job, shim.thickness),
        },
        kept: kept(super::clear::kept_of(&a.pair)),
        capacity_mm: room.map(|r| r.capacity),
        clearance_mm: room.map(|r| r.from_dogs.min(r.from_holes)),
        clearance_of_dogs_mm: room.map(|r| r.from_dogs),
        nicks: room.map_or_else(Vec::new, |r| names(places, &r.nicked)),
    }
}

fn shims_json(job: &Job, places: &Places, both: &Shims) -> ShimsJson {
    let shim = |shim: &Shim| ShimJson {
        hole: places.holes()[shim.hole].name.clone(),
        thickness_mm: shim.thickness,
        from_stock_mm: stock(job, shim.thickness),
    };
    ShimsJson { fence: shim(&both.fence), rail: shim(&both.rail) }
}

/// What test cuts say, as data.
pub(crate) fn test_json(job: &Job, places: &Places, wanted: f64, test: &Tested) -> TestJson {
    TestJson {
        readings: test.readings.clone(),
        angle_deg: test.angle.to_degrees(),
        error_mm_per_m: test.error_mm_per_m(wanted),
        u_mm_per_m: test.u * PER_METRE,
        shim: shims_json(job, places, &test.shims),
    }
}

fn cut(job: &Job, places: &Places, settled: &Settled) -> CutJson {
    let wanted = &job.cuts[settled.cut];
    let room = settled.room.as_ref();
    CutJson {
        name: wanted.name.clone(),
        wanted_deg: wanted.angle.to_degrees(),
        mitre_deg: mitre(wanted.angle).to_degrees(),
        angle_deg: settled.pair.angle.to_degrees(),
        error_mm_per_m: settled.pair.error_mm_per_m(wanted.angle),
        u_mm_per_m: settled.u.map(|u| u * PER_METRE),
        looked_for: settled.looked_for,
        fence: line(places, &settled.pair.fence, &settled.pair.fence_face),
        rail: line(places, &settled.pair.rail, &settled.pair.rail_face),
        kept: kept(settled.piece.as_ref().map_or(super::clear::kept_of(&settled.pair), |p| p.kept)),
        shim: shims_json(job, places, &settled.shims),
        test: settled.tested.as_ref().map(|test| test_json(job, places, wanted.angle, test)),
        stop: settled.stop.as_ref().map(|stop| StopJson {
            hole: places.holes()[stop.hole].name.clone(),
            dog_mm: stop.dog,
            spacer_mm: stop.spacer,
            along_mm: stop.along,
            across_mm: stop.across,
            u_length_mm: stop.u_length,
        }),
        shortest_mm: settled.lengths.map(|l| l[0]),
        longest_mm: settled.lengths.map(|l| l[1]),
        capacity_mm: room.map(|r| r.capacity),
        clearance_mm: room.map(|r| r.from_dogs.min(r.from_holes)),
        clearance_of_dogs_mm: room.map(|r| r.from_dogs),
        nicks: room.map_or_else(Vec::new, |r| names(places, &r.nicked)),
        passes_over: room.map_or_else(Vec::new, |r| r.over.iter().map(|&k| job.keep_outs[k].name.clone()).collect()),
        remarks: settled.remarks.iter().map(|r| r.message.clone()).collect(),
    }
}
