//! Knots and links, and what knot a curve is.

use std::collections::BTreeMap;

use super::Host;
use super::call::Complaint;
use crate::form::knot::{self, Diagram};
use crate::form::{self, Curve, FormFault, RopeFault};
use crate::value::{
    BraidWord, Code, Count, Crossings, Fault, Gauss, GaussCode, Letters, Maybe, Path, Size, Text, Twists,
    Value, nearest,
};

words! { "knots":
    /// The knot or link of a name in the tables, in an even, open shape.
    ///
    /// Prime knots through eight crossings, `"3_1"` to `"8_21"`, and the links `"2^2_1"` (two rings, Hopf), `"4^2_1"`,
    /// `"5^2_1"` (Whitehead) and `"6^3_2"` (Borromean rings), also called `"L2a1"`, `"L4a1"`, `"L5a1"` and `"L6a4"`; `"0_1"`
    /// is the plain ring. Common names are known too, such as `"trefoil"`, `"figure eight"` or `"Whitehead link"`. The
    /// tables do not tell a knot from its mirror image; `reflect` gives the other. Every other knot is made by `braid`, as
    /// 9_1 by `braid("1^9")`, by `two_bridge` or `pretzel`, or by a code: `planar_code`, `dowker_code`, `gauss_code`. 2-bridge knots, among them all through
    /// seven crossings, have a shape that looks alike after half a turn: `symmetric: 2`.
    ///
    /// Source: D. Rolfsen, Knots and Links (1976), appendix C; braid words after V. F. R. Jones, Annals of Mathematics
    /// 126 (1987) 335.
    knot with host(
        /// The name.
        name: Text,
        /// Longest side.
        size: Size = 40.0,
        /// How often it repeats round the z axis, where such a shape is found: 3 for the trefoil.
        symmetric: Count = 1,
    ) -> Curve { tabled(host, &name, size, symmetric) }
    example { "knot(\"4_1\")" }
    example { "knot(\"8_18\", 40, 4)" }
    example { "knot(\"3_1\", 30)" }
    fails { "knot(\"9_99\")" => "no name of the table" }
    fails { "knot(\"9_1\")" => "`dowker_code`" }
    fails { "knot(\"trefoli\")" => "did you mean \"trefoil\"?" }
    fails { "knot(\"3_1\", 40, 7)" => "looks alike after 1/7" }

    /// The closed braid of a word: strands run round the z axis, and a letter lets two neighbours swap.
    ///
    /// Letter `2` swaps strands 2 and 3, counted from the axis, in a right-handed crossing, `-2` in a left-handed one.
    ///
    /// Source: E. Artin, Annals of Mathematics 48 (1947) 101.
    braid(
        /// The letters: a list, or a text such as `"1 -2 1 -2"`, `"aBaB"`, `"s1 s2^-1 s1 s2^-1"` or `"(1 -2)^2"`.
        word: BraidWord,
        /// How many strands; else one more than the highest letter.
        strands: Maybe<Count> = (),
        /// Longest side.
        size: Size = 40.0,
    ) -> Curve { form::braided(&word, strands, size) }
    example { "braid(\"1 -2 1 -2 1 -2\")" }
    example { "braid([1, 2, 1, 2, 1, 2, 1, 2], 3, 60)" }
    example { "braid(\"(1 -2)^3\")" }
    fails { "braid(\"1 0\")" => "the letter 0" }
    fails { "braid(\"\")" => "holds no letter" }
    fails { "braid([3], 3)" => "letters are 1 to 2" }
    fails { "braid(\"1 x\")" => "no whole number" }

    /// The knot or link of a planar-diagram code, in an even, open shape.
    ///
    /// For each crossing, four arcs by number, anticlockwise from where the lower strand comes in.
    planar_code with host(
        /// A list of lists of four numbers, or a text such as `"X[1, 5, 2, 4], X[3, 1, 4, 6], X[5, 3, 6, 2]"`.
        code: Crossings,
        /// Longest side.
        size: Size = 40.0,
    ) -> Curve { drawn(host, "planar_code", code.is_empty(), || Diagram::of_planar_code(&code), size) }
    example { "planar_code([[1, 5, 2, 4], [3, 1, 4, 6], [5, 3, 6, 2]])" }
    fails { "planar_code([[1, 5, 2, 4]])" => "each arc stands twice" }
    fails { "planar_code([[1, 2, 3]])" => "four whole numbers" }
    fails { "planar_code([[1, 2, 1, 2]])" => "closes no knot" }

    /// The knot or link of a Dowker code, in an even, open shape.
    ///
    /// The even partners of 1, 3, 5, …; with a minus where the visit of the even number is the upper one. The code does
    /// not tell a knot from its mirror image. An empty code is a plain ring, as for the other codes.
    ///
    /// Source: C. H. Dowker, M. B. Thistlethwaite, Topology and its Applications 16 (1983) 19.
    dowker_code with host(
        /// A list of even numbers, or one such list for each strand.
        code: Code,
        /// Longest side.
        size: Size = 40.0,
    ) -> Curve { drawn(host, "dowker_code", bare(&code), || knot::dowker_diagram(&code), size) }
    example { "dowker_code([4, 6, 8, 2])" }
    fails { "dowker_code([4, 5, 2])" => "5 is wrong" }
    fails { "dowker_code([4, 6, 8, 10, 2])" => "closes no knot" }

    /// The knot or link of a Gauss code, in an even, open shape.
    ///
    /// The crossings in the order in which a strand meets them: `3` where it passes above crossing 3, `-3` where it
    /// passes below. The code does not tell a knot from its mirror image; as a text, `"O1+ U2+ O3+ U1+ O2+ U3+"`, it may:
    /// `O` above, `U` below, and the sign of the crossing, which may be left out. Strands of a text end with `;`.
    ///
    /// Source: R. C. Read, P. Rosenstiehl, Colloq. Math. Soc. János Bolyai 18 (1976) 843.
    gauss_code with host(
        /// A list of crossings, or one such list for each strand, or a text.
        code: GaussCode,
        /// Longest side.
        size: Size = 40.0,
    ) -> Curve { gauss(host, &code, size) }
    example { "gauss_code([1, -2, 3, -1, 2, -3])" }
    example { "gauss_code([[1, -2], [2, -1]])" }
    example { "gauss_code([1, -1])" }
    example { "gauss_code(\"O1+ U2+ O3+ U1+ O2+ U3+\")" }
    fails { "gauss_code(\"O1+U2+O3-U1+O2+U3-\")" => "with these signs" }
    fails { "gauss_code([1, 2, -1, -2])" => "closes no knot" }
    fails { "gauss_code([1, -2, 2])" => "only once" }
    fails { "gauss_code([1, 1])" => "once above" }

    /// The pretzel link of columns of crossings side by side, in an even, open shape.
    ///
    /// Source: C. C. Adams, The Knot Book (1994), section 2.3.
    pretzel with host(
        /// Crossings of each column; the sign says which way it twists: `[1, 1, 1]` is a left-handed trefoil. Also a text,
        /// `"P(-2, 3, 3)"`.
        columns: Letters,
        /// Longest side.
        size: Size = 40.0,
    ) -> Curve { drawn(host, "pretzel", false, || knot::pretzel_diagram(&columns), size) }
    example { "pretzel([-2, 3, 3])" }
    example { "pretzel(\"P(-2, 3, 7)\")" }
    fails { "pretzel([3])" => "2 or more" }
    fails { "pretzel([3, 0, 1])" => "holds 0" }

    /// The 2-bridge link of Conway's numbers, in an even, open shape: rows and columns of twists in turn.
    ///
    /// `[2, 2]` is the figure eight, `[3, 2]` is 5_2, `[3]` a left-handed trefoil. A text may hold the figures as tables print them, `"2112"`, or the
    /// link's fraction, `"13/5"`.
    ///
    /// Source: J. H. Conway in J. Leech (ed.), Computational Problems in Abstract Algebra (1970) 329.
    two_bridge with host(
        /// Crossings of each row and column.
        twists: Twists,
        /// Longest side.
        size: Size = 40.0,
    ) -> Curve { drawn(host, "two_bridge", false, || knot::two_bridge_diagram(&twists), size) }
    example { "two_bridge([2, 1, 1, 2])" }
    example { "two_bridge(\"8/3\")" }
    fails { "two_bridge([])" => "holds no number" }
    fails { "two_bridge(\"6/4\")" => "no common factor" }

    /// The crossings of a closed curve, as seen from a side that shows few.
    ///
    /// A map: `count`, `writhe` (the sum of signs, right-handed ones counting 1), and `code`, the Gauss code, a list for
    /// each strand.
    crossings(
        /// The curve.
        path: Path,
    ) -> Map { crossings(&path) }
    example { "crossings(braid(\"1 1 1\"))" }
    fails { "crossings(curve(|t| [t, t^2, t^3], 0, 1))" => "must be closed" }

    /// The Alexander polynomial of a closed curve: a list of coefficients, that of the lowest power first.
    ///
    /// Two curves with different polynomials are different knots. The trefoil has `[1, -1, 1]`, a plain ring `[1]`, a
    /// link whose parts can be pulled apart the empty list.
    ///
    /// Source: J. W. Alexander, Transactions of the American Mathematical Society 30 (1928) 275.
    alexander(
        /// The curve.
        path: Path,
    ) -> List { alexander(&path) }
    example { "alexander(braid(\"1 -2 1 -2\"))" }
    fails { "alexander(curve(|t| [t, t^2, t^3], 0, 1))" => "must be closed" }
    fails { "alexander(curve(|t| [sin(t), sin(2*t), 0], 0, 2*PI))" => "meets itself" }

    /// The determinant of a closed curve, a whole number: 1 for a plain ring, 3 for a trefoil, 0 where parts come apart.
    ///
    /// The Alexander polynomial's absolute value at -1.
    determinant(
        /// The curve.
        path: Path,
    ) -> Number { form::alexander(&path).map(|a| knot::determinant(&a)) }
    example { "determinant(braid(\"1 -2 1 -2 1 -2\"))" }
    fails { "determinant(1)" => "`path`" }
}

fn tabled(host: &dyn Host, name: &str, size: f64, symmetric: usize) -> Result<Curve, Fault> {
    let made = form::tabled(name, size, symmetric, host.watch());
    let near = nearest(name, knot::common_names());
    tied(host, "knot", made).map_err(|fault| match near {
        _ if knot::is_tabled(name) => fault,
        Some(near) => fault.hint(format!("did you mean \"{near}\"?")),
        None => fault.hint(
            "other knots are made by `braid`, as 9_1 by `braid(\"1^9\")`, or by a code from a table: `planar_code`, \
             `dowker_code`, `gauss_code`",
        ),
    })
}

fn gauss(host: &dyn Host, code: &Gauss, size: f64) -> Result<Curve, Fault> {
    let diagram = || match code.signs.is_empty() {
        true => knot::gauss_diagram(&code.strands),
        false => {
            // Crossings go in the order of their numbers.
            let mut numbers: Vec<u64> = code.strands.iter().flatten().map(|k| k.unsigned_abs()).collect();
            numbers.sort_unstable();
            numbers.dedup();
            let right = |c: usize| numbers.get(c).and_then(|k| code.signs.get(k)).copied();
            knot::signed_gauss_diagram(&code.strands, right)
        }
    };
    drawn(host, "gauss_code", bare(&code.strands), diagram, size)
}

/// What became of a rope.
pub(super) fn tied(host: &dyn Host, word: &str, made: Result<Curve, RopeFault>) -> Result<Curve, Fault> {
    made.map_err(|fault| match fault {
        RopeFault::Form(fault) => named(word, fault),
        RopeFault::Stopped(_) => host.stopped(),
    })
}

fn named(word: &str, fault: FormFault) -> Fault {
    match super::find(word) {
        Some(word) => fault.fault(word),
        None => Fault::new(format!("{word}: {fault}")),
    }
}

/// True for the code of one strand that meets no crossing.
fn bare(code: &[Vec<i64>]) -> bool {
    matches!(code, [] | [_]) && code.iter().all(Vec::is_empty)
}

/// The knot of a code; without crossings, when the code is `bare`, a plain ring.
fn drawn(
    host: &dyn Host,
    word: &str,
    bare: bool,
    diagram: impl FnOnce() -> Result<Diagram, FormFault>,
    size: f64,
) -> Result<Curve, Fault> {
    if bare {
        return form::plain_ring(size).map_err(|fault| named(word, fault));
    }
    let diagram = diagram().map_err(|fault| named(word, fault))?;
    tied(host, word, form::shaped(&diagram, size, host.watch()))
}

fn crossings(path: &Curve) -> Result<Value, FormFault> {
    let view = form::seen(path)?;
    let whole = |n: usize| Value::Whole(n as i64);
    let code = view.code.iter().map(|s| Value::List(s.iter().map(|k| Value::Whole(*k)).collect())).collect();
    let writhe: i64 = view.crossings.iter().map(|c| i64::from(c.sign)).sum();
    Ok(Value::Map(BTreeMap::from([
        ("count".to_owned(), whole(view.crossings.len())),
        ("writhe".to_owned(), Value::Whole(writhe)),
        ("code".to_owned(), Value::List(code)),
    ])))
}

fn alexander(path: &Curve) -> Result<Vec<Value>, FormFault> {
    Ok(form::alexander(path)?.into_iter().map(Value::Whole).collect())
}
