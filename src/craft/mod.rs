//! Processes and materials with their allowances, as data with sources. Lengths are mm.
//!
//! Every figure is a start that whoever uses it replaces by what their own machine, sheet and supplier say.

mod cutting;

pub use cutting::{Cutting, Method, NoCut, Told, cutting, told};
