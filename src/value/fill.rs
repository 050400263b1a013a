//! The kinds of parameter: each says its unit and range, and turns a value into a Rust type at the door.
//!
//! Bad numbers (not finite, out of range) are refused here; words assume them gone.

use std::collections::BTreeMap;
use std::f64::consts::PI;
use std::sync::Arc;

use super::thing::plain_number;
use super::{Function, Kind, Value};
use crate::base::{Vec2, Vec3};
use crate::form::net::Net;
use crate::form::tiling::Tiling;
use crate::form::{Curve, Flat, Group, Solid, Surface};
use crate::formula::Expr;

/// Why a value does not fill a parameter.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Want {
    /// It is of another kind.
    Kind,
    /// It is of the right kind, but this sentence part is not kept: "must be more than 0".
    Range(String),
    /// It is of another kind, and this is what to do.
    Instead(String),
}

/// A kind of parameter.
pub trait Fill {
    /// What a word's body sees.
    type Rust;
    /// With its article: "a number".
    const WANTS: &'static str;
    /// The unit, if numbers have one: `mm`, `degrees`.
    const UNIT: Option<&'static str> = None;
    /// True when the parameter takes a map of its own, so that a map is not read as named options.
    const TAKES_MAP: bool = false;

    /// The Rust value.
    ///
    /// # Errors
    /// [`Want`] when the value does not fit.
    fn fill(value: &Value) -> Result<Self::Rust, Want>;
}

fn finite(value: &Value) -> Result<f64, Want> {
    let x = value.number().ok_or(Want::Kind)?;
    if x.is_finite() { Ok(x) } else { Err(Want::Range("must be finite".into())) }
}

macro_rules! numbers {
    ($($(#[$doc:meta])* $name:ident [$unit:expr] |$x:ident| $ok:expr, $says:literal => $made:expr;)*) => {
        $($(#[$doc])*
        #[derive(Debug)]
        pub enum $name {}
        impl Fill for $name {
            type Rust = f64;
            const WANTS: &'static str = "a number";
            const UNIT: Option<&'static str> = $unit;
            fn fill(value: &Value) -> Result<f64, Want> {
                let $x = finite(value)?;
                if $ok { Ok($made) } else { Err(Want::Range($says.into())) }
            }
        })*
    };
}

numbers! {
    /// A length or a place, mm; any sign.
    Mm [Some("mm")] |x| true, "" => x;
    /// A length, mm; more than zero.
    Size [Some("mm")] |x| x > 0.0, "must be more than 0 mm" => x;
    /// A length, mm; zero or more.
    Stretch [Some("mm")] |x| x >= 0.0, "must not be less than 0 mm" => x;
    /// A number without unit.
    Number [None] |x| true, "" => x;
    /// A number without unit, more than zero.
    Positive [None] |x| x > 0.0, "must be more than 0" => x;
    /// A number from 0 to 1.
    Portion [None] |x| (0.0..=1.0).contains(&x), "must lie between 0 and 1" => x;
    /// An angle, degrees in the script and radians in Rust.
    Degrees [Some("degrees")] |x| true, "" => x * (PI / 180.0);
    /// An angle, degrees in both; for words that only pass it on.
    Angle [Some("degrees")] |x| true, "" => x;
}

/// A count: a whole number, 1 or more, at most a million.
#[derive(Debug)]
pub enum Count {}
impl Fill for Count {
    type Rust = usize;
    const WANTS: &'static str = "a whole number";
    fn fill(value: &Value) -> Result<usize, Want> {
        let i = Whole::fill(value)?;
        if i < 1 {
            return Err(Want::Range("must be 1 or more".into()));
        }
        usize::try_from(i)
            .ok()
            .filter(|n| *n <= 1_000_000)
            .ok_or(Want::Range("must be at most 1000000".into()))
    }
}

/// A whole number.
#[derive(Debug)]
pub enum Whole {}
impl Fill for Whole {
    type Rust = i64;
    const WANTS: &'static str = "a whole number";
    fn fill(value: &Value) -> Result<i64, Want> {
        match value {
            Value::Whole(i) => Ok(*i),
            Value::Number(x) if x.fract() == 0.0 && x.abs() < 9e15 =>
            {
                #[allow(clippy::cast_possible_truncation)]
                Ok(*x as i64)
            }
            Value::Number(_) => Err(Want::Range("must be a whole number".into())),
            _ => Err(Want::Kind),
        }
    }
}

macro_rules! kinds {
    ($($(#[$doc:meta])* $name:ident ($rust:ty, $wants:literal, $map:literal) |$v:ident| $made:expr;)*) => {
        $($(#[$doc])*
        #[derive(Debug)]
        pub enum $name {}
        impl Fill for $name {
            type Rust = $rust;
            const WANTS: &'static str = $wants;
            const TAKES_MAP: bool = $map;
            fn fill($v: &Value) -> Result<$rust, Want> {
                $made
            }
        })*
    };
}

kinds! {
    /// Anything.
    Any(Value, "any value", true) |v| Ok(v.clone());
    /// True or false.
    Truth(bool, "true or false", false) |v| match v { Value::Truth(b) => Ok(*b), _ => Err(Want::Kind) };
    /// A text.
    Text(Arc<str>, "a text", false) |v| match v { Value::Text(t) => Ok(t.clone()), _ => Err(Want::Kind) };
    /// A list.
    List(Vec<Value>, "a list", false) |v| match v { Value::List(l) => Ok(l.clone()), _ => Err(Want::Kind) };
    /// Values by name.
    Options(BTreeMap<String, Value>, "a map", true) |v| match v {
        Value::Map(m) => Ok(m.clone()),
        _ => Err(Want::Kind),
    };
    /// A function of space; a number is the field with that value everywhere.
    FieldLike(Expr, "a field", false) |v| v.field().ok_or(Want::Kind);
    /// A formula: a text, or a function of the script.
    Formula(Formulated, "a formula as a text, or a function", false) |v| match v {
        Value::Text(t) => Ok(Formulated::Text(t.clone())),
        Value::Function(f) => Ok(Formulated::Function(f.clone())),
        _ => Err(Want::Kind),
    };
    /// A point: three numbers.
    Point(Vec3, "a list of three numbers", false) |v| point(v);
    /// A direction: one of the axes by name, or three numbers.
    Direction(Vec3, "an axis (\"x\", \"y\", \"z\") or a list of three numbers", false) |v| direction(v);
    /// A factor more than zero, or one for each axis.
    Factor(Vec3, "a number, or a list of three", false) |v| {
        let k = match v {
            Value::List(_) => point(v)?,
            _ => Vec3::splat(finite(v)?),
        };
        if k.x > 0.0 && k.y > 0.0 && k.z > 0.0 { Ok(k) } else { Err(Want::Range("must be more than 0".into())) }
    };
    /// A region of space.
    Form(Solid, "a solid", false) |v| match v {
        Value::Solid(s) => Ok(s.clone()),
        Value::Surface(_) => Err(Want::Instead(
            "a surface has no thickness: give it some with `wall`, as in `s.wall(2)`".into())),
        Value::Field(_) => Err(Want::Instead(
            "a field is a number at every point: compare it to get a solid, as in `f < 0`, or give its level a \
             thickness, as in `level(f, 0).wall(2)`".into())),
        Value::Curve(_) => Err(Want::Instead(
            "a curve has no thickness: give it some with `tube`, as in `c.tube(2)`".into())),
        Value::Net(_) => Err(Want::Instead(
            "a net has no thickness: give it some with `struts`, as in `n.struts(1.5)`; the solid inside the faces of a \
             polyhedron is its `hull`".into())),
        Value::Flat(_) => Err(Want::Instead(
            "a flat has no thickness: give it some with `raise`, as in `f.raise(3)`".into())),
        Value::Tiling(_) => Err(Want::Instead(
            "a tiling has no thickness: its tiles are flats, and get some with `raise`, as in \
             `union(tiles(t)).raise(3)`".into())),
        Value::Piece(p) => Ok(p.form.clone()),
        _ => Err(Want::Kind),
    };
    /// A sheet.
    Sheet(Surface, "a surface", false) |v| match v {
        Value::Surface(s) => Ok(s.clone()),
        Value::Field(_) => Err(Want::Instead("a field has many levels: choose one, as in `level(f, 0)`".into())),
        Value::Solid(_) => Err(Want::Instead("`skin` gives the surface of a solid, as in `s.skin()`".into())),
        _ => Err(Want::Kind),
    };
    /// What can be moved: a field, a solid, a surface, a curve, a flat or a net.
    Thing(crate::form::Form, "a field, solid, surface, curve, flat or net", false) |v| match v {
        Value::Field(f) => crate::form::Field::new(f.clone())
            .map(Into::into)
            .map_err(|fault| Want::Instead(format!("{fault}: only fields of X, Y, Z can be moved"))),
        Value::Solid(s) => Ok(s.clone().into()),
        Value::Surface(s) => Ok(s.clone().into()),
        Value::Curve(c) => Ok(c.clone().into()),
        Value::Flat(f) => Ok(f.clone().into()),
        Value::Tiling(t) => Ok(t.clone().into()),
        Value::Net(n) => Ok(n.clone().into()),
        Value::Piece(p) => Ok(p.form.clone().into()),
        Value::FlatPiece(p) => Ok(p.flat.clone().into()),
        _ => Err(Want::Kind),
    };
    /// What has an extent of its own: a solid, a curve, a flat or a net.
    Figure(crate::form::Form, "a solid, flat, curve or net", false) |v| match v {
        Value::Field(_) | Value::Surface(_) => Err(Want::Kind),
        other => Thing::fill(other),
    };
    /// What has images: a solid, a curve, a flat, a net, or points of space.
    Repeated(Images, "a solid, flat, curve, net, point or list of points", false) |v| match v {
        Value::List(items) if matches!(items.first(), Some(Value::List(_))) => {
            items.iter().map(point).collect::<Result<_, _>>().map(Images::Points)
        }
        Value::List(_) => point(v).map(|p| Images::Points(vec![p])),
        Value::Field(_) => Err(Want::Instead("a field has no images to join: `fold` repeats it under a group".into())),
        Value::Surface(_) => Err(Want::Instead(
            "the images of a surface are joined as solids: give it thickness first, as in `s.wall(2)`".into())),
        other => Figure::fill(other).map(Images::Of),
    };
    /// A length, mm, more than zero; or a function of the part of the way gone, 0 to 1, that gives one.
    RadiusLaw(Law, "a number, or a function of the part of the way gone", false) |v| match v {
        Value::Function(f) => Ok(Law::Function(f.clone())),
        _ => Size::fill(v).map(Law::Constant),
    };
    /// A length, mm, more than zero; a field; or a function of the length of a strut, mm, that gives one.
    RodRadius(Stout, "a number, a field, or a function of a strut's length", false) |v| match v {
        Value::Function(f) => Ok(Stout::Function(f.clone())),
        Value::Field(e) => Ok(Stout::Field(e.clone())),
        _ => Size::fill(v).map(Stout::Constant),
    };
    /// A path in space.
    Path(Curve, "a curve", false) |v| match v { Value::Curve(c) => Ok(c.clone()), _ => Err(Want::Kind) };
    /// Points and struts in space.
    Struts(Net, "a net", false) |v| match v { Value::Net(n) => Ok(n.clone()), _ => Err(Want::Kind) };
    /// Tiles side by side.
    Tiles(Tiling, "a tiling", false) |v| match v { Value::Tiling(t) => Ok(t.clone()), _ => Err(Want::Kind) };
    /// A group of motions.
    Motions(Group, "a group", false) |v| match v {
        Value::Group(g) => Ok(g.clone()),
        Value::Text(_) => Err(Want::Instead("a symbol names a group by `group`, as in `group(\"*532\")`".into())),
        _ => Err(Want::Kind),
    };
    /// Regions and lines of the plane.
    FlatWork(Flat, "a flat", false) |v| match v {
        Value::Flat(f) => Ok(f.clone()),
        Value::Tiling(t) => Ok(t.edges()),
        Value::FlatPiece(p) => Ok(p.flat.clone()),
        Value::Curve(_) => Err(Want::Instead(
            "a closed curve bounds a flat by `region`, as in `region(c)`; any level curve is a line by `trace`".into())),
        _ => Err(Want::Kind),
    };
    /// Regions and lines of the plane, in one or several pieces.
    FlatPieces(Vec<Flat>, "a flat, or a list of flats", false) |v| match v {
        Value::List(items) if !items.is_empty() => items.iter().map(FlatWork::fill).collect(),
        Value::List(_) => Err(Want::Range("must hold a flat".into())),
        _ => FlatWork::fill(v).map(|f| vec![f]),
    };
    /// A region of space, or of the plane.
    Body(Bodied, "a solid or a flat", false) |v| match v {
        Value::Flat(f) => Ok(Bodied::Flat(f.clone())),
        Value::Tiling(t) => Ok(Bodied::Flat(t.edges())),
        Value::FlatPiece(p) => Ok(Bodied::Flat(p.flat.clone())),
        other => Form::fill(other).map(Bodied::Solid),
    };
    /// What has an area.
    Wide(Areal, "a solid, surface or flat", false) |v| match v {
        Value::Surface(s) => Ok(Areal::Surface(s.clone())),
        other => Body::fill(other).map(Areal::Body),
    };
    /// What has a length.
    Long(Lengthy, "a curve, flat or net", false) |v| match v {
        Value::Curve(c) => Ok(Lengthy::Curve(c.clone())),
        Value::Net(n) => Ok(Lengthy::Net(n.clone())),
        Value::Flat(f) => Ok(Lengthy::Flat(f.clone())),
        Value::Tiling(t) => Ok(Lengthy::Flat(t.edges())),
        _ => Err(Want::Kind),
    };
    /// A curve, or points of the plane.
    PlanePath(PathLike, "a curve, or a list of points", false) |v| match v {
        Value::Curve(c) => Ok(PathLike::Curve(c.clone())),
        Value::List(items) => items.iter().map(plane_point).collect::<Result<_, _>>().map(PathLike::Points),
        _ => Err(Want::Kind),
    };
}

/// What has an area.
#[derive(Clone, Debug)]
pub enum Areal {
    /// A region of space, by its skin, or regions of the plane.
    Body(Bodied),
    /// A sheet without thickness.
    Surface(Surface),
}

/// A solid or a flat.
#[derive(Clone, Debug)]
pub enum Bodied {
    /// A region of space.
    Solid(Solid),
    /// Regions and lines of the plane.
    Flat(Flat),
}

/// A thing that is taken to its images.
#[derive(Clone, Debug)]
pub enum Images {
    /// One figure.
    Of(crate::form::Form),
    /// Points, mm.
    Points(Vec<Vec3>),
}

/// A curve, a flat or a net.
#[derive(Clone, Debug)]
pub enum Lengthy {
    /// A path in space.
    Curve(Curve),
    /// Points and struts in space.
    Net(Net),
    /// Regions and lines of the plane.
    Flat(Flat),
}

/// A curve, or points of the plane.
#[derive(Clone, Debug)]
pub enum PathLike {
    /// A path in space.
    Curve(Curve),
    /// Points, mm.
    Points(Vec<Vec2>),
}

/// Names that stand for a choice.
pub trait Names {
    /// What is chosen.
    type Rust: Copy + 'static;
    /// The names as a person reads them: `"a", "b" or "c"`.
    const WANTS: &'static str;
    /// Each name and its choice.
    const NAMES: &'static [(&'static str, Self::Rust)];
}

/// One of a few names.
#[derive(Debug)]
pub struct Choice<T>(std::marker::PhantomData<T>);
impl<T: Names> Fill for Choice<T> {
    type Rust = T::Rust;
    const WANTS: &'static str = T::WANTS;
    fn fill(value: &Value) -> Result<T::Rust, Want> {
        let Value::Text(name) = value else { return Err(Want::Kind) };
        let found = T::NAMES.iter().find(|(n, _)| *n == &**name);
        found.map(|(_, choice)| *choice).ok_or_else(|| Want::Range(format!("must be {}", T::WANTS)))
    }
}

fn plane_point(value: &Value) -> Result<Vec2, Want> {
    let Value::List(items) = value else { return Err(Want::Range("must hold points such as [3, 4]".into())) };
    match items.as_slice() {
        [x, y] => Ok(Vec2::new(finite(x)?, finite(y)?)),
        [x, y, z] if z.number() == Some(0.0) => Ok(Vec2::new(finite(x)?, finite(y)?)),
        _ => Err(Want::Range("must hold points of the plane, such as [3, 4]".into())),
    }
}

/// How thick a wall is: a number, mm, or a field.
#[derive(Debug)]
pub enum Thick {}
impl Fill for Thick {
    type Rust = Thickened;
    const WANTS: &'static str = "a number or a field";
    const UNIT: Option<&'static str> = Some("mm");
    fn fill(value: &Value) -> Result<Thickened, Want> {
        match value {
            Value::Field(e) => Ok(Thickened::By(e.clone())),
            other => Size::fill(other).map(Thickened::Even),
        }
    }
}

/// How thick a wall is, as a script gives it.
#[derive(Clone, Debug)]
pub enum Thickened {
    /// The same everywhere, mm.
    Even(f64),
    /// By a field, mm.
    By(Expr),
}

/// A formula as a script gives it.
#[derive(Clone, Debug)]
pub enum Formulated {
    /// Written out.
    Text(Arc<str>),
    /// As a function, to be traced.
    Function(Function),
}

/// A number that may change along a curve.
#[derive(Clone, Debug)]
pub enum Law {
    /// The same all along.
    Constant(f64),
    /// By a function of the part of the way gone, to be traced.
    Function(Function),
}

/// How thick struts are.
#[derive(Clone, Debug)]
pub enum Stout {
    /// All alike, mm.
    Constant(f64),
    /// The value of a field there, mm.
    Field(Expr),
    /// By a function of the length of a strut, to be traced.
    Function(Function),
}

/// A parameter that may be left out, or given as nothing.
#[derive(Debug)]
pub struct Maybe<T>(std::marker::PhantomData<T>);
impl<T: Fill> Fill for Maybe<T> {
    type Rust = Option<T::Rust>;
    const WANTS: &'static str = T::WANTS;
    const UNIT: Option<&'static str> = T::UNIT;
    const TAKES_MAP: bool = T::TAKES_MAP;
    fn fill(value: &Value) -> Result<Self::Rust, Want> {
        match value.kind() {
            Kind::Nothing => Ok(None),
            _ => T::fill(value).map(Some),
        }
    }
}

fn point(value: &Value) -> Result<Vec3, Want> {
    let Value::List(items) = value else { return Err(Want::Kind) };
    let [x, y, z] = items.as_slice() else {
        return Err(Want::Range(format!("must have three numbers, not {}", items.len())));
    };
    Ok(Vec3::new(finite(x)?, finite(y)?, finite(z)?))
}

fn direction(value: &Value) -> Result<Vec3, Want> {
    let given = match value {
        Value::Text(name) => match &**name {
            "x" | "X" => Vec3::new(1.0, 0.0, 0.0),
            "y" | "Y" => Vec3::new(0.0, 1.0, 0.0),
            "z" | "Z" => Vec3::new(0.0, 0.0, 1.0),
            _ => return Err(Want::Range("must be \"x\", \"y\", \"z\" or a list of three numbers".into())),
        },
        _ => point(value)?,
    };
    given.unit().ok_or(Want::Range("must not be [0, 0, 0]: it has no direction".into()))
}

/// What was got, for a message: the kind, or the value where the value is what is wrong.
pub(crate) fn got(value: &Value, want: &Want) -> String {
    match (want, value) {
        (Want::Range(_), Value::Number(x)) => plain_number(*x),
        (Want::Range(_), Value::Whole(i)) => i.to_string(),
        (Want::Range(_), Value::Text(t)) if t.chars().count() < 20 => format!("\"{t}\""),
        (Want::Range(_), Value::List(_)) if value.to_string().len() < 40 => value.to_string(),
        _ => value.kind().with_article().to_owned(),
    }
}
