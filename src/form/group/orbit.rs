//! A thing and all its images under a group, those that coincide counted once.

use super::hypersphere::Turned;
use super::{Group, GroupFault, Kind};
use crate::base::{Affine, Box3, Vec2, Vec3};
use crate::form::curve::GAUSS;
use crate::form::flat::{self, Flat, Path, Segment};
use crate::form::motion::Movable;
use crate::form::net::{Net, together};
use crate::form::{Bounded, Curve, Solid};
use crate::formula::Tape;

/// Most images of a flat or curve, and of a solid.
const MOST: usize = 50_000;
const MOST_SOLIDS: usize = 4_000;
/// Most edges of all images of a net, before those that coincide are one.
const MOST_EDGES: usize = 500_000;
/// Images that agree to this part of their extent are one.
const ALIKE: f64 = 1e-7;

/// How far the images of a group with steps go.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reach {
    /// Every image; for finite groups.
    All,
    /// Images whose middles lie in a ball (in the plane, a disc) of this radius about the origin, mm.
    Ball(f64),
    /// Images whose middles lie in a box about the origin with these sides, mm.
    Box(Vec3),
}

impl Reach {
    fn holds(self, p: Vec3) -> bool {
        match self {
            Self::All => true,
            Self::Ball(r) => p.norm() <= r * (1.0 + 1e-12),
            Self::Box(sides) => (0..3).all(|i| p[i].abs() <= 0.5 * sides[i] * (1.0 + 1e-12)),
        }
    }

    /// How far images go, without end when nothing is said.
    fn or_all(self) -> f64 {
        if self == Self::All { f64::INFINITY } else { self.far() }
    }

    fn far(self) -> f64 {
        match self {
            Self::All => 0.0,
            Self::Ball(r) => r,
            // Sides without end do not matter: nothing repeats along them.
            Self::Box(sides) => {
                0.5 * sides.array().iter().filter(|s| s.is_finite()).map(|s| s * s).sum::<f64>().sqrt()
            }
        }
    }
}

/// The motions that take a thing with its middle at `centre` into reach.
fn motions(group: &Group, centre: Vec3, reach: Reach, most: usize) -> Result<Vec<Affine>, GroupFault> {
    match group.kind() {
        Kind::Disc => {
            return Err(GroupFault::Unfit(
                "images in the hyperbolic plane are made of flats; `fold` repeats fields and solids".into(),
            ));
        }
        Kind::Hypersphere => {
            return Err(GroupFault::Unfit("images in four dimensions are made of solids and nets".into()));
        }
        _ => (),
    }
    if group.kind() != Kind::Point && reach == Reach::All {
        return Err(GroupFault::Unfit(format!(
            "a {} has no end: say how far the images go, as a radius or as the sides of a box, mm",
            group.kind().name()
        )));
    }
    let steps = group.steps();
    let far = reach.far() + group.motions().iter().map(|m| m.apply(centre).norm()).fold(0.0, f64::max);
    // A row of steps along one edge passes planes of the others: the distance of those bounds the count.
    let count = |i: usize| match steps.get(i) {
        None => 0.0,
        Some(step) => {
            let normal = match steps {
                [_] => *step,
                [a, b] => {
                    let other = if i == 0 { *b } else { *a };
                    *step - other * (step.dot(other) / other.dot(other))
                }
                _ => steps[(i + 1) % 3].cross(steps[(i + 2) % 3]),
            };
            far * normal.norm() / step.dot(normal).abs()
        }
    };
    let counts = [0, 1, 2].map(|i| (count(i) + 1e-9).floor());
    let cells: f64 = counts.iter().map(|c| 2.0 * c + 1.0).product();
    if !(cells * (group.order() as f64) < 64.0 * most as f64) {
        return Err(GroupFault::Unfit(format!(
            "more than {most} images: reach less far, or take a larger cell"
        )));
    }
    let [m, n, o] = counts.map(|c| c as i64);
    let step = |i: usize, k: i64| steps.get(i).copied().unwrap_or(Vec3::ZERO) * k as f64;
    let mut found = Vec::new();
    for motion in group.motions() {
        for i in -m..=m {
            for j in -n..=n {
                for k in -o..=o {
                    let by = motion.then(&Affine::shift(step(0, i) + step(1, j) + step(2, k)));
                    if reach.holds(by.apply(centre)) {
                        found.push(by);
                    }
                }
            }
        }
    }
    if found.len() > most {
        return Err(GroupFault::Unfit(format!(
            "more than {most} images: reach less far, or take a larger cell"
        )));
    }
    Ok(found)
}

/// Keeps the first of rows of numbers that agree, by their places in the list.
fn distinct(rows: &[Vec<f64>], size: f64) -> Vec<usize> {
    let mut order: Vec<usize> = (0..rows.len()).collect();
    order.sort_by(|a, b| rows[*a][0].total_cmp(&rows[*b][0]).then(a.cmp(b)));
    let near = |a: &[f64], b: &[f64]| a.iter().zip(b).all(|(x, y)| (x - y).abs() <= ALIKE * size || x == y);
    let mut kept: Vec<usize> = Vec::new();
    for i in order {
        let close = kept.iter().rev().take_while(|k| rows[i][0] - rows[**k][0] <= ALIKE * size);
        if !close.into_iter().any(|k| near(&rows[i], &rows[*k])) {
            kept.push(i);
        }
    }
    kept.sort_unstable();
    kept
}

/// Every image of a solid, joined. Images are one where their fields agree at many points.
///
/// # Errors
/// [`GroupFault::Unfit`].
pub fn orbit_solid(group: &Group, solid: &Solid, reach: Reach) -> Result<Solid, GroupFault> {
    let told = |f: crate::form::FormFault| GroupFault::Unfit(f.to_string());
    if let Some(turned) = of_four(group) {
        return turned.solid(solid, reach.or_all());
    }
    let own = match reach {
        Reach::All => solid.within(),
        _ => solid.bounds().map_err(told)?,
    };
    let centre = if own.is_finite() { own.centre() } else { Vec3::ZERO };
    let all = motions(group, centre, reach, MOST_SOLIDS)?;
    let kept = match signatures(solid, &all, own) {
        Some((rows, size)) => distinct(&rows, size),
        None => (0..all.len()).collect(),
    };
    let images: Result<Vec<Solid>, _> = kept.iter().map(|i| solid.moved(&all[*i])).collect();
    Solid::Union(images.map_err(told)?.into()).checked().map_err(told)
}

/// The motions of a group of four dimensions.
fn of_four(group: &Group) -> Option<Turned> {
    let (normals, radius, turns) = group.mirrors()?.hypersphere()?;
    Some(Turned::new(normals, radius, turns))
}

/// The values of each image's field at points of the region that the images fill; `None` where there are none.
fn signatures(solid: &Solid, all: &[Affine], own: Box3) -> Option<(Vec<Vec<f64>>, f64)> {
    let value = solid.lower(&mut |_, _| Err(crate::form::FormFault::Empty)).ok()?;
    let tape = Tape::new(&value).ok()?;
    let far = match own.is_finite() {
        true => own.corners().iter().map(|c| c.norm()).fold(0.0, f64::max),
        false => 50.0,
    };
    let points: Vec<Vec3> = (0..24_u32).map(|i| scattered(i) * far).collect();
    let rows = all.iter().map(|m| {
        let back = m.inverse()?;
        Some(points.iter().map(|p| tape.value(back.apply(*p))).collect())
    });
    Some((rows.collect::<Option<Vec<_>>>()?, far.max(f64::MIN_POSITIVE)))
}

/// Points of the cube from -1 to 1 that fill it evenly. Source: J. H. Halton, Numer. Math. 2 (1960) 84.
pub(super) fn scattered(i: u32) -> Vec3 {
    let digit = |base: u32| {
        let (mut n, mut part, mut sum) = (i + 20, 1.0, 0.0);
        while n > 0 {
            part /= f64::from(base);
            sum += part * f64::from(n % base);
            n /= base;
        }
        2.0 * sum - 1.0
    };
    Vec3::new(digit(2), digit(3), digit(5))
}

/// Every image of a curve, each as a curve; images that run through the same points are one.
///
/// # Errors
/// [`GroupFault::Unfit`].
pub fn orbit_curve(group: &Group, curve: &Curve, reach: Reach) -> Result<Vec<Curve>, GroupFault> {
    let told = |f: crate::form::FormFault| GroupFault::Unfit(f.to_string());
    let strand = |s: &crate::form::Strand| {
        let (places, (from, to)) = (s.places(), s.range());
        (0..=512).map(move |i| {
            let t = from + (to - from) * f64::from(i) / 512.0;
            let weight = if i == 0 || i == 512 { 0.5 } else { 1.0 };
            let (p, v) = places.both(t);
            (p, weight * (to - from) * v.norm())
        })
    };
    let samples: Vec<(Vec3, f64)> = curve.strands().iter().flat_map(strand).collect();
    let total: f64 = samples.iter().map(|s| s.1).sum();
    let middle = samples.iter().fold(Vec3::ZERO, |a, (p, w)| a + *p * *w) * (1.0 / total);
    let all = motions(group, middle, reach, MOST)?;
    let far = samples.iter().map(|s| s.0.norm()).fold(0.0, f64::max) + reach.far();
    // Means along the curve of functions that no symmetry spares.
    let row = |m: &Affine| {
        let mut sums = vec![0.0; 6];
        for (p, w) in &samples {
            let q = m.apply(*p) * (1.0 / far);
            let terms = [
                q.x + 0.3 * q.y + 0.7 * q.z,
                q.y,
                q.z,
                q.x * q.x + 0.31 * q.y * q.y + 0.73 * q.z * q.z,
                q.x * q.y + 0.4 * q.y * q.z + 0.17 * q.z * q.x,
                q.x * q.x * q.y + 0.2 * q.z * q.z * q.z + 0.6 * q.x * q.y * q.z,
            ];
            sums.iter_mut().zip(terms).for_each(|(s, t)| *s += t * w / total);
        }
        sums
    };
    let rows: Vec<Vec<f64>> = all.iter().map(row).collect();
    distinct(&rows, 10.0).into_iter().map(|i| curve.moved(&all[i]).map_err(told)).collect()
}

/// Every image of some points, those at one place once: the general position of a point, or a special one.
///
/// # Errors
/// [`GroupFault::Unfit`].
pub fn orbit_points(group: &Group, points: &[Vec3], reach: Reach) -> Result<Vec<Vec3>, GroupFault> {
    let mut all = Vec::new();
    for p in points {
        all.extend(motions(group, *p, reach, MOST)?.iter().map(|m| m.apply(*p)));
        if all.len() > MOST {
            return Err(GroupFault::Unfit(format!("more than {MOST} images of points: reach less far")));
        }
    }
    let far = all.iter().map(|p| p.norm()).fold(0.0, f64::max);
    let rows: Vec<Vec<f64>> = all.iter().map(|p| p.array().to_vec()).collect();
    Ok(distinct(&rows, far).into_iter().map(|i| all[i]).collect())
}

/// Every image of a net, joined: points and edges that coincide are one.
///
/// # Errors
/// [`GroupFault::Unfit`].
pub fn orbit_net(group: &Group, net: &Net, reach: Reach) -> Result<Net, GroupFault> {
    let told = |f: crate::form::FormFault| GroupFault::Unfit(f.to_string());
    if let Some(turned) = of_four(group) {
        return turned.net(net, reach.or_all());
    }
    let all = motions(group, net.within().centre(), reach, MOST)?;
    if all.len() * net.edges().len() > MOST_EDGES {
        return Err(GroupFault::Unfit(format!(
            "more than {MOST_EDGES} edges: reach less far, or take fewer"
        )));
    }
    let images = all.iter().map(|m| net.moved(m)).collect::<Result<Vec<Net>, _>>().map_err(told)?;
    Ok(together(net.name(), &images))
}

/// Every image of a flat, joined: regions of one layer become one where they overlap, lines that lie on one another are
/// kept once.
///
/// # Errors
/// [`GroupFault::Unfit`].
pub fn orbit_flat(group: &Group, flat: &Flat, reach: Reach) -> Result<Flat, GroupFault> {
    let told = |f: crate::form::FormFault| GroupFault::Unfit(f.to_string());
    let b = flat.bounds();
    if b.is_empty() {
        return Ok(flat.clone());
    }
    if let Some(mirrors) = group.mirrors() {
        let far = match reach {
            Reach::All => f64::INFINITY,
            other => other.far(),
        };
        if far.is_infinite() && group.kind() == Kind::Disc {
            return Err(GroupFault::Unfit(
                "the hyperbolic plane has no end: say how far the images go, as a radius less than that of the disc, mm".into(),
            ));
        }
        if let Some(made) = mirrors.orbit(flat, far)? {
            return Ok(made);
        }
    }
    let all = motions(group, b.centre(), reach, MOST)?;
    let images: Vec<Flat> = all.iter().map(|m| flat.moved(m)).collect::<Result<_, _>>().map_err(told)?;
    let joined = flat::all(&unlike(images));
    let size = joined.bounds().size().largest();
    Ok(joined.each_layer(|layer| (layer.loops.to_vec(), once(&layer.lines, size * ALIKE))))
}

/// Flats without the regions and lines that coincide with one before them: joined, their arcs would be cut up by rounding.
fn unlike(flats: Vec<Flat>) -> Vec<Flat> {
    let parts: Vec<Vec<Flat>> = flats.iter().map(Flat::parts).collect();
    let size = flats.iter().map(|f| f.bounds().size().largest()).fold(0.0, f64::max);
    let names: Vec<&str> = flats.iter().flat_map(|f| f.layers()).map(|l| &*l.name).collect();
    let row = |part: &Flat| {
        let layer = part.layers().first().map_or("", |l| &*l.name);
        let mut row = features(part.loops().chain(part.lines()), size);
        row.push(part.loops().count() as f64);
        row.push(names.iter().position(|n| *n == layer).unwrap_or(0) as f64);
        row
    };
    let rows: Vec<Vec<f64>> = parts.iter().flatten().map(row).collect();
    let kept = distinct(&rows, 1.0);
    if kept.len() == rows.len() {
        return flats;
    }
    let parts: Vec<Flat> = parts.into_iter().flatten().collect();
    kept.into_iter().map(|i| parts[i].clone()).collect()
}

/// Numbers that tell where some paths run, wherever they are taken to begin: integrals along them of place, and
/// of waves about as long as they are.
fn features<'a>(loops: impl Iterator<Item = &'a Path>, size: f64) -> Vec<f64> {
    use libm::{cos, sin};
    const PIECES: u32 = 8;
    let waves = [Vec2::new(6.1, 2.3), Vec2::new(-1.7, 5.3)].map(|w| w * (1.0 / size));
    let mut sums = vec![0.0; 6];
    for piece in loops.flat_map(|l| &l.pieces) {
        for k in 0..PIECES {
            for (x, weight) in GAUSS {
                let t = (f64::from(k) + 0.5 + 0.5 * x) / f64::from(PIECES);
                let (p, along) = (piece.at(t), piece.slope(t).norm() * weight / f64::from(2 * PIECES));
                let [a, b] = waves.map(|w| w.dot(p));
                let terms = [p.x / size + 0.3 * p.y / size, p.y / size, cos(a), sin(a), cos(b), sin(b)];
                sums.iter_mut().zip(terms).for_each(|(s, t)| *s += t * along / size);
            }
        }
    }
    sums
}

/// Lines without the pieces that lie on a piece before them.
pub(in crate::form) fn once(lines: &[Path], near: f64) -> Vec<Path> {
    let cell = |p: Vec2| ((p.x / (4.0 * near)).round() as i64, (p.y / (4.0 * near)).round() as i64);
    let mut seen = std::collections::BTreeMap::<(i64, i64), Vec<Segment>>::new();
    let mut out = Vec::new();
    let alike = |a: &Segment, b: &Segment| {
        let close = |p: Vec2, q: Vec2| (p - q).norm() <= 2.0 * near;
        let ends = (close(a.start(), b.start()) && close(a.end(), b.end()))
            || (close(a.start(), b.end()) && close(a.end(), b.start()));
        ends && close(a.at(0.5), b.at(0.5))
    };
    for line in lines {
        let mut open: Vec<Segment> = Vec::new();
        for piece in &line.pieces {
            let (i, j) = cell(piece.at(0.5));
            let around = (-1..=1).flat_map(|x| (-1..=1).map(move |y| (i + x, j + y)));
            let known = around.filter_map(|c| seen.get(&c)).flatten().any(|s| alike(s, piece));
            if known {
                if !open.is_empty() {
                    out.push(Path { pieces: std::mem::take(&mut open), closed: false });
                }
            } else {
                seen.entry((i, j)).or_default().push(*piece);
                open.push(*piece);
            }
        }
        if !open.is_empty() {
            let closed = line.closed && open.len() == line.pieces.len();
            out.push(Path { pieces: open, closed });
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::super::CellAsk;
    use super::*;
    use crate::form::{ball, shift, turn};
    use crate::formula::{Expr, Unary};

    fn group(symbol: &str, a: f64) -> Group {
        Group::named(symbol, &CellAsk { a: Some(a), ..CellAsk::default() }).unwrap()
    }

    fn count(solid: &Solid) -> usize {
        match solid {
            Solid::Union(list) => list.len(),
            _ => 1,
        }
    }

    /// Orders over orders of the stabilizer: corners of regular solids.
    #[test]
    fn images_that_coincide_are_one() {
        let golden = f64::midpoint(1.0, 5.0_f64.sqrt());
        for (symbol, at, images) in [
            ("Oh", [9.0, 0.0, 0.0], 6),
            ("Oh", [9.0, 9.0, 9.0], 8),
            ("Oh", [9.0, 9.0, 0.0], 12),
            ("Oh", [0.0, 0.0, 0.0], 1),
            ("Oh", [9.0, 5.0, 2.0], 48),
            ("Ih", [0.0, 9.0, 9.0 * golden], 12),
            ("Ih", [9.0, 9.0, 9.0], 20),
            ("D5", [9.0, 0.0, 0.0], 5),
        ] {
            let dot = shift(&ball(1.0).unwrap(), at.into()).unwrap();
            assert_eq!(
                count(&orbit_solid(&group(symbol, 1.0), &dot, Reach::All).unwrap()),
                images,
                "{symbol} {at:?}"
            );
            let points = orbit_points(&group(symbol, 1.0), &[at.into()], Reach::All).unwrap();
            assert_eq!(points.len(), images, "{symbol} {at:?}");
        }
        let (s, c) = (Expr::unary(Unary::Sin, Expr::var("t")), Expr::unary(Unary::Cos, Expr::var("t")));
        let circle = Curve::new([c * 5.0, s * 5.0, Expr::constant(0.0)], "t", (0.0, 2.0 * PI)).unwrap();
        assert_eq!(orbit_curve(&group("Oh", 1.0), &circle, Reach::All).unwrap().len(), 3);
        assert_eq!(orbit_curve(&group("I", 1.0), &circle, Reach::All).unwrap().len(), 15);
        let askew = turn(&circle, Vec3::new(1.0, 0.3, 0.0), 20.0).unwrap();
        assert_eq!(orbit_curve(&group("T", 1.0), &askew, Reach::All).unwrap().len(), 12);
    }

    /// Discs on centres of turns are taken to themselves: the area is that of 19 discs, and none is cut up.
    #[test]
    fn discs_on_centres_of_turns_stay_whole() {
        let disc = crate::form::flat::disc(2.0).unwrap();
        for (symbol, count) in [("p6mm", 19), ("p3", 19), ("p4mm", 21)] {
            let made = orbit_flat(&group(symbol, 20.0), &disc, Reach::Ball(45.0)).unwrap();
            assert_eq!(made.regions(), count, "{symbol}");
            assert!((made.area() / (4.0 * PI) - count as f64).abs() < 1e-9, "{symbol} {}", made.area());
            assert!(made.loops().all(|l| l.pieces.len() <= 4), "{symbol}");
        }
    }

    #[test]
    fn lattices_fill_their_reach() {
        let dot = ball(1.0).unwrap();
        let far = |r| orbit_solid(&group("Pm-3m", 10.0), &dot, Reach::Ball(r)).map(|s| count(&s));
        // Points of the cubic lattice within the square root of 0, 1, 2, 3 steps: 1, 7, 19, 27.
        assert_eq!([far(1.0), far(10.0), far(14.2), far(17.4)].map(Result::unwrap), [1, 7, 19, 27]);
        let box_of = Reach::Box(Vec3::new(40.0, 20.0, 0.0));
        assert_eq!(count(&orbit_solid(&group("p1", 10.0), &dot, box_of).unwrap()), 15);
        assert!(orbit_solid(&group("p1", 10.0), &dot, Reach::All).is_err());
        assert!(orbit_solid(&group("Pm-3m", 0.1), &dot, Reach::Ball(100.0)).is_err());
    }

    /// The edges of one face make the whole cube, 12 edges; of a cell of the cubic lattice they make the lattice.
    #[test]
    fn nets_join_where_they_meet() {
        let corners =
            [[5.0, 5.0, 5.0], [-5.0, 5.0, 5.0], [-5.0, -5.0, 5.0], [5.0, -5.0, 5.0]].map(Vec3::from);
        let square = crate::form::net::web(corners.to_vec(), vec![[0, 1], [1, 2], [2, 3], [3, 0]]).unwrap();
        let cube = orbit_net(&group("Oh", 1.0), &square, Reach::All).unwrap();
        assert_eq!((cube.points().len(), cube.edges().len()), (8, 12));
        let lattice = orbit_net(&group("Pm-3m", 10.0), &cube, Reach::Box(Vec3::splat(20.0))).unwrap();
        // 3 by 3 by 3 cells: 4³ points and 3·3·16 edges.
        assert_eq!((lattice.points().len(), lattice.edges().len()), (64, 144));
    }

    #[test]
    fn flats_join_and_lines_are_drawn_once() {
        let hexagons = orbit_flat(
            &group("p6mm", 10.0),
            &flat::regular(6, 10.0 / 3.0_f64.sqrt(), 1).unwrap(),
            Reach::Ball(30.0),
        );
        // The lattice's hexagons stand on their points: turned by 30° they would tile; as given they overlap.
        assert!(hexagons.unwrap().area() > 0.0);
        let square = flat::outline(
            &flat::polygon(&[[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]].map(Vec2::from), 0.0)
                .unwrap(),
        );
        let net = orbit_flat(&group("p1", 10.0), &square, Reach::Box(Vec3::new(31.0, 31.0, 1.0))).unwrap();
        // Middles at ±5 and ±15: a grid of 4 by 4 squares has 40 edges of 10 mm.
        assert!((net.length() - 400.0).abs() < 1e-6, "{}", net.length());
    }
}
