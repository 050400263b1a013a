//! Bounds of a tape over a box, and the tape that is enough inside it.
//!
//! Each step gets a range that holds its value at every point of the box, rounding included, and a mark where
//! it may be undefined (NaN). A result that may be undefined has the bounds of everything, so that no surface
//! is missed. Sources: Moore, Kearfott and Cloud, Introduction to Interval Analysis (2009), ch. 5 to 6 (natural
//! extension; mean value form).

use super::compile::Step;
use super::expr::{Binary, Unary};
use super::narrow::winner;
use super::tape::Tape;
use crate::base::{Box3, Interval, Vec3};

/// The values a step may take.
#[derive(Clone, Copy, Debug)]
pub(super) struct Range {
    pub(super) span: Interval,
    /// It may be undefined somewhere.
    pub(super) nan: bool,
}

impl Range {
    const fn sure(span: Interval) -> Self {
        Self { span, nan: false }
    }

    pub(super) fn seen(self) -> Interval {
        if self.nan { Interval::ALL } else { self.span }
    }
}

impl Tape {
    /// A range that holds the value of the first expression at every point of the box; [`Interval::ALL`]
    /// where it may be undefined. For tapes in x, y, z.
    pub fn bounds(&self, region: Box3) -> Interval {
        let ranges = self.ranges(&region.intervals());
        ranges[self.results[0] as usize].seen()
    }

    /// A range that holds the value of the first expression wherever in the box it is a number.
    pub fn bounds_of_numbers(&self, region: Box3) -> Interval {
        self.ranges(&region.intervals())[self.results[0] as usize].span
    }

    /// Ranges of all expressions for a range of each input.
    pub fn bounds_many(&self, inputs: &[Interval]) -> Vec<Interval> {
        let ranges = self.ranges(inputs);
        self.results.iter().map(|r| ranges[*r as usize].seen()).collect()
    }

    /// As [`Self::bounds`], made narrower by the slopes: the error shrinks with the square of the box.
    pub fn bounds_tight(&self, region: Box3) -> Interval {
        self.bounds_and_slopes(region).0
    }

    /// Bounds of the value (narrowed by the slopes) and of the three slopes over a box. A slope that may be
    /// undefined, as where the function leaps, has the bounds of everything.
    pub fn bounds_and_slopes(&self, region: Box3) -> (Interval, [Interval; 3]) {
        let inputs = region.intervals();
        let ranges = self.ranges(&inputs);
        let result = self.results[0] as usize;
        let plain = ranges[result].seen();
        let slopes = self.slope_ranges(&ranges);
        let centre = region.centre();
        if ranges[result].nan || !region.is_finite() || !slopes.iter().all(|s| s.is_finite()) {
            return (plain, slopes);
        }
        let middle = self.bounds(Box3::new(centre, centre));
        let mut mean = middle;
        for (k, slope) in slopes.iter().enumerate() {
            mean = mean + *slope * (inputs[k] + -centre[k]);
        }
        // Both hold the true values; the first also holds the rounded ones, so the second is let out by the
        // rounding seen at the centre.
        let rounding = middle.width() + 64.0 * f64::EPSILON * mean.greatest();
        let mean = Interval::new(mean.lo - rounding, mean.hi + rounding);
        (plain.meet(mean).unwrap_or(plain), slopes)
    }

    pub(super) fn ranges(&self, inputs: &[Interval]) -> Vec<Range> {
        let mut ranges: Vec<Range> = Vec::with_capacity(self.steps.len());
        for step in &self.steps {
            let r = |i: u32| ranges[i as usize];
            let range = match step {
                Step::Const(c) if c.is_nan() => Range { span: Interval::ALL, nan: true },
                Step::Const(c) => Range::sure(Interval::point(*c)),
                Step::Input(k) => Range::sure(inputs[*k as usize]),
                Step::Unary(f, a) => unary(*f, r(*a)),
                Step::Binary(f, a, b) => binary(*f, r(*a), r(*b)),
                Step::Power(a, n) => power(r(*a), *n),
                Step::Select(t, a, b) => select(r(*t), r(*a), r(*b)),
                Step::Oracle(o, part, at) => oracle(&**o, *part, at.map(r)),
            };
            ranges.push(range);
        }
        ranges
    }

    /// The tapes whose least value the tape is in the box, where its result is an oracle of several pieces
    /// ([`super::Oracle::pieces`]).
    pub fn parted(&self, region: Box3) -> Option<Vec<Self>> {
        let result = self.results[0];
        let Step::Oracle(o, 0, at) = &self.steps[result as usize] else { return None };
        let ranges = self.ranges(&region.intervals());
        let pieces = o.pieces(asked(at.map(|i| ranges[i as usize]))?)?;
        let tape = |piece| {
            let mut steps = self.steps.clone();
            steps[result as usize] = Step::Oracle(piece, 0, *at);
            Self::of_steps(steps, vec![result])
        };
        Some(pieces.into_iter().map(tape).collect())
    }

    /// True when the first expression is surely defined and smooth (no crease, no leap, no endless slope) in the box.
    pub fn is_smooth(&self, region: Box3) -> bool {
        self.steps.iter().all(is_entire) || self.is_smooth_over(&region.intervals())
    }

    /// The same for a range of each input.
    pub(super) fn is_smooth_over(&self, inputs: &[Interval]) -> bool {
        let ranges = self.ranges(inputs);
        self.steps.iter().enumerate().all(|(i, step)| !ranges[i].nan && smooth(step, &ranges))
    }

    /// True when some part is the value of an oracle that may turn sharply.
    pub fn asks_oracles(&self) -> bool {
        self.steps.iter().any(|step| matches!(step, Step::Oracle(o, ..) if o.has_kinks()))
    }

    /// True when some part is a stair: a floor, a rounding or a sign.
    pub fn has_steps(&self) -> bool {
        use Unary::*;
        self.steps.iter().any(|step| matches!(step, Step::Unary(Sign | Floor | Ceil | Round, _)))
    }

    /// True when a step turns sharply, stands upright or leaps somewhere, as an absolute value, a cube root or a floor does.
    pub fn has_kinks(&self) -> bool {
        use {Binary::*, Unary::*};
        self.steps.iter().any(|step| match step {
            Step::Unary(f, _) => matches!(f, Abs | Cbrt | Sign | Floor | Ceil | Round),
            Step::Binary(f, ..) => matches!(f, Min | Max | Mod),
            Step::Oracle(o, ..) => o.has_kinks(),
            Step::Select(..) => true,
            _ => false,
        })
    }
}

/// True when a step is smooth wherever its arguments are finite.
fn is_entire(step: &Step) -> bool {
    use Unary::*;
    match step {
        Step::Const(_) | Step::Input(_) => true,
        Step::Power(_, n) => *n >= 0,
        Step::Unary(f, _) => matches!(f, Neg | Exp | Sin | Cos | Atan | Sinh | Cosh | Tanh | Asinh),
        Step::Binary(f, ..) => matches!(f, Binary::Add | Binary::Sub | Binary::Mul),
        Step::Select(..) => false,
        Step::Oracle(o, part, _) => *part == 0 && !o.has_kinks(),
    }
}

/// True when a step is smooth where its arguments range.
fn smooth(step: &Step, ranges: &[Range]) -> bool {
    let span = |i: u32| ranges[i as usize].span;
    match *step {
        Step::Const(_) | Step::Input(_) => true,
        Step::Power(a, n) => n >= 0 || !span(a).holds(0.0),
        Step::Unary(f, a) => match f {
            Unary::Abs | Unary::Sign | Unary::Floor | Unary::Ceil | Unary::Round => false,
            Unary::Sqrt | Unary::Ln => span(a).lo > 0.0,
            Unary::Cbrt => !span(a).holds(0.0),
            Unary::Asin | Unary::Acos | Unary::Atanh => span(a).lo > -1.0 && span(a).hi < 1.0,
            Unary::Acosh => span(a).lo > 1.0,
            Unary::Tan => span(a).width() < 3.0 && span(a).cos().lo * span(a).cos().hi > 0.0,
            _ => true,
        },
        Step::Binary(f, a, b) => match f {
            Binary::Add | Binary::Sub | Binary::Mul => true,
            Binary::Div => !span(b).holds(0.0),
            Binary::Pow => span(a).lo > 0.0,
            Binary::Atan2 => !span(a).holds(0.0) || span(b).lo > 0.0,
            Binary::Min | Binary::Max | Binary::Mod => false,
        },
        Step::Oracle(ref o, 0, at) => o.is_smooth(spanned(at.map(span))),
        Step::Select(..) | Step::Oracle(..) => false,
    }
}

/// The box of three ranges.
fn spanned([x, y, z]: [Interval; 3]) -> Box3 {
    Box3::new(Vec3::new(x.lo, y.lo, z.lo), Vec3::new(x.hi, y.hi, z.hi))
}

/// The box that an oracle is asked in, where it is surely finite.
pub(super) fn asked(at: [Range; 3]) -> Option<Box3> {
    let region = spanned(at.map(|r| r.span));
    (region.is_finite() && at.iter().all(|r| !r.nan)).then_some(region)
}

fn unary(f: Unary, a: Range) -> Range {
    let x = a.span;
    let undefined = match f {
        Unary::Sqrt | Unary::Ln => x.lo < 0.0,
        Unary::Asin | Unary::Acos | Unary::Atanh => x.lo < -1.0 || x.hi > 1.0,
        Unary::Acosh => x.lo < 1.0,
        Unary::Sin | Unary::Cos | Unary::Tan => !x.is_finite(),
        _ => false,
    };
    let span = match f {
        Unary::Neg => -x,
        Unary::Abs => x.abs(),
        Unary::Sign => x.sign(),
        Unary::Sqrt => x.sqrt(),
        Unary::Cbrt => x.cbrt(),
        Unary::Exp => x.exp(),
        Unary::Ln => x.ln(),
        Unary::Sin => x.sin(),
        Unary::Cos => x.cos(),
        Unary::Tan => x.tan(),
        Unary::Asin => x.asin(),
        Unary::Acos => x.acos(),
        Unary::Atan => x.atan(),
        Unary::Sinh => x.sinh(),
        Unary::Cosh => x.cosh(),
        Unary::Tanh => x.tanh(),
        Unary::Asinh => x.asinh(),
        Unary::Acosh => x.acosh(),
        Unary::Atanh => x.atanh(),
        Unary::Floor => x.floor(),
        Unary::Ceil => x.ceil(),
        Unary::Round => x.round(),
    };
    Range { span, nan: a.nan || undefined }
}

fn binary(f: Binary, a: Range, b: Range) -> Range {
    let (x, y) = (a.span, b.span);
    let opposed = |y: Interval| {
        (x.hi == f64::INFINITY && y.lo == f64::NEG_INFINITY)
            || (x.lo == f64::NEG_INFINITY && y.hi == f64::INFINITY)
    };
    let (span, undefined) = match f {
        Binary::Add => (x + y, opposed(y)),
        Binary::Sub => (x - y, opposed(-y)),
        Binary::Mul => {
            let zero_by_all = (x.holds(0.0) && !y.is_finite()) || (y.holds(0.0) && !x.is_finite());
            (x * y, zero_by_all)
        }
        Binary::Div => (x / y, (x.holds(0.0) && y.holds(0.0)) || (!x.is_finite() && !y.is_finite())),
        Binary::Pow => {
            let whole = y.lo == y.hi && y.lo.fract() == 0.0;
            (x.pow(y), (x.lo < 0.0 && !whole) || !y.is_finite())
        }
        Binary::Atan2 => (x.atan2(y), false),
        Binary::Mod => (x.modulo(y), y.holds(0.0) || !x.is_finite() || !y.is_finite()),
        Binary::Min | Binary::Max => return least_or_greatest(f, a, b),
    };
    Range { span, nan: a.nan || b.nan || undefined }
}

/// Min and max pass over an undefined argument.
fn least_or_greatest(f: Binary, a: Range, b: Range) -> Range {
    let mut span = if f == Binary::Min { a.span.min(b.span) } else { a.span.max(b.span) };
    if a.nan {
        span = span.join(b.span);
    }
    if b.nan {
        span = span.join(a.span);
    }
    Range { span, nan: a.nan && b.nan }
}

fn power(a: Range, n: i32) -> Range {
    Range { span: a.span.whole_power(n), nan: a.nan }
}

fn select(t: Range, a: Range, b: Range) -> Range {
    // An undefined test takes the second branch.
    if t.span.hi < 0.0 && !t.nan {
        a
    } else if t.span.lo >= 0.0 {
        b
    } else {
        Range { span: a.span.join(b.span), nan: a.nan || b.nan }
    }
}

fn oracle(o: &dyn super::Oracle, part: u8, at: [Range; 3]) -> Range {
    let region = asked(at);
    let span = match (part, region) {
        (_, None) => Interval::ALL,
        (0, Some(region)) => o.bounds(region),
        _ => Interval::new(-o.steepest(), o.steepest()),
    };
    Range { span, nan: region.is_none() }
}

impl Tape {
    /// Ranges of the slopes of the first result along the first three inputs, for a range of each input.
    pub(super) fn slopes_over(&self, inputs: &[Interval]) -> [Interval; 3] {
        self.slope_ranges(&self.ranges(inputs))
    }

    /// Ranges of the three slopes of the first result, from the ranges of all steps.
    fn slope_ranges(&self, ranges: &[Range]) -> [Interval; 3] {
        const ZERO: Interval = Interval::point(0.0);
        let mut slopes: Vec<[Interval; 3]> = Vec::with_capacity(self.steps.len());
        for (i, step) in self.steps.iter().enumerate() {
            let of = |a: u32| (ranges[a as usize].seen(), slopes[a as usize]);
            // The value of this step, for derivatives that are made from it.
            let v = ranges[i].seen();
            slopes.push(match step {
                Step::Const(_) => [ZERO; 3],
                Step::Input(k) => {
                    std::array::from_fn(|j| if j == *k as usize { Interval::point(1.0) } else { ZERO })
                }
                Step::Unary(f, a) => {
                    let (x, dx) = of(*a);
                    let w = unary_slope(*f, x, v);
                    dx.map(|d| product(w, d))
                }
                Step::Power(a, n) => {
                    let (x, dx) = of(*a);
                    let w = x.whole_power(n - 1) * f64::from(*n);
                    dx.map(|d| product(w, d))
                }
                Step::Binary(f, a, b) => {
                    let ((x, dx), (y, dy)) = (of(*a), of(*b));
                    match winner(*f, ranges[*a as usize], ranges[*b as usize]) {
                        Some(true) if matches!(f, Binary::Min | Binary::Max) => dx,
                        Some(false) if matches!(f, Binary::Min | Binary::Max) => dy,
                        _ => std::array::from_fn(|k| binary_slope(*f, (x, dx[k]), (y, dy[k]), v)),
                    }
                }
                Step::Select(t, a, b) => {
                    let (test, ranges) = (ranges[*t as usize], (of(*a).1, of(*b).1));
                    match (test.span.hi < 0.0 && !test.nan, test.span.lo >= 0.0) {
                        (true, _) => ranges.0,
                        (_, true) => ranges.1,
                        _ => [Interval::ALL; 3],
                    }
                }
                Step::Oracle(o, 0, at) => {
                    let region = asked(at.map(|a| ranges[a as usize]));
                    let steep = region.map_or([Interval::ALL; 3], |region| o.slopes_within(region));
                    std::array::from_fn(|k| {
                        let parts = at.iter().zip(steep);
                        parts.fold(ZERO, |sum, (a, steep)| sum + product(steep, slopes[*a as usize][k]))
                    })
                }
                Step::Oracle(..) => [Interval::ALL; 3],
            });
        }
        slopes[self.results[0] as usize]
    }
}

/// A product in which no dependence (exactly zero) stays none, however steep the other factor.
fn product(w: Interval, d: Interval) -> Interval {
    if d.lo == 0.0 && d.hi == 0.0 { d } else { w * d }
}

/// Range of the derivative over the range `x`, where the values are `v`.
fn unary_slope(f: Unary, x: Interval, v: Interval) -> Interval {
    let one = Interval::point(1.0);
    let square = |x: Interval| x.whole_power(2);
    match f {
        Unary::Neg => Interval::point(-1.0),
        Unary::Abs if x.lo >= 0.0 => one,
        Unary::Abs if x.hi < 0.0 => Interval::point(-1.0),
        Unary::Abs => Interval::new(-1.0, 1.0),
        // Steps: flat where they do not leap.
        Unary::Sign | Unary::Floor | Unary::Ceil | Unary::Round if v.lo == v.hi => Interval::point(0.0),
        Unary::Sign | Unary::Floor | Unary::Ceil | Unary::Round => Interval::ALL,
        Unary::Sqrt => Interval::point(0.5) / v,
        Unary::Cbrt => one / (square(v) * 3.0),
        Unary::Exp => v,
        Unary::Ln => one / x,
        Unary::Sin => x.cos(),
        Unary::Cos => -x.sin(),
        Unary::Tan => square(v) + 1.0,
        Unary::Asin => one / (one - square(x)).sqrt(),
        Unary::Acos => -(one / (one - square(x)).sqrt()),
        Unary::Atan => one / (square(x) + 1.0),
        Unary::Sinh => x.cosh(),
        Unary::Cosh => x.sinh(),
        Unary::Tanh => one - square(v),
        Unary::Asinh => one / (square(x) + 1.0).sqrt(),
        Unary::Acosh => one / (square(x) - one).sqrt(),
        Unary::Atanh => one / (one - square(x)),
    }
}

/// Range of one slope of a function of two arguments, each given with its slope.
fn binary_slope(
    f: Binary,
    (x, dx): (Interval, Interval),
    (y, dy): (Interval, Interval),
    v: Interval,
) -> Interval {
    let still = |d: Interval| d.lo == 0.0 && d.hi == 0.0;
    if still(dx) && still(dy) {
        return dx;
    }
    match f {
        Binary::Add => dx + dy,
        Binary::Sub => dx - dy,
        Binary::Mul => product(y, dx) + product(x, dy),
        Binary::Div => (dx - product(v, dy)) / y,
        Binary::Min | Binary::Max => dx.join(dy),
        Binary::Pow if still(dy) => product(y * x.pow(y - Interval::point(1.0)), dx),
        Binary::Pow => {
            let by_base = product(y * x.pow(y - Interval::point(1.0)), dx);
            by_base + product(v * x.ln(), dy)
        }
        // The leap of the angle on the negative x axis: `v` is then the whole circle.
        Binary::Atan2 if v.width() > 6.0 => Interval::ALL,
        Binary::Atan2 => {
            let square = x.whole_power(2) + y.whole_power(2);
            (product(y, dx) - product(x, dy)) / square
        }
        Binary::Mod => {
            let turns = (x / y).floor();
            if turns.lo == turns.hi { dx - product(turns, dy) } else { Interval::ALL }
        }
    }
}
