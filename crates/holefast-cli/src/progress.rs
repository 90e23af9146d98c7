//! Progress of long work: shown on a terminal, silent everywhere else.

use std::time::Duration;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// Progress that may be nothing at all.
pub struct Progress(ProgressBar);

impl Progress {
    /// Work of so many steps.
    pub fn of(steps: u64, what: &'static str) -> Progress {
        // the target itself finds out whether standard error is a terminal
        let bar = ProgressBar::with_draw_target(Some(steps), ProgressDrawTarget::stderr());
        bar.set_style(style("{msg} {wide_bar} {percent} %, {eta} left"));
        bar.set_message(what);
        Progress(bar)
    }

    /// Work of unknown length.
    pub fn of_some(what: &'static str) -> Progress {
        let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr());
        bar.set_style(style("{spinner} {msg}"));
        bar.set_message(what);
        bar.enable_steady_tick(Duration::from_millis(120));
        Progress(bar)
    }

    /// So many steps more are done.
    pub fn step(&self, steps: u64) {
        self.0.inc(steps);
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.0.finish_and_clear();
    }
}

fn style(template: &str) -> ProgressStyle {
    ProgressStyle::with_template(template).unwrap_or_else(|_| ProgressStyle::default_bar())
}
