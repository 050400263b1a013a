//! A bar for long work: on standard error, only on a terminal, and only once half a second has passed.

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::signal;
use crate::base::Watch;

/// Work shorter than this shows no bar.
const PATIENCE: Duration = Duration::from_millis(500);
const STEPS: u64 = 1000;

/// Follows work on the terminal.
pub struct Progress {
    began: Instant,
    wanted: bool,
    shown: AtomicBool,
    bar: ProgressBar,
}

impl Progress {
    /// Follows work that begins now; says nothing at all unless `wanted`.
    pub fn new(wanted: bool) -> Self {
        let bar = ProgressBar::with_draw_target(Some(STEPS), ProgressDrawTarget::hidden());
        if let Ok(style) = ProgressStyle::with_template("{msg:24} {bar:30} {percent:>3} %") {
            bar.set_style(style.progress_chars("━╸ "));
        }
        Self { began: Instant::now(), wanted, shown: AtomicBool::new(false), bar }
    }
}

impl Watch for Progress {
    fn stop(&self) -> bool {
        signal::asked_to_stop()
    }

    fn progress(&self, stage: &'static str, done: f64) {
        if !self.wanted || self.began.elapsed() < PATIENCE {
            return;
        }
        if !self.shown.swap(true, Ordering::Relaxed) {
            self.bar.set_draw_target(ProgressDrawTarget::stderr_with_hz(10));
        }
        self.bar.set_message(stage);
        self.bar.set_position((done.clamp(0.0, 1.0) * STEPS as f64) as u64);
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
