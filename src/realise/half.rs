//! Outlines of a section parted along a line through its origin, and made alike on both sides of it.

use super::far_from_chord;
use crate::base::{Vec2, Vec3};

/// Puts a point on every side that crosses the line through the origin square to `outward` (of length 1); points nearer to it than
/// `snap` mm come to lie on it.
pub fn part(loops: &mut [Vec<Vec2>], outward: Vec2, snap: f64) {
    for l in loops {
        for p in l.iter_mut() {
            let out = p.dot(outward);
            if out.abs() <= snap {
                *p = *p - outward * out;
            }
        }
        let far = |p: Vec2| if p.dot(outward).abs() <= snap { 0.0 } else { p.dot(outward) };
        let n = l.len();
        let side = |k: usize| {
            let (p, q) = (l[k], l[(k + 1) % n]);
            let (a, b) = (far(p), far(q));
            let between = (a * b < 0.0).then(|| {
                let m = p.toward(q, a / (a - b));
                m - outward * m.dot(outward)
            });
            [Some(p), between].into_iter().flatten()
        };
        *l = (0..n).flat_map(side).collect();
    }
}

/// A point of the right half of a section (0), or the mirror image of one of its left half (1), and back.
pub fn image(p: Vec2, half: usize) -> Vec2 {
    if half == 0 { p } else { Vec2::new(-p.x, p.y) }
}

/// Makes outlines that are parted along x = 0 alike on both sides of it, by those where x is more than 0; gives the number of each
/// point's mirror image, all loops in turn. `None`, and nothing changes, where they are not alike within `off` mm.
pub fn mirrored(loops: &mut Vec<Vec<Vec2>>, off: f64) -> Option<Vec<usize>> {
    let mut made: Vec<Vec<Vec2>> = vec![];
    let mut twins: Vec<usize> = vec![];
    for l in loops.iter() {
        let (n, start) = (l.len(), twins.len());
        let on: Vec<usize> = (0..n).filter(|k| l[*k].x == 0.0).collect();
        match on[..] {
            [] if l[0].x < 0.0 => {}
            [] => {
                made.extend([l.clone(), l.iter().rev().map(|p| image(*p, 1)).collect()]);
                twins.extend((start..start + 2 * n).map(|k| 2 * start + 2 * n - 1 - k));
            }
            [a, b] => {
                let (from, to) = if l[(a + 1) % n].x > 0.0 { (a, b) } else { (b, a) };
                let count = (to + n - from) % n;
                let half: Vec<Vec2> = (0..=count).map(|k| l[(from + k) % n]).collect();
                let back = half[1..count].iter().rev().map(|p| image(*p, 1));
                made.push(half.iter().copied().chain(back).collect());
                twins.extend((0..2 * count).map(|k| start + (2 * count - k) % (2 * count)));
            }
            _ => return None,
        }
    }
    // Those that were left out lie on their images, and those on theirs; corners of curved parts are off by twice as much.
    let near = |p: &Vec2, some: &[Vec<Vec2>]| away(some, *p) <= 3.0 * off;
    let alike =
        loops.iter().flatten().all(|p| near(p, &made)) && made.iter().flatten().all(|p| near(p, loops));
    if made.is_empty() || !alike {
        return None;
    }
    *loops = made;
    Some(twins)
}

/// How far a point is from outlines.
fn away(loops: &[Vec<Vec2>], p: Vec2) -> f64 {
    let lifted = |p: Vec2| Vec3::new(p.x, p.y, 0.0);
    let of = |l: &Vec<Vec2>| {
        let side = |k: usize| far_from_chord(lifted(p), lifted(l[k]), lifted(l[(k + 1) % l.len()]));
        (0..l.len()).map(side).fold(f64::INFINITY, f64::min)
    };
    loops.iter().map(of).fold(f64::INFINITY, f64::min)
}

/// A point to be put on a side: of which loop and side, how far along it, and where.
type Put = (usize, usize, f64, Vec2);

/// Puts points where the right half of outlines that are parted along x = 0 and the mirror image of the left one meet or cross;
/// points nearer to one another or to a side than `snap` mm are one.
pub fn meet(loops: &mut [Vec<Vec2>], snap: f64) {
    let right: Vec<Vec2> = loops.iter().flatten().copied().filter(|p| p.x > 0.0).collect();
    for p in loops.iter_mut().flatten().filter(|p| p.x < 0.0) {
        if let Some(q) = right.iter().find(|q| (**q - image(*p, 1)).norm() <= snap) {
            *p = image(*q, 1);
        }
    }
    let touching = |[(p, q), (a, b)]: [(Vec2, Vec2); 2]| -> Vec<[Option<Vec2>; 2]> {
        let on = |p: Vec2, a: Vec2, b: Vec2| {
            let along = (p - a).dot(b - a) / (b - a).dot(b - a);
            let near = (p - a.toward(b, along)).norm() <= snap;
            (near && along > 0.0 && along < 1.0 && p != a && p != b).then_some(p)
        };
        vec![[None, on(p, a, b)], [None, on(q, a, b)], [on(a, p, q), None], [on(b, p, q), None]]
    };
    put(loops, touching);
    let crossing = |[(p, q), (a, b)]: [(Vec2, Vec2); 2]| -> Vec<[Option<Vec2>; 2]> {
        let shared = [p, q].iter().any(|p| [a, b].contains(p));
        let ((u, v), det) = ((q - p, b - a), (q - p).cross(b - a));
        let (s, t) = ((a - p).cross(v) / det, (a - p).cross(u) / det);
        let both = [s, t].iter().all(|s| *s > 0.0 && *s < 1.0);
        let at = (both && !shared).then(|| p.toward(q, s));
        vec![[at, at]]
    };
    put(loops, crossing);
}

/// Puts points on the sides of both halves, as found for each pair of sides; those of the left half are seen in the mirror.
fn put(loops: &mut [Vec<Vec2>], found: impl Fn([(Vec2, Vec2); 2]) -> Vec<[Option<Vec2>; 2]>) {
    let mut halves: [Vec<(usize, usize, Vec2, Vec2)>; 2] = [vec![], vec![]];
    for (i, l) in loops.iter().enumerate() {
        for k in 0..l.len() {
            let (p, q) = (l[k], l[(k + 1) % l.len()]);
            if p.x.max(q.x) > 0.0 {
                halves[0].push((i, k, p, q));
            } else if p.x.min(q.x) < 0.0 {
                halves[1].push((i, k, image(p, 1), image(q, 1)));
            }
        }
    }
    let mut puts: Vec<Put> = vec![];
    for (i, k, p, q) in &halves[0] {
        for (j, m, a, b) in &halves[1] {
            for [one, other] in found([(*p, *q), (*a, *b)]) {
                puts.extend(one.map(|at| (*i, *k, (at - *p).norm(), at)));
                puts.extend(other.map(|at| (*j, *m, (at - *a).norm(), image(at, 1))));
            }
        }
    }
    // From the last side on, and on each from its end.
    puts.sort_by(|a, b| (b.0, b.1).cmp(&(a.0, a.1)).then(b.2.total_cmp(&a.2)));
    puts.dedup_by(|a, b| (a.0, a.1, a.3) == (b.0, b.1, b.3));
    for (i, k, _, at) in puts {
        loops[i].insert(k + 1, at);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A square turned by 45 degrees has its corners on the line; a ring's two loops cross it; two discs are each other's image.
    #[test]
    fn halves_are_mirrored() {
        let ring = |x: f64, r: f64, n: u32, turn: f64| -> Vec<Vec2> {
            let at = |k| Vec2::at_angle(std::f64::consts::TAU * (f64::from(k) + turn) / f64::from(n)) * r;
            (0..n).map(|k| at(k) + Vec2::new(x, 0.0)).collect()
        };
        let twins_of = |mut loops: Vec<Vec<Vec2>>| {
            part(&mut loops, Vec2::new(1.0, 0.0), 1e-3);
            let twins = mirrored(&mut loops, 0.01)?;
            let points: Vec<Vec2> = loops.concat();
            assert_eq!(points.len(), twins.len());
            for (p, k) in points.iter().zip(&twins) {
                assert_eq!([-p.x, p.y], [points[*k].x, points[*k].y]);
            }
            Some(loops.iter().map(Vec::len).collect::<Vec<_>>())
        };
        assert_eq!(twins_of(vec![ring(0.0, 5.0, 4, 0.0)]), Some(vec![4]));
        assert_eq!(twins_of(vec![ring(0.0, 5.0, 4, 0.5)]), Some(vec![6]));
        assert_eq!(twins_of(vec![ring(0.0, 5.0, 8, 0.5), ring(0.0, 3.0, 8, 0.0)]), Some(vec![10, 8]));
        assert_eq!(twins_of(vec![ring(9.0, 2.0, 6, 0.0), ring(-9.0, 2.0, 6, 0.0)]), Some(vec![6, 6]));
        assert_eq!(twins_of(vec![ring(0.0, 5.0, 5, 0.0)]), None);
        assert_eq!(twins_of(vec![ring(9.0, 2.0, 6, 0.0)]), None);
    }
}
