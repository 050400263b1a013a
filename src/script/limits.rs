//! What a run may use. Each limit is stated here, holds alike in every build, and can be set by a host.

use std::sync::Arc;
use std::time::Duration;

/// A clock handed in by the host: time since any fixed moment. The core has none of its own.
pub type Clock = Arc<dyn Fn() -> Duration + Send + Sync>;

/// What a run may use.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Steps of the script: about two million a second.
    pub operations: u64,
    /// Calls within calls.
    pub calls: usize,
    /// Brackets within brackets.
    pub nesting: usize,
    /// Bytes of one text.
    pub text: usize,
    /// Items of one list, lists within it included.
    pub list: usize,
    /// Entries of one map, maps within it included.
    pub map: usize,
    /// Names in use at a time.
    pub names: usize,
    /// Functions of one script.
    pub functions: usize,
    /// Modules imported.
    pub modules: usize,
    /// Pieces to make.
    pub pieces: usize,
    /// Steps of all forms built: signs and words that give a form, each counted once.
    pub steps: usize,
    /// Triangles of one mesh.
    pub triangles: usize,
    /// Time on the host's clock; not kept where the host hands in no clock.
    pub time: Duration,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            operations: 20_000_000,
            calls: 48,
            nesting: 100,
            text: 1_000_000,
            list: 200_000,
            map: 10_000,
            names: 2_000,
            functions: 2_000,
            modules: 100,
            pieces: 200,
            steps: 1_000_000,
            triangles: 20_000_000,
            time: Duration::from_secs(120),
        }
    }
}
