//! The mesh of a swept section by itself: its outline stands again and again along the curve, each joined to the next.
//!
//! A section reaches no further than the curve has room, so that every place of the solid has one nearest place of the
//! curve: outlines that follow one another do not meet, and the corners of the section make edges that run through.

use super::finish;
use super::plane;
use super::{RealiseFault, far_from_chord};
use crate::base::{Tolerance, Vec2, Vec3, Watch};
use crate::form::{Caps, Solid, Swept};
use crate::shape::Mesh;

/// Parts of the tolerance: how far the outline may be from the section's, how far lines along the way may be off, and how
/// far the two halves of a cell may be apart.
const OUTLINE: f64 = 0.1;
const ALONG: f64 = 0.2;
const APART: f64 = 0.2;
/// Squares in which the outline is found, as a part of the tolerance; it has no more than so many along it.
const SQUARES: f64 = 0.5;
const FINEST: f64 = 1.0 / 2000.0;
/// Cells are no longer than this many sides of the outline, but along the whole way there are no more than so many for that.
const SLIM: f64 = 6.0;
const FAR: f64 = 4000.0;
/// How often a stretch of the way is halved, and most corners of the mesh.
const HALVINGS: u32 = 16;
const MOST: usize = 4_000_000;
/// Outlines that come home within this part of the reach join corner to corner.
const HOME: f64 = 1e-6;
/// Most corners of a flat end, and how far its points may be off a line to be in it, as a part of its size.
const MOST_OF_END: usize = 600;
const IN_LINE: f64 = 1e-7;

/// The mesh of a solid that is nothing but a section carried along a curve, moved as a whole or not; `None` for every other,
/// for sections of several outlines with ends, and for round ends.
///
/// # Errors
/// When the watch says stop.
pub fn swept(form: &Solid, tolerance: f64, watch: &dyn Watch) -> Result<Option<Mesh>, RealiseFault> {
    let (Solid::Swept(swept), by) = form.unmoved() else { return Ok(None) };
    let Some(factor) = by.similar() else { return Ok(None) };
    let closed = swept.is_closed();
    let Some(mut loops) = outlines(swept, tolerance / factor, watch)? else { return Ok(None) };
    if !closed && (loops.len() > 1 || swept.caps() == Caps::Round) {
        return Ok(None);
    }
    let (parts, apart) = stations(swept, &loops, ALONG * tolerance / factor);
    let most = APART * tolerance / factor;
    loops.iter_mut().zip(apart).for_each(|(l, apart)| *l = finer(l, &apart, most));
    if parts.len() * loops.iter().map(Vec::len).sum::<usize>() > MOST {
        return Ok(None);
    }
    let Some(mut mesh) = built(swept, &loops, &parts) else { return Ok(None) };
    mesh.carry(&by);
    Ok((mesh.laws_of_joints().is_empty() && finish::is_sound(&mesh)).then_some(mesh))
}

/// The outlines of the section, with no more corners than they need.
fn outlines(
    swept: &Swept,
    tolerance: f64,
    watch: &dyn Watch,
) -> Result<Option<Vec<Vec<Vec2>>>, RealiseFault> {
    let (section, within) = swept.section();
    let fine = (SQUARES * tolerance).max(FINEST * within.size().x.max(within.size().y));
    let Some(fine) = Tolerance::new(fine) else { return Ok(None) };
    let rows = match plane::section(&section, within, 0.0, fine, watch) {
        Err(RealiseFault::Stopped(stopped)) => return Err(stopped.into()),
        Err(_) => return Ok(None),
        Ok(rows) => rows,
    };
    let rows: Vec<_> = rows.iter().map(|row| plain(row, OUTLINE * tolerance)).collect();
    Ok((!rows.is_empty() && rows.iter().all(|row| row.len() >= 3)).then_some(rows))
}

/// A closed row of points without those that are not needed to be within so many mm.
/// Source: D. H. Douglas, T. K. Peucker, Cartographica 10 (1973) 112.
fn plain(row: &[Vec2], off: f64) -> Vec<Vec2> {
    // The two points that lie furthest apart stay.
    let far = |from: usize| {
        (0..row.len()).max_by(|i, j| (row[*i] - row[from]).norm().total_cmp(&(row[*j] - row[from]).norm()))
    };
    let a = far(0).unwrap_or(0);
    let b = far(a).unwrap_or(0);
    let mut keep = vec![false; row.len()];
    let n = row.len();
    for i in [a, b] {
        keep[i] = true;
    }
    let mut open = vec![(a, (b + n - a) % n), (b, (a + n - b) % n)];
    while let Some((from, count)) = open.pop() {
        let at = |k: usize| row[(from + k) % n];
        let lifted = |p: Vec2| Vec3::new(p.x, p.y, 0.0);
        let away = |k: &usize| far_from_chord(lifted(at(*k)), lifted(at(0)), lifted(at(count)));
        let Some(worst) = (1..count).max_by(|i, j| away(i).total_cmp(&away(j))) else { continue };
        if away(&worst) > off {
            keep[(from + worst) % n] = true;
            open.extend([(from, worst), ((from + worst) % n, count - worst)]);
        }
    }
    (0..n).filter(|i| keep[*i]).map(|i| row[i]).collect()
}

/// The place of a point of the section.
fn placed([place, x, y, _]: &[Vec3; 4], p: Vec2) -> Vec3 {
    *place + *x * p.x + *y * p.y
}

/// Parts of the length at which outlines stand, so that the ways of their corners keep within so many mm of lines between them;
/// and for each side of an outline how far apart the two halves of a cell on it come, were they as wide as the side.
fn stations(swept: &Swept, loops: &[Vec<Vec2>], off: f64) -> (Vec<f64>, Vec<Vec<f64>>) {
    let mut ends = swept.joints();
    // No further apart than lets triangles be wide enough, of a section that reaches far not further than that.
    let mut sides: Vec<f64> =
        loops.iter().flat_map(|l| (0..l.len()).map(|k| (l[(k + 1) % l.len()] - l[k]).norm())).collect();
    sides.sort_by(f64::total_cmp);
    let apart = (SLIM * sides.get(sides.len() / 2).copied().unwrap_or(0.0)).min(swept.reach());
    let count = (swept.length() / apart).ceil().clamp(8.0, FAR) as usize;
    ends.extend((0..=count).map(|k| k as f64 / count as f64));
    ends.sort_by(f64::total_cmp);
    ends.dedup_by(|a, b| *a - *b < 1e-9);
    let mut parts = vec![0.0];
    let mut frames = vec![swept.frame(0.0)];
    let mut open: Vec<(f64, [Vec3; 4], u32)> =
        ends[1..].iter().rev().map(|part| (*part, swept.frame(*part), 0)).collect();
    while let Some((part, frame, depth)) = open.pop() {
        let (before, from) = (parts[parts.len() - 1], frames[frames.len() - 1]);
        let middle = 0.5 * (before + part);
        let between = swept.frame(middle);
        let stray = |p: &Vec2| far_from_chord(placed(&between, *p), placed(&from, *p), placed(&frame, *p));
        let stray = loops.iter().flatten().map(stray).fold(0.0, f64::max);
        if stray > off && depth < HALVINGS && !swept.is_straight() {
            open.extend([(part, frame, depth + 1), (middle, between, depth + 1)]);
        } else {
            parts.push(part);
            frames.push(frame);
        }
    }
    let apart = |l: &Vec<Vec2>| {
        let side = |k: usize| {
            let (p, q) = (l[k], l[(k + 1) % l.len()]);
            let halves = |w: &[[Vec3; 4]]| {
                let [a, b, c, d] = [placed(&w[0], p), placed(&w[0], q), placed(&w[1], q), placed(&w[1], p)];
                (a + c - b - d).norm() / 4.0
            };
            frames.windows(2).map(halves).fold(0.0, f64::max)
        };
        (0..l.len()).map(side).collect()
    };
    (parts, loops.iter().map(apart).collect())
}

/// An outline with sides cut so that cells on them come no further apart than so many mm.
fn finer(l: &[Vec2], apart: &[f64], most: f64) -> Vec<Vec2> {
    let cut = |k: usize| {
        let count = (apart[k] / most).ceil().max(1.0) as usize;
        (0..count).map(move |i| l[k].toward(l[(k + 1) % l.len()], i as f64 / count as f64))
    };
    (0..l.len()).flat_map(cut).collect()
}

/// The mesh; `None` where the last outline does not come home to the first.
fn built(swept: &Swept, loops: &[Vec<Vec2>], parts: &[f64]) -> Option<Mesh> {
    let closed = swept.is_closed();
    let rings = if closed { parts.len() - 1 } else { parts.len() };
    let each: usize = loops.iter().map(Vec::len).sum();
    let mut mesh = Mesh::default();
    for part in &parts[..rings] {
        let frame = swept.frame(*part);
        mesh.points.extend(loops.iter().flatten().map(|p| placed(&frame, *p)));
    }
    let mut first = 0;
    for l in loops {
        for k in 1..rings {
            let rows = [k - 1, k].map(|k| k * each + first);
            (0..l.len()).for_each(|j| cell(&mut mesh, rows.map(|row| [row + j, row + (j + 1) % l.len()])));
        }
        first += l.len();
    }
    if !closed {
        cap(&mut mesh, &loops[0], 0, true)?;
        cap(&mut mesh, &loops[0], (rings - 1) * each, false)?;
        return Some(mesh);
    }
    let home = swept.frame(1.0);
    let last = (rings - 1) * each;
    let mut first = 0;
    for l in loops {
        let come: Vec<Vec3> = l.iter().map(|p| placed(&home, *p)).collect();
        if (0..l.len()).all(|j| (come[j] - mesh.points[first + j]).norm() <= HOME * swept.reach()) {
            let rows = [last + first, first];
            (0..l.len()).for_each(|j| cell(&mut mesh, rows.map(|row| [row + j, row + (j + 1) % l.len()])));
        } else {
            zip(&mut mesh, last + first, &come, loops)?;
        }
        first += l.len();
    }
    Some(mesh)
}

/// The two triangles of a cell between two outlines, parted along the shorter way.
fn cell(mesh: &mut Mesh, [[a, b], [d, c]]: [[usize; 2]; 2]) {
    let far = |i: usize, j: usize| (mesh.points[i] - mesh.points[j]).norm();
    let two = if far(a, c) <= far(b, d) { [[a, b, c], [a, c, d]] } else { [[a, b, d], [b, c, d]] };
    mesh.triangles.extend(two.map(|t| t.map(|i| i as u32)));
}

/// Joins an outline, whose points start at `from` and would come to lie at `come`, to the first outline there, corner by
/// corner as both go round.
fn zip(mesh: &mut Mesh, from: usize, come: &[Vec3], loops: &[Vec<Vec2>]) -> Option<()> {
    let starts = loops.iter().scan(0, |sum, l| {
        let start = *sum;
        *sum += l.len();
        Some((start, l.len()))
    });
    let pairs = starts
        .flat_map(|(start, n)| (0..n).flat_map(move |j| (0..come.len()).map(move |i| (i, j, start, n))));
    let far = |(i, j, start, _): &(usize, usize, usize, usize)| (come[*i] - mesh.points[start + j]).norm();
    let (i, j, start, n) = pairs.min_by(|a, b| far(a).total_cmp(&far(b)))?;
    let m = come.len();
    let gone = |place: &dyn Fn(usize) -> Vec3, count: usize| {
        let mut gone = vec![0.0];
        for k in 0..count {
            gone.push(gone[k] + (place(k + 1) - place(k)).norm());
        }
        let whole = gone[count];
        gone.into_iter().map(|g| g / whole).collect::<Vec<f64>>()
    };
    let one = gone(&|k| come[(i + k) % m], m);
    let two = gone(&|k| mesh.points[start + (j + k) % n], n);
    let (mut a, mut b) = (0, 0);
    while a < m || b < n {
        let (p, q) = (from + (i + a) % m, start + (j + b) % n);
        let t = if b == n || (a < m && one[a + 1] <= two[b + 1]) {
            a += 1;
            [p, from + (i + a) % m, q]
        } else {
            b += 1;
            [p, start + (j + b) % n, q]
        };
        mesh.triangles.push(t.map(|i| i as u32));
    }
    Some(())
}

/// A flat end over an outline, whose points start at `from`: ears are cut off it one after another; `back`: it looks back
/// along the way.
/// Source: G. H. Meisters, American Mathematical Monthly 82 (1975) 648.
fn cap(mesh: &mut Mesh, l: &[Vec2], from: usize, back: bool) -> Option<()> {
    if l.len() > MOST_OF_END {
        return None;
    }
    let mut left: Vec<usize> = (0..l.len()).collect();
    // How far `c` lies to the left of the line from `a` to `b`. Points in line are told from corners by more than rounding.
    let left_of = |a: usize, b: usize, c: usize| (l[b] - l[a]).cross(l[c] - l[a]) / (l[b] - l[a]).norm();
    let least = IN_LINE * l.iter().map(|p| (*p - l[0]).norm()).fold(0.0, f64::max);
    while left.len() > 2 {
        let n = left.len();
        let corner = |k: usize| [left[(k + n - 1) % n], left[k], left[(k + 1) % n]];
        let is_ear = |[a, b, c]: [usize; 3]| {
            let holds = |p: usize| [[a, b], [b, c], [c, a]].iter().all(|[q, r]| left_of(*q, *r, p) >= -least);
            left_of(a, c, b) < -least && !left.iter().any(|p| ![a, b, c].contains(p) && holds(*p))
        };
        // The ear that is cut off by the shortest line.
        let cut = |k: &usize| {
            let [a, _, c] = corner(*k);
            (l[c] - l[a]).norm()
        };
        let k = (0..n).filter(|k| is_ear(corner(*k))).min_by(|i, j| cut(i).total_cmp(&cut(j)))?;
        let [a, b, c] = corner(k).map(|i| (from + i) as u32);
        mesh.triangles.push(if back { [a, c, b] } else { [a, b, c] });
        left.remove(k);
    }
    Some(())
}

#[cfg(test)]
mod tests {
    use std::f64::consts::{PI, TAU};

    use super::*;
    use crate::base::{Box3, Unwatched};
    use crate::form::{Carried, Curve, sweep};
    use crate::formula::{Expr, Unary};

    fn curve(of: impl Fn(Expr, Expr, Expr) -> [Expr; 3], to: f64) -> Curve {
        let t = Expr::var("t");
        let [s, c] = [Unary::Sin, Unary::Cos].map(|f| Expr::unary(f, t.clone()));
        Curve::new(of(t, s, c), "t", (0.0, to)).unwrap()
    }

    fn circle() -> Curve {
        curve(|_, s, c| [c * 20.0, s * 20.0, Expr::constant(0.0)], TAU)
    }

    /// A bar of these half widths, its solid along a curve, and the mesh of that.
    fn bar(path: &Curve, [x, y]: [f64; 2], how: Carried) -> Option<Mesh> {
        let abs = |n: &str| Expr::unary(Unary::Abs, Expr::var(n));
        let far = Vec3::new(x, y, 1.0);
        let section = (abs("x") - x).max(abs("y") - y);
        let form = sweep(path, &section, Box3::new(-far, far), how, None).unwrap();
        let mesh = swept(&form, 0.02, &Unwatched).unwrap()?;
        assert!(mesh.laws().is_empty(), "{:?}", mesh.laws());
        Some(mesh)
    }

    /// A section whose middle lies on the curve sweeps its area times the length, however it turns (Pappus). A band with half a
    /// turn, a whole one and a quarter of a square bar come home.
    #[test]
    fn swept_sections_have_their_volumes() {
        for (half, turns) in [([1.5, 5.0], 0.0), ([1.5, 5.0], 0.5), ([0.6, 4.0], 1.0), ([3.0, 3.0], 0.25)] {
            let mesh = bar(&circle(), half, Carried { turns, ..Carried::default() }).unwrap();
            let exact = TAU * 20.0 * 4.0 * half[0] * half[1];
            assert!((mesh.volume() / exact - 1.0).abs() < 2e-3, "{turns}: {} for {exact}", mesh.volume());
            assert_eq!(mesh.measures().genus, 1, "{turns}");
        }
        let helix = curve(|t, s, c| [c * 10.0, s * 10.0, t * 3.0], 9.0);
        let mesh = bar(&helix, [0.8, 3.0], Carried::default()).unwrap();
        let exact = 9.0 * 109f64.sqrt() * 9.6;
        assert!((mesh.volume() / exact - 1.0).abs() < 2e-3, "{} for {exact}", mesh.volume());
        assert_eq!(mesh.measures().genus, 0);
    }

    /// A rail that winds about a straight path turns a bar, whose edges are helices. Ends whose sides are cut close.
    #[test]
    fn a_rail_makes_helices() {
        let line = curve(|t, _, _| [t, Expr::constant(0.0), Expr::constant(0.0)], 60.0);
        let wave = |f| Expr::unary(f, Expr::var("t") * (1.0 / 9.0)) * 9.0;
        let rail = curve(|t, _, _| [t, wave(Unary::Sin), wave(Unary::Cos)], 60.0);
        let abs = |n: &str| Expr::unary(Unary::Abs, Expr::var(n));
        let far = Vec3::new(2.0, 5.0, 1.0);
        let section = (abs("x") - far.x).max(abs("y") - far.y);
        let form = sweep(&line, &section, Box3::new(-far, far), Carried::default(), Some(&rail)).unwrap();
        let mesh = swept(&form, 0.05, &Unwatched).unwrap().unwrap();
        assert!(mesh.laws().is_empty(), "{:?}", mesh.laws());
        assert!((mesh.volume() / 2400.0 - 1.0).abs() < 2e-3, "{}", mesh.volume());
        assert!(mesh.triangles.len() < 12_000, "{}", mesh.triangles.len());
        for k in 0..=200 {
            let x = 60.0 * f64::from(k) / 200.0;
            let (s, c) = (x / 9.0).sin_cos();
            for [a, b] in [[2.0, 5.0], [2.0, -5.0], [-2.0, 5.0], [-2.0, -5.0]] {
                // Up is (s, c) in y and z; across is up × along = (c, -s).
                let p = Vec3::new(x, b * s + a * c, b * c - a * s);
                let from = |t: &[u32; 3]| {
                    let [u, v, w] = t.map(|i| mesh.points[i as usize]);
                    [(u, v), (v, w), (w, u)]
                        .map(|(u, v)| far_from_chord(p, u, v))
                        .into_iter()
                        .fold(9.0, f64::min)
                };
                let off = mesh.triangles.iter().map(from).fold(9.0, f64::min);
                assert!(off < 0.025, "{x}: {off}");
            }
        }
    }

    /// Mitred bars, by the area of their section times the length of their middle line: a square frame, and an open one that leaves
    /// the plane, whose corners are where planes at half the angle have them.
    #[test]
    fn mitred_bars_have_straight_edges() {
        let points = [[-10.0, -10.0, 0.0], [10.0, -10.0, 0.0], [10.0, 10.0, 0.0], [-10.0, 10.0, 0.0]];
        let square = crate::form::polyline(&points.map(Vec3::from), true).unwrap();
        let frame = bar(&square, [1.5, 2.0], Carried::default()).unwrap();
        assert!((frame.volume() / 960.0 - 1.0).abs() < 1e-8, "{}", frame.volume());
        for sign in [[1.0, 1.0, 1.0], [1.0, -1.0, -1.0], [-1.0, 1.0, 1.0]] {
            let corner = Vec3::new(11.5 * sign[0], 11.5 * sign[1], 2.0 * sign[2]);
            assert!(frame.points.iter().any(|p| (*p - corner).norm() < 1e-6), "{corner:?}");
        }
        let bent = [[0.0, 0.0, 0.0], [20.0, 0.0, 0.0], [20.0, 15.0, 9.0], [5.0, 30.0, 9.0]].map(Vec3::from);
        let path = crate::form::polyline(&bent, false).unwrap();
        let mesh = bar(&path, [1.0, 1.5], Carried::default()).unwrap();
        assert!((mesh.volume() / (path.length() * 6.0) - 1.0).abs() < 1e-8, "{}", mesh.volume());
    }

    /// Half a turn of a band on a circle: its corners lie on the section, turned by half of the angle gone.
    #[test]
    fn corners_lie_on_the_section() {
        let mesh = bar(&circle(), [1.0, 5.0], Carried { turns: 0.5, ..Carried::default() }).unwrap();
        for p in &mesh.points {
            let (s, c) = (0.5 * p.y.atan2(p.x).rem_euclid(TAU)).sin_cos();
            let (out, up) = (p.x.hypot(p.y) - 20.0, p.z);
            let off = [[1.0, 1.0], [1.0, -1.0], [-1.0, 1.0], [-1.0, -1.0]].map(|[a, b]| {
                let (x, y) = (a * out * c + b * up * s, -a * out * s + b * up * c);
                (x.abs() - 1.0).max(y.abs() - 5.0).abs()
            });
            assert!(off.iter().any(|o| *o < 0.01), "{p:?}: {off:?}");
        }
    }

    /// Of a ring of many points those stay that are needed.
    #[test]
    fn rows_are_made_plain() {
        let ring: Vec<Vec2> = (0..720).map(|k| Vec2::at_angle(f64::from(k) * PI / 360.0) * 10.0).collect();
        let few = plain(&ring, 0.05);
        assert!((20..60).contains(&few.len()), "{}", few.len());
        let area = |l: &[Vec2]| (0..l.len()).map(|k| l[k].cross(l[(k + 1) % l.len()])).sum::<f64>() / 2.0;
        assert!((area(&few) / area(&ring) - 1.0).abs() < 0.01);
    }
}
