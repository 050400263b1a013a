//! The engine: limits, registration, standard library, positions. The only home of `rhai`.

mod arithmetic;
mod convert;
mod desk;
mod engine;
mod faults;
mod head;
mod limits;
mod modules;
mod reading;
mod session;
mod tokens;
#[cfg(test)]
mod traps;

pub use engine::{Log, Ran, Runner, Setting};
pub use head::Head;
pub use limits::{Clock, Limits};
pub use modules::{Reader, Shelf};
pub use reading::Meant;
pub use session::Session;
