//! Ogee: a scripting language for mathematical form.

pub mod base;
pub mod check;
#[cfg(feature = "cli")]
pub mod cli;
pub mod craft;
pub mod export;
pub mod form;
pub mod formula;
pub mod guide;
pub mod job;
pub mod read;
pub mod realise;
pub mod script;
pub mod shape;
pub mod show;
pub mod value;
pub mod words;

pub use job::{Ogee, Outcome};
