//! Factors: a primary, what follows it closely, and its powers.

use super::faults::{FaultClass, Read, Span, fault};
use super::parse::{DEEPEST, Parser, is_keyword};
use super::token::*;
use super::tree::{Join, Node, Part};

impl Parser<'_> {
    /// A factor with its power.
    pub(super) fn factor(&mut self) -> Read<Node> {
        self.enter()?;
        let base = self.postfix()?;
        let node = self.raised(base)?;
        self.depth -= 1;
        Ok(node)
    }

    pub(super) fn raised(&mut self, base: Node) -> Read<Node> {
        if !self.is('^') {
            return Ok(base);
        }
        self.i += 1;
        if self.transposes(&base) {
            self.i += if self.is('{') { 3 } else { 1 };
            return Ok(base);
        }
        if self.is('°') || (self.is('{') && self.is_at(1, '°')) {
            self.i += if self.is('{') { 3 } else { 1 };
            return Ok(degrees(base, self.last()));
        }
        let signed = self.is('-');
        let bare = !self.style.tex && !self.bracket_follows();
        let shown = bare || self.style.tex && !self.bracket_follows();
        let exponent = self.exponent()?;
        let many = |n: f64| n.fract() == 0.0 && n > if self.style.tex { 9.5 } else { 12.5 };
        if let Part::Num(n) = exponent.kind
            && shown
            && !self.style.code
            && many(n)
        {
            let what = format!(
                "read as the power {n}; a power of one digit before a number needs a blank or brackets"
            );
            self.remark(exponent.at, what);
        }
        let euler = matches!(&base.kind, Part::Name(n) if n == "e");
        if bare && euler && self.decays(&exponent) {
            return self.decay(base, exponent);
        }
        let at = base.at.join(exponent.at);
        let unsigned = match &exponent.kind {
            Part::Neg(inner) => &inner.kind,
            kind => kind,
        };
        let negative = matches!(exponent.kind, Part::Neg(_));
        let plain = matches!(unsigned, Part::Num(_) | Part::Name(_));
        let letter = self.letter_is_glued();
        // `x^2y` is common, `x^2n` hardly ever is a product.
        let count = ["n", "m", "k", "N"].iter().any(|n| self.is_name(n));
        let grows = euler || negative || count || matches!(base.kind, Part::Num(_));
        let named = matches!(unsigned, Part::Name(_));
        if plain && letter && (grows || named) && bare {
            self.remark(
                at.join(self.here()),
                "the power takes only the first number or letter that follows ^",
            );
        }
        if bare && euler && self.ends_early(&exponent) {
            self.remark(at.join(self.here()), "the power of e ends here; use brackets to say otherwise");
        }
        let slash = self.is('/') && self.peek().is_some_and(|t| t.gap == Gap::None);
        let group = matches!(unsigned, Part::Sum(_) | Part::Product(_)) && !bare && !self.style.tex;
        let powered = matches!(unsigned, Part::Pow(..)) && bare;
        if slash
            && negative
            && euler
            && (plain && bare || powered || group && self.t[self.i - 1].is(')') && signed)
        {
            self.remark(at.join(self.here()), "the power of e ends before the slash");
        }
        let fraction =
            self.is('/') && matches!(self.t.get(self.i + 1), Some(Token { tok: Tok::Num(..), .. }));
        if fraction && matches!(unsigned, Part::Num(1.0)) && bare {
            let what = "read as (a^1)/b, not a^(1/b): the power takes only the first number after ^";
            self.remark(at.join(self.here()), what);
        }
        Ok(Node { kind: Part::Pow(Box::new(base), Box::new(exponent)), at })
    }

    /// Whether a raised T stands behind a list, which only says that it is a column.
    fn transposes(&self, base: &Node) -> bool {
        let raised = if self.is('{') && self.is_at(2, '}') { self.t.get(self.i + 1) } else { self.peek() };
        let mark = raised.is_some_and(|t| t.is('⊤') || t.is('⊺') || t.is_word("T"));
        mark && matches!(base.kind, Part::Tuple(_)) && !self.defined.contains("T")
    }

    fn is_name(&self, name: &str) -> bool {
        matches!(self.peek(), Some(Token { tok: Tok::Name(n), .. }) if n == name)
    }

    /// Whether a letter follows without a blank.
    fn letter_is_glued(&self) -> bool {
        matches!(self.peek(), Some(Token { tok: Tok::Name(_), gap: Gap::None, .. }))
    }

    /// Whether the exponent of e is only the coefficient of a letter or bracket glued to it: `e^-0.5x^2`, `e^-2(x+y)`; a
    /// constant e^-2 would be written as a number.
    fn decays(&self, exponent: &Node) -> bool {
        let Part::Neg(inner) = &exponent.kind else { return false };
        let bracket = self.is('(') && self.peek().is_some_and(|t| t.gap == Gap::None);
        matches!(inner.kind, Part::Num(_)) && (self.letter_is_glued() || bracket)
    }

    /// `e^-0.5x^2` as `e^(-0.5x^2)`; the exponent ends at a blank.
    fn decay(&mut self, base: Node, exponent: Node) -> Read<Node> {
        let mut factors = vec![(Join::Times, exponent)];
        while self.letter_is_glued() || self.is('(') && factors.len() == 1 {
            factors.push((Join::Times, self.factor()?));
        }
        let at = base.at.join(self.last());
        self.remark(at, "the power of e takes what is glued to the number; use brackets to say otherwise");
        let exponent = Node { kind: Part::Product(factors), at };
        Ok(Node { kind: Part::Pow(Box::new(base), Box::new(exponent)), at })
    }

    /// Whether a bracket opens here, also behind a sign.
    fn bracket_follows(&self) -> bool {
        let k = usize::from(self.is('-') || self.is('+'));
        ['(', '{', '['].iter().any(|c| self.is_at(k, *c))
    }

    /// Whether the exponent of e seems to go on: squares are added to its own, or a bracket is glued to it.
    fn ends_early(&self, exponent: &Node) -> bool {
        let raised = matches!(&exponent.kind, Part::Neg(inner) if matches!(inner.kind, Part::Pow(..)));
        let more = (self.is('-') || self.is('+')) && self.squares_follow();
        let unsigned = match &exponent.kind {
            Part::Neg(inner) => &inner.kind,
            kind => kind,
        };
        let plain = matches!(unsigned, Part::Num(_) | Part::Name(_));
        let glued = self.is('(') && self.peek().is_some_and(|t| t.gap == Gap::None);
        raised && more || plain && glued
    }

    /// What stands after `^`: a sign, one number, name, bracket or function, and powers of it from the right.
    pub(super) fn exponent(&mut self) -> Read<Node> {
        self.enter()?;
        let from = self.here();
        let apart = |k: usize| self.t.get(self.i + k).is_some_and(|t| t.gap > Gap::None);
        if self.is('+') && apart(0) && apart(1) {
            // `x^ + y`: the exponent was lost.
            return self.unexpected();
        }
        let node = if self.is('-') || self.is('+') {
            let minus = self.is('-');
            self.i += 1;
            let e = self.exponent()?;
            let at = from.join(e.at);
            if minus { Node { kind: Part::Neg(Box::new(e)), at } } else { e }
        } else {
            let base = self.postfix()?;
            self.raised(base)?
        };
        self.depth -= 1;
        Ok(node)
    }

    /// A primary and what follows it closely: components, methods, `!`, degrees.
    pub(super) fn postfix(&mut self) -> Read<Node> {
        self.enter()?;
        let mut node = self.primary()?;
        self.depth -= 1;
        let mut count = 0;
        loop {
            count += 1;
            if count > DEEPEST {
                return self.unexpected();
            }
            if self.is('.')
                && self.t.get(self.i + 1).is_some_and(|t| t.gap == Gap::None && t.word().is_some())
            {
                self.i += 1;
                node = self.member(node)?;
            } else if self.is('!') {
                self.i += 1;
                let at = node.at.join(self.last());
                node = Node { kind: Part::Factorial(Box::new(node)), at };
            } else if self.is('°') {
                self.i += 1;
                node = degrees(node, self.last());
            } else if self.index_follows(&node) {
                let index = match self.t[self.i + 1].tok {
                    Tok::Num(k, _) => k as usize,
                    _ => 0,
                };
                self.i += 3;
                let letter = ["x", "y", "z", "w"][index.min(3)];
                let at = node.at.join(self.last());
                node = Node { kind: Part::Swizzle(Box::new(node), letter.into()), at };
            } else if self.is('\'') {
                return self.unexpected();
            } else {
                return Ok(node);
            }
        }
    }

    fn index_follows(&self, node: &Node) -> bool {
        self.style.code
            && matches!(node.kind, Part::Name(_) | Part::Call(..))
            && self.is('[')
            && self.peek().is_some_and(|t| t.gap == Gap::None)
            && matches!(self.t.get(self.i + 1), Some(Token { tok: Tok::Num(k, true), .. }) if *k < 4.0)
            && self.is_at(2, ']')
    }

    fn member(&mut self, node: Node) -> Read<Node> {
        let word = self.peek().and_then(Token::word).unwrap_or_default().to_owned();
        let at = node.at.join(self.here());
        self.i += 1;
        if self.is('(') {
            let mut args = vec![node];
            args.extend(self.arguments()?);
            let at = at.join(self.last());
            if let ("fract", [number]) = (word.as_str(), args.as_slice()) {
                // As a method it is what stands behind the point, with the sign of its number.
                let whole = Node { kind: Part::Call("trunc".into(), args.clone()), at };
                return Ok(Node { kind: Part::Sum(vec![(false, number.clone()), (true, whole)]), at });
            }
            return Ok(Node { kind: Part::Call(word, args), at });
        }
        let letters = word.chars().all(|c| "xyzwrgba".contains(c)) && word.len() <= 4;
        if letters {
            return Ok(Node { kind: Part::Swizzle(Box::new(node), word), at });
        }
        fault(
            FaultClass::Unexpected,
            at,
            format!("the part .{word} is not known"),
            "a point has the parts .x, .y and .z",
        )
    }

    fn primary(&mut self) -> Read<Node> {
        self.steps += 1;
        let Some(token) = self.peek().cloned() else { return self.unexpected() };
        let at = token.at;
        match token.tok {
            Tok::Num(x, _) => {
                self.i += 1;
                if !x.is_finite() {
                    return fault(
                        FaultClass::NoValue,
                        at,
                        "this number is too large",
                        "numbers reach to about 1e308",
                    );
                }
                if self.peek().is_some_and(|t| matches!(t.tok, Tok::Num(..))) {
                    return self.unexpected();
                }
                Ok(Node { kind: Part::Num(x), at })
            }
            Tok::Func(name) => self.apply(&name, at),
            Tok::Name(name) | Tok::Word(name, _) if !is_keyword(&name) => self.name(name, at),
            Tok::Name(_) | Tok::Word(..) => self.unexpected(),
            Tok::Sym(c) => match c {
                '(' | '[' | '{' => self.group(),
                '|' => self.bar(),
                '‖' => self.norm('‖'),
                BAR_OPEN | NORM_OPEN => self.explicit_bars(c),
                '⌊' | '⌈' => self.whole(c),
                FRAC => self.fraction(),
                BINOM => self.binomial(),
                ROOT => self.root(),
                '√' | '∛' | '∜' => self.root_sign(c),
                '∑' | '∏' => {
                    self.i += 1;
                    self.sum_sign(c == '∏', at)
                }
                CASES => self.cases(),
                _ => self.unexpected(),
            },
        }
    }
}

fn degrees(node: Node, to: Span) -> Node {
    let at = node.at.join(to);
    let factor = Node { kind: Part::Num(std::f64::consts::PI / 180.0), at: to };
    Node { kind: Part::Product(vec![(Join::Times, node), (Join::Times, factor)]), at }
}
