//! The mesh of a tube by itself: rings of corners along the curve, joined one to the next, with round ends.
//!
//! Where a tube does not meet itself, every place of it has one nearest place of the curve, and so have the triangles
//! between two rings: they lie between the two planes of those rings, and meet no others. So stretches that touch stay
//! apart, however coarse the mesh is, as long as it lies inside the thickest tube that does not meet itself. The corners
//! are drawn in where they would not.

use std::f64::consts::{PI, TAU};

use super::finish;
use super::outermost::outermost;
use super::{CELL, RealiseFault, far_from_chord};
use crate::base::{Vec3, Watch};
use crate::form::{self, Curve, Movable, Places, Solid, Strand};
use crate::shape::{Mesh, Tree};

/// Parts of the tolerance: how far a ring may be from round, and a line from ring to ring from the bend that it follows.
/// Corners that are drawn in stray by both and by the second once more.
const ROUND: f64 = 0.45;
const BEND: f64 = 0.2;
/// How much larger than the room for it a radius may come out by rounding.
const ROUNDING: f64 = 1e-6;
/// Pieces in which a strand is looked at before its rings are placed.
const PIECES: usize = 1024;
/// Least corners of a ring, least rings, and most times that rings are put closer.
const CORNERS: usize = 16;
const RINGS: usize = 8;
const ROUNDS: usize = 6;
/// Rings that follow one another turn by no more than this, radians, and neighbouring sides of a ring by little more, so
/// that the picture shows the tube as round.
const TURN: f64 = 0.35;
/// Most rings of a strand; more are left to cells, which say when they are too many.
const MOST: usize = 1 << 20;

/// The mesh of a solid that is nothing but a tube; `None` for every other.
///
/// # Errors
/// When the watch says stop.
pub fn tube(form: &Solid, tolerance: f64, watch: &dyn Watch) -> Result<Option<Mesh>, RealiseFault> {
    let Some((curve, radius)) = alone(form) else { return Ok(None) };
    if curve.strands().iter().any(|s| !s.corners().is_empty()) {
        return Ok(None);
    }
    let Ok(tightest) = form::tightest(&curve) else { return Ok(None) };
    let corners = corners(radius, ROUND * tolerance);
    let mut ways = Vec::with_capacity(curve.strands().len());
    for strand in curve.strands() {
        watch.check()?;
        let Some(way) = Way::along(strand, radius, BEND * tolerance) else { return Ok(None) };
        ways.push(way);
    }
    // Rings of the same area as the tube's section, unless they would leave the room.
    let even = radius * (TAU / (corners as f64 * libm::sin(TAU / corners as f64))).sqrt();
    let off = ways.iter().map(|way| way.off).fold(0.0, f64::max);
    let made = |reach: f64| {
        let mut mesh = Mesh::default();
        ways.iter().for_each(|way| mesh.append(&way.mesh(reach, corners)));
        mesh
    };
    if radius <= tightest.radius * (1.0 + ROUNDING) {
        let mesh = made(even.min(tightest.radius * (1.0 - ROUNDING) - off));
        return Ok(finish::is_sound(&mesh).then_some(mesh));
    }
    let line = line(&ways);
    let (tree, least) = (Tree::new(&line), radius - tolerance);
    let Some(mesh) = outermost(&made(even), tolerance, |p| tree.nearest(p, least, None).is_some()) else {
        return Ok(None);
    };
    let (mesh, proven, _) = finish::finish(mesh, tolerance, CELL * tolerance, watch)?;
    Ok((proven || finish::is_sound(&mesh)).then_some(mesh))
}

/// The chords between the rings, each as a triangle without area.
fn line(ways: &[Way]) -> Mesh {
    let mut line = Mesh::default();
    for way in ways {
        let first = line.points.len() as u32;
        line.points.extend(&way.places);
        line.triangles.extend((1..way.places.len() as u32).map(|k| [first + k - 1, first + k, first + k]));
    }
    line
}

/// The curve and the radius of a tube that was moved, turned, mirrored or scaled as a whole, if at all.
pub fn alone(form: &Solid) -> Option<(Curve, f64)> {
    let (Solid::Tube(tube), by) = form.unmoved() else { return None };
    Some((tube.curve().moved(&by).ok()?, tube.radius() * by.similar()?))
}

/// Corners of a ring whose sides come `off` mm nearer to the middle than its corners.
pub fn corners(radius: f64, off: f64) -> usize {
    let half = libm::acos((1.0 - off / radius).clamp(-1.0, 1.0));
    // Of a multiple of four, two opposite pairs lie on the axes.
    4 * ((PI / half / 4.0).ceil() as usize).max(CORNERS / 4)
}

/// A strand's places and directions where its rings stand.
struct Way {
    places: Vec<Vec3>,
    /// The first axis of each ring, and the way on.
    axes: Vec<[Vec3; 2]>,
    closed: bool,
    /// How far the curve strays from the lines between its places, at most, mm.
    off: f64,
}

impl Way {
    /// Rings so close that lines between them stray by no more than `off` mm from a tube of a radius; `None` where that
    /// takes too many.
    fn along(strand: &Strand, radius: f64, off: f64) -> Option<Self> {
        let need = Need::of(strand, radius, off);
        let reader = strand.places();
        let closed = strand.is_closed();
        let mut count = (need.total().ceil() as usize).max(RINGS);
        for _ in 0..ROUNDS {
            if count > MOST {
                return None;
            }
            let at: Vec<f64> = (0..=count).map(|k| need.at(k as f64 / count as f64)).collect();
            let places: Vec<Vec3> = at.iter().map(|t| reader.at(*t)).collect();
            let strays = (0..count).map(|k| {
                let middle = reader.at(0.5 * (at[k] + at[k + 1]));
                far_from_chord(middle, places[k], places[k + 1])
            });
            let stray = strays.fold(0.0, f64::max);
            if !stray.is_finite() {
                return None;
            }
            // The outside of the narrowest bend is twice as long as the curve.
            if 2.0 * stray <= off {
                return Self::framed(&reader, &at, places, closed, stray);
            }
            count = (count as f64 * (2.1 * stray / off).sqrt()).ceil() as usize;
        }
        None
    }

    /// Axes that turn no more than the curve makes them turn.
    /// Source: W. Wang et al., ACM Transactions on Graphics 27 (2008) 2, doi:10.1145/1330511.1330513.
    fn framed(reader: &Places, at: &[f64], places: Vec<Vec3>, closed: bool, off: f64) -> Option<Self> {
        let on: Vec<Vec3> = at.iter().map(|t| reader.velocity(*t).unit()).collect::<Option<_>>()?;
        let aside = [Vec3::new(0.0, 0.0, 1.0), Vec3::new(1.0, 0.0, 0.0)]
            .into_iter()
            .find_map(|up| (up.dot(on[0]).abs() < 0.9).then(|| up.cross(on[0]).unit()).flatten())?;
        let mut axes = vec![[aside, on[0]]];
        for k in 1..at.len() {
            let [x, before] = axes[k - 1];
            let chord = places[k] - places[k - 1];
            let (x, tangent) = (mirrored(x, chord), mirrored(before, chord));
            let x = mirrored(x, on[k] - tangent);
            axes.push([(x - on[k] * x.dot(on[k])).unit()?, on[k]]);
        }
        Some(Self { places, axes, closed, off })
    }

    /// The mesh of rings that reach so far from the curve, mm.
    fn mesh(&self, reach: f64, corners: usize) -> Mesh {
        let count = self.places.len() - 1;
        let step = TAU / corners as f64;
        // What turn is left over on coming home is taken up by joining other corners, and the rest spread evenly.
        let (shift, rest) = if self.closed { self.left_over(step) } else { (0, 0.0) };
        let rings = if self.closed { count } else { count + 1 };
        let mut made = Rings { mesh: Mesh::default(), corners };
        if !self.closed {
            self.cap(&mut made, 0, reach, true);
        }
        for k in 0..rings {
            made.ring(&self.ring(k, rest * k as f64 / count as f64), reach, 0.0);
        }
        if self.closed {
            made.join([rings - 1, 0], shift);
        } else {
            self.cap(&mut made, count, reach, false);
        }
        made.mesh
    }

    /// Place and axes of a ring turned by an angle.
    fn ring(&self, k: usize, angle: f64) -> [Vec3; 4] {
        let [x, on] = self.axes[k];
        let y = on.cross(x);
        let (s, c) = (libm::sin(angle), libm::cos(angle));
        [self.places[k], x * c + y * s, y * c - x * s, on]
    }

    /// By how many corners the last ring is turned against the first, and what angle has to be added on the way for that.
    fn left_over(&self, step: f64) -> (isize, f64) {
        let ([first, on], [last, _]) = (self.axes[0], self.axes[self.axes.len() - 1]);
        let angle = libm::atan2(on.dot(first.cross(last)), first.dot(last));
        let shift = (angle / step).round();
        (shift as isize, shift * step - angle)
    }

    /// A round end: rings of latitude and a pole, before the first ring or after the last.
    fn cap(&self, made: &mut Rings, k: usize, reach: f64, first: bool) {
        let latitudes = made.corners.div_ceil(4).max(2);
        let at = self.ring(k, 0.0);
        let sign = if first { -1.0 } else { 1.0 };
        let pole = at[0] + at[3] * (sign * reach);
        if first {
            made.pole(pole);
        }
        for m in 1..latitudes {
            let m = if first { latitudes - m } else { m };
            let angle = 0.5 * PI * m as f64 / latitudes as f64;
            made.ring(&at, reach * libm::cos(angle), sign * reach * libm::sin(angle));
        }
        if !first {
            made.close(pole);
        }
    }
}

/// How close rings must stand along a strand.
struct Need {
    /// Values of the parameter, and how many rings are wanted up to each.
    at: Vec<f64>,
    rings: Vec<f64>,
}

impl Need {
    /// A line of length l along the outside of a bend k strays from it by k(1 + kr)l²/8; rings are no further apart than
    /// the tube reaches from its curve.
    fn of(strand: &Strand, radius: f64, off: f64) -> Self {
        let (places, bends) = (strand.places(), strand.bends());
        let at = strand.cuts(PIECES);
        let mut rings = vec![0.0];
        for w in at.windows(2) {
            let t = 0.5 * (w[0] + w[1]);
            let (v, a) = (places.velocity(t), bends.at(t));
            let speed = v.norm();
            let bend = v.cross(a).norm() / (speed * speed * speed);
            let each = (bend * (1.0 + bend * radius) / (8.0 * off)).sqrt().max(1.0 / radius).max(bend / TURN);
            let each = if each.is_finite() { each } else { 1.0 / radius };
            rings.push(rings[rings.len() - 1] + each * speed * (w[1] - w[0]));
        }
        Self { at, rings }
    }

    fn total(&self) -> f64 {
        self.rings[self.rings.len() - 1]
    }

    /// The parameter by which a part of all rings stand.
    fn at(&self, part: f64) -> f64 {
        let want = part * self.total();
        let k = self.rings.partition_point(|r| *r <= want).clamp(1, self.rings.len() - 1);
        let (low, high) = (self.rings[k - 1], self.rings[k]);
        let share = if high > low { ((want - low) / (high - low)).clamp(0.0, 1.0) } else { 1.0 };
        self.at[k - 1] + (self.at[k] - self.at[k - 1]) * share
    }
}

/// A mesh that grows by rings of equally many corners; a pole may stand before the first.
struct Rings {
    mesh: Mesh,
    corners: usize,
}

impl Rings {
    fn pole(&mut self, at: Vec3) {
        self.mesh.points.push(at);
    }

    /// A ring about a place, `beyond` mm further on, joined to what is there.
    fn ring(&mut self, [place, x, y, on]: &[Vec3; 4], reach: f64, beyond: f64) {
        let start = self.mesh.points.len();
        let middle = *place + *on * beyond;
        for j in 0..self.corners {
            let angle = TAU * j as f64 / self.corners as f64;
            self.mesh.points.push(middle + (*x * libm::cos(angle) + *y * libm::sin(angle)) * reach);
        }
        match start {
            0 => {}
            1 => (0..self.corners).for_each(|j| {
                let (a, b) = (start + j, start + (j + 1) % self.corners);
                self.mesh.triangles.push([0, b as u32, a as u32]);
            }),
            _ => self.band(start - self.corners, start, 0),
        }
    }

    /// Joins two rings, by number; corner j of the first to corner j + `shift` of the second.
    fn join(&mut self, [a, b]: [usize; 2], shift: isize) {
        self.band(a * self.corners, b * self.corners, shift);
    }

    fn band(&mut self, from: usize, to: usize, shift: isize) {
        let n = self.corners;
        let turned = |j: usize| (j as isize + shift).rem_euclid(n as isize) as usize;
        let far = |m: &Mesh, a: usize, b: usize| (m.points[a] - m.points[b]).norm();
        for j in 0..n {
            let (a, b) = (from + j, from + (j + 1) % n);
            let (d, c) = (to + turned(j), to + turned(j + 1));
            // Split along the shorter way across.
            let two = if far(&self.mesh, a, c) <= far(&self.mesh, b, d) {
                [[a, b, c], [a, c, d]]
            } else {
                [[a, b, d], [b, c, d]]
            };
            self.mesh.triangles.extend(two.map(|t| t.map(|i| i as u32)));
        }
    }

    /// A pole after the last ring.
    fn close(&mut self, at: Vec3) {
        let start = self.mesh.points.len() - self.corners;
        let pole = self.mesh.points.len() as u32;
        self.mesh.points.push(at);
        for j in 0..self.corners {
            let (a, b) = (start + j, start + (j + 1) % self.corners);
            self.mesh.triangles.push([a as u32, b as u32, pole]);
        }
    }
}

/// The mirror image of a direction in the plane square to `n`.
fn mirrored(v: Vec3, n: Vec3) -> Vec3 {
    let nn = n.dot(n);
    if nn > 0.0 { v - n * (2.0 * v.dot(n) / nn) } else { v }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::{Affine, Unwatched};
    use crate::formula::{Expr, Unary};

    fn path(x: Expr, y: Expr, z: Expr, to: f64) -> Curve {
        Curve::new([x, y, z], "t", (0.0, to)).unwrap()
    }

    fn wave(f: Unary, reach: f64) -> Expr {
        Expr::unary(f, Expr::var("t")) * reach
    }

    fn circle(reach: f64, height: f64) -> Curve {
        path(wave(Unary::Cos, reach), wave(Unary::Sin, reach), Expr::constant(height), TAU)
    }

    fn made(form: &Solid, tolerance: f64) -> Mesh {
        let mesh = tube(form, tolerance, &Unwatched).unwrap().unwrap();
        assert!(mesh.laws().is_empty(), "{:?}", mesh.laws());
        mesh
    }

    /// Corners and middles of the triangles lie within the tolerance of the ring's skin, which holds 2π²Rr².
    #[test]
    fn a_ring_is_within_its_tolerance() {
        let ring = form::tube(&circle(20.0, 0.0), 3.0).unwrap();
        for tolerance in [0.3, 0.05] {
            let mesh = made(&ring, tolerance);
            let off = |p: Vec3| ((p.x.hypot(p.y) - 20.0).hypot(p.z) - 3.0).abs();
            let middles = (0..mesh.triangles.len()).map(|t| {
                let [a, b, c] = mesh.corners(t);
                (a + b + c) / 3.0
            });
            let worst = mesh.points.iter().copied().chain(middles).map(off).fold(0.0, f64::max);
            assert!(worst < tolerance, "{worst} for {tolerance}");
            let volume = 2.0 * PI * PI * 20.0 * 9.0;
            assert!(
                (mesh.volume() / volume - 1.0).abs() < 0.05 * tolerance,
                "{} for {volume}",
                mesh.volume()
            );
        }
    }

    /// Rings that just touch stay two, and a bend as narrow as the tube stays sound.
    #[test]
    fn tubes_that_touch_stay_apart() {
        let two = form::together(&[circle(20.0, 0.0), circle(20.0, 6.0)]).unwrap();
        let mesh = made(&form::tube(&two, 3.0).unwrap(), 0.2);
        assert_eq!(mesh.component_of_triangles().1, 2);
        let horn = made(&form::tube(&circle(4.0, 0.0), 4.0).unwrap(), 0.1);
        assert_eq!(horn.measures().genus, 1);
        let one = made(&form::tube(&two, 3.1).unwrap(), 0.2);
        assert_eq!(one.component_of_triangles().1, 1);
    }

    /// A figure of eight is one body with two holes, and sound along its seams; two crossing rods hold as much as both less what
    /// they share, 16 r³/3 (Steinmetz). What lies on itself all round, as a ring thicker than it is wide, is left.
    #[test]
    fn tubes_that_meet_themselves_are_one() {
        let twice = Expr::unary(Unary::Sin, Expr::var("t") * 2.0) * 20.0;
        let eight = path(twice, wave(Unary::Sin, 20.0), Expr::constant(0.0), TAU);
        let mesh = made(&form::tube(&eight, 3.0).unwrap(), 0.05);
        assert_eq!((mesh.measures().genus, mesh.component_of_triangles().1), (2, 1));
        let rod = |x: Expr, y: Expr| path(x, y, Expr::constant(0.0), 40.0);
        let along = || Expr::var("t") - 20.0;
        let two =
            form::together(&[rod(along(), Expr::constant(0.0)), rod(Expr::constant(0.0), along())]).unwrap();
        let mesh = made(&form::tube(&two, 3.0).unwrap(), 0.02);
        let exact = 2.0 * (PI * 9.0 * 40.0 + 36.0 * PI) - 16.0 / 3.0 * 27.0;
        assert!((mesh.volume() / exact - 1.0).abs() < 1e-3, "{} for {exact}", mesh.volume());
        let spindle = form::tube(&circle(4.0, 0.0), 5.0).unwrap();
        assert!(tube(&spindle, 0.05, &Unwatched).unwrap().is_none());
    }

    /// A helix with round ends holds πr² times its length and a ball; moved and scaled as a whole it stays a tube.
    #[test]
    fn open_tubes_have_round_ends() {
        let helix = path(wave(Unary::Cos, 10.0), wave(Unary::Sin, 10.0), Expr::var("t") * 3.0, 9.0);
        let form = form::tube(&helix, 1.5).unwrap();
        let length = 9.0 * 109f64.sqrt();
        let volume = PI * 1.5 * 1.5 * length + 4.0 / 3.0 * PI * 1.5f64.powi(3);
        let mesh = made(&form, 0.02);
        assert!((mesh.volume() / volume - 1.0).abs() < 2e-3, "{} for {volume}", mesh.volume());
        assert_eq!(mesh.measures().genus, 0);
        let by = Affine::turn(Vec3::new(1.0, 2.0, 0.5), 0.7).unwrap().then(&Affine::scale(Vec3::splat(-2.0)));
        let large = made(&form.moved(&by).unwrap(), 0.04);
        assert!((large.volume() / volume / 8.0 - 1.0).abs() < 2e-3, "{}", large.volume());
        let squeezed = form.moved(&Affine::scale(Vec3::new(1.0, 1.0, 2.0))).unwrap();
        assert!(tube(&squeezed, 0.02, &Unwatched).unwrap().is_none());
    }
}
