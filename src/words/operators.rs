//! What the signs mean between fields, solids and surfaces.

use crate::form;
use crate::formula::{Binary, Expr, Unary};
use crate::value::{Fault, Kind, Value};

/// An operator of the language.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Operator {
    Add,
    Subtract,
    Multiply,
    Divide,
    Remainder,
    Power,
    Less,
    LessEqual,
    Greater,
    GreaterEqual,
    Equal,
    Unequal,
    /// `|`: points of either.
    Or,
    /// `&`: points of both.
    And,
}

impl Operator {
    /// As a script writes it.
    pub fn sign(self) -> &'static str {
        match self {
            Self::Add => "+",
            Self::Subtract => "-",
            Self::Multiply => "*",
            Self::Divide => "/",
            Self::Remainder => "%",
            Self::Power => "^",
            Self::Less => "<",
            Self::LessEqual => "<=",
            Self::Greater => ">",
            Self::GreaterEqual => ">=",
            Self::Equal => "==",
            Self::Unequal => "!=",
            Self::Or => "|",
            Self::And => "&",
        }
    }

    fn pointwise(self) -> Option<Binary> {
        Some(match self {
            Self::Add => Binary::Add,
            Self::Subtract => Binary::Sub,
            Self::Multiply => Binary::Mul,
            Self::Divide => Binary::Div,
            Self::Remainder => Binary::Mod,
            Self::Power => Binary::Pow,
            _ => return None,
        })
    }
}

/// The value of `a sign b`, where they are not two numbers.
///
/// # Errors
/// The sign has no meaning between these kinds.
pub fn operate(operator: Operator, a: &Value, b: &Value) -> Result<Value, Fault> {
    use Operator::{And, Equal, Or, Subtract, Unequal};
    match (operator, a, b) {
        (Equal | Unequal, a, b) => return equal(operator, a, b),
        // Where a flat is wanted, a tiling is its edges.
        (Or | And | Subtract, Value::Tiling(t), Value::Flat(_) | Value::Tiling(_)) => {
            return operate(operator, &t.edges().into(), b);
        }
        (Or | And | Subtract, Value::Flat(_), Value::Tiling(t)) => {
            return operate(operator, a, &t.edges().into());
        }
        (Or, Value::Solid(s), Value::Solid(t)) => return made(operator, form::union(s, t)),
        (And, Value::Solid(s), Value::Solid(t)) => return made(operator, form::intersection(s, t)),
        (Subtract, Value::Solid(s), Value::Solid(t)) => return made(operator, form::difference(s, t)),
        (Or, Value::Flat(s), Value::Flat(t)) => return Ok(form::flat::union(s, t).into()),
        (And, Value::Flat(s), Value::Flat(t)) => return Ok(form::flat::intersection(s, t).into()),
        (Subtract, Value::Flat(s), Value::Flat(t)) => return Ok(form::flat::difference(s, t).into()),
        (And, Value::Surface(s), Value::Solid(t)) | (And, Value::Solid(t), Value::Surface(s)) => {
            return made(operator, form::clip(s, t));
        }
        (Or | And, Value::Truth(x), Value::Truth(y)) => {
            return Ok(Value::Truth(if operator == Or { *x || *y } else { *x && *y }));
        }
        _ => {}
    }
    if let (Value::Text(x), Value::Text(y)) = (a, b) {
        match operator {
            Operator::Less => return Ok(Value::Truth(x < y)),
            Operator::LessEqual => return Ok(Value::Truth(x <= y)),
            Operator::Greater => return Ok(Value::Truth(x > y)),
            Operator::GreaterEqual => return Ok(Value::Truth(x >= y)),
            _ => {}
        }
    }
    match (a.field(), b.field()) {
        (Some(f), Some(g)) => fields(operator, f, g),
        _ => Err(no_meaning(operator, a, b)),
    }
}

/// The value of `-a`.
///
/// # Errors
/// It is no number and no field.
pub fn opposite(a: &Value) -> Result<Value, Fault> {
    match a {
        Value::Field(f) => Ok(Value::Field(Expr::unary(Unary::Neg, f.clone()))),
        other => match other.number() {
            Some(x) => Ok(Value::Number(-x)),
            None => Err(Fault::new(format!("`-` before {} has no meaning", a.kind().with_article()))),
        },
    }
}

fn made<T: Into<Value>>(operator: Operator, form: Result<T, form::FormFault>) -> Result<Value, Fault> {
    form.map(Into::into).map_err(|fault| Fault::new(format!("`{}`: {fault}", operator.sign())))
}

fn fields(operator: Operator, f: Expr, g: Expr) -> Result<Value, Fault> {
    if let Some(op) = operator.pointwise() {
        return Ok(Value::Field(Expr::binary(op, f, g)));
    }
    let below = match operator {
        Operator::Less | Operator::LessEqual => f - g,
        Operator::Greater | Operator::GreaterEqual => g - f,
        _ => {
            let what = format!("`{}` joins solids, not fields", operator.sign());
            return Err(
                Fault::new(what).hint("compare a field to get a solid, with brackets: `(f < 0) & (g < 0)`")
            );
        }
    };
    form::Field::new(below).map(|field| Value::Solid(form::inside(&field))).map_err(|fault| match fault {
        form::FormFault::FreeName(name) => {
            let sign = operator.sign();
            Fault::new(format!("`{sign}`: `{name}` stands for every number at once and cannot be compared"))
                .hint(IN_A_FUNCTION)
        }
        other => Fault::new(format!("`{}`: {other}", operator.sign())),
    })
}

/// What to do about a comparison of a field where a yes or no is wanted.
pub(crate) const IN_A_FUNCTION: &str = "choose point by point with `select(test, a, b)` (`a` where `test` is \
                                        negative), `min`, `max` or `clamp`";

fn equal(operator: Operator, a: &Value, b: &Value) -> Result<Value, Fault> {
    match a.equals(b) {
        Some(same) => Ok(Value::Truth(same == (operator == Operator::Equal))),
        None if a.kind() == Kind::Field || b.kind() == Kind::Field => {
            let what = format!("`{}` does not compare fields", operator.sign());
            Err(Fault::new(what).hint("the surface where f equals g is `level(f, g)`"))
        }
        None => {
            let kind = if a.kind() > Kind::Map { a.kind() } else { b.kind() };
            Err(Fault::new(format!(
                "`{}` does not compare: {} is among them",
                operator.sign(),
                kind.with_article()
            ))
            .hint("forms are exact descriptions; compare their measures, such as `volume`"))
        }
    }
}

fn no_meaning(operator: Operator, a: &Value, b: &Value) -> Fault {
    let sign = operator.sign();
    let what = format!(
        "`{sign}` has no meaning between {} and {}",
        a.kind().with_article(),
        b.kind().with_article()
    );
    let solid = |v: &Value| v.kind() == Kind::Solid;
    let fault = Fault::new(what);
    match (operator, a.kind(), b.kind()) {
        (Operator::Add, Kind::Solid, Kind::Solid) | (Operator::Add, Kind::Flat, Kind::Flat) => {
            fault.hint("solids and flats are joined with `|`")
        }
        (Operator::Or | Operator::And | Operator::Subtract, Kind::Flat, Kind::Solid)
        | (Operator::Or | Operator::And | Operator::Subtract, Kind::Solid, Kind::Flat) => {
            fault.hint("a flat becomes a solid with `raise`, as in `f.raise(3)`")
        }
        (Operator::Multiply, Kind::Solid, Kind::Solid) => fault.hint("what solids share is `a & b`"),
        (Operator::Multiply, ..) if solid(a) || solid(b) => fault.hint("a solid is made larger with `scale`"),
        (Operator::Add | Operator::Subtract, ..) if solid(a) || solid(b) => {
            fault.hint("a solid is moved with `shift(s, x, y, z)`")
        }
        (_, Kind::Surface, _) | (_, _, Kind::Surface) => {
            fault.hint("a surface is cut by a solid with `&`, and becomes a solid with `wall`")
        }
        _ => fault,
    }
}
