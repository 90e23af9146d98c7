//! The browser's database: one store, a text for every job, and a change of one of them that is whole or
//! not made at all.
//!
//! Why this and not the simpler store of keys and texts: there, what was saved reaches the disk seconds
//! later (a battery that dies takes it along), some 5 MB hold everything, and two tabs can write across
//! each other. Here a transaction is asked to be strict: it is done once it is on the disk.

use std::cell::RefCell;
use std::rc::Rc;

use js_sys::{Array, Function, Object, Promise, Reflect};
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast as _, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{IdbDatabase, IdbObjectStore, IdbOpenDbRequest, IdbRequest, IdbTransaction};

/// Name of the database, and of its store.
const DATABASE: &str = "holefast";
const JOBS: &str = "jobs";
const VERSION: u32 = 1;

/// Why something could not be stored.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Why {
    /// No room left.
    Full,
    /// The browser has no store for this page, or does not let it in.
    Refused,
    /// Something else, in the browser's words.
    Other(String),
}

impl Why {
    fn of(error: &JsValue) -> Why {
        let named = |key: &str| Reflect::get(error, &key.into()).ok().and_then(|v| v.as_string()).unwrap_or_default();
        match named("name").as_str() {
            "QuotaExceededError" => Why::Full,
            "SecurityError" | "InvalidStateError" | "TypeError" => Why::Refused,
            name => Why::Other(format!("{name} {}", named("message"))),
        }
    }
}

/// The database, opened again if the browser closed it.
#[derive(Clone)]
pub struct Database {
    opened: Rc<RefCell<IdbDatabase>>,
}

impl Database {
    /// Opens it, and makes it on the first visit.
    pub async fn open() -> Result<Database, Why> {
        opened().await.map(|database| Database { opened: Rc::new(RefCell::new(database)) })
    }

    /// Everything stored: keys and texts. What is no text comes as what JSON makes of it.
    pub async fn all(&self) -> Result<Vec<(String, String)>, Why> {
        let (transaction, store) = self.transaction("readonly").await?;
        let keys = store.get_all_keys().map_err(|e| Why::of(&e))?;
        let values = store.get_all().map_err(|e| Why::of(&e))?;
        let done = done(&transaction);
        let keys = Array::from(&answer(&keys).await?);
        let values = Array::from(&answer(&values).await?);
        done.await?;
        let text = |value: JsValue| {
            value
                .as_string()
                .unwrap_or_else(|| js_sys::JSON::stringify(&value).ok().and_then(|s| s.as_string()).unwrap_or_default())
        };
        Ok(keys.iter().map(text).zip(values.iter().map(text)).collect())
    }

    /// Changes what stands under a key in one go: `decide` is given what is there and says what is to be
    /// there, or `None` to leave it.
    pub async fn change<T>(
        &self,
        key: &str,
        decide: impl FnOnce(Option<&str>) -> (Option<String>, T),
    ) -> Result<T, Why> {
        let (transaction, store) = self.transaction("readwrite").await?;
        let asked = store.get(&key.into()).map_err(|e| Why::of(&e))?;
        let done = done(&transaction);
        let there = answer(&asked).await?;
        let (new, outcome) = decide(there.as_string().as_deref());
        if let Some(new) = new {
            let _request = store.put_with_key(&new.into(), &key.into()).map_err(|e| Why::of(&e))?;
        }
        // Not waited for by the browser: the page may be gone by then. Older browsers commit by themselves.
        #[expect(deprecated, reason = "by the crate that names it, for its being new once; every browser has it")]
        let _ = transaction.commit();
        done.await?;
        Ok(outcome)
    }

    /// Takes a key away for good.
    pub async fn forget(&self, key: &str) -> Result<(), Why> {
        let (transaction, store) = self.transaction("readwrite").await?;
        let _request = store.delete(&key.into()).map_err(|e| Why::of(&e))?;
        done(&transaction).await
    }

    async fn transaction(&self, mode: &str) -> Result<(IdbTransaction, IdbObjectStore), Why> {
        let database = self.opened.borrow().clone();
        let begun = match begin(&database, mode) {
            Ok(begun) => Ok(begun),
            // Closed by the browser, as when its data were cleared: once more, on a new one.
            Err(_) => {
                let again = opened().await?;
                let begun = begin(&again, mode);
                self.opened.replace(again);
                begun
            }
        };
        begun.map_err(|e| Why::of(&e))
    }
}

/// A transaction that is done when it is on the disk, and its store. The crate that names the browser's
/// functions has this option behind a switch for what is not settled; it is asked for by its name.
fn begin(database: &IdbDatabase, mode: &str) -> Result<(IdbTransaction, IdbObjectStore), JsValue> {
    let options = Object::new();
    Reflect::set(&options, &"durability".into(), &"strict".into())?;
    let begin: Function = Reflect::get(database, &"transaction".into())?.dyn_into()?;
    let transaction: IdbTransaction = begin.call3(database, &JOBS.into(), &mode.into(), &options)?.dyn_into()?;
    let store = transaction.object_store(JOBS)?;
    Ok((transaction, store))
}

async fn opened() -> Result<IdbDatabase, Why> {
    let factory = web_sys::window().and_then(|w| w.indexed_db().ok().flatten()).ok_or(Why::Refused)?;
    let request: IdbOpenDbRequest = factory.open_with_u32(DATABASE, VERSION).map_err(|e| Why::of(&e))?;
    let asked = request.clone();
    let make = Closure::once_into_js(move || {
        if let Ok(database) = asked.result().and_then(|r| r.dyn_into::<IdbDatabase>()) {
            // Refused, opening fails and says so.
            let _ = database.create_object_store(JOBS);
        }
    });
    request.set_onupgradeneeded(Some(make.unchecked_ref()));
    let database: IdbDatabase = answer(&request).await?.dyn_into().map_err(|_| Why::Other("no database".to_owned()))?;
    // A newer page that wants to change the store need not wait for this one.
    let open = database.clone();
    let close = Closure::<dyn FnMut()>::new(move || open.close());
    database.set_onversionchange(Some(close.as_ref().unchecked_ref()));
    close.forget();
    Ok(database)
}

/// What a request answers.
async fn answer(request: &IdbRequest) -> Result<JsValue, Why> {
    let asked = request.clone();
    let promise = Promise::new(&mut |well, badly| {
        let answered = asked.clone();
        let succeeded = Closure::once_into_js(move || {
            let _ = well.call1(&JsValue::NULL, &answered.result().unwrap_or_default());
        });
        asked.set_onsuccess(Some(succeeded.unchecked_ref()));
        let failed = asked.clone();
        let refused = Closure::once_into_js(move || {
            let _ = badly.call1(&JsValue::NULL, &error_of(failed.error()));
        });
        asked.set_onerror(Some(refused.unchecked_ref()));
    });
    JsFuture::from(promise).await.map_err(|e| Why::of(&e))
}

/// Waits until a transaction is on the disk, or is refused. Listens from the moment it is called.
fn done(transaction: &IdbTransaction) -> impl Future<Output = Result<(), Why>> + use<> {
    let transaction = transaction.clone();
    let promise = Promise::new(&mut |well, badly| {
        let complete = Closure::once_into_js(move || {
            let _ = well.call0(&JsValue::NULL);
        });
        transaction.set_oncomplete(Some(complete.unchecked_ref()));
        let aborted = transaction.clone();
        let abort = Closure::once_into_js(move || {
            let _ = badly.call1(&JsValue::NULL, &error_of(Ok(aborted.error())));
        });
        transaction.set_onabort(Some(abort.unchecked_ref()));
    });
    async move { JsFuture::from(promise).await.map(|_| ()).map_err(|e| Why::of(&e)) }
}

fn error_of(error: Result<Option<web_sys::DomException>, JsValue>) -> JsValue {
    match error {
        Ok(Some(error)) => error.into(),
        Ok(None) => "stopped".into(),
        Err(other) => other,
    }
}
