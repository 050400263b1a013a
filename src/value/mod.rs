//! What a script can hold: kinds, units, faults, and the conversion to Rust types. No engine is named here.

mod braid_word;
mod fault;
mod fill;
mod listed;
mod nearest;
mod piece;
mod source;
mod thing;

pub use fault::{Fault, Part, Place};
pub(crate) use fill::got;
pub use fill::{
    Angle, Any, Areal, Bodied, Body, Choice, Count, Degrees, Direction, Factor, FieldLike, Figure, Fill,
    FlatPieces, FlatWork, Form, Formula, Formulated, Images, Law, Lengthy, List, Long, Maybe, Mm, Motions,
    Names, Number, Options, Path, PathLike, PlanePath, Point, Portion, Positive, RadiusLaw, Repeated,
    RodRadius, Sheet, Size, Stout, Stretch, Struts, Text, Thick, Thickened, Thing, Tiles, Truth, Want, Whole,
    Wide,
};
pub use listed::{BraidWord, Code, Crossings, Curves, Gauss, GaussCode, Letters, Points, Twists};
pub use nearest::nearest;
pub use piece::{Asked, FlatPiece, Piece};
pub use source::Source;
pub use thing::{Function, Kind, Value};
