//! An arrangement as outlines on the top, for whoever draws it: fence, rail, cut, kept piece, waste.

use super::clear::Room;
use super::clear::{faces, kept_of, meeting, point_on};
use super::fixed::Settled;
use super::line::Face;
use super::pair::Pair;
use super::places::Places;
use super::shim::Shims;
use super::stop::Offsets;
use crate::job::{CutAt, Job, Kept};
use crate::math;
use crate::top::Point;

/// How far fence and rail are drawn past their dogs where nothing says how long they are, mm.
const PAST_THE_DOGS: f64 = 60.0;
/// Width of work that nobody stated, as drawn, mm.
const DRAWN_WIDTH: f64 = 100.0;
/// Length of the waste as drawn, mm: as long as is left, which nobody states.
const DRAWN_WASTE: f64 = 110.0;

/// What is drawn, mm of the top.
#[derive(Clone, Debug, PartialEq)]
pub struct Sketch {
    /// The face that the work lies against.
    pub fence: [Point; 2],
    /// The cut.
    pub cut: [Point; 2],
    /// The rail, four corners; `None` where nothing says how wide it is.
    pub rail: Option<Vec<Point>>,
    /// The kept piece from the corner at fence and cut, along the fence first; `None` without a length.
    pub kept: Option<Vec<Point>>,
    /// What is cut off, four corners.
    pub waste: Option<Vec<Point>>,
}

impl Sketch {
    /// Draws a cut up.
    pub fn of(job: &Job, places: &Places, settled: &Settled) -> Sketch {
        let pair = &settled.pair;
        let offsets = settled.offsets.unwrap_or(Offsets { cut: 0.0, fence_thickness: 0.0 });
        let [work, cut] = faces(pair, offsets.fence_thickness, offsets.cut);
        let at = meeting(&work, &cut);
        let meets = point_on(&work, at);
        let start = cut.along_of(meets);
        let sign = pair.fence.sign();
        let up = work.normal().map(|n| n * sign);
        let sin = math::sin(pair.angle);

        let ends = |face: &Face, holes: [usize; 2]| holes.map(|hole| face.along_of(places.holes()[hole].centre));
        let fence = spread(ends(&work, pair.fence.holes), PAST_THE_DOGS).map(|t| point_on(&work, t));
        let stated = job.cuts.get(settled.cut).and_then(|cut| cut.width);
        let width = match &settled.room {
            _ if stated.is_some() => stated.unwrap_or(DRAWN_WIDTH),
            Some(room) => DRAWN_WIDTH.min(room.capacity * sin),
            None => DRAWN_WIDTH,
        };
        let path = match &settled.room {
            Some(room) => room.path.map(|p| point_on(&cut, cut.along_of(p))),
            None => [start - PAST_THE_DOGS, start + width / sin + PAST_THE_DOGS].map(|t| point_on(&cut, t)),
        };
        let rail = settled.offsets.map(|_| {
            let [from, to] = match &settled.room {
                Some(room) => room.rail.map(|p| cut.along_of(p)),
                None => {
                    let [a, b] = spread(ends(&cut, pair.rail.holes), PAST_THE_DOGS);
                    [a.min(cut.along_of(path[0])), b.max(cut.along_of(path[1]))]
                }
            };
            vec![
                point_on(&pair.rail_face, from),
                point_on(&pair.rail_face, to),
                point_on(&cut, to),
                point_on(&cut, from),
            ]
        });

        let lean = math::cos(pair.angle) / sin;
        let on = |along: f64, high: f64| {
            Point::new(meets.x + along * work.along[0] + high * up[0], meets.y + along * work.along[1] + high * up[1])
        };
        // The kerf lies away from the rail: on the kept piece's side where that is beyond it.
        let kerf = job.cuts.get(settled.cut).and_then(|cut| cut.kerf).unwrap_or(0.0) / sin;
        let (mine, theirs) = match kept_of(pair) {
            Kept::Beyond => (kerf, 0.0),
            Kept::UnderRail => (0.0, kerf),
        };
        let kept = settled.piece.map(|piece| {
            let high = match piece.at {
                CutAt::Fence => 0.0,
                CutAt::Middle => 0.5 * width,
                CutAt::Far => width,
            };
            let tilt = math::cos(piece.end) / math::sin(piece.end);
            let end = mine + high * lean + piece.length + high * tilt;
            vec![on(mine, 0.0), on(end, 0.0), on(end - width * tilt, width), on(mine + width * lean, width)]
        });
        let waste = Some(vec![
            on(-theirs, 0.0),
            on(-theirs - DRAWN_WASTE, 0.0),
            on(-theirs - DRAWN_WASTE, width),
            on(-theirs + width * lean, width),
        ]);
        Sketch { fence, cut: path, rail, kept, waste }
    }

    /// Fence, rail and cut alone, on work that nobody stated.
    pub fn of_lines(job: &Job, places: &Places, pair: &Pair, room: &Room) -> Sketch {
        let lines = Settled {
            // a cut of a list: none of the job's own
            cut: usize::MAX,
            pair: *pair,
            u: None,
            offsets: Offsets::of_kit(job),
            room: Some(room.clone()),
            shims: Shims::of(places, pair, pair.angle),
            tested: None,
            piece: None,
            stop: None,
            lengths: None,
            looked_for: true,
            remarks: Vec::new(),
        };
        Sketch { waste: None, ..Sketch::of(job, places, &lines) }
    }

    /// All its points.
    pub fn points(&self) -> impl Iterator<Item = Point> + '_ {
        let outlines = [&self.rail, &self.kept, &self.waste].into_iter().flatten().flatten();
        self.fence.iter().chain(&self.cut).chain(outlines).copied()
    }
}

/// Both ends, so much further apart each way.
fn spread([a, b]: [f64; 2], by: f64) -> [f64; 2] {
    if a <= b { [a - by, b + by] } else { [a + by, b - by] }
}
