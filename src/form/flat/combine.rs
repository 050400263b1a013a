//! Set operations on regions that keep arcs and curves.
//!
//! Each piece is cut into short straight ones, which a library joins on an integer grid (i_overlay: no chance, no
//! rounding of crossings into one another). Every edge that comes out still says which piece it came from; runs of one
//! piece are put back as a part of the true arc or curve, and the ends of runs are moved to where the true pieces cross.

use std::collections::BTreeMap;

use i_overlay::core::edge_data::{EdgeDataMerge, OverlayEdgeData};
use i_overlay::core::edge_overlay::{EdgeOverlay, InputEdge};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::ShapeType;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;
use i_overlay::segm::boolean::ShapeCountBoolean;
use i_overlay::vector::edge::DataVectorEdge;

use super::path::{Path, extent};
use super::segment::Segment;
use crate::base::Vec2;

/// Steps of the grid over the extent of what is joined; a power of two.
const GRID: f64 = (1_u64 << 42) as f64;
/// Ends nearer than this part of the extent are one point.
const WELD: f64 = 1e-9;
/// How far a straight stand-in may lie from its piece, as a part of the extent. It decides which pieces are seen to
/// cross, not where.
const CHORD: f64 = 4e-6;
/// A loop is dropped when its area is less than this part of the extent times its length: what welding leaves.
const SLIVER: f64 = 4e-9;

/// How regions are joined.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// Points of either.
    Union,
    /// Points of both.
    Intersection,
    /// Points of the first that are not in the second.
    Difference,
}

/// Which points a set of loops holds, by how often the loops go round them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fill {
    /// Those that loops go round at least once more counter-clockwise than clockwise.
    Positive,
    /// Those that loops go round, whichever way.
    NonZero,
    /// Those that loops go round an odd number of times.
    Odd,
}

/// Where an edge came from: the piece, and which of its straight stand-ins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Origin {
    piece: u32,
    step: u32,
}

impl OverlayEdgeData for Origin {
    type Store = ();

    /// Of edges that lie on one another, the one that was given first speaks for both.
    fn merge(of: EdgeDataMerge<ShapeCountBoolean, Self>, (): &mut ()) -> Self {
        let (a, b) = (of.lhs_data, of.rhs_data);
        if (a.piece, a.step) <= (b.piece, b.step) { a } else { b }
    }
}

/// The loops around the points that the rule chooses: outer ones counter-clockwise, holes clockwise, none crossing
/// another. Open paths are left out.
pub fn combine(a: &[Path], b: &[Path], rule: Rule, fill: Fill) -> Vec<Path> {
    let size = extent(a).max(extent(b));
    let (low, high) = super::path::bounds(&[a, b].concat());
    let size = size.max(high.x - low.x).max(high.y - low.y);
    if !(size.is_finite() && size > 0.0) {
        return Vec::new();
    }
    let mut work = Work {
        grid: Grid { low, step: size / GRID },
        chord: size * CHORD,
        pieces: Vec::new(),
        corners: Vec::new(),
    };
    let mut overlay = EdgeOverlay::new(64);
    let mut weld = Weld::new(low, size * WELD);
    for (paths, side) in [(a, ShapeType::Subject), (b, ShapeType::Clip)] {
        for path in paths.iter().filter(|p| p.closed) {
            work.add(path, &mut weld, side, &mut overlay);
        }
    }
    let rule = match rule {
        Rule::Union => OverlayRule::Union,
        Rule::Intersection => OverlayRule::Intersect,
        Rule::Difference => OverlayRule::Difference,
    };
    let fill = match fill {
        Fill::Positive => FillRule::Positive,
        Fill::NonZero => FillRule::NonZero,
        Fill::Odd => FillRule::EvenOdd,
    };
    let shapes = overlay.build_vector_shapes(rule, fill);
    let loops = shapes.iter().flatten().map(|contour| work.rebuilt(contour).tidy(size * WELD));
    loops.filter(|path| path.pieces.len() > 1 && path.area().abs() > size * SLIVER * path.length()).collect()
}

/// Numbers to whole steps and back.
struct Grid {
    low: Vec2,
    step: f64,
}

impl Grid {
    fn to(&self, p: Vec2) -> IntPoint<i64> {
        let q = (p - self.low) / self.step;
        IntPoint::new(q.x.round() as i64, q.y.round() as i64)
    }

    fn back(&self, p: IntPoint<i64>) -> Vec2 {
        self.low + Vec2::new(p.x as f64, p.y as f64) * self.step
    }
}

/// Points nearer than a distance become one: the first that was seen there.
struct Weld {
    low: Vec2,
    size: f64,
    seen: BTreeMap<(i64, i64), Vec<Vec2>>,
}

impl Weld {
    fn new(low: Vec2, size: f64) -> Self {
        Self { low, size, seen: BTreeMap::new() }
    }

    fn point(&mut self, p: Vec2) -> Vec2 {
        let cell = (p - self.low) / (2.0 * self.size);
        let (i, j) = (cell.x.floor() as i64, cell.y.floor() as i64);
        for (di, dj) in [(0, 0), (-1, 0), (1, 0), (0, -1), (0, 1), (-1, -1), (-1, 1), (1, -1), (1, 1)] {
            let near = self.seen.get(&(i + di, j + dj)).into_iter().flatten();
            if let Some(found) = near.into_iter().find(|q| (**q - p).norm() <= self.size) {
                return *found;
            }
        }
        self.seen.entry((i, j)).or_default().push(p);
        p
    }
}

/// What is known of the pieces while they are joined.
struct Work {
    grid: Grid,
    chord: f64,
    pieces: Vec<Segment>,
    /// The corners of the straight stand-ins of each piece, on the grid.
    corners: Vec<Vec<IntPoint<i64>>>,
}

/// A stretch of an outgoing loop along one piece.
struct Run {
    piece: usize,
    forward: bool,
    from: (usize, IntPoint<i64>),
    to: (usize, IntPoint<i64>),
}

impl Work {
    fn add(&mut self, path: &Path, weld: &mut Weld, side: ShapeType, overlay: &mut EdgeOverlay<i64, Origin>) {
        for piece in &path.pieces {
            let piece = piece.with_ends(weld.point(piece.start()), weld.point(piece.end()));
            // Pieces that lie on one another run both ways: cut them alike.
            let (s, e) = (piece.start(), piece.end());
            let turned = (e.x, e.y) < (s.x, s.y);
            let canon = if turned { piece.reversed() } else { piece };
            let count = canon.pieces(self.chord);
            let at = |i: usize| match i {
                0 => canon.start(),
                i if i == count => canon.end(),
                i => canon.at(i as f64 / count as f64),
            };
            let mut corners: Vec<IntPoint<i64>> = (0..=count).map(|i| self.grid.to(at(i))).collect();
            if turned {
                corners.reverse();
            }
            let number = self.pieces.len() as u32;
            for (step, w) in corners.windows(2).enumerate() {
                let data = Origin { piece: number, step: step as u32 };
                overlay.add_edge(InputEdge { a: w[0], b: w[1], data }, side);
            }
            self.pieces.push(piece);
            self.corners.push(corners);
        }
    }

    /// True when an edge runs the way its piece does.
    fn forward(&self, e: &DataVectorEdge<i64, Origin>) -> bool {
        let corners = &self.corners[e.data.piece as usize];
        let (u, v) = (corners[e.data.step as usize], corners[e.data.step as usize + 1]);
        let (own, its) = (self.grid.back(e.b) - self.grid.back(e.a), self.grid.back(v) - self.grid.back(u));
        own.dot(its) >= 0.0
    }

    /// The true loop of an outgoing contour.
    fn rebuilt(&self, contour: &[DataVectorEdge<i64, Origin>]) -> Path {
        let mut runs: Vec<Run> = Vec::new();
        for e in contour {
            let (piece, step, forward) = (e.data.piece as usize, e.data.step as usize, self.forward(e));
            match runs.last_mut() {
                Some(run) if run.goes_on(piece, step, forward) => run.to = (step, e.b),
                _ => runs.push(Run { piece, forward, from: (step, e.a), to: (step, e.b) }),
            }
        }
        // The contour may start in the middle of a run.
        if runs.len() > 1 {
            let (first, last) = (&runs[0], &runs[runs.len() - 1]);
            if last.goes_on(first.piece, first.from.0, first.forward) {
                let to = first.to;
                runs.remove(0);
                if let Some(last) = runs.last_mut() {
                    last.to = to;
                }
            }
        }
        let count = runs.len();
        let joints: Vec<Vec2> = (0..count).map(|i| self.joint(&runs[i], &runs[(i + 1) % count])).collect();
        let pieces = runs
            .iter()
            .enumerate()
            .map(|(i, run)| self.part(run, joints[(i + count - 1) % count], joints[i]));
        Path { pieces: pieces.collect(), closed: true }
    }

    /// The value of `t` on a piece of a point of the grid on its stand-in.
    fn place(&self, piece: usize, (step, p): (usize, IntPoint<i64>)) -> f64 {
        let corners = &self.corners[piece];
        let count = corners.len() - 1;
        if p == corners[0] && step == 0 {
            return 0.0;
        }
        if p == corners[count] && step + 1 == count {
            return 1.0;
        }
        let (a, b, q) = (self.grid.back(corners[step]), self.grid.back(corners[step + 1]), self.grid.back(p));
        let d = b - a;
        let along = if d.dot(d) > 0.0 { ((q - a).dot(d) / d.dot(d)).clamp(0.0, 1.0) } else { 0.0 };
        (step as f64 + along) / count as f64
    }

    /// Where one run ends and the next starts: an end that both know, or the true crossing.
    fn joint(&self, one: &Run, next: &Run) -> Vec2 {
        let (a, b) = (&self.pieces[one.piece], &self.pieces[next.piece]);
        let (mut t, mut u) = (self.place(one.piece, one.to), self.place(next.piece, next.from));
        let rough = self.grid.back(one.to.1);
        let ends = [(t, a), (u, b)].into_iter().find(|(t, _)| *t == 0.0 || *t == 1.0);
        if let Some((t, piece)) = ends {
            return if t == 0.0 { piece.start() } else { piece.end() };
        }
        for _ in 0..12 {
            let (gap, da, db) = (b.at(u) - a.at(t), a.slope(t), b.slope(u));
            let det = da.cross(db);
            if det.abs() <= 1e-9 * da.norm() * db.norm() {
                return rough;
            }
            let (dt, du) = (gap.cross(db) / det, gap.cross(da) / det);
            (t, u) = (t + dt, u + du);
            if dt.abs().max(du.abs()) < 1e-15 {
                break;
            }
        }
        let found = a.at(t.clamp(0.0, 1.0));
        // Near-tangent pieces cross far from where their stand-ins do; beyond what those may be off, stay.
        if (found - rough).norm() <= 200.0 * self.chord { found } else { rough }
    }

    /// The part of a piece that a run covers, between its joints.
    fn part(&self, run: &Run, from: Vec2, to: Vec2) -> Segment {
        let piece = &self.pieces[run.piece];
        let exact = |rough: f64, p: Vec2| match rough {
            t if t == 0.0 || t == 1.0 => t,
            t => match piece {
                Segment::Line(..) => t,
                _ => piece.nearest(p).1,
            },
        };
        let (a, b) = (exact(self.place(run.piece, run.from), from), exact(self.place(run.piece, run.to), to));
        let part = if run.forward { piece.part(a, b) } else { piece.part(b, a).reversed() };
        part.with_ends(from, to)
    }
}

impl Run {
    /// True when an edge on a piece continues this run.
    fn goes_on(&self, piece: usize, step: usize, forward: bool) -> bool {
        let next = if forward {
            step == self.to.0 || step == self.to.0 + 1
        } else {
            step == self.to.0 || step + 1 == self.to.0
        };
        piece == self.piece && forward == self.forward && next
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;

    fn area(paths: &[Path]) -> f64 {
        paths.iter().map(Path::area).sum()
    }

    fn circle(x: f64, y: f64, r: f64) -> Vec<Path> {
        vec![Path::circle(Vec2::new(x, y), r)]
    }

    /// The lens of two unit circles at distance 1 has area 2π/3 - √3/2 (elementary).
    #[test]
    fn two_circles_share_a_lens_of_two_arcs() {
        let (a, b) = (circle(0.0, 0.0, 1.0), circle(1.0, 0.0, 1.0));
        let lens = 2.0 * PI / 3.0 - 3.0_f64.sqrt() / 2.0;
        let both = combine(&a, &b, Rule::Intersection, Fill::NonZero);
        assert!((area(&both) - lens).abs() < 1e-12, "{}", area(&both) - lens);
        assert_eq!(both.len(), 1);
        assert!(both[0].pieces.iter().all(|s| matches!(s, Segment::Arc(..))) && both[0].pieces.len() <= 4);
        let either = combine(&a, &b, Rule::Union, Fill::NonZero);
        assert!((area(&either) - (2.0 * PI - lens)).abs() < 1e-12);
        let moon = combine(&a, &b, Rule::Difference, Fill::NonZero);
        assert!((area(&moon) - (PI - lens)).abs() < 1e-12);
        let radius = moon[0].pieces.iter().filter_map(Segment::round).map(|r| r.radius);
        assert!(radius.fold(0.0, |far: f64, r| far.max((r - 1.0).abs())) < 1e-9);
    }

    #[test]
    fn a_hole_is_clockwise_and_nothing_is_left_of_nothing() {
        let ring = combine(&circle(0.0, 0.0, 5.0), &circle(1.0, 1.0, 2.0), Rule::Difference, Fill::NonZero);
        assert_eq!(ring.len(), 2);
        assert!((area(&ring) - 21.0 * PI).abs() < 1e-11);
        assert!(ring.iter().any(|p| p.area() < 0.0));
        assert!(
            combine(&circle(0.0, 0.0, 1.0), &circle(0.0, 0.0, 1.0), Rule::Difference, Fill::NonZero)
                .is_empty()
        );
        assert!(combine(&[], &[], Rule::Union, Fill::NonZero).is_empty());
    }

    #[test]
    fn tiles_that_share_edges_become_one_without_seams() {
        let hexagon = |c: Vec2| {
            let corner = |k: i32| c + Vec2::at_angle(f64::from(k) * PI / 3.0);
            Path::polygon(&(0..6).map(corner).collect::<Vec<_>>())
        };
        let s = 3.0_f64.sqrt();
        let mut tiles = Vec::new();
        for i in -6..=6 {
            for j in -6..=6 {
                tiles.push(hexagon(Vec2::new(1.5 * f64::from(i), s * (f64::from(j) + 0.5 * f64::from(i)))));
            }
        }
        let one = combine(&tiles, &[], Rule::Union, Fill::NonZero);
        assert_eq!(one.len(), 1, "{:?}", one.iter().map(Path::area).collect::<Vec<_>>());
        assert!((area(&one) - 169.0 * 1.5 * s).abs() < 1e-9);
    }

    /// Areas of curves against the same with very many straight pieces.
    #[test]
    fn curves_survive_and_measure_as_their_polygons() {
        let at = Vec2::new;
        let leaf = Path {
            pieces: vec![
                Segment::Cubic(at(0.0, 0.0), at(3.0, 4.0), at(7.0, 4.0), at(10.0, 0.0)),
                Segment::Cubic(at(10.0, 0.0), at(7.0, -2.0), at(3.0, -2.0), at(0.0, 0.0)),
            ],
            closed: true,
        }
        .reversed();
        let fine = Path::polygon(&leaf.points(1e-7));
        let disc = circle(5.0, 2.0, 2.5);
        for rule in [Rule::Union, Rule::Intersection, Rule::Difference] {
            let (a, b) = (
                combine(std::slice::from_ref(&leaf), &disc, rule, Fill::NonZero),
                combine(std::slice::from_ref(&fine), &disc, rule, Fill::NonZero),
            );
            assert!((area(&a) - area(&b)).abs() < 1e-5, "{rule:?} {} {}", area(&a), area(&b));
            assert!(a.iter().flat_map(|p| &p.pieces).all(|s| !matches!(s, Segment::Line(..))));
            assert!(a.iter().map(|p| p.pieces.len()).sum::<usize>() < 12);
        }
    }
}
