//! The box of a solid from points found inside it, for fields whose bounds are too loose to close in on it.

use rayon::prelude::*;

use crate::base::{Box3, Vec3};
use crate::formula::{Scratch, Tape};

/// Places looked at along the longest side at first.
const PLACES: f64 = 48.0;
/// Places from which each face is climbed.
const CLIMBS: usize = 12;
/// Climbing ends with steps of this part of the longest side.
const LEAST_STEP: f64 = 1e-5;
/// A step sideways must lead this part of it further out.
const LEAST_GAIN: f64 = 0.01;
/// A face that is this near to what was found, as a part of the longest side, is taken as it is.
const NEAR: f64 = 0.002;

/// `outer`, which holds the solid where the field is negative, with each face that lies well outside of what is found inside
/// brought in to it.
pub(super) fn closer(outer: Box3, field: &Tape) -> Box3 {
    let longest = outer.size().largest();
    let mut found = scan(outer, longest / PLACES, field);
    if found.is_empty() || !longest.is_finite() {
        return outer;
    }
    // What was found may be far smaller than the box: it is looked at again at its own scale.
    let seen = Box3::around(found.iter().copied()).grown(longest / PLACES);
    if seen.size().largest() < 0.7 * longest {
        found = scan(seen.meet(outer), seen.size().largest() / PLACES, field);
    }
    let inside = |p: Vec3| field.value(p) < 0.0;
    let (mut low, mut high) = (outer.min.array(), outer.max.array());
    for axis in 0..3 {
        for outward in [false, true] {
            let sign = if outward { 1.0 } else { -1.0 };
            let limit = if outward { high[axis] } else { -low[axis] };
            let reached = furthest(&mut found, (axis, sign), limit, (longest / PLACES, &inside));
            if limit - reached > NEAR * longest {
                let face = if outward { &mut high[axis] } else { &mut low[axis] };
                *face = sign * reached;
            }
        }
    }
    Box3::new(low.into(), high.into())
}

/// Points inside, on a grid of the given step.
fn scan(region: Box3, step: f64, field: &Tape) -> Vec<Vec3> {
    let size = region.size();
    let line = |axis: usize| -> Vec<f64> {
        let count = ((size[axis] / step).ceil() as usize).max(1);
        (0..count).map(|i| region.min[axis] + size[axis] * ((i as f64 + 0.5) / count as f64)).collect()
    };
    let [xs, ys, zs] = [0, 1, 2].map(line);
    let slab = |scratch: &mut Scratch, x: &f64| -> Vec<Vec3> {
        let mut values = vec![0.0; ys.len() * zs.len()];
        field.values_grid(&[*x], &ys, &zs, &mut values, scratch);
        let inside = |k: &usize| values[*k] < 0.0;
        (0..values.len()).filter(inside).map(|k| Vec3::new(*x, ys[k % ys.len()], zs[k / ys.len()])).collect()
    };
    xs.par_iter().map_init(Scratch::default, slab).flatten_iter().collect()
}

/// How far along `sign` times an axis the solid is found to reach, at most to `limit`: from the furthest points the
/// boundary is climbed, sideways to places that are inside as well and outwards as far as these go.
fn furthest(
    found: &mut [Vec3],
    (axis, sign): (usize, f64),
    limit: f64,
    (step, inside): (f64, &dyn Fn(Vec3) -> bool),
) -> f64 {
    found.sort_by(|a, b| (sign * b[axis]).total_cmp(&(sign * a[axis])));
    let with = |p: Vec3, reach: f64| {
        let mut q = p.array();
        q[axis] = sign * reach;
        Vec3::from(q)
    };
    let climb = |from: Vec3| {
        let (mut p, mut by) = (from, step);
        let mut reach = sign * p[axis];
        while by > LEAST_STEP * PLACES * step && reach < limit {
            let gains = [by, by * LEAST_GAIN].map(|gain| (reach + gain).min(limit));
            let next = around(axis, by).into_iter().find_map(|side| {
                gains.into_iter().find(|r| inside(with(p + side, *r))).map(|r| (p + side, r))
            });
            match next {
                Some(better) => (p, reach) = better,
                None => by *= 0.5,
            }
        }
        reach
    };
    found.iter().take(CLIMBS).map(|p| climb(*p)).fold(f64::NEG_INFINITY, f64::max)
}

/// Steps square to an axis, none first.
fn around(axis: usize, by: f64) -> [Vec3; 9] {
    let unit = |k: usize| {
        let mut u = [0.0; 3];
        u[(axis + k) % 3] = by;
        Vec3::from(u)
    };
    let (u, v) = (unit(1), unit(2));
    [Vec3::ZERO, u, -u, v, -v, u + v, u - v, v - u, -u - v]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::{Bounded, ball, blend, fit, invert, ring, rod, shift};
    use crate::formula::Expr;

    fn ball_at(centre: Vec3, radius: f64) -> Tape {
        let part = |name, at: f64| (Expr::var(name) - at) * (Expr::var(name) - at);
        let square = part("x", centre.x) + part("y", centre.y) + part("z", centre.z);
        Tape::new(&(square - radius * radius)).unwrap()
    }

    #[test]
    fn a_loose_box_closes_in_on_a_ball() {
        let centre = Vec3::new(1.0, -2.0, 0.5);
        let loose = Box3::new(Vec3::splat(-40.0), Vec3::splat(60.0));
        let b = closer(loose, &ball_at(centre, 7.0));
        for axis in 0..3 {
            assert!((b.max[axis] - centre[axis] - 7.0).abs() < 0.01, "{b:?}");
            assert!((centre[axis] - b.min[axis] - 7.0).abs() < 0.01, "{b:?}");
        }
    }

    #[test]
    fn a_close_box_stays_as_it_is() {
        let own = Box3::new(Vec3::splat(-7.0), Vec3::splat(7.0));
        assert_eq!(closer(own, &ball_at(Vec3::ZERO, 7.0)), own);
        assert_eq!(closer(own, &Tape::new(&Expr::constant(1.0)).unwrap()), own);
    }

    /// Blended and turned inside out, bounds of the field are loose; the size is right all the same, as dense samples
    /// of the field find it.
    #[test]
    fn a_fitted_inverted_blend_has_its_size() {
        let form = blend(&ring(20.0, 4.0).unwrap(), &rod(3.0, 50.0).unwrap(), 6.0).unwrap();
        let form = invert(&shift(&form, Vec3::new(0.0, 0.0, 60.0)).unwrap(), Vec3::ZERO, 50.0).unwrap();
        let fitted = fit(&form, 92.0).unwrap();
        let value = fitted.lower(&mut |_, _| Err(())).unwrap();
        let tape = Tape::new(&value).unwrap();
        let near = scan(fitted.outline().unwrap().grown(5.0), 1.0, &tape);
        let longest = Box3::around(near).size().largest();
        // A grid of 1 mm misses up to a step at either end.
        assert!((90.0..92.1).contains(&longest), "{longest}");
        assert!((fit(&ball(3.0).unwrap(), 92.0).unwrap().bounds().unwrap().size().x - 92.0).abs() < 0.02);
    }
}
