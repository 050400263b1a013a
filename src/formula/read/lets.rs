//! Values given inside calls: `With[{a = 2}, …]`, `LET(r, …, …)`, `Rational(1, 3)`, and options such as `axis=1`.

use super::brackets::outside;
use super::objects::matching;
use super::token::*;

/// Options of array functions that say nothing about a value here.
const OPTIONS: &[&str] = &["axis", "keepdims", "ord", "dtype", "out", "indexing", "num", "endpoint", "dim"];

/// The text with such calls written out.
pub(super) fn written_out(mut tokens: Vec<Token>, code: bool) -> Vec<Token> {
    let mut i = 0;
    while i < tokens.len() {
        let close = match tokens.get(i + 1) {
            Some(t) if t.gap == Gap::None && (t.is('(') || t.is('[')) && tokens[i].word().is_some() => {
                matching(&tokens, i + 1)
            }
            _ => None,
        };
        let new = close.and_then(|close| call(&tokens[i], &tokens[i + 2..close], &tokens[i + 1], code));
        if let (Some(close), Some(new)) = (close, new) {
            tokens.splice(i..=close, new);
        }
        i += 1;
    }
    tokens
}

fn pieces(inside: &[Token]) -> Vec<&[Token]> {
    let mut from = 0;
    let mut out = Vec::new();
    for c in outside(inside, |_, t| t.is(',') || t.is(';')).into_iter().chain([inside.len()]) {
        out.push(&inside[from..c]);
        from = c + 1;
    }
    out
}

fn call(name: &Token, inside: &[Token], bracket: &Token, code: bool) -> Option<Vec<Token>> {
    let sign = |c: char| Token { tok: Tok::Sym(c), at: name.at, gap: Gap::None };
    let parts = pieces(inside);
    match (name.word()?, parts.as_slice()) {
        ("Rational" | "Fraction", [a, b]) if !a.is_empty() && !b.is_empty() => Some(
            [&[sign('('), sign('(')], *a, &[sign(')'), sign('/'), sign('(')], b, &[sign(')'), sign(')')]]
                .concat(),
        ),
        ("With" | "Module" | "Block", [list, body]) if bracket.is('[') => {
            let given = match list {
                [open, inside @ .., close] if open.is('{') && close.is('}') => inside,
                _ => return None,
            };
            let mut out: Vec<Token> = Vec::new();
            for value in pieces(given).into_iter().filter(|v| v.get(1).is_some_and(|t| t.is('='))) {
                out.extend_from_slice(value);
                out.push(sign('\n'));
            }
            out.extend_from_slice(body);
            Some(out)
        }
        ("LET", [values @ .., body]) if values.len() >= 2 && values.len() % 2 == 0 => {
            let mut out: Vec<Token> = Vec::new();
            for pair in values.chunks(2) {
                out.extend_from_slice(pair[0]);
                out.push(sign('='));
                out.extend_from_slice(pair[1]);
                out.push(sign('\n'));
            }
            out.extend_from_slice(body);
            Some(out)
        }
        (_, [first, rest @ ..]) if code => {
            let option = |p: &&[Token]| {
                p.first().and_then(Token::word).is_some_and(|w| OPTIONS.contains(&w))
                    && p.get(1).is_some_and(|t| t.is('='))
            };
            if !rest.iter().any(&option) {
                return None;
            }
            let mut out = vec![name.clone(), bracket.clone()];
            out.extend_from_slice(first);
            for p in rest.iter().filter(|p| !option(p)) {
                out.push(sign(','));
                out.extend_from_slice(p);
            }
            out.push(sign(if bracket.is('(') { ')' } else { ']' }));
            Some(out)
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{AT, all_are};

    #[test]
    fn values_inside_calls_are_taken_out() {
        let [x, y, z] = AT;
        let bowl = 2.0 * x * x + y * y - z;
        all_are(&[
            ("With[{a = 2}, a x^2 + y^2 - z]", bowl),
            ("Module[{r = Sqrt[x^2+y^2]}, r^2 - z]", x * x + y * y - z),
            ("a x^2 + y^2 == z /. {a -> 2}", bowl),
            ("=LET(r,SQRT(x^2+y^2),r-z)", x.hypot(y) - z),
            ("f = sp.Rational(1,3)*x**2 + y - z", x * x / 3.0 + y - z),
            ("def sdf(p):\n    return np.linalg.norm(p, axis=1) - 1", (x * x + y * y + z * z).sqrt() - 1.0),
        ]);
    }

    #[test]
    fn names_and_lines_of_code_are_read() {
        let [x, y, z] = AT;
        all_are(&[
            ("float f(vec3 p){ float th = p.x; return 2.0*th - p.y; }", 2.0 * x - y),
            ("fun f(x: Double, y: Double, z: Double) = x*x + y*y - z", x * x + y * y - z),
            (
                "from sympy import *\nx, y, z = symbols('x y z')\nexpr = sin(x)*cos(y) - z",
                x.sin() * y.cos() - z,
            ),
            ("real(8) :: f\nf = x**2 - 0.5d0*z", x * x - 0.5 * z),
            ("      F = X**2 + Y**2\n     & - Z**2", x * x + y * y - z * z),
            ("The double cone x^2 + y^2 = z^2", x * x + y * y - z * z),
            ("We call the function z = 2xy", z - 2.0 * x * y),
        ]);
    }
}
