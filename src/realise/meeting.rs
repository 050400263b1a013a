//! Where a wall meets itself: its sheets stand nearer to one another than it is thick, or turn more sharply.
//!
//! A point half the thickness off the surface, straight above one of its places, is on the skin of the wall, unless
//! something of the surface is nearer to it.

use rayon::prelude::*;

use crate::base::Vec3;

/// Places of a surface that are looked at, at most.
const PLACES: usize = 8000;
/// Something is nearer when the distance is less than half the thickness by more than this part. Normals of triangles
/// and distances to triangles are not exact.
pub const LESS: f64 = 0.03;
/// Fewer places than this are taken for chance.
const FEW: usize = 3;
/// Places looked at together.
const TOGETHER: usize = 256;

/// Where a wall meets itself the most.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Meeting {
    /// A place of the surface.
    pub at: Vec3,
    /// The share of the places at which something is nearer.
    pub share: f64,
}

/// Triangles spread over all of them, as many as are looked at.
pub fn some_of(count: usize) -> impl Iterator<Item = u32> {
    (0..count).step_by(count.div_ceil(PLACES).max(1)).map(|t| t as u32)
}

/// Where the wall about some places of a surface meets itself, if anywhere. Each place has its unit normal and half the
/// thickness there; `distance` gives distances from the surface. All in mm.
pub fn meeting(
    places: &[(Vec3, Vec3, f64)],
    distance: impl Fn(&[Vec3]) -> Vec<f64> + Sync,
) -> Option<Meeting> {
    // The part of half the thickness that is left, at the worse of both sides.
    let left = |some: &[(Vec3, Vec3, f64)]| -> Vec<f64> {
        let above: Vec<Vec3> =
            some.iter().flat_map(|(p, n, half)| [1.0, -1.0].map(|side| *p + *n * (side * half))).collect();
        let far = distance(&above);
        some.iter().zip(far.chunks_exact(2)).map(|((.., half), d)| d[0].min(d[1]) / half).collect()
    };
    let left: Vec<f64> = places.par_chunks(TOGETHER).flat_map_iter(left).collect();
    let nearer = left.iter().filter(|left| **left < 1.0 - LESS).count();
    if nearer < FEW {
        return None;
    }
    let (_, worst) = left.iter().zip(places).min_by(|a, b| a.0.total_cmp(b.0))?;
    Some(Meeting { at: worst.0, share: nearer as f64 / places.len() as f64 })
}

impl Meeting {
    /// What is to be said of it; `moved`: the place is where it stood before the wall was moved.
    pub fn said(&self, moved: bool) -> String {
        let [x, y, z] = self.at.array().map(|v| libm::round(v * 10.0) / 10.0 + 0.0);
        let before = if moved { " as it stood before it was moved," } else { "" };
        let percent = (100.0 * self.share).max(0.1);
        format!(
            "the wall meets itself near ({x}, {y}, {z}),{before} and at {percent:.1} % of the surface: sheets stand nearer than \
             it is thick, or turn more sharply, and are one there"
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two planes 1 mm apart, one of them only where x is positive: a wall of 1.5 mm meets itself there, one of 0.9 nowhere.
    #[test]
    fn planes_that_are_too_near_meet() {
        let places = |half: f64| -> Vec<(Vec3, Vec3, f64)> {
            let at = |k: i32| Vec3::new(f64::from(k % 20) - 9.5, f64::from(k / 20), 0.0);
            (0..400).map(|k| (at(k), Vec3::new(0.0, 0.0, 1.0), half)).collect()
        };
        let distance = |p: &Vec3| {
            let second = if p.x > 0.0 { (p.z - 1.0).abs() } else { f64::INFINITY };
            p.z.abs().min(second)
        };
        let met = |half: f64| meeting(&places(half), |some| some.iter().map(distance).collect());
        assert_eq!(met(0.45), None);
        let met = met(0.75).unwrap();
        assert!(met.at.x > 0.0 && (met.share - 0.5).abs() < 1e-9, "{met:?}");
        assert!(met.said(false).starts_with("the wall meets itself near ("), "{}", met.said(false));
    }
}
