//! The mesh of a swept section by itself: its outline stands again and again along the curve, each joined to the next.
//!
//! A section reaches no further than the curve has room, so that every place of the solid has one nearest place of the
//! curve: outlines that follow one another do not meet, and the corners of the section make edges that run through.

use super::lid::Lid;
use super::rows::{Rows, Size};
use super::sliced::sliced;
use super::{RealiseFault, far_from_chord};
use super::{finish, half, plane};
use crate::base::{Tolerance, Vec2, Vec3, Watch};
use crate::form::{Caps, Route, Solid, Stand, Swept, Way};
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
/// How often a stretch of the way is halved.
const HALVINGS: u32 = 16;
/// Points of outlines come to lie on lines about which they turn when they are nearer than this part of the tolerance.
const SNAP: f64 = 0.02;
/// Outlines that come home within this part of the reach join corner to corner.
const HOME: f64 = 1e-6;

/// The mesh of a solid that is nothing but a section carried along a curve, moved as a whole or not; `None` for every other,
/// and where it does not come out soundly.
///
/// # Errors
/// When the watch says stop.
pub fn swept(form: &Solid, tolerance: f64, watch: &dyn Watch) -> Result<Option<Mesh>, RealiseFault> {
    let (Solid::Swept(swept), by) = form.unmoved() else { return Ok(None) };
    let Some(factor) = by.similar() else { return Ok(None) };
    let tolerance = tolerance / factor;
    let made = if swept.changes().is_empty() {
        outlines(swept, 0.0, (tolerance, SQUARES), watch)?.and_then(|loops| along(swept, loops, tolerance))
    } else {
        sliced(swept, tolerance, watch)?
    };
    let Some(mut mesh) = made else { return Ok(None) };
    mesh.carry(&by);
    Ok((mesh.laws_of_joints().is_empty() && finish::is_sound(&mesh)).then_some(mesh))
}

/// The mesh of outlines of the section along the way; `None` where it takes too many points, or does not close.
fn along(swept: &Swept, mut loops: Vec<Vec<Vec2>>, tolerance: f64) -> Option<Mesh> {
    let rounded = swept.caps() == Caps::Round && !swept.is_closed();
    let (reach, snap) = (swept.reach(), SNAP * tolerance);
    let mut size = Size { reach, off: ALONG * tolerance, apart: apart(&loops, reach) };
    let mut stands = vec![];
    match swept.route() {
        Route::Smooth(way) => {
            let sides;
            (stands, sides) = stations(way, &loops, size.apart, size.off);
            loops.iter_mut().zip(sides).for_each(|(l, sides)| *l = finer(l, &sides, APART * tolerance));
        }
        Route::Straight(corners) => {
            for Vec2 { x, y } in corners.iter().filter_map(|c| c.turn).map(|turn| turn.outward) {
                half::part(&mut loops, Vec2::new(x, y), snap);
                if rounded {
                    half::part(&mut loops, Vec2::new(-x, y), snap);
                }
            }
            size.apart = apart(&loops, reach);
        }
    }
    let lid = if rounded { Some(Lid::over(&mut loops, OUTLINE * tolerance, snap)?) } else { None };
    let mut rows = Rows::new(&loops);
    match swept.route() {
        Route::Smooth(_) => stands.iter().try_for_each(|stand| rows.stand(stand))?,
        Route::Straight(corners) => {
            stands = corners.iter().map(|corner| corner.stand).collect();
            corners.iter().try_for_each(|corner| rows.corner(corner, &size))?;
        }
    }
    match lid {
        _ if swept.is_closed() => rows.home(HOME * reach),
        Some(lid) => rows.lids([stands[0], stands[stands.len() - 1]], &lid, &size),
        None => rows.ends(),
    }
}

/// The outlines of the section when a part of the way is gone, with no more corners than they need, found in squares of so many
/// tolerances.
pub fn outlines(
    swept: &Swept,
    part: f64,
    (tolerance, squares): (f64, f64),
    watch: &dyn Watch,
) -> Result<Option<Vec<Vec<Vec2>>>, RealiseFault> {
    let (section, within) = swept.section();
    let fine = (squares * tolerance).max(FINEST * within.size().x.max(within.size().y));
    let Some(fine) = Tolerance::new(fine) else { return Ok(None) };
    let rows = match plane::section(&section, within, part, fine, watch) {
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

/// The middle side of outlines, times [`SLIM`], no longer than the section reaches: so far apart cells are wide enough.
fn apart(loops: &[Vec<Vec2>], reach: f64) -> f64 {
    let mut sides: Vec<f64> =
        loops.iter().flat_map(|l| (0..l.len()).map(|k| (l[(k + 1) % l.len()] - l[k]).norm())).collect();
    sides.sort_by(f64::total_cmp);
    (SLIM * sides.get(sides.len() / 2).copied().unwrap_or(0.0)).min(reach)
}

/// How a section stands where its outlines are put, so that the ways of their corners keep within so many mm of lines between them;
/// and for each side of an outline how far apart the two halves of a cell on it come, were they as wide as the side.
fn stations(way: &Way, loops: &[Vec<Vec2>], apart: f64, off: f64) -> (Vec<Stand>, Vec<Vec<f64>>) {
    let mut ends = way.joints();
    let count = (way.length() / apart).ceil().clamp(8.0, FAR) as usize;
    ends.extend((0..=count).map(|k| k as f64 / count as f64));
    ends.sort_by(f64::total_cmp);
    ends.dedup_by(|a, b| *a - *b < 1e-9);
    let mut parts = vec![0.0];
    let mut stands = vec![way.stand(0.0)];
    let mut open: Vec<(f64, Stand, u32)> =
        ends[1..].iter().rev().map(|part| (*part, way.stand(*part), 0)).collect();
    while let Some((part, stand, depth)) = open.pop() {
        let (before, from) = (parts[parts.len() - 1], stands[stands.len() - 1]);
        let middle = 0.5 * (before + part);
        let between = way.stand(middle);
        let stray = |p: &Vec2| far_from_chord(between.at(*p), from.at(*p), stand.at(*p));
        let stray = loops.iter().flatten().map(stray).fold(0.0, f64::max);
        if stray > off && depth < HALVINGS {
            open.extend([(part, stand, depth + 1), (middle, between, depth + 1)]);
        } else {
            parts.push(part);
            stands.push(stand);
        }
    }
    let apart = |l: &Vec<Vec2>| {
        let side = |k: usize| {
            let (p, q) = (l[k], l[(k + 1) % l.len()]);
            let halves = |w: &[Stand]| {
                let [a, b, c, d] = [w[0].at(p), w[0].at(q), w[1].at(q), w[1].at(p)];
                (a + c - b - d).norm() / 4.0
            };
            stands.windows(2).map(halves).fold(0.0, f64::max)
        };
        (0..l.len()).map(side).collect()
    };
    let sides = loops.iter().map(apart).collect();
    (stands, sides)
}

/// An outline with sides cut so that cells on them come no further apart than so many mm.
fn finer(l: &[Vec2], apart: &[f64], most: f64) -> Vec<Vec2> {
    let cut = |k: usize| {
        let count = (apart[k] / most).ceil().max(1.0) as usize;
        (0..count).map(move |i| l[k].toward(l[(k + 1) % l.len()], i as f64 / count as f64))
    };
    (0..l.len()).flat_map(cut).collect()
}

#[cfg(test)]
mod tests {
    use std::f64::consts::{PI, TAU};

    use super::*;
    use crate::base::{Box3, Unwatched};
    use crate::form::{Carried, Curve, Flat, Joints, flat, sweep};
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

    /// The mesh of a flat along a path, as round as may be.
    fn rounded(path: &Curve, of: &Flat) -> Mesh {
        let (section, within) = crate::form::section(of).unwrap();
        let how = Carried { corners: Joints::Round, caps: Caps::Round, ..Carried::default() };
        let form = sweep(path, &section, within, how, None).unwrap();
        let mesh = swept(&form, 0.01, &Unwatched).unwrap().unwrap();
        assert!(mesh.laws().is_empty(), "{:?}", mesh.laws());
        mesh
    }

    fn rectangle([a, b]: [f64; 2], [c, d]: [f64; 2]) -> Flat {
        flat::polygon(&[[a, c], [b, c], [b, d], [a, d]].map(Vec2::from), 0.0).unwrap()
    }

    fn elbow() -> Curve {
        let points = [[0.0, 0.0, 0.0], [40.0, 0.0, 0.0], [40.0, 30.0, 0.0]].map(Vec3::from);
        crate::form::polyline(&points, false).unwrap()
    }

    /// A bar round a corner: the quarter outside holds (π/4)a²h for a half width a, the square inside is counted once, and two half
    /// discs close the ends. Its edges run at a half width from the path; where they turn, their middle stays.
    #[test]
    fn bars_turn_round_corners_and_end_round() {
        let (a, h) = (3.0, 10.0);
        let mesh = rounded(&elbow(), &rectangle([-a, a], [-5.0, 5.0]));
        let exact = h * (70.0 * 2.0 * a - a * a + PI / 4.0 * a * a + PI * a * a);
        assert!((mesh.volume() / exact - 1.0).abs() < 1e-3, "{} for {exact}", mesh.volume());
        assert_eq!((mesh.measures().genus, mesh.component_of_triangles().1), (0, 1));
        let away = |p: &Vec3| {
            far_from_chord(Vec3::new(p.x, p.y, 0.0), Vec3::ZERO, Vec3::new(40.0, 0.0, 0.0)).min(
                far_from_chord(
                    Vec3::new(p.x, p.y, 0.0),
                    Vec3::new(40.0, 0.0, 0.0),
                    Vec3::new(40.0, 30.0, 0.0),
                ),
            )
        };
        for p in &mesh.points {
            let on_axis = away(p) < 1e-6;
            assert!((p.z.abs() - 5.0).abs() < 0.01 && (on_axis || (away(p) - a).abs() < 0.01), "{p:?}");
        }
    }

    /// A square bar with a square hole, open at neither end: a body with a hollow, by the same closed form twice.
    #[test]
    fn holes_of_a_section_turn_with_it() {
        let [outer, inner] = [4.0, 2.5].map(|a| rectangle([-a, a], [-a, a]));
        let mesh = rounded(&elbow(), &flat::difference(&outer, &inner));
        let bar = |a: f64| 2.0 * a * (140.0 * a + a * a * (1.25 * PI - 1.0));
        let exact = bar(4.0) - bar(2.5);
        assert!((mesh.volume() / exact - 1.0).abs() < 1e-3, "{} for {exact}", mesh.volume());
        assert_eq!(mesh.component_of_triangles().1, 2);
    }

    /// A bar beside its path: the wider half makes the half discs at its ends, (π/2)b²h each. A triangle whose halves cross.
    #[test]
    fn a_lid_is_as_wide_as_the_wider_half() {
        let (a, b, h) = (2.0, 6.0, 10.0);
        let line = curve(|t, _, _| [t, Expr::constant(0.0), Expr::constant(0.0)], 30.0);
        let mesh = rounded(&line, &rectangle([-a, b], [-5.0, 5.0]));
        let exact = h * (30.0 * (a + b) + PI * b * b);
        assert!((mesh.volume() / exact - 1.0).abs() < 1e-3, "{} for {exact}", mesh.volume());
        let mesh = rounded(&line, &flat::regular(3, 6.0, 1).unwrap());
        // Heights over x from the axis of both halves: (6 - x)/√3 to 6, and 2√3 + x/√3 to 3; the greater of them, turned.
        let profile =
            |x: f64| if x < 3.0 { 2.0 * 3f64.sqrt() + x / 3f64.sqrt() } else { (6.0 - x) / 3f64.sqrt() };
        let step = 1e-3;
        let lid: f64 =
            (0..6000).map(|k| (f64::from(k) + 0.5) * step).map(|x| 2.0 * profile(x) * PI * x * step).sum();
        let exact = 30.0 * 27.0 * 3f64.sqrt() + 2.0 * lid;
        assert!((mesh.volume() / exact - 1.0).abs() < 1e-3, "{} for {exact}", mesh.volume());
    }

    /// Flat ends with holes in them: a pipe on a helix holds its section times its length.
    #[test]
    fn open_pipes_have_flat_ends() {
        let helix = curve(|t, s, c| [c * 15.0, s * 15.0, t * 4.0], 5.0);
        let [outer, inner] = [4.0, 2.5].map(|a| rectangle([-a, a], [-a, a]));
        let (section, within) = crate::form::section(&flat::difference(&outer, &inner)).unwrap();
        let form = sweep(&helix, &section, within, Carried::default(), None).unwrap();
        let mesh = swept(&form, 0.01, &Unwatched).unwrap().unwrap();
        assert!(mesh.laws().is_empty(), "{:?}", mesh.laws());
        let exact = 5.0 * 241f64.sqrt() * 39.0;
        assert!((mesh.volume() / exact - 1.0).abs() < 1e-3, "{} for {exact}", mesh.volume());
        assert_eq!(mesh.measures().genus, 1);
    }
}
