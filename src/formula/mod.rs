//! A pasted formula becomes an expression to value, differentiate and bound.
//!
//! [`read`] takes the text as pasted and gives a [`Reading`]; an [`Expr`] is a shared graph; a [`Tape`] is the
//! same graph made ready for batches of points, exact slopes and bounds over boxes.

mod alike;
mod bounds;
mod compile;
mod derive;
mod expr;
mod gather;
mod grid;
mod kernels;
mod lighten;
mod local;
mod narrow;
mod normal;
mod read;
mod simplify;
mod slopes;
mod tape;
mod walk;

#[cfg(test)]
mod tests;
#[cfg(test)]
mod tests_random;

pub use compile::TapeFault;
pub use expr::{Binary, Expr, Node, Op, Oracle, Unary};
pub use local::Local;
pub use narrow::MARGIN;
pub use read::{FaultClass, Kind, ReadFault, Reading, Relation, Remark, read, read_with};
pub use tape::{Scratch, Tape};
pub use walk::in_order;
