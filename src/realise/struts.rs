//! The mesh of round struts by themselves: rings along each, and about each point the curves in which they meet.
//!
//! A strut of a few sides takes some dozen triangles, and points take a few more; cells small enough for thin struts would
//! take ten times as many, and hundreds of times as long.

use std::borrow::Cow;
use std::f64::consts::{PI, TAU};

use rayon::prelude::*;

use super::finish;
use super::joint::{Joint, PLACES_APART, Spoke, joint};
use super::{RealiseFault, far_from_chord};
use crate::base::{Vec3, Watch};
use crate::form::net::Track;
use crate::form::{Places, Solid, Tube};
use crate::shape::Mesh;

/// Parts of the tolerance: how far a ring may be from round, a line from ring to ring from the bend that it follows, and a
/// ring from both struts that it stands between.
const ROUND: f64 = 0.45;
const BEND: f64 = 0.2;
const BETWEEN: f64 = 0.2;
/// Least corners of a ring.
const CORNERS: usize = 12;
/// Rings are no further apart than so many sides, so that no triangle is a needle; the first one stands past the curve in
/// which a strut begins by this part of a side, or of the room there is.
const APART: f64 = 9.0;
const PAST: f64 = 0.5;
const ROOM: f64 = 0.25;
/// Most straight pieces of a way between two corners of a path.
const MOST_PIECES: usize = 1 << 14;
/// Most corners of the mesh.
const MOST: usize = 8_000_000;

/// Points with the radii of the balls about them, mm, and the ways between them.
struct Frame<'a> {
    joints: Cow<'a, [(Vec3, f64)]>,
    tracks: Cow<'a, [Track]>,
}

/// The mesh of a solid that is nothing but struts, or a tube along a path with corners, moved as a whole or not; `None` for
/// every other, and for what meets itself elsewhere than in its points.
///
/// # Errors
/// When the watch says stop.
pub fn struts(form: &Solid, tolerance: f64, watch: &dyn Watch) -> Result<Option<Mesh>, RealiseFault> {
    let (form, by) = form.unmoved();
    let Some(factor) = by.similar() else { return Ok(None) };
    let tolerance = tolerance / factor;
    let frame = match form {
        Solid::Struts(framework) => framework
            .tracks()
            .map(|tracks| Frame { joints: Cow::Borrowed(framework.joints()), tracks: Cow::Borrowed(tracks) }),
        Solid::Tube(tube) => Frame::of_tube(tube, tolerance),
        _ => None,
    };
    let Some(frame) = frame else { return Ok(None) };
    let Some(mut mesh) = built(&frame, tolerance, watch)? else { return Ok(None) };
    mesh.carry(&by);
    watch.check()?;
    Ok((mesh.laws_of_joints().is_empty() && finish::is_sound(&mesh)).then_some(mesh))
}

impl Frame<'_> {
    /// A tube along a path with corners: those are the points, and the ways between them follow it within the tolerance.
    /// `None` where there is no corner, or where it takes too many places.
    fn of_tube(tube: &Tube, tolerance: f64) -> Option<Self> {
        let radius = tube.radius();
        let (mut joints, mut tracks) = (vec![], vec![]);
        let strands = tube.curve().strands();
        if strands.iter().all(|s| s.corners().is_empty()) {
            return None;
        }
        for strand in strands {
            let (from, to) = strand.range();
            let mut ends = strand.corners();
            if ends.first() != Some(&from) {
                ends.insert(0, from);
            }
            ends.push(to);
            let first = joints.len();
            let places = strand.places();
            // A way that comes home ends in the point in which it starts.
            let count = ends.len() - usize::from(strand.is_closed());
            joints.extend(ends[..count].iter().map(|t| (places.at(*t), 0.0)));
            for (k, w) in ends.windows(2).enumerate() {
                let mut row = sampled(&places, [w[0], w[1]], radius, tolerance)?;
                let points = [first + k, first + (k + 1) % count];
                // Rounding must not part the ends from their points.
                let last = row.len() - 1;
                (row[0], row[last]) = (joints[points[0]].0, joints[points[1]].0);
                tracks.push(Track::along(points, &row, radius)?);
            }
        }
        Some(Self { joints: joints.into(), tracks: tracks.into() })
    }
}

/// Places along a path, so close that lines between them, and rings that stand square to two of them, are near enough.
fn sampled(places: &Places, [from, to]: [f64; 2], radius: f64, tolerance: f64) -> Option<Vec<Vec3>> {
    let mut count = 1;
    while count <= MOST_PIECES {
        let at = |k: f64| places.at(from + (to - from) * k / count as f64);
        let row: Vec<Vec3> = (0..=count).map(|k| at(k as f64)).collect();
        let off = |k: usize| {
            let thirds =
                [0.25, 0.5, 0.75].map(|part| far_from_chord(at(k as f64 + part), row[k], row[k + 1]));
            thirds.into_iter().fold(0.0, f64::max)
        };
        let turned = |w: &[Vec3]| match ((w[1] - w[0]).unit(), (w[2] - w[1]).unit()) {
            (Some(a), Some(b)) => radius * (a - b).dot(a - b) / 8.0,
            _ => f64::INFINITY,
        };
        let near = (0..count).all(|k| off(k) <= BEND * tolerance);
        if near && row.windows(3).all(|w| turned(w) <= BETWEEN * tolerance) {
            return Some(row);
        }
        count *= 2;
    }
    None
}

/// Corners of rings of a radius.
fn corners(radius: f64, tolerance: f64) -> usize {
    let half = libm::acos((1.0 - ROUND * tolerance / radius).clamp(-1.0, 1.0));
    ((PI / half).ceil() as usize).max(CORNERS)
}

/// How many times further out the corners of a ring stand that holds as much area as the circle.
fn even(corners: usize) -> f64 {
    let step = TAU / corners as f64;
    (step / libm::sin(step)).sqrt()
}

/// The same of a ball: a triangle on it lies L²/8R below on the whole, L the length of its sides.
fn even_ball(corners: usize) -> f64 {
    let side = PLACES_APART * TAU / corners as f64;
    1.0 + side * side / 8.0
}

fn built(frame: &Frame, tolerance: f64, watch: &dyn Watch) -> Result<Option<Mesh>, RealiseFault> {
    let of = |t: &Track| {
        let corners = corners(t.thickest(), tolerance);
        t.thicker(even(corners)).map(|track| (track, corners))
    };
    let Some(tracks) = frame.tracks.iter().map(of).collect::<Option<Vec<_>>>() else { return Ok(None) };
    if tracks.iter().any(|(t, _)| t.joints().any(|(_, off)| off > BETWEEN * tolerance)) {
        return Ok(None);
    }
    watch.check()?;
    let Some((mut mesh, fronts)) = joints(&frame.joints, &tracks, tolerance) else { return Ok(None) };
    watch.check()?;
    for (k, (track, corners)) in tracks.iter().enumerate() {
        let [Some(first), Some(last)] = &fronts[k] else { return Ok(None) };
        let way = Way { track, corners: *corners, bend: BEND * tolerance };
        if mesh.points.len() > MOST || way.add(&mut mesh, first, last).is_none() {
            return Ok(None);
        }
    }
    mesh.compact();
    Ok(Some(mesh))
}

/// The curves in which a way begins and ends, where they are known.
type Fronts = [Option<Vec<u32>>; 2];

/// The skins about all points, and the curves in which the ways begin and end.
fn joints(points: &[(Vec3, f64)], tracks: &[(Track, usize)], tolerance: f64) -> Option<(Mesh, Vec<Fronts>)> {
    // Of each point: numbers of the ways that leave it, and whether they start there.
    let mut leaving: Vec<Vec<(usize, bool)>> = vec![vec![]; points.len()];
    for (k, (track, _)) in tracks.iter().enumerate() {
        leaving[track.ends[0]].push((k, true));
        leaving[track.ends[1]].push((k, false));
    }
    let one = |(leaving, (point, ball)): (&Vec<(usize, bool)>, &(Vec3, f64))| -> Option<Joint> {
        if leaving.is_empty() && *ball == 0.0 {
            return Some(Joint { points: vec![], triangles: vec![], fronts: vec![] });
        }
        let spoke = |(k, starts): &(usize, bool)| {
            let (track, corners) = &tracks[*k];
            Spoke { track, starts: *starts, corners: *corners }
        };
        let spokes: Vec<Spoke> = leaving.iter().map(spoke).collect();
        let most = spokes.iter().map(|s| s.corners).max().unwrap_or(CORNERS);
        let most = most.max(if *ball > 0.0 { corners(*ball, tolerance) } else { 0 });
        joint(*point, ball * even_ball(most), &spokes, most, ROUND * tolerance)
    };
    let made: Vec<Joint> = leaving.par_iter().zip(points).map(one).collect::<Option<_>>()?;
    let mut mesh = Mesh::default();
    let mut fronts: Vec<Fronts> = vec![[None, None]; tracks.len()];
    for (joint, leaving) in made.into_iter().zip(&leaving) {
        let start = mesh.points.len() as u32;
        mesh.points.extend(joint.points);
        mesh.triangles.extend(joint.triangles.into_iter().map(|t| t.map(|i| i + start)));
        for ((k, starts), front) in leaving.iter().zip(joint.fronts) {
            let front = front.into_iter().map(|i| i + start).collect();
            fronts[*k][usize::from(!starts)] = Some(front);
        }
    }
    Some((mesh, fronts))
}

/// Corners about a way with their angles, each more than the one before, all within one turn.
type Ring = Vec<(f64, u32)>;

/// A strut between the curves in which it begins and ends.
struct Way<'a> {
    track: &'a Track,
    corners: usize,
    /// How far lines between rings may be off, mm.
    bend: f64,
}

impl Way<'_> {
    /// Adds its skin to a mesh that holds the corners of both curves. `None` where those leave no room between them, or do
    /// not go once round.
    fn add(&self, mesh: &mut Mesh, first: &[u32], last: &[u32]) -> Option<()> {
        let (first, from) = self.front(mesh, first)?;
        let (last, to) = self.front(mesh, last)?;
        let start = from.iter().copied().fold(0.0, f64::max);
        let end = to.iter().copied().fold(self.track.length(), f64::min);
        let room = end - start;
        if !(room > 0.0) {
            return None;
        }
        let past = (PAST * self.side(start).min(self.side(end))).min(ROOM * room);
        let (start, end) = (start + past, end - past);
        let mut rings = self.approach(mesh, first, &from, start);
        let stations = self.stations(start, end);
        rings.extend(stations.into_iter().map(|s| self.ring(mesh, s)));
        let after = self.approach(mesh, last, &to, end);
        rings.extend(after.into_iter().rev());
        rings.windows(2).for_each(|w| band(mesh, &w[0], &w[1]));
        Some(())
    }

    /// Length of the sides of a ring at a length.
    fn side(&self, s: f64) -> f64 {
        self.track.at(s).radius * TAU / self.corners as f64
    }

    /// How far apart rings may stand about a length.
    fn apart(&self, s: f64) -> f64 {
        let (bend, radius) = (self.track.bend(s), self.track.at(s).radius);
        // The outside of a bend is longer than the way.
        let most = APART * self.side(s);
        if bend > 0.0 { most.min((8.0 * self.bend / (bend * (1.0 + bend * radius))).sqrt()) } else { most }
    }

    /// The corners of a curve round the way in the order of their angles, and their lengths along it.
    fn front(&self, mesh: &Mesh, row: &[u32]) -> Option<(Ring, Vec<f64>)> {
        let seen = |i: &u32| {
            let p = mesh.points[*i as usize];
            let s = self.track.foot(p);
            (self.track.at(s).angle(p), *i, s)
        };
        let mut all: Vec<(f64, u32, f64)> = row.iter().map(seen).collect();
        let least = (0..all.len()).min_by(|a, b| all[*a].0.total_cmp(&all[*b].0))?;
        all.rotate_left(least);
        if all.len() > 2 && all[1].0 > all[all.len() - 1].0 {
            all[1..].reverse();
        }
        let rises = all.len() > 2 && all.windows(2).all(|w| w[0].0 < w[1].0);
        rises.then(|| all.into_iter().map(|(angle, i, s)| ((angle, i), s)).unzip())
    }

    /// Rings from a curve to a length, at its own angles; the curve is the first of them.
    fn approach(&self, mesh: &mut Mesh, front: Ring, lengths: &[f64], to: f64) -> Vec<Ring> {
        let furthest = lengths.iter().map(|s| (to - s).abs()).fold(0.0, f64::max);
        let rows = (furthest / self.apart(to)).ceil().max(1.0) as usize;
        let mut rings = vec![front];
        for row in 1..=rows {
            let part = row as f64 / rows as f64;
            let place = |((angle, _), s): (&(f64, u32), &f64)| {
                mesh.points.push(self.track.at(s + (to - s) * part).skin(*angle));
                (*angle, mesh.points.len() as u32 - 1)
            };
            let ring = rings[0].iter().zip(lengths).map(place).collect();
            rings.push(ring);
        }
        rings
    }

    /// Lengths of the rings between two others: one where a strut goes over into the next, and as many between as are wanted.
    fn stations(&self, start: f64, end: f64) -> Vec<f64> {
        let clear = PAST * self.side(start).min(self.side(end));
        let joints = self.track.joints().map(|j| j.0).filter(|s| *s > start + clear && *s < end - clear);
        let mut stations = vec![];
        let mut from = start;
        for to in joints.chain([end]) {
            let apart = self.apart(from).min(self.apart(0.5 * (from + to))).min(self.apart(to));
            let count = ((to - from) / apart).ceil().max(1.0) as usize;
            stations.extend((1..=count).map(|k| from + (to - from) * k as f64 / count as f64));
            from = to;
        }
        stations.pop();
        stations
    }

    /// A ring at a length.
    fn ring(&self, mesh: &mut Mesh, s: f64) -> Ring {
        let station = self.track.at(s);
        let place = |k: usize| {
            let angle = TAU * k as f64 / self.corners as f64;
            mesh.points.push(station.skin(angle));
            (angle, mesh.points.len() as u32 - 1)
        };
        (0..self.corners).map(place).collect()
    }
}

/// Joins two rings, the second further on: always to the corner that is the nearer by its angle.
fn band(mesh: &mut Mesh, a: &Ring, b: &Ring) {
    let corner = |ring: &Ring, k: usize| ring[k % ring.len()].1;
    let angle = |ring: &Ring, k: usize| ring[k % ring.len()].0 + if k < ring.len() { 0.0 } else { TAU };
    let (mut i, mut j) = (0, 0);
    while i < a.len() || j < b.len() {
        let halfway = |ring: &Ring, k: usize| angle(ring, k) + angle(ring, k + 1);
        let first = j == b.len() || (i < a.len() && halfway(a, i) <= halfway(b, j));
        if first {
            mesh.triangles.push([corner(a, i), corner(a, i + 1), corner(b, j)]);
            i += 1;
        } else {
            mesh.triangles.push([corner(a, i), corner(b, j + 1), corner(b, j)]);
            j += 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::{Affine, Tolerance, Unwatched};
    use crate::form::net::{self, Net, Radius, Rods};
    use crate::form::{self, Movable};
    use crate::formula::{Expr, Tape};
    use crate::realise::{self, RealiseFault};

    fn solid(net: &Net, radius: Radius, joint: f64) -> Solid {
        net::struts(net, &Rods { radius, joint, least: None, fillet: 0.0 }).unwrap()
    }

    fn value(form: &Solid) -> Expr {
        form.lower(&mut |_, _| Err(RealiseFault::Empty)).unwrap()
    }

    /// A mesh that obeys every law, with corners and middles of its edges and triangles within the tolerance of the skin.
    fn made(form: &Solid, tolerance: f64) -> Mesh {
        let mesh = struts(form, tolerance, &Unwatched).unwrap().unwrap();
        assert!(mesh.laws().is_empty(), "{:?}", mesh.laws());
        let tape = Tape::new(&value(form)).unwrap();
        for t in 0..mesh.triangles.len() {
            let [a, b, c] = mesh.corners(t);
            for p in [a, (a + b) * 0.5, (b + c) * 0.5, (c + a) * 0.5, (a + b + c) / 3.0] {
                assert!(tape.value(p).abs() < tolerance, "{} at {p:?}", tape.value(p));
            }
        }
        mesh
    }

    /// The volume of a solid by cubes of an edge, mm.
    fn counted(form: &Solid, edge: f64) -> f64 {
        let tape = Tape::new(&value(form)).unwrap();
        let (min, size) = (form.within().min, form.within().size());
        let [nx, ny, nz] = size.array().map(|s| (s / edge).ceil() as usize);
        let middle = |k: usize| (k as f64 + 0.5) * edge;
        let mut sum = 0.0;
        for (i, j, k) in (0..nx * ny * nz).map(|n| (n % nx, n / nx % ny, n / nx / ny)) {
            let p = min + Vec3::new(middle(i), middle(j), middle(k));
            sum += (0.5 - tape.value(p) / edge).clamp(0.0, 1.0);
        }
        sum * edge * edge * edge
    }

    /// Arms of a length from the origin.
    fn arms(directions: &[Vec3], length: f64) -> Net {
        let places = std::iter::once(Vec3::ZERO).chain(directions.iter().map(|d| *d * length)).collect();
        net::web(places, (1..=directions.len()).map(|k| [0, k]).collect()).unwrap()
    }

    /// Rods that cross at right angles hold their sum less what two and three of them share: 16 r³/3 and 8 (2 - √2) r³.
    /// Source: the Steinmetz solids, after M. Moore, The Mathematical Gazette 58 (1974) 181.
    #[test]
    fn crossing_rods_hold_what_they_should() {
        let axes = [Vec3::new(1.0, 0.0, 0.0), Vec3::new(0.0, 1.0, 0.0), Vec3::new(0.0, 0.0, 1.0)];
        let (r, long) = (1.5_f64, 10.0);
        let rod = PI * r * r * 2.0 * long + 4.0 / 3.0 * PI * r.powi(3);
        let (two, three) = (16.0 / 3.0 * r.powi(3), 8.0 * (2.0 - 2f64.sqrt()) * r.powi(3));
        for (count, want) in [(1, rod), (2, 2.0 * rod - two), (3, 3.0 * rod - 3.0 * two + three)] {
            let ways: Vec<Vec3> = axes[..count].iter().flat_map(|a| [*a, -*a]).collect();
            let mesh = made(&solid(&arms(&ways, long), Radius::Same(r), 0.0), 0.01);
            assert!((mesh.volume() / want - 1.0).abs() < 1e-3, "{count}: {} for {want}", mesh.volume());
        }
    }

    /// A rod between two balls: what it shares with each is a cap and a cylinder (elementary).
    #[test]
    fn balls_stand_at_the_ends() {
        let (r, big, long): (f64, f64, f64) = (1.0, 2.5, 12.0);
        let net = net::web(vec![Vec3::ZERO, Vec3::new(long, 0.0, 0.0)], vec![[0, 1]]).unwrap();
        let mesh = made(&solid(&net, Radius::Same(r), big), 0.01);
        let inside = (big * big - r * r).sqrt();
        let cap = PI * (big - inside).powi(2) * (2.0 * big + inside) / 3.0;
        let want = PI * r * r * (long - 2.0 * inside) + 2.0 * (4.0 / 3.0 * PI * big.powi(3) - cap);
        assert!((mesh.volume() / want - 1.0).abs() < 2e-3, "{} for {want}", mesh.volume());
    }

    /// Struts of every kind against cells, the way by which every other solid is made, and against the volume of small cubes of
    /// space, each counted by how much of it is inside.
    #[test]
    fn nets_agree_with_cells() {
        let hexagon = |k: usize| {
            let angle = TAU * k as f64 / 6.0 + 0.2;
            Vec3::new(libm::cos(angle), libm::sin(angle), 0.1 * k as f64).unit().unwrap()
        };
        let uneven: Vec<Vec3> = (0..5).map(hexagon).collect();
        let nets = [
            ("srs", net::crystal("srs", 8.0, 14.0, true).unwrap(), Radius::Same(0.8), 0.0, 0.04),
            ("dia", net::crystal("dia", 10.0, 11.0, true).unwrap(), Radius::Same(1.0), 1.7, 0.04),
            ("fcu", net::crystal("fcu", 10.0, 11.0, true).unwrap(), Radius::Same(1.0), 0.0, 0.04),
            ("hcb", net::crystal("hcb", 10.0, 18.0, false).unwrap(), Radius::Same(1.0), 0.0, 0.04),
            ("arcs", net::polytope("[4,3,3]", "1000", 40.0).unwrap(), Radius::Same(2.0), 0.0, 0.1),
            ("tapered", arms(&uneven, 14.0), Radius::Field(Expr::var("x") * 0.03 + 0.9), 0.0, 0.05),
        ];
        for (name, net, radius, joint, tolerance) in nets {
            let form = solid(&net, radius, joint);
            let mesh = made(&form, tolerance);
            let field = Solid::Field { value: value(&form), within: form.within() };
            let cells = realise::solid(&field, Tolerance::new(tolerance).unwrap(), &Unwatched).unwrap().mesh;
            let (found, other) = (mesh.measures(), cells.measures());
            assert_eq!((found.genus, found.components), (other.genus, other.components), "{name}");
            assert!(mesh.triangles.len() < cells.triangles.len(), "{name}");
            let want = counted(&field, form.within().size().largest() / 150.0);
            assert!((mesh.volume() / want - 1.0).abs() < 0.01, "{name}: {} for {want}", mesh.volume());
        }
    }

    /// Tubes along paths with corners: a frame of straight sides, and a zigzag of arcs that comes home.
    #[test]
    fn tubes_turn_corners() {
        let v = |x: f64, y: f64, z: f64| Vec3::new(x, y, z);
        let square = [v(0.0, 0.0, 0.0), v(20.0, 0.0, 0.0), v(20.0, 20.0, 4.0), v(0.0, 20.0, 0.0)];
        let arc = |k: usize| {
            let at = |s: usize| {
                let turn = TAU * (k as f64 + s as f64 / 6.0) / 5.0;
                v(libm::cos(turn), libm::sin(turn), 0.0) * (16.0 - 5.0 * libm::sin(PI * s as f64 / 6.0))
            };
            form::through(&(0..=6).map(at).collect::<Vec<_>>(), false).unwrap()
        };
        let star = form::join(&(0..5).map(arc).collect::<Vec<_>>()).unwrap();
        let open = form::polyline(&square, false).unwrap();
        for (name, curve, genus) in [
            ("square", form::polyline(&square, true).unwrap(), 1),
            ("open", open.clone(), 0),
            ("star", star.clone(), 1),
            (
                "both",
                form::together(&[open, star.moved(&Affine::shift(v(60.0, 0.0, 0.0))).unwrap()]).unwrap(),
                1,
            ),
        ] {
            let tube = form::tube(&curve, 1.2).unwrap();
            let mesh = made(&tube, 0.03);
            assert_eq!(mesh.measures().genus, genus, "{name}");
            let want = counted(&tube, 0.2);
            assert!((mesh.volume() / want - 1.0).abs() < 0.01, "{name}: {} for {want}", mesh.volume());
        }
        let smooth = form::tube(&form::through(&square, true).unwrap(), 1.0).unwrap();
        assert!(struts(&smooth, 0.03, &Unwatched).unwrap().is_none());
    }

    /// What is moved as a whole keeps its tolerance; struts that meet outside their points are left to cells.
    #[test]
    fn only_plain_struts_are_made_so() {
        let way = Vec3::new(1.0, 0.0, 0.0);
        let net = arms(&[way, Vec3::new(0.0, 1.0, 0.0)], 10.0);
        let form = solid(&net, Radius::Same(1.0), 0.0);
        let by = Affine::turn(Vec3::new(1.0, 2.0, 0.5), 0.7).unwrap().then(&Affine::scale(Vec3::splat(-2.0)));
        let moved = form.moved(&by).unwrap();
        let ratio = made(&moved, 0.04).volume() / made(&form, 0.02).volume();
        assert!((ratio - 8.0).abs() < 1e-9, "{ratio}");
        let squeezed = form.moved(&Affine::scale(Vec3::new(1.0, 1.0, 2.0))).unwrap();
        assert!(struts(&squeezed, 0.04, &Unwatched).unwrap().is_none());
        let v = |x: f64, y: f64, z: f64| Vec3::new(x, y, z);
        let places = vec![v(-9.0, 0.0, 0.0), v(9.0, 0.0, 0.0), v(0.0, -9.0, 0.7), v(0.0, 9.0, 0.7)];
        let crossing = net::web(places, vec![[0, 1], [2, 3]]);
        let crossing = solid(&crossing.unwrap(), Radius::Same(1.0), 0.0);
        assert!(struts(&crossing, 0.04, &Unwatched).unwrap().is_none());
        assert_eq!(
            realise::solid(&crossing, Tolerance::new(0.04).unwrap(), &Unwatched)
                .unwrap()
                .mesh
                .measures()
                .components,
            1
        );
    }
}
