//! Reads `[trial]`, what a bore in an offcut measured, and puts it in the place of the kit's
//! `oversize`.

use super::read::{Reader, Table};
use super::values::Range;
use crate::fault::Fault;
use crate::kit::{DEFAULT_READING_U, Kit, Trial};

/// A trial hole so much over its bit, mm, is not that bit's hole: a bit that wobbles a millimetre
/// wider is bent, and another drill was measured as likely.
const MOST_OFF: f64 = 1.0;
/// Under the bit by more than this is no hole of it, mm: wood springs back a little.
const MOST_UNDER: f64 = -Range::OVERSIZE.least;

/// Reads `[trial]` where written: `Some(None)` where it is not.
pub(super) fn trial(reader: &mut Reader, root: &Table<'_>, kit: Option<&Kit>) -> Option<Option<Trial>> {
    if root.get("trial").is_none() {
        return Some(None);
    }
    let table = reader.table(root, "trial", "trial")?;
    let bits = kit.map(|kit| (kit.pilot_bit.diameter.mean(), kit.opening_bit.diameter.mean()));
    let pilot = readings(reader, &table, "pilot", bits.map(|b| b.0));
    let dog = readings(reader, &table, "dog", bits.map(|b| b.1));
    let u = match table.get("u") {
        Some(_) => reader.length(&table, "u", Range::FINE),
        None => Some(DEFAULT_READING_U),
    };
    let pin_goes = goes(reader, &table, "pin_goes", "pin", "pilots");
    let dog_goes = goes(reader, &table, "dog_goes", "dog", "dog hole");
    Some(Some(Trial { pilot: pilot?, dog: dog?, u: u?, pin_goes, dog_goes }))
}

/// Measured diameters, mm: one, or a list; empty where not written.
fn readings(reader: &mut Reader, table: &Table<'_>, key: &str, bit: Option<f64>) -> Option<Vec<f64>> {
    let Some(node) = table.get(key) else { return Some(Vec::new()) };
    let call = table.call(key);
    let items = match &node.value {
        super::tree::Value::List(_) => reader.list(table, key, "a list of diameters")?,
        _ => std::slice::from_ref(node),
    };
    let mut out = Some(Vec::new());
    for item in items {
        match (reader.length_of(item, &call, Range::DIAMETER), &mut out) {
            (Some(mm), Some(all)) => {
                if let Some(bit) = bit.filter(|&bit| mm - bit > MOST_OFF || bit - mm > MOST_UNDER) {
                    let (says, bit) = (reader.say(mm), reader.say(bit));
                    let fault = Fault::input(format!("{call} measured {says}, the bit is {bit}: not that bit's hole"))
                        .hint("measure the hole's diameter, not its depth or its bit");
                    reader.fault(item.span, fault);
                    out = None;
                } else {
                    all.push(mm);
                }
            }
            _ => out = None,
        }
    }
    out
}

/// Whether a locator went in; a "no" is worth a remark before a hole of the sheet is bored.
fn goes(reader: &mut Reader, table: &Table<'_>, key: &str, what: &str, hole: &str) -> Option<bool> {
    table.get(key)?;
    let goes = reader.flag(table, key)?;
    if !goes {
        let fault = Fault::remark(format!("the trial's {what} did not go into the {hole}"))
            .hint("sharpen or change the bit, or take a thinner one in its place, and bore the trial again");
        reader.fault(table.place(key), fault);
    }
    Some(goes)
}

#[cfg(test)]
mod tests {
    use crate::fault::FaultKind;
    use crate::job::{NewJob, Parsed, Units, new_job, parse};

    fn with(trial: &str) -> Parsed {
        parse(&format!("{}\n[trial]\n{trial}\n", new_job(&NewJob::new("Bench", Units::Mm))))
    }

    #[test]
    fn a_trial_takes_the_place_of_the_oversize() {
        let job = with("pilot = [4.03, 4.06, 4.05]\ndog = 20.04\nu = 0.01\npin_goes = true").job.unwrap();
        let kit = job.kit.unwrap();
        // 4.03 to 4.06 and half of that on either side: 4.015 to 4.075; less the bit's 4 mm.
        assert!((kit.pilot_bit.oversize.min - 0.015).abs() < 1e-12, "{:?}", kit.pilot_bit.oversize);
        assert!((kit.pilot_bit.oversize.max - 0.075).abs() < 1e-12);
        assert!((kit.opening_bit.oversize.mean() - 0.04).abs() < 1e-12);
        assert_eq!(job.trial.unwrap().pin_goes, Some(true));
    }

    #[test]
    fn a_trial_says_what_is_wrong_with_it() {
        for (trial, kind, says) in [
            (
                "pilot = [4.03, 21.0]",
                FaultKind::Input,
                "trial.pilot measured 21 mm, the bit is 4 mm: not that bit's hole",
            ),
            ("dog = 19.4", FaultKind::Input, "trial.dog measured 19.4 mm, the bit is 20 mm: not that bit's hole"),
            ("pilot = \"wide\"", FaultKind::Input, "trial.pilot"),
            ("u = -0.01", FaultKind::Input, "trial.u is -0.01 mm"),
            ("pin_goes = false", FaultKind::Remark, "the trial's pin did not go into the pilots"),
            ("dog_goes = false", FaultKind::Remark, "the trial's dog did not go into the dog hole"),
            ("pilots = [4.0]", FaultKind::Input, "[trial] has no key `pilots`"),
            // Measured narrower than the pin: what the fits find with the measured bore.
            ("pilot = [3.97, 3.97]\nu = 0.001", FaultKind::Impossible, "a pilot"),
        ] {
            let parsed = with(trial);
            let found = parsed.faults.iter().find(|f| f.message.contains(says));
            assert_eq!(found.map(|f| f.kind), Some(kind), "{trial}: {:?}", parsed.faults);
            assert_eq!(parsed.job.is_some(), kind == FaultKind::Remark, "{trial}");
        }
    }
}
