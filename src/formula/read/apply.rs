//! Functions with and without brackets, roots, fractions and sums over ranges.

use super::choices;
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
        let part = super::complex::takes_part(&name) && !self.defined.contains(&name);
        if part && (bracket || matches!(name.as_str(), "Re" | "Im") && self.starts_factor()) {
            return self.taken_part(name, at);
        }
        let joins = matches!(name.as_str(), "And" | "AND" | "Or" | "OR") && !self.functions.contains(&name);
        if bracket && joins {
            let args = self.arguments()?;
            let at = at.join(self.last());
            return self.joined_conditions(&name, args, at);
        }
        if bracket && name.eq_ignore_ascii_case("piecewise") && !self.functions.contains(&name) {
            let args = self.arguments()?;
            let at = at.join(self.last());
            return match choices::rows(args) {
                Some(rows) => Ok(Node { kind: Part::Cases(rows), at }),
                None => self.unknown_function(&name, at),
            };
        }
        if bracket && !self.defined.contains(&name) && names::constant(&name).is_none() {
            let letters = name.chars().count();
            let coordinate = matches!(name.as_str(), "x" | "y" | "z" | "X" | "Y" | "Z");
            let usual = matches!(name.as_str(), "f" | "g" | "h" | "F" | "G" | "H" | "Gamma");
            let close = self.peek().is_some_and(|t| t.gap == Gap::None);
            // `(1, 0, 2) + t(1, 1, -1)`: a parameter before a list is a factor.
            let parameter = matches!(name.as_str(), "t" | "s" | "u" | "v" | "lambda" | "mu");
            let several = self.commas_inside() && (self.style.code || !parameter);
            // A coordinate in capitals before a list of names is the function of these, `Y(θ, φ)`.
            let capital = close && matches!(name.as_str(), "X" | "Y" | "Z") && self.commas_inside();
            if capital
                || !coordinate
                    && ((letters > 1 && names::greek_letter(&name).is_none())
                        || (usual && close)
                        || several
                        || functions::is_higher(&name) && self.style.code)
            {
                return self.unknown_function(&name, at);
            }
            if !coordinate && close {
                self.remark(at, format!("{name}(...) read as a product: {name} is a name, not a function"));
            }
        }
        Ok(Node { kind: Part::Name(name), at })
    }

    /// `And(a, b, …)` and `Or(a, b, …)`.
    fn joined_conditions(&self, name: &str, args: Vec<Node>, at: Span) -> Read<Node> {
        let both = name.eq_ignore_ascii_case("and");
        let join = |a: Node, b: Node| {
            let (a, b) = (Box::new(a), Box::new(b));
            Node { kind: if both { Part::And(a, b) } else { Part::Or(a, b) }, at }
        };
        args.into_iter().reduce(join).map_or_else(|| self.unknown_function(name, at), Ok)
    }

    /// `Re (x + iy)^3`: outside of code the power belongs to what the part is taken of.
    fn taken_part(&mut self, name: String, at: Span) -> Read<Node> {
        let open = self.i;
        let inside = if self.style.code || self.style.square { self.postfix()? } else { self.factor()? };
        let raised = matches!(inside.kind, Part::Pow(..)) && (self.t[open].is('(') || self.t[open].is('['));
        if raised {
            self.remark(at.join(inside.at), format!("{name} taken of the power of the bracket behind it"));
        }
        let at = at.join(inside.at);
        Ok(Node { kind: Part::Call(name, vec![inside]), at })
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
        if functions::is_higher(name) {
            return fault(
                FaultClass::UnknownFunction,
                at,
                format!("the function {name} is not known: only elementary functions are worked out here"),
                "write it as a sum of a few terms, or as a product with * where it is a number",
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
        if name.eq_ignore_ascii_case("sen") {
            self.remark(at, "sen read as sin");
        }
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
            let apart = self.peek().is_some_and(|t| t.gap > Gap::None) && !self.style.tex;
            let braced = self.style.tex && self.is('{') && functions::is_bare(name);
            let mut args = self.arguments()?;
            let glued = self.peek().is_some_and(|t| t.is('(') && t.gap == Gap::None);
            if name == "root" && args.len() == 1 && glued {
                // `root(3)(x)`, the order first.
                args.splice(0..0, self.arguments()?);
            }
            if braced && matches!(self.peek(), Some(Token { tok: Tok::Name(_), gap: Gap::None, .. })) {
                self.remark(at.join(self.here()), format!("{name} takes only what stands in its braces"));
            }
            if apart && self.is('(') && functions::is_bare(name) {
                self.remark(at.join(self.here()), format!("{name} takes only the first bracket after it"));
            }
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
        let cast = matches!(name, "int" | "float" | "double" | "real") && self.is(')');
        if cast && self.i.checked_sub(2).is_some_and(|i| self.t[i].is('(')) {
            return fault(
                FaultClass::Unsupported,
                at,
                format!("({name}) before a number, which changes its type, is not read"),
                "write floor(...) or trunc(...) for a whole number, and leave other types out",
            );
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
            return Ok(vec![self.bare_radicand(name, at)?]);
        }
        Ok(vec![self.bare_argument(name, at)?])
    }

    /// What a root without bar or brackets is taken of: one factor, but all of `√1 - x² - y²`, where a root of 1 alone
    /// would be written as 1.
    fn bare_radicand(&mut self, name: &str, at: Span) -> Read<Node> {
        let start = self.i;
        let first = self.factor()?;
        let goes_on = self.is('+') || self.is('-');
        let squares = goes_on && self.squares_follow();
        if squares && matches!(first.kind, Part::Num(n) if n.sqrt().fract() == 0.0) {
            self.i = start;
            let all = self.sum()?;
            self.remark(at.join(all.at), format!("{name} read as the root of all that follows it"));
            return Ok(all);
        }
        let closed = matches!(first.kind, Part::Call(..));
        let raised = goes_on && matches!(first.kind, Part::Pow(..)) || squares;
        let glued = match name {
            "√" | "∛" | "∜" => {
                self.peek().is_some_and(|t| t.gap == Gap::None && matches!(t.tok, Tok::Name(_)))
            }
            _ => self.starts_factor(),
        };
        if !closed && (raised || glued) {
            let what = match raised {
                true => "takes only the first number or letter after it, with its power",
                false => "takes only the first number or letter after it",
            };
            self.remark(at.join(self.here()), format!("{name} {what}"));
        }
        Ok(first)
    }

    /// Whether plus and minus signs follow to the end, each before numbers and letters with a power.
    pub(super) fn squares_follow(&self) -> bool {
        let ends = |t: &Token| {
            super::parse::comparison(t).is_some() || matches!(t.sym(), Some(')' | ']' | '}' | ',' | ';'))
        };
        let (mut depth, mut raised) = (0, true);
        for t in &self.t[self.i..] {
            match (&t.tok, t.sym()) {
                _ if depth == 0 && ends(t) => break,
                (_, Some('(' | '{')) => depth += 1,
                (_, Some(')' | '}')) => depth -= 1,
                (_, Some('+' | '-')) if depth == 0 => {
                    if !raised {
                        return false;
                    }
                    raised = false;
                }
                (_, Some('^')) => raised = true,
                (_, Some('*' | '·' | '/' | FRAC)) | (Tok::Num(..) | Tok::Name(_), _) => {}
                _ if depth > 0 => {}
                _ => return false,
            }
        }
        raised
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
        if self.is('(') {
            // `exp -(x^2 + y^2)`: only a sign stands between.
            let inner = self.factor()?;
            let what =
                format!("{name} takes the bracket after the sign with it; use brackets to say otherwise");
            self.remark(at.join(inner.at), what);
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
            let varies = factors.iter().any(|(_, n)| self.varies(n));
            let Some(t) = self.peek().cloned() else { break };
            if varies && self.sets_apart(&t) {
                let unit = self.units && t.word().is_some_and(|w| matches!(w, "i" | "j" | "k"));
                doubt |= matches!(t.tok, Tok::Num(..) | Tok::Name(_)) && !self.grows() && !unit;
                break;
            }
            match &t.tok {
                Tok::Num(..) if matches!(factors.last(), Some((_, Node { kind: Part::Num(_), .. }))) => break,
                Tok::Name(w) | Tok::Word(w, _) if super::parse::is_keyword(w) => break,
                Tok::Name(w)
                    if self.units && matches!(w.as_str(), "i" | "j" | "k") && !factors.is_empty() =>
                {
                    break;
                }
                Tok::Num(..) | Tok::Name(_) | Tok::Word(..) => {
                    let logarithm = name.starts_with('l') && t.gap > Gap::None && !factors.is_empty();
                    doubt |= varies || logarithm;
                    let f = self.factor()?;
                    doubt |= matches!(f.kind, Part::Pow(..));
                    factors.push((Join::Times, f));
                }
                Tok::Sym(FRAC | ROOT | '√' | '∛' | '∜') => {
                    doubt |= varies;
                    factors.push((Join::Times, self.factor()?));
                }
                Tok::Sym('(') if varies && t.gap == Gap::None => {
                    doubt = true;
                    break;
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
                    if *c == '/' && self.divides_itself(&factors) {
                        doubt = true;
                        break;
                    }
                    let goes_on = plain && (!varies || (close && matches!(c, '*' | '/')));
                    if !goes_on {
                        if *c == '/' || plain {
                            doubt = true;
                        }
                        break;
                    }
                    doubt |= varies || *c != '/';
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

    /// Whether a factor behind an argument that is whole stands apart from it: `\sin x\,y`, `sin x √y`, `cos t e^{-t}`.
    fn sets_apart(&self, t: &Token) -> bool {
        let operand = matches!(t.tok, Tok::Num(..) | Tok::Name(_) | Tok::Word(..)) || t.is('(') || t.is('{');
        matches!(t.sym(), Some(FRAC | ROOT | '√' | '∛' | '∜'))
            || operand && t.gap >= Gap::Thin
            || self.grows()
    }

    /// Whether a power of e begins here.
    fn grows(&self) -> bool {
        self.is_word("e") && self.is_at(1, '^') && !self.defined.contains("e")
    }

    /// Whether the slash here is followed by a number or letter that is a factor of the argument: `sin 3x/3`.
    fn divides_itself(&self, factors: &[(Join, Node)]) -> bool {
        let alone = self.t.get(self.i + 2).is_none_or(|t| {
            t.gap > Gap::None || !(t.word().is_some() || matches!(t.tok, Tok::Num(..)) || t.is('!'))
        });
        let same = |n: &Node| match (&n.kind, self.t.get(self.i + 1).map(|t| &t.tok)) {
            (Part::Num(a), Some(Tok::Num(b, _))) => a == b,
            (Part::Name(a), Some(Tok::Name(b))) => a == b,
            _ => false,
        };
        let number = matches!(self.t.get(self.i + 1).map(|t| &t.tok), Some(Tok::Num(..)));
        let turns = factors.iter().any(|(_, n)| matches!(&n.kind, Part::Name(n) if n == "pi"));
        alone && !(number && turns) && factors.iter().any(|(join, n)| *join == Join::Times && same(n))
    }

    /// Whether a factor holds more than numbers, constants and coefficients.
    fn varies(&self, node: &Node) -> bool {
        match &node.kind {
            Part::Name(n) if self.varying.contains(n) => true,
            Part::Name(n) => match n.as_str() {
                "x" | "y" | "z" | "X" | "Y" | "Z" | "u" | "v" | "t" | "theta" | "phi" | "U" | "V" => true,
                "s" | "w" | "r" | "rho" | "p" | "q" => !self.defined.contains(n),
                _ => n.chars().count() > 1 && names::constant(n).is_none(),
            },
            Part::Pow(a, b) => self.varies(a) || self.varies(b),
            Part::Product(f) => f.iter().any(|(_, n)| self.varies(n)),
            Part::Num(_) => false,
            _ => true,
        }
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

    /// `\binom{4}{2}` as 4!/(2!·(4 - 2)!).
    pub(super) fn binomial(&mut self) -> Read<Node> {
        let from = self.here();
        self.i += 1;
        let n = self.single("\\binom")?;
        let k = self.single("\\binom")?;
        let at = from.join(self.last());
        let factorial = |n: Node| Node { kind: Part::Factorial(Box::new(n)), at };
        let rest = Node { kind: Part::Sum(vec![(false, n.clone()), (true, k.clone())]), at };
        let factors =
            [(Join::Times, n), (Join::Over, k), (Join::Over, rest)].map(|(join, n)| (join, factorial(n)));
        Ok(Node { kind: Part::Product(factors.to_vec()), at })
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
        let a = if bracket { self.postfix()? } else { self.bare_radicand(&c.to_string(), from)? };
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
