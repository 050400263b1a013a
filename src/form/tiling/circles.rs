//! Discs that touch: the packing of Apollonius, by the theorem of R. Descartes (1643), with its complex form.
//!
//! Source: J. C. Lagarias, C. L. Mallows, A. R. Wilks, Amer. Math. Monthly 109 (2002) 338.

use super::TilingFault;
use crate::base::Vec2;
use crate::form::fault::positive;
use crate::form::flat::{Flat, Path};

/// Most discs.
const MOST: usize = 20_000;

/// A disc by its bend (one over the radius; negative for the one that holds the others) and its bend times its centre.
#[derive(Clone, Copy, Debug)]
struct Disc {
    bend: f64,
    moment: Vec2,
}

/// Discs inside one of `radius` mm: that with the first bend, which is negative, holds two that touch it and each other, and
/// every gap is filled again and again with the disc that touches its three sides, down to a radius of `least` mm. Bends are
/// scaled so that the first is the outer disc's: -1, 2, 2 begin with two discs of half the radius. The outer disc itself is
/// not among the result; with whole bends, where the fourth is whole too, all are whole.
///
/// # Errors
/// [`TilingFault::Unfit`] when the bends fit no discs.
pub fn apollonian(bends: [f64; 3], radius: f64, least: f64) -> Result<Flat, TilingFault> {
    let discs = discs(bends, radius, least)?;
    Ok(Flat::of_loops(discs.iter().map(|(centre, r)| Path::circle(*centre, *r)).collect()))
}

/// Centres and radii, mm.
fn discs([a, b, c]: [f64; 3], radius: f64, least: f64) -> Result<Vec<(Vec2, f64)>, TilingFault> {
    positive("radius", radius)?;
    positive("least", least)?;
    let wrong = |what: &str| Err(TilingFault::Unfit(what.to_owned()));
    let square = a * b + b * c + c * a;
    if !(a < 0.0 && b > -a && c > -a && square >= -1e-9 * a * a) {
        return wrong(
            "the first bend is negative, the others are larger than it without its sign, and ab + bc + ca is not negative",
        );
    }
    if least < radius / 10_000.0 {
        return wrong("discs are made down to a ten-thousandth of the outer radius");
    }
    // Outer disc about the origin; the first inside on the right, the second where it touches both.
    let (outer, r1, r2) = (-1.0 / a, 1.0 / b, 1.0 / c);
    let (d1, d2, apart) = (outer - r1, outer - r2, r1 + r2);
    let x = if d1 > 0.0 { (d1 * d1 + d2 * d2 - apart * apart) / (2.0 * d1) } else { 0.0 };
    let y = (d2 * d2 - x * x).max(0.0).sqrt();
    let disc = |bend: f64, centre: Vec2| Disc { bend, moment: centre * bend };
    let first = [disc(a, Vec2::ZERO), disc(b, Vec2::new(d1, 0.0)), disc(c, Vec2::new(x, y))];
    let bend = a + b + c + 2.0 * square.max(0.0).sqrt();
    let root = complex_root(pairs(&first));
    // Of both roots the one whose disc touches.
    let sum = first.iter().fold(Vec2::ZERO, |s, d| s + d.moment);
    let inner = [1.0, -1.0].map(|sign| Disc { bend, moment: sum + root * (2.0 * sign) });
    let fourth = if misfit(&inner[0], &first) <= misfit(&inner[1], &first) { inner[0] } else { inner[1] };
    let other = reflected(&first, &fourth);
    let scale = radius * -a;
    let smallest = scale / least;
    let mut found = vec![first[1], first[2]];
    let mut gaps: Vec<([Disc; 3], Disc)> = Vec::new();
    for new in [fourth, other] {
        if new.bend <= smallest && !found.iter().any(|d| (d.moment - new.moment).norm() < 1e-6 * new.bend) {
            found.push(new);
            gaps.extend(open(&first, new));
        }
    }
    while let Some((three, across)) = gaps.pop() {
        let new = reflected(&three, &across);
        if new.bend > smallest {
            continue;
        }
        if found.len() >= MOST {
            return Err(TilingFault::Unfit(format!("more than {MOST} discs: make the least larger")));
        }
        found.push(new);
        gaps.extend(open(&three, new));
    }
    Ok(found.iter().map(|d| (d.moment / d.bend * scale, scale / d.bend)).collect())
}

/// The gaps that a new disc among three makes: it with two of them, and the third across.
fn open(three: &[Disc; 3], new: Disc) -> [([Disc; 3], Disc); 3] {
    [0, 1, 2].map(|k| ([three[(k + 1) % 3], three[(k + 2) % 3], new], three[k]))
}

/// The other disc that touches three: bends and moments of both add up to twice the sum of the three.
fn reflected(three: &[Disc; 3], across: &Disc) -> Disc {
    let bend = three.iter().map(|d| d.bend).sum::<f64>() * 2.0 - across.bend;
    let moment = three.iter().fold(Vec2::ZERO, |s, d| s + d.moment) * 2.0 - across.moment;
    Disc { bend, moment }
}

/// The sum of products of pairs of moments, as complex numbers.
fn pairs(three: &[Disc; 3]) -> Vec2 {
    let times = |a: Vec2, b: Vec2| Vec2::new(a.x * b.x - a.y * b.y, a.x * b.y + a.y * b.x);
    (0..3).fold(Vec2::ZERO, |s, k| s + times(three[k].moment, three[(k + 1) % 3].moment))
}

fn complex_root(z: Vec2) -> Vec2 {
    Vec2::at_angle(0.5 * z.angle()) * z.norm().sqrt()
}

/// How far a disc is from touching three.
fn misfit(disc: &Disc, three: &[Disc; 3]) -> f64 {
    let centre = |d: &Disc| d.moment / d.bend;
    three
        .iter()
        .map(|d| ((centre(d) - centre(disc)).norm() - (1.0 / d.bend + 1.0 / disc.bend).abs()).abs())
        .fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Bends with their numbers. Source: section 8 of the project's check values: from (-1, 2, 2, 3), discs (the outer one
    /// included) with bends up to 60: 85, up to 100: 169.
    #[test]
    fn bends_are_descartes_integers() {
        let bends = |least: f64| {
            let mut found: Vec<i64> = discs([-1.0, 2.0, 2.0], 100.0, 100.0 / (least + 0.5))
                .unwrap()
                .iter()
                .map(|(_, r)| {
                    let bend = 100.0 / r;
                    assert!((bend - bend.round()).abs() < 1e-6, "{bend}");
                    bend.round() as i64
                })
                .collect();
            found.sort_unstable();
            found
        };
        let up_to = bends(60.0);
        assert_eq!(up_to.len() + 1, 85);
        assert_eq!(bends(100.0).len() + 1, 169);
        for (bend, count) in [(2, 2), (3, 2), (6, 4), (11, 4), (14, 4), (15, 2), (18, 4), (35, 6), (38, 8)] {
            assert_eq!(up_to.iter().filter(|b| **b == bend).count(), count, "{bend}");
        }
    }

    #[test]
    fn discs_touch_and_do_not_overlap() {
        for bends in [[-1.0, 2.0, 2.0], [-2.0, 3.0, 6.0], [-3.0, 5.0, 8.0], [-6.0, 11.0, 14.0]] {
            let all = discs(bends, 50.0, 1.0).unwrap();
            for (i, (c, r)) in all.iter().enumerate() {
                assert!(c.norm() + r < 50.0 + 1e-6);
                assert!(all[..i].iter().all(|(d, s)| (*c - *d).norm() > r + s - 1e-6), "{bends:?}");
            }
            assert!(all.len() > 20);
        }
        assert!(discs([1.0, 2.0, 2.0], 5.0, 1.0).is_err() && discs([-1.0, 1.1, 1.1], 5.0, 1.0).is_err());
        assert!(discs([-1.0, 2.0, 2.0], 5.0, 1e-9).is_err());
    }
}
