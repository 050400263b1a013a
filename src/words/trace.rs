//! Functions of the script become expressions: called once with symbols, then compared with themselves.
//!
//! A script's function may do what a trace cannot follow (choose by a value, count, look into a list). So the
//! trace is valued at eight fixed points and compared with the function itself; a difference is a fault.

use super::Host;
use crate::base::Vec3;
use crate::form;
use crate::formula::Expr;
use crate::value::{Fault, Function, Part, Value};

/// Points of the unit cube that lie on no symmetry of it: multiples of the generalised golden ratio, modulo 1.
/// Source: M. Roberts, "The unreasonable effectiveness of quasirandom sequences" (2018), three dimensions.
fn spread(i: u32) -> [f64; 3] {
    const G: f64 = 1.220_744_084_605_759_5;
    let n = f64::from(i) + 0.5;
    [n / G, n / (G * G), n / (G * G * G)].map(|x| x - x.floor())
}

/// How many points a trace is compared at.
const COMPARED: u32 = 8;

/// How far trace and function may differ, in parts of the larger of the value and 1: both round as they go.
const ALIKE: f64 = 1e-9;

/// The component expressions of a script's function of `names`, which run over `ranges`.
/// `count` is how many it gives: one number, or a list.
pub(super) fn components(
    host: &dyn Host,
    word: &str,
    function: &Function,
    names: &[(&str, (f64, f64))],
    count: usize,
) -> Result<Vec<Expr>, Fault> {
    let symbols = names.iter().map(|(n, _)| Value::Field(Expr::var(n))).collect();
    let traced = host.call(function, symbols)?;
    let traced = fields(&traced, count).ok_or_else(|| wrong_answer(word, &traced, count))?;
    for i in 0..COMPARED {
        let place: Vec<f64> = names.iter().zip(spread(i)).map(|((_, (a, b)), s)| a + (b - a) * s).collect();
        let given = host.call(function, place.iter().map(|x| Value::Number(*x)).collect())?;
        let given = fields(&given, count).ok_or_else(|| wrong_answer(word, &given, count))?;
        let known: Vec<(&str, Expr)> =
            names.iter().zip(&place).map(|((n, _), x)| (*n, Expr::constant(*x))).collect();
        for (trace, value) in traced.iter().zip(&given) {
            let trace = trace.with(&known);
            if !alike(&trace, value) {
                return Err(differs(word));
            }
        }
    }
    Ok(traced)
}

/// A function of one number, `name`, as expressions; where it chooses by its argument, as a spline that follows it,
/// whose pieces are given too.
pub(super) fn followed(
    host: &dyn Host,
    word: &str,
    function: &Function,
    (name, range): (&str, (f64, f64)),
    count: usize,
) -> Result<Followed, Fault> {
    let fault = match components(host, word, function, &[(name, range)], count) {
        Ok(traced) => return Ok(Followed::Traced(traced)),
        Err(fault) if fault.is_limit() => return Err(fault),
        Err(fault) => fault,
    };
    let mut at = |t: f64| {
        let given = host.call(function, vec![Value::Number(t)])?;
        let numbers = fields(&given, count).ok_or_else(|| wrong_answer(word, &given, count))?;
        let number = |k: usize| numbers.get(k).map_or(Some(0.0), Expr::as_const);
        match [0, 1, 2].map(number) {
            [Some(x), Some(y), Some(z)] => Ok(Vec3::new(x, y, z)),
            _ => Err(wrong_answer(word, &given, count)),
        }
    };
    // What the function cannot do with a number either is told as it was first.
    if let Err(with_number) = at(0.5 * (range.0 + range.1)) {
        return Err(if with_number.is_limit() { with_number } else { fault });
    }
    let spline = form::Spline::followed(range, &mut at)?
        .map_err(|fault| Fault::new(format!("{word}: {fault}")).part(Part::Argument(0)))?;
    host.say(format!("{word}: the function chooses by its argument; it is followed from place to place"));
    Ok(Followed::Sampled(spline))
}

/// A function as it could be taken in.
pub(super) enum Followed {
    /// By its expressions.
    Traced(Vec<Expr>),
    /// By its places.
    Sampled(form::Spline),
}

/// True when both are the same number, or neither has a value; a field that stands in both is left alone.
fn alike(trace: &Expr, value: &Expr) -> bool {
    match (trace.as_const(), value.as_const()) {
        (Some(a), Some(b)) => {
            a == b || (a.is_nan() && b.is_nan()) || (a - b).abs() <= ALIKE * a.abs().max(b.abs()).max(1.0)
        }
        (None, None) => true,
        _ => false,
    }
}

fn fields(value: &Value, count: usize) -> Option<Vec<Expr>> {
    match value {
        Value::List(items) if items.len() == count => items.iter().map(Value::field).collect(),
        other if count == 1 => other.field().map(|f| vec![f]),
        _ => None,
    }
}

fn wrong_answer(word: &str, got: &Value, count: usize) -> Fault {
    let wants = if count == 1 { "a number".to_owned() } else { format!("a list of {count} numbers") };
    let got = match got {
        Value::List(items) => format!("a list of {}", items.len()),
        other => other.kind().with_article().to_owned(),
    };
    Fault::new(format!("{word}: the function should give {wants}, it gave {got}")).part(Part::Argument(0))
}

fn differs(word: &str) -> Fault {
    Fault::new(format!("{word}: the function cannot be followed: it chooses by the value of its argument"))
        .hint(format!("{}; or write the formula as a text", super::IN_A_FUNCTION))
        .part(Part::Argument(0))
}
