//! The lines of a net as cords that pass over and under each other by turns. Lengths are mm.
//!
//! On a plane and on a ball every such net can be passed over and under by turns (P. G. Tait, Trans. R. Soc. Edinburgh 28
//! (1879) 145); on other surfaces some cannot.

use std::collections::VecDeque;
use std::f64::consts::PI;

use super::struts::places;
use super::{Net, NetFault};
use crate::base::Vec3;
use crate::form::{Curve, join, polyline, through, together};

/// Points nearer to a plane or a ball than this part of the extent lie in it.
const FLAT: f64 = 1e-6;
/// Least pieces of an edge: between two crossings a cord goes from one side to the other.
const PIECES: usize = 8;
/// Cosine of the angle past which a turn is a corner.
const CORNER: f64 = 0.96;

/// The cords along the lines of a net, `lift` mm outward where they go over another, and as far inward where under. A line runs
/// straight on through a point of four edges, turns in one of two and ends in one of one. Outward is away from the mean of the
/// points, or along the normal of their plane. Between points of one ball the lines lie on it too.
///
/// # Errors
/// [`NetFault::Unfit`] where another number of edges meets, and for a net whose lines cannot pass by turns.
pub fn woven(net: &Net, lift: f64) -> Result<Curve, NetFault> {
    crate::form::fault::positive("lift", lift)?;
    let web = Web::of(net)?;
    let over = web.passes()?;
    let ways = web.ways();
    if ways.is_empty() {
        return Err(NetFault::NoEdges);
    }
    let cords: Result<Vec<Curve>, NetFault> = ways.iter().map(|way| web.cord(way, &over, lift)).collect();
    Ok(together(&cords?)?)
}

/// One end of an edge: the edge, and whether it leaves its first point.
type Leaves = (usize, bool);

/// A net with the order of the edges about each point.
struct Web<'a> {
    net: &'a Net,
    mean: Vec3,
    /// The normal of the plane of all points, if they have one.
    plane: Option<Vec3>,
    /// The places along each edge.
    rows: Vec<Vec<Vec3>>,
    /// The edges that leave each point, counter-clockwise seen from outside.
    around: Vec<Vec<Leaves>>,
}

impl<'a> Web<'a> {
    fn of(net: &'a Net) -> Result<Self, NetFault> {
        let points = net.points();
        let mean = points.iter().fold(Vec3::ZERO, |sum, p| sum + *p) / points.len().max(1) as f64;
        let plane = plane_of(points, mean);
        let ball = ball_of(points, mean).filter(|_| plane.is_none());
        let onto = |p: Vec3| match (ball, (p - mean).unit()) {
            (Some(radius), Some(out)) => mean + out * radius,
            _ => p,
        };
        let rows = net.edges().iter().map(|edge| {
            let pieces = if edge.between.is_empty() { PIECES } else { 1 };
            halved(places(net, edge, pieces).into_iter().map(|p| p.0).collect())
                .into_iter()
                .map(onto)
                .collect()
        });
        let mut around = vec![Vec::new(); points.len()];
        for (k, edge) in net.edges().iter().enumerate() {
            around[edge.ends[0]].push((k, true));
            around[edge.ends[1]].push((k, false));
        }
        let mut web = Self { net, mean, plane, rows: rows.collect(), around };
        for (point, p) in points.iter().enumerate() {
            let mut leaving = std::mem::take(&mut web.around[point]);
            if ![0, 1, 2, 4].contains(&leaving.len()) {
                return Err(NetFault::Unfit(format!(
                    "{} edges meet at {:.2}, {:.2}, {:.2}: cords pass over and under two by two",
                    leaving.len(),
                    p.x,
                    p.y,
                    p.z
                )));
            }
            let first = leaving.first().map_or(Vec3::ZERO, |l| web.next(*l) - *p);
            let up = web.outward(*p);
            let angle = |l: &Leaves| {
                let way = web.next(*l) - *p;
                libm::atan2(up.dot(first.cross(way)), (first - up * first.dot(up)).dot(way))
                    .rem_euclid(2.0 * PI)
            };
            // The first one itself lies at 0.
            let mut sorted: Vec<(f64, Leaves)> = leaving.drain(..).map(|l| (angle(&l), l)).collect();
            if let Some(own) = sorted.first_mut() {
                own.0 = 0.0;
            }
            sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
            web.around[point] = sorted.into_iter().map(|s| s.1).collect();
        }
        Ok(web)
    }

    fn outward(&self, p: Vec3) -> Vec3 {
        self.plane.or_else(|| (p - self.mean).unit()).unwrap_or(Vec3::new(0.0, 0.0, 1.0))
    }

    /// The place next to a point along an edge that leaves it.
    fn next(&self, (edge, first): Leaves) -> Vec3 {
        let row = &self.rows[edge];
        if first { row[1] } else { row[row.len() - 2] }
    }

    /// The point that an edge leads to.
    fn leads_to(&self, (edge, first): Leaves) -> usize {
        self.net.edges()[edge].ends[usize::from(first)]
    }

    /// Where a line that comes along an edge goes on, and the place of that edge about the point.
    fn onward(&self, (edge, first): Leaves) -> (usize, Option<Leaves>) {
        let around = &self.around[self.leads_to((edge, first))];
        let here = around.iter().position(|l| *l == (edge, !first)).unwrap_or(0);
        let on = match around.len() {
            2 => Some(around[1 - here]),
            4 => Some(around[(here + 2) % 4]),
            _ => None,
        };
        (here, on)
    }

    /// For each point of four edges, whether the line of its first edge goes over.
    fn passes(&self) -> Result<Vec<bool>, NetFault> {
        let mut over: Vec<Option<bool>> = vec![None; self.around.len()];
        for start in (0..over.len()).filter(|k| self.around[*k].len() == 4) {
            if over[start].is_some() {
                continue;
            }
            over[start] = Some(true);
            let mut queue = VecDeque::from([start]);
            while let Some(at) = queue.pop_front() {
                for (k, leaves) in self.around[at].iter().enumerate() {
                    let here = over[at] == Some(k % 2 == 0);
                    let Some((to, place)) = self.crossing(*leaves) else { continue };
                    // Over here, under there.
                    let there = here != (place % 2 == 0);
                    match over[to] {
                        None => {
                            over[to] = Some(there);
                            queue.push_back(to);
                        }
                        Some(known) if known != there => {
                            return Err(NetFault::Unfit(
                                "its lines cannot pass over and under by turns: it lies on no ball and no plane".into(),
                            ));
                        }
                        _ => {}
                    }
                }
            }
        }
        Ok(over.into_iter().map(|o| o == Some(true)).collect())
    }

    /// The next point of four edges along a line, and the place about it of the edge that leads there.
    fn crossing(&self, mut leaves: Leaves) -> Option<(usize, usize)> {
        for _ in 0..=self.rows.len() {
            let to = self.leads_to(leaves);
            let (here, on) = self.onward(leaves);
            if self.around[to].len() == 4 {
                return Some((to, here));
            }
            leaves = on?;
        }
        None
    }

    /// All lines as rows of edges: those with ends first.
    fn ways(&self) -> Vec<Vec<Leaves>> {
        let mut used = vec![false; self.rows.len()];
        let mut ways = Vec::new();
        let ends = self.around.iter().filter(|a| a.len() == 1).flatten().copied();
        for start in ends.chain((0..self.rows.len()).map(|k| (k, true))) {
            let mut way = Vec::new();
            let mut next = Some(start);
            while let Some(leaves) = next.filter(|l| !used[l.0]) {
                used[leaves.0] = true;
                way.push(leaves);
                next = self.onward(leaves).1;
            }
            if !way.is_empty() {
                ways.push(way);
            }
        }
        ways
    }

    /// The cord along a line.
    fn cord(&self, way: &[Leaves], over: &[bool], lift: f64) -> Result<Curve, NetFault> {
        let start = |(edge, first): Leaves| self.net.edges()[edge].ends[usize::from(!first)];
        let closed =
            self.leads_to(way[way.len() - 1]) == start(way[0]) && self.around[start(way[0])].len() > 1;
        let mut rows: Vec<Vec<Vec3>> = Vec::with_capacity(way.len());
        let mut heights: Vec<Option<f64>> = Vec::with_capacity(way.len() + 1);
        let height = |leaves: Leaves| {
            let (around, point) = (&self.around[start(leaves)], start(leaves));
            let place = around.iter().position(|l| *l == leaves).unwrap_or(0);
            let up = (place % 2 == 0) == over[point];
            (around.len() == 4).then_some(if up { lift } else { -lift })
        };
        for leaves in way {
            let mut row = self.rows[leaves.0].clone();
            if !leaves.1 {
                row.reverse();
            }
            rows.push(row);
            heights.push(height(*leaves));
        }
        let last = way[way.len() - 1];
        heights.push(if closed { heights[0] } else { height((last.0, !last.1)) });
        self.raised(rows, &heights, closed)
    }

    /// The curve along rows of places that follow one another, raised between the heights known at their ends.
    fn raised(&self, rows: Vec<Vec<Vec3>>, heights: &[Option<f64>], closed: bool) -> Result<Curve, NetFault> {
        let long = |row: &Vec<Vec3>| row.windows(2).map(|w| (w[1] - w[0]).norm()).sum::<f64>();
        let mut at = vec![0.0];
        rows.iter().for_each(|row| at.push(at[at.len() - 1] + long(row)));
        let known: Vec<(f64, f64)> = at.iter().zip(heights).filter_map(|(s, h)| Some((*s, (*h)?))).collect();
        let whole = at[at.len() - 1];
        let height = |s: f64| between(&known, s, closed.then_some(whole));
        let mut parts: Vec<Vec<Vec3>> = vec![];
        let mut s = 0.0;
        let mut comes: Option<Vec3> = None;
        for row in &rows {
            let leaves = (row[1] - row[0]).unit();
            let turns = comes.zip(leaves).is_some_and(|(a, b)| a.dot(b) < CORNER);
            if parts.is_empty() || turns {
                parts.push(vec![row[0] + self.outward(row[0]) * height(s)]);
            }
            for w in row.windows(2) {
                s += (w[1] - w[0]).norm();
                let place = w[1] + self.outward(w[1]) * height(s);
                parts.iter_mut().last().into_iter().for_each(|part| part.push(place));
                comes = (w[1] - w[0]).unit();
            }
        }
        let first = (rows[0][1] - rows[0][0]).unit();
        let smooth = closed && comes.zip(first).is_some_and(|(a, b)| a.dot(b) >= CORNER);
        if smooth && parts.len() == 1 {
            let mut ring = parts.remove(0);
            ring.pop();
            return Ok(through(&ring, true)?);
        }
        if smooth && let Some(last) = parts.pop() {
            // The way does not start in a corner: its last part and its first are one.
            let start = parts.remove(0);
            parts.insert(0, [&last[..last.len() - 1], &start].concat());
        }
        let curve =
            |part: &Vec<Vec3>| if part.len() > 2 { through(part, false) } else { polyline(part, false) };
        let curves: Vec<Curve> = parts.iter().map(curve).collect::<Result<_, _>>()?;
        Ok(join(&curves)?)
    }
}

/// The normal of the plane that all points lie in.
fn plane_of(points: &[Vec3], mean: Vec3) -> Option<Vec3> {
    let far = points.iter().map(|p| *p - mean).max_by(|a, b| a.norm().total_cmp(&b.norm()))?;
    let across = points.iter().map(|p| far.cross(*p - mean)).max_by(|a, b| a.norm().total_cmp(&b.norm()))?;
    let normal = across.unit()?;
    let flat = points.iter().all(|p| (*p - mean).dot(normal).abs() <= FLAT * far.norm());
    // Up, so that what goes over is on top.
    flat.then_some(if normal.z < 0.0 { -normal } else { normal })
}

/// The radius of the ball about the mean that all points lie on.
fn ball_of(points: &[Vec3], mean: Vec3) -> Option<f64> {
    let radius = (*points.first()? - mean).norm();
    points.iter().all(|p| ((*p - mean).norm() - radius).abs() <= FLAT * radius).then_some(radius)
}

/// A row with places halfway between its own until they are enough.
fn halved(mut row: Vec<Vec3>) -> Vec<Vec3> {
    while row.len() <= PIECES {
        let middles: Vec<Vec3> = row.windows(2).flat_map(|w| [w[0], (w[0] + w[1]) * 0.5]).collect();
        row = middles.into_iter().chain(row.last().copied()).collect();
    }
    row
}

/// The height at a length between two known ones, level at both; before the first and after the last it stays, or goes round.
fn between(known: &[(f64, f64)], s: f64, whole: Option<f64>) -> f64 {
    let Some((first, last)) = known.first().zip(known.last()) else { return 0.0 };
    let k = known.partition_point(|(at, _)| *at <= s);
    let (a, b) = match (k, whole) {
        (0, Some(whole)) => ((last.0 - whole, last.1), *first),
        (0, None) => return first.1,
        (k, _) if k < known.len() => (known[k - 1], known[k]),
        (_, Some(whole)) => (*last, (first.0 + whole, first.1)),
        (_, None) => return last.1,
    };
    let part = if b.0 > a.0 { (s - a.0) / (b.0 - a.0) } else { 0.0 };
    a.1 + (b.1 - a.1) * (0.5 - 0.5 * libm::cos(PI * part))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::net::{crystal, polytope};
    use crate::form::tiling::{Stars, stars_on_sphere};

    /// The edges of the cuboctahedron are four hexagons, those of the icosidodecahedron six decagons: great circles that pass
    /// by turns, each crossing every other twice. Source: H. S. M. Coxeter, Regular Polytopes (1973), section 2.3.
    #[test]
    fn quasi_regular_solids_are_woven_of_great_circles() {
        for (diagram, rings, cords) in [("[4,3]", "010", 4), ("[5,3]", "010", 6)] {
            let net = polytope(diagram, rings, 20.0).unwrap();
            let made = woven(&net, 1.5).unwrap();
            assert_eq!(made.strands().len(), cords);
            assert!(made.strands().iter().all(|s| s.is_closed()));
            let radius = net.points()[0].norm();
            let heights: Vec<f64> = made
                .strands()
                .iter()
                .flat_map(|s| {
                    let places = s.places();
                    s.cuts(400).into_iter().map(move |t| places.at(t).norm())
                })
                .collect();
            let most = heights.iter().copied().fold(0.0, f64::max);
            assert!((most - radius - 1.5).abs() < 0.05, "{most} {radius}");
            // Where two cross they are twice as far apart as each is raised.
            let widest = crate::form::tightest(&made).unwrap().radius;
            assert!((1.4..=1.51).contains(&widest), "{widest}");
            // Each goes over every other at one end of their common diameter and under at the other: they are linked.
            let one = |k: usize| Curve::of([made.strands()[k].clone()]).unwrap();
            for (a, b) in (0..cords).flat_map(|b| (0..b).map(move |a| (a, b))) {
                assert_eq!(crate::form::linking(&one(a), &one(b)).unwrap().abs(), 1, "{a} {b}");
            }
        }
    }

    #[test]
    fn stars_on_a_ball_are_woven() {
        let ball = polytope("[5,3]", "010", 12.0).unwrap();
        for (degrees, apart, rosettes) in [(72.0, 0.0, 0), (60.0, 0.12, 0), (50.0, 0.0, 5)] {
            let ask = Stars { angle: f64::to_radians(degrees), apart, rosettes };
            let made = woven(&stars_on_sphere(&ball, &ask).unwrap(), 0.8).unwrap();
            assert!(made.strands().iter().all(|s| s.is_closed()), "{degrees}");
        }
    }

    #[test]
    fn mats_have_ends_and_threes_are_refused() {
        // Three lines each way, without the corners of the border.
        let points: Vec<Vec3> =
            (0..25).map(|k| Vec3::new((k % 5) as f64, (k / 5) as f64, 0.0) * 10.0).collect();
        let inner = |k: usize| (1..4).contains(&(k % 5)) && (1..4).contains(&(k / 5));
        let mut edges = vec![];
        for k in 0..25 {
            for to in [k + 1, k + 5] {
                let beside = to == k + 5 || k % 5 < 4;
                if to < 25 && beside && (inner(k) || inner(to)) {
                    edges.push([k, to]);
                }
            }
        }
        let used: Vec<usize> = (0..25).filter(|k| edges.iter().flatten().any(|e| e == k)).collect();
        let number = |k: usize| used.iter().position(|u| *u == k).unwrap();
        let edges = edges.iter().map(|e| e.map(number)).collect();
        let mat = super::super::web(used.iter().map(|k| points[*k]).collect(), edges).unwrap();
        let made = woven(&mat, 1.0).unwrap();
        assert_eq!(made.strands().len(), 6);
        assert!(made.strands().iter().all(|s| !s.is_closed()));
        let fault = woven(&crystal("hcb", 10.0, 25.0, true).unwrap(), 1.0).unwrap_err();
        assert!(fault.to_string().contains("3 edges meet"), "{fault}");
    }
}
