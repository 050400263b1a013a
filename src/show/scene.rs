//! What the rays meet: the pieces moved into place and scaled to a unit ball, a tree over their triangles, the ground.

use super::lips;
use super::look::Material;
use super::normals;
use super::render::Piece;
use super::tree::Tree;
use super::vec::{V, v};
use crate::base::{Box3, Vec3};
use crate::shape::Side;
use rayon::prelude::*;

/// How far a ray starts off the surface it left, in scene units (the object's half diagonal is 1).
pub(super) const LIFT: f32 = 1e-4;

/// A triangle as rays meet it: a corner and two edges.
#[derive(Clone, Copy)]
struct Face {
    a: V,
    ab: V,
    ac: V,
}

/// What shading needs to know of a triangle.
#[derive(Clone, Copy)]
struct Skin {
    normals: [[i16; 2]; 3],
    side: Side,
    /// How far the corners belong to the front; see [`lips::fronts`].
    fronts: [i8; 3],
    material: Material,
}

/// Where a ray meets a triangle.
#[derive(Clone, Copy, Debug)]
pub(super) struct Hit {
    /// Distance along the ray.
    pub t: f32,
    /// The place.
    pub place: V,
    /// The place lifted off the facets as a smooth surface would be: rays to the light start here.
    pub lifted: V,
    /// Unit normal of the facet, towards where the ray came from.
    pub flat: V,
    /// Unit smooth normal on the same side.
    pub smooth: V,
    /// Which side is seen.
    pub side: Side,
    /// What it is made of.
    pub material: Material,
    /// True when the ray came from outside.
    pub outer: bool,
}

/// The pieces as rays meet them.
pub(super) struct Scene {
    tree: Tree,
    faces: Vec<Face>,
    skins: Vec<Skin>,
    /// All points that some triangle uses, in scene units.
    pub points: Vec<V>,
    /// Whether any piece is of glass.
    pub glassy: bool,
    /// Height of the ground.
    pub ground: f32,
    /// Horizontal reach of the object about the origin.
    pub reach: f32,
    /// Millimetres to a scene unit.
    pub scale: f64,
    /// The box about everything, mm.
    pub bounds: Box3,
}

impl Scene {
    /// Gathers the pieces; triangles with a corner nowhere or without a point are left out.
    pub fn new(pieces: &[Piece], material: Material) -> Self {
        let bounds = pieces.iter().fold(Box3::EMPTY, |b, piece| b.join(piece.bounds()));
        let known = !bounds.is_empty() && bounds.is_finite() && bounds.size().norm().is_finite();
        let (centre, scale) = match (known, bounds.size().norm() / 2.0) {
            (true, half) if half > 0.0 && half.is_finite() => (bounds.centre(), half),
            (true, _) => (bounds.centre(), 1.0),
            _ => (Vec3::ZERO, 1.0),
        };
        let mut gathered = Gathered::default();
        // What reaches further than numbers do cannot be shown.
        for piece in pieces.iter().filter(|_| known) {
            gathered.add(piece, piece.material.unwrap_or(material), |p| {
                let q = (piece.place.apply(p) - centre) / scale;
                v(q.x as f32, q.y as f32, q.z as f32)
            });
        }
        let ground = gathered.points.iter().fold(f32::INFINITY, |z, p| z.min(p.z));
        let reach = gathered.points.iter().fold(0.0f32, |r, p| r.max(p.x * p.x + p.y * p.y)).sqrt();
        let Gathered { points, triangles, sides, materials } = gathered;
        let corners = |t: &[u32; 3]| t.map(|i| points[i as usize]);
        let ((tree, order), (normals, fronts)) = rayon::join(
            || Tree::new(&triangles.iter().map(corners).collect::<Vec<_>>()),
            || {
                let faces = normals::faces(&points, &triangles);
                let fronts = lips::fronts(points.len(), &triangles, &sides, &faces);
                (normals::corners(&points, &triangles, &faces), fronts)
            },
        );
        let face = |&i: &u32| {
            let [a, b, c] = corners(&triangles[i as usize]);
            Face { a, ab: b - a, ac: c - a }
        };
        let skin = |&i: &u32| Skin {
            normals: normals[i as usize].map(normals::pack),
            side: sides[i as usize],
            fronts: fronts[i as usize],
            material: materials[i as usize],
        };
        Self {
            faces: order.par_iter().map(face).collect(),
            skins: order.par_iter().map(skin).collect(),
            glassy: materials.contains(&Material::Glass),
            tree,
            points,
            ground: if ground.is_finite() { ground } else { -1.0 },
            reach: reach.max(1e-3),
            scale,
            bounds: if known { bounds } else { Box3::new(Vec3::ZERO, Vec3::ZERO) },
        }
    }

    /// True when the ray passes by the ball about everything (the unit ball, with room for rounding).
    fn passes_by(&self, from: V, along: V) -> bool {
        let (way, far) = (from.dot(along), from.dot(from));
        let (leaves, passes) = (way > 0.0 && far > 1.001, far - way * way > 1.001);
        leaves || passes || self.tree.is_empty()
    }

    fn nearest(&self, from: V, along: V) -> Option<(usize, f32)> {
        if self.passes_by(from, along) {
            return None;
        }
        self.tree.nearest(from, along, |i| self.faces[i].cross(from, along))
    }

    /// The first triangle along a ray.
    pub fn meet(&self, from: V, along: V) -> Option<Hit> {
        self.nearest(from, along).map(|(i, t)| self.describe(i, t, from, along))
    }

    /// True when nothing lies between `from` and `reach` along a ray.
    pub fn free(&self, from: V, along: V, reach: f32) -> bool {
        self.passes_by(from, along)
            || !self.tree.any(from, along, reach, |i| self.faces[i].cross(from, along))
    }

    /// The material of the first thing between `from` and infinity, if anything is there.
    pub fn shade_of(&self, from: V, along: V) -> Option<Material> {
        self.nearest(from, along).map(|(i, _)| self.skins[i].material)
    }

    fn describe(&self, i: usize, t: f32, from: V, along: V) -> Hit {
        let (face, skin) = (&self.faces[i], &self.skins[i]);
        let place = from + along * t;
        let (b, c) = face.shares(place);
        let a = 1.0 - b - c;
        let outward = face.ab.cross(face.ac).unit_or(-along);
        let outer = outward.dot(along) < 0.0;
        let sign = if outer { 1.0 } else { -1.0 };
        let [na, nb, nc] = skin.normals.map(|n| normals::unpack(n).unit_or(outward) * sign);
        let flat = outward * sign;
        let mut smooth = (na * a + nb * b + nc * c).unit_or(flat);
        // A smooth normal that looks away from the viewer is turned just far enough to graze.
        let away = smooth.dot(along);
        if away > -0.01 {
            smooth = (smooth - along * (away + 0.01)).unit_or(flat);
        }
        // Lifted to the tangent planes at the corners, so that facets do not shade themselves where light grazes.
        // Source: J. Hanika, "Hacking the shadow terminator", Ray Tracing Gems II, chapter 4, 2021.
        let toward = |corner: V, n: V| n * (place - corner).dot(n).min(0.0);
        let (pb, pc) = (face.a + face.ab, face.a + face.ac);
        let lift = toward(face.a, na) * a + toward(pb, nb) * b + toward(pc, nc) * c;
        let front = skin.fronts.map(f32::from).iter().zip([a, b, c]).map(|(f, share)| f * share).sum::<f32>();
        let own = match skin.side {
            Side::Front | Side::Back if front > 0.0 => Side::Front,
            Side::Front | Side::Back if front < 0.0 => Side::Back,
            side => side,
        };
        let side = match (own, outer) {
            (Side::Front, false) | (Side::Skin, false) => Side::Back,
            (Side::Back, false) => Side::Front,
            (side, _) => side,
        };
        let lifted = place - lift + flat * LIFT;
        Hit { t, place, lifted, flat, smooth, side, material: skin.material, outer }
    }
}

impl Face {
    /// Distance to the triangle along a ray, infinite for a miss. Edges count as inside by a hair, so that no ray slips
    /// between neighbours. Source: T. Möller and B. Trumbore, JGT 2(1), 1997.
    #[inline]
    fn cross(&self, from: V, along: V) -> f32 {
        const HAIR: f32 = -2e-6;
        let p = along.cross(self.ac);
        let inverse = 1.0 / self.ab.dot(p);
        let s = from - self.a;
        let b = s.dot(p) * inverse;
        let q = s.cross(self.ab);
        let c = along.dot(q) * inverse;
        let t = self.ac.dot(q) * inverse;
        // A ray in the plane of the triangle gives no number, and every comparison fails.
        if b >= HAIR && c >= HAIR && b + c <= 1.0 - HAIR && t > 0.0 && t.is_finite() {
            t
        } else {
            f32::INFINITY
        }
    }

    /// Shares of the second and third corner in a place of the triangle.
    fn shares(&self, place: V) -> (f32, f32) {
        let d = place - self.a;
        let (bb, bc, cc) = (self.ab.dot(self.ab), self.ab.dot(self.ac), self.ac.dot(self.ac));
        let (db, dc) = (d.dot(self.ab), d.dot(self.ac));
        let area = bb * cc - bc * bc;
        if area <= 0.0 {
            return (1.0 / 3.0, 1.0 / 3.0);
        }
        let (b, c) = ((cc * db - bc * dc) / area, (bb * dc - bc * db) / area);
        (b.clamp(0.0, 1.0), c.clamp(0.0, 1.0 - b.clamp(0.0, 1.0)))
    }
}

/// All pieces in one list of points and triangles.
#[derive(Default)]
struct Gathered {
    points: Vec<V>,
    triangles: Vec<[u32; 3]>,
    sides: Vec<Side>,
    materials: Vec<Material>,
}

impl Gathered {
    fn add(&mut self, piece: &Piece, material: Material, place: impl Fn(Vec3) -> V) {
        let mesh = piece.mesh;
        // A mirrored piece would be inside out.
        let flip = piece.turns_over();
        let mut index = vec![u32::MAX; mesh.points.len()];
        for (i, t) in mesh.triangles.iter().enumerate() {
            if !t.iter().all(|&k| mesh.points.get(k as usize).is_some_and(|p| p.is_finite())) {
                continue;
            }
            let [a, b, c] = t.map(|k| {
                let slot = &mut index[k as usize];
                if *slot == u32::MAX {
                    *slot = self.points.len() as u32;
                    self.points.push(place(mesh.points[k as usize]));
                }
                *slot
            });
            self.triangles.push(if flip { [a, c, b] } else { [a, b, c] });
            self.sides.push(mesh.sides.get(i).copied().unwrap_or_default());
            self.materials.push(material);
        }
    }
}
