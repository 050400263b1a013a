//! Struts whose corners are rounded where they meet in a point: a ball of a radius laid between two struts of one point fills
//! their corner. Lengths are mm.
//!
//! Where two struts of a point are nearer than 2 R together, each, at a distance d with a slope n, is taken as the plane that it
//! looks like from there. The ball's middle is then the nearest place that is R from all these planes: the shortest step w
//! with n·w ≥ R - d for each. The value is R - |w|. Where one strut alone asks for a step that is its distance, so struts keep
//! their thickness, and the skin turns into the round without a kink. In the plane of two straight struts nothing was
//! approximated where both are met beside their ends: the corner there is the circle of radius R that touches both.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::frame::{Corners, FEW, Frame, around, no_creases, not_beaten, range, with_slope};
use super::strut::Strut;
use crate::base::{Box3, Interval, Vec3};
use crate::formula::Oracle;

/// Normals whose product differs from 1 by less, or three whose volume is less, ask for no step of their own.
const ALIKE: f64 = 1e-10;
/// The slope of a slope is the difference over this part of the step.
const STEP: f64 = 1e-4;

/// Which points the struts of an edge meet others in, and the radius of the round there.
#[derive(Debug)]
pub(super) struct Ends {
    /// For each number that struts have as their edge: one point or two.
    pub(super) points: Vec<[Option<usize>; 2]>,
    /// For each point.
    pub(super) rounds: Vec<f64>,
}

/// The nearest of many struts, their corners rounded.
#[derive(Debug)]
pub(super) struct Rounded {
    frame: Frame,
    ends: Arc<Ends>,
    /// The widest round.
    widest: f64,
    thickest: f64,
}

impl Rounded {
    pub(super) fn new(frame: Frame, ends: Ends) -> Self {
        let widest = ends.rounds.iter().copied().fold(0.0, f64::max);
        let thickest = frame.thickest();
        Self { frame, ends: Arc::new(ends), widest, thickest }
    }

    /// A box that holds all. Between struts of radius r that run nearly side by side the skin lies on (R + r - d) d = R h, d and h
    /// from an axis and from the plane of both: h is at most (R + r)²/4R, R/4 more than r.
    pub(super) fn region(&self) -> Box3 {
        self.frame.region().grown(0.5 * self.widest)
    }

    fn local(&self, region: Box3) -> Option<Local> {
        let struts = self.frame.within(region, 2.0 * (self.widest + self.thickest))?;
        Local::new(struts, &self.ends, region, [self.frame.finest(), self.thickest])
    }
}

/// A point where struts meet, as far as they matter in a box: numbers of struts, edge by edge.
#[derive(Clone, Debug)]
struct Corner {
    round: f64,
    edges: Vec<Vec<usize>>,
}

/// What matters in a box: corners, and struts that no corner there holds.
#[derive(Debug)]
struct Local {
    ends: Arc<Ends>,
    struts: Vec<Strut>,
    corners: Vec<Corner>,
    rest: Vec<usize>,
    /// Thickness of the thinnest strut, and radius of the thickest.
    sizes: [f64; 2],
}

impl Local {
    /// What matters of some struts in a box; `None` when that is much.
    fn new(struts: Vec<Strut>, ends: &Arc<Ends>, region: Box3, sizes: [f64; 2]) -> Option<Self> {
        let known: Vec<Corners> = struts.iter().map(|s| Corners::of(s, region)).collect();
        let near: Vec<f64> = known.iter().map(Corners::lowest).collect();
        // Of the points of struts that reach into the box the edges that do, each with the least distance there.
        let mut points: BTreeMap<usize, BTreeMap<usize, f64>> = BTreeMap::new();
        for (strut, near) in struts.iter().zip(&near) {
            for p in ends.points[strut.edge].into_iter().flatten() {
                let least = points.entry(p).or_default().entry(strut.edge).or_insert(f64::INFINITY);
                *least = least.min(*near);
            }
        }
        for (p, edges) in &mut points {
            edges.retain(|_, least| *least < 2.0 * (ends.rounds[*p] + sizes[1]));
        }
        points.retain(|p, edges| meet(edges.values().copied(), ends.rounds[*p]));
        let held: BTreeSet<usize> = points.values().flat_map(BTreeMap::keys).copied().collect();
        let kept = not_beaten((0..struts.len()).collect(), &known, |k| held.contains(&struts[*k].edge));
        let of_edge = |edge: usize| -> Vec<usize> {
            (0..kept.len()).filter(|k| struts[kept[*k]].edge == edge).collect()
        };
        let corners: Vec<Corner> = points
            .iter()
            .map(|(p, edges)| Corner {
                round: ends.rounds[*p],
                edges: edges.keys().map(|e| of_edge(*e)).collect(),
            })
            .collect();
        let rest = (0..kept.len()).filter(|k| !held.contains(&struts[kept[*k]].edge)).collect();
        let struts: Vec<Strut> = kept.into_iter().map(|k| struts[k]).collect();
        (struts.len() <= FEW).then(|| Self { ends: ends.clone(), struts, corners, rest, sizes })
    }

    fn nearest(&self, of: &[usize], p: Vec3) -> (f64, Vec3) {
        let all = of.iter().map(|k| self.struts[*k].distance(p));
        all.fold((f64::INFINITY, p), |best, found| if found.0 < best.0 { found } else { best })
    }

    /// What the struts of a corner ask for, and the least distance; nothing where the nearest alone decides.
    fn asking(&self, corner: &Corner, p: Vec3, out: &mut Vec<Wall>) -> (f64, Vec3) {
        out.clear();
        let mut best = (f64::INFINITY, p);
        for (k, edge) in corner.edges.iter().enumerate() {
            let found = self.nearest(edge, p);
            let normal = with_slope(p, found).1;
            out.push(Wall { normal, step: corner.round - found.0, edge: k });
            if found.0 < best.0 {
                best = found;
            }
        }
        if !meet(out.iter().map(|w| corner.round - w.step), corner.round) {
            out.clear();
        }
        best
    }

    /// No value is less: the inside of what is thick need not be told apart.
    fn floor(&self) -> f64 {
        -2.0 * self.sizes[1]
    }

    fn value(&self, p: Vec3, walls: &mut Vec<Wall>) -> f64 {
        let mut least = self.nearest(&self.rest, p).0;
        for corner in &self.corners {
            let (far, _) = self.asking(corner, p, walls);
            let found = if walls.len() < 2 {
                far
            } else {
                (corner.round - shortest(walls).0.norm()).max(self.floor())
            };
            least = least.min(found);
        }
        least
    }

    /// Value and slope of one corner.
    fn rounded(&self, corner: &Corner, p: Vec3, walls: &mut Vec<Wall>) -> (f64, Vec3) {
        let nearest = self.asking(corner, p, walls);
        if walls.len() < 2 {
            return with_slope(p, nearest);
        }
        let (w, held) = shortest(walls);
        let (long, parts) = (w.norm(), parts(&held, w));
        if corner.round - long <= self.floor() {
            return (self.floor(), with_slope(p, nearest).1);
        }
        // The step is shortest: its length changes as the planes move, and as they turn by the slopes of their normals.
        let turned = |edge: usize, by: f64| {
            let q = p + w * by;
            with_slope(q, self.nearest(&corner.edges[edge], q)).1
        };
        let slope = held.iter().zip(parts).fold(Vec3::ZERO, |sum, (wall, part)| {
            let turns = (turned(wall.edge, STEP) - turned(wall.edge, -STEP)) * (0.5 / STEP);
            sum + (wall.normal + turns) * (part / long)
        });
        (corner.round - long, slope)
    }

    /// Corners that share a strut, as lists of their numbers.
    fn clusters(&self) -> Vec<Vec<usize>> {
        let touch = |a: &Corner, b: &Corner| a.edges.iter().any(|e| b.edges.contains(e));
        let mut left: Vec<usize> = (0..self.corners.len()).collect();
        let mut found = Vec::new();
        while let Some(first) = left.pop() {
            let mut cluster = vec![first];
            let mut k = 0;
            while k < cluster.len() {
                let here = &self.corners[cluster[k]];
                let (more, others) = left.into_iter().partition(|c| touch(here, &self.corners[*c]));
                cluster.extend::<Vec<usize>>(more);
                left = others;
                k += 1;
            }
            cluster.sort_unstable();
            found.push(cluster);
        }
        found
    }

    /// Some of the corners and some of the rest.
    fn part(&self, corners: &[usize], rest: Vec<usize>) -> Self {
        let mut kept: Vec<usize> = corners
            .iter()
            .flat_map(|c| self.corners[*c].edges.iter().flatten().copied())
            .chain(rest)
            .collect();
        kept.sort_unstable();
        kept.dedup();
        let at = |k: &usize| kept.binary_search(k).unwrap_or(0);
        let corners: Vec<Corner> = corners
            .iter()
            .map(|c| Corner {
                round: self.corners[*c].round,
                edges: self.corners[*c].edges.iter().map(|e| e.iter().map(at).collect()).collect(),
            })
            .collect();
        let held: BTreeSet<usize> = corners.iter().flat_map(|c| c.edges.iter().flatten().copied()).collect();
        Self {
            ends: self.ends.clone(),
            struts: kept.iter().map(|k| self.struts[*k]).collect(),
            rest: (0..kept.len()).filter(|k| !held.contains(k)).collect(),
            corners,
            sizes: self.sizes,
        }
    }

    fn region_of(&self, region: Box3) -> Option<Self> {
        Self::new(self.struts.clone(), &self.ends, region, self.sizes)
    }

    /// True when what is left in a box meets nothing else in a crease.
    fn is_one(&self) -> bool {
        let rest: Vec<Strut> = self.rest.iter().map(|k| self.struts[*k]).collect();
        let round = self.corners.iter().map(|c| c.round).fold(0.0, f64::max);
        let corners = self.corners.iter().flat_map(|c| c.edges.iter().flatten());
        let apart = |k: &usize| rest.iter().all(|s| s.is_apart_by(&self.struts[*k], round));
        self.clusters().len() < 2 && no_creases(&rest) && corners.into_iter().all(apart)
    }
}

/// True when a step from the nearest of some struts may come nearer than R to another: where it is as long as R less one
/// distance, and shortens the other by no more.
fn meet(distances: impl Iterator<Item = f64>, round: f64) -> bool {
    let two = distances.fold([f64::INFINITY; 2], |[a, b], d| if d < a { [d, a] } else { [a, b.min(d)] });
    two[0] + two[1] < 2.0 * round
}

/// A plane that a ball is to keep its distance from: how far it must step along the normal.
#[derive(Clone, Copy, Debug)]
struct Wall {
    normal: Vec3,
    step: f64,
    /// Which edge of the corner it is.
    edge: usize,
}

/// The shortest step that all walls allow, and the walls that hold it there.
///
/// Source: R. Seidel, Discrete Comput. Geom. 6 (1991) 423: what is asked in vain of the best for those before is held by the
/// best for all; for the least norm as for linear programs.
fn shortest(walls: &mut [Wall]) -> (Vec3, Vec<Wall>) {
    walls.sort_by(|a, b| b.step.total_cmp(&a.step).then(a.edge.cmp(&b.edge)));
    let mut best = (Vec3::ZERO, Vec::new());
    held(walls, &mut Vec::with_capacity(3), &mut best);
    best
}

/// The same with some walls that are held; false when those ask for nothing of their own.
fn held(walls: &[Wall], by: &mut Vec<Wall>, best: &mut (Vec3, Vec<Wall>)) -> bool {
    let Some(step) = foot(by) else { return false };
    *best = (step, by.clone());
    if by.len() < 3 {
        for (k, wall) in walls.iter().enumerate() {
            if wall.normal.dot(best.0) < wall.step - 1e-12 * wall.step.abs() {
                by.push(*wall);
                held(&walls[..k], by, best);
                by.pop();
            }
        }
    }
    true
}

/// The shortest step that lies on some planes, at most three; `None` when they are alike.
fn foot(walls: &[Wall]) -> Option<Vec3> {
    match walls {
        [] => Some(Vec3::ZERO),
        [a] => Some(a.normal * a.step),
        [a, b, ..] => {
            let g = a.normal.dot(b.normal);
            let rest = 1.0 - g * g;
            if rest < ALIKE {
                return None;
            }
            let Some(c) = walls.get(2) else {
                let (x, y) = ((a.step - g * b.step) / rest, (b.step - g * a.step) / rest);
                return Some(a.normal * x + b.normal * y);
            };
            let (p, q, r) = (b.normal.cross(c.normal), c.normal.cross(a.normal), a.normal.cross(b.normal));
            let volume = a.normal.dot(p);
            (volume.abs() > ALIKE.sqrt()).then(|| (p * a.step + q * b.step + r * c.step) / volume)
        }
    }
}

/// The parts of a step along the normals of the walls that hold it.
fn parts(walls: &[Wall], w: Vec3) -> [f64; 3] {
    match walls {
        [a] => [a.normal.dot(w), 0.0, 0.0],
        [a, b] => {
            let g = a.normal.dot(b.normal);
            let (x, y, rest) = (a.normal.dot(w), b.normal.dot(w), 1.0 - g * g);
            [(x - g * y) / rest, (y - g * x) / rest, 0.0]
        }
        [a, b, c] => {
            let (p, q, r) = (b.normal.cross(c.normal), c.normal.cross(a.normal), a.normal.cross(b.normal));
            let volume = a.normal.dot(p);
            [p, q, r].map(|d| d.dot(w) / volume)
        }
        _ => [0.0; 3],
    }
}

impl Oracle for Rounded {
    fn sample(&self, p: Vec3) -> (f64, Vec3) {
        match self.local(Box3::new(p, p)) {
            Some(local) => local.sample(p),
            None => self.frame.sample(p),
        }
    }

    fn values(&self, [x, y, z]: [&[f64]; 3], out: &mut [f64]) {
        let mut walls = Vec::new();
        for (((x, y), z), far) in x.iter().zip(y).zip(z).zip(out) {
            let p = Vec3::new(*x, *y, *z);
            let local = self.local(Box3::new(p, p));
            *far = local.map_or_else(|| self.frame.sample(p).0, |l| l.value(p, &mut walls));
        }
    }

    fn bounds(&self, region: Box3) -> Interval {
        if let Some(local) = self.local(region).filter(|_| region.is_finite()) {
            return local.bounds(region);
        }
        let far = self.frame.bounds(region);
        if far.lo >= self.widest { far } else { Interval::new(far.lo.min(-2.0 * self.thickest), far.hi) }
    }

    fn steepest(&self) -> f64 {
        f64::INFINITY
    }

    fn narrow(&self, region: Box3) -> Option<Arc<dyn Oracle>> {
        Some(Arc::new(self.local(region)?))
    }

    fn pieces(&self, region: Box3) -> Option<Vec<Arc<dyn Oracle>>> {
        self.local(region)?.pieces(region)
    }

    fn is_smooth(&self, region: Box3) -> bool {
        self.local(region).is_some_and(|l| l.is_one())
    }

    fn thinnest(&self) -> f64 {
        self.frame.finest()
    }
}

impl Oracle for Local {
    fn sample(&self, p: Vec3) -> (f64, Vec3) {
        let mut best = with_slope(p, self.nearest(&self.rest, p));
        let mut walls = Vec::new();
        for corner in &self.corners {
            let found = self.rounded(corner, p, &mut walls);
            if found.0 < best.0 {
                best = found;
            }
        }
        best
    }

    fn values(&self, [x, y, z]: [&[f64]; 3], out: &mut [f64]) {
        let mut walls = Vec::new();
        for (((x, y), z), far) in x.iter().zip(y).zip(z).zip(out) {
            *far = self.value(Vec3::new(*x, *y, *z), &mut walls);
        }
    }

    fn bounds(&self, region: Box3) -> Interval {
        let middle = self.struts.iter().map(|s| s.distance(region.centre()).0).fold(f64::INFINITY, f64::min);
        let around = around(middle, region);
        let far = if region.is_finite() {
            around.meet(range(&self.struts, region)).unwrap_or(around)
        } else {
            around
        };
        // Between struts a round may fill what is any distance from them.
        let filled = self.corners.iter().any(|c| far.lo < c.round);
        if filled { Interval::new(far.lo.min(self.floor()), far.hi) } else { far }
    }

    fn steepest(&self) -> f64 {
        f64::INFINITY
    }

    fn narrow(&self, region: Box3) -> Option<Arc<dyn Oracle>> {
        let less = self.region_of(region)?;
        let fewer = less.struts.len() < self.struts.len() || less.corners.len() < self.corners.len();
        fewer.then(|| Arc::new(less) as Arc<dyn Oracle>)
    }

    fn pieces(&self, region: Box3) -> Option<Vec<Arc<dyn Oracle>>> {
        let here = self.region_of(region)?;
        let mut edges: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        here.rest.iter().for_each(|k| edges.entry(here.struts[*k].edge).or_default().push(*k));
        let clusters = here.clusters();
        if clusters.len() + edges.len() < 2 {
            return None;
        }
        let rounds = clusters.iter().map(|c| here.part(c, Vec::new()));
        let all = rounds.chain(edges.into_values().map(|rest| here.part(&[], rest)));
        Some(all.map(|one| Arc::new(one) as Arc<dyn Oracle>).collect())
    }

    fn is_smooth(&self, region: Box3) -> bool {
        self.region_of(region).is_some_and(|l| l.is_one())
    }

    fn thinnest(&self) -> f64 {
        self.sizes[0]
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Net, Radius, Rods, crystal, polytope, struts, web};
    use super::*;
    use crate::formula::Tape;

    fn made(net: &Net, radius: f64, joint: f64, fillet: f64) -> Tape {
        let rods = Rods { radius: Radius::Same(radius), joint, least: None, fillet };
        let made = struts(net, &rods).unwrap();
        Tape::new(&made.lower(&mut |_, _| Err(super::super::NetFault::NoEdges)).unwrap()).unwrap()
    }

    /// Along the line that halves the angle between two struts the round's middle is where the planes through their skins,
    /// moved off by R, meet: (r + R)/sin of half the angle away (elementary).
    #[test]
    fn the_corner_of_two_struts_is_an_arc() {
        for degrees in [60.0_f64, 90.0, 109.471, 120.0] {
            let half = 0.5 * degrees.to_radians();
            let arm = |sign: f64| Vec3::new(half.cos(), sign * half.sin(), 0.0) * 40.0;
            let net = web(vec![Vec3::ZERO, arm(1.0), arm(-1.0)], vec![[0, 1], [0, 2]]).unwrap();
            let (r, round) = (1.5, 2.0);
            let tape = made(&net, r, 0.0, round);
            let middle = (r + round) / half.sin();
            for k in 0..10 {
                // Off the middle of the arc, between the perpendiculars to both struts.
                let turn = (std::f64::consts::FRAC_PI_2 - half) * (f64::from(k) / 5.0 - 0.9);
                let p = Vec3::new(middle - round * turn.cos(), round * turn.sin(), 0.0);
                assert!(tape.value(p).abs() < 1e-9, "{degrees} {k} {}", tape.value(p));
            }
        }
    }

    /// Where no other strut of the point is within R the value is the distance to the strut; struts that cross without a common
    /// point are not joined.
    #[test]
    fn struts_keep_their_thickness() {
        let net = crystal("srs", 10.0, 22.0, true).unwrap();
        let (sharp, round) = (made(&net, 1.0, 0.0, 0.0), made(&net, 1.0, 0.0, 1.5));
        let (mut same, mut filled) = (0, 0);
        for i in 0..400 {
            let k = f64::from(i);
            let edge = &net.edges()[i as usize * 7 % net.edges().len()];
            let [a, b] = edge.ends.map(|e| net.points()[e]);
            let along = (b - a).unit().unwrap();
            let across = along.cross(Vec3::new((k * 0.7).sin(), (k * 1.3).cos(), 0.3)).unit().unwrap();
            let part = 0.02 + 0.96 * (k * 0.618).fract();
            let p = a + (b - a) * part + across;
            let (x, y) = (sharp.value(p), round.value(p));
            assert!(y <= x + 1e-12);
            if (0.35..0.65).contains(&part) {
                assert!((x - y).abs() < 1e-12);
                same += 1;
            }
            filled += usize::from(y < x - 0.05);
        }
        assert!(same > 60 && filled > 10, "{same} {filled}");
        let ends = [[-9.0, 0.0, 0.0], [9.0, 0.0, 0.0], [0.0, -9.0, 0.0], [0.0, 9.0, 0.0]].map(Vec3::from);
        let cross = web(ends.to_vec(), vec![[0, 1], [2, 3]]).unwrap();
        let (sharp, round) = (made(&cross, 1.0, 0.0, 0.0), made(&cross, 1.0, 0.0, 3.0));
        let p = Vec3::new(1.3, 1.3, 0.2);
        assert_eq!(sharp.value(p).to_bits(), round.value(p).to_bits());
    }

    /// Slopes are those of the values, in boxes too, and boxes hold their values: straight struts, arcs, and balls in the points.
    #[test]
    fn slopes_and_boxes_agree_with_values() {
        let nets = [
            (crystal("dia", 8.0, 15.0, true).unwrap(), 1.0, 1.6, 1.5),
            (crystal("fcu", 8.0, 12.0, true).unwrap(), 0.8, 0.0, 1.0),
            (polytope("[3,3,3]", "1000", 30.0).unwrap(), 3.0, 0.0, 4.0),
        ];
        let mut scratch = crate::formula::Scratch::default();
        for (net, radius, joint, fillet) in nets {
            let whole = made(&net, radius, joint, fillet);
            let mut looked = 0;
            for i in 0..300 {
                let k = f64::from(i);
                let p = net.points()[i as usize % net.points().len()]
                    + Vec3::new((k * 0.7).sin(), (k * 1.3).cos(), (k * 0.37).sin()) * (radius + 0.7 * fillet);
                let (value, slope) = whole.slope(p, &mut scratch);
                if value.abs() < 0.5 {
                    let step = 1e-5;
                    let along = |axis: usize| {
                        let mut by = [0.0; 3];
                        by[axis] = step;
                        let by = Vec3::from(by);
                        (whole.value(p + by) - whole.value(p - by)) / (2.0 * step)
                    };
                    let found = Vec3::new(along(0), along(1), along(2));
                    // Where the skin passes from strut to round the slope is continuous, its own slope is not.
                    assert!((found - slope).norm() < 2e-4, "{} {i} {found:?} {slope:?}", net.name());
                    looked += 1;
                }
                let region = Box3::new(p - Vec3::splat(0.6), p + Vec3::splat(0.6));
                let (bounds, narrow) = whole.bounds_and_narrow(region);
                for j in 0..20 {
                    let t = f64::from(j);
                    let q = p + Vec3::new((t * 1.1).sin(), (t * 2.3).cos(), (t * 0.7).sin()) * 0.6;
                    let there = whole.value(q);
                    assert!(bounds.holds(there), "{bounds:?} {there}");
                    if let Some(narrow) = &narrow {
                        let near = narrow.value(q);
                        assert!((near - there).abs() < 1e-9 || near.min(there) > fillet, "{near} {there}");
                    }
                }
            }
            assert!(looked > 30, "{} {looked}", net.name());
        }
    }
}
