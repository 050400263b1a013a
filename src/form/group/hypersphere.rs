//! Images under groups of the sphere of four dimensions, as space sees them from its pole: each motion is a Möbius motion of
//! space, an inversion followed by a motion. Lengths are mm.
//!
//! Source: J. G. Ratcliffe, Foundations of Hyperbolic Manifolds (2006), sections 4.2 and 4.3.

use std::collections::BTreeSet;

use super::GroupFault;
use crate::base::{Affine, Box3, Vec3};
use crate::form::net::Net;
use crate::form::{Bounded, Movable, Solid, SpaceMap};
use crate::formula::Tape;

/// Most images of a solid, and most edges of all images of a net.
const MOST_SOLIDS: usize = 4_000;
const MOST_EDGES: usize = 500_000;
/// Points inside a solid that tell which motions keep it.
const TOLD_BY: usize = 200;

type Four = [f64; 4];

/// A motion of the sphere: its rows.
#[derive(Clone, Copy, Debug)]
struct Motion([Four; 4]);

fn dot(a: &Four, b: &Four) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

impl Motion {
    const NONE: Self =
        Self([[1.0, 0.0, 0.0, 0.0], [0.0, 1.0, 0.0, 0.0], [0.0, 0.0, 1.0, 0.0], [0.0, 0.0, 0.0, 1.0]]);

    fn apply(&self, q: &Four) -> Four {
        std::array::from_fn(|i| dot(&self.0[i], q))
    }

    /// The one that undoes it.
    fn back(&self) -> Self {
        Self(std::array::from_fn(|i| std::array::from_fn(|j| self.0[j][i])))
    }

    /// The motion after the mirroring in a mirror.
    fn mirrored(&self, n: &Four) -> Self {
        Self(self.0.map(|row| {
            let k = 2.0 * dot(&row, n);
            std::array::from_fn(|j| row[j] - k * n[j])
        }))
    }

    fn after(&self, first: &Self) -> Self {
        let columns = first.back();
        Self(self.0.map(|row| std::array::from_fn(|j| dot(&row, &columns.0[j]))))
    }

    /// Whole numbers that tell it from the other motions of its group.
    fn key(&self) -> [i32; 16] {
        std::array::from_fn(|k| (self.0[k / 4][k % 4] * 1e4).round() as i32)
    }
}

/// A group of four mirrors, finite, and the radius of the picture.
pub(super) struct Turned {
    motions: Vec<Motion>,
    radius: f64,
}

impl Turned {
    /// All motions of a group of mirrors, or those that an even number of mirrors makes.
    pub(super) fn new(normals: &[Four], radius: f64, turns: bool) -> Self {
        let mut found = vec![(Motion::NONE, false)];
        // A point inside the chamber, off the middle, tells images apart.
        let chosen = [0.31, 0.47, 0.59, 0.58];
        let near = |q: &Four| q.map(|x| (x * 1e6).round() as i64);
        let mut seen: BTreeSet<[i64; 4]> = BTreeSet::new();
        let known = |seen: &BTreeSet<[i64; 4]>, q: &Four| {
            let [a, b, c, d] = near(q);
            (0..81_i64).any(|n| {
                seen.contains(&[a + n % 3 - 1, b + n / 3 % 3 - 1, c + n / 9 % 3 - 1, d + n / 27 - 1])
            })
        };
        seen.insert(near(&chosen));
        let mut next = 0;
        while next < found.len() {
            let (motion, odd) = found[next];
            for n in normals {
                let made = motion.mirrored(n);
                let image = made.apply(&chosen);
                if !known(&seen, &image) {
                    seen.insert(near(&image));
                    found.push((made, !odd));
                }
            }
            next += 1;
        }
        found.retain(|(_, odd)| !(turns && *odd));
        Self { motions: found.into_iter().map(|f| f.0).collect(), radius }
    }

    fn up(&self, p: Vec3) -> Four {
        let u = p / self.radius;
        let s = u.dot(u);
        [2.0 * u.x / (1.0 + s), 2.0 * u.y / (1.0 + s), 2.0 * u.z / (1.0 + s), (s - 1.0) / (s + 1.0)]
    }

    fn down(&self, q: &Four) -> Vec3 {
        Vec3::new(q[0], q[1], q[2]) * (self.radius / (1.0 - q[3]))
    }

    /// The image of a place, and how many times as large small things are there.
    fn image(&self, by: &Motion, p: Vec3) -> (Vec3, f64) {
        let at = self.down(&by.apply(&self.up(p)));
        let square = self.radius * self.radius;
        (at, (square + at.dot(at)) / (square + p.dot(p)))
    }

    /// The images of a net whose points all lie within `far` mm, joined.
    pub(super) fn net(&self, net: &Net, far: f64) -> Result<Net, GroupFault> {
        if self.motions.len() * net.edges().len() > MOST_EDGES {
            return Err(GroupFault::Unfit(format!("more than {MOST_EDGES} edges: take fewer")));
        }
        let images: Vec<Net> = self
            .motions
            .iter()
            .map(|m| net.bent_by(&|p| self.image(m, p)))
            .filter(|n| n.points().iter().all(|p| p.norm() <= far))
            .collect();
        let end = |n: &Net| n.points().iter().all(|p| p.norm() < 1e6 * self.radius);
        if images.is_empty() || !images.iter().all(end) {
            return Err(GroupFault::Unfit(
                "an image reaches the pole, which is infinitely far: say how far the images go, as a radius, mm".into(),
            ));
        }
        Ok(crate::form::net::together(net.name(), &images).thickest_one())
    }

    /// The Möbius motion of space that a motion of the sphere is: the inversion, unless the pole is kept, and the motion after it.
    fn parts(&self, by: &Motion) -> (Option<SpaceMap>, Affine) {
        let from = by.0[3];
        if 1.0 - from[3] < 1e-12 {
            let rows = [0, 1, 2].map(|i| Vec3::new(by.0[i][0], by.0[i][1], by.0[i][2]));
            return (None, Affine { rows, shift: Vec3::ZERO });
        }
        // What goes to the pole, and where the pole goes.
        let centre = self.down(&from);
        let to = self.down(&std::array::from_fn(|i| by.0[i][3]));
        let radius = self.radius * (2.0 / (1.0 - from[3])).sqrt();
        let column = |axis: usize| {
            let mut unit = [0.0; 3];
            unit[axis] = radius;
            (self.image(by, centre + Vec3::from(unit)).0 - to) / radius
        };
        let [a, b, c] = [0, 1, 2].map(column);
        let rows = [0, 1, 2].map(|i| Vec3::new(a[i], b[i], c[i]));
        let turn = Affine { rows, shift: Vec3::ZERO };
        (
            Some(SpaceMap::Invert { centre, radius }),
            Affine::shift(-centre).then(&turn).then(&Affine::shift(to)),
        )
    }

    /// The images of a solid whose middles lie within `far` mm, joined.
    pub(super) fn solid(&self, solid: &Solid, far: f64) -> Result<Solid, GroupFault> {
        let told = |f: crate::form::FormFault| GroupFault::Unfit(f.to_string());
        let own = solid.bounds().map_err(told)?;
        let kept = self.distinct(solid, own)?;
        let near: Vec<&Motion> =
            kept.into_iter().filter(|m| self.image(m, own.centre()).0.norm() <= far).collect();
        if near.len() > MOST_SOLIDS {
            return Err(GroupFault::Unfit(format!("more than {MOST_SOLIDS} images: reach less far")));
        }
        let image = |by: &&Motion| {
            let (inversion, then) = self.parts(by);
            match inversion {
                Some(map) => solid.mapped(&map)?.moved(&then),
                None => solid.moved(&then),
            }
        };
        let images = near.iter().map(image).collect::<Result<Vec<Solid>, _>>().map_err(told)?;
        Solid::Union(images.into()).checked().map_err(told)
    }

    /// One motion for each image of a solid: those that keep it are found by points inside it, which stay inside.
    fn distinct(&self, solid: &Solid, own: Box3) -> Result<Vec<&Motion>, GroupFault> {
        let value = solid
            .lower(&mut |_, _| Err(crate::form::FormFault::Empty))
            .map_err(|_| GroupFault::Unfit("walls have no images in four dimensions".into()))?;
        let tape = Tape::new(&value).map_err(|f| GroupFault::Unfit(f.to_string()))?;
        let half = own.size() * 0.5;
        let inner: Vec<Vec3> = (0..20_000)
            .map(|i| {
                let s = super::orbit::scattered(i);
                own.centre() + Vec3::new(s.x * half.x, s.y * half.y, s.z * half.z)
            })
            .filter(|p| tape.value(*p) < 0.0)
            .take(TOLD_BY)
            .collect();
        let slack = 1e-6 * own.size().norm();
        let stays = |m: &Motion| inner.iter().all(|p| tape.value(self.image(m, *p).0) < slack);
        let keeping: Vec<&Motion> = self.motions.iter().filter(|m| stays(m) && stays(&m.back())).collect();
        let mut seen: BTreeSet<[i32; 16]> = BTreeSet::new();
        let mut found = Vec::new();
        for motion in &self.motions {
            let class: Vec<[i32; 16]> = keeping.iter().map(|k| motion.after(k).key()).collect();
            if !class.iter().any(|k| seen.contains(k)) {
                seen.extend(class);
                found.push(motion);
            }
        }
        Ok(found)
    }
}

#[cfg(test)]
mod tests {
    use super::super::{CellAsk, Group, Reach, orbit_net, orbit_solid};
    use super::*;
    use crate::form::net::{bent, polytope};
    use crate::form::{ball, shift};

    fn group(symbol: &str, a: f64) -> Group {
        Group::named(symbol, &CellAsk { a: Some(a), ..CellAsk::default() }).unwrap()
    }

    /// Orders of the groups and of those of their turns (Coxeter, Regular Polytopes, table IV), counted one by one.
    #[test]
    fn all_motions_are_found() {
        for (symbol, order) in [("[3,3,3]", 120), ("[4,3,3]", 384), ("[3,4,3]", 1152), ("[5,2,7]", 140)] {
            let g = group(symbol, 10.0);
            let (normals, radius, _) = g.mirrors().unwrap().hypersphere().unwrap();
            assert_eq!(Turned::new(normals, radius, false).motions.len(), order, "{symbol}");
            let turns = Turned::new(normals, radius, true);
            assert_eq!(turns.motions.len(), order / 2, "{symbol}+");
            assert_eq!(group(&format!("{symbol}+"), 10.0).order(), order / 2);
            // Möbius motions by their parts are the motions themselves.
            for m in turns.motions.iter().step_by(7) {
                let (inversion, then) = turns.parts(m);
                let p = Vec3::new(3.1, -2.2, 7.7);
                let through = match inversion {
                    Some(SpaceMap::Invert { centre: c, radius: r }) => {
                        c + (p - c) * (r * r / (p - c).dot(p - c))
                    }
                    _ => p,
                };
                assert!((then.apply(through) - turns.image(m, p).0).norm() < 1e-8);
            }
        }
    }

    /// One edge of a polytope makes all of it: 32 of the tesseract, 96 of the 24-cell (section 5.6 of the check values).
    #[test]
    fn one_edge_makes_a_polytope() {
        for (symbol, points, edges) in [("[4,3,3]", 16, 32), ("[3,4,3]", 24, 96), ("[3,3,3]", 5, 10)] {
            let whole = polytope(symbol, "1000", 30.0).unwrap();
            let g = group(symbol, 10.0);
            let (normals, radius, _) = g.mirrors().unwrap().hypersphere().unwrap();
            let turned = Turned::new(normals, radius, false);
            // The first corner lies off the first mirror and on the others; its edge goes to its image in that.
            let corner = square_to(&normals[1..]);
            let image: Four =
                std::array::from_fn(|i| corner[i] - 2.0 * dot(&corner, &normals[0]) * normals[0][i]);
            // Along the great circle, so that the images by motions that keep the edge are the same.
            let row = |k: i32| {
                let (t, whole) = (f64::from(k) / 12.0, dot(&corner, &image).acos());
                let (a, b) = ((whole * (1.0 - t)).sin(), (whole * t).sin());
                turned.down(&std::array::from_fn(|i| (a * corner[i] + b * image[i]) / whole.sin()))
            };
            let edge = bent("edge", std::iter::once((0..=12).map(row).collect()));
            let made = orbit_net(&g, &edge, Reach::All).unwrap();
            assert_eq!((made.points().len(), made.edges().len()), (points, edges), "{symbol}");
            assert_eq!(whole.edges().len(), edges);
            assert!(made.sizes().iter().all(|s| *s > 0.0 && *s <= 1.0 + 1e-12));
        }
    }

    /// A unit vector square to three others, by cofactors.
    fn square_to(n: &[Four]) -> Four {
        let minor = |k: usize| {
            let c: Vec<usize> = (0..4).filter(|j| *j != k).collect();
            let at = |i: usize, j: usize| n[i][c[j]];
            at(0, 0) * (at(1, 1) * at(2, 2) - at(1, 2) * at(2, 1))
                - at(0, 1) * (at(1, 0) * at(2, 2) - at(1, 2) * at(2, 0))
                + at(0, 2) * (at(1, 0) * at(2, 1) - at(1, 1) * at(2, 0))
        };
        let v: Four = std::array::from_fn(|k| if k % 2 == 0 { minor(k) } else { -minor(k) });
        let norm = dot(&v, &v).sqrt();
        v.map(|x| x / norm)
    }

    /// A ball about a corner of the 5-cell on the sphere, which space sees as a ball between the ends of its diameter through the
    /// origin: as many images as corners, 5. A ball elsewhere: as many as motions.
    #[test]
    fn images_of_a_ball_are_counted() {
        let g = group("[3,3,3]", 10.0);
        let count = |s: &Solid| match orbit_solid(&g, s, Reach::All).unwrap() {
            Solid::Union(list) => list.len(),
            _ => 1,
        };
        let (normals, _, _) = g.mirrors().unwrap().hypersphere().unwrap();
        let q = square_to(&normals[1..]);
        let half = |more: f64| 0.5 * (libm::acos(q[3]) + more);
        let end = |more: f64| 10.0 * libm::cos(half(more)) / libm::sin(half(more));
        let (near, far) = (end(0.1), end(-0.1));
        let way = Vec3::new(q[0], q[1], q[2]).unit().unwrap();
        let about = |radius: f64, at: Vec3| shift(&ball(radius).unwrap(), at).unwrap();
        assert_eq!(count(&about(0.5 * (far - near), way * (0.5 * (far + near)))), 5);
        assert_eq!(count(&about(0.05, Vec3::new(2.0, 1.3, 3.1))), 120);
    }
}
