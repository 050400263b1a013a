//! Values on a lattice of points: what depends on one or two coordinates only is made once for each of them.
//!
//! The steps of a tape fall into seven classes by the axes on which they depend. A class of one axis is valued
//! along a line, a class of two over a plane, and only the last over the whole lattice. A class reads the
//! results of smaller classes repeated along the axes that they lack. All numbers come out of the same
//! operations as in a batch, so they are the same to the last bit, unless an oracle rounds otherwise: one whose arguments
//! depend on one axis each is asked for the whole lattice at once.

use std::sync::Arc;

use super::compile::{self, Place, Plan, Step};
use super::expr::{Binary, Oracle, Unary};
use super::kernels::rows::Operand;
use super::tape::{Scratch, Tape, operand, run};
use crate::base::Box3;

/// The most points valued together, rounded to whole lines.
const CHUNK: usize = 512;

/// The order in which classes are valued: bit k is axis k.
const SMALL: [u8; 6] = [1, 2, 4, 3, 5, 6];
const WHOLE: u8 = 7;

/// Where a class finds a number made outside it.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Source {
    Number(f64),
    /// A coordinate.
    Axis(usize),
    /// A result of a smaller class, in the store of that number.
    Stored {
        axes: u8,
        at: usize,
    },
}

impl Source {
    fn axes(self) -> u8 {
        match self {
            Self::Number(_) => 0,
            Self::Axis(k) => 1 << k,
            Self::Stored { axes, .. } => axes,
        }
    }
}

/// The steps that depend on the same axes.
#[derive(Clone, Debug, Default)]
struct Class {
    axes: u8,
    plan: Plan,
    /// What the plan's inputs are.
    sources: Vec<Source>,
    /// The store of each of the plan's results.
    stores: Vec<usize>,
}

/// An oracle asked for a whole lattice: its coordinates, one axis each, and the store of its values.
#[derive(Clone, Debug)]
struct Told {
    oracle: Arc<dyn Oracle>,
    along: [Source; 3],
    store: usize,
}

/// How a tape is valued on a lattice.
#[derive(Clone, Debug)]
pub(super) struct GridPlan {
    small: Vec<Class>,
    told: Vec<Told>,
    whole: Class,
    stores: usize,
    result: Source,
}

/// Room for lattices.
#[derive(Debug, Default)]
pub(super) struct Room {
    rows: Vec<Vec<f64>>,
    spread: Vec<Vec<f64>>,
    stores: Vec<Vec<f64>>,
}

impl GridPlan {
    /// Sorts the steps of the first result into classes.
    fn new(steps: &[Step], result: u32) -> Self {
        let on = compile::dependence(steps);
        let mut wanted_outside = vec![false; steps.len()];
        wanted_outside[result as usize] = true;
        for (i, step) in steps.iter().enumerate() {
            step.arguments()
                .filter(|a| on[*a as usize] != on[i])
                .for_each(|a| wanted_outside[a as usize] = true);
        }
        let mut plan = Self {
            small: Vec::new(),
            told: Vec::new(),
            whole: Class::default(),
            stores: 0,
            result: Source::Number(f64::NAN),
        };
        let mut found: Vec<Source> = vec![Source::Number(f64::NAN); steps.len()];
        for (i, step) in steps.iter().enumerate() {
            match step {
                Step::Const(c) => found[i] = Source::Number(*c),
                Step::Input(k) => found[i] = Source::Axis(*k as usize),
                _ => {}
            }
        }
        for axes in SMALL {
            let class = class(axes, steps, &on, &wanted_outside, (&mut found, &mut plan.stores));
            if !class.stores.is_empty() {
                plan.small.push(class);
            }
        }
        plan.tell(steps, &on, &mut found);
        plan.whole = class(WHOLE, steps, &on, &wanted_outside, (&mut found, &mut plan.stores));
        plan.result = found[result as usize];
        plan
    }

    /// Finds the oracles that can be asked for the whole lattice.
    fn tell(&mut self, steps: &[Step], on: &[u8], found: &mut [Source]) {
        for (i, step) in steps.iter().enumerate().filter(|(i, _)| on[*i] == WHOLE) {
            let Step::Oracle(oracle, 0, at) = step else { continue };
            let along = at.map(|a| found[a as usize]);
            if along.map(Source::axes) == [1, 2, 4] {
                found[i] = Source::Stored { axes: WHOLE, at: self.stores };
                self.told.push(Told { oracle: oracle.clone(), along, store: self.stores });
                self.stores += 1;
            }
        }
    }
}

/// The class of some axes; notes where its results are to be found.
fn class(
    axes: u8,
    steps: &[Step],
    on: &[u8],
    wanted_outside: &[bool],
    (found, stores): (&mut [Source], &mut usize),
) -> Class {
    let told: Vec<bool> = found.iter().map(|source| source.axes() == WHOLE).collect();
    let inside = |i: usize| on[i] == axes && !told[i] && !matches!(steps[i], Step::Const(_) | Step::Input(_));
    let mut class = Class { axes, ..Class::default() };
    let mut own: Vec<Step> = Vec::new();
    let mut place: Vec<Option<u32>> = vec![None; steps.len()];
    let mut results = Vec::new();
    for i in (0..steps.len()).filter(|i| inside(*i)) {
        for a in steps[i].arguments().map(|a| a as usize) {
            if place[a].is_none() {
                place[a] = Some(own.len() as u32);
                own.push(match found[a] {
                    Source::Number(c) => Step::Const(c),
                    source => {
                        class.sources.push(source);
                        Step::Input(class.sources.len() as u32 - 1)
                    }
                });
            }
        }
        place[i] = Some(own.len() as u32);
        own.push(steps[i].with(|a| place[a as usize].unwrap_or(0)));
        if wanted_outside[i] {
            found[i] = Source::Stored { axes, at: *stores };
            class.stores.push(*stores);
            results.push(own.len() as u32 - 1);
            *stores += 1;
        }
    }
    class.plan = compile::plan(&own, &results);
    class
}

/// A source cut to one chunk: lines along the first axis of the class, one for each place on its second.
#[derive(Clone, Copy)]
enum Part<'a> {
    Number(f64),
    /// A number for each point.
    Full(&'a [f64]),
    /// The same line for all.
    Line(&'a [f64]),
    /// One number for each line.
    Rungs(&'a [f64]),
}

impl Part<'_> {
    /// Written out for each point; lines have length `line`.
    fn spread(self, line: usize, to: &mut [f64]) {
        match self {
            Part::Number(c) => to.fill(c),
            Part::Full(all) => to.copy_from_slice(all),
            Part::Line(one) => to.chunks_exact_mut(line).for_each(|l| l.copy_from_slice(one)),
            Part::Rungs(each) => to.chunks_exact_mut(line).zip(each).for_each(|(l, c)| l.fill(*c)),
        }
    }
}

/// A chunk of a class: lines `start` to `end`, of the lattice's layer `layer` if the class has all axes.
#[derive(Clone, Copy)]
struct Cut<'a> {
    own: u8,
    axes: [&'a [f64]; 3],
    start: usize,
    end: usize,
    layer: usize,
}

impl<'a> Cut<'a> {
    /// Points in a line.
    fn line(&self) -> usize {
        self.axes[self.own.trailing_zeros() as usize].len()
    }

    fn len(&self) -> usize {
        self.line() * (self.end - self.start)
    }

    /// What the chunk sees of a source.
    fn part<'s>(&self, source: Source, stores: &'s [Vec<f64>]) -> Part<'s>
    where
        'a: 's,
    {
        let all: &'s [f64] = match source {
            Source::Number(c) => return Part::Number(c),
            Source::Axis(k) => self.axes[k],
            Source::Stored { at, .. } => &stores[at],
        };
        let (line, lines) = (self.line(), self.start..self.end);
        let axes = source.axes();
        if self.own != WHOLE {
            return match axes {
                _ if axes == self.own => Part::Full(&all[self.start * line..self.end * line]),
                _ if axes.trailing_zeros() == self.own.trailing_zeros() => Part::Line(all),
                _ => Part::Rungs(&all[lines]),
            };
        }
        let rungs = self.axes[1].len();
        match axes {
            1 => Part::Line(all),
            2 => Part::Rungs(&all[lines]),
            3 => Part::Full(&all[self.start * line..self.end * line]),
            4 => Part::Number(all[self.layer]),
            5 => Part::Line(&all[self.layer * line..(self.layer + 1) * line]),
            6 => Part::Rungs(&all[self.layer * rungs + self.start..self.layer * rungs + self.end]),
            _ => {
                let first = self.layer * rungs;
                Part::Full(&all[(first + self.start) * line..(first + self.end) * line])
            }
        }
    }
}

impl Tape {
    /// Values of the first expression at all points `(xs[i], ys[j], zs[k])`, x fastest: `out` has one number for
    /// each. The same to the last bit as [`Tape::values`], and much faster where parts of the expression depend on
    /// one or two coordinates only.
    pub fn values_grid(&self, xs: &[f64], ys: &[f64], zs: &[f64], out: &mut [f64], scratch: &mut Scratch) {
        if out.is_empty() {
            return;
        }
        let grid = self.grid.get_or_init(|| GridPlan::new(&self.steps, self.results[0]));
        let axes = [xs, ys, zs];
        let room = &mut scratch.grid;
        if room.stores.len() < grid.stores {
            room.stores.resize_with(grid.stores, Vec::new);
        }
        for class in &grid.small {
            self.small_class(class, axes, room);
        }
        for Told { oracle, along, store } in &grid.told {
            let mut values = std::mem::take(&mut room.stores[*store]);
            values.resize(out.len(), 0.0);
            let lines = along.map(|source| match source {
                Source::Axis(k) => axes[k],
                Source::Stored { at, .. } => &room.stores[at],
                Source::Number(_) => &[],
            });
            oracle.lattice(lines, &mut values);
            room.stores[*store] = values;
        }
        self.whole_class(grid, axes, room, out);
    }

    /// How far values on a lattice in the box may be from those of single points where these are near zero: by what oracles
    /// round otherwise, as sums, opposites, minima and maxima hand it on; anything else may make any amount of it.
    pub fn lattice_error(&self, region: Box3) -> f64 {
        let mut errors: Vec<f64> = Vec::with_capacity(self.steps.len());
        for step in &self.steps {
            let of = |a: u32| errors[a as usize];
            let number =
                |a: u32| if let Step::Const(c) = self.steps[a as usize] { Some(c.abs()) } else { None };
            let worst = step.arguments().map(of).fold(0.0, f64::max);
            errors.push(match *step {
                Step::Oracle(ref o, 0, _) if worst == 0.0 => o.lattice_error(region),
                _ if worst == 0.0 => 0.0,
                Step::Unary(Unary::Neg | Unary::Abs, a) => of(a),
                Step::Binary(Binary::Add | Binary::Sub, a, b) => of(a) + of(b),
                Step::Binary(Binary::Min | Binary::Max, ..) => worst,
                Step::Binary(Binary::Mul, a, b) => match (number(a), number(b)) {
                    (Some(c), _) => c * of(b),
                    (_, Some(c)) => c * of(a),
                    _ => f64::INFINITY,
                },
                _ => f64::INFINITY,
            });
        }
        errors[self.results[0] as usize]
    }

    /// Values a class of one or two axes into its stores.
    fn small_class(&self, class: &Class, axes: [&[f64]; 3], room: &mut Room) {
        let mut own = (0..3).filter(|k| class.axes >> k & 1 == 1).map(|k| axes[k].len());
        let line = own.next().unwrap_or(1);
        let lines = own.next().unwrap_or(1);
        let mut targets: Vec<Vec<f64>> =
            class.stores.iter().map(|s| std::mem::take(&mut room.stores[*s])).collect();
        targets.iter_mut().for_each(|t| t.resize(line * lines, 0.0));
        let step = (CHUNK / line).max(1);
        for start in (0..lines).step_by(step) {
            let cut = Cut { own: class.axes, axes, start, end: (start + step).min(lines), layer: 0 };
            self.chunk(class, cut, room);
            for (target, place) in targets.iter_mut().zip(&class.plan.results) {
                if let Place::Row(r) = place {
                    let to = &mut target[start * line..cut.end * line];
                    to.copy_from_slice(&room.rows[*r as usize][..to.len()]);
                }
            }
        }
        for (s, target) in class.stores.iter().zip(targets) {
            room.stores[*s] = target;
        }
    }

    /// Values the class of all axes, layer by layer, into `out`.
    fn whole_class(&self, grid: &GridPlan, axes: [&[f64]; 3], room: &mut Room, out: &mut [f64]) {
        let [nx, ny] = [axes[0].len(), axes[1].len()];
        let class = &grid.whole;
        let step = (CHUNK / nx).max(1);
        for (layer, out) in out.chunks_exact_mut(nx * ny).enumerate() {
            for start in (0..ny).step_by(step) {
                let cut = Cut { own: WHOLE, axes, start, end: (start + step).min(ny), layer };
                let to = &mut out[start * nx..cut.end * nx];
                self.chunk(class, cut, room);
                match class.plan.results.first() {
                    Some(Place::Row(r)) => to.copy_from_slice(&room.rows[*r as usize][..to.len()]),
                    _ => cut.part(grid.result, &room.stores).spread(nx, to),
                }
            }
        }
    }

    /// Runs a class over one chunk.
    fn chunk(&self, class: &Class, cut: Cut, room: &mut Room) {
        let n = cut.len();
        fit(&mut room.rows, class.plan.rows + 2, n);
        fit(&mut room.spread, class.sources.len(), n);
        let Room { rows, spread, stores } = room;
        for (source, to) in class.sources.iter().zip(spread.iter_mut()) {
            let part = cut.part(*source, stores);
            if let Part::Line(_) | Part::Rungs(_) = part {
                part.spread(cut.line(), &mut to[..n]);
            }
        }
        let (spread, stores) = (&*spread, &*stores);
        let input = |k: u32| match cut.part(class.sources[k as usize], stores) {
            Part::Number(c) => Operand::Number(c),
            Part::Full(all) => Operand::Row(all),
            Part::Line(_) | Part::Rungs(_) => Operand::Row(&spread[k as usize][..n]),
        };
        let (mut to, mut pair) = (rows.pop().unwrap_or_default(), rows.pop().unwrap_or_default());
        for op in &class.plan.operations {
            std::mem::swap(&mut rows[op.to as usize], &mut to);
            let from = op.from.map(|place| operand(place, rows, n, input));
            run(self.level, op, from, &mut to[..n], &mut pair[..n]);
            std::mem::swap(&mut rows[op.to as usize], &mut to);
        }
        rows.extend([to, pair]);
    }
}

/// At least `count` rows of at least `n` numbers.
fn fit(rows: &mut Vec<Vec<f64>>, count: usize, n: usize) {
    if rows.len() < count {
        rows.resize_with(count, Vec::new);
    }
    rows.iter_mut().filter(|r| r.len() < n).for_each(|r| r.resize(n, 0.0));
}
