//! What a script can hold: kinds, units, faults, and the conversion to Rust types. No engine is named here.

mod fault;
mod fill;
mod nearest;
mod piece;
mod source;
mod thing;

pub use fault::{Fault, Part, Place};
pub(crate) use fill::got;
pub use fill::{
    Angle, Any, Count, Degrees, Direction, Factor, FieldLike, Fill, Form, Formula, Formulated, List, Maybe,
    Mm, Number, Options, Path, Point, Portion, Positive, Sheet, Size, Stretch, Text, Thing, Truth, Want,
    Whole,
};
pub use nearest::nearest;
pub use piece::{Asked, Piece};
pub use source::Source;
pub use thing::{Function, Kind, Value};
