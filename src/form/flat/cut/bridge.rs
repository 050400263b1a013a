//! Islands of a stencil: regions that lie in the hole of another and would fall out, and the bridges that hold them.

use super::super::combine::{Fill, Rule, combine};
use super::super::near::Locator;
use super::super::parallel::{Corners, outset};
use super::super::path::Path;
use super::super::regions;
use crate::base::Vec2;

/// Places round an island from which bridges may start.
const PLACES: usize = 240;
/// How far a bridge reaches into what it joins, mm: so that no sliver is left between.
const OVERLAP: f64 = 0.02;
/// Ways that are longer than the shortest by no more than this part of it are as good.
const AS_GOOD: f64 = 0.02;

/// An island: its outline, and the hole that it lies in.
struct Island {
    outline: Path,
    hole: Path,
}

/// The islands of the regions between loops.
fn islands(loops: &[Path]) -> Vec<Island> {
    let all = regions(loops);
    let holes: Vec<(&Path, f64, Locator)> = all
        .iter()
        .flat_map(|r| &r[1..])
        .map(|h| (h, -h.area(), Locator::new(std::slice::from_ref(h))))
        .collect();
    let mut found = Vec::new();
    for region in &all {
        let p = region[0].pieces[0].at(0.5);
        let round = holes.iter().filter(|(_, area, l)| *area > region[0].area() && l.holds(p));
        if let Some((hole, ..)) = round.min_by(|a, b| a.1.total_cmp(&b.1)) {
            found.push(Island { outline: region[0].clone(), hole: (*hole).clone() });
        }
    }
    found
}

/// A point of each island.
pub(super) fn places(loops: &[Path]) -> Vec<Vec2> {
    islands(loops).iter().map(|i| i.outline.pieces[0].at(0.5)).collect()
}

/// The loops with bridges of a width, `count` to each island, where the way across is short; and how many there are.
pub(super) fn bridged(loops: &[Path], count: usize, width: f64) -> (Vec<Path>, usize) {
    let mut patches = Vec::new();
    let mut built = 0;
    for island in islands(loops) {
        let around = outset(&[island.hole.reversed()], OVERLAP, Corners::Mitre);
        let within = outset(std::slice::from_ref(&island.outline), -OVERLAP, Corners::Mitre);
        let moat = combine(&around, &within, Rule::Difference, Fill::Positive);
        for (p, q) in ways(&island, count, width) {
            let Some(u) = (q - p).unit() else { continue };
            let (ahead, side) = (u * width, u.left() * (0.5 * width));
            let (a, b) = (p - ahead, q + ahead);
            let plank = Path::polygon(&[a - side, b - side, b + side, a + side]);
            patches.extend(combine(&[plank], &moat, Rule::Intersection, Fill::Positive));
            built += 1;
        }
    }
    if patches.is_empty() {
        return (loops.to_vec(), 0);
    }
    (combine(&[loops, &patches].concat(), &[], Rule::Union, Fill::Positive), built)
}

/// Where bridges go: the shortest way across first, the others about evenly round the island, each where it is short and
/// stands on the island with its whole width.
fn ways(island: &Island, count: usize, width: f64) -> Vec<(Vec2, Vec2)> {
    let total = island.outline.length();
    let mut places = Vec::with_capacity(PLACES);
    let (mut piece, mut before) = (0, 0.0);
    let lengths: Vec<f64> = island.outline.pieces.iter().map(super::super::Segment::length).collect();
    for i in 0..PLACES {
        let want = total * (i as f64 + 0.5) / PLACES as f64;
        while piece + 1 < lengths.len() && before + lengths[piece] < want {
            before += lengths[piece];
            piece += 1;
        }
        places.push(island.outline.pieces[piece].at(((want - before) / lengths[piece]).clamp(0.0, 1.0)));
    }
    let across = Locator::new(std::slice::from_ref(&island.hole));
    let body = Locator::new(std::slice::from_ref(&island.outline));
    let far: Vec<(f64, Vec2)> = places
        .iter()
        .map(|p| {
            let (d, q, _) = across.nearest(*p);
            // A way that leads through the island itself is none.
            let through = (1..8).any(|i| body.holds(p.toward(q, f64::from(i) / 8.0)));
            let stands = (q - *p).unit().is_some_and(|u| {
                let foot = *p - u * (0.1 * width);
                [0.5, -0.5].iter().all(|side| body.holds(foot + u.left() * (side * width)))
            });
            (if through { f64::INFINITY } else { d + if stands { 0.0 } else { width } }, q)
        })
        .collect();
    // Of ways as good as the shortest the one in the middle of most of them.
    let shortest = |among: Vec<usize>, middle: usize| {
        let best = among.iter().map(|i| far[*i].0).fold(f64::INFINITY, f64::min);
        let good = among.iter().enumerate().filter(|(_, i)| far[**i].0 <= best * (1.0 + AS_GOOD));
        good.min_by_key(|(k, i)| (k.abs_diff(middle), **i)).map_or(among[0], |(_, i)| *i)
    };
    let first = shortest((0..PLACES).collect(), middle_of_run(&far));
    // Windows leave a third of the way round between them.
    let reach = PLACES / (3 * count.max(1));
    (0..count)
        .map(|k| {
            let at = if k == 0 {
                first
            } else {
                let middle = first + k * PLACES / count;
                let window = middle + PLACES - reach..=middle + PLACES + reach;
                shortest(window.map(|i| i % PLACES).collect(), reach)
            };
            (far[at].0.is_finite(), (places[at], far[at].1))
        })
        .filter_map(|(open, way)| open.then_some(way))
        .collect()
}

/// The middle of the longest run of places, round the island, whose ways are as good as the shortest.
fn middle_of_run(far: &[(f64, Vec2)]) -> usize {
    let best = far.iter().map(|f| f.0).fold(f64::INFINITY, f64::min);
    let good = |i: usize| far[i % far.len()].0 <= best * (1.0 + AS_GOOD);
    let Some(start) = (0..far.len()).find(|i| !good(*i)) else { return 0 };
    let (mut longest, mut run) = ((0, 0), 0);
    for i in start..=start + far.len() {
        run = if good(i) { run + 1 } else { 0 };
        longest = longest.max((run, i));
    }
    (longest.1 + far.len() - longest.0 / 2) % far.len()
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;

    #[test]
    fn the_middle_of_a_ring_is_held() {
        let plate = Path::circle(Vec2::ZERO, 20.0);
        let loops =
            vec![plate, Path::circle(Vec2::ZERO, 10.0).reversed(), Path::circle(Vec2::new(2.0, 0.0), 6.0)];
        assert_eq!(places(&loops).len(), 1);
        let (held, built) = bridged(&loops, 3, 1.0);
        assert_eq!((regions(&held).len(), built), (1, 3));
        assert!(places(&held).is_empty());
        let area: f64 = held.iter().map(Path::area).sum();
        let before = PI * (400.0 - 100.0 + 36.0);
        // Three bridges 1 mm wide; the gap is from 2 to 6 mm.
        assert!(area > before + 6.0 && area < before + 18.5, "{}", area - before);
        assert_eq!(bridged(&loops[..2], 2, 1.0).1, 0);
    }

    /// Where all ways are as long as one another, bridges stand evenly, on straight sides at their middles.
    #[test]
    fn bridges_stand_evenly() {
        let ring = |r: f64| Path::circle(Vec2::ZERO, r);
        let round = Island { outline: ring(8.0), hole: ring(20.0).reversed() };
        let found = ways(&round, 2, 1.0);
        assert!((found[0].0 + found[1].0).norm() < 0.5, "{found:?}");
        let square = |s: f64| Path::polygon(&[[-s, -s], [s, -s], [s, s], [-s, s]].map(Vec2::from));
        let square = Island { outline: square(8.0), hole: square(20.0).reversed() };
        for (p, q) in ways(&square, 4, 2.0) {
            let along = p.x.abs().min(p.y.abs());
            assert!(along < 1.0 && ((q - p).norm() - 12.0).abs() < 1e-9, "{p:?} {q:?}");
        }
        // One piece is left, with no sliver between bridge and body.
        let loops = [ring(30.0), ring(20.0).reversed(), ring(8.0)];
        let (held, built) = bridged(&loops, 2, 2.0);
        assert_eq!((regions(&held).len(), held.len(), built), (1, 3, 2));
    }
}
