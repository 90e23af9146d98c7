//! What a proof says in words: the verdict first, then why, then what to look at.

use crate::job::Job;
use crate::measure::format;
use crate::proof::{Estimate, NoSquare, Proof, SuspectProof, Verdict, VerdictWord, Who, chance};
use crate::reading::{Prior, ReadingKind};

/// A length as far as a proof knows it: hundredths of a millimetre, or ten-thousandths of an inch.
fn length(mm: f64, units: crate::job::Units) -> String {
    let hundredths = match units {
        crate::job::Units::Mm => (mm * 100.0).round() / 100.0,
        crate::job::Units::Inch => mm,
    };
    format::length(hundredths, units)
}

/// Decimals of mm per m where no uncertainty says how many.
const DECIMALS: usize = 2;
/// Holes told as lying farthest out.
const FARTHEST: usize = 3;
/// Residuals beyond this many standard deviations are marked in the table.
const MARKED: f64 = 2.0;

/// The whole proof, line by line.
pub fn lines(proof: &Proof, job: &Job) -> Vec<String> {
    let mut out = told(proof, job, NEXT_SAYS);
    out.extend(table(&rows(proof, job)));
    out
}

/// After an undecided verdict, on the command line.
const NEXT_SAYS: &str = " holefast next says what to measure.";

/// What a proof says in sentences: all but the table of its readings.
pub fn said(proof: &Proof, job: &Job) -> Vec<String> {
    told(proof, job, "")
}

/// The same, with this after an undecided verdict.
fn told(proof: &Proof, job: &Job, way_on: &str) -> Vec<String> {
    let mut out = Vec::new();
    if proof.check_first {
        out.extend(check_first(proof, job));
        if let Some(without) = &proof.without {
            let said = match (&without.square, &without.verdict) {
                (Some(square), Some(verdict)) => verdict_line(square.value, square.u, verdict),
                (Some(square), None) => format!("square is {}", give_or_take(square.value, square.u, 0.95)),
                _ => "square is not fixed by what is left".to_owned(),
            };
            out.push(format!("Without {}: {said}", numbers("reading", &without.readings)));
        }
        out.push("With everything as it stands:".to_owned());
    }
    let undecided = proof.verdict.as_ref().is_some_and(|v| v.word == VerdictWord::Undecided);
    out.push(format!("{}{}", head(proof), if undecided { way_on } else { "" }));
    out.push(basis(proof));
    if let Some((square, verdict)) = &proof.without_prior {
        out.push(match (square, verdict) {
            (Ok(square), Some(verdict)) => format!(
                "From the readings and each hole's own scatter alone, without what the plan promises: {}",
                verdict_line(square.value, square.u, verdict)
            ),
            (Ok(square), None) => format!(
                "From the readings and each hole's own scatter alone, without what the plan promises: square is {}.",
                give_or_take(square.value, square.u, 0.95)
            ),
            (Err(_), _) => "Without what the plan promises these readings do not fix square.".to_owned(),
        });
    }
    out.extend(free(proof));
    out.extend(pitch(proof));
    if let (Some(statistic), Some(limit)) = (proof.test.statistic, proof.test.limit) {
        let verb = if statistic <= limit { "agree" } else { "do not agree" };
        out.push(format!(
            "The readings {verb} with one another as far as their uncertainties go: {} against a limit of {}, {} to spare.",
            format::fixed(statistic, 1),
            format::fixed(limit, 1),
            numbers_of(proof.test.freedom, "reading")
        ));
    }
    out.extend(over_time(proof));
    out.extend(climate(proof));
    out.extend(farthest(proof, job));
    out.extend(bends(proof, job));
    out.extend(right_angles(proof, job));
    out.extend(instruments(proof, job));
    out
}

/// What stands under the drawing.
pub fn factor_note(factor: f64) -> String {
    format!("deviations × {}; a hole lies in its ellipse 39 times in 100 (k = 1)", format::number(factor, 0))
}

/// What the drawing shows, in a sentence.
pub fn about(proof: &Proof, factor: f64) -> String {
    format!(
        "The top as proved, {} with its deviation drawn × {}. {}",
        numbers_of(proof.holes.len(), "hole"),
        format::number(factor, 0),
        head(proof)
    )
}

/// What the picture of the verdict shows, in a sentence.
pub fn about_verdict(square: Estimate, limit: f64, confidence: f64) -> String {
    format!(
        "Square is {}; wanted within {}.",
        give_or_take(square.value, square.u, confidence),
        format::number(limit, 3)
    )
}

/// `+0.13, give or take 0.21, 95 times in 100`.
fn give_or_take(value: f64, u: f64, confidence: f64) -> String {
    let half = chance::two_sided(1.0 - confidence) * u;
    let decimals = format::decimals_for(half).unwrap_or(DECIMALS);
    format!(
        "{} mm per metre, give or take {}, {} times in 100",
        format::signed(value, decimals),
        format::fixed(half, decimals),
        format::number(100.0 * confidence, 2)
    )
}

fn verdict_line(value: f64, u: f64, verdict: &Verdict) -> String {
    let limit = format::number(verdict.limit, 3);
    let is = give_or_take(value, u, verdict.confidence);
    match verdict.word {
        VerdictWord::Square => format!("square within {limit} mm per metre, proved: it is {is}."),
        VerdictWord::NotSquare if value.abs() - chance::normal_quantile(verdict.confidence) * u < verdict.limit => {
            format!(
                "not square within {limit} mm per metre, more likely than not by far, though little is known: it is {is}."
            )
        }
        VerdictWord::NotSquare => format!("not square within {limit} mm per metre, proved: it is {is}."),
        VerdictWord::Undecided => format!(
            "undecided: square is {is}, and {limit} is wanted; the chance that it is within is {} in 100.",
            format::fixed(100.0 * verdict.within, 0)
        ),
    }
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

fn head(proof: &Proof) -> String {
    match (&proof.square, &proof.verdict) {
        (Ok(square), Some(verdict)) => capital(&verdict_line(square.value, square.u, verdict)),
        (Ok(square), None) => format!(
            "Square is {}. The job does not say how square is wanted: [accuracy] square.",
            give_or_take(square.value, square.u, 0.95)
        ),
        (Err(NoSquare::OneLine), _) => {
            "Square is not told: the holes read lie on one line. Read across: the two long diagonals first.".to_owned()
        }
        (Err(NoSquare::Free), _) => {
            "Square is not told: these readings leave it free. Read two crossed diagonals with the same instrument."
                .to_owned()
        }
        (Err(NoSquare::NotConverged), _) => {
            "Square is not told: no grid like the one laid out agrees with these readings. Look at holes and numbers."
                .to_owned()
        }
    }
}

fn check_first(proof: &Proof, job: &Job) -> Vec<String> {
    if proof.suspects.is_empty() {
        return vec![
            "Check first: the readings contradict each other, and no single one stands out. Read the doubtful ones again."
                .to_owned(),
        ];
    }
    let mut out: Vec<String> = Vec::new();
    for (i, suspect) in proof.suspects.iter().enumerate() {
        let lead = if i == 0 { "Check first: " } else { "Then: " };
        out.push(format!("{lead}{}", suspect_words(suspect, job)));
    }
    out
}

fn suspect_words(suspect: &SuspectProof, job: &Job) -> String {
    let alike = if suspect.alike.is_empty() {
        String::new()
    } else {
        format!(" It cannot be told from {}.", suspect.alike.join(", "))
    };
    match &suspect.who {
        Who::Reading { number, words, blunder, kind, .. } => format!(
            "reading {number} ({words}) looks {} too {}.{alike}",
            of_kind(blunder.abs(), *kind, job),
            if *blunder > 0.0 { "great" } else { "small" }
        ),
        Who::Hole { name, shift, freedom, .. } => {
            let by = (shift[0] * shift[0] + shift[1] * shift[1]).sqrt();
            let seen = if *freedom == 1 { " along what was read of it" } else { "" };
            format!(
                "hole {name} looks {} out{seen} ({} along x, {} along y).{alike}",
                length(by, job.units),
                signed_length(shift[0], job),
                signed_length(shift[1], job)
            )
        }
    }
}

fn signed_length(mm: f64, job: &Job) -> String {
    let text = length(mm, job.units);
    if mm > 0.0 { format!("+{text}") } else { text }
}

fn is_angle(kind: ReadingKind) -> bool {
    matches!(kind, ReadingKind::Angle | ReadingKind::FiveCut | ReadingKind::TurnOver)
}

fn of_kind(value: f64, kind: ReadingKind, job: &Job) -> String {
    if is_angle(kind) { format!("{} mm per metre", format::fixed(value, DECIMALS)) } else { length(value, job.units) }
}

fn basis(proof: &Proof) -> String {
    let known = match proof.datum.prior {
        Prior::Prediction => "with the plan's prediction known before",
        Prior::Stated(_) => "with the spreads that the job states known before",
        Prior::Scatter => "with each hole's own scatter known before, square and pitch not",
        Prior::None => "with nothing known before",
    };
    let over = if proof.over_all { "all" } else { "the" };
    let read = if proof.over_all { "" } else { " read" };
    let numbers: std::collections::BTreeSet<usize> = proof.readings.iter().map(|r| r.number).collect();
    format!(
        "Of {over} {}{read}, from {}, {known}.",
        numbers_of(proof.holes_in_square, "hole"),
        numbers_of(numbers.len(), "reading")
    )
}

fn numbers_of(count: usize, word: &str) -> String {
    if count == 1 { format!("1 {word}") } else { format!("{count} {word}s") }
}

fn numbers(word: &str, of: &[usize]) -> String {
    let list: Vec<String> = of.iter().map(usize::to_string).collect();
    if of.len() == 1 { format!("{word} {}", list[0]) } else { format!("{word}s {}", list.join(", ")) }
}

fn free(proof: &Proof) -> Option<String> {
    // Where a grid lies on the sheet nobody asks of distances.
    let asked = |name: &&String| !["shift along x", "shift along y", "turn"].contains(&name.as_str());
    let named: Vec<&str> = proof.datum.free.iter().filter(asked).map(String::as_str).collect();
    let rest = match proof.datum.undetermined {
        0 => None,
        n => Some(format!("{} of single holes, {} most", numbers_of(n, "movement"), proof.datum.moves_most.join(", "))),
    };
    let all: Vec<String> = named.into_iter().map(str::to_owned).chain(rest).collect();
    (!all.is_empty()).then(|| format!("These readings leave free: {}.", all.join("; ")))
}

fn pitch(proof: &Proof) -> Option<String> {
    let said: Vec<String> = proof
        .pitch
        .iter()
        .zip(["rows", "columns"])
        .filter_map(|(p, along)| {
            let p = (*p)?;
            let half = chance::two_sided(0.05) * p.u;
            let decimals = format::decimals_for(half).unwrap_or(DECIMALS);
            Some(format!("{} ± {} along {along}", format::signed(p.value, decimals), format::fixed(half, decimals)))
        })
        .collect();
    (!said.is_empty())
        .then(|| format!("Pitch against its nominal, mm per metre, 95 times in 100: {}.", said.join(", ")))
}

/// The dates held against each other.
fn over_time(proof: &Proof) -> Vec<String> {
    let Some(over) = &proof.over_time else { return Vec::new() };
    let mut out = vec!["Over time, from the readings alone; what stands above takes all dates together:".to_owned()];
    for on in &over.dates {
        let square = match on.square {
            Some(square) => format!("square of the holes read is {}", give_or_take(square.value, square.u, 0.95)),
            None => "these leave square free".to_owned(),
        };
        out.push(format!("{}, {}: {square}.", on.date, numbers_of(on.readings.len(), "reading")));
    }
    for drift in &over.drifts {
        let lead =
            format!("From {} to {}, over {} read both times, ", drift.from, drift.to, numbers_of(drift.holes, "hole"));
        out.push(match drift.square {
            None => format!("{lead}nothing fixes what square did: read the same two crossed diagonals on both dates."),
            Some(square) => {
                let half = chance::two_sided(0.05) * square.u;
                let word =
                    if square.value.abs() > half { "that is a change" } else { "no more than the readings' own noise" };
                format!("{lead}square went by {}: {word}.", give_or_take(square.value, square.u, 0.95))
            }
        });
        let pitch: Vec<String> = drift
            .pitch
            .iter()
            .zip(["rows", "columns"])
            .filter_map(|(p, along)| {
                let p = (*p)?;
                Some(format!("along {along} by {}", give_or_take(p.value, p.u, 0.95)))
            })
            .collect();
        if !pitch.is_empty() {
            out.push(format!("Pitch went {}.", pitch.join(", ")));
        }
    }
    if !over.undated.is_empty() {
        let verb = if over.undated.len() == 1 { "has no date and is" } else { "have no date and are" };
        out.push(format!("{} {verb} not compared.", capital(&numbers("reading", &over.undated))));
    }
    out
}

/// What air does: scale, not square.
fn climate(proof: &Proof) -> Option<String> {
    let shift = proof.climate.as_ref()?;
    let said: Vec<String> = shift
        .known
        .iter()
        .zip(shift.uncertainty())
        .zip(["x", "y"])
        .map(|((value, u), along)| {
            format!("{} along {along}", format::with_uncertainty(*value, u, "(k = 1)").trim_end())
        })
        .collect();
    let sheet = if shift.without_sheet.is_some() { " (bars alone: the sheet's own movement is not known)" } else { "" };
    Some(format!(
        "In the air of use distances are by the stated climate more than nominal by {}, mm per metre{sheet}. That is scale: warmth and damp leave square alone.",
        said.join(" and ")
    ))
}

fn farthest(proof: &Proof, job: &Job) -> Option<String> {
    let mut holes: Vec<_> = proof.holes.iter().filter(|h| h.read).collect();
    let out = |d: [f64; 2]| (d[0] * d[0] + d[1] * d[1]).sqrt();
    holes.sort_by(|a, b| out(b.d).total_cmp(&out(a.d)));
    let said: Vec<String> = holes
        .iter()
        .take(FARTHEST)
        .map(|h| format!("{} {} (± {})", h.name, length(out(h.d), job.units), length(2.0 * h.axes[0], job.units)))
        .collect();
    (!said.is_empty()).then(|| format!("Of the holes read, farthest from their places: {}.", said.join(", ")))
}

fn bends(proof: &Proof, job: &Job) -> Vec<String> {
    let said = proof.bends.iter().zip(["row", "column"]).filter_map(|(bend, word)| {
        let bend = bend.as_ref()?;
        Some(format!(
            "The {word} {} to {} bends most: {} lies {} from its line (± {}).",
            bend.line[0],
            bend.line[1],
            bend.hole,
            length(bend.offset.value.abs(), job.units),
            length(2.0 * bend.offset.u, job.units)
        ))
    });
    said.collect()
}

fn right_angles(proof: &Proof, job: &Job) -> Vec<String> {
    let mut out = Vec::new();
    for (i, best) in proof.right_angles.iter().enumerate() {
        let lead = if i == 0 { "The best right angle on this top: " } else { "Then: " };
        let shim = if best.shim >= 0.005 {
            format!(
                " A shim of {} at {} takes out what is known of it, the rail lying on the side of the higher columns.",
                length(best.shim, job.units),
                best.shim_at
            )
        } else {
            String::new()
        };
        out.push(format!(
            "{lead}fence on {} and {}, rail on {} and {}: off by {}.{shim}",
            best.fence[0],
            best.fence[1],
            best.rail[0],
            best.rail[1],
            give_or_take(best.error.value, best.error.u, 0.95)
        ));
    }
    out
}

fn instruments(proof: &Proof, job: &Job) -> Vec<String> {
    let of = |what: &str, unit: &str, e: &Option<Estimate>| {
        e.map(|e| format!("its {what} {}", format::with_uncertainty(e.value, e.u, unit)))
    };
    let unit = |name: &str| {
        let angles = job.proof.instruments.iter().any(|i| i.name == name && i.reads.contains(&ReadingKind::Angle));
        if angles { "mm per m" } else { "mm" }
    };
    let all = proof.instruments.iter().map(|i| {
        let parts: Vec<String> =
            [of("scale", "mm per m", &i.scale), of("zero", unit(&i.name), &i.zero)].into_iter().flatten().collect();
        format!("By these readings {} has {} (k = 1).", i.name, parts.join(" and "))
    });
    all.collect()
}

/// The table of readings: its heads, then a row for each.
pub fn rows(proof: &Proof, job: &Job) -> Vec<[String; 6]> {
    let mut rows: Vec<[String; 6]> = vec![[
        "no.".to_owned(),
        "reading".to_owned(),
        "as read".to_owned(),
        "less adjusted".to_owned(),
        "in its spreads".to_owned(),
        "smallest slip found".to_owned(),
    ]];
    for r in &proof.readings {
        let words = match &r.coordinate {
            Some((hole, axis)) => format!("{} of {hole}", ["x", "y"][*axis]),
            None => r.words.clone(),
        };
        rows.push(match (&r.point, r.chance) {
            (Some(p), _) => [
                r.number.to_string(),
                words,
                of_kind(p.reading, r.kind, job),
                of_kind(p.residual, r.kind, job),
                p.standardised.map_or("not controlled".to_owned(), |w| {
                    let mark = if w.abs() > MARKED { " <" } else { "" };
                    format!("{}{mark}", format::signed(w, 1))
                }),
                p.smallest_blunder.map_or("none".to_owned(), |b| of_kind(b, r.kind, job)),
            ],
            (None, chance) => [
                r.number.to_string(),
                words,
                if r.kind == ReadingKind::Went { "went" } else { "did not go" }.to_owned(),
                chance.map_or(String::new(), |c| format!("chance {}", format::fixed(c, 2))),
                String::new(),
                String::new(),
            ],
        });
    }
    rows
}

fn table(rows: &[[String; 6]]) -> Vec<String> {
    let width = |k: usize| rows.iter().map(|r| r[k].chars().count()).max().unwrap_or(0);
    let widths = [0, 1, 2, 3, 4, 5].map(width);
    rows.iter()
        .map(|row| {
            let mut line = String::new();
            for (k, cell) in row.iter().enumerate() {
                line.push_str(cell);
                if k < 5 {
                    line.extend(std::iter::repeat_n(' ', widths[k] + 2 - cell.chars().count()));
                }
            }
            line.trim_end().to_owned()
        })
        .collect()
}
