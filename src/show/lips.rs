//! Where the front of a wall goes over into its back round a lip: a smooth line across triangles, not along their edges.

use super::vec::V;
use crate::shape::Side;

/// Rounds in which points take the mean of their neighbours, so that the line between front and back runs even.
const ROUNDS: usize = 3;
/// Front and back go over into one another where their normals at a point turn by less than this cosine; elsewhere they
/// meet in an edge, which stays where it is.
const ROUND: f32 = 0.3;

/// For each triangle, how far its corners belong to the front, from -1 for the back to 1; only the sign of what lies
/// between matters, and only on fronts and backs.
pub(super) fn fronts(points: usize, triangles: &[[u32; 3]], sides: &[Side], faces: &[V]) -> Vec<[i8; 3]> {
    if !(sides.contains(&Side::Front) && sides.contains(&Side::Back)) {
        return vec![[0; 3]; triangles.len()];
    }
    let edge = edges(points, triangles, sides, faces);
    let own: Vec<f32> = sides.iter().map(|s| sign(*s)).collect();
    let mut share = means(points, triangles, &own, &own);
    for _ in 0..ROUNDS {
        let middles: Vec<f32> =
            triangles.iter().map(|t| t.iter().map(|i| share[*i as usize]).sum::<f32>() / 3.0).collect();
        share = means(points, triangles, &own, &middles);
    }
    let packed = |x: f32| (x * 127.0) as i8;
    let corners = |(t, own): (&[u32; 3], &f32)| match t.iter().any(|i| edge[*i as usize]) {
        true => [packed(*own); 3],
        false => t.map(|i| packed(share[i as usize])),
    };
    triangles.iter().zip(&own).map(corners).collect()
}

fn sign(side: Side) -> f32 {
    match side {
        Side::Front => 1.0,
        Side::Back => -1.0,
        Side::Skin | Side::Cut => 0.0,
    }
}

/// For each point, the mean of the values of those fronts and backs that use it.
fn means(points: usize, triangles: &[[u32; 3]], own: &[f32], values: &[f32]) -> Vec<f32> {
    let mut sums = vec![(0.0f32, 0.0f32); points];
    for ((t, own), value) in triangles.iter().zip(own).zip(values) {
        for i in t.iter().filter(|_| *own != 0.0) {
            let (sum, count) = &mut sums[*i as usize];
            (*sum, *count) = (*sum + value, *count + 1.0);
        }
    }
    sums.into_iter().map(|(sum, count)| if count > 0.0 { sum / count } else { 0.0 }).collect()
}

/// The points at which a front and a back meet in an edge.
fn edges(points: usize, triangles: &[[u32; 3]], sides: &[Side], faces: &[V]) -> Vec<bool> {
    let mut sums = vec![[V::ZERO; 2]; points];
    for ((t, side), face) in triangles.iter().zip(sides).zip(faces) {
        let k = match side {
            Side::Front => 0,
            Side::Back => 1,
            Side::Skin | Side::Cut => continue,
        };
        t.iter().for_each(|i| sums[*i as usize][k] += *face);
    }
    let meets = |[front, back]: [V; 2]| {
        let both = front.norm() > 0.0 && back.norm() > 0.0;
        both && front.unit_or(V::UP).dot(back.unit_or(V::UP)) < ROUND
    };
    sums.into_iter().map(meets).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::show::vec::v;

    /// A strip of squares whose triangles are front and back in turn along its middle: the line runs straight.
    #[test]
    fn a_jagged_border_is_drawn_straight() {
        let (wide, long) = (6u32, 40u32);
        let at = |i: u32, j: u32| i * (long + 1) + j;
        let points = ((wide + 1) * (long + 1)) as usize;
        let (mut triangles, mut sides) = (vec![], vec![]);
        for i in 0..wide {
            for j in 0..long {
                triangles.push([at(i, j), at(i + 1, j), at(i + 1, j + 1)]);
                triangles.push([at(i, j), at(i + 1, j + 1), at(i, j + 1)]);
                let front = if i == 3 { j % 2 == 0 } else { i < 3 };
                sides.extend([if front { Side::Front } else { Side::Back }; 2]);
            }
        }
        let flat = vec![v(0.0, 0.0, 1.0); triangles.len()];
        let found = fronts(points, &triangles, &sides, &flat);
        // Along each row of points in the middle part, the sign changes once, between the same two rows.
        let mut share = vec![0i8; points];
        triangles.iter().zip(&found).for_each(|(t, f)| (0..3).for_each(|k| share[t[k] as usize] = f[k]));
        for j in 8..32 {
            let signs: Vec<bool> = (0..=wide).map(|i| share[at(i, j) as usize] > 0).collect();
            assert!(signs[..3].iter().all(|s| *s) && signs[4..].iter().all(|s| !*s), "{j}: {signs:?}");
        }
        // Where front and back meet in an edge nothing moves.
        let bent: Vec<V> = sides
            .iter()
            .map(|s| if *s == Side::Front { v(0.0, 0.0, 1.0) } else { v(0.0, 0.0, -1.0) })
            .collect();
        let found = fronts(points, &triangles, &sides, &bent);
        for (side, corners) in sides.iter().zip(found) {
            assert!(corners.iter().all(|c| (*c > 0) == (*side == Side::Front)));
        }
    }
}
