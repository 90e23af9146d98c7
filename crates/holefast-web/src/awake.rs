//! A screen that stays on at the bench, as far as the browser allows it. The lock is let go by the
//! browser whenever the page is put aside, so it is asked for again when it comes back.

use std::cell::RefCell;
use std::rc::Rc;

use js_sys::{Function, Promise, Reflect};
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast as _, JsValue};

type Lock = Rc<RefCell<Option<JsValue>>>;

/// Keeps the screen on until it is dropped.
pub struct Awake {
    lock: Lock,
    seen: Closure<dyn FnMut()>,
}

impl Awake {
    /// Asks for it; `told` hears whether the browser agrees.
    pub fn ask(told: impl Fn(bool) + Clone + 'static) -> Awake {
        let lock = Lock::default();
        request(&lock, told.clone());
        let again = Rc::clone(&lock);
        let seen = Closure::<dyn FnMut()>::new(move || {
            if web_sys::window().and_then(|w| w.document()).is_some_and(|d| !d.hidden()) {
                request(&again, told.clone());
            }
        });
        if let Some(document) = web_sys::window().and_then(|w| w.document()) {
            // Without it the screen may go dark after the page was put aside.
            let _ = document.add_event_listener_with_callback("visibilitychange", seen.as_ref().unchecked_ref());
        }
        Awake { lock, seen }
    }
}

impl Drop for Awake {
    fn drop(&mut self) {
        if let Some(document) = web_sys::window().and_then(|w| w.document()) {
            let _ =
                document.remove_event_listener_with_callback("visibilitychange", self.seen.as_ref().unchecked_ref());
        }
        if let Some(lock) = self.lock.borrow_mut().take() {
            // Let go already is as good.
            let _ = call(&lock, "release", &[]);
        }
    }
}

fn request(lock: &Lock, told: impl Fn(bool) + 'static) {
    let asked = web_sys::window()
        .and_then(|w| Reflect::get(&w, &"navigator".into()).ok())
        .and_then(|n| Reflect::get(&n, &"wakeLock".into()).ok())
        .filter(|w| !w.is_undefined())
        .and_then(|wake| call(&wake, "request", &["screen".into()]).ok())
        .and_then(|promise| promise.dyn_into::<Promise>().ok());
    let Some(promise) = asked else {
        told(false);
        return;
    };
    let lock = Rc::downgrade(lock);
    wasm_bindgen_futures::spawn_local(async move {
        let got = wasm_bindgen_futures::JsFuture::from(promise).await;
        told(got.is_ok());
        match (got, lock.upgrade()) {
            (Ok(got), Some(lock)) => *lock.borrow_mut() = Some(got),
            // The bench was left meanwhile.
            (Ok(got), None) => drop(call(&got, "release", &[])),
            (Err(_), _) => {}
        }
    });
}

fn call(of: &JsValue, name: &str, arguments: &[JsValue]) -> Result<JsValue, JsValue> {
    let function: Function = Reflect::get(of, &name.into())?.dyn_into()?;
    function.apply(of, &arguments.iter().collect())
}
