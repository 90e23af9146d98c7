//! What the page asks of the device: its store, its files, its clock of events. All of it may be
//! refused; then the answer says so and the page goes on.

use wasm_bindgen::JsCast as _;
use wasm_bindgen::JsValue;
use wasm_bindgen::closure::Closure;

/// The part of the page's address after the `#`, with it.
pub fn fragment() -> String {
    web_sys::window().and_then(|w| w.location().hash().ok()).unwrap_or_default()
}

/// Calls when that part of the address changes, as long as the page lives.
pub fn on_fragment(mut told: impl FnMut(String) + 'static) {
    let heard = Closure::<dyn FnMut()>::new(move || told(fragment()));
    if let Some(window) = web_sys::window() {
        // Without it the places are reached by their links and a reload.
        let _ = window.add_event_listener_with_callback("hashchange", heard.as_ref().unchecked_ref());
    }
    heard.forget();
}

/// Hands a text to the person as a file of this kind.
pub fn hand_over(name: &str, text: &str, sort: &str) -> Result<(), JsValue> {
    let window = web_sys::window().ok_or(JsValue::NULL)?;
    let document = window.document().ok_or(JsValue::NULL)?;
    let parts = js_sys::Array::of1(&JsValue::from_str(text));
    let kind = web_sys::BlobPropertyBag::new();
    kind.set_type(sort);
    let blob = web_sys::Blob::new_with_str_sequence_and_options(&parts, &kind)?;
    let url = web_sys::Url::create_object_url_with_blob(&blob)?;
    let anchor: web_sys::HtmlAnchorElement = document.create_element("a")?.unchecked_into();
    anchor.set_href(&url);
    anchor.set_download(name);
    anchor.click();
    web_sys::Url::revoke_object_url(&url)
}

/// Width of the drawing on this screen, mm of paper: at 96 px to the inch, less what the panel beside
/// it takes on a wide one.
pub fn drawing_width() -> f64 {
    const MM_PER_PX: f64 = 25.4 / 96.0;
    /// As the style sheet has it.
    const WIDE: f64 = 900.0;
    const PANEL: f64 = 400.0;
    const PLACES: f64 = 92.0;
    const GUTTERS: f64 = 20.0;
    let px = web_sys::window().and_then(|w| w.inner_width().ok()).and_then(|w| w.as_f64()).unwrap_or(WIDE);
    let column = if px >= WIDE { px - PANEL - PLACES } else { px };
    // Narrower than a small phone, or wider than a desk, the drawing is scaled.
    ((column - GUTTERS) * MM_PER_PX).clamp(80.0, 300.0)
}

/// Gives the keyboard to an element by its id, once what is being done now is done.
pub fn focus(id: &'static str) {
    later(move || {
        let found = web_sys::window().and_then(|w| w.document()).and_then(|d| d.get_element_by_id(id));
        if let Some(element) = found.and_then(|e| e.dyn_into::<web_sys::HtmlElement>().ok()) {
            // What cannot take it, is hidden: then nobody waits for it.
            let _ = element.focus();
        }
    });
}

/// Calls when all that is being done now is done.
pub fn later(work: impl FnOnce() + 'static) {
    let work = Closure::once_into_js(work);
    if let Some(window) = web_sys::window() {
        // Refused, it is not called: nothing hangs on it but memory.
        let _ = window.set_timeout_with_callback(work.unchecked_ref());
    }
}

/// Notes a moment by this name, for [`measured`].
pub fn mark(name: &str) {
    if let Some(performance) = web_sys::window().and_then(|w| w.performance()) {
        let _ = performance.mark(name);
    }
}

/// Notes how long it is since the moment of that name; the browser's own tools show it.
pub fn measured(name: &str, since: &str) {
    if let Some(performance) = web_sys::window().and_then(|w| w.performance()) {
        let _ = performance.measure_with_start_mark(name, since);
    }
}

/// Brings the top of the page into view.
pub fn to_top() {
    if let Some(window) = web_sys::window() {
        window.scroll_to_with_x_and_y(0.0, 0.0);
    }
}

/// True where the window is as wide as a desk's.
pub fn is_wide() -> bool {
    const WIDE: f64 = 900.0;
    let px = web_sys::window().and_then(|w| w.inner_width().ok()).and_then(|w| w.as_f64());
    px.is_some_and(|px| px >= WIDE)
}
