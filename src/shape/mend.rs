//! Triangles that should bound a solid and do not: what is wrong with them, and turning them alike.

use std::collections::HashMap;

use super::{Broken, Law, Mesh};
use crate::base::Vec3;

impl Mesh {
    /// The edges with a triangle on one side only, as that triangle runs; an edge of three triangles or more counts when
    /// it is not run as often in both directions.
    pub fn open_edges(&self) -> Vec<[u32; 2]> {
        let mut runs: Vec<([u32; 2], i32)> = Vec::with_capacity(self.triangles.len() * 3);
        for t in &self.triangles {
            for k in 0..3 {
                let (a, b) = (t[k], t[(k + 1) % 3]);
                runs.push(if a < b { ([a, b], 1) } else { ([b, a], -1) });
            }
        }
        runs.sort_unstable();
        let mut open = Vec::new();
        for same in runs.chunk_by(|a, b| a.0 == b.0) {
            let [a, b] = same[0].0;
            let sum: i32 = same.iter().map(|s| s.1).sum();
            let run = if sum > 0 { [a, b] } else { [b, a] };
            open.extend(std::iter::repeat_n(run, sum.unsigned_abs() as usize));
        }
        open
    }

    /// The same triangles with neighbours turned alike: those of a piece joined by edges of two triangles follow the
    /// greater part of it. A mesh that then holds a negative volume is turned as a whole. Gives how many were turned.
    pub fn turn_alike(&mut self) -> usize {
        let over = self.turned_over();
        let mut count = over.iter().filter(|o| **o).count();
        for (t, _) in self.triangles.iter_mut().zip(over).filter(|(_, over)| *over) {
            t.swap(1, 2);
        }
        if count > 0 && self.volume() < 0.0 {
            self.triangles.iter_mut().for_each(|t| t.swap(1, 2));
            count = self.triangles.len() - count;
        }
        count
    }

    /// For each triangle whether it turns against the greater part of its piece.
    fn turned_over(&self) -> Vec<bool> {
        let mut beside: HashMap<[u32; 2], Vec<(u32, bool)>> = HashMap::new();
        for (t, corners) in self.triangles.iter().zip(0u32..) {
            for k in 0..3 {
                let (a, b) = (t[k], t[(k + 1) % 3]);
                beside.entry([a.min(b), a.max(b)]).or_default().push((corners, a < b));
            }
        }
        let mut against: Vec<Option<bool>> = vec![None; self.triangles.len()];
        for first in 0..self.triangles.len() {
            if against[first].is_some() {
                continue;
            }
            against[first] = Some(false);
            let mut piece = vec![first as u32];
            let mut next = 0;
            while let Some(&t) = piece.get(next) {
                next += 1;
                let own = against[t as usize] == Some(true);
                let corners = self.triangles[t as usize];
                for k in 0..3 {
                    let (a, b) = (corners[k], corners[(k + 1) % 3]);
                    let Some([p, q]) = beside.get(&[a.min(b), a.max(b)]).map(Vec::as_slice) else { continue };
                    let other = if p.0 == t { q } else { p };
                    let slot = &mut against[other.0 as usize];
                    if slot.is_none() {
                        *slot = Some(own ^ (p.1 == q.1));
                        piece.push(other.0);
                    }
                }
            }
            let over = piece.iter().filter(|t| against[**t as usize] == Some(true)).count();
            if 2 * over > piece.len() {
                piece.iter().for_each(|t| against[*t as usize] = against[*t as usize].map(|a| !a));
            }
        }
        against.into_iter().map(|a| a == Some(true)).collect()
    }
}

/// What is broken, law by law: how often, and where first.
pub fn damage(broken: &[Broken]) -> Vec<String> {
    let told = |same: &[Broken]| {
        let what = match same[0].law {
            Law::Sound => "triangles that name no three points",
            Law::Closed => "edges of holes",
            Law::EdgeManifold => "edges of three triangles or more",
            Law::Oriented => "edges to a triangle turned over",
            Law::VertexManifold => "points in which skins touch",
            Law::Area => "triangles without area",
            Law::NoCrossing => "crossings of triangles",
            Law::Volume => "parts inside out",
        };
        format!("{what}: {}, the first near {}", same.len(), place(same[0].at))
    };
    let mut broken = broken.to_vec();
    broken.sort_by_key(|b| b.law);
    broken.chunk_by(|a, b| a.law == b.law).map(told).collect()
}

/// A place to a hundredth of a mm.
fn place(p: Vec3) -> String {
    let short = |c: f64| {
        let text = format!("{c:.2}");
        let text = text.trim_end_matches('0').trim_end_matches('.');
        if text == "-0" { "0".to_owned() } else { text.to_owned() }
    };
    format!("({}, {}, {})", short(p.x), short(p.y), short(p.z))
}

#[cfg(test)]
mod tests {
    use super::super::laws::tests::block;
    use super::*;

    #[test]
    fn what_is_turned_over_is_turned_back() {
        let whole = block();
        for some in [vec![3], vec![0, 1, 2, 5], (1..12).collect(), (0..12).collect()] {
            let mut mesh = whole.clone();
            some.iter().for_each(|t: &usize| mesh.triangles[*t].swap(1, 2));
            if some.len() < 12 {
                assert_eq!(mesh.turn_alike(), some.len(), "{some:?}");
                assert_eq!(mesh.laws(), vec![]);
            } else {
                assert_eq!(mesh.turn_alike(), 0, "all turn alike: nothing says which side is in");
            }
        }
    }

    #[test]
    fn open_edges_go_round_the_hole() {
        let mut mesh = block();
        assert!(mesh.open_edges().is_empty());
        let out = mesh.triangles.pop().unwrap();
        let mut open = mesh.open_edges();
        let mut wanted: Vec<[u32; 2]> = (0..3).map(|k| [out[(k + 1) % 3], out[k]]).collect();
        open.sort_unstable();
        wanted.sort_unstable();
        assert_eq!(open, wanted);
        assert_eq!(damage(&mesh.laws()), ["edges of holes: 3, the first near (0.33, -1, -0.33)"]);
    }
}
