//! Balls over the places where the sheets of a wall come apart.
//!
//! A wall is all that lies within half its thickness of the surface, so a ball of that radius about any place of the
//! surface belongs to it. At a cone point the cells of the surface leave a gap between its halves; a ball covers it.

use super::field::Field;
use crate::base::Vec3;
use crate::formula::Tape;
use crate::shape::{Mesh, Side};

/// Places nearer to another than this part of the radius share its ball.
const SHARED: f64 = 0.5;
/// Places round a ball, and from pole to pole: chords pass within 1 % of the radius.
const ROUND: u32 = 24;
const HIGH: u32 = 12;

/// Balls of `radius` mm about places of the surface, those of them that the clip leaves whole. A triangle takes the side
/// of the surface that the function `tape` has there.
pub fn knobs(places: &[Vec3], radius: f64, tape: &Tape, clip: Option<&Field>) -> Mesh {
    let mut middles: Vec<Vec3> = Vec::new();
    for p in places {
        if middles.iter().all(|m| (*m - *p).norm() > SHARED * radius) {
            middles.push(*p);
        }
    }
    let mut all = Mesh::default();
    for middle in middles {
        let mut ball = ball(middle, radius);
        if clip.is_some_and(|c| ball.points.iter().any(|p| !(c.tape.value(*p) < 0.0))) {
            continue;
        }
        let value = |t: &[u32; 3]| {
            let [a, b, c] = t.map(|i| ball.points[i as usize]);
            tape.value((a + b + c) / 3.0)
        };
        ball.sides =
            ball.triangles.iter().map(|t| if value(t) < 0.0 { Side::Back } else { Side::Front }).collect();
        all.append(&ball);
    }
    all
}

/// A ball of latitudes and longitudes.
fn ball(middle: Vec3, radius: f64) -> Mesh {
    let mut mesh = Mesh::default();
    for i in 0..=HIGH {
        let (s, c) = libm::sincos(std::f64::consts::PI * f64::from(i) / f64::from(HIGH));
        for j in 0..ROUND {
            let (t, u) = libm::sincos(std::f64::consts::TAU * f64::from(j) / f64::from(ROUND));
            mesh.points.push(middle + Vec3::new(s * u, s * t, c) * radius);
        }
    }
    let at = |i: u32, j: u32| i * ROUND + j % ROUND;
    for i in 0..HIGH {
        for j in 0..ROUND {
            if i > 0 {
                mesh.triangles.push([at(i, j), at(i + 1, j + 1), at(i, j + 1)]);
            }
            if i + 1 < HIGH {
                mesh.triangles.push([at(i, j), at(i + 1, j), at(i + 1, j + 1)]);
            }
        }
    }
    mesh
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::xyz;

    /// Places close together share a ball; its area and volume are those of a ball, from outside it is front where the
    /// function is positive.
    #[test]
    fn balls_cover_their_places() {
        let [_, _, z] = xyz();
        let places = [Vec3::ZERO, Vec3::new(0.2, 0.0, 0.0), Vec3::new(9.0, 0.0, 0.0)];
        let mesh = knobs(&places, 2.0, &Tape::new(&z).unwrap(), None);
        let ball = 4.0 / 3.0 * std::f64::consts::PI * 8.0;
        assert!((mesh.volume() / (2.0 * ball) - 1.0).abs() < 0.03, "{}", mesh.volume());
        for (i, t) in mesh.triangles.iter().enumerate() {
            let above = t.iter().all(|k| mesh.points[*k as usize].z >= 0.0);
            assert_eq!(mesh.side(i), if above { Side::Front } else { Side::Back });
        }
    }

    #[test]
    fn a_ball_that_the_clip_cuts_is_left_out() {
        let [x, _, z] = xyz();
        let clip = Field::new(&(x - 1.0)).unwrap();
        let places = [Vec3::ZERO, Vec3::new(-3.0, 0.0, 0.0)];
        let mesh = knobs(&places, 2.0, &Tape::new(&z).unwrap(), Some(&clip));
        assert!(mesh.bounds().max.x < 0.0 && !mesh.triangles.is_empty());
    }
}
