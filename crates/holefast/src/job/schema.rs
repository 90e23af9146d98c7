//! The keys a job may have, table by table, each with an example and what it must be.
//!
//! One list serves three ends: unknown keys are found by it, missing keys are hinted at with its
//! examples, and the tables that later work reads are checked by it.

/// What a value must be, roughly; ranges are the readers' work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// A length: bare number or text with its unit.
    Length,
    /// A length or a list of them.
    Lengths,
    /// A plain number.
    Number,
    /// A plain number or a list of them.
    Numbers,
    /// A length or the word "unknown".
    LengthOrUnknown,
    /// A whole number.
    Whole,
    /// A text.
    Text,
    /// A list of texts.
    Texts,
    /// true or false.
    Flag,
    /// A date, or a text that is one.
    Date,
    /// Whatever its own reader makes of it.
    Any,
}
use Kind::*;

/// A key, an example of its value, and what it must be.
pub(super) type Key = (&'static str, &'static str, Kind);

/// All tables by the name messages call them by; the job's own keys under "".
pub(super) const TABLES: &[(&str, &[Key])] = &[
    (
        "",
        &[
            ("holefast", "1", Whole),
            ("name", "\"Bench by the window\"", Text),
            ("units", "\"mm\"", Text),
            ("note", "\"Stands on two trestles.\"", Text),
            ("top", "", Any),
            ("grid", "", Any),
            ("keep_out", "", Any),
            ("support", "", Any),
            ("kit", "", Any),
            ("trial", "", Any),
            ("climate", "", Any),
            ("accuracy", "", Any),
            ("done", "", Any),
            ("spoiled", "", Any),
            ("bench_note", "", Any),
            ("bench", "", Any),
            ("proof", "", Any),
            ("instrument", "", Any),
            ("reading", "", Any),
            ("cut", "", Any),
            ("part", "", Any),
            ("stock", "", Any),
            ("breakdown", "", Any),
        ],
    ),
    (
        "top",
        &[
            ("length", "\"1200 mm\"", Length),
            ("width", "\"700 mm\"", Length),
            ("thickness", "\"18 mm\"", Length),
            ("material", "\"birch plywood\"", Any),
            ("outline", "[[0, 0], [1200, 0], [1200, 700], [0, 700]]", Any),
            ("grain", "\"length\"", Text),
            ("load", "20", Number),
            ("free_below", "\"80 mm\"", Length),
        ],
    ),
    (
        "top.material",
        &[
            ("name", "\"poplar plywood\"", Text),
            ("density", "450", Number),
            ("modulus", "6000", Numbers),
            ("movement", "0.2", Numbers),
            ("heat", "0.006", Numbers),
        ],
    ),
    (
        "grid",
        &[
            ("pitch", "\"100 mm\"", Lengths),
            ("hole", "\"20 mm\"", Length),
            ("pilot", "\"4 mm\"", Length),
            ("rows", "\"fit\"", Any),
            ("columns", "\"fit\"", Any),
            ("edge", "\"45 mm\"", Length),
            ("origin", "\"centred\"", Any),
            ("skip", "[\"C4\", \"D4:D9\"]", Texts),
            ("only", "[\"A1:A14\"]", Texts),
            ("extra", "", Any),
        ],
    ),
    (
        "grid.extra",
        &[
            ("name", "\"V1\"", Text),
            ("x", "\"60 mm\"", Length),
            ("y", "\"700 mm\"", Length),
            ("diameter", "\"20 mm\"", Length),
        ],
    ),
    (
        "keep_out",
        &[
            ("name", "\"left rail\"", Text),
            ("rect", "[400, 0, 45, 780]", Any),
            ("circle", "[400, 300, 60]", Any),
            ("clearance", "\"12 mm\"", Length),
            ("side", "\"below\"", Text),
        ],
    ),
    ("support", &[("line", "[425, 0, 425, 780]", Lengths)]),
    (
        "kit",
        &[
            ("method", "\"bars\"", Text),
            ("bar", "", Any),
            ("pin", "", Any),
            ("gauge", "", Any),
            ("pilot_bit", "", Any),
            ("block", "", Any),
            ("opening_bit", "", Any),
            ("dog", "", Any),
            ("clamp", "", Any),
            ("rail", "", Any),
            ("fence", "", Any),
            ("shims", "", Any),
            ("wood", "", Any),
            ("minutes", "", Any),
        ],
    ),
    (
        "kit.bar",
        &[
            ("name", "\"L\"", Text),
            ("count", "2", Whole),
            ("holes", "12", Whole),
            ("pitch", "\"100 mm\"", Length),
            ("bore", "\"4 H7\"", Any),
            ("position", "\"0.02 mm\"", Length),
            ("turn_over", "true", Flag),
            ("width", "\"40 mm\"", Length),
            ("thickness", "\"8 mm\"", Length),
            ("beyond", "\"20 mm\"", Length),
        ],
    ),
    ("kit.pin", &[("diameter", "\"4 h6\"", Any), ("count", "3", Whole), ("length", "\"40 mm\"", Length)]),
    (
        "kit.gauge",
        &[("diameter", "[\"3.882 mm\", \"3.9 mm\"]", Any), ("count", "2", Whole), ("length", "\"60 mm\"", Length)],
    ),
    (
        "kit.pilot_bit",
        &[
            ("diameter", "\"4 mm\"", Any),
            ("clearance", "[\"0.005 mm\", \"0.02 mm\"]", Any),
            ("wander", "\"0.015 mm\"", Length),
            ("oversize", "[\"0.02 mm\", \"0.06 mm\"]", Any),
            ("length", "\"60 mm\"", Length),
        ],
    ),
    (
        "kit.block",
        &[
            ("reach", "\"100 mm\"", Lengths),
            ("bore_pin", "\"4 H7\"", Any),
            ("bore_dog", "\"20 H7\"", Any),
            ("position", "\"0.015 mm\"", Length),
            ("size", "[\"270 mm\", \"60 mm\", \"40 mm\"]", Lengths),
            ("step", "\"20 mm\"", Length),
        ],
    ),
    (
        "kit.opening_bit",
        &[
            ("diameter", "\"20 mm\"", Any),
            ("clearance", "[\"0.01 mm\", \"0.03 mm\"]", Any),
            ("wander", "\"0.01 mm\"", Length),
            ("oversize", "[\"0 mm\", \"0.05 mm\"]", Any),
            ("lean", "0.04", Number),
            ("length", "\"110 mm\"", Length),
        ],
    ),
    (
        "kit.dog",
        &[
            ("diameter", "\"20 g6\"", Any),
            ("count", "2", Whole),
            ("height", "\"25 mm\"", Length),
            ("heads", "[20, 20, 19.5, 19.5]", Lengths),
        ],
    ),
    (
        "kit.clamp",
        &[
            ("reach", "\"120 mm\"", Length),
            ("opens", "\"160 mm\"", Length),
            ("below", "\"70 mm\"", Length),
            ("hold_down", "\"150 mm\"", Length),
            ("hold_down_high", "\"90 mm\"", Length),
        ],
    ),
    (
        "kit.rail",
        &[
            ("length", "\"1500 mm\"", Length),
            ("cut", "\"180 mm\"", Length),
            ("run", "[\"80 mm\", \"120 mm\"]", Lengths),
        ],
    ),
    (
        "kit.fence",
        &[("length", "\"900 mm\"", Length), ("height", "\"25 mm\"", Length), ("thickness", "\"30 mm\"", Length)],
    ),
    ("kit.shims", &[("stock", "[\"0.1 mm\", \"0.2 mm\"]", Lengths)]),
    ("kit.wood", &[("give", "\"0.03 mm\"", Length)]),
    ("kit.minutes", &[("setup", "4.0", Number), ("pilot", "0.3", Number), ("opening", "1.0", Number)]),
    (
        "trial",
        &[
            ("pilot", "[\"4.03 mm\", \"4.05 mm\"]", Lengths),
            ("dog", "[\"20.02 mm\", \"20.04 mm\"]", Lengths),
            ("u", "\"0.02 mm\"", Length),
            ("pin_goes", "true", Flag),
            ("dog_goes", "true", Flag),
        ],
    ),
    (
        "climate",
        &[("boring", "{ temperature = 12, humidity = 70 }", Any), ("use", "{ temperature = 20, humidity = 50 }", Any)],
    ),
    ("climate.boring", &[("temperature", "12", Number), ("humidity", "70", Number)]),
    ("climate.use", &[("temperature", "20", Number), ("humidity", "50", Number)]),
    ("accuracy", &[("square", "0.25", Number), ("confidence", "0.95", Number), ("cut", "0.3", Number)]),
    (
        "done",
        &[
            ("holes", "[\"A1:A14\"]", Texts),
            ("as", "\"pilot\"", Text),
            ("scatter", "\"0.1 mm\"", Length),
            ("helpers", "[[75, 890]]", Any),
        ],
    ),
    ("spoiled", &[("hole", "\"C5\"", Text), ("why", "\"bit wandered\"", Text)]),
    (
        "bench_note",
        &[
            ("text", "\"knot here: bore slowly\"", Text),
            ("card", "12", Whole),
            ("stage", "\"fill\"", Text),
            ("hole", "\"C5\"", Text),
        ],
    ),
    ("bench", &[("ticked", "[\"trial bore\"]", Texts)]),
    ("proof", &[("prior", "\"prediction\"", Any), ("date", "2026-05-16", Date)]),
    (
        "proof.prior",
        &[("hole", "\"0.05 mm\"", LengthOrUnknown), ("square", "0.1", LengthOrUnknown), ("pitch", "0.05", Any)],
    ),
    (
        "instrument",
        &[
            ("name", "\"tape\"", Text),
            ("reads", "[\"distance\"]", Texts),
            ("u", "\"0.25 mm\"", Length),
            ("u_per_m", "0.0", Number),
            ("scale", "\"unknown\"", LengthOrUnknown),
            ("zero", "\"unknown\"", LengthOrUnknown),
            ("class", "\"II\"", Text),
            ("range", "[\"200 mm\", \"3000 mm\"]", Lengths),
            ("minutes", "1.5", Number),
            ("blade", "\"300 mm\"", Length),
            ("strip", "\"400 mm\"", Length),
        ],
    ),
    (
        "reading",
        &[
            ("kind", "\"distance\"", Text),
            ("between", "[\"A1\", \"G9\"]", Texts),
            ("with", "\"tape\"", Text),
            ("value", "\"960.2 mm\"", Length),
            ("over", "\"dogs\"", Text),
            ("faces", "\"outer\"", Text),
            ("diameters", "20", Lengths),
            ("clearance", "[0.03, 0.04]", Lengths),
            ("pressed", "true", Flag),
            ("u", "\"0.05 mm\"", Length),
            ("of", "\"C6\"", Text),
            ("from", "[\"C1\", \"C14\"]", Texts),
            ("lines", "[[\"A1\", \"A14\"], [\"A1\", \"G1\"]]", Any),
            ("gap", "\"0.12 mm\"", Length),
            ("gap_at", "\"fence\"", Text),
            ("length", "\"300 mm\"", Length),
            ("against", "90", Number),
            ("fence", "[\"A12\", \"A1\"]", Texts),
            ("rail", "[\"A12\", \"F12\"]", Texts),
            ("strip", "[11.42, 11.37]", Lengths),
            ("play", "\"0.06 mm\"", Length),
            ("pinned", "\"pins\"", Text),
            ("bar_holes", "[2, 12]", Any),
            ("holes", "[\"A1\", \"A3\"]", Texts),
            ("x", "[1.0, 193.4]", Lengths),
            ("y", "[0.4, 1.1]", Lengths),
            ("covariance", "[[0.01, 0.0], [0.0, 0.01]]", Any),
            ("frame", "\"own\"", Text),
            ("places", "\"photo-2026-05-16.json\"", Text),
            ("date", "2026-05-16", Date),
            ("note", "\"after oiling\"", Text),
            ("sure", "true", Flag),
        ],
    ),
    (
        "cut",
        &[
            ("name", "\"octagon sides\"", Text),
            ("angle", "67.5", Number),
            ("tolerance", "0.05", Number),
            ("length", "\"430 mm\"", Length),
            ("at", "\"far\"", Text),
            ("width", "\"85 mm\"", Length),
            ("kerf", "\"2.2 mm\"", Length),
            ("kept", "\"beyond\"", Text),
            ("end", "90", Number),
            ("quantity", "4", Whole),
            ("fence", "{ holes = [\"A1\", \"A14\"], side = \"left\", dogs = [20, 20] }", Any),
            ("rail", "{ holes = [\"B3\", \"G5\"], side = \"left\", dogs = [20, 20], cut = 112.5 }", Any),
            ("stop", "{ hole = \"B13\", dog = 20 }", Any),
        ],
    ),
    ("cut.fence", &[("holes", "[\"A1\", \"A14\"]", Texts), ("side", "\"left\"", Text), ("dogs", "[20, 20]", Lengths)]),
    (
        "cut.rail",
        &[
            ("holes", "[\"B3\", \"G5\"]", Texts),
            ("side", "\"left\"", Text),
            ("dogs", "[20, 20]", Lengths),
            ("cut", "\"112.5 mm\"", Length),
        ],
    ),
    ("cut.stop", &[("hole", "\"B13\"", Text), ("dog", "20", Length)]),
    (
        "part",
        &[
            ("name", "\"shelf\"", Text),
            ("length", "\"600 mm\"", Length),
            ("width", "\"200 mm\"", Length),
            ("thickness", "\"18 mm\"", Length),
            ("ends", "[90, 90]", Numbers),
            ("quantity", "2", Whole),
            ("grain", "\"length\"", Any),
            ("tolerance", "\"0.2 mm\"", Length),
        ],
    ),
    (
        "stock",
        &[
            ("name", "\"offcut\"", Text),
            ("length", "\"1200 mm\"", Length),
            ("width", "\"400 mm\"", Length),
            ("thickness", "\"18 mm\"", Length),
            ("quantity", "1", Whole),
            ("grain", "\"length\"", Any),
            ("trim", "\"5 mm\"", Length),
            ("kerf", "\"2.2 mm\"", Length),
        ],
    ),
    (
        "breakdown",
        &[("stages", "3", Whole), ("narrowest", "\"40 mm\"", Length), ("useful", "[\"300 mm\", \"100 mm\"]", Lengths)],
    ),
];

/// The keys of a table; none for a name that is not in the list.
pub(super) fn keys(table: &str) -> &'static [Key] {
    TABLES.iter().find(|(name, _)| *name == table).map_or(&[], |(_, keys)| keys)
}

/// The keys that a table must have; they stand first in its list.
pub(super) fn required(table: &str) -> &'static [Key] {
    let count = match table {
        "top" | "kit.pilot_bit" | "kit.block" | "kit.opening_bit" => 4,
        "grid" => 7,
        _ => 1,
    };
    let keys = keys(table);
    &keys[..count.min(keys.len())]
}

/// The tables that have a key, but are not `except`.
pub(super) fn tables_with<'a>(key: &'a str, except: &'a str) -> impl Iterator<Item = &'static str> + 'a {
    TABLES
        .iter()
        .filter(move |(name, keys)| *name != except && keys.iter().any(|(k, _, _)| *k == key))
        .map(|(name, _)| *name)
}
