//! 2-bridge knots as plats that look alike after half a turn about their axis.
//!
//! Four strands run along the axis, two to either side of it. A fraction p/q with p odd and q even is
//! a₁ + 1/(a₂ + 1/(a₃ + …)) with even numbers only; they are a₁ crossings of the inner two strands, then a₂/2 of each
//! outer pair, and so on in turn. Half a turn about the axis maps an inner crossing to itself and the outer pairs to one
//! another. So every 2-bridge knot has such a shape. Source: G. Burde, H. Zieschang, Knots (2003), sections 12A and 12B.

use super::braid;
use crate::base::Vec3;

/// 2-bridge knots of the table by their Conway numbers. The sign is that of the crossings, chosen so that the plat is
/// the same mirror image as the braid word of the table.
/// Source: J. H. Conway in J. Leech (ed.), Computational Problems in Abstract Algebra (1970) 329, table.
#[rustfmt::skip]
pub const PLATS: &[(&str, &[i64])] = &[
    ("3_1", &[-3]), ("4_1", &[2, 2]), ("5_1", &[-5]), ("5_2", &[3, 2]),
    ("6_1", &[4, 2]), ("6_2", &[-3, -1, -2]), ("6_3", &[2, 1, 1, 2]),
    ("7_1", &[-7]), ("7_2", &[5, 2]), ("7_3", &[-4, -3]), ("7_4", &[3, 1, 3]), ("7_5", &[-3, -2, -2]),
    ("7_6", &[2, 2, 1, 2]), ("7_7", &[-2, -1, -1, -1, -2]),
    ("8_1", &[6, 2]), ("8_2", &[-5, -1, -2]), ("8_3", &[4, 4]), ("8_4", &[-4, -1, -3]), ("8_6", &[-3, -3, -2]),
    ("8_7", &[-4, -1, -1, -2]), ("8_8", &[-2, -3, -1, -2]), ("8_9", &[3, 1, 1, 3]), ("8_11", &[3, 2, 1, 2]),
    ("8_12", &[2, 2, 2, 2]), ("8_13", &[-3, -1, -1, -1, -2]), ("8_14", &[-2, -2, -1, -1, -2]),
];

/// The even numbers whose continued fraction is that of Conway numbers of one sign with an odd numerator, up to whole
/// numbers.
pub fn even_twists(conway: &[i64]) -> Vec<i64> {
    let sign = conway.first().map_or(1, |a| a.signum());
    let (mut p, mut q) = conway.iter().rev().fold((1, 0), |(p, q), a| (sign * a * p + q, p));
    if q % 2 != 0 {
        // q and q - p give the same knot.
        q -= p;
    }
    let mut even = Vec::new();
    while q != 0 {
        let a = 2 * libm::round(p as f64 / (2 * q) as f64) as i64;
        even.push(sign * a);
        (p, q) = (q, p - a * q);
    }
    even
}

/// Corners of each step, and its length in spacings of strands.
const CORNERS: usize = 8;
const STEP: f64 = 1.6;
/// Corners of an arc that closes two strands, to each spacing between them.
const ARC: usize = 4;

/// The plat of even twists as corners of a closed loop about the z axis, which starts on it; strands are one spacing apart.
pub fn plat_ring(even: &[i64]) -> Vec<Vec3> {
    let mut steps: Vec<Vec<i64>> = Vec::new();
    for (k, a) in even.iter().enumerate() {
        let sign = a.signum();
        let (count, letters) =
            if k % 2 == 0 { (a.abs(), vec![2 * sign]) } else { (a.abs() / 2, vec![-sign, -3 * sign]) };
        steps.extend((0..count).map(|_| letters.clone()));
    }
    let strands = braid::walks(&steps, 4, CORNERS, false);
    let right = (steps.len() * CORNERS) as f64;
    let end = |k: usize| strands[k][steps.len() * CORNERS][1].round() as usize;
    let ending = |at: usize| (0..4).find(|k| end(*k) == at).unwrap_or(at);
    let (first, mut ring) = (ending(1), Vec::new());
    let mut back = first;
    loop {
        // Back along a strand, forth along its neighbour, over the axis to the next.
        let forth = back ^ 1;
        ring.extend(strands[back].iter().rev().copied());
        ring.extend(arc([back, forth], 0.0, -1.0));
        ring.extend(&strands[forth]);
        ring.extend(arc([end(forth), 3 - end(forth)], right, 1.0));
        back = ending(3 - end(forth));
        if back == first {
            break;
        }
    }
    // The last arc comes home to position 1 from position 2: its middle is on the axis.
    let middle = ring.len() - ARC;
    ring.rotate_left(middle);
    ring.into_iter().map(|[along, out, up]| Vec3::new(out - 1.5, up, along * STEP / CORNERS as f64)).collect()
}

/// Corners between two strands' ends, along half a circle that bulges one way.
fn arc([from, to]: [usize; 2], along: f64, way: f64) -> Vec<[f64; 3]> {
    let (from, to) = (from as f64, to as f64);
    let (middle, radius) = (0.5 * (from + to), 0.5 * (to - from));
    let count = 2 * ARC * (to - from).abs() as usize;
    let corner = |k: usize| {
        let angle = std::f64::consts::PI * k as f64 / count as f64;
        let bulge = way * radius.abs() * libm::sin(angle) * CORNERS as f64 / STEP;
        [along + bulge, middle - radius * libm::cos(angle), 0.0]
    };
    (1..count).map(corner).collect()
}
