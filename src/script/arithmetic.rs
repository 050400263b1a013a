//! Operators: numbers as a maker writes them, fields and forms through the table of `words`.
//!
//! Every pair of values comes through here (the engine's own operators are only tried when nothing is registered),
//! so no comparison of different kinds is silently false. Powers come from `libm`, alike on every machine.

use std::any::TypeId;
use std::sync::Arc;

use rhai::{Dynamic, EvalAltResult, FuncRegistration, Module, NativeCallContext, Position};

use super::convert::{dynamic, value};
use super::engine::Shared;
use super::faults::raised;
use crate::value::Fault;
use crate::words::{Operator, operate, opposite};

type Answer = Result<Dynamic, Box<EvalAltResult>>;

/// Operators with the sign the engine knows them by.
const SIGNS: [(&str, Operator); 14] = [
    ("+", Operator::Add),
    ("-", Operator::Subtract),
    ("*", Operator::Multiply),
    ("/", Operator::Divide),
    ("%", Operator::Remainder),
    ("**", Operator::Power),
    ("<", Operator::Less),
    ("<=", Operator::LessEqual),
    (">", Operator::Greater),
    (">=", Operator::GreaterEqual),
    ("==", Operator::Equal),
    ("!=", Operator::Unequal),
    ("|", Operator::Or),
    ("&", Operator::And),
];

/// Registers all operators into a module.
pub(super) fn register(module: &mut Module, shared: &Arc<Shared>) {
    let any = TypeId::of::<Dynamic>();
    for (sign, operator) in SIGNS {
        let shared = shared.clone();
        native(module, sign, &[any, any], move |ctx, args| {
            let (a, b) = (args[0].flatten_clone(), args[1].flatten_clone());
            binary(sign, operator, &a, &b)
                .and_then(|made| shared.counted(made))
                .map_err(|fault| raised(fault, ctx.call_position()))
        });
    }
    for (sign, operator) in [
        ("+=", Operator::Add),
        ("-=", Operator::Subtract),
        ("*=", Operator::Multiply),
        ("/=", Operator::Divide),
        ("%=", Operator::Remainder),
        ("**=", Operator::Power),
        ("|=", Operator::Or),
        ("&=", Operator::And),
    ] {
        let shared = shared.clone();
        native(module, sign, &[any, any], move |ctx, args| {
            let (a, b) = (args[0].flatten_clone(), args[1].flatten_clone());
            let made = binary(sign, operator, &a, &b).and_then(|made| shared.counted(made));
            *args[0] = made.map_err(|fault| raised(fault, ctx.call_position()))?;
            Ok(Dynamic::UNIT)
        });
    }
    native(module, "-", &[any], |ctx, args| {
        let given = args[0].flatten_clone();
        if let Some(i) = given.as_int().ok().and_then(i64::checked_neg) {
            return Ok(i.into());
        }
        let Some(v) = value(&given) else { return Err(raised(unknown("-"), ctx.call_position())) };
        opposite(&v).map(dynamic).map_err(|fault| raised(fault, ctx.call_position()))
    });
    native(module, "!", &[any], |ctx, args| {
        let given = args[0].flatten_clone();
        given.as_bool().map(|b| Dynamic::from(!b)).map_err(|_| {
            let kind = value(&given).map_or("this value", |v| v.kind().with_article());
            let fault = Fault::new(format!("`!` wants true or false, got {kind}"));
            raised(fault.hint(crate::words::IN_A_FUNCTION), ctx.call_position())
        })
    });
    native(module, "+", &[any], |_, args| Ok(args[0].flatten_clone()));
}

/// Registers one function that sees its arguments as the engine has them.
pub(super) fn native(
    module: &mut Module,
    name: &str,
    types: &[TypeId],
    body: impl Fn(&NativeCallContext<'_>, &mut [&mut Dynamic]) -> Answer + Send + Sync + 'static,
) {
    let function = rhai::RhaiFunc::Method {
        func: rhai::Shared::new(
            move |ctx: Option<NativeCallContext<'_>>, args: &mut [&mut Dynamic]| match ctx {
                Some(ctx) => body(&ctx, args),
                None => Err(raised(Fault::new("a word was called outside a run"), Position::NONE)),
            },
        ),
        has_context: true,
        is_pure: true,
        is_volatile: true,
    };
    FuncRegistration::new(name).in_global_namespace().set_into_module_raw(module, types, function);
}

fn unknown(sign: &str) -> Fault {
    Fault::new(format!("`{sign}` cannot be used with this kind of value"))
}

fn binary(sign: &str, operator: Operator, a: &Dynamic, b: &Dynamic) -> Result<Dynamic, Fault> {
    if let (Ok(x), Ok(y)) = (a.as_int(), b.as_int()) {
        return whole(operator, x, y);
    }
    if let (Some(x), Some(y)) = (number(a), number(b)) {
        return Ok(real(operator, x, y));
    }
    if let Some(made) = engines_own(operator, a, b) {
        return Ok(made);
    }
    match (value(a), value(b)) {
        (Some(x), Some(y)) => operate(operator, &x, &y).map(dynamic),
        _ => Err(unknown(sign)),
    }
}

#[allow(clippy::cast_precision_loss)]
fn number(x: &Dynamic) -> Option<f64> {
    x.as_float().ok().or_else(|| x.as_int().ok().map(|i| i as f64))
}

/// Two whole numbers: whole again where the result is, real where it is not.
#[allow(clippy::cast_precision_loss)]
fn whole(operator: Operator, x: i64, y: i64) -> Result<Dynamic, Fault> {
    let fits = |made: Option<i64>| {
        made.map(Dynamic::from).ok_or_else(|| {
            Fault::new("the result is too large for a whole number")
                .hint("write one of the numbers with a point, as in `2.0`, to calculate with reals")
        })
    };
    match operator {
        Operator::Add => fits(x.checked_add(y)),
        Operator::Subtract => fits(x.checked_sub(y)),
        Operator::Multiply => fits(x.checked_mul(y)),
        Operator::Remainder if y == 0 => {
            Err(Fault::new("`%` by zero").hint("the remainder of a division by zero has no value"))
        }
        Operator::Remainder => fits(x.checked_rem_euclid(y).map(|r| if y < 0 && r != 0 { r + y } else { r })),
        Operator::Power => match u32::try_from(y).ok().and_then(|n| x.checked_pow(n)) {
            Some(made) => Ok(made.into()),
            None => Ok(libm::pow(x as f64, y as f64).into()),
        },
        Operator::Or => Ok((x | y).into()),
        Operator::And => Ok((x & y).into()),
        Operator::Less => Ok((x < y).into()),
        Operator::LessEqual => Ok((x <= y).into()),
        Operator::Greater => Ok((x > y).into()),
        Operator::GreaterEqual => Ok((x >= y).into()),
        Operator::Equal => Ok((x == y).into()),
        Operator::Unequal => Ok((x != y).into()),
        Operator::Divide => Ok((x as f64 / y as f64).into()),
    }
}

#[allow(clippy::float_cmp)]
fn real(operator: Operator, x: f64, y: f64) -> Dynamic {
    match operator {
        Operator::Add => (x + y).into(),
        Operator::Subtract => (x - y).into(),
        Operator::Multiply => (x * y).into(),
        Operator::Divide => (x / y).into(),
        Operator::Remainder => crate::formula::Binary::Mod.of(x, y).into(),
        Operator::Power => libm::pow(x, y).into(),
        Operator::Less => (x < y).into(),
        Operator::LessEqual => (x <= y).into(),
        Operator::Greater => (x > y).into(),
        Operator::GreaterEqual => (x >= y).into(),
        Operator::Equal => (x == y).into(),
        Operator::Unequal => (x != y).into(),
        Operator::Or | Operator::And => Dynamic::UNIT,
    }
}

/// Texts and lists put together, as the engine does it.
fn engines_own(operator: Operator, a: &Dynamic, b: &Dynamic) -> Option<Dynamic> {
    if operator != Operator::Add {
        return None;
    }
    if let (Ok(x), Ok(y)) = (a.as_array_ref(), b.as_array_ref()) {
        return Some(x.iter().chain(y.iter()).cloned().collect::<Vec<_>>().into());
    }
    if a.is_string() || b.is_string() {
        let (x, y) = (value(a)?, value(b)?);
        return Some(format!("{x}{y}").into());
    }
    None
}
