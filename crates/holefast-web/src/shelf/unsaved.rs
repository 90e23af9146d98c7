//! What was changed and is not yet in the database, kept in the browser's simple store, which takes it in
//! the same breath: a page that dies between a touch and its saving loses nothing. Pure but for the store
//! that is handed in.

use serde::{Deserialize, Serialize};

/// Before the name of a tab.
const MARK: &str = "holefast unsaved ";

/// A change on its way into the database.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Unsaved {
    /// The job's key.
    pub job: String,
    /// The version that it was made on.
    pub on: u64,
    /// Its text.
    pub text: String,
}

/// The simple store of this page; `None` where the browser has none for it.
pub fn store() -> Option<web_sys::Storage> {
    web_sys::window()?.local_storage().ok()?
}

/// Notes a change before it is saved. Refused, the database alone keeps it.
pub fn note(tab: &str, change: &Unsaved) {
    if let (Some(store), Ok(written)) = (store(), serde_json::to_string(change)) {
        let _ = store.set_item(&format!("{MARK}{tab} {}", change.job), &written);
    }
}

/// What this tab has changed of a job is in the database.
pub fn strike(tab: &str, job: &str) {
    if let Some(store) = store() {
        let _ = store.remove_item(&format!("{MARK}{tab} {job}"));
    }
}

/// Changes that other tabs left, each with the key it stands under. What cannot be read stays where it is.
pub fn left(tab: &str) -> Vec<(String, Unsaved)> {
    let Some(store) = store() else { return Vec::new() };
    let keys: Vec<String> = (0..store.length().unwrap_or(0)).filter_map(|i| store.key(i).ok()?).collect();
    keys.into_iter()
        .filter(|key| key.strip_prefix(MARK).is_some_and(|of| !of.starts_with(tab)))
        .filter_map(|key| {
            let written = store.get_item(&key).ok()??;
            serde_json::from_str(&written).ok().map(|change| (key, change))
        })
        .collect()
}
