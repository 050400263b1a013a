//! From decided tokens to a tree: operator precedence, products without a sign, bars, powers.
//!
//! Functions without brackets and sums over ranges are in `apply`.

use std::collections::BTreeSet;

use super::choices;
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
    pub(super) depth: usize,
    /// Bars open around here.
    pub(super) bars: usize,
    /// A bar before an operand opens one inside another.
    pub(super) nested: bool,
    /// Bars were read around a number alone, which nobody writes.
    pub(super) idle_bars: bool,
    pub(super) steps: u32,
    pub(super) style: Style,
    pub(super) functions: &'a BTreeSet<String>,
    pub(super) defined: &'a BTreeSet<String>,
    pub(super) varying: &'a BTreeSet<String>,
    /// i, j and k are unit vectors here.
    pub(super) units: bool,
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
    /// Those of them that change from place to place.
    pub varying: &'a BTreeSet<String>,
}

/// Reads all the tokens as one expression.
///
/// # Errors
/// The place that cannot be read.
pub fn parse(tokens: &[Token], context: Context) -> Read<(Node, Vec<Remark>)> {
    let mut flat = Parser::new(tokens, context);
    let first = flat.whole_text();
    if tokens.iter().filter(|t| t.is('|')).count() < 3 || first.is_ok() && !flat.idle_bars {
        return first.map(|node| (node, flat.remarks));
    }
    // `|2|x| - 1|`: the second bar may as well open one inside the first.
    let mut nested = Parser { nested: true, ..Parser::new(tokens, context) };
    match nested.whole_text() {
        Ok(node) if !nested.idle_bars => {
            nested.remark(node.at, "bars read as one inside the other; write abs(...) to say otherwise");
            Ok((node, nested.remarks))
        }
        _ => first.map(|node| (node, flat.remarks)),
    }
}

impl<'a> Parser<'a> {
    fn new(tokens: &'a [Token], context: Context<'a>) -> Self {
        Self {
            t: tokens,
            i: 0,
            depth: 0,
            bars: 0,
            nested: false,
            idle_bars: false,
            steps: 0,
            style: context.style,
            functions: context.functions,
            defined: context.defined,
            varying: context.varying,
            units: ["i", "j"]
                .iter()
                .all(|n| tokens.iter().any(|t| t.is_word(n)) && !context.defined.contains(*n)),
            remarks: Vec::new(),
        }
    }

    fn whole_text(&mut self) -> Read<Node> {
        let node = self.list()?;
        if self.i < self.t.len() { self.unexpected() } else { Ok(node) }
    }
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

    pub(super) fn enter(&mut self) -> Read<()> {
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
            let (left, a) = choices::behind_equals(a);
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
            choices::equal_to(left, Node { kind: Part::Choose(Box::new(a), Box::new(yes), Box::new(no)), at })
        } else if self.is_word("if") && !self.is_at(1, ',') && self.i + 1 < self.t.len() && self.has_else() {
            self.i += 1;
            let test = self.either()?;
            self.i += 1;
            let no = self.expr()?;
            let (left, a) = choices::value_behind_equals(a);
            let at = a.at.join(no.at);
            choices::equal_to(
                left,
                Node { kind: Part::Choose(Box::new(test), Box::new(a), Box::new(no)), at },
            )
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
        while self.is('∨') || self.is_word("or") || self.bars_join(&a) {
            self.i += if self.is('|') && self.is_at(1, '|') { 2 } else { 1 };
            let b = self.both()?;
            let at = a.at.join(b.at);
            a = Node { kind: Part::Or(Box::new(a), Box::new(b)), at };
        }
        Ok(a)
    }

    /// Whether `||`, or `|` after a condition, stands here and means "or".
    fn bars_join(&self, before: &Node) -> bool {
        let condition = choices::is_condition(before);
        self.bars == 0 && self.is('|') && (condition || self.style.code && self.is_at(1, '|'))
    }

    /// Whether `||` between blanks here joins conditions and opens no norm: it has no partner, or a comparison before it.
    fn or_bars(&self) -> bool {
        let pair = |i: usize| {
            let second = self.t.get(i + 1).is_some_and(|t| t.is('|') && t.gap == Gap::None);
            second && self.t[i].is('|')
        };
        if self.bars > 0 || !self.is('|') {
            return false;
        }
        if !pair(self.i) {
            let closed = self.i.checked_sub(1).is_some_and(|i| self.t[i].is(')'));
            let last = !self.t[self.i + 1..].iter().any(|t| t.is('|'));
            return closed && last && self.t[self.i].gap > Gap::None;
        }
        let blank =
            self.t[self.i].gap > Gap::None && self.t.get(self.i + 2).is_some_and(|t| t.gap > Gap::None);
        let partner = (self.i + 2..self.t.len()).find(|k| pair(*k));
        let compared = |to: usize| self.t[self.i + 2..to].iter().any(|t| comparison(t).is_some());
        self.style.code || blank && partner.is_none_or(compared)
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
            if self.is('≈') {
                self.remark(self.here(), "≈ read as =");
            }
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
            let mut term = self.product()?;
            if self.style.code && minus && terms.is_empty() {
                minus = !before_remainder(&mut term);
            }
            if self.style.sheet && minus && terms.is_empty() && begins_with_power(&term) {
                let what = "a minus before a power read as minus the power; a sheet takes the minus first";
                self.remark(start.join(term.at), what);
            }
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
        if terms.len() == 1
            && let Some((minus, term)) = terms.pop()
        {
            return Ok(if minus { Node { kind: Part::Neg(Box::new(term)), at } } else { term });
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
                    self.note_index();
                    let f = self.factor()?;
                    factors.push((Join::Times, f));
                    continue;
                }
                _ => break,
            };
            if self.is('%') && !self.style.code && !self.style.tex && !self.style.truncates {
                let what = "% read as the remainder, which is never below 0 where the divisor is above";
                self.remark(self.here(), what);
            }
            if join == Join::Over && self.style.typed {
                self.note_whole_quotient();
            }
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
        if factors.len() == 1
            && let Some((_, f)) = factors.pop()
        {
            return Ok(f);
        }
        Ok(Node { kind: Part::Product(factors), at })
    }

    /// Says that a quotient of whole numbers keeps its fraction here, which code with types drops: `1/2*x`.
    fn note_whole_quotient(&mut self) {
        let at = |k: Option<usize>| k.and_then(|k| self.t.get(k));
        let (before, next) = (at(self.i.checked_sub(1)), at(Some(self.i + 1)));
        let inner = at(self.i.checked_sub(2)).is_some_and(|t| matches!(t.sym(), Some('*' | '/' | '%' | '^')));
        if let (
            Some(Token { tok: Tok::Num(a, true), at: from, .. }),
            Some(Token { tok: Tok::Num(b, true), at: to, .. }),
        ) = (before, next)
            && !inner
            && *b != 0.0
            && a % b != 0.0
        {
            let what = format!(
                "{a}/{b} read with its fraction; code with types may drop it and give {}",
                (a / b).floor()
            );
            self.remark(from.join(*to), what);
        }
    }

    /// Says that a number in square brackets behind a number, or glued to a name, is a factor here, `a[3]`.
    fn note_index(&mut self) {
        let one = self.is('[') && self.is_at(2, ']');
        let glued = self.peek().is_some_and(|t| t.gap == Gap::None);
        let before = self.i.checked_sub(1).map(|i| self.t[i].clone());
        let told = |t: &Token| matches!(t.tok, Tok::Num(..)) || glued && matches!(t.tok, Tok::Name(_));
        let name = before.filter(|t| one && told(t));
        if let (Some(name), Some([Token { tok: Tok::Num(k, true), .. }, close])) =
            (name, self.t.get(self.i + 1..self.i + 3))
        {
            let (shown, k, at) = (name.shown(), *k, name.at.join(close.at));
            self.remark(at, format!("{shown}[{k}] read as {shown} times {k}"));
        }
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

    /// Whether the bar here opens one inside those that are open: an operand follows, and bars enough to close them all.
    fn opens_inside(&self) -> bool {
        let operand = match self.t.get(self.i + 1).map(|t| &t.tok) {
            Some(Tok::Sym(c)) => matches!(*c, '(' | '√' | ROOT | FRAC),
            Some(_) => true,
            None => false,
        };
        operand && self.t[self.i + 1..].iter().filter(|t| t.is('|')).take(self.bars + 1).count() > self.bars
    }

    /// Whether a factor can begin here, so that a product without a sign goes on.
    pub(super) fn starts_factor(&self) -> bool {
        let Some(t) = self.peek() else { return false };
        match &t.tok {
            Tok::Num(..) => !self.i.checked_sub(1).is_some_and(|i| matches!(self.t[i].tok, Tok::Num(..))),
            Tok::Word(w, _) | Tok::Name(w) | Tok::Func(w) => !is_keyword(w),
            Tok::Sym(c) => match c {
                '(' | '[' | '{' | '√' | '∛' | '∜' | '∑' | '∏' | '⌊' | '⌈' => true,
                '|' if self.nested && self.bars > 0 => self.opens_inside(),
                '|' | '‖' => self.bars == 0 && !self.or_bars(),
                c => matches!(*c, ROOT | FRAC | BINOM | CASES | BAR_OPEN | NORM_OPEN),
            },
        }
    }
}

/// In code a leading minus binds closer than a remainder: gives it to the first factor, true where it did.
fn before_remainder(term: &mut Node) -> bool {
    let Part::Product(factors) = &mut term.kind else { return false };
    if !factors.iter().any(|(join, _)| matches!(join, Join::Mod | Join::FloorOver)) {
        return false;
    }
    let first = factors[0].1.clone();
    factors[0].1 = Node { at: first.at, kind: Part::Neg(Box::new(first)) };
    true
}

fn begins_with_power(term: &Node) -> bool {
    match &term.kind {
        Part::Product(factors) => factors.first().is_some_and(|(_, n)| begins_with_power(n)),
        kind => matches!(kind, Part::Pow(..)),
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

/// Words that are never factors.
pub fn is_keyword(w: &str) -> bool {
    matches!(w, "if" | "else" | "and" | "or" | "not" | "for" | "in" | "otherwise" | "when" | "then")
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
