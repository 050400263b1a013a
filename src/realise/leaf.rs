//! A surface as a net made ready for its parallel sheets: normals at its points, smaller triangles where it turns, seams
//! sewn together, and ways out of it along its border.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use super::finer::{self, Base};
use super::param::Param;
use crate::base::Vec3;
use crate::shape::Mesh;

/// Rounds of halving.
const ROUNDS: usize = 4;
/// Points of seams come together within this part of the net's extent: they differ by rounding.
const TOGETHER: f64 = 1e-9;
/// Cosine between normals on both sides of a seam under which it is a crease.
const CREASE: f64 = 0.98;
/// Derivatives that enclose less than this part of their square tell no normal; one is looked for this part of the way to
/// the middle of a triangle beside.
const FLAT: f64 = 1e-6;
const BESIDE: f64 = 1e-3;
/// Cosine of the turn of a net's border from which on it has no corner.
const CORNER: f64 = 0.9;

/// A surface as a net, with a normal at each of its points.
pub struct Leaf<'a> {
    /// The net and its normals.
    pub base: Base,
    source: Source<'a>,
}

/// What is known of a surface besides its net.
enum Source<'a> {
    /// A surface in two parameters, the parameters of the points, and derivatives there. What lies at the ends of ranges is in
    /// the net once for each end.
    Param { param: &'a Param, at: Vec<[f64; 2]>, along: Vec<[Vec3; 2]> },
    /// Nothing; the points before and after each point of the border.
    Net(HashMap<u32, [u32; 2]>),
}

/// Which points of a net are one, and whether the normal of one is turned over against that of the first.
pub struct Sewn {
    /// For each point the first that stands there, whatever its normal.
    pub place: Vec<u32>,
    /// For each point the first that it is one with: it stands there and its normal agrees.
    pub first: Vec<u32>,
    /// Its normal is turned over.
    pub turned: Vec<bool>,
    /// Normals of the first points, by means of all.
    pub normals: Vec<Vec3>,
}

impl<'a> Leaf<'a> {
    /// The leaf of a net of a surface in two parameters, with the parameters of its points. On its creases each point comes once
    /// for each side.
    pub fn of_param(param: &'a Param, mut mesh: Mesh, mut at: Vec<[f64; 2]>) -> Self {
        (0..2).for_each(|axis| part_along(param, axis, &mut mesh, &mut at));
        let jets = param.jets(&at);
        let mut normals: Vec<Vec3> =
            jets.iter().map(|[_, u, v]| normal(*u, *v).unwrap_or(Vec3::ZERO)).collect();
        look_beside(param, &mesh, &at, &mut normals);
        let along = jets.iter().map(|[_, u, v]| [*u, *v]).collect();
        Self { base: Base { mesh, normals }, source: Source::Param { param, at, along } }
    }

    /// The leaf of a net that stands for a smooth sheet; `None` where its triangles turn different ways, or three sides of its
    /// border meet in a point.
    pub fn of_net(mesh: Mesh) -> Option<Leaf<'static>> {
        let mut normals = vec![Vec3::ZERO; mesh.points.len()];
        let mut ways = BTreeSet::new();
        for (k, t) in mesh.triangles.iter().enumerate() {
            let [a, b, c] = mesh.corners(k);
            let across = (b - a).cross(c - a);
            t.iter().for_each(|i| normals[*i as usize] += across);
            for side in (0..3).map(|k| [t[k], t[(k + 1) % 3]]) {
                if !ways.insert(side) {
                    return None;
                }
            }
        }
        let mut border: HashMap<u32, [u32; 2]> = HashMap::new();
        for [i, j] in ways.iter().filter(|[i, j]| !ways.contains(&[*j, *i])) {
            for (at, slot, other) in [(i, 1, j), (j, 0, i)] {
                let beside = border.entry(*at).or_insert([u32::MAX; 2]);
                if std::mem::replace(&mut beside[slot], *other) != u32::MAX {
                    return None;
                }
            }
        }
        let normals = normals.into_iter().map(|n| n.unit().unwrap_or(Vec3::ZERO)).collect();
        Some(Leaf { base: Base { mesh, normals }, source: Source::Net(border) })
    }

    /// True where a point lies at the end of a range.
    fn is_at_end(&self, i: u32) -> bool {
        match &self.source {
            Source::Param { param, at, .. } => (0..2).any(|axis| param.is_end(axis, at[i as usize][axis])),
            Source::Net(_) => false,
        }
    }

    /// The way that the border goes at both ends of a side of it; `None` where it is at no end of a range.
    fn border_along(&self, side: [u32; 2]) -> Option<[Vec3; 2]> {
        let place = |i: u32| self.base.mesh.points[i as usize];
        let chord = place(side[1]) - place(side[0]);
        match &self.source {
            Source::Param { param, at, along } => {
                let [p, q] = side.map(|i| at[i as usize]);
                let fixed = (0..2).find(|k| p[*k] == q[*k] && param.is_end(*k, p[*k]))?;
                Some(side.map(|i| {
                    let along = along[i as usize][1 - fixed];
                    if along.dot(chord) < 0.0 { -along } else { along }
                }))
            }
            Source::Net(border) => {
                let way = |i: u32| {
                    let [before, after] = border[&i].map(place);
                    let (come, go) = (place(i) - before, after - place(i));
                    // Where the border turns sharply, it has a corner.
                    if come.dot(go) > CORNER * come.norm() * go.norm() { after - before } else { chord }
                };
                side.iter().all(|i| border.contains_key(i)).then(|| side.map(way))
            }
        }
    }

    /// The ways out of the surface at both ends of a side of its border, square to it and to the normals; `None` where the
    /// side is at no end of a range. The surface lies to the left.
    pub fn ways_out(&self, side: [u32; 2]) -> Option<[Vec3; 2]> {
        let along = self.border_along(side)?;
        let [p, q] = side.map(|i| self.base.mesh.points[i as usize]);
        let out = |k: usize| {
            let n = self.base.normals[side[k] as usize];
            along[k].cross(n).unit().or_else(|| (q - p).cross(n).unit())
        };
        Some([out(0)?, out(1)?])
    }

    /// How far the lip about a side of the border passes from its arc, mm, `half` mm off.
    fn sagitta_of_lip(&self, side: [u32; 2], half: f64) -> f64 {
        let Some([a, b]) = self.ways_out(side) else { return 0.0 };
        let [p, q] = side.map(|i| self.base.mesh.points[i as usize]);
        (q - p + (b - a) * half).norm() * (b - a).norm() / 8.0
    }

    /// The most that a side of a triangle is off in the sheets and lips `half` mm off.
    pub fn most_sagitta(&self, t: &[u32; 3], half: f64) -> f64 {
        let all =
            finer::sides(t).map(|side| self.base.sagitta(side, half).max(self.sagitta_of_lip(side, half)));
        all.into_iter().fold(0.0, f64::max)
    }

    /// Halves the sides that are more than `within` mm off in the sheets and lips `half` mm off, alike on both sides of
    /// seams. False when a point has no normal. A net that stands for a sheet by itself stays as it is.
    pub fn refine(&mut self, half: f64, within: f64) -> bool {
        if matches!(self.source, Source::Net(_)) {
            return true;
        }
        for _ in 0..ROUNDS {
            let Some(sewn) = self.sewn() else { return false };
            let name = |[i, j]: [u32; 2]| {
                let (a, b) = (sewn.place[i as usize], sewn.place[j as usize]);
                [a.min(b), a.max(b)]
            };
            let mut sides: Vec<[u32; 2]> = self.base.mesh.triangles.iter().flat_map(finer::sides).collect();
            sides.sort_unstable();
            sides.dedup();
            let off = |side: &[u32; 2]| self.base.sagitta(*side, half).max(self.sagitta_of_lip(*side, half));
            let wrong: BTreeSet<[u32; 2]> =
                sides.iter().filter(|side| off(side) > within).map(|side| name(*side)).collect();
            if wrong.is_empty() {
                break;
            }
            let halved: Vec<[u32; 2]> =
                sides.into_iter().filter(|side| wrong.contains(&name(*side))).collect();
            self.halve(&halved);
        }
        true
    }

    fn halve(&mut self, sides: &[[u32; 2]]) {
        let Source::Param { param, at, along } = &mut self.source else { return };
        let middle = |[i, j]: &[u32; 2]| [0, 1].map(|k| 0.5 * (at[*i as usize][k] + at[*j as usize][k]));
        let middles: Vec<[f64; 2]> = sides.iter().map(middle).collect();
        let mut made = HashMap::new();
        for ((side, middle), [p, u, v]) in sides.iter().zip(&middles).zip(param.jets(&middles)) {
            if let Some(normal) = normal(u, v).filter(|_| p.is_finite()) {
                made.insert(*side, at.len() as u32);
                self.base.mesh.points.push(p);
                self.base.normals.push(normal);
                at.push(*middle);
                along.push([u, v]);
            }
        }
        let old = std::mem::take(&mut self.base.mesh.triangles);
        for t in old {
            let middles = finer::sides(&t).map(|side| made.get(&side).copied());
            finer::parts(t, middles, &mut self.base.mesh.triangles);
        }
    }

    /// Which points at the ends of ranges are one. `None` when one has no normal.
    pub fn sewn(&self) -> Option<Sewn> {
        let points = &self.base.mesh.points;
        let mut sewn = Sewn {
            place: (0..points.len() as u32).collect(),
            first: (0..points.len() as u32).collect(),
            turned: vec![false; points.len()],
            normals: self.base.normals.clone(),
        };
        let least = TOGETHER * self.base.mesh.bounds().size().largest();
        let mut near: HashMap<[i64; 3], Vec<u32>> = HashMap::new();
        let ends = (0..points.len() as u32).filter(|i| self.is_at_end(*i));
        for i in ends {
            let p = points[i as usize];
            let cell = p.array().map(|x| libm::floor(x / (4.0 * least)) as i64);
            // What lies too far off for whole numbers is at their end.
            let near_cell = |k: i64| [k % 3 - 1, k / 3 % 3 - 1, k / 9 - 1];
            let around = (0..27).map(|k| {
                let by = near_cell(k);
                [0, 1, 2].map(|axis| cell[axis].saturating_add(by[axis]))
            });
            let there: Vec<u32> = around
                .filter_map(|c| near.get(&c))
                .flatten()
                .copied()
                .filter(|j| (points[*j as usize] - p).norm() <= least)
                .collect();
            if let Some(j) = there.first() {
                sewn.place[i as usize] = sewn.place[*j as usize];
            }
            if !there.iter().any(|j| sewn.join(i, *j)) {
                near.entry(cell).or_default().push(i);
            }
        }
        let mut whole = true;
        for n in &mut sewn.normals {
            *n = n.unit().unwrap_or(Vec3::ZERO);
            whole &= *n != Vec3::ZERO;
        }
        whole.then_some(sewn)
    }
}

impl Sewn {
    /// Makes a point one with a first one, if their normals agree.
    fn join(&mut self, i: u32, first: u32) -> bool {
        let (n, all) = (self.normals[i as usize], self.normals[first as usize]);
        let turn = n.dot(all);
        if !(turn.abs() >= CREASE * n.norm() * all.norm()) {
            return false;
        }
        let turned = turn < 0.0;
        self.first[i as usize] = first;
        self.turned[i as usize] = turned;
        self.normals[first as usize] += if turned { -n } else { n };
        true
    }
}

/// Doubles the points on the lines along which a surface turns suddenly and one parameter does not change: those of either side
/// have the parameter as one comes to the line on that side.
fn part_along(param: &Param, axis: usize, mesh: &mut Mesh, at: &mut Vec<[f64; 2]>) {
    for (crease, [before, after]) in param.creases(axis) {
        let mut beyond: HashMap<u32, u32> = HashMap::new();
        for t in &mut mesh.triangles {
            let is_beyond =
                t.iter().map(|i| at[*i as usize][axis] - crease).sum::<f64>() * (after - before) > 0.0;
            for i in t.iter_mut() {
                if !is_beyond || at[*i as usize][axis] != crease {
                    continue;
                }
                *i = *beyond.entry(*i).or_insert_with(|| {
                    mesh.points.push(mesh.points[*i as usize]);
                    at.push(at[*i as usize]);
                    mesh.points.len() as u32 - 1
                });
            }
        }
        for (old, new) in beyond {
            at[old as usize][axis] = before;
            at[new as usize][axis] = after;
        }
    }
}

/// Normals at poles, by places near them.
fn look_beside(param: &Param, mesh: &Mesh, at: &[[f64; 2]], normals: &mut [Vec3]) {
    let mut beside: BTreeMap<u32, [f64; 2]> = BTreeMap::new();
    for t in &mesh.triangles {
        for i in t.iter().filter(|i| normals[**i as usize] == Vec3::ZERO) {
            let middle = [0, 1].map(|k| t.iter().map(|i| at[*i as usize][k]).sum::<f64>() / 3.0);
            let from = at[*i as usize];
            beside.entry(*i).or_insert([0, 1].map(|k| from[k] + BESIDE * (middle[k] - from[k])));
        }
    }
    let places: Vec<[f64; 2]> = beside.values().copied().collect();
    for (i, [_, u, v]) in beside.keys().zip(param.jets(&places)) {
        normals[*i as usize] = normal(u, v).unwrap_or(Vec3::ZERO);
    }
}

fn normal(u: Vec3, v: Vec3) -> Option<Vec3> {
    let n = u.cross(v);
    n.unit().filter(|_| n.norm() > FLAT * u.norm() * v.norm())
}
