//! Two straight pieces: where they come nearest to one another.

use crate::base::Vec3;

/// The nearest points of two segments, as parts of their lengths, and the way from the second to the first.
/// Source: C. Ericson, Real-Time Collision Detection (2005), section 5.1.9.
pub fn nearest([a, b]: [Vec3; 2], [c, d]: [Vec3; 2]) -> (f64, f64, Vec3) {
    let (u, v, r) = (b - a, d - c, a - c);
    let (uu, vv, uv) = (u.dot(u), v.dot(v), u.dot(v));
    let (ur, vr) = (u.dot(r), v.dot(r));
    let det = uu * vv - uv * uv;
    let mut s = if det > 1e-12 * uu * vv { ((uv * vr - ur * vv) / det).clamp(0.0, 1.0) } else { 0.5 };
    let mut t = if vv > 0.0 { (uv * s + vr) / vv } else { 0.0 };
    if t < 0.0 {
        t = 0.0;
        s = if uu > 0.0 { (-ur / uu).clamp(0.0, 1.0) } else { 0.0 };
    } else if t > 1.0 {
        t = 1.0;
        s = if uu > 0.0 { ((uv - ur) / uu).clamp(0.0, 1.0) } else { 0.0 };
    }
    (s, t, r + u * s - v * t)
}
