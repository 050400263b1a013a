//! Functions with and without brackets, roots, fractions and sums over ranges.

use super::faults::{FaultClass, Read, Span, fault};
use super::functions;
use super::names;
use super::parse::Parser;
use super::token::*;
use super::tree::{Join, Node, Part};
use crate::formula::Unary;

impl Parser<'_> {
    /// A name: a call of a function that the text defines, else a name as it is.
    pub(super) fn name(&mut self, name: String, at: Span) -> Read<Node> {
        self.i += 1;
        let long_call = name.chars().count() > 1 && self.peek().is_some_and(|t| t.gap == Gap::None);
        let bracket = self.is('(') || ((self.style.square || long_call) && self.is('['));
        if bracket && self.functions.contains(&name) {
            let args = self.arguments()?;
            let at = at.join(self.last());
            return Ok(Node { kind: Part::Call(name, args), at });
        }
        if bracket && !self.defined.contains(&name) && names::constant(&name).is_none() {
            let letters = name.chars().count();
            let coordinate = matches!(name.as_str(), "x" | "y" | "z" | "X" | "Y" | "Z");
            let usual = matches!(name.as_str(), "f" | "g" | "h" | "F" | "G" | "H");
            let close = self.peek().is_some_and(|t| t.gap == Gap::None);
            let several = self.commas_inside();
            if !coordinate
                && ((letters > 1 && names::greek_letter(&name).is_none()) || (usual && close) || several)
            {
                return self.unknown_function(&name, at);
            }
            if !coordinate && close {
                self.remark(at, format!("{name}(...) read as a product: {name} is a name, not a function"));
            }
        }
        Ok(Node { kind: Part::Name(name), at })
    }

    fn unknown_function<T>(&self, name: &str, at: Span) -> Read<T> {
        if matches!(name, "Re" | "Im" | "conj" | "diff" | "integrate" | "Integrate" | "D" | "limit") {
            return fault(
                FaultClass::Unsupported,
                at,
                format!("{name}: complex numbers, derivatives, integrals and limits are not worked out here"),
                "paste the result as a real formula",
            );
        }
        let hint = match functions::nearest(name) {
            Some(near) => format!("did you mean {near}?"),
            None => format!("define it on a line before, as in {name}(u) = u^2, or write a product with *"),
        };
        fault(FaultClass::UnknownFunction, at, format!("the function {name} is not known"), hint)
    }

    fn commas_inside(&self) -> bool {
        let mut depth = 0;
        for t in &self.t[self.i..] {
            match t.sym() {
                Some('(' | '[' | '{') => depth += 1,
                Some(')' | ']' | '}') => {
                    depth -= 1;
                    if depth == 0 {
                        return false;
                    }
                }
                Some(',') if depth == 1 => return true,
                _ => {}
            }
        }
        false
    }

    /// A function: its power, its base, its argument.
    pub(super) fn apply(&mut self, name: &str, at: Span) -> Read<Node> {
        self.i += 1;
        let mut power = None;
        let mut base = None;
        if self.lost_inverse(name) {
            let minus = self.here();
            self.i += 2;
            let one = Node { kind: Part::Num(1.0), at: self.last() };
            power = Some(negated(one, true, minus));
        }
        for _ in 0..2 {
            if self.is('^') && power.is_none() {
                self.i += 1;
                power = Some(self.function_power()?);
            } else if self.is('_') && base.is_none() {
                self.i += 1;
                base = Some(self.postfix()?);
            }
        }
        if matches!(name.to_ascii_lowercase().as_str(), "sum" | "prod" | "product") {
            return self.sum_word(name, base, power, at);
        }
        let mut name = name.to_owned();
        if let Some(p) = &power
            && is_minus_one(p)
            && functions::function(&format!("a{name}")).is_some()
        {
            self.remark(
                at.join(p.at),
                format!("{name}^-1 read as the inverse function a{name}, not 1/{name}"),
            );
            name = format!("a{name}");
            power = None;
        }
        let mut args = self.function_arguments(&name, at)?;
        if let Some(b) = base {
            if !name.eq_ignore_ascii_case("log") && !name.eq_ignore_ascii_case("ln") {
                return fault(
                    FaultClass::Unexpected,
                    b.at,
                    format!("{name} takes no base below the line"),
                    "only log does",
                );
            }
            args.push(b);
            name = "logbase".into();
        }
        let at = at.join(self.last());
        let call = Node { kind: Part::Call(name, args), at };
        Ok(match power {
            Some(p) => Node { kind: Part::Pow(Box::new(call), Box::new(p)), at },
            None => call,
        })
    }

    /// Whether `-1` is glued to the function, as where the raising of `tan⁻¹` was lost.
    fn lost_inverse(&self, name: &str) -> bool {
        let at = |k: usize| self.t.get(self.i + k);
        let glued = |k: usize| at(k).is_some_and(|t| t.gap == Gap::None);
        let argument = at(2).is_some_and(|t| t.is('(') || matches!(t.tok, Tok::Name(_) | Tok::Func(_)));
        let one = at(1).is_some_and(|t| t.tok == Tok::Num(1.0, true));
        let known = functions::function(&format!("a{name}")).is_some();
        !self.style.code && known && self.is('-') && one && glued(0) && glued(1) && argument
    }

    /// The power of a function: a number may follow it, which is the first of the argument.
    fn function_power(&mut self) -> Read<Node> {
        let sign = usize::from(self.is('-') || self.is('+'));
        let number = |k: usize| self.t.get(self.i + k).is_some_and(|t| matches!(t.tok, Tok::Num(..)));
        if !(number(sign) && number(sign + 1)) {
            return self.exponent();
        }
        let from = self.here();
        let minus = sign == 1 && self.is('-');
        self.i += sign;
        let Some(Token { tok: Tok::Num(x, _), at, .. }) = self.peek().cloned() else {
            return self.unexpected();
        };
        self.i += 1;
        Ok(negated(Node { kind: Part::Num(x), at }, minus, from))
    }

    fn function_arguments(&mut self, name: &str, at: Span) -> Read<Vec<Node>> {
        if self.is('(') || self.is('[') || self.is('{') {
            let args = self.arguments()?;
            if args.is_empty() && !matches!(functions::function(name), Some(functions::Func::Pi)) {
                return fault(
                    FaultClass::Incomplete,
                    at.join(self.last()),
                    format!("{name}() has nothing between its brackets"),
                    format!("write its argument: {name}(x)"),
                );
            }
            return Ok(args);
        }
        if !functions::is_bare(name) {
            return fault(
                FaultClass::Incomplete,
                at,
                format!("{name} needs its arguments in brackets"),
                format!("{name}(...)"),
            );
        }
        if matches!(functions::function(name), Some(functions::Func::One(Unary::Sqrt | Unary::Cbrt))) {
            let a = self.factor()?;
            if self.starts_factor() {
                self.remark(
                    at.join(self.here()),
                    format!("{name} takes only the first number or letter after it"),
                );
            }
            return Ok(vec![a]);
        }
        Ok(vec![self.bare_argument(name, at)?])
    }

    /// The argument of a function without brackets: numbers and letters up to the next function, plus or minus.
    fn bare_argument(&mut self, name: &str, at: Span) -> Read<Node> {
        let from = self.here();
        let mut minus = false;
        while self.is('-') || self.is('+') {
            minus ^= self.is('-');
            self.i += 1;
        }
        if self.peek().is_some_and(|t| matches!(t.tok, Tok::Func(_))) {
            let inner = self.factor()?;
            return Ok(negated(inner, minus, from));
        }
        if (self.is('|') || self.is('‖')) && self.bars == 0
            || self.is(BAR_OPEN)
            || self.is(NORM_OPEN)
            || self.is('⌊')
        {
            let inner = self.factor()?;
            return Ok(negated(inner, minus, from));
        }
        let mut factors: Vec<(Join, Node)> = Vec::new();
        let mut doubt = false;
        loop {
            let varies = factors.iter().any(|(_, n)| varies(n, self.defined));
            let Some(t) = self.peek().cloned() else { break };
            match &t.tok {
                Tok::Num(..) if matches!(factors.last(), Some((_, Node { kind: Part::Num(_), .. }))) => break,
                Tok::Name(w) | Tok::Word(w, _) if super::parse::is_keyword(w) => break,
                Tok::Name(w)
                    if self.units && matches!(w.as_str(), "i" | "j" | "k") && !factors.is_empty() =>
                {
                    break;
                }
                Tok::Num(..) | Tok::Name(_) | Tok::Word(..) => {
                    doubt |= varies;
                    let f = self.factor()?;
                    doubt |= matches!(f.kind, Part::Pow(..));
                    factors.push((Join::Times, f));
                }
                Tok::Sym(FRAC | ROOT | '√' | '∛' | '∜') => {
                    doubt |= varies;
                    factors.push((Join::Times, self.factor()?));
                }
                Tok::Sym('(' | '[' | '{') if !factors.is_empty() && !varies => {
                    doubt = true;
                    factors.push((Join::Times, self.factor()?));
                    break;
                }
                Tok::Sym(c @ ('*' | '·' | '×' | '/')) if !factors.is_empty() => {
                    let next = self.t.get(self.i + 1).cloned();
                    let close = t.gap == Gap::None && next.as_ref().is_some_and(|n| n.gap == Gap::None);
                    let plain = next.as_ref().is_some_and(|n| {
                        matches!(n.tok, Tok::Num(..) | Tok::Name(_))
                            || n.is(FRAC)
                            || n.is(ROOT)
                            || n.is('√')
                            || (n.is('(') && !varies)
                    });
                    let goes_on = plain && (!varies || (close && matches!(c, '*' | '/')));
                    if !goes_on {
                        if *c == '/' || plain {
                            doubt = true;
                        }
                        break;
                    }
                    doubt |= varies;
                    self.i += 1;
                    if *c == '/' {
                        let d = self.denominator(&factors)?;
                        factors.push((Join::Over, d));
                    } else {
                        factors.push((Join::Times, self.factor()?));
                    }
                }
                _ => break,
            }
        }
        if factors.is_empty() {
            return fault(
                FaultClass::Incomplete,
                at,
                format!("the function {name} has no argument"),
                format!("write what it is taken of: {name} x or {name}(x)"),
            );
        }
        let at_arg = factors[0].1.at.join(self.last());
        if doubt {
            self.remark(
                at.join(at_arg),
                format!("{name} takes all the numbers and letters that are underlined after it; use brackets to say otherwise"),
            );
        }
        let node = match factors.len() {
            1 => match factors.pop() {
                Some((_, n)) => n,
                None => return self.unexpected(),
            },
            _ => Node { kind: Part::Product(factors), at: at_arg },
        };
        Ok(negated(node, minus, from))
    }

    /// One argument as TeX takes it: a group in braces or a single number, letter or command.
    fn single(&mut self, after: &str) -> Read<Node> {
        if self.peek().is_none() {
            return fault(
                FaultClass::Incomplete,
                self.last(),
                format!("{after} needs something after it"),
                "the formula ends here; was it copied to its end?",
            );
        }
        match self.peek().map(|t| t.tok.clone()) {
            Some(Tok::Num(x, _)) => {
                self.i += 1;
                Ok(Node { kind: Part::Num(x), at: self.last() })
            }
            Some(Tok::Name(n)) => {
                self.i += 1;
                Ok(Node { kind: Part::Name(n), at: self.last() })
            }
            _ => self.postfix(),
        }
    }

    pub(super) fn fraction(&mut self) -> Read<Node> {
        let from = self.here();
        self.i += 1;
        let a = self.single("\\frac")?;
        let b = self.single("\\frac")?;
        let at = from.join(self.last());
        Ok(Node { kind: Part::Product(vec![(Join::Times, a), (Join::Over, b)]), at })
    }

    pub(super) fn root(&mut self) -> Read<Node> {
        let from = self.here();
        self.i += 1;
        let mut order = None;
        if self.is('[') {
            let mut args = self.arguments()?;
            order = args.pop();
        }
        let a = self.single("\\sqrt")?;
        let at = from.join(self.last());
        Ok(match order {
            Some(n) => Node { kind: Part::Call("root".into(), vec![a, n]), at },
            None => Node { kind: Part::Call("sqrt".into(), vec![a]), at },
        })
    }

    pub(super) fn root_sign(&mut self, c: char) -> Read<Node> {
        let from = self.here();
        self.i += 1;
        let bracket = self.is('(') || self.is('[') || self.is('{');
        let a = if bracket { self.postfix()? } else { self.factor()? };
        let letter = self.peek().is_some_and(|t| t.gap == Gap::None && matches!(t.tok, Tok::Name(_)));
        let square = matches!(a.kind, Part::Pow(..)) && (self.is('+') || self.is('-'));
        if !bracket && (letter || square) {
            let at = from.join(self.here());
            self.remark(at, format!("{c} takes only the first number or letter after it, with its power"));
        }
        let at = from.join(self.last());
        Ok(match c {
            '∛' => Node { kind: Part::Call("cbrt".into(), vec![a]), at },
            '∜' => {
                let inner = Node { kind: Part::Call("sqrt".into(), vec![a]), at };
                Node { kind: Part::Call("sqrt".into(), vec![inner]), at }
            }
            _ => Node { kind: Part::Call("sqrt".into(), vec![a]), at },
        })
    }

    /// `\sum_{k=1}^{3}` and its like; the sign is taken.
    pub(super) fn sum_sign(&mut self, product: bool, at: Span) -> Read<Node> {
        let mut below = None;
        let mut above = None;
        for _ in 0..2 {
            if self.take('_') {
                below = Some(self.postfix()?);
            } else if self.take('^') {
                above = Some(self.exponent()?);
            }
        }
        self.over_range(product, below, above, at)
    }

    fn over_range(
        &mut self,
        product: bool,
        below: Option<Node>,
        above: Option<Node>,
        at: Span,
    ) -> Read<Node> {
        let range = below.and_then(index_from);
        let (Some((name, low)), Some(high)) = (range, above) else {
            return fault(
                FaultClass::Incomplete,
                at,
                "the sum needs a range for its index",
                "as in \\sum_{k=1}^{3} or sum(cos(k x), k, 1, 3)",
            );
        };
        let body = self.product()?;
        let at = at.join(self.last());
        Ok(Node { kind: Part::Over(product, name, Box::new(low), Box::new(high), Box::new(body)), at })
    }

    /// `sum(...)` as a word, in all its spellings.
    fn sum_word(&mut self, name: &str, base: Option<Node>, power: Option<Node>, at: Span) -> Read<Node> {
        let product = name.to_ascii_lowercase().starts_with("prod");
        if base.is_some() || power.is_some() {
            return self.over_range(product, base, power, at);
        }
        if !(self.is('(') || self.is('[')) {
            return fault(
                FaultClass::Incomplete,
                at,
                format!("{name} needs its terms in brackets"),
                "sum(cos(k x), k, 1, 3)",
            );
        }
        let mut args = self.arguments()?;
        let at = at.join(self.last());
        if args.len() == 1
            && matches!(args[0].kind, Part::Over(..))
            && let Some(Node { kind: Part::Over(_, n, a, b, body), .. }) = args.pop()
        {
            return Ok(Node { kind: Part::Over(product, n, a, b, body), at });
        }
        if let Some((n, low, high, body)) = range_arguments(&args) {
            return Ok(Node {
                kind: Part::Over(product, n, Box::new(low), Box::new(high), Box::new(body)),
                at,
            });
        }
        Ok(Node { kind: Part::Call(if product { "product".into() } else { "sum".into() }, args), at })
    }

    /// One argument of a call: an expression, a range `1..3`, or `term for k in range(...)`.
    pub(super) fn item(&mut self) -> Read<Node> {
        let node = self.expr()?;
        if self.is('…') || (self.is(':') && self.style.code) {
            self.i += 1;
            let to = self.expr()?;
            let at = node.at.join(to.at);
            return Ok(match node.kind {
                Part::Compare(left, mut rest) if rest.len() == 1 => match (left.kind, rest.pop()) {
                    (Part::Name(n), Some((_, from))) => range_node(n, from, to, at),
                    _ => return self.unexpected(),
                },
                kind => range_node(String::new(), Node { kind, at }, to, at),
            });
        }
        if !self.is_word("for") {
            return Ok(node);
        }
        self.i += 1;
        let index = self.peek().and_then(Token::word).unwrap_or_default().to_owned();
        self.i += 1;
        if !(self.is_word("in") || self.is('∈') || self.is('=')) {
            return self.unexpected();
        }
        self.i += 1;
        let ranged = self.is_word("range");
        if ranged {
            self.i += 1;
        }
        let mut args = if self.is('(') || self.is('[') { self.arguments()? } else { vec![self.item()?] };
        let at = node.at.join(self.last());
        let one = |x: f64| Node { kind: Part::Num(x), at };
        if ranged {
            let high = args.pop().unwrap_or(one(0.0));
            let low = args.pop().unwrap_or(one(0.0));
            let last = Node { kind: Part::Sum(vec![(false, high), (true, one(1.0))]), at };
            return Ok(Node {
                kind: Part::Over(false, index, Box::new(low), Box::new(last), Box::new(node)),
                at,
            });
        }
        if let [Node { kind: Part::Call(name, ends), .. }] = args.as_slice()
            && name == "range "
        {
            let (a, b) = (ends[0].clone(), ends[1].clone());
            return Ok(Node { kind: Part::Over(false, index, Box::new(a), Box::new(b), Box::new(node)), at });
        }
        let terms = args
            .into_iter()
            .map(|a| {
                let kind = Part::Over(
                    false,
                    index.clone(),
                    Box::new(a.clone()),
                    Box::new(a),
                    Box::new(node.clone()),
                );
                (false, Node { kind, at })
            })
            .collect();
        Ok(Node { kind: Part::Sum(terms), at })
    }
}

/// A range as an argument: a call that no text can name, of the index and both ends.
fn range_node(name: String, from: Node, to: Node, at: Span) -> Node {
    let mut args = vec![from, to];
    if !name.is_empty() {
        args.push(Node { kind: Part::Name(name), at });
    }
    Node { kind: Part::Call("range ".into(), args), at }
}

/// Index, ends and body from `(body, k, 1, 3)`, `(body, {k, 1, 3})`, `(body, k = 1..3)` or the range first.
fn range_arguments(args: &[Node]) -> Option<(String, Node, Node, Node)> {
    let name = |n: &Node| match &n.kind {
        Part::Name(s) => Some(s.clone()),
        _ => None,
    };
    let ranged = |n: &Node| match &n.kind {
        Part::Call(c, a) if c == "range " && a.len() == 3 => Some((name(&a[2])?, a[0].clone(), a[1].clone())),
        Part::Tuple(t) if t.len() == 3 => Some((name(&t[0])?, t[1].clone(), t[2].clone())),
        _ => None,
    };
    match args {
        [body, k, a, b] => Some((name(k)?, a.clone(), b.clone(), body.clone())),
        [a, b] => match (ranged(a), ranged(b)) {
            (_, Some((n, lo, hi))) => Some((n, lo, hi, a.clone())),
            (Some((n, lo, hi)), _) => Some((n, lo, hi, b.clone())),
            _ => None,
        },
        _ => None,
    }
}

/// `k = 1` as the foot of a sum.
fn index_from(node: Node) -> Option<(String, Node)> {
    match node.kind {
        Part::Compare(left, mut rest) if rest.len() == 1 => match (left.kind, rest.pop()) {
            (Part::Name(n), Some((_, low))) => Some((n, low)),
            _ => None,
        },
        _ => None,
    }
}

fn negated(node: Node, minus: bool, from: Span) -> Node {
    if !minus {
        return node;
    }
    let at = from.join(node.at);
    Node { kind: Part::Neg(Box::new(node)), at }
}

fn is_minus_one(node: &Node) -> bool {
    matches!(&node.kind, Part::Neg(n) if matches!(n.kind, Part::Num(1.0)))
}

/// Whether a factor holds more than numbers, constants and coefficients.
fn varies(node: &Node, defined: &std::collections::BTreeSet<String>) -> bool {
    match &node.kind {
        Part::Name(n) => match n.as_str() {
            "x" | "y" | "z" | "X" | "Y" | "Z" | "u" | "v" | "t" | "theta" | "phi" | "U" | "V" => true,
            "s" | "w" | "r" | "rho" | "p" | "q" => !defined.contains(n),
            _ => n.chars().count() > 1 && names::constant(n).is_none(),
        },
        Part::Pow(a, b) => varies(a, defined) || varies(b, defined),
        Part::Product(f) => f.iter().any(|(_, n)| varies(n, defined)),
        Part::Num(_) => false,
        _ => true,
    }
}
