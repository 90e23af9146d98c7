//! The planner in a thread of its own, spoken to in texts.

use js_sys::Function;
use wasm_bindgen::JsCast as _;
use wasm_bindgen::closure::Closure;

use crate::device;

/// A worker; it ends when this is dropped, whatever it is at.
pub struct Thread {
    worker: web_sys::Worker,
    _heard: Closure<dyn FnMut(web_sys::MessageEvent)>,
    _failed: Closure<dyn FnMut(web_sys::Event)>,
}

impl Thread {
    /// Starts one; `heard` gets each answer, `None` where the worker cannot run. `None` where the
    /// browser gives none.
    pub fn start(heard: impl Fn(Option<String>) + Clone + 'static) -> Option<Thread> {
        let options = web_sys::WorkerOptions::new();
        options.set_type(web_sys::WorkerType::Module);
        let worker = web_sys::Worker::new_with_options("./planner-worker.js", &options).ok()?;
        let told = heard.clone();
        let on_heard = Closure::<dyn FnMut(web_sys::MessageEvent)>::new(move |event: web_sys::MessageEvent| {
            told(event.data().as_string());
        });
        let on_failed = Closure::<dyn FnMut(web_sys::Event)>::new(move |_| heard(None));
        worker.set_onmessage(Some(on_heard.as_ref().unchecked_ref::<Function>()));
        worker.set_onerror(Some(on_failed.as_ref().unchecked_ref::<Function>()));
        Some(Thread { worker, _heard: on_heard, _failed: on_failed })
    }

    /// Asks; the answers come one by one. False where the text could not be handed over.
    pub fn ask(&self, text: &str) -> bool {
        self.worker.post_message(&text.into()).is_ok()
    }

    /// Ends it now, so that an answer that is on its way is not heard any more; may be called while
    /// one is heard.
    pub fn end(self) {
        self.hush();
        // What hears is let go of once nothing of it can be running.
        device::later(move || drop(self));
    }

    fn hush(&self) {
        self.worker.set_onmessage(None);
        self.worker.set_onerror(None);
        self.worker.terminate();
    }
}

impl Drop for Thread {
    fn drop(&mut self) {
        self.hush();
    }
}
