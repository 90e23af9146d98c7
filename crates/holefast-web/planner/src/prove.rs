//! A proof as the page shows it: its picture with the holes that can be tapped, the command line's
//! sentences and tables, and which reading is worth taking next.

use holefast::Layout;
use holefast::desk::{Desk, SEED};
use holefast::drawing::{At, Scene, key_of, key_sign, proof_view, top_view, verdict_view};
use holefast::words::{key_name, next as next_words, proof as proof_words};
use serde::{Deserialize, Serialize};

use crate::theme::PAGE;
use crate::work::{self, Refusal};

/// A target's radius as a part of the pitch on the paper: neighbours do not overlap.
const REACH: f64 = 0.48;

/// Widest picture of the verdict, mm.
const VERDICT: f64 = 120.0;

/// What the readings say, as far as they say it.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Proved {
    /// The picture.
    pub picture: Picture,
    /// Sentences, the verdict first; none where nothing is proved.
    pub said: Vec<String>,
    /// Where square lies, as SVG, and in a sentence; none without a verdict.
    pub verdict: Option<(String, String)>,
    /// The table of readings with its heads.
    pub readings: Vec<Vec<String>>,
    /// Why nothing is proved.
    pub refused: Vec<Refusal>,
    /// What is worth a line beside it.
    pub remarks: Vec<Refusal>,
}

/// The top as proved, or as laid out.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Picture {
    /// As SVG.
    pub svg: String,
    /// What it shows, in a sentence.
    pub about: String,
    /// Holes by name with their places on it, mm of paper.
    pub holes: Vec<(String, [f64; 2])>,
    /// Radius within which a hole is meant, mm of paper.
    pub reach: f64,
    /// Signs with their words.
    pub key: Vec<(String, String)>,
}

/// What is worth reading next.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct NextTold {
    /// Sentences.
    pub said: Vec<String>,
    /// The table of what each would leave, with its heads.
    pub table: Vec<Vec<String>>,
    /// The first of them, to begin with.
    pub first: Option<Wanted>,
    /// Why nothing is offered, and what cannot be.
    pub remarks: Vec<Refusal>,
}

/// A reading that is worth taking.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Wanted {
    /// Its kind, as jobs call it.
    pub kind: String,
    /// Instrument.
    pub with: String,
    /// Holes of each reading, in the order of the form.
    pub holes: Vec<Vec<String>>,
}

/// Adjusts a job's readings.
pub fn proved(text: &str, room: [f64; 2]) -> Proved {
    let refused = |faults| Proved { refused: Refusal::all(faults), ..Proved::default() };
    let job = match work::read(text) {
        Ok(job) => job,
        Err(faults) => return refused(faults),
    };
    let desk = Desk::new(&job);
    let layout = match desk.layout() {
        Ok(layout) => layout,
        Err(faults) => return refused(faults),
    };
    if job.proof.readings.is_empty() {
        // Nothing is wrong with a top that nobody has measured yet.
        return Proved { picture: picture(layout, &top_view(&job, layout, room)), ..Proved::default() };
    }
    match desk.proof(SEED) {
        Ok(proof) => Proved {
            picture: picture(layout, &proof_view(&job, layout, &proof, room)),
            said: proof_words::said(&proof, &job),
            verdict: proof.square.ok().zip(proof.verdict).map(|(square, verdict)| {
                let scene = verdict_view(square, verdict.limit, verdict.confidence, room[0].min(VERDICT));
                (holefast_paper::svg(&scene, &PAGE), scene.about)
            }),
            readings: proof_words::rows(&proof, &job).into_iter().map(Vec::from).collect(),
            refused: Vec::new(),
            remarks: proof.remarks.into_iter().map(Refusal::of).collect(),
        },
        Err(faults) => Proved {
            picture: picture(layout, &top_view(&job, layout, room)),
            refused: Refusal::all(faults),
            ..Proved::default()
        },
    }
}

/// Says which reading is worth taking next, also before there is any.
pub fn worth(text: &str) -> NextTold {
    let told = work::read(text).and_then(|job| Desk::new(&job).next());
    match told {
        Ok(next) => NextTold {
            said: next_words::said(&next),
            table: next_words::rows(&next).into_iter().map(Vec::from).collect(),
            first: next.suggestions.first().map(|s| Wanted {
                kind: s.kind.name().to_owned(),
                with: s.with.clone(),
                holes: s.readings.iter().map(|lines| lines.concat()).collect(),
            }),
            remarks: next.remarks.into_iter().map(Refusal::of).collect(),
        },
        Err(faults) => NextTold { remarks: Refusal::all(faults), ..NextTold::default() },
    }
}

fn picture(layout: &Layout, scene: &Scene) -> Picture {
    let pitch = layout.pitch[0].min(layout.pitch[1]);
    Picture {
        svg: holefast_paper::svg(scene, &PAGE),
        about: scene.about.clone(),
        holes: layout.holes.iter().map(|h| (h.name.clone(), scene.view.to_paper(At::on(h.centre)))).collect(),
        reach: REACH * scene.view.paper(pitch),
        key: key_of(scene)
            .into_iter()
            .map(|role| (holefast_paper::svg(&key_sign(role), &PAGE), key_name(role).to_owned()))
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use holefast::Job;
    use holefast::job::{MeasuringTool, NewReading, Setting, add_instrument, add_reading};
    use holefast::reading::ReadingKind;

    use super::*;

    const TOP: &str = include_str!("../../../../examples/trailer-top.toml");
    const ROOM: [f64; 2] = [120.0, 90.0];

    fn read(text: &str) -> Job {
        work::read(text).unwrap()
    }

    /// The top with a long caliper and, invented, what it read.
    fn with_readings(values: &[(&str, &str, f64)]) -> String {
        let text = add_instrument(TOP, &read(TOP), MeasuringTool::LongCaliper).unwrap();
        values.iter().fold(text, |text, &(a, b, value)| {
            let new = NewReading {
                kind: ReadingKind::Distance,
                with: Some("long caliper".to_owned()),
                holes: vec![a.to_owned(), b.to_owned()],
                rest: vec![("value".to_owned(), Setting::Number(value))],
            };
            add_reading(&text, &read(&text), &new).unwrap()
        })
    }

    #[test]
    fn what_is_said_is_what_the_command_line_prints() {
        let text = with_readings(&[("A1", "G9", 1000.03), ("A9", "G1", 999.95)]);
        let proved = proved(&text, ROOM);
        let job = read(&text);
        let desk = Desk::new(&job);
        let proof = desk.proof(SEED).unwrap();
        let printed = proof_words::lines(&proof, &job);
        // The command line names its other command after an undecided verdict.
        assert!(proved.said.iter().zip(&printed).all(|(said, printed)| printed.starts_with(said)), "{printed:?}");
        assert_eq!(proved.said, proof_words::said(&proof, &job));
        assert_eq!(printed.len(), proved.said.len() + proved.readings.len());
        assert_eq!(proved.picture.holes.len(), desk.layout().unwrap().holes.len());
        let next = worth(&text);
        let of_core = desk.next().unwrap();
        assert_eq!(next.said, next_words::said(&of_core));
        let first = next.first.unwrap();
        assert_eq!(first.with, "long caliper");
        assert!(first.holes.iter().all(|holes| holes.len() == 2), "{first:?}");
    }

    #[test]
    fn a_slip_is_told_and_the_top_is_drawn_all_the_same() {
        let proved = proved(&with_readings(&[("A1", "G9", 690.0)]), ROOM);
        assert!(proved.said.is_empty());
        assert!(proved.refused.iter().any(|r| r.message.contains("690")), "{:?}", proved.refused);
        assert!(proved.picture.svg.starts_with("<svg"));
        let none = super::proved(TOP, ROOM);
        assert!(none.refused.is_empty() && none.said.is_empty() && !none.picture.holes.is_empty());
        assert!(!worth(TOP).remarks.is_empty(), "no instrument, nothing to suggest");
    }

    #[test]
    fn the_plan_counts_where_the_job_says_so() {
        let text = with_readings(&[("A1", "G9", 1000.03), ("A9", "G1", 999.95)]);
        let text = holefast::job::set(&text, "proof.prior", &Setting::Text("prediction".to_owned())).unwrap();
        let proved = proved(&text, ROOM);
        assert!(proved.said.iter().any(|line| line.contains("the plan's prediction")), "{:?}", proved.said);
    }
}
