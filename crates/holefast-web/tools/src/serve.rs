//! Serves a folder on this machine alone: the loopback address, plain files, nothing else.

use std::path::{Component, Path, PathBuf};
use std::sync::{Arc, Mutex};

use tiny_http::{Header, Response, Server};

/// A server that runs until it is dropped.
pub struct Served {
    server: Mutex<Option<Arc<Server>>>,
    asked: Arc<Mutex<Vec<String>>>,
    /// What it serves.
    pub folder: PathBuf,
    /// Its address, `http://127.0.0.1:PORT/`.
    pub address: String,
}

impl Served {
    /// Starts serving; port 0 takes a free one.
    pub fn start(folder: &Path, port: u16) -> Result<Served, String> {
        let server = Server::http(("127.0.0.1", port)).map_err(|e| format!("cannot serve on port {port}: {e}"))?;
        let server = Arc::new(server);
        let port = server.server_addr().to_ip().map_or(port, |a| a.port());
        let (at_work, folder, served) = (Arc::clone(&server), folder.to_owned(), folder.to_owned());
        let asked = Arc::new(Mutex::new(Vec::new()));
        let noted = Arc::clone(&asked);
        std::thread::spawn(move || {
            for request in at_work.incoming_requests() {
                if let Ok(mut noted) = noted.lock() {
                    noted.push(request.url().to_owned());
                }
                let answer = file_of(&folder, request.url()).and_then(|path| Some((std::fs::read(&path).ok()?, path)));
                // A browser that has gone away is no fault.
                let _ = match answer {
                    Some((bytes, path)) => request.respond(Response::from_data(bytes).with_header(kind(&path))),
                    None => request.respond(Response::from_string("not here").with_status_code(404)),
                };
            }
        });
        Ok(Served {
            server: Mutex::new(Some(server)),
            asked,
            folder: served,
            address: format!("http://127.0.0.1:{port}/"),
        })
    }

    /// What was asked for so far.
    pub fn asked(&self) -> Vec<String> {
        self.asked.lock().map(|asked| asked.clone()).unwrap_or_default()
    }

    /// Stops serving, as a network that is gone: who asks is refused at once, not left waiting.
    pub fn stop(&self) {
        if let Some(server) = self.server.lock().ok().and_then(|mut server| server.take()) {
            server.unblock();
        }
    }
}

/// Serves until it is stopped from outside.
pub fn forever(folder: &Path) -> Result<(), String> {
    // Any free port would do; a fixed one keeps what the browser saved from one start to the next.
    const PORT: u16 = 8096;
    let served = Served::start(folder, PORT)?;
    println!("{} (this machine only; stop with Ctrl-C)", served.address);
    loop {
        std::thread::park();
    }
}

/// The file of an address, inside the folder.
fn file_of(folder: &Path, url: &str) -> Option<PathBuf> {
    let path = url.split(['?', '#']).next()?.trim_start_matches('/');
    let path = Path::new(if path.is_empty() { "index.html" } else { path });
    let inside = path.components().all(|c| matches!(c, Component::Normal(_)));
    inside.then(|| folder.join(path)).filter(|p| p.is_file())
}

fn kind(path: &Path) -> Header {
    let kind = match path.extension().and_then(|e| e.to_str()) {
        Some("html") => "text/html; charset=utf-8",
        Some("js") => "text/javascript; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("wasm") => "application/wasm",
        Some("png") => "image/png",
        Some("svg") => "image/svg+xml",
        Some("webmanifest") => "application/manifest+json",
        _ => "application/octet-stream",
    };
    Header { field: "Content-Type".parse().expect("a header's name"), value: kind.parse().expect("plain letters") }
}
