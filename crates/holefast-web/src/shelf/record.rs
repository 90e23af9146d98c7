//! A job as it stands on the device: its text, and what is known of it beside. Pure; written as JSON.

use serde::{Deserialize, Serialize};

/// Format of records written here.
const FORMAT: u32 = 1;

/// After so many changes without a copy off the device one is suggested: an evening's work.
const CHANGES_WITHOUT_COPY: u64 = 60;

/// And after so long, if anything was changed: a week, in ms.
const TIME_WITHOUT_COPY: f64 = 7.0 * 24.0 * 3_600_000.0;

/// A job on the device.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Record {
    format: u32,
    /// Counts what was saved: two tabs tell by it whether they are at the same.
    pub version: u64,
    /// The job's text, readable or not.
    pub text: String,
    /// Its name when it could last be read.
    pub name: String,
    /// When it came to this device, ms since 1970.
    pub made: f64,
    /// When it was last changed.
    pub changed: f64,
    /// The version that was last handed on as a file or a link, and when.
    pub copied: Option<(u64, f64)>,
    /// When it was taken off the list; it can be brought back.
    pub removed: Option<f64>,
}

impl Record {
    /// A job that has just come to this device.
    pub fn new(text: &str, now: f64) -> Record {
        let mut record = Record {
            format: FORMAT,
            version: 0,
            text: String::new(),
            name: String::new(),
            made: now,
            changed: now,
            copied: None,
            removed: None,
        };
        record.take(text, now);
        record
    }

    /// Another text for it.
    pub fn take(&mut self, text: &str, now: f64) {
        text.clone_into(&mut self.text);
        if let Some(name) = name_of(text) {
            self.name = name;
        }
        self.changed = now;
        self.version += 1;
    }

    /// As it is stored.
    pub fn write(&self) -> String {
        // Numbers and texts: nothing in it can fail.
        serde_json::to_string(self).unwrap_or_default()
    }

    /// Reads what is stored; why not, if it is none.
    pub fn read(stored: &str) -> Result<Record, String> {
        let record: Record = serde_json::from_str(stored).map_err(|e| e.to_string())?;
        if record.format != FORMAT {
            return Err(format!("it is of format {}; this page reads {FORMAT}", record.format));
        }
        if record.text.len() > holefast::job::MOST_BYTES {
            return Err(format!("it is longer than {} MB", holefast::job::MOST_BYTES >> 20));
        }
        Ok(record)
    }

    /// True if a copy off this device is worth suggesting.
    pub fn wants_copy(&self, now: f64) -> bool {
        let (version, since) = self.copied.unwrap_or((1, self.made));
        let changes = self.version.saturating_sub(version);
        changes >= CHANGES_WITHOUT_COPY || (changes > 0 && now - since > TIME_WITHOUT_COPY)
    }
}

/// What a text is called as a job; `None` if it cannot be read.
pub fn name_of(text: &str) -> Option<String> {
    holefast::job::parse(text).job.map(|job| job.name)
}

/// A name that none of these has: "Bench" becomes "Bench (2)", that "Bench (3)".
pub fn another_name(name: &str, taken: &[String]) -> String {
    let stem = name
        .strip_suffix(')')
        .and_then(|s| s.rsplit_once(" ("))
        .filter(|(_, n)| !n.is_empty() && n.bytes().all(|b| b.is_ascii_digit()))
        .map_or(name, |(stem, _)| stem);
    (2_u32..).map(|n| format!("{stem} ({n})")).find(|n| !taken.contains(n)).unwrap_or_else(|| name.to_owned())
}

/// The text under another name; as it is where it cannot be read.
pub fn renamed(text: &str, name: &str) -> String {
    let setting = holefast::job::Setting::Text(name.to_owned());
    holefast::job::set(text, "name", &setting).unwrap_or_else(|_| text.to_owned())
}

/// A day and a time of day on this device.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Moment {
    /// Year, month (1 to 12), day.
    pub day: [u32; 3],
    /// Hour and minute.
    pub time: [u32; 2],
}

/// A moment in words, seen from another: "14:05" of the same day, else "3 Nov 2026, 14:05".
pub fn told(then: Moment, now: Moment) -> String {
    const MONTHS: [&str; 12] = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
    let [hour, minute] = then.time;
    if then.day == now.day {
        return format!("today, {hour}:{minute:02}");
    }
    let [year, month, day] = then.day;
    let month = MONTHS.get((month as usize).wrapping_sub(1)).copied().unwrap_or("");
    format!("{day}\u{a0}{month} {year}, {hour}:{minute:02}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::EXAMPLE;

    #[test]
    fn a_record_comes_back_as_it_was_written() {
        let mut record = Record::new(EXAMPLE, 1_000.0);
        assert_eq!((record.version, record.name.as_str()), (1, "Trailer top for stage flats"));
        record.take("name = \"half a", 2_000.0);
        record.copied = Some((1, 1_500.0));
        assert_eq!((record.version, record.changed), (2, 2_000.0));
        assert_eq!(record.name, "Trailer top for stage flats", "a text that cannot be read has no name of its own");
        assert_eq!(Record::read(&record.write()), Ok(record));
    }

    #[test]
    fn what_is_no_record_is_told_and_does_no_harm() {
        let good = Record::new(EXAMPLE, 1.0).write();
        let deep = format!("{}{}", "[".repeat(100_000), "]".repeat(100_000));
        for (broken, why) in [
            (String::new(), "EOF"),
            (good[..good.len() / 2].to_owned(), "EOF"),
            (good.replace("\"made\":1.0", "\"made\":1e999"), "out of range"),
            (good.replace("\"version\":1", "\"version\":-1"), "invalid value"),
            (good.replace("\"text\":\"", "\"txt\":\""), "unknown field"),
            (good.replace("\"format\":1", "\"format\":2"), "format 2; this page reads 1"),
            (deep, "invalid type"),
            (Record::new(&"x".repeat(5 << 20), 1.0).write(), "longer than 4 MB"),
        ] {
            let told = Record::read(&broken).expect_err(why);
            assert!(told.contains(why), "{told:?} for {why:?}");
        }
    }

    #[test]
    fn a_copy_is_suggested_after_many_changes_or_a_week() {
        let mut record = Record::new(EXAMPLE, 0.0);
        assert!(!record.wants_copy(2.0 * TIME_WITHOUT_COPY), "nothing was changed");
        record.take(EXAMPLE, 1.0);
        assert!(!record.wants_copy(TIME_WITHOUT_COPY));
        assert!(record.wants_copy(TIME_WITHOUT_COPY + 1.0));
        record.copied = Some((2, TIME_WITHOUT_COPY));
        for _ in 0..CHANGES_WITHOUT_COPY {
            assert!(!record.wants_copy(TIME_WITHOUT_COPY));
            record.take(EXAMPLE, TIME_WITHOUT_COPY);
        }
        assert!(record.wants_copy(TIME_WITHOUT_COPY));
    }

    #[test]
    fn another_name_is_one_that_nobody_has() {
        assert_eq!(another_name("Bench", &[]), "Bench (2)");
        assert_eq!(another_name("Bench (2)", &["Bench (2)".to_owned()]), "Bench (3)");
        assert_eq!(another_name("Bench (oak)", &[]), "Bench (oak) (2)");
        assert_eq!(name_of(&renamed(EXAMPLE, "<b>\"12\"</b>")).as_deref(), Some("<b>\"12\"</b>"));
        assert_eq!(renamed("no = job = at all", "x"), "no = job = at all");
    }

    #[test]
    fn a_moment_is_told_from_today() {
        let then = Moment { day: [2026, 11, 3], time: [9, 5] };
        assert_eq!(told(then, Moment { time: [23, 0], ..then }), "today, 9:05");
        assert_eq!(told(then, Moment { day: [2026, 11, 4], time: [0, 0] }), "3\u{a0}Nov 2026, 9:05");
    }
}
