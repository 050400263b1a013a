//! Where the ends of the ranges of a surface come together, so that both sides of a seam pass the same places.

use super::pieces::WHOLE;
use crate::base::Vec3;

/// Places compared along an end, and how far those of two ends may differ, as a part of the surface's extent.
const COMPARED: u32 = 11;
const ALIKE: f64 = 1e-9;

/// An end of a range: the parameter that does not change there, and its value in parts of its range.
type End = (usize, u32);

/// One end comes to lie on another: the parameter along it is the other's with a sign, and shifted.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Seam {
    from: End,
    to: End,
    back: bool,
    shift: u32,
}

/// All seams of a surface.
#[derive(Debug)]
pub struct Seams(Vec<Seam>);

impl Seams {
    /// The seams of a surface that reaches so far, mm, by its places at parts of the ranges. Along an end that is one place, as
    /// at a pole, nothing needs to be the same.
    pub fn of(see: impl Fn(&[[f64; 2]]) -> Vec<Vec3>, extent: f64) -> Self {
        let alike = |p: &Vec3, q: &Vec3| (*p - *q).norm() <= ALIKE * extent;
        let samples: Vec<f64> =
            (0..COMPARED).map(|k| f64::from(WHOLE) * (f64::from(k) + 0.382) / f64::from(COMPARED)).collect();
        let along = |end: End, way: &dyn Fn(f64) -> f64| {
            see(&samples.iter().map(|t| place(end, way(*t), f64::from)).collect::<Vec<_>>())
        };
        let ends = [(0, 0), (0, WHOLE), (1, 0), (1, WHOLE)];
        let mut found = Vec::new();
        for from in ends {
            let own = along(from, &|t| t);
            if own.iter().all(|p| alike(p, &own[0])) {
                continue;
            }
            for to in ends {
                for (back, shift) in [(false, 0), (true, 0), (false, WHOLE / 2), (true, WHOLE / 2)] {
                    let seam = Seam { from, to, back, shift };
                    let way = |t: f64| {
                        let t = if back { f64::from(WHOLE) - t } else { t };
                        (t + f64::from(shift)) % f64::from(WHOLE)
                    };
                    let itself = from == to && !back && shift == 0;
                    if !itself && along(to, &way).iter().zip(&own).all(|(p, q)| alike(p, q)) {
                        found.push(seam);
                    }
                }
            }
        }
        Self(found)
    }

    /// The places on the other sides of seams, of places that are used.
    pub fn partners(&self, used: impl Iterator<Item = [u32; 2]>) -> Vec<[u32; 2]> {
        let mut all: std::collections::BTreeSet<[u32; 2]> =
            used.filter(|at| at.iter().any(|t| *t == 0 || *t == WHOLE)).collect();
        let mut new: Vec<[u32; 2]> = all.iter().copied().collect();
        let mut partners = Vec::new();
        while !new.is_empty() {
            let there = new.iter().flat_map(|at| self.0.iter().filter_map(|seam| seam.partner(*at)));
            new = there.filter(|at| all.insert(*at)).collect();
            partners.extend(&new);
        }
        partners
    }
}

impl Seam {
    fn partner(&self, at: [u32; 2]) -> Option<[u32; 2]> {
        let (axis, end) = self.from;
        let t = at[1 - axis];
        let t = if self.back { WHOLE - t } else { t };
        let shifted = t + self.shift;
        let t = if shifted > WHOLE { shifted - WHOLE } else { shifted };
        (at[axis] == end).then(|| place(self.to, t, |end| end))
    }
}

/// The place along an end.
fn place<T: Copy>((axis, end): End, along: T, of: impl Fn(u32) -> T) -> [T; 2] {
    let mut at = [along; 2];
    at[axis] = of(end);
    at
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{PI, TAU};

    fn seams(place: impl Fn(f64, f64) -> [f64; 3]) -> Vec<Seam> {
        let see = |at: &[[f64; 2]]| {
            at.iter()
                .map(|p| Vec3::from(place(p[0] / f64::from(WHOLE), p[1] / f64::from(WHOLE))))
                .collect::<Vec<_>>()
        };
        Seams::of(see, 5.0).0
    }

    /// A pipe has one seam, seen from both sides; a Möbius band one that turns about; the poles of a ball none; of a plane there
    /// is no seam; the rim of a projective plane lies on itself, half a turn on.
    #[test]
    fn seams_are_found() {
        let pipe = seams(|u, v| [(TAU * u).cos(), (TAU * u).sin(), v]);
        assert_eq!(pipe.len(), 2);
        assert!(pipe.iter().all(|s| s.from.0 == 0 && !s.back && s.shift == 0));
        let band = seams(|u, v| {
            let (a, w) = (TAU * u, v - 0.5);
            let r = 3.0 + w * (a / 2.0).cos();
            [r * a.cos(), r * a.sin(), w * (a / 2.0).sin()]
        });
        assert!(band.len() == 2 && band.iter().all(|s| s.back && s.from.0 == 0), "{band:?}");
        let ball = seams(|u, v| {
            let (a, b) = (PI * (u - 0.5), TAU * v);
            [a.cos() * b.cos(), a.cos() * b.sin(), a.sin()]
        });
        assert!(ball.len() == 2 && ball.iter().all(|s| s.from.0 == 1), "{ball:?}");
        assert!(seams(|u, v| [u, v, u * v]).is_empty());
        // The even functions x² - y², xy, xz, on half a sphere whose rim is v = 1.
        let plane = seams(|u, v| {
            let (a, b) = (TAU * u, 0.5 * PI * v);
            let [x, y, z] = [b.sin() * a.cos(), b.sin() * a.sin(), b.cos()];
            [x * x - y * y, x * y, x * z + y * z]
        });
        let rim: Vec<_> = plane.iter().filter(|s| s.from.0 == 1).collect();
        assert!(rim.iter().any(|s| s.from == s.to && s.shift == WHOLE / 2 && !s.back), "{rim:?}");
    }

    /// A place on a seam has its partner on the other side, and the corners of a torus three.
    #[test]
    fn partners_are_on_the_other_side() {
        let seams = Seams(vec![
            Seam { from: (0, 0), to: (0, WHOLE), back: true, shift: 0 },
            Seam { from: (1, 0), to: (1, WHOLE), back: false, shift: 0 },
        ]);
        assert_eq!(seams.partners([[0, 300]].into_iter()), [[WHOLE, WHOLE - 300]]);
        assert_eq!(seams.partners([[5, 300]].into_iter()), [[0; 2]; 0]);
        assert_eq!(seams.partners([[0, 0]].into_iter()), [[WHOLE, WHOLE], [0, WHOLE], [WHOLE, 0]]);
    }
}
