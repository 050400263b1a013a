//! A smooth level surface with smaller triangles where it turns: sides are halved until its parallel sheets keep a
//! tolerance too.

use std::collections::HashMap;

use super::skins::slopes;
use crate::base::Vec3;
use crate::formula::Tape;
use crate::shape::Mesh;

/// Rounds of halving: sides at a singular point turn at any length.
const ROUNDS: usize = 4;
/// Steps (Newton's method) from the middle of a side onto the surface.
const STEPS: usize = 3;
/// A middle further than this part of its side from the surface is not taken: other parts of it may be as near.
const NEAR: f64 = 0.5;

/// A surface with the unit normals at its points.
pub struct Base {
    /// An open mesh.
    pub mesh: Mesh,
    /// A normal for each of its points; zero where the slope of the field vanishes.
    pub normals: Vec<Vec3>,
}

impl Base {
    /// How far a side passes from an arc between its ends at most, mm, in the sheets `half` mm to both sides: a chord of
    /// length c that turns by an angle a is off by about c a / 8. A sheet that turns over there runs inside the wall.
    pub fn sagitta(&self, side: [u32; 2], half: f64) -> f64 {
        let [m, n] = side.map(|i| self.normals[i as usize]);
        let (chord, moved) = self.moved(side, half);
        let long = moved.map(|v| if v.dot(chord) < 0.0 { 0.0 } else { v.norm() });
        long[0].max(long[1]) * (m - n).norm() / 8.0
    }

    /// True when a side turns over in one of the sheets `half` mm to both sides.
    fn turns_over(&self, side: [u32; 2], half: f64) -> bool {
        let (chord, moved) = self.moved(side, half);
        moved.iter().any(|v| v.dot(chord) < 0.0)
    }

    /// True when the front or the back of a triangle faces the other way, or both its directions are turned about, in the
    /// sheets `half` mm to both sides.
    pub fn turned_over(&self, t: &[u32; 3], half: f64) -> bool {
        if sides(t).into_iter().any(|side| self.turns_over(side, half)) {
            return true;
        }
        let normal = |by: f64| {
            let [a, b, c] = t.map(|i| self.mesh.points[i as usize] + self.normals[i as usize] * by);
            (b - a).cross(c - a)
        };
        let n = normal(0.0);
        [half, -half].into_iter().any(|by| !(n.dot(normal(by)) > 0.0))
    }

    /// A side, and the same in the sheets `half` mm to both sides.
    fn moved(&self, side: [u32; 2], half: f64) -> (Vec3, [Vec3; 2]) {
        let [(p, m), (q, n)] = side.map(|i| (self.mesh.points[i as usize], self.normals[i as usize]));
        (p - q, [half, -half].map(|h| p - q + (m - n) * h))
    }

    /// The most that a side of a triangle is off, as [`Self::sagitta`].
    pub fn most_sagitta(&self, t: &[u32; 3], half: f64) -> f64 {
        sides(t).into_iter().map(|side| self.sagitta(side, half)).fold(0.0, f64::max)
    }

    /// The least cosine between the normals at two corners of a triangle.
    pub fn turn(&self, t: &[u32; 3]) -> f64 {
        let n = t.map(|i| self.normals[i as usize]);
        (0..3).map(|k| n[k].dot(n[(k + 1) % 3])).fold(1.0, f64::min)
    }

    /// Halves the sides that are more than `within` mm off in the sheets `half` mm to both sides.
    pub fn refine(&mut self, tape: &Tape, half: f64, within: f64) {
        for _ in 0..ROUNDS {
            let mut wrong: Vec<[u32; 2]> = self.mesh.triangles.iter().flat_map(sides).collect();
            wrong.sort_unstable();
            wrong.dedup();
            wrong.retain(|side| self.sagitta(*side, half) > within);
            let middles = self.halve(&wrong, tape);
            if middles.is_empty() {
                return;
            }
            let old = std::mem::take(&mut self.mesh.triangles);
            for t in old {
                parts(t, sides(&t).map(|side| middles.get(&side).copied()), &mut self.mesh.triangles);
            }
        }
    }

    /// Adds the middles of some sides, on the surface, where they are near it.
    fn halve(&mut self, sides: &[[u32; 2]], tape: &Tape) -> HashMap<[u32; 2], u32> {
        let ends = |side: &[u32; 2]| side.map(|i| self.mesh.points[i as usize]);
        let middle = |side: &[u32; 2]| {
            let [p, q] = ends(side);
            (p + q) * 0.5
        };
        let mut points: Vec<Vec3> = sides.iter().map(middle).collect();
        for _ in 0..STEPS {
            let seen = slopes(tape, &points);
            for (p, (value, slope)) in points.iter_mut().zip(seen) {
                let to = *p - slope * (value / slope.dot(slope));
                if to.is_finite() {
                    *p = to;
                }
            }
        }
        let normals: Vec<Option<Vec3>> =
            slopes(tape, &points).into_iter().map(|(v, g)| g.unit().filter(|_| v.is_finite())).collect();
        let near = |side: &[u32; 2], p: Vec3| {
            let [a, b] = ends(side);
            (p - middle(side)).norm() <= NEAR * (a - b).norm()
        };
        let taken: Vec<bool> = sides.iter().zip(&points).map(|(side, p)| near(side, *p)).collect();
        let mut made = HashMap::new();
        for (((side, p), normal), taken) in sides.iter().zip(points).zip(normals).zip(taken) {
            if let Some(normal) = normal.filter(|_| taken) {
                made.insert(*side, self.mesh.points.len() as u32);
                self.mesh.points.push(p);
                self.normals.push(normal);
            }
        }
        made
    }
}

/// The sides of a triangle, each with the lesser corner first: side k begins or ends at corner k and at the next.
pub fn sides(t: &[u32; 3]) -> [[u32; 2]; 3] {
    [0, 1, 2].map(|k| {
        let (a, b) = (t[k], t[(k + 1) % 3]);
        [a.min(b), a.max(b)]
    })
}

/// The parts of a triangle whose sides have middles or not.
pub fn parts(t: [u32; 3], middles: [Option<u32>; 3], into: &mut Vec<[u32; 3]>) {
    let count = middles.iter().flatten().count();
    // Turned so that the first side has a middle, and of two the second too.
    let first = (0..3).find(|k| middles[*k].is_some() && (count != 2 || middles[(k + 1) % 3].is_some()));
    let first = first.unwrap_or(0);
    let [a, b, c] = [0, 1, 2].map(|k| t[(first + k) % 3]);
    match [0, 1, 2].map(|k| middles[(first + k) % 3]) {
        [Some(p), Some(q), Some(r)] => into.extend([[a, p, r], [p, b, q], [r, q, c], [p, q, r]]),
        [Some(p), Some(q), None] => into.extend([[p, b, q], [a, p, q], [a, q, c]]),
        [Some(p), None, None] => into.extend([[a, p, c], [p, b, c]]),
        _ => into.push(t),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formula::Expr;

    /// An octahedron becomes a ball within what is asked, and stays closed.
    #[test]
    fn what_turns_gets_smaller_triangles() {
        let [x, y, z] = ["x", "y", "z"].map(Expr::var);
        let tape = Tape::new(&(x.clone() * x + y.clone() * y + z.clone() * z - 100.0)).unwrap();
        let mut mesh = Mesh::default();
        for (axis, sign) in [(0, 10.0), (0, -10.0), (1, 10.0), (1, -10.0), (2, 10.0), (2, -10.0)] {
            let mut p = [0.0; 3];
            p[axis] = sign;
            mesh.points.push(Vec3::from(p));
        }
        for [a, b, c] in [[0, 2, 4], [2, 1, 4], [1, 3, 4], [3, 0, 4]] {
            mesh.triangles.extend([[a, b, c], [b, a, 5]]);
        }
        let normals = mesh.points.iter().map(|p| *p / 10.0).collect();
        let mut base = Base { mesh, normals };
        base.refine(&tape, 1.0, 0.05);
        assert!(base.mesh.laws().is_empty(), "{:?}", base.mesh.laws());
        let ball = 4.0 / 3.0 * std::f64::consts::PI * 1000.0;
        let off = 1.0 - base.mesh.volume() / ball;
        // The chords are off by two thirds of the sagitta on average.
        assert!(off > 0.0 && off < 3.0 * 0.05 / 10.0, "{off}");
        for t in &base.mesh.triangles {
            assert!(sides(t).iter().all(|side| base.sagitta(*side, 1.0) <= 0.05));
        }
    }

    /// One, two and three halved sides give two, three and four triangles the same way round.
    #[test]
    fn parts_cover_a_triangle() {
        for bits in 0..8u32 {
            let middles = [0, 1, 2].map(|k| (bits >> k & 1 == 1).then_some(3 + k));
            let at = |i: u32| {
                let corner = [[0.0, 0.0], [4.0, 0.0], [0.0, 4.0]];
                let [p, q] = match i {
                    0..3 => [corner[i as usize]; 2],
                    _ => [corner[(i - 3) as usize], corner[(i - 2) as usize % 3]],
                };
                [(p[0] + q[0]) / 2.0, (p[1] + q[1]) / 2.0]
            };
            let mut made = Vec::new();
            parts([0, 1, 2], middles, &mut made);
            assert_eq!(made.len() as u32, 1 + bits.count_ones());
            let area = |t: &[u32; 3]| {
                let [a, b, c] = t.map(at);
                ((b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])) / 2.0
            };
            assert!(made.iter().all(|t| area(t) > 0.0));
            assert!((made.iter().map(area).sum::<f64>() - 8.0).abs() < 1e-12);
        }
    }
}
