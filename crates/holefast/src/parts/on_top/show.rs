//! A list's cuts on this top as data. Only turns what was found into keys with units.

use serde::Serialize;

use super::{Keeps, OnTop, SetUp, Which, WhyNot};
use crate::cut::{Arrangement, ArrangementJson, Places, TestJson, arrangement_json, test_json};
use crate::job::Job;
use crate::parts::CutList;
use crate::parts::show::Show;

/// A list: its breakdown, and its cuts on this top.
#[derive(Serialize)]
pub struct ShowList {
    #[serde(flatten)]
    breakdown: Show,
    /// Null where the kit has no guide rail.
    on_top: Option<ShowTop>,
}

/// Returns the data of a list.
pub fn show_list(job: &Job, places: &Places, list: &CutList, top: Option<&OnTop>) -> ShowList {
    let breakdown = crate::parts::show::show(job, list);
    ShowList { breakdown, on_top: top.map(|top| show(job, places, list, top)) }
}

/// The cuts on this top.
#[derive(Serialize)]
struct ShowTop {
    settings: Vec<ShowSetting>,
    cuts: Vec<ShowCut>,
    parts: Vec<ShowPart>,
}

#[derive(Serialize)]
struct ShowSetting {
    name: String,
    wanted_deg: f64,
    cuts: usize,
    #[serde(flatten)]
    arrangement: ArrangementJson,
    test: Option<TestJson>,
}

#[derive(Serialize)]
struct ShowCut {
    /// From 1.
    batch: usize,
    /// The cut's number in the batch; null for the end of a part.
    number: Option<usize>,
    /// The part whose end is cut, and which end, from 1.
    part: Option<String>,
    end: Option<usize>,
    runs_mm: f64,
    /// Null where it is not made on this top.
    setting: Option<String>,
    stop: Option<ShowStop>,
    not_here: Option<&'static str>,
    why_not: Option<String>,
}

#[derive(Serialize)]
struct ShowStop {
    hole: String,
    spacer_mm: f64,
    u_length_mm: Option<f64>,
}

#[derive(Serialize)]
struct ShowPart {
    name: String,
    length_mm: Option<f64>,
    width_mm: Option<f64>,
    square_mm: Option<f64>,
    tolerance_mm: Option<f64>,
    tolerance_kept: Option<bool>,
}

/// Errors are halves of intervals that hold 95 of 100.
fn show(job: &Job, places: &Places, list: &CutList, top: &OnTop) -> ShowTop {
    let name = crate::words::on_top::setting_name;
    let setting = |(number, set_up): (usize, &SetUp)| {
        let bound_mm_per_m = 1000.0 * ((set_up.pair.angle - set_up.wanted).abs() + 2.0 * set_up.u.unwrap_or(0.0));
        let room = Some(set_up.room.clone());
        let arrangement = Arrangement { pair: set_up.pair, u: set_up.u, bound_mm_per_m, room };
        ShowSetting {
            name: name(number),
            wanted_deg: set_up.wanted.to_degrees(),
            cuts: set_up.cuts,
            arrangement: arrangement_json(job, places, set_up.wanted, &arrangement),
            test: set_up.tested.as_ref().map(|tested| test_json(job, places, set_up.wanted, tested)),
        }
    };
    let cuts = top.cuts.iter().map(|cut| {
        let (number, part, end) = match cut.which {
            Which::Step(i) => (Some(list.batches[cut.batch].steps[i].number), None, None),
            Which::End(part, end) => (None, Some(job.part_list.parts[part].name.clone()), Some(end + 1)),
        };
        let how = cut.how.as_ref();
        ShowCut {
            batch: cut.batch + 1,
            number,
            part,
            end,
            runs_mm: cut.runs,
            setting: how.ok().map(|how| name(how.set_up)),
            stop: how.ok().and_then(|how| how.stop).map(|stop| ShowStop {
                hole: places.holes()[stop.hole].name.clone(),
                spacer_mm: stop.spacer,
                u_length_mm: stop.u_length,
            }),
            not_here: how.err().map(|why| match why {
                WhyNot::NoEdge => "no edge",
                WhyNot::TooLong(_) => "too long",
                WhyNot::NoStop(_) => "no stop",
                WhyNot::NoAngle(_) => "no angle",
                WhyNot::Stopped => "stopped",
            }),
            why_not: how.err().map(|_| crate::words::on_top::how(job, places, top, cut)),
        }
    });
    let parts = top.errors.iter().map(|error| {
        let wanted = &job.part_list.parts[error.part];
        ShowPart {
            name: wanted.name.clone(),
            length_mm: error.length,
            width_mm: error.width,
            square_mm: error.square,
            tolerance_mm: wanted.tolerance,
            tolerance_kept: match error.keeps {
                Some(Keeps::Yes) => Some(true),
                Some(Keeps::No) => Some(false),
                Some(Keeps::NotKnown) | None => None,
            },
        }
    });
    ShowTop {
        settings: top.set_ups.iter().enumerate().map(setting).collect(),
        cuts: cuts.collect(),
        parts: parts.collect(),
    }
}
