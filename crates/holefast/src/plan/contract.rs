//! A plan as JSON, in the shape that `holefast plan --json` prints and `predict --plan` reads.
//!
//! These types are the wire format and nothing else; they turn into [`Plan`] at once. Reading
//! checks form only (known words, finite numbers); whether hands can do it is `replay`'s matter.

use serde::{Deserialize, Serialize};

use super::{
    Beneath, Bit, Bore, CheckLimit, Exists, Feature, Hold, HoldBy, HoleKind, PinUse, Place, Placed, Plan, PlanHole,
    Setup, Stage, Template, TemplateKind, Under, With,
};
use crate::fault::Fault;
use crate::kit::Limits;

#[derive(Serialize, Deserialize)]
struct PlanJson {
    holes: Vec<HoleJson>,
    templates: Vec<TemplateJson>,
    setups: Vec<SetupJson>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    exists: Vec<ExistsJson>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    plugged: Vec<String>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    reasons: Vec<String>,
}

#[derive(Serialize, Deserialize)]
struct ExistsJson {
    hole: String,
    #[serde(rename = "as")]
    as_: String,
    scatter_mm: f64,
}

#[derive(Serialize, Deserialize)]
struct HoleJson {
    name: String,
    row: Option<i32>,
    column: Option<i32>,
    x_mm: f64,
    y_mm: f64,
    kind: String,
}

#[derive(Serialize, Deserialize)]
struct TemplateJson {
    id: String,
    kind: String,
    features: Vec<FeatureJson>,
}

#[derive(Serialize, Deserialize)]
struct FeatureJson {
    name: String,
    x_mm: f64,
    y_mm: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    bore_mm: Option<[f64; 2]>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    bore_dog_mm: Option<[f64; 2]>,
    position_mm: f64,
}

#[derive(Serialize, Deserialize)]
struct SetupJson {
    number: u32,
    stage: String,
    by_hand: bool,
    check: bool,
    minutes: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    limit: Option<LimitJson>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pass: Option<u8>,
    templates: Vec<PlacedJson>,
    pins: Vec<PinJson>,
    bores: Vec<BoreJson>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    hold: Vec<HoldJson>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    under: Vec<UnderJson>,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    done: bool,
}

#[derive(Serialize, Deserialize)]
struct HoldJson {
    template: String,
    by: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    hole: Option<String>,
    x_mm: f64,
    y_mm: f64,
}

#[derive(Serialize, Deserialize)]
struct UnderJson {
    template: String,
    what: String,
    mm: f64,
}

#[derive(Serialize, Deserialize)]
struct LimitJson {
    misfit_mm: f64,
    tests_square: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    good_stopped: Option<f64>,
}

#[derive(Serialize, Deserialize)]
struct PlacedJson {
    id: String,
    x_mm: f64,
    y_mm: f64,
    turn_deg: f64,
    turned_over: bool,
}

#[derive(Serialize, Deserialize)]
struct PinJson {
    a: String,
    b: String,
    with: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    diameter_mm: Option<[f64; 2]>,
}

#[derive(Serialize, Deserialize)]
struct BoreJson {
    feature: String,
    hole: String,
    bit: String,
}

/// Returns the plan as indented JSON, one set-up after another, ending in a newline.
pub fn to_json(plan: &Plan) -> String {
    let json = PlanJson {
        holes: plan
            .holes
            .iter()
            .map(|h| HoleJson {
                name: h.name.clone(),
                row: h.row,
                column: h.column,
                x_mm: h.x_mm,
                y_mm: h.y_mm,
                kind: hole_kind_name(h.kind).to_owned(),
            })
            .collect(),
        templates: plan
            .templates
            .iter()
            .map(|t| TemplateJson {
                id: t.id.clone(),
                kind: match t.kind {
                    TemplateKind::Bar => "bar",
                    TemplateKind::Block => "block",
                }
                .to_owned(),
                features: t
                    .features
                    .iter()
                    .map(|f| FeatureJson {
                        name: f.name.clone(),
                        x_mm: f.x_mm,
                        y_mm: f.y_mm,
                        bore_mm: f.bore_mm.map(|l| [l.min, l.max]),
                        bore_dog_mm: f.bore_dog_mm.map(|l| [l.min, l.max]),
                        position_mm: f.position_mm,
                    })
                    .collect(),
            })
            .collect(),
        setups: plan.setups.iter().map(setup_to_json).collect(),
        exists: plan
            .exists
            .iter()
            .map(|e| ExistsJson {
                hole: e.hole.clone(),
                as_: if e.dog { "dog" } else { "pilot" }.to_owned(),
                scatter_mm: e.scatter_mm,
            })
            .collect(),
        plugged: plan.plugged.clone(),
        reasons: plan.reasons.clone(),
    };
    // Serializing plain structs of strings and finite numbers cannot fail.
    let mut text = serde_json::to_string_pretty(&json).unwrap_or_default();
    text.push('\n');
    text
}

/// Reads a plan from JSON.
///
/// Errors: an input fault naming the first thing that is not a plan: broken JSON, an unknown word,
/// a number that is not finite, limits the wrong way round.
pub fn from_json(text: &str) -> Result<Plan, Fault> {
    let json: PlanJson = serde_json::from_str(text)
        .map_err(|e| Fault::input(format!("this is not a plan: {e}")).hint("`holefast plan JOB --json` prints one"))?;
    let holes = json
        .holes
        .into_iter()
        .map(|h| {
            Ok(PlanHole {
                kind: match h.kind.as_str() {
                    "dog" => HoleKind::Dog,
                    "pilot" => HoleKind::Pilot,
                    "helper" => HoleKind::Helper,
                    "extra" => HoleKind::Extra,
                    other => {
                        return Err(unknown(&format!("kind of hole {}", h.name), other, "dog, pilot, helper or extra"));
                    }
                },
                name: h.name,
                row: h.row,
                column: h.column,
                x_mm: h.x_mm,
                y_mm: h.y_mm,
            })
        })
        .collect::<Result<_, _>>()?;
    let templates = json
        .templates
        .into_iter()
        .map(|t| {
            Ok(Template {
                kind: match t.kind.as_str() {
                    "bar" => TemplateKind::Bar,
                    "block" => TemplateKind::Block,
                    other => return Err(unknown(&format!("kind of template {}", t.id), other, "bar or block")),
                },
                features: t
                    .features
                    .into_iter()
                    .map(|f| {
                        Ok(Feature {
                            bore_mm: f.bore_mm.map(|l| limits(l, &format!("{}:{}", t.id, f.name))).transpose()?,
                            bore_dog_mm: f
                                .bore_dog_mm
                                .map(|l| limits(l, &format!("{}:{}", t.id, f.name)))
                                .transpose()?,
                            name: f.name,
                            x_mm: f.x_mm,
                            y_mm: f.y_mm,
                            position_mm: f.position_mm,
                        })
                    })
                    .collect::<Result<_, Fault>>()?,
                id: t.id,
            })
        })
        .collect::<Result<_, Fault>>()?;
    let setups = json.setups.into_iter().map(setup_from_json).collect::<Result<_, _>>()?;
    let exists = json.exists.into_iter().map(exists_from_json).collect::<Result<_, _>>()?;
    Ok(Plan { holes, templates, setups, exists, plugged: json.plugged, reasons: json.reasons })
}

fn exists_from_json(e: ExistsJson) -> Result<Exists, Fault> {
    if !(e.scatter_mm >= 0.0 && e.scatter_mm.is_finite()) {
        return Err(Fault::input(format!("{} exists with a scatter of {} mm", e.hole, e.scatter_mm))
            .hint("a standard deviation per axis, not negative"));
    }
    let dog = match e.as_.as_str() {
        "pilot" => false,
        "dog" => true,
        other => return Err(unknown(&format!("{} exists as", e.hole), other, "pilot or dog")),
    };
    Ok(Exists { hole: e.hole, dog, scatter_mm: e.scatter_mm })
}

fn setup_to_json(s: &Setup) -> SetupJson {
    SetupJson {
        number: s.number,
        stage: s.stage.name().to_owned(),
        by_hand: s.by_hand,
        check: s.check,
        done: s.done,
        minutes: s.minutes,
        limit: s.limit.map(|l| LimitJson {
            misfit_mm: l.misfit_mm,
            tests_square: l.tests_square,
            good_stopped: l.good_stopped,
        }),
        pass: s.pass,
        templates: s
            .templates
            .iter()
            .map(|t| PlacedJson {
                id: t.id.clone(),
                x_mm: t.x_mm,
                y_mm: t.y_mm,
                turn_deg: t.turn_deg,
                turned_over: t.turned_over,
            })
            .collect(),
        pins: s
            .pins
            .iter()
            .map(|p| PinJson {
                a: p.a.to_string(),
                b: p.b.to_string(),
                with: match p.with {
                    With::Pin => "pin",
                    With::Dog => "dog",
                    With::Gauge(_) => "gauge",
                    With::Point => "point",
                }
                .to_owned(),
                diameter_mm: match p.with {
                    With::Gauge(l) => Some([l.min, l.max]),
                    _ => None,
                },
            })
            .collect(),
        bores: s
            .bores
            .iter()
            .map(|b| BoreJson {
                feature: b.feature.to_string(),
                hole: b.hole.clone(),
                bit: match b.bit {
                    Bit::Pilot => "pilot",
                    Bit::Opening => "opening",
                }
                .to_owned(),
            })
            .collect(),
        hold: s
            .hold
            .iter()
            .map(|h| HoldJson {
                template: h.template.clone(),
                by: h.by.name().to_owned(),
                hole: match &h.by {
                    HoldBy::HoldDown(hole) => Some(hole.clone()),
                    HoldBy::EdgeClamp | HoldBy::Batten | HoldBy::Tape => None,
                },
                x_mm: h.x_mm,
                y_mm: h.y_mm,
            })
            .collect(),
        under: s
            .under
            .iter()
            .map(|u| {
                let (what, mm) = match u.what {
                    Beneath::Packing(mm) => ("packing", mm),
                    Beneath::Prop(mm) => ("prop", mm),
                };
                UnderJson { template: u.template.clone(), what: what.to_owned(), mm }
            })
            .collect(),
    }
}

fn setup_from_json(s: SetupJson) -> Result<Setup, Fault> {
    let where_ = format!("set-up {}", s.number);
    let stage = Stage::ALL.into_iter().find(|stage| stage.name() == s.stage).ok_or_else(|| {
        unknown(&format!("stage of {where_}"), &s.stage, "datum row, square columns, closing, fill, extend or open")
    })?;
    Ok(Setup {
        number: s.number,
        stage,
        by_hand: s.by_hand,
        check: s.check,
        done: s.done,
        minutes: s.minutes,
        limit: s.limit.map(|l| CheckLimit {
            misfit_mm: l.misfit_mm,
            tests_square: l.tests_square,
            good_stopped: l.good_stopped,
        }),
        pass: s.pass,
        templates: s
            .templates
            .into_iter()
            .map(|t| Placed { id: t.id, x_mm: t.x_mm, y_mm: t.y_mm, turn_deg: t.turn_deg, turned_over: t.turned_over })
            .collect(),
        pins: s
            .pins
            .into_iter()
            .map(|p| {
                Ok(PinUse {
                    with: match (p.with.as_str(), p.diameter_mm) {
                        ("pin", _) => With::Pin,
                        ("dog", _) => With::Dog,
                        ("point", _) => With::Point,
                        ("gauge", Some(d)) => With::Gauge(limits(d, &format!("gauge in {where_}"))?),
                        ("gauge", None) => {
                            return Err(Fault::input(format!("{where_}: a gauge without its diameter_mm"))
                                .hint("write its limits, for example \"diameter_mm\": [3.882, 3.9]"));
                        }
                        (other, _) => {
                            return Err(unknown(&format!("locator in {where_}"), other, "pin, dog, gauge or point"));
                        }
                    },
                    a: place(&p.a),
                    b: place(&p.b),
                })
            })
            .collect::<Result<_, Fault>>()?,
        bores: s
            .bores
            .into_iter()
            .map(|b| {
                Ok(Bore {
                    feature: place(&b.feature),
                    hole: b.hole,
                    bit: match b.bit.as_str() {
                        "pilot" => Bit::Pilot,
                        "opening" => Bit::Opening,
                        other => return Err(unknown(&format!("bit in {where_}"), other, "pilot or opening")),
                    },
                })
            })
            .collect::<Result<_, Fault>>()?,
        hold: s.hold.into_iter().map(|h| hold_from_json(h, &where_)).collect::<Result<_, Fault>>()?,
        under: s
            .under
            .into_iter()
            .map(|u| {
                Ok(Under {
                    template: u.template,
                    what: match u.what.as_str() {
                        "packing" => Beneath::Packing(u.mm),
                        "prop" => Beneath::Prop(u.mm),
                        other => {
                            return Err(unknown(&format!("what is under a bar in {where_}"), other, "packing or prop"));
                        }
                    },
                })
            })
            .collect::<Result<_, Fault>>()?,
    })
}

fn hold_from_json(h: HoldJson, where_: &str) -> Result<Hold, Fault> {
    let by = match (h.by.as_str(), h.hole) {
        ("edge clamp", _) => HoldBy::EdgeClamp,
        ("hold-down", Some(hole)) => HoldBy::HoldDown(hole),
        ("hold-down", None) => {
            return Err(Fault::input(format!("{where_}: a hold-down without its hole"))
                .hint("write the dog hole it stands in, for example \"hole\": \"B3\""));
        }
        ("batten", _) => HoldBy::Batten,
        ("tape", _) => HoldBy::Tape,
        (other, _) => {
            return Err(unknown(&format!("hold in {where_}"), other, "edge clamp, hold-down, batten or tape"));
        }
    };
    Ok(Hold { template: h.template, by, x_mm: h.x_mm, y_mm: h.y_mm })
}

impl HoldBy {
    /// Its name, as in the contract.
    pub fn name(&self) -> &'static str {
        match self {
            HoldBy::EdgeClamp => "edge clamp",
            HoldBy::HoldDown(_) => "hold-down",
            HoldBy::Batten => "batten",
            HoldBy::Tape => "tape",
        }
    }
}

impl std::fmt::Display for Place {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Place::Feature { template, feature } => write!(f, "{template}:{feature}"),
            Place::Hole(name) => f.write_str(name),
        }
    }
}

fn place(text: &str) -> Place {
    match text.split_once(':') {
        Some((template, feature)) => Place::feature(template, feature),
        None => Place::hole(text),
    }
}

fn hole_kind_name(kind: HoleKind) -> &'static str {
    match kind {
        HoleKind::Dog => "dog",
        HoleKind::Pilot => "pilot",
        HoleKind::Helper => "helper",
        HoleKind::Extra => "extra",
    }
}

fn limits([min, max]: [f64; 2], what: &str) -> Result<Limits, Fault> {
    if min > 0.0 && min <= max {
        Ok(Limits { min, max })
    } else {
        Err(Fault::input(format!("{what}: limits {min} to {max} are not a diameter"))
            .hint("least first, both above nil"))
    }
}

fn unknown(what: &str, found: &str, known: &str) -> Fault {
    Fault::input(format!("{what}: \"{found}\" is not known")).hint(format!("one of {known}"))
}
