//! How the surface passes through one cell: the crossed edges of the cell, joined face by face into rings.
//!
//! Each ring becomes one vertex of the mesh. Seen from outside the solid a ring turns so that the corners inside the
//! solid lie to one side, so two cells that share a face join the same crossings on it. Where a face has four
//! crossings, the two inside corners are cut off one by one, unless the face is turned over ("flipped"), as it is where
//! its middle is inside; turning over splits a ring that holds all four crossings into two, which is how a doubled edge
//! of the mesh is avoided.

use std::sync::LazyLock;

/// Corner `i` of a cell has offset (i & 1, i >> 1 & 1, i >> 2 & 1). Edge `axis * 4 + k` starts at the corner whose
/// offsets along the other two axes, in cyclic order, are (k & 1, k >> 1).
pub const fn edge_start(edge: usize) -> usize {
    let (axis, k) = (edge / 4, edge % 4);
    let (u, v) = ((axis + 1) % 3, (axis + 2) % 3);
    ((k & 1) << u) | ((k >> 1) << v)
}

/// The other end of an edge.
pub const fn edge_end(edge: usize) -> usize {
    edge_start(edge) | 1 << (edge / 4)
}

/// The four corners of face `2 * axis + side`, going round.
pub const fn face_corners(face: usize) -> [usize; 4] {
    let (axis, side) = (face / 2, face % 2);
    let (u, v) = (1 << ((axis + 1) % 3), 1 << ((axis + 2) % 3));
    let base = side << axis;
    [base, base | u, base | u | v, base | v]
}

/// The edge between two corners that differ in one offset.
const fn edge_between(a: usize, b: usize) -> usize {
    let low = a & b;
    let axis = match a ^ b {
        1 => 0,
        2 => 1,
        _ => 2,
    };
    axis * 4 + (low >> ((axis + 1) % 3) & 1) + ((low >> ((axis + 2) % 3) & 1) << 1)
}

/// The rings of a cell: for each edge the number of its ring, or `NONE`; and how many rings there are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rings {
    /// Ring of each of the twelve edges.
    pub of_edge: [u8; 12],
    /// How many.
    pub count: u8,
}

/// Marks an edge that is not crossed.
pub const NONE: u8 = u8::MAX;

/// What is known beforehand of a cell with given signs and no face turned over.
#[derive(Clone, Copy, Debug)]
pub struct Plain {
    /// Its rings.
    pub rings: Rings,
    /// The edges of each ring, bit `e` for edge `e`.
    pub edges: [u16; 4],
    /// The crossed edges, bit `e` for edge `e`.
    pub crossed: u16,
    /// Bit `f` for each face with four crossings.
    pub four: u8,
    /// Bit `f` for each doubled face.
    pub doubled: u8,
    /// One ring, and no face with four crossings.
    pub is_simple: bool,
}

/// [`Plain`] of each of the 256 signs.
pub static PLAIN: LazyLock<[Plain; 256]> = LazyLock::new(|| {
    std::array::from_fn(|signs| {
        let signs = signs as u8;
        let rings = rings(signs, 0);
        let bits = |is: &dyn Fn(usize) -> bool| (0..6).fold(0, |m, f| m | u8::from(is(f)) << f);
        let four = bits(&|f| is_ambiguous(signs, f));
        let doubled = bits(&|f| is_doubled(signs, 0, f));
        let edges = rings.edges();
        let crossed = edges.iter().fold(0, |all, ring| all | ring);
        Plain { rings, edges, crossed, four, doubled, is_simple: rings.count == 1 && four == 0 }
    })
});

impl Rings {
    /// The edges of each ring, bit `e` for edge `e`.
    pub fn edges(&self) -> [u16; 4] {
        let of =
            |ring: usize| (0..12).fold(0, |m, e| m | u16::from(usize::from(self.of_edge[e]) == ring) << e);
        std::array::from_fn(of)
    }
}

/// The pairs of crossed edges joined on a face: none, one or two.
pub fn joins(inside: u8, face: usize, flipped: bool) -> [Option<[usize; 2]>; 2] {
    let c = face_corners(face);
    let s = c.map(|k| inside >> k & 1 == 1);
    let edge = |i: usize| edge_between(c[i % 4], c[(i + 1) % 4]);
    let crossed: [bool; 4] = std::array::from_fn(|i| s[i] != s[(i + 1) % 4]);
    match crossed.iter().filter(|x| **x).count() {
        0 => [None, None],
        2 => {
            let mut two = (0..4).filter(|i| crossed[*i]);
            let pair = [two.next().unwrap_or(0), two.next().unwrap_or(0)];
            [Some(pair.map(edge)), None]
        }
        _ => {
            // Edges i - 1 and i meet in corner i. Cut off the inside corners, or the outside ones.
            let first = if s[0] != flipped { 0 } else { 1 };
            [Some([edge(first + 3), edge(first)]), Some([edge(first + 1), edge(first + 2)])]
        }
    }
}

/// True when a face has four crossings.
pub fn is_ambiguous(inside: u8, face: usize) -> bool {
    let s = face_corners(face).map(|k| inside >> k & 1);
    s[0] == s[2] && s[1] == s[3] && s[0] != s[1]
}

/// The rings of a cell; bit `f` of `flips` turns over face `f`.
pub fn rings(inside: u8, flips: u8) -> Rings {
    let mut links = [[NONE; 2]; 12];
    let mut add = |a: usize, b: usize| {
        let slot = usize::from(links[a][0] != NONE);
        links[a][slot] = b as u8;
    };
    for face in 0..6 {
        for [a, b] in joins(inside, face, flips >> face & 1 == 1).into_iter().flatten() {
            add(a, b);
            add(b, a);
        }
    }
    let mut rings = Rings { of_edge: [NONE; 12], count: 0 };
    for start in 0..12 {
        if links[start][0] == NONE || rings.of_edge[start] != NONE {
            continue;
        }
        let mut at = start;
        loop {
            rings.of_edge[at] = rings.count;
            let next = links[at].into_iter().find(|n| *n != NONE && rings.of_edge[usize::from(*n)] == NONE);
            match next {
                Some(n) => at = usize::from(n),
                None => break,
            }
        }
        rings.count += 1;
    }
    rings
}

/// True when one ring holds all four crossings of an ambiguous face.
pub fn is_doubled(inside: u8, flips: u8, face: usize) -> bool {
    if !is_ambiguous(inside, face) {
        return false;
    }
    let rings = rings(inside, flips);
    match joins(inside, face, flips >> face & 1 == 1) {
        [Some([a, _]), Some([b, _])] => rings.of_edge[a] == rings.of_edge[b],
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn edges_and_faces_fit() {
        for e in 0..12 {
            assert_eq!(edge_between(edge_start(e), edge_end(e)), e);
        }
    }

    #[test]
    fn every_crossed_edge_is_in_one_ring_of_at_least_three() {
        for inside in 0..=255u8 {
            for flips in 0..64u8 {
                let r = rings(inside, flips);
                let mut sizes = [0; 4];
                for e in 0..12 {
                    let crossed = (inside >> edge_start(e) & 1) != (inside >> edge_end(e) & 1);
                    assert_eq!(crossed, r.of_edge[e] != NONE);
                    if crossed {
                        sizes[usize::from(r.of_edge[e])] += 1;
                    }
                }
                assert!(sizes[..usize::from(r.count)].iter().all(|s| *s >= 3), "{inside} {flips} {sizes:?}");
            }
        }
    }

    #[test]
    fn flipping_splits_a_doubled_ring() {
        for inside in 0..=255u8 {
            for flips in 0..64u8 {
                for face in 0..6 {
                    if is_doubled(inside, flips, face) {
                        let other = flips ^ 1 << face;
                        assert!(!is_doubled(inside, other, face), "{inside} {flips} {face}");
                        assert_eq!(rings(inside, other).count, rings(inside, flips).count + 1);
                    }
                }
            }
        }
    }
}
