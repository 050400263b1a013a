//! Films against closed forms and published areas.

//! Tests of films against surfaces with closed forms.

use std::f64::consts::{PI, TAU};

use super::*;
use crate::base::Unwatched;
use crate::form::{polyline, together};
use crate::formula::{Expr, Unary};

fn ring(radius: f64, z: f64) -> Curve {
    let t = Expr::var("t");
    let (s, c) = (Expr::unary(Unary::Sin, t.clone()), Expr::unary(Unary::Cos, t));
    Curve::new([c * radius, s * radius, Expr::constant(z)], "t", (0.0, TAU)).unwrap()
}

fn area(surface: &Surface) -> f64 {
    let Surface::Mesh(patch) = surface else { panic!() };
    let mesh = patch.mesh();
    let one = |t: usize| {
        let [a, b, c] = mesh.corners(t);
        0.5 * (b - a).cross(c - a).norm()
    };
    (0..mesh.triangles.len()).map(one).sum()
}

fn euler(surface: &Surface) -> i64 {
    let Surface::Mesh(patch) = surface else { panic!() };
    let mesh = patch.mesh();
    let mut edges: Vec<[u32; 2]> =
        mesh.triangles.iter().flat_map(|t| [[t[0], t[1]], [t[1], t[2]], [t[2], t[0]]]).collect();
    edges.iter_mut().for_each(|e| e.sort_unstable());
    edges.sort_unstable();
    edges.dedup();
    mesh.points.len() as i64 - edges.len() as i64 + mesh.triangles.len() as i64
}

fn found(curve: &Curve, edge: f64) -> Result<Surface, RopeFault> {
    film(curve, Some(edge), false, &Unwatched)
}

#[test]
fn a_flat_ring_holds_a_disc() {
    let disc = found(&ring(10.0, 0.0), 0.7).unwrap();
    assert!((area(&disc) / (PI * 100.0) - 1.0).abs() < 1e-3);
    assert_eq!(euler(&disc), 1);
}

/// Source: check by the closed form: waist c with cosh(h/c)·c = 1, area 2π(c h + c² sinh(h/c) cosh(h/c)).
#[test]
fn two_rings_hold_a_catenoid_until_they_are_too_far_apart() {
    for (h, area_of_one) in [(0.5, 5.991_796_975_8), (0.3, f64::NAN)] {
        let film = found(&together(&[ring(10.0, -10.0 * h), ring(10.0, 10.0 * h)]).unwrap(), 0.5).unwrap();
        let exact = if h == 0.5 {
            area_of_one
        } else {
            // The waist, by halving.
            let (mut a, mut b) = (0.6, 1.0f64);
            for _ in 0..60 {
                let c = 0.5 * (a + b);
                if c * libm::cosh(h / c) > 1.0 { b = c } else { a = c }
            }
            2.0 * PI * (a * h + a * a * libm::sinh(h / a) * libm::cosh(h / a))
        };
        let ratio = area(&film) / (100.0 * exact);
        assert!((ratio - 1.0).abs() < 1e-3, "{h}: {ratio}");
        assert_eq!(euler(&film), 0);
    }
}

/// A film between unit rings 2h apart exists for h up to 0.6627434193.
/// Source: G. A. Bliss, Lectures on the Calculus of Variations (1946), chapter 4.
#[test]
fn the_catenoid_is_lost_past_its_greatest_height() {
    let pair = |h: f64| together(&[ring(10.0, -10.0 * h), ring(10.0, 10.0 * h)]).unwrap();
    assert!(found(&pair(0.65), 0.6).is_ok());
    let lost = found(&pair(0.68), 0.6).unwrap_err();
    assert!(lost.to_string().contains("breaks"), "{lost}");
}

/// Of the film between unit rings 2h apart and two discs, the film has the less area for h up to 0.5276973970.
/// Source: as above (C. W. B. Goldschmidt, 1831, found the discs).
#[test]
fn two_discs_are_less_past_their_height() {
    for (h, less) in [(0.515, true), (0.54, false)] {
        let pair = together(&[ring(10.0, -10.0 * h), ring(10.0, 10.0 * h)]).unwrap();
        let ratio = area(&found(&pair, 0.6).unwrap()) / (2.0 * PI * 100.0);
        assert_eq!(ratio < 1.0, less, "{h}: {ratio}");
    }
}

fn closed(points: &[[f64; 3]]) -> Curve {
    let points: Vec<Vec3> = points.iter().map(|p| Vec3::from(*p)).collect();
    polyline(&points, true).unwrap()
}

/// Six edges of a cube, none on two others' corners: four copies are a cell of Schwarz's surface D. The quadrilateral of
/// P has its corners where straight lines of that surface meet: 24 copies are a cell.
/// Source: H. A. Schwarz, Gesammelte Mathematische Abhandlungen 1 (1890); areas 1.918892356757 and 2.345102884044 of the
/// cell, after A. H. Schoen, NASA TN D-5541 (1970).
#[test]
fn patches_of_schwarz_have_the_published_areas() {
    let d = closed(&[
        [0.0, 0.0, 0.0],
        [1.0, 0.0, 0.0],
        [1.0, 1.0, 0.0],
        [1.0, 1.0, 1.0],
        [0.0, 1.0, 1.0],
        [0.0, 0.0, 1.0],
    ]);
    let ratio = area(&found(&d, 0.04).unwrap()) / 1.918_892_356_757;
    assert!((ratio - 1.0).abs() < 1e-3, "D, six edges: {ratio}");
    let d = closed(&[[0.0, 0.0, 0.0], [1.0, 1.0, 0.0], [1.0, 0.0, 1.0], [0.0, 1.0, 1.0]]);
    let ratio = area(&found(&d, 0.05).unwrap()) / (1.918_892_356_757 * 4.0 / 6.0);
    assert!((ratio - 1.0).abs() < 1e-3, "D, four edges: {ratio}");
    let p = closed(&[[0.25, 0.25, 0.25], [0.0, 0.5, 0.25], [-0.25, 0.25, 0.25], [0.0, 0.25, 0.5]]);
    let ratio = 24.0 * area(&found(&p, 0.012).unwrap()) / 2.345_102_884_044;
    assert!((ratio - 1.0).abs() < 1e-3, "P: {ratio}");
}

/// The border of Scherk's surface z = ln(cos x / cos y) over a square; its area over |x|, |y| ≤ 0.5 is 1.087245964.
/// Source: H. F. Scherk, J. reine angew. Math. 13 (1835) 185; check by quadrature.
#[test]
fn a_skew_quadrilateral_holds_scherks_surface() {
    let n = 24;
    let mut points = Vec::new();
    for side in 0..4 {
        for k in 0..n {
            let s = f64::from(k) / f64::from(n) - 0.5;
            let (x, y) = [(s, -0.5), (0.5, s), (-s, 0.5), (-0.5, -s)][side];
            points.push([x, y, libm::log(libm::cos(x) / libm::cos(y))]);
        }
    }
    let ratio = area(&found(&closed(&points), 0.05).unwrap()) / 1.087_245_964;
    assert!((ratio - 1.0).abs() < 1e-3, "{ratio}");
}

#[test]
fn more_rings_hold_a_ball_with_holes() {
    use crate::base::Affine;
    use crate::form::Movable;
    let rings: Vec<Curve> = (0..4)
        .map(|k| {
            let out = ring(8.0, 9.0);
            let axis = [[1.0, 1.0, 1.0], [1.0, -1.0, -1.0], [-1.0, 1.0, -1.0], [-1.0, -1.0, 1.0]][k];
            let to = Vec3::from(axis).unit().unwrap();
            let up = Vec3::new(0.0, 0.0, 1.0);
            let turn = Affine::turn(up.cross(to), libm::acos(up.dot(to))).unwrap();
            out.moved(&turn).unwrap()
        })
        .collect();
    let film = found(&together(&rings).unwrap(), 1.2).unwrap();
    assert_eq!(euler(&film), 2 - 4);
}

#[test]
fn what_holds_no_film_is_refused() {
    let open = polyline(&[Vec3::ZERO, Vec3::new(1.0, 0.0, 0.0)], false).unwrap();
    assert!(found(&open, 0.1).unwrap_err().to_string().contains("closed"));
    assert!(found(&ring(10.0, 0.0), -1.0).is_err());
    let t = Expr::var("t");
    let bad = [Expr::constant(0.0) / (t.clone() * 0.0), t.clone(), t];
    assert!(found(&Curve::new(bad, "t", (0.0, 1.0)).unwrap(), 0.1).is_err());
}

/// Euler number: strands less letters; the border is the link of the word, which its Alexander polynomial tells.
/// Source: H. Seifert (1935); polynomials after D. Rolfsen, Knots and Links (1976), appendix C.
#[test]
fn seiferts_surfaces_have_the_right_genus_and_border() {
    for (word, strands, loops, polynomial) in [
        (&[1, 1, 1][..], 2, 1, Some(vec![1, -1, 1])),
        (&[1, -2, 1, -2], 3, 1, Some(vec![1, -3, 1])),
        (&[1, 1], 2, 2, None),
        (&[1, -2, 1, -2, 1, -2], 3, 3, None),
    ] {
        let surface = seifert(word, None, 40.0, &Unwatched).unwrap();
        assert_eq!(euler(&surface), strands - word.len() as i64, "{word:?}");
        let border = crate::form::border(&surface).unwrap();
        assert_eq!(border.strands().len(), loops);
        if let Some(polynomial) = polynomial {
            assert_eq!(crate::form::alexander(&border).unwrap(), polynomial, "{word:?}");
        }
        if word.len() == 2 {
            // The same handedness as the braid itself, walked along the surface's edge.
            let braid = crate::form::braided(word, None, 40.0).unwrap();
            let sign = |c: &Curve| {
                let all: Vec<Curve> = c.singles().collect();
                crate::form::linking(&all[0], &all[1]).unwrap()
            };
            assert_eq!(sign(&border), sign(&braid));
        }
    }
}

/// Braids of 6_1, 7_4 and 8_1 (C. Livingston, A. H. Moore, KnotInfo), whose films would break: a net that ran away would leave
/// the hull of its border or be wrinkled, of more area than its discs and bands had.
#[test]
fn nets_that_would_break_do_not_run_away() {
    for word in
        [&[1, 1, 2, -1, -3, 2, -3][..], &[1, 1, 2, -1, 2, 2, 3, -2, 3], &[1, 1, 2, -1, 2, 3, -2, -4, 3, -4]]
    {
        let surface = seifert(word, None, 40.0, &Unwatched).unwrap();
        let strands = 1 + word.iter().map(|k| k.unsigned_abs()).max().unwrap() as i64;
        assert_eq!(euler(&surface), strands - word.len() as i64, "{word:?}");
        let discs = strands as f64 * std::f64::consts::PI * 400.0;
        assert!((0.7..1.15).contains(&(area(&surface) / discs)), "{word:?}: {} of {discs}", area(&surface));
    }
}

/// A wall is as thick as it says, and nothing of it lies elsewhere.
#[test]
fn a_wall_of_a_film_is_the_film_grown() {
    let disc = found(&ring(10.0, 0.0), 1.0).unwrap();
    let wall = crate::form::wall(&disc, 2.0).unwrap();
    let away = |s: &Surface, t: &crate::form::Thickness| s.patch().map(|p| t.less_half(p.away())).ok_or(());
    let (value, within) = (wall.lower(&mut { away }).unwrap(), wall.within());
    let tape = crate::formula::Tape::new(&value).unwrap();
    for (p, exact) in
        [([3.0, 2.0, 0.0], -1.0), ([0.0, 5.0, 1.5], 0.5), ([12.0, 0.0, 0.0], 1.0), ([10.5, 0.0, 0.0], -0.5)]
    {
        assert!((tape.value(Vec3::from(p)) - exact).abs() < 2e-3, "{p:?}: {}", tape.value(Vec3::from(p)));
    }
    assert!(within.size().z < 2.1 && crate::form::wall(&disc, 0.0).is_err());
}

/// Between unequal rings, coaxial: a part of the same catenoid. Between a helix and its axis: the helicoid.
/// Source: J. Plateau, Statique expérimentale et théorique des liquides (1873); closed forms of both areas.
#[test]
fn films_between_other_known_borders() {
    let (a, b) = (-0.3f64, 0.7f64);
    let rings = together(&[ring(a.cosh(), a), ring(b.cosh(), b)]).unwrap();
    let part = |z: f64| PI * (z + z.sinh() * z.cosh());
    let ratio = area(&found(&rings, 0.06).unwrap()) / (part(b) - part(a));
    assert!((ratio - 1.0).abs() < 1e-3, "catenoid: {ratio}");
    let n = 48;
    let mut points: Vec<[f64; 3]> = (0..=n)
        .map(|k| {
            let v = PI * f64::from(k) / f64::from(n);
            [v.cos(), v.sin(), v]
        })
        .collect();
    points.extend([[0.0, 0.0, PI], [0.0, 0.0, 0.0]]);
    let ratio = area(&found(&closed(&points), 0.08).unwrap()) / (0.5 * PI * (2f64.sqrt() + 1f64.asinh()));
    assert!((ratio - 1.0).abs() < 1e-3, "helicoid: {ratio}");
}

/// True when the triangles can all be turned so that neighbours turn alike.
fn has_two_sides(surface: &Surface) -> bool {
    let Surface::Mesh(patch) = surface else { panic!() };
    let triangles = &patch.mesh().triangles;
    let mut on: std::collections::BTreeMap<[u32; 2], Vec<(usize, bool)>> = Default::default();
    for (k, t) in triangles.iter().enumerate() {
        for i in 0..3 {
            let (a, b) = (t[i], t[(i + 1) % 3]);
            on.entry([a.min(b), a.max(b)]).or_default().push((k, a < b));
        }
    }
    let mut side: Vec<Option<bool>> = vec![None; triangles.len()];
    side[0] = Some(true);
    let mut open = vec![0];
    while let Some(k) = open.pop() {
        for i in 0..3 {
            let (a, b) = (triangles[k][i], triangles[k][(i + 1) % 3]);
            let pair = &on[&[a.min(b), a.max(b)]];
            let Some(other) = pair.iter().find(|p| p.0 != k) else { continue };
            let alike = other.1 != (a < b);
            let wanted = side[k].map(|s| s == alike);
            match side[other.0] {
                None => {
                    side[other.0] = wanted;
                    open.push(other.0);
                }
                got if got != wanted => return false,
                _ => {}
            }
        }
    }
    true
}

/// On the edge of the band of Möbius a film with one side holds: Euler number 0, less area than the ruled band, and no
/// mean curvature to speak of. A plain ring holds none.
/// Source: R. Courant, Dirichlet's Principle (1950), chapter 4, on minimal surfaces of the type of Möbius.
#[test]
fn the_edge_of_a_moebius_band_holds_a_film_with_one_side() {
    let t = || Expr::var("t");
    let (s, c) = (|e: Expr| Expr::unary(Unary::Sin, e), |e: Expr| Expr::unary(Unary::Cos, e));
    let out = c(t() * 0.5) * 6.0 + 20.0;
    let edge = [out.clone() * c(t()), out * s(t()), s(t() * 0.5) * 6.0];
    let edge = Curve::new(edge, "t", (0.0, 2.0 * TAU)).unwrap();
    let band = film(&edge, Some(2.0), true, &Unwatched).unwrap();
    assert_eq!(euler(&band), 0);
    assert!(!has_two_sides(&band) && has_two_sides(&found(&ring(10.0, 0.0), 2.0).unwrap()));
    // The ruled band: ∫∫ |S_u × S_v| by the middles of 400 by 80 cells.
    let place = |u: f64, v: f64| {
        let out = 20.0 + v * (0.5 * u).cos();
        Vec3::new(out * u.cos(), out * u.sin(), v * (0.5 * u).sin())
    };
    let (du, dv) = (TAU / 400.0, 12.0 / 80.0);
    let ruled: f64 = (0..400 * 80)
        .map(|k| {
            let (u, v) = (f64::from(k % 400) * du, -6.0 + f64::from(k / 400) * dv);
            (place(u + du, v) - place(u, v)).cross(place(u, v + dv) - place(u, v)).norm()
        })
        .sum();
    let of_film = area(&band);
    assert!((0.97 * ruled..0.9999 * ruled).contains(&of_film), "{of_film} {ruled}");
    assert!(film(&ring(10.0, 0.0), Some(1.0), true, &Unwatched).is_err());
    let two = together(&[ring(10.0, 0.0), ring(10.0, 4.0)]).unwrap();
    assert!(film(&two, Some(1.0), true, &Unwatched).unwrap_err().to_string().contains("hangs on one"));
}
