//! A drawing in the plane, lifted to closed loops in space.

use super::Diagram;
use super::diagram::across;
use super::packing::packing;
use crate::base::Vec3;

/// Closed loops, as corners, one for each strand: seen from above they are the drawing, with the upper strand of each
/// crossing raised. The drawing is filled with triangles, whose corners are placed by touching circles, so that its
/// lines stay straight and apart. The sizes differ over the drawing; the whole is about 10 across.
pub fn drawn(diagram: &Diagram) -> Vec<Vec<Vec3>> {
    let mut place = vec![Vec3::ZERO; 5 * diagram.len()];
    let mut height = vec![0.0; diagram.len()];
    let mut right = 0.0;
    for piece in diagram.pieces() {
        lay(diagram, &piece, &mut right, &mut place, &mut height);
    }
    diagram.walks().iter().map(|walk| strand(diagram, walk, &place, &height)).collect()
}

/// Numbers of the corners: crossings first, then a point on each arc near each end.
fn near(n: usize, h: usize) -> usize {
    n + h
}

/// Places one piece of the drawing to the right of what is placed.
fn lay(diagram: &Diagram, piece: &[usize], right: &mut f64, place: &mut [Vec3], height: &mut [f64]) {
    let n = diagram.len();
    let faces: Vec<Vec<usize>> =
        diagram.faces().into_iter().filter(|f| f.first().is_some_and(|h| piece.contains(&(h / 4)))).collect();
    let outer = (0..faces.len()).max_by_key(|i| (faces[*i].len(), faces.len() - i)).unwrap_or(0);
    let mut count = 5 * n;
    let mut triangles = Vec::new();
    let mut border = vec![false; 5 * n];
    for (i, face) in faces.iter().enumerate() {
        let round: Vec<usize> =
            face.iter().flat_map(|&h| [h / 4, near(n, h), near(n, diagram.mate(h))]).collect();
        let m = round.len();
        // An inner ring keeps the triangles apart where the face touches itself.
        for k in 0..m {
            let (ring, next, corner) = (count + k, count + (k + 1) % m, round[(k + 1) % m]);
            triangles.push([round[k], corner, ring]);
            triangles.push([corner, next, ring]);
            if i != outer {
                triangles.push([ring, next, count + m]);
            }
        }
        border.resize(count + m, i == outer);
        count += m;
        if i != outer {
            border.push(false);
            count += 1;
        }
    }
    // Corners of other pieces take no part; as border they keep their radius.
    let mut used = vec![false; count];
    triangles.iter().flatten().for_each(|v| used[*v] = true);
    (0..count).filter(|v| !used[*v]).for_each(|v| border[v] = true);
    let (places, radii) = packing(count, &triangles, &border);
    let own: Vec<usize> = (0..count).filter(|v| used[*v]).collect();
    let left = own.iter().map(|v| places[*v][0]).fold(f64::INFINITY, f64::min);
    let end = own.iter().map(|v| places[*v][0]).fold(f64::NEG_INFINITY, f64::max);
    let low = own.iter().map(|v| places[*v][1]).fold(f64::INFINITY, f64::min);
    let scale = 10.0 / (end - left);
    for &v in own.iter().filter(|v| **v < 5 * n) {
        place[v] = Vec3::new((places[v][0] - left) * scale + *right, (places[v][1] - low) * scale, 0.0);
    }
    for &c in piece {
        height[c] = radii[c] * scale;
    }
    *right += 11.0;
}

/// The corners of one strand: at each crossing, and twice between, each step halved.
fn strand(diagram: &Diagram, walk: &[usize], place: &[Vec3], height: &[f64]) -> Vec<Vec3> {
    let n = diagram.len();
    let mut corners = Vec::new();
    for &h in walk {
        let c = h / 4;
        let up = if h % 2 == 0 { -height[c] } else { height[c] };
        corners.push(place[near(n, h)]);
        corners.push(place[c] + Vec3::new(0.0, 0.0, up));
        corners.push(place[near(n, across(h))]);
    }
    let m = corners.len();
    (0..m).flat_map(|i| [corners[i], (corners[i] + corners[(i + 1) % m]) * 0.5]).collect()
}
