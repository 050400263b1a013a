//! Sums and products over ranges, and the ranges among the arguments of a call.

use super::faults::{FaultClass, Read, Span, fault};
use super::parse::Parser;
use super::token::*;
use super::tree::{Join, Node, Part};

impl Parser<'_> {
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
        let from = self.i;
        let body = self.product()?;
        let at = at.join(self.last());
        if product {
            self.note_scope(&name, from, at);
        }
        Ok(Node { kind: Part::Over(product, name, Box::new(low), Box::new(high), Box::new(body)), at })
    }

    /// Says that the terms of a product take in all factors after its sign, where the last of them does not hold its index.
    fn note_scope(&mut self, index: &str, from: usize, at: Span) {
        let last = self.t[from..self.i].iter().rposition(|t| matches!(t.tok, Tok::Func(_)));
        let Some(k) = last.filter(|k| *k > 0).map(|k| from + k) else { return };
        if !self.t[k..self.i].iter().any(|t| t.is_word(index)) {
            self.remark(
                at,
                "the product takes in all factors that follow its sign; use brackets to say otherwise",
            );
        }
    }

    /// `sum(...)` as a word, in all its spellings.
    pub(super) fn sum_word(
        &mut self,
        name: &str,
        base: Option<Node>,
        power: Option<Node>,
        at: Span,
    ) -> Read<Node> {
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
            && matches!(&args[0].kind, Part::Call(name, _) if name == TERMS)
            && let Some(Node { kind: Part::Call(_, terms), .. }) = args.pop()
        {
            return Ok(joined(product, terms, at));
        }
        if let Some((n, ends, body)) = range_arguments(&args) {
            return Ok(joined(product, stepped(n, &ends, &body, 0.0, at)?, at));
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
        let args = if self.is('(') || self.is('[') { self.arguments()? } else { vec![self.item()?] };
        let at = node.at.join(self.last());
        let terms = |all: Vec<Node>| Node { kind: Part::Call(TERMS.into(), all), at };
        if ranged {
            // `range` leaves its last end out.
            let ends = match args.as_slice() {
                [_] => [&[Node { kind: Part::Num(0.0), at }], args.as_slice()].concat(),
                _ => args,
            };
            return Ok(terms(stepped(index, &ends, &node, 1.0, at)?));
        }
        if let [Node { kind: Part::Call(name, ends), .. }] = args.as_slice()
            && name == "range "
        {
            return Ok(terms(vec![over(index, &ends[0], ends[1].clone(), &node, at)]));
        }
        let named = Node { kind: Part::Name(index), at };
        let all = args.into_iter().map(|a| {
            let kind = Part::Call(WITH_VALUE.into(), vec![named.clone(), a, node.clone()]);
            Node { kind, at }
        });
        Ok(terms(all.collect()))
    }
}

/// The terms of a list that a loop makes: a call that no text can name.
pub(super) const TERMS: &str = "terms ";

/// What a term comes to where a name has a value: a call that no text can name, of the name, the value and the term.
pub(super) const WITH_VALUE: &str = "with value ";

/// The most terms of a range with steps.
const MOST_STEPS: f64 = 1000.0;

/// The sum or product of terms.
fn joined(product: bool, mut terms: Vec<Node>, at: Span) -> Node {
    if let ([_], Some(Node { kind: Part::Over(_, n, a, b, body), .. })) =
        (terms.as_slice(), terms.first().cloned())
    {
        return Node { kind: Part::Over(product, n, a, b, body), at };
    }
    let kind = match (terms.len(), product) {
        (1, _) => return terms.remove(0),
        (0, _) => Part::Num(if product { 1.0 } else { 0.0 }),
        (_, true) => Part::Product(terms.into_iter().map(|t| (Join::Times, t)).collect()),
        (_, false) => Part::Sum(terms.into_iter().map(|t| (false, t)).collect()),
    };
    Node { kind, at }
}

fn over(index: String, low: &Node, high: Node, body: &Node, at: Span) -> Node {
    let kind = Part::Over(false, index, Box::new(low.clone()), Box::new(high), Box::new(body.clone()));
    Node { kind, at }
}

/// The terms of a range by its ends and perhaps its step, of which the last end is `short` by that much or not reached.
fn stepped(index: String, ends: &[Node], body: &Node, short: f64, at: Span) -> Read<Vec<Node>> {
    let num = |x: f64| Node { kind: Part::Num(x), at };
    match ends {
        [low, high] if short == 0.0 => Ok(vec![over(index, low, high.clone(), body, at)]),
        [low, high] => {
            let last = Node { kind: Part::Sum(vec![(false, high.clone()), (true, num(short))]), at };
            Ok(vec![over(index, low, last, body, at)])
        }
        [low, high, step] => {
            let (Some(low), Some(high), Some(step)) = (literal(low), literal(high), literal(step)) else {
                return fault(
                    FaultClass::Unsupported,
                    at,
                    "the ends and the step of a range must be numbers here",
                    "write them out, as in range(1, 6, 2)",
                );
            };
            let count = if short == 0.0 {
                ((high - low) / step + 1e-9).floor() + 1.0
            } else {
                ((high - low) / step).ceil()
            };
            if step == 0.0 || count > MOST_STEPS {
                let what = format!("this range has more than {MOST_STEPS} steps, or a step of 0");
                return fault(FaultClass::TooLong, at, what, "a few terms usually decide the shape");
            }
            let name = Node { kind: Part::Name(index), at };
            let count = count.max(0.0) as usize;
            let term = |k: usize| {
                Part::Call(WITH_VALUE.into(), vec![name.clone(), num(low + step * k as f64), body.clone()])
            };
            Ok((0..count).map(|k| Node { kind: term(k), at }).collect())
        }
        _ => {
            fault(FaultClass::WrongArguments, at, "a range has one to three numbers", "as in range(1, 6, 2)")
        }
    }
}

/// A number with its sign.
fn literal(node: &Node) -> Option<f64> {
    match &node.kind {
        Part::Num(x) => Some(*x),
        Part::Neg(a) => literal(a).map(|x| -x),
        _ => None,
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

/// Index, ends with perhaps a step, and body from `(body, k, 1, 3)`, `(body, {k, 1, 3})`, `(body, {k, 3})`,
/// `(body, k = 1..3)` or the range first.
fn range_arguments(args: &[Node]) -> Option<(String, Vec<Node>, Node)> {
    let name = |n: &Node| match &n.kind {
        Part::Name(s) => Some(s.clone()),
        _ => None,
    };
    let ranged = |n: &Node| match &n.kind {
        Part::Call(c, a) if c == "range " && a.len() == 3 => Some((name(&a[2])?, a[..2].to_vec())),
        Part::Tuple(t) if matches!(t.len(), 3 | 4) => Some((name(&t[0])?, t[1..].to_vec())),
        Part::Tuple(t) if t.len() == 2 => {
            let one = Node { kind: Part::Num(1.0), at: t[1].at };
            Some((name(&t[0])?, vec![one, t[1].clone()]))
        }
        _ => None,
    };
    match args {
        [body, k, ends @ ..] if matches!(ends.len(), 2 | 3) => Some((name(k)?, ends.to_vec(), body.clone())),
        [a, b] => match (ranged(a), ranged(b)) {
            (_, Some((n, ends))) => Some((n, ends, a.clone())),
            (Some((n, ends)), _) => Some((n, ends, b.clone())),
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
