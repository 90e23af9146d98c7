//! What is found on the device when the page opens: its jobs, which of them was open, what a page that
//! closed too soon has left, and the one job that earlier versions kept.

use super::change::{Became, decide};
use super::idb::{Database, Why};
use super::record::{Record, another_name, renamed};
use super::{Kept, ordered, unsaved};
use crate::browser;

/// Under this name earlier versions kept their one job.
const ONE_JOB: &str = "holefast job 1";

/// So long a browser may take to open its database, ms; then the page goes on without.
const PATIENCE: i32 = 4_000;

/// What was found.
pub struct Start {
    /// The database, or why there is none.
    pub(super) database: Result<Database, Why>,
    /// Everything in it.
    pub(super) jobs: Vec<Kept>,
    /// The job that is opened.
    pub(super) open: Option<String>,
    /// Whether the store lasts.
    pub(super) lasting: Option<bool>,
    /// So many jobs were found that a page had left unsaved.
    pub(super) found: usize,
    /// The name of this page among others.
    pub(super) tab: String,
}

impl Start {
    /// Looks.
    pub async fn look() -> Start {
        let tab = browser::new_key();
        let database = browser::within(PATIENCE, Database::open()).await.unwrap_or(Err(Why::Refused));
        let (mut jobs, mut found) = (Vec::new(), 0);
        let mut outcome = database.clone();
        if let Ok(database) = &database {
            match fetched(database, &tab).await {
                Ok((all, n)) => (jobs, found) = (all, n),
                Err(why) => outcome = Err(why),
            }
        }
        let can_open =
            |key: &String| jobs.iter().any(|k| k.key == *key && k.what.as_ref().is_ok_and(|r| r.removed.is_none()));
        let latest = || jobs.iter().find(|k| can_open(&k.key)).map(|k| k.key.clone());
        let open = browser::was_open().into_iter().find(can_open).or_else(latest);
        Start { database: outcome, jobs, open, lasting: browser::persisted().await, found, tab }
    }
}

async fn fetched(database: &Database, tab: &str) -> Result<(Vec<Kept>, usize), Why> {
    let mut found = 0;
    let now = browser::now();
    if let Some(text) = unsaved::store().and_then(|s| s.get_item(ONE_JOB).ok()?) {
        add(database, &text, now).await?;
        browser::forget_item(ONE_JOB);
    }
    for (place, change) in unsaved::left(tab) {
        match database.change(&change.job, |there| decide(there, change.on, &change.text, now)).await? {
            Became::Stands(_) => {}
            Became::Theirs(theirs) => {
                let name = another_name(&theirs.name, &[]);
                add(database, &renamed(&change.text, &name), now).await?;
                found += 1;
            }
            Became::Broken => {
                add(database, &change.text, now).await?;
                found += 1;
            }
        }
        browser::forget_item(&place);
    }
    Ok((ordered(database.all().await?), found))
}

async fn add(database: &Database, text: &str, now: f64) -> Result<(), Why> {
    let record = Record::new(text, now).write();
    database.change(&browser::new_key(), |_| (Some(record), ())).await
}
