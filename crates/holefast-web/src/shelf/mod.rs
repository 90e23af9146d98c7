//! The jobs on this device: which there are, which is open, whether it stands. Every change of the open job
//! is noted in the same breath, saved at once, and told where it could not be. Nothing is ever overwritten
//! that somebody else wrote, and nothing deleted that cannot be read.

mod change;
mod idb;
mod record;
mod start;
mod unsaved;

use std::cell::RefCell;
use std::collections::BTreeMap;

use holefast::Fault;
use leptos::prelude::*;
use wasm_bindgen_futures::spawn_local;

use crate::bench::Bench;
use crate::hands::Hands;
use crate::{EXAMPLE, browser};

use change::{Became, decide};
use idb::Database;
pub use idb::Why;
pub use record::{Moment, Record, another_name, name_of, renamed, told};
pub use start::Start;
use unsaved::Unsaved;

/// What stands under a key on the device.
#[derive(Clone, Debug, PartialEq)]
pub struct Kept {
    /// Its key.
    pub key: String,
    /// The job; what is stored, and why it is none.
    pub what: Result<Record, (String, String)>,
}

impl Kept {
    fn new(key: String, stored: String) -> Kept {
        let what = Record::read(&stored).map_err(|why| (stored, why));
        Kept { key, what }
    }
}

/// Whether the open job stands on the device.
#[derive(Clone, Debug, PartialEq)]
pub enum Saved {
    /// Nothing was changed yet: it is the example.
    Fresh,
    /// It stands.
    Stands,
    /// It does not, and why.
    Not(Why),
    /// Another tab has changed it; what this tab has is noted and waits.
    Theirs,
}

/// Something that happened and is told once.
#[derive(Clone, Debug, PartialEq)]
pub enum Told {
    /// A job came by link or file and stands beside the others.
    Came(String),
    /// The same job stood here already.
    WasHere(String),
    /// What came could not be taken: what it was, and why not.
    NotTaken(&'static str, Vec<Fault>),
    /// A job was taken off the list: its key and name.
    Removed(String, String),
    /// Changes of a page that closed before they were saved were found: so many jobs.
    Found(usize),
}

/// Where a link or a file came from, as it is told.
pub const LINK: &str = "link";
/// The other way.
pub const FILE: &str = "file";

/// What the page shows of the jobs on this device, and the way to change it.
#[derive(Clone, Copy)]
pub struct Shelf {
    /// All that stands on the device, the last changed first.
    pub jobs: RwSignal<Vec<Kept>>,
    /// Key of the open job; none as long as it is the untouched example.
    pub open: RwSignal<Option<String>>,
    /// Whether it stands.
    pub saved: RwSignal<Saved>,
    /// What another tab made of it.
    pub theirs: RwSignal<Option<Record>>,
    /// Whether the browser has promised not to clear the store when the device runs short of room.
    pub lasting: RwSignal<Option<bool>>,
    /// What is told.
    pub told: RwSignal<Option<Told>>,
}

/// What saving needs and nobody sees.
struct Behind {
    database: Result<Database, Why>,
    tab: String,
    channel: Option<web_sys::BroadcastChannel>,
    /// Versions of jobs as this tab last saw them on the device.
    versions: BTreeMap<String, u64>,
    /// What is still to be saved, by job, and whether somebody is at it.
    pending: BTreeMap<String, String>,
    busy: bool,
    /// Jobs that were open before, with their past.
    benches: BTreeMap<String, Bench>,
}

thread_local! {
    static BEHIND: RefCell<Option<Behind>> = const { RefCell::new(None) };
}

fn behind<T>(work: impl FnOnce(&mut Behind) -> T) -> Option<T> {
    BEHIND.with_borrow_mut(|behind| behind.as_mut().map(work))
}

fn database() -> Result<Database, Why> {
    behind(|b| b.database.clone()).unwrap_or(Err(Why::Refused))
}

impl Shelf {
    /// The shelf as it was found, and the text that is opened.
    pub fn new(start: Start) -> (Shelf, String) {
        let open = start.open.clone();
        let record = start.jobs.iter().find(|k| Some(&k.key) == open.as_ref()).and_then(|k| k.what.as_ref().ok());
        let text = record.map_or_else(|| EXAMPLE.to_owned(), |r| r.text.clone());
        let versions = open.iter().zip(record).map(|(key, r)| (key.clone(), r.version)).collect();
        let saved = match (&start.database, record) {
            (Err(why), _) => Saved::Not(why.clone()),
            (Ok(_), Some(_)) => Saved::Stands,
            (Ok(_), None) => Saved::Fresh,
        };
        let shelf = Shelf {
            jobs: RwSignal::new(start.jobs),
            open: RwSignal::new(open),
            saved: RwSignal::new(saved),
            theirs: RwSignal::new(None),
            lasting: RwSignal::new(start.lasting),
            told: RwSignal::new((start.found > 0).then_some(Told::Found(start.found))),
        };
        let behind = Behind {
            database: start.database,
            tab: start.tab,
            channel: web_sys::BroadcastChannel::new("holefast").ok(),
            versions,
            pending: BTreeMap::new(),
            busy: false,
            benches: BTreeMap::new(),
        };
        BEHIND.set(Some(behind));
        (shelf, text)
    }

    /// Listens to what other tabs save.
    pub fn listen(self, hands: Hands) {
        let heard = wasm_bindgen::closure::Closure::<dyn FnMut()>::new(move || {
            spawn_local(async move { self.look(hands).await });
        });
        behind(|b| {
            if let Some(channel) = &b.channel {
                channel.set_onmessage(Some(wasm_bindgen::JsCast::unchecked_ref(heard.as_ref())));
            }
        });
        heard.forget();
    }

    /// Saves the open job's text at once.
    pub fn save(self, text: &str) {
        let key = self.open.get_untracked().unwrap_or_else(|| {
            let key = browser::new_key();
            self.open_is(Some(key.clone()), 0);
            self.ask_to_last();
            key
        });
        self.save_as(key, text);
    }

    fn save_as(self, key: String, text: &str) {
        let idle = behind(|b| {
            let on = b.versions.get(&key).copied().unwrap_or(0);
            unsaved::note(&b.tab, &Unsaved { job: key.clone(), on, text: text.to_owned() });
            b.pending.insert(key, text.to_owned());
            !std::mem::replace(&mut b.busy, true)
        });
        if idle == Some(true) {
            spawn_local(async move {
                while let Some((key, text)) = behind(|b| b.pending.pop_first()).flatten() {
                    self.save_one(key, text).await;
                }
                behind(|b| b.busy = false);
            });
        }
    }

    async fn save_one(self, key: String, text: String) {
        let is_open = || self.open.with_untracked(|open| open.as_ref() == Some(&key));
        if is_open() && self.theirs.with_untracked(Option::is_some) {
            // Waits for the person's word; what this tab has is noted.
            self.saved.set(Saved::Theirs);
            return;
        }
        let on = behind(|b| b.versions.get(&key).copied()).flatten().unwrap_or(0);
        match change(&key, on, &text).await {
            Ok(Became::Stands(record)) => {
                behind(|b| {
                    b.versions.insert(key.clone(), record.version);
                    if !b.pending.contains_key(&key) {
                        unsaved::strike(&b.tab, &key);
                    }
                });
                if is_open() {
                    self.saved.set(Saved::Stands);
                }
                self.list(&key, record);
                tell_others();
            }
            Ok(Became::Theirs(record)) if is_open() => {
                self.theirs.set(Some(record));
                self.saved.set(Saved::Theirs);
            }
            // Another tab has changed or spoilt what stands there, and nobody looks at it here any more, or
            // nobody can: it is left, and this is another job.
            Ok(became) => {
                let own = browser::new_key();
                behind(|b| unsaved::strike(&b.tab, &key));
                if is_open() {
                    self.open_is(Some(own.clone()), 0);
                }
                let text = if matches!(became, Became::Theirs(_)) { self.under_another_name(&text) } else { text };
                behind(|b| {
                    unsaved::note(&b.tab, &Unsaved { job: own.clone(), on: 0, text: text.clone() });
                    b.pending.insert(own, text)
                });
            }
            Err(why) => {
                let mut record = Record::new(&text, browser::now());
                record.version = on + 1;
                self.list(&key, record);
                self.saved.set(Saved::Not(why));
            }
        }
    }

    /// Looks at what others have saved.
    async fn look(self, hands: Hands) {
        let Ok(database) = database() else { return };
        let Ok(all) = database.all().await else { return };
        let all = ordered(all);
        let mine = self.open.get_untracked();
        let theirs = all.iter().find(|k| Some(&k.key) == mine.as_ref()).and_then(|k| k.what.as_ref().ok()).cloned();
        self.jobs.set(all);
        let (Some(key), Some(theirs)) = (mine, theirs) else { return };
        let newer = behind(|b| !b.busy && b.versions.get(&key).is_some_and(|&seen| seen < theirs.version));
        if newer != Some(true) {
            return;
        }
        if hands.bench.with_untracked(|b| b.text() == theirs.text) {
            behind(|b| b.versions.insert(key, theirs.version));
        } else {
            self.theirs.set(Some(theirs));
        }
    }

    /// What another tab made of the job takes the place of what this one has; undo brings that back.
    pub fn take_theirs(self, hands: Hands) {
        let Some(theirs) = self.theirs.get_untracked() else { return };
        if let Some(key) = self.open.get_untracked() {
            behind(|b| {
                b.pending.remove(&key);
                unsaved::strike(&b.tab, &key);
                b.versions.insert(key, theirs.version);
            });
        }
        self.theirs.set(None);
        self.saved.set(Saved::Stands);
        hands.bench.update(|b| b.change(theirs.text));
    }

    /// What this tab has becomes a job of its own.
    pub fn keep_mine(self, hands: Hands) {
        self.theirs.set(None);
        let text = self.under_another_name(&hands.bench.with_untracked(|b| b.text().to_owned()));
        if let Some(key) = self.open.get_untracked() {
            behind(|b| unsaved::strike(&b.tab, &key));
        }
        self.open_is(Some(browser::new_key()), 0);
        hands.bench.update(|b| b.change(text.clone()));
        self.save(&text);
    }

    fn under_another_name(self, text: &str) -> String {
        match name_of(text) {
            Some(name) => renamed(text, &another_name(&name, &self.names())),
            None => text.to_owned(),
        }
    }

    fn names(self) -> Vec<String> {
        self.jobs
            .with_untracked(|all| all.iter().filter_map(|k| k.what.as_ref().ok()).map(|r| r.name.clone()).collect())
    }

    /// A text that came by link or file: another job beside those that are here, unless it is one of them.
    pub fn came(self, hands: Hands, text: &str, by: &'static str) {
        let parsed = holefast::job::parse(text);
        let Some(job) = parsed.job else {
            let faults = parsed.faults.into_iter().map(|mut fault| {
                if let Some((line, _)) = fault.span.map(|s| s.line_and_column(text)) {
                    fault.message = format!("line {line}: {}", fault.message);
                }
                fault
            });
            self.told.set(Some(Told::NotTaken(by, faults.collect())));
            return;
        };
        let same = self.jobs.with_untracked(|all| {
            let of = |k: &&Kept| k.what.as_ref().is_ok_and(|r| r.text == text && r.removed.is_none());
            all.iter().find(of).map(|k| k.key.clone())
        });
        match same {
            Some(key) => {
                self.open(hands, &key);
                self.told.set(Some(Told::WasHere(job.name)));
            }
            None => {
                self.put_away(hands);
                self.show(hands, browser::new_key(), 0, Bench::new(text));
                self.save(text);
                self.told.set(Some(Told::Came(job.name)));
            }
        }
    }

    /// Opens a job of the list.
    pub fn open(self, hands: Hands, key: &str) {
        if self.open.with_untracked(|open| open.as_deref() == Some(key)) {
            return;
        }
        let record = self.record(key);
        let Some(record) = record else { return };
        self.put_away(hands);
        let was = behind(|b| b.benches.remove(key)).flatten().filter(|bench| bench.text() == record.text);
        self.show(hands, key.to_owned(), record.version, was.unwrap_or_else(|| Bench::new(&record.text)));
        self.saved.set(match database() {
            Ok(_) => Saved::Stands,
            Err(why) => Saved::Not(why),
        });
    }

    fn record(self, key: &str) -> Option<Record> {
        self.jobs.with_untracked(|all| all.iter().find(|k| k.key == key).and_then(|k| k.what.as_ref().ok()).cloned())
    }

    /// The open job's past is kept as long as the page lives.
    fn put_away(self, hands: Hands) {
        // What waits for a word is a job of its own then: it is not given up by opening another.
        if self.saved.with_untracked(|saved| *saved == Saved::Theirs) {
            self.keep_mine(hands);
        }
        self.theirs.set(None);
        if let Some(key) = self.open.get_untracked() {
            let bench = hands.bench.get_untracked();
            behind(|b| b.benches.insert(key, bench));
        }
    }

    fn show(self, hands: Hands, key: String, version: u64, bench: Bench) {
        self.open_is(Some(key), version);
        hands.chosen.set(None);
        hands.trouble.set(None);
        hands.bench.set(bench);
    }

    fn open_is(self, key: Option<String>, version: u64) {
        browser::remember_open(key.as_deref());
        if let Some(key) = &key {
            // What is just being saved may be further than the list.
            behind(|b| {
                let seen = b.versions.entry(key.clone()).or_insert(version);
                *seen = version.max(*seen);
            });
        }
        self.open.set(key);
    }

    /// Another job like this one.
    pub fn duplicate(self, key: &str) {
        let Some(record) = self.record(key) else { return };
        let text = self.under_another_name(&record.text);
        spawn_local(async move {
            let key = browser::new_key();
            match change(&key, 0, &text).await {
                Ok(Became::Stands(record)) => self.list(&key, record),
                Ok(_) => {}
                Err(why) => self.saved.set(Saved::Not(why)),
            }
            tell_others();
        });
    }

    /// Takes a job off the list, or brings it back.
    pub fn remove(self, hands: Hands, key: &str, removed: bool) {
        let Some(record) = self.record(key) else { return };
        if removed && self.open.with_untracked(|open| open.as_deref() == Some(key)) {
            let next = self.jobs.with_untracked(|all| {
                let other = |k: &&Kept| k.key != key && k.what.as_ref().is_ok_and(|r| r.removed.is_none());
                all.iter().find(other).map(|k| k.key.clone())
            });
            match next {
                Some(next) => self.open(hands, &next),
                None => {
                    self.put_away(hands);
                    self.open_is(None, 0);
                    hands.chosen.set(None);
                    hands.bench.set(Bench::new(EXAMPLE));
                    self.saved.set(Saved::Fresh);
                }
            }
        }
        self.told.set(removed.then(|| Told::Removed(key.to_owned(), record.name.clone())));
        self.amend(key, move |record| record.removed = removed.then(browser::now));
    }

    /// Takes what stands under a key away for good.
    pub fn forget(self, key: &str) {
        let key = key.to_owned();
        spawn_local(async move {
            if let Ok(database) = database()
                && let Err(why) = database.forget(&key).await
            {
                self.saved.set(Saved::Not(why));
                return;
            }
            self.jobs.update(|all| all.retain(|k| k.key != key));
            tell_others();
        });
    }

    /// The open job was handed on as a file or a link.
    pub fn copied(self) {
        let Some(key) = self.open.get_untracked() else { return };
        self.amend(&key, |record| record.copied = Some((record.version, browser::now())));
    }

    /// Changes what is known of a job, not its text.
    fn amend(self, key: &str, work: impl FnOnce(&mut Record) + 'static) {
        let key = key.to_owned();
        let listed = self.record(&key);
        spawn_local(async move {
            let amended = |there: Option<&str>| match there.map(Record::read) {
                Some(Ok(mut record)) => {
                    work(&mut record);
                    (Some(record.write()), Some(record))
                }
                Some(Err(_)) => (None, None),
                None => (
                    None,
                    listed.map(|mut record| {
                        work(&mut record);
                        record
                    }),
                ),
            };
            let outcome = match database() {
                Ok(database) => database.change(&key, amended).await,
                Err(_) => Ok(amended(None).1),
            };
            match outcome {
                Ok(Some(record)) => self.list(&key, record),
                Ok(None) => {}
                Err(why) => self.saved.set(Saved::Not(why)),
            }
            tell_others();
        });
    }

    fn list(self, key: &str, record: Record) {
        self.jobs.update(|all| {
            all.retain(|k| k.key != key);
            all.push(Kept { key: key.to_owned(), what: Ok(record) });
            sort(all);
        });
    }

    /// Asks the browser to keep the store when the device runs short of room.
    fn ask_to_last(self) {
        spawn_local(async move {
            self.lasting.set(browser::persist().await);
        });
    }
}

async fn change(key: &str, on: u64, text: &str) -> Result<Became, Why> {
    let now = browser::now();
    database()?.change(key, |there| decide(there, on, text, now)).await
}

fn tell_others() {
    behind(|b| {
        if let Some(channel) = &b.channel {
            // Nobody there to hear it is no harm.
            let _ = channel.post_message(&"saved".into());
        }
    });
}

fn ordered(all: Vec<(String, String)>) -> Vec<Kept> {
    let mut all: Vec<Kept> = all.into_iter().map(|(key, stored)| Kept::new(key, stored)).collect();
    sort(&mut all);
    all
}

/// Last changed first; what cannot be read at the end.
fn sort(all: &mut [Kept]) {
    let changed = |kept: &Kept| kept.what.as_ref().map_or(f64::NEG_INFINITY, |r| r.changed);
    all.sort_by(|a, b| changed(b).total_cmp(&changed(a)).then_with(|| a.key.cmp(&b.key)));
}
