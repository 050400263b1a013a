//! Circles that touch as the corners of a triangulated disc are joined: each corner gets a place in the plane.
//!
//! Source: C. R. Collins, K. Stephenson, Computational Geometry 25 (2003) 233.

use std::f64::consts::PI;

/// How near the angles round each circle come to a full turn, radians.
const CLOSE: f64 = 1e-9;
/// Most rounds.
const ROUNDS: usize = 20_000;

/// Centres and radii of circles for the corners 0 to `count` - 1 of triangles, all anticlockwise, that fill a disc;
/// circles of the corners in `border` have radius 1.
pub fn packing(count: usize, triangles: &[[usize; 3]], border: &[bool]) -> (Vec<[f64; 2]>, Vec<f64>) {
    let mut round: Vec<Vec<(usize, usize)>> = vec![vec![]; count];
    for &[a, b, c] in triangles {
        round[a].push((b, c));
        round[b].push((c, a));
        round[c].push((a, b));
    }
    let mut radius = vec![1.0; count];
    for _ in 0..ROUNDS {
        let mut worst = 0.0f64;
        for v in (0..count).filter(|v| !border[*v]) {
            let angle: f64 = round[v].iter().map(|(a, b)| corner(radius[v], radius[*a], radius[*b])).sum();
            worst = worst.max((angle - 2.0 * PI).abs());
            // The radius that would fit if all neighbours were alike.
            let k = round[v].len() as f64;
            let (beta, delta) = (libm::sin(angle / (2.0 * k)), libm::sin(PI / k));
            radius[v] *= (1.0 - delta) / delta * (beta / (1.0 - beta));
        }
        if worst < CLOSE {
            break;
        }
    }
    (placed(count, triangles, &radius), radius)
}

/// The angle at the centre of the first of three circles that touch one another.
fn corner(a: f64, b: f64, c: f64) -> f64 {
    // The half angle's sine squared is bc / ((a + b)(a + c)).
    2.0 * libm::asin((b * c / ((a + b) * (a + c))).sqrt())
}

fn placed(count: usize, triangles: &[[usize; 3]], radius: &[f64]) -> Vec<[f64; 2]> {
    let mut place: Vec<Option<[f64; 2]>> = vec![None; count];
    let mut by_edge = std::collections::BTreeMap::new();
    for (i, &[a, b, c]) in triangles.iter().enumerate() {
        by_edge.extend([((a, b), (c, i)), ((b, c), (a, i)), ((c, a), (b, i))]);
    }
    let mut open = std::collections::VecDeque::new();
    if let Some(&[a, b, _]) = triangles.first() {
        place[a] = Some([0.0, 0.0]);
        place[b] = Some([radius[a] + radius[b], 0.0]);
        open.push_back((a, b));
    }
    let mut done = vec![false; triangles.len()];
    while let Some((a, b)) = open.pop_front() {
        let Some(&(c, i)) = by_edge.get(&(a, b)) else { continue };
        if std::mem::replace(&mut done[i], true) {
            continue;
        }
        if let (None, Some(p), Some(q)) = (place[c], place[a], place[b]) {
            let angle = libm::atan2(q[1] - p[1], q[0] - p[0]) + corner(radius[a], radius[b], radius[c]);
            let far = radius[a] + radius[c];
            place[c] = Some([p[0] + far * libm::cos(angle), p[1] + far * libm::sin(angle)]);
        }
        open.extend([(c, b), (a, c), (b, a)]);
    }
    place.into_iter().map(|p| p.unwrap_or_default()).collect()
}
