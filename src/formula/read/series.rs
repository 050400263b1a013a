//! Sums and products over ranges, and the ranges among the arguments of a call.

use super::faults::{FaultClass, Read, Span, fault};
use super::parse::Parser;
use super::token::*;
use super::tree::{Node, Part};

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
        let body = self.product()?;
        let at = at.join(self.last());
        Ok(Node { kind: Part::Over(product, name, Box::new(low), Box::new(high), Box::new(body)), at })
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
