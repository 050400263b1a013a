//! The order of cuts: what lies within first, so that nothing is cut after it has come loose; short ways between.

use super::super::near::Locator;
use super::super::path::Path;
use crate::base::Vec2;

/// More paths than this are put in order by strips instead of one by one.
const NEAREST: usize = 4000;

/// How many loops lie round each path.
pub(super) fn depths(paths: &[Path]) -> Vec<usize> {
    let boxes: Vec<(Vec2, Vec2)> = paths.iter().map(Path::bounds).collect();
    let mut depth = vec![0; paths.len()];
    for (i, outer) in paths.iter().enumerate().filter(|(_, p)| p.closed) {
        let (low, high) = boxes[i];
        let mut locator = None;
        for (k, inner) in paths.iter().enumerate().filter(|(k, _)| *k != i) {
            let (l, h) = boxes[k];
            // A seam runs on to the outline: what is asked is its middle.
            let within =
                l.x >= low.x - 1e-6 && l.y >= low.y - 1e-6 && h.x <= high.x + 1e-6 && h.y <= high.y + 1e-6;
            if !within || inner.pieces.is_empty() {
                continue;
            }
            let locator = locator.get_or_insert_with(|| Locator::new(std::slice::from_ref(outer)));
            let middle = inner.pieces[inner.pieces.len() / 2].at(0.5);
            if locator.holds(middle) {
                depth[k] += 1;
            }
        }
    }
    depth
}

/// The paths in the order of cutting, each with its depth: the deepest first, and from each on to the nearest next.
pub(super) fn ordered(paths: Vec<Path>) -> Vec<(usize, Path)> {
    let depth = depths(&paths);
    let deepest = depth.iter().copied().max().unwrap_or(0);
    let mut slots: Vec<Option<Path>> = paths.into_iter().map(Some).collect();
    let (mut out, mut at) = (Vec::with_capacity(slots.len()), Vec2::ZERO);
    for level in (0..=deepest).rev() {
        let mut left: Vec<usize> = (0..slots.len()).filter(|i| depth[*i] == level).collect();
        let start = |slots: &[Option<Path>], i: usize| slots[i].as_ref().map_or(Vec2::ZERO, Path::start);
        if left.len() > NEAREST {
            let strip = |p: Vec2| (p.y / 20.0).floor();
            left.sort_by(|a, b| {
                let (p, q) = (start(&slots, *a), start(&slots, *b));
                strip(p).total_cmp(&strip(q)).then(p.x.total_cmp(&q.x)).then(a.cmp(b))
            });
            out.extend(left.into_iter().filter_map(|i| slots[i].take()).map(|p| (level, p)));
            continue;
        }
        while !left.is_empty() {
            let far = |i: usize| (start(&slots, i) - at).norm();
            let mut best = 0;
            for k in 1..left.len() {
                if far(left[k]) < far(left[best]) {
                    best = k;
                }
            }
            if let Some(path) = slots[left.swap_remove(best)].take() {
                at = path.end();
                out.push((level, path));
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_lies_within_comes_first() {
        let c = |x: f64, r: f64| Path::circle(Vec2::new(x, 0.0), r);
        // A plate with a hole, a washer in the hole; and a lone disc.
        let paths =
            vec![c(0.0, 20.0), c(0.0, 15.0).reversed(), c(0.0, 8.0), c(0.0, 3.0).reversed(), c(50.0, 5.0)];
        let order: Vec<(usize, f64)> =
            ordered(paths).iter().map(|(d, p)| (*d, p.bounds().1.x - p.bounds().0.x)).collect();
        let sizes: Vec<f64> = order.iter().map(|o| o.1).collect();
        assert_eq!(&sizes[..3], &[6.0, 16.0, 30.0]);
        assert_eq!(order.iter().map(|o| o.0).collect::<Vec<_>>(), vec![3, 2, 1, 0, 0]);
    }
}
