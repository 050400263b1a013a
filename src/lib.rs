//! Ogee: a scripting language for mathematical form.

pub mod base;
pub mod export;
pub mod form;
pub mod formula;
pub mod realise;
pub mod shape;
pub mod show;
