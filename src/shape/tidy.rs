//! A closed mesh without its shortest edges and flattest triangles, as a cut leaves them.

use rayon::prelude::*;

use super::Mesh;
use super::arrangement::Edge;
use crate::base::Vec3;

/// Rounds, at most; in each, what is mended has no point in common.
const ROUNDS: usize = 24;
/// Cosine between the normals beside an edge from which on the other diagonal may take its place.
const ALIKE: f64 = 0.5;
/// The least angle that a triangle should have, radians, and by what factor another diagonal must make it better.
const NARROW: f64 = 0.12;
const BETTER: f64 = 1.2;

impl Mesh {
    /// Draws edges shorter than `short` mm into a point, and turns the longest edge of triangles no higher than `flat` mm and of
    /// narrow ones in a plane, where the mesh stays closed and manifold and no point is concerned that is `held`. No point moves
    /// further than `short` at a time.
    pub(crate) fn tidy(&mut self, short: f64, flat: f64, held: &[bool]) {
        // Triangles are left out at the end, so that all keep their numbers.
        let mut kept = vec![true; self.triangles.len()];
        for _ in 0..ROUNDS {
            let bad: Vec<u32> = self.bad(short, flat, &kept);
            if bad.is_empty() || !self.mend(&bad, [short, flat], held, &mut kept) {
                break;
            }
        }
        self.keep(|t, _| kept[t]);
    }

    /// Triangles with a side shorter than `short`, a height no more than `flat` or a narrow angle.
    fn bad(&self, short: f64, flat: f64, kept: &[bool]) -> Vec<u32> {
        let is_bad = |t: &u32| {
            let c = self.corners(*t as usize);
            let sides = [0, 1, 2].map(|k| (c[(k + 1) % 3] - c[k]).norm());
            sides.iter().any(|s| *s < short) || height(c) <= flat || least_angle(c) < NARROW
        };
        (0..self.triangles.len() as u32).into_par_iter().filter(|t| kept[*t as usize] && is_bad(t)).collect()
    }

    /// Mends some triangles; false when none could be.
    fn mend(&mut self, bad: &[u32], [short, flat]: [f64; 2], held: &[bool], kept: &mut [bool]) -> bool {
        let mut about: Vec<Vec<u32>> = vec![vec![]; self.points.len()];
        for (t, corners) in self.triangles.iter().enumerate().filter(|(t, _)| kept[*t]) {
            corners.iter().for_each(|i| about[*i as usize].push(t as u32));
        }
        let mut busy = held.to_vec();
        let mut any = false;
        for t in bad {
            let corners = self.triangles[*t as usize];
            if corners.iter().any(|i| busy[*i as usize]) {
                continue;
            }
            let p = self.corners(*t as usize);
            let long = |k: usize| (p[(k + 1) % 3] - p[k]).norm();
            let by_length = |least: bool| {
                (0..3).min_by(|i, j| {
                    let order = long(*i).total_cmp(&long(*j));
                    if least { order } else { order.reverse() }
                })
            };
            let (Some(shortest), Some(longest)) = (by_length(true), by_length(false)) else { continue };
            let touched = if long(shortest) < short {
                self.draw_in([corners[shortest], corners[(shortest + 1) % 3]], &about, kept)
            } else {
                self.turn_edge(*t, longest, &about, (height(p) > flat).then_some(short))
            };
            if let Some(touched) = touched {
                touched.iter().for_each(|i| busy[*i as usize] = true);
                any = true;
            }
        }
        any
    }

    /// Draws an edge into its first point; the points about it, if that can be.
    fn draw_in(&mut self, [a, b]: Edge, about: &[Vec<u32>], kept: &mut [bool]) -> Option<Vec<u32>> {
        let around = |i: u32| -> Vec<u32> {
            let all = about[i as usize].iter().flat_map(|t| self.triangles[*t as usize]);
            let mut all: Vec<u32> = all.filter(|j| *j != i).collect();
            all.sort_unstable();
            all.dedup();
            all
        };
        let (of_a, of_b) = (around(a), around(b));
        // Only the two points opposite of the edge are beside both of its ends.
        if of_b.iter().filter(|i| of_a.binary_search(i).is_ok()).count() != 2 {
            return None;
        }
        let normal = |c: [Vec3; 3]| (c[1] - c[0]).cross(c[2] - c[0]);
        let place = |i: u32| self.points[if i == b { a } else { i } as usize];
        let turns_over = |t: &u32| {
            let corners = self.triangles[*t as usize];
            let (old, new) = (normal(self.corners(*t as usize)), normal(corners.map(place)));
            !corners.contains(&a) && old.dot(new) < 0.0
        };
        if about[b as usize].iter().any(turns_over) {
            return None;
        }
        for t in &about[b as usize] {
            let corners = &mut self.triangles[*t as usize];
            if corners.contains(&a) {
                kept[*t as usize] = false;
            } else {
                corners.iter_mut().filter(|i| **i == b).for_each(|i| *i = a);
            }
        }
        Some([of_a, of_b].concat())
    }

    /// Puts the other diagonal in the place of side `k` of a triangle; the points about it, if that can be. `plane`: only if the
    /// two pass within so many mm, and angles get wider.
    fn turn_edge(&mut self, t: u32, k: usize, about: &[Vec<u32>], plane: Option<f64>) -> Option<Vec<u32>> {
        let [a, b, c] = [0, 1, 2].map(|i| self.triangles[t as usize][(k + i) % 3]);
        let is_other = |u: &&u32| **u != t && self.triangles[**u as usize].contains(&b);
        let other = *about[a as usize].iter().find(is_other)?;
        let d = *self.triangles[other as usize].iter().find(|i| **i != a && **i != b)?;
        let is_joined = about[c as usize].iter().any(|u| self.triangles[*u as usize].contains(&d));
        if d == c || is_joined {
            return None;
        }
        let [p, q, r, s] = [a, b, c, d].map(|i| self.points[i as usize]);
        let unit = |u: Vec3, v: Vec3| u.cross(v).unit();
        let (one, two) = (unit(p - s, r - s), unit(r - s, q - s));
        if let (Some(one), Some(two)) = (one, two)
            && one.dot(two) < ALIKE
        {
            return None;
        }
        if let Some(within) = plane {
            let least = |x: [Vec3; 3], y: [Vec3; 3]| least_angle(x).min(least_angle(y));
            let apart = (q - p).cross(s - r).unit().map_or(f64::INFINITY, |n| n.dot(r - p).abs());
            if apart > within || least([s, r, p], [r, s, q]) < BETTER * least([p, q, r], [q, p, s]) {
                return None;
            }
        }
        self.triangles[t as usize] = [d, c, a];
        self.triangles[other as usize] = [c, d, b];
        Some(vec![a, b, c, d])
    }
}

/// The least height of a triangle.
fn height([a, b, c]: [Vec3; 3]) -> f64 {
    let longest = [b - a, c - b, a - c].map(Vec3::norm).into_iter().fold(0.0, f64::max);
    (b - a).cross(c - a).norm() / longest.max(f64::MIN_POSITIVE)
}

/// The least angle of a triangle, radians.
fn least_angle(c: [Vec3; 3]) -> f64 {
    let angle = |k: usize| {
        let (u, v) = (c[(k + 1) % 3] - c[k], c[(k + 2) % 3] - c[k]);
        libm::atan2(u.cross(v).norm(), u.dot(v))
    };
    angle(0).min(angle(1)).min(angle(2))
}
