//! From decided tokens to a tree: operator precedence, products without a sign, bars, powers.
//!
//! Functions without brackets and sums over ranges are in `apply`.

use std::collections::BTreeSet;

use super::faults::{FaultClass, Read, Span, fault};
use super::names;
use super::reading::Remark;
use super::style::Style;
use super::token::*;
use super::tree::{Join, Node, Part, Sign};

/// Brackets, powers and functions nested deeper than this are refused.
pub const DEEPEST: usize = 90;
/// Steps of descent at most: a bracket is several.
const DEEPEST_DESCENT: usize = 4 * DEEPEST;
/// Steps of reading after which a text is refused; only texts made to be hard come near.
const MOST_STEPS: u32 = 400_000;

/// Reads one expression from tokens.
pub struct Parser<'a> {
    pub(super) t: &'a [Token],
    pub(super) i: usize,
    depth: usize,
    /// Bars open around here.
    pub(super) bars: usize,
    steps: u32,
    pub(super) style: Style,
    pub(super) functions: &'a BTreeSet<String>,
    pub(super) defined: &'a BTreeSet<String>,
    pub(super) remarks: Vec<Remark>,
}

/// What is known while reading an expression.
#[derive(Clone, Copy)]
pub struct Context<'a> {
    /// The style of the text.
    pub style: Style,
    /// Functions that the text defines.
    pub functions: &'a BTreeSet<String>,
    /// Names that the text defines or that have values.
    pub defined: &'a BTreeSet<String>,
}

/// Reads all the tokens as one expression.
///
/// # Errors
/// The place that cannot be read.
pub fn parse(tokens: &[Token], context: Context) -> Read<(Node, Vec<Remark>)> {
    let mut p = Parser {
        t: tokens,
        i: 0,
        depth: 0,
        bars: 0,
        steps: 0,
        style: context.style,
        functions: context.functions,
        defined: context.defined,
        remarks: Vec::new(),
    };
    let node = p.list()?;
    if p.i < p.t.len() {
        return p.unexpected();
    }
    Ok((node, p.remarks))
}

impl Parser<'_> {
    pub(super) fn peek(&self) -> Option<&Token> {
        self.t.get(self.i)
    }

    pub(super) fn is(&self, c: char) -> bool {
        self.peek().is_some_and(|t| t.is(c))
    }

    pub(super) fn is_at(&self, ahead: usize, c: char) -> bool {
        self.t.get(self.i + ahead).is_some_and(|t| t.is(c))
    }

    pub(super) fn is_word(&self, w: &str) -> bool {
        self.peek().is_some_and(|t| t.is_word(w))
    }

    pub(super) fn take(&mut self, c: char) -> bool {
        let yes = self.is(c);
        self.i += usize::from(yes);
        yes
    }

    pub(super) fn here(&self) -> Span {
        match self.peek().or(self.t.last()) {
            Some(t) => t.at,
            None => Span::default(),
        }
    }

    pub(super) fn last(&self) -> Span {
        self.i.checked_sub(1).and_then(|i| self.t.get(i)).map_or(self.here(), |t| t.at)
    }

    pub(super) fn remark(&mut self, at: Span, what: impl Into<String>) {
        let remark = Remark { what: what.into(), at: at.range() };
        if !self.remarks.contains(&remark) {
            self.remarks.push(remark);
        }
    }

    fn enter(&mut self) -> Read<()> {
        self.depth += 1;
        self.steps += 1;
        if self.depth > DEEPEST_DESCENT {
            return fault(
                FaultClass::TooDeep,
                self.here(),
                format!("brackets, powers and functions are nested more than {DEEPEST} deep here"),
                "give inner parts names on lines of their own: h = ...",
            );
        }
        if self.steps > MOST_STEPS {
            return fault(
                FaultClass::TooLong,
                self.here(),
                "this takes too many steps to read",
                "write absolute values as abs(...), and give inner parts names on lines of their own",
            );
        }
        Ok(())
    }

    pub(super) fn unexpected<T>(&self) -> Read<T> {
        let Some(t) = self.peek() else {
            return match self.t.last() {
                Some(t) => fault(
                    FaultClass::Incomplete,
                    t.at,
                    format!("something is missing after {}", t.shown()),
                    "the formula ends here; was it copied to its end?",
                ),
                None => fault(
                    FaultClass::Incomplete,
                    Span::default(),
                    "a part of the formula is empty",
                    "write what belongs there",
                ),
            };
        };
        let shown = t.shown();
        let before = self.i.checked_sub(1).map(|i| self.t[i].clone());
        match t.sym() {
            Some(')' | ']' | '}' | '⌋' | '⌉') => match before {
                Some(b) => fault(
                    FaultClass::Incomplete,
                    b.at.join(t.at),
                    format!("something is missing between {} and {shown}", b.shown()),
                    "a number, a name or a function belongs there",
                ),
                None => fault(
                    FaultClass::Unbalanced,
                    t.at,
                    format!("the bracket {shown} was never opened"),
                    "delete it or open it",
                ),
            },
            Some('|' | '‖') if before.is_some() => fault(
                FaultClass::Unbalanced,
                t.at,
                format!("the bar {shown} has no partner"),
                "write absolute values as abs(...)",
            ),
            Some('+' | '-' | '*' | '·' | '×' | '/' | '^' | '%' | '=' | '<' | '>' | '≤' | '≥' | ',') => {
                let after = before.map_or(String::new(), |b| format!(" after {}", b.shown()));
                fault(
                    FaultClass::Incomplete,
                    t.at,
                    format!("{shown} cannot stand here{after}: a number, a name or a function is missing"),
                    "write what belongs between the two",
                )
            }
            Some(c @ ('∫' | '∂')) => fault(
                FaultClass::Unsupported,
                t.at,
                format!(
                    "{shown} ({}): integrals and derivatives are not worked out here",
                    if c == '∂' { "\\partial" } else { "\\int" }
                ),
                "paste the result as a formula",
            ),
            Some('±') => fault(
                FaultClass::Unsupported,
                t.at,
                "± means two formulas at once",
                "square the equation, or paste one of the two signs",
            ),
            Some('∞') => fault(
                FaultClass::Unsupported,
                t.at,
                "∞ is not a number that a shape can use",
                "use a large number",
            ),
            Some('\'') => fault(
                FaultClass::Unsupported,
                t.at,
                "the mark ' means a derivative, which is not worked out here",
                "paste the derivative as a formula",
            ),
            Some('…') => fault(
                FaultClass::Unsupported,
                t.at,
                "the dots leave terms out",
                "write all terms, or a sum over a range",
            ),
            Some('\\') => fault(
                FaultClass::UnknownCommand,
                t.at,
                "a backslash stands alone: half a TeX command",
                "finish the command or delete it",
            ),
            Some(c) if !c.is_ascii() && !is_private(c) => fault(
                FaultClass::UnknownCharacter,
                t.at,
                format!("{shown} has no meaning in a formula"),
                "replace it by what is meant, or delete it",
            ),
            _ => match t.tok {
                Tok::Num(..) if before.as_ref().is_some_and(|b| matches!(b.tok, Tok::Num(..))) => fault(
                    FaultClass::Unexpected,
                    before.map_or(t.at, |b| b.at.join(t.at)),
                    format!("two numbers stand side by side before {shown}"),
                    "put the operator between them that was lost",
                ),
                _ => fault(
                    FaultClass::Unexpected,
                    t.at,
                    format!("{shown} has no meaning here"),
                    "a formula holds numbers, names, functions, brackets and the signs + - * / ^ = < >",
                ),
            },
        }
    }

    /// Expressions between commas at the outside: components without brackets.
    fn list(&mut self) -> Read<Node> {
        let first = self.expr()?;
        if !self.is(',') {
            return Ok(first);
        }
        let mut items = vec![first];
        while self.take(',') {
            items.push(self.expr()?);
        }
        let at = items[0].at.join(self.last());
        Ok(Node { kind: Part::Tuple(items), at })
    }

    /// A whole expression with conditions and comparisons.
    pub(super) fn expr(&mut self) -> Read<Node> {
        self.enter()?;
        let a = self.either()?;
        let node = if self.take('?') {
            let yes = self.expr()?;
            if !self.take(':') {
                return fault(
                    FaultClass::Incomplete,
                    self.last(),
                    "a choice with ? needs a : and a second value",
                    "condition ? one : other",
                );
            }
            let no = self.expr()?;
            let at = a.at.join(no.at);
            Node { kind: Part::Choose(Box::new(a), Box::new(yes), Box::new(no)), at }
        } else if self.is_word("if") && !self.is_at(1, ',') && self.i + 1 < self.t.len() && self.has_else() {
            self.i += 1;
            let test = self.either()?;
            self.i += 1;
            let no = self.expr()?;
            let at = a.at.join(no.at);
            Node { kind: Part::Choose(Box::new(test), Box::new(a), Box::new(no)), at }
        } else {
            a
        };
        self.depth -= 1;
        Ok(node)
    }

    fn has_else(&self) -> bool {
        self.t[self.i..].iter().any(|t| t.is_word("else"))
    }

    fn either(&mut self) -> Read<Node> {
        let mut a = self.both()?;
        while self.is('∨')
            || self.is_word("or")
            || (self.style.code && self.bars == 0 && self.is('|') && self.is_at(1, '|'))
        {
            self.i += if self.is('|') { 2 } else { 1 };
            let b = self.both()?;
            let at = a.at.join(b.at);
            a = Node { kind: Part::Or(Box::new(a), Box::new(b)), at };
        }
        Ok(a)
    }

    fn both(&mut self) -> Read<Node> {
        let mut a = self.negation()?;
        while self.is('∧') || self.is_word("and") {
            self.i += 1;
            let b = self.negation()?;
            let at = a.at.join(b.at);
            a = Node { kind: Part::And(Box::new(a), Box::new(b)), at };
        }
        Ok(a)
    }

    fn negation(&mut self) -> Read<Node> {
        let from = self.here();
        if self.take('¬') || self.take('!') || (self.is_word("not") && self.i + 1 < self.t.len()) {
            self.i += usize::from(self.is_word("not"));
            self.enter()?;
            let a = self.negation()?;
            self.depth -= 1;
            let at = from.join(a.at);
            return Ok(Node { kind: Part::Not(Box::new(a)), at });
        }
        self.compare()
    }

    fn compare(&mut self) -> Read<Node> {
        let a = self.sum()?;
        let mut rest = Vec::new();
        while let Some(sign) = self.peek().and_then(comparison) {
            self.i += 1;
            rest.push((sign, self.sum()?));
        }
        if rest.is_empty() {
            return Ok(a);
        }
        let at = a.at.join(self.last());
        Ok(Node { kind: Part::Compare(Box::new(a), rest), at })
    }

    /// Terms with their signs.
    pub(super) fn sum(&mut self) -> Read<Node> {
        let start = self.here();
        let mut terms = Vec::new();
        let mut minus = self.signs();
        loop {
            let term = self.product()?;
            terms.push((minus, term));
            if self.is('+') || self.is('-') {
                minus = self.is('-');
                self.i += 1;
                if self.signs() {
                    minus = !minus;
                }
            } else {
                break;
            }
        }
        let at = start.join(self.last());
        if terms.len() == 1 {
            if let Some((minus, term)) = terms.pop() {
                return Ok(if minus { Node { kind: Part::Neg(Box::new(term)), at } } else { term });
            }
        }
        Ok(Node { kind: Part::Sum(terms), at })
    }

    /// Takes signs in a row; true for an odd number of minus signs.
    fn signs(&mut self) -> bool {
        let mut minus = false;
        while self.is('+') || self.is('-') {
            minus ^= self.is('-');
            self.i += 1;
        }
        minus
    }

    /// Factors, with or without signs between them.
    pub(super) fn product(&mut self) -> Read<Node> {
        let start = self.here();
        let mut factors = vec![(Join::Times, self.factor()?)];
        loop {
            let join = match self.peek().and_then(Token::sym) {
                Some('*') => Join::Times,
                Some('·') => Join::Dot,
                Some('×') => Join::Cross,
                Some('/') => Join::Over,
                Some('%') => Join::Mod,
                Some(FLOOR_OVER) => Join::FloorOver,
                _ if self.is_word("mod") && self.i + 1 < self.t.len() && !self.is_at(1, '(') => Join::Mod,
                _ if self.starts_factor() => {
                    let f = self.factor()?;
                    factors.push((Join::Times, f));
                    continue;
                }
                _ => break,
            };
            self.i += 1;
            if join == Join::Over {
                let d = self.denominator(&factors)?;
                factors.push((join, d));
            } else {
                let f = self.signed_factor()?;
                factors.push((join, f));
            }
        }
        let at = start.join(self.last());
        if factors.len() == 1 {
            if let Some((_, f)) = factors.pop() {
                return Ok(f);
            }
        }
        Ok(Node { kind: Part::Product(factors), at })
    }

    fn signed_factor(&mut self) -> Read<Node> {
        let from = self.here();
        if self.is('-') || self.is('+') {
            let minus = self.signs();
            let f = self.factor()?;
            let at = from.join(f.at);
            return Ok(if minus { Node { kind: Part::Neg(Box::new(f)), at } } else { f });
        }
        self.factor()
    }

    /// What a slash divides by: one factor, and the letters glued to it unless a literal fraction stands before.
    pub(super) fn denominator(&mut self, before: &[(Join, Node)]) -> Read<Node> {
        let first = self.signed_factor()?;
        if self.style.code || !self.starts_factor() {
            return Ok(first);
        }
        let literal = before.iter().all(|(_, n)| is_literal(n)) && is_literal(&first);
        let glued = self.peek().is_some_and(|t| t.gap == Gap::None && matches!(t.tok, Tok::Name(_)));
        if literal || !glued || !is_simple(&first) {
            let at = before.last().map_or(first.at, |(_, n)| n.at.join(first.at)).join(self.here());
            let how = if literal {
                "the fraction before a symbol is its coefficient"
            } else {
                "the slash takes one factor"
            };
            self.remark(at, format!("read as (a/b)·c, not a/(b·c): {how}"));
            return Ok(first);
        }
        let mut factors = vec![(Join::Times, first)];
        while self.peek().is_some_and(|t| t.gap == Gap::None && matches!(t.tok, Tok::Name(_))) {
            factors.push((Join::Times, self.factor()?));
        }
        let at = factors[0].1.at.join(self.last());
        self.remark(at, "read as a/(b·c): letters written close together after a slash stand below it");
        Ok(Node { kind: Part::Product(factors), at })
    }

    /// Whether a factor can begin here, so that a product without a sign goes on.
    pub(super) fn starts_factor(&self) -> bool {
        let Some(t) = self.peek() else { return false };
        match &t.tok {
            Tok::Num(..) => !self.i.checked_sub(1).is_some_and(|i| matches!(self.t[i].tok, Tok::Num(..))),
            Tok::Word(w, _) | Tok::Name(w) | Tok::Func(w) => !is_keyword(w),
            Tok::Sym(c) => match c {
                '(' | '[' | '{' | '√' | '∛' | '∜' | '∑' | '∏' | '⌊' | '⌈' => true,
                '|' | '‖' => self.bars == 0,
                c => matches!(*c, ROOT | FRAC | CASES | BAR_OPEN | NORM_OPEN),
            },
        }
    }

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
        if self.is('°') || (self.is('{') && self.is_at(1, '°')) {
            self.i += if self.is('{') { 3 } else { 1 };
            return Ok(degrees(base, self.last()));
        }
        let exponent = self.exponent()?;
        let at = base.at.join(exponent.at);
        let plain = matches!(exponent.kind, Part::Num(_) | Part::Name(_));
        let letter = matches!(self.peek(), Some(Token { tok: Tok::Name(_), gap: Gap::None, .. }));
        let grows = matches!(&base.kind, Part::Name(n) if n == "e") || matches!(base.kind, Part::Num(_));
        if plain && letter && grows && !self.style.tex && !self.last_is_bracket() {
            self.remark(
                at.join(self.here()),
                "the power takes only the first number or letter that follows ^",
            );
        }
        Ok(Node { kind: Part::Pow(Box::new(base), Box::new(exponent)), at })
    }

    fn last_is_bracket(&self) -> bool {
        self.i.checked_sub(1).is_some_and(|i| self.t[i].is(')') || self.t[i].is('}'))
    }

    /// What stands after `^`: a sign, one number, name, bracket or function, and powers of it from the right.
    pub(super) fn exponent(&mut self) -> Read<Node> {
        self.enter()?;
        let from = self.here();
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

    /// Arguments between brackets of any kind; the parser stands on the opening one.
    pub(super) fn arguments(&mut self) -> Read<Vec<Node>> {
        let open = self.peek().cloned();
        let bars = std::mem::take(&mut self.bars);
        self.i += 1;
        let mut args = Vec::new();
        while !self.closes() {
            let item = if self.is('[') && self.is_range_list() { self.expr()? } else { self.item()? };
            args.push(item);
            if !(self.take(',') || self.take(';')) {
                break;
            }
        }
        if !self.closes() {
            return match (open, self.peek()) {
                (Some(o), None) => fault(
                    FaultClass::Unbalanced,
                    o.at,
                    format!("the bracket {} is not closed", o.shown()),
                    "close it, or was the end of the formula lost?",
                ),
                _ => self.unexpected(),
            };
        }
        self.i += 1;
        self.bars = bars;
        Ok(args)
    }

    fn closes(&self) -> bool {
        self.is(')') || self.is(']') || self.is('}')
    }

    fn is_range_list(&self) -> bool {
        false
    }

    fn group(&mut self) -> Read<Node> {
        let start = self.here();
        if self.is('{') && self.over_follows() {
            return self.over(start);
        }
        let before = self.i.checked_sub(1).map(|i| self.t[i].clone());
        let mut items = self.arguments()?;
        let at = start.join(self.last());
        match items.len() {
            0 => fault(
                FaultClass::Incomplete,
                at,
                nothing_between(before.as_ref()),
                "write what belongs there",
            ),
            1 => match items.pop() {
                Some(n) => Ok(Node { kind: n.kind, at }),
                None => self.unexpected(),
            },
            _ => Ok(Node { kind: Part::Tuple(items), at }),
        }
    }

    fn over_follows(&self) -> bool {
        let mut depth = 0;
        for t in &self.t[self.i..] {
            match t.sym() {
                Some('{' | '(' | '[') => depth += 1,
                Some('}' | ')' | ']') => {
                    depth -= 1;
                    if depth == 0 {
                        return false;
                    }
                }
                Some(OVER) if depth == 1 => return true,
                _ => {}
            }
        }
        false
    }

    /// `{a \over b}`
    fn over(&mut self, start: Span) -> Read<Node> {
        self.i += 1;
        let a = self.sum()?;
        if !self.take(OVER) {
            return self.unexpected();
        }
        let b = self.sum()?;
        if !self.take('}') {
            return self.unexpected();
        }
        let at = start.join(self.last());
        Ok(Node { kind: Part::Product(vec![(Join::Times, a), (Join::Over, b)]), at })
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

    fn bar(&mut self) -> Read<Node> {
        let (start, remarks, depth, bars) = (self.i, self.remarks.len(), self.depth, self.bars);
        if self.is_at(1, '|') && self.t[self.i + 1].gap == Gap::None {
            if let Ok(node) = self.norm('|') {
                return Ok(node);
            }
            self.i = start;
            self.depth = depth;
            self.bars = bars;
            self.remarks.truncate(remarks);
        }
        let from = self.here();
        self.i += 1;
        self.bars += 1;
        let inner = self.expr()?;
        self.bars -= 1;
        if !self.take('|') {
            return fault(
                FaultClass::Unbalanced,
                from,
                "the bar | is not closed",
                "close it, or write abs(...)",
            );
        }
        let at = from.join(self.last());
        Ok(Node { kind: Part::Abs(Box::new(inner)), at })
    }

    /// A norm between double bars, written as one sign or as two single bars.
    fn norm(&mut self, c: char) -> Read<Node> {
        let from = self.here();
        let width = if c == '|' { 2 } else { 1 };
        self.i += width;
        self.bars += 1;
        let inner = self.expr()?;
        self.bars -= 1;
        let closed = self.is(c) && (width == 1 || self.is_at(1, c));
        if !closed {
            return fault(
                FaultClass::Unbalanced,
                from,
                "the double bar ‖ is not closed",
                "close it, or write length(...)",
            );
        }
        self.i += width;
        let at = from.join(self.last());
        Ok(Node { kind: Part::Norm(Box::new(inner)), at })
    }

    fn explicit_bars(&mut self, open: char) -> Read<Node> {
        let from = self.here();
        self.i += 1;
        let bars = std::mem::take(&mut self.bars);
        let inner = self.expr()?;
        self.bars = bars;
        if !self.take(if open == BAR_OPEN { BAR_CLOSE } else { NORM_CLOSE }) {
            return fault(FaultClass::Unbalanced, from, "the bar | is not closed", "close it with \\right|");
        }
        let at = from.join(self.last());
        let inner = Box::new(inner);
        Ok(Node { kind: if open == BAR_OPEN { Part::Abs(inner) } else { Part::Norm(inner) }, at })
    }

    fn whole(&mut self, open: char) -> Read<Node> {
        let from = self.here();
        self.i += 1;
        let bars = std::mem::take(&mut self.bars);
        let inner = self.expr()?;
        self.bars = bars;
        let close = self.peek().and_then(Token::sym);
        if !matches!(close, Some('⌋' | '⌉')) {
            return fault(
                FaultClass::Unbalanced,
                from,
                format!("the bracket {open} is not closed"),
                "close it, or write floor(...)",
            );
        }
        self.i += 1;
        let name = match (open, close) {
            ('⌊', Some('⌋')) => "floor",
            ('⌈', Some('⌉')) => "ceil",
            _ => "round",
        };
        Ok(Node { kind: Part::Call(name.into(), vec![inner]), at: from.join(self.last()) })
    }

    fn cases(&mut self) -> Read<Node> {
        let from = self.here();
        self.i += 1;
        let mut rows = Vec::new();
        while !self.is(END_CASES) {
            let value = self.expr()?;
            self.take(',');
            self.take('&');
            self.take(',');
            let mut test = None;
            if self.is_word("otherwise") || self.is_word("else") {
                self.i += 1;
            } else if !self.is(ROW) && !self.is(END_CASES) {
                while self.is_word("if") || self.is_word("for") || self.is_word("when") {
                    self.i += 1;
                }
                test = Some(self.expr()?);
            }
            self.take(',');
            self.take('.');
            rows.push((value, test));
            if !self.take(ROW) {
                break;
            }
        }
        if !self.take(END_CASES) {
            return self.unexpected();
        }
        Ok(Node { kind: Part::Cases(rows), at: from.join(self.last()) })
    }
}

/// The comparison that a token is.
pub fn comparison(t: &Token) -> Option<Sign> {
    Some(match t.sym()? {
        '=' | '≈' | '≔' => Sign::Equal,
        '<' => Sign::Less,
        '≤' => Sign::AtMost,
        '>' => Sign::Greater,
        '≥' => Sign::AtLeast,
        '≠' => Sign::Unequal,
        _ => return None,
    })
}

/// Whether a sign stands for a TeX command.
fn is_private(c: char) -> bool {
    ('\u{E000}'..='\u{F8FF}').contains(&c)
}

/// Words that are never factors.
pub fn is_keyword(w: &str) -> bool {
    matches!(w, "if" | "else" | "and" | "or" | "not" | "for" | "in" | "otherwise" | "when" | "then")
}

fn degrees(node: Node, to: Span) -> Node {
    let at = node.at.join(to);
    let factor = Node { kind: Part::Num(std::f64::consts::PI / 180.0), at: to };
    Node { kind: Part::Product(vec![(Join::Times, node), (Join::Times, factor)]), at }
}

/// A number, a constant, or a quotient of such.
fn is_literal(n: &Node) -> bool {
    match &n.kind {
        Part::Num(_) => true,
        Part::Name(name) => names::constant(name).is_some(),
        _ => false,
    }
}

/// A number, a name, or a power of one.
fn is_simple(n: &Node) -> bool {
    match &n.kind {
        Part::Num(_) | Part::Name(_) => true,
        Part::Pow(base, _) => matches!(base.kind, Part::Num(_) | Part::Name(_)),
        _ => false,
    }
}

fn nothing_between(before: Option<&Token>) -> String {
    let after = before.map_or(String::new(), |b| format!(" after {}", b.shown()));
    format!("there is nothing between the brackets{after}")
}
