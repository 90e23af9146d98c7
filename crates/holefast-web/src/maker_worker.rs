//! The book maker's worker as the page holds it: asked, heard, stopped.

use js_sys::{Array, Object, Reflect, Uint8Array};
use leptos::prelude::*;
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast as _, JsValue};
use web_sys::{
    Blob, BlobPropertyBag, FontFace, FontFaceDescriptors, MessageEvent, Url, Worker, WorkerOptions, WorkerType,
};

use crate::maker::{Book, Heard, Maker, Stage, Told, Why};

/// What the style sheet calls the type of the book's pages.
const FAMILY: &str = "Holefast Sans";

/// The worker's own script.
const SCRIPT: &str = "./book-worker.js";

/// The book maker: what the page knows of it, and the worker while it is at work.
#[derive(Clone, Copy)]
pub struct BookMaker {
    /// What is known.
    pub state: RwSignal<Maker>,
    running: StoredValue<Option<Running>, LocalStorage>,
    /// The document has the type of the pages.
    has_type: StoredValue<bool>,
}

struct Running {
    worker: Worker,
    _heard: Closure<dyn FnMut(MessageEvent)>,
    _failed: Closure<dyn FnMut()>,
}

impl Drop for Running {
    fn drop(&mut self) {
        self.worker.set_onmessage(None);
        self.worker.set_onerror(None);
        self.worker.terminate();
    }
}

impl BookMaker {
    /// A maker that was asked for nothing yet.
    pub fn new() -> BookMaker {
        BookMaker {
            state: RwSignal::new(Maker::default()),
            running: StoredValue::new_local(None),
            has_type: StoredValue::new(false),
        }
    }

    /// Has the book of a job made, on A4 or on Letter.
    pub fn make(self, job: &str, paper: &str) {
        if let Some(before) = self.state.try_update(|maker| maker.ask(job)).flatten() {
            // An address that is no more is as good.
            let _ = Url::revoke_object_url(&before);
        }
        self.start(&[("job", job), ("paper", paper)]);
    }

    /// Stops what is being done.
    pub fn stop(self) {
        self.running.set_value(None);
        self.state.update(Maker::stop);
    }

    fn hear(self, heard: Heard) {
        // Its memory is given back as soon as it is not needed.
        if self.state.try_update(|maker| maker.hear(heard)).unwrap_or(true) {
            self.running.with_value(|running| running.as_ref().map(|r| r.worker.terminate()));
        }
    }

    fn start(self, words: &[(&str, &str)]) {
        self.running.set_value(None);
        let options = WorkerOptions::new();
        options.set_type(WorkerType::Module);
        let Ok(worker) = Worker::new_with_options(SCRIPT, &options) else {
            return self.hear(Heard::Ended(Why::Breakdown));
        };
        let heard = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
            let data = event.data();
            if let Some(heard) = read(&data) {
                if matches!(heard, Heard::Made(_)) && !self.has_type.get_value() {
                    self.has_type.set_value(take_type(&data));
                }
                self.hear(heard);
            }
        });
        let failed = Closure::<dyn FnMut()>::new(move || self.hear(Heard::Ended(Why::Breakdown)));
        worker.set_onmessage(Some(heard.as_ref().unchecked_ref()));
        worker.set_onerror(Some(failed.as_ref().unchecked_ref()));
        let message = Object::new();
        for (key, word) in words {
            // Setting a value on an object of our own does not fail.
            let _ = Reflect::set(&message, &(*key).into(), &(*word).into());
        }
        if worker.post_message(&message).is_err() {
            return self.hear(Heard::Ended(Why::Breakdown));
        }
        self.running.set_value(Some(Running { worker, _heard: heard, _failed: failed }));
    }
}

fn get(of: &JsValue, key: &str) -> JsValue {
    Reflect::get(of, &key.into()).unwrap_or(JsValue::UNDEFINED)
}

/// A message as the worker posts it; `None` for one that is none.
fn read(data: &JsValue) -> Option<Heard> {
    let number = |key| get(data, key).as_f64().unwrap_or(0.0);
    let list = || -> Vec<Told> {
        let listed: Option<Array> = get(data, "list").dyn_into().ok();
        listed.map(|list| list.iter().map(|one| told(&one)).collect()).unwrap_or_default()
    };
    Some(match get(data, "is").as_string()?.as_str() {
        "making" => Heard::Making(Stage::named(&get(data, "stage").as_string()?)?, number("done"), number("of")),
        "remarks" => Heard::Remarks(list()),
        "faults" => Heard::Faults(list()),
        "made" => book(data).map_or(Heard::Ended(Why::Breakdown), Heard::Made),
        "ended" => Heard::Ended(Why::named(&get(data, "why").as_string().unwrap_or_default())),
        _ => return None,
    })
}

fn told(one: &JsValue) -> Told {
    Told {
        // Lines of a text that fits into memory.
        line: get(one, "line").as_f64().map(|line| line as u32),
        message: get(one, "message").as_string().unwrap_or_default(),
        hint: get(one, "hint").as_string(),
    }
}

/// A book as the worker posts it.
fn book(data: &JsValue) -> Option<Book> {
    let list = |key| get(data, key).dyn_into::<Array>().ok();
    let pages = list("pages")?.iter().filter_map(|page| page.as_string()).collect();
    Some(Book { address: address(&get(data, "pdf"))?, pages })
}

/// Has the document take the type that the pages are set in; true if it did. A browser that refuses it shows the
/// pages in another face, each line as wide as it is.
fn take_type(data: &JsValue) -> bool {
    let Ok(faces) = get(data, "faces").dyn_into::<Array>() else { return false };
    let Some(fonts) = web_sys::window().and_then(|window| window.document()).map(|document| document.fonts()) else {
        return false;
    };
    faces.iter().zip(["400", "700"]).all(|(face, weight)| {
        let descriptors = FontFaceDescriptors::new();
        descriptors.set_weight(weight);
        let bytes = face.dyn_ref::<Uint8Array>().map(Uint8Array::buffer);
        let made = bytes.map(|bytes| FontFace::new_with_array_buffer_and_descriptors(FAMILY, &bytes, &descriptors));
        made.and_then(Result::ok).is_some_and(|made| fonts.add(&made).is_ok())
    })
}

/// An address within the page under which the bytes of a PDF can be had.
fn address(pdf: &JsValue) -> Option<String> {
    let bytes: &Uint8Array = pdf.dyn_ref()?;
    let kind = BlobPropertyBag::new();
    kind.set_type("application/pdf");
    let blob = Blob::new_with_u8_array_sequence_and_options(&Array::of1(bytes), &kind).ok()?;
    Url::create_object_url_with_blob(&blob).ok()
}
