//! What a change of a job does to what stands on the device: written, there already, or another tab was
//! there first. Pure.

use super::record::Record;

/// What became of a change.
#[derive(Clone, Debug, PartialEq)]
pub enum Became {
    /// It stands on the device.
    Stands(Record),
    /// Another tab has changed the job since: this is theirs.
    Theirs(Record),
    /// What stands there is no job.
    Broken,
}

/// Decides on a text made on version `on` of what is `there`: what is to be written, and what became of it.
pub fn decide(there: Option<&str>, on: u64, text: &str, now: f64) -> (Option<String>, Became) {
    let mut record = match there.map(Record::read) {
        // Not there yet, or taken away for good by another tab: then it is needed after all.
        None => {
            let mut record = Record::new(text, now);
            record.version = on + 1;
            return (Some(record.write()), Became::Stands(record));
        }
        Some(Err(_)) => return (None, Became::Broken),
        Some(Ok(record)) => record,
    };
    if record.text == text && record.removed.is_none() {
        return (None, Became::Stands(record));
    }
    if record.version != on {
        return (None, Became::Theirs(record));
    }
    record.removed = None;
    record.take(text, now);
    (Some(record.write()), Became::Stands(record))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stands(decided: &(Option<String>, Became)) -> (bool, u64) {
        match decided {
            (written, Became::Stands(record)) => (written.is_some(), record.version),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn the_first_change_and_the_next_are_written() {
        let first = decide(None, 0, "a", 1.0);
        assert_eq!(stands(&first), (true, 1));
        assert_eq!(stands(&decide(first.0.as_deref(), 1, "b", 2.0)), (true, 2));
    }

    #[test]
    fn the_second_of_two_tabs_is_told_and_nothing_is_written() {
        let first = decide(None, 0, "a", 1.0).0;
        let one = decide(first.as_deref(), 1, "one", 2.0).0;
        let (written, became) = decide(one.as_deref(), 1, "two", 3.0);
        assert_eq!(written, None);
        assert!(matches!(became, Became::Theirs(ref r) if r.text == "one" && r.version == 2), "{became:?}");
        // Both alike: there is nothing to tell.
        assert_eq!(stands(&decide(one.as_deref(), 1, "one", 3.0)), (false, 2));
    }

    #[test]
    fn what_was_taken_off_the_list_comes_back_when_it_is_changed() {
        let mut record = Record::new("a", 1.0);
        record.removed = Some(2.0);
        let (written, became) = decide(Some(&record.write()), 1, "a", 3.0);
        assert!(written.is_some());
        assert!(matches!(became, Became::Stands(ref r) if r.removed.is_none()), "{became:?}");
        assert_eq!(stands(&decide(None, 7, "a", 3.0)), (true, 8));
    }

    #[test]
    fn what_is_no_job_is_left_as_it_is() {
        assert_eq!(decide(Some("{"), 3, "a", 1.0), (None, Became::Broken));
    }
}
