//! A flat drawing of a knot or link: crossings, and arcs that join them.
//!
//! Each crossing has four ends, numbered anticlockwise as seen from above: 0 where the lower strand comes in, 2 where
//! it goes out, 1 and 3 of the upper strand. The end `k` of crossing `c` has the number 4c + k in all.
//! Source: the planar-diagram code, as in C. Livingston, A. H. Moore, the table of knots KnotInfo (description of
//! notations).

use crate::form::fault::{FormFault, unfit};

/// Most crossings of a drawing.
pub const MOST: usize = 400;

/// A flat drawing of a knot or link.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagram {
    /// The end that each end is joined to.
    mate: Vec<usize>,
    /// The strand's walks: ends at which it comes in to crossings, in order.
    walks: Vec<Vec<usize>>,
}

impl Diagram {
    /// The drawing of a planar-diagram code: for each crossing the four arcs, anticlockwise from where the lower
    /// strand comes in. Every arc's number stands twice.
    ///
    /// # Errors
    /// [`FormFault::Unfit`] when an arc does not stand twice, or the code has no flat drawing.
    pub fn of_planar_code(code: &[[i64; 4]]) -> Result<Self, FormFault> {
        counted(code.len())?;
        let ends: Vec<i64> = code.iter().flatten().copied().collect();
        let mut mate = vec![usize::MAX; ends.len()];
        for (h, arc) in ends.iter().enumerate() {
            let same: Vec<usize> = (0..ends.len()).filter(|k| ends[*k] == *arc).collect();
            let [a, b] = same[..] else {
                return Err(unfit(
                    "code",
                    format!("has arc {arc} {} times; each arc stands twice", same.len()),
                ));
            };
            mate[h] = if a == h { b } else { a };
        }
        let over = vec![false; code.len()];
        let lower: Vec<usize> = (0..code.len()).map(|c| 4 * c).collect();
        Self::of_ends(&mate, &over, &lower)
    }

    /// The drawing of crossings whose ends are joined as told; `turned[c]` is true where the strand through ends 0
    /// and 2 of crossing `c` is the upper one. Each strand gets the direction in which it comes in by the first of the
    /// ends `enters` that lies on it, else by any.
    ///
    /// # Errors
    /// [`FormFault::Unfit`] when there is no flat drawing.
    pub fn of_ends(mate: &[usize], turned: &[bool], enters: &[usize]) -> Result<Self, FormFault> {
        let n = turned.len();
        counted(n)?;
        let mut comes_in = vec![false; 4 * n];
        let mut seen = vec![false; 4 * n];
        for start in enters.iter().copied().chain(0..4 * n) {
            let mut h = start;
            while !seen[h] {
                let out = across(h);
                comes_in[h] = true;
                (seen[h], seen[out]) = (true, true);
                h = mate[out];
            }
        }
        // Ends are numbered anew so that 0 is where the lower strand comes in.
        let first = |c: usize| {
            let lower = usize::from(turned[c]);
            if comes_in[4 * c + lower] { lower } else { lower + 2 }
        };
        let new = |h: usize| h / 4 * 4 + (h % 4 + 4 - first(h / 4)) % 4;
        let mut fresh = vec![0; 4 * n];
        for h in 0..4 * n {
            fresh[new(h)] = new(mate[h]);
        }
        let mut walked = vec![false; 4 * n];
        let mut walks = Vec::new();
        for start in enters.iter().copied().chain(0..4 * n).filter(|h| comes_in[*h]).map(new) {
            let mut walk = Vec::new();
            let mut h = start;
            while !walked[h] {
                walked[h] = true;
                walk.push(h);
                h = fresh[across(h)];
            }
            if !walk.is_empty() {
                walks.push(walk);
            }
        }
        let diagram = Self { mate: fresh, walks };
        if diagram.is_flat() {
            Ok(diagram)
        } else {
            Err(unfit("code", "closes no knot: no flat drawing has these crossings"))
        }
    }

    /// How many crossings there are.
    pub fn len(&self) -> usize {
        self.mate.len() / 4
    }

    /// True without crossings.
    pub fn is_empty(&self) -> bool {
        self.mate.is_empty()
    }

    /// The end that an end is joined to.
    pub fn mate(&self, h: usize) -> usize {
        self.mate[h]
    }

    /// The strands: ends at which each comes in to crossings, in order.
    pub fn walks(&self) -> &[Vec<usize>] {
        &self.walks
    }

    /// +1 for a right-handed crossing, -1 for a left-handed one.
    pub fn sign(&self, c: usize) -> i32 {
        // With the lower strand going up the page the upper one goes to the right from end 3 to end 1.
        if self.walks.iter().flatten().any(|h| *h == 4 * c + 3) { 1 } else { -1 }
    }

    /// The sum of the signs.
    pub fn writhe(&self) -> i32 {
        (0..self.len()).map(|c| self.sign(c)).sum()
    }

    /// The faces: for each, the ends that one leaves crossings by when walking round it with the face on the left.
    pub fn faces(&self) -> Vec<Vec<usize>> {
        let mut seen = vec![false; self.mate.len()];
        let mut faces = Vec::new();
        for start in 0..self.mate.len() {
            let mut face = Vec::new();
            let mut h = start;
            while !seen[h] {
                seen[h] = true;
                face.push(h);
                // On arrival turn left: the next end clockwise from the one come in by.
                let came = self.mate[h];
                h = came / 4 * 4 + (came % 4 + 3) % 4;
            }
            if !face.is_empty() {
                faces.push(face);
            }
        }
        faces
    }

    /// The crossings that hang together, as lists.
    pub fn pieces(&self) -> Vec<Vec<usize>> {
        let n = self.len();
        let mut seen = vec![false; n];
        let mut pieces = Vec::new();
        for start in 0..n {
            let (mut piece, mut open) = (Vec::new(), vec![start]);
            while let Some(c) = open.pop() {
                if std::mem::replace(&mut seen[c], true) {
                    continue;
                }
                piece.push(c);
                open.extend((0..4).map(|k| self.mate[4 * c + k] / 4));
            }
            if !piece.is_empty() {
                pieces.push(piece);
            }
        }
        pieces
    }

    /// True when corners, edges and faces count as on a sphere: crossings + faces = arcs + 2 for each piece.
    fn is_flat(&self) -> bool {
        self.len() + self.faces().len() == 2 * self.len() + 2 * self.pieces().len()
    }
}

/// The end opposite.
pub fn across(h: usize) -> usize {
    h / 4 * 4 + (h % 4 + 2) % 4
}

fn counted(n: usize) -> Result<(), FormFault> {
    match n {
        0 => Err(unfit("code", "holds no crossing")),
        n if n > MOST => Err(unfit("code", format!("has {n} crossings; at most {MOST} can be drawn"))),
        _ => Ok(()),
    }
}
