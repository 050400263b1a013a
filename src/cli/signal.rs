//! Ctrl-C during long work: the work is told to stop, and the session goes on.

use std::sync::atomic::{AtomicBool, Ordering};

use super::outcome::{Complaint, Stop};

/// True from Ctrl-C until the next line.
static STOP: AtomicBool = AtomicBool::new(false);

/// What a shell reports of a program that Ctrl-C has ended.
const ENDED_BY_CTRL_C: i32 = 130;

/// From now on Ctrl-C asks the work to stop. A second one, when the first was not heard, ends the program.
pub fn listen() -> Result<(), Stop> {
    ctrlc::set_handler(|| {
        if STOP.swap(true, Ordering::Relaxed) {
            std::process::exit(ENDED_BY_CTRL_C);
        }
    })
    .map_err(|fault| Complaint::new(format!("Ctrl-C cannot be listened to: {fault}"), "").into())
}

/// True when the work should stop.
pub fn asked_to_stop() -> bool {
    STOP.load(Ordering::Relaxed)
}

/// Whether the work was asked to stop; the next work is not.
pub fn settle() -> bool {
    STOP.swap(false, Ordering::Relaxed)
}
