//! Conditions on one name beside a formula: where a shape is cut, `x^2 + y^2 = z^2, z > 0`, or how far a parameter runs.

use super::brackets::outside;
use super::clauses::{Equation, Range, Statement, Statements, is_axis};
use super::kinds::Context2;
use super::main_formula::{Main, formula, is_list, relation_at, shaped};
use super::names::constant;
use super::parse::comparison;
use super::ranges::as_condition;
use super::token::*;
use super::turned;

/// Takes the conditions out of the formulas, when what is left is one equation; `shaped`: it is not among them. Those on
/// single coordinates are ranges.
pub(super) fn set_apart(
    formulas: &mut Vec<Statement>,
    statements: &mut Statements,
    shaped: bool,
    code: bool,
) {
    let equation = |f: &Statement| f.tokens.iter().any(|t| t.is('='));
    let shaped = shaped && !formulas.iter().any(equation);
    let equations = formulas.iter().filter(|f| equation(f)).count() + usize::from(shaped);
    let (mut limits, mut several) = (vec![], vec![]);
    for f in formulas.iter().filter(|f| !equation(f)) {
        match limit(&f.tokens, &is_axis) {
            Some(range) => limits.push(range),
            None => several.push(f.clone()),
        }
    }
    let carried = several.iter().all(|f| is_solid(f) && !code);
    if equations == 1 && carried {
        formulas.retain(equation);
        statements.ranges.extend(limits);
        statements.conditions.extend(several);
    }
}

/// Whether a formula is an inequality.
pub(super) fn is_solid(f: &Statement) -> bool {
    f.tokens.iter().any(|t| matches!(t.sym(), Some('<' | '>' | '≤' | '≥')))
        && !f.tokens.iter().any(|t| t.is('='))
}

/// Ranges of coordinates beside inequalities are inequalities too.
pub(super) fn of_solid(formulas: &mut Vec<Statement>, statements: &mut Statements, cx: &mut Context2) {
    let code = cx.given.style.code;
    if formulas.is_empty() || !formulas.iter().all(|f| is_solid(f) && !f.returned) {
        return;
    }
    let round = !code
        && formulas.iter().any(|f| cx.names_of(&f.tokens).iter().any(|n| matches!(n.as_str(), "r" | "rho")));
    let cuts = |r: &Range| {
        let coordinate =
            is_axis(&r.name) || round && matches!(r.name.as_str(), "r" | "rho" | "theta" | "phi");
        coordinate && (!code || relation_at(&r.whole).is_some())
    };
    let (cuts, others): (Vec<Range>, Vec<Range>) =
        std::mem::take(&mut statements.ranges).into_iter().partition(cuts);
    statements.ranges = others;
    let order = formulas.iter().map(|f| f.order).max().unwrap_or_default();
    for r in cuts {
        let angle = matches!(r.name.as_str(), "theta" | "phi");
        let tokens = if angle { turned::angle_between(&r, cx) } else { Some(as_condition(&r)) };
        formulas.extend(tokens.map(|tokens| Statement { tokens, order, returned: false }));
    }
}

/// Double inequalities with a coordinate alone in their middle, when there is nothing else: the solid where all of them
/// hold, with the ranges of the other coordinates.
pub(super) fn solid_of_ranges(
    statements: &mut Statements,
    cx: &mut Context2,
    helpers: &[Equation],
) -> Option<Main> {
    if helpers.iter().any(|h| cx.names_of(&h.body).iter().any(|n| is_axis(n))) || shaped(helpers, &[], cx) {
        return None;
    }
    let argument = |n: &str| helpers.iter().any(|h| h.args.iter().any(|a| a == n));
    let spatial = |n: &str| (is_axis(n) || matches!(n, "r" | "rho")) && !argument(n);
    let boxed = || ["x", "y", "z"].iter().all(|n| statements.ranges.iter().any(|r| r.name == *n));
    let between = |r: &Range| relation_at(&r.whole).is_some_and(|i| !r.whole[i].is('='));
    let compared = |r: &Range| spatial(&r.name) && between(r);
    if !statements.ranges.iter().any(compared) && !boxed() {
        return None;
    }
    turned::by_custom(&mut statements.ranges);
    let round = statements.ranges.iter().any(|r| matches!(r.name.as_str(), "r" | "rho"));
    let mut tokens = Vec::new();
    for r in std::mem::take(&mut statements.ranges) {
        let condition = match r.name.as_str() {
            "theta" | "phi" if round => turned::angle_between(&r, cx),
            name if spatial(name) && between(&r) => Some(r.whole.clone()),
            name if spatial(name) => Some(as_condition(&r)),
            _ => {
                statements.ranges.push(r);
                continue;
            }
        };
        let Some(condition) = condition else { continue };
        if !tokens.is_empty() {
            tokens.push(Token { tok: Tok::Sym('∧'), at: r.at, gap: Gap::None });
        }
        tokens.extend(condition);
    }
    Some(formula(tokens, usize::MAX))
}

/// A condition that may be joined to others: in brackets where it holds "or" or a choice.
pub(super) fn whole(tokens: Vec<Token>) -> Vec<Token> {
    let loose = |t: &Token| {
        matches!(t.sym(), Some('∨' | '?' | '|')) || t.word().is_some_and(|w| matches!(w, "or" | "if" | "not"))
    };
    if !tokens.iter().any(loose) {
        return tokens;
    }
    let sign = |c: char| Token { tok: Tok::Sym(c), at: span(&tokens), gap: Gap::Blank };
    [vec![sign('(')], tokens.clone(), vec![sign(')')]].concat()
}

/// Takes conditions on single parameters, `t ≥ 0, t ≤ 5` or `|v| < 1`, out of the formulas where the shape is a list of
/// components; the other formulas are returned.
pub(super) fn of_parameters(
    formulas: Vec<Statement>,
    axes: &[Equation],
    helpers: &[Equation],
    statements: &mut Statements,
    cx: &mut Context2,
) -> Vec<Statement> {
    let name = |n: &str| !is_axis(n) && constant(n).is_none();
    let found: Vec<Range> = formulas.iter().filter_map(|f| limit(&f.tokens, &name)).collect();
    let rest: Vec<&Statement> = formulas.iter().filter(|f| limit(&f.tokens, &name).is_none()).collect();
    let bare = rest.len() == 3 && rest.iter().all(|f| relation_at(&f.tokens).is_none());
    let listed = match rest.as_slice() {
        [] => axes.len() >= 2 || helpers.iter().any(|h| is_list(&h.body)),
        [one] => is_list(&one.tokens),
        _ => bare,
    };
    if found.is_empty() || !listed {
        return formulas;
    }
    let mut whole: Vec<Range> = Vec::new();
    for r in &found {
        match whole.iter_mut().find(|w| w.name == r.name) {
            Some(w) if w.low.is_empty() => w.low.clone_from(&r.low),
            Some(w) => w.high.clone_from(&r.high),
            None => whole.push(r.clone()),
        }
    }
    for r in &whole {
        if r.low.is_empty() || r.high.is_empty() {
            cx.remark(span(&r.whole), "this condition on a parameter was left out");
        }
    }
    statements.ranges.extend(whole.into_iter().filter(|r| !r.low.is_empty() && !r.high.is_empty()));
    rest.into_iter().cloned().collect()
}

/// `z > 0`, `0 < z`, `|z| < 2`, for a name that fits; a side without an end has no tokens.
fn limit(tokens: &[Token], fits: &dyn Fn(&str) -> bool) -> Option<Range> {
    let [i] = outside(tokens, |_, t| comparison(t).is_some())[..] else { return None };
    let less = match tokens[i].sym()? {
        '<' | '≤' => true,
        '>' | '≥' => false,
        _ => return None,
    };
    let (left, right) = (&tokens[..i], &tokens[i + 1..]);
    let (named, end, below) = if alone(left, fits) { (left, right, less) } else { (right, left, !less) };
    if !alone(named, fits)
        || end.is_empty()
        || end.iter().any(|t| t.word().is_some_and(|w| is_axis(w) || fits(w)))
    {
        return None;
    }
    let both = named.len() == 3;
    let name = &named[named.len() / 2];
    let negative = || {
        let sign = |c| Token { tok: Tok::Sym(c), at: end[0].at, gap: Gap::None };
        [vec![sign('-'), sign('(')], end.to_vec(), vec![sign(')')]].concat()
    };
    let (low, high) = match (both, below) {
        (true, true) => (negative(), end.to_vec()),
        (true, false) => return None,
        (false, true) => (vec![], end.to_vec()),
        (false, false) => (end.to_vec(), vec![]),
    };
    Some(Range { name: name.word()?.to_owned(), at: name.at, low, high, whole: tokens.to_vec() })
}

/// `z` or `|z|`, for a name that fits.
fn alone(side: &[Token], fits: &dyn Fn(&str) -> bool) -> bool {
    let named = |t: &Token| t.word().is_some_and(fits);
    match side {
        [one] => named(one),
        [bar, one, end] => bar.is('|') && end.is('|') && named(one),
        _ => false,
    }
}
