//! The function to be realised: the whole as one tape, and its branches (the parts between which min and max choose).
//!
//! Creases of a solid made by set operations lie where two branches are active at once; knowing the branches, the
//! place of a crease can be solved for exactly.

use crate::base::{Box3, Interval, Vec3};
use crate::formula::{Binary, Expr, MARGIN, Op, Scratch, Tape, TapeFault, Unary};

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

/// A sum or product is parted at so many absolute values, minima and maxima in it; with more it is one branch.
const MOST_KINKS: usize = 4;

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
            _ => self.parts(e, negate, depth),
        }
    }

    /// The parts of a sum or product in which an absolute value, minimum or maximum turns: |x| + |y| has four.
    fn parts(&mut self, e: &Expr, negate: bool, depth: u32) -> Choice {
        let kinks = e.kinks();
        let room = depth < DEEPEST && self.branches.len() < MOST_BRANCHES;
        let [kink, ..] = &kinks[..] else { return Choice::Branch(self.branch(e), negate) };
        if !room || kinks.len() > MOST_KINKS {
            return Choice::Branch(self.branch(e), negate);
        }
        let (test, below, above) = match kink.op() {
            Op::Unary(Unary::Abs, a) => (a.clone(), -a.clone(), a.clone()),
            Op::Binary(Binary::Min, a, b) => (a.clone() - b.clone(), a.clone(), b.clone()),
            Op::Binary(_, a, b) => (a.clone() - b.clone(), b.clone(), a.clone()),
            _ => return Choice::Branch(self.branch(e), negate),
        };
        let test = self.branch(&test);
        let pair = [below, above].map(|by| self.choice(&e.replaced(kink, &by), negate, depth + 1));
        Choice::Select(test, Box::new(pair))
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

    /// The choice that remains in a box, as far as it matters for the sign.
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
                // Where the lesser counts, what surely is positive never gives a zero; where the greater, what is negative.
                let passed_over = |r: Interval| {
                    let least = if *greater { -r.hi } else { r.lo };
                    r.width().is_finite() && least > MARGIN * r.width()
                };
                let first = if *greater { x.lo > y.hi } else { x.hi < y.lo };
                let second = if *greater { y.lo > x.hi } else { y.hi < x.lo };
                // What may be undefined is passed over itself.
                let is_sure = |r: Interval| r != Interval::ALL;
                if first || (passed_over(y) && is_sure(x)) {
                    return (a, x);
                }
                if second || (passed_over(x) && is_sure(y)) {
                    return (b, y);
                }
                let range = if *greater {
                    Interval::new(x.lo.max(y.lo), x.hi.max(y.hi))
                } else {
                    Interval::new(x.lo.min(y.lo), x.hi.min(y.hi))
                };
                (Choice::Either(*greater, Box::new([a, b])), range)
            }
        }
    }

    /// Functions of which the whole is everywhere the greatest: its branches where it is that, at most 64 of them; else
    /// the whole by itself.
    pub fn greatest_of(&self) -> Vec<&Tape> {
        fn gather(choice: &Choice, into: &mut Vec<u32>) -> bool {
            match choice {
                Choice::Branch(k, false) => {
                    into.push(*k);
                    true
                }
                Choice::Either(true, pair) => pair.iter().all(|c| gather(c, into)),
                _ => false,
            }
        }
        let mut found = Vec::new();
        let all = gather(&self.root, &mut found) && found.len() <= 64;
        if all { found.iter().map(|k| &self.branches[*k as usize]).collect() } else { vec![&self.tape] }
    }

    /// The choice with its branches of several pieces parted into those, for a box in which the whole is `tape`; `None` when
    /// no branch has several.
    pub fn parted(&self, choice: &Choice, tape: &Tape, region: Box3) -> Option<(Self, Choice)> {
        if !tape.asks_oracles() && !self.ask_oracles(choice) {
            return None;
        }
        let mut made = Self { tape: tape.clone(), branches: Vec::new(), root: Choice::Branch(0, false) };
        let mut found = false;
        // A lone branch is the whole, of which less is left in the box.
        let choice = match choice {
            Choice::Branch(_, false) => made.part_of(tape, false, region, &mut found),
            _ => made.part(self, choice, region, &mut found),
        };
        found.then_some((made, choice))
    }

    fn put(&mut self, branch: Tape) -> u32 {
        self.branches.push(branch);
        (self.branches.len() - 1) as u32
    }

    /// The pieces of one branch.
    fn part_of(&mut self, branch: &Tape, negate: bool, region: Box3, found: &mut bool) -> Choice {
        let pieces = branch.parted(region).unwrap_or_default();
        *found |= !pieces.is_empty();
        let pieces = pieces.into_iter().map(|t| Choice::Branch(self.put(t), negate));
        // The least of them; negated the greatest.
        let joined = pieces.reduce(|a, b| Choice::Either(negate, Box::new([a, b])));
        joined.unwrap_or_else(|| Choice::Branch(self.put(branch.clone()), negate))
    }

    fn part(&mut self, from: &Self, choice: &Choice, region: Box3, found: &mut bool) -> Choice {
        match choice {
            Choice::Branch(k, negate) => self.part_of(&from.branches[*k as usize], *negate, region, found),
            Choice::Select(test, pair) => {
                let test = self.put(from.branches[*test as usize].clone());
                Choice::Select(test, Box::new([0, 1].map(|k| self.part(from, &pair[k], region, found))))
            }
            Choice::Either(greater, pair) => {
                Choice::Either(*greater, Box::new([0, 1].map(|k| self.part(from, &pair[k], region, found))))
            }
        }
    }

    /// True when no branch of a choice turns or leaps by itself in a box.
    pub fn are_smooth(&self, choice: &Choice, region: Box3) -> bool {
        match choice {
            Choice::Branch(k, _) => self.branches[*k as usize].is_smooth(region),
            Choice::Select(_, pair) | Choice::Either(_, pair) => {
                pair.iter().all(|c| self.are_smooth(c, region))
            }
        }
    }

    /// True when a branch of a choice asks an oracle.
    pub fn ask_oracles(&self, choice: &Choice) -> bool {
        match choice {
            Choice::Branch(k, _) => self.branches[*k as usize].asks_oracles(),
            Choice::Select(_, pair) | Choice::Either(_, pair) => pair.iter().any(|c| self.ask_oracles(c)),
        }
    }

    /// True when a branch turns sharply somewhere at a kink of its formula.
    pub fn has_kinks(&self, k: u32) -> bool {
        self.branches[k as usize].has_kinks()
    }

    /// A branch.
    pub fn branch_tape(&self, k: u32) -> &Tape {
        &self.branches[k as usize]
    }

    /// Value and slope of a branch.
    pub fn branch(&self, k: u32, p: Vec3, scratch: &mut Scratch) -> (f64, Vec3) {
        self.branches[k as usize].slope(p, scratch)
    }

    /// Value and slope of the whole.
    pub fn slope(&self, p: Vec3, scratch: &mut Scratch) -> (f64, Vec3) {
        self.tape.slope(p, scratch)
    }

    /// For each of some points (coordinate by coordinate) the branch that gives the value there, and the value.
    pub fn active(
        &self,
        choice: &Choice,
        [x, y, z]: [&[f64]; 3],
        scratch: &mut Scratch,
    ) -> (Vec<u32>, Vec<f64>) {
        self.active_by(choice, &mut |k| {
            let mut out = vec![0.0; x.len()];
            self.branches[k as usize].values(x, y, z, &mut out, scratch);
            out
        })
    }

    /// For each point of a lattice with these coordinates, x fastest, the branch that gives the value there.
    pub fn active_on_grid(&self, choice: &Choice, at: [&[f64]; 3], scratch: &mut Scratch) -> Vec<u32> {
        let count = at.iter().map(|line| line.len()).product();
        match choice {
            Choice::Branch(k, _) => vec![*k; count],
            Choice::Select(test, pair) => {
                let test = self.branch_on_grid(*test, at, scratch);
                let [mut a, b] = [0, 1].map(|k| self.active_on_grid(&pair[k], at, scratch));
                let later = |i: &usize| !(test[*i] < 0.0);
                (0..count).filter(later).for_each(|i| a[i] = b[i]);
                a
            }
            Choice::Either(..) => self.active_by(choice, &mut |k| self.branch_on_grid(k, at, scratch)).0,
        }
    }

    /// The values of a branch on such a lattice.
    pub fn branch_on_grid(&self, k: u32, [x, y, z]: [&[f64]; 3], scratch: &mut Scratch) -> Vec<f64> {
        let mut out = vec![0.0; x.len() * y.len() * z.len()];
        self.branches[k as usize].values_grid(x, y, z, &mut out, scratch);
        out
    }

    /// For each of some points the branch that gives the value there, and the value; `value` gives those of one branch.
    fn active_by(&self, choice: &Choice, value: &mut impl FnMut(u32) -> Vec<f64>) -> (Vec<u32>, Vec<f64>) {
        match choice {
            Choice::Branch(k, negate) => {
                let mut v = value(*k);
                if *negate {
                    v.iter_mut().for_each(|v| *v = -*v);
                }
                (vec![*k; v.len()], v)
            }
            Choice::Select(test, pair) => {
                let test = value(*test);
                let (mut a, b) = (self.active_by(&pair[0], value), self.active_by(&pair[1], value));
                for i in (0..test.len()).filter(|i| !(test[*i] < 0.0)) {
                    (a.0[i], a.1[i]) = (b.0[i], b.1[i]);
                }
                a
            }
            Choice::Either(greater, pair) => {
                let (mut a, b) = (self.active_by(&pair[0], value), self.active_by(&pair[1], value));
                for i in 0..a.0.len() {
                    if (a.1[i] < b.1[i]) == *greater {
                        (a.0[i], a.1[i]) = (b.0[i], b.1[i]);
                    }
                }
                a
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
