//! What stands between brackets, bars and the ends of a table of cases.

use super::faults::{FaultClass, Read, Span, fault};
use super::parse::Parser;
use super::token::*;
use super::tree::{Join, Node, Part, Sign};

impl Parser<'_> {
    /// Arguments between brackets of any kind; the parser stands on the opening one.
    pub(super) fn arguments(&mut self) -> Read<Vec<Node>> {
        let open = self.peek().cloned();
        let bars = std::mem::take(&mut self.bars);
        self.i += 1;
        let mut args = Vec::new();
        while !self.closes() {
            args.push(self.item()?);
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

    pub(super) fn group(&mut self) -> Read<Node> {
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

    pub(super) fn bar(&mut self) -> Read<Node> {
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
        let equal = |rest: &[(Sign, Node)]| rest.iter().any(|(sign, _)| *sign == Sign::Equal);
        if matches!(&inner.kind, Part::Compare(_, rest) if equal(rest)) && !self.style.code {
            return fault(
                FaultClass::Unexpected,
                at,
                "an equation stands between these bars, which has no size",
                "close the bar before the equals sign, or write abs(...)",
            );
        }
        let number = |n: &Node| matches!(n.kind, Part::Num(_));
        self.idle_bars |= match &inner.kind {
            Part::Neg(a) => number(a),
            _ => number(&inner),
        };
        let more = self.peek().is_some_and(|t| t.gap == Gap::None && matches!(t.tok, Tok::Name(_)));
        if more && self.is_at(1, '|') && self.t[self.i + 1].gap == Gap::None {
            self.remark(
                at.join(self.here()),
                "bars read as closed by the next one; write abs(...) to say otherwise",
            );
        }
        Ok(Node { kind: Part::Abs(Box::new(inner)), at })
    }

    /// A norm between double bars, written as one sign or as two single bars.
    pub(super) fn norm(&mut self, c: char) -> Read<Node> {
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
        self.of_order(Node { kind: Part::Norm(Box::new(inner)), at })
    }

    /// The order below a norm, `‖p‖₁`: a sum of sizes for 1, the length for 2, the greatest size for ∞.
    fn of_order(&mut self, norm: Node) -> Read<Node> {
        if !self.is('_') {
            return Ok(norm);
        }
        self.i += 1;
        let braced = self.take('{');
        let order = self.peek().cloned();
        self.i += 1;
        let closed = !braced || self.take('}');
        let at = norm.at.join(self.last());
        let name = match order.map(|t| t.tok).filter(|_| closed) {
            Some(Tok::Num(2.0, _)) => return Ok(Node { at, ..norm }),
            Some(Tok::Num(1.0, _)) => SUM_OF_SIZES,
            Some(Tok::Sym('∞')) => GREATEST_SIZE,
            _ => {
                return fault(
                    FaultClass::Unsupported,
                    at,
                    "only the norms of the orders 1, 2 and ∞ are read",
                    "write the norm out, as in (|x|^3 + |y|^3 + |z|^3)^(1/3)",
                );
            }
        };
        Ok(Node { kind: Part::Call(name.into(), vec![norm]), at })
    }

    pub(super) fn explicit_bars(&mut self, open: char) -> Read<Node> {
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
        match open == BAR_OPEN {
            true => Ok(Node { kind: Part::Abs(inner), at }),
            false => self.of_order(Node { kind: Part::Norm(inner), at }),
        }
    }

    pub(super) fn whole(&mut self, open: char) -> Read<Node> {
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

    pub(super) fn cases(&mut self) -> Read<Node> {
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

/// The norm of order 1: a call that no text can name.
pub(super) const SUM_OF_SIZES: &str = "sum of sizes ";

/// The norm of order ∞: a call that no text can name.
pub(super) const GREATEST_SIZE: &str = "greatest size ";

fn nothing_between(before: Option<&Token>) -> String {
    let after = before.map_or(String::new(), |b| format!(" after {}", b.shown()));
    format!("there is nothing between the brackets{after}")
}
