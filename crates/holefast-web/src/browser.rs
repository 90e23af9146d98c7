//! What jobs, links and updates ask of the browser: names, times, promises, the page's own address. All
//! of it may be refused; then the answer says so.

use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast as _, JsValue};
use wasm_bindgen_futures::JsFuture;

use crate::shelf::Moment;

/// Under this name stands which job was open: in this tab, and in the last one.
const OPEN: &str = "holefast open";

fn window() -> Option<web_sys::Window> {
    web_sys::window()
}

/// A key that nobody has: time and chance.
pub fn new_key() -> String {
    const SIXTEEN: u32 = 1 << 16;
    let chance = || (js_sys::Math::random() * f64::from(SIXTEEN)) as u32;
    format!("{:x}-{:04x}{:04x}", now() as u64, chance(), chance())
}

/// Now, ms since 1970.
pub fn now() -> f64 {
    js_sys::Date::now()
}

/// A time as this device's calendar and clock have it.
pub fn moment(ms: f64) -> Moment {
    let date = js_sys::Date::new(&JsValue::from_f64(ms));
    Moment {
        day: [date.get_full_year(), date.get_month() + 1, date.get_date()],
        time: [date.get_hours(), date.get_minutes()],
    }
}

/// What comes of a wait, if it comes within so many ms.
pub async fn within<T>(ms: i32, wait: impl Future<Output = T>) -> Option<T> {
    let bell = js_sys::Promise::new(&mut |ring, _| {
        if let Some(window) = window() {
            let _ = window.set_timeout_with_callback_and_timeout_and_arguments_0(&ring, ms);
        }
    });
    let (mut wait, mut bell) = (Box::pin(wait), Box::pin(JsFuture::from(bell)));
    std::future::poll_fn(move |context| {
        use std::task::Poll;
        if let Poll::Ready(came) = wait.as_mut().poll(context) {
            return Poll::Ready(Some(came));
        }
        bell.as_mut().poll(context).map(|_| None)
    })
    .await
}

fn storage() -> Option<web_sys::StorageManager> {
    let navigator = window()?.navigator();
    // Absent where the page came without encryption.
    let storage = js_sys::Reflect::get(&navigator, &"storage".into()).ok()?;
    storage.dyn_into().ok()
}

/// Whether the browser keeps this page's store when the device runs short of room; `None` where it does
/// not say.
pub async fn persisted() -> Option<bool> {
    JsFuture::from(storage()?.persisted().ok()?).await.ok()?.as_bool()
}

/// Asks it to.
pub async fn persist() -> Option<bool> {
    JsFuture::from(storage()?.persist().ok()?).await.ok()?.as_bool()
}

/// Notes which job is open.
pub fn remember_open(key: Option<&str>) {
    for store in stores() {
        // Refused, the job changed last is opened the next time.
        let _ = match key {
            Some(key) => store.set_item(OPEN, key),
            None => store.remove_item(OPEN),
        };
    }
}

/// Which jobs were open: in this tab, in the last one.
pub fn was_open() -> Vec<String> {
    stores().into_iter().filter_map(|store| store.get_item(OPEN).ok()?).collect()
}

fn stores() -> Vec<web_sys::Storage> {
    let Some(window) = window() else { return Vec::new() };
    [window.session_storage(), window.local_storage()].into_iter().filter_map(|s| s.ok()?).collect()
}

/// Takes a name out of the simple store.
pub fn forget_item(name: &str) {
    if let Some(store) = window().and_then(|w| w.local_storage().ok()?) {
        let _ = store.remove_item(name);
    }
}

/// The page's own address, without what stands behind its #.
pub fn page_address() -> String {
    let address = window().and_then(|w| w.location().href().ok()).unwrap_or_default();
    address.split('#').next().unwrap_or_default().to_owned()
}

/// True if that address leads nowhere from another device.
pub fn is_here_only() -> bool {
    let host = window().and_then(|w| w.location().hostname().ok()).unwrap_or_default();
    matches!(host.as_str(), "localhost" | "127.0.0.1" | "[::1]" | "")
}

/// Puts another fragment into the address, without a step to go back to.
pub fn replace_fragment(fragment: &str) {
    let history = window().and_then(|w| w.history().ok());
    if let Some(history) = history {
        // Left standing, the link is read again at a reload, which finds the job here already.
        let _ = history.replace_state_with_url(&JsValue::NULL, "", Some(&format!("#{fragment}")));
    }
}

/// Puts a text into the clipboard; false where the browser does not let the page.
pub async fn copy(text: &str) -> bool {
    let Some(window) = window() else { return false };
    let clipboard = js_sys::Reflect::get(&window.navigator(), &"clipboard".into()).ok();
    let Some(clipboard) = clipboard.and_then(|c| c.dyn_into::<web_sys::Clipboard>().ok()) else { return false };
    JsFuture::from(clipboard.write_text(text)).await.is_ok()
}

/// A newer version of the page: told when one lies ready, and taken when it is asked for.
#[derive(Clone, Debug, Default)]
pub struct Newer {
    registration: Option<web_sys::ServiceWorkerRegistration>,
}

impl Newer {
    /// Listens; `ready` is called when a newer version lies ready, `taken` when it took this page over.
    pub fn listen(ready: impl Fn(Newer) + Clone + 'static, taken: impl Fn() + 'static) {
        wasm_bindgen_futures::spawn_local(async move {
            let Some(workers) = workers() else { return };
            let Ok(wait) = workers.ready() else { return };
            let Ok(registration) = JsFuture::from(wait).await else { return };
            let Ok(registration) = registration.dyn_into::<web_sys::ServiceWorkerRegistration>() else { return };
            // The first worker of a first visit takes nothing over from another.
            let mut had_one = workers.controller().is_some();
            let over = Closure::<dyn FnMut()>::new(move || {
                if std::mem::replace(&mut had_one, true) {
                    taken();
                }
            });
            workers.set_oncontrollerchange(Some(over.as_ref().unchecked_ref()));
            over.forget();
            let newer = Newer { registration: Some(registration.clone()) };
            if registration.waiting().is_some() {
                ready(newer.clone());
            }
            let found = Closure::<dyn FnMut()>::new(move || {
                let Some(registration) = newer.registration.clone() else { return };
                let Some(coming) = registration.installing() else { return };
                let (newer, ready) = (newer.clone(), ready.clone());
                let state = Closure::<dyn FnMut()>::new(move || {
                    // Ready, and an older one is at work: else it is the first.
                    if registration.waiting().is_some() && registration.active().is_some() {
                        ready(newer.clone());
                    }
                });
                coming.set_onstatechange(Some(state.as_ref().unchecked_ref()));
                state.forget();
            });
            registration.set_onupdatefound(Some(found.as_ref().unchecked_ref()));
            found.forget();
        });
    }

    /// Takes it: the page is opened anew once it is at work.
    pub fn take(&self) {
        if let Some(waiting) = self.registration.as_ref().and_then(|r| r.waiting()) {
            // Gone meanwhile, it is at work already, and the page is told so.
            let _ = waiting.post_message(&"take".into());
        }
    }
}

fn workers() -> Option<web_sys::ServiceWorkerContainer> {
    let navigator = window()?.navigator();
    js_sys::Reflect::get(&navigator, &"serviceWorker".into()).ok()?.dyn_into().ok()
}

/// Opens the page anew.
pub fn reload() {
    if let Some(window) = window() {
        // Refused, the newer version comes with the next visit.
        let _ = window.location().reload();
    }
}
