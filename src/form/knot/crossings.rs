//! What a curve shows when it is looked at from one side: its crossings, and the drawing that they make.

use super::{Diagram, signed_gauss_diagram};
use crate::base::Vec3;
use crate::form::fault::{FormFault, unfit};

/// A crossing of two stretches as seen from some side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Crossing {
    /// The place on the upper strand, mm.
    pub above: Vec3,
    /// The place on the lower strand, mm.
    pub below: Vec3,
    /// 1 for a right-handed crossing, -1 for a left-handed one.
    pub sign: i32,
}

/// What is seen of closed polygons.
#[derive(Clone, Debug)]
pub struct View {
    /// In the order in which the strands meet them.
    pub crossings: Vec<Crossing>,
    /// For each polygon the crossings it meets: number from 1 on, positive where it passes above.
    pub code: Vec<Vec<i64>>,
}

/// Directions to look from; the first that shows no two corners over one another is taken, among the first few the
/// one that shows the fewest crossings. They lie on no plane or axis of symmetry.
const VIEWS: [[f64; 3]; 8] = [
    [0.031_7, 0.047_1, 1.0],
    [1.0, 0.053_9, 0.029_3],
    [0.041_1, 1.0, -0.067_3],
    [0.613, 0.557, 0.561],
    [-0.571, 0.619, 0.541],
    [0.523, -0.587, 0.617],
    [0.737, 0.201, -0.644],
    [-0.217, 0.811, 0.543],
];
/// Crossings nearer to a corner than this part of a segment are not told apart from a touch.
const CORNER: f64 = 1e-9;

/// Crossings of closed polygons as seen from the side that shows the fewest of some.
///
/// # Errors
/// [`FormFault::Unfit`] when polygons meet, so that it is not known which is above.
pub fn crossings(polygons: &[Vec<Vec3>]) -> Result<View, FormFault> {
    let seen = VIEWS.iter().filter_map(|from| looked(polygons, Vec3::from(*from)));
    seen.min_by_key(|view| view.crossings.len())
        .ok_or_else(|| unfit("curve", "meets itself: which stretch is above cannot be told"))
}

impl View {
    /// The drawing; strands without crossings are left out. `None` without crossings.
    ///
    /// # Errors
    /// [`FormFault::Unfit`] for too many crossings.
    pub fn diagram(&self) -> Result<Option<Diagram>, FormFault> {
        let code: Vec<Vec<i64>> = self.code.iter().filter(|c| !c.is_empty()).cloned().collect();
        if code.is_empty() {
            return Ok(None);
        }
        signed_gauss_diagram(&code, |c| Some(self.crossings[c].sign > 0)).map(Some)
    }

    /// Strands that cross nothing.
    pub fn free(&self) -> usize {
        self.code.iter().filter(|c| c.is_empty()).count()
    }
}

/// The view from one side; `None` when it is not clear.
fn looked(polygons: &[Vec<Vec3>], from: Vec3) -> Option<View> {
    let up = from.unit()?;
    let right = up
        .cross(Vec3::new(0.31, -0.17, 0.93))
        .unit()
        .or_else(|| up.cross(Vec3::new(1.0, 0.0, 0.0)).unit())?;
    let ahead = up.cross(right);
    // Segments with their polygon and place on it, sorted by where they begin along one direction of the page.
    let mut segments: Vec<(f64, f64, usize, usize, [Vec3; 2])> = Vec::new();
    for (k, p) in polygons.iter().enumerate() {
        for i in 0..p.len() {
            let ends = [p[i], p[(i + 1) % p.len()]].map(|v| Vec3::new(v.dot(right), v.dot(ahead), v.dot(up)));
            segments.push((ends[0].x.min(ends[1].x), ends[0].x.max(ends[1].x), k, i, ends));
        }
    }
    segments.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.2, a.3).cmp(&(b.2, b.3))));
    // Visits: polygon, segment and part of it, number of the crossing, above or not.
    let mut visits: Vec<(usize, f64, usize, bool)> = Vec::new();
    let mut found = Vec::new();
    for (n, a) in segments.iter().enumerate() {
        for b in segments[n + 1..].iter().take_while(|b| b.0 <= a.1) {
            let count = polygons[a.2].len();
            if a.2 == b.2 && (a.3.abs_diff(b.3) == 1 || a.3.abs_diff(b.3) == count - 1) {
                continue;
            }
            let Some((s, t)) = meet(a.4, b.4)? else { continue };
            let (p, q) = (a.4[0] + (a.4[1] - a.4[0]) * s, b.4[0] + (b.4[1] - b.4[0]) * t);
            if p.z == q.z {
                return None;
            }
            let first_above = p.z > q.z;
            let turn = |u: [Vec3; 2], v: [Vec3; 2]| (u[1] - u[0]).cross(v[1] - v[0]).z;
            let sign = if (turn(a.4, b.4) > 0.0) == first_above { 1 } else { -1 };
            let back = |v: Vec3| right * v.x + ahead * v.y + up * v.z;
            let (above, below) = if first_above { (back(p), back(q)) } else { (back(q), back(p)) };
            visits.push((a.2, a.3 as f64 + s, found.len(), first_above));
            visits.push((b.2, b.3 as f64 + t, found.len(), !first_above));
            found.push(Crossing { above, below, sign });
        }
    }
    visits.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut number = vec![0i64; found.len()];
    let mut order = Vec::new();
    let mut code = vec![vec![]; polygons.len()];
    for (k, _, c, above) in visits {
        if number[c] == 0 {
            order.push(found[c]);
            number[c] = order.len() as i64;
        }
        code[k].push(if above { number[c] } else { -number[c] });
    }
    Some(View { crossings: order, code })
}

/// Where two segments cross in the page, as parts of them: `Some(None)` for nowhere, `None` when too near a corner.
#[allow(clippy::option_option)]
fn meet(a: [Vec3; 2], b: [Vec3; 2]) -> Option<Option<(f64, f64)>> {
    let (u, v, w) = (a[1] - a[0], b[1] - b[0], b[0] - a[0]);
    let area = |p: Vec3, q: Vec3| p.x * q.y - p.y * q.x;
    let all = area(u, v);
    if all == 0.0 {
        return Some(None);
    }
    let (s, t) = (area(w, v) / all, area(w, u) / all);
    let inside = |x: f64| (-CORNER..=1.0 + CORNER).contains(&x);
    if !(inside(s) && inside(t)) {
        return Some(None);
    }
    let clear = |x: f64| (CORNER..=1.0 - CORNER).contains(&x);
    (clear(s) && clear(t)).then_some(Some((s, t)))
}
