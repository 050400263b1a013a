//! A cubic in two parameters, and the nearest place of a surface by Newton's method.

use crate::base::Vec3;

/// Coefficients by powers of both parameters, each from 0 to 1.
#[derive(Clone, Debug)]
pub struct Cubic([[Vec3; 4]; 4]);

impl Cubic {
    /// The cubic through places at thirds.
    pub fn through(p: &[[Vec3; 4]; 4]) -> Self {
        let line = |[a, b, c, d]: [Vec3; 4]| {
            [
                a,
                a * -5.5 + b * 9.0 - c * 4.5 + d,
                a * 9.0 - b * 22.5 + c * 18.0 - d * 4.5,
                (d - a) * 4.5 + (b - c) * 13.5,
            ]
        };
        let rows = p.map(line);
        let mut out = [[Vec3::ZERO; 4]; 4];
        for k in 0..4 {
            let column = line([rows[0][k], rows[1][k], rows[2][k], rows[3][k]]);
            (0..4).for_each(|i| out[i][k] = column[i]);
        }
        Self(out)
    }

    /// False where the surface had no place.
    pub fn is_finite(&self) -> bool {
        self.0.iter().flatten().all(|c| c.is_finite())
    }

    /// Place, first derivatives, and second ones (uu, uv, vv).
    pub fn read(&self, [s, t]: [f64; 2]) -> [Vec3; 6] {
        let value = |[a, b, c, d]: [Vec3; 4], x: f64| a + (b + (c + d * x) * x) * x;
        let first = |[_, b, c, d]: [Vec3; 4], x: f64| b + (c * 2.0 + d * (3.0 * x)) * x;
        let second = |[_, _, c, d]: [Vec3; 4], x: f64| c * 2.0 + d * (6.0 * x);
        let (rows, by, bend) =
            (self.0.map(|r| value(r, t)), self.0.map(|r| first(r, t)), self.0.map(|r| second(r, t)));
        [value(rows, s), first(rows, s), value(by, s), second(rows, s), first(by, s), value(bend, s)]
    }
}

/// Steps toward the nearest place, at most, and when they end, as a part of the piece.
const TOWARD: usize = 6;
const ARRIVED: f64 = 1e-7;
/// Newton's matrix is used while it bends up at least this part as steeply as that without the surface's own bend.
const UP: f64 = 0.1;

/// The place nearest to `p` and the normal there, from parameters near it. `read` gives the place, its first derivatives
/// and its second ones (uu, uv, vv).
pub fn approach(
    p: Vec3,
    start: [f64; 2],
    limits: [(f64, f64); 2],
    read: impl Fn([f64; 2]) -> [Vec3; 6],
) -> (Vec3, Vec3) {
    let mut at = start;
    let mut now = read(at);
    for _ in 0..TOWARD {
        let d = p - now[0];
        let step = toward(d, &now, at, limits);
        let next = [0, 1].map(|k| (at[k] + step[k]).clamp(limits[k].0, limits[k].1));
        let moved = [0, 1].map(|k| (next[k] - at[k]).abs() / (limits[k].1 - limits[k].0));
        if !(moved[0].max(moved[1]) > ARRIVED) {
            break;
        }
        let then = read(next);
        if !((p - then[0]).norm() <= d.norm()) {
            break;
        }
        (at, now) = (next, then);
    }
    (now[0], now[1].cross(now[2]))
}

/// The step to where the distance grows no less, to second order; along a limit where it would lead past it.
fn toward(d: Vec3, now: &[Vec3; 6], at: [f64; 2], limits: [(f64, f64); 2]) -> [f64; 2] {
    let [_, a, b, aa, ab, bb] = *now;
    let (e, f, g) = (a.dot(a), a.dot(b), b.dot(b));
    let (x, y) = (a.dot(d), b.dot(d));
    let (h, k, l) = (e - aa.dot(d), f - ab.dot(d), g - bb.dot(d));
    let up = h > UP * e && l > UP * g && h * l - k * k > UP * (e * g - f * f);
    let (h, k, l) = if up { (h, k, l) } else { (e, f, g) };
    let det = h * l - k * k;
    if !(det > 1e-12 * h * l) {
        return [0.0; 2];
    }
    let step = [(l * x - k * y) / det, (h * y - k * x) / det];
    let out = [0, 1].map(|i| {
        let (from, to) = limits[i];
        (step[i] < 0.0 && at[i] <= from) || (step[i] > 0.0 && at[i] >= to)
    });
    match out {
        [true, true] => [0.0; 2],
        [true, false] => [0.0, y / l],
        [false, true] => [x / h, 0.0],
        [false, false] => step,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn exact([s, t]: [f64; 2]) -> Vec3 {
        Vec3::new(s * s * s - 2.0 * t, t * t * s, 1.0 + s * t - t * t * t * s * s)
    }

    #[test]
    fn a_cubic_is_that_through_its_places() {
        let third = |k: usize| k as f64 / 3.0;
        let places: [[Vec3; 4]; 4] =
            std::array::from_fn(|i| std::array::from_fn(|j| exact([third(i), third(j)])));
        let cubic = Cubic::through(&places);
        for i in 0..50 {
            let k = f64::from(i);
            let at = [(k * 0.7).sin().abs(), (k * 1.3).cos().abs()];
            let read = cubic.read(at);
            assert!((read[0] - exact(at)).norm() < 1e-13);
            let h = 1e-5;
            let by = |d: [f64; 2]| {
                (cubic.read([at[0] + d[0], at[1] + d[1]])[0] - cubic.read([at[0] - d[0], at[1] - d[1]])[0])
                    / (2.0 * h)
            };
            assert!((by([h, 0.0]) - read[1]).norm() < 1e-8 && (by([0.0, h]) - read[2]).norm() < 1e-8);
            let bend = |d: [f64; 2], k: usize| {
                (cubic.read([at[0] + d[0], at[1] + d[1]])[k] - cubic.read([at[0] - d[0], at[1] - d[1]])[k])
                    / (2.0 * h)
            };
            assert!((bend([h, 0.0], 1) - read[3]).norm() < 1e-8);
            assert!((bend([h, 0.0], 2) - read[4]).norm() < 1e-8);
            assert!((bend([0.0, h], 2) - read[5]).norm() < 1e-8);
        }
    }

    /// On a skew plane that ends: the nearest place of the end, not where a step along one parameter alone would lead.
    #[test]
    fn nearest_places_at_an_end_are_right() {
        let read = |[s, t]: [f64; 2]| {
            let (a, b) = (Vec3::new(4.0, 0.0, 0.0), Vec3::new(3.0, 2.0, 0.0));
            [a * s + b * t, a, b, Vec3::ZERO, Vec3::ZERO, Vec3::ZERO]
        };
        let (q, _) = approach(Vec3::new(9.0, 1.0, 1.0), [0.3, 0.3], [(0.0, 1.0), (0.0, 1.0)], read);
        // The end s = 1: the line from (4, 0) along (3, 2).
        let t = (5.0 * 3.0 + 1.0 * 2.0) / 13.0;
        let exact = Vec3::new(4.0 + 3.0 * f64::min(t, 1.0), 2.0 * f64::min(t, 1.0), 0.0);
        assert!((q - exact).norm() < 1e-9, "{q:?} {exact:?}");
    }
}
