//! First nets: any with the right border will do.

use super::loops::Loops;
use super::web::{Held, Web};
use crate::base::Vec3;
use crate::form::fault::{FormFault, unfit};

/// Least angle between two loops as seen from the middle of all, radians, where there are more than two.
const APART: f64 = 0.5;
/// Edges of a loop that are looked along when two loops are joined.
const LOOKED: usize = 96;

/// The net of a disc, a tube or a ball with holes on the loops, with edges about `step` mm long on the border; or the net
/// of a band with one side, whose edge is the only loop.
///
/// # Errors
/// [`FormFault::Unfit`] when more than two loops cannot be told apart from their middle, or a band with one side is to
/// hang on several.
pub fn web(loops: &Loops, step: f64, one_sided: bool) -> Result<Web, FormFault> {
    let mut web = Web { one_sided, ..Web::default() };
    let rings: Vec<Vec<u32>> = (0..loops.count())
        .map(|which| {
            let all = loops.parameters(which, step);
            let which = which as u32;
            all.into_iter().map(|t| web.add(loops.at(which, t), Held::On(which, t))).collect()
        })
        .collect();
    match rings.as_slice() {
        [one] if one_sided => band(&mut web, one),
        _ if one_sided => {
            let why = format!("has {} loops; a film with one side hangs on one", rings.len());
            return Err(unfit("boundary", why));
        }
        [one] => {
            let middle = middle(&web, one);
            let middle = web.add(middle, Held::Free);
            for k in 0..one.len() {
                web.triangles.push([one[k], one[(k + 1) % one.len()], middle]);
            }
        }
        [one, two] => join(&mut web, one, two),
        many => ball(&mut web, many)?,
    }
    Ok(web)
}

/// A band whose edge goes round twice: places half the ring apart are joined.
fn band(web: &mut Web, ring: &[u32]) {
    let n = ring.len() & !1;
    let half = n / 2;
    let last = ring.len() - 1;
    for k in 0..half {
        let next = |i: usize| ring[(i + 1) % n];
        let (a, b) = (ring[k], ring[k + half]);
        web.triangles.extend([[a, next(k), b], [next(k), next(k + half), b]]);
    }
    // An odd point out lies between the last and the first.
    if last == n {
        web.triangles.push([ring[n - 1], ring[n], ring[0]]);
    }
}

fn middle(web: &Web, ring: &[u32]) -> Vec3 {
    ring.iter().fold(Vec3::ZERO, |s, i| s + web.points[*i as usize]) / ring.len() as f64
}

/// Joins two rings by triangles: `two` is walked the way round, and from the place, that brings it nearest.
fn join(web: &mut Web, one: &[u32], two: &[u32]) {
    let place = |ring: &[u32], share: f64| {
        let at = share.rem_euclid(1.0) * ring.len() as f64;
        let k = at as usize % ring.len();
        let (p, q) = (web.points[ring[k] as usize], web.points[ring[(k + 1) % ring.len()] as usize]);
        p + (q - p) * (at - libm::floor(at))
    };
    let (mut best, mut least) = (two.to_vec(), f64::INFINITY);
    let back: Vec<u32> = two.iter().rev().copied().collect();
    let (m, n) = (middle(web, one), middle(web, two));
    for ring in [two, &back] {
        for k in 0..ring.len() {
            let from = k as f64 / ring.len() as f64;
            let far = (0..LOOKED).map(|i| {
                let s = i as f64 / LOOKED as f64;
                let d = (place(one, s) - m) - (place(ring, from + s) - n);
                d.dot(d)
            });
            let far: f64 = far.sum();
            if far < least * (1.0 - 1e-9) {
                least = far;
                best = ring[k..].iter().chain(&ring[..k]).copied().collect();
            }
        }
    }
    let (mut i, mut j) = (0, 0);
    while i < one.len() || j < best.len() {
        let share = |k: usize, of: usize| (k + 1) as f64 / of as f64;
        let (a, b) = (one[i % one.len()], best[j % best.len()]);
        if j == best.len() || (i < one.len() && share(i, one.len()) <= share(j, best.len())) {
            web.triangles.push([a, one[(i + 1) % one.len()], b]);
            i += 1;
        } else {
            web.triangles.push([a, best[(j + 1) % best.len()], b]);
            j += 1;
        }
    }
}

/// A ball in the middle of the rings, with a hole toward each, joined to it.
fn ball(web: &mut Web, rings: &[Vec<u32>]) -> Result<(), FormFault> {
    let middles: Vec<Vec3> = rings.iter().map(|r| middle(web, r)).collect();
    let centre = middles.iter().fold(Vec3::ZERO, |s, p| s + *p) / middles.len() as f64;
    let toward: Vec<Vec3> = middles.iter().filter_map(|p| (*p - centre).unit()).collect();
    let mut least = std::f64::consts::FRAC_PI_2;
    for (i, a) in toward.iter().enumerate() {
        for b in &toward[..i] {
            least = least.min(libm::acos(a.dot(*b).clamp(-1.0, 1.0)));
        }
    }
    if toward.len() < rings.len() || least < APART {
        let why = "has loops that lie behind one another as seen from the middle of all: hang a film on fewer of them";
        return Err(unfit("boundary", why));
    }
    let far = middles.iter().map(|p| (*p - centre).norm()).fold(f64::INFINITY, f64::min);
    let base = web.points.len() as u32;
    let (points, triangles) = sphere(3);
    // The hole toward each loop that a point lies in.
    let hole: Vec<Option<usize>> = points
        .iter()
        .map(|p| toward.iter().position(|d| libm::acos(p.dot(*d).clamp(-1.0, 1.0)) < 0.42 * least))
        .collect();
    for p in &points {
        web.add(centre + *p * (0.6 * far), Held::Free);
    }
    let mut open: Vec<Vec<(u32, u32)>> = vec![vec![]; rings.len()];
    let from = web.triangles.len();
    for t in triangles {
        match t.iter().find_map(|i| hole[*i as usize]) {
            None => web.triangles.push(t.map(|i| i + base)),
            // The sides of a triangle that is left out, walked backward, are the border of what stays.
            Some(which) => open[which].extend((0..3).map(|k| (t[k] + base, t[(k + 1) % 3] + base))),
        }
    }
    debug_assert!(web.triangles.len() > from);
    for (ring, sides) in rings.iter().zip(open) {
        let border: Vec<(u32, u32)> =
            sides.iter().copied().filter(|(a, b)| !sides.contains(&(*b, *a))).collect();
        let mut walk = vec![border[0].0];
        let mut at = border[0].1;
        while at != walk[0] && walk.len() < border.len() {
            walk.push(at);
            at = border.iter().find(|s| s.0 == at).map_or(walk[0], |s| s.1);
        }
        join(web, &walk, ring);
    }
    web.compact();
    Ok(())
}

/// An icosahedron on the unit sphere, its triangles halved so often.
fn sphere(halvings: usize) -> (Vec<Vec3>, Vec<[u32; 3]>) {
    let g = 0.5 * (1.0 + 5f64.sqrt());
    let mut points = Vec::new();
    for (a, b) in [(1.0, g), (-1.0, g), (1.0, -g), (-1.0, -g)] {
        points.extend([Vec3::new(0.0, a, b), Vec3::new(a, b, 0.0), Vec3::new(b, 0.0, a)]);
    }
    let mut triangles = Vec::new();
    let near = |a: &Vec3, b: &Vec3| ((*a - *b).norm() - 2.0).abs() < 1e-9;
    for i in 0..12u32 {
        for j in i + 1..12 {
            for k in j + 1..12 {
                let [a, b, c] = [i, j, k].map(|n| points[n as usize]);
                if near(&a, &b) && near(&b, &c) && near(&c, &a) {
                    let out = (b - a).cross(c - a).dot(a) > 0.0;
                    triangles.push(if out { [i, j, k] } else { [i, k, j] });
                }
            }
        }
    }
    for _ in 0..halvings {
        let mut middles: Vec<([u32; 2], u32)> = Vec::new();
        for t in &triangles {
            for k in 0..3 {
                let (a, b) = (t[k], t[(k + 1) % 3]);
                if a < b {
                    middles.push(([a, b], points.len() as u32));
                    points.push((points[a as usize] + points[b as usize]) * 0.5);
                }
            }
        }
        middles.sort_unstable();
        let middle = |a: u32, b: u32| middles[middles.partition_point(|m| m.0 < [a.min(b), a.max(b)])].1;
        let mut finer = Vec::with_capacity(triangles.len() * 4);
        for [a, b, c] in &triangles {
            let (ab, bc, ca) = (middle(*a, *b), middle(*b, *c), middle(*c, *a));
            finer.extend([[*a, ab, ca], [ab, *b, bc], [ca, bc, *c], [ab, bc, ca]]);
        }
        triangles = finer;
    }
    (points.into_iter().filter_map(Vec3::unit).collect(), triangles)
}
