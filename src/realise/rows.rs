//! Rows of points that follow one another along a way, each an outline of a section as it stands there, joined to a mesh.

use super::end::end;
use super::lid::Lid;
use crate::base::{Vec2, Vec3};
use crate::form::{Corner, Stand, Turn};
use crate::shape::Mesh;

/// Most points, and most rows of one straight stretch.
const MOST: usize = 4_000_000;
const FAR: f64 = 4000.0;
/// Rows that follow one another turn by no more than this, radians, so that the picture shows them as round.
const TURN: f64 = 0.35;
/// A point turns about a line when it is further from it than this part of the reach.
const ASIDE: f64 = 1e-9;

/// How large a section is and how fine its rows are, mm.
pub struct Size {
    /// How far it reaches from the way.
    pub reach: f64,
    /// How far lines from row to row may be off.
    pub off: f64,
    /// Rows of a straight stretch are no further apart.
    pub apart: f64,
}

impl Size {
    /// The number of rows that a turn takes.
    pub fn rows(&self, turn: &Turn) -> usize {
        let step = 2.0 * libm::acos((1.0 - self.off / self.reach).clamp(-1.0, 1.0));
        (turn.angle / step.min(TURN)).ceil().max(1.0) as usize
    }

    /// True for a point of the section that takes part in a turn.
    pub fn turns(&self, turn: &Turn, p: Vec2) -> bool {
        p.dot(turn.outward) > ASIDE * self.reach
    }
}

/// Rows of points, all with as many points in each loop.
pub struct Rows<'a> {
    loops: &'a [Vec<Vec2>],
    mesh: Mesh,
    /// The numbers of the points of each row, all loops in turn.
    rows: Vec<Vec<u32>>,
}

impl<'a> Rows<'a> {
    pub fn new(loops: &'a [Vec<Vec2>]) -> Self {
        Self { loops, mesh: Mesh::default(), rows: vec![] }
    }

    /// A row of new points, but where there is none: there the point before stays. `None` when they are too many.
    fn row(&mut self, at: impl Fn(usize, Vec2) -> Option<Vec3>) -> Option<()> {
        let points = &mut self.mesh.points;
        let before = self.rows.last();
        let number = |(j, p): (usize, &Vec2)| match at(j, *p) {
            Some(place) => {
                points.push(place);
                Some(points.len() as u32 - 1)
            }
            None => before.map(|row| row[j]),
        };
        let row: Option<Vec<u32>> = self.loops.iter().flatten().enumerate().map(number).collect();
        self.rows.push(row?);
        (self.mesh.points.len() <= MOST).then_some(())
    }

    /// The next row: the section as it stands.
    pub fn stand(&mut self, stand: &Stand) -> Option<()> {
        self.row(|_, p| Some(stand.at(p)))
    }

    /// Rows up to a corner and round it.
    pub fn corner(&mut self, corner: &Corner, size: &Size) -> Option<()> {
        let turning = |p: Vec2| corner.turn.as_ref().filter(|turn| size.turns(turn, p));
        let come = |p: Vec2| turning(p).map_or_else(|| corner.stand.at(p), |turn| turn.at(p, 0.0));
        if let Some(row) = self.rows.last() {
            let from: Vec<Vec3> = row.iter().map(|i| self.mesh.points[*i as usize]).collect();
            let far = self.loops.iter().flatten().zip(&from).map(|(p, q)| (come(*p) - *q).norm());
            let count = (far.fold(0.0, f64::max) / size.apart).ceil().clamp(1.0, FAR) as usize;
            for k in 1..count {
                let share = k as f64 / count as f64;
                self.row(|j, p| Some(from[j] + (come(p) - from[j]) * share))?;
            }
        }
        self.row(|_, p| Some(come(p)))?;
        let Some(turn) = &corner.turn else { return Some(()) };
        let count = size.rows(turn);
        (1..=count).try_for_each(|k| self.row(|_, p| turning(p).map(|t| t.at(p, k as f64 / count as f64))))
    }

    /// Joins two rows; cells that have shrunk to a line are none. `which` tells of a side, by its points, whether it has a cell.
    fn join(&mut self, [from, to]: [&[u32]; 2], which: impl Fn(usize, usize) -> bool) {
        let mut first = 0;
        for l in self.loops {
            for k in 0..l.len() {
                let (i, j) = (first + k, first + (k + 1) % l.len());
                if which(i, j) {
                    cell(&mut self.mesh, [[from[i], from[j]], [to[i], to[j]]]);
                }
            }
            first += l.len();
        }
    }

    fn join_all(&mut self) {
        let rows = std::mem::take(&mut self.rows);
        rows.windows(2).for_each(|w| self.join([&w[0], &w[1]], |_, _| true));
        self.rows = rows;
    }

    /// The mesh of a way that closes: the last row lies where the first does, point on point within so many mm or corner by corner
    /// as both go round.
    pub fn home(mut self, within: f64) -> Option<Mesh> {
        let come: Vec<Vec3> = self.rows.pop()?.iter().map(|i| self.mesh.points[*i as usize]).collect();
        self.mesh.points.truncate(self.mesh.points.len() - come.len());
        self.join_all();
        let first = self.rows.first()?.clone();
        let last = self.rows.last()?.clone();
        let mut from = 0;
        for l in self.loops {
            let here = from..from + l.len();
            let off = |j: usize| (come[j] - self.mesh.points[first[j] as usize]).norm();
            if here.clone().all(|j| off(j) <= within) {
                let mut only = vec![false; come.len()];
                only[here.clone()].fill(true);
                self.join([&last, &first], |i, _| only[i]);
            } else {
                self.zip(&last[here.clone()], &come[here.clone()], &first)?;
            }
            from = here.end;
        }
        Some(self.mesh)
    }

    /// Joins an outline, whose points would come to lie at `come`, to the first outline there, corner by corner as both go
    /// round.
    fn zip(&mut self, from: &[u32], come: &[Vec3], home: &[u32]) -> Option<()> {
        let starts = self.loops.iter().scan(0, |sum, l| {
            let start = *sum;
            *sum += l.len();
            Some((start, l.len()))
        });
        let place = |j: usize| self.mesh.points[home[j] as usize];
        let pairs = starts
            .flat_map(|(start, n)| (0..n).flat_map(move |j| (0..come.len()).map(move |i| (i, j, start, n))));
        let far = |(i, j, start, _): &(usize, usize, usize, usize)| (come[*i] - place(start + j)).norm();
        let (i, j, start, n) = pairs.min_by(|a, b| far(a).total_cmp(&far(b)))?;
        let m = come.len();
        let gone = |place: &dyn Fn(usize) -> Vec3, count: usize| {
            let mut gone = vec![0.0];
            for k in 0..count {
                gone.push(gone[k] + (place(k + 1) - place(k)).norm());
            }
            let whole = gone[count];
            gone.into_iter().map(|g| g / whole).collect::<Vec<f64>>()
        };
        let one = gone(&|k| come[(i + k) % m], m);
        let two = gone(&|k| place(start + (j + k) % n), n);
        let (mut a, mut b) = (0, 0);
        while a < m || b < n {
            let (p, q) = (from[(i + a) % m], home[start + (j + b) % n]);
            let t = if b == n || (a < m && one[a + 1] <= two[b + 1]) {
                a += 1;
                [p, from[(i + a) % m], q]
            } else {
                b += 1;
                [p, home[start + (j + b) % n], q]
            };
            self.mesh.triangles.push(t);
        }
        Some(())
    }

    /// The mesh with flat ends.
    pub fn ends(mut self) -> Option<Mesh> {
        self.join_all();
        let (_, triangles) = end(self.loops, 0)?;
        let [first, last] = [self.rows.first()?, self.rows.last()?];
        for t in triangles {
            let [a, b, c] = t.map(|i| i as usize);
            self.mesh.triangles.extend([[first[a], first[c], first[b]], [last[a], last[b], last[c]]]);
        }
        Some(self.mesh)
    }

    /// The mesh with round ends, as the section stands there.
    pub fn lids(mut self, stands: [Stand; 2], lid: &Lid, size: &Size) -> Option<Mesh> {
        self.join_all();
        let [first, last] = [self.rows.first()?.clone(), self.rows.last()?.clone()];
        lid.close(&mut self.mesh, &stands[0], &first, (size, true));
        lid.close(&mut self.mesh, &stands[1], &last, (size, false));
        self.mesh.compact();
        Some(self.mesh)
    }
}

/// The triangles of a cell between two rows, parted along the shorter way; where points are the same, one or none.
pub fn cell(mesh: &mut Mesh, [[a, b], [d, c]]: [[u32; 2]; 2]) {
    let far = |i: u32, j: u32| (mesh.points[i as usize] - mesh.points[j as usize]).norm();
    let two = if far(a, c) <= far(b, d) { [[a, b, c], [a, c, d]] } else { [[a, b, d], [b, c, d]] };
    mesh.triangles.extend(two.into_iter().filter(|[a, b, c]| a != b && b != c && c != a));
}
