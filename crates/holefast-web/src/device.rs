//! What the page asks of the device: its store, its files, its clock of events. All of it may be
//! refused; then the answer says so and the page goes on.

use wasm_bindgen::JsCast as _;
use wasm_bindgen::JsValue;

/// Under this name the job stands in the device's store.
const JOB: &str = "holefast job 1";

fn store() -> Option<web_sys::Storage> {
    web_sys::window()?.local_storage().ok()?
}

/// The job that was saved on this device.
pub fn saved() -> Option<String> {
    store()?.get_item(JOB).ok()?
}

/// Saves the job on this device; false if the store is full or refused.
pub fn save(text: &str) -> bool {
    store().is_some_and(|store| store.set_item(JOB, text).is_ok())
}

/// Hands a text to the person as a file.
pub fn hand_over(name: &str, text: &str) -> Result<(), JsValue> {
    let window = web_sys::window().ok_or(JsValue::NULL)?;
    let document = window.document().ok_or(JsValue::NULL)?;
    let parts = js_sys::Array::of1(&JsValue::from_str(text));
    let kind = web_sys::BlobPropertyBag::new();
    kind.set_type("application/toml");
    let blob = web_sys::Blob::new_with_str_sequence_and_options(&parts, &kind)?;
    let url = web_sys::Url::create_object_url_with_blob(&blob)?;
    let anchor: web_sys::HtmlAnchorElement = document.create_element("a")?.unchecked_into();
    anchor.set_href(&url);
    anchor.set_download(name);
    anchor.click();
    web_sys::Url::revoke_object_url(&url)
}

/// Puts the keyboard back on an element after it was drawn anew.
pub fn focus(id: &str) {
    let element = web_sys::window().and_then(|w| w.document()).and_then(|d| d.get_element_by_id(id));
    if let Some(element) = element.and_then(|e| e.dyn_into::<web_sys::HtmlElement>().ok()) {
        let _ = element.focus();
    }
}
