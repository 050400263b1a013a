//! Numbers about curves: how they bend, and how thick a tube they can carry.

use super::curve::{Curve, Places, Strand, quadrature};
use super::fault::{FormFault, unfit};
use super::near::gap as gap_to;
use super::paths::by_length;
use crate::base::{Box3, Vec3};

/// Curvature at a value of the parameter, 1/mm: |v × a| / |v|³.
pub fn curvature(strand: &Strand, t: f64) -> f64 {
    bend(&strand.places(), &strand.bends(), t)
}

fn bend(places: &Places, bends: &Places, t: f64) -> f64 {
    let (v, a) = (places.velocity(t), bends.at(t));
    let speed = v.norm();
    v.cross(a).norm() / (speed * speed * speed)
}

/// Torsion at a value of the parameter, 1/mm, positive for a right-handed helix: (v × a)·j / |v × a|².
pub fn torsion(strand: &Strand, t: f64) -> f64 {
    let v = strand.places().velocity(t);
    let (a, j) = strand.bends().both(t);
    let n = v.cross(a);
    n.dot(j) / n.dot(n)
}

/// Pieces that a strand is looked at in.
const PIECES: usize = 1024;
/// Points that share a box, so that far stretches are passed over at once.
const STRETCH: usize = 32;
/// The eight pairs of points beside a pair.
const BESIDE: [(isize, isize); 8] = [(-1, -1), (-1, 0), (-1, 1), (0, -1), (0, 1), (1, -1), (1, 0), (1, 1)];
/// A bend is a cusp when its radius is less than this part of such a piece.
const CUSP: f64 = 1e-6;
/// Corners sharper than this between two pieces of a spline, radians, have no radius.
const CORNER: f64 = 1e-5;

/// The integral of the curvature along all strands, radians; corners and cusps count with their angle.
pub fn total_curvature(curve: &Curve) -> f64 {
    let one = |s: &Strand| {
        let (places, bends) = (s.places(), s.bends());
        let cuts = s.cuts(PIECES);
        let smooth: f64 = cuts
            .windows(2)
            .map(|w| quadrature(w[0], w[1], |t| bend(&places, &bends, t) * places.velocity(t).norm()))
            .sum();
        let turned = |all: Vec<(f64, f64)>| all.into_iter().map(|(_, angle)| angle).sum::<f64>();
        smooth + turned(corners(s, &places)) + turned(cusps(s, &places))
    };
    curve.strands().iter().map(one).sum()
}

/// A curve stands still where its speed is less than this part of its mean.
const STILL: f64 = 1e-6;
/// A cusp turns by more than this, radians, within this part of a piece to both sides.
const TURNS: f64 = 1e-2;
const BESIDE_CUSP: f64 = 1e-4;

/// Cusps of a strand within its pieces: values of the parameter at which it stands still and turns, and the angles, radians.
fn cusps(s: &Strand, places: &Places) -> Vec<(f64, f64)> {
    let (cuts, seams) = (s.cuts(PIECES), s.cuts(1));
    let speed = |t: f64| places.velocity(t).norm();
    let speeds: Vec<f64> = cuts.iter().map(|t| speed(*t)).collect();
    let still = STILL * speeds.iter().sum::<f64>() / speeds.len() as f64;
    let mut out = Vec::new();
    for i in 1..cuts.len() - 1 {
        if speeds[i] > speeds[i - 1] || speeds[i] >= speeds[i + 1] {
            continue;
        }
        let (t, least) = lowest(cuts[i - 1], cuts[i + 1], &speed);
        let beside = BESIDE_CUSP * (cuts[i + 1] - cuts[i]);
        let is_seam = seams.iter().any(|seam| (seam - t).abs() <= beside);
        let [a, b] = [t - beside, t + beside].map(|t| places.velocity(t));
        let angle = libm::atan2(a.cross(b).norm(), a.dot(b));
        if least < still && angle > TURNS && !is_seam {
            out.push((t, angle));
        }
    }
    out
}

/// Corners of a strand: values of the parameter and angles turned, radians.
fn corners(s: &Strand, places: &Places) -> Vec<(f64, f64)> {
    let cuts = s.cuts(1);
    let n = cuts.len() - 1;
    let mut out = Vec::new();
    for i in usize::from(!s.is_closed())..n {
        let (before, here) = (if i == 0 { n - 1 } else { i - 1 }, cuts[i]);
        let end = cuts[before + 1] - (cuts[before + 1] - cuts[before]) * 1e-9;
        let (a, b) = (places.velocity(end), places.velocity(here + (cuts[i + 1] - here) * 1e-9));
        let angle = libm::atan2(a.cross(b).norm(), a.dot(b));
        if angle > CORNER {
            out.push((here, angle));
        }
    }
    out
}

/// Where a curve comes nearest to carrying no thicker tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Closest {
    /// Radius of the thickest tube that does not meet itself, mm; 0 where the curve has a corner or meets itself.
    pub radius: f64,
    /// A place where that tube would begin to meet itself.
    pub place: Vec3,
    /// True when it is the bend that is too narrow, false when two stretches come near.
    pub by_bend: bool,
}

/// The thickest tube that does not meet itself: the least of the radii of curvature and of half the distances
/// between places that look straight at one another. Round ends of open strands count as places that look anywhere.
/// Source: R. A. Litherland, J. Simon, O. Durumeric, E. Rawdon, Topology and its Applications 91 (1999) 233.
///
/// # Errors
/// [`FormFault::NotPositive`] for a strand without length; [`FormFault::NotFinite`] when it leaves the numbers.
pub fn widest(curve: &Curve) -> Result<Closest, FormFault> {
    let all: Vec<Walk> = curve.strands().iter().map(Walk::new).collect::<Result<_, _>>()?;
    Ok(closest(&all))
}

fn closest(all: &[Walk]) -> Closest {
    let mut best = Closest { radius: f64::INFINITY, place: Vec3::ZERO, by_bend: true };
    for walk in all {
        let (radius, t) = walk.narrowest();
        if radius < best.radius {
            best = Closest { radius, place: walk.places.at(t), by_bend: true };
        }
    }
    for (i, a) in all.iter().enumerate() {
        for b in &all[i..] {
            a.near(b, std::ptr::eq(a, b), &mut best);
        }
    }
    best
}

/// Where a tube first meets itself as it grows, corners of polylines aside: every tube closes over those.
///
/// # Errors
/// As [`widest`].
pub fn tightest(curve: &Curve) -> Result<Closest, FormFault> {
    let mut all: Vec<Walk> = curve.strands().iter().map(Walk::new).collect::<Result<_, _>>()?;
    all.iter_mut().for_each(|walk| walk.corner = None);
    Ok(closest(&all))
}

/// The length over the radius of the thickest tube.
///
/// # Errors
/// [`FormFault::Unfit`] for a curve that carries no tube; as [`widest`].
pub fn length_over_radius(curve: &Curve) -> Result<f64, FormFault> {
    let widest = widest(curve)?;
    if widest.radius > 0.0 {
        return Ok(curve.length() / widest.radius);
    }
    let why = if widest.by_bend { "it has a corner" } else { "it meets itself" };
    let [x, y, z] = widest.place.array();
    Err(unfit("path", format!("carries no tube: {why} at [{x:.3}, {y:.3}, {z:.3}]")))
}

/// Half the least distance of places that look straight at one another, mm, whatever the bends.
///
/// # Errors
/// As [`widest`].
pub(crate) fn gap(curve: &Curve) -> Result<f64, FormFault> {
    let mut best = Closest { radius: f64::INFINITY, place: Vec3::ZERO, by_bend: false };
    let all: Vec<Walk> = curve.strands().iter().map(Walk::new).collect::<Result<_, _>>()?;
    for (i, a) in all.iter().enumerate() {
        all[i..].iter().for_each(|b| a.near(b, std::ptr::eq(a, b), &mut best));
    }
    Ok(best.radius)
}

/// The greatest curvature of any strand, 1/mm; infinite at a corner or cusp.
///
/// # Errors
/// As [`widest`].
pub fn greatest_curvature(curve: &Curve) -> Result<f64, FormFault> {
    let mut least = f64::INFINITY;
    for strand in curve.strands() {
        least = least.min(Walk::new(strand)?.narrowest().0);
    }
    Ok(1.0 / least)
}

/// A strand with places evenly along it.
struct Walk {
    places: Places,
    bends: Places,
    at: Vec<f64>,
    points: Vec<Vec3>,
    closed: bool,
    corner: Option<f64>,
}

impl Walk {
    fn new(strand: &Strand) -> Result<Self, FormFault> {
        strand.sound()?;
        let places = strand.places();
        let at = by_length(strand, PIECES)?;
        let points: Vec<Vec3> = at.iter().map(|t| places.at(*t)).collect();
        if points.iter().any(|p| !p.is_finite()) {
            return Err(FormFault::NotFinite { name: "curve", got: f64::NAN });
        }
        let corner = corners(strand, &places).first().map(|c| c.0);
        Ok(Self { bends: strand.bends(), closed: strand.is_closed(), at, points, places, corner })
    }

    /// The least radius of curvature, and where.
    fn narrowest(&self) -> (f64, f64) {
        if let Some(t) = self.corner {
            return (0.0, t);
        }
        let radius = |t: f64| {
            let k = bend(&self.places, &self.bends, t);
            // Where the speed is zero there is a cusp.
            if k > 0.0 {
                1.0 / k
            } else if k.is_nan() {
                0.0
            } else {
                f64::INFINITY
            }
        };
        let mut best = (f64::INFINITY, self.at[0]);
        for w in self.at.windows(3) {
            // Three places in each stretch, then the lowest of the parabola through the best and its neighbours.
            let r = w.iter().map(|t| radius(*t)).collect::<Vec<_>>();
            if r[1] <= r[0] && r[1] <= r[2] {
                let (t, r) = lowest(w[0], w[2], &radius);
                if r < best.0 {
                    best = (r, t);
                }
            }
        }
        for t in [self.at[0], self.at[PIECES]] {
            let r = radius(t);
            if r < best.0 {
                best = (r, t);
            }
        }
        // Less than can be told from a cusp.
        if best.0 < CUSP * self.stride() { (0.0, best.1) } else { best }
    }

    /// Lowers `best` by places of this strand and another (or itself) that look straight at one another.
    fn near(&self, other: &Self, same: bool, best: &mut Closest) {
        let stride = self.stride().max(other.stride());
        let [ours, theirs] = [self, other].map(|walk| Box3::around(walk.points.iter().copied()));
        let apart = (ours.min - theirs.max).max(theirs.min - ours.max).max(Vec3::ZERO).norm();
        if apart >= 2.0 * best.radius + 4.0 * stride {
            return;
        }
        let last = other.count();
        let stretches: Vec<Box3> =
            other.points[..last].chunks(STRETCH).map(|s| Box3::around(s.iter().copied())).collect();
        for i in 0..self.count() {
            let first = if same { i + 2 } else { 0 };
            for (k, stretch) in stretches.iter().enumerate() {
                let (from, to) = ((k * STRETCH).max(first), ((k + 1) * STRETCH).min(last));
                if from >= to || gap_to(*stretch, self.points[i]) >= 2.0 * best.radius + 4.0 * stride {
                    continue;
                }
                for j in from..to {
                    let here = (self.points[i] - other.points[j]).norm();
                    if here < 2.0 * best.radius + 4.0 * stride && self.is_lowest(i, other, j, here) {
                        self.lower(other, [self.at[i], other.at[j]], best);
                    }
                }
            }
        }
    }

    /// How many of the points are places of their own.
    fn count(&self) -> usize {
        if self.closed { PIECES } else { PIECES + 1 }
    }

    /// The point `by` on from point `i`: it wraps round on closed strands and stops at ends of open ones.
    fn beside(&self, i: usize, by: isize) -> Option<Vec3> {
        let k = i as isize + by;
        let k = if self.closed { k.rem_euclid(PIECES as isize) } else { k };
        usize::try_from(k).ok().and_then(|k| self.points.get(k).copied())
    }

    /// True when no two points beside point `i` and point `j` of another strand are nearer than these, `here` mm apart.
    fn is_lowest(&self, i: usize, other: &Self, j: usize, here: f64) -> bool {
        !BESIDE.iter().any(|(a, b)| match (self.beside(i, *a), other.beside(j, *b)) {
            (Some(p), Some(q)) => (p - q).norm() < here,
            _ => false,
        })
    }

    /// Lowers `best` by the nearest places about two values of the parameters.
    fn lower(&self, other: &Self, [s, t]: [f64; 2], best: &mut Closest) {
        let (s, t) = self.settle(other, s, t);
        let (p, q) = (self.places.at(s), other.places.at(t));
        let distance = (p - q).norm();
        if distance < 2.0 * best.radius {
            *best = Closest { radius: 0.5 * distance, place: (p + q) * 0.5, by_bend: false };
        }
    }

    /// Mean distance of the places.
    fn stride(&self) -> f64 {
        self.points.windows(2).map(|w| (w[1] - w[0]).norm()).sum::<f64>() / PIECES as f64
    }

    /// The pair of parameters near a first guess whose places are nearest, by Newton's method on the distance, with
    /// each step kept within a stretch and taken only where it comes nearer.
    fn settle(&self, other: &Self, s: f64, t: f64) -> (f64, f64) {
        let (mut s, mut t) = (s, t);
        let reach = [self, other].map(|w| 2.0 * (w.at[PIECES] - w.at[0]) / PIECES as f64);
        for _ in 0..12 {
            let ((p, u), (q, v)) = (self.places.both(s), other.places.both(t));
            let (a, b) = (self.bends.at(s), other.bends.at(t));
            let w = p - q;
            let (g, h) = (w.dot(u), -w.dot(v));
            let (gg, gh, hh) = (u.dot(u) + w.dot(a), -u.dot(v), v.dot(v) - w.dot(b));
            let det = gg * hh - gh * gh;
            let (ds, dt) = if det > 1e-9 * u.dot(u) * v.dot(v) {
                ((gh * h - hh * g) / det, (gh * g - gg * h) / det)
            } else {
                (-g / u.dot(u), -h / v.dot(v))
            };
            let next = [(s, ds, self, reach[0]), (t, dt, other, reach[1])]
                .map(|(x, dx, walk, reach)| (x + dx.clamp(-reach, reach)).clamp(walk.at[0], walk.at[PIECES]));
            if !((self.places.at(next[0]) - other.places.at(next[1])).norm() < w.norm()) {
                break;
            }
            (s, t) = (next[0], next[1]);
        }
        (s, t)
    }
}

/// The lowest value of a function between two ends, by the golden section.
fn lowest(from: f64, to: f64, f: &impl Fn(f64) -> f64) -> (f64, f64) {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let (mut a, mut b) = (from, to);
    let (mut x, mut y) = (b - GOLDEN * (b - a), a + GOLDEN * (b - a));
    let (mut fx, mut fy) = (f(x), f(y));
    for _ in 0..40 {
        if fx <= fy {
            (b, y, fy) = (y, x, fx);
            x = b - GOLDEN * (b - a);
            fx = f(x);
        } else {
            (a, x, fx) = (x, y, fy);
            y = a + GOLDEN * (b - a);
            fy = f(y);
        }
    }
    if fx <= fy { (x, fx) } else { (y, fy) }
}

#[cfg(test)]
pub(super) mod tests {
    use std::f64::consts::{PI, TAU};

    use super::*;
    use crate::form::{linking, polyline, together, writhe};
    use crate::formula::{Expr, Unary};

    pub(in crate::form) fn sin(k: f64) -> Expr {
        Expr::unary(Unary::Sin, Expr::var("t") * k)
    }

    pub(in crate::form) fn cos(k: f64) -> Expr {
        Expr::unary(Unary::Cos, Expr::var("t") * k)
    }

    pub(in crate::form) fn closed(c: [Expr; 3], to: f64) -> Curve {
        Curve::new(c, "t", (0.0, to)).unwrap()
    }

    fn torus(p: f64, q: f64) -> Curve {
        closed([(cos(q) + 2.0) * cos(p), (cos(q) + 2.0) * sin(p), sin(q)], TAU)
    }

    /// An astroid turns by 4π with its cusps more than by its sides, which turn by a right angle back each; a cycloid's arch turns
    /// by half a turn, and as much between two; a semicubical parabola by atan(3/2) on both sides of its cusp.
    #[test]
    fn cusps_count_with_their_angle() {
        let cube = |e: Expr| e.clone() * e.clone() * e;
        let of = |c: [Expr; 3], from: f64, to: f64| total_curvature(&Curve::new(c, "t", (from, to)).unwrap());
        let zero = || Expr::constant(0.0);
        for from in [0.0, 0.3] {
            let found = of([cube(cos(1.0)), cube(sin(1.0)), zero()], from, from + TAU);
            assert!((found - 3.0 * TAU).abs() < 1e-3, "{found}");
        }
        let t = Expr::var("t");
        let cycloid = of([t.clone() - sin(1.0), Expr::constant(1.0) - cos(1.0), zero()], 0.0, 2.0 * TAU);
        assert!((cycloid - 1.5 * TAU).abs() < 1e-3, "{cycloid}");
        let parabola = of([t.clone() * t.clone(), cube(t), zero()], -1.0, 1.0);
        assert!((parabola - 2.0 * 1.5f64.atan() - PI).abs() < 1e-3, "{parabola}");
    }

    /// Total curvature and writhe. Source: trapezoid rule on the period, and Lk - Tw for the torus knots; Viviani's
    /// curve and the helix in closed form.
    #[test]
    fn bends_and_writhes_of_known_curves() {
        let trefoil = closed([sin(1.0) + sin(2.0) * 2.0, cos(1.0) - cos(2.0) * 2.0, -sin(3.0)], TAU);
        let eight = closed([(cos(2.0) + 2.0) * cos(3.0), (cos(2.0) + 2.0) * sin(3.0), sin(4.0)], TAU);
        for (curve, bends, writhes) in [
            (torus(2.0, 3.0), 17.822_412_418, -3.518_239_231),
            (torus(3.0, 2.0), f64::NAN, -3.900_787_075),
            (torus(2.0, 5.0), f64::NAN, -6.868_107_015),
            (torus(3.0, 4.0), f64::NAN, -8.523_711_686),
            (trefoil, 13.950_320_177, -3.354_126_22),
            (eight, 20.767_013_424, 0.086_316_11),
        ] {
            let (k, w) = (total_curvature(&curve), writhe(&curve).unwrap());
            assert!(bends.is_nan() || (k - bends).abs() < 1e-8, "{k} {bends}");
            assert!((w - writhes).abs() < 2e-7, "{w} {writhes}");
        }
        let viviani = closed([cos(1.0) + 1.0, sin(1.0), sin(0.5) * 2.0], 2.0 * TAU);
        let strand = viviani.single().unwrap();
        assert!((curvature(strand, 0.0) - 0.5).abs() < 1e-12);
        assert!((curvature(strand, PI) - 1.118_033_989).abs() < 1e-9);
        let t = Expr::var("t");
        let helix = Curve::new([cos(1.0) * 3.0, sin(1.0) * 3.0, t.clone() * 4.0], "t", (0.0, 9.0)).unwrap();
        let strand = helix.single().unwrap();
        assert!((curvature(strand, 2.0) - 3.0 / 25.0).abs() < 1e-12);
        assert!((torsion(strand, 2.0) - 4.0 / 25.0).abs() < 1e-12);
        let cubic =
            Curve::new([t.clone(), t.clone() * t.clone(), t.clone() * t.clone() * t], "t", (0.0, 1.0))
                .unwrap();
        let strand = cubic.single().unwrap();
        assert!((curvature(strand, 1.0) - 0.166_423_535_0).abs() < 1e-9);
        assert!((torsion(strand, 1.0) - 3.0 / 19.0).abs() < 1e-12);
        assert!((curvature(strand, 0.0) - 2.0).abs() < 1e-12);
        assert!((torsion(strand, 0.0) - 3.0).abs() < 1e-12);
        // By mpmath's search for the greatest value, to twenty digits.
        let sharpest = greatest_curvature(&torus(2.0, 3.0)).unwrap();
        assert!((sharpest - 0.699_157_616_070_666).abs() < 1e-9, "{sharpest}");
    }

    /// Lk = Tw + Wr for the torus knots with their push-off along the torus's normal. Sources: G. Călugăreanu, Rev. Math.
    /// Pures Appl. 4 (1959) 5; J. H. White, American J. Math. 91 (1969) 693; twists by the trapezoid rule on the period.
    #[test]
    fn twist_and_writhe_add_up_to_the_linking_number() {
        for (p, q, known) in [
            (2.0, 3.0, -2.481_760_769),
            (3.0, 2.0, -2.099_212_925),
            (2.0, 5.0, -3.131_892_985),
            (3.0, 4.0, -3.476_288_314),
        ] {
            let push =
                |r: f64| closed([(cos(q) * r + 2.0) * cos(p), (cos(q) * r + 2.0) * sin(p), sin(q) * r], TAU);
            let (knot, beside) = (push(1.0), push(1.001));
            let (path, edge) = (knot.strands()[0].places(), beside.strands()[0].places());
            // The normal of the torus and its change, from the two curves a thousandth apart.
            let n = 4000;
            let twist: f64 = (0..n)
                .map(|k| {
                    let t = TAU * f64::from(k) / f64::from(n);
                    let ((p, v), (q, w)) = (path.both(t), edge.both(t));
                    let on = v.unit().unwrap();
                    let normal = (q - p) * 1000.0;
                    let across = (normal - on * normal.dot(on)).unit().unwrap();
                    on.dot(across.cross((w - v) * 1000.0)) / f64::from(n)
                })
                .sum();
            assert!((twist - known).abs() < 1e-8, "{p} {q}: {twist}, wanted {known}");
            let linked = linking(&knot, &push(1.1)).unwrap();
            let sum = twist + writhe(&knot).unwrap();
            assert!((sum - linked as f64).abs() < 5e-7, "{p} {q}: {sum}, linked {linked} times");
        }
    }

    /// Thickest tubes in closed form: a circle's radius; half of the distance of two circles; half of the distance of
    /// a helix's turns where it is steep enough for the bend; a corner carries none.
    #[test]
    fn the_thickest_tube_is_found() {
        let zero = || Expr::constant(0.0);
        let ring = |z: f64| closed([cos(1.0) * 5.0, sin(1.0) * 5.0, Expr::constant(z)], TAU);
        let one = widest(&ring(0.0)).unwrap();
        assert!((one.radius - 5.0).abs() < 1e-9 && one.by_bend, "{one:?}");
        let two = widest(&together(&[ring(0.0), ring(3.0)]).unwrap()).unwrap();
        assert!((two.radius - 1.5).abs() < 1e-9 && !two.by_bend, "{two:?}");
        let ellipse = closed([cos(1.0) * 6.0, sin(1.0) * 2.0, zero()], TAU);
        let bend = widest(&ellipse).unwrap();
        assert!((bend.radius - 4.0 / 6.0).abs() < 1e-8, "{bend:?}");
        // Nearest turns of the helix (5 cos t, 5 sin t, t/5): least of √(50(1 - cos s) + s²/25) near a whole turn.
        let helix = Curve::new([cos(1.0) * 5.0, sin(1.0) * 5.0, Expr::var("t") * 0.2], "t", (0.0, 5.0 * TAU))
            .unwrap();
        let least = (0..200_000)
            .map(|i| TAU - 0.01 + f64::from(i) * 1e-7)
            .map(|s| (50.0 * (1.0 - s.cos()) + s * s * 0.04).sqrt())
            .fold(f64::INFINITY, f64::min);
        let found = widest(&helix).unwrap();
        assert!((found.radius - 0.5 * least).abs() < 1e-8, "{found:?} {least}");
        let corner =
            polyline(&[Vec3::ZERO, Vec3::new(4.0, 0.0, 0.0), Vec3::new(4.0, 4.0, 0.0)], false).unwrap();
        assert_eq!(widest(&corner).unwrap().radius, 0.0);
        // A figure that meets itself carries nothing.
        let eight = closed([sin(1.0), sin(2.0), zero()], TAU);
        assert!(widest(&eight).unwrap().radius < 1e-9);
    }
}
