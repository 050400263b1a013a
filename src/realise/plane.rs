//! Where a solid meets a level plane: the plane alone is sampled, square by square, and corners are put where the outline
//! turns within a square.

use std::collections::BTreeMap;

use super::field::Field;
use super::{RealiseFault, Started};
use crate::base::{Box3, Tolerance, Vec2, Vec3, Watch};
use crate::form::Solid;
use crate::formula::{Scratch, Tape};

/// Side of a square, in tolerances.
const SQUARE: f64 = 2.0;
/// Squares along a side of a block.
const SIDE: i32 = 16;
/// More squares than this along a side are refused.
const MOST: f64 = 20_000.0;
/// Halvings of an edge of a square, until the crossing is known to a millionth of it.
const HALVINGS: usize = 20;
/// An outline that turns by more than this within a square, as a cosine (15 degrees), has a corner there.
const STRAIGHT: f64 = 0.966;
/// A tip beyond its square is where the value is no more than this part of a square from zero.
const TIP: f64 = 0.1;

/// An edge of the squares: where it starts, and whether it runs along x.
type Edge = (i32, i32, bool);

struct Plane<'a> {
    origin: Vec2,
    height: f64,
    step: f64,
    whole: &'a Field,
    scratch: Scratch,
    /// Crossings with the slopes there.
    crossings: BTreeMap<Edge, (Vec2, Vec2)>,
    /// From each crossing to the next, the inside to the left; and the corner between.
    next: BTreeMap<Edge, (Edge, Option<Vec2>)>,
}

/// The outlines of a solid's section at a height, each a row of points, those of regions counter-clockwise; `extent` is a
/// box that holds the solid.
///
/// # Errors
/// As for solids; nothing is there when no outline is found.
pub fn section(
    form: &Solid,
    extent: Box3,
    height: f64,
    tolerance: Tolerance,
    watch: &dyn Watch,
) -> Result<Vec<Vec<Vec2>>, RealiseFault> {
    let started = Started::new(form, super::CELL * tolerance.mm(), watch)?;
    let step = SQUARE * tolerance.mm();
    let size = extent.size();
    if !(size.x.max(size.y) / step < MOST) {
        return Err(RealiseFault::TooLarge);
    }
    // Squares lie askew to round numbers, so that straight edges do not run along them.
    let origin = Vec2::new(extent.min.x - 2.137 * step, extent.min.y - 2.271 * step);
    let blocks = [size.x, size.y].map(|s| ((s / step + 5.0) / f64::from(SIDE)).ceil() as i32);
    let mut plane = Plane {
        origin,
        height,
        step,
        whole: &started.field,
        scratch: Scratch::default(),
        crossings: BTreeMap::new(),
        next: BTreeMap::new(),
    };
    let mut widest = 1;
    while widest < blocks[0].max(blocks[1]) {
        widest *= 2;
    }
    let mut open: Vec<([i32; 2], i32, Tape)> = vec![([0, 0], widest, started.field.tape.clone())];
    while let Some((at, wide, tape)) = open.pop() {
        watch.check()?;
        if at[0] >= blocks[0] || at[1] >= blocks[1] {
            continue;
        }
        let (range, narrow) = tape.bounds_and_narrow(plane.region(at, wide));
        if range.lo > 0.0 || range.hi < 0.0 {
            continue;
        }
        let tape = narrow.unwrap_or(tape);
        if wide == 1 {
            plane.block(at.map(|k| k * SIDE), &tape);
            continue;
        }
        let half = wide / 2;
        open.extend(
            [[0, 0], [1, 0], [0, 1], [1, 1]]
                .map(|d| ([at[0] + d[0] * half, at[1] + d[1] * half], half, tape.clone())),
        );
    }
    let rows = plane.rows();
    if rows.is_empty() { Err(RealiseFault::Empty) } else { Ok(rows) }
}

impl Plane<'_> {
    fn point(&self, i: i32, j: i32) -> Vec2 {
        self.origin + Vec2::new(f64::from(i), f64::from(j)) * self.step
    }

    fn lifted(&self, p: Vec2) -> Vec3 {
        Vec3::new(p.x, p.y, self.height)
    }

    fn region(&self, at: [i32; 2], wide: i32) -> Box3 {
        let corner = |k: i32| self.lifted(self.point((at[0] + k) * SIDE, (at[1] + k) * SIDE));
        Box3::new(corner(0), corner(wide))
    }

    fn block(&mut self, [x, y]: [i32; 2], tape: &Tape) {
        let points = SIDE as usize + 1;
        let line = |from: i32, axis: usize| -> Vec<f64> {
            (0..=SIDE)
                .map(|k| if axis == 0 { self.point(from + k, 0).x } else { self.point(0, from + k).y })
                .collect()
        };
        let (xs, ys) = (line(x, 0), line(y, 1));
        let mut values = vec![0.0; points * points];
        tape.values_grid(&xs, &ys, &[self.height], &mut values, &mut self.scratch);
        let inside = |i: i32, j: i32| values[i as usize + points * j as usize] < 0.0;
        for j in 0..SIDE {
            for i in 0..SIDE {
                let corners = [inside(i, j), inside(i + 1, j), inside(i + 1, j + 1), inside(i, j + 1)];
                if corners != [corners[0]; 4] {
                    self.square([x + i, y + j], corners, tape);
                }
            }
        }
    }

    /// The outline's ways through one square, told by which of its corners are inside, counter-clockwise.
    fn square(&mut self, [i, j]: [i32; 2], corners: [bool; 4], tape: &Tape) {
        let edges: [Edge; 4] = [(i, j, true), (i + 1, j, false), (i, j + 1, true), (i, j, false)];
        let ends = [
            [(i, j), (i + 1, j)],
            [(i + 1, j), (i + 1, j + 1)],
            [(i, j + 1), (i + 1, j + 1)],
            [(i, j), (i, j + 1)],
        ];
        for k in 0..4 {
            if corners[k] != corners[(k + 1) % 4] {
                let [a, b] = ends[k].map(|(i, j)| self.point(i, j));
                self.cross(edges[k], a, b, tape);
            }
        }
        let twice = corners[0] == corners[2] && corners[1] == corners[3];
        let joined =
            twice && tape.value(self.lifted(self.point(i, j).toward(self.point(i + 1, j + 1), 0.5))) < 0.0;
        for k in (0..4).filter(|k| corners[*k] && !corners[(k + 1) % 4]) {
            // Where the way round the square leaves the inside, the outline comes in; it goes where that way enters: the next
            // such place when inside corners hang together, else the one before.
            let enters = |m: &usize| !corners[*m] && corners[(*m + 1) % 4];
            let steps = [1, 2, 3].map(|n| if joined { (k + n) % 4 } else { (k + 4 - n) % 4 });
            let Some(to) = steps.into_iter().find(|m| enters(m)) else { continue };
            let corner = self.corner(edges[k], edges[to]);
            self.next.insert(edges[k], (edges[to], corner));
        }
    }

    /// Finds where the outline crosses an edge, and the slope there.
    fn cross(&mut self, edge: Edge, a: Vec2, b: Vec2, tape: &Tape) {
        if self.crossings.contains_key(&edge) {
            return;
        }
        let first = tape.value(self.lifted(a)) < 0.0;
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if (tape.value(self.lifted(a.toward(b, middle))) < 0.0) == first {
                low = middle
            } else {
                high = middle
            }
        }
        let p = a.toward(b, 0.5 * (low + high));
        // The slope on the inner side, where the branch that ends here holds.
        let inner = a.toward(b, if first { low } else { high });
        let slope = self.whole.slope(self.lifted(inner), &mut self.scratch).1;
        self.crossings.insert(edge, (p, Vec2::new(slope.x, slope.y)));
    }

    /// Where the straight lines along the outline at two crossings meet, when it turns between them.
    fn corner(&self, a: Edge, b: Edge) -> Option<Vec2> {
        let (&(p, m), &(q, n)) = (self.crossings.get(&a)?, self.crossings.get(&b)?);
        let (m, n) = (m.unit()?, n.unit()?);
        if m.dot(n) > STRAIGHT {
            return None;
        }
        let turn = m.cross(n);
        if turn.abs() < 1e-3 {
            return None;
        }
        // m·x = m·p and n·x = n·q.
        let (s, t) = (m.dot(p), n.dot(q));
        let x = Vec2::new(s * n.y - t * m.y, t * m.x - s * n.x) / turn;
        let far = (x - p.toward(q, 0.5)).norm();
        // A narrow tip reaches beyond the square between lattice points that do not see it.
        let half = 0.5 * libm::atan2(turn.abs(), -m.dot(n));
        let reaches = || {
            far <= self.step * (1.5 + 0.5 / libm::tan(half))
                && self.whole.tape.value(self.lifted(x)).abs() <= TIP * self.step
        };
        (far <= 1.5 * self.step || reaches()).then_some(x)
    }

    fn rows(mut self) -> Vec<Vec<Vec2>> {
        let mut rows = Vec::new();
        while let Some((&first, _)) = self.next.iter().next() {
            let (mut at, mut row) = (first, Vec::new());
            while let Some((to, corner)) = self.next.remove(&at) {
                row.extend(self.crossings.get(&at).map(|c| c.0));
                row.extend(corner);
                at = to;
            }
            rows.push(row);
        }
        rows
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::Unwatched;
    use crate::form::{ball, block, difference, ring, shift, turn, union};

    fn area(form: &Solid, height: f64) -> (f64, usize) {
        let tolerance = Tolerance::new(0.05).unwrap();
        let extent = crate::realise::extent(form).unwrap();
        let rows = section(form, extent, height, tolerance, &Unwatched).unwrap();
        let one = |row: &Vec<Vec2>| {
            (0..row.len()).map(|i| row[i].cross(row[(i + 1) % row.len()])).sum::<f64>() * 0.5
        };
        (rows.iter().map(one).sum(), rows.len())
    }

    #[test]
    fn sections_have_the_areas_of_circles_and_rectangles() {
        let pi = std::f64::consts::PI;
        let (found, count) = area(&ring(20.0, 6.0).unwrap(), 2.0);
        // The plane cuts the tube at distances 20 ± √32 from the axis: 4π·20·√32.
        assert!((found / (80.0 * pi * 32.0_f64.sqrt()) - 1.0).abs() < 1e-4 && count == 2, "{found} {count}");
        let bar = turn(&block(Vec3::new(30.0, 17.0, 9.0)).unwrap(), Vec3::new(0.0, 0.0, 1.0), 23.0).unwrap();
        let (found, _) = area(&bar, 1.0);
        assert!((found - 510.0).abs() < 1e-3, "{found}");
        let holed = difference(&bar, &ball(5.0).unwrap()).unwrap();
        let (found, count) = area(&holed, 3.0);
        assert!((found - (510.0 - 16.0 * pi)).abs() < 0.02 && count == 2, "{found}");
        let apart =
            union(&ball(5.0).unwrap(), &shift(&ball(5.0).unwrap(), Vec3::new(30.0, 0.0, 0.0)).unwrap());
        assert_eq!(area(&apart.unwrap(), 3.0).1, 2);
    }
}
