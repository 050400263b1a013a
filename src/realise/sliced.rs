//! The mesh of sections that change into one another along a way: outlines stand again and again along it, each joined to the next by
//! the triangles whose edges are shortest, corners to corners.
//!
//! Outlines stand so close that half way between two the section is what the triangles have there.

use super::end::end;
use super::lid::Lid;
use super::raised::parted;
use super::rows::Size;
use super::swept::outlines;
use super::{RealiseFault, far_from_chord};
use crate::base::{Vec2, Vec3, Watch};
use crate::form::{Caps, Stand, Swept};
use crate::shape::Mesh;

/// Parts of the tolerance: how far halves of a round end may be apart to be alike, what is one there, how far a turn may be off, and
/// how far the middle of a stretch may be from the section there.
const ALIKE: f64 = 0.1;
const SNAP: f64 = 0.02;
const TURNED: f64 = 0.2;
const OFF: f64 = 0.3;
/// Squares in which outlines are found, at first and where that does not do, and the longest side of one, in tolerances.
const SQUARES: [f64; 2] = [2.0, 0.5];
const LONG: f64 = 24.0;
/// Stretches from one section to the next, to start with, and how often each is halved.
const FIRST: usize = 4;
const HALVINGS: u32 = 9;
/// A corner turns by more than this, radians.
const CORNER: f64 = 0.35;
/// Most pairs of points that are weighed, and most points in all.
const PAIRS: usize = 4_000_000;
const MOST: usize = 4_000_000;

/// The section at a place of the way.
#[derive(Clone)]
struct Slice {
    stand: Stand,
    loops: Vec<Vec<Vec2>>,
    /// The number of its first point.
    first: usize,
}

impl Slice {
    fn places(&self) -> Vec<Vec<Vec3>> {
        self.loops.iter().map(|l| l.iter().map(|p| self.stand.at(*p)).collect()).collect()
    }

    /// The numbers of a loop's points.
    fn numbers(&self, l: usize) -> impl Fn(usize) -> u32 {
        let (start, n) =
            (self.first + self.loops[..l].iter().map(Vec::len).sum::<usize>(), self.loops[l].len());
        move |k| (start + k % n) as u32
    }
}

/// Two loops that are joined, and the edges between them in turn, by the points of either; the last is the first again.
struct Join {
    loops: [usize; 2],
    edges: Vec<[usize; 2]>,
}

/// The mesh of a section with corners that changes along its way; `None` where there are none, where parts join or part, and where
/// outlines do not come close enough.
///
/// # Errors
/// When the watch says stop.
pub fn sliced(swept: &Swept, tolerance: f64, watch: &dyn Watch) -> Result<Option<Mesh>, RealiseFault> {
    for squares in SQUARES {
        let cutter = Cutter { swept, tolerance, squares, watch };
        let Some(slices) = cutter.first()? else { return Ok(None) };
        let sharp = slices.iter().flat_map(|(_, s)| &s.loops).any(|l| !corners(l).is_empty());
        let whole = slices.iter().all(|(_, s)| s.loops.len() == slices[0].1.loops.len());
        if !sharp || !whole {
            return Ok(None);
        }
        if let Some(mesh) = cutter.mesh(slices)? {
            return Ok(Some(mesh));
        }
    }
    Ok(None)
}

/// What cuts a solid into slices.
struct Cutter<'a> {
    swept: &'a Swept,
    tolerance: f64,
    /// Squares in which outlines are found, in tolerances.
    squares: f64,
    watch: &'a dyn Watch,
}

impl Cutter<'_> {
    fn slice(&self, part: f64) -> Result<Option<Slice>, RealiseFault> {
        let loops = outlines(self.swept, part, (self.tolerance, self.squares), self.watch)?;
        let parted = |loops: Vec<Vec<Vec2>>| loops.iter().map(|l| parted(l, LONG * self.tolerance)).collect();
        Ok(loops.map(|loops| Slice { stand: self.swept.route().stand(part), loops: parted(loops), first: 0 }))
    }

    /// The slices to start with, and the part of the way of each. On a closed way the last is the first again.
    fn first(&self) -> Result<Option<Vec<(f64, Slice)>>, RealiseFault> {
        let mut made: Vec<(f64, Slice)> = vec![];
        for w in self.swept.changes().windows(2) {
            for k in 0..FIRST {
                let part = w[0] + (w[1] - w[0]) * k as f64 / FIRST as f64;
                let Some(slice) = self.slice(part)? else { return Ok(None) };
                made.push((part, slice));
            }
        }
        let last =
            if self.swept.is_closed() { made.first().map(|(_, s)| s.clone()) } else { self.slice(1.0)? };
        Ok(last.map(|last| made.into_iter().chain([(1.0, last)]).collect()))
    }

    /// The mesh from these slices on; `None` where they do not come close enough to one another.
    fn mesh(&self, mut slices: Vec<(f64, Slice)>) -> Result<Option<Mesh>, RealiseFault> {
        let closed = self.swept.is_closed();
        let mut lids = vec![];
        if self.swept.caps() == Caps::Round && !closed {
            let last = slices.len() - 1;
            for k in [0, last] {
                let loops = &mut slices[k].1.loops;
                let Some(lid) = Lid::over(loops, ALIKE * self.tolerance, SNAP * self.tolerance) else {
                    return Ok(None);
                };
                lids.push(lid);
            }
        }
        let mut mesh = Mesh::default();
        let mut open: Vec<(f64, Slice, u32)> =
            slices.into_iter().rev().map(|(part, s)| (part, s, 0)).collect();
        let Some((mut gone, start, _)) = open.pop() else { return Ok(None) };
        mesh.points.extend(start.places().concat());
        let mut from = start.clone();
        while let Some((part, mut to, depth)) = open.pop() {
            let middle = 0.5 * (gone + part);
            let Some(between) = self.slice(middle)? else { return Ok(None) };
            let fit = |joins: &Vec<Join>| fits(joins, [&from, &to], &between, OFF * self.tolerance);
            let Some(joins) = joined(&from, &to).filter(fit) else {
                if depth == HALVINGS || mesh.points.len() > MOST {
                    return Ok(None);
                }
                open.extend([(part, to, depth + 1), (middle, between, depth + 1)]);
                continue;
            };
            if !closed || !open.is_empty() {
                to.first = mesh.points.len();
                mesh.points.extend(to.places().concat());
            }
            joins.iter().for_each(|join| join.fill(&mut mesh, [&from, &to]));
            (gone, from) = (part, to);
        }
        let ended = closed || self.end(&mut mesh, [&start, &from], &lids).is_some();
        mesh.compact();
        Ok(ended.then_some(mesh))
    }

    /// Closes both ends, with lids or flat.
    fn end(&self, mesh: &mut Mesh, ends: [&Slice; 2], lids: &[Lid]) -> Option<()> {
        let reach = self.swept.reach();
        let size = Size { reach, off: TURNED * self.tolerance, apart: reach };
        for (k, slice) in ends.into_iter().enumerate() {
            if let Some(lid) = lids.get(k) {
                let row: Vec<u32> = (0..slice.loops.iter().map(Vec::len).sum::<usize>())
                    .map(|i| (slice.first + i) as u32)
                    .collect();
                lid.close(mesh, &slice.stand, &row, (&size, k == 0));
            } else {
                close(mesh, slice, k == 0)?;
            }
        }
        Some(())
    }
}

/// A flat end; `back`: it looks back along the way.
fn close(mesh: &mut Mesh, slice: &Slice, back: bool) -> Option<()> {
    let (_, triangles) = end(&slice.loops, 0)?;
    let numbered = triangles.into_iter().map(|t| t.map(|i| slice.first as u32 + i));
    mesh.triangles.extend(numbered.map(|[a, b, c]| if back { [a, c, b] } else { [a, b, c] }));
    Some(())
}

impl Join {
    /// The triangles between the edges.
    fn fill(&self, mesh: &mut Mesh, slices: [&Slice; 2]) {
        let [low, high] = [0, 1].map(|k| slices[k].numbers(self.loops[k]));
        for w in self.edges.windows(2) {
            let ([i, j], [k, l]) = (w[0], w[1]);
            mesh.triangles.push(if i == k { [low(i), high(l), high(j)] } else { [low(i), low(k), high(j)] });
        }
    }
}

/// How two slices are joined, loop to nearest loop; `None` when those do not come in pairs.
fn joined(low: &Slice, high: &Slice) -> Option<Vec<Join>> {
    if low.loops.len() != high.loops.len() {
        return None;
    }
    let mut taken = vec![false; high.loops.len()];
    let mut joins = vec![];
    for (a, l) in low.loops.iter().enumerate() {
        let far = |m: &[Vec2]| l.iter().map(|p| away(&flat(m), lifted(*p))).sum::<f64>();
        let alike = |b: &usize| (area(l) > 0.0) == (area(&high.loops[*b]) > 0.0);
        let b = (0..high.loops.len())
            .filter(alike)
            .min_by(|i, j| far(&high.loops[*i]).total_cmp(&far(&high.loops[*j])))?;
        if std::mem::replace(&mut taken[b], true) {
            return None;
        }
        joins.push(Join { loops: [a, b], edges: edges(l, &high.loops[b])? });
    }
    Some(joins)
}

fn lifted(p: Vec2) -> Vec3 {
    Vec3::new(p.x, p.y, 0.0)
}

fn flat(l: &[Vec2]) -> Vec<Vec3> {
    l.iter().map(|p| lifted(*p)).collect()
}

fn area(l: &[Vec2]) -> f64 {
    (0..l.len()).map(|k| l[k].cross(l[(k + 1) % l.len()])).sum()
}

/// How far a point is from a closed row of points.
fn away(row: &[Vec3], p: Vec3) -> f64 {
    (0..row.len()).map(|k| far_from_chord(p, row[k], row[(k + 1) % row.len()])).fold(f64::INFINITY, f64::min)
}

/// The edges between two loops: those that join a corner to the nearest, both ways, and between them the row of edges whose squares
/// have the least sum. `None` where corners change their order.
/// Source: H. Fuchs, Z. Kedem, S. Uselton, Communications of the ACM 20 (1977) 693.
fn edges(low: &[Vec2], high: &[Vec2]) -> Option<Vec<[usize; 2]>> {
    let (n, m) = (low.len(), high.len());
    let mut held = alike(low, high);
    if held.is_empty() {
        let pairs = (0..n).flat_map(|i| (0..m).map(move |j| [i, j]));
        let far = |[i, j]: &[usize; 2]| (low[*i] - high[*j]).norm();
        held.push(pairs.min_by(|a, b| far(a).total_cmp(&far(b)))?);
    }
    let steps = |k: usize| {
        let ([i, j], [p, q]) = (held[k], held[(k + 1) % held.len()]);
        if held.len() == 1 { [n, m] } else { [(p + n - i) % n, (q + m - j) % m] }
    };
    if (0..held.len()).map(|k| steps(k)[1]).sum::<usize>() != m {
        return None;
    }
    let mut edges = vec![];
    for (k, [i, j]) in held.iter().enumerate() {
        let [a, b] = steps(k);
        let [one, other] = [(low, *i, a), (high, *j, b)]
            .map(|(l, from, count)| -> Vec<Vec2> { (0..=count).map(|k| l[(from + k) % l.len()]).collect() });
        let row = shortest(&one, &other)?;
        edges.extend(row[..row.len() - 1].iter().map(|[p, q]| [(i + p) % n, (j + q) % m]));
    }
    edges.push(edges[0]);
    Some(edges)
}

/// The corners of a loop.
fn corners(l: &[Vec2]) -> Vec<usize> {
    let n = l.len();
    let turn = |k: &usize| {
        let (a, b) = (l[*k] - l[(k + n - 1) % n], l[(k + 1) % n] - l[*k]);
        libm::atan2(a.cross(b), a.dot(b)).abs() > CORNER
    };
    (0..n).filter(turn).collect()
}

/// Corners of two loops that are nearest to one another, in turn.
fn alike(low: &[Vec2], high: &[Vec2]) -> Vec<[usize; 2]> {
    let (one, other) = (corners(low), corners(high));
    let nearest = |p: Vec2, some: &[usize], l: &[Vec2]| {
        some.iter().copied().min_by(|i, j| (l[*i] - p).norm().total_cmp(&(l[*j] - p).norm()))
    };
    let pairs = one.iter().filter_map(|i| {
        let j = nearest(low[*i], &other, high)?;
        (nearest(high[j], &one, low)? == *i).then_some([*i, j])
    });
    pairs.collect()
}

/// The row of edges from the first points of two rows to the last, of which each goes one point on, whose squares have the least sum.
fn shortest(one: &[Vec2], other: &[Vec2]) -> Option<Vec<[usize; 2]>> {
    let (n, m) = (one.len(), other.len());
    if n * m > PAIRS {
        return None;
    }
    let mut least = vec![0.0; n * m];
    for i in 0..n {
        for j in 0..m {
            let d = one[i] - other[j];
            let before = match (i, j) {
                (0, 0) => 0.0,
                (0, _) => least[j - 1],
                (_, 0) => least[(i - 1) * m],
                _ => f64::min(least[(i - 1) * m + j], least[i * m + j - 1]),
            };
            least[i * m + j] = before + d.dot(d);
        }
    }
    let (mut i, mut j) = (n - 1, m - 1);
    let mut row = vec![[i, j]];
    while i + j > 0 {
        if j == 0 || (i > 0 && least[(i - 1) * m + j] <= least[i * m + j - 1]) {
            i -= 1;
        } else {
            j -= 1;
        }
        row.push([i, j]);
    }
    row.reverse();
    Some(row)
}

/// Whether the section half way is where the triangles pass, within so many mm.
fn fits(joins: &[Join], slices: [&Slice; 2], between: &Slice, off: f64) -> bool {
    let places = slices.map(Slice::places);
    let crossed: Vec<Vec<Vec3>> = joins
        .iter()
        .map(|join| {
            let [low, high] = [0, 1].map(|k| &places[k][join.loops[k]]);
            join.edges[1..].iter().map(|[i, j]| (low[*i] + high[*j]) * 0.5).collect()
        })
        .collect();
    let there = between.places();
    let near = |some: &[Vec<Vec3>], p: &Vec3| some.iter().any(|row| away(row, *p) <= off);
    there.len() == crossed.len()
        && there.iter().flatten().all(|p| near(&crossed, p))
        && crossed.iter().flatten().all(|p| near(&there, p))
}

#[cfg(test)]
mod tests {
    use super::super::swept::swept;
    use super::*;
    use crate::base::Unwatched;
    use crate::form::flat::{Flat, difference, disc, polygon, regular, union};
    use crate::form::{Carried, Curve, Solid, loft, pipe};
    use crate::formula::{Expr, Unary};

    fn made(form: &Solid, tolerance: f64) -> Mesh {
        let mesh = swept(form, tolerance, &Unwatched).unwrap().unwrap();
        assert!(mesh.laws().is_empty(), "{:?}", mesh.laws());
        mesh
    }

    fn square(half: f64) -> Flat {
        let [a, b] = [-half, half];
        polygon(&[[a, a], [b, a], [b, b], [a, b]].map(Vec2::from), 0.0).unwrap()
    }

    /// Between squares outer distances are round, so that where both are inside alone the sides are planes: a frustum less nothing
    /// where the larger one stands below, h(a² + ab + b²)/3. A hole goes through with it.
    #[test]
    fn lofts_of_squares_are_frustums() {
        let frustum = |a: f64, b: f64| 40.0 * (a * a + a * b + b * b) / 3.0;
        let mesh = made(&loft(&[square(12.0), square(10.0)], &[0.0, 40.0], false).unwrap(), 0.02);
        let exact = frustum(24.0, 20.0);
        assert!((mesh.volume() / exact - 1.0).abs() < 2e-3, "{} for {exact}", mesh.volume());
        let ring = [12.0, 10.0].map(|half| difference(&square(half), &disc(5.0).unwrap()));
        let mesh = made(&loft(&ring, &[0.0, 40.0], false).unwrap(), 0.02);
        assert_eq!((mesh.measures().genus, mesh.component_of_triangles().1), (1, 1));
        let exact = exact - 40.0 * 25.0 * std::f64::consts::PI;
        assert!((mesh.volume() / exact - 1.0).abs() < 2e-3, "{} for {exact}", mesh.volume());
    }

    /// The tip of a star runs on into a square along the star's axis: at each height where the distances, of 36 degrees from the tip
    /// and from the side of the square, balance.
    #[test]
    fn tips_of_a_star_run_into_a_square() {
        let form = loft(&[regular(5, 15.0, 2).unwrap(), square(10.0)], &[0.0, 30.0], true).unwrap();
        let mesh = made(&form, 0.05);
        assert_eq!((mesh.measures().genus, mesh.component_of_triangles().1), (0, 1));
        let sin = 18f64.to_radians().sin();
        for k in 0..=20 {
            let z = 1.5 * f64::from(k);
            let t = z / 30.0;
            // (1 - t)(x - 15) sin 18° + t(x - 10) = 0
            let x = ((1.0 - t) * 15.0 * sin + t * 10.0) / ((1.0 - t) * sin + t);
            let p = Vec3::new(x, 0.0, z);
            let edge = |t: &[u32; 3]| {
                let [a, b, c] = t.map(|i| mesh.points[i as usize]);
                [(a, b), (b, c), (c, a)].map(|(a, b)| far_from_chord(p, a, b)).into_iter().fold(9.0, f64::min)
            };
            let off = mesh.triangles.iter().map(edge).fold(9.0, f64::min);
            assert!(off < 0.03, "{z}: {off}");
        }
    }

    /// Pipes of a star and a square: with round ends one body, and on a circle a ring.
    #[test]
    fn pipes_keep_their_edges() {
        let arc = |rise: f64, to: f64| {
            let t = Expr::var("t");
            let [s, c] = [Unary::Sin, Unary::Cos].map(|f| Expr::unary(f, t.clone()) * 30.0);
            Curve::new([c, s, t * rise], "t", (0.0, to)).unwrap()
        };
        let flats = [regular(5, 6.0, 2).unwrap(), square(3.0)];
        let how = Carried { caps: Caps::Round, turns: 1.0, ..Carried::default() };
        let mesh = made(&pipe(&arc(4.0, 4.0), &flats, true, how).unwrap(), 0.05);
        assert_eq!((mesh.measures().genus, mesh.component_of_triangles().1), (0, 1));
        let mesh = made(&pipe(&arc(0.0, std::f64::consts::TAU), &flats, true, how).unwrap(), 0.05);
        assert_eq!((mesh.measures().genus, mesh.component_of_triangles().1), (1, 1));
    }

    /// Discs have no corners, and two squares that become one are no loop to loop.
    #[test]
    fn others_are_left() {
        let left = |flats: &[Flat]| {
            swept(&loft(flats, &[0.0, 30.0], true).unwrap(), 0.05, &Unwatched).unwrap().is_none()
        };
        assert!(left(&[disc(9.0).unwrap(), disc(4.0).unwrap()]));
        let aside = |x: f64| {
            polygon(&[[x, -3.0], [x + 6.0, -3.0], [x + 6.0, 3.0], [x, 3.0]].map(Vec2::from), 0.0).unwrap()
        };
        assert!(left(&[union(&aside(-8.0), &aside(2.0)), square(5.0)]));
    }
}
