//! Drawings from codes that list crossings along the strands: Gauss's, and Dowker's.

use super::diagram::{Diagram, across};
use crate::form::fault::{FormFault, unfit};

/// The drawing of a Gauss code: for each strand the crossings it meets in order, `k` where it passes above crossing
/// k, `-k` where it passes below. The code does not tell a knot from its mirror image: the crossing of the least number
/// is taken right-handed, and so for each part of the drawing that could be mirrored by itself.
///
/// The crossings are opened one after another so that one closed line remains, on which each crossing is a chord; the
/// drawing is flat when chords can be put inside and outside so that none meet.
/// Source: R. C. Read, P. Rosenstiehl, Colloq. Math. Soc. János Bolyai 18 (1976) 843.
///
/// # Errors
/// [`FormFault::Unfit`] when a crossing is not met once above and once below, or no flat drawing exists.
pub fn gauss_diagram(code: &[Vec<i64>]) -> Result<Diagram, FormFault> {
    signed_gauss_diagram(code, |_| None)
}

/// The drawing of a Gauss code of whose crossings some are told to be right-handed or not, in the order of their numbers.
///
/// # Errors
/// As [`gauss_diagram`]; [`FormFault::Unfit`] when the crossings told cannot all be as they are told in one flat drawing.
pub fn signed_gauss_diagram(
    code: &[Vec<i64>],
    right_handed: impl Fn(usize) -> Option<bool>,
) -> Result<Diagram, FormFault> {
    let (mate, upper) = strands(code)?;
    let n = upper.len();
    let mut turned = vec![false; n];
    let mut order: Vec<[usize; 4]> = vec![[0; 4]; n];
    for piece in hanging(&mate, n) {
        for part in lay(&piece, &mate, &upper)? {
            let flip = part.flip(&upper, &right_handed).ok_or_else(|| {
                unfit("code", "closes no knot: no flat drawing has these crossings with these signs")
            })?;
            for (c, ends) in part.round(flip) {
                order[c] = ends;
                // The strand through the new ends 0 and 2 is the upper one when it is that of the upper visit.
                turned[c] = ends[0].is_multiple_of(2) == upper[c];
            }
        }
    }
    // Ends in their order round each crossing.
    let mut new = vec![0; 4 * n];
    for (c, ends) in order.iter().enumerate() {
        for (k, h) in ends.iter().enumerate() {
            new[*h] = 4 * c + k;
        }
    }
    let mut fresh = vec![0; 4 * n];
    for h in 0..4 * n {
        fresh[new[h]] = new[mate[h]];
    }
    let enters: Vec<usize> = (0..n).flat_map(|c| [new[4 * c], new[4 * c + 1]]).collect();
    Diagram::of_ends(&fresh, &turned, &enters)
}

/// The ends and how strands join them. Here ends 0 and 2 of a crossing are those of the first visit (in, out), 1 and 3
/// those of the second; `upper` is true where the first visit is the upper one.
fn strands(code: &[Vec<i64>]) -> Result<(Vec<usize>, Vec<bool>), FormFault> {
    let mut names: Vec<u64> = code.iter().flatten().map(|k| k.unsigned_abs()).collect();
    names.sort_unstable();
    names.dedup();
    let n = names.len();
    if n == 0 || n > super::diagram::MOST {
        return Err(unfit("code", format!("has {n} crossings; 1 to {} can be drawn", super::diagram::MOST)));
    }
    let mut visits: Vec<Vec<i64>> = vec![vec![]; n];
    let mut mate = vec![0; 4 * n];
    for strand in code {
        if strand.is_empty() {
            return Err(unfit("code", "holds a strand without crossings"));
        }
        let mut ends = Vec::new();
        for k in strand {
            let c = names.partition_point(|name| *name < k.unsigned_abs());
            let visit = visits[c].len();
            visits[c].push(*k);
            if *k == 0 || visit > 1 || (visit == 1 && visits[c][0] != -k) {
                return Err(unfit(
                    "code",
                    format!(
                        "meets crossing {} wrongly; a strand passes each crossing once above (k) and once below (-k)",
                        k.abs()
                    ),
                ));
            }
            ends.push((4 * c + visit, 4 * c + visit + 2));
        }
        for (i, (_, out)) in ends.iter().enumerate() {
            let next = ends[(i + 1) % ends.len()].0;
            (mate[*out], mate[next]) = (next, *out);
        }
    }
    if let Some(c) = visits.iter().position(|v| v.len() < 2) {
        return Err(unfit("code", format!("meets crossing {} only once", names[c])));
    }
    Ok((mate, visits.iter().map(|v| v[0] > 0).collect()))
}

fn hanging(mate: &[usize], n: usize) -> Vec<Vec<usize>> {
    let mut seen = vec![false; n];
    let mut pieces = Vec::new();
    for start in 0..n {
        let (mut piece, mut open) = (Vec::new(), vec![start]);
        while let Some(c) = open.pop() {
            if !std::mem::replace(&mut seen[c], true) {
                piece.push(c);
                open.extend((0..4).map(|k| mate[4 * c + k] / 4));
            }
        }
        if !piece.is_empty() {
            pieces.push(piece);
        }
    }
    pieces
}

/// A part of the drawing that could be mirrored by itself.
struct FlatPart {
    /// For each crossing, the least first, an end come in by, the end gone out by, and whether the chord lies to the left.
    passes: Vec<(usize, (usize, usize), bool)>,
}

impl FlatPart {
    /// Whether it is to be mirrored, so that crossings are right-handed where that is told, and the least is where nothing is;
    /// `None` when what is told does not go together.
    fn flip(&self, upper: &[bool], right_handed: impl Fn(usize) -> Option<bool>) -> Option<bool> {
        let flips = |pass: &(usize, (usize, usize), bool)| {
            right_handed(pass.0).map(|told| told != is_right_handed(*pass, upper))
        };
        let mut told = self.passes.iter().filter_map(flips);
        let flip = told.next().unwrap_or_else(|| !is_right_handed(self.passes[0], upper));
        told.all(|other| other == flip).then_some(flip)
    }

    /// The ends of each crossing, anticlockwise.
    fn round(&self, flip: bool) -> impl Iterator<Item = (usize, [usize; 4])> {
        self.passes.iter().map(move |(c, pass, left)| (*c, around(*pass, *left != flip)))
    }
}

/// Whether a crossing is right-handed as it is laid.
fn is_right_handed((c, pass, left): (usize, (usize, usize), bool), upper: &[bool]) -> bool {
    let ends = around(pass, left);
    let k = |h: usize| ends.iter().position(|e| *e == h).unwrap_or(0);
    // Ends the strands go out by; right-handed: the lower one stands one place anticlockwise of the upper.
    let (above, below) = if upper[c] { (2, 3) } else { (3, 2) };
    k(4 * c + below) == (k(4 * c + above) + 1) % 4
}

/// The ends of a crossing, anticlockwise, that a line passes from the first to the second end with the other two on
/// its left, or on its right.
fn around((p, q): (usize, usize), left: bool) -> [usize; 4] {
    if left { [q, across(p), across(q), p] } else { [p, across(q), across(p), q] }
}

/// Lays one piece flat: finds the order of ends round each of its crossings.
fn lay(piece: &[usize], mate: &[usize], upper: &[bool]) -> Result<Vec<FlatPart>, FormFault> {
    let n = upper.len();
    // How a walk passes each end: at first straight on.
    let mut pass: Vec<usize> = (0..4 * n).map(across).collect();
    for &c in piece {
        // The line through both visits is kept in one, or made one.
        let walk = line(4 * c, &pass, mate);
        let second = walk.iter().find(|(came, _)| *came / 4 == c && *came != 4 * c).map(|(came, _)| *came);
        // Ends by which the walk comes in: joined with each other, as the ends it goes out by.
        let other = second.unwrap_or(4 * c + 1);
        for (a, b) in [(4 * c, other), (across(4 * c), across(other))] {
            (pass[a], pass[b]) = (b, a);
        }
    }
    let walk = line(4 * piece[0], &pass, mate);
    let flat = || unfit("code", "closes no knot: no flat drawing has these crossings");
    if walk.len() != 2 * piece.len() {
        return Err(flat());
    }
    let mut at: Vec<Vec<usize>> = vec![vec![]; n];
    for (i, (came, _)) in walk.iter().enumerate() {
        at[came / 4].push(i);
    }
    // Seen from one side of the line, both visits must have the chord on the same side.
    for &c in piece {
        let [i, j] = at[c][..] else { return Err(flat()) };
        if walk[j].0 != across(walk[i].0) {
            return Err(flat());
        }
    }
    let parts = sides(piece, &at).ok_or_else(flat)?;
    let part =
        |side: Side| FlatPart { passes: side.iter().map(|(c, left)| (*c, walk[at[*c][0]], *left)).collect() };
    Ok(parts.into_iter().map(part).collect())
}

/// The closed line through an end: ends come in and gone out by, at each crossing passed.
fn line(start: usize, pass: &[usize], mate: &[usize]) -> Vec<(usize, usize)> {
    let mut walk = Vec::new();
    let mut h = start;
    loop {
        walk.push((h, pass[h]));
        h = mate[pass[h]];
        if h == start || walk.len() > pass.len() {
            return walk;
        }
    }
}

type Side = std::collections::BTreeMap<usize, bool>;

/// Chords that interlace lie on different sides. For each set of chords that hang together, the sides; `None` when
/// they cannot be chosen.
fn sides(piece: &[usize], at: &[Vec<usize>]) -> Option<Vec<Side>> {
    let interlace = |a: usize, b: usize| {
        let (p, q) = (at[a][0], at[a][1]);
        (p < at[b][0] && at[b][0] < q) != (p < at[b][1] && at[b][1] < q)
    };
    let mut found = Vec::new();
    let mut done: Side = Side::new();
    for &start in piece {
        if done.contains_key(&start) {
            continue;
        }
        let mut side = Side::from([(start, true)]);
        let mut open = vec![start];
        while let Some(a) = open.pop() {
            for &b in piece {
                if b != a && interlace(a, b) {
                    match side.get(&b) {
                        Some(s) if *s == side[&a] => return None,
                        Some(_) => {}
                        None => {
                            side.insert(b, !side[&a]);
                            open.push(b);
                        }
                    }
                }
            }
        }
        done.extend(side.iter().map(|(k, v)| (*k, *v)));
        found.push(side);
    }
    Some(found)
}

/// The drawing of a Dowker code. Along each strand the visits to crossings are numbered 1, 2, 3, …; each crossing has
/// an odd and an even number, and the code gives the even partners of 1, 3, 5, … strand by strand; a minus says that
/// the visit with the even number is the upper one.
/// Source: C. H. Dowker, M. B. Thistlethwaite, Topology and its Applications 16 (1983) 19.
///
/// # Errors
/// [`FormFault::Unfit`] when the even numbers are not 2, 4, 6, … each once, or no flat drawing exists.
pub fn dowker_diagram(code: &[Vec<i64>]) -> Result<Diagram, FormFault> {
    let n: usize = code.iter().map(Vec::len).sum();
    let mut visit = vec![0; 2 * n];
    let mut odd = 0;
    for even in code.iter().flatten() {
        let k = even.unsigned_abs() as usize;
        if k == 0 || k % 2 == 1 || k > 2 * n || visit[k - 1] != 0 {
            return Err(unfit(
                "code",
                format!("must hold 2 to {} each once, with either sign; {even} is wrong", 2 * n),
            ));
        }
        let crossing = (odd / 2 + 1) as i64 * even.signum();
        (visit[odd], visit[k - 1]) = (crossing, -crossing);
        odd += 2;
    }
    let mut rest = visit.as_slice();
    let strands = code.iter().map(|strand| {
        let (own, more) = rest.split_at(2 * strand.len());
        rest = more;
        own.to_vec()
    });
    gauss_diagram(&strands.collect::<Vec<_>>())
}
