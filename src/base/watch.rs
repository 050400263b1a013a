//! How long work tells its progress and hears that it should stop.

/// Someone who follows long work. Called from several threads.
pub trait Watch: Sync {
    /// `stage` is a few words for a person; `done` runs from 0 to 1.
    fn progress(&self, _stage: &'static str, _done: f64) {}

    /// True when the work should end early; asked often.
    fn stop(&self) -> bool {
        false
    }

    /// `Err(Stopped)` when the work should end early.
    fn check(&self) -> Result<(), Stopped> {
        if self.stop() { Err(Stopped) } else { Ok(()) }
    }
}

/// The work was told to stop.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("stopped: the time or size allowed is used up")]
pub struct Stopped;

/// Nobody follows; the work runs to its end.
pub struct Unwatched;

impl Watch for Unwatched {}
