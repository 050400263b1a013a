//! How thin a solid is where it is a sheet, found by looking along lines: cells must be smaller, or they miss it.

use rayon::prelude::*;

use super::field::Field;
use crate::base::{Box3, Vec3};
use crate::formula::Scratch;

/// Lines each way in each of three directions, and places on each.
const LINES: usize = 12;
const PLACES: usize = 256;
/// Room at the ends of a line, as a part of its length.
const ROOM: f64 = 0.01;
/// Two faces are those of a sheet when the cosine between their normals is under this.
const OPPOSED: f64 = -0.8;
/// A thickness counts when so many lines, and such a part of all, meet it or up to a quarter more, and at most a third as
/// many meet half of it to all of it: toward the edge of a wedge there is no end of thin places.
const FEW: usize = 4;
const PART: f64 = 0.005;
const ALIKE: f64 = 1.25;
const FALLS: usize = 3;

/// The thickness of the thinnest sheet that a solid has in a box, mm; `None` where no line meets one.
pub fn sheet(field: &Field, region: Box3) -> Option<f64> {
    let lines: Vec<(usize, usize, usize)> =
        (0..3).flat_map(|axis| (0..LINES).flat_map(move |i| (0..LINES).map(move |j| (axis, i, j)))).collect();
    let mut met: Vec<f64> = lines
        .par_iter()
        .map_init(Scratch::default, |scratch, line| along(field, region, *line, scratch))
        .flatten()
        .collect();
    met.sort_by(f64::total_cmp);
    let least = FEW.max((met.len() as f64 * PART) as usize);
    let below = |t: f64| met.partition_point(|m| *m < t);
    met.iter().copied().find(|t| {
        let alike = below(t * ALIKE) - below(*t);
        alike >= least && alike >= FALLS * (below(*t) - below(t * 0.5))
    })
}

/// The thicknesses of the sheets that a line along an axis passes through.
fn along(
    field: &Field,
    region: Box3,
    (axis, i, j): (usize, usize, usize),
    scratch: &mut Scratch,
) -> Vec<f64> {
    let (low, size) = (region.min, region.size());
    let [u, v] = [(axis + 1) % 3, (axis + 2) % 3];
    let share = |k: usize| (k as f64 + 0.5) / LINES as f64;
    let at = |s: f64| {
        let mut p = low.array();
        p[u] += share(i) * size[u];
        p[v] += share(j) * size[v];
        p[axis] += (s * (1.0 + 2.0 * ROOM) - ROOM) * size[axis];
        Vec3::from(p)
    };
    let places: Vec<Vec3> = (0..PLACES).map(|k| at(k as f64 / (PLACES - 1) as f64)).collect();
    let row = |axis: usize| places.iter().map(|p| p[axis]).collect::<Vec<f64>>();
    let mut values = vec![0.0; PLACES];
    field.tape.values(&row(0), &row(1), &row(2), &mut values, scratch);
    let mut entered: Option<(Vec3, Vec3)> = None;
    let mut found = Vec::new();
    for k in 1..PLACES {
        let (out, inside) = (values[k - 1] >= 0.0, values[k] < 0.0);
        if out != inside {
            continue;
        }
        let Some((p, normal)) = face(field, places[k - 1], places[k], scratch) else {
            entered = None;
            continue;
        };
        match entered.take() {
            _ if out => entered = Some((p, normal)),
            Some((q, other)) if normal.dot(other) < OPPOSED => {
                found.push((p - q).norm() * normal[axis].abs().min(other[axis].abs()));
            }
            _ => {}
        }
    }
    found
}

/// Where the sign changes between two places, and the normal there.
fn face(field: &Field, mut a: Vec3, mut b: Vec3, scratch: &mut Scratch) -> Option<(Vec3, Vec3)> {
    let out = field.tape.value(a) >= 0.0;
    for _ in 0..20 {
        let middle = (a + b) * 0.5;
        if (field.tape.value(middle) >= 0.0) == out { a = middle } else { b = middle }
    }
    let p = (a + b) * 0.5;
    field.slope(p, scratch).1.unit().map(|normal| (p, normal))
}
