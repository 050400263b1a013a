//! Functions of the coordinates by their name alone: `f(x, y, z)` beside `f = …`, and `f⁻¹(0.5)` as the level of f.

use super::clauses::{Equation, Statement, Statements, is_axis};
use super::kinds::Context2;
use super::objects::matching;
use super::token::*;

/// `0 < f(x, y, z) < 1` beside `f = x^2 + y^2 - z`: the coordinates in brackets behind a name that they give say nothing
/// more.
pub(super) fn without_coordinates(statements: &mut Statements, cx: &Context2) {
    let spatial = |e: &&Equation| {
        e.args.is_empty() && !is_axis(&e.name) && cx.names_of(&e.body).iter().any(|n| is_axis(n))
    };
    let names: Vec<String> = statements.equations.iter().filter(spatial).map(|e| e.name.clone()).collect();
    let shorten = |tokens: &mut Vec<Token>| {
        let mut i = 0;
        while i + 1 < tokens.len() {
            let named = tokens[i].word().is_some_and(|w| names.iter().any(|n| n == w));
            let call = named && tokens[i + 1].is('(') && tokens[i + 1].gap == Gap::None;
            let close = if call { matching(tokens, i + 1) } else { None };
            let all = |c: &usize| {
                let inside = &tokens[i + 2..*c];
                inside.len() == 5 && inside.iter().step_by(2).zip(["x", "y", "z"]).all(|(t, a)| t.is_word(a))
            };
            if let Some(c) = close.filter(all) {
                tokens.drain(i + 1..=c);
            }
            i += 1;
        }
    };
    statements.formulas.iter_mut().for_each(|f| shorten(&mut f.tokens));
    statements.equations.iter_mut().for_each(|e| shorten(&mut e.body));
}

/// `f^{-1}(0.5)`, alone or with a name, beside a definition of f: the points where f has that value.
pub(super) fn of_values(statements: &mut Statements, cx: &mut Context2) {
    let mut found: Option<(Vec<Token>, usize)> = None;
    for f in &statements.formulas {
        found = found.or_else(|| level(&f.tokens, statements).map(|t| (t, f.order)));
    }
    for e in statements.equations.iter().filter(|e| e.args.is_empty()) {
        found = found.or_else(|| level(&e.body, statements).map(|t| (t, e.order)));
    }
    let Some((tokens, order)) = found else { return };
    let at = span(&tokens);
    let named: Vec<String> =
        statements.equations.iter().filter(|e| e.order == order).map(|e| e.name.clone()).collect();
    named.iter().for_each(|n| {
        cx.known.defined.remove(n);
    });
    statements.equations.retain(|e| e.order != order);
    statements.formulas.retain(|f| f.order != order);
    cx.remark(
        at,
        "the inverse of a function at a value read as the points where the function has that value",
    );
    statements.formulas.push(Statement { tokens, order, returned: false });
}

/// `f^(-1)(c)` as `f(x, y, z) = c`, of a function that the text defines.
fn level(tokens: &[Token], statements: &Statements) -> Option<Vec<Token>> {
    let [name, raise, rest @ ..] = tokens else { return None };
    let e = statements.equations.iter().find(|e| name.is_word(&e.name) && e.order > 0)?;
    let open = match rest {
        [minus, one, ..] if minus.is('-') && one.tok == Tok::Num(1.0, true) => 2,
        [a, minus, one, b, ..]
            if (a.is('(') || a.is('{'))
                && minus.is('-')
                && one.tok == Tok::Num(1.0, true)
                && (b.is(')') || b.is('}')) =>
        {
            4
        }
        _ => return None,
    };
    let value = rest.get(open + 1..rest.len().checked_sub(1)?)?;
    let whole =
        raise.is('^') && rest.get(open)?.is('(') && matching(tokens, open + 2) == Some(tokens.len() - 1);
    if !whole || value.is_empty() || value.iter().any(|t| t.is(',')) || !e.args.iter().all(|a| is_axis(a)) {
        return None;
    }
    let token = |tok: Tok| Token { tok, at: name.at, gap: Gap::None };
    let mut out = vec![name.clone()];
    if !e.args.is_empty() {
        out.push(token(Tok::Sym('(')));
        for (k, a) in e.args.iter().enumerate() {
            out.extend((k > 0).then(|| token(Tok::Sym(','))));
            out.push(token(Tok::Word(a.clone(), true)));
        }
        out.push(token(Tok::Sym(')')));
    }
    out.push(token(Tok::Sym('=')));
    out.extend_from_slice(value);
    Some(out)
}
