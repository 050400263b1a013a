//! Values while a formula is worked out: numbers, vectors, matrices and conditions, all symbolic.

use super::faults::{FaultClass, Read, Span, fault};
use crate::formula::{Binary, Expr, Unary};

/// What a part of a formula stands for.
#[derive(Clone, Debug)]
pub enum Val {
    /// A number.
    Num(Expr),
    /// Components.
    Vec(Vec<Expr>),
    /// A square matrix, by columns.
    Mat(Vec<Vec<Expr>>),
    /// True where the expression is negative; the flag turns it round.
    Truth(Expr, bool),
}

impl Val {
    /// A number.
    pub fn num(x: f64) -> Self {
        Self::Num(Expr::constant(x))
    }

    /// The number, with a condition as 1 or 0.
    ///
    /// # Errors
    /// A vector where a number belongs.
    pub fn scalar(self, at: Span) -> Read<Expr> {
        match self {
            Self::Num(e) => Ok(e),
            Self::Truth(t, flip) => {
                let (yes, no) = if flip { (0.0, 1.0) } else { (1.0, 0.0) };
                Ok(Expr::select(t, Expr::constant(yes), Expr::constant(no)))
            }
            Self::Vec(mut v) if v.len() == 1 => Ok(v.remove(0)),
            Self::Vec(v) => fault(
                FaultClass::WrongArguments,
                at,
                format!("a number belongs here, and this has {} components", v.len()),
                "take one component (.x), or its length",
            ),
            Self::Mat(_) => fault(
                FaultClass::WrongArguments,
                at,
                "a number belongs here, and this is a matrix",
                "multiply it by a vector",
            ),
        }
    }

    /// An expression that is negative exactly where the condition holds.
    ///
    /// # Errors
    /// A vector where a condition belongs.
    pub fn test(self, at: Span) -> Read<Expr> {
        match self {
            Self::Truth(t, false) => Ok(t),
            Self::Truth(t, true) => Ok(Expr::select(t, Expr::constant(1.0), Expr::constant(-1.0))),
            other => {
                let e = other.scalar(at)?;
                Ok(-Expr::unary(Unary::Abs, e))
            }
        }
    }

    /// The components, or the number alone.
    pub fn parts(self, at: Span) -> Read<Vec<Expr>> {
        match self {
            Self::Vec(v) => Ok(v),
            other => Ok(vec![other.scalar(at)?]),
        }
    }
}

/// Applies a function of one number to every component.
pub fn each(v: Val, at: Span, f: impl Fn(Expr) -> Expr) -> Read<Val> {
    Ok(match v {
        Val::Vec(v) => Val::Vec(v.into_iter().map(f).collect()),
        other => Val::Num(f(other.scalar(at)?)),
    })
}

/// Applies a function of two numbers to the components of both; a number goes with every component.
pub fn pairwise(a: Val, b: Val, at: Span, f: impl Fn(Expr, Expr) -> Expr) -> Read<Val> {
    Ok(match (a, b) {
        (Val::Vec(a), Val::Vec(b)) => {
            if a.len() != b.len() {
                return fault(
                    FaultClass::WrongArguments,
                    at,
                    format!("vectors of {} and {} components do not go together", a.len(), b.len()),
                    "take the same number of components from both",
                );
            }
            Val::Vec(a.into_iter().zip(b).map(|(a, b)| f(a, b)).collect())
        }
        (Val::Vec(a), b) => {
            let b = b.scalar(at)?;
            Val::Vec(a.into_iter().map(|a| f(a, b.clone())).collect())
        }
        (a, Val::Vec(b)) => {
            let a = a.scalar(at)?;
            Val::Vec(b.into_iter().map(|b| f(a.clone(), b)).collect())
        }
        (a, b) => Val::Num(f(a.scalar(at)?, b.scalar(at)?)),
    })
}

/// The scalar product.
pub fn dot(a: Val, b: Val, at: Span) -> Read<Expr> {
    let products = pairwise(a, b, at, |a, b| a * b)?.parts(at)?;
    Ok(total(products))
}

/// The determinant of a square matrix, given as such or by its numbers in rows or columns.
pub fn determinant(values: Vec<Val>, at: Span) -> Read<Val> {
    let mut all = Vec::new();
    for v in values {
        match v {
            Val::Mat(m) => all.extend(m.into_iter().flatten()),
            v => all.extend(v.parts(at)?),
        }
    }
    match (1..=4).find(|n| n * n == all.len()) {
        Some(n) => Ok(Val::Num(minor(&all.chunks(n).map(<[Expr]>::to_vec).collect::<Vec<_>>()))),
        None => fault(
            FaultClass::WrongArguments,
            at,
            format!("a determinant of {} numbers is none of a square matrix", all.len()),
            "give 4, 9 or 16 numbers, row by row",
        ),
    }
}

/// The determinant by its first row.
fn minor(rows: &[Vec<Expr>]) -> Expr {
    let [first, rest @ ..] = rows else { return Expr::constant(1.0) };
    let term = |(k, e): (usize, &Expr)| {
        let without = |row: &Vec<Expr>| -> Vec<Expr> {
            row.iter().enumerate().filter(|(j, _)| *j != k).map(|(_, e)| e.clone()).collect()
        };
        let below: Vec<Vec<Expr>> = rest.iter().map(without).collect();
        let product = if below.is_empty() { e.clone() } else { e.clone() * minor(&below) };
        if k % 2 == 1 { -product } else { product }
    };
    total(first.iter().enumerate().map(term).collect())
}

/// The length of a vector, or the size of a number.
pub fn length(v: Val, at: Span) -> Read<Expr> {
    let parts = v.parts(at)?;
    if let [one] = parts.as_slice() {
        return Ok(Expr::unary(Unary::Abs, one.clone()));
    }
    Ok(total(parts.into_iter().map(|e| e.clone() * e).collect()).sqrt())
}

/// The vector product.
pub fn cross(a: Val, b: Val, at: Span) -> Read<Val> {
    match (a.parts(at)?.as_slice(), b.parts(at)?.as_slice()) {
        ([a, b, c], [d, e, f]) => {
            let minor =
                |p: &Expr, q: &Expr, r: &Expr, s: &Expr| p.clone() * s.clone() - r.clone() * q.clone();
            Ok(Val::Vec(vec![minor(b, e, c, f), minor(c, f, a, d), minor(a, d, b, e)]))
        }
        _ => fault(
            FaultClass::WrongArguments,
            at,
            "a vector product needs two vectors of 3 components",
            "cross(a, b)",
        ),
    }
}

/// A product; a matrix times a vector is the usual one.
pub fn times(a: Val, b: Val, at: Span) -> Read<Val> {
    match (a, b) {
        (Val::Mat(m), Val::Vec(v)) if m.len() == v.len() => Ok(Val::Vec(columns_times(&m, &v))),
        (Val::Vec(v), Val::Mat(m)) if m.len() == v.len() => {
            let rows =
                m.iter().map(|c| total(c.iter().zip(&v).map(|(a, b)| a.clone() * b.clone()).collect()));
            Ok(Val::Vec(rows.collect()))
        }
        (Val::Mat(m), Val::Mat(n)) if m.len() == n.len() => {
            Ok(Val::Mat(n.iter().map(|c| columns_times(&m, c)).collect()))
        }
        (a, b) => pairwise(a, b, at, |a, b| a * b),
    }
}

fn columns_times(m: &[Vec<Expr>], v: &[Expr]) -> Vec<Expr> {
    (0..v.len())
        .map(|row| total(m.iter().zip(v).map(|(c, x)| c[row].clone() * x.clone()).collect()))
        .collect()
}

/// A sum of terms; long ones are built as a balanced tree so that no walk goes deep.
pub fn total(terms: Vec<Expr>) -> Expr {
    fold(terms, 64, Binary::Add, 0.0)
}

/// A product or sum of many.
pub fn fold(mut terms: Vec<Expr>, chain: usize, op: Binary, empty: f64) -> Expr {
    while terms.len() > chain {
        let mut next = Vec::with_capacity(terms.len() / chain + 1);
        for group in terms.chunks(chain) {
            next.push(fold(group.to_vec(), chain, op, empty));
        }
        terms = next;
    }
    let mut all = terms.into_iter();
    let Some(first) = all.next() else { return Expr::constant(empty) };
    all.fold(first, |a, b| Expr::binary(op, a, b))
}

/// The place of a component by its letter.
pub fn index(letter: char) -> Option<usize> {
    Some(match letter {
        'x' | 'r' => 0,
        'y' | 'g' => 1,
        'z' | 'b' => 2,
        'w' | 'a' => 3,
        _ => return None,
    })
}

/// Components of a vector by letters.
pub fn swizzle(v: Val, letters: &str, at: Span) -> Read<Val> {
    let parts = v.parts(at)?;
    let mut out = Vec::new();
    for c in letters.chars() {
        match parts.get(index(c).unwrap_or(3)) {
            Some(e) => out.push(e.clone()),
            None => {
                return fault(
                    FaultClass::WrongArguments,
                    at,
                    format!("there is no component .{c} among {}", parts.len()),
                    "a point has .x, .y and .z",
                );
            }
        }
    }
    if let [one] = out.as_slice() {
        return Ok(Val::Num(one.clone()));
    }
    Ok(Val::Vec(out))
}
