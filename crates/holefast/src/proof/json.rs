//! A proof as data: the shape of docs/design/job-file-and-data.md 6.

use serde_json::{Value, json};

use super::adjusted::{Estimate, NoSquare};
use super::bad_hole::BadHoleSet;
use super::next::{Next, Suggestion};
use super::over_time::OverTime;
use super::report::{HoleProof, Proof, ReadingProof, SuspectProof, Verdict, VerdictWord, Who};
use crate::reading::Prior;

/// Half-width of a 95 % interval in standard uncertainties.
const HALF_95: f64 = 1.959_963_984_540_054;

impl VerdictWord {
    /// The word as data has it.
    pub fn name(self) -> &'static str {
        match self {
            VerdictWord::Square => "square",
            VerdictWord::NotSquare => "not square",
            VerdictWord::Undecided => "undecided",
        }
    }
}

impl NoSquare {
    /// Why, as data has it.
    pub fn name(self) -> &'static str {
        match self {
            NoSquare::OneLine => "the holes lie on one line",
            NoSquare::Free => "the readings leave a direction free that changes square",
            NoSquare::NotConverged => "the adjustment did not settle",
        }
    }
}

fn prior_name(prior: Prior) -> &'static str {
    match prior {
        Prior::Prediction => "prediction",
        Prior::Scatter => "scatter",
        Prior::None => "none",
        Prior::Stated(_) => "stated",
    }
}

fn estimate(of: Option<Estimate>) -> Value {
    of.map_or(Value::Null, |e| json!({"value": e.value, "u": e.u, "unit": "mm/m"}))
}

fn plain(of: Option<Estimate>) -> Value {
    of.map_or(Value::Null, |e| json!({"value": e.value, "u": e.u}))
}

pub(super) fn verdict(of: Option<&Verdict>) -> Value {
    of.map_or(
        Value::Null,
        |v| json!({"limit": v.limit, "confidence": v.confidence, "within": v.within, "word": v.word.name()}),
    )
}

fn hole(h: &HoleProof) -> Value {
    json!({
        "name": h.name, "read": h.read, "dx_mm": h.d[0], "dy_mm": h.d[1], "u_x_mm": h.u[0], "u_y_mm": h.u[1],
        "cov_xy_mm2": h.covariance,
        "ellipse": {"major_mm": h.axes[0], "minor_mm": h.axes[1], "direction_deg": h.direction.to_degrees()},
    })
}

fn reading(r: &ReadingProof) -> Value {
    let mut out =
        json!({"number": r.number, "kind": r.kind.name(), "adjusted": r.adjusted, "u_adjusted": r.u_adjusted});
    if let Some((hole, axis)) = &r.coordinate {
        out["hole"] = json!(hole);
        out["axis"] = json!(["x", "y"][*axis]);
    }
    match &r.point {
        Some(p) => {
            out["reading"] = json!(p.reading);
            out["residual"] = json!(p.residual);
            out["u_reading"] = json!(p.u);
            out["redundancy"] = json!(p.redundancy);
            out["standardised"] = json!(p.standardised);
            out["smallest_blunder"] = json!(p.smallest_blunder);
            out["smallest_blunder_on_square"] = json!(p.on_square);
        }
        None => out["chance"] = json!(r.chance),
    }
    out
}

fn suspect(s: &SuspectProof) -> Value {
    let mut out = match &s.who {
        Who::Reading { number, standardised, blunder, .. } => {
            json!({"reading": number, "standardised": standardised, "p": s.p, "blunder": blunder})
        }
        Who::Hole { name, statistic, freedom, shift } => json!({
            "hole": name, "statistic": statistic, "freedom": freedom, "p": s.p, "dx_mm": shift[0], "dy_mm": shift[1],
        }),
    };
    if !s.alike.is_empty() {
        out["alike"] = json!(s.alike);
    }
    out
}

impl Proof {
    /// The outcome as data has it.
    pub fn outcome(&self) -> &'static str {
        match self.square {
            _ if !self.converged => "not converged",
            Err(NoSquare::Free) => "free directions",
            _ => "converged",
        }
    }

    /// Returns the proof as indented JSON, ending in a newline.
    pub fn to_json(&self) -> String {
        let square = match self.square {
            Ok(square) => json!({
                "value": square.value, "u": square.u,
                "q025": square.value - HALF_95 * square.u, "q975": square.value + HALF_95 * square.u,
                "unit": "mm/m",
                "over": if self.over_all { "all holes" } else { "holes read" },
                "holes": self.holes_in_square,
            }),
            Err(_) => Value::Null,
        };
        let mut told = verdict(self.verdict.as_ref());
        if told.is_object() {
            told["check_first"] = json!(self.check_first);
        }
        let held_by = match self.datum.prior {
            _ if self.datum.free.is_empty() && self.datum.undetermined == 0 && self.datum.prior == Prior::None => {
                "readings"
            }
            Prior::None => "inner constraints",
            _ => "prior",
        };
        let mut out = json!({
            "outcome": self.outcome(),
            "iterations": self.iterations,
            "datum": {
                "prior": prior_name(self.datum.prior), "held_by": held_by, "free": self.datum.free,
                "undetermined": self.datum.undetermined, "moves_most": self.datum.moves_most,
            },
            "square": square,
            "pitch_x": estimate(self.pitch[0]),
            "pitch_y": estimate(self.pitch[1]),
            "verdict": told,
            "check_first": self.check_first,
            "holes": self.holes.iter().map(hole).collect::<Vec<_>>(),
            "instruments": self.instruments.iter().map(|i| json!({
                "name": i.name, "scale": plain(i.scale), "zero": plain(i.zero),
            })).collect::<Vec<_>>(),
            "readings": self.readings.iter().map(reading).collect::<Vec<_>>(),
            "test": {
                "statistic": self.test.statistic, "degrees_of_freedom": self.test.freedom, "limit": self.test.limit,
                "p": self.test.p, "level": self.test.level, "passed": self.test.passed,
            },
            "right_angles": self.right_angles.iter().map(|r| json!({
                "fence": r.fence, "rail": r.rail, "error_mm_per_m": r.error.value, "u_mm_per_m": r.error.u,
                "bound_mm_per_m": r.bound, "shim": {"hole": r.shim_at, "thickness_mm": r.shim},
            })).collect::<Vec<_>>(),
            "bends": self.bends.iter().flatten().map(|b| json!({
                "line": b.line, "hole": b.hole, "offset_mm": b.offset.value, "u_mm": b.offset.u,
            })).collect::<Vec<_>>(),
            "suspects": self.suspects.iter().map(suspect).collect::<Vec<_>>(),
        });
        if let Err(reason) = self.square {
            out["reason"] = json!(reason.name());
        }
        if let Some(without) = &self.without {
            out["without_first_suspect"] = json!({
                "readings": without.readings, "square": estimate(without.square), "verdict": verdict(without.verdict.as_ref()),
            });
        }
        if let Some((square, told)) = &self.without_prior {
            out["without_prior"] = json!({
                "prior": "scatter", "square": estimate(square.ok()), "verdict": verdict(told.as_ref()),
            });
        }
        if let Some(over) = &self.over_time {
            out["over_time"] = over_time(over);
        }
        if let Some(climate) = &self.climate {
            let [ux, uy] = climate.uncertainty();
            let [x, y] = climate.known;
            out["climate"] = json!({
                "scale_x": {"value": x, "u": ux, "unit": "mm/m"}, "scale_y": {"value": y, "u": uy, "unit": "mm/m"},
                "sheet_counted": climate.without_sheet.is_none(),
            });
        }
        // Plain data of strings and numbers; numbers that are not finite come out as null.
        let mut text = serde_json::to_string_pretty(&out).unwrap_or_default();
        text.push('\n');
        text
    }
}

fn over_time(over: &OverTime) -> Value {
    json!({
        "dates": over.dates.iter().map(|d| json!({
            "date": d.date, "readings": d.readings, "square": estimate(d.square),
        })).collect::<Vec<_>>(),
        "drift": over.drifts.iter().map(|d| json!({
            "from": d.from, "to": d.to, "holes": d.holes, "square": estimate(d.square),
            "pitch_x": estimate(d.pitch[0]), "pitch_y": estimate(d.pitch[1]),
        })).collect::<Vec<_>>(),
        "undated": over.undated,
    })
}

fn suggestion(s: &Suggestion) -> Value {
    // One reading: its line, or its two lines; a pair: both readings.
    let lines = |reading: &Vec<[String; 2]>| match &reading[..] {
        [line] => json!(line),
        lines => json!(lines),
    };
    let between = match &s.readings[..] {
        [one] => lines(one),
        all => Value::Array(all.iter().map(lines).collect()),
    };
    json!({
        "kind": s.kind.name(), "with": s.with, "between": between, "minutes": s.minutes, "u_after": s.u_after,
        "word": s.word.map(VerdictWord::name), "pair": s.is_pair(), "readings_needed": s.needed,
        "rank_by_minutes": s.rank_by_minutes,
    })
}

impl Next {
    /// Returns what is worth taking as indented JSON, ending in a newline.
    pub fn to_json(&self) -> String {
        let out = json!({
            "square": plain(self.square),
            "verdict": verdict(self.verdict.as_ref()),
            "next": self.suggestions.iter().map(suggestion).collect::<Vec<_>>(),
            "readings_needed": self.readings_needed,
            "u_needed": self.u_needed,
        });
        let mut text = serde_json::to_string_pretty(&out).unwrap_or_default();
        text.push('\n');
        text
    }
}

impl BadHoleSet {
    /// Returns the set as indented JSON, ending in a newline.
    pub fn to_json(&self) -> String {
        let out = json!({
            "aim": "find a bad hole",
            "next": self.lines.iter().map(|line| json!({
                "kind": self.kind.name(), "with": self.with, "between": line.line, "read": line.read,
            })).collect::<Vec<_>>(),
            "readings": self.readings,
            "minutes": self.minutes,
            "found_mm": self.found.map(|[middle, worst]| json!({"middle_hole": middle, "worst_hole": worst})),
            "not_seen": self.not_seen,
        });
        let mut text = serde_json::to_string_pretty(&out).unwrap_or_default();
        text.push('\n');
        text
    }
}
