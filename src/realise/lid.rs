//! Round ends: what a section sweeps that turns by half a turn about its y axis, both halves of it at once.
//!
//! Where the halves are not alike, the lid is wider than the section on either side, and flat there.

use std::collections::{BTreeMap, HashSet};

use spade::handles::FixedVertexHandle;
use spade::{ConstrainedDelaunayTriangulation, Point2, Triangulation};

use super::half;
use super::rows::{Size, cell};
use crate::base::Vec2;
use crate::form::Stand;
use crate::shape::Mesh;

type Net = ConstrainedDelaunayTriangulation<Point2<f64>>;

/// Most points of outlines whose halves are not alike.
const MOST: usize = 2000;

/// The outline of both halves of a section laid on one another, x made positive.
pub struct Lid {
    /// Its points; with each the numbers of the section's points on its right and on its left that lie there, all loops in turn.
    pub points: Vec<(Vec2, [Option<usize>; 2])>,
    /// The sides of the outline, the inside to the left; none lies on the axis.
    pub sides: Vec<[usize; 2]>,
    /// What of it is wider than the section's right half, and than its left, in triangles that run counter-clockwise.
    pub flats: [Vec<[usize; 3]>; 2],
}

impl Lid {
    /// The lid over outlines, which get points where their halves meet. Halves within `off` mm of one another are made alike;
    /// what lies nearer than `snap` mm is one. `None` where the halves do not part soundly.
    pub fn over(loops: &mut Vec<Vec<Vec2>>, off: f64, snap: f64) -> Option<Self> {
        half::part(loops, Vec2::new(1.0, 0.0), snap);
        if let Some(twins) = half::mirrored(loops, off) {
            return Some(Self::alike(loops, &twins));
        }
        if loops.iter().map(Vec::len).sum::<usize>() > MOST {
            return None;
        }
        half::meet(loops, snap);
        Self::parted(loops)
    }

    /// Closes a mesh with the lid at an end, whose section's points have these numbers; `back`: before the way. It starts on the right
    /// side of the section and turns until it lies on the left.
    pub fn close(&self, mesh: &mut Mesh, stand: &Stand, row: &[u32], (size, back): (&Size, bool)) {
        let turn = stand.lid(back);
        let count = size.rows(&turn);
        let mut number = |k: usize, (p, halves): &(Vec2, [Option<usize>; 2])| {
            let there = match halves {
                [right, _] if k == 0 || !size.turns(&turn, *p) => *right,
                [_, left] if k == count => *left,
                _ => None,
            };
            there.map_or_else(
                || {
                    mesh.points.push(turn.at(*p, k as f64 / count as f64));
                    mesh.points.len() as u32 - 1
                },
                |j| row[j],
            )
        };
        let rows: Vec<Vec<u32>> =
            (0..=count).map(|k| self.points.iter().map(|p| number(k, p)).collect()).collect();
        for w in rows.windows(2) {
            let [from, to] = if back { [&w[1], &w[0]] } else { [&w[0], &w[1]] };
            self.sides.iter().for_each(|[i, j]| cell(mesh, [[from[*i], from[*j]], [to[*i], to[*j]]]));
        }
        for (half, row) in [&rows[0], &rows[count]].into_iter().enumerate() {
            // Looked at from the right, the left half runs the other way round.
            let turned = (half == 0) != back;
            let flat = self.flats[half].iter().map(|t| t.map(|i| row[i]));
            mesh.triangles.extend(flat.map(|[a, b, c]| if turned { [a, c, b] } else { [a, b, c] }));
        }
    }

    fn alike(loops: &[Vec<Vec2>], twins: &[usize]) -> Self {
        let points: Vec<Vec2> = loops.concat();
        let sides = sides(loops).filter(|s| s.iter().any(|k| points[*k].x > 0.0)).collect();
        let points = points.iter().enumerate().map(|(k, p)| (*p, [Some(k), Some(twins[k])])).collect();
        Self { points, sides, flats: [vec![], vec![]] }
    }

    fn parted(loops: &[Vec<Vec2>]) -> Option<Self> {
        let of: Vec<Vec2> = loops.concat();
        let mut net = Net::new();
        let mut points: Vec<(Vec2, [Option<usize>; 2])> = vec![];
        let mut number = [vec![None; of.len()], vec![None; of.len()]];
        for (k, p) in of.iter().enumerate() {
            for (half, there) in [p.x >= 0.0, p.x <= 0.0]
                .into_iter()
                .enumerate()
                .filter(|h| h.1)
                .map(|h| (h.0, half::image(*p, h.0)))
            {
                let i = net.insert(Point2::new(there.x, there.y)).ok()?.index();
                if i == points.len() {
                    points.push((there, [None, None]));
                }
                points[i].1[half] = Some(k);
                number[half][k] = Some(i);
            }
        }
        // The sides of both halves, as the right one runs.
        let run = |half: usize, [a, b]: [usize; 2]| {
            let [a, b] = [number[half][a]?, number[half][b]?];
            let on_axis = points[a].0.x == 0.0 && points[b].0.x == 0.0;
            (!on_axis).then_some(if half == 0 { [a, b] } else { [b, a] })
        };
        let halves = [0, 1].map(|half| sides(loops).filter_map(|s| run(half, s)).collect::<Vec<_>>());
        for [a, b] in halves.iter().flatten() {
            let [a, b] = [*a, *b].map(FixedVertexHandle::from_index);
            let there = net.get_edge_from_neighbors(a, b).is_some_and(|e| e.is_constraint_edge());
            if !there && !net.can_add_constraint(a, b) {
                return None;
            }
            net.add_constraint(a, b);
        }
        if net.num_vertices() != points.len() {
            return None;
        }
        let holds = |half: usize, p: Vec2| is_inside(loops, half::image(p, half));
        let mut outline = vec![];
        for (half, run) in halves.iter().enumerate() {
            let other = &halves[1 - half];
            for [a, b] in run {
                let shared = other.contains(&[*a, *b]);
                let outer = !shared
                    && !other.contains(&[*b, *a])
                    && !holds(1 - half, points[*a].0.toward(points[*b].0, 0.5));
                if outer || (shared && half == 0) {
                    outline.push([*a, *b]);
                }
            }
        }
        let mut flats = [vec![], vec![]];
        for (t, within) in held(&net, &halves, holds)? {
            match within {
                [false, true] => flats[0].push(t),
                [true, false] => flats[1].push(t),
                _ => {}
            }
        }
        Some(Self { points, sides: outline, flats })
    }
}

/// The triangles of a net, and which halves hold each. One is asked, the largest; across a side of a half the answer changes.
fn held(
    net: &Net,
    halves: &[Vec<[usize; 2]>; 2],
    holds: impl Fn(usize, Vec2) -> bool,
) -> Option<Vec<([usize; 3], [bool; 2])>> {
    let borders = [0, 1].map(|half: usize| {
        halves[half].iter().map(|[a, b]| [*a.min(b), *a.max(b)]).collect::<HashSet<[usize; 2]>>()
    });
    let first = net.inner_faces().max_by(|a, b| a.area().total_cmp(&b.area()))?;
    let middle = Vec2::new(first.center().x, first.center().y);
    let mut found: BTreeMap<usize, ([usize; 3], [bool; 2])> = BTreeMap::new();
    let mut open = vec![(first, [0, 1].map(|half| holds(half, middle)))];
    while let Some((face, within)) = open.pop() {
        let corners = face.vertices().map(|v| v.fix().index());
        if found.insert(face.fix().index(), (corners, within)).is_some() {
            continue;
        }
        for edge in face.adjacent_edges() {
            let [a, b] = [edge.from(), edge.to()].map(|v| v.fix().index());
            let crossed = [0, 1].map(|half: usize| borders[half].contains(&[a.min(b), a.max(b)]));
            let next = edge.rev().face().as_inner().filter(|f| !found.contains_key(&f.fix().index()));
            open.extend(next.map(|f| (f, [within[0] != crossed[0], within[1] != crossed[1]])));
        }
    }
    Some(found.into_values().collect())
}

/// The sides of loops by the numbers of their points, all loops in turn.
fn sides(loops: &[Vec<Vec2>]) -> impl Iterator<Item = [usize; 2]> + '_ {
    let starts = loops.iter().scan(0, |sum, l| Some((std::mem::replace(sum, *sum + l.len()), l.len())));
    starts.flat_map(|(start, n)| (0..n).map(move |k| [start + k, start + (k + 1) % n]))
}

/// True where an odd number of sides lies to the right.
fn is_inside(loops: &[Vec<Vec2>], p: Vec2) -> bool {
    let crosses = |l: &Vec<Vec2>| {
        (0..l.len())
            .filter(|k| {
                let (a, b) = (l[*k], l[(k + 1) % l.len()]);
                (a.y > p.y) != (b.y > p.y) && a.x + (b.x - a.x) * ((p.y - a.y) / (b.y - a.y)) > p.x
            })
            .count()
    };
    loops.iter().map(crosses).sum::<usize>() % 2 == 1
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A square set off to the right covers itself on the right; on the left the lid is as wide, and the rest is flat.
    #[test]
    fn halves_that_differ_leave_flats() {
        let mut loops = vec![[[-2.0, -3.0], [4.0, -3.0], [4.0, 3.0], [-2.0, 3.0]].map(Vec2::from).to_vec()];
        let lid = Lid::over(&mut loops, 1e-3, 1e-6).unwrap();
        let area = |some: &[[usize; 3]]| {
            let of = |t: &[usize; 3]| {
                let [a, b, c] = t.map(|i| lid.points[i].0);
                (b - a).cross(c - a) / 2.0
            };
            some.iter().map(of).sum::<f64>()
        };
        assert_eq!(area(&lid.flats[0]), 0.0);
        assert!((area(&lid.flats[1]) - 12.0).abs() < 1e-9, "{}", area(&lid.flats[1]));
        let long: f64 = lid.sides.iter().map(|[a, b]| (lid.points[*a].0 - lid.points[*b].0).norm()).sum();
        assert!((long - 14.0).abs() < 1e-9, "{long}");
    }
}
