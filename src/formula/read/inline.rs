//! Code of several functions becomes one: each that only helps is written out where it is called, with its local names
//! replaced by what they stand for.

use std::collections::BTreeMap;

use super::code::{Header, header, list};
use super::faults::{Read, Span};
use super::lexer::MOST_TOKENS;
use super::shapes;
use super::style::Style;
use super::token::*;

/// A function of the text, its body as it stands or as the expression that it comes to.
#[derive(Clone)]
pub(super) struct Function {
    pub name: String,
    pub args: Vec<String>,
    pub body: Vec<Token>,
    /// Where its name stands.
    pub at: Span,
    /// Where it stands among the tokens.
    from: usize,
    to: usize,
}

impl Function {
    /// Whether tokens call it.
    pub(super) fn called_in(&self, tokens: &[Token]) -> bool {
        tokens.windows(2).any(|w| w[0].is_word(&self.name) && w[1].is('('))
    }
}

/// A text whose helping functions are written out.
pub(super) struct Inlined {
    pub tokens: Vec<Token>,
    /// The arguments of the function that is left.
    pub args: Option<Vec<String>>,
    /// What is to be said about functions that the shape does not use.
    pub unused: Vec<(Span, String)>,
}

/// What local names stand for.
type Locals = BTreeMap<String, Vec<Token>>;

/// The functions of a text, in their order.
pub(super) fn functions(tokens: &[Token], style: Style) -> Vec<Function> {
    let mut functions: Vec<Function> = Vec::new();
    let mut i = 0;
    while i < tokens.len() {
        let start = i == 0 || tokens[i - 1].sym().is_some_and(|c| matches!(c, '\n' | ';' | '}'));
        match start.then(|| found(tokens, i, style)).flatten() {
            Some((name, args, body, to)) => {
                functions.push(Function {
                    name,
                    args,
                    body: body.to_vec(),
                    at: tokens[i + usize::from(is_keyword(&tokens[i]))].at,
                    from: i,
                    to,
                });
                i = to;
            }
            None => i += 1,
        }
    }
    functions
}

/// The text with helping functions written out, and the arguments of the one that is left; `None` where there are
/// none, or one that is needed does more than name values and return.
///
/// # Errors
/// Several functions may be the shape.
pub(super) fn inlined(
    tokens: &[Token],
    functions: Vec<Function>,
    points: &BTreeMap<String, usize>,
) -> Read<Option<Inlined>> {
    let blocked = functions
        .iter()
        .any(|f| tokens[f.from..f.to].iter().any(|t| t.is('{')) && arrow(&tokens[f.from..f.to]));
    let mut rest = Vec::new();
    let mut at = 0;
    for f in &functions {
        rest.extend_from_slice(&tokens[at..f.from]);
        at = f.to;
    }
    rest.extend_from_slice(&tokens[at..]);
    if functions.len() < 2 && !blocked && !functions.iter().any(|f| f.called_in(&rest)) {
        return Ok(None);
    }
    if functions.iter().any(|f| rest.iter().any(|t| t.is_word(&f.name))) {
        let out = needed(&functions, &rest)
            .and_then(|all| written(&rest, &all, &Locals::new()))
            .map(|tokens| Inlined { tokens, args: None, unused: vec![] });
        return Ok(out);
    }
    let main = &functions[shapes::main(&functions, points)?];
    Ok(needed(&functions, &main.body).and_then(|all| closed(main, &functions, &all, rest)))
}

/// What stands beside the functions gives values, and the shape's function what the text returns.
fn closed(
    main: &Function,
    functions: &[Function],
    all: &[Function],
    mut rest: Vec<Token>,
) -> Option<Inlined> {
    let unused = functions
        .iter()
        .filter(|f| f.from != main.from && all.iter().all(|a| a.from != f.from))
        .map(|f| (f.at, format!("{} is not used by {}, which was read as the shape", f.name, main.name)))
        .collect();
    let reduced = reduced(&statements(&main.body), all)?;
    let main = Function { body: reduced, ..main.clone() };
    let sign = |c: char| Token {
        tok: Tok::Sym(c),
        at: main.body.first().map_or_else(Default::default, |t| t.at),
        gap: Gap::None,
    };
    rest.push(sign('\n'));
    rest.push(Token { tok: Tok::Word("return".into(), true), ..sign(' ') });
    let mut body = main.body;
    if let Some(first) = body.first_mut() {
        first.gap = Gap::Blank;
    }
    rest.extend(body);
    Some(Inlined { tokens: rest, args: Some(main.args), unused })
}

/// The functions that tokens call, and those that these call, each in one expression and after those that it calls;
/// `None` where one does not come to an expression, or calls itself.
fn needed(functions: &[Function], tokens: &[Token]) -> Option<Vec<Function>> {
    let mut wanted: Vec<&Function> = functions.iter().filter(|f| f.called_in(tokens)).collect();
    let mut k = 0;
    while k < wanted.len() {
        let body = &wanted[k].body;
        let more = functions.iter().filter(|f| f.called_in(body) && wanted.iter().all(|w| w.from != f.from));
        let more: Vec<&Function> = more.collect();
        wanted.extend(more);
        k += 1;
    }
    wanted.sort_by_key(|f| f.from);
    let mut out: Vec<Function> = Vec::new();
    while !wanted.is_empty() {
        let ready = wanted.iter().position(|f| !wanted.iter().any(|g| g.called_in(&f.body)))?;
        let f = wanted.remove(ready);
        let body = reduced(&statements(&f.body), &out)?;
        out.push(Function { body, ..f.clone() });
    }
    Some(out)
}

fn arrow(tokens: &[Token]) -> bool {
    tokens.iter().any(|t| t.is('→') || t.is('@'))
}

fn is_keyword(t: &Token) -> bool {
    t.word().is_some_and(|w| matches!(w, "def" | "function" | "fn" | "func" | "fun"))
}

type Found<'a> = (String, Vec<String>, &'a [Token], usize);

/// The function that begins at a place: its name, arguments, body, and the place after it.
fn found<'a>(t: &'a [Token], i: usize, style: Style) -> Option<Found<'a>> {
    let word = t[i].word()?;
    if is_keyword(&t[i]) {
        let Header { name, args, end } = header(t, i, style)?;
        let (body, to) = if word == "def" { indented(t, end) } else { braced(t, end)? };
        return Some((name?, args, body, to));
    }
    // `name(args) { … }`, `name = (args) => { … }`, `name = function (args) { … }`
    if t.get(i + 1)?.is('(') {
        let (args, end) = list(t, i + 1)?;
        let (body, to) = braced(t, end)?;
        return Some((word.to_owned(), args, body, to));
    }
    if t.get(i + 1)?.is('=') {
        // `@` stands for the captures of a closure, `[&](vec3 p) { … }`.
        let open = i + 2 + usize::from(t.get(i + 2)?.is_word("function") || t[i + 2].is('@'));
        let (args, end) = list(t, open)?;
        let end = if t.get(end)?.is('→') { end + 1 } else { end };
        let (body, to) = braced(t, end)?;
        return Some((word.to_owned(), args, body, to));
    }
    None
}

/// What stands in braces from a place on (blank lines before them), and the place after.
fn braced(t: &[Token], mut from: usize) -> Option<(&[Token], usize)> {
    // A type after an arrow: `-> f64 {`.
    let kind = |k: usize| {
        let arrow = k > 0 && t[k - 1].is('→');
        t[k].word().is_some() && (arrow || matches!(t[k].word(), Some("f64" | "f32")))
    };
    while from < t.len() && (t[from].is('\n') || t[from].is('→') || kind(from)) {
        from += 1;
    }
    if !t.get(from)?.is('{') {
        return None;
    }
    let mut depth = 0;
    for (k, token) in t.iter().enumerate().skip(from) {
        match token.sym() {
            Some('{') => depth += 1,
            Some('}') => depth -= 1,
            _ => {}
        }
        if depth == 0 {
            return Some((&t[from + 1..k], k + 1));
        }
    }
    None
}

/// The lines that belong to a header: the rest of its own, and those set in.
fn indented(t: &[Token], from: usize) -> (&[Token], usize) {
    let mut to = from;
    while to < t.len() {
        let dedent = t[to].is('\n') && t.get(to + 1).is_some_and(|n| n.gap == Gap::None && !n.is('\n'));
        if dedent && to > from {
            break;
        }
        to += 1;
    }
    (&t[from..to], to)
}

/// The statements of a body: parted by semicolons where it has any, else by line ends, outside brackets.
fn statements(body: &[Token]) -> Vec<Vec<Token>> {
    let end = if body.iter().any(|t| t.is(';')) { ';' } else { '\n' };
    let mut out = vec![Vec::new()];
    let mut depth = 0;
    for (k, t) in body.iter().enumerate() {
        match t.sym() {
            Some('(' | '[' | '{') => depth += 1,
            Some(')' | ']' | '}') => depth -= 1,
            Some(c) if depth == 0 && (c == end || c == ',' && declared(body, k)) => {
                out.push(Vec::new());
                continue;
            }
            Some('\n') => continue,
            _ => {}
        }
        if let Some(last) = out.last_mut() {
            last.push(t.clone());
        }
    }
    out.retain(|s| !s.is_empty());
    out
}

/// Whether the comma at a place parts declarations: `float c = cos(a), s = sin(a);`.
fn declared(body: &[Token], comma: usize) -> bool {
    let start = body[..comma].iter().rposition(|t| t.is(';')).map_or(0, |k| k + 1);
    let names = |t: &[Token]| matches!(t, [name, sign, ..] if name.word().is_some() && sign.is('='));
    let first: Vec<Token> = body[start..comma].iter().skip_while(|t| t.is('\n')).take(2).cloned().collect();
    names(&first) && names(&body[comma + 1..])
}

/// The one expression that statements come to: names are replaced by their values as they are met.
fn reduced(statements: &[Vec<Token>], functions: &[Function]) -> Option<Vec<Token>> {
    let mut locals = Locals::new();
    for (k, s) in statements.iter().enumerate() {
        let first = s[0].word().unwrap_or_default();
        if matches!(first, "if" | "for" | "while" | "else" | "switch" | "try" | "def" | "function") {
            return None;
        }
        if first == "return" {
            return written(&s[1..], functions, &locals);
        }
        let Some(op) = s.get(1) else { return last(k, statements, s, functions, &locals) };
        let value = |from: usize| written(&s[from..], functions, &locals);
        let with = match op.sym() {
            Some('=') => None,
            Some(ADD_TO) => Some('+'),
            Some(TAKE_FROM) => Some('-'),
            Some(TIMES_TO) => Some('*'),
            Some(OVER_TO) => Some('/'),
            _ => return last(k, statements, s, functions, &locals),
        };
        if first.is_empty() {
            return None;
        }
        let sign = |c: char| Token { tok: Tok::Sym(c), at: op.at, gap: Gap::None };
        let new = match with {
            None => value(2)?,
            Some(c) => {
                let mut sum = written(&s[..1], functions, &locals)?;
                sum.push(sign(c));
                sum.extend(bracketed(value(2)?));
                sum
            }
        };
        let plain = new.len() == 1;
        locals.insert(first.to_owned(), if plain { new } else { bracketed(new) });
    }
    None
}

/// A last statement without `return` is the value.
fn last(
    k: usize,
    all: &[Vec<Token>],
    statement: &[Token],
    functions: &[Function],
    locals: &Locals,
) -> Option<Vec<Token>> {
    (k + 1 == all.len()).then(|| written(statement, functions, locals)).flatten()
}

fn bracketed(mut tokens: Vec<Token>) -> Vec<Token> {
    let at = span(&tokens);
    let gap = tokens.first().map_or(Gap::None, |t| t.gap);
    tokens.insert(0, Token { tok: Tok::Sym('('), at, gap });
    tokens.push(Token { tok: Tok::Sym(')'), at, gap: Gap::None });
    tokens
}

/// Tokens with local names and calls written out; `None` where that grows past what a formula may be.
fn written(tokens: &[Token], functions: &[Function], locals: &Locals) -> Option<Vec<Token>> {
    let mut out: Vec<Token> = Vec::new();
    let mut i = 0;
    while i < tokens.len() {
        let t = &tokens[i];
        let member = i > 0 && tokens[i - 1].is('.');
        let word = t.word().filter(|_| !member);
        let call = word.filter(|_| tokens.get(i + 1).is_some_and(|n| n.is('(')));
        let function = call.and_then(|w| functions.iter().rev().find(|f| f.name == w));
        if let (Some(f), Some((args, to))) = (function, function.and_then(|_| arguments(tokens, i + 1))) {
            if args.len() != f.args.len() {
                return None;
            }
            let mut given = Locals::new();
            for (name, a) in f.args.iter().zip(args) {
                let a = written(a, functions, locals)?;
                given.insert(name.clone(), if a.len() == 1 { a } else { bracketed(a) });
            }
            out.extend(bracketed(written(&f.body, &[], &given)?));
            i = to;
        } else {
            match word.and_then(|w| locals.get(w)) {
                Some(value) => out.extend(value.iter().cloned()),
                None => out.push(t.clone()),
            }
            i += 1;
        }
        if out.len() > MOST_TOKENS {
            return None;
        }
    }
    Some(out)
}

/// The arguments in the bracket at a place, and the place after it.
fn arguments(t: &[Token], open: usize) -> Option<(Vec<&[Token]>, usize)> {
    let (mut depth, mut from) = (0, open + 1);
    let mut out = Vec::new();
    for (k, token) in t.iter().enumerate().skip(open) {
        match token.sym() {
            Some('(' | '[' | '{') => depth += 1,
            Some(')' | ']' | '}') => depth -= 1,
            Some(',') if depth == 1 => {
                out.push(&t[from..k]);
                from = k + 1;
            }
            _ => {}
        }
        if depth == 0 {
            out.push(&t[from..k]);
            return Some((out, k + 1));
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use crate::formula::{Kind, Tape, read};

    fn value(text: &str, at: [f64; 3]) -> f64 {
        let reading = read(text).unwrap_or_else(|f| panic!("{text}: {f}"));
        assert!(reading.free.is_empty(), "{text}: {:?}", reading.free);
        let Kind::Field { value, .. } = reading.kind else { panic!("{text}: no field") };
        Tape::new(&value).unwrap().value(at.into())
    }

    const AT: [f64; 3] = [0.37, 0.81, -0.53];

    #[test]
    fn helpers_with_local_names_are_written_out() {
        let [x, y, z] = AT;
        let wave = (x.cos().powi(2) + y.cos().powi(2)) + z.cos().powi(2) - 1.5;
        let ring = (x.hypot(y) - 1.0).powi(2) + z * z - 0.1;
        let cases = [
            (
                "function g(p) { const a = Math.cos(p); return a * a; }\nfunction f(x, y, z) {\n  let s = g(x) + g(y);\n  return s + g(z) - 1.5;\n}",
                wave,
            ),
            (
                "const g = (p) => { const a = Math.cos(p); return a * a; };\nconst f = (x, y, z) => { return g(x) + g(y) + g(z) - 1.5; };",
                wave,
            ),
            (
                "import math\n\ndef g(p):\n    a = math.cos(p)\n    return a * a\n\ndef f(x, y, z):\n    s = g(x) + g(y)\n    return s + g(z) - 1.5\n",
                wave,
            ),
            (
                "fn g(p: f64) -> f64 { let a = p.cos(); a * a }\nfn f(x: f64, y: f64, z: f64) -> f64 { g(x) + g(y) + g(z) - 1.5 }",
                wave,
            ),
            (
                "float sq(float t){ return t*t; }\nfloat map(vec3 p) {\n  float r = length(p.xy);\n  return sq(r - 1.0) + sq(p.z) - 0.1;\n}",
                ring,
            ),
            (
                "double sq(double a)\n{\n    double b = a;\n    b *= a;\n    return b;\n}\ndouble f(double x, double y, double z)\n{\n    double r = sqrt(sq(x) + sq(y));\n    return sq(r - 1.0)\n        + sq(z) - 0.1;\n}",
                ring,
            ),
            (
                "const f = (x, y, z) => { const r2 = x*x + y*y; return r2*r2 - z; }",
                (x * x + y * y).powi(2) - z,
            ),
        ];
        for (text, want) in cases {
            let got = value(text, AT);
            assert!((got - want).abs() < 1e-12, "{text}: {got} for {want}");
        }
    }

    /// A helper's argument may bear the name of something else at the call, and local names of two helpers may be equal.
    #[test]
    fn names_do_not_leak() {
        let text = "float a(float x){ float t = x + 1.0; return t*t; }\nfloat b(float y){ float t = a(y) - 2.0; return t*y; }\nfloat f(float x, float y, float z){ return a(y) - b(x*z) + y; }";
        let [x, y, z] = AT;
        let a = |v: f64| (v + 1.0) * (v + 1.0);
        let b = |v: f64| (a(v) - 2.0) * v;
        assert!((value(text, AT) - (a(y) - b(x * z) + y)).abs() < 1e-12);
    }

    #[test]
    fn a_smooth_union_of_shader_code_is_read() {
        let text = "float smin(float a, float b, float k){ float h = clamp(0.5+0.5*(b-a)/k, 0.0, 1.0); return mix(b, a, h) - k*h*(1.0-h); }\nfloat map(vec3 p){ float a = length(p) - 1.0; float b = p.z; return smin(a, b, 0.3); }";
        let [x, y, z] = AT;
        let (a, b, k) = ((x * x + y * y + z * z).sqrt() - 1.0, z, 0.3);
        let h = (0.5 + 0.5 * (b - a) / k).clamp(0.0, 1.0);
        let want = b * (1.0 - h) + a * h - k * h * (1.0 - h);
        assert!((value(text, AT) - want).abs() < 1e-12);
    }

    #[test]
    fn growing_without_end_is_a_fault() {
        let mut text = String::from("float g0(float t){ return t*t; }\n");
        for k in 1..40 {
            text += &format!("float g{k}(float t){{ return g{}(t) + g{}(t); }}\n", k - 1, k - 1);
        }
        text += "float f(float x, float y, float z){ return g39(x) + y + z; }";
        assert!(read(&text).is_err());
    }
}
