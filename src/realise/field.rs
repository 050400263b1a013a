//! The function to be realised: the whole as one tape, and its branches (the parts between which min and max choose).
//!
//! Creases of a solid made by set operations lie where two branches are active at once; knowing the branches, the
//! place of a crease can be solved for exactly.

use crate::base::{Box3, Interval, Vec3};
use crate::formula::{Binary, Expr, Op, Scratch, Tape, TapeFault, Unary};

/// How min and max join the branches.
#[derive(Clone, Debug)]
pub enum Choice {
    /// A branch, negated where the flag is set.
    Branch(u32, bool),
    /// The lesser (false) or greater (true) of two.
    Either(bool, Box<[Choice; 2]>),
    /// The first where a branch is negative, else the second.
    Select(u32, Box<[Choice; 2]>),
}

/// The function to be realised; negative inside.
#[derive(Clone, Debug)]
pub struct Field {
    /// The whole.
    pub tape: Tape,
    branches: Vec<Tape>,
    root: Choice,
}

/// Past this many branches, or this depth, a min or max is taken as part of a branch.
const MOST_BRANCHES: usize = 4096;
const DEEPEST: u32 = 200;

struct Split {
    branches: Vec<Expr>,
    known: std::collections::HashMap<usize, u32>,
}

impl Split {
    fn choice(&mut self, e: &Expr, negate: bool, depth: u32) -> Choice {
        match e.op() {
            Op::Binary(f @ (Binary::Min | Binary::Max), a, b)
                if depth < DEEPEST && self.branches.len() < MOST_BRANCHES =>
            {
                let greater = (*f == Binary::Max) != negate;
                let a = self.choice(a, negate, depth + 1);
                let b = self.choice(b, negate, depth + 1);
                Choice::Either(greater, Box::new([a, b]))
            }
            Op::Unary(Unary::Neg, a) if depth < DEEPEST => self.choice(a, !negate, depth + 1),
            Op::Select(test, a, b) if depth < DEEPEST && self.branches.len() < MOST_BRANCHES => {
                let test = self.branch(test);
                let a = self.choice(a, negate, depth + 1);
                let b = self.choice(b, negate, depth + 1);
                Choice::Select(test, Box::new([a, b]))
            }
            _ => Choice::Branch(self.branch(e), negate),
        }
    }

    fn branch(&mut self, e: &Expr) -> u32 {
        let next = self.branches.len() as u32;
        let k = *self.known.entry(e.address()).or_insert(next);
        if k == next {
            self.branches.push(e.clone());
        }
        k
    }
}

impl Field {
    /// The function of an expression in `x`, `y`, `z`.
    ///
    /// # Errors
    /// The name of a variable that is none of these.
    pub fn new(expr: &Expr) -> Result<Self, TapeFault> {
        let mut split = Split { branches: vec![], known: std::collections::HashMap::new() };
        let root = split.choice(expr, false, 0);
        let branches = split.branches.iter().map(Tape::new).collect::<Result<_, _>>()?;
        Ok(Self { tape: Tape::new(expr)?, branches, root })
    }

    /// A range of the values in a box.
    pub fn bounds(&self, region: Box3) -> Interval {
        self.tape.bounds(region)
    }

    /// The choice that remains in a box.
    pub fn within(&self, region: Box3) -> Choice {
        if self.root.is_single() { self.root.clone() } else { self.prune(&self.root, region).0 }
    }

    /// The choice that remains in a box of one that held in a larger box, and a range of the values there.
    fn prune(&self, choice: &Choice, region: Box3) -> (Choice, Interval) {
        match choice {
            Choice::Branch(k, negate) => {
                let b = self.branches[*k as usize].bounds(region);
                (choice.clone(), if *negate { Interval::new(-b.hi, -b.lo) } else { b })
            }
            Choice::Select(test, pair) => {
                let range = self.branches[*test as usize].bounds(region);
                if range.hi < 0.0 {
                    return self.prune(&pair[0], region);
                }
                if range.lo >= 0.0 {
                    return self.prune(&pair[1], region);
                }
                let ((a, x), (b, y)) = (self.prune(&pair[0], region), self.prune(&pair[1], region));
                (Choice::Select(*test, Box::new([a, b])), Interval::new(x.lo.min(y.lo), x.hi.max(y.hi)))
            }
            Choice::Either(greater, pair) => {
                let ((a, x), (b, y)) = (self.prune(&pair[0], region), self.prune(&pair[1], region));
                if *greater {
                    match () {
                        () if x.lo > y.hi => (a, x),
                        () if y.lo > x.hi => (b, y),
                        () => (
                            Choice::Either(true, Box::new([a, b])),
                            Interval::new(x.lo.max(y.lo), x.hi.max(y.hi)),
                        ),
                    }
                } else {
                    match () {
                        () if x.hi < y.lo => (a, x),
                        () if y.hi < x.lo => (b, y),
                        () => (
                            Choice::Either(false, Box::new([a, b])),
                            Interval::new(x.lo.min(y.lo), x.hi.min(y.hi)),
                        ),
                    }
                }
            }
        }
    }

    /// Value and slope of a branch.
    pub fn branch(&self, k: u32, p: Vec3, scratch: &mut Scratch) -> (f64, Vec3) {
        self.branches[k as usize].slope(p, scratch)
    }

    /// Value and slope of the whole.
    pub fn slope(&self, p: Vec3, scratch: &mut Scratch) -> (f64, Vec3) {
        self.tape.slope(p, scratch)
    }

    /// The branch that gives the value at a point, and the value.
    pub fn active(&self, choice: &Choice, p: Vec3) -> (u32, f64) {
        match choice {
            Choice::Branch(k, negate) => {
                let v = self.branches[*k as usize].value(p);
                (*k, if *negate { -v } else { v })
            }
            Choice::Select(test, pair) => {
                let first = self.branches[*test as usize].value(p) < 0.0;
                self.active(&pair[usize::from(!first)], p)
            }
            Choice::Either(greater, pair) => {
                let (a, b) = (self.active(&pair[0], p), self.active(&pair[1], p));
                if (a.1 < b.1) == *greater { b } else { a }
            }
        }
    }
}

impl Choice {
    /// True when only one branch is left.
    pub fn is_single(&self) -> bool {
        matches!(self, Self::Branch(..))
    }
}
