//! The values themselves.

use std::any::Any as Anything;
use std::collections::BTreeMap;
use std::fmt;
use std::sync::Arc;

use super::{FlatPiece, Piece};
use crate::form::net::Net;
use crate::form::tiling::Tiling;
use crate::form::{Curve, Flat, Group, Solid, Surface};
use crate::formula::Expr;

/// A function of the script, to be called through the host.
#[derive(Clone)]
pub struct Function {
    /// As a person may see it.
    pub name: String,
    /// What the host needs to call it; only the host looks inside.
    pub handle: Arc<dyn Anything + Send + Sync>,
}

impl fmt::Debug for Function {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Function({})", self.name)
    }
}

/// What a script can hold. Lengths are mm. Cloning is cheap but for lists and maps.
#[derive(Clone, Debug)]
pub enum Value {
    /// No value: what a statement gives.
    Nothing,
    /// True or false.
    Truth(bool),
    /// A whole number, as counts and places in lists are.
    Whole(i64),
    /// A real number.
    Number(f64),
    /// A text.
    Text(Arc<str>),
    /// A list.
    List(Vec<Value>),
    /// Values by name, in alphabetical order.
    Map(BTreeMap<String, Value>),
    /// A function of the script.
    Function(Function),
    /// A real function of space.
    Field(Expr),
    /// A region of space with an inside.
    Solid(Solid),
    /// A sheet without thickness.
    Surface(Surface),
    /// A path in space.
    Curve(Curve),
    /// Regions and lines of the plane.
    Flat(Flat),
    /// A group of motions.
    Group(Group),
    /// Tiles side by side.
    Tiling(Tiling),
    /// Points and struts in space.
    Net(Net),
    /// Something to make.
    Piece(Arc<Piece>),
    /// Flat work to make.
    FlatPiece(Arc<FlatPiece>),
}

/// The sorts of value, as people speak of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[allow(missing_docs)]
pub enum Kind {
    Nothing,
    Truth,
    Number,
    Text,
    List,
    Map,
    Function,
    Field,
    Solid,
    Surface,
    Curve,
    Flat,
    Group,
    Tiling,
    Net,
    Piece,
    /// The kind of the first argument.
    Same,
    /// Depends on what is given.
    Any,
}

impl Kind {
    /// With its article: "a number".
    pub fn with_article(self) -> &'static str {
        match self {
            Self::Nothing => "nothing",
            Self::Truth => "true or false",
            Self::Number => "a number",
            Self::Text => "a text",
            Self::List => "a list",
            Self::Map => "a map",
            Self::Function => "a function",
            Self::Field => "a field",
            Self::Solid => "a solid",
            Self::Surface => "a surface",
            Self::Curve => "a curve",
            Self::Flat => "a flat",
            Self::Group => "a group",
            Self::Tiling => "a tiling",
            Self::Net => "a net",
            Self::Piece => "a piece",
            Self::Same => "the same kind",
            Self::Any => "any value",
        }
    }

    /// Without article: "number".
    pub fn name(self) -> &'static str {
        match self {
            Self::Truth => "truth",
            Self::Same => "same kind",
            Self::Any => "any",
            other => other.with_article().trim_start_matches("a "),
        }
    }
}

impl Value {
    /// A text.
    pub fn text(text: impl AsRef<str>) -> Self {
        Self::Text(text.as_ref().into())
    }

    /// Its kind.
    pub fn kind(&self) -> Kind {
        match self {
            Self::Nothing => Kind::Nothing,
            Self::Truth(_) => Kind::Truth,
            Self::Whole(_) | Self::Number(_) => Kind::Number,
            Self::Text(_) => Kind::Text,
            Self::List(_) => Kind::List,
            Self::Map(_) => Kind::Map,
            Self::Function(_) => Kind::Function,
            Self::Field(_) => Kind::Field,
            Self::Solid(_) => Kind::Solid,
            Self::Surface(_) => Kind::Surface,
            Self::Curve(_) => Kind::Curve,
            Self::Flat(_) => Kind::Flat,
            Self::Group(_) => Kind::Group,
            Self::Tiling(_) => Kind::Tiling,
            Self::Net(_) => Kind::Net,
            Self::Piece(_) | Self::FlatPiece(_) => Kind::Piece,
        }
    }

    /// The number, if it is one.
    pub fn number(&self) -> Option<f64> {
        match self {
            #[allow(clippy::cast_precision_loss)]
            Self::Whole(i) => Some(*i as f64),
            Self::Number(x) => Some(*x),
            _ => None,
        }
    }

    /// The field; a number is the field with that value everywhere.
    pub fn field(&self) -> Option<Expr> {
        match self {
            Self::Field(e) => Some(e.clone()),
            other => other.number().map(Expr::constant),
        }
    }

    /// True when two plain values are equal; `None` when a form, a piece or a function is among them.
    pub fn equals(&self, other: &Self) -> Option<bool> {
        Some(match (self, other) {
            (Self::Nothing, Self::Nothing) => true,
            (Self::Truth(a), Self::Truth(b)) => a == b,
            (Self::Whole(a), Self::Whole(b)) => a == b,
            (Self::Text(a), Self::Text(b)) => a == b,
            (Self::List(a), Self::List(b)) => {
                let mut same = a.len() == b.len();
                for (x, y) in a.iter().zip(b) {
                    same &= x.equals(y)?;
                }
                same
            }
            (Self::Map(a), Self::Map(b)) => {
                let mut same = a.len() == b.len();
                for ((k, x), (l, y)) in a.iter().zip(b) {
                    same &= k == l && x.equals(y)?;
                }
                same
            }
            (a, b) if a.is_plain() && b.is_plain() => match (a.number(), b.number()) {
                (Some(x), Some(y)) => x == y,
                _ => false,
            },
            _ => return None,
        })
    }

    fn is_plain(&self) -> bool {
        self.kind() <= Kind::Map
    }
}

impl fmt::Display for Value {
    /// As a person reads it; numbers with up to 6 digits after the point.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Nothing => Ok(()),
            Self::Truth(b) => write!(f, "{b}"),
            Self::Whole(i) => write!(f, "{i}"),
            Self::Number(x) => f.write_str(&plain_number(*x)),
            Self::Text(t) => f.write_str(t),
            Self::List(items) => {
                f.write_str("[")?;
                for (i, item) in items.iter().enumerate() {
                    write!(f, "{}{item}", if i == 0 { "" } else { ", " })?;
                }
                f.write_str("]")
            }
            Self::Map(items) => {
                f.write_str("#{ ")?;
                for (i, (key, item)) in items.iter().enumerate() {
                    write!(f, "{}{key}: {item}", if i == 0 { "" } else { ", " })?;
                }
                f.write_str(" }")
            }
            Self::Group(group) => match group.order() {
                0 => write!(f, "the {} {}", group.kind().name(), group.name()),
                1 => write!(f, "the {} {}, 1 motion", group.kind().name(), group.name()),
                n => write!(f, "the {} {}, {n} motions", group.kind().name(), group.name()),
            },
            Self::Tiling(tiling) => write!(f, "the tiling {}, {} tiles", tiling.name(), tiling.tiles().len()),
            Self::Net(net) => {
                write!(
                    f,
                    "the net {}, {} points, {} edges",
                    net.name(),
                    net.points().len(),
                    net.edges().len()
                )
            }
            Self::Piece(piece) => write!(f, "the piece \"{}\"", piece.name),
            Self::FlatPiece(piece) => write!(f, "the piece \"{}\"", piece.name),
            other => f.write_str(other.kind().with_article()),
        }
    }
}

/// A number without needless digits: six after the point at most, more only where it is small.
pub(super) fn plain_number(x: f64) -> String {
    if !x.is_finite() || x == 0.0 {
        return if x == 0.0 { "0".into() } else { format!("{x}") };
    }
    if x.abs() < 1e-4 || x.abs() >= 1e15 {
        return format!("{x:e}");
    }
    let text = format!("{x:.6}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

macro_rules! from {
    ($($from:ty => |$v:ident| $made:expr;)*) => {
        $(impl From<$from> for Value {
            fn from($v: $from) -> Self {
                $made
            }
        })*
    };
}

from! {
    () => |_v| Self::Nothing;
    bool => |v| Self::Truth(v);
    i32 => |v| Self::Whole(v.into());
    i64 => |v| Self::Whole(v);
    f64 => |v| Self::Number(v);
    &str => |v| Self::text(v);
    String => |v| Self::text(v);
    Expr => |v| Self::Field(v);
    Solid => |v| Self::Solid(v);
    Surface => |v| Self::Surface(v);
    Curve => |v| Self::Curve(v);
    Flat => |v| Self::Flat(v);
    Group => |v| Self::Group(v);
    Tiling => |v| Self::Tiling(v);
    Net => |v| Self::Net(v);
    Vec<Value> => |v| Self::List(v);
    crate::form::Field => |v| Self::Field(v.expr().clone());
    crate::form::Form => |v| match v {
        crate::form::Form::Field(f) => f.into(),
        crate::form::Form::Solid(s) => s.into(),
        crate::form::Form::Surface(s) => s.into(),
        crate::form::Form::Curve(c) => c.into(),
        crate::form::Form::Flat(f) => f.into(),
        crate::form::Form::Tiling(t) => t.into(),
        crate::form::Form::Net(n) => n.into(),
    };
    crate::base::Vec3 => |v| Self::List(v.array().map(Self::Number).to_vec());
}
